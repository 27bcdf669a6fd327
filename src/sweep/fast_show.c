/* How a condition of the fast table is shown: the same words and figures as the general road's. */
#include <string.h>

#include "base/text.h"
#include "sweep/fast.h"

/* With room behind it. */
static struct fast_text spared(struct arena *arena, struct text *text)
{
    char *copy = arena_take(arena, text->size + FAST_SPARE);
    memcpy(copy, text_done(text), text->size);
    return (struct fast_text){copy, (uint32_t)text->size};
}

static struct fast_text csv_text(struct arena *arena, const char *text)
{
    size_t size = strlen(text);
    if (!strpbrk(text, ",\"\n\r")) {
        char *copy = arena_take(arena, size + FAST_SPARE);
        memcpy(copy, text, size);
        return (struct fast_text){copy, (uint32_t)size};
    }
    struct text quoted;
    text_begin(&quoted, arena);
    text_add_char(&quoted, '"');
    for (size_t i = 0; i < size; i++) {
        text_add_bytes(&quoted, "\"\"", text[i] == '"');
        text_add_char(&quoted, text[i]);
    }
    text_add_char(&quoted, '"');
    return spared(arena, &quoted);
}

static struct fast_text join(struct arena *arena, const char *const *parts, size_t count)
{
    struct text text;
    text_begin(&text, arena);
    for (size_t i = 0; i < count; i++) {
        text_add(&text, parts[i]);
    }
    return spared(arena, &text);
}

static bool has_measure(const struct expression *expression)
{
    if (!expression) {
        return false;
    }
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
    case EXPRESSION_CURVE:
        return false;
    case EXPRESSION_RECKONED:
        return has_measure(expression->reckon->value);
    case EXPRESSION_ADD:
    case EXPRESSION_SUBTRACT:
    case EXPRESSION_MULTIPLY:
    case EXPRESSION_DIVIDE:
    case EXPRESSION_LESSER:
    case EXPRESSION_GREATER:
        return has_measure(expression->left) || has_measure(expression->right);
    default:
        return true;
    }
}

static int32_t slot_of_measure(const struct kind *kind, const struct measure *measure)
{
    for (uint32_t i = 0; i < kind->record_count; i++) {
        if (kind->records[i].measure == measure) {
            return (int32_t)i;
        }
    }
    return -1;
}

/* " in": what stands behind a figure in a unit. NULL where it depends on the figure. */
static const char *suffix_of(struct arena *arena, const struct unit *unit)
{
    bool rounded;
    const char *one = quantity_text(arena, unit->factor, unit, NUMBER_UP, &rounded);
    const char *two = quantity_text(arena, number_multiply(arena, unit->factor, NUMBER_INT(2)),
                                    unit, NUMBER_UP, &rounded);
    return one[0] == '1' && two[0] == '2' && strcmp(one + 1, two + 1) == 0 ? one + 1 : NULL;
}

/* The leaves of a condition, when they are all of one line and the right side is their least or
 * greatest. */
static bool take_leaves(const struct fast *fast, const struct step *step, uint32_t first_test,
                        struct fast_step *shown)
{
    uint32_t count = fast->test_count - first_test;
    shown->any = step->atoms->sort == ATOM_OR;
    for (uint32_t t = first_test + shown->any; t < fast->test_count; t++) {
        const struct fast_test *test = &fast->tests[t];
        if (test->sort == FAST_ANY || test->slots[0] != shown->slot || test->count != 1 ||
            test->sort == FAST_VALUES) {
            return false;
        }
    }
    shown->test_count = (uint16_t)(count - shown->any);
    return shown->test_count > 0 && shown->test_count == count - shown->any;
}

/* The limit, where it is the same at each place. */
static void fixed_limit(struct fast_making *making, uint32_t index, struct fast_step *shown)
{
    struct arena *arena = making->arena;
    const struct fast_test *test = &making->fast->tests[index];
    const struct fast_linear *linear = making->fast->shown[index];
    if (shown->test_count != 1 || test->placed || !linear->c[0]) {
        return;
    }
    struct number bound = number_multiply(
        arena, number_make(arena, -linear->b, 1), making->scales[shown->slot]);
    bound = number_divide(arena, bound, number_make(arena, linear->c[0], 1));
    bool rounded;
    const char *text = quantity_text(arena, bound, shown->unit,
                                     shown->upper ? NUMBER_DOWN : NUMBER_UP, &rounded);
    shown->limit = rounded ? text_format(arena, "%s (rounded)", text) : text;
    shown->limit_text = csv_text(arena, shown->limit);
}

/* A product's value in millionths of the unit that it is shown in. */
static bool product_scale(struct fast_making *making, const struct condition *condition,
                          struct fast_step *shown)
{
    struct arena *arena = making->arena;
    shown->unit = judge_condition_unit(condition);
    struct number scale = number_multiply(arena, making->scales[shown->slot],
                                          NUMBER_INT(FAST_MILLION));
    scale = number_divide(arena, scale, shown->unit->factor);
    if (scale.den < 1 || scale.den > FAST_MILLION * INT64_C(1000000)) {
        return false;
    }
    shown->over = scale.num;
    shown->under = scale.den;
    return (unsigned __int128)making->greatest[shown->slot] * (unsigned __int128)scale.num <
           (unsigned __int128)1 << 62;
}

static bool show_figure(struct fast_making *making, const struct step *step, uint32_t first_test,
                        struct fast_step *shown)
{
    const struct condition *condition = step->source;
    const struct expression *left = condition->left;
    const struct fast *fast = making->fast;
    if (fast->test_count == first_test || has_measure(condition->right)) {
        return false;
    }
    shown->upper = relation_is_upper(condition->relation);
    if (left->sort == EXPRESSION_MEASURE) {
        int32_t slot = slot_of_measure(making->docket->kind, left->measure);
        if (slot < 0) {
            return false;
        }
        shown->slot = (uint8_t)slot;
        shown->unit = making->units[slot];
        shown->name = left->measure->name;
    } else if (left->sort == EXPRESSION_RECKONED) {
        uint8_t slot = fast->tests[fast->test_count - 1].slots[0];
        shown->product = true;
        shown->slot = slot;
        shown->name = left->reckon->name;
        if (making->docket->variables[slot].sort != VARIABLE_PRODUCT ||
            !product_scale(making, condition, shown)) {
            return false;
        }
    } else {
        return false;
    }
    if (!take_leaves(fast, step, first_test, shown)) {
        return false;
    }
    fixed_limit(making, first_test + shown->any, shown);
    const char *suffix = suffix_of(making->arena, shown->unit);
    shown->suffix = csv_text(making->arena, suffix ? suffix : "");
    return suffix && (!shown->product || shown->limit);
}

void fast_show(struct fast_making *making, const struct step *step, uint32_t first_test,
               struct fast_step *shown)
{
    struct arena *arena = making->arena;
    const struct condition *condition = step->source;
    *shown = (struct fast_step){.show = FAST_SHOW_NOTHING};
    if (condition->sort == CONDITION_RELEASE) {
        return;
    }
    if (condition->sort == CONDITION_AMONG) {
        shown->show = FAST_SHOW_VALUES;
        shown->slot = (uint8_t)step->record;
        shown->name = condition->observation->name;
        shown->limit = values_text(arena, condition->observation, condition->values);
        shown->limit_text = csv_text(arena, shown->limit);
    } else if (step->sort == STEP_ATOMS && show_figure(making, step, first_test, shown)) {
        shown->show = FAST_SHOW_FIGURE;
    } else {
        shown->show = FAST_SHOW_SLOWLY;
        return;
    }
    shown->leaves = first_test + shown->any;
    const char *const parts[] = {",", csv_text(arena, shown->name).bytes, ","};
    shown->before = join(arena, parts, 3);
}

/* ---- what stands around it ------------------------------------------------------------------ */

void fast_dress(struct arena *arena, const struct book *book, const struct fast_limit *limit,
                uint32_t outcome, struct fast_line *line)
{
    const struct outcome *gives = &book->scale[outcome];
    const char *const head[] = {",",
                                csv_text(arena, gives->name).bytes,
                                gives->flight ? ",yes,," : ",no,,",
                                csv_text(arena, limit->zone_name).bytes,
                                ",",
                                csv_text(arena, line->rule).bytes};
    const char *const tail[] = {",", csv_text(arena, line->source).bytes, ",\n"};
    line->head = join(arena, head, 6);
    line->tail = join(arena, tail, 3);
}
