/*
 * Going through all worlds of a pair (pair.h). Inside src/prove only.
 *
 * A tour takes each scene (walk.h) through the ladders of both sides, one after the other, those
 * that one side alone has first, and splits where a test can come out both ways. Each path that arrives
 * is a *stretch* of worlds: never empty, and no two share one.
 */
#ifndef STAVE_PROVE_TOUR_H
#define STAVE_PROVE_TOUR_H

#include "judge/route.h"
#include "prove/pair.h"

#define TOUR_DEPTH 600u /* splits on one path */

enum tour_aim {
    TOUR_DIFFER, /* outcomes differ, or deadlines do */
    TOUR_BETTER, /* the second side's outcome is better than the first's */
    TOUR_RUNG    /* some ladder of the first side decides by a rung in `wanted` */
};

struct tour;

/* A set of worlds that arrived. Lives as long as the visit; the memory that its constraints point into
 * stays until the ground's arena is released. */
struct stretch {
    const struct tour *tour;
    const struct scene *scene;
    uint32_t outcomes[2];   /* ranks of the pair */
    struct constraints *constraints;
    uint64_t *observations; /* by record: values that are left; the second block after them */
    bool sure;              /* false: some step of the way was too much work to decide */
};

/* True ends the tour. */
typedef bool (*tour_visit)(void *user, const struct stretch *stretch);

struct tour {
    const struct pair *pair;
    const struct ground *ground;
    enum tour_aim aim;
    uint64_t wanted;
    uint64_t sides[2];      /* the limits of each side that are asked; within the pair's */
    struct apart *apart;    /* TOUR_BETTER: what stands in the second block on the first side */
    const struct inequality *ties; /* hold in every world */
    uint32_t tie_count;
    tour_visit visit;
    void *user;
    /* set by the tour: */
    bool unsure;            /* a world may have been missed: the budget, or a size */
    bool stopped;           /* by the visitor */
    struct walk walk;
    struct route route;
    uint64_t visits;
    struct stage stages[128];
    uint8_t masks[128];     /* by stage: bit 0 the first side, bit 1 the second */
    uint32_t decided[128];  /* by stage: the rung */
    uint32_t stage_count;
};

/* Every finding of the docket: nothing is given. `point`: of no size, at one place on each axis. */
struct finding *tour_finding(struct arena *arena, const struct pair *pair, bool point);

/* Sets a tour out; aim, sides, visit and the like are set by the caller afterwards. */
void tour_begin(struct tour *tour, const struct pair *pair, const struct ground *ground,
                uint32_t *work);
/* Goes through all scenes. */
void tour_go(struct tour *tour);

#endif
