/*
 * judge_world and judge_condition against an interpreter of this file's own: random small books, each
 * judged in random worlds. The interpreter knows nothing of plans. It reads the checked book and
 * asks every condition at many places of the extent (all corners, all kinks, and just beside
 * each of them), in fractions of its own.
 */
#include "plan_session.h"

#define BOOKS 1000
#define WORLDS 20 /* in each book */

/* ==== the interpreter =========================================================================
 *
 * Fractions of 64-bit parts, always in lowest terms. Figures in the random books are small, so
 * that nothing comes near the bounds; that is asserted.
 */
__extension__ typedef __int128 wide;

struct q {
    int64_t n, d; /* d > 0 */
};

static struct q q_make(wide n, wide d)
{
    wide a = n < 0 ? -n : n, b = d;
    while (b != 0) {
        wide rest = a % b;
        a = b;
        b = rest;
    }
    n /= a;
    d /= a;
    assert_true(n < INT64_MAX && n > -INT64_MAX && d > 0 && d < INT64_MAX);
    return (struct q){(int64_t)n, (int64_t)d};
}

static struct q q_whole(int64_t n)
{
    return (struct q){n, 1};
}

static struct q q_add(struct q a, struct q b)
{
    if (a.d == 1 && b.d == 1) {
        return q_whole(a.n + b.n);
    }
    return q_make((wide)a.n * b.d + (wide)b.n * a.d, (wide)a.d * b.d);
}

static struct q q_minus(struct q a)
{
    return (struct q){-a.n, a.d};
}

static struct q q_subtract(struct q a, struct q b)
{
    return q_add(a, q_minus(b));
}

static struct q q_multiply(struct q a, struct q b)
{
    return q_make((wide)a.n * b.n, (wide)a.d * b.d);
}

static struct q q_divide(struct q a, struct q b)
{
    return b.n < 0 ? q_make(-(wide)a.n * b.d, -(wide)a.d * b.n)
                   : q_make((wide)a.n * b.d, (wide)a.d * b.n);
}

static int q_compare(struct q a, struct q b)
{
    wide left = (wide)a.n * b.d, right = (wide)b.n * a.d;
    return (left > right) - (left < right);
}

static struct q q_of(struct number number)
{
    assert_true(number.den > 0);
    return (struct q){number.num, number.den};
}

static struct number q_number(struct arena *arena, struct q a)
{
    return number_make(arena, a.n, a.d);
}

/* ---- a world as the interpreter takes it ------------------------------------------------ */

struct oracle {
    const struct book *book;
    const struct kind *kind;
    const struct part *part;
    struct q readings[4]; /* rounded, by the kind's records */
    uint64_t values[4];
    struct q lo[2], hi[2]; /* by axis */
    uint32_t side, place;
};

/* Beside a corner: less than any distance between corners. */
static const struct q BESIDE = {1, INT64_C(10000000)};
/* What counts as near to a place, in a zone that is `depth` deep in zones left out of others: each
 * time nearer, so that what is near to what is near is still near. */
static struct q near_at(uint32_t depth)
{
    return (struct q){1, INT64_C(1000000000) << 2 * depth};
}

static struct q rounded(const struct measure *measure, struct q reading)
{
    if (measure->stepping != TREE_READ_UP_TO && measure->stepping != TREE_READ_NEAREST) {
        return reading;
    }
    struct q step = q_of(measure->step), steps = q_divide(reading, step);
    int64_t below = steps.n / steps.d; /* readings are never negative */
    struct q over = q_subtract(steps, q_whole(below));
    if (measure->stepping == TREE_READ_UP_TO) {
        below += over.n > 0 && !measure->smaller_is_worse;
    } else {
        int half = q_compare(over, (struct q){1, 2});
        below += half > 0 || (half == 0 && below % 2 != 0);
    }
    return q_multiply(q_whole(below), step);
}

static struct q curve_value(const struct curve *curve, struct q at)
{
    for (uint32_t i = 1; i < curve->point_count; i++) {
        struct q a = q_of(curve->points[i - 1].at), b = q_of(curve->points[i].at);
        if (q_compare(at, a) < 0 || q_compare(at, b) > 0) {
            continue;
        }
        struct q fa = q_of(curve->points[i - 1].value), fb = q_of(curve->points[i].value);
        return q_add(fa,
                     q_divide(q_multiply(q_subtract(fb, fa), q_subtract(at, a)), q_subtract(b, a)));
    }
    fail_msg("curve %s asked outside its reach", curve->name);
    return at;
}

static struct q oracle_value(const struct oracle *oracle, const struct expression *expression,
                             const struct q *at)
{
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        return q_of(expression->value);
    case EXPRESSION_MEASURE:
        for (uint32_t i = 0; i < oracle->kind->record_count; i++) {
            if (oracle->kind->records[i].measure == expression->measure) {
                return oracle->readings[i];
            }
        }
        fail_msg("measure %s is not recorded", expression->measure->name);
        break;
    case EXPRESSION_CURVE:
        for (uint32_t axis = 0; axis < oracle->part->axis_count; axis++) {
            if (strcmp(oracle->part->axes[axis].name, expression->curve->axis) == 0) {
                return curve_value(expression->curve, at[axis]);
            }
        }
        fail_msg("no axis for curve %s", expression->curve->name);
        break;
    case EXPRESSION_RECKONED:
        return oracle_value(oracle, expression->reckon->value, at);
    default:
        break;
    }
    struct q left = oracle_value(oracle, expression->left, at);
    struct q right = oracle_value(oracle, expression->right, at);
    switch (expression->sort) {
    case EXPRESSION_ADD:
        return q_add(left, right);
    case EXPRESSION_SUBTRACT:
        return q_subtract(left, right);
    case EXPRESSION_MULTIPLY:
        return q_multiply(left, right);
    case EXPRESSION_DIVIDE:
        return q_divide(left, right);
    case EXPRESSION_LESSER:
        return q_compare(left, right) < 0 ? left : right;
    default:
        return q_compare(left, right) > 0 ? left : right;
    }
}

/* ---- zones, asked place by place ----------------------------------------------------------- */

static bool oracle_in_zone_at(const struct oracle *oracle, const struct zone *zone, uint32_t side,
                              const struct q *at, uint32_t depth);

static bool oracle_in_ranges(const struct zone *zone, const struct q *at)
{
    for (uint32_t axis = 0; axis < zone->part->axis_count; axis++) {
        const struct zone_range *range = &zone->ranges[axis];
        int from = q_compare(at[axis], q_of(range->from)),
            to = q_compare(at[axis], q_of(range->to));
        if (from < 0 || (from == 0 && range->from_open) || to > 0 || (to == 0 && range->to_open)) {
            return false;
        }
    }
    return true;
}

/* Is there, at the place or next to it on this side, a place of the zone's own ranges in none of the
 * zones left out? */
static bool oracle_in_rest(const struct oracle *oracle, const struct zone *zone, uint32_t side,
                           const struct q *at, uint32_t depth)
{
    uint32_t axes = oracle->part->axis_count;
    for (uint32_t way = 0; way < (axes == 0 ? 1u : axes == 1 ? 3u : 9u); way++) {
        struct q near[2] = {q_whole(0), q_whole(0)};
        for (uint32_t axis = 0; axis < axes; axis++) {
            uint32_t step = axis == 0 ? way % 3 : way / 3;
            near[axis] = step == 0   ? at[axis]
                         : step == 1 ? q_add(at[axis], near_at(depth))
                                     : q_subtract(at[axis], near_at(depth));
        }
        bool taken = !oracle_in_ranges(zone, near);
        for (uint32_t i = 0; !taken && i < zone->outside_count; i++) {
            taken = oracle_in_zone_at(oracle, zone->outside[i], side, near, depth + 1);
        }
        if (!taken) {
            return true;
        }
    }
    return false;
}

static bool oracle_in_zone_on_side(const struct oracle *oracle, const struct zone *zone,
                                   uint32_t side, const struct q *at, uint32_t depth)
{
    const struct part *part = oracle->part;
    if (part->side_count > 0 && !(zone->sides >> side & 1)) {
        return false;
    }
    if (part->place_count > 0 && !(zone->places >> oracle->place & 1)) {
        return false;
    }
    return oracle_in_ranges(zone, at) &&
           (zone->outside_count == 0 || oracle_in_rest(oracle, zone, side, at, depth));
}

static bool oracle_in_zone_at(const struct oracle *oracle, const struct zone *zone, uint32_t side,
                              const struct q *at, uint32_t depth)
{
    if (oracle_in_zone_on_side(oracle, zone, side, at, depth)) {
        return true;
    }
    bool meet = false;
    for (uint32_t i = 0; i < oracle->part->meeting_count; i++) {
        const struct meeting *meeting = &oracle->part->meetings[i];
        meet = meet || q_compare(at[meeting->axis], q_of(meeting->at)) == 0;
    }
    for (uint32_t other = 0; meet && other < oracle->part->side_count; other++) {
        if (oracle_in_zone_on_side(oracle, zone, other, at, depth)) {
            return true;
        }
    }
    return false;
}

static bool oracle_in_zone(const struct oracle *oracle, const struct zone *zone, uint32_t side,
                           const struct q *at)
{
    return oracle_in_zone_at(oracle, zone, side, at, 0);
}

/* ---- the places to ask at -------------------------------------------------------------------- */

#define SPOTS 512

struct spots {
    struct q at[SPOTS];
    uint32_t count;
};

/* Keeps places of the extent, in order, each once. */
static void spots_add(const struct oracle *oracle, uint32_t axis, struct spots *spots, struct q at)
{
    if (q_compare(at, oracle->lo[axis]) < 0 || q_compare(at, oracle->hi[axis]) > 0) {
        return;
    }
    uint32_t i = spots->count;
    while (i > 0 && q_compare(spots->at[i - 1], at) > 0) {
        i--;
    }
    if (i > 0 && q_compare(spots->at[i - 1], at) == 0) {
        return;
    }
    assert_true(spots->count < SPOTS);
    memmove(&spots->at[i + 1], &spots->at[i], (spots->count - i) * sizeof spots->at[0]);
    spots->at[i] = at;
    spots->count++;
}

/* Ends of the extent, edges of all zones, points of all curves, meetings. */
static void corner_spots(const struct oracle *oracle, uint32_t axis, struct spots *spots)
{
    const struct book *book = oracle->book;
    spots_add(oracle, axis, spots, oracle->lo[axis]);
    spots_add(oracle, axis, spots, oracle->hi[axis]);
    for (uint32_t i = 0; i < book->zone_count; i++) {
        if (book->zones[i].part == oracle->part) {
            spots_add(oracle, axis, spots, q_of(book->zones[i].ranges[axis].from));
            spots_add(oracle, axis, spots, q_of(book->zones[i].ranges[axis].to));
        }
    }
    for (uint32_t i = 0; i < book->curve_count; i++) {
        if (strcmp(book->curves[i].axis, oracle->part->axes[axis].name) == 0) {
            for (uint32_t j = 0; j < book->curves[i].point_count; j++) {
                spots_add(oracle, axis, spots, q_of(book->curves[i].points[j].at));
            }
        }
    }
    for (uint32_t i = 0; i < oracle->part->meeting_count; i++) {
        if (oracle->part->meetings[i].axis == axis) {
            spots_add(oracle, axis, spots, q_of(oracle->part->meetings[i].at));
        }
    }
}

static struct q gap_at(const struct oracle *oracle, const struct expression *expression,
                       uint32_t axis, struct q at)
{
    struct q place[2] = {oracle->lo[0], oracle->lo[1]};
    place[axis] = at;
    return q_subtract(oracle_value(oracle, expression->left, place),
                      oracle_value(oracle, expression->right, place));
}

/* Where the two sides of a lesser or greater cross, innermost first; the other axis at its lo. */
static void kink_spots(const struct oracle *oracle, const struct expression *expression,
                       uint32_t axis, struct spots *spots)
{
    if (expression->sort == EXPRESSION_RECKONED) {
        kink_spots(oracle, expression->reckon->value, axis, spots);
    }
    if (!expression->left) {
        return;
    }
    kink_spots(oracle, expression->left, axis, spots);
    kink_spots(oracle, expression->right, axis, spots);
    if (expression->sort != EXPRESSION_LESSER && expression->sort != EXPRESSION_GREATER) {
        return;
    }
    struct spots before = *spots;
    for (uint32_t i = 1; i < before.count; i++) {
        struct q a = before.at[i - 1], b = before.at[i];
        struct q ga = gap_at(oracle, expression, axis, a), gb = gap_at(oracle, expression, axis, b);
        if ((ga.n > 0 && gb.n < 0) || (ga.n < 0 && gb.n > 0)) {
            struct q part = q_divide(ga, q_subtract(ga, gb));
            spots_add(oracle, axis, spots, q_add(a, q_multiply(part, q_subtract(b, a))));
        }
    }
}

static void beside_spots(const struct oracle *oracle, uint32_t axis, struct spots *spots)
{
    struct spots before = *spots;
    for (uint32_t i = 0; i < before.count; i++) {
        spots_add(oracle, axis, spots, q_add(before.at[i], BESIDE));
        spots_add(oracle, axis, spots, q_subtract(before.at[i], BESIDE));
    }
}

/* All spots of both axes for a condition (NULL: for zones alone). */
static void all_spots(const struct oracle *oracle, const struct condition *condition,
                      struct spots spots[2])
{
    for (uint32_t axis = 0; axis < 2; axis++) {
        spots[axis].count = 0;
        if (axis >= oracle->part->axis_count) {
            spots[axis].at[spots[axis].count++] = q_whole(0);
            continue;
        }
        corner_spots(oracle, axis, &spots[axis]);
        if (condition) {
            kink_spots(oracle, condition->left, axis, &spots[axis]);
            kink_spots(oracle, condition->right, axis, &spots[axis]);
        }
        beside_spots(oracle, axis, &spots[axis]);
    }
}

/* ---- conditions and ladders ---------------------------------------------------------------- */

/* By how much the side that should be the smaller passes the other. */
static struct q oracle_excess(const struct oracle *oracle, const struct condition *condition,
                              const struct q *at)
{
    struct q left = oracle_value(oracle, condition->left, at);
    struct q right = oracle_value(oracle, condition->right, at);
    bool upper = condition->relation == TREE_UP_TO || condition->relation == TREE_BELOW;
    return upper ? q_subtract(left, right) : q_subtract(right, left);
}

static bool oracle_holds(const struct oracle *oracle, const struct zone *zone,
                         const struct condition *condition)
{
    if (condition->sort == CONDITION_RELEASE) {
        return true;
    }
    if (condition->sort == CONDITION_AMONG) {
        for (uint32_t i = 0; i < oracle->kind->record_count; i++) {
            if (oracle->kind->records[i].observation == condition->observation) {
                return (oracle->values[i] & condition->values) != 0;
            }
        }
        fail_msg("observation %s is not recorded", condition->observation->name);
    }
    bool strict = condition->relation == TREE_BELOW || condition->relation == TREE_OVER;
    static struct spots spots[2];
    all_spots(oracle, condition, spots);
    for (uint32_t i = 0; i < spots[0].count; i++) {
        for (uint32_t j = 0; j < spots[1].count; j++) {
            struct q at[2] = {spots[0].at[i], spots[1].at[j]};
            struct q excess = oracle_excess(oracle, condition, at);
            if ((strict ? excess.n >= 0 : excess.n > 0) &&
                oracle_in_zone(oracle, zone, oracle->side, at)) {
                return false;
            }
        }
    }
    return true;
}

static bool limit_is_for(const struct oracle *oracle, const struct limit *limit)
{
    for (uint32_t i = 0; limit->zone->part == oracle->part && i < limit->kind_count; i++) {
        if (limit->kinds[i] == oracle->kind) {
            return true;
        }
    }
    return false;
}

static bool oracle_touches(const struct oracle *oracle, const struct spots spots[2],
                           const struct zone *zone)
{
    for (uint32_t i = 0; i < spots[0].count; i++) {
        for (uint32_t j = 0; j < spots[1].count; j++) {
            struct q at[2] = {spots[0].at[i], spots[1].at[j]};
            if (oracle_in_zone(oracle, zone, oracle->side, at)) {
                return true;
            }
        }
    }
    return false;
}

static bool oracle_uncovered(const struct oracle *oracle, const struct spots spots[2])
{
    for (uint32_t i = 0; i < spots[0].count; i++) {
        for (uint32_t j = 0; j < spots[1].count; j++) {
            struct q at[2] = {spots[0].at[i], spots[1].at[j]};
            bool in_one = false;
            for (uint32_t k = 0; !in_one && k < oracle->book->limit_count; k++) {
                const struct limit *limit = &oracle->book->limits[k];
                in_one = limit_is_for(oracle, limit) &&
                         oracle_in_zone(oracle, limit->zone, oracle->side, at);
            }
            if (!in_one) {
                return true;
            }
        }
    }
    return false;
}

static uint32_t oracle_rung(const struct oracle *oracle, const struct limit *limit)
{
    for (uint32_t i = 0; i < limit->rung_count; i++) {
        bool holds = true;
        for (uint32_t j = 0; holds && j < limit->rungs[i].condition_count; j++) {
            holds = oracle_holds(oracle, limit->zone, &limit->rungs[i].conditions[j]);
        }
        if (holds) {
            return i;
        }
    }
    return limit->rung_count;
}

/* ==== random books and worlds ================================================================== */

static uint64_t chance_state;

static uint32_t chance(uint32_t below)
{
    chance_state ^= chance_state >> 12;
    chance_state ^= chance_state << 25;
    chance_state ^= chance_state >> 27;
    return (uint32_t)((chance_state * UINT64_C(2685821657736338717) >> 33) % below);
}

/* What the text of one random book has in it. */
struct shape {
    uint32_t axes; /* 0: named places, or nothing at all */
    bool sides, meet, places;
    uint32_t zones;
};

#define STATIONS 12u
#define CHORDS 6u

static void write_curve(struct text *text, const char *name, const char *axis, uint32_t reach)
{
    text_addf(text, "curve %s along %s\n", name, axis);
    for (uint32_t at = 0; at <= reach;) {
        text_addf(text, "    %u mm %u mm\n", at, chance(9));
        if (at == reach) {
            break;
        }
        at += 1 + chance(reach / 2);
        at = at > reach ? reach : at;
    }
}

static void write_range(struct text *text, const char *axis, uint32_t reach)
{
    uint32_t from = chance(reach), to = from + 1 + chance(reach - from);
    bool point = chance(12) == 0;
    text_addf(text, "  %s %s%u mm .. %s%u mm", axis, !point && chance(3) == 0 ? "over " : "", from,
              !point && chance(3) == 0 ? "below " : "", point ? from : to);
}

static void write_zone(struct text *text, const struct shape *shape, uint32_t number)
{
    static const char *const places[] = {"dome", "rim", "back"};
    text_addf(text, "zone z%u on piece", number);
    if (shape->axes > 0 && chance(4) > 0) {
        write_range(text, "station", STATIONS);
    }
    if (shape->axes > 1 && chance(2) == 0) {
        write_range(text, "chord", CHORDS);
    }
    if (shape->sides && chance(3) == 0) {
        text_add(text, chance(2) ? "  camber" : "  thrust");
    }
    if (shape->places) {
        text_addf(text, "  %s", places[chance(3)]);
    }
    if (number > 0 && chance(2) == 0) {
        uint32_t one = chance(number), other = chance(number);
        text_addf(text, "  outside z%u", one);
        if (other != one) {
            text_addf(text, ", z%u", other);
        }
    }
    text_add(text, "\n");
}

static void write_expression(struct text *text, const struct shape *shape, uint32_t depth);

static void write_primary(struct text *text, const struct shape *shape, uint32_t depth)
{
    uint32_t what = chance(depth > 0 ? 9 : 7);
    if (what < 3 && shape->axes > 0) {
        text_addf(text, "c%u", chance(2));
    } else if (what == 3 && shape->axes > 1) {
        text_add(text, "e0");
    } else if (what == 4) {
        text_addf(text, "m%u", chance(2));
    } else if (what < 7) {
        text_addf(text, "%u mm", chance(9));
    } else {
        text_add(text, "(");
        write_expression(text, shape, depth - 1);
        text_add(text, ")");
    }
}

static void write_expression(struct text *text, const struct shape *shape, uint32_t depth)
{
    switch (chance(10)) {
    case 0:
    case 1:
        text_add(text, chance(2) ? "the lesser of " : "the greater of ");
        write_primary(text, shape, depth);
        text_add(text, " and ");
        write_primary(text, shape, depth);
        break;
    case 2:
        write_primary(text, shape, depth);
        text_add(text, chance(3) ? " + " : " - ");
        write_primary(text, shape, depth);
        break;
    case 3:
        text_add(text, "2 * ");
        write_primary(text, shape, depth);
        break;
    case 4:
        text_add(text, "50 % of ");
        write_primary(text, shape, depth);
        text_addf(text, " + %u mm", chance(5));
        break;
    case 5:
        write_primary(text, shape, depth);
        text_add(text, " / 2");
        break;
    default:
        write_primary(text, shape, depth);
    }
}

static const char *const RELATIONS[] = {"up to", "below", "at least", "over"};

static void write_condition(struct text *text, const struct shape *shape)
{
    switch (chance(8)) {
    case 7:
        text_addf(text, "area %s %u mm2", RELATIONS[chance(4)], chance(40));
        break;
    case 6:
        text_add(text, chance(2) ? "o0 is red or blue" : "o0 is not green");
        break;
    case 5:
        text_addf(text, "r0 %s ", RELATIONS[chance(4)]);
        write_expression(text, shape, 1);
        break;
    case 4:
        text_add(text, "m1 over 0 mm and below ");
        write_primary(text, shape, 1);
        text_add(text, " + 1 mm");
        break;
    default:
        text_addf(text, "m%u %s ", chance(2), RELATIONS[chance(4)]);
        write_expression(text, shape, 2);
    }
}

/* One condition, or two, or one that bounds the one reading and releases the other. */
static void write_line(struct text *text, const struct shape *shape)
{
    if (chance(8) == 0) {
        text_addf(text, "m0 %s %u mm, any m1", RELATIONS[chance(4)], 1 + chance(8));
        return;
    }
    write_condition(text, shape);
    if (chance(2)) {
        text_add(text, ", ");
        write_condition(text, shape);
    }
}

static void write_limit(struct text *text, const struct shape *shape, uint32_t zone)
{
    static const char *const outcomes[] = {"poor", "bad", "worse-yet", "worst"};
    text_addf(text, "limit k0 on ");
    if (zone < shape->zones) {
        text_addf(text, "z%u\n", zone);
    } else {
        text_add(text, "piece\n");
    }
    for (uint32_t i = 0; i < 3; i++) {
        text_addf(text, "    %s ", outcomes[i]);
        write_line(text, shape);
        text_add(text, "\n");
    }
    if (chance(4) > 0) {
        text_add(text, chance(8) ? "    otherwise worst\n" : "    otherwise no published limit\n");
    }
}

static void write_part(struct text *text, const struct shape *shape)
{
    text_add(text, "part piece\n");
    if (shape->axes > 0) {
        text_addf(text, "    axis station 0 mm .. %u mm\n", STATIONS);
    }
    if (shape->axes > 1) {
        text_addf(text, "    axis chord 0 mm .. %u mm\n", CHORDS);
    }
    if (shape->sides) {
        text_add(text, "    side camber, thrust");
        if (shape->meet) {
            text_addf(text,
                      shape->axes > 1 ? "  meet at chord 0 mm, chord 4 mm"
                                      : "  meet at station 0 mm, station %u mm",
                      STATIONS);
        }
        text_add(text, "\n");
    }
    if (shape->places) {
        text_add(text, "    place dome, rim, back\n");
    }
}

static const char *write_book(struct arena *arena)
{
    static const char *const readings[] = {"",
                                           "",
                                           " read up to 2 mm",
                                           " read nearest 2 mm",
                                           " read up to 3 mm smaller is worse",
                                           " read to 1 mm"};
    struct shape shape = {.axes = chance(8) == 0 ? 0 : 1 + chance(2), .zones = 1 + chance(4)};
    shape.sides = chance(2);
    shape.meet = shape.sides && shape.axes > 0 && chance(2);
    shape.places = shape.axes == 0 && chance(3) > 0;
    struct text text;
    text_begin(&text, arena);
    text_add(
        &text,
        "stave 1\nbook T\n    edition \"1\"\n    for model T-1\nscale\n    good\n  no flight\n    poor\n"
        "    bad\n    worse-yet\n    worst\n");
    write_part(&text, &shape);
    text_addf(&text, "measure m0 0 mm .. 12 mm%s\n", readings[chance(6)]);
    text_addf(&text, "measure m1 0 mm .. 12 mm%s\n", readings[chance(6)]);
    text_add(&text, "observe o0 one of red, green, blue\n");
    if (shape.axes > 0) {
        write_curve(&text, "c0", "station", STATIONS);
        write_curve(&text, "c1", "station", STATIONS);
    }
    if (shape.axes > 1) {
        write_curve(&text, "e0", "chord", CHORDS);
    }
    text_add(&text, "reckon area as m0 * m1\nreckon r0 as ");
    text_add(&text, chance(2) ? "the greater of m0 and " : "m0 + ");
    write_primary(&text, &shape, 1);
    text_add(&text, "\nkind k0 on piece records m0, m1, o0\n");
    for (uint32_t zone = 0; zone < shape.zones; zone++) {
        write_zone(&text, &shape, zone);
    }
    for (uint32_t i = 0; i < 3; i++) {
        write_limit(&text, &shape, chance(shape.zones + 1));
    }
    return text_done(&text);
}

/* ---- one random world --------------------------------------------------------------------- */

static struct q random_place(uint32_t reach)
{
    switch (chance(4)) {
    case 0:
        return q_make(1 + chance(2 * reach - 1), 2);
    case 1:
        return q_make(1 + chance(3 * reach - 1), 3);
    default:
        return q_whole(chance(reach + 1));
    }
}

/* Often the very value of a curve at an end of the extent: ties are what goes wrong. */
static struct q random_reading(const struct oracle *oracle)
{
    const struct book *book = oracle->book;
    if (book->curve_count > 0 && chance(2)) {
        const struct curve *curve = &book->curves[chance(book->curve_count)];
        uint32_t axis = strcmp(curve->axis, "station") != 0;
        struct q value = curve_value(curve, chance(2) ? oracle->lo[axis] : oracle->hi[axis]);
        if (chance(3) == 0) {
            value = q_add(value, q_whole(chance(3)));
        }
        return value;
    }
    return chance(3) ? q_whole(chance(13)) : q_make(chance(25), 2);
}

static void random_world(struct oracle *oracle, struct arena *arena, struct world *world)
{
    for (uint32_t axis = 0; axis < 2; axis++) {
        uint32_t reach = axis == 0 ? STATIONS : CHORDS;
        struct q a = random_place(reach), b = chance(4) ? random_place(reach) : a;
        oracle->lo[axis] = q_compare(a, b) <= 0 ? a : b;
        oracle->hi[axis] = q_compare(a, b) <= 0 ? b : a;
    }
    oracle->side = oracle->part->side_count > 0 ? chance(2) : 0;
    oracle->place = oracle->part->place_count > 0 ? chance(3) : 0;
    world->readings = ARENA_ARRAY(arena, struct number, 4);
    world->values = ARENA_ARRAY(arena, uint64_t, 4);
    world->lo = ARENA_ARRAY(arena, struct number, 2);
    world->hi = ARENA_ARRAY(arena, struct number, 2);
    world->side = oracle->side;
    world->place = oracle->place;
    for (uint32_t axis = 0; axis < 2; axis++) {
        world->lo[axis] = q_number(arena, oracle->lo[axis]);
        world->hi[axis] = q_number(arena, oracle->hi[axis]);
    }
    for (uint32_t i = 0; i < oracle->kind->record_count; i++) {
        const struct measure *measure = oracle->kind->records[i].measure;
        world->readings[i] = NUMBER_ZERO;
        oracle->values[i] = world->values[i] = 0;
        if (measure) {
            struct q reading = random_reading(oracle);
            world->readings[i] = q_number(arena, reading);
            oracle->readings[i] = rounded(measure, reading);
        } else {
            oracle->values[i] = world->values[i] = UINT64_C(1) << chance(3);
        }
    }
}

/* ---- the comparison ----------------------------------------------------------------------------- */

struct tally {
    uint32_t books, refused, worlds, ladders, conditions, held, strict_ties, uncovered;
};

static void report(const char *text, const struct oracle *oracle, const char *what)
{
    print_message("%s\n", text);
    for (uint32_t i = 0; i < oracle->kind->record_count; i++) {
        print_message("record %u: %lld/%lld, values %llu\n", i, (long long)oracle->readings[i].n,
                      (long long)oracle->readings[i].d, (unsigned long long)oracle->values[i]);
    }
    for (uint32_t axis = 0; axis < oracle->part->axis_count; axis++) {
        print_message("axis %u: %lld/%lld .. %lld/%lld\n", axis, (long long)oracle->lo[axis].n,
                      (long long)oracle->lo[axis].d, (long long)oracle->hi[axis].n,
                      (long long)oracle->hi[axis].d);
    }
    print_message("side %u, place %u\n", oracle->side, oracle->place);
    fail_msg("%s", what);
}

/* The figures given for a condition are those of its least favourable place. */
static void compare_condition(const char *text, const struct oracle *oracle,
                              const struct zone *zone, const struct condition *condition,
                              const struct condition_result *result, struct tally *tally)
{
    tally->conditions++;
    tally->held += result->holds;
    if (result->holds != oracle_holds(oracle, zone, condition)) {
        report(text, oracle, span_text(oracle->book->arena, condition->span));
    }
    if (condition->sort != CONDITION_COMPARE) {
        assert_false(result->numeric);
        return;
    }
    assert_true(result->numeric);
    assert_non_null(result->unit);
    assert_true(dimension_equal(result->unit->dimension, condition->left->dimension));
    struct q left = q_of(result->left), right = q_of(result->right);
    bool upper = condition->relation == TREE_UP_TO || condition->relation == TREE_BELOW;
    struct q claimed = upper ? q_subtract(left, right) : q_subtract(right, left);
    tally->strict_ties += claimed.n == 0 && result->holds;
    /* No place is less favourable, and some place comes as near to it as can be told. */
    struct q slack = q_multiply(BESIDE, q_whole(1000));
    bool near = false;
    static struct spots spots[2];
    all_spots(oracle, condition, spots);
    for (uint32_t i = 0; i < spots[0].count; i++) {
        for (uint32_t j = 0; j < spots[1].count; j++) {
            struct q at[2] = {spots[0].at[i], spots[1].at[j]};
            struct q excess = oracle_excess(oracle, condition, at);
            bool passes = q_compare(excess, claimed) > 0;
            bool close = !near && !passes && q_compare(q_add(excess, slack), claimed) >= 0;
            if ((passes || close) && oracle_in_zone(oracle, zone, oracle->side, at)) {
                near = near || close;
                if (passes) {
                    report(text, oracle, "a place is less favourable than the one given");
                }
            }
        }
    }
    if (!near) {
        report(text, oracle, "no place is as unfavourable as the one given");
    }
}

static void compare_ladder(const char *text, struct session *session, const struct docket *docket,
                           const struct oracle *oracle, const struct world *world,
                           const struct ladder_result *ladder, struct tally *tally)
{
    const struct limit *limit = ladder->limit->source;
    uint32_t rung = oracle_rung(oracle, limit);
    tally->ladders++;
    if (rung != ladder->rung) {
        print_message("limit %u: line %u, expected %u\n", limit->index, ladder->rung, rung);
        report(text, oracle, "another line decides");
    }
    assert_int_equal(ladder->outcome, rung == limit->rung_count ? session->book->no_published_limit
                                                                : limit->rungs[rung].outcome);
    for (uint32_t i = 0; i < limit->rung_count; i++) {
        for (uint32_t j = 0; j < limit->rungs[i].condition_count; j++) {
            const struct step *step = &ladder->limit->rungs[i].steps[j];
            struct condition_result result =
                judge_condition(&session->arena, docket, ladder->limit, step, world);
            assert_ptr_equal(result.condition, &limit->rungs[i].conditions[j]);
            compare_condition(text, oracle, limit->zone, result.condition, &result, tally);
        }
    }
}

static void compare_world(const char *text, struct session *session, const struct docket *docket,
                          struct tally *tally)
{
    struct oracle oracle = {.book = session->book, .kind = docket->kind, .part = docket->part};
    struct world world;
    random_world(&oracle, &session->arena, &world);
    struct ladder_result *ladders;
    uint32_t count, next = 0;
    bool uncovered;
    uint32_t outcome = judge_world(&session->arena, docket, &world, &ladders, &count, &uncovered);

    static struct spots spots[2];
    all_spots(&oracle, NULL, spots);
    if (uncovered != oracle_uncovered(&oracle, spots)) {
        report(text, &oracle, uncovered ? "it is covered" : "it is not covered");
    }
    uint32_t worst = uncovered ? session->book->no_published_limit : 0;
    for (uint32_t i = 0; i < session->book->limit_count; i++) {
        const struct limit *limit = &session->book->limits[i];
        if (!limit_is_for(&oracle, limit)) {
            continue;
        }
        bool met = next < count && ladders[next].limit->source == limit;
        if (met != oracle_touches(&oracle, spots, limit->zone)) {
            report(text, &oracle, met ? "a zone is not touched" : "a zone is touched");
        }
        if (met) {
            compare_ladder(text, session, docket, &oracle, &world, &ladders[next], tally);
            worst = ladders[next].outcome > worst ? ladders[next].outcome : worst;
            next++;
        }
    }
    assert_int_equal(next, count);
    assert_int_equal(outcome, worst);
    tally->worlds++;
    tally->uncovered += uncovered;
}

static void test_random_worlds(void **state)
{
    (void)state;
    struct tally tally = {0};
    chance_state = UINT64_C(0x9e3779b97f4a7c15);
    while (tally.books < BOOKS) {
        struct session session;
        session_begin(&session);
        if (setjmp(session.escape.to)) {
            fail_msg("escaped with status %d", (int)session.escape.status);
        }
        const char *text = write_book(&session.arena);
        if (!session_read(&session, text)) {
            /* Chance may write an "or" of two things that both depend on the place, a range of
             * nothing, or a line below one that takes all: such books are rightly refused. Any
             * other error is a fault of this test. */
            const struct stave_problem *problem = session_error(&session);
            if (strcmp(problem->code, "place-mix") != 0 && strcmp(problem->code, "range") != 0 &&
                strcmp(problem->code, "unreached") != 0) {
                print_message("%s\n", text);
                fail_msg("line %u: %s: %s", problem->at.line, problem->code, problem->message);
            }
            tally.refused++;
            arena_end(&session.arena);
            continue;
        }
        session.plan = plan_compile(session.book);
        const struct docket *docket = docket_of(&session, "k0", "piece");
        for (uint32_t i = 0; i < WORLDS; i++) {
            compare_world(text, &session, docket, &tally);
        }
        tally.books++;
        arena_end(&session.arena);
    }
    print_message("%u random books (%u more refused), %u worlds (%u not covered), %u ladders, "
                  "%u conditions (%u hold, %u of them at the edge of an open end)\n",
                  tally.books, tally.refused, tally.worlds, tally.uncovered, tally.ladders,
                  tally.conditions, tally.held, tally.strict_ties);
    assert_true(tally.refused < BOOKS);
    assert_true(tally.uncovered > 0 && tally.uncovered < tally.worlds);
    assert_true(tally.held > 0 && tally.held < tally.conditions);
    assert_true(tally.strict_ties > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_random_worlds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
