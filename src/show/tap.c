/* A proof as TAP 14: a test point for each claim of an example, then for each claim over all
 * findings. */
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

static void send_line(struct page *page, size_t line)
{
    page_raw(page, "  line: ");
    send_number(page, line);
    page_raw(page, "\n");
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
    send_line(page, result->line);
    page_raw(page, "  ...\n");
}

static void begin_point(struct page *page, bool passed, size_t number)
{
    page_raw(page, passed ? "ok " : "not ok ");
    send_number(page, number);
    page_raw(page, " - ");
}

static void send_examples(struct page *page, const struct show_proved *proved)
{
    const stave_proof *proof = proved->examples;
    if (proof->result_count == 0) {
        begin_point(page, false, 1);
        send_description(page, proved->book->id);
        page_raw(page, " has at least one example\n");
        return;
    }
    for (size_t i = 0; i < proof->result_count; i++) {
        const struct stave_example_result *result = &proof->results[i];
        begin_point(page, result->passed, i + 1);
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

static void send_claim(struct page *page, const struct stave_claim *claim)
{
    page_raw(page, "  ---\n");
    send_member(page, "answer", show_answer_text(claim));
    send_member(page, "why", claim->reason);
    if (claim->region_count > 0) {
        send_member(page, "where", claim->regions[0].described);
        send_member(page, "case", claim->regions[0].witness);
        send_member(page, "found", claim->regions[0].found[0]);
        page_raw(page, "  regions: ");
        send_number(page, claim->region_count + claim->more_regions);
        page_raw(page, "\n");
    }
    if (claim->at.line > 0) {
        send_member(page, "file", claim->at.text_name);
        send_line(page, claim->at.line);
    }
    page_raw(page, "  ...\n");
}

static void send_claims(struct page *page, const stave_claims *claims, size_t before)
{
    for (size_t i = 0; i < claims->claim_count; i++) {
        const struct stave_claim *claim = &claims->claims[i];
        bool fails = show_claim_fails(claim);
        begin_point(page, !fails, before + i + 1);
        send_description(page, show_property_text(claim->property));
        page_raw(page, ": ");
        send_description(page, claim->subject);
        if (claim->exception[0]) {
            page_raw(page, ", but as declared: ");
            send_description(page, claim->exception);
        }
        page_raw(page, "\n");
        if (fails) {
            send_claim(page, claim);
        }
    }
}

/* Two points: figures, and slips; what is missed below the one that fails. */
static void send_pinned(struct page *page, const struct show_proved *proved, size_t before)
{
    const stave_pinning *pinning = proved->pinning;
    bool held = show_figures_held(proved), caught = show_slips_caught(proved);
    char text[160];
    begin_point(page, held && !pinning->stopped, before + 1);
    snprintf(text, sizeof text, "%zu of %zu figures pinned, %u %% asked for\n", pinning->pinned,
             pinning->figure_count - pinning->idle, proved->pinned_least);
    page_raw(page, text);
    begin_point(page, caught && !pinning->stopped, before + 2);
    snprintf(text, sizeof text, "%zu of %zu slips caught, %u %% asked for\n", pinning->caught,
             pinning->slip_count - pinning->inert, proved->pinned_least);
    page_raw(page, text);
    if (caught) {
        return;
    }
    page_raw(page, "  ---\n  missed:\n");
    for (size_t i = 0; i < pinning->slip_count; i++) {
        const struct stave_slip *slip = &pinning->slips[i];
        if (slip->answer == STAVE_SLIP_MISSED) {
            page_raw(page, "  -\n  ");
            send_member(page, "slip", show_slip_sort(slip));
            page_raw(page, "  ");
            send_member(page, "was", slip->was);
            page_raw(page, "  ");
            send_member(page, "now", slip->now);
            page_raw(page, "  ");
            send_member(page, "case", slip->witness);
            page_raw(page, "  ");
            send_member(page, "file", slip->at.text_name);
            page_raw(page, "  ");
            send_line(page, slip->at.line);
        }
    }
    page_raw(page, "  ...\n");
}

void show_proof_tap(struct page *page, const struct show_proved *proved)
{
    const stave_proof *examples = proved->examples;
    size_t count = (proved->claims ? proved->claims->claim_count : 0) + (proved->pinning ? 2 : 0);
    /* A plan of none would read as a pass. */
    size_t points = !examples ? 0 : examples->result_count > 0 ? examples->result_count : 1;
    page_raw(page, "TAP version 14\n1..");
    send_number(page, points + count > 0 ? points + count : 1);
    page_raw(page, "\n");
    if (examples) {
        send_examples(page, proved);
    }
    if (proved->claims) {
        send_claims(page, proved->claims, points);
    }
    if (proved->pinning) {
        send_pinned(page, proved, points + count - 2);
    }
    if (points + count == 0) {
        page_raw(page, "not ok 1 - there is something to prove\n");
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
