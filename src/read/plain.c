/*
 * Plain tokens: what nearly all of a text is made of, taken without the scanner's table. Each is taken
 * only where what stands behind it settles that no rule of grammar/stave.l matches more or otherwise
 * there; all else, and every fault, is the scanner's to tell.
 */
#include "read/reader.h"

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
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

/* Of a string, its closing quote included. NULL when an escape is in it or it is not closed. */
static const char *string_end(const char *at)
{
    do {
        at++;
    } while (*at != '"' && *at != '\\' && *at != '\n' && *at != '\r' && *at != '\0');
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

int plain_token(struct reader *reader, struct span *span, GRAMMAR_STYPE *value)
{
    const char *text = reader->source->bytes, *at = text + reader->position, *end;
    if (*at == ' ') {
        at++;
    }
    while (is_blank(*at)) {
        at++;
    }
    *span = (struct span){reader->source, (uint32_t)(at - text), 0};
    if ((*at | 0x20) >= 'a' && (*at | 0x20) <= 'z') {
        return lexicon_next(reader, span, value);
    }
    int token = TOKEN_NUMBER;
    if (!is_digit(*at)) {
        token = sign(at, &end);
    } else if (!ends_figure(end = figure_end(at))) {
        token = TOKEN_END;
    }
    if (token == TOKEN_END || end > text + reader->to) {
        return TOKEN_END;
    }
    reader->position = span->to = (uint32_t)(end - text);
    if (token == TOKEN_NUMBER) {
        return lexicon_figure(reader, *span, value);
    }
    if (token == TOKEN_UNIT) {
        value->TOKEN_UNIT = unit_find(at, 1);
    }
    return token;
}
