/* Limits over other breakpoints. */
#include <string.h>

#include "prove/recut.h"

static bool bit_get(const uint64_t *bits, size_t at)
{
    return bits[at / 64] >> (at % 64) & 1;
}

static void bit_set(uint64_t *bits, size_t at)
{
    bits[at / 64] |= UINT64_C(1) << (at % 64);
}

size_t recut_words(const struct docket *docket)
{
    return (size_t)docket->side_count * docket->cell_count / 64 + 1;
}

/* ---- cells ---------------------------------------------------------------------------- */

void recut_begin(struct recut *recut)
{
    for (uint32_t a = 0; a < recut->to->axis_count; a++) {
        const struct plan_axis *to = &recut->to->axes[a];
        const struct plan_axis *from = &recut->from->axes[recut->axis_of[a]];
        recut->cell_of[a] = ARENA_ARRAY(recut->arena, uint32_t, to->cell_count);
        if (recut->to->by_place) {
            for (uint32_t c = 0; c < to->cell_count; c++) {
                uint32_t place = recut->place_of ? recut->place_of[c / 2] : c / 2;
                recut->cell_of[a][c] = 2 * place;
            }
            continue;
        }
        uint32_t old = 0; /* the last breakpoint at or below the new one */
        for (uint32_t b = 0; b < to->breakpoint_count; b++) {
            while (old + 1 < from->breakpoint_count &&
                   number_compare(recut->arena, from->breakpoints[old + 1], to->breakpoints[b]) <=
                       0) {
                old++;
            }
            bool on = number_equal(from->breakpoints[old], to->breakpoints[b]);
            recut->cell_of[a][2 * b] = 2 * old + (on ? 0 : 1);
            if (b + 1 < to->breakpoint_count) {
                recut->cell_of[a][2 * b + 1] = 2 * old + 1;
            }
        }
    }
}

/* The position of a cell of `to` in the memberships of `from`. */
static size_t old_position(const struct recut *recut, uint32_t side, uint32_t cell)
{
    uint32_t on_axis[BOOK_AXES] = {0};
    for (uint32_t a = recut->to->axis_count; a-- > 0;) {
        uint32_t count = recut->to->axes[a].cell_count;
        on_axis[recut->axis_of[a]] = recut->cell_of[a][cell % count];
        cell /= count;
    }
    size_t at = recut->side_of[side];
    for (uint32_t a = 0; a < recut->from->axis_count; a++) {
        at = at * recut->from->axes[a].cell_count + on_axis[a];
    }
    return at;
}

uint64_t *recut_cells(const struct recut *recut, const uint64_t *cells)
{
    uint64_t *bits = ARENA_ARRAY(recut->arena, uint64_t, recut_words(recut->to));
    for (uint32_t side = 0; side < recut->to->side_count; side++) {
        for (uint32_t cell = 0; cell < recut->to->cell_count; cell++) {
            if (bit_get(cells, old_position(recut, side, cell))) {
                bit_set(bits, (size_t)side * recut->to->cell_count + cell);
            }
        }
    }
    return bits;
}

/* ---- atoms ------------------------------------------------------------------------------ */

static struct number straight(struct arena *arena, struct number a, struct number fa,
                              struct number b, struct number fb, struct number at)
{
    struct number rise = number_subtract(arena, fb, fa);
    struct number part =
        number_divide(arena, number_subtract(arena, at, a), number_subtract(arena, b, a));
    return number_add(arena, fa, number_multiply(arena, rise, part));
}

static struct place_function function_recut(const struct recut *recut,
                                            const struct place_function *function)
{
    struct arena *arena = recut->arena;
    struct place_function made = {0};
    while (recut->axis_of[made.axis] != function->axis) {
        made.axis++;
    }
    const struct plan_axis *to = &recut->to->axes[made.axis];
    const struct number *old = recut->from->axes[function->axis].breakpoints + function->first;
    uint32_t last = function->point_count - 1, i = 0; /* old[i] <= the new one */
    made.values = ARENA_ARRAY(arena, struct number, to->breakpoint_count);
    for (uint32_t b = 0; function->point_count && b < to->breakpoint_count; b++) {
        struct number at = to->breakpoints[b];
        while (i < last && number_compare(arena, old[i + 1], at) <= 0) {
            i++;
        }
        bool on = number_equal(old[i], at);
        if (!on && (i == last || number_compare(arena, at, old[i]) < 0)) {
            continue; /* out of its reach */
        }
        if (made.point_count == 0) {
            made.first = b;
        }
        made.values[made.point_count++] = on ? function->values[i]
                                             : straight(arena, old[i], function->values[i],
                                                        old[i + 1], function->values[i + 1], at);
    }
    return made;
}

static struct atom atom_recut(const struct recut *recut, const struct atom *atom)
{
    struct atom made = *atom;
    if (recut->variables) {
        made.terms = ARENA_ARRAY(recut->arena, struct term, atom->term_count);
        for (uint32_t t = 0; t < atom->term_count; t++) {
            made.terms[t] = (struct term){recut->variables[atom->terms[t].variable],
                                          atom->terms[t].coefficient};
        }
    }
    made.places = ARENA_ARRAY(recut->arena, struct place_function, atom->place_count);
    for (uint32_t i = 0; i < atom->place_count; i++) {
        made.places[i] = function_recut(recut, &atom->places[i]);
    }
    return made;
}

static struct atom_tree *tree_recut(const struct recut *recut, const struct atom_tree *tree)
{
    struct atom_tree *made = ARENA_NEW(recut->arena, struct atom_tree);
    *made = *tree;
    if (tree->sort == ATOM_LEAF) {
        made->atom = atom_recut(recut, &tree->atom);
        return made;
    }
    made->branches = ARENA_ARRAY(recut->arena, struct atom_tree *, tree->branch_count);
    for (uint32_t i = 0; i < tree->branch_count; i++) {
        made->branches[i] = tree_recut(recut, tree->branches[i]);
    }
    return made;
}

static struct step step_recut(const struct recut *recut, const struct step *step)
{
    struct step made = *step;
    if (step->sort == STEP_ATOMS) {
        made.atoms = tree_recut(recut, step->atoms);
    } else if (step->sort == STEP_VALUES && recut->records) {
        const uint64_t *bits = recut->value_of[step->record];
        made.record = recut->records[step->record];
        made.values = 0;
        for (uint64_t set = step->values; set; set &= set - 1) {
            made.values |= bits[__builtin_ctzll(set)];
        }
    }
    return made;
}

struct plan_limit recut_limit(const struct recut *recut, const struct plan_limit *limit)
{
    struct plan_limit made = *limit;
    made.rungs = ARENA_ARRAY(recut->arena, struct plan_rung, limit->rung_count);
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        const struct plan_rung *rung = &limit->rungs[r];
        made.rungs[r] = *rung;
        made.rungs[r].outcome = recut->outcomes ? recut->outcomes[rung->outcome] : rung->outcome;
        made.rungs[r].steps = ARENA_ARRAY(recut->arena, struct step, rung->step_count);
        for (uint32_t s = 0; s < rung->step_count; s++) {
            made.rungs[r].steps[s] = step_recut(recut, &rung->steps[s]);
        }
    }
    made.cells = recut_cells(recut, limit->cells);
    return made;
}

/* ---- which breakpoints are needed ---------------------------------------------------------- */

/* Marks the breakpoints at which a membership is another than next to it. */
static void need_cells(const struct docket *docket, uint32_t axis, const uint64_t *cells,
                       bool *needed)
{
    uint32_t stride = 1;
    for (uint32_t a = axis + 1; a < docket->axis_count; a++) {
        stride *= docket->axes[a].cell_count;
    }
    uint32_t count = docket->axes[axis].cell_count;
    size_t all = (size_t)docket->side_count * docket->cell_count;
    for (size_t at = 0; at < all; at++) {
        uint32_t on_axis = (uint32_t)(at / stride % count);
        if (on_axis + 1 < count && bit_get(cells, at) != bit_get(cells, at + stride)) {
            needed[(on_axis + 1) / 2] = true; /* the point is one of the two */
        }
    }
}

static void need_function(struct arena *arena, const struct docket *docket,
                          const struct place_function *function, bool *needed)
{
    const struct number *at = docket->axes[function->axis].breakpoints + function->first;
    if (function->point_count == 0) {
        return;
    }
    uint32_t last = function->point_count - 1;
    needed[function->first] = needed[function->first + last] = true;
    for (uint32_t i = 1; i < last; i++) {
        struct number on = straight(arena, at[i - 1], function->values[i - 1], at[i + 1],
                                    function->values[i + 1], at[i]);
        if (!number_equal(on, function->values[i])) {
            needed[function->first + i] = true;
        }
    }
}

static void need_tree(struct arena *arena, const struct docket *docket, uint32_t axis,
                      const struct atom_tree *tree, bool *needed)
{
    for (uint32_t i = 0; tree->sort == ATOM_LEAF && i < tree->atom.place_count; i++) {
        if (tree->atom.places[i].axis == axis) {
            need_function(arena, docket, &tree->atom.places[i], needed);
        }
    }
    for (uint32_t i = 0; tree->sort != ATOM_LEAF && i < tree->branch_count; i++) {
        need_tree(arena, docket, axis, tree->branches[i], needed);
    }
}

bool *recut_needed(struct arena *arena, const struct docket *docket, uint32_t axis, uint64_t limits,
                   const uint64_t *more)
{
    bool *needed = ARENA_ARRAY(arena, bool, docket->axes[axis].breakpoint_count);
    needed[0] = needed[docket->axes[axis].breakpoint_count - 1] = true;
    for (uint64_t set = limits; set; set &= set - 1) {
        const struct plan_limit *limit = &docket->limits[__builtin_ctzll(set)];
        need_cells(docket, axis, limit->cells, needed);
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            for (uint32_t s = 0; s < limit->rungs[r].step_count; s++) {
                if (limit->rungs[r].steps[s].sort == STEP_ATOMS) {
                    need_tree(arena, docket, axis, limit->rungs[r].steps[s].atoms, needed);
                }
            }
        }
    }
    if (more) {
        need_cells(docket, axis, more, needed);
    }
    return needed;
}
