/*
 * Text: UTF-8 checks, columns as a reader counts them, and building strings.
 */
#ifndef STAVE_BASE_TEXT_H
#define STAVE_BASE_TEXT_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include "base/arena.h"

/* Whether two names are the same. Most are not and differ in the first byte; most that are the same are one. */
static inline bool text_same(const char *a, const char *b)
{
    return a == b || (a[0] == b[0] && strcmp(a, b) == 0);
}

/* A string under construction in an arena. `bytes` is always zero-terminated
 * once anything was added; text_done gives "" for an empty one. */
struct text {
    struct arena *arena;
    char *bytes;
    size_t size, capacity;
};

void text_begin(struct text *text, struct arena *arena);
void text_add(struct text *text, const char *string);
void text_add_bytes(struct text *text, const char *bytes, size_t size);
void text_add_char(struct text *text, char c);
/* printf-like, for %s %d %u %zu %c only with short results; built on vsnprintf. */
void text_addf(struct text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
const char *text_done(struct text *text);

const char *text_format(struct arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* The length in bytes of the UTF-8 character at `bytes` (1 to 4), or 0 when it
 * is malformed (overlong, surrogate, above U+10FFFF, cut off). Gives the code
 * point in *point when point is not NULL. */
size_t text_utf8_length(const char *bytes, size_t size, uint32_t *point);
/* The offset of the first byte that is not UTF-8, or `size` when all is well. */
size_t text_first_bad_utf8(const char *bytes, size_t size);

/*
 * Columns that a character takes on a terminal: 0 for combining marks and
 * other zero-width characters, 2 for wide East Asian ones, else 1. (A table of
 * the common ranges; libc's wcwidth depends on the locale.)
 */
unsigned text_columns(uint32_t point);

/* The name nearest to `wanted` among `names` by edit distance (case ignored, two swapped
 * neighbours one edit), or NULL when none is near (over a third of the longer one's
 * length, over 3, or longer than 64 bytes). Ties: the first. Call it only for a
 * problem that is kept (problems->error_count below PROBLEM_CAP): it reads every name. */
const char *text_nearest(struct arena *scratch, const char *wanted, const char *const *names,
                         size_t count);

#endif
