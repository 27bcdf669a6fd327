/*
 * Extent and zone, cut into pieces, and what atoms ask at their corners.
 */
#include "judge/region.h"

#include <string.h>

/* ---- cells ----------------------------------------------------------------------- */

uint32_t region_cell(struct arena *arena, const struct docket *docket, uint32_t axis,
                     struct number at)
{
    const struct plan_axis *cells = &docket->axes[axis];
    uint32_t low = 0, high = cells->breakpoint_count - 1; /* b[low] <= at <= b[high] */
    while (high - low > 1) {
        uint32_t middle = low + (high - low) / 2;
        if (number_compare(arena, cells->breakpoints[middle], at) <= 0)
            low = middle;
        else
            high = middle;
    }
    if (number_equal(cells->breakpoints[low], at))
        return 2 * low;
    return number_equal(cells->breakpoints[high], at) ? 2 * high : 2 * low + 1;
}

static bool bit_get(const uint64_t *bits, size_t at)
{
    return bits[at / 64] >> (at % 64) & 1;
}

/* Where a cell of each axis stands in a membership. */
static size_t position(const struct docket *docket, uint32_t side, const uint32_t *cell)
{
    size_t at = side;
    for (uint32_t axis = 0; axis < docket->axis_count; axis++)
        at = at * docket->axes[axis].cell_count + cell[axis];
    return at;
}

/* The next choice of cells within the extent, the last axis first; false after the last. */
static bool advance(const struct docket *docket, const struct region_cells *cells, uint32_t *cell)
{
    for (uint32_t axis = docket->axis_count; axis-- > 0;) {
        if (cell[axis] < cells->hi[axis]) {
            cell[axis]++;
            return true;
        }
        cell[axis] = cells->lo[axis];
    }
    return false;
}

void region_first(struct region_walk *walk, const struct docket *docket,
                  const struct plan_limit *limit, const struct region_cells *cells)
{
    memset(walk, 0, sizeof *walk);
    walk->docket = docket;
    walk->limit = limit;
    walk->cells = cells;
}

bool region_next(struct region_walk *walk)
{
    if (!walk->begun) {
        walk->begun = true;
        for (uint32_t axis = 0; axis < walk->docket->axis_count; axis++)
            walk->cell[axis] = walk->cells->lo[axis];
    } else if (!advance(walk->docket, walk->cells, walk->cell)) {
        return false;
    }
    while (!bit_get(walk->limit->cells, position(walk->docket, walk->cells->side, walk->cell)))
        if (!advance(walk->docket, walk->cells, walk->cell))
            return false;
    return true;
}

bool region_touches(const struct docket *docket, const struct plan_limit *limit,
                    const struct region_cells *cells)
{
    struct region_walk walk;
    region_first(&walk, docket, limit, cells);
    return region_next(&walk);
}

bool region_covered(const struct docket *docket, const struct region_cells *cells)
{
    uint32_t cell[BOOK_AXES];
    for (uint32_t axis = 0; axis < docket->axis_count; axis++)
        cell[axis] = cells->lo[axis];
    do {
        if (!bit_get(docket->covered, position(docket, cells->side, cell)))
            return false;
    } while (advance(docket, cells, cell));
    return true;
}

struct region_stretch region_stretch(const struct region_cells *cells, uint32_t axis, uint32_t cell)
{
    struct region_stretch stretch = {
        .cell = cell, .from_breakpoint = cell / 2, .to_breakpoint = (cell + 1) / 2};
    if (cell % 2 == 0)
        return stretch;
    stretch.from = cell == cells->lo[axis] ? REGION_LO : REGION_BREAKPOINT;
    stretch.to = cell == cells->hi[axis] ? REGION_HI : REGION_BREAKPOINT;
    stretch.from_open = stretch.from == REGION_BREAKPOINT;
    stretch.to_open = stretch.to == REGION_BREAKPOINT;
    return stretch;
}

/* ---- forms ------------------------------------------------------------------------- */

/* One corner of a stretch, as a place function sees it: slope * (lo or hi) + constant. */
struct corner {
    enum region_end end;
    struct number slope, constant;
    bool belongs;
};

struct forms {
    struct arena *arena;
    const struct docket *docket;
    const struct atom *atom;
    const struct region_cells *cells;
    struct region_form *items;
    uint32_t count;
};

static bool same_ends(const struct forms *forms, const struct region_form *a,
                      const struct region_form *b)
{
    for (uint32_t axis = 0; axis < forms->docket->axis_count; axis++)
        if (!number_equal(a->lo[axis], b->lo[axis]) || !number_equal(a->hi[axis], b->hi[axis]))
            return false;
    return true;
}

static void keep_form(struct forms *forms, const struct region_form *form)
{
    for (uint32_t i = 0; i < forms->count; i++) {
        struct region_form *kept = &forms->items[i];
        if (!same_ends(forms, kept, form))
            continue;
        int order = number_compare(forms->arena, kept->constant, form->constant);
        if (order < 0)
            *kept = *form;
        else if (order == 0)
            kept->strict = kept->strict || form->strict;
        return;
    }
    forms->items[forms->count++] = *form;
}

static struct number at_breakpoint(struct arena *arena, const struct place_function *function,
                                   uint32_t breakpoint)
{
    if (breakpoint < function->first || breakpoint - function->first >= function->point_count)
        arena_escape(arena, STAVE_MISUSE); /* book_check refuses a curve that is too short */
    return function->values[breakpoint - function->first];
}

/* The corner of a stretch at `end`, where the function runs straight from one breakpoint to the next. */
static struct corner corner_at(const struct forms *forms, const struct place_function *function,
                               const struct region_stretch *stretch, enum region_end end,
                               uint32_t breakpoint, bool belongs)
{
    struct arena *arena = forms->arena;
    struct corner corner = {.end = REGION_BREAKPOINT, .slope = NUMBER_ZERO, .belongs = belongs};
    if (end == REGION_BREAKPOINT) {
        corner.constant = at_breakpoint(arena, function, breakpoint);
        return corner;
    }
    const struct number *b = forms->docket->axes[function->axis].breakpoints;
    struct number from = at_breakpoint(arena, function, stretch->from_breakpoint);
    struct number to = at_breakpoint(arena, function, stretch->to_breakpoint);
    struct number run =
        number_subtract(arena, b[stretch->to_breakpoint], b[stretch->from_breakpoint]);
    corner.slope = number_divide(arena, number_subtract(arena, to, from), run);
    corner.constant = number_subtract(
        arena, from, number_multiply(arena, corner.slope, b[stretch->from_breakpoint]));
    if (number_sign(corner.slope) != 0)
        corner.end = end;
    return corner;
}

/* The corners of a stretch that have a say: its ends, and the middle where both are left out. */
static uint32_t corners_of(const struct forms *forms, const struct place_function *function,
                           uint32_t cell, struct corner *corners)
{
    struct arena *arena = forms->arena;
    struct region_stretch stretch = region_stretch(forms->cells, function->axis, cell);
    corners[0] = corner_at(forms, function, &stretch, stretch.from, stretch.from_breakpoint,
                           !stretch.from_open);
    if (cell % 2 == 0)
        return 1;
    corners[1] =
        corner_at(forms, function, &stretch, stretch.to, stretch.to_breakpoint, !stretch.to_open);
    if (!stretch.from_open || !stretch.to_open)
        return 2;
    struct number both = number_add(arena, corners[0].constant, corners[1].constant);
    corners[2] = (struct corner){.end = REGION_BREAKPOINT,
                                 .slope = NUMBER_ZERO,
                                 .constant = number_divide(arena, both, NUMBER_INT(2)),
                                 .belongs = true};
    return 3;
}

/* Adds the corners along the atom's place functions from `next` on to the form so far. */
static void forms_of_piece(struct forms *forms, const uint32_t *cell, uint32_t next,
                           const struct region_form *so_far)
{
    if (next == forms->atom->place_count) {
        keep_form(forms, so_far);
        return;
    }
    const struct place_function *function = &forms->atom->places[next];
    uint32_t axis = function->axis;
    struct corner corners[3];
    uint32_t count = corners_of(forms, function, cell[axis], corners);
    for (uint32_t i = 0; i < count; i++) {
        struct region_form form = *so_far;
        form.constant = number_add(forms->arena, form.constant, corners[i].constant);
        form.strict = form.strict && corners[i].belongs;
        if (corners[i].end == REGION_LO)
            form.lo[axis] = corners[i].slope;
        else if (corners[i].end == REGION_HI)
            form.hi[axis] = corners[i].slope;
        forms_of_piece(forms, cell, next + 1, &form);
    }
}

/* Where a piece stands among those that differ along the atom's place functions. */
static size_t shadow(const struct forms *forms, const uint32_t *cell)
{
    size_t at = 0;
    for (uint32_t i = 0; i < forms->atom->place_count; i++) {
        uint32_t axis = forms->atom->places[i].axis;
        at = at * forms->docket->axes[axis].cell_count + cell[axis];
    }
    return at;
}

uint32_t region_forms(struct arena *arena, const struct docket *docket,
                      const struct plan_limit *limit, const struct atom *atom,
                      const struct region_cells *cells, struct region_form *forms)
{
    struct forms gathered = {
        .arena = arena, .docket = docket, .atom = atom, .cells = cells, .items = forms};
    struct region_form empty = {.constant = atom->constant, .strict = atom->strict};
    for (uint32_t axis = 0; axis < BOOK_AXES; axis++)
        empty.lo[axis] = empty.hi[axis] = NUMBER_ZERO;
    size_t shadows = 1;
    for (uint32_t i = 0; i < atom->place_count; i++)
        shadows *= docket->axes[atom->places[i].axis].cell_count;
    uint64_t *seen = ARENA_ARRAY(arena, uint64_t, shadows / 64 + 1);

    struct region_walk walk;
    region_first(&walk, docket, limit, cells);
    while (region_next(&walk)) {
        size_t at = shadow(&gathered, walk.cell);
        if (bit_get(seen, at))
            continue;
        seen[at / 64] |= UINT64_C(1) << (at % 64);
        forms_of_piece(&gathered, walk.cell, 0, &empty);
        if (atom->place_count == 0)
            break;
    }
    return gathered.count;
}

/* ---- readings ------------------------------------------------------------------------ */

struct number region_round(struct arena *arena, const struct variable *variable,
                           struct number reading)
{
    switch (variable->stepping) {
    case TREE_READ_UP_TO:
        return number_round_to(arena, reading, variable->step,
                               variable->round_down ? NUMBER_DOWN : NUMBER_UP);
    case TREE_READ_NEAREST:
        return number_round_to(arena, reading, variable->step, NUMBER_EVEN);
    case TREE_STEP_NONE:
    case TREE_READ_TO:
        break;
    }
    return reading;
}

static struct number value_of_measure(struct arena *arena, const struct kind *kind,
                                      const struct measure *measure, const struct number *values)
{
    for (uint32_t i = 0; i < kind->record_count; i++)
        if (kind->records[i].measure == measure)
            return values[i];
    arena_escape(arena, STAVE_MISUSE);
}

static struct number value_of_curve(struct arena *arena, const struct docket *docket,
                                    const struct curve *curve, const struct number *at)
{
    const struct curve_point *points = curve->points;
    uint32_t axis = 0;
    while (docket && axis < docket->part->axis_count &&
           strcmp(docket->part->axes[axis].name, curve->axis) != 0)
        axis++;
    if (!docket || axis == docket->part->axis_count)
        arena_escape(arena, STAVE_MISUSE);
    if (number_compare(arena, at[axis], points[0].at) < 0)
        arena_escape(arena, STAVE_MISUSE);
    for (uint32_t i = 0; i < curve->point_count; i++) {
        int order = number_compare(arena, at[axis], points[i].at);
        if (order > 0)
            continue;
        if (order == 0)
            return points[i].value;
        struct number run = number_subtract(arena, points[i].at, points[i - 1].at);
        struct number rise = number_subtract(arena, points[i].value, points[i - 1].value);
        struct number along = number_subtract(arena, at[axis], points[i - 1].at);
        struct number part = number_divide(arena, number_multiply(arena, rise, along), run);
        return number_add(arena, points[i - 1].value, part);
    }
    arena_escape(arena, STAVE_MISUSE);
}

static struct number value_of_variable(struct arena *arena, const struct docket *docket,
                                       enum variable_sort sort, uint32_t record,
                                       const struct number *values)
{
    for (uint32_t i = 0; docket && i < docket->variable_count; i++)
        if (docket->variables[i].sort == sort && docket->variables[i].record == record)
            return values[i];
    arena_escape(arena, STAVE_MISUSE);
}

static struct number value_of_company(struct arena *arena, const struct docket *docket,
                                      const struct aggregate *aggregate,
                                      const struct number *values)
{
    int32_t variable = docket ? plan_company_variable(docket, aggregate) : -1;
    if (variable < 0)
        arena_escape(arena, STAVE_MISUSE);
    return values[variable];
}

static struct number value_of_growth(struct arena *arena, const struct docket *docket,
                                     const struct expression *expression,
                                     const struct number *values)
{
    uint32_t record = 0;
    while (docket && record < docket->kind->record_count &&
           docket->kind->records[record].measure != expression->grown)
        record++;
    struct number before = value_of_variable(
        arena, docket, expression->since_first ? VARIABLE_FIRST : VARIABLE_EARLIER, record, values);
    return expression->grown->smaller_is_worse ? number_subtract(arena, before, values[record])
                                               : number_subtract(arena, values[record], before);
}

static struct number value_of(struct arena *arena, const struct kind *kind,
                              const struct docket *docket, const struct expression *expression,
                              const struct number *values, const struct number *at)
{
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        return expression->value;
    case EXPRESSION_MEASURE:
        return value_of_measure(arena, kind, expression->measure, values);
    case EXPRESSION_CURVE:
        return value_of_curve(arena, docket, expression->curve, at);
    case EXPRESSION_RECKONED:
        return value_of(arena, kind, docket, expression->reckon->value, values, at);
    case EXPRESSION_AGGREGATE:
        return value_of_company(arena, docket, expression->aggregate, values);
    case EXPRESSION_GROWTH:
        return value_of_growth(arena, docket, expression, values);
    case EXPRESSION_SEEN:
        return value_of_variable(arena, docket, VARIABLE_SEEN, 0, values);
    default:
        break;
    }
    struct number left = value_of(arena, kind, docket, expression->left, values, at);
    struct number right = value_of(arena, kind, docket, expression->right, values, at);
    switch (expression->sort) {
    case EXPRESSION_ADD:
        return number_add(arena, left, right);
    case EXPRESSION_SUBTRACT:
        return number_subtract(arena, left, right);
    case EXPRESSION_MULTIPLY:
        return number_multiply(arena, left, right);
    case EXPRESSION_DIVIDE:
        return number_divide(arena, left, right);
    case EXPRESSION_LESSER:
        return number_least(arena, left, right);
    case EXPRESSION_GREATER:
        return number_greatest(arena, left, right);
    default:
        arena_escape(arena, STAVE_MISUSE);
    }
}

struct number region_value(struct arena *arena, const struct kind *kind,
                           const struct expression *expression, const struct number *values)
{
    return value_of(arena, kind, NULL, expression, values, NULL);
}

struct number region_value_at(struct arena *arena, const struct docket *docket,
                              const struct expression *expression, const struct number *values,
                              const struct number *at)
{
    return value_of(arena, docket->kind, docket, expression, values, at);
}
