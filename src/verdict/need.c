/* Needs: the readings that would settle an undecided item, in words. */
#include <string.h>

#include "base/text.h"
#include "verdict/verdict.h"

static const char *step_text(struct arena *arena, const char *lead, struct number step,
                             const struct unit *unit)
{
    bool rounded;
    return text_format(arena, "%s %s", lead, quantity_text(arena, step, unit, NUMBER_DOWN, &rounded));
}

static const char *join(struct arena *arena, const char *help, const char *more)
{
    if (!help[0] || !more[0]) {
        return help[0] ? help : more;
    }
    return text_format(arena, "%s; %s", help, more);
}

const char *measure_step(struct arena *arena, const struct measure *measure)
{
    static const char *const leads[] = {
        [TREE_STEP_NONE] = "",
        [TREE_READ_TO] = "read to",
        [TREE_READ_UP_TO] = "read up to the next",
        [TREE_READ_NEAREST] = "read to the nearest",
    };
    const char *lead = leads[measure->stepping];
    /* Toward worse: a mechanic told to round up would make a thin wall thicker. */
    if (measure->stepping == TREE_READ_UP_TO && measure->smaller_is_worse) {
        lead = "read down to the next";
    }
    return measure->stepping == TREE_STEP_NONE
               ? ""
               : step_text(arena, lead, measure->step, measure->step_unit);
}

const char *measure_how(struct arena *arena, const struct measure *measure)
{
    return join(arena, measure->help, measure_step(arena, measure));
}

const char *observation_how(struct arena *arena, const struct observation *observation)
{
    struct text text;
    text_begin(&text, arena);
    for (uint32_t i = 0; i < observation->value_count; i++) {
        text_add(&text, i ? " or " : "");
        text_add(&text, observation->values[i]);
    }
    return join(arena, observation->help, text_done(&text));
}

static const char *names_how(struct arena *arena, const char **names, uint32_t count)
{
    struct text text;
    text_begin(&text, arena);
    for (uint32_t i = 0; i < count; i++) {
        text_add(&text, i ? " or " : "");
        text_add(&text, names[i]);
    }
    return text_done(&text);
}

/* A need of the finding's own, or of one in its company. */
static struct stave_need need_make(struct arena *arena, const struct finding *finding,
                                   const struct need *need)
{
    const struct part *part = finding->part;
    struct stave_need shown = {.settles = need->settles};
    switch (need->sort) {
    case NEED_READING: {
        const struct recorded *recorded = &finding->kind->records[need->index];
        shown.name = recorded->name;
        shown.how = recorded->measure ? measure_how(arena, recorded->measure)
                                      : observation_how(arena, recorded->observation);
        break;
    }
    case NEED_AXIS: {
        const struct axis *axis = &part->axes[need->index];
        shown.name = axis->name;
        shown.how = join(arena, axis->help,
                         axis->has_step ? step_text(arena, "read to", axis->step, axis->unit) : "");
        break;
    }
    case NEED_SIDE:
        shown.name = "side";
        shown.how = names_how(arena, part->sides, part->side_count);
        break;
    case NEED_PLACE:
        shown.name = "place";
        shown.how = names_how(arena, part->places, part->place_count);
        break;
    case NEED_VARIABLE:
        break; /* spelled out below */
    }
    return shown;
}

struct need_list {
    struct stave_need *items;
    size_t count, capacity;
};

static void add_need(struct arena *arena, struct need_list *list, struct stave_need need)
{
    for (size_t i = 0; i < list->count; i++) {
        if (strcmp(list->items[i].name, need.name) == 0) {
            list->items[i].settles |= need.settles;
            return;
        }
    }
    *ARENA_PUSH(arena, list->items, list->count, list->capacity) = need;
}

/* What is not known of the others, or of itself among them. One alone that is open settles as
 * the range itself would. */
static void add_company(struct arena *arena, struct need_list *list, const struct judged *judged,
                        const struct need *need)
{
    struct company_open open[8];
    uint32_t count = company_unknown(judged->company, judged->index, need->index, open,
                                     sizeof open / sizeof *open);
    for (uint32_t i = 0; i < count; i++) {
        struct need one = {.index = open[i].index, .settles = need->settles && count == 1};
        one.sort = open[i].sort == OPEN_RECORD ? NEED_READING
                   : open[i].sort == OPEN_AXIS ? NEED_AXIS
                   : open[i].sort == OPEN_SIDE ? NEED_SIDE
                                               : NEED_PLACE;
        struct stave_need shown = need_make(arena, open[i].finding, &one);
        bool own = open[i].finding->span.from == judged->finding->span.from &&
                   open[i].finding->readings == judged->finding->readings;
        if (!own) {
            const char *id = open[i].finding->id;
            shown.name = text_format(arena, "%s of %s", shown.name,
                                     id[0] ? id : open[i].finding->text);
        }
        add_need(arena, list, shown);
    }
}

static void add_before(struct arena *arena, struct need_list *list, const struct judged *judged,
                       const struct need *need)
{
    const struct variable *variable = &judged->docket->variables[need->index];
    struct stave_need shown = {.settles = need->settles, .how = ""};
    if (variable->sort == VARIABLE_SEEN) {
        shown.name = "whether it was seen before";
    } else {
        shown.name = text_format(arena,
                                 variable->sort == VARIABLE_FIRST ? "%s when it was first seen"
                                                                  : "%s at the inspection before",
                                 variable->measure->name);
        shown.how = "look it up in the record of that inspection";
    }
    add_need(arena, list, shown);
}

const struct stave_need *needs_make(struct arena *arena, const struct judged *judged,
                                    const struct judgement *judgement, const char *prefix,
                                    size_t *count)
{
    struct need_list list = {0};
    for (uint32_t i = 0; i < judgement->need_count; i++) {
        const struct need *need = &judgement->needs[i];
        if (need->sort != NEED_VARIABLE) {
            add_need(arena, &list, need_make(arena, judged->finding, need));
        } else if (judged->docket->variables[need->index].sort == VARIABLE_COMPANY) {
            add_company(arena, &list, judged, need);
        } else {
            add_before(arena, &list, judged, need);
        }
    }
    for (size_t i = 0; prefix && i < list.count; i++) {
        const char *how = list.items[i].how;
        list.items[i].how = text_format(arena, "%s%s%s%s", prefix, list.items[i].name,
                                        how[0] ? ": " : "", how);
    }
    *count = list.count;
    return list.items;
}
