/*
 * Pictures: SVG of parts with their findings, and of limits. A picture is given alone, with its
 * patterns and style in it, or for a page that has them once.
 */
#ifndef STAVE_SHOW_PICTURE_H
#define STAVE_SHOW_PICTURE_H

#include "show/ink.h"
#include "stave.h"

struct picture {
    const stave_outline *outline;
    const stave_verdict *verdict; /* NULL: no inspection */
    bool alone;
    unsigned *number; /* counts the pictures of a page: each has names of its own */
};

/* "<svg ...>" with title and description; `class` for a page's style. */
void picture_begin(struct page *page, const struct picture *picture, double width, double height,
                   const char *title, const char *description);
void picture_end(struct page *page);

/* A text. `anchor` is "start", "middle" or "end". */
void picture_text(struct page *page, double x, double y, const char *anchor, const char *class,
                  const char *text);

/*
 * A part unrolled: its sides beside each other, zones and findings to scale. `name` is the part as
 * the verdict has it ("blade 1"), or the part's own name for one without findings. What has no
 * room is counted in words.
 */
void picture_map(struct page *page, const struct picture *picture, uint32_t part, const char *name);

/* One chart. */
void picture_chart(struct page *page, const struct picture *picture, uint32_t chart);

#endif
