/*
 * Systems of inequalities, solved by elimination and by trying all points.
 *
 * Unknowns that take whole values only are tried through: the answer must be the same. For
 * systems with free unknowns a sample must satisfy everything, and "no" must mean that no multiple of
 * 1/12 does (coefficients are at most 2, so most faces hold one).
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "judge/constraints.h"

#define SYSTEMS 60000
#define UNKNOWNS 3
#define ROWS 4
#define FINE 12 /* points tried in one unit */

struct small {
    int64_t low[UNKNOWNS], high[UNKNOWNS]; /* in twelfths */
    bool low_open[UNKNOWNS], high_open[UNKNOWNS], stepped[UNKNOWNS];
    int64_t factors[ROWS][UNKNOWNS], constants[ROWS]; /* constants in twelfths */
    bool strict[ROWS], holds[ROWS];
    uint32_t rows;
};

static uint64_t random_state;

static int64_t between(int64_t low, int64_t high)
{
    random_state = random_state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return low + (int64_t)((random_state >> 33) % (uint64_t)(high - low + 1));
}

static struct small small_system(void)
{
    struct small small = {.rows = (uint32_t)between(1, ROWS)};
    for (uint32_t u = 0; u < UNKNOWNS; u++) {
        small.stepped[u] = between(0, 1);
        small.low[u] = FINE * between(0, 2);
        small.high[u] = small.low[u] + FINE * between(small.stepped[u] ? 0 : 1, 2);
        small.low_open[u] = !small.stepped[u] && between(0, 2) == 0;
        small.high_open[u] = !small.stepped[u] && between(0, 2) == 0;
    }
    for (uint32_t r = 0; r < small.rows; r++) {
        for (uint32_t u = 0; u < UNKNOWNS; u++) {
            small.factors[r][u] = between(-2, 2);
        }
        small.constants[r] = FINE / 2 * between(-6, 6);
        small.strict[r] = between(0, 1);
        small.holds[r] = between(0, 1);
    }
    return small;
}

static bool row_satisfied(const struct small *small, uint32_t r, const int64_t *point)
{
    int64_t sum = small->constants[r];
    for (uint32_t u = 0; u < UNKNOWNS; u++) {
        sum += small->factors[r][u] * point[u];
    }
    return (small->strict[r] ? sum < 0 : sum <= 0) == small->holds[r];
}

static bool point_satisfies(const struct small *small, const int64_t *point)
{
    bool good = true;
    for (uint32_t u = 0; u < UNKNOWNS; u++) {
        good &= !(small->low_open[u] && point[u] == small->low[u]) &&
                !(small->high_open[u] && point[u] == small->high[u]);
    }
    for (uint32_t r = 0; r < small->rows && good; r++) {
        good = row_satisfied(small, r, point);
    }
    return good;
}

static bool any_point(const struct small *small)
{
    int64_t point[UNKNOWNS], step[UNKNOWNS];
    for (uint32_t u = 0; u < UNKNOWNS; u++) {
        step[u] = small->stepped[u] ? FINE : 1;
    }
    for (point[0] = small->low[0]; point[0] <= small->high[0]; point[0] += step[0]) {
        for (point[1] = small->low[1]; point[1] <= small->high[1]; point[1] += step[1]) {
            for (point[2] = small->low[2]; point[2] <= small->high[2]; point[2] += step[2]) {
                if (point_satisfies(small, point)) {
                    return true;
                }
            }
        }
    }
    return false;
}

static bool sample_satisfies(struct arena *arena, const struct small *small,
                             const struct number *sample)
{
    bool good = true;
    for (uint32_t u = 0; u < UNKNOWNS; u++) {
        int low = number_compare(arena, sample[u], number_make(arena, small->low[u], FINE));
        int high = number_compare(arena, sample[u], number_make(arena, small->high[u], FINE));
        good &= low >= small->low_open[u] && high <= -small->high_open[u] &&
                (!small->stepped[u] || number_is_integer(sample[u]));
    }
    for (uint32_t r = 0; r < small->rows; r++) {
        struct number sum = number_make(arena, small->constants[r], FINE);
        for (uint32_t u = 0; u < UNKNOWNS; u++) {
            sum = number_add(arena, sum,
                             number_multiply(arena, sample[u], NUMBER_INT(small->factors[r][u])));
        }
        int sign = number_sign(sum);
        good &= (small->strict[r] ? sign < 0 : sign <= 0) == small->holds[r];
    }
    return good;
}

/* Solves it; false already while adding counts as no. */
static enum solvable solve_small(struct arena *arena, const struct small *small,
                                 struct number *sample, bool *sampled_too)
{
    struct constraints constraints;
    uint32_t work = 1000000;
    constraints_begin(&constraints, arena, UNKNOWNS, &work);
    for (uint32_t u = 0; u < UNKNOWNS; u++) {
        constraints.unknowns[u] = (struct unknown){.low = number_make(arena, small->low[u], FINE),
                                                   .high = number_make(arena, small->high[u], FINE),
                                                   .low_open = small->low_open[u],
                                                   .high_open = small->high_open[u],
                                                   .stepped = small->stepped[u],
                                                   .step = NUMBER_INT(1),
                                                   .rather_high = between(0, 1)};
    }
    for (uint32_t r = 0; r < small->rows; r++) {
        struct unknown_term terms[UNKNOWNS];
        struct inequality row = {.terms = terms,
                                 .constant = number_make(arena, small->constants[r], FINE),
                                 .strict = small->strict[r]};
        for (uint32_t u = 0; u < UNKNOWNS; u++) {
            if (small->factors[r][u] != 0) {
                terms[row.term_count++] =
                    (struct unknown_term){u, NUMBER_INT(small->factors[r][u])};
            }
        }
        enum truth truth = constraints_truth(&constraints, &row);
        if (truth != TRUTH_EITHER && (truth == TRUTH_YES) != small->holds[r]) {
            *sampled_too = true;
            return SOLVABLE_NO;
        }
        if (!constraints_assume(&constraints, &row, small->holds[r])) {
            *sampled_too = true;
            return SOLVABLE_NO;
        }
    }
    enum solvable answer = constraints_solve(&constraints, NULL);
    *sampled_too = constraints_solve(&constraints, sample) == answer;
    return answer;
}

static struct tally {
    uint32_t yes, no, only_between;
} tally;

static void check_system(uint32_t number)
{
    struct arena arena;
    struct escape escape;
    arena_begin(&arena, NULL, &escape);
    if (setjmp(escape.to)) {
        fail_msg("escaped with status %d", (int)escape.status);
    }
    random_state = number;
    struct small small = small_system();
    struct number sample[UNKNOWNS];
    bool sampled_too;
    enum solvable answer = solve_small(&arena, &small, sample, &sampled_too);
    bool found = any_point(&small);
    assert_true(sampled_too);
    assert_int_not_equal(answer, SOLVABLE_UNKNOWN);
    if (answer == SOLVABLE_YES ? !sample_satisfies(&arena, &small, sample) : found) {
        fail_msg("system %u: answer %d, a point was %s", number, (int)answer,
                 found ? "found" : "not found");
    }
    tally.yes += answer == SOLVABLE_YES;
    tally.no += answer == SOLVABLE_NO;
    tally.only_between += answer == SOLVABLE_YES && !found;
    arena_end(&arena);
}

static void test_against_all_points(void **state)
{
    (void)state;
    for (uint32_t i = 0; i < SYSTEMS; i++) {
        check_system(i);
    }
    printf("%d systems: %u solvable, %u not; %u solvable only between the points tried\n", SYSTEMS,
           tally.yes, tally.no, tally.only_between);
    assert_true(tally.yes > SYSTEMS / 5 && tally.no > SYSTEMS / 5);
}

/* 2x - 2y = 1 has no whole solution: a bound moved to the steps shows it without branching. */
static void test_thin_slab(void **state)
{
    (void)state;
    struct arena arena;
    struct escape escape;
    arena_begin(&arena, NULL, &escape);
    if (setjmp(escape.to)) {
        fail_msg("escaped with status %d", (int)escape.status);
    }
    struct constraints constraints;
    uint32_t work = 1000;
    constraints_begin(&constraints, &arena, 2, &work);
    for (uint32_t u = 0; u < 2; u++) {
        constraints.unknowns[u] = (struct unknown){.low = NUMBER_ZERO,
                                                   .high = NUMBER_INT(1000000),
                                                   .stepped = true,
                                                   .step = NUMBER_INT(1)};
    }
    struct unknown_term up[2] = {{0, NUMBER_INT(2)}, {1, NUMBER_INT(-2)}};
    struct unknown_term down[2] = {{0, NUMBER_INT(-2)}, {1, NUMBER_INT(2)}};
    struct inequality most = {up, 2, NUMBER_INT(-1), false},
                      least = {down, 2, NUMBER_INT(1), false};
    assert_true(constraints_assume(&constraints, &most, true));
    struct constraints_mark mark = constraints_mark(&constraints);
    assert_true(constraints_assume(&constraints, &least, true));
    assert_int_equal(constraints_solve(&constraints, NULL), SOLVABLE_NO);
    constraints_return(&constraints, mark);
    assert_int_equal(constraints_solve(&constraints, NULL), SOLVABLE_YES);
    arena_end(&arena);
}

/* Without work left nothing is excluded, and nothing is claimed. */
static void test_no_work_left(void **state)
{
    (void)state;
    struct arena arena;
    struct escape escape;
    arena_begin(&arena, NULL, &escape);
    if (setjmp(escape.to)) {
        fail_msg("escaped with status %d", (int)escape.status);
    }
    struct constraints constraints;
    uint32_t work = 0;
    constraints_begin(&constraints, &arena, 2, &work);
    for (uint32_t u = 0; u < 2; u++) {
        constraints.unknowns[u] =
            (struct unknown){.low = NUMBER_ZERO, .high = NUMBER_INT(1), .step = NUMBER_ZERO};
    }
    struct unknown_term sum[2] = {{0, NUMBER_INT(1)}, {1, NUMBER_INT(1)}};
    struct unknown_term gap[2] = {{0, NUMBER_INT(1)}, {1, NUMBER_INT(-1)}};
    struct inequality one = {sum, 2, NUMBER_INT(-1), false}, other = {gap, 2, NUMBER_ZERO, true};
    assert_true(constraints_assume(&constraints, &one, true));
    assert_true(constraints_assume(&constraints, &other, true));
    assert_int_equal(constraints_solve(&constraints, NULL), SOLVABLE_UNKNOWN);
    arena_end(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_against_all_points),
        cmocka_unit_test(test_thin_slab),
        cmocka_unit_test(test_no_work_left),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
