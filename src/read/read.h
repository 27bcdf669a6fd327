/*
 * text -> tree. The scanner is grammar/stave.l, the parser grammar/stave.y.
 *
 * Takes an opened source; gives a tree in the same arena. Each error is reported with
 * what was expected in the language's own words, the parser goes on at the next line end
 * (cascades suppressed), and the tree holds what could be read. Nesting is capped
 * (READ_NESTING); the parser takes no memory but the arena's and a fixed stack.
 */
#ifndef STAVE_READ_READ_H
#define STAVE_READ_READ_H

#include "read/tree.h"

#define READ_NESTING 64   /* parentheses within parentheses */
#define READ_TIMES 1000     /* findings that one line of an example may stand for */
#define READ_STEPS 200    /* signs of reckoning in one expression */
#define READ_NAME 64      /* characters of a name */
#define READ_LINE 10000   /* bytes of a line */

/* A whole book or common file (also a file of examples beside a book). Never NULL. */
struct tree *read_book(struct arena *arena, struct source *source, struct problems *problems);

/* One finding line, which is the whole of `where` (a span inside a source: the scalar of a
 * YAML file, or all of a command-line word). NULL when it has errors. */
struct tree_finding *read_finding(struct arena *arena, struct span where, struct problems *problems);

/* The readings of one check's answer: "0.3 deg", "nothing", "rock 0.3 deg, settles".
 * A first reading may be bare (TREE_READ_BARE). NULL when it has errors. */
struct tree_reading *read_answer(struct arena *arena, struct span where, struct problems *problems);

/* "36 in", "30 .. 32 in": for findings given as a YAML map. NULL when it has errors. */
struct tree_range *read_range(struct arena *arena, struct span where, struct problems *problems);

/* True for a word that the language keeps for itself (also every unit). */
bool read_is_reserved(const char *word);

#endif
