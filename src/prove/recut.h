/*
 * A docket cut anew: its limits over other breakpoints, with other names for its axes, sides,
 * variables and outcomes. Inside src/prove only.
 */
#ifndef STAVE_PROVE_RECUT_H
#define STAVE_PROVE_RECUT_H

#include "plan/plan.h"

struct recut {
    struct arena *arena;
    const struct docket *from;
    struct docket *to;               /* its axes and side_count are set */
    /* New to old; NULL: the same. */
    uint32_t axis_of[BOOK_AXES];
    uint32_t side_of[BOOK_SIDES];
    const uint32_t *place_of;        /* by place of `to` */
    /* Old to new; NULL: the same. */
    const uint32_t *variables, *records, *outcomes;
    uint64_t *const *value_of;       /* by old record: for each old value its bit; NULL: the same */
    uint32_t *cell_of[BOOK_AXES];    /* set by recut_begin: new cell to old cell */
};

void recut_begin(struct recut *recut);
/* The cells of a membership of `from`, in `to`. */
uint64_t *recut_cells(const struct recut *recut, const uint64_t *cells);
struct plan_limit recut_limit(const struct recut *recut, const struct plan_limit *limit);

/* For an axis of a docket: which inner breakpoints do the limits (and the membership `more`, or NULL) ask for? */
bool *recut_needed(struct arena *arena, const struct docket *docket, uint32_t axis, uint64_t limits,
                   const uint64_t *more);
size_t recut_words(const struct docket *docket);

#endif
