/*
 * What earlier inspections left open: findings that are not told of any more, and deadlines.
 *
 * Every earlier inspection is judged as it was, with what was before it, and the deadlines of all
 * its possible outcomes are carried on. "Look again" is met by the next inspection that has the
 * finding. "Act" goes on until a record says that it was repaired, whatever is read meanwhile;
 * of several, the one that is due first counts.
 */
#ifndef STAVE_VERDICT_CARRY_H
#define STAVE_VERDICT_CARRY_H

#include "verdict/item.h"

struct carry {
    struct stave_carried *carried;
    size_t carried_count, carried_capacity;
    struct item *items; /* STAVE_EARLIER, in the order in which the findings were first met */
    size_t item_count, item_capacity;
    struct deadline_list running; /* of what no item stands for */
};

/* `items` are those of the record that is judged: findings, then answers. Those that have a
 * deadline that is not met get it added. */
void carry_make(struct arena *arena, const struct ready_book *ready, const struct history *history,
                struct item *items, struct carry *carry);

#endif
