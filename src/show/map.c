/*
 * The map of a part: unrolled, tip at the top, its first axis upward and its second across. Two
 * sides lie open like a book at the edge where they meet. Every finding stands where it is: filled
 * where it is for certain, and dashed as far as it may reach. Its id stands beside the panel with a
 * line to it, so that no word lies on a mark.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "show/mapping.h"

#define ROW 19.0     /* for one line of ids of a part without axes */
#define NAMES 112.0  /* for the names of its rows */
#define STRIP 34.0   /* for ids, at least */
#define BALLOON 15.0 /* height of one id */
#define MOST_BALLOONS 64
#define MOST_IN_ROWS 200 /* ids of a part without axes */

/* ---- what is where ------------------------------------------------------------------------ */

static bool is_on_map(const struct mapping *map, const struct stave_item *item)
{
    return item->item == STAVE_FINDING && item->outline_part == map->part_index &&
           strcmp(item->part, map->name) == 0;
}

static size_t item_count(const struct mapping *map)
{
    return map->picture->verdict ? map->picture->verdict->item_count : 0;
}

/* Whether a finding is, or may be, on the side or at the place that a panel shows. */
struct presence {
    bool here, certain, at_meeting;
};

static struct presence presence_on(const struct panel *panel, const struct stave_item *item)
{
    struct presence presence = {0};
    if (panel->side) {
        for (size_t i = 0; i < item->side_count; i++) {
            if (strcmp(item->sides[i].side, panel->side) == 0) {
                presence =
                    (struct presence){true, item->sides[i].certain, item->sides[i].at_meeting};
            }
        }
    } else if (panel->place) {
        for (size_t i = 0; i < item->place_count; i++) {
            presence.here |= strcmp(item->places[i], panel->place) == 0;
        }
        presence.certain = presence.here && item->place_count == 1;
    } else {
        presence = (struct presence){true, true, false};
    }
    return presence;
}

/* All that a finding may reach; with `core`, what it covers for certain (false: nothing). */
static bool item_box(const struct mapping *map, const struct panel *panel,
                     const struct stave_item *item, bool core, struct box *box)
{
    double up[2] = {map->up.from, map->up.to};
    double over[2] = {map->across_from, map->across_to};
    double *ends[2] = {up, over};
    for (size_t i = 0; i < item->extent_count && i < 2; i++) {
        const struct stave_extent *extent = &item->extents[i];
        ends[i][0] = ink_value(core ? &extent->start_high : &extent->start_low);
        ends[i][1] = ink_value(core ? &extent->end_low : &extent->end_high);
        if (ends[i][0] > ends[i][1]) {
            return false;
        }
    }
    *box = mapping_box(map, panel, up, over);
    return true;
}

/* ---- axes ----------------------------------------------------------------------------------- */

static void draw_ticks(const struct mapping *map)
{
    const struct stave_axis *axis = &map->part->axes[0];
    struct page *page = map->page;
    const bool inch = strcmp(axis->from.unit, "in") == 0, mm = strcmp(axis->from.unit, "mm") == 0;
    for (int other = 0; other < (inch || mm ? 2 : 1); other++) {
        double size = other == 0 ? 1 : inch ? 25.4 : 1 / 25.4;
        int places;
        double from = map->up.from * size, to = map->up.to * size;
        double step = ink_step(to - from, 14, &places);
        double x = other == 0 ? TICKS : map->width - map->right;
        const char *unit = other == 0 ? axis->from.unit : inch ? "mm" : "in";
        picture_text(page, x, map->top - 5, other == 0 ? "end" : "start", "small quiet", unit);
        for (long long n = (long long)(from / step) - 1; n <= (long long)(to / step) + 1; n++) {
            double value = (double)n * step;
            if (value < from - step * 1e-6 || value > to + step * 1e-6) {
                continue;
            }
            double y = ink_at(&map->up, value / size);
            markup(page, "<path stroke=\"" INK_RULE "\" d=\"M%f %fh%d\"/><text x=\"%f\" y=\"%f\"",
                   x, y, other == 0 ? 3 : -3, other == 0 ? x - 3 : x + 3, y + 3.4);
            markup(page, " text-anchor=\"%s\" class=\"small quiet\">",
                   other == 0 ? "end" : "start");
            ink_number(page, value, places);
            page_raw(page, "</text>\n");
        }
    }
}

static void draw_across(const struct mapping *map)
{
    if (map->part->axis_count < 2) {
        return;
    }
    const struct stave_axis *axis = &map->part->axes[1];
    for (size_t p = 0; p < map->panel_count; p++) {
        const struct panel *panel = &map->panels[p];
        const struct stave_figure *ends[2] = {&axis->from, &axis->to};
        for (int e = 0; e < 2; e++) {
            double x = mapping_across(map, panel, ink_value(ends[e]));
            const char *anchor = x < (panel->left + panel->right) / 2 ? "start" : "end";
            markup(map->page, "<text x=\"%f\" y=\"%f\" text-anchor=\"%s\" class=\"small quiet\">%s",
                   anchor[0] == 's' ? x + 4 : x - 4, map->bottom + 12, anchor, ends[e]->decimal);
            markup(map->page, "%s%s</text>\n", axis->from.unit[0] == '%' ? "" : " ",
                   axis->from.unit);
        }
        picture_text(map->page, (panel->left + panel->right) / 2, map->bottom + 24, "middle",
                     "small quiet", axis->name);
    }
}

/* ---- findings --------------------------------------------------------------------------------- */

struct balloon {
    const struct stave_item *item;
    struct box box; /* what the line goes to */
    bool certain;
    double y;
};

static int by_height(const void *a, const void *b)
{
    const struct balloon *one = a, *two = b;
    double first = one->box.y0 + one->box.y1, second = two->box.y0 + two->box.y1;
    return first != second           ? (first < second ? -1 : 1)
           : (one->item < two->item) ? -1
                                     : one->item > two->item;
}

/* Each as near to its mark as those above and below it allow. */
static void spread(const struct mapping *map, struct balloon *balloons, size_t count)
{
    double next = map->top + BALLOON / 2;
    for (size_t i = 0; i < count; i++) {
        double wanted = (balloons[i].box.y0 + balloons[i].box.y1) / 2;
        balloons[i].y = wanted > next ? wanted : next;
        next = balloons[i].y + BALLOON;
    }
    next = map->bottom - BALLOON / 2;
    for (size_t i = count; i-- > 0;) {
        balloons[i].y = balloons[i].y < next ? balloons[i].y : next;
        next = balloons[i].y - BALLOON;
    }
}

static void draw_mark(const struct mapping *map, const struct panel *panel,
                      const struct stave_item *item, struct presence presence, struct box *target)
{
    struct page *page = map->page;
    struct box outer = {0}, core = {0};
    item_box(map, panel, item, false, &outer);
    bool sure = item_box(map, panel, item, true, &core) && presence.certain;
    const struct stave_book_facts *book = map->picture->outline->book;
    bool flight = book->scale[item->outcome].flight;
    if (presence.at_meeting) {
        /* On this side it is at the edge alone: a bar along the edge that both sides share. */
        bool first =
            item->extent_count < 2 || ink_value(&item->extents[1].start_low) <= map->across_from;
        double edge = mapping_across(map, panel, first ? map->across_from : map->across_to);
        outer.x0 = outer.x1 = edge;
        core.x0 = core.x1 = edge;
    }
    const struct box *small = sure ? &core : &outer;
    bool point = small->x1 - small->x0 < 5 && small->y1 - small->y0 < 5;
    *target = outer;
    bool doubted = !sure || outer.x0 < core.x0 - 0.01 || outer.x1 > core.x1 + 0.01 ||
                   outer.y0 < core.y0 - 0.01 || outer.y1 > core.y1 + 0.01;
    bool tiny = outer.x1 - outer.x0 < 5 && outer.y1 - outer.y0 < 5; /* its diamond says it */
    if (doubted && !tiny) {
        struct box drawn = outer;
        mapping_widen(&drawn.x0, &drawn.x1, 5);
        mapping_widen(&drawn.y0, &drawn.y1, 5);
        if (drawn.x0 <= panel->left && drawn.x1 >= panel->right && drawn.y0 <= map->top &&
            drawn.y1 >= map->bottom) { /* anywhere: inside the frame, where it is seen */
            drawn = (struct box){panel->left + 2.5, panel->right - 2.5, map->top + 2.5,
                                 map->bottom - 2.5};
        }
        markup(page,
               "<path class=\"doubt\" fill=\"none\" stroke=\"" INK_BLACK "\" stroke-width=\"1\" "
               "stroke-dasharray=\"3 2\" d=\"M%f %fH%fV%fH%fZ\"/>\n",
               drawn.x0, drawn.y0, drawn.x1, drawn.y1, drawn.x0);
    }
    if (sure) {
        *target = core;
        mapping_widen(&core.x0, &core.x1, 2);
        mapping_widen(&core.y0, &core.y1, 2);
        markup(page, "<rect class=\"sure\" x=\"%f\" y=\"%f\" width=\"%f\" height=\"%f\"", core.x0,
               core.y0, core.x1 - core.x0, core.y1 - core.y0);
        markup(page, " stroke=\"" INK_BLACK "\" stroke-width=\"%f\" fill=\"url(#",
               flight ? 1.2 : 2.4);
        ink_fill(page, book, item->outcome);
        page_raw(page, ")\"/>\n");
    }
    if (point) {
        double x = (small->x0 + small->x1) / 2, y = (small->y0 + small->y1) / 2;
        markup(page,
               "<path class=\"spot\" stroke=\"" INK_BLACK "\" stroke-width=\"1.4\" "
               "stroke-dasharray=\"%s\" fill=\"%s\" d=\"M%f %fl4 4l-4 4l-4 -4z\"/>\n",
               sure ? "none" : "2.5 1.5", flight ? "#ffffff" : INK_BLACK, x, y - 4);
    }
}

static void draw_balloon(const struct mapping *map, const struct panel *panel,
                         const struct balloon *balloon)
{
    struct page *page = map->page;
    const struct stave_item *item = balloon->item;
    bool flight = map->picture->outline->book->scale[item->outcome].flight;
    double width = markup_width(item->id, 9.5) + 8;
    double x = panel->mirrored ? panel->left - 7 - width : panel->right + 7;
    double near = panel->mirrored ? x + width : x;
    double edge = panel->mirrored ? panel->left : panel->right;
    double to_x = panel->mirrored ? balloon->box.x0 : balloon->box.x1;
    double to_y = (balloon->box.y0 + balloon->box.y1) / 2;
    if (balloon->box.x1 - balloon->box.x0 < 5 && balloon->box.y1 - balloon->box.y0 < 5) {
        to_x += panel->mirrored ? -4 : 4;
    }
    markup(page,
           "<path fill=\"none\" stroke=\"" INK_GREY "\" stroke-width=\"0.8\" "
           "d=\"M%f %fL%f %fL%f %f\"/>\n",
           near, balloon->y, edge, to_y, to_x, to_y);
    markup(page,
           "<rect x=\"%f\" y=\"%f\" width=\"%f\" height=\"13\" rx=\"%d\" fill=\"%s\" "
           "stroke=\"" INK_BLACK "\" "
           "stroke-dasharray=\"%s\"/>\n",
           x, balloon->y - 6.5, width, flight ? 6 : 0, flight ? "#ffffff" : INK_BLACK,
           balloon->certain ? "none" : "3 2");
    picture_text(page, x + width / 2, balloon->y + 3.4, "middle", flight ? "small" : "small turned",
                 item->id);
}

/* The marks of a panel, the worst first where there is no room for all, and their ids. */
static void draw_findings(struct mapping *map, const struct panel *panel)
{
    struct balloon balloons[MOST_BALLOONS];
    size_t count = 0;
    size_t room = (size_t)((map->bottom - map->top) / BALLOON);
    room = room < 1 ? 1 : room > MOST_BALLOONS ? MOST_BALLOONS : room;
    const stave_verdict *verdict = map->picture->verdict;
    for (uint32_t outcome = (uint32_t)map->picture->outline->book->scale_count; outcome-- > 0;) {
        for (size_t i = 0; i < item_count(map); i++) {
            const struct stave_item *item = &verdict->items[i];
            if (item->outcome != outcome || !is_on_map(map, item)) {
                continue;
            }
            struct presence presence = presence_on(panel, item);
            if (presence.here && count == room) {
                map->left_out++;
            } else if (presence.here) {
                markup(map->page, "<g data-finding=\"%s\" data-side=\"%s\"", item->id,
                       panel->side ? panel->side : "");
                for (size_t e = 0; e < item->extent_count && e < 2; e++) {
                    const struct stave_extent *extent = &item->extents[e];
                    markup(map->page, " data-%s=\"%s %s %s %s\"", e == 0 ? "up" : "across",
                           extent->start_low.exact, extent->start_high.exact, extent->end_low.exact,
                           extent->end_high.exact);
                }
                page_raw(map->page, ">\n");
                balloons[count].item = item;
                balloons[count].certain = presence.certain;
                draw_mark(map, panel, item, presence, &balloons[count].box);
                page_raw(map->page, "</g>\n");
                count++;
            }
        }
    }
    qsort(balloons, count, sizeof *balloons, by_height);
    spread(map, balloons, count);
    for (size_t i = 0; i < count; i++) {
        draw_balloon(map, panel, &balloons[i]);
    }
}

/* ---- laying out --------------------------------------------------------------------------------- */

static double widest_id(const struct mapping *map)
{
    double widest = 0;
    for (size_t i = 0; i < item_count(map); i++) {
        const struct stave_item *item = &map->picture->verdict->items[i];
        if (is_on_map(map, item)) {
            double width = markup_width(item->id, 9.5) + 8;
            widest = width > widest ? width : widest;
        }
    }
    return widest;
}

static void add_panel(struct mapping *map, const char *side, const char *place, bool mirrored)
{
    if (map->panel_count < sizeof map->panels / sizeof *map->panels) {
        map->panels[map->panel_count++] =
            (struct panel){.side = side, .place = place, .mirrored = mirrored};
    }
}

static void choose_panels(struct mapping *map)
{
    const struct stave_part *part = map->part;
    for (size_t i = 0; i < part->place_count; i++) {
        add_panel(map, NULL, part->places[i], false);
    }
    for (size_t i = 0; i < part->side_count && part->place_count == 0; i++) {
        add_panel(map, part->sides[i], NULL, part->side_count == 2 && i == 0);
    }
    if (map->panel_count == 0) {
        add_panel(map, NULL, NULL, false);
    }
}

/* Across: figures, brackets, then each panel with its strip of ids, figures of the other unit. */
static void place_panels(struct mapping *map)
{
    char longest[32]; /* figure of the other unit */
    snprintf(longest, sizeof longest, "%.0f", map->up.to * 25.4);
    double need = markup_width(longest, 9.5) + 10;
    map->right = need > TICKS ? need : TICKS;
    double x = TICKS + 4 + map->brackets, right = map->right + 2;
    double strips = map->strip * (double)map->panel_count;
    double wide =
        (WIDTH - x - TICKS - 2 - STRIP * (double)map->panel_count) / (double)map->panel_count;
    wide = wide < 62 ? 62 : wide;
    map->width = x + right + strips + wide * (double)map->panel_count;
    for (size_t i = 0; i < map->panel_count; i++) {
        struct panel *panel = &map->panels[i];
        x += panel->mirrored ? map->strip : 0;
        panel->left = x;
        panel->right = x + wide;
        x += wide + (panel->mirrored ? 0 : map->strip);
    }
}

static void draw_panels(struct mapping *map)
{
    for (size_t i = 0; i < map->panel_count; i++) {
        const struct panel *panel = &map->panels[i];
        markup(map->page,
               "<rect x=\"%f\" y=\"%f\" width=\"%f\" height=\"%f\" fill=\"none\" "
               "stroke=\"" INK_BLACK "\" stroke-width=\"1.2\"/>\n",
               panel->left, map->top, panel->right - panel->left, map->bottom - map->top);
        picture_text(map->page, (panel->left + panel->right) / 2, 30, "middle", "strong",
                     panel->side ? panel->side : "");
    }
}

/* ---- parts without axes: a row for each place or side ------------------------------------------- */

static const char *panel_name(const struct panel *panel)
{
    return panel->side ? panel->side : panel->place ? panel->place : "";
}

/* Which ids are drawn where there is no room for all: those that come to worse than an outcome, and the
 * first of those that come to it. */
struct chosen {
    uint32_t outcome;
    size_t of_it;
};

static struct chosen choose_worst(const struct mapping *map)
{
    size_t room = MOST_IN_ROWS;
    for (uint32_t outcome = (uint32_t)map->picture->outline->book->scale_count; outcome-- > 0;) {
        size_t count = 0;
        for (size_t i = 0; i < item_count(map); i++) {
            const struct stave_item *item = &map->picture->verdict->items[i];
            for (size_t p = 0; p < map->panel_count && item->outcome == outcome; p++) {
                count += is_on_map(map, item) && presence_on(&map->panels[p], item).here;
            }
        }
        if (count > room) {
            return (struct chosen){outcome, room};
        }
        room -= count;
    }
    return (struct chosen){0, room};
}

static bool is_chosen(struct chosen *chosen, const struct stave_item *item)
{
    if (item->outcome != chosen->outcome) {
        return item->outcome > chosen->outcome;
    }
    bool room = chosen->of_it > 0;
    chosen->of_it -= room;
    return room;
}

/* The ids of one row, from `y` downward; gives the lines that they take. */
static unsigned draw_row(struct mapping *map, const struct panel *panel, double y,
                         struct chosen *chosen)
{
    double left = panel_name(panel)[0] ? NAMES : 10, x = left;
    unsigned lines = 1;
    for (size_t i = 0; i < item_count(map); i++) {
        const struct stave_item *item = &map->picture->verdict->items[i];
        struct presence presence = presence_on(panel, item);
        if (!is_on_map(map, item) || !presence.here) {
            continue;
        }
        if (!is_chosen(chosen, item)) {
            map->left_out++;
            continue;
        }
        double width = markup_width(item->id, 9.5) + 8;
        if (x > left && x + width > WIDTH - 6) {
            x = left;
            lines++;
        }
        bool flight = map->picture->outline->book->scale[item->outcome].flight;
        double top = y + ROW * (lines - 1);
        markup(map->page,
               "<g data-finding=\"%s\" data-side=\"%s\"><rect x=\"%f\" y=\"%f\" width=\"%f\" "
               "height=\"13\" rx=\"%d\" fill=\"%s\" stroke=\"" INK_BLACK "\" "
               "stroke-dasharray=\"%s\"/>\n",
               item->id, panel_name(panel), x, top, width, flight ? 6 : 0,
               flight ? "#ffffff" : INK_BLACK, presence.certain ? "none" : "3 2");
        picture_text(map->page, x + width / 2, top + 9.9, "middle",
                     flight ? "small" : "small turned", item->id);
        page_raw(map->page, "</g>\n");
        x += width + 6;
    }
    return lines;
}

static void draw_rows(struct mapping *map)
{
    double y = 22;
    struct chosen chosen = choose_worst(map);
    for (size_t i = 0; i < map->panel_count; i++) {
        unsigned lines = draw_row(map, &map->panels[i], y + 6, &chosen);
        double height = 6 + ROW * lines;
        markup(map->page,
               "<rect x=\"2\" y=\"%f\" width=\"%f\" height=\"%f\" fill=\"none\" "
               "stroke=\"" INK_BLACK "\"/>\n",
               y, WIDTH - 4, height);
        picture_text(map->page, 8, y + 16, "start", "", panel_name(&map->panels[i]));
        y += height;
    }
    map->width = WIDTH;
    map->height = y + 3;
}

/* ---- the whole ---------------------------------------------------------------------------------- */

static void describe(const struct mapping *map, char *words, size_t size)
{
    size_t count = 0;
    for (size_t i = 0; i < item_count(map); i++) {
        count += is_on_map(map, &map->picture->verdict->items[i]);
    }
    snprintf(words, size,
             map->part->axis_count > 0
                 ? "The part unrolled, its first axis upward; zones and findings to scale. %zu "
                   "finding%s, each filled where it is for certain and dashed as far as it may "
                   "reach."
                 : "The part and its places. %zu finding%s; a dashed id may be there.",
             count, count == 1 ? "" : "s");
}

static void draw_unrolled(struct mapping *map)
{
    const struct stave_part *part = map->part;
    struct bracket brackets[MOST_BRACKETS];
    unsigned columns;
    map->strip = widest_id(map) + 12 > STRIP ? widest_id(map) + 12 : STRIP;
    map->up =
        (struct ink_scale){ink_value(&part->axes[0].from), ink_value(&part->axes[0].to), TALL, 0};
    if (part->axis_count > 1) {
        map->across_from = ink_value(&part->axes[1].from);
        map->across_to = ink_value(&part->axes[1].to);
    }
    mapping_lay_brackets(map, brackets, &columns); /* for their columns: heights follow below */
    map->brackets = BRACKET * columns;
    place_panels(map);
    map->top = 38 + 11 * mapping_box_zones(map, false);
    map->bottom = map->top + TALL;
    map->up.end = map->top;
    map->up.start = map->bottom;
    map->height = map->bottom + (part->axis_count > 1 ? 30 : 6);
    size_t zones_left_out = map->zones_left_out;
    mapping_draw_brackets(map, brackets, mapping_lay_brackets(map, brackets, &columns));
    mapping_box_zones(map, true);
    map->zones_left_out = zones_left_out; /* each was laid out twice */
    draw_panels(map);
    draw_ticks(map);
    draw_across(map);
    for (size_t i = 0; i < map->panel_count; i++) {
        draw_findings(map, &map->panels[i]);
    }
}

/* What had no room is counted in words. */
static void say_left_out(struct mapping *map, const char *what, size_t count)
{
    char words[80];
    if (count > 0) {
        map->height += 14;
        snprintf(words, sizeof words, "%zu more %s%s had no room here.", count, what,
                 count == 1 ? "" : "s");
        picture_text(map->page, 2, map->height - 4, "start", "small strong", words);
    }
}

void picture_map(struct page *page, const struct picture *picture, uint32_t part, const char *name)
{
    struct page body; /* only then is the size of the picture known */
    struct mapping map = {
        .page = &body,
        .picture = picture,
        .part = &picture->outline->parts[part],
        .part_index = part,
        .name = name,
        .across_to = 1,
    };
    page_begin(&body, 0, false);
    choose_panels(&map);
    if (map.part->axis_count > 0) {
        draw_unrolled(&map);
    } else {
        draw_rows(&map);
    }
    say_left_out(&map, "zone", map.zones_left_out);
    say_left_out(&map, "mark", map.left_out);
    char words[256];
    describe(&map, words, sizeof words);
    picture_begin(page, picture, map.width, map.height, name, words);
    picture_text(page, 2, 13, "start", "strong", name);
    page_raw(page, body.done.text ? body.done.text : "");
    page->failed |= body.failed;
    page_end(&body);
    picture_end(page);
}
