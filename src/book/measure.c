/* Measures and observations: what can be recorded. */
#include "book/check.h"

#include <string.h>

static void declare_measure(struct checker *checker, const struct tree_measure *tree)
{
    struct book *book = checker->book;
    struct measure *measure = &book->measures[book->measure_count];

    *measure = (struct measure){
        .name = tree->name.text,
        .help = tree->help.text != NULL ? tree->help.text : "",
        .index = book->measure_count,
        .unit = unit_none(),
        .stepping = tree->stepping,
        .smaller_is_worse = tree->smaller_is_worse,
        .span = tree->name.span,
    };
    names_add(checker, tree->name, SORT_MEASURE, book->measure_count++);
}

static const char *const yes_or_no[2] = {"yes", "no"};

static void declare_observation(struct checker *checker, const struct tree_observe *tree)
{
    struct book *book = checker->book;
    struct observation *observation = &book->observations[book->observation_count];

    *observation = (struct observation){
        .name = tree->name.text,
        .help = tree->help.text != NULL ? tree->help.text : "",
        .index = book->observation_count,
        .sort = tree->sort,
        .span = tree->name.span,
    };
    names_add(checker, tree->name, SORT_OBSERVATION, book->observation_count++);
    if (tree->sort == TREE_YES_OR_NO) {
        observation->values = ARENA_ARRAY(checker->arena, const char *, 2);
        observation->values[0] = yes_or_no[0];
        observation->values[1] = yes_or_no[1];
        observation->value_count = 2;
        return;
    }
    observation->values = words_list(checker, tree->values, BOOK_VALUES, "value", "values",
                                     &observation->value_count);
}

void measures_declare(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_measure *measure;
    const struct tree_observe *observe;
    size_t measures = 0, observations = 0;
    uint32_t i;

    for (i = 0; i < book->tree_count; i++) {
        for (measure = book->trees[i]->measures; measure != NULL; measure = measure->next)
            measures += measure->name.text != NULL;
        for (observe = book->trees[i]->observes; observe != NULL; observe = observe->next)
            observations += observe->name.text != NULL;
    }
    book->measures = ARENA_ARRAY(checker->arena, struct measure, measures);
    book->observations = ARENA_ARRAY(checker->arena, struct observation, observations);
    for (i = 0; i < book->tree_count; i++) {
        for (measure = book->trees[i]->measures; measure != NULL; measure = measure->next)
            if (measure->name.text != NULL)
                declare_measure(checker, measure);
        for (observe = book->trees[i]->observes; observe != NULL; observe = observe->next)
            if (observe->name.text != NULL)
                declare_observation(checker, observe);
    }
}

/* ---- resolving ------------------------------------------------------------------- */

static void resolve_measure(struct checker *checker, struct measure *measure,
                            const struct tree_measure *tree)
{
    struct figure_range range;
    const char *owner = text_format(checker->arena, "measure '%s'", measure->name);

    if (!figure_range_read(checker, &tree->from, &tree->to, owner, &range)) {
        names_mark_broken(checker, measure->name, SORT_MEASURE);
        return;
    }
    measure->from = range.from;
    measure->to = range.to;
    measure->unit = range.unit;
    measure->dimension = range.dimension;
    if (tree->stepping == TREE_STEP_NONE)
        return;
    figure_step_read(checker, &tree->step, range.dimension, range.unit, owner);
    measure->step = tree->step.value;
    measure->step_unit = tree->step.unit != NULL ? tree->step.unit : unit_none();
}

/* A value where a line or an answer could also mean something else of the same name. */
static void check_values(struct checker *checker, const struct observation *observation,
                         const struct tree_observe *tree)
{
    const struct tree_words *word;

    for (word = tree->values; word != NULL; word = word->next) {
        const struct name *other;
        struct stave_problem *problem;

        if (word->word.text == NULL)
            continue;
        other = names_find(checker, word->word.text,
                           SORT_BIT(SORT_MEASURE) | SORT_BIT(SORT_CURVE) | SORT_BIT(SORT_RECKON) |
                               SORT_BIT(SORT_OBSERVATION));
        if (other == NULL)
            continue;
        problem = problem_add(checker->problems, STAVE_ERROR, "duplicate-name", word->word.span,
                              "'%s' is already %s", word->word.text, names_sort_text(other->sort));
        check_second(checker, problem, other->span, "declared here");
        problem_help(problem, checker->problems, "give this value of '%s' another name",
                     observation->name);
    }
}

static void resolve_observation(struct checker *checker, const struct observation *observation,
                                const struct tree_observe *tree)
{
    if (tree->sort == TREE_YES_OR_NO)
        return;
    check_values(checker, observation, tree);
    if (observation->value_count < 2)
        problem_help(problem_add(checker->problems, STAVE_ERROR, "too-few", observation->span,
                                 "observation '%s' has only one value", observation->name),
                     checker->problems, "name at least two, or write 'yes or no'");
}

void measures_resolve(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_measure *measure;
    const struct tree_observe *observe;
    uint32_t i, measures = 0, observations = 0;

    for (i = 0; i < book->tree_count; i++) {
        for (measure = book->trees[i]->measures; measure != NULL; measure = measure->next)
            if (measure->name.text != NULL)
                resolve_measure(checker, &book->measures[measures++], measure);
        for (observe = book->trees[i]->observes; observe != NULL; observe = observe->next)
            if (observe->name.text != NULL)
                resolve_observation(checker, &book->observations[observations++], observe);
    }
}
