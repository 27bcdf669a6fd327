/* Cases of what a damage does to its own company. */
#include "prove/own.h"

#include <string.h>

#include "prove/goes.h"

/* What the cases of one question share. */
struct owning {
    struct arena *arena;
    const struct docket *docket;
    uint32_t unknowns;   /* of one block */
    uint32_t coordinate; /* of own_adds: none, UINT32_MAX */
    bool observed;
};

static bool is_member_sort(const struct aggregate *aggregate)
{
    return aggregate->sort == AGGREGATE_COUNT || aggregate->sort == AGGREGATE_TOTAL ||
           aggregate->sort == AGGREGATE_LARGEST;
}

static bool is_company(const struct docket *docket, uint32_t variable)
{
    return docket->variables[variable].sort == VARIABLE_COMPANY;
}

/* As ground counts them: variables, then both ends on each axis. */
static uint32_t unknowns_of(const struct docket *docket)
{
    return docket->variable_count + 2 * docket->axis_count;
}

/* ---- directions ----------------------------------------------------------------------------- */

/* How an expression goes as the coordinate gets worse. */
static enum goes worsens(const struct docket *docket, const struct expression *expression,
                         uint32_t coordinate, bool observed)
{
    if (!expression || observed) {
        return GOES_NOT;
    }
    const struct measure *measure = docket->kind->records[coordinate].measure;
    enum goes goes = goes_with(expression, measure);
    return measure->smaller_is_worse ? goes_turned(goes) : goes;
}

/* May what is so related to a bound stop being so as its value goes? */
static bool may_leave(enum goes goes, enum tree_relation relation)
{
    return goes & (relation_is_upper(relation) ? GOES_UP : GOES_DOWN);
}

/* Can worse damage cease to pass? */
static bool leaves_filter(const struct docket *docket, const struct filter *filter,
                          uint32_t coordinate, bool observed)
{
    if (!filter->observation) {
        return may_leave(worsens(docket, filter->left, coordinate, observed), filter->relation);
    }
    uint64_t least = filter->values & -filter->values;
    uint64_t from_least = observation_values(filter->observation) & ~(least - 1);
    return observed && docket->kind->records[coordinate].observation == filter->observation &&
           filter->values != from_least; /* not every level from the least that passes */
}

/* Can the distance get less, or the pair not be asked of any more? */
static bool nearness_falls(const struct docket *docket, const struct aggregate *aggregate,
                           uint32_t coordinate, bool observed)
{
    if (aggregate->sort != AGGREGATE_APART) {
        return false; /* facing asks where it is, and on which side */
    }
    enum goes pair = worsens(docket, aggregate->pair, coordinate, observed) |
                     goes_turned(worsens(docket, aggregate->pair_limit, coordinate, observed));
    return worsens(docket, aggregate->distance, coordinate, observed) & GOES_DOWN ||
           (aggregate->pair && may_leave(pair, aggregate->pair_relation));
}

bool own_may_fall(const struct docket *docket, uint32_t variable, uint32_t coordinate,
                  bool observed)
{
    if (!is_company(docket, variable)) {
        return false;
    }
    const struct aggregate *aggregate = docket->variables[variable].aggregate;
    if (!is_member_sort(aggregate)) {
        return nearness_falls(docket, aggregate, coordinate, observed);
    }
    bool falls = worsens(docket, aggregate->value, coordinate, observed) & GOES_DOWN;
    for (uint32_t i = 0; i < aggregate->filter_count; i++) {
        falls |= leaves_filter(docket, &aggregate->filters[i], coordinate, observed);
    }
    return falls && aggregate_names(aggregate, docket->kind);
}

/* ---- sums of unknowns ------------------------------------------------------------------------ */

/* A coefficient for each unknown of both blocks, and a constant. */
struct sum {
    struct number *coefficients;
    struct number constant;
};

static struct sum sum_begin(const struct owning *owning)
{
    struct sum sum = {ARENA_ARRAY(owning->arena, struct number, 2 * (size_t)owning->unknowns),
                      NUMBER_ZERO};
    for (uint32_t u = 0; u < 2 * owning->unknowns; u++) {
        sum.coefficients[u] = NUMBER_ZERO;
    }
    return sum;
}

static void sum_add(const struct owning *owning, struct sum *sum, uint32_t unknown,
                    struct number coefficient)
{
    sum->coefficients[unknown] = number_add(owning->arena, sum->coefficients[unknown], coefficient);
}

/* The figure that an expression is; false where it is none. */
static bool constant_of(const struct expression *expression, struct number *value)
{
    expression = expression_see_through(expression);
    *value = expression->value;
    return expression->sort == EXPRESSION_FIGURE;
}

/* Adds `factor` times an expression, now or before; false where it is no plain sum of the kind's readings. */
static bool sum_expression(const struct owning *owning, struct sum *sum,
                           const struct expression *expression, bool before, struct number factor)
{
    struct arena *arena = owning->arena;
    struct number figure;
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        sum->constant =
            number_add(arena, sum->constant, number_multiply(arena, factor, expression->value));
        return true;
    case EXPRESSION_MEASURE: {
        int32_t position = kind_measure_position(owning->docket->kind, expression->measure);
        uint32_t record = (uint32_t)position;
        bool second = before && record == owning->coordinate && !owning->observed;
        if (position < 0) {
            return false;
        }
        sum_add(owning, sum, record + (second ? owning->unknowns : 0), factor);
        return true;
    }
    case EXPRESSION_RECKONED:
        return sum_expression(owning, sum, expression->reckon->value, before, factor);
    case EXPRESSION_ADD:
        return sum_expression(owning, sum, expression->left, before, factor) &&
               sum_expression(owning, sum, expression->right, before, factor);
    case EXPRESSION_SUBTRACT:
        return sum_expression(owning, sum, expression->left, before, factor) &&
               sum_expression(owning, sum, expression->right, before, number_negate(arena, factor));
    case EXPRESSION_MULTIPLY:
        if (constant_of(expression->left, &figure)) {
            return sum_expression(owning, sum, expression->right, before,
                                  number_multiply(arena, factor, figure));
        }
        return constant_of(expression->right, &figure) &&
               sum_expression(owning, sum, expression->left, before,
                              number_multiply(arena, factor, figure));
    case EXPRESSION_DIVIDE:
        return constant_of(expression->right, &figure) && number_sign(figure) &&
               sum_expression(owning, sum, expression->left, before,
                              number_divide(arena, factor, figure));
    default:
        return false;
    }
}

/* ---- ties ---------------------------------------------------------------------------------------- */

/* In the case, sum <= 0, or < 0. */
static void tie(const struct owning *owning, struct own_case *made, const struct sum *sum,
                bool strict)
{
    struct inequality *added =
        ARENA_PUSH(owning->arena, made->ties, made->tie_count, made->tie_capacity);
    *added = (struct inequality){
        .terms = ARENA_ARRAY(owning->arena, struct unknown_term, 2 * (size_t)owning->unknowns),
        .constant = sum->constant,
        .strict = strict};
    for (uint32_t u = 0; u < 2 * owning->unknowns; u++) {
        if (number_sign(sum->coefficients[u])) {
            added->terms[added->term_count++] = (struct unknown_term){u, sum->coefficients[u]};
        }
    }
    if (added->term_count == 0) {
        made->tie_count--; /* says nothing of the worlds; a case that cannot be is only looked at in vain */
    }
}

static struct sum sum_negated(const struct owning *owning, const struct sum *sum)
{
    struct sum negated = sum_begin(owning);
    for (uint32_t u = 0; u < 2 * owning->unknowns; u++) {
        negated.coefficients[u] = number_negate(owning->arena, sum->coefficients[u]);
    }
    negated.constant = number_negate(owning->arena, sum->constant);
    return negated;
}

static void tie_equal(const struct owning *owning, struct own_case *made, const struct sum *sum)
{
    struct sum negated = sum_negated(owning, sum);
    tie(owning, made, sum, false);
    tie(owning, made, &negated, false);
}

/* The filter holds (or not), now or before. */
static void tie_filter(const struct owning *owning, struct own_case *made,
                       const struct filter *filter, bool before, bool holds)
{
    const struct kind *kind = owning->docket->kind;
    if (filter->observation) {
        for (uint32_t r = 0; r < kind->record_count; r++) {
            bool second = before && owning->observed && r == owning->coordinate;
            if (kind->records[r].observation == filter->observation) {
                made->values[r + (second ? kind->record_count : 0)] &=
                    holds ? filter->values : ~filter->values;
            }
        }
        return;
    }
    bool upper = relation_is_upper(filter->relation), strict = relation_is_strict(filter->relation);
    bool most = upper == holds; /* the value is held from above */
    struct number sign = NUMBER_INT(most ? 1 : -1);
    struct sum sum = sum_begin(owning);
    sum.constant =
        number_multiply(owning->arena, number_negate(owning->arena, sign), filter->limit);
    if (sum_expression(owning, &sum, filter->left, before, sign)) {
        tie(owning, made, &sum, strict == holds);
    }
}

static void tie_filters(const struct owning *owning, struct own_case *made,
                        const struct aggregate *aggregate, bool before)
{
    for (uint32_t i = 0; i < aggregate->filter_count; i++) {
        tie_filter(owning, made, &aggregate->filters[i], before, true);
    }
}

/* Adds what the finding itself counts for, or adds up to; false where that is no plain sum. */
static bool sum_own(const struct owning *owning, struct sum *sum, const struct aggregate *aggregate,
                    bool before, struct number factor)
{
    if (aggregate->sort == AGGREGATE_COUNT) {
        sum->constant = number_add(owning->arena, sum->constant, factor);
        return true;
    }
    return sum_expression(owning, sum, aggregate->value, before, factor);
}

/* ---- falling ---------------------------------------------------------------------------------------- */

/* Ways in which one variable falls: by its filters one after the other, then by its value. Nearness has one. */
#define BY_VALUE(aggregate) ((aggregate)->filter_count)

static bool way_open(const struct owning *owning, uint32_t variable, uint32_t way)
{
    const struct docket *docket = owning->docket;
    const struct aggregate *aggregate = docket->variables[variable].aggregate;
    if (!own_may_fall(docket, variable, owning->coordinate, owning->observed)) {
        return false;
    }
    if (!is_member_sort(aggregate)) {
        return way == 0;
    }
    if (way < aggregate->filter_count) {
        return leaves_filter(docket, &aggregate->filters[way], owning->coordinate,
                             owning->observed);
    }
    return way == BY_VALUE(aggregate) &&
           worsens(docket, aggregate->value, owning->coordinate, owning->observed) & GOES_DOWN;
}

/* The variable is now at least what the finding itself counts for. */
static void tie_own(const struct owning *owning, struct own_case *made, uint32_t variable)
{
    struct sum own = sum_begin(owning);
    sum_add(owning, &own, variable, NUMBER_INT(-1));
    if (sum_own(owning, &own, owning->docket->variables[variable].aggregate, false,
                NUMBER_INT(1))) {
        tie(owning, made, &own, false);
    }
}

/* What the variable loses: all that the finding was counted for, or as much as that is less now. */
static void tie_loss(const struct owning *owning, struct own_case *made, uint32_t variable,
                     bool left)
{
    const struct aggregate *aggregate = owning->docket->variables[variable].aggregate;
    struct number one = NUMBER_INT(1), less = NUMBER_INT(-1);
    uint32_t now = variable, before = variable + owning->unknowns;
    struct sum loss = sum_begin(owning);
    bool largest = aggregate->sort == AGGREGATE_LARGEST;
    sum_add(owning, &loss, before, one); /* it was the largest, and something less is now */
    if (!largest) {
        sum_add(owning, &loss, now, less);
    }
    if (sum_own(owning, &loss, aggregate, true, less) &&
        (largest || left || sum_own(owning, &loss, aggregate, false, one))) {
        tie_equal(owning, made, &loss);
    }
    if (!left) {
        tie_own(owning, made, variable);
    }
}

static void fall(const struct owning *owning, struct own_case *made, uint32_t variable,
                 uint32_t way)
{
    const struct aggregate *aggregate = owning->docket->variables[variable].aggregate;
    uint32_t now = variable, before = variable + owning->unknowns;
    struct sum less = sum_begin(owning);
    made->falls[variable] = true;
    sum_add(owning, &less, now, NUMBER_INT(1));
    sum_add(owning, &less, before, NUMBER_INT(-1));
    tie(owning, made, &less, aggregate->sort == AGGREGATE_COUNT);
    if (!is_member_sort(aggregate)) {
        struct sum near = sum_begin(owning), none = sum_begin(owning);
        sum_add(owning, &near, before, NUMBER_INT(1));
        near.constant = NUMBER_INT(-1);
        tie_equal(owning, made, &near);
        sum_add(owning, &none, now, NUMBER_INT(1));
        tie(owning, made, &none, false);
        return;
    }
    bool left = way < aggregate->filter_count;
    tie_filters(owning, made, aggregate, true);
    if (left) {
        tie_filter(owning, made, &aggregate->filters[way], false, false);
    } else {
        tie_filters(owning, made, aggregate, false);
    }
    tie_loss(owning, made, variable, left);
}

/* ---- cases -------------------------------------------------------------------------------------------- */

static struct own_case case_begin(const struct owning *owning)
{
    uint32_t records = owning->docket->kind->record_count;
    struct own_case made = {.values = ARENA_ARRAY(owning->arena, uint64_t, 2 * (size_t)records),
                            .falls =
                                ARENA_ARRAY(owning->arena, bool, owning->docket->variable_count)};
    memset(made.values, 0xff, 2 * (size_t)records * sizeof *made.values);
    return made;
}

static struct own_case case_copy(const struct owning *owning, const struct own_case *from)
{
    struct own_case made = case_begin(owning);
    for (uint32_t t = 0; t < from->tie_count; t++) {
        *ARENA_PUSH(owning->arena, made.ties, made.tie_count, made.tie_capacity) = from->ties[t];
    }
    memcpy(made.values, from->values,
           2 * (size_t)owning->docket->kind->record_count * sizeof *made.values);
    memcpy(made.falls, from->falls, owning->docket->variable_count * sizeof *made.falls);
    return made;
}

static struct own_case *case_add(const struct owning *owning, struct own_cases *cases,
                                 const struct own_case *from)
{
    if (cases->count == OWN_CASES) {
        cases->too_many = true;
        return NULL;
    }
    struct own_case made = case_copy(owning, from); /* `from` may be of these */
    struct own_case *added = ARENA_PUSH(owning->arena, cases->items, cases->count, cases->capacity);
    *added = made;
    return added;
}

struct own_cases own_falls(struct arena *arena, const struct docket *docket, const bool *asked,
                           uint32_t coordinate, bool observed)
{
    struct owning owning = {.arena = arena,
                            .docket = docket,
                            .unknowns = unknowns_of(docket),
                            .coordinate = coordinate,
                            .observed = observed};
    struct own_cases cases = {.items = NULL};
    struct own_case still = case_begin(&owning);
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        uint32_t before =
            cases.count; /* each of these, and nothing fallen so far, with a further fall */
        uint32_t ways = asked[v] && is_company(docket, v)
                            ? docket->variables[v].aggregate->filter_count + 1
                            : 0;
        for (uint32_t way = 0; way < ways; way++) {
            for (uint32_t i = 0; way_open(&owning, v, way) && i <= before; i++) {
                struct own_case *added =
                    case_add(&owning, &cases, i < before ? &cases.items[i] : &still);
                if (added) {
                    fall(&owning, added, v, way);
                }
            }
        }
    }
    return cases;
}

/* ---- what a finding adds --------------------------------------------------------------------------------- */

/* May a finding that meets the limit be a member, and is it in the scope wherever it is? */
static bool adds_itself(const struct docket *docket, uint32_t variable, const struct limit *limit)
{
    if (!is_company(docket, variable)) {
        return false;
    }
    const struct aggregate *aggregate = docket->variables[variable].aggregate;
    const struct zone *zone = aggregate->zone;
    return is_member_sort(aggregate) && aggregate_names(aggregate, docket->kind) &&
           (!zone || zone->is_part || zone == limit->zone) &&
           !aggregate_counts_itself(aggregate, docket->kind, docket->part); /* from 1 in all */
}

/* The finding does not pass filter `way`, or (the last way) it is a member and adds what it does. */
static void add_own(const struct owning *owning, struct own_case *made, uint32_t variable,
                    uint32_t way)
{
    const struct aggregate *aggregate = owning->docket->variables[variable].aggregate;
    if (way < aggregate->filter_count) {
        tie_filter(owning, made, &aggregate->filters[way], false, false);
        return;
    }
    tie_filters(owning, made, aggregate, false);
    tie_own(owning, made, variable);
}

static bool kinds_within(const struct aggregate *a, const struct aggregate *b)
{
    bool within = b->kind_count == 0 || a->kind_count > 0;
    for (uint32_t i = 0; i < a->kind_count; i++) {
        within = within && aggregate_names(b, a->kinds[i]);
    }
    return within;
}

static bool scope_within(const struct aggregate *a, const struct aggregate *b)
{
    if (b->scope == TREE_ON_PROPELLER) {
        return true;
    }
    if (a->scope == TREE_ON_PROPELLER) {
        return false;
    }
    if (b->scope == TREE_ON_NAME || b->scope == TREE_ON_A) {
        return b->zone->is_part ||
               ((a->scope == TREE_ON_NAME || a->scope == TREE_ON_A) && a->zone == b->zone);
    }
    return b->scope == TREE_ON_A_SIDE && a->scope == TREE_ON_A_SIDE;
}

static const struct measure *plain_measure(const struct expression *expression)
{
    expression = expression_see_through(expression);
    return expression->sort == EXPRESSION_MEASURE ? expression->measure : NULL;
}

/* Is the first never more than the second? */
static bool never_more(struct arena *arena, const struct aggregate *a, const struct aggregate *b)
{
    if (a->sort != b->sort || !is_member_sort(a) || b->filter_count > 0 || !kinds_within(a, b) ||
        (a->value &&
         (!plain_measure(a->value) || plain_measure(a->value) != plain_measure(b->value)))) {
        return false;
    }
    bool windows = a->scope == TREE_WITHIN_ANY && b->scope == TREE_WITHIN_ANY;
    return windows
               ? strcmp(a->axis, b->axis) == 0 && number_compare(arena, a->window, b->window) <= 0
               : scope_within(a, b);
}

static void add_between(const struct owning *owning, struct own_case *made)
{
    const struct docket *docket = owning->docket;
    for (uint32_t a = 0; a < docket->variable_count; a++) {
        for (uint32_t b = 0; b < docket->variable_count; b++) {
            if (a == b || !is_company(docket, a) || !is_company(docket, b) ||
                !never_more(owning->arena, docket->variables[a].aggregate,
                            docket->variables[b].aggregate)) {
                continue;
            }
            struct sum sum = sum_begin(owning);
            sum_add(owning, &sum, a, NUMBER_INT(1));
            sum_add(owning, &sum, b, NUMBER_INT(-1));
            tie(owning, made, &sum, false);
        }
    }
}

/* Each case so far, once for each way. The first cases go on in the way that stands first. */
static void multiply(const struct owning *owning, struct own_cases *cases, uint32_t variable)
{
    const struct aggregate *aggregate = owning->docket->variables[variable].aggregate;
    uint32_t before = cases->count;
    if (before * (aggregate->filter_count + 1) > OWN_CASES) {
        return; /* nothing is said of this one */
    }
    for (uint32_t way = 1; way <= aggregate->filter_count; way++) {
        for (uint32_t i = 0; i < before; i++) {
            add_own(owning, case_add(owning, cases, &cases->items[i]), variable, way);
        }
    }
    for (uint32_t i = 0; i < before; i++) {
        add_own(owning, &cases->items[i], variable, 0);
    }
}

struct own_cases own_adds(struct arena *arena, const struct docket *docket,
                          const struct limit *limit)
{
    struct owning owning = {.arena = arena,
                            .docket = docket,
                            .unknowns = unknowns_of(docket),
                            .coordinate = UINT32_MAX};
    struct own_cases cases = {.items = NULL};
    struct own_case whole = case_begin(&owning);
    add_between(&owning, &whole);
    case_add(&owning, &cases, &whole);
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        if (adds_itself(docket, v, limit)) {
            multiply(&owning, &cases, v);
        }
    }
    return cases;
}

bool own_adds_any(const struct own_cases *cases)
{
    return cases->count > 1 || cases->items[0].tie_count > 0;
}
