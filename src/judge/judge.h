/*
 * plan + finding -> judgement: the set of outcomes that are possible, exactly.
 *
 * W, the worlds of a finding, is the product of all its readings, extents, sides and places.
 * On each axis the ways to lie are brought down to the few that the ladders can tell apart
 * (spot.h); for one way on each axis and a side the ladders met are fixed and all conditions are
 * linear in the readings and in lo and hi. The evaluator walks the ladders (walk.h), splitting
 * where a condition can both hold and fail; constraints on more than one unknown are decided by
 * exact elimination, with branching on the grid for rounded readings (constraints.h). The work is
 * bounded (JUDGE_BUDGET): where the bound is hit, what could not be excluded counts as
 * possible, and a reading as one that bears and does not settle. Where no ladder gets better from line to line
 * the best and the worst outcome are found apart, among the few least and greatest extents.
 *
 * Exact but for this: a product of two readings that are both in doubt is a coordinate of its
 * own, free between its least and greatest value, which only ever adds outcomes. The witness then
 * shows the true product where some world with the worst outcome has it, else its ladders may
 * come out better than `worst`.
 */
#ifndef STAVE_JUDGE_JUDGE_H
#define STAVE_JUDGE_JUDGE_H

#include "finding/finding.h"
#include "plan/plan.h"

#define JUDGE_BUDGET 2000000u /* elementary decisions for one finding: half for the outcomes */

/* One world, for reasons: a value for each variable and a place. */
struct world {
    struct number *readings;      /* by variable of the docket: as read, before rounding, also what
                                     was read before; company; of products unused */
    uint64_t *values;             /* by the kind's records: one bit, for observations */
    struct number *lo, *hi;       /* by axis */
    uint32_t side, place;
};

/* What a ladder did in one world. rung == its rung count: none held (no published limit). */
struct ladder_result {
    const struct plan_limit *limit;
    uint32_t rung;
    uint32_t outcome;
};

/* A condition as it came out in one world, with the place that is least favourable to it. */
struct condition_result {
    const struct condition *condition;
    bool holds;
    bool numeric;
    struct number left, right;    /* base units: values of both sides at that place */
    const struct unit *unit;      /* to show them in: that of the (first) reading on the left */
    bool has_place;               /* a place function was taken */
    uint32_t axis;
    struct number at;
};

struct judgement {
    uint64_t possible;            /* bit set over the scale */
    uint32_t worst;
    bool uncovered;               /* in some world part of it lies in no zone with a limit */
    bool budget_hit;
    /* Every rung that decides in some world: bit sets by limit, rung_count + 1 bits. */
    uint64_t *rungs;              /* one set a limit of the docket */
    uint64_t limits_met;          /* limits touched in some world */
    /* A world in which the worst outcome comes about, readings at their worse end where that
     * is one, and what each ladder met gives there, governing first. */
    struct world witness;
    struct ladder_result *ladders;
    uint32_t ladder_count;
    bool witness_uncovered;
    /* Coordinates that bear, in the order to ask: */
    struct need {
        enum {
            NEED_READING, NEED_AXIS, NEED_SIDE, NEED_PLACE,
            NEED_VARIABLE         /* company, or what was read before */
        } sort;
        uint32_t index;           /* record, axis or variable */
        bool settles;
    } *needs;
    uint32_t need_count;
};

/* What is to be told. */
enum judge_telling {
    JUDGE_ALL,
    JUDGE_NO_NEEDS, /* nothing is looked for that bears */
    JUDGE_ENDS      /* nor that; of `possible` the best and the worst alone are sure to be there, and
                     * `rungs`, `limits_met` and `uncovered` are not told */
};

/*
 * Judges one finding. `floor` is an outcome that holds whatever this finding gives (0: none): outcomes
 * no worse than it count as one for bearing and settling, as they cannot matter. With as_read, "a +/- d" is
 * {a}. The result and all scratch are in `arena`. More than 64 limits in a docket, or 64 rungs, are refused by
 * book_check.
 */
struct judgement *judge(struct arena *arena, const struct docket *docket,
                        const struct finding *finding, bool as_read, enum judge_telling telling,
                        uint32_t floor);

/*
 * The same by a second, direct road: one exact world. Gives the outcome of each ladder met
 * and the governing outcome. Used for reasons, and by the tests against judge().
 */
uint32_t judge_world(struct arena *arena, const struct docket *docket, const struct world *world,
                     struct ladder_result **ladders, uint32_t *ladder_count, bool *uncovered);

/* How one condition of a ladder comes out in a world. */
struct condition_result judge_condition(struct arena *arena, const struct docket *docket,
                                        const struct plan_limit *limit, const struct step *step,
                                        const struct world *world);
/* The unit in which a comparison's figures are shown where no reading says otherwise. */
const struct unit *judge_condition_unit(const struct condition *condition);

#endif
