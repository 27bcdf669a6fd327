#include "read/rename.h"

#include <string.h>

const char *rename_text(const struct renames *renames, const char *text)
{
    for (size_t i = 0; text && renames && i < renames->count; i++) {
        const struct stave_renamed *item = &renames->items[i];
        if (strcmp(renames->back ? item->second : item->first, text) == 0) {
            return renames->back ? item->first : item->second;
        }
    }
    return text;
}

static struct tree_words *rename_words(struct arena *arena, const struct renames *renames,
                                       const struct tree_words *words)
{
    struct tree_words *first = NULL, **end = &first;
    for (; words; words = words->next) {
        struct tree_words *copy = ARENA_NEW(arena, struct tree_words);
        *copy = *words;
        copy->word.text = rename_text(renames, words->word.text);
        copy->next = NULL;
        *end = copy;
        end = &copy->next;
    }
    return first;
}

struct tree_reading *rename_readings(struct arena *arena, const struct renames *renames,
                                     const struct tree_reading *readings)
{
    struct tree_reading *first = NULL, **end = &first;
    for (; readings; readings = readings->next) {
        struct tree_reading *copy = ARENA_NEW(arena, struct tree_reading);
        *copy = *readings;
        copy->name.text = rename_text(renames, readings->name.text);
        copy->values = rename_words(arena, renames, readings->values);
        copy->next = NULL;
        *end = copy;
        end = &copy->next;
    }
    return first;
}

static struct tree_place *rename_places(struct arena *arena, const struct renames *renames,
                                        const struct tree_place *places)
{
    struct tree_place *first = NULL, **end = &first;
    for (; places; places = places->next) {
        struct tree_place *copy = ARENA_NEW(arena, struct tree_place);
        *copy = *places;
        copy->name.text = rename_text(renames, places->name.text);
        copy->next = NULL;
        *end = copy;
        end = &copy->next;
    }
    return first;
}

struct tree_finding *rename_finding(struct arena *arena, const struct renames *renames,
                                    const struct tree_finding *finding)
{
    struct tree_finding *copy = ARENA_NEW(arena, struct tree_finding);
    *copy = *finding;
    copy->next = NULL;
    copy->part.text = rename_text(renames, finding->part.text);
    copy->kind.text = rename_text(renames, finding->kind.text);
    copy->places = rename_places(arena, renames, finding->places);
    copy->readings = rename_readings(arena, renames, finding->readings);
    return copy;
}

/* The copy of a finding of an example; NULL for none. */
static struct tree_finding *copy_of(const struct tree_example *from, const struct tree_example *to,
                                    const struct tree_finding *finding)
{
    struct tree_finding *copy = to->findings;
    for (const struct tree_finding *at = from->findings; at; at = at->next, copy = copy->next) {
        if (at == finding) {
            return copy;
        }
    }
    return NULL;
}

struct tree_example *rename_example(struct arena *arena, const struct renames *renames,
                                    const struct tree_example *example)
{
    struct tree_example *copy = ARENA_NEW(arena, struct tree_example);
    *copy = *example;
    copy->next = NULL;
    struct tree_finding **finding_end = &copy->findings;
    *finding_end = NULL;
    for (const struct tree_finding *at = example->findings; at; at = at->next) {
        *finding_end = rename_finding(arena, renames, at);
        finding_end = &(*finding_end)->next;
    }
    struct tree_gives **gives_end = &copy->gives;
    *gives_end = NULL;
    for (const struct tree_gives *at = example->gives; at; at = at->next) {
        struct tree_gives *gives = ARENA_NEW(arena, struct tree_gives);
        *gives = *at;
        gives->next = NULL;
        gives->outcomes = rename_words(arena, renames, at->outcomes);
        gives->with = rename_readings(arena, renames, at->with);
        gives->finding = copy_of(example, copy, at->finding);
        gives->last = copy_of(example, copy, at->last);
        *gives_end = gives;
        gives_end = &gives->next;
    }
    return copy;
}
