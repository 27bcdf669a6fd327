/* A tour through all worlds of a pair. */
#include <string.h>

#include "prove/tour.h"

struct position {
    uint32_t stage, form;
    int32_t node;
    bool entered;
    bool sure;
    uint32_t worst[2];
};

static uint64_t bit(uint32_t index)
{
    return UINT64_C(1) << (index < 64 ? index : 63);
}

/* ---- what can still come ---------------------------------------------------------------- */

/* What the stage at hand can still give: outcomes, or rungs. */
static uint64_t open_outcomes(const struct tour *tour, const struct position *at, uint32_t s)
{
    const struct ladder *ladder = tour->stages[s].ladder;
    if (s != at->stage || !at->entered) {
        return ladder->outcome_set;
    }
    return at->node >= 0 ? ladder->tests[at->node].outcomes : bit(ladder->outcomes[~at->node]);
}

static uint64_t open_rungs(const struct tour *tour, const struct position *at, uint32_t s)
{
    const struct ladder *ladder = tour->stages[s].ladder;
    if (s != at->stage || !at->entered) {
        return ladder->rung_set;
    }
    return at->node >= 0 ? ladder->tests[at->node].rungs : bit((uint32_t)~at->node);
}

static uint64_t potential(const struct tour *tour, const struct position *at, uint32_t side)
{
    uint32_t least = at->worst[side];
    uint64_t set = bit(least);
    for (uint32_t s = at->stage; s < tour->stage_count; s++) {
        if (tour->masks[s] >> side & 1) {
            uint64_t outcomes = open_outcomes(tour, at, s);
            uint32_t best = (uint32_t)__builtin_ctzll(outcomes);
            set |= outcomes;
            least = best > least ? best : least;
        }
    }
    return (set & (UINT64_MAX << least)) | bit(least);
}

/* Is all that is still to come common to both sides? */
static bool only_common_left(const struct tour *tour, const struct position *at)
{
    for (uint32_t s = at->stage; s < tour->stage_count; s++) {
        if (tour->masks[s] != 3) {
            return false;
        }
    }
    return true;
}

/* Every class of deadlines that a side's own ladders have or can still come to. */
static uint64_t open_classes(const struct tour *tour, const struct position *at, uint32_t side)
{
    uint64_t set = 0;
    for (uint32_t s = 0; s < tour->stage_count; s++) {
        if (tour->masks[s] != 1u << side) {
            continue;
        }
        const uint8_t *classes = tour->pair->classes[tour->stages[s].ladder->index];
        if (s < at->stage) {
            set |= bit(classes[tour->decided[s]]);
            continue;
        }
        for (uint64_t rungs = open_rungs(tour, at, s); rungs; rungs &= rungs - 1) {
            set |= bit(classes[__builtin_ctzll(rungs)]);
        }
    }
    return set ? set : bit(0);
}

static bool deadlines_alike(const struct tour *tour, const struct position *at)
{
    uint64_t both = open_classes(tour, at, 0) | open_classes(tour, at, 1);
    return !(both & (both - 1)) && !(both & bit(PAIR_CLASSES - 1));
}

static bool hopeless(const struct tour *tour, const struct position *at)
{
    if (tour->aim == TOUR_RUNG) {
        for (uint32_t s = 0; s < tour->stage_count; s++) {
            uint64_t rungs = s < at->stage ? bit(tour->decided[s]) : open_rungs(tour, at, s);
            if (rungs & tour->wanted) {
                return false;
            }
        }
        return true;
    }
    uint64_t first = potential(tour, at, 0), second = potential(tour, at, 1);
    if (tour->aim == TOUR_BETTER) {
        return (uint32_t)__builtin_ctzll(second) >= 63 - (uint32_t)__builtin_clzll(first);
    }
    uint64_t both = first | second;
    bool alike =
        !(both & (both - 1)) || (at->worst[0] == at->worst[1] && only_common_left(tour, at));
    return alike && !(both & tour->pair->flight_differs) && deadlines_alike(tour, at);
}

/* ---- arriving ------------------------------------------------------------------------------ */

/* The shortest deadline like `wanted` among the lines that decided on a side; NULL: none. */
static const struct deadline *shortest(const struct tour *tour, uint32_t side,
                                       const struct deadline *wanted)
{
    struct arena *arena = tour->ground->arena;
    const struct deadline *found = NULL;
    for (uint32_t s = 0; s < tour->stage_count; s++) {
        const struct plan_limit *limit = tour->stages[s].ladder->limit;
        if (!(tour->masks[s] >> side & 1) || tour->decided[s] == limit->rung_count) {
            continue;
        }
        const struct rung *rung = limit->rungs[tour->decided[s]].source;
        for (uint32_t d = 0; d < rung->deadline_count; d++) {
            const struct deadline *deadline = &rung->deadlines[d];
            if (deadline->look_again == wanted->look_again &&
                dimension_equal(deadline->unit->dimension, wanted->unit->dimension) &&
                (!found || number_compare(arena, deadline->value, found->value) < 0)) {
                found = deadline;
            }
        }
    }
    return found;
}

static bool deadlines_missing(const struct tour *tour, uint32_t side)
{
    for (uint32_t s = 0; s < tour->stage_count; s++) {
        const struct plan_limit *limit = tour->stages[s].ladder->limit;
        if (!(tour->masks[s] >> side & 1) || tour->decided[s] == limit->rung_count) {
            continue;
        }
        const struct rung *rung = limit->rungs[tour->decided[s]].source;
        for (uint32_t d = 0; d < rung->deadline_count; d++) {
            const struct deadline *here = shortest(tour, side, &rung->deadlines[d]);
            const struct deadline *there = shortest(tour, 1 - side, &rung->deadlines[d]);
            if (!there || !number_equal(here->value, there->value)) {
                return true;
            }
        }
    }
    return false;
}

/* Pairs that look at what a line says to do hold one ladder on each side. */
static bool classes_differ(const struct tour *tour)
{
    uint8_t of[2] = {0, 0};
    for (uint32_t s = 0; s < tour->stage_count; s++) {
        for (uint32_t side = 0; side < 2; side++) {
            if (tour->masks[s] == 1u << side) {
                of[side] = tour->pair->classes[tour->stages[s].ladder->index][tour->decided[s]];
            }
        }
    }
    return of[0] != of[1];
}

static bool wanted(const struct tour *tour, const struct position *at)
{
    switch (tour->aim) {
    case TOUR_BETTER:
        return at->worst[1] < at->worst[0];
    case TOUR_RUNG:
        for (uint32_t s = 0; s < tour->stage_count; s++) {
            if (bit(tour->decided[s]) & tour->wanted) {
                return true;
            }
        }
        return false;
    case TOUR_DIFFER:
        break;
    }
    return at->worst[0] != at->worst[1] || (tour->pair->flight_differs & bit(at->worst[0])) ||
           (tour->pair->by_action ? classes_differ(tour)
                                  : deadlines_missing(tour, 0) || deadlines_missing(tour, 1));
}

static void arrive(struct tour *tour, const struct scene *scene, const struct position *at)
{
    if (!wanted(tour, at)) {
        return;
    }
    struct stretch stretch = {.tour = tour,
                              .scene = scene,
                              .outcomes = {at->worst[0], at->worst[1]},
                              .constraints = &tour->walk.constraints,
                              .observations = tour->walk.observations,
                              .sure = at->sure};
    tour->unsure |= !at->sure;
    tour->visits++;
    tour->stopped = tour->visit(tour->user, &stretch);
}

/* ---- going on ------------------------------------------------------------------------------- */

/* Takes back bounds and inequalities. The memory of what was visited stays. */
static void give_back(struct tour *tour, struct constraints_mark mark, uint64_t visits)
{
    struct constraints *constraints = &tour->walk.constraints;
    if (visits != tour->visits) {
        mark.memory = arena_mark(constraints->arena);
    }
    constraints_return(constraints, mark);
}

static void go_on(struct tour *tour, const struct scene *scene, struct position at);

static void split(struct tour *tour, const struct scene *scene, const struct inequality *asked,
                  struct position yes, struct position no)
{
    struct constraints *constraints = &tour->walk.constraints;
    for (int holds = 1; holds >= 0 && !tour->stopped; holds--) {
        struct constraints_mark mark = constraints_mark(constraints);
        uint64_t visits = tour->visits;
        struct position next = holds ? yes : no;
        bool open = constraints_assume(constraints, asked, holds);
        if (open && constraints->kept_count > 0) {
            enum solvable solvable = constraints_solve(constraints, NULL);
            open = solvable != SOLVABLE_NO;
            next.sure = solvable == SOLVABLE_YES;
        }
        if (open) {
            go_on(tour, scene, next);
        }
        give_back(tour, mark, visits);
    }
}

static void look(struct tour *tour, const struct scene *scene, struct position *at,
                 const struct test *test, const struct stage *stage)
{
    uint32_t records = tour->ground->docket->kind->record_count;
    bool apart = route_apart(&tour->route, stage) && tour->apart->records[test->record];
    uint64_t *values = &tour->walk.observations[test->record + (apart ? records : 0)];
    uint64_t before = *values;
    if (!(before & test->values) || !(before & ~test->values)) {
        at->node = before & test->values ? test->yes : test->no;
        return;
    }
    struct position yes = *at, no = *at;
    yes.node = test->yes;
    no.node = test->no;
    *values = before & test->values;
    go_on(tour, scene, yes);
    if (!tour->stopped) {
        *values = before & ~test->values;
        go_on(tour, scene, no);
    }
    *values = before;
    at->stage = UINT32_MAX;
}

static void compare(struct tour *tour, const struct scene *scene, struct position *at,
                    const struct test *test, const struct stage *stage)
{
    if (at->form == stage->form_counts[at->node]) {
        at->node = test->yes;
        at->form = 0;
        return;
    }
    const struct inequality *asked = &stage->forms[at->node][at->form];
    struct position yes = *at, no = *at;
    yes.form++;
    no.node = test->no;
    no.form = 0;
    switch (constraints_truth(&tour->walk.constraints, asked)) {
    case TRUTH_YES:
        *at = yes;
        return;
    case TRUTH_NO:
        *at = no;
        return;
    case TRUTH_EITHER:
        split(tour, scene, asked, yes, no);
        at->stage = UINT32_MAX;
        return;
    }
}

/* Enters the stage, or leaves it where its ladder has decided. */
static bool at_stage_end(struct tour *tour, struct position *at)
{
    const struct stage *stage = &tour->stages[at->stage];
    if (!at->entered) {
        at->entered = true;
        at->node = stage->ladder->start;
        at->form = 0;
    }
    if (at->node >= 0) {
        return false;
    }
    uint32_t rung = (uint32_t)~at->node, outcome = stage->ladder->outcomes[rung];
    tour->decided[at->stage] = rung;
    for (uint32_t side = 0; side < 2; side++) {
        if (tour->masks[at->stage] >> side & 1 && outcome > at->worst[side]) {
            at->worst[side] = outcome;
        }
    }
    at->stage++;
    at->entered = false;
    return true;
}

static void go_on(struct tour *tour, const struct scene *scene, struct position at)
{
    bool checked = false;
    tour->walk.depth++;
    while (at.stage != UINT32_MAX) {
        if (at.stage == tour->stage_count) {
            arrive(tour, scene, &at);
            break;
        }
        if (!checked && hopeless(tour, &at)) {
            break;
        }
        checked = true;
        if (tour->walk.depth > TOUR_DEPTH || !constraints_spend(&tour->walk.constraints, 1)) {
            tour->unsure = true;
            break;
        }
        if (at_stage_end(tour, &at)) {
            checked = false;
            continue;
        }
        const struct stage *stage = &tour->stages[at.stage];
        const struct test *test = &stage->ladder->tests[at.node];
        if (test->atom) {
            compare(tour, scene, &at, test, stage);
        } else {
            look(tour, scene, &at, test, stage);
        }
    }
    tour->walk.depth--;
}

/* ---- setting out ----------------------------------------------------------------------------- */

static struct unknown unknown_of_end(const struct spot_end *end, bool rather_high)
{
    return (struct unknown){.low = end->low,
                            .high = end->high,
                            .low_open = end->low_open,
                            .high_open = end->high_open,
                            .step = NUMBER_ZERO,
                            .rather_high = rather_high};
}

static void set_ends(struct tour *tour, const struct scene *scene)
{
    const struct ground *ground = tour->ground;
    struct constraints *constraints = &tour->walk.constraints;
    for (uint32_t a = 0; a < ground->docket->axis_count; a++) {
        if (ground->spots->axes[a].by_place) {
            continue;
        }
        uint32_t lo = ground->docket->variable_count + 2 * a;
        const struct spot *spot = route_spot(&tour->route, scene, a);
        constraints->unknowns[lo] = unknown_of_end(&spot->lo, false);
        constraints->unknowns[lo + 1] = unknown_of_end(&spot->hi, true);
        if (spot->ordered) {
            struct unknown_term terms[2] = {{lo, NUMBER_INT(1)}, {lo + 1, NUMBER_INT(-1)}};
            struct inequality order = {.terms = terms, .term_count = 2, .constant = NUMBER_ZERO};
            constraints_assume(constraints, &order, true);
        }
    }
}

static void add_stages(struct tour *tour, const struct scene *scene, uint64_t limits, uint8_t mask,
                       int pass)
{
    for (uint64_t set = scene->met & limits; set; set &= set - 1) {
        tour->masks[tour->stage_count] = mask;
        tour->stages[tour->stage_count++] = (struct stage){
            .ladder = &tour->ground->ladders[__builtin_ctzll(set)], .scene = scene, .pass = pass};
    }
}

/* The ladders that what is apart bears on: they alone stand twice. */
static uint64_t bearing_ladders(const struct tour *tour)
{
    const struct docket *docket = tour->ground->docket;
    uint64_t set = 0;
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        const struct ladder *ladder = &tour->ground->ladders[l];
        for (uint32_t v = 0; v < docket->variable_count; v++) {
            bool apart = tour->apart->variables[v] ||
                         (v < docket->kind->record_count && tour->apart->records[v]);
            set |= ladder->uses[v] && apart ? bit(l) : 0;
        }
    }
    return set;
}

static void tour_scene(struct tour *tour, const struct scene *scene)
{
    struct constraints *constraints = &tour->walk.constraints;
    struct position at = {.sure = true};
    tour->stage_count = 0;
    uint64_t both = tour->sides[0] & tour->sides[1];
    if (tour->aim == TOUR_BETTER) {
        uint64_t twice = both & bearing_ladders(tour);
        add_stages(tour, scene, twice, 1, 1);
        add_stages(tour, scene, twice, 2, 2);
        both &= ~twice;
    } else {
        add_stages(tour, scene, tour->sides[0] & ~both, 1, 0);
        add_stages(tour, scene, tour->sides[1] & ~both, 2, 0);
    }
    add_stages(tour, scene, both, 3, 0);
    if (tour->stage_count == 0 || hopeless(tour, &at)) {
        return;
    }
    tour->route.stage_count = tour->stage_count;
    route_know(&tour->route);
    struct constraints_mark mark = constraints_mark(constraints);
    set_ends(tour, scene);
    bool open = true;
    for (uint32_t t = 0; t < tour->tie_count && open; t++) {
        open = constraints_assume(constraints, &tour->ties[t], true);
    }
    uint64_t visits = tour->visits;
    if (open) {
        route_begin(&tour->route);
        route_ask_rest(&tour->route, 0);
        go_on(tour, scene, at);
    }
    give_back(tour, mark, visits);
}

void tour_begin(struct tour *tour, const struct pair *pair, const struct ground *ground,
                uint32_t *work)
{
    memset(tour, 0, sizeof *tour);
    tour->pair = pair;
    tour->ground = ground;
    tour->sides[0] = pair->limits[0];
    tour->sides[1] = pair->limits[1];
    tour->ties = pair->ties;
    tour->tie_count = pair->tie_count;
    walk_begin(&tour->walk, ground, WALK_ALL, work);
    /* The second block is as free as the first; what is not apart is never asked there. */
    for (uint32_t v = 0; v < ground->docket->variable_count; v++) {
        tour->walk.constraints.unknowns[v + ground->unknown_count] = ground->variables[v];
    }
    uint32_t records = ground->docket->kind->record_count;
    for (uint32_t r = 0; r < records; r++) {
        tour->walk.observations[records + r] = ground->observations[r];
    }
    tour->route.walk = &tour->walk;
    tour->route.constraints = &tour->walk.constraints;
    tour->route.stages = tour->stages;
}

/* Seeing a scene takes time with the ways that its slices meet on all axes. */
static uint32_t scene_cost(const struct ground *ground, const struct scene *scene)
{
    uint64_t ways = 1;
    for (uint32_t a = 0; a < ground->docket->axis_count; a++) {
        ways *= ground->spots->axes[a].spots[scene->spots[a]].slice_count;
    }
    return 1 + (uint32_t)(ways / 32 < 100000 ? ways / 32 : 100000);
}

void tour_go(struct tour *tour)
{
    struct scene scene;
    tour->route.apart = tour->apart;
    scene_first(tour->ground, &scene);
    do {
        if (!constraints_spend(&tour->walk.constraints, scene_cost(tour->ground, &scene))) {
            tour->unsure = true;
            return;
        }
        tour_scene(tour, &scene);
    } while (!tour->stopped && scene_next(tour->ground, &scene, false));
}

/* ---- every finding ----------------------------------------------------------------------------- */

static struct reading any_reading(const struct pair *pair, const struct recorded *recorded,
                                  uint32_t index)
{
    struct reading reading = {.given = GIVEN_NOT};
    if (recorded->measure) {
        reading.low = reading.middle = pair->from[index];
        reading.high = pair->to[index];
        reading.unit = recorded->measure->unit;
    } else {
        reading.low = reading.high = reading.middle = NUMBER_ZERO;
        reading.values = pair->values[index];
    }
    return reading;
}

static struct extent any_extent(const struct plan_axis *cut, const struct axis *axis, bool point)
{
    struct number from = cut->breakpoints[0];
    struct number to = cut->breakpoints[cut->breakpoint_count - 1];
    return (struct extent){.given = GIVEN_NOT,
                           .point = point,
                           .lo_low = from,
                           .lo_high = to,
                           .hi_low = from,
                           .hi_high = to,
                           .read_lo_low = from,
                           .read_lo_high = to,
                           .read_hi_low = from,
                           .read_hi_high = to,
                           .unit = axis->unit};
}

struct finding *tour_finding(struct arena *arena, const struct pair *pair, bool point)
{
    const struct docket *docket = pair->docket;
    const struct kind *kind = docket->kind;
    const struct part *part = docket->part;
    struct finding *finding = ARENA_NEW(arena, struct finding);
    finding->id = "";
    finding->kind = kind;
    finding->part = part;
    finding->instance = part->count == PART_ONE ? 0 : 1;
    finding->readings = ARENA_ARRAY(arena, struct reading, kind->record_count);
    for (uint32_t r = 0; r < kind->record_count; r++) {
        finding->readings[r] = any_reading(pair, &kind->records[r], r);
    }
    finding->earlier = finding->first = finding->readings;
    finding->extents = ARENA_ARRAY(arena, struct extent, part->axis_count);
    for (uint32_t a = 0; a < part->axis_count; a++) {
        finding->extents[a] = any_extent(&docket->axes[a], &part->axes[a], point);
    }
    finding->sides = part->side_count == 0 ? 0 : UINT64_MAX >> (64 - part->side_count);
    finding->places = pair->places;
    finding->text = finding->remark = "";
    return finding;
}
