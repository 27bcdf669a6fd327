/* Growth: what was read before, and how much worse it is now. */
#include <string.h>

#include "base/text.h"
#include "book/range.h"
#include "judge/region.h"
#include "verdict/verdict.h"

static const struct stave_figure no_figure = {"", "", "", false};

static const char *between(struct arena *arena, struct number low, struct number high,
                           const struct unit *unit)
{
    bool rounded;
    const char *last = quantity_text(arena, high, unit, NUMBER_UP, &rounded);
    if (number_equal(low, high)) {
        return last;
    }
    const char *first = quantity_text(arena, low, unit, NUMBER_DOWN, &rounded);
    return text_format(arena, "%.*s .. %s", (int)strcspn(first, " "), first, last);
}

/* A reading as the conditions take it. */
static struct range taken(struct arena *arena, const struct variable *variable,
                          const struct reading *reading, bool as_read)
{
    bool middle = as_read && reading->given == GIVEN_DOUBT;
    return (struct range){
        region_round(arena, variable, middle ? reading->middle : reading->low),
        region_round(arena, variable, middle ? reading->middle : reading->high)};
}

static struct range worse_by(struct arena *arena, const struct measure *measure,
                             const struct range *now, const struct range *before)
{
    if (measure->smaller_is_worse) {
        return (struct range){number_subtract(arena, before->low, now->high),
                              number_subtract(arena, before->high, now->low)};
    }
    return (struct range){number_subtract(arena, now->low, before->high),
                          number_subtract(arena, now->high, before->low)};
}

/* "-0.01 in": quantity_text has no sign. */
static const char *grown_text(struct arena *arena, const struct range *grown,
                              const struct unit *unit)
{
    bool rounded;
    if (number_sign(grown->low) >= 0) {
        return between(arena, grown->low, grown->high, unit);
    }
    const char *low = quantity_text(arena, number_negate(arena, grown->low), unit, NUMBER_UP,
                                    &rounded);
    if (number_equal(grown->low, grown->high)) {
        return text_format(arena, "-%s", low);
    }
    bool minus = number_sign(grown->high) < 0;
    const char *high =
        quantity_text(arena, minus ? number_negate(arena, grown->high) : grown->high, unit,
                      minus ? NUMBER_DOWN : NUMBER_UP, &rounded);
    return text_format(arena, "-%.*s .. %s%s", (int)strcspn(low, " "), low, minus ? "-" : "", high);
}

static bool growth_of(struct arena *arena, const struct judged *judged, uint32_t r, bool as_read,
                      struct stave_growth *growth)
{
    const struct finding *finding = judged->finding;
    const struct measure *measure = finding->kind->records[r].measure;
    const struct variable *variable = &judged->docket->variables[r];
    const struct reading *befores[] = {finding->earlier, finding->first};
    const char *shown[2] = {NULL, NULL}, *grown[2] = {NULL, NULL};
    struct stave_figure figures[2][2] = {{no_figure, no_figure}, {no_figure, no_figure}};
    struct range now = taken(arena, variable, &finding->readings[r], as_read);
    for (int i = 0; i < 2; i++) {
        const struct reading *before = befores[i] ? &befores[i][r] : NULL;
        if (!before || before->given == GIVEN_NOT) {
            continue;
        }
        const struct unit *unit = finding->readings[r].unit;
        struct range was = taken(arena, variable, before, as_read);
        struct range worse = worse_by(arena, measure, &now, &was);
        shown[i] = between(arena, before->low, before->high, before->unit);
        grown[i] = grown_text(arena, &worse, unit);
        figures[i][0] = figure_make(arena, worse.low, measure->unit, NUMBER_DOWN);
        figures[i][1] = figure_make(arena, worse.high, measure->unit, NUMBER_UP);
    }
    *growth = (struct stave_growth){
        .name = measure->name,
        .before = shown[0],
        .first = shown[1],
        .grown = grown[0],
        .grown_since_first = grown[1],
        .grown_low = figures[0][0],
        .grown_high = figures[0][1],
        .first_low = figures[1][0],
        .first_high = figures[1][1],
    };
    return shown[0] || shown[1];
}

const struct stave_growth *growths_make(struct arena *arena, const struct judged *judged,
                                        bool as_read, size_t *count)
{
    const struct kind *kind = judged->finding->kind;
    *count = 0;
    if (!judged->finding->earlier && !judged->finding->first) {
        return NULL;
    }
    struct stave_growth *growths = ARENA_ARRAY(arena, struct stave_growth, kind->record_count);
    for (uint32_t r = 0; r < kind->record_count; r++) {
        if (kind->records[r].measure &&
            growth_of(arena, judged, r, as_read, &growths[*count])) {
            (*count)++;
        }
    }
    return growths;
}
