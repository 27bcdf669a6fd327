/* Searching for differences of a pair. Inside src/prove only. */
#ifndef STAVE_PROVE_DIFFER_H
#define STAVE_PROVE_DIFFER_H

#include "prove/search.h"

/* For region_call: both books answer, and not alike. */
bool differ_accept(void *user, const struct piece *piece, const struct replayed *first,
                   const struct replayed *second);

/*
 * All stretches in which the two sides differ: of damage of no size, or where there is none such, of any
 * extent. First the ladders that are not in both are asked by themselves, which mostly is enough.
 */
struct search *differ_search(struct arena *arena, const struct pair *pair, uint32_t *work,
                             enum found_world *found);

#endif
