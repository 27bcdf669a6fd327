/* What the parts of one proof share. Inside src/prove only. */
#ifndef STAVE_PROVE_PROVING_H
#define STAVE_PROVE_PROVING_H

#include "prove/claims.h"
#include "prove/region.h"

#define PROVING_EFFORT 4000000u /* elementary decisions for one claim, where the host says nothing */
#define PROVING_REGIONS 12u     /* listed of one claim */

#define PROVING_TOO_MANY                                                                            \
    "64 limits for one kind on one part, and places that none of them covers: too many"

struct proving {
    struct arena *arena;          /* of what is given */
    struct arena *scratch;
    const struct ready_book *ready;
    const struct stave_proving *how;
    struct obligations *kept;     /* or NULL */
    struct stave_claim *claims;
    uint32_t count;
    size_t capacity;
    struct pair **pairs;          /* by kind and part, as plan.dockets: made when first asked for */
    const char **used;            /* exceptions that excused something */
    uint32_t used_count;
    size_t used_capacity;
    size_t done, all;
    bool stopped;
};

/* Tells the host; true when the work is to stop. */
bool proving_stop(struct proving *proving, const char *next);
uint32_t proving_effort(const struct proving *proving);

/* The pair of a docket with itself; NULL: too many limits. */
const struct pair *proving_pair(struct proving *proving, const struct docket *docket);

/* Memory of one claim's work. */
struct arena_mark proving_mark(struct proving *proving);
void proving_release(struct proving *proving, struct arena_mark mark);

struct stave_claim *proving_claim(struct proving *proving, enum stave_property property,
                                  const char *subject, struct span at);
/* Notes that an exception excuses the claim; NULL: none does. */
void proving_excuse(struct proving *proving, struct stave_claim *claim, const char *exception);

/* Says what was found of an obligation. */
void proving_keep(struct proving *proving, const struct obligation *obligation);

/* ---- regions -------------------------------------------------------------------------- */

/* Is the replayed witness what was looked for? `second` is of the world after, or of the second book. */
typedef bool (*region_accept)(void *user, const struct piece *piece, const struct replayed *first,
                              const struct replayed *second);

struct region_list {
    struct stave_region *items;
    uint32_t count;
    size_t capacity, more;
    bool shown;   /* some region has a witness */
};

struct region_call {
    const struct pair *pair;
    const struct limit *limit; /* of a single ladder: its zone gives the head; else NULL */
    const char *declared;
    bool after;                /* a second world, after the first; else the second book where the pair has two */
    region_accept accept;
    void *user;
};

/* Adds the regions of boxes, with witnesses; those of other kinds with the same words are joined to them. */
void regions_add(struct proving *proving, struct region_list *list, const struct boxes *boxes,
                 const struct region_call *call);

/* Finds a text that shows a box, and fills the region's witness; false where none of the few tried does. */
bool region_show(struct arena *arena, const struct region_call *call, const struct box *box,
                 struct stave_region *region);

/* ---- the parts ---------------------------------------------------------------------------- */

void prove_coverage(struct proving *proving);   /* TOTAL, of each kind on each part */
void prove_ladders(struct proving *proving);    /* TOTAL, LINE and CONDITION, of each limit as written */
void prove_order(struct proving *proving);      /* ORDERLY */
void prove_overlaps(struct proving *proving);   /* OVERLAP */
void prove_exceptions(struct proving *proving); /* EXCEPTION: last */

/* Does a ladder ask for a product whose factors are both in doubt? */
bool ladder_has_product(const struct ground *ground, const struct ladder *ladder);

#endif
