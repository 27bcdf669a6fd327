/*
 * The warning for a ladder without `otherwise`: what falls through, in plain words.
 *
 * What falls through meets none of the lines: for each line, one of its conditions
 * fails. A line that is stricter than the last one throughout says nothing new, so it is
 * left out; what remains is the denial of each other line, joined by "and".
 */
#include "book/check.h"

#include <string.h>

#define FALL_LINES 3 /* denied in full; more would not be read */

static const char *denied_relation(enum tree_relation relation)
{
    switch (relation) {
    case TREE_UP_TO:
        return "over";
    case TREE_BELOW:
        return "at least";
    case TREE_AT_LEAST:
        return "below";
    case TREE_OVER:
        return "up to";
    }
    return "";
}

/* ---- is one condition stricter than another? ------------------------------------------ */

static bool same_text(struct checker *checker, const struct expression *a,
                      const struct expression *b)
{
    return strcmp(span_text(checker->arena, a->span), span_text(checker->arena, b->span)) == 0;
}

static bool compare_implies(struct checker *checker, const struct condition *strict,
                            const struct condition *loose)
{
    struct number a, b;
    bool same_bound = strict->relation == loose->relation || strict->relation == TREE_BELOW ||
                      strict->relation == TREE_OVER;
    int order;

    if (relation_is_upper(strict->relation) != relation_is_upper(loose->relation) ||
        !same_text(checker, strict->left, loose->left))
        return false;
    if (!expression_constant(checker, strict->right, &a) ||
        !expression_constant(checker, loose->right, &b))
        return same_bound && same_text(checker, strict->right, loose->right);
    order = number_compare(checker->arena, a, b);
    if (order == 0)
        return same_bound;
    return relation_is_upper(strict->relation) ? order < 0 : order > 0;
}

static bool implies(struct checker *checker, const struct condition *strict,
                    const struct condition *loose)
{
    if (strict->sort != loose->sort || strict->sort == CONDITION_RELEASE)
        return false;
    if (strict->sort == CONDITION_COMPARE)
        return compare_implies(checker, strict, loose);
    return strict->observation == loose->observation && (strict->values & ~loose->values) == 0;
}

/* Whatever meets `strict` meets `loose` as well. */
static bool rung_implies(struct checker *checker, const struct rung *strict,
                         const struct rung *loose)
{
    uint32_t i, j;

    for (i = 0; i < loose->condition_count; i++) {
        if (loose->conditions[i].sort == CONDITION_RELEASE)
            continue;
        for (j = 0; j < strict->condition_count; j++)
            if (implies(checker, &strict->conditions[j], &loose->conditions[i]))
                break;
        if (j == strict->condition_count)
            return false;
    }
    return true;
}

/* ---- words ----------------------------------------------------------------------------------- */

static void deny_values(struct text *text, const struct condition *condition)
{
    const struct observation *observation = condition->observation;
    bool first = true;
    uint32_t i;

    if (observation->sort == TREE_YES_OR_NO) {
        text_add(text, condition->values & 1 ? "not " : "");
        text_add(text, observation->name);
        return;
    }
    text_add(text, observation->name);
    for (i = 0; i < observation->value_count; i++)
        if (!(condition->values & UINT64_C(1) << i)) {
            text_add(text, first ? " " : " or ");
            text_add(text, observation->values[i]);
            first = false;
        }
}

static void deny_rung(struct checker *checker, struct text *text, const struct rung *rung)
{
    bool first = true;
    uint32_t i;

    for (i = 0; i < rung->condition_count; i++) {
        const struct condition *condition = &rung->conditions[i];

        if (condition->sort == CONDITION_RELEASE)
            continue;
        if (!first)
            text_add(text, ", or ");
        first = false;
        if (condition->sort == CONDITION_AMONG) {
            deny_values(text, condition);
            continue;
        }
        text_add(text, check_quote(checker, condition->left->span));
        text_add(text, " ");
        text_add(text, denied_relation(condition->relation));
        text_add(text, " ");
        text_add(text, check_quote(checker, condition->right->span));
    }
}

static void name_kinds(struct text *text, const struct ladder *ladder)
{
    uint32_t i;

    if (ladder->kinds[0]->is_check)
        text_add(text, "check ");
    for (i = 0; i < ladder->kind_count && i < 4; i++) {
        if (i > 0)
            text_add(text, i + 1 == ladder->kind_count ? " or " : ", ");
        text_add(text, i == 3 && ladder->kind_count > 4 ? "others" : ladder->kinds[i]->name);
    }
}

static void name_what_falls(struct checker *checker, struct text *text, const struct ladder *ladder)
{
    const struct rung *last = &ladder->rungs[ladder->rung_count - 1];
    uint32_t left = ladder->rung_count, denied = 0, i;

    for (i = 0; i < left; i++) {
        const struct rung *rung = &ladder->rungs[i];

        if (rung != last && rung_implies(checker, rung, last))
            continue;
        if (denied == FALL_LINES) {
            text_add(text, "; and so on");
            return;
        }
        text_add(text, denied++ > 0 ? "; and " : "");
        deny_rung(checker, text, rung);
    }
}

/* The one condition of a line, where all its others are releases; else NULL. */
static const struct condition *only_condition(const struct rung *rung)
{
    const struct condition *only = NULL;
    uint32_t i;

    for (i = 0; i < rung->condition_count; i++) {
        if (rung->conditions[i].sort == CONDITION_RELEASE)
            continue;
        if (only != NULL)
            return NULL;
        only = &rung->conditions[i];
    }
    return only;
}

/* "depth up to 1 in" and "depth over 1 in": one of the two always holds. */
static bool bounds_meet(struct checker *checker, const struct condition *a,
                        const struct condition *b)
{
    struct number upper, lower;
    int order;

    if (!relation_is_upper(a->relation) || relation_is_upper(b->relation) ||
        !same_text(checker, a->left, b->left) ||
        !expression_constant(checker, a->right, &upper) ||
        !expression_constant(checker, b->right, &lower))
        return false;
    order = number_compare(checker->arena, upper, lower);
    return order > 0 ||
           (order == 0 && (!relation_is_strict(a->relation) || !relation_is_strict(b->relation)));
}

/* Lines of one condition each that leave nothing between them: all values, or all figures. */
static bool lines_cover_all(struct checker *checker, const struct ladder *ladder)
{
    uint32_t i, j;

    for (i = 0; i < ladder->rung_count; i++) {
        const struct condition *a = only_condition(&ladder->rungs[i]);
        uint64_t values;

        if (rung_takes_all(&ladder->rungs[i]))
            return true;
        if (a == NULL)
            continue;
        values = a->values;
        for (j = 0; j < ladder->rung_count; j++) {
            const struct condition *b = only_condition(&ladder->rungs[j]);

            if (b == NULL || b->sort != a->sort)
                continue;
            if (a->sort == CONDITION_COMPARE && bounds_meet(checker, a, b))
                return true;
            if (a->sort == CONDITION_AMONG && b->observation == a->observation)
                values |= b->values;
        }
        if (a->sort == CONDITION_AMONG &&
            (uint32_t)__builtin_popcountll(values) == a->observation->value_count)
            return true;
    }
    return false;
}

void fall_through_check(struct checker *checker, const struct ladder *ladder)
{
    const struct rung *last;
    struct stave_problem *problem;
    struct text text;

    if (checker->unread || ladder->quiet || ladder->broken || ladder->rung_count == 0 ||
        ladder->kind_count == 0)
        return;
    last = &ladder->rungs[ladder->rung_count - 1];
    if (last->otherwise || lines_cover_all(checker, ladder))
        return;
    text_begin(&text, checker->arena);
    name_kinds(&text, ladder);
    text_add(&text, " with ");
    name_what_falls(checker, &text, ladder);
    problem = problem_add(checker->problems, STAVE_WARNING, "no-otherwise", ladder->head,
                          "ladder without 'otherwise' says nothing of %s", text_done(&text));
    problem_help(problem, checker->problems,
                 "that is 'no published limit' now: write a last line 'otherwise …'");
}
