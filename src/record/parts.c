/* How many of each part there are, which are fitted, and which were searched. */
#include <string.h>

#include "base/text.h"
#include "record/intake.h"

static uint64_t lowest_bits(uint32_t count)
{
    return count >= 64 ? UINT64_MAX : (UINT64_C(1) << count) - 1;
}

static const struct part *counting_part(const struct part *part)
{
    while (part->count == PART_ON_EACH && part->each_of) {
        part = part->each_of;
    }
    return part;
}

bool parts_single(const struct part *part)
{
    return counting_part(part)->count != PART_COUNTED;
}

const char *parts_count_key(struct intake *intake, const struct part *part)
{
    return text_format(intake->arena, "%ss", part->name);
}

uint64_t parts_asked(const struct intake *intake, const struct part *part)
{
    return intake->record->fitted_known[part->index] ? intake->record->fitted[part->index]
                                                     : lowest_bits(intake->positions[part->index]);
}

/* ---- a stretch of instances: "blade 1", "blade 1 .. 4", "spinner" ---------------------- */

struct stretch {
    const struct part *part;
    uint32_t from, to; /* 1 .. 1 for a part that is one */
};

static bool not_parts(struct intake *intake, const struct frame_node *node)
{
    problem_help(problem_add(intake->problems, STAVE_ERROR, "not-parts", node->span,
                             "'%s' does not name parts", node->text),
                 intake->problems,
                 "write a part and its number, 'blade 1' or 'blade 1 .. 4'; a part that is one "
                 "without a number");
    return false;
}

static bool unknown_part(struct intake *intake, struct tree_word word)
{
    const struct book *book = intake->book;
    const char **names = ARENA_ARRAY(intake->arena, const char *, book->part_count);
    for (uint32_t i = 0; i < book->part_count; i++) {
        names[i] = book->parts[i].name;
    }
    struct stave_problem *problem = problem_add(intake->problems, STAVE_ERROR, "unknown-name",
                                                word.span, "unknown part '%s'", word.text);
    value_suggest(intake, problem, word.text, names, book->part_count, "parts of this book");
    return false;
}

/* The numbers of a stretch: "1", or "1 .. 4". */
static bool stretch_numbers(const struct tree_word *words, uint32_t count, struct stretch *stretch)
{
    if (count == 1) {
        bool good = value_whole(words[0].text, &stretch->from);
        stretch->to = stretch->from;
        return good;
    }
    return count == 3 && strcmp(words[1].text, "..") == 0 &&
           value_whole(words[0].text, &stretch->from) && value_whole(words[2].text, &stretch->to);
}

static bool stretch_within(struct intake *intake, const struct frame_node *node,
                           const struct stretch *stretch)
{
    const struct part *part = stretch->part;
    uint32_t most = intake->positions[part->index];
    if (stretch->from > stretch->to) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "reversed-range", node->span,
                                 "'%s' runs backwards", node->text),
                     intake->problems, "write the smaller number first");
        return false;
    }
    if (stretch->from < 1 || stretch->to > most) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "no-such-instance", node->span,
                                 "'%s' names what this propeller does not have", node->text),
                     intake->problems, "it has %s 1 to %u", part->name, most);
        return false;
    }
    return true;
}

static bool stretch_read(struct intake *intake, const struct frame_node *node,
                         struct stretch *stretch)
{
    if (!value_readable(intake, node)) {
        return false;
    }
    uint32_t count;
    struct tree_word *words = value_words(intake, node, &count);
    if (!count) {
        return not_parts(intake, node);
    }
    words[0].text = rename_text(intake->renames, words[0].text);
    stretch->part = book_find_part(intake->book, words[0].text);
    if (!stretch->part) {
        return unknown_part(intake, words[0]);
    }
    if (parts_single(stretch->part)) {
        stretch->from = stretch->to = 1;
        bool named = count == 1 || (count == 2 && strcmp(words[1].text, "1") == 0);
        return named || not_parts(intake, node);
    }
    return stretch_numbers(words + 1, count - 1, stretch) ? stretch_within(intake, node, stretch)
                                                          : not_parts(intake, node);
}

bool parts_one(struct intake *intake, const struct tree_word *words, uint32_t count,
               const struct part **part, uint32_t *instance, uint32_t *used)
{
    *part = book_find_part(intake->book, words[0].text);
    *instance = 0;
    *used = 1;
    if (!*part) {
        return unknown_part(intake, words[0]);
    }
    if (parts_single(*part)) {
        return true;
    }
    *used = 2;
    uint32_t most = intake->positions[(*part)->index];
    if (count > 1 && value_whole(words[1].text, instance) && *instance >= 1 && *instance <= most) {
        return true;
    }
    problem_help(problem_add(intake->problems, STAVE_ERROR, "no-such-instance",
                             words[count > 1 ? 1 : 0].span, "'%s' has no such number", (*part)->name),
                 intake->problems, "this propeller has %s 1 to %u", (*part)->name, most);
    return false;
}

static uint64_t stretch_bits(const struct stretch *stretch)
{
    return lowest_bits(stretch->to) & ~lowest_bits(stretch->from - 1);
}

/* ---- counts ---------------------------------------------------------------------------- */

static void count_read(struct intake *intake, const struct part *part)
{
    uint32_t *positions = &intake->positions[part->index];
    *positions = part->most; /* on an error, so that one fault is told once */
    const struct frame_node *node = frame_find(intake->root, parts_count_key(intake, part));
    if (!node || !value_text(intake, node)) {
        return; /* a missing key is told with the other missing ones */
    }
    uint32_t number;
    if (!value_whole(node->text, &number)) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "not-a-count", node->span,
                                 "'%s' is not a whole number", node->text),
                     intake->problems, "write how many there are, such as %u", part->least);
    } else if (number < part->least || number > part->most) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "outside-range", node->span,
                                 "%s %s is outside its range", node->key, node->text),
                     intake->problems, "this book is for %u to %u of them", part->least,
                     part->most);
    } else {
        *positions = number;
        intake->counted[part->index] = true;
    }
}

/* ---- fitted ----------------------------------------------------------------------------- */

static uint64_t fitted_list(struct intake *intake, const struct part *part,
                            const struct frame_node *list)
{
    uint64_t bits = 0;
    for (const struct frame_node *item = list->children; item; item = item->next) {
        struct stretch stretch;
        if (!stretch_read(intake, item, &stretch)) {
            continue;
        }
        if (stretch.part != part) {
            problem_help(problem_add(intake->problems, STAVE_ERROR, "other-part", item->span,
                                     "'%s' is not a '%s'", item->text, part->name),
                         intake->problems, "list the ones that are fitted: '%s 1', '%s 1 .. 2'",
                         part->name, part->name);
        } else if (bits & stretch_bits(&stretch)) {
            problem_help(problem_add(intake->problems, STAVE_ERROR, "given-twice", item->span,
                                     "'%s' is listed twice", item->text),
                         intake->problems, "list each once");
        } else {
            bits |= stretch_bits(&stretch);
        }
    }
    return bits;
}

static void not_fitted_form(struct intake *intake, const struct part *part,
                            const struct frame_node *node)
{
    problem_help(problem_add(intake->problems, STAVE_ERROR, "wrong-form", node->span,
                             "this does not say which are fitted"),
                 intake->problems, "write all, none, not seen%s%s%s",
                 parts_single(part) ? "" : ", or a list such as [",
                 parts_single(part) ? "" : part->name, parts_single(part) ? "" : " 1]");
}

/* Which of `could` are fitted, by what the record says of a part `where fitted`. */
static void fitted_read(struct intake *intake, const struct part *part, uint64_t could)
{
    const struct frame_node *map = frame_find(intake->root, "fitted");
    const struct frame_node *node =
        map && map->sort == FRAME_MAP ? frame_find(map, part->name) : NULL;
    uint64_t *fitted = &intake->record->fitted[part->index];
    size_t errors = intake->problems->error_count;
    *fitted = could;
    if (!node) {
        intake->counted[part->index] = false; /* told by fitted_keys */
    } else if (node->sort == FRAME_LIST && !parts_single(part) && node->count) {
        uint64_t bits = fitted_list(intake, part, node);
        if (bits & ~could) {
            problem_help(problem_add(intake->problems, STAVE_ERROR, "not-fitted", node->span,
                                     "a '%s' is listed on a '%s' that is not fitted", part->name,
                                     part->each_of ? part->each_of->name : part->name),
                         intake->problems, "mend the one or the other");
        }
        *fitted = bits & could;
    } else if (node->sort == FRAME_TEXT && strcmp(node->text, "none") == 0) {
        *fitted = 0;
    } else if (node->sort == FRAME_TEXT && value_is_missing(node->text)) {
        *fitted = 0;
        intake->record->fitted_known[part->index] = false;
    } else if (node->sort != FRAME_TEXT || strcmp(node->text, "all") != 0) {
        not_fitted_form(intake, part, node);
    }
    if (intake->problems->error_count != errors) { /* so that one fault is told once */
        *fitted = could;
        intake->counted[part->index] = false;
    }
}

/* Every key under `fitted` is a part `where fitted`, and every such part is there. */
static void fitted_keys(struct intake *intake)
{
    const struct book *book = intake->book;
    const struct frame_node *map = frame_find(intake->root, "fitted");
    if (!map) {
        return; /* told with the other missing keys */
    }
    if (map->sort != FRAME_MAP) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "wrong-form", map->key_span,
                                 "'fitted' is not a map of parts"),
                     intake->problems, "write one line below it for each part: 'boot: all'");
        return;
    }
    uint32_t count = 0;
    const char **names = ARENA_ARRAY(intake->arena, const char *, book->part_count);
    for (uint32_t i = 0; i < book->part_count; i++) {
        if (!book->parts[i].where_fitted) {
            continue;
        }
        names[count++] = book->parts[i].name;
        if (!frame_find(map, book->parts[i].name)) {
            problem_help(problem_add(intake->problems, STAVE_ERROR, "missing-key", map->key_span,
                                     "'fitted' does not say whether '%s' is", book->parts[i].name),
                         intake->problems, "write all, none, not seen, or a list");
        }
    }
    for (const struct frame_node *node = map->children; node; node = node->next) {
        const struct part *part = book_find_part(book, node->key);
        if (!part || !part->where_fitted) {
            struct stave_problem *problem =
                problem_add(intake->problems, STAVE_ERROR, "unknown-key", node->key_span,
                            part ? "'%s' is always fitted" : "unknown part '%s'", node->key);
            value_suggest(intake, problem, node->key, names, count, "the book asks this of");
        }
    }
}

/* ---- each part in turn ----------------------------------------------------------------------- */

static void part_read(struct intake *intake, const struct part *part)
{
    struct record *record = intake->record;
    uint32_t p = part->index;
    if (intake->resolved[p]) {
        return;
    }
    intake->resolved[p] = true;
    record->fitted_known[p] = true;
    uint64_t could = 1;
    if (part->count == PART_ON_EACH && part->each_of) {
        uint32_t of = part->each_of->index;
        part_read(intake, part->each_of);
        intake->positions[p] = intake->positions[of];
        intake->counted[p] = intake->counted[of];
        record->fitted_known[p] = record->fitted_known[of];
        could = record->fitted[of];
    } else if (part->count == PART_COUNTED) {
        count_read(intake, part);
        could = lowest_bits(intake->positions[p]);
    } else {
        intake->positions[p] = 1;
        intake->counted[p] = true;
    }
    record->fitted[p] = could;
    if (part->where_fitted && record->fitted_known[p]) {
        fitted_read(intake, part, could);
    }
    record->instances[p] = record->fitted_known[p] && !record->fitted[p] ? 0 : intake->positions[p];
}

void parts_read(struct intake *intake)
{
    fitted_keys(intake);
    for (uint32_t i = 0; i < intake->book->part_count; i++) {
        part_read(intake, &intake->book->parts[i]);
    }
}

/* ---- searched ------------------------------------------------------------------------------------ */

static void searched_item(struct intake *intake, const struct frame_node *item)
{
    struct stretch stretch;
    if (!stretch_read(intake, item, &stretch)) {
        return;
    }
    uint32_t p = stretch.part->index;
    uint64_t bits = stretch_bits(&stretch);
    if (bits & ~parts_asked(intake, stretch.part)) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "not-fitted", item->span,
                                 "'%s' was searched, but is not fitted", item->text),
                     intake->problems, "mend what stands under 'fitted', or this");
    } else if (bits & intake->searched[p]) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "given-twice", item->span,
                                 "'%s' is listed twice", item->text),
                     intake->problems, "list each part once, when it was searched");
    }
    intake->searched[p] |= bits;
    intake->search_at[p] = item->span;
}

void searched_read(struct intake *intake)
{
    const struct frame_node *node = frame_find(intake->root, "searched");
    if (!node || (node->sort == FRAME_TEXT && strcmp(node->text, "none") == 0)) {
        return;
    }
    if (node->sort != FRAME_LIST || !node->count) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "wrong-form", node->key_span,
                                 "'searched' is not a list of parts"),
                     intake->problems, "write '[blade 1 .. 4, spinner]', or none");
        return;
    }
    for (const struct frame_node *item = node->children; item; item = item->next) {
        searched_item(intake, item);
    }
}
