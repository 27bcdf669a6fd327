#include "show/form.h"

#include <stdio.h>
#include <string.h>

#include "show/characters.h"

/* ---- text ------------------------------------------------------------------------------ */

/* Nothing in a text may act as markup: not in Markdown, and not as HTML inside it. */
static void markdown_text(struct page *page, const char *text)
{
    char spelling[CHARACTER_SPELLING];
    while (*text) {
        struct character character = character_read(text);
        character_spell(text, character, spelling);
        for (const char *at = spelling; *at; at++) {
            if (*at == '<' || *at == '>' || *at == '&') {
                page_raw(page, *at == '<' ? "&lt;" : *at == '>' ? "&gt;" : "&amp;");
                continue;
            }
            if (strchr("\\`*_[]#|~!", *at)) {
                page_raw(page, "\\");
            }
            page_raw_bytes(page, at, 1);
        }
        text += character.length;
    }
}

void form_text(const struct form *form, const char *text)
{
    if (form->markdown) {
        markdown_text(form->page, text);
    } else {
        markup_text(form->page, text);
    }
}

void form_strong(const struct form *form, const char *text)
{
    page_raw(form->page, form->markdown ? "**" : "<strong>");
    form_text(form, text);
    page_raw(form->page, form->markdown ? "**" : "</strong>");
}

void form_number(const struct form *form, size_t number)
{
    char text[24];
    snprintf(text, sizeof text, "%zu", number);
    page_raw(form->page, text);
}

void form_outcome(const struct form *form, const struct stave_book_facts *book, uint32_t outcome)
{
    if (!form->markdown) {
        ink_outcome(form->page, book, outcome);
        return;
    }
    form_text(form, book->scale[outcome].name);
    page_raw(form->page, book->scale[outcome].flight ? "" : ", **no flight**");
}

/* ---- headings and paragraphs --------------------------------------------------------------- */

void form_heading(const struct form *form, unsigned level, const char *name, const char *heading)
{
    if (form->markdown) {
        page_raw(form->page, level == 1 ? "# " : level == 2 ? "\n## " : "\n### ");
        markdown_text(form->page, heading);
        page_raw(form->page, "\n\n");
    } else {
        markup(form->page, "<h%u id=\"%s\">%s</h%u>\n", level, name, heading, level);
    }
}

void form_begin(const struct form *form)
{
    page_raw(form->page, form->markdown ? "" : "<p>");
}

void form_end(const struct form *form)
{
    page_raw(form->page, form->markdown ? "\n\n" : "</p>\n");
}

void form_paragraph(const struct form *form, const char *text)
{
    form_begin(form);
    form_text(form, text);
    form_end(form);
}

/* ---- tables ------------------------------------------------------------------------------------ */

void form_table(const struct form *form, const char *const *heads, size_t count)
{
    struct page *page = form->page;
    page_raw(page, form->markdown ? "" : "<div class=\"wide\" tabindex=\"0\"><table><thead><tr>");
    for (size_t i = 0; i < count; i++) {
        page_raw(page, form->markdown ? "| " : "<th scope=\"col\">");
        form_text(form, heads[i]);
        page_raw(page, form->markdown ? " " : "</th>");
    }
    page_raw(page, form->markdown ? "|\n" : "</tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < count && form->markdown; i++) {
        page_raw(page, i + 1 == count ? "|---|\n" : "|---");
    }
}

void form_row(const struct form *form)
{
    page_raw(form->page, form->markdown ? "" : "<tr>");
}

void form_cell(const struct form *form)
{
    page_raw(form->page, form->markdown ? "| " : "<td>");
}

void form_cell_end(const struct form *form)
{
    page_raw(form->page, form->markdown ? " " : "</td>");
}

void form_row_end(const struct form *form)
{
    page_raw(form->page, form->markdown ? "|\n" : "</tr>\n");
}

void form_table_end(const struct form *form)
{
    page_raw(form->page, form->markdown ? "\n" : "</tbody></table></div>\n");
}

void form_cell_text(const struct form *form, const char *text)
{
    form_cell(form);
    form_text(form, text);
    form_cell_end(form);
}
