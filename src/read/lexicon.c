/* The words and figures of a text: a book has a few hundred different ones, each some fifty times. */
#include <string.h>

#include "read/reader.h"

/* Places of the table: one for each few bytes of a text, from the least to the most. */
enum { LEAST_BITS = 4, MOST_BITS = 10, BYTES_A_PLACE = 64 };

enum { EIGHT = 8, LONG = 2 * EIGHT };

#define EACH UINT64_C(0x0101010101010101)
#define HIGH (EACH * 0x80)

struct lexeme {
    uint64_t head, tail; /* its first and its last eight bytes */
    union {
        const struct unit *unit; /* TOKEN_UNIT: none is LONG */
        struct figure *figure;   /* TOKEN_NUMBER: none that is longer than LONG */
        const char *text;        /* the whole, of any other */
    };
    uint32_t size; /* 0: the place is free */
    int token;
};

void lexicon_begin(struct reader *reader, size_t size)
{
    unsigned bits = LEAST_BITS;
    while (bits < MOST_BITS && (size_t)BYTES_A_PLACE << bits < size) {
        bits++;
    }
    reader->lexicon = ARENA_ARRAY(reader->arena, struct lexeme, (size_t)1 << bits);
    reader->lexicon_shift = 64 - bits;
}

/* The first of eight bytes lowest, whatever the machine's order. */
static uint64_t eight_bytes(const char *bytes)
{
    uint64_t eight;
    memcpy(&eight, bytes, sizeof eight);
#if defined(__BYTE_ORDER__) && __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__
    eight = __builtin_bswap64(eight);
#endif
    return eight;
}

/* The high bit of each of eight bytes that is less than '-': a blank, a comma, the end of a line or of
 * the text, but nothing that any token which begins with a letter goes on with. */
static uint64_t ends(uint64_t eight)
{
    return ~(((eight & ~HIGH) + EACH * (0x80u - '-')) | eight) & HIGH;
}

/* How far the word at `bytes` can go. */
static size_t size_to_end(const char *bytes)
{
    size_t size = 0;
    uint64_t end;
    while ((end = ends(eight_bytes(bytes + size))) == 0) {
        size += EIGHT;
    }
    return size + (size_t)__builtin_ctzll(end) / EIGHT;
}

static bool is_letter(char c)
{
    return (c | 0x20) >= 'a' && (c | 0x20) <= 'z';
}

/* As the scanner has it: letters, digits, and hyphens between them. */
static bool is_word(const char *bytes, size_t size)
{
    for (size_t i = 1; i < size; i++) {
        bool plain = is_letter(bytes[i]) || (bytes[i] >= '0' && bytes[i] <= '9');
        if (!plain && (bytes[i] != '-' || bytes[i - 1] == '-')) {
            return false;
        }
    }
    return is_letter(bytes[0]) && bytes[size - 1] != '-';
}

/* Where a text would stand, whether it does or not, and what it is known by. */
static inline struct lexeme *place_of(struct reader *reader, struct span span,
                                      struct lexeme *wanted)
{
    const char *bytes = span.source->bytes + span.from;
    uint32_t size = span.to - span.from;
    uint64_t head = eight_bytes(bytes), tail = 0;
    if (size < EIGHT) {
        head <<= 8 * (EIGHT - size);
    } else {
        tail = eight_bytes(bytes + size - EIGHT);
    }
    *wanted = (struct lexeme){.head = head, .tail = tail, .size = size};
    uint64_t mixed = (head ^ (tail << 7 | tail >> 57) ^ size) * UINT64_C(0x9E3779B97F4A7C15);
    return &reader->lexicon[mixed >> reader->lexicon_shift];
}

static inline bool holds(const struct lexeme *place, const struct lexeme *wanted, struct span span)
{
    return place->head == wanted->head && place->tail == wanted->tail &&
           place->size == wanted->size &&
           (place->size <= LONG ||
            memcmp(place->text, span.source->bytes + span.from, place->size) == 0);
}

/* Puts a word in its place, from which another one goes. False: it is no word. */
static __attribute__((noinline)) bool learn(struct reader *reader, struct span span,
                                            struct lexeme *place, struct lexeme wanted)
{
    const char *bytes = token_bytes(span);
    if (!is_word(bytes, wanted.size)) {
        return false;
    }
    wanted.token = word_token(bytes, wanted.size);
    wanted.unit = wanted.token ? NULL : unit_find(bytes, wanted.size);
    if (wanted.unit) {
        wanted.token = TOKEN_UNIT;
    } else {
        wanted.token = wanted.token ? wanted.token : TOKEN_NAME;
        wanted.text = arena_copy_text(reader->arena, bytes, wanted.size);
    }
    *place = wanted;
    return true;
}

/* The token of what stands at `span`; TOKEN_END: it is no word. */
static inline int look_up(struct reader *reader, struct span span, GRAMMAR_STYPE *value)
{
    struct lexeme wanted, *place = place_of(reader, span, &wanted);
    if (!holds(place, &wanted, span) && !learn(reader, span, place, wanted)) {
        return TOKEN_END;
    }
    if (place->token == TOKEN_UNIT) {
        value->TOKEN_UNIT = place->unit;
    } else if (place->token == TOKEN_NAME) {
        value->TOKEN_NAME = build_fixed_word(reader, span, place->text);
    }
    return place->token;
}

int lexicon_next(struct reader *reader, struct span *span, GRAMMAR_STYPE *value)
{
    size_t to = span->from + size_to_end(span->source->bytes + span->from);
    if (to > reader->to) {
        return TOKEN_END;
    }
    span->to = (uint32_t)to;
    int token = look_up(reader, *span, value);
    if (token != TOKEN_END) {
        reader->position = span->to;
    }
    return token;
}

int lexicon_token(struct reader *reader, struct span span, GRAMMAR_STYPE *value)
{
    return look_up(reader, span, value);
}

/* Of a figure that has no value or is not well written nothing is kept: each is reported. */
static __attribute__((noinline)) int learn_figure(struct reader *reader, struct span span,
                                                  struct lexeme *place, struct lexeme wanted,
                                                  GRAMMAR_STYPE *value)
{
    struct number number;
    const char *bytes = token_bytes(span);
    bool good = number_read(reader->arena, bytes, wanted.size, &number) == NUMBER_GOOD;
    int token = good ? TOKEN_NUMBER : figure_plain(reader, span, &number);
    if (token == TOKEN_NUMBER) {
        value->TOKEN_NUMBER = build_figure(reader, number);
    }
    if (good && wanted.size <= LONG) {
        wanted.token = token;
        wanted.figure = value->TOKEN_NUMBER;
        *place = wanted;
    }
    return token;
}

int lexicon_figure(struct reader *reader, struct span span, GRAMMAR_STYPE *value)
{
    struct lexeme wanted, *place = place_of(reader, span, &wanted);
    if (!holds(place, &wanted, span)) {
        return learn_figure(reader, span, place, wanted, value);
    }
    value->TOKEN_NUMBER = place->figure;
    return TOKEN_NUMBER;
}
