/* The findings on a chart: marks with their doubt as bars, and their ids in a row above. */
#include <stdlib.h>
#include <string.h>

#include "show/charting.h"

#define MOST_MARKS 40

struct mark {
    const struct stave_item *item;
    double x0, x1, y0, y1;
    double label, width;
    bool beyond; /* above the picture */
};

/* What another model gives the worst of is not by the limits that are drawn: among them it would look
 * better than it is. */
static bool is_of_ladder(const struct charting *at, const struct stave_item *item)
{
    bool kind = false;
    if (item->item != STAVE_FINDING || item->outline_part != at->chart->part ||
        item->by_model[0]) {
        return false;
    }
    for (size_t i = 0; i < at->ladder->kind_count; i++) {
        kind |= at->ladder->kinds[i] == item->outline_kind;
    }
    for (size_t i = 0; kind && i < item->zone_count; i++) {
        for (size_t z = 0; z < at->ladder->zone_count; z++) {
            const char *zone = at->picture->outline->zones[at->ladder->zones[z]].name;
            if (strcmp(zone, item->zones[i]) == 0) {
                return true;
            }
        }
    }
    return false;
}

static const struct stave_reading *reading_of(const struct stave_chart *chart,
                                              const struct stave_item *item)
{
    for (size_t i = 0; i < item->reading_count; i++) {
        if (item->readings[i].measured && strcmp(item->readings[i].name, chart->name) == 0) {
            return &item->readings[i];
        }
    }
    return NULL;
}

static double clamp(double value, double low, double high)
{
    return value < low ? low : value > high ? high : value;
}

static bool place_mark(const struct charting *at, const struct stave_item *item, struct mark *mark)
{
    const struct stave_reading *reading = reading_of(at->chart, item);
    if (!reading) {
        return false;
    }
    *mark = (struct mark){.item = item, .x0 = LEFT, .x1 = RIGHT};
    if (!at->by_columns) {
        const struct stave_extent *extent = &item->extents[at->chart->axis];
        mark->x0 = clamp(ink_at(&at->across, ink_value(&extent->start_low)), LEFT, RIGHT);
        mark->x1 = clamp(ink_at(&at->across, ink_value(&extent->end_high)), LEFT, RIGHT);
    }
    double top = ink_at(&at->up, ink_value(&reading->high));
    double bottom = ink_at(&at->up, ink_value(&reading->low));
    mark->beyond = top < TOP;
    mark->y0 = clamp(top, TOP, TOP + TALL);
    mark->y1 = clamp(bottom, TOP, TOP + TALL);
    mark->width = markup_width(item->id, 9.5) + 8;
    return true;
}

static int by_middle(const void *a, const void *b)
{
    const struct mark *one = a, *two = b;
    double first = one->x0 + one->x1, second = two->x0 + two->x1;
    return first != second           ? (first < second ? -1 : 1)
           : (one->item < two->item) ? -1
                                     : one->item > two->item;
}

static void draw_mark(const struct charting *at, const struct mark *mark)
{
    struct page *page = at->page;
    const struct stave_reading *reading = reading_of(at->chart, mark->item);
    bool flight = at->book->scale[mark->item->outcome].flight;
    double x = (mark->x0 + mark->x1) / 2, y = (mark->y0 + mark->y1) / 2;
    markup(page, "<g class=\"mark\" data-finding=\"%s\" data-low=\"%s\" data-high=\"%s\">",
           mark->item->id, reading->low.exact, reading->high.exact);
    markup(page,
           "<path fill=\"none\" stroke=\"#ffffff\" stroke-width=\"4\" d=\"M%f %fH%fM%f "
           "%fV%f\"/><path fill=\"none\" stroke=\"" INK_BLACK "\" stroke-width=\"1.8\" "
           "d=\"M%f %fH%fM%f %fV%f",
           mark->x0, y, mark->x1, x, mark->y0, mark->y1, mark->x0, y, mark->x1, x, mark->y0,
           mark->y1);
    if (mark->x1 - mark->x0 > 3) {
        markup(page, "M%f %fv6M%f %fv6", mark->x0, y - 3, mark->x1, y - 3);
    }
    if (mark->y1 - mark->y0 > 3) {
        markup(page, "M%f %fh6", x - 3, mark->y1);
        markup(page, mark->beyond ? "M%f %fl4 -6l4 6" : "M%f %fh6", mark->beyond ? x - 4 : x - 3,
               mark->beyond ? mark->y0 + 6 : mark->y0);
    } else if (mark->beyond) {
        markup(page, "M%f %fl4 -6l4 6", x - 4, mark->y0 + 6);
    }
    markup(page,
           "\"/><path stroke=\"" INK_BLACK "\" stroke-width=\"1.4\" fill=\"%s\" "
           "d=\"M%f %fl4.5 4.5l-4.5 4.5l-4.5 -4.5z\"/></g>\n",
           flight ? "#ffffff" : INK_BLACK, x, y - 4.5);
}

static void draw_label(const struct charting *at, const struct mark *mark)
{
    bool flight = at->book->scale[mark->item->outcome].flight;
    double x = (mark->x0 + mark->x1) / 2, y = TOP - 34;
    markup(at->page,
           "<path fill=\"none\" stroke=\"" INK_BLACK "\" stroke-width=\"0.7\" "
           "stroke-dasharray=\"2 2\" d=\"M%f %fL%f %fV%f\"/>\n",
           mark->label, y + 7, x, TOP, (mark->y0 + mark->y1) / 2);
    markup(at->page,
           "<rect x=\"%f\" y=\"%f\" width=\"%f\" height=\"13\" rx=\"%d\" fill=\"%s\" "
           "stroke=\"" INK_BLACK "\"/>\n",
           mark->label - mark->width / 2, y - 6.5, mark->width, flight ? 6 : 0,
           flight ? "#ffffff" : INK_BLACK);
    picture_text(at->page, mark->label, y + 3.4, "middle", flight ? "small" : "small turned",
                 mark->item->id);
}

/* The marks, the worst first where there is no room for all, and their ids above the bands. */
void charting_findings(struct charting *at)
{
    struct mark marks[MOST_MARKS];
    size_t count = 0;
    double used = 0;
    const stave_verdict *verdict = at->picture->verdict;
    for (uint32_t outcome = (uint32_t)at->book->scale_count; verdict && outcome-- > 0;) {
        for (size_t i = 0; i < verdict->item_count; i++) {
            struct mark mark;
            if (verdict->items[i].outcome != outcome || !is_of_ladder(at, &verdict->items[i]) ||
                !place_mark(at, &verdict->items[i], &mark)) {
                continue;
            }
            if (count == MOST_MARKS || used + mark.width + 4 > RIGHT + 30 - LEFT) {
                at->left_out++;
                continue;
            }
            used += mark.width + 4;
            marks[count++] = mark;
        }
    }
    qsort(marks, count, sizeof *marks, by_middle);
    double next = LEFT - 20;
    for (size_t i = 0; i < count; i++) {
        double wanted = (marks[i].x0 + marks[i].x1) / 2 - marks[i].width / 2;
        marks[i].label = wanted > next ? wanted : next;
        next = marks[i].label + marks[i].width + 4;
    }
    next = RIGHT + 10;
    for (size_t i = count; i-- > 0;) {
        double most = next - marks[i].width;
        marks[i].label = marks[i].label < most ? marks[i].label : most;
        next = marks[i].label - 4;
        marks[i].label += marks[i].width / 2;
    }
    for (size_t i = 0; i < count; i++) {
        draw_label(at, &marks[i]);
    }
    for (size_t i = 0; i < count; i++) {
        draw_mark(at, &marks[i]);
    }
}
