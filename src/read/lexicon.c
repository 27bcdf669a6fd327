/* The words of a text: a book has a few hundred different ones, each some fifty times. */
#include <string.h>

#include "read/reader.h"

/* Places of the table: one for each few bytes of a text, from the least to the most. */
enum { LEAST_BITS = 4, MOST_BITS = 10, BYTES_A_PLACE = 64 };

struct lexeme {
    uint64_t head;    /* its first eight bytes */
    const char *text; /* NULL: the place is free */
    const struct unit *unit;
    uint32_t size;
    int token;
};

/* The first bytes of a word as one number, at most eight; eight may be read. */
static uint64_t first_bytes(const char *bytes, size_t size)
{
    uint64_t value;
    memcpy(&value, bytes, sizeof value);
    if (size >= sizeof value) {
        return value;
    }
    unsigned unused = 8 * (unsigned)(sizeof value - size);
#if defined(__BYTE_ORDER__) && __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__
    return value << unused;
#else
    return value >> unused;
#endif
}

static uint64_t last_bytes(const char *bytes, size_t size)
{
    return size > sizeof(uint64_t) ? first_bytes(bytes + size - sizeof(uint64_t), sizeof(uint64_t))
                                   : 0;
}

void lexicon_begin(struct reader *reader, size_t size)
{
    unsigned bits = LEAST_BITS;
    while (bits < MOST_BITS && (size_t)BYTES_A_PLACE << bits < size) {
        bits++;
    }
    reader->lexicon = ARENA_ARRAY(reader->arena, struct lexeme, (size_t)1 << bits);
    reader->lexicon_shift = 64 - bits;
}

static void find_out(struct reader *reader, struct lexeme *lexeme, const char *bytes, size_t size)
{
    lexeme->text = arena_copy_text(reader->arena, bytes, size);
    lexeme->size = (uint32_t)size;
    lexeme->unit = NULL;
    lexeme->token = word_token(bytes, size);
    if (!lexeme->token) {
        lexeme->unit = unit_find(bytes, size);
        lexeme->token = lexeme->unit ? TOKEN_UNIT : TOKEN_NAME;
    }
}

int lexicon_token(struct reader *reader, struct span span, const char *bytes, GRAMMAR_STYPE *value)
{
    size_t size = span.to - span.from;
    uint64_t head = first_bytes(bytes, size), tail = last_bytes(bytes, size);
    uint64_t mixed = (head ^ (tail << 7 | tail >> 57) ^ size) * UINT64_C(0x9E3779B97F4A7C15);
    struct lexeme *lexeme = &reader->lexicon[mixed >> reader->lexicon_shift];
    if (!lexeme->text || lexeme->head != head || lexeme->size != size ||
        (size > sizeof head && memcmp(lexeme->text, bytes, size) != 0)) {
        find_out(reader, lexeme, bytes, size); /* another word that had the place goes */
        lexeme->head = head;
    }
    if (lexeme->token == TOKEN_UNIT) {
        value->TOKEN_UNIT = lexeme->unit;
    } else if (lexeme->token == TOKEN_NAME) {
        value->TOKEN_NAME = build_fixed_word(reader, span, lexeme->text);
    }
    return lexeme->token;
}
