/*
 * One document in two forms, HTML and Markdown: headings, paragraphs and tables. What comes from a
 * file is escaped for the form.
 */
#ifndef STAVE_SHOW_FORM_H
#define STAVE_SHOW_FORM_H

#include "show/html.h"

struct form {
    struct page *page;
    bool markdown;
};

/* `name` is where the heading can be pointed to. `level` 1 to 3. */
void form_heading(const struct form *form, unsigned level, const char *name, const char *heading);
/* A paragraph of text, or of what is added between the two. */
void form_paragraph(const struct form *form, const char *text);
void form_begin(const struct form *form);
void form_end(const struct form *form);
/* Adds a text to a paragraph or cell, and the same in strong letters. */
void form_text(const struct form *form, const char *text);
void form_strong(const struct form *form, const char *text);
void form_number(const struct form *form, size_t number);
void form_outcome(const struct form *form, const struct stave_book_facts *book, uint32_t outcome);

/* A table: its head, then rows of cells. */
void form_table(const struct form *form, const char *const *heads, size_t count);
void form_row(const struct form *form);
void form_cell(const struct form *form);
void form_cell_end(const struct form *form);
void form_row_end(const struct form *form);
void form_table_end(const struct form *form);
/* A cell with a text. */
void form_cell_text(const struct form *form, const char *text);

#endif
