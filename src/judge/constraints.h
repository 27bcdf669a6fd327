/*
 * Unknown values and what is known of them: bounds for each, and inequalities that
 * tie several together. Answers, exactly, whether some values satisfy all of it.
 *
 * Every unknown has finite bounds, closed or open. A stepped unknown takes only whole multiples
 * of its step. An inequality on one unknown becomes a bound at once; one on several is kept. A system of those
 * is solved by eliminating an unknown at a time (Fourier and Motzkin: each pair of a lower and an
 * upper row gives a row without it), then by picking values backwards; where a stepped
 * unknown has no multiple in its place, by branching below and above.
 *
 * Work is counted against `*work`; past it, past the sizes below, or where branching
 * goes too deep, the answer is SOLVABLE_UNKNOWN: the caller must then take it as possible.
 */
#ifndef STAVE_JUDGE_CONSTRAINTS_H
#define STAVE_JUDGE_CONSTRAINTS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/number.h"

#define CONSTRAINTS_KEPT 128u    /* inequalities on several unknowns at once */
#define CONSTRAINTS_CHANGES 1024u /* bounds that can be taken back */
#define CONSTRAINTS_ROWS 400u    /* rows in an elimination */
#define CONSTRAINTS_BITS 6000u   /* size of a figure in an elimination */
#define CONSTRAINTS_BRANCHES 40u /* depth of branching on steps */

struct unknown {
    struct number low, high;
    bool low_open, high_open;
    bool stepped;
    struct number step;          /* > 0; then bounds are multiples, and closed */
    bool rather_high;            /* which end to pick where there is a choice */
};

struct unknown_term { uint32_t unknown; struct number coefficient; /* not zero */ };

/* sum of the terms + constant  (< or <=)  0; an unknown stands in one term at most. */
struct inequality {
    struct unknown_term *terms;
    uint32_t term_count;
    struct number constant;
    bool strict;
};

/* A bound that was tightened, and what it was before. */
struct unknown_change {
    const struct unknown_change *older;
    uint32_t unknown;
    struct unknown before;
};

struct constraints {
    struct arena *arena;
    struct unknown *unknowns;
    uint32_t unknown_count;
    struct inequality *kept;
    uint32_t kept_count;
    const struct unknown_change *changes; /* the newest first */
    uint32_t change_count;
    uint32_t *work;              /* what is left of the budget; counted down to 0 */
    bool too_many;               /* something was left out because a size above was reached */
};

enum truth { TRUTH_NO, TRUTH_YES, TRUTH_EITHER };
enum solvable { SOLVABLE_NO, SOLVABLE_YES, SOLVABLE_UNKNOWN };

/* `count` unknowns, all zero until set. */
void constraints_begin(struct constraints *constraints, struct arena *arena, uint32_t count,
                       uint32_t *work);
/* Counts work; false when there is none left. */
bool constraints_spend(const struct constraints *constraints, uint32_t amount);

/* Can the unknown have any value? */
bool unknown_possible(struct arena *arena, const struct unknown *unknown);
bool unknown_fixed(const struct unknown *unknown);
/* A value between its bounds, which must be possible. */
struct number unknown_pick(struct arena *arena, const struct unknown *unknown);

/* What the bounds alone say of an inequality: TRUTH_EITHER may still be one of the others. */
enum truth constraints_truth(struct constraints *constraints, const struct inequality *asked);

/* A place to go back to. Bounds, inequalities and arena memory taken since are given up. */
struct constraints_mark {
    uint32_t change_count, kept_count;
    bool too_many;
    struct arena_mark memory;
};
struct constraints_mark constraints_mark(const struct constraints *constraints);
void constraints_return(struct constraints *constraints, struct constraints_mark mark);

/*
 * Adds that an inequality holds, or that it does not. False when the bounds already
 * exclude it. Where there is no room it is left out, which only ever allows more.
 */
bool constraints_assume(struct constraints *constraints, const struct inequality *added,
                        bool holds);

/* Is there a solution? With `sample` (unknown_count long) not NULL, SOLVABLE_YES gives one. */
enum solvable constraints_solve(struct constraints *constraints, struct number *sample);

/*
 * How far one unknown can go while the others take what values they need: its least and
 * greatest value, and whether these are left out. The steps of the others are not regarded, so it may be a little wide.
 * There has to be a solution. Takes memory and gives none back.
 */
struct unknown constraints_hull(struct constraints *constraints, uint32_t unknown);

#endif
