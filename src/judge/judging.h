/* What the parts of one judgement share. Inside src/judge only. */
#ifndef STAVE_JUDGE_JUDGING_H
#define STAVE_JUDGE_JUDGING_H

#include "judge/walk.h"

struct judging {
    struct arena *arena;
    const struct ground *ground;
    bool as_read;
    bool ends_only;               /* no more is asked for than the ends hold (spot.h) */
    uint32_t floor;
    struct judgement *judgement;
    struct walk shown;            /* where the witness was found; shown.sampled false when nowhere */
};

/* Sets judgement.witness: a world with the worst outcome, readings at their worse ends. */
void judge_find_witness(struct judging *judging, uint32_t *work);
/* Sets judgement.needs. */
void judge_find_needs(struct judging *judging, uint32_t *work);

/* The reading of a record as typed, low and high; as read, a "+/-" is its middle alone. */
struct number judging_low(const struct judging *judging, uint32_t record);
struct number judging_high(const struct judging *judging, uint32_t record);
/* What a world says of a variable past the records, `value` being what was chosen for it: of
 * something new, what was read before is what is read now. */
struct number judging_before(const struct ground *ground, uint32_t variable,
                             const struct number *readings, struct number value);

#endif
