/* Bounds and inequalities, kept so that they can be taken back. Solving is in eliminate.c. */
#include "judge/eliminate.h"

void constraints_begin(struct constraints *constraints, struct arena *arena, uint32_t count,
                       uint32_t *work)
{
    *constraints = (struct constraints){
        .arena = arena,
        .unknowns = ARENA_ARRAY(arena, struct unknown, count),
        .unknown_count = count,
        .kept = ARENA_ARRAY(arena, struct inequality, CONSTRAINTS_KEPT),
        .work = work,
    };
    for (uint32_t i = 0; i < count; i++) {
        constraints->unknowns[i].low = constraints->unknowns[i].high = NUMBER_ZERO;
    }
}

bool constraints_spend(const struct constraints *constraints, uint32_t amount)
{
    if (*constraints->work < amount) {
        *constraints->work = 0;
        return false;
    }
    *constraints->work -= amount;
    return true;
}

bool unknown_possible(struct arena *arena, const struct unknown *unknown)
{
    int order = number_compare(arena, unknown->low, unknown->high);
    return order < 0 || (order == 0 && !unknown->low_open && !unknown->high_open);
}

bool unknown_fixed(const struct unknown *unknown)
{
    return number_equal(unknown->low, unknown->high);
}

struct number unknown_pick(struct arena *arena, const struct unknown *unknown)
{
    if (unknown->rather_high && !unknown->high_open) {
        return unknown->high;
    }
    if (!unknown->rather_high && !unknown->low_open) {
        return unknown->low;
    }
    return number_divide(arena, number_add(arena, unknown->low, unknown->high), NUMBER_INT(2));
}

enum truth constraints_truth(struct constraints *constraints, const struct inequality *asked)
{
    struct arena *arena = constraints->arena;
    struct number least = asked->constant, greatest = asked->constant;
    bool least_open = false, greatest_open = false;
    for (uint32_t i = 0; i < asked->term_count; i++) {
        const struct unknown *unknown = &constraints->unknowns[asked->terms[i].unknown];
        struct number factor = asked->terms[i].coefficient;
        struct number at_low = number_multiply(arena, factor, unknown->low);
        struct number at_high =
            unknown_fixed(unknown) ? at_low : number_multiply(arena, factor, unknown->high);
        bool rises = number_sign(factor) > 0;
        least = number_add(arena, least, rises ? at_low : at_high);
        greatest = number_add(arena, greatest, rises ? at_high : at_low);
        least_open |= rises ? unknown->low_open : unknown->high_open;
        greatest_open |= rises ? unknown->high_open : unknown->low_open;
    }
    int top = number_sign(greatest), bottom = number_sign(least);
    if (top < 0 || (top == 0 && (!asked->strict || greatest_open))) {
        return TRUTH_YES;
    }
    if (bottom > 0 || (bottom == 0 && (asked->strict || least_open))) {
        return TRUTH_NO;
    }
    return TRUTH_EITHER;
}

struct constraints_mark constraints_mark(const struct constraints *constraints)
{
    return (struct constraints_mark){
        .change_count = constraints->change_count,
        .kept_count = constraints->kept_count,
        .too_many = constraints->too_many,
        .memory = arena_mark(constraints->arena),
    };
}

void constraints_return(struct constraints *constraints, struct constraints_mark mark)
{
    for (; constraints->change_count > mark.change_count; constraints->change_count--) {
        const struct unknown_change *change = constraints->changes;
        constraints->unknowns[change->unknown] = change->before;
        constraints->changes = change->older;
    }
    constraints->kept_count = mark.kept_count;
    constraints->too_many = mark.too_many;
    arena_release(constraints->arena, mark.memory);
}

/* ---- adding ------------------------------------------------------------------------ */

/* The bound that `factor * x + rest (< or <=) 0` puts on x; true when it was tighter. */
bool unknown_bound(struct arena *arena, struct unknown *unknown, struct number factor,
                   struct number rest, bool strict)
{
    struct number at = number_negate(arena, number_divide(arena, rest, factor));
    bool above = number_sign(factor) > 0; /* x is at most `at` */
    if (unknown->stepped) {
        struct number on =
            number_round_to(arena, at, unknown->step, above ? NUMBER_DOWN : NUMBER_UP);
        if (strict && number_equal(on, at)) {
            on = above ? number_subtract(arena, on, unknown->step)
                       : number_add(arena, on, unknown->step);
        }
        at = on;
        strict = false;
    }
    struct number *end = above ? &unknown->high : &unknown->low;
    bool *open = above ? &unknown->high_open : &unknown->low_open;
    int order = number_compare(arena, at, *end);
    if ((above ? order < 0 : order > 0) || (order == 0 && strict && !*open)) {
        *end = at;
        *open = strict;
        return true;
    }
    return false;
}

static bool add_bound(struct constraints *constraints, const struct inequality *added)
{
    const struct unknown_term *term = &added->terms[0];
    struct unknown *unknown = &constraints->unknowns[term->unknown];
    struct unknown before = *unknown;
    if (constraints->change_count == CONSTRAINTS_CHANGES) {
        constraints->too_many = true;
        return true;
    }
    if (unknown_bound(constraints->arena, unknown, term->coefficient, added->constant,
                      added->strict)) {
        struct unknown_change *change = ARENA_NEW(constraints->arena, struct unknown_change);
        *change = (struct unknown_change){constraints->changes, term->unknown, before};
        constraints->changes = change;
        constraints->change_count++;
    }
    return unknown_possible(constraints->arena, unknown);
}

/* The greatest common measure of two positive numbers. */
static struct number common_measure(struct arena *arena, struct number a, struct number b)
{
    while (number_sign(b) != 0) {
        struct number times = number_round_whole(arena, number_divide(arena, a, b), NUMBER_DOWN);
        struct number rest = number_subtract(arena, a, number_multiply(arena, times, b));
        a = b;
        b = rest;
    }
    return a;
}

/*
 * Where all its unknowns are stepped, a sum moves in steps of its own, the common measure
 * of coefficient times step: its bound is moved to the next such step.
 */
static void tighten_to_steps(struct constraints *constraints, struct inequality *added)
{
    struct arena *arena = constraints->arena;
    struct number measure = NUMBER_ZERO;
    for (uint32_t i = 0; i < added->term_count; i++) {
        const struct unknown *unknown = &constraints->unknowns[added->terms[i].unknown];
        if (!unknown->stepped) {
            return;
        }
        struct number each = number_multiply(arena, added->terms[i].coefficient, unknown->step);
        if (number_sign(each) < 0) {
            each = number_negate(arena, each);
        }
        measure = common_measure(arena, each, measure);
    }
    struct number most = number_negate(arena, added->constant); /* sum < or <= most */
    struct number on = number_round_to(arena, most, measure, NUMBER_DOWN);
    if (added->strict && number_equal(on, most)) {
        on = number_subtract(arena, on, measure);
    }
    added->constant = number_negate(arena, on);
    added->strict = false;
}

bool constraints_assume(struct constraints *constraints, const struct inequality *added, bool holds)
{
    struct arena *arena = constraints->arena;
    struct inequality kept = {
        .terms = ARENA_ARRAY(arena, struct unknown_term, added->term_count),
        .constant = holds ? added->constant : number_negate(arena, added->constant),
        .strict = holds ? added->strict : !added->strict,
    };
    for (uint32_t i = 0; i < added->term_count; i++) {
        const struct unknown *unknown = &constraints->unknowns[added->terms[i].unknown];
        struct number factor = added->terms[i].coefficient;
        if (!holds) {
            factor = number_negate(arena, factor);
        }
        if (unknown_fixed(unknown)) {
            kept.constant =
                number_add(arena, kept.constant, number_multiply(arena, factor, unknown->low));
        } else {
            kept.terms[kept.term_count++] = (struct unknown_term){added->terms[i].unknown, factor};
        }
    }
    if (kept.term_count == 0) {
        int sign = number_sign(kept.constant);
        return sign < 0 || (sign == 0 && !kept.strict);
    }
    if (kept.term_count == 1) {
        return add_bound(constraints, &kept);
    }
    if (constraints->kept_count == CONSTRAINTS_KEPT) {
        constraints->too_many = true;
        return true;
    }
    tighten_to_steps(constraints, &kept);
    constraints->kept[constraints->kept_count++] = kept;
    return true;
}
