/* judge() on books in their own words: limits met to the step, doubts, products, witness, budget. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "judge/judge.h"
#include "record/record.h"

enum { GOOD, WATCH, SHOP, NONE }; /* the scale of these books; then "no published limit" */

#define HEAD                                                                                       \
    "stave 1\n"                                                                                    \
    "book B-1 \"test\"\n"                                                                          \
    "edition \"A\" dated 2026-01-01\n"                                                             \
    "for model M-1\n"                                                                              \
    "scale\n"                                                                                      \
    "    good \"continue\"\n"                                                                      \
    "    watch \"continue\"\n"                                                                     \
    "  no flight\n"                                                                                \
    "    shop \"send it\"\n"

static const char plain[] = HEAD "part blade, 2 .. 6\n"
                                 "    axis station 10 in .. 50 in read to 0.25 in\n"
                                 "    side camber, thrust\n"
                                 "zone inner on blade station 10 in .. 30 in\n"
                                 "zone outer on blade station 30 in .. 50 in\n"
                                 "measure depth 0 in .. 1 in read to 0.001 in\n"
                                 "measure length 0 in .. 40 in read up to 0.1 in\n"
                                 "measure left 0 in .. 1 in smaller is worse\n"
                                 "kind gouge on blade records depth, length\n"
                                 "kind wear on blade records left\n"
                                 "kind nick on blade records depth\n"
                                 "curve deep along station\n"
                                 "    10 in   0.010 in\n"
                                 "    30 in   0.020 in\n"
                                 "    50 in   0.040 in\n"
                                 "limit gouge on inner, outer\n"
                                 "    good  depth up to deep, length up to 2 in\n"
                                 "    watch depth up to 0.080 in, any length\n"
                                 "    otherwise shop\n"
                                 "limit wear on blade\n"
                                 "    good  left at least 0.25 in\n"
                                 "    otherwise shop\n"
                                 "limit nick on inner\n"
                                 "    good  depth up to 0.02 in\n"
                                 "    otherwise shop\n";

/* The zone leaves out its end, where the limit is as low as at 11 in. */
static const char below[] = HEAD "part blade, 2 .. 6\n"
                                 "    axis station 10 in .. 60 in\n"
                                 "zone inner on blade station 10 in .. below 50 in\n"
                                 "zone outer on blade station 50 in .. 60 in\n"
                                 "measure depth 0 in .. 1 in\n"
                                 "kind gouge on blade records depth\n"
                                 "curve deep along station\n"
                                 "    10 in   0.010 in\n"
                                 "    30 in   0.030 in\n"
                                 "    50 in   0.011 in\n"
                                 "limit gouge on inner\n"
                                 "    good  depth below deep\n"
                                 "    otherwise shop\n"
                                 "limit gouge on outer\n"
                                 "    good  depth up to 1 in\n"
                                 "    otherwise shop\n";

static const char areas[] = HEAD "part blade, 2 .. 6\n"
                                 "measure length 0 in .. 40 in\n"
                                 "measure width 0 in .. 10 in\n"
                                 "kind dull on blade records length, width\n"
                                 "reckon area as length * width\n"
                                 "limit dull on blade\n"
                                 "    good  area up to 6 in2, any length, any width\n"
                                 "    watch area up to 12 in2, any length, any width\n"
                                 "    otherwise shop\n";

struct session {
    struct arena arena;
    struct escape escape;
    struct book *book;
    struct plan *plan;
};

static void session_begin(struct session *session, const char *bytes)
{
    memset(session, 0, sizeof *session);
    arena_begin(&session->arena, NULL, &session->escape);
    if (setjmp(session->escape.to)) {
        fail_msg("escaped with status %d", (int)session->escape.status);
    }
    struct stave_text text = {"test.stave", bytes, strlen(bytes)};
    session->book = book_check(&session->arena, &text, NULL, NULL);
    for (size_t i = 0; i < session->book->problems.count; i++) {
        const struct stave_problem *problem = &session->book->problems.items[i];
        if (problem->severity == STAVE_ERROR) {
            fail_msg("line %u: %s", problem->at.line, problem->message);
        }
    }
    session->plan = plan_compile(session->book);
}

static struct judgement *judged_so(struct session *session, const char *line, bool as_read,
                                   uint32_t floor)
{
    struct stave_text text = {"line", line, strlen(line)};
    const struct record *record = record_read_line(&session->arena, session->book, &text);
    if (record->problems.error_count) {
        fail_msg("%s: %s", line, record->problems.items[0].message);
    }
    const struct finding *finding = record->findings[0];
    return judge(&session->arena, plan_docket(session->plan, finding->kind, finding->part), finding,
                 as_read, JUDGE_ALL, floor);
}

static struct judgement *judged(struct session *session, const char *line)
{
    return judged_so(session, line, false, 0);
}

static void check_possible(struct session *session, const char *line, uint64_t possible)
{
    struct judgement *judgement = judged(session, line);
    if (judgement->possible != possible) {
        fail_msg("%s: possible %llx, not %llx", line, (unsigned long long)judgement->possible,
                 (unsigned long long)possible);
    }
}

/* ---- to the step ----------------------------------------------------------------------------- */

static void test_at_the_limit(void **state)
{
    (void)state;
    struct session session;
    session_begin(&session, plain);
    static const struct {
        const char *line;
        uint64_t possible;
    } rows[] = {
        /* the curve at station 20 is 0.015 in, exactly */
        {"blade 1 gouge at station 20 in, depth 0.015 in, length 2 in", 1 << GOOD},
        {"blade 1 gouge at station 20 in, depth 0.01500000000000001 in, length 2 in", 1 << WATCH},
        {"blade 1 gouge at station 20 in, depth 0.01499999999999999 in, length 2 in", 1 << GOOD},
        {"blade 1 gouge at station 20 in, depth 15 thou, length 50.8 mm", 1 << GOOD},
        {"blade 1 gouge at station 20 in, depth 0.381 mm, length 50.8 mm", 1 << GOOD},
        {"blade 1 gouge at station 20 in, depth 0.3811 mm, length 50.8 mm", 1 << WATCH},
        /* read up to the next 0.1 in: 2 in stays, a hair more is 2.1 in */
        {"blade 1 gouge at station 20 in, depth 0.015 in, length 2.000001 in", 1 << WATCH},
        {"blade 1 gouge at station 20 in, depth 0.015 in, length 1.91 in", 1 << GOOD},
        {"blade 1 gouge at station 20 in, depth 0.08 in, length 9 in", 1 << WATCH},
        {"blade 1 gouge at station 20 in, depth 0.0801 in, length 9 in", 1 << SHOP},
        /* the extent's worst place counts */
        {"blade 1 gouge at station 20 in .. 22 in, depth 0.0151 in, length 2 in", 1 << WATCH},
        {"blade 1 gouge at station 20.2 in .. 22 in, depth 0.0151 in, length 2 in", 1 << GOOD},
        {"blade 1 gouge at station 20.1 in .. 22 in, depth 0.0151 in, length 2 in", 1 << WATCH},
        {"blade 1 wear, left 0.25 in", 1 << GOOD},
        {"blade 1 wear, left 0.249999 in", 1 << SHOP},
        {"blade 1 nick at station 30 in, depth 0.02 in", 1 << GOOD},
        {"blade 1 nick at station 30.0001 in, depth 0.02 in", 1 << NONE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        check_possible(&session, rows[i].line, rows[i].possible);
    }
    arena_end(&session.arena);
}

static void test_doubts_to_the_step(void **state)
{
    (void)state;
    struct session session;
    session_begin(&session, plain);
    static const struct {
        const char *line;
        uint64_t possible;
    } rows[] = {
        {"blade 1 gouge at station 20 in, depth 0.014 +/- 0.001 in, length 2 in", 1 << GOOD},
        {"blade 1 gouge at station 20 in, depth 0.014 +/- 0.0010001 in, length 2 in",
         1 << GOOD | 1 << WATCH},
        {"blade 1 gouge at station 20 in, depth 0.015 in, length 1.5 .. 2 in", 1 << GOOD},
        {"blade 1 gouge at station 20 in, depth 0.015 in, length 1.5 .. 2.01 in",
         1 << GOOD | 1 << WATCH},
        /* a doubted place: the least that it may be is the worst here */
        {"blade 1 gouge at station 22 +/- 2 in, depth 0.015 in, length 2 in", 1 << GOOD},
        {"blade 1 gouge at station 22 +/- 2.5 in, depth 0.015 in, length 2 in",
         1 << GOOD | 1 << WATCH},
        {"blade 1 gouge, depth 0.01 in, length 2 in", 1 << GOOD},
        {"blade 1 gouge, depth 0.0100001 in, length 2 in", 1 << GOOD | 1 << WATCH},
        {"blade 1 gouge, depth 0.0400001 in, length 2 in", 1 << WATCH},
        {"blade 1 gouge, depth 0.04 in, length 2 in", 1 << GOOD | 1 << WATCH},
        {"blade 1 nick at station 29 .. 30 in, depth 0.02 in", 1 << GOOD},
        {"blade 1 nick at station 29 .. 30 +/- 0.25 in, depth 0.02 in", 1 << GOOD | 1 << NONE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        check_possible(&session, rows[i].line, rows[i].possible);
    }
    arena_end(&session.arena);
}

/* A limit that is met at one end of the doubt, and only come near to at the zone's open end. */
static void test_open_end_as_low_as_the_doubt(void **state)
{
    (void)state;
    struct session session;
    session_begin(&session, below);
    check_possible(&session, "blade 1 gouge at station 11 in .. 50 in, depth 0.011 in", 1 << SHOP);
    check_possible(&session, "blade 1 gouge at station 11.01 in .. 50 in, depth 0.011 in",
                   1 << GOOD);
    check_possible(&session, "blade 1 gouge at station 12 +/- 1 in .. 50 in, depth 0.011 in",
                   1 << GOOD | 1 << SHOP);
    check_possible(&session, "blade 1 gouge at station 12 +/- 0.99 in .. 50 in, depth 0.011 in",
                   1 << GOOD);
    check_possible(&session, "blade 1 gouge at station 12 +/- 1 in .. 50 in, depth 0.0110001 in",
                   1 << SHOP);
    arena_end(&session.arena);
}

/* ---- what bears, what settles, what is shown -------------------------------------------------- */

static void test_as_read_takes_doubt_alone(void **state)
{
    (void)state;
    struct session session;
    session_begin(&session, plain);
    const char *doubt =
        "blade 1 gouge at station 22 +/- 2.5 in, depth 0.015 +/- 0.002 in, length 2 in";
    const char *range = "blade 1 gouge at station 22 in, depth 0.015 .. 0.017 in, length 2 in";
    assert_int_equal(judged_so(&session, doubt, false, 0)->possible, 1 << GOOD | 1 << WATCH);
    assert_int_equal(judged_so(&session, doubt, true, 0)->possible, 1 << GOOD);
    assert_int_equal(judged_so(&session, range, true, 0)->possible, 1 << GOOD | 1 << WATCH);
    assert_int_equal(judged_so(&session, "blade 1 wear", true, 0)->possible, 1 << GOOD | 1 << SHOP);
    arena_end(&session.arena);
}

static void test_needs_in_order(void **state)
{
    (void)state;
    struct session session;
    session_begin(&session, plain);
    struct judgement *both = judged(&session, "blade 1 gouge at station 20 in");
    assert_int_equal(both->need_count, 2);
    assert_int_equal(both->needs[0].sort, NEED_READING);
    assert_int_equal(both->needs[0].index, 0);
    assert_false(both->needs[0].settles);
    assert_int_equal(both->needs[1].index, 1);
    /* With a depth that the curve refuses everywhere, length does not matter any more. */
    struct judgement *deep =
        judged(&session, "blade 1 gouge at station 20 in, depth 0.016 .. 0.09 in");
    assert_int_equal(deep->need_count, 1);
    assert_int_equal(deep->needs[0].index, 0);
    assert_true(deep->needs[0].settles);
    /* Good or watch are one to a propeller that is watched anyway. */
    const char *place = "blade 1 gouge, depth 0.015 in, length 2 in";
    struct judgement *where = judged(&session, place);
    assert_int_equal(where->need_count, 1);
    assert_int_equal(where->needs[0].sort, NEED_AXIS);
    assert_true(where->needs[0].settles);
    assert_int_equal(judged_so(&session, place, false, WATCH)->need_count, 0);
    arena_end(&session.arena);
}

static void test_witness_at_the_worse_ends(void **state)
{
    (void)state;
    struct session session;
    session_begin(&session, plain);
    struct judgement *gouge = judged(
        &session, "blade 1 gouge at station 20 in, depth 0.01 .. 0.02 in, length 1 .. 3.02 in");
    assert_int_equal(gouge->worst, WATCH);
    assert_true(number_equal(gouge->witness.readings[0],
                             number_make(&session.arena, 508, 1000))); /* 0.02 in, in mm */
    assert_true(number_equal(gouge->witness.readings[1],
                             number_make(&session.arena, 302 * 254, 1000))); /* as read, not 3.1 */
    assert_int_equal(gouge->ladder_count, 1);
    assert_int_equal(gouge->ladders[0].outcome, WATCH);
    struct judgement *wear = judged(&session, "blade 1 wear, left 0.1 .. 0.3 in");
    assert_int_equal(wear->worst, SHOP);
    assert_true(number_equal(wear->witness.readings[0], number_make(&session.arena, 254, 100)));
    arena_end(&session.arena);
}

/* ---- products ------------------------------------------------------------------------------------ */

static void test_products(void **state)
{
    (void)state;
    struct session session;
    session_begin(&session, areas);
    check_possible(&session, "blade 1 dull, length 3 in, width 2 in", 1 << GOOD);
    check_possible(&session, "blade 1 dull, length 3 in, width 2.0001 in", 1 << WATCH);
    check_possible(&session, "blade 1 dull, length 3 in, width 1 .. 2 in", 1 << GOOD);
    check_possible(&session, "blade 1 dull, length 3 in, width 2 .. 4 in", 1 << GOOD | 1 << WATCH);
    check_possible(&session, "blade 1 dull, length 3 in, width 2.5 .. 4.1 in",
                   1 << WATCH | 1 << SHOP);
    check_possible(&session, "blade 1 dull, length 2 .. 3 in, width 1 .. 2 in", 1 << GOOD);
    struct judgement *one = judged(&session, "blade 1 dull, length 3 in");
    assert_int_equal(one->possible, 1 << GOOD | 1 << WATCH | 1 << SHOP);
    assert_int_equal(one->need_count, 1);
    assert_int_equal(one->needs[0].index, 1);
    assert_true(one->needs[0].settles);
    struct judgement *two = judged(&session, "blade 1 dull, length 2 .. 4 in, width 2 .. 4 in");
    assert_int_equal(two->possible, 1 << GOOD | 1 << WATCH | 1 << SHOP);
    assert_int_equal(two->need_count, 2);
    assert_false(two->needs[0].settles);
    assert_int_equal(two->ladders[0].outcome, SHOP); /* the witness's own product is over 12 in2 */
    arena_end(&session.arena);
}

/* ---- what is too much --------------------------------------------------------------------------------- */

/* A book with very many ways to lie: nothing is known, so the answer must be cautious, and come. `covered`: a
 * limit is in force everywhere. */
static const char *large_book(struct arena *arena, bool covered)
{
    static const char *const axes[3] = {"aa", "bb", "cc"};
    struct text text;
    text_begin(&text, arena);
    text_add(&text, HEAD "part blade, 2 .. 6\n");
    for (int a = 0; a < 3; a++) {
        text_addf(&text, "    axis %s 0 in .. 10 in\n", axes[a]);
    }
    for (int z = 0; z < 3; z++) {
        text_addf(&text, "zone z%d on blade", z);
        for (int a = 0; a < 3; a++) {
            text_addf(&text, " %s %d in .. %d in", axes[a], 3 * z / 2, 3 * z / 2 + 5);
        }
        text_add(&text, "\n");
    }
    text_add(&text, covered ? "zone any-place on blade\n" : "");
    text_add(&text, "measure depth 0 in .. 9 in\nmeasure width 0 in .. 9 in\n"
                    "kind gouge on blade records depth, width\nreckon both as depth + width\n");
    for (int a = 0; a < 3; a++) {
        text_addf(&text, "curve c%d along %s\n", a, axes[a]);
        for (int p = 0; p <= 10; p += 2) {
            text_addf(&text, "    %d in  %d in\n", p, 1 + p * p % 7);
        }
    }
    for (int z = 0; z < 3; z++) {
        text_addf(&text,
                  "limit gouge on z%d\n    good depth up to c%d, width up to c%d\n"
                  "    watch both up to c%d, depth below c%d, any width\n    otherwise shop\n",
                  z, z % 3, (z + 1) % 3, (z + 2) % 3, z % 3);
    }
    text_add(&text, covered ? "limit gouge on any-place\n    good depth up to 1 in, any width\n"
                              "    otherwise shop\n"
                            : "");
    return text_done(&text);
}

/* More than can be walked whole; but a larger extent never comes out better, so the ends tell. */
static void test_too_much_is_bounded_by_its_ends(void **state)
{
    (void)state;
    struct session books, session;
    session_begin(&books, plain);
    session_begin(&session, large_book(&books.arena, true));
    struct judgement *judgement = judged(&session, "blade 1 gouge");
    assert_true(judgement->budget_hit);
    assert_int_equal(judgement->worst, SHOP); /* not NONE, which is worse, and cannot be */
    assert_int_equal(judgement->possible & (1 << GOOD | 1 << SHOP | 1 << NONE),
                     1 << GOOD | 1 << SHOP);
    assert_int_equal(judgement->ladders[0].outcome, SHOP);
    struct judgement *small = judged(&session, "blade 1 gouge, depth 0 .. 0.9 in, width 0 .. 0.9 in");
    assert_int_equal(small->possible, 1 << GOOD);
    arena_end(&session.arena);
    arena_end(&books.arena);
}

static void test_too_much_is_cautious(void **state)
{
    (void)state;
    struct session books, session;
    session_begin(&books, plain);
    session_begin(&session, large_book(&books.arena, false));
    struct judgement *judgement = judged(&session, "blade 1 gouge");
    assert_true(judgement->budget_hit);
    assert_int_equal(judgement->worst, NONE);
    assert_int_equal(judgement->possible & (1 << SHOP), 1 << SHOP);
    for (uint32_t i = 0; i < judgement->need_count; i++) {
        assert_false(judgement->needs[i].settles);
    }
    assert_int_equal(judgement->need_count, 5);
    arena_end(&session.arena);
    arena_end(&books.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_at_the_limit),
        cmocka_unit_test(test_doubts_to_the_step),
        cmocka_unit_test(test_open_end_as_low_as_the_doubt),
        cmocka_unit_test(test_as_read_takes_doubt_alone),
        cmocka_unit_test(test_needs_in_order),
        cmocka_unit_test(test_witness_at_the_worse_ends),
        cmocka_unit_test(test_products),
        cmocka_unit_test(test_too_much_is_cautious),
        cmocka_unit_test(test_too_much_is_bounded_by_its_ends),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
