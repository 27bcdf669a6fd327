/* Slopes of expressions, by their form. */
#include "prove/goes.h"

enum goes goes_turned(enum goes goes)
{
    return goes == GOES_UP ? GOES_DOWN : goes == GOES_DOWN ? GOES_UP : goes;
}

enum goes goes_with(const struct expression *expression, const struct measure *measure)
{
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        return GOES_NOT;
    case EXPRESSION_MEASURE:
        return expression->measure == measure ? GOES_UP : GOES_NOT;
    case EXPRESSION_RECKONED:
        return goes_with(expression->reckon->value, measure);
    case EXPRESSION_LARGER:
    case EXPRESSION_TOGETHER:
        return goes_with(expression->left, measure);
    default:
        break;
    }
    if (!expression->left || !expression->right) {
        return GOES_ANY;
    }
    enum goes left = goes_with(expression->left, measure);
    enum goes right = goes_with(expression->right, measure);
    switch (expression->sort) {
    case EXPRESSION_ADD:
    case EXPRESSION_LESSER:
    case EXPRESSION_GREATER:
        return left | right;
    case EXPRESSION_SUBTRACT:
        return left | goes_turned(right);
    case EXPRESSION_DIVIDE:
        return number_sign(expression->right->value) > 0 ? left : goes_turned(left);
    case EXPRESSION_MULTIPLY:
        if (left == GOES_NOT && right == GOES_NOT) {
            return GOES_NOT;
        }
        return expression_never_negative(expression->left) && expression_never_negative(expression->right)
                   ? left | right
                   : GOES_ANY;
    default:
        return GOES_ANY;
    }
}
