/* How a condition of the fast table is shown: the same words and figures as the general road's. */
#include <string.h>

#include "base/text.h"
#include "sweep/fast.h"

/* ---- texts ------------------------------------------------------------------------------- */

const char *fast_csv_text(struct arena *arena, const char *text)
{
    if (!strpbrk(text, ",\"\n\r")) {
        return text;
    }
    struct text quoted;
    text_begin(&quoted, arena);
    text_add_char(&quoted, '"');
    for (size_t i = 0; text[i]; i++) {
        text_add_bytes(&quoted, "\"\"", text[i] == '"');
        text_add_char(&quoted, text[i]);
    }
    text_add_char(&quoted, '"');
    return text_done(&quoted);
}

struct fast_text fast_text_keep(struct fast_making *making, const char *const *parts, size_t count)
{
    struct fast *fast = making->fast;
    struct text text;
    text_begin(&text, making->arena);
    for (size_t i = 0; i < count; i++) {
        text_add(&text, parts[i] ? parts[i] : "");
    }
    const char *bytes = text_done(&text);
    struct fast_text kept = {fast->text_size, (uint32_t)text.size};
    uint64_t hash = text.size;
    for (size_t i = 0; i < text.size; i++) {
        hash = (hash ^ (unsigned char)bytes[i]) * UINT64_C(0x100000001b3);
    }
    struct fast_text *known = &fast->known[(hash >> 32) % FAST_TEXTS];
    if (text.size && known->size == text.size &&
        memcmp(fast->texts + known->at, bytes, text.size) == 0) {
        return *known;
    }
    *known = kept;
    size_t wanted = fast->text_size + text.size + FAST_SPARE;
    if (wanted > fast->text_capacity) {
        fast->texts = arena_grow_array(making->arena, fast->texts, fast->text_size, 2 * wanted, 1);
        fast->text_capacity = 2 * wanted;
    }
    memcpy(fast->texts + fast->text_size, bytes, text.size);
    fast->text_size += (uint32_t)text.size;
    return kept;
}

/* ---- conditions ----------------------------------------------------------------------------- */

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
                        struct fast_step *made)
{
    made->any = step->atoms->sort == ATOM_OR;
    made->leaves = first_test + made->any;
    uint32_t count = fast->test_count - made->leaves;
    for (uint32_t t = made->leaves; t < fast->test_count; t++) {
        if (fast->tests[t].sort != FAST_ONE || fast->tests[t].slots != made->slot) {
            return false;
        }
    }
    made->test_count = (uint8_t)count;
    return count > 0 && count <= UINT8_MAX;
}

/* The limit, where it is the same at each place. */
static void fixed_limit(struct fast_making *making, const struct fast_step *made,
                        struct fast_shown *shown)
{
    struct arena *arena = making->arena;
    const struct fast_test *test = &making->fast->tests[made->leaves];
    if (made->test_count != 1 || test->map || !test->own.c) {
        return;
    }
    struct number bound = number_multiply(arena, number_make(arena, test->strict - test->own.b, 1),
                                          making->scales[made->slot]);
    bound = number_divide(arena, bound, number_make(arena, test->own.c, 1));
    bool rounded;
    const char *text =
        quantity_text(arena, bound, shown->unit, made->upper ? NUMBER_DOWN : NUMBER_UP, &rounded);
    shown->limit = figure_marked(arena, text, rounded);
}

/* The unit that a product is shown in: the one in which its first factor was read, where that is of its sort. */
static const struct unit *product_unit(const struct fast_making *making,
                                       const struct condition *condition)
{
    const struct unit *unit = judge_condition_unit(condition);
    const struct measure *first = expression_first_measure(condition->left);
    int32_t slot = first ? kind_measure_position(making->docket->kind, first) : -1;
    return slot >= 0 && dimension_equal(making->units[slot]->dimension, unit->dimension)
               ? making->units[slot]
               : unit;
}

/* A product's value in millionths of the unit that it is shown in. */
static bool product_scale(struct fast_making *making, const struct condition *condition,
                          uint32_t slot, struct fast_shown *shown)
{
    struct arena *arena = making->arena;
    shown->unit = product_unit(making, condition);
    struct number scale = number_multiply(arena, making->scales[slot], NUMBER_INT(FAST_MILLION));
    scale = number_divide(arena, scale, shown->unit->factor);
    if (scale.den < 1 || scale.den > FAST_MILLION * INT64_C(1000000)) {
        return false;
    }
    shown->over = scale.num;
    shown->under = scale.den;
    return (unsigned __int128)making->greatest[slot] * (unsigned __int128)scale.num <
           (unsigned __int128)1 << 62;
}

static bool show_figure(struct fast_making *making, const struct step *step, uint32_t first_test,
                        struct fast_step *made, struct fast_shown *shown)
{
    const struct condition *condition = step->source;
    const struct expression *left = condition->left;
    const struct fast *fast = making->fast;
    if (fast->test_count == first_test || has_measure(condition->right)) {
        return false;
    }
    made->upper = relation_is_upper(condition->relation);
    if (left->sort == EXPRESSION_MEASURE) {
        int32_t slot = kind_measure_position(making->docket->kind, left->measure);
        if (slot < 0) {
            return false;
        }
        made->slot = (uint8_t)slot;
        shown->unit = making->units[slot];
        shown->name = left->measure->name;
    } else if (left->sort == EXPRESSION_RECKONED) {
        uint8_t slot = fast->tests[fast->test_count - 1].slots;
        made->product = true;
        made->slot = slot;
        shown->name = left->reckon->name;
        if (slot >= FAST_SLOTS || making->docket->variables[slot].sort != VARIABLE_PRODUCT ||
            !product_scale(making, condition, slot, shown)) {
            return false;
        }
    } else {
        return false;
    }
    if (!take_leaves(fast, step, first_test, made)) {
        return false;
    }
    fixed_limit(making, made, shown);
    if (making->known_unit != shown->unit) {
        making->known_unit = shown->unit;
        making->known_suffix = suffix_of(making->arena, shown->unit);
    }
    shown->suffix = making->known_suffix;
    return shown->suffix && (!made->product || shown->limit);
}

static void take_texts(struct fast_making *making, struct fast_step *made,
                       const struct fast_shown *shown)
{
    struct arena *arena = making->arena;
    const char *name = fast_csv_text(arena, shown->name);
    const char *limit = shown->limit ? fast_csv_text(arena, shown->limit) : "";
    const char *suffix = shown->suffix ? shown->suffix : "";
    const char *const parts[] = {",", name, ",", suffix, limit};
    if (strlen(name) + 2 > UINT8_MAX || strlen(suffix) > UINT8_MAX || strlen(limit) > UINT16_MAX) {
        made->show = FAST_SHOW_SLOWLY;
        return;
    }
    made->text = fast_text_keep(making, parts, 5).at;
    made->before_size = (uint8_t)(strlen(name) + 2);
    made->suffix_size = (uint8_t)strlen(suffix);
    made->limit_size = (uint16_t)strlen(limit);
}

void fast_show(struct fast_making *making, const struct step *step, uint32_t first_test,
               struct fast_step *made, struct fast_shown *shown)
{
    const struct condition *condition = step->source;
    *made = (struct fast_step){.show = FAST_SHOW_NOTHING};
    *shown = (struct fast_shown){.name = NULL};
    if (condition->sort == CONDITION_RELEASE) {
        return;
    }
    if (condition->sort == CONDITION_AMONG) {
        made->show = FAST_SHOW_VALUES;
        made->slot = (uint8_t)step->record;
        shown->name = condition->observation->name;
        shown->limit = values_text(making->arena, condition->observation, condition->values);
    } else if (step->sort == STEP_ATOMS && show_figure(making, step, first_test, made, shown)) {
        made->show = FAST_SHOW_FIGURE;
    } else {
        made->show = FAST_SHOW_SLOWLY;
        return;
    }
    take_texts(making, made, shown);
}
