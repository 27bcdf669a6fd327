/* Showing: characters, wrapping, carets, and escaping in each form for programs. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <jansson.h>

#include "show/characters.h"
#include "show/ink.h"
#include "show/show.h"

static uint32_t next_random(uint32_t *random)
{
    *random = *random * 1664525u + 1013904223u;
    return *random >> 8;
}

/* Independent of the reader: code point to UTF-8. */
static unsigned encode(uint32_t point, char out[5])
{
    unsigned size = 0;
    if (point < 0x80) {
        out[size++] = (char)point;
    } else if (point < 0x800) {
        out[size++] = (char)(0xC0 | point >> 6);
        out[size++] = (char)(0x80 | (point & 0x3F));
    } else if (point < 0x10000) {
        out[size++] = (char)(0xE0 | point >> 12);
        out[size++] = (char)(0x80 | (point >> 6 & 0x3F));
        out[size++] = (char)(0x80 | (point & 0x3F));
    } else {
        out[size++] = (char)(0xF0 | point >> 18);
        out[size++] = (char)(0x80 | (point >> 12 & 0x3F));
        out[size++] = (char)(0x80 | (point >> 6 & 0x3F));
        out[size++] = (char)(0x80 | (point & 0x3F));
    }
    out[size] = '\0';
    return size;
}

/* ---- characters ------------------------------------------------------------------- */

static void test_every_code_point_is_read_back(void **state)
{
    (void)state;
    size_t count = 0;
    for (uint32_t point = 1; point <= 0x10FFFF; point++) {
        char text[5];
        unsigned size = encode(point, text);
        struct character character = character_read(text);
        if (point >= 0xD800 && point <= 0xDFFF) { /* surrogates are no characters */
            assert_true(character.malformed);
            assert_int_equal(character.length, 1);
        } else {
            assert_false(character.malformed);
            assert_int_equal(character.point, point);
            assert_int_equal(character.length, size);
        }
        count++;
    }
    printf("# %zu code points\n", count);
}

static void test_malformed_bytes_are_taken_one_by_one(void **state)
{
    (void)state;
    static const char *const bad[] = {"\x80",         "\xC3",
                                      "\xC0\x80",     "\xE2\x82",
                                      "\xE0\x80\x80", "\xF5\x80\x80\x80",
                                      "\xFF",         "\xF4\x90\x80\x80",
                                      "\xC3(",        "\xF0\x9F\x98"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct character character = character_read(bad[i]);
        assert_true(character.malformed);
        assert_int_equal(character.length, 1);
        char spelling[CHARACTER_SPELLING];
        assert_int_equal(character_spell(bad[i], character, spelling), 6);
        assert_memory_equal(spelling, "<0x", 3);
    }
}

static void test_controls_and_direction_marks_are_spelled(void **state)
{
    (void)state;
    /* The controls C0, DEL and C1; Unicode's property Bidi_Control (from memory). */
    static const uint32_t direction[] = {0x61C,  0x200E, 0x200F, 0x202A, 0x202B, 0x202C,
                                         0x202D, 0x202E, 0x2066, 0x2067, 0x2068, 0x2069};
    for (uint32_t point = 1; point < 0xA0; point++) {
        assert_int_equal(character_is_hidden(point), point < 0x20 || point >= 0x7F);
    }
    for (size_t i = 0; i < sizeof direction / sizeof *direction; i++) {
        assert_true(character_is_hidden(direction[i]));
    }
    static const uint32_t plain[] = {' ', 'a', 0xB5, 0xB7, 0xE9, 0x2013, 0x4E16, 0x1F600};
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        assert_false(character_is_hidden(plain[i]));
    }
    char spelling[CHARACTER_SPELLING];
    const char *right_to_left = "\xE2\x80\xAE";
    assert_int_equal(character_spell(right_to_left, character_read(right_to_left), spelling), 8);
    assert_string_equal(spelling, "<U+202E>");
    const char *last = "\xF4\x8F\xBF\xBF";
    assert_int_equal(character_spell(last, character_read(last), spelling), 10);
    assert_string_equal(spelling, "<U+10FFFF>");
}

/* ---- wrapping ----------------------------------------------------------------------- */

static unsigned columns_of(const char *from, const char *to)
{
    unsigned columns = 0;
    while (from < to) {
        struct character character = character_read(from);
        columns += character_columns(character.point);
        from += character.length;
    }
    return columns;
}

/* Every line of the page fits, and none ends in a blank. */
static void assert_lines_fit(const struct page *page)
{
    const char *line = page->done.text;
    while (*line) {
        const char *end = strchr(line, '\n');
        assert_non_null(end);
        assert_true(columns_of(line, end) <= page->width);
        assert_true(end == line || end[-1] != ' ');
        line = end + 1;
    }
}

static void without_blanks(const char *text, char *out)
{
    for (; *text; text++) {
        if (*text != ' ' && *text != '\n') {
            *out++ = *text;
        }
    }
    *out = '\0';
}

static void random_paragraph(uint32_t *random, char *out)
{
    static const char *const words[] = {
        "a",
        "depth",
        "36",
        "in",
        "..",
        "+/-",
        "0.018",
        "thou,",
        "line",
        "2",
        "1.",
        "\xC2\xB5m",
        "\xE4\xB8\x96\xE7\x95\x8C",
        "e\xCC\x81",
        "gouge-depth",
        "averyveryverylongwordthatisbyitselfwiderthanawholelineofthenarrowestpagethatthereis",
    };
    size_t count = 1 + next_random(random) % 40;
    *out = '\0';
    for (size_t i = 0; i < count; i++) {
        strcat(out, i ? " " : "");
        strcat(out, words[next_random(random) % (sizeof words / sizeof *words)]);
    }
}

static void test_lines_fit_and_lose_nothing(void **state)
{
    (void)state;
    uint32_t random = 7;
    size_t count = 20000;
    static char paragraph[8192], before[8192], after[8192];
    for (size_t i = 0; i < count; i++) {
        struct page page;
        page_begin(&page, 40 + next_random(&random) % 41, false);
        random_paragraph(&random, paragraph);
        page_line(&page, next_random(&random) % 20, next_random(&random) % 20, "%s", paragraph);
        assert_false(page.failed);
        assert_lines_fit(&page);
        without_blanks(paragraph, before);
        without_blanks(page.done.text, after);
        assert_string_equal(before, after);
        page_end(&page);
    }
    printf("# %zu paragraphs\n", count);
}

static void assert_flows(unsigned width, const char *text, const char *expected)
{
    struct page page;
    page_begin(&page, width, false);
    page_line(&page, 0, 2, "%s", text);
    assert_string_equal(page.done.text, expected);
    page_end(&page);
}

static void test_a_figure_keeps_its_unit_and_its_name(void **state)
{
    (void)state;
    assert_flows(40, "the reading that was taken at station 36 in",
                 "the reading that was taken at\n"
                 "  station 36 in\n");
    assert_flows(40, "the reading that was taken is 0.018 +/- 0.002 in",
                 "the reading that was taken is\n  0.018 +/- 0.002 in\n");
    assert_flows(40, "one two three four five six seven eight nine",
                 "one two three four five six seven eight\n  nine\n");
}

static void test_widths_are_held_within_bounds(void **state)
{
    (void)state;
    struct page page;
    page_begin(&page, 0, false);
    assert_int_equal(page.width, 80);
    page_begin(&page, 3, false);
    assert_int_equal(page.width, 40);
    page_begin(&page, 300, false);
    assert_int_equal(page.width, 80);
}

static void test_rows(void **state)
{
    (void)state;
    struct page page;
    page_begin(&page, 0, false);
    page_write(&page, "one");
    page_row(&page, 4, "label");
    page_write(&page, "two");
    page_row(&page, 4, "");
    page_write(&page, "three");
    page_row(&page, 4, "a-label-longer-than-its-column");
    assert_string_equal(page.done.text, "    label           one\n"
                                        "                    two\n"
                                        "    a-label-longer-than-its-column three\n");
    page_end(&page);
    page_begin(&page, 40, false);
    page_write(&page, "one");
    page_row(&page, 4, "label");
    page_write(&page, "two");
    page_row(&page, 4, "");
    assert_string_equal(page.done.text, "    label: one\n        two\n");
    page_end(&page);
}

static void test_colour_only_when_asked_and_never_from_a_file(void **state)
{
    (void)state;
    for (int colour = 0; colour < 2; colour++) {
        struct page page;
        page_begin(&page, 0, colour);
        page_line(&page, 0, 0, MARK_STRONG "%s" MARK_PLAIN, "\1x\33[2Jy");
        assert_string_equal(page.done.text, colour ? "\33[1m<U+0001>x<U+001B>[2Jy\33[0m\n"
                                                   : "<U+0001>x<U+001B>[2Jy\n");
        page_end(&page);
    }
}

/* ---- problems -------------------------------------------------------------------------- */

static void assert_caret(const char *excerpt, uint32_t column, uint32_t width, const char *expected)
{
    const struct stave_problem problem = {
        .severity = STAVE_ERROR,
        .code = "c",
        .message = "m",
        .at = {.text_name = "t",
               .line = 2,
               .column = column,
               .width = width,
               .excerpt = excerpt,
               .excerpt_column = column},
    };
    struct page page;
    page_begin(&page, 40, false);
    show_problems(&page, &problem, 1);
    assert_string_equal(strchr(page.done.text, '\n') + 1, expected);
    assert_false(page.failed);
    page_end(&page);
}

static void test_the_caret_stands_under_its_character(void **state)
{
    (void)state;
    assert_caret("limit gouje", 7, 5, "    limit gouje\n          ^^^^^\n");
    /* Wide characters take two columns, combining marks none. */
    assert_caret("\xE4\xB8\x96\xE7\x95\x8C x", 4, 1,
                 "    \xE4\xB8\x96\xE7\x95\x8C x\n         ^\n");
    assert_caret("e\xCC\x81 x", 4, 1, "    e\xCC\x81 x\n      ^\n");
    /* A spelled character is underlined whole, and shifts what is after it. */
    assert_caret("\xE2\x80\xAE x", 1, 1, "    <U+202E> x\n    ^^^^^^^^\n");
    assert_caret("\xE2\x80\xAE x", 3, 1, "    <U+202E> x\n             ^\n");
    /* Past the end of the line, as for something that is missing. */
    assert_caret("abc", 4, 1, "    abc\n       ^\n");
    assert_caret("abc", 1, 0, "    abc\n    ^\n");
    /* Not UTF-8. */
    assert_caret("a\xFF"
                 "b",
                 3, 1, "    a<0xFF>b\n           ^\n");
}

static void assert_head(const char *name, unsigned width, const char *expected)
{
    const struct stave_problem problem = {
        .severity = STAVE_ERROR,
        .code = "c",
        .message = "unknown kind 'gouje'",
        .at = {.text_name = name, .line = 52, .column = 7, .width = 1},
        .second_message = "declared here",
        .second = {.text_name = name, .line = 40, .column = 6, .width = 1},
    };
    struct page page;
    page_begin(&page, width, false);
    show_problems(&page, &problem, 1);
    assert_string_equal(page.done.text, expected);
    page_end(&page);
}

static void test_a_place_is_never_broken(void **state)
{
    (void)state;
    assert_head("b", 40, "b:52:7: error: unknown kind 'gouje'\n  b:40:6: declared here\n");
    assert_head("rules/of/the/house/b", 40,
                "rules/of/the/house/b:52:7:\n  error: unknown kind 'gouje'\n"
                "  rules/of/the/house/b:40:6:\n    declared here\n");
    assert_head("a-name-that-is-by-itself-longer-than-a-line", 40,
                "a-name-that-is-by-itself-longer-than-a-line:52:7:\n  error: unknown kind 'gouje'\n"
                "  a-name-that-is-by-itself-longer-than-a-line:40:6:\n    declared here\n");
    assert_head(NULL, 40, "error: unknown kind 'gouje'\n  declared here\n");
}

static void test_a_long_line_is_cut_around_the_caret(void **state)
{
    (void)state;
    uint32_t random = 11;
    size_t count = 5000;
    for (size_t i = 0; i < count; i++) {
        char excerpt[301];
        size_t size = 1 + next_random(&random) % 300;
        memset(excerpt, 'a', size);
        excerpt[size] = '\0';
        uint32_t column = 1 + next_random(&random) % (uint32_t)size;
        excerpt[column - 1] = 'X';
        const struct stave_problem problem = {
            .code = "c",
            .message = "m",
            .at = {.text_name = "t",
                   .line = 1,
                   .column = column,
                   .width = 1 + next_random(&random) % 400,
                   .excerpt = excerpt,
                   .excerpt_column = column},
        };
        struct page page;
        page_begin(&page, 40 + next_random(&random) % 41, false);
        show_problems(&page, &problem, 1);
        assert_lines_fit(&page);
        char *line = strchr(page.done.text, '\n') + 1;
        char *carets = strchr(line, '\n') + 1;
        assert_int_equal(strcspn(line, "X"), strcspn(carets, "^"));
        page_end(&page);
    }
    printf("# %zu excerpts\n", count);
}

/* ---- forms for programs ------------------------------------------------------------------- */

static const char hostile[] = "a\nok 99 - b # TODO \\ \"q\" <x> & ]]> \33[2J \xE2\x80\xAE \xFF";

static const struct stave_book_facts facts = {.id = "B\n1", .model = "", .edition = "A"};

static stave_proof hostile_proof(struct stave_example_result *result)
{
    *result = (struct stave_example_result){
        .title = hostile,
        .source = hostile,
        .text_name = hostile,
        .line = 7,
        .case_text = hostile,
        .expected = hostile,
        .found = hostile,
        .why = hostile,
        .passed = false,
    };
    return (stave_proof){.results = result, .result_count = 1, .failed = 1};
}

static size_t count_lines(const char *text)
{
    size_t count = 0;
    for (; *text; text++) {
        count += *text == '\n';
    }
    return count;
}

/* TAP 14, seen: "TAP version 14", one plan, test points, YAML blocks indented by two. */
static void test_tap_cannot_be_forged(void **state)
{
    (void)state;
    struct stave_example_result result;
    stave_proof proof = hostile_proof(&result);
    struct page page;
    page_begin(&page, 0, false);
    show_proof_tap(&page, &(struct show_proved){.book = &facts, .examples = &proof});
    assert_string_equal(
        page.done.text,
        "TAP version 14\n1..1\n"
        "not ok 1 - a<U+000A>ok 99 - b \\# TODO \\\\ \"q\" <x> & ]]> <U+001B>[2J <U+202E> <0xFF>: "
        "a<U+000A>ok 99 - b \\# TODO \\\\ \"q\" <x> & ]]> <U+001B>[2J <U+202E> <0xFF>, gives "
        "a<U+000A>ok 99 - b \\# TODO \\\\ \"q\" <x> & ]]> <U+001B>[2J <U+202E> <0xFF>\n"
        "  ---\n"
#define VALUE "\"a<U+000A>ok 99 - b # TODO \\\\ \\\"q\\\" <x> & ]]> <U+001B>[2J <U+202E> <0xFF>\"\n"
        "  case: " VALUE "  expected: " VALUE "  found: " VALUE "  why: " VALUE "  source: " VALUE
        "  file: " VALUE "  line: 7\n  ...\n");
    page_end(&page);
}

static void test_no_examples_is_a_failure_in_every_form(void **state)
{
    (void)state;
    const stave_proof proof = {0};
    struct page page;
    page_begin(&page, 0, false);
    show_proof_tap(&page, &(struct show_proved){.book = &facts, .examples = &proof});
    assert_non_null(strstr(page.done.text, "\n1..1\nnot ok 1 - B<U+000A>1 has at least one"));
    page_end(&page);
    page_begin(&page, 0, false);
    show_proof_junit(&page, &(struct show_proved){.book = &facts, .examples = &proof});
    assert_non_null(strstr(page.done.text, "<testsuites tests=\"1\" failures=\"1\""));
    assert_non_null(strstr(page.done.text, "<failure "));
    page_end(&page);
    page_begin(&page, 0, false);
    show_proof(&page, &(struct show_proved){.book = &facts, .examples = &proof});
    assert_non_null(strstr(page.done.text, "no examples"));
    page_end(&page);
}

static void test_junit_holds_any_text(void **state)
{
    (void)state;
    struct stave_example_result result;
    stave_proof proof = hostile_proof(&result);
    struct page page;
    page_begin(&page, 0, false);
    show_proof_junit(&page, &(struct show_proved){.book = &facts, .examples = &proof});
    assert_int_equal(count_lines(page.done.text), 8);
    assert_non_null(strstr(
        page.done.text, "name=\"a&lt;U+000A&gt;ok 99 - b # TODO \\ &quot;q&quot; &lt;x&gt; &amp; "
                        "]]&gt; &lt;U+001B&gt;[2J &lt;U+202E&gt; &lt;0xFF&gt;: a"));
    for (const char *at = page.done.text; *at; at++) {
        assert_true(*at == '\n' || (unsigned char)*at >= 0x20);
    }
    page_end(&page);
}

static void test_json_gives_every_text_back(void **state)
{
    (void)state;
    const struct stave_problem problem = {
        .severity = STAVE_WARNING,
        .code = "c",
        .message = hostile,
        .at = {.text_name = "t",
               .line = 1,
               .column = 2,
               .width = 3,
               .excerpt = hostile,
               .excerpt_column = 4},
    };
    struct page page;
    page_begin(&page, 0, false);
    show_problems_json(&page, &problem, 1);
    assert_false(page.failed);
    for (const char *at = page.done.text; *at; at++) {
        assert_true(*at == '\n' || (*at >= 0x20 && *at < 0x7F));
    }
    json_error_t error;
    json_t *document = json_loads(page.done.text, JSON_REJECT_DUPLICATES, &error);
    assert_non_null(document);
    json_t *first = json_array_get(json_object_get(document, "problems"), 0);
    const char *message = json_string_value(json_object_get(first, "message"));
    size_t size = strlen(hostile) - 1;
    assert_memory_equal(message, hostile, size);
    assert_string_equal(message + size, "\xEF\xBF\xBD"); /* for the byte that is not UTF-8 */
    assert_true(json_is_null(json_object_get(first, "second")));
    assert_true(json_is_null(json_object_get(first, "help")));
    json_decref(document);
    page_end(&page);
}

/* ---- markup ------------------------------------------------------------------------- */

static void test_no_text_becomes_markup(void **state)
{
    (void)state;
    size_t count = 0;
    for (uint32_t point = 1; point <= 0x10FFFF; point++) {
        if (point >= 0xD800 && point <= 0xDFFF) {
            continue;
        }
        char text[5];
        struct page page;
        encode(point, text);
        page_begin(&page, 0, false);
        markup(&page, "%s", text);
        const char *made = page.done.text;
        bool special = point < 0x80 && strchr("<>&\"'", (int)point);
        bool hidden = character_is_hidden(point);
        assert_null(strpbrk(made, "<>\"'"));
        assert_true(special || hidden ? made[0] == '&' : strcmp(made, text) == 0);
        assert_true(!hidden || strncmp(made, "&lt;U+", 6) == 0);
        page_end(&page);
        count++;
    }
    printf("%zu characters in markup\n", count);
}

static void test_places_for_ink(void **state)
{
    (void)state;
    struct page page;
    page_begin(&page, 0, false);
    markup(&page, "%f %f %f %f %f %u %d %zu%%", 12.0, 12.5, -0.004, 1e300, 3.14159, 7u, -3,
           (size_t)9);
    assert_string_equal(page.done.text, "12 12.5 0 0 3.14 7 -3 9%");
    page_end(&page);
    struct stave_figure figure = {"-55/2", "-27.5", "in", false};
    assert_true(ink_value(&figure) == -27.5);
    int places;
    assert_true(ink_step(46, 10, &places) == 5 && places == 0);
    assert_true(ink_step(0.104, 6, &places) > 0.0199 && ink_step(0.104, 6, &places) < 0.0201);
    assert_int_equal(places, 2);
    assert_true(ink_step(0, 6, &places) == 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_code_point_is_read_back),
        cmocka_unit_test(test_malformed_bytes_are_taken_one_by_one),
        cmocka_unit_test(test_controls_and_direction_marks_are_spelled),
        cmocka_unit_test(test_lines_fit_and_lose_nothing),
        cmocka_unit_test(test_a_figure_keeps_its_unit_and_its_name),
        cmocka_unit_test(test_widths_are_held_within_bounds),
        cmocka_unit_test(test_rows),
        cmocka_unit_test(test_colour_only_when_asked_and_never_from_a_file),
        cmocka_unit_test(test_the_caret_stands_under_its_character),
        cmocka_unit_test(test_a_place_is_never_broken),
        cmocka_unit_test(test_a_long_line_is_cut_around_the_caret),
        cmocka_unit_test(test_tap_cannot_be_forged),
        cmocka_unit_test(test_no_examples_is_a_failure_in_every_form),
        cmocka_unit_test(test_junit_holds_any_text),
        cmocka_unit_test(test_json_gives_every_text_back),
        cmocka_unit_test(test_no_text_becomes_markup),
        cmocka_unit_test(test_places_for_ink),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
