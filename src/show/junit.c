/* Worked examples as JUnit XML. It has no standard: what is written here are the elements that
 * readers of it agree on (testsuites, testsuite, testcase, failure, error). */
#include <stdio.h>
#include <string.h>

#include "show/characters.h"
#include "show/show.h"

/* Text or attribute value. Characters that XML cannot hold are hidden ones, so they are spelled. */
static void send_text(struct page *page, const char *text)
{
    char spelling[CHARACTER_SPELLING];
    while (*text) {
        struct character character = character_read(text);
        character_spell(text, character, spelling);
        for (const char *at = spelling; *at; at++) {
            switch (*at) {
            case '&':
                page_raw(page, "&amp;");
                break;
            case '<':
                page_raw(page, "&lt;");
                break;
            case '>':
                page_raw(page, "&gt;");
                break;
            case '"':
                page_raw(page, "&quot;");
                break;
            default:
                page_raw_bytes(page, at, 1);
                break;
            }
        }
        text += character.length;
    }
}

static void send_attribute(struct page *page, const char *name, const char *text)
{
    page_raw(page, " ");
    page_raw(page, name);
    page_raw(page, "=\"");
    send_text(page, text);
    page_raw(page, "\"");
}

static void send_count(struct page *page, const char *name, size_t count)
{
    char digits[24];
    snprintf(digits, sizeof digits, "%zu", count);
    send_attribute(page, name, digits);
}

static void begin(struct page *page, const char *suite, size_t tests, size_t failures,
                  size_t errors)
{
    page_raw(page, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites");
    send_count(page, "tests", tests);
    send_count(page, "failures", failures);
    send_count(page, "errors", errors);
    page_raw(page, ">\n  <testsuite");
    send_attribute(page, "name", suite);
    send_count(page, "tests", tests);
    send_count(page, "failures", failures);
    send_count(page, "errors", errors);
    page_raw(page, ">\n");
}

static void end(struct page *page)
{
    page_raw(page, "  </testsuite>\n</testsuites>\n");
}

/* Names of test cases must differ, or readers fold them: case and claim belong to it. */
static void begin_case(struct page *page, const struct stave_example_result *result)
{
    page_raw(page, "    <testcase");
    send_attribute(page, "classname", result->text_name);
    page_raw(page, " name=\"");
    send_text(page, result->title);
    page_raw(page, ": ");
    send_text(page, result->case_text);
    page_raw(page, ", gives ");
    send_text(page, result->expected);
    page_raw(page, "\"");
    send_attribute(page, "file", result->text_name);
    send_count(page, "line", result->line);
}

static void send_result(struct page *page, const struct stave_example_result *result)
{
    begin_case(page, result);
    if (result->passed) {
        page_raw(page, "/>\n");
        return;
    }
    page_raw(page, ">\n      <failure message=\"expected ");
    send_text(page, result->expected);
    page_raw(page, ", found ");
    send_text(page, result->found);
    page_raw(page, "\">");
    send_text(page, result->why);
    page_raw(page, "</failure>\n    </testcase>\n");
}

void show_proof_junit(struct page *page, const struct stave_book_facts *book,
                      const stave_proof *proof)
{
    size_t count = proof->result_count;
    begin(page, book->id, count > 0 ? count : 1, count > 0 ? proof->failed : 1, 0);
    if (count == 0) {
        page_raw(page, "    <testcase name=\"the book has at least one example\">\n"
                       "      <failure message=\"no examples\"/>\n    </testcase>\n");
    }
    for (size_t i = 0; i < count; i++) {
        send_result(page, &proof->results[i]);
    }
    end(page);
}

void show_problems_junit(struct page *page, const struct stave_problem *problems, size_t count)
{
    size_t errors = 0;
    for (size_t i = 0; i < count; i++) {
        errors += problems[i].severity == STAVE_ERROR;
    }
    begin(page, "reading the book", errors, 0, errors);
    for (size_t i = 0; i < count; i++) {
        if (problems[i].severity == STAVE_ERROR) {
            const struct stave_place *at = &problems[i].at;
            page_raw(page, "    <testcase");
            send_attribute(page, "classname", at->text_name ? at->text_name : "");
            send_attribute(page, "name", problems[i].code);
            send_count(page, "line", at->line);
            page_raw(page, ">\n      <error");
            send_attribute(page, "message", problems[i].message);
            page_raw(page, "/>\n    </testcase>\n");
        }
    }
    end(page);
}
