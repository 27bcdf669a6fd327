/*
 * Characters of a UTF-8 text as a terminal shows them.
 *
 * What a file holds is never sent raw to a terminal: control characters could move its
 * cursor, and bidirectional ones could show a line in another order than it is read in.
 */
#ifndef STAVE_SHOW_CHARACTERS_H
#define STAVE_SHOW_CHARACTERS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct character {
    uint32_t point;  /* code point; for a malformed byte that byte's value */
    unsigned length; /* bytes, at least 1 */
    bool malformed;  /* not UTF-8: one byte to be shown as itself */
};

/* The character at the start of a zero-terminated text that is not empty. */
struct character character_read(const char *text);

/* Printable ASCII, as nearly all is: of one byte and one column, and shown as itself. */
static inline bool character_is_plain(char byte)
{
    return byte >= ' ' && byte <= '~';
}

/* Must be shown by its number: a control, invisible or direction-changing character. */
bool character_is_hidden(uint32_t point);

/* Columns that it takes on a terminal: 0 for a combining mark, 2 for a wide one, else 1. */
unsigned character_columns(uint32_t point);

/* Room for what character_spell writes, with its closing zero. */
#define CHARACTER_SPELLING 12

/* The character as it may be shown: itself, "<U+202E>", or "<0xFF>" for a malformed byte.
 * Gives the columns that it takes. */
unsigned character_spell(const char *text, struct character character,
                         char spelling[CHARACTER_SPELLING]);

#endif
