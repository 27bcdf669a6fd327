/* Where a finding is: the extents, sides and places that what was typed leaves possible. */
#include <string.h>

#include "base/text.h"
#include "finding/resolve.h"

static uint64_t lowest_bits(uint32_t count)
{
    return count >= 64 ? UINT64_MAX : (UINT64_C(1) << count) - 1;
}

/* An axis of which nothing was said: the damage may be anywhere on it. */
static struct extent extent_missing(const struct axis *axis)
{
    return (struct extent){
        .given = GIVEN_NOT,
        .lo_low = axis->from,
        .lo_high = axis->to,
        .hi_low = axis->from,
        .hi_high = axis->to,
        .read_lo_low = axis->from,
        .read_lo_high = axis->to,
        .read_hi_low = axis->from,
        .read_hi_high = axis->to,
        .unit = axis->unit,
    };
}

void extents_begin(struct resolving *resolving)
{
    struct finding *finding = resolving->finding;
    const struct part *part = finding->part;
    finding->extents = ARENA_ARRAY(resolving->arena, struct extent, part->axis_count);
    for (uint32_t i = 0; i < part->axis_count; i++) {
        finding->extents[i] = extent_missing(&part->axes[i]);
    }
    finding->sides = lowest_bits(part->side_count);
    finding->places = lowest_bits(part->place_count);
}

/* ---- axes -------------------------------------------------------------------------- */

static void extent_set(struct resolving *resolving, uint32_t index, const struct tree_range *range,
                       struct span at)
{
    const struct axis *axis = &resolving->finding->part->axes[index];
    struct asked asked = {
        .name = axis->name,
        .dimension = axis->dimension,
        .unit = axis->unit,
        .from = axis->from,
        .to = axis->to,
    };
    struct figures figures;
    if (!said_once(resolving, &resolving->extent_said[index], at, axis->name) ||
        !figures_read(resolving, &asked, range, &figures)) {
        return;
    }
    resolving->single[index] = !range->to.middle;
    resolving->finding->extents[index] = (struct extent){
        .given = range->to.middle    ? GIVEN_RANGE
                 : range->from.doubt ? GIVEN_DOUBT
                                     : GIVEN_EXACT,
        .point = !range->to.middle,
        .lo_low = figures.from_low,
        .lo_high = figures.from_high,
        .hi_low = figures.to_low,
        .hi_high = figures.to_high,
        .read_lo_low = figures.from,
        .read_lo_high = figures.from,
        .read_hi_low = figures.to,
        .read_hi_high = figures.to,
        .unit = figures.unit,
        .span = at,
    };
}

static void no_such_axis(struct resolving *resolving, struct tree_word name)
{
    const struct part *part = resolving->finding->part;
    struct stave_problem *problem =
        problem_add(resolving->problems, STAVE_ERROR, "unknown-name", name.span,
                    "'%s' has no axis '%s'", part->name, name.text);
    if (part->axis_count) {
        name_help(resolving, problem, name.text, axis_names(resolving->arena, part),
                  part->axis_count, "its axes");
    } else if (part->place_count) {
        problem_help(problem, resolving->problems, "its places: %s",
                     name_list(resolving->arena, part->places, part->place_count));
    } else {
        problem_help(problem, resolving->problems, "the book asks for no place on it");
    }
}

/* ---- sides and places ------------------------------------------------------------------ */

static bool side_set(struct resolving *resolving, struct tree_word name)
{
    struct finding *finding = resolving->finding;
    uint32_t index = name_find(finding->part->sides, finding->part->side_count, name.text);
    if (index == NAME_NONE) {
        return false;
    }
    if (said_once(resolving, &resolving->side_said, name.span, "side")) {
        finding->sides = UINT64_C(1) << index;
        finding->side_given = true;
    }
    return true;
}

static bool named_place_set(struct resolving *resolving, struct tree_word name)
{
    struct finding *finding = resolving->finding;
    uint32_t index = name_find(finding->part->places, finding->part->place_count, name.text);
    if (index == NAME_NONE) {
        return false;
    }
    if (said_once(resolving, &resolving->place_said, name.span, "place")) {
        finding->places = UINT64_C(1) << index;
        finding->place_given = true;
    }
    return true;
}

static void no_such_place(struct resolving *resolving, struct tree_word name)
{
    const struct part *part = resolving->finding->part;
    struct arena *arena = resolving->arena;
    uint32_t axis = axis_find(part, name.text);
    if (axis != NAME_NONE) {
        problem_help(problem_add(resolving->problems, STAVE_ERROR, "no-figure", name.span,
                                 "'%s' has no figure", name.text),
                     resolving->problems, "write it with its unit, or leave it out when not known");
        return;
    }
    uint32_t count = 0;
    const char **names = ARENA_ARRAY(
        arena, const char *, (size_t)part->axis_count + part->side_count + part->place_count);
    for (uint32_t i = 0; i < part->axis_count; i++) {
        names[count++] = part->axes[i].name;
    }
    for (uint32_t i = 0; i < part->side_count; i++) {
        names[count++] = part->sides[i];
    }
    for (uint32_t i = 0; i < part->place_count; i++) {
        names[count++] = part->places[i];
    }
    struct stave_problem *problem =
        problem_add(resolving->problems, STAVE_ERROR, "unknown-name", name.span,
                    "unknown place '%s' on '%s'", name.text, part->name);
    name_help(resolving, problem, name.text, names, count, "places on it are said by");
}

void place_add(struct resolving *resolving, const struct tree_place *place)
{
    const struct part *part = resolving->finding->part;
    if (!place->range) {
        if (!side_set(resolving, place->name) && !named_place_set(resolving, place->name)) {
            no_such_place(resolving, place->name);
        }
        return;
    }
    uint32_t axis = axis_find(part, place->name.text);
    if (axis == NAME_NONE) {
        no_such_axis(resolving, place->name);
    } else {
        extent_set(resolving, axis, place->range, place->span);
    }
}

bool place_add_reading(struct resolving *resolving, const struct tree_reading *reading)
{
    const struct part *part = resolving->finding->part;
    if (reading->sort == TREE_READ_YES) {
        return side_set(resolving, reading->name) || named_place_set(resolving, reading->name);
    }
    uint32_t axis = axis_find(part, reading->name.text);
    if (axis == NAME_NONE) {
        return false;
    }
    if (reading->sort == TREE_READ_RANGE) {
        extent_set(resolving, axis, reading->range, reading->span);
        return true;
    }
    if (reading->sort == TREE_READ_MISSING) {
        if (said_once(resolving, &resolving->extent_said[axis], reading->span,
                      part->axes[axis].name)) {
            resolving->finding->extents[axis] = extent_missing(&part->axes[axis]);
            resolving->single[axis] = false;
        }
        return true;
    }
    return false;
}

/* ---- measures along an axis --------------------------------------------------------------- */

/* The measure that record `r` takes along axis `axis` of the part, or NULL. */
static const struct measure *along(const struct finding *finding, uint32_t r, uint32_t axis)
{
    int32_t position = kind_part_position(finding->kind, finding->part);
    const struct recorded *recorded = &finding->kind->records[r];
    return recorded->measure && recorded->has_along && position >= 0 &&
                   recorded->along[position] == (int32_t)axis
               ? recorded->measure
               : NULL;
}

/*
 * One number p for damage that is `most` long at the most: it may lie anywhere
 * in p-most .. p+most, so its ends are free there. `read_most` is the same without doubt.
 */
static void extent_widen(struct arena *arena, const struct axis *axis, struct extent *extent,
                         struct number most, struct number read_most)
{
    extent->point = false;
    extent->lo_low =
        number_greatest(arena, axis->from, number_subtract(arena, extent->lo_low, most));
    extent->hi_high = number_least(arena, axis->to, number_add(arena, extent->hi_high, most));
    extent->read_lo_low =
        number_greatest(arena, axis->from, number_subtract(arena, extent->read_lo_low, read_most));
    extent->read_hi_high =
        number_least(arena, axis->to, number_add(arena, extent->read_hi_high, read_most));
}

/* One step of what the axis and the measure are read to: how far two honest readings
 * of one length may differ. */
static struct number reading_steps(struct arena *arena, const struct axis *axis,
                                   const struct measure *measure)
{
    return number_add(arena, axis_fineness(axis), measure_fineness(measure));
}

static void length_differs(struct resolving *resolving, const struct axis *axis,
                           const struct extent *extent, const struct measure *measure,
                           const struct reading *reading, bool too_short)
{
    struct arena *arena = resolving->arena;
    struct number zero = NUMBER_ZERO;
    struct number typed =
        too_short
            ? number_subtract(arena, extent->hi_high, extent->lo_low)
            : number_greatest(arena, zero, number_subtract(arena, extent->hi_low, extent->lo_high));
    struct number read = too_short ? reading->low : reading->high;
    /* Rounded apart, so that the two figures shown always differ. */
    enum number_round down = too_short ? NUMBER_DOWN : NUMBER_UP;
    enum number_round up = too_short ? NUMBER_UP : NUMBER_DOWN;
    bool rounded;
    struct stave_problem *problem = problem_add(
        resolving->problems, STAVE_ERROR, "length-differs", extent->span,
        "along '%s' it is %s %s long, but '%s' is %s %s", axis->name,
        too_short ? "at most" : "at least",
        quantity_text(arena, typed, extent->unit, down, &rounded), measure->name,
        too_short ? "at least" : "at most", quantity_text(arena, read, extent->unit, up, &rounded));
    if (reading->span.source) {
        problem_second(problem, resolving->problems, reading->span, "the reading of '%s'",
                       measure->name);
    }
    struct number steps = reading_steps(arena, axis, measure);
    if (too_short || number_sign(steps) == 0) {
        problem_help(problem, resolving->problems, "read both ends and '%s' again", measure->name);
    } else {
        problem_help(problem, resolving->problems,
                     "read again: it may be longer by %s, one step of each reading",
                     quantity_text(arena, steps, extent->unit, NUMBER_DOWN, &rounded));
    }
}

static void length_check(struct resolving *resolving, const struct axis *axis,
                         const struct extent *extent, const struct measure *measure,
                         const struct reading *reading)
{
    struct arena *arena = resolving->arena;
    struct number longest = number_subtract(arena, extent->hi_high, extent->lo_low);
    struct number shortest = number_subtract(arena, extent->hi_low, extent->lo_high);
    struct number allowed = number_add(arena, reading->high, reading_steps(arena, axis, measure));
    if (number_compare(arena, longest, reading->low) < 0) {
        length_differs(resolving, axis, extent, measure, reading, true);
    } else if (number_compare(arena, shortest, allowed) > 0) {
        length_differs(resolving, axis, extent, measure, reading, false);
    }
}

void extents_finish(struct resolving *resolving)
{
    struct finding *finding = resolving->finding;
    for (uint32_t a = 0; a < finding->part->axis_count; a++) {
        const struct axis *axis = &finding->part->axes[a];
        struct extent *extent = &finding->extents[a];
        bool measured = false;
        struct number most = NUMBER_ZERO, read_most = NUMBER_ZERO;
        for (uint32_t r = 0; r < finding->kind->record_count; r++) {
            const struct measure *measure = along(finding, r, a);
            if (!measure) {
                continue;
            }
            const struct reading *reading = &finding->readings[r];
            measured = true;
            most = number_greatest(resolving->arena, most, reading->high);
            read_most =
                number_greatest(resolving->arena, read_most,
                                reading->given == GIVEN_DOUBT ? reading->middle : reading->high);
            if (extent->given == GIVEN_RANGE) {
                length_check(resolving, axis, extent, measure, reading);
            }
        }
        if (measured && resolving->single[a]) {
            extent_widen(resolving->arena, axis, extent, most, read_most);
        }
    }
}
