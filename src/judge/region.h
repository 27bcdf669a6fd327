/*
 * Where an extent lies: which cells of a zone it meets, and what an atom asks of the readings and
 * of the extent's ends there. The direct road (world.c) rests on all of it; the walk through sets
 * of worlds shares the cells, the form of a condition and the rounding.
 *
 * Everything here is for one choice of cells: for each axis of the docket the cell that holds
 * `lo` and the cell that holds `hi` (lo's cell <= hi's cell), and a side. Where both are the same
 * odd cell, lo <= hi is still a constraint of its own that the caller keeps. A docket by place has
 * one axis, on which lo's cell = hi's cell = 2 * place; a docket with neither has no axes.
 *
 * An axis cell c meets [lo, hi] in one *stretch*, never empty:
 *     c even                           the breakpoint c/2 alone
 *     c odd, lo's cell < c < hi's      ]b, b'[   its breakpoints, both left out
 *     c odd, lo's cell = c < hi's      [lo, b'[
 *     c odd, lo's cell < c = hi's      ]b, hi]
 *     c odd, lo's cell = c = hi's      [lo, hi]
 * A *piece* is the product of one stretch for each axis; extent and zone is the
 * union of the pieces whose bit is set in limit.cells.
 *
 * On a piece an atom is affine, so what it asks "at every place" comes down to corners:
 * at each corner of the closed piece g <= 0, and for a strict atom g < 0 at the corners that
 * belong to the piece, and, on an axis where both ends are left out, at the middle as well (else
 * an atom that is flat along it would slip through). All this is gathered by region_forms.
 */
#ifndef STAVE_JUDGE_REGION_H
#define STAVE_JUDGE_REGION_H

#include "plan/plan.h"

struct region_cells {
    uint32_t lo[BOOK_AXES], hi[BOOK_AXES]; /* by axis of the docket */
    uint32_t side;
};

/* The cell of an axis that holds `at`, which must lie on the axis. */
uint32_t region_cell(struct arena *arena, const struct docket *docket, uint32_t axis,
                     struct number at);

/* Does any place of the extent belong to the limit's zone? If not, the ladder is not met. */
bool region_touches(const struct docket *docket, const struct plan_limit *limit,
                    const struct region_cells *cells);
/* Does every place of the extent lie in some zone with a limit for the kind? */
bool region_covered(const struct docket *docket, const struct region_cells *cells);

/* ---- pieces, one by one ------------------------------------------------------------ */

enum region_end { REGION_BREAKPOINT, REGION_LO, REGION_HI };

/* Ends of a stretch; a point has both ends at one breakpoint, none left out. */
struct region_stretch {
    uint32_t cell;
    enum region_end from, to;
    uint32_t from_breakpoint, to_breakpoint; /* where the end is REGION_BREAKPOINT */
    bool from_open, to_open;                 /* that end does not belong to it */
};

struct region_stretch region_stretch(const struct region_cells *cells, uint32_t axis,
                                     uint32_t cell);

/*
 * Walks the pieces of extent and zone, in the order of the cells, last axis fastest:
 *     region_first(&walk, docket, limit, cells);
 *     while (region_next(&walk)) ... walk.cell[axis] ...
 */
struct region_walk {
    const struct docket *docket;
    const struct plan_limit *limit;
    const struct region_cells *cells;
    uint32_t cell[BOOK_AXES]; /* of the piece, by axis */
    bool begun;
};
void region_first(struct region_walk *walk, const struct docket *docket,
                  const struct plan_limit *limit, const struct region_cells *cells);
bool region_next(struct region_walk *walk);

/* ---- what an atom asks --------------------------------------------------------------- */

#define REGION_FORMS 81 /* for one atom: lo, hi or fixed, on four axes */

/*
 * One linear condition:
 *     the atom's terms + sum of lo[a] * lo_a + sum of hi[a] * hi_a + constant  (< or <=)  0
 * `constant` includes the atom's own.
 */
struct region_form {
    struct number lo[BOOK_AXES], hi[BOOK_AXES]; /* zero where that end does not matter */
    struct number constant;
    bool strict; /* < 0, else <= 0 */
};

/*
 * The conditions that together say: the atom is true at every place of extent and zone. Gives
 * their count; `forms` has room for REGION_FORMS. The atom is false at some place exactly when one
 * of them fails (its negation: the same sum >= 0 where strict, > 0 where not). No forms when the
 * extent does not meet the zone. Of corners with equal coefficients only the one that
 * asks most is given: an atom without place functions has one form, one with a
 * single curve at most three. Where a place function does not reach (which book_check
 * excludes) there is no answer: the call is left with STAVE_MISUSE.
 */
uint32_t region_forms(struct arena *arena, const struct docket *docket,
                      const struct plan_limit *limit, const struct atom *atom,
                      const struct region_cells *cells, struct region_form *forms);

/* ---- readings as the conditions take them ---------------------------------------------- */

/* A reading of a variable after the measure's rounding, once. */
struct number region_round(struct arena *arena, const struct variable *variable,
                           struct number reading);
/* The value of an expression over measures alone (a product's factor); `values` by the kind's
 * records, rounded. A measure that the kind does not record cannot be in it. */
struct number region_value(struct arena *arena, const struct kind *kind,
                           const struct expression *expression, const struct number *values);
/* The same for any expression, also of company and growth (`values` by variable), its curves taken at the place `at` (by axis of the docket). */
struct number region_value_at(struct arena *arena, const struct docket *docket,
                              const struct expression *expression, const struct number *values,
                              const struct number *at);

#endif
