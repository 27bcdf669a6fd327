/* What the tests of a ladder ask in a scene: inequalities between the unknowns. */
#include <string.h>

#include "judge/route.h"

struct asking {
    struct route *route;
    const struct stage *stage;
    const struct test *test;
    struct inequality base;     /* its readings and its constant */
    uint32_t order[BOOK_AXES];  /* axes with a place function first */
    uint32_t slices[BOOK_AXES]; /* by axis: the slice chosen */
    uint32_t chosen[BOOK_AXES]; /* by axis: its index in the spot */
    struct region_form *forms;  /* room for three to the power of the functions */
    uint32_t form_count;
};

const struct spot *route_spot(const struct route *route, const struct scene *scene, uint32_t axis)
{
    return &route->walk->ground->spots->axes[axis].spots[scene->spots[axis]];
}

bool route_apart(const struct route *route, const struct stage *stage)
{
    return route->apart && stage->pass == 1;
}

/* Of forms with the same slopes only the one that asks most. */
static void keep_form(struct asking *asking, const struct region_form *form)
{
    struct arena *arena = asking->route->constraints->arena;
    uint32_t axes = asking->route->walk->ground->docket->axis_count;
    for (uint32_t i = 0; i < asking->form_count; i++) {
        struct region_form *kept = &asking->forms[i];
        bool same = true;
        for (uint32_t a = 0; a < axes && same; a++) {
            same = number_equal(kept->lo[a], form->lo[a]) && number_equal(kept->hi[a], form->hi[a]);
        }
        if (!same) {
            continue;
        }
        int order = number_compare(arena, kept->constant, form->constant);
        if (order < 0) {
            *kept = *form;
        } else if (order == 0) {
            kept->strict |= form->strict;
        }
        return;
    }
    asking->forms[asking->form_count++] = *form;
}

/* Every choice of one height for each place function, in the slices chosen. */
static void add_heights(struct asking *asking, uint32_t next, const struct region_form *so_far)
{
    const struct atom *atom = asking->test->atom;
    const struct route *route = asking->route;
    struct arena *arena = route->constraints->arena;
    if (next == atom->place_count) {
        keep_form(asking, so_far);
        return;
    }
    uint32_t axis = atom->places[next].axis;
    const struct spot_axis *seen = &route->walk->ground->spots->axes[axis];
    const struct spot *spot = route_spot(route, asking->stage->scene, axis);
    const struct height *height =
        &spot->heights[asking->chosen[axis] * seen->function_count + asking->test->functions[next]];
    struct region_form form = *so_far;
    if (height->flat) {
        form.constant = number_add(arena, so_far->constant, height->flat_value);
        form.strict = so_far->strict && height->flat_reached;
        add_heights(asking, next + 1, &form);
    }
    form = *so_far;
    if (height->at_lo) {
        form.constant = number_add(arena, so_far->constant, height->lo_base);
        form.lo[axis] = height->lo_slope;
        add_heights(asking, next + 1, &form);
    }
    form = *so_far;
    if (height->at_hi) {
        form.constant = number_add(arena, so_far->constant, height->hi_base);
        form.hi[axis] = height->hi_slope;
        add_heights(asking, next + 1, &form);
    }
}

/* Is there a choice of slices on the axes from the d-th on with which the limit is met? */
static bool slices_met(struct asking *asking, uint32_t d)
{
    const struct ground *ground = asking->route->walk->ground;
    const struct stage *stage = asking->stage;
    if (d == ground->docket->axis_count) {
        return scene_limits(ground, stage->scene->side, asking->slices) >> stage->ladder->index & 1;
    }
    uint32_t axis = asking->order[d];
    const struct spot *spot = route_spot(asking->route, stage->scene, axis);
    for (uint32_t i = 0; i < spot->slice_count; i++) {
        asking->slices[axis] = spot->slices[i];
        if (slices_met(asking, d + 1)) {
            return true;
        }
    }
    return false;
}

/* Goes through the slices of the axes along which the atom has a place function. */
static void add_slices(struct asking *asking, uint32_t d)
{
    const struct atom *atom = asking->test->atom;
    if (d == atom->place_count) {
        if (slices_met(asking, d)) {
            struct region_form form = {.constant = asking->base.constant, .strict = atom->strict};
            for (uint32_t a = 0; a < BOOK_AXES; a++) {
                form.lo[a] = form.hi[a] = NUMBER_ZERO;
            }
            add_heights(asking, 0, &form);
        }
        return;
    }
    uint32_t axis = asking->order[d];
    const struct spot *spot = route_spot(asking->route, asking->stage->scene, axis);
    for (uint32_t i = 0; i < spot->slice_count; i++) {
        asking->slices[axis] = spot->slices[i];
        asking->chosen[axis] = i;
        add_slices(asking, d + 1);
    }
}

static void order_axes(struct asking *asking)
{
    const struct atom *atom = asking->test->atom;
    uint32_t count = 0;
    for (uint32_t i = 0; i < atom->place_count; i++) {
        asking->order[count++] = atom->places[i].axis;
    }
    for (uint32_t a = 0; a < asking->route->walk->ground->docket->axis_count; a++) {
        bool known = false;
        for (uint32_t i = 0; i < atom->place_count; i++) {
            known |= atom->places[i].axis == a;
        }
        if (!known) {
            asking->order[count++] = a;
        }
    }
}

static void add_term(struct arena *arena, struct inequality *to, uint32_t unknown,
                     struct number coefficient)
{
    uint32_t t = 0;
    while (t < to->term_count && to->terms[t].unknown != unknown) {
        t++;
    }
    if (t == to->term_count) {
        to->terms[to->term_count++] = (struct unknown_term){unknown, coefficient};
        return;
    }
    to->terms[t].coefficient = number_add(arena, to->terms[t].coefficient, coefficient);
    if (number_sign(to->terms[t].coefficient) == 0) {
        to->terms[t] = to->terms[--to->term_count];
    }
}

/* The readings of an atom as unknowns, products that are straight spelled out. What is known is summed up,
 * but of what is apart: that is known otherwise in the other pass. */
static struct inequality atom_readings(const struct route *route, const struct stage *stage,
                                       const struct atom *atom)
{
    const struct ground *ground = route->walk->ground;
    struct arena *arena = route->constraints->arena;
    bool apart = route_apart(route, stage);
    uint32_t room = 0;
    for (uint32_t t = 0; t < atom->term_count; t++) {
        room += ground->forms[atom->terms[t].variable].term_count;
    }
    struct inequality base = {.terms = ARENA_ARRAY(arena, struct unknown_term, room),
                              .constant = atom->constant,
                              .strict = atom->strict};
    for (uint32_t t = 0; t < atom->term_count; t++) {
        const struct variable_form *form = &ground->forms[atom->terms[t].variable];
        struct number factor = atom->terms[t].coefficient;
        base.constant =
            number_add(arena, base.constant, number_multiply(arena, factor, form->constant));
        for (uint32_t i = 0; i < form->term_count; i++) {
            uint32_t v = form->terms[i].variable;
            uint32_t unknown =
                v + (apart && route->apart->variables[v] ? ground->unknown_count : 0);
            struct number coefficient = number_multiply(arena, factor, form->terms[i].coefficient);
            if (!apart && unknown_fixed(&ground->variables[v])) {
                coefficient = number_multiply(arena, coefficient, ground->variables[v].low);
                base.constant = number_add(arena, base.constant, coefficient);
            } else if (number_sign(coefficient) != 0) {
                add_term(arena, &base, unknown, coefficient);
            }
        }
    }
    return base;
}

static struct inequality form_inequality(const struct asking *asking,
                                         const struct region_form *form)
{
    const struct route *route = asking->route;
    const struct ground *ground = route->walk->ground;
    struct arena *arena = route->constraints->arena;
    uint32_t axes = ground->docket->axis_count;
    struct inequality made = {.constant = form->constant, .strict = form->strict};
    made.terms = ARENA_ARRAY(arena, struct unknown_term, asking->base.term_count + 2 * axes);
    made.term_count = asking->base.term_count;
    if (made.term_count) {
        memcpy(made.terms, asking->base.terms, made.term_count * sizeof *made.terms);
    }
    for (uint32_t a = 0; a < axes; a++) {
        bool apart = route_apart(route, asking->stage) && route->apart->axes[a];
        uint32_t lo = ground->docket->variable_count + 2 * a + (apart ? ground->unknown_count : 0);
        if (number_sign(form->lo[a]) != 0) {
            made.terms[made.term_count++] = (struct unknown_term){lo, form->lo[a]};
        }
        if (number_sign(form->hi[a]) != 0) {
            made.terms[made.term_count++] = (struct unknown_term){lo + 1, form->hi[a]};
        }
    }
    return made;
}

/* Of what is not apart they are the same in all scenes. */
static const struct inequality *test_readings(struct route *route, const struct stage *stage,
                                              uint32_t t)
{
    const struct atom *atom = stage->ladder->tests[t].atom;
    struct inequality **bases = route->walk->bases;
    if (route_apart(route, stage)) {
        struct inequality *own = ARENA_NEW(route->constraints->arena, struct inequality);
        *own = atom_readings(route, stage, atom);
        return own;
    }
    return &bases[stage->ladder->index][t];
}

static void ask(struct route *route, struct stage *stage, uint32_t t)
{
    const struct test *test = &stage->ladder->tests[t];
    struct arena *arena = route->constraints->arena;
    if (!test->atom) {
        return;
    }
    struct asking asking = {.route = route,
                            .stage = stage,
                            .test = test,
                            .base = *test_readings(route, stage, t)};
    if (test->atom->place_count == 0) {
        stage->forms[t] = ARENA_NEW(arena, struct inequality);
        stage->forms[t][0] = asking.base;
        stage->form_counts[t] = 1;
        return;
    }
    size_t room = 3;
    for (uint32_t i = 1; i < test->atom->place_count; i++) {
        room *= 3;
    }
    asking.forms = ARENA_ARRAY(arena, struct region_form, room);
    order_axes(&asking);
    add_slices(&asking, 0);
    stage->forms[t] = ARENA_ARRAY(arena, struct inequality, asking.form_count);
    for (uint32_t i = 0; i < asking.form_count; i++) {
        stage->forms[t][i] = form_inequality(&asking, &asking.forms[i]);
    }
    stage->form_counts[t] = asking.form_count;
}

void route_ask(struct route *route, struct stage *stage, uint32_t test)
{
    if (stage->form_counts[test] == ROUTE_NOT_ASKED) {
        stage->form_counts[test] = 0;
        ask(route, stage, test);
    }
}

void route_ask_rest(struct route *route, uint32_t first_stage)
{
    for (uint32_t s = first_stage; s < route->stage_count; s++) {
        for (uint32_t t = 0; t < route->stages[s].ladder->test_count; t++) {
            route_ask(route, &route->stages[s], t);
        }
    }
}

void route_know(struct route *route)
{
    struct arena *arena = route->constraints->arena;
    for (uint32_t s = 0; s < route->stage_count; s++) {
        const struct stage *stage = &route->stages[s];
        struct inequality **base = &route->walk->bases[stage->ladder->index];
        if (route_apart(route, stage) || *base) {
            continue;
        }
        *base = ARENA_ARRAY(arena, struct inequality, stage->ladder->test_count);
        for (uint32_t t = 0; t < stage->ladder->test_count; t++) {
            if (stage->ladder->tests[t].atom) {
                (*base)[t] = atom_readings(route, stage, stage->ladder->tests[t].atom);
            }
        }
    }
}

void route_begin(struct route *route)
{
    struct arena *arena = route->constraints->arena;
    for (uint32_t s = 0; s < route->stage_count; s++) {
        struct stage *stage = &route->stages[s];
        stage->forms = ARENA_ARRAY(arena, struct inequality *, stage->ladder->test_count);
        stage->form_counts = ARENA_ARRAY(arena, uint32_t, stage->ladder->test_count);
        for (uint32_t t = 0; t < stage->ladder->test_count; t++) {
            stage->form_counts[t] = ROUTE_NOT_ASKED;
        }
    }
}
