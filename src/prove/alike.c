/* Parts of two dockets held against each other, figure by figure. */
#include "prove/alike.h"

#include <string.h>

#include "book/alike.h"
#include "prove/recut.h"

/* ---- limits ------------------------------------------------------------------------------- */

static bool atom_alike(const struct atom *a, const struct atom *b)
{
    if (a->term_count != b->term_count || a->place_count != b->place_count ||
        a->strict != b->strict || !number_equal(a->constant, b->constant)) {
        return false;
    }
    for (uint32_t t = 0; t < a->term_count; t++) {
        if (a->terms[t].variable != b->terms[t].variable ||
            !number_equal(a->terms[t].coefficient, b->terms[t].coefficient)) {
            return false;
        }
    }
    for (uint32_t i = 0; i < a->place_count; i++) {
        const struct place_function *of_a = &a->places[i], *of_b = &b->places[i];
        if (of_a->axis != of_b->axis || of_a->first != of_b->first ||
            of_a->point_count != of_b->point_count) {
            return false;
        }
        for (uint32_t p = 0; p < of_a->point_count; p++) {
            if (!number_equal(of_a->values[p], of_b->values[p])) {
                return false;
            }
        }
    }
    return true;
}

static bool tree_alike(const struct atom_tree *a, const struct atom_tree *b)
{
    if (a->sort != b->sort) {
        return false;
    }
    if (a->sort == ATOM_LEAF) {
        return atom_alike(&a->atom, &b->atom);
    }
    bool alike = a->branch_count == b->branch_count;
    for (uint32_t i = 0; alike && i < a->branch_count; i++) {
        alike = tree_alike(a->branches[i], b->branches[i]);
    }
    return alike;
}

static bool step_alike(const struct step *a, const struct step *b)
{
    if (a->sort != b->sort) {
        return false;
    }
    switch (a->sort) {
    case STEP_ATOMS:
        return tree_alike(a->atoms, b->atoms);
    case STEP_VALUES:
        return a->record == b->record && a->values == b->values;
    case STEP_ALWAYS:
        break;
    }
    return true;
}

static bool deadlines_alike(const struct rung *a, const struct rung *b)
{
    if (a->deadline_count != b->deadline_count) {
        return false;
    }
    for (uint32_t d = 0; d < a->deadline_count; d++) {
        if (a->deadlines[d].look_again != b->deadlines[d].look_again ||
            !number_equal(a->deadlines[d].value, b->deadlines[d].value) ||
            !dimension_equal(a->deadlines[d].unit->dimension, b->deadlines[d].unit->dimension)) {
            return false;
        }
    }
    return true;
}

bool limit_alike(struct arena *arena, const struct plan_limit *a, const struct plan_limit *b,
                 size_t words)
{
    (void)arena;
    if (a->rung_count != b->rung_count ||
        memcmp(a->cells, b->cells, words * sizeof *a->cells) != 0) {
        return false;
    }
    for (uint32_t r = 0; r < a->rung_count; r++) {
        const struct plan_rung *of_a = &a->rungs[r], *of_b = &b->rungs[r];
        if (of_a->outcome != of_b->outcome || of_a->step_count != of_b->step_count ||
            !deadlines_alike(of_a->source, of_b->source)) {
            return false;
        }
        for (uint32_t s = 0; s < of_a->step_count; s++) {
            if (!step_alike(&of_a->steps[s], &of_b->steps[s])) {
                return false;
            }
        }
    }
    return true;
}

/* ---- dockets --------------------------------------------------------------------------------- */

static bool record_alike(const struct recorded *a, const struct recorded *b)
{
    if (!a->measure || !b->measure) {
        return !a->measure && !b->measure &&
               observation_alike(a->observation, b->observation, called_alike, NULL);
    }
    return measure_alike(a->measure, b->measure, called_alike, NULL);
}

static bool variable_alike(const struct variable *a, const struct variable *b)
{
    if (a->sort != b->sort || a->record != b->record) {
        return false;
    }
    if (a->sort == VARIABLE_PRODUCT) {
        return expression_alike(a->factors[0], b->factors[0], called_alike, NULL) &&
               expression_alike(a->factors[1], b->factors[1], called_alike, NULL);
    }
    return a->sort != VARIABLE_COMPANY ||
           aggregate_alike(a->aggregate, b->aggregate, called_alike, NULL);
}

static bool scale_alike(const struct book *a, const struct book *b)
{
    bool alike = a->scale_count == b->scale_count;
    for (uint32_t i = 0; alike && i < a->scale_count; i++) {
        alike = strcmp(a->scale[i].name, b->scale[i].name) == 0 &&
                a->scale[i].flight == b->scale[i].flight;
    }
    return alike;
}

static bool axes_alike(const struct docket *a, const struct docket *b)
{
    for (uint32_t i = 0; i < a->axis_count; i++) {
        if (a->axes[i].breakpoint_count != b->axes[i].breakpoint_count) {
            return false;
        }
        if (!a->by_place && strcmp(a->part->axes[i].name, b->part->axes[i].name) != 0) {
            return false;
        }
        for (uint32_t p = 0; p < a->axes[i].breakpoint_count; p++) {
            if (!number_equal(a->axes[i].breakpoints[p], b->axes[i].breakpoints[p])) {
                return false;
            }
        }
    }
    return true;
}

bool docket_alike(struct arena *arena, const struct docket *a, const struct docket *b)
{
    if (!scale_alike(a->book, b->book) || a->axis_count != b->axis_count ||
        a->by_place != b->by_place || a->side_count != b->side_count ||
        a->cell_count != b->cell_count || a->limit_count != b->limit_count ||
        a->variable_count != b->variable_count || a->kind->record_count != b->kind->record_count ||
        !names_alike(a->part->sides, a->part->side_count, b->part->sides, b->part->side_count,
                     called_alike, NULL) ||
        !names_alike(a->part->places, a->part->place_count, b->part->places, b->part->place_count,
                     called_alike, NULL) ||
        !axes_alike(a, b)) {
        return false;
    }
    for (uint32_t r = 0; r < a->kind->record_count; r++) {
        if (!record_alike(&a->kind->records[r], &b->kind->records[r])) {
            return false;
        }
    }
    for (uint32_t v = 0; v < a->variable_count; v++) {
        if (!variable_alike(&a->variables[v], &b->variables[v])) {
            return false;
        }
    }
    for (uint32_t l = 0; l < a->limit_count; l++) {
        if (!limit_alike(arena, &a->limits[l], &b->limits[l], recut_words(a))) {
            return false;
        }
    }
    return true;
}
