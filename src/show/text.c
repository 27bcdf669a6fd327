/* A verdict for a person: the answer first, then why, then what it rests on. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "show/show.h"

#define ROW_INDENT 4
/* Items named at the top; the rest is counted. */
#define NAMED_ITEMS 6

static void show_heading(struct page *page, const char *heading)
{
    page_blank(page);
    page_line(page, 0, 4, MARK_STRONG "%s" MARK_PLAIN, heading);
}

static bool is_settled(const stave_verdict *verdict)
{
    return verdict->best == verdict->outcome;
}

/* ---- the answer -------------------------------------------------------------------- */

static void show_answer(struct page *page, const stave_verdict *verdict)
{
    static const char *const words[] = {"YES", "NO", "NOT KNOWN YET"};
    static const char marks[] = {MARK_GOOD[0], MARK_BAD[0], MARK_DOUBT[0]};
    const struct stave_outcome *worst = &verdict->book->scale[verdict->outcome];
    page_write(page, MARK_STRONG "%s: " MARK_PLAIN "%c%s" MARK_PLAIN "   ",
               verdict->single ? "MAY FLY, BY THIS FINDING ALONE" : "MAY FLY",
               marks[verdict->flight], words[verdict->flight]);
    const struct stave_outcome *best = &verdict->book->scale[verdict->best];
    if (verdict->outcome == show_incomplete(verdict)) {
        page_write(page, best->flight ? "incomplete; %s at best" : "%s%s%s; and incomplete",
                   best->name, best->meaning[0] ? ": " : "", best->meaning);
    } else if (!is_settled(verdict)) {
        page_write(page, "%s at worst, %s at best", worst->name, best->name);
    } else {
        page_write(page, "%s%s%s", worst->name, worst->meaning[0] ? ": " : "", worst->meaning);
    }
    page_flow(page, 0, 4);
}

static void show_named(struct page *page, const stave_verdict *verdict, const char *label,
                       bool (*chosen)(const stave_verdict *, const struct stave_item *))
{
    size_t count = 0;
    for (size_t i = 0; i < verdict->item_count; i++) {
        if (chosen(verdict, &verdict->items[i]) && ++count <= NAMED_ITEMS) {
            page_write(page, count == 1 ? "" : "; ");
            show_item_name(page, &verdict->items[i]);
        }
    }
    if (count > NAMED_ITEMS) {
        page_write(page, "; and %zu more below", count - NAMED_ITEMS);
    }
    if (count > 0) {
        page_row(page, ROW_INDENT, label);
    }
}

static bool governs(const stave_verdict *verdict, const struct stave_item *item)
{
    return item->outcome == verdict->outcome && item->outcome > 0;
}

/* Grounds the propeller whatever else comes of the inspection. */
static bool surely_grounds(const stave_verdict *verdict, const struct stave_item *item)
{
    return verdict->outcome == show_incomplete(verdict) && item->outcome != verdict->outcome &&
           item->possible_count > 0 && !verdict->book->scale[item->possible[0]].flight;
}

static bool ends_with(const char *text, const char *end)
{
    size_t size = strlen(text), end_size = strlen(end);
    return size >= end_size && strcmp(text + size - end_size, end) == 0;
}

/* The need is that something be answered at all, which the actions say already. */
static bool is_said(const stave_verdict *verdict, const struct stave_need *need)
{
    for (size_t i = 0; i < verdict->item_count; i++) {
        const struct stave_item *item = &verdict->items[i];
        const char *label = item->id[0] ? item->id : item->part;
        if (item->why_incomplete[0] && strcmp(need->name, item->kind) == 0 &&
            strncmp(need->how, label, strlen(label)) == 0 &&
            ends_with(need->how, item->why_incomplete)) {
            return true;
        }
    }
    return false;
}

static void show_needs(struct page *page, const stave_verdict *verdict)
{
    bool first = true;
    for (size_t i = 0; i < verdict->need_count; i++) {
        const struct stave_need *need = &verdict->needs[i];
        if (is_said(verdict, need)) {
            continue;
        }
        page_write(page, "%s%s", need->how[0] ? need->how : need->name,
                   need->settles ? "; settles it" : "");
        page_row(page, ROW_INDENT, first ? "take next" : "");
        first = false;
    }
}

static void show_who(struct page *page, const stave_verdict *verdict)
{
    page_write(page, "propeller %s, model %s", verdict->propeller, verdict->model);
    if (verdict->aircraft[0]) {
        page_write(page, ", on %s", verdict->aircraft);
    }
    if (verdict->hours[0]) {
        page_write(page, ", %s in service", verdict->hours);
    }
    page_row(page, ROW_INDENT, "for");
    if (verdict->facts[0]) {
        page_write(page, "%s", verdict->facts);
        page_row(page, ROW_INDENT, "facts");
    }
    page_write(page, "%s%s%s", verdict->date, verdict->inspector[0] ? ", " : "",
               verdict->inspector);
    page_row(page, ROW_INDENT, "inspected");
}

/* Of a family, by which model it was judged; and where that is open, why. */
static void show_model(struct page *page, const stave_verdict *verdict)
{
    if (verdict->book->model[0]) {
        page_write(page, "model %s of %s%s", verdict->book->model, verdict->book->id,
                   verdict->model_open[0] ? ", which gives the worst" : "");
        page_row(page, ROW_INDENT, "judged by");
    }
    if (verdict->model_open[0]) {
        page_write(page, MARK_DOUBT "%s" MARK_PLAIN, verdict->model_open);
        page_row(page, ROW_INDENT, "INCOMPLETE");
    }
}

static void show_top(struct page *page, const stave_verdict *verdict)
{
    show_answer(page, verdict);
    if (verdict->single && verdict->book->model[0]) {
        page_blank(page);
        show_model(page, verdict);
    }
    if (!verdict->single) {
        page_blank(page);
        show_who(page, verdict);
        show_model(page, verdict);
        show_named(page, verdict,
                   verdict->outcome == show_incomplete(verdict) ? "incomplete by" : "governed by",
                   governs);
        show_named(page, verdict, "grounded by", surely_grounds);
    }
    show_needs(page, verdict);
    for (size_t i = 0; i < verdict->action_count; i++) {
        page_write(page, "%s", verdict->actions[i]);
        page_row(page, ROW_INDENT, i == 0 ? "do" : "");
    }
    for (size_t i = 0; i < verdict->deadline_count; i++) {
        show_deadline(page, &verdict->deadlines[i]);
        page_row(page, ROW_INDENT, i == 0 ? "when" : "");
    }
}

/* ---- parts of the machine, compactly --------------------------------------------------- */

/* The size of a name before its instance number ("blade " of "blade 12"), and that number; 0
 * when it has none. */
static unsigned long instance_of(const char *part, size_t *stem)
{
    size_t size = strlen(part);
    while (size > 0 && part[size - 1] >= '0' && part[size - 1] <= '9') {
        size--;
    }
    *stem = size;
    bool numbered = size > 0 && part[size - 1] == ' ' && part[size] && strlen(part + size) < 9;
    return numbered ? strtoul(part + size, NULL, 10) : 0;
}

static bool follows(const char *before, const char *after, unsigned long steps)
{
    size_t stem_before, stem_after;
    unsigned long first = instance_of(before, &stem_before);
    unsigned long second = instance_of(after, &stem_after);
    return first > 0 && second == first + steps && stem_before == stem_after &&
           strncmp(before, after, stem_before) == 0;
}

/* Writes "blade 1 .. 4, spinner". */
static void write_parts(struct page *page, const struct stave_item *const *items, size_t count)
{
    for (size_t i = 0; i < count;) {
        size_t run = 1;
        while (i + run < count && follows(items[i]->part, items[i + run]->part, run)) {
            run++;
        }
        page_write(page, "%s%s", i == 0 ? "" : ", ", items[i]->part);
        if (run > 1) {
            size_t stem;
            instance_of(items[i + run - 1]->part, &stem);
            page_write(page, run == 2 ? ", %s" : " .. %s", items[i + run - 1]->part + stem);
        }
        i += run;
    }
}

static const char *note_of(const struct stave_item *item)
{
    return item->reason_count > 0 ? item->reasons[0].note : "";
}

static void write_notes(struct page *page, const struct stave_item *const *items, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        size_t before = 0;
        while (before < i && strcmp(note_of(items[before]), note_of(items[i])) != 0) {
            before++;
        }
        if (before == i && note_of(items[i])[0]) {
            page_write(page, "; %s", note_of(items[i]));
        }
    }
}

/* The checks of one kind (or the searches) that need no attention, as one row. */
static void show_quiet(struct page *page, const stave_verdict *verdict, size_t first,
                       const char *label)
{
    const struct stave_item *like = &verdict->items[first];
    const struct stave_item **quiet = calloc(verdict->item_count, sizeof *quiet);
    size_t count = 0;
    if (!quiet) {
        page->failed = true;
        return;
    }
    for (size_t i = first; i < verdict->item_count; i++) {
        const struct stave_item *item = &verdict->items[i];
        if (item->item == like->item && strcmp(item->kind, like->kind) == 0 &&
            show_item_is_quiet(item)) {
            quiet[count++] = item;
        }
    }
    if (count > 0) {
        write_parts(page, quiet, count);
        if (like->item == STAVE_CHECK) {
            page_write(page, ": %s", verdict->book->scale[0].name);
            write_notes(page, quiet, count);
        }
        page_row(page, ROW_INDENT, label);
    }
    free(quiet);
}

/* ---- findings, checks, searches ------------------------------------------------------------ */

static size_t count_of(const stave_verdict *verdict, enum stave_item_kind kind)
{
    size_t count = 0;
    for (size_t i = 0; i < verdict->item_count; i++) {
        count += verdict->items[i].item == kind;
    }
    return count;
}

static void show_findings(struct page *page, const stave_verdict *verdict)
{
    if (!verdict->single) {
        size_t count = count_of(verdict, STAVE_FINDING);
        page_blank(page);
        page_line(page, 0, 4,
                  count ? MARK_STRONG "FINDINGS: %zu" MARK_PLAIN
                        : MARK_STRONG "FINDINGS: none" MARK_PLAIN,
                  count);
    }
    for (size_t i = 0; i < verdict->item_count; i++) {
        if (verdict->items[i].item == STAVE_FINDING) {
            page_blank(page);
            show_item(page, verdict, &verdict->items[i]);
        }
    }
}

static bool is_first_of_kind(const stave_verdict *verdict, size_t at)
{
    for (size_t i = 0; i < at; i++) {
        if (verdict->items[i].item == STAVE_CHECK &&
            strcmp(verdict->items[i].kind, verdict->items[at].kind) == 0) {
            return false;
        }
    }
    return true;
}

/* Nothing was typed for it, so that there is no more to say than that. */
static bool is_unanswered(const struct stave_item *item)
{
    return item->why_incomplete[0] && item->reason_count == 0 && !item->text[0];
}

/* Checks or searches without an answer, as one row for each reason why. */
static void show_unanswered(struct page *page, const stave_verdict *verdict,
                            enum stave_item_kind kind)
{
    bool first = true;
    for (size_t i = 0; i < verdict->item_count; i++) {
        const struct stave_item *item = &verdict->items[i];
        if (item->item == kind && is_unanswered(item)) {
            page_write(page, MARK_DOUBT "%s:" MARK_PLAIN " ", item->why_incomplete);
            if (kind == STAVE_SEARCH) {
                page_write(page, "%s", item->part);
            } else {
                show_item_name(page, item);
            }
            page_row(page, ROW_INDENT, first ? "INCOMPLETE" : "");
            first = false;
        }
    }
}

static void show_checks(struct page *page, const stave_verdict *verdict)
{
    if (count_of(verdict, STAVE_CHECK) == 0) {
        return;
    }
    show_heading(page, "CHECKS");
    for (size_t i = 0; i < verdict->item_count; i++) {
        if (verdict->items[i].item == STAVE_CHECK && is_first_of_kind(verdict, i)) {
            show_quiet(page, verdict, i, verdict->items[i].kind);
        }
    }
    show_unanswered(page, verdict, STAVE_CHECK);
    for (size_t i = 0; i < verdict->item_count; i++) {
        const struct stave_item *item = &verdict->items[i];
        if (item->item == STAVE_CHECK && !show_item_is_quiet(item) && !is_unanswered(item)) {
            page_blank(page);
            show_item(page, verdict, item);
        }
    }
}

static void show_searches(struct page *page, const stave_verdict *verdict)
{
    size_t first = 0;
    if (count_of(verdict, STAVE_SEARCH) == 0) {
        return;
    }
    show_heading(page, "SEARCHES");
    while (verdict->items[first].item != STAVE_SEARCH) {
        first++;
    }
    show_quiet(page, verdict, first, "searched");
    show_unanswered(page, verdict, STAVE_SEARCH);
}

/* ---- what was before ---------------------------------------------------------------------- */

static void show_carried(struct page *page, const struct stave_carried *carried)
{
    if (carried->id[0]) {
        page_write(page, "%s: ", carried->id);
    } else {
        page_write(page, "%s on %s: ", carried->kind, carried->part);
    }
    show_deadline(page, &carried->deadline);
}

static void show_repaired(struct page *page, const struct stave_repaired *repaired)
{
    page_write(page, "%s", repaired->text);
    if (repaired->part[0] && !strchr(repaired->text, ' ')) {
        page_write(page, " (%s, %s)", repaired->kind, repaired->part);
    }
    page_write(page, "%s%s", repaired->remark[0] ? "; " : "", repaired->remark);
}

static void show_before(struct page *page, const stave_verdict *verdict)
{
    if (verdict->before_count + verdict->repaired_count == 0) {
        return;
    }
    show_heading(page, verdict->before_count ? "SINCE BEFORE" : "REPAIRED");
    for (size_t i = 0; i < verdict->before_count; i++) {
        const struct stave_before *before = &verdict->before[i];
        page_write(page, "%s at %s: %s", before->date, before->hours, before->text_name);
        page_row(page, ROW_INDENT, i == 0 ? "records" : "");
    }
    for (size_t i = 0; i < verdict->repaired_count; i++) {
        show_repaired(page, &verdict->repaired[i]);
        page_row(page, ROW_INDENT, i == 0 ? "repaired" : "");
    }
    for (size_t i = 0; i < verdict->carried_count; i++) {
        show_carried(page, &verdict->carried[i]);
        page_row(page, ROW_INDENT, i == 0 ? "was set" : "");
    }
    for (size_t i = 0; i < verdict->item_count; i++) {
        if (verdict->items[i].item == STAVE_EARLIER) {
            page_blank(page);
            show_item(page, verdict, &verdict->items[i]);
        }
    }
}

/* ---- the end ------------------------------------------------------------------------------- */

static void show_part(struct page *page, const stave_verdict *verdict, const char *part,
                      uint32_t outcome, uint32_t best)
{
    show_outcome(page, verdict, outcome);
    if (best != outcome) {
        page_write(page, " (%s at best)", verdict->book->scale[best].name);
    }
    page_row(page, ROW_INDENT, part);
}

static void show_parts(struct page *page, const stave_verdict *verdict)
{
    show_heading(page, "PARTS");
    for (size_t i = 0; i < verdict->part_count; i++) {
        const struct stave_part_verdict *part = &verdict->parts[i];
        show_part(page, verdict, part->part, part->outcome, part->best);
    }
    show_part(page, verdict, "propeller", verdict->outcome, verdict->best);
}

static void show_basis(struct page *page, const stave_verdict *verdict)
{
    const struct stave_book_facts *book = verdict->book;
    show_heading(page, "RESTS ON");
    page_write(page, "%s, edition %s", book->id, book->edition);
    if (book->dated[0]) {
        page_write(page, " dated %s", book->dated);
    }
    if (book->title[0]) {
        page_write(page, ": %s", book->title);
    }
    page_row(page, ROW_INDENT, "book");
    for (size_t i = 0; i < verdict->text_count; i++) {
        page_line(page, ROW_INDENT, ROW_INDENT + 4, "%s, SHA-256", verdict->texts[i].name);
        page_line(page, ROW_INDENT + 4, ROW_INDENT + 4, "%s", verdict->texts[i].sha256);
    }
    page_line(page, ROW_INDENT, ROW_INDENT + 4, "stave %s", stave_version());
}

static void show_cautions(struct page *page, const stave_verdict *verdict)
{
    show_heading(page, "CAUTIONS");
    if (verdict->single) {
        page_line(page, 2, 4,
                  "- One finding was judged alone: this says nothing of the rest of the "
                  "propeller, or of whether it was searched.");
    }
    for (size_t i = 0; i < verdict->caution_count; i++) {
        page_line(page, 2, 4, "- %s", verdict->cautions[i]);
    }
}

void show_verdict(struct page *page, const stave_verdict *verdict)
{
    show_top(page, verdict);
    show_findings(page, verdict);
    if (!verdict->single) {
        show_checks(page, verdict);
        show_searches(page, verdict);
        show_before(page, verdict);
        show_parts(page, verdict);
    }
    show_cautions(page, verdict);
    show_basis(page, verdict);
}
