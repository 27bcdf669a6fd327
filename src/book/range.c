/* Reckoning with ranges, exactly: the ends of a join are reached. */
#include "book/range.h"

static struct range multiply(struct arena *arena, const struct range *a, const struct range *b)
{
    struct number corners[4] = {
        number_multiply(arena, a->low, b->low), number_multiply(arena, a->low, b->high),
        number_multiply(arena, a->high, b->low), number_multiply(arena, a->high, b->high)};
    struct range product = {corners[0], corners[0]};
    for (int i = 1; i < 4; i++) {
        product.low = number_least(arena, product.low, corners[i]);
        product.high = number_greatest(arena, product.high, corners[i]);
    }
    return product;
}

struct range range_join(struct arena *arena, enum expression_sort sort, const struct range *left,
                        const struct range *right)
{
    switch (sort) {
    case EXPRESSION_ADD:
        return (struct range){number_add(arena, left->low, right->low),
                              number_add(arena, left->high, right->high)};
    case EXPRESSION_SUBTRACT:
        return (struct range){number_subtract(arena, left->low, right->high),
                              number_subtract(arena, left->high, right->low)};
    case EXPRESSION_LESSER:
        return (struct range){number_least(arena, left->low, right->low),
                              number_least(arena, left->high, right->high)};
    case EXPRESSION_GREATER:
        return (struct range){number_greatest(arena, left->low, right->low),
                              number_greatest(arena, left->high, right->high)};
    case EXPRESSION_DIVIDE: {
        struct number part = number_divide(arena, NUMBER_INT(1), right->low); /* a literal */
        struct range factor = {part, part};
        return multiply(arena, left, &factor);
    }
    default:
        return multiply(arena, left, right);
    }
}

bool range_fixed(const struct range *range)
{
    return number_equal(range->low, range->high);
}

struct range range_around(struct arena *arena, const struct range *asked, struct number middle,
                          struct number doubt)
{
    return (struct range){
        number_greatest(arena, asked->low, number_subtract(arena, middle, doubt)),
        number_least(arena, asked->high, number_add(arena, middle, doubt)),
    };
}

bool range_has(struct arena *arena, const struct range *range, struct number value)
{
    return number_compare(arena, value, range->low) >= 0 &&
           number_compare(arena, value, range->high) <= 0;
}
