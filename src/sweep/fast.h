/*
 * The fast table: the dockets of a plan in whole numbers, for rows in which everything is exact.
 *
 * A figure is a whole number of millionths of its column's unit. A test is a sum of small products, worked
 * out when the table is made so that no value within the ranges of the book can pass 62 bits; a docket
 * or a line for which that cannot be shown has no table. Whatever a row has that the table does not
 * know for certain (a figure with its own unit, a doubt, a range, something not given, a name that it
 * has not met) makes fast_judge say no, and the row goes the general road. So the table
 * never reads what it does not judge, and never judges otherwise: it is made from the very atoms that
 * judge() asks (the tests hold the two against each other).
 *
 * Axes. A place is found among the breakpoints of its axis as a cell, as plan.h has them, and for each
 * product of cells and a side there is a list of the limits that are met there.
 */
#ifndef STAVE_SWEEP_FAST_H
#define STAVE_SWEEP_FAST_H

#include <string.h>

#include "sweep/inside.h"

#define FAST_MILLION 1000000
#define FAST_SLOTS 16       /* variables of one docket */
#define FAST_CELLS 65536    /* of one docket */
#define FAST_LISTS 4096
#define FAST_STEPS 32       /* conditions of one line */
#define FAST_BUCKETS 64

/* c[0] * value + c[1] * value + a * place + b  (< or <=)  0 */
struct fast_linear {
    int64_t a, b, c[2];
};

enum fast_sort {
    FAST_AT_MOST,  /* value <= bound */
    FAST_AT_LEAST, /* value >= bound */
    FAST_LINEAR,
    FAST_VALUES,
    FAST_ANY       /* one of the `count` tests behind it */
};

struct fast_test {
    uint8_t sort, slots[2], axis, step;
    uint8_t count;      /* FAST_ANY: the tests behind it; else terms */
    bool strict, placed;
    uint16_t entries;   /* of its table */
    union {
        int64_t bound;
        uint64_t values;
        const struct fast_linear *linear; /* by breakpoint of the axis: from there on; without a
                                             place one alone */
    };
};

/* A text and its size, as CSV has it; FAST_SPARE bytes behind it may be read. */
#define FAST_SPARE 32
struct fast_text {
    const char *bytes;
    uint32_t size;
};

enum fast_show { FAST_SHOW_NOTHING, FAST_SHOW_VALUES, FAST_SHOW_FIGURE, FAST_SHOW_SLOWLY };

/* How a condition is shown where it tells. */
struct fast_step {
    uint8_t show, slot;
    bool upper, any;            /* the right side is the greater of several, else the lesser */
    bool product;
    uint16_t test_count;        /* the leaves that its right side is made of */
    uint32_t leaves;            /* the first of them */
    const char *name;
    struct fast_text before;    /* ",name," */
    const char *limit;          /* NULL: to be worked out at the place */
    struct fast_text limit_text;
    const struct unit *unit;
    struct fast_text suffix;    /* " in" */
    int64_t over, under;        /* of a product: millionths of the unit are value * over / under */
};

/* A line, or that none holds. */
struct fast_rung {
    uint32_t first_test, first_step;
    uint16_t test_count, outcome, step_count;
    bool is_end;
};

struct fast_line {
    const char *rule, *source;
    struct fast_text head, tail; /* ",outcome,flight,,zone,rule" and ",source,\n" */
};

struct fast_limit {
    uint32_t first_rung, rung_count; /* with the end */
    uint32_t zone;
    const char *zone_name;
};

/* Where one thing that the kind records stands, and how its figures are taken. */
struct fast_record {
    int16_t column;
    bool measured;
    bool rounds, round_down, to_nearest;
    int64_t low, high, step;    /* millionths of the column's unit */
    uint64_t inverse;           /* of step: 2^64 / step, and a little more; 0: divide */
    const struct observation *observation;
    const uint64_t *keys;       /* of its values, by fast_name_key */
};

struct fast_axis {
    int16_t column;
    int64_t low, high;
    int64_t *breakpoints;
    uint32_t breakpoint_count;
    unsigned shift;
    uint16_t bucket[FAST_BUCKETS + 1];
};

struct fast_product {
    uint8_t slot, factors[2];
};

struct fast_docket {
    const struct kind *kind;
    const struct part *part;
    uint64_t needed, allowed;   /* columns, as bits */
    bool by_place;
    int16_t side_column, place_column;
    const uint64_t *side_keys, *place_keys;
    struct fast_axis axes[BOOK_AXES];
    uint32_t axis_count;
    uint32_t cells_of[BOOK_AXES];
    uint32_t cell_count;
    const uint16_t *lists;      /* by side and cell */
    const uint16_t *list_start; /* by list: into members */
    const uint16_t *members;    /* limits */
    uint16_t uncovered_list;
    struct fast_record records[FAST_SLOTS];
    uint32_t record_count;
    struct fast_product products[FAST_SLOTS];
    uint32_t product_count;
    struct fast_limit *limits;
    uint32_t most_instances;    /* 0: the part is one */
};

/* Names of parts or kinds, found by their first bytes and size. */
#define FAST_NAME_SLOTS 256
struct fast_names {
    uint16_t slots[FAST_NAME_SLOTS]; /* index + 1 */
    uint64_t keys[FAST_NAME_SLOTS];
    const char **names;
    uint32_t *sizes;
    uint32_t count;
};

/* `end`: up to where bytes may be read, or NULL for the end of the name itself. */
static inline uint64_t fast_name_key(const char *bytes, uint32_t size, const char *end)
{
    uint64_t word = 0;
#if defined(__BYTE_ORDER__) && __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__
    if (end && end - bytes >= 8) {
        memcpy(&word, bytes, 8);
        word = size >= 8 ? word : word & ((UINT64_C(1) << 8 * size) - 1);
        return word ^ (uint64_t)size << 56;
    }
#else
    (void)end;
#endif
    memcpy(&word, bytes, size < 8 ? size : 8);
    return word ^ (uint64_t)size << 56;
}

static inline uint32_t fast_name_slot(uint64_t key)
{
    return (uint32_t)((key * UINT64_C(0x9e3779b97f4a7c15)) >> 56);
}

struct fast {
    const struct book *book;
    const struct docket *const *plan;
    struct fast_docket **dockets; /* kind * part_count + part; NULL: none */
    struct fast_names kinds, parts;
    int16_t kind_column, part_column, id_column;
    struct fast_rung *rungs;
    struct fast_line *lines;    /* by rung */
    struct fast_test *tests;
    const struct fast_linear **shown; /* by test: its numbers, also of a mere bound */
    struct fast_step *steps;
    uint32_t rung_count, line_count, test_count, shown_count, step_count;
    size_t rung_capacity, line_capacity, test_capacity, shown_capacity, step_capacity;
};

/* NULL where no docket has a table, or the columns do not serve. */
struct fast *fast_make(struct arena *arena, const struct sweep *sweep, uint32_t book);

/* ---- making the tables (fast_tests.c) -------------------------------------------------------- */

struct fast_making {
    struct arena *arena;
    struct fast *fast;
    const struct sweep *sweep;
    const struct docket *docket;
    struct fast_docket *made;
    const struct unit *units[FAST_SLOTS]; /* by record: its column's; NULL: an observation */
    int64_t greatest[FAST_SLOTS];         /* by variable: the greatest value that it can have */
    struct number scales[FAST_SLOTS];     /* by variable: base units in one */
    const struct unit *axis_units[BOOK_AXES];
};

/* A number as a whole one; false where it is none, or too large. */
bool fast_whole(struct number number, int64_t *whole);
/* All limits of the docket; false where one has no table. */
bool fast_limits(struct fast_making *making);
/* How one condition is shown. */
void fast_show(struct fast_making *making, const struct step *step, uint32_t first_test,
               struct fast_step *shown);
/* Sets head and tail of a line. */
void fast_dress(struct arena *arena, const struct book *book, const struct fast_limit *limit,
                uint32_t outcome, struct fast_line *line);

/* ---- running (fast_run.c) ----------------------------------------------------------------------- */

/* What a row came to. */
struct fast_result {
    const struct fast_docket *docket;
    const struct fast_limit *limit;  /* NULL: it lies in no zone with a limit */
    const struct fast_line *line;
    const struct fast_step *shown;   /* NULL: no comparison */
    uint32_t outcome;
    int64_t values[FAST_SLOTS];      /* rounded, millionths; of an observation its bit */
    int64_t typed[FAST_SLOTS];
    int64_t places[BOOK_AXES];
    uint32_t cells[BOOK_AXES];
};

/* Judges a row, all in bytes that end at `end` (NULL: not known); `given` are the columns that hold something. False: it has to go the general road. */
bool fast_judge(const struct fast *fast, const struct cell *cells, uint64_t given, const char *end,
                struct fast_result *result);

/* ---- writing (fast_write.c) ---------------------------------------------------------------------- */

/* Writes and counts an answer. False, with nothing written: what it shows needs the general road. */
bool fast_write(struct sweeper *sweeper, const struct fast *fast, const struct row *row,
                const struct fast_result *result);

#endif
