/* The walk-round sheet: what to look at in which order, what to measure, and room to write. */
#include <stdio.h>
#include <string.h>

#include "show/html.h"
#include "show/show.h"

/* Boxes beside a check; for more of a part than these there is one wide box. */
#define MOST_BOXES 8u
#define FINDING_ROWS 10

struct walk {
    struct page *page;
    const stave_outline *outline;
};

static bool is_on(const struct stave_kind *kind, uint32_t part)
{
    for (size_t i = 0; i < kind->part_count; i++) {
        if (kind->parts[i] == part) {
            return true;
        }
    }
    return false;
}

static unsigned boxes_of(const struct stave_part *part)
{
    return part->counted && part->most <= MOST_BOXES ? part->most : 1;
}

/* ---- the head -------------------------------------------------------------------------- */

/* The cautions of the book and of its kinds, each once. */
static void write_cautions(const struct walk *walk)
{
    const stave_outline *outline = walk->outline;
    struct page *page = walk->page;
    page_raw(page, "<ul class=\"cautions\">\n");
    for (size_t i = 0; i < outline->library_caution_count; i++) {
        markup(page, "<li><strong>%s</strong></li>\n", outline->library_cautions[i]);
    }
    for (size_t i = 0; i < outline->book->caution_count; i++) {
        markup(page, "<li><strong><bdi>%s</bdi></strong></li>\n", outline->book->cautions[i]);
    }
    for (size_t k = 0; k < outline->kind_count; k++) {
        for (size_t i = 0; i < outline->kinds[k].caution_count; i++) {
            const char *caution = outline->kinds[k].cautions[i];
            bool known = false;
            for (size_t e = 0; e <= k && !known; e++) {
                size_t most = e < k ? outline->kinds[e].caution_count : i;
                for (size_t j = 0; j < most; j++) {
                    known |= strcmp(outline->kinds[e].cautions[j], caution) == 0;
                }
            }
            if (!known) {
                markup(page, "<li><strong><bdi>%s</bdi></strong></li>\n", caution);
            }
        }
    }
    page_raw(page, "</ul>\n");
}

static void write_fields(const struct walk *walk)
{
    static const char *const fields[] = {"Propeller, serial", "Model",       "Aircraft",
                                         "Hours in service",  "Cycles",      "Date",
                                         "Inspected by",      "Licence no.", "Signature"};
    page_raw(walk->page, "<div class=\"fields\">\n");
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        markup(walk->page, "<div>%s</div>\n", fields[i]);
    }
    for (size_t i = 0; i < walk->outline->part_count; i++) {
        const struct stave_part *part = &walk->outline->parts[i];
        if (part->counted && !part->one_on_each[0]) {
            markup(walk->page, "<div>How many: %s (%u to %u)</div>\n", part->name, part->least,
                   part->most);
        }
    }
    page_raw(walk->page, "</div>\n");
}

/* ---- what to measure ---------------------------------------------------------------------- */

/* What reads to such a step, for one who packs a bag. */
static const char *tool_for(const struct stave_quality *quality)
{
    const char *unit = quality->from.unit;
    double step = quality->step_size.exact[0] ? ink_value(&quality->step_size) : 0;
    const char *step_unit = quality->step_size.unit;
    double size = strcmp(step_unit, "in") == 0     ? 25.4
                  : strcmp(step_unit, "thou") == 0 ? 0.0254
                  : strcmp(step_unit, "cm") == 0   ? 10
                                                   : 1;
    bool length = strcmp(unit, "in") == 0 || strcmp(unit, "mm") == 0 || strcmp(unit, "thou") == 0;
    bool area = strcmp(unit, "in2") == 0 || strcmp(unit, "mm2") == 0 || strcmp(unit, "cm2") == 0;
    if (length && step > 0) {
        return step * size < 0.06  ? "a depth gauge or micrometer"
               : step * size < 0.6 ? "a calliper or a steel rule"
                                   : "a steel rule or a tape";
    }
    return area                              ? "a rule, or a clear grid laid over it"
           : strcmp(unit, "deg") == 0        ? "a protractor or an angle gauge"
           : strcmp(unit, "N\302\267m") == 0 ? "a torque wrench"
                                             : "";
}

static bool is_recorded(const stave_outline *outline, uint32_t quality)
{
    for (size_t k = 0; k < outline->kind_count; k++) {
        for (size_t r = 0; r < outline->kinds[k].record_count; r++) {
            if (outline->kinds[k].records[r].quality == quality) {
                return true;
            }
        }
    }
    return false;
}

static void write_values(struct page *page, const struct stave_quality *quality)
{
    for (size_t i = 0; i < quality->value_count; i++) {
        markup(page, "%s%s", i ? " / " : "", quality->values[i]);
    }
}

static void write_quality(struct page *page, const struct stave_quality *quality)
{
    markup(page, "<li><strong>%s</strong>", quality->name);
    if (quality->measured) {
        const char *tool = tool_for(quality);
        markup(page, " in %s%s%s", quality->from.unit[0] ? quality->from.unit : "whole numbers",
               quality->how[0] ? ": " : "", quality->how);
        markup(page, "%s%s", tool[0] ? "; for example with " : "", tool);
    } else {
        page_raw(page, ": ");
        write_values(page, quality);
        markup(page, "%s%s%s", quality->how[0] ? " (" : "", quality->how,
               quality->how[0] ? ")" : "");
    }
    page_raw(page, "</li>\n");
}

static void write_measures(const struct walk *walk)
{
    struct page *page = walk->page;
    html_heading(page, "measures", "What to record, and how finely");
    page_raw(page, "<ul class=\"close\">\n");
    for (size_t p = 0; p < walk->outline->part_count; p++) {
        const struct stave_part *part = &walk->outline->parts[p];
        for (size_t a = 0; a < part->axis_count; a++) {
            const struct stave_axis *axis = &part->axes[a];
            markup(page, "<li><strong>%s</strong> of %s in %s, %s to %s%s%s%s%s</li>\n", axis->name,
                   part->name, axis->from.unit, axis->from.decimal, axis->to.decimal,
                   axis->help[0] ? ": " : "", axis->help, axis->step[0] ? "; " : "", axis->step);
        }
    }
    for (uint32_t i = 0; i < walk->outline->quality_count; i++) {
        if (is_recorded(walk->outline, i)) {
            write_quality(page, &walk->outline->qualities[i]);
        }
    }
    page_raw(page, "</ul>\n<p>Write doubt as it is: 0.018 +/- 0.002 in, 30 .. 32 in, not "
                   "measured. What is not written never counts as good.</p>\n");
}

/* ---- the walk -------------------------------------------------------------------------------- */

static void write_boxes(const struct walk *walk, const struct stave_part *part)
{
    for (unsigned n = 1; n <= boxes_of(part); n++) {
        if (boxes_of(part) > 1) {
            markup(walk->page, "<span class=\"tick\"></span>%u", n);
        } else {
            page_raw(walk->page, "<span class=\"tick\"></span>");
        }
    }
}

static void write_texts(struct page *page, const char *const *texts, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        markup(page, "%s<bdi>%s</bdi>", i ? "; " : "", texts[i]);
    }
}

static bool same_texts(const char *const *a, size_t a_count, const char *const *b, size_t b_count)
{
    bool same = a_count == b_count;
    for (size_t i = 0; same && i < a_count; i++) {
        same = strcmp(a[i], b[i]) == 0;
    }
    return same;
}

/* Told in one line: they look alike and record the same. */
static bool is_alike(const struct stave_kind *a, const struct stave_kind *b)
{
    bool same = !a->check && !b->check && a->record_count == b->record_count &&
                same_texts(a->looks, a->look_count, b->looks, b->look_count);
    for (size_t r = 0; same && r < a->record_count; r++) {
        same = a->records[r].quality == b->records[r].quality;
    }
    return same;
}

static void write_kind(const struct walk *walk, uint32_t part, size_t which)
{
    const stave_outline *outline = walk->outline;
    const struct stave_kind *kind = &outline->kinds[which];
    struct page *page = walk->page;
    markup(page, "<li><strong>%s</strong>", kind->name);
    for (size_t k = which + 1; k < outline->kind_count; k++) {
        if (is_on(&outline->kinds[k], part) && is_alike(kind, &outline->kinds[k])) {
            markup(page, ", <strong>%s</strong>", outline->kinds[k].name);
        }
    }
    page_raw(page, ": ");
    write_texts(page, kind->looks, kind->look_count);
    page_raw(page, kind->look_count ? ". Record " : "record ");
    page_raw(page, kind->record_count ? "" : "where it is");
    for (size_t r = 0; r < kind->record_count; r++) {
        markup(page, "%s%s", r ? ", " : "", outline->qualities[kind->records[r].quality].name);
    }
    page_raw(page, "</li>\n");
}

static void write_kinds(const struct walk *walk, uint32_t part)
{
    const stave_outline *outline = walk->outline;
    bool any = false;
    for (size_t k = 0; k < outline->kind_count; k++) {
        bool told = outline->kinds[k].check || !is_on(&outline->kinds[k], part);
        for (size_t e = 0; e < k && !told; e++) {
            told =
                is_on(&outline->kinds[e], part) && is_alike(&outline->kinds[e], &outline->kinds[k]);
        }
        if (told) {
            continue;
        }
        page_raw(walk->page,
                 any ? "" : "<p><strong>Look for:</strong></p>\n<ul class=\"close\">\n");
        any = true;
        write_kind(walk, part, k);
    }
    page_raw(walk->page, any ? "</ul>\n" : "");
}

static void write_check(const struct walk *walk, const struct stave_part *part,
                        const struct stave_kind *check)
{
    struct page *page = walk->page;
    markup(page, "<tr><th scope=\"row\">%s</th><td>", check->name);
    write_texts(page, check->looks, check->look_count);
    page_raw(page, "</td><td>");
    for (size_t r = 0; r < check->record_count; r++) {
        const struct stave_quality *quality = &walk->outline->qualities[check->records[r].quality];
        markup(page, "%s%s", r ? ", " : "", quality->name);
        if (quality->measured) {
            markup(page, " in %s", quality->from.unit);
        } else {
            page_raw(page, ": ");
            write_values(page, quality);
        }
    }
    page_raw(page, "</td>");
    for (unsigned n = 1; n <= boxes_of(part); n++) {
        page_raw(page, "<td class=\"box\">");
        if (boxes_of(part) > 1) {
            markup(page, "%u", n);
        }
        page_raw(page, "</td>");
    }
    page_raw(page, "</tr>\n");
}

static void write_checks(const struct walk *walk, uint32_t which)
{
    const stave_outline *outline = walk->outline;
    const struct stave_part *part = &outline->parts[which];
    struct page *page = walk->page;
    bool any = false;
    for (size_t k = 0; k < outline->kind_count; k++) {
        if (!outline->kinds[k].check || !is_on(&outline->kinds[k], which)) {
            continue;
        }
        if (!any) {
            markup(
                page,
                "<div class=\"wide\"><table><thead><tr><th scope=\"col\">Check</th>"
                "<th scope=\"col\">Do</th><th scope=\"col\">Answer</th>"
                "<th class=\"part\" scope=\"colgroup\" colspan=\"%u\">%s</th></tr></thead>\n<tbody>\n",
                boxes_of(part), part->name);
            any = true;
        }
        write_check(walk, part, &outline->kinds[k]);
    }
    page_raw(page, any ? "</tbody></table></div>\n" : "");
}

static void write_part(const struct walk *walk, uint32_t which)
{
    const struct stave_part *part = &walk->outline->parts[which];
    struct page *page = walk->page;
    char name[32];
    snprintf(name, sizeof name, "part-%u", (unsigned)which + 1);
    html_heading(page, name, part->name);
    page_raw(page, "<p>");
    if (part->where_fitted) {
        page_raw(page, "Fitted:");
        write_boxes(walk, part);
        page_raw(page, "&#160; ");
    }
    if (part->search) {
        markup(page, "<strong>Search:</strong> <bdi>%s</bdi>. Done:", part->search);
        write_boxes(walk, part);
    }
    page_raw(page, "</p>\n");
    write_kinds(walk, which);
    write_checks(walk, which);
}

static void write_findings(const struct walk *walk)
{
    struct page *page = walk->page;
    html_heading(page, "findings", "Findings");
    page_raw(page, "<table class=\"blank\"><thead><tr><th scope=\"col\">Id</th>"
                   "<th scope=\"col\">Part and number</th><th scope=\"col\">Kind</th>"
                   "<th scope=\"col\">Where: along, across, side or place</th>"
                   "<th scope=\"col\">Readings with units</th><th scope=\"col\">Remark</th></tr>"
                   "</thead>\n<tbody>\n");
    for (int i = 1; i <= FINDING_ROWS; i++) {
        markup(page, "<tr><td>F%d</td><td></td><td></td><td></td><td></td><td></td></tr>\n", i);
    }
    page_raw(page, "</tbody></table>\n");
}

void show_sheet(struct page *page, const stave_outline *outline)
{
    struct walk walk = {.page = page, .outline = outline};
    html_begin(page, "Walk-round sheet");
    markup(page,
           "<main class=\"sheet\">\n<h1>Walk-round of a propeller: <bdi>%s</bdi>%s<bdi>%s</bdi>, "
           "edition <bdi>%s</bdi></h1>\n",
           outline->book->id, outline->book->model[0] ? ", model " : "", outline->book->model,
           outline->book->edition);
    if (outline->book->where[0]) {
        markup(page, "<p>For propellers where <strong>%s</strong>.</p>\n", outline->book->where);
    }
    write_cautions(&walk);
    write_fields(&walk);
    for (uint32_t i = 0; i < outline->part_count; i++) {
        write_part(&walk, i);
    }
    write_findings(&walk);
    write_measures(&walk);
    html_heading(page, "rests-on", "What this rests on");
    html_rests_on(page, outline->book, outline->book->texts, outline->book->text_count);
    page_raw(page, "</main>\n");
    html_end(page);
}
