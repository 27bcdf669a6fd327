/*
 * Two sets of ladders over the same findings, and every world in which they differ.
 *
 * A *pair* is one docket that holds the limits of two dockets, the first and the second: its axes
 * are cut at the breakpoints of both, its variables are those of both, brought together by
 * name. A ladder that stands in both (the same lines, the same cells) is kept once. What the two call
 * differently is mapped beforehand (struct pair_names). A pair is made
 *   - of two books' dockets of one kind on one part: Same, and mutants;
 *   - of one docket with itself: Orderly, where one coordinate stands twice, before and after.
 *
 * A *tour* goes through all worlds of a pair and gives those that matter to a visitor, as
 * *stretches*: sets of worlds that no ladder tells apart, each with the outcomes on both sides, the lines that decide,
 * the box around it and, when asked, a sample. A stretch is never empty. The tour prunes
 * what the visitor cannot want: worlds in which both sides come out alike.
 *
 * Exact but for products of readings in doubt and for the budget: see struct tour.
 *
 * All memory is the given arena's.
 */
#ifndef STAVE_PROVE_PAIR_H
#define STAVE_PROVE_PAIR_H

#include "judge/walk.h"
#include "verdict/verdict.h"

/* ---- names ------------------------------------------------------------------------------- */

/* What the second book calls what the first calls `first`: renamed, or the same. */
struct pair_names {
    const struct stave_renamed *renamed;
    size_t count;
};
const char *pair_name(const struct pair_names *names, const char *first);

/* ---- pairs --------------------------------------------------------------------------------- */

#define PAIR_CLASSES 64 /* sorts of deadlines in one pair; the last stands for all that are more */

struct pair {
    const struct docket *docket;  /* of both; its limits' outcomes are ranks on the scale of both */
    const struct ready_book *books[2];
    const struct docket *sides[2]; /* as they stand in the plans */
    uint64_t limits[2];           /* bit sets over the docket's limits: those of each side */
    const struct plan_limit **origin[2]; /* by limit: the limit of that side's own docket, or NULL. A limit without
                                     lines that stands for what is not covered has none */
    uint32_t *outcomes[2];        /* rank -> index in a side's own scale, or UINT32_MAX */
    /* All findings: by record the range or the values that both sides know; places. */
    struct number *from, *to;
    uint64_t *values, places;
    /* By limit and rung (the last: none holds): lines of one class have the same deadlines, and
     * with `by_action` the same thing to do. Class 0 has none. */
    uint8_t **classes;
    const struct pair_names *names;
    bool by_action;
    /* By record: bit 0 where the first side records it, bit 1 the second; none: the second side's own
     * rounding of a reading that stands before it. */
    uint8_t *recorded;
    uint64_t flight_differs; /* ranks that fly in one of the books alone */
    const struct inequality *ties; /* between variables that stand for one reading, rounded in two ways */
    uint32_t tie_count;
};

/*
 * The pair of two dockets over what both have: the part's axes and the measures' ranges are cut to what they share, and
 * what one alone records is free on its side. NULL with *why where it cannot be made: more than 64 ladders
 * that are not in both, scales that do not match, parts whose axes, sides or places do not.
 */
struct pair *pair_make(struct arena *arena, const struct ready_book *const books[2],
                       const struct docket *const sides[2], const struct pair_names *names,
                       const char **why);

/*
 * One docket of a book as both sides of a pair, with what is not covered as a limit more (the
 * last) where there is such. NULL where that makes more than 64.
 */
struct pair *pair_alone(struct arena *arena, const struct ready_book *ready,
                        const struct docket *docket);
/* The same pair with some of its limits only, cut at no more places than these ask for. */
struct pair *pair_narrow(struct arena *arena, const struct pair *pair, uint64_t limits);
/* Sets pair.classes, from the lines' sources. */
void pair_classes(struct arena *arena, struct pair *pair);

/* ---- the first difference: for mutants --------------------------------------------------------- */

enum differ { DIFFER_NO, DIFFER_YES, DIFFER_UNSURE };

struct difference {
    const struct docket *dockets[2];
    const char *text;       /* finding lines, the last is meant; judged by both books before it is given */
    uint32_t outcomes[2];   /* of each book's own scale */
    const char *found[2];   /* with deadlines */
    const char *described;  /* the stretch it was found in */
};

/*
 * Is there a finding of this kind on this part that the two books answer differently (outcome,
 * flight or deadline)? DIFFER_NO is proved. DIFFER_YES comes with a finding that was replayed.
 * DIFFER_UNSURE with *why: too much work, no text that shows it, a product. `work` is what may be
 * spent, counted down.
 */
enum differ pair_differ(struct arena *arena, const struct ready_book *first,
                        const struct ready_book *second, const struct kind *kind,
                        const struct part *part, const struct pair_names *names, uint32_t *work,
                        struct difference *difference, const char **why);

/*
 * The same over every kind and part of the two books (which must declare the same ones): the first
 * difference found. Dockets that are alike, line by line and cell by cell, cost next to nothing.
 */
enum differ books_differ(struct arena *arena, const struct ready_book *first,
                         const struct ready_book *second, const struct pair_names *names,
                         uint32_t *work, struct difference *difference, const char **why);

#endif
