/* Stretches brought together into boxes, and boxes in words. */
#include "prove/region.h"

#include <string.h>

#include "base/text.h"

/* ---- from pieces ------------------------------------------------------------------------- */

/* All sides that the ladders cannot tell from this one. */
static uint64_t sides_alike(const struct ground *ground, uint32_t side)
{
    uint32_t sides = ground->docket->part->side_count;
    size_t count = 1;
    uint64_t set = UINT64_C(1) << side;
    if (sides == 0) {
        return 0;
    }
    for (uint32_t a = 0; a < ground->docket->axis_count; a++) {
        count *= ground->spots->axes[a].slice_count;
    }
    for (uint32_t other = 0; other < sides; other++) {
        if (memcmp(&ground->seen[side * count], &ground->seen[other * count],
                   count * sizeof *ground->seen) == 0) {
            set |= UINT64_C(1) << other;
        }
    }
    return set;
}

static struct part_of_axis cells_range(const struct plan_axis *axis, uint32_t first, uint32_t last)
{
    return (struct part_of_axis){.low = axis->breakpoints[first / 2],
                                 .high = axis->breakpoints[(last + 1) / 2],
                                 .low_open = first % 2 == 1,
                                 .high_open = last % 2 == 1};
}

/* The ranges of an axis in which a piece may lie. */
static uint32_t ranges_of(struct arena *arena, const struct piece *piece, uint32_t axis,
                          struct part_of_axis **ranges)
{
    const struct ground *ground = piece->ground;
    const struct plan_axis *cut = &ground->docket->axes[axis];
    const struct spot_axis *seen = &ground->spots->axes[axis];
    const struct spot *spot = &seen->spots[piece->scene.spots[axis]];
    uint32_t lo = ground->docket->variable_count + 2 * axis;
    const struct unknown *unknowns = piece->constraints.unknowns;
    *ranges = ARENA_ARRAY(arena, struct part_of_axis, cut->breakpoint_count + 1);
    if (!piece->point || spot->uses_lo || spot->uses_hi) {
        uint32_t hi = piece->point ? lo : lo + 1;
        struct constraints constraints = piece->constraints;
        uint32_t work = 100000;
        constraints.work = &work;
        struct unknown low = constraints_hull(&constraints, lo);
        struct unknown high = hi == lo ? low : unknowns[hi];
        (*ranges)[0] = (struct part_of_axis){low.low, high.high, low.low_open, high.high_open};
        return 1;
    }
    uint32_t count = 0;
    for (uint32_t c = 0; c < cut->cell_count; c++) {
        if (seen->spot_of[c] != piece->scene.spots[axis]) {
            continue;
        }
        uint32_t last = c;
        while (last + 1 < cut->cell_count && seen->spot_of[last + 1] == piece->scene.spots[axis]) {
            last++;
        }
        (*ranges)[count++] = cells_range(cut, c, last);
        c = last;
    }
    return count;
}

static uint64_t places_of(const struct piece *piece)
{
    const struct spot_axis *seen = &piece->ground->spots->axes[0];
    uint64_t set = 0;
    for (uint64_t left = piece->pair->places; left; left &= left - 1) {
        uint32_t place = (uint32_t)__builtin_ctzll(left);
        if (seen->spot_of[2 * place] == piece->scene.spots[0]) {
            set |= UINT64_C(1) << place;
        }
    }
    return set;
}

static bool is_whole(const struct piece *piece)
{
    struct constraints constraints = piece->constraints;
    for (uint32_t i = 0; i < constraints.kept_count; i++) {
        if (constraints_truth(&constraints, &constraints.kept[i]) != TRUTH_YES) {
            return false;
        }
    }
    const struct docket *docket = piece->ground->docket;
    for (uint32_t v = docket->kind->record_count; v < docket->variable_count; v++) {
        const struct unknown *all = &piece->ground->variables[v];
        const struct unknown *own = &constraints.unknowns[v];
        if (docket->variables[v].sort == VARIABLE_PRODUCT &&
            !(number_equal(own->low, all->low) && number_equal(own->high, all->high))) {
            return false; /* it goes with its factors, of which the box knows nothing */
        }
    }
    return piece->point && !piece->apart;
}

static void add_products(struct boxes *boxes, const struct box *base, uint32_t axis)
{
    const struct docket *docket = base->piece->ground->docket;
    if (docket->by_place || axis == docket->axis_count) {
        *ARENA_PUSH(boxes->arena, boxes->items, boxes->count, boxes->capacity) = *base;
        return;
    }
    struct part_of_axis *ranges;
    uint32_t count = ranges_of(boxes->arena, base->piece, axis, &ranges);
    for (uint32_t i = 0; i < count; i++) {
        struct box box = *base;
        box.axes[axis] = ranges[i];
        add_products(boxes, &box, axis + 1);
    }
}

void boxes_add(struct boxes *boxes, const struct piece *piece, uint32_t group)
{
    const struct docket *docket = piece->ground->docket;
    struct box box = {.piece = piece, .group = group, .whole = is_whole(piece)};
    struct constraints constraints = piece->constraints;
    uint32_t work = 100000;
    constraints.work = &work;
    box.variables = ARENA_ARRAY(boxes->arena, struct unknown, docket->variable_count);
    box.values = ARENA_ARRAY(boxes->arena, uint64_t, docket->kind->record_count);
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        box.variables[v] =
            constraints.kept_count ? constraints_hull(&constraints, v) : constraints.unknowns[v];
    }
    for (uint32_t r = 0; r < docket->kind->record_count; r++) {
        box.values[r] = piece->observations[r];
    }
    box.sides = sides_alike(piece->ground, piece->scene.side);
    box.places = docket->by_place ? places_of(piece) : 0;
    add_products(boxes, &box, 0);
}

/* ---- joining --------------------------------------------------------------------------------- */

static struct unknown range_of(const struct box *box, const struct docket *docket, uint32_t c)
{
    if (c < docket->variable_count) {
        return box->variables[c];
    }
    const struct part_of_axis *axis = &box->axes[c - docket->variable_count];
    return (struct unknown){.low = axis->low,
                            .high = axis->high,
                            .low_open = axis->low_open,
                            .high_open = axis->high_open};
}

static void set_range(struct box *box, const struct docket *docket, uint32_t c,
                      const struct unknown *range)
{
    if (c < docket->variable_count) {
        box->variables[c] = *range;
        return;
    }
    box->axes[c - docket->variable_count] =
        (struct part_of_axis){range->low, range->high, range->low_open, range->high_open};
}

static bool same_range(const struct unknown *a, const struct unknown *b)
{
    return number_equal(a->low, b->low) && number_equal(a->high, b->high) &&
           a->low_open == b->low_open && a->high_open == b->high_open;
}

/* Does nothing lie between the end of a and the start of b? `loose`: an open end is as good as a closed one. */
static bool reaches(struct arena *arena, const struct unknown *a, const struct unknown *b,
                    bool loose)
{
    int order = number_compare(arena, a->high, b->low);
    if (order > 0 || (order == 0 && (loose || !(a->high_open && b->low_open)))) {
        return true;
    }
    return a->stepped && b->stepped && !a->high_open && !b->low_open &&
           number_equal(number_add(arena, a->high, a->step), b->low);
}

static struct unknown around(struct arena *arena, const struct unknown *a, const struct unknown *b)
{
    struct unknown both = *a;
    int low = number_compare(arena, b->low, a->low);
    int high = number_compare(arena, b->high, a->high);
    if (low < 0 || (low == 0 && !b->low_open)) {
        both.low = b->low;
        both.low_open = b->low_open;
    }
    if (high > 0 || (high == 0 && !b->high_open)) {
        both.high = b->high;
        both.high_open = b->high_open;
    }
    return both;
}

/* True where they differ in one coordinate alone and join there; a becomes both. */
static bool join_exactly(struct arena *arena, struct box *a, const struct box *b,
                         const struct docket *docket)
{
    uint32_t ranges = docket->variable_count + (docket->by_place ? 0 : docket->axis_count);
    uint32_t differing = UINT32_MAX, sets = 0;
    if (a->whole != b->whole) {
        return false;
    }
    for (uint32_t c = 0; c < ranges; c++) {
        struct unknown of_a = range_of(a, docket, c), of_b = range_of(b, docket, c);
        if (!same_range(&of_a, &of_b)) {
            if (differing != UINT32_MAX) {
                return false;
            }
            differing = c;
        }
    }
    for (uint32_t r = 0; r < docket->kind->record_count; r++) {
        sets += a->values[r] != b->values[r];
    }
    sets += a->sides != b->sides ? 1 : 0;
    sets += a->places != b->places ? 1 : 0;
    if (sets + (differing != UINT32_MAX) > 1) {
        return false;
    }
    if (differing != UINT32_MAX) {
        struct unknown of_a = range_of(a, docket, differing), of_b = range_of(b, docket, differing);
        bool a_first = number_compare(arena, of_a.low, of_b.low) < 0 ||
                       (number_equal(of_a.low, of_b.low) && !of_a.low_open);
        if (!(a_first ? reaches(arena, &of_a, &of_b, false)
                      : reaches(arena, &of_b, &of_a, false))) {
            return false;
        }
        struct unknown both = around(arena, &of_a, &of_b);
        set_range(a, docket, differing, &both);
    }
    for (uint32_t r = 0; r < docket->kind->record_count; r++) {
        a->values[r] |= b->values[r];
    }
    a->sides |= b->sides;
    a->places |= b->places;
    return true;
}

/* Boxes around what slopes: true where they touch in every coordinate; a becomes the box around both. */
static bool join_around(struct arena *arena, struct box *a, const struct box *b,
                        const struct docket *docket)
{
    uint32_t ranges = docket->variable_count + (docket->by_place ? 0 : docket->axis_count);
    if ((a->whole && b->whole) || a->places != b->places) {
        return false;
    }
    for (uint32_t r = 0; r < docket->kind->record_count; r++) {
        if (a->values[r] != b->values[r]) {
            return false;
        }
    }
    for (uint32_t c = 0; c < ranges; c++) {
        struct unknown of_a = range_of(a, docket, c), of_b = range_of(b, docket, c);
        if (!reaches(arena, &of_a, &of_b, true) || !reaches(arena, &of_b, &of_a, true)) {
            return false;
        }
    }
    for (uint32_t c = 0; c < ranges; c++) {
        struct unknown of_a = range_of(a, docket, c), of_b = range_of(b, docket, c);
        struct unknown both = around(arena, &of_a, &of_b);
        set_range(a, docket, c, &both);
    }
    a->sides |= b->sides;
    if (a->whole) {
        a->piece = b->piece;
    }
    a->whole = false;
    return true;
}

typedef bool (*joiner)(struct arena *, struct box *, const struct box *, const struct docket *);

static void join_all(struct boxes *boxes, const struct docket *docket, joiner join)
{
    bool changed = true;
    while (changed) {
        changed = false;
        for (uint32_t i = 0; i < boxes->count; i++) {
            for (uint32_t j = i + 1; j < boxes->count;) {
                struct box *a = &boxes->items[i], *b = &boxes->items[j];
                if (a->group == b->group && join(boxes->arena, a, b, docket)) {
                    for (uint32_t k = j + 1; k < boxes->count; k++) {
                        boxes->items[k - 1] = boxes->items[k];
                    }
                    boxes->count--;
                    changed = true;
                } else {
                    j++;
                }
            }
        }
    }
}

void boxes_join(struct boxes *boxes, const struct pair *pair)
{
    if (boxes->count <= REGION_BOXES) {
        join_all(boxes, pair->docket, join_exactly);
        join_all(boxes, pair->docket, join_around);
    }
}

/* ---- the largest first ------------------------------------------------------------------------- */

struct extent_of_box {
    uint32_t thick;      /* coordinates in which it has a size */
    struct number share; /* of all that there is, over these */
};

static struct extent_of_box measure_box(struct arena *arena, const struct box *box,
                                        const struct pair *pair)
{
    const struct docket *docket = pair->docket;
    struct extent_of_box size = {.share = NUMBER_INT(1)};
    for (uint32_t r = 0; r < docket->kind->record_count; r++) {
        struct number all = number_subtract(arena, pair->to[r], pair->from[r]);
        struct number own = number_subtract(arena, box->variables[r].high, box->variables[r].low);
        if (docket->kind->records[r].measure && number_sign(own) > 0) {
            size.thick++;
            size.share = number_multiply(arena, size.share, number_divide(arena, own, all));
        }
    }
    for (uint32_t a = 0; a < docket->axis_count && !docket->by_place; a++) {
        const struct plan_axis *cut = &docket->axes[a];
        struct number all = number_subtract(arena, cut->breakpoints[cut->breakpoint_count - 1],
                                            cut->breakpoints[0]);
        struct number own = number_subtract(arena, box->axes[a].high, box->axes[a].low);
        if (number_sign(own) > 0) {
            size.thick++;
            size.share = number_multiply(arena, size.share, number_divide(arena, own, all));
        }
    }
    return size;
}

void boxes_sort(struct boxes *boxes, const struct pair *pair)
{
    struct arena *arena = boxes->arena;
    struct extent_of_box *sizes = ARENA_ARRAY(arena, struct extent_of_box, boxes->count);
    for (uint32_t i = 0; i < boxes->count; i++) {
        sizes[i] = measure_box(arena, &boxes->items[i], pair);
    }
    for (uint32_t i = 1; i < boxes->count; i++) {
        struct box box = boxes->items[i];
        struct extent_of_box size = sizes[i];
        uint32_t to = i;
        for (; to > 0 && (sizes[to - 1].thick < size.thick ||
                          (sizes[to - 1].thick == size.thick &&
                           number_compare(arena, sizes[to - 1].share, size.share) < 0));
             to--) {
            boxes->items[to] = boxes->items[to - 1];
            sizes[to] = sizes[to - 1];
        }
        boxes->items[to] = box;
        sizes[to] = size;
    }
}

/* ---- words ---------------------------------------------------------------------------------------- */

static const char *figure(struct arena *arena, struct number value, const struct unit *unit,
                          enum number_round how)
{
    bool rounded;
    return quantity_text(arena, value, unit, how, &rounded);
}

/* "over 0.03 in and up to 0.032 in"; `from` and `to` are the ends that need not be said. "" for all. */
static const char *range_words(struct arena *arena, const struct unknown *range, struct number from,
                               struct number to, const struct unit *unit)
{
    bool low = number_compare(arena, range->low, from) > 0 ||
               (range->low_open && number_equal(range->low, from));
    bool high = number_compare(arena, range->high, to) < 0 ||
                (range->high_open && number_equal(range->high, to));
    if (!low && !high) {
        return "";
    }
    const char *below = figure(arena, range->low, unit, NUMBER_DOWN);
    const char *above = figure(arena, range->high, unit, NUMBER_UP);
    if (number_equal(range->low, range->high)) {
        return text_format(arena, "exactly %s", below);
    }
    if (low && high) {
        return text_format(arena, "%s %s and %s %s", range->low_open ? "over" : "at least", below,
                           range->high_open ? "below" : "up to", above);
    }
    return low ? text_format(arena, "%s %s", range->low_open ? "over" : "at least", below)
               : text_format(arena, "%s %s", range->high_open ? "below" : "up to", above);
}

static void add_words(struct text *text, const char *name, const char *words)
{
    if (words[0]) {
        text_add(text, text->size ? ", " : "");
        text_add(text, name);
        text_add(text, " ");
        text_add(text, words);
    }
}

/* What was read before it was rounded. */
static struct unknown as_read(struct arena *arena, const struct variable *variable,
                              const struct unknown *hull)
{
    struct unknown read = *hull;
    if (!hull->stepped || variable->stepping != TREE_READ_UP_TO) {
        return read;
    }
    if (variable->round_down) {
        read.high = number_add(arena, hull->high, hull->step);
        read.high_open = true;
    } else {
        read.low = number_subtract(arena, hull->low, hull->step);
        read.low_open = true;
    }
    return read;
}

static void add_axes(struct arena *arena, struct text *text, const struct box *box,
                     const struct pair *pair, const struct zone *zone)
{
    const struct docket *docket = pair->docket;
    for (uint32_t a = 0; a < docket->axis_count && !docket->by_place; a++) {
        const struct plan_axis *cut = &docket->axes[a];
        struct number from = cut->breakpoints[0];
        struct number to = cut->breakpoints[cut->breakpoint_count - 1];
        struct unknown range = range_of(box, docket, docket->variable_count + a);
        if (zone) {
            const struct zone_range *own = &zone->ranges[a];
            bool low = number_equal(own->from, range.low) && own->from_open == range.low_open;
            bool high = number_equal(own->to, range.high) && own->to_open == range.high_open;
            if (low && high) {
                continue;
            }
        }
        add_words(text, docket->part->axes[a].name,
                  range_words(arena, &range, from, to, docket->part->axes[a].unit));
    }
}

static void add_names(struct text *text, const char *name, const char *const *names, uint64_t set)
{
    text_add(text, text->size ? ", " : "");
    text_add(text, name);
    bool first = true;
    for (; set; set &= set - 1) {
        text_add(text, first ? "" : " or ");
        text_add(text, names[__builtin_ctzll(set)]);
        first = false;
    }
}

static void add_records(struct arena *arena, struct text *text, const struct box *box,
                        const struct pair *pair)
{
    const struct docket *docket = pair->docket;
    for (uint32_t r = 0; r < docket->kind->record_count; r++) {
        const struct recorded *recorded = &docket->kind->records[r];
        if (!pair->recorded[r]) {
            continue;
        }
        if (recorded->observation) {
            if (box->values[r] != pair->values[r]) {
                add_names(text, text_format(arena, "%s ", recorded->observation->name),
                          recorded->observation->values, box->values[r]);
            }
            continue;
        }
        struct unknown range = as_read(arena, &docket->variables[r], &box->variables[r]);
        add_words(text, recorded->measure->name,
                  range_words(arena, &range, pair->from[r], pair->to[r], recorded->measure->unit));
    }
}

/* A product that was free on the way. */
static void add_product(struct arena *arena, struct text *text, const struct variable *variable,
                        const struct unknown *range, const struct unknown *all)
{
    const struct expression *a = variable->factors[0], *b = variable->factors[1];
    if (same_range(range, all) || a->sort != EXPRESSION_MEASURE || b->sort != EXPRESSION_MEASURE) {
        return;
    }
    struct dimension dimension = dimension_product(a->measure->dimension, b->measure->dimension);
    struct number factor =
        number_multiply(arena, a->measure->unit->factor, b->measure->unit->factor);
    const struct unit *unit = NULL;
    for (size_t i = 0; unit_at(i); i++) {
        if (dimension_equal(unit_at(i)->dimension, dimension) &&
            (!unit || number_equal(unit_at(i)->factor, factor))) {
            unit = unit_at(i);
        }
    }
    if (unit) {
        add_words(text, text_format(arena, "%s * %s", a->measure->name, b->measure->name),
                  range_words(arena, range, all->low, all->high, unit));
    }
}

/* Company, and what was read before. */
static void add_others(struct arena *arena, struct text *text, const struct box *box,
                       const struct pair *pair)
{
    const struct docket *docket = pair->docket;
    for (uint32_t v = docket->kind->record_count; v < docket->variable_count; v++) {
        const struct variable *variable = &docket->variables[v];
        const struct unknown *all = &box->piece->ground->variables[v];
        struct unknown range = box->variables[v];
        if (variable->sort == VARIABLE_COMPANY && variable->aggregate->sort != AGGREGATE_APART &&
            variable->aggregate->sort != AGGREGATE_FACING) {
            const struct expression *value = variable->aggregate->value;
            const struct unit *unit = value && value->measure ? value->measure->unit : unit_none();
            add_words(text, company_name(arena, variable->aggregate),
                      range_words(arena, &range, all->low, all->high, unit));
        } else if (variable->sort == VARIABLE_COMPANY && !same_range(&range, all)) {
            text_add(text, text->size ? ", " : "");
            text_add(text, number_sign(range.low) > 0 ? "" : "not ");
            text_add(text, variable->aggregate->sort == AGGREGATE_APART ? "near to another"
                                                                        : "facing another");
        } else if (variable->sort == VARIABLE_PRODUCT) {
            add_product(arena, text, variable, &range, all);
        } else if (variable->sort == VARIABLE_SEEN && !same_range(&range, all)) {
            text_add(text, text->size ? ", " : "");
            text_add(text, number_sign(range.low) > 0 ? "seen before" : "first seen");
        } else if (variable->sort == VARIABLE_EARLIER || variable->sort == VARIABLE_FIRST) {
            add_words(text,
                      text_format(arena, "%s %s",
                                  variable->sort == VARIABLE_FIRST ? "first" : "was",
                                  variable->measure->name),
                      range_words(arena, &range, all->low, all->high, variable->measure->unit));
        }
    }
}

const char *box_text(struct arena *arena, const struct box *box, const struct pair *pair,
                     const struct zone *zone)
{
    const struct docket *docket = pair->docket;
    const struct part *part = docket->part;
    struct text text;
    text_begin(&text, arena);
    add_axes(arena, &text, box, pair, zone);
    uint64_t all = part->side_count ? UINT64_MAX >> (64 - part->side_count) : 0;
    if (box->sides != (zone ? zone->sides & all : all)) {
        add_names(&text, "", part->sides, box->sides);
    }
    if (docket->by_place && box->places != (zone ? zone->places & pair->places : pair->places)) {
        add_names(&text, "", part->places, box->places);
    }
    add_records(arena, &text, box, pair);
    add_others(arena, &text, box, pair);
    return text_done(&text);
}
