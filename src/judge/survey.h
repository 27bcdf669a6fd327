/* The work of finding spots on one axis, shared by slice.c and spot.c. */
#ifndef STAVE_JUDGE_SURVEY_H
#define STAVE_JUDGE_SURVEY_H

#include "judge/spot.h"

/* Where lo and hi may be, before any cell is chosen. */
struct box {
    struct number lo_low, lo_high, hi_low, hi_high;
    bool point;
};

/* A place function within a cell, and how far it goes where lo or hi may be there: worked out once, when it
 * is asked for, as many pairs have the cell. */
struct cell_line {
    bool known;
    struct number slope, base;
    struct spot_end at_lo, at_hi;
};

/* Work on one axis. */
struct survey {
    struct arena *arena;
    const struct docket *docket;
    struct spots *spots;
    uint32_t axis;
    struct spot_axis *out;
    struct box box;
    const uint32_t *first_cell, *last_cell; /* by axis: the cells that the extent can reach */
    uint32_t *slice_of;                     /* by cell */
    /* The slices in which each function matters, one slice after the other: their functions, and by slice
     * where they begin (and behind the last). Heights are kept in this order. */
    uint32_t *matters, *matters_from;
    struct spot_end *lo_ends, *hi_ends;     /* by cell: where lo or hi may be in it */
    bool *lo_fits, *hi_fits;
    bool ends;             /* the least and the greatest pairs alone */
    struct cell_line *lines; /* cell * functions + function */
    bool *touched;         /* by slice, of the whole cells passed so far */
    struct height *passed; /* of the same, in the order of `matters` */
    uint32_t *table;       /* hash -> spot index + 1 */
    uint32_t table_size;
    uint64_t *hashes;      /* of each spot */
    uint32_t hash_count;
    size_t capacity, hash_capacity;
};

/* Sets out.slice_cell and slice_of: cells with the same memberships are one slice. */
void survey_slices(struct survey *survey);
/* Sets out.functions, and `matters`: the slices in which each of them does. */
void survey_functions(struct survey *survey);

#endif
