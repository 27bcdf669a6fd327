#include "show/markup.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "show/characters.h"

static const char *entity(char c)
{
    switch (c) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\'':
        return "&#39;";
    default:
        return NULL;
    }
}

void markup_text(struct page *page, const char *text)
{
    char spelling[CHARACTER_SPELLING];
    while (*text) {
        struct character character = character_read(text);
        character_spell(text, character, spelling);
        for (const char *at = spelling; *at; at++) {
            const char *escaped = entity(*at);
            page_raw_bytes(page, escaped ? escaped : at, escaped ? strlen(escaped) : 1);
        }
        text += character.length;
    }
}

/* "12.5", "12", "-0.25": never an exponent, whatever comes. */
static void add_place(struct page *page, double place)
{
    char text[48];
    if (!(place > -1e9 && place < 1e9)) {
        place = 0;
    }
    int size = snprintf(text, sizeof text, "%.2f", place);
    while (size > 0 && text[size - 1] == '0') {
        text[--size] = '\0';
    }
    if (size > 0 && text[size - 1] == '.') {
        text[--size] = '\0';
    }
    page_raw(page, strcmp(text, "-0") == 0 ? "0" : text);
}

void markup(struct page *page, const char *format, ...)
{
    char number[24];
    va_list list;
    va_start(list, format);
    for (const char *at = format; *at; at++) {
        size_t plain = strcspn(at, "%");
        if (plain > 0) {
            page_raw_bytes(page, at, plain);
            at += plain - 1;
            continue;
        }
        at++;
        if (*at == 's') {
            markup_text(page, va_arg(list, const char *));
        } else if (*at == 'f') {
            add_place(page, va_arg(list, double));
        } else if (*at == 'u') {
            snprintf(number, sizeof number, "%u", va_arg(list, unsigned));
            page_raw(page, number);
        } else if (*at == 'd') {
            snprintf(number, sizeof number, "%d", va_arg(list, int));
            page_raw(page, number);
        } else if (*at == 'z') {
            at++;
            snprintf(number, sizeof number, "%zu", va_arg(list, size_t));
            page_raw(page, number);
        } else {
            page_raw_bytes(page, at, 1);
        }
    }
    va_end(list);
}

double markup_width(const char *text, double size)
{
    double width = 0;
    char spelling[CHARACTER_SPELLING];
    while (*text) {
        struct character character = character_read(text);
        width += 0.6 * size * character_spell(text, character, spelling);
        text += character.length;
    }
    return width;
}
