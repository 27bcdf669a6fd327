/* What two books declare differently: what a comparison of their answers does not reach. Inside src/prove only. */
#ifndef STAVE_PROVE_UNLIKE_H
#define STAVE_PROVE_UNLIKE_H

#include "prove/pair.h"

/*
 * Fills what is said of declarations. It `loosens` where the second book may let fly what the first
 * never judged, no longer judges or asks what the first does, or takes what was typed in a better light.
 */
void unlike_list(struct arena *arena, const struct book *first, const struct book *second,
                 const struct pair_names *names, struct stave_compared *compared);

#endif
