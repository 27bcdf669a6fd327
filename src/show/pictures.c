/* The pictures of a book, one by one. */
#include <stdio.h>
#include <string.h>

#include "show/picture.h"
#include "show/show.h"

/* A map: of a part of the book, or of one that was inspected. */
struct mapped {
    uint32_t part;
    const char *name;
};

static bool has_finding(const stave_verdict *verdict, const char *part, uint32_t *outline_part)
{
    for (size_t i = 0; i < verdict->item_count; i++) {
        if (verdict->items[i].item == STAVE_FINDING && strcmp(verdict->items[i].part, part) == 0) {
            *outline_part = verdict->items[i].outline_part;
            return true;
        }
    }
    return false;
}

/* Of an inspection the parts with findings; of a book alone those with something to draw. */
static bool map_at(const stave_outline *outline, const stave_verdict *verdict, size_t which,
                   struct mapped *mapped)
{
    size_t count = verdict ? verdict->part_count : outline->part_count;
    for (size_t i = 0; i < count; i++) {
        bool drawn;
        *mapped = (struct mapped){(uint32_t)i, NULL};
        if (verdict) {
            mapped->name = verdict->parts[i].part;
            drawn = has_finding(verdict, mapped->name, &mapped->part);
        } else {
            mapped->name = outline->parts[i].name;
            drawn = outline->parts[i].axis_count + outline->parts[i].place_count > 0;
        }
        if (drawn && which-- == 0) {
            return true;
        }
    }
    return false;
}

size_t show_picture_count(const stave_outline *outline, const stave_verdict *verdict)
{
    struct mapped mapped;
    size_t count = 0;
    while (map_at(outline, verdict, count, &mapped)) {
        count++;
    }
    return outline->chart_count + count;
}

/* A name that a file may have: letters, digits and dashes. */
static void add_name(struct page *page, const char *name)
{
    for (; *name; name++) {
        bool plain = (*name >= 'a' && *name <= 'z') || (*name >= 'A' && *name <= 'Z') ||
                     (*name >= '0' && *name <= '9');
        page_raw_bytes(page, plain ? name : "-", 1);
    }
}

void show_picture_name(struct page *page, const stave_outline *outline,
                       const stave_verdict *verdict, size_t which)
{
    struct mapped mapped;
    if (which < outline->chart_count) {
        const struct stave_chart *chart = &outline->charts[which];
        char number[24];
        snprintf(number, sizeof number, "%02zu-", which + 1);
        page_raw(page, number);
        add_name(page, outline->kinds[outline->ladders[chart->ladder].kinds[0]].name);
        page_raw(page, "-");
        add_name(page, chart->name);
    } else if (map_at(outline, verdict, which - outline->chart_count, &mapped)) {
        page_raw(page, "map-");
        add_name(page, mapped.name);
    }
}

void show_picture_title(struct page *page, const stave_outline *outline,
                        const stave_verdict *verdict, size_t which)
{
    struct mapped mapped;
    if (which < outline->chart_count) {
        const struct stave_chart *chart = &outline->charts[which];
        page_escaped(page, outline->ladders[chart->ladder].head);
        page_raw(page, ": ");
        page_escaped(page, chart->name);
    } else if (map_at(outline, verdict, which - outline->chart_count, &mapped)) {
        page_raw(page, "map of ");
        page_escaped(page, mapped.name);
    }
}

void show_picture(struct page *page, const stave_outline *outline, const stave_verdict *verdict,
                  size_t which)
{
    unsigned number = 0;
    struct picture picture = {
        .outline = outline, .verdict = verdict, .alone = true, .number = &number};
    struct mapped mapped;
    page_raw(page, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    if (which < outline->chart_count) {
        picture_chart(page, &picture, (uint32_t)which);
    } else if (map_at(outline, verdict, which - outline->chart_count, &mapped)) {
        picture_map(page, &picture, mapped.part, mapped.name);
    }
}
