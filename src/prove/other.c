/* The worked examples of each book, judged by the other. */
#include <string.h>

#include "prove/changes.h"

struct judge {
    struct arena *arena;
    struct stave_reversal *items;
    size_t count, capacity, asked;
};

/* The first error that keeps an example from being judged, or NULL. */
static const char *why_not(struct arena *arena, const struct book *book,
                           struct tree_example *example)
{
    struct problems problems;
    problems_begin(&problems, arena);
    book_check_examples(book, example, &problems);
    if (!problems.error_count) {
        prove_check(arena, book, &example, 1, &problems);
    }
    for (size_t i = 0; i < problems.count; i++) {
        if (problems.items[i].severity == STAVE_ERROR) {
            return problems.items[i].message;
        }
    }
    return NULL;
}

/* Editions mostly share their examples: what was told of the first's is not told again. */
static bool is_told(const struct judge *judge, const struct stave_example_result *own,
                    const char *other)
{
    for (size_t i = 0; i < judge->count; i++) {
        const struct stave_reversal *told = &judge->items[i];
        if (told->owner == 0 && strcmp(told->title, own->title) == 0 &&
            strcmp(told->case_text, own->case_text) == 0 && strcmp(told->own, other) == 0 &&
            strcmp(told->other, own->found) == 0) {
            return true;
        }
    }
    return false;
}

static void add(struct judge *judge, uint32_t owner, const struct stave_example_result *own,
                const char *other, const char *why)
{
    *ARENA_PUSH(judge->arena, judge->items, judge->count, judge->capacity) =
        (struct stave_reversal){
            .owner = owner,
            .title = own->title,
            .source = own->source,
            .text_name = own->text_name,
            .line = own->line,
            .case_text = own->case_text,
            .expected = own->expected,
            .own = own->found,
            .other = other,
            .why = why,
        };
}

/* Do the two books answer it alike? Where it passes with both they do. */
static bool same_answer(const struct renames *renames, const struct stave_example_result *own,
                        const struct stave_example_result *other)
{
    if (own->passed || other->passed) {
        return own->passed && other->passed;
    }
    return strcmp(rename_text(renames, own->found), other->found) == 0;
}

static void judge_example(struct judge *judge, uint32_t owner, const struct ready_book *own_book,
                          const struct ready_book *other_book, const struct renames *renames,
                          struct tree_example *example)
{
    struct arena *arena = judge->arena;
    struct stave_proof own, other = {0};
    prove_some(arena, own_book, &example, 1, &own);
    struct tree_example *copy = rename_example(arena, renames, example);
    const char *fault = why_not(arena, other_book->book, copy);
    if (!fault) {
        prove_some(arena, other_book, &copy, 1, &other);
    }
    for (size_t i = 0; i < own.result_count; i++) {
        judge->asked++;
        if (fault) {
            add(judge, owner, &own.results[i], "", fault);
        } else if (!same_answer(renames, &own.results[i], &other.results[i]) &&
                   !(owner == 1 && is_told(judge, &own.results[i], other.results[i].found))) {
            add(judge, owner, &own.results[i], other.results[i].found, other.results[i].why);
        }
    }
}

void changes_judge(struct arena *arena, const struct ready_book *first,
                   const struct ready_book *second, const struct renames *renames,
                   struct stave_changes *changes)
{
    const struct ready_book *const books[2] = {first, second};
    struct judge judge = {.arena = arena};
    for (uint32_t owner = 0; owner < 2; owner++) {
        const struct renames way = {renames->items, renames->count, owner == 1};
        const struct book *book = books[owner]->book;
        for (uint32_t i = 0; i < book->example_count; i++) {
            judge_example(&judge, owner, books[owner], books[1 - owner], &way, book->examples[i]);
        }
    }
    changes->reversals = judge.items;
    changes->reversal_count = judge.count;
    changes->asked = judge.asked;
}
