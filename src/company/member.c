/* What is known of one finding as a member: values, sides, filters, zones. */
#include <string.h>

#include "company/inquiry.h"
#include "judge/region.h"

/* No end is past the other in any world, so each bounds the other. */
struct reach member_reach(struct arena *arena, const struct finding *finding, uint32_t axis,
                          bool as_read)
{
    const struct extent *extent = &finding->extents[axis];
    struct reach reach = {extent->lo_low, extent->lo_high, extent->hi_low, extent->hi_high};
    if (as_read) {
        reach = (struct reach){extent->read_lo_low, extent->read_lo_high, extent->read_hi_low,
                               extent->read_hi_high};
    }
    reach.lo_high = number_least(arena, reach.lo_high, reach.hi_high);
    reach.hi_low = number_greatest(arena, reach.hi_low, reach.lo_low);
    return reach;
}

uint32_t member_axis(const struct finding *finding, const char *name)
{
    uint32_t axis = 0;
    while (axis < finding->part->axis_count && strcmp(finding->part->axes[axis].name, name) != 0) {
        axis++;
    }
    return axis;
}

/* ---- values ---------------------------------------------------------------------- */

static struct range measure_value(const struct inquiry *inquiry, const struct finding *finding,
                                  const struct measure *measure)
{
    const struct kind *kind = finding->kind;
    uint32_t record = 0;
    while (record < kind->record_count && kind->records[record].measure != measure) {
        record++;
    }
    if (record == kind->record_count) {
        arena_escape(inquiry->arena, STAVE_MISUSE); /* book_check knows what a kind records */
    }
    const struct reading *reading = &finding->readings[record];
    const struct variable variable = plan_measure_variable(measure);
    bool middle = inquiry->as_read && reading->given == GIVEN_DOUBT;
    return (struct range){
        region_round(inquiry->arena, &variable, middle ? reading->middle : reading->low),
        region_round(inquiry->arena, &variable, middle ? reading->middle : reading->high)};
}

struct range member_value(const struct inquiry *inquiry, const struct finding *finding,
                          const struct expression *expression)
{
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        return (struct range){expression->value, expression->value};
    case EXPRESSION_MEASURE:
        return measure_value(inquiry, finding, expression->measure);
    case EXPRESSION_RECKONED:
        return member_value(inquiry, finding, expression->reckon->value);
    case EXPRESSION_CURVE:
    case EXPRESSION_AGGREGATE:
    case EXPRESSION_GROWTH:
    case EXPRESSION_SEEN:
    case EXPRESSION_LARGER:
    case EXPRESSION_TOGETHER:
        arena_escape(inquiry->arena, STAVE_MISUSE); /* book_check refuses it */
    default:
        break;
    }
    struct range left = member_value(inquiry, finding, expression->left);
    struct range right = member_value(inquiry, finding, expression->right);
    return range_join(inquiry->arena, expression->sort, &left, &right);
}

enum answer range_compare(struct arena *arena, const struct range *left,
                          enum tree_relation relation, const struct range *right)
{
    if (!relation_is_upper(relation)) {
        const struct range *swapped = left;
        left = right;
        right = swapped;
    }
    bool strict = relation_is_strict(relation);
    int all = number_compare(arena, left->high, right->low);
    if (strict ? all < 0 : all <= 0) {
        return ANSWER_YES;
    }
    int some = number_compare(arena, left->low, right->high);
    return (strict ? some < 0 : some <= 0) ? ANSWER_MAYBE : ANSWER_NO;
}

/* ---- observations ------------------------------------------------------------------ */

static enum answer observed(const struct finding *finding, const struct observation *observation,
                            uint64_t values)
{
    for (uint32_t r = 0; r < finding->kind->record_count; r++) {
        if (finding->kind->records[r].observation == observation) {
            uint64_t read = finding->readings[r].values;
            return !(read & values) ? ANSWER_NO : read & ~values ? ANSWER_MAYBE : ANSWER_YES;
        }
    }
    return ANSWER_MAYBE;
}

/* ---- sides -------------------------------------------------------------------------- */

static bool all_sides_of(const struct part *part, uint64_t *all)
{
    *all = part->side_count >= 64 ? UINT64_MAX : (UINT64_C(1) << part->side_count) - 1;
    return part->side_count > 0;
}

static enum answer on_edge(const struct inquiry *inquiry, const struct finding *finding)
{
    enum answer answer = ANSWER_NO;
    for (uint32_t i = 0; i < finding->part->meeting_count; i++) {
        const struct meeting *meeting = &finding->part->meetings[i];
        struct reach reach = member_reach(inquiry->arena, finding, meeting->axis, inquiry->as_read);
        struct arena *arena = inquiry->arena;
        if (number_compare(arena, reach.lo_high, meeting->at) <= 0 &&
            number_compare(arena, meeting->at, reach.hi_low) <= 0) {
            return ANSWER_YES;
        }
        if (number_compare(arena, reach.lo_low, meeting->at) <= 0 &&
            number_compare(arena, meeting->at, reach.hi_high) <= 0) {
            answer = ANSWER_MAYBE;
        }
    }
    return answer;
}

enum answer member_each_side(const struct finding *finding)
{
    return finding->kind->each_side ? observed(finding, finding->kind->each_side, 1) : ANSWER_NO;
}

void member_sides(const struct inquiry *inquiry, const struct finding *finding, uint64_t *sure,
                  uint64_t *some)
{
    uint64_t all;
    *sure = finding->sides & (finding->sides - 1) ? 0 : finding->sides;
    *some = finding->sides;
    if (!all_sides_of(finding->part, &all)) {
        return;
    }
    enum answer each = member_each_side(finding), edge = on_edge(inquiry, finding);
    if (each != ANSWER_NO || edge != ANSWER_NO) {
        *some = all;
    }
    if (each == ANSWER_YES || edge == ANSWER_YES) {
        *sure = all;
    }
}

/* ---- zones --------------------------------------------------------------------------- */

/* A way to lie on each axis: the cells from one to another. */
struct lying {
    const struct docket *docket;
    uint32_t from[BOOK_AXES], to[BOOK_AXES];
};

static bool touches(const struct lying *lying, uint32_t axis, size_t at)
{
    const struct docket *docket = lying->docket;
    if (axis == docket->axis_count) {
        return docket->limits[0].cells[at / 64] >> (at % 64) & 1;
    }
    for (uint32_t cell = lying->from[axis]; cell <= lying->to[axis]; cell++) {
        if (touches(lying, axis + 1, at * docket->axes[axis].cell_count + cell)) {
            return true;
        }
    }
    return false;
}

static uint64_t zone_sides(const struct finding *finding)
{
    return finding->sides ? finding->sides : 1;
}

/* On any of the sides (all: on each of them)? */
static bool touches_on(const struct lying *lying, uint64_t sides, bool all)
{
    for (uint64_t left = sides; left; left &= left - 1) {
        if (touches(lying, 0, (size_t)__builtin_ctzll(left)) != all) {
            return !all;
        }
    }
    return all;
}

/* Do the least ways to lie all touch? A finding that cannot be a point has one; else each cell
 * that the point may be in. */
static bool touches_always(const struct inquiry *inquiry, const struct finding *finding,
                           struct lying *lying, uint32_t axis, uint64_t sides, bool each)
{
    const struct docket *docket = lying->docket;
    if (axis == docket->axis_count) {
        return touches_on(lying, sides, !each);
    }
    uint32_t from, to;
    if (docket->by_place) {
        for (uint64_t left = finding->places; left; left &= left - 1) {
            lying->from[0] = lying->to[0] = 2 * (uint32_t)__builtin_ctzll(left);
            if (!touches_on(lying, sides, !each)) {
                return false;
            }
        }
        return finding->places != 0;
    }
    struct reach reach = member_reach(inquiry->arena, finding, axis, inquiry->as_read);
    if (number_compare(inquiry->arena, reach.lo_high, reach.hi_low) <= 0) {
        lying->from[axis] = region_cell(inquiry->arena, docket, axis, reach.lo_high);
        lying->to[axis] = region_cell(inquiry->arena, docket, axis, reach.hi_low);
        return touches_always(inquiry, finding, lying, axis + 1, sides, each);
    }
    from = region_cell(inquiry->arena, docket, axis, reach.hi_low);
    to = region_cell(inquiry->arena, docket, axis, reach.lo_high);
    for (uint32_t cell = from; cell <= to; cell++) {
        lying->from[axis] = lying->to[axis] = cell;
        if (!touches_always(inquiry, finding, lying, axis + 1, sides, each)) {
            return false;
        }
    }
    return true;
}

static enum answer touches_zone(const struct inquiry *inquiry, const struct finding *finding)
{
    const struct zone *zone = inquiry->aggregate->zone;
    if (!zone || zone->is_part) {
        return ANSWER_YES;
    }
    struct lying lying = {.docket = inquiry->plan->zones[zone->index]};
    const struct docket *docket = lying.docket;
    uint64_t sides = zone_sides(finding), every = sides;
    enum answer each = all_sides_of(finding->part, &every) ? member_each_side(finding) : ANSWER_NO;
    every = each == ANSWER_NO ? sides : every;
    for (uint32_t axis = 0; axis < docket->axis_count && !docket->by_place; axis++) {
        struct reach reach = member_reach(inquiry->arena, finding, axis, inquiry->as_read);
        lying.from[axis] = region_cell(inquiry->arena, docket, axis, reach.lo_low);
        lying.to[axis] = region_cell(inquiry->arena, docket, axis, reach.hi_high);
    }
    bool possible = false;
    if (docket->by_place) {
        for (uint64_t left = finding->places; left; left &= left - 1) {
            lying.from[0] = lying.to[0] = 2 * (uint32_t)__builtin_ctzll(left);
            possible |= touches_on(&lying, every, false);
        }
    } else {
        possible = touches_on(&lying, every, false);
    }
    if (!possible) {
        return ANSWER_NO;
    }
    bool sure = each == ANSWER_YES;
    return touches_always(inquiry, finding, &lying, 0, sure ? every : sides, sure) ? ANSWER_YES
                                                                                   : ANSWER_MAYBE;
}

/* ---- the whole ------------------------------------------------------------------------- */

enum answer member_passes(const struct inquiry *inquiry, const struct finding *finding)
{
    enum answer answer = ANSWER_YES;
    for (uint32_t i = 0; i < inquiry->aggregate->filter_count; i++) {
        const struct filter *filter = &inquiry->aggregate->filters[i];
        enum answer one;
        if (filter->observation) {
            one = observed(finding, filter->observation, filter->values);
        } else {
            struct range value = member_value(inquiry, finding, filter->left);
            struct range limit = {filter->limit, filter->limit};
            one = range_compare(inquiry->arena, &value, filter->relation, &limit);
        }
        answer = one < answer ? one : answer;
    }
    enum answer zone = answer == ANSWER_NO ? ANSWER_NO : touches_zone(inquiry, finding);
    return zone < answer ? zone : answer;
}
