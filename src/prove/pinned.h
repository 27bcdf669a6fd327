/*
 * Pinned: which small slips of a book its examples notice, and which figures they so hold.
 *
 * A copy of the book's trees is changed in place, one change at a time. What an example makes of
 * it is found in one of two ways that agree:
 *   - fast: the change is made in the checked book as well, the dockets that it touches are compiled
 *     anew, and the examples that come as far as the changed line are judged again;
 *   - whole: the changed trees are checked anew (a question about other damage, which is known by its
 *     words, from its changed text), compiled, and the examples resolved and judged.
 * A change that no example notices in the fast way is always made in the whole way too, as it may
 * break the book. What then is left is held against the book itself (pair.h): the same everywhere is inert.
 */
#ifndef STAVE_PROVE_PINNED_H
#define STAVE_PROVE_PINNED_H

#include "prove/case.h"
#include "prove/slip.h"
#include "verdict/verdict.h"

/* A case of the book's examples, with what it came to. */
struct pinned_case {
    struct example_case own;
    struct judged *judged; /* one for each finding from own.first on */
};

/* What a change can reach. */
struct reach {
    uint64_t *kinds;                     /* bit set over the book's kinds */
    const struct written_ladder *ladder; /* OWNER_LADDER, else NULL */
    uint32_t from;  /* only findings that came to this line or below are touched */
    bool deadlines; /* nothing but deadlines slips */
};

/* The work on one book. */
struct pinning {
    struct arena *arena;   /* of what is given */
    struct arena *scratch; /* released after each change */
    const struct ready_book *ready;
    struct ready_book copy; /* its trees and its book are changed and mended */
    struct plan plan;       /* of the copy; its dockets are replaced and put back */
    struct slips slips;
    struct problems problems;
    struct pinned_case *cases;
    uint32_t count;
    size_t capacity;
    uint32_t last; /* the case that noticed the change before */
};

/* Where the expression of a figure, a relation, ... stands in the checked copy, changed (pinned_fast.c). */
struct fast {
    struct pinning *pinning;
    struct slip *slip;
    struct expression *figure;
    struct condition *compared;
    struct number *value; /* of a point, or of a deadline in the lines below */
    struct number kept;
    struct rung *line, kept_line;
    const struct written_ladder *ladder;
    struct rung *shorter; /* the ladder without the line */
    struct docket **kept_dockets;
    uint64_t *made; /* bit set over the plan's dockets: compiled anew */
};

/* What a change touches. */
struct reach pinned_reach(struct pinning *pinning, const struct slip *slip);
bool pinned_touches(const struct reach *reach, const struct pinned_case *one);

/* Changes the checked copy; false when it can only be made in the whole way. */
bool fast_begin(struct fast *fast, struct pinning *pinning, struct slip *slip);
/* A docket of the copy for each finding that a case judges. */
void fast_compile(struct fast *fast, const struct pinned_case *one, const struct reach *reach);
/* Puts everything back. */
void fast_end(struct fast *fast);

/*
 * All of it, in `arena`; `scratch` is given back as the work goes on. `more` are the examples of texts
 * beside the book.
 */
void pinned_make(struct arena *arena, struct arena *scratch, const struct ready_book *ready,
                 struct tree_example *const *more, size_t more_count,
                 const struct stave_proving *how, struct stave_pinning *made);

#endif
