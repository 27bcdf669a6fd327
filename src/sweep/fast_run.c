/* One row by the fast table. Whatever is not plain is left to the general road. */
#include <string.h>

#include "sweep/fast.h"

/* ---- cells --------------------------------------------------------------------------------- */

static const int64_t to_millionths[7] = {1000000, 100000, 10000, 1000, 100, 10, 1};

/* A decimal as number_read takes it, with at most nine digits before and six behind its point. */
static bool read_digits(struct cell cell, int64_t *value)
{
    const char *at = cell.bytes, *end = at + cell.size;
    const char *first = at;
    uint64_t whole = 0, part = 0;
    while (at < end && (unsigned)(*at - '0') < 10) {
        whole = whole * 10 + (unsigned)(*at++ - '0');
    }
    ptrdiff_t digits = at - first;
    if (digits == 0 || digits > 9 || (digits > 1 && *first == '0')) {
        return false;
    }
    if (at == end) {
        *value = (int64_t)whole * FAST_MILLION;
        return true;
    }
    if (*at++ != '.') {
        return false;
    }
    first = at;
    while (at < end && (unsigned)(*at - '0') < 10) {
        part = part * 10 + (unsigned)(*at++ - '0');
    }
    digits = at - first;
    if (at != end || digits == 0 || digits > 6) {
        return false;
    }
    *value = (int64_t)whole * FAST_MILLION + (int64_t)part * to_millionths[digits];
    return true;
}

#if defined(__BYTE_ORDER__) && __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__

#define EACH_BYTE UINT64_C(0x0101010101010101)

/* The same for at most eight characters, all at once: the text is moved to the end of eight
 * bytes, zeros stand before it, and the point is taken out. */
static inline bool read_millionths(struct cell cell, const char *end, int64_t *value)
{
    uint32_t size = cell.size;
    if (size > 8 || size == 0 || !end || end - cell.bytes < 8) {
        return read_digits(cell, value);
    }
    uint64_t word;
    memcpy(&word, cell.bytes, 8);
    char first = (char)word;
    uint32_t blank = 64 - 8 * size; /* bits before the text */
    word <<= blank;
    word |= size == 8 ? 0 : (EACH_BYTE * '0') >> (8 * size);
    uint64_t points = word ^ EACH_BYTE * '.';
    points = (points - EACH_BYTE) & ~points & EACH_BYTE * 0x80;
    uint32_t at = points ? (uint32_t)__builtin_ctzll(points) & ~7u : 64; /* bits before the point */
    uint32_t whole = (at - blank) / 8, decimals = at == 64 ? 0 : 7 - at / 8;
    if (at <= blank || (whole > 1 && first == '0') || decimals > 6 || (at != 64 && !decimals)) {
        return false;
    }
    if (at != 64) {
        uint64_t before = word & ((UINT64_C(1) << at) - 1);
        uint64_t behind = at == 56 ? 0 : word >> (at + 8) << (at + 8);
        word = behind | before << 8 | '0';
    }
    word ^= EACH_BYTE * '0';
    if (((word + EACH_BYTE * 6) | word) & EACH_BYTE * 0xF0) {
        return false;
    }
    word = word * 10 + (word >> 8);
    word = ((word & UINT64_C(0x000000FF000000FF)) * UINT64_C(0x000F424000000064) +
            ((word >> 16) & UINT64_C(0x000000FF000000FF)) * UINT64_C(0x0000271000000001)) >>
           32;
    *value = (int64_t)(uint32_t)word * to_millionths[decimals];
    return true;
}

#else

static inline bool read_millionths(struct cell cell, const char *end, int64_t *value)
{
    (void)end;
    return read_digits(cell, value);
}

#endif

static inline bool find_name(const struct fast_names *names, struct cell cell, const char *end,
                             uint32_t *index)
{
    uint64_t key = fast_name_key(cell.bytes, cell.size, end);
    for (uint32_t slot = fast_name_slot(key); names->slots[slot];
         slot = (slot + 1) % FAST_NAME_SLOTS) {
        uint32_t found = names->slots[slot] - 1u;
        if (names->keys[slot] == key && names->sizes[found] == cell.size &&
            (cell.size <= 7 || memcmp(names->names[found], cell.bytes, cell.size) == 0)) {
            *index = found;
            return true;
        }
    }
    return false;
}

/* "blade 3" without its number; the number is 0 where there is none. */
static inline struct cell split_number(struct cell cell, uint32_t *number)
{
    const char *begin = cell.bytes, *at = begin + cell.size;
    uint32_t value = 0, unit = 1;
    while (at > begin && (unsigned)(at[-1] - '0') < 10 && unit < 1000) {
        at--;
        value += unit * (unsigned)(*at - '0');
        unit *= 10;
    }
    *number = 0;
    if (unit == 1 || at - begin < 2 || at[-1] != ' ' || *at == '0') {
        return cell;
    }
    *number = value;
    return (struct cell){begin, (uint32_t)(at - 1 - begin)};
}

static inline bool find_among(const char *const *names, const uint64_t *keys, uint32_t count,
                              struct cell cell, const char *end, uint32_t *index)
{
    uint64_t key = fast_name_key(cell.bytes, cell.size, end);
    for (uint32_t i = 0; i < count; i++) {
        /* A key holds the size and the first eight bytes together, so a longer name may have that of
         * a shorter one. Equal keys have at least the cell's bytes, up to seven, in common. */
        if (keys[i] == key && (cell.size <= 7 || strncmp(names[i], cell.bytes, cell.size) == 0) &&
            names[i][cell.size] == '\0') {
            *index = i;
            return true;
        }
    }
    return false;
}

static inline const struct fast_docket *find_docket(const struct fast *fast,
                                                    const struct cell *cells, const char *end)
{
    uint32_t kind, part, number;
    struct cell name = split_number(cells[fast->part_column], &number);
    if (!find_name(&fast->kinds, cells[fast->kind_column], end, &kind) ||
        !find_name(&fast->parts, name, end, &part)) {
        return NULL;
    }
    const struct fast_docket *docket =
        fast->dockets[(size_t)kind * fast->book->part_count + part];
    if (!docket) {
        return NULL;
    }
    bool numbered = docket->most_instances ? number > 0 && number <= docket->most_instances
                                           : number == 0;
    return numbered ? docket : NULL;
}

/* ---- readings and places ------------------------------------------------------------------------ */

static inline int64_t round_reading(const struct fast_record *record, int64_t typed)
{
    uint64_t steps = record->inverse ? (uint64_t)(((unsigned __int128)(uint64_t)typed *
                                                   record->inverse) >> 64)
                                     : (uint64_t)typed / (uint64_t)record->step;
    int64_t down = (int64_t)steps * record->step;
    int64_t rest = typed - down;
    if (rest == 0) {
        return typed;
    }
    if (record->to_nearest) {
        int64_t twice = 2 * rest;
        bool up = twice > record->step || (twice == record->step && steps % 2 != 0);
        return up ? down + record->step : down;
    }
    return record->round_down ? down : down + record->step;
}

static inline bool take_records(const struct fast_docket *docket, const struct cell *cells,
                                const char *end, struct fast_result *result)
{
    for (uint32_t i = 0; i < docket->record_count; i++) {
        const struct fast_record *record = &docket->records[i];
        struct cell cell = cells[record->column];
        if (record->measured) {
            int64_t typed;
            if (!read_millionths(cell, end, &typed) || typed < record->low || typed > record->high) {
                return false;
            }
            result->typed[i] = typed;
            result->values[i] = record->rounds ? round_reading(record, typed) : typed;
        } else {
            uint32_t value;
            const struct observation *observation = record->observation;
            if (!find_among((const char *const *)observation->values, record->keys,
                            observation->value_count, cell, end, &value)) {
                return false;
            }
            result->values[i] = (int64_t)(UINT64_C(1) << value);
        }
    }
    for (uint32_t i = 0; i < docket->product_count; i++) {
        const struct fast_product *product = &docket->products[i];
        result->values[product->slot] =
            result->values[product->factors[0]] * result->values[product->factors[1]];
    }
    return true;
}

static inline bool take_place(const struct fast_axis *axis, struct cell cell, const char *end,
                              int64_t *place, uint32_t *found)
{
    if (!read_millionths(cell, end, place) || *place < axis->low || *place > axis->high) {
        return false;
    }
    uint32_t at = axis->bucket[(uint64_t)(*place - axis->low) >> axis->shift];
    while (at + 1 < axis->breakpoint_count && axis->breakpoints[at + 1] <= *place) {
        at++;
    }
    *found = 2 * at + (axis->breakpoints[at] != *place);
    return true;
}

/* The list of the limits that are met. */
static inline bool take_places(const struct fast_docket *docket, const struct cell *cells,
                               const char *end, struct fast_result *result, uint32_t *list)
{
    uint32_t at = 0, name;
    if (docket->side_column >= 0) {
        const struct part *part = docket->part;
        if (!find_among((const char *const *)part->sides, docket->side_keys, part->side_count,
                        cells[docket->side_column], end, &at)) {
            return false;
        }
    }
    if (docket->by_place) {
        const struct part *part = docket->part;
        if (!find_among((const char *const *)part->places, docket->place_keys, part->place_count,
                        cells[docket->place_column], end, &name)) {
            return false;
        }
        *list = docket->lists[at * docket->cell_count + 2 * name];
        return true;
    }
    for (uint32_t a = 0; a < docket->axis_count; a++) {
        if (!take_place(&docket->axes[a], cells[docket->axes[a].column], end,
                        &result->places[a], &result->cells[a])) {
            return false;
        }
        at = at * docket->cells_of[a] + result->cells[a];
    }
    *list = docket->lists[at];
    return true;
}

/* ---- tests ------------------------------------------------------------------------------------------ */

static inline bool test_holds(const struct fast_test *test, const struct fast_result *result)
{
    int64_t value = result->values[test->slots[0]];
    switch (test->sort) {
    case FAST_AT_MOST:
        return value <= test->bound;
    case FAST_AT_LEAST:
        return value >= test->bound;
    case FAST_VALUES:
        return ((uint64_t)value & ~test->values) == 0;
    default:
        break;
    }
    const struct fast_linear *linear = test->linear;
    int64_t place = 0;
    if (test->placed) {
        linear += result->cells[test->axis] / 2;
        place = result->places[test->axis];
    }
    int64_t sum = linear->c[0] * value + linear->c[1] * result->values[test->slots[1]] +
                  linear->a * place + linear->b;
    return sum < (test->strict ? 0 : 1);
}

static bool any_holds(const struct fast_test *tests, uint32_t count,
                      const struct fast_result *result)
{
    for (uint32_t i = 0; i < count; i++) {
        if (test_holds(&tests[i], result)) {
            return true;
        }
    }
    return false;
}

/* Does a line hold? If not, *failed is its first condition that does not. */
static inline bool rung_holds(const struct fast *fast, const struct fast_rung *rung,
                              const struct fast_result *result, uint32_t *failed)
{
    const struct fast_test *test = fast->tests + rung->first_test;
    const struct fast_test *end = test + rung->test_count;
    while (test < end) {
        if (test->sort == FAST_ANY) {
            if (!any_holds(test + 1, test->count, result)) {
                *failed = test->step;
                return false;
            }
            test += 1 + test->count;
            continue;
        }
        if (!test_holds(test, result)) {
            *failed = test->step;
            return false;
        }
        test++;
    }
    return true;
}

/* The first comparison of a line that has something to show. */
static const struct fast_step *first_shown(const struct fast *fast, const struct fast_rung *rung)
{
    for (uint32_t s = 0; s < rung->step_count; s++) {
        const struct fast_step *step = &fast->steps[rung->first_step + s];
        if (step->show != FAST_SHOW_NOTHING) {
            return step;
        }
    }
    return NULL;
}

bool fast_judge(const struct fast *fast, const struct cell *cells, uint64_t given, const char *end,
                struct fast_result *result)
{
    const struct fast_docket *docket = find_docket(fast, cells, end);
    uint32_t list;
    if (!docket || (given & docket->needed) != docket->needed || (given & ~docket->allowed) ||
        !take_records(docket, cells, end, result) ||
        !take_places(docket, cells, end, result, &list)) {
        return false;
    }
    result->docket = docket;
    result->limit = NULL;
    result->line = NULL;
    result->shown = NULL;
    result->outcome = fast->book->no_published_limit;
    uint32_t from = docket->list_start[list], to = docket->list_start[list + 1];
    for (uint32_t i = from; i < to; i++) {
        const struct fast_limit *limit = &docket->limits[docket->members[i]];
        const struct fast_rung *first = &fast->rungs[limit->first_rung], *rung = first;
        uint32_t failed = 0;
        while (!rung->is_end && !rung_holds(fast, rung, result, &failed)) {
            rung++;
        }
        /* The worst governs; of several, the first. */
        if (i == from || rung->outcome > result->outcome) {
            result->limit = limit;
            result->line = &fast->lines[rung - fast->rungs];
            result->outcome = rung->outcome;
            result->shown = rung > first    ? &fast->steps[rung[-1].first_step + failed]
                            : rung->is_end ? NULL
                                           : first_shown(fast, rung);
        }
    }
    return true;
}
