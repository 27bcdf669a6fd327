/* Numbers from text and to text; the arithmetic is in number.c. */
#include <string.h>

#include "base/number.h"
#include "base/text.h"

/* ---- from text ------------------------------------------------------------------ */

/* 18 digits, and 16 before a fraction of 128ths, fit 64 bits: 10^16 * 128 < 2^63. */
_Static_assert(NUMBER_DIGITS == 18 && NUMBER_PARTS == 128, "figures that fit 64 bits");

/* The stretches of digits in a figure: "whole", "whole.decimals", "numerator/parts"
 * or "whole numerator/parts". */
struct run {
    const char *digits;
    size_t size;
};

struct figure {
    struct run whole, decimals, numerator, parts;
};

static struct run take_digits(const char **at, const char *end)
{
    const char *start = *at;
    while (*at < end && **at >= '0' && **at <= '9') {
        *at += 1;
    }
    return (struct run){start, (size_t)(*at - start)};
}

static bool take_char(const char **at, const char *end, char wanted)
{
    if (*at == end || **at != wanted) {
        return false;
    }
    *at += 1;
    return true;
}

static bool take_blanks(const char **at, const char *end)
{
    const char *start = *at;
    while (*at < end && (**at == ' ' || **at == '\t')) {
        *at += 1;
    }
    return *at != start;
}

static bool leads_well(struct run run)
{
    return run.size > 0 && (run.size == 1 || run.digits[0] != '0');
}

/* Splits the text; false when it has none of the forms. */
static bool split(const char *bytes, size_t size, struct figure *figure)
{
    const char *at = bytes, *end = bytes + size;
    *figure = (struct figure){0};
    struct run first = take_digits(&at, end);
    if (!leads_well(first)) {
        return false;
    }
    if (take_char(&at, end, '/')) {
        figure->numerator = first;
    } else {
        figure->whole = first;
        if (at == end) {
            return true;
        }
        if (take_char(&at, end, '.')) {
            figure->decimals = take_digits(&at, end);
            return figure->decimals.size > 0 && at == end;
        }
        if (!take_blanks(&at, end)) {
            return false;
        }
        figure->numerator = take_digits(&at, end);
        if (!leads_well(figure->numerator) || !take_char(&at, end, '/')) {
            return false;
        }
    }
    figure->parts = take_digits(&at, end);
    return leads_well(figure->parts) && at == end;
}

/* Goes on reading from `value`; at most NUMBER_DIGITS digits in all. */
static int64_t read_run(int64_t value, struct run run)
{
    for (size_t i = 0; i < run.size; i++) {
        value = value * 10 + (run.digits[i] - '0');
    }
    return value;
}

static bool good_parts(int64_t parts)
{
    return parts >= 2 && parts <= NUMBER_PARTS && (parts & (parts - 1)) == 0;
}

enum number_error number_read(struct arena *arena, const char *bytes, size_t size,
                              struct number *out)
{
    struct figure figure;
    *out = NUMBER_ZERO;
    if (!split(bytes, size, &figure)) {
        return NUMBER_NOT_ONE;
    }
    if (figure.whole.size + figure.decimals.size + figure.numerator.size + figure.parts.size >
        NUMBER_DIGITS) {
        return NUMBER_TOO_LONG;
    }
    int64_t whole = read_run(0, figure.whole);
    if (figure.parts.size == 0) {
        int64_t scale = 1;
        for (size_t i = 0; i < figure.decimals.size; i++) {
            scale *= 10;
        }
        *out = number_make(arena, read_run(whole, figure.decimals), scale);
        return NUMBER_GOOD;
    }
    int64_t numerator = read_run(0, figure.numerator), parts = read_run(0, figure.parts);
    if (!good_parts(parts)) {
        return NUMBER_BAD_PARTS;
    }
    if (numerator == 0 || numerator >= parts) {
        return NUMBER_BAD_FRACTION;
    }
    *out = number_make(arena, whole * parts + numerator, parts);
    return NUMBER_GOOD;
}

/* ---- to text --------------------------------------------------------------------------- */

static struct number power_of_ten(struct arena *arena, unsigned exponent)
{
    struct number power = NUMBER_INT(1), square = NUMBER_INT(10);
    for (; exponent != 0; exponent >>= 1) {
        if ((exponent & 1) != 0) {
            power = number_multiply(arena, power, square);
        }
        if (exponent > 1) {
            square = number_multiply(arena, square, square);
        }
    }
    return power;
}

const char *number_decimal(struct arena *arena, struct number a, unsigned places,
                           enum number_round how, bool *rounded)
{
    struct number scaled = number_multiply(arena, a, power_of_ten(arena, places));
    *rounded = !number_is_integer(scaled);
    const char *digits = number_fraction(arena, number_round_whole(arena, scaled, how));
    struct text text;
    text_begin(&text, arena);
    if (digits[0] == '-') {
        text_add_char(&text, '-');
        digits++;
    }
    size_t size = strlen(digits);
    size_t whole = size > places ? size - places : 0;
    if (whole > 0) {
        text_add_bytes(&text, digits, whole);
    } else {
        text_add_char(&text, '0');
    }
    while (size > whole && digits[size - 1] == '0') {
        size--;
    }
    if (size > whole) {
        text_add_char(&text, '.');
        for (size_t zeros = strlen(digits); zeros < places; zeros++) {
            text_add_char(&text, '0');
        }
        text_add_bytes(&text, digits + whole, size - whole);
    }
    return text_done(&text);
}
