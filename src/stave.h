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
 *     against one book at once. A record and a verdict belong to one thread.
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
};
STAVE_API const struct stave_book_facts *stave_book_facts(const stave_book *book);

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
STAVE_API const struct stave_problem *stave_record_problems(const stave_record *record,
                                                            size_t *count);

/* ---- a verdict --------------------------------------------------------------- */

enum stave_flight { STAVE_FLIGHT_YES, STAVE_FLIGHT_NO, STAVE_FLIGHT_UNKNOWN };

/* A time by which something is due. */
struct stave_deadline {
    bool look_again;     /* true: look again within; false: act within */
    const char *within;  /* "50 h", as the book writes it */
    const char *due;     /* "862.4 h" or "2026-04-10"; NULL when the record lacks the start */
    const char *source;  /* what the book cites, or "" */
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
    bool settles;        /* any one value of it leaves a single outcome */
};

enum stave_item_kind { STAVE_FINDING, STAVE_CHECK, STAVE_SEARCH };

struct stave_item {
    enum stave_item_kind item;
    const char *id;        /* "F1", "F-112"; for a check or search "" */
    const char *part;      /* "blade 1", "spinner" */
    uint32_t part_index;   /* in stave_verdict.parts */
    const char *kind;      /* the kind, or the check's name; "search" */
    const char *text;      /* the line as typed, without its remark; "" when nothing was typed */
    const char *remark;    /* kept word for word, or "" */
    uint32_t record_line;  /* in the record; 0 when nothing was typed */
    uint32_t outcome;      /* index in the scale: the worst possible, which governs */
    const uint32_t *possible; /* every possible outcome, best first; more than one: undecided */
    size_t possible_count;
    int32_t guarded_outcome;  /* in a book that judges as read: what guarded judging gives; else -1 */
    const char *why_incomplete; /* "not answered", "not searched", or "" */
    const char *const *zones; /* every zone that it touches or may touch, with a limit for it */
    size_t zone_count;
    const char *uncovered;    /* "" or which part of it lies in no zone with a limit for it */
    const struct stave_reason *reasons; /* one for each ladder met in the worst world, governing first */
    size_t reason_count;
    const struct stave_need *needs;  /* for an undecided item, in the order to take them */
    size_t need_count;
    const struct stave_deadline *deadlines; /* the shortest of each sort over all possible outcomes */
    size_t deadline_count;
};

struct stave_part_verdict {
    const char *part;
    uint32_t outcome;
    uint32_t best;       /* the best that is still possible */
};

typedef struct stave_verdict {
    const struct stave_book_facts *book;
    const char *propeller, *model, *aircraft, *inspector, *date, *hours; /* as recorded, or "" */
    bool single;         /* true for a single line: no word on completeness */
    uint32_t outcome;    /* index in the scale: the worst of all */
    uint32_t best;       /* the best that is still possible for the propeller */
    enum stave_flight flight;
    const struct stave_item *items; /* findings in their order, then checks, then searches */
    size_t item_count;
    const struct stave_part_verdict *parts;
    size_t part_count;
    const struct stave_need *needs; /* for the propeller: what could still change its outcome;
                                       `how` begins with the item, "F2: ..." */
    size_t need_count;
    const struct stave_deadline *deadlines;
    size_t deadline_count;
    const char *const *actions;  /* what to do, worst first, each "F2: fill and re-finish" */
    size_t action_count;
    const char *const *cautions; /* of the library, of the book, then of each kind found */
    size_t caution_count;
    const struct stave_digest *texts; /* every text that the answer rests on, the record last */
    size_t text_count;
} stave_verdict;

/* Judges a record. The record and its book must outlive the verdict. */
STAVE_API enum stave_status stave_assess(const struct stave_host *host, const stave_record *record,
                                         stave_verdict **verdict);
STAVE_API void stave_verdict_free(stave_verdict *verdict);

/* ---- proof by worked examples --------------------------------------------------- */

struct stave_example_result {
    const char *title;      /* the example's title */
    const char *source;     /* what it cites, or "" */
    const char *text_name;  /* where its `gives` line stands */
    uint32_t line;
    const char *case_text;  /* the finding and what `with` adds, for a person */
    const char *expected;   /* "serviceable", "serviceable or shop" */
    const char *found;      /* the same way, what the book gives */
    const char *why;        /* for a failure, the governing reason in one line; else "" */
    bool passed;
};

typedef struct stave_proof {
    const struct stave_example_result *results; /* one for each `gives` line, in order */
    size_t result_count;
    size_t failed;
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

#ifdef __cplusplus
}
#endif

#endif
