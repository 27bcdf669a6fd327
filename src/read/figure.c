/* Figures and dates: their values, and what to say of those that cannot be read. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "read/reader.h"

enum { SHOWN_BYTES = 40 };

/* ---- tokens in messages ----------------------------------------------------- */

const char *token_bytes(struct span span)
{
    return span.source->bytes + span.from;
}

const char *token_shown(struct reader *reader, struct span span)
{
    size_t size = span.to - span.from;
    if (size <= SHOWN_BYTES) {
        return arena_copy_text(reader->arena, token_bytes(span), size);
    }
    size = SHOWN_BYTES;
    while (size > 0 && (token_bytes(span)[size] & 0xC0) == 0x80) { /* between characters */
        size--;
    }
    return text_format(reader->arena, "%s...",
                       arena_copy_text(reader->arena, token_bytes(span), size));
}

struct stave_problem *token_fault(struct reader *reader, const char *code, struct span span,
                                  const char *format, ...)
{
    struct text message;
    text_begin(&message, reader->arena);
    va_list arguments;
    va_start(arguments, format);
    char bytes[400]; /* format and at most two shown tokens */
    int size = vsnprintf(bytes, sizeof bytes, format, arguments);
    va_end(arguments);
    text_add(&message, size < 0 ? format : bytes);
    reader->line.faulty = true;
    return problem_add(reader->problems, STAVE_ERROR, code, span, "%s", text_done(&message));
}

/* ---- figures of good form ------------------------------------------------------ */

/* The figure that was meant, where `text` is one; the fault itself was reported. */
static int meant_figure(struct reader *reader, const char *text, struct number *figure)
{
    return number_read(reader->arena, text, strlen(text), figure) == NUMBER_GOOD
               ? TOKEN_NUMBER
               : TOKEN_GRAMMAR_error;
}

/* A copy without the zeros that begin a run of digits. */
static const char *without_zeros(struct reader *reader, struct span span)
{
    size_t size = span.to - span.from;
    const char *bytes = token_bytes(span);
    struct text text;
    text_begin(&text, reader->arena);
    bool begins = true;
    for (size_t i = 0; i < size; i++) {
        bool digit = is_digit(bytes[i]);
        bool more = i + 1 < size && is_digit(bytes[i + 1]);
        if (begins && bytes[i] == '0' && more) {
            continue;
        }
        begins = !digit && bytes[i] != '.';
        text_add_char(&text, bytes[i]);
    }
    return text_done(&text);
}

/* "17/16" as "1 1/16". Both parts have at most 18 digits together. */
static void help_large_fraction(struct reader *reader, struct stave_problem *problem,
                                const char *bytes)
{
    uint64_t numerator = 0, parts = 0;
    const char *space = strpbrk(bytes, " \t");
    if (space) {
        problem_help(problem, reader->problems, "write a fraction that is below 1");
        return;
    }
    for (; *bytes != '/'; bytes++) {
        numerator = numerator * 10 + (uint64_t)(*bytes - '0');
    }
    for (bytes++; *bytes; bytes++) {
        parts = parts * 10 + (uint64_t)(*bytes - '0');
    }
    if (numerator == 0) {
        problem_help(problem, reader->problems, "write 0");
    } else if (numerator % parts == 0) {
        problem_help(problem, reader->problems, "write %llu",
                     (unsigned long long)(numerator / parts));
    } else {
        problem_help(problem, reader->problems, "write %llu %llu/%llu",
                     (unsigned long long)(numerator / parts),
                     (unsigned long long)(numerator % parts), (unsigned long long)parts);
    }
}

int figure_plain(struct reader *reader, struct span span, struct number *figure)
{
    struct stave_problem *problem;
    size_t size = span.to - span.from;
    enum number_error error = number_read(reader->arena, token_bytes(span), size, figure);
    if (error == NUMBER_GOOD) {
        return TOKEN_NUMBER;
    }
    const char *shown = token_shown(reader, span), *meant;
    switch (error) {
    case NUMBER_TOO_LONG:
        problem = token_fault(reader, "figure-too-long", span,
                              "the figure '%s' has more than %d digits", shown, NUMBER_DIGITS);
        problem_help(problem, reader->problems, "write it with at most %d digits", NUMBER_DIGITS);
        return TOKEN_GRAMMAR_error;
    case NUMBER_BAD_PARTS:
        problem = token_fault(reader, "bad-fraction", span, "'%s' is not in parts of an inch rule",
                              shown);
        problem_help(problem, reader->problems,
                     "the parts are 2, 4, 8, 16, 32, 64 or 128; write another one as a decimal");
        return TOKEN_GRAMMAR_error;
    case NUMBER_BAD_FRACTION:
        problem = token_fault(reader, "bad-fraction", span,
                              "the fraction '%s' is not between 0 and 1", shown);
        help_large_fraction(reader, problem,
                            arena_copy_text(reader->arena, token_bytes(span), size));
        return TOKEN_GRAMMAR_error;
    default:
        problem =
            token_fault(reader, "bad-figure", span, "the figure '%s' begins with a zero", shown);
        meant = without_zeros(reader, span);
        if (reader->previous == TOKEN_NUMBER) { /* "1 000" */
            problem_help(problem, reader->problems, "a figure has no blanks between its digits");
        } else if (strlen(meant) <= SHOWN_BYTES) {
            problem_help(problem, reader->problems, "write %s", meant);
        }
        return meant_figure(reader, meant, figure);
    }
}

/* ---- a word that touches a figure ------------------------------------------------- */

static bool is_plain_word(const char *bytes, size_t size)
{
    for (size_t i = 0; i < size; i++) {
        if (!is_letter(bytes[i]) && !(i > 0 && is_digit(bytes[i]))) {
            return false;
        }
    }
    return true;
}

/* "e-2", "E5" */
static bool is_exponent(const char *bytes, size_t size)
{
    size_t at = 1;
    if (bytes[0] != 'e' && bytes[0] != 'E') {
        return false;
    }
    if (at < size && (bytes[at] == '-' || bytes[at] == '+')) {
        at++;
    }
    return at < size && is_digit(bytes[at]);
}

/* The figure without its underscores, where that is all that is wrong. */
static int figure_underscores(struct reader *reader, struct span span, struct number *figure)
{
    struct stave_problem *problem = token_fault(
        reader, "bad-figure", span, "'_' in the figure '%s'", token_shown(reader, span));
    struct text text;
    text_begin(&text, reader->arena);
    for (const char *at = token_bytes(span); at < token_bytes(span) + (span.to - span.from); at++) {
        if (*at != '_') {
            text_add_char(&text, *at);
        }
    }
    const char *meant = text_done(&text);
    int token = meant_figure(reader, meant, figure);
    if (token == TOKEN_NUMBER) {
        problem_help(problem, reader->problems, "write %s", meant);
    }
    return token;
}

int figure_with_word(struct reader *reader, struct span span, uint32_t *keep, struct number *figure)
{
    const char *bytes = token_bytes(span);
    uint32_t size = span.to - span.from, figure_size = 0;
    while (is_digit(bytes[figure_size]) || strchr("./ \t", bytes[figure_size])) {
        figure_size++;
    }
    const char *word = bytes + figure_size;
    uint32_t word_size = size - figure_size;
    bool zero = figure_size == 1 && bytes[0] == '0';
    struct stave_problem *problem;
    if (is_exponent(word, word_size)) {
        problem = token_fault(reader, "bad-figure", span, "an exponent in the figure '%s'",
                              token_shown(reader, span));
        problem_help(problem, reader->problems, "write the figure out in full");
        return TOKEN_GRAMMAR_error;
    }
    if (zero && (word[0] == 'x' || word[0] == 'X')) {
        problem = token_fault(reader, "bad-figure", span, "'%s' is not a decimal figure",
                              token_shown(reader, span));
        problem_help(problem, reader->problems, "write it with the digits 0 to 9");
        return TOKEN_GRAMMAR_error;
    }
    if (word[0] == '_') {
        return figure_underscores(reader, span, figure);
    }
    /* A unit, or a word that is judged as one when it comes (see lines.c). */
    if (unit_find(word, word_size) || is_plain_word(word, word_size)) {
        *keep = figure_size;
        span.to = span.from + figure_size;
        return figure_plain(reader, span, figure);
    }
    span.from += figure_size;
    return odd_unit(reader, span);
}

/* ---- figures of bad form -------------------------------------------------------------- */

/* A copy with one character for another; '\0' leaves it out. */
static const char *exchanged(struct reader *reader, struct span span, char from, char to)
{
    struct text text;
    text_begin(&text, reader->arena);
    const char *bytes = token_bytes(span);
    for (uint32_t i = 0; i < span.to - span.from; i++) {
        if (bytes[i] != from) {
            text_add_char(&text, bytes[i]);
        } else if (to != '\0') {
            text_add_char(&text, to);
        }
    }
    return text_done(&text);
}

int figure_comma(struct reader *reader, struct span span, struct number *figure)
{
    struct stave_problem *problem = token_fault(
        reader, "bad-figure", span, "a comma in the figure '%s'", token_shown(reader, span));
    const char *decimal = exchanged(reader, span, ',', '.');
    const char *thousands = exchanged(reader, span, ',', '\0');
    const char *comma = strchr(token_bytes(span), ',');
    bool one_point = strchr(decimal, '.') == strrchr(decimal, '.');
    bool by_three = span.to - span.from - (uint32_t)(comma - token_bytes(span)) == 4 &&
                    token_bytes(span)[0] != '0';
    if (strlen(decimal) > SHOWN_BYTES) {
        return TOKEN_GRAMMAR_error;
    }
    if (one_point && by_three) { /* no guess between the two */
        problem_help(problem, reader->problems, "write %s or %s, as is meant", decimal, thousands);
        return TOKEN_GRAMMAR_error;
    }
    if (one_point) {
        problem_help(problem, reader->problems, "write %s", decimal);
        return meant_figure(reader, decimal, figure);
    }
    problem_help(problem, reader->problems,
                 "write a decimal with a point, thousands without a mark, and a blank after the "
                 "comma of a list");
    return TOKEN_GRAMMAR_error;
}

int figure_point(struct reader *reader, struct span span, struct number *figure)
{
    const char *shown = token_shown(reader, span);
    const char *bytes = token_bytes(span), *meant;
    size_t size = span.to - span.from;
    struct stave_problem *problem;
    if (bytes[0] == '.') {
        problem =
            token_fault(reader, "bad-figure", span, "'%s' has no digit before its point", shown);
        meant = text_format(reader->arena, "0%s", arena_copy_text(reader->arena, bytes, size));
    } else if (memchr(bytes, '.', size) == bytes + size - 1) {
        problem =
            token_fault(reader, "bad-figure", span, "'%s' has no digit after its point", shown);
        meant = arena_copy_text(reader->arena, bytes, size - 1);
    } else {
        problem = token_fault(reader, "bad-figure", span, "'%s' has more than one point", shown);
        problem_help(problem, reader->problems,
                     "write a figure with one point, or '..' between "
                     "the two ends of a range");
        return TOKEN_GRAMMAR_error;
    }
    if (size <= SHOWN_BYTES) {
        problem_help(problem, reader->problems, "write %s", meant);
    }
    return meant_figure(reader, meant, figure);
}

int figure_hyphen(struct reader *reader, struct span span, struct number *figure)
{
    const char *shown = token_shown(reader, span);
    const char *meant = exchanged(reader, span, '-', ' ');
    struct stave_problem *problem;
    if (meant_figure(reader, meant, figure) == TOKEN_NUMBER) {
        problem = token_fault(reader, "bad-figure", span, "a hyphen in the figure '%s'", shown);
        problem_help(problem, reader->problems, "write %s", meant);
        return TOKEN_NUMBER;
    }
    problem = token_fault(reader, "bad-figure", span, "'%s' is not a figure", shown);
    const char *slash = strchr(meant, '/');
    if (strchr(meant, ' ') != strrchr(meant, ' ') || (slash && strchr(slash + 1, '/'))) {
        problem_help(problem, reader->problems, "write a date as 2026-03-01");
    } else {
        problem_help(problem, reader->problems,
                     "write '..' between the two ends of a range, and blanks around a minus");
    }
    return TOKEN_GRAMMAR_error;
}

int figure_clock(struct reader *reader, struct span span)
{
    struct stave_problem *problem =
        token_fault(reader, "bad-figure", span, "'%s' is not a figure", token_shown(reader, span));
    problem_help(problem, reader->problems, "write a time in one unit, such as 90 min or 1.5 h");
    return TOKEN_GRAMMAR_error;
}

/* 3/4" and the like. The mark is not taken for a unit: it means several. */
int figure_mark(struct reader *reader, struct span span, struct number *figure)
{
    const char *bytes = token_bytes(span);
    struct span mark = span;
    while (is_digit(token_bytes(mark)[0]) || strchr("./ \t", token_bytes(mark)[0])) {
        mark.from++;
    }
    size_t size = mark.to - mark.from;
    const char *unit = "in"; /* two strokes, in ASCII or as U+2033 or U+201D */
    if (bytes[mark.from - span.from] == '\xC2') {
        unit = "deg";
    } else if (size == 1 ? token_bytes(mark)[0] == '\''
                         : size == 3 &&
                               (token_bytes(mark)[2] == '\x99' || token_bytes(mark)[2] == '\xB2')) {
        unit = "ft' or 'arcmin";
    }
    struct stave_problem *problem =
        token_fault(reader, "unknown-unit", mark, "a mark where a unit should stand");
    problem_help(problem, reader->problems, "write '%s'", unit);
    span.to = mark.from;
    return figure_plain(reader, span, figure);
}

static bool ends_operand(int token)
{
    return token == TOKEN_NAME || token == TOKEN_NUMBER || token == TOKEN_UNIT ||
           token == TOKEN_CLOSE;
}

int figure_sign(struct reader *reader, struct span span, uint32_t *keep, struct number *figure)
{
    bool minus = token_bytes(span)[0] == '-';
    bool reckoning = reader->block == TOKEN_IN_LIMIT || reader->block == TOKEN_IN_CHECK ||
                     reader->line.first == TOKEN_RECKON;
    struct span rest = span;
    rest.from++;
    if (reckoning && ends_operand(reader->previous)) {
        struct span sign = span;
        sign.to = sign.from + 1;
        *keep = 1;
        return odd_blanks(reader, sign);
    }
    struct stave_problem *problem;
    if (minus) {
        problem = token_fault(reader, "negative-figure", span, "the figure '%s' is negative",
                              token_shown(reader, span));
        problem_help(problem, reader->problems,
                     ends_operand(reader->previous) && reader->previous != TOKEN_NAME
                         ? "write '..' between the two ends of a range"
                         : "no figure is below 0: write it without the minus sign if that is "
                           "what was meant");
    } else {
        problem = token_fault(reader, "bad-figure", span, "a sign before the figure '%s'",
                              token_shown(reader, span));
        problem_help(problem, reader->problems, "write %s", token_shown(reader, rest));
    }
    return figure_plain(reader, rest, figure);
}

/* ---- dates -------------------------------------------------------------------------------- */

static unsigned two_digits(const char *at)
{
    return (unsigned)(at[0] - '0') * 10 + (unsigned)(at[1] - '0');
}

int figure_date(struct reader *reader, struct span span)
{
    static const unsigned char days[] = {31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    const char *bytes = token_bytes(span);
    unsigned year = two_digits(bytes) * 100 + two_digits(bytes + 2);
    unsigned month = two_digits(bytes + 5), day = two_digits(bytes + 8);
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    bool good = month >= 1 && month <= 12 && day >= 1 && day <= days[month - 1] &&
                !(month == 2 && day == 29 && !leap);
    if (!good) {
        struct stave_problem *problem = token_fault(
            reader, "bad-date", span, "there is no day '%s'", token_shown(reader, span));
        problem_help(problem, reader->problems, "write year, month and day as in 2026-03-01");
    }
    return TOKEN_DATE;
}
