/*
 * The texts that a book rests on. A text that two others use is read once: texts are the same
 * when the host gives them the same name, or when they are the same byte for byte.
 */
#include "book/check.h"

#include <string.h>

/* Texts on the road from the book down to the one being read. */
struct road {
    const struct road *before;
    const struct source *source;
    uint32_t depth;
};

static void report_circle(struct checker *checker, const struct tree_use *use,
                          const struct road *road, const struct source *again)
{
    struct stave_problem *problem;

    if (road->source == again)
        problem = problem_add(checker->problems, STAVE_ERROR, "circular-use", use->name.span,
                              "text '%s' uses itself", again->name);
    else
        problem = problem_add(checker->problems, STAVE_ERROR, "circular-use", use->name.span,
                              "circular use: '%s' leads here by its own 'use' lines", again->name);
    problem_help(problem, checker->problems, "take this line out");
}

/* The text that was read under this name, or NULL. */
static struct source *find_named(const struct checker *checker, const char *name)
{
    for (uint32_t i = 0; i < checker->book->source_count; i++)
        if (strcmp(checker->book->sources[i]->name, name) == 0)
            return checker->book->sources[i];
    return NULL;
}

/* The text with the same bytes that was read under whatever name, or NULL. */
static struct source *find_same(const struct checker *checker, const struct source *opened)
{
    for (uint32_t i = 0; i < checker->book->source_count; i++)
        if (strcmp(checker->book->sources[i]->sha256, opened->sha256) == 0)
            return checker->book->sources[i];
    return NULL;
}

static bool on_road(const struct road *road, const struct source *source)
{
    for (; road != NULL; road = road->before)
        if (road->source == source)
            return true;
    return false;
}

static struct tree *keep(struct checker *checker, struct source *source)
{
    struct book *book = checker->book;
    size_t errors = checker->problems->error_count;

    const struct tree_words *lost;
    struct tree *tree;

    book->sources[book->source_count++] = source;
    tree = read_book(checker->arena, source, checker->problems);
    if (checker->problems->error_count > errors)
        checker->unread = true;
    for (lost = tree->lost; lost != NULL; lost = lost->next)
        names_add(checker, lost->word, SORT_LOST, 0);
    book->trees[book->tree_count++] = tree;
    return tree;
}

static bool ask_host(struct checker *checker, const struct tree_use *use, const struct road *road,
                     struct stave_text *found)
{
    const char *why = NULL;
    struct stave_problem *problem;

    memset(found, 0, sizeof *found);
    if (checker->find_text != NULL &&
        checker->find_text(checker->user, road->source->name, use->name.text, found, &why)) {
        if (found->name == NULL)
            found->name = use->name.text;
        return true;
    }
    problem = problem_add(checker->problems, STAVE_ERROR, "missing-text", use->name.span,
                          "cannot read '%s'", use->name.text);
    if (checker->find_text == NULL)
        problem_help(problem, checker->problems, "no other text can be read here");
    else if (why != NULL)
        problem_help(problem, checker->problems, "%s", why);
    checker->unread = checker->text_missing = true;
    return false;
}

static void follow(struct checker *checker, const struct tree *tree, const struct road *road);

static void use_one(struct checker *checker, const struct tree_use *use, const struct road *road)
{
    struct stave_text found;
    struct source *source, *opened = NULL;
    struct road next;

    if (use->name.text == NULL || !ask_host(checker, use, road, &found))
        return;
    source = find_named(checker, found.name);
    if (source == NULL) {
        opened = source_open(checker->arena, &found, SOURCE_BOOK_LIMIT, checker->problems);
        if (opened == NULL) {
            checker->unread = checker->text_missing = true;
            return;
        }
        source = find_same(checker, opened);
    }
    if (source != NULL) {
        if (on_road(road, source))
            report_circle(checker, use, road, source);
        return;
    }
    if (road->depth + 1 >= CHECK_USE_DEPTH || checker->book->source_count >= CHECK_TEXTS) {
        problem_add(checker->problems, STAVE_ERROR, "too-many", use->name.span,
                    "too many texts: a book rests on at most %d, %d deep", CHECK_TEXTS,
                    CHECK_USE_DEPTH);
        checker->unread = checker->text_missing = true;
        return;
    }
    next = (struct road){.before = road, .source = opened, .depth = road->depth + 1};
    follow(checker, keep(checker, opened), &next);
}

static void follow(struct checker *checker, const struct tree *tree, const struct road *road)
{
    const struct tree_use *use;

    for (use = tree->uses; use != NULL; use = use->next)
        use_one(checker, use, road);
}

void texts_read(struct checker *checker, const struct stave_text *text)
{
    struct book *book = checker->book;
    struct source *source;
    struct road road = {0};

    book->sources = ARENA_ARRAY(checker->arena, struct source *, CHECK_TEXTS);
    book->trees = ARENA_ARRAY(checker->arena, struct tree *, CHECK_TEXTS);
    source = source_open(checker->arena, text, SOURCE_BOOK_LIMIT, checker->problems);
    if (source == NULL)
        return;
    road.source = source;
    follow(checker, keep(checker, source), &road);
}
