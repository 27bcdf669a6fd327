/* Who else must be damaged for a finding's counts, totals and distances to be what a sample says. */
#include <string.h>

#include "prove/witness.h"

#define CROWD_SPREAD 40u /* lines of others, each at a place of its own */

struct crowding {
    struct arena *arena;
    const struct piece *piece;
    const struct number *values; /* by variable of the docket; of two worlds, the first's */
    struct crowd *crowds;
    uint32_t count;
};

static void add_crowd(struct crowding *crowding, struct crowd crowd)
{
    if (crowding->count < CROWDS) {
        crowding->crowds[crowding->count++] = crowd;
    }
}

/* The record that an aggregate's value is; UINT32_MAX where it is more than a measure. */
static uint32_t value_record(const struct docket *docket, const struct expression *value)
{
    value = value ? expression_see_through(value) : NULL;
    for (uint32_t r = 0;
         value && value->sort == EXPRESSION_MEASURE && r < docket->kind->record_count; r++) {
        if (docket->kind->records[r].measure == value->measure) {
            return r;
        }
    }
    return UINT32_MAX;
}

static uint32_t axis_called(const struct docket *docket, const char *name)
{
    uint32_t axis = 0;
    while (name && axis < docket->axis_count && strcmp(docket->part->axes[axis].name, name) != 0) {
        axis++;
    }
    return axis;
}

/* A distance between this damage and one like it. */
static struct number distance_of(const struct crowding *crowding,
                                 const struct expression *expression)
{
    struct arena *arena = crowding->arena;
    const struct docket *docket = crowding->piece->ground->docket;
    switch (expression->sort) {
    case EXPRESSION_LARGER:
        return distance_of(crowding, expression->left);
    case EXPRESSION_TOGETHER:
        return number_multiply(arena, NUMBER_INT(2), distance_of(crowding, expression->left));
    case EXPRESSION_RECKONED:
        return distance_of(crowding, expression->reckon->value);
    case EXPRESSION_FIGURE:
        return expression->value;
    case EXPRESSION_MEASURE: {
        uint32_t r = value_record(docket, expression);
        return r == UINT32_MAX ? NUMBER_ZERO : crowding->values[r];
    }
    default:
        break;
    }
    if (!expression->left || !expression->right) {
        return NUMBER_ZERO;
    }
    struct number left = distance_of(crowding, expression->left);
    struct number right = distance_of(crowding, expression->right);
    switch (expression->sort) {
    case EXPRESSION_ADD:
        return number_add(arena, left, right);
    case EXPRESSION_SUBTRACT:
        return number_subtract(arena, left, right);
    case EXPRESSION_MULTIPLY:
        return number_multiply(arena, left, right);
    case EXPRESSION_DIVIDE:
        return number_sign(right) ? number_divide(arena, left, right) : NUMBER_ZERO;
    case EXPRESSION_LESSER:
        return number_least(arena, left, right);
    case EXPRESSION_GREATER:
        return number_greatest(arena, left, right);
    default:
        return NUMBER_ZERO;
    }
}

static uint32_t whole_count(struct number value)
{
    return value.den == 1 && number_is_integer(value) && value.num > 0 && value.num < 1000
               ? (uint32_t)value.num
               : 0;
}

/* So many alike at one place, as the greatest count or a neighbour asks. */
static void crowd_alike(struct crowding *crowding)
{
    const struct docket *docket = crowding->piece->ground->docket;
    struct crowd crowd = {.others = 0};
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        const struct variable *variable = &docket->variables[v];
        if (variable->sort != VARIABLE_COMPANY) {
            continue;
        }
        enum aggregate_sort sort = variable->aggregate->sort;
        uint32_t count = sort == AGGREGATE_COUNT ? whole_count(crowding->values[v]) : 0;
        bool near = (sort == AGGREGATE_APART || sort == AGGREGATE_FACING) &&
                    number_sign(crowding->values[v]) > 0;
        if (count > crowd.others + 1) {
            crowd.others = count - 1;
        }
        crowd.others = near && crowd.others == 0 ? 1 : crowd.others;
    }
    add_crowd(crowding, crowd);
    if (crowd.others > 0) {
        add_crowd(crowding, (struct crowd){.others = 0});
    }
}

/*
 * One other with what is missing from a total, or with the largest; or several with equal shares of what is
 * missing, as one with all of it may be too large to be counted.
 */
static void crowd_totals(struct crowding *crowding, const uint32_t *shares, uint32_t share_count)
{
    struct arena *arena = crowding->arena;
    const struct docket *docket = crowding->piece->ground->docket;
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        const struct variable *variable = &docket->variables[v];
        if (variable->sort != VARIABLE_COMPANY || !variable->aggregate->value) {
            continue;
        }
        bool total = variable->aggregate->sort == AGGREGATE_TOTAL;
        uint32_t record = value_record(docket, variable->aggregate->value);
        if (record == UINT32_MAX) {
            continue;
        }
        struct number value = crowding->values[v];
        if (total) {
            value = number_subtract(arena, value, crowding->values[record]);
        }
        for (uint32_t s = 0; s < share_count && number_sign(value) > 0; s++) {
            if (total || shares[s] == 1) {
                add_crowd(crowding,
                          (struct crowd){
                              .others = shares[s],
                              .valued = true,
                              .record = record,
                              .value = number_divide(arena, value, NUMBER_INT(shares[s]))});
            }
        }
    }
}

/* As many as a count asks, all as far off as lies between two windows, or just within one. */
static void crowd_windows(struct crowding *crowding)
{
    struct arena *arena = crowding->arena;
    const struct docket *docket = crowding->piece->ground->docket;
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        const struct variable *variable = &docket->variables[v];
        if (variable->sort != VARIABLE_COMPANY || variable->aggregate->sort != AGGREGATE_COUNT ||
            variable->aggregate->scope != TREE_WITHIN_ANY) {
            continue;
        }
        uint32_t count = whole_count(crowding->values[v]);
        for (uint32_t w = 0; w < docket->variable_count; w++) {
            const struct variable *other = &docket->variables[w];
            if (other->sort != VARIABLE_COMPANY || other->aggregate->scope != TREE_WITHIN_ANY ||
                other->aggregate->sort != AGGREGATE_COUNT || count < 2) {
                continue;
            }
            struct number shift = number_divide(
                arena, number_add(arena, variable->aggregate->window, other->aggregate->window),
                NUMBER_INT(2));
            add_crowd(crowding,
                      (struct crowd){.others = count - 1,
                                     .shifted = true,
                                     .axis = axis_called(docket, variable->aggregate->axis),
                                     .shift = shift});
        }
    }
}

/* As many as a count asks, none within a window of another. */
static void crowd_spread(struct crowding *crowding)
{
    struct arena *arena = crowding->arena;
    const struct docket *docket = crowding->piece->ground->docket;
    const struct aggregate *widest = NULL;
    uint32_t most = 0;
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        const struct variable *variable = &docket->variables[v];
        if (variable->sort != VARIABLE_COMPANY || variable->aggregate->sort != AGGREGATE_COUNT) {
            continue;
        }
        uint32_t count = whole_count(crowding->values[v]);
        if (variable->aggregate->scope != TREE_WITHIN_ANY) {
            most = count > most ? count : most;
        } else if (!widest ||
                   number_compare(arena, variable->aggregate->window, widest->window) > 0) {
            widest = variable->aggregate;
        }
    }
    if (widest && most > 1 && most <= CROWD_SPREAD) {
        add_crowd(crowding,
                  (struct crowd){.others = most - 1,
                                 .shifted = true,
                                 .spread = true,
                                 .axis = axis_called(docket, widest->axis),
                                 .shift = number_divide(
                                     arena, number_multiply(arena, widest->window, NUMBER_INT(5)),
                                     NUMBER_INT(4))});
    }
}

static bool asks_measure(const struct expression *expression, const struct measure *measure)
{
    return expression &&
           (expression->measure == measure ||
            (expression->reckon && asks_measure(expression->reckon->value, measure)) ||
            asks_measure(expression->left, measure) || asks_measure(expression->right, measure));
}

/* A reading by which the pair's sum can be raised. */
static uint32_t pair_record(const struct docket *docket, const struct expression *pair)
{
    for (uint32_t r = 0; pair && r < docket->kind->record_count; r++) {
        const struct measure *measure = docket->kind->records[r].measure;
        if (measure && asks_measure(pair, measure)) {
            return r;
        }
    }
    return UINT32_MAX;
}

/* One other, as far off as lies between two distances, or within one. */
static void crowd_distances(struct crowding *crowding)
{
    struct arena *arena = crowding->arena;
    const struct docket *docket = crowding->piece->ground->docket;
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        const struct variable *variable = &docket->variables[v];
        if (variable->sort != VARIABLE_COMPANY || variable->aggregate->sort != AGGREGATE_APART) {
            continue;
        }
        struct number own = distance_of(crowding, variable->aggregate->distance);
        for (uint32_t w = 0; w < docket->variable_count; w++) {
            const struct variable *other = &docket->variables[w];
            if (other->sort != VARIABLE_COMPANY || other->aggregate->sort != AGGREGATE_APART) {
                continue;
            }
            uint32_t axis = axis_called(docket, variable->aggregate->axis);
            struct number gap = number_divide(
                arena, number_add(arena, own, distance_of(crowding, other->aggregate->distance)),
                NUMBER_INT(2));
            /* From the start of one to the start of the next there is its length as well. */
            struct number shift = gap;
            for (uint32_t r = 0; r < docket->kind->record_count; r++) {
                if (docket->kind->records[r].has_along && docket->kind->records[r].measure) {
                    shift = number_add(arena, gap, crowding->values[r]);
                }
            }
            struct crowd crowd = {.others = 1, .shifted = true, .axis = axis, .shift = shift};
            add_crowd(crowding, crowd);
            crowd.record = pair_record(docket, variable->aggregate->pair);
            if (crowd.record != UINT32_MAX) { /* and a little larger than this one */
                const struct measure *measure = docket->kind->records[crowd.record].measure;
                struct number grid =
                    measure->stepping == TREE_STEP_NONE ? measure->unit->factor : measure->step;
                crowd.valued = true;
                crowd.value = number_add(arena, crowding->values[crowd.record], grid);
                add_crowd(crowding, crowd);
            }
        }
    }
}

uint32_t sample_crowds(struct arena *arena, const struct piece *piece, const struct sample *sample,
                       struct crowd crowds[CROWDS])
{
    struct crowding crowding = {.arena = arena,
                                .piece = piece,
                                .values = sample_world(arena, piece, sample, true).readings,
                                .crowds = crowds};
    static const uint32_t shares[] = {1, 2, 4, 5};
    crowd_alike(&crowding);
    crowd_totals(&crowding, shares, 1);
    crowd_windows(&crowding);
    crowd_spread(&crowding);
    crowd_distances(&crowding);
    crowd_totals(&crowding, shares + 1, sizeof shares / sizeof *shares - 1);
    return crowding.count;
}
