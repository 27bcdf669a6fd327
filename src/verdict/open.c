/* A record by each model of a family that may apply: of each item the worst. */
#include <string.h>

#include "verdict/item.h"

/* ---- which is worse --------------------------------------------------------------------- */

/* How many deadlines of a list are of a sort that the other lacks, or has later. */
static int sharper(struct arena *arena, const struct deadline_list *list,
                   const struct deadline_list *than)
{
    int count = 0;
    for (size_t i = 0; i < list->count; i++) {
        bool met = false;
        for (size_t k = 0; k < than->count && !met; k++) {
            met = list->items[i].look_again == than->items[k].look_again &&
                  dimension_equal(list->dimensions[i], than->dimensions[k]) &&
                  number_compare(arena, than->values[k], list->values[i]) <= 0;
        }
        count += !met;
    }
    return count;
}

/* Above 0 where the first is worse. */
static int compare(struct arena *arena, const struct item *one, const struct item *other)
{
    const struct stave_item *a = &one->shown, *b = &other->shown;
    if (a->outcome != b->outcome) {
        return a->outcome > b->outcome ? 1 : -1;
    }
    if (one->best != other->best) {
        return one->best > other->best ? 1 : -1;
    }
    if (a->possible_count != b->possible_count) {
        return a->possible_count > b->possible_count ? 1 : -1;
    }
    if (a->guarded_outcome != b->guarded_outcome) {
        return a->guarded_outcome > b->guarded_outcome ? 1 : -1;
    }
    return sharper(arena, &one->deadlines, &other->deadlines) -
           sharper(arena, &other->deadlines, &one->deadlines);
}

/* The same finding or answer by another model; NULL where that one does not ask for it. Findings
 * stand first, in the order of the record, by every model. */
static const struct item *same_in(const struct by_model *model, const struct item *item, size_t at)
{
    if (item->shown.item == STAVE_FINDING) {
        return &model->items[at];
    }
    for (size_t i = 0; i < model->count; i++) {
        const struct stave_item *shown = &model->items[i].shown;
        if (shown->item == item->shown.item && strcmp(shown->part, item->shown.part) == 0 &&
            strcmp(shown->kind, item->shown.kind) == 0) {
            return &model->items[i];
        }
    }
    return NULL;
}

int by_model_compare(struct arena *arena, const struct by_model *one, const struct by_model *other)
{
    int worse = 0;
    for (size_t i = 0; i < one->count && worse == 0; i++) {
        const struct item *same = same_in(other, &one->items[i], i);
        worse = same ? compare(arena, &one->items[i], same) : 0;
    }
    return worse;
}

/* ---- one item of all models ------------------------------------------------------------- */

void open_join_needs(struct arena *arena, struct stave_need **needs, size_t *count,
                     size_t *capacity, const struct stave_need *more, size_t more_count)
{
    for (size_t i = 0; i < more_count; i++) {
        bool known = false;
        for (size_t k = 0; k < *count && !known; k++) {
            known = strcmp((*needs)[k].name, more[i].name) == 0 &&
                    strcmp((*needs)[k].how, more[i].how) == 0;
        }
        if (!known) {
            struct stave_need need = more[i];
            need.settles = false;
            *ARENA_PUSH(arena, *needs, *count, *capacity) = need;
        }
    }
}

static uint64_t possible_set(const struct item *item)
{
    uint64_t set = 0;
    for (size_t i = 0; i < item->shown.possible_count; i++) {
        set |= (uint64_t)1 << item->shown.possible[i];
    }
    return set;
}

/* An item by each of the models, NULL where one does not ask for it. */
struct over_models {
    const struct by_model *models;
    const struct item **items;
    size_t count, chosen;
    size_t worst; /* the model that gives the worst; of several the chosen one */
};

static void find_worst(struct arena *arena, struct over_models *over)
{
    over->worst = over->chosen;
    for (size_t i = 0; i < over->count; i++) {
        const struct item *worst = over->items[over->worst];
        if (over->items[i] && (!worst || compare(arena, over->items[i], worst) > 0)) {
            over->worst = i;
        }
    }
}

/* What it came to by the model that gives the worst; else it stays as the chosen model has it, as
 * pictures are drawn of that one. */
static void take_worst(const struct stave_item *worst, const char *model, struct stave_item *shown)
{
    shown->outcome = worst->outcome;
    shown->why_incomplete = worst->why_incomplete;
    shown->zones = worst->zones;
    shown->zone_count = worst->zone_count;
    shown->uncovered = worst->uncovered;
    shown->reasons = worst->reasons;
    shown->reason_count = worst->reason_count;
    shown->by_model = model;
}

/* Its part and kind are those of another model's book: what they are in the chosen one's. */
static void place_in(const struct book *book, struct item *item)
{
    const struct part *part = book_find_part(book, item->part->name);
    item->shown.outline_part = part ? part->index : UINT32_MAX;
    item->shown.outline_kind = UINT32_MAX;
}

static void join_sets(struct arena *arena, const struct over_models *over,
                      const struct record *record, struct item *item)
{
    const struct item *worst = over->items[over->worst];
    uint64_t set = 0, common = UINT64_MAX;
    for (size_t i = 0; i < over->count; i++) {
        /* By a model that does not ask for it, nothing comes of it. */
        uint64_t here = over->items[i] ? possible_set(over->items[i]) : 1;
        uint32_t best = over->items[i] ? over->items[i]->best : 0;
        set |= here;
        common &= here;
        item->best = best < item->best ? best : item->best;
        if (over->items[i] &&
            over->items[i]->shown.guarded_outcome > item->shown.guarded_outcome) {
            item->shown.guarded_outcome = over->items[i]->shown.guarded_outcome;
        }
    }
    struct stave_need *needs = NULL;
    size_t count = 0, capacity = 0;
    if (worst->shown.why_incomplete[0]) {
        set = possible_set(worst);
    } else {
        struct stave_need fact = {
            .name = record->open_fact[0] ? record->open_fact : "model",
            .how = record->open_why,
        };
        open_join_needs(arena, &needs, &count, &capacity, &fact, set != common);
        for (size_t i = 0; i <= over->count; i++) {
            const struct item *each = i ? over->items[i - 1] : worst;
            if (each) {
                open_join_needs(arena, &needs, &count, &capacity, each->shown.needs,
                                each->shown.need_count);
            }
        }
    }
    item->shown.needs = needs;
    item->shown.need_count = count;
    item->shown.possible_count = 0;
    item_set_possible(arena, set, &item->shown);
}

static void join_deadlines(struct arena *arena, const struct over_models *over, struct item *item)
{
    item->deadlines = (struct deadline_list){0};
    for (size_t i = 0; i <= over->count; i++) {
        const struct item *each = over->items[i ? i - 1 : over->worst];
        if (each) {
            deadlines_join(arena, &item->deadlines, &each->deadlines);
        }
    }
    item->shown.deadlines = item->deadlines.items;
    item->shown.deadline_count = item->deadlines.count;
}

static struct item join(struct arena *arena, struct over_models *over, const struct record *record)
{
    if (over->count == 1) {
        return *over->items[0];
    }
    find_worst(arena, over);
    const struct item *worst = over->items[over->worst];
    const struct item *base = over->items[over->chosen];
    struct item item = base ? *base : *worst;
    if (!base) {
        place_in(over->models[over->chosen].book, &item);
    }
    take_worst(&worst->shown,
               over->worst == over->chosen ? "" : over->models[over->worst].book->model->name, &item.shown);
    join_sets(arena, over, record, &item);
    join_deadlines(arena, over, &item);
    return item;
}

/* ---- all items -------------------------------------------------------------------------- */

static bool is_before(const struct by_model *models, size_t model, const struct item *item,
                      size_t at)
{
    for (size_t i = 0; i < model; i++) {
        if (same_in(&models[i], item, at)) {
            return true;
        }
    }
    return false;
}

struct item *open_join(struct arena *arena, struct arena *keep, const struct by_model *models,
                       size_t model_count, size_t chosen, const struct record *record,
                       size_t *count)
{
    static const enum stave_item_kind sorts[] = {STAVE_FINDING, STAVE_CHECK, STAVE_SEARCH};
    struct item *items = NULL;
    size_t capacity = 0;
    *count = 0;
    struct over_models over = {
        .models = models,
        .items = ARENA_ARRAY(keep, const struct item *, model_count),
        .count = model_count,
        .chosen = chosen,
    };
    for (size_t s = 0; s < sizeof sorts / sizeof *sorts; s++) {
        for (size_t m = 0; m < model_count; m++) {
            for (size_t i = 0; i < models[m].count; i++) {
                const struct item *item = &models[m].items[i];
                if (item->shown.item != sorts[s] || is_before(models, m, item, i)) {
                    continue;
                }
                for (size_t o = 0; o < model_count; o++) {
                    over.items[o] = same_in(&models[o], item, i);
                }
                *ARENA_PUSH(keep, items, *count, capacity) = join(arena, &over, record);
            }
        }
    }
    return items;
}
