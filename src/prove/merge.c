/* One docket out of two: the pair of two books' dockets of one kind on one part. */
#include <string.h>

#include "base/text.h"
#include "book/alike.h"
#include "prove/alike.h"
#include "prove/pair.h"
#include "prove/recut.h"

struct merging {
    struct arena *arena;
    const struct docket *sides[2];
    const struct pair_names *names;
    const char *why;
    struct pair *pair;
    struct docket *docket;
    struct kind *kind;
    uint32_t *ranks[2];   /* by outcome of a side's own scale */
    uint32_t *records[2]; /* by record of a side: in the kind of both */
    uint64_t **value_of;  /* by record of the second: its values' bits in the first's; else NULL */
    uint32_t *variables[2]; /* by variable of a side: in the docket of both */
    uint32_t axis_of[BOOK_AXES], side_of[BOOK_SIDES];
    uint32_t *place_of;
    size_t tie_capacity, variable_capacity;
    struct inequality *ties;
};

static bool refuse(struct merging *merging, const char *why)
{
    if (!merging->why) {
        merging->why = why;
    }
    return false;
}

static bool same_name(const struct merging *merging, const char *first, const char *second)
{
    return strcmp(pair_name(merging->names, first), second) == 0;
}

/* ---- scales --------------------------------------------------------------------------- */

static uint32_t outcome_called(const struct merging *merging, const char *first)
{
    const struct book *book = merging->sides[1]->book;
    for (uint32_t i = 0; i < book->scale_count; i++) {
        if (same_name(merging, first, book->scale[i].name)) {
            return i;
        }
    }
    return UINT32_MAX;
}

static bool is_mapped(const struct merging *merging, uint32_t second)
{
    const struct book *first = merging->sides[0]->book;
    for (uint32_t i = 0; i < first->scale_count; i++) {
        if (outcome_called(merging, first->scale[i].name) == second) {
            return true;
        }
    }
    return false;
}

/* One scale of both, as far as their orders agree. */
static bool merge_scales(struct merging *merging)
{
    struct arena *arena = merging->arena;
    struct pair *pair = merging->pair;
    const struct book *books[2] = {merging->sides[0]->book, merging->sides[1]->book};
    uint32_t rank = 0, j = 0;
    for (int side = 0; side < 2; side++) {
        merging->ranks[side] = ARENA_ARRAY(arena, uint32_t, books[side]->scale_count);
        pair->outcomes[side] = ARENA_ARRAY(arena, uint32_t, 2 * (size_t)BOOK_OUTCOMES);
        memset(pair->outcomes[side], 0xff, 2 * BOOK_OUTCOMES * sizeof(uint32_t));
    }
    for (uint32_t i = 0; i <= books[0]->scale_count; i++) {
        bool end = i == books[0]->scale_count;
        uint32_t there = end ? UINT32_MAX : outcome_called(merging, books[0]->scale[i].name);
        while (j < books[1]->scale_count && j != there && (end || there != UINT32_MAX)) {
            if (is_mapped(merging, j)) {
                return refuse(merging, "the scales have some outcomes in another order");
            }
            pair->outcomes[1][rank] = j;
            merging->ranks[1][j++] = rank++;
        }
        if (end) {
            break;
        }
        if (there != UINT32_MAX && j != there) {
            return refuse(merging, "the scales have some outcomes in another order");
        }
        pair->outcomes[0][rank] = i;
        merging->ranks[0][i] = rank;
        if (there != UINT32_MAX) {
            pair->outcomes[1][rank] = j;
            merging->ranks[1][j++] = rank;
            if (books[0]->scale[i].flight != books[1]->scale[there].flight) {
                pair->flight_differs |= UINT64_C(1) << rank;
            }
        }
        rank++;
    }
    return true;
}

/* ---- the part ------------------------------------------------------------------------------ */

static void merge_breakpoints(struct merging *merging, uint32_t a)
{
    struct arena *arena = merging->arena;
    const struct plan_axis *first = &merging->sides[0]->axes[a];
    const struct plan_axis *second = &merging->sides[1]->axes[merging->axis_of[a]];
    struct number from = number_greatest(arena, first->breakpoints[0], second->breakpoints[0]);
    struct number to = number_least(arena, first->breakpoints[first->breakpoint_count - 1],
                                    second->breakpoints[second->breakpoint_count - 1]);
    struct plan_axis *axis = &merging->docket->axes[a];
    axis->breakpoints =
        ARENA_ARRAY(arena, struct number, first->breakpoint_count + second->breakpoint_count);
    if (number_compare(arena, from, to) > 0) {
        refuse(merging, "the part has no place in common");
        return;
    }
    for (uint32_t i = 0, j = 0; i < first->breakpoint_count || j < second->breakpoint_count;) {
        int order = i == first->breakpoint_count ? 1
                    : j == second->breakpoint_count
                        ? -1
                        : number_compare(arena, first->breakpoints[i], second->breakpoints[j]);
        struct number at = order <= 0 ? first->breakpoints[i] : second->breakpoints[j];
        i += order <= 0;
        j += order >= 0;
        if (number_compare(arena, from, at) <= 0 && number_compare(arena, at, to) <= 0) {
            axis->breakpoints[axis->breakpoint_count++] = at;
        }
    }
    axis->cell_count = 2 * axis->breakpoint_count - 1;
}

static bool merge_axes(struct merging *merging)
{
    const struct part *first = merging->sides[0]->part, *second = merging->sides[1]->part;
    struct docket *docket = merging->docket;
    uint64_t cells = docket->side_count;
    if (first->axis_count != second->axis_count) {
        return refuse(merging, "the part has other axes");
    }
    for (uint32_t a = 0; a < first->axis_count; a++) {
        uint32_t b = 0;
        while (b < second->axis_count &&
               !(same_name(merging, first->axes[a].name, second->axes[b].name) &&
                 dimension_equal(first->axes[a].dimension, second->axes[b].dimension))) {
            b++;
        }
        if (b == second->axis_count) {
            return refuse(merging, "the part has other axes");
        }
        merging->axis_of[a] = b;
        merge_breakpoints(merging, a);
        if (merging->why) {
            return false;
        }
        cells *= docket->axes[a].cell_count;
        if (cells > BOOK_CELLS) {
            return refuse(merging, "the zones and curves of both cut the part into too many cells");
        }
        docket->cell_count *= docket->axes[a].cell_count;
    }
    return true;
}

static bool merge_sides(struct merging *merging)
{
    const struct part *first = merging->sides[0]->part, *second = merging->sides[1]->part;
    if (first->side_count != second->side_count) {
        return refuse(merging, "the part has other sides");
    }
    for (uint32_t s = 0; s < first->side_count; s++) {
        uint32_t t = 0;
        while (t < second->side_count && !same_name(merging, first->sides[s], second->sides[t])) {
            t++;
        }
        if (t == second->side_count) {
            return refuse(merging, "the part has other sides");
        }
        merging->side_of[s] = t;
    }
    return true;
}

static bool merge_places(struct merging *merging)
{
    const struct part *first = merging->sides[0]->part, *second = merging->sides[1]->part;
    if (!first->place_count != !second->place_count) {
        return refuse(merging, "the part has places in one book alone");
    }
    if (first->place_count == 0) {
        return merge_axes(merging);
    }
    merging->place_of = ARENA_ARRAY(merging->arena, uint32_t, first->place_count);
    for (uint32_t p = 0; p < first->place_count; p++) {
        for (uint32_t q = 0; q < second->place_count; q++) {
            if (same_name(merging, first->places[p], second->places[q])) {
                merging->place_of[p] = q;
                merging->pair->places |= UINT64_C(1) << p;
            }
        }
    }
    merging->docket->axes[0] = merging->sides[0]->axes[0];
    merging->docket->cell_count = merging->docket->axes[0].cell_count;
    return merging->pair->places || refuse(merging, "the part has no place in common");
}

/* ---- what is recorded ------------------------------------------------------------------------- */

static bool rounds_alike(const struct measure *a, const struct measure *b)
{
    bool first = a->stepping == TREE_READ_UP_TO || a->stepping == TREE_READ_NEAREST;
    bool second = b->stepping == TREE_READ_UP_TO || b->stepping == TREE_READ_NEAREST;
    if (!first && !second) {
        return true;
    }
    return a->stepping == b->stepping && number_equal(a->step, b->step) &&
           (a->stepping != TREE_READ_UP_TO || a->smaller_is_worse == b->smaller_is_worse);
}

/* All readings that round to R lie from R + low to R + high. */
struct slack {
    struct number low, high;
    bool low_open, high_open;
};

static struct slack slack_of(struct arena *arena, const struct measure *measure)
{
    struct slack slack = {.low = NUMBER_ZERO, .high = NUMBER_ZERO};
    if (measure->stepping == TREE_READ_NEAREST) {
        slack.high = number_divide(arena, measure->step, NUMBER_INT(2));
        slack.low = number_negate(arena, slack.high);
    } else if (measure->stepping == TREE_READ_UP_TO && measure->smaller_is_worse) {
        slack.high = measure->step;
        slack.high_open = true;
    } else if (measure->stepping == TREE_READ_UP_TO) {
        slack.low = number_negate(arena, measure->step);
        slack.low_open = true;
    }
    return slack;
}

/* lower + its low end (< or <=) upper + its high end: some reading rounds to both. */
static void add_tie(struct merging *merging, uint32_t lower, const struct slack *low,
                    uint32_t upper, const struct slack *high)
{
    struct arena *arena = merging->arena;
    struct inequality tie = {.terms = ARENA_ARRAY(arena, struct unknown_term, 2),
                             .term_count = 2,
                             .constant = number_subtract(arena, low->low, high->high),
                             .strict = low->low_open || high->high_open};
    tie.terms[0] = (struct unknown_term){lower, NUMBER_INT(1)};
    tie.terms[1] = (struct unknown_term){upper, NUMBER_INT(-1)};
    *ARENA_PUSH(arena, merging->ties, merging->pair->tie_count, merging->tie_capacity) = tie;
}

static void tie_roundings(struct merging *merging, uint32_t first, const struct measure *of_first,
                          uint32_t second, const struct measure *of_second)
{
    struct slack a = slack_of(merging->arena, of_first);
    struct slack b = slack_of(merging->arena, of_second);
    add_tie(merging, first, &a, second, &b);
    add_tie(merging, second, &b, first, &a);
}

static uint32_t add_record(struct merging *merging, const struct recorded *recorded, uint8_t sides)
{
    struct pair *pair = merging->pair;
    uint32_t r = merging->kind->record_count++;
    merging->kind->records[r] = *recorded;
    pair->recorded[r] = sides;
    pair->from[r] = recorded->measure ? recorded->measure->from : NUMBER_ZERO;
    pair->to[r] = recorded->measure ? recorded->measure->to : NUMBER_ZERO;
    pair->values[r] =
        recorded->observation ? UINT64_MAX >> (64 - recorded->observation->value_count) : 0;
    return r;
}

static bool join_measures(struct merging *merging, uint32_t r, uint32_t second,
                          const struct measure *of_first, const struct measure *of_second)
{
    struct arena *arena = merging->arena;
    struct pair *pair = merging->pair;
    if (!dimension_equal(of_first->dimension, of_second->dimension)) {
        return refuse(merging, "what is recorded by one name is of two sorts");
    }
    struct number from = number_greatest(arena, of_first->from, of_second->from);
    struct number to = number_least(arena, of_first->to, of_second->to);
    if (number_compare(arena, from, to) > 0) {
        return refuse(merging, "the ranges of a measure have nothing in common");
    }
    pair->from[r] = from;
    pair->to[r] = to;
    pair->recorded[r] = 3;
    merging->records[1][second] = r;
    if (!rounds_alike(of_first, of_second)) {
        struct recorded own = merging->sides[1]->kind->records[second];
        own.has_along = false;
        uint32_t shadow = add_record(merging, &own, 0);
        pair->from[shadow] = from;
        pair->to[shadow] = to;
        merging->records[1][second] = shadow;
        tie_roundings(merging, r, of_first, shadow, of_second);
    }
    return true;
}

static bool join_observations(struct merging *merging, uint32_t r, uint32_t second,
                              const struct observation *of_first,
                              const struct observation *of_second)
{
    uint64_t *bits = ARENA_ARRAY(merging->arena, uint64_t, BOOK_VALUES);
    uint64_t both = 0;
    for (uint32_t i = 0; i < of_first->value_count; i++) {
        for (uint32_t j = 0; j < of_second->value_count; j++) {
            bool plain = of_first->sort == TREE_YES_OR_NO &&
                         strcmp(of_first->values[i], of_second->values[j]) == 0;
            if (plain || same_name(merging, of_first->values[i], of_second->values[j])) {
                bits[j] = UINT64_C(1) << i;
                both |= bits[j];
            }
        }
    }
    merging->pair->values[r] = both;
    merging->pair->recorded[r] = 3;
    merging->records[1][second] = r;
    merging->value_of[second] = bits;
    return both || refuse(merging, "the values of an observation have nothing in common");
}

static bool merge_record(struct merging *merging, uint32_t second)
{
    const struct recorded *own = &merging->sides[1]->kind->records[second];
    const struct kind *first = merging->sides[0]->kind;
    for (uint32_t r = 0; r < first->record_count; r++) {
        const struct recorded *other = &first->records[r];
        if (!same_name(merging, other->name, own->name)) {
            continue;
        }
        if (other->measure && own->measure) {
            return join_measures(merging, r, second, other->measure, own->measure);
        }
        if (other->observation && own->observation) {
            return join_observations(merging, r, second, other->observation, own->observation);
        }
        return refuse(merging, "what is recorded by one name is of two sorts");
    }
    struct recorded alone = *own;
    alone.has_along = false;
    merging->records[1][second] = add_record(merging, &alone, 2);
    if (own->observation) {
        uint64_t *bits = ARENA_ARRAY(merging->arena, uint64_t, BOOK_VALUES);
        for (uint32_t j = 0; j < own->observation->value_count; j++) {
            bits[j] = UINT64_C(1) << j;
        }
        merging->value_of[second] = bits;
    }
    return true;
}

static bool merge_records(struct merging *merging)
{
    struct arena *arena = merging->arena;
    const struct kind *kinds[2] = {merging->sides[0]->kind, merging->sides[1]->kind};
    size_t room = (size_t)kinds[0]->record_count + kinds[1]->record_count;
    struct pair *pair = merging->pair;
    merging->kind = ARENA_NEW(arena, struct kind);
    *merging->kind = *kinds[0];
    merging->kind->record_count = 0;
    merging->kind->records = ARENA_ARRAY(arena, struct recorded, room);
    pair->recorded = ARENA_ARRAY(arena, uint8_t, room);
    pair->from = ARENA_ARRAY(arena, struct number, room);
    pair->to = ARENA_ARRAY(arena, struct number, room);
    pair->values = ARENA_ARRAY(arena, uint64_t, room);
    merging->records[0] = ARENA_ARRAY(arena, uint32_t, kinds[0]->record_count);
    merging->records[1] = ARENA_ARRAY(arena, uint32_t, kinds[1]->record_count);
    merging->value_of = ARENA_ARRAY(arena, uint64_t *, kinds[1]->record_count);
    for (uint32_t r = 0; r < kinds[0]->record_count; r++) {
        merging->records[0][r] = add_record(merging, &kinds[0]->records[r], 1);
    }
    for (uint32_t r = 0; r < kinds[1]->record_count; r++) {
        if (!merge_record(merging, r)) {
            return false;
        }
    }
    return true;
}

/* ---- variables --------------------------------------------------------------------------------- */

/* A factor of the second's products, over the measures of both. */
static const struct expression *carry(struct merging *merging, const struct expression *expression)
{
    if (!expression) {
        return NULL;
    }
    if (expression->sort == EXPRESSION_RECKONED) {
        return carry(merging, expression->reckon->value);
    }
    struct expression *made = ARENA_NEW(merging->arena, struct expression);
    *made = *expression;
    if (expression->sort == EXPRESSION_MEASURE) {
        const struct kind *own = merging->sides[1]->kind;
        for (uint32_t r = 0; r < own->record_count; r++) {
            if (own->records[r].measure == expression->measure) {
                made->measure = merging->kind->records[merging->records[1][r]].measure;
            }
        }
    }
    made->left = carry(merging, expression->left);
    made->right = carry(merging, expression->right);
    return made;
}

static bool same_measures(const struct expression *a, const struct expression *b)
{
    a = expression_see_through(a);
    if (a->sort != b->sort) {
        return false;
    }
    if (a->sort == EXPRESSION_FIGURE) {
        return number_equal(a->value, b->value);
    }
    if (a->sort == EXPRESSION_MEASURE) {
        return a->measure == b->measure;
    }
    return a->left && b->left && a->right && b->right && same_measures(a->left, b->left) &&
           same_measures(a->right, b->right);
}

static bool called_in_both(const void *context, const char *first, const char *second)
{
    return same_name(context, first, second);
}

/* `a` is a variable of the first side, `b` of the second. */
static bool variable_same(const struct merging *merging, const struct variable *a,
                          const struct variable *b)
{
    if (a->sort != b->sort) {
        return false;
    }
    switch (a->sort) {
    case VARIABLE_PRODUCT:
        return same_measures(a->factors[0], b->factors[0]) &&
               same_measures(a->factors[1], b->factors[1]);
    case VARIABLE_COMPANY:
        return aggregate_alike(a->aggregate, b->aggregate, called_in_both, merging);
    case VARIABLE_EARLIER:
    case VARIABLE_FIRST:
        return a->record == b->record;
    case VARIABLE_SEEN:
        return true;
    case VARIABLE_RECORD:
        break;
    }
    return false;
}

static uint32_t merge_variable(struct merging *merging, uint32_t side,
                               const struct variable *variable)
{
    struct docket *docket = merging->docket;
    struct variable own = *variable;
    if (own.sort == VARIABLE_EARLIER || own.sort == VARIABLE_FIRST) {
        own.record = merging->records[side][own.record];
    }
    if (own.sort == VARIABLE_PRODUCT && side == 1) {
        own.factors[0] = carry(merging, own.factors[0]);
        own.factors[1] = carry(merging, own.factors[1]);
    }
    /* Those of the first side that are no records stand behind the records, each by itself. */
    const struct docket *first = merging->sides[0];
    uint32_t end = merging->kind->record_count + first->variable_count - first->kind->record_count;
    for (uint32_t v = merging->kind->record_count; side == 1 && v < end; v++) {
        if (variable_same(merging, &docket->variables[v], &own)) {
            return v;
        }
    }
    *ARENA_PUSH(merging->arena, docket->variables, docket->variable_count,
                merging->variable_capacity) = own;
    return docket->variable_count - 1;
}

static void merge_variables(struct merging *merging)
{
    struct docket *docket = merging->docket;
    docket->variables = NULL;
    docket->variable_count = 0;
    for (uint32_t r = 0; r < merging->kind->record_count; r++) {
        const struct measure *measure = merging->kind->records[r].measure;
        struct variable variable = {.sort = VARIABLE_RECORD, .step = NUMBER_ZERO};
        if (measure) {
            variable = plan_measure_variable(measure);
        }
        *ARENA_PUSH(merging->arena, docket->variables, docket->variable_count,
                    merging->variable_capacity) = variable;
    }
    for (uint32_t side = 0; side < 2; side++) {
        const struct docket *own = merging->sides[side];
        merging->variables[side] = ARENA_ARRAY(merging->arena, uint32_t, own->variable_count);
        for (uint32_t v = 0; v < own->variable_count; v++) {
            merging->variables[side][v] = v < own->kind->record_count
                                              ? merging->records[side][v]
                                              : merge_variable(merging, side, &own->variables[v]);
        }
    }
}

/* ---- limits ---------------------------------------------------------------------------------------- */

static struct recut recut_of(struct merging *merging, uint32_t side)
{
    struct recut recut = {.arena = merging->arena,
                          .from = merging->sides[side],
                          .to = merging->docket,
                          .variables = merging->variables[side],
                          .outcomes = merging->ranks[side]};
    for (uint32_t i = 0; i < BOOK_AXES; i++) {
        recut.axis_of[i] = side ? merging->axis_of[i] : i;
    }
    for (uint32_t i = 0; i < BOOK_SIDES; i++) {
        recut.side_of[i] = side ? merging->side_of[i] : i;
    }
    if (side) {
        recut.place_of = merging->place_of;
        recut.records = merging->records[1];
        recut.value_of = merging->value_of;
    }
    recut_begin(&recut);
    return recut;
}

/* What a side does not cover, as a limit without lines; false where it covers all. */
static bool bare_limit(struct merging *merging, const struct recut *recut, struct plan_limit *bare)
{
    uint64_t *cells = recut_cells(recut, recut->from->covered);
    const struct docket *docket = merging->docket;
    bool any = false;
    for (size_t at = 0; at < (size_t)docket->side_count * docket->cell_count; at++) {
        bool between = docket->by_place && at % docket->cell_count % 2 == 1;
        uint64_t one = UINT64_C(1) << (at % 64);
        if (between || cells[at / 64] & one) {
            cells[at / 64] &= ~one;
        } else {
            cells[at / 64] |= one;
            any = true;
        }
    }
    *bare = (struct plan_limit){.cells = cells};
    return any;
}

static bool add_limit(struct merging *merging, uint32_t side, const struct plan_limit *limit,
                      const struct plan_limit *origin)
{
    struct docket *docket = merging->docket;
    struct pair *pair = merging->pair;
    size_t words = recut_words(docket);
    for (uint32_t l = 0; side == 1 && l < docket->limit_count; l++) {
        if (!(pair->limits[1] >> l & 1) && pair->limits[0] >> l & 1 &&
            limit_alike(merging->arena, &docket->limits[l], limit, words)) {
            pair->limits[1] |= UINT64_C(1) << l;
            pair->origin[1][l] = origin;
            return true;
        }
    }
    if (docket->limit_count == 64) {
        return refuse(merging, "more than 64 ladders that are not in both");
    }
    uint32_t l = docket->limit_count++;
    docket->limits[l] = *limit;
    pair->limits[side] |= UINT64_C(1) << l;
    pair->origin[side][l] = origin;
    return true;
}

static bool merge_limits(struct merging *merging)
{
    struct docket *docket = merging->docket;
    docket->limits = ARENA_ARRAY(merging->arena, struct plan_limit, 64);
    docket->limit_count = 0;
    docket->covered = ARENA_ARRAY(merging->arena, uint64_t, recut_words(docket));
    memset(docket->covered, 0xff, recut_words(docket) * sizeof *docket->covered);
    for (uint32_t side = 0; side < 2; side++) {
        merging->pair->origin[side] = ARENA_ARRAY(merging->arena, const struct plan_limit *, 64);
    }
    for (uint32_t side = 0; side < 2; side++) {
        struct recut recut = recut_of(merging, side);
        const struct docket *own = merging->sides[side];
        for (uint32_t l = 0; l < own->limit_count; l++) {
            struct plan_limit limit = recut_limit(&recut, &own->limits[l]);
            if (!add_limit(merging, side, &limit, &own->limits[l])) {
                return false;
            }
        }
        struct plan_limit bare;
        if (bare_limit(merging, &recut, &bare) && !add_limit(merging, side, &bare, NULL)) {
            return false;
        }
    }
    return true;
}

/* ---- the whole --------------------------------------------------------------------------------------- */

struct pair *pair_make(struct arena *arena, const struct ready_book *const books[2],
                       const struct docket *const sides[2], const struct pair_names *names,
                       const char **why)
{
    struct merging merging = {.arena = arena, .sides = {sides[0], sides[1]}, .names = names};
    struct pair *pair = merging.pair = ARENA_NEW(arena, struct pair);
    struct docket *docket = merging.docket = ARENA_NEW(arena, struct docket);
    *docket = *sides[0];
    docket->axes = ARENA_ARRAY(arena, struct plan_axis, BOOK_AXES);
    docket->cell_count = 1;
    pair->names = names;
    for (int side = 0; side < 2; side++) {
        pair->books[side] = books[side];
        pair->sides[side] = sides[side];
    }
    if (!merge_scales(&merging) || !merge_sides(&merging) || !merge_places(&merging) ||
        !merge_records(&merging)) {
        *why = merging.why;
        return NULL;
    }
    struct book *both = ARENA_NEW(arena, struct book);
    *both = *sides[0]->book;
    both->no_published_limit = merging.ranks[0][sides[0]->book->no_published_limit];
    docket->book = both;
    docket->kind = merging.kind;
    merge_variables(&merging);
    if (!merge_limits(&merging)) {
        *why = merging.why;
        return NULL;
    }
    pair->ties = merging.ties;
    pair->docket = docket;
    pair_classes(arena, pair);
    return pair;
}
