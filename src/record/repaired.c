/* What became of damage that was there before: repaired, or gone with its part. */
#include <string.h>

#include "base/text.h"
#include "record/intake.h"

/* The text before ';' into a node of its own, and what follows it, without blanks at its ends. */
static struct frame_node without_remark(struct intake *intake, const struct frame_node *node,
                                        const char **remark)
{
    struct frame_node head = *node;
    const char *mark = strchr(node->text, ';');
    size_t size = mark ? (size_t)(mark - node->text) : strlen(node->text);
    *remark = "";
    if (mark) {
        const char *from = mark + 1 + strspn(mark + 1, " \t");
        size_t left = strlen(from);
        while (left && strchr(" \t", from[left - 1])) {
            left--;
        }
        *remark = arena_copy_text(intake->arena, from, left);
    }
    while (size && strchr(" \t", node->text[size - 1])) {
        size--;
    }
    head.text = arena_copy_text(intake->arena, node->text, size);
    head.span.to = node->span.from + (uint32_t)size;
    return head;
}

static bool wrong_name(struct intake *intake, const struct frame_node *node)
{
    problem_help(problem_add(intake->problems, STAVE_ERROR, "not-an-id", node->span,
                             "'%s' names no finding and no check", node->text),
                 intake->problems,
                 "write the id of a finding, or a part and a check, such as 'blade 2 leakage'");
    return false;
}

/* "blade 2 leakage": a part, its number, a check that is made on it. */
static bool check_named(struct intake *intake, const struct frame_node *node,
                        const struct tree_word *words, uint32_t count, struct repaired *repaired)
{
    uint32_t used;
    if (!parts_one(intake, words, count, &repaired->part, &repaired->instance, &used)) {
        return false;
    }
    if (used + 1 != count) {
        return wrong_name(intake, node);
    }
    const struct kind *check = book_find_kind(intake->book, words[used].text);
    if (!check || !check->is_check || kind_part_position(check, repaired->part) < 0) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "unknown-name", words[used].span,
                                 "'%s' is no check on '%s'", words[used].text,
                                 repaired->part->name),
                     intake->problems, "a finding is named by its id alone");
        return false;
    }
    repaired->check = check;
    return true;
}

static bool same(const struct repaired *a, const struct repaired *b)
{
    return a->id && b->id ? strcmp(a->id, b->id) == 0
                          : !a->id && !b->id && a->check == b->check && a->part == b->part &&
                                a->instance == b->instance;
}

static void item_read(struct intake *intake, const struct frame_node *node, size_t *capacity)
{
    struct record *record = intake->record;
    if (!value_readable(intake, node)) {
        return;
    }
    struct repaired repaired = {.span = node->span};
    struct frame_node head = without_remark(intake, node, &repaired.remark);
    uint32_t count;
    struct tree_word *words = value_words(intake, &head, &count);
    repaired.text = head.text;
    repaired.span = head.span;
    if (count == 1 && id_good(head.text)) {
        repaired.id = head.text;
    } else if (count < 2) {
        wrong_name(intake, &head);
        return;
    } else if (!check_named(intake, &head, words, count, &repaired)) {
        return;
    }
    for (uint32_t i = 0; i < record->repaired_count; i++) {
        if (same(&record->repaired[i], &repaired)) {
            problem_second(problem_add(intake->problems, STAVE_ERROR, "given-twice", head.span,
                                       "'%s' is repaired twice", head.text),
                           intake->problems, record->repaired[i].span, "it stands here too");
            return;
        }
    }
    *ARENA_PUSH(intake->arena, record->repaired, record->repaired_count, *capacity) = repaired;
}

void repaired_read(struct intake *intake)
{
    const struct frame_node *node = frame_find(intake->root, "repaired");
    size_t capacity = 0;
    if (!node || (node->sort == FRAME_TEXT && strcmp(node->text, "none") == 0)) {
        return;
    }
    if (node->sort != FRAME_LIST || !node->count) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "wrong-form", node->key_span,
                                 "'repaired' is not a list"),
                     intake->problems, "write '[F-112, F-113]', or a line for each, or none");
        return;
    }
    for (const struct frame_node *item = node->children; item; item = item->next) {
        item_read(intake, item, &capacity);
    }
}
