/* Conditions on damage in company (counts, totals, distances, both faces) and on growth. */
#include "book/check.h"

#include <string.h>

/* ---- scopes -------------------------------------------------------------------------------- */

static bool has_no_place(struct checker *checker, const struct ladder *ladder, struct span at)
{
    if (ladder->kind_count == 0 || !ladder->kinds[0]->is_check)
        return false;
    problem_help(problem_add(checker->problems, STAVE_ERROR, "no-place", at,
                             "'%s' asks for a place, and a check has none",
                             check_quote(checker, at)),
                 checker->problems, "count on the part, a zone or the propeller");
    return true;
}

/* The scope lies on the part of every zone of the ladder. */
static bool scope_on_zones(struct checker *checker, const struct ladder *ladder,
                           const struct zone *scope, struct span at)
{
    uint32_t i;

    for (i = 0; i < ladder->zone_count; i++)
        if (ladder->zones[i]->part != scope->part) {
            problem_help(problem_add(checker->problems, STAVE_ERROR, "scope", at,
                                     "'%s' is on part '%s', and the limit is on part '%s'",
                                     scope->name, scope->part->name, ladder->zones[i]->part->name),
                         checker->problems, "count on the same part, or 'on the propeller'");
            return false;
        }
    return true;
}

static bool scope_name(struct checker *checker, const struct ladder *ladder,
                       const struct tree_company *tree, struct aggregate *aggregate)
{
    const struct name *name;

    if (tree->scope == TREE_ON_A && strcmp(tree->article.text, "a") != 0 &&
        strcmp(tree->article.text, "an") != 0) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "scope", tree->article.span,
                                 "'%s' is not understood here", tree->article.text),
                     checker->problems, "write 'on a %s' for all of one", tree->place.text);
        return false;
    }
    name = names_get(checker, tree->place,
                     tree->scope == TREE_ON_A ? SORT_BIT(SORT_PART)
                                              : SORT_BIT(SORT_ZONE) | SORT_BIT(SORT_PART),
                     tree->scope == TREE_ON_A ? "part" : "zone or part");
    if (name == NULL || name->broken)
        return false;
    aggregate->zone = &checker->book->zones[name->index];
    return aggregate->zone->part != NULL &&
           scope_on_zones(checker, ladder, aggregate->zone, tree->place.span);
}

static bool scope_side(struct checker *checker, const struct ladder *ladder,
                       const struct tree_company *tree)
{
    uint32_t i;

    if (tree->article.text != NULL && strcmp(tree->article.text, "a") != 0) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "scope", tree->article.span,
                                 "'%s' is not understood here", tree->article.text),
                     checker->problems, "write 'on a side'");
        return false;
    }
    if (has_no_place(checker, ladder, tree->span))
        return false;
    for (i = 0; i < ladder->zone_count; i++)
        if (ladder->zones[i]->part->side_count < 2) {
            problem_add(checker->problems, STAVE_ERROR, "scope", tree->span,
                        "part '%s' has no sides", ladder->zones[i]->part->name);
            return false;
        }
    return true;
}

static const struct axis *find_axis(const struct part *part, const char *name)
{
    uint32_t i;

    for (i = 0; i < part->axis_count; i++)
        if (strcmp(part->axes[i].name, name) == 0)
            return &part->axes[i];
    return NULL;
}

/* Every part of the ladder has the axis, in the dimension of what is measured along it. */
static bool axis_on_zones(struct checker *checker, const struct ladder *ladder,
                          struct tree_word word, struct dimension dimension, struct span at)
{
    uint32_t i;

    for (i = 0; i < ladder->zone_count; i++) {
        const struct part *part = ladder->zones[i]->part;
        const struct axis *axis = find_axis(part, word.text);

        if (axis == NULL) {
            const char *names[BOOK_AXES];
            uint32_t j;

            for (j = 0; j < part->axis_count; j++)
                names[j] = part->axes[j].name;
            names_unknown(checker, word, "axis",
                          text_format(checker->arena, " of part '%s'", part->name), names,
                          part->axis_count);
            return false;
        }
        if (!dimension_equal(axis->dimension, dimension)) {
            check_second(checker,
                         problem_add(checker->problems, STAVE_ERROR, "dimension", at,
                                     "'%s' is %s, but '%s' is %s", check_quote(checker, at),
                                     dimension_name(checker->arena, dimension), axis->name,
                                     dimension_name(checker->arena, axis->dimension)),
                         axis->span, "declared here");
            return false;
        }
    }
    return true;
}

static bool scope_window(struct checker *checker, const struct ladder *ladder,
                         const struct tree_company *tree, struct aggregate *aggregate)
{
    if (has_no_place(checker, ladder, tree->span))
        return false;
    aggregate->axis = tree->axis.text;
    aggregate->window = tree->window.value;
    return figure_bounded(checker, &tree->window) &&
           axis_on_zones(checker, ladder, tree->axis, figure_dimension(&tree->window),
                         tree->window.span);
}

static bool find_scope(struct checker *checker, const struct ladder *ladder,
                       const struct tree_company *tree, struct aggregate *aggregate)
{
    switch (tree->scope) {
    case TREE_ON_NAME:
    case TREE_ON_A:
        return scope_name(checker, ladder, tree, aggregate);
    case TREE_ON_A_SIDE:
        return scope_side(checker, ladder, tree);
    case TREE_WITHIN_ANY:
        return scope_window(checker, ladder, tree, aggregate);
    case TREE_ON_PROPELLER:
    case TREE_NO_SCOPE:
        break;
    }
    return true;
}

/* ---- distances ------------------------------------------------------------------------------- */

/* The one length axis of a part, where none is named. */
static bool only_length_axis(struct checker *checker, const struct ladder *ladder,
                             struct tree_word *word, struct span at)
{
    const struct dimension length = {.length = 1};
    const struct part *part = ladder->zones[0]->part;
    uint32_t count = 0, i;

    for (i = 0; i < part->axis_count; i++)
        if (dimension_equal(part->axes[i].dimension, length)) {
            word->text = part->axes[i].name;
            count++;
        }
    word->span = at;
    if (count == 1)
        return true;
    problem_help(problem_add(checker->problems, STAVE_ERROR, "no-axis", at,
                             "part '%s' has %s length axis to be apart along", part->name,
                             count == 0 ? "no" : "more than one"),
                 checker->problems, "name it: 'apart from … along AXIS by …'");
    return false;
}

static bool check_pair(struct checker *checker, const struct ladder *ladder,
                       const struct tree_condition *tree, struct aggregate *aggregate)
{
    struct expression_facts facts, limit_facts;
    const struct tree_bound *bound = tree->bounds;

    if (tree->pair == NULL)
        return true;
    aggregate->pair = expression_check(checker, tree->pair, &facts);
    aggregate->pair_limit = expression_check(checker, bound->limit, &limit_facts);
    aggregate->pair_relation = bound->relation;
    if (aggregate->pair == NULL || aggregate->pair_limit == NULL)
        return false;
    if (bound->next != NULL) {
        problem_add(checker->problems, STAVE_ERROR, "too-many", bound->next->span,
                    "more than one bound after 'where'");
        return false;
    }
    if (!dimension_equal(aggregate->pair->dimension, aggregate->pair_limit->dimension)) {
        expression_mismatch(checker, aggregate->pair, aggregate->pair_limit);
        return false;
    }
    return members_record(checker, ladder, aggregate, aggregate->pair) &&
           members_record(checker, ladder, aggregate, aggregate->pair_limit);
}

/* Is it 0 whatever is read, or less? */
static bool is_nothing(struct checker *checker, const struct expression *expression)
{
    struct number value;

    if (expression_constant(checker, expression, &value))
        return number_sign(value) <= 0;
    switch (expression->sort) {
    case EXPRESSION_RECKONED:
        return is_nothing(checker, expression->reckon->value);
    case EXPRESSION_MULTIPLY:
    case EXPRESSION_LESSER:
        return is_nothing(checker, expression->left) || is_nothing(checker, expression->right);
    case EXPRESSION_DIVIDE:
        return is_nothing(checker, expression->left);
    case EXPRESSION_ADD:
    case EXPRESSION_GREATER:
        return is_nothing(checker, expression->left) && is_nothing(checker, expression->right);
    default:
        return false;
    }
}

/* Nothing is nearer than 0, so a distance of 0 would never be too small. */
static bool distance_over_zero(struct checker *checker, const struct expression *distance)
{
    if (!is_nothing(checker, distance))
        return true;
    problem_help(problem_add(checker->problems, STAVE_ERROR, "wrong-form", distance->span,
                             "'%s' keeps nothing apart", check_quote(checker, distance->span)),
                 checker->problems, "write a distance over zero");
    return false;
}

/* What the finding itself is asked too: it need not be of the kinds that are named. */
static bool self_records(struct checker *checker, const struct ladder *ladder,
                         const struct aggregate *aggregate)
{
    const struct expression *all[3] = {aggregate->distance, aggregate->pair, aggregate->pair_limit};
    struct walk walk;
    uint32_t i, j;

    walk.measure_count = walk.curve_count = 0;
    for (i = 0; i < 3; i++)
        if (all[i] != NULL)
            walk_add(&walk, all[i]);
    for (i = 0; i < walk.measure_count; i++)
        for (j = 0; j < ladder->kind_count; j++)
            if (kind_find_record(ladder->kinds[j], walk.measures[i], NULL) == NULL) {
                condition_not_recorded(checker, ladder->kinds[j], walk.measures[i]->name,
                                       walk.measure_spans[i]);
                return false;
            }
    return true;
}

static bool check_apart(struct checker *checker, const struct ladder *ladder,
                        const struct tree_condition *tree, struct aggregate *aggregate)
{
    struct tree_word axis = tree->company->axis;
    struct expression_facts facts;
    bool good;

    if (has_no_place(checker, ladder, tree->span))
        return false;
    checker->in_pair = true;
    aggregate->distance = expression_check(checker, tree->distance, &facts);
    good = check_pair(checker, ladder, tree, aggregate) && aggregate->distance != NULL;
    checker->in_pair = false;
    if (!good || ladder->zone_count == 0)
        return false;
    if (axis.text == NULL && !only_length_axis(checker, ladder, &axis, tree->span))
        return false;
    aggregate->axis = axis.text;
    return axis_on_zones(checker, ladder, axis, aggregate->distance->dimension,
                         aggregate->distance->span) &&
           distance_over_zero(checker, aggregate->distance) &&
           members_record(checker, ladder, aggregate, aggregate->distance) &&
           self_records(checker, ladder, aggregate);
}

static bool check_facing(struct checker *checker, const struct ladder *ladder,
                         const struct tree_condition *tree)
{
    return scope_side(checker, ladder, tree->company);
}

/* ---- the whole --------------------------------------------------------------------------------- */

static const struct expression *whole_figure(struct checker *checker, struct span at,
                                             struct number value)
{
    struct expression *figure = ARENA_NEW(checker->arena, struct expression);

    *figure = (struct expression){
        .sort = EXPRESSION_FIGURE, .value = value, .unit = unit_none(), .span = at};
    return figure;
}

static void add_up_to(struct checker *checker, const struct tree_condition *tree,
                      const struct expression *left, struct number most, struct span at,
                      struct condition_list *list)
{
    struct condition *condition =
        ARENA_PUSH(checker->arena, list->items, list->count, list->capacity);

    *condition = (struct condition){.sort = CONDITION_COMPARE,
                                    .relation = TREE_UP_TO,
                                    .left = left,
                                    .right = whole_figure(checker, at, most),
                                    .span = tree->span};
}

static bool check_most(struct checker *checker, const struct tree_quantity *most)
{
    if (number_is_integer(most->figure) &&
        number_compare(checker->arena, most->figure, NUMBER_INT(1000000)) <= 0)
        return true;
    problem_help(problem_add(checker->problems, STAVE_ERROR, "no-count", most->span,
                             "'%s' is no number of damages", check_quote(checker, most->span)),
                 checker->problems, "write a whole number");
    return false;
}

/* The same question asked twice in a book is one. */
static const struct aggregate *keep(struct checker *checker, struct aggregate *aggregate)
{
    struct book *book = checker->book;

    aggregate->index = book->aggregate_count;
    *ARENA_PUSH(checker->arena, book->aggregates, book->aggregate_count,
                checker->aggregate_capacity) = aggregate;
    return aggregate;
}

static enum aggregate_sort sort_of(enum tree_condition_sort sort)
{
    switch (sort) {
    case TREE_TOTAL:
        return AGGREGATE_TOTAL;
    case TREE_LARGEST:
        return AGGREGATE_LARGEST;
    case TREE_APART:
        return AGGREGATE_APART;
    case TREE_FACING:
        return AGGREGATE_FACING;
    default:
        return AGGREGATE_COUNT;
    }
}

/* "total dull of debond on a blade up to 6 in2" */
static bool compare_value(struct checker *checker, const struct ladder *ladder,
                          const struct tree_condition *tree, const struct expression *left,
                          struct condition_list *list)
{
    const struct tree_bound *bound = tree->bounds;
    struct expression_facts facts = {.numerator_bits = 3 * CHECK_READING_BITS,
                                     .denominator_bits = 2 * CHECK_READING_BITS,
                                     .choices = 1,
                                     .size = 1};

    if (bound->next != NULL || (bound->relation != TREE_UP_TO && bound->relation != TREE_BELOW)) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "wrong-form", bound->span,
                                 "damage in company can only be held from above"),
                     checker->problems, "write 'up to …' or 'below …'");
        return false;
    }
    return condition_compare(checker, ladder, tree, bound, left, &facts, list);
}

bool company_check(struct checker *checker, const struct ladder *ladder,
                   const struct tree_condition *tree, struct condition_list *list)
{
    struct aggregate *aggregate = ARENA_NEW(checker->arena, struct aggregate);
    struct expression *left = ARENA_NEW(checker->arena, struct expression);
    struct expression_facts facts;
    bool good;

    aggregate->sort = sort_of(tree->sort);
    aggregate->scope = tree->company->scope;
    aggregate->span = tree->company->span;
    aggregate->text = span_text(checker->arena, aggregate->span);
    good = members_find(checker, tree->company, aggregate);
    good = good && members_filter(checker, ladder, tree->company, aggregate) &&
           find_scope(checker, ladder, tree->company, aggregate) &&
           members_on_part(checker, ladder, tree->company, aggregate);
    if (good && tree->name.text != NULL) {
        aggregate->value = expression_check_name(checker, tree->name, &facts);
        good = aggregate->value != NULL &&
               members_record(checker, ladder, aggregate, aggregate->value);
        if (good && !expression_never_negative(aggregate->value)) {
            problem_add(checker->problems, STAVE_ERROR, "wrong-form", tree->name.span,
                        "'%s' can fall below zero, so it is not added up", tree->name.text);
            good = false;
        }
    }
    if (good && tree->sort == TREE_APART)
        good = check_apart(checker, ladder, tree, aggregate);
    if (good && tree->sort == TREE_FACING)
        good = check_facing(checker, ladder, tree);
    if (!good || (tree->sort == TREE_COUNT && !check_most(checker, tree->most)))
        return false;
    *left = (struct expression){.sort = EXPRESSION_AGGREGATE,
                                .aggregate = keep(checker, aggregate),
                                .span = aggregate->span};
    if (aggregate->value != NULL) {
        left->dimension = aggregate->value->dimension;
        return compare_value(checker, ladder, tree, left, list);
    }
    if (tree->sort == TREE_COUNT)
        add_up_to(checker, tree, left, tree->most->figure, tree->most->span, list);
    else
        add_up_to(checker, tree, left, NUMBER_ZERO, tree->span, list);
    return true;
}

/* ---- growth ----------------------------------------------------------------------------------- */

bool growth_check(struct checker *checker, const struct ladder *ladder,
                  const struct tree_condition *tree, struct condition_list *list)
{
    struct expression *left = ARENA_NEW(checker->arena, struct expression);
    struct expression_facts facts = {.numerator_bits = 2 * CHECK_READING_BITS + 1,
                                     .denominator_bits = 2 * CHECK_READING_BITS,
                                     .choices = 1,
                                     .size = 1};
    const struct tree_bound *bound;
    const struct name *name;
    bool good = true;
    uint32_t i;

    *left = (struct expression){.sort = EXPRESSION_SEEN, .span = tree->span};
    if (tree->sort == TREE_FIRST_SEEN) {
        add_up_to(checker, tree, left, NUMBER_ZERO, tree->span, list);
        return true;
    }
    name = names_get(checker, tree->name, SORT_BIT(SORT_MEASURE), "measure");
    if (name == NULL || name->broken)
        return false;
    left->sort = EXPRESSION_GROWTH;
    left->grown = &checker->book->measures[name->index];
    left->since_first = tree->since_first;
    left->dimension = left->grown->dimension;
    for (i = 0; i < ladder->kind_count; i++)
        if (kind_find_record(ladder->kinds[i], left->grown, NULL) == NULL) {
            condition_not_recorded(checker, ladder->kinds[i], left->grown->name, tree->name.span);
            return false;
        }
    for (bound = tree->bounds; bound != NULL; bound = bound->next)
        good = condition_compare(checker, ladder, tree, bound, left, &facts, list) && good;
    return good;
}
