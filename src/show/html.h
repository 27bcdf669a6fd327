/*
 * What the HTML pages share: one file each, without scripts and without anything to fetch.
 */
#ifndef STAVE_SHOW_HTML_H
#define STAVE_SHOW_HTML_H

#include "show/picture.h"

/* Everything before the content: head, style and patterns. */
void html_begin(struct page *page, const char *title);
void html_end(struct page *page);

/* <h2> with a name to point to. */
void html_heading(struct page *page, const char *name, const char *heading);
/* One row of a list of labels and values, without a value: <dt>label</dt><dd>. */
void html_row(struct page *page, const char *label);

/* The cautions as a list. */
void html_cautions(struct page *page, const char *const *cautions, size_t count);
/* The texts that a page rests on, with their digests, and the book's edition. */
void html_rests_on(struct page *page, const struct stave_book_facts *book,
                   const struct stave_digest *texts, size_t count);
/* "act within 100 h, by 912.4 h, per ..." */
void html_deadline(struct page *page, const struct stave_deadline *deadline);
/* The patterns and what they mean. */
void html_legend(struct page *page, const struct stave_book_facts *book, size_t count);

#endif
