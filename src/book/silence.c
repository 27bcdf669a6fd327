/* Nothing passes by silence: a line above `no flight` bounds or releases all that is recorded. */
#include "book/check.h"

bool rung_takes_all(const struct rung *rung)
{
    uint32_t i;

    for (i = 0; i < rung->condition_count; i++)
        if (rung->conditions[i].sort != CONDITION_RELEASE)
            return false;
    return true;
}

static bool releases_all(const struct condition *condition)
{
    return condition->sort == CONDITION_RELEASE && condition->left == NULL &&
           condition->observation == NULL;
}

static bool releases(const struct condition *condition, const struct measure *measure,
                     const struct observation *observation)
{
    if (condition->sort != CONDITION_RELEASE || releases_all(condition))
        return false;
    if (measure != NULL)
        return condition->left != NULL && condition->left->measure == measure;
    return condition->observation == observation;
}

/* Toward worse: an upper bound, or a lower one where smaller is worse. */
static bool bounds(struct checker *checker, const struct condition *condition,
                   const struct measure *measure)
{
    bool upper = condition->relation == TREE_UP_TO || condition->relation == TREE_BELOW;
    struct walk walk;

    if (condition->sort != CONDITION_COMPARE || upper == measure->smaller_is_worse)
        return false;
    walk.measure_count = walk.curve_count = 0;
    walk_add(&walk, condition->right);
    return !walk_has(&walk, measure) && /* "depth up to depth" bounds nothing */
           expression_grows_with(checker, condition->left, measure, upper);
}

/* A level must be held from the worse side; any other word on an observation names its values. */
static bool speaks(const struct condition *condition, const struct observation *observation)
{
    const uint32_t last = observation->value_count - 1;

    if (condition->sort != CONDITION_AMONG || condition->observation != observation)
        return false;
    if (observation->sort != TREE_LEVELS)
        return true;
    return !(condition->relation == TREE_AT_LEAST || condition->relation == TREE_OVER) ||
           !(condition->values & UINT64_C(1) << last);
}

static bool is_spoken_of(struct checker *checker, const struct rung *rung,
                         const struct recorded *record)
{
    uint32_t i;

    for (i = 0; i < rung->condition_count; i++) {
        const struct condition *condition = &rung->conditions[i];

        if (releases_all(condition) || releases(condition, record->measure, record->observation))
            return true;
        if (record->measure != NULL ? bounds(checker, condition, record->measure)
                                    : speaks(condition, record->observation))
            return true;
    }
    return false;
}

static void report_silent(struct checker *checker, const struct recorded *record,
                          struct tree_word outcome)
{
    const struct measure *measure = record->measure;
    struct stave_problem *problem =
        problem_add(checker->problems, STAVE_ERROR, "silent", outcome.span,
                    "line '%s' neither bounds nor releases '%s'", outcome.text, record->name);

    check_second(checker, problem, record->span, "recorded here");
    if (measure != NULL)
        problem_help(problem, checker->problems, "add '%s %s …' or 'any %s'", record->name,
                     measure->smaller_is_worse ? "at least" : "up to", record->name);
    else if (record->observation->sort == TREE_ONE_OF)
        problem_help(problem, checker->problems, "add '%s is …' or 'any %s'", record->name,
                     record->name);
    else if (record->observation->sort == TREE_LEVELS)
        problem_help(problem, checker->problems, "add '%s up to …' or 'any %s'", record->name,
                     record->name);
    else
        problem_help(problem, checker->problems, "add '%s', 'not %s' or 'any %s'", record->name,
                     record->name, record->name);
}

static bool same_thing(const struct recorded *a, const struct recorded *b)
{
    return a->measure == b->measure && a->observation == b->observation;
}

/* Did an earlier kind of the ladder record it too? Then it was reported with that one. */
static bool seen_before(const struct ladder *ladder, uint32_t kind, const struct recorded *record)
{
    uint32_t i, j;

    for (i = 0; i < kind; i++) {
        if (i > 0 && ladder->kinds[i]->records == ladder->kinds[i - 1]->records)
            continue;
        for (j = 0; j < ladder->kinds[i]->record_count; j++)
            if (same_thing(&ladder->kinds[i]->records[j], record))
                return true;
    }
    return false;
}

void silence_check(struct checker *checker, const struct ladder *ladder, const struct rung *rung,
                   struct tree_word outcome)
{
    uint32_t i, j;

    for (i = 0; i < ladder->kind_count; i++) {
        const struct kind *kind = ladder->kinds[i];

        if (i > 0 && kind->records == ladder->kinds[i - 1]->records)
            continue;
        for (j = 0; j < kind->record_count; j++)
            if (!is_spoken_of(checker, rung, &kind->records[j]) &&
                !seen_before(ladder, i, &kind->records[j]))
                report_silent(checker, &kind->records[j], outcome);
    }
}
