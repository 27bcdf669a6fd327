/*
 * Rows that are not exact, by the fast table: a measure with a unit of its own, with a doubt, as a range
 * or not given, and a place that is not given.
 *
 * Each test is asked whether it holds everywhere within reach, nowhere, or maybe: never less than the
 * truth, so that no outcome of a ladder is missed. Then two worlds are asked outright: all readings at
 * their worse ends, and all at their better ones. Where these give the worst and the best of what
 * may be, that is the answer. Where not, and where a condition asks for the place that is not
 * given, the row takes the general road.
 *
 * The world that is shown is the one that judge() finds (src/judge/witness.c): readings at their worse
 * ends, at the first place where that gives the worst outcome.
 */
#ifndef STAVE_SWEEP_WIDE_H
#define STAVE_SWEEP_WIDE_H

#include "sweep/fast.h"

#define WIDE_LISTS 64        /* of limits that may be met */
#define WIDE_UNDER (1 << 20) /* so that three of them and a sum of the table fit 128 bits */

/* over / under, under > 0. */
struct fraction {
    int64_t over, under;
};

struct between {
    struct fraction low, high;
};

/* By variable of the docket; of an observation nothing. */
struct values {
    struct between of[FAST_SLOTS];
};

/*
 * Where it lies on an axis. All places within reach are in one cell of it, or there is one place alone.
 */
struct where {
    enum {
        WHERE_POINT,   /* at `at` */
        WHERE_DOUBT,   /* a point somewhere from low to high */
        WHERE_EXTENT,  /* from low to high */
        WHERE_WIDENED  /* `at` belongs to it; it may go as far as low and high */
    } sort;
    struct fraction low, high, at;
};

struct wide {
    struct arena *arena;
    const struct fast *fast;
    const struct fast_docket *docket;
    const struct fast_source *source;
    const struct row *row;
    const struct column *columns;        /* the sweep's */
    struct reading readings[FAST_SLOTS]; /* by record */
    struct values all, worse, better;    /* what the readings may be, and two worlds of these */
    bool exact;                          /* the three are one */
    struct where places[BOOK_AXES + 1];
    uint16_t points[BOOK_AXES + 1]; /* the last breakpoint at or before the place */
    uint32_t cells[BOOK_AXES];
    bool free[BOOK_AXES + 1]; /* not known: the place on the axis; behind the axes, which place it is */
    uint32_t side, place;
    const uint16_t *lists[WIDE_LISTS]; /* in the order in which judge() meets them */
    uint32_t list_count, visits;
    uint32_t tests, maybes; /* of all ladders */
    bool unsure;            /* something was asked that is not known here */
};

static inline bool between_open(const struct between *value)
{
    return value->low.over != value->high.over || value->low.under != value->high.under;
}

/* The end at which a condition that changes by `slope` along the axis is hardest to meet. */
static inline struct fraction where_worst(const struct where *where, int64_t slope)
{
    return slope > 0 ? where->high : where->low;
}

/* What a ladder, or several of them, can come to. */
struct come {
    uint32_t best, worst;
    const struct fast_limit *limit; /* the first with the worst */
    const struct fast_rung *rung;   /* its last that may hold */
    uint32_t failed;                /* in the line before, the condition that does not */
};

/* Takes what the cells hold, and the lists of limits that may be met (wide_take.c). False, as of all of these:
 * it is the general road's. */
bool wide_take(struct wide *wide);
/* The outcomes between which it lies, and what gives the worst (wide.c). */
bool wide_judge(struct wide *wide, struct come *result);
/* What is told of it (wide_show.c). */
bool wide_show(struct wide *wide, const struct come *come, struct outcome_of_row *result);

#endif
