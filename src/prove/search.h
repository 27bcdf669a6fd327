/*
 * A tour with what it collects: the pieces of all stretches that matter, or the first that will do.
 * Inside src/prove only.
 */
#ifndef STAVE_PROVE_SEARCH_H
#define STAVE_PROVE_SEARCH_H

#include "prove/proving.h"

struct search {
    const struct pair *pair;
    bool point;
    struct finding *finding;
    struct ground *ground;
    struct tour tour;
    uint32_t work;
    struct arena *scratch;
    struct piece **pieces;
    uint32_t count, more;
    size_t capacity;
    bool by_lines;   /* pieces go together only where the same lines decide */
    bool first;      /* one piece that is sure ends it */
    bool products;   /* a product in doubt is asked: a piece counts only when a world of it stands */
    const struct inequality *ties; /* more that holds in every world; may be NULL */
    uint32_t tie_count;
    bool levels;     /* TOUR_BETTER: an observation's level rises from `level` to the next or beyond */
    uint32_t record, level;
    const uint64_t *left; /* by record, both blocks: observations that are left; NULL: all */
    bool doubtful;   /* a piece was left aside, as no world of it could be made to stand */
};

/* All findings of a pair: damage of no size (`point`), or of any extent. */
void search_begin(struct search *search, struct arena *scratch, const struct pair *pair,
                  bool point);
/* Goes on tour for an aim; sides of `first` and `second` are bit sets of the pair's limits. */
void search_go(struct search *search, enum tour_aim aim, uint64_t wanted, uint64_t first,
               uint64_t second, struct apart *apart, uint32_t effort);
/* What came of it. */
enum found_world search_found(const struct search *search);
/* What came of two. */
enum found_world search_either(enum found_world a, enum found_world b);

/* Boxes of the pieces, brought together where the outcomes are the same (and where both sides' are, the lines that decide). */
void search_boxes(const struct search *search, struct boxes *boxes);

#endif
