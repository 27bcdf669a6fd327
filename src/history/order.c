/* The inspections in their order, and what all of them have to agree on. */
#include <string.h>

#include "base/text.h"
#include "history/history.h"

/* Nothing tells which of the two came first. */
static bool same_moment(const struct record *a, const struct record *b)
{
    return number_equal(a->hours, b->hours) && strcmp(a->date, b->date) == 0 &&
           !(a->has_cycles && b->has_cycles && !number_equal(a->cycles, b->cycles));
}

/* ---- what goes back -------------------------------------------------------------------- */

static void goes_back(struct history *history, const char *what, struct span at, struct span before)
{
    struct stave_problem *problem = problem_add(&history->problems, STAVE_ERROR, "goes-back", at,
                                                "%s go back from one inspection to the next", what);
    problem_second(problem, &history->problems, before, "at the inspection before");
    problem_help(problem, &history->problems,
                 "one of the two is mistyped, or the records are not given as they belong");
}

static void hold_order(struct arena *arena, struct history *history, const struct record *before,
                       const struct record *now, bool last)
{
    bool same = same_moment(before, now);
    if (number_compare(arena, now->hours, before->hours) < 0) {
        goes_back(history, "hours", now->at.hours, before->at.hours);
    } else if (strcmp(now->date, before->date) < 0) {
        goes_back(history, "dates", now->at.date, before->at.date);
    } else if (same && strcmp(now->source->sha256, before->source->sha256) == 0) {
        struct stave_problem *problem =
            problem_add(&history->problems, STAVE_ERROR, "given-twice", now->at.date,
                        "the same record is given twice");
        problem_second(problem, &history->problems, before->at.date, "here too");
        problem_help(problem, &history->problems, "give each record once");
    } else if (same && !last) {
        struct stave_problem *problem =
            problem_add(&history->problems, STAVE_ERROR, "order-unknown", now->at.hours,
                        "two earlier records of one day and the same hours: which came first "
                        "cannot be told");
        problem_second(problem, &history->problems, before->at.hours, "the other one");
        problem_help(problem, &history->problems,
                     "add 'cycles' to both where they differ, or give one of the two alone");
    }
}

/* Cycles are held against the newest record that has them, as not every one does. */
static void hold_cycles(struct arena *arena, struct history *history)
{
    const struct record *counted = NULL;
    for (uint32_t i = 0; i < history->count; i++) {
        const struct record *record = history->inspections[i].record;
        if (!record->has_cycles) {
            continue;
        }
        if (counted && number_compare(arena, record->cycles, counted->cycles) < 0) {
            goes_back(history, "cycles", record->at.cycles, counted->at.cycles);
        }
        counted = record;
    }
}

/* ---- what stays -------------------------------------------------------------------------- */

static void differs(struct history *history, const char *what, struct span at, struct span before)
{
    struct stave_problem *problem =
        problem_add(&history->problems, STAVE_ERROR, "other-propeller", at,
                    "the records do not agree on the %s", what);
    problem_second(problem, &history->problems, before, "in the earlier record");
    problem_help(problem, &history->problems, "give records of one propeller");
}

static void hold_same(struct history *history, const struct record *before,
                      const struct record *now)
{
    if (strcmp(before->propeller, now->propeller) != 0) {
        differs(history, "propeller", now->at.propeller, before->at.propeller);
        return;
    }
    if (strcmp(before->model, now->model) != 0) {
        differs(history, "model", now->at.model, before->at.model);
        return;
    }
    if (before->model_open || now->model_open) {
        const struct record *open = now->model_open ? now : before;
        problem_help(problem_add(&history->problems, STAVE_ERROR, "open-model", open->at.model,
                                 "the model of this record is open: %s", open->open_why),
                     &history->problems, "record what tells: a history is of one model");
        return;
    }
    if (before->book != now->book) {
        differs(history, "model of the book that applies", now->at.model, before->at.model);
        return;
    }
    for (uint32_t i = 0; i < now->book->part_count; i++) {
        const struct part *part = &now->book->parts[i];
        if (part->count == PART_COUNTED && before->instances[i] != now->instances[i]) {
            differs(history, text_format(history->problems.arena, "number of '%s'", part->name),
                    now->at.counts[i], before->at.counts[i]);
        }
    }
}

/* Facts are held against every record before, as one may leave open what others say. */
static void hold_facts(struct history *history, uint32_t at)
{
    const struct record *now = history->inspections[at].record;
    for (uint32_t f = 0; now->family && f < now->family->fact_count; f++) {
        const struct fact *fact = &now->family->facts[f];
        for (uint32_t i = at; !now->facts[f].all && i-- > 0;) {
            const struct record *before = history->inspections[i].record;
            if (!fact_sets_meet(fact, &before->facts[f], &now->facts[f])) {
                differs(history, text_format(history->problems.arena, "fact '%s'", fact->name),
                        now->at.facts[f], before->at.facts[f]);
                break;
            }
        }
    }
}

static void sort(struct arena *arena, struct inspection *inspections, uint32_t count)
{
    for (uint32_t i = 1; i < count; i++) {
        struct inspection moved = inspections[i];
        uint32_t to = i;
        for (; to > 0; to--) {
            const struct record *before = inspections[to - 1].record;
            int hours = number_compare(arena, before->hours, moved.record->hours);
            int dates = strcmp(before->date, moved.record->date);
            int cycles = before->has_cycles && moved.record->has_cycles
                             ? number_compare(arena, before->cycles, moved.record->cycles)
                             : 0;
            if ((hours ? hours : dates ? dates : cycles) <= 0) {
                break;
            }
            inspections[to] = inspections[to - 1];
        }
        inspections[to] = moved;
    }
}

bool order_make(struct arena *arena, struct history *history)
{
    struct inspection *inspections = history->inspections;
    uint32_t last = history->count - 1;
    sort(arena, inspections, last);
    for (uint32_t i = 1; i <= last; i++) {
        hold_same(history, inspections[i - 1].record, inspections[i].record);
        if (!history->problems.error_count) {
            hold_facts(history, i);
        }
        if (!history->problems.error_count) {
            hold_order(arena, history, inspections[i - 1].record, inspections[i].record, i == last);
        }
    }
    if (!history->problems.error_count) {
        hold_cycles(arena, history);
    }
    return !history->problems.error_count;
}
