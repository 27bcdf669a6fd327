/*
 * One question asked of all findings on one part. Inside src/company only.
 */
#ifndef STAVE_COMPANY_INQUIRY_H
#define STAVE_COMPANY_INQUIRY_H

#include "book/range.h"
#include "company/company.h"

enum answer { ANSWER_NO, ANSWER_MAYBE, ANSWER_YES };

/* Where an extent may begin and end, as the book judges. */
struct reach {
    struct number lo_low, lo_high, hi_low, hi_high;
};

/* A finding that may be counted, and what is asked of it. */
struct member {
    uint32_t finding; /* index */
    uint32_t group;
    bool certain;               /* of the scope and the filter, in all worlds */
    struct range value;         /* what is counted (1) or added up */
    uint64_t sides_sure, sides; /* TREE_ON_A_SIDE: on these in all worlds, in some */
};

struct inquiry {
    struct arena *arena;
    const struct plan *plan;
    struct finding *const *findings;
    uint32_t finding_count;
    const struct aggregate *aggregate;
    const struct part *part; /* of those that ask */
    bool as_read;
    struct member *members;
    uint32_t member_count; /* in the order of the findings */
    uint32_t *group_start; /* members by group: order[group_start[g]] ... */
    uint32_t *order;
    uint32_t group_count;
    /* By finding: the answers, and what they rest on. */
    struct range *ranges;
    struct number *worst_at; /* TREE_WITHIN_ANY: where the worst window begins */
    /* TREE_WITHIN_ANY, group by group as `order`: members by where the first window that may touch
     * them begins, that place, and where the last one does. */
    uint32_t *by_start;
    struct number *starts, *ends;
    uint32_t *other; /* APART, FACING: the one that is too near, or NO_OTHER */
};

#define NO_OTHER UINT32_MAX

/* The group that a finding belongs to: its instance, or 0 where the propeller is one. */
uint32_t inquiry_group(const struct inquiry *inquiry, const struct finding *finding);
bool inquiry_asks(const struct inquiry *inquiry, const struct finding *finding);

/* ---- member.c -------------------------------------------------------------------- */

struct reach member_reach(struct arena *arena, const struct finding *finding, uint32_t axis,
                          bool as_read);
/* What an expression over measures may come to, readings rounded. */
struct range member_value(const struct inquiry *inquiry, const struct finding *finding,
                          const struct expression *expression);
/* Is it on each side, as its kind may have it? */
enum answer member_each_side(const struct finding *finding);
/* Sides that it is on in all worlds and in some; what is on a shared edge is on all. */
void member_sides(const struct inquiry *inquiry, const struct finding *finding, uint64_t *sure,
                  uint64_t *some);
/* Index of an axis of the finding's part by name; its axis_count when there is none. */
uint32_t member_axis(const struct finding *finding, const char *name);
enum answer range_compare(struct arena *arena, const struct range *left,
                          enum tree_relation relation, const struct range *right);
/* Does it pass the filters, and touch the zone? */
enum answer member_passes(const struct inquiry *inquiry, const struct finding *finding);

/* ---- window.c, near.c ---------------------------------------------------------------- */

void window_answer(struct inquiry *inquiry);
/* Members that may be in the finding's worst window, by index and itself included: at most
 * `most`; *more says that there may be others. */
uint32_t window_members(const struct inquiry *inquiry, uint32_t finding, uint32_t *members,
                        uint32_t most, bool *more);
void near_answer(struct inquiry *inquiry);

/* Sorts indices by their numbers, equal ones by index. */
void order_numbers(struct arena *arena, const struct number *numbers, uint32_t *order,
                   uint32_t count);

#endif
