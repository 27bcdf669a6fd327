/* Problems: where they are shown to stand, what is cut, what is kept; and opening a text. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/problem.h"
#include "base/text.h"

#define LIMIT ((size_t)1 << 20)

static struct escape out;
static struct arena arena;
static struct problems problems;

static int set_up(void **state)
{
    (void)state;
    arena_begin(&arena, NULL, &out);
    problems_begin(&problems, &arena);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    arena_end(&arena);
    return 0;
}

static struct source *open_bytes(const char *name, const char *bytes, size_t size)
{
    struct stave_text text = {name, bytes, size};
    return source_open(&arena, &text, LIMIT, &problems);
}

static struct source *open_text(const char *text)
{
    struct source *source = open_bytes("book.stave", text, strlen(text));
    assert_non_null(source);
    return source;
}

/* The span of the first `part` in the text. */
static struct span span_of(struct source *source, const char *part)
{
    const char *at = strstr(source->bytes, part);
    assert_non_null(at);
    uint32_t from = (uint32_t)(at - source->bytes);
    return (struct span){source, from, from + (uint32_t)strlen(part)};
}

static struct stave_place place_of(struct span span)
{
    return problem_add(&problems, STAVE_ERROR, "test", span, "test")->at;
}

/* ---- places --------------------------------------------------------------------- */

static void test_lines_and_columns(void **state)
{
    (void)state;
    struct source *source = open_text("one\ntwo three\r\n\nfour");
    static const struct {
        uint32_t from, to, line, column, width;
        const char *excerpt;
    } rows[] = {
        {0, 3, 1, 1, 3, "one"},          {2, 3, 1, 3, 1, "one"},
        {3, 4, 1, 4, 1, "one"}, /* the line end itself */
        {4, 7, 2, 1, 3, "two three"},    {8, 13, 2, 5, 5, "two three"},
        {8, 19, 2, 5, 5, "two three"}, /* over several lines: the first is underlined */
        {13, 15, 2, 10, 1, "two three"}, {15, 16, 3, 1, 1, ""},
        {16, 20, 4, 1, 4, "four"},       {20, 20, 4, 5, 1, "four"}, /* the end of the text */
        {17, 17, 4, 2, 1, "four"},                                  /* empty, yet a column wide */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct span span = {source, rows[i].from, rows[i].to};
        struct stave_place place = place_of(span);
        assert_string_equal(place.text_name, "book.stave");
        assert_int_equal(place.line, rows[i].line);
        assert_int_equal(place.column, rows[i].column);
        assert_int_equal(place.width, rows[i].width);
        assert_string_equal(place.excerpt, rows[i].excerpt);
        assert_int_equal(place.excerpt_column, rows[i].column);
        assert_int_equal(span_line(&arena, span), rows[i].line);
    }
    source->first_line = 7;
    assert_int_equal(place_of((struct span){source, 4, 5}).line, 8);
    assert_int_equal(span_line(&arena, (struct span){source, 4, 5}), 8);
}

static void test_an_empty_text_and_no_text(void **state)
{
    (void)state;
    struct source *source = open_text("");
    struct stave_place place = place_of((struct span){source, 0, 0});
    assert_int_equal(place.line, 1);
    assert_int_equal(place.column, 1);
    assert_int_equal(place.width, 1);
    assert_string_equal(place.excerpt, "");
    place = place_of((struct span){0});
    assert_string_equal(place.text_name, "");
    assert_string_equal(place.excerpt, "");
    assert_int_equal(span_line(&arena, (struct span){0}), 0);
}

static void test_tabs_and_wide_characters(void **state)
{
    (void)state;
    static const struct {
        const char *line, *part;
        uint32_t column, width;
        const char *excerpt;
    } rows[] = {
        {"\tx", "x", 9, 1, "        x"},
        {"a\tx", "x", 9, 1, "a       x"},
        {"1234567\tx", "x", 9, 1, "1234567 x"},
        {"12345678\tx", "x", 17, 1, "12345678        x"},
        {"\t\tx", "x", 17, 1, "                x"},
        {"a\tx", "\t", 2, 7, "a       x"},
        {"µm x", "x", 4, 1, "µm x"},
        {"漢字 x", "x", 6, 1, "漢字 x"},
        {"漢字 x", "字", 3, 2, "漢字 x"},
        {"漢\tx", "x", 9, 1, "漢      x"},
        {"e\xCC\x81 x", "x", 3, 1, "e\xCC\x81 x"}, /* e and a combining acute accent */
        {"\xF0\x9F\x99\x82 x", "x", 4, 1, "\xF0\x9F\x99\x82 x"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct source *source = open_text(rows[i].line);
        struct stave_place place = place_of(span_of(source, rows[i].part));
        assert_int_equal(place.column, rows[i].column);
        assert_int_equal(place.excerpt_column, rows[i].column);
        assert_int_equal(place.width, rows[i].width);
        assert_string_equal(place.excerpt, rows[i].excerpt);
    }
}

/* ---- long lines ------------------------------------------------------------------- */

static uint32_t random_state = 7;

static uint32_t random_below(uint32_t limit)
{
    random_state = random_state * 1664525u + 1013904223u;
    return (random_state >> 8) % limit;
}

/* The columns of a line without tabs. */
static size_t columns_of(const char *bytes, size_t size)
{
    size_t columns = 0;
    for (size_t at = 0; at < size;) {
        uint32_t point = 0;
        size_t length = text_utf8_length(bytes + at, size - at, &point);
        assert_true(length > 0);
        columns += text_columns(point);
        at += length;
    }
    return columns;
}

/* What stands in the excerpt at its column: the mark that the span covers. */
static void check_excerpt(struct stave_place place, const char *mark)
{
    size_t size = strlen(place.excerpt), at = 0;
    assert_int_equal(text_first_bad_utf8(place.excerpt, size), size);
    assert_true(columns_of(place.excerpt, size) <= 100);
    assert_null(strpbrk(place.excerpt, "\t\r\n"));
    const char *found = strstr(place.excerpt, mark);
    if (found == NULL) {
        fail_msg("no '%s' in '%s'", mark, place.excerpt);
    }
    at = (size_t)(found - place.excerpt);
    assert_int_equal(columns_of(place.excerpt, at) + 1, place.excerpt_column);
    assert_true(place.excerpt_column + place.width <= 102);
}

static void test_excerpts_of_random_lines(void **state)
{
    (void)state;
    static const char *const pieces[] = {"a",         "b ",   "\t", "µ", "漢",
                                         "e\xCC\x81", "word", " ",  "字"};
    enum { CASES = 5000 };
    static char line[1 << 17];
    size_t cut = 0, very_long = 0;
    for (int i = 0; i < CASES; i++) {
        problems_begin(&problems, &arena);
        struct arena_mark memory = arena_mark(&arena);
        size_t size = 0, column = 0;
        uint32_t count = random_below(i % 50 == 0 ? 20000 : i % 2 ? 40 : 400);
        uint32_t where = random_below(count + 1);
        for (uint32_t j = 0; j <= count; j++) {
            const char *piece =
                j == where ? "@" : pieces[random_below(sizeof pieces / sizeof pieces[0])];
            if (j < where) {
                column = piece[0] == '\t' ? (column / 8 + 1) * 8
                                          : column + columns_of(piece, strlen(piece));
            }
            memcpy(line + size, piece, strlen(piece));
            size += strlen(piece);
        }
        struct source *source = open_bytes("line", line, size);
        assert_non_null(source);
        struct stave_place place = place_of(span_of(source, "@"));
        check_excerpt(place, "@");
        assert_int_equal(place.column, column + 1);
        assert_int_equal(place.width, 1);
        very_long += source->checkpoints != NULL;
        cut += place.excerpt_column != place.column;
        arena_release(&arena, memory);
    }
    printf("%d lines, %zu cut before the place, %zu very long\n", CASES, cut, very_long);
    assert_true(very_long > CASES / 100);
    assert_true(cut > CASES / 5);
    problems_begin(&problems, &arena);
}

static void test_a_long_line_is_cut_with_dots(void **state)
{
    (void)state;
    static char line[1001];
    memset(line, '-', 1000);
    line[0] = 'A';
    line[500] = 'B';
    line[999] = 'C';
    struct source *source = open_text(line);
    struct stave_place place = place_of(span_of(source, "A"));
    check_excerpt(place, "A");
    assert_int_equal(place.column, 1);
    assert_string_equal(place.excerpt + strlen(place.excerpt) - 3, "...");
    place = place_of(span_of(source, "B"));
    check_excerpt(place, "B");
    assert_int_equal(place.column, 501);
    assert_memory_equal(place.excerpt, "...", 3);
    assert_string_equal(place.excerpt + strlen(place.excerpt) - 3, "...");
    place = place_of(span_of(source, "C"));
    check_excerpt(place, "C");
    assert_int_equal(place.column, 1000);
    assert_memory_equal(place.excerpt, "...", 3);
    /* The whole line underlined: no further than it is shown. */
    place = place_of((struct span){source, 0, 1000});
    assert_true(place.width <= 100 && place.width >= 90);
    /* A line of exactly the width is not cut; the place past its end can be shown. */
    memset(line, '=', 100);
    line[100] = '\0';
    place = place_of((struct span){open_text(line), 100, 100});
    assert_string_equal(place.excerpt, line);
    assert_int_equal(place.excerpt_column, 101);
}

/* ---- the list ----------------------------------------------------------------------- */

static void test_a_problem_in_full(void **state)
{
    (void)state;
    struct source *source = open_text("kind gouge on blade\nlimit gouje on skin\n");
    struct stave_problem *problem =
        problem_add(&problems, STAVE_ERROR, "unknown-name", span_of(source, "gouje"),
                    "unknown kind '%s'", "gouje");
    assert_null(problem->help);
    assert_null(problem->second_message);
    problem_second(problem, &problems, span_of(source, "gouge"), "declared in line %d", 1);
    problem_help(problem, &problems, "did you mean '%s'?", "gouge");
    assert_int_equal(problems.count, 1);
    assert_int_equal(problems.error_count, 1);
    problem = &problems.items[0];
    assert_int_equal(problem->severity, STAVE_ERROR);
    assert_string_equal(problem->code, "unknown-name");
    assert_string_equal(problem->message, "unknown kind 'gouje'");
    assert_string_equal(problem->second_message, "declared in line 1");
    assert_string_equal(problem->help, "did you mean 'gouge'?");
    assert_int_equal(problem->at.line, 2);
    assert_int_equal(problem->at.column, 7);
    assert_int_equal(problem->at.width, 5);
    assert_int_equal(problem->second.line, 1);
    assert_int_equal(problem->second.column, 6);
    assert_string_equal(problem->second.excerpt, "kind gouge on blade");
}

/* Nothing that is shown can drive a terminal or break a line. */
static void test_what_is_shown_holds_no_control_characters(void **state)
{
    (void)state;
    assert_null(open_bytes("na\x1Bme\xFF", "a\x1B[31mb \xFF\xE2\x80\xAE", 12));
    const struct stave_problem *problem = &problems.items[0];
    assert_string_equal(problem->at.text_name, "na\xEF\xBF\xBDme\xEF\xBF\xBD");
    assert_string_equal(problem->at.excerpt, "a\xEF\xBF\xBD[31mb \xEF\xBF\xBD\xEF\xBF\xBD");
    problem = problem_add(&problems, STAVE_ERROR, "test", (struct span){0}, "it is '%s'",
                          "\x1B[2J\n\xC2\x85");
    assert_string_equal(problem->message, "it is '\xEF\xBF\xBD[2J\xEF\xBF\xBD\xEF\xBF\xBD'");
    struct source *source = open_bytes("dir\xFF/b", "x", 1);
    assert_string_equal(source->given_name, "dir\xFF/b");
    assert_string_equal(source->name, "dir\xEF\xBF\xBD/b");
}

static void test_a_long_message_is_cut_between_characters(void **state)
{
    (void)state;
    static char subject[5001];
    for (size_t i = 0; i < 5000; i += 2) {
        memcpy(subject + i, "µ", 2);
    }
    for (int i = 0; i < 2; i++) {
        const char *message = problem_add(&problems, STAVE_ERROR, "test", (struct span){0},
                                          i == 0 ? "%s" : "x%s", subject)
                                  ->message;
        size_t size = strlen(message);
        assert_true(size <= 1003 && size > 990);
        assert_int_equal(text_first_bad_utf8(message, size), size);
        assert_string_equal(message + size - 3, "...");
    }
}

static void test_sorting(void **state)
{
    (void)state;
    struct source *first = open_text("abcdef"), *second = open_text("abcdef");
    static const char order[] = "second d, first e, second a, first b, no place, first b again";
    struct span spans[] = {{second, 3, 4}, {first, 4, 5}, {second, 0, 1},
                           {first, 1, 2},  {NULL, 0, 0},  {first, 1, 3}};
    for (size_t i = 0; i < 6; i++) {
        problem_add(&problems, i % 2 ? STAVE_ERROR : STAVE_WARNING, "test", spans[i], "%zu of %s",
                    i, order);
    }
    problems_sort(&problems);
    static const char sorted[] = "435120"; /* equal places stay in the order of adding */
    for (size_t i = 0; i < 6; i++) {
        assert_int_equal(problems.items[i].message[0], sorted[i]);
    }
    assert_int_equal(problems.error_count, 3);
    assert_int_equal(problems.warning_count, 3);
}

static void test_caps(void **state)
{
    (void)state;
    struct source *source = open_text("0123456789");
    for (uint32_t i = 0; i < 1000; i++) {
        struct span span = {source, 9 - i % 10, 10 - i % 10};
        struct stave_problem *problem =
            problem_add(&problems, i % 2 ? STAVE_ERROR : STAVE_WARNING, "test", span, "%u", i);
        assert_non_null(problem);
        problem_second(problem, &problems, span, "%u", i);
        problem_help(problem, &problems, "%u", i);
    }
    assert_int_equal(problems.error_count, 500);
    assert_int_equal(problems.warning_count, 500);
    assert_int_equal(problems.count, 2 * PROBLEM_CAP);
    problems_sort(&problems);
    size_t errors = 0;
    for (size_t i = 0; i < problems.count; i++) {
        errors += problems.items[i].severity == STAVE_ERROR;
        bool more = strncmp(problems.items[i].code, "more-", 5) == 0;
        assert_int_equal(more, i >= problems.count - 2);
        if (!more) {
            assert_true(strtol(problems.items[i].message, NULL, 10) < 2 * PROBLEM_CAP);
        }
    }
    assert_int_equal(errors, PROBLEM_CAP);
    const struct stave_problem *last = &problems.items[problems.count - 1];
    bool error = last->severity == STAVE_ERROR;
    assert_string_equal(last->message, error ? "more errors than the 99 listed here"
                                             : "more warnings than the 99 listed here");
    assert_string_equal(last->help, "mend these first, then look again");
    assert_null(last->second_message);
}

/* Exactly as many as are kept: all are there. Past them, no more memory is used. */
static void test_the_cap_itself(void **state)
{
    (void)state;
    struct source *source = open_text("text");
    for (unsigned i = 0; i < PROBLEM_CAP; i++) {
        problem_add(&problems, STAVE_ERROR, "test", (struct span){source, 0, 4}, "%u", i);
    }
    assert_int_equal(problems.count, PROBLEM_CAP);
    assert_string_equal(problems.items[PROBLEM_CAP - 1].code, "test");
    problem_add(&problems, STAVE_ERROR, "test", (struct span){source, 0, 4}, "one more");
    assert_string_equal(problems.items[PROBLEM_CAP - 1].code, "more-errors");
    struct arena_mark before = arena_mark(&arena);
    for (unsigned i = 0; i < 10000; i++) {
        struct stave_problem *problem =
            problem_add(&problems, STAVE_ERROR, "test", (struct span){source, 0, 4}, "more");
        problem_help(problem, &problems, "%u", i);
        problem_second(problem, &problems, (struct span){source, 0, 4}, "%u", i);
    }
    struct arena_mark after = arena_mark(&arena);
    assert_ptr_equal(before.next, after.next);
    assert_int_equal(problems.count, PROBLEM_CAP);
    assert_int_equal(problems.error_count, PROBLEM_CAP + 10001);
}

/* ---- opening ----------------------------------------------------------------------------- */

static void test_digests(void **state)
{
    (void)state;
    /* FIPS 180-4, the examples for SHA-256 (from memory; agree with sha256sum). */
    assert_string_equal(open_bytes("a", NULL, 0)->sha256,
                        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    assert_string_equal(open_text("abc")->sha256,
                        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_string_equal(
        open_text("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq")->sha256,
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
}

/* The mark is skipped, yet digested: the digest is of the bytes as given. */
static void test_a_byte_order_mark(void **state)
{
    (void)state;
    struct source *source = open_text("\xEF\xBB\xBFstave 1");
    assert_string_equal(source->bytes, "stave 1");
    assert_int_equal(source->size, 7);
    assert_string_not_equal(source->sha256, open_text("stave 1")->sha256);
    assert_int_equal(place_of(span_of(source, "1")).column, 7);
}

static void test_texts_that_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        size_t size;
        const char *code;
        uint32_t line, column;
    } rows[] = {
        {"ok\nno \xFF", 7, "not-utf8", 2, 4},
        {"ok\xC3", 3, "not-utf8", 1, 3},
        {"caf\xE9 1\n", 7, "not-utf8", 1, 4}, /* Latin-1 */
        {"a\0b", 3, "nul-byte", 1, 2},
        {"a\rb", 3, "control-character", 1, 2},
        {"a\r", 2, "control-character", 1, 2},
        {"a\r\r\n", 4, "control-character", 1, 2},
        {"\x1B[0m", 4, "control-character", 1, 1},
        {"a\x0B", 2, "control-character", 1, 2},
        {"a\x7F", 2, "control-character", 1, 2},
        {"a\xC2\x85", 3, "control-character", 1, 2},        /* next line */
        {"a\xE2\x80\xA8", 4, "control-character", 1, 2},    /* line separator */
        {"\t\xE2\x80\xAE x", 6, "control-character", 1, 9}, /* right-to-left override */
        {"a\xE2\x81\xA6", 4, "control-character", 1, 2},    /* left-to-right isolate */
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        problems_begin(&problems, &arena);
        assert_null(open_bytes("x", rows[i].bytes, rows[i].size));
        assert_int_equal(problems.error_count, 1);
        assert_string_equal(problems.items[0].code, rows[i].code);
        assert_int_equal(problems.items[0].at.line, rows[i].line);
        assert_int_equal(problems.items[0].at.column, rows[i].column);
    }
    problems_begin(&problems, &arena);
    open_text("tab\there\r\nand CR LF\r\n\n\xE2\x80\x8Bjoiners are fine\xE2\x80\x8D\n");
    assert_int_equal(problems.error_count, 0);
}

static void test_each_line_tells_its_first_fault(void **state)
{
    (void)state;
    assert_null(open_bytes("x", "\xFF\xFF\x01\ngood\n\x01\xFF\n\xE2\x80\xAE\xE2\x80\xAE\n", 18));
    assert_int_equal(problems.count, 3);
    assert_string_equal(problems.items[0].code, "not-utf8");
    assert_string_equal(problems.items[1].message, "control character U+0001 in the text");
    assert_int_equal(problems.items[1].at.line, 3);
    assert_int_equal(problems.items[2].at.line, 4);
}

static void test_a_text_too_big(void **state)
{
    (void)state;
    static char bytes[LIMIT + 1];
    memset(bytes, ' ', sizeof bytes);
    assert_non_null(open_bytes("just", bytes, LIMIT));
    assert_int_equal(problems.error_count, 0);
    assert_null(open_bytes("over", bytes, LIMIT + 1));
    assert_string_equal(problems.items[0].code, "text-too-big");
    assert_string_equal(problems.items[0].at.text_name, "over");
    assert_string_equal(problems.items[0].message,
                        "the text has 1048577 bytes, more than the 1048576 that are read");
}

/* The worst that a text can cost: a line of megabytes and problems all along it. */
static void test_a_hostile_line_stays_cheap(void **state)
{
    (void)state;
    size_t size = SOURCE_BOOK_LIMIT;
    char *bytes = malloc(size);
    assert_non_null(bytes);
    memset(bytes, '\t', size);
    struct stave_text text = {"long", bytes, size};
    struct source *source = source_open(&arena, &text, size, &problems);
    assert_non_null(source);
    for (uint32_t i = 0; i < 100000; i++) {
        uint32_t from = (uint32_t)size - 1 - i;
        problem_add(&problems, STAVE_ERROR, "test", (struct span){source, from, from + 1}, "x");
    }
    problems_sort(&problems);
    assert_int_equal(problems.count, PROBLEM_CAP);
    assert_int_equal(problems.items[98].at.column, 8 * (size - 1) + 1);
    free(bytes);
}

/* Marks without a width, without end, cannot make an excerpt of megabytes. */
static void test_a_heap_of_marks_stays_small(void **state)
{
    (void)state;
    static char bytes[300001];
    for (size_t i = 0; i < 300000; i += 2) {
        memcpy(bytes + i, "\xCC\x81", 2);
    }
    bytes[0] = 'x';
    bytes[1] = 'x';
    struct source *source = open_bytes("marks", bytes, 300000);
    assert_non_null(source);
    for (uint32_t from = 0; from <= 300000; from += 100000) {
        struct stave_place place = place_of((struct span){source, from, 300000});
        assert_true(strlen(place.excerpt) < 2000);
        assert_int_equal(place.column, from == 0 ? 1 : 3);
        assert_int_equal(place.width, from == 0 ? 2 : 1);
    }
}

/* ---- the text of a span --------------------------------------------------------------- */

static void test_span_text(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"depth up to 1 in", "depth up to 1 in"},
        {"  depth \t up  to 1 in  ", "depth up to 1 in"},
        {"a,   # why, \"so\"\r\n     # and\n\n  b", "a, b"},
        {"do \"fill  and # re-finish\"  # it", "do \"fill  and # re-finish\""},
        {"note \"a \\\" # b\"  c # d", "note \"a \\\" # b\" c"},
        {"note \"open # string\n x", "note \"open # string x"},
        {"note \"ends in \\\n  x", "note \"ends in \\ x"},
        {"blade 1  gouge ; was  F-112 # 3", "blade 1 gouge ; was  F-112 # 3"},
        {"gouge ; rem\r\nnext", "gouge ; rem next"},
        {"# all comment", ""},
        {"", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct source *source = open_text(rows[i][0]);
        struct span all = {source, 0, (uint32_t)source->size};
        assert_string_equal(span_text(&arena, all), rows[i][1]);
    }
    struct source *source = open_text("one two three");
    assert_string_equal(span_text(&arena, span_of(source, "two t")), "two t");
    assert_string_equal(span_text(&arena, (struct span){0}), "");
    struct span joined = span_join(span_of(source, "one"), span_of(source, "two"));
    assert_string_equal(span_text(&arena, joined), "one two");
    assert_ptr_equal(span_join((struct span){0}, joined).source, source);
    assert_int_equal(span_join(joined, (struct span){0}).to, joined.to);
    assert_int_equal(span_join(joined, span_of(open_text("other two"), "two")).to, joined.to);
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_lines_and_columns),
        TEST(test_an_empty_text_and_no_text),
        TEST(test_tabs_and_wide_characters),
        TEST(test_excerpts_of_random_lines),
        TEST(test_a_long_line_is_cut_with_dots),
        TEST(test_a_problem_in_full),
        TEST(test_what_is_shown_holds_no_control_characters),
        TEST(test_a_long_message_is_cut_between_characters),
        TEST(test_sorting),
        TEST(test_caps),
        TEST(test_the_cap_itself),
        TEST(test_digests),
        TEST(test_a_byte_order_mark),
        TEST(test_texts_that_are_refused),
        TEST(test_each_line_tells_its_first_fault),
        TEST(test_a_text_too_big),
        TEST(test_a_hostile_line_stays_cheap),
        TEST(test_a_heap_of_marks_stays_small),
        TEST(test_span_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
