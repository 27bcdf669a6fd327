/* Names in a finding: looking them up, and advice where one is unknown. */

#include "base/text.h"
#include "finding/resolve.h"

uint32_t name_find(const char *const *names, uint32_t count, const char *wanted)
{
    for (uint32_t i = 0; i < count; i++) {
        if (text_same(names[i], wanted)) {
            return i;
        }
    }
    return NAME_NONE;
}

uint32_t record_find(const struct kind *kind, const char *wanted)
{
    for (uint32_t i = 0; i < kind->record_count; i++) {
        if (text_same(kind->records[i].name, wanted)) {
            return i;
        }
    }
    return NAME_NONE;
}

uint32_t axis_find(const struct part *part, const char *wanted)
{
    for (uint32_t i = 0; i < part->axis_count; i++) {
        if (text_same(part->axes[i].name, wanted)) {
            return i;
        }
    }
    return NAME_NONE;
}

const char *name_list(struct arena *arena, const char *const *names, uint32_t count)
{
    struct text text;
    text_begin(&text, arena);
    for (uint32_t i = 0; i < count; i++) {
        text_add(&text, i ? ", " : "");
        text_add(&text, names[i]);
    }
    return text_done(&text);
}

void name_help(struct resolving *resolving, struct stave_problem *problem, const char *wanted,
               const char *const *names, uint32_t count, const char *what)
{
    const char *near = text_nearest(resolving->arena, wanted, names, count);
    if (near) {
        problem_help(problem, resolving->problems, "did you mean '%s'?", near);
    } else if (count) {
        problem_help(problem, resolving->problems, "%s: %s", what,
                     name_list(resolving->arena, names, count));
    } else {
        problem_help(problem, resolving->problems, "%s: none", what);
    }
}

const char **record_names(struct arena *arena, const struct kind *kind)
{
    const char **names = ARENA_ARRAY(arena, const char *, kind->record_count);
    for (uint32_t i = 0; i < kind->record_count; i++) {
        names[i] = kind->records[i].name;
    }
    return names;
}

const char **axis_names(struct arena *arena, const struct part *part)
{
    const char **names = ARENA_ARRAY(arena, const char *, part->axis_count);
    for (uint32_t i = 0; i < part->axis_count; i++) {
        names[i] = part->axes[i].name;
    }
    return names;
}

bool said_once(struct resolving *resolving, struct span *said, struct span at, const char *name)
{
    if (said->source) {
        struct stave_problem *problem = problem_add(resolving->problems, STAVE_ERROR, "given-twice",
                                                    at, "'%s' is given twice", name);
        problem_second(problem, resolving->problems, *said, "given here first");
        problem_help(problem, resolving->problems,
                     "keep the one that was read; two readings are not added or averaged");
        return false;
    }
    *said = at;
    return true;
}
