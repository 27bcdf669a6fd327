/* Two books held against each other, for a person: the answer first, then what differs. */
#include <string.h>

#include "show/comparing.h"

static const char *const sides[2] = {"first", "second"};

/* ---- answers ---------------------------------------------------------------------------------- */

static void show_book(struct page *page, const struct stave_book_facts *book, const char *label)
{
    page_write(page, "%s %s%s%s, %s", book->id, book->edition, book->dated[0] ? ", " : "",
               book->dated, book->text_count > 0 ? book->texts[0].name : "");
    page_row(page, 4, label);
}

static void show_answer(struct page *page, const struct show_compared *compared)
{
    const stave_compared *answers = compared->answers;
    enum show_sameness sameness = show_sameness(answers);
    char mark = sameness == SHOW_SAME        ? MARK_GOOD[0]
                : sameness < SHOW_NOT_PROVED ? MARK_DOUBT[0]
                                             : MARK_BAD[0];
    page_line(page, 0, 2, "%c%s" MARK_PLAIN, mark, show_sameness_text(sameness));
    if (answers->looser + answers->stricter + answers->otherwise > 0) {
        page_write(page, "%zu looser, %zu stricter, %zu grounded by both with other deadlines",
                   answers->looser, answers->stricter, answers->otherwise);
        page_row(page, 4, "regions");
    }
    show_book(page, compared->books[0], sides[0]);
    show_book(page, compared->books[1], sides[1]);
    for (size_t i = 0; i < compared->renamed_count; i++) {
        page_write(page, "%s of the first is %s", compared->renamed[i].first,
                   compared->renamed[i].second);
        page_row(page, 4, i == 0 ? "taken" : "");
    }
    if (answers->reason[0]) {
        page_write(page, "%s", answers->reason);
        page_row(page, 4, "why");
    }
    if (answers->stopped) {
        page_write(page, "stopped: what was not reached is not proved");
        page_row(page, 4, "");
    }
}

static void show_unlike(struct page *page, const stave_compared *answers)
{
    for (size_t i = 0; i < answers->unlike_count; i++) {
        const struct stave_unlike *unlike = &answers->unlike[i];
        const char *const said[2] = {unlike->first, unlike->second};
        if (i == 0) {
            page_blank(page);
            page_line(page, 0, 2,
                      MARK_STRONG "declared otherwise" MARK_PLAIN " (what both have is compared)");
        }
        page_line(page, 2, 4, "%s%s", unlike->what,
                  !unlike->loosens    ? ""
                  : unlike->second[0] ? ": may be looser"
                                      : ": not judged any more");
        for (int side = 0; side < 2; side++) {
            page_write(page, "%s", said[side][0] ? said[side] : "not there");
            if (unlike->at[side].line > 0) {
                page_write(page, ", %s:%u", unlike->at[side].text_name, unlike->at[side].line);
            }
            page_row(page, 4, sides[side]);
        }
    }
}

static void show_contrast(struct page *page, const struct stave_contrast *contrast)
{
    static const char *const directions[] = {"stricter", "looser", "otherwise"};
    page_line(page, 2, 4, "%c%s:" MARK_PLAIN " %s on %s%s",
              contrast->direction == STAVE_STRICTER ? MARK_DOUBT[0] : MARK_BAD[0],
              directions[contrast->direction], contrast->region.kinds, contrast->region.part,
              contrast->flight_changes ? ", and flight changes" : "");
    show_region(page, &contrast->region, STAVE_CLAIM_SAME, sides);
}

static void show_contrasts(struct page *page, const stave_compared *answers,
                           enum stave_direction direction, const char *head)
{
    bool some = false;
    for (size_t i = 0; i < answers->contrast_count; i++) {
        if (answers->contrasts[i].direction == direction) {
            if (!some) {
                page_blank(page);
                page_line(page, 0, 2, MARK_STRONG "%s" MARK_PLAIN, head);
            }
            some = true;
            show_contrast(page, &answers->contrasts[i]);
        }
    }
}

static void show_unproved(struct page *page, const stave_compared *answers)
{
    bool some = false;
    for (size_t i = 0; i < answers->claim_count; i++) {
        const struct stave_claim *claim = &answers->claims[i];
        if (claim->answer == STAVE_NOT_PROVED) {
            if (!some) {
                page_blank(page);
                page_line(page, 0, 2, MARK_STRONG "not proved" MARK_PLAIN);
            }
            some = true;
            page_line(page, 2, 4, "%s: %s", claim->subject, claim->reason);
        }
    }
}

/* ---- as it is written ------------------------------------------------------------------------ */

static void show_written(struct page *page, const struct stave_amendment *change, int side)
{
    if (change->line[side] > 0) {
        page_write(page, "%s", change->lines[side]);
        page_write(page, " (%s:%u)", change->text_names[side], change->line[side]);
        page_row(page, 4, sides[side]);
    }
}

static void show_amendment(struct page *page, const struct stave_amendment *change)
{
    static const char *const changes[] = {"added", "removed", "changed", "renamed"};
    const char *name = change->names[change->names[0][0] ? 0 : 1];
    bool within = change->change != STAVE_RENAMED && change->names[0][0] && change->names[1][0];
    page_write(page, "%s%s%s: ", change->sort, name[0] ? " " : "", name);
    page_write(page, "%s%s", within && change->change != STAVE_CHANGED ? "line " : "",
               change->figures_only ? "figure changed" : changes[change->change]);
    if (change->change == STAVE_RENAMED) {
        page_write(page, " to %s", change->names[1]);
    }
    page_flow(page, 2, 4);
    if (change->change != STAVE_RENAMED) {
        show_written(page, change, 0);
        show_written(page, change, 1);
    }
    if (change->alike[0]) {
        page_line(page, 4, 6,
                  "help: '%s' of the second says the same: if it is the same, write "
                  "--map=%s=%s",
                  change->alike, change->names[0], change->alike);
    }
}

static void show_amendments(struct page *page, const stave_changes *changes)
{
    page_blank(page);
    if (changes->amendment_count == 0) {
        page_line(page, 0, 2,
                  MARK_STRONG "as it is written" MARK_PLAIN ": nothing changed but order and form");
        return;
    }
    page_line(page, 0, 2, MARK_STRONG "as it is written" MARK_PLAIN ": %zu change%s",
              changes->amendment_count, changes->amendment_count == 1 ? "" : "s");
    for (size_t i = 0; i < changes->amendment_count; i++) {
        show_amendment(page, &changes->amendments[i]);
    }
}

/* ---- worked examples --------------------------------------------------------------------------- */

static void show_reversal(struct page *page, const struct stave_reversal *reversal)
{
    page_line(page, 2, 4, "%s:%u: \"%s\"", reversal->text_name, reversal->line, reversal->title);
    page_write(page, "%s", reversal->case_text);
    page_row(page, 4, "case");
    for (unsigned side = 0; side < 2; side++) {
        const char *found = side == reversal->owner ? reversal->own : reversal->other;
        page_write(page, "%s", found[0] ? found : "cannot judge it");
        page_row(page, 4, sides[side]);
    }
    if (reversal->why[0]) {
        page_write(page, "%s: %s", sides[1 - reversal->owner], reversal->why);
        page_row(page, 4, "why");
    }
}

static void show_reversals(struct page *page, const stave_changes *changes)
{
    page_blank(page);
    page_line(page, 0, 2,
              MARK_STRONG "worked examples" MARK_PLAIN
                          ": of %zu claims in both books, %zu come%s out otherwise by the other",
              changes->asked, changes->reversal_count, changes->reversal_count == 1 ? "s" : "");
    for (size_t i = 0; i < changes->reversal_count; i++) {
        show_reversal(page, &changes->reversals[i]);
    }
}

/* ---- past inspections ----------------------------------------------------------------------------- */

static const char *flight_text(enum stave_flight flight)
{
    return flight == STAVE_FLIGHT_YES  ? "may fly"
           : flight == STAVE_FLIGHT_NO ? "no flight"
                                       : "not known yet";
}

static void write_possible(struct page *page, const stave_verdict *verdict,
                           const struct stave_item *item)
{
    for (size_t i = 0; i < item->possible_count; i++) {
        page_write(page, "%s%s", i > 0 ? " or " : "", verdict->book->scale[item->possible[i]].name);
    }
    for (size_t i = 0; i < item->deadline_count; i++) {
        page_write(page, " %swithin %s", item->deadlines[i].look_again ? "again " : "",
                   item->deadlines[i].within);
    }
}

/* How an item comes out by one book, and the line that decides. */
static void show_side(struct page *page, const stave_verdict *verdict,
                      const struct stave_item *item, int side)
{
    write_possible(page, verdict, item);
    if (item->reason_count > 0 && item->reasons[0].line > 0) {
        const struct stave_reason *reason = &item->reasons[0];
        page_write(page, ", by %s:%u: %s", reason->text_name, reason->line,
                   reason->line_text[0] ? reason->line_text : "no line holds");
    }
    page_row(page, 4, sides[side]);
}

/* By which model it was judged, where that is open or not the same. */
static void show_past_models(struct page *page, const struct show_past *past)
{
    const stave_verdict *first = past->verdicts[0], *second = past->verdicts[1];
    if (!show_past_open(past) && strcmp(first->book->model, second->book->model) == 0) {
        return;
    }
    for (int side = 0; side < 2; side++) {
        const stave_verdict *verdict = past->verdicts[side];
        if (verdict->book->model[0]) {
            page_write(page, "model %s%s%s", verdict->book->model,
                       verdict->model_open[0] ? ", which gives the worst: " : "",
                       verdict->model_open);
            page_row(page, 4, sides[side]);
        }
    }
}

static void show_past(struct page *page, const struct show_compared *compared,
                      const struct show_past *past)
{
    const char *open = past->sort == SHOW_PAST_OPEN ? " not counted, its model is open:" : "";
    if (past->sort == SHOW_PAST_OF_OTHER) {
        page_line(page, 2, 4, "%s: left out: it is of model '%s'", past->name,
                  past->verdicts[past->owner]->book->model);
        return;
    }
    if (past->why_not) {
        page_line(page, 2, 4, "%s:%s the %s cannot judge it: %s", past->name, open,
                  sides[1 - past->owner], past->why_not);
        return;
    }
    page_write(page, "%s:%s %s: ", past->name, open, past->verdicts[0]->propeller);
    for (int side = 0; side < 2; side++) {
        const stave_verdict *verdict = past->verdicts[side];
        page_write(page, "%s%s, %s", side == 1 ? "; now " : "",
                   verdict->book->scale[verdict->outcome].name, flight_text(verdict->flight));
    }
    page_flow(page, 2, 4);
    show_past_models(page, past);
    for (size_t i = 0; i < past->verdicts[0]->item_count; i++) {
        const struct stave_item *item = &past->verdicts[0]->items[i];
        const struct stave_item *other =
            show_item_other(compared->renamed, compared->renamed_count, past->verdicts, i);
        if (!other) {
            continue;
        }
        if (item->item == STAVE_FINDING) {
            page_line(page, 4, 6, "%s: %s", item->id, item->text);
        } else {
            page_line(page, 4, 6, "%s%s%s%s%s", item->kind, item->kind[0] ? " on " : "", item->part,
                      item->text[0] ? ": " : "", item->text);
        }
        show_side(page, past->verdicts[0], item, 0);
        show_side(page, past->verdicts[1], other, 1);
    }
}

static void show_all_past(struct page *page, const struct show_compared *compared)
{
    page_blank(page);
    page_line(page, 0, 2,
              MARK_STRONG "past inspections" MARK_PLAIN
                          ": of %zu judged by both, %zu come%s out otherwise",
              compared->past_judged, compared->past_changed,
              compared->past_changed == 1 ? "s" : "");
    if (compared->past_left_out > 0) {
        page_line(page, 2, 4, "%zu left out: made by another book", compared->past_left_out);
    }
    for (size_t i = 0; i < compared->past_count; i++) {
        show_past(page, compared, &compared->past[i]);
    }
}

/* ---- the whole --------------------------------------------------------------------------------- */

void show_comparison(struct page *page, const struct show_compared *compared)
{
    const stave_compared *answers = compared->answers;
    show_answer(page, compared);
    show_unlike(page, answers);
    show_contrasts(page, answers, STAVE_LOOSER, "looser in the second, the largest first");
    show_contrasts(page, answers, STAVE_STRICTER, "stricter in the second, the largest first");
    show_contrasts(page, answers, STAVE_OTHERWISE,
                   "no flight by both, with the same outcome and other deadlines");
    if (answers->more_contrasts > 0) {
        page_line(page, 2, 4, "and %zu more that are not shown", answers->more_contrasts);
    }
    show_unproved(page, answers);
    show_amendments(page, compared->changes);
    show_reversals(page, compared->changes);
    if (compared->past_judged + compared->past_left_out + compared->past_count > 0) {
        show_all_past(page, compared);
    }
}
