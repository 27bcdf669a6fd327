/* One finding at two inspections: can both be true? */
#include <string.h>

#include "base/text.h"
#include "history/history.h"

/* ---- places ------------------------------------------------------------------------- */

static void moved(struct problems *problems, const struct finding *before,
                  const struct finding *now, const char *what)
{
    struct stave_problem *problem = problem_add(problems, STAVE_ERROR, "moved", now->span,
                                                "'%s' is at another %s than before", now->id, what);
    problem_second(problem, problems, before->span, "it was here");
    problem_help(problem, problems,
                 "one of the two is mistyped; or it is other damage, which has an id of its own");
}

/* The gap between two extents at its least, in all worlds; 0 where they may touch. */
static struct number least_gap(struct arena *arena, const struct extent *a, const struct extent *b)
{
    struct number gap = number_greatest(arena, number_subtract(arena, a->lo_low, b->hi_high),
                                        number_subtract(arena, b->lo_low, a->hi_high));
    return number_greatest(arena, gap, NUMBER_ZERO);
}

/* It may reach an edge at which all sides meet, or go through: then sides tell nothing. */
static bool on_any_side(struct arena *arena, const struct finding *finding)
{
    const struct part *part = finding->part;
    for (uint32_t i = 0; i < part->meeting_count; i++) {
        const struct extent *extent = &finding->extents[part->meetings[i].axis];
        if (number_compare(arena, extent->lo_low, part->meetings[i].at) <= 0 &&
            number_compare(arena, part->meetings[i].at, extent->hi_high) <= 0) {
            return true;
        }
    }
    return finding->kind->each_side != NULL;
}

static bool agree_axis(struct arena *arena, struct problems *problems, const struct finding *before,
                       const struct finding *now, uint32_t a)
{
    const struct axis *axis = &now->part->axes[a];
    struct number fine = number_multiply(arena, axis_fineness(axis), NUMBER_INT(2));
    struct number gap = least_gap(arena, &before->extents[a], &now->extents[a]);
    if (number_compare(arena, gap, fine) > 0) {
        moved(problems, before, now, axis->name);
        return false;
    }
    return true;
}

static bool agree_side(struct arena *arena, struct problems *problems, const struct finding *before,
                       const struct finding *now)
{
    if (now->part->side_count && !(before->sides & now->sides) && !on_any_side(arena, before) &&
        !on_any_side(arena, now)) {
        moved(problems, before, now, "side");
        return false;
    }
    return true;
}

static bool agree_named_place(struct problems *problems, const struct finding *before,
                              const struct finding *now)
{
    if (now->part->place_count && !(before->places & now->places)) {
        moved(problems, before, now, "place");
        return false;
    }
    return true;
}

/* A place that says as much as the one held so far takes its stead, so that small differences of
 * measuring do not add up; one that says less does not, or it would let the next be anywhere. */
static bool says_as_much(struct arena *arena, const struct extent *held, const struct extent *now)
{
    bool exact = now->given != GIVEN_NOT && number_equal(now->lo_low, now->lo_high) &&
                 number_equal(now->hi_low, now->hi_high);
    return exact || number_compare(arena, number_subtract(arena, now->hi_high, now->lo_low),
                                   number_subtract(arena, held->hi_high, held->lo_low)) <= 0;
}

static void place_take(struct arena *arena, const struct finding **placed,
                       const struct finding *now)
{
    uint32_t axes = now->part->axis_count;
    for (uint32_t a = 0; a < axes; a++) {
        if (says_as_much(arena, &placed[a]->extents[a], &now->extents[a])) {
            placed[a] = now;
        }
    }
    if (__builtin_popcountll(now->sides) <= __builtin_popcountll(placed[axes]->sides)) {
        placed[axes] = now;
    }
    if (__builtin_popcountll(now->places) <= __builtin_popcountll(placed[axes + 1]->places)) {
        placed[axes + 1] = now;
    }
}

void place_begin(const struct finding **placed, const struct finding *now)
{
    for (uint32_t i = 0; i < now->part->axis_count + 2; i++) {
        placed[i] = now;
    }
}

bool agree_place(struct arena *arena, struct problems *problems, const struct finding **placed,
                 const struct finding *before, const struct finding *now)
{
    uint32_t axes = now->part->axis_count;
    for (uint32_t a = 0; a < axes; a++) {
        if (!agree_axis(arena, problems, before, now, a) ||
            !agree_axis(arena, problems, placed[a], now, a)) {
            return false;
        }
    }
    if (!agree_side(arena, problems, before, now) ||
        !agree_side(arena, problems, placed[axes], now) ||
        !agree_named_place(problems, before, now) ||
        !agree_named_place(problems, placed[axes + 1], now)) {
        return false;
    }
    place_take(arena, placed, now);
    return true;
}

/* ---- readings ------------------------------------------------------------------------ */

/* "'C-1'", or of a check "leak of blade 1". */
static const char *whose(struct arena *arena, const struct finding *finding)
{
    return finding->kind->is_check
               ? text_format(arena, "%s of %s", finding->kind->name,
                             finding_part_name(arena, finding->part, finding->instance))
               : text_format(arena, "'%s'", finding->id);
}

static void got_better(struct arena *arena, struct problems *problems, const struct finding *now,
                       const char *name, const char *was, const char *is, struct span at,
                       struct span before)
{
    struct stave_problem *problem =
        problem_add(problems, STAVE_WARNING, "got-better", at,
                    "'%s' of %s was %s and is %s now: it does not get better by itself", name,
                    whose(arena, now), was, is);
    problem_second(problem, problems, before, "what was read before");
    problem_help(problem, problems,
                 "it counts as anything between the two; read it again, or say under 'repaired' "
                 "what was done");
}

/* The line that says what it was before has been warned of already. */
static bool says_was(const struct finding *now, uint32_t r)
{
    return now->earlier && now->earlier[r].given != GIVEN_NOT;
}

static bool agree_measure(struct arena *arena, struct problems *problems, struct finding *now,
                          uint32_t r, const struct reading *was, bool tell)
{
    const struct measure *measure = now->kind->records[r].measure;
    struct reading *is = &now->readings[r];
    if (!reading_got_better(arena, measure, was, is)) {
        return false;
    }
    if (tell && !says_was(now, r)) {
        got_better(arena, problems, now, measure->name, reading_phrase(arena, was),
                   reading_phrase(arena, is), is->span, was->span);
    }
    is->given = GIVEN_RANGE;
    is->low = number_least(arena, is->low, was->low);
    is->high = number_greatest(arena, is->high, was->high);
    is->middle = is->low;
    return true;
}

static uint64_t up_to(uint32_t bit)
{
    return bit >= 63 ? UINT64_MAX : (UINT64_C(1) << (bit + 1)) - 1;
}

static bool agree_levels(struct arena *arena, struct problems *problems, struct finding *now,
                         uint32_t r, const struct reading *was, bool tell)
{
    const struct observation *observation = now->kind->records[r].observation;
    struct reading *is = &now->readings[r];
    if (observation->sort != TREE_LEVELS || !was->values || !is->values) {
        return false;
    }
    uint32_t best_before = (uint32_t)__builtin_ctzll(was->values);
    uint32_t worst_now = 63 - (uint32_t)__builtin_clzll(is->values);
    if (worst_now >= best_before) {
        return false;
    }
    if (tell) {
        got_better(arena, problems, now, observation->name, observation->values[best_before],
                   observation->values[worst_now], is->span, was->span);
    }
    uint32_t worst = 63 - (uint32_t)__builtin_clzll(was->values);
    uint32_t best = (uint32_t)__builtin_ctzll(is->values);
    is->given = GIVEN_RANGE;
    is->values = up_to(worst) & ~(best ? up_to(best - 1) : 0);
    return true;
}

/* Where it may lie: all that either inspection leaves possible. */
static void join_extents(struct arena *arena, const struct finding *before, struct finding *now)
{
    struct extent *joined = ARENA_ARRAY(arena, struct extent, now->part->axis_count);
    for (uint32_t a = 0; a < now->part->axis_count; a++) {
        const struct extent *b = &before->extents[a];
        struct extent *to = &joined[a];
        *to = now->extents[a];
        if (now->extents[a].given == GIVEN_NOT) {
            continue;
        }
        to->point = to->point && b->point;
        to->lo_low = number_least(arena, to->lo_low, b->lo_low);
        to->lo_high = number_greatest(arena, to->lo_high, b->lo_high);
        to->hi_low = number_least(arena, to->hi_low, b->hi_low);
        to->hi_high = number_greatest(arena, to->hi_high, b->hi_high);
        to->read_lo_low = number_least(arena, to->read_lo_low, b->read_lo_low);
        to->read_lo_high = number_greatest(arena, to->read_lo_high, b->read_lo_high);
        to->read_hi_low = number_least(arena, to->read_hi_low, b->read_hi_low);
        to->read_hi_high = number_greatest(arena, to->read_hi_high, b->read_hi_high);
    }
    now->extents = joined;
}

/* Is the best that it may be no better than the best that the held one may be? Else it settles
 * less than that one: a range that reaches below it must not hide it from the next reading. */
static bool is_as_firm(struct arena *arena, const struct recorded *recorded,
                       const struct reading *held, const struct reading *now)
{
    const struct measure *measure = recorded->measure;
    if (!measure) {
        return !held->values || !now->values ||
               __builtin_ctzll(now->values) >= __builtin_ctzll(held->values);
    }
    struct number better = measure->smaller_is_worse ? number_subtract(arena, now->high, held->high)
                                                     : number_subtract(arena, held->low, now->low);
    return number_compare(arena, better, measure_fineness(measure)) <= 0;
}

void agree_readings(struct arena *arena, struct problems *problems, const struct finding **firm,
                    struct finding *now, bool tell)
{
    const struct kind *kind = now->kind;
    struct reading *readings = ARENA_ARRAY(arena, struct reading, kind->record_count);
    memcpy(readings, now->readings, kind->record_count * sizeof *readings);
    now->readings = readings;
    for (uint32_t r = 0; r < kind->record_count; r++) {
        const struct recorded *recorded = &kind->records[r];
        const struct finding *held = firm[r];
        if (readings[r].given == GIVEN_NOT) {
            continue;
        }
        bool better = false;
        if (held && !recorded->measure) {
            better = agree_levels(arena, problems, now, r, &held->readings[r], tell);
        } else if (held) {
            better = agree_measure(arena, problems, now, r, &held->readings[r], tell);
            if (better && recorded->has_along && now->part->axis_count) {
                join_extents(arena, held, now);
            }
        }
        if (!held || better || is_as_firm(arena, recorded, &held->readings[r], &readings[r])) {
            firm[r] = now;
        }
    }
}
