/*
 * Which coordinates bear on the outcome, and which of them settle it.
 *
 * A coordinate bears when two worlds that differ only there differ in outcome. Then
 * one of the two differs from the world with that coordinate at a fixed value, so it is
 * enough to hold every world against that one. It settles when no two worlds that agree there
 * differ; again it is enough to hold every world against the one with all *other*
 * coordinates at fixed values. Both are exact; where the budget ends, a coordinate bears and does not settle.
 */
#include "judge/judging.h"

/* The outcomes that count apart once those up to the floor are one. */
static bool undecided(const struct judging *judging)
{
    uint64_t possible = judging->judgement->possible;
    uint64_t above = possible >> judging->floor >> 1;
    bool below = (possible & ~(above << judging->floor << 1)) != 0;
    return above && (below || (above & (above - 1)));
}

static bool measures(const struct ground *ground, const struct expression *expression,
                     const struct measure *measure)
{
    return expression &&
           (expression->measure == measure ||
            (expression->reckon && measures(ground, expression->reckon->value, measure)) ||
            measures(ground, expression->left, measure) ||
            measures(ground, expression->right, measure));
}

static bool open_axis(const struct spot_axis *axis)
{
    return axis->spot_count > 1 || axis->spots[0].uses_lo || axis->spots[0].uses_hi;
}

/* Sets what stands apart: one coordinate, or (settle) all but that one. What has one value only
 * never does, so that ladders which ask only of that are walked once. */
static void set_apart(const struct ground *ground, const struct need *need, bool settle,
                      struct apart *apart)
{
    const struct docket *docket = ground->docket;
    const struct kind *kind = docket->kind;
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        bool same =
            (need->sort == NEED_READING || need->sort == NEED_VARIABLE) && need->index == v;
        if (v < kind->record_count) {
            uint64_t values = ground->observations[v];
            apart->records[v] = same != settle && (values & (values - 1)) != 0;
        } else if (need->sort == NEED_READING && kind->records[need->index].measure && !settle) {
            /* With a reading its products move. */
            const struct measure *measure = kind->records[need->index].measure;
            same = measures(ground, docket->variables[v].factors[0], measure) ||
                   measures(ground, docket->variables[v].factors[1], measure);
        }
        apart->variables[v] = same != settle && !unknown_fixed(&ground->variables[v]);
    }
    for (uint32_t a = 0; a < docket->axis_count; a++) {
        bool same = (need->sort == NEED_AXIS && need->index == a) || need->sort == NEED_PLACE;
        apart->axes[a] = same != settle && open_axis(&ground->spots->axes[a]);
    }
}

/* What one question needs: is there a pair of worlds that differ? */
struct question {
    const struct ground *ground;
    const struct need *need;
    bool settle;
    struct apart apart;
    struct scene fixed; /* the scene of what is apart */
    struct walk walk;
};

/* Holds all worlds of a scene against those with what is apart fixed; true ends the search. */
static bool differ_in(struct question *question, const struct scene *scene)
{
    const struct ground *ground = question->ground;
    struct scene first = *scene;
    for (uint32_t a = 0; a < ground->docket->axis_count; a++) {
        first.spots[a] = question->apart.axes[a] ? question->fixed.spots[a] : scene->spots[a];
    }
    bool side_apart = (question->need->sort == NEED_SIDE) != question->settle;
    first.side = side_apart ? question->fixed.side : scene->side;
    scene_see(ground, &first);
    walk_pair(&question->walk, &first, scene, &question->apart);
    return question->walk.found || !constraints_spend(&question->walk.constraints, 1);
}

/* First the scenes that differ from the one shown in the coordinate alone: mostly enough. */
static bool differ_nearby(struct question *question)
{
    const struct ground *ground = question->ground;
    const struct need *need = question->need;
    struct scene scene = question->fixed;
    if (need->sort == NEED_READING || need->sort == NEED_VARIABLE) {
        return differ_in(question, &scene);
    }
    if (need->sort == NEED_SIDE) {
        for (uint64_t left = ground->sides; left; left &= left - 1) {
            scene.side = (uint32_t)__builtin_ctzll(left);
            scene_see(ground, &scene);
            if (differ_in(question, &scene)) {
                return true;
            }
        }
        return false;
    }
    uint32_t axis = need->sort == NEED_AXIS ? need->index : 0;
    for (uint32_t s = 0; s < ground->spots->axes[axis].spot_count; s++) {
        scene.spots[axis] = s;
        scene_see(ground, &scene);
        if (differ_in(question, &scene)) {
            return true;
        }
    }
    return false;
}

/* Are there two worlds of different outcome that agree in all (settle: in nothing) but the need? */
static bool differ(struct judging *judging, const struct need *need, bool settle, uint32_t *work)
{
    const struct ground *ground = judging->ground;
    struct question question = {.ground = ground, .need = need, .settle = settle};
    question.apart.variables = ARENA_ARRAY(judging->arena, bool, ground->docket->variable_count);
    question.apart.records = ARENA_ARRAY(judging->arena, bool, ground->docket->kind->record_count);
    set_apart(ground, need, settle, &question.apart);
    walk_begin(&question.walk, ground, WALK_DIFFER, work);
    question.walk.floor = judging->floor;
    scene_first(ground, &question.fixed);
    if (judging->shown.sampled) {
        question.fixed = judging->shown.scene;
        walk_hold_at(&question.walk, &judging->shown);
    }
    if (differ_nearby(&question)) {
        return true;
    }
    struct scene scene;
    scene_first(ground, &scene);
    do {
        if (differ_in(&question, &scene)) {
            return true;
        }
    } while (scene_next(ground, &scene, false));
    return false;
}

/* Every coordinate with more than one value, in the order to be listed. */
static uint32_t open_coordinates(const struct ground *ground, struct need *needs)
{
    const struct docket *docket = ground->docket;
    uint32_t count = 0;
    for (uint32_t r = 0; r < docket->kind->record_count; r++) {
        uint64_t values = ground->observations[r];
        bool open = docket->kind->records[r].measure ? !unknown_fixed(&ground->variables[r])
                                                     : (values & (values - 1)) != 0;
        if (open) {
            needs[count++] = (struct need){.sort = NEED_READING, .index = r};
        }
    }
    for (uint32_t a = 0; a < docket->axis_count && !docket->by_place; a++) {
        if (open_axis(&ground->spots->axes[a])) {
            needs[count++] = (struct need){.sort = NEED_AXIS, .index = a};
        }
    }
    if (ground->sides & (ground->sides - 1)) {
        needs[count++] = (struct need){.sort = NEED_SIDE};
    }
    if (docket->by_place && ground->spots->axes[0].spot_count > 1) {
        needs[count++] = (struct need){.sort = NEED_PLACE};
    }
    for (uint32_t v = docket->kind->record_count; v < docket->variable_count; v++) {
        if (docket->variables[v].sort != VARIABLE_PRODUCT &&
            !unknown_fixed(&ground->variables[v])) {
            needs[count++] = (struct need){.sort = NEED_VARIABLE, .index = v};
        }
    }
    return count;
}

void judge_find_needs(struct judging *judging, uint32_t *work)
{
    struct judgement *judgement = judging->judgement;
    const struct docket *docket = judging->ground->docket;
    size_t room = (size_t)docket->variable_count + docket->axis_count + 2;
    struct need *open = ARENA_ARRAY(judging->arena, struct need, room);
    judgement->needs = ARENA_ARRAY(judging->arena, struct need, room);
    if (!undecided(judging)) {
        return;
    }
    uint32_t count = open_coordinates(judging->ground, open), bearing = 0;
    uint32_t share = *work / (2 * count + 1);
    for (uint32_t i = 0; i < count; i++) {
        uint32_t left = share;
        if (differ(judging, &open[i], false, &left)) {
            left = share;
            open[bearing] = open[i];
            open[bearing++].settles = !differ(judging, &open[i], true, &left);
        }
    }
    for (int settles = 1; settles >= 0; settles--) {
        for (uint32_t i = 0; i < bearing; i++) {
            if (open[i].settles == (settles != 0)) {
                judgement->needs[judgement->need_count++] = open[i];
            }
        }
    }
}
