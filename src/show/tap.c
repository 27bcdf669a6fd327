/* Worked examples as TAP 14. */
#include <stdio.h>
#include <string.h>

#include "show/characters.h"
#include "show/show.h"

static void send_number(struct page *page, size_t number)
{
    char digits[24];
    snprintf(digits, sizeof digits, "%zu", number);
    page_raw(page, digits);
}

/* A description: '#' would begin a directive, '\' an escape. */
static void send_description(struct page *page, const char *text)
{
    char spelling[CHARACTER_SPELLING];
    while (*text) {
        struct character character = character_read(text);
        if (*text == '#' || *text == '\\') {
            page_raw(page, "\\");
        }
        character_spell(text, character, spelling);
        page_raw(page, spelling);
        text += character.length;
    }
}

/* A member of the YAML block, its value in double quotes so that YAML makes nothing else of it. */
static void send_member(struct page *page, const char *name, const char *text)
{
    char spelling[CHARACTER_SPELLING];
    page_raw(page, "  ");
    page_raw(page, name);
    page_raw(page, ": \"");
    while (*text) {
        struct character character = character_read(text);
        if (*text == '"' || *text == '\\') {
            page_raw(page, "\\");
        }
        character_spell(text, character, spelling);
        page_raw(page, spelling);
        text += character.length;
    }
    page_raw(page, "\"\n");
}

static void send_diagnostics(struct page *page, const struct stave_example_result *result)
{
    page_raw(page, "  ---\n");
    send_member(page, "case", result->case_text);
    send_member(page, "expected", result->expected);
    send_member(page, "found", result->found);
    send_member(page, "why", result->why);
    send_member(page, "source", result->source);
    send_member(page, "file", result->text_name);
    page_raw(page, "  line: ");
    send_number(page, result->line);
    page_raw(page, "\n  ...\n");
}

void show_proof_tap(struct page *page, const struct stave_book_facts *book,
                    const stave_proof *proof)
{
    page_raw(page, "TAP version 14\n1..");
    /* A plan of none would read as a pass. */
    send_number(page, proof->result_count > 0 ? proof->result_count : 1);
    page_raw(page, "\n");
    if (proof->result_count == 0) {
        page_raw(page, "not ok 1 - ");
        send_description(page, book->id);
        page_raw(page, " has at least one example\n");
    }
    for (size_t i = 0; i < proof->result_count; i++) {
        const struct stave_example_result *result = &proof->results[i];
        page_raw(page, result->passed ? "ok " : "not ok ");
        send_number(page, i + 1);
        page_raw(page, " - ");
        send_description(page, result->title);
        page_raw(page, ": ");
        send_description(page, result->case_text);
        page_raw(page, ", gives ");
        send_description(page, result->expected);
        page_raw(page, "\n");
        if (!result->passed) {
            send_diagnostics(page, result);
        }
    }
}

void show_problems_tap(struct page *page, const struct stave_problem *problems, size_t count)
{
    page_raw(page, "TAP version 14\nBail out! ");
    for (size_t i = 0; i < count; i++) {
        if (problems[i].severity == STAVE_ERROR) {
            if (problems[i].at.text_name) {
                page_escaped(page, problems[i].at.text_name);
                page_raw(page, ":");
            }
            if (problems[i].at.line > 0) {
                send_number(page, problems[i].at.line);
                page_raw(page, ":");
            }
            page_raw(page, " ");
            page_escaped(page, problems[i].message);
            break;
        }
    }
    page_raw(page, "\n");
}
