/* One finding, check or search on a report: its outcome, and why. */
#include <string.h>

#include "show/html.h"
#include "show/report.h"
#include "show/show.h"

/* ---- as read ------------------------------------------------------------------------------- */

static void write_figure(struct page *page, const struct stave_figure *figure, const char *name)
{
    markup(page, "<data class=\"%s\" value=\"%s\">%s</data>", name, figure->exact, figure->decimal);
}

static void write_rounded(struct page *page, bool rounded, const char *exact)
{
    if (rounded) {
        markup(page, strlen(exact) <= 24 ? " (rounded from %s)" : " (rounded)", exact);
    }
}

/* "0.016 .. 0.02 in": one figure where both are the same, which is then the upper one's. */
static void write_between(struct page *page, const struct stave_figure *low,
                          const struct stave_figure *high)
{
    bool same = strcmp(low->exact, high->exact) == 0;
    if (!same) {
        write_figure(page, low, "low");
        page_raw(page, " .. ");
    }
    write_figure(page, high, same ? "low" : "high");
    markup(page, "%s%s", high->unit[0] ? " " : "", high->unit);
    if (same) {
        write_rounded(page, high->rounded, high->exact);
    } else if (low->rounded || high->rounded) {
        page_raw(page, " (rounded)");
    }
}

static void write_extent(struct page *page, const struct stave_extent *extent)
{
    markup(page, "<li data-axis=\"%s\">%s ", extent->axis, extent->axis);
    if (!extent->given) {
        page_raw(page, "not given: anywhere in ");
        write_between(page, &extent->start_low, &extent->end_high);
    } else if (extent->point) {
        page_raw(page, strcmp(extent->start_low.exact, extent->start_high.exact) == 0
                           ? ""
                           : "one place in ");
        write_between(page, &extent->start_low, &extent->start_high);
    } else if (strcmp(extent->start_low.exact, extent->start_high.exact) == 0 &&
               strcmp(extent->end_low.exact, extent->end_high.exact) == 0) {
        write_between(page, &extent->start_low, &extent->end_high);
    } else {
        page_raw(page, "from ");
        write_between(page, &extent->start_low, &extent->start_high);
        page_raw(page, " to ");
        write_between(page, &extent->end_low, &extent->end_high);
    }
    page_raw(page, "</li>\n");
}

static void write_reading(struct page *page, const struct stave_reading *reading)
{
    markup(page, "<li data-reading=\"%s\">%s ", reading->name, reading->name);
    if (reading->measured && !reading->given) {
        page_raw(page, "not given: anything in ");
    }
    if (reading->measured) {
        write_between(page, &reading->low, &reading->high);
    } else {
        markup(page, "%s", reading->shown);
    }
    page_raw(page, "</li>\n");
}

void report_as_read(struct page *page, const struct stave_item *item)
{
    page_raw(page, "<ul>\n");
    for (size_t i = 0; i < item->extent_count; i++) {
        write_extent(page, &item->extents[i]);
    }
    if (item->side_count + item->place_count > 0) {
        page_raw(page, "<li>");
        for (size_t i = 0; i < item->side_count; i++) {
            const struct stave_on_side *side = &item->sides[i];
            markup(page, "%s%s%s%s", i ? "; " : "", side->certain ? "on " : "may be on ",
                   side->side, side->at_meeting ? " where the sides meet" : "");
        }
        for (size_t i = 0; i < item->place_count; i++) {
            markup(page, "%s%s", i ? " or " : "at ", item->places[i]);
        }
        page_raw(page, "</li>\n");
    }
    for (size_t i = 0; i < item->reading_count; i++) {
        write_reading(page, &item->readings[i]);
    }
    page_raw(page, "</ul>\n");
}

/* ---- why ------------------------------------------------------------------------------------ */

static void write_comparison(struct page *page, const struct stave_comparison *comparison,
                             const char *between)
{
    if (!comparison->name[0]) { /* "any length" compares nothing */
        markup(page, "<p>%s</p>\n", comparison->condition);
        return;
    }
    bool words = strcmp(comparison->relation, "is") == 0;
    markup(page, "<p>%s <data class=\"reading\" value=\"%s\">%s</data>", comparison->name,
           comparison->reading_exact, comparison->reading);
    write_rounded(page, comparison->reading_rounded, comparison->reading_exact);
    markup(page, "; %s %s%s<data class=\"limit\" value=\"%s\">%s</data>", between,
           words ? "" : comparison->relation, words ? "" : " ", comparison->limit_exact,
           comparison->limit);
    write_rounded(page, comparison->limit_rounded, comparison->limit_exact);
    if (comparison->where[0]) {
        markup(page, " at %s", comparison->where);
    }
    if (comparison->company[0]) {
        markup(page, " (%s)", comparison->company);
    }
    if (comparison->limit_exact[0]) {
        markup(page, " <span class=\"quiet\">by: %s</span>", comparison->condition);
    }
    page_raw(page, "</p>\n");
}

static void write_cited(struct page *page, const struct stave_reason *reason)
{
    if (reason->source[0]) {
        markup(page, ", per <bdi>%s</bdi>", reason->source);
    }
    if (reason->line > 0) {
        markup(page, " <span class=\"quiet\">(<bdi>%s</bdi>, line %u)</span>", reason->text_name,
               reason->line);
    }
}

static void write_reason(struct page *page, const stave_verdict *verdict,
                         const struct stave_reason *reason)
{
    html_row(page, "Decided by");
    markup(page, "<p><strong>%s</strong></p>\n<p>%s",
           reason->line_text[0] ? reason->line_text : "no line: none of them holds", reason->limit);
    write_cited(page, reason);
    page_raw(page, "</p></dd>\n");
    if (reason->kept_from_count > 0) {
        html_row(page, "Why no better");
        for (size_t i = 0; i < reason->kept_from_count; i++) {
            write_comparison(page, &reason->kept_from[i],
                             i == 0 ? "the better line asks" : "the line above it asks");
        }
        page_raw(page, "</dd>\n");
    }
    if (reason->held_count > 0 && verdict->book->scale[reason->outcome].flight) {
        html_row(page, "Within");
        for (size_t i = 0; i < reason->held_count; i++) {
            write_comparison(page, &reason->held[i], "allowed");
        }
        page_raw(page, "</dd>\n");
    }
    if (reason->action[0]) {
        html_row(page, "Do");
        markup(page, "<bdi>%s</bdi></dd>\n", reason->action);
    }
    if (reason->note[0]) {
        html_row(page, "Note");
        markup(page, "<bdi>%s</bdi></dd>\n", reason->note);
    }
}

static void write_other_reasons(struct page *page, const stave_verdict *verdict,
                                const struct stave_item *item)
{
    bool any = false;
    for (size_t i = 0; i < item->reason_count; i++) {
        const struct stave_reason *reason = &item->reasons[i];
        if (reason->governs) {
            continue;
        }
        if (!any) {
            html_row(page, "And also");
        }
        any = true;
        markup(page, "<p>%s in zone %s", verdict->book->scale[reason->outcome].name, reason->zone);
        write_cited(page, reason);
        page_raw(page, "</p>\n");
    }
    page_raw(page, any ? "</dd>\n" : "");
}

/* ---- the item -------------------------------------------------------------------------------- */

static void write_head(struct page *page, const stave_verdict *verdict,
                       const struct stave_item *item)
{
    const struct stave_outcome *outcome = &verdict->book->scale[item->outcome];
    if (item->id[0]) {
        markup(page, "<h3>%s: %s on %s</h3>\n", item->id, item->kind, item->part);
    } else {
        markup(page, "<h3>%s: %s</h3>\n", item->part, item->kind);
    }
    page_raw(page, "<p>");
    ink_outcome(page, verdict->book, item->outcome);
    const char *why = item->why_incomplete[0] ? item->why_incomplete
                      : item->why_overdue[0]  ? item->why_overdue
                                              : outcome->meaning;
    markup(page, "%s%s</p>\n", why[0] ? ": " : "", why);
    if (item->by_model[0]) {
        markup(page, "<p>Judged by model <bdi>%s</bdi>, which gives the worst of it", item->by_model);
        if (item->item == STAVE_FINDING) {
            markup(page, "; it is not in the pictures of limits, which are of model <bdi>%s</bdi>",
                   verdict->book->model);
        }
        page_raw(page, ".</p>\n");
    }
    if (item->why_incomplete[0] && item->why_overdue[0]) {
        markup(page, "<p><strong>Overdue:</strong> %s</p>\n", item->why_overdue);
    }
    if (item->possible_count > 1) {
        page_raw(page, "<p><strong>Not settled.</strong> Possible: ");
        for (size_t i = 0; i < item->possible_count; i++) {
            markup(page, "%s%s", i ? ", " : "", verdict->book->scale[item->possible[i]].name);
        }
        page_raw(page, ". The worst of them counts.</p>\n");
    }
}

static void write_needs(struct page *page, const struct stave_item *item)
{
    if (item->need_count == 0) {
        return;
    }
    html_row(page, "Take next");
    for (size_t i = 0; i < item->need_count; i++) {
        const struct stave_need *need = &item->needs[i];
        markup(page, "<p>%s%s%s%s</p>\n", need->name, need->how[0] ? ": " : "", need->how,
               need->settles ? "; settles it" : "");
    }
    page_raw(page, "</dd>\n");
}

static void write_growths(struct page *page, const stave_verdict *verdict,
                          const struct stave_item *item)
{
    for (size_t i = 0; i < item->growth_count; i++) {
        const struct stave_growth *growth = &item->growths[i];
        html_row(page, i == 0 ? "Grown" : "");
        if (growth->before) {
            markup(page, "<p>%s by <strong>%s</strong>, from %s before</p>", growth->name,
                   growth->grown, growth->before);
        }
        if (growth->first) {
            markup(page, "<p>%s by <strong>%s</strong> since first seen, from %s</p>", growth->name,
                   growth->grown_since_first, growth->first);
        }
        page_raw(page, "</dd>\n");
    }
    if (item->item == STAVE_FINDING && verdict->before_count && item->seen != STAVE_SEEN_BEFORE) {
        html_row(page, "Seen");
        page_raw(page, item->seen == STAVE_SEEN_NEW ? "new: not there at the inspection before"
                                                    : "in no earlier record that was given");
        page_raw(page, "</dd>\n");
    }
}

void report_item(struct page *page, const stave_verdict *verdict, const struct stave_item *item)
{
    markup(page, "<article class=\"item\" data-item=\"%s\" data-outcome=\"%s\">\n",
           item->id[0] ? item->id : item->kind, verdict->book->scale[item->outcome].name);
    write_head(page, verdict, item);
    if (item->text[0]) {
        markup(page, "<p class=\"typed\"><bdi>%s</bdi></p>\n", item->text);
    }
    page_raw(page, "<dl>\n");
    if (item->remark[0]) {
        html_row(page, "Remark");
        markup(page, "<bdi>%s</bdi></dd>\n", item->remark);
    }
    if (item->item == STAVE_FINDING && item->zone_count > 0) {
        html_row(page, item->zone_count == 1 ? "Zone" : "Zones");
        for (size_t i = 0; i < item->zone_count; i++) {
            markup(page, "%s%s", i ? ", " : "", item->zones[i]);
        }
        page_raw(page, "</dd>\n");
    }
    if (item->uncovered[0]) {
        html_row(page, "Not covered");
        markup(page, "%s</dd>\n", item->uncovered);
    }
    write_growths(page, verdict, item);
    for (size_t i = 0; i < item->reason_count; i++) {
        if (item->reasons[i].governs) {
            write_reason(page, verdict, &item->reasons[i]);
        }
    }
    write_other_reasons(page, verdict, item);
    write_needs(page, item);
    for (size_t i = 0; i < item->deadline_count; i++) {
        html_row(page, "When");
        html_deadline(page, &item->deadlines[i]);
        page_raw(page, "</dd>\n");
    }
    if (item->guarded_outcome >= 0 && (uint32_t)item->guarded_outcome != item->outcome) {
        html_row(page, "Guarded");
        page_raw(page, "judged as read, as the book says; over the whole of every +/- it is ");
        ink_outcome(page, verdict->book, (uint32_t)item->guarded_outcome);
        page_raw(page, "</dd>\n");
    }
    page_raw(page, "</dl>\n</article>\n");
}
