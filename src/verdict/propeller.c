/* The propeller's verdict: the worst of all items, and what follows from it. */
#include <string.h>

#include "base/text.h"
#include "verdict/carry.h"

static const char *const library_cautions[] = {
    "This is an aid. The approved data for the propeller and local rules govern, whatever it says.",
    "A licensed person decides on the return to service and signs for it.",
};

const char *const *verdict_cautions(size_t *count)
{
    *count = sizeof library_cautions / sizeof *library_cautions;
    return library_cautions;
}

struct workshop {
    struct arena *arena;
    struct arena *keep; /* the company, until the verdict is made */
    struct arena *work; /* one judgement */
    const struct ready_book *ready;
    const struct record *record;
    const struct history *history; /* NULL: the record alone */
    struct carry carry;
    struct item *items;
    size_t count;
    /* The worst outcomes that items are sure to reach, the second without the first's item. */
    uint32_t worst_best, second_best;
    size_t worst_item;
};

/* All that was found or answered, in the order of the items. */
static const struct company *gather(const struct workshop *shop)
{
    const struct record *record = shop->record;
    struct finding **findings = ARENA_ARRAY(shop->keep, struct finding *,
                                            (size_t)record->finding_count + record->answer_count);
    const struct inspection *now =
        shop->history ? &shop->history->inspections[shop->history->count - 1] : NULL;
    uint32_t count = 0;
    for (uint32_t i = 0; i < record->finding_count; i++) {
        findings[count++] = now ? now->findings[i] : record->findings[i];
    }
    for (uint32_t i = 0; i < record->answer_count; i++) {
        if (record->answers[i].finding) {
            findings[count++] = now ? now->answers[i] : record->answers[i].finding;
        }
    }
    return company_make(shop->keep, shop->ready->plan, findings, count);
}

static struct item judge_one(struct workshop *shop, const struct company *company, uint32_t index)
{
    struct arena_mark mark = arena_mark(shop->work);
    struct item item =
        item_judge(shop->arena, shop->work, shop->ready, shop->record, company, index);
    arena_release(shop->work, mark);
    return item;
}

static void add_open_model(struct workshop *shop)
{
    if (shop->record->model_open) {
        shop->items = arena_grow_array(shop->keep, shop->items, shop->count, shop->count + 1,
                                       sizeof *shop->items);
        shop->items[shop->count++] = item_open_model(shop->arena, shop->ready, shop->record);
    }
}

static void collect_items(struct workshop *shop)
{
    const struct record *record = shop->record;
    const struct company *company = gather(shop);
    uint32_t next = record->finding_count;
    shop->items = ARENA_ARRAY(shop->keep, struct item,
                              (size_t)record->finding_count + record->answer_count);
    for (uint32_t i = 0; i < record->finding_count; i++) {
        shop->items[shop->count++] =
            judge_one(shop, company, i);
    }
    for (uint32_t i = 0; i < record->answer_count; i++) {
        const struct answer *answer = &record->answers[i];
        shop->items[shop->count++] =
            answer->finding ? judge_one(shop, company, next++)
                            : item_from_answer(shop->arena, shop->ready, answer);
    }
    add_open_model(shop);
}

/* What earlier inspections left open comes after all that was found now. */
static void collect_earlier(struct workshop *shop)
{
    if (!shop->history) {
        return;
    }
    carry_make(shop->arena, shop->ready, shop->history, shop->items, &shop->carry);
    size_t more = shop->carry.item_count;
    shop->items = arena_grow_array(shop->keep, shop->items, shop->count, shop->count + more,
                                   sizeof *shop->items);
    for (size_t i = 0; i < more; i++) {
        shop->items[shop->count++] = shop->carry.items[i];
    }
}

/* ---- parts ------------------------------------------------------------------- */

static size_t part_slot(struct stave_part_verdict *parts, size_t *count, const char *name)
{
    for (size_t i = 0; i < *count; i++) {
        if (strcmp(parts[i].part, name) == 0) {
            return i;
        }
    }
    parts[*count] = (struct stave_part_verdict){.part = name};
    return (*count)++;
}

/* Every instance that the record speaks of, so that a part without findings is listed too. */
static size_t list_parts(struct workshop *shop, struct stave_part_verdict *parts)
{
    const struct record *record = shop->record;
    size_t count = 0;
    for (uint32_t p = 0; !record->single && p < record->book->part_count; p++) {
        const struct part *part = &record->book->parts[p];
        for (uint32_t n = 1; n <= record->instances[p]; n++) {
            if (record->fitted[p] >> (n - 1) & 1) {
                part_slot(parts, &count,
                          finding_part_name(shop->arena, part,
                                            part->count == PART_ONE ? 0 : n));
            }
        }
    }
    return count;
}

static void set_flight(const struct book *book, struct stave_verdict *verdict)
{
    verdict->flight = book->scale[verdict->outcome].flight ? STAVE_FLIGHT_YES
                      : book->scale[verdict->best].flight  ? STAVE_FLIGHT_UNKNOWN
                                                           : STAVE_FLIGHT_NO;
}

static void judge_parts(struct workshop *shop, struct stave_verdict *verdict)
{
    size_t most = shop->count + (size_t)BOOK_INSTANCES * shop->record->book->part_count;
    struct stave_part_verdict *parts =
        ARENA_ARRAY(shop->arena, struct stave_part_verdict, most);
    size_t count = list_parts(shop, parts);
    for (size_t i = 0; i < shop->count; i++) {
        struct item *item = &shop->items[i];
        size_t slot = part_slot(parts, &count, item->shown.part);
        item->shown.part_index = (uint32_t)slot;
        if (item->shown.outcome > parts[slot].outcome) {
            parts[slot].outcome = item->shown.outcome;
        }
        if (item->best > parts[slot].best) {
            parts[slot].best = item->best;
        }
    }
    verdict->parts = parts;
    verdict->part_count = count;
    for (size_t i = 0; i < count; i++) {
        verdict->outcome = parts[i].outcome > verdict->outcome ? parts[i].outcome : verdict->outcome;
        verdict->best = parts[i].best > verdict->best ? parts[i].best : verdict->best;
    }
    set_flight(shop->record->book, verdict);
}

/* ---- needs --------------------------------------------------------------------- */

static const char *item_label(struct arena *arena, const struct stave_item *shown)
{
    return shown->item == STAVE_MODEL ? "the model"
           : shown->id[0]             ? shown->id
                                      : text_format(arena, "%s %s", shown->part, shown->kind);
}

/* Finds, once, what every item can be held against. */
static void find_floors(struct workshop *shop)
{
    for (size_t i = 0; i < shop->count; i++) {
        if (shop->items[i].best > shop->worst_best) {
            shop->second_best = shop->worst_best;
            shop->worst_best = shop->items[i].best;
            shop->worst_item = i;
        } else if (shop->items[i].best > shop->second_best) {
            shop->second_best = shop->items[i].best;
        }
    }
}

/* The worst outcome that the other items are sure to reach. */
static uint32_t floor_beside(const struct workshop *shop, size_t which)
{
    return which == shop->worst_item ? shop->second_best : shop->worst_best;
}

static void add_needs(struct workshop *shop, size_t which, struct stave_verdict *verdict,
                      struct stave_need **needs, size_t *capacity)
{
    const struct item *item = &shop->items[which];
    uint32_t floor = floor_beside(shop, which);
    if (item->shown.outcome <= floor) {
        return;
    }
    if (item->shown.why_incomplete[0]) {
        *ARENA_PUSH(shop->arena, *needs, verdict->need_count, *capacity) = (struct stave_need){
            .name = item->shown.item == STAVE_MODEL && shop->record->open_fact[0]
                        ? shop->record->open_fact
                        : item->shown.kind,
            .how = text_format(shop->arena, "%s: %s", item_label(shop->arena, &item->shown),
                               item->shown.why_incomplete),
            .settles = false,
        };
        return;
    }
    if (item->shown.possible_count < 2) {
        return;
    }
    struct arena_mark mark = arena_mark(shop->work);
    const struct judgement *judgement =
        judge(shop->work, item->judged.docket, item->judged.finding, shop->ready->book->as_read,
              JUDGE_ALL, floor > item->best ? floor : 0);
    size_t count;
    const char *prefix = text_format(shop->arena, "%s: ", item_label(shop->arena, &item->shown));
    const struct stave_need *more =
        needs_make(shop->arena, &item->judged, judgement, prefix, &count);
    for (size_t i = 0; i < count; i++) {
        *ARENA_PUSH(shop->arena, *needs, verdict->need_count, *capacity) = more[i];
    }
    arena_release(shop->work, mark);
}

/* Items that could make it worst come first: asking about them may end the matter. */
static void collect_needs(struct workshop *shop, struct stave_verdict *verdict)
{
    struct stave_need *needs = NULL;
    size_t capacity = 0;
    find_floors(shop);
    for (uint32_t outcome = (uint32_t)shop->record->book->scale_count; outcome-- > 0;) {
        for (size_t i = 0; i < shop->count; i++) {
            if (shop->items[i].shown.outcome == outcome) {
                add_needs(shop, i, verdict, &needs, &capacity);
            }
        }
    }
    verdict->needs = needs;
}

/* ---- what to do -------------------------------------------------------------------- */

/* The `do` of the governing line; failing that, what the scale says of the outcome. */
static const char *action_of(const struct workshop *shop, const struct item *item)
{
    const struct stave_item *shown = &item->shown;
    if (item->action) {
        return item->action;
    }
    for (size_t r = 0; r < shown->reason_count; r++) {
        if (shown->reasons[r].governs && shown->reasons[r].action[0]) {
            return shown->reasons[r].action;
        }
    }
    if (shown->why_incomplete[0]) {
        return shown->item == STAVE_MODEL    ? "find it out and record it"
               : shown->item == STAVE_SEARCH ? "search it and record that"
                                             : "take the check";
    }
    const struct outcome *outcome = &shop->record->book->scale[shown->outcome];
    return shown->outcome == 0 || !outcome->meaning[0] ? "" : outcome->meaning;
}

static void collect_actions(struct workshop *shop, struct stave_verdict *verdict)
{
    const char **actions = ARENA_ARRAY(shop->arena, const char *, shop->count);
    for (uint32_t outcome = (uint32_t)shop->record->book->scale_count; outcome-- > 0;) {
        for (size_t i = 0; i < shop->count; i++) {
            const struct stave_item *shown = &shop->items[i].shown;
            /* What lets it fly on is no advice where the time for it has run out. */
            bool fits = shown->outcome == outcome &&
                        !(shop->items[i].outrun && shop->record->book->scale[outcome].flight);
            const char *action = fits ? action_of(shop, &shop->items[i]) : "";
            if (action[0]) {
                actions[verdict->action_count++] = text_format(
                    shop->arena, "%s: %s", item_label(shop->arena, shown), action);
            }
        }
    }
    verdict->actions = actions;
}

static void collect_deadlines(struct workshop *shop, struct stave_verdict *verdict)
{
    struct deadline_list list = {0};
    for (size_t i = 0; i < shop->count; i++) {
        deadlines_join(shop->arena, &list, &shop->items[i].deadlines);
    }
    deadlines_join(shop->arena, &list, &shop->carry.running);
    verdict->deadlines = list.items;
    verdict->deadline_count = list.count;
}

static void add_caution(struct workshop *shop, struct stave_verdict *verdict,
                        const char ***cautions, size_t *capacity, const char *caution)
{
    for (size_t i = 0; i < verdict->caution_count; i++) {
        if (strcmp((*cautions)[i], caution) == 0) {
            return;
        }
    }
    *ARENA_PUSH(shop->arena, *cautions, verdict->caution_count, *capacity) = caution;
}

/* Of each kind that was found, by one model or by each of several. */
static void collect_kind_cautions(struct workshop *shops, size_t count, struct stave_verdict *verdict,
                                  const char ***cautions, size_t *capacity)
{
    for (size_t s = 0; s < count; s++) {
        struct workshop *shop = &shops[s];
        for (size_t i = 0; i < shop->count; i++) {
            const struct finding *finding = shop->items[i].judged.finding;
            for (uint32_t c = 0; finding && c < finding->kind->caution_count; c++) {
                add_caution(shop, verdict, cautions, capacity, finding->kind->cautions[c]);
            }
        }
    }
}

/* `shops` are the same record by each model that may apply, as `shop` is where it is one. */
static void collect_cautions(struct workshop *shop, struct workshop *shops, size_t shop_count,
                             struct stave_verdict *verdict)
{
    const struct book *book = shop->record->book;
    const char **cautions = NULL;
    size_t capacity = 0;
    for (size_t i = 0; i < sizeof library_cautions / sizeof *library_cautions; i++) {
        add_caution(shop, verdict, &cautions, &capacity, library_cautions[i]);
    }
    const struct book *made_by = shop->record->made_by;
    if (made_by) {
        add_caution(shop, verdict, &cautions, &capacity,
                    text_format(shop->arena,
                                "The inspection was made by %s %s and is judged anew by %s %s: what "
                                "this one asks for was not looked for. No propeller is released "
                                "by it.",
                                made_by->id, made_by->edition, book->id, book->edition));
    }
    for (uint32_t i = 0; i < book->caution_count; i++) {
        add_caution(shop, verdict, &cautions, &capacity, book->cautions[i]);
    }
    collect_kind_cautions(shops, shop_count, verdict, &cautions, &capacity);
    verdict->cautions = cautions;
}

static void collect_texts(struct workshop *shop, struct stave_verdict *verdict)
{
    const struct stave_book_facts *facts = shop->ready->facts;
    size_t before = shop->history ? shop->history->count - 1 : 0;
    struct stave_digest *texts =
        ARENA_ARRAY(shop->arena, struct stave_digest, facts->text_count + before + 1);
    memcpy(texts, facts->texts, facts->text_count * sizeof *texts);
    verdict->text_count = facts->text_count;
    for (size_t i = 0; i <= before; i++) {
        const struct record *record =
            shop->history ? shop->history->inspections[i].record : shop->record;
        texts[verdict->text_count++] =
            (struct stave_digest){record->source->name, record->source->sha256};
    }
    verdict->texts = texts;
}

/* ---- what was before ---------------------------------------------------------------- */

static void collect_before(struct workshop *shop, struct stave_verdict *verdict)
{
    size_t count = shop->history ? shop->history->count - 1 : 0;
    struct stave_before *before = ARENA_ARRAY(shop->arena, struct stave_before, count);
    for (size_t i = 0; i < count; i++) {
        const struct record *record = shop->history->inspections[i].record;
        before[i] = (struct stave_before){record->source->name, record->date, record->hours_text};
    }
    verdict->before = before;
    verdict->before_count = count;
    verdict->carried = shop->carry.carried;
    verdict->carried_count = shop->carry.carried_count;
}

static void collect_repaired(struct workshop *shop, struct stave_verdict *verdict)
{
    const struct record *record = shop->record;
    struct stave_repaired *list =
        ARENA_ARRAY(shop->arena, struct stave_repaired, record->repaired_count);
    for (uint32_t i = 0; i < record->repaired_count; i++) {
        const struct repaired *repaired = &record->repaired[i];
        const struct thread *thread =
            shop->history && repaired->id ? history_find(shop->history, repaired->id) : NULL;
        const struct part *part = thread ? thread->part : repaired->part;
        list[i] = (struct stave_repaired){
            .text = repaired->text,
            .part = part ? finding_part_name(shop->arena, part,
                                             thread ? thread->instance : repaired->instance)
                         : "",
            .kind = thread            ? thread->kind->name
                    : repaired->check ? repaired->check->name
                                      : "",
            .remark = repaired->remark,
        };
    }
    verdict->repaired = list;
    verdict->repaired_count = record->repaired_count;
}

static const char *or_nothing(const char *text)
{
    return text ? text : "";
}

static struct workshop open_workshop(struct arena *arena, const struct ready_book *ready,
                                     const struct record *record, const struct history *history)
{
    struct workshop shop = {
        .arena = arena, .ready = ready, .record = record, .history = history};
    shop.keep = arena_beside(arena);
    shop.work = arena_beside(arena);
    collect_items(&shop);
    collect_earlier(&shop);
    return shop;
}

static void close_workshop(struct workshop *shop)
{
    arena_end(shop->work);
    arena_end(shop->keep);
}

static void set_head(const struct workshop *shop, struct stave_verdict *verdict)
{
    const struct record *record = shop->record;
    *verdict = (struct stave_verdict){
        .book = shop->ready->facts,
        .propeller = or_nothing(record->propeller),
        .model = or_nothing(record->model),
        .aircraft = or_nothing(record->aircraft),
        .inspector = or_nothing(record->inspector),
        .date = or_nothing(record->date),
        .hours = or_nothing(record->hours_text),
        .facts = or_nothing(record->facts_text),
        .model_open = record->model_open ? record->open_why : "",
        .single = record->single,
    };
}

/* What follows from the items, once parts and needs are there. */
static void set_rest(struct workshop *shop, struct workshop *shops, size_t shop_count,
                     struct stave_verdict *verdict)
{
    collect_actions(shop, verdict);
    collect_deadlines(shop, verdict);
    collect_cautions(shop, shops, shop_count, verdict);
    collect_texts(shop, verdict);
    collect_before(shop, verdict);
    collect_repaired(shop, verdict);
    struct stave_item *items = ARENA_ARRAY(shop->arena, struct stave_item, shop->count);
    for (size_t i = 0; i < shop->count; i++) {
        items[i] = shop->items[i].shown;
    }
    verdict->items = items;
    verdict->item_count = shop->count;
}

static void fill(struct arena *arena, const struct ready_book *ready, const struct record *record,
                 const struct history *history, struct stave_verdict *verdict)
{
    struct workshop shop = open_workshop(arena, ready, record, history);
    set_head(&shop, verdict);
    judge_parts(&shop, verdict);
    collect_needs(&shop, verdict);
    set_rest(&shop, &shop, 1, verdict);
    close_workshop(&shop);
}

void verdict_make(struct arena *arena, const struct ready_book *ready, const struct record *record,
                  struct stave_verdict *verdict)
{
    fill(arena, ready, record, NULL, verdict);
}

void verdict_make_since(struct arena *arena, const struct ready_book *ready,
                        const struct history *history, struct stave_verdict *verdict)
{
    fill(arena, ready, history_now(history), history, verdict);
}

/* ---- a model that is open ------------------------------------------------------------ */

/* The record by each model that may apply: its workshop, its items, and what it comes to by that
 * model alone. */
struct over_models {
    struct workshop *shops;
    struct by_model *models;
    struct stave_verdict *alone;
    size_t count;
    size_t worst; /* the model that gives the worst */
};

/* The record by one model, with or without the word that its model is open. */
static const struct record *by_one(struct arena *arena, const struct record *record, size_t model,
                                   bool open)
{
    struct record *each = ARENA_NEW(arena, struct record);
    *each = model ? *record->others[model - 1] : *record;
    each->model_open = open;
    each->open_fact = record->open_fact;
    each->open_why = record->open_why;
    return each;
}

static bool is_worse(struct arena *arena, const struct over_models *over, size_t model, size_t than)
{
    const struct stave_verdict *a = &over->alone[model], *b = &over->alone[than];
    return a->outcome != b->outcome ? a->outcome > b->outcome
           : a->best != b->best
               ? a->best > b->best
               : by_model_compare(arena, &over->models[model], &over->models[than]) > 0;
}

static struct over_models judge_by_each(struct arena *arena, const struct ready_book *const *ready,
                                        const struct record *record)
{
    struct over_models over = {.count = record->other_count + (size_t)1};
    over.shops = ARENA_ARRAY(arena, struct workshop, over.count);
    over.models = ARENA_ARRAY(arena, struct by_model, over.count);
    over.alone = ARENA_ARRAY(arena, struct stave_verdict, over.count);
    for (size_t i = 0; i < over.count; i++) {
        struct workshop *shop = &over.shops[i];
        *shop = open_workshop(arena, ready[i], by_one(arena, record, i, false), NULL);
        judge_parts(shop, &over.alone[i]);
        over.models[i] = (struct by_model){ready[i]->book, shop->items, shop->count};
        if (is_worse(arena, &over, i, over.worst)) {
            over.worst = i;
        }
    }
    return over;
}

/* What could still change the outcome by any of them, and what tells which of them applies. */
static void join_needs(struct arena *arena, struct over_models *over, const struct record *record,
                       struct stave_verdict *verdict)
{
    struct stave_need *needs = NULL;
    size_t capacity = 0;
    for (size_t i = 0; i <= over->count; i++) {
        size_t model = i ? i - 1 : over->worst;
        if (i > 0 && model == over->worst) {
            continue;
        }
        struct workshop shop = over->shops[model];
        struct stave_verdict alone = {0};
        shop.record = by_one(arena, record, model, true);
        add_open_model(&shop);
        collect_needs(&shop, &alone);
        if (over->count == 1) {
            verdict->needs = alone.needs;
            verdict->need_count = alone.need_count;
            return;
        }
        open_join_needs(arena, &needs, &verdict->need_count, &capacity, alone.needs,
                        alone.need_count);
    }
    verdict->needs = needs;
}

static uint32_t part_best(const struct stave_verdict *verdict, const char *part)
{
    for (size_t i = 0; i < verdict->part_count; i++) {
        if (strcmp(verdict->parts[i].part, part) == 0) {
            return verdict->parts[i].best;
        }
    }
    return 0;
}

/* The best that is possible is the best by any of the models. */
static void join_best(struct arena *arena, const struct over_models *over,
                      struct stave_verdict *verdict)
{
    struct stave_part_verdict *parts =
        ARENA_ARRAY(arena, struct stave_part_verdict, verdict->part_count);
    for (size_t i = 0; i < verdict->part_count; i++) {
        parts[i] = verdict->parts[i];
        for (size_t m = 0; m < over->count; m++) {
            uint32_t best = part_best(&over->alone[m], parts[i].part);
            parts[i].best = m == 0 || best < parts[i].best ? best : parts[i].best;
        }
    }
    verdict->parts = parts;
    verdict->best = over->alone[0].best;
    for (size_t m = 1; m < over->count; m++) {
        verdict->best = over->alone[m].best < verdict->best ? over->alone[m].best : verdict->best;
    }
}

void verdict_make_open(struct arena *arena, const struct ready_book *const *ready,
                       const struct record *record, struct stave_verdict *verdict)
{
    if (!record->model_open) {
        verdict_make(arena, ready[0], record, verdict);
        return;
    }
    struct over_models over = judge_by_each(arena, ready, record);
    struct workshop shop = over.shops[over.worst];
    shop.record = by_one(arena, record, over.worst, true);
    shop.items = open_join(arena, shop.keep, over.models, over.count, over.worst, record,
                           &shop.count);
    add_open_model(&shop);
    set_head(&shop, verdict);
    judge_parts(&shop, verdict);
    join_best(arena, &over, verdict);
    set_flight(shop.record->book, verdict);
    join_needs(arena, &over, record, verdict);
    set_rest(&shop, over.shops, over.count, verdict);
    for (size_t i = 0; i < over.count; i++) {
        close_workshop(&over.shops[i]);
    }
}
