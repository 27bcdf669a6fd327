/* The findings of a record, each a line or a map, each with an id of its own. */
#include <string.h>

#include "base/text.h"
#include "read/read.h"
#include "record/intake.h"

/* ---- ids ---------------------------------------------------------------------- */

bool id_good(const char *text)
{
    size_t size = strlen(text);
    if (!size || size > RECORD_ID) {
        return false;
    }
    for (size_t i = 0; i < size; i++) {
        char c = text[i];
        bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        if (!letter && (i == 0 || !strchr("-._/", c))) {
            return false;
        }
    }
    return true;
}

/* The id, or NULL with an error. */
static const char *id_check(struct intake *intake, const char *text, struct span at, bool as_key)
{
    if (id_good(text)) {
        return text;
    }
    problem_help(problem_add(intake->problems, STAVE_ERROR, "not-an-id", at,
                             "'%s' is not the id of a finding", text),
                 intake->problems, "%s",
                 as_key ? "an id is up to 32 letters, digits and - . _ /; a finding line that "
                          "holds a colon and a blank stands in double quotes"
                        : "an id is up to 32 letters, digits and - . _ /");
    return NULL;
}

/* The place of an id: of the finding that has it, else a free one. */
static uint32_t id_place(const struct intake *intake, const char *id)
{
    uint32_t place = 2166136261u;
    for (const char *byte = id; *byte; byte++) {
        place = (place ^ (unsigned char)*byte) * 16777619u;
    }
    for (place %= intake->id_places; intake->ids[place]; place = (place + 1) % intake->id_places) {
        if (strcmp(intake->record->findings[intake->ids[place] - 1]->id, id) == 0) {
            break;
        }
    }
    return place;
}

/* Adds a finding, whose id must be its own. */
static void finding_add(struct intake *intake, struct finding *finding, struct span at)
{
    struct record *record = intake->record;
    uint32_t place = id_place(intake, finding->id);
    if (intake->ids[place]) {
        struct stave_problem *problem = problem_add(intake->problems, STAVE_ERROR, "doubled-id", at,
                                                    "id '%s' is used twice", finding->id);
        problem_second(problem, intake->problems, record->findings[intake->ids[place] - 1]->span,
                       "it stands for this one too");
        problem_help(problem, intake->problems,
                     "findings without an id are F1, F2 and so on, by their place");
    } else {
        intake->ids[place] = record->finding_count + 1;
    }
    record->findings[record->finding_count++] = finding;
}

/* ---- one finding ------------------------------------------------------------------ */

/* What the record adds to the resolver: the part is fitted there, the kind is no check. */
static bool fits_record(struct intake *intake, const struct finding *finding,
                        const struct tree_finding *line)
{
    uint32_t bit = finding->instance ? finding->instance - 1 : 0;
    if (finding->kind->is_check) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "check-as-finding", line->kind.span,
                                 "'%s' is a check, not a kind of damage", finding->kind->name),
                     intake->problems, "answer it under 'checks'");
        return false;
    }
    if (!(parts_asked(intake, finding->part) >> bit & 1)) {
        problem_help(
            problem_add(intake->problems, STAVE_ERROR, "not-fitted", line->part.span,
                        "'%s' is not fitted",
                        finding_part_name(intake->arena, finding->part, finding->instance)),
            intake->problems, "mend what stands under 'fitted', or the part");
        return false;
    }
    return true;
}

struct item {
    const char *id;
    struct span id_span;
    struct tree_finding *line;
    const char *text; /* NULL: as typed */
};

static bool line_item(struct intake *intake, const struct frame_node *node, struct item *item)
{
    if (!value_readable(intake, node)) {
        return false;
    }
    item->line = read_finding(intake->work, node->span, intake->problems);
    return item->line != NULL;
}

static bool item_read(struct intake *intake, const struct frame_node *node, struct item *item)
{
    item->id_span = node->span;
    if (node->sort == FRAME_TEXT) {
        return line_item(intake, node, item);
    }
    if (node->sort == FRAME_LIST) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "wrong-form", node->span,
                                 "a list where a finding belongs"),
                     intake->problems, "write the finding as a line, or as a map of its names");
        return false;
    }
    const struct frame_node *first = node->children;
    bool as_map =
        node->count > 1 || strcmp(first->key, "part") == 0 || strcmp(first->key, "kind") == 0;
    const struct frame_node *id = as_map ? frame_find(node, "id") : NULL;
    if (as_map) {
        item->line = finding_map_read(intake, node, &item->text);
    } else {
        item->id = id_check(intake, first->key, first->key_span, true);
        item->id_span = first->key_span;
        return item->id && line_item(intake, first, item);
    }
    if (id && value_readable(intake, id)) {
        item->id_span = id->span;
        item->id = id_check(intake, id->text, id->span, false);
    }
    return item->line && (!id || item->id);
}

static void finding_take(struct intake *intake, const struct frame_node *node, uint32_t position,
                         const struct finding_counts *counts)
{
    struct item item = {0};
    if (!item_read(intake, node, &item)) {
        return;
    }
    if (intake->renames) {
        item.line = rename_finding(intake->arena, intake->renames, item.line);
    }
    const char *id = item.id ? item.id : text_format(intake->arena, "F%u", position);
    struct finding *finding =
        finding_resolve(intake->work, intake->book, item.line, NULL, counts, id, intake->problems);
    if (!finding || !fits_record(intake, finding, item.line)) {
        return;
    }
    finding = finding_keep(intake->arena, finding);
    if (item.text) {
        finding->text = item.text;
    }
    finding->id_typed = item.id != NULL;
    finding_add(intake, finding, item.id_span);
}

static void finding_read(struct intake *intake, const struct frame_node *node, uint32_t position,
                         const struct finding_counts *counts)
{
    struct arena_mark mark = arena_mark(intake->work);
    finding_take(intake, node, position, counts);
    arena_release(intake->work, mark);
}

/* ---- all of them ----------------------------------------------------------------------- */

/* Each finding takes its instances from what is there, fitted or not known to be. */
static struct finding_counts counts_of(struct intake *intake)
{
    return (struct finding_counts){.instances = intake->record->instances};
}

static void not_findings(struct intake *intake, const struct frame_node *node)
{
    bool bracketed = node->sort == FRAME_LIST && node->flow && node->count;
    problem_help(problem_add(intake->problems, STAVE_ERROR, "wrong-form", node->key_span,
                             bracketed ? "findings in brackets" : "'findings' is not a list"),
                 intake->problems, "%s",
                 bracketed
                     ? "a finding line holds commas: write each on a line of its own after '- '"
                     : "write each finding on a line of its own after '- ', or none");
}

static void end_agrees(struct intake *intake, uint32_t count)
{
    const struct frame_node *end = frame_find(intake->root, "end");
    uint32_t said = 0, words = 0;
    if (!end || !value_readable(intake, end)) {
        return;
    }
    struct tree_word *word = value_words(intake, end, &words);
    bool form = words == 2 && value_whole(word[0].text, &said) &&
                (strcmp(word[1].text, "findings") == 0 ||
                 (said == 1 && strcmp(word[1].text, "finding") == 0));
    if (!form) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "end", end->span,
                                 "'%s' is not a count of findings", end->text),
                     intake->problems, "write 'end: %u finding%s'", count, count == 1 ? "" : "s");
    } else if (said != count) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "end", end->span,
                                 "the record has %u finding%s, but its end says %u", count,
                                 count == 1 ? "" : "s", said),
                     intake->problems,
                     "look for a finding that was lost or added, then mend the count");
    }
}

void findings_read(struct intake *intake)
{
    const struct frame_node *node = frame_find(intake->root, "findings");
    if (!node) {
        return;
    }
    bool none = node->sort == FRAME_TEXT && strcmp(node->text, "none") == 0;
    if (!none && (node->sort != FRAME_LIST || node->flow || !node->count)) {
        not_findings(intake, node);
        return;
    }
    if (!none && node->count > RECORD_FINDINGS) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "too-many", node->key_span,
                                 "%u findings in one record", node->count),
                     intake->problems, "a record holds at most %u", RECORD_FINDINGS);
        return;
    }
    struct finding_counts counts = counts_of(intake);
    uint32_t position = 0;
    intake->record->findings = ARENA_ARRAY(intake->arena, struct finding *, node->count);
    for (intake->id_places = 2; intake->id_places < 2 * node->count; intake->id_places *= 2) {
    }
    intake->ids = ARENA_ARRAY(intake->arena, uint32_t, intake->id_places);
    intake->work = arena_beside(intake->arena);
    for (const struct frame_node *item = none ? NULL : node->children; item; item = item->next) {
        finding_read(intake, item, ++position, &counts);
    }
    arena_end(intake->work);
    end_agrees(intake, position);
}
