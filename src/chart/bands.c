/* The charts of a ladder: for each measure that its lines bound, the bands of its lines. */
#include <string.h>

#include "base/text.h"
#include "chart/chart.h"
#include "plan/place_line.h"

/* Limits of one statement and what is charted of them. */
struct charting {
    struct arena *arena;
    const struct ready_book *ready;
    uint32_t ladder;
    const struct limit *const *limits; /* one for each zone */
    uint32_t limit_count;
    const struct docket *docket;
    int32_t axis;
};

static const struct plan_limit *plan_limit_of(const struct docket *docket,
                                              const struct limit *limit)
{
    for (uint32_t i = 0; docket && i < docket->limit_count; i++) {
        if (docket->limits[i].source == limit) {
            return &docket->limits[i];
        }
    }
    return NULL;
}

/* ---- the axis ---------------------------------------------------------------------- */

static int32_t axis_of_tree(const struct atom_tree *tree)
{
    if (tree->sort == ATOM_LEAF) {
        return tree->atom.place_count > 0 ? (int32_t)tree->atom.places[0].axis : -1;
    }
    int32_t axis = -1;
    for (uint32_t i = 0; i < tree->branch_count && axis < 0; i++) {
        axis = axis_of_tree(tree->branches[i]);
    }
    return axis;
}

/* The axis of the first curve that the lines use; failing that, the part's first. */
static int32_t axis_of_limit(const struct plan_limit *limit, const struct part *part)
{
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        for (uint32_t s = 0; s < limit->rungs[r].step_count; s++) {
            const struct step *step = &limit->rungs[r].steps[s];
            int32_t axis = step->sort == STEP_ATOMS ? axis_of_tree(step->atoms) : -1;
            if (axis >= 0) {
                return axis;
            }
        }
    }
    return part->axis_count > 0 ? 0 : -1;
}

/* ---- the subject: what is measured, and in which unit ----------------------------------- */

/* A unit that the book writes for such a value: of a figure, or of a curve. */
static const struct unit *unit_in(const struct expression *expression, struct dimension dimension)
{
    if (!expression) {
        return NULL;
    }
    if (expression->sort == EXPRESSION_FIGURE &&
        dimension_equal(expression->dimension, dimension)) {
        return expression->unit;
    }
    if (expression->sort == EXPRESSION_CURVE && dimension_equal(expression->dimension, dimension)) {
        return expression->curve->unit;
    }
    if (expression->sort == EXPRESSION_RECKONED) {
        return unit_in(expression->reckon->value, dimension);
    }
    const struct unit *unit = unit_in(expression->left, dimension);
    return unit ? unit : unit_in(expression->right, dimension);
}

/* The first condition that bounds the subject. */
static const struct condition *first_bounding(struct arena *arena, const struct subject *subject,
                                              const struct plan_limit *limit)
{
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        for (uint32_t s = 0; s < limit->rungs[r].step_count; s++) {
            struct bounds bounds;
            if (bounds_of_step(arena, subject, &limit->rungs[r].steps[s], &bounds)) {
                return limit->rungs[r].steps[s].source;
            }
        }
    }
    return NULL;
}

/* A unit of the other system for a length or an area, or NULL. */
static const struct unit *other_unit(const struct unit *unit)
{
    static const char *const pairs[][2] = {
        {"in", "mm"},   {"ft", "mm"},   {"thou", "mm"}, {"mm", "in"},   {"cm", "in"}, {"m", "in"},
        {"in2", "mm2"}, {"ft2", "mm2"}, {"mm2", "in2"}, {"cm2", "in2"}, {"m2", "in2"}};
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        if (unit == unit_find(pairs[i][0], strlen(pairs[i][0]))) {
            return unit_find(pairs[i][1], strlen(pairs[i][1]));
        }
    }
    return NULL;
}

static const char *other_of(struct arena *arena, const struct unit *unit, struct stave_figure *size)
{
    const struct unit *other = unit ? other_unit(unit) : NULL;
    *size = (struct stave_figure){"", "", "", false};
    if (other) {
        *size = figure_make(arena, other->factor, unit, NUMBER_EVEN);
    }
    return other ? other->name : "";
}

/* ---- points ------------------------------------------------------------------------------ */

static bool on_one_line(struct arena *arena, const struct place_line *line, uint32_t first,
                        uint32_t middle, uint32_t last)
{
    struct number run = number_subtract(arena, line->at[last], line->at[first]);
    struct number rise = number_subtract(arena, line->value[last], line->value[first]);
    struct number run_to = number_subtract(arena, line->at[middle], line->at[first]);
    struct number rise_to = number_subtract(arena, line->value[middle], line->value[first]);
    return number_equal(number_multiply(arena, run, rise_to), number_multiply(arena, run_to, rise));
}

/* The points of a line, less those that lie straight between two others. */
static const struct stave_point *points_make(struct arena *arena, const struct place_line *line,
                                             const struct unit *at_unit, const struct unit *unit,
                                             enum number_round how, size_t *count)
{
    *count = 0;
    if (!line) {
        return NULL;
    }
    struct stave_point *points = ARENA_ARRAY(arena, struct stave_point, line->count);
    uint32_t last_kept = 0;
    for (uint32_t i = 0; i < line->count; i++) {
        if (i > 0 && i + 1 < line->count && on_one_line(arena, line, last_kept, i, i + 1)) {
            continue;
        }
        last_kept = i;
        points[(*count)++] = (struct stave_point){
            .at = figure_make(arena, line->at[i], at_unit, NUMBER_EVEN),
            .value = figure_make(arena, line->value[i], unit, how),
        };
    }
    return points;
}

/* ---- bands -------------------------------------------------------------------------------- */

static struct stave_band band_make(const struct charting *charting, const struct subject *subject,
                                   const struct plan_rung *rung, uint32_t line,
                                   const struct unit *unit)
{
    struct arena *arena = charting->arena;
    const struct unit *at_unit =
        subject->axis < 0 ? unit_none() : subject->docket->part->axes[subject->axis].unit;
    struct bounds all = {.exact = true};
    struct text asks;
    text_begin(&asks, arena);
    for (uint32_t s = 0; s < rung->step_count; s++) {
        struct bounds bounds;
        bool bounds_it = bounds_of_step(arena, subject, &rung->steps[s], &bounds);
        if (bounds_it) {
            bounds_narrow(arena, &all, &bounds);
        }
        if (!bounds_it ? rung->steps[s].sort != STEP_ALWAYS : !bounds.exact) {
            text_add(&asks, asks.size ? ", " : "");
            text_add(&asks, span_text(arena, rung->steps[s].source->span));
        }
    }
    struct stave_band band = {
        .line = line,
        .low_open = all.low_open,
        .high_open = all.high_open,
        .asks = text_done(&asks),
    };
    /* Rounded, where it has to be, to the stricter side. */
    band.low = points_make(arena, all.low, at_unit, unit, NUMBER_UP, &band.low_count);
    band.high = points_make(arena, all.high, at_unit, unit, NUMBER_DOWN, &band.high_count);
    return band;
}

/* The breakpoints of the axis that lie in a zone, with value 0. */
static const struct place_line *reach_of(const struct charting *charting, const struct zone *zone)
{
    struct arena *arena = charting->arena;
    struct place_line *reach = ARENA_NEW(arena, struct place_line);
    if (charting->axis < 0) {
        reach->count = 1;
        reach->at = ARENA_ARRAY(arena, struct number, 1);
        reach->value = ARENA_ARRAY(arena, struct number, 1);
        reach->at[0] = reach->value[0] = NUMBER_ZERO;
        return reach;
    }
    const struct plan_axis *axis = &charting->docket->axes[charting->axis];
    const struct zone_range *range = &zone->ranges[charting->axis];
    reach->at = ARENA_ARRAY(arena, struct number, axis->breakpoint_count);
    reach->value = ARENA_ARRAY(arena, struct number, axis->breakpoint_count);
    for (uint32_t i = 0; i < axis->breakpoint_count; i++) {
        struct number at = axis->breakpoints[i];
        if (number_compare(arena, range->from, at) <= 0 &&
            number_compare(arena, at, range->to) <= 0) {
            reach->at[reach->count] = at;
            reach->value[reach->count++] = NUMBER_ZERO;
        }
    }
    return reach;
}

static struct stave_stretch stretch_make(const struct charting *charting, struct subject subject,
                                         const struct limit *limit, const struct unit *unit)
{
    struct arena *arena = charting->arena;
    const struct plan_limit *plan = plan_limit_of(charting->docket, limit);
    struct stave_band *bands = ARENA_ARRAY(arena, struct stave_band, plan->rung_count);
    subject.reach = reach_of(charting, limit->zone);
    for (uint32_t r = 0; r < plan->rung_count; r++) {
        bands[r] = band_make(charting, &subject, &plan->rungs[r], r, unit);
    }
    struct stave_stretch stretch = {
        .zone = limit->zone->index,
        .range = {.from = {"", "", "", false}, .to = {"", "", "", false}, .whole = true},
        .bands = bands,
        .band_count = plan->rung_count,
    };
    if (charting->axis >= 0) {
        const struct axis *axis = &charting->docket->part->axes[charting->axis];
        const struct zone_range *range = &limit->zone->ranges[charting->axis];
        stretch.range = (struct stave_range){
            .from = figure_make(arena, range->from, axis->unit, NUMBER_EVEN),
            .to = figure_make(arena, range->to, axis->unit, NUMBER_EVEN),
            .from_open = range->from_open,
            .to_open = range->to_open,
            .whole = number_equal(range->from, axis->from) && number_equal(range->to, axis->to),
        };
    }
    return stretch;
}

/* ---- charts -------------------------------------------------------------------------------- */

static void chart_describe(const struct charting *charting, const struct variable *variable,
                           const struct condition *condition, const struct unit *unit,
                           struct stave_chart *chart)
{
    struct arena *arena = charting->arena;
    const struct measure *measure = variable->measure;
    const struct expression *left = condition->left;
    chart->name = measure                             ? measure->name
                  : left->sort == EXPRESSION_RECKONED ? left->reckon->name
                                                      : span_text(arena, left->span);
    chart->how = measure                             ? measure_how(arena, measure)
                 : left->sort == EXPRESSION_RECKONED ? span_text(arena, left->reckon->value->span)
                                                     : "";
    chart->from = chart->to = (struct stave_figure){"", "", "", false};
    if (measure) {
        chart->from = figure_make(arena, measure->from, unit, NUMBER_EVEN);
        chart->to = figure_make(arena, measure->to, unit, NUMBER_EVEN);
        chart->smaller_is_worse = measure->smaller_is_worse;
    }
    chart->unit = unit->name;
    chart->other_unit = other_of(arena, unit, &chart->other_size);
    const struct unit *axis_unit =
        charting->axis < 0 ? NULL : charting->docket->part->axes[charting->axis].unit;
    chart->axis_unit = axis_unit ? axis_unit->name : "";
    chart->other_axis_unit = other_of(arena, axis_unit, &chart->other_axis_size);
}

static bool chart_make(const struct charting *charting, uint32_t variable_index,
                       struct stave_chart *chart)
{
    struct arena *arena = charting->arena;
    const struct docket *docket = charting->docket;
    const struct variable *variable = &docket->variables[variable_index];
    struct subject subject = {
        .docket = docket,
        .variable = variable_index,
        .axis = charting->axis,
        .reach = reach_of(charting, charting->limits[0]->zone),
    };
    const struct plan_limit *plan = plan_limit_of(docket, charting->limits[0]);
    const struct condition *condition = first_bounding(arena, &subject, plan);
    if (!condition) {
        return false;
    }
    const struct unit *unit = variable->measure
                                  ? variable->measure->unit
                                  : unit_in(condition->right, condition->left->dimension);
    if (!unit) {
        return false;
    }
    *chart = (struct stave_chart){
        .ladder = charting->ladder, .part = docket->part->index, .axis = charting->axis};
    chart_describe(charting, variable, condition, unit, chart);
    struct stave_stretch *stretches =
        ARENA_ARRAY(arena, struct stave_stretch, charting->limit_count);
    for (uint32_t i = 0; i < charting->limit_count; i++) {
        stretches[i] = stretch_make(charting, subject, charting->limits[i], unit);
    }
    chart->stretches = stretches;
    chart->stretch_count = charting->limit_count;
    return true;
}

void charts_add(struct arena *arena, const struct ready_book *ready, uint32_t ladder,
                const struct limit *const *limits, uint32_t count, struct chart_list *charts)
{
    const struct docket *docket =
        plan_docket(ready->plan, limits[0]->kinds[0], limits[0]->zone->part);
    const struct plan_limit *plan = plan_limit_of(docket, limits[0]);
    if (!plan || plan->rung_count == 0) {
        return;
    }
    struct charting charting = {
        .arena = arena,
        .ready = ready,
        .ladder = ladder,
        .limits = limits,
        .limit_count = count,
        .docket = docket,
        .axis = docket->by_place || docket->kind->is_check ? -1 : axis_of_limit(plan, docket->part),
    };
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        const struct variable *variable = &docket->variables[v];
        struct stave_chart chart;
        bool measured = variable->sort == VARIABLE_RECORD && variable->measure;
        if ((measured || variable->sort == VARIABLE_PRODUCT) && chart_make(&charting, v, &chart)) {
            *ARENA_PUSH(arena, charts->items, charts->count, charts->capacity) = chart;
        }
    }
}
