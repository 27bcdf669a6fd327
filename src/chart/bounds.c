/* What one condition of a line allows of one variable, at each place of a zone. */
#include "chart/chart.h"
#include "plan/place_line.h"

/* Bounds of a tree of atoms. `any` says that it bounds the variable at all. */
struct allowed {
    struct bounds bounds;
    bool any;
};

static const struct allowed everything = {0};

/* Terms, places and constant of an atom without its variable, at the breakpoints of the reach. */
static const struct place_line *rest_of(struct arena *arena, const struct subject *subject,
                                        const struct atom *atom, struct number divisor)
{
    const struct place_line *reach = subject->reach;
    struct number share = number_negate(arena, number_divide(arena, atom->constant, divisor));
    if (atom->place_count == 0) {
        return place_line_level(arena, reach, share);
    }
    const struct place_function *function = &atom->places[0];
    const struct plan_axis *axis = &subject->docket->axes[function->axis];
    struct place_line line = {.count = function->point_count,
                              .at = axis->breakpoints + function->first,
                              .value = function->values};
    struct number factor = number_negate(arena, number_divide(arena, NUMBER_INT(1), divisor));
    return place_line_add(arena, place_line_scale(arena, &line, factor, share),
                          place_line_level(arena, reach, NUMBER_ZERO));
}

static struct allowed allowed_by_atom(struct arena *arena, const struct subject *subject,
                                      const struct atom *atom)
{
    bool mine = atom->term_count == 1 && atom->terms[0].variable == subject->variable;
    bool drawable = atom->place_count == 0 ||
                    (atom->place_count == 1 && (int32_t)atom->places[0].axis == subject->axis);
    if (!mine || !drawable) {
        return everything;
    }
    struct number coefficient = atom->terms[0].coefficient;
    const struct place_line *line = rest_of(arena, subject, atom, coefficient);
    struct allowed allowed = {.any = true, .bounds.exact = true};
    if (number_sign(coefficient) > 0) {
        allowed.bounds.high = line;
        allowed.bounds.high_open = atom->strict;
    } else {
        allowed.bounds.low = line;
        allowed.bounds.low_open = atom->strict;
    }
    return allowed;
}

/* The stricter (or with `wider` the looser) of two lines of which NULL is none. */
static const struct place_line *pick(struct arena *arena, const struct place_line *a,
                                     const struct place_line *b, bool greater, bool wider)
{
    if (!a || !b) {
        return wider ? NULL : a ? a : b;
    }
    return place_line_pick(arena, a, b, greater);
}

void bounds_narrow(struct arena *arena, struct bounds *bounds, const struct bounds *more)
{
    bounds->low = pick(arena, bounds->low, more->low, true, false);
    bounds->high = pick(arena, bounds->high, more->high, false, false);
    bounds->low_open |= more->low_open;
    bounds->high_open |= more->high_open;
    bounds->exact &= more->exact;
}

/* One or the other. Not exact where a gap between the two could be taken for allowed. */
static void bounds_widen(struct arena *arena, struct bounds *bounds, const struct bounds *more)
{
    bool same_sort = (!bounds->low && !more->low) || (!bounds->high && !more->high);
    bounds->low = pick(arena, bounds->low, more->low, false, true);
    bounds->high = pick(arena, bounds->high, more->high, true, true);
    bounds->low_open &= more->low_open;
    bounds->high_open &= more->high_open;
    bounds->exact &= more->exact && same_sort;
}

static struct allowed allowed_by_tree(struct arena *arena, const struct subject *subject,
                                      const struct atom_tree *tree)
{
    if (tree->sort == ATOM_LEAF) {
        return allowed_by_atom(arena, subject, &tree->atom);
    }
    struct allowed all = everything;
    for (uint32_t i = 0; i < tree->branch_count; i++) {
        struct allowed one = allowed_by_tree(arena, subject, tree->branches[i]);
        if (i == 0) {
            all = one;
        } else if (tree->sort == ATOM_AND) {
            bounds_narrow(arena, &all.bounds, &one.bounds);
            all.any |= one.any;
        } else {
            bounds_widen(arena, &all.bounds, &one.bounds);
            all.any &= one.any;
        }
    }
    return all;
}

bool bounds_of_step(struct arena *arena, const struct subject *subject, const struct step *step,
                    struct bounds *bounds)
{
    *bounds = (struct bounds){.exact = step->sort == STEP_ALWAYS};
    if (step->sort != STEP_ATOMS) {
        return false;
    }
    struct allowed allowed = allowed_by_tree(arena, subject, step->atoms);
    *bounds = allowed.bounds;
    return allowed.any && (bounds->low || bounds->high);
}
