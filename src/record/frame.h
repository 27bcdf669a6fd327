/*
 * The frame of a record: YAML held to the few forms that a record needs.
 *
 * Takes an opened source; gives its keys, lists and texts as nodes in the arena, each with its
 * place in the source, or NULL when anything is wrong. Every byte of the source is accounted for: it
 * belongs to a text, to a comment on a line of its own, or is one of the signs `: - , [ ]` or a
 * blank. So nothing can be hidden from the reader: no tag, anchor, alias, merge, directive, second
 * document, brace, complex key, text over several lines, or comment after a value.
 *
 * libyaml takes its memory from malloc and not from the arena. It is given back before this
 * call returns, and also when the arena escapes: the call puts an escape of its own
 * before that of the public call.
 */
#ifndef STAVE_RECORD_FRAME_H
#define STAVE_RECORD_FRAME_H

#include "base/problem.h"

#define FRAME_DEPTH 4       /* maps and lists within each other */
#define FRAME_NODES 100000u /* texts, lists and maps in one record */
#define FRAME_KEYS 500u     /* in one map */

enum frame_sort { FRAME_TEXT, FRAME_LIST, FRAME_MAP };

struct frame_node {
    enum frame_sort sort;
    struct frame_node *next; /* in its list or map */
    const char *key;         /* in a map; else NULL */
    struct span key_span;
    const char *text;            /* FRAME_TEXT: what it says; never empty */
    bool exact;                  /* FRAME_TEXT: the bytes of `span` are `text` */
    bool flow;                   /* FRAME_LIST: written in brackets */
    struct frame_node *children; /* of a list or a map, in the order of the text */
    uint32_t count;
    struct span span; /* without quotes; of a list or map from its first to its last text */
};

struct frame_node *frame_read(struct arena *arena, struct source *source,
                              struct problems *problems);

/* The value of a key in a map, or NULL. */
struct frame_node *frame_find(const struct frame_node *map, const char *key);

#endif
