/* Random small books and findings. Figures are in grains; see judge_random.h. */
#include "judge_random.h"

#include <string.h>

#define OUTCOMES 4 /* of the ladders; then "no published limit" and "incomplete" */
#define NO_PUBLISHED_LIMIT OUTCOMES

static const int64_t axis_units[CASE_AXES] = {4, 2};
static const char *const axis_names[CASE_AXES] = {"station", "chord"};

uint32_t random_below(struct random *random, uint32_t count)
{
    random->state = random->state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (uint32_t)((random->state >> 33) % count);
}

bool random_chance(struct random *random, uint32_t percent)
{
    return random_below(random, 100) < percent;
}

static int64_t between(struct random *random, int64_t low, int64_t high)
{
    return low + (int64_t)random_below(random, (uint32_t)(high - low + 1));
}

struct number in_units(struct arena *arena, int64_t grains)
{
    return number_make(arena, grains, GRAINS);
}

/* ---- parts and zones ----------------------------------------------------------------------- */

static void make_part(struct arena *arena, struct random *random, struct part *part)
{
    static const char *sides[2] = {"camber", "thrust"};
    static const char *places[3] = {"dome", "rim", "plate"};
    part->name = "blade";
    if (random_chance(random, 10)) {
        part->places = places;
        part->place_count = 1 + random_below(random, 3);
        return;
    }
    part->axis_count = random_chance(random, 5) ? 0 : 1 + random_chance(random, 40);
    part->axes = ARENA_ARRAY(arena, struct axis, part->axis_count);
    for (uint32_t a = 0; a < part->axis_count; a++) {
        part->axes[a] = (struct axis){
            .name = axis_names[a], .from = NUMBER_ZERO, .to = NUMBER_INT(axis_units[a])};
    }
    if (random_chance(random, 50)) {
        part->sides = sides;
        part->side_count = 1 + random_chance(random, 80);
    }
    if (part->side_count == 2 && part->axis_count && random_chance(random, 50)) {
        uint32_t axis = random_below(random, part->axis_count);
        part->meetings = ARENA_NEW(arena, struct meeting);
        part->meetings[0].axis = axis;
        part->meetings[0].at = NUMBER_INT(between(random, 0, axis_units[axis]));
        part->meeting_count = 1;
    }
}

static uint64_t some_bits(struct random *random, uint32_t count)
{
    uint64_t all = (UINT64_C(1) << count) - 1;
    uint64_t set = random_below(random, (uint32_t)all + 1);
    return set && random_chance(random, 60) ? set : all;
}

static void make_zone(struct arena *arena, struct random *random, struct book *book,
                      struct zone *zone, bool whole)
{
    const struct part *part = &book->parts[0];
    zone->part = part;
    zone->is_part = whole;
    zone->ranges = ARENA_ARRAY(arena, struct zone_range, part->axis_count);
    for (uint32_t a = 0; a < part->axis_count; a++) {
        struct zone_range *range = &zone->ranges[a];
        *range = (struct zone_range){.from = NUMBER_ZERO, .to = NUMBER_INT(axis_units[a])};
        if (whole || random_chance(random, a ? 40 : 15)) {
            continue;
        }
        int64_t from = between(random, 0, axis_units[a] - 1);
        range->from = NUMBER_INT(from);
        range->to = NUMBER_INT(between(random, from + 1, axis_units[a]));
        range->from_open = random_chance(random, 25);
        range->to_open = random_chance(random, 25);
    }
    zone->sides = whole ? UINT64_C(3) : some_bits(random, part->side_count ? part->side_count : 1);
    zone->places =
        whole ? UINT64_C(7) : some_bits(random, part->place_count ? part->place_count : 1);
    if (whole || zone->index < 2 || !random_chance(random, 30)) {
        return;
    }
    zone->outside = ARENA_ARRAY(arena, const struct zone *, 2);
    zone->outside_count = zone->index > 2 && random_chance(random, 30) ? 2 : 1;
    for (uint32_t i = 0; i < zone->outside_count; i++) {
        zone->outside[i] = &book->zones[1 + random_below(random, zone->index - 1)];
    }
}

static void make_zones(struct arena *arena, struct random *random, struct book *book)
{
    book->zone_count = 2 + random_below(random, 3);
    book->zones = ARENA_ARRAY(arena, struct zone, book->zone_count);
    for (uint32_t z = 0; z < book->zone_count; z++) {
        book->zones[z].index = z;
        book->zones[z].name = z ? "zone" : "blade";
        make_zone(arena, random, book, &book->zones[z], z == 0);
    }
}

/* ---- curves, measures, observations ----------------------------------------------------------- */

/* Slopes are -1, 0 or 1 only: see test_judge.c on why. */
static void make_curve(struct arena *arena, struct random *random, struct curve *curve,
                       uint32_t axis)
{
    int64_t value = between(random, 0, 3);
    curve->axis = axis_names[axis];
    curve->points = ARENA_ARRAY(arena, struct curve_point, (size_t)axis_units[axis] + 1);
    for (int64_t at = 0; at <= axis_units[axis];) {
        curve->points[curve->point_count++] =
            (struct curve_point){.at = NUMBER_INT(at), .value = NUMBER_INT(value)};
        int64_t next = at == axis_units[axis] ? at + 1 : between(random, at + 1, axis_units[axis]);
        value += (next - at) * between(random, -1, 1);
        at = next;
    }
}

static void make_curves(struct arena *arena, struct random *random, struct book *book)
{
    if (!book->parts[0].axis_count) {
        return;
    }
    book->curve_count = random_below(random, 4);
    book->curves = ARENA_ARRAY(arena, struct curve, book->curve_count);
    for (uint32_t c = 0; c < book->curve_count; c++) {
        book->curves[c].index = c;
        book->curves[c].name = "curve";
        make_curve(arena, random, &book->curves[c],
                   random_chance(random, 25) ? book->parts[0].axis_count - 1 : 0);
    }
}

static void make_records(struct arena *arena, struct random *random, struct book *book)
{
    static const char *values[3] = {"a", "b", "c"};
    struct kind *kind = &book->kinds[0];
    book->measure_count = 1 + random_below(random, CASE_MEASURES);
    book->measures = ARENA_ARRAY(arena, struct measure, book->measure_count);
    book->observation_count = random_chance(random, 35);
    book->observations = ARENA_ARRAY(arena, struct observation, 1);
    kind->records = ARENA_ARRAY(arena, struct recorded, CASE_RECORDS);
    for (uint32_t m = 0; m < book->measure_count; m++) {
        struct measure *measure = &book->measures[m];
        uint32_t sort = random_below(random, 10);
        *measure = (struct measure){.name = "measure",
                                    .index = m,
                                    .from = NUMBER_ZERO,
                                    .to = NUMBER_INT(5),
                                    .step = NUMBER_INT(1),
                                    .smaller_is_worse = random_chance(random, 25)};
        measure->stepping = sort < 6   ? TREE_STEP_NONE
                            : sort < 7 ? TREE_READ_TO
                            : sort < 9 ? TREE_READ_UP_TO
                                       : TREE_READ_NEAREST;
        if (random_chance(random, 30)) {
            measure->step = NUMBER_INT(2);
        }
        kind->records[kind->record_count++].measure = measure;
    }
    if (book->observation_count) {
        book->observations[0] =
            (struct observation){.name = "observed",
                                 .sort = random_chance(random, 50) ? TREE_LEVELS : TREE_ONE_OF,
                                 .values = values,
                                 .value_count = 2 + random_below(random, 2)};
        kind->records[kind->record_count++].observation = &book->observations[0];
    }
}

/* ---- conditions ------------------------------------------------------------------------------- */

struct making {
    struct arena *arena;
    struct random *random;
    struct random_book *made;
};

static struct expression *expression_new(const struct making *making, enum expression_sort sort,
                                         const struct expression *left,
                                         const struct expression *right)
{
    struct expression *expression = ARENA_NEW(making->arena, struct expression);
    expression->sort = sort;
    expression->left = left;
    expression->right = right;
    return expression;
}

static struct expression *figure(const struct making *making, int64_t halves)
{
    struct expression *expression = expression_new(making, EXPRESSION_FIGURE, NULL, NULL);
    expression->value = number_make(making->arena, halves, 2);
    return expression;
}

static struct expression *measured(const struct making *making, uint32_t m)
{
    struct expression *expression = expression_new(making, EXPRESSION_MEASURE, NULL, NULL);
    expression->measure = &making->made->book->measures[m];
    return expression;
}

static struct expression *curved(const struct making *making, uint32_t c)
{
    struct expression *expression = expression_new(making, EXPRESSION_CURVE, NULL, NULL);
    expression->curve = &making->made->book->curves[c];
    return expression;
}

/* What is compared: a measure, a sum or difference of two, or the lesser or greater of two. */
static struct expression *left_side(const struct making *making, uint32_t *unknowns, bool *picks)
{
    static const enum expression_sort joins[4] = {EXPRESSION_ADD, EXPRESSION_SUBTRACT,
                                                  EXPRESSION_LESSER, EXPRESSION_GREATER};
    uint32_t count = making->made->book->measure_count;
    uint32_t one = random_below(making->random, count);
    *unknowns = 1;
    *picks = false;
    if (count == 1 || random_chance(making->random, 55)) {
        return measured(making, one);
    }
    uint32_t other = (one + 1 + random_below(making->random, count - 1)) % count;
    uint32_t join = random_below(making->random, 4);
    *picks = join >= 2;
    *unknowns = *picks ? 1 : 2;
    return expression_new(making, joins[join], measured(making, one), measured(making, other));
}

/* A curve, moved, cut off by a figure or another curve, or with the choice of a measure. */
static struct expression *curve_side(const struct making *making)
{
    struct random *random = making->random;
    const struct book *book = making->made->book;
    uint32_t c = random_below(random, book->curve_count);
    struct expression *curve = curved(making, c);
    enum expression_sort pick = random_chance(random, 50) ? EXPRESSION_LESSER : EXPRESSION_GREATER;
    switch (random_below(random, 7)) {
    case 0:
        return expression_new(making, EXPRESSION_ADD, curve,
                              figure(making, 2 * between(random, 0, 2)));
    case 1:
        return expression_new(making, pick, curve, figure(making, 2 * between(random, 0, 4)));
    case 2: {
        struct expression *other = measured(making, random_below(random, book->measure_count));
        return expression_new(making, pick, curve,
                              expression_new(making, EXPRESSION_ADD, other,
                                             figure(making, 2 * between(random, 0, 2))));
    }
    case 3: {
        uint32_t other = random_below(random, book->curve_count);
        if (strcmp(book->curves[other].axis, book->curves[c].axis) == 0) {
            return expression_new(making, pick, curve, curved(making, other));
        }
        if (random_chance(random, 40)) {
            making->made->across = true;
            making->made->longest = 3;
            return expression_new(making, EXPRESSION_ADD, curve, curved(making, other));
        }
        return curve;
    }
    default:
        return curve;
    }
}

static void make_condition(const struct making *making, struct condition *condition)
{
    struct random *random = making->random;
    const struct book *book = making->made->book;
    if (book->observation_count && random_chance(random, 25)) {
        condition->sort = CONDITION_AMONG;
        condition->observation = &book->observations[0];
        condition->values = random_below(random, 1u << book->observations[0].value_count);
        return;
    }
    if (random_chance(random, 5)) {
        condition->sort = CONDITION_RELEASE;
        return;
    }
    static const enum tree_relation relations[4] = {TREE_UP_TO, TREE_BELOW, TREE_AT_LEAST,
                                                    TREE_OVER};
    uint32_t unknowns;
    bool picks;
    condition->sort = CONDITION_COMPARE;
    condition->left = left_side(making, &unknowns, &picks);
    condition->relation =
        relations[random_chance(random, 70) ? random_below(random, 2) : random_below(random, 4)];
    if (book->curve_count && !picks && random_chance(random, 60)) {
        making->made->longest = unknowns == 2 ? 3 : making->made->longest;
        condition->right = curve_side(making);
        return;
    }
    condition->right = unknowns == 2 ? figure(making, 2 * between(random, 1, 5))
                                     : figure(making, between(random, 1, 8));
}

/* ---- ladders -------------------------------------------------------------------------------------- */

static void make_limit(const struct making *making, struct limit *limit)
{
    struct random *random = making->random;
    struct book *book = making->made->book;
    uint32_t outcome = random_below(random, 2);
    limit->kinds = ARENA_ARRAY(making->arena, const struct kind *, 1);
    limit->kinds[0] = making->made->kind;
    limit->kind_count = 1;
    limit->zone =
        &book->zones[random_chance(random, 55) ? 0 : random_below(random, book->zone_count)];
    if (random_chance(random, 3)) {
        limit->declared_gap = true;
        return;
    }
    limit->rung_count = 1 + random_below(random, 4);
    limit->rungs = ARENA_ARRAY(making->arena, struct rung, limit->rung_count);
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        struct rung *rung = &limit->rungs[r];
        rung->outcome = outcome;
        rung->otherwise = r + 1 == limit->rung_count && random_chance(random, 75);
        if (rung->otherwise) {
            rung->outcome = random_chance(random, 10)   ? NO_PUBLISHED_LIMIT
                            : random_chance(random, 50) ? OUTCOMES - 1
                                                        : outcome;
            continue;
        }
        rung->condition_count = random_chance(random, 70) ? 1 : 2;
        rung->conditions = ARENA_ARRAY(making->arena, struct condition, rung->condition_count);
        for (uint32_t c = 0; c < rung->condition_count; c++) {
            make_condition(making, &rung->conditions[c]);
        }
        outcome += random_below(random, 2);
        outcome = outcome < OUTCOMES ? outcome : OUTCOMES - 1;
    }
}

struct random_book random_book(struct arena *arena, struct random *random)
{
    struct random_book made = {.longest = 2};
    struct making making = {arena, random, &made};
    struct book *book = ARENA_NEW(arena, struct book);
    made.book = book;
    book->arena = arena;
    book->scale_count = OUTCOMES + 2;
    book->scale = ARENA_ARRAY(arena, struct outcome, book->scale_count);
    book->no_published_limit = NO_PUBLISHED_LIMIT;
    book->incomplete = OUTCOMES + 1;
    book->parts = made.part = ARENA_NEW(arena, struct part);
    book->part_count = 1;
    make_part(arena, random, made.part);
    make_zones(arena, random, book);
    make_curves(arena, random, book);
    book->kinds = made.kind = ARENA_NEW(arena, struct kind);
    book->kind_count = book->check_start = 1;
    made.kind->name = "gouge";
    made.kind->parts = ARENA_ARRAY(arena, const struct part *, 1);
    made.kind->parts[0] = made.part;
    made.kind->part_count = 1;
    make_records(arena, random, book);
    book->limit_count = random_chance(random, 50) ? 1 : 2 + random_below(random, 2);
    book->limits = ARENA_ARRAY(arena, struct limit, book->limit_count);
    for (uint32_t l = 0; l < book->limit_count; l++) {
        book->limits[l].index = l;
        make_limit(&making, &book->limits[l]);
    }
    return made;
}

/* ---- findings --------------------------------------------------------------------------------------- */

/* What is left to spend: unknown values that may vary, and worlds. */
struct purse {
    uint32_t unknowns;
    uint64_t worlds;
    int64_t unit; /* all that is written down is a multiple of this many grains */
};

static bool afford(struct purse *purse, uint32_t unknowns, int64_t worlds)
{
    if (unknowns > purse->unknowns || purse->worlds * (uint64_t)worlds > CASE_WORLDS) {
        return false;
    }
    purse->unknowns -= unknowns;
    purse->worlds *= (uint64_t)worlds;
    return true;
}

static int64_t written(struct random *random, const struct purse *purse, int64_t low, int64_t high)
{
    return between(random, low * GRAINS / purse->unit, high * GRAINS / purse->unit) * purse->unit;
}

static void make_reading(struct arena *arena, struct random *random, struct purse *purse,
                         const struct measure *measure, struct random_case *made, uint32_t r)
{
    struct reading *reading = &made->finding->readings[r];
    bool stepped = measure->stepping == TREE_READ_UP_TO || measure->stepping == TREE_READ_NEAREST;
    int64_t grain = !stepped ? WORLD_GRAINS : purse->unit < GRAINS / 2 ? purse->unit : GRAINS / 2;
    int64_t low = written(random, purse, 0, 5), high = low, middle = low;
    enum given given = GIVEN_EXACT;
    if (random_chance(random, 80)) {
        int64_t width = purse->unit * between(random, 1, 2 * GRAINS / purse->unit);
        int64_t to = random_chance(random, 25) ? 5 * GRAINS : low + width;
        int64_t from = to == 5 * GRAINS && random_chance(random, 50) ? 0 : low;
        to = to > 5 * GRAINS ? 5 * GRAINS : to;
        if (to > from && afford(purse, !stepped, (to - from) / grain + 1)) {
            low = from;
            high = to;
            given = from == 0 && to == 5 * GRAINS ? GIVEN_NOT
                    : random_chance(random, 50)   ? GIVEN_DOUBT
                                                  : GIVEN_RANGE;
            middle =
                given == GIVEN_DOUBT ? low + (high - low) / purse->unit / 2 * purse->unit : low;
        }
    }
    *reading = (struct reading){.given = given,
                                .low = in_units(arena, low),
                                .high = in_units(arena, high),
                                .middle = in_units(arena, middle)};
    bool collapses = made->as_read && given == GIVEN_DOUBT;
    made->grain[r] = grain;
    made->low[r] = collapses ? middle : low;
    made->high[r] = collapses ? middle : high;
}

static int64_t clip(int64_t value, int64_t most)
{
    return value < 0 ? 0 : value > most ? most : value;
}

/* Pairs of lo and hi on the oracle's lattice, counted the long way. */
static int64_t count_pairs(const struct ends *ends)
{
    int64_t count = 0;
    for (int64_t lo = ends->lo_low; lo <= ends->lo_high; lo += WORLD_GRAINS) {
        for (int64_t hi = ends->point ? lo : ends->hi_low; hi <= (ends->point ? lo : ends->hi_high);
             hi += WORLD_GRAINS) {
            count += lo <= hi;
        }
    }
    return count;
}

static uint32_t ends_unknowns(const struct ends *ends)
{
    return (uint32_t)(ends->lo_low != ends->lo_high) +
           (uint32_t)(!ends->point && ends->hi_low != ends->hi_high);
}

static void make_extent(struct arena *arena, struct random *random, struct purse *purse,
                        struct random_case *made, uint32_t axis)
{
    int64_t length = axis_units[axis], most = length * GRAINS;
    int64_t lo = written(random, purse, 0, length), hi = lo;
    int64_t lo_doubt = 0, hi_doubt = 0;
    bool point = random_chance(random, 50);
    if (!point) {
        hi = random_chance(random, 15) ? lo : written(random, purse, 0, length);
        int64_t swap = lo;
        lo = lo < hi ? lo : hi;
        hi = swap < hi ? hi : swap;
    }
    if (random_chance(random, 60)) {
        lo_doubt = purse->unit * between(random, 0, GRAINS / purse->unit);
        hi_doubt = point ? lo_doubt : purse->unit * between(random, 0, GRAINS / purse->unit);
    }
    struct ends read = {lo, lo, hi, hi, point};
    struct ends ends = {clip(lo - lo_doubt, most), clip(lo + lo_doubt, most),
                        clip(hi - hi_doubt, most), clip(hi + hi_doubt, most), point};
    enum given given = point && lo_doubt ? GIVEN_DOUBT : point ? GIVEN_EXACT : GIVEN_RANGE;
    struct ends missing = {0, most, 0, most, false};
    if (random_chance(random, 30)) {
        ends = read = missing;
        given = GIVEN_NOT;
    }
    const struct ends *judged = made->as_read ? &read : &ends;
    if (!afford(purse, ends_unknowns(judged), count_pairs(judged))) {
        ends = read = (struct ends){lo, lo, hi, hi, point};
        judged = &ends;
        given = point ? GIVEN_EXACT : GIVEN_RANGE;
    }
    made->ends[axis] = *judged;
    made->finding->extents[axis] = (struct extent){.given = given,
                                                   .point = ends.point,
                                                   .lo_low = in_units(arena, ends.lo_low),
                                                   .lo_high = in_units(arena, ends.lo_high),
                                                   .hi_low = in_units(arena, ends.hi_low),
                                                   .hi_high = in_units(arena, ends.hi_high),
                                                   .read_lo_low = in_units(arena, read.lo_low),
                                                   .read_lo_high = in_units(arena, read.lo_high),
                                                   .read_hi_low = in_units(arena, read.hi_low),
                                                   .read_hi_high = in_units(arena, read.hi_high)};
}

static uint64_t open_bits(struct random *random, struct purse *purse, uint32_t count)
{
    uint64_t all = (UINT64_C(1) << count) - 1;
    return count > 1 && random_chance(random, 40) && afford(purse, 0, count)
               ? all
               : UINT64_C(1) << random_below(random, count);
}

struct random_case random_case(struct arena *arena, struct random *random,
                               const struct random_book *book)
{
    struct random_case made = {.as_read = random_chance(random, 20),
                               .floor = random_chance(random, 30) ? random_below(random, 5) : 0};
    const struct kind *kind = book->kind;
    const struct part *part = book->part;
    struct purse purse = {.worlds = 1};
    uint32_t most = book->longest == 3 ? 2 : 3;
    purse.unknowns = random_chance(random, 75) ? most : random_below(random, most);
    purse.unit = purse.unknowns == 3   ? GRAINS
                 : purse.unknowns == 2 ? GRAINS / 2
                 : purse.unknowns == 1 ? GRAINS / 4
                                       : WORLD_GRAINS;
    made.finding = ARENA_NEW(arena, struct finding);
    made.finding->part = part;
    made.finding->kind = kind;
    made.finding->readings = ARENA_ARRAY(arena, struct reading, kind->record_count);
    made.finding->extents = ARENA_ARRAY(arena, struct extent, part->axis_count);
    for (uint32_t a = part->axis_count; a-- > 0;) {
        make_extent(arena, random, &purse, &made, a);
    }
    for (uint32_t r = 0; r < kind->record_count; r++) {
        if (kind->records[r].measure) {
            make_reading(arena, random, &purse, kind->records[r].measure, &made, r);
        } else {
            made.finding->readings[r].values =
                open_bits(random, &purse, kind->records[r].observation->value_count);
        }
    }
    made.finding->sides = part->side_count ? open_bits(random, &purse, part->side_count) : 0;
    made.finding->places = part->place_count ? open_bits(random, &purse, part->place_count) : 0;
    return made;
}
