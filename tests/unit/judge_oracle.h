/*
 * An oracle for judge(): goes through worlds one by one, in integers, from the book
 * as written. It knows nothing of plans, cells, constraints or rationals.
 */
#ifndef STAVE_TESTS_JUDGE_ORACLE_H
#define STAVE_TESTS_JUDGE_ORACLE_H

#include "judge_random.h"

#define ORACLE_LIMITS 4
#define ORACLE_CELLS 9 /* of the longest axis: whole units and the stretches between */

/* Memberships, looked up by the cells of an axis: cell 2u is the place u, 2u + 1 between u and u + 1. */
struct oracle_book {
    const struct book *book;
    bool member[ORACLE_LIMITS][2][ORACLE_CELLS][ORACLE_CELLS]; /* limit, side, cells */
    bool across;
};

struct oracle_world {
    int64_t readings[CASE_RECORDS];
    uint32_t values[CASE_RECORDS]; /* observations: which value */
    int64_t lo[CASE_AXES], hi[CASE_AXES];
    uint32_t side, place;
};

struct oracle_result {
    uint32_t outcome;
    int32_t rung[ORACLE_LIMITS]; /* -1: not met; the rung count: none held */
    bool uncovered;
};

struct oracle_answer {
    uint64_t possible;
    uint64_t rungs[ORACLE_LIMITS];
    uint64_t limits_met;
    bool uncovered;
    uint32_t world_count;
    /* Coordinates as judge() lists them: records, axes, side, place. */
    bool bears[CASE_RECORDS + CASE_AXES + 2], settles[CASE_RECORDS + CASE_AXES + 2];
};

void oracle_book_make(struct oracle_book *oracle, const struct random_book *made);
struct oracle_result oracle_judge_world(const struct oracle_book *oracle,
                                        const struct oracle_world *world);
struct oracle_answer oracle_judge(const struct oracle_book *oracle, const struct random_case *made);

#endif
