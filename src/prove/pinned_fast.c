/* A change made in place in a checked book: what it reaches, and the few dockets that it touches. */
#include <string.h>

#include "prove/pinned.h"

/* ---- what a change reaches ------------------------------------------------------------- */

struct sought {
    const struct curve *curve;
    const struct reckon *reckon;
    const struct zone *zone;
};

static bool zone_uses(const struct zone *zone, const struct zone *sought)
{
    bool uses = zone && zone == sought;
    for (uint32_t i = 0; zone && !uses && i < zone->outside_count; i++) {
        uses = zone_uses(zone->outside[i], sought);
    }
    return uses;
}

static bool uses(const struct expression *expression, const struct sought *sought);

static bool aggregate_uses(const struct aggregate *aggregate, const struct sought *sought)
{
    bool found = zone_uses(aggregate->zone, sought->zone) || uses(aggregate->value, sought) ||
                 uses(aggregate->distance, sought) || uses(aggregate->pair, sought) ||
                 uses(aggregate->pair_limit, sought);
    for (uint32_t i = 0; !found && i < aggregate->filter_count; i++) {
        found = uses(aggregate->filters[i].left, sought);
    }
    return found;
}

static bool uses(const struct expression *expression, const struct sought *sought)
{
    if (!expression) {
        return false;
    }
    if ((expression->curve && expression->curve == sought->curve) ||
        (expression->aggregate && aggregate_uses(expression->aggregate, sought)) ||
        (expression->reckon &&
         (expression->reckon == sought->reckon || uses(expression->reckon->value, sought)))) {
        return true;
    }
    return uses(expression->left, sought) || uses(expression->right, sought);
}

static bool limit_uses(const struct limit *limit, const struct sought *sought)
{
    if (zone_uses(limit->zone, sought->zone)) {
        return true;
    }
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        for (uint32_t c = 0; c < limit->rungs[r].condition_count; c++) {
            const struct condition *condition = &limit->rungs[r].conditions[c];
            if (uses(condition->left, sought) || uses(condition->right, sought)) {
                return true;
            }
        }
    }
    return false;
}

static void add_kinds(struct reach *reach, const struct limit *limit)
{
    for (uint32_t i = 0; i < limit->kind_count; i++) {
        reach->kinds[limit->kinds[i]->index / 64] |= UINT64_C(1) << limit->kinds[i]->index % 64;
    }
}

struct reach pinned_reach(struct pinning *pinning, const struct slip *slip)
{
    const struct book *book = pinning->copy.book;
    struct reach reach = {
        .kinds = ARENA_ARRAY(pinning->scratch, uint64_t, book->kind_count / 64 + 1),
        .deadlines = slip->deadline,
    };
    struct sought sought = {0};
    switch (slip->owner) {
    case OWNER_LADDER: {
        const struct written_ladder *ladder = &pinning->slips.ladders[slip->index];
        for (uint32_t i = 0; i < ladder->count; i++) {
            add_kinds(&reach, &book->limits[ladder->first + i]);
        }
        reach.ladder = ladder;
        reach.from = slip->rung;
        return reach;
    }
    case OWNER_CURVE:
        sought.curve = &book->curves[slip->index];
        break;
    case OWNER_RECKON:
        sought.reckon = &book->reckons[slip->index];
        break;
    case OWNER_ZONE:
        sought.zone = &book->zones[slip->index];
        break;
    case OWNER_OUTCOME:
        break;
    }
    for (uint32_t i = 0; i < book->limit_count; i++) {
        if (slip->owner == OWNER_OUTCOME || limit_uses(&book->limits[i], &sought)) {
            add_kinds(&reach, &book->limits[i]);
        }
    }
    return reach;
}

/* Did the finding come to the changed line, or to one below it? */
static bool came_to(const struct judged *judged, const struct reach *reach)
{
    for (uint32_t l = 0; l < judged->docket->limit_count; l++) {
        uint32_t index = judged->docket->limits[l].source->index;
        if (index >= reach->ladder->first && index - reach->ladder->first < reach->ladder->count &&
            judged->judgement->rungs[l] >> reach->from) {
            return true;
        }
    }
    return false;
}

bool pinned_touches(const struct reach *reach, const struct pinned_case *one)
{
    if (reach->deadlines && !one->own.asks_deadline) {
        return false;
    }
    for (uint32_t i = one->own.first; i < one->own.count; i++) {
        const struct judged *judged = &one->judged[i - one->own.first];
        uint32_t kind = one->own.findings[i]->kind->index;
        if (reach->kinds[kind / 64] >> kind % 64 & 1 &&
            (!reach->ladder || judged->judgement->budget_hit || came_to(judged, reach))) {
            return true;
        }
    }
    return false;
}

/* ---- where a change stands in the checked book --------------------------------------------- */

static bool same_span(struct span a, struct span b)
{
    return a.source == b.source && a.from == b.from && a.to == b.to;
}

/* The copy of the book is this one's own: only the pointers in it are to what is constant. */
static struct expression *own_expression(const struct expression *expression)
{
    return (struct expression *)(uintptr_t)expression;
}

/* A figure within an expression as written; not in what is named, or in a question about company. */
static struct expression *find_figure(const struct expression *expression, struct span span)
{
    if (!expression) {
        return NULL;
    }
    if (expression->sort == EXPRESSION_FIGURE) {
        return same_span(expression->span, span) ? own_expression(expression) : NULL;
    }
    struct expression *left = find_figure(expression->left, span);
    return left ? left : find_figure(expression->right, span);
}

static bool find_in_line(struct fast *fast)
{
    const struct slip *slip = fast->slip;
    for (uint32_t c = 0; c < fast->line->condition_count; c++) {
        struct condition *condition = &fast->line->conditions[c];
        if (condition->sort != CONDITION_COMPARE) {
            continue;
        }
        if (slip->bound && same_span(condition->right->span, slip->bound->limit->span)) {
            fast->compared = condition;
            return true;
        }
        fast->figure = slip->quantity ? find_figure(condition->right, slip->quantity->span) : NULL;
        if (fast->figure) {
            return true;
        }
    }
    return false;
}

/* The value of a point; a station may break the curve, so it is changed in the whole way. */
static bool find_in_curve(struct fast *fast)
{
    struct curve *curve = &fast->pinning->copy.book->curves[fast->slip->index];
    struct span span = fast->slip->quantity->span;
    for (uint32_t i = 0; i < curve->point_count; i++) {
        struct span point = curve->points[i].span;
        if (span.source == point.source && span.from > point.from && span.to <= point.to) {
            fast->value = &curve->points[i].value;
        }
    }
    return fast->value;
}

/* ---- making it --------------------------------------------------------------------------------- */

static void leave_out(struct fast *fast)
{
    struct pinning *pinning = fast->pinning;
    const struct book *book = pinning->copy.book;
    const struct limit *limit = &book->limits[fast->ladder->first];
    fast->shorter = ARENA_ARRAY(pinning->scratch, struct rung, limit->rung_count);
    uint32_t count = 0;
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        if (r != fast->slip->rung) {
            fast->shorter[count++] = limit->rungs[r];
        }
    }
    for (uint32_t i = 0; i < fast->ladder->count; i++) {
        book->limits[fast->ladder->first + i].rungs = fast->shorter;
        book->limits[fast->ladder->first + i].rung_count = count;
    }
}

/* The line's own deadlines stay, and those of its new outcome follow. */
static void shift(struct fast *fast)
{
    const struct book *book = fast->pinning->copy.book;
    const char *name = fast->slip->outcome.text;
    struct rung *line = fast->line;
    size_t capacity = 0;
    uint32_t own = 0;
    const struct tree_tail *tail;
    for (tail = fast->slip->shifted->tails; tail; tail = tail->next) {
        own += case_deadline(tail);
    }
    struct deadline *deadlines = NULL;
    uint32_t count = 0;
    for (uint32_t i = 0; i < own; i++) {
        *ARENA_PUSH(fast->pinning->scratch, deadlines, count, capacity) = line->deadlines[i];
    }
    line->outcome = name ? (uint32_t)book_find_outcome(book, name) : book->no_published_limit;
    for (tail = book->scale[line->outcome].tails; tail; tail = tail->next) {
        if (case_deadline(tail)) {
            *ARENA_PUSH(fast->pinning->scratch, deadlines, count, capacity) =
                (struct deadline){.look_again = tail->sort == TREE_AGAIN_WITHIN,
                                  .value = tail->quantity->value,
                                  .unit = tail->quantity->unit,
                                  .span = tail->span};
        }
    }
    line->deadlines = deadlines;
    line->deadline_count = count;
}

static bool begin_line(struct fast *fast)
{
    struct slip *slip = fast->slip;
    const struct book *book = fast->pinning->copy.book;
    fast->ladder = &fast->pinning->slips.ladders[slip->index];
    fast->line = &book->limits[fast->ladder->first].rungs[slip->rung];
    fast->kept_line = *fast->line;
    if (slip->in_company || slip->deadline) {
        return false;
    }
    if (slip->link) {
        leave_out(fast);
        return true;
    }
    if (slip->shifted) {
        shift(fast);
        return true;
    }
    if (!find_in_line(fast)) {
        return false;
    }
    if (fast->compared) {
        fast->compared->relation = slip->relation;
    } else {
        fast->kept = fast->figure->value;
        fast->figure->value = slip->other.value;
    }
    return true;
}

bool fast_begin(struct fast *fast, struct pinning *pinning, struct slip *slip)
{
    *fast = (struct fast){.pinning = pinning, .slip = slip};
    const struct book *book = pinning->copy.book;
    size_t dockets = (size_t)book->kind_count * book->part_count;
    fast->kept_dockets = ARENA_ARRAY(pinning->scratch, struct docket *, dockets);
    fast->made = ARENA_ARRAY(pinning->scratch, uint64_t, dockets / 64 + 1);
    if (slip->owner == OWNER_LADDER) {
        return begin_line(fast);
    }
    if (slip->owner == OWNER_CURVE && !slip->station && find_in_curve(fast)) {
        fast->kept = *fast->value;
        *fast->value = slip->other.value;
        return true;
    }
    if (slip->owner == OWNER_RECKON) {
        fast->figure = find_figure(book->reckons[slip->index].value, slip->quantity->span);
        if (fast->figure) {
            fast->kept = fast->figure->value;
            fast->figure->value = slip->other.value;
        }
        return fast->figure;
    }
    return false;
}

void fast_compile(struct fast *fast, const struct pinned_case *one, const struct reach *reach)
{
    struct pinning *pinning = fast->pinning;
    const struct book *book = pinning->copy.book;
    for (uint32_t i = one->own.first; i < one->own.count; i++) {
        const struct kind *kind = one->own.findings[i]->kind;
        const struct part *part = one->own.findings[i]->part;
        size_t at = (size_t)kind->index * book->part_count + part->index;
        if (!(reach->kinds[kind->index / 64] >> kind->index % 64 & 1) ||
            fast->made[at / 64] >> at % 64 & 1) {
            continue;
        }
        fast->made[at / 64] |= UINT64_C(1) << at % 64;
        fast->kept_dockets[at] = pinning->plan.dockets[at];
        pinning->plan.dockets[at] =
            plan_docket_make(pinning->scratch, pinning->scratch, book, kind, part);
    }
}

void fast_end(struct fast *fast)
{
    struct pinning *pinning = fast->pinning;
    const struct book *book = pinning->copy.book;
    size_t dockets = (size_t)book->kind_count * book->part_count;
    for (size_t at = 0; at < dockets; at++) {
        if (fast->made[at / 64] >> at % 64 & 1) {
            pinning->plan.dockets[at] = fast->kept_dockets[at];
        }
    }
    if (fast->compared) {
        fast->compared->relation = fast->slip->bound->relation;
    }
    if (fast->figure) {
        fast->figure->value = fast->kept;
    }
    if (fast->value) {
        *fast->value = fast->kept;
    }
    if (fast->shorter) {
        const struct limit *first = &book->limits[fast->ladder->first];
        uint32_t count = first->rung_count + 1;
        for (uint32_t i = 0; i < fast->ladder->count; i++) {
            struct limit *limit = &book->limits[fast->ladder->first + i];
            limit->rungs = fast->line - fast->slip->rung;
            limit->rung_count = count;
        }
    } else if (fast->line) {
        *fast->line = fast->kept_line;
    }
}
