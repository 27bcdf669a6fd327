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

/*
 * Toward worse: an upper bound, or a lower one where smaller is worse. `rests_on` gets the measures
 * on its other side: the bound is worth no more than theirs.
 */
static bool bounds(struct checker *checker, const struct condition *condition,
                   const struct measure *measure, struct walk *rests_on)
{
    bool upper = relation_is_upper(condition->relation);

    if (condition->sort != CONDITION_COMPARE || upper == measure->smaller_is_worse)
        return false;
    rests_on->measure_count = rests_on->curve_count = 0;
    walk_add(rests_on, condition->right);
    return !walk_has(rests_on, measure) && /* "depth up to depth" bounds nothing */
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

/* The bit of each record of a kind. */
#define RECORD_BIT(index) (UINT64_C(1) << (index))
_Static_assert(BOOK_RECORDS <= 64, "a set of records fits");

/* Are all measures that a bound rests on among those of `held`? */
static bool rests_on_held(const struct kind *kind, const struct walk *rests_on, uint64_t held)
{
    uint32_t i, found = 0;

    for (i = 0; i < kind->record_count; i++)
        if (held & RECORD_BIT(i) && kind->records[i].measure != NULL &&
            walk_has(rests_on, kind->records[i].measure))
            found++;
    return found == rests_on->measure_count;
}

/* `held`: what other records a bound may rest on. */
static bool is_spoken_of(struct checker *checker, const struct rung *rung, const struct kind *kind,
                         const struct recorded *record, uint64_t held)
{
    struct walk rests_on;
    uint32_t i;

    for (i = 0; i < rung->condition_count; i++) {
        const struct condition *condition = &rung->conditions[i];

        if (releases_all(condition) || releases(condition, record->measure, record->observation))
            return true;
        if (record->measure == NULL ? speaks(condition, record->observation)
                                    : bounds(checker, condition, record->measure, &rests_on) &&
                                          rests_on_held(kind, &rests_on, held))
            return true;
    }
    return false;
}

/*
 * What the line holds or releases: to begin with by figures alone, then by what is held so. In
 * "depth up to width, width up to depth" neither is: any depth would do.
 */
static uint64_t find_held(struct checker *checker, const struct rung *rung, const struct kind *kind)
{
    uint64_t held = 0, before;
    uint32_t i;

    do {
        before = held;
        for (i = 0; i < kind->record_count; i++)
            if (!(held & RECORD_BIT(i)) &&
                is_spoken_of(checker, rung, kind, &kind->records[i], held))
                held |= RECORD_BIT(i);
    } while (held != before);
    return held;
}

/* `circle`: it is bounded, but by what rests on it in turn. */
static void report_silent(struct checker *checker, const struct recorded *record,
                          struct tree_word outcome, bool circle)
{
    const struct measure *measure = record->measure;
    struct stave_problem *problem =
        problem_add(checker->problems, STAVE_ERROR, "silent", outcome.span,
                    circle ? "line '%s' bounds '%s' only by what rests on it in turn"
                           : "line '%s' neither bounds nor releases '%s'",
                    outcome.text, record->name);

    check_second(checker, problem, record->span, "recorded here");
    if (circle)
        problem_help(problem, checker->problems, "bound '%s' by a figure, or write 'any %s'",
                     record->name, record->name);
    else if (measure != NULL)
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
    uint64_t held;
    uint32_t i, j;

    for (i = 0; i < ladder->kind_count; i++) {
        const struct kind *kind = ladder->kinds[i];

        if (i > 0 && kind->records == ladder->kinds[i - 1]->records)
            continue;
        held = find_held(checker, rung, kind);
        for (j = 0; j < kind->record_count; j++)
            if (!(held & RECORD_BIT(j)) && !seen_before(ladder, i, &kind->records[j]))
                report_silent(checker, &kind->records[j], outcome,
                              is_spoken_of(checker, rung, kind, &kind->records[j], ~held));
    }
}
