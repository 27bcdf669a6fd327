/* Entries of two books held against each other. */
#include "prove/changes.h"

#include <string.h>

#define TABLE_CELLS (1u << 20) /* past it, lines are paired from the top */

struct lister {
    struct arena *arena;
    struct stave_amendment *items;
    size_t count, capacity;
};

/* ---- one amendment ------------------------------------------------------------------------ */

static const char *line_text(struct lister *lister, const struct entry_line *line)
{
    return line ? span_text(lister->arena, line->span) : "";
}

static struct stave_amendment *add(struct lister *lister, enum stave_change change,
                                   const struct entry *first, const struct entry *second,
                                   const struct entry_line *from, const struct entry_line *to)
{
    const struct entry_line *const lines[2] = {from, to};
    struct stave_amendment *made =
        ARENA_PUSH(lister->arena, lister->items, lister->count, lister->capacity);
    *made = (struct stave_amendment){
        .change = change,
        .sort = (first ? first : second)->sort,
        .names = {first ? first->name : "", second ? second->name : ""},
        .lines = {line_text(lister, from), line_text(lister, to)},
        .figures_only = change == STAVE_CHANGED && lines_alike(from, to),
        .alike = "",
        .text_names = {"", ""},
    };
    for (int side = 0; side < 2; side++) {
        if (lines[side]) {
            made->text_names[side] = lines[side]->span.source->name;
            made->line[side] = span_line(lister->arena, lines[side]->span);
        }
    }
    return made;
}

/* ---- the lines of one entry in both books ---------------------------------------------------- */

/* Which lines of `a` stand in `b` too, in the same order, as many as can be: their index + 1. */
static uint32_t *common_lines(struct arena *arena, const struct entry *a, const struct entry *b)
{
    uint32_t *kept = ARENA_ARRAY(arena, uint32_t, a->count);
    size_t width = (size_t)b->count + 1;
    if (((size_t)a->count + 1) * width > TABLE_CELLS) {
        for (uint32_t i = 0; i < a->count && i < b->count; i++) {
            kept[i] = lines_same(&a->lines[i], &b->lines[i]) ? i + 1 : 0;
        }
        return kept;
    }
    uint32_t *most = ARENA_ARRAY(arena, uint32_t, ((size_t)a->count + 1) * width);
    for (uint32_t i = a->count; i-- > 0;) {
        for (uint32_t k = b->count; k-- > 0;) {
            uint32_t below = most[(i + 1) * width + k], right = most[i * width + k + 1];
            most[i * width + k] = lines_same(&a->lines[i], &b->lines[k])
                                      ? most[(i + 1) * width + k + 1] + 1
                                  : below > right ? below
                                                  : right;
        }
    }
    for (uint32_t i = 0, k = 0; i < a->count && k < b->count;) {
        if (lines_same(&a->lines[i], &b->lines[k])) {
            kept[i++] = ++k;
        } else if (most[(i + 1) * width + k] >= most[i * width + k + 1]) {
            i++;
        } else {
            k++;
        }
    }
    return kept;
}

/* A line between two kept ones that says the same thing anew: of the same outcome or station. */
static uint32_t find_anew(const struct entry *b, const bool *used, const struct entry_line *line,
                          uint32_t from, uint32_t to)
{
    for (uint32_t k = from; k < to; k++) {
        if (!used[k] && strcmp(b->lines[k].anchor, line->anchor) == 0) {
            return k;
        }
    }
    return to;
}

static void compare_lines(struct lister *lister, const struct entry *a, const struct entry *b)
{
    struct arena *arena = lister->arena;
    uint32_t *kept = common_lines(arena, a, b);
    bool *used = ARENA_ARRAY(arena, bool, b->count);
    for (uint32_t i = 0; i < a->count; i++) {
        if (kept[i]) {
            used[kept[i] - 1] = true;
        }
    }
    for (uint32_t i = 0, start = 0; i < a->count; i++) {
        if (kept[i]) {
            start = kept[i];
            continue;
        }
        uint32_t stop = b->count;
        for (uint32_t k = i + 1; k < a->count && stop == b->count; k++) {
            stop = kept[k] ? kept[k] - 1 : stop;
        }
        uint32_t other = find_anew(b, used, &a->lines[i], start, stop);
        if (other < stop) {
            used[other] = true;
            add(lister, STAVE_CHANGED, a, b, &a->lines[i], &b->lines[other]);
        } else {
            add(lister, STAVE_REMOVED, a, b, &a->lines[i], NULL);
        }
    }
    for (uint32_t k = 0; k < b->count; k++) {
        if (!used[k]) {
            add(lister, STAVE_ADDED, a, b, NULL, &b->lines[k]);
        }
    }
}

/* ---- entries ------------------------------------------------------------------------------------ */

static bool same_sort(const struct entry *a, const struct entry *b)
{
    return strcmp(a->sort, b->sort) == 0;
}

static struct entry *find_match(const struct entries *entries, const struct entry *wanted)
{
    for (uint32_t i = 0; i < entries->count; i++) {
        struct entry *entry = &entries->items[i];
        if (!entry->matched && same_sort(entry, wanted) && strcmp(entry->key, wanted->key) == 0) {
            return entry;
        }
    }
    return NULL;
}

/* Of what only the second has: what says the same under another name. */
static const char *find_alike(const struct entries *entries, const struct entry *wanted)
{
    bool one_name = strcmp(wanted->sort, "limit") != 0 && wanted->name[0];
    for (uint32_t i = 0; one_name && i < entries->count; i++) {
        const struct entry *entry = &entries->items[i];
        bool same = !entry->matched && same_sort(entry, wanted) && entry->count == wanted->count;
        for (uint32_t k = 0; same && k < entry->count; k++) {
            same = lines_same(&entry->lines[k], &wanted->lines[k]);
        }
        if (same) {
            return entry->name;
        }
    }
    return "";
}

/* The matches first, so that an entry without one can be held against what is left. */
static struct entry **match_all(struct arena *arena, const struct entries *first,
                                const struct entries *second)
{
    struct entry **matches = ARENA_ARRAY(arena, struct entry *, first->count);
    for (uint32_t i = 0; i < first->count; i++) {
        matches[i] = find_match(second, &first->items[i]);
        if (matches[i]) {
            matches[i]->matched = true;
        }
    }
    return matches;
}

void changes_list(struct arena *arena, const struct book *first, const struct book *second,
                  const struct renames *renames, struct stave_changes *changes)
{
    static const struct renames none = {NULL, 0, false};
    struct entries a = entries_of(arena, first, renames);
    struct entries b = entries_of(arena, second, &none);
    struct entry **matches = match_all(arena, &a, &b);
    struct lister lister = {.arena = arena};
    for (uint32_t i = 0; i < a.count; i++) {
        const struct entry *entry = &a.items[i], *other = matches[i];
        if (!other) {
            add(&lister, STAVE_REMOVED, entry, NULL, &entry->lines[0], NULL)->alike =
                find_alike(&b, entry);
            continue;
        }
        if (strcmp(entry->key, entry->name) != 0 && strcmp(entry->name, other->name) != 0) {
            add(&lister, STAVE_RENAMED, entry, other, &entry->lines[0], &other->lines[0]);
        }
        compare_lines(&lister, entry, other);
    }
    for (uint32_t i = 0; i < b.count; i++) {
        if (!b.items[i].matched) {
            add(&lister, STAVE_ADDED, NULL, &b.items[i], NULL, &b.items[i].lines[0]);
        }
    }
    changes->amendments = lister.items;
    changes->amendment_count = lister.count;
}
