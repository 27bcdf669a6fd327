/* Listing the slips of a book, and making one. */
#include "prove/slip.h"

#include <string.h>

#include "base/text.h"
#include "verdict/verdict.h"

struct lister {
    struct arena *arena;
    const struct book *book;
    struct slips *slips;
    /* of the figure to come: */
    enum owner_sort owner;
    uint32_t index, rung;
    bool in_company, station, deadline;
    const struct tree_quantity *at;
    const char *axis;
    const struct measure *measure; /* what it is held against, or NULL */
};

static struct slip *add(struct lister *lister, enum stave_slip_sort sort, struct span span)
{
    struct slips *slips = lister->slips;
    struct slip *slip = ARENA_PUSH(lister->arena, slips->items, slips->count, slips->capacity);
    *slip = (struct slip){.sort = sort,
                          .span = span,
                          .now = "",
                          .figure = SLIP_NO_FIGURE,
                          .owner = lister->owner,
                          .index = lister->index,
                          .rung = lister->rung,
                          .in_company = lister->in_company,
                          .station = lister->station,
                          .deadline = lister->deadline,
                          .at = lister->at,
                          .axis = lister->axis};
    return slip;
}

/* ---- figures ------------------------------------------------------------------------- */

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* The figure alone, without its unit: "1 1/16" of "1 1/16 in". */
static struct span figure_span(struct span span)
{
    const char *bytes = span.source->bytes;
    uint32_t at = span.from, end = span.from;
    while (at < span.to && (is_digit(bytes[at]) || bytes[at] == '.' || bytes[at] == '/')) {
        end = ++at;
    }
    while (at < span.to && (bytes[at] == ' ' || bytes[at] == '\t')) {
        at++;
    }
    uint32_t start = at;
    bool fraction = false;
    while (at < span.to && (is_digit(bytes[at]) || bytes[at] == '/')) {
        fraction |= bytes[at++] == '/';
    }
    span.to = fraction && at > start ? at : end;
    return span;
}

/* One in the last digit that is written: 0.01 for "0.50", 1/16 for "3/16". */
static struct number last_digit(struct arena *arena, struct span span)
{
    const char *bytes = span.source->bytes;
    struct number step = NUMBER_INT(1);
    int64_t parts = 0;
    bool point = false, slash = false;
    for (uint32_t i = span.from; i < span.to; i++) {
        if (point && is_digit(bytes[i])) {
            step = number_divide(arena, step, NUMBER_INT(10));
        }
        if (slash && is_digit(bytes[i])) {
            parts = 10 * parts + (bytes[i] - '0');
        }
        point |= bytes[i] == '.';
        slash |= bytes[i] == '/';
    }
    return parts > 0 ? number_make(arena, 1, parts) : step;
}

/* As it can be typed, or NULL. */
static const char *typed(struct arena *arena, struct number figure)
{
    bool rounded;
    const char *text = number_decimal(arena, figure, 14, NUMBER_DOWN, &rounded);
    return rounded || strlen(text) > NUMBER_DIGITS ? NULL : text;
}

/* Sets what the quantity becomes; false where that cannot be typed. `step` is in base units. */
static bool nudge(struct lister *lister, struct slip *slip, struct number step,
                  const struct unit *step_unit, bool up)
{
    struct arena *arena = lister->arena;
    struct tree_quantity *quantity = slip->quantity;
    const struct unit *unit = quantity->unit ? quantity->unit : unit_none();
    struct number value = up ? number_add(arena, quantity->value, step)
                             : number_subtract(arena, quantity->value, step);
    value = number_greatest(arena, value, NUMBER_ZERO);
    slip->other = *quantity;
    slip->other.value = value;
    slip->other.figure = number_divide(arena, value, unit->factor);
    slip->now = typed(arena, slip->other.figure);
    slip->span = figure_span(quantity->span);
    if (slip->now || !step_unit || step_unit == unit) {
        return slip->now;
    }
    slip->other.figure = number_divide(arena, value, step_unit->factor);
    slip->other.unit = step_unit;
    slip->now = typed(arena, slip->other.figure);
    slip->now = slip->now ? text_format(arena, "%s %s", slip->now, step_unit->name) : NULL;
    slip->span = quantity->span;
    return slip->now;
}

static void add_nudge(struct lister *lister, struct tree_quantity *quantity, struct number step,
                      const struct unit *step_unit, bool up)
{
    struct arena *arena = lister->arena;
    const struct unit *unit = quantity->unit ? quantity->unit : unit_none();
    struct slip *slip = add(lister, up ? STAVE_FIGURE_UP : STAVE_FIGURE_DOWN, quantity->span);
    slip->quantity = quantity;
    slip->figure = lister->slips->figure_count - 1;
    struct number digit =
        number_multiply(arena, last_digit(arena, figure_span(quantity->span)), unit->factor);
    if (!nudge(lister, slip, step, step_unit, up) && !nudge(lister, slip, digit, NULL, up)) {
        lister->slips->count--; /* more digits than a figure may have */
    }
}

/* `step` of zero: one in its last digit. */
static void add_figure(struct lister *lister, struct tree_quantity *quantity, struct number step,
                       const struct unit *step_unit)
{
    struct arena *arena = lister->arena;
    struct slips *slips = lister->slips;
    const struct unit *unit = quantity->unit ? quantity->unit : unit_none();
    if (number_sign(step) == 0) {
        step = number_multiply(arena, last_digit(arena, figure_span(quantity->span)), unit->factor);
    }
    bool can_fall = number_sign(quantity->value) > 0;
    *ARENA_PUSH(arena, slips->figures, slips->figure_count, slips->figure_capacity) =
        (struct figure){.span = quantity->span, .can_fall = can_fall};
    add_nudge(lister, quantity, step, step_unit, true);
    if (can_fall) {
        add_nudge(lister, quantity, step, step_unit, false);
    }
}

static void add_plain(struct lister *lister, struct tree_quantity *quantity)
{
    add_figure(lister, quantity, NUMBER_ZERO, NULL);
}

/* ---- names ----------------------------------------------------------------------------- */

static const struct measure *find_measure(const struct book *book, const char *name)
{
    for (uint32_t i = 0; name && i < book->measure_count; i++) {
        if (strcmp(book->measures[i].name, name) == 0) {
            return &book->measures[i];
        }
    }
    return NULL;
}

/* The first measure that is named in an expression. */
static const struct measure *measure_in(const struct book *book, const struct tree_expression *tree)
{
    if (!tree) {
        return NULL;
    }
    const struct measure *own = find_measure(book, tree->name.text);
    const struct measure *left = own ? own : measure_in(book, tree->left);
    return left ? left : measure_in(book, tree->right);
}

static bool names_curve(const struct tree_expression *tree, const char *name)
{
    return tree &&
           ((tree->sort == TREE_NAME && tree->name.text && strcmp(tree->name.text, name) == 0) ||
            names_curve(tree->left, name) || names_curve(tree->right, name));
}

static const struct measure *measure_of(const struct book *book,
                                        const struct tree_condition *condition)
{
    return condition->sort == TREE_APART ? measure_in(book, condition->pair)
                                         : find_measure(book, condition->name.text);
}

static const struct measure *held_in(const struct book *book, const struct tree_rung *rung,
                                     const char *curve)
{
    for (; rung; rung = rung->next) {
        for (const struct tree_condition *condition = rung->conditions; condition;
             condition = condition->next) {
            for (const struct tree_bound *bound = condition->bounds; bound; bound = bound->next) {
                if (names_curve(bound->limit, curve) && measure_of(book, condition)) {
                    return measure_of(book, condition);
                }
            }
        }
    }
    return NULL;
}

/* The first measure that is held against a curve. */
static const struct measure *held_against(const struct book *book, const char *curve)
{
    const struct measure *found = NULL;
    for (uint32_t i = 0; i < book->tree_count && !found; i++) {
        for (const struct tree_limit *limit = book->trees[i]->limits; limit && !found;
             limit = limit->next) {
            found = held_in(book, limit->rungs, curve);
        }
        for (const struct tree_check *check = book->trees[i]->checks; check && !found;
             check = check->next) {
            found = held_in(book, check->rungs, curve);
        }
    }
    return found;
}

/* ---- conditions -------------------------------------------------------------------------- */

static void add_held(struct lister *lister, struct tree_quantity *quantity, bool in_product)
{
    const struct measure *measure = lister->measure;
    const struct unit *unit = quantity->unit ? quantity->unit : unit_none();
    bool stepped = measure && measure->stepping != TREE_STEP_NONE &&
                   dimension_equal(unit->dimension, measure->dimension) &&
                   !(in_product && dimension_is_plain(unit->dimension));
    add_figure(lister, quantity, stepped ? measure->step : NUMBER_ZERO,
               stepped ? measure->step_unit : NULL);
}

static void list_expression(struct lister *lister, struct tree_expression *tree, bool in_product)
{
    if (!tree) {
        return;
    }
    if (tree->sort == TREE_QUANTITY) {
        add_held(lister, tree->quantity, in_product);
        return;
    }
    in_product |= tree->sort == TREE_MULTIPLY || tree->sort == TREE_DIVIDE;
    list_expression(lister, tree->left, in_product);
    list_expression(lister, tree->right, in_product);
}

/* The words of a relation at the start of a bound: "up to". */
static struct span relation_span(struct span span, enum tree_relation relation)
{
    const char *bytes = span.source->bytes;
    uint32_t at = span.from;
    int words = relation == TREE_UP_TO || relation == TREE_AT_LEAST ? 2 : 1;
    for (int word = 0; word < words; word++) {
        while (at < span.to && (bytes[at] == ' ' || bytes[at] == '\t')) {
            at++;
        }
        while (at < span.to && bytes[at] >= 'a' && bytes[at] <= 'z') {
            at++;
        }
    }
    span.to = at;
    return span;
}

static enum tree_relation flipped(enum tree_relation relation)
{
    switch (relation) {
    case TREE_UP_TO:
        return TREE_BELOW;
    case TREE_BELOW:
        return TREE_UP_TO;
    case TREE_AT_LEAST:
        return TREE_OVER;
    case TREE_OVER:
        return TREE_AT_LEAST;
    }
    return relation;
}

static void list_bounds(struct lister *lister, struct tree_bound *bound)
{
    for (; bound; bound = bound->next) {
        struct slip *slip =
            add(lister, STAVE_COMPARISON, relation_span(bound->span, bound->relation));
        slip->bound = bound;
        slip->relation = flipped(bound->relation);
        slip->now = relation_text(slip->relation);
        list_expression(lister, bound->limit, false);
    }
}

static void list_condition(struct lister *lister, struct tree_condition *condition)
{
    struct tree_company *company = condition->company;
    lister->measure = measure_of(lister->book, condition);
    if (condition->sort == TREE_COUNT) {
        add_figure(lister, condition->most, NUMBER_INT(1), NULL);
    }
    lister->in_company = condition->sort == TREE_APART;
    list_bounds(lister, condition->bounds);
    lister->in_company = company;
    lister->measure = NULL;
    list_expression(lister, condition->distance, true);
    if (company && company->scope == TREE_WITHIN_ANY) {
        add_plain(lister, &company->window);
    }
    for (struct tree_condition *filter = company ? company->filters : NULL; filter;
         filter = filter->next) {
        lister->measure = measure_of(lister->book, filter);
        list_bounds(lister, filter->bounds);
    }
    lister->measure = NULL;
    lister->in_company = false;
}

static void list_deadlines(struct lister *lister, struct tree_tail *tail)
{
    for (; tail; tail = tail->next) {
        if (tail->sort == TREE_WITHIN || tail->sort == TREE_AGAIN_WITHIN) {
            lister->deadline = true;
            add_plain(lister, tail->quantity);
            lister->deadline = false;
        }
    }
}

/* ---- lines --------------------------------------------------------------------------------- */

/* Where the outcome is written. `otherwise no published limit` has no word of its own for it. */
static struct span outcome_span(const struct tree_rung *rung)
{
    if (rung->outcome.text) {
        return rung->outcome.span;
    }
    static const char *const words[] = {"otherwise", "no", "published", "limit"};
    struct span span = rung->span;
    const char *bytes = span.source->bytes;
    uint32_t at = span.from, from = span.from;
    for (int word = 0; word < 4; word++) {
        while (bytes[at] == ' ' || bytes[at] == '\t') {
            at++;
        }
        from = word == 1 ? at : from;
        at += (uint32_t)strlen(words[word]);
    }
    span.from = from;
    span.to = at;
    return span;
}

static void add_shift(struct lister *lister, struct tree_rung *rung, int32_t to, bool better)
{
    const struct book *book = lister->book;
    int32_t last = (int32_t)book->no_published_limit;
    if (to < 0 || to > last || (to == last && !rung->otherwise)) {
        return;
    }
    struct slip *slip =
        add(lister, better ? STAVE_OUTCOME_BETTER : STAVE_OUTCOME_WORSE, outcome_span(rung));
    slip->shifted = rung;
    slip->now = to == last ? "no published limit" : book->scale[to].name;
    slip->outcome =
        (struct tree_word){.text = to == last ? NULL : slip->now, .span = outcome_span(rung)};
}

static void list_rungs(struct lister *lister, struct tree_rung **link)
{
    const struct book *book = lister->book;
    for (lister->rung = 0; *link; link = &(*link)->next, lister->rung++) {
        struct tree_rung *rung = *link;
        struct slip *slip = add(lister, STAVE_LINE_LEFT_OUT, rung->span);
        slip->link = link;
        slip->line = rung;
        int32_t outcome = rung->outcome.text ? book_find_outcome(book, rung->outcome.text)
                                             : (int32_t)book->no_published_limit;
        add_shift(lister, rung, outcome - 1, true);
        add_shift(lister, rung, outcome + 1, false);
        for (struct tree_condition *condition = rung->conditions; condition;
             condition = condition->next) {
            list_condition(lister, condition);
        }
        list_deadlines(lister, rung->tails);
    }
    lister->rung = 0;
}

static void add_ladder(struct lister *lister, struct tree_rung **rungs, uint32_t first,
                       uint32_t count)
{
    struct slips *slips = lister->slips;
    lister->owner = OWNER_LADDER;
    lister->index = slips->ladder_count;
    slips->ladders[slips->ladder_count++] =
        (struct written_ladder){.rungs = rungs, .first = first, .count = count};
    list_rungs(lister, rungs);
}

static uint32_t count_words(const struct tree_words *words)
{
    uint32_t count = 0;
    for (; words; words = words->next) {
        count++;
    }
    return count;
}

static void list_ladders(struct lister *lister)
{
    const struct book *book = lister->book;
    uint32_t first = 0, check = book->check_start, count = 0;
    for (uint32_t i = 0; i < book->tree_count; i++) {
        for (struct tree_limit *limit = book->trees[i]->limits; limit; limit = limit->next) {
            count++;
        }
    }
    lister->slips->ladders = ARENA_ARRAY(lister->arena, struct written_ladder,
                                         count + book->kind_count - book->check_start);
    for (uint32_t i = 0; i < book->tree_count; i++) {
        for (struct tree_limit *limit = book->trees[i]->limits; limit; limit = limit->next) {
            count = count_words(limit->zones);
            add_ladder(lister, &limit->rungs, first, count);
            first += count;
        }
    }
    for (uint32_t i = 0; i < book->tree_count; i++) {
        for (struct tree_check *own = book->trees[i]->checks; own; own = own->next) {
            count = book->kinds[check++].part_count;
            add_ladder(lister, &own->rungs, first, count);
            first += count;
        }
    }
}

/* ---- the rest -------------------------------------------------------------------------------- */

static void list_curve(struct lister *lister, struct tree_curve *curve, uint32_t index)
{
    const struct measure *measure = held_against(lister->book, curve->name.text);
    lister->owner = OWNER_CURVE;
    lister->index = index;
    for (struct tree_point *point = curve->points; point; point = point->next) {
        lister->at = &point->at;
        lister->station = true;
        add_plain(lister, &point->at);
        lister->station = false;
        lister->measure = measure;
        add_held(lister, &point->value, false);
    }
    lister->at = NULL;
    lister->measure = NULL;
}

/* From the end of what stands before to the figure: "over " put in or taken out. */
static void add_end(struct lister *lister, struct span before, struct tree_quantity *quantity,
                    bool *open, const char *shut, const char *ajar)
{
    struct span span = {.source = before.source, .from = before.to, .to = quantity->span.from};
    struct slip *slip = add(lister, STAVE_COMPARISON, span);
    slip->open = open;
    slip->now = *open ? shut : ajar;
}

static void list_zone(struct lister *lister, struct tree_zone *zone, uint32_t index)
{
    const struct part *part = lister->book->zones[index].part;
    lister->owner = OWNER_ZONE;
    lister->index = index;
    for (struct tree_zone_range *range = zone->ranges; range; range = range->next) {
        struct number step = NUMBER_ZERO;
        for (uint32_t a = 0; a < part->axis_count; a++) {
            if (strcmp(part->axes[a].name, range->axis.text) == 0 && part->axes[a].has_step) {
                step = part->axes[a].step;
            }
        }
        lister->axis = range->axis.text;
        lister->at = &range->from;
        add_end(lister, range->axis.span, &range->from, &range->from_open, " ", " over ");
        add_figure(lister, &range->from, step, NULL);
        lister->at = &range->to;
        add_end(lister, range->from.span, &range->to, &range->to_open, " .. ", " .. below ");
        add_figure(lister, &range->to, step, NULL);
    }
    lister->at = NULL;
    lister->axis = NULL;
}

static uint32_t zone_index(const struct book *book, const struct tree_zone *zone)
{
    for (uint32_t i = 0; i < book->zone_count; i++) {
        if (!book->zones[i].is_part && strcmp(book->zones[i].name, zone->name.text) == 0) {
            return i;
        }
    }
    return 0;
}

static void list_text(struct lister *lister, const struct tree *tree, uint32_t *curve,
                      uint32_t *reckon)
{
    for (struct tree_curve *own = tree->curves; own; own = own->next) {
        list_curve(lister, own, (*curve)++);
    }
    for (struct tree_reckon *own = tree->reckons; own; own = own->next) {
        lister->owner = OWNER_RECKON;
        lister->index = (*reckon)++;
        list_expression(lister, own->value, true);
    }
    for (struct tree_zone *zone = tree->zones; zone; zone = zone->next) {
        list_zone(lister, zone, zone_index(lister->book, zone));
    }
    for (struct tree_outcome *own = tree->scale ? tree->scale->outcomes : NULL; own;
         own = own->next) {
        lister->owner = OWNER_OUTCOME;
        lister->index = (uint32_t)book_find_outcome(lister->book, own->name.text);
        list_deadlines(lister, own->tails);
    }
}

/* ---- order ------------------------------------------------------------------------------------- */

static bool before(const struct slip *a, const struct slip *b)
{
    if (a->span.source->order != b->span.source->order) {
        return a->span.source->order < b->span.source->order;
    }
    return a->span.from < b->span.from;
}

/* By place in the texts; what stands at one place stays as it was. */
static void sort_slips(struct arena *arena, struct slips *slips)
{
    struct slip *from = slips->items;
    struct slip *to = ARENA_ARRAY(arena, struct slip, slips->count);
    for (size_t width = 1; width < slips->count; width *= 2) {
        for (size_t start = 0; start < slips->count; start += 2 * width) {
            size_t middle = start + width < slips->count ? start + width : slips->count;
            size_t end = middle + width < slips->count ? middle + width : slips->count;
            size_t i = start, j = middle;
            for (size_t k = start; k < end; k++) {
                bool left = j == end || (i < middle && !before(&from[j], &from[i]));
                to[k] = left ? from[i++] : from[j++];
            }
        }
        struct slip *swapped = from;
        from = to;
        to = swapped;
    }
    slips->items = from;
}

void slips_list(struct arena *arena, const struct book *book, struct slips *slips)
{
    struct lister lister = {.arena = arena, .book = book, .slips = slips};
    uint32_t curve = 0, reckon = 0;
    *slips = (struct slips){0};
    list_ladders(&lister);
    for (uint32_t i = 0; i < book->tree_count; i++) {
        list_text(&lister, book->trees[i], &curve, &reckon);
    }
    sort_slips(arena, slips);
}

/* ---- making one -------------------------------------------------------------------------------- */

void slip_apply(struct slip *slip)
{
    if (slip->quantity) {
        struct tree_quantity kept = *slip->quantity;
        *slip->quantity = slip->other;
        slip->other = kept;
    }
    if (slip->bound) {
        enum tree_relation kept = slip->bound->relation;
        slip->bound->relation = slip->relation;
        slip->relation = kept;
    }
    if (slip->open) {
        *slip->open = !*slip->open;
    }
    if (slip->link) {
        *slip->link = *slip->link == slip->line ? slip->line->next : slip->line;
    }
    if (slip->shifted) {
        struct tree_word kept = slip->shifted->outcome;
        slip->shifted->outcome = slip->outcome;
        slip->shifted->no_published_limit = !slip->outcome.text;
        slip->outcome = kept;
    }
}

const char *slip_text(struct arena *arena, const struct slip *slip, size_t *size)
{
    const struct source *source = slip->span.source;
    struct text text;
    text_begin(&text, arena);
    text_add_bytes(&text, source->bytes, slip->span.from);
    text_add(&text, slip->now);
    text_add_bytes(&text, source->bytes + slip->span.to, source->size - slip->span.to);
    *size = text.size;
    return text_done(&text);
}
