/* Where a docket of the fast table meets its limits. */
#include <string.h>

#include "sweep/fast.h"

/* ---- the axes of a part --------------------------------------------------------------------- */

static void make_buckets(struct fast_axis *axis)
{
    axis->shift = 0;
    while (axis->range >> axis->shift >= FAST_BUCKETS) {
        axis->shift++;
    }
    uint32_t last = 0;
    for (uint32_t i = 0; i <= FAST_BUCKETS; i++) {
        int64_t begin = 2 * (axis->low + (int64_t)((uint64_t)i << axis->shift));
        while (last + 1 < axis->count && axis->points[last + 1] <= begin) {
            last++;
        }
        axis->bucket[i] = (uint16_t)last;
    }
}

/* A breakpoint in halves of a millionth. */
static bool point_of(struct arena *arena, struct number breakpoint, const struct unit *unit,
                     int64_t *point)
{
    struct number exact = number_multiply(arena, number_divide(arena, breakpoint, unit->factor),
                                          NUMBER_INT(FAST_MILLION));
    struct number whole = number_round_whole(arena, exact, NUMBER_DOWN);
    if (!fast_whole(whole, point) || *point >= INT64_MAX / 4 || *point <= INT64_MIN / 4) {
        return false;
    }
    *point = 2 * *point + !number_equal(whole, exact);
    return true;
}

/* Adds a breakpoint in its order, unless it is there. False where there are too many. */
static bool add_point(struct fast_axis *axis, int64_t point)
{
    uint32_t at = 0;
    while (at < axis->count && axis->points[at] < point) {
        at++;
    }
    if (at < axis->count && axis->points[at] == point) {
        return true;
    }
    if (axis->count == FAST_POINTS) {
        return false;
    }
    memmove(&axis->points[at + 1], &axis->points[at], (axis->count - at) * sizeof *axis->points);
    axis->points[at] = point;
    axis->count++;
    return true;
}

static bool take_axis(struct arena *arena, const struct sweep *sweep, const struct plan *plan,
                      const struct part *part, uint32_t index, struct fast_axis *made)
{
    const struct axis *axis = &part->axes[index];
    made->column = fast_column(sweep, COLUMN_AXIS, axis->name);
    made->unit = made->column < 0 ? NULL : sweep->columns[made->column].unit;
    int64_t high, point;
    if (!made->unit || number_sign(axis->from) < 0 ||
        !fast_millionths(arena, axis->from, made->unit, &made->low) ||
        !fast_millionths(arena, axis->to, made->unit, &high) || high < made->low) {
        return false;
    }
    made->range = (uint64_t)(high - made->low);
    made->points = ARENA_ARRAY(arena, int64_t, FAST_POINTS + 1);
    for (uint32_t k = 0; k < plan->book->kind_count; k++) {
        const struct docket *docket = plan_docket(plan, &plan->book->kinds[k], part);
        int64_t before = INT64_MIN;
        for (uint32_t i = 0; docket && i < docket->axes[index].breakpoint_count; i++) {
            if (!point_of(arena, docket->axes[index].breakpoints[i], made->unit, &point) ||
                point == before || !add_point(made, point)) {
                return false;
            }
            before = point;
        }
    }
    made->points[made->count] = INT64_MAX;
    make_buckets(made);
    /* The ends of the axis are breakpoints. */
    return made->count >= 2 && made->points[0] == 2 * made->low &&
           made->points[made->count - 1] == 2 * high;
}

struct fast_part *fast_part_make(struct arena *arena, const struct sweep *sweep,
                                 const struct plan *plan, const struct part *part)
{
    struct fast_part *made = ARENA_NEW(arena, struct fast_part);
    made->sides = fast_values_make(arena, (const char *const *)part->sides, part->side_count,
                                   part->side_count ? fast_column(sweep, COLUMN_SIDE, NULL) : -1);
    made->places =
        fast_values_make(arena, (const char *const *)part->places, part->place_count,
                         part->place_count ? fast_column(sweep, COLUMN_PLACE, NULL) : -1);
    if ((part->side_count && made->sides.column < 0) ||
        (part->place_count && made->places.column < 0)) {
        return NULL;
    }
    made->axis_count = part->place_count ? 0 : part->axis_count;
    for (uint32_t a = 0; a < made->axis_count; a++) {
        if (!take_axis(arena, sweep, plan, part, a, &made->axes[a])) {
            return NULL;
        }
    }
    return made;
}

/* ---- lists of limits ---------------------------------------------------------------------------- */

struct lists {
    uint64_t masks[FAST_LISTS]; /* by list: the limits of it */
    uint32_t count;
};

static bool list_of(struct lists *lists, uint64_t mask, uint16_t *list)
{
    for (uint32_t i = 0; i < lists->count; i++) {
        if (lists->masks[i] == mask) {
            *list = (uint16_t)i;
            return true;
        }
    }
    if (lists->count == FAST_LISTS) {
        return false;
    }
    *list = (uint16_t)lists->count;
    lists->masks[lists->count++] = mask;
    return true;
}

static bool has_bit(const uint64_t *bits, size_t at)
{
    return bits[at / 64] >> (at % 64) & 1;
}

/* By side and cell: which list. */
static bool take_lists(const struct docket *docket, struct lists *lists, uint16_t *by_cell,
                       size_t count)
{
    for (size_t at = 0; at < count; at++) {
        uint64_t mask = 0;
        for (uint32_t l = 0; l < docket->limit_count; l++) {
            mask |= (uint64_t)has_bit(docket->limits[l].cells, at) << l;
        }
        /* A place is covered exactly where a limit is met. */
        if (has_bit(docket->covered, at) != (mask != 0) || !list_of(lists, mask, &by_cell[at])) {
            return false;
        }
    }
    return true;
}

/* Writes the lists where all dockets have theirs; gives where each begins. */
static bool keep_lists(struct fast_making *making, const struct lists *lists, uint16_t *begins)
{
    struct fast *fast = making->fast;
    for (uint32_t i = 0; i < lists->count; i++) {
        if (fast->member_count + 65 > UINT16_MAX || fast->limit_count + 64 > UINT16_MAX) {
            return false;
        }
        begins[i] = (uint16_t)fast->member_count;
        uint16_t count = (uint16_t)__builtin_popcountll(lists->masks[i]);
        *ARENA_PUSH(making->arena, fast->members, fast->member_count, fast->member_capacity) =
            count;
        for (uint64_t left = lists->masks[i]; left; left &= left - 1) {
            *ARENA_PUSH(making->arena, fast->members, fast->member_count, fast->member_capacity) =
                (uint16_t)(fast->limit_count + (uint32_t)__builtin_ctzll(left));
        }
    }
    return true;
}

/* ---- classes -------------------------------------------------------------------------------------- */

/* What is to be brought from cells to classes, axis by axis from the last. */
struct by_cell {
    uint16_t *lists;
    size_t count;
    uint32_t inner; /* classes of all axes behind the one at hand */
    uint32_t cells; /* of the axis at hand */
};

static bool same_slices(const struct by_cell *all, uint32_t a, uint32_t b)
{
    size_t slice = (size_t)all->inner * all->cells;
    for (size_t at = 0; at < all->count; at += slice) {
        if (memcmp(all->lists + at + (size_t)a * all->inner,
                   all->lists + at + (size_t)b * all->inner,
                   all->inner * sizeof *all->lists) != 0) {
            return false;
        }
    }
    return true;
}

/* Brings the cells of an axis to classes, of which it gives the count; 0: too many. */
static uint32_t take_classes(struct by_cell *all, uint8_t *classes)
{
    uint32_t first[UINT8_MAX], count = 0;
    for (uint32_t c = 0; c < all->cells; c++) {
        uint32_t k = 0;
        while (k < count && !same_slices(all, first[k], c)) {
            k++;
        }
        if (k == UINT8_MAX) {
            return 0;
        }
        if (k == count) {
            first[count++] = c;
        }
        classes[c] = (uint8_t)k;
    }
    size_t to = 0;
    for (size_t at = 0; at < all->count; at += (size_t)all->inner * all->cells) {
        for (uint32_t k = 0; k < count; k++, to += all->inner) {
            memmove(all->lists + to, all->lists + at + (size_t)first[k] * all->inner,
                    all->inner * sizeof *all->lists);
        }
    }
    all->count = to;
    return count;
}

/* By breakpoint of the part: the docket's own at or before it. */
static uint16_t *own_points(struct arena *arena, const struct fast_axis *axis,
                            const struct plan_axis *own)
{
    uint16_t *points = ARENA_ARRAY(arena, uint16_t, axis->count);
    int64_t next = 0;
    for (uint32_t i = 0, last = 0; i < axis->count; i++) {
        while (last + 1 < own->breakpoint_count &&
               point_of(arena, own->breakpoints[last + 1], axis->unit, &next) &&
               next <= axis->points[i]) {
            last++;
        }
        points[i] = (uint16_t)last;
    }
    return points;
}

/* The classes by cell of the part's axis. */
static uint8_t *by_part_cell(struct arena *arena, const struct fast_axis *axis,
                             const uint16_t *points, const uint8_t *classes)
{
    uint8_t *all = ARENA_ARRAY(arena, uint8_t, 2 * (size_t)axis->count);
    for (uint32_t i = 0; i < axis->count; i++) {
        /* A point that is none of the docket's lies between two of them. */
        bool own = i == 0 || points[i] != points[i - 1];
        all[2 * i] = classes[2 * points[i] + !own];
        all[2 * i + 1] = i + 1 < axis->count ? classes[2 * points[i] + 1] : all[2 * i];
    }
    return all;
}

bool fast_places(struct fast_making *making, const struct fast_part *part)
{
    struct arena *arena = making->arena;
    const struct docket *docket = making->docket;
    struct fast_docket *made = making->made;
    size_t count = (size_t)docket->side_count * docket->cell_count;
    struct lists *lists = ARENA_NEW(arena, struct lists);
    made->part = part;
    made->by_place = docket->by_place;
    made->place_cells = docket->cell_count;
    made->axis_count = (uint8_t)part->axis_count;
    made->needed |= fast_bit(part->sides.column) | fast_bit(part->places.column);
    if (count > FAST_CELLS || docket->limit_count > 64 ||
        docket->by_place != (docket->part->place_count != 0)) {
        return false;
    }
    uint16_t *by_cell = ARENA_ARRAY(arena, uint16_t, count);
    uint16_t *begins = ARENA_ARRAY(arena, uint16_t, FAST_LISTS);
    if (!take_lists(docket, lists, by_cell, count) || !keep_lists(making, lists, begins)) {
        return false;
    }
    struct by_cell all = {.lists = by_cell, .count = count, .inner = 1};
    for (uint32_t a = part->axis_count; a-- > 0;) {
        const struct fast_axis *axis = &part->axes[a];
        uint8_t *classes = ARENA_ARRAY(arena, uint8_t, docket->axes[a].cell_count);
        all.cells = docket->axes[a].cell_count;
        uint32_t class_count = take_classes(&all, classes);
        if (!class_count) {
            return false;
        }
        all.inner *= class_count;
        making->points[a] = own_points(arena, axis, &docket->axes[a]);
        made->classes[a] = by_part_cell(arena, axis, making->points[a], classes);
        made->class_counts[a] = (uint8_t)class_count;
        made->needed |= fast_bit(axis->column);
    }
    uint16_t *kept = ARENA_ARRAY(arena, uint16_t, all.count);
    for (size_t i = 0; i < all.count; i++) {
        kept[i] = begins[by_cell[i]];
    }
    made->lists = making->lists = kept;
    making->list_count = all.count;
    return true;
}
