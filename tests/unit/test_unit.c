/*
 * Units: each spelling against the exact definitions of NIST SP 811, appendix B (from memory,
 * recomputed and consistent), and against Debian's program `units` where it is installed.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "base/unit.h"

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

static const struct unit *find(const char *spelling)
{
    const struct unit *unit = unit_find(spelling, strlen(spelling));
    if (unit == NULL) {
        fail_msg("no unit is spelled '%s'", spelling);
    }
    return unit;
}

/* "25.4", also with more digits than a person may type. */
static struct number decimal(const char *text)
{
    const char *point = strchr(text, '.');
    struct number value = NUMBER_ZERO;
    for (const char *at = text; *at != '\0'; at++) {
        if (at != point) {
            value = number_multiply(&arena, value, NUMBER_INT(10));
            value = number_add(&arena, value, NUMBER_INT(*at - '0'));
        }
    }
    for (size_t i = point != NULL ? strlen(point + 1) : 0; i > 0; i--) {
        value = number_divide(&arena, value, NUMBER_INT(10));
    }
    return value;
}

/* ---- exact definitions ---------------------------------------------------------- */

/* One unit is `figure` of `other`: NIST SP 811, appendix B (from memory, recomputed). */
static const struct {
    const char *unit, *figure, *other;
} definitions[] = {
    {"in", "25.4", "mm"},
    {"ft", "304.8", "mm"},
    {"ft", "12", "in"},
    {"in", "1000", "thou"},
    {"cm", "10", "mm"},
    {"m", "1000", "mm"},
    {"mm", "1000", "um"},
    {"in2", "645.16", "mm2"},
    {"ft2", "144", "in2"},
    {"in2", "1000000", "thou2"},
    {"cm2", "100", "mm2"},
    {"m2", "1000000", "mm2"},
    {"mm2", "1000000", "um2"},
    {"deg", "60", "arcmin"},
    {"lb", "0.45359237", "kg"},
    {"oz", "28.349523125", "g"},
    {"lb", "16", "oz"},
    {"kg", "1000", "g"},
    {"lbf", "4.4482216152605", "N"},
    {"lbf.in", "0.1129848290276167", "N.m"},
    {"lbf.ft", "12", "lbf.in"},
    {"h", "60", "min"},
};

static void test_exact_definitions(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof definitions / sizeof definitions[0]; i++) {
        const struct unit *unit = find(definitions[i].unit), *other = find(definitions[i].other);
        assert_true(dimension_equal(unit->dimension, other->dimension));
        struct number wanted =
            number_multiply(&arena, decimal(definitions[i].figure), other->factor);
        assert_string_equal(number_fraction(&arena, unit->factor), number_fraction(&arena, wanted));
    }
    /* lbf.ft = 1.3558179483314004 N.m (rounded; NIST SP 811, from memory, recomputed). */
    struct number foot = number_divide(&arena, find("lbf.ft")->factor, find("N.m")->factor);
    bool rounded;
    assert_string_equal(number_decimal(&arena, foot, 16, NUMBER_EVEN, &rounded),
                        "1.3558179483314004");
    static const char *const bases[] = {"mm", "mm2", "deg", "kg", "N", "h", "day", "cycle"};
    for (size_t i = 0; i < sizeof bases / sizeof bases[0]; i++) {
        assert_true(number_equal(find(bases[i])->factor, NUMBER_INT(1)));
    }
    assert_true(number_equal(find("%")->factor, number_make(&arena, 1, 100)));
}

/* A factor out of lowest terms would break number_equal without a sound. */
static void test_factors_are_in_lowest_terms(void **state)
{
    (void)state;
    size_t count = 0;
    for (; unit_at(count) != NULL; count++) {
        struct number factor = unit_at(count)->factor;
        assert_true(factor.den > 0 && factor.num > 0);
        assert_true(number_equal(factor, number_make(&arena, factor.num, factor.den)));
    }
    assert_int_equal(count, 30);
    assert_null(unit_at(SIZE_MAX));
}

/* ---- against the program `units` -------------------------------------------------- */

/* Our spelling in the words of `units`: it has no h (Planck's), and counts no cycles in
 * service. NULL: nothing to compare with. */
static const char *in_words_of_units(const struct unit *unit, const char *spelling)
{
    static const struct {
        const char *spelling, *words;
    } words[] = {
        {"deg", "degree"},    {"arcmin", "arcmin"}, {"h", "hour"},        {"min", "minute"},
        {"day", "day"},       {"days", "days"},     {"%", "percent"},     {"cycle", NULL},
        {"cycles", NULL},     {"thou2", "thou^2"},  {"in2", "in^2"},      {"ft2", "ft^2"},
        {"mm2", "mm^2"},      {"cm2", "cm^2"},      {"m2", "m^2"},        {"um2", "um^2"},
        {"lbf.in", "lbf in"}, {"lbf-in", "lbf in"}, {"lbf.ft", "lbf ft"}, {"lbf-ft", "lbf ft"},
        {"N.m", "N m"},       {"N-m", "N m"},
    };
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (strcmp(words[i].spelling, spelling) == 0) {
            return words[i].words;
        }
    }
    for (const char *at = spelling; *at != '\0'; at++) {
        if ((unsigned char)*at >= 0x80) { /* signs outside ASCII: the unit's first spelling */
            const struct unit *first;
            size_t index = 0;
            do {
                spelling = unit_spelling_at(index++, &first);
            } while (first != unit);
            return in_words_of_units(unit, spelling);
        }
    }
    return spelling;
}

static const char *base_of(struct dimension dimension)
{
    return dimension.length == 1 && dimension.force == 1 ? "N mm"
           : dimension.length == 2                       ? "mm^2"
           : dimension.length == 1                       ? "mm"
           : dimension.angle == 1                        ? "degree"
           : dimension.mass == 1                         ? "kg"
           : dimension.force == 1                        ? "N"
           : dimension.hours == 1                        ? "hour"
           : dimension.days == 1                         ? "day"
                                                         : "1";
}

/* "1.1298482902761670e+02" as an exact number. */
static struct number scientific(const char *text)
{
    char digits[64];
    const char *mark = strchr(text, 'e');
    assert_non_null(mark);
    size_t size = (size_t)(mark - text);
    assert_true(size < sizeof digits);
    memcpy(digits, text, size);
    digits[size] = '\0';
    struct number value = decimal(digits);
    for (long exponent = strtol(mark + 1, NULL, 10); exponent != 0;
         exponent += exponent > 0 ? -1 : 1) {
        value = exponent > 0 ? number_multiply(&arena, value, NUMBER_INT(10))
                             : number_divide(&arena, value, NUMBER_INT(10));
    }
    return value;
}

/* `units` reckons in binary floating point: it agrees to 15 significant digits. */
static void check_against_units(const char *spelling, const char *words, const struct unit *unit)
{
    char command[160], answer[64] = "";
    snprintf(command, sizeof command, "units --terse --output-format '%%.16e' '%s' '%s' 2>&1",
             words, base_of(unit->dimension));
    FILE *pipe = popen(command, "r");
    assert_non_null(pipe);
    char *line = fgets(answer, sizeof answer, pipe);
    int status = pclose(pipe);
    if (line == NULL || status != 0 || strchr(answer, 'e') == NULL) {
        fail_msg("units does not know '%s' (%s): %s", spelling, words, answer);
    }
    struct number theirs = scientific(answer);
    struct number ratio = number_divide(&arena, theirs, unit->factor);
    struct number off = number_subtract(&arena, ratio, NUMBER_INT(1));
    if (number_sign(off) < 0) {
        off = number_negate(&arena, off);
    }
    if (number_compare(&arena, off, number_make(&arena, 1, 1000000000000000)) > 0) {
        fail_msg("'%s' is %s; units says %s", spelling, number_fraction(&arena, unit->factor),
                 answer);
    }
}

static void test_against_the_program_units(void **state)
{
    (void)state;
    if (system("units --version >/dev/null 2>&1") != 0) {
        print_message("the program 'units' is not installed\n");
        skip();
    }
    size_t count = 0, apart = 0;
    const struct unit *unit;
    for (size_t i = 0; unit_spelling_at(i, &unit) != NULL; i++) {
        const char *spelling = unit_spelling_at(i, &unit);
        const char *words = in_words_of_units(unit, spelling);
        if (words == NULL) {
            apart++;
            continue;
        }
        check_against_units(spelling, words, unit);
        count++;
    }
    printf("%zu spellings against units, %zu not\n", count, apart);
    assert_int_equal(apart, 2); /* cycle and cycles */
}

/* ---- spellings ---------------------------------------------------------------------- */

static void test_spellings_of_one_unit_give_one_pointer(void **state)
{
    (void)state;
    static const char *const groups[][10] = {
        {"um", "µm", "\xCE\xBCm"},
        {"in2", "in^2", "in²"},
        {"ft2", "ft^2", "ft²"},
        {"mm2", "mm^2", "mm²"},
        {"cm2", "cm^2", "cm²"},
        {"m2", "m^2", "m²"},
        {"thou2", "thou^2", "thou²"},
        {"um2", "um^2", "um²", "µm2", "µm^2", "µm²", "\xCE\xBCm2", "\xCE\xBCm^2", "\xCE\xBCm²"},
        {"lbf.in", "lbf·in", "lbf-in"},
        {"lbf.ft", "lbf·ft", "lbf-ft"},
        {"N.m", "N·m", "N-m"},
        {"day", "days"},
        {"cycle", "cycles"},
        {"in"},
        {"ft"},
        {"thou"},
        {"mm"},
        {"cm"},
        {"m"},
        {"deg"},
        {"arcmin"},
        {"lb"},
        {"oz"},
        {"g"},
        {"kg"},
        {"lbf"},
        {"N"},
        {"h"},
        {"min"},
        {"%"},
    };
    size_t spellings = 0, units = sizeof groups / sizeof groups[0];
    for (size_t i = 0; i < units; i++) {
        for (size_t j = 0; groups[i][j] != NULL; j++) {
            assert_ptr_equal(find(groups[i][j]), find(groups[i][0]));
            spellings++;
        }
        for (size_t j = 0; j < i; j++) {
            assert_ptr_not_equal(find(groups[i][0]), find(groups[j][0]));
        }
        /* Its shown name is one of its spellings. */
        const char *name = find(groups[i][0])->name;
        assert_ptr_equal(find(name), find(groups[i][0]));
    }
    assert_null(unit_at(units));
    size_t listed = 0;
    for (const struct unit *unit; unit_spelling_at(listed, &unit) != NULL; listed++) {
        assert_ptr_equal(find(unit_spelling_at(listed, NULL)), unit);
    }
    assert_int_equal(listed, spellings);
}

static void test_what_is_no_unit(void **state)
{
    (void)state;
    static const char *const words[] = {
        "",     "In",      "IN",  "inch", "mil",     "\"", "'",  "km", "in3",
        "in^3", "in ",     " in", "lbs",  "ft-lbf",  "Nm", "nm", "hr", "hours",
        "d",    "minutes", "per", "°",    "percent", "M",  "k"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        assert_null(unit_find(words[i], strlen(words[i])));
    }
    assert_non_null(unit_find("inch", 2)); /* the size rules, not a zero byte */
    assert_null(unit_find("in\0", 3));
    assert_string_equal(unit_none()->name, "");
    assert_true(number_equal(unit_none()->factor, NUMBER_INT(1)));
}

/* ---- dimensions ------------------------------------------------------------------------ */

static void test_dimensions(void **state)
{
    (void)state;
    struct dimension length = find("in")->dimension, ratio = find("%")->dimension;
    struct dimension count = unit_none()->dimension;
    assert_false(dimension_equal(ratio, count)); /* 0.1 is not 10 % */
    assert_true(dimension_is_plain(ratio) && dimension_is_plain(count));
    assert_false(dimension_is_plain(length));
    assert_true(dimension_equal(dimension_product(length, length), find("in2")->dimension));
    assert_true(
        dimension_equal(dimension_product(find("lbf")->dimension, length), find("N.m")->dimension));
    assert_true(dimension_equal(dimension_product(ratio, length), length));
    assert_true(dimension_equal(dimension_product(length, count), length));
    assert_true(dimension_equal(dimension_product(ratio, count), count));
    assert_true(dimension_equal(dimension_product(ratio, ratio), ratio));
    assert_false(dimension_equal(find("h")->dimension, find("day")->dimension));
    struct dimension much = length;
    for (int i = 0; i < 1000; i++) { /* never comes round to a dimension that it is not */
        much = dimension_product(much, length);
        assert_true(much.length >= 2);
    }
}

static void test_names_of_dimensions(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"in", "a length"},         {"in2", "an area"},         {"deg", "an angle"},
        {"kg", "a mass"},           {"lbf", "a force"},         {"N.m", "a torque"},
        {"h", "a time in service"}, {"day", "a calendar time"}, {"cycle", "a number of cycles"},
        {"%", "a ratio"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_string_equal(dimension_name(&arena, find(rows[i][0])->dimension), rows[i][1]);
    }
    assert_string_equal(dimension_name(&arena, unit_none()->dimension), "a count");
    struct dimension odd = dimension_product(find("in2")->dimension, find("N.m")->dimension);
    odd = dimension_product(odd, find("h")->dimension);
    assert_string_equal(dimension_name(&arena, odd), "length^3 x force x hours");
}

/* ---- quantities as text -------------------------------------------------------------------- */

static void test_quantities_as_text(void **state)
{
    (void)state;
    static const struct {
        int64_t num, den; /* in the unit */
        const char *unit;
        enum number_round how;
        const char *text;
        bool rounded;
    } rows[] = {
        {275, 10000, "in", NUMBER_DOWN, "0.0275 in", false},
        {12, 1, "%", NUMBER_DOWN, "12 %", false},
        {55, 2, "thou", NUMBER_DOWN, "27.5 thou", false},
        {17, 16, "in", NUMBER_UP, "1.0625 in", false},
        {127, 128, "in", NUMBER_DOWN, "0.99218 in", true}, /* 0.9921875: seven decimals */
        {127, 128, "in", NUMBER_UP, "0.99219 in", true},
        {1, 3, "in", NUMBER_DOWN, "0.33333 in", true},
        {1, 3, "in", NUMBER_UP, "0.33334 in", true},
        {-1, 3, "in", NUMBER_DOWN, "-0.33334 in", true},
        {0, 1, "in", NUMBER_UP, "0 in", false},
        {1, 1000000, "in", NUMBER_UP, "0.000001 in", false},
        {123456789, 1000000, "in", NUMBER_UP, "123.456789 in", false},
        {1, 3000, "in", NUMBER_DOWN, "0.00033333 in", true},
        {1, 3000000, "in", NUMBER_UP, "0.00000033334 in", true},
        {1000000, 3, "in", NUMBER_UP, "333334 in", true}, /* whole digits are never dropped */
        {99999999, 100000000, "in", NUMBER_UP, "1 in", true},
        {99999999, 100000000, "in", NUMBER_DOWN, "0.99999 in", true},
        {125, 10000000, "in", NUMBER_UP, "0.0000125 in", false},
        {2, 1, "lbf.in", NUMBER_UP, "2 lbf·in", false},
        {50, 1, "h", NUMBER_DOWN, "50 h", false},
        {1, 1, "days", NUMBER_DOWN, "1 day", false},
        {30, 1, "day", NUMBER_DOWN, "30 days", false},
        {3, 2, "cycle", NUMBER_DOWN, "1.5 cycles", false},
        {7, 1, "um", NUMBER_DOWN, "7 µm", false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct unit *unit = find(rows[i].unit);
        struct number value =
            number_multiply(&arena, number_make(&arena, rows[i].num, rows[i].den), unit->factor);
        bool rounded = !rows[i].rounded;
        assert_string_equal(quantity_text(&arena, value, unit, rows[i].how, &rounded),
                            rows[i].text);
        assert_int_equal(rounded, rows[i].rounded);
    }
    bool rounded;
    assert_string_equal(quantity_text(&arena, NUMBER_INT(3), unit_none(), NUMBER_UP, &rounded),
                        "3");
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_exact_definitions),         TEST(test_factors_are_in_lowest_terms),
        TEST(test_against_the_program_units), TEST(test_spellings_of_one_unit_give_one_pointer),
        TEST(test_what_is_no_unit),           TEST(test_dimensions),
        TEST(test_names_of_dimensions),       TEST(test_quantities_as_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
