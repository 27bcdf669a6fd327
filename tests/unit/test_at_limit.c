/*
 * Readings exactly at a limit that was typed in the other unit, one step above and one below: through
 * the public library, from the book's text to the outcome. Beside it the same table in
 * binary floating point, to show what is avoided; that count is printed and decides nothing.
 *
 * The table is made of whole numbers of 10^-7 mm. An inch is 25.4 mm exactly (NIST SP 811,
 * appendix B; from memory, recomputed and consistent), so that a thousandth, a sixty-fourth and
 * a ten-thousandth of it are whole numbers of those, and what is exactly at a limit needs no reckoning.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "random_text.h"
#include "stave.h"

#define BOOKS 250
#define LIMITS 400 /* of a book */
#define WIDTH 64
#define TEXT_ROOM (LIMITS * 256)

#define INCH 254000000 /* in 10^-7 mm */

/* ---- figures ----------------------------------------------------------------------- */

enum unit { MM, IN, THOU, SIXTY_FOURTHS, UNITS };

static const struct {
    int64_t step; /* in 10^-7 mm: the last digit that is written */
    int decimals;
    const char *name;
} units[UNITS] = {
    [MM] = {10, 6, "mm"},
    [IN] = {INCH / 1000000, 6, "in"},
    [THOU] = {INCH / 1000000, 3, "thou"},
    [SIXTY_FOURTHS] = {INCH / 128, 0, "in"},
};

/* Whole steps, as a person writes them: no needless zeros, or a whole number and a fraction. */
static void write_figure(char out[WIDTH], enum unit unit, int64_t size)
{
    int64_t steps = size / units[unit].step, scale = 1;

    assert_int_equal(size % units[unit].step, 0);
    if (unit == SIXTY_FOURTHS) {
        int64_t whole = steps / 128, upper = steps % 128, lower = 128;

        for (; upper != 0 && upper % 2 == 0; upper /= 2)
            lower /= 2;
        if (upper == 0)
            snprintf(out, WIDTH, "%lld in", (long long)whole);
        else if (whole == 0)
            snprintf(out, WIDTH, "%lld/%lld in", (long long)upper, (long long)lower);
        else
            snprintf(out, WIDTH, "%lld %lld/%lld in", (long long)whole, (long long)upper,
                     (long long)lower);
        return;
    }
    for (int i = 0; i < units[unit].decimals; i++)
        scale *= 10;
    int length = snprintf(out, WIDTH, "%lld.%0*lld", (long long)(steps / scale),
                          units[unit].decimals, (long long)(steps % scale));
    while (out[length - 1] == '0')
        length--;
    if (out[length - 1] == '.')
        length--;
    snprintf(out + length, (size_t)(WIDTH - length), " %s", units[unit].name);
}

/* ---- the table ------------------------------------------------------------------------ */

enum relation { UP_TO, BELOW, AT_LEAST, OVER, RELATIONS };

static const char *const relations[RELATIONS] = {"up to", "below", "at least", "over"};

struct line {
    enum relation relation;
    enum unit limit_unit, reading_unit;
    int64_t limit;
};

/* One is in millimetres and the other in a sort of inch, and both can write the limit. */
static struct line random_line(uint64_t *state)
{
    enum unit inch = IN + draw_below(state, 3);
    bool limit_in_mm = draw_below(state, 2);
    int64_t grain = inch == SIXTY_FOURTHS         ? INCH / 64
                    : draw_below(state, 2) == 0 ? INCH / 1000
                                                  : INCH / 10000;

    return (struct line){
        .relation = draw_below(state, RELATIONS),
        .limit_unit = limit_in_mm ? MM : inch,
        .reading_unit = limit_in_mm ? inch : MM,
        .limit = grain * (1 + (int64_t)draw_below(state, (uint32_t)(INCH * 3 / grain))),
    };
}

/* May it fly with a reading that is `side` of the limit: -1 under it, 0 at it, 1 over it? */
static bool is_fine(enum relation relation, int side)
{
    switch (relation) {
    case UP_TO:
        return side <= 0;
    case BELOW:
        return side < 0;
    case AT_LEAST:
        return side >= 0;
    default:
        return side > 0;
    }
}

static void write_book(char *out, const struct line lines[LIMITS])
{
    int used = snprintf(out, TEXT_ROOM,
                        "stave 1\nbook AT-1\n    edition \"1\"\n    for model AT-1\n"
                        "scale\n    fine\n  no flight\n    scrap\npart fan\n"
                        "measure depth 0 in .. 100 in\n"
                        "measure wall 0 mm .. 2540 mm smaller is worse\n");

    for (int i = 0; i < LIMITS; i++) {
        char figure[WIDTH];
        const char *measure = lines[i].relation < AT_LEAST ? "depth" : "wall";

        write_figure(figure, lines[i].limit_unit, lines[i].limit);
        used += snprintf(out + used, (size_t)(TEXT_ROOM - used),
                         "kind k%d on fan records %s\nlimit k%d on fan\n    fine %s %s %s\n"
                         "    otherwise scrap\n",
                         i, measure, i, measure, relations[lines[i].relation], figure);
        assert_true(used < TEXT_ROOM);
    }
}

/* ---- the same in binary floating point, as one would write it --------------------------- */

/* In the unit of the limit; what was typed is read with strtod. */
static double binary_value(const char *figure, enum unit unit, enum unit wanted)
{
    char *end;
    double value = strtod(figure, &end);

    if (unit == SIXTY_FOURTHS && *end == '/') {
        value /= strtod(end + 1, NULL);
    } else if (unit == SIXTY_FOURTHS && end[1] != 'i') {
        double upper = strtod(end, &end);
        value += upper / strtod(end + 1, NULL);
    }
    if (unit == THOU && wanted != THOU)
        value /= 1000;
    if (unit == MM && wanted != MM)
        value /= 25.4;
    if (unit != MM && wanted == MM)
        value *= 25.4;
    return unit == MM && wanted == THOU ? value * 1000 : value;
}

static bool binary_is_fine(const struct line *line, const char *figure)
{
    char limit_text[WIDTH];

    write_figure(limit_text, line->limit_unit, line->limit);
    double limit = binary_value(limit_text, line->limit_unit, line->limit_unit);
    double reading = binary_value(figure, line->reading_unit, line->limit_unit);
    switch (line->relation) {
    case UP_TO:
        return reading <= limit;
    case BELOW:
        return reading < limit;
    case AT_LEAST:
        return reading >= limit;
    default:
        return reading > limit;
    }
}

/* ---- the test --------------------------------------------------------------------------- */

struct tally {
    uint64_t readings, wrong, binary_wrong, binary_wrong_fine;
};

static enum stave_flight ask(const stave_book *book, const char *line)
{
    struct stave_text text = {"line", line, strlen(line)};
    stave_record *record;
    stave_verdict *verdict;

    assert_int_equal(stave_record_read_line(NULL, book, &text, &record), STAVE_OK);
    assert_int_equal(stave_assess(NULL, record, &verdict), STAVE_OK);
    enum stave_flight flight = verdict->flight;
    stave_verdict_free(verdict);
    stave_record_free(record);
    return flight;
}

static void check_readings(const stave_book *book, const struct line *line, int index,
                           struct tally *tally)
{
    for (int side = -1; side <= 1; side++) {
        char figure[WIDTH], typed[128];
        bool fine = is_fine(line->relation, side), binary;

        write_figure(figure, line->reading_unit,
                     line->limit + side * units[line->reading_unit].step);
        snprintf(typed, sizeof typed, "fan k%d, %s %s", index,
                 line->relation < AT_LEAST ? "depth" : "wall", figure);
        tally->readings++;
        if (ask(book, typed) != (fine ? STAVE_FLIGHT_YES : STAVE_FLIGHT_NO)) {
            char limit[WIDTH];
            write_figure(limit, line->limit_unit, line->limit);
            print_error("wrong: %s, against %s %s\n", typed, relations[line->relation], limit);
            tally->wrong++;
        }
        binary = binary_is_fine(line, figure);
        tally->binary_wrong += binary != fine;
        tally->binary_wrong_fine += binary && !fine;
    }
}

static void test_readings_at_limits(void **state)
{
    static struct line lines[LIMITS];
    static char text[TEXT_ROOM];
    uint64_t random = 20261125;
    struct tally tally = {0};

    (void)state;
    for (int b = 0; b < BOOKS; b++) {
        for (int i = 0; i < LIMITS; i++)
            lines[i] = random_line(&random);
        write_book(text, lines);
        struct stave_text book_text = {"at-limit", text, strlen(text)};
        stave_book *book;
        assert_int_equal(stave_book_read(NULL, &book_text, &book), STAVE_OK);
        for (int i = 0; i < LIMITS; i++)
            check_readings(book, &lines[i], i, &tally);
        stave_book_free(book);
    }
    printf("%d limits, %llu readings at, over and under them: %llu wrong; in binary floating point "
           "%llu wrong, %llu of them fit to fly\n",
           BOOKS * LIMITS, (unsigned long long)tally.readings, (unsigned long long)tally.wrong,
           (unsigned long long)tally.binary_wrong, (unsigned long long)tally.binary_wrong_fine);
    assert_int_equal(tally.readings, 3 * BOOKS * LIMITS);
    assert_int_equal(tally.wrong, 0);
    /* The table is a hard one: doubles do not get through it. */
    assert_true(tally.binary_wrong > 1000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_readings_at_limits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
