/* Figures for pages and programs. */
#include "verdict/verdict.h"

#define FIGURE_PLACES 6

struct stave_figure figure_make(struct arena *arena, struct number value, const struct unit *unit,
                                enum number_round how)
{
    struct number shown = number_divide(arena, value, unit->factor);
    struct stave_figure figure = {.exact = number_fraction(arena, shown), .unit = unit->name};
    figure.decimal = number_decimal(arena, shown, FIGURE_PLACES, how, &figure.rounded);
    return figure;
}
