/*
 * Stretches of worlds brought together into few regions, in the book's own words. Inside src/prove
 * only.
 *
 * A *box* has a range for each axis and each variable, and a set for each observation, for the sides
 * and the places. Boxes that differ in one of these alone and join there become one, with nothing added or lost.
 * A box around a stretch that is not itself a box (a limit that slopes) is not `whole`; such boxes
 * are also joined where they touch, into the narrowest box around both.
 */
#ifndef STAVE_PROVE_REGION_H
#define STAVE_PROVE_REGION_H

#include "prove/witness.h"

struct box {
    struct part_of_axis axes[BOOK_AXES];
    struct unknown *variables;    /* by variable of the docket; those that stand for nothing are zero */
    uint64_t *values;             /* by record */
    uint64_t sides, places;
    bool whole;
    const struct piece *piece;    /* one of those in it */
    uint32_t group;               /* boxes of one group alone are brought together */
};

struct boxes {
    struct arena *arena;
    struct box *items;
    uint32_t count;
    size_t capacity;
};

#define REGION_BOXES 600u /* brought together at most; what is more is only counted */

/* Adds the boxes of a piece. */
void boxes_add(struct boxes *boxes, const struct piece *piece, uint32_t group);
/* Brings together what can be. All must be of one pair. */
void boxes_join(struct boxes *boxes, const struct pair *pair);
/* The largest first. */
void boxes_sort(struct boxes *boxes, const struct pair *pair);

/* "station over 34 in and up to 41.5 in, depth over 0.03 in"; what is the whole of the zone (or, where that is
 * NULL, of the part) or of a range is left out. "" where all is. */
const char *box_text(struct arena *arena, const struct box *box, const struct pair *pair,
                     const struct zone *zone);

#endif
