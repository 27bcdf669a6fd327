/*
 * What changed from one book to another as it is written, and which worked examples come out
 * otherwise. Where the answers of the two differ is said by compare_make (prove/claims.h).
 *
 *     entry.c      a book as a list of entries, each with its lines brought to a form in which "0.030 in" and
 *                  "30 thou" are the same
 *     changes.c    entries held against each other
 *     other.c      the examples of each book judged by the other
 */
#ifndef STAVE_PROVE_CHANGES_H
#define STAVE_PROVE_CHANGES_H

#include "prove/prove.h"
#include "read/rename.h"

/* A word, sign or figure. Two are the same when their texts are; a figure with its unit is one. */
struct mark {
    const char *text; /* a figure: its value in base units, and its dimension */
    bool figure;
};

/* One line of an entry, without its blanks and comments. */
struct entry_line {
    struct mark *marks;
    uint32_t count;
    struct span span;
    const char
        *anchor; /* lines that say the same thing anew have the same: the outcome, the station */
};

/* Something that a book declares under a name. */
struct entry {
    const char *sort;         /* "zone", "curve", "limit" */
    const char *name;         /* as its own book has it: "tip", "gouge, nick on skin" */
    const char *key;          /* by which it is found in the other book: in the second's words */
    struct entry_line *lines; /* the first is its head */
    uint32_t count;
    size_t capacity;
    bool matched;
};

struct entries {
    struct entry *items;
    uint32_t count;
    size_t capacity;
};

/* All that a book declares but its examples, by sort and then in the order of the texts. */
struct entries entries_of(struct arena *arena, const struct book *book,
                          const struct renames *renames);
bool lines_same(const struct entry_line *a, const struct entry_line *b);
/* They differ in the values of figures alone. */
bool lines_alike(const struct entry_line *a, const struct entry_line *b);

/* Fills what is said of the books as they are written. */
void changes_list(struct arena *arena, const struct book *first, const struct book *second,
                  const struct renames *renames, struct stave_changes *changes);
/* Fills what is said of their examples. */
void changes_judge(struct arena *arena, const struct ready_book *first,
                   const struct ready_book *second, const struct renames *renames,
                   struct stave_changes *changes);

#endif
