#include "verdict/carry.h"

#include <string.h>

#include "base/text.h"

/* A deadline that an earlier inspection set. */
struct due {
    struct stave_deadline shown;
    struct dimension dimension;
    bool known;
    struct number left; /* at the inspection that is judged */
};

struct dues {
    struct due *items;
    size_t count, capacity;
};

struct carrying {
    struct arena *arena;
    const struct ready_book *ready;
    const struct history *history;
    struct item *items;
    struct carry *carry;
    struct deadline_list **findings, **answers; /* by inspection, by index */
};

/* ---- what each inspection set ------------------------------------------------------ */

static bool sets_deadlines(const struct book *book)
{
    for (uint32_t l = 0; l < book->limit_count; l++) {
        for (uint32_t r = 0; r < book->limits[l].rung_count; r++) {
            if (book->limits[l].rungs[r].deadline_count) {
                return true;
            }
        }
    }
    return false;
}

static void judge_inspection(struct carrying *carrying, uint32_t at, struct arena *work)
{
    const struct inspection *inspection = &carrying->history->inspections[at];
    const struct record *record = inspection->record;
    struct arena *arena = carrying->arena;
    struct finding **all = ARENA_ARRAY(work, struct finding *,
                                       (size_t)record->finding_count + record->answer_count);
    struct deadline_list **lists = ARENA_ARRAY(
        work, struct deadline_list *, (size_t)record->finding_count + record->answer_count);
    uint32_t count = 0;
    carrying->findings[at] = ARENA_ARRAY(arena, struct deadline_list, record->finding_count);
    carrying->answers[at] = ARENA_ARRAY(arena, struct deadline_list, record->answer_count);
    for (uint32_t i = 0; i < record->finding_count; i++) {
        lists[count] = &carrying->findings[at][i];
        all[count++] = inspection->findings[i];
    }
    for (uint32_t i = 0; i < record->answer_count; i++) {
        if (inspection->answers[i]) {
            lists[count] = &carrying->answers[at][i];
            all[count++] = inspection->answers[i];
        }
    }
    const struct company *company = company_make(work, carrying->ready->plan, all, count);
    for (uint32_t i = 0; i < count; i++) {
        struct arena_mark mark = arena_mark(work);
        struct judged judged = judged_make(work, carrying->ready, company, i, JUDGE_NO_NEEDS);
        deadlines_add(arena, lists[i], &judged, record);
        arena_release(work, mark);
    }
}

static void judge_earlier(struct carrying *carrying)
{
    uint32_t last = carrying->history->count - 1;
    struct arena *work = arena_beside(carrying->arena);
    carrying->findings = ARENA_ARRAY(carrying->arena, struct deadline_list *, last);
    carrying->answers = ARENA_ARRAY(carrying->arena, struct deadline_list *, last);
    for (uint32_t i = 0; i < last; i++) {
        struct arena_mark mark = arena_mark(work);
        judge_inspection(carrying, i, work);
        arena_release(work, mark);
    }
    arena_end(work);
}

/* ---- the deadlines of one thread ----------------------------------------------------- */

static void due_add(struct carrying *carrying, struct dues *dues, const struct due *due)
{
    for (size_t i = 0; i < dues->count; i++) {
        struct due *other = &dues->items[i];
        if (other->shown.look_again == due->shown.look_again && other->known == due->known &&
            dimension_equal(other->dimension, due->dimension)) {
            if (due->known && number_compare(carrying->arena, due->left, other->left) < 0) {
                *other = *due;
            }
            return;
        }
    }
    *ARENA_PUSH(carrying->arena, dues->items, dues->count, dues->capacity) = *due;
}

/* Adds what was set of a finding at one sight, "look again" or "act". */
static void dues_add(struct carrying *carrying, const struct thread *thread,
                     const struct sight *sight, bool look_again, struct dues *dues)
{
    struct arena *arena = carrying->arena;
    const struct deadline_list *list = thread->kind->is_check
                                           ? &carrying->answers[sight->inspection][sight->index]
                                           : &carrying->findings[sight->inspection][sight->index];
    const struct record *record = carrying->history->inspections[sight->inspection].record;
    for (size_t i = 0; i < list->count; i++) {
        if (list->items[i].look_again != look_again) {
            continue;
        }
        struct due due = {.shown = list->items[i], .dimension = list->dimensions[i]};
        due.known = deadline_left(arena, list->values[i], due.dimension, record,
                                  history_now(carrying->history), &due.left);
        due.shown.set = text_format(arena, "%s at %s", record->date, record->hours_text);
        due_add(carrying, dues, &due);
    }
}

/*
 * Nothing is left of it. A look is in time on the hour itself. An act that is due now leaves no
 * hour to fly; but of a day the whole day is left.
 */
static bool is_over(const struct due *due)
{
    bool wait = due->shown.look_again || due->dimension.days == 1;
    return wait ? number_sign(due->left) < 0 : number_sign(due->left) <= 0;
}

static void due_settle(struct carrying *carrying, struct due *due, bool done)
{
    struct arena *arena = carrying->arena;
    if (!due->known) {
        due->shown.state = STAVE_DUE_UNKNOWN;
        return;
    }
    bool late = number_sign(due->left) < 0;
    due->shown.state = done ? (late ? STAVE_DUE_LATE : STAVE_DUE_MET)
                            : (is_over(due) ? STAVE_DUE_OVERDUE : STAVE_DUE_RUNNING);
    due->shown.left = deadline_amount(arena, late ? number_negate(arena, due->left) : due->left,
                                      due->dimension, late ? NUMBER_UP : NUMBER_DOWN);
}

/* ---- one thread ------------------------------------------------------------------------ */

struct past {
    const struct sight *last; /* the last sight before the inspection that is judged, or NULL */
    const struct sight *now;
    bool repaired_now;
    bool open; /* a finding that is neither told of now nor repaired since it was last seen */
};

static struct past past_of(const struct carrying *carrying, const struct thread *thread)
{
    uint32_t last = carrying->history->count - 1;
    struct past past = {.repaired_now = thread->repaired_at == last};
    for (uint32_t i = 0; i < thread->sight_count; i++) {
        if (thread->sights[i].inspection == last) {
            past.now = &thread->sights[i];
        } else {
            past.last = &thread->sights[i];
        }
    }
    bool repaired = past.last && thread->repaired_at != HISTORY_NEVER &&
                    thread->repaired_at > past.last->inspection;
    past.open = past.last && !past.now && !repaired && !thread->kind->is_check;
    return past;
}

static void collect_dues(struct carrying *carrying, const struct thread *thread,
                         const struct past *past, struct dues *looks, struct dues *acts)
{
    uint32_t last = carrying->history->count - 1;
    uint32_t closed = thread->repaired_at < last ? thread->repaired_at : 0;
    for (uint32_t i = 0; i < thread->sight_count; i++) {
        const struct sight *sight = &thread->sights[i];
        if (sight->inspection == last || sight->inspection < closed) {
            continue;
        }
        dues_add(carrying, thread, sight, false, acts);
        if (sight == past->last) {
            dues_add(carrying, thread, sight, true, looks);
        }
    }
    for (size_t i = 0; i < looks->count; i++) {
        due_settle(carrying, &looks->items[i], past->now || past->repaired_now);
    }
    for (size_t i = 0; i < acts->count; i++) {
        due_settle(carrying, &acts->items[i], past->repaired_now);
    }
}

static const char *thread_part(struct carrying *carrying, const struct thread *thread)
{
    return finding_part_name(carrying->arena, thread->part, thread->instance);
}

static void carry_dues(struct carrying *carrying, const struct thread *thread,
                       const struct dues *dues, struct deadline_list *running)
{
    struct carry *carry = carrying->carry;
    for (size_t i = 0; i < dues->count; i++) {
        const struct due *due = &dues->items[i];
        *ARENA_PUSH(carrying->arena, carry->carried, carry->carried_count,
                    carry->carried_capacity) = (struct stave_carried){
            .id = thread->id ? thread->id : "",
            .part = thread_part(carrying, thread),
            .kind = thread->kind->name,
            .deadline = due->shown,
        };
        if (due->shown.state == STAVE_DUE_RUNNING || due->shown.state == STAVE_DUE_OVERDUE) {
            deadlines_add_one(carrying->arena, running, &due->shown, due->left, due->dimension);
        }
    }
}

/* ---- items ------------------------------------------------------------------------------- */

/* What is to be said of a deadline that is overdue, or of which that is not known. */
static const char *due_text(struct carrying *carrying, const struct due *due)
{
    const char *what = due->shown.look_again ? "look again" : "act";
    if (due->shown.state == STAVE_DUE_UNKNOWN) {
        return text_format(carrying->arena,
                           "%s within %s, set %s: whether it is due is not known without 'cycles' "
                           "in both records",
                           what, due->shown.within, due->shown.set);
    }
    bool now = number_sign(due->left) == 0;
    return text_format(carrying->arena, "%s within %s, set %s, due by %s: %s%s%s", what,
                       due->shown.within, due->shown.set, due->shown.due ? due->shown.due : "then",
                       due->shown.look_again ? "not made, " : "",
                       now ? "nothing is left" : "overdue by ", now ? "" : due->shown.left);
}

/* Of the first that is in one of two states; "": none is. */
static const char *first_due(struct carrying *carrying, const struct dues *dues,
                             enum stave_due state, enum stave_due or_state)
{
    for (size_t i = 0; i < dues->count; i++) {
        if (dues->items[i].shown.state == state || dues->items[i].shown.state == or_state) {
            return due_text(carrying, &dues->items[i]);
        }
    }
    return "";
}

/* A look at a check that nobody made, the part being off or not asked about: of a finding, past->open
 * says it. */
static const char *unmade_text(struct carrying *carrying, const struct past *past,
                               const struct dues *looks)
{
    return past->now || past->repaired_now
               ? ""
               : first_due(carrying, looks, STAVE_DUE_OVERDUE, STAVE_DUE_UNKNOWN);
}

static struct item earlier_item(struct carrying *carrying, const struct thread *thread,
                                const struct finding *finding)
{
    return (struct item){
        .part = thread->part,
        .instance = thread->instance,
        .shown = {
            .item = STAVE_EARLIER,
            .id = thread->id ? thread->id : "",
            .part = thread_part(carrying, thread),
            .kind = thread->kind->name,
            .text = finding->text,
            .remark = finding->remark,
            .record_line = span_line(carrying->arena, finding->span),
            .guarded_outcome = -1,
            .why_incomplete = "",
            .why_overdue = "",
            .by_model = "",
            .uncovered = "",
            .seen = STAVE_SEEN_BEFORE,
            .outline_part = thread->part->index,
            .outline_kind = thread->kind->index,
            .instance = thread->instance,
        },
    };
}

/* What keeps the propeller from flying, or from being known, besides what was found now. */
static void add_item(struct carrying *carrying, const struct thread *thread,
                     const struct past *past, const struct dues *looks, const struct dues *acts,
                     const struct deadline_list *running)
{
    const struct book *book = carrying->ready->book;
    struct carry *carry = carrying->carry;
    struct item item = earlier_item(carrying, thread, past->last->typed);
    uint32_t *possible = ARENA_NEW(carrying->arena, uint32_t);
    const char *unmade = unmade_text(carrying, past, looks);
    item.shown.why_overdue = first_due(carrying, acts, STAVE_DUE_OVERDUE, STAVE_DUE_OVERDUE);
    item.shown.why_incomplete = past->open ? "not found again, and not said to be repaired"
                                : unmade[0] ? unmade
                                : past->repaired_now ? ""
                                                     : first_due(carrying, acts, STAVE_DUE_UNKNOWN, STAVE_DUE_UNKNOWN);
    if (!item.shown.why_overdue[0] && !item.shown.why_incomplete[0]) {
        return;
    }
    item.action = past->open ? "look for it; then record it again, or say under 'repaired' what "
                               "became of it"
                  : unmade[0] && !item.shown.why_overdue[0]
                      ? "make the check, or say under 'repaired' what became of it"
                  : item.shown.why_overdue[0]
                      ? "act on it before further flight, and say under 'repaired' what was done"
                      : "give the cycles of both inspections, or act on it and say under "
                        "'repaired' what was done";
    item.best = item.shown.why_overdue[0] ? book->no_published_limit : 0;
    item.shown.outcome = *possible =
        item.shown.why_incomplete[0] ? book->incomplete : book->no_published_limit;
    item.shown.possible = possible;
    item.shown.possible_count = 1;
    item.deadlines = *running;
    item.shown.deadlines = running->items;
    item.shown.deadline_count = running->count;
    *ARENA_PUSH(carrying->arena, carry->items, carry->item_count, carry->item_capacity) = item;
}

/* The item that stands for a sight now; answers come after all findings. */
static struct item *item_of(struct carrying *carrying, const struct thread *thread,
                            const struct sight *now)
{
    uint32_t before = thread->kind->is_check ? history_now(carrying->history)->finding_count : 0;
    return &carrying->items[before + now->index];
}

static void carry_thread(struct carrying *carrying, const struct thread *thread)
{
    struct past past = past_of(carrying, thread);
    struct dues looks = {0}, acts = {0};
    struct deadline_list running = {0};
    if (!past.last) {
        return;
    }
    if (carrying->findings) {
        collect_dues(carrying, thread, &past, &looks, &acts);
    }
    carry_dues(carrying, thread, &acts, &running);
    carry_dues(carrying, thread, &looks, &running);
    size_t items_before = carrying->carry->item_count;
    add_item(carrying, thread, &past, &looks, &acts,
             past.now ? &(struct deadline_list){0} : &running);
    if (past.now) {
        struct item *item = item_of(carrying, thread, past.now);
        item->outrun = carrying->carry->item_count > items_before;
        deadlines_join(carrying->arena, &item->deadlines, &running);
        item->shown.deadlines = item->deadlines.items;
        item->shown.deadline_count = item->deadlines.count;
    } else {
        deadlines_join(carrying->arena, &carrying->carry->running, &running);
    }
}

void carry_make(struct arena *arena, const struct ready_book *ready, const struct history *history,
                struct item *items, struct carry *carry)
{
    struct carrying carrying = {
        .arena = arena, .ready = ready, .history = history, .items = items, .carry = carry};
    *carry = (struct carry){0};
    if (sets_deadlines(ready->book)) {
        judge_earlier(&carrying);
    }
    for (uint32_t i = 0; i < history->thread_count; i++) {
        carry_thread(&carrying, &history->threads[i]);
    }
}
