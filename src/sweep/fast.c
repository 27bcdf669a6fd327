/* The fast table of a book for the columns of a sweep. */
#include "sweep/fast.h"

#include <string.h>

#include "base/text.h"

#define NO_COLUMN (-1)
#define BIT_COLUMNS 64 /* columns have to fit a set */

/* ---- columns ------------------------------------------------------------------------------ */

int16_t fast_column(const struct sweep *sweep, enum column_sort sort, const char *name)
{
    for (uint32_t i = 0; i < sweep->column_count; i++) {
        const struct column *column = &sweep->columns[i];
        if (column->sort == sort && (!name || strcmp(column->name, name) == 0)) {
            return (int16_t)i;
        }
    }
    return NO_COLUMN;
}

bool fast_millionths(struct arena *arena, struct number value, const struct unit *unit,
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

/* ---- what is recorded ----------------------------------------------------------------------- */

struct fast_values fast_values_make(struct arena *arena, const char *const *names, uint32_t count,
                                    int16_t column)
{
    uint64_t *keys = ARENA_ARRAY(arena, uint64_t, count + FAST_FEW);
    for (uint32_t i = 0; i < count; i++) {
        keys[i] = fast_name_key(names[i], (uint32_t)strlen(names[i]), false);
    }
    return (struct fast_values){.keys = keys, .names = names, .count = count, .column = column};
}

/* How it is rounded: down to a step, and up one more where twice the rest exceeds made->rest. */
static bool take_step(struct fast_making *making, const struct variable *variable,
                      const struct unit *unit, int64_t high, struct fast_measure *made)
{
    bool nearest = variable->stepping == TREE_READ_NEAREST;
    int64_t step = 1;
    if ((nearest || variable->stepping == TREE_READ_UP_TO) &&
        (!fast_millionths(making->arena, variable->step, unit, &step) || step < 1 ||
         step > INT64_C(1) << 60)) {
        return false;
    }
    made->step = (uint64_t)step;
    if (step == 1) { /* nothing to round: down by less than one, and up again */
        made->inverse = UINT64_MAX;
        return true;
    }
    made->odd = nearest;
    made->rest = nearest ? step : variable->round_down ? INT64_MAX : 0;
    /* typed * inverse / 2^64 is typed / step without its rest, exactly, while typed * step < 2^64. */
    if (high < (INT64_C(1) << 62) / step) {
        made->inverse = UINT64_MAX / made->step + 1;
    }
    return true;
}

/* Of dockets with the same measure, it is kept once. False where there are too many. */
static bool keep_measure(struct fast_making *making, const struct fast_measure *made,
                         uint8_t *index)
{
    struct fast *fast = making->fast;
    uint32_t i = 0;
    while (i < fast->measure_count && memcmp(&fast->measures[i], made, sizeof *made) != 0) {
        i++;
    }
    if (i == FAST_SEEN) {
        return false;
    }
    if (i == fast->measure_count) {
        struct fast_measure *kept =
            ARENA_PUSH(making->arena, fast->measures, fast->measure_count, fast->measure_capacity);
        memcpy(kept, made, sizeof *made);
    }
    *index = (uint8_t)i;
    return true;
}

static bool take_measure(struct fast_making *making, uint32_t index)
{
    struct arena *arena = making->arena;
    const struct measure *measure = making->docket->kind->records[index].measure;
    const struct variable *variable = &making->docket->variables[index];
    struct fast_measure made;
    memset(&made, 0, sizeof made); /* it is compared as bytes */
    made.column = fast_column(making->sweep, COLUMN_MEASURE, measure->name);
    const struct unit *unit = made.column < 0 ? NULL : making->sweep->columns[made.column].unit;
    int64_t high;
    if (!unit || number_sign(measure->from) < 0 ||
        !millionths_within(arena, measure->from, unit, NUMBER_UP, &made.low) ||
        !millionths_within(arena, measure->to, unit, NUMBER_DOWN, &high) || high < made.low ||
        high >= INT64_C(1) << 60 || !take_step(making, variable, unit, high, &made)) {
        return false;
    }
    made.range = (uint64_t)(high - made.low);
    making->units[index] = unit;
    making->scales[index] = number_divide(arena, unit->factor, NUMBER_INT(FAST_MILLION));
    making->greatest[index] = high + (int64_t)made.step;
    making->made->needed |= fast_bit(made.column);
    return keep_measure(making, &made, &making->made->records[index]);
}

static bool take_observation(struct fast_making *making, uint32_t index)
{
    struct fast *fast = making->fast;
    const struct observation *observation = making->docket->kind->records[index].observation;
    const char *const *values = (const char *const *)observation->values;
    int16_t column = fast_column(making->sweep, COLUMN_OBSERVATION, observation->name);
    uint32_t i = 0;
    while (i < fast->observation_count && fast->observations[i].names != values) {
        i++;
    }
    if (column < 0 || i == FAST_SEEN) {
        return false;
    }
    if (i == fast->observation_count) {
        *ARENA_PUSH(making->arena, fast->observations, fast->observation_count,
                    fast->observation_capacity) =
            fast_values_make(making->arena, values, observation->value_count, column);
    }
    making->scales[index] = NUMBER_INT(1);
    making->made->needed |= fast_bit(column);
    making->made->records[index] = (uint8_t)(FAST_SEEN | i);
    return true;
}

static bool take_records(struct fast_making *making)
{
    const struct kind *kind = making->docket->kind;
    struct fast_docket *made = making->made;
    made->record_count = (uint8_t)kind->record_count;
    for (uint32_t i = 0; i < kind->record_count; i++) {
        bool measured = kind->records[i].measure != NULL;
        if (!(measured ? take_measure(making, i) : take_observation(making, i))) {
            return false;
        }
        if (measured) {
            made->measured[made->measured_count++] = (uint8_t)i;
        } else {
            made->seen[made->seen_count++] = (uint8_t)i;
        }
    }
    return true;
}

static bool take_product(struct fast_making *making, uint32_t v)
{
    const struct docket *docket = making->docket;
    const struct variable *variable = &docket->variables[v];
    struct fast_product product = {.slot = (uint8_t)v};
    if (variable->sort != VARIABLE_PRODUCT) {
        return false;
    }
    for (int f = 0; f < 2; f++) {
        const struct expression *factor = variable->factors[f];
        int32_t slot = factor->sort == EXPRESSION_MEASURE
                           ? kind_measure_position(docket->kind, factor->measure)
                           : -1;
        if (slot < 0) {
            return false;
        }
        product.factors[f] = (uint8_t)slot;
    }
    uint8_t a = product.factors[0], b = product.factors[1];
    if (__builtin_mul_overflow(making->greatest[a], making->greatest[b], &making->greatest[v]) ||
        making->greatest[v] >= INT64_C(1) << 62) {
        return false;
    }
    making->scales[v] = number_multiply(making->arena, making->scales[a], making->scales[b]);
    making->products[making->made->product_count++] = product;
    return true;
}

/* Products of two measures stand behind what is recorded. Of all others there the table knows nothing. */
static void take_products(struct fast_making *making)
{
    making->products = ARENA_ARRAY(making->arena, struct fast_product, FAST_SLOTS);
    making->made->products = making->products;
    for (uint32_t v = making->docket->kind->record_count; v < making->docket->variable_count; v++) {
        making->untold[v] = !take_product(making, v);
    }
}

/* Finds what is measured along each axis; false: nothing is. */
static bool takes_along(const struct kind *kind, const struct part *part, uint16_t *along)
{
    int32_t position = kind_part_position(kind, part);
    bool any = false;
    for (uint32_t r = 0; r < kind->record_count && position >= 0; r++) {
        int32_t axis = kind->records[r].has_along ? kind->records[r].along[position] : -1;
        if (axis >= 0) {
            along[axis] |= (uint16_t)(1u << r);
            any = true;
        }
    }
    return any;
}

/* ---- dockets ------------------------------------------------------------------------------------------ */

uint32_t fast_instances(const struct part *part)
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
            set |= fast_bit((int16_t)i);
        }
    }
    return set;
}

/* NULL where exact rows have no table. */
static struct fast_docket *make_docket(struct arena *arena, struct fast *fast,
                                       const struct sweep *sweep, const struct docket *docket,
                                       const struct fast_part *part, struct fast_source *source)
{
    const struct kind *kind = docket->kind;
    if (!part || docket->variable_count > FAST_SLOTS || kind->each_side) {
        return NULL;
    }
    struct fast_docket *made = ARENA_NEW(arena, struct fast_docket);
    struct fast_making making = {
        .arena = arena, .fast = fast, .sweep = sweep, .docket = docket, .made = made};
    made->kind = kind->index;
    made->needed = fast_bit(fast->kind_column) | fast_bit(fast->part_column);
    if (!take_records(&making)) {
        return NULL;
    }
    take_products(&making);
    if (!fast_places(&making, part)) {
        return NULL;
    }
    made->allowed = made->needed | free_columns(sweep);
    struct number *scales = ARENA_ARRAY(arena, struct number, FAST_SLOTS);
    memcpy(scales, making.scales, sizeof making.scales);
    if (!fast_limits(&making)) {
        return NULL;
    }
    *source = (struct fast_source){.table = made, .docket = docket, .scales = scales};
    return takes_along(kind, docket->part, source->along) ? NULL : made;
}

/* ---- names ------------------------------------------------------------------------------------------------ */

static void names_add(struct fast_names *names, uint32_t index, const char *name)
{
    uint32_t size = (uint32_t)strlen(name);
    uint64_t key = fast_name_key(name, size, false);
    uint32_t slot = fast_name_slot(key);
    while (names->slots[slot].name) {
        slot = (slot + 1) % FAST_NAME_SLOTS;
    }
    names->slots[slot] = (struct fast_name){key, name, size, index};
}

#define MOST_NAMES (FAST_NAME_SLOTS / 2)

/* Each part of a propeller as a cell names it. */
static void take_instances(struct arena *arena, struct fast *fast, const struct book *book)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < book->part_count; i++) {
        uint32_t most = fast_instances(&book->parts[i]);
        if (most >= MOST_NAMES || (count += most ? most : 1) > MOST_NAMES) {
            return; /* they are found by part and number */
        }
    }
    for (uint32_t i = 0; i < book->part_count; i++) {
        const char *name = book->parts[i].name;
        uint32_t most = fast_instances(&book->parts[i]);
        if (!most) {
            names_add(&fast->instances, i, name);
        }
        for (uint32_t number = 1; number <= most; number++) {
            names_add(&fast->instances, i, text_format(arena, "%s %u", name, number));
        }
    }
}

static bool take_names(struct arena *arena, struct fast *fast, const struct book *book)
{
    if (book->kind_count > MOST_NAMES || book->part_count > MOST_NAMES) {
        return false;
    }
    for (uint32_t i = 0; i < book->kind_count; i++) {
        names_add(&fast->kinds, i, book->kinds[i].name);
    }
    for (uint32_t i = 0; i < book->part_count; i++) {
        names_add(&fast->parts, i, book->parts[i].name);
    }
    take_instances(arena, fast, book);
    return true;
}

/* What all dockets have in common. */
static void take_common(struct fast_making *making)
{
    struct fast *fast = making->fast;
    const struct book *book = fast->book;
    fast->outcomes = ARENA_ARRAY(making->arena, struct fast_text, book->scale_count);
    for (uint32_t i = 0; i < book->scale_count; i++) {
        const char *const parts[] = {",", fast_csv_text(making->arena, book->scale[i].name),
                                     book->scale[i].flight ? ",yes,," : ",no,,"};
        fast->outcomes[i] = fast_text_keep(making, parts, 3);
    }
    /* Items 0: a map of nothing, a sum of nothing, and the source of the limit itself. */
    fast->maps = ARENA_ARRAY(making->arena, uint8_t, 2 * (FAST_POINTS + 1));
    fast->map_capacity = 2 * (FAST_POINTS + 1);
    fast->map_size = FAST_POINTS + 1;
    *ARENA_PUSH(making->arena, fast->linears, fast->linear_count, fast->linear_capacity) =
        (struct fast_linear){0};
    *ARENA_PUSH(making->arena, fast->sources, fast->source_count, fast->source_capacity) =
        (struct fast_text){0};
}

/* A copy that begins with a line of the cache, so that few of its items lie in two. */
static void *aligned(struct arena *arena, const void *items, size_t size)
{
    const size_t line = 64;
    char *copy = arena_take(arena, size + line);
    copy += (line - (uintptr_t)copy % line) % line;
    return size ? memcpy(copy, items, size) : copy;
}

static size_t greater(size_t a, size_t b)
{
    return a > b ? a : b;
}

/* What the longest of each sort come to, and some more for figures. */
static size_t room_of_an_answer(const struct fast *fast)
{
    size_t outcome = 0, limit = 0, source = 0, step = 0;
    for (uint32_t i = 0; i < fast->book->scale_count; i++) {
        outcome = greater(outcome, fast->outcomes[i].size);
    }
    for (uint32_t i = 0; i < fast->limit_count; i++) {
        limit = greater(limit, fast->limits[i].zone_size);
        source = greater(source, fast->limits[i].source_size);
    }
    for (uint32_t i = 0; i < fast->source_count; i++) {
        source = greater(source, fast->sources[i].size);
    }
    for (uint32_t i = 0; i < fast->step_count; i++) {
        const struct fast_step *each = &fast->steps[i];
        step = greater(step, each->before_size + 3u * each->suffix_size + each->limit_size);
    }
    return outcome + limit + source + step + FAST_ID + FAST_VALUE + 512;
}

struct fast *fast_make(struct arena *arena, const struct sweep *sweep, uint32_t index)
{
    const struct ready_book *ready = sweep->books[index];
    const struct book *book = ready->book;
    struct fast *fast = ARENA_NEW(arena, struct fast);
    fast->book = book;
    fast->kind_column = fast_column(sweep, COLUMN_KIND, NULL);
    fast->part_column = fast_column(sweep, COLUMN_PART, NULL);
    fast->column_count = sweep->column_count;
    if (sweep->column_count > BIT_COLUMNS || fast->kind_column < 0 || fast->part_column < 0 ||
        !take_names(arena, fast, book)) {
        return NULL;
    }
    take_common(&(struct fast_making){.arena = arena, .fast = fast, .sweep = sweep});
    bool any = false;
    fast->dockets =
        ARENA_ARRAY(arena, struct fast_docket *, (size_t)book->kind_count * book->part_count);
    fast->made_from =
        ARENA_ARRAY(arena, struct fast_source, (size_t)book->kind_count * book->part_count);
    for (uint32_t p = 0; p < book->part_count; p++) {
        const struct fast_part *part = fast_part_make(arena, sweep, ready->plan, &book->parts[p]);
        for (uint32_t k = 0; k < book->kind_count; k++) {
            size_t at = (size_t)k * book->part_count + p;
            if (ready->plan->dockets[at]) {
                fast->dockets[at] = make_docket(arena, fast, sweep, ready->plan->dockets[at], part,
                                                &fast->made_from[at]);
                any |= fast->made_from[at].table != NULL;
            }
        }
    }
    fast->room = room_of_an_answer(fast);
    fast->tests = aligned(arena, fast->tests, fast->test_count * sizeof *fast->tests);
    fast->rungs = aligned(arena, fast->rungs, fast->rung_count * sizeof *fast->rungs);
    fast->linears = aligned(arena, fast->linears, fast->linear_count * sizeof *fast->linears);
    fast->steps = aligned(arena, fast->steps, fast->step_count * sizeof *fast->steps);
    return any ? fast : NULL;
}
