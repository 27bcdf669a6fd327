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
                        struct fast_linear *linear)
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
    *linear = (struct fast_linear){.a = whole[0], .b = whole[1], .c = {whole[2], whole[3]}};
    unsigned __int128 size = size_of(whole[0], greatest_place) + size_of(whole[1], 1);
    for (uint32_t t = 0; t < atom->term_count; t++) {
        size += size_of(whole[2 + t], making->greatest[atom->terms[t].variable]);
    }
    return size < (unsigned __int128)BOUND;
}

/* The same table of another test, where there is one: what is used together stays in the cache. */
static const struct fast_linear *known_table(struct fast *fast, const struct fast_linear *table,
                                             uint32_t count)
{
    for (uint32_t t = 0; t < fast->test_count; t++) {
        if (fast->tests[t].placed && fast->tests[t].entries == count &&
            memcmp(fast->shown[t], table, count * sizeof *table) == 0) {
            return fast->shown[t];
        }
    }
    return table;
}

/* The table of an atom over the breakpoints of its axis. */
static bool linear_table(struct fast_making *making, const struct atom *atom,
                         struct fast_test *test)
{
    struct arena *arena = making->arena;
    const struct number zero = NUMBER_ZERO;
    uint32_t count = 1;
    if (atom->place_count) {
        test->placed = true;
        test->axis = (uint8_t)atom->places[0].axis;
        count = making->docket->axes[test->axis].breakpoint_count;
    }
    struct fast_linear *linear = ARENA_ARRAY(arena, struct fast_linear, count);
    test->linear = linear;
    if (!test->placed) {
        return linear_make(making, atom, zero, zero, 0, zero, linear);
    }
    struct number scale = number_divide(arena, making->axis_units[test->axis]->factor,
                                        NUMBER_INT(FAST_MILLION));
    for (uint32_t i = 0; i < count; i++) {
        struct number slope, base;
        /* Where a function has no value, no limit that asks for it is met; nor would it hold. */
        linear[i].b = 1;
        if (from_breakpoint(arena, &making->docket->axes[test->axis], &atom->places[0], i, &slope,
                            &base) &&
            !linear_make(making, atom, slope, base, making->made->axes[test->axis].high, scale,
                         &linear[i])) {
            return false;
        }
    }
    test->entries = (uint16_t)count;
    test->linear = known_table(making->fast, linear, count);
    return true;
}

static int64_t floor_of(int64_t over, int64_t under)
{
    int64_t whole = over / under;
    return whole - (over % under != 0 && (over < 0) != (under < 0));
}

/* One variable and no place: c * value + b <= 0 is a bound. */
static void make_bound(struct fast_test *test)
{
    const struct fast_linear *linear = test->linear;
    int64_t c = linear->c[0], b = linear->b;
    if (c == 0) {
        return;
    }
    if (c > 0) { /* value <= -b / c */
        test->sort = FAST_AT_MOST;
        test->bound = floor_of(-b, c);
        test->bound -= test->strict && test->bound * c == -b;
    } else { /* value >= b / -c */
        test->sort = FAST_AT_LEAST;
        test->bound = -floor_of(-b, -c);
        test->bound += test->strict && test->bound * -c == b;
    }
}

/* Adds a test; `shown` are its numbers, NULL where it has none. */
static struct fast_test *add_test(struct fast_making *making, const struct fast_linear *shown)
{
    struct fast *fast = making->fast;
    *ARENA_PUSH(making->arena, fast->shown, fast->shown_count, fast->shown_capacity) = shown;
    return ARENA_PUSH(making->arena, fast->tests, fast->test_count, fast->test_capacity);
}

static bool add_atom(struct fast_making *making, const struct atom *atom, uint32_t step)
{
    if (atom->term_count > 2 || atom->place_count > 1) {
        return false;
    }
    struct fast_test test = {
        .sort = FAST_LINEAR,
        .count = (uint8_t)atom->term_count,
        .step = (uint8_t)step,
        .strict = atom->strict,
    };
    for (uint32_t t = 0; t < atom->term_count; t++) {
        if (atom->terms[t].variable >= FAST_SLOTS) {
            return false;
        }
        test.slots[t] = (uint8_t)atom->terms[t].variable;
    }
    if (!linear_table(making, atom, &test)) {
        return false;
    }
    const struct fast_linear *shown = test.linear;
    if (atom->term_count == 1 && !test.placed) {
        make_bound(&test);
    }
    *add_test(making, shown) = test;
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
        *add_test(making, NULL) = (struct fast_test){
            .sort = FAST_ANY, .step = (uint8_t)step, .count = (uint8_t)tree->branch_count};
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
        *add_test(making, NULL) = (struct fast_test){.sort = FAST_VALUES,
                                               .slots = {(uint8_t)step->record},
                                               .step = (uint8_t)index,
                                               .values = step->values};
    }
    struct fast_step *shown =
        ARENA_PUSH(making->arena, fast->steps, fast->step_count, fast->step_capacity);
    fast_show(making, step, first_test, shown);
    return true;
}

/* A line and its texts; gives its index. */
static uint32_t add_rung(struct fast_making *making, const char *rule, const char *source)
{
    struct fast *fast = making->fast;
    struct fast_rung *rung =
        ARENA_PUSH(making->arena, fast->rungs, fast->rung_count, fast->rung_capacity);
    *rung = (struct fast_rung){.first_test = fast->test_count, .first_step = fast->step_count};
    struct fast_line *line =
        ARENA_PUSH(making->arena, fast->lines, fast->line_count, fast->line_capacity);
    *line = (struct fast_line){.rule = rule, .source = source};
    return fast->rung_count - 1;
}

static const char *where_text(struct arena *arena, struct span span)
{
    return text_format(arena, "%s:%u", span.source->name, span_line(arena, span));
}

static bool add_line(struct fast_making *making, const struct plan_limit *limit,
                     const struct plan_rung *line)
{
    if (line->step_count > FAST_STEPS) {
        return false;
    }
    uint32_t at = add_rung(making, where_text(making->arena, line->source->span),
                           line->source->source[0] ? line->source->source
                                                   : limit->source->source);
    for (uint32_t s = 0; s < line->step_count; s++) {
        if (!add_step(making, &line->steps[s], s)) {
            return false;
        }
    }
    struct fast *fast = making->fast;
    struct fast_rung *rung = &fast->rungs[at];
    rung->test_count = (uint16_t)(fast->test_count - rung->first_test);
    rung->step_count = (uint16_t)(fast->step_count - rung->first_step);
    rung->outcome = (uint16_t)line->outcome;
    return fast->test_count - rung->first_test < UINT16_MAX;
}

bool fast_limits(struct fast_making *making)
{
    const struct docket *docket = making->docket;
    making->made->limits = ARENA_ARRAY(making->arena, struct fast_limit, docket->limit_count);
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        const struct plan_limit *limit = &docket->limits[l];
        making->made->limits[l] = (struct fast_limit){
            .first_rung = making->fast->rung_count,
            .rung_count = limit->rung_count + 1,
            .zone = limit->source->zone->index,
            .zone_name = limit->source->zone->name,
        };
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            if (!add_line(making, limit, &limit->rungs[r])) {
                return false;
            }
        }
        uint32_t at = add_rung(making, where_text(making->arena, limit->source->head),
                               limit->source->source);
        making->fast->rungs[at].outcome = (uint16_t)docket->book->no_published_limit;
        making->fast->rungs[at].is_end = true;
    }
    return true;
}
