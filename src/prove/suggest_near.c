/* A finding near to that of an example which tells a slip apart. */
#include <string.h>

#include "base/text.h"
#include "prove/suggest.h"

#define NEAR_TRIES 60u /* findings judged for one slip */

/* A reading or a place on an axis put in place of what a template says. */
struct put {
    const char *name, *value;
};

/* ---- writing a line ------------------------------------------------------------------- */

static const struct tree_reading *reading_of(const struct tree_reading *list, const char *name)
{
    const struct tree_reading *found = NULL;
    for (; list; list = list->next) {
        if (list->name.text && strcmp(list->name.text, name) == 0) {
            found = list;
        }
    }
    return found;
}

static const char *put_of(const struct put *puts, uint32_t count, const char *name)
{
    const char *value = NULL;
    for (uint32_t i = 0; i < count; i++) {
        value = strcmp(puts[i].name, name) == 0 ? puts[i].value : value;
    }
    return value;
}

static bool is_plain(const struct tree_reading *list)
{
    for (; list; list = list->next) {
        if (!list->name.text || list->sort == TREE_READ_NEW || list->sort == TREE_READ_WAS ||
            list->sort == TREE_READ_FIRST || list->sort == TREE_READ_MISSING) {
            return false;
        }
    }
    return true;
}

static void add_place(struct arena *arena, struct text *text, const struct tree_place *place,
                      const struct tree_reading *with, const struct put *puts, uint32_t count)
{
    const char *value = put_of(puts, count, place->name.text);
    const struct tree_reading *other = reading_of(with, place->name.text);
    if (value) {
        text_addf(text, " %s %s", place->name.text, value);
    } else {
        text_addf(text, " %s", span_text(arena, other ? other->span : place->span));
    }
}

/* The template's finding with its `with` and what is put in; NULL where it is not plain. */
static const char *write_line(struct arena *arena, const struct template_line *template,
                              const struct put *puts, uint32_t count)
{
    const struct tree_finding *line = template->gives->finding;
    const struct tree_reading *with = template->gives->with;
    struct text text;
    text_begin(&text, arena);
    if (!line || line->times != 1 || !is_plain(line->readings) || !is_plain(with)) {
        return NULL;
    }
    text_addf(&text, "%s%s%s %s", line->part.text, line->instance.text ? " " : "",
              line->instance.text ? line->instance.text : "", line->kind.text);
    text_add(&text, line->places ? " at" : "");
    for (const struct tree_place *place = line->places; place; place = place->next) {
        add_place(arena, &text, place, with, puts, count);
    }
    for (const struct tree_reading *reading = line->readings; reading; reading = reading->next) {
        const char *value = put_of(puts, count, reading->name.text);
        const struct tree_reading *other = reading_of(with, reading->name.text);
        if (value) {
            text_addf(&text, ", %s %s", reading->name.text, value);
        } else {
            text_addf(&text, ", %s", span_text(arena, other ? other->span : reading->span));
        }
    }
    for (; with; with = with->next) {
        bool place = false;
        for (const struct tree_place *own = line->places; own; own = own->next) {
            place |= strcmp(own->name.text, with->name.text) == 0;
        }
        if (place || reading_of(line->readings, with->name.text)) {
            continue;
        }
        const char *value = put_of(puts, count, with->name.text);
        if (value) {
            text_addf(&text, ", %s %s", with->name.text, value);
        } else {
            text_addf(&text, ", %s", span_text(arena, with->span));
        }
    }
    return text_done(&text);
}

/* ---- trying one ------------------------------------------------------------------------- */

/* Judges a line by both books: true when one outcome becomes another. */
static bool try_line(struct near *near, const char *line, struct found *now)
{
    struct suggestions *suggestions = near->suggestions;
    const struct book *book = suggestions->ready->book;
    const struct tree_example *example =
        line ? suggestion_read(suggestions->scratch, book, line, book->scale[0].name) : NULL;
    if (!example) {
        return false;
    }
    near->tries++;
    struct example_case one, other;
    *now = suggestion_run(suggestions, suggestions->ready, example, &one);
    if (one.count != 1) {
        *now = (struct found){0};
        return false;
    }
    struct found then = suggestion_run(suggestions, near->changed, example, &other);
    bool single = now->possible && !(now->possible & (now->possible - 1));
    if (single && now->possible != then.possible) {
        near->text = line;
        return true;
    }
    return false;
}

static bool try_value(struct near *near, const struct template_line *template,
                      const struct put *puts, uint32_t count, const struct measure *measure,
                      struct number value, const struct unit *unit)
{
    struct arena *scratch = near->suggestions->scratch;
    struct put more[8];
    struct found found;
    bool rounded;
    if (near->tries >= NEAR_TRIES || number_compare(scratch, value, measure->from) < 0 ||
        number_compare(scratch, measure->to, value) < 0) {
        return false;
    }
    for (uint32_t i = 0; i < count; i++) {
        more[i] = puts[i];
    }
    more[count].name = measure->name;
    more[count].value = quantity_text(scratch, value, measure->unit, NUMBER_DOWN, &rounded);
    if (rounded) { /* 6 mm is no round figure in inches */
        more[count].value = quantity_text(scratch, value, unit, NUMBER_DOWN, &rounded);
    }
    return !rounded && try_line(near, write_line(scratch, template, more, count + 1), &found);
}

/* At a bound, and a step to each side of it; a bound between two steps lies between them. */
static bool try_bound(struct near *near, const struct template_line *template,
                      const struct put *puts, uint32_t count, const struct measure *measure,
                      struct number bound, const struct unit *unit)
{
    struct arena *scratch = near->suggestions->scratch;
    bool stepped = measure->stepping != TREE_STEP_NONE;
    struct number step =
        stepped ? measure->step : number_divide(scratch, measure->unit->factor, NUMBER_INT(100));
    struct number down = number_round_to(scratch, bound, step, NUMBER_DOWN);
    struct number up = number_round_to(scratch, bound, step, NUMBER_UP);
    return try_value(near, template, puts, count, measure, bound, unit) ||
           try_value(near, template, puts, count, measure, down, unit) ||
           try_value(near, template, puts, count, measure, up, unit) ||
           try_value(near, template, puts, count, measure, number_add(scratch, down, step), unit) ||
           try_value(near, template, puts, count, measure, number_subtract(scratch, up, step),
                     unit);
}

/* ---- what a condition compares ------------------------------------------------------------- */

static const struct expression *written_out(const struct expression *expression)
{
    while (expression && expression->sort == EXPRESSION_RECKONED) {
        expression = expression->reckon->value;
    }
    return expression;
}

/* The unit in which a bound is written, or else another. */
static const struct unit *unit_in(const struct expression *expression, const struct unit *other)
{
    if (!expression) {
        return other;
    }
    if (expression->sort == EXPRESSION_CURVE) {
        return expression->curve->unit;
    }
    if (expression->sort == EXPRESSION_FIGURE &&
        dimension_equal(expression->dimension, other->dimension)) {
        return expression->unit;
    }
    return unit_in(expression->right, unit_in(expression->left, other));
}

/* The value of a measure in the one world of a judged finding; false where it is not recorded. */
static bool value_of(const struct judged *judged, const struct measure *measure,
                     struct number *value)
{
    const struct kind *kind = judged->docket->kind;
    for (uint32_t r = 0; r < kind->record_count; r++) {
        if (kind->records[r].measure == measure) {
            *value = judged->judgement->witness.readings[r];
            return true;
        }
    }
    return false;
}

/* One side of a comparison as it came out: a reading is moved to where the other side is. */
static bool try_condition(struct near *near, const struct template_line *template,
                          const struct put *puts, uint32_t count, const struct judged *judged,
                          const struct plan_limit *limit, const struct step *step)
{
    struct arena *scratch = near->suggestions->scratch;
    const struct expression *left = written_out(step->source->left);
    if (step->sort != STEP_ATOMS || !left) {
        return false;
    }
    struct condition_result result =
        judge_condition(scratch, judged->docket, limit, step, &judged->judgement->witness);
    if (!result.numeric) {
        return false;
    }
    if (left->sort == EXPRESSION_MEASURE) {
        return try_bound(near, template, puts, count, left->measure, result.right,
                         unit_in(step->source->right, left->measure->unit));
    }
    if (left->sort == EXPRESSION_MULTIPLY) {
        const struct expression *a = written_out(left->left), *b = written_out(left->right);
        struct number factor;
        return a->sort == EXPRESSION_MEASURE && b->sort == EXPRESSION_MEASURE &&
               value_of(judged, a->measure, &factor) && number_sign(factor) > 0 &&
               try_bound(near, template, puts, count, b->measure,
                         number_divide(scratch, result.right, factor), b->measure->unit);
    }
    return false;
}

/* ---- the search ------------------------------------------------------------------------------- */

static bool is_sought(const struct near *near, const struct limit *limit, uint32_t rung)
{
    const struct slip *slip = near->slip;
    const struct written_ladder *ladder = &near->suggestions->ladders[slip->index];
    return slip->owner != OWNER_LADDER || (rung == slip->rung && limit->index >= ladder->first &&
                                           limit->index - ladder->first < ladder->count);
}

static bool try_conditions(struct near *near, const struct template_line *template,
                           const struct put *puts, uint32_t count, const struct found *now)
{
    const struct judged *judged = &now->worst;
    for (uint32_t l = 0; judged->judgement && l < judged->docket->limit_count; l++) {
        const struct plan_limit *limit = &judged->docket->limits[l];
        if (!judged->judgement->rungs[l]) {
            continue;
        }
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            for (uint32_t s = 0;
                 is_sought(near, limit->source, r) && s < limit->rungs[r].step_count; s++) {
                if (try_condition(near, template, puts, count, judged, limit,
                                  &limit->rungs[r].steps[s])) {
                    return true;
                }
            }
        }
    }
    return false;
}

static bool try_with(struct near *near, const struct template_line *template,
                     const struct put *puts, uint32_t count)
{
    struct found now = {0};
    const char *line = write_line(near->suggestions->scratch, template, puts, count);
    return near->tries < NEAR_TRIES && line &&
           (try_line(near, line, &now) || try_conditions(near, template, puts, count, &now));
}

/* The axis along which a slip lies, or NULL. */
static const char *axis_of(const struct near *near)
{
    const struct book *book = near->suggestions->ready->book;
    if (near->slip->owner == OWNER_CURVE) {
        return book->curves[near->slip->index].axis;
    }
    return near->slip->owner == OWNER_ZONE ? near->slip->axis : NULL;
}

/* On the axis: the place of the point or of the end, then what it would be. */
static bool try_places(struct near *near, const struct template_line *template, const char *axis)
{
    struct arena *scratch = near->suggestions->scratch;
    const struct slip *slip = near->slip;
    const struct tree_quantity *places[2] = {slip->at,
                                             slip->quantity == slip->at ? &slip->other : NULL};
    for (uint32_t i = 0; i < 2 && places[i]; i++) {
        bool rounded;
        struct put put = {.name = axis};
        put.value = quantity_text(scratch, places[i]->value, slip->at->unit, NUMBER_DOWN, &rounded);
        if (!rounded && try_with(near, template, &put, 1)) {
            return true;
        }
    }
    return false;
}

bool near_find(struct near *near, const struct template_line *templates, uint32_t count)
{
    const struct book *book = near->suggestions->ready->book;
    const char *axis = axis_of(near);
    for (uint32_t i = 0; i < count && near->tries < NEAR_TRIES; i++) {
        const struct tree_finding *line = templates[i].gives->finding;
        const struct kind *kind = line ? book_find_kind(book, line->kind.text) : NULL;
        if (!kind || !(near->kinds[kind->index / 64] >> kind->index % 64 & 1)) {
            continue;
        }
        struct arena_mark mark = arena_mark(near->suggestions->scratch);
        if ((axis && try_places(near, &templates[i], axis)) ||
            try_with(near, &templates[i], NULL, 0)) {
            return true;
        }
        arena_release(near->suggestions->scratch, mark);
    }
    return false;
}
