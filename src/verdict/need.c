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

static const char *measure_how(struct arena *arena, const struct measure *measure)
{
    static const char *const leads[] = {
        [TREE_STEP_NONE] = "",
        [TREE_READ_TO] = "read to",
        [TREE_READ_UP_TO] = "read up to the next",
        [TREE_READ_NEAREST] = "read to the nearest",
    };
    const char *step = measure->stepping == TREE_STEP_NONE
                           ? ""
                           : step_text(arena, leads[measure->stepping], measure->step,
                                       measure->step_unit);
    return join(arena, measure->help, step);
}

static const char *observation_how(struct arena *arena, const struct observation *observation)
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

static struct stave_need need_make(struct arena *arena, const struct judged *judged,
                                   const struct need *need)
{
    const struct part *part = judged->docket->part;
    struct stave_need shown = {.settles = need->settles};
    switch (need->sort) {
    case NEED_READING: {
        const struct recorded *recorded = &judged->finding->kind->records[need->index];
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
    }
    return shown;
}

const struct stave_need *needs_make(struct arena *arena, const struct judged *judged,
                                    const struct judgement *judgement, const char *prefix,
                                    size_t *count)
{
    struct stave_need *needs = ARENA_ARRAY(arena, struct stave_need, judgement->need_count);
    for (uint32_t i = 0; i < judgement->need_count; i++) {
        needs[i] = need_make(arena, judged, &judgement->needs[i]);
        if (prefix) {
            const char *how = needs[i].how;
            needs[i].how = text_format(arena, "%s%s%s%s", prefix, needs[i].name, how[0] ? ": " : "",
                                       how);
        }
    }
    *count = judgement->need_count;
    return needs;
}
