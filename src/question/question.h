/*
 * book -> SMT-LIB 2: each proof obligation as a question to a solver of the reader's own.
 *
 * The text is written from the checked book alone. It shares nothing with the plan and the
 * evaluator, so that a fault in these is not in it too; what it takes from the proof is only the
 * answer that it states beside each question, and this may be left out. docs/obligations.md is its manual.
 *
 * Each question is whether a world exists: a choice of all readings (on the grid where the measure is
 * rounded), observations, extents lo <= hi within each axis, one side or place, and of company and what was
 * read before, each free within its own type.
 */
#ifndef STAVE_QUESTION_QUESTION_H
#define STAVE_QUESTION_QUESTION_H

#include "book/book.h"

enum question_sort {
    QUESTION_UNCOVERED, /* a place of the extent is in no limit's zone */
    QUESTION_GAP,       /* the limit is met, no line of it holds, and that is not declared */
    QUESTION_LINE,      /* the limit is met and the line decides */
    QUESTION_CONDITION, /* ... would decide without the condition, and what does decide answers otherwise */
    QUESTION_ORDER,     /* worse by one coordinate, better in outcome: of one limit, or of all (limit NULL) */
    QUESTION_EXTENT,    /* the same of a wider extent on every axis; of all limits */
    QUESTION_SAME       /* two books answer differently: by outcome, flight or deadlines */
};

struct question {
    enum question_sort sort;
    const struct kind *kind; /* of the first book */
    const struct part *part;
    const struct limit *limit;
    uint32_t rung, condition;
    /* ORDER: one of the three. */
    const struct measure *measure;
    const struct observation *observation;
    const struct aggregate *aggregate;
    const char *name;        /* stands above it in the text: stable, and one for each */
};

enum question_answer { ANSWER_NOT_KNOWN, ANSWER_NONE, ANSWER_SOME };

/* What is to be stated as the answer. */
typedef enum question_answer (*question_answered)(void *user, const struct question *question);

/* All questions of a book without errors; a zero-terminated text in `arena`. `answered` may be NULL. */
const char *question_text(struct arena *arena, const struct book *book, question_answered answered,
                          void *user, size_t *size);

/*
 * Whether two books answer differently, for each kind on each part that both have by name, over
 * all that both know. What only one of them records is free in that one. Where scales, sides, places,
 * axes or values are not named alike, the text says so and does not ask.
 */
const char *question_text_of_two(struct arena *arena, const struct book *first,
                                 const struct book *second, question_answered answered, void *user,
                                 size_t *size);

#endif
