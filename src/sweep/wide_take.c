/* What the cells of a row that is not exact leave possible: readings, and the places where it may lie. */
#include <string.h>

#include "book/range.h"
#include "judge/region.h"
#include "sweep/wide.h"

#define MOST_VISITS 4096 /* of cells */

/* ---- figures as cells have them ------------------------------------------------------------ */

struct typed {
    struct number first, second; /* base units */
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
    typed->unit = typed->unit                   ? typed->unit
                  : typed->given == GIVEN_EXACT ? unit
                                                : typed->second_unit;
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
    return whole.den > 0 && whole.den < WIDE_UNDER;
}

/* ---- readings ---------------------------------------------------------------------------------- */

static bool read_measure(struct wide *wide, const struct measure *measure, struct cell cell,
                         const struct unit *unit, struct reading *reading)
{
    struct arena *arena = wide->arena;
    struct typed typed;
    if (cell.size == 0) {
        *reading = (struct reading){
            .given = GIVEN_NOT, .low = measure->from, .high = measure->to, .unit = measure->unit};
        return true;
    }
    const struct range asked = {measure->from, measure->to};
    if (!read_cell(arena, cell, unit, &typed) || !range_has(arena, &asked, typed.first)) {
        return false;
    }
    *reading = (struct reading){
        .given = typed.given, .low = typed.first, .high = typed.first, .unit = typed.unit};
    if (typed.given == GIVEN_RANGE) {
        reading->high = typed.second;
        return range_has(arena, &asked, typed.second) &&
               number_compare(arena, typed.first, typed.second) <= 0;
    }
    if (typed.given == GIVEN_DOUBT) {
        struct range around = range_around(arena, &asked, typed.first, typed.second);
        reading->low = around.low;
        reading->high = around.high;
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
    if (!read_measure(wide, variable->measure, wide->row->cells[column], wide->columns[column].unit,
                      reading) ||
        !to_fraction(arena, region_round(arena, variable, reading->low), wide->source->scales[slot],
                     &all->low) ||
        !to_fraction(arena, region_round(arena, variable, reading->high),
                     wide->source->scales[slot], &all->high)) {
        return false;
    }
    bool down = variable->measure->smaller_is_worse;
    wide->worse.of[slot].low = wide->worse.of[slot].high = down ? all->low : all->high;
    wide->better.of[slot].low = wide->better.of[slot].high = down ? all->high : all->low;
    wide->exact &= !between_open(all);
    return true;
}

static bool multiply(struct fraction a, struct fraction b, struct fraction *product)
{
    return !__builtin_mul_overflow(a.over, b.over, &product->over) &&
           !__builtin_mul_overflow(a.under, b.under, &product->under) &&
           product->under < WIDE_UNDER;
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

/* Where both factors are in doubt, judge() takes their product as a thing of its own. */
static bool products_straight(const struct wide *wide)
{
    for (uint32_t i = 0; i < wide->docket->product_count; i++) {
        const struct fast_product *product = &wide->docket->products[i];
        if (between_open(&wide->all.of[product->factors[0]]) &&
            between_open(&wide->all.of[product->factors[1]])) {
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

/* The cell of a place, and the last breakpoint at or before it. */
static bool find_cell(const struct fast_axis *axis, struct fraction place, uint32_t *point,
                      uint32_t *cell)
{
    __int128 least = (__int128)axis->low * place.under;
    if (place.over < least || place.over > least + (__int128)axis->range * place.under) {
        return false;
    }
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
    *point = at;
    *cell = 2 * at + ((__int128)axis->points[at] * place.under != there);
    return true;
}

/* Of several places all have to be in one cell. */
static bool find_cells(struct wide *wide, uint32_t index, const struct fast_axis *axis)
{
    const struct where *where = &wide->places[index];
    uint32_t point, cell, last_point, last_cell;
    if (!find_cell(axis, where->low, &point, &cell) ||
        !find_cell(axis, where->high, &last_point, &last_cell) || cell != last_cell) {
        return false;
    }
    wide->points[index] = (uint16_t)point;
    wide->cells[index] = cell;
    return true;
}

/* The longest that what is measured along the axis may be; zero: nothing is. */
static struct number longest_along(const struct wide *wide, uint32_t index)
{
    struct number most = NUMBER_ZERO;
    for (uint32_t along = wide->source->along[index]; along; along &= along - 1) {
        most = number_greatest(wide->arena, most, wide->readings[__builtin_ctz(along)].high);
    }
    return most;
}

/* From what was typed to where it may be, as src/finding has it. */
static bool take_reach(struct wide *wide, uint32_t index, const struct typed *typed,
                       struct number scale)
{
    struct arena *arena = wide->arena;
    struct where *where = &wide->places[index];
    struct number low = typed->first, high = typed->first;
    where->sort = WHERE_POINT;
    if (typed->given == GIVEN_RANGE) {
        where->sort = WHERE_EXTENT;
        high = typed->second;
    } else if (typed->given == GIVEN_DOUBT) {
        where->sort = WHERE_DOUBT;
        low = number_subtract(arena, typed->first, typed->second);
        high = number_add(arena, typed->first, typed->second);
    }
    if (wide->source->along[index]) {
        struct number most = longest_along(wide, index);
        if (where->sort != WHERE_POINT) {
            return false; /* the length is held against the ends, or the doubts add up */
        }
        where->sort = WHERE_WIDENED;
        low = number_subtract(arena, low, most);
        high = number_add(arena, high, most);
    }
    if (number_equal(low, high)) {
        where->sort = WHERE_POINT;
    }
    return number_compare(arena, low, high) <= 0 &&
           to_fraction(arena, typed->first, scale, &where->at) &&
           to_fraction(arena, low, scale, &where->low) &&
           to_fraction(arena, high, scale, &where->high);
}

static bool take_axis(struct wide *wide, uint32_t index)
{
    const struct fast_axis *axis = &wide->docket->part->axes[index];
    struct cell cell = wide->row->cells[axis->column];
    struct number scale = number_divide(wide->arena, axis->unit->factor, NUMBER_INT(FAST_MILLION));
    struct typed typed;
    if (cell.size == 0) {
        wide->free[index] = true;
        return true;
    }
    return read_cell(wide->arena, cell, axis->unit, &typed) &&
           take_reach(wide, index, &typed, scale) && find_cells(wide, index, axis);
}

static bool take_places(struct wide *wide)
{
    const struct fast_docket *docket = wide->docket;
    const struct fast_part *part = docket->part;
    const struct cell *cells = wide->row->cells;
    wide->places[FAST_NO_AXIS] = (struct where){WHERE_POINT, {0, 1}, {0, 1}, {0, 1}};
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
    if (wide->list_count == WIDE_LISTS || members[0] == 0 || members[0] == FAST_SLOW_LIST) {
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

bool wide_take(struct wide *wide)
{
    return take_records(wide) && take_places(wide) && visit_places(wide);
}
