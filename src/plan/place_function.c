/*
 * Piecewise straight lines along one axis: curves, their multiples and sums, and the
 * lesser or greater of two, all exact.
 */
#include "plan/build.h"

static struct place_line *line_new(struct arena *arena, uint32_t room)
{
    if (room > 2 * PLAN_POINTS)
        arena_escape(arena, STAVE_TOO_BIG);
    struct place_line *line = ARENA_NEW(arena, struct place_line);
    line->at = ARENA_ARRAY(arena, struct number, room);
    line->value = ARENA_ARRAY(arena, struct number, room);
    return line;
}

static void line_push(struct place_line *line, struct number at, struct number value)
{
    line->at[line->count] = at;
    line->value[line->count] = value;
    line->count++;
}

/* The straight line through (a, fa) and (b, fb), a != b, at `at`. */
static struct number straight(struct arena *arena, struct number a, struct number fa,
                              struct number b, struct number fb, struct number at)
{
    struct number rise = number_subtract(arena, fb, fa);
    struct number part =
        number_divide(arena, number_subtract(arena, at, a), number_subtract(arena, b, a));
    return number_add(arena, fa, number_multiply(arena, rise, part));
}

bool place_line_reaches(struct arena *arena, const struct place_line *line, struct number at)
{
    return line->count > 0 && number_compare(arena, line->at[0], at) <= 0 &&
           number_compare(arena, at, line->at[line->count - 1]) <= 0;
}

struct number place_line_value(struct arena *arena, const struct place_line *line, struct number at)
{
    uint32_t low = 0, high = line->count - 1; /* at[low] <= at <= at[high] */
    while (high - low > 1) {
        uint32_t middle = low + (high - low) / 2;
        if (number_compare(arena, line->at[middle], at) <= 0)
            low = middle;
        else
            high = middle;
    }
    if (number_equal(line->at[low], at))
        return line->value[low];
    if (number_equal(line->at[high], at))
        return line->value[high];
    return straight(arena, line->at[low], line->value[low], line->at[high], line->value[high], at);
}

uint32_t place_line_values(struct arena *arena, const struct place_line *line,
                           const struct number *places, uint32_t count, uint32_t *first,
                           struct number *values)
{
    uint32_t found = 0, point = 0; /* the last point that is not behind the place */
    uint32_t of_slope = UINT32_MAX;
    struct number slope = NUMBER_ZERO;
    for (uint32_t i = 0; i < count; i++) {
        if (!place_line_reaches(arena, line, places[i]))
            continue;
        if (found == 0)
            *first = i;
        while (point + 1 < line->count &&
               number_compare(arena, line->at[point + 1], places[i]) <= 0)
            point++;
        struct number value = line->value[point];
        if (!number_equal(line->at[point], places[i])) {
            if (of_slope != point) {
                struct number rise = number_subtract(arena, line->value[point + 1], value);
                struct number run =
                    number_subtract(arena, line->at[point + 1], line->at[point]);
                slope = number_divide(arena, rise, run);
                of_slope = point;
            }
            struct number along = number_subtract(arena, places[i], line->at[point]);
            value = number_add(arena, value, number_multiply(arena, slope, along));
        }
        values[found++] = value;
    }
    return found;
}

const struct place_line *place_line_from_curve(struct arena *arena, const struct curve *curve)
{
    struct place_line *line = line_new(arena, curve->point_count);
    for (uint32_t i = 0; i < curve->point_count; i++)
        line_push(line, curve->points[i].at, curve->points[i].value);
    return line;
}

const struct place_line *place_line_scale(struct arena *arena, const struct place_line *line,
                                          struct number factor, struct number shift)
{
    struct place_line *scaled = line_new(arena, line->count);
    for (uint32_t i = 0; i < line->count; i++) {
        struct number value = number_multiply(arena, line->value[i], factor);
        line_push(scaled, line->at[i], number_add(arena, value, shift));
    }
    return scaled;
}

const struct place_line *place_line_level(struct arena *arena, const struct place_line *reach,
                                          struct number value)
{
    struct place_line *level = line_new(arena, 2);
    if (reach->count > 0)
        line_push(level, reach->at[0], value);
    if (reach->count > 1)
        line_push(level, reach->at[reach->count - 1], value);
    return level;
}

bool place_line_same_places(const struct place_line *a, const struct place_line *b)
{
    if (a->count != b->count)
        return false;
    for (uint32_t i = 0; i < a->count; i++)
        if (!number_equal(a->at[i], b->at[i]))
            return false;
    return true;
}

bool place_line_equal(const struct place_line *a, const struct place_line *b)
{
    if (a == b)
        return true;
    if (!a || !b || !place_line_same_places(a, b))
        return false;
    for (uint32_t i = 0; i < a->count; i++)
        if (!number_equal(a->value[i], b->value[i]))
            return false;
    return true;
}

/* The places of both lines, rising, where both reach. */
static uint32_t common_places(struct arena *arena, const struct place_line *a,
                              const struct place_line *b, struct number *places)
{
    uint32_t count = 0, i = 0, j = 0;
    while (i < a->count || j < b->count) {
        int order = i == a->count   ? 1
                    : j == b->count ? -1
                                    : number_compare(arena, a->at[i], b->at[j]);
        struct number at = order <= 0 ? a->at[i] : b->at[j];
        if (order <= 0)
            i++;
        if (order >= 0)
            j++;
        if (place_line_reaches(arena, a, at) && place_line_reaches(arena, b, at))
            places[count++] = at;
    }
    return count;
}

const struct place_line *place_line_add(struct arena *arena, const struct place_line *a,
                                        const struct place_line *b)
{
    struct number *places = ARENA_ARRAY(arena, struct number, a->count + b->count);
    uint32_t count = common_places(arena, a, b, places);
    struct place_line *sum = line_new(arena, count);
    for (uint32_t i = 0; i < count; i++)
        line_push(sum, places[i],
                  number_add(arena, place_line_value(arena, a, places[i]),
                             place_line_value(arena, b, places[i])));
    return sum;
}

const struct place_line *place_line_pick(struct arena *arena, const struct place_line *a,
                                         const struct place_line *b, bool greater)
{
    struct number *places = ARENA_ARRAY(arena, struct number, a->count + b->count);
    uint32_t count = common_places(arena, a, b, places);
    struct place_line *picked = line_new(arena, 2 * count); /* a crossing before each point */
    struct number gap_before = NUMBER_ZERO;
    for (uint32_t i = 0; i < count; i++) {
        struct number fa = place_line_value(arena, a, places[i]);
        struct number fb = place_line_value(arena, b, places[i]);
        struct number gap = number_subtract(arena, fa, fb);
        if (number_sign(gap) * number_sign(gap_before) < 0) {
            /* They cross between two places, where the gap, straight too, is zero. */
            struct number at =
                straight(arena, gap_before, places[i - 1], gap, places[i], NUMBER_ZERO);
            line_push(picked, at, place_line_value(arena, a, at));
        }
        bool take_a = greater ? number_sign(gap) >= 0 : number_sign(gap) <= 0;
        line_push(picked, places[i], take_a ? fa : fb);
        gap_before = gap;
    }
    return picked;
}
