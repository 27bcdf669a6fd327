/*
 * The part cut into cells, and which cells belong to a zone.
 */
#include "plan/build.h"

/* ---- breakpoints --------------------------------------------------------------- */

enum { GATHERED_LINES = 8 };

struct gathering {
    struct build *build;
    uint32_t axis;
    struct number *places;
    uint32_t count;
    size_t capacity;
    const struct place_line
        *lines[GATHERED_LINES]; /* the newest whose places are there, in a ring */
    uint32_t line_count;
};

static void gather(struct gathering *gathering, struct number at)
{
    struct arena *arena = gathering->build->scratch;
    const struct axis *axis = &gathering->build->docket->part->axes[gathering->axis];
    if (number_compare(arena, at, axis->from) < 0 || number_compare(arena, axis->to, at) < 0)
        return;
    *ARENA_PUSH(arena, gathering->places, gathering->count, gathering->capacity) = at;
}

static void gather_zone(struct gathering *gathering, const struct zone *zone, bool *seen)
{
    if (seen[zone->index])
        return;
    seen[zone->index] = true;
    gather(gathering, zone->ranges[gathering->axis].from);
    gather(gathering, zone->ranges[gathering->axis].to);
    for (uint32_t i = 0; i < zone->outside_count; i++)
        gather_zone(gathering, zone->outside[i], seen);
}

static void gather_line(struct gathering *gathering, const struct place_line *line)
{
    for (uint32_t i = 0; i < GATHERED_LINES && i < gathering->line_count; i++)
        if (place_line_same_places(gathering->lines[i], line))
            return;
    gathering->lines[gathering->line_count++ % GATHERED_LINES] = line;
    for (uint32_t i = 0; i < line->count; i++)
        gather(gathering, line->at[i]);
}

static void gather_lattice(struct gathering *gathering, const struct lattice *lattice)
{
    const struct place_line *line = lattice->linear.lines[gathering->axis];
    if (lattice->sort == LATTICE_LINEAR && line)
        gather_line(gathering, line);
    for (uint32_t i = 0; i < lattice->branch_count; i++)
        gather_lattice(gathering, lattice->branches[i]);
}

/* Sorts by merging, so that many points cost no more than they must. */
static void sort_places(struct arena *arena, struct number *places, uint32_t count)
{
    struct number *from = places, *to = ARENA_ARRAY(arena, struct number, count);
    for (uint64_t width = 1; width < count; width *= 2) {
        for (uint64_t start = 0; start < count; start += 2 * width) {
            uint64_t middle = start + width < count ? start + width : count;
            uint64_t end = middle + width < count ? middle + width : count;
            uint64_t i = start, j = middle;
            for (uint64_t k = start; k < end; k++) {
                bool left =
                    j == end || (i < middle && number_compare(arena, from[i], from[j]) <= 0);
                to[k] = left ? from[i++] : from[j++];
            }
        }
        struct number *swapped = from;
        from = to;
        to = swapped;
    }
    for (uint32_t i = 0; from != places && i < count; i++)
        places[i] = from[i];
}

static uint64_t *meetings_of(struct build *build, uint32_t axis)
{
    const struct part *part = build->docket->part;
    const struct plan_axis *cells = &build->docket->axes[axis];
    uint64_t *meeting = NULL;
    for (uint32_t i = 0; i < part->meeting_count; i++) {
        if (part->meetings[i].axis != axis)
            continue;
        if (!meeting)
            meeting = ARENA_ARRAY(build->arena, uint64_t, cells->cell_count / 64 + 1);
        for (uint32_t j = 0; j < cells->breakpoint_count; j++)
            if (number_equal(cells->breakpoints[j], part->meetings[i].at))
                meeting[2 * j / 64] |= UINT64_C(1) << (2 * j % 64);
    }
    return meeting;
}

static void axis_begin(struct build *build, uint32_t axis)
{
    const struct docket *docket = build->docket;
    const struct part *part = docket->part;
    struct gathering gathering = {.build = build, .axis = axis};
    bool *seen = ARENA_ARRAY(build->scratch, bool, build->book->zone_count);
    gather(&gathering, part->axes[axis].from);
    gather(&gathering, part->axes[axis].to);
    for (uint32_t i = 0; i < part->meeting_count; i++)
        if (part->meetings[i].axis == axis)
            gather(&gathering, part->meetings[i].at);
    for (uint32_t i = 0; i < docket->limit_count; i++)
        gather_zone(&gathering, docket->limits[i].source->zone, seen);
    for (uint32_t i = 0; i < build->lattice_count; i++)
        gather_lattice(&gathering, build->lattices[i].lattice);
    sort_places(build->scratch, gathering.places, gathering.count);

    struct plan_axis *cells = &docket->axes[axis];
    uint32_t count = 0;
    for (uint32_t i = 0; i < gathering.count; i++)
        if (i == 0 || !number_equal(gathering.places[i], gathering.places[count - 1]))
            gathering.places[count++] = gathering.places[i];
    cells->breakpoints = ARENA_ARRAY(build->arena, struct number, count);
    cells->breakpoint_count = count;
    for (uint32_t i = 0; i < count; i++)
        cells->breakpoints[i] = number_copy(build->arena, gathering.places[i]);
    cells->cell_count = 2 * cells->breakpoint_count - 1;
    cells->meeting = meetings_of(build, axis);
}

/* Named places stand in a row: place i is the even cell 2i, its number as its breakpoint. */
static void places_begin(struct build *build)
{
    struct docket *docket = build->docket;
    docket->by_place = true;
    docket->axis_count = 1;
    docket->axes = ARENA_NEW(build->arena, struct plan_axis);
    docket->axes[0].breakpoint_count = docket->part->place_count;
    docket->axes[0].cell_count = 2 * docket->part->place_count - 1;
    docket->axes[0].breakpoints =
        ARENA_ARRAY(build->arena, struct number, docket->part->place_count);
    for (uint32_t i = 0; i < docket->part->place_count; i++)
        docket->axes[0].breakpoints[i] = NUMBER_INT(i);
}

void cells_begin(struct build *build)
{
    struct docket *docket = build->docket;
    const struct part *part = docket->part;
    docket->side_count = part->side_count > 0 ? part->side_count : 1;
    if (part->place_count > 0) {
        places_begin(build);
    } else {
        docket->axis_count = part->axis_count;
        docket->axes = ARENA_ARRAY(build->arena, struct plan_axis, part->axis_count);
        for (uint32_t axis = 0; axis < part->axis_count; axis++)
            axis_begin(build, axis);
    }
    uint64_t cells = 1;
    for (uint32_t axis = 0; axis < docket->axis_count; axis++) {
        cells *= docket->axes[axis].cell_count;
        if (cells * docket->side_count > PLAN_CELLS)
            arena_escape(build->arena, STAVE_TOO_BIG);
    }
    docket->cell_count = (uint32_t)cells;
}

/* ---- membership ------------------------------------------------------------------- */

size_t cells_words(const struct docket *docket)
{
    return (size_t)docket->side_count * docket->cell_count / 64 + 1;
}

static bool bit_get(const uint64_t *bits, size_t at)
{
    return bits[at / 64] >> (at % 64) & 1;
}

static void bit_set(uint64_t *bits, size_t at)
{
    bits[at / 64] |= UINT64_C(1) << (at % 64);
}

/* How far apart in the product neighbours along an axis stand. */
static uint32_t stride(const struct docket *docket, uint32_t axis)
{
    uint32_t product = 1;
    for (uint32_t i = axis + 1; i < docket->axis_count; i++)
        product *= docket->axes[i].cell_count;
    return product;
}

static uint32_t cell_on_axis(const struct docket *docket, uint32_t cell, uint32_t axis)
{
    return cell / stride(docket, axis) % docket->axes[axis].cell_count;
}

/* The cells of an axis that a range holds. Its ends are breakpoints: it holds all of one or nothing. */
static void range_holds(struct build *build, const struct zone_range *range,
                        const struct plan_axis *axis, bool *holds)
{
    bool after_from = false; /* the breakpoint before is not below `from` */
    for (uint32_t i = 0; i < axis->breakpoint_count; i++) {
        int from = number_compare(build->arena, range->from, axis->breakpoints[i]);
        int to = number_compare(build->arena, axis->breakpoints[i], range->to);
        if (i > 0)
            holds[2 * i - 1] = after_from && to <= 0;
        holds[2 * i] =
            (range->from_open ? from < 0 : from <= 0) && (range->to_open ? to < 0 : to <= 0);
        after_from = from <= 0;
    }
}

/* The cells of an axis that the zone's range holds, or of a row of places its places. */
static bool *box_of(struct build *build, const struct zone *zone, uint32_t axis)
{
    const struct docket *docket = build->docket;
    bool *holds = ARENA_ARRAY(build->scratch, bool, docket->axes[axis].cell_count);
    if (!docket->by_place)
        range_holds(build, &zone->ranges[axis], &docket->axes[axis], holds);
    for (uint32_t cell = 0; docket->by_place && cell < docket->axes[axis].cell_count; cell += 2)
        holds[cell] = zone->places >> (cell / 2) & 1;
    return holds;
}

/*
 * The closure of a set of cells, side by side: a point belongs to it when a cell next to it
 * does. An axis at a time gives the product. Places in a row are not next to each other.
 */
static void close_cells(const struct docket *docket, uint64_t *bits)
{
    for (uint32_t axis = 0; axis < docket->axis_count && !docket->by_place; axis++) {
        uint32_t step = stride(docket, axis), last = docket->axes[axis].cell_count - 1;
        for (uint32_t side = 0; side < docket->side_count; side++)
            for (uint32_t cell = 0; cell < docket->cell_count; cell++) {
                uint32_t on_axis = cell_on_axis(docket, cell, axis);
                size_t at = (size_t)side * docket->cell_count + cell;
                if (on_axis % 2 == 0 && ((on_axis > 0 && bit_get(bits, at - step)) ||
                                         (on_axis < last && bit_get(bits, at + step))))
                    bit_set(bits, at);
            }
    }
}

static void join_sides(const struct docket *docket, uint64_t *bits, uint32_t cell)
{
    bool any = false;
    for (uint32_t side = 0; side < docket->side_count; side++)
        any = any || bit_get(bits, (size_t)side * docket->cell_count + cell);
    for (uint32_t side = 0; any && side < docket->side_count; side++)
        bit_set(bits, (size_t)side * docket->cell_count + cell);
}

/* A place where the sides meet is one place: in the zone on all sides or on none. */
static void join_meetings(const struct docket *docket, uint64_t *bits)
{
    for (uint32_t axis = 0; axis < docket->axis_count; axis++) {
        const struct plan_axis *cells = &docket->axes[axis];
        uint32_t step = stride(docket, axis), row = step * cells->cell_count;
        for (uint32_t i = 0; cells->meeting && i < cells->cell_count; i++) {
            if (!bit_get(cells->meeting, i))
                continue;
            for (uint32_t from = i * step; from < docket->cell_count; from += row)
                for (uint32_t cell = from; cell < from + step; cell++)
                    join_sides(docket, bits, cell);
        }
    }
}

/* The cells that are in none of the zones after `outside`. */
static uint64_t *not_taken(struct build *build, const struct zone *zone, uint64_t **known)
{
    size_t words = cells_words(build->docket);
    uint64_t *rest = ARENA_ARRAY(build->scratch, uint64_t, words);
    for (uint32_t i = 0; i < zone->outside_count; i++) {
        const uint64_t *taken = cells_of_zone(build, zone->outside[i], known);
        for (size_t word = 0; word < words; word++)
            rest[word] |= taken[word];
    }
    for (size_t word = 0; word < words; word++)
        rest[word] = ~rest[word];
    return rest;
}

static void set_if_rest(const uint64_t *rest, size_t at, uint64_t *bits)
{
    if (!rest || bit_get(rest, at))
        bit_set(bits, at);
}

/* Sets the cells of the box from `at` on, over the axes from `axis` on, but those not in `rest`. */
static void fill_box(const struct docket *docket, bool *const *box, const uint64_t *rest,
                     uint32_t axis, size_t at, uint64_t *bits)
{
    bool last = axis + 1 == docket->axis_count;
    if (axis == docket->axis_count) { /* a part without axes: one cell */
        set_if_rest(rest, at, bits);
        return;
    }
    uint32_t step = stride(docket, axis);
    for (uint32_t cell = 0; cell < docket->axes[axis].cell_count; cell++) {
        size_t next = at + (size_t)cell * step;
        if (box[axis][cell] && last)
            set_if_rest(rest, next, bits);
        else if (box[axis][cell])
            fill_box(docket, box, rest, axis + 1, next, bits);
    }
}

/* The same on the zone's sides. */
static void fill_sides(const struct docket *docket, const struct zone *zone, bool *const *box,
                       const uint64_t *rest, uint64_t *bits)
{
    for (uint32_t side = 0; side < docket->side_count; side++)
        if (docket->part->side_count == 0 || (zone->sides >> side & 1))
            fill_box(docket, box, rest, 0, (size_t)side * docket->cell_count, bits);
}

uint64_t *cells_of_zone(struct build *build, const struct zone *zone, uint64_t **known)
{
    const struct docket *docket = build->docket;
    if (known[zone->index])
        return known[zone->index];
    uint64_t *rest = NULL;
    uint64_t *bits = ARENA_ARRAY(build->arena, uint64_t, cells_words(docket));
    bool *box[BOOK_AXES] = {NULL};
    for (uint32_t axis = 0; axis < docket->axis_count; axis++)
        box[axis] = box_of(build, zone, axis);
    if (zone->outside_count > 0) {
        /* What is beyond the box is as good as taken: a place is not kept for what is left there. */
        rest = ARENA_ARRAY(build->scratch, uint64_t, cells_words(docket));
        fill_sides(docket, zone, box, not_taken(build, zone, known), rest);
        close_cells(docket, rest);
    }
    fill_sides(docket, zone, box, rest, bits);
    bool all_sides = docket->part->side_count == 0 ||
                     zone->sides == UINT64_MAX >> (64 - docket->part->side_count);
    if (rest || !all_sides)
        join_meetings(docket, bits);
    known[zone->index] = bits;
    return bits;
}
