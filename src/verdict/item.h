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
/* Bit n of the set: outcome n is possible. */
void item_set_possible(struct arena *arena, uint64_t set, struct stave_item *shown);

/* ---- one record by each model of a family that may apply (verdict/open.c) ---- */

/* The items of a record by one of the models: findings in its order, then answers. */
struct by_model {
    const struct book *book;
    const struct item *items;
    size_t count;
};

/* Above 0 where the items are worse by the first model: that of the first item that differs. */
int by_model_compare(struct arena *arena, const struct by_model *one, const struct by_model *other);
/*
 * Every finding and answer once, by the model that gives the worst of it. Of all models are its
 * possible outcomes, its needs and the shortest deadlines; what was recorded of it is as the
 * chosen model reads it. The array is in `keep`; `record` says what leaves the model open.
 */
struct item *open_join(struct arena *arena, struct arena *keep, const struct by_model *models,
                       size_t model_count, size_t chosen, const struct record *record,
                       size_t *count);
/* Adds the needs that the list does not have. With more models than one, none of them settles
 * anything: what it settles by one model may be open by another, or settled otherwise. */
void open_join_needs(struct arena *arena, struct stave_need **needs, size_t *count,
                     size_t *capacity, const struct stave_need *more, size_t more_count);

#endif
