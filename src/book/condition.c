/* One condition of a line: what it compares, and whether it can. */
#include "book/check.h"

#include <string.h>

static struct condition *add(struct checker *checker, struct condition_list *list,
                             enum condition_sort sort, const struct tree_condition *tree)
{
    struct condition *condition =
        ARENA_PUSH(checker->arena, list->items, list->count, list->capacity);

    *condition = (struct condition){.sort = sort, .span = tree->span};
    return condition;
}

/* ---- recorded? ------------------------------------------------------------------------- */

static const char *records_text(struct checker *checker, const struct kind *kind)
{
    const char *names[BOOK_RECORDS];
    uint32_t i;

    for (i = 0; i < kind->record_count; i++)
        names[i] = kind->records[i].name;
    if (kind->record_count == 0)
        return "it records nothing";
    return text_format(checker->arena, "it records %s",
                       list_text(checker->arena, names, kind->record_count, "and"));
}

void condition_not_recorded(struct checker *checker, const struct kind *kind, const char *name,
                            struct span at)
{
    struct stave_problem *problem = problem_add(
        checker->problems, STAVE_ERROR, "not-recorded", at, "%s '%s' does not record '%s'",
        kind->is_check ? "check" : "kind", kind->name, name);

    check_second(checker, problem, kind->span, "declared here");
    problem_help(problem, checker->problems, "%s", records_text(checker, kind));
}

/* Every kind of the ladder records it (kinds declared together share one list). */
static bool all_record(struct checker *checker, const struct ladder *ladder,
                       const struct measure *measure, const struct observation *observation,
                       struct span at)
{
    const struct recorded *before = NULL;
    uint32_t i;

    if (ladder->broken)
        return true;
    for (i = 0; i < ladder->kind_count; i++) {
        const struct kind *kind = ladder->kinds[i];

        if (i > 0 && kind->records == before)
            continue;
        before = kind->records;
        if (kind_find_record(kind, measure, observation) == NULL) {
            condition_not_recorded(checker, kind,
                                   measure != NULL ? measure->name : observation->name, at);
            return false;
        }
    }
    return true;
}

static bool one_records(struct checker *checker, const struct ladder *ladder,
                        const struct measure *measure, const struct observation *observation,
                        struct span at)
{
    uint32_t i;

    if (ladder->broken || ladder->kind_count == 0)
        return true;
    for (i = 0; i < ladder->kind_count; i++)
        if (kind_find_record(ladder->kinds[i], measure, observation) != NULL)
            return true;
    condition_not_recorded(checker, ladder->kinds[0],
                           measure != NULL ? measure->name : observation->name, at);
    return false;
}

/* ---- comparing measures ------------------------------------------------------------------ */

void condition_reach(struct checker *checker, const struct expression *left,
                     enum tree_relation relation, const struct expression *right)
{
    const struct measure *measure = left->measure;
    struct number limit;
    struct stave_problem *problem;
    bool over, rounded;

    if (left->sort != EXPRESSION_MEASURE || checker->unread ||
        !expression_constant(checker, right, &limit))
        return;
    over = number_compare(checker->arena, limit, measure->to) > 0;
    if (!over && number_compare(checker->arena, limit, measure->from) >= 0)
        return;
    problem = problem_add(checker->problems, STAVE_WARNING, "beyond-range", right->span,
                          "'%s' is beyond the range of '%s', so this always %s",
                          check_quote(checker, right->span), measure->name,
                          over == relation_is_upper(relation) ? "holds" : "fails");
    check_second(checker, problem, measure->span, "declared here");
    problem_help(problem, checker->problems, "its range is %s .. %s",
                 quantity_text(checker->arena, measure->from, measure->unit, NUMBER_EVEN, &rounded),
                 quantity_text(checker->arena, measure->to, measure->unit, NUMBER_EVEN, &rounded));
}

static bool check_recorded(struct checker *checker, const struct ladder *ladder,
                           const struct condition *condition)
{
    struct walk walk;
    uint32_t i;

    walk.measure_count = walk.curve_count = 0;
    walk_add(&walk, condition->left);
    walk_add(&walk, condition->right);
    if (walk.measure_count == 0 && condition->left->sort != EXPRESSION_AGGREGATE &&
        condition->left->sort != EXPRESSION_GROWTH) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "nothing-compared",
                                 condition->span, "'%s' compares nothing that is recorded",
                                 check_quote(checker, condition->span)),
                     checker->problems, "put a measure on the left");
        return false;
    }
    for (i = 0; i < walk.measure_count; i++)
        if (!all_record(checker, ladder, walk.measures[i], NULL, walk.measure_spans[i]))
            return false;
    return true;
}

bool condition_compare(struct checker *checker, const struct ladder *ladder,
                       const struct tree_condition *tree, const struct tree_bound *bound,
                       const struct expression *left, const struct expression_facts *left_facts,
                       struct condition_list *list)
{
    struct expression_facts facts;
    const struct expression *right = expression_check(checker, bound->limit, &facts);
    struct condition *condition;
    uint32_t numerator, denominator;

    if (right == NULL)
        return false;
    if (!dimension_equal(left->dimension, right->dimension)) {
        expression_mismatch(checker, left, right);
        return false;
    }
    numerator = left_facts->numerator_bits + facts.denominator_bits;
    if (facts.numerator_bits + left_facts->denominator_bits > numerator)
        numerator = facts.numerator_bits + left_facts->denominator_bits;
    denominator = left_facts->denominator_bits + facts.denominator_bits;
    if (!expression_bits_fit(checker, numerator + 1, denominator, right->span))
        return false;
    if (!expression_choices_fit(checker, (uint64_t)left_facts->choices * facts.choices, tree->span))
        return false;
    condition = add(checker, list, CONDITION_COMPARE, tree);
    condition->relation = bound->relation;
    condition->left = left;
    condition->right = right;
    if (!check_recorded(checker, ladder, condition) || !expression_places_apart(checker, condition))
        return false;
    condition_reach(checker, left, condition->relation, right);
    return true;
}

/* "over 50 % and below 20 %": nothing is both. */
static bool check_between(struct checker *checker, const struct condition *first, uint32_t count)
{
    struct number lower, upper;
    uint32_t i, j;

    for (i = 0; i < count; i++)
        for (j = 0; j < count; j++) {
            int order;
            bool closed = first[i].relation == TREE_AT_LEAST && first[j].relation == TREE_UP_TO;

            if (relation_is_upper(first[i].relation) || !relation_is_upper(first[j].relation) ||
                !expression_constant(checker, first[i].right, &lower) ||
                !expression_constant(checker, first[j].right, &upper))
                continue;
            order = number_compare(checker->arena, lower, upper);
            if (order < 0 || (order == 0 && closed))
                continue;
            problem_help(problem_add(checker->problems, STAVE_ERROR, "range", first[i].span,
                                     "nothing is both %s %s and %s %s",
                                     relation_text(first[i].relation),
                                     check_quote(checker, first[i].right->span),
                                     relation_text(first[j].relation),
                                     check_quote(checker, first[j].right->span)),
                         checker->problems, "write the smaller figure as the lower bound");
            return false;
        }
    return true;
}

static bool compare_measures(struct checker *checker, const struct ladder *ladder,
                             const struct tree_condition *tree, struct condition_list *list)
{
    struct expression_facts facts;
    const struct expression *left = expression_check_name(checker, tree->name, &facts);
    const struct tree_bound *bound;
    uint32_t first = list->count, bounds = 0;
    bool good = left != NULL;

    for (bound = tree->bounds; bound != NULL && left != NULL; bound = bound->next) {
        if (++bounds > 2) {
            problem_add(checker->problems, STAVE_ERROR, "too-many", tree->span,
                        "more than two bounds in one condition");
            return false;
        }
        good = condition_compare(checker, ladder, tree, bound, left, &facts, list) && good;
    }
    return good && check_between(checker, &list->items[first], list->count - first);
}

/* ---- comparing observations ------------------------------------------------------------------ */

static void report_value(struct checker *checker, const struct observation *observation,
                         struct tree_word word)
{
    names_unknown(checker, word, "value",
                  text_format(checker->arena, " of '%s'", observation->name), observation->values,
                  observation->value_count);
}

static bool add_values(struct checker *checker, const struct tree_condition *tree,
                       const struct observation *observation, uint64_t values,
                       struct condition_list *list)
{
    struct condition *condition;

    if (values == 0) {
        problem_add(checker->problems, STAVE_ERROR, "range", tree->span,
                    "'%s' can never hold: no value of '%s' is left",
                    check_quote(checker, tree->span), observation->name);
        return false;
    }
    condition = add(checker, list, CONDITION_AMONG, tree);
    condition->observation = observation;
    condition->values = values;
    return true;
}

static struct stave_problem *wrong_form(struct checker *checker, const struct tree_condition *tree,
                                        const char *name, const char *sort)
{
    if (tree->sort == TREE_YES)
        return problem_add(checker->problems, STAVE_ERROR, "wrong-form", tree->span,
                           "'%s' alone says nothing: it %s", name, sort);
    return problem_add(checker->problems, STAVE_ERROR, "wrong-form", tree->span,
                       "'%s' cannot be asked: '%s' %s", check_quote(checker, tree->span), name,
                       sort);
}

static void report_wrong_form(struct checker *checker, const struct tree_condition *tree,
                              const struct observation *observation)
{
    const char *name = observation->name, *sort, *help;

    switch (observation->sort) {
    case TREE_ONE_OF:
        sort = "has values without an order";
        help = text_format(checker->arena, "write '%s is …'", name);
        break;
    case TREE_LEVELS:
        sort = "has levels";
        help = text_format(checker->arena, "write '%s up to …' or '%s is …'", name, name);
        break;
    default:
        sort = "is yes or no";
        help = text_format(checker->arena, "write '%s' or 'not %s'", name, name);
        break;
    }
    problem_help(wrong_form(checker, tree, name, sort), checker->problems, "%s", help);
}

static uint64_t levels_of(enum tree_relation relation, uint64_t all, uint32_t level)
{
    uint64_t below = (UINT64_C(1) << level) - 1, up_to = below | UINT64_C(1) << level;

    switch (relation) {
    case TREE_UP_TO:
        return up_to;
    case TREE_BELOW:
        return below;
    case TREE_AT_LEAST:
        return all & ~below;
    case TREE_OVER:
        return all & ~up_to;
    }
    return 0;
}

static bool compare_levels(struct checker *checker, const struct tree_condition *tree,
                           const struct observation *observation, struct condition_list *list)
{
    const struct tree_bound *bound;
    uint64_t both = observation_values(observation);
    bool good = true;

    if (observation->sort != TREE_LEVELS) {
        report_wrong_form(checker, tree, observation);
        return false;
    }
    for (bound = tree->bounds; bound != NULL; bound = bound->next) {
        int32_t level;
        uint64_t values;

        if (bound->limit == NULL)
            return false;
        if (bound->limit->sort != TREE_NAME || bound->limit->name.text == NULL) {
            problem_help(
                problem_add(checker->problems, STAVE_ERROR, "wrong-form", bound->limit->span,
                            "'%s' is no level of '%s'", check_quote(checker, bound->limit->span),
                            observation->name),
                checker->problems, "write %s",
                list_text(checker->arena, observation->values, observation->value_count, "or"));
            return false;
        }
        level = list_find(observation->values, observation->value_count, bound->limit->name.text);
        if (level < 0) {
            report_value(checker, observation, bound->limit->name);
            return false;
        }
        values = levels_of(bound->relation, observation_values(observation), (uint32_t)level);
        good = add_values(checker, tree, observation, values, list) && good;
        if (good)
            list->items[list->count - 1].relation = bound->relation;
        both &= values;
    }
    if (good && both == 0) {
        problem_add(checker->problems, STAVE_ERROR, "range", tree->span,
                    "'%s' can never hold: no value of '%s' is left",
                    check_quote(checker, tree->span), observation->name);
        good = false;
    }
    return good;
}

static void report_is_not(struct checker *checker, const struct tree_condition *tree,
                          const struct observation *observation, uint64_t values)
{
    const char *names[BOOK_VALUES];
    uint32_t count = 0, i;

    for (i = 0; i < observation->value_count; i++)
        if (values & UINT64_C(1) << i)
            names[count++] = observation->values[i];
    problem_help(problem_add(checker->problems, STAVE_ERROR, "is-not-flight", tree->span,
                             "'is not' can only ground, and this line lets fly"),
                 checker->problems, "name what is fine: '%s is …' with %s", observation->name,
                 list_text(checker->arena, names, count, "or"));
}

static bool compare_values(struct checker *checker, const struct tree_condition *tree,
                           const struct observation *observation, bool flight,
                           struct condition_list *list)
{
    const struct tree_words *word;
    uint64_t values = 0;
    bool good = true, negative = tree->sort == TREE_IS_NOT;

    if (observation->sort == TREE_YES_OR_NO) {
        report_wrong_form(checker, tree, observation);
        return false;
    }
    for (word = tree->values; word != NULL; word = word->next) {
        int32_t value;

        if (word->word.text == NULL)
            return false;
        value = list_find(observation->values, observation->value_count, word->word.text);
        if (value < 0) {
            report_value(checker, observation, word->word);
            good = false;
            continue;
        }
        if (values & UINT64_C(1) << value) {
            problem_add(checker->problems, STAVE_ERROR, "duplicate-name", word->word.span,
                        "value '%s' is named twice", word->word.text);
            good = false;
        }
        values |= UINT64_C(1) << value;
    }
    if (!good)
        return false;
    if (negative)
        values = observation_values(observation) & ~values;
    if (!add_values(checker, tree, observation, values, list))
        return false;
    list->items[list->count - 1].negative = negative;
    if (negative && flight)
        report_is_not(checker, tree, observation, values);
    return !(negative && flight);
}

static bool compare_yes(struct checker *checker, const struct tree_condition *tree,
                        const struct observation *observation, struct condition_list *list)
{
    bool yes = tree->sort == TREE_YES;

    if (observation->sort != TREE_YES_OR_NO) {
        report_wrong_form(checker, tree, observation);
        return false;
    }
    add_values(checker, tree, observation, yes ? 1 : 2, list);
    list->items[list->count - 1].negative = !yes;
    return true;
}

/* ---- releases --------------------------------------------------------------------------------- */

static bool release(struct checker *checker, const struct ladder *ladder,
                    const struct tree_condition *tree, struct condition_list *list)
{
    const struct name *name =
        names_get(checker, tree->name, SORT_BIT(SORT_MEASURE) | SORT_BIT(SORT_OBSERVATION),
                  "measure or observation");
    const struct book *book = checker->book;
    struct condition *condition;
    struct expression_facts facts;

    if (name == NULL || name->broken)
        return false;
    condition = add(checker, list, CONDITION_RELEASE, tree);
    if (name->sort == SORT_MEASURE)
        condition->left = expression_check_name(checker, tree->name, &facts);
    else
        condition->observation = &book->observations[name->index];
    return one_records(checker, ladder,
                       name->sort == SORT_MEASURE ? &book->measures[name->index] : NULL,
                       condition->observation, tree->name.span);
}

/* ---- filters ---------------------------------------------------------------------------------- */

uint64_t condition_values(struct checker *checker, const struct tree_condition *tree,
                          const struct observation *observation, bool *good)
{
    struct condition_list list = {0};

    if (tree->sort == TREE_COMPARE)
        *good = compare_levels(checker, tree, observation, &list);
    else if (tree->sort == TREE_IS || tree->sort == TREE_IS_NOT)
        *good = compare_values(checker, tree, observation, false, &list);
    else
        *good = compare_yes(checker, tree, observation, &list);
    return *good ? list.items[0].values : 0;
}

/* ---- the whole --------------------------------------------------------------------------------- */

static void report_measure_form(struct checker *checker, const struct tree_condition *tree,
                                const struct name *name)
{
    const char *sort = text_format(checker->arena, "is %s", names_sort_text(name->sort));

    problem_help(wrong_form(checker, tree, name->text, sort), checker->problems,
                 "write '%s up to …', or 'below', 'at least', 'over'", name->text);
}

static bool check_named(struct checker *checker, const struct ladder *ladder,
                        const struct tree_condition *tree, const struct name *name, bool flight,
                        struct condition_list *list)
{
    const struct observation *observation;

    if (name->sort == SORT_CURVE) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "wrong-form", tree->name.span,
                                 "'%s' is a curve, and a line compares what is recorded",
                                 name->text),
                     checker->problems, "put the measure on the left and the curve on the right");
        return false;
    }
    if (name->sort != SORT_OBSERVATION) {
        if (tree->sort == TREE_COMPARE)
            return compare_measures(checker, ladder, tree, list);
        report_measure_form(checker, tree, name);
        return false;
    }
    observation = &checker->book->observations[name->index];
    if (!all_record(checker, ladder, NULL, observation, tree->name.span))
        return false;
    if (tree->sort == TREE_COMPARE)
        return compare_levels(checker, tree, observation, list);
    if (tree->sort == TREE_IS || tree->sort == TREE_IS_NOT)
        return compare_values(checker, tree, observation, flight, list);
    return compare_yes(checker, tree, observation, list);
}

bool condition_check(struct checker *checker, const struct ladder *ladder,
                     const struct tree_condition *tree, bool flight, struct condition_list *list)
{
    const struct name *name;

    if (tree->sort == TREE_ANY_SIZE) {
        add(checker, list, CONDITION_RELEASE, tree);
        return true;
    }
    if (tree->company != NULL)
        return company_check(checker, ladder, tree, list);
    if (tree->sort == TREE_GROWN || tree->sort == TREE_FIRST_SEEN)
        return growth_check(checker, ladder, tree, list);
    if (tree->sort == TREE_ANY)
        return release(checker, ladder, tree, list);
    name = names_get(checker, tree->name,
                     SORT_BIT(SORT_MEASURE) | SORT_BIT(SORT_OBSERVATION) | SORT_BIT(SORT_RECKON) |
                         SORT_BIT(SORT_CURVE),
                     "measure, observation or reckoned name");
    if (name == NULL || name->broken)
        return false;
    return check_named(checker, ladder, tree, name, flight, list);
}
