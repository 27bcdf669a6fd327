/* Syntax errors in the language's own words: what was found, what could stand there, what to do. */
#include <string.h>

#include "base/text.h"
#include "read/reader.h"

/* ---- what was expected ------------------------------------------------------------ */

/* One phrase for several things that can stand in the same place. */
struct phrase {
    const char *phrase;
    const char *names[10];
};

static const struct phrase phrases[] = {
    {"an answer", {"a figure", "a name", "'yes'", "'no'", "'not'", NULL}},
    {"a condition",
     {"a name", "'at'", "'not'", "'any'", "'no'", "'total'", "'largest'", "'apart'", "'first'",
      NULL}},
    {"a reading", {"a name", "'not'", "'was'", "'first'", "'new'", NULL}},
    {"a reading", {"a name", "'not'", NULL}},
    {"an amount", {"a figure", "a name", "'('", "'the'", NULL}},
    {"'up to', 'below', 'at least', 'over'", {"'up'", "'below'", "'at'", "'over'", NULL}},
    {"a sign of reckoning", {"'+'", "'-'", "'*'", "'/'", NULL}},
    {"an ending such as 'per'",
     {"'do'", "'again'", "'within'", "'per'", "'note'", "'exception'", NULL}},
    {"a figure", {"a figure", "'below'", NULL}},
    {"a figure", {"a figure", "'over'", NULL}},
};

/* What the first word of a line of each block can be. */
static const char *first_of_block(int block)
{
    switch (block) {
    case TOKEN_IN_BOOK:
        return "'edition', 'for model', 'judge' or 'caution'";
    case TOKEN_IN_SCALE:
        return "an outcome or 'no flight'";
    case TOKEN_IN_PART:
        return "'axis', 'side' or 'place'";
    case TOKEN_IN_KIND:
        return "'look', 'caution' or 'each side where'";
    case TOKEN_IN_CURVE:
        return "a point, such as 14 in 0.010 in";
    case TOKEN_IN_LIMIT:
        return "an outcome or 'otherwise'";
    case TOKEN_IN_CHECK:
        return "an outcome, 'otherwise', 'look' or 'caution'";
    case TOKEN_IN_EXAMPLE:
        return "a finding, a number of them or 'gives'";
    default:
        return "a statement";
    }
}

static const char **find_name(const char **names, size_t count, const char *wanted)
{
    for (size_t i = 0; i < count; i++) {
        if (names[i] && strcmp(names[i], wanted) == 0) {
            return &names[i];
        }
    }
    return NULL;
}

/* Puts a phrase in the place of the first of its names, where all of them are there. */
static void use_phrase(const struct phrase *phrase, const char **names, size_t count)
{
    for (size_t i = 0; phrase->names[i]; i++) {
        if (!find_name(names, count, phrase->names[i])) {
            return;
        }
    }
    const char **first = NULL;
    for (size_t i = 0; phrase->names[i]; i++) {
        const char **place = find_name(names, count, phrase->names[i]);
        first = !first || place < first ? place : first;
        *place = NULL;
    }
    *first = phrase->phrase;
}

/* "a unit, ',' or the end of the line" */
static const char *list_expected(struct reader *reader, const char **names, size_t count)
{
    if (reader->line.token_count == 1 && reader->entry == TOKEN_START_BOOK) {
        return first_of_block(reader->block);
    }
    for (size_t i = 0; i < sizeof phrases / sizeof phrases[0]; i++) {
        use_phrase(&phrases[i], names, count);
    }
    const char **end = find_name(names, count, "the end"); /* bison's first: said last */
    if (end) {
        *end = NULL;
    }
    size_t left = end != NULL, said = 0;
    for (size_t i = 0; i < count; i++) {
        left += names[i] != NULL;
    }
    struct text text;
    text_begin(&text, reader->arena);
    for (size_t i = 0; i <= count; i++) {
        const char *name = i < count ? names[i] : end ? "the end" : NULL;
        if (name) {
            text_add(&text, said == 0 ? "" : said + 1 == left ? " or " : ", ");
            text_add(&text, name);
            said++;
        }
    }
    return text_done(&text);
}

/* ---- what was found ---------------------------------------------------------------- */

static const char *show_found(struct reader *reader, struct span span)
{
    switch (reader->previous) {
    case TOKEN_STRING:
        return "a string";
    case TOKEN_REMARK:
        return "a remark";
    case TOKEN_LINE_END:
        return "the end of the line";
    case TOKEN_END:
        return "the end";
    default:
        return text_format(reader->arena, "'%s'", token_shown(reader, span));
    }
}

/* ---- what to do ---------------------------------------------------------------------- */

static bool is_word(int token)
{
    return token >= TOKEN_STAVE && token <= TOKEN_RESERVED;
}

/* What ends a line of a ladder, or begins a condition: not the first word of a line. */
static bool carries_on(int token)
{
    switch (token) {
    case TOKEN_DO:
    case TOKEN_AGAIN:
    case TOKEN_WITHIN:
    case TOKEN_PER:
    case TOKEN_NOTE:
    case TOKEN_EXCEPTION:
    case TOKEN_AND:
    case TOKEN_ANY:
    case TOKEN_AT:
    case TOKEN_NOT:
    case TOKEN_NO:
    case TOKEN_TOTAL:
    case TOKEN_LARGEST:
    case TOKEN_APART:
    case TOKEN_FIRST:
        return true;
    default:
        return false;
    }
}

static bool bounds(int token)
{
    return token == TOKEN_UP || token == TOKEN_BELOW || token == TOKEN_OVER || token == TOKEN_IS;
}

static bool in_ladder(const struct reader *reader)
{
    return reader->block == TOKEN_IN_LIMIT || reader->block == TOKEN_IN_CHECK;
}

static bool is_outcome(const struct reader *reader, const char *name)
{
    const struct tree_outcome *outcome = reader->tree->scale ? reader->tree->scale->outcomes : NULL;
    while (outcome && strcmp(outcome->name.text, name) != 0) {
        outcome = outcome->next;
    }
    return outcome != NULL;
}

/* The statement that a line's first name was to be, or NULL. */
static const char *near_statement(struct reader *reader)
{
    if (reader->entry != TOKEN_START_BOOK || reader->line.first != TOKEN_NAME) {
        return NULL;
    }
    struct span span = reader->line.first_span;
    const char *name = arena_copy_text(reader->arena, token_bytes(span), span.to - span.from);
    return is_outcome(reader, name) ? NULL : word_near_statement(reader->arena, name);
}

/* Where a name was found in capitals that is a word of the language in small letters. */
static const char *small_letters(struct reader *reader, struct span span)
{
    size_t size = span.to - span.from;
    if (reader->previous != TOKEN_NAME || size > 16) {
        return NULL;
    }
    char *small = arena_copy_text(reader->arena, token_bytes(span), size);
    for (size_t i = 0; i < size; i++) {
        small[i] = small[i] >= 'A' && small[i] <= 'Z' ? (char)(small[i] - 'A' + 'a') : small[i];
    }
    return word_token(small, size) ? small : NULL;
}

/* Some of what could stand at the place of an error. */
struct expected {
    bool unit, name, figure, dots, close, comma, at;
};

static struct expected find_expected(const char **names, size_t count)
{
    return (struct expected){
        .unit = find_name(names, count, "a unit") != NULL,
        .name = find_name(names, count, "a name") != NULL,
        .figure = find_name(names, count, "a figure") != NULL,
        .dots = find_name(names, count, "'..'") != NULL,
        .close = find_name(names, count, "')'") != NULL,
        .comma = find_name(names, count, "','") != NULL,
        .at = find_name(names, count, "'at'") != NULL,
    };
}

/* The word of the language for what a bound is called elsewhere, or NULL. */
static const char *meant_bound(const char *text)
{
    static const struct {
        const char *other, *meant;
    } bounds[] = {
        {"less", "below"},    {"under", "below"},  {"most", "up to"},     {"max", "up to"},
        {"maximum", "up to"}, {"upto", "up to"},   {"more", "over"},      {"above", "over"},
        {"greater", "over"},  {"exceeds", "over"}, {"exceeding", "over"}, {"minimum", "at least"},
    };
    for (size_t i = 0; i < sizeof bounds / sizeof bounds[0]; i++) {
        if (strcmp(bounds[i].other, text) == 0) {
            return bounds[i].meant;
        }
    }
    return NULL;
}

/* Help where a condition says it in other words than the language's, or NULL. */
static const char *help_in_condition(struct reader *reader, struct span span)
{
    int found = reader->previous;
    if ((found == TOKEN_YES || found == TOKEN_NO) &&
        (reader->before == TOKEN_IS || reader->before == TOKEN_NAME)) {
        return "of what is yes or no, the name alone says yes, and 'not' before the name says no";
    }
    const char *meant =
        meant_bound(arena_copy_text(reader->arena, token_bytes(span), span.to - span.from));
    return meant ? text_format(reader->arena, "write '%s'", meant) : NULL;
}

/* Help where a zone's line says it in other words, or NULL. */
static const char *help_in_zone(int found)
{
    if (found == TOKEN_COMMA) {
        return "ranges and names of sides or places follow one another without a comma";
    }
    return found == TOKEN_SIDE || found == TOKEN_PLACE || found == TOKEN_ON
               ? "after the part stand ranges, and the names of sides or places alone"
               : NULL;
}

/* Help that depends on the words alone; NULL: none. */
static const char *help_for_word(struct reader *reader, struct span span, struct expected expected)
{
    int found = reader->previous;
    unsigned count = reader->line.token_count;
    const char *owner = count == 1 ? word_owner(found) : NULL;
    if (owner && reader->block == TOKEN_IN_SCALE) {
        return text_format(reader->arena,
                           "'%s' stands in lines under %s, and cannot name an outcome",
                           token_shown(reader, span), owner);
    }
    if (owner) {
        return text_format(reader->arena, "'%s' stands in lines under %s",
                           token_shown(reader, span), owner);
    }
    if (in_ladder(reader) && ((count == 1 && carries_on(found)) || (count == 2 && bounds(found)))) {
        return "a line goes on in the next only after a comma";
    }
    if (reader->line.joined && reader->line.token_count - reader->line.joined_at <= 2) {
        return "the line before ends with a comma, so this one goes on with it";
    }
    const char *other = in_ladder(reader) && count > 2 ? help_in_condition(reader, span)
                        : reader->line.first == TOKEN_ZONE && count > 4 ? help_in_zone(found)
                                                                        : NULL;
    if (other) {
        return other;
    }
    if (found == TOKEN_LINE_END && reader->before == TOKEN_COMMA) {
        return "a line that ends with a comma must go on in the next";
    }
    if (found == TOKEN_MINUS && expected.dots) {
        return "write '..' between the two ends of a range";
    }
    if (found == TOKEN_MINUS && expected.figure) {
        return "no figure is below 0: write it without the minus sign if that is what was meant";
    }
    if (found == TOKEN_NAME && expected.comma && expected.at && !in_ladder(reader)) {
        return "a comma stands before each reading, 'at' before the place";
    }
    if (found == TOKEN_REMARK) {
        return "a remark stands after a finding only; a comment begins with '#'";
    }
    if (found == TOKEN_UNIT && expected.name) {
        return text_format(reader->arena, "'%s' is a unit and cannot be a name",
                           token_shown(reader, span));
    }
    if (is_word(found) && expected.name) {
        return text_format(reader->arena, "'%s' is a word of the language and cannot be a name",
                           token_shown(reader, span));
    }
    if (found == TOKEN_LINE_END && reader->entry != TOKEN_START_BOOK) {
        return "it stands on one line";
    }
    return NULL;
}

static void add_help(struct reader *reader, struct stave_problem *problem, struct span span,
                     const char *help)
{
    const char *near = near_statement(reader);
    const char *small = small_letters(reader, span);
    if (near) {
        problem_help(problem, reader->problems, "did you mean '%s'?", near);
        reader->skipping = true; /* its block is not the one that is open */
    } else if (small) {
        problem_help(problem, reader->problems,
                     "write '%s': words of the language are in small letters", small);
    } else if (help) {
        problem_help(problem, reader->problems, "%s", help);
    }
}

static void add_second(struct reader *reader, struct stave_problem *problem, bool close_expected)
{
    const struct line *line = &reader->line;
    int found = reader->previous;
    if (close_expected && line->depth > 0 && (found == TOKEN_LINE_END || found == TOKEN_COMMA)) {
        problem_second(problem, reader->problems, line->open[line->depth - 1],
                       "this parenthesis is not closed");
    } else if (line->token_count == 1 && reader->block != 0) {
        problem_second(problem, reader->problems, reader->block_span, "the block opens here");
    }
}

static void report_unit(struct reader *reader, struct span span)
{
    const char *meant = word_meant_unit(reader->arena, token_bytes(span), span.to - span.from);
    struct stave_problem *problem =
        token_fault(reader, "unknown-unit", span, "unknown unit '%s'", token_shown(reader, span));
    if (meant) {
        problem_help(problem, reader->problems, "did you mean '%s'?", meant);
    }
}

void expect_report(struct reader *reader, struct span span, const char **names, size_t count)
{
    bool book = reader->entry == TOKEN_START_BOOK;
    bool first = book && reader->line.token_count == 1;
    reader->line.given_up = true;
    if (reader->line.faulty) {
        return; /* what is wrong was said, in the word that cannot be read */
    }
    if (first && reader->block_lost && !near_statement(reader)) {
        reader->line.faulty = true;
        return; /* lines of a block that was not understood */
    }
    struct expected expected = find_expected(names, count);
    if (expected.unit && reader->previous == TOKEN_NAME && !small_letters(reader, span)) {
        report_unit(reader, span);
        return;
    }
    const char *help = help_for_word(reader, span, expected);
    struct stave_problem *problem =
        problem_add(reader->problems, STAVE_ERROR, "syntax", span, "found %s, expected %s",
                    show_found(reader, span), list_expected(reader, names, count));
    reader->line.faulty = true;
    add_second(reader, problem, expected.close);
    add_help(reader, problem, span, help);
    reader->block_lost = reader->block_lost || first;
}

void expect_overflow(struct reader *reader, struct span span)
{
    if (!reader->line.faulty) {
        token_fault(reader, "nesting", span, "the line is too deeply nested");
    }
}
