/*
 * What a damage does to the company it is in. A finding is a member of its own counts, totals and
 * largest where its kind, scope and filters say so, and its readings stand in the distances that it is asked to
 * keep. Judging takes each of these as free of the finding; a claim about all findings must not.
 *
 * Both questions here are answered by *cases*: sets of worlds, each said by what is tied to what, that
 * together hold every world asked for. They may hold more: a filter or value that is not linear and
 * a zone that need not be touched say nothing. So what no case shows is so. Inside src/prove only.
 */
#ifndef STAVE_PROVE_OWN_H
#define STAVE_PROVE_OWN_H

#include "judge/constraints.h"
#include "plan/plan.h"

#define OWN_CASES 64u /* past it the claim is not proved */

/* Unknowns and records are in two blocks as in ground and walk: now, and before. */
struct own_case {
    struct inequality *ties; /* hold in every world of the case */
    uint32_t tie_count;
    size_t tie_capacity;
    uint64_t *values;        /* by record, both blocks: observations that are left */
    bool *falls;             /* by variable: counts and the like that stand twice */
};

struct own_cases {
    struct own_case *items;
    uint32_t count;
    size_t capacity;
    bool too_many;
};

/*
 * All ways in which one coordinate (a reading's record, or where `observed` an observation's levels)
 * is worse now than before, nothing else of the finding or of other damage has changed, and some count,
 * total, largest or nearness has fallen by it, of those that are asked for (by variable). No cases: none can.
 */
struct own_cases own_falls(struct arena *arena, const struct docket *docket, const bool *asked,
                           uint32_t coordinate, bool observed);
/* The same question of one company variable alone. */
bool own_may_fall(const struct docket *docket, uint32_t variable, uint32_t coordinate,
                  bool observed);

/*
 * Every world of findings that meet a limit, with what the finding adds itself, and with what one count,
 * total or largest can be at most beside another. One case without ties: nothing is known.
 */
struct own_cases own_adds(struct arena *arena, const struct docket *docket,
                          const struct limit *limit);
bool own_adds_any(const struct own_cases *cases);

#endif
