/*
 * A book and rows of findings -> answers, one a row: CSV (RFC 4180) or JSON Lines in and out.
 *
 * A *sweep* is a book made ready for one table of columns; it is never written to after it was
 * made, so many threads may use it at once. A *sweeper* is the scratch of one thread: it takes a
 * block of whole rows and gives a block of answers, in its own memory. A *cutter* finds where blocks
 * end; it is fed the whole input in order.
 *
 * What is not a finding that can be judged is answered "not judged", with the reason; every row has
 * exactly one answer. All judging is judge()'s: the general road (general.c) calls it, and the fast
 * table (fast.h) is made from the same plan and answers only where it is sure to say the same.
 *
 * Rows. A CSV row ends at a line end outside quotes. A field in quotes that is never closed, that
 * goes on after its closing quote, or that makes a row of too many or too few fields over several lines
 * spoils its first line only: reading goes on at the next, so that one stray quote cannot
 * swallow the rows behind it.
 *
 * Groups. Where the book asks about damage in company, the rows of one inspection of one propeller have to
 * stand together. The cutter keeps a group in one block and remembers (by a hash) every group that it has
 * passed, so that a group that comes back is told and never counted short.
 *
 * Memory: a sweep and a cutter have their arena; a sweeper has two, one for what it keeps and one
 * for the row at hand. Nothing grows with the number of rows.
 */
#ifndef STAVE_SWEEP_SWEEP_H
#define STAVE_SWEEP_SWEEP_H

#include "verdict/verdict.h"

#define SWEEP_COLUMNS 256       /* of one table */
#define SWEEP_ROW_LIMIT 65536u  /* bytes of one row */
#define SWEEP_CELL_LIMIT 1000u  /* bytes of one cell that is looked at */
#define SWEEP_GROUP_ROWS 4096u  /* rows of one inspection */
#define SWEEP_GROUPS (1u << 20) /* that a cutter remembers */

struct sweep;
struct sweeper;
struct cutter;

/*
 * Reads the header (of CSV; of JSON Lines the members of the first row) at the start of `start`
 * and makes the sweep. NULL with problems. *heading gives how many bytes the header takes (JSON: 0).
 */
struct sweep *sweep_make(struct arena *arena, const struct ready_book *book,
                         const struct ready_book *against,
                         const struct stave_sweep_options *options, const struct stave_text *start,
                         struct problems *problems, size_t *heading);
/* The row of names that stands above CSV answers, with its line end; "" for JSON Lines. */
const char *sweep_answer_heading(const struct sweep *sweep);
/* Do rows of one inspection have to stand together? */
bool sweep_is_grouped(const struct sweep *sweep);

/* `kept` and `row` stay the caller's, and outlive the sweeper. */
struct sweeper *sweeper_make(struct arena *kept, struct arena *row, const struct sweep *sweep);
const struct stave_sweep_counts *sweeper_counts(const struct sweeper *sweeper);
/* Answers a block; the answers stay until the next. Escapes with STAVE_NO_MEMORY only. */
void sweeper_answer(struct sweeper *sweeper, const struct stave_block *block, const char **answers,
                    size_t *size);

struct cutter *cutter_make(struct arena *arena, const struct sweep *sweep);
/* Goes on with another input, of a sweep of the same books. */
void cutter_next(struct cutter *cutter, const struct sweep *sweep);
/* As stave_cut, in stave.h. */
void cutter_cut(struct cutter *cutter, const char *bytes, size_t size, bool last,
                struct stave_cut *cut);

#endif
