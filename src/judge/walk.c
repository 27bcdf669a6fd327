/* The walk of a set of worlds through ladders. */
#include <string.h>

#include "judge/route.h"

struct position {
    uint32_t stage, form;
    int32_t node;
    bool entered; /* node belongs to this stage */
    uint32_t pass;
    uint32_t worst; /* of this pass so far, with what is common */
    uint32_t common, first;
};

static uint64_t bit(uint32_t index)
{
    return UINT64_C(1) << (index < 64 ? index : 63);
}

static uint32_t worse(uint32_t a, uint32_t b)
{
    return a > b ? a : b;
}

/* ---- what can still come -------------------------------------------------------------------- */

static bool in_pass(const struct stage *stage, uint32_t pass)
{
    return stage->pass == 0 || stage->pass == (int)pass;
}

/* All outcomes that a pass can still have, from a position: never less than the truth. */
static uint64_t potential(const struct route *route, const struct position *at, uint32_t pass)
{
    uint32_t least = at->pass == pass ? at->worst : at->pass == 0 ? at->worst : at->common;
    uint64_t set = 0;
    if (at->pass < pass) {
        least = worse(least, route->start[pass]);
    }
    set |= bit(least);
    for (uint32_t s = at->stage; s < route->stage_count; s++) {
        const struct stage *stage = &route->stages[s];
        if (!in_pass(stage, pass)) {
            continue;
        }
        uint64_t outcomes = stage->ladder->outcome_set;
        if (s == at->stage && at->entered) {
            outcomes = at->node >= 0 ? stage->ladder->tests[at->node].outcomes
                                     : bit(stage->ladder->outcomes[~at->node]);
        }
        set |= outcomes;
        least = worse(least, (uint32_t)__builtin_ctzll(outcomes));
    }
    least = worse(least, route->walk->floor);
    return (set & (UINT64_MAX << least)) | bit(least);
}

/* Adds all rungs that can still decide to `to`, or says whether all of them are there. */
static bool rungs_known(const struct route *route, const struct position *at, uint64_t *to,
                        bool add)
{
    for (uint32_t s = at->stage; s < route->stage_count; s++) {
        const struct ladder *ladder = route->stages[s].ladder;
        uint64_t rungs = ladder->rung_set;
        if (s == at->stage && at->entered) {
            rungs = at->node >= 0 ? ladder->tests[at->node].rungs : bit((uint32_t)~at->node);
        }
        if (add) {
            to[ladder->index] |= rungs;
        } else if (rungs & ~to[ladder->index]) {
            return false;
        }
    }
    return true;
}

static bool collects(const struct walk *walk)
{
    return walk->aim == WALK_ALL || walk->aim == WALK_ENDS;
}

/* Are all of these no better than the best of those that are known, and no worse than their worst? */
static bool between_ends(uint64_t known, uint64_t outcomes)
{
    return known && __builtin_ctzll(outcomes) >= __builtin_ctzll(known) &&
           __builtin_clzll(outcomes) >= __builtin_clzll(known);
}

/* Nothing that this walk is after can come from here. */
static bool hopeless(const struct route *route, const struct position *at)
{
    struct walk *walk = route->walk;
    switch (walk->aim) {
    case WALK_ALL:
        return !(potential(route, at, 0) & ~walk->possible) &&
               rungs_known(route, at, walk->rungs, false);
    case WALK_ENDS:
        return between_ends(walk->possible, potential(route, at, 0));
    case WALK_REACH:
        return !(potential(route, at, 0) & bit(walk->target));
    case WALK_DIFFER:
        break;
    }
    uint64_t both = potential(route, at, 2);
    both |= at->pass == 2 ? bit(at->first) : potential(route, at, 1);
    return !(both & (both - 1));
}

/* There is no budget left to go on from here: what may come counts as coming. */
static void give_up(const struct route *route, const struct position *at)
{
    struct walk *walk = route->walk;
    walk->unsure = true;
    if (collects(walk)) {
        walk->possible |= potential(route, at, 0);
        rungs_known(route, at, walk->rungs, true);
    } else if (walk->aim == WALK_DIFFER) {
        walk->found = true;
    }
}

/* ---- going on ------------------------------------------------------------------------------------ */

/* All ladders are done. */
static void arrive(const struct route *route, const struct position *at)
{
    struct walk *walk = route->walk;
    uint32_t outcome = worse(at->worst, walk->floor);
    switch (walk->aim) {
    case WALK_ALL:
    case WALK_ENDS:
        walk->possible |= bit(outcome);
        break;
    case WALK_DIFFER:
        walk->found |= outcome != at->first;
        break;
    case WALK_REACH:
        if (outcome == walk->target &&
            constraints_solve(route->constraints, walk->sample) == SOLVABLE_YES) {
            memcpy(walk->observed, walk->observations,
                   walk->ground->docket->kind->record_count * sizeof *walk->observed);
            walk->found = walk->sampled = true;
        }
        break;
    }
}

/* Takes a position over the end of a pass where the next stage belongs to a later one. */
static void next_pass(const struct route *route, struct position *at)
{
    uint32_t due =
        at->stage < route->stage_count ? (uint32_t)route->stages[at->stage].pass : route->last_pass;
    while (at->pass < due) {
        at->pass++;
        if (at->pass == 1) {
            at->common = at->worst;
        } else {
            at->first = worse(at->worst, route->walk->floor);
        }
        at->worst = worse(at->common, route->start[at->pass]);
    }
}

static void go_on(struct route *route, struct position at);

/* Both ways from a test that the readings allow to pass and to fail. */
static void split(struct route *route, const struct inequality *asked, struct position yes,
                  struct position no)
{
    struct walk *walk = route->walk;
    struct constraints *constraints = route->constraints;
    route_ask_rest(route, yes.stage);
    for (int holds = 1; holds >= 0 && !walk->found; holds--) {
        struct constraints_mark mark = constraints_mark(constraints);
        bool open = constraints_assume(constraints, asked, holds);
        if (open && constraints->kept_count > 0) {
            enum solvable solvable = constraints_solve(constraints, NULL);
            open = solvable != SOLVABLE_NO;
            walk->unsure |= solvable == SOLVABLE_UNKNOWN && collects(walk);
        }
        if (open) {
            go_on(route, holds ? yes : no);
        }
        if (!walk->found) { /* a sample that was found may live in this memory */
            constraints_return(constraints, mark);
        }
    }
}

/* One test at an observation: gone through at once, or both ways. */
static void look(struct route *route, struct position *at, const struct test *test,
                 const struct stage *stage)
{
    struct walk *walk = route->walk;
    const struct ground *ground = walk->ground;
    bool apart = route_apart(route, stage) && route->apart->records[test->record];
    uint64_t *values =
        &walk->observations[test->record + (apart ? ground->docket->kind->record_count : 0)];
    uint64_t before = *values;
    if (before & test->values && before & ~test->values) {
        struct position yes = *at;
        yes.node = test->yes;
        *values = before & test->values;
        go_on(route, yes);
        if (!walk->found) {
            *values = before & ~test->values;
            struct position no = *at;
            no.node = test->no;
            go_on(route, no);
        }
        *values = before;
        at->stage = UINT32_MAX; /* all done */
        return;
    }
    at->node = before & test->values ? test->yes : test->no;
}

/* One test of atoms: the next of its forms is decided, or gone through both ways. */
static void compare(struct route *route, struct position *at, const struct test *test,
                    struct stage *stage)
{
    route_ask(route, stage, (uint32_t)at->node);
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
    switch (constraints_truth(route->constraints, asked)) {
    case TRUTH_YES:
        *at = yes;
        return;
    case TRUTH_NO:
        *at = no;
        return;
    case TRUTH_EITHER:
        split(route, asked, yes, no);
        at->stage = UINT32_MAX;
        return;
    }
}

/* Enters the stage, or leaves it where its ladder has decided. */
static bool at_stage_end(struct route *route, struct position *at)
{
    const struct stage *stage = &route->stages[at->stage];
    if (!at->entered) {
        at->entered = true;
        at->node = stage->ladder->start;
        at->form = 0;
    }
    if (at->node >= 0) {
        return false;
    }
    uint32_t rung = (uint32_t)~at->node;
    if (route->walk->aim == WALK_ALL) {
        route->walk->rungs[stage->ladder->index] |= bit(rung);
    }
    at->worst = worse(at->worst, stage->ladder->outcomes[rung]);
    at->stage++;
    at->entered = false;
    return true;
}

static void go_on(struct route *route, struct position at)
{
    struct walk *walk = route->walk;
    bool checked = false; /* whether it is worth going on from where the path last forked */
    walk->depth++;
    while (at.stage != UINT32_MAX) {
        next_pass(route, &at);
        if (at.stage == route->stage_count) {
            arrive(route, &at);
            break;
        }
        if (!checked && hopeless(route, &at)) {
            break;
        }
        checked = true;
        if (walk->depth > WALK_DEPTH || !constraints_spend(route->constraints, 1)) {
            give_up(route, &at);
            break;
        }
        if (at_stage_end(route, &at)) {
            checked = false;
            continue;
        }
        struct stage *stage = &route->stages[at.stage];
        const struct test *test = &stage->ladder->tests[at.node];
        if (test->atom) {
            compare(route, &at, test, stage);
        } else {
            look(route, &at, test, stage);
        }
    }
    walk->depth--;
}

/* ---- setting out ------------------------------------------------------------------------------- */

void walk_begin(struct walk *walk, const struct ground *ground, enum walk_aim aim, uint32_t *work)
{
    uint32_t records = ground->docket->kind->record_count;
    *walk = (struct walk){
        .ground = ground,
        .observations = ARENA_ARRAY(ground->arena, uint64_t, 2 * (size_t)records),
        .bases = ARENA_ARRAY(ground->arena, struct inequality *, ground->docket->limit_count),
        .aim = aim,
        .work = work,
        .rungs = ARENA_ARRAY(ground->arena, uint64_t, ground->docket->limit_count),
        .sample = ARENA_ARRAY(ground->arena, struct number, 2 * (size_t)ground->unknown_count),
        .observed = ARENA_ARRAY(ground->arena, uint64_t, records),
    };
    constraints_begin(&walk->constraints, ground->arena, 2 * ground->unknown_count, work);
    for (uint32_t v = 0; v < ground->docket->variable_count; v++) {
        struct unknown fixed = ground->variables[v];
        fixed.low = fixed.high = unknown_pick(ground->arena, &ground->variables[v]);
        walk->constraints.unknowns[v] = ground->variables[v];
        walk->constraints.unknowns[v + ground->unknown_count] = fixed;
    }
    for (uint32_t r = 0; r < records; r++) {
        walk->observations[r] = ground->observations[r];
        walk->observations[records + r] = ground->observations[r] & -ground->observations[r];
    }
}

void walk_hold_at(struct walk *walk, const struct walk *sampled)
{
    const struct ground *ground = walk->ground;
    uint32_t records = ground->docket->kind->record_count;
    for (uint32_t u = 0; u < ground->unknown_count; u++) {
        walk->constraints.unknowns[u + ground->unknown_count] = (struct unknown){
            .low = sampled->sample[u], .high = sampled->sample[u], .step = NUMBER_ZERO};
    }
    for (uint32_t r = 0; r < records; r++) {
        walk->observations[records + r] = sampled->observed[r] & -sampled->observed[r];
    }
    walk->held = true;
}

static struct unknown unknown_of_end(const struct spot_end *end, bool rather_high)
{
    return (struct unknown){.low = end->low,
                            .high = end->high,
                            .low_open = end->low_open,
                            .high_open = end->high_open,
                            .step = NUMBER_ZERO,
                            .rather_high = rather_high};
}

/* lo and hi of each axis: free in the first block, fixed in the second. */
static void set_ends(struct route *route, const struct scene *first, const struct scene *second)
{
    const struct ground *ground = route->walk->ground;
    struct arena *arena = route->constraints->arena;
    struct unknown *unknowns = route->constraints->unknowns;
    for (uint32_t a = 0; a < ground->docket->axis_count; a++) {
        if (ground->spots->axes[a].by_place) {
            continue;
        }
        uint32_t lo = ground->docket->variable_count + 2 * a;
        const struct spot *free_spot = route_spot(route, second, a);
        unknowns[lo] = unknown_of_end(&free_spot->lo, false);
        unknowns[lo + 1] = unknown_of_end(&free_spot->hi, true);
        const struct spot *fixed_spot = route_spot(route, first, a);
        for (uint32_t i = 0; i < 2 && !route->walk->held; i++) {
            struct unknown end = unknown_of_end(i ? &fixed_spot->hi : &fixed_spot->lo, i);
            struct unknown *fixed = &unknowns[lo + i + ground->unknown_count];
            *fixed = end;
            fixed->low = fixed->high = unknown_pick(arena, &end);
            fixed->low_open = fixed->high_open = false;
        }
        if (free_spot->ordered) {
            struct unknown_term terms[2] = {{lo, NUMBER_INT(1)}, {lo + 1, NUMBER_INT(-1)}};
            struct inequality order = {.terms = terms, .term_count = 2, .constant = NUMBER_ZERO};
            constraints_assume(route->constraints, &order, true);
        }
    }
}

static void add_stages(struct route *route, const struct scene *scene, uint64_t met, int pass)
{
    const struct ground *ground = route->walk->ground;
    for (uint64_t set = met; set; set &= set - 1) {
        struct stage *stage = &route->stages[route->stage_count++];
        *stage = (struct stage){
            .ladder = &ground->ladders[__builtin_ctzll(set)], .scene = scene, .pass = pass};
    }
}

static void set_out(struct route *route, const struct scene *first, const struct scene *second,
                    struct position *at)
{
    struct walk *walk = route->walk;
    if (hopeless(route, at)) {
        return;
    }
    route_know(route);
    struct constraints_mark mark = constraints_mark(route->constraints);
    set_ends(route, first, second);
    route_begin(route);
    go_on(route, *at);
    if (!walk->found) {
        constraints_return(route->constraints, mark);
    }
}

void walk_scene(struct walk *walk, const struct scene *scene)
{
    struct stage stages[64];
    struct route route = {.walk = walk, .constraints = &walk->constraints, .stages = stages};
    struct position at = {.worst = scene->uncovered ? walk->ground->no_published_limit : 0};
    walk->limits_met |= scene->met;
    walk->uncovered |= scene->uncovered;
    add_stages(&route, scene, scene->met, 0);
    set_out(&route, scene, scene, &at);
    if (walk->found) {
        walk->scene = *scene;
    }
}

/*
 * Are the same slices in force for a ladder in both scenes, along the axes where it has place
 * functions? `slices` holds those chosen on the axes before.
 */
static bool in_force(const struct ground *ground, const struct ladder *ladder,
                     const struct scene *scene, uint32_t axis, uint32_t *slices)
{
    if (axis == ground->docket->axis_count) {
        return scene_limits(ground, scene->side, slices) & bit(ladder->index);
    }
    if (ladder->along[axis]) {
        return in_force(ground, ladder, scene, axis + 1, slices); /* chosen by alike_along */
    }
    const struct spot *spot = &ground->spots->axes[axis].spots[scene->spots[axis]];
    for (uint32_t i = 0; i < spot->slice_count; i++) {
        slices[axis] = spot->slices[i];
        if (in_force(ground, ladder, scene, axis + 1, slices)) {
            return true;
        }
    }
    return false;
}

static bool alike_along(const struct ground *ground, const struct ladder *ladder,
                        const struct scene *first, const struct scene *second, uint32_t axis,
                        uint32_t *slices)
{
    while (axis < ground->docket->axis_count && !ladder->along[axis]) {
        axis++;
    }
    if (axis == ground->docket->axis_count) {
        return in_force(ground, ladder, first, 0, slices) ==
               in_force(ground, ladder, second, 0, slices);
    }
    const struct spot *spot = &ground->spots->axes[axis].spots[first->spots[axis]];
    for (uint32_t i = 0; i < spot->slice_count; i++) {
        slices[axis] = spot->slices[i];
        if (!alike_along(ground, ladder, first, second, axis + 1, slices)) {
            return false;
        }
    }
    return true;
}

/* Does a ladder that both scenes meet ask the same of the same unknowns in both? */
static bool asks_alike(const struct ground *ground, const struct ladder *ladder,
                       const struct scene *first, const struct scene *second,
                       const struct apart *apart)
{
    const struct docket *docket = ground->docket;
    uint32_t slices[BOOK_AXES];
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        if (ladder->uses[v] &&
            (apart->variables[v] || (v < docket->kind->record_count && apart->records[v]))) {
            return false;
        }
    }
    bool along = false;
    for (uint32_t a = 0; a < docket->axis_count; a++) {
        along |= ladder->along[a];
        if (ladder->along[a] && (apart->axes[a] || first->spots[a] != second->spots[a])) {
            return false;
        }
    }
    return !along || alike_along(ground, ladder, first, second, 0, slices);
}

static uint64_t common_ladders(const struct ground *ground, const struct scene *first,
                               const struct scene *second, const struct apart *apart)
{
    uint64_t common = 0;
    for (uint64_t set = first->met & second->met; set; set &= set - 1) {
        uint32_t l = (uint32_t)__builtin_ctzll(set);
        if (asks_alike(ground, &ground->ladders[l], first, second, apart)) {
            common |= bit(l);
        }
    }
    return common;
}

void walk_pair(struct walk *walk, const struct scene *first, const struct scene *second,
               const struct apart *apart)
{
    const struct ground *ground = walk->ground;
    struct stage stages[128];
    struct route route = {.walk = walk,
                          .constraints = &walk->constraints,
                          .stages = stages,
                          .apart = apart,
                          .last_pass = 2};
    struct position at = {0};
    uint64_t common = common_ladders(ground, first, second, apart);
    if (common == first->met && common == second->met && first->uncovered == second->uncovered) {
        return; /* the ladders cannot tell the two apart */
    }
    route.start[1] = first->uncovered ? ground->no_published_limit : 0;
    route.start[2] = second->uncovered ? ground->no_published_limit : 0;
    add_stages(&route, first, common, 0);
    add_stages(&route, first, first->met & ~common, 1);
    add_stages(&route, second, second->met & ~common, 2);
    set_out(&route, first, second, &at);
}
