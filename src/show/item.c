/* One finding, check or search for a person: its outcome, and why. */
#include <stdio.h>
#include <string.h>

#include "show/show.h"

#define ROW_INDENT 4

uint32_t show_incomplete(const stave_verdict *verdict)
{
    return (uint32_t)verdict->book->scale_count - 1;
}

void show_outcome(struct page *page, const stave_verdict *verdict, uint32_t outcome)
{
    const struct stave_outcome *shown = &verdict->book->scale[outcome];
    if (outcome == show_incomplete(verdict)) {
        page_write(page, MARK_DOUBT "%s" MARK_PLAIN, shown->name);
    } else {
        page_write(page, "%c%s%s%c", shown->flight ? MARK_GOOD[0] : MARK_BAD[0], shown->name,
                   shown->flight ? "" : ", no flight", MARK_PLAIN[0]);
    }
}

void show_item_name(struct page *page, const struct stave_item *item)
{
    if (item->id[0]) {
        page_write(page, "%s (%s, %s)", item->id, item->kind, item->part);
    } else if (item->item == STAVE_MODEL) {
        page_write(page, "the model");
    } else if (item->item == STAVE_SEARCH) {
        page_write(page, "search of %s", item->part);
    } else {
        page_write(page, "%s on %s", item->kind, item->part);
    }
}

void show_deadline(struct page *page, const struct stave_deadline *deadline)
{
    page_write(page, "%s within %s", deadline->look_again ? "look again" : "act", deadline->within);
    if (deadline->set) {
        page_write(page, " (set %s)", deadline->set);
    }
    if (deadline->due) {
        page_write(page, ", that is by " MARK_STRONG "%s" MARK_PLAIN, deadline->due);
    }
    if (deadline->source[0]) {
        page_write(page, ", per \"%s\"", deadline->source);
    }
    show_due_state(page, deadline);
}

void show_due_state(struct page *page, const struct stave_deadline *deadline)
{
    const char *left = deadline->left ? deadline->left : "";
    switch (deadline->state) {
    case STAVE_DUE_SET:
        break;
    case STAVE_DUE_RUNNING:
        page_write(page, ": %s left", left);
        break;
    case STAVE_DUE_MET:
        page_write(page, ": done in time");
        break;
    case STAVE_DUE_LATE:
        page_write(page, ": done, " MARK_BAD "%s late" MARK_PLAIN, left);
        break;
    case STAVE_DUE_OVERDUE:
        page_write(page, ": " MARK_BAD "%s%s" MARK_PLAIN,
                   left[0] == '0' && left[1] == ' ' ? "due now" : "overdue by ",
                   left[0] == '0' && left[1] == ' ' ? "" : left);
        break;
    case STAVE_DUE_UNKNOWN:
        page_write(page, ": " MARK_DOUBT "whether it is due is not known" MARK_PLAIN
                         " without cycles in both records");
        break;
    }
}

bool show_item_is_quiet(const struct stave_item *item)
{
    for (size_t i = 0; i < item->reason_count; i++) {
        if (item->reasons[i].action[0]) {
            return false;
        }
    }
    return item->outcome == 0 && item->possible_count <= 1 && item->deadline_count == 0 &&
           item->guarded_outcome <= 0 && !item->uncovered[0] && !item->why_incomplete[0] &&
           !item->remark[0];
}

/* ---- the head ------------------------------------------------------------------- */

static void write_possible(struct page *page, const stave_verdict *verdict,
                           const struct stave_item *item)
{
    page_write(page, MARK_DOUBT "not settled:" MARK_PLAIN " ");
    for (size_t i = 0; i < item->possible_count; i++) {
        page_write(page, "%s%s",
                   i == 0                          ? ""
                   : i + 1 == item->possible_count ? " or "
                                                   : ", ",
                   verdict->book->scale[item->possible[i]].name);
    }
    page_write(page, " is possible; counts as ");
}

static void show_head(struct page *page, const stave_verdict *verdict,
                      const struct stave_item *item)
{
    const struct stave_outcome *outcome = &verdict->book->scale[item->outcome];
    page_write(page, MARK_STRONG);
    if (item->id[0]) {
        page_write(page, "%s" MARK_PLAIN "  ", item->id);
    } else {
        show_item_name(page, item);
        page_write(page, MARK_PLAIN "  ");
    }
    if (item->possible_count > 1) {
        write_possible(page, verdict, item);
    }
    show_outcome(page, verdict, item->outcome);
    if (item->why_incomplete[0]) {
        page_write(page, ": %s", item->why_incomplete);
    } else if (item->why_overdue[0]) {
        page_write(page, ": %s", item->why_overdue);
    } else if (outcome->meaning[0]) {
        page_write(page, ": %s", outcome->meaning);
    }
    page_flow(page, 0, ROW_INDENT);
    if (item->text[0]) {
        page_line(page, ROW_INDENT, ROW_INDENT + 4, "%s", item->text);
    }
}

/* ---- reasons ---------------------------------------------------------------------- */

/* The bound is a figure as it stands, "0.040 in": every word but a last one begins with a digit. */
static bool is_plain_bound(const char *bound)
{
    bool figure = true;
    for (const char *word = bound; *word; word += strspn(word, " ")) {
        if (!figure) {
            return false;
        }
        figure = *word >= '0' && *word <= '9';
        word += strcspn(word, " ");
    }
    return bound[0] >= '0' && bound[0] <= '9';
}

/* The condition says no more than name, relation and limit do. */
static bool is_plain(const struct stave_comparison *comparison)
{
    size_t name = strlen(comparison->name), relation = strlen(comparison->relation);
    const char *text = comparison->condition;
    return strncmp(text, comparison->name, name) == 0 && text[name] == ' ' &&
           strncmp(text + name + 1, comparison->relation, relation) == 0 &&
           text[name + 1 + relation] == ' ' && is_plain_bound(text + name + 2 + relation);
}

static void write_rounded(struct page *page, bool rounded, const char *exact)
{
    if (rounded) {
        page_write(page, strlen(exact) <= 24 ? " (rounded from %s)" : " (rounded)", exact);
    }
}

/* "depth 28 thou; the better line asks up to 27.5 thou at station 36 in" */
static void write_comparison(struct page *page, const struct stave_comparison *comparison,
                             const char *between)
{
    if (!comparison->name[0]) { /* "any length" compares nothing */
        page_write(page, "%s", comparison->condition);
        return;
    }
    const char *relation = comparison->relation;
    relation = strcmp(relation, "is") == 0       ? ""
               : strcmp(relation, "is not") == 0 ? "not"
                                                 : relation;
    page_write(page, "%s %s", comparison->name, comparison->reading);
    write_rounded(page, comparison->reading_rounded, comparison->reading_exact);
    page_write(page, "; %s ", between);
    page_write(page, "%s%s%s", relation, relation[0] ? " " : "", comparison->limit);
    write_rounded(page, comparison->limit_rounded, comparison->limit_exact);
    if (comparison->where[0]) {
        page_write(page, " at %s", comparison->where);
    }
    if (comparison->company[0]) {
        page_write(page, " (%s)", comparison->company);
    }
}

/* What kept it from each better line, the nearest first, with the book's words for a reckoned limit. */
static void show_kept_from(struct page *page, const struct stave_reason *reason)
{
    for (size_t i = 0; i < reason->kept_from_count; i++) {
        const struct stave_comparison *comparison = &reason->kept_from[i];
        write_comparison(page, comparison,
                         i == 0 ? "the better line asks" : "the line above it asks");
        if (comparison->limit_exact[0] && !is_plain(comparison)) {
            page_write(page, ": %s", comparison->condition);
        }
        page_row(page, ROW_INDENT, i == 0 ? "why no better" : "");
    }
}

static void show_held(struct page *page, const struct stave_reason *reason)
{
    for (size_t i = 0; i < reason->held_count; i++) {
        write_comparison(page, &reason->held[i], "allowed");
        page_row(page, ROW_INDENT, i == 0 ? "within" : "");
    }
}

static void write_cited(struct page *page, const struct stave_reason *reason)
{
    if (reason->line > 0) {
        page_write(page, "%s:%u", reason->text_name, reason->line);
    }
    if (reason->source[0]) {
        page_write(page, "%sper \"%s\"", reason->line > 0 ? ", " : "", reason->source);
    }
}

static void show_reason(struct page *page, const stave_verdict *verdict,
                        const struct stave_item *item, const struct stave_reason *reason)
{
    const struct stave_outcome *outcome = &verdict->book->scale[reason->outcome];
    page_write(page, "%s",
               reason->line_text[0] ? reason->line_text : "no line: none of them holds");
    page_row(page, ROW_INDENT, "decided by");
    page_write(page, "%s %s, ", item->item == STAVE_CHECK ? "check" : "limit", reason->limit);
    write_cited(page, reason);
    page_row(page, ROW_INDENT, "");
    show_kept_from(page, reason);
    if (outcome->flight) {
        show_held(page, reason);
    }
    if (reason->action[0]) {
        page_write(page, "%s", reason->action);
        page_row(page, ROW_INDENT, "do");
    }
    if (reason->note[0]) {
        page_write(page, "%s", reason->note);
        page_row(page, ROW_INDENT, "note");
    }
}

/* A ladder that was met too but does not give the item its outcome: one row. */
static void show_other_reason(struct page *page, const stave_verdict *verdict,
                              const struct stave_reason *reason, bool first)
{
    page_write(page, "%s in zone %s (", verdict->book->scale[reason->outcome].name, reason->zone);
    write_cited(page, reason);
    page_write(page, ")");
    page_row(page, ROW_INDENT, first ? "and also" : "");
}

static void show_reasons(struct page *page, const stave_verdict *verdict,
                         const struct stave_item *item)
{
    bool first = true;
    for (size_t i = 0; i < item->reason_count; i++) {
        if (item->reasons[i].governs) {
            show_reason(page, verdict, item, &item->reasons[i]);
        }
    }
    for (size_t i = 0; i < item->reason_count; i++) {
        if (!item->reasons[i].governs) {
            show_other_reason(page, verdict, &item->reasons[i], first);
            first = false;
        }
    }
}

/* ---- the item ----------------------------------------------------------------------- */

static void show_needs(struct page *page, const struct stave_item *item)
{
    bool settled = false;
    for (size_t i = 0; i < item->need_count; i++) {
        const struct stave_need *need = &item->needs[i];
        page_write(page, "%s%s%s%s", need->name, need->how[0] ? ": " : "", need->how,
                   need->settles ? "; settles it" : "");
        page_row(page, ROW_INDENT, i == 0 ? "take next" : "");
        settled |= need->settles;
    }
    if (item->need_count > 0 && !settled) {
        page_write(page, "%s",
                   item->need_count == 1 ? "this may leave it open"
                                         : "it may take all of these to settle it");
        page_row(page, ROW_INDENT, "");
    }
}

void show_growth(struct page *page, const struct stave_growth *growth)
{
    if (growth->before) {
        page_write(page, "%s by %s (%s before)", growth->name, growth->grown, growth->before);
    }
    if (growth->first) {
        page_write(page, "%s by %s since first seen (%s then)",
                   growth->before ? ";" : growth->name, growth->grown_since_first, growth->first);
    }
}

/* Only where there is an earlier record, or an earlier reading in the line. */
static void show_growths(struct page *page, const stave_verdict *verdict,
                         const struct stave_item *item)
{
    for (size_t i = 0; i < item->growth_count; i++) {
        show_growth(page, &item->growths[i]);
        page_row(page, ROW_INDENT, i == 0 ? "grown" : "");
    }
    if (item->item == STAVE_FINDING && verdict->before_count && item->seen != STAVE_SEEN_BEFORE) {
        page_write(page, "%s",
                   item->seen == STAVE_SEEN_NEW ? "new: not there at the inspection before"
                                                : "in no earlier record that was given");
        page_row(page, ROW_INDENT, "seen");
    }
}

void show_item(struct page *page, const stave_verdict *verdict, const struct stave_item *item)
{
    show_head(page, verdict, item);
    if (item->remark[0]) {
        page_write(page, "%s", item->remark);
        page_row(page, ROW_INDENT, "remark");
    }
    if (item->by_model[0]) {
        page_write(page, "model %s, which gives the worst of it", item->by_model);
        page_row(page, ROW_INDENT, "judged by");
    }
    if (item->why_incomplete[0] && item->why_overdue[0]) {
        page_write(page, "%s", item->why_overdue);
        page_row(page, ROW_INDENT, "overdue");
    }
    size_t zone_count =
        item->item == STAVE_CHECK ? 0 : item->zone_count; /* a check's is its part */
    for (size_t i = 0; i < zone_count; i++) {
        page_write(page, "%s%s", i == 0 ? "" : ", ", item->zones[i]);
    }
    if (zone_count > 0) {
        page_row(page, ROW_INDENT, zone_count == 1 ? "zone" : "zones");
    }
    if (item->uncovered[0]) {
        page_write(page, "%s", item->uncovered);
        page_row(page, ROW_INDENT, "not covered");
    }
    show_growths(page, verdict, item);
    show_reasons(page, verdict, item);
    show_needs(page, item);
    for (size_t i = 0; i < item->deadline_count; i++) {
        show_deadline(page, &item->deadlines[i]);
        page_row(page, ROW_INDENT, i == 0 ? "when" : "");
    }
    if (item->guarded_outcome >= 0 && (uint32_t)item->guarded_outcome != item->outcome) {
        page_write(page, "judged as read, as the book says; over the whole of every +/- it is ");
        show_outcome(page, verdict, (uint32_t)item->guarded_outcome);
        page_row(page, ROW_INDENT, "guarded");
    }
}
