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
#include "prove/differ.h"
#include "prove/slip.h"

struct suggestion {
    const char *about;                  /* the limit, curve, zone, ... that is held by it */
    const char *source;                 /* what the book cites for it, or "" */
    const char *text;                   /* finding lines, the last is meant */
    const char *gives;                  /* outcomes, and deadlines where these tell the two apart */
    const struct tree_example *example; /* the same, read */
    bool told;                          /* written out already */
};

struct suggestions {
    struct arena *arena, *scratch;
    const struct ready_book *ready;
    const struct written_ladder *ladders;
    struct suggestion *items;
    uint32_t count;
    size_t capacity;
};

/* The figures and names of an example line are a person's: a finding near to one of them is easier to read than one
 * that was made up. Templates are the lines of the book's examples and of what is suggested already. */
struct template_line {
    const struct tree_example *example;
    const struct tree_gives *gives;
};

/* What a slip may be told apart by, near to a template. */
struct near {
    struct suggestions *suggestions;
    const struct ready_book *changed;
    const struct slip *slip;
    const uint64_t *kinds; /* that it reaches */
    const char *text;      /* the finding line that was found */
    uint32_t tries;
};

/* Tries the templates with readings at the limits of what the slip touches, and one step off. */
bool near_find(struct near *near, const struct template_line *templates, uint32_t count);

/* Does a suggestion that is there already notice a change? Then it is the change's witness. */
bool suggestions_notice(struct suggestions *suggestions, const struct ready_book *changed,
                        const uint64_t *kinds, struct stave_slip *made);
/* Adds a finding that the two books answer differently. False when the example that it makes would not notice. */
bool suggestions_add(struct suggestions *suggestions, const struct ready_book *changed,
                     const struct slip *slip, const char *lines, struct stave_slip *made);
/* An example of these lines and what it gives, read; NULL where it has errors. */
const struct tree_example *suggestion_read(struct arena *arena, const struct book *book,
                                           const char *lines, const char *gives);
struct found suggestion_run(struct suggestions *suggestions, const struct ready_book *ready,
                            const struct tree_example *example, struct example_case *one);
const char *suggestions_text(struct suggestions *suggestions, size_t *examples);

#endif
