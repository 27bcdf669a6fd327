/*
 * A family: one book for several models, each with what is different in it.
 *
 * The trees of a model are those of the book, or of the model that it is like, with whole
 * statements replaced, added and dropped (change.c). Each model is then checked as a book of its
 * own, so that all that comes after knows nothing of families: it works on the book of one model.
 *
 * The facts are what a record says of a propeller besides its model (its serial, what was embodied); a
 * model can say for which it is. They are independent of each other: a model is for a box of facts.
 */
#ifndef STAVE_BOOK_FAMILY_H
#define STAVE_BOOK_FAMILY_H

#include "book/book.h"

#define FAMILY_MODELS 64
#define FAMILY_FACTS 32
#define FAMILY_SPANS 64   /* of one fact in one model */

struct fact {
    const char *name, *help;
    uint32_t index;
    bool is_range;          /* whole numbers from .. to */
    int64_t from, to;
    const char **values;    /* else; yes-or-no: "yes", "no" */
    uint32_t value_count;
    bool yes_or_no;
    struct span span;
};

struct fact_span { int64_t from, to; };

/* Some of a fact's values. */
struct fact_set {
    bool all;
    struct fact_span *spans; uint32_t span_count; /* of a range; may touch or overlap */
    uint64_t values;                              /* else */
};

struct model {
    const char *name, *title;
    uint32_t index;
    const struct model *like;  /* or NULL */
    const char **served; uint32_t served_count; /* models as records name them */
    struct fact_set *sets;     /* by fact */
    const char *where;         /* as written, or "" */
    const char *source;        /* `per`, or "" */
    const struct tree_model *tree;
    struct tree **trees;       /* of the book, with the differences */
    struct book *book;
    bool under_way, done, broken;
    struct span span;          /* its name */
};

struct family {
    struct fact *facts;   uint32_t fact_count;
    struct model *models; uint32_t model_count;
};

/* Do two sets of values of a fact have one in common? */
bool fact_sets_meet(const struct fact *fact, const struct fact_set *a, const struct fact_set *b);
/* Is every value of a in b? */
bool fact_set_within(const struct fact *fact, const struct fact_set *a, const struct fact_set *b);
const struct fact *family_find_fact(const struct family *family, const char *name);
const struct model *family_find_model(const struct family *family, const char *name);
/* Is a model for propellers that records name so? */
bool model_serves(const struct model *model, const char *name);
/* Is an example about the book's model? */
bool book_takes_example(const struct book *book, const struct tree_example *example);

#endif
