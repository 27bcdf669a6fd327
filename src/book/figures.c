#include "book/check.h"

/* Ranges stay far below what the arithmetic can hold: 10^12 mm is a million kilometres. */
#define FIGURE_MOST INT64_C(1000000000000)

struct dimension figure_dimension(const struct tree_quantity *quantity)
{
    return quantity->unit != NULL ? quantity->unit->dimension : unit_none()->dimension;
}

static const char *figure_text(struct checker *checker, const struct tree_quantity *quantity)
{
    return check_quote(checker, quantity->span);
}

bool figure_fits(struct checker *checker, const struct tree_quantity *quantity,
                 struct dimension dimension, const struct unit *unit, const char *owner)
{
    struct dimension own = figure_dimension(quantity);
    struct stave_problem *problem;

    if (dimension_equal(own, dimension))
        return true;
    if (quantity->unit == NULL) {
        problem = problem_add(checker->problems, STAVE_ERROR, "unit-missing", quantity->span,
                              "figure '%s' has no unit: %s is %s", figure_text(checker, quantity),
                              owner, dimension_name(checker->arena, dimension));
        if (unit != NULL && unit->name[0] != '\0')
            problem_help(problem, checker->problems, "write its unit, as in '%s %s'",
                         figure_text(checker, quantity), unit->name);
        return false;
    }
    problem = problem_add(checker->problems, STAVE_ERROR, "dimension", quantity->span,
                          "'%s' is %s, but %s is %s", figure_text(checker, quantity),
                          dimension_name(checker->arena, own), owner,
                          dimension_name(checker->arena, dimension));
    if (unit != NULL && unit->name[0] != '\0')
        problem_help(problem, checker->problems, "write a figure in '%s' or a unit like it",
                     unit->name);
    return false;
}

bool figure_bounded(struct checker *checker, const struct tree_quantity *quantity)
{
    struct stave_problem *problem;

    if (number_compare(checker->arena, quantity->value, NUMBER_INT(FIGURE_MOST)) <= 0)
        return true;
    problem = problem_add(checker->problems, STAVE_ERROR, "too-big", quantity->span,
                          "figure '%s' is too big", figure_text(checker, quantity));
    problem_help(problem, checker->problems,
                 "figures go up to 1000000000000 in mm, deg, kg, N, h, days or cycles");
    return false;
}

static uint32_t whole_bits(uint64_t value)
{
    uint32_t bits = 0;

    for (; value != 0; value >>= 1)
        bits++;
    return bits;
}

/* For big numbers the two parts are not known apart: then their sum serves for each. */
uint32_t figure_numerator_bits(struct number value)
{
    if (value.den == 0)
        return (uint32_t)number_bits(value);
    return whole_bits(value.num < 0 ? (uint64_t)0 - (uint64_t)value.num : (uint64_t)value.num);
}

uint32_t figure_denominator_bits(struct number value)
{
    return value.den == 0 ? (uint32_t)number_bits(value) : whole_bits((uint64_t)value.den);
}

/* Both ends in one dimension. */
static bool range_dimension(struct checker *checker, const struct tree_quantity *from,
                            const struct tree_quantity *to, const char *owner,
                            struct figure_range *range)
{
    const struct tree_quantity *sure = from->unit != NULL ? from : to;

    range->unit = sure->unit != NULL ? sure->unit : unit_none();
    range->dimension = range->unit->dimension;
    return figure_fits(checker, sure == from ? to : from, range->dimension, range->unit, owner);
}

bool figure_range_read(struct checker *checker, const struct tree_quantity *from,
                       const struct tree_quantity *to, const char *owner,
                       struct figure_range *range)
{
    struct span span = span_join(from->span, to->span);
    struct stave_problem *problem;
    int order;
    bool good;

    if (!range_dimension(checker, from, to, owner, range))
        return false;
    range->from = from->value;
    range->to = to->value;
    good = figure_bounded(checker, from);
    good = figure_bounded(checker, to) && good;
    order = number_compare(checker->arena, range->from, range->to);
    if (order < 0)
        return good;
    problem = problem_add(checker->problems, STAVE_ERROR, "range", span, "range '%s' is %s",
                          check_quote(checker, span), order > 0 ? "reversed" : "empty");
    problem_help(problem, checker->problems,
                 order > 0 ? "write the smaller figure first"
                           : "write two different figures, the smaller one first");
    return false;
}

bool figure_step_read(struct checker *checker, const struct tree_quantity *step,
                      struct dimension dimension, const struct unit *unit, const char *owner)
{
    struct stave_problem *problem;

    if (!figure_fits(checker, step, dimension, unit, owner) || !figure_bounded(checker, step))
        return false;
    if (number_sign(step->value) > 0)
        return true;
    problem = problem_add(checker->problems, STAVE_ERROR, "step", step->span, "step '%s' is zero",
                          figure_text(checker, step));
    problem_help(problem, checker->problems, "write the smallest difference that is read");
    return false;
}
