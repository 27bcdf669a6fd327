/*
 * Ink: where on a picture a figure goes, and how an outcome looks.
 *
 * Here alone is binary floating point. It places ink and nothing else: every figure that is
 * written comes from the library as text, but for the round ones beside an axis.
 */
#ifndef STAVE_SHOW_INK_H
#define STAVE_SHOW_INK_H

#include "show/markup.h"
#include "stave.h"

/* The value of a figure, for placing it. */
double ink_value(const struct stave_figure *figure);

/* A stretch of values laid over a stretch of the picture. */
struct ink_scale {
    double from, to;   /* values, from < to */
    double start, end; /* places */
};
double ink_at(const struct ink_scale *scale, double value);

/* A step of 1, 2 or 5 times a power of ten that gives about `count` steps. `places` is set to
 * the decimals that it needs. */
double ink_step(double span, double count, int *places);
/* "12.5" with that many decimals. */
void ink_number(struct page *page, double value, int places);

/*
 * How outcomes look: those above `no flight` from blank paper over dots to thin lines; those below
 * it hatched, ever closer. In words too wherever one stands, so that neither pattern nor colour is
 * needed to read it.
 */
struct ink_look {
    bool flight;
    unsigned level; /* from 0 within its kind */
    bool unknown;   /* no published limit, incomplete */
};
struct ink_look ink_look(const struct stave_book_facts *book, uint32_t outcome);
/* The name of its pattern: fill="url(#...)". */
void ink_fill(struct page *page, const struct stave_book_facts *book, uint32_t outcome);
/* The patterns, as one <defs>. */
void ink_patterns(struct page *page);
/* A swatch and the outcome's name with ", no flight" where it grounds, for HTML. */
void ink_outcome(struct page *page, const struct stave_book_facts *book, uint32_t outcome);

#define INK_BLACK "#16202a"
#define INK_GREY "#4a5661"
#define INK_RULE "#8b97a1"
#define INK_FONT "font-family=\"&quot;DejaVu Sans&quot;,Verdana,Arial,sans-serif\""

#endif
