/* The stages of a walk, shared by walk.c and ask.c. */
#ifndef STAVE_JUDGE_ROUTE_H
#define STAVE_JUDGE_ROUTE_H

#include "judge/walk.h"

/* A ladder on the way: pass 0 belongs to both passes of a comparison. */
struct stage {
    const struct ladder *ladder;
    const struct scene *scene;
    int pass;
    struct inequality **forms; /* by test: what it asks here; NULL for an observation */
    uint32_t *form_counts;     /* ROUTE_NOT_ASKED: not worked out */
};

struct route {
    struct walk *walk;
    struct constraints *constraints;
    struct stage *stages; /* pass 0, then 1, then 2 */
    uint32_t stage_count;
    const struct apart *apart;
    uint32_t start[3]; /* by pass: the outcome to begin with (1 and 2 for uncovered) */
    uint32_t last_pass;
    uint64_t rungs_wanted;
};

/* The spot of a scene on an axis. */
const struct spot *route_spot(const struct route *route, const struct scene *scene, uint32_t axis);
/* Is this a stage of the first pass, in which something is apart? */
bool route_apart(const struct route *route, const struct stage *stage);
/* Works out the readings of all tests, once for the walk: before any mark that is gone back to. */
void route_know(struct route *route);
/*
 * What the tests ask is worked out when it is wanted, in the constraints' arena; all that is left from a
 * stage on before anything is assumed, as going back takes memory back.
 */
#define ROUTE_NOT_ASKED UINT32_MAX
/* Makes room in all stages. Nothing may have been assumed for them. */
void route_begin(struct route *route);
void route_ask(struct route *route, struct stage *stage, uint32_t test);
void route_ask_rest(struct route *route, uint32_t first_stage);

#endif
