/*
 * One exact world, judged directly: what region.h says that an atom asks there, with figures put
 * in. This road shares the plan with judge.c, and none of its reasoning about sets of worlds.
 *
 * The figures shown for a condition are worked out from the book's own expressions, at the
 * place that is least favourable to it.
 */
#include "judge/judge.h"
#include "judge/region.h"

struct direct {
    struct arena *arena;
    const struct docket *docket;
    const struct world *world;
    struct region_cells cells;
    struct number *values; /* by variable: readings after rounding, and products of them */
};

static void direct_begin(struct direct *direct, struct arena *arena, const struct docket *docket,
                         const struct world *world)
{
    *direct = (struct direct){.arena = arena, .docket = docket, .world = world};
    direct->cells.side = docket->part->side_count > 0 ? world->side : 0;
    for (uint32_t axis = 0; axis < docket->axis_count; axis++) {
        if (docket->by_place) {
            direct->cells.lo[axis] = direct->cells.hi[axis] = 2 * world->place;
            continue;
        }
        direct->cells.lo[axis] = region_cell(arena, docket, axis, world->lo[axis]);
        direct->cells.hi[axis] = region_cell(arena, docket, axis, world->hi[axis]);
    }
    direct->values = ARENA_ARRAY(arena, struct number, docket->variable_count);
    for (uint32_t i = 0; i < docket->variable_count; i++) {
        const struct variable *variable = &docket->variables[i];
        direct->values[i] = NUMBER_ZERO;
        if (variable->measure)
            direct->values[i] = region_round(arena, variable, world->readings[i]);
    }
    /* The products stand behind all that is recorded, so their factors are known by now. */
    for (uint32_t i = docket->kind->record_count; i < docket->variable_count; i++) {
        if (docket->variables[i].sort != VARIABLE_PRODUCT) {
            if (!docket->variables[i].measure)
                direct->values[i] = world->readings[i];
            continue;
        }
        const struct expression *const *factors = docket->variables[i].factors;
        direct->values[i] =
            number_multiply(arena, region_value(arena, docket->kind, factors[0], direct->values),
                            region_value(arena, docket->kind, factors[1], direct->values));
    }
}

/* ---- atoms ----------------------------------------------------------------------------- */

/* A condition of an atom: its terms, and the ends of the extent that stand with them. */
static bool form_holds(const struct direct *direct, const struct region_form *form,
                       struct number terms)
{
    struct arena *arena = direct->arena;
    struct number sum = number_add(arena, terms, form->constant);
    for (uint32_t axis = 0; !direct->docket->by_place && axis < direct->docket->axis_count;
         axis++) {
        struct number lo = number_multiply(arena, form->lo[axis], direct->world->lo[axis]);
        struct number hi = number_multiply(arena, form->hi[axis], direct->world->hi[axis]);
        sum = number_add(arena, sum, number_add(arena, lo, hi));
    }
    return form->strict ? number_sign(sum) < 0 : number_sign(sum) <= 0;
}

static bool atom_holds(const struct direct *direct, const struct plan_limit *limit,
                       const struct atom *atom)
{
    struct number terms = NUMBER_ZERO;
    for (uint32_t i = 0; i < atom->term_count; i++) {
        struct number value = direct->values[atom->terms[i].variable];
        value = number_multiply(direct->arena, value, atom->terms[i].coefficient);
        terms = number_add(direct->arena, terms, value);
    }
    struct region_form forms[REGION_FORMS];
    uint32_t count =
        region_forms(direct->arena, direct->docket, limit, atom, &direct->cells, forms);
    for (uint32_t i = 0; i < count; i++)
        if (!form_holds(direct, &forms[i], terms))
            return false;
    return true;
}

static bool tree_holds(const struct direct *direct, const struct plan_limit *limit,
                       const struct atom_tree *tree)
{
    if (tree->sort == ATOM_LEAF)
        return atom_holds(direct, limit, &tree->atom);
    for (uint32_t i = 0; i < tree->branch_count; i++)
        if (tree_holds(direct, limit, tree->branches[i]) == (tree->sort == ATOM_OR))
            return tree->sort == ATOM_OR;
    return tree->sort == ATOM_AND;
}

static bool step_holds(const struct direct *direct, const struct plan_limit *limit,
                       const struct step *step)
{
    switch (step->sort) {
    case STEP_ATOMS:
        return tree_holds(direct, limit, step->atoms);
    case STEP_VALUES:
        /* A value outside the set, or no value at all, does not hold. */
        return direct->world->values[step->record] != 0 &&
               (direct->world->values[step->record] & ~step->values) == 0;
    case STEP_ALWAYS:
        break;
    }
    return true;
}

/* ---- ladders ------------------------------------------------------------------------------ */

static struct ladder_result climb(const struct direct *direct, const struct plan_limit *limit)
{
    struct ladder_result result = {.limit = limit, .rung = limit->rung_count};
    result.outcome = direct->docket->book->no_published_limit;
    for (uint32_t i = 0; i < limit->rung_count; i++) {
        const struct plan_rung *rung = &limit->rungs[i];
        bool holds = true;
        for (uint32_t j = 0; holds && j < rung->step_count; j++)
            holds = step_holds(direct, limit, &rung->steps[j]);
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
    struct direct direct;
    direct_begin(&direct, arena, docket, world);
    *ladders = ARENA_ARRAY(arena, struct ladder_result, docket->limit_count);
    *ladder_count = 0;
    *uncovered = !region_covered(docket, &direct.cells);
    uint32_t worst = *uncovered ? docket->book->no_published_limit : 0;
    for (uint32_t i = 0; i < docket->limit_count; i++) {
        const struct plan_limit *limit = &docket->limits[i];
        if (!region_touches(docket, limit, &direct.cells))
            continue;
        struct ladder_result result = climb(&direct, limit);
        if (result.outcome > worst)
            worst = result.outcome;
        (*ladders)[(*ladder_count)++] = result;
    }
    return worst;
}

/* ---- places -------------------------------------------------------------------------- */

/* A place at which figures are compared; `belongs` is false where it is only the edge of a piece. */
struct place {
    struct number at[BOOK_AXES];
    bool belongs;
};

static struct number end_of(const struct direct *direct, uint32_t axis, enum region_end end,
                            uint32_t breakpoint)
{
    switch (end) {
    case REGION_LO:
        return direct->world->lo[axis];
    case REGION_HI:
        return direct->world->hi[axis];
    case REGION_BREAKPOINT:
        break;
    }
    return direct->docket->axes[axis].breakpoints[breakpoint];
}

/*
 * The places of one stretch that tell: its ends, and the middle where both are left out. What a
 * comparison comes to is greatest at an end; where it is level, some place of these belongs.
 */
static uint32_t places_of_stretch(const struct direct *direct, uint32_t axis, uint32_t cell,
                                  struct number *at, bool *belongs)
{
    struct arena *arena = direct->arena;
    struct region_stretch stretch = region_stretch(&direct->cells, axis, cell);
    at[0] = end_of(direct, axis, stretch.from, stretch.from_breakpoint);
    belongs[0] = !stretch.from_open;
    if (cell % 2 == 0)
        return 1;
    at[1] = end_of(direct, axis, stretch.to, stretch.to_breakpoint);
    belongs[1] = !stretch.to_open;
    if (belongs[0] || belongs[1])
        return 2;
    at[2] = number_divide(arena, number_add(arena, at[0], at[1]), NUMBER_INT(2));
    belongs[2] = true;
    return 3;
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
    case EXPRESSION_AGGREGATE:
        return expression->aggregate->value
                   ? unit_within(expression->aggregate->value, dimension, measures)
                   : NULL;
    case EXPRESSION_GROWTH:
        return measures ? expression->grown->unit : NULL;
    case EXPRESSION_SEEN:
        return NULL;
    default:
        break;
    }
    const struct unit *unit = unit_within(expression->left, dimension, measures);
    return unit ? unit : unit_within(expression->right, dimension, measures);
}

const struct unit *judge_condition_unit(const struct condition *condition)
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
    const struct direct *direct;
    const struct condition *condition;
    bool found;
    struct number excess; /* by how much the side that should be small passes the other */
    struct number left, right;
    struct place place;
};

static void compare_at(struct least_favourable *least, const struct place *place)
{
    const struct direct *direct = least->direct;
    const struct condition *condition = least->condition;
    struct number left =
        region_value_at(direct->arena, direct->docket, condition->left, direct->values, place->at);
    struct number right =
        region_value_at(direct->arena, direct->docket, condition->right, direct->values, place->at);
    bool upper = relation_is_upper(condition->relation);
    struct number excess = upper ? number_subtract(direct->arena, left, right)
                                 : number_subtract(direct->arena, right, left);
    int order = least->found ? number_compare(direct->arena, excess, least->excess) : 1;
    if (order > 0 || (order == 0 && place->belongs && !least->place.belongs)) {
        least->found = true;
        least->excess = excess;
        least->left = left;
        least->right = right;
        least->place = *place;
    }
}

/* Compares at all places of one piece; those of the axes before `axis` are chosen. */
static void compare_piece(struct least_favourable *least, const struct region_walk *walk,
                          uint32_t axis, const struct place *chosen)
{
    if (axis == least->direct->docket->axis_count) {
        compare_at(least, chosen);
        return;
    }
    struct number at[3];
    bool belongs[3];
    uint32_t count = places_of_stretch(least->direct, axis, walk->cell[axis], at, belongs);
    for (uint32_t i = 0; i < count; i++) {
        struct place place = *chosen;
        place.at[axis] = at[i];
        place.belongs = chosen->belongs && belongs[i];
        compare_piece(least, walk, axis + 1, &place);
    }
}

struct condition_result judge_condition(struct arena *arena, const struct docket *docket,
                                        const struct plan_limit *limit, const struct step *step,
                                        const struct world *world)
{
    struct direct direct;
    direct_begin(&direct, arena, docket, world);
    struct condition_result result = {
        .condition = step->source, .left = NUMBER_ZERO, .right = NUMBER_ZERO, .at = NUMBER_ZERO};
    result.holds = step_holds(&direct, limit, step);
    if (step->sort != STEP_ATOMS)
        return result;
    struct least_favourable least = {.direct = &direct, .condition = step->source};
    struct region_walk walk;
    region_first(&walk, docket, limit, &direct.cells);
    while (region_next(&walk))
        compare_piece(&least, &walk, 0, &(struct place){.belongs = true});
    if (!least.found)
        return result; /* the extent does not meet the zone */
    result.numeric = true;
    result.left = least.left;
    result.right = least.right;
    result.unit = judge_condition_unit(step->source);
    uint32_t axis = axis_of_tree(step->atoms);
    result.has_place = axis != BOOK_AXES;
    if (result.has_place) {
        result.axis = axis;
        result.at = least.place.at[axis];
    }
    return result;
}
