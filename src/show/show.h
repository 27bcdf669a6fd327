/*
 * What the library answers, in forms for people and for programs. Everything here adds to a
 * page and decides nothing; it knows the library by its public header alone.
 *
 *     text.c, item.c   a verdict for a person, at 80 columns or fewer
 *     problems.c       problems with excerpt and caret
 *     proof.c          worked examples for a person
 *     claims.c         what was proved over all findings, for a person
 *     pinned.c         which figures are held by examples, for a person; short names of slips
 *     property.c       claims in words, and by short names for programs
 *     proof_json.c     a proof as JSON (docs/proof.schema.json)
 *     sarif.c          what a proof finds fault with, on the lines of the book: SARIF 2.1.0
 *     json.c           verdict and problems as JSON (docs/verdict.schema.json)
 *     report*.c        a verdict as an HTML page
 *     map*.c, chart*.c parts with their findings, and limits, as SVG; pictures.c names them
 *     sheet.c, blank_record.c   for the walk-round; document.c the book as HTML or Markdown
 *     markup.c, ink.c, picture.c, html.c, form.c   what those share
 *     tap.c, junit.c   a proof for build servers: TAP 14, JUnit XML
 */
#ifndef STAVE_SHOW_SHOW_H
#define STAVE_SHOW_SHOW_H

#include "show/page.h"
#include "stave.h"

/* The version of the JSON form, its member "format". */
#define SHOW_JSON_FORMAT 1

void show_verdict(struct page *page, const stave_verdict *verdict);
/* One finding, check or search in full. */
void show_item(struct page *page, const stave_verdict *verdict, const struct stave_item *item);
/* Nothing about it asks for attention: best outcome, certain, nothing to do. */
bool show_item_is_quiet(const struct stave_item *item);
/* "F2" or "blade 2 twist": adds to the pending paragraph. */
void show_item_name(struct page *page, const struct stave_item *item);
/* "look again within 50 h, by 862.4 h": adds to the pending paragraph. */
void show_deadline(struct page *page, const struct stave_deadline *deadline);
/* "by 0.1 in; by 0.3 in since first seen": how much a measure grew, for a row or a list. */
void show_growth(struct page *page, const struct stave_growth *growth);
/* What an earlier inspection set came to: ": 3 h left", ": overdue by 0.6 h". */
void show_due_state(struct page *page, const struct stave_deadline *deadline);
/* Writes an outcome's name and, where it grounds, ", no flight". */
void show_outcome(struct page *page, const stave_verdict *verdict, uint32_t outcome);
/* The index of the outcome "incomplete" in the scale. */
uint32_t show_incomplete(const stave_verdict *verdict);

/* The verdict as one HTML page with maps of the parts (report.c). */
void show_report(struct page *page, const stave_outline *outline, const stave_verdict *verdict);

/* The walk-round sheet of a book as an HTML page, and the inspection record that goes with it. */
void show_sheet(struct page *page, const stave_outline *outline);
void show_blank_record(struct page *page, const stave_outline *outline);

/* The whole book as tables and charts, as an HTML page or in Markdown. */
void show_document(struct page *page, const stave_outline *outline, bool markdown);

/* The pictures of a book: its charts, then a map of each part or, with a verdict, of each one that
 * has findings. */
size_t show_picture_count(const stave_outline *outline, const stave_verdict *verdict);
/* The name of one, as a file may have it without its ending: "03-gouge-depth", "map-blade-1". */
void show_picture_name(struct page *page, const stave_outline *outline,
                       const stave_verdict *verdict, size_t which);
/* What it shows, in one line. */
void show_picture_title(struct page *page, const stave_outline *outline,
                        const stave_verdict *verdict, size_t which);
/* The picture as a whole SVG file. */
void show_picture(struct page *page, const stave_outline *outline, const stave_verdict *verdict,
                  size_t which);

void show_problems(struct page *page, const struct stave_problem *problems, size_t count);
/* "2 errors, 1 warning" as a line, led by the name of the program. */
void show_problem_count(struct page *page, const struct stave_problem *problems, size_t count);

/* The verdict, and beside it what warnings book, record and history gave. */
void show_verdict_json(struct page *page, const stave_verdict *verdict,
                       const struct stave_problem *const lists[3], const size_t counts[3]);
/* Problems without a verdict. */
void show_problems_json(struct page *page, const struct stave_problem *problems, size_t count);

/* ---- proofs ------------------------------------------------------------------------ */

/* All that was asked of a book, and came to. */
struct show_proved {
    const struct stave_book_facts *book;
    const stave_proof *examples; /* NULL: not asked */
    const stave_claims *claims;  /* NULL: not asked */
    const stave_pinning *pinning; /* NULL: not asked */
    unsigned pinned_least;       /* per cent of figures and slips that have to be held; 0: none */
    /* Warnings of the book, and problems of texts beside it. */
    const struct stave_problem *problems[2];
    size_t problem_counts[2];
    /* The bytes of a text by its name, for columns; false when they are not at hand. */
    bool (*find_text)(void *user, const char *name, struct stave_text *text);
    void *user;
};

/* For a person: what fails in full, then what was proved. */
void show_proof(struct page *page, const struct show_proved *proved);
void show_claims(struct page *page, const struct stave_book_facts *book,
                 const stave_claims *claims);
/* Which figures the examples hold, and each slip that they miss (pinned.c). */
void show_pinned(struct page *page, const struct show_proved *proved);
/* Is so much held as was asked for? What is inert does not count. */
bool show_figures_held(const struct show_proved *proved);
bool show_slips_caught(const struct show_proved *proved);
/* "up to becomes below": what a slip changes. Adds to the pending paragraph. */
void show_slip(struct page *page, const struct stave_slip *slip);
/* Short names that stay the same: "figure-up", "noticed", "pinned". */
const char *show_slip_sort(const struct stave_slip *slip);
const char *show_slip_answer(const struct stave_slip *slip);
const char *show_hold(const struct stave_held_figure *figure);
/* The suggested examples as they are, and on `notes` how many there are. */
void show_suggested(struct page *page, struct page *notes, const stave_pinning *pinning);
void show_proof_tap(struct page *page, const struct show_proved *proved);
void show_proof_junit(struct page *page, const struct show_proved *proved);
void show_proof_json(struct page *page, const struct show_proved *proved);
void show_proof_sarif(struct page *page, const struct show_proved *proved);

/* A proof that could not begin, in the same forms; for SARIF, `book` is NULL and the problems are the
 * first list. */
void show_problems_tap(struct page *page, const struct stave_problem *problems, size_t count);
void show_problems_junit(struct page *page, const struct stave_problem *problems, size_t count);

/* "total", "line-decides": a short name that stays the same from one version to the next. */
const char *show_property_name(enum stave_property property);
/* "every finding meets a line" */
const char *show_property_text(enum stave_property property);
/* "proved", "refuted", "not proved", "noted"; "excused" for one that is refuted and has an exception. */
const char *show_answer_text(const struct stave_claim *claim);
/* Refuted without an exception, or not proved. */
bool show_claim_fails(const struct stave_claim *claim);
/* It was not looked at, as the host stopped the work before. */
bool show_claim_unreached(const struct stave_claim *claim);
/* One region as rows, its witness so that it can be pasted as an example. */
void show_region(struct page *page, const struct stave_region *region, enum stave_property property,
                 const char *const sides[2]);

/* What the rows of a sweep came to. `against` NULL: no other book was asked. */
void show_sweep(struct page *page, const struct stave_book_facts *facts,
                const struct stave_book_facts *against, const struct stave_sweep_counts *counts,
                bool stopped);
void show_sweep_json(struct page *page, const struct stave_book_facts *facts,
                     const struct stave_book_facts *against,
                     const struct stave_sweep_counts *counts, bool stopped);

#endif
