#include "base/text.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>

/* ---- building ------------------------------------------------------------- */

void text_begin(struct text *text, struct arena *arena)
{
    *text = (struct text){.arena = arena};
}

/* Makes room for `more` bytes and the zero after them. */
static void text_reserve(struct text *text, size_t more)
{
    if (more > SIZE_MAX / 4 || text->size > SIZE_MAX / 4) {
        arena_escape(text->arena, STAVE_NO_MEMORY);
    }
    size_t wanted = text->size + more + 1;
    if (wanted <= text->capacity) {
        return;
    }
    size_t capacity = text->capacity < 32 ? 64 : 2 * text->capacity;
    if (capacity < wanted) {
        capacity = wanted;
    }
    if (!text->bytes || !arena_resize(text->arena, text->bytes, text->capacity, capacity)) {
        text->bytes = arena_grow_array(text->arena, text->bytes, text->size, capacity, 1);
    }
    text->capacity = capacity;
}

void text_add_bytes(struct text *text, const char *bytes, size_t size)
{
    text_reserve(text, size);
    if (size != 0) {
        memcpy(text->bytes + text->size, bytes, size);
    }
    text->size += size;
    text->bytes[text->size] = '\0';
}

void text_add(struct text *text, const char *string)
{
    text_add_bytes(text, string, strlen(string));
}

void text_add_char(struct text *text, char c)
{
    text_add_bytes(text, &c, 1);
}

static void add_formatted(struct text *text, const char *format, va_list arguments)
    __attribute__((format(printf, 2, 0)));
static void add_formatted(struct text *text, const char *format, va_list arguments)
{
    char buffer[256];
    va_list again;
    va_copy(again, arguments);
    int size = vsnprintf(buffer, sizeof buffer, format, arguments);
    if (size < 0) { /* only for a result over INT_MAX */
        va_end(again);
        arena_escape(text->arena, STAVE_TOO_BIG);
    }
    if ((size_t)size < sizeof buffer) {
        text_add_bytes(text, buffer, (size_t)size);
    } else {
        text_reserve(text, (size_t)size);
        (void)vsnprintf(text->bytes + text->size, (size_t)size + 1, format, again);
        text->size += (size_t)size;
    }
    va_end(again);
}

void text_addf(struct text *text, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    add_formatted(text, format, arguments);
    va_end(arguments);
}

const char *text_done(struct text *text)
{
    if (text->bytes != NULL && arena_resize(text->arena, text->bytes, text->capacity,
                                            text->size + 1)) {
        text->capacity = text->size + 1;
    }
    return text->bytes != NULL ? text->bytes : "";
}

const char *text_format(struct arena *arena, const char *format, ...)
{
    struct text text;
    text_begin(&text, arena);
    va_list arguments;
    va_start(arguments, format);
    add_formatted(&text, format, arguments);
    va_end(arguments);
    return text_done(&text);
}

/* ---- UTF-8 ------------------------------------------------------------------ */

static bool continues(char byte)
{
    return ((unsigned char)byte & 0xC0u) == 0x80u;
}

size_t text_utf8_length(const char *bytes, size_t size, uint32_t *point)
{
    if (size == 0) {
        return 0;
    }
    unsigned char first = (unsigned char)bytes[0];
    uint32_t value = 0, least = 0;
    size_t length = 0;
    if (first < 0x80) {
        length = 1, value = first;
    } else if (first >= 0xC2 && first <= 0xDF) {
        length = 2, value = first & 0x1Fu, least = 0x80;
    } else if (first >= 0xE0 && first <= 0xEF) {
        length = 3, value = first & 0x0Fu, least = 0x800;
    } else if (first >= 0xF0 && first <= 0xF4) {
        length = 4, value = first & 0x07u, least = 0x10000;
    }
    if (length == 0 || length > size) {
        return 0;
    }
    for (size_t i = 1; i < length; i++) {
        if (!continues(bytes[i])) {
            return 0;
        }
        value = value << 6 | ((unsigned char)bytes[i] & 0x3Fu);
    }
    if (value < least || value > 0x10FFFF || (value >= 0xD800 && value <= 0xDFFF)) {
        return 0;
    }
    if (point != NULL) {
        *point = value;
    }
    return length;
}

size_t text_first_bad_utf8(const char *bytes, size_t size)
{
    size_t at = 0;
    while (at < size) {
        uint64_t eight;
        while (size - at >= sizeof eight) { /* most text is ASCII */
            memcpy(&eight, bytes + at, sizeof eight);
            if (eight & UINT64_C(0x8080808080808080)) {
                break;
            }
            at += sizeof eight;
        }
        if (at == size) {
            break;
        }
        size_t length =
            (unsigned char)bytes[at] < 0x80 ? 1 : text_utf8_length(bytes + at, size - at, NULL);
        if (length == 0) {
            break;
        }
        at += length;
    }
    return at;
}

/* ---- columns ------------------------------------------------------------------- */

struct point_range {
    uint32_t first, last;
};

/* Combining marks and zero-width characters of the common scripts, ascending. */
static const struct point_range zero_width[] = {
    {0x0300, 0x036F},   {0x0483, 0x0489}, {0x0591, 0x05BD}, {0x05BF, 0x05BF}, {0x05C1, 0x05C2},
    {0x05C4, 0x05C5},   {0x05C7, 0x05C7}, {0x0610, 0x061A}, {0x064B, 0x065F}, {0x0670, 0x0670},
    {0x06D6, 0x06DC},   {0x06DF, 0x06E4}, {0x06E7, 0x06E8}, {0x06EA, 0x06ED}, {0x0900, 0x0902},
    {0x093A, 0x093A},   {0x093C, 0x093C}, {0x0941, 0x0948}, {0x094D, 0x094D}, {0x0E31, 0x0E31},
    {0x0E34, 0x0E3A},   {0x0E47, 0x0E4E}, {0x1160, 0x11FF}, {0x1AB0, 0x1AFF}, {0x1DC0, 0x1DFF},
    {0x200B, 0x200F},   {0x202A, 0x202E}, {0x2060, 0x206F}, {0x20D0, 0x20FF}, {0x302A, 0x302D},
    {0x3099, 0x309A},   {0xFE00, 0xFE0F}, {0xFE20, 0xFE2F}, {0xFEFF, 0xFEFF}, {0xE0001, 0xE007F},
    {0xE0100, 0xE01EF},
};

/* Wide and full-width East Asian characters and the common pictographs, ascending. */
static const struct point_range double_width[] = {
    {0x1100, 0x115F},   {0x231A, 0x231B},   {0x2329, 0x232A},   {0x23E9, 0x23EC},
    {0x2614, 0x2615},   {0x26A1, 0x26A1},   {0x2705, 0x2705},   {0x274C, 0x274C},
    {0x2E80, 0x303E},   {0x3041, 0x33FF},   {0x3400, 0x4DBF},   {0x4E00, 0x9FFF},
    {0xA000, 0xA4CF},   {0xA960, 0xA97F},   {0xAC00, 0xD7A3},   {0xF900, 0xFAFF},
    {0xFE10, 0xFE19},   {0xFE30, 0xFE6F},   {0xFF00, 0xFF60},   {0xFFE0, 0xFFE6},
    {0x16FE0, 0x18AFF}, {0x1B000, 0x1B2FF}, {0x1F004, 0x1F004}, {0x1F0CF, 0x1F0CF},
    {0x1F18E, 0x1F18E}, {0x1F191, 0x1F19A}, {0x1F200, 0x1F265}, {0x1F300, 0x1F320},
    {0x1F32D, 0x1F335}, {0x1F337, 0x1F37C}, {0x1F37E, 0x1F393}, {0x1F3A0, 0x1F3CA},
    {0x1F3E0, 0x1F3F0}, {0x1F400, 0x1F43E}, {0x1F440, 0x1F440}, {0x1F442, 0x1F4FC},
    {0x1F4FF, 0x1F53D}, {0x1F550, 0x1F567}, {0x1F5FB, 0x1F64F}, {0x1F680, 0x1F6C5},
    {0x1F900, 0x1F9FF}, {0x20000, 0x2FFFD}, {0x30000, 0x3FFFD},
};

static bool range_has(const struct point_range *ranges, size_t count, uint32_t point)
{
    size_t low = 0, high = count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (point > ranges[middle].last) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low < count && point >= ranges[low].first;
}

unsigned text_columns(uint32_t point)
{
    if (point < 0x300) {
        return 1;
    }
    if (range_has(zero_width, sizeof zero_width / sizeof zero_width[0], point)) {
        return 0;
    }
    return range_has(double_width, sizeof double_width / sizeof double_width[0], point) ? 2 : 1;
}

/* ---- near names ------------------------------------------------------------------ */

#define NEAREST_LENGTH 64 /* bytes; a longer word gets no suggestion */
#define NEAREST_EDITS 3

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static unsigned least_of(unsigned a, unsigned b)
{
    return a < b ? a : b;
}

/* Insertions, deletions, changes and swaps of neighbours that turn `a` into `b`, case ignored.
 * Both lengths are at most NEAREST_LENGTH. */
static unsigned edit_distance(const char *a, size_t a_size, const char *b, size_t b_size)
{
    unsigned rows[3][NEAREST_LENGTH + 1];
    unsigned *before = rows[0], *above = rows[1], *row = rows[2];
    for (size_t j = 0; j <= b_size; j++) {
        above[j] = (unsigned)j;
        before[j] = 0;
    }
    for (size_t i = 1; i <= a_size; i++) {
        row[0] = (unsigned)i;
        for (size_t j = 1; j <= b_size; j++) {
            bool same = lower(a[i - 1]) == lower(b[j - 1]);
            row[j] = least_of(above[j - 1] + !same, least_of(above[j], row[j - 1]) + 1);
            if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) &&
                lower(a[i - 2]) == lower(b[j - 1])) {
                row[j] = least_of(row[j], before[j - 2] + 1);
            }
        }
        unsigned *oldest = before;
        before = above, above = row, row = oldest;
    }
    return above[b_size];
}

const char *text_nearest(struct arena *scratch, const char *wanted, const char *const *names,
                         size_t count)
{
    (void)scratch;
    size_t wanted_size = strlen(wanted);
    if (wanted_size > NEAREST_LENGTH) {
        return NULL;
    }
    const char *nearest = NULL;
    unsigned nearest_edits = NEAREST_EDITS + 1;
    for (size_t i = 0; i < count; i++) {
        size_t size = strlen(names[i]);
        size_t longer = size > wanted_size ? size : wanted_size;
        size_t shorter = size > wanted_size ? wanted_size : size;
        if (longer > NEAREST_LENGTH || longer - shorter >= nearest_edits) {
            continue;
        }
        unsigned edits = edit_distance(wanted, wanted_size, names[i], size);
        if (edits < nearest_edits && 3 * (size_t)edits <= longer) {
            nearest = names[i];
            nearest_edits = edits;
        }
    }
    return nearest;
}
