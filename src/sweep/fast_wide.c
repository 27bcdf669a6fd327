/*
 * Rows that are not exact, by the fast table: a measure with a unit of its own, with a doubt, as a range
 * or not given, and a place that is not given.
 *
 * Each test is asked whether it holds everywhere within reach, nowhere, or maybe: never less than the
 * truth, so that no outcome of a ladder is missed. Then two worlds are asked outright: all readings at
 * their worse ends, and all at their better ones. Where these give the worst and the best of what
 * may be, that is the answer. Where not, and where a condition asks for the place that is not
 * given, the row takes the general road.
 *
 * The world that is shown is the one that judge() finds (src/judge/witness.c): readings at their worse
 * ends, at the first place where that gives the worst outcome.
 */
#include <string.h>

#include "judge/region.h"
#include "sweep/fast.h"

#define MOST_LISTS 64           /* of limits that may be met */
#define MOST_UNDER (1 << 20)    /* so that three of them and a sum of the table fit 128 bits */
#define MOST_VISITS 4096        /* of cells */
#define MOST_WORK (JUDGE_BUDGET / 4) /* what judge() may take: it is not to reach its bound */

/* over / under, under > 0. */
struct fraction {
    int64_t over, under;
};

struct between {
    struct fraction low, high;
};

/* By variable of the docket; of an observation nothing. */
struct values {
    struct between of[FAST_SLOTS];
};

struct wide {
    struct arena *arena;
    const struct fast *fast;
    const struct fast_docket *docket;
    const struct fast_source *source;
    const struct row *row;
    const struct column *columns; /* the sweep's */
    struct reading readings[FAST_SLOTS]; /* by record */
    struct values all, worse, better;    /* what the readings may be, and two worlds of these */
    bool exact;                          /* the three are one */
    struct fraction places[BOOK_AXES + 1];
    uint16_t points[BOOK_AXES + 1]; /* the last breakpoint at or before the place */
    uint32_t cells[BOOK_AXES];
    bool free[BOOK_AXES + 1]; /* the place on the axis is not known; behind the axes: which place it is */
    uint32_t side, place;
    const uint16_t *lists[MOST_LISTS]; /* in the order in which judge() meets them */
    uint32_t list_count, visits;
    uint32_t tests, maybes; /* of all ladders */
    bool unsure;            /* something was asked that is not known here */
};

/* ---- figures as cells have them ------------------------------------------------------------ */

struct typed {
    struct number first, second;            /* base units */
    const struct unit *unit, *second_unit;
    enum given given;
};

/* Up to the next blank. What does not stand with single blanks is left to the general road: it is no word. */
static struct cell next_word(struct cell *rest)
{
    struct cell word = {rest->bytes, 0};
    while (word.size < rest->size && word.bytes[word.size] != ' ') {
        word.size++;
    }
    uint32_t passed = word.size < rest->size ? word.size + 1 : word.size;
    rest->bytes += passed;
    rest->size -= passed;
    return word;
}

static bool word_is(struct cell word, const char *text)
{
    return word.size == strlen(text) && memcmp(word.bytes, text, word.size) == 0;
}

/* A figure, and its unit where it has one: `word` moves on behind it. */
static bool read_quantity(struct arena *arena, struct cell *word, struct cell *rest,
                          struct number *figure, const struct unit **unit)
{
    if (number_read(arena, word->bytes, word->size, figure) != NUMBER_GOOD) {
        return false;
    }
    *word = next_word(rest);
    *unit = word->size ? unit_find(word->bytes, word->size) : NULL;
    if (*unit) {
        *word = next_word(rest);
    }
    return true;
}

/* "27 thou", "0.018 +/- 0.002 in", "1 .. 1.25 in". A figure without a unit has that of the column. */
static bool read_cell(struct arena *arena, struct cell cell, const struct unit *unit,
                      struct typed *typed)
{
    if (cell.size == 0 || cell.bytes[cell.size - 1] == ' ') {
        return false;
    }
    struct cell word = next_word(&cell);
    *typed = (struct typed){.given = GIVEN_EXACT};
    if (!read_quantity(arena, &word, &cell, &typed->first, &typed->unit)) {
        return false;
    }
    if (word.size) {
        typed->given = word_is(word, "+/-") ? GIVEN_DOUBT : GIVEN_RANGE;
        if (typed->given == GIVEN_RANGE && !word_is(word, "..")) {
            return false;
        }
        word = next_word(&cell);
        if (!read_quantity(arena, &word, &cell, &typed->second, &typed->second_unit) || word.size ||
            (typed->unit && !typed->second_unit)) {
            return false;
        }
    }
    if (cell.size) {
        return false;
    }
    typed->second_unit = typed->second_unit ? typed->second_unit : unit;
    typed->unit = typed->unit ? typed->unit : typed->given == GIVEN_EXACT ? unit : typed->second_unit;
    typed->first = number_multiply(arena, typed->first, typed->unit->factor);
    if (typed->given != GIVEN_EXACT) {
        typed->second = number_multiply(arena, typed->second, typed->second_unit->factor);
    }
    return dimension_equal(typed->unit->dimension, unit->dimension) &&
           dimension_equal(typed->second_unit->dimension, unit->dimension);
}

static bool to_fraction(struct arena *arena, struct number value, struct number scale,
                        struct fraction *fraction)
{
    struct number whole = number_divide(arena, value, scale);
    *fraction = (struct fraction){whole.num, whole.den};
    return whole.den > 0 && whole.den < MOST_UNDER;
}

/* ---- readings ---------------------------------------------------------------------------------- */

static bool within(struct arena *arena, const struct measure *measure, struct number value)
{
    return number_compare(arena, value, measure->from) >= 0 &&
           number_compare(arena, value, measure->to) <= 0;
}

/* As src/finding has it: a doubt is cut off at the ends of what the measure can be. */
static bool read_measure(struct wide *wide, const struct measure *measure, struct cell cell,
                         const struct unit *unit, struct reading *reading)
{
    struct arena *arena = wide->arena;
    struct typed typed;
    if (cell.size == 0) {
        *reading = (struct reading){.given = GIVEN_NOT,
                                    .low = measure->from,
                                    .high = measure->to,
                                    .unit = measure->unit};
        return true;
    }
    if (!read_cell(arena, cell, unit, &typed) || !within(arena, measure, typed.first)) {
        return false;
    }
    *reading = (struct reading){
        .given = typed.given, .low = typed.first, .high = typed.first, .unit = typed.unit};
    if (typed.given == GIVEN_RANGE) {
        reading->high = typed.second;
        return within(arena, measure, typed.second) &&
               number_compare(arena, typed.first, typed.second) <= 0;
    }
    if (typed.given == GIVEN_DOUBT) {
        reading->low = number_greatest(arena, measure->from,
                                       number_subtract(arena, typed.first, typed.second));
        reading->high =
            number_least(arena, measure->to, number_add(arena, typed.first, typed.second));
    }
    return true;
}

static bool take_measure(struct wide *wide, uint32_t slot)
{
    struct arena *arena = wide->arena;
    const struct fast_docket *docket = wide->docket;
    const struct variable *variable = &wide->source->docket->variables[slot];
    int16_t column = wide->fast->measures[docket->records[slot]].column;
    struct reading *reading = &wide->readings[slot];
    struct between *all = &wide->all.of[slot];
    if (!read_measure(wide, variable->measure, wide->row->cells[column],
                      wide->columns[column].unit, reading) ||
        !to_fraction(arena, region_round(arena, variable, reading->low), wide->source->scales[slot],
                     &all->low) ||
        !to_fraction(arena, region_round(arena, variable, reading->high), wide->source->scales[slot],
                     &all->high)) {
        return false;
    }
    bool down = variable->measure->smaller_is_worse;
    wide->worse.of[slot].low = wide->worse.of[slot].high = down ? all->low : all->high;
    wide->better.of[slot].low = wide->better.of[slot].high = down ? all->high : all->low;
    wide->exact &= all->low.over == all->high.over && all->low.under == all->high.under;
    return true;
}

static bool multiply(struct fraction a, struct fraction b, struct fraction *product)
{
    return !__builtin_mul_overflow(a.over, b.over, &product->over) &&
           !__builtin_mul_overflow(a.under, b.under, &product->under) &&
           product->under < MOST_UNDER;
}

/* Of values that are not below zero. */
static bool take_products(const struct wide *wide, struct values *values)
{
    const struct fast_docket *docket = wide->docket;
    for (uint32_t i = 0; i < docket->product_count; i++) {
        const struct fast_product *product = &docket->products[i];
        const struct between *a = &values->of[product->factors[0]];
        const struct between *b = &values->of[product->factors[1]];
        struct between *made = &values->of[product->slot];
        if (!multiply(a->low, b->low, &made->low) || !multiply(a->high, b->high, &made->high)) {
            return false;
        }
    }
    return true;
}

static bool is_open(const struct between *value)
{
    return value->low.over != value->high.over || value->low.under != value->high.under;
}

/* Where both factors are in doubt, judge() takes their product as a thing of its own. */
static bool products_straight(const struct wide *wide)
{
    for (uint32_t i = 0; i < wide->docket->product_count; i++) {
        const struct fast_product *product = &wide->docket->products[i];
        if (is_open(&wide->all.of[product->factors[0]]) &&
            is_open(&wide->all.of[product->factors[1]])) {
            return false;
        }
    }
    return true;
}

static bool take_records(struct wide *wide)
{
    const struct fast_docket *docket = wide->docket;
    wide->exact = true;
    for (uint32_t i = 0; i < docket->measured_count; i++) {
        if (!take_measure(wide, docket->measured[i])) {
            return false;
        }
    }
    for (uint32_t i = 0; i < docket->seen_count; i++) {
        uint32_t slot = docket->seen[i], value;
        const struct fast_values *values =
            &wide->fast->observations[docket->records[slot] - FAST_SEEN];
        if (!fast_value(values, wide->row->cells[values->column], &value)) {
            return false;
        }
        wide->readings[slot].values = UINT64_C(1) << value;
    }
    return products_straight(wide) && take_products(wide, &wide->all) &&
           take_products(wide, &wide->worse) && take_products(wide, &wide->better);
}

/* ---- places -------------------------------------------------------------------------------------- */

static bool find_cell(struct wide *wide, uint32_t index, const struct fast_axis *axis,
                      struct fraction place)
{
    __int128 there = 2 * (__int128)place.over;
    uint32_t at = 0;
    while (at + 1 < axis->count && (__int128)axis->points[at + 1] * place.under <= there) {
        at++;
    }
    /* Between two millionths, where a breakpoint is too: before it or behind? */
    for (uint32_t i = at; place.under != 1 && i < axis->count && i <= at + 1; i++) {
        __int128 off = (__int128)axis->points[i] * place.under - there;
        if (axis->points[i] % 2 != 0 && off < place.under && -off < place.under) {
            return false;
        }
    }
    wide->points[index] = (uint16_t)at;
    wide->cells[index] = 2 * at + ((__int128)axis->points[at] * place.under != there);
    return true;
}

static bool take_axis(struct wide *wide, uint32_t index)
{
    const struct fast_axis *axis = &wide->docket->part->axes[index];
    struct cell cell = wide->row->cells[axis->column];
    struct number scale = number_divide(wide->arena, axis->unit->factor, NUMBER_INT(FAST_MILLION));
    struct fraction *place = &wide->places[index];
    struct typed typed;
    if (cell.size == 0) {
        wide->free[index] = true;
        return true;
    }
    if (!read_cell(wide->arena, cell, axis->unit, &typed) || typed.given != GIVEN_EXACT ||
        !to_fraction(wide->arena, typed.first, scale, place)) {
        return false;
    }
    __int128 least = (__int128)axis->low * place->under;
    if (place->over < least || place->over > least + (__int128)axis->range * place->under) {
        return false;
    }
    return find_cell(wide, index, axis, *place);
}

static bool take_places(struct wide *wide)
{
    const struct fast_docket *docket = wide->docket;
    const struct fast_part *part = docket->part;
    const struct cell *cells = wide->row->cells;
    wide->places[FAST_NO_AXIS] = (struct fraction){0, 1};
    if (part->sides.column >= 0 &&
        !fast_value(&part->sides, cells[part->sides.column], &wide->side)) {
        return false;
    }
    if (docket->by_place) {
        wide->free[BOOK_AXES] = cells[part->places.column].size == 0;
        return wide->free[BOOK_AXES] ||
               fast_value(&part->places, cells[part->places.column], &wide->place);
    }
    for (uint32_t a = 0; a < docket->axis_count; a++) {
        if (!take_axis(wide, a)) {
            return false;
        }
    }
    return true;
}

/* Keeps the limits that are met where `at` says. A place with none is the general road's. */
static bool keep_list(struct wide *wide, uint32_t at)
{
    const uint16_t *members = wide->fast->members + wide->docket->lists[at];
    for (uint32_t i = 0; i < wide->list_count; i++) {
        if (wide->lists[i] == members) {
            return true;
        }
    }
    if (wide->list_count == MOST_LISTS || members[0] == 0) {
        return false;
    }
    wide->lists[wide->list_count++] = members;
    return true;
}

/* Goes through all cells in which it may lie, as judge() does: along the last axis first. */
static bool visit_cells(struct wide *wide, uint32_t index, uint32_t at)
{
    const struct fast_docket *docket = wide->docket;
    if (index == docket->axis_count) {
        return wide->visits++ < MOST_VISITS && keep_list(wide, at);
    }
    const uint8_t *classes = docket->classes[index];
    at *= docket->class_counts[index];
    if (!wide->free[index]) {
        return visit_cells(wide, index + 1, at + classes[wide->cells[index]]);
    }
    uint32_t count = 2 * docket->part->axes[index].count - 1;
    for (uint32_t c = 0; c < count; c++) {
        if ((c == 0 || classes[c] != classes[c - 1]) &&
            !visit_cells(wide, index + 1, at + classes[c])) {
            return false;
        }
    }
    return true;
}

static bool visit_places(struct wide *wide)
{
    const struct fast_docket *docket = wide->docket;
    if (!docket->by_place) {
        return visit_cells(wide, 0, wide->side);
    }
    uint32_t first = wide->free[BOOK_AXES] ? 0 : wide->place;
    uint32_t last = wide->free[BOOK_AXES] ? docket->part->places.count - 1 : wide->place;
    for (uint32_t p = first; p <= last; p++) {
        if (!keep_list(wide, wide->side * docket->place_cells + 2 * p)) {
            return false;
        }
    }
    return true;
}

/* ---- tests ----------------------------------------------------------------------------------------- */

enum holds { HOLDS_NOWHERE, HOLDS_MAYBE, HOLDS_EVERYWHERE };

static __int128 term_of(int64_t factor, struct fraction value, __int128 others)
{
    return (__int128)factor * value.over * others;
}

/* Does a sum that lies between two others stay below zero? */
static enum holds sum_holds(__int128 least, __int128 greatest, bool strict)
{
    if (strict ? greatest < 0 : greatest <= 0) {
        return HOLDS_EVERYWHERE;
    }
    return (strict ? least < 0 : least <= 0) ? HOLDS_MAYBE : HOLDS_NOWHERE;
}

/* c * value + next_c * next + a * place + b, over all values between. */
static enum holds linear_holds(struct wide *wide, const struct values *values,
                               const struct fast_test *test)
{
    static const struct between none = {{0, 1}, {0, 1}};
    const struct fast *fast = wide->fast;
    const struct fast_linear *linear = &test->own, *next = NULL;
    const struct between *value = &values->of[test->slots & 15], *other = &none;
    if (test->map && wide->free[test->axis]) {
        wide->unsure = true;
        return HOLDS_MAYBE;
    }
    if (test->map || test->sort == FAST_TWO) {
        linear = &fast->linears[test->linear + fast->maps[test->map + wide->points[test->axis]]];
    }
    if (test->sort == FAST_TWO) {
        next = linear + 1;
        other = &values->of[test->slots >> 4];
    }
    struct fraction place = wide->places[test->axis];
    int64_t c = linear->c, next_c = next ? next->c : 0;
    __int128 rest =
        (__int128)linear->a * place.over + (__int128)(linear->b - test->strict) * place.under;
    __int128 sums[2];
    for (int greatest = 0; greatest < 2; greatest++) {
        struct fraction x = (c > 0) == greatest ? value->high : value->low;
        struct fraction y = (next_c > 0) == greatest ? other->high : other->low;
        sums[greatest] = term_of(c, x, (__int128)y.under * place.under) +
                         term_of(next_c, y, (__int128)x.under * place.under) +
                         rest * x.under * y.under;
    }
    enum holds holds = sum_holds(sums[0], sums[1], test->strict);
    /* There judge() has more to do than to hold a value against a bound. */
    wide->unsure |= holds == HOLDS_MAYBE && is_open(value) && is_open(other);
    return holds;
}

static enum holds test_holds(struct wide *wide, const struct values *values,
                             const struct fast_test *test)
{
    if (test->sort == FAST_VALUES) {
        bool among = (wide->readings[test->slots].values & ~(uint64_t)test->own.b) == 0;
        return among ? HOLDS_EVERYWHERE : HOLDS_NOWHERE;
    }
    if (test->sort != FAST_SOME) {
        enum holds holds = linear_holds(wide, values, test);
        wide->tests++;
        wide->maybes += holds == HOLDS_MAYBE;
        return holds;
    }
    enum holds most = HOLDS_NOWHERE;
    for (uint32_t i = 1; i <= (uint32_t)test->own.b; i++) {
        enum holds holds = test_holds(wide, values, test + i);
        most = holds > most ? holds : most;
    }
    return most;
}

/* *failed: of a line that holds nowhere, its first condition that does not. */
static enum holds rung_holds(struct wide *wide, const struct values *values,
                             const struct fast_rung *rung, uint32_t *failed)
{
    const struct fast_test *test = wide->fast->tests + rung->first_test;
    const struct fast_test *end = test + rung->test_count;
    enum holds least = HOLDS_EVERYWHERE;
    for (; test < end; test++) {
        enum holds holds = test_holds(wide, values, test);
        if (holds == HOLDS_NOWHERE) {
            *failed = test->step;
            return HOLDS_NOWHERE;
        }
        least = holds < least ? holds : least;
        test += test->sort == FAST_SOME ? test->own.b : 0;
    }
    return least;
}

/* What a ladder, or several of them, can come to. */
struct come {
    uint32_t best, worst;
    const struct fast_limit *limit; /* the first with the worst */
    const struct fast_rung *rung;   /* its last that may hold */
    uint32_t failed;                /* in the line before, the condition that does not */
};

static struct come climb_one(struct wide *wide, const struct values *values,
                             const struct fast_limit *limit)
{
    struct come come = {.best = UINT32_MAX, .limit = limit};
    const struct fast_rung *rung = &wide->fast->rungs[limit->first_rung];
    uint32_t failed = 0;
    for (;; rung++) {
        uint32_t before = failed;
        enum holds holds = rung_holds(wide, values, rung, &failed);
        if (holds == HOLDS_NOWHERE) {
            continue; /* the end has nothing to hold */
        }
        come.best = rung->outcome < come.best ? rung->outcome : come.best;
        if (!come.rung || rung->outcome > come.worst) {
            come.worst = rung->outcome;
            come.rung = rung;
            come.failed = before;
        }
        if (holds == HOLDS_EVERYWHERE) {
            return come;
        }
    }
}

/* The worst governs; of several, the first. */
static struct come climb(struct wide *wide, const struct values *values, const uint16_t *members)
{
    struct come all = {0};
    for (uint32_t i = 1; i <= members[0]; i++) {
        struct come one = climb_one(wide, values, &wide->fast->limits[members[i]]);
        uint32_t best = i == 1 || one.best > all.best ? one.best : all.best;
        if (i == 1 || one.worst > all.worst) {
            all = one;
        }
        all.best = best;
    }
    return all;
}

/* ---- judging ----------------------------------------------------------------------------------------- */

/* Can judge() ask all of it within its bound? */
static bool is_small(const struct wide *wide)
{
    const struct fast_docket *docket = wide->docket;
    uint64_t work = docket->by_place ? docket->place_cells : 1;
    for (uint32_t a = 0; a < docket->axis_count; a++) {
        uint64_t cells = wide->free[a] ? wide->source->docket->axes[a].cell_count : 1;
        work *= wide->source->rises && wide->free[a] ? 3 * cells : cells * (cells + 1) / 2;
        if (work > MOST_WORK) {
            return false;
        }
    }
    return wide->maybes < 16 && (work * (wide->tests + 64) << wide->maybes) < MOST_WORK;
}

/* The outcomes between which it lies, and what gives the worst. False: it cannot be told here. */
static bool judge_lists(struct wide *wide, struct come *result)
{
    uint32_t worst = 0, best = UINT32_MAX;
    *result = (struct come){.best = UINT32_MAX};
    for (uint32_t i = 0; i < wide->list_count; i++) {
        struct come all = climb(wide, &wide->all, wide->lists[i]), worse = all, better = all;
        if (!wide->exact) {
            worse = climb(wide, &wide->worse, wide->lists[i]);
            better = climb(wide, &wide->better, wide->lists[i]);
        }
        worst = all.worst > worst ? all.worst : worst;
        best = all.best < best ? all.best : best;
        uint32_t known = better.best < result->best ? better.best : result->best;
        if (!result->limit || worse.worst > result->worst) {
            *result = worse;
        }
        result->best = known;
    }
    return !wide->unsure && result->worst == worst && result->best == best && is_small(wide);
}

/* ---- what is shown ------------------------------------------------------------------------------------- */

static struct number value_of(const struct wide *wide, uint32_t slot)
{
    struct fraction value = wide->worse.of[slot].high;
    return number_multiply(wide->arena, number_make(wide->arena, value.over, value.under),
                           wide->source->scales[slot]);
}

/* The bound that a leaf puts on its value, in base units. */
static bool leaf_bound(const struct wide *wide, const struct fast_test *test, uint32_t slot,
                       struct number *bound)
{
    struct arena *arena = wide->arena;
    const struct fast *fast = wide->fast;
    const struct fast_linear *linear =
        test->map ? &fast->linears[test->linear + fast->maps[test->map + wide->points[test->axis]]]
                  : &test->own;
    if (linear->c == 0 || (test->map && wide->free[test->axis])) {
        return false;
    }
    struct fraction at = wide->places[test->axis];
    struct number sum =
        number_multiply(arena, NUMBER_INT(linear->a), number_make(arena, at.over, at.under));
    sum = number_add(arena, sum, NUMBER_INT(linear->b - test->strict));
    sum = number_divide(arena, sum, NUMBER_INT(-linear->c));
    *bound = number_multiply(arena, sum, wide->source->scales[slot]);
    return true;
}

static bool show_limit(struct wide *wide, const struct fast_step *step, const struct unit *unit,
                       struct outcome_of_row *result)
{
    struct arena *arena = wide->arena;
    const struct fast_test *leaves = &wide->fast->tests[step->leaves];
    struct number bound, next;
    if (!leaf_bound(wide, leaves, step->slot, &bound)) {
        return false;
    }
    for (uint32_t i = 1; i < step->test_count; i++) {
        if (!leaf_bound(wide, &leaves[i], step->slot, &next)) {
            return false;
        }
        bound = step->upper != step->any ? number_least(arena, bound, next)
                                         : number_greatest(arena, bound, next);
    }
    bool rounded;
    const char *text =
        quantity_text(arena, bound, unit, step->upper ? NUMBER_DOWN : NUMBER_UP, &rounded);
    result->limit = figure_marked(arena, text, rounded);
    return true;
}

/* A product is shown as it was compared, in the unit that it has for exact rows. */
static bool show_product(struct wide *wide, const struct fast_step *step,
                         const struct fast_shown *shown, struct outcome_of_row *result)
{
    const struct fast_docket *docket = wide->docket;
    for (uint32_t i = 0; i < docket->measured_count; i++) {
        const struct unit *unit = wide->readings[docket->measured[i]].unit;
        if (dimension_equal(unit->dimension, shown->unit->dimension)) {
            return false; /* it might be shown in that one */
        }
    }
    bool rounded;
    const char *text = quantity_text(wide->arena, value_of(wide, step->slot), shown->unit,
                                     step->upper ? NUMBER_UP : NUMBER_DOWN, &rounded);
    result->reading = figure_marked(wide->arena, text, rounded);
    result->limit = shown->limit;
    return true;
}

static bool show_figure(struct wide *wide, const struct fast_step *step,
                        const struct fast_shown *shown, struct outcome_of_row *result)
{
    struct arena *arena = wide->arena;
    const struct reading *reading = &wide->readings[step->slot];
    if (step->product) {
        return show_product(wide, step, shown, result);
    }
    bool rounded;
    const char *text = recorded_text(arena, reading, value_of(wide, step->slot), reading->unit,
                                     step->upper ? NUMBER_UP : NUMBER_DOWN, &rounded);
    result->reading = figure_marked(arena, text, rounded);
    return show_limit(wide, step, reading->unit, result);
}

static bool show_step(struct wide *wide, const struct fast_step *step,
                      struct outcome_of_row *result)
{
    const struct fast_shown *shown = &wide->fast->shown[step - wide->fast->steps];
    result->name = shown->name;
    if (step->show == FAST_SHOW_FIGURE) {
        return show_figure(wide, step, shown, result);
    }
    if (step->show != FAST_SHOW_VALUES) {
        return false;
    }
    const struct fast_values *values =
        &wide->fast->observations[wide->docket->records[step->slot] - FAST_SEEN];
    result->reading = values->names[__builtin_ctzll(wide->readings[step->slot].values)];
    result->limit = shown->limit;
    return true;
}

static bool show(struct wide *wide, const struct come *come, struct outcome_of_row *result)
{
    const struct fast *fast = wide->fast;
    const struct fast_rung *rung = come->rung;
    const struct fast_step *step = NULL;
    *result = (struct outcome_of_row){
        .judged = true,
        .outcome = come->worst,
        .best = come->best,
        .kind = wide->docket->kind,
        .zone = come->limit->zone,
        .zone_name = fast->book->zones[come->limit->zone].name,
        .rule = fast->lines[rung - fast->rungs].rule,
        .source = fast->lines[rung - fast->rungs].source,
    };
    if (rung > &fast->rungs[come->limit->first_rung]) {
        step = &fast->steps[rung[-1].first_step + come->failed];
    } else if (!rung->is_end) {
        step = fast_first_shown(fast, rung);
    }
    return !step || show_step(wide, step, result);
}

/* ---- a row ------------------------------------------------------------------------------------------------ */

static const struct fast_source *source_of(const struct fast *fast,
                                           const struct fast_docket *docket)
{
    size_t at = (size_t)docket->kind * fast->book->part_count;
    while (fast->dockets[at] != docket) {
        at++;
    }
    return &fast->made_from[at];
}

bool fast_wide(struct sweeper *sweeper, uint32_t book, const struct row *row,
               struct outcome_of_row *result)
{
    const struct sweep *sweep = sweeper->sweep;
    const struct fast *fast = sweep->fast[book];
    if (!fast || row->fault || row->count != sweep->column_count ||
        sweep->books[book]->book->as_read || !row_is_text(row)) {
        return false;
    }
    const struct fast_docket *docket = fast_docket_of(fast, row->cells);
    if (!docket || row_given(row) & ~docket->allowed) {
        return false;
    }
    struct wide wide = {.arena = sweeper->scratch,
                        .fast = fast,
                        .docket = docket,
                        .source = source_of(fast, docket),
                        .row = row,
                        .columns = sweep->columns};
    struct come come;
    return take_records(&wide) && take_places(&wide) && visit_places(&wide) &&
           judge_lists(&wide, &come) && show(&wide, &come, result);
}
