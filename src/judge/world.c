/*
 * One exact world, judged directly: every atom is worked out at the corners of every piece
 * of extent and zone. This road shares the plan and the pieces with judge.c, and none of
 * its reasoning about sets of worlds.
 */
#include "judge/judge.h"
#include "judge/region.h"

struct scene {
    struct arena *arena;
    const struct docket *docket;
    const struct world *world;
    struct region_cells cells;
    struct number *values; /* by variable: readings after rounding, and products of them */
};

static void scene_begin(struct scene *scene, struct arena *arena, const struct docket *docket,
                        const struct world *world)
{
    *scene = (struct scene){.arena = arena, .docket = docket, .world = world};
    scene->cells.side = docket->part->side_count > 0 ? world->side : 0;
    for (uint32_t axis = 0; axis < docket->axis_count; axis++) {
        if (docket->by_place) {
            scene->cells.lo[axis] = scene->cells.hi[axis] = 2 * world->place;
            continue;
        }
        scene->cells.lo[axis] = region_cell(arena, docket, axis, world->lo[axis]);
        scene->cells.hi[axis] = region_cell(arena, docket, axis, world->hi[axis]);
    }
    scene->values = ARENA_ARRAY(arena, struct number, docket->variable_count);
    for (uint32_t i = 0; i < docket->variable_count; i++) {
        const struct variable *variable = &docket->variables[i];
        scene->values[i] = NUMBER_ZERO;
        if (variable->measure)
            scene->values[i] = region_round(arena, variable, world->readings[i]);
    }
    /* The products stand behind all that is recorded, so their factors are known by now. */
    for (uint32_t i = docket->kind->record_count; i < docket->variable_count; i++) {
        const struct expression *const *factors = docket->variables[i].factors;
        scene->values[i] =
            number_multiply(arena, region_value(arena, docket->kind, factors[0], scene->values),
                            region_value(arena, docket->kind, factors[1], scene->values));
    }
}

/* ---- corners ------------------------------------------------------------------------ */

/* A place at which conditions are asked; `belongs` is false where it is only the edge of a piece. */
struct spot {
    struct number at[BOOK_AXES];
    bool belongs;
};

static struct number end_of(const struct scene *scene, uint32_t axis, enum region_end end,
                            uint32_t breakpoint)
{
    switch (end) {
    case REGION_LO:
        return scene->world->lo[axis];
    case REGION_HI:
        return scene->world->hi[axis];
    case REGION_BREAKPOINT:
        break;
    }
    return scene->docket->axes[axis].breakpoints[breakpoint];
}

/*
 * The spots of one stretch: its ends, and the middle where both are left out. An
 * affine function that is nowhere above zero is below zero all along the stretch exactly when it
 * is so at the spots that belong to it.
 */
static uint32_t spots_of_stretch(const struct scene *scene, uint32_t axis, uint32_t cell,
                                 struct number *at, bool *belongs)
{
    struct arena *arena = scene->arena;
    struct region_stretch stretch = region_stretch(&scene->cells, axis, cell);
    at[0] = end_of(scene, axis, stretch.from, stretch.from_breakpoint);
    belongs[0] = !stretch.from_open;
    if (cell % 2 == 0)
        return 1;
    at[1] = end_of(scene, axis, stretch.to, stretch.to_breakpoint);
    belongs[1] = !stretch.to_open;
    if (belongs[0] || belongs[1])
        return 2;
    at[2] = number_divide(arena, number_add(arena, at[0], at[1]), NUMBER_INT(2));
    belongs[2] = true;
    return 3;
}

typedef bool (*spot_visit)(void *user, const struct region_walk *walk, const struct spot *spot);

/* All spots of one piece; stops, with false, when a visit gives false. */
static bool visit_piece(const struct scene *scene, const struct region_walk *walk, uint32_t axis,
                        struct spot *spot, spot_visit visit, void *user)
{
    if (axis == scene->docket->axis_count)
        return visit(user, walk, spot);
    struct number at[3];
    bool belongs[3], belonged = spot->belongs;
    uint32_t count = spots_of_stretch(scene, axis, walk->cell[axis], at, belongs);
    bool go_on = true;
    for (uint32_t i = 0; go_on && i < count; i++) {
        spot->at[axis] = at[i];
        spot->belongs = belonged && belongs[i];
        go_on = visit_piece(scene, walk, axis + 1, spot, visit, user);
    }
    spot->belongs = belonged;
    return go_on;
}

/* All spots of all pieces of extent and zone. */
static bool visit_zone(const struct scene *scene, const struct plan_limit *limit, spot_visit visit,
                       void *user)
{
    struct region_walk walk;
    region_first(&walk, scene->docket, limit, &scene->cells);
    while (region_next(&walk)) {
        struct spot spot = {.belongs = true};
        if (!visit_piece(scene, &walk, 0, &spot, visit, user))
            return false;
    }
    return true;
}

/* ---- atoms ----------------------------------------------------------------------------- */

static struct number place_function_value(const struct scene *scene,
                                          const struct place_function *function, uint32_t cell,
                                          struct number at)
{
    struct arena *arena = scene->arena;
    uint32_t from = cell / 2, to = (cell + 1) / 2;
    if (from < function->first || to - function->first >= function->point_count)
        arena_escape(arena, STAVE_MISUSE); /* book_check refuses a curve that is too short */
    struct number low = function->values[from - function->first];
    if (from == to)
        return low;
    const struct number *b = scene->docket->axes[function->axis].breakpoints;
    struct number rise = number_subtract(arena, function->values[to - function->first], low);
    struct number part = number_divide(arena, number_subtract(arena, at, b[from]),
                                       number_subtract(arena, b[to], b[from]));
    return number_add(arena, low, number_multiply(arena, rise, part));
}

struct atom_question {
    const struct scene *scene;
    const struct atom *atom;
    struct number readings; /* terms and constant: the same at every place */
};

static bool atom_at(void *user, const struct region_walk *walk, const struct spot *spot)
{
    const struct atom_question *question = user;
    struct number sum = question->readings;
    for (uint32_t i = 0; i < question->atom->place_count; i++) {
        const struct place_function *function = &question->atom->places[i];
        struct number value = place_function_value(
            question->scene, function, walk->cell[function->axis], spot->at[function->axis]);
        sum = number_add(question->scene->arena, sum, value);
    }
    return question->atom->strict && spot->belongs ? number_sign(sum) < 0 : number_sign(sum) <= 0;
}

static bool atom_holds(const struct scene *scene, const struct plan_limit *limit,
                       const struct atom *atom)
{
    struct atom_question question = {.scene = scene, .atom = atom, .readings = atom->constant};
    for (uint32_t i = 0; i < atom->term_count; i++) {
        struct number value = scene->values[atom->terms[i].variable];
        value = number_multiply(scene->arena, value, atom->terms[i].coefficient);
        question.readings = number_add(scene->arena, question.readings, value);
    }
    if (atom->place_count == 0)
        return atom->strict ? number_sign(question.readings) < 0
                            : number_sign(question.readings) <= 0;
    return visit_zone(scene, limit, atom_at, &question);
}

static bool tree_holds(const struct scene *scene, const struct plan_limit *limit,
                       const struct atom_tree *tree)
{
    if (tree->sort == ATOM_LEAF)
        return atom_holds(scene, limit, &tree->atom);
    for (uint32_t i = 0; i < tree->branch_count; i++)
        if (tree_holds(scene, limit, tree->branches[i]) == (tree->sort == ATOM_OR))
            return tree->sort == ATOM_OR;
    return tree->sort == ATOM_AND;
}

static bool step_holds(const struct scene *scene, const struct plan_limit *limit,
                       const struct step *step)
{
    switch (step->sort) {
    case STEP_ATOMS:
        return tree_holds(scene, limit, step->atoms);
    case STEP_VALUES:
        /* A value outside the set, or no value at all, does not hold. */
        return scene->world->values[step->record] != 0 &&
               (scene->world->values[step->record] & ~step->values) == 0;
    case STEP_ALWAYS:
        break;
    }
    return true;
}

/* ---- ladders ------------------------------------------------------------------------------ */

static struct ladder_result climb(const struct scene *scene, const struct plan_limit *limit)
{
    struct ladder_result result = {.limit = limit, .rung = limit->rung_count};
    result.outcome = scene->docket->book->no_published_limit;
    for (uint32_t i = 0; i < limit->rung_count; i++) {
        const struct plan_rung *rung = &limit->rungs[i];
        bool holds = true;
        for (uint32_t j = 0; holds && j < rung->step_count; j++)
            holds = step_holds(scene, limit, &rung->steps[j]);
        if (!holds)
            continue;
        result.rung = i;
        result.outcome = rung->outcome;
        break;
    }
    return result;
}

uint32_t judge_world(struct arena *arena, const struct docket *docket, const struct world *world,
                     struct ladder_result **ladders, uint32_t *ladder_count, bool *uncovered)
{
    struct scene scene;
    scene_begin(&scene, arena, docket, world);
    *ladders = ARENA_ARRAY(arena, struct ladder_result, docket->limit_count);
    *ladder_count = 0;
    *uncovered = !region_covered(docket, &scene.cells);
    uint32_t worst = *uncovered ? docket->book->no_published_limit : 0;
    for (uint32_t i = 0; i < docket->limit_count; i++) {
        const struct plan_limit *limit = &docket->limits[i];
        if (!region_touches(docket, limit, &scene.cells))
            continue;
        struct ladder_result result = climb(&scene, limit);
        if (result.outcome > worst)
            worst = result.outcome;
        (*ladders)[(*ladder_count)++] = result;
    }
    return worst;
}

/* ---- reasons ------------------------------------------------------------------------------- */

/* The first axis along which the condition depends on the place, or BOOK_AXES. */
static uint32_t axis_of_tree(const struct atom_tree *tree)
{
    uint32_t first = BOOK_AXES;
    for (uint32_t i = 0; tree->sort == ATOM_LEAF && i < tree->atom.place_count; i++)
        if (tree->atom.places[i].axis < first)
            first = tree->atom.places[i].axis;
    for (uint32_t i = 0; i < tree->branch_count; i++) {
        uint32_t axis = axis_of_tree(tree->branches[i]);
        if (axis < first)
            first = axis;
    }
    return first;
}

/* The unit of the first measure, else curve or figure, whose values are of the dimension. */
static const struct unit *unit_within(const struct expression *expression,
                                      struct dimension dimension, bool measures)
{
    switch (expression->sort) {
    case EXPRESSION_MEASURE:
        return measures && dimension_equal(expression->measure->dimension, dimension)
                   ? expression->measure->unit
                   : NULL;
    case EXPRESSION_CURVE:
        return !measures && dimension_equal(expression->curve->dimension, dimension)
                   ? expression->curve->unit
                   : NULL;
    case EXPRESSION_FIGURE:
        return !measures && expression->unit &&
                       dimension_equal(expression->unit->dimension, dimension)
                   ? expression->unit
                   : NULL;
    case EXPRESSION_RECKONED:
        return unit_within(expression->reckon->value, dimension, measures);
    default:
        break;
    }
    const struct unit *unit = unit_within(expression->left, dimension, measures);
    return unit ? unit : unit_within(expression->right, dimension, measures);
}

static const struct unit *unit_of(const struct condition *condition)
{
    struct dimension dimension = condition->left->dimension;
    const struct unit *unit = unit_within(condition->left, dimension, true);
    if (!unit)
        unit = unit_within(condition->right, dimension, false);
    if (!unit)
        unit = unit_within(condition->left, dimension, false);
    for (size_t i = 0; !unit && unit_at(i); i++)
        if (dimension_equal(unit_at(i)->dimension, dimension))
            unit = unit_at(i);
    return unit ? unit : unit_none();
}

struct least_favourable {
    const struct scene *scene;
    const struct condition *condition;
    bool found, belongs;
    struct number excess; /* by how much the side that should be small passes the other */
    struct number left, right;
    struct spot spot;
};

static bool compare_at(void *user, const struct region_walk *walk, const struct spot *spot)
{
    (void)walk;
    struct least_favourable *least = user;
    const struct scene *scene = least->scene;
    const struct condition *condition = least->condition;
    struct number left =
        region_value_at(scene->arena, scene->docket, condition->left, scene->values, spot->at);
    struct number right =
        region_value_at(scene->arena, scene->docket, condition->right, scene->values, spot->at);
    bool upper = condition->relation == TREE_UP_TO || condition->relation == TREE_BELOW;
    struct number excess = upper ? number_subtract(scene->arena, left, right)
                                 : number_subtract(scene->arena, right, left);
    int order = least->found ? number_compare(scene->arena, excess, least->excess) : 1;
    if (order > 0 || (order == 0 && spot->belongs && !least->belongs)) {
        least->found = true;
        least->belongs = spot->belongs;
        least->excess = excess;
        least->left = left;
        least->right = right;
        least->spot = *spot;
    }
    return true;
}

struct condition_result judge_condition(struct arena *arena, const struct docket *docket,
                                        const struct plan_limit *limit, const struct step *step,
                                        const struct world *world)
{
    struct scene scene;
    scene_begin(&scene, arena, docket, world);
    struct condition_result result = {
        .condition = step->source, .left = NUMBER_ZERO, .right = NUMBER_ZERO, .at = NUMBER_ZERO};
    result.holds = step_holds(&scene, limit, step);
    if (step->sort != STEP_ATOMS)
        return result;
    struct least_favourable least = {.scene = &scene, .condition = step->source};
    visit_zone(&scene, limit, compare_at, &least);
    if (!least.found)
        return result; /* the extent does not meet the zone */
    result.numeric = true;
    result.left = least.left;
    result.right = least.right;
    result.unit = unit_of(step->source);
    uint32_t axis = axis_of_tree(step->atoms);
    result.has_place = axis != BOOK_AXES;
    if (result.has_place) {
        result.axis = axis;
        result.at = least.spot.at[axis];
    }
    return result;
}
