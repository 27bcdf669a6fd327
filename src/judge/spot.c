/* Spots: the ways of lying on an axis that the ladders can tell apart. */
#include <string.h>

#include "judge/survey.h"

/* ---- heights ------------------------------------------------------------------------------- */

static struct number function_at(const struct survey *survey, const struct place_function *function,
                                 uint32_t breakpoint)
{
    if (breakpoint < function->first || breakpoint - function->first >= function->point_count) {
        arena_escape(survey->arena,
                     STAVE_MISUSE); /* book_check refuses a curve that is too short */
    }
    return function->values[breakpoint - function->first];
}

static void raise_flat(struct arena *arena, struct height *height, struct number value,
                       bool reached)
{
    int order = height->flat ? number_compare(arena, value, height->flat_value) : 1;
    if (order > 0) {
        height->flat = true;
        height->flat_value = value;
        height->flat_reached = reached;
    } else if (order == 0) {
        height->flat_reached |= reached;
    }
}

/* How an extent covers a cell. */
enum cover { COVER_WHOLE, COVER_FROM_LO, COVER_TO_HI, COVER_BOTH };

/* The least and the greatest of slope * x + base over a stretch. */
static struct spot_end line_range(struct arena *arena, struct number slope, struct number base,
                                  const struct spot_end *over)
{
    struct number low = number_add(arena, number_multiply(arena, slope, over->low), base);
    struct number high = number_add(arena, number_multiply(arena, slope, over->high), base);
    if (number_sign(slope) >= 0) {
        return (struct spot_end){low, high, over->low_open, over->high_open};
    }
    return (struct spot_end){high, low, over->high_open, over->low_open};
}

/* Before any mark: what it keeps may be in the arena. */
static struct cell_line *line_in_cell(const struct survey *survey, uint32_t f, uint32_t cell)
{
    struct arena *arena = survey->arena;
    struct cell_line *line = &survey->lines[cell * survey->out->function_count + f];
    if (!line->known) {
        const struct place_function *function = survey->out->functions[f];
        const struct number *at = survey->docket->axes[survey->axis].breakpoints + cell / 2;
        struct number from = function_at(survey, function, cell / 2);
        struct number to = function_at(survey, function, cell / 2 + 1);
        line->slope = number_divide(arena, number_subtract(arena, to, from),
                                    number_subtract(arena, at[1], at[0]));
        line->base = number_subtract(arena, from, number_multiply(arena, line->slope, at[0]));
        line->at_lo = line_range(arena, line->slope, line->base, &survey->lo_ends[cell]);
        line->at_hi = line_range(arena, line->slope, line->base, &survey->hi_ends[cell]);
        line->known = true;
    }
    return line;
}

static void add_line(const struct survey *survey, struct height *height, bool at_lo, uint32_t f,
                     uint32_t cell)
{
    const struct cell_line *line = line_in_cell(survey, f, cell);
    if (at_lo) {
        height->at_lo = true;
        height->lo_slope = line->slope;
        height->lo_base = line->base;
    } else {
        height->at_hi = true;
        height->hi_slope = line->slope;
        height->hi_base = line->base;
    }
}

static void add_cell(const struct survey *survey, struct height *height, uint32_t f, uint32_t cell,
                     enum cover cover)
{
    struct arena *arena = survey->arena;
    const struct place_function *function = survey->out->functions[f];
    struct number from = function_at(survey, function, cell / 2);
    if (cell % 2 == 0) {
        raise_flat(arena, height, from, true);
        return;
    }
    struct number to = function_at(survey, function, cell / 2 + 1);
    int rises = number_compare(arena, to, from);
    bool to_end = cover == COVER_WHOLE || cover == COVER_FROM_LO; /* its upper end is left out */
    bool from_end = cover == COVER_WHOLE || cover == COVER_TO_HI;
    if (rises == 0) {
        raise_flat(arena, height, from, true);
    } else if (rises > 0 && to_end) {
        raise_flat(arena, height, to, false);
    } else if (rises < 0 && from_end) {
        raise_flat(arena, height, from, false);
    } else {
        add_line(survey, height, rises < 0 || survey->out->point, f, cell);
    }
}

static void add_cell_to_all(const struct survey *survey, bool *touched, struct height *heights,
                            uint32_t cell, enum cover cover)
{
    uint32_t slice = survey->slice_of[cell];
    touched[slice] = true;
    for (uint32_t m = survey->matters_from[slice]; m < survey->matters_from[slice + 1]; m++) {
        add_cell(survey, &heights[m], survey->matters[m], cell, cover);
    }
}

/* Can a flat height decide alone (1), a line alone (-1), or does each matter (0)? */
static int weigh(struct arena *arena, const struct height *height, const struct spot_end *line)
{
    int top = number_compare(arena, line->high, height->flat_value);
    if (top < 0 || (top == 0 && (height->flat_reached || line->high_open))) {
        return 1;
    }
    return number_compare(arena, line->low, height->flat_value) >= 0 ? -1 : 0;
}

/* The same where lo is; that it is below hi may bound it further where both are in one cell. */
static struct spot_end range_at_lo(const struct survey *survey, const struct spot *spot, uint32_t f)
{
    const struct cell_line *line = line_in_cell(survey, f, spot->lo_cell);
    return spot->lo_cell == spot->hi_cell
               ? line_range(survey->arena, line->slope, line->base, &spot->lo)
               : line->at_lo;
}

static struct spot_end range_at_hi(const struct survey *survey, const struct spot *spot, uint32_t f)
{
    const struct cell_line *line = line_in_cell(survey, f, spot->hi_cell);
    return spot->lo_cell == spot->hi_cell
               ? line_range(survey->arena, line->slope, line->base, &spot->hi)
               : line->at_hi;
}

/* Leaves out what can never be the greatest, so that like extents look alike. */
static void simplify(const struct survey *survey, struct height *height, const struct spot *spot,
                     uint32_t f)
{
    struct arena *arena = survey->arena;
    if (!height->at_lo && !height->at_hi) {
        return;
    }
    struct spot_end lo = {0}, hi = {0};
    if (height->at_lo) {
        lo = range_at_lo(survey, spot, f);
        if (number_equal(lo.low, lo.high)) {
            raise_flat(arena, height, lo.low, true);
            height->at_lo = false;
        }
    }
    if (height->at_hi) {
        hi = range_at_hi(survey, spot, f);
        if (number_equal(hi.low, hi.high)) {
            raise_flat(arena, height, hi.low, true);
            height->at_hi = false;
        }
    }
    if (height->at_lo && height->at_hi) {
        if (number_compare(arena, lo.high, hi.low) <= 0) {
            height->at_lo = false;
        } else if (number_compare(arena, hi.high, lo.low) <= 0) {
            height->at_hi = false;
        }
    }
    int by_lo = height->flat && height->at_lo ? weigh(arena, height, &lo) : 0;
    int by_hi = height->flat && height->at_hi ? weigh(arena, height, &hi) : 0;
    if (by_lo > 0) {
        height->at_lo = false;
    }
    if (by_hi > 0) {
        height->at_hi = false;
    }
    if (by_lo < 0 || by_hi < 0) {
        height->flat = height->flat_reached = false;
    }
}

/* ---- spots ------------------------------------------------------------------------------------ */

static bool same_number(bool there, struct number a, struct number b)
{
    return !there || number_equal(a, b);
}

static bool same_height(const struct height *a, const struct height *b)
{
    return a->flat == b->flat && a->at_lo == b->at_lo && a->at_hi == b->at_hi &&
           a->flat_reached == b->flat_reached &&
           same_number(a->flat, a->flat_value, b->flat_value) &&
           same_number(a->at_lo, a->lo_slope, b->lo_slope) &&
           same_number(a->at_lo, a->lo_base, b->lo_base) &&
           same_number(a->at_hi, a->hi_slope, b->hi_slope) &&
           same_number(a->at_hi, a->hi_base, b->hi_base);
}

static bool same_end(const struct spot_end *a, const struct spot_end *b)
{
    return number_equal(a->low, b->low) && number_equal(a->high, b->high) &&
           a->low_open == b->low_open && a->high_open == b->high_open;
}

static bool same_spot(const struct spot *a, const struct spot *b, uint32_t functions)
{
    if (a->slice_count != b->slice_count || a->uses_lo != b->uses_lo || a->uses_hi != b->uses_hi ||
        a->ordered != b->ordered ||
        memcmp(a->slices, b->slices, a->slice_count * sizeof *a->slices) != 0 ||
        (a->uses_lo && !same_end(&a->lo, &b->lo)) || (a->uses_hi && !same_end(&a->hi, &b->hi))) {
        return false;
    }
    for (uint32_t i = 0; i < a->slice_count * functions; i++) {
        if (!same_height(&a->heights[i], &b->heights[i])) {
            return false;
        }
    }
    return true;
}

static uint64_t mix(uint64_t hash, uint64_t value)
{
    hash = (hash ^ value) * UINT64_C(0x9e3779b97f4a7c15);
    return hash ^ hash >> 29;
}

/* Big numbers count by their presence alone, small ones by their value. */
static uint64_t mix_number(uint64_t hash, bool there, struct number number)
{
    return there ? mix(mix(hash, (uint64_t)number.den),
                       number.den ? (uint64_t)number.num : UINT64_C(0))
                 : hash;
}

static uint64_t hash_spot(const struct spot *spot, uint32_t functions)
{
    uint64_t hash = spot->slice_count;
    for (uint32_t i = 0; i < spot->slice_count; i++) {
        hash = mix(hash, spot->slices[i]);
    }
    for (uint32_t i = 0; i < spot->slice_count * functions; i++) {
        const struct height *height = &spot->heights[i];
        hash = mix_number(hash, height->flat, height->flat_value);
        hash = mix_number(hash, height->at_lo, height->lo_base);
        hash = mix_number(hash, height->at_hi, height->hi_base);
    }
    hash = mix_number(hash, spot->uses_lo, spot->lo.low);
    return mix_number(hash, spot->uses_hi, spot->hi.high);
}

static void table_put(const struct survey *survey, uint64_t hash, uint32_t value)
{
    uint64_t at = hash & (survey->table_size - 1);
    while (survey->table[at]) {
        at = (at + 1) & (survey->table_size - 1);
    }
    survey->table[at] = value;
}

static void table_grow(struct survey *survey)
{
    struct spot_axis *out = survey->out;
    if (2 * (out->spot_count + 1) <= survey->table_size) {
        return;
    }
    survey->table_size = survey->table_size ? 2 * survey->table_size : 64;
    survey->table = ARENA_ARRAY(survey->arena, uint32_t, survey->table_size);
    for (uint32_t i = 0; i < out->spot_count; i++) {
        table_put(survey, survey->hashes[i], i + 1);
    }
}

/* The index + 1 of a spot that is like this one; 0: there is none. */
static uint32_t known_spot(const struct survey *survey, const struct spot *spot, uint64_t hash)
{
    const struct spot_axis *out = survey->out;
    uint64_t at = survey->table_size ? hash & (survey->table_size - 1) : 0;
    for (; survey->table_size && survey->table[at]; at = (at + 1) & (survey->table_size - 1)) {
        uint32_t i = survey->table[at] - 1;
        if (survey->hashes[i] == hash && same_spot(&out->spots[i], spot, out->function_count)) {
            return i + 1;
        }
    }
    return 0;
}

/* Closes up what is touched and how high it is into a spot. */
static void pack(const struct survey *survey, struct spot *spot, const bool *touched,
                 const struct height *heights)
{
    const struct spot_axis *out = survey->out;
    uint32_t functions = out->function_count;
    for (uint32_t s = 0; s < out->slice_count; s++) {
        spot->slice_count += touched[s];
    }
    spot->slices = ARENA_ARRAY(survey->arena, uint32_t, spot->slice_count);
    spot->heights =
        ARENA_ARRAY(survey->arena, struct height, (size_t)spot->slice_count * functions);
    uint32_t i = 0;
    for (uint32_t s = 0; s < out->slice_count; s++) {
        if (!touched[s]) {
            continue;
        }
        spot->slices[i] = s;
        for (uint32_t m = survey->matters_from[s]; m < survey->matters_from[s + 1]; m++) {
            struct height *height = &spot->heights[i * functions + survey->matters[m]];
            *height = heights[m];
            simplify(survey, height, spot, survey->matters[m]);
            spot->uses_lo |= height->at_lo;
            spot->uses_hi |= height->at_hi;
        }
        i++;
    }
}

/* Where lo and hi are in one open cell, lo <= hi bounds each by the other; false when impossible. */
static bool order_ends(struct arena *arena, struct spot *spot)
{
    int high = number_compare(arena, spot->lo.high, spot->hi.high);
    if (high > 0 || (high == 0 && spot->hi.high_open)) {
        spot->lo.high = spot->hi.high;
        spot->lo.high_open = spot->hi.high_open;
    }
    int low = number_compare(arena, spot->hi.low, spot->lo.low);
    if (low < 0 || (low == 0 && spot->lo.low_open)) {
        spot->hi.low = spot->lo.low;
        spot->hi.low_open = spot->lo.low_open;
    }
    int order = number_compare(arena, spot->lo.low, spot->lo.high);
    return order < 0 || (order == 0 && !spot->lo.low_open && !spot->lo.high_open);
}

static void add_pair(struct survey *survey, uint32_t i, uint32_t j, bool end, bool *touched,
                     struct height *heights)
{
    struct spot_axis *out = survey->out;
    struct spot spot = {
        .lo_cell = i, .hi_cell = j, .lo = survey->lo_ends[i], .hi = survey->hi_ends[j]};
    if (i == j && i % 2 == 1 && !order_ends(survey->arena, &spot)) {
        return;
    }
    uint32_t count = survey->matters_from[out->slice_count];
    memcpy(touched, survey->touched, out->slice_count * sizeof *touched);
    if (count) {
        memcpy(heights, survey->passed, count * sizeof *heights);
    }
    if (i == j) {
        add_cell_to_all(survey, touched, heights, i, COVER_BOTH);
    } else {
        add_cell_to_all(survey, touched, heights, i, COVER_FROM_LO);
        add_cell_to_all(survey, touched, heights, j, COVER_TO_HI);
    }
    struct arena_mark memory = arena_mark(survey->arena);
    pack(survey, &spot, touched, heights);
    spot.ordered = spot.uses_lo && spot.uses_hi && i == j;
    uint64_t hash = hash_spot(&spot, out->function_count);
    uint32_t known = known_spot(survey, &spot, hash);
    if (known) {
        arena_release(survey->arena, memory);
    } else {
        table_grow(survey);
        *ARENA_PUSH(survey->arena, out->spots, out->spot_count, survey->capacity) = spot;
        *ARENA_PUSH(survey->arena, survey->hashes, survey->hash_count, survey->hash_capacity) = hash;
        table_put(survey, hash, out->spot_count);
        known = out->spot_count;
    }
    out->spots[known - 1].end |= end;
    if (out->point) {
        out->spot_of[i] = known - 1;
    }
}

static void add_pairs(struct survey *survey)
{
    struct spot_axis *out = survey->out;
    uint32_t first = survey->first_cell[survey->axis], last = survey->last_cell[survey->axis];
    size_t count = survey->matters_from[out->slice_count];
    bool *touched = ARENA_ARRAY(survey->arena, bool, out->slice_count);
    struct height *heights = ARENA_ARRAY(survey->arena, struct height, count);
    out->spot_of = ARENA_ARRAY(survey->arena, uint32_t, (size_t)last + 1);
    survey->lines = ARENA_ARRAY(survey->arena, struct cell_line,
                                ((size_t)last + 1) * out->function_count);
    survey->touched = ARENA_ARRAY(survey->arena, bool, out->slice_count);
    survey->passed = ARENA_ARRAY(survey->arena, struct height, count);
    uint32_t low = first, high_low = last, low_high = last; /* where lo can be first, lo last, hi first */
    while (!survey->lo_fits[low]) {
        low++;
    }
    while (!survey->lo_fits[high_low]) {
        high_low--;
    }
    for (uint32_t c = last + 1; c-- > first;) {
        low_high = survey->hi_fits[c] ? c : low_high;
    }
    for (uint32_t i = first; i <= last; i++) {
        if (!survey->lo_fits[i]) {
            continue;
        }
        memset(survey->touched, 0, out->slice_count * sizeof *touched);
        for (size_t h = 0; h < count; h++) {
            survey->passed[h] = (struct height){0};
        }
        uint32_t least = i == high_low && low_high > i ? low_high : i;
        uint32_t to = survey->box.point ? i : survey->ends && i != low ? least : last;
        for (uint32_t j = i; j <= to; j++) {
            if (j > i + 1) {
                add_cell_to_all(survey, survey->touched, survey->passed, j - 1, COVER_WHOLE);
            }
            bool end = i == low || j == i || j == least;
            if (survey->hi_fits[j] && (end || !survey->ends)) {
                add_pair(survey, i, j, end, touched, heights);
            }
        }
    }
}

/* ---- from the finding ---------------------------------------------------------------------------- */

/* Part of [low, high] in a cell; false when there is none. */
static bool end_in_cell(struct arena *arena, const struct plan_axis *axis, uint32_t cell,
                        struct number low, struct number high, struct spot_end *end)
{
    struct number from = axis->breakpoints[cell / 2];
    if (cell % 2 == 0) {
        *end = (struct spot_end){from, from, false, false};
        return number_compare(arena, low, from) <= 0 && number_compare(arena, from, high) <= 0;
    }
    struct number to = axis->breakpoints[cell / 2 + 1];
    bool low_open = number_compare(arena, low, from) <= 0;
    bool high_open = number_compare(arena, high, to) >= 0;
    *end = (struct spot_end){low_open ? from : low, high_open ? to : high, low_open, high_open};
    return number_compare(arena, low, to) < 0 && number_compare(arena, high, from) > 0;
}

static void find_ends(struct survey *survey)
{
    const struct plan_axis *axis = &survey->docket->axes[survey->axis];
    const struct box *box = &survey->box;
    survey->lo_ends = ARENA_ARRAY(survey->arena, struct spot_end, axis->cell_count);
    survey->hi_ends = ARENA_ARRAY(survey->arena, struct spot_end, axis->cell_count);
    survey->lo_fits = ARENA_ARRAY(survey->arena, bool, axis->cell_count);
    survey->hi_fits = ARENA_ARRAY(survey->arena, bool, axis->cell_count);
    for (uint32_t c = survey->first_cell[survey->axis]; c <= survey->last_cell[survey->axis]; c++) {
        survey->lo_fits[c] =
            end_in_cell(survey->arena, axis, c, box->lo_low, box->lo_high, &survey->lo_ends[c]);
        survey->hi_fits[c] =
            end_in_cell(survey->arena, axis, c, box->hi_low, box->hi_high, &survey->hi_ends[c]);
    }
}

static struct box box_of(const struct extent *extent, bool as_read)
{
    if (as_read) {
        return (struct box){extent->read_lo_low, extent->read_lo_high, extent->read_hi_low,
                            extent->read_hi_high, extent->point};
    }
    return (struct box){extent->lo_low, extent->lo_high, extent->hi_low, extent->hi_high,
                        extent->point};
}

static void find_places(struct survey *survey, uint64_t places)
{
    struct spot_axis *out = survey->out;
    uint32_t *known = ARENA_ARRAY(survey->arena, uint32_t, out->slice_count);
    out->spots = ARENA_ARRAY(survey->arena, struct spot, BOOK_VALUES);
    out->spot_of = ARENA_ARRAY(survey->arena, uint32_t, 2 * BOOK_VALUES);
    for (uint32_t p = 0; p < BOOK_VALUES; p++) {
        if (!(places >> p & 1)) {
            continue;
        }
        uint32_t slice = survey->slice_of[2 * p];
        if (!known[slice]) {
            uint32_t *slices = ARENA_NEW(survey->arena, uint32_t);
            *slices = slice;
            out->spots[out->spot_count++] = (struct spot){
                .lo_cell = 2 * p, .hi_cell = 2 * p, .slices = slices, .slice_count = 1, .end = true};
            known[slice] = out->spot_count;
        }
        out->spot_of[2 * p] = known[slice] - 1;
    }
}

struct spots *spots_make(struct arena *arena, const struct docket *docket,
                         const struct finding *finding, bool as_read, bool ends)
{
    struct spots *spots = ARENA_NEW(arena, struct spots);
    struct box boxes[BOOK_AXES] = {0};
    uint32_t first[BOOK_AXES] = {0}, last[BOOK_AXES] = {0};
    spots->arena = arena;
    spots->docket = docket;
    for (uint32_t a = 0; a < docket->axis_count; a++) {
        if (docket->by_place) {
            first[a] = 2 * (uint32_t)__builtin_ctzll(finding->places);
            last[a] = 2 * (63 - (uint32_t)__builtin_clzll(finding->places));
            continue;
        }
        boxes[a] = box_of(&finding->extents[a], as_read);
        first[a] = region_cell(arena, docket, a, boxes[a].lo_low);
        last[a] = region_cell(arena, docket, a, boxes[a].hi_high);
    }
    for (uint32_t a = 0; a < docket->axis_count; a++) {
        struct survey survey = {.arena = arena,
                                .docket = docket,
                                .spots = spots,
                                .axis = a,
                                .out = &spots->axes[a],
                                .box = boxes[a],
                                .ends = ends,
                                .first_cell = first,
                                .last_cell = last};
        survey.out->by_place = docket->by_place;
        survey_slices(&survey);
        if (docket->by_place) {
            find_places(&survey, finding->places);
            continue;
        }
        survey.out->point = boxes[a].point;
        survey.out->exact = number_equal(boxes[a].lo_low, boxes[a].lo_high) &&
                            number_equal(boxes[a].hi_low, boxes[a].hi_high);
        survey_functions(&survey);
        find_ends(&survey);
        add_pairs(&survey);
    }
    return spots;
}
