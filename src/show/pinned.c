/* Which figures of a book its examples hold, for a person: each slip that none notices, then counts. */
#include <string.h>

#include "show/show.h"

bool show_figures_held(const struct show_proved *proved)
{
    const stave_pinning *pinning = proved->pinning;
    return pinning->pinned * 100 >= (pinning->figure_count - pinning->idle) * proved->pinned_least;
}

bool show_slips_caught(const struct show_proved *proved)
{
    const stave_pinning *pinning = proved->pinning;
    return pinning->caught * 100 >= (pinning->slip_count - pinning->inert) * proved->pinned_least;
}

const char *show_slip_sort(const struct stave_slip *slip)
{
    switch (slip->sort) {
    case STAVE_FIGURE_UP:
        return "figure-up";
    case STAVE_FIGURE_DOWN:
        return "figure-down";
    case STAVE_COMPARISON:
        return "comparison";
    case STAVE_LINE_LEFT_OUT:
        return "line-left-out";
    case STAVE_OUTCOME_BETTER:
        return "outcome-better";
    case STAVE_OUTCOME_WORSE:
        return "outcome-worse";
    }
    return "";
}

const char *show_slip_answer(const struct stave_slip *slip)
{
    switch (slip->answer) {
    case STAVE_SLIP_NOTICED:
        return "noticed";
    case STAVE_SLIP_BREAKS:
        return "breaks";
    case STAVE_SLIP_INERT:
        return "inert";
    case STAVE_SLIP_MISSED:
        return "missed";
    }
    return "";
}

const char *show_hold(const struct stave_held_figure *figure)
{
    return figure->hold == STAVE_PINNED ? "pinned" : figure->hold == STAVE_IDLE ? "idle" : "loose";
}

/* Without the blanks around it. */
static void show_word(struct page *page, const char *word)
{
    char kept[256];
    word += strspn(word, " \t");
    size_t size = strlen(word);
    while (size > 0 && (word[size - 1] == ' ' || word[size - 1] == '\t')) {
        size--;
    }
    if (size < sizeof kept) {
        memcpy(kept, word, size);
        kept[size] = '\0';
        word = kept;
    }
    page_write(page, "'%s'", word);
}

static bool is_blank(const char *word)
{
    return word[strspn(word, " \t")] == 0;
}

void show_slip(struct page *page, const struct stave_slip *slip)
{
    if (slip->sort == STAVE_LINE_LEFT_OUT) {
        show_word(page, slip->was);
        page_write(page, " left out");
    } else if (is_blank(slip->was)) {
        show_word(page, slip->now);
        page_write(page, " put in");
    } else if (is_blank(slip->now)) {
        show_word(page, slip->was);
        page_write(page, " left out");
    } else {
        show_word(page, slip->was);
        page_write(page, " read as ");
        show_word(page, slip->now);
    }
}

/* Several finding lines, each in a row of its own. */
static void show_lines(struct page *page, const char *lines, const char *label)
{
    for (;;) {
        size_t size = strcspn(lines, "\n");
        char line[1000];
        size = size < sizeof line ? size : sizeof line - 1;
        memcpy(line, lines, size);
        line[size] = '\0';
        page_write(page, "%s", line);
        page_row(page, 4, label);
        if (lines[size] != '\n') {
            return;
        }
        lines += size + 1;
        label = "";
    }
}

static void show_missed(struct page *page, const struct stave_slip *slip)
{
    page_write(page, "%s:%u: " MARK_BAD "missed:" MARK_PLAIN " ", slip->at.text_name,
               slip->at.line);
    show_slip(page, slip);
    page_flow(page, 0, 2);
    if (slip->witness[0]) {
        show_lines(page, slip->witness, "case");
        page_write(page, "%s", slip->found[0]);
        page_row(page, 4, "gives");
        page_write(page, "%s", slip->found[1]);
        page_row(page, 4, "then");
    }
    if (slip->reason[0]) {
        page_write(page, "%s", slip->reason);
        page_row(page, 4, "why");
    }
}

static void show_share(struct page *page, const char *what, size_t held, size_t of, size_t inert,
                       const char *word)
{
    page_write(page, "%zu of %zu %s %s", held, of - inert, what, word);
    if (inert > 0) {
        page_write(page, ", and %zu inert", inert);
    }
}

void show_pinned(struct page *page, const struct show_proved *proved)
{
    const stave_pinning *pinning = proved->pinning;
    for (size_t i = 0; i < pinning->slip_count && !pinning->stopped; i++) {
        if (pinning->slips[i].answer == STAVE_SLIP_MISSED) {
            show_missed(page, &pinning->slips[i]);
        }
    }
    page_write(page, "%s %s: ", proved->book->id, proved->book->edition);
    show_share(page, pinning->figure_count == 1 ? "figure" : "figures", pinning->pinned,
               pinning->figure_count, pinning->idle, "pinned");
    page_write(page, "; ");
    show_share(page, "slips", pinning->caught, pinning->slip_count, pinning->inert, "caught");
    if (proved->pinned_least > 0) {
        page_write(page, "; asked for: %u%%", proved->pinned_least);
    }
    page_flow(page, 0, 2);
    if (pinning->stopped) {
        page_line(page, 0, 2, MARK_BAD "stopped:" MARK_PLAIN " not every slip was tried");
    } else if (pinning->suggested_examples > 0) {
        page_line(page, 0, 2,
                  "help: 'stave prove --suggest' writes %zu example%s that would hold "
                  "what is missed",
                  pinning->suggested_examples, pinning->suggested_examples == 1 ? "" : "s");
    }
}

void show_suggested(struct page *page, struct page *notes, const stave_pinning *pinning)
{
    page_raw(page, pinning->suggested);
    page_write(notes, "stave: %zu example%s suggested", pinning->suggested_examples,
               pinning->suggested_examples == 1 ? "" : "s");
    if (pinning->unsuggested > 0) {
        page_write(notes, "; %zu slip%s without: see 'stave prove --pinned'", pinning->unsuggested,
                   pinning->unsuggested == 1 ? "" : "s");
    }
    page_flow(notes, 0, 2);
}
