/* The oracle of test_judge.c: integers, loops and nothing else. */
#include "judge_oracle.h"

#include <string.h>

static int64_t to_grains(struct number number)
{
    return number.num * (GRAINS / number.den); /* all figures of the books are on half units */
}

/* ---- zones --------------------------------------------------------------------------------- */

struct spot_at {
    int64_t at[CASE_AXES];
};

/*
 * In this part a place is counted in 64ths of a grain. "Beside" is 27 of them; for a zone outside
 * zones that are themselves outside zones, beside that is 9, then 3, then 1.
 */
#define FINE 64
#define BESIDE 27

static bool zone_holds(const struct book *book, const struct zone *zone, const struct spot_at *spot,
                       uint32_t side, int64_t beside);

static bool ranges_hold(const struct zone *zone, const struct spot_at *spot)
{
    for (uint32_t a = 0; a < zone->part->axis_count; a++) {
        const struct zone_range *range = &zone->ranges[a];
        int64_t from = FINE * to_grains(range->from), to = FINE * to_grains(range->to);
        int64_t at = spot->at[a];
        if (at < from || at > to || (at == from && range->from_open) ||
            (at == to && range->to_open)) {
            return false;
        }
    }
    return true;
}

/* Is the place, or one right beside it in the zone's ranges and on the same side, in none of the
 * zones that it is outside of? */
static bool rest_holds(const struct book *book, const struct zone *zone, const struct spot_at *spot,
                       uint32_t side, int64_t beside)
{
    const struct part *part = &book->parts[0];
    int64_t reach[CASE_AXES] = {part->axis_count > 0, part->axis_count > 1};
    for (int64_t i = -reach[0]; i <= reach[0]; i++) {
        for (int64_t j = -reach[1]; j <= reach[1]; j++) {
            struct spot_at there = {{spot->at[0] + i * beside, spot->at[1] + j * beside}};
            bool taken = !ranges_hold(zone, &there);
            for (uint32_t z = 0; z < zone->outside_count && !taken; z++) {
                taken = zone_holds(book, zone->outside[z], &there, side, beside / 3);
            }
            if (!taken) {
                return true;
            }
        }
    }
    return false;
}

static bool zone_holds_on_side(const struct book *book, const struct zone *zone,
                               const struct spot_at *spot, uint32_t side, int64_t beside)
{
    const struct part *part = &book->parts[0];
    if (part->side_count && !(zone->sides >> side & 1)) {
        return false;
    }
    return ranges_hold(zone, spot) &&
           (!zone->outside_count || rest_holds(book, zone, spot, side, beside));
}

static bool zone_holds(const struct book *book, const struct zone *zone, const struct spot_at *spot,
                       uint32_t side, int64_t beside)
{
    const struct part *part = &book->parts[0];
    for (uint32_t m = 0; m < part->meeting_count; m++) {
        if (FINE * to_grains(part->meetings[m].at) == spot->at[part->meetings[m].axis]) {
            return zone_holds_on_side(book, zone, spot, 0, beside) ||
                   zone_holds_on_side(book, zone, spot, 1, beside);
        }
    }
    return zone_holds_on_side(book, zone, spot, side, beside);
}

/* Named places: "outside" takes places away whole. */
static bool zone_holds_place(const struct zone *zone, uint32_t place)
{
    bool holds = zone->places >> place & 1;
    for (uint32_t z = 0; z < zone->outside_count; z++) {
        holds &= !zone_holds_place(zone->outside[z], place);
    }
    return holds;
}

void oracle_book_make(struct oracle_book *oracle, const struct random_book *made)
{
    const struct book *book = made->book;
    memset(oracle, 0, sizeof *oracle);
    oracle->book = book;
    oracle->across = made->across;
    for (uint32_t l = 0; l < book->limit_count; l++) {
        for (uint32_t side = 0; side < 2; side++) {
            for (uint32_t i = 0; i < ORACLE_CELLS; i++) {
                for (uint32_t j = 0; j < ORACLE_CELLS; j++) {
                    struct spot_at spot = {{i * GRAINS / 2 * FINE, j * GRAINS / 2 * FINE}};
                    oracle->member[l][side][i][j] =
                        zone_holds(book, book->limits[l].zone, &spot, side, BESIDE);
                }
            }
        }
    }
}

static uint32_t cell_of(int64_t at)
{
    return (uint32_t)(at / GRAINS * 2 + (at % GRAINS != 0));
}

static bool limit_holds(const struct oracle_book *oracle, uint32_t limit,
                        const struct oracle_world *world, const struct spot_at *spot)
{
    const struct part *part = &oracle->book->parts[0];
    if (part->place_count) {
        return zone_holds_place(oracle->book->limits[limit].zone, world->place);
    }
    return oracle->member[limit][world->side][part->axis_count > 0 ? cell_of(spot->at[0]) : 0]
                         [part->axis_count > 1 ? cell_of(spot->at[1]) : 0];
}

/* ---- places of an extent --------------------------------------------------------------------- */

struct places {
    const struct oracle_world *world;
    uint32_t axis_count;
    int64_t grain[CASE_AXES];
    struct spot_at spot;
};

/* All multiples of the grain in [lo, hi], and lo and hi. */
static void places_begin(struct places *places, const struct oracle_world *world,
                         uint32_t axis_count, int64_t grain, int64_t across)
{
    *places = (struct places){.world = world, .axis_count = axis_count, .grain = {grain, across}};
    for (uint32_t a = 0; a < axis_count; a++) {
        places->spot.at[a] = world->lo[a];
    }
}

static bool places_next(struct places *places)
{
    for (uint32_t a = places->axis_count; a-- > 0;) {
        int64_t *at = &places->spot.at[a], grain = places->grain[a];
        if (*at < places->world->hi[a]) {
            int64_t next = *at / grain * grain + grain;
            *at = next < places->world->hi[a] ? next : places->world->hi[a];
            return true;
        }
        *at = places->world->lo[a];
    }
    return false;
}

/* ---- conditions -------------------------------------------------------------------------------- */

struct asked {
    const struct oracle_book *oracle;
    const struct oracle_world *world;
    int64_t values[CASE_MEASURES]; /* rounded */
};

static int64_t curve_at(const struct asked *asked, const struct curve *curve,
                        const struct spot_at *spot)
{
    uint32_t axis = strcmp(curve->axis, asked->oracle->book->parts[0].axes[0].name) != 0;
    int64_t at = spot->at[axis];
    uint32_t p = 0;
    while (to_grains(curve->points[p + 1].at) < at) {
        p++;
    }
    int64_t from = to_grains(curve->points[p].at), to = to_grains(curve->points[p + 1].at);
    int64_t low = to_grains(curve->points[p].value), high = to_grains(curve->points[p + 1].value);
    return low + (high - low) / (to - from) * (at - from); /* slopes are whole */
}

static int64_t value_at(const struct asked *asked, const struct expression *expression,
                        const struct spot_at *spot)
{
    int64_t left, right;
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        return to_grains(expression->value);
    case EXPRESSION_MEASURE:
        return asked->values[expression->measure->index];
    case EXPRESSION_CURVE:
        return curve_at(asked, expression->curve, spot);
    default:
        break;
    }
    left = value_at(asked, expression->left, spot);
    right = value_at(asked, expression->right, spot);
    switch (expression->sort) {
    case EXPRESSION_ADD:
        return left + right;
    case EXPRESSION_SUBTRACT:
        return left - right;
    case EXPRESSION_LESSER:
        return left < right ? left : right;
    default:
        return left > right ? left : right;
    }
}

static bool compare_at(const struct asked *asked, const struct condition *condition,
                       const struct spot_at *spot)
{
    int64_t left = value_at(asked, condition->left, spot);
    int64_t right = value_at(asked, condition->right, spot);
    switch (condition->relation) {
    case TREE_UP_TO:
        return left <= right;
    case TREE_BELOW:
        return left < right;
    case TREE_AT_LEAST:
        return left >= right;
    default:
        return left > right;
    }
}

static bool has_curve(const struct expression *expression)
{
    return expression &&
           (expression->curve || has_curve(expression->left) || has_curve(expression->right));
}

/* The limit is met, so a condition without curves is asked once. */
static bool condition_holds(const struct asked *asked, uint32_t limit,
                            const struct condition *condition)
{
    const struct oracle_world *world = asked->world;
    const struct part *part = &asked->oracle->book->parts[0];
    struct places places;
    if (condition->sort == CONDITION_RELEASE) {
        return true;
    }
    if (condition->sort == CONDITION_AMONG) {
        uint32_t record = asked->oracle->book->measure_count; /* the only observation comes last */
        return condition->values >> world->values[record] & 1;
    }
    if (!has_curve(condition->left) && !has_curve(condition->right)) {
        return compare_at(asked, condition, NULL);
    }
    int64_t grain = asked->oracle->across ? WORLD_GRAINS / 4 : WORLD_GRAINS / 2;
    places_begin(&places, world, part->axis_count, grain, grain);
    do {
        if (limit_holds(asked->oracle, limit, world, &places.spot) &&
            !compare_at(asked, condition, &places.spot)) {
            return false;
        }
    } while (places_next(&places));
    return true;
}

/* ---- worlds -------------------------------------------------------------------------------------- */

static int64_t rounded(const struct measure *measure, int64_t value)
{
    int64_t step = to_grains(measure->step), below = value / step * step;
    if (value == below ||
        (measure->stepping != TREE_READ_UP_TO && measure->stepping != TREE_READ_NEAREST)) {
        return value;
    }
    if (measure->stepping == TREE_READ_UP_TO) {
        return measure->smaller_is_worse ? below : below + step;
    }
    int64_t twice = 2 * (value - below);
    bool up = twice > step || (twice == step && below / step % 2 == 1);
    return up ? below + step : below;
}

/* Which limits does the extent touch, and is all of it in one of them? */
static void touch(const struct oracle_book *oracle, const struct oracle_world *world, bool *met,
                  bool *uncovered)
{
    struct places places;
    places_begin(&places, world, oracle->book->parts[0].axis_count, WORLD_GRAINS / 2,
                 WORLD_GRAINS / 2);
    do {
        bool covered = false;
        for (uint32_t l = 0; l < oracle->book->limit_count; l++) {
            bool holds = limit_holds(oracle, l, world, &places.spot);
            met[l] |= holds;
            covered |= holds;
        }
        *uncovered |= !covered;
    } while (places_next(&places));
}

static uint32_t climb(const struct asked *asked, uint32_t limit)
{
    const struct limit *ladder = &asked->oracle->book->limits[limit];
    for (uint32_t r = 0; r < ladder->rung_count; r++) {
        bool holds = true;
        for (uint32_t c = 0; c < ladder->rungs[r].condition_count && holds; c++) {
            holds = condition_holds(asked, limit, &ladder->rungs[r].conditions[c]);
        }
        if (holds) {
            return r;
        }
    }
    return ladder->rung_count;
}

struct oracle_result oracle_judge_world(const struct oracle_book *oracle,
                                        const struct oracle_world *world)
{
    const struct book *book = oracle->book;
    struct oracle_result result = {0};
    struct asked asked = {.oracle = oracle, .world = world};
    bool met[ORACLE_LIMITS] = {false};
    for (uint32_t m = 0; m < book->measure_count; m++) {
        asked.values[m] = rounded(&book->measures[m], world->readings[m]);
    }
    touch(oracle, world, met, &result.uncovered);
    result.outcome = result.uncovered ? book->no_published_limit : 0;
    for (uint32_t l = 0; l < book->limit_count; l++) {
        result.rung[l] = -1;
        if (!met[l]) {
            continue;
        }
        uint32_t rung = climb(&asked, l);
        uint32_t outcome = rung < book->limits[l].rung_count ? book->limits[l].rungs[rung].outcome
                                                             : book->no_published_limit;
        result.rung[l] = (int32_t)rung;
        result.outcome = outcome > result.outcome ? outcome : result.outcome;
    }
    return result;
}

/* ---- all worlds ------------------------------------------------------------------------------------ */

#define COORDINATES (CASE_RECORDS + CASE_AXES + 2)

/* One coordinate and its values; the world's number is made of their numbers. */
struct coordinate {
    uint32_t count, stride;
};

static void set_axis(const struct ends *ends, uint32_t index, int64_t *at_lo, int64_t *at_hi)
{
    uint32_t seen = 0;
    for (int64_t lo = ends->lo_low; lo <= ends->lo_high; lo += WORLD_GRAINS) {
        int64_t first = ends->point || ends->hi_low < lo ? lo : ends->hi_low;
        int64_t last = ends->point ? lo : ends->hi_high;
        int64_t count = last < first ? 0 : (last - first) / WORLD_GRAINS + 1;
        if ((int64_t)index < (int64_t)seen + count) {
            *at_lo = lo;
            *at_hi = first + (index - seen) * WORLD_GRAINS;
            return;
        }
        seen += (uint32_t)count;
    }
}

static uint32_t count_axis(const struct ends *ends)
{
    uint32_t seen = 0;
    for (int64_t lo = ends->lo_low; lo <= ends->lo_high; lo += WORLD_GRAINS) {
        int64_t first = ends->point || ends->hi_low < lo ? lo : ends->hi_low;
        int64_t last = ends->point ? lo : ends->hi_high;
        seen += last < first ? 0 : (uint32_t)((last - first) / WORLD_GRAINS + 1);
    }
    return seen;
}

static uint32_t nth_bit(uint64_t set, uint32_t n)
{
    for (; n > 0; n--) {
        set &= set - 1;
    }
    return set ? (uint32_t)__builtin_ctzll(set) : 0;
}

static uint32_t bits_in(uint64_t set)
{
    return set ? (uint32_t)__builtin_popcountll(set) : 1;
}

static uint32_t count_coordinates(const struct random_case *made, struct coordinate *coordinates)
{
    const struct kind *kind = made->finding->kind;
    uint32_t worlds = 1;
    for (uint32_t c = 0; c < COORDINATES; c++) {
        coordinates[c].count = 1;
    }
    for (uint32_t r = 0; r < kind->record_count; r++) {
        coordinates[r].count = kind->records[r].measure
                                   ? (uint32_t)((made->high[r] - made->low[r]) / made->grain[r] + 1)
                                   : bits_in(made->finding->readings[r].values);
    }
    for (uint32_t a = 0; a < made->finding->part->axis_count; a++) {
        coordinates[CASE_RECORDS + a].count = count_axis(&made->ends[a]);
    }
    coordinates[CASE_RECORDS + CASE_AXES].count = bits_in(made->finding->sides);
    coordinates[CASE_RECORDS + CASE_AXES + 1].count = bits_in(made->finding->places);
    for (uint32_t c = 0; c < COORDINATES; c++) {
        coordinates[c].stride = worlds;
        worlds *= coordinates[c].count;
    }
    return worlds;
}

static struct oracle_world world_number(const struct random_case *made,
                                        const struct coordinate *coordinates, uint32_t number)
{
    const struct kind *kind = made->finding->kind;
    struct oracle_world world = {0};
    uint32_t index[COORDINATES];
    for (uint32_t c = 0; c < COORDINATES; c++) {
        index[c] = number / coordinates[c].stride % coordinates[c].count;
    }
    for (uint32_t r = 0; r < kind->record_count; r++) {
        if (kind->records[r].measure) {
            world.readings[r] = made->low[r] + index[r] * made->grain[r];
        } else {
            world.values[r] = nth_bit(made->finding->readings[r].values, index[r]);
        }
    }
    for (uint32_t a = 0; a < made->finding->part->axis_count; a++) {
        set_axis(&made->ends[a], index[CASE_RECORDS + a], &world.lo[a], &world.hi[a]);
    }
    world.side = nth_bit(made->finding->sides, index[CASE_RECORDS + CASE_AXES]);
    world.place = nth_bit(made->finding->places, index[CASE_RECORDS + CASE_AXES + 1]);
    return world;
}

static void find_bearing(struct oracle_answer *answer, const struct coordinate *coordinates,
                         const uint8_t *outcomes)
{
    uint8_t first[CASE_WORLDS];
    for (uint32_t c = 0; c < COORDINATES; c++) {
        bool seen[CASE_WORLDS] = {false};
        answer->settles[c] = true;
        for (uint32_t w = 0; w < answer->world_count; w++) {
            uint32_t index = w / coordinates[c].stride % coordinates[c].count;
            answer->bears[c] |= outcomes[w] != outcomes[w - index * coordinates[c].stride];
            if (!seen[index]) {
                first[index] = outcomes[w];
                seen[index] = true;
            }
            answer->settles[c] &= first[index] == outcomes[w];
        }
    }
}

struct oracle_answer oracle_judge(const struct oracle_book *oracle, const struct random_case *made)
{
    struct oracle_answer answer = {0};
    struct coordinate coordinates[COORDINATES];
    uint8_t outcomes[CASE_WORLDS];
    answer.world_count = count_coordinates(made, coordinates);
    for (uint32_t w = 0; w < answer.world_count; w++) {
        struct oracle_world world = world_number(made, coordinates, w);
        struct oracle_result result = oracle_judge_world(oracle, &world);
        answer.possible |= UINT64_C(1) << result.outcome;
        answer.uncovered |= result.uncovered;
        for (uint32_t l = 0; l < oracle->book->limit_count; l++) {
            if (result.rung[l] >= 0) {
                answer.rungs[l] |= UINT64_C(1) << result.rung[l];
                answer.limits_met |= UINT64_C(1) << l;
            }
        }
        outcomes[w] = (uint8_t)(result.outcome > made->floor ? result.outcome : made->floor);
    }
    find_bearing(&answer, coordinates, outcomes);
    return answer;
}
