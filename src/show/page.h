/*
 * A page: the whole answer put together in memory before its first byte is sent, so that
 * an answer is never half written for want of memory. What is added from files is
 * escaped; lines are wrapped at words.
 */
#ifndef STAVE_SHOW_PAGE_H
#define STAVE_SHOW_PAGE_H

#include <stdbool.h>
#include <stddef.h>

/* Bytes under construction, from malloc; zero-terminated once something was added. */
struct bytes {
    char *text;
    size_t size, capacity;
};

/* Widths outside these are taken as the nearer one. */
#define PAGE_WIDTH_LEAST 40
#define PAGE_WIDTH 80

struct page {
    struct bytes done;    /* whole lines */
    struct bytes pending; /* the paragraph being put together; holds marks */
    bool failed;          /* out of memory: worth nothing any more */
    unsigned width;       /* columns */
    bool colour;
};

/* Marks in a format that set how the text after them looks; shown only in colour. */
#define MARK_STRONG "\1"
#define MARK_GOOD "\2"
#define MARK_BAD "\3"
#define MARK_DOUBT "\4"
#define MARK_PLAIN "\5"

/* `width` 0: PAGE_WIDTH. */
void page_begin(struct page *page, unsigned width, bool colour);
void page_end(struct page *page);

/* Adds bytes as they are. */
void page_raw(struct page *page, const char *text);
void page_raw_bytes(struct page *page, const char *text, size_t size);
/* Adds a text from elsewhere, each hidden character by its number. */
void page_escaped(struct page *page, const char *text);

/*
 * Adds to the pending paragraph. Formats know %s (escaped), %u, %zu and %%; a mark may
 * stand in the format itself, or come by %c.
 */
void page_write(struct page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* Wraps the pending paragraph: first line indented by `indent`, the others by `hang`. */
void page_flow(struct page *page, unsigned indent, unsigned hang);
/* page_write and page_flow in one. */
void page_line(struct page *page, unsigned indent, unsigned hang, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
void page_blank(struct page *page);

/*
 * A labelled row: the pending paragraph beside its label, in a column of its own where the
 * page is wide enough. An empty label goes on with the row above.
 */
void page_row(struct page *page, unsigned indent, const char *label);

#endif
