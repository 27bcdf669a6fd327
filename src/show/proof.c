/* Worked examples for a person: each that fails, then the count. */
#include <string.h>

#include "show/show.h"

static void show_failure(struct page *page, const struct stave_example_result *result)
{
    if (result->unconfirmed && strcmp(result->expected, result->found) == 0) {
        page_line(page, 0, 2, "%s:%u: " MARK_BAD "unconfirmed:" MARK_PLAIN " gives %s: \"%s\"",
                  result->text_name, result->line, result->found, result->title);
    } else {
        page_line(page, 0, 2,
                  "%s:%u: " MARK_BAD "failed:" MARK_PLAIN " expected %s, found %s: \"%s\"",
                  result->text_name, result->line, result->expected, result->found, result->title);
    }
    page_write(page, "%s", result->case_text);
    page_row(page, 4, "case");
    if (result->why[0]) {
        page_write(page, "%s", result->why);
        page_row(page, 4, "why");
    }
    if (result->source[0]) {
        page_write(page, "%s", result->source);
        page_row(page, 4, "source");
    }
}

static void show_examples(struct page *page, const struct stave_book_facts *book,
                          const stave_proof *proof)
{
    for (size_t i = 0; i < proof->result_count; i++) {
        if (!proof->results[i].passed) {
            show_failure(page, &proof->results[i]);
        }
    }
    if (proof->result_count == 0) {
        page_line(page, 0, 2, "%s %s%s%s: no examples, so nothing is proved", book->id,
                  book->edition, book->model[0] ? ", model " : "", book->model);
        return;
    }
    page_write(page, "%s %s%s%s: %zu example%s: %zu passed", book->id, book->edition,
               book->model[0] ? ", model " : "", book->model,
               proof->result_count, proof->result_count == 1 ? "" : "s",
               proof->result_count - proof->failed);
    if (proof->failed > 0) {
        page_write(page, ", " MARK_BAD "%zu failed" MARK_PLAIN, proof->failed);
    }
    page_flow(page, 0, 2);
}

void show_proof(struct page *page, const struct show_proved *proved)
{
    if (proved->examples) {
        show_examples(page, proved->book, proved->examples);
    }
    if (proved->pinning) {
        show_pinned(page, proved);
    }
    if (proved->claims) {
        show_claims(page, proved->book, proved->claims);
    }
}
