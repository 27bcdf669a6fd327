/*
 * The small slips that a copying error could have made to a book: each figure one step up and one step
 * down, each comparison with its limit in or out, each line left out, each outcome one step
 * better and one worse. Inside src/prove only.
 *
 * Changes are made in the trees of a book that was read for this alone, in place, and taken back.
 *
 * Figures are those that limits rest on: in the lines of limits and checks, in what is reckoned, in
 * curves, in the ends of zones, and deadlines. What declares a measure, an axis or a part says what can be
 * recorded, not what is fit, and is left alone.
 *
 * The step of a figure is, in this order: of a count 1; of an end of a zone the step of its axis; of a
 * figure that a measure is held against, of the measure's own dimension, the measure's step, and of a
 * curve's value that of the first measure held against the curve; of all else, 1 in the last digit that is written.
 */
#ifndef STAVE_PROVE_SLIP_H
#define STAVE_PROVE_SLIP_H

#include "book/book.h"

enum owner_sort {
    OWNER_LADDER, /* limits of all texts as written, then checks */
    OWNER_CURVE,  /* index in book.curves */
    OWNER_RECKON, /* index in book.reckons */
    OWNER_ZONE,   /* index in book.zones */
    OWNER_OUTCOME /* index in book.scale */
};

#define SLIP_NO_FIGURE UINT32_MAX

struct slip {
    enum stave_slip_sort sort;
    struct span span; /* what is replaced in the text, and by what */
    const char *now;
    uint32_t figure; /* which figure it nudges, or SLIP_NO_FIGURE */
    enum owner_sort owner;
    uint32_t index;
    uint32_t rung;   /* OWNER_LADDER: which line */
    bool in_company; /* in a question about other damage: asked the same by its text */
    bool station;    /* of a curve's point */
    bool deadline;   /* a deadline, or nothing else */
    /* What is changed. Applying swaps, so that doing it twice takes it back. */
    struct tree_quantity *quantity;
    const struct tree_quantity *at; /* a point's station or a zone's end, where the slip lies */
    const char *axis;               /* OWNER_ZONE: of that end */
    struct tree_quantity other;
    struct tree_bound *bound;
    enum tree_relation relation;
    bool *open;                     /* an end of a zone */
    struct tree_rung **link, *line; /* LINE_LEFT_OUT */
    struct tree_rung *shifted;
    struct tree_word outcome; /* text NULL: no published limit */
};

/* A figure, and where it stands. */
struct figure {
    struct span span;
    bool can_fall; /* a step lower can be written */
};

/* A ladder as written, and the limits of the book that it became. */
struct written_ladder {
    struct tree_rung **rungs;
    uint32_t first, count; /* in book.limits */
};

struct slips {
    struct slip *items; /* in the order of the texts */
    uint32_t count;
    size_t capacity;
    struct figure *figures;
    uint32_t figure_count;
    size_t figure_capacity;
    struct written_ladder *ladders;
    uint32_t ladder_count;
};

void slips_list(struct arena *arena, const struct book *book, struct slips *slips);
/* Makes the change in the trees, or takes it back. */
void slip_apply(struct slip *slip);
/* The whole text of the change's source with it made. */
const char *slip_text(struct arena *arena, const struct slip *slip, size_t *size);

#endif
