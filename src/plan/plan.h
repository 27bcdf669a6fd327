/*
 * book -> plan: what the evaluator runs. For each kind (or check) on each part there
 * is one docket: the part cut into cells, the ladders that can be met, and their conditions
 * brought to a form that can be decided exactly.
 *
 * Cells. On each axis every edge of a zone with a limit for the kind (also of what it is outside
 * of), every point of a place function that such a limit uses, every meeting of sides and the two
 * ends of the axis are breakpoints b0 < b1 < ... The axis falls into 2n-1 cells: cell 2i is the point bi, cell 2i+1 the open
 * interval (bi, bi+1). Within one cell the zones touched do not change and each curve is
 * straight. A part with named places has one axis-like row of places instead; a
 * part with neither has a single cell.
 *
 * Zones. A cell belongs to a zone when it lies in its box and, where the zone is outside others, in
 * the closure of what of this box is in none of them: a place of the box stays in the rest unless all
 * places near it, on its side and in the box, are taken. So where two of those others touch, or one
 * ends where the box ends, nothing stays there; and the end of an axis is no edge. The box keeps its
 * open ends. "Near" is in the product of the axes.
 *
 * Atoms. Every comparison is an AND/OR tree of atoms, each
 *     sum of coefficient * variable + sum of place functions + constant  (< or <=)  0
 * A variable is a recorded measure of the kind (after its rounding) or a product of
 * measures, which is a coordinate of its own. A place function is a piecewise straight function
 * along one axis: curves, their sums, and the lesser or greater of them are worked out exactly into
 * one such function when the plan is made, and its points are breakpoints too.
 * An atom tree is asked at every place of extent and zone: it holds when it
 * is true at all of them. Under an OR at most one branch may depend on the place (book_check refuses others).
 */
#ifndef STAVE_PLAN_PLAN_H
#define STAVE_PLAN_PLAN_H

#include "book/book.h"

struct place_function {
    uint32_t axis;                 /* index in the part's axes */
    uint32_t point_count;          /* breakpoints of that axis within its reach */
    uint32_t first;                /* index of its first breakpoint on the axis */
    struct number *values;         /* at each breakpoint from `first` on */
};

struct term { uint32_t variable; struct number coefficient; };

struct atom {
    struct term *terms;            uint32_t term_count;
    struct place_function *places; uint32_t place_count; /* at most one for each axis */
    struct number constant;
    bool strict;                   /* < 0, else <= 0 */
};

enum atom_tree_sort { ATOM_LEAF, ATOM_AND, ATOM_OR };

struct atom_tree {
    enum atom_tree_sort sort;
    struct atom atom;
    struct atom_tree **branches;   uint32_t branch_count;
};

enum step_sort { STEP_ATOMS, STEP_VALUES, STEP_ALWAYS };

/* A condition of a rung. */
struct step {
    enum step_sort sort;
    struct atom_tree *atoms;
    uint32_t record;               /* STEP_VALUES: which recorded observation of the kind */
    uint64_t values;
    const struct condition *source;
};

struct plan_rung {
    struct step *steps;            uint32_t step_count;
    uint32_t outcome;
    const struct rung *source;
};

struct plan_limit {
    const struct limit *source;
    struct plan_rung *rungs;       uint32_t rung_count;
    /* Membership: bit (side * cells + cell) over the product of the axes' cells,
     * the last axis running fastest; sides as one when the part has none. At a meeting the
     * bit is set for all sides when it is for one. */
    uint64_t *cells;
};

struct plan_axis {
    struct number *breakpoints;    uint32_t breakpoint_count;
    uint32_t cell_count;           /* 2 * breakpoint_count - 1 */
    uint64_t *meeting;             /* bit set over cells: the sides meet there; NULL when none */
};

enum variable_sort {
    VARIABLE_RECORD,
    VARIABLE_PRODUCT,
    VARIABLE_COMPANY,  /* aggregate */
    VARIABLE_EARLIER,  /* the measure of `record` at the inspection before */
    VARIABLE_FIRST,    /* ... when it was first seen */
    VARIABLE_SEEN      /* 0: first seen now, 1: seen before */
};

/* A variable of the docket: one for each record of the kind (an observation's is unused),
 * then, in the order in which the conditions ask for them, the others. */
struct variable {
    enum variable_sort sort;
    const struct aggregate *aggregate;
    uint32_t record;               /* EARLIER, FIRST */
    const struct measure *measure; /* RECORD, EARLIER, FIRST; else NULL, and for an observation */
    const struct expression *factors[2]; /* a product of two expressions over measures */
    enum tree_step stepping;
    struct number step;            /* rounding grid; its multiples are the values, when stepped
                                      up to or nearest */
    bool round_down;               /* `up to` toward worse where smaller is worse */
};

struct docket {
    const struct book *book;       /* its scale says which outcome is "no published limit" */
    const struct kind *kind;
    const struct part *part;
    struct plan_axis *axes;        uint32_t axis_count; /* places: one axis, cell 2i = place i,
                                                           odd cells unused */
    bool by_place;
    uint32_t side_count;           /* at least 1 */
    uint32_t cell_count;           /* product of the axes' cells; 1 with no axes */
    struct plan_limit *limits;     uint32_t limit_count;
    bool rises;                    /* for certain: no ladder gets better from one line to the next, its end
                                      included (book_check lets them not, but for the outcome there) */
    uint64_t *covered;             /* over sides and cells as above: in some limit's zone */
    struct variable *variables;    uint32_t variable_count;
};

struct plan {
    const struct book *book;
    /* By zone index: the part cut by that zone alone, in one limit; NULL where no aggregate asks
     * for it. For src/company. */
    struct docket **zones;
    struct docket **dockets;       /* kind_count * part_count, NULL where the kind is not on the part */
    /* While it is not complete: where a docket is made when it is first asked for. */
    struct arena *arena, *scratch;
};

/* The docket of a kind on a part; NULL where the kind is not on it. */
const struct docket *plan_docket(const struct plan *plan, const struct kind *kind,
                                 const struct part *part);

/* A measure as a variable: how its readings are rounded. */
struct variable plan_measure_variable(const struct measure *measure);
/* The variable of a docket that stands for an aggregate, or -1. */
int32_t plan_company_variable(const struct docket *docket, const struct aggregate *aggregate);

/* One docket alone, in an arena. Scratch is given back; where it is the same arena, it stays. */
struct docket *plan_docket_make(struct arena *arena, struct arena *scratch, const struct book *book,
                                const struct kind *kind, const struct part *part);

/* A plan of a book without errors that makes a docket when it is asked for, in an arena of the call that
 * asks: what one verdict needs. It and the call end together, and belong to one thread. */
struct plan *plan_begin(struct arena *arena, const struct book *book);
/* Makes all that are not made yet: from here on the plan is only read. */
void plan_complete(struct plan *plan);
/* A complete plan, in the book's arena. */
struct plan *plan_compile(const struct book *book);

#endif
