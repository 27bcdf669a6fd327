/* A proof as JUnit XML: a suite of the examples, one of the claims over all findings. It has no standard: what is written here are the elements that
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

struct counts {
    size_t tests, failures, errors;
};

static void send_counts(struct page *page, const struct counts *counts)
{
    send_count(page, "tests", counts->tests);
    send_count(page, "failures", counts->failures);
    send_count(page, "errors", counts->errors);
    page_raw(page, ">\n");
}

static void begin(struct page *page, const struct counts *all)
{
    page_raw(page, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites");
    send_counts(page, all);
}

static void begin_suite(struct page *page, const char *suite, const struct counts *counts)
{
    page_raw(page, "  <testsuite");
    send_attribute(page, "name", suite);
    send_counts(page, counts);
}

static void end_suite(struct page *page)
{
    page_raw(page, "  </testsuite>\n");
}

static void end(struct page *page)
{
    page_raw(page, "</testsuites>\n");
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

static void send_examples(struct page *page, const struct show_proved *proved,
                          const struct counts *counts)
{
    const stave_proof *proof = proved->examples;
    begin_suite(page, proved->book->id, counts);
    if (proof->result_count == 0) {
        page_raw(page, "    <testcase name=\"the book has at least one example\">\n"
                       "      <failure message=\"no examples\"/>\n    </testcase>\n");
    }
    for (size_t i = 0; i < proof->result_count; i++) {
        send_result(page, &proof->results[i]);
    }
    end_suite(page);
}

/* The number makes the name its own: two lines may hold the same condition. */
static void send_claim(struct page *page, const struct show_proved *proved, size_t index)
{
    const struct stave_claim *claim = &proved->claims->claims[index];
    char number[32];
    snprintf(number, sizeof number, " (claim %zu)", index + 1);
    page_raw(page, "    <testcase");
    send_attribute(page, "classname", claim->at.line > 0 ? claim->at.text_name : proved->book->id);
    page_raw(page, " name=\"");
    send_text(page, show_property_text(claim->property));
    page_raw(page, ": ");
    send_text(page, claim->subject);
    page_raw(page, number);
    page_raw(page, "\"");
    if (claim->at.line > 0) {
        send_attribute(page, "file", claim->at.text_name);
        send_count(page, "line", claim->at.line);
    }
    if (!show_claim_fails(claim)) {
        page_raw(page, "/>\n");
        return;
    }
    page_raw(page, ">\n      <failure");
    send_attribute(page, "type", show_answer_text(claim));
    send_attribute(page, "message", claim->reason);
    page_raw(page, ">");
    for (size_t i = 0; i < claim->region_count; i++) {
        const struct stave_region *region = &claim->regions[i];
        send_text(page, region->described);
        page_raw(page, "\n");
        send_text(page, region->witness);
        page_raw(page, "\n");
        send_text(page, region->found[0]);
        page_raw(page, "\n");
    }
    page_raw(page, "</failure>\n    </testcase>\n");
}

static void send_claims(struct page *page, const struct show_proved *proved,
                        const struct counts *counts)
{
    const stave_claims *claims = proved->claims;
    begin_suite(page, "claims over every finding", counts);
    for (size_t i = 0; i < claims->claim_count; i++) {
        send_claim(page, proved, i);
    }
    end_suite(page);
}

static void send_held(struct page *page, const char *what, size_t held, size_t of, unsigned least,
                      bool enough)
{
    char name[120];
    snprintf(name, sizeof name, "%u %% of the %s", least, what);
    page_raw(page, "    <testcase");
    send_attribute(page, "classname", "figures held by examples");
    send_attribute(page, "name", name);
    if (enough) {
        page_raw(page, "/>\n");
        return;
    }
    snprintf(name, sizeof name, "%zu of %zu %s", held, of, what);
    page_raw(page, ">\n      <failure");
    send_attribute(page, "message", name);
    page_raw(page, "/>\n    </testcase>\n");
}

static void send_pinned(struct page *page, const struct show_proved *proved,
                        const struct counts *counts)
{
    const stave_pinning *pinning = proved->pinning;
    begin_suite(page, "figures held by examples", counts);
    send_held(page, "figures pinned", pinning->pinned, pinning->figure_count - pinning->idle,
              proved->pinned_least, show_figures_held(proved) && !pinning->stopped);
    send_held(page, "slips caught", pinning->caught, pinning->slip_count - pinning->inert,
              proved->pinned_least, show_slips_caught(proved) && !pinning->stopped);
    end_suite(page);
}

void show_proof_junit(struct page *page, const struct show_proved *proved)
{
    struct counts examples = {0}, claims = {0}, pinned = {0};
    if (proved->examples) {
        bool some = proved->examples->result_count > 0;
        examples.tests = some ? proved->examples->result_count : 1;
        examples.failures = some ? proved->examples->failed : 1;
    }
    for (size_t i = 0; proved->claims && i < proved->claims->claim_count; i++) {
        claims.tests++;
        claims.failures += show_claim_fails(&proved->claims->claims[i]);
    }
    if (proved->pinning) {
        bool whole = !proved->pinning->stopped;
        pinned.tests = 2;
        pinned.failures = (size_t)!(show_figures_held(proved) && whole) +
                          (size_t)!(show_slips_caught(proved) && whole);
    }
    const struct counts all = {examples.tests + claims.tests + pinned.tests,
                               examples.failures + claims.failures + pinned.failures, 0};
    begin(page, &all);
    if (proved->examples) {
        send_examples(page, proved, &examples);
    }
    if (proved->claims) {
        send_claims(page, proved, &claims);
    }
    if (proved->pinning) {
        send_pinned(page, proved, &pinned);
    }
    end(page);
}

void show_problems_junit(struct page *page, const struct stave_problem *problems, size_t count)
{
    struct counts counts = {0};
    for (size_t i = 0; i < count; i++) {
        counts.errors += problems[i].severity == STAVE_ERROR;
    }
    counts.tests = counts.errors;
    begin(page, &counts);
    begin_suite(page, "reading the book", &counts);
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
    end_suite(page);
    end(page);
}
