/* Texts of a record: what they may be and how they are cut. */
#include <string.h>

#include "base/text.h"
#include "record/intake.h"

const char *value_text(struct intake *intake, const struct frame_node *node)
{
    if (node->sort == FRAME_TEXT) {
        return node->text;
    }
    struct stave_problem *problem =
        node->key ? problem_add(intake->problems, STAVE_ERROR, "wrong-form", node->key_span,
                                "'%s' is not one text", node->key)
                  : problem_add(intake->problems, STAVE_ERROR, "wrong-form", node->span,
                                "this is not one text");
    problem_help(problem, intake->problems, "write one value here, on one line");
    return NULL;
}

bool value_readable(struct intake *intake, const struct frame_node *node)
{
    if (!value_text(intake, node)) {
        return false;
    }
    if (!node->exact) {
        problem_help(
            problem_add(intake->problems, STAVE_ERROR, "escapes", node->span,
                        "an escape or a doubled quote in a text that is read as it stands"),
            intake->problems, "write it without backslashes and without inner quotes");
        return false;
    }
    size_t size = strcspn(node->text, ";");
    const char *hash = memchr(node->text, '#', size);
    if (hash) {
        uint32_t at = node->span.from + (uint32_t)(hash - node->text);
        problem_help(
            problem_add(intake->problems, STAVE_ERROR, "comment-after-value",
                        (struct span){node->span.source, at, node->span.to}, "'#' within a value"),
            intake->problems, "a comment stands on a line of its own; a remark comes after ';'");
        return false;
    }
    return true;
}

static bool is_blank(char byte)
{
    return byte == ' ' || byte == '\t';
}

static bool is_dots(const char *text)
{
    return text[0] == '.' && text[1] == '.';
}

struct tree_word *value_words(struct intake *intake, const struct frame_node *node, uint32_t *count)
{
    struct tree_word *words = NULL;
    size_t found = 0, capacity = 0;
    const char *text = node->text;
    for (uint32_t at = 0; text[at];) {
        uint32_t from = at;
        if (is_dots(text + at)) {
            at += 2;
        } else {
            while (text[at] && !is_blank(text[at]) && !is_dots(text + at)) {
                at++;
            }
        }
        if (at > from) {
            *ARENA_PUSH(intake->arena, words, found, capacity) = (struct tree_word){
                arena_copy_text(intake->arena, text + from, at - from),
                {node->span.source, node->span.from + from, node->span.from + at}};
        }
        while (is_blank(text[at])) {
            at++;
        }
    }
    *count = (uint32_t)found;
    return words;
}

bool value_is_missing(const char *text)
{
    if (strncmp(text, "not", 3) != 0 || !is_blank(text[3])) {
        return false;
    }
    text += 3;
    while (is_blank(*text)) {
        text++;
    }
    return strcmp(text, "seen") == 0 || strcmp(text, "measured") == 0;
}

bool value_whole(const char *text, uint32_t *number)
{
    size_t size = strlen(text);
    *number = 0;
    if (!size || size > 9 || (text[0] == '0' && size > 1)) {
        return false;
    }
    for (size_t i = 0; i < size; i++) {
        if (text[i] < '0' || text[i] > '9') {
            return false;
        }
        *number = *number * 10 + (uint32_t)(text[i] - '0');
    }
    return true;
}

void value_suggest(struct intake *intake, struct stave_problem *problem, const char *wanted,
                   const char *const *names, uint32_t count, const char *what)
{
    const char *near = text_nearest(intake->arena, wanted, names, count);
    if (near) {
        problem_help(problem, intake->problems, "did you mean '%s'?", near);
        return;
    }
    struct text list;
    text_begin(&list, intake->arena);
    for (uint32_t i = 0; i < count; i++) {
        text_add(&list, i ? ", " : "");
        text_add(&list, names[i]);
    }
    problem_help(problem, intake->problems, "%s: %s", what, count ? text_done(&list) : "none");
}
