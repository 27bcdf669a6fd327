/*
 * What the files of src/book share while a book is being checked. Not for others.
 *
 * Names. One namespace holds parts, axes, zones, measures, observations, kinds, checks,
 * curves, reckoned names and outcomes. The axes of different parts may share a name when they have
 * the same dimension. Names that belong to an owner may repeat between owners, and may
 * be the same as a shared name but where a line could mean either:
 *   - sides and places of a part: not an axis, a measure or an observation (in
 *     "at station 36 in camber" and "with camber" each could stand), and not twice in one part;
 *   - values of an observation: not a measure, a curve, a reckoned name or an observation (in
 *     "grease up to NAME" and in a bare answer each could stand).
 * So a zone may be called like the place that it covers: `zone dome on spinner dome`.
 *
 * Order. Every name is declared (…_declare) before any is looked up (…_resolve), so a text may
 * speak of what stands further down. What was found wrong is marked broken, and what rests on it
 * stays quiet: one fault, one message. When a text has errors of syntax, what is
 * missing may well stand in the lines that could not be read: then missing statements and
 * warnings are not reported, nor are names that such a line would have declared. When a whole text
 * could not be read, no unknown name is.
 */
#ifndef STAVE_BOOK_CHECK_H
#define STAVE_BOOK_CHECK_H

#include "base/text.h"
#include "book/book.h"
#include "read/read.h"

#define CHECK_TEXTS 256        /* texts that one book may rest on */
#define CHECK_USE_DEPTH 32     /* a text that is used by a text that is used ... */
#define CHECK_OUTSIDE_DEPTH 16 /* a zone outside a zone outside ... */
#define CHECK_RECKON_DEPTH 32  /* a reckoned name of a reckoned name ... */
#define CHECK_NESTING 128      /* factors within factors */
#define CHECK_READING_BITS 192 /* of each part of a reading's fraction, at most */

/* ---- names ------------------------------------------------------------------ */

enum name_sort {
    SORT_PART,
    SORT_AXIS,
    SORT_ZONE,
    SORT_MEASURE,
    SORT_OBSERVATION,
    SORT_KIND,
    SORT_CHECK,
    SORT_CURVE,
    SORT_RECKON,
    SORT_OUTCOME,
    SORT_LOST /* a line with errors of syntax would have declared it */
};

#define SORT_BIT(sort) (1u << (unsigned)(sort))

struct name {
    const char *text;
    enum name_sort sort;
    uint32_t index; /* in the book's array of its sort; for an axis, of its part */
    bool broken;    /* an error was reported in it */
    struct span span;
};

struct names {
    struct name *items; /* after names_close: by text, then in the order of the texts */
    size_t count, capacity;
    uint32_t *places; /* of names_close: by what a text hashes to, 1 more than where it begins; 0: free */
    size_t place_mask;
    uint32_t *seen; /* likewise, by the address of a text that was found: a guess */
};

/* What is known of a checked expression besides its value. */
struct expression_facts {
    uint32_t numerator_bits, denominator_bits; /* of any value that it can have, at most */
    uint32_t choices; /* ways that its "lesser of" and "greater of" can fall */
    uint32_t size;    /* operands, reckoned names written out */
    uint32_t reckon_depth;
    uint32_t degree; /* measures multiplied with each other: 0, 1 or 2 */
    bool has_curve;
};

enum resolve_state { STATE_WAITING, STATE_UNDER_WAY, STATE_DONE };

struct reckon_state {
    const struct tree_reckon *tree;
    enum resolve_state state;
    struct expression_facts facts;
};

struct checker {
    struct arena *arena;
    struct book *book;
    struct problems *problems;
    stave_find_text find_text;
    void *user;
    bool unread;       /* a text has errors of syntax */
    bool text_missing; /* a text could not be read at all */
    struct names names;
    struct reckon_state *reckons;         /* by reckon index */
    struct expression_facts *curve_facts; /* by curve index; size 0: not worked out yet */
    uint32_t reckon_depth;                /* of the reckoned names under way */
    bool in_pair;                         /* what is checked speaks of two damages */
    size_t aggregate_capacity;
    const struct tree_scale *scale;
    uint16_t (*docket_limits)[BOOK_KIND_PARTS]; /* by kind and position of the part */
    uint32_t *kind_marks;  /* by kind: number of the last ladder that named it */
    uint32_t *curve_marks; /* by curve: number of the last ladder that it was held against */
};

void names_add(struct checker *checker, struct tree_word word, enum name_sort sort, uint32_t index);
/* Sorts, and reports what was declared twice. */
void names_close(struct checker *checker);
/* The first entry of one of the sorts, or NULL; reports nothing. */
const struct name *names_find(const struct checker *checker, const char *text, unsigned sorts);
/*
 * The same, but says what is wrong when there is none: "unknown kind 'gouje'", or "'tip' is
 * a zone, not a kind". `wanted` is the noun: "kind".
 */
const struct name *names_get(struct checker *checker, struct tree_word word, unsigned sorts,
                             const char *wanted);
/* Reports an unknown name with a suggestion from a list of the owner's names; `owner` is ""
 * or " of part 'blade'". */
void names_unknown(struct checker *checker, struct tree_word word, const char *wanted,
                   const char *owner, const char *const *known, size_t known_count);
void names_mark_broken(struct checker *checker, const char *text, enum name_sort sort);
/* "a zone". */
const char *names_sort_text(enum name_sort sort);

size_t words_count(const struct tree_words *words);
/* Copies at most `most` different words; reports repeats ("side 'camber' is named twice")
 * and what is over ("more than 8 sides"). The noun in both forms. */
const char **words_list(struct checker *checker, const struct tree_words *words, uint32_t most,
                        const char *one, const char *many, uint32_t *count);
int32_t list_find(const char *const *list, uint32_t count, const char *text);
/* Strings as they are, repeats and all. */
const char **words_strings(struct checker *checker, const struct tree_words *words,
                           uint32_t *count);
/* "a, b or c", each in quotes. */
const char *list_text(struct arena *arena, const char *const *list, uint32_t count,
                      const char *last_joint);

/* The text of a span for a message, cut short when it is long. */
const char *check_quote(struct checker *checker, struct span span);
struct stave_problem *check_error(struct checker *checker, const char *code, struct span at,
                                  const char *message);
void check_second(struct checker *checker, struct stave_problem *problem, struct span at,
                  const char *label);

/* ---- figures ------------------------------------------------------------------ */

struct dimension figure_dimension(const struct tree_quantity *quantity);
/* True when a figure has the dimension; else says so. `owner` is what it is for: "depth". */
bool figure_fits(struct checker *checker, const struct tree_quantity *quantity,
                 struct dimension dimension, const struct unit *unit, const char *owner);
/* False, and says so, when it is over 10^12 base units. */
bool figure_bounded(struct checker *checker, const struct tree_quantity *quantity);
uint32_t figure_numerator_bits(struct number value);
uint32_t figure_denominator_bits(struct number value);

struct figure_range {
    struct number from, to;
    const struct unit *unit;
    struct dimension dimension;
};
/* The range of a measure or an axis: one dimension, bounded, from below to. */
bool figure_range_read(struct checker *checker, const struct tree_quantity *from,
                       const struct tree_quantity *to, const char *owner,
                       struct figure_range *range);
/* A step: the owner's dimension, over zero. */
bool figure_step_read(struct checker *checker, const struct tree_quantity *step,
                      struct dimension dimension, const struct unit *unit, const char *owner);

/* ---- tails ---------------------------------------------------------------------- */

#define TAIL_BIT(sort) (1u << (unsigned)(sort))
#define TAILS_ALL (TAIL_BIT(TREE_DO) | TAILS_DEADLINES | TAILS_CITED)
#define TAILS_DEADLINES (TAIL_BIT(TREE_AGAIN_WITHIN) | TAIL_BIT(TREE_WITHIN))
#define TAILS_MEANT TAIL_BIT(TREE_EXCEPTION) /* of lines and ladders alone */
#define TAILS_CITED (TAIL_BIT(TREE_PER) | TAIL_BIT(TREE_NOTE))

/* Reports tails that `where` ("a curve") does not take, repeats, and deadlines that are no time. */
void tails_check(struct checker *checker, const struct tree_tail *tails, unsigned allowed,
                 const char *where);
/* The string of the first tail of a sort, or NULL. */
const char *tails_string(const struct tree_tail *tails, enum tree_tail_sort sort);

/* ---- one file each ---------------------------------------------------------------- */

/* Checks every model of a family and gathers what is wrong; false: the book has no models. */
bool family_check(struct checker *checker);
/* The trees of one model, from those of the book anew; the book is known to be without errors. */
struct tree **family_trees(struct checker *checker, const char *model);
/* After `for` in the head of an example: names of models. */
void family_check_served(struct checker *checker, const struct book *book,
                         const struct tree_words *served);
/* The checks of one book, or of one model's. */
void book_check_trees(struct checker *checker);
void texts_read(struct checker *checker, const struct stave_text *text);
void head_check(struct checker *checker);
void scale_declare(struct checker *checker);
void scale_resolve(struct checker *checker);
void parts_declare(struct checker *checker);
void parts_resolve(struct checker *checker);
void zones_declare(struct checker *checker);
void zones_resolve(struct checker *checker);
void measures_declare(struct checker *checker);
void measures_resolve(struct checker *checker);
void kinds_declare(struct checker *checker);
void kinds_resolve(struct checker *checker);
void curves_declare(struct checker *checker);
void curves_resolve(struct checker *checker);
void reckons_declare(struct checker *checker);
void reckons_resolve(struct checker *checker);
void limits_resolve(struct checker *checker);
void cells_check(struct checker *checker);
void examples_check(struct checker *checker, const struct book *book,
                    const struct tree_example *examples);

/* Checks an expression; NULL when it has errors (reported). */
const struct expression *expression_check(struct checker *checker,
                                          const struct tree_expression *tree,
                                          struct expression_facts *facts);
/* The names alone, as one operand. */
const struct expression *expression_check_name(struct checker *checker, struct tree_word word,
                                               struct expression_facts *facts);
/* Says that two sides do not have the same dimension. */
void expression_mismatch(struct checker *checker, const struct expression *left,
                         const struct expression *right);
/* False, and says so, when there are more than BOOK_CHOICES. */
bool expression_choices_fit(struct checker *checker, uint64_t choices, struct span at);
/* False, and says so, when comparing or computing would pass BOOK_FIGURE_BITS. */
bool expression_bits_fit(struct checker *checker, uint32_t numerator, uint32_t denominator,
                         struct span at);

/* ---- walks over checked expressions (growth.c) ------------------------------------- */

#define WALK_MOST (2 * BOOK_TERMS)

struct walk {
    const struct measure *measures[WALK_MOST];
    struct span
        measure_spans[WALK_MOST]; /* where the line names it (a reckoned name stands for its own) */
    uint32_t measure_count;
    const struct curve *curves[WALK_MOST];
    struct span curve_spans[WALK_MOST];
    uint32_t curve_count;
};

/* Adds each measure and curve that an expression rests on, once. */
void walk_add(struct walk *walk, const struct expression *expression);
bool walk_has(const struct walk *walk, const struct measure *measure);

/* No measure and no curve in it: *value is what it comes to. */
bool expression_constant(struct checker *checker, const struct expression *expression,
                         struct number *value);
/*
 * Does a bound on the expression bound the measure: an upper one where `upper`, else a
 * lower one? It does through sums, positive factors, products, and the greater of (upper) or the
 * lesser of (lower) two.
 */
bool expression_grows_with(struct checker *checker, const struct expression *expression,
                           const struct measure *measure, bool upper);
/*
 * False, and says so, when the comparison would need an "or" of two things that both depend on
 * the place. For what passes, the comparison holds at every place just when one branch of each "or"
 * holds at every place.
 */
bool expression_places_apart(struct checker *checker, const struct condition *condition);

/* ---- conditions and ladders ----------------------------------------------------------- */

struct condition_list {
    struct condition *items;
    uint32_t count;
    size_t capacity;
};

/* A ladder under check: one limit or check statement. */
struct ladder {
    const struct kind **kinds;
    uint32_t kind_count;
    const struct zone **zones;
    uint32_t zone_count;
    bool broken;     /* a kind, a part or a zone of it is unknown or broken */
    uint32_t number; /* from 1 */
    struct span head;
    struct rung *rungs;
    uint32_t rung_count;
    bool reported_unreached;
    bool last_broken; /* the last line has errors in its conditions */
    bool quiet;       /* some line has errors: say nothing of what falls through */
};

/* Checks one condition and appends what it says. False when it has errors. */
bool condition_check(struct checker *checker, const struct ladder *ladder,
                     const struct tree_condition *tree, bool flight, struct condition_list *list);
/* A comparison with an expression that was checked; appends it. False when it has errors. */
bool condition_compare(struct checker *checker, const struct ladder *ladder,
                       const struct tree_condition *tree, const struct tree_bound *bound,
                       const struct expression *left, const struct expression_facts *left_facts,
                       struct condition_list *list);
/* What a condition on an observation leaves of its values; *good false: it has errors. */
uint64_t condition_values(struct checker *checker, const struct tree_condition *tree,
                          const struct observation *observation, bool *good);
/* Reports that a kind does not record what is named. */
void condition_not_recorded(struct checker *checker, const struct kind *kind, const char *name,
                            struct span at);
/* Warns of a bare measure against a figure that its range never reaches. */
void condition_reach(struct checker *checker, const struct expression *left,
                     enum tree_relation relation, const struct expression *right);
/* Who is meant by a condition on damage in company (members.c): its kinds, that each can be on the
 * ladder's part, its filters, and that each kind records what an expression names. */
bool members_find(struct checker *checker, const struct tree_company *tree,
                  struct aggregate *aggregate);
bool members_on_part(struct checker *checker, const struct ladder *ladder,
                     const struct tree_company *tree, const struct aggregate *aggregate);
bool members_filter(struct checker *checker, const struct ladder *ladder,
                    const struct tree_company *tree, struct aggregate *aggregate);
bool members_record(struct checker *checker, const struct ladder *ladder,
                    const struct aggregate *aggregate, const struct expression *expression);
/* Conditions on damage in company and on growth (company.c). */
bool company_check(struct checker *checker, const struct ladder *ladder,
                   const struct tree_condition *tree, struct condition_list *list);
bool growth_check(struct checker *checker, const struct ladder *ladder,
                  const struct tree_condition *tree, struct condition_list *list);
const struct recorded *kind_find_record(const struct kind *kind, const struct measure *measure,
                                        const struct observation *observation);
/* Bound or release: reports what a line above `no flight` passes over. */
void silence_check(struct checker *checker, const struct ladder *ladder, const struct rung *rung,
                   struct tree_word outcome);
/* True when every condition of a line is a release: then it takes whatever comes. */
bool rung_takes_all(const struct rung *rung);
/* The warning for a ladder without `otherwise`. */
void fall_through_check(struct checker *checker, const struct ladder *ladder);
/* Each curve that a ladder uses runs along each of its zones. */
void curves_cover(struct checker *checker, const struct ladder *ladder);

#endif
