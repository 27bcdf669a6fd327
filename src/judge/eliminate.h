/* Shared by constraints.c and eliminate.c. */
#ifndef STAVE_JUDGE_ELIMINATE_H
#define STAVE_JUDGE_ELIMINATE_H

#include "judge/constraints.h"

/* Puts on x the bound of `factor * x + rest (< or <=) 0`, to x's steps; true when it was tighter. */
bool unknown_bound(struct arena *arena, struct unknown *unknown, struct number factor,
                   struct number rest, bool strict);

#endif
