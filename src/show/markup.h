/*
 * HTML and SVG on a page. Whatever comes from a file is text and stays text: the five characters
 * of markup are escaped, and hidden or direction-changing ones are shown by their number.
 */
#ifndef STAVE_SHOW_MARKUP_H
#define STAVE_SHOW_MARKUP_H

#include "show/page.h"

/* Adds a text, escaped for an element as for an attribute in quotes. */
void markup_text(struct page *page, const char *text);

/*
 * Adds markup. Formats know %s (escaped), %u, %zu, %d, %% and %f, a place for ink: at most two
 * decimals, none that say nothing.
 */
void markup(struct page *page, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Width of a text in a picture, about: for putting texts beside each other. */
double markup_width(const char *text, double size);

#endif
