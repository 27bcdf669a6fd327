/* Walks over checked expressions: what they rest on, how they grow, where they change. */
#include "book/check.h"

#include <string.h>

/* ---- what it rests on ---------------------------------------------------------------- */

bool walk_has(const struct walk *walk, const struct measure *measure)
{
    uint32_t i;

    for (i = 0; i < walk->measure_count; i++)
        if (walk->measures[i] == measure)
            return true;
    return false;
}

static bool walk_has_curve(const struct walk *walk, const struct curve *curve)
{
    uint32_t i;

    for (i = 0; i < walk->curve_count; i++)
        if (walk->curves[i] == curve)
            return true;
    return false;
}

/* `shown`: where the line names it, for what lies inside a reckoned name. */
static void walk_down(struct walk *walk, const struct expression *expression,
                      const struct span *shown)
{
    const struct span *span = shown != NULL ? shown : &expression->span;

    switch (expression->sort) {
    case EXPRESSION_FIGURE:
    case EXPRESSION_AGGREGATE:
    case EXPRESSION_GROWTH:
    case EXPRESSION_SEEN:
        return;
    case EXPRESSION_MEASURE:
        if (!walk_has(walk, expression->measure) && walk->measure_count < WALK_MOST) {
            walk->measure_spans[walk->measure_count] = *span;
            walk->measures[walk->measure_count++] = expression->measure;
        }
        return;
    case EXPRESSION_CURVE:
        if (!walk_has_curve(walk, expression->curve) && walk->curve_count < WALK_MOST) {
            walk->curve_spans[walk->curve_count] = *span;
            walk->curves[walk->curve_count++] = expression->curve;
        }
        return;
    case EXPRESSION_RECKONED:
        walk_down(walk, expression->reckon->value, span);
        return;
    default:
        walk_down(walk, expression->left, shown);
        if (expression->right != NULL) /* "larger length" has a left alone */
            walk_down(walk, expression->right, shown);
        return;
    }
}

void walk_add(struct walk *walk, const struct expression *expression)
{
    if (expression->sort != EXPRESSION_FIGURE) /* half of them are */
        walk_down(walk, expression, NULL);
}

static bool has_measure(const struct expression *expression)
{
    expression = expression_see_through(expression);
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
    case EXPRESSION_CURVE:
    case EXPRESSION_AGGREGATE:
    case EXPRESSION_GROWTH:
    case EXPRESSION_SEEN:
        return false;
    case EXPRESSION_MEASURE:
        return true;
    default:
        return has_measure(expression->left) || has_measure(expression->right);
    }
}

/* ---- constants ------------------------------------------------------------------------ */

static struct number combine(struct checker *checker, enum expression_sort sort, struct number left,
                             struct number right)
{
    switch (sort) {
    case EXPRESSION_SUBTRACT:
        return number_subtract(checker->arena, left, right);
    case EXPRESSION_MULTIPLY:
        return number_multiply(checker->arena, left, right);
    case EXPRESSION_DIVIDE:
        return number_divide(checker->arena, left, right);
    case EXPRESSION_LESSER:
        return number_least(checker->arena, left, right);
    case EXPRESSION_GREATER:
        return number_greatest(checker->arena, left, right);
    default:
        return number_add(checker->arena, left, right);
    }
}

bool expression_constant(struct checker *checker, const struct expression *expression,
                         struct number *value)
{
    struct number left, right;

    expression = expression_see_through(expression);
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        *value = expression->value;
        return true;
    case EXPRESSION_MEASURE:
    case EXPRESSION_CURVE:
    case EXPRESSION_AGGREGATE:
    case EXPRESSION_GROWTH:
    case EXPRESSION_SEEN:
    case EXPRESSION_LARGER:
    case EXPRESSION_TOGETHER:
        return false;
    default:
        if (!expression_constant(checker, expression->left, &left) ||
            !expression_constant(checker, expression->right, &right))
            return false;
        *value = combine(checker, expression->sort, left, right);
        return true;
    }
}

/* ---- growth ---------------------------------------------------------------------------- */

static bool curve_never_negative(const struct curve *curve)
{
    uint32_t i;

    for (i = 0; i < curve->point_count; i++)
        if (number_sign(curve->points[i].value) < 0)
            return false;
    return true;
}

bool expression_never_negative(const struct expression *expression)
{
    expression = expression_see_through(expression);
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        return number_sign(expression->value) >= 0;
    case EXPRESSION_MEASURE:
        return number_sign(expression->measure->from) >= 0;
    case EXPRESSION_CURVE:
        return curve_never_negative(expression->curve);
    case EXPRESSION_SUBTRACT:
    case EXPRESSION_AGGREGATE:
    case EXPRESSION_GROWTH:
    case EXPRESSION_SEEN:
        return false;
    case EXPRESSION_GREATER:
        return expression_never_negative(expression->left) ||
               expression_never_negative(expression->right);
    case EXPRESSION_LARGER:
    case EXPRESSION_TOGETHER:
        return expression_never_negative(expression->left);
    default:
        return expression_never_negative(expression->left) &&
               expression_never_negative(expression->right);
    }
}

/* Sure to be over zero; asked only of what is never negative. */
static bool always_positive(const struct expression *expression)
{
    expression = expression_see_through(expression);
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        return number_sign(expression->value) > 0;
    case EXPRESSION_MEASURE:
        return number_sign(expression->measure->from) > 0;
    case EXPRESSION_CURVE:
        for (uint32_t i = 0; i < expression->curve->point_count; i++)
            if (number_sign(expression->curve->points[i].value) <= 0)
                return false;
        return true;
    case EXPRESSION_SUBTRACT:
    case EXPRESSION_AGGREGATE:
    case EXPRESSION_GROWTH:
    case EXPRESSION_SEEN:
        return false;
    case EXPRESSION_ADD:
    case EXPRESSION_GREATER:
        return always_positive(expression->left) || always_positive(expression->right);
    default:
        return always_positive(expression->left) && always_positive(expression->right);
    }
}

/* A measure taken away could make up for any growth of another. */
static bool takes_measure_away(const struct expression *expression)
{
    expression = expression_see_through(expression);
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
    case EXPRESSION_MEASURE:
    case EXPRESSION_CURVE:
    case EXPRESSION_AGGREGATE:
    case EXPRESSION_GROWTH:
    case EXPRESSION_SEEN:
        return false;
    case EXPRESSION_SUBTRACT:
        return has_measure(expression->right) || takes_measure_away(expression->left);
    default:
        return takes_measure_away(expression->left) || takes_measure_away(expression->right);
    }
}

static bool grows(struct checker *checker, const struct expression *expression,
                  const struct measure *measure, bool upper);

/* A product holds a measure only where the other factor cannot be zero, which would set it free. */
static bool product_grows(struct checker *checker, const struct expression *expression,
                          const struct measure *measure, bool upper)
{
    const struct expression *left = expression->left, *right = expression->right;
    struct number factor;

    if (expression_constant(checker, left, &factor))
        return number_sign(factor) > 0 && grows(checker, right, measure, upper);
    if (expression_constant(checker, right, &factor))
        return number_sign(factor) > 0 && grows(checker, left, measure, upper);
    if (!expression_never_negative(left) || !expression_never_negative(right))
        return false;
    return (grows(checker, left, measure, upper) && always_positive(right)) ||
           (grows(checker, right, measure, upper) && always_positive(left));
}

static bool grows(struct checker *checker, const struct expression *expression,
                  const struct measure *measure, bool upper)
{
    bool left, right;

    expression = expression_see_through(expression);
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
    case EXPRESSION_CURVE:
    case EXPRESSION_AGGREGATE:
    case EXPRESSION_GROWTH:
    case EXPRESSION_SEEN:
        return false;
    case EXPRESSION_MEASURE:
        return expression->measure == measure;
    case EXPRESSION_MULTIPLY:
        return product_grows(checker, expression, measure, upper);
    case EXPRESSION_SUBTRACT:
    case EXPRESSION_DIVIDE:
        return grows(checker, expression->left, measure, upper);
    default:
        break;
    }
    left = grows(checker, expression->left, measure, upper);
    right = grows(checker, expression->right, measure, upper);
    if (expression->sort == EXPRESSION_ADD || (expression->sort == EXPRESSION_GREATER) == upper)
        return left || right;
    return left && right;
}

bool expression_grows_with(struct checker *checker, const struct expression *expression,
                           const struct measure *measure, bool upper)
{
    return !takes_measure_away(expression) && grows(checker, expression, measure, upper);
}

/* ---- places ------------------------------------------------------------------------------ */

/*
 * How a side of a comparison depends on the place, once it is written as an AND/OR tree:
 *   FREE   not at all
 *   SAME   alike in all branches of every "or"
 *   APART  in one branch of an "or" only
 * "At every place A or B" is "A at every place, or B at every place" when A and B
 * do not both depend on the place, or depend on it alike; so a sum may not bring two dependences
 * together when one of them is APART, and an "or" may not have one in both branches.
 */
enum place_sort { PLACE_FREE, PLACE_SAME, PLACE_APART, PLACE_REFUSED };

/* Curves and figures alone, all curves on one axis: worked out into one function. */
static bool one_place_function(const struct expression *expression, const char **axis)
{
    expression = expression_see_through(expression);
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        return true;
    case EXPRESSION_MEASURE:
    case EXPRESSION_AGGREGATE:
    case EXPRESSION_GROWTH:
    case EXPRESSION_SEEN:
        return false;
    case EXPRESSION_CURVE:
        if (*axis != NULL && strcmp(*axis, expression->curve->axis) != 0)
            return false;
        *axis = expression->curve->axis;
        return true;
    default:
        return one_place_function(expression->left, axis) &&
               one_place_function(expression->right, axis);
    }
}

static enum place_sort sum_of(enum place_sort a, enum place_sort b)
{
    if (a == PLACE_REFUSED || b == PLACE_REFUSED)
        return PLACE_REFUSED;
    if (a == PLACE_FREE || b == PLACE_FREE)
        return a == PLACE_FREE ? b : a;
    return a == PLACE_SAME && b == PLACE_SAME ? PLACE_SAME : PLACE_REFUSED;
}

static enum place_sort or_of(enum place_sort a, enum place_sort b)
{
    if (a == PLACE_REFUSED || b == PLACE_REFUSED)
        return PLACE_REFUSED;
    if (a == PLACE_FREE && b == PLACE_FREE)
        return PLACE_FREE;
    return a == PLACE_FREE || b == PLACE_FREE ? PLACE_APART : PLACE_REFUSED;
}

static enum place_sort place_sort(struct checker *checker, const struct expression *expression,
                                  bool greater_is_or, const struct expression **refused)
{
    enum place_sort left, right, both;
    const char *axis = NULL;
    struct number factor;
    bool right_or = greater_is_or, left_or = greater_is_or, choice;

    if (one_place_function(expression, &axis))
        return axis == NULL ? PLACE_FREE : PLACE_SAME;
    if (expression->left == NULL && expression->sort != EXPRESSION_RECKONED)
        return PLACE_FREE;
    if (expression->sort == EXPRESSION_RECKONED) {
        both = place_sort(checker, expression->reckon->value, greater_is_or, refused);
        if (both == PLACE_REFUSED)
            *refused = expression;
        return both;
    }
    if (expression->sort == EXPRESSION_SUBTRACT)
        right_or = !right_or;
    if (expression->sort == EXPRESSION_MULTIPLY) {
        if (expression_constant(checker, expression->left, &factor)) {
            if (number_sign(factor) < 0)
                right_or = !right_or;
        } else if (expression_constant(checker, expression->right, &factor)) {
            if (number_sign(factor) < 0)
                left_or = !left_or;
        } else {
            return PLACE_FREE; /* a product of measures: curves are refused in it */
        }
    }
    left = place_sort(checker, expression->left, left_or, refused);
    right = place_sort(checker, expression->right, right_or, refused);
    choice = expression->sort == EXPRESSION_GREATER || expression->sort == EXPRESSION_LESSER;
    if (!choice)
        both = sum_of(left, right);
    else if ((expression->sort == EXPRESSION_GREATER) == greater_is_or)
        both = or_of(left, right);
    else
        both = left > right ? left : right;
    if (both == PLACE_REFUSED && left != PLACE_REFUSED && right != PLACE_REFUSED)
        *refused = expression;
    return both;
}

bool expression_places_apart(struct checker *checker, const struct condition *condition)
{
    bool upper = relation_is_upper(condition->relation);
    const struct expression *refused = NULL;
    enum place_sort left = place_sort(checker, condition->left, !upper, &refused);
    enum place_sort right = place_sort(checker, condition->right, upper, &refused);
    struct span at = condition->span;

    if (sum_of(left, right) != PLACE_REFUSED)
        return true;
    if (refused != NULL)
        at = refused->span;
    problem_help(problem_add(checker->problems, STAVE_ERROR, "place-mix", at,
                             "'%s' chooses between figures that both change with the place",
                             check_quote(checker, at)),
                 checker->problems, "write a line for each, with one curve and no choice in it");
    return false;
}
