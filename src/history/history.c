/* Every finding followed through the inspections by its id. */
#include "history/history.h"

#include <string.h>

#include "base/text.h"

struct pairing {
    struct arena *arena;
    struct history *history;
    uint32_t at; /* the inspection whose findings are paired */
};

static bool is_last(const struct pairing *pairing)
{
    return pairing->at + 1 == pairing->history->count;
}

const struct record *history_now(const struct history *history)
{
    return history->inspections[history->count - 1].record;
}

/* ---- threads -------------------------------------------------------------------------- */

static struct thread **id_place(const struct history *history, const char *id)
{
    uint32_t place = 2166136261u;
    for (const char *byte = id; *byte; byte++) {
        place = (place ^ (unsigned char)*byte) * 16777619u;
    }
    for (place &= history->places - 1; history->by_id[place];
         place = (place + 1) & (history->places - 1)) {
        if (strcmp(history->by_id[place]->id, id) == 0) {
            break;
        }
    }
    return &history->by_id[place];
}

const struct thread *history_find(const struct history *history, const char *id)
{
    return *id_place(history, id);
}

static struct thread *thread_new(struct pairing *pairing, const struct finding *finding,
                                 const char *id)
{
    struct history *history = pairing->history;
    struct thread *thread = &history->threads[history->thread_count++];
    *thread = (struct thread){
        .id = id,
        .kind = finding->kind,
        .part = finding->part,
        .instance = finding->instance,
        .placed = ARENA_ARRAY(pairing->arena, const struct finding *,
                              (size_t)finding->part->axis_count + 2),
        .repaired_at = HISTORY_NEVER,
    };
    place_begin(thread->placed, finding);
    return thread;
}

static uint32_t number_of(uint32_t instance)
{
    return instance ? instance : 1; /* "spinner" and "spinner 1" */
}

/* ---- what was read before ---------------------------------------------------------------- */

/* All that a reading may be: where nothing was read. */
static struct reading anything(const struct recorded *recorded)
{
    struct reading reading = {.low = NUMBER_ZERO, .high = NUMBER_ZERO, .middle = NUMBER_ZERO};
    if (recorded->measure) {
        reading.low = reading.middle = recorded->measure->from;
        reading.high = recorded->measure->to;
        reading.unit = recorded->measure->unit;
    }
    return reading;
}

/* No worse than what was read later. */
static struct reading no_worse(const struct recorded *recorded, const struct reading *later)
{
    struct reading reading = anything(recorded);
    if (!recorded->measure || later->given == GIVEN_NOT) {
        return reading;
    }
    reading.given = GIVEN_RANGE;
    reading.unit = later->unit;
    if (recorded->measure->smaller_is_worse) {
        reading.low = reading.middle = later->low;
    } else {
        reading.high = later->high;
    }
    return reading;
}

/* What a thread takes for its first reading from an inspection before which nothing is known. */
static void take_first(struct pairing *pairing, struct thread *thread,
                       const struct finding *finding)
{
    const struct kind *kind = finding->kind;
    thread->first = ARENA_ARRAY(pairing->arena, struct reading, kind->record_count);
    thread->first_sure = ARENA_ARRAY(pairing->arena, bool, kind->record_count);
    for (uint32_t r = 0; r < kind->record_count; r++) {
        const struct reading *typed = finding->first ? &finding->first[r] : NULL;
        if (typed && typed->given != GIVEN_NOT) {
            thread->first[r] = *typed;
            thread->first_sure[r] = true;
        } else if (finding->seen == SEEN_NEW) {
            thread->first[r] = finding->readings[r];
            thread->first_sure[r] = true;
        } else {
            thread->first[r] = no_worse(&kind->records[r], &finding->readings[r]);
        }
    }
}

static void begin_first(struct pairing *pairing, struct thread *thread, struct finding *finding)
{
    thread->firm = ARENA_ARRAY(pairing->arena, const struct finding *, finding->kind->record_count);
    agree_readings(pairing->arena, &pairing->history->problems, thread->firm, finding, false);
    take_first(pairing, thread, finding);
}

/* A check of a part that may have been off, or may be another, since it was last seen: it has grown by nobody
 * knows what, but a reading that is better now is still not taken for a repair. */
static void go_on_unsure(struct pairing *pairing, struct thread *thread, struct finding *finding)
{
    agree_readings(pairing->arena, &pairing->history->problems, thread->firm, finding,
                   is_last(pairing));
    take_first(pairing, thread, finding);
}

static void contradicts(struct pairing *pairing, const struct finding *finding, const char *message,
                        struct span at, struct span before)
{
    struct problems *problems = &pairing->history->problems;
    struct stave_problem *problem = problem_add(
        problems, STAVE_ERROR, "contradicts", at, "%s of '%s' is not what the %s", message,
        finding->id[0] ? finding->id : finding->kind->name, "earlier record says");
    problem_second(problem, problems, before, "read then");
    problem_help(problem, problems, "leave it out: it is taken from the earlier record");
}

static bool same_reading(const struct reading *a, const struct reading *b)
{
    return a->given != GIVEN_NOT && b->given != GIVEN_NOT && number_equal(a->low, b->low) &&
           number_equal(a->high, b->high);
}

/* `was` and `first` in a line say no other than the records before it. */
static bool agree_before(struct pairing *pairing, struct thread *thread,
                         const struct finding *finding)
{
    const struct sight *last = &thread->sights[thread->sight_count - 1];
    bool good = true;
    for (uint32_t r = 0; r < finding->kind->record_count; r++) {
        const char *name = finding->kind->records[r].name;
        const struct reading *was = finding->earlier ? &finding->earlier[r] : NULL;
        const struct reading *first = finding->first ? &finding->first[r] : NULL;
        if (was && was->given != GIVEN_NOT && !same_reading(was, &last->typed->readings[r])) {
            contradicts(pairing, finding, text_format(pairing->arena, "'was %s'", name), was->span,
                        last->typed->span);
            good = false;
        }
        if (!first || first->given == GIVEN_NOT) {
            continue;
        }
        const struct measure *measure = finding->kind->records[r].measure;
        const struct reading *known = &thread->first[r];
        bool agrees = thread->first_sure[r] ? same_reading(first, known)
                      : measure->smaller_is_worse
                          ? number_compare(pairing->arena, first->high, known->low) >= 0
                          : number_compare(pairing->arena, first->low, known->high) <= 0;
        if (!agrees) {
            contradicts(pairing, finding, text_format(pairing->arena, "'first %s'", name),
                        first->span, thread->sights[0].typed->span);
            good = false;
        } else {
            thread->first[r] = *first;
            thread->first_sure[r] = true;
        }
    }
    return good;
}

/* ---- one finding --------------------------------------------------------------------------- */

static void sight_add(struct pairing *pairing, struct thread *thread, uint32_t index,
                      struct finding *finding, const struct finding *typed)
{
    *ARENA_PUSH(pairing->arena, thread->sights, thread->sight_count, thread->sight_capacity) =
        (struct sight){pairing->at, index, finding, typed};
}

/* May the part not have been fitted then? What is there now may be another, or was away. */
static bool was_off(const struct record *record, const struct finding *finding)
{
    uint32_t part = finding->part->index;
    return !record->fitted_known[part] ||
           !(record->fitted[part] >> (number_of(finding->instance) - 1) & 1);
}

/* ... at an inspection after the last sight of a thread? */
static bool was_off_since(const struct pairing *pairing, const struct thread *thread)
{
    const struct sight *last = &thread->sights[thread->sight_count - 1];
    for (uint32_t i = last->inspection + 1; i < pairing->at; i++) {
        if (was_off(pairing->history->inspections[i].record, last->typed)) {
            return true;
        }
    }
    return false;
}

/* The newest inspection before this one in which the part was searched and since which it was not away, or
 * HISTORY_NEVER. */
static uint32_t searched_before(const struct pairing *pairing, const struct finding *finding)
{
    for (uint32_t i = pairing->at; i-- > 0;) {
        const struct record *record = pairing->history->inspections[i].record;
        if (was_off(record, finding)) {
            return HISTORY_NEVER;
        }
        for (uint32_t a = 0; a < record->answer_count; a++) {
            const struct answer *answer = &record->answers[a];
            if (!answer->check && answer->part == finding->part && answer->given &&
                number_of(answer->instance) == number_of(finding->instance)) {
                return i;
            }
        }
    }
    return HISTORY_NEVER;
}

/* A finding that no earlier record has. */
static void take_new(struct pairing *pairing, struct finding *finding)
{
    uint32_t searched = searched_before(pairing, finding);
    struct problems *problems = &pairing->history->problems;
    if (searched == HISTORY_NEVER) {
        return;
    }
    if (finding->seen == SEEN_UNKNOWN) {
        finding->seen = SEEN_NEW;
    } else if (finding->seen == SEEN_BEFORE && searched + 1 == pairing->at) {
        const struct record *before = pairing->history->inspections[searched].record;
        struct stave_problem *problem =
            problem_add(problems, STAVE_ERROR, "contradicts", finding->span,
                        "'%s' was there before, it says, but the record before it does not have it",
                        finding->id);
        problem_second(problem, problems, before->at.date, "the part was searched then");
        problem_help(problem, problems,
                     "write the id that it had then, or leave out what was read");
    }
}

static bool same_damage(struct pairing *pairing, const struct thread *thread,
                        const struct finding *finding)
{
    const struct finding *before = thread->sights[thread->sight_count - 1].typed;
    struct problems *problems = &pairing->history->problems;
    const char *fault = NULL;
    struct stave_problem *problem;
    if (finding->kind != thread->kind) {
        fault = "of another kind";
    } else if (finding->part != thread->part ||
               number_of(finding->instance) != number_of(thread->instance)) {
        fault = "on another part";
    }
    if (!finding->id_typed) {
        problem = problem_add(problems, STAVE_ERROR, "no-id", finding->span,
                              "is this the '%s' of the earlier record? It has that id by its place "
                              "in the list only",
                              finding->id);
        problem_second(problem, problems, before->span, "the '%s' of then", finding->id);
        problem_help(problem, problems, "write '- %s: ...' where it is the same, else another id",
                     finding->id);
        return false;
    }
    if (fault) {
        problem = problem_add(problems, STAVE_ERROR, "other-damage", finding->span,
                              "'%s' is %s than before", finding->id, fault);
        problem_second(problem, problems, before->span, "it was this");
        problem_help(problem, problems, "other damage has an id of its own");
        return false;
    }
    return agree_place(pairing->arena, problems, thread->placed, before, finding);
}

static void say_not_new(struct pairing *pairing, const struct thread *thread,
                        const struct finding *finding)
{
    struct problems *problems = &pairing->history->problems;
    struct stave_problem *problem =
        problem_add(problems, STAVE_ERROR, "contradicts", finding->span,
                    "'%s' is said to be new, but an earlier record has it", finding->id);
    problem_second(problem, problems, thread->sights[thread->sight_count - 1].typed->span,
                   "it was there");
    problem_help(problem, problems, "leave out 'new', or give it an id of its own");
}

static void pair(struct pairing *pairing, struct thread *thread, struct finding *finding,
                 const struct finding *typed)
{
    const struct sight *last = &thread->sights[thread->sight_count - 1];
    if (!finding->kind->is_check) {
        if (!same_damage(pairing, thread, typed)) {
            return;
        }
        if (finding->seen == SEEN_NEW) {
            say_not_new(pairing, thread, finding);
            return;
        }
    }
    if (!agree_before(pairing, thread, finding)) {
        return;
    }
    agree_readings(pairing->arena, &pairing->history->problems, thread->firm, finding,
                   is_last(pairing));
    finding->earlier = last->finding->readings;
    finding->first = ARENA_ARRAY(pairing->arena, struct reading, finding->kind->record_count);
    memcpy(finding->first, thread->first, finding->kind->record_count * sizeof *finding->first);
    finding->seen = SEEN_BEFORE;
}

/* It was repaired since it was last seen: what was read before is no measure of what is now. */
static bool begins_again(const struct pairing *pairing, const struct thread *thread)
{
    return thread->repaired_at != HISTORY_NEVER &&
           (thread->repaired_at == pairing->at ||
            thread->repaired_at > thread->sights[thread->sight_count - 1].inspection);
}

static void found_again(struct pairing *pairing, const struct thread *thread,
                        const struct finding *finding)
{
    struct problems *problems = &pairing->history->problems;
    if (thread->repaired_at == pairing->at || !is_last(pairing)) {
        return;
    }
    struct stave_problem *problem =
        problem_add(problems, STAVE_WARNING, "found-again", finding->span,
                    "'%s' was repaired, and is found again", finding->id);
    const struct record *record = pairing->history->inspections[thread->repaired_at].record;
    for (uint32_t i = 0; i < record->repaired_count; i++) {
        if (record->repaired[i].id && strcmp(record->repaired[i].id, finding->id) == 0) {
            problem_second(problem, problems, record->repaired[i].span, "repaired");
        }
    }
    problem_help(problem, problems, "nothing that was read before the repair is held against it");
}

static struct finding *copy_of(struct pairing *pairing, const struct finding *typed)
{
    struct finding *finding = ARENA_NEW(pairing->arena, struct finding);
    *finding = *typed;
    return finding;
}

static struct finding *finding_take(struct pairing *pairing, uint32_t index,
                                    const struct finding *typed)
{
    struct finding *finding = copy_of(pairing, typed);
    struct thread **place = id_place(pairing->history, typed->id);
    if (!*place) {
        take_new(pairing, finding);
        *place = thread_new(pairing, typed, typed->id);
        begin_first(pairing, *place, finding);
    } else if (begins_again(pairing, *place)) {
        if (same_damage(pairing, *place, typed)) {
            found_again(pairing, *place, finding);
            begin_first(pairing, *place, finding);
        }
    } else {
        pair(pairing, *place, finding, typed);
    }
    sight_add(pairing, *place, index, finding, typed);
    return finding;
}

/* ---- checks ---------------------------------------------------------------------------- */

static struct thread *check_thread(const struct history *history, const struct kind *check,
                                   const struct part *part, uint32_t instance)
{
    for (uint32_t i = 0; i < history->check_thread_count; i++) {
        struct thread *thread = &history->threads[history->check_threads[i]];
        if (thread->kind == check && thread->part == part &&
            number_of(thread->instance) == number_of(instance)) {
            return thread;
        }
    }
    return NULL;
}

static struct finding *answer_take(struct pairing *pairing, uint32_t index,
                                   const struct finding *typed)
{
    struct history *history = pairing->history;
    struct finding *finding = copy_of(pairing, typed);
    struct thread *thread = check_thread(history, typed->kind, typed->part, typed->instance);
    if (!thread) {
        *ARENA_PUSH(pairing->arena, history->check_threads, history->check_thread_count,
                    history->check_thread_capacity) = history->thread_count;
        thread = thread_new(pairing, typed, NULL);
        begin_first(pairing, thread, finding);
    } else if (begins_again(pairing, thread)) {
        begin_first(pairing, thread, finding);
    } else if (was_off_since(pairing, thread)) {
        go_on_unsure(pairing, thread, finding);
    } else {
        pair(pairing, thread, finding, typed);
    }
    sight_add(pairing, thread, index, finding, typed);
    return finding;
}

/* ---- one inspection ---------------------------------------------------------------------- */

static void unknown_repair(struct pairing *pairing, const struct repaired *repaired)
{
    struct problems *problems = &pairing->history->problems;
    if (pairing->at == 0 || !is_last(pairing)) {
        return; /* it may be in a record that was not given */
    }
    problem_help(problem_add(problems, STAVE_WARNING, "unknown-id", repaired->span,
                             "no earlier record has '%s'", repaired->text),
                 problems, "look at how it is written there, or give the record that has it");
}

static void take_repaired(struct pairing *pairing, const struct record *record)
{
    for (uint32_t i = 0; i < record->repaired_count; i++) {
        const struct repaired *repaired = &record->repaired[i];
        struct thread *thread = repaired->id ? *id_place(pairing->history, repaired->id)
                                             : check_thread(pairing->history, repaired->check,
                                                            repaired->part, repaired->instance);
        if (thread) {
            thread->repaired_at = pairing->at;
        } else {
            unknown_repair(pairing, repaired);
        }
    }
}

static void take_inspection(struct pairing *pairing)
{
    struct inspection *inspection = &pairing->history->inspections[pairing->at];
    const struct record *record = inspection->record;
    inspection->findings = ARENA_ARRAY(pairing->arena, struct finding *, record->finding_count);
    inspection->answers = ARENA_ARRAY(pairing->arena, struct finding *, record->answer_count);
    take_repaired(pairing, record);
    for (uint32_t i = 0; i < record->finding_count; i++) {
        inspection->findings[i] = finding_take(pairing, i, record->findings[i]);
    }
    for (uint32_t i = 0; i < record->answer_count; i++) {
        if (record->answers[i].finding) {
            inspection->answers[i] = answer_take(pairing, i, record->answers[i].finding);
        }
    }
}

/* Room for all threads at once, so that none moves. */
static void make_room(struct arena *arena, struct history *history)
{
    size_t findings = 0, answers = 0;
    for (uint32_t i = 0; i < history->count; i++) {
        findings += history->inspections[i].record->finding_count;
        answers += history->inspections[i].record->answer_count;
    }
    history->threads = ARENA_ARRAY(arena, struct thread, findings + answers);
    for (history->places = 2; history->places < 2 * findings + 2; history->places *= 2) {
    }
    history->by_id = ARENA_ARRAY(arena, struct thread *, history->places);
}

struct history *history_make(struct arena *arena, const struct record *record,
                             const struct record *const *earlier, uint32_t earlier_count)
{
    struct history *history = ARENA_NEW(arena, struct history);
    problems_begin(&history->problems, arena);
    history->count = earlier_count + 1;
    history->inspections = ARENA_ARRAY(arena, struct inspection, history->count);
    for (uint32_t i = 0; i < earlier_count; i++) {
        history->inspections[i].record = earlier[i];
    }
    history->inspections[earlier_count].record = record;
    if (!order_make(arena, history)) {
        return history;
    }
    make_room(arena, history);
    struct pairing pairing = {.arena = arena, .history = history};
    for (; pairing.at < history->count; pairing.at++) {
        take_inspection(&pairing);
    }
    return history;
}
