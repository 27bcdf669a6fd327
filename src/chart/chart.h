/*
 * book + plan -> outline: a checked book laid open as plain data for pages and pictures, and the
 * exact geometry of its limits (stave_outline and stave_chart of stave.h).
 *
 * A chart is one measure (or one product that the lines bound) of one ladder against one axis of
 * its part. For each line of the ladder it holds the stretch of that measure which the line's
 * conditions allow at each place, taken from the plan's own atoms, so that a picture shows what is
 * judged. A condition that also speaks of anything else (another measure, an observation, other
 * damage, another axis) can only narrow that stretch. It is then named in `asks`: a band is where
 * the line may decide, and never less.
 *
 * Everything is in the given arena; nothing here decides an outcome.
 */
#ifndef STAVE_CHART_CHART_H
#define STAVE_CHART_CHART_H

#include "verdict/verdict.h"

/* What conditions allow of one value: low <= value <= high at each place. */
struct bounds {
    const struct place_line *low, *high; /* NULL: none */
    bool low_open, high_open;
    bool exact; /* the condition says nothing else */
};

/* What is charted of a docket. */
struct subject {
    const struct docket *docket;
    uint32_t variable;
    int32_t axis;                   /* -1: the part has none */
    const struct place_line *reach; /* a level line over the zone, the same along the axis */
};

/* Does a condition say anything of the subject's variable alone, and what (bounds.c)? */
bool bounds_of_step(struct arena *arena, const struct subject *subject, const struct step *step,
                    struct bounds *bounds);
/* Both at once. */
void bounds_narrow(struct arena *arena, struct bounds *bounds, const struct bounds *more);

/* All the charts of one ladder: of limits that stand in one statement (bands.c). */
struct chart_list {
    struct stave_chart *items;
    size_t count, capacity;
};
void charts_add(struct arena *arena, const struct ready_book *ready, uint32_t ladder,
                const struct limit *const *limits, uint32_t count, struct chart_list *charts);

void outline_make(struct arena *arena, const struct ready_book *ready, stave_outline *outline);

#endif
