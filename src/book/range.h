/*
 * Closed ranges of values, and what two of them come to under a sign of the book.
 */
#ifndef STAVE_BOOK_RANGE_H
#define STAVE_BOOK_RANGE_H

#include "book/book.h"

struct range {
    struct number low, high;
};

/* All that `left sign right` can be when each is free in its range; the sign is EXPRESSION_ADD,
 * _SUBTRACT, _MULTIPLY, _DIVIDE (by a literal), _LESSER or _GREATER. */
struct range range_join(struct arena *arena, enum expression_sort sort, const struct range *left,
                        const struct range *right);
/* All that "middle +/- doubt" can be, cut off at the ends of what is asked for; `middle` lies within. */
struct range range_around(struct arena *arena, const struct range *asked, struct number middle,
                          struct number doubt);
bool range_has(struct arena *arena, const struct range *range, struct number value);
/* One value only. */
bool range_fixed(const struct range *range);

#endif
