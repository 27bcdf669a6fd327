#include "show/page.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "show/characters.h"

/* Columns from a row's label to its text. */
#define LABEL_COLUMNS 16

void page_begin(struct page *page, unsigned width, bool colour)
{
    *page = (struct page){.colour = colour};
    page->width = width == 0                 ? PAGE_WIDTH
                  : width < PAGE_WIDTH_LEAST ? PAGE_WIDTH_LEAST
                  : width > PAGE_WIDTH       ? PAGE_WIDTH
                                             : width;
}

void page_end(struct page *page)
{
    free(page->done.text);
    free(page->pending.text);
    *page = (struct page){0};
}

static void bytes_add(struct page *page, struct bytes *bytes, const char *text, size_t size)
{
    if (page->failed) {
        return;
    }
    if (size >= bytes->capacity - bytes->size) {
        size_t capacity = bytes->capacity + size + bytes->capacity / 2 + 256;
        char *larger = capacity > size ? realloc(bytes->text, capacity) : NULL;
        if (!larger) {
            page->failed = true;
            return;
        }
        bytes->text = larger;
        bytes->capacity = capacity;
    }
    memcpy(bytes->text + bytes->size, text, size);
    bytes->size += size;
    bytes->text[bytes->size] = '\0';
}

static void bytes_add_escaped(struct page *page, struct bytes *bytes, const char *text)
{
    for (;;) {
        const char *plain = text;
        while (character_is_plain(*text)) {
            text++;
        }
        bytes_add(page, bytes, plain, (size_t)(text - plain));
        if (!*text) {
            return;
        }
        char spelling[CHARACTER_SPELLING];
        struct character character = character_read(text);
        character_spell(text, character, spelling);
        bytes_add(page, bytes, spelling, strlen(spelling));
        text += character.length;
    }
}

void page_raw_bytes(struct page *page, const char *text, size_t size)
{
    bytes_add(page, &page->done, text, size);
}

void page_raw(struct page *page, const char *text)
{
    bytes_add(page, &page->done, text, strlen(text));
}

void page_escaped(struct page *page, const char *text)
{
    bytes_add_escaped(page, &page->done, text);
}

void page_blank(struct page *page)
{
    page_raw(page, "\n");
}

/* ---- the pending paragraph ----------------------------------------------------- */

static void write_number(struct page *page, size_t number)
{
    char digits[24];
    int size = snprintf(digits, sizeof digits, "%zu", number);
    bytes_add(page, &page->pending, digits, (size_t)size);
}

static void write_list(struct page *page, const char *format, va_list list)
{
    for (const char *at = format;; at++) {
        size_t plain = strcspn(at, "%");
        bytes_add(page, &page->pending, at, plain);
        at += plain;
        if (!*at) {
            return;
        }
        at++;
        if (*at == 's') {
            bytes_add_escaped(page, &page->pending, va_arg(list, const char *));
        } else if (*at == 'u') {
            write_number(page, va_arg(list, unsigned));
        } else if (*at == 'z') {
            at++;
            write_number(page, va_arg(list, size_t));
        } else if (*at == 'c') {
            char mark = (char)va_arg(list, int);
            bytes_add(page, &page->pending, &mark, 1);
        } else {
            bytes_add(page, &page->pending, at, 1);
        }
    }
}

void page_write(struct page *page, const char *format, ...)
{
    va_list list;
    va_start(list, format);
    write_list(page, format, list);
    va_end(list);
}

void page_line(struct page *page, unsigned indent, unsigned hang, const char *format, ...)
{
    va_list list;
    va_start(list, format);
    write_list(page, format, list);
    va_end(list);
    page_flow(page, indent, hang);
}

/* ---- wrapping --------------------------------------------------------------------- */

static bool is_mark(char c)
{
    return c >= 1 && c <= 5;
}

static void send_mark(struct page *page, char mark)
{
    static const char *const codes[] = {"", "\33[1m", "\33[32m", "\33[1;31m", "\33[33m", "\33[0m"};
    if (page->colour) {
        page_raw(page, codes[(unsigned char)mark]);
    }
}

static void send_blanks(struct page *page, unsigned count)
{
    static const char blanks[] = "                                        ";
    const unsigned most = sizeof blanks - 1;
    while (count > 0) {
        unsigned some = count < most ? count : most;
        page_raw_bytes(page, blanks, some);
        count -= some;
    }
}

/* The bytes of a stretch without its last marks. */
static char last_character(const char *from, const char *to)
{
    while (to > from && is_mark(to[-1])) {
        to--;
    }
    return to > from ? to[-1] : '\0';
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/*
 * The end of a stretch that is kept on one line: a word, and a figure with what stands
 * before and after it, so that "station 41 in" or "0.016 .. 0.020 in" is not torn apart.
 */
static const char *stretch_end(const char *at)
{
    for (;;) {
        const char *start = at;
        while (*at && *at != ' ') {
            at++;
        }
        if (*at != ' ' || at[1] == ' ' || !at[1]) {
            return at;
        }
        char last = last_character(start, at);
        bool range = (at - start == 2 && strncmp(start, "..", 2) == 0) ||
                     (at - start == 3 && strncmp(start, "+/-", 3) == 0);
        /* A name: no comma or full stop between, and more than "to" or "and". */
        bool name = last >= 'a' && last <= 'z' && at - start > 3;
        if (!range && !is_digit(last) && !(name && is_digit(at[1]))) {
            return at;
        }
        at++;
    }
}

static const char *plain_end(const char *from, const char *to)
{
    while (from < to && character_is_plain(*from)) {
        from++;
    }
    return from;
}

static unsigned columns_between(const char *from, const char *to)
{
    unsigned columns = 0;
    while (from < to) {
        const char *plain = from;
        from = plain_end(from, to);
        columns += (unsigned)(from - plain);
        if (from < to) {
            struct character character = character_read(from);
            columns += is_mark(*from) ? 0 : character_columns(character.point);
            from += character.length;
        }
    }
    return columns;
}

/* Sends a stretch, cutting it where it is wider than a whole line. Gives the column after it. */
static unsigned send_stretch(struct page *page, const char *from, const char *to, unsigned column,
                             unsigned hang)
{
    while (from < to) {
        size_t plain = (size_t)(plain_end(from, to) - from);
        if (plain > 0 && column + plain <= page->width) {
            page_raw_bytes(page, from, plain);
            column += (unsigned)plain;
            from += plain;
            continue;
        }
        if (is_mark(*from)) {
            send_mark(page, *from++);
            continue;
        }
        struct character character = character_read(from);
        unsigned columns = character_columns(character.point);
        if (column + columns > page->width) {
            page_raw(page, "\n");
            send_blanks(page, hang);
            column = hang;
        }
        page_raw_bytes(page, from, character.length);
        column += columns;
        from += character.length;
    }
    return column;
}

void page_flow(struct page *page, unsigned indent, unsigned hang)
{
    const char *at = page->pending.text;
    unsigned column = indent;
    bool fresh = true; /* nothing on this line yet */
    send_blanks(page, indent);
    while (!page->failed && at && *at) {
        unsigned blanks = 0;
        while (*at == ' ') {
            blanks++;
            at++;
        }
        const char *end = stretch_end(at);
        unsigned columns = columns_between(at, end);
        if (columns + hang > page->width) {
            end = at + strcspn(at, " "); /* too wide as a whole: word by word */
            columns = columns_between(at, end);
        }
        if (!fresh && column + blanks + columns > page->width) {
            page_raw(page, "\n");
            send_blanks(page, hang);
            column = hang;
            blanks = 0;
        }
        send_blanks(page, fresh ? 0 : blanks);
        column = send_stretch(page, at, end, column + (fresh ? 0 : blanks), hang);
        fresh = fresh && at == end;
        at = end;
    }
    page_raw(page, "\n");
    page->pending.size = 0;
    if (page->pending.text) {
        page->pending.text[0] = '\0';
    }
}

void page_row(struct page *page, unsigned indent, const char *label)
{
    struct bytes text = page->pending;
    page->pending = (struct bytes){0};
    unsigned width = (unsigned)strlen(label);
    bool narrow = page->width < 60;
    unsigned hang = narrow ? indent + 4 : indent + LABEL_COLUMNS;
    if (width > 0) {
        page_write(page, "%s%s", label, narrow ? ":" : "");
    }
    unsigned pad = narrow || width >= LABEL_COLUMNS ? 1 : LABEL_COLUMNS - width;
    unsigned first = indent;
    if (width == 0) {
        first = hang;
        pad = 0;
    }
    while (pad-- > 0) {
        page_write(page, " ");
    }
    if (text.size > 0) {
        bytes_add(page, &page->pending, text.text, text.size);
    }
    page_flow(page, first, hang);
    free(text.text);
}
