/*
 * Stave: maintenance damage limits as text, and the same answer every time.
 *
 * A *book* holds the published limits for one propeller family at one edition.
 * An *inspection record* holds what one person found on one propeller. This
 * library reads both, judges every finding and check against the book by exact
 * arithmetic, and returns a *verdict* that says what governs and why.
 *
 * The answer is an aid. Approved data and local rules govern, and a licensed
 * person decides; every verdict carries that caution.
 *
 * House rules of this interface:
 *   - The library never prints, never exits, reads no environment, no clock and
 *     no file, and keeps no global state. The host hands it bytes.
 *   - All memory comes from the host's allocator (or from malloc where none is
 *     given). Out of memory is the status STAVE_NO_MEMORY: nothing leaks, and
 *     the objects made before stay good.
 *   - A handle from stave_..._read or stave_... is freed by its own
 *     stave_..._free, which takes NULL. All strings and arrays reached through a
 *     handle are UTF-8, zero-terminated, and live as long as the handle.
 *   - A book is never written to after it was read: many threads may judge
 *     against one book at once. A record, a history and a verdict belong to one thread.
 *   - The same book and the same record give the same verdict, byte for byte,
 *     on every machine.
 */
#ifndef STAVE_H
#define STAVE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#if defined(__GNUC__)
#define STAVE_API __attribute__((visibility("default")))
#else
#define STAVE_API
#endif

/* The version of the library, as "major.minor.patch". */
STAVE_API const char *stave_version(void);

/* ---- what a call can answer --------------------------------------------- */

enum stave_status {
    STAVE_OK = 0,     /* done */
    STAVE_PROBLEMS,   /* the text has errors: ask the handle for its problems */
    STAVE_NO_MEMORY,  /* the allocator refused; no handle was made */
    STAVE_TOO_BIG,    /* a stated limit of the library was passed; no handle was made */
    STAVE_MISUSE      /* the call itself is wrong: a null handle, a book with errors */
};

/* A sentence for a status, for a message. Never NULL. */
STAVE_API const char *stave_status_text(enum stave_status status);

/* ---- what the host provides ---------------------------------------------- */

/*
 * One function serves all memory, in the manner of realloc:
 *   block == NULL            give `new_size` bytes, aligned for any object;
 *   new_size == 0            free `block` (of `old_size` bytes), return NULL;
 *   else                     resize, keeping the contents.
 * Return NULL when there is no memory.
 */
struct stave_allocator {
    void *(*resize)(void *user, void *block, size_t old_size, size_t new_size);
    void *user;
};

/* A text: a name for messages and the bytes. The bytes need not end in zero. */
struct stave_text {
    const char *name;
    const char *bytes;
    size_t size;
};

/*
 * Finds a text that a book asks for with `use "name"`. `from` is the name of
 * the text that asks. Return true and fill `found` (the bytes must stay until
 * stave_book_read returns), or return false and point `*why` at a short reason
 * ("no such file"). The library decides nothing about paths.
 */
typedef bool (*stave_find_text)(void *user, const char *from, const char *name,
                                struct stave_text *found, const char **why);

struct stave_host {
    const struct stave_allocator *allocator; /* NULL: malloc, realloc and free */
    stave_find_text find_text;               /* NULL: a book cannot use another text */
    void *user;                              /* handed to find_text */
    /* For stave_book_read: the book is read for one answer. It is checked as always; but what its
     * limits are worked out to (half of the time) is left to each call that judges, which does it for what it is
     * asked alone. A book so large that this passes a limit of the library is told of by that call. */
    bool for_one_answer;
};

/* ---- problems in a text --------------------------------------------------- */

enum stave_severity { STAVE_ERROR, STAVE_WARNING };

/* A stretch of a text as a reader sees it. Lines and columns count from 1;
 * columns count characters (a wide one twice, a combining one not), a tab going
 * on to the next multiple of 8. */
struct stave_place {
    const char *text_name; /* which text */
    uint32_t line, column;
    uint32_t width;        /* columns to underline, at least 1 */
    const char *excerpt;   /* that line, tabs made spaces, cut around the column if long */
    uint32_t excerpt_column; /* where `column` stands in the excerpt, from 1 */
};

struct stave_problem {
    enum stave_severity severity;
    const char *code;      /* stable short name for programs: "unknown-name" */
    const char *message;   /* lower case, the fault first, the subject quoted */
    struct stave_place at;
    const char *second_message; /* NULL, or what the second place shows */
    struct stave_place second;
    const char *help;      /* NULL, or what to do */
};

/* ---- a book --------------------------------------------------------------- */

typedef struct stave_book stave_book;

/*
 * Reads and checks a book. On STAVE_OK and on STAVE_PROBLEMS `*book` is a
 * handle; with STAVE_PROBLEMS it serves only to ask for the problems, all of
 * them, in the order of the text. Warnings alone leave the status STAVE_OK.
 */
STAVE_API enum stave_status stave_book_read(const struct stave_host *host,
                                            const struct stave_text *text, stave_book **book);
STAVE_API void stave_book_free(stave_book *book);
STAVE_API const struct stave_problem *stave_book_problems(const stave_book *book, size_t *count);

/* One text that a book rests on, and its SHA-256 in lower-case hexadecimal. */
struct stave_digest {
    const char *name;
    const char *sha256;
};

/* One step of the scale, best first. */
struct stave_outcome {
    const char *name;    /* "watch" */
    const char *meaning; /* "continue in service" */
    bool flight;         /* true above `no flight` */
};

struct stave_book_facts {
    const char *id;      /* "BM-3" */
    const char *model;   /* of a family, whose book this is (see stave_book_model); else "" */
    const char *where;   /* which propellers that model takes, as stave_model has it; or "" */
    const char *title;   /* or "" */
    const char *edition; /* "C" */
    const char *dated;   /* "2026-03-01" or "" */
    const char *const *models;
    size_t model_count;
    const struct stave_outcome *scale; /* the last two are "no published limit" and "incomplete" */
    size_t scale_count;
    const char *const *cautions;
    size_t caution_count;
    const struct stave_digest *texts;
    size_t text_count;
    size_t limit_count, example_count, figure_count; /* figures: bounds and curve points */
    bool as_read;        /* of a reading in doubt its middle alone counts */
};
STAVE_API const struct stave_book_facts *stave_book_facts(const stave_book *book);

/*
 * A book may serve a family: models, each with what is different in it and for which propellers it is
 * (docs/language.md, "A family of models"). stave_record_read finds the model by what the record says,
 * stave_prove proves all of them. All other calls want the book of one model, or answer
 * STAVE_MISUSE: stave_book_of gives it. A book that has no models, or one, is such a book itself.
 */
struct stave_model {
    const char *name;      /* "BM-3A" */
    const char *title;     /* or "" */
    const char *like;      /* the model that it is like, or "" */
    const char *where;     /* "serial 500 .. 999, screen is wrapped", or "" */
    const char *source;    /* what it cites, or "" */
    const char *const *models; /* as records name them */
    size_t model_count;
};
STAVE_API size_t stave_book_model_count(const stave_book *book); /* 0: it has no models */
STAVE_API const struct stave_model *stave_book_model(const stave_book *book, size_t which);
/* The book of one model, which lives as long as `book` and is not freed; NULL: there is none. */
STAVE_API const stave_book *stave_book_of(const stave_book *book, const char *model);

/* ---- an inspection record -------------------------------------------------- */

typedef struct stave_record stave_record;

/*
 * Reads one inspection record (YAML; see docs/inspection-record.md) against a
 * book. The book must outlive the record. Status and handle as for a book.
 * Nothing that was typed is dropped in silence: what cannot be read is a problem.
 */
STAVE_API enum stave_status stave_record_read(const struct stave_host *host, const stave_book *book,
                                              const struct stave_text *text, stave_record **record);
/* One finding line, as a book's example would write it. No completeness is asked of it. */
STAVE_API enum stave_status stave_record_read_line(const struct stave_host *host,
                                                   const stave_book *book,
                                                   const struct stave_text *line,
                                                   stave_record **record);
STAVE_API void stave_record_free(stave_record *record);
/* The book by which a record is judged: of a family, that of its model. NULL where it has errors. Where
 * the model is open, it is the first that may apply; the verdict's own is
 * stave_book_of(book, verdict->book->model). */
STAVE_API const stave_book *stave_record_book(const stave_record *record);
STAVE_API const struct stave_problem *stave_record_problems(const stave_record *record,
                                                            size_t *count);

/* ---- a verdict --------------------------------------------------------------- */

/* A figure: its exact value as a fraction, and the same as a decimal of at most six places. */
struct stave_figure {
    const char *exact;   /* "55/2" */
    const char *decimal; /* "27.5" */
    const char *unit;    /* "thou"; "" for a count */
    bool rounded;        /* the decimal is not exact */
};

enum stave_flight { STAVE_FLIGHT_YES, STAVE_FLIGHT_NO, STAVE_FLIGHT_UNKNOWN };

enum stave_due {
    STAVE_DUE_SET,     /* by this inspection */
    STAVE_DUE_RUNNING, /* set by an earlier inspection, and it still runs */
    STAVE_DUE_MET,     /* this inspection is the look, or tells of the repair, in time */
    STAVE_DUE_LATE,    /* the same, but after it was due */
    STAVE_DUE_OVERDUE, /* not done, and it may wait no longer */
    STAVE_DUE_UNKNOWN  /* a record lacks what it is counted in */
};

/* A time by which something is due. */
struct stave_deadline {
    bool look_again;     /* true: look again within; false: act within */
    const char *within;  /* "50 h", as the book writes it */
    const char *due;     /* "862.4 h" or "2026-04-10"; NULL when the record lacks the start */
    const char *source;  /* what the book cites, or "" */
    enum stave_due state;
    const char *set;     /* "2026-11-25 at 812.4 h": the inspection that set it; NULL for this one */
    const char *left;    /* "3 h"; when late or overdue, by how much; NULL where not known or not
                            set by an earlier inspection */
};

/*
 * One comparison that was made. A shown limit is rounded to the stricter side
 * and a shown reading to the worse side; `..._rounded` says where that happened.
 * The `..._exact` fields are the exact values as fractions, in the shown unit.
 */
struct stave_comparison {
    const char *condition;  /* as the book writes it: "depth up to gouge-depth + 0.005 in" */
    bool holds;             /* in the world that is shown (see stave_reason) */
    const char *name;       /* "depth", or the observation's name */
    const char *reading;    /* "28 thou", "0.016 .. 0.020 in", "not given", "chordwise" */
    const char *relation;   /* "up to", "below", "at least", "over", "is", "is not" */
    const char *limit;      /* "27.5 thou"; for an observation the allowed values */
    bool reading_rounded, limit_rounded;
    const char *reading_exact, *limit_exact; /* "" for an observation */
    const char *where;      /* "station 36 in" where a curve was taken, else "" */
    const char *company;    /* for damage in numbers, the others that it rests on: "with F2 and F5:
                               3 on blade 1, 2 allowed"; else "" */
};

/* How one ladder came to its line. */
struct stave_reason {
    const char *zone;        /* the zone, or the part's name for a check */
    const char *limit;       /* the ladder's head as a phrase: "gouge, nick on skin" */
    const char *text_name;   /* where the deciding line stands */
    uint32_t line;
    uint32_t outcome;        /* index in the scale */
    const char *line_text;   /* the deciding line as the book writes it, blanks folded; "" when none */
    const char *source;      /* what the line, or else its ladder, cites; "" if nothing */
    const char *action;      /* `do`, or "" */
    const char *note;        /* `note`, or "" */
    bool governs;            /* this ladder gives the item its outcome */
    const struct stave_comparison *kept_from; /* the conditions that kept it from the better lines,
                                                 the nearest better line's first */
    size_t kept_from_count;
    const struct stave_comparison *held;      /* the conditions of the deciding line */
    size_t held_count;
};

/* A reading that would help to settle an undecided item. */
struct stave_need {
    const char *name;    /* "depth", "station", "side" */
    const char *how;     /* "deepest point below the sound surface; read to 0.001 in" or "" */
    bool settles;        /* any one value of it leaves a single outcome; never where several models of
                            a family may apply */
};

/* One thing that was recorded of an item, in the order in which its kind records them. */
struct stave_reading {
    const char *name;
    const char *shown;  /* "0.016 .. 0.02 in", "chordwise", "not given" */
    bool given;
    bool measured;      /* a measure; else an observation, and the two figures are empty */
    struct stave_figure low, high; /* all that it may be, before rounding, in the measure's unit */
};

/*
 * Where a finding may lie on one axis of its part, in the axis's unit: from somewhere in
 * start_low .. start_high to somewhere in end_low .. end_high. What lies between start_high and
 * end_low is damaged for certain.
 */
struct stave_extent {
    const char *axis;
    const char *shown;  /* "36 in", "30 .. 32 in", "one place in 35 .. 37 in", "not given" */
    bool given;
    bool point;         /* one place: start and end are the same */
    struct stave_figure start_low, start_high, end_low, end_high;
};

/* A side on which a finding is, or may be. */
struct stave_on_side {
    const char *side;
    bool certain;
    bool at_meeting;    /* only where it reaches an edge at which the sides meet */
};

/* A measure of a finding at an earlier inspection, and how much worse it is now. */
struct stave_growth {
    const char *name;
    const char *before, *first; /* "0.5 in", "0.4 .. 0.5 in" at the inspection before, and when it
                                   was first seen; NULL: not known */
    const char *grown, *grown_since_first; /* "0.1 in", "0 .. 0.1 in", "-0.01 in"; NULL: not known */
    struct stave_figure grown_low, grown_high; /* in the measure's unit; empty where not known */
    struct stave_figure first_low, first_high;
};

enum stave_seen { STAVE_SEEN_UNKNOWN, STAVE_SEEN_NEW, STAVE_SEEN_BEFORE };

/* STAVE_EARLIER: what an earlier inspection left open. */
/* STAVE_MODEL: what is recorded leaves open which model of a family applies. */
enum stave_item_kind { STAVE_FINDING, STAVE_CHECK, STAVE_SEARCH, STAVE_EARLIER, STAVE_MODEL };

struct stave_item {
    enum stave_item_kind item;
    const char *id;        /* "F1", "F-112"; for a check or search "" */
    const char *part;      /* "blade 1", "spinner" */
    uint32_t part_index;   /* in stave_verdict.parts */
    const char *kind;      /* the kind, or the check's name; "search" */
    const char *text;      /* the line as typed, without its remark; "" when nothing was typed.
                              Of what is earlier, as that record has it */
    const char *remark;    /* kept word for word, or "" */
    uint32_t record_line;  /* in the record; 0 when nothing was typed */
    uint32_t outcome;      /* index in the scale: the worst possible, which governs */
    const uint32_t *possible; /* every possible outcome, best first; more than one: undecided */
    size_t possible_count;
    int32_t guarded_outcome;  /* in a book that judges as read: what guarded judging gives; else -1 */
    const char *why_incomplete; /* "not answered", "not searched", "not found again", or "" */
    const char *why_overdue;    /* of what is earlier: "act within 10 h, due by 822.4 h: overdue by
                                   0.6 h", or "" */
    enum stave_seen seen;       /* whether it was there before, as line and earlier records say */
    const struct stave_growth *growths;
    size_t growth_count;
    const char *const *zones; /* every zone that it touches or may touch, with a limit for it */
    size_t zone_count;
    const char *uncovered;    /* "" or which part of it lies in no zone with a limit for it */
    const struct stave_reason *reasons; /* one for each ladder met in the worst world, governing first */
    size_t reason_count;
    const struct stave_need *needs;  /* for an undecided item, in the order to take them */
    size_t need_count;
    const struct stave_deadline *deadlines; /* the shortest of each sort over all possible outcomes */
    size_t deadline_count;
    /* What was recorded, as it was judged. Empty for a search and for a check without an answer. */
    const struct stave_reading *readings;
    size_t reading_count;
    const struct stave_extent *extents; /* of a finding: one for each axis of its part */
    size_t extent_count;
    const struct stave_on_side *sides;  /* of a finding on a part with sides */
    size_t side_count;
    const char *const *places;          /* of a finding on a part with places: where it may be */
    size_t place_count;
    uint32_t outline_part;  /* in stave_outline.parts */
    uint32_t outline_kind;  /* in stave_outline.kinds; for a search not set */
    uint32_t instance;      /* from 1; 0 for a part of which there is one */
    const char *by_model;   /* where the model of a family is open: the model by which outcome, zones,
                               uncovered and reasons are, when it is not the verdict's; else "" */
};

struct stave_part_verdict {
    const char *part;
    uint32_t outcome;
    uint32_t best;       /* the best that is still possible */
};

/* An earlier record that was given. */
struct stave_before {
    const char *text_name, *date, *hours;
};

/* What a record says to be repaired. */
struct stave_repaired {
    const char *text;       /* "F-112", "blade 2 leakage" */
    const char *part, *kind; /* "blade 1", "gouge"; "" for an id that no given record has */
    const char *remark;     /* or "" */
};

/* A deadline that an earlier inspection set. */
struct stave_carried {
    const char *id;         /* of the finding; "" for a check */
    const char *part, *kind;
    struct stave_deadline deadline;
};

typedef struct stave_verdict {
    const struct stave_book_facts *book;
    const char *propeller, *model, *aircraft, *inspector, *date, *hours; /* as recorded, or "" */
    const char *facts;   /* as recorded, "serial 612, screen wrapped", or "" */
    const char *model_open; /* why it is open which model of a family applies, or "". book->model is
                               then the one that gives the worst of the propeller, and an item of which
                               another gives the worst names it. Possible outcomes, best, needs,
                               deadlines and cautions are of all that may apply */
    bool single;         /* true for a single line: no word on completeness */
    uint32_t outcome;    /* index in the scale: the worst of all */
    uint32_t best;       /* the best that is still possible for the propeller */
    enum stave_flight flight;
    const struct stave_item *items; /* findings in their order, then checks, then searches, then
                                       what earlier inspections left open */
    size_t item_count;
    const struct stave_part_verdict *parts;
    size_t part_count;
    const struct stave_need *needs; /* for the propeller: what could still change its outcome;
                                       `how` begins with the item, "F2: ..." */
    size_t need_count;
    const struct stave_deadline *deadlines;
    size_t deadline_count;
    const struct stave_before *before; /* earlier records that it was judged with, oldest first */
    size_t before_count;
    const struct stave_repaired *repaired;
    size_t repaired_count;
    const struct stave_carried *carried; /* every deadline of earlier records that was not closed by
                                            an earlier one; of those that are not met the first of
                                            each sort is in `deadlines` too */
    size_t carried_count;
    const char *const *actions;  /* what to do, worst first, each "F2: fill and re-finish" */
    size_t action_count;
    const char *const *cautions; /* of the library, of the book, then of each kind found */
    size_t caution_count;
    const struct stave_digest *texts; /* every text that the answer rests on: the book's, earlier
                                         records, the record last */
    size_t text_count;
} stave_verdict;

/* Judges a record. The record and its book must outlive the verdict. */
STAVE_API enum stave_status stave_assess(const struct stave_host *host, const stave_record *record,
                                         stave_verdict **verdict);
STAVE_API void stave_verdict_free(stave_verdict *verdict);

/* ---- damage over time ----------------------------------------------------------- */

typedef struct stave_history stave_history;

/*
 * Puts a record together with earlier ones of the same propeller, given in any order, and follows
 * each finding through them by its id (docs/growth.md). All were read against one book, without
 * errors; they must outlive the history. STAVE_PROBLEMS: the records contradict each other, and
 * the handle serves only to ask for the problems. Warnings alone leave the status STAVE_OK. Where an
 * earlier record was read anew (stave_record_read_anew), the record has to be as well: STAVE_MISUSE.
 */
STAVE_API enum stave_status stave_history_make(const struct stave_host *host,
                                               const stave_record *record,
                                               const stave_record *const *earlier,
                                               size_t earlier_count, stave_history **history);
STAVE_API void stave_history_free(stave_history *history);
STAVE_API const struct stave_problem *stave_history_problems(const stave_history *history,
                                                             size_t *count);

/*
 * Judges the record of a history with what was before: growth is what the records tell, what an
 * earlier inspection left open makes it incomplete, and deadlines that were set go on until
 * they are met. The history must outlive the verdict.
 */
STAVE_API enum stave_status stave_assess_since(const struct stave_host *host,
                                               const stave_history *history,
                                               stave_verdict **verdict);

/* ---- a book laid open, for pages and pictures ------------------------------------- */

struct stave_axis {
    const char *name, *help;
    struct stave_figure from, to;
    const char *step;            /* "read to 0.25 in", or "" */
};

/* A place on an axis where all sides of a part meet. */
struct stave_meeting {
    const char *axis;
    struct stave_figure at;
};

struct stave_part {
    const char *name, *help;
    bool counted;                /* it has numbers: "blade 1" */
    uint32_t least, most;        /* how many there may be */
    const char *one_on_each;     /* the part of which each has one, or "" */
    bool where_fitted;
    const struct stave_axis *axes;
    size_t axis_count;
    const char *const *sides;
    size_t side_count;
    const char *const *places;
    size_t place_count;
    const char *search;          /* how to search it; NULL: no search is asked */
    const struct stave_meeting *meetings;
    size_t meeting_count;
};

/* A stretch of one axis. */
struct stave_range {
    struct stave_figure from, to;
    bool from_open, to_open;     /* that end is left out */
    bool whole;                  /* the whole axis: the book names no range */
};

struct stave_zone {
    const char *name;
    uint32_t part;
    bool whole_part;             /* not written in the book: stands for the part itself */
    const struct stave_range *ranges; /* one for each axis of the part */
    const char *const *sides;    /* those that it is on; none where it is on all */
    size_t side_count;
    const char *const *places;
    size_t place_count;
    const char *const *outside;  /* zones that are taken away from it */
    size_t outside_count;
    const char *text_name;
    uint32_t line;
};

/* A measure or an observation. */
struct stave_quality {
    const char *name;
    const char *how;             /* "longest dimension; read up to the next 0.01 in", or "" */
    const char *step;            /* "read to 0.001 in"; "" for an observation or where none is said */
    bool measured;
    struct stave_figure from, to;  /* of a measure */
    struct stave_figure step_size; /* of a measure with a step, in the step's unit; else empty */
    bool smaller_is_worse;
    const char *const *values;   /* of an observation */
    size_t value_count;
    bool levels;                 /* the values are in order, best first */
};

struct stave_recorded {
    uint32_t quality;            /* in stave_outline.qualities */
    const char *along;           /* the axis along which it is measured, or "" */
};

/* A kind of damage or a check. */
struct stave_kind {
    const char *name;
    bool check;
    const uint32_t *parts;
    size_t part_count;
    const struct stave_recorded *records;
    size_t record_count;
    const char *const *looks;
    size_t look_count;
    const char *const *cautions;
    size_t caution_count;
};

struct stave_point {
    struct stave_figure at, value;
};

struct stave_curve {
    const char *name, *axis, *source;
    const struct stave_point *points;
    size_t point_count;
    const char *text_name;
    uint32_t line;
};

/* A name for a derived value: "patch", "length * width". */
struct stave_reckoned {
    const char *name, *value;
};

/* One line of a ladder. */
struct stave_line {
    uint32_t outcome;            /* index in the scale */
    const char *text;            /* as the book writes it, without what follows its conditions */
    const char *const *conditions;
    size_t condition_count;
    const struct stave_deadline *deadlines; /* nothing is due: there is no record */
    size_t deadline_count;
    const char *action, *note, *source; /* or "" */
    const char *text_name;
    uint32_t line;
};

/* A limit or a check: its lines, tried from the top. One limit in several zones is one ladder. */
struct stave_ladder {
    const char *head;            /* "gouge, nick on inboard, mid" */
    bool check;
    const uint32_t *kinds;
    size_t kind_count;
    const uint32_t *zones;       /* of a check: its parts, whole */
    size_t zone_count;
    bool declared_gap;           /* the book says that there is no published limit */
    const struct stave_line *lines;
    size_t line_count;
    const char *source, *note;
    const char *text_name;
    uint32_t line;
};

/*
 * Where one line of a ladder can decide by one measure alone: from `low` to `high` at each place. Both
 * are straight between their points; no points: no bound on that side. A line decides where no
 * line above it does, so bands painted from the last line to the first show the outcomes.
 */
struct stave_band {
    uint32_t line;               /* in the ladder */
    const struct stave_point *low, *high;
    size_t low_count, high_count;
    bool low_open, high_open;    /* the bound itself is left out, at some place at least */
    const char *asks;            /* the conditions that say more than the band shows, or "" */
};

/* The bands of one zone, from one end of it to the other along the chart's axis. */
struct stave_stretch {
    uint32_t zone;
    struct stave_range range;
    const struct stave_band *bands; /* one for each line of the ladder */
    size_t band_count;
};

/* One measure of one ladder against one axis. */
struct stave_chart {
    const char *name;            /* of the measure, or of what is reckoned: "depth", "patch" */
    const char *how;
    uint32_t ladder, part;
    int32_t axis;                /* of the part; -1: it has none or the ladder is a check's, and each
                                     stretch is one point */
    struct stave_figure from, to; /* the measure's range; empty for what is reckoned */
    bool smaller_is_worse;
    const char *unit, *axis_unit; /* of all its figures */
    /* A unit of the other system, and how many of it make one; "" where there is none. */
    const char *other_unit, *other_axis_unit;
    struct stave_figure other_size, other_axis_size;
    const struct stave_stretch *stretches;
    size_t stretch_count;
};

/* What a book for a family asks of a propeller. */
struct stave_fact {
    const char *name, *help;
    const char *form;            /* "1 .. 9999", "plain / wrapped", "yes / no" */
};

typedef struct stave_outline {
    const struct stave_book_facts *book;
    const char *const *library_cautions; /* which every verdict carries too */
    size_t library_caution_count;
    const struct stave_part *parts;
    size_t part_count;
    const struct stave_zone *zones;
    size_t zone_count;
    const struct stave_quality *qualities;
    size_t quality_count;
    const struct stave_kind *kinds; /* kinds, then checks */
    size_t kind_count;
    const struct stave_curve *curves;
    size_t curve_count;
    const struct stave_reckoned *reckoned;
    size_t reckoned_count;
    const struct stave_ladder *ladders; /* of kinds, then of checks */
    size_t ladder_count;
    const struct stave_chart *charts;
    size_t chart_count;
    const struct stave_fact *facts;
    size_t fact_count;
} stave_outline;

/* Lays open a book without errors, which must outlive the outline. */
STAVE_API enum stave_status stave_outline_make(const struct stave_host *host,
                                               const stave_book *book, stave_outline **outline);
STAVE_API void stave_outline_free(stave_outline *outline);

/* ---- proof by worked examples --------------------------------------------------- */

struct stave_example_result {
    const char *model;      /* of a family, which model was asked; else "" */
    const char *title;      /* the example's title */
    const char *source;     /* what it cites, or "" */
    const char *text_name;  /* where its `gives` line stands */
    uint32_t line;
    const char *case_text;  /* the finding and what `with` adds, for a person */
    const char *expected;   /* "serviceable", "serviceable or shop" */
    const char *found;      /* the same way, what the book gives */
    const char *why;        /* for a failure, the governing reason in one line; else "" */
    bool unconfirmed;       /* its example is marked so: then it never passes, whatever is found */
    bool passed;
};

typedef struct stave_proof {
    const struct stave_example_result *results; /* one for each `gives` line, in order */
    size_t result_count;
    size_t failed;
    size_t unconfirmed;     /* examples that are marked so, also such without a `gives` line */
    const struct stave_problem *problems; /* of the example texts given beside the book */
    size_t problem_count;
} stave_proof;

/*
 * Runs every example of the book and of the texts given beside it (files of
 * `example` blocks). STAVE_PROBLEMS: a text beside the book has errors; the
 * handle holds them and no results.
 */
STAVE_API enum stave_status stave_prove(const struct stave_host *host, const stave_book *book,
                                        const struct stave_text *beside, size_t beside_count,
                                        stave_proof **proof);
STAVE_API void stave_proof_free(stave_proof *proof);

/* ---- what can be proved of a book -------------------------------------------------- */

/*
 * Claims are made over every finding that could ever be recorded: every reading on the grid that its
 * measure is rounded to, every observation, every extent, side and place, and whatever else may be
 * damaged. An answer is exact: proved, or refuted by a finding that was judged again before it
 * is shown, or not proved with the reason. docs/proofs.md says what each property means.
 */
enum stave_property {
    STAVE_CLAIM_TOTAL,     /* whatever is found meets a line, but for gaps that the book declares */
    STAVE_CLAIM_LINE,      /* the line decides somewhere */
    STAVE_CLAIM_CONDITION, /* leaving the condition out would change some answer */
    STAVE_CLAIM_ORDERLY,   /* what is worse never gets a better outcome */
    STAVE_CLAIM_OVERLAP,   /* two limits for one kind share no more than an edge: only ever noted */
    STAVE_CLAIM_EXCEPTION, /* an exception that the book declares still excuses something */
    STAVE_CLAIM_SAME       /* two books give the same answers: of stave_compare */
};

enum stave_answer {
    STAVE_PROVED,
    STAVE_REFUTED,
    STAVE_NOT_PROVED,      /* the claim's `reason` says why */
    STAVE_NOTED            /* worth a look, no failure */
};

/* A line of a ladder that decides somewhere in a region. */
struct stave_deciding {
    const char *limit;     /* the ladder's head as a phrase: "gouge, nick on skin" */
    const char *text;      /* the line as the book writes it; "" where no line holds */
    const char *text_name;
    uint32_t line;         /* of the deciding line; where none holds, of the ladder's head */
    uint32_t outcome;      /* index in the scale of its own book */
    uint32_t side;         /* 0: of the first (or only) of the two that `outcomes` speaks of; 1: of the second */
};

/* Findings for which a claim fails (or a declared gap, or where two books differ). */
struct stave_region {
    const char *kinds;     /* "gouge, nick" */
    const char *part;      /* "blade" */
    const char *described; /* "gouge, nick on tip, station over 34 in and up to 41.5 in, depth over 0.03 in" */
    bool whole;            /* all that is described fails; else it is the narrowest such description
                              around what does */
    /*
     * A finding as an example would write it, or several lines of which the last is meant; "" where no text
     * can say it (then the claim is not proved). `witness_after` is set for ORDERLY alone: what
     * grew worse, and came out better.
     */
    const char *witness, *witness_after;
    uint32_t outcomes[2];  /* TOTAL: both what the witness gets. ORDERLY: before and after. SAME: by the
                              first book and by the second, each an index in its own scale */
    const char *found[2];  /* the same in words, with deadlines: "watch again within 50 h" */
    const struct stave_deciding *lines;
    size_t line_count;
    const char *declared;  /* "" or how the book declares it: "otherwise no published limit" */
};

struct stave_claim {
    enum stave_property property;
    const char *subject;   /* "gouge, nick on skin"; a line; "depth of gouge on blade" */
    struct stave_place at; /* where the book says what is claimed about; line 0 where nowhere */
    enum stave_answer answer;
    const char *rule;      /* by which it was proved or refuted, a phrase */
    const char *reason;    /* refuted, not proved, noted: a sentence; else "" */
    const char *exception; /* the reason of the exception that the book declares for this, or "" */
    const struct stave_region *regions; /* of a refuted claim, and declared gaps of a TOTAL one */
    size_t region_count;
    size_t more_regions;   /* found, and left out of the list */
};

typedef struct stave_claims {
    const struct stave_claim *claims; /* by property, then in the order of the book */
    size_t claim_count;
    size_t proved, refuted, excused, not_proved, noted; /* excused: refuted, with an exception */
    bool stopped;          /* by the host: what was not looked at is "not proved: stopped" */
} stave_claims;

/*
 * Told as the work goes on: `done` of `all` steps (a limit, a kind on a part), and what is next. False stops
 * it: what was proved so far is given all the same, and every claim that was not is there, as not proved. The library calls nothing else in the meantime.
 */
typedef bool (*stave_progress)(void *user, size_t done, size_t all, const char *next);

struct stave_proving {
    stave_progress progress; /* or NULL */
    void *user;
    uint32_t effort;         /* elementary decisions for one claim; 0: the library's own measure. Past it
                                the claim is not proved: "too much work" */
};

/* `how` may be NULL. The book must outlive the claims. */
STAVE_API enum stave_status stave_claims_make(const struct stave_host *host, const stave_book *book,
                                              const struct stave_proving *how,
                                              stave_claims **claims);
STAVE_API void stave_claims_free(stave_claims *claims);

/* ---- proof obligations for another solver ------------------------------------------------- */

/*
 * Everything that the claims of a book come down to, as one text in SMT-LIB 2, so that anybody can ask a
 * solver of their own. Each question stands between `push` and `pop` after its name (`echo`) and the answer
 * that the library has for it (`set-info :status`: sat, unsat, or unknown). docs/obligations.md says how to
 * read it. It is written from the book alone, without what judges by it.
 */
typedef struct stave_obligations {
    const char *text; /* `size` bytes and a zero */
    size_t size;
} stave_obligations;

/*
 * Proves the book to have the answers; `how` as for stave_claims_make. With a second book (else NULL) the questions are
 * instead whether the two answer any finding differently, all names being the same in both.
 */
STAVE_API enum stave_status stave_obligations_make(const struct stave_host *host,
                                                   const stave_book *book, const stave_book *second,
                                                   const struct stave_proving *how,
                                                   stave_obligations **obligations);
STAVE_API void stave_obligations_free(stave_obligations *obligations);

/* ---- are the figures held by examples? -------------------------------------------------- */

/* A slip: a small change that an error in copying could make. docs/pinned.md says which figures and which steps. */
enum stave_slip_sort {
    STAVE_FIGURE_UP, STAVE_FIGURE_DOWN,       /* a figure, by one step */
    STAVE_COMPARISON,                         /* "up to" for "below", "over" for "at least", and back */
    STAVE_LINE_LEFT_OUT,
    STAVE_OUTCOME_BETTER, STAVE_OUTCOME_WORSE /* of a line, by one step of the scale */
};

enum stave_slip_answer {
    STAVE_SLIP_NOTICED,  /* an example that passes would fail */
    STAVE_SLIP_BREAKS,   /* the book would have an error */
    STAVE_SLIP_INERT,    /* proved: no finding would get another answer */
    STAVE_SLIP_MISSED    /* none of these: no example holds the book here */
};

struct stave_slip {
    enum stave_slip_sort sort;
    struct stave_place at;
    size_t offset, length;  /* what is replaced, in bytes of that text (without a byte-order mark) */
    const char *was;        /* for a person, blanks folded: "0.080" */
    const char *now;        /* what is put in its place, with the blanks that it needs: "0.081" */
    enum stave_slip_answer answer;
    int32_t figure;         /* in stave_pinning.figures; -1: it changes none */
    const char *noticed_in; /* NOTICED: the text and line of the `gives` line */
    uint32_t noticed_line;
    /* MISSED: a finding (or several lines, the last is meant) that tells the two apart, and what it gets
     * now and with the slip; "" where none was found, with the reason. */
    const char *witness;
    const char *found[2];
    const char *reason;
};

enum stave_hold {
    STAVE_PINNED,           /* one step up and one step down are both noticed, or break the book */
    STAVE_IDLE,             /* of its steps one at least is inert, and none is missed */
    STAVE_LOOSE             /* a step is missed */
};

/* A figure of the book. One step down from zero there is none. */
struct stave_held_figure {
    struct stave_place at;
    const char *text;       /* "0.080 in" */
    enum stave_hold hold;
};

typedef struct stave_pinning {
    const struct stave_held_figure *figures; /* in the order of the texts */
    size_t figure_count, pinned, idle, loose;
    const struct stave_slip *slips;
    size_t slip_count, caught, inert, missed; /* caught: noticed, or breaks the book */
    /* Examples that would catch what is missed, marked `unconfirmed`, with the outcomes that the book gives
     * now; "" where there is nothing to suggest. */
    const char *suggested;
    size_t suggested_examples, unsuggested; /* slips that are missed and that they would not catch */
    bool stopped;           /* by the host; what was not looked at counts as missed */
} stave_pinning;

/*
 * Makes every slip in the book in turn, and looks which the examples of the book and of the texts beside it
 * notice. Unconfirmed examples and those that fail hold nothing. `beside` as for stave_prove, which
 * must have had no problems with it. `how` may be NULL; its effort is that of one slip.
 */
STAVE_API enum stave_status stave_pinning_make(const struct stave_host *host,
                                               const stave_book *book,
                                               const struct stave_text *beside,
                                               size_t beside_count, const struct stave_proving *how,
                                               stave_pinning **pinning);
STAVE_API void stave_pinning_free(stave_pinning *pinning);

/* ---- two books held against each other ------------------------------------------------- */

/* A name of the first book and what the second calls the same: an outcome, part, axis, side, place,
 * kind, measure, observation or value. Names that are alike need none. No two names may become one: who maps
 * a name to one that the first book has as well maps that one, too, and so with the second. */
struct stave_renamed {
    const char *first, *second;
};

/* Something declared differently, or in one of the books alone; compared is what both have. */
struct stave_unlike {
    const char *what;          /* "measure depth", "kind dent", "scale" */
    const char *first, *second; /* "0 in .. 1 in, read to 0.001 in"; "" where it is not there */
    struct stave_place at[2];  /* line 0 where it is not there */
    bool loosens;              /* the second book may let fly what the first does not: docs/compare.md */
};

enum stave_direction {
    STAVE_STRICTER,        /* no flight by the second book alone; else a worse outcome; else, of one that flies,
                              no deadline later */
    STAVE_LOOSER,          /* flight by the second alone; else a better outcome; else, of one that flies, a
                              deadline that is later or not there */
    STAVE_OTHERWISE        /* no flight by either, with the same outcome, and other deadlines */
};

struct stave_contrast {
    enum stave_direction direction;
    bool flight_changes;
    struct stave_region region;
};

typedef struct stave_compared {
    enum stave_answer answer;  /* PROVED: the same everywhere. REFUTED: a contrast was replayed, or something is unlike */
    const char *reason;        /* of NOT_PROVED, else "" */
    const struct stave_unlike *unlike;
    size_t unlike_count;
    const struct stave_contrast *contrasts; /* stricter, then looser, then otherwise; the largest first */
    size_t contrast_count, more_contrasts;
    size_t stricter, looser, otherwise;     /* how many, with those left out. Where they are fewer than contrasts
                                               and more_contrasts, the direction of the rest is not known */
    const struct stave_claim *claims;       /* SAME, one for each kind on each part that both have */
    size_t claim_count;
    bool stopped;
} stave_compared;

/* Both books must outlive the answer. `how` may be NULL. */
STAVE_API enum stave_status stave_compare(const struct stave_host *host, const stave_book *first,
                                          const stave_book *second,
                                          const struct stave_renamed *renamed, size_t renamed_count,
                                          const struct stave_proving *how,
                                          stave_compared **compared);
STAVE_API void stave_compared_free(stave_compared *compared);

/* ---- findings in bulk -------------------------------------------------------------- */

/*
 * Judges rows of findings, each by itself (docs/sweep.md). The host reads the input, cuts it into
 * blocks and writes the answers; the library does no more than go from bytes to bytes:
 *
 *     stave_sweep_make      with the first bytes of a file, which hold the header
 *     stave_cutter_make     one for all files, each fed in order
 *     stave_sweeper_make    one for each thread
 *     stave_cut             where does a block of whole rows end?
 *     stave_sweeper_answer  a block of rows -> a block of answers, one a row
 *
 * A sweep is never written to once it was made; a sweeper and a cutter belong to one thread at a time. Blocks
 * may be answered in any order and by any sweeper: the answers are the same.
 */
typedef struct stave_sweep stave_sweep;
typedef struct stave_sweeper stave_sweeper;
typedef struct stave_cutter stave_cutter;

struct stave_sweep_options {
    bool json_in, json_out;      /* JSON Lines; else CSV */
    const char *const *ignored;  /* columns that are left out */
    size_t ignored_count;
    bool name_files;             /* each answer says which file its row is from */
    const stave_book *against;   /* NULL, or another book: answers only where its outcome differs */
};

/*
 * `start` is the beginning of the input: the whole header, or of JSON Lines the first row; at most
 * 64 KiB of it are looked at. STAVE_PROBLEMS: the handle serves only to ask for the problems.
 * The books must outlive the sweep.
 */
STAVE_API enum stave_status stave_sweep_make(const struct stave_host *host, const stave_book *book,
                                             const struct stave_sweep_options *options,
                                             const struct stave_text *start, stave_sweep **sweep);
STAVE_API void stave_sweep_free(stave_sweep *sweep);
STAVE_API const struct stave_problem *stave_sweep_problems(const stave_sweep *sweep,
                                                           size_t *count);
/* How many bytes of the input are the header, and how many lines: rows begin behind it. */
STAVE_API size_t stave_sweep_header(const stave_sweep *sweep, uint64_t *lines);
/* The row of names above the answers, with its line end; "" for JSON Lines. */
STAVE_API const char *stave_sweep_heading(const stave_sweep *sweep);

/* Where a block ends. */
struct stave_cut {
    size_t size;     /* bytes of the block; 0: no row ends here, more bytes are needed */
    uint64_t lines;  /* line ends in it */
    bool again;      /* its rows are of an inspection that came before: they are not judged */
    bool too_large;  /* its rows are of an inspection with too many of them: they are not judged */
    bool pass_line;  /* its row is too long and goes on behind it: the host passes over what there is
                        up to and with the next line end, which `lines` has counted */
};

STAVE_API enum stave_status stave_cutter_make(const struct stave_host *host,
                                              const stave_sweep *sweep, stave_cutter **cutter);
STAVE_API void stave_cutter_free(stave_cutter *cutter);
/*
 * Goes on with the next file, whose sweep is of the same books; inspections of the files before have come before. What was cut
 * before stays as it is. The sweep must outlive what is cut of it.
 */
STAVE_API enum stave_status stave_cutter_next(stave_cutter *cutter, const stave_sweep *sweep);
/*
 * Finds the end of the last whole row (or group of rows, where the book counts damage) in `bytes`, which begin
 * at a row. `last`: the input ends behind them. A host that has STAVE_BLOCK_LEAST bytes always gets a block.
 */
#define STAVE_BLOCK_LEAST 262144
STAVE_API enum stave_status stave_cut(stave_cutter *cutter, const char *bytes, size_t size,
                                      bool last, struct stave_cut *cut);

struct stave_block {
    const char *bytes;   /* need not end in zero */
    size_t size;
    uint64_t first_line; /* from 1 */
    const char *file;    /* where answers name files, else NULL */
    bool again, too_large; /* as the cut had them */
};

STAVE_API enum stave_status stave_sweeper_make(const struct stave_host *host,
                                               const stave_sweep *sweep, stave_sweeper **sweeper);
STAVE_API void stave_sweeper_free(stave_sweeper *sweeper);
/* The answers stay until the sweeper's next block. Out of memory: no answers, and the sweeper serves
 * only to be freed. */
STAVE_API enum stave_status stave_sweeper_answer(stave_sweeper *sweeper,
                                                 const struct stave_block *block,
                                                 const char **answers, size_t *size);

/* What a sweeper has answered so far; the names live as long as the book. For several sweepers, add up. */
struct stave_sweep_counts {
    uint64_t rows, judged, not_judged;
    uint64_t undecided;          /* of the judged: more than one outcome is possible */
    uint64_t changed;            /* against another book: its outcome differs */
    size_t outcome_count, kind_count, zone_count;
    const char *const *kind_names;
    const char *const *zone_names; /* the last is "": in no zone with a limit */
    const uint64_t *by_outcome;  /* as the scale has them */
    const uint64_t *by_kind;     /* kind * outcome_count + outcome */
    const uint64_t *by_zone;     /* of the ladder that governs */
    const char *const *cautions; /* of the library; the book may have more: see stave_book_facts */
    size_t caution_count;
};
STAVE_API const struct stave_sweep_counts *stave_sweeper_counts(const stave_sweeper *sweeper);

enum stave_change { STAVE_ADDED, STAVE_REMOVED, STAVE_CHANGED, STAVE_RENAMED };

/*
 * Something that the second book says otherwise than the first as it is written, whether or not an answer
 * changes by it; or that is in one of them alone. Order, blanks, comments and units make no difference: "0.030 in" and "30 thou"
 * are the same. Of pairs of fields the first book's comes first; what is not there is "" and line 0.
 */
struct stave_amendment {
    enum stave_change change;
    const char *sort;          /* "zone", "measure", "curve", "limit", "check" */
    const char *names[2];      /* "tip", "gouge, nick on skin"; both, where a line within it changed */
    const char *lines[2];      /* the line as each writes it; of one that is in one alone, its head */
    const char *text_names[2];
    uint32_t line[2];
    bool figures_only;         /* CHANGED: nothing but figures */
    const char *alike;         /* REMOVED: what the second alone has and says the same, or "" */
};

/* A claim of a worked example that comes out otherwise by the other book. One that stands in both is told once. */
struct stave_reversal {
    uint32_t owner;            /* 0: an example of the first book; 1: of the second */
    const char *title, *source, *text_name;
    uint32_t line;
    const char *case_text, *expected;
    const char *own;           /* what its own book gives */
    const char *other;         /* what the other gives; "" where the other cannot judge it */
    const char *why;           /* the other's reason in one line, or why it cannot judge it; "" where the
                                  example passes by it */
};

typedef struct stave_changes {
    const struct stave_amendment *amendments;
    size_t amendment_count;
    const struct stave_reversal *reversals;
    size_t reversal_count;
    size_t asked;              /* how many claims of examples there are in both */
} stave_changes;

/* Both books must outlive the answer. */
STAVE_API enum stave_status stave_changes_make(const struct stave_host *host,
                                               const stave_book *first, const stave_book *second,
                                               const struct stave_renamed *renamed,
                                               size_t renamed_count, stave_changes **changes);
STAVE_API void stave_changes_free(stave_changes *changes);

/*
 * Reads a record that was made by another book or edition, to be judged anew by `book`: to see what an edition
 * would change, not to release a propeller. The record must name `made_by`, or it is an error as in
 * stave_record_read. Of a family, the model is found by what the record says, whichever model's book is given.
 * The verdict carries a caution that says so.
 */
STAVE_API enum stave_status stave_record_read_anew(const struct stave_host *host,
                                                   const stave_book *book,
                                                   const stave_book *made_by,
                                                   const struct stave_renamed *renamed,
                                                   size_t renamed_count,
                                                   const struct stave_text *text,
                                                   stave_record **record);

#ifdef __cplusplus
}
#endif

#endif
