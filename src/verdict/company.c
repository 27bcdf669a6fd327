/* Damage in numbers, in words: who it is in company with. */
#include <string.h>

#include "base/text.h"
#include "verdict/verdict.h"

#define OTHERS_NAMED 6

const char *company_name(struct arena *arena, const struct aggregate *aggregate)
{
    switch (aggregate->sort) {
    case AGGREGATE_TOTAL:
        return text_format(arena, "total %s", aggregate->text);
    case AGGREGATE_LARGEST:
        return text_format(arena, "largest %s", aggregate->text);
    case AGGREGATE_APART:
        return "damage too near";
    case AGGREGATE_FACING:
        return "damage facing";
    case AGGREGATE_COUNT:
        break;
    }
    return aggregate->text;
}

/* Where it was counted: "blade 1", "tip of blade 1", "the propeller". */
static const char *where_text(struct arena *arena, const struct judged *judged,
                              const struct aggregate *aggregate)
{
    const struct finding *finding = judged->finding;
    const char *part = finding_part_name(arena, finding->part, finding->instance);
    bool rounded;
    switch (aggregate->scope) {
    case TREE_ON_PROPELLER:
        return "on the propeller";
    case TREE_ON_A_SIDE:
        return text_format(arena, "on a side of %s", part);
    case TREE_WITHIN_ANY: {
        uint32_t axis = 0;
        while (axis < finding->part->axis_count &&
               strcmp(finding->part->axes[axis].name, aggregate->axis) != 0) {
            axis++;
        }
        const struct unit *unit =
            axis < finding->part->axis_count ? finding->part->axes[axis].unit : unit_none();
        return text_format(arena, "within %s of %s",
                           quantity_text(arena, aggregate->window, unit, NUMBER_UP, &rounded),
                           part);
    }
    default:
        return aggregate->zone && !aggregate->zone->is_part
                   ? text_format(arena, "on %s of %s", aggregate->zone->name, part)
                   : text_format(arena, "on %s", part);
    }
}

static const char *others_text(struct arena *arena, const struct judged *judged, uint32_t variable)
{
    const struct finding *others[OTHERS_NAMED];
    bool more;
    uint32_t count =
        company_others(judged->company, judged->index, variable, others, OTHERS_NAMED, &more);
    struct text text;
    text_begin(&text, arena);
    for (uint32_t i = 0; i < count; i++) {
        bool last = i + 1 == count && !more;
        text_add(&text, i == 0 ? "with " : last ? " and " : ", ");
        text_add(&text, others[i]->id[0] ? others[i]->id : others[i]->text);
    }
    text_add(&text, count && more ? " and others" : "");
    return count ? text_done(&text) : "alone";
}

const char *company_text(struct arena *arena, const struct judged *judged,
                         const struct condition_result *result)
{
    const struct expression *left = result->condition->left;
    if (left->sort != EXPRESSION_AGGREGATE) {
        return "";
    }
    const struct aggregate *aggregate = left->aggregate;
    int32_t variable = plan_company_variable(judged->docket, aggregate);
    const char *others = others_text(arena, judged, (uint32_t)variable);
    bool rounded;
    if (aggregate->sort == AGGREGATE_APART || aggregate->sort == AGGREGATE_FACING) {
        return others;
    }
    return text_format(arena, "%s: %s %s, %s allowed", others,
                       quantity_text(arena, result->left, result->unit, NUMBER_UP, &rounded),
                       where_text(arena, judged, aggregate),
                       quantity_text(arena, result->right, result->unit, NUMBER_DOWN, &rounded));
}
