/* The worlds of a kind on a part, and its ladders, as functions. */
#include "question/subject.h"

#include <string.h>

#include "book/alike.h"

/* ---- coordinates ---------------------------------------------------------------------- */

static bool is_rounded(const struct measure *measure)
{
    return measure->stepping == TREE_READ_UP_TO || measure->stepping == TREE_READ_NEAREST;
}

/* Which step a reading is compared as, by the words of the language. */
static struct number steps_of(struct arena *arena, const struct measure *measure,
                              struct number reading)
{
    enum number_round how = measure->stepping == TREE_READ_NEAREST ? NUMBER_EVEN
                            : measure->smaller_is_worse            ? NUMBER_DOWN
                                                                   : NUMBER_UP;
    return number_round_whole(arena, number_divide(arena, reading, measure->step), how);
}

static struct coordinate *add(struct subject *subject, enum coordinate_sort sort, const char *name)
{
    struct coordinate *coordinate =
        ARENA_PUSH(subject->arena, subject->coordinates, subject->coordinate_count,
                   subject->coordinate_capacity);
    *coordinate = (struct coordinate){.sort = sort,
                                      .name = name,
                                      .whole = true,
                                      .bounded = true,
                                      .from = NUMBER_ZERO,
                                      .to = NUMBER_ZERO};
    return coordinate;
}

static void add_measure(struct subject *subject, enum coordinate_sort sort,
                        const struct measure *measure)
{
    struct arena *arena = subject->arena;
    const char *before = sort == COORDINATE_WAS ? "was " : sort == COORDINATE_FIRST ? "first " : "";
    for (uint32_t i = 0; i < subject->coordinate_count; i++) {
        if (subject->coordinates[i].sort == sort && subject->coordinates[i].measure == measure) {
            return;
        }
    }
    struct coordinate *made = add(subject, sort, text_format(arena, "%s%s", before, measure->name));
    made->measure = measure;
    made->whole = is_rounded(measure);
    made->from = made->whole ? steps_of(arena, measure, measure->from) : measure->from;
    made->to = made->whole ? steps_of(arena, measure, measure->to) : measure->to;
}

static uint32_t company_number(struct arena *arena, struct companies *companies,
                               const struct aggregate *aggregate)
{
    for (uint32_t i = 0; i < companies->count; i++) {
        if (aggregate_alike(companies->items[i], aggregate, called_alike, NULL)) {
            return i;
        }
    }
    *ARENA_PUSH(arena, companies->items, companies->count, companies->capacity) = aggregate;
    return companies->count - 1;
}

static void add_company(struct subject *subject, const struct aggregate *aggregate)
{
    uint32_t number = company_number(subject->arena, subject->companies, aggregate);
    const char *name = text_format(subject->arena, "company %u", number);
    for (uint32_t i = 0; i < subject->coordinate_count; i++) {
        if (strcmp(subject->coordinates[i].name, name) == 0) {
            return;
        }
    }
    struct coordinate *made = add(subject, COORDINATE_COMPANY, name);
    made->aggregate = aggregate;
    made->whole = aggregate->sort != AGGREGATE_TOTAL && aggregate->sort != AGGREGATE_LARGEST;
    made->bounded = aggregate->sort == AGGREGATE_APART || aggregate->sort == AGGREGATE_FACING;
    made->from = NUMBER_INT(aggregate_counts_itself(aggregate, subject->kind, subject->part));
    made->to = NUMBER_INT(1);
}

static void add_asked(struct subject *subject, const struct expression *expression)
{
    if (!expression) {
        return;
    }
    switch (expression->sort) {
    case EXPRESSION_AGGREGATE:
        add_company(subject, expression->aggregate);
        break;
    case EXPRESSION_GROWTH:
        add_measure(subject, expression->since_first ? COORDINATE_FIRST : COORDINATE_WAS,
                    expression->grown);
        break;
    case EXPRESSION_RECKONED:
        add_asked(subject, expression->reckon->value);
        break;
    default:
        break;
    }
    add_asked(subject, expression->left);
    add_asked(subject, expression->right);
}

static bool asks_seen(const struct expression *expression)
{
    return expression && (expression->sort == EXPRESSION_SEEN || asks_seen(expression->left) ||
                          asks_seen(expression->right));
}

static void add_ladders(struct subject *subject)
{
    bool seen = false;
    for (uint32_t i = 0; i < subject->limit_count; i++) {
        const struct limit *limit = subject->limits[i];
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            for (uint32_t c = 0; c < limit->rungs[r].condition_count; c++) {
                const struct condition *condition = &limit->rungs[r].conditions[c];
                if (condition->sort == CONDITION_COMPARE) {
                    add_asked(subject, condition->left);
                    add_asked(subject, condition->right);
                    seen |= asks_seen(condition->left) || asks_seen(condition->right);
                }
            }
        }
    }
    if (seen) {
        add(subject, COORDINATE_SEEN, "seen before")->to = NUMBER_INT(1);
    }
}

static void add_places(struct subject *subject)
{
    const struct part *part = subject->part;
    if (part->side_count > 0) {
        add(subject, COORDINATE_SIDE, "side")->to = NUMBER_INT((int64_t)part->side_count - 1);
    }
    if (part->place_count > 0) {
        add(subject, COORDINATE_PLACE, "place")->to = NUMBER_INT((int64_t)part->place_count - 1);
    }
    for (uint32_t axis = 0; axis < part->axis_count; axis++) {
        for (int end = 0; end < 2; end++) {
            struct coordinate *made =
                add(subject, end ? COORDINATE_HI : COORDINATE_LO,
                    text_format(subject->arena, "%s %s", part->axes[axis].name, end ? "hi" : "lo"));
            made->axis = axis;
            made->whole = false;
            made->from = part->axes[axis].from;
            made->to = part->axes[axis].to;
        }
    }
}

static bool applies(const struct limit *limit, const struct kind *kind, const struct part *part)
{
    bool named = false;
    for (uint32_t i = 0; i < limit->kind_count && limit->zone->part == part; i++) {
        named |= limit->kinds[i] == kind;
    }
    return named;
}

struct subject *subject_make(struct arena *arena, const struct book *book, const struct kind *kind,
                             const struct part *part, struct companies *companies,
                             const char *book_prefix)
{
    struct subject *subject = ARENA_NEW(arena, struct subject);
    size_t capacity = 0;
    *subject = (struct subject){.arena = arena,
                                .book = book,
                                .kind = kind,
                                .part = part,
                                .companies = companies,
                                .placed = !kind->is_check};
    subject->prefix = text_format(arena, "%s%s on %s: ", book_prefix, kind->name, part->name);
    for (uint32_t i = 0; i < book->limit_count; i++) {
        if (applies(&book->limits[i], kind, part)) {
            *ARENA_PUSH(arena, subject->limits, subject->limit_count, capacity) = &book->limits[i];
        }
    }
    for (uint32_t i = 0; i < kind->record_count; i++) {
        const struct recorded *recorded = &kind->records[i];
        if (recorded->measure) {
            add_measure(subject, COORDINATE_MEASURE, recorded->measure);
            continue;
        }
        struct coordinate *made = add(subject, COORDINATE_OBSERVATION, recorded->name);
        made->observation = recorded->observation;
        made->to = NUMBER_INT((int64_t)recorded->observation->value_count - 1);
    }
    add_ladders(subject);
    if (subject->placed) {
        add_places(subject);
    }
    return subject;
}

/* ---- terms -------------------------------------------------------------------------------- */

/* The compared value of a measure as a Real. */
static const char *measure_term(const struct subject *subject, const char *before,
                                const struct measure *measure)
{
    struct text text;
    text_begin(&text, subject->arena);
    if (is_rounded(measure)) {
        text_add(&text, "(* ");
        formula_number(&text, measure->step);
        text_add(&text, " (to_real ");
    }
    formula_symbol(&text, before, measure->name);
    text_add(&text, is_rounded(measure) ? "))" : "");
    return text_done(&text);
}

static const char *term_of(const void *user, const struct expression *expression)
{
    const struct subject *subject = user;
    struct text text;
    text_begin(&text, subject->arena);
    switch (expression->sort) {
    case EXPRESSION_AGGREGATE: {
        uint32_t number = company_number(subject->arena, subject->companies, expression->aggregate);
        bool real = expression->aggregate->sort == AGGREGATE_TOTAL ||
                    expression->aggregate->sort == AGGREGATE_LARGEST;
        text_addf(&text, real ? "|company %u|" : "(to_real |company %u|)", number);
        break;
    }
    case EXPRESSION_GROWTH: {
        const char *now = measure_term(subject, "", expression->grown);
        const char *then =
            measure_term(subject, expression->since_first ? "first " : "was ", expression->grown);
        bool smaller = expression->grown->smaller_is_worse;
        text_add(&text, "(- ");
        text_add(&text, smaller ? then : now);
        text_add(&text, " ");
        text_add(&text, smaller ? now : then);
        text_add(&text, ")");
        break;
    }
    case EXPRESSION_SEEN:
        text_add(&text, "(to_real |seen before|)");
        break;
    default:
        return measure_term(subject, "", expression->measure);
    }
    return text_done(&text);
}

/* ---- calls ----------------------------------------------------------------------------------- */

void subject_call(const struct subject *subject, struct text *text, const char *function,
                  int32_t fresh, const char *more)
{
    text_add(text, subject->coordinate_count ? "(" : "");
    formula_symbol(text, subject->prefix, function);
    for (uint32_t i = 0; i < subject->coordinate_count; i++) {
        text_add(text, " |");
        text_add(text, subject->coordinates[i].name);
        text_add(text, more);
        text_add(text, (int32_t)i == fresh ? "'|" : "|");
    }
    text_add(text, subject->coordinate_count ? ")" : "");
}

static void call(const struct subject *subject, struct text *text, const char *function)
{
    subject_call(subject, text, function, -1, "");
}

const char *subject_limit_function(const struct subject *subject, const struct limit *limit,
                                   const char *what)
{
    return text_format(subject->arena, "%u %s", limit->index, what);
}

void subject_declare_one(const struct coordinate *coordinate, struct text *text, const char *more)
{
    text_add(text, "(declare-const ");
    formula_symbol(text, coordinate->name, more);
    text_add(text, coordinate->whole ? " Int)\n" : " Real)\n");
}

void subject_declare(const struct subject *subject, struct text *text)
{
    for (uint32_t i = 0; i < subject->coordinate_count; i++) {
        subject_declare_one(&subject->coordinates[i], text, "");
    }
}

void subject_define(const struct subject *subject, struct text *text, const char *function,
                    const char *sort)
{
    text_add(text, "(define-fun ");
    formula_symbol(text, subject->prefix, function);
    text_add(text, " (");
    for (uint32_t i = 0; i < subject->coordinate_count; i++) {
        text_add(text, i ? " (" : "(");
        formula_symbol(text, subject->coordinates[i].name, "");
        text_add(text, subject->coordinates[i].whole ? " Int)" : " Real)");
    }
    text_add(text, ") ");
    text_add(text, sort);
    text_add(text, " ");
}

/* ---- worlds ------------------------------------------------------------------------------------ */

static void write_bound(const struct coordinate *coordinate, struct text *text, struct number bound)
{
    if (coordinate->whole) {
        const char *digits = number_fraction(text->arena, bound);
        text_add(text, *digits == '-' ? "(- " : "");
        text_add(text, *digits == '-' ? digits + 1 : digits);
        text_add(text, *digits == '-' ? ")" : "");
    } else {
        formula_number(text, bound);
    }
}

static void write_world(const struct subject *subject, struct text *text)
{
    subject_define(subject, text, "world", "Bool");
    text_add(text, "(and true");
    for (uint32_t i = 0; i < subject->coordinate_count; i++) {
        const struct coordinate *coordinate = &subject->coordinates[i];
        text_add(text, "\n  (<= ");
        write_bound(coordinate, text, coordinate->from);
        text_add(text, " ");
        formula_symbol(text, coordinate->name, "");
        if (coordinate->bounded) {
            text_add(text, " ");
            write_bound(coordinate, text, coordinate->to);
        }
        text_add(text, ")");
        if (coordinate->sort == COORDINATE_HI) {
            text_add(text, " (<= ");
            formula_symbol(text, subject->part->axes[coordinate->axis].name, " lo");
            text_add(text, " ");
            formula_symbol(text, coordinate->name, "");
            text_add(text, ")");
        }
    }
    text_add(text, "))\n");
}

/* ---- ladders --------------------------------------------------------------------------------- */

static void among(struct text *text, const char *name, uint64_t values, uint32_t count)
{
    text_add(text, "(or false");
    for (uint32_t i = 0; i < count; i++) {
        if (values >> i & 1) {
            text_add(text, " (= ");
            formula_symbol(text, name, "");
            text_addf(text, " %u)", i);
        }
    }
    text_add(text, ")");
}

/* Named places are not next to each other: what is taken away is taken without an edge. */
static bool place_holds(const struct zone *zone, uint32_t place, uint32_t side)
{
    bool holds =
        (zone->places >> place & 1) && (zone->part->side_count == 0 || (zone->sides >> side & 1));
    for (uint32_t i = 0; holds && i < zone->outside_count; i++) {
        holds = !place_holds(zone->outside[i], place, side);
    }
    return holds;
}

static void write_named_places(struct text *text, const struct zone *zone)
{
    const struct part *part = zone->part;
    text_add(text, "(or false");
    for (uint32_t place = 0; place < part->place_count; place++) {
        for (uint32_t side = 0; side == 0 || side < part->side_count; side++) {
            if (!place_holds(zone, place, side)) {
                continue;
            }
            text_addf(text, " (and (= |place| %u)", place);
            if (part->side_count > 0) {
                text_addf(text, " (= |side| %u)", side);
            }
            text_add(text, ")");
        }
    }
    text_add(text, ")");
}

static void write_met(const struct subject *subject, struct text *text, const struct limit *limit,
                      struct pieces *pieces)
{
    const struct zone *zone = limit->zone;
    const struct part *part = subject->part;
    subject_define(subject, text, subject_limit_function(subject, limit, "met"), "Bool");
    if (!subject->placed) {
        text_add(text, "true)\n");
        return;
    }
    if (part->place_count > 0) {
        write_named_places(text, zone);
        text_add(text, ")\n");
        return;
    }
    *pieces = pieces_of_zone(subject->arena, zone);
    formula_meets_any(text, part, pieces);
    text_add(text, ")\n");
}

static const char *condition_name(const struct subject *subject, const struct limit *limit,
                                  uint32_t rung, uint32_t condition)
{
    return text_format(subject->arena, "%u %u %u", limit->index, rung, condition);
}

static void write_condition(const struct subject *subject, struct text *text,
                            const struct limit *limit, uint32_t rung, uint32_t index,
                            const struct pieces *pieces)
{
    const struct condition *condition = &limit->rungs[rung].conditions[index];
    const struct formula_names names = {.arena = subject->arena,
                                        .book = subject->book,
                                        .part = subject->part,
                                        .term = term_of,
                                        .user = subject};
    subject_define(subject, text, condition_name(subject, limit, rung, index), "Bool");
    switch (condition->sort) {
    case CONDITION_COMPARE:
        formula_compare(text, &names, condition, pieces);
        break;
    case CONDITION_AMONG:
        among(text, condition->observation->name, condition->values,
              condition->observation->value_count);
        break;
    case CONDITION_RELEASE:
        text_add(text, "true");
        break;
    }
    text_add(text, ")\n");
}

void subject_ladder_without(const struct subject *subject, struct text *text,
                            const struct limit *limit, int32_t rung, uint32_t condition,
                            bool as_line)
{
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        text_add(text, "(ite (and true");
        for (uint32_t c = 0; c < limit->rungs[r].condition_count; c++) {
            if ((int32_t)r != rung || c != condition) {
                text_add(text, " ");
                call(subject, text, condition_name(subject, limit, r, c));
            }
        }
        text_addf(text, ") %u\n  ", as_line ? r : limit->rungs[r].outcome);
    }
    text_addf(text, "%u", as_line ? limit->rung_count : subject->book->no_published_limit);
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        text_add(text, ")");
    }
}

static void write_limit(const struct subject *subject, struct text *text, const struct limit *limit)
{
    struct pieces pieces = {.count = 0};
    struct text head;
    text_begin(&head, subject->arena);
    write_met(subject, text, limit, &pieces);
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        for (uint32_t c = 0; c < limit->rungs[r].condition_count; c++) {
            write_condition(subject, text, limit, r, c, &pieces);
        }
    }
    subject_define(subject, text, subject_limit_function(subject, limit, "line"), "Int");
    text_add(text, "\n  ");
    subject_ladder_without(subject, text, limit, -1, 0, true);
    text_add(text, ")\n");
    subject_define(subject, text, subject_limit_function(subject, limit, "outcome"), "Int");
    text_add(text, "\n  ");
    subject_ladder_without(subject, text, limit, -1, 0, false);
    text_add(text, ")\n");
}

/* ---- the whole --------------------------------------------------------------------------------- */

static void write_uncovered(const struct subject *subject, struct text *text)
{
    const struct part *part = subject->part;
    subject_define(subject, text, "uncovered", "Bool");
    if (!subject->placed) {
        text_add(text, subject->limit_count ? "false)\n" : "true)\n");
        return;
    }
    if (part->place_count > 0) {
        text_add(text, "(not (or false");
        for (uint32_t i = 0; i < subject->limit_count; i++) {
            text_add(text, " ");
            call(subject, text, subject_limit_function(subject, subject->limits[i], "met"));
        }
        text_add(text, ")))\n");
        return;
    }
    const struct zone **zones =
        ARENA_ARRAY(subject->arena, const struct zone *, subject->limit_count);
    for (uint32_t i = 0; i < subject->limit_count; i++) {
        zones[i] = subject->limits[i]->zone;
    }
    struct pieces rest = pieces_of_rest(subject->arena, part, zones, subject->limit_count);
    formula_meets_any(text, part, &rest);
    text_add(text, ")\n");
}

/* The worst of all limits met. */
static void write_outcome(const struct subject *subject, struct text *text)
{
    subject_define(subject, text, "outcome", "Int");
    text_add(text, "\n  (let ((g0 (ite ");
    call(subject, text, "uncovered");
    text_addf(text, " %u 0)))", subject->book->no_published_limit);
    for (uint32_t i = 0; i < subject->limit_count; i++) {
        const struct limit *limit = subject->limits[i];
        text_add(text, "\n  (let ((o ");
        call(subject, text, subject_limit_function(subject, limit, "outcome"));
        text_addf(text, "))\n  (let ((g%u (ite (and (> o g%u) ", i + 1, i);
        call(subject, text, subject_limit_function(subject, limit, "met"));
        text_addf(text, ") o g%u)))", i);
    }
    text_addf(text, " g%u)", subject->limit_count);
    for (uint32_t i = 0; i < 2 * subject->limit_count + 1; i++) {
        text_add(text, ")");
    }
    text_add(text, "\n");
}

void subject_write(const struct subject *subject, struct text *text)
{
    write_world(subject, text);
    for (uint32_t i = 0; i < subject->limit_count; i++) {
        write_limit(subject, text, subject->limits[i]);
    }
    write_uncovered(subject, text);
    write_outcome(subject, text);
}
