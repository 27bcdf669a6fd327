/*
 * book + plan -> claims: Total, Alive, Orderly, over all worlds (stave.h tells what a claim is).
 *
 * Each claim comes down to *obligations*: questions whether a world of one docket satisfies a plain
 * formula. The same questions can be put to another solver, so they are kept when asked for.
 */
#ifndef STAVE_PROVE_CLAIMS_H
#define STAVE_PROVE_CLAIMS_H

#include "verdict/verdict.h"

/*
 * Is there a world, over all readings (on their grid), observations, extents (lo <= hi on each
 * axis, both within it), one side, one place, company and what was read before free, such that
 *   ASK_UNCOVERED   some place of the extent is in no limit's zone
 *   ASK_GAP         ladder `limit` is met, and no line of it holds (a line "otherwise no published
 *                   limit" holds: that is a declared gap)
 *   ASK_LINE        ladder `limit` is met, and its line `rung` decides
 *   ASK_CONDITION   ladder `limit` is met, all lines above `rung` fail, all conditions of `rung` hold but for
 *                   `step`, which fails, and what then decides below it has another outcome, other deadlines
 *                   or another thing to do
 *   ASK_ORDER       a second world is as this one but for `variable` (or where `observed`, the observation of that
 *                   record), which is worse, and ladder `limit` gives it a better outcome. With `limit` of
 *                   UINT32_MAX: the worst over all ladders met
 */
enum asked { ASK_UNCOVERED, ASK_GAP, ASK_LINE, ASK_CONDITION, ASK_ORDER };
enum found_world { WORLD_NONE, WORLD_SOME, WORLD_UNSURE };

struct obligation {
    enum asked asked;
    const struct docket *docket;  /* of the plan, whole */
    uint32_t limit;               /* index in the docket; ASK_UNCOVERED: unused */
    uint32_t rung, step;
    uint32_t variable;
    bool observed;
    enum found_world found;
    const char *structure;        /* why no world was looked for, or NULL: "upper bounds only" */
    uint32_t claim;               /* the claim that rests on it */
};

struct obligations {
    struct obligation *items;
    uint32_t count;
    size_t capacity;
};

/*
 * All claims of a book, in `arena`; `scratch` is given back as the work goes on, and may be the same.
 * `how` and `kept` may be NULL. Where obligations are kept, each of them is answered; else a line
 * that is alive for one kind in one zone is not looked at for the others.
 */
void claims_make(struct arena *arena, struct arena *scratch, const struct ready_book *ready,
                 const struct stave_proving *how, struct obligations *kept,
                 struct stave_claims *claims);

/* The reason of a claim that is not proved, though the books do differ. */
#define COMPARE_NOT_SHOWN "a difference was found, and no finding line that shows it"

/* Two books held against each other. */
void compare_make(struct arena *arena, struct arena *scratch, const struct ready_book *first,
                  const struct ready_book *second, const struct stave_renamed *renamed,
                  size_t renamed_count, const struct stave_proving *how,
                  struct stave_compared *compared);

#endif
