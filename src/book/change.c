/* Differences: whole statements replaced, added and dropped, before any name is looked up. */
#include "book/change.h"

#include <stddef.h>
#include <string.h>

static const struct shape {
    const char *noun;
    size_t list, size; /* where a tree has the list, and bytes of one node */
} shapes[TREE_SHARED_COUNT] = {
    [TREE_PARTS] = {"part", offsetof(struct tree, parts), sizeof(struct tree_part)},
    [TREE_SEARCHES] = {"search", offsetof(struct tree, searches), sizeof(struct tree_search)},
    [TREE_ZONES] = {"zone", offsetof(struct tree, zones), sizeof(struct tree_zone)},
    [TREE_MEASURES] = {"measure", offsetof(struct tree, measures), sizeof(struct tree_measure)},
    [TREE_OBSERVES] = {"observe", offsetof(struct tree, observes), sizeof(struct tree_observe)},
    [TREE_KINDS] = {"kind", offsetof(struct tree, kinds), sizeof(struct tree_kind)},
    [TREE_CURVES] = {"curve", offsetof(struct tree, curves), sizeof(struct tree_curve)},
    [TREE_RECKONS] = {"reckon", offsetof(struct tree, reckons), sizeof(struct tree_reckon)},
    [TREE_LIMITS] = {"limit", offsetof(struct tree, limits), sizeof(struct tree_limit)},
    [TREE_CHECKS] = {"check", offsetof(struct tree, checks), sizeof(struct tree_check)},
};

/* ---- lists of any sort: every node begins with its `next` -------------------------------- */

_Static_assert(offsetof(struct tree_part, next) == 0 && offsetof(struct tree_limit, next) == 0 &&
                   offsetof(struct tree_check, next) == 0 && offsetof(struct tree_zone, next) == 0,
               "a node begins with the pointer to the next");

static void *pointer_at(const void *place)
{
    void *pointer;
    memcpy(&pointer, place, sizeof pointer);
    return pointer;
}

static void pointer_put(void *place, void *pointer)
{
    memcpy(place, &pointer, sizeof pointer);
}

static void *list_of(const struct tree *tree, enum tree_shared shared)
{
    return pointer_at((const char *)tree + shapes[shared].list);
}

/* ---- what a statement is called by --------------------------------------------------------- */

/* One or two sets of names: of a limit its kinds and its zones. */
struct identity {
    struct tree_words one;
    const struct tree_words *first, *second;
    struct span span;
};

static void identify(enum tree_shared shared, const void *node, struct identity *identity)
{
    *identity = (struct identity){0};
    identity->first = &identity->one;
    switch (shared) {
    case TREE_PARTS:
        identity->one.word = ((const struct tree_part *)node)->name;
        break;
    case TREE_SEARCHES:
        identity->one.word = ((const struct tree_search *)node)->part;
        break;
    case TREE_ZONES:
        identity->one.word = ((const struct tree_zone *)node)->name;
        break;
    case TREE_MEASURES:
        identity->one.word = ((const struct tree_measure *)node)->name;
        break;
    case TREE_OBSERVES:
        identity->one.word = ((const struct tree_observe *)node)->name;
        break;
    case TREE_CURVES:
        identity->one.word = ((const struct tree_curve *)node)->name;
        break;
    case TREE_RECKONS:
        identity->one.word = ((const struct tree_reckon *)node)->name;
        break;
    case TREE_CHECKS:
        identity->one.word = ((const struct tree_check *)node)->name;
        break;
    case TREE_KINDS:
        identity->first = ((const struct tree_kind *)node)->names;
        identity->span = ((const struct tree_kind *)node)->span;
        return;
    case TREE_LIMITS:
        identity->first = ((const struct tree_limit *)node)->kinds;
        identity->second = ((const struct tree_limit *)node)->zones;
        identity->span = ((const struct tree_limit *)node)->head;
        return;
    case TREE_SHARED_COUNT:
        break;
    }
    identity->span = identity->one.word.span;
}

static bool has_word(const struct tree_words *words, const char *text)
{
    for (; words; words = words->next) {
        if (words->word.text && text && strcmp(words->word.text, text) == 0) {
            return true;
        }
    }
    return false;
}

static bool all_within(const struct tree_words *words, const struct tree_words *others)
{
    for (; words; words = words->next) {
        if (!has_word(others, words->word.text)) {
            return false;
        }
    }
    return true;
}

static bool any_within(const struct tree_words *words, const struct tree_words *others)
{
    for (; words; words = words->next) {
        if (has_word(others, words->word.text)) {
            return true;
        }
    }
    return false;
}

static bool same_words(const struct tree_words *a, const struct tree_words *b)
{
    return all_within(a, b) && all_within(b, a);
}

static bool same_identity(const struct identity *a, const struct identity *b)
{
    return same_words(a->first, b->first) && same_words(a->second, b->second);
}

/* ---- one difference -------------------------------------------------------------------------- */

/* A statement of the change's sort in the model's trees. */
struct match {
    uint32_t tree;
    void *node;
    struct identity identity;
};

struct job {
    struct checker *checker;
    struct model *model;
    const struct tree_change *change;
    enum tree_shared shared;
    const void *node; /* of the change */
    struct identity identity;
    struct match found, near; /* node NULL: none */
    uint32_t found_count;
};

static void look(struct job *job)
{
    for (uint32_t t = 0; t < job->checker->book->tree_count; t++) {
        void *node = list_of(job->model->trees[t], job->shared);
        for (; node; node = pointer_at(node)) {
            struct match match = {.tree = t, .node = node};
            identify(job->shared, node, &match.identity);
            if (match.identity.first == &match.identity.one) {
                match.identity.first = NULL; /* it would point into this one */
            }
            struct identity other = match.identity;
            if (!other.first) {
                other.first = &other.one;
            }
            if (same_identity(&job->identity, &other)) {
                job->found = job->found_count++ ? job->found : match;
            } else if (!job->near.node && any_within(job->identity.first, other.first) &&
                       (!job->identity.second || any_within(job->identity.second, other.second))) {
                job->near = match;
            }
        }
    }
}

static const char *words_text(struct arena *arena, const struct tree_words *words)
{
    struct text text;
    text_begin(&text, arena);
    for (const struct tree_words *word = words; word; word = word->next) {
        text_add(&text, word == words ? "" : ", ");
        text_add(&text, word->word.text ? word->word.text : "");
    }
    return text_done(&text);
}

/* "limit gouge, nick on tip" */
static const char *said(const struct job *job)
{
    struct arena *arena = job->checker->arena;
    return text_format(arena, "%s %s%s%s", shapes[job->shared].noun,
                       words_text(arena, job->identity.first), job->identity.second ? " on " : "",
                       words_text(arena, job->identity.second));
}

static const char *nearest_name(const struct job *job)
{
    struct arena *arena = job->checker->arena;
    const char **known = NULL;
    size_t count = 0, capacity = 0;
    for (uint32_t t = 0; t < job->checker->book->tree_count; t++) {
        void *node = list_of(job->model->trees[t], job->shared);
        for (; node; node = pointer_at(node)) {
            struct identity identity;
            identify(job->shared, node, &identity);
            if (identity.one.word.text) {
                *ARENA_PUSH(arena, known, count, capacity) = identity.one.word.text;
            }
        }
    }
    const char *text = job->identity.one.word.text;
    return text && count ? text_nearest(arena, text, known, count) : NULL;
}

static bool is_excused(const struct checker *checker, const struct identity *identity)
{
    if (checker->text_missing) {
        return true;
    }
    for (const struct tree_words *word = identity->first; word; word = word->next) {
        for (size_t i = 0; word->word.text && i < checker->names.count; i++) {
            if (strcmp(checker->names.items[i].text, word->word.text) == 0) {
                return true; /* a line that could not be read would have declared it */
            }
        }
    }
    return false;
}

static void nothing_there(const struct job *job)
{
    struct checker *checker = job->checker;
    const char *verb = job->change->sort == TREE_DROP ? "drop" : "replace";
    job->model->broken = true;
    if (is_excused(checker, &job->identity)) {
        return;
    }
    struct stave_problem *problem =
        problem_add(checker->problems, STAVE_ERROR, "nothing-there", job->identity.span,
                    "there is no '%s' to %s in model '%s'", said(job), verb, job->model->name);
    const char *near = nearest_name(job);
    if (job->near.node) {
        check_second(checker, problem, job->near.identity.span, "this one has some of these names");
        problem_help(problem, checker->problems,
                     "a statement is replaced or dropped whole: name all that its first line names");
    } else if (near) {
        problem_help(problem, checker->problems, "did you mean '%s'?", near);
    } else if (job->change->sort == TREE_REPLACE) {
        problem_help(problem, checker->problems, "write 'add %s …' where it is new in this model",
                     shapes[job->shared].noun);
    }
}

static void already_there(const struct job *job)
{
    struct checker *checker = job->checker;
    struct stave_problem *problem =
        problem_add(checker->problems, STAVE_ERROR, "already-there", job->identity.span,
                    "there is a '%s' already in model '%s'", said(job), job->model->name);
    job->model->broken = true;
    check_second(checker, problem, job->found.identity.span, "here");
    problem_help(problem, checker->problems, "write 'replace %s …' where it is to take its place",
                 shapes[job->shared].noun);
}

static void more_than_one(const struct job *job)
{
    struct checker *checker = job->checker;
    struct stave_problem *problem = problem_add(
        checker->problems, STAVE_ERROR, "more-than-one", job->identity.span,
        "%u statements begin with '%s': which of them is not said", job->found_count, said(job));
    job->model->broken = true;
    check_second(checker, problem, job->found.identity.span, "the first of them");
    problem_help(problem, checker->problems, "make one limit of them in the book");
}

/* ---- new trees --------------------------------------------------------------------------------- */

/* A tree of the model's own, that can be changed: what it has in common is shared. */
static struct tree *own_tree(struct job *job, uint32_t which)
{
    struct tree *copy = ARENA_NEW(job->checker->arena, struct tree);
    *copy = *job->model->trees[which];
    job->model->trees[which] = copy;
    return copy;
}

static void *copy_node(struct job *job, const void *node)
{
    size_t size = shapes[job->shared].size;
    void *copy = arena_take(job->checker->arena, size);
    memcpy(copy, node, size);
    pointer_put(copy, NULL);
    return copy;
}

/* The list anew, without `gone` or with `instead` in its place; `last` goes to its end. */
static void rewrite(struct job *job, uint32_t which, const void *gone, const void *instead,
                    const void *last)
{
    struct tree *tree = own_tree(job, which);
    void *place = (char *)tree + shapes[job->shared].list;
    void *node = pointer_at(place);
    pointer_put(place, NULL);
    for (; node; node = pointer_at(node)) {
        const void *kept = node == gone ? instead : node;
        if (kept) {
            void *copy = copy_node(job, kept);
            pointer_put(place, copy);
            place = copy;
        }
    }
    if (last) {
        pointer_put(place, copy_node(job, last));
    }
}

static bool said_before(const struct job *job)
{
    for (const struct tree_change *other = job->model->tree->changes; other != job->change;
         other = other->next) {
        const void *node = list_of(other->tree, job->shared);
        if (!node) {
            continue;
        }
        struct identity identity;
        identify(job->shared, node, &identity);
        if (same_identity(&identity, &job->identity)) {
            struct stave_problem *problem =
                problem_add(job->checker->problems, STAVE_ERROR, "said-twice", job->identity.span,
                            "a second difference in '%s'", said(job));
            check_second(job->checker, problem, identity.span, "the first is here");
            problem_help(problem, job->checker->problems, "make one of the two");
            job->model->broken = true;
            return true;
        }
    }
    return false;
}

static void change_one(struct job *job)
{
    identify(job->shared, job->node, &job->identity);
    if (said_before(job)) {
        return;
    }
    look(job);
    if (job->change->sort == TREE_ADD_TO) {
        if (job->found_count) {
            already_there(job);
        } else {
            rewrite(job, 0, NULL, NULL, job->node);
        }
    } else if (!job->found_count) {
        nothing_there(job);
    } else if (job->found_count > 1) {
        more_than_one(job);
    } else {
        rewrite(job, job->found.tree, job->found.node,
                job->change->sort == TREE_REPLACE ? job->node : NULL, NULL);
    }
}

void change_trees(struct checker *checker, struct model *model)
{
    const struct tree_change *change = model->tree->changes;
    for (; change; change = change->next) {
        for (int shared = 0; shared < TREE_SHARED_COUNT; shared++) {
            struct job job = {
                .checker = checker,
                .model = model,
                .change = change,
                .shared = (enum tree_shared)shared,
                .node = list_of(change->tree, (enum tree_shared)shared),
            };
            if (job.node) {
                change_one(&job);
            }
        }
    }
}

/* Forgets nothing: the place of the first statement that stands behind `from`, or no place. */
struct span change_statement_after(const struct tree *tree, uint32_t from, const char **noun)
{
    struct span first = {0};
    for (int shared = 0; shared < TREE_SHARED_COUNT; shared++) {
        const void *node = list_of(tree, (enum tree_shared)shared);
        for (; node; node = pointer_at(node)) {
            struct identity identity;
            identify((enum tree_shared)shared, node, &identity);
            if (identity.span.source && identity.span.from > from &&
                (!first.source || identity.span.from < first.from)) {
                first = identity.span;
                *noun = shapes[shared].noun;
            }
        }
    }
    return first;
}
