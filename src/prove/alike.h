/* Are parts of two dockets the same, figure by figure? Inside src/prove only. */
#ifndef STAVE_PROVE_ALIKE_H
#define STAVE_PROVE_ALIKE_H

#include "plan/plan.h"

/* The same lines, conditions, outcomes and deadlines; variables and cells by number. */
bool limit_alike(struct arena *arena, const struct plan_limit *a, const struct plan_limit *b,
                 size_t words);
/* The same in all that a finding can be and get, names and all. */
bool docket_alike(struct arena *arena, const struct docket *a, const struct docket *b);

#endif
