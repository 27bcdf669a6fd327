#include "book/alike.h"

#include <string.h>

/* Zones that are looked at for one answer: each may be outside of many that are outside of others. */
#define MOST_ZONES 4096u

bool called_alike(const void *context, const char *first, const char *second)
{
    (void)context;
    return strcmp(first, second) == 0;
}

bool names_alike(const char *const *a, uint32_t a_count, const char *const *b, uint32_t b_count,
                 same_called same, const void *context)
{
    bool alike = a_count == b_count;
    for (uint32_t i = 0; alike && i < a_count; i++) {
        alike = same(context, a[i], b[i]);
    }
    return alike;
}

/* ---- what is read -------------------------------------------------------------- */

bool measure_alike(const struct measure *a, const struct measure *b, same_called same,
                   const void *context)
{
    return same(context, a->name, b->name) && dimension_equal(a->dimension, b->dimension) &&
           number_equal(a->from, b->from) && number_equal(a->to, b->to) &&
           a->stepping == b->stepping && a->smaller_is_worse == b->smaller_is_worse &&
           (a->stepping == TREE_STEP_NONE || number_equal(a->step, b->step));
}

bool observation_alike(const struct observation *a, const struct observation *b, same_called same,
                       const void *context)
{
    return same(context, a->name, b->name) && a->sort == b->sort &&
           names_alike(a->values, a->value_count, b->values, b->value_count, same, context);
}

/* ---- expressions ----------------------------------------------------------------- */

bool curve_alike(const struct curve *a, const struct curve *b, same_called same,
                 const void *context)
{
    bool alike = same(context, a->axis, b->axis) && a->point_count == b->point_count &&
                 dimension_equal(a->at_dimension, b->at_dimension) &&
                 dimension_equal(a->dimension, b->dimension);
    for (uint32_t i = 0; alike && i < a->point_count; i++) {
        alike = number_equal(a->points[i].at, b->points[i].at) &&
                number_equal(a->points[i].value, b->points[i].value);
    }
    return alike;
}

bool expression_alike(const struct expression *a, const struct expression *b, same_called same,
                      const void *context)
{
    if (!a || !b) {
        return a == b;
    }
    a = expression_see_through(a);
    b = expression_see_through(b);
    if (a->sort != b->sort) {
        return false;
    }
    switch (a->sort) {
    case EXPRESSION_FIGURE:
        return dimension_equal(a->dimension, b->dimension) && number_equal(a->value, b->value);
    case EXPRESSION_MEASURE:
        return measure_alike(a->measure, b->measure, same, context);
    case EXPRESSION_CURVE:
        return curve_alike(a->curve, b->curve, same, context);
    case EXPRESSION_AGGREGATE:
        return aggregate_alike(a->aggregate, b->aggregate, same, context);
    case EXPRESSION_GROWTH:
        return a->since_first == b->since_first && measure_alike(a->grown, b->grown, same, context);
    default:
        return expression_alike(a->left, b->left, same, context) &&
               expression_alike(a->right, b->right, same, context);
    }
}

/* ---- places ------------------------------------------------------------------------- */

static bool axis_alike(const struct axis *a, const struct axis *b, same_called same,
                       const void *context)
{
    return same(context, a->name, b->name) && dimension_equal(a->dimension, b->dimension) &&
           number_equal(a->from, b->from) && number_equal(a->to, b->to) &&
           a->has_step == b->has_step && (!a->has_step || number_equal(a->step, b->step));
}

static bool part_alike(const struct part *a, const struct part *b, same_called same,
                       const void *context)
{
    bool alike = same(context, a->name, b->name) && a->axis_count == b->axis_count &&
                 a->meeting_count == b->meeting_count &&
                 names_alike(a->sides, a->side_count, b->sides, b->side_count, same, context) &&
                 names_alike(a->places, a->place_count, b->places, b->place_count, same, context);
    for (uint32_t i = 0; alike && i < a->axis_count; i++) {
        alike = axis_alike(&a->axes[i], &b->axes[i], same, context);
    }
    for (uint32_t i = 0; alike && i < a->meeting_count; i++) {
        alike = a->meetings[i].axis == b->meetings[i].axis &&
                number_equal(a->meetings[i].at, b->meetings[i].at);
    }
    return alike;
}

static bool range_alike(const struct zone_range *a, const struct zone_range *b)
{
    return number_equal(a->from, b->from) && number_equal(a->to, b->to) &&
           a->from_open == b->from_open && a->to_open == b->to_open;
}

static bool zones_alike(const struct zone *a, const struct zone *b, same_called same,
                        const void *context, uint32_t *room)
{
    if (*room == 0) {
        return false;
    }
    --*room;
    if (a->sides != b->sides || a->places != b->places || a->is_part != b->is_part ||
        a->outside_count != b->outside_count || !part_alike(a->part, b->part, same, context)) {
        return false;
    }
    for (uint32_t i = 0; i < a->part->axis_count; i++) {
        if (!range_alike(&a->ranges[i], &b->ranges[i])) {
            return false;
        }
    }
    for (uint32_t i = 0; i < a->outside_count; i++) {
        if (!zones_alike(a->outside[i], b->outside[i], same, context, room)) {
            return false;
        }
    }
    return true;
}

bool zone_alike(const struct zone *a, const struct zone *b, same_called same, const void *context)
{
    uint32_t room = MOST_ZONES;
    return a && b ? zones_alike(a, b, same, context, &room) : a == b;
}

/* ---- company ---------------------------------------------------------------------------- */

/* The same kinds, in any order; each is named once. */
static bool kinds_alike(const struct aggregate *a, const struct aggregate *b, same_called same,
                        const void *context)
{
    bool alike = a->kind_count == b->kind_count;
    for (uint32_t i = 0; alike && i < a->kind_count; i++) {
        uint32_t j = 0;
        while (j < b->kind_count && !same(context, a->kinds[i]->name, b->kinds[j]->name)) {
            j++;
        }
        alike = j < b->kind_count;
    }
    return alike;
}

static bool filter_alike(const struct filter *a, const struct filter *b, same_called same,
                         const void *context)
{
    if (!a->left != !b->left) {
        return false;
    }
    if (a->left) {
        return a->relation == b->relation && number_equal(a->limit, b->limit) &&
               expression_alike(a->left, b->left, same, context);
    }
    return a->values == b->values &&
           observation_alike(a->observation, b->observation, same, context);
}

bool aggregate_alike(const struct aggregate *a, const struct aggregate *b, same_called same,
                     const void *context)
{
    if (a->sort != b->sort || a->scope != b->scope || a->filter_count != b->filter_count ||
        !a->axis != !b->axis || (a->axis && !same(context, a->axis, b->axis)) ||
        !kinds_alike(a, b, same, context) || !zone_alike(a->zone, b->zone, same, context) ||
        !expression_alike(a->value, b->value, same, context) ||
        !expression_alike(a->distance, b->distance, same, context) ||
        !expression_alike(a->pair, b->pair, same, context) ||
        !expression_alike(a->pair_limit, b->pair_limit, same, context) ||
        (a->pair && a->pair_relation != b->pair_relation) ||
        (a->scope == TREE_WITHIN_ANY && !number_equal(a->window, b->window))) {
        return false;
    }
    for (uint32_t i = 0; i < a->filter_count; i++) {
        if (!filter_alike(&a->filters[i], &b->filters[i], same, context)) {
            return false;
        }
    }
    return true;
}
