/*
 * records -> history: the inspections of one propeller in their order, and every finding followed
 * through them by its id.
 *
 * Takes records without errors of one book: earlier ones in any order, and the one that is
 * judged, which must not be before any of them. Gives for each inspection its findings and answers
 * with `earlier`, `first` and `seen` set by those before it. What cannot all be true is an error,
 * and then the history is not used: another propeller, model or number of parts; hours, dates or
 * cycles that go back, or an order that cannot be told; an id that stands for another part, kind or
 * place, that was given by place in a list, or whose line contradicts what was read before.
 *
 * Damage does not shrink. A reading that is better than the one before beyond doubt, by more than
 * the step that it is read to, is a warning, and counts as anything between the two until two
 * inspections agree or the record says that it was repaired. A reading or a place that is missing or
 * more doubtful than one before it settles nothing: what comes after is held against the firmer one.
 *
 * What was read when it was first seen is known where the first record that has it also
 * knows it to be new. Else it was no worse than what that record read, and may have been anything
 * better: who gives only the last record does not hide what grew before it.
 *
 * All memory is the arena's; the records must outlive the history.
 */
#ifndef STAVE_HISTORY_HISTORY_H
#define STAVE_HISTORY_HISTORY_H

#include "record/record.h"

#define HISTORY_NEVER UINT32_MAX
#define HISTORY_RECORDS 1000u /* earlier records of one history */

/* A finding, or an answer to a check, in one of the inspections. */
struct sight {
    uint32_t inspection; /* index */
    uint32_t index;      /* among its findings, or its answers */
    struct finding *finding;
    const struct finding *typed;
};

/* One id, or one check on one part, through all inspections. */
struct thread {
    const char *id; /* NULL for a check */
    const struct kind *kind;
    const struct part *part;
    uint32_t instance;
    struct sight *sights; /* oldest first; none where a check was never answered */
    uint32_t sight_count;
    size_t sight_capacity;
    struct reading *first; /* as finding.h has it, with what is not sure as a range */
    bool *first_sure;      /* by record */
    /* What later readings and places are held against: not always those of the last sight. */
    const struct finding **firm;   /* by record, since it began or was repaired; NULL: none given */
    const struct finding **placed; /* by axis; then for the side, then for the named place */
    uint32_t repaired_at;          /* the last inspection that says so, or HISTORY_NEVER */
};

struct inspection {
    const struct record *record;
    struct finding **findings; /* as many as the record has */
    struct finding **answers;  /* by answer; NULL where there is no finding */
};

struct history {
    struct problems problems;
    struct inspection *inspections; /* oldest first; the last is the one that is judged */
    uint32_t count;
    struct thread *threads; /* in the order in which they were first met */
    uint32_t thread_count;
    struct thread **by_id; /* a table by hash */
    uint32_t places;       /* a power of two */
    uint32_t *check_threads; /* the threads of checks, by index */
    uint32_t check_thread_count;
    size_t check_thread_capacity;
};

struct history *history_make(struct arena *arena, const struct record *record,
                             const struct record *const *earlier, uint32_t earlier_count);

/* The record that is judged. */
const struct record *history_now(const struct history *history);

/* The thread of a finding's id, or NULL. */
const struct thread *history_find(const struct history *history, const char *id);

/* ---- inside src/history ------------------------------------------------------------- */

/* Holds each inspection against the one before it. False with errors (order.c). */
bool order_make(struct arena *arena, struct history *history);
/* Where the place of `now` contradicts one before it; false with an error. Else takes it into
 * `placed`, which has two more entries than its part has axes (agree.c). */
bool agree_place(struct arena *arena, struct problems *problems, const struct finding **placed,
                 const struct finding *before, const struct finding *now);
/* Takes the place of a thread's first finding. */
void place_begin(const struct finding **placed, const struct finding *now);
/* Widens what got better beyond doubt than `firm`, by record; tells of it where `tell`. Then
 * takes what is firm of `now`. */
void agree_readings(struct arena *arena, struct problems *problems, const struct finding **firm,
                    struct finding *now, bool tell);

#endif
