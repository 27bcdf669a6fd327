/* The zones of a map, and where its figures lie. */
#include <string.h>

#include "show/mapping.h"

#define NAME_ROWS 8u /* of zones that are boxes, above a panel */

double mapping_across(const struct mapping *map, const struct panel *panel, double value)
{
    struct ink_scale scale = {map->across_from, map->across_to,
                              panel->mirrored ? panel->right : panel->left,
                              panel->mirrored ? panel->left : panel->right};
    return ink_at(&scale, value);
}

void mapping_widen(double *low, double *high, double least)
{
    if (*high - *low < least) {
        double middle = (*low + *high) / 2;
        *low = middle - least / 2;
        *high = middle + least / 2;
    }
}

struct box mapping_box(const struct mapping *map, const struct panel *panel, const double up[2],
                       const double over[2])
{
    double y_a = ink_at(&map->up, up[0]), y_b = ink_at(&map->up, up[1]);
    double x_a = mapping_across(map, panel, over[0]), x_b = mapping_across(map, panel, over[1]);
    struct box box = {x_a < x_b ? x_a : x_b, x_a < x_b ? x_b : x_a, y_a < y_b ? y_a : y_b,
                      y_a < y_b ? y_b : y_a};
    return box;
}

/* ---- zones ------------------------------------------------------------------------------- */

static bool is_box_zone(const struct stave_zone *zone, const struct stave_part *part)
{
    return (part->axis_count > 1 && !zone->ranges[1].whole) || zone->side_count > 0;
}

static bool is_mapped(const struct mapping *map, const struct stave_zone *zone)
{
    return zone->part == map->part_index && !zone->whole_part && map->part->axis_count > 0;
}

/* What a bracket takes of its column, with its name kept beside the panels. */
static void bracket_span(const struct mapping *map, const struct bracket *bracket, double *y0,
                         double *y1)
{
    double top = map->up.end < map->up.start ? map->up.end : map->up.start;
    double bottom = map->up.end < map->up.start ? map->up.start : map->up.end;
    *y0 = bracket->y0;
    *y1 = bracket->y1;
    mapping_widen(y0, y1, markup_width(bracket->zone->name, 9.5) + 4);
    double shift = *y0 < top ? top - *y0 : *y1 > bottom ? bottom - *y1 : 0;
    *y0 += shift;
    *y1 += shift;
}

size_t mapping_lay_brackets(struct mapping *map, struct bracket *brackets, unsigned *columns)
{
    size_t count = 0;
    *columns = 0;
    for (size_t i = 0; i < map->picture->outline->zone_count; i++) {
        const struct stave_zone *zone = &map->picture->outline->zones[i];
        if (!is_mapped(map, zone) || is_box_zone(zone, map->part)) {
            continue;
        }
        if (count == MOST_BRACKETS) {
            map->zones_left_out++;
            continue;
        }
        struct bracket bracket = {zone, ink_at(&map->up, ink_value(&zone->ranges[0].to)),
                                  ink_at(&map->up, ink_value(&zone->ranges[0].from)), 0};
        double y0, y1;
        bracket_span(map, &bracket, &y0, &y1);
        for (size_t j = 0; j < count; j++) {
            double other0, other1;
            bracket_span(map, &brackets[j], &other0, &other1);
            if (brackets[j].column == bracket.column && y0 < other1 - 0.1 && other0 < y1 - 0.1) {
                bracket.column++;
                j = (size_t)-1; /* look through them anew for the next column */
            }
        }
        *columns = bracket.column >= *columns ? bracket.column + 1 : *columns;
        brackets[count++] = bracket;
    }
    return count;
}

void mapping_draw_brackets(const struct mapping *map, const struct bracket *brackets, size_t count)
{
    struct page *page = map->page;
    for (size_t i = 0; i < count; i++) {
        const struct bracket *bracket = &brackets[i];
        double x = TICKS + 4 + BRACKET * (bracket->column + 0.5);
        double y0, y1;
        bracket_span(map, bracket, &y0, &y1);
        double middle = (y0 + y1) / 2;
        double half = (markup_width(bracket->zone->name, 9.5)) / 2;
        /* The name breaks the line where there is room; else it stands alone. */
        markup(page, "<path fill=\"none\" stroke=\"" INK_RULE "\" d=\"M%f %fh6M%f %fh6", x - 3,
               bracket->y0, x - 3, bracket->y1);
        if (bracket->y1 - bracket->y0 > 2 * half + 6) {
            markup(page, "M%f %fV%fM%f %fV%f", x, bracket->y0, middle - half - 2, x,
                   middle + half + 2, bracket->y1);
        }
        markup(page,
               "\"/>\n<text transform=\"translate(%f %f) rotate(-90)\" "
               "text-anchor=\"middle\" class=\"small\">%s</text>\n",
               x + 3.4, middle, bracket->zone->name);
        for (size_t p = 0; p < map->panel_count; p++) {
            const double edges[2] = {bracket->y0, bracket->y1};
            for (int e = 0; e < 2; e++) {
                if (edges[e] > map->top + 0.5 && edges[e] < map->bottom - 0.5) {
                    markup(page,
                           "<path fill=\"none\" stroke=\"" INK_RULE "\" stroke-width=\"0.7\" "
                           "stroke-dasharray=\"1 3\" d=\"M%f %fH%f\"/>\n",
                           map->panels[p].left, edges[e], map->panels[p].right);
                }
            }
        }
    }
}

static bool zone_on_panel(const struct stave_zone *zone, const struct panel *panel)
{
    bool on = zone->side_count == 0 || !panel->side;
    for (size_t i = 0; i < zone->side_count; i++) {
        on |= panel->side && strcmp(zone->sides[i], panel->side) == 0;
    }
    return on;
}

/* Zones that are boxes: dashed in the panel, the name above it in the first free row. */
unsigned mapping_box_zones(struct mapping *map, bool draw)
{
    unsigned rows = 0;
    for (size_t p = 0; p < map->panel_count; p++) {
        const struct panel *panel = &map->panels[p];
        double free_from[NAME_ROWS] = {0};
        for (size_t i = 0; i < map->picture->outline->zone_count; i++) {
            const struct stave_zone *zone = &map->picture->outline->zones[i];
            if (!is_mapped(map, zone) || !is_box_zone(zone, map->part) ||
                !zone_on_panel(zone, panel)) {
                continue;
            }
            double up[2] = {ink_value(&zone->ranges[0].from), ink_value(&zone->ranges[0].to)};
            double over[2] = {map->across_from, map->across_to};
            if (map->part->axis_count > 1) {
                over[0] = ink_value(&zone->ranges[1].from);
                over[1] = ink_value(&zone->ranges[1].to);
            }
            struct box box = mapping_box(map, panel, up, over);
            double half = markup_width(zone->name, 9.5) / 2;
            double x = (box.x0 + box.x1) / 2;
            x = x - half < panel->left + 3 ? panel->left + 3 + half : x;
            x = x + half > panel->right - 3 ? panel->right - 3 - half : x;
            unsigned row = 0;
            while (row < NAME_ROWS && free_from[row] > x - half) {
                row++;
            }
            if (row == NAME_ROWS) {
                map->zones_left_out++;
                continue;
            }
            free_from[row] = x + half + 4;
            rows = row + 1 > rows ? row + 1 : rows;
            if (draw) {
                markup(map->page,
                       "<path fill=\"none\" stroke=\"" INK_GREY "\" stroke-dasharray=\"5 2\" "
                       "stroke-width=\"0.8\" d=\"M%f %fH%fV%fH%fZ\"/>\n",
                       box.x0, box.y0, box.x1, box.y1, box.x0);
                picture_text(map->page, x, map->top - 5 - 11 * row, "middle", "small quiet",
                             zone->name);
            }
        }
    }
    return rows;
}
