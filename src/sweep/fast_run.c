/* One row by the fast table. Whatever is not plain is left to the general road. */
#include <string.h>

#include "sweep/fast.h"

/* What is known of the rows (that eight bytes may be read from each cell on) is known at compile time. */
#define INLINE inline __attribute__((always_inline))

static INLINE struct cell cells_of(const struct cells *cells, bool spare, uint32_t column)
{
    return spare ? cells_by_stops(cells, column) : cells->own[column];
}

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

#if defined(__SSE2__) && FAST_LITTLE_ENDIAN

/* Of eight bytes the last 0 to 8. */
static const uint64_t tails[] = {0,
                                 UINT64_C(0xFF00000000000000),
                                 UINT64_C(0xFFFF000000000000),
                                 UINT64_C(0xFFFFFF0000000000),
                                 UINT64_C(0xFFFFFFFF00000000),
                                 UINT64_C(0xFFFFFFFFFF000000),
                                 UINT64_C(0xFFFFFFFFFFFF0000),
                                 UINT64_C(0xFFFFFFFFFFFFFF00),
                                 UINT64_MAX};

/* By the bit of the byte with the point: from eight digits, of which the last is empty where there is a
 * point, to millionths. 0: left to read_digits. */
static const uint32_t factors[256] = {
    [0] = 1000000, [4] = 1, [8] = 10, [16] = 100, [32] = 1000, [64] = 10000};

/* By the first character, from which second one on it is not plain: behind 0 no digit comes. */
static const uint8_t first_plain[256] = {
    ['0'] = '0', ['1'] = 255, ['2'] = 255, ['3'] = 255, ['4'] = 255,
    ['5'] = 255, ['6'] = 255, ['7'] = 255, ['8'] = 255, ['9'] = 255};

static INLINE __m128i load_two(const void *low, const void *high)
{
    return _mm_unpacklo_epi64(_mm_loadl_epi64((const __m128i *)low),
                              _mm_loadl_epi64((const __m128i *)high));
}

/* Two of them at once, of at most eight characters, and without a branch for what they are: zeros are put
 * before them, and the point is taken out. Eight bytes may be read up to the end of each. Whatever is
 * not plain is asked of read_digits. */
static INLINE bool read_two(struct cell a, struct cell b, int64_t *x, int64_t *y)
{
    const __m128i zero = _mm_setzero_si128(), one = _mm_set_epi32(0, 1, 0, 1);
    if ((a.size - 1 > 7) | (b.size - 1 > 7)) {
        return read_digits(a, x) && read_digits(b, y);
    }
    __m128i text = load_two(a.bytes + a.size - 8, b.bytes + b.size - 8);
    text = _mm_xor_si128(text, _mm_set1_epi8('0'));
    text = _mm_and_si128(text, load_two(&tails[a.size], &tails[b.size]));
    __m128i point = _mm_cmpeq_epi8(text, _mm_set1_epi8('.' ^ '0'));
    /* All bytes before the first point; without one, all. */
    __m128i before = _mm_sub_epi64(_mm_and_si128(point, _mm_set1_epi8(1)), one);
    __m128i behind = _mm_srli_epi64(_mm_andnot_si128(_mm_or_si128(before, point), text), 8);
    text = _mm_or_si128(_mm_and_si128(before, text), behind);
    __m128i good = _mm_cmpeq_epi8(_mm_subs_epu8(text, _mm_set1_epi8(9)), zero);
    uint32_t points = (uint32_t)_mm_movemask_epi8(point);
    uint32_t factor_a = factors[points & 255], factor_b = factors[points >> 8];
    uint32_t first_a = first_plain[(unsigned char)a.bytes[0]];
    uint32_t first_b = first_plain[(unsigned char)b.bytes[0]];
    if ((_mm_movemask_epi8(good) != 0xFFFF) | !factor_a | !factor_b |
        ((unsigned char)a.bytes[1] >= first_a) | ((unsigned char)b.bytes[1] >= first_b)) {
        return read_digits(a, x) && read_digits(b, y);
    }
    __m128i tens = _mm_mullo_epi16(_mm_and_si128(text, _mm_set1_epi16(255)), _mm_set1_epi16(10));
    text = _mm_add_epi16(tens, _mm_srli_epi16(text, 8));
    text = _mm_madd_epi16(text, _mm_set1_epi32(1 << 16 | 100));
    uint64_t four_a = (uint64_t)_mm_cvtsi128_si64(text);
    uint64_t four_b = (uint64_t)_mm_cvtsi128_si64(_mm_unpackhi_epi64(text, text));
    *x = (int64_t)(((four_a & UINT32_MAX) * 10000 + (four_a >> 32)) * factor_a);
    *y = (int64_t)(((four_b & UINT32_MAX) * 10000 + (four_b >> 32)) * factor_b);
    return true;
}

#else

static INLINE bool read_two(struct cell a, struct cell b, int64_t *x, int64_t *y)
{
    return read_digits(a, x) && read_digits(b, y);
}

#endif

/* `spare`: of an easy row. */
static INLINE bool read_millionths(struct cell a, struct cell b, bool spare, int64_t *x, int64_t *y)
{
    return spare ? read_two(a, b, x, y) : read_digits(a, x) && read_digits(b, y);
}

static INLINE const struct fast_name *find_name(const struct fast_names *names, struct cell cell,
                                                bool spare)
{
    uint64_t key = fast_name_key(cell.bytes, cell.size, spare);
    const struct fast_name *found = &names->slots[fast_name_slot(key)];
    while (found->name) {
        if (found->key == key &&
            (cell.size <= 7 ||
             (found->size == cell.size && memcmp(found->name, cell.bytes, cell.size) == 0))) {
            return found;
        }
        found = found + 1 < names->slots + FAST_NAME_SLOTS ? found + 1 : names->slots;
    }
    return NULL;
}

/* "blade 3" without its number; the number is 0 where there is none. */
static struct cell split_number(struct cell cell, uint32_t *number)
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

static INLINE bool find_value(const struct fast_values *values, struct cell cell, bool spare,
                              uint32_t *index)
{
    uint64_t key = fast_name_key(cell.bytes, cell.size, spare);
    const uint64_t *keys = values->keys;
    if (cell.size <= 7 && values->count <= FAST_FEW) {
        *index =
            (keys[1] == key) | (uint32_t)(keys[2] == key) << 1 | (uint32_t)(keys[3] == key) * 3;
        return keys[*index] == key;
    }
    for (uint32_t i = 0; i < values->count; i++) {
        if (keys[i] == key && strncmp(values->names[i], cell.bytes, cell.size) == 0 &&
            values->names[i][cell.size] == '\0') {
            *index = i;
            return true;
        }
    }
    return false;
}

static const struct fast_name *find_part(const struct fast *fast, struct cell cell, bool spare)
{
    uint32_t number;
    struct cell name = split_number(cell, &number);
    const struct fast_name *part = find_name(&fast->parts, name, spare);
    uint32_t most = part ? fast_instances(&fast->book->parts[part->index]) : 0;
    return part && (most ? number > 0 && number <= most : number == 0) ? part : NULL;
}

static INLINE bool find_names(const struct fast *fast, const struct cells *cells, bool spare,
                              uint32_t *kind_index, uint32_t *part_index)
{
    struct cell cell = cells_of(cells, spare, (uint32_t)fast->part_column);
    const struct fast_name *part = find_name(&fast->instances, cell, spare);
    const struct fast_name *kind =
        find_name(&fast->kinds, cells_of(cells, spare, (uint32_t)fast->kind_column), spare);
    if (!part) {
        part = find_part(fast, cell, spare);
    }
    if (!part || !kind) {
        return false;
    }
    *kind_index = kind->index;
    *part_index = part->index;
    return true;
}

static INLINE const struct fast_docket *find_docket(const struct fast *fast,
                                                    const struct cells *cells, bool spare)
{
    uint32_t kind, part;
    return find_names(fast, cells, spare, &kind, &part)
               ? fast->dockets[(size_t)kind * fast->book->part_count + part]
               : NULL;
}

bool fast_names_of(const struct fast *fast, const struct cell *cells, uint32_t *kind,
                   uint32_t *part)
{
    const struct cells own = {.own = cells};
    return find_names(fast, &own, false, kind, part);
}

bool fast_value(const struct fast_values *values, struct cell cell, uint32_t *index)
{
    return cell.size && find_value(values, cell, false, index);
}

/* ---- readings and places ------------------------------------------------------------------------ */

static INLINE int64_t round_reading(const struct fast_measure *measure, int64_t typed)
{
    uint64_t steps = measure->inverse
                         ? (uint64_t)(((unsigned __int128)(uint64_t)typed * measure->inverse) >> 64)
                         : (uint64_t)typed / measure->step;
    int64_t down = (int64_t)(steps * measure->step);
    int64_t rest = 2 * (typed - down) + (int64_t)(steps & measure->odd);
    return down + (rest > measure->rest ? (int64_t)measure->step : 0);
}

static INLINE bool take_measure(const struct fast_measure *measure, uint32_t slot, int64_t typed,
                                struct fast_row *row)
{
    row->typed[slot] = typed;
    row->values[slot] = round_reading(measure, typed);
    return (uint64_t)(typed - measure->low) <= measure->range;
}

/* What is measured, two by two; the last one alone is taken twice. */
static INLINE bool take_measures(const struct fast *fast, bool spare, struct fast_row *restrict row)
{
    const struct fast_docket *docket = row->docket;
    uint32_t count = docket->measured_count;
    for (uint32_t i = 0; i < count; i += 2) {
        uint32_t next = i + (i + 1 < count);
        uint32_t a = docket->measured[i], b = docket->measured[next];
        const struct fast_measure *first = &fast->measures[docket->records[a]];
        const struct fast_measure *second = &fast->measures[docket->records[b]];
        int64_t x, y;
        if (!read_millionths(cells_of(&row->cells, spare, (uint32_t)first->column),
                             cells_of(&row->cells, spare, (uint32_t)second->column), spare, &x,
                             &y)) {
            return false;
        }
        bool first_good = take_measure(first, a, x, row);
        bool second_good = take_measure(second, b, y, row);
        if (!first_good || !second_good) {
            return false;
        }
    }
    return true;
}

static INLINE bool take_records(const struct fast *fast, bool spare, struct fast_row *restrict row)
{
    const struct fast_docket *docket = row->docket;
    if (!take_measures(fast, spare, row)) {
        return false;
    }
    for (uint32_t i = 0; i < docket->seen_count; i++) {
        uint32_t slot = docket->seen[i], value;
        const struct fast_values *values = &fast->observations[docket->records[slot] - FAST_SEEN];
        if (!find_value(values, cells_of(&row->cells, spare, (uint32_t)values->column), spare,
                        &value)) {
            return false;
        }
        row->values[slot] = (int64_t)(UINT64_C(1) << value);
    }
    for (uint32_t i = 0; i < docket->product_count; i++) {
        const struct fast_product *product = &docket->products[i];
        row->values[product->slot] =
            row->values[product->factors[0]] * row->values[product->factors[1]];
    }
    return true;
}

/* The cell of a place; false where it is not on the axis. */
static INLINE bool find_cell(const struct fast_axis *axis, int64_t place, uint16_t *point,
                             uint32_t *cell)
{
    uint64_t within = (uint64_t)(place - axis->low);
    if (within > axis->range) {
        return false;
    }
    uint32_t at = axis->bucket[within >> axis->shift];
    int64_t there = 2 * place;
    at += axis->points[at + 1] <= there; /* few buckets have more than one */
    while (axis->points[at + 1] <= there) {
        at++;
    }
    *point = (uint16_t)at;
    *cell = 2 * at + (axis->points[at] != there);
    return true;
}

/* Goes on from the list `at` to the one where the places on the axes are. */
static INLINE bool take_axes(bool spare, struct fast_row *restrict row, uint32_t *at)
{
    const struct fast_docket *docket = row->docket;
    uint32_t count = docket->axis_count, cell;
    for (uint32_t a = 0; a < count; a += 2) {
        const struct fast_axis *axis = &docket->part->axes[a], *next = axis + (a + 1 < count);
        if (!read_millionths(cells_of(&row->cells, spare, (uint32_t)axis->column),
                             cells_of(&row->cells, spare, (uint32_t)next->column), spare,
                             &row->places[a], &row->places[a + 1]) ||
            !find_cell(axis, row->places[a], &row->points[a], &cell)) {
            return false;
        }
        *at = *at * docket->class_counts[a] + docket->classes[a][cell];
        if (next != axis) {
            if (!find_cell(next, row->places[a + 1], &row->points[a + 1], &cell)) {
                return false;
            }
            *at = *at * docket->class_counts[a + 1] + docket->classes[a + 1][cell];
        }
    }
    return true;
}

/* The list of the limits that are met. */
static INLINE bool take_places(const struct fast *fast, bool spare, struct fast_row *restrict row)
{
    const struct fast_docket *docket = row->docket;
    const struct fast_part *part = docket->part;
    uint32_t at = 0, found;
    if (part->sides.column >= 0 &&
        !find_value(&part->sides, cells_of(&row->cells, spare, (uint32_t)part->sides.column), spare,
                    &at)) {
        return false;
    }
    if (docket->by_place) {
        if (!find_value(&part->places, cells_of(&row->cells, spare, (uint32_t)part->places.column),
                        spare, &found)) {
            return false;
        }
        at = at * docket->place_cells + 2 * found;
    }
    if (!take_axes(spare, row, &at)) {
        return false;
    }
    row->places[FAST_NO_AXIS] = 0;
    row->points[FAST_NO_AXIS] = 0;
    row->members = fast->members + docket->lists[at];
    return row->members[0] != FAST_SLOW_LIST;
}

/* ---- tests ------------------------------------------------------------------------------------------ */

static inline bool one_holds(const struct fast *fast, const struct fast_test *test,
                             const struct fast_row *row)
{
    const struct fast_linear *linear = fast_linear_at(fast, test, row->points);
    int64_t sum =
        linear->c * row->values[test->slots & 15] + linear->a * row->places[test->axis] + linear->b;
    return sum <= 0;
}

/* Any other sort. */
static bool other_holds(const struct fast *fast, const struct fast_test *test,
                        const struct fast_row *row)
{
    if (test->sort == FAST_VALUES) {
        return ((uint64_t)row->values[test->slots] & ~(uint64_t)test->own.b) == 0;
    }
    if (test->sort == FAST_TWO) {
        const struct fast_linear *linear = fast_piece_at(fast, test, row->points);
        int64_t sum = linear[0].c * row->values[test->slots & 15] +
                      linear[1].c * row->values[test->slots >> 4] +
                      linear[0].a * row->places[test->axis] + linear[0].b;
        return sum <= 0;
    }
    for (uint32_t i = 1; i <= (uint32_t)test->own.b; i++) {
        const struct fast_test *some = test + i;
        if (some->sort == FAST_ONE ? one_holds(fast, some, row) : other_holds(fast, some, row)) {
            return true;
        }
    }
    return false;
}

/* Does a line hold? If not, *failed is its first condition that does not. */
static INLINE bool rung_holds(const struct fast *fast, const struct fast_rung *rung,
                              const struct fast_row *row, uint32_t *failed)
{
    const struct fast_test *test = fast->tests + rung->first_test;
    const struct fast_test *end = test + rung->test_count;
    for (; test < end; test++) {
        bool holds = true;
        if (test->sort == FAST_ONE) {
            holds = one_holds(fast, test, row);
        } else {
            holds = other_holds(fast, test, row);
        }
        if (!holds) {
            *failed = test->step;
            return false;
        }
        test += test->sort == FAST_SOME ? test->own.b : 0;
    }
    return true;
}

/* ---- stages ------------------------------------------------------------------------------------------- */

static INLINE void begin_row(const struct fast *fast, uint64_t given, bool spare,
                             struct fast_row *restrict row)
{
    const struct fast_docket *docket = find_docket(fast, &row->cells, spare);
    row->docket = docket;
    row->judged =
        docket && (given & docket->needed) == docket->needed && !(given & ~docket->allowed);
}

static INLINE void take_figures(const struct fast *fast, bool spare, struct fast_row *restrict row)
{
    row->judged = row->judged && take_records(fast, spare, row) && take_places(fast, spare, row);
}

/* Climbs the ladders of the limits that are met. */
static INLINE void climb(const struct fast *fast, struct fast_row *restrict row)
{
    row->limit = NULL;
    row->rung = NULL;
    row->shown = NULL;
    row->outcome = fast->book->no_published_limit;
    uint32_t count = row->members[0];
    for (uint32_t i = 1; i <= count; i++) {
        const struct fast_limit *limit = &fast->limits[row->members[i]];
        const struct fast_rung *first = &fast->rungs[limit->first_rung], *rung = first;
        uint32_t failed = 0;
        while (!rung_holds(fast, rung, row, &failed)) { /* the end has nothing to hold */
            rung++;
        }
        /* The worst governs; of several, the first. */
        if (i == 1 || rung->outcome > row->outcome) {
            row->limit = limit;
            row->rung = rung;
            row->outcome = rung->outcome;
            row->shown = rung > first   ? &fast->steps[rung[-1].first_step + failed]
                         : rung->is_end ? NULL
                                        : fast_first_shown(fast, rung);
        }
    }
}

void fast_judge(const struct fast *fast, uint64_t given, struct fast_row *row)
{
    begin_row(fast, given, false, row);
    take_figures(fast, false, row);
    fast_climb(fast, row, 1);
}

void fast_take(const struct fast *fast, struct fast_row *rows, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++) {
        begin_row(fast, cells_given(rows[i].cells.stops, fast->column_count), true, &rows[i]);
    }
    for (uint32_t i = 0; i < count; i++) {
        take_figures(fast, true, &rows[i]);
    }
}

void fast_climb(const struct fast *fast, struct fast_row *rows, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++) {
        if (rows[i].judged) {
            climb(fast, &rows[i]);
        }
    }
}
