/*
 * One item of a verdict (a finding, a check, a search) under construction.
 */
#ifndef STAVE_VERDICT_ITEM_H
#define STAVE_VERDICT_ITEM_H

#include "verdict/verdict.h"

struct item {
    struct judged judged;            /* its judgement is NULL; finding NULL for what was not given
                                        and for searches */
    const struct part *part;
    uint32_t instance;
    uint32_t best;                   /* best possible outcome; 0 for an item that is missing */
    struct deadline_list deadlines;
    const char *action;              /* what to do about what is earlier; else NULL */
    bool outrun;                     /* a deadline that an earlier inspection set has passed */
    struct stave_item shown;
};

/* An item for a finding or an answered check of a company. What is judged on the way is left in `work`,
 * and may be given up: the item's judgement is not kept. */
struct item item_judge(struct arena *arena, struct arena *work, const struct ready_book *ready,
                       const struct record *record, const struct company *company,
                       uint32_t index);
/* What was recorded of a finding or check, and where it lies (verdict/where.c). */
void item_set_recorded(struct arena *arena, const struct finding *finding,
                       struct stave_item *shown);
/* An item that says that the model of a family is open. */
struct item item_open_model(struct arena *arena, const struct ready_book *ready,
                            const struct record *record);
/* An item for a search, or for a check without an answer. */
struct item item_from_answer(struct arena *arena, const struct ready_book *ready,
                             const struct answer *answer);

#endif
