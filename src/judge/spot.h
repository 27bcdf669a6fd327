/*
 * Where a finding may lie, brought down to the few cases that the ladders can tell apart.
 *
 * On one axis an extent is a pair: the cell of lo and the cell of hi. Most pairs look alike to
 * the ladders. A *slice* is a set of cells of one axis with the same memberships, whatever the
 * cells on the other axes and the side; an extent is seen only through
 *   - the slices that it touches, and
 *   - in each slice, the greatest value that each place function takes there (atoms are <= 0 at
 *     every place, so the greatest decides). Where lo or hi lie inside an open cell
 *     this may be a straight function of lo or of hi.
 * Pairs that agree in all of this, and in where lo and hi may be if these still matter, are one *spot*,
 * kept once. Any world may be moved within its spot without a change of outcome, so spots serve
 * for the set of outcomes and for the question which coordinate bears.
 *
 * (region.h works with the cells themselves, for one choice of them; world.c uses that. The
 * tests hold the two against each other.)
 */
#ifndef STAVE_JUDGE_SPOT_H
#define STAVE_JUDGE_SPOT_H

#include "finding/finding.h"
#include "judge/region.h"

/* What bounds a place: a closed, open or half-open stretch. */
struct spot_end {
    struct number low, high;
    bool low_open, high_open;
};

/* The greatest value of a place function over a slice of an extent: the greatest of up to three. */
struct height {
    bool flat, at_lo, at_hi;             /* which of them there are */
    bool flat_reached;                   /* the flat value is taken, not only come near to */
    struct number flat_value;
    struct number lo_slope, lo_base;     /* lo_slope * lo + lo_base, always taken */
    struct number hi_slope, hi_base;
};

struct spot {
    uint32_t lo_cell, hi_cell;           /* of one of its pairs */
    uint32_t *slices;                    /* touched, rising */
    uint32_t slice_count;
    struct height *heights;              /* slice_count * function_count of the axis */
    bool uses_lo, uses_hi;               /* some height depends on it */
    bool ordered;                        /* both are used and lo <= hi is not plain from the cells */
    struct spot_end lo, hi;              /* where they may be */
    bool end;                            /* one of those that hold the best and the worst: see below */
};

struct spot_axis {
    bool by_place;                       /* named places: spots are single cells without lo and hi */
    const struct place_function **functions; uint32_t function_count; /* no two alike */
    uint32_t slice_count;
    uint32_t *slice_cell;                /* a cell of each slice */
    struct spot *spots;                  uint32_t spot_count;
    uint32_t *spot_of;                   /* of a point or a place: by cell, up to the last it can be in */
    bool point;                          /* lo == hi */
    bool exact;                          /* lo and hi are known */
};

struct spots {
    struct arena *arena;
    const struct docket *docket;
    struct spot_axis axes[BOOK_AXES];
};

/*
 * The spots of a finding; with `ends`, those that are an end alone. An end is an extent that holds no smaller
 * one, or one that begins as low as it can: the last of these holds all others. Where ladders only get
 * worse from line to line, a larger extent never comes out better: then the best outcome and the worst are among
 * the ends, and so is the first of all spots with the worst.
 */
struct spots *spots_make(struct arena *arena, const struct docket *docket,
                         const struct finding *finding, bool as_read, bool ends);

/* Index among axis.functions of a place function of one of the docket's atoms. */
uint32_t spot_function(const struct spot_axis *axis, const struct place_function *function);

/* Is the bit set for a choice of slices, one for each axis, and a side? */
bool spots_member(const struct spots *spots, const uint64_t *cells, uint32_t side,
                  const uint32_t *slices);

#endif
