/* The judgement of one finding, put together. */
#include "judge/judging.h"

static uint64_t bit(uint32_t index)
{
    return UINT64_C(1) << (index < 64 ? index : 63);
}

struct number judging_low(const struct judging *judging, uint32_t record)
{
    const struct reading *reading = &judging->ground->finding->readings[record];
    return judging->as_read && reading->given == GIVEN_DOUBT ? reading->middle : reading->low;
}

struct number judging_high(const struct judging *judging, uint32_t record)
{
    const struct reading *reading = &judging->ground->finding->readings[record];
    return judging->as_read && reading->given == GIVEN_DOUBT ? reading->middle : reading->high;
}

struct number judging_before(const struct ground *ground, uint32_t variable,
                             const struct number *readings, struct number value)
{
    uint32_t now = ground->forms[variable].term_count == 1
                       ? ground->forms[variable].terms[0].variable
                       : variable;
    bool before = ground->docket->variables[variable].sort == VARIABLE_EARLIER ||
                  ground->docket->variables[variable].sort == VARIABLE_FIRST;
    return before && now != variable ? readings[now] : value;
}

/* ---- one world only -------------------------------------------------------------------- */

static void take_only_world(struct judging *judging)
{
    const struct ground *ground = judging->ground;
    const struct finding *finding = ground->finding;
    const struct docket *docket = ground->docket;
    struct world *world = &judging->judgement->witness;
    for (uint32_t r = 0; r < docket->kind->record_count; r++) {
        world->readings[r] =
            docket->kind->records[r].measure ? judging_low(judging, r) : NUMBER_ZERO;
        world->values[r] = ground->observations[r];
    }
    for (uint32_t v = docket->kind->record_count; v < docket->variable_count; v++) {
        world->readings[v] = judging_before(ground, v, world->readings, ground->variables[v].low);
    }
    for (uint32_t a = 0; a < docket->axis_count && !docket->by_place; a++) {
        const struct extent *extent = &finding->extents[a];
        world->lo[a] = judging->as_read ? extent->read_lo_low : extent->lo_low;
        world->hi[a] = judging->as_read ? extent->read_hi_low : extent->hi_low;
    }
    world->side = (uint32_t)__builtin_ctzll(ground->sides);
    world->place = finding->places ? (uint32_t)__builtin_ctzll(finding->places) : 0;
}

static void judge_only_world(struct judging *judging)
{
    struct judgement *judgement = judging->judgement;
    const struct docket *docket = judging->ground->docket;
    take_only_world(judging);
    judgement->worst = judge_world(judging->arena, docket, &judgement->witness, &judgement->ladders,
                                   &judgement->ladder_count, &judgement->witness_uncovered);
    judgement->possible = bit(judgement->worst);
    judgement->uncovered = judgement->witness_uncovered;
    for (uint32_t i = 0; i < judgement->ladder_count; i++) {
        const struct ladder_result *ladder = &judgement->ladders[i];
        uint32_t l = (uint32_t)(ladder->limit - docket->limits);
        judgement->limits_met |= bit(l);
        judgement->rungs[l] |= bit(ladder->rung);
    }
}

/* ---- all worlds ---------------------------------------------------------------------------- */

/* When the budget ends among the scenes: all that any ladder within reach can give is possible. */
static void assume_all(struct walk *walk, const struct ground *ground)
{
    const struct docket *docket = ground->docket;
    walk->unsure = walk->uncovered = true;
    walk->possible |= bit(ground->no_published_limit);
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        walk->limits_met |= bit(l);
        walk->rungs[l] |= ground->ladders[l].rung_set;
        walk->possible |= ground->ladders[l].outcome_set;
    }
}

static void walk_scenes(struct walk *walk, bool ends)
{
    struct scene scene;
    scene_first(walk->ground, &scene);
    do {
        if (!constraints_spend(&walk->constraints, 1)) {
            assume_all(walk, walk->ground);
            break;
        }
        walk_scene(walk, &scene);
    } while (scene_next(walk->ground, &scene, ends));
}

/* When the budget ends before all is walked: the ends alone, which are few, may still be walked whole. */
static void bound_by_ends(struct judging *judging)
{
    struct judgement *judgement = judging->judgement;
    uint32_t work = JUDGE_BUDGET / 2;
    struct walk walk;
    walk_begin(&walk, judging->ground, WALK_ENDS, &work);
    walk_scenes(&walk, true);
    if (!walk.unsure) {
        uint64_t worst = UINT64_C(1) << (63 - __builtin_clzll(walk.possible));
        uint64_t best = walk.possible & -walk.possible;
        judgement->possible &= (worst - best) | worst;
        judgement->possible |= worst | best;
    }
}

static void judge_all_worlds(struct judging *judging, uint32_t *work)
{
    struct judgement *judgement = judging->judgement;
    struct walk walk;
    walk_begin(&walk, judging->ground, judging->ends_only ? WALK_ENDS : WALK_ALL, work);
    walk_scenes(&walk, judging->ends_only);
    judgement->possible = walk.possible;
    judgement->uncovered = walk.uncovered;
    judgement->budget_hit = walk.unsure;
    judgement->rungs = walk.rungs;
    judgement->limits_met = walk.limits_met;
    if (walk.unsure && judging->ground->docket->rises && !judging->ends_only) {
        bound_by_ends(judging);
    }
    judgement->worst = 63 - (uint32_t)__builtin_clzll(judgement->possible);
}

/* Governing first; the others in the order of the docket. */
static void order_ladders(struct judgement *judgement)
{
    for (uint32_t i = 1; i < judgement->ladder_count; i++) {
        struct ladder_result moved = judgement->ladders[i];
        uint32_t to = i;
        for (; to > 0 && judgement->ladders[to - 1].outcome < moved.outcome; to--) {
            judgement->ladders[to] = judgement->ladders[to - 1];
        }
        judgement->ladders[to] = moved;
    }
}

struct judgement *judge(struct arena *arena, const struct docket *docket,
                        const struct finding *finding, bool as_read, enum judge_telling telling,
                        uint32_t floor)
{
    struct judgement *judgement = ARENA_NEW(arena, struct judgement);
    uint32_t records = docket->kind->record_count;
    bool ends_only = telling == JUDGE_ENDS && docket->rises;
    struct judging judging = {
        .arena = arena,
        .ground = ground_make(arena, docket, finding, as_read, ends_only),
        .as_read = as_read,
        .ends_only = ends_only,
        .floor = floor,
        .judgement = judgement,
    };
    judgement->rungs = ARENA_ARRAY(arena, uint64_t, docket->limit_count);
    judgement->witness = (struct world){
        .readings = ARENA_ARRAY(arena, struct number, docket->variable_count),
        .values = ARENA_ARRAY(arena, uint64_t, records),
        .lo = ARENA_ARRAY(arena, struct number, docket->axis_count),
        .hi = ARENA_ARRAY(arena, struct number, docket->axis_count),
    };
    if (judging.ground->exact) {
        judge_only_world(&judging);
    } else {
        uint32_t work = JUDGE_BUDGET / 2;
        judge_all_worlds(&judging, &work);
        work = JUDGE_BUDGET / 4;
        judge_find_witness(&judging, &work);
        judge_world(arena, docket, &judgement->witness, &judgement->ladders,
                    &judgement->ladder_count, &judgement->witness_uncovered);
        work = JUDGE_BUDGET / 4;
        if (telling == JUDGE_ALL) {
            judge_find_needs(&judging, &work);
        }
    }
    order_ladders(judgement);
    return judgement;
}
