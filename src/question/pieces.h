/*
 * Where zones are, as boxes. Inside src/question only.
 *
 * A piece is a box with open or closed ends on some sides of a part. A zone is the union of its
 * pieces, and damage on one side touches it when its extent meets a piece that is on that side.
 * Nothing here is taken from the plan that the evaluator runs: whether a place belongs to a zone
 * is asked of the zone's own words, at the place and at places infinitely near to it.
 */
#ifndef STAVE_QUESTION_PIECES_H
#define STAVE_QUESTION_PIECES_H

#include "book/book.h"

struct piece {
    struct zone_range ranges[BOOK_AXES]; /* by axis of the part */
    uint64_t sides;                      /* bit set; of a part without sides bit 0 */
};

struct pieces {
    struct piece *items;
    uint32_t count;
    size_t capacity;
};

/* All sides of a part, at least one bit. */
uint64_t pieces_all_sides(const struct part *part);
/* Of a zone of a part without named places. */
struct pieces pieces_of_zone(struct arena *arena, const struct zone *zone);
/* What of the part is in none of the zones. */
struct pieces pieces_of_rest(struct arena *arena, const struct part *part,
                             const struct zone *const *zones, uint32_t zone_count);

#endif
