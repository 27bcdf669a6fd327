/* The whole check, in order. */
#include "book/book.h"

#include <string.h>

#include "book/check.h"
#include "book/family.h"

const struct part *book_find_part(const struct book *book, const char *name)
{
    uint32_t i;

    for (i = 0; i < book->part_count; i++)
        if (strcmp(book->parts[i].name, name) == 0)
            return &book->parts[i];
    return NULL;
}

const struct kind *book_find_kind(const struct book *book, const char *name)
{
    uint32_t i;

    /* Names of one text are mostly the same one in memory. */
    for (i = 0; i < book->kind_count; i++)
        if (book->kinds[i].name == name)
            return &book->kinds[i];
    for (i = 0; i < book->kind_count; i++)
        if (strcmp(book->kinds[i].name, name) == 0)
            return &book->kinds[i];
    return NULL;
}

bool aggregate_counts_itself(const struct aggregate *aggregate, const struct kind *kind,
                             const struct part *part)
{
    bool here =
        aggregate->scope == TREE_ON_A_SIDE || aggregate->scope == TREE_ON_PROPELLER ||
        aggregate->scope == TREE_WITHIN_ANY ||
        (aggregate->zone != NULL && aggregate->zone->is_part && aggregate->zone->part == part);

    return aggregate->sort == AGGREGATE_COUNT && aggregate->filter_count == 0 && here &&
           aggregate_names(aggregate, kind);
}

struct number measure_fineness(const struct measure *measure)
{
    return measure->stepping == TREE_STEP_NONE ? NUMBER_ZERO : measure->step;
}

struct number axis_fineness(const struct axis *axis)
{
    return axis->has_step ? axis->step : NUMBER_ZERO;
}

uint64_t observation_values(const struct observation *observation)
{
    return observation->value_count >= 64 ? UINT64_MAX
                                          : (UINT64_C(1) << observation->value_count) - 1;
}

const struct expression *expression_see_through(const struct expression *expression)
{
    while (expression->sort == EXPRESSION_RECKONED)
        expression = expression->reckon->value;
    return expression;
}

static void collect_examples(struct checker *checker)
{
    struct book *book = checker->book;
    size_t capacity = 0;
    uint32_t i;

    for (i = 0; i < book->tree_count; i++) {
        struct tree_example *example;

        for (example = book->trees[i]->examples; example != NULL; example = example->next)
            if (book_takes_example(book, example))
                *ARENA_PUSH(checker->arena, book->examples, book->example_count, capacity) =
                    example;
        examples_check(checker, book, book->trees[i]->examples);
    }
}

void book_check_trees(struct checker *checker)
{
    head_check(checker);
    scale_declare(checker);
    parts_declare(checker);
    zones_declare(checker);
    measures_declare(checker);
    kinds_declare(checker);
    curves_declare(checker);
    reckons_declare(checker);
    names_close(checker);
    scale_resolve(checker);
    parts_resolve(checker);
    zones_resolve(checker);
    measures_resolve(checker);
    kinds_resolve(checker);
    curves_resolve(checker);
    reckons_resolve(checker);
    limits_resolve(checker);
    collect_examples(checker);
}

static void book_begin(struct arena *arena, struct book *book)
{
    book->arena = arena;
    problems_begin(&book->problems, arena);
    book->id = book->title = book->edition = book->dated = "";
}

struct book *book_check_again(struct arena *arena, const struct book *like)
{
    struct book *book = ARENA_NEW(arena, struct book);
    struct checker checker = {.arena = arena, .book = book, .problems = &book->problems};

    book_begin(arena, book);
    book->sources = like->sources;
    book->source_count = like->source_count;
    book->trees = like->trees;
    book->tree_count = like->tree_count;
    book->family = like->family;
    book->model = like->model;
    book_check_trees(&checker);
    problems_sort(&book->problems);
    return book;
}

struct book *book_read_again(struct arena *arena, const struct book *like)
{
    struct book read = *like;
    struct problems problems;

    problems_begin(&problems, arena);
    read.trees = ARENA_ARRAY(arena, struct tree *, like->tree_count);
    for (uint32_t i = 0; i < like->tree_count; i++)
        read.trees[i] = read_book(arena, like->sources[i], &problems);
    if (like->model != NULL) {
        struct checker checker = {.arena = arena, .book = &read, .problems = &problems};

        read.trees = family_trees(&checker, like->model->name);
    }
    return book_check_again(arena, &read);
}

struct book *book_check(struct arena *arena, const struct stave_text *text,
                        stave_find_text find_text, void *user)
{
    struct book *book = ARENA_NEW(arena, struct book);
    struct checker checker = {
        .arena = arena,
        .book = book,
        .problems = &book->problems,
        .find_text = find_text,
        .user = user,
    };

    book_begin(arena, book);
    texts_read(&checker, text);
    if (book->tree_count > 0 && family_check(&checker)) {
        struct book *first = book->family->models[0].book;

        first->problems = book->problems;
        book = first;
    } else if (book->tree_count > 0) {
        book_check_trees(&checker);
    }
    problems_sort(&book->problems);
    return book;
}
