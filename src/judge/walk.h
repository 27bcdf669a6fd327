/*
 * Walking a set of worlds through ladders. Inside src/judge and src/prove only.
 *
 * A *scene* is one spot for each axis and a side: it fixes which ladders are met. The worlds of
 * a scene are the product of all readings and of lo and hi on each axis. The walk
 * takes the whole set through the ladders' tests, one after the other; where a test can both pass and fail
 * it goes both ways, with a constraint more each way, and drops the ways that have no world.
 * So each path that is left stands for at least one world, and no two paths share one.
 *
 * To ask whether two worlds can differ, a walk may go through ladders twice: first with
 * some coordinates at fixed values, then with all of them free, all others being
 * the same unknowns both times.
 */
#ifndef STAVE_JUDGE_WALK_H
#define STAVE_JUDGE_WALK_H

#include "judge/constraints.h"
#include "judge/judge.h"
#include "judge/spot.h"

#define WALK_DEPTH 400u /* splits on one path */

/* ---- ladders, made ready ------------------------------------------------------------- */

/* One question; `yes` and `no` are the next test, or ~rung when below zero. */
struct test {
    const struct atom *atom;      /* NULL: is the observation among `values`? */
    uint32_t functions[BOOK_AXES]; /* by the atom's place functions: index on their axis */
    uint32_t record;
    uint64_t values;
    int32_t yes, no;
    uint64_t outcomes, rungs;     /* bit sets: what can still come of it */
};

struct ladder {
    const struct plan_limit *limit;
    uint32_t index;               /* in the docket */
    struct test *tests;
    uint32_t test_count;
    int32_t start;
    uint32_t *outcomes;           /* by rung, the last being "none held" */
    uint64_t outcome_set, rung_set;
    bool *uses;                   /* by variable of the docket: some test depends on it */
    bool along[BOOK_AXES];        /* some test has a place function along the axis */
};

/* A product of which one factor is known is straight in the readings of the other. */
struct variable_form {
    struct term *terms;           /* over the docket's variables */
    uint32_t term_count;
    struct number constant;
};

/* The finding, made ready. Unknowns: first block all variables, then lo and hi of each axis;
 * second block the same again, for what is held fixed in a comparison. */
struct ground {
    struct arena *arena;
    const struct docket *docket;
    const struct finding *finding;
    const struct spots *spots;
    struct ladder *ladders;       /* by limit of the docket */
    struct unknown *variables;    /* by variable: its values after rounding */
    struct variable_form *forms;  /* by variable; terms NULL with count 0: a constant */
    uint64_t *observations;       /* by record */
    uint64_t sides;               /* at least one bit; of sides that are alike the first */
    uint64_t *seen;               /* limits met, by side and slice of each axis, the last fastest */
    uint32_t unknown_count;       /* of one block */
    uint32_t no_published_limit;
    bool exact;                   /* one world only */
};

/* `ends`: with the few spots that give the best and the worst outcome (spot.h). */
struct ground *ground_make(struct arena *arena, const struct docket *docket,
                           const struct finding *finding, bool as_read, bool ends);
/* The same, with spots and tests even where there is one world only. */
struct ground *ground_make_whole(struct arena *arena, const struct docket *docket,
                                 const struct finding *finding);

/* ---- scenes ----------------------------------------------------------------------------- */

struct scene {
    uint32_t spots[BOOK_AXES];
    uint32_t side;
    uint64_t met;                 /* bit set over the docket's limits */
    bool uncovered;
};

/* The limits in force at a choice of slices on a side; none: it is not covered. */
uint64_t scene_limits(const struct ground *ground, uint32_t side, const uint32_t *slices);
/* Goes through all scenes, or those of ends alone: scene_first, then scene_next until it says false. */
void scene_first(const struct ground *ground, struct scene *scene);
bool scene_next(const struct ground *ground, struct scene *scene, bool ends);
/* Works out met and uncovered after spots or side were set by hand. */
void scene_see(const struct ground *ground, struct scene *scene);

/* ---- the walk ------------------------------------------------------------------------------ */

enum walk_aim {
    WALK_ALL,       /* collect every outcome and rung */
    WALK_ENDS,      /* the best and the worst outcome, and maybe some others */
    WALK_REACH,     /* find a world with the outcome `target` */
    WALK_DIFFER     /* find two worlds with different outcomes */
};

/* Which coordinates of the first pass stand in the second block, that is, are fixed. */
struct apart {
    bool *variables;              /* by variable */
    bool *records;                /* by record: observations */
    bool axes[BOOK_AXES];
};

struct walk {
    const struct ground *ground;
    struct constraints constraints;
    uint64_t *observations;       /* two blocks, as the unknowns */
    struct inequality **bases;    /* by limit and test: its readings, of which the known ones are summed up;
                                     NULL until it is asked */
    enum walk_aim aim;
    uint32_t floor, target;
    uint32_t *work;
    bool unsure;                  /* the budget or a size was hit, so something was assumed */
    /* WALK_ALL, WALK_ENDS */
    uint64_t possible;
    uint64_t *rungs;
    uint64_t limits_met;
    bool uncovered;
    /* WALK_REACH and WALK_DIFFER */
    bool found;
    struct number *sample;        /* WALK_REACH: the unknowns' values, when `sampled` */
    uint64_t *observed;
    bool sampled;
    struct scene scene;           /* the one that was found */
    uint32_t depth;
    bool held;                    /* the second block was set by walk_hold_at */
};

void walk_begin(struct walk *walk, const struct ground *ground, enum walk_aim aim, uint32_t *work);
/* WALK_DIFFER: holds what is apart at the values of a world that a WALK_REACH sampled. */
void walk_hold_at(struct walk *walk, const struct walk *sampled);
/* WALK_ALL, WALK_ENDS, WALK_REACH: all worlds of a scene. */
void walk_scene(struct walk *walk, const struct scene *scene);
/* WALK_DIFFER: the first pass in `first` with what is apart fixed, the second in `second`. */
void walk_pair(struct walk *walk, const struct scene *first, const struct scene *second,
               const struct apart *apart);

#endif
