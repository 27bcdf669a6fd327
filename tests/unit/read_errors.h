/* Errors in full: how the reader's tests hold what is said against what is to be said. */
#ifndef TESTS_READ_ERRORS_H
#define TESTS_READ_ERRORS_H

#include "read_sample.h"

enum entry { BOOK, FINDING, ANSWER, RANGE };

/* "line:column+width code: message (line:column second message) -- help", a line each. */
struct bad_text {
    enum entry entry;
    const char *text, *problems;
};

static inline const char *problems_of(struct reading_bench *bench, enum entry entry,
                                      const char *bytes, size_t size)
{
    bench_begin(bench, bytes, size);
    if (bench->source) {
        struct span where = bench_span(bench);
        switch (entry) {
        case BOOK:
            assert_non_null(read_book(&bench->arena, bench->source, &bench->problems));
            break;
        case FINDING:
            assert_null(read_finding(&bench->arena, where, &bench->problems));
            break;
        case ANSWER:
            assert_null(read_answer(&bench->arena, where, &bench->problems));
            break;
        case RANGE:
            assert_null(read_range(&bench->arena, where, &bench->problems));
            break;
        }
    }
    return bench_problems(bench);
}

static inline void check_all(const struct bad_text *texts, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct reading_bench bench;
        const char *found =
            problems_of(&bench, texts[i].entry, texts[i].text, strlen(texts[i].text));
        if (strcmp(found, texts[i].problems) != 0) {
            print_message("text: %s\n", texts[i].text);
        }
        assert_string_equal(found, texts[i].problems);
        arena_end(&bench.arena);
    }
}

#endif
