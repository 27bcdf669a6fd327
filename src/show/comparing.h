/* Two books held against each other, for a person and for programs. */
#ifndef STAVE_SHOW_COMPARING_H
#define STAVE_SHOW_COMPARING_H

#include "show/show.h"

enum show_past_sort {
    SHOW_PAST_SAME,
    SHOW_PAST_OTHERWISE, /* or by another model of the family, or not judged by one */
    /* By neither book surely of the model that is compared, so not counted: */
    SHOW_PAST_OPEN,     /* by one of them that is open */
    SHOW_PAST_OF_OTHER, /* by both it is of another */
};

/* A past inspection, judged by the book that it was made by and anew by the other. */
struct show_past {
    enum show_past_sort sort;
    const char *name;                 /* of its file */
    unsigned owner;                   /* 0: made by the first book, 1: by the second */
    const stave_verdict *verdicts[2]; /* by the first, by the second; NULL: it cannot judge it */
    const char *why_not;              /* why the other cannot judge it; else NULL */
};

struct show_compared {
    const struct stave_book_facts *books[2];
    const stave_compared *answers;
    const stave_changes *changes;
    const struct stave_renamed *renamed;
    size_t renamed_count;
    /* All but those that come out the same, which only past_judged counts; past_changed: otherwise. */
    const struct show_past *past;
    size_t past_count, past_judged, past_changed, past_left_out;
    const struct stave_problem *problems[2]; /* warnings of both books */
    size_t problem_counts[2];
};

/* What it comes to, from best to worst. */
enum show_sameness {
    SHOW_SAME,
    SHOW_OTHERWISE,  /* different in what does not loosen: what grounds either way, what is declared */
    SHOW_STRICTER,   /* somewhere stricter, nowhere looser */
    SHOW_NOT_PROVED, /* nothing looser was found, but not all could be proved */
    SHOW_LOOSER
};
enum show_sameness show_sameness(const stave_compared *answers);
const char *show_sameness_text(enum show_sameness sameness);

/* Is it open, by either, which model of the family an inspection is judged by? */
bool show_past_open(const struct show_past *past);
/* Do the verdicts differ in anything but names that are mapped? A different model of the family is such a thing. */
bool show_past_differs(const struct stave_renamed *renamed, size_t renamed_count,
                       const stave_verdict *first, const stave_verdict *second);
/* What the second says of a finding, check or search of the first, where it is another answer; else NULL. Both
 * verdicts are of one record. */
const struct stave_item *show_item_other(const struct stave_renamed *renamed, size_t renamed_count,
                                         const stave_verdict *const verdicts[2], size_t item);

void show_comparison(struct page *page, const struct show_compared *compared);
void show_comparison_json(struct page *page, const struct show_compared *compared);

#endif
