/* Slices of an axis, the place functions along it, and where these matter. */
#include <string.h>

#include "judge/survey.h"

/* ---- place functions ------------------------------------------------------------------- */

static bool same_function(const struct place_function *a, const struct place_function *b)
{
    if (a == b) {
        return true;
    }
    if (a->axis != b->axis || a->first != b->first || a->point_count != b->point_count) {
        return false;
    }
    for (uint32_t i = 0; i < a->point_count; i++) {
        if (!number_equal(a->values[i], b->values[i])) {
            return false;
        }
    }
    return true;
}

uint32_t spot_function(const struct spot_axis *axis, const struct place_function *function)
{
    uint32_t f = 0;
    while (f < axis->function_count && !same_function(axis->functions[f], function)) {
        f++;
    }
    return f;
}

/* Calls for every place function of one atom tree. */
static void each_function(const struct atom_tree *tree,
                          void (*visit)(void *data, const struct place_function *function),
                          void *data)
{
    if (tree->sort == ATOM_LEAF) {
        for (uint32_t i = 0; i < tree->atom.place_count; i++) {
            visit(data, &tree->atom.places[i]);
        }
        return;
    }
    for (uint32_t i = 0; i < tree->branch_count; i++) {
        each_function(tree->branches[i], visit, data);
    }
}

static void each_function_of_limit(const struct plan_limit *limit,
                                   void (*visit)(void *data, const struct place_function *function),
                                   void *data)
{
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        for (uint32_t s = 0; s < limit->rungs[r].step_count; s++) {
            if (limit->rungs[r].steps[s].sort == STEP_ATOMS) {
                each_function(limit->rungs[r].steps[s].atoms, visit, data);
            }
        }
    }
}

static void count_function(void *data, const struct place_function *function)
{
    (void)function;
    ++*(uint32_t *)data;
}

static void keep_function(void *data, const struct place_function *function)
{
    struct survey *survey = data;
    if (function->axis == survey->axis &&
        spot_function(survey->out, function) == survey->out->function_count) {
        survey->out->functions[survey->out->function_count++] = function;
    }
}

static void find_functions(struct survey *survey)
{
    uint32_t count = 0;
    for (uint32_t l = 0; l < survey->docket->limit_count; l++) {
        each_function_of_limit(&survey->docket->limits[l], count_function, &count);
    }
    survey->out->functions = ARENA_ARRAY(survey->arena, const struct place_function *, count);
    for (uint32_t l = 0; l < survey->docket->limit_count; l++) {
        each_function_of_limit(&survey->docket->limits[l], keep_function, survey);
    }
}

/* ---- slices ------------------------------------------------------------------------------ */

static bool bit_get(const uint64_t *bits, size_t at)
{
    return bits[at / 64] >> (at % 64) & 1;
}

/* Goes through the reachable cells of all axes but one; `cell` keeps that one's. */
static bool next_cell(const struct survey *survey, uint32_t *cell)
{
    for (uint32_t axis = survey->docket->axis_count; axis-- > 0;) {
        if (axis == survey->axis) {
            continue;
        }
        if (cell[axis] < survey->last_cell[axis]) {
            cell[axis]++;
            return true;
        }
        cell[axis] = survey->first_cell[axis];
    }
    return false;
}

static size_t cell_position(const struct docket *docket, uint32_t side, const uint32_t *cell)
{
    size_t at = side;
    for (uint32_t axis = 0; axis < docket->axis_count; axis++) {
        at = at * docket->axes[axis].cell_count + cell[axis];
    }
    return at;
}

/* Mixes the memberships of one cell of the axis into a number, or holds two cells' against each other. */
static bool visit_memberships(const struct survey *survey, uint32_t one, uint32_t other,
                              uint64_t *hash)
{
    const struct docket *docket = survey->docket;
    uint32_t cell[BOOK_AXES];
    memcpy(cell, survey->first_cell, sizeof cell);
    do {
        for (uint32_t side = 0; side < docket->side_count; side++) {
            cell[survey->axis] = one;
            size_t at = cell_position(docket, side, cell);
            cell[survey->axis] = other;
            size_t there = cell_position(docket, side, cell);
            for (uint32_t l = 0; l <= docket->limit_count; l++) {
                const uint64_t *bits =
                    l < docket->limit_count ? docket->limits[l].cells : docket->covered;
                bool member = bit_get(bits, at);
                *hash = (*hash ^ (uint64_t)member) * UINT64_C(0x9e3779b97f4a7c15);
                *hash ^= *hash >> 29;
                if (one != other && member != bit_get(bits, there)) {
                    return false;
                }
            }
        }
    } while (next_cell(survey, cell));
    return true;
}

void survey_slices(struct survey *survey)
{
    const struct docket *docket = survey->docket;
    struct spot_axis *out = survey->out;
    uint32_t cells = docket->axes[survey->axis].cell_count;
    uint64_t *hashes = ARENA_ARRAY(survey->arena, uint64_t, cells);
    survey->slice_of = ARENA_ARRAY(survey->arena, uint32_t, cells);
    out->slice_cell = ARENA_ARRAY(survey->arena, uint32_t, cells);
    for (uint32_t c = survey->first_cell[survey->axis]; c <= survey->last_cell[survey->axis]; c++) {
        uint64_t hash = 1;
        visit_memberships(survey, c, c, &hash);
        uint32_t s = 0;
        for (; s < out->slice_count; s++) {
            uint64_t unused = 0;
            if (hashes[s] == hash && visit_memberships(survey, c, out->slice_cell[s], &unused)) {
                break;
            }
        }
        if (s == out->slice_count) {
            hashes[s] = hash;
            out->slice_cell[out->slice_count++] = c;
        }
        survey->slice_of[c] = s;
    }
}

struct relevance {
    const struct survey *survey;
    bool *relevant; /* by function */
};

static void mark_relevant(void *data, const struct place_function *function)
{
    const struct relevance *relevance = data;
    const struct survey *survey = relevance->survey;
    if (function->axis == survey->axis) {
        relevance->relevant[spot_function(survey->out, function)] = true;
    }
}

static bool slice_in_limit(const struct survey *survey, const struct plan_limit *limit,
                           uint32_t slice)
{
    const struct docket *docket = survey->docket;
    uint32_t cell[BOOK_AXES];
    memcpy(cell, survey->first_cell, sizeof cell);
    cell[survey->axis] = survey->out->slice_cell[slice];
    do {
        for (uint32_t side = 0; side < docket->side_count; side++) {
            if (bit_get(limit->cells, cell_position(docket, side, cell))) {
                return true;
            }
        }
    } while (next_cell(survey, cell));
    return false;
}

/* In which slices a place function matters: where a limit that uses it is in force. */
static void find_relevance(struct survey *survey)
{
    struct spot_axis *out = survey->out;
    size_t functions = out->function_count;
    bool *relevant = ARENA_ARRAY(survey->arena, bool, functions);
    struct relevance relevance = {survey, relevant};
    uint32_t count = 0;
    survey->matters = ARENA_ARRAY(survey->arena, uint32_t, out->slice_count * functions);
    survey->matters_from = ARENA_ARRAY(survey->arena, uint32_t, (size_t)out->slice_count + 1);
    for (uint32_t s = 0; s < out->slice_count; s++) {
        survey->matters_from[s] = count;
        for (uint32_t l = 0; l < survey->docket->limit_count && functions; l++) {
            if (slice_in_limit(survey, &survey->docket->limits[l], s)) {
                each_function_of_limit(&survey->docket->limits[l], mark_relevant, &relevance);
            }
        }
        for (uint32_t f = 0; f < functions; f++) {
            survey->matters[count] = f;
            count += relevant[f];
            relevant[f] = false;
        }
    }
    survey->matters_from[out->slice_count] = count;
}

void survey_functions(struct survey *survey)
{
    find_functions(survey);
    find_relevance(survey);
}

bool spots_member(const struct spots *spots, const uint64_t *cells, uint32_t side,
                  const uint32_t *slices)
{
    size_t at = side;
    for (uint32_t axis = 0; axis < spots->docket->axis_count; axis++) {
        at = at * spots->docket->axes[axis].cell_count + spots->axes[axis].slice_cell[slices[axis]];
    }
    return bit_get(cells, at);
}
