/* Figures as they were typed, held against what is asked for. */
#include "base/text.h"
#include "book/range.h"
#include "finding/resolve.h"

static bool no_unit(struct resolving *resolving, const struct asked *asked,
                    const struct tree_quantity *quantity)
{
    struct arena *arena = resolving->arena;
    struct stave_problem *problem =
        problem_add(resolving->problems, STAVE_ERROR, "missing-unit", quantity->span,
                    "no unit after '%s'", span_text(arena, quantity->span));
    problem_help(problem, resolving->problems,
                 "'%s' is %s: write the unit that was read, such as %s", asked->name,
                 dimension_name(arena, asked->dimension), asked->unit ? asked->unit->name : "in");
    return false;
}

static bool other_dimension(struct resolving *resolving, const struct asked *asked,
                            const struct tree_quantity *quantity)
{
    struct arena *arena = resolving->arena;
    struct stave_problem *problem = problem_add(
        resolving->problems, STAVE_ERROR, "wrong-dimension", quantity->span,
        "'%s' is %s, but '%s' is %s", asked->name, dimension_name(arena, asked->dimension),
        span_text(arena, quantity->span), dimension_name(arena, quantity->unit->dimension));
    if (asked->unit && asked->unit->name[0]) {
        problem_help(problem, resolving->problems, "write it in a unit such as %s",
                     asked->unit->name);
    } else {
        problem_help(problem, resolving->problems, "write a number without a unit");
    }
    return false;
}

static bool quantity_fits(struct resolving *resolving, const struct asked *asked,
                          const struct tree_quantity *quantity)
{
    const struct unit *unit = quantity->unit ? quantity->unit : unit_none();
    if (dimension_equal(unit->dimension, asked->dimension)) {
        return true;
    }
    return quantity->unit && quantity->unit != unit_none()
               ? other_dimension(resolving, asked, quantity)
               : no_unit(resolving, asked, quantity);
}

static bool amount_fits(struct resolving *resolving, const struct asked *asked,
                        const struct tree_amount *amount)
{
    struct arena *arena = resolving->arena;
    bool good = quantity_fits(resolving, asked, amount->middle);
    if (amount->doubt) {
        good = quantity_fits(resolving, asked, amount->doubt) && good;
    }
    const struct range range = {asked->from, asked->to};
    if (good && !range_has(arena, &range, amount->middle->value)) {
        bool rounded;
        struct stave_problem *problem = problem_add(
            resolving->problems, STAVE_ERROR, "outside-range", amount->middle->span,
            "%s %s is outside its range", asked->name, span_text(arena, amount->middle->span));
        problem_help(problem, resolving->problems, "in this book '%s' runs from %s to %s",
                     asked->name,
                     quantity_text(arena, asked->from, asked->unit, NUMBER_UP, &rounded),
                     quantity_text(arena, asked->to, asked->unit, NUMBER_DOWN, &rounded));
        good = false;
    }
    return good;
}

static void spread(struct arena *arena, const struct asked *asked, const struct tree_amount *amount,
                   struct number *middle, struct number *low, struct number *high)
{
    *middle = *low = *high = amount->middle->value;
    if (amount->doubt) {
        const struct range range = {asked->from, asked->to};
        struct range around = range_around(arena, &range, *middle, amount->doubt->value);
        *low = around.low;
        *high = around.high;
    }
}

static bool forwards(struct resolving *resolving, const struct tree_range *range,
                     const struct figures *figures)
{
    struct arena *arena = resolving->arena;
    if (number_compare(arena, figures->from, figures->to) <= 0) {
        return true;
    }
    problem_help(problem_add(resolving->problems, STAVE_ERROR, "reversed-range", range->span,
                             "the range '%s' runs backwards", span_text(arena, range->span)),
                 resolving->problems, "write the smaller end first");
    return false;
}

bool figures_read(struct resolving *resolving, const struct asked *asked,
                  const struct tree_range *range, struct figures *figures)
{
    struct arena *arena = resolving->arena;
    bool good = amount_fits(resolving, asked, &range->from);
    if (range->to.middle) {
        good = amount_fits(resolving, asked, &range->to) && good;
    }
    if (!good) {
        return false;
    }
    figures->unit = range->from.middle->unit ? range->from.middle->unit : unit_none();
    const struct tree_amount *to = range->to.middle ? &range->to : &range->from;
    spread(arena, asked, &range->from, &figures->from, &figures->from_low, &figures->from_high);
    spread(arena, asked, to, &figures->to, &figures->to_low, &figures->to_high);
    return forwards(resolving, range, figures);
}
