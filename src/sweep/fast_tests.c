/* The conditions of a docket in whole numbers. */
#include <string.h>

#include "base/text.h"
#include "sweep/fast.h"

#define BOUND (INT64_C(1) << 62)

/* ---- whole numbers ---------------------------------------------------------------------- */

bool fast_whole(struct number number, int64_t *whole)
{
    if (number.den != 1 || number.num >= BOUND || number.num <= -BOUND) {
        return false;
    }
    *whole = number.num;
    return true;
}

static int64_t divisor(int64_t a, int64_t b)
{
    a = a < 0 ? -a : a;
    b = b < 0 ? -b : b;
    while (b) {
        int64_t rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

/* Brings fractions to whole numbers by a common factor > 0. False where they do not fit. */
static bool scale_all(const struct number *numbers, uint32_t count, int64_t *whole)
{
    int64_t common = 1, shared = 0;
    for (uint32_t i = 0; i < count; i++) {
        if (numbers[i].den == 0) {
            return false;
        }
        int64_t factor = numbers[i].den / divisor(common, numbers[i].den);
        if (__builtin_mul_overflow(common, factor, &common) || common >= BOUND) {
            return false;
        }
    }
    for (uint32_t i = 0; i < count; i++) {
        if (__builtin_mul_overflow(numbers[i].num, common / numbers[i].den, &whole[i]) ||
            whole[i] >= BOUND || whole[i] <= -BOUND) {
            return false;
        }
        shared = divisor(shared, whole[i]);
    }
    for (uint32_t i = 0; shared > 1 && i < count; i++) {
        whole[i] /= shared;
    }
    return true;
}

static unsigned __int128 size_of(int64_t factor, int64_t greatest)
{
    unsigned __int128 a = (unsigned __int128)(factor < 0 ? -(__int128)factor : factor);
    return a * (unsigned __int128)greatest;
}

/* ---- atoms ---------------------------------------------------------------------------------- */

/*
 * A place function from one breakpoint on to the next, as slope * place + base; at the last one of its
 * reach, as it is before it. False where it has no value.
 */
static bool from_breakpoint(struct arena *arena, const struct plan_axis *axis,
                            const struct place_function *function, uint32_t breakpoint,
                            struct number *slope, struct number *base)
{
    uint32_t from = breakpoint - function->first;
    if (breakpoint < function->first || from >= function->point_count) {
        return false;
    }
    *slope = NUMBER_ZERO;
    *base = function->values[from];
    if (function->point_count > 1) {
        from -= from + 1 == function->point_count;
        const struct number *at = axis->breakpoints + function->first + from;
        const struct number *values = function->values + from;
        *slope = number_divide(arena, number_subtract(arena, values[1], values[0]),
                               number_subtract(arena, at[1], at[0]));
        *base = number_subtract(arena, values[0], number_multiply(arena, *slope, at[0]));
    }
    return true;
}

static bool linear_make(struct fast_making *making, const struct atom *atom, struct number slope,
                        struct number base, int64_t greatest_place, struct number place_scale,
                        struct fast_linear linear[2])
{
    struct arena *arena = making->arena;
    struct number numbers[4] = {number_multiply(arena, slope, place_scale),
                                number_add(arena, base, atom->constant), NUMBER_ZERO, NUMBER_ZERO};
    for (uint32_t t = 0; t < atom->term_count; t++) {
        numbers[2 + t] = number_multiply(arena, atom->terms[t].coefficient,
                                         making->scales[atom->terms[t].variable]);
    }
    int64_t whole[4];
    if (!scale_all(numbers, 4, whole)) {
        return false;
    }
    linear[0] = (struct fast_linear){.a = whole[0], .b = whole[1] + atom->strict, .c = whole[2]};
    linear[1] = (struct fast_linear){.c = whole[3]};
    unsigned __int128 size = size_of(whole[0], greatest_place) + size_of(whole[1], 1);
    for (uint32_t t = 0; t < atom->term_count; t++) {
        size += size_of(whole[2 + t], making->greatest[atom->terms[t].variable]);
    }
    return size < (unsigned __int128)BOUND;
}

/* A run of pieces, where another test has the same: what is used together stays in the cache. False
 * where there are too many. */
static bool keep_linears(struct fast_making *making, const struct fast_linear *linears,
                         uint32_t count, uint16_t *at)
{
    struct fast *fast = making->fast;
    for (uint32_t i = 1; i + count <= fast->linear_count; i++) {
        if (fast->linears[i].b == linears->b &&
            memcmp(&fast->linears[i], linears, count * sizeof *linears) == 0) {
            *at = (uint16_t)i;
            return true;
        }
    }
    if (fast->linear_count + count > UINT16_MAX) {
        return false;
    }
    *at = (uint16_t)fast->linear_count;
    for (uint32_t i = 0; i < count; i++) {
        *ARENA_PUSH(making->arena, fast->linears, fast->linear_count, fast->linear_capacity) =
            linears[i];
    }
    return true;
}

static bool keep_map(struct fast_making *making, const uint8_t *map, uint32_t count, uint16_t *at)
{
    struct fast *fast = making->fast;
    for (uint32_t i = FAST_POINTS + 1; i + count <= fast->map_size; i++) {
        if (fast->maps[i + count - 1] == map[count - 1] &&
            memcmp(&fast->maps[i], map, count) == 0) {
            *at = (uint16_t)i;
            return true;
        }
    }
    if (fast->map_size + count > UINT16_MAX) {
        return false;
    }
    *at = (uint16_t)fast->map_size;
    for (uint32_t i = 0; i < count; i++) {
        *ARENA_PUSH(making->arena, fast->maps, fast->map_size, fast->map_capacity) = map[i];
    }
    return true;
}

/* The pieces of an atom with a place: what it is from each breakpoint of the docket on. A piece of two
 * terms has the factor of its second one behind it. */
static bool take_pieces(struct fast_making *making, const struct atom *atom, struct fast_test *test)
{
    struct arena *arena = making->arena;
    uint32_t index = atom->places[0].axis, count = 0, stride = atom->term_count;
    const struct plan_axis *own = &making->docket->axes[index];
    const struct fast_axis *axis = &making->made->part->axes[index];
    struct fast_linear *pieces =
        ARENA_ARRAY(arena, struct fast_linear, 2 * (size_t)own->breakpoint_count);
    uint8_t *piece = ARENA_ARRAY(arena, uint8_t, own->breakpoint_count);
    struct number scale = number_divide(arena, axis->unit->factor, NUMBER_INT(FAST_MILLION));
    int64_t greatest = axis->low + (int64_t)axis->range;
    struct number slope, base, last_slope = NUMBER_ZERO, last_base = NUMBER_ZERO;
    bool valued = false; /* at the breakpoint before */
    for (uint32_t i = 0; i < own->breakpoint_count; i++) {
        /* Where a function has no value, no limit that asks for it is met; nor would it hold. */
        struct fast_linear linear[2] = {{.b = 1}, {.b = 0}};
        bool was_valued = valued;
        valued = from_breakpoint(arena, own, &atom->places[0], i, &slope, &base);
        if (valued && was_valued && number_equal(slope, last_slope) &&
            number_equal(base, last_base)) { /* most breakpoints are of other functions */
            piece[i] = piece[i - 1];
            continue;
        }
        last_slope = slope;
        last_base = base;
        if (valued && !linear_make(making, atom, slope, base, greatest, scale, linear)) {
            return false;
        }
        if (!count || memcmp(&pieces[count - stride], linear, stride * sizeof *linear) != 0) {
            memcpy(&pieces[count], linear, stride * sizeof *linear);
            count += stride;
        }
        if (count - stride > UINT8_MAX) {
            return false;
        }
        piece[i] = (uint8_t)(count - stride);
    }
    uint8_t *map = ARENA_ARRAY(arena, uint8_t, axis->count);
    for (uint32_t i = 0; i < axis->count; i++) {
        map[i] = piece[making->points[index][i]];
    }
    test->axis = (uint8_t)index;
    return keep_linears(making, pieces, count, &test->linear) &&
           keep_map(making, map, axis->count, &test->map);
}

static bool take_linear(struct fast_making *making, const struct atom *atom, struct fast_test *test)
{
    const struct number zero = NUMBER_ZERO;
    struct fast_linear linear[2];
    test->sort = atom->term_count == 2 ? FAST_TWO : FAST_ONE;
    if (atom->place_count) {
        return take_pieces(making, atom, test);
    }
    if (!linear_make(making, atom, zero, zero, 0, zero, linear)) {
        return false;
    }
    test->own = linear[0];
    return atom->term_count == 1 || keep_linears(making, linear, 2, &test->linear);
}

static void add_test(struct fast_making *making, struct fast_test test)
{
    struct fast *fast = making->fast;
    *ARENA_PUSH(making->arena, fast->tests, fast->test_count, fast->test_capacity) = test;
}

static bool add_atom(struct fast_making *making, const struct atom *atom, uint32_t step)
{
    if (atom->term_count > 2 || atom->term_count < 1 || atom->place_count > 1) {
        return false;
    }
    struct fast_test test = {.axis = FAST_NO_AXIS, .strict = atom->strict, .step = (uint8_t)step};
    for (uint32_t t = 0; t < atom->term_count; t++) {
        if (atom->terms[t].variable >= FAST_SLOTS || making->untold[atom->terms[t].variable]) {
            return false;
        }
        test.slots |= (uint8_t)(atom->terms[t].variable << 4 * t);
    }
    if (!take_linear(making, atom, &test)) {
        return false;
    }
    add_test(making, test);
    return true;
}

static bool all_leaves(const struct atom_tree *tree)
{
    for (uint32_t i = 0; i < tree->branch_count; i++) {
        if (tree->branches[i]->sort != ATOM_LEAF) {
            return false;
        }
    }
    return tree->branch_count < UINT8_MAX;
}

static bool add_tree(struct fast_making *making, const struct atom_tree *tree, uint32_t step)
{
    if (tree->sort == ATOM_LEAF) {
        return add_atom(making, &tree->atom, step);
    }
    if (tree->sort == ATOM_OR) {
        if (!all_leaves(tree)) {
            return false;
        }
        add_test(making, (struct fast_test){.own.b = tree->branch_count,
                                            .axis = FAST_NO_AXIS,
                                            .sort = FAST_SOME,
                                            .step = (uint8_t)step});
    }
    for (uint32_t i = 0; i < tree->branch_count; i++) {
        if (!add_tree(making, tree->branches[i], step)) {
            return false;
        }
    }
    return true;
}

/* ---- lines ------------------------------------------------------------------------------------- */

static bool add_step(struct fast_making *making, const struct step *step, uint32_t index)
{
    struct fast *fast = making->fast;
    uint32_t first_test = fast->test_count;
    if (step->sort == STEP_ATOMS && !add_tree(making, step->atoms, index)) {
        return false;
    }
    if (step->sort == STEP_VALUES) {
        add_test(making, (struct fast_test){.own.b = (int64_t)step->values,
                                            .slots = (uint8_t)step->record,
                                            .axis = FAST_NO_AXIS,
                                            .sort = FAST_VALUES,
                                            .step = (uint8_t)index});
    }
    struct fast_step made;
    struct fast_shown shown;
    fast_show(making, step, first_test, &made, &shown);
    *ARENA_PUSH(making->arena, fast->steps, fast->step_count, fast->step_capacity) = made;
    *ARENA_PUSH(making->arena, fast->shown, fast->shown_count, fast->shown_capacity) = shown;
    return true;
}

/* A source in fast->sources. False where there are too many. */
static bool keep_source(struct fast_making *making, const char *source, uint16_t *index)
{
    struct fast *fast = making->fast;
    const char *const parts[] = {",", fast_csv_text(making->arena, source), ",\n"};
    struct fast_text text = fast_text_keep(making, parts, 3);
    uint32_t i = 1;
    while (i < fast->source_count &&
           (fast->sources[i].at != text.at || fast->sources[i].size != text.size)) {
        i++;
    }
    if (i == UINT16_MAX) {
        return false;
    }
    if (i == fast->source_count) {
        *ARENA_PUSH(making->arena, fast->sources, fast->source_count, fast->source_capacity) = text;
    }
    *index = (uint16_t)i;
    return true;
}

/* "book.stave:" as the begin of a field; *quotes: it has an opening quote. */
static const char *file_text(struct arena *arena, const struct source *source, bool *quotes)
{
    const char *name = text_format(arena, "%s:", source->name);
    const char *field = fast_csv_text(arena, name);
    *quotes = field != name;
    return *quotes ? text_format(arena, "%.*s", (int)strlen(field) - 1, field) : field;
}

/* Also gives "book.stave:304" as text. */
static bool take_number(struct fast_making *making, struct span at, struct fast_rung *rung,
                        const char **rule)
{
    const char *name = at.source->name;
    size_t name_size = strlen(name);
    char digits[12];
    uint32_t size = 0;
    for (uint32_t line = span_line(making->arena, at); line || !size; line /= 10) {
        digits[sizeof digits - ++size] = (char)('0' + line % 10);
    }
    if (size + 1 > sizeof rung->number) {
        return false;
    }
    const char *number = digits + sizeof digits - size;
    memcpy(rung->number, number, size);
    rung->number_size = (uint8_t)size;
    if (fast_csv_text(making->arena, name) != name) {
        rung->number[rung->number_size++] = '"';
    }
    char *text = arena_take(making->arena, name_size + size + 2);
    memcpy(text, name, name_size);
    text[name_size] = ':';
    memcpy(text + name_size + 1, number, size);
    *rule = text;
    return true;
}

/* A line that stands at `at` in the book; gives its index. False where it cannot be had. */
static bool add_rung(struct fast_making *making, const struct plan_limit *limit, struct span at,
                     const char *source, uint32_t *index)
{
    struct fast *fast = making->fast;
    struct fast_rung rung = {.first_test = fast->test_count, .first_step = fast->step_count};
    const char *rule;
    if (at.source != limit->source->head.source || !take_number(making, at, &rung, &rule) ||
        (source != limit->source->source && strcmp(source, limit->source->source) != 0 &&
         !keep_source(making, source, &rung.source))) {
        return false;
    }
    *ARENA_PUSH(making->arena, fast->rungs, fast->rung_count, fast->rung_capacity) = rung;
    *ARENA_PUSH(making->arena, fast->lines, fast->line_count, fast->line_capacity) =
        (struct fast_line){.rule = rule, .source = source};
    *index = fast->rung_count - 1;
    return true;
}

static bool add_line(struct fast_making *making, const struct plan_limit *limit,
                     const struct plan_rung *line)
{
    struct fast *fast = making->fast;
    uint32_t at;
    if (line->step_count > FAST_STEPS ||
        !add_rung(making, limit, line->source->span,
                  line->source->source[0] ? line->source->source : limit->source->source, &at)) {
        return false;
    }
    for (uint32_t s = 0; s < line->step_count; s++) {
        if (!add_step(making, &line->steps[s], s)) {
            return false;
        }
    }
    struct fast_rung *rung = &fast->rungs[at];
    uint32_t tests = fast->test_count - rung->first_test;
    rung->test_count = (uint8_t)tests;
    rung->step_count = (uint8_t)line->step_count;
    rung->outcome = (uint16_t)line->outcome;
    return tests <= UINT8_MAX;
}

static bool same_records(const struct fast_docket *a, const struct fast_docket *b)
{
    return a->part == b->part && a->record_count == b->record_count &&
           memcmp(a->records, b->records, a->record_count) == 0 &&
           a->product_count == b->product_count &&
           memcmp(a->products, b->products, a->product_count * sizeof *a->products) == 0;
}

/* A ladder stands in the book once for all its kinds and zones. */
static bool same_ladder(const struct limit *a, const struct limit *b)
{
    return a->rungs == b->rungs && a->rung_count == b->rung_count &&
           a->head.source == b->head.source && a->head.from == b->head.from &&
           a->source == b->source;
}

/* The ladder as another docket or zone has it, where the same is recorded; or NULL. */
static const struct fast_limit *known_limit(const struct fast_making *making,
                                            const struct limit *source)
{
    const struct fast *fast = making->fast;
    for (uint32_t i = 0; i < fast->limit_count; i++) {
        if (fast->origins[i].source && same_ladder(fast->origins[i].source, source) &&
            same_records(fast->origins[i].docket, making->made)) {
            return &fast->limits[i];
        }
    }
    return NULL;
}

static bool add_lines(struct fast_making *making, const struct plan_limit *limit,
                      struct fast_limit *made)
{
    struct fast *fast = making->fast;
    uint32_t end;
    made->first_rung = fast->rung_count;
    made->rung_count = (uint16_t)(limit->rung_count + 1);
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        if (!add_line(making, limit, &limit->rungs[r])) {
            return false;
        }
    }
    if (limit->rung_count >= UINT16_MAX ||
        !add_rung(making, limit, limit->source->head, limit->source->source, &end)) {
        return false;
    }
    fast->rungs[end].outcome = (uint16_t)making->docket->book->no_published_limit;
    fast->rungs[end].is_end = true;
    return true;
}

static bool add_limit(struct fast_making *making, const struct plan_limit *limit)
{
    struct fast *fast = making->fast;
    bool quotes;
    const char *zone = fast_csv_text(making->arena, limit->source->zone->name);
    const char *file = file_text(making->arena, limit->source->head.source, &quotes);
    const char *source = fast_csv_text(making->arena, limit->source->source);
    const char *const parts[] = {zone, ",", file, ",", source, ",\n"};
    const struct fast_limit *known = known_limit(making, limit->source);
    struct fast_limit made = {0};
    size_t zone_size = strlen(zone) + 1 + strlen(file), source_size = strlen(source) + 3;
    if (zone_size > UINT16_MAX || source_size > UINT16_MAX) {
        return false;
    }
    if (known) {
        made.first_rung = known->first_rung;
        made.rung_count = known->rung_count;
    } else if (!add_lines(making, limit, &made)) {
        return false;
    }
    made.text = fast_text_keep(making, parts, 6).at;
    made.zone_size = (uint16_t)zone_size;
    made.source_size = (uint16_t)source_size;
    made.first_count = fast->count_count;
    made.zone = limit->source->zone->index;
    made.kind = (uint16_t)making->made->kind;
    fast->count_count += made.rung_count;
    *ARENA_PUSH(making->arena, fast->limits, fast->limit_count, fast->limit_capacity) = made;
    *ARENA_PUSH(making->arena, fast->origins, fast->origin_count, fast->origin_capacity) =
        (struct fast_origin){limit->source, making->made};
    return true;
}

/* Keeps the place of a limit that has no table: it has no lines. */
static void add_slow_limit(struct fast_making *making, const struct plan_limit *limit)
{
    struct fast *fast = making->fast;
    *ARENA_PUSH(making->arena, fast->limits, fast->limit_count, fast->limit_capacity) =
        (struct fast_limit){.kind = (uint16_t)making->made->kind,
                            .zone = limit->source->zone->index};
    *ARENA_PUSH(making->arena, fast->origins, fast->origin_count, fast->origin_capacity) =
        (struct fast_origin){NULL, NULL};
}

static bool has_slow(const struct fast *fast, const uint16_t *members)
{
    for (uint32_t i = 1; i <= members[0]; i++) {
        if (fast->limits[members[i]].rung_count == 0) {
            return true;
        }
    }
    return false;
}

/* A place where one limit has no table has none. False where there is no room. */
static bool mark_slow_lists(struct fast_making *making)
{
    struct fast *fast = making->fast;
    if (fast->member_count == UINT16_MAX) {
        return false;
    }
    uint16_t slow = (uint16_t)fast->member_count;
    *ARENA_PUSH(making->arena, fast->members, fast->member_count, fast->member_capacity) =
        FAST_SLOW_LIST;
    for (size_t i = 0; i < making->list_count; i++) {
        if (has_slow(fast, fast->members + making->lists[i])) {
            making->lists[i] = slow;
        }
    }
    return true;
}

bool fast_limits(struct fast_making *making)
{
    const struct docket *docket = making->docket;
    uint32_t slow = 0;
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        if (!add_limit(making, &docket->limits[l])) {
            add_slow_limit(making, &docket->limits[l]);
            slow++;
        }
    }
    return slow == 0 || (slow < docket->limit_count && mark_slow_lists(making));
}
