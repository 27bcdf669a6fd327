/* The fast table of a book for the columns of a sweep. */
#include "sweep/fast.h"

#include <string.h>

#define NO_COLUMN (-1)
#define BIT_COLUMNS 64 /* columns have to fit a set */

static uint64_t bit(int16_t column)
{
    return column < 0 ? 0 : UINT64_C(1) << column;
}

/* ---- columns ------------------------------------------------------------------------------ */

static int16_t find_column(const struct sweep *sweep, enum column_sort sort, const char *name)
{
    for (uint32_t i = 0; i < sweep->column_count; i++) {
        const struct column *column = &sweep->columns[i];
        if (column->sort == sort && (!name || strcmp(column->name, name) == 0)) {
            return (int16_t)i;
        }
    }
    return NO_COLUMN;
}

/* A value in millionths of a unit; false where it is no whole number of them. */
static bool millionths(struct arena *arena, struct number value, const struct unit *unit,
                       int64_t *whole)
{
    struct number figure = number_divide(arena, value, unit->factor);
    return fast_whole(number_multiply(arena, figure, NUMBER_INT(FAST_MILLION)), whole);
}

/* The same, rounded to where it is within; false where it does not fit. */
static bool millionths_within(struct arena *arena, struct number value, const struct unit *unit,
                              enum number_round how, int64_t *whole)
{
    struct number figure = number_divide(arena, value, unit->factor);
    figure = number_multiply(arena, figure, NUMBER_INT(FAST_MILLION));
    return fast_whole(number_round_whole(arena, figure, how), whole);
}

static struct number unit_scale(struct arena *arena, const struct unit *unit)
{
    return number_divide(arena, unit->factor, NUMBER_INT(FAST_MILLION));
}

/* ---- what is recorded ----------------------------------------------------------------------- */

static bool take_measure(struct fast_making *making, uint32_t index, struct fast_record *record)
{
    struct arena *arena = making->arena;
    const struct measure *measure = making->docket->kind->records[index].measure;
    const struct variable *variable = &making->docket->variables[index];
    record->column = find_column(making->sweep, COLUMN_MEASURE, measure->name);
    const struct unit *unit =
        record->column < 0 ? NULL : making->sweep->columns[record->column].unit;
    if (!unit || number_sign(measure->from) < 0 ||
        !millionths_within(arena, measure->from, unit, NUMBER_UP, &record->low) ||
        !millionths_within(arena, measure->to, unit, NUMBER_DOWN, &record->high)) {
        return false;
    }
    record->rounds =
        variable->stepping == TREE_READ_UP_TO || variable->stepping == TREE_READ_NEAREST;
    record->round_down = variable->round_down;
    record->to_nearest = variable->stepping == TREE_READ_NEAREST;
    if (record->rounds && (!millionths(arena, variable->step, unit, &record->step) ||
                           record->step > INT64_C(1) << 60)) {
        return false;
    }
    /* typed * inverse / 2^64 is typed / step without its rest, exactly, while typed * step < 2^64. */
    if (record->rounds && record->step > 1 && record->high < (INT64_C(1) << 62) / record->step) {
        record->inverse = UINT64_MAX / (uint64_t)record->step + 1;
    }
    making->units[index] = unit;
    making->scales[index] = unit_scale(arena, unit);
    making->greatest[index] = record->high + (record->rounds ? record->step : 0);
    return record->high < INT64_C(1) << 60;
}

static const uint64_t *name_keys(struct arena *arena, const char *const *names, uint32_t count)
{
    uint64_t *keys = ARENA_ARRAY(arena, uint64_t, count);
    for (uint32_t i = 0; i < count; i++) {
        keys[i] = fast_name_key(names[i], (uint32_t)strlen(names[i]), NULL);
    }
    return keys;
}

static bool take_records(struct fast_making *making)
{
    struct fast_docket *made = making->made;
    const struct kind *kind = making->docket->kind;
    for (uint32_t i = 0; i < kind->record_count; i++) {
        struct fast_record *record = &made->records[i];
        record->measured = kind->records[i].measure != NULL;
        record->observation = kind->records[i].observation;
        if (record->measured) {
            if (!take_measure(making, i, record)) {
                return false;
            }
        } else {
            record->column =
                find_column(making->sweep, COLUMN_OBSERVATION, record->observation->name);
            record->keys = name_keys(making->arena, (const char *const *)record->observation->values,
                                     record->observation->value_count);
            making->scales[i] = NUMBER_INT(1);
        }
        if (record->column < 0) {
            return false;
        }
        made->needed |= bit(record->column);
    }
    made->record_count = kind->record_count;
    return true;
}

/* Products of two measures stand behind what is recorded. */
static bool take_products(struct fast_making *making)
{
    const struct docket *docket = making->docket;
    struct fast_docket *made = making->made;
    for (uint32_t v = docket->kind->record_count; v < docket->variable_count; v++) {
        const struct variable *variable = &docket->variables[v];
        struct fast_product *product = &made->products[made->product_count++];
        product->slot = (uint8_t)v;
        if (variable->sort != VARIABLE_PRODUCT) {
            return false;
        }
        for (int f = 0; f < 2; f++) {
            const struct expression *factor = variable->factors[f];
            uint32_t slot = 0;
            while (slot < docket->kind->record_count &&
                   !(factor->sort == EXPRESSION_MEASURE &&
                     docket->kind->records[slot].measure == factor->measure)) {
                slot++;
            }
            if (slot == docket->kind->record_count) {
                return false;
            }
            product->factors[f] = (uint8_t)slot;
        }
        uint8_t a = product->factors[0], b = product->factors[1];
        if (__builtin_mul_overflow(making->greatest[a], making->greatest[b],
                                   &making->greatest[v]) ||
            making->greatest[v] >= INT64_C(1) << 62) {
            return false;
        }
        making->scales[v] = number_multiply(making->arena, making->scales[a], making->scales[b]);
    }
    return true;
}

/* ---- where it lies ------------------------------------------------------------------------------ */

static void make_buckets(struct fast_axis *axis)
{
    uint64_t range = (uint64_t)(axis->high - axis->low);
    axis->shift = 0;
    while (range >> axis->shift >= FAST_BUCKETS) {
        axis->shift++;
    }
    uint32_t last = 0;
    for (uint32_t i = 0; i <= FAST_BUCKETS; i++) {
        int64_t begin = axis->low + (int64_t)((uint64_t)i << axis->shift);
        while (last + 1 < axis->breakpoint_count && axis->breakpoints[last + 1] <= begin) {
            last++;
        }
        axis->bucket[i] = (uint16_t)last;
    }
}

static bool take_axis(struct fast_making *making, uint32_t index)
{
    struct arena *arena = making->arena;
    const struct docket *docket = making->docket;
    const struct axis *axis = &docket->part->axes[index];
    struct fast_axis *made = &making->made->axes[index];
    made->column = find_column(making->sweep, COLUMN_AXIS, axis->name);
    const struct unit *unit = made->column < 0 ? NULL : making->sweep->columns[made->column].unit;
    if (!unit || number_sign(axis->from) < 0 || !millionths(arena, axis->from, unit, &made->low) ||
        !millionths(arena, axis->to, unit, &made->high)) {
        return false;
    }
    making->axis_units[index] = unit;
    made->breakpoint_count = docket->axes[index].breakpoint_count;
    made->breakpoints = ARENA_ARRAY(arena, int64_t, made->breakpoint_count);
    for (uint32_t i = 0; i < made->breakpoint_count; i++) {
        if (!millionths(arena, docket->axes[index].breakpoints[i], unit, &made->breakpoints[i])) {
            return false;
        }
    }
    make_buckets(made);
    making->made->needed |= bit(made->column);
    /* The ends of the axis are breakpoints. */
    return made->breakpoint_count >= 2 && made->breakpoints[0] == made->low &&
           made->breakpoints[made->breakpoint_count - 1] == made->high;
}

static bool takes_along(const struct kind *kind, const struct part *part)
{
    int32_t position = kind_part_position(kind, part);
    for (uint32_t r = 0; r < kind->record_count; r++) {
        if (kind->records[r].has_along && position >= 0 && kind->records[r].along[position] >= 0) {
            return true;
        }
    }
    return false;
}

static bool take_places(struct fast_making *making)
{
    const struct docket *docket = making->docket;
    const struct part *part = docket->part;
    struct fast_docket *made = making->made;
    made->side_column = made->place_column = NO_COLUMN;
    made->by_place = docket->by_place;
    made->axis_count = docket->axis_count;
    made->cell_count = docket->cell_count;
    for (uint32_t a = 0; a < docket->axis_count; a++) {
        made->cells_of[a] = docket->axes[a].cell_count;
        if (!docket->by_place && !take_axis(making, a)) {
            return false;
        }
    }
    if (part->side_count) {
        made->side_column = find_column(making->sweep, COLUMN_SIDE, NULL);
        made->side_keys = name_keys(making->arena, (const char *const *)part->sides, part->side_count);
    }
    if (docket->by_place) {
        made->place_column = find_column(making->sweep, COLUMN_PLACE, NULL);
        made->place_keys = name_keys(making->arena, (const char *const *)part->places, part->place_count);
    }
    made->needed |= bit(made->side_column) | bit(made->place_column);
    return (!part->side_count || made->side_column >= 0) &&
           (!docket->by_place || made->place_column >= 0) && !takes_along(docket->kind, part);
}

/* ---- which limits are met where -------------------------------------------------------------------- */

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

static bool take_lists(struct fast_making *making)
{
    const struct docket *docket = making->docket;
    size_t count = (size_t)docket->side_count * docket->cell_count, members = 0;
    struct lists *lists = ARENA_NEW(making->arena, struct lists);
    if (count > FAST_CELLS || docket->limit_count > 64) {
        return false;
    }
    uint16_t *by_cell = ARENA_ARRAY(making->arena, uint16_t, count);
    lists->count = 1; /* the first one: no limit at all */
    for (size_t at = 0; at < count; at++) {
        uint64_t mask = 0;
        for (uint32_t l = 0; l < docket->limit_count; l++) {
            mask |= (uint64_t)has_bit(docket->limits[l].cells, at) << l;
        }
        if (!list_of(lists, mask, &by_cell[at])) {
            return false;
        }
        /* A place is covered exactly where a limit is met. */
        if (has_bit(docket->covered, at) != (mask != 0)) {
            return false;
        }
    }
    for (uint32_t i = 0; i < lists->count; i++) {
        members += (size_t)__builtin_popcountll(lists->masks[i]);
    }
    uint16_t *start = ARENA_ARRAY(making->arena, uint16_t, lists->count + 1);
    uint16_t *limits = ARENA_ARRAY(making->arena, uint16_t, members);
    if (members > UINT16_MAX) {
        return false;
    }
    uint16_t next = 0;
    for (uint32_t i = 0; i < lists->count; i++) {
        start[i] = next;
        for (uint64_t left = lists->masks[i]; left; left &= left - 1) {
            limits[next++] = (uint16_t)__builtin_ctzll(left);
        }
    }
    start[lists->count] = next;
    making->made->lists = by_cell;
    making->made->list_start = start;
    making->made->members = limits;
    return true;
}

/* ---- dockets ------------------------------------------------------------------------------------------ */

static uint32_t instances_of(const struct part *part)
{
    while (part->count == PART_ON_EACH && part->each_of) {
        part = part->each_of;
    }
    return part->count == PART_COUNTED ? part->most : 0;
}

/* Columns in which anything may stand, as nobody looks at them. */
static uint64_t free_columns(const struct sweep *sweep)
{
    uint64_t set = 0;
    for (uint32_t i = 0; i < sweep->column_count; i++) {
        enum column_sort sort = sweep->columns[i].sort;
        if (sort == COLUMN_IGNORED || sort == COLUMN_ID || sort == COLUMN_PROPELLER ||
            sort == COLUMN_INSPECTION || sort == COLUMN_REMARK) {
            set |= bit((int16_t)i);
        }
    }
    return set;
}

static struct fast_docket *make_docket(struct arena *arena, struct fast *fast,
                                       const struct sweep *sweep, const struct docket *docket)
{
    const struct kind *kind = docket->kind;
    if (docket->variable_count > FAST_SLOTS || kind->each_side) {
        return NULL;
    }
    struct fast_docket *made = ARENA_NEW(arena, struct fast_docket);
    struct fast_making making = {
        .arena = arena, .fast = fast, .sweep = sweep, .docket = docket, .made = made};
    made->kind = kind;
    made->part = docket->part;
    made->most_instances = instances_of(docket->part);
    made->needed = bit(fast->kind_column) | bit(fast->part_column);
    if (!take_records(&making) || !take_products(&making) || !take_places(&making) ||
        !take_lists(&making)) {
        return NULL;
    }
    made->allowed = made->needed | free_columns(sweep);
    return fast_limits(&making) ? made : NULL;
}

/* ---- names ------------------------------------------------------------------------------------------------ */

static void names_begin(struct arena *arena, struct fast_names *names, uint32_t count)
{
    names->names = ARENA_ARRAY(arena, const char *, count);
    names->sizes = ARENA_ARRAY(arena, uint32_t, count);
    names->count = count;
}

static bool names_add(struct fast_names *names, uint32_t index, const char *name)
{
    size_t size = strlen(name);
    names->names[index] = name;
    names->sizes[index] = (uint32_t)size;
    uint64_t key = fast_name_key(name, (uint32_t)size, NULL);
    uint32_t slot = fast_name_slot(key);
    for (uint32_t tries = 0; tries < FAST_NAME_SLOTS; tries++) {
        if (!names->slots[slot]) {
            names->slots[slot] = (uint16_t)(index + 1);
            names->keys[slot] = key;
            return true;
        }
        slot = (slot + 1) % FAST_NAME_SLOTS;
    }
    return false;
}

static bool take_names(struct arena *arena, struct fast *fast, const struct book *book)
{
    if (book->kind_count > FAST_NAME_SLOTS / 2 || book->part_count > FAST_NAME_SLOTS / 2) {
        return false;
    }
    names_begin(arena, &fast->kinds, book->kind_count);
    names_begin(arena, &fast->parts, book->part_count);
    for (uint32_t i = 0; i < book->kind_count; i++) {
        names_add(&fast->kinds, i, book->kinds[i].name);
    }
    for (uint32_t i = 0; i < book->part_count; i++) {
        names_add(&fast->parts, i, book->parts[i].name);
    }
    return true;
}

struct fast *fast_make(struct arena *arena, const struct sweep *sweep, uint32_t index)
{
    const struct ready_book *ready = sweep->books[index];
    const struct book *book = ready->book;
    struct fast *fast = ARENA_NEW(arena, struct fast);
    fast->book = book;
    fast->kind_column = find_column(sweep, COLUMN_KIND, NULL);
    fast->part_column = find_column(sweep, COLUMN_PART, NULL);
    fast->id_column = (int16_t)sweep->id;
    if (sweep->column_count > BIT_COLUMNS || fast->kind_column < 0 || fast->part_column < 0 ||
        !take_names(arena, fast, book)) {
        return NULL;
    }
    size_t count = (size_t)book->kind_count * book->part_count;
    bool any = false;
    fast->dockets = ARENA_ARRAY(arena, struct fast_docket *, count);
    for (size_t i = 0; i < count; i++) {
        if (ready->plan->dockets[i]) {
            fast->dockets[i] = make_docket(arena, fast, sweep, ready->plan->dockets[i]);
            any |= fast->dockets[i] != NULL;
        }
    }
    for (size_t i = 0; i < count; i++) {
        for (uint32_t l = 0; fast->dockets[i] && l < ready->plan->dockets[i]->limit_count; l++) {
            const struct fast_limit *limit = &fast->dockets[i]->limits[l];
            for (uint32_t r = 0; r < limit->rung_count; r++) {
                uint32_t at = limit->first_rung + r;
                fast_dress(arena, book, limit, fast->rungs[at].outcome, &fast->lines[at]);
            }
        }
    }
    return any ? fast : NULL;
}
