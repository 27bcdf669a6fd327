/* A finding made ready to be walked: its values, its ladders as tests, its scenes. */
#include <string.h>

#include "book/range.h"
#include "judge/walk.h"

/* ---- variables ------------------------------------------------------------------------- */

static struct unknown unknown_between(struct number low, struct number high)
{
    return (struct unknown){.low = low, .high = high, .step = NUMBER_ZERO, .rather_high = true};
}

static struct unknown read_measure(struct arena *arena, const struct variable *variable,
                                   const struct reading *reading, bool as_read)
{
    bool middle = as_read && reading->given == GIVEN_DOUBT;
    struct unknown unknown =
        unknown_between(region_round(arena, variable, middle ? reading->middle : reading->low),
                        region_round(arena, variable, middle ? reading->middle : reading->high));
    unknown.stepped =
        variable->stepping == TREE_READ_UP_TO || variable->stepping == TREE_READ_NEAREST;
    if (unknown.stepped) {
        unknown.step = variable->step;
    }
    unknown.rather_high = !variable->measure->smaller_is_worse;
    return unknown;
}

static uint32_t record_of(const struct ground *ground, const struct measure *measure)
{
    int32_t position = kind_measure_position(ground->docket->kind, measure);
    if (position < 0) {
        arena_escape(ground->arena, STAVE_MISUSE); /* book_check knows what a kind records */
    }
    return (uint32_t)position;
}

/* All values of an expression over measures lie in the range that is given back. */
static struct range expression_range(const struct ground *ground,
                                     const struct expression *expression)
{
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        return (struct range){expression->value, expression->value};
    case EXPRESSION_MEASURE: {
        const struct unknown *measure = &ground->variables[record_of(ground, expression->measure)];
        return (struct range){measure->low, measure->high};
    }
    case EXPRESSION_RECKONED:
        return expression_range(ground, expression->reckon->value);
    case EXPRESSION_CURVE:
        arena_escape(ground->arena, STAVE_MISUSE); /* a product has no curve in it */
    default:
        break;
    }
    struct range left = expression_range(ground, expression->left);
    struct range right = expression_range(ground, expression->right);
    return range_join(ground->arena, expression->sort, &left, &right);
}

/* Adds factor * expression to a form; false where the expression is not straight. */
static bool add_straight(const struct ground *ground, const struct expression *expression,
                         struct number factor, struct variable_form *form)
{
    struct arena *arena = ground->arena;
    struct range range = expression_range(ground, expression);
    if (range_fixed(&range)) {
        form->constant =
            number_add(arena, form->constant, number_multiply(arena, factor, range.low));
        return true;
    }
    switch (expression->sort) {
    case EXPRESSION_MEASURE: {
        uint32_t variable = record_of(ground, expression->measure), t = 0;
        while (t < form->term_count && form->terms[t].variable != variable) {
            t++;
        }
        if (t == form->term_count) {
            form->terms[form->term_count++] = (struct term){variable, NUMBER_ZERO};
        }
        form->terms[t].coefficient = number_add(arena, form->terms[t].coefficient, factor);
        return true;
    }
    case EXPRESSION_RECKONED:
        return add_straight(ground, expression->reckon->value, factor, form);
    case EXPRESSION_ADD:
        return add_straight(ground, expression->left, factor, form) &&
               add_straight(ground, expression->right, factor, form);
    case EXPRESSION_SUBTRACT:
        return add_straight(ground, expression->left, factor, form) &&
               add_straight(ground, expression->right, number_negate(arena, factor), form);
    case EXPRESSION_DIVIDE:
        return add_straight(ground, expression->left,
                            number_divide(arena, factor, expression->right->value), form);
    case EXPRESSION_MULTIPLY: {
        struct range left = expression_range(ground, expression->left);
        struct range right = expression_range(ground, expression->right);
        if (range_fixed(&left)) {
            return add_straight(ground, expression->right, number_multiply(arena, factor, left.low),
                                form);
        }
        return range_fixed(&right) && add_straight(ground, expression->left,
                                                   number_multiply(arena, factor, right.low), form);
    }
    default:
        return false;
    }
}

static void take_product(struct ground *ground, uint32_t v)
{
    const struct variable *variable = &ground->docket->variables[v];
    struct range left = expression_range(ground, variable->factors[0]);
    struct range right = expression_range(ground, variable->factors[1]);
    struct range product = range_join(ground->arena, EXPRESSION_MULTIPLY, &left, &right);
    struct variable_form straight = {
        .terms = ARENA_ARRAY(ground->arena, struct term, ground->docket->kind->record_count),
        .constant = NUMBER_ZERO,
    };
    ground->variables[v] = unknown_between(product.low, product.high);
    if ((range_fixed(&left) && add_straight(ground, variable->factors[1], left.low, &straight)) ||
        (range_fixed(&right) && add_straight(ground, variable->factors[0], right.low, &straight))) {
        ground->forms[v] = straight;
        ground->variables[v].high = ground->variables[v].low; /* no coordinate of its own */
    }
}

/* ---- company and growth ---- */

/* Whatever a figure can be: where nobody looked at the company. */
#define ANYTHING (INT64_C(1) << 40)

static struct unknown read_company(const struct ground *ground, uint32_t v, bool as_read)
{
    const struct finding *finding = ground->finding;
    const struct company_range *ranges =
        as_read && finding->company_read ? finding->company_read : finding->company;
    const struct aggregate *aggregate = ground->docket->variables[v].aggregate;
    int itself = aggregate_counts_itself(aggregate, ground->docket->kind, ground->docket->part);
    struct unknown unknown = unknown_between(NUMBER_INT(itself), NUMBER_INT(ANYTHING));
    if (ranges) {
        unknown = unknown_between(ranges[v].low, ranges[v].high);
    }
    unknown.stepped = !aggregate->value;
    if (unknown.stepped) {
        unknown.step = NUMBER_INT(1);
    }
    return unknown;
}

/* With `new` nothing has grown: what was before is what is now, and no coordinate of its own. */
static struct unknown read_earlier(struct ground *ground, uint32_t v, bool as_read)
{
    const struct variable *variable = &ground->docket->variables[v];
    const struct finding *finding = ground->finding;
    const struct reading *before =
        variable->sort == VARIABLE_FIRST ? finding->first : finding->earlier;
    struct reading missing = {.low = variable->measure->from, .high = variable->measure->to};
    if (finding->seen == SEEN_NEW) {
        ground->forms[v].terms[0].variable = variable->record;
        return unknown_between(variable->measure->from, variable->measure->from);
    }
    struct unknown unknown = read_measure(ground->arena, variable,
                                          before ? &before[variable->record] : &missing, as_read);
    unknown.rather_high = variable->measure->smaller_is_worse;
    return unknown;
}

static struct unknown read_seen(const struct finding *finding)
{
    struct unknown unknown =
        unknown_between(finding->seen == SEEN_BEFORE ? NUMBER_INT(1) : NUMBER_ZERO,
                        finding->seen == SEEN_NEW ? NUMBER_ZERO : NUMBER_INT(1));
    unknown.stepped = true;
    unknown.step = NUMBER_INT(1);
    return unknown;
}

static void take_variable(struct ground *ground, uint32_t v, bool as_read)
{
    switch (ground->docket->variables[v].sort) {
    case VARIABLE_RECORD:
        if (ground->docket->kind->records[v].measure) {
            ground->variables[v] = read_measure(ground->arena, &ground->docket->variables[v],
                                                &ground->finding->readings[v], as_read);
        } else {
            ground->observations[v] = ground->finding->readings[v].values;
        }
        break;
    case VARIABLE_PRODUCT:
        take_product(ground, v);
        break;
    case VARIABLE_COMPANY:
        ground->variables[v] = read_company(ground, v, as_read);
        break;
    case VARIABLE_EARLIER:
    case VARIABLE_FIRST:
        ground->variables[v] = read_earlier(ground, v, as_read);
        break;
    case VARIABLE_SEEN:
        ground->variables[v] = read_seen(ground->finding);
        break;
    }
}

static void take_variables(struct ground *ground, bool as_read)
{
    const struct docket *docket = ground->docket;
    const struct kind *kind = docket->kind;
    ground->variables = ARENA_ARRAY(ground->arena, struct unknown, docket->variable_count);
    ground->forms = ARENA_ARRAY(ground->arena, struct variable_form, docket->variable_count);
    ground->observations = ARENA_ARRAY(ground->arena, uint64_t, kind->record_count);
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        struct term *own = ARENA_NEW(ground->arena, struct term);
        *own = (struct term){v, NUMBER_INT(1)};
        ground->forms[v] = (struct variable_form){own, 1, NUMBER_ZERO};
        ground->variables[v] = unknown_between(NUMBER_ZERO, NUMBER_ZERO);
        take_variable(ground, v, as_read);
    }
}

/* ---- ladders --------------------------------------------------------------------------- */

static uint64_t bit(uint32_t index)
{
    return UINT64_C(1) << (index < 64 ? index : 63);
}

static uint32_t count_atoms(const struct atom_tree *tree)
{
    uint32_t count = tree->sort == ATOM_LEAF;
    for (uint32_t i = 0; i < tree->branch_count; i++) {
        count += count_atoms(tree->branches[i]);
    }
    return count;
}

static uint32_t count_tests(const struct plan_limit *limit)
{
    uint32_t count = 0;
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        for (uint32_t s = 0; s < limit->rungs[r].step_count; s++) {
            const struct step *step = &limit->rungs[r].steps[s];
            count += step->sort == STEP_ATOMS ? count_atoms(step->atoms) : 1;
        }
    }
    return count;
}

/* Marks what an expression depends on. */
static void mark_used(const struct ground *ground, const struct expression *expression, bool *uses)
{
    if (!expression) {
        return;
    }
    if (expression->sort == EXPRESSION_MEASURE) {
        uses[record_of(ground, expression->measure)] = true;
    } else if (expression->sort == EXPRESSION_RECKONED) {
        mark_used(ground, expression->reckon->value, uses);
    }
    mark_used(ground, expression->left, uses);
    mark_used(ground, expression->right, uses);
}

static int32_t add_test(struct ladder *ladder, struct test test)
{
    const int32_t ways[2] = {test.yes, test.no};
    for (int i = 0; i < 2; i++) {
        if (ways[i] >= 0) {
            test.outcomes |= ladder->tests[ways[i]].outcomes;
            test.rungs |= ladder->tests[ways[i]].rungs;
        } else {
            test.outcomes |= bit(ladder->outcomes[~ways[i]]);
            test.rungs |= bit((uint32_t)~ways[i]);
        }
    }
    ladder->tests[ladder->test_count] = test;
    return (int32_t)ladder->test_count++;
}

static int32_t add_atoms(const struct ground *ground, struct ladder *ladder,
                         const struct atom_tree *tree, int32_t yes, int32_t no)
{
    if (tree->sort == ATOM_LEAF) {
        struct test test = {.atom = &tree->atom, .yes = yes, .no = no};
        for (uint32_t i = 0; i < tree->atom.place_count; i++) {
            const struct place_function *function = &tree->atom.places[i];
            test.functions[i] = spot_function(&ground->spots->axes[function->axis], function);
            ladder->along[function->axis] = true;
        }
        for (uint32_t t = 0; t < tree->atom.term_count; t++) {
            uint32_t v = tree->atom.terms[t].variable;
            ladder->uses[v] = true;
            for (int f = 0; f < 2; f++) {
                mark_used(ground, ground->docket->variables[v].factors[f], ladder->uses);
            }
        }
        return add_test(ladder, test);
    }
    int32_t next = tree->sort == ATOM_AND ? yes : no;
    for (uint32_t i = tree->branch_count; i-- > 0;) {
        next = tree->sort == ATOM_AND ? add_atoms(ground, ladder, tree->branches[i], next, no)
                                      : add_atoms(ground, ladder, tree->branches[i], yes, next);
    }
    return next;
}

/* From the last rung to the first, so that what a test leads to is there before it. */
static void take_ladder(struct ground *ground, uint32_t index)
{
    const struct plan_limit *limit = &ground->docket->limits[index];
    struct ladder *ladder = &ground->ladders[index];
    ladder->limit = limit;
    ladder->index = index;
    ladder->tests = ARENA_ARRAY(ground->arena, struct test, count_tests(limit));
    ladder->outcomes = ARENA_ARRAY(ground->arena, uint32_t, (size_t)limit->rung_count + 1);
    ladder->uses = ARENA_ARRAY(ground->arena, bool, ground->docket->variable_count);
    ladder->outcomes[limit->rung_count] = ground->no_published_limit;
    int32_t next = ~(int32_t)limit->rung_count;
    for (uint32_t r = limit->rung_count; r-- > 0;) {
        const struct plan_rung *rung = &limit->rungs[r];
        ladder->outcomes[r] = rung->outcome;
        int32_t yes = ~(int32_t)r, no = next;
        for (uint32_t s = rung->step_count; s-- > 0;) {
            const struct step *step = &rung->steps[s];
            if (step->sort == STEP_ATOMS) {
                yes = add_atoms(ground, ladder, step->atoms, yes, no);
            } else if (step->sort == STEP_VALUES) {
                ladder->uses[step->record] = true;
                yes = add_test(ladder, (struct test){.record = step->record,
                                                     .values = step->values,
                                                     .yes = yes,
                                                     .no = no});
            }
        }
        next = yes;
    }
    ladder->start = next;
    ladder->outcome_set = next >= 0 ? ladder->tests[next].outcomes : bit(ladder->outcomes[~next]);
    ladder->rung_set = next >= 0 ? ladder->tests[next].rungs : bit((uint32_t)~next);
}

/* ---- limits in force ------------------------------------------------------------------------- */

static uint64_t limits_at(const struct ground *ground, uint32_t side, const uint32_t *slices)
{
    uint64_t limits = 0;
    for (uint32_t l = 0; l < ground->docket->limit_count; l++) {
        if (spots_member(ground->spots, ground->docket->limits[l].cells, side, slices)) {
            limits |= bit(l);
        }
    }
    return limits;
}

/* Looks up, once, which limits are in force where; sides that are alike everywhere become one. */
static void see_limits(struct ground *ground)
{
    const struct docket *docket = ground->docket;
    size_t count = 1;
    for (uint32_t a = 0; a < docket->axis_count; a++) {
        count *= ground->spots->axes[a].slice_count;
    }
    ground->seen = ARENA_ARRAY(ground->arena, uint64_t, count * docket->side_count);
    for (uint64_t left = ground->sides; left; left &= left - 1) {
        uint32_t side = (uint32_t)__builtin_ctzll(left), slices[BOOK_AXES];
        for (size_t i = 0; i < count; i++) {
            size_t rest = i;
            for (uint32_t a = docket->axis_count; a-- > 0;) {
                slices[a] = (uint32_t)(rest % ground->spots->axes[a].slice_count);
                rest /= ground->spots->axes[a].slice_count;
            }
            ground->seen[side * count + i] = limits_at(ground, side, slices);
        }
        for (uint32_t other = 0; other < side; other++) {
            if (ground->sides >> other & 1 &&
                memcmp(&ground->seen[side * count], &ground->seen[other * count],
                       count * sizeof *ground->seen) == 0) {
                ground->sides &= ~bit(side);
                break;
            }
        }
    }
}

/* ---- the whole ----------------------------------------------------------------------------- */

static bool ground_exact(const struct ground *ground)
{
    bool exact = (ground->sides & (ground->sides - 1)) == 0;
    for (uint32_t r = 0; r < ground->docket->kind->record_count; r++) {
        exact &= (ground->observations[r] & (ground->observations[r] - 1)) == 0;
    }
    for (uint32_t v = 0; v < ground->docket->variable_count; v++) {
        exact &= unknown_fixed(&ground->variables[v]);
    }
    return exact;
}

static struct ground *ground_begin(struct arena *arena, const struct docket *docket,
                                   const struct finding *finding, bool as_read)
{
    struct ground *ground = ARENA_NEW(arena, struct ground);
    *ground = (struct ground){
        .arena = arena,
        .docket = docket,
        .finding = finding,
        .sides = finding->sides ? finding->sides : 1,
        .unknown_count = docket->variable_count + 2 * docket->axis_count,
        .no_published_limit = docket->book->no_published_limit,
    };
    take_variables(ground, as_read);
    return ground;
}

static void ground_finish(struct ground *ground, bool as_read, bool ends)
{
    const struct docket *docket = ground->docket;
    ground->spots = spots_make(ground->arena, docket, ground->finding, as_read, ends);
    ground->ladders = ARENA_ARRAY(ground->arena, struct ladder, docket->limit_count);
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        take_ladder(ground, l);
    }
    see_limits(ground);
}

struct ground *ground_make(struct arena *arena, const struct docket *docket,
                           const struct finding *finding, bool as_read, bool ends)
{
    struct ground *ground = ground_begin(arena, docket, finding, as_read);
    ground->exact = ground_exact(ground);
    for (uint32_t a = 0; a < docket->axis_count && !docket->by_place; a++) {
        const struct extent *extent = &finding->extents[a];
        ground->exact &= as_read ? number_equal(extent->read_lo_low, extent->read_lo_high) &&
                                       number_equal(extent->read_hi_low, extent->read_hi_high)
                                 : number_equal(extent->lo_low, extent->lo_high) &&
                                       number_equal(extent->hi_low, extent->hi_high);
    }
    if (docket->by_place) {
        ground->exact &= (finding->places & (finding->places - 1)) == 0;
    }
    if (!ground->exact) { /* else there is no need of spots and tests */
        ground_finish(ground, as_read, ends);
    }
    return ground;
}

struct ground *ground_make_whole(struct arena *arena, const struct docket *docket,
                                 const struct finding *finding)
{
    struct ground *ground = ground_begin(arena, docket, finding, false);
    ground_finish(ground, false, false);
    return ground;
}

/* ---- scenes --------------------------------------------------------------------------------- */

uint64_t scene_limits(const struct ground *ground, uint32_t side, const uint32_t *slices)
{
    size_t at = side;
    for (uint32_t axis = 0; axis < ground->docket->axis_count; axis++) {
        at = at * ground->spots->axes[axis].slice_count + slices[axis];
    }
    return ground->seen[at];
}

static void see_slices(const struct ground *ground, struct scene *scene, uint32_t axis, size_t at)
{
    if (axis == ground->docket->axis_count) {
        scene->met |= ground->seen[at];
        scene->uncovered |= !ground->seen[at];
        return;
    }
    const struct spot *spot = &ground->spots->axes[axis].spots[scene->spots[axis]];
    at *= ground->spots->axes[axis].slice_count;
    for (uint32_t i = 0; i < spot->slice_count; i++) {
        see_slices(ground, scene, axis + 1, at + spot->slices[i]);
    }
}

void scene_see(const struct ground *ground, struct scene *scene)
{
    scene->uncovered = false;
    scene->met = 0;
    see_slices(ground, scene, 0, scene->side);
}

void scene_first(const struct ground *ground, struct scene *scene)
{
    memset(scene, 0, sizeof *scene);
    scene->side = (uint32_t)__builtin_ctzll(ground->sides);
    scene_see(ground, scene);
}

bool scene_next(const struct ground *ground, struct scene *scene, bool ends)
{
    uint32_t axis = ground->docket->axis_count;
    while (axis-- > 0) {
        const struct spot_axis *seen = &ground->spots->axes[axis];
        uint32_t next = scene->spots[axis] + 1;
        while (ends && next < seen->spot_count && !seen->spots[next].end) {
            next++;
        }
        if (next < seen->spot_count) {
            scene->spots[axis] = next;
            scene_see(ground, scene);
            return true;
        }
        scene->spots[axis] = 0; /* the first is an end */
    }
    uint64_t later = ground->sides >> scene->side >> 1;
    if (!later) {
        return false;
    }
    scene->side += 1 + (uint32_t)__builtin_ctzll(later);
    scene_see(ground, scene);
    return true;
}
