/*
 * findings -> findings in company: for each finding of one inspection, the values that every
 * question of its docket about the other findings may have.
 *
 * An aggregate (book.h) is one coordinate of a finding's worlds, and this stage gives its range:
 *   count    [members that are certain, members that are possible]
 *   total    [least values of the certain ones, greatest values of the possible ones]
 *   largest  the same with the largest in place of the sum
 *   apart, facing   0 or 1: does any other come too near, or face it?
 * A member is certain when it is of the scope and passes the filter in all of its worlds, and
 * possible when in some. A range is never narrower than the truth; what is known exactly has one
 * value. Repaired or not, fit or not: outcomes are not asked.
 *
 * Scopes. A part, side, zone or window is that of the instance that the finding is on. What
 * touches counts, so an edge that sides share is on both, and damage that its kind has on each side is
 * on all. Where a finding may be on several sides, the worst one counts.
 *
 * Windows. [x, x + d] touches what reaches from lo to hi when lo - d <= x <= hi. So each
 * member is an interval of x, and the worst placement that the finding can touch is where most
 * of them lie over one another within its own; that is always at the finding's own start or at the
 * start of another. A sweep finds all at once.
 *
 * Distances. The gap along one axis, 0 where they overlap. Facing: some side of one is another than some
 * side of the other, and they overlap on every axis (edges that sides share do not count here).
 * Members stand in a tree with the hull of all that is below each node, so that what cannot come
 * too near is passed over whole. The search ends at COMPANY_LOOKS nodes for one finding: then it counts as
 * possible that some member is too near, which only ever adds outcomes.
 *
 * Time: n log n in the findings for each question. All memory is the arena's.
 */
#ifndef STAVE_COMPANY_COMPANY_H
#define STAVE_COMPANY_COMPANY_H

#include "finding/finding.h"
#include "plan/plan.h"

#define COMPANY_LOOKS 3000u /* nodes of the tree for one finding and one question */
#define COMPANY_SCAN 500u   /* members looked through to name some */

struct company;

/*
 * All findings of an inspection, answered checks too (they ask, and are never members). The
 * company keeps copies of them, each with its `company` filled in; the findings stay as they are.
 */
struct company *company_make(struct arena *arena, const struct plan *plan,
                             struct finding *const *findings, uint32_t count);

/* The finding at an index, with its company. */
const struct finding *company_finding(const struct company *company, uint32_t index);

/*
 * Others that make a range as high as it is, in the order of the findings: at most `most`. *more
 * says that there may be others still. `finding` is an index, `variable` one of its docket.
 */
uint32_t company_others(const struct company *company, uint32_t finding, uint32_t variable,
                        const struct finding **others, uint32_t most, bool *more);

/* Something that is not known of a finding and that a range rests on. */
struct company_open {
    const struct finding *finding; /* may be the one that asks */
    enum company_open_sort { OPEN_RECORD, OPEN_AXIS, OPEN_SIDE, OPEN_PLACE } sort;
    uint32_t index; /* record or axis */
};

/* What would have to be known to narrow a range: at most `most`. */
uint32_t company_unknown(const struct company *company, uint32_t finding, uint32_t variable,
                         struct company_open *open, uint32_t most);

#endif
