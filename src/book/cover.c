/* A curve must run along each zone that a ladder uses it in: it has no reach past its ends. */
#include "book/check.h"

static const char *figure_in(struct checker *checker, struct number value, const struct unit *unit)
{
    bool rounded;

    return quantity_text(checker->arena, value, unit, NUMBER_EVEN, &rounded);
}

static void report_gap(struct checker *checker, const struct curve *curve, const struct zone *zone,
                       const struct axis *axis, const struct zone_range *range, struct span at)
{
    struct number first = curve->points[0].at;
    struct number last = curve->points[curve->point_count - 1].at;
    struct stave_problem *problem;
    struct text missing;
    bool before = number_compare(checker->arena, range->from, first) < 0;
    bool after = number_compare(checker->arena, range->to, last) > 0;

    if (!before && !after)
        return;
    text_begin(&missing, checker->arena);
    if (before) {
        bool all = number_compare(checker->arena, range->to, first) < 0;

        text_add(&missing, figure_in(checker, range->from, axis->unit));
        text_add(&missing, " .. ");
        text_add(&missing, figure_in(checker, all ? range->to : first, axis->unit));
        after = after && !all;
    }
    if (after) {
        bool all = number_compare(checker->arena, range->from, last) > 0;

        text_add(&missing, before ? " and " : "");
        text_add(&missing, figure_in(checker, all ? range->from : last, axis->unit));
        text_add(&missing, " .. ");
        text_add(&missing, figure_in(checker, range->to, axis->unit));
    }
    problem =
        problem_add(checker->problems, STAVE_ERROR, "curve-cover", at,
                    "curve '%s' does not cover %s '%s': it says nothing for %s %s", curve->name,
                    zone->is_part ? "part" : "zone", zone->name, axis->name, text_done(&missing));
    check_second(checker, problem, curve->span, "declared here");
    problem_help(problem, checker->problems,
                 "add the published points, or use the curve in a smaller zone");
}

static void hold_against_zone(struct checker *checker, const struct curve *curve,
                              const struct zone *zone, struct span at)
{
    const struct part *part = zone->part;
    uint32_t i;

    for (i = 0; i < part->axis_count; i++) {
        if (!text_same(part->axes[i].name, curve->axis))
            continue;
        if (dimension_equal(part->axes[i].dimension, curve->at_dimension))
            report_gap(checker, curve, zone, &part->axes[i], &zone->ranges[i], at);
        return;
    }
    check_second(checker,
                 problem_add(checker->problems, STAVE_ERROR, "curve-cover", at,
                             "curve '%s' runs along '%s', and part '%s' has no such axis",
                             curve->name, curve->axis, part->name),
                 curve->span, "declared here");
}

static void hold_curve(struct checker *checker, const struct ladder *ladder,
                       const struct curve *curve, struct span at)
{
    uint32_t i;

    if (checker->curve_marks[curve->index] == ladder->number)
        return; /* once a ladder is enough */
    checker->curve_marks[curve->index] = ladder->number;
    if (ladder->kinds[0]->is_check) {
        check_second(checker,
                     problem_add(checker->problems, STAVE_ERROR, "curve-cover", at,
                                 "a check has no place, so curve '%s' has no value in it",
                                 curve->name),
                     curve->span, "declared here");
        return;
    }
    for (i = 0; i < ladder->zone_count; i++)
        hold_against_zone(checker, curve, ladder->zones[i], at);
}

void curves_cover(struct checker *checker, const struct ladder *ladder)
{
    struct walk walk;
    uint32_t i, j, k;

    if (ladder->kind_count == 0)
        return;
    for (i = 0; i < ladder->rung_count; i++)
        for (j = 0; j < ladder->rungs[i].condition_count; j++) {
            const struct condition *condition = &ladder->rungs[i].conditions[j];

            if (condition->sort != CONDITION_COMPARE)
                continue;
            walk.measure_count = walk.curve_count = 0;
            walk_add(&walk, condition->left);
            walk_add(&walk, condition->right);
            for (k = 0; k < walk.curve_count; k++)
                hold_curve(checker, ladder, walk.curves[k], walk.curve_spans[k]);
        }
}
