#include "show/ink.h"

#include <stdio.h>
#include <stdlib.h>

/* ---- places -------------------------------------------------------------------------- */

double ink_value(const struct stave_figure *figure)
{
    char *end;
    double value = strtod(figure->exact, &end);
    return *end == '/' ? value / strtod(end + 1, NULL) : value;
}

double ink_at(const struct ink_scale *scale, double value)
{
    double share = (value - scale->from) / (scale->to - scale->from);
    return scale->start + share * (scale->end - scale->start);
}

double ink_step(double span, double count, int *places)
{
    static const double steps[] = {1, 2, 5, 10};
    double unit = 1;
    int power = 0, i = 0;
    *places = 0;
    if (!(span > 1e-9 && span < 1e9) || !(count > 0)) {
        return 1;
    }
    while (unit * 10 * count < span * 1.001) {
        unit *= 10;
        power++;
    }
    while (unit * count > span * 1.001) {
        unit /= 10;
        power--;
    }
    while (i < 3 && steps[i] * unit * count < span * 0.999) {
        i++;
    }
    power += i == 3;
    *places = power < 0 ? -power : 0;
    return steps[i] * unit;
}

void ink_number(struct page *page, double value, int places)
{
    char text[48];
    snprintf(text, sizeof text, "%.*f", places < 9 ? places : 9, value);
    page_raw(page, text);
}

/* ---- outcomes ------------------------------------------------------------------------- */

/* Patterns above and below `no flight`; more outcomes than these share the last. */
#define FLIGHT_LEVELS 5u
#define GROUND_LEVELS 5u

struct ink_look ink_look(const struct stave_book_facts *book, uint32_t outcome)
{
    struct ink_look look = {.flight = book->scale[outcome].flight,
                            .unknown = outcome + 2 >= book->scale_count};
    for (uint32_t i = 0; i < outcome; i++) {
        look.level += book->scale[i].flight == look.flight;
    }
    return look;
}

void ink_fill(struct page *page, const struct stave_book_facts *book, uint32_t outcome)
{
    struct ink_look look = ink_look(book, outcome);
    unsigned most = look.flight ? FLIGHT_LEVELS - 1 : GROUND_LEVELS - 1;
    if (look.unknown) {
        page_raw(page, "tone-unknown");
    } else {
        markup(page, "tone-%s%u", look.flight ? "fly" : "stay",
               look.level < most ? look.level : most);
    }
}

static void pattern(struct page *page, const char *name, unsigned size, const char *paper,
                    const char *strokes)
{
    markup(page,
           "<pattern id=\"tone-%s\" width=\"%u\" height=\"%u\" patternUnits=\"userSpaceOnUse\">"
           "<rect width=\"%u\" height=\"%u\" fill=\"%s\"/>",
           name, size, size, size, size, paper);
    page_raw(page, strokes);
    page_raw(page, "</pattern>");
}

#define THIN "<path fill=\"none\" stroke=\"#41606b\" stroke-width=\"0.8\" d=\""
#define HARD "<path fill=\"none\" stroke=\"#7a3413\" stroke-width=\"1\" d=\""
#define HEAVY "<path fill=\"none\" stroke=\"#5c2408\" stroke-width=\"2\" d=\""

void ink_patterns(struct page *page)
{
    page_raw(page, "<defs>");
    pattern(page, "fly0", 12, "#ffffff", "");
    pattern(page, "fly1", 12, "#eef4f5",
            "<circle cx=\"3\" cy=\"3\" r=\"1\" fill=\"#41606b\"/>"
            "<circle cx=\"9\" cy=\"9\" r=\"1\" fill=\"#41606b\"/>");
    pattern(page, "fly2", 8, "#e0ebee", THIN "M0 4H8\"/>");
    pattern(page, "fly3", 8, "#d3e2e6", THIN "M4 0V8\"/>");
    pattern(page, "fly4", 8, "#c6d9de", THIN "M4 0V8M0 4H8\"/>");
    pattern(page, "stay0", 10, "#f7e9dd", HARD "M-2 2L2 -2M0 10L10 0M8 12L12 8\"/>");
    pattern(page, "stay1", 7, "#f0d6c2",
            HARD "M-2 2L2 -2M0 7L7 0M5 9L9 5M0 0L7 7M-2 5L2 9M5 -2L9 2\"/>");
    pattern(page, "stay2", 6, "#e6bfa3", HEAVY "M-2 2L2 -2M0 6L6 0M4 8L8 4\"/>");
    pattern(page, "stay3", 6, "#dbab8a", HEAVY "M0 0L6 6M-2 4L2 8M4 -2L8 2\"/>");
    pattern(page, "stay4", 6, "#cf9973", HEAVY "M0 0L6 6M0 6L6 0\"/>");
    pattern(page, "unknown", 12, "#ececec",
            "<path fill=\"none\" stroke=\"#16202a\" stroke-width=\"1.4\" "
            "d=\"M1 1L5 5M5 1L1 5M7 7L11 11M11 7L7 11\"/>");
    page_raw(page, "</defs>");
}

void ink_outcome(struct page *page, const struct stave_book_facts *book, uint32_t outcome)
{
    const struct stave_outcome *shown = &book->scale[outcome];
    markup(page,
           "<span class=\"outcome %s\"><svg class=\"swatch\" width=\"22\" height=\"14\" "
           "aria-hidden=\"true\"><rect x=\"1\" y=\"1\" width=\"20\" height=\"12\" "
           "stroke=\"" INK_BLACK "\" fill=\"url(#",
           shown->flight ? "fly" : "stay");
    ink_fill(page, book, outcome);
    markup(page, ")\"/></svg>%s%s</span>", shown->name, shown->flight ? "" : ", no flight");
}
