/*
 * A finding written as a map, for programs: the same names as in a line, one on a line.
 *
 * The map becomes the tree of the line that says the same, so that one resolver judges both.
 */
#include <string.h>

#include "base/text.h"
#include "read/read.h"
#include "record/intake.h"

struct filling {
    struct intake *intake;
    struct tree_finding *line;
    const struct part *part; /* NULL: unknown, which the resolver tells */
    const struct kind *kind;
    struct tree_place **places_end;
    struct tree_reading **readings_end;
};

static const char *const own_keys[] = {"part", "kind",  "id", "remark",
                                       "side", "place", "new"};
enum { OWN_KEYS = sizeof own_keys / sizeof *own_keys };

static bool is_own_key(const char *key)
{
    for (size_t i = 0; i < OWN_KEYS; i++) {
        if (strcmp(own_keys[i], key) == 0) {
            return true;
        }
    }
    return false;
}

static const struct axis *axis_of(const struct part *part, const char *name)
{
    for (uint32_t i = 0; part && i < part->axis_count; i++) {
        if (strcmp(part->axes[i].name, name) == 0) {
            return &part->axes[i];
        }
    }
    return NULL;
}

static const struct recorded *recorded_of(const struct kind *kind, const char *name)
{
    for (uint32_t i = 0; kind && i < kind->record_count; i++) {
        if (strcmp(kind->records[i].name, name) == 0) {
            return &kind->records[i];
        }
    }
    return NULL;
}

/* ---- words ------------------------------------------------------------------------ */

/* The words of a value that has at least `least` and at most `most`; NULL with an error. */
static struct tree_word *words_of(struct filling *filling, const struct frame_node *node,
                                  uint32_t least, uint32_t most, uint32_t *count, const char *what)
{
    struct intake *intake = filling->intake;
    if (!value_readable(intake, node)) {
        return NULL;
    }
    struct tree_word *words = value_words(intake, node, count);
    if (*count < least || *count > most) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "wrong-form", node->span,
                                 "'%s' is not %s", node->text, what),
                     intake->problems, "write %s", what);
        return NULL;
    }
    return words;
}

static bool fill_part(struct filling *filling, const struct frame_node *node)
{
    uint32_t count;
    struct tree_word *words = words_of(filling, node, 1, 2, &count, "a part and its number");
    if (!words) {
        return false;
    }
    filling->line->part = words[0];
    if (count == 2) {
        filling->line->instance = words[1];
    }
    filling->part = book_find_part(filling->intake->book, words[0].text);
    return true;
}

static bool fill_kind(struct filling *filling, const struct frame_node *node)
{
    uint32_t count;
    struct tree_word *words = words_of(filling, node, 1, 1, &count, "one kind of damage");
    if (!words) {
        return false;
    }
    filling->line->kind = words[0];
    filling->kind = book_find_kind(filling->intake->book, words[0].text);
    return true;
}

/* ---- places ------------------------------------------------------------------------- */

static struct tree_place *place_new(struct filling *filling, const struct frame_node *node)
{
    struct tree_place *place = ARENA_NEW(filling->intake->arena, struct tree_place);
    place->span = node->span;
    *filling->places_end = place;
    filling->places_end = &place->next;
    return place;
}

/* Whether a side's or a place's word is one of those that its key speaks of. */
static bool word_known(struct filling *filling, const struct frame_node *node,
                       struct tree_word word)
{
    const struct part *part = filling->part;
    bool side = strcmp(node->key, "side") == 0;
    const char **names = side ? part->sides : part->places;
    uint32_t count = side ? part->side_count : part->place_count;
    for (uint32_t i = 0; i < count; i++) {
        if (strcmp(names[i], word.text) == 0) {
            return true;
        }
    }
    struct stave_problem *problem =
        problem_add(filling->intake->problems, STAVE_ERROR, "unknown-name", word.span,
                    "unknown %s '%s' of '%s'", node->key, word.text, part->name);
    value_suggest(filling->intake, problem, word.text, names, count, "it has");
    return false;
}

static bool fill_side_or_place(struct filling *filling, const struct frame_node *node)
{
    if (node->sort == FRAME_TEXT && value_is_missing(node->text)) {
        return true;
    }
    uint32_t count;
    struct tree_word *words = words_of(filling, node, 1, 1, &count, "one word");
    if (!words || (filling->part && !word_known(filling, node, words[0]))) {
        return false;
    }
    place_new(filling, node)->name = words[0];
    return true;
}

static bool fill_axis(struct filling *filling, const struct frame_node *node)
{
    struct intake *intake = filling->intake;
    if (!value_readable(intake, node)) {
        return false;
    }
    if (value_is_missing(node->text)) {
        return true;
    }
    struct tree_range *range = read_range(intake->arena, node->span, intake->problems);
    if (!range) {
        return false;
    }
    struct tree_place *place = place_new(filling, node);
    place->name = (struct tree_word){node->key, node->key_span};
    place->range = range;
    return true;
}

/* ---- readings ------------------------------------------------------------------------ */

/* "chordwise", "spanwise or slanted": the words that are values. */
static bool fill_values(struct filling *filling, const struct frame_node *node,
                        struct tree_reading *reading)
{
    uint32_t count;
    struct tree_word *words = words_of(filling, node, 1, 2 * BOOK_VALUES, &count,
                                       "one value, or several with 'or' between");
    struct tree_words **end = &reading->values;
    for (uint32_t i = 0; words && i < count; i++) {
        bool is_or = strcmp(words[i].text, "or") == 0;
        if (is_or != (i % 2 == 1) || (is_or && i + 1 == count)) {
            problem_help(problem_add(filling->intake->problems, STAVE_ERROR, "wrong-form",
                                     words[i].span, "'%s' does not belong here", words[i].text),
                         filling->intake->problems,
                         "write one value, or several with 'or' between");
            return false;
        }
        if (!is_or) {
            *end = ARENA_NEW(filling->intake->arena, struct tree_words);
            (*end)->word = words[i];
            end = &(*end)->next;
        }
    }
    return words != NULL;
}

static bool fill_reading(struct filling *filling, const struct frame_node *node,
                         const struct recorded *recorded)
{
    struct intake *intake = filling->intake;
    if (!value_readable(intake, node)) {
        return false;
    }
    struct tree_reading *reading = ARENA_NEW(intake->arena, struct tree_reading);
    reading->name = (struct tree_word){node->key, node->key_span};
    reading->span = node->span;
    if (value_is_missing(node->text)) {
        reading->sort = TREE_READ_MISSING;
    } else if (recorded->measure) {
        reading->sort = TREE_READ_RANGE;
        reading->range = read_range(intake->arena, node->span, intake->problems);
        if (!reading->range) {
            return false;
        }
    } else {
        reading->sort = TREE_READ_VALUES;
        if (!fill_values(filling, node, reading)) {
            return false;
        }
    }
    *filling->readings_end = reading;
    filling->readings_end = &reading->next;
    return true;
}

/* "was length", "first length": the sort and the name of an earlier reading. */
static const char *before_key(const char *key, enum tree_reading_sort *sort)
{
    *sort = strncmp(key, "was ", 4) == 0 ? TREE_READ_WAS : TREE_READ_FIRST;
    size_t lead = *sort == TREE_READ_WAS ? 4 : strncmp(key, "first ", 6) == 0 ? 6 : 0;
    return lead ? key + lead + strspn(key + lead, " \t") : NULL;
}

static bool fill_before(struct filling *filling, const struct frame_node *node,
                        enum tree_reading_sort sort, const char *name)
{
    struct intake *intake = filling->intake;
    struct tree_reading *reading = ARENA_NEW(intake->arena, struct tree_reading);
    *reading = (struct tree_reading){
        .sort = sort, .span = node->span, .name = {name, node->key_span}};
    if (!value_readable(intake, node)) {
        return false;
    }
    reading->range = read_range(intake->arena, node->span, intake->problems);
    if (!reading->range) {
        return false;
    }
    *filling->readings_end = reading;
    filling->readings_end = &reading->next;
    return true;
}

static bool fill_new(struct filling *filling, const struct frame_node *node)
{
    struct intake *intake = filling->intake;
    if (node->sort != FRAME_TEXT || strcmp(node->text, "yes") != 0) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "wrong-form", node->span,
                                 "'new' is not 'yes'"),
                     intake->problems, "write 'new: yes' where it was not there before, or leave it out");
        return false;
    }
    struct tree_reading *reading = ARENA_NEW(intake->arena, struct tree_reading);
    *reading = (struct tree_reading){.sort = TREE_READ_NEW, .span = node->key_span};
    *filling->readings_end = reading;
    filling->readings_end = &reading->next;
    return true;
}

/* ---- keys ------------------------------------------------------------------------------- */

static bool unknown_key(struct filling *filling, const struct frame_node *node)
{
    struct intake *intake = filling->intake;
    const struct part *part = filling->part;
    const struct kind *kind = filling->kind;
    const char **names = ARENA_ARRAY(intake->arena, const char *,
                                     (size_t)OWN_KEYS + part->axis_count + kind->record_count);
    uint32_t count = 0;
    for (uint32_t i = 0; i < kind->record_count; i++) {
        names[count++] = kind->records[i].name;
    }
    for (uint32_t i = 0; i < part->axis_count; i++) {
        names[count++] = part->axes[i].name;
    }
    for (uint32_t i = 0; i < OWN_KEYS; i++) {
        bool sides = strcmp(own_keys[i], "side") == 0, places = strcmp(own_keys[i], "place") == 0;
        if ((!sides || part->side_count) && (!places || part->place_count)) {
            names[count++] = own_keys[i];
        }
    }
    struct stave_problem *problem =
        problem_add(intake->problems, STAVE_ERROR, "unknown-key", node->key_span,
                    "unknown key '%s' for '%s' on '%s'", node->key, kind->name, part->name);
    value_suggest(intake, problem, node->key, names, count, "it can have");
    return false;
}

/* Names that mean something else in a map: a kind that records one is written as a line. */
static bool names_clash(struct filling *filling, const struct frame_node *map)
{
    for (uint32_t i = 0; i < OWN_KEYS; i++) {
        if (recorded_of(filling->kind, own_keys[i]) || axis_of(filling->part, own_keys[i])) {
            problem_help(problem_add(filling->intake->problems, STAVE_ERROR, "wrong-form",
                                     map->children->key_span,
                                     "'%s' cannot be told from the book's '%s' here", own_keys[i],
                                     own_keys[i]),
                         filling->intake->problems, "write this finding as a line");
            return true;
        }
    }
    return false;
}

static bool fill_key(struct filling *filling, const struct frame_node *node)
{
    const char *key = node->key;
    if (strcmp(key, "part") == 0 || strcmp(key, "kind") == 0 || strcmp(key, "id") == 0) {
        return true;
    }
    if (strcmp(key, "remark") == 0) {
        filling->line->remark = (struct tree_word){value_text(filling->intake, node), node->span};
        return node->sort == FRAME_TEXT;
    }
    if (strcmp(key, "new") == 0) {
        return fill_new(filling, node);
    }
    if (is_own_key(key)) {
        return fill_side_or_place(filling, node);
    }
    if (axis_of(filling->part, key)) {
        return fill_axis(filling, node);
    }
    const struct recorded *recorded = recorded_of(filling->kind, key);
    if (recorded) {
        return fill_reading(filling, node, recorded);
    }
    enum tree_reading_sort sort;
    const char *name = before_key(key, &sort);
    if (name && recorded_of(filling->kind, name)) {
        return fill_before(filling, node, sort, name);
    }
    /* With an unknown part or kind no key can be judged: the resolver tells of that. */
    return !filling->part || !filling->kind || unknown_key(filling, node);
}

/* ---- the line that says the same --------------------------------------------------------- */

static void add_words(struct text *text, const char *before, const char *name, const char *value)
{
    text_add(text, before);
    text_add(text, name);
    text_add(text, name[0] ? " " : "");
    text_add(text, value);
}

static const char *line_text(struct filling *filling, const struct frame_node *map)
{
    struct text text;
    text_begin(&text, filling->intake->arena);
    add_words(&text, "", frame_find(map, "part")->text, frame_find(map, "kind")->text);
    const char *before = " at ";
    for (const struct frame_node *node = map->children; node; node = node->next) {
        bool side = strcmp(node->key, "side") == 0 || strcmp(node->key, "place") == 0;
        if ((side || axis_of(filling->part, node->key)) && !value_is_missing(node->text)) {
            add_words(&text, before, side ? "" : node->key, node->text);
            before = " ";
        }
    }
    for (const struct frame_node *node = map->children; node; node = node->next) {
        if (strcmp(node->key, "new") == 0) {
            add_words(&text, ", ", "", node->key);
        } else if (!is_own_key(node->key) && !axis_of(filling->part, node->key)) {
            add_words(&text, ", ", node->key, node->text);
        }
    }
    return text_done(&text);
}

static const struct frame_node *needed(struct intake *intake, const struct frame_node *map,
                                       const char *key)
{
    const struct frame_node *node = frame_find(map, key);
    if (!node) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "missing-key",
                                 map->children->key_span, "a finding without '%s'", key),
                     intake->problems, "write '%s: ...' on a line of its own", key);
    }
    return node;
}

struct tree_finding *finding_map_read(struct intake *intake, const struct frame_node *map,
                                      const char **text)
{
    struct filling filling = {.intake = intake,
                              .line = ARENA_NEW(intake->arena, struct tree_finding)};
    filling.places_end = &filling.line->places;
    filling.readings_end = &filling.line->readings;
    filling.line->span = map->span;
    const struct frame_node *part = needed(intake, map, "part");
    const struct frame_node *kind = needed(intake, map, "kind");
    bool good = part && fill_part(&filling, part);
    good = kind && fill_kind(&filling, kind) && good;
    if (names_clash(&filling, map)) {
        return NULL;
    }
    for (const struct frame_node *node = map->children; node; node = node->next) {
        good = fill_key(&filling, node) && good;
    }
    if (!good) {
        return NULL;
    }
    *text = line_text(&filling, map);
    return filling.line;
}
