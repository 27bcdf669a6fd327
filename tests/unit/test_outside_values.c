/*
 * Values from outside the project, each through a whole book: text, reading, outcome. The
 * source stands beside each: "seen" is a text that was read, "from memory" one that is not yet
 * confirmed against the document (all such are recomputed here and consistent). The books' words are
 * our own.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "stave.h"

#define HEAD "stave 1\nbook OV-1\n    edition \"1\"\n    for model OV-1\n"
#define SCALE "scale\n    fine\n    watch\n  no flight\n    mend\n    scrap\npart fan\n"

static stave_book *read_book(const char *text)
{
    struct stave_text book_text = {"outside", text, strlen(text)};
    stave_book *book;
    enum stave_status status = stave_book_read(NULL, &book_text, &book);
    size_t count;
    const struct stave_problem *problems = stave_book_problems(book, &count);

    for (size_t i = 0; i < count; i++)
        print_error("%u:%u: %s\n", problems[i].at.line, problems[i].at.column, problems[i].message);
    assert_int_equal(status, STAVE_OK);
    assert_int_equal(count, 0);
    return book;
}

/* All outcomes that a finding may have, joined: "fine or mend". In `guarded` the guarded one. */
static void ask(const stave_book *book, const char *line, char found[128], const char **guarded)
{
    struct stave_text text = {"line", line, strlen(line)};
    const struct stave_book_facts *facts = stave_book_facts(book);
    stave_record *record;
    stave_verdict *verdict;

    assert_int_equal(stave_record_read_line(NULL, book, &text, &record), STAVE_OK);
    assert_int_equal(stave_assess(NULL, record, &verdict), STAVE_OK);
    found[0] = '\0';
    for (size_t i = 0; i < verdict->items[0].possible_count; i++) {
        if (i > 0)
            strcat(found, " or ");
        strcat(found, facts->scale[verdict->items[0].possible[i]].name);
    }
    if (guarded != NULL)
        *guarded = verdict->items[0].guarded_outcome < 0
                       ? "none"
                       : facts->scale[verdict->items[0].guarded_outcome].name;
    stave_verdict_free(verdict);
    stave_record_free(record);
}

struct reading {
    const char *line, *outcome;
};

static void check_readings(const char *text, const struct reading *readings, size_t count)
{
    stave_book *book = read_book(text);

    for (size_t i = 0; i < count; i++) {
        char found[128];
        ask(book, readings[i].line, found, NULL);
        if (strcmp(found, readings[i].outcome) != 0)
            fail_msg("%s: %s, not %s", readings[i].line, found, readings[i].outcome);
    }
    stave_book_free(book);
}

#define CHECK_READINGS(text, readings)                                                             \
    check_readings(text, readings, sizeof(readings) / sizeof *(readings))

/* ---- rounding -------------------------------------------------------------------------- */

/*
 * ASTM E29, the rounding method (from memory, recomputed and consistent): limit, observed, rounded,
 * conforms. The language has no unit of stress: the first limit is written in lbf.
 */
static void test_rounding_method(void **state)
{
    static const struct reading readings[] = {
        {"fan pull, strength 35940 lbf", "mend"}, /* 35 900 */
        {"fan pull, strength 35950 lbf", "fine"}, /* 36 000 */
        {"fan pull, strength 35960 lbf", "fine"}, /* 36 000 */
        {"fan stretch, strain 56.4 %", "mend"},   /* 56 */
        {"fan stretch, strain 56.5 %", "mend"},   /* 56 */
        {"fan stretch, strain 56.6 %", "fine"},   /* 57 */
        {"fan pores, number 40.4", "fine"},       /* 40 */
        {"fan pores, number 40.5", "fine"},       /* 40 */
        {"fan pores, number 40.6", "mend"},       /* 41 */
        {"fan wet, water 0.54 %", "fine"},        /* 0.5 */
        {"fan wet, water 0.55 %", "mend"},        /* 0.6 */
        {"fan wet, water 0.56 %", "mend"},        /* 0.6 */
    };

    (void)state;
    CHECK_READINGS(HEAD SCALE
                   "measure strength 0 lbf .. 99999 lbf read nearest 100 lbf smaller is worse\n"
                   "measure strain 0 % .. 100 % read nearest 1 % smaller is worse\n"
                   "measure number 0 .. 1000 read nearest 1\n"
                   "measure water 0 % .. 9 % read nearest 0.1 %\n"
                   "check pull on fan records strength\n    fine strength at least 36000 lbf\n"
                   "    otherwise mend\n"
                   "check stretch on fan records strain\n    fine strain at least 57 %\n"
                   "    otherwise mend\n"
                   "check pores on fan records number\n    fine number up to 40\n"
                   "    otherwise mend\n"
                   "check wet on fan records water\n    fine water up to 0.5 %\n"
                   "    otherwise mend\n",
                   readings);
}

/* ASTM E29-13, the absolute method (seen): any reading outside the limit, however little, fails. */
static void test_absolute_method(void **state)
{
    static const struct reading readings[] = {
        {"fan pull, strength 36000 lbf", "fine"},
        {"fan pull, strength 35999.9999999999999 lbf", "mend"},
        {"fan wet, water 0.5 %", "fine"},
        {"fan wet, water 0.50000000000000001 %", "mend"},
        {"fan wet, water 0.49 .. 0.50000000000000001 %", "fine or mend"},
    };

    (void)state;
    CHECK_READINGS(HEAD SCALE
                   "measure strength 0 lbf .. 99999 lbf read to 100 lbf smaller is worse\n"
                   "measure water 0 % .. 9 % read to 0.1 %\n"
                   "check pull on fan records strength\n    fine strength at least 36000 lbf\n"
                   "    otherwise mend\n"
                   "check wet on fan records water\n    fine water up to 0.5 %\n"
                   "    otherwise mend\n",
                   readings);
}

/*
 * ISO 80000-1, annex B (from memory, recomputed and consistent): nearest, ties to even, rounded
 * once. Each outcome stands for one rounded value.
 */
static void test_rounding_rules(void **state)
{
    static const struct reading readings[] = {
        {"fan tenths, gap 12.223 mm", "fine"},  /* 12.2 */
        {"fan tenths, gap 12.251 mm", "watch"}, /* 12.3, and not by 12.25 to 12.2 */
        {"fan tenths, gap 12.275 mm", "watch"}, /* 12.3 */
        {"fan tenths, gap 12.25 mm", "fine"},   /* 12.2 */
        {"fan tenths, gap 12.35 mm", "mend"},   /* 12.4 */
        {"fan tens, load 1225 N", "fine"},      /* 1220 */
        {"fan tens, load 1235 N", "watch"},     /* 1240 */
    };

    (void)state;
    CHECK_READINGS(HEAD SCALE "measure gap 0 mm .. 50 mm read nearest 0.1 mm\n"
                              "measure load 0 N .. 9000 N read nearest 10 N\n"
                              "check tenths on fan records gap\n"
                              "    fine gap at least 12.2 mm and up to 12.2 mm\n"
                              "    watch gap at least 12.3 mm and up to 12.3 mm\n"
                              "    mend gap at least 12.4 mm and up to 12.4 mm\n"
                              "    otherwise scrap\n"
                              "check tens on fan records load\n"
                              "    fine load at least 1220 N and up to 1220 N\n"
                              "    watch load at least 1240 N and up to 1240 N\n"
                              "    otherwise scrap\n",
                   readings);
}

/*
 * Army TM 1-1520-240-BD, chapter 2 (seen): every dimension of damage is
 * measured to the next higher tenth of an inch.
 */
static void test_next_higher_tenth(void **state)
{
    static const struct reading readings[] = {
        {"fan hole, across 1 in", "fine"},      {"fan hole, across 1.0001 in", "watch"},
        {"fan hole, across 1.1 in", "watch"},   {"fan hole, across 1 7/64 in", "mend"},
        {"fan hole, across 25.4 mm", "fine"},   {"fan hole, across 25.41 mm", "watch"},
        {"fan hole, across 27.94 mm", "watch"}, {"fan hole, across 27.941 mm", "mend"},
    };

    (void)state;
    CHECK_READINGS(HEAD SCALE "measure across 0 in .. 9 in read up to 0.1 in\n"
                              "check hole on fan records across\n    fine across up to 1 in\n"
                              "    watch across up to 1.1 in\n    otherwise mend\n",
                   readings);
}

/* ---- doubt ------------------------------------------------------------------------------- */

/*
 * ILAC-G8:09/2019, 4.2 (seen): a guard band w lies between the tolerance limit TL and the acceptance
 * limit AL = TL - w, with w = U, the doubt of the reading. Here TL = 0.030 in and U = 0.002 in, so
 * AL = 0.028 in. What holds at AL itself is left open there: the word of the book says it.
 */
static void test_guard_band(void **state)
{
    static const struct reading readings[] = {
        {"fan dent, depth 0.028 +/- 0.002 in", "fine"}, /* up to: accepted at AL */
        {"fan dent, depth 0.0280001 +/- 0.002 in", "fine or mend"},
        {"fan dent, depth 0.0279999 +/- 0.002 in", "fine"},
        {"fan dent, depth 0.032 +/- 0.002 in", "fine or mend"},
        {"fan dent, depth 0.0320001 +/- 0.002 in", "mend"},
        {"fan dent, depth 0.7112 +/- 0.0508 mm", "fine"}, /* the same in millimetres */
        {"fan dent, depth 0.7113 +/- 0.0508 mm", "fine or mend"},
        {"fan nick, depth 0.028 +/- 0.002 in", "fine or mend"}, /* below: not accepted at AL */
        {"fan nick, depth 0.0279999 +/- 0.002 in", "fine"},
        {"fan web, wall 0.052 +/- 0.002 in", "fine"}, /* TL 0.050 in from below: AL = TL + w */
        {"fan web, wall 0.0519999 +/- 0.002 in", "fine or mend"},
        {"fan band, depth 0.028 in", "fine"}, /* a band that the book itself takes off */
        {"fan band, depth 0.0280001 in", "mend"},
    };

    (void)state;
    CHECK_READINGS(HEAD "    judge guarded\n" SCALE
                        "measure depth 0 in .. 1 in\nmeasure wall 0 in .. 1 in smaller is worse\n"
                        "kind dent, nick, band on fan records depth\nkind web on fan records wall\n"
                        "limit dent on fan\n    fine depth up to 0.030 in\n    otherwise mend\n"
                        "limit nick on fan\n    fine depth below 0.030 in\n    otherwise mend\n"
                        "limit web on fan\n    fine wall at least 0.050 in\n    otherwise mend\n"
                        "limit band on fan\n    fine depth up to 0.030 in - 0.002 in\n"
                        "    otherwise mend\n",
                   readings);
}

/* The same limit in a book that judges as read: no guard band, and the guarded outcome beside it. */
static void test_no_guard_band(void **state)
{
    static const struct {
        const char *line, *outcome, *guarded;
    } readings[] = {
        {"fan dent, depth 0.028 +/- 0.002 in", "fine", "fine"},
        {"fan dent, depth 0.0280001 +/- 0.002 in", "fine", "mend"},
        {"fan dent, depth 0.030 +/- 0.002 in", "fine", "mend"},
        {"fan dent, depth 0.0300001 +/- 0.002 in", "mend", "mend"},
        {"fan dent, depth 0.028 .. 0.0300001 in", "fine or mend", "mend"},
    };
    stave_book *book =
        read_book(HEAD "    judge as read\n" SCALE "measure depth 0 in .. 1 in\n"
                       "kind dent on fan records depth\n"
                       "limit dent on fan\n    fine depth up to 0.030 in\n    otherwise mend\n");

    (void)state;
    for (size_t i = 0; i < sizeof readings / sizeof *readings; i++) {
        char found[128];
        const char *guarded;
        ask(book, readings[i].line, found, &guarded);
        assert_string_equal(found, readings[i].outcome);
        assert_string_equal(guarded, readings[i].guarded);
    }
    stave_book_free(book);
}

/* ---- curves ------------------------------------------------------------------------------ */

/*
 * Abramowitz and Stegun, introduction, 4 (from memory, recomputed and consistent): linear interpolation
 * of x e^x E1(x) at 7.9527 between f(7.9) = 0.897174302 and f(8.0) = 0.898237113 gives 0.897734403.
 * Exactly it is 0.897174302 + 0.527 * 0.001062811 = 0.897734403397. Written in millimetres.
 */
static void test_linear_interpolation(void **state)
{
    static const struct reading readings[] = {
        {"fan dent at x 7.9527 mm, depth 0.897734403 mm", "fine"},
        {"fan dent at x 7.9527 mm, depth 0.897734403397 mm", "fine"},
        {"fan dent at x 7.9527 mm, depth 0.897734403398 mm", "mend"},
        {"fan dent at x 7.9527 mm, depth 0.897734404 mm", "mend"},
        {"fan dent at x 7.9 mm, depth 0.897174302 mm", "fine"},
        {"fan dent at x 7.9 mm, depth 0.897174303 mm", "mend"},
        {"fan dent at x 8 mm, depth 0.898237113 mm", "fine"},
        {"fan dent at x 8 mm, depth 0.898237114 mm", "mend"},
        {"fan dent at x 7.9527 .. 8 mm, depth 0.897734403397 mm", "fine"},
        {"fan dent at x 7.9526 .. 8 mm, depth 0.897734403397 mm", "mend"},
        {"fan dent at x 7.9527 +/- 0.0001 mm, depth 0.897734403397 mm", "fine or mend"},
    };

    (void)state;
    CHECK_READINGS(HEAD SCALE "    axis x 7.9 mm .. 8 mm\nmeasure depth 0 mm .. 1 mm\n"
                              "kind dent on fan records depth\ncurve f along x\n"
                              "    7.9 mm 0.897174302 mm\n    8 mm 0.898237113 mm\n"
                              "limit dent on fan\n    fine depth up to f\n    otherwise mend\n",
                   readings);
}

/*
 * Army TM 55-1520-240-23-4, p. 5-503 (seen): station = 360 in - distance from the tip; at station 235,
 * 1.15 in, one point of a curve. The points on both sides of it are invented.
 */
static void test_point_of_a_curve(void **state)
{
    const int from_tip = 125;
    char at[64], over[64], toward_tip[64], toward_root[64];

    (void)state;
    snprintf(at, sizeof at, "fan dent at station %d in, width 1.15 in", 360 - from_tip);
    snprintf(over, sizeof over, "fan dent at station %d in, width 1.1501 in", 360 - from_tip);
    snprintf(toward_tip, sizeof toward_tip, "fan dent at station %d in, width 1.15 in",
             360 - (from_tip - 1));
    snprintf(toward_root, sizeof toward_root, "fan dent at station %d in, width 1.15 in",
             360 - (from_tip + 1));
    const struct reading readings[] = {
        {at, "fine"},
        {over, "mend"},
        {toward_tip, "mend"},
        {toward_root, "fine"},
    };
    CHECK_READINGS(HEAD SCALE
                   "    axis station 100 in .. 360 in\nmeasure width 0 in .. 9 in\n"
                   "kind dent on fan records width\ncurve widest along station\n"
                   "    100 in 1.9 in\n    235 in 1.15 in\n    360 in 0.4 in\n"
                   "limit dent on fan\n    fine width up to widest\n    otherwise mend\n",
                   readings);
}

/* ---- limits ------------------------------------------------------------------------------- */

/*
 * Propeller blade tracking, general handbook text (FAA-H-8083-32 chapter 7, attribution from
 * memory): each blade within 1/16 in of the opposite one.
 */
static void test_tracking(void **state)
{
    static const struct reading readings[] = {
        {"blade 1 track, off-track 1/16 in", "fine"},
        {"blade 2 track, off-track 0.0625 in", "fine"},
        {"blade 1 track, off-track 62.5 thou", "fine"},
        {"blade 1 track, off-track 1.5875 mm", "fine"},
        {"blade 2 track, off-track 1.58751 mm", "mend"},
        {"blade 1 track, off-track 9/128 in", "mend"},
        {"blade 2 track, off-track 0.062501 in", "mend"},
        {"blade 1 track", "fine or mend"},
    };

    (void)state;
    CHECK_READINGS(HEAD SCALE
                   "part blade, 2\nmeasure off-track 0 in .. 2 in\n"
                   "check track on blade records off-track\n    fine off-track up to 1/16 in\n"
                   "    otherwise mend\n",
                   readings);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rounding_method),
        cmocka_unit_test(test_absolute_method),
        cmocka_unit_test(test_rounding_rules),
        cmocka_unit_test(test_next_higher_tenth),
        cmocka_unit_test(test_guard_band),
        cmocka_unit_test(test_no_guard_band),
        cmocka_unit_test(test_linear_interpolation),
        cmocka_unit_test(test_point_of_a_curve),
        cmocka_unit_test(test_tracking),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
