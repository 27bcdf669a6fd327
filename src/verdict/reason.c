/* Reasons: which line decided, and what kept a finding from the better lines. */
#include <string.h>

#include "base/text.h"
#include "verdict/verdict.h"

const char *values_text(struct arena *arena, const struct observation *observation,
                               uint64_t values)
{
    struct text text;
    text_begin(&text, arena);
    for (uint32_t i = 0; i < observation->value_count; i++) {
        if (values >> i & 1) {
            text_add(&text, text.size ? " or " : "");
            text_add(&text, observation->values[i]);
        }
    }
    return text_done(&text);
}

static int32_t record_of(const struct kind *kind, const struct measure *measure,
                         const struct observation *observation)
{
    for (uint32_t i = 0; i < kind->record_count; i++) {
        if (kind->records[i].measure == measure && kind->records[i].observation == observation) {
            return (int32_t)i;
        }
    }
    return -1;
}

const struct measure *expression_first_measure(const struct expression *expression)
{
    if (!expression) {
        return NULL;
    }
    if (expression->sort == EXPRESSION_MEASURE) {
        return expression->measure;
    }
    if (expression->sort == EXPRESSION_RECKONED) {
        return expression_first_measure(expression->reckon->value);
    }
    const struct measure *left = expression_first_measure(expression->left);
    return left ? left : expression_first_measure(expression->right);
}

/* Figures are shown in the unit that the mechanic used, where it has their dimension. */
static const struct unit *shown_unit(const struct judged *judged,
                                     const struct condition_result *result)
{
    const struct measure *measure = expression_first_measure(result->condition->left);
    int32_t record = measure ? record_of(judged->finding->kind, measure, NULL) : -1;
    if (record < 0) {
        return result->unit;
    }
    const struct unit *unit = judged->finding->readings[record].unit;
    return dimension_equal(unit->dimension, result->unit->dimension) ? unit : result->unit;
}

/* What to call the left side of a comparison: its name, or else the text as written. */
static const char *left_name(struct arena *arena, const struct expression *left)
{
    switch (left->sort) {
    case EXPRESSION_MEASURE:
        return left->measure->name;
    case EXPRESSION_RECKONED:
        return left->reckon->name;
    case EXPRESSION_GROWTH:
        return text_format(arena, left->since_first ? "growth of %s since first seen"
                                                    : "growth of %s",
                           left->grown->name);
    case EXPRESSION_SEEN:
        return "seen before";
    case EXPRESSION_AGGREGATE:
        return company_name(arena, left->aggregate);
    default:
        return span_text(arena, left->span);
    }
}

/* "0.016 .. 0.02 in": what is not one exact figure. */
static const char *between_text(struct arena *arena, const struct reading *reading, bool *rounded)
{
    bool low_rounded, high_rounded;
    const struct unit *unit = reading->unit;
    const char *low = quantity_text(arena, reading->low, unit, NUMBER_DOWN, &low_rounded);
    const char *high = quantity_text(arena, reading->high, unit, NUMBER_UP, &high_rounded);
    size_t figure = strcspn(low, " "); /* the unit is written once, at the end */
    *rounded = low_rounded || high_rounded;
    return text_format(arena, "%.*s .. %s", (int)figure, low, high);
}

static const char *range_text(struct arena *arena, struct number low, struct number high,
                              const struct unit *unit, bool *rounded)
{
    struct reading between = {.low = low, .high = high, .unit = unit};
    return number_equal(low, high) ? quantity_text(arena, low, unit, NUMBER_UP, rounded)
                                   : between_text(arena, &between, rounded);
}

static const char *was_text(struct arena *arena, const struct judged *judged,
                            const struct expression *left, bool *rounded)
{
    const struct finding *finding = judged->finding;
    const struct reading *before = left->since_first ? finding->first : finding->earlier;
    int32_t record = record_of(finding->kind, left->grown, NULL);
    const char *when = left->since_first ? "when first seen" : "before";
    if (!before || record < 0 || before[record].given == GIVEN_NOT) {
        return text_format(arena, "not known %s", when);
    }
    const struct reading *reading = &before[record];
    return text_format(arena, "%s %s",
                       range_text(arena, reading->low, reading->high, reading->unit, rounded),
                       when);
}

/* What stands on the left when it is no reading of the finding: company, growth. NULL: it is one. */
static const char *set_text(struct arena *arena, const struct judged *judged,
                            const struct condition_result *result, bool *rounded)
{
    const struct expression *left = result->condition->left;
    *rounded = false;
    if (left->sort == EXPRESSION_SEEN) {
        return judged->finding->seen == SEEN_NEW      ? "no"
               : judged->finding->seen == SEEN_BEFORE ? "yes"
                                                      : "not known";
    }
    if (left->sort == EXPRESSION_GROWTH) {
        if (judged->finding->seen == SEEN_NEW) {
            return "none, it is new";
        }
        return text_format(arena, "%s (%s)",
                           quantity_text(arena, result->left, result->unit, NUMBER_UP, rounded),
                           was_text(arena, judged, left, rounded));
    }
    if (left->sort != EXPRESSION_AGGREGATE) {
        return NULL;
    }
    const struct company_range *ranges = judged->finding->company;
    if (judged->docket->book->as_read) {
        ranges = judged->finding->company_read;
    }
    int32_t variable = plan_company_variable(judged->docket, left->aggregate);
    return range_text(arena, ranges[variable].low, ranges[variable].high, result->unit, rounded);
}

const char *recorded_text(struct arena *arena, const struct reading *reading,
                          struct number compared, const struct unit *unit, enum number_round worse,
                          bool *rounded)
{
    *rounded = false;
    if (reading->given == GIVEN_NOT) {
        return "not given";
    }
    if (!number_equal(reading->low, reading->high)) {
        return between_text(arena, reading, rounded);
    }
    bool typed_rounded;
    const char *typed = quantity_text(arena, reading->low, reading->unit, worse, &typed_rounded);
    if (number_equal(reading->low, compared)) {
        *rounded = typed_rounded;
        return typed;
    }
    return text_format(arena, "%s%s, taken as %s", typed, typed_rounded ? " (rounded)" : "",
                       quantity_text(arena, compared, unit, worse, rounded));
}

/*
 * The reading of a numeric comparison. For a single measure it is what was recorded (a range
 * where it is in doubt), with the value that was compared behind it where rounding made
 * another figure of it; for a reckoned value it is the value in the world that is shown.
 */
static const char *reading_text(struct arena *arena, const struct judged *judged,
                                const struct condition_result *result, enum number_round worse,
                                bool *rounded)
{
    const struct expression *left = result->condition->left;
    const char *of_set = set_text(arena, judged, result, rounded);
    if (of_set) {
        return of_set;
    }
    const char *compared = quantity_text(arena, result->left, result->unit, worse, rounded);
    if (left->sort != EXPRESSION_MEASURE) {
        return compared;
    }
    int32_t record = record_of(judged->finding->kind, left->measure, NULL);
    if (record < 0) {
        return compared;
    }
    const struct reading *reading = &judged->finding->readings[record];
    if (reading->given == GIVEN_DOUBT && judged->guarded >= 0) {
        return text_format(arena, "%s, as read", compared);
    }
    return recorded_text(arena, reading, result->left, result->unit, worse, rounded);
}

static struct stave_comparison compare_figures(struct arena *arena, const struct judged *judged,
                                               struct condition_result *result)
{
    const struct condition *condition = result->condition;
    result->unit = shown_unit(judged, result);
    bool upper = relation_is_upper(condition->relation);
    enum number_round worse = upper ? NUMBER_UP : NUMBER_DOWN;
    enum number_round stricter = upper ? NUMBER_DOWN : NUMBER_UP;
    struct stave_comparison shown = {
        .condition = span_text(arena, condition->span),
        .holds = result->holds,
        .name = left_name(arena, condition->left),
        .relation = relation_text(condition->relation),
        .where = "",
        .company = "",
    };
    shown.reading = reading_text(arena, judged, result, worse, &shown.reading_rounded);
    shown.limit = quantity_text(arena, result->right, result->unit, stricter,
                                &shown.limit_rounded);
    struct number factor = result->unit->factor;
    shown.reading_exact = number_fraction(arena, number_divide(arena, result->left, factor));
    shown.limit_exact = number_fraction(arena, number_divide(arena, result->right, factor));
    shown.company = company_text(arena, judged, result);
    if (result->has_place) {
        const struct axis *axis = &judged->docket->part->axes[result->axis];
        const struct extent *extent = &judged->finding->extents[result->axis];
        bool rounded;
        shown.where = text_format(arena, "%s %s", axis->name,
                                  quantity_text(arena, result->at, extent->unit, NUMBER_EVEN,
                                                &rounded));
    }
    return shown;
}

static struct stave_comparison compare_values(struct arena *arena, const struct judged *judged,
                                              const struct condition_result *result)
{
    const struct condition *condition = result->condition;
    const struct observation *observation = condition->observation;
    int32_t record = record_of(judged->finding->kind, NULL, observation);
    const struct reading *reading = record < 0 ? NULL : &judged->finding->readings[record];
    return (struct stave_comparison){
        .condition = span_text(arena, condition->span),
        .holds = result->holds,
        .name = observation->name,
        .reading = !reading || reading->given == GIVEN_NOT
                       ? "not given"
                       : values_text(arena, observation, reading->values),
        .relation = "is",
        .limit = values_text(arena, observation, condition->values),
        .reading_exact = "",
        .limit_exact = "",
        .where = "",
        .company = "",
    };
}

static struct stave_comparison comparison_make(struct arena *arena, const struct judged *judged,
                                               struct condition_result *result)
{
    if (result->condition->sort == CONDITION_COMPARE) {
        return compare_figures(arena, judged, result);
    }
    if (result->condition->sort == CONDITION_AMONG) {
        return compare_values(arena, judged, result);
    }
    return (struct stave_comparison){
        .condition = span_text(arena, result->condition->span),
        .holds = true,
        .name = "",
        .reading = "",
        .relation = "any",
        .limit = "",
        .reading_exact = "",
        .limit_exact = "",
        .where = "",
        .company = "",
    };
}

static bool already_told(const struct stave_comparison *kept, size_t count,
                         const struct stave_comparison *comparison)
{
    for (size_t i = 0; i < count; i++) {
        if (strcmp(kept[i].condition, comparison->condition) == 0 &&
            strcmp(kept[i].limit, comparison->limit) == 0) {
            return true;
        }
    }
    return false;
}

/* The first condition of each line above the deciding one that fails, the nearest line first: at most `most`. */
static void add_kept_from(struct arena *arena, const struct judged *judged,
                          const struct ladder_result *ladder, size_t most,
                          struct stave_reason *reason)
{
    const struct plan_limit *limit = ladder->limit;
    struct stave_comparison *kept = ARENA_ARRAY(arena, struct stave_comparison, ladder->rung + 1);
    size_t count = 0;
    for (uint32_t r = ladder->rung; r-- > 0 && count < most;) {
        const struct plan_rung *rung = &limit->rungs[r];
        for (uint32_t s = 0; s < rung->step_count; s++) {
            struct condition_result result =
                judge_condition(judged->work, judged->docket, limit, &rung->steps[s],
                                &judged->judgement->witness);
            if (!result.holds) {
                kept[count] = comparison_make(arena, judged, &result);
                count += !already_told(kept, count, &kept[count]);
                break;
            }
        }
    }
    reason->kept_from = kept;
    reason->kept_from_count = count;
}

static void add_held(struct arena *arena, const struct judged *judged,
                     const struct ladder_result *ladder, struct stave_reason *reason)
{
    if (ladder->rung == ladder->limit->rung_count) {
        return;
    }
    const struct plan_rung *rung = &ladder->limit->rungs[ladder->rung];
    struct stave_comparison *held = ARENA_ARRAY(arena, struct stave_comparison, rung->step_count);
    for (uint32_t s = 0; s < rung->step_count; s++) {
        struct condition_result result = judge_condition(
            judged->work, judged->docket, ladder->limit, &rung->steps[s], &judged->judgement->witness);
        held[s] = comparison_make(arena, judged, &result);
    }
    reason->held = held;
    reason->held_count = rung->step_count;
}

const char *limit_phrase(struct arena *arena, const struct limit *limit)
{
    struct text text;
    text_begin(&text, arena);
    for (uint32_t i = 0; i < limit->kind_count; i++) {
        text_add(&text, i ? ", " : "");
        text_add(&text, limit->kinds[i]->name);
    }
    text_add(&text, " on ");
    text_add(&text, limit->zone->name);
    return text_done(&text);
}

/* The outcome and the conditions as the book writes them; the tails are told apart. */
const char *rung_text(struct arena *arena, const struct book *book, const struct rung *rung)
{
    if (rung->otherwise) {
        return text_format(arena, "otherwise %s", book->scale[rung->outcome].name);
    }
    struct span line = rung->span;
    line.to = line.from;
    for (uint32_t i = 0; i < rung->condition_count; i++) {
        uint32_t to = rung->conditions[i].span.to;
        line.to = to > line.to ? to : line.to;
    }
    return span_text(arena, line);
}

static struct stave_reason reason_make(struct arena *arena, const struct book *book,
                                       const struct judged *judged,
                                       const struct ladder_result *ladder, bool brief)
{
    const struct limit *limit = ladder->limit->source;
    const struct rung *rung = ladder->rung < ladder->limit->rung_count
                                  ? ladder->limit->rungs[ladder->rung].source
                                  : NULL;
    struct span where = rung ? rung->span : limit->head;
    struct stave_reason reason = {
        .zone = limit->zone->name,
        .limit = limit_phrase(arena, limit),
        .text_name = where.source->name,
        .line = span_line(arena, where),
        .outcome = ladder->outcome,
        .line_text = rung ? rung_text(arena, book, rung) : "",
        .source = rung && rung->source[0] ? rung->source : limit->source,
        .action = rung ? rung->action : "",
        .note = rung && rung->note[0] ? rung->note : limit->note,
        .governs = !judged->judgement->witness_uncovered &&
                   ladder->outcome == judged->judgement->worst,
    };
    add_kept_from(arena, judged, ladder, brief ? 1 : SIZE_MAX, &reason);
    if (!brief || !reason.kept_from_count) {
        add_held(arena, judged, ladder, &reason);
    }
    return reason;
}

struct stave_reason reason_brief(struct arena *arena, const struct ready_book *ready,
                                 const struct judged *judged)
{
    return reason_make(arena, ready->book, judged, &judged->judgement->ladders[0], true);
}

const struct stave_reason *reasons_make(struct arena *arena, const struct ready_book *ready,
                                        const struct judged *judged, size_t *count)
{
    const struct judgement *judgement = judged->judgement;
    struct stave_reason *reasons =
        ARENA_ARRAY(arena, struct stave_reason, judgement->ladder_count);
    for (uint32_t i = 0; i < judgement->ladder_count; i++) {
        reasons[i] = reason_make(arena, ready->book, judged, &judgement->ladders[i], false);
    }
    *count = judgement->ladder_count;
    return reasons;
}
