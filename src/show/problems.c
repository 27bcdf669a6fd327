/* Problems for a person: where, what, the line with a caret under it, what to do. */
#include <stdio.h>
#include <string.h>

#include "show/characters.h"
#include "show/show.h"

#define EXCERPT_INDENT 4
/* Columns kept to the right of the caret when a long line is cut. */
#define EXCERPT_AFTER 20
/* Stands for what was cut off. */
#define CUT "..."
#define CUT_COLUMNS 3

/* A character of an excerpt and the columns that it takes as shown. */
static unsigned spell(const char *text, char spelling[CHARACTER_SPELLING], unsigned *length)
{
    struct character character = character_read(text);
    *length = character.length;
    return character_spell(text, character, spelling);
}

/* Columns of the characters `from` .. `to` (counted from 0) of an excerpt as shown. Past its
 * end each counts one, so that a caret can stand there. */
static unsigned columns_of(const char *excerpt, uint32_t from, uint32_t to)
{
    char spelling[CHARACTER_SPELLING];
    unsigned columns = 0, length;
    for (uint32_t at = 0; at < to; at++) {
        unsigned shown = *excerpt ? spell(excerpt, spelling, &length) : 1;
        excerpt += *excerpt ? length : 0;
        columns += at >= from ? shown : 0;
    }
    return columns;
}

static unsigned columns_of_all(const char *excerpt)
{
    char spelling[CHARACTER_SPELLING];
    unsigned columns = 0, length;
    for (; *excerpt; excerpt += length) {
        columns += spell(excerpt, spelling, &length);
    }
    return columns;
}

/* The first character to show, so that the caret and something after it fall within the page. */
static uint32_t window_start(const char *excerpt, uint32_t caret, unsigned room)
{
    uint32_t start = 0;
    if (columns_of_all(excerpt) > room) {
        while (start < caret && columns_of(excerpt, start, caret) > room - EXCERPT_AFTER) {
            start++;
        }
    }
    return start;
}

static void blanks(struct page *page, unsigned count)
{
    while (count-- > 0) {
        page_raw(page, " ");
    }
}

/* Sends the characters from `start` on that fit, "..." standing for what does not. */
static void show_line(struct page *page, const char *text, uint32_t start, unsigned room)
{
    char spelling[CHARACTER_SPELLING];
    unsigned length, column = start > 0 ? CUT_COLUMNS : 0;
    blanks(page, EXCERPT_INDENT);
    page_raw(page, start > 0 ? CUT : "");
    for (uint32_t skipped = 0; skipped < start && *text; skipped++) {
        spell(text, spelling, &length);
        text += length;
    }
    bool fits = columns_of_all(text) <= room - column;
    for (; *text; text += length) {
        column += spell(text, spelling, &length);
        if (!fits && column > room - CUT_COLUMNS) {
            page_raw(page, CUT);
            break;
        }
        page_raw(page, spelling);
    }
    page_raw(page, "\n");
}

static void show_carets(struct page *page, unsigned before, unsigned under, unsigned room)
{
    under = under == 0 ? 1 : under;
    under = before + under > room ? room - before : under;
    blanks(page, EXCERPT_INDENT + before);
    page_raw(page, page->colour ? "\33[1;31m" : "");
    while (under-- > 0) {
        page_raw(page, "^");
    }
    page_raw(page, page->colour ? "\33[0m\n" : "\n");
}

static void show_excerpt(struct page *page, const struct stave_place *at)
{
    if (!at->excerpt || !at->excerpt[0]) {
        return;
    }
    unsigned room = page->width - EXCERPT_INDENT;
    uint32_t caret = at->excerpt_column > 0 ? at->excerpt_column - 1 : 0;
    uint32_t start = window_start(at->excerpt, caret, room);
    show_line(page, at->excerpt, start, room);
    unsigned before = columns_of(at->excerpt, start, caret) + (start > 0 ? CUT_COLUMNS : 0);
    unsigned under = columns_of(at->excerpt, caret, caret + (at->width > 0 ? at->width : 1));
    show_carets(page, before, under, room);
}

/* Columns that a message must have beside its place, or the place gets a line of its own. */
#define MESSAGE_COLUMNS 20

/* "book.stave:52:7:", never broken over lines: editors and terminals read it as a link. Gives how
 * much deeper than `indent` the message then stands. */
static unsigned show_place(struct page *page, const struct stave_place *at, unsigned indent)
{
    char numbers[32] = "";
    if (!at->text_name) {
        return 0;
    }
    if (at->line > 0) {
        snprintf(numbers, sizeof numbers, ":%u:%u", at->line, at->column);
    }
    if (indent + columns_of_all(at->text_name) + strlen(numbers) + 1 <=
        page->width - MESSAGE_COLUMNS) {
        page_write(page, "%s%s: ", at->text_name, numbers);
        return 0;
    }
    blanks(page, indent);
    page_escaped(page, at->text_name);
    page_raw(page, numbers);
    page_raw(page, ":\n");
    return 2;
}

static void show_problem(struct page *page, const struct stave_problem *problem)
{
    bool error = problem->severity == STAVE_ERROR;
    unsigned deeper = show_place(page, &problem->at, 0);
    page_write(page, "%c%s:%c %s", error ? MARK_BAD[0] : MARK_DOUBT[0], error ? "error" : "warning",
               MARK_PLAIN[0], problem->message);
    page_flow(page, deeper, deeper + 2);
    show_excerpt(page, &problem->at);
    if (problem->second_message) {
        deeper = show_place(page, &problem->second, 2);
        page_write(page, "%s", problem->second_message);
        page_flow(page, 2 + deeper, 4 + deeper);
        show_excerpt(page, &problem->second);
    }
    if (problem->help) {
        page_line(page, 2, 4, "help: %s", problem->help);
    }
}

void show_problems(struct page *page, const struct stave_problem *problems, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        show_problem(page, &problems[i]);
    }
}

void show_problem_count(struct page *page, const struct stave_problem *problems, size_t count)
{
    size_t errors = 0;
    for (size_t i = 0; i < count; i++) {
        errors += problems[i].severity == STAVE_ERROR;
    }
    size_t warnings = count - errors;
    page_write(page, "stave: ");
    if (errors > 0) {
        page_write(page, "%zu error%s", errors, errors == 1 ? "" : "s");
    }
    if (warnings > 0) {
        page_write(page, "%s%zu warning%s", errors > 0 ? ", " : "", warnings,
                   warnings == 1 ? "" : "s");
    }
    page_flow(page, 0, 2);
}
