/* What the files of src/sweep share. */
#ifndef STAVE_SWEEP_INSIDE_H
#define STAVE_SWEEP_INSIDE_H

#include "sweep/sweep.h"

/* ---- columns ---------------------------------------------------------------------------- */

enum column_sort {
    COLUMN_IGNORED,
    COLUMN_ID,
    COLUMN_PROPELLER,
    COLUMN_INSPECTION,
    COLUMN_PART,
    COLUMN_NUMBER,
    COLUMN_KIND,
    COLUMN_SIDE,
    COLUMN_PLACE,
    COLUMN_AXIS,
    COLUMN_MEASURE,
    COLUMN_OBSERVATION,
    COLUMN_WAS,   /* a measure at the inspection before */
    COLUMN_FIRST, /* when first seen */
    COLUMN_NEW,
    COLUMN_REMARK
};
#define COLUMN_SORTS (COLUMN_REMARK + 1)

struct column {
    enum column_sort sort;
    const char *title;       /* as the header has it */
    const char *name;        /* of the axis, measure or observation */
    const struct unit *unit; /* of cells that name none; NULL: cells have to */
};

/* A row on its way: a column and a cell each; `columns` are the sweep's, and of JSON Lines
 * those that the row alone has behind them. */
struct cell {
    const char *bytes;
    uint32_t size;
};

struct row {
    const struct column *columns;
    struct cell *cells;
    uint32_t count;
    uint64_t line;
    const char *fault; /* why it is no row of cells, or NULL */
};

/* The books of a sweep: the one that is asked, and the one that it is held against. */
#define SWEEP_BOOKS 2

struct sweep {
    const struct ready_book *books[SWEEP_BOOKS];
    uint32_t book_count;
    bool json_in, json_out, name_files;
    bool grouped;
    struct column *columns;
    uint32_t column_count;
    int32_t id, propeller, inspection; /* columns, or -1 */
    const char *const *ignored;
    size_t ignored_count;
    struct fast *fast[SWEEP_BOOKS]; /* NULL: no fast table for any of its rows */
};

/*
 * What a title stands for. NULL, or why it cannot be a column (in `arena`).
 */
const char *column_resolve(struct arena *arena, const struct sweep *sweep, const char *title,
                           size_t size, struct column *column);
/* Do two columns say the same? What nobody looks at never does. */
bool column_same(const struct column *a, const struct column *b);

/* ---- CSV ------------------------------------------------------------------------------------ */

/* Bytes on their way; `mask` holds the commas, quotes and line ends of the 64 bytes at `window`
 * that were not passed yet. */
struct csv {
    const char *at, *end, *window;
    uint64_t mask;
    bool moved; /* `at` has moved on without them */
};

void csv_begin(struct csv *csv, const char *bytes, size_t size);

/* A row of CSV: at most `most` cells. */
struct csv_row {
    struct cell *cells; /* in quotes: without them, but doubled quotes still doubled */
    uint32_t most;      /* room */
    bool exact;         /* there should be so many */
    uint32_t count;
    uint64_t quoted; /* bits: cells (of the first 64) with a doubled quote; bit 63 for all others */
    uint32_t lines;  /* line ends that were passed */
    bool goes_on;    /* over a line end within quotes */
    bool blank;      /* an empty line */
    const char *fault;
};

/* Takes the next row, or passes what is no row up to its line end, with a fault. False: the bytes
 * end within it, and are not `last`; nothing was taken. At least one byte must be left. */
bool csv_next(struct csv *csv, struct csv_row *row, bool last);
/* Makes one quote of two in the cells that ask for it, in `arena`. */
void csv_undouble(struct arena *arena, struct csv_row *row);

/* Counts the line ends of bytes; also tells whether there is a quote. */
struct survey {
    uint64_t lines;
    bool quotes;
    const char *last_line_end; /* NULL: none */
};
struct survey csv_survey(const char *bytes, size_t size);

/* ---- JSON Lines ------------------------------------------------------------------------------ */

/* One member of an object, in the arena: key and value with their escapes resolved. A null has no bytes. */
struct member {
    struct cell key, value;
};

/* Reads a line as one flat object. NULL with a fault. */
const struct member *object_read(struct arena *arena, const char *bytes, size_t size,
                                 uint32_t *count, const char **fault);

/* ---- answers ---------------------------------------------------------------------------------- */

struct answers {
    struct arena *arena;
    char *bytes;
    size_t size, capacity;
};

/* Makes room for `more` bytes, and gives where they go. */
char *answers_room(struct answers *answers, size_t more);

/* What one row came to. A text that is not set is an empty field. */
struct outcome_of_row {
    bool judged;
    uint32_t outcome;
    uint32_t best;       /* less than outcome: undecided */
    uint32_t kind, zone; /* indices; zone_count: none */
    const char *zone_name, *rule, *name, *reading, *limit, *source;
    const char *reason;
};

#define ROW_UNCOVERED "lies in no zone with a limit for it"

/* The number of a line, as text: most are the last one and one more. */
struct line_text {
    uint64_t line;
    uint64_t word; /* its digits in memory's order */
    uint32_t size; /* 0: more than eight, or none yet */
};

struct sweeper {
    struct arena *kept, *scratch;
    const struct sweep *sweep;
    struct answers answers;
    struct stave_sweep_counts counts;
    uint64_t *by_outcome, *by_kind, *by_zone;
    uint32_t *by_line; /* of the ladders of the fast table, in the block at hand */
    struct cell *cells;
    struct column *own_columns; /* JSON Lines: the sweep's, and room for a row's own */
    const char *file;
    struct group *group;
    struct line_text line_text;
    struct waiting *waiting;
    struct stretch *stretch; /* NULL: no row has a chance with the fast table */
};

/* Writes one answer. `others`: what the other book says, or NULL. */
void answer_write(struct sweeper *sweeper, const struct row *row,
                  const struct outcome_of_row *result, const struct outcome_of_row *other);
/* Adds it to the counts. */
void answer_count(struct sweeper *sweeper, const struct outcome_of_row *result);

/* ---- the general road --------------------------------------------------------------------------- */

/* The cell of a column, or an empty one. */
struct cell row_cell(const struct row *row, int32_t column);
/* What a cell holds between blanks at its ends: propellers and inspections are the same by it. */
struct cell cell_trim(struct cell cell);

/* The columns that hold something, as bits. */
uint64_t row_given(const struct row *row);
/* What nobody looks at has to be a text all the same. */
bool row_is_text(const struct row *row);
/* "0.0334 in (rounded)". */
const char *figure_marked(struct arena *arena, const char *figure, bool rounded);

/* Resolves a row against one of the books, in the scratch arena. NULL with a reason. */
struct finding *row_finding(struct sweeper *sweeper, uint32_t book, const struct row *row,
                            const char **reason);
/* Judges a finding of a company. */
struct outcome_of_row row_judge(struct sweeper *sweeper, uint32_t book,
                                const struct company *company, uint32_t index);
/* Both, for a row by itself. */
struct outcome_of_row row_ask(struct sweeper *sweeper, uint32_t book, const struct row *row);

/* ---- the rows of a block ------------------------------------------------------------------------ */

/* What is done with the rows of a block. */
struct answering {
    struct sweeper *sweeper;
    const struct stave_block *block;
    const char *refusal; /* of all of them */
    struct arena_mark mark;
};

/* Answers a row, or keeps it until its group is whole. */
void block_take(struct answering *answering, const struct row *row);
/* All rows of a block of JSON Lines. */
void block_take_objects(struct answering *answering);

#endif
