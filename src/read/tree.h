/*
 * The syntax tree: a text as its author wrote it, before any name is looked up.
 *
 * Made by the parser (grammar/stave.y, read/read.h) in the book's arena; read by the
 * checker (book/book.h), by findings (finding/finding.h) and by `same sort` tools
 * later. Lists are singly linked in the order of the text. Every node knows its
 * span. Nothing here is checked beyond the grammar: names are just names,
 * quantities have known units but any dimension.
 */
#ifndef STAVE_READ_TREE_H
#define STAVE_READ_TREE_H

#include "base/number.h"
#include "base/problem.h"
#include "base/unit.h"

/* A word or a string as written (a string without its quotes, escapes resolved). text NULL: absent. */
struct tree_word {
    const char *text;
    struct span span;
};

/* Lists of what stands in one line have a `last`: of the first node alone, and of use while the list is
 * read. */
struct tree_words {
    struct tree_words *next, *last;
    struct tree_word word;
};

/* A figure with its unit. unit NULL: none was written (the context says if that is an error). */
struct tree_quantity {
    struct number figure;      /* as written: 27 for "27 thou" */
    struct number value;       /* in base units: figure times the unit's factor */
    const struct unit *unit;
    struct span span;
};

/* ---- expressions ------------------------------------------------------------ */

enum tree_expression_sort {
    TREE_QUANTITY,   /* quantity */
    TREE_NAME,       /* name: a measure, curve, reckoned name, or an observation's level */
    TREE_ADD, TREE_SUBTRACT, TREE_MULTIPLY, TREE_DIVIDE, /* left, right */
    TREE_LESSER, TREE_GREATER,                           /* left, right */
    TREE_LARGER,     /* larger name: of two damages; only after `apart from` */
    TREE_TOGETHER    /* name together: the same */
};                   /* "10 % of x" is TREE_MULTIPLY with the quantity at left */

struct tree_expression {
    enum tree_expression_sort sort;
    struct span span;
    struct tree_quantity *quantity;
    struct tree_word name;
    struct tree_expression *left, *right;
};

/* ---- conditions --------------------------------------------------------------- */

enum tree_relation { TREE_UP_TO, TREE_BELOW, TREE_AT_LEAST, TREE_OVER };

struct tree_bound {             /* "over 20 % and below 50 %" is two of these */
    struct tree_bound *next, *last;
    enum tree_relation relation;
    struct tree_expression *limit;
    struct span span;
};

enum tree_condition_sort {
    TREE_COMPARE,     /* name, bounds */
    TREE_IS,          /* name is values (or) */
    TREE_IS_NOT,      /* name is not values */
    TREE_YES,         /* name alone */
    TREE_NO,          /* not name */
    TREE_ANY,         /* any name */
    TREE_ANY_SIZE,    /* at any size */
    TREE_COUNT,       /* no more than `most` of company */
    TREE_TOTAL,       /* total name of company, bounds */
    TREE_LARGEST,     /* largest name of company, bounds */
    TREE_APART,       /* apart from company by distance [where pair bounds] */
    TREE_FACING,      /* not facing company */
    TREE_GROWN,       /* name grown [since first seen] by bounds */
    TREE_FIRST_SEEN   /* first seen */
};

enum tree_scope {
    TREE_NO_SCOPE,    /* apart from, facing */
    TREE_ON_NAME,     /* on tip */
    TREE_ON_A,        /* on a blade */
    TREE_ON_A_SIDE,
    TREE_ON_PROPELLER,
    TREE_WITHIN_ANY   /* within any 3 ft along station */
};

/* Which findings are counted, added up or kept apart from. */
struct tree_company {
    bool any_kind;
    struct tree_words *kinds;
    struct tree_condition *filters; /* after `with`: COMPARE, IS, IS_NOT, YES, NO */
    enum tree_scope scope;
    struct tree_word article;       /* TREE_ON_A: "a" or "an" */
    struct tree_word place;         /* ON_NAME: the zone; ON_A: the part */
    struct tree_word axis;          /* WITHIN_ANY, and of `apart from` where one is named */
    struct tree_quantity window;
    struct span span;               /* from `of` or `from` on */
};

struct tree_condition {
    struct tree_condition *next, *last;
    enum tree_condition_sort sort;
    struct span span;
    struct tree_word name;
    struct tree_bound *bounds;
    struct tree_words *values;
    struct tree_company *company;
    struct tree_quantity *most;     /* TREE_COUNT */
    struct tree_expression *distance, *pair; /* TREE_APART; pair NULL without `where` */
    bool since_first;               /* TREE_GROWN */
};

/* ---- tails of lines -------------------------------------------------------------- */

enum tree_tail_sort { TREE_DO, TREE_AGAIN_WITHIN, TREE_WITHIN, TREE_PER, TREE_NOTE, TREE_EXCEPTION };

struct tree_tail {
    struct tree_tail *next, *last;
    enum tree_tail_sort sort;
    struct span span;
    struct tree_word string;       /* do, per, note, exception */
    struct tree_quantity *quantity; /* again within, within */
};

/* ---- a finding line ------------------------------------------------------------------ */

/* "36 in", "0.018 +/- 0.002 in", "30 .. 32 in", "30 +/- 1 in .. 32 in". A unit
 * written once at the end has been given to the amounts before it. */
struct tree_amount {
    struct tree_quantity *middle;
    struct tree_quantity *doubt; /* NULL: none */
};

struct tree_range {
    struct tree_amount from, to; /* to.middle NULL: from alone */
    struct span span;
};

enum tree_reading_sort {
    TREE_READ_RANGE,    /* name range: a measure, or an axis (in `with`) */
    TREE_READ_VALUES,   /* name value or value: an observation */
    TREE_READ_YES,      /* name alone, or name yes */
    TREE_READ_NO,       /* not name, or name no */
    TREE_READ_MISSING,  /* name not seen, name not measured */
    TREE_READ_WAS,      /* was name range: at the inspection before */
    TREE_READ_FIRST,    /* first name range: when it was first seen */
    TREE_READ_NEW,      /* new: it was not there before */
    TREE_READ_BARE      /* in a check's answer: a range or word without a name (name.text NULL) */
};

struct tree_reading {
    struct tree_reading *next, *last;
    enum tree_reading_sort sort;
    struct span span;
    struct tree_word name;
    struct tree_range *range;      /* NULL: none was written */
    struct tree_words *values;
};

struct tree_place {
    struct tree_place *next, *last;
    struct tree_word name;    /* an axis, or without a range a side or a named place */
    struct tree_range *range;
    struct span span;
};

struct tree_finding {
    struct tree_finding *next;
    struct tree_word part;
    struct tree_word instance; /* digits as text; text NULL when not written */
    struct tree_word kind;     /* a kind, or a check's name */
    struct tree_place *places;
    struct tree_reading *readings;
    uint32_t times;            /* "4 times ...", in examples; else 1 */
    struct tree_word remark;   /* after ';', blanks at both ends taken off */
    struct span span;          /* without the remark */
};

/* ---- statements ----------------------------------------------------------------------- */

struct tree_head {                 /* the `book` block */
    struct tree_word id, title;
    struct tree_word edition, dated;
    struct tree_words *models;     /* `for model a, b` */
    struct tree_words *cautions;
    bool as_read;                  /* `judge as read` */
    struct span judge;             /* source NULL: not said */
    struct span span;
};

struct tree_outcome {
    struct tree_outcome *next;
    struct tree_word name, meaning;
    struct tree_tail *tails;
    bool grounds;                  /* it stands below a `no flight` */
    struct span span;
};

struct tree_scale {
    struct tree_outcome *outcomes;
    unsigned no_flight_count;
    struct span no_flight;         /* the first */
    struct span second_no_flight;  /* source NULL but for an error */
    struct span span;
};

struct tree_axis {
    struct tree_axis *next;
    struct tree_word name, help;
    struct tree_quantity from, to;
    struct tree_quantity step;     /* has_step */
    bool has_step;
    struct span span;
};

struct tree_meeting {              /* `meet at chord 0 %, chord 100 %` */
    struct tree_meeting *next, *last;
    struct tree_word axis;
    struct tree_quantity at;
};

struct tree_part {
    struct tree_part *next;
    struct tree_word name, help;
    bool has_count;
    struct tree_quantity least, most;  /* "2 .. 6"; "4" gives both the same */
    struct tree_word each_of;          /* "one on each blade" */
    bool where_fitted;
    struct tree_axis *axes;
    struct tree_words *sides;
    struct tree_meeting *meetings;
    struct tree_words *places;
    struct span span;
};

struct tree_search {
    struct tree_search *next;
    struct tree_word part, how;
    struct span span;
};

struct tree_zone_range {
    struct tree_zone_range *next;
    struct tree_word axis;
    struct tree_quantity from, to;
    bool from_open, to_open;       /* `over 14 in ..`, `.. below 34 in` */
    struct span span;
};

struct tree_zone {
    struct tree_zone *next;
    struct tree_word name, part;
    struct tree_zone_range *ranges;
    struct tree_words *names;      /* sides or places */
    struct tree_words *outside;
    struct span span;
};

enum tree_step { TREE_STEP_NONE, TREE_READ_TO, TREE_READ_UP_TO, TREE_READ_NEAREST };

struct tree_measure {
    struct tree_measure *next;
    struct tree_word name, help;
    struct tree_quantity from, to;
    enum tree_step stepping;
    struct tree_quantity step;
    bool smaller_is_worse;
    struct span span;
};

enum tree_observe_sort { TREE_ONE_OF, TREE_LEVELS, TREE_YES_OR_NO };

struct tree_observe {
    struct tree_observe *next;
    struct tree_word name, help;
    enum tree_observe_sort sort;
    struct tree_words *values;
    struct span span;
};

struct tree_record {               /* one of `records depth, length along station` */
    struct tree_record *next, *last;
    struct tree_word name, along;
};

struct tree_kind {                 /* `kind gouge, nick on blade ...` names several */
    struct tree_kind *next;
    struct tree_words *names, *parts;
    struct tree_record *records;
    struct tree_words *looks, *cautions;
    struct tree_word each_side;    /* `each side where NAME` */
    struct span span;
};

struct tree_point {
    struct tree_point *next;
    struct tree_quantity at, value;
    struct span span;
};

struct tree_curve {
    struct tree_curve *next;
    struct tree_word name, axis;
    struct tree_point *points;
    struct tree_tail *tails;
    struct span span;
};

struct tree_reckon {
    struct tree_reckon *next;
    struct tree_word name;
    struct tree_expression *value;
    struct span span;
};

struct tree_rung {                 /* one line of a ladder */
    struct tree_rung *next;
    bool otherwise;
    bool no_published_limit;       /* `otherwise no published limit` */
    struct tree_word outcome;
    struct tree_condition *conditions;
    struct tree_tail *tails;
    struct span span;
};

struct tree_limit {                /* `limit gouge, nick on skin` */
    struct tree_limit *next;
    struct tree_words *kinds, *zones;
    bool declared_gap;             /* `limit crack on root no published limit` */
    struct tree_tail *tails;
    struct tree_rung *rungs;
    struct span head;              /* the head line */
    struct span span;
};

struct tree_check {
    struct tree_check *next;
    struct tree_word name;
    struct tree_words *parts;
    struct tree_record *records;
    struct tree_words *looks, *cautions;
    struct tree_tail *tails;
    struct tree_rung *rungs;
    struct span head;
    struct span span;
};

struct tree_gives {
    struct tree_gives *next;
    bool propeller;                /* `gives propeller shop` */
    struct tree_words *outcomes;   /* "no published limit" as that one word */
    struct tree_reading *with;
    struct tree_tail *tails;       /* again within, within: deadlines that must be given */
    struct tree_finding *finding;  /* the last finding line before it; NULL for `propeller` */
    struct tree_finding *last;     /* for `propeller`: the last finding line before it, NULL: none */
    struct span span;
};

struct tree_example {
    struct tree_example *next;
    struct tree_word title;
    struct tree_words *served;     /* `for BM-3A`; NULL: for every model */
    bool unconfirmed;              /* nobody has read it yet: it proves nothing */
    struct tree_tail *tails;       /* per, note */
    struct tree_finding *findings;
    struct tree_gives *gives;
    struct span span;
};

/* ---- a family of models: facts, models and what is different in each ------------------- */

struct tree_fact {                 /* `fact serial 1 .. 9999`, `fact screen one of plain, wrapped` */
    struct tree_fact *next;
    struct tree_word name, help;
    bool is_range;
    struct tree_quantity from, to; /* is_range */
    struct tree_words *values;     /* else; NULL: yes or no */
    struct span span;
};

struct tree_spans {                /* "100 .. 499", "612", "over 499" */
    struct tree_spans *next, *last;
    bool has_from, has_to;
    struct tree_quantity from, to;
    bool from_open, to_open;       /* `over`, `below` */
    struct span span;
};

enum tree_effect_sort { TREE_WITHIN_SPANS, TREE_AMONG, TREE_NOT_AMONG, TREE_SAID_YES, TREE_SAID_NO };

struct tree_effect {               /* one of `where serial 500 .. 999, screen is wrapped` */
    struct tree_effect *next, *last;
    enum tree_effect_sort sort;
    struct tree_word name;
    struct tree_spans *spans;
    struct tree_words *values;
    struct span span;
};

/* The lists of statements in which models may differ. */
enum tree_shared {
    TREE_PARTS, TREE_SEARCHES, TREE_ZONES, TREE_MEASURES, TREE_OBSERVES, TREE_KINDS, TREE_CURVES,
    TREE_RECKONS, TREE_LIMITS, TREE_CHECKS, TREE_SHARED_COUNT
};

enum tree_change_sort { TREE_REPLACE, TREE_ADD_TO, TREE_DROP };

/* A tree of one statement: what takes the place of another, is added, or names what is dropped. */
struct tree_change {
    struct tree_change *next;
    enum tree_change_sort sort;
    struct tree *tree;             /* empty where its line could not be read */
    struct span span;              /* the word `replace`, `add` or `drop` */
};

struct tree_model {                /* `model BM-3A like BM-3 for BM-3 where ...` */
    struct tree_model *next;
    struct tree_word name, title, like;
    struct tree_words *served;     /* after `for`; NULL: its own name */
    struct tree_effect *where;
    struct tree_tail *tails;       /* per, note */
    struct tree_change *changes;
    struct span span;
};

struct tree_use {
    struct tree_use *next;
    struct tree_word name;
    struct span span;
};

/* One text. A text without a head is a common file, for others to use. */
struct tree {
    struct source *source;
    struct tree_head *head;
    struct tree_use *uses;
    struct tree_scale *scale, *second_scale;
    struct tree_part *parts;
    struct tree_search *searches;
    struct tree_zone *zones;
    struct tree_measure *measures;
    struct tree_observe *observes;
    struct tree_kind *kinds;
    struct tree_curve *curves;
    struct tree_reckon *reckons;
    struct tree_limit *limits;
    struct tree_check *checks;
    struct tree_example *examples;
    struct tree_fact *facts;
    struct tree_model *models;
    struct tree_head *second_head; /* NULL but for an error */
    struct tree_words *lost;       /* names that lines with errors would have declared, as far as
                                      they could be read: to use one is no fault of its own */
};

#endif
