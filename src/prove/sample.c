/* One world of a stretch, in figures that a person would write. */
#include <string.h>

#include "base/text.h"
#include "prove/witness.h"

#define SAMPLE_CHOICES 12u /* figures tried for one coordinate */
#define SAMPLE_TRIES 400u  /* figures tried in all */

struct piece *piece_keep(struct arena *arena, const struct stretch *stretch, bool point)
{
    const struct tour *tour = stretch->tour;
    const struct ground *ground = tour->ground;
    uint32_t records = ground->docket->kind->record_count;
    struct piece *piece = ARENA_NEW(arena, struct piece);
    piece->pair = tour->pair;
    piece->ground = ground;
    piece->scene = *stretch->scene;
    piece->outcomes[0] = stretch->outcomes[0];
    piece->outcomes[1] = stretch->outcomes[1];
    piece->apart = tour->apart;
    piece->point = point;
    piece->sure = stretch->sure;
    piece->constraints = *stretch->constraints;
    uint32_t unknowns = stretch->constraints->unknown_count;
    piece->constraints.unknowns = ARENA_ARRAY(arena, struct unknown, unknowns);
    memcpy(piece->constraints.unknowns, stretch->constraints->unknowns,
           unknowns * sizeof(struct unknown));
    piece->constraints.kept = ARENA_ARRAY(arena, struct inequality, CONSTRAINTS_KEPT);
    if (stretch->constraints->kept_count) {
        memcpy(piece->constraints.kept, stretch->constraints->kept,
               stretch->constraints->kept_count * sizeof(struct inequality));
    }
    piece->observations = ARENA_ARRAY(arena, uint64_t, 2 * (size_t)records);
    for (uint32_t r = 0; r < 2 * records; r++) {
        piece->observations[r] = stretch->observations[r];
    }
    for (uint32_t side = 0; side < 2; side++) {
        piece->decided[side] = ARENA_ARRAY(arena, uint32_t, ground->docket->limit_count);
        for (uint32_t s = 0; s < tour->stage_count; s++) {
            if (tour->masks[s] >> side & 1) {
                piece->decided[side][tour->stages[s].ladder->index] = tour->decided[s] + 1;
            }
        }
    }
    return piece;
}

/* ---- choices for one coordinate ------------------------------------------------------------ */

struct sampling {
    struct arena *arena;
    const struct piece *piece;
    struct constraints constraints;
    uint32_t *order;
    uint32_t count, tries;
    const struct part_of_axis *on;
    bool *set;     /* by unknown: it has its figure */
    bool close;    /* readings for which distances are asked come first */
    bool products; /* some product in doubt is a coordinate */
};

struct choices {
    struct number values[SAMPLE_CHOICES];
    uint32_t count;
};

static bool within(struct arena *arena, const struct unknown *hull, struct number value)
{
    int low = number_compare(arena, hull->low, value);
    int high = number_compare(arena, value, hull->high);
    return (low < 0 || (low == 0 && !hull->low_open)) &&
           (high < 0 || (high == 0 && !hull->high_open));
}

static void choose(struct arena *arena, struct choices *choices, const struct unknown *hull,
                   struct number value)
{
    if (choices->count == SAMPLE_CHOICES || !within(arena, hull, value)) {
        return;
    }
    for (uint32_t i = 0; i < choices->count; i++) {
        if (number_equal(choices->values[i], value)) {
            return;
        }
    }
    choices->values[choices->count++] = value;
}

/* The multiple of a grid next to an end, inside. */
static struct number next_inside(struct arena *arena, const struct unknown *hull,
                                 struct number grid, bool from_low)
{
    struct number end = from_low ? hull->low : hull->high;
    bool open = from_low ? hull->low_open : hull->high_open;
    struct number on = number_round_to(arena, end, grid, from_low ? NUMBER_UP : NUMBER_DOWN);
    if (open && number_equal(on, end)) {
        on = from_low ? number_add(arena, on, grid) : number_subtract(arena, on, grid);
    }
    return on;
}

static struct number middle_of(struct arena *arena, const struct unknown *hull)
{
    return number_divide(arena, number_add(arena, hull->low, hull->high), NUMBER_INT(2));
}

/* A reading: its harmless end, then the next figures on a grid that grows finer, then the rest. */
static void choose_reading(struct arena *arena, struct choices *choices, const struct unknown *hull,
                           struct number step)
{
    bool from_low = hull->rather_high; /* the other end is the worse one */
    struct number near = from_low ? hull->low : hull->high;
    bool near_open = from_low ? hull->low_open : hull->high_open;
    if (!near_open) {
        choose(arena, choices, hull, near);
    }
    struct number grid = step;
    for (int finer = 0; finer < 6 && choices->count < 4; finer++) {
        choose(arena, choices, hull, next_inside(arena, hull, grid, from_low));
        if (hull->stepped) {
            break;
        }
        grid = number_divide(arena, grid, NUMBER_INT(10));
    }
    choose(arena, choices, hull, next_inside(arena, hull, step, !from_low));
    choose(arena, choices, hull, from_low ? hull->high : hull->low);
    if (!hull->stepped) {
        choose(arena, choices, hull, middle_of(arena, hull));
    } else {
        choose(arena, choices, hull,
               number_round_to(arena, middle_of(arena, hull), hull->step, NUMBER_DOWN));
    }
}

/* A place: round figures in the middle, then finer ones, then the ends. */
static void choose_place(struct arena *arena, struct choices *choices, const struct unknown *hull,
                         struct number unit)
{
    struct number grid = number_multiply(arena, unit, NUMBER_INT(10));
    struct number middle = middle_of(arena, hull);
    for (int finer = 0; finer < 8 && choices->count < 4; finer++) {
        choose(arena, choices, hull, number_round_to(arena, middle, grid, NUMBER_EVEN));
        grid = number_divide(arena, grid, NUMBER_INT(10));
    }
    choose(arena, choices, hull, hull->low);
    choose(arena, choices, hull, hull->high);
    choose(arena, choices, hull, middle);
}

static const struct measure *first_measure(const struct expression *expression)
{
    if (!expression || expression->measure) {
        return expression ? expression->measure : NULL;
    }
    if (expression->sort == EXPRESSION_RECKONED) {
        return first_measure(expression->reckon->value);
    }
    const struct measure *left = first_measure(expression->left);
    return left ? left : first_measure(expression->right);
}

static struct number reading_grid(struct arena *arena, const struct docket *docket, uint32_t v)
{
    const struct measure *measure = docket->variables[v].measure;
    if (docket->variables[v].sort == VARIABLE_COMPANY) {
        measure = first_measure(docket->variables[v].aggregate->value);
    }
    if (!measure) {
        return NUMBER_INT(1);
    }
    if (measure->stepping != TREE_STEP_NONE) {
        return measure->step;
    }
    return number_divide(arena, measure->unit->factor, NUMBER_INT(10));
}

/* The true product of the factors' values, where these are set. */
static struct number true_product(struct sampling *sampling, uint32_t v)
{
    struct arena *arena = sampling->arena;
    const struct docket *docket = sampling->piece->ground->docket;
    struct number *values = ARENA_ARRAY(arena, struct number, docket->variable_count);
    for (uint32_t r = 0; r < docket->kind->record_count; r++) {
        values[r] = sampling->constraints.unknowns[r].low;
    }
    const struct expression *const *factors = docket->variables[v].factors;
    return number_multiply(arena, region_value(arena, docket->kind, factors[0], values),
                           region_value(arena, docket->kind, factors[1], values));
}

/* ---- factors -------------------------------------------------------------------------------- */

/* The record that a factor is, or UINT32_MAX where it is more than a measure. */
static uint32_t factor_record(const struct docket *docket, const struct expression *factor)
{
    while (factor && factor->sort == EXPRESSION_RECKONED) {
        factor = factor->reckon->value;
    }
    for (uint32_t r = 0;
         factor && factor->sort == EXPRESSION_MEASURE && r < docket->kind->record_count; r++) {
        if (docket->kind->records[r].measure == factor->measure) {
            return r;
        }
    }
    return UINT32_MAX;
}

/*
 * A factor of a product in doubt. Where the other factor has its figure, those that bring the product
 * between its ends; else some figures that leave the other one room.
 */
static void choose_factor(struct sampling *sampling, struct choices *choices,
                          const struct unknown *hull, uint32_t record)
{
    struct arena *arena = sampling->arena;
    const struct docket *docket = sampling->piece->ground->docket;
    const struct unknown *unknowns = sampling->constraints.unknowns;
    struct number grid = reading_grid(arena, docket, record);
    for (uint32_t v = docket->kind->record_count; v < docket->variable_count; v++) {
        const struct variable *variable = &docket->variables[v];
        if (variable->sort != VARIABLE_PRODUCT) {
            continue;
        }
        uint32_t a = factor_record(docket, variable->factors[0]);
        uint32_t b = factor_record(docket, variable->factors[1]);
        uint32_t other = a == record ? b : b == record ? a : UINT32_MAX;
        if (other == UINT32_MAX) {
            continue;
        }
        bool held = sampling->set[other] && number_sign(unknowns[other].low) > 0;
        if (held && other != record) {
            struct unknown product = constraints_hull(&sampling->constraints, v);
            struct unknown own = *hull;
            own.low = number_divide(arena, product.low, unknowns[other].low);
            own.high = number_divide(arena, product.high, unknowns[other].low);
            own.low_open = product.low_open;
            own.high_open = product.high_open;
            for (int finer = 0; finer < 3; finer++) {
                choose(arena, choices, hull, next_inside(arena, &own, grid, true));
                choose(arena, choices, hull, next_inside(arena, &own, grid, false));
                grid = hull->stepped ? grid : number_divide(arena, grid, NUMBER_INT(10));
            }
        } else {
            const struct number unit = docket->kind->records[record].measure->unit->factor;
            choose(arena, choices, hull, unit);
            choose(arena, choices, hull, hull->high);
            choose(arena, choices, hull, number_divide(arena, unit, NUMBER_INT(2)));
            choose(arena, choices, hull, number_multiply(arena, unit, NUMBER_INT(4)));
        }
    }
}

/* ---- near others ------------------------------------------------------------------------------ */

static bool is_distance(const struct variable *variable)
{
    return variable->sort == VARIABLE_COMPANY && variable->aggregate->sort == AGGREGATE_APART;
}

bool piece_asks_distance(const struct piece *piece)
{
    const struct docket *docket = piece->ground->docket;
    for (uint32_t v = docket->kind->record_count; v < docket->variable_count; v++) {
        if (is_distance(&docket->variables[v])) {
            return true;
        }
    }
    return false;
}

/*
 * Where the distance to others is asked only of damages that together are over a figure: readings that
 * tell two such figures apart, then just over half of one, then larger ones.
 */
static void choose_close(struct sampling *sampling, struct choices *choices,
                         const struct unknown *hull, uint32_t record)
{
    struct arena *arena = sampling->arena;
    const struct docket *docket = sampling->piece->ground->docket;
    struct number grid = reading_grid(arena, docket, record), before = NUMBER_ZERO;
    for (int between = 1; between >= 0; between--) {
        for (uint32_t v = docket->kind->record_count; v < docket->variable_count; v++) {
            const struct expression *limit = is_distance(&docket->variables[v])
                                                 ? docket->variables[v].aggregate->pair_limit
                                                 : NULL;
            if (!limit || limit->sort != EXPRESSION_FIGURE ||
                !dimension_equal(limit->dimension, docket->variables[record].measure->dimension)) {
                continue;
            }
            if (!between) {
                struct unknown over = *hull;
                over.low = number_divide(arena, limit->value, NUMBER_INT(2));
                over.low_open = true;
                choose(arena, choices, hull, next_inside(arena, &over, grid, true));
            } else if (number_sign(before) > 0 && !number_equal(before, limit->value)) {
                /* With one alike, or one that is a step larger, just up to the greater figure. */
                struct number most = number_greatest(arena, before, limit->value);
                choose(arena, choices, hull,
                       number_round_to(arena, number_divide(arena, most, NUMBER_INT(2)), grid,
                                       NUMBER_DOWN));
            }
            before = limit->value;
        }
    }
    choose(arena, choices, hull, docket->variables[record].measure->unit->factor);
}

static struct choices choices_for(struct sampling *sampling, uint32_t unknown)
{
    struct arena *arena = sampling->arena;
    const struct ground *ground = sampling->piece->ground;
    const struct docket *docket = ground->docket;
    uint32_t own = unknown % ground->unknown_count;
    struct choices choices = {.count = 0};
    struct unknown hull = constraints_hull(&sampling->constraints, unknown);
    if (own >= docket->variable_count) {
        uint32_t axis = (own - docket->variable_count) / 2;
        const struct part_of_axis *on = sampling->on ? &sampling->on[axis] : NULL;
        if (on) {
            int low = number_compare(arena, on->low, hull.low);
            if (low > 0 || (low == 0 && on->low_open)) {
                hull.low = on->low;
                hull.low_open = on->low_open;
            }
            int high = number_compare(arena, on->high, hull.high);
            if (high < 0 || (high == 0 && on->high_open)) {
                hull.high = on->high;
                hull.high_open = on->high_open;
            }
        }
        choose_place(arena, &choices, &hull, docket->part->axes[axis].unit->factor);
    } else if (docket->variables[own].sort == VARIABLE_PRODUCT) {
        choose(arena, &choices, &hull, true_product(sampling, own));
    } else {
        hull.rather_high = docket->variables[own].sort == VARIABLE_EARLIER ||
                                   docket->variables[own].sort == VARIABLE_FIRST
                               ? false
                               : hull.rather_high;
        if (own < docket->kind->record_count && sampling->close) {
            choose_close(sampling, &choices, &hull, own);
        }
        if (own < docket->kind->record_count && sampling->products) {
            choose_factor(sampling, &choices, &hull, own);
        }
        choose_reading(arena, &choices, &hull, reading_grid(arena, docket, own));
    }
    return choices;
}

/* ---- all coordinates ------------------------------------------------------------------------- */

static bool hold(struct sampling *sampling, uint32_t unknown, struct number value)
{
    struct constraints *constraints = &sampling->constraints;
    struct unknown *held = &constraints->unknowns[unknown];
    if (held->stepped &&
        !number_equal(number_round_to(sampling->arena, value, held->step, NUMBER_DOWN), value)) {
        return false;
    }
    held->low = held->high = value;
    held->low_open = held->high_open = false;
    return constraints->kept_count == 0 || constraints_solve(constraints, NULL) == SOLVABLE_YES;
}

static bool settle(struct sampling *sampling, uint32_t k)
{
    if (k == sampling->count) {
        return true;
    }
    uint32_t unknown = sampling->order[k];
    struct unknown before = sampling->constraints.unknowns[unknown];
    struct choices choices = choices_for(sampling, unknown);
    for (uint32_t i = 0; i < choices.count && sampling->tries > 0; i++) {
        sampling->tries--;
        sampling->set[unknown] = true;
        if (hold(sampling, unknown, choices.values[i]) && settle(sampling, k + 1)) {
            return true;
        }
        sampling->set[unknown] = false;
        sampling->constraints.unknowns[unknown] = before;
    }
    return false;
}

/* Readings first, and with them what stands apart; then products, company, what was read before; places. */
static void order_unknowns(struct sampling *sampling)
{
    const struct piece *piece = sampling->piece;
    const struct ground *ground = piece->ground;
    const struct docket *docket = ground->docket;
    sampling->order = ARENA_ARRAY(sampling->arena, uint32_t, 2 * (size_t)ground->unknown_count);
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        if (v < docket->kind->record_count && !docket->kind->records[v].measure) {
            continue;
        }
        if (ground->forms[v].term_count != 1 || ground->forms[v].terms[0].variable != v) {
            continue; /* no coordinate of its own */
        }
        sampling->products |= docket->variables[v].sort == VARIABLE_PRODUCT;
        sampling->order[sampling->count++] = v;
        if (piece->apart && piece->apart->variables[v]) {
            sampling->order[sampling->count++] = v + ground->unknown_count;
        }
    }
    for (uint32_t a = 0; a < docket->axis_count && !docket->by_place; a++) {
        sampling->order[sampling->count++] = docket->variable_count + 2 * a;
        if (!piece->point) {
            sampling->order[sampling->count++] = docket->variable_count + 2 * a + 1;
        }
    }
}

/* Where the ladders do not ask for the place, any of its cells will do. */
static void free_places(struct sampling *sampling)
{
    const struct ground *ground = sampling->piece->ground;
    for (uint32_t a = 0; a < ground->docket->axis_count && sampling->on; a++) {
        if (ground->docket->by_place) {
            continue;
        }
        const struct spot *spot = &ground->spots->axes[a].spots[sampling->piece->scene.spots[a]];
        struct unknown *lo =
            &sampling->constraints.unknowns[ground->docket->variable_count + 2 * a];
        if (sampling->piece->point && !spot->uses_lo && !spot->uses_hi) {
            lo->low = sampling->on[a].low;
            lo->high = sampling->on[a].high;
            lo->low_open = sampling->on[a].low_open;
            lo->high_open = sampling->on[a].high_open;
        }
    }
}

bool piece_sample(struct arena *arena, const struct piece *piece, const struct part_of_axis *on,
                  bool close, struct sample *sample)
{
    const struct ground *ground = piece->ground;
    const struct docket *docket = ground->docket;
    uint32_t all = 2 * ground->unknown_count, records = docket->kind->record_count;
    uint32_t work = 200000;
    struct sampling sampling = {
        .arena = arena, .piece = piece, .on = on, .close = close, .tries = SAMPLE_TRIES};
    sampling.constraints = piece->constraints;
    sampling.constraints.arena = arena;
    sampling.constraints.work = &work;
    sampling.constraints.unknowns = ARENA_ARRAY(arena, struct unknown, all);
    memcpy(sampling.constraints.unknowns, piece->constraints.unknowns,
           all * sizeof(struct unknown));
    sampling.set = ARENA_ARRAY(arena, bool, all);
    order_unknowns(&sampling);
    free_places(&sampling);
    if (!settle(&sampling, 0)) {
        return false;
    }
    sample->values = ARENA_ARRAY(arena, struct number, all);
    for (uint32_t u = 0; u < all; u++) {
        sample->values[u] = sampling.constraints.unknowns[u].low;
    }
    sample->observed = ARENA_ARRAY(arena, uint64_t, 2 * (size_t)records);
    for (uint32_t r = 0; r < 2 * records; r++) {
        sample->observed[r] = piece->observations[r] & -piece->observations[r];
    }
    sample->side = piece->scene.side;
    sample->place = 0;
    for (uint32_t a = 0; a < docket->axis_count; a++) {
        if (docket->by_place) {
            sample->place = ground->spots->axes[0].spots[piece->scene.spots[0]].lo_cell / 2;
            continue;
        }
        uint32_t lo = docket->variable_count + 2 * a;
        sample->lo[a] = sample->values[lo];
        sample->hi[a] = piece->point ? sample->values[lo] : sample->values[lo + 1];
        sample->hi[a] = number_greatest(arena, sample->lo[a], sample->hi[a]);
    }
    return true;
}

struct world sample_world(struct arena *arena, const struct piece *piece,
                          const struct sample *sample, bool before)
{
    const struct ground *ground = piece->ground;
    const struct docket *docket = ground->docket;
    uint32_t records = docket->kind->record_count;
    struct world world = {
        .readings = ARENA_ARRAY(arena, struct number, docket->variable_count),
        .values = ARENA_ARRAY(arena, uint64_t, records),
        .lo = ARENA_ARRAY(arena, struct number, docket->axis_count),
        .hi = ARENA_ARRAY(arena, struct number, docket->axis_count),
        .side = sample->side,
        .place = sample->place,
    };
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        bool second = before && piece->apart && piece->apart->variables[v];
        world.readings[v] = sample->values[v + (second ? ground->unknown_count : 0)];
    }
    for (uint32_t r = 0; r < records; r++) {
        bool second = before && piece->apart && piece->apart->records[r];
        world.values[r] = sample->observed[r + (second ? records : 0)];
    }
    for (uint32_t a = 0; a < docket->axis_count && !docket->by_place; a++) {
        world.lo[a] = sample->lo[a];
        world.hi[a] = sample->hi[a];
    }
    return world;
}

struct stood sample_stand(struct arena *arena, const struct piece *piece,
                          const struct sample *sample, bool before)
{
    struct world world = sample_world(arena, piece, sample, before);
    struct stood stood;
    bool uncovered;
    judge_world(arena, piece->ground->docket, &world, &stood.ladders, &stood.count, &uncovered);
    return stood;
}
