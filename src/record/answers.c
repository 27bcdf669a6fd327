/* The answers that a book asks for: each check and each search, once for each instance. */
#include <string.h>

#include "read/read.h"
#include "record/intake.h"

static struct answer *answer_new(struct intake *intake, const struct kind *check,
                                 const struct part *part, uint32_t position)
{
    struct record *record = intake->record;
    struct answer *answer =
        ARENA_PUSH(intake->arena, record->answers, record->answer_count, intake->answer_capacity);
    *answer = (struct answer){
        .check = check,
        .part = part,
        .instance = parts_single(part) ? 0 : position,
        .why_missing = !record->fitted_known[part->index] ? "not said whether fitted"
                       : check                            ? "not answered"
                                                          : "not searched",
    };
    return answer;
}

/* ---- one answer ---------------------------------------------------------------------- */

static bool nothing_read(const struct finding *finding)
{
    for (uint32_t i = 0; i < finding->kind->record_count; i++) {
        if (finding->readings[i].given != GIVEN_NOT) {
            return false;
        }
    }
    return true;
}

static void answer_read(struct intake *intake, const struct frame_node *node, struct answer *answer)
{
    if (!value_readable(intake, node)) {
        return;
    }
    answer->span = node->span;
    if (value_is_missing(node->text)) {
        return;
    }
    struct tree_reading *readings = read_answer(intake->arena, node->span, intake->problems);
    if (!readings) {
        return;
    }
    if (intake->renames) {
        readings = rename_readings(intake->arena, intake->renames, readings);
    }
    struct finding *finding =
        finding_answer(intake->arena, intake->book, answer->check, answer->part, answer->instance,
                       readings, node->span, intake->problems);
    if (finding && !nothing_read(finding)) {
        answer->finding = finding;
        answer->given = true;
    }
}

/* ---- a check on one part -------------------------------------------------------------------- */

static void wants_list(struct intake *intake, const struct frame_node *node,
                       const struct part *part, uint32_t wanted)
{
    struct stave_problem *problem =
        problem_add(intake->problems, STAVE_ERROR, "wrong-form",
                    node->sort == FRAME_TEXT ? node->span : node->key_span,
                    "'%s' is not a list of answers", node->key);
    problem_help(problem, intake->problems,
                 "write one for each %s that is fitted, in order, in brackets: %u of them",
                 part->name, wanted);
}

static void wrong_count(struct intake *intake, const struct frame_node *node,
                        const struct part *part, uint32_t wanted)
{
    problem_help(
        problem_add(intake->problems, STAVE_ERROR, "wrong-count", node->span,
                    "the list has %u answer%s, but this propeller has %u of '%s'", node->count,
                    node->count == 1 ? "" : "s", wanted, part->name),
        intake->problems,
        "write one for each that is fitted, in order; 'not measured' where none was taken; "
        "an answer that holds a comma stands in quotes");
}

static void answers_in_list(struct intake *intake, const struct kind *check,
                            const struct part *part, const struct frame_node *node)
{
    uint64_t asked = parts_asked(intake, part);
    uint32_t wanted = (uint32_t)__builtin_popcountll(asked);
    bool missing = node && node->sort == FRAME_TEXT && value_is_missing(node->text);
    const struct frame_node *item = NULL;
    if (node && !missing && node->sort != FRAME_LIST) {
        wants_list(intake, node, part, wanted);
    } else if (node && !missing && node->count != wanted && intake->counted[part->index]) {
        wrong_count(intake, node, part, wanted);
    } else if (node && !missing) {
        item = node->children;
    }
    for (uint32_t n = 1; n <= BOOK_INSTANCES; n++) {
        if (!(asked >> (n - 1) & 1)) {
            continue;
        }
        struct answer *answer = answer_new(intake, check, part, n);
        if (item) {
            answer_read(intake, item, answer);
            item = item->next;
        } else if (missing) {
            answer->span = node->span;
        }
    }
}

static void answers_of_part(struct intake *intake, const struct kind *check,
                            const struct part *part, const struct frame_node *node)
{
    if (!parts_asked(intake, part)) {
        if (node) {
            problem_help(problem_add(intake->problems, STAVE_ERROR, "not-fitted", node->key_span,
                                     "'%s' is answered, but no '%s' is fitted", check->name,
                                     part->name),
                         intake->problems, "mend what stands under 'fitted', or remove the answer");
        }
    } else if (!parts_single(part)) {
        answers_in_list(intake, check, part, node);
    } else {
        struct answer *answer = answer_new(intake, check, part, 1);
        if (node) {
            answer_read(intake, node, answer);
        }
    }
}

/* ---- all checks ---------------------------------------------------------------------------------- */

static void answers_by_part(struct intake *intake, const struct kind *check,
                            const struct frame_node *map)
{
    const char **names = ARENA_ARRAY(intake->arena, const char *, check->part_count);
    for (uint32_t i = 0; i < check->part_count; i++) {
        const struct part *part = check->parts[i];
        names[i] = part->name;
        answers_of_part(intake, check, part,
                        map && map->sort == FRAME_MAP ? frame_find(map, part->name) : NULL);
    }
    if (map && map->sort != FRAME_MAP) {
        struct stave_problem *problem =
            problem_add(intake->problems, STAVE_ERROR, "wrong-form", map->key_span,
                        "'%s' is made on several parts", check->name);
        value_suggest(intake, problem, "", names, check->part_count,
                      "write one line below it for each of");
        return;
    }
    for (const struct frame_node *node = map ? map->children : NULL; node; node = node->next) {
        const struct part *part = book_find_part(intake->book, node->key);
        if (!part || kind_part_position(check, part) < 0) {
            struct stave_problem *problem =
                problem_add(intake->problems, STAVE_ERROR, "unknown-key", node->key_span,
                            "'%s' is not made on '%s'", check->name, node->key);
            value_suggest(intake, problem, node->key, names, check->part_count, "it is made on");
        }
    }
}

/* Is it a check of another model, which may be the one that applies? */
static bool of_another_model(const struct intake *intake, const char *name)
{
    for (uint32_t i = 0; i < intake->model_count; i++) {
        const struct kind *kind = book_find_kind(intake->models[i]->book, name);
        if (kind && kind->is_check) {
            return true;
        }
    }
    return false;
}

/* Every key under `checks` is a check of the book. */
static void check_keys(struct intake *intake, const struct frame_node *map)
{
    const struct book *book = intake->book;
    const char **names =
        ARENA_ARRAY(intake->arena, const char *, book->kind_count - book->check_start);
    uint32_t count = 0;
    for (uint32_t i = book->check_start; i < book->kind_count; i++) {
        names[count++] = book->kinds[i].name;
    }
    for (const struct frame_node *node = map->children; node; node = node->next) {
        const struct kind *kind = book_find_kind(book, node->key);
        if ((!kind || !kind->is_check) && !of_another_model(intake, node->key)) {
            struct stave_problem *problem = problem_add(
                intake->problems, STAVE_ERROR, "unknown-key", node->key_span,
                kind ? "'%s' is a kind of damage, not a check" : "unknown check '%s'", node->key);
            value_suggest(intake, problem, node->key, names, count, "checks of this book");
        }
    }
}

static void checks_read(struct intake *intake)
{
    const struct book *book = intake->book;
    const struct frame_node *map = frame_find(intake->root, "checks");
    bool none = map && map->sort == FRAME_TEXT && strcmp(map->text, "none") == 0;
    if (map && !none && map->sort != FRAME_MAP) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "wrong-form", map->key_span,
                                 "'checks' is not a map of checks"),
                     intake->problems, "write one line below it for each check, or none");
    }
    map = map && map->sort == FRAME_MAP ? map : NULL;
    if (map) {
        check_keys(intake, map);
    }
    for (uint32_t i = book->check_start; i < book->kind_count; i++) {
        const struct kind *check = &book->kinds[i];
        const struct frame_node *node = map ? frame_find(map, check->name) : NULL;
        if (check->part_count == 1) {
            answers_of_part(intake, check, check->parts[0], node);
        } else {
            answers_by_part(intake, check, node);
        }
    }
}

static void searches_answer(struct intake *intake)
{
    for (uint32_t p = 0; p < intake->book->part_count; p++) {
        const struct part *part = &intake->book->parts[p];
        uint64_t asked = part->search ? parts_asked(intake, part) : 0;
        for (uint32_t n = 1; n <= BOOK_INSTANCES; n++) {
            if (!(asked >> (n - 1) & 1)) {
                continue;
            }
            struct answer *answer = answer_new(intake, NULL, part, n);
            if (intake->searched[p] >> (n - 1) & 1) {
                answer->given = true;
                answer->span = intake->search_at[p];
            }
        }
    }
}

void answers_read(struct intake *intake)
{
    checks_read(intake);
    searches_answer(intake);
}
