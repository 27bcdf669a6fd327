/* Zones as boxes: each place asked by the zone's own words, what is alike put together. */
#include "question/pieces.h"

/* ---- one place --------------------------------------------------------------------- */

/* A place, or with `toward` not zero one infinitely near to it in that direction. */
struct spot {
    struct number at[BOOK_AXES];
    int toward[BOOK_AXES];
    uint32_t side;
};

static bool range_holds(struct arena *arena, const struct zone_range *range, struct number at,
                        int toward)
{
    int from = number_compare(arena, range->from, at), to = number_compare(arena, at, range->to);
    bool above = toward > 0   ? from <= 0
                 : toward < 0 ? from < 0
                              : (range->from_open ? from < 0 : from <= 0);
    bool below = toward < 0 ? to <= 0 : toward > 0 ? to < 0 : (range->to_open ? to < 0 : to <= 0);
    return above && below;
}

static bool zone_holds(struct arena *arena, const struct zone *zone, const struct spot *spot);

/* Of what is near to a place of the zone's own ranges: is all that is in these ranges too taken? */
static bool all_near_taken(struct arena *arena, const struct zone *zone, struct spot *near,
                           uint32_t axis)
{
    const struct part *part = zone->part;
    if (axis == part->axis_count) {
        for (uint32_t i = 0; i < zone->outside_count; i++) {
            if (zone_holds(arena, zone->outside[i], near)) {
                return true;
            }
        }
        return false;
    }
    if (near->toward[axis] != 0) {
        return all_near_taken(arena, zone, near, axis + 1);
    }
    bool taken = true;
    for (int toward = -1; toward <= 1 && taken; toward++) {
        if (!range_holds(arena, &zone->ranges[axis], near->at[axis], toward)) {
            continue; /* the zone's own end, or that of the axis, is no edge of the rest */
        }
        near->toward[axis] = toward;
        taken = all_near_taken(arena, zone, near, axis + 1);
    }
    near->toward[axis] = 0;
    return taken;
}

/* By the words of the zone alone, as if its side were the only one. */
static bool holds_on_side(struct arena *arena, const struct zone *zone, const struct spot *spot)
{
    const struct part *part = zone->part;
    if (part->side_count > 0 && !(zone->sides >> spot->side & 1)) {
        return false;
    }
    for (uint32_t axis = 0; axis < part->axis_count; axis++) {
        if (!range_holds(arena, &zone->ranges[axis], spot->at[axis], spot->toward[axis])) {
            return false;
        }
    }
    struct spot near = *spot;
    return zone->outside_count == 0 || !all_near_taken(arena, zone, &near, 0);
}

static bool where_sides_meet(const struct part *part, const struct spot *spot)
{
    for (uint32_t i = 0; i < part->meeting_count; i++) {
        uint32_t axis = part->meetings[i].axis;
        if (spot->toward[axis] == 0 && number_equal(spot->at[axis], part->meetings[i].at)) {
            return true;
        }
    }
    return false;
}

static bool zone_holds(struct arena *arena, const struct zone *zone, const struct spot *spot)
{
    if (holds_on_side(arena, zone, spot)) {
        return true;
    }
    struct spot other = *spot;
    for (uint32_t side = 0; where_sides_meet(zone->part, spot) && side < zone->part->side_count;
         side++) {
        other.side = side;
        if (holds_on_side(arena, zone, &other)) {
            return true;
        }
    }
    return false;
}

/* ---- the part cut up ------------------------------------------------------------------ */

/* Places at which something may begin or end: the cells of an axis are these, and what is between. */
struct cut {
    struct number *at;
    uint32_t count;
    size_t capacity;
};

struct cutting {
    struct arena *arena;
    const struct part *part;
    struct cut cuts[BOOK_AXES];
    uint32_t cells;  /* in all */
    uint64_t *sides; /* by cell, the last axis running fastest: on which it belongs */
};

/* Keeps the cut sorted, each place once. */
static void cut_at(struct cutting *cutting, uint32_t axis, struct number at)
{
    struct arena *arena = cutting->arena;
    const struct axis *on = &cutting->part->axes[axis];
    struct cut *cut = &cutting->cuts[axis];
    if (number_compare(arena, at, on->from) < 0 || number_compare(arena, at, on->to) > 0) {
        return;
    }
    uint32_t where = cut->count;
    while (where > 0 && number_compare(arena, at, cut->at[where - 1]) <= 0) {
        where--;
    }
    if (where < cut->count && number_equal(cut->at[where], at)) {
        return;
    }
    *ARENA_PUSH(arena, cut->at, cut->count, cut->capacity) = at;
    for (uint32_t i = cut->count - 1; i > where; i--) {
        cut->at[i] = cut->at[i - 1];
    }
    cut->at[where] = at;
}

static void cut_by_zone(struct cutting *cutting, const struct zone *zone)
{
    for (uint32_t axis = 0; axis < cutting->part->axis_count; axis++) {
        cut_at(cutting, axis, zone->ranges[axis].from);
        cut_at(cutting, axis, zone->ranges[axis].to);
    }
    for (uint32_t i = 0; i < zone->outside_count; i++) {
        cut_by_zone(cutting, zone->outside[i]);
    }
}

static void cutting_begin(struct cutting *cutting, struct arena *arena, const struct part *part,
                          const struct zone *const *zones, uint32_t zone_count)
{
    *cutting = (struct cutting){.arena = arena, .part = part};
    for (uint32_t axis = 0; axis < part->axis_count; axis++) {
        cut_at(cutting, axis, part->axes[axis].from);
        cut_at(cutting, axis, part->axes[axis].to);
    }
    for (uint32_t i = 0; i < part->meeting_count; i++) {
        cut_at(cutting, part->meetings[i].axis, part->meetings[i].at);
    }
    for (uint32_t i = 0; i < zone_count; i++) {
        cut_by_zone(cutting, zones[i]);
    }
    uint64_t cells = 1;
    for (uint32_t axis = 0; axis < part->axis_count; axis++) {
        cells *= 2 * (uint64_t)cutting->cuts[axis].count - 1;
        if (cells > BOOK_CELLS) {
            arena_escape(arena, STAVE_TOO_BIG);
        }
    }
    cutting->cells = (uint32_t)cells;
    cutting->sides = ARENA_ARRAY(arena, uint64_t, cells);
}

static uint32_t cells_on(const struct cutting *cutting, uint32_t axis)
{
    return 2 * cutting->cuts[axis].count - 1;
}

/* A place of a cell that stands for all of it. */
static struct spot spot_of(const struct cutting *cutting, uint32_t cell)
{
    struct spot spot = {.side = 0};
    for (uint32_t axis = cutting->part->axis_count; axis-- > 0;) {
        uint32_t on_axis = cell % cells_on(cutting, axis);
        const struct number *at = cutting->cuts[axis].at;
        cell /= cells_on(cutting, axis);
        spot.at[axis] = at[on_axis / 2];
        if (on_axis % 2 == 1) {
            spot.at[axis] = number_divide(
                cutting->arena, number_add(cutting->arena, at[on_axis / 2], at[on_axis / 2 + 1]),
                NUMBER_INT(2));
        }
    }
    return spot;
}

/* ---- what is alike put together ---------------------------------------------------------- */

struct block {
    uint32_t first[BOOK_AXES], last[BOOK_AXES]; /* cells, by axis */
};

/* Are all cells of a block on just these sides? Else, with `clear`, takes them all away. */
static bool block_is(struct cutting *cutting, const struct block *block, uint64_t sides, bool clear)
{
    uint32_t at[BOOK_AXES] = {0};
    uint32_t axes = cutting->part->axis_count;
    for (uint32_t axis = 0; axis < axes; axis++) {
        at[axis] = block->first[axis];
    }
    for (;;) {
        uint32_t cell = 0;
        for (uint32_t axis = 0; axis < axes; axis++) {
            cell = cell * cells_on(cutting, axis) + at[axis];
        }
        if (clear) {
            cutting->sides[cell] = 0;
        } else if (cutting->sides[cell] != sides) {
            return false;
        }
        uint32_t axis = axes;
        while (axis > 0 && at[axis - 1] == block->last[axis - 1]) {
            at[axis - 1] = block->first[axis - 1];
            axis--;
        }
        if (axis == 0) {
            return true;
        }
        at[axis - 1]++;
    }
}

static struct piece piece_of(const struct cutting *cutting, const struct block *block,
                             uint64_t sides)
{
    struct piece piece = {.sides = sides};
    for (uint32_t axis = 0; axis < cutting->part->axis_count; axis++) {
        const struct number *at = cutting->cuts[axis].at;
        piece.ranges[axis] = (struct zone_range){.from = at[block->first[axis] / 2],
                                                 .to = at[(block->last[axis] + 1) / 2],
                                                 .from_open = block->first[axis] % 2 == 1,
                                                 .to_open = block->last[axis] % 2 == 1};
    }
    return piece;
}

/* Takes the cells out as blocks that are as long as they can be, the last axis first. */
static void gather(struct cutting *cutting, struct pieces *pieces)
{
    uint32_t axes = cutting->part->axis_count;
    for (uint32_t cell = 0; cell < cutting->cells; cell++) {
        uint64_t sides = cutting->sides[cell];
        if (!sides) {
            continue;
        }
        struct block block = {.first = {0}};
        uint32_t left = cell;
        for (uint32_t axis = axes; axis-- > 0;) {
            block.first[axis] = block.last[axis] = left % cells_on(cutting, axis);
            left /= cells_on(cutting, axis);
        }
        for (uint32_t axis = axes; axis-- > 0;) {
            struct block next = block;
            while (block.last[axis] + 1 < cells_on(cutting, axis)) {
                next.first[axis] = next.last[axis] = block.last[axis] + 1;
                if (!block_is(cutting, &next, sides, false)) {
                    break;
                }
                block.last[axis]++;
            }
        }
        block_is(cutting, &block, sides, true);
        *ARENA_PUSH(cutting->arena, pieces->items, pieces->count, pieces->capacity) =
            piece_of(cutting, &block, sides);
    }
}

/* ---- what is asked for ------------------------------------------------------------------ */

uint64_t pieces_all_sides(const struct part *part)
{
    return part->side_count > 0 ? (UINT64_C(1) << part->side_count) - 1 : 1;
}

static uint32_t sides_of(const struct part *part)
{
    return part->side_count > 0 ? part->side_count : 1;
}

struct pieces pieces_of_zone(struct arena *arena, const struct zone *zone)
{
    const struct part *part = zone->part;
    struct pieces pieces = {.count = 0};
    struct cutting cutting;
    cutting_begin(&cutting, arena, part, &zone, 1);
    for (uint32_t cell = 0; cell < cutting.cells; cell++) {
        struct spot spot = spot_of(&cutting, cell);
        for (spot.side = 0; spot.side < sides_of(part); spot.side++) {
            if (holds_on_side(arena, zone, &spot)) {
                cutting.sides[cell] |= UINT64_C(1) << spot.side;
            }
        }
    }
    gather(&cutting, &pieces);
    /* Once more where the sides meet: there it is on all of them when it is on one. */
    for (uint32_t cell = 0; cell < cutting.cells; cell++) {
        struct spot spot = spot_of(&cutting, cell);
        cutting.sides[cell] = where_sides_meet(part, &spot) && zone_holds(arena, zone, &spot)
                                  ? pieces_all_sides(part)
                                  : 0;
    }
    gather(&cutting, &pieces);
    return pieces;
}

struct pieces pieces_of_rest(struct arena *arena, const struct part *part,
                             const struct zone *const *zones, uint32_t zone_count)
{
    struct pieces pieces = {.count = 0};
    struct cutting cutting;
    cutting_begin(&cutting, arena, part, zones, zone_count);
    for (uint32_t cell = 0; cell < cutting.cells; cell++) {
        struct spot spot = spot_of(&cutting, cell);
        for (spot.side = 0; spot.side < sides_of(part); spot.side++) {
            bool held = false;
            for (uint32_t i = 0; i < zone_count && !held; i++) {
                held = zone_holds(arena, zones[i], &spot);
            }
            if (!held) {
                cutting.sides[cell] |= UINT64_C(1) << spot.side;
            }
        }
    }
    gather(&cutting, &pieces);
    return pieces;
}
