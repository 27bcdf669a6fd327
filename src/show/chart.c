/*
 * A limit chart: one measure of one limit against one axis of its part. The outcomes are filled
 * bands, painted from the last line of the ladder to the first, so that each place shows the first line
 * that its measure allows. Findings stand in it with their doubt as boxes, and their ids above, so that no
 * word lies on a mark.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "show/charting.h"

#define NAMES 528.0
#define SECOND_AXIS 24.0 /* of the other unit, below the first */
#define LINE 13.0
#define LETTERS 98 /* of a line of the key */

/* ---- scales ------------------------------------------------------------------------------ */

static double highest_bound(const struct stave_chart *chart)
{
    double highest = 0;
    for (size_t s = 0; s < chart->stretch_count; s++) {
        for (size_t b = 0; b < chart->stretches[s].band_count; b++) {
            const struct stave_band *band = &chart->stretches[s].bands[b];
            for (size_t i = 0; i < band->high_count + band->low_count; i++) {
                const struct stave_point *point =
                    i < band->high_count ? &band->high[i] : &band->low[i - band->high_count];
                double value = ink_value(&point->value);
                highest = value > highest ? value : highest;
            }
        }
    }
    return highest;
}

static void set_scales(struct charting *at)
{
    const struct stave_chart *chart = at->chart;
    double from = chart->from.exact[0] ? ink_value(&chart->from) : 0;
    double highest = highest_bound(chart);
    double to = from + (highest - from) * 1.3;
    if (chart->to.exact[0] && to > ink_value(&chart->to)) {
        to = ink_value(&chart->to);
    }
    to = to > from ? to : from + 1;
    at->up = (struct ink_scale){from, to, TOP + TALL, TOP};
    at->by_columns = chart->axis < 0;
    double first = 0, last = (double)chart->stretch_count;
    for (size_t s = 0; s < chart->stretch_count && !at->by_columns; s++) {
        double start = ink_value(&chart->stretches[s].range.from);
        double end = ink_value(&chart->stretches[s].range.to);
        first = s == 0 || start < first ? start : first;
        last = s == 0 || end > last ? end : last;
    }
    last = last > first ? last : first + 1;
    at->across = (struct ink_scale){first, last, LEFT, RIGHT};
}

/*
 * A line that says nothing of the measure while lines below it do would hide them all, and show as
 * fine what is fine only where its other conditions hold. It stands in the key alone.
 */
static bool is_drawn(const struct stave_stretch *stretch, size_t which)
{
    const struct stave_band *band = &stretch->bands[which];
    bool bounds = band->high_count + band->low_count > 0;
    for (size_t b = which + 1; !bounds && b < stretch->band_count; b++) {
        if (stretch->bands[b].high_count + stretch->bands[b].low_count > 0) {
            return false;
        }
    }
    return true;
}

/* The two ends of a stretch on the picture. */
static void ends_of(const struct charting *at, size_t stretch, double ends[2])
{
    if (at->by_columns) {
        ends[0] = ink_at(&at->across, (double)stretch);
        ends[1] = ink_at(&at->across, (double)stretch + 1);
    } else {
        ends[0] = ink_at(&at->across, ink_value(&at->chart->stretches[stretch].range.from));
        ends[1] = ink_at(&at->across, ink_value(&at->chart->stretches[stretch].range.to));
    }
}

/* ---- bands ---------------------------------------------------------------------------------- */

/* The value of an edge at a place of the picture; `none` where there is no edge. */
static double edge_at(const struct charting *at, const struct stave_point *points, size_t count,
                      double x, double none)
{
    if (count == 0) {
        return none;
    }
    if (at->by_columns || count == 1) {
        return ink_at(&at->up, ink_value(&points[0].value));
    }
    size_t i = 1;
    while (i + 1 < count && ink_at(&at->across, ink_value(&points[i].at)) < x) {
        i++;
    }
    struct ink_scale straight = {ink_at(&at->across, ink_value(&points[i - 1].at)),
                                 ink_at(&at->across, ink_value(&points[i].at)),
                                 ink_at(&at->up, ink_value(&points[i - 1].value)),
                                 ink_at(&at->up, ink_value(&points[i].value))};
    return straight.to > straight.from ? ink_at(&straight, x) : straight.start;
}

static int by_place(const void *a, const void *b)
{
    double one = *(const double *)a, two = *(const double *)b;
    return (one > two) - (one < two);
}

/* The places at which a band bends, with the ends of its stretch. */
static size_t bends_of(const struct charting *at, const struct stave_band *band,
                       const double ends[2], double **bends)
{
    size_t count = 0;
    *bends = calloc(band->high_count + band->low_count + 2, sizeof **bends);
    if (!*bends) {
        at->page->failed = true;
        return 0;
    }
    (*bends)[count++] = ends[0];
    for (size_t i = 0; i < band->high_count + band->low_count && !at->by_columns; i++) {
        const struct stave_point *point =
            i < band->high_count ? &band->high[i] : &band->low[i - band->high_count];
        double x = ink_at(&at->across, ink_value(&point->at));
        if (x > ends[0] && x < ends[1]) {
            (*bends)[count++] = x;
        }
    }
    (*bends)[count++] = ends[1];
    qsort(*bends, count, sizeof **bends, by_place);
    return count;
}

/* One straight piece of a band; where its edges cross, only the side that is left. */
static void piece(struct page *page, double x0, double x1, const double high[2],
                  const double low[2])
{
    double first = low[0] - high[0], last = low[1] - high[1]; /* heights, downward */
    if (first <= 0 && last <= 0) {
        return;
    }
    double from = x0, to = x1, high0 = high[0], high1 = high[1], low0 = low[0], low1 = low[1];
    if (first < 0 || last < 0) {
        double share = first / (first - last), x = x0 + share * (x1 - x0);
        double y = high[0] + share * (high[1] - high[0]);
        if (first < 0) {
            from = x, high0 = low0 = y;
        } else {
            to = x, high1 = low1 = y;
        }
    }
    markup(page, "M%f %fL%f %fL%f %fL%f %fZ", from, high0, to, high1, to, low1, from, low0);
}

static void data_points(struct page *page, const char *name, const struct stave_point *points,
                        size_t count)
{
    if (count == 0) {
        return;
    }
    markup(page, " data-%s=\"", name);
    for (size_t i = 0; i < count; i++) {
        markup(page, "%s%s:%s", i ? " " : "", points[i].at.exact, points[i].value.exact);
    }
    page_raw(page, "\"");
}

static void draw_edge(const struct charting *at, const struct stave_point *points, size_t count,
                      const double *bends, size_t bend_count, bool open)
{
    if (count == 0) {
        return;
    }
    markup(at->page,
           "<path fill=\"none\" stroke=\"" INK_BLACK "\" stroke-width=\"1.3\" "
           "stroke-dasharray=\"%s\" d=\"",
           open ? "6 3" : "none");
    for (size_t i = 0; i < bend_count; i++) {
        markup(at->page, "%s%f %f", i ? "L" : "M", bends[i],
               edge_at(at, points, count, bends[i], 0));
    }
    page_raw(at->page, "\"/>");
}

static void draw_band(const struct charting *at, size_t stretch, size_t which)
{
    const struct stave_band *band = &at->chart->stretches[stretch].bands[which];
    struct page *page = at->page;
    double ends[2], *bends;
    ends_of(at, stretch, ends);
    size_t count = bends_of(at, band, ends, &bends);
    markup(page, "<g data-line=\"%u\" data-outcome=\"%s\"", band->line,
           at->book->scale[at->ladder->lines[band->line].outcome].name);
    data_points(page, "high", band->high, band->high_count);
    data_points(page, "low", band->low, band->low_count);
    page_raw(page, band->high_open ? " data-high-open=\"yes\"" : "");
    page_raw(page, band->low_open ? " data-low-open=\"yes\"" : "");
    page_raw(page, "><path fill=\"url(#");
    ink_fill(page, at->book, at->ladder->lines[band->line].outcome);
    page_raw(page, ")\" d=\"");
    for (size_t i = 0; i + 1 < count; i++) {
        double high[2], low[2];
        for (int e = 0; e < 2; e++) {
            high[e] = edge_at(at, band->high, band->high_count, bends[i + (size_t)e], TOP);
            low[e] = edge_at(at, band->low, band->low_count, bends[i + (size_t)e], TOP + TALL);
        }
        piece(page, bends[i], bends[i + 1], high, low);
    }
    page_raw(page, "\"/>");
    draw_edge(at, band->high, band->high_count, bends, count, band->high_open);
    draw_edge(at, band->low, band->low_count, bends, count, band->low_open);
    page_raw(page, "</g>\n");
    free(bends);
}

static void draw_stretches(const struct charting *at)
{
    struct page *page = at->page;
    unsigned clip = *at->picture->number;
    markup(page,
           "<clipPath id=\"plot-%u\"><rect x=\"%f\" y=\"%f\" width=\"%f\" height=\"%f\"/>"
           "</clipPath>\n<g clip-path=\"url(#plot-%u)\">\n",
           clip, LEFT, TOP, RIGHT - LEFT, TALL, clip);
    for (size_t s = 0; s < at->chart->stretch_count; s++) {
        const struct stave_stretch *stretch = &at->chart->stretches[s];
        double ends[2];
        ends_of(at, s, ends);
        markup(page,
               "<g data-zone=\"%s\">\n<rect x=\"%f\" y=\"%f\" width=\"%f\" height=\"%f\" "
               "fill=\"url(#tone-unknown)\"/>\n",
               at->picture->outline->zones[stretch->zone].name, ends[0], TOP, ends[1] - ends[0],
               TALL);
        for (size_t b = stretch->band_count; b-- > 0;) {
            if (is_drawn(stretch, b)) {
                draw_band(at, s, b);
            }
        }
        page_raw(page, "</g>\n");
    }
    page_raw(page, "</g>\n");
    markup(page,
           "<rect x=\"%f\" y=\"%f\" width=\"%f\" height=\"%f\" fill=\"none\" "
           "stroke=\"" INK_BLACK "\"/>\n",
           LEFT, TOP, RIGHT - LEFT, TALL);
}

/* ---- axes ------------------------------------------------------------------------------------ */

/* Figures along a scale. `size` is how many of the shown unit are one of the scale's. */
static void draw_ticks(const struct charting *at, const struct ink_scale *scale, bool upright,
                       double line, double out, double size, double count)
{
    struct page *page = at->page;
    int places;
    double from = scale->from * size, to = scale->to * size;
    double step = ink_step(to - from, count, &places);
    for (long long n = (long long)(from / step) - 1; n <= (long long)(to / step) + 1; n++) {
        double value = (double)n * step;
        if (value < from - step * 1e-6 || value > to + step * 1e-6) {
            continue;
        }
        double place = ink_at(scale, value / size);
        if (upright) {
            markup(page, "<path stroke=\"" INK_BLACK "\" d=\"M%f %fh%f\"/>", line, place, out);
            markup(page, "<text x=\"%f\" y=\"%f\" text-anchor=\"%s\" class=\"small\">",
                   line + out * 1.8, place + 3.4, out < 0 ? "end" : "start");
        } else {
            markup(page, "<path stroke=\"" INK_BLACK "\" d=\"M%f %fv%f\"/>", place, line, out);
            markup(page, "<text x=\"%f\" y=\"%f\" text-anchor=\"middle\" class=\"small\">", place,
                   line + 14);
        }
        ink_number(page, value, places);
        page_raw(page, "</text>\n");
    }
}

static void draw_axes(const struct charting *at)
{
    const struct stave_chart *chart = at->chart;
    draw_ticks(at, &at->up, true, LEFT, -4, 1, 6);
    picture_text(at->page, LEFT - 8, TOP - 9, "end", "small quiet", chart->unit);
    if (chart->other_unit[0]) {
        draw_ticks(at, &at->up, true, RIGHT, 4, 1 / ink_value(&chart->other_size), 6);
        picture_text(at->page, RIGHT + 16, TOP - 9, "start", "small quiet", chart->other_unit);
    }
    if (at->by_columns) {
        return;
    }
    draw_ticks(at, &at->across, false, TOP + TALL, 4, 1, 9);
    picture_text(at->page, LEFT - 22, TOP + TALL + 14, "end", "small quiet", chart->axis_unit);
    if (chart->other_axis_unit[0]) {
        double line = TOP + TALL + SECOND_AXIS;
        markup(at->page, "<path stroke=\"" INK_BLACK "\" d=\"M%f %fH%f\"/>\n", LEFT, line, RIGHT);
        draw_ticks(at, &at->across, false, line, 4, 1 / ink_value(&chart->other_axis_size), 9);
        picture_text(at->page, LEFT - 22, line + 14, "end", "small quiet", chart->other_axis_unit);
    }
}

/* The zones below the axis, each from end to end, in as many rows as they need. */
static double draw_zones(const struct charting *at, double y)
{
    double free_from[6] = {0};
    size_t rows = 1;
    for (size_t s = 0; s < at->chart->stretch_count; s++) {
        const struct stave_zone *zone = &at->picture->outline->zones[at->chart->stretches[s].zone];
        double ends[2], middle, half = markup_width(zone->name, 9.5) / 2 + 3;
        ends_of(at, s, ends);
        middle = (ends[0] + ends[1]) / 2;
        double from = middle - half < ends[0] ? middle - half : ends[0];
        double to = middle + half > ends[1] ? middle + half : ends[1];
        size_t row = 0;
        while (row < 5 && free_from[row] > from + 0.5) {
            row++;
        }
        free_from[row] = to;
        rows = row + 1 > rows ? row + 1 : rows;
        double line = y + 17 * (double)row;
        markup(at->page, "<path fill=\"none\" stroke=\"" INK_RULE "\" d=\"M%f %fv8M%f %fv8",
               ends[0], line - 4, ends[1], line - 4);
        if (ends[1] - ends[0] > 2 * half) {
            markup(at->page, "M%f %fH%fM%f %fH%f", ends[0], line, middle - half, middle + half,
                   line, ends[1]);
        }
        page_raw(at->page, "\"/>\n");
        picture_text(at->page, middle, line + 3.4, "middle", "small", zone->name);
        for (int e = 0; e < 2; e++) {
            if (ends[e] > LEFT + 0.5 && ends[e] < RIGHT - 0.5) {
                markup(at->page,
                       "<path fill=\"none\" stroke=\"" INK_BLACK "\" stroke-width=\"1\" "
                       "stroke-dasharray=\"1 3\" d=\"M%f %fV%f\"/>\n",
                       ends[e], TOP, TOP + TALL);
            }
        }
    }
    return y + 17 * (double)rows;
}

/* ---- names of the bands, beside them ------------------------------------------------------------ */

struct label {
    uint32_t outcome;
    double wanted, y;
};

static void draw_names(const struct charting *at)
{
    size_t last = 0;
    double ends[2], far = 0;
    for (size_t s = 0; s < at->chart->stretch_count; s++) {
        ends_of(at, s, ends);
        last = ends[1] >= far ? s : last;
        far = ends[1] >= far ? ends[1] : far;
    }
    const struct stave_stretch *stretch = &at->chart->stretches[last];
    /* Down the right edge, a pixel at a time: the first line that allows the value there. */
    struct label labels[64];
    size_t count = 0;
    double since = TOP;
    int64_t before = -1;
    for (double y = TOP; y <= TOP + TALL + 0.5; y++) {
        int64_t now = (int64_t)at->book->scale_count - 2;
        for (size_t b = 0; b < stretch->band_count && y <= TOP + TALL; b++) {
            const struct stave_band *band = &stretch->bands[b];
            if (is_drawn(stretch, b) &&
                y >= edge_at(at, band->high, band->high_count, far, TOP - 1) &&
                y <= edge_at(at, band->low, band->low_count, far, TOP + TALL + 1)) {
                now = at->ladder->lines[band->line].outcome;
                break;
            }
        }
        if ((now != before || y >= TOP + TALL) && before >= 0 && count < 64) {
            labels[count++] = (struct label){(uint32_t)before, (since + y) / 2, 0};
        }
        since = now != before ? y : since;
        before = now;
    }
    double next = TOP + 5;
    for (size_t i = 0; i < count; i++) {
        labels[i].y = labels[i].wanted > next ? labels[i].wanted : next;
        next = labels[i].y + LINE + 1;
    }
    next = TOP + TALL - 4;
    for (size_t i = count; i-- > 0;) {
        labels[i].y = labels[i].y < next ? labels[i].y : next;
        next = labels[i].y - LINE + 1;
    }
    for (size_t i = 0; i < count; i++) {
        markup(at->page, "<path fill=\"none\" stroke=\"" INK_RULE "\" d=\"M%f %fL%f %f\"/>\n",
               NAMES - 14, labels[i].wanted, NAMES - 3, labels[i].y);
        picture_text(at->page, NAMES, labels[i].y + 3.6, "start",
                     at->book->scale[labels[i].outcome].flight ? "small" : "small strong",
                     at->book->scale[labels[i].outcome].name);
    }
}

/* ---- words -------------------------------------------------------------------------------------- */

/* A text over as many lines as it needs, broken at blanks. Gives the y after it. */
static double flow(struct page *page, double x, double y, const char *class, const char *text,
                   size_t letters)
{
    char line[LETTERS * 2 + 1];
    letters = letters < LETTERS ? letters : LETTERS;
    while (*text) {
        size_t size = strlen(text);
        if (size > letters) {
            size = letters;
            while (size > letters / 2 && text[size] != ' ') {
                size--;
            }
            if (text[size] != ' ') { /* no blank: between two characters */
                size = letters;
                while (size > 1 && ((unsigned char)text[size] & 0xC0) == 0x80) {
                    size--;
                }
            }
        }
        memcpy(line, text, size);
        line[size] = '\0';
        picture_text(page, x, y, "start", class, line);
        y += LINE;
        text += size;
        text += strspn(text, " ");
    }
    return y;
}

/* The same of a text that was put together, which is given up. */
static double flow_page(struct page *page, double y, struct page *words, double x, size_t letters)
{
    page->failed |= words->failed;
    y = flow(page, x, y, "small quiet", words->done.text ? words->done.text : "", letters);
    page_end(words);
    return y;
}

/* The lines of the ladder in words: the pattern, and the line as the book writes it. */
static double draw_key(const struct charting *at, double y)
{
    const struct stave_stretch *stretch = &at->chart->stretches[0];
    for (size_t i = 0; i < at->ladder->line_count; i++) {
        const struct stave_line *line = &at->ladder->lines[i];
        markup(at->page,
               "<rect x=\"%f\" y=\"%f\" width=\"20\" height=\"10\" stroke=\"" INK_BLACK
               "\" fill=\"url(#",
               LEFT, y - 8.5);
        ink_fill(at->page, at->book, line->outcome);
        page_raw(at->page, ")\"/>\n");
        y = flow(at->page, LEFT + 27, y, "small", line->text, LETTERS - 6);
        if (i < stretch->band_count && !is_drawn(stretch, i)) {
            y = flow(at->page, LEFT + 27, y, "small quiet",
                     "not drawn: it bounds other things than this measure", LETTERS - 6);
        } else if (i < stretch->band_count && stretch->bands[i].asks[0]) {
            struct page words;
            page_begin(&words, 0, false);
            page_raw(&words, "and also: ");
            page_raw(&words, stretch->bands[i].asks);
            y = flow_page(at->page, y, &words, LEFT + 27, LETTERS - 6);
        }
        y += 2;
    }
    return y;
}

static double draw_corner(const struct charting *at, double y)
{
    const struct stave_book_facts *book = at->book;
    struct page words;
    page_begin(&words, 0, false);
    page_raw(&words, "Book ");
    page_raw(&words, book->id);
    page_raw(&words, book->model[0] ? ", model " : "");
    page_raw(&words, book->model);
    page_raw(&words, ", edition ");
    page_raw(&words, book->edition);
    page_raw(&words, book->dated[0] ? " dated " : "");
    page_raw(&words, book->dated);
    page_raw(&words, at->ladder->source[0] ? "; per " : "");
    page_raw(&words, at->ladder->source);
    y = flow_page(at->page, y + 4, &words, LEFT, LETTERS);
    y = flow(at->page, LEFT, y, "small quiet",
             "The best that the measure allows by the lines that bound it; every other condition "
             "still has to hold. An aid: the approved data govern.",
             LETTERS);
    if (at->left_out > 0) {
        char more[80];
        snprintf(more, sizeof more, "%zu more finding%s had no room here.", at->left_out,
                 at->left_out == 1 ? "" : "s");
        y = flow(at->page, LEFT, y, "small strong", more, LETTERS);
    }
    return y;
}

static void write_title(struct page *title, const struct charting *at)
{
    page_begin(title, 0, false);
    page_raw(title, at->ladder->head);
    page_raw(title, ": ");
    page_raw(title, at->chart->name);
    if (!at->by_columns) {
        page_raw(title, " against ");
        page_raw(title, at->part->axes[at->chart->axis].name);
    }
}

void picture_chart(struct page *page, const struct picture *picture, uint32_t which)
{
    const stave_outline *outline = picture->outline;
    const struct stave_chart *chart = &outline->charts[which];
    struct page body;
    page_begin(&body, 0, false);
    struct charting at = {
        .page = &body,
        .picture = picture,
        .chart = chart,
        .ladder = &outline->ladders[chart->ladder],
        .part = &outline->parts[chart->part],
        .book = outline->book,
    };
    struct page title;
    ++*picture->number; /* as picture_begin will: the body names its clip by it */
    set_scales(&at);
    draw_stretches(&at);
    draw_axes(&at);
    double below = at.by_columns ? 14 : chart->other_axis_unit[0] ? SECOND_AXIS + 30 : 30;
    double y = draw_zones(&at, TOP + TALL + below);
    draw_names(&at);
    charting_findings(&at);
    y = draw_corner(&at, draw_key(&at, y + 8));
    --*picture->number;
    write_title(&title, &at);
    const char *words = title.done.text ? title.done.text : "";
    picture_begin(
        page, picture, WIDTH, y, words,
        "The outcomes as filled bands; the lines of the limit stand under them in words.");
    flow(page, 8, flow(page, 8, 16, "strong", words, 80), "small quiet", chart->how, LETTERS + 2);
    page_raw(page, body.done.text ? body.done.text : "");
    page->failed |= body.failed || title.failed;
    page_end(&body);
    page_end(&title);
    picture_end(page);
}
