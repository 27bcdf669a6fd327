/*
 * From a stretch of worlds to a finding that a person can type, and back: what is written here
 * is read and judged again before anyone is told of it. Inside src/prove only.
 */
#ifndef STAVE_PROVE_WITNESS_H
#define STAVE_PROVE_WITNESS_H

#include "prove/tour.h"

/* A stretch that was kept: a copy of what a visit was given. */
struct piece {
    const struct pair *pair;
    const struct ground *ground;
    struct scene scene;
    uint32_t outcomes[2];
    struct constraints constraints;
    uint64_t *observations;       /* two blocks */
    const struct apart *apart;    /* TOUR_BETTER; else NULL */
    uint32_t *decided[2];         /* by limit of the pair's docket, on each side: the rung + 1; 0: not met */
    bool point, sure;
};

struct piece *piece_keep(struct arena *arena, const struct stretch *stretch, bool point);

/* Part of one axis. */
struct part_of_axis {
    struct number low, high;
    bool low_open, high_open;
};

/* One world of a piece, with figures that can be written where there are such. */
struct sample {
    struct number *values;        /* two blocks of unknowns */
    uint64_t *observed;           /* two blocks of records: one bit each */
    struct number lo[BOOK_AXES], hi[BOOK_AXES];
    uint32_t side, place;
};

/*
 * `on` (by axis, or NULL) narrows where it may be; `close` prefers readings for which distances to others
 * are asked. False: none was found in few tries.
 */
bool piece_sample(struct arena *arena, const struct piece *piece, const struct part_of_axis *on,
                  bool close, struct sample *sample);
/* Is the distance to others asked at all? */
bool piece_asks_distance(const struct piece *piece);

/* The world as judge_world takes it, of the first block, or with `before` what is apart of the second. */
struct world sample_world(struct arena *arena, const struct piece *piece,
                          const struct sample *sample, bool before);

/* What the world gets by the pair's docket, ladder by ladder. */
struct stood {
    struct ladder_result *ladders;
    uint32_t count;
};
struct stood sample_stand(struct arena *arena, const struct piece *piece,
                          const struct sample *sample, bool before);

/* ---- text ------------------------------------------------------------------------------- */

/* How to write the extent of damage that is as long as a reading says. */
enum lying { LIE_AS_IS, LIE_ONWARD, LIE_BACK, LIE_AROUND, LIE_ONE_PLACE, LYINGS };

/*
 * Others that stand before the finding: so many, all like it but for what is said here. Of two worlds they are like
 * the first, in both: the finding alone gets worse.
 */
struct crowd {
    uint32_t others;
    bool shifted;            /* they lie further along an axis, or nearer where there is no room */
    uint32_t axis;
    struct number shift;
    bool spread;             /* each of them further along by `shift` than the one before */
    bool valued;             /* one reading of theirs is another */
    uint32_t record;
    struct number value;
};

#define CROWDS 16u
/* What might bring about the counts, totals and distances of the sample: the likeliest first. */
uint32_t sample_crowds(struct arena *arena, const struct piece *piece, const struct sample *sample,
                       struct crowd crowds[CROWDS]);

/*
 * The finding in the words of a side's book, with its crowd before it. NULL where a figure cannot be
 * written, or where this way of lying does not fit.
 */
const char *sample_text(struct arena *arena, const struct piece *piece,
                        const struct sample *sample, uint32_t side, bool before, enum lying lying,
                        const struct crowd *crowd);

/* ---- judged again ------------------------------------------------------------------------ */

struct replayed {
    bool good;                /* it was read without a problem */
    struct judged judged;
    uint64_t possible;
    struct deadline_list deadlines;
    const char *found;        /* "watch again within 50 h" */
};
struct replayed replay(struct arena *arena, const struct ready_book *ready, const char *lines);
bool replayed_alike(const struct replayed *a, const struct replayed *b); /* deadlines only */

#endif
