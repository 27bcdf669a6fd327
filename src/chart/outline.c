/* A book laid open: its parts, zones, measures, kinds and ladders as plain data. */
#include "book/family.h"
#include "base/text.h"
#include "chart/chart.h"

struct outlining {
    struct arena *arena;
    const struct book *book;
    stave_outline *outline;
};

static const struct stave_figure no_figure = {"", "", "", false};

static const char *or_nothing(const char *text)
{
    return text ? text : "";
}

static struct stave_figure figure(const struct outlining *at, struct number value,
                                  const struct unit *unit)
{
    return figure_make(at->arena, value, unit, NUMBER_EVEN);
}

/* The names whose bits are set. */
static const char *const *named(const struct outlining *at, const char **names, uint32_t count,
                                uint64_t set, size_t *found)
{
    const char **list = ARENA_ARRAY(at->arena, const char *, count);
    *found = 0;
    for (uint32_t i = 0; i < count; i++) {
        if (set >> i & 1) {
            list[(*found)++] = names[i];
        }
    }
    return list;
}

/* ---- parts and zones ---------------------------------------------------------------- */

static const struct stave_axis *axes_make(const struct outlining *at, const struct part *part)
{
    struct stave_axis *axes = ARENA_ARRAY(at->arena, struct stave_axis, part->axis_count);
    for (uint32_t i = 0; i < part->axis_count; i++) {
        const struct axis *axis = &part->axes[i];
        bool rounded;
        axes[i] = (struct stave_axis){
            .name = axis->name,
            .help = or_nothing(axis->help),
            .from = figure(at, axis->from, axis->unit),
            .to = figure(at, axis->to, axis->unit),
            .step = axis->has_step ? text_format(at->arena, "read to %s",
                                                 quantity_text(at->arena, axis->step, axis->unit,
                                                               NUMBER_DOWN, &rounded))
                                   : "",
        };
    }
    return axes;
}

static const struct stave_meeting *meetings_make(const struct outlining *at, const struct part *part)
{
    struct stave_meeting *meetings =
        ARENA_ARRAY(at->arena, struct stave_meeting, part->meeting_count);
    for (uint32_t i = 0; i < part->meeting_count; i++) {
        const struct axis *axis = &part->axes[part->meetings[i].axis];
        meetings[i] =
            (struct stave_meeting){axis->name, figure(at, part->meetings[i].at, axis->unit)};
    }
    return meetings;
}

static void parts_make(const struct outlining *at)
{
    const struct book *book = at->book;
    struct stave_part *parts = ARENA_ARRAY(at->arena, struct stave_part, book->part_count);
    for (uint32_t i = 0; i < book->part_count; i++) {
        const struct part *part = &book->parts[i];
        const struct part *each_of = part->count == PART_ON_EACH ? part->each_of : NULL;
        parts[i] = (struct stave_part){
            .name = part->name,
            .help = or_nothing(part->help),
            .counted = part->count != PART_ONE,
            .least = each_of                   ? each_of->least
                     : part->count == PART_ONE ? 1
                                               : part->least,
            .most = each_of                   ? each_of->most
                    : part->count == PART_ONE ? 1
                                              : part->most,
            .one_on_each = each_of ? each_of->name : "",
            .where_fitted = part->where_fitted,
            .axes = axes_make(at, part),
            .axis_count = part->axis_count,
            .sides = part->sides,
            .side_count = part->side_count,
            .places = part->places,
            .place_count = part->place_count,
            .search = part->search,
            .meetings = meetings_make(at, part),
            .meeting_count = part->meeting_count,
        };
    }
    at->outline->parts = parts;
    at->outline->part_count = book->part_count;
}

static const struct stave_range *ranges_make(const struct outlining *at, const struct zone *zone)
{
    const struct part *part = zone->part;
    struct stave_range *ranges = ARENA_ARRAY(at->arena, struct stave_range, part->axis_count);
    for (uint32_t i = 0; i < part->axis_count; i++) {
        const struct axis *axis = &part->axes[i];
        const struct zone_range *range = &zone->ranges[i];
        ranges[i] = (struct stave_range){
            .from = figure(at, range->from, axis->unit),
            .to = figure(at, range->to, axis->unit),
            .from_open = range->from_open,
            .to_open = range->to_open,
            .whole = number_equal(range->from, axis->from) && number_equal(range->to, axis->to),
        };
    }
    return ranges;
}

static void zones_make(const struct outlining *at)
{
    const struct book *book = at->book;
    struct stave_zone *zones = ARENA_ARRAY(at->arena, struct stave_zone, book->zone_count);
    for (uint32_t i = 0; i < book->zone_count; i++) {
        const struct zone *zone = &book->zones[i];
        const struct part *part = zone->part;
        const char **outside = ARENA_ARRAY(at->arena, const char *, zone->outside_count);
        for (uint32_t j = 0; j < zone->outside_count; j++) {
            outside[j] = zone->outside[j]->name;
        }
        zones[i] = (struct stave_zone){
            .name = zone->name,
            .part = part->index,
            .whole_part = zone->is_part,
            .ranges = ranges_make(at, zone),
            .outside = outside,
            .outside_count = zone->outside_count,
            .text_name = zone->span.source ? zone->span.source->name : "",
            .line = span_line(at->arena, zone->span),
        };
        zones[i].sides =
            named(at, part->sides, part->side_count, zone->sides, &zones[i].side_count);
        if (zones[i].side_count == part->side_count) {
            zones[i].side_count = 0;
        }
        zones[i].places =
            named(at, part->places, part->place_count, zone->places, &zones[i].place_count);
    }
    at->outline->zones = zones;
    at->outline->zone_count = book->zone_count;
}

/* ---- measures, observations, kinds --------------------------------------------------------- */

static void qualities_make(const struct outlining *at)
{
    const struct book *book = at->book;
    size_t count = (size_t)book->measure_count + book->observation_count;
    struct stave_quality *qualities = ARENA_ARRAY(at->arena, struct stave_quality, count);
    for (uint32_t i = 0; i < book->measure_count; i++) {
        const struct measure *measure = &book->measures[i];
        qualities[i] = (struct stave_quality){
            .name = measure->name,
            .how = measure_how(at->arena, measure),
            .step = measure_step(at->arena, measure),
            .measured = true,
            .from = figure(at, measure->from, measure->unit),
            .to = figure(at, measure->to, measure->unit),
            .step_size = measure->stepping == TREE_STEP_NONE
                             ? no_figure
                             : figure(at, measure->step, measure->step_unit),
            .smaller_is_worse = measure->smaller_is_worse,
        };
    }
    for (uint32_t i = 0; i < book->observation_count; i++) {
        const struct observation *observation = &book->observations[i];
        qualities[book->measure_count + i] = (struct stave_quality){
            .name = observation->name,
            .how = or_nothing(observation->help),
            .step = "",
            .from = no_figure,
            .to = no_figure,
            .step_size = no_figure,
            .values = observation->values,
            .value_count = observation->value_count,
            .levels = observation->sort == TREE_LEVELS,
        };
    }
    at->outline->qualities = qualities;
    at->outline->quality_count = count;
}

static const struct stave_recorded *records_make(const struct outlining *at,
                                                 const struct kind *kind)
{
    struct stave_recorded *records =
        ARENA_ARRAY(at->arena, struct stave_recorded, kind->record_count);
    for (uint32_t i = 0; i < kind->record_count; i++) {
        const struct recorded *recorded = &kind->records[i];
        records[i] = (struct stave_recorded){
            .quality = recorded->measure ? recorded->measure->index
                                         : at->book->measure_count + recorded->observation->index,
            .along = "",
        };
        for (uint32_t p = 0; recorded->has_along && p < kind->part_count; p++) {
            if (recorded->along[p] >= 0) {
                records[i].along = kind->parts[p]->axes[recorded->along[p]].name;
            }
        }
    }
    return records;
}

static void kinds_make(const struct outlining *at)
{
    const struct book *book = at->book;
    struct stave_kind *kinds = ARENA_ARRAY(at->arena, struct stave_kind, book->kind_count);
    for (uint32_t i = 0; i < book->kind_count; i++) {
        const struct kind *kind = &book->kinds[i];
        uint32_t *parts = ARENA_ARRAY(at->arena, uint32_t, kind->part_count);
        for (uint32_t p = 0; p < kind->part_count; p++) {
            parts[p] = kind->parts[p]->index;
        }
        kinds[i] = (struct stave_kind){
            .name = kind->name,
            .check = kind->is_check,
            .parts = parts,
            .part_count = kind->part_count,
            .records = records_make(at, kind),
            .record_count = kind->record_count,
            .looks = kind->looks,
            .look_count = kind->look_count,
            .cautions = kind->cautions,
            .caution_count = kind->caution_count,
        };
    }
    at->outline->kinds = kinds;
    at->outline->kind_count = book->kind_count;
}

/* ---- curves ----------------------------------------------------------------------------------- */

static const char *cited(const struct tree_tail *tail)
{
    while (tail && tail->sort != TREE_PER) {
        tail = tail->next;
    }
    return tail ? or_nothing(tail->string.text) : "";
}

static void curves_make(const struct outlining *at)
{
    const struct book *book = at->book;
    struct stave_curve *curves = ARENA_ARRAY(at->arena, struct stave_curve, book->curve_count);
    for (uint32_t i = 0; i < book->curve_count; i++) {
        const struct curve *curve = &book->curves[i];
        struct stave_point *points = ARENA_ARRAY(at->arena, struct stave_point, curve->point_count);
        for (uint32_t p = 0; p < curve->point_count; p++) {
            points[p] = (struct stave_point){
                .at = figure(at, curve->points[p].at, curve->at_unit),
                .value = figure(at, curve->points[p].value, curve->unit),
            };
        }
        curves[i] = (struct stave_curve){
            .name = curve->name,
            .axis = curve->axis,
            .source = cited(curve->tails),
            .points = points,
            .point_count = curve->point_count,
            .text_name = curve->span.source->name,
            .line = span_line(at->arena, curve->span),
        };
    }
    struct stave_reckoned *reckoned =
        ARENA_ARRAY(at->arena, struct stave_reckoned, book->reckon_count);
    for (uint32_t i = 0; i < book->reckon_count; i++) {
        reckoned[i] = (struct stave_reckoned){book->reckons[i].name,
                                              span_text(at->arena, book->reckons[i].value->span)};
    }
    at->outline->curves = curves;
    at->outline->curve_count = book->curve_count;
    at->outline->reckoned = reckoned;
    at->outline->reckoned_count = book->reckon_count;
}

/* ---- ladders ---------------------------------------------------------------------------------- */

static struct stave_line line_make(const struct outlining *at, const struct limit *limit,
                                   const struct rung *rung)
{
    struct arena *arena = at->arena;
    const char **conditions = ARENA_ARRAY(arena, const char *, rung->condition_count);
    for (uint32_t i = 0; i < rung->condition_count; i++) {
        conditions[i] = span_text(arena, rung->conditions[i].span);
    }
    const char *source = rung->source[0] ? rung->source : limit->source;
    struct stave_deadline *deadlines =
        ARENA_ARRAY(arena, struct stave_deadline, rung->deadline_count);
    for (uint32_t i = 0; i < rung->deadline_count; i++) {
        bool rounded;
        deadlines[i] = (struct stave_deadline){
            .look_again = rung->deadlines[i].look_again,
            .within = quantity_text(arena, rung->deadlines[i].value, rung->deadlines[i].unit,
                                    NUMBER_DOWN, &rounded),
            .source = source,
        };
    }
    return (struct stave_line){
        .outcome = rung->outcome,
        .text = rung_text(arena, at->book, rung),
        .conditions = conditions,
        .condition_count = rung->condition_count,
        .deadlines = deadlines,
        .deadline_count = rung->deadline_count,
        .action = rung->action,
        .note = rung->note,
        .source = source,
        .text_name = rung->span.source->name,
        .line = span_line(arena, rung->span),
    };
}

static const char *head_text(const struct outlining *at, const struct limit *const *limits,
                             uint32_t count)
{
    struct text text;
    text_begin(&text, at->arena);
    text_add(&text, limit_phrase(at->arena, limits[0]));
    for (uint32_t i = 1; i < count; i++) {
        text_add(&text, ", ");
        text_add(&text, limits[i]->zone->name);
    }
    return text_done(&text);
}

static struct stave_ladder ladder_make(const struct outlining *at,
                                       const struct limit *const *limits, uint32_t count)
{
    struct arena *arena = at->arena;
    const struct limit *limit = limits[0];
    uint32_t *kinds = ARENA_ARRAY(arena, uint32_t, limit->kind_count);
    uint32_t *zones = ARENA_ARRAY(arena, uint32_t, count);
    struct stave_line *lines = ARENA_ARRAY(arena, struct stave_line, limit->rung_count);
    for (uint32_t i = 0; i < limit->kind_count; i++) {
        kinds[i] = limit->kinds[i]->index;
    }
    for (uint32_t i = 0; i < count; i++) {
        zones[i] = limits[i]->zone->index;
    }
    for (uint32_t i = 0; i < limit->rung_count; i++) {
        lines[i] = line_make(at, limit, &limit->rungs[i]);
    }
    return (struct stave_ladder){
        .head = head_text(at, limits, count),
        .check = limit->kinds[0]->is_check,
        .kinds = kinds,
        .kind_count = limit->kind_count,
        .zones = zones,
        .zone_count = count,
        .declared_gap = limit->declared_gap,
        .lines = lines,
        .line_count = limit->rung_count,
        .source = limit->source,
        .note = limit->note,
        .text_name = limit->head.source->name,
        .line = span_line(arena, limit->head),
    };
}

/* Do two limits come of one statement, `limit gouge on mid, tip`, for zones of one part? */
static bool together(const struct limit *a, const struct limit *b)
{
    return a->head.source == b->head.source && a->head.from == b->head.from &&
           a->zone->part == b->zone->part;
}

static void ladders_make(const struct outlining *at, const struct ready_book *ready)
{
    const struct book *book = at->book;
    struct chart_list charts = {0};
    struct stave_ladder *ladders = ARENA_ARRAY(at->arena, struct stave_ladder, book->limit_count);
    uint32_t made = 0;
    const struct limit **limits = ARENA_ARRAY(at->arena, const struct limit *, book->limit_count);
    for (uint32_t from = 0, to; from < book->limit_count; from = to) {
        for (to = from; to < book->limit_count && together(&book->limits[from], &book->limits[to]);
             to++) {
            limits[to - from] = &book->limits[to];
        }
        ladders[made] = ladder_make(at, limits, to - from);
        charts_add(at->arena, ready, made, limits, to - from, &charts);
        made++;
    }
    at->outline->ladders = ladders;
    at->outline->ladder_count = made;
    at->outline->charts = charts.items;
    at->outline->chart_count = charts.count;
}

static void facts_lay_open(const struct outlining *at)
{
    const struct family *family = at->book->family;
    if (!family) {
        return;
    }
    struct stave_fact *facts = ARENA_ARRAY(at->arena, struct stave_fact, family->fact_count);
    for (uint32_t i = 0; i < family->fact_count; i++) {
        const struct fact *fact = &family->facts[i];
        struct text form;
        text_begin(&form, at->arena);
        if (fact->is_range) {
            text_addf(&form, "%lld .. %lld", (long long)fact->from, (long long)fact->to);
        }
        for (uint32_t v = 0; v < fact->value_count; v++) {
            text_addf(&form, "%s%s", v ? " / " : "", fact->values[v]);
        }
        facts[i] = (struct stave_fact){fact->name, fact->help, text_done(&form)};
    }
    at->outline->facts = facts;
    at->outline->fact_count = family->fact_count;
}

void outline_make(struct arena *arena, const struct ready_book *ready, stave_outline *outline)
{
    struct outlining at = {.arena = arena, .book = ready->book, .outline = outline};
    outline->book = ready->facts;
    facts_lay_open(&at);
    outline->library_cautions = verdict_cautions(&outline->library_caution_count);
    parts_make(&at);
    zones_make(&at);
    qualities_make(&at);
    kinds_make(&at);
    curves_make(&at);
    ladders_make(&at, ready);
}
