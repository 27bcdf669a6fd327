/*
 * Piecewise straight lines along one axis, exact: curves, their sums and multiples, and the lesser or
 * greater of two. For the plan, and for charts of it.
 */
#ifndef STAVE_PLAN_PLACE_LINE_H
#define STAVE_PLAN_PLACE_LINE_H

#include "book/book.h"

#define PLAN_POINTS 32768u /* points of one line; more leave with STAVE_TOO_BIG */

/*
 * A piecewise straight line through points at rising places, with no reach past its
 * first and last. Made once, then shared and never changed. count 0: it reaches nowhere.
 */
struct place_line {
    uint32_t count;
    struct number *at, *value;
};

/* The value at a place within reach. */
struct number place_line_value(struct arena *arena, const struct place_line *line,
                               struct number at);
bool place_line_reaches(struct arena *arena, const struct place_line *line, struct number at);
/* The values at rising places: of those within reach, from *first on. Returns how many these are. */
uint32_t place_line_values(struct arena *arena, const struct place_line *line,
                           const struct number *places, uint32_t count, uint32_t *first,
                           struct number *values);
const struct place_line *place_line_from_curve(struct arena *arena, const struct curve *curve);
const struct place_line *place_line_scale(struct arena *arena, const struct place_line *line,
                                          struct number factor, struct number shift);
/* Both at once: defined where both are. */
const struct place_line *place_line_add(struct arena *arena, const struct place_line *a,
                                        const struct place_line *b);
/* The lesser (or greater) of both at each place; where they cross there is a point. */
const struct place_line *place_line_pick(struct arena *arena, const struct place_line *a,
                                         const struct place_line *b, bool greater);
/* A level line with the reach of another. */
const struct place_line *place_line_level(struct arena *arena, const struct place_line *reach,
                                          struct number value);
bool place_line_same_places(const struct place_line *a, const struct place_line *b);
bool place_line_equal(const struct place_line *a, const struct place_line *b);

#endif
