/* The proof's answers, found again by what the questions are about. */
#include "prove/asked.h"

#include <string.h>

#include "base/text.h"
#include "question/question.h"

/* The obligations of each kind on each part, linked in their order. */
struct answers {
    const struct book *book;
    const struct obligations *kept;
    uint32_t *first; /* by kind and part: index and one, or 0 */
    uint32_t *next;  /* by obligation */
};

static uint32_t *list_of(const struct answers *answers, const struct kind *kind,
                         const struct part *part)
{
    return &answers->first[(size_t)kind->index * answers->book->part_count + part->index];
}

static bool of_coordinate(const struct obligation *obligation, const struct question *question)
{
    const struct kind *kind = obligation->docket->kind;
    const struct variable *variable = &obligation->docket->variables[obligation->variable];
    if (question->aggregate) {
        return !obligation->observed && variable->sort == VARIABLE_COMPANY &&
               variable->aggregate->sort == question->aggregate->sort &&
               strcmp(variable->aggregate->text, question->aggregate->text) == 0;
    }
    if (obligation->variable >= kind->record_count) {
        return false;
    }
    const struct recorded *record = &kind->records[obligation->variable];
    return obligation->observed ? record->observation == question->observation
                                : record->measure && record->measure == question->measure;
}

static bool is_about(const struct obligation *obligation, const struct question *question)
{
    static const enum asked asked[] = {
        [QUESTION_UNCOVERED] = ASK_UNCOVERED, [QUESTION_GAP] = ASK_GAP,
        [QUESTION_LINE] = ASK_LINE,           [QUESTION_CONDITION] = ASK_CONDITION,
        [QUESTION_ORDER] = ASK_ORDER,
    };
    if (obligation->asked != asked[question->sort]) {
        return false;
    }
    if (question->sort != QUESTION_UNCOVERED) {
        const struct limit *limit = obligation->limit == UINT32_MAX
                                        ? NULL
                                        : obligation->docket->limits[obligation->limit].source;
        if (limit != question->limit) {
            return false;
        }
    }
    switch (question->sort) {
    case QUESTION_LINE:
        return obligation->rung == question->rung;
    case QUESTION_CONDITION:
        return obligation->rung == question->rung && obligation->step == question->condition;
    case QUESTION_ORDER:
        return of_coordinate(obligation, question);
    default:
        return true;
    }
}

static enum question_answer answer_of(void *user, const struct question *question)
{
    const struct answers *answers = user;
    if (question->sort == QUESTION_EXTENT) {
        return ANSWER_NONE; /* a wider extent is never better, by the form of the language */
    }
    bool all_orderly = question->sort == QUESTION_ORDER && !question->limit;
    for (uint32_t i = *list_of(answers, question->kind, question->part); i;
         i = answers->next[i - 1]) {
        const struct obligation *obligation = &answers->kept->items[i - 1];
        if (is_about(obligation, question)) {
            return obligation->found == WORLD_SOME   ? ANSWER_SOME
                   : obligation->found == WORLD_NONE ? ANSWER_NONE
                                                     : ANSWER_NOT_KNOWN;
        }
        if (all_orderly && obligation->asked == ASK_ORDER && of_coordinate(obligation, question)) {
            all_orderly = obligation->found == WORLD_NONE;
        }
    }
    /* The worst of ladders that are orderly each is so: it is not asked again. */
    return all_orderly ? ANSWER_NONE : ANSWER_NOT_KNOWN;
}

const char *asked_text(struct arena *arena, struct arena *scratch, const struct ready_book *ready,
                       const struct stave_proving *how, size_t *size)
{
    const struct book *book = ready->book;
    struct obligations kept = {.items = NULL};
    struct stave_claims claims = {.claims = NULL};
    claims_make(arena, scratch, ready, how, &kept, &claims);
    struct answers answers = {.book = book, .kept = &kept};
    answers.first = ARENA_ARRAY(arena, uint32_t, (size_t)book->kind_count * book->part_count);
    answers.next = ARENA_ARRAY(arena, uint32_t, kept.count);
    for (uint32_t i = kept.count; i-- > 0;) {
        uint32_t *list = list_of(&answers, kept.items[i].docket->kind, kept.items[i].docket->part);
        answers.next[i] = *list;
        *list = i + 1;
    }
    return question_text(arena, book, answer_of, &answers, size);
}

/* ---- two books ----------------------------------------------------------------------------- */

struct contrasts {
    struct arena *arena;
    const struct book *second;
    const struct stave_compared *compared;
};

/*
 * Does one of them round a reading to the nearest, and the other not so? Which way a reading
 * halfway goes is left open when these are compared: that only ever adds differences, which then
 * cannot be shown.
 */
static bool halfway_open(const struct kind *first, const struct kind *second)
{
    bool open = false;
    for (uint32_t i = 0; second && i < first->record_count; i++) {
        const struct measure *a = first->records[i].measure;
        for (uint32_t j = 0; a && j < second->record_count; j++) {
            const struct measure *b = second->records[j].measure;
            if (b && strcmp(a->name, b->name) == 0) {
                bool nearest = a->stepping == TREE_READ_NEAREST || b->stepping == TREE_READ_NEAREST;
                open |= nearest && (a->stepping != b->stepping || !number_equal(a->step, b->step));
            }
        }
    }
    return open;
}

static enum question_answer differ_of(void *user, const struct question *question)
{
    const struct contrasts *contrasts = user;
    const char *subject =
        text_format(contrasts->arena, "%s on %s", question->kind->name, question->part->name);
    for (size_t i = 0; i < contrasts->compared->claim_count; i++) {
        const struct stave_claim *claim = &contrasts->compared->claims[i];
        if (claim->property == STAVE_CLAIM_SAME && strcmp(claim->subject, subject) == 0) {
            const struct kind *second = book_find_kind(contrasts->second, question->kind->name);
            bool found =
                claim->answer == STAVE_REFUTED || (strcmp(claim->reason, COMPARE_NOT_SHOWN) == 0 &&
                                                   !halfway_open(question->kind, second));
            return claim->answer == STAVE_PROVED ? ANSWER_NONE
                   : found                       ? ANSWER_SOME
                                                 : ANSWER_NOT_KNOWN;
        }
    }
    return ANSWER_NOT_KNOWN;
}

const char *asked_of_two(struct arena *arena, struct arena *scratch, const struct ready_book *first,
                         const struct ready_book *second, const struct stave_proving *how,
                         size_t *size)
{
    struct stave_compared compared = {.claims = NULL};
    compare_make(arena, scratch, first, second, NULL, 0, how, &compared);
    struct contrasts contrasts = {.arena = arena, .second = second->book, .compared = &compared};
    return question_text_of_two(arena, first->book, second->book, differ_of, &contrasts, size);
}
