/*
 * Plain tokens: what nearly all of a text is made of, taken without the scanner's table. Each is taken
 * only where what stands behind it settles that no rule of grammar/stave.l matches more or otherwise
 * there; all else, and every fault, is the scanner's to tell.
 *
 * A book has a few hundred different words and figures, each some fifty times: they are looked up once.
 */
#include <string.h>

#include "read/reader.h"

/* Places of the lexicon: one for each few bytes of a text, from the least to the most. */
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

/* ---- bytes ---------------------------------------------------------------------------- */

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

/* The high bit of each of eight bytes that is less than `least`. */
static uint64_t below(uint64_t eight, unsigned char least)
{
    return ~(((eight & ~HIGH) + EACH * (0x80u - least)) | eight) & HIGH;
}

/* How far what begins with a letter goes, be it a word or not. What is less than '-' (a blank, a comma, the
 * end of a line or of the text) is nothing that any token which begins with a letter goes on with. */
static const char *word_end(const char *at)
{
    uint64_t end;
    while ((end = below(eight_bytes(at), '-')) == 0) {
        at += EIGHT;
    }
    return at + (size_t)__builtin_ctzll(end) / EIGHT;
}

/* As the scanner has it: letters, digits, and hyphens between them. */
static bool is_word(const char *bytes, size_t size)
{
    for (size_t i = 1; i < size; i++) {
        bool plain = is_letter(bytes[i]) || is_digit(bytes[i]);
        if (!plain && (bytes[i] != '-' || bytes[i - 1] == '-')) {
            return false;
        }
    }
    return is_letter(bytes[0]) && bytes[size - 1] != '-';
}

/* Of digits, with a decimal point and more behind it or not. */
static const char *figure_end(const char *at)
{
    while (is_digit(*at)) {
        at++;
    }
    if (at[0] == '.' && is_digit(at[1])) {
        do {
            at++;
        } while (is_digit(*at));
    }
    return at;
}

/* Whether a figure has its end here: "1 1/2", "1,5" and "1.." go on. */
static bool ends_figure(const char *end)
{
    if (end[0] == '\n' || end[0] == '\r' || end[0] == ')') {
        return true;
    }
    if (end[0] == ',') {
        return !is_digit(end[1]);
    }
    if (!is_blank(end[0])) {
        return false;
    }
    while (is_blank(*end)) {
        end++;
    }
    return !is_digit(*end);
}

/* The high bit of each of eight bytes that is `byte`, which is below 0x80. */
static uint64_t equals(uint64_t eight, unsigned char byte)
{
    uint64_t other = eight ^ EACH * byte;
    return ~(((other & ~HIGH) + ~HIGH) | other) & HIGH;
}

/* Of a string, its closing quote included. NULL when an escape is in it or it is not closed. */
static const char *string_end(const char *at)
{
    uint64_t eight, end;
    at++;
    while (eight = eight_bytes(at),
           (end = equals(eight, '"') | equals(eight, '\\') | below(eight, ' ')) == 0) {
        at += EIGHT;
    }
    at += (size_t)__builtin_ctzll(end) / EIGHT;
    return *at == '"' ? at + 1 : NULL;
}

/* The token of a sign, which ends at *end; TOKEN_END: not a plain one. */
static int sign(const char *at, const char **end)
{
    *end = at + 1;
    switch (*at) {
    case '\n':
        return TOKEN_LINE_END;
    case ',':
        return TOKEN_COMMA;
    case '(':
        return TOKEN_OPEN;
    case ')':
        return TOKEN_CLOSE;
    case '*':
        return is_blank(at[1]) ? TOKEN_TIMES : TOKEN_END;
    case '.':
        *end = at + 2;
        return at[1] == '.' && is_blank(at[2]) ? TOKEN_DOTS : TOKEN_END;
    case '"':
        *end = string_end(at);
        return *end != NULL ? TOKEN_STRING : TOKEN_END;
    case '%':
        return TOKEN_UNIT;
    default:
        return TOKEN_END;
    }
}

/* ---- the lexicon ------------------------------------------------------------------------- */

void lexicon_begin(struct reader *reader, size_t size)
{
    unsigned bits = LEAST_BITS;
    while (bits < MOST_BITS && (size_t)BYTES_A_PLACE << bits < size) {
        bits++;
    }
    reader->lexicon = ARENA_ARRAY(reader->arena, struct lexeme, (size_t)1 << bits);
    reader->lexicon_shift = 64 - bits;
    reader->percent = unit_find("%", 1);
}

/* What a word or a figure is known by. */
struct key {
    uint64_t head, tail; /* of eight bytes or less: no tail */
    uint32_t size;
};

static inline struct key key_of(struct span span)
{
    const char *bytes = span.source->bytes + span.from;
    struct key key = {eight_bytes(bytes), 0, span.to - span.from};
    if (key.size < EIGHT) {
        key.head <<= 8 * (EIGHT - key.size);
    } else {
        key.tail = eight_bytes(bytes + key.size - EIGHT);
    }
    return key;
}

/* Where it would stand, whether it does or not. */
static inline struct lexeme *place_of(struct reader *reader, struct key key)
{
    uint64_t mixed =
        (key.head ^ (key.tail << 7 | key.tail >> 57) ^ key.size) * UINT64_C(0x9E3779B97F4A7C15);
    return &reader->lexicon[mixed >> reader->lexicon_shift];
}

static inline bool holds(const struct lexeme *place, struct key key, struct span span)
{
    return place->head == key.head && place->tail == key.tail && place->size == key.size &&
           (key.size <= LONG || memcmp(place->text, span.source->bytes + span.from, key.size) == 0);
}

static struct lexeme lexeme_of(struct key key, int token)
{
    return (struct lexeme){.head = key.head, .tail = key.tail, .size = key.size, .token = token};
}

/* Puts a word in its place, from which another one goes. False: it is no word. */
static __attribute__((noinline)) bool learn_word(struct reader *reader, struct span span)
{
    const char *bytes = token_bytes(span);
    struct key key = key_of(span);
    if (!is_word(bytes, key.size)) {
        return false;
    }
    struct lexeme word = lexeme_of(key, word_token(bytes, key.size));
    const struct unit *unit = word.token ? NULL : unit_find(bytes, key.size);
    if (unit) {
        word.token = TOKEN_UNIT;
        word.unit = unit;
    } else {
        word.token = word.token ? word.token : TOKEN_NAME;
        word.text = arena_copy_text(reader->arena, bytes, key.size);
    }
    *place_of(reader, key) = word;
    return true;
}

/* The token of what stands at `span`; TOKEN_END: it is no word. */
static inline __attribute__((always_inline)) int
look_up_word(struct reader *reader, struct span span, GRAMMAR_STYPE *value)
{
    struct key key = key_of(span);
    const struct lexeme *place = place_of(reader, key);
    if (!holds(place, key, span) && !learn_word(reader, span)) {
        return TOKEN_END;
    }
    if (place->token == TOKEN_UNIT) {
        value->TOKEN_UNIT = place->unit;
    } else if (place->token == TOKEN_NAME) {
        value->TOKEN_NAME = build_fixed_word(reader, span, place->text);
    }
    return place->token;
}

int lexicon_token(struct reader *reader, struct span span, GRAMMAR_STYPE *value)
{
    return look_up_word(reader, span, value);
}

/* NULL: the figure is not well written, or has no value. That is told each time. */
static __attribute__((noinline)) struct figure *learn_figure(struct reader *reader,
                                                             struct span span)
{
    struct number number;
    struct key key = key_of(span);
    if (number_read(reader->arena, token_bytes(span), key.size, &number) != NUMBER_GOOD) {
        return NULL;
    }
    struct lexeme lexeme = lexeme_of(key, TOKEN_NUMBER);
    lexeme.figure = build_figure(reader, number);
    if (key.size <= LONG) {
        *place_of(reader, key) = lexeme;
    }
    return lexeme.figure;
}

static inline struct figure *look_up_figure(struct reader *reader, struct span span)
{
    struct key key = key_of(span);
    const struct lexeme *place = place_of(reader, key);
    return holds(place, key, span) ? place->figure : learn_figure(reader, span);
}

/* ---- taking them ----------------------------------------------------------------------------- */

/* The kind of the token at `at`, with its site and value; TOKEN_END: it is not plain. */
static inline int plain_token(struct reader *reader, const char *at, struct token *token)
{
    const char *text = reader->source->bytes, *end;
    bool is_name = is_letter(*at);
    int kind = TOKEN_NUMBER;
    if (is_name) {
        end = word_end(at);
    } else if (!is_digit(*at)) {
        kind = sign(at, &end);
    } else if (!ends_figure(end = figure_end(at))) {
        kind = TOKEN_END;
    }
    if (kind == TOKEN_END || end > text + reader->to) {
        return TOKEN_END;
    }
    const struct site site = {(uint32_t)(at - text), (uint32_t)(end - text)};
    token->site = site;
    if (is_name) {
        return look_up_word(reader, site_span(reader, site), &token->value);
    }
    if (kind == TOKEN_NUMBER) {
        token->value.TOKEN_NUMBER = look_up_figure(reader, site_span(reader, site));
        return token->value.TOKEN_NUMBER ? TOKEN_NUMBER : TOKEN_END;
    }
    if (kind == TOKEN_UNIT) {
        token->value.TOKEN_UNIT = reader->percent;
    }
    return kind;
}

bool plain_gather(struct reader *reader)
{
    const char *text = reader->source->bytes, *at = text + reader->position;
    struct token *token = reader->ahead + AHEAD_BACK, *last = token + AHEAD_PLAIN;
    int kind = reader->line.mute ? TOKEN_LINE_END : TOKEN_END;
    while (token < last && kind != TOKEN_LINE_END) {
        while (is_blank(*at)) {
            at++;
        }
        token->kind = kind = plain_token(reader, at, token);
        if (kind == TOKEN_END) {
            break;
        }
        reader->position = token->site.to;
        at = text + reader->position;
        token++;
    }
    reader->ahead_next = AHEAD_BACK;
    reader->ahead_end = (unsigned)(token - reader->ahead);
    return reader->ahead_end > reader->ahead_next;
}
