/*
 * tree -> book: names looked up, units and dimensions checked, every rule of the
 * language held against the text. A book without errors is safe to compile and
 * judge; a book with errors is kept only for its problems.
 *
 * All arrays are in the order of the text and never change after book_check.
 * Values are in base units.
 */
#ifndef STAVE_BOOK_BOOK_H
#define STAVE_BOOK_BOOK_H

#include "read/tree.h"

#define BOOK_VALUES 64        /* values of one observation; they live in a 64-bit set */
#define BOOK_SIDES 8
#define BOOK_AXES 4           /* axes of one part */
#define BOOK_INSTANCES 64     /* of one part */
#define BOOK_OUTCOMES 32      /* of the scale, with the two that the language adds */
#define BOOK_PARTS 256
#define BOOK_KINDS 4096       /* kinds and checks */
#define BOOK_KIND_PARTS 8     /* parts that one kind is on */
#define BOOK_RECORDS 32       /* things that one kind records */
#define BOOK_ZONE_NAMES 64    /* zones of one limit, zones after one `outside` */
#define BOOK_DOCKET_LIMITS 64 /* limits for one kind on one part */
#define BOOK_RUNGS 64         /* lines of one ladder */
#define BOOK_CONDITIONS 64    /* conditions of one line */
#define BOOK_TERMS 256        /* operands of one expression, reckoned names written out */
#define BOOK_CHOICES 256      /* ways that the lesser and greater of one comparison can fall */
#define BOOK_CELLS (1u << 20) /* that the zones and curves of one kind cut one part into */
#define BOOK_FIGURE_BITS 4096 /* numerator plus denominator of any value that a line can compute */

struct outcome {
    const char *name, *meaning;
    bool flight;
    struct tree_tail *tails;  /* deadlines that come with the outcome */
    struct span span;
};

struct axis {
    const char *name, *help;
    struct dimension dimension;
    const struct unit *unit;  /* as the book writes it */
    struct number from, to;
    bool has_step;
    struct number step;
    struct span span;
};

struct meeting { uint32_t axis; struct number at; }; /* all sides meet there */

enum part_count { PART_ONE, PART_COUNTED, PART_ON_EACH };

struct part {
    const char *name, *help;
    uint32_t index;
    enum part_count count;
    uint32_t least, most;     /* PART_COUNTED */
    const struct part *each_of; /* PART_ON_EACH: one on each instance of that part */
    bool where_fitted;
    struct axis *axes;        uint32_t axis_count;
    const char **sides;       uint32_t side_count;   /* 0: the part has no sides */
    struct meeting *meetings; uint32_t meeting_count;
    const char **places;      uint32_t place_count;  /* a part has axes or places, or neither */
    const char *search;       /* how to search it; NULL: no search is asked */
    struct span search_span;
    struct span span;
};

/* A closed or half-open range on one axis; an axis that a zone does not name is whole. */
struct zone_range {
    struct number from, to;
    bool from_open, to_open;
};

/*
 * A zone as written: a box (one range for each axis of the part), a set of sides and of
 * places, less the zones named after `outside`, and of what is left the closure within the box:
 * "outside cap" is the rest with its edge; where the cap has an open end, that end belongs to the rest
 * as well, closed. An end of the box where the cap ends too has nothing of the rest near it and is not in
 * it. A limit `on blade` uses the zone that is the whole part (is_part).
 */
struct zone {
    const char *name;
    uint32_t index;
    const struct part *part;
    bool is_part;
    struct zone_range *ranges;  /* axis_count of the part */
    uint64_t sides;             /* bit set; all sides where none is named */
    uint64_t places;
    const struct zone **outside; uint32_t outside_count;
    struct span span;
};

struct measure {
    const char *name, *help;
    uint32_t index;
    struct dimension dimension;
    const struct unit *unit;
    struct number from, to;
    enum tree_step stepping;
    struct number step;
    const struct unit *step_unit;
    bool smaller_is_worse;
    struct span span;
};

struct observation {
    const char *name, *help;
    uint32_t index;
    enum tree_observe_sort sort;
    const char **values;      /* yes-or-no: "yes", "no" */
    uint32_t value_count;
    struct span span;
};

/* One thing that a kind or a check records: exactly one of measure and observation is set. */
struct recorded {
    const struct measure *measure;
    const struct observation *observation;
    int32_t along[BOOK_KIND_PARTS]; /* by position in kind.parts: the axis that `along` names,
                                       or -1 */
    bool has_along;
    const char *name;
    struct span span;
};

/* A kind of damage, or a check (is_check): the same in all that is recorded and judged. */
struct kind {
    const char *name;
    uint32_t index;           /* in book.kinds; checks come after the kinds in that array */
    bool is_check;
    const struct part **parts; uint32_t part_count;
    struct recorded *records;  uint32_t record_count;
    const char **looks;        uint32_t look_count;
    const char **cautions;     uint32_t caution_count;
    const struct observation *each_side; /* where it is yes, the damage is on each side; or NULL */
    struct span span;
};

struct curve_point { struct number at, value; struct span span; };

struct curve {
    const char *name;
    uint32_t index;
    const char *axis;          /* its name; the part of the limit that uses it says which axis */
    struct dimension at_dimension, dimension;
    const struct unit *at_unit, *unit;
    struct curve_point *points; uint32_t point_count; /* at least 2, stations rising */
    struct tree_tail *tails;
    struct span span;
};

/* ---- expressions and conditions, checked ----------------------------------------- */

enum expression_sort {
    EXPRESSION_FIGURE,   /* value */
    EXPRESSION_MEASURE,  /* measure */
    EXPRESSION_CURVE,    /* curve */
    EXPRESSION_RECKONED, /* reckon */
    EXPRESSION_ADD, EXPRESSION_SUBTRACT, EXPRESSION_MULTIPLY, EXPRESSION_DIVIDE,
    EXPRESSION_LESSER, EXPRESSION_GREATER,
    /* On the left of a condition only, whole: */
    EXPRESSION_AGGREGATE, /* aggregate */
    EXPRESSION_GROWTH,    /* grown, since_first: toward worse */
    EXPRESSION_SEEN,      /* 0: first seen now; 1: seen before */
    /* In an aggregate's distance and pair only; left is over measures: */
    EXPRESSION_LARGER,    /* the larger of the two damages' */
    EXPRESSION_TOGETHER   /* both damages' added */
};

struct reckon;
struct aggregate;

struct expression {
    enum expression_sort sort;
    struct dimension dimension;
    struct number value;       /* FIGURE: base units */
    const struct unit *unit;   /* FIGURE: as written */
    const struct measure *measure;
    const struct curve *curve;
    const struct reckon *reckon;
    const struct aggregate *aggregate;
    const struct measure *grown;
    bool since_first;
    const struct expression *left, *right;
    struct span span;
};

struct reckon {
    const char *name;
    uint32_t index;
    const struct expression *value; /* NULL only in a book with errors */
    struct span span;
};

/* ---- damage in company --------------------------------------------------------------- */

enum aggregate_sort {
    AGGREGATE_COUNT,   /* how many */
    AGGREGATE_TOTAL,   /* value added up */
    AGGREGATE_LARGEST, /* the largest value; 0 of none */
    AGGREGATE_APART,   /* 1: some other is nearer along the axis than distance, 0: none is */
    AGGREGATE_FACING   /* 1: some other faces it, 0: none does */
};

/* What a member must satisfy: the value of `left`, or the observation. */
struct filter {
    const struct expression *left; /* over measures; NULL for an observation */
    enum tree_relation relation;
    struct number limit;
    const struct observation *observation;
    uint64_t values;
};

/*
 * One question about the findings of an inspection, asked anew for each finding. What it names is
 * recorded by all of its kinds. The parts of the ladders that use it all have what the scope needs.
 */
struct aggregate {
    enum aggregate_sort sort;
    uint32_t index;                /* in book.aggregates */
    const struct kind **kinds;     uint32_t kind_count; /* none: every kind of damage */
    struct filter *filters;        uint32_t filter_count;
    const struct expression *value; /* TOTAL, LARGEST: over measures */
    enum tree_scope scope;         /* counts, totals and largest */
    const struct zone *zone;       /* TREE_ON_NAME, TREE_ON_A: the whole part */
    const char *axis;              /* TREE_WITHIN_ANY, APART: by name */
    struct number window;
    const struct expression *distance; /* APART */
    const struct expression *pair;     /* APART: asked only where this ... */
    enum tree_relation pair_relation;  /* ... stands so to this; NULL: always */
    const struct expression *pair_limit;
    const char *text;              /* as written, blanks folded */
    struct span span;
};

enum condition_sort {
    CONDITION_COMPARE,  /* left relation right; "over a and below b" is two conditions */
    CONDITION_AMONG,    /* observation's value is in `values` (is, yes, levels up to, ...) */
    CONDITION_RELEASE   /* any x, at any size: always true */
};

struct condition {
    enum condition_sort sort;
    enum tree_relation relation;
    const struct expression *left, *right;
    const struct observation *observation;
    uint64_t values;
    bool negative;             /* written with `is not` or `not` */
    struct span span;          /* what the book says, for reasons */
};

struct deadline {
    bool look_again;
    struct number value;       /* in base units of its dimension: hours, days or cycles */
    const struct unit *unit;
    struct span span;
};

struct rung {
    uint32_t outcome;          /* index in the scale */
    bool otherwise;
    struct condition *conditions; uint32_t condition_count;
    struct deadline *deadlines;   uint32_t deadline_count; /* its own, then its outcome's */
    const char *action, *note, *source; /* "" where none; each falls back to the outcome's, and
                                           source before that to the ladder's */
    const char *exception;     /* why what can be said against the line is meant; NULL: nothing declared */
    struct span span;
};

/* A ladder on one zone. `limit gouge on mid, tip` becomes two limits with the same rungs. */
struct limit {
    uint32_t index;
    const struct kind **kinds; uint32_t kind_count;
    const struct zone *zone;   /* for a check: the whole part */
    bool declared_gap;         /* then it has no rungs */
    struct rung *rungs;        uint32_t rung_count;
    const char *source, *note;
    const char *exception;     /* as a line's, of the whole ladder; NULL: none */
    struct span head;
};

struct family;
struct model;

struct book {
    struct arena *arena;
    struct problems problems;
    struct source **sources;   uint32_t source_count; /* the book first, then used texts */
    struct tree **trees;       uint32_t tree_count;   /* the same order */
    const struct family *family;                      /* book/family.h; NULL: no models */
    const struct model *model;                        /* of which this is the book */
    const char *id, *title, *edition, *dated;
    const char **models;       uint32_t model_count;
    const char **cautions;     uint32_t caution_count;
    bool as_read;
    struct outcome *scale;     uint32_t scale_count;  /* ends with the two below */
    uint32_t no_published_limit, incomplete;          /* their indices */
    struct part *parts;        uint32_t part_count;
    struct zone *zones;        uint32_t zone_count;   /* first one for each part, whole */
    struct measure *measures;  uint32_t measure_count;
    struct observation *observations; uint32_t observation_count;
    struct kind *kinds;        uint32_t kind_count;   /* kinds, then checks */
    uint32_t check_start;      /* index of the first check */
    struct curve *curves;      uint32_t curve_count;
    struct reckon *reckons;    uint32_t reckon_count;
    const struct aggregate **aggregates; uint32_t aggregate_count;
    struct limit *limits;      uint32_t limit_count;  /* for kinds, then for checks */
    struct tree_example **examples; uint32_t example_count; /* of all texts */
};

/*
 * Reads `text` and all that it uses, checks it, and gives the book; problems are
 * in book->problems, sorted. find_text may be NULL. Of a family it gives the first model's book, with
 * the problems of all; the others are in book->family.
 */
struct book *book_check(struct arena *arena, const struct stave_text *text,
                        stave_find_text find_text, void *user);

/* Reads the texts of a book without errors once more: the same book, with trees of its own that may be
 * changed. */
struct book *book_read_again(struct arena *arena, const struct book *like);
/* Checks trees anew, as they are now: those of a book, which may have been changed since. Its
 * problems tell whether they still make a book. */
struct book *book_check_again(struct arena *arena, const struct book *like);

/* Checks the outcome names and deadlines of examples: those of the book, and of texts beside it. */
void book_check_examples(const struct book *book, const struct tree_example *examples,
                         struct problems *problems);

/* As the language writes it: "up to". */
const char *relation_text(enum tree_relation relation);
bool relation_is_upper(enum tree_relation relation);  /* up to, below */
bool relation_is_strict(enum tree_relation relation); /* below, over: the limit itself is out */

const struct part *book_find_part(const struct book *book, const char *name);
const struct kind *book_find_kind(const struct book *book, const char *name); /* or a check */
/* The outcome's index, also for "no published limit"; -1 when unknown. */
int32_t book_find_outcome(const struct book *book, const char *name);
/* Can a kind be among those that an aggregate asks about? Checks never are. */
bool aggregate_names(const struct aggregate *aggregate, const struct kind *kind);
/* Is a finding of this kind on this part surely one of those that are counted? */
bool aggregate_counts_itself(const struct aggregate *aggregate, const struct kind *kind,
                             const struct part *part);
/* One step of what is read; zero where none is declared. */
struct number measure_fineness(const struct measure *measure);
struct number axis_fineness(const struct axis *axis);
/* The set of all values. */
uint64_t observation_values(const struct observation *observation);
/* What a reckoned name stands for; any other is itself. */
const struct expression *expression_see_through(const struct expression *expression);
/* Is it sure not to be below zero? (Figures, ranges and curves never are: only a difference can.) */
bool expression_never_negative(const struct expression *expression);
/* Position in kind.parts, or -1. */
int32_t kind_part_position(const struct kind *kind, const struct part *part);
/* Position in kind.records, or -1. */
int32_t kind_measure_position(const struct kind *kind, const struct measure *measure);

#endif
