/* What is not of the language but looks as if it were: characters, signs, quotes and names. */
#include <string.h>

#include "base/text.h"
#include "read/reader.h"

/* ---- characters that look like others ------------------------------------------ */

/* Characters from..to. `token` is what the parser is given; 0: as if it were a blank. */
struct look_alike {
    uint32_t from, to;
    const char *what, *help;
    int token;
};

static const struct look_alike look_alikes[] = {
    {0x2212, 0x2212, "a minus sign of another sort", "write '-'", TOKEN_MINUS},
    {0x00AD, 0x00AD, "a soft hyphen", "write '-', or nothing", 0},
    {0x2010, 0x2011, "a hyphen of another sort", "write '-'", TOKEN_MINUS},
    {0x2012, 0x2015, "a dash", "write '-' for a minus, '..' between the two ends of a range",
     TOKEN_GRAMMAR_error},
    {0xFE58, 0xFE58, "a dash", "write '-' for a minus, '..' between the two ends of a range",
     TOKEN_GRAMMAR_error},
    {0xFE63, 0xFE63, "a hyphen of another sort", "write '-'", TOKEN_MINUS},
    {0xFF0D, 0xFF0D, "a hyphen of another sort", "write '-'", TOKEN_MINUS},
    {0x00A0, 0x00A0, "a no-break space", "write a plain space", 0},
    {0x2007, 0x2007, "a no-break space", "write a plain space", 0},
    {0x202F, 0x202F, "a no-break space", "write a plain space", 0},
    {0x1680, 0x1680, "a space of another sort", "write a plain space", 0},
    {0x2000, 0x200A, "a space of another sort", "write a plain space", 0},
    {0x205F, 0x205F, "a space of another sort", "write a plain space", 0},
    {0x3000, 0x3000, "a space of another sort", "write a plain space", 0},
    {0x200B, 0x200D, "a character that cannot be seen", "delete it", 0},
    {0x2060, 0x2064, "a character that cannot be seen", "delete it", 0},
    {0xFEFF, 0xFEFF, "a byte-order mark inside the text", "delete it", 0},
    {0x201C, 0x201F, "a curly quote", "write '\"'", TOKEN_GRAMMAR_error},
    {0x00AB, 0x00AB, "an angled quote", "write '\"'", TOKEN_GRAMMAR_error},
    {0x00BB, 0x00BB, "an angled quote", "write '\"'", TOKEN_GRAMMAR_error},
    {0x2018, 0x201B, "a curly quote", "write '\"' around a string", TOKEN_GRAMMAR_error},
    {0x2264, 0x2264, "a sign for 'at most'", "write 'up to'", TOKEN_GRAMMAR_error},
    {0x2265, 0x2265, "a sign for 'at least'", "write 'at least'", TOKEN_GRAMMAR_error},
    {0x2260, 0x2260, "a sign for 'not equal'", "write 'is not'", TOKEN_GRAMMAR_error},
    {0x00D7, 0x00D7, "a times sign of another sort", "write '*'", TOKEN_TIMES},
    {0x22C5, 0x22C5, "a times sign of another sort", "write '*'", TOKEN_TIMES},
    {0x00B7, 0x00B7, "a dot at mid-height", "write '*' for times", TOKEN_TIMES},
    {0x00F7, 0x00F7, "a division sign of another sort", "write '/'", TOKEN_OVER_SIGN},
    {0x2044, 0x2044, "a slash of another sort", "write '/'", TOKEN_GRAMMAR_error},
    {0x2215, 0x2215, "a slash of another sort", "write '/'", TOKEN_GRAMMAR_error},
    {0x00BC, 0x00BE, "a fraction in one character", "write it as 1/2", TOKEN_GRAMMAR_error},
    {0x2150, 0x215F, "a fraction in one character", "write it as 1/2", TOKEN_GRAMMAR_error},
    {0x2026, 0x2026, "an ellipsis in one character", "write '..'", TOKEN_DOTS},
    {0x2025, 0x2025, "two dots in one character", "write '..'", TOKEN_DOTS},
    {0x00B0, 0x00B0, "a degree sign", "write 'deg'", TOKEN_GRAMMAR_error},
    {0x00BA, 0x00BA, "a raised letter in place of a degree sign", "write 'deg'",
     TOKEN_GRAMMAR_error},
    {0x00B2, 0x00B3, "a power", "write it after a unit of length: in2", TOKEN_GRAMMAR_error},
    {0x2032, 0x2034, "a mark where a unit should stand", "write 'in', 'ft' or 'arcmin'",
     TOKEN_GRAMMAR_error},
    {0xFF0C, 0xFF0C, "a wide comma", "write ','", TOKEN_COMMA},
    {0xFF1B, 0xFF1B, "a wide semicolon", "write ';'", TOKEN_GRAMMAR_error},
    {0xFF10, 0xFF19, "a wide digit", "write the digits 0 to 9", TOKEN_GRAMMAR_error},
};

/* One odd character is enough in a line, and none after it was given up. */
static bool is_quiet(const struct reader *reader)
{
    return reader->line.odd || reader->line.given_up;
}

static int odd_look_alike(struct reader *reader, struct span span, uint32_t point,
                          const struct look_alike *alike)
{
    if (!is_quiet(reader)) {
        struct stave_problem *problem =
            token_fault(reader, "odd-character", span, "%s (U+%04X)", alike->what, (unsigned)point);
        problem_help(problem, reader->problems, "%s", alike->help);
    }
    reader->line.odd = true;
    bool quote = (point >= 0x2018 && point <= 0x201F) || point == 0xAB || point == 0xBB;
    reader->line.mute = reader->line.mute || quote; /* what follows was to be a string */
    return alike->token;
}

/* ASCII characters that mean nothing here, and what may have been meant. */
static const char *ascii_help(char c)
{
    switch (c) {
    case ':':
        return "no colon stands between a word and what belongs to it";
    case '\'':
        return "strings stand between double quotes; units are 'in', 'ft' and 'arcmin'";
    case '[':
    case ']':
    case '{':
    case '}':
        return "lists have commas and no brackets; expressions have '(' and ')'";
    case '.':
        return "write '..' between the two ends of a range";
    case '^':
        return "a square is written in2 or in^2, without blanks";
    case '&':
        return "write 'and'";
    case '|':
        return "write 'or'";
    default:
        return NULL;
    }
}

int odd_character(struct reader *reader, struct span span)
{
    uint32_t point = 0;
    if (text_utf8_length(token_bytes(span), span.to - span.from, &point) == 0) {
        point = 0xFFFD;
    }
    for (size_t i = 0; i < sizeof look_alikes / sizeof look_alikes[0]; i++) {
        if (point >= look_alikes[i].from && point <= look_alikes[i].to) {
            return odd_look_alike(reader, span, point, &look_alikes[i]);
        }
    }
    if (is_quiet(reader)) {
        return TOKEN_GRAMMAR_error;
    }
    reader->line.odd = true;
    struct stave_problem *problem;
    if (point < 0x80) {
        problem = token_fault(reader, "odd-character", span, "'%s' means nothing here",
                              token_shown(reader, span));
        const char *help = ascii_help((char)point);
        if (help) {
            problem_help(problem, reader->problems, "%s", help);
        }
    } else {
        problem = token_fault(reader, "odd-character", span, "'%s' (U+%04X) means nothing here",
                              token_shown(reader, span), (unsigned)point);
        problem_help(problem, reader->problems,
                     "outside strings and remarks a text has plain ASCII characters only");
    }
    return TOKEN_GRAMMAR_error;
}

/* ---- signs ------------------------------------------------------------------------ */

struct sign {
    const char *text, *help;
    int token;
};

static const struct sign signs[] = {
    {"+-", "write '+/-'", TOKEN_PLUS_MINUS},
    {"-+", "write '+/-'", TOKEN_PLUS_MINUS},
    {"-/+", "write '+/-'", TOKEN_PLUS_MINUS},
    {"//", "a comment begins with '#'", TOKEN_GRAMMAR_error},
    {"/*", "a comment begins with '#'", TOKEN_GRAMMAR_error},
    {"*/", "a comment begins with '#'", TOKEN_GRAMMAR_error},
    {"<", "write 'below'", TOKEN_GRAMMAR_error},
    {"<=", "write 'up to'", TOKEN_GRAMMAR_error},
    {"=<", "write 'up to'", TOKEN_GRAMMAR_error},
    {">", "write 'over'", TOKEN_GRAMMAR_error},
    {">=", "write 'at least'", TOKEN_GRAMMAR_error},
    {"=>", "write 'at least'", TOKEN_GRAMMAR_error},
    {"=", "write 'is' for an observation, a name and its figure side by side for a reading",
     TOKEN_GRAMMAR_error},
    {"==", "write 'is'", TOKEN_GRAMMAR_error},
    {"!", "write 'not'", TOKEN_GRAMMAR_error},
    {"!=", "write 'is not'", TOKEN_GRAMMAR_error},
    {"<>", "write 'is not'", TOKEN_GRAMMAR_error},
    {"&&", "write ',' between conditions", TOKEN_GRAMMAR_error},
    {"||", "write 'or' between the values of an observation", TOKEN_GRAMMAR_error},
};

int odd_sign(struct reader *reader, struct span span)
{
    const char *shown = token_shown(reader, span);
    const char *help = "write '..'"; /* "..." and longer */
    int token = TOKEN_DOTS;
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
        if (strcmp(shown, signs[i].text) == 0) {
            help = signs[i].help;
            token = signs[i].token;
        }
    }
    if (!is_quiet(reader)) {
        struct stave_problem *problem =
            token_fault(reader, "odd-character", span, "'%s' is not a sign of the language", shown);
        problem_help(problem, reader->problems, "%s", help);
    }
    reader->line.odd = true;
    return token;
}

static bool is_blank_or_end(char c)
{
    return is_blank(c) || c == '\r' || c == '\n' || c == '\0';
}

int odd_blanks(struct reader *reader, struct span span)
{
    const char *bytes = token_bytes(span);
    bool before = span.from == 0 || is_blank_or_end(bytes[-1]), after = is_blank_or_end(bytes[1]);
    if ((!before || !after) && !is_quiet(reader)) {
        struct stave_problem *problem =
            token_fault(reader, "blanks", span, "no blanks around '%c'", bytes[0]);
        problem_help(problem, reader->problems, "write ' %c '", bytes[0]);
        reader->line.odd = true;
    }
    return bytes[0] == '+' ? TOKEN_PLUS : TOKEN_MINUS;
}

/* ---- names and units ----------------------------------------------------------------- */

/* "gouge_depth" as the name that it can be, or NULL. */
static const char *with_hyphens(struct reader *reader, struct span span)
{
    size_t size = span.to - span.from;
    char *name = arena_copy_text(reader->arena, token_bytes(span), size);
    bool after_letter = false;
    for (size_t i = 0; i < size; i++) {
        name[i] = name[i] == '_' ? '-' : name[i];
        bool letter = (name[i] >= 'a' && name[i] <= 'z') || (name[i] >= 'A' && name[i] <= 'Z');
        bool digit = is_digit(name[i]);
        bool hyphen = name[i] == '-' && after_letter && i + 1 < size;
        if (!letter && !(digit && i > 0) && !hyphen) {
            return NULL;
        }
        after_letter = letter || digit;
    }
    return size <= READ_NAME ? name : NULL;
}

int odd_name(struct reader *reader, struct span span)
{
    struct stave_problem *problem =
        token_fault(reader, "bad-name", span, "'%s' cannot be a name", token_shown(reader, span));
    const char *hyphens = with_hyphens(reader, span);
    if (hyphens) {
        problem_help(problem, reader->problems, "write '%s'", hyphens);
    } else {
        problem_help(problem, reader->problems,
                     "a name has the letters a to z and A to Z, digits, and hyphens between them");
    }
    return TOKEN_GRAMMAR_error;
}

int odd_unit(struct reader *reader, struct span span)
{
    const char *bytes = token_bytes(span);
    size_t size = span.to - span.from;
    bool after_figure = reader->previous == TOKEN_NUMBER || (span.from > 0 && is_digit(bytes[-1]));
    if (!after_figure) {
        return odd_name(reader, span);
    }
    const char *meant = word_meant_unit(reader->arena, bytes, size);
    struct stave_problem *problem =
        token_fault(reader, "unknown-unit", span, "unknown unit '%s'", token_shown(reader, span));
    if (meant) {
        problem_help(problem, reader->problems, "did you mean '%s'?", meant);
    }
    return TOKEN_GRAMMAR_error;
}

/* ---- strings and comments --------------------------------------------------------------- */

int odd_comment(struct reader *reader, struct span span)
{
    struct stave_problem *problem =
        token_fault(reader, "comment", span, "a comment cannot stand here");
    problem_help(problem, reader->problems,
                 "it could hide a reading: write ';' before a remark, which is kept");
    return TOKEN_GRAMMAR_error;
}

int odd_open_string(struct reader *reader, struct span span)
{
    struct span end = span, start = span;
    end.from = end.to;
    start.to = start.from + 1;
    struct stave_problem *problem =
        token_fault(reader, "open-string", end, "the string is not closed on its line");
    problem_second(problem, reader->problems, start, "the string starts here");
    problem_help(problem, reader->problems, "write '\"' where it ends");
    return TOKEN_STRING;
}

int odd_single_quotes(struct reader *reader, struct span span)
{
    struct stave_problem *problem =
        token_fault(reader, "odd-character", span, "a string in single quotes");
    problem_help(problem, reader->problems, "write '\"' before and after it");
    return TOKEN_STRING;
}
