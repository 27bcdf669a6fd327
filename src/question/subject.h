/*
 * A kind of damage (or a check) on a part: the coordinates of its worlds, and functions of these
 * that say which line of each ladder decides and which outcome governs. Inside src/question only.
 *
 * Coordinates, in this order:
 *   |depth|              a recorded measure: Real, or where it is rounded the Int of steps
 *   |lie|                a recorded observation: Int, its values counted from 0
 *   |company 0| ...      damage in numbers: Int from 0 for a count, 0 or 1 for `apart from` and
 *                        `facing` (1: some other is too near, or faces it), Real from 0 for a total or a largest
 *   |was depth| |first depth| |seen before|   of growth; seen before is 0 for what is new
 *   |side| |place|       Int, counted from 0
 *   |station lo| |station hi|   the extent along an axis: Real
 */
#ifndef STAVE_QUESTION_SUBJECT_H
#define STAVE_QUESTION_SUBJECT_H

#include "question/formula.h"

enum coordinate_sort {
    COORDINATE_MEASURE, COORDINATE_OBSERVATION, COORDINATE_COMPANY,
    COORDINATE_WAS, COORDINATE_FIRST, COORDINATE_SEEN,
    COORDINATE_SIDE, COORDINATE_PLACE, COORDINATE_LO, COORDINATE_HI
};

struct coordinate {
    enum coordinate_sort sort;
    const char *name;            /* without the bars */
    bool whole;                  /* an Int */
    const struct measure *measure; /* also of WAS and FIRST */
    const struct observation *observation;
    const struct aggregate *aggregate;
    uint32_t axis;
    bool bounded;                /* from above */
    struct number from, to;      /* in steps where the measure is rounded */
};

/* The texts that two books share: aggregates by their words, so that both have one number. */
struct companies {
    const struct aggregate **items;
    uint32_t count;
    size_t capacity;
};

struct subject {
    struct arena *arena;
    const struct book *book;
    const struct kind *kind;
    const struct part *part;
    const char *prefix;          /* "gouge on blade: " */
    const struct limit **limits; uint32_t limit_count;
    struct coordinate *coordinates; uint32_t coordinate_count;
    size_t coordinate_capacity;
    struct companies *companies;
    bool placed;                 /* it has a place: not a check */
};

struct subject *subject_make(struct arena *arena, const struct book *book, const struct kind *kind,
                             const struct part *part, struct companies *companies,
                             const char *book_prefix);
/* Writes the functions of the subject:
 *   |P world|      the coordinates are such as can be
 *   |P N met|      the extent touches the zone of limit N (counted in the book, from 0)
 *   |P N R C|      condition C of line R holds (where the limit is met)
 *   |P N line|     the first line that holds, or the number of lines
 *   |P N outcome|  its outcome, an index in the scale
 *   |P uncovered|  some of it lies in no zone with a limit
 *   |P outcome|    which governs */
void subject_write(const struct subject *subject, struct text *text);

/* The head of one more function of the same coordinates, "(define-fun ... "; the term and ")" follow. */
void subject_define(const struct subject *subject, struct text *text, const char *function,
                    const char *sort);
/* A call of one of these functions: "(|gouge on blade: outcome| |depth| ...)", the symbols
 * ending in `more`; the coordinate `fresh` (or -1) ending in "'" as well. */
void subject_call(const struct subject *subject, struct text *text, const char *function,
                  int32_t fresh, const char *more);
/* "(declare-const |depth| Real)" for all. */
void subject_declare(const struct subject *subject, struct text *text);
void subject_declare_one(const struct coordinate *coordinate, struct text *text, const char *more);

/* The name of a limit's function: "3 met". */
const char *subject_limit_function(const struct subject *subject, const struct limit *limit,
                                   const char *what);
/* The ladder's outcome as if one of its conditions were not there (rung -1: as it is). */
void subject_ladder_without(const struct subject *subject, struct text *text,
                            const struct limit *limit, int32_t rung, uint32_t condition,
                            bool as_line);

#endif
