/*
 * Do two books mean the same by what they say of damage in company? Never by its text: a zone, a
 * curve or a reckoned name that it names may be defined otherwise.
 *
 * Alike are two questions that have one answer in every inspection; those that are not alike may have
 * one too, among them those of which the look would take too long. What stands behind the names of
 * kinds is not looked at: damage is told by them in both.
 */
#ifndef STAVE_BOOK_ALIKE_H
#define STAVE_BOOK_ALIKE_H

#include "book/book.h"

/* What the first book calls `first` the second calls `second`. */
typedef bool (*same_called)(const void *context, const char *first, const char *second);
/* The same name: where nothing was renamed. Needs no context. */
bool called_alike(const void *context, const char *first, const char *second);

/* As many, and each called as the other in its place. */
bool names_alike(const char *const *a, uint32_t a_count, const char *const *b, uint32_t b_count,
                 same_called same, const void *context);
/* The same readings, rounded in the same way, in the same range. */
bool measure_alike(const struct measure *a, const struct measure *b, same_called same,
                   const void *context);
/* The same values in the same order. */
bool observation_alike(const struct observation *a, const struct observation *b, same_called same,
                       const void *context);
/* The same points along the same axis. */
bool curve_alike(const struct curve *a, const struct curve *b, same_called same,
                 const void *context);
/* The same sum, reckoned names seen through. */
bool expression_alike(const struct expression *a, const struct expression *b, same_called same,
                      const void *context);
/* The same places of the same part. */
bool zone_alike(const struct zone *a, const struct zone *b, same_called same, const void *context);
bool aggregate_alike(const struct aggregate *a, const struct aggregate *b, same_called same,
                     const void *context);

#endif
