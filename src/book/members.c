/* Who is meant by a condition on damage in company: the kinds, and what chooses among them. */
#include "book/check.h"

#include <string.h>

bool aggregate_names(const struct aggregate *aggregate, const struct kind *kind)
{
    uint32_t i;

    if (kind->is_check)
        return false;
    for (i = 0; i < aggregate->kind_count; i++)
        if (aggregate->kinds[i] == kind)
            return true;
    return aggregate->kind_count == 0;
}

/* ---- who is meant ---------------------------------------------------------------------- */

bool members_find(struct checker *checker, const struct tree_company *tree,
                  struct aggregate *aggregate)
{
    const struct tree_words *word;
    bool good = true;
    uint32_t i;

    if (tree->any_kind)
        return true;
    aggregate->kinds = ARENA_ARRAY(checker->arena, const struct kind *, words_count(tree->kinds));
    for (word = tree->kinds; word != NULL; word = word->next) {
        const struct name *name = names_get(checker, word->word, SORT_BIT(SORT_KIND), "kind");
        const struct kind *kind;

        if (name == NULL || name->broken) {
            good = false;
            continue;
        }
        kind = &checker->book->kinds[name->index];
        for (i = 0; i < aggregate->kind_count; i++)
            if (aggregate->kinds[i] == kind) {
                problem_add(checker->problems, STAVE_ERROR, "duplicate-name", word->word.span,
                            "kind '%s' is named twice", kind->name);
                good = false;
            }
        aggregate->kinds[aggregate->kind_count++] = kind;
    }
    return good;
}

static bool on_ladder_part(const struct ladder *ladder, const struct kind *kind)
{
    uint32_t i;

    for (i = 0; i < ladder->zone_count; i++)
        if (kind_part_position(kind, ladder->zones[i]->part) >= 0)
            return true;
    return false;
}

/* A kind that is never on the part would be counted as none for ever. */
bool members_on_part(struct checker *checker, const struct ladder *ladder,
                     const struct tree_company *tree, const struct aggregate *aggregate)
{
    const struct tree_words *word = tree->kinds;
    uint32_t i, j;

    if (ladder->broken || ladder->zone_count == 0 || aggregate->scope == TREE_ON_PROPELLER)
        return true;
    for (i = 0; i < aggregate->kind_count; i++, word = word->next) {
        const struct kind *kind = aggregate->kinds[i];
        const char *parts[BOOK_KIND_PARTS];
        struct stave_problem *problem;

        if (on_ladder_part(ladder, kind))
            continue;
        problem =
            problem_add(checker->problems, STAVE_ERROR, "not-on-part", word->word.span,
                        "kind '%s' is not on part '%s'", kind->name, ladder->zones[0]->part->name);
        check_second(checker, problem, kind->span, "declared here");
        for (j = 0; j < kind->part_count; j++)
            parts[j] = kind->parts[j]->name;
        problem_help(problem, checker->problems, "it is on %s",
                     list_text(checker->arena, parts, kind->part_count, "and"));
        return false;
    }
    return true;
}

/* Every kind that can be among them records it. */
static bool all_members_record(struct checker *checker, const struct ladder *ladder,
                               const struct aggregate *aggregate, const struct measure *measure,
                               const struct observation *observation, struct span at)
{
    const struct book *book = checker->book;
    uint32_t i;

    for (i = 0; i < book->check_start; i++) {
        const struct kind *kind = &book->kinds[i];

        if (!aggregate_names(aggregate, kind) ||
            (aggregate->kind_count == 0 && aggregate->scope != TREE_ON_PROPELLER &&
             !on_ladder_part(ladder, kind)) ||
            kind_find_record(kind, measure, observation) != NULL)
            continue;
        condition_not_recorded(checker, kind, measure != NULL ? measure->name : observation->name,
                               at);
        return false;
    }
    return true;
}

/* What an expression rests on: measures that all members record, and no curve. */
bool members_record(struct checker *checker, const struct ladder *ladder,
                    const struct aggregate *aggregate, const struct expression *expression)
{
    struct walk walk;
    uint32_t i;

    walk.measure_count = walk.curve_count = 0;
    walk_add(&walk, expression);
    if (walk.curve_count > 0) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "wrong-form", walk.curve_spans[0],
                                 "a curve says nothing of damage in company"),
                     checker->problems, "name what is recorded of each damage");
        return false;
    }
    for (i = 0; i < walk.measure_count; i++)
        if (!all_members_record(checker, ladder, aggregate, walk.measures[i], NULL,
                                walk.measure_spans[i]))
            return false;
    return true;
}

/* ---- filters --------------------------------------------------------------------------- */

static bool filter_measure(struct checker *checker, const struct ladder *ladder,
                           const struct aggregate *aggregate, const struct tree_condition *tree,
                           struct filter *filter)
{
    struct expression_facts left_facts, facts;
    const struct expression *left = expression_check_name(checker, tree->name, &left_facts), *right;

    if (left == NULL)
        return false;
    if (tree->sort != TREE_COMPARE) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "wrong-form", tree->span,
                                 "'%s' cannot be asked of a figure",
                                 check_quote(checker, tree->span)),
                     checker->problems, "write '%s over …', or 'up to', 'below', 'at least'",
                     tree->name.text);
        return false;
    }
    right = expression_check(checker, tree->bounds->limit, &facts);
    if (right == NULL)
        return false;
    if (!dimension_equal(left->dimension, right->dimension)) {
        expression_mismatch(checker, left, right);
        return false;
    }
    if (!expression_constant(checker, right, &filter->limit)) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "wrong-form", right->span,
                                 "'%s' is no figure", check_quote(checker, right->span)),
                     checker->problems, "damage in company is chosen by figures alone");
        return false;
    }
    filter->left = left;
    filter->relation = tree->bounds->relation;
    if (!members_record(checker, ladder, aggregate, left))
        return false;
    condition_reach(checker, left, filter->relation, right);
    return true;
}

static bool add_filter(struct checker *checker, const struct ladder *ladder,
                       struct aggregate *aggregate, const struct tree_condition *tree)
{
    struct filter *filter = &aggregate->filters[aggregate->filter_count];
    const struct name *name =
        names_get(checker, tree->name,
                  SORT_BIT(SORT_MEASURE) | SORT_BIT(SORT_OBSERVATION) | SORT_BIT(SORT_RECKON),
                  "measure, observation or reckoned name");
    bool good;

    if (name == NULL || name->broken)
        return false;
    aggregate->filter_count++;
    if (name->sort != SORT_OBSERVATION)
        return filter_measure(checker, ladder, aggregate, tree, filter);
    filter->observation = &checker->book->observations[name->index];
    filter->values = condition_values(checker, tree, filter->observation, &good);
    return good && all_members_record(checker, ladder, aggregate, NULL, filter->observation,
                                      tree->name.span);
}

/* Can no damage be what both ask? */
static bool exclude_each_other(struct checker *checker, const struct filter *a,
                               const struct filter *b)
{
    int order;

    if (a->observation != NULL || b->observation != NULL)
        return a->observation == b->observation && (a->values & b->values) == 0;
    if (a->left->sort != EXPRESSION_MEASURE || b->left->sort != EXPRESSION_MEASURE ||
        a->left->measure != b->left->measure ||
        relation_is_upper(a->relation) == relation_is_upper(b->relation))
        return false;
    order = number_compare(checker->arena, a->limit, b->limit);
    if (!relation_is_upper(a->relation))
        order = -order; /* of the upper bound against the lower one */
    return order < 0 ||
           (order == 0 && (relation_is_strict(a->relation) || relation_is_strict(b->relation)));
}

/* A choice that leaves nothing would let every number pass. */
static bool leaves_some(struct checker *checker, const struct tree_company *tree,
                        const struct aggregate *aggregate)
{
    const struct tree_condition *one = tree->filters, *other;
    uint32_t i, j;

    for (i = 0; i < aggregate->filter_count; i++, one = one->next)
        for (j = i + 1, other = one->next; j < aggregate->filter_count; j++, other = other->next)
            if (exclude_each_other(checker, &aggregate->filters[i], &aggregate->filters[j])) {
                struct stave_problem *problem =
                    problem_add(checker->problems, STAVE_ERROR, "wrong-form", other->span,
                                "no damage can be '%s' and '%s'",
                                check_quote(checker, one->span), check_quote(checker, other->span));
                check_second(checker, problem, one->span, "the other one");
                problem_help(problem, checker->problems,
                             "all that follows 'with' has to hold of one damage");
                return false;
            }
    return true;
}

bool members_filter(struct checker *checker, const struct ladder *ladder,
                    const struct tree_company *tree, struct aggregate *aggregate)
{
    const struct tree_condition *filter;
    bool good = true;
    size_t count = 0;

    for (filter = tree->filters; filter != NULL; filter = filter->next)
        count++;
    if (count > BOOK_CONDITIONS) {
        problem_add(checker->problems, STAVE_ERROR, "too-many", tree->span,
                    "more than %d conditions after one 'with'", BOOK_CONDITIONS);
        return false;
    }
    aggregate->filters = ARENA_ARRAY(checker->arena, struct filter, count);
    for (filter = tree->filters; filter != NULL; filter = filter->next)
        good = add_filter(checker, ladder, aggregate, filter) && good;
    return good && leaves_some(checker, tree, aggregate);
}
