/* Where the cells of a stretch of CSV end. */
#include "sweep/stretch.h"

#include <string.h>

#include "base/text.h"

#define WINDOW 64
#define NONE UINT16_MAX

void stretch_begin(struct stretch *stretch)
{
    for (unsigned byte = 0; byte < 256; byte++) {
        unsigned count = 0;
        for (unsigned bit = 0; bit < 8; bit++) {
            if (byte >> bit & 1) {
                stretch->places[byte][count++] = (uint8_t)(bit + 1);
            }
        }
        while (count < 8) {
            stretch->places[byte][count++] = 0;
        }
    }
}

/* ---- 64 bytes at a time ------------------------------------------------------------------- */

/* As bits: which are commas or line ends, which line ends, and what an easy row does not have. */
struct window {
    uint64_t stops, lines, specials;
};

#ifdef __SSE2__

/* Sixteen bytes of it; gives those that an easy row does not have. */
static inline __m128i look_at_sixteen(const char *bytes, unsigned shift, struct window *window)
{
    __m128i all = _mm_loadu_si128((const __m128i *)(const void *)bytes);
    __m128i line = _mm_cmpeq_epi8(all, _mm_set1_epi8('\n'));
    __m128i stop = _mm_or_si128(line, _mm_cmpeq_epi8(all, _mm_set1_epi8(',')));
    /* Below a blank, also what is no ASCII, as bytes have a sign here. */
    __m128i odd = _mm_andnot_si128(line, _mm_cmplt_epi8(all, _mm_set1_epi8(' ')));
    window->stops |= (uint64_t)(uint32_t)_mm_movemask_epi8(stop) << shift;
    window->lines |= (uint64_t)(uint32_t)_mm_movemask_epi8(line) << shift;
    return _mm_or_si128(odd, _mm_cmpeq_epi8(all, _mm_set1_epi8('"')));
}

static inline struct window look_at(const char *bytes)
{
    struct window window = {0};
    __m128i a = look_at_sixteen(bytes, 0, &window);
    __m128i b = look_at_sixteen(bytes + 16, 16, &window);
    __m128i c = look_at_sixteen(bytes + 32, 32, &window);
    __m128i d = look_at_sixteen(bytes + 48, 48, &window);
    if (_mm_movemask_epi8(_mm_or_si128(_mm_or_si128(a, b), _mm_or_si128(c, d)))) {
        window.specials = (uint64_t)(uint32_t)_mm_movemask_epi8(a) |
                          (uint64_t)(uint32_t)_mm_movemask_epi8(b) << 16 |
                          (uint64_t)(uint32_t)_mm_movemask_epi8(c) << 32 |
                          (uint64_t)(uint32_t)_mm_movemask_epi8(d) << 48;
    }
    return window;
}

#else

static inline struct window look_at(const char *bytes)
{
    struct window window = {0};
    for (unsigned i = 0; i < WINDOW; i++) {
        unsigned char c = (unsigned char)bytes[i];
        uint64_t bit = UINT64_C(1) << i;
        window.stops |= c == ',' || c == '\n' ? bit : 0;
        window.lines |= c == '\n' ? bit : 0;
        window.specials |= (c < ' ' && c != '\n') || c == '"' || c >= 128 ? bit : 0;
    }
    return window;
}

#endif

/* ---- places ----------------------------------------------------------------------------------- */

#define EACH_BYTE UINT64_C(0x0101010101010101)

/* By byte: how many bits it and those before it have. */
static inline uint64_t running_counts(uint64_t bits)
{
    bits -= bits >> 1 & EACH_BYTE * 0x55;
    bits = (bits & EACH_BYTE * 0x33) + (bits >> 2 & EACH_BYTE * 0x33);
    bits = (bits + (bits >> 4)) & EACH_BYTE * 0x0F;
    return bits * EACH_BYTE;
}

#ifdef __SSE2__

static inline void put_eight(const struct stretch *stretch, uint16_t *to, uint64_t bits,
                             uint64_t before, unsigned shift, __m128i begin)
{
    __m128i eight =
        _mm_loadl_epi64((const __m128i *)(const void *)stretch->places[bits >> shift & 255]);
    eight = _mm_add_epi16(_mm_unpacklo_epi8(eight, _mm_setzero_si128()), begin);
    _mm_storeu_si128((__m128i *)(void *)(to + (before >> shift & 255)), eight);
}

/* Writes where the bits stand, counted from `place`; gives how many. Up to eight more are overwritten. */
static inline uint32_t put_places(const struct stretch *stretch, uint16_t *to, uint64_t bits,
                                  uint32_t place)
{
    const __m128i eight = _mm_set1_epi16(8);
    uint64_t counts = running_counts(bits), before = counts << 8;
    __m128i begin = _mm_set1_epi16((short)place);
    put_eight(stretch, to, bits, before, 0, begin);
    put_eight(stretch, to, bits, before, 8, begin = _mm_add_epi16(begin, eight));
    put_eight(stretch, to, bits, before, 16, begin = _mm_add_epi16(begin, eight));
    put_eight(stretch, to, bits, before, 24, begin = _mm_add_epi16(begin, eight));
    put_eight(stretch, to, bits, before, 32, begin = _mm_add_epi16(begin, eight));
    put_eight(stretch, to, bits, before, 40, begin = _mm_add_epi16(begin, eight));
    put_eight(stretch, to, bits, before, 48, begin = _mm_add_epi16(begin, eight));
    put_eight(stretch, to, bits, before, 56, begin = _mm_add_epi16(begin, eight));
    return (uint32_t)(counts >> 56);
}

#else

static inline uint32_t put_places(const struct stretch *stretch, uint16_t *to, uint64_t bits,
                                  uint32_t place)
{
    (void)stretch;
    for (uint64_t left = bits; left; left &= left - 1) {
        *to++ = (uint16_t)(place + 1 + (uint32_t)__builtin_ctzll(left));
    }
    return (uint32_t)(running_counts(bits) >> 56);
}

#endif

void stretch_look(struct stretch *stretch, const char *begin, const char *from, const char *end)
{
    size_t left = (size_t)(end - from), size = left < STRETCH_BYTES ? left : STRETCH_BYTES;
    uint32_t stops = 1, lines = 0, specials = 0;
    stretch->start = from;
    stretch->stops[0] = 0;
    for (uint32_t at = 0; at < size; at += WINDOW) {
        const char *bytes = from + at;
        char tail[WINDOW];
        if (left - at < WINDOW) {
            memset(tail, ' ', sizeof tail);
            memcpy(tail, bytes, left - at);
            bytes = tail;
        }
        struct window window = look_at(bytes);
        stops += put_places(stretch, stretch->stops + stops, window.stops, at);
        do { /* most have none or one: the first is written anyway */
            uint64_t first = window.lines | UINT64_C(1) << 63;
            stretch->lines[lines] = (uint16_t)(at + 1 + (uint32_t)__builtin_ctzll(first));
            lines += window.lines != 0;
            window.lines &= window.lines - 1;
        } while (window.lines);
        for (; window.specials; window.specials &= window.specials - 1) {
            uint32_t place = at + (uint32_t)__builtin_ctzll(window.specials);
            if (from[place] != '\r' || place + 1 >= left || from[place + 1] != '\n') {
                stretch->specials[specials++] = (uint16_t)(place + 1);
            }
        }
    }
    stretch->stop_count = stops - 1;
    stretch->lines[lines] = stretch->specials[specials] = NONE;
    stretch->stop = stretch->line = stretch->special = 0;
    stretch->room_begin = from - begin < STRETCH_SPARE ? STRETCH_SPARE : 0;
    stretch->room_end = left < STRETCH_SPARE ? 0 : (uint32_t)(left - STRETCH_SPARE);
}

/* ---- rows with something special -------------------------------------------------------------- */

static unsigned char byte_at(const struct stretch *stretch, uint32_t place)
{
    return (unsigned char)stretch->start[place - 1];
}

/* Passes a cell in quotes, of which the first is the special at hand; `stop` is the one before it.
 * False where it is not a plain one. */
static bool pass_quotes(const struct stretch *stretch, uint32_t *special, uint32_t *stop,
                        bool *ascii)
{
    uint32_t at = *special, close;
    uint32_t end = stretch->lines[stretch->line];
    bool doubled;
    do {
        at++;
        while (stretch->specials[at] < end && byte_at(stretch, stretch->specials[at]) >= 128) {
            *ascii = false;
            at++;
        }
        close = stretch->specials[at];
        if (close > end || byte_at(stretch, close) != '"') {
            return false;
        }
        doubled = byte_at(stretch, close + 1) == '"';
        at += doubled;
    } while (doubled);
    while (stretch->stops[*stop + 1] < close) {
        ++*stop;
    }
    uint32_t next = stretch->stops[*stop + 1];
    *special = at + 1;
    return next == close + 1 ||
           (next == close + 2 && next == end && byte_at(stretch, close + 1) == '\r');
}

void stretch_drop_return(struct cells *cells, uint32_t count, uint16_t *own)
{
    if (cells->stops != own) {
        memcpy(own, cells->stops, (count + 1) * sizeof *own);
    }
    own[count]--;
    cells->stops = own;
}

enum stretch_row stretch_special_row(struct stretch *stretch, uint32_t count, struct cells *cells,
                                     uint16_t *own)
{
    uint32_t end = stretch->lines[stretch->line];
    uint32_t stop = stretch->stop, special = stretch->special, found = 0;
    bool ascii = true, quotes = false;
    if (end == NONE) {
        return STRETCH_OVER;
    }
    own[0] = stretch->stops[stop];
    while (stop < stretch->stop_count && own[found] != end) {
        uint32_t next = stretch->stops[stop + 1];
        if (stretch->specials[special] > next) {
            if (found == count) {
                return STRETCH_HARD;
            }
            own[++found] = (uint16_t)next;
            stop++;
        } else if (byte_at(stretch, stretch->specials[special]) >= 128) {
            ascii = false;
            special++;
        } else if (byte_at(stretch, stretch->specials[special]) == '"' &&
                   stretch->specials[special] == own[found] + 1u &&
                   pass_quotes(stretch, &special, &stop, &ascii)) {
            quotes = true;
        } else {
            return STRETCH_HARD;
        }
    }
    const char *row = stretch_at(stretch);
    size_t size = end - stretch->stops[stretch->stop];
    if (found != count || end > stretch->room_end ||
        stretch->stops[stretch->stop] < stretch->room_begin ||
        (!ascii && text_first_bad_utf8(row, size) != size)) {
        return STRETCH_HARD;
    }
    *cells = (struct cells){.start = stretch->start, .stops = own, .quotes = quotes};
    if (byte_at(stretch, end - 1) == '\r') {
        stretch_drop_return(cells, count, own);
    }
    stretch->stop = stop;
    stretch->special = special;
    stretch->line++;
    return STRETCH_EASY;
}
