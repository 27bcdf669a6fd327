/*
 * The fast table: the dockets of a plan in whole numbers, for rows in which everything is exact.
 *
 * A figure is a whole number of millionths of its column's unit. A test is a sum of small products, worked
 * out when the table is made so that no value within the ranges of the book can pass 62 bits; a docket
 * or a limit for which that cannot be shown has no table, and a row that meets such a limit none either. Whatever a row has that the table does not
 * know for certain (a figure with its own unit, a doubt, a range, something not given, a name that it
 * has not met) leaves the row unjudged. Of these wide.c judges, slower, those of which the table tells all
 * that may be; all others go the general road. So the table
 * never reads what it does not judge, and never judges otherwise: it is made from the very atoms that
 * judge() asks (the tests hold the two against each other).
 *
 * Axes. A place is found once among the breakpoints of all dockets of its part, as a cell, as plan.h
 * has them. For each docket the cells of an axis fall into classes that meet the same limits, and for
 * each product of classes and a side there is a list of these limits.
 *
 * Layout. The rows of a fleet ask all of the table at random, so what counts is how many lines of the cache
 * an answer touches, and how many the table has: what dockets have in common is kept once, what is
 * asked for each row is kept apart from what is not, and texts are put together from few pieces.
 */
#ifndef STAVE_SWEEP_FAST_H
#define STAVE_SWEEP_FAST_H

#include <string.h>

#include "sweep/stretch.h"

#define FAST_MILLION 1000000
#define FAST_SLOTS 16    /* variables of one docket */
#define FAST_CELLS 65536 /* of one docket */
#define FAST_LISTS 1024
#define FAST_STEPS 32 /* conditions of one line */
#define FAST_BUCKETS 128
#define FAST_POINTS 1023 /* breakpoints of one axis, of all dockets of a part */

/* ---- tests --------------------------------------------------------------------------------- */

/* c * value + a * place + b */
struct fast_linear {
    int64_t a, b, c;
};

enum fast_sort {
    FAST_ONE,    /* c * value + a * place + b <= 0 */
    FAST_TWO,    /* the same, and the next c times another value */
    FAST_VALUES, /* no bit of the value is outside own.b */
    FAST_SOME    /* one of the own.b tests behind it */
};

#define FAST_NO_AXIS BOOK_AXES /* its place is 0, and it has one breakpoint */

struct fast_test {
    struct fast_linear own; /* FAST_ONE, without a place */
    uint16_t linear;        /* in fast->linears: its first piece */
    uint16_t map;  /* in fast->maps: by breakpoint, how far behind that; 0: without a place */
    uint8_t slots; /* of the value, and 16 times that of another */
    uint8_t axis;
    uint8_t sort : 7, strict : 1; /* at the limit itself it does not hold: every b is one more */
    uint8_t step;
};

/* ---- lines ---------------------------------------------------------------------------------- */

/* Texts stand in fast->texts; behind each, so many bytes may be read. */
#define FAST_SPARE 32

struct fast_text {
    uint32_t at, size;
};

#define FAST_TEXTS 4096 /* of which so many are kept once */

enum fast_show { FAST_SHOW_NOTHING, FAST_SHOW_VALUES, FAST_SHOW_FIGURE, FAST_SHOW_SLOWLY };

/* How a condition is shown where it tells. */
struct fast_step {
    uint32_t text; /* ",name,", the suffix of a figure, " in", and a fixed limit, as CSV has them */
    uint16_t limit_size; /* 0: to be worked out at the place */
    uint8_t before_size, suffix_size;
    uint32_t leaves;    /* the first test of which its right side is made */
    uint8_t test_count; /* of them */
    uint8_t show, slot;
    bool upper : 1, any : 1; /* the right side is the greater of several, else the lesser */
    bool product : 1;
};

/* What is not asked for each row. */
struct fast_shown {
    const char *name, *suffix, *limit;
    const struct unit *unit;
    int64_t over, under; /* of a product: millionths of the unit are value * over / under */
};

/* A line, or that none holds. */
struct fast_rung {
    uint32_t first_test, first_step;
    uint16_t outcome;
    uint16_t source; /* in fast->sources; 0: its limit's */
    uint8_t test_count, step_count;
    bool is_end;
    uint8_t number_size;
    char number[8]; /* of its line in the book */
};

struct fast_line {
    const char *rule, *source;
};

/* A ladder in one docket; those that ask the same of the same have the same lines. */
struct fast_limit {
    uint32_t first_rung, first_count; /* of its counts, one for each line */
    uint32_t zone;
    uint32_t text; /* "zone,book:" and ",source,\n" */
    uint16_t zone_size, source_size;
    uint16_t kind, rung_count;
};

/* Where a ladder was made from. */
struct fast_origin {
    const struct limit *source;
    const struct fast_docket *docket;
};

/* ---- what a row has --------------------------------------------------------------------------- */

/* A few names, of which a cell may have one. */
#define FAST_FEW 4
struct fast_values {
    const uint64_t *keys; /* by fast_name_key; at least FAST_FEW, with zeros behind the last */
    const char *const *names;
    uint32_t count;
    int16_t column;
};

/* How the figures of a measure are taken: in millionths of the column's unit. */
struct fast_measure {
    int64_t low;
    uint64_t range, step;
    uint64_t inverse; /* of step: 2^64 / step, and a little more; 0: divide */
    int64_t rest;     /* what twice the rest has to exceed to go up a step */
    int16_t column;
    uint8_t odd; /* 1: halves go to the even step */
};

struct fast_axis {
    const struct unit *unit;
    int64_t low;
    uint64_t range;
    /* The breakpoints in halves of a millionth, and one that nothing reaches. One that is no whole number of
     * millionths stands in the middle between two: a place never is just there. */
    int64_t *points;
    uint32_t count;
    unsigned shift;
    int16_t column;
    uint16_t bucket[FAST_BUCKETS + 1]; /* the last breakpoint at or before its begin */
};

struct fast_part {
    uint32_t axis_count;
    struct fast_values sides, places; /* of none, the column is none */
    struct fast_axis axes[BOOK_AXES];
};

struct fast_product {
    uint8_t slot, factors[2];
};

#define FAST_SEEN 128 /* a record that is an observation */

struct fast_docket {
    uint64_t needed, allowed; /* columns, as bits */
    const struct fast_part *part;
    const uint16_t
        *lists; /* by side and class of each axis, or by side and place: in fast->members */
    const uint8_t *classes[BOOK_AXES]; /* by cell */
    uint8_t class_counts[BOOK_AXES];
    uint8_t axis_count, measured_count, seen_count, product_count;
    bool by_place;
    uint32_t place_cells;
    uint32_t kind;
    uint8_t record_count;
    uint8_t records[FAST_SLOTS]; /* in fast->measures, or fast->observations with FAST_SEEN */
    uint8_t measured[FAST_SLOTS], seen[FAST_SLOTS]; /* which of the records are */
    const struct fast_product *products;
};

/* What rows need that are not exact, or that one place does not tell where they are. */
struct fast_source {
    const struct fast_docket *table; /* also where exact rows have none: what is measured along an axis */
    const struct docket *docket;
    const struct number *scales;  /* by variable: base units in one of its values */
    uint16_t along[BOOK_AXES];    /* bits: records that are measured along it */
};

#if defined(__BYTE_ORDER__) && __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__
#define FAST_LITTLE_ENDIAN 1
#else
#define FAST_LITTLE_ENDIAN 0
#endif

/* Names of parts or kinds, found by their first bytes. No cell has a zero byte. */
#define FAST_NAME_SLOTS 256
struct fast_name {
    uint64_t key;
    const char *name; /* NULL: no name */
    uint32_t size, index;
};

struct fast_names {
    struct fast_name slots[FAST_NAME_SLOTS];
};

/* The first eight bytes, with zeros behind the last: of up to seven, no other name has them. `spare`: eight
 * bytes may be read. */
static inline uint64_t fast_name_key(const char *bytes, uint32_t size, bool spare)
{
    static const uint64_t masks[] = {0,          0xFF,         0xFFFF,         0xFFFFFF,
                                     0xFFFFFFFF, 0xFFFFFFFFFF, 0xFFFFFFFFFFFF, 0xFFFFFFFFFFFFFF,
                                     UINT64_MAX};
    uint64_t word = 0;
    if (FAST_LITTLE_ENDIAN && spare) {
        memcpy(&word, bytes, 8);
        return word & masks[size < 8 ? size : 8];
    }
    memcpy(&word, bytes, size < 8 ? size : 8);
    return word;
}

static inline uint32_t fast_name_slot(uint64_t key)
{
    return (uint32_t)((key * UINT64_C(0x9e3779b97f4a7c15)) >> 56);
}

/* Stands for how many where one of the limits has no table. */
#define FAST_SLOW_LIST UINT16_MAX

/* ---- the table ------------------------------------------------------------------------------- */

struct fast {
    const struct book *book;
    struct fast_docket **dockets;  /* kind * part_count + part; NULL: none */
    struct fast_source *made_from; /* by the same; table NULL: none */
    int16_t kind_column, part_column;
    uint32_t column_count;
    struct fast_measure *measures;
    struct fast_values *observations;
    uint16_t *members; /* lists of limits: how many, and in fast->limits which; or FAST_SLOW_LIST */
    struct fast_limit *limits;
    struct fast_rung *rungs;
    struct fast_test *tests;
    struct fast_linear *linears;
    uint8_t *maps;
    struct fast_step *steps;
    struct fast_text *outcomes; /* ",outcome,flight,," */
    struct fast_text *sources;
    char *texts;
    size_t room;                 /* for an answer, with an id of FAST_ID */
    struct fast_line *lines;     /* by rung */
    struct fast_origin *origins; /* by limit */
    struct fast_shown *shown;    /* by step */
    uint32_t measure_count, observation_count, member_count, limit_count, rung_count, test_count,
        linear_count, map_size, step_count, source_count, text_size, line_count, shown_count,
        origin_count, count_count;
    size_t measure_capacity, observation_capacity, member_capacity, limit_capacity, rung_capacity,
        test_capacity, linear_capacity, map_capacity, step_capacity, source_capacity, text_capacity,
        line_capacity, shown_capacity, origin_capacity;
    struct fast_text known[FAST_TEXTS]; /* the texts that are kept, by a hash */
    struct fast_names kinds, parts;
    struct fast_names instances; /* "blade 3" as a whole, where there are not too many */
};

/* NULL where no docket has a table, or the columns do not serve. */
struct fast *fast_make(struct arena *arena, const struct sweep *sweep, uint32_t book);

/* ---- making the tables (fast_axes.c, fast_tests.c, fast_show.c) ----------------------------------- */

struct fast_making {
    struct arena *arena;
    struct fast *fast;
    const struct sweep *sweep;
    const struct docket *docket;
    struct fast_docket *made;
    const struct unit *units[FAST_SLOTS]; /* by record: its column's; NULL: an observation */
    int64_t greatest[FAST_SLOTS];         /* by variable: the greatest value that it can have */
    struct fast_product *products;        /* made->products */
    bool untold[FAST_SLOTS];              /* by variable: the table knows nothing of it */
    uint16_t *lists;                      /* those of the docket */
    size_t list_count;
    struct number scales[FAST_SLOTS];     /* by variable: base units in one */
    const struct unit *known_unit;        /* whose suffix is known */
    const char *known_suffix;
    uint16_t *points[BOOK_AXES]; /* by breakpoint of the part: the docket's at or before it */
};

/* A number as a whole one; false where it is none, or too large. */
bool fast_whole(struct number number, int64_t *whole);
/* A value in millionths of a unit; false where it is no whole number of them. */
bool fast_millionths(struct arena *arena, struct number value, const struct unit *unit,
                     int64_t *whole);
/* The column of a sort, and of a name unless it is NULL; negative where there is none. */
int16_t fast_column(const struct sweep *sweep, enum column_sort sort, const char *name);
static inline uint64_t fast_bit(int16_t column)
{
    return column < 0 ? 0 : UINT64_C(1) << column;
}
/* How many of a part a propeller may have, numbered from 1; 0: it is one. */
uint32_t fast_instances(const struct part *part);
struct fast_values fast_values_make(struct arena *arena, const char *const *names, uint32_t count,
                                    int16_t column);
/* The axes of a part with the breakpoints of all its dockets. NULL where one has no whole ones. */
struct fast_part *fast_part_make(struct arena *arena, const struct sweep *sweep,
                                 const struct plan *plan, const struct part *part);
/* Where limits are met: lists and classes. False where there is no table. */
bool fast_places(struct fast_making *making, const struct fast_part *part);
/* All limits of the docket, and of its lists which have one without a table; false where no limit has one. */
bool fast_limits(struct fast_making *making);
/* How one condition is shown. */
void fast_show(struct fast_making *making, const struct step *step, uint32_t first_test,
               struct fast_step *step_made, struct fast_shown *shown);
/* Keeps a text once. */
struct fast_text fast_text_keep(struct fast_making *making, const char *const *parts, size_t count);
/* As a field of CSV. */
const char *fast_csv_text(struct arena *arena, const char *text);

/* ---- running (fast_run.c) ----------------------------------------------------------------------- */

/* A row, and what it came to. */
struct fast_row {
    struct cells cells;
    uint64_t line;
    bool judged; /* false: it has to go the general road; nothing below is set */
    uint32_t outcome;
    const struct fast_docket *docket;
    const uint16_t *members;        /* the limits that are met */
    const struct fast_limit *limit; /* NULL: it lies in no zone with a limit */
    const struct fast_rung *rung;
    const struct fast_step *shown; /* NULL: no comparison */
    int64_t places[BOOK_AXES + 1];
    uint16_t points[BOOK_AXES + 1]; /* the last breakpoint at or before the place */
    int64_t values[FAST_SLOTS];     /* rounded, millionths; of an observation its bit */
    int64_t typed[FAST_SLOTS];
    uint16_t stops[STRETCH_STOPS]; /* for cells that do not have the stretch's */
};

/* The piece of a test, from the last breakpoint at or before the place on each axis. */
static inline const struct fast_linear *
fast_piece_at(const struct fast *fast, const struct fast_test *test, const uint16_t *points)
{
    return &fast->linears[test->linear + fast->maps[test->map + points[test->axis]]];
}

/* The same, or its own numbers where it has no place: not of a FAST_TWO. */
static inline const struct fast_linear *
fast_linear_at(const struct fast *fast, const struct fast_test *test, const uint16_t *points)
{
    const struct fast_linear *there = fast_piece_at(fast, test, points);
    return test->map ? there : &test->own;
}

/* The first comparison of a line that has something to show, or NULL. */
static inline const struct fast_step *fast_first_shown(const struct fast *fast,
                                                       const struct fast_rung *rung)
{
    for (uint32_t s = 0; s < rung->step_count; s++) {
        const struct fast_step *step = &fast->steps[rung->first_step + s];
        if (step->show != FAST_SHOW_NOTHING) {
            return step;
        }
    }
    return NULL;
}

/* Which kind and part the cells of a row name, in the words of the book; false where that is not plain. */
bool fast_names_of(const struct fast *fast, const struct cell *cells, uint32_t *kind,
                   uint32_t *part);
/* A name of a few; false where the cell has none of them. */
bool fast_value(const struct fast_values *values, struct cell cell, uint32_t *index);

/* Judges a row whose cells are its own, in any memory. */
void fast_judge(const struct fast *fast, uint64_t given, struct fast_row *row);

/*
 * Judges easy rows of a stretch: first what each of them holds is taken, then the ladders are climbed. They go
 * together through one stage after another: the processor guesses wrong several times a row, and the
 * less each guess waits for, the less is lost with it.
 */
#define FAST_ROWS 8
void fast_take(const struct fast *fast, struct fast_row *rows, uint32_t count);
void fast_climb(const struct fast *fast, struct fast_row *rows, uint32_t count);

/* Judges a row that is not exact (wide.c). False: it has to go the general road. */
bool fast_wide(struct sweeper *sweeper, uint32_t book, const struct row *row,
               struct outcome_of_row *result);

/* ---- writing (fast_write.c) ---------------------------------------------------------------------- */

#define FAST_ID 256     /* bytes of the longest id */
#define FAST_VALUE 1000 /* and of the longest value of an observation */

/* Writes and counts the answers of rows until one of them needs the general road, which is the one that it
 * gives; `count` where none does. */
uint32_t fast_write(struct sweeper *sweeper, const struct fast *fast, const struct fast_row *rows,
                    uint32_t from, uint32_t count);
/* Adds what was counted since the last time to the sweeper's counts. */
void fast_count(struct sweeper *sweeper, const struct fast *fast);

#endif
