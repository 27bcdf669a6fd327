/* What was recorded of an item and where it lies, as figures: the same that were judged. */
#include <string.h>

#include "base/text.h"
#include "verdict/item.h"

static const struct stave_figure no_figure = {"", "", "", false};

/* "30 .. 32 in", or one figure where both are the same. */
static const char *range_shown(struct arena *arena, struct number low, struct number high,
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

static struct stave_reading reading_make(struct arena *arena, const struct recorded *recorded,
                                         const struct reading *reading)
{
    struct stave_reading shown = {
        .name = recorded->name,
        .shown = "not given",
        .given = reading->given != GIVEN_NOT,
        .measured = recorded->measure != NULL,
        .low = no_figure,
        .high = no_figure,
    };
    if (shown.measured) {
        const struct unit *unit = recorded->measure->unit;
        shown.low = figure_make(arena, reading->low, unit, NUMBER_DOWN);
        shown.high = figure_make(arena, reading->high, unit, NUMBER_UP);
    }
    if (shown.given) {
        shown.shown = shown.measured
                          ? range_shown(arena, reading->low, reading->high, reading->unit)
                          : values_text(arena, recorded->observation, reading->values);
    }
    return shown;
}

static const char *extent_shown(struct arena *arena, const struct extent *extent)
{
    const struct unit *unit = extent->unit;
    bool sure_start = number_equal(extent->lo_low, extent->lo_high);
    bool sure_end = number_equal(extent->hi_low, extent->hi_high);
    if (extent->given == GIVEN_NOT) {
        return "not given";
    }
    if (extent->point && !sure_start) {
        return text_format(arena, "one place in %s",
                           range_shown(arena, extent->lo_low, extent->lo_high, unit));
    }
    if (sure_start && sure_end) {
        return range_shown(arena, extent->lo_low, extent->hi_high, unit);
    }
    return text_format(arena, "from %s to %s",
                       range_shown(arena, extent->lo_low, extent->lo_high, unit),
                       range_shown(arena, extent->hi_low, extent->hi_high, unit));
}

static struct stave_extent extent_make(struct arena *arena, const struct axis *axis,
                                       const struct extent *extent)
{
    return (struct stave_extent){
        .axis = axis->name,
        .shown = extent_shown(arena, extent),
        .given = extent->given != GIVEN_NOT,
        .point = extent->point,
        .start_low = figure_make(arena, extent->lo_low, axis->unit, NUMBER_DOWN),
        .start_high = figure_make(arena, extent->lo_high, axis->unit, NUMBER_UP),
        .end_low = figure_make(arena, extent->hi_low, axis->unit, NUMBER_DOWN),
        .end_high = figure_make(arena, extent->hi_high, axis->unit, NUMBER_UP),
    };
}

/* Does it reach, or may it reach, an edge at which the sides meet? */
static void reaches_meeting(struct arena *arena, const struct finding *finding, bool *may,
                            bool *certain)
{
    const struct part *part = finding->part;
    *may = *certain = false;
    for (uint32_t i = 0; i < part->meeting_count; i++) {
        const struct extent *extent = &finding->extents[part->meetings[i].axis];
        struct number at = part->meetings[i].at;
        *may |= number_compare(arena, extent->lo_low, at) <= 0 &&
                number_compare(arena, at, extent->hi_high) <= 0;
        *certain |= number_compare(arena, extent->lo_high, at) <= 0 &&
                    number_compare(arena, at, extent->hi_low) <= 0;
    }
}

/* Is it on each side of its part, by what the book says of its kind? */
static void on_each_side(const struct finding *finding, bool *may, bool *certain)
{
    const struct kind *kind = finding->kind;
    *may = *certain = false;
    for (uint32_t i = 0; kind->each_side && i < kind->record_count; i++) {
        if (kind->records[i].observation == kind->each_side) {
            *may = finding->readings[i].values & 1; /* "yes" comes first */
            *certain = finding->readings[i].values == 1;
        }
    }
}

static void set_sides(struct arena *arena, const struct finding *finding, struct stave_item *shown)
{
    const struct part *part = finding->part;
    struct stave_on_side *sides = ARENA_ARRAY(arena, struct stave_on_side, part->side_count);
    bool meets, meets_surely, each, each_surely;
    reaches_meeting(arena, finding, &meets, &meets_surely);
    on_each_side(finding, &each, &each_surely);
    bool one = (finding->sides & (finding->sides - 1)) == 0;
    for (uint32_t i = 0; i < part->side_count; i++) {
        bool on = finding->sides >> i & 1;
        if (on || meets || each) {
            sides[shown->side_count++] = (struct stave_on_side){
                .side = part->sides[i],
                /* On one of two sides, and at the edge of both: of neither is it all certain. */
                .certain = (on ? one : meets_surely) || each_surely,
                .at_meeting = !on && !each,
            };
        }
    }
    shown->sides = sides;
}

static void set_places(struct arena *arena, const struct finding *finding, struct stave_item *shown)
{
    const struct part *part = finding->part;
    const char **places = ARENA_ARRAY(arena, const char *, part->place_count);
    for (uint32_t i = 0; i < part->place_count; i++) {
        if (finding->places >> i & 1) {
            places[shown->place_count++] = part->places[i];
        }
    }
    shown->places = places;
}

void item_set_recorded(struct arena *arena, const struct finding *finding, struct stave_item *shown)
{
    const struct kind *kind = finding->kind;
    const struct part *part = finding->part;
    struct stave_reading *readings = ARENA_ARRAY(arena, struct stave_reading, kind->record_count);
    for (uint32_t i = 0; i < kind->record_count; i++) {
        readings[i] = reading_make(arena, &kind->records[i], &finding->readings[i]);
    }
    shown->readings = readings;
    shown->reading_count = kind->record_count;
    if (kind->is_check) {
        return;
    }
    struct stave_extent *extents = ARENA_ARRAY(arena, struct stave_extent, part->axis_count);
    for (uint32_t i = 0; i < part->axis_count; i++) {
        extents[i] = extent_make(arena, &part->axes[i], &finding->extents[i]);
    }
    shown->extents = extents;
    shown->extent_count = part->axis_count;
    set_sides(arena, finding, shown);
    set_places(arena, finding, shown);
}
