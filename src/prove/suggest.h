/*
 * Examples that would notice what no example notices, as text to be read, confirmed and kept. Inside
 * src/prove only.
 *
 * Each is a finding that the book and the changed book answer differently, with the answer that the
 * book gives now. One suggestion often notices several slips. Those of one ladder that differ only in readings
 * and places on an axis share a finding line.
 */
#ifndef STAVE_PROVE_SUGGEST_H
#define STAVE_PROVE_SUGGEST_H

#include "prove/case.h"
#include "prove/slip.h"
#include "prove/differ.h"

struct suggestion {
    const char *about;            /* the limit, curve, zone, ... that is held by it */
    const char *source;           /* what the book cites for it, or "" */
    const char *text;             /* finding lines, the last is meant */
    const char *gives;            /* outcomes, and deadlines where these tell the two apart */
    const struct tree_example *example; /* the same, read */
    bool told;                    /* written out already */
};

struct suggestions {
    struct arena *arena, *scratch;
    const struct ready_book *ready;
    const struct written_ladder *ladders;
    struct suggestion *items;
    uint32_t count;
    size_t capacity;
};

/* Does a suggestion that is there already notice a change? Then it is the change's witness. */
bool suggestions_notice(struct suggestions *suggestions, const struct ready_book *changed,
                        const uint64_t *kinds, struct stave_slip *made);
/* Adds the finding that was found for a slip, and makes it the change's witness. */
void suggestions_add(struct suggestions *suggestions, const struct slip *slip,
                     const struct difference *difference, struct stave_slip *made);
const char *suggestions_text(struct suggestions *suggestions, size_t *examples);

#endif
