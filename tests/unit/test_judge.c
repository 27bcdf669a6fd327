/*
 * judge(): the set of outcomes, the rungs, the witness, and which readings bear and settle.
 *
 * Random small books and findings are judged by judge() and by an oracle that goes
 * through worlds one by one (judge_oracle.c). A lattice of worlds is enough for that to be exact:
 *
 *   Every condition of these books compares sums of unknown things with whole or half units, and
 *   every curve has slope -1, 0 or 1. So within one choice of cells each condition is an inequality
 *       x <= c,  x +- y <= c   (or <)      x, y unknown readings or ends of the extent,
 *   with c a multiple of a half where x stands alone and a whole number else (all that is typed is a whole
 *   number while three things are unknown). What the conditions can tell apart are the faces
 *   of the arrangement of all these planes. That arrangement is refined by the planes
 *   x = k/2, x +- y = k, which cut space into copies of the simplex 0 <= x1 <= ... <= xn <= 1/2
 *   (the alcoves of the affine group C~n): all its mirror images under x -> -x, permutations,
 *   and shifts by whole units and x -> 1 - x. A face of the simplex is given by which of the
 *   n+1 inequalities are equalities; eighths leave room for 0 < 1/8 < 2/8 < 3/8 < 1/2, so for n <= 3 every
 *   face of every dimension holds a point with all coordinates multiples of 1/8, and the
 *   mirrors keep eighths. With three things in one condition at most two are unknown,
 *   and with two unknown all that is typed is a multiple of 1/2: doubled, it is the case
 *   x = k, y = k, x +- y = k, whose faces all hold a multiple of 1/4, so 1/8 before doubling. With one unknown all
 *   is a multiple of 1/4 and the stretches between hold eighths.
 *   A rounded reading takes whole values only, which then count as typed.
 *   That a coordinate bears (settles) is asked of pairs of worlds; but one of the pair may be
 *   held at one value of the coordinate (of all others), see needs.c, so no more is unknown.
 *   Places: where a condition fails is, on an axis, a stretch whose ends are eighths, open or closed;
 *   if it is not empty it holds a sixteenth. Along two axes it is a polygon with edges
 *   x = k/8, y = k/8, x +- y = k/8, and by the same argument holds a multiple of 1/32.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "judge/judge.h"
#include "judge/region.h"
#include "judge_oracle.h"

#define BOOKS 10000
#define FINDINGS 10 /* for each book */

/* ---- judge() against the oracle ----------------------------------------------------------- */

struct session {
    struct arena arena;
    struct escape escape;
    uint64_t seed;
};

static struct tally {
    uint64_t worlds, undecided, needs, settling, uncovered, exact, fewer;
} tally;

static void check_rungs(const struct session *session, const struct docket *docket,
                        const struct judgement *judgement, const struct oracle_answer *answer)
{
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        uint32_t index = docket->limits[l].source->index;
        if (judgement->rungs[l] != answer->rungs[index]) {
            fail_msg("seed %llu: limit %u: rungs %llx, oracle %llx",
                     (unsigned long long)session->seed, l, (unsigned long long)judgement->rungs[l],
                     (unsigned long long)answer->rungs[index]);
        }
    }
}

/* Position of a need among the oracle's coordinates. */
static uint32_t coordinate_of(const struct need *need)
{
    switch (need->sort) {
    case NEED_VARIABLE: /* the random books have none */
    case NEED_READING:
        return need->index;
    case NEED_AXIS:
        return CASE_RECORDS + need->index;
    case NEED_SIDE:
        return CASE_RECORDS + CASE_AXES;
    case NEED_PLACE:
        break;
    }
    return CASE_RECORDS + CASE_AXES + 1;
}

static void check_needs(const struct session *session, const struct judgement *judgement,
                        const struct oracle_answer *answer)
{
    uint32_t listed = 0, next = 0;
    for (int settles = 1; settles >= 0; settles--) {
        for (uint32_t c = 0; c < CASE_RECORDS + CASE_AXES + 2; c++) {
            if (!answer->bears[c] || answer->settles[c] != (settles != 0)) {
                continue;
            }
            listed++;
            if (next >= judgement->need_count || coordinate_of(&judgement->needs[next]) != c ||
                judgement->needs[next].settles != answer->settles[c]) {
                fail_msg("seed %llu: need %u is not coordinate %u (settles %d)",
                         (unsigned long long)session->seed, next, c, settles);
            }
            next++;
            tally.settling += settles != 0;
        }
    }
    if (listed != judgement->need_count) {
        fail_msg("seed %llu: %u needs, oracle %u", (unsigned long long)session->seed,
                 judgement->need_count, listed);
    }
    tally.needs += listed;
}

static bool inside(struct arena *arena, struct number value, int64_t low, int64_t high)
{
    return number_compare(arena, in_units(arena, low), value) <= 0 &&
           number_compare(arena, value, in_units(arena, high)) <= 0;
}

/* The witness is one of the finding's worlds, and has the worst outcome. */
static void check_witness(struct session *session, const struct docket *docket,
                          const struct random_case *made, const struct judgement *judgement)
{
    struct arena *arena = &session->arena;
    const struct world *world = &judgement->witness;
    bool good = true;
    for (uint32_t r = 0; r < docket->kind->record_count; r++) {
        good &= docket->kind->records[r].measure
                    ? inside(arena, world->readings[r], made->low[r], made->high[r])
                    : (world->values[r] & made->finding->readings[r].values) == world->values[r] &&
                          __builtin_popcountll(world->values[r]) == 1;
    }
    for (uint32_t a = 0; a < docket->axis_count && !docket->by_place; a++) {
        const struct ends *ends = &made->ends[a];
        good &= inside(arena, world->lo[a], ends->lo_low, ends->lo_high) &&
                inside(arena, world->hi[a], ends->hi_low, ends->hi_high) &&
                number_compare(arena, world->lo[a], world->hi[a]) <= 0 &&
                (!ends->point || number_equal(world->lo[a], world->hi[a]));
    }
    good &= !made->finding->sides || made->finding->sides >> world->side & 1;
    good &= !made->finding->places || made->finding->places >> world->place & 1;
    struct ladder_result *ladders;
    uint32_t ladder_count;
    bool uncovered;
    uint32_t outcome = judge_world(arena, docket, world, &ladders, &ladder_count, &uncovered);
    good &= outcome == judgement->worst && ladder_count == judgement->ladder_count &&
            uncovered == judgement->witness_uncovered;
    for (uint32_t i = 0; i < ladder_count; i++) {
        good &= i == 0 || judgement->ladders[i - 1].outcome >= judgement->ladders[i].outcome;
    }
    if (!good) {
        fail_msg("seed %llu: the witness is not a world with the worst outcome",
                 (unsigned long long)session->seed);
    }
}

static bool same_worlds(const struct docket *docket, const struct world *a, const struct world *b)
{
    bool same = a->side == b->side && a->place == b->place;
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        same &= number_equal(a->readings[v], b->readings[v]);
    }
    for (uint32_t r = 0; r < docket->kind->record_count; r++) {
        same &= a->values[r] == b->values[r];
    }
    for (uint32_t x = 0; x < docket->axis_count && !docket->by_place; x++) {
        same &= number_equal(a->lo[x], b->lo[x]) && number_equal(a->hi[x], b->hi[x]);
    }
    return same;
}

/* Where the ends alone are asked for: the same best, worst and witness. */
static void check_ends(struct session *session, const struct docket *docket,
                       const struct random_case *made, const struct judgement *whole)
{
    const struct judgement *ends =
        judge(&session->arena, docket, made->finding, made->as_read, JUDGE_ENDS, 0);
    bool same = ends->worst == whole->worst &&
                (ends->possible & -ends->possible) == (whole->possible & -whole->possible) &&
                !(ends->possible & ~whole->possible) && !ends->budget_hit &&
                ends->witness_uncovered == whole->witness_uncovered &&
                ends->ladder_count == whole->ladder_count && ends->need_count == 0 &&
                same_worlds(docket, &ends->witness, &whole->witness);
    for (uint32_t i = 0; same && i < ends->ladder_count; i++) {
        same = ends->ladders[i].limit == whole->ladders[i].limit &&
               ends->ladders[i].rung == whole->ladders[i].rung;
    }
    if (!same) {
        fail_msg("seed %llu: the ends alone give %llx, all %llx, or another witness",
                 (unsigned long long)session->seed, (unsigned long long)ends->possible,
                 (unsigned long long)whole->possible);
    }
    tally.fewer += ends->possible != whole->possible;
}

static void check_case(struct session *session, const struct docket *docket,
                       const struct oracle_book *oracle, const struct random_case *made)
{
    struct oracle_answer answer = oracle_judge(oracle, made);
    struct judgement *judgement =
        judge(&session->arena, docket, made->finding, made->as_read, JUDGE_ALL, made->floor);
    if (judgement->budget_hit) {
        fail_msg("seed %llu: over budget", (unsigned long long)session->seed);
    }
    if (judgement->possible != answer.possible || judgement->uncovered != answer.uncovered ||
        judgement->limits_met != answer.limits_met) {
        fail_msg("seed %llu: possible %llx, oracle %llx; uncovered %d, oracle %d; met %llx, %llx",
                 (unsigned long long)session->seed, (unsigned long long)judgement->possible,
                 (unsigned long long)answer.possible, judgement->uncovered, answer.uncovered,
                 (unsigned long long)judgement->limits_met, (unsigned long long)answer.limits_met);
    }
    assert_int_equal(judgement->worst, 63 - __builtin_clzll(answer.possible));
    check_rungs(session, docket, judgement, &answer);
    check_needs(session, judgement, &answer);
    check_witness(session, docket, made, judgement);
    check_ends(session, docket, made, judgement);
    tally.worlds += answer.world_count;
    tally.exact += answer.world_count == 1;
    tally.undecided += (answer.possible & (answer.possible - 1)) != 0;
    tally.uncovered += answer.uncovered;
}

static void check_book(uint64_t seed)
{
    struct session session = {.seed = seed};
    arena_begin(&session.arena, NULL, &session.escape);
    if (setjmp(session.escape.to)) {
        fail_msg("seed %llu: escaped with status %d", (unsigned long long)session.seed,
                 (int)session.escape.status);
    }
    struct random random = {seed * UINT64_C(0x9e3779b97f4a7c15) + 1};
    struct random_book made = random_book(&session.arena, &random);
    struct oracle_book oracle;
    oracle_book_make(&oracle, &made);
    const struct plan *plan = plan_compile(made.book);
    const struct docket *docket = plan_docket(plan, made.kind, made.part);
    for (int f = 0; f < FINDINGS; f++) {
        struct random_case one = random_case(&session.arena, &random, &made);
        check_case(&session, docket, &oracle, &one);
    }
    arena_end(&session.arena);
}

static void test_against_the_oracle(void **state)
{
    (void)state;
    const char *only = getenv("JUDGE_SEED");
    if (only) {
        check_book(strtoull(only, NULL, 10));
        return;
    }
    for (uint64_t seed = 1; seed <= BOOKS; seed++) {
        check_book(seed);
    }
    printf("%d random findings in %d books: %llu worlds, %llu of one world, %llu undecided, "
           "%llu needs, %llu settling, %llu uncovered, %llu with fewer by their ends\n",
           BOOKS * FINDINGS, BOOKS, (unsigned long long)tally.worlds,
           (unsigned long long)tally.exact, (unsigned long long)tally.undecided,
           (unsigned long long)tally.needs, (unsigned long long)tally.settling,
           (unsigned long long)tally.uncovered, (unsigned long long)tally.fewer);
    assert_true(tally.undecided > BOOKS && tally.settling > BOOKS / 2 &&
                tally.uncovered > BOOKS / 2 && tally.fewer > BOOKS / 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_against_the_oracle),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
