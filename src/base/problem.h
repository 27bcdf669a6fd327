/*
 * Texts under reading, places in them, and the problems found.
 *
 * A span is two byte offsets in a source; line, column and excerpt are worked
 * out only when a problem is reported. Problems collect in a list that becomes
 * part of the handle; a list keeps at most PROBLEM_CAP errors (the last then
 * says how to see more: mend these first) and as many warnings, so that a
 * hostile text stays cheap. For the same reason a message is cut at 1000 bytes.
 * What is shown (names, messages, excerpts) holds no control characters.
 */
#ifndef STAVE_BASE_PROBLEM_H
#define STAVE_BASE_PROBLEM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"

#define PROBLEM_CAP 100

struct checkpoint;

struct source {
    const char *name;        /* as it may be shown */
    const char *given_name;  /* byte for byte, for the host's find_text */
    const char *bytes;       /* a copy in the arena, SOURCE_BEHIND zero bytes after the end */
    size_t size;
    const uint32_t *line_starts; /* made when opened: judging writes to no source */
    size_t line_count;
    size_t longest_line; /* bytes, without its line feed */
    const struct checkpoint *checkpoints; /* for columns in very long lines, else NULL */
    const char *sha256;      /* of the bytes as given */
    uint32_t order;          /* which text of its list of problems, from 1 */
    uint32_t first_line;     /* number of the first line, 1 but for tests */
};

/* Zero bytes behind a text: it can be read eight bytes at a time. */
enum { SOURCE_BEHIND = 8 };

struct span {
    struct source *source;   /* NULL: no place */
    uint32_t from, to;       /* byte offsets, from <= to */
};

struct problem_key;

struct problems {
    struct arena *arena;
    struct stave_problem *items;
    struct problem_key *keys; /* what each item is sorted by */
    size_t count, capacity;
    size_t error_count, warning_count; /* also those past the cap */
    struct stave_problem *unkept;      /* the slot for those */
    uint32_t text_count;      /* texts opened so far */
};

/* Largest text of each sort, in bytes; a larger one is refused whole. */
#define SOURCE_BOOK_LIMIT (8u << 20)
#define SOURCE_RECORD_LIMIT (16u << 20)

void problems_begin(struct problems *problems, struct arena *arena);

/*
 * Copies a text, digests it (SHA-256, nettle), skips a byte-order mark and checks what every
 * text must satisfy: size, UTF-8, no NUL, no lone control characters but tab, CR LF and LF;
 * and none that makes a line look other than it reads (U+2028 to U+202E, U+2066 to U+2069).
 * Reports what is wrong (the first fault of each line) and returns NULL then.
 */
struct source *source_open(struct arena *arena, const struct stave_text *text, size_t limit,
                           struct problems *problems);

struct span span_join(struct span a, struct span b); /* from a's start to b's end */

/*
 * Adds a problem and gives it back so that more can be set:
 *     problem = problem_add(problems, STAVE_ERROR, "unknown-name", span, "unknown kind '%s'", name);
 *     problem_second(problem, problems, span2, "declared here");
 *     problem_help(problem, problems, "did you mean '%s'?", near);
 * Never NULL (past the cap it gives a slot that is not kept). Good until the next is added.
 */
struct stave_problem *problem_add(struct problems *problems, enum stave_severity severity,
                                  const char *code, struct span at, const char *format, ...)
    __attribute__((format(printf, 5, 6)));
void problem_second(struct stave_problem *problem, struct problems *problems, struct span at,
                    const char *format, ...) __attribute__((format(printf, 4, 5)));
void problem_help(struct stave_problem *problem, struct problems *problems, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Sorts by text (in the order that the texts were opened; no place first), then place; stable.
 * "More than listed here" stays last. */
void problems_sort(struct problems *problems);

/*
 * Adds what lists of the same texts hold, each problem once. One that is not in all of them says
 * in which it is, by the name of its first list: "… (in model 'BM-3A')".
 */
void problems_join(struct problems *into, const struct problems *const *lists,
                   const char *const *names, size_t count);

/* Line number (from 1) of a span's start; 0 for no place. */
uint32_t span_line(struct arena *arena, struct span span);
/* A span as it is shown; one without a source is line 1 of a text without a name. */
struct stave_place span_place(struct arena *arena, struct span span);
/* The text of a span, blanks and comments folded to single spaces, as one line. Strings and
 * what follows a ';' (a remark) stay as they are. */
const char *span_text(struct arena *arena, struct span span);

#endif
