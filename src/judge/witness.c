/*
 * The world that is shown for a judgement: one in which the worst outcome comes about,
 * each reading moved to its worse end where that still gives it.
 */
#include <string.h>

#include "judge/judging.h"

/* Looks for a world with the worst outcome among those that `ground` leaves. */
static bool reach(struct judging *judging, const struct ground *ground, uint32_t *work,
                  struct walk *walk)
{
    struct scene scene;
    walk_begin(walk, ground, WALK_REACH, work);
    walk->target = judging->judgement->worst;
    scene_first(ground, &scene);
    do {
        walk_scene(walk, &scene);
    } while (!walk->found && constraints_spend(&walk->constraints, 1) &&
             scene_next(ground, &scene, ground->docket->rises));
    return walk->found;
}

/* ---- holding readings at their worse ends ---------------------------------------------------- */

static void pin_variable(struct unknown *unknown)
{
    if (unknown->rather_high) {
        unknown->low = unknown->high;
    } else {
        unknown->high = unknown->low;
    }
}

static void pin_observation(const struct ground *ground, uint32_t record, uint64_t *values)
{
    const struct observation *observation = ground->docket->kind->records[record].observation;
    if (observation && observation->sort == TREE_LEVELS && *values) {
        *values = UINT64_C(1) << (63 - __builtin_clzll(*values));
    }
}

/* Company and what was read before; products follow their readings. */
static bool pins_itself(const struct ground *ground, uint32_t v)
{
    return v >= ground->docket->kind->record_count &&
           ground->docket->variables[v].sort != VARIABLE_PRODUCT;
}

static void pin_record(const struct ground *ground, struct ground *pinned, uint32_t record)
{
    if (record >= ground->docket->kind->record_count) {
        if (pins_itself(ground, record)) {
            pin_variable(&pinned->variables[record]);
        }
    } else if (ground->docket->kind->records[record].measure) {
        pin_variable(&pinned->variables[record]);
    } else {
        pin_observation(ground, record, &pinned->observations[record]);
    }
}

static struct ground ground_copy(const struct ground *ground)
{
    struct ground copy = *ground;
    uint32_t records = ground->docket->kind->record_count;
    copy.variables = ARENA_ARRAY(ground->arena, struct unknown, ground->docket->variable_count);
    copy.observations = ARENA_ARRAY(ground->arena, uint64_t, records);
    for (uint32_t v = 0; v < ground->docket->variable_count; v++) {
        copy.variables[v] = ground->variables[v];
    }
    for (uint32_t r = 0; r < records; r++) {
        copy.observations[r] = ground->observations[r];
    }
    return copy;
}

/* All at their worse ends; else one after the other, in the order of the records. */
static bool reach_worse_ends(struct judging *judging, struct ground *pinned, uint32_t *work,
                             struct walk *walk)
{
    const struct ground *ground = judging->ground;
    uint32_t records = ground->docket->kind->record_count;
    uint32_t variables = ground->docket->variable_count;
    for (uint32_t r = 0; r < variables; r++) {
        pin_record(ground, pinned, r);
    }
    if (reach(judging, pinned, work, walk)) {
        return true;
    }
    *pinned = ground_copy(ground);
    if (!reach(judging, pinned, work, walk)) {
        return false;
    }
    struct walk last = *walk;
    for (uint32_t r = 0; r < variables; r++) {
        struct unknown before = pinned->variables[r];
        uint64_t values_before = r < records ? pinned->observations[r] : 0;
        if (r >= records && !pins_itself(ground, r)) {
            continue;
        }
        pin_record(ground, pinned, r);
        if (reach(judging, pinned, work, walk)) {
            last = *walk;
        } else {
            pinned->variables[r] = before;
            if (r < records) {
                pinned->observations[r] = values_before;
            }
        }
    }
    *walk = last;
    return true;
}

/* ---- from a sample to a world -------------------------------------------------------------------- */

/* A reading that was really taken and that rounds to `value`. */
static struct number reading_for(const struct judging *judging, uint32_t record,
                                 struct number value)
{
    struct arena *arena = judging->arena;
    const struct variable *variable = &judging->ground->docket->variables[record];
    struct number low = judging_low(judging, record), high = judging_high(judging, record);
    struct number worse = variable->measure->smaller_is_worse ? low : high;
    if (number_equal(region_round(arena, variable, worse), value)) {
        return worse;
    }
    return number_least(arena, high, number_greatest(arena, low, value));
}

static struct number middle(struct arena *arena, struct number a, struct number b)
{
    return number_divide(arena, number_add(arena, a, b), NUMBER_INT(2));
}

/* An end that no ladder asks for was picked without regard to the other: mends lo <= hi. */
static void order_lo_hi(struct arena *arena, const struct spot *spot, struct number *lo,
                        struct number *hi)
{
    if (number_compare(arena, *lo, *hi) <= 0) {
        return;
    }
    if (!spot->uses_hi) {
        *hi = spot->hi.high_open ? middle(arena, *lo, spot->hi.high) : spot->hi.high;
    } else {
        *lo = spot->lo.low_open ? middle(arena, spot->lo.low, *hi) : spot->lo.low;
    }
}

static void set_places(struct judging *judging, const struct walk *walk)
{
    const struct ground *ground = judging->ground;
    struct world *world = &judging->judgement->witness;
    for (uint32_t a = 0; a < ground->docket->axis_count; a++) {
        const struct spot_axis *axis = &ground->spots->axes[a];
        const struct spot *spot = &axis->spots[walk->scene.spots[a]];
        if (axis->by_place) {
            world->place = spot->lo_cell / 2;
            continue;
        }
        uint32_t lo = ground->docket->variable_count + 2 * a;
        world->lo[a] = walk->sample[lo];
        world->hi[a] = axis->point ? walk->sample[lo] : walk->sample[lo + 1];
        order_lo_hi(judging->arena, spot, &world->lo[a], &world->hi[a]);
    }
    world->side = walk->scene.side;
}

static void set_readings(struct judging *judging, const struct walk *walk)
{
    const struct ground *ground = judging->ground;
    struct world *world = &judging->judgement->witness;
    for (uint32_t r = 0; r < ground->docket->kind->record_count; r++) {
        world->readings[r] = NUMBER_ZERO;
        if (ground->docket->kind->records[r].measure) {
            world->readings[r] = reading_for(judging, r, walk->sample[r]);
        } else {
            world->values[r] = walk->observed[r] & -walk->observed[r];
        }
    }
    for (uint32_t v = ground->docket->kind->record_count; v < ground->docket->variable_count; v++) {
        world->readings[v] = judging_before(ground, v, world->readings, walk->sample[v]);
    }
}

/*
 * A product of two doubtful readings is a coordinate of its own, so the sample's may not be
 * theirs. Tries once more with every product that of the readings.
 */
static void try_true_products(struct judging *judging, const struct ground *pinned, uint32_t *work,
                              struct walk *walk)
{
    const struct docket *docket = judging->ground->docket;
    struct ground held = ground_copy(pinned);
    bool any = false;
    for (uint32_t v = 0; v < docket->kind->record_count; v++) {
        held.variables[v].low = held.variables[v].high = walk->sample[v];
    }
    for (uint32_t v = docket->kind->record_count; v < docket->variable_count; v++) {
        if (unknown_fixed(&held.variables[v])) {
            continue;
        }
        if (docket->variables[v].sort != VARIABLE_PRODUCT) {
            held.variables[v].low = held.variables[v].high = walk->sample[v];
            continue;
        }
        const struct expression *const *factors = docket->variables[v].factors;
        struct number value = number_multiply(
            judging->arena, region_value(judging->arena, docket->kind, factors[0], walk->sample),
            region_value(judging->arena, docket->kind, factors[1], walk->sample));
        held.variables[v].low = held.variables[v].high = value;
        any = true;
    }
    struct walk again;
    if (any && reach(judging, &held, work, &again)) {
        *walk = again;
    }
}

/* Nothing could be shown within the budget: any world of the first scene. */
static void take_any_world(struct judging *judging, struct walk *walk, uint32_t *work)
{
    const struct ground *ground = judging->ground;
    walk_begin(walk, ground, WALK_REACH, work);
    scene_first(ground, &walk->scene);
    for (uint32_t v = 0; v < ground->docket->variable_count; v++) {
        walk->sample[v] = unknown_pick(judging->arena, &ground->variables[v]);
    }
    for (uint32_t a = 0; a < ground->docket->axis_count; a++) {
        const struct spot *spot = &ground->spots->axes[a].spots[0];
        uint32_t lo = ground->docket->variable_count + 2 * a;
        walk->sample[lo] = middle(judging->arena, spot->lo.low, spot->lo.high);
        walk->sample[lo + 1] = middle(judging->arena, spot->hi.low, spot->hi.high);
    }
    memcpy(walk->observed, ground->observations,
           ground->docket->kind->record_count * sizeof *walk->observed);
}

void judge_find_witness(struct judging *judging, uint32_t *work)
{
    struct walk walk;
    struct ground pinned = ground_copy(judging->ground);
    if (reach_worse_ends(judging, &pinned, work, &walk)) {
        try_true_products(judging, &pinned, work, &walk);
    } else {
        take_any_world(judging, &walk, work);
    }
    set_places(judging, &walk);
    set_readings(judging, &walk);
    judging->shown = walk;
}
