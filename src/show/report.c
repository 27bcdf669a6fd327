/* The report of an inspection: one HTML page to read, print, sign and keep. */
#include <stdio.h>
#include <string.h>

#include "show/html.h"
#include "show/report.h"
#include "show/show.h"

/* ---- the answer -------------------------------------------------------------------------- */

static void write_scale_words(struct page *page, const stave_verdict *verdict)
{
    const struct stave_outcome *worst = &verdict->book->scale[verdict->outcome];
    const struct stave_outcome *best = &verdict->book->scale[verdict->best];
    if (verdict->outcome == show_incomplete(verdict)) {
        bool open = best->flight;
        markup(page,
               open ? "The inspection is incomplete; %s%s%s at best."
                    : "%s%s%s; and the inspection is incomplete.",
               best->name, best->meaning[0] && !open ? ": " : "", open ? "" : best->meaning);
    } else if (verdict->best != verdict->outcome) {
        markup(page, "%s at worst, %s at best.", worst->name, best->name);
    } else {
        markup(page, "%s%s%s.", worst->name, worst->meaning[0] ? ": " : "", worst->meaning);
    }
}

static void write_answer(struct page *page, const stave_verdict *verdict)
{
    static const char *const words[] = {"Yes", "No", "Not known yet"};
    static const char *const classes[] = {"yes", "no", "unknown"};
    markup(page,
           "<main>\n<h1>Inspection of propeller <bdi>%s</bdi></h1>\n"
           "<div class=\"answer %s\" data-flight=\"%s\">\n"
           "<p class=\"word\">May fly: %s</p>\n<p data-outcome=\"%s\">",
           verdict->propeller, classes[verdict->flight], classes[verdict->flight],
           words[verdict->flight], verdict->book->scale[verdict->outcome].name);
    write_scale_words(page, verdict);
    markup(page, "</p>\n<p>%s %s</p>\n</div>\n", verdict->cautions[0], verdict->cautions[1]);
}

static void write_field(struct page *page, const char *label, const char *value)
{
    if (value[0]) {
        html_row(page, label);
        markup(page, "<bdi>%s</bdi></dd>\n", value);
    }
}

static void write_who(struct page *page, const stave_verdict *verdict)
{
    page_raw(page, "<dl class=\"who\">\n");
    write_field(page, "Propeller", verdict->propeller);
    write_field(page, "Model", verdict->model);
    write_field(page, "Facts", verdict->facts);
    write_field(page, "Judged by model", verdict->book->model);
    write_field(page, "Model is open", verdict->model_open);
    write_field(page, "Aircraft", verdict->aircraft);
    write_field(page, "In service", verdict->hours);
    write_field(page, "Inspected", verdict->date);
    write_field(page, "By", verdict->inspector);
    html_row(page, "By the book");
    markup(page, "<bdi>%s</bdi>, edition <bdi>%s</bdi></dd>\n</dl>\n", verdict->book->id,
           verdict->book->edition);
}

static void write_list(struct page *page, const char *name, const char *heading,
                       const char *const *lines, size_t count)
{
    if (count == 0) {
        return;
    }
    html_heading(page, name, heading);
    page_raw(page, "<ul>\n");
    for (size_t i = 0; i < count; i++) {
        markup(page, "<li><bdi>%s</bdi></li>\n", lines[i]);
    }
    page_raw(page, "</ul>\n");
}

static void write_to_do(struct page *page, const stave_verdict *verdict)
{
    write_list(page, "to-do", "What to do", verdict->actions, verdict->action_count);
    if (verdict->deadline_count > 0) {
        html_heading(page, "deadlines", "By when");
        page_raw(page, "<ul>\n");
        for (size_t i = 0; i < verdict->deadline_count; i++) {
            page_raw(page, "<li>");
            html_deadline(page, &verdict->deadlines[i]);
            page_raw(page, "</li>\n");
        }
        page_raw(page, "</ul>\n");
    }
    if (verdict->need_count > 0) {
        html_heading(page, "needs", "What could still change the answer");
        page_raw(page, "<ul>\n");
        for (size_t i = 0; i < verdict->need_count; i++) {
            const struct stave_need *need = &verdict->needs[i];
            markup(page, "<li><bdi>%s</bdi>%s</li>\n", need->how[0] ? need->how : need->name,
                   need->settles ? "; settles it" : "");
        }
        page_raw(page, "</ul>\n");
    }
}

/* ---- maps ------------------------------------------------------------------------------------ */

static bool has_findings(const stave_verdict *verdict, const char *part, uint32_t *outline_part)
{
    for (size_t i = 0; i < verdict->item_count; i++) {
        const struct stave_item *item = &verdict->items[i];
        if (item->item == STAVE_FINDING && strcmp(item->part, part) == 0) {
            *outline_part = item->outline_part;
            return true;
        }
    }
    return false;
}

static void write_maps(struct page *page, const struct picture *picture)
{
    const stave_verdict *verdict = picture->verdict;
    bool any = false, all = true;
    for (size_t i = 0; i < verdict->part_count; i++) {
        uint32_t part;
        if (!has_findings(verdict, verdict->parts[i].part, &part)) {
            all = false;
            continue;
        }
        if (!any) {
            html_heading(page, "maps", "Where it is");
            html_legend(page, verdict->book, verdict->book->scale_count - 1);
            page_raw(page,
                     "<p class=\"quiet\">Filled: damaged for certain. Dashed: as far as it may "
                     "reach. A heavy frame and a black id: no flight. Each axis is drawn to its "
                     "own scale.</p>\n<div class=\"maps\">\n");
            any = true;
        }
        page_raw(page, "<figure>\n");
        picture_map(page, picture, part, verdict->parts[i].part);
        page_raw(page, "</figure>\n");
    }
    if (any) {
        page_raw(page, "</div>\n");
    }
    if (any && !all) {
        page_raw(page, "<p>No finding on: ");
        bool first = true;
        for (size_t i = 0; i < verdict->part_count; i++) {
            uint32_t part;
            if (!has_findings(verdict, verdict->parts[i].part, &part)) {
                markup(page, "%s%s", first ? "" : ", ", verdict->parts[i].part);
                first = false;
            }
        }
        page_raw(page, ".</p>\n");
    }
}

/* ---- findings ---------------------------------------------------------------------------------- */

static void write_findings(struct page *page, const stave_verdict *verdict)
{
    size_t count = 0;
    for (size_t i = 0; i < verdict->item_count; i++) {
        count += verdict->items[i].item == STAVE_FINDING;
    }
    char heading[48];
    snprintf(heading, sizeof heading, "Findings: %zu", count);
    html_heading(page, "findings", heading);
    for (size_t i = 0; i < verdict->item_count; i++) {
        if (verdict->items[i].item == STAVE_FINDING) {
            report_item(page, verdict, &verdict->items[i]);
        }
    }
}

static void write_answers(struct page *page, const stave_verdict *verdict,
                          enum stave_item_kind sort, const char *name, const char *heading)
{
    size_t count = 0;
    for (size_t i = 0; i < verdict->item_count; i++) {
        count += verdict->items[i].item == sort;
    }
    if (count == 0) {
        return;
    }
    html_heading(page, name, heading);
    page_raw(page, "<table><thead><tr><th scope=\"col\">Part</th><th scope=\"col\">");
    page_raw(page, sort == STAVE_CHECK ? "Check</th><th scope=\"col\">Answer</th>"
                                         "<th scope=\"col\">Outcome"
                                       : "Searched");
    page_raw(page, "</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < verdict->item_count; i++) {
        const struct stave_item *item = &verdict->items[i];
        if (item->item != sort) {
            continue;
        }
        markup(page, "<tr><td>%s</td><td>", item->part);
        if (sort == STAVE_CHECK) {
            markup(page, "%s</td><td>", item->kind);
            for (size_t r = 0; r < item->reading_count; r++) {
                markup(page, "%s%s %s", r ? ", " : "", item->readings[r].name,
                       item->readings[r].shown);
            }
            markup(page, "%s</td><td>", item->reading_count ? "" : "none");
        }
        if (item->why_incomplete[0]) {
            markup(page, "<strong>%s</strong>", item->why_incomplete);
        } else if (sort == STAVE_CHECK) {
            ink_outcome(page, verdict->book, item->outcome);
        } else {
            page_raw(page, "yes");
        }
        page_raw(page, "</td></tr>\n");
    }
    page_raw(page, "</tbody></table>\n");
    for (size_t i = 0; i < verdict->item_count; i++) {
        const struct stave_item *item = &verdict->items[i];
        if (item->item == sort && !show_item_is_quiet(item)) {
            report_item(page, verdict, item);
        }
    }
}

/* ---- what was before --------------------------------------------------------------------- */

static void write_before(struct page *page, const stave_verdict *verdict)
{
    if (verdict->before_count + verdict->repaired_count == 0) {
        return;
    }
    html_heading(page, "before", verdict->before_count ? "Since before" : "Repaired");
    page_raw(page, "<dl>\n");
    for (size_t i = 0; i < verdict->before_count; i++) {
        const struct stave_before *before = &verdict->before[i];
        html_row(page, i == 0 ? "Records" : "");
        markup(page, "%s at <bdi>%s</bdi>: <bdi>%s</bdi></dd>\n", before->date, before->hours,
               before->text_name);
    }
    for (size_t i = 0; i < verdict->repaired_count; i++) {
        const struct stave_repaired *repaired = &verdict->repaired[i];
        html_row(page, i == 0 ? "Repaired" : "");
        markup(page, "%s", repaired->text);
        if (repaired->part[0] && !strchr(repaired->text, ' ')) {
            markup(page, " (%s, %s)", repaired->kind, repaired->part);
        }
        markup(page, "%s<bdi>%s</bdi></dd>\n", repaired->remark[0] ? "; " : "", repaired->remark);
    }
    for (size_t i = 0; i < verdict->carried_count; i++) {
        const struct stave_carried *carried = &verdict->carried[i];
        html_row(page, i == 0 ? "Was set" : "");
        markup(page, carried->id[0] ? "%s: " : "%s ", carried->id[0] ? carried->id : carried->kind);
        if (!carried->id[0]) {
            markup(page, "on %s: ", carried->part);
        }
        html_deadline(page, &carried->deadline);
        page_raw(page, "</dd>\n");
    }
    page_raw(page, "</dl>\n");
    for (size_t i = 0; i < verdict->item_count; i++) {
        if (verdict->items[i].item == STAVE_EARLIER) {
            report_item(page, verdict, &verdict->items[i]);
        }
    }
}

static void write_parts(struct page *page, const stave_verdict *verdict)
{
    html_heading(page, "parts", "Parts");
    page_raw(page, "<table><thead><tr><th scope=\"col\">Part</th><th scope=\"col\">Outcome</th>"
                   "<th scope=\"col\">At best</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < verdict->part_count; i++) {
        markup(page, "<tr><td>%s</td><td>", verdict->parts[i].part);
        ink_outcome(page, verdict->book, verdict->parts[i].outcome);
        page_raw(page, "</td><td>");
        ink_outcome(page, verdict->book, verdict->parts[i].best);
        page_raw(page, "</td></tr>\n");
    }
    page_raw(page, "</tbody></table>\n");
}

/* ---- what was recorded, and who signs -------------------------------------------------------------- */

static void write_readings(struct page *page, const stave_verdict *verdict)
{
    html_heading(page, "readings", "Record of readings");
    page_raw(page, "<table><thead><tr><th scope=\"col\">Id</th><th scope=\"col\">As typed</th>"
                   "<th scope=\"col\">As read</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < verdict->item_count; i++) {
        const struct stave_item *item = &verdict->items[i];
        if (item->item != STAVE_FINDING) {
            continue;
        }
        markup(page, "<tr><td>%s</td><td><bdi>%s</bdi>", item->id, item->text);
        if (item->remark[0]) {
            markup(page, "<br/>Remark: <bdi>%s</bdi>", item->remark);
        }
        page_raw(page, "</td><td>");
        report_as_read(page, item);
        page_raw(page, "</td></tr>\n");
    }
    page_raw(page, "</tbody></table>\n");
}

static void write_signature(struct page *page)
{
    html_heading(page, "signature", "Decision of the licensed person");
    page_raw(page, "<div class=\"sign\">\n<div class=\"tall\">Decision and reason</div>\n"
                   "<div class=\"tall\">Work done, and by which approved data</div>\n"
                   "<div>Name</div>\n<div>Licence number</div>\n<div>Signature</div>\n"
                   "<div>Date and place</div>\n</div>\n");
}

void show_report(struct page *page, const stave_outline *outline, const stave_verdict *verdict)
{
    unsigned number = 0;
    struct picture picture = {.outline = outline, .verdict = verdict, .number = &number};
    html_begin(page, "Inspection of a propeller: report");
    write_answer(page, verdict);
    write_who(page, verdict);
    write_to_do(page, verdict);
    write_maps(page, &picture);
    write_findings(page, verdict);
    write_answers(page, verdict, STAVE_CHECK, "checks", "Checks");
    write_answers(page, verdict, STAVE_SEARCH, "searches", "Searches");
    write_before(page, verdict);
    if (verdict->part_count > 0) {
        write_parts(page, verdict);
    }
    html_heading(page, "cautions", "Cautions");
    html_cautions(page, verdict->cautions, verdict->caution_count);
    write_readings(page, verdict);
    html_heading(page, "rests-on", "What this rests on");
    html_rests_on(page, verdict->book, verdict->texts, verdict->text_count);
    write_signature(page);
    page_raw(page, "</main>\n");
    html_end(page);
}
