/* Texts: UTF-8 by the rules of RFC 3629, columns, strings under construction, near names. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"

static struct escape out;
static struct arena arena;

static int set_up(void **state)
{
    (void)state;
    arena_begin(&arena, NULL, &out);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    arena_end(&arena);
    return 0;
}

/* ---- UTF-8 --------------------------------------------------------------------- */

static size_t encode(uint32_t point, char bytes[4])
{
    if (point < 0x80) {
        bytes[0] = (char)point;
        return 1;
    }
    size_t length = point < 0x800 ? 2 : point < 0x10000 ? 3 : 4;
    for (size_t i = length - 1; i > 0; i--) {
        bytes[i] = (char)(0x80u | (point & 0x3Fu));
        point >>= 6;
    }
    static const unsigned first[] = {0, 0, 0xC0, 0xE0, 0xF0};
    bytes[0] = (char)(first[length] | point);
    return length;
}

/* Every code point is read back with its length; surrogates are not; no shorter cut is. */
static void test_every_code_point(void **state)
{
    (void)state;
    for (uint32_t point = 0; point <= 0x10FFFF; point++) {
        char bytes[4];
        size_t length = encode(point, bytes);
        uint32_t read = 0xDEAD;
        bool surrogate = point >= 0xD800 && point <= 0xDFFF;
        size_t got = text_utf8_length(bytes, length, &read);
        if (got != (surrogate ? 0 : length) || read != (surrogate ? 0xDEAD : point) ||
            text_utf8_length(bytes, length - 1, NULL) != 0) {
            fail_msg("U+%04X", (unsigned)point);
        }
    }
    printf("%d code points\n", 0x110000);
}

/*
 * Every sequence of three bytes: it is well formed exactly when it is the encoding of the
 * code points that it decodes to (so no overlong or cut form passes).
 */
static void test_every_sequence_of_three_bytes(void **state)
{
    (void)state;
    size_t good = 0;
    for (uint32_t sequence = 0; sequence < 1u << 24; sequence++) {
        char bytes[3] = {(char)(sequence >> 16), (char)(sequence >> 8), (char)sequence}, again[4];
        uint32_t point = 0;
        size_t length = text_utf8_length(bytes, 3, &point);
        if (length != 0 && (encode(point, again) != length || memcmp(bytes, again, length) != 0)) {
            fail_msg("%06X", (unsigned)sequence);
        }
        good += length == 3;
    }
    printf("%d sequences\n", 1 << 24);
    assert_int_equal(good, 0x10000 - 0x800 - 0x800); /* U+0800 to U+FFFF without surrogates */
}

static void test_first_bad_utf8(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        size_t bad; /* SIZE_MAX: none */
    } rows[] = {
        {"", SIZE_MAX},
        {"plain", SIZE_MAX},
        {"\xC2\xB5m \xE6\xBC\xA2 \xF0\x9F\x9B\xA9", SIZE_MAX},
        {"ab\xFF", 2},
        {"\x80", 0},
        {"a\xC0\x80", 1},        /* overlong NUL */
        {"a\xE0\x80\xAF", 1},    /* overlong slash */
        {"\xED\xA0\x80", 0},     /* a surrogate */
        {"\xF4\x90\x80\x80", 0}, /* above U+10FFFF */
        {"\xF5\x80\x80\x80", 0},
        {"ok\xE6\xBC", 2}, /* cut off */
        {"ok\xC2 x", 2},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t size = strlen(rows[i].text);
        assert_int_equal(text_first_bad_utf8(rows[i].text, size),
                         rows[i].bad == SIZE_MAX ? size : rows[i].bad);
    }
}

static void test_columns(void **state)
{
    (void)state;
    static const struct {
        uint32_t point;
        unsigned columns;
    } rows[] = {
        {'a', 1},     {0xB5, 1},    {0xB2, 1},   {0x2026, 1}, {0x3B1, 1},    {0x416, 1},
        {0x300, 0},   {0x301, 0},   {0x20E3, 0}, {0x200B, 0}, {0x200D, 0},   {0xFE0F, 0},
        {0x0E31, 0},  {0x6F22, 2},  {0x3042, 2}, {0xAC00, 2}, {0xFF01, 2},   {0xFF65, 1},
        {0x1F600, 2}, {0x20000, 2}, {0x1100, 2}, {0x1160, 0}, {0x10FFFF, 1}, {0x2FF, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (text_columns(rows[i].point) != rows[i].columns) {
            fail_msg("U+%04X has %u columns", (unsigned)rows[i].point, text_columns(rows[i].point));
        }
    }
}

/* ---- building ------------------------------------------------------------------------ */

static void test_building(void **state)
{
    (void)state;
    struct text text;
    text_begin(&text, &arena);
    assert_string_equal(text_done(&text), "");
    text_add(&text, "depth");
    text_add_char(&text, ' ');
    text_add_bytes(&text, "0.0275 inches", 9);
    text_addf(&text, "%c %s %u %d %zu", ',', "of", 3u, -4, (size_t)5);
    assert_string_equal(text_done(&text), "depth 0.0275 in, of 3 -4 5");
    assert_int_equal(text.size, strlen(text_done(&text)));
    assert_string_equal(text_format(&arena, "%s", ""), "");
}

/* Around the size of the buffer in which short results are formatted, and far beyond. */
static void test_long_results(void **state)
{
    (void)state;
    static char wanted[5000];
    for (size_t size = 250; size < sizeof wanted; size += size < 260 ? 1 : 797) {
        memset(wanted, 'x', size);
        wanted[size] = '\0';
        assert_string_equal(text_format(&arena, "%s", wanted), wanted);
        struct text text;
        text_begin(&text, &arena);
        for (size_t i = 0; i < 20; i++) {
            text_addf(&text, "%s%s", i % 2 ? "" : "-", wanted);
        }
        assert_int_equal(strlen(text_done(&text)), 20 * size + 10);
        assert_int_equal(text.size, 20 * size + 10);
    }
}

/* ---- near names ------------------------------------------------------------------------ */

static void test_nearest(void **state)
{
    (void)state;
    static const char *const names[] = {"gouge", "nick", "crack", "erosion", "debond",
                                        "gauge", "tip",  "mid",   "a",       "trace-at-shank"};
    static const struct {
        const char *wanted, *nearest;
    } rows[] = {
        {"gouje", "gouge"},
        {"goug", "gouge"},
        {"gougee", "gouge"},
        {"guoge", "gouge"},
        {"Gouge", "gouge"},
        {"GOUGE", "gouge"},
        {"gage", "gauge"},
        {"gxuge", "gouge"},
        {"crak", "crack"},
        {"errosion", "erosion"},
        {"debnod", "debond"},
        {"tp", "tip"},
        {"trace_at_shank", "trace-at-shank"},
        {"trce-at-shnk", "trace-at-shank"},
        {"scratch", NULL},
        {"x", NULL},
        {"", NULL},
        {"ix", NULL},
        {"gouge-depth", NULL},
        {"trcatshnk", NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *nearest =
            text_nearest(&arena, rows[i].wanted, names, sizeof names / sizeof names[0]);
        if ((nearest == NULL) != (rows[i].nearest == NULL) ||
            (nearest != NULL && strcmp(nearest, rows[i].nearest) != 0)) {
            fail_msg("'%s' is near '%s'", rows[i].wanted, nearest ? nearest : "nothing");
        }
    }
    static char longer[200];
    memset(longer, 'g', sizeof longer - 1);
    const char *const own[] = {longer};
    assert_null(text_nearest(&arena, longer, own, 1));
    assert_null(text_nearest(&arena, "gouge", NULL, 0));
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_every_code_point), TEST(test_every_sequence_of_three_bytes),
        TEST(test_first_bad_utf8),   TEST(test_columns),
        TEST(test_building),         TEST(test_long_results),
        TEST(test_nearest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
