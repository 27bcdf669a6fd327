/* What is told of a row that is not exact: the same words and figures as the general road's. */
#include "sweep/wide.h"

#include "base/text.h"

/* ---- what is shown ------------------------------------------------------------------------------------- */

static struct number value_of(const struct wide *wide, uint32_t slot)
{
    struct fraction value = wide->worse.of[slot].high;
    return number_multiply(wide->arena, number_make(wide->arena, value.over, value.under),
                           wide->source->scales[slot]);
}

/* The bound that a leaf puts on its value, in base units, where judge() shows it: at the lowest place of a point
 * in doubt, else at that of the extent which is hardest to meet. */
static bool leaf_bound(const struct wide *wide, const struct fast_test *test, uint32_t slot,
                       struct number *bound)
{
    struct arena *arena = wide->arena;
    const struct fast_linear *linear = fast_linear_at(wide->fast, test, wide->points);
    if (linear->c == 0 || (test->map && wide->free[test->axis])) {
        return false;
    }
    const struct where *where = &wide->places[test->axis];
    struct fraction at = where->sort == WHERE_DOUBT ? where->low : where_worst(where, linear->a);
    struct number sum =
        number_multiply(arena, NUMBER_INT(linear->a), number_make(arena, at.over, at.under));
    sum = number_add(arena, sum, NUMBER_INT(linear->b - test->strict));
    sum = number_divide(arena, sum, NUMBER_INT(-linear->c));
    *bound = number_multiply(arena, sum, wide->source->scales[slot]);
    return true;
}

/* Of several bounds, each might be hardest to meet at another end. */
static bool all_points(const struct wide *wide)
{
    bool all = true;
    for (uint32_t a = 0; a < wide->docket->axis_count; a++) {
        all &= wide->free[a] || wide->places[a].sort == WHERE_POINT;
    }
    return all;
}

static bool show_limit(struct wide *wide, const struct fast_step *step, const struct unit *unit,
                       struct outcome_of_row *result)
{
    struct arena *arena = wide->arena;
    const struct fast_test *leaves = &wide->fast->tests[step->leaves];
    struct number bound, next;
    if (!leaf_bound(wide, leaves, step->slot, &bound) ||
        (step->test_count > 1 && !all_points(wide))) {
        return false;
    }
    for (uint32_t i = 1; i < step->test_count; i++) {
        if (!leaf_bound(wide, &leaves[i], step->slot, &next)) {
            return false;
        }
        bound = step->upper != step->any ? number_least(arena, bound, next)
                                         : number_greatest(arena, bound, next);
    }
    bool rounded;
    const char *text =
        quantity_text(arena, bound, unit, step->upper ? NUMBER_DOWN : NUMBER_UP, &rounded);
    result->limit = figure_marked(arena, text, rounded);
    return true;
}

/* A product is shown as it was compared, in the unit that it has for exact rows. */
static bool show_product(struct wide *wide, const struct fast_step *step,
                         const struct fast_shown *shown, struct outcome_of_row *result)
{
    const struct fast_docket *docket = wide->docket;
    for (uint32_t i = 0; i < docket->measured_count; i++) {
        const struct unit *unit = wide->readings[docket->measured[i]].unit;
        if (dimension_equal(unit->dimension, shown->unit->dimension)) {
            return false; /* it might be shown in that one */
        }
    }
    bool rounded;
    const char *text = quantity_text(wide->arena, value_of(wide, step->slot), shown->unit,
                                     step->upper ? NUMBER_UP : NUMBER_DOWN, &rounded);
    result->reading = figure_marked(wide->arena, text, rounded);
    result->limit = shown->limit;
    return true;
}

static bool show_figure(struct wide *wide, const struct fast_step *step,
                        const struct fast_shown *shown, struct outcome_of_row *result)
{
    struct arena *arena = wide->arena;
    const struct reading *reading = &wide->readings[step->slot];
    if (step->product) {
        return show_product(wide, step, shown, result);
    }
    bool rounded;
    const char *text = recorded_text(arena, reading, value_of(wide, step->slot), reading->unit,
                                     step->upper ? NUMBER_UP : NUMBER_DOWN, &rounded);
    result->reading = figure_marked(arena, text, rounded);
    return show_limit(wide, step, reading->unit, result);
}

static bool show_step(struct wide *wide, const struct fast_step *step,
                      struct outcome_of_row *result)
{
    const struct fast_shown *shown = &wide->fast->shown[step - wide->fast->steps];
    result->name = shown->name;
    if (step->show == FAST_SHOW_FIGURE) {
        return show_figure(wide, step, shown, result);
    }
    if (step->show != FAST_SHOW_VALUES) {
        return false;
    }
    const struct fast_values *values =
        &wide->fast->observations[wide->docket->records[step->slot] - FAST_SEEN];
    result->reading = values->names[__builtin_ctzll(wide->readings[step->slot].values)];
    result->limit = shown->limit;
    return true;
}

bool wide_show(struct wide *wide, const struct come *come, struct outcome_of_row *result)
{
    const struct fast *fast = wide->fast;
    const struct fast_rung *rung = come->rung;
    const struct fast_step *step = NULL;
    *result = (struct outcome_of_row){
        .judged = true,
        .outcome = come->worst,
        .best = come->best,
        .kind = wide->docket->kind,
        .zone = come->limit->zone,
        .zone_name = fast->book->zones[come->limit->zone].name,
        .rule = fast->lines[rung - fast->rungs].rule,
        .source = fast->lines[rung - fast->rungs].source,
    };
    if (rung > &fast->rungs[come->limit->first_rung]) {
        step = &fast->steps[rung[-1].first_step + come->failed];
    } else if (!rung->is_end) {
        step = fast_first_shown(fast, rung);
    }
    return !step || show_step(wide, step, result);
}
