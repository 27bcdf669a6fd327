#include "book/check.h"

static const char *tail_text(enum tree_tail_sort sort)
{
    switch (sort) {
    case TREE_DO:
        return "do";
    case TREE_AGAIN_WITHIN:
        return "again within";
    case TREE_WITHIN:
        return "within";
    case TREE_PER:
        return "per";
    case TREE_NOTE:
        return "note";
    case TREE_EXCEPTION:
        return "exception";
    }
    return "";
}

static bool is_deadline(const struct tree_tail *tail)
{
    return tail->sort == TREE_AGAIN_WITHIN || tail->sort == TREE_WITHIN;
}

/* Time in service, calendar time or cycles: one of them, and nothing else. */
static bool is_time(struct dimension dimension)
{
    struct dimension rest = dimension;

    rest.hours = rest.days = rest.cycles = 0;
    return dimension_equal(rest, unit_none()->dimension) &&
           dimension.hours + dimension.days + dimension.cycles == 1 && dimension.hours >= 0 &&
           dimension.days >= 0 && dimension.cycles >= 0;
}

static void deadline_check(struct checker *checker, const struct tree_tail *tail)
{
    const struct tree_quantity *quantity = tail->quantity;
    struct dimension dimension = figure_dimension(quantity);
    const char *text = check_quote(checker, quantity->span);
    struct stave_problem *problem;

    if (quantity->unit == NULL)
        problem = problem_add(checker->problems, STAVE_ERROR, "deadline", quantity->span,
                              "deadline '%s' has no unit", text);
    else if (!is_time(dimension))
        problem =
            problem_add(checker->problems, STAVE_ERROR, "deadline", quantity->span,
                        "deadline '%s' is %s", text, dimension_name(checker->arena, dimension));
    else if (number_sign(quantity->value) <= 0)
        problem = problem_add(checker->problems, STAVE_ERROR, "deadline", quantity->span,
                              "deadline '%s' is zero", text);
    else {
        figure_bounded(checker, quantity);
        return;
    }
    problem_help(problem, checker->problems,
                 "write a time in h or min (in service), in days or in cycles");
}

static bool says_again(const struct tree_tail *a, const struct tree_tail *b)
{
    if (a->sort != b->sort)
        return false;
    return !is_deadline(a) ||
           dimension_equal(figure_dimension(a->quantity), figure_dimension(b->quantity));
}

/* The tail before `tail` that says the same sort of thing, or NULL. At most a few tails
 * are kept in mind: six sorts, with three kinds of time for two of them. */
static const struct tree_tail *said_before(const struct tree_tail *tails,
                                           const struct tree_tail *tail)
{
    unsigned kept;

    for (kept = 0; tails != tail && kept < 16; tails = tails->next, kept++)
        if (says_again(tails, tail))
            return tails;
    return NULL;
}

void tails_check(struct checker *checker, const struct tree_tail *tails, unsigned allowed,
                 const char *where)
{
    const struct tree_tail *tail;

    for (tail = tails; tail != NULL; tail = tail->next) {
        const struct tree_tail *before = said_before(tails, tail);

        if (!(allowed & TAIL_BIT(tail->sort))) {
            problem_add(checker->problems, STAVE_ERROR, "tail", tail->span, "%s takes no '%s'",
                        where, tail_text(tail->sort));
            continue;
        }
        if (is_deadline(tail))
            deadline_check(checker, tail);
        if (before != NULL) {
            struct stave_problem *problem =
                problem_add(checker->problems, STAVE_ERROR, "duplicate-tail", tail->span,
                            "'%s' is said twice", tail_text(tail->sort));

            check_second(checker, problem, before->span, "first here");
        }
    }
}

const char *tails_string(const struct tree_tail *tails, enum tree_tail_sort sort)
{
    for (; tails != NULL; tails = tails->next)
        if (tails->sort == sort && tails->string.text != NULL)
            return tails->string.text;
    return NULL;
}
