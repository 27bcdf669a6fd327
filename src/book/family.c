/* Models and facts of a family: read, resolved, and each model checked as a book of its own. */
#include "book/family.h"

#include <string.h>

#include "book/change.h"
#include "book/check.h"

/* ---- sets of values ------------------------------------------------------------------- */

bool fact_sets_meet(const struct fact *fact, const struct fact_set *a, const struct fact_set *b)
{
    if (a->all || b->all) {
        const struct fact_set *other = a->all ? b : a;
        return other->all || (fact->is_range ? other->span_count > 0 : other->values != 0);
    }
    if (!fact->is_range) {
        return (a->values & b->values) != 0;
    }
    for (uint32_t i = 0; i < a->span_count; i++) {
        for (uint32_t j = 0; j < b->span_count; j++) {
            if (a->spans[i].from <= b->spans[j].to && b->spans[j].from <= a->spans[i].to) {
                return true;
            }
        }
    }
    return false;
}

/* The last value from `from` on that is in the set without a gap; from - 1: not even that one. */
static int64_t covered_to(const struct fact_set *set, int64_t from)
{
    int64_t next = from;
    for (bool grown = true; grown;) {
        grown = false;
        for (uint32_t i = 0; i < set->span_count; i++) {
            if (set->spans[i].from <= next && set->spans[i].to >= next) {
                next = set->spans[i].to + 1;
                grown = true;
            }
        }
    }
    return next - 1;
}

bool fact_set_within(const struct fact *fact, const struct fact_set *a, const struct fact_set *b)
{
    if (b->all) {
        return true;
    }
    if (!fact->is_range) {
        uint64_t every = fact->value_count == 64 ? UINT64_MAX
                                                 : (UINT64_C(1) << fact->value_count) - 1;
        return ((a->all ? every : a->values) & ~b->values) == 0;
    }
    const struct fact_span whole = {fact->from, fact->to};
    const struct fact_span *spans = a->all ? &whole : a->spans;
    uint32_t count = a->all ? 1 : a->span_count;
    for (uint32_t i = 0; i < count; i++) {
        if (covered_to(b, spans[i].from) < spans[i].to) {
            return false;
        }
    }
    return true;
}

const struct fact *family_find_fact(const struct family *family, const char *name)
{
    for (uint32_t i = 0; i < family->fact_count; i++) {
        if (strcmp(family->facts[i].name, name) == 0) {
            return &family->facts[i];
        }
    }
    return NULL;
}

const struct model *family_find_model(const struct family *family, const char *name)
{
    for (uint32_t i = 0; i < family->model_count; i++) {
        if (strcmp(family->models[i].name, name) == 0) {
            return &family->models[i];
        }
    }
    return NULL;
}

bool model_serves(const struct model *model, const char *name)
{
    return list_find(model->served, model->served_count, name) >= 0;
}

bool book_takes_example(const struct book *book, const struct tree_example *example)
{
    const struct tree_words *word = example->served;
    while (word && book->model && strcmp(word->word.text, book->model->name) != 0) {
        word = word->next;
    }
    return word || !example->served;
}

/* ---- facts ----------------------------------------------------------------------------- */

/* A whole number without a unit. */
static bool read_whole(struct checker *checker, const struct tree_quantity *quantity,
                       int64_t *value)
{
    if (!quantity->unit && quantity->value.den == 1) {
        *value = quantity->value.num;
        return true;
    }
    problem_help(problem_add(checker->problems, STAVE_ERROR, "not-a-count", quantity->span,
                             "'%s' is not a whole number", check_quote(checker, quantity->span)),
                 checker->problems, "a fact is a whole number without a unit");
    return false;
}

static void read_fact(struct checker *checker, const struct tree_fact *tree, struct fact *fact)
{
    static const char *const yes_or_no[] = {"yes", "no"};
    fact->name = tree->name.text;
    fact->help = tree->help.text ? tree->help.text : "";
    fact->span = tree->name.span;
    fact->is_range = tree->is_range;
    if (tree->is_range) {
        if (read_whole(checker, &tree->from, &fact->from) &&
            read_whole(checker, &tree->to, &fact->to) && fact->from > fact->to) {
            problem_help(check_error(checker, "reversed-range", tree->to.span,
                                     "the range runs backwards"),
                         checker->problems, "write the smaller number first");
            fact->to = fact->from;
        }
    } else if (tree->values) {
        fact->values = words_list(checker, tree->values, BOOK_VALUES, "value", "values",
                                  &fact->value_count);
    } else {
        fact->yes_or_no = true;
        fact->values = (const char **)yes_or_no;
        fact->value_count = 2;
    }
}

static void read_facts(struct checker *checker, struct family *family)
{
    const struct book *book = checker->book;
    family->facts = ARENA_ARRAY(checker->arena, struct fact, FAMILY_FACTS);
    for (uint32_t t = 0; t < book->tree_count; t++) {
        for (const struct tree_fact *tree = book->trees[t]->facts; tree; tree = tree->next) {
            const struct fact *before = family_find_fact(family, tree->name.text);
            if (before) {
                check_second(checker,
                             problem_add(checker->problems, STAVE_ERROR, "duplicate-name",
                                         tree->name.span, "fact '%s' is declared twice",
                                         tree->name.text),
                             before->span, "declared here");
            } else if (family->fact_count == FAMILY_FACTS) {
                problem_add(checker->problems, STAVE_ERROR, "too-many", tree->name.span,
                            "more than %d facts", FAMILY_FACTS);
                return;
            } else {
                struct fact *fact = &family->facts[family->fact_count];
                fact->index = family->fact_count++;
                read_fact(checker, tree, fact);
            }
        }
    }
}

/* ---- for which propellers a model is ------------------------------------------------------ */

static bool within_fact(struct checker *checker, const struct fact *fact, int64_t value,
                        struct span at)
{
    if (value >= fact->from && value <= fact->to) {
        return true;
    }
    struct stave_problem *problem =
        problem_add(checker->problems, STAVE_ERROR, "outside-range", at,
                    "'%s' is outside the range of fact '%s'", check_quote(checker, at), fact->name);
    check_second(checker, problem, fact->span, "declared here");
    problem_help(problem, checker->problems, "it is from %lld to %lld", (long long)fact->from,
                 (long long)fact->to);
    return false;
}

static bool read_span(struct checker *checker, const struct fact *fact,
                      const struct tree_spans *tree, struct fact_span *span)
{
    int64_t from = fact->from, to = fact->to;
    *span = (struct fact_span){fact->from, fact->to};
    if (tree->has_from && (!read_whole(checker, &tree->from, &from) ||
                           !within_fact(checker, fact, from, tree->from.span))) {
        return false;
    }
    if (tree->has_to && (!read_whole(checker, &tree->to, &to) ||
                         !within_fact(checker, fact, to, tree->to.span))) {
        return false;
    }
    *span = (struct fact_span){from + tree->from_open, to - tree->to_open};
    if (span->from > span->to) {
        problem_help(check_error(checker, "reversed-range", tree->span,
                                 from > to ? "the range runs backwards" : "no number is in this range"),
                     checker->problems, "write the smaller number first");
        return false;
    }
    return true;
}

/* "and": what is in both. */
static void narrow(struct checker *checker, const struct fact *fact, struct fact_set *set,
                   const struct fact_set *more)
{
    if (set->all) {
        *set = *more;
        return;
    }
    struct fact_set both = {.values = set->values & more->values};
    if (fact->is_range) {
        size_t most = (size_t)set->span_count * more->span_count;
        both.spans = ARENA_ARRAY(checker->arena, struct fact_span, most);
        for (uint32_t i = 0; i < set->span_count; i++) {
            for (uint32_t j = 0; j < more->span_count; j++) {
                struct fact_span a = set->spans[i], b = more->spans[j];
                struct fact_span common = {a.from > b.from ? a.from : b.from,
                                           a.to < b.to ? a.to : b.to};
                if (common.from <= common.to) {
                    both.spans[both.span_count++] = common;
                }
            }
        }
    }
    *set = both;
}

static bool effect_spans(struct checker *checker, const struct fact *fact,
                         const struct tree_effect *tree, struct fact_set *set)
{
    bool good = true;
    set->spans = ARENA_ARRAY(checker->arena, struct fact_span, FAMILY_SPANS);
    for (const struct tree_spans *each = tree->spans; each; each = each->next) {
        if (set->span_count == FAMILY_SPANS) {
            problem_add(checker->problems, STAVE_ERROR, "too-many", each->span,
                        "more than %d ranges of one fact", FAMILY_SPANS);
            return false;
        }
        if (read_span(checker, fact, each, &set->spans[set->span_count])) {
            set->span_count++;
        } else {
            good = false;
        }
    }
    return good;
}

static bool effect_values(struct checker *checker, const struct fact *fact,
                          const struct tree_effect *tree, struct fact_set *set)
{
    bool good = true;
    for (const struct tree_words *word = tree->values; word; word = word->next) {
        int32_t value = list_find(fact->values, fact->value_count, word->word.text);
        if (value < 0) {
            names_unknown(checker, word->word, "value",
                          text_format(checker->arena, " of fact '%s'", fact->name), fact->values,
                          fact->value_count);
            good = false;
        } else {
            set->values |= UINT64_C(1) << value;
        }
    }
    if (tree->sort == TREE_NOT_AMONG) {
        set->values = ~set->values & ((fact->value_count == 64 ? 0 : UINT64_C(1) << fact->value_count) - 1);
    }
    if (good && !set->values) {
        check_error(checker, "no-value", tree->span, "no value of the fact is left");
        good = false;
    }
    return good;
}

/* What the form of an effect asks of its fact; NULL where they agree. */
static const char *wrong_form(const struct fact *fact, const struct tree_effect *tree)
{
    bool said = tree->sort == TREE_SAID_YES || tree->sort == TREE_SAID_NO;
    if (fact->is_range) {
        return tree->sort == TREE_WITHIN_SPANS ? NULL : "write its numbers, as in '100 .. 499'";
    }
    if (fact->yes_or_no) {
        return said ? NULL : "it is yes or no: write its name alone, or after 'not'";
    }
    return tree->sort == TREE_AMONG || tree->sort == TREE_NOT_AMONG
               ? NULL
               : "write 'is' and its values";
}

static bool read_effect(struct checker *checker, const struct family *family,
                        const struct tree_effect *tree, struct model *model)
{
    const struct fact *fact = family_find_fact(family, tree->name.text);
    if (!fact) {
        const char *known[FAMILY_FACTS];
        for (uint32_t i = 0; i < family->fact_count; i++) {
            known[i] = family->facts[i].name;
        }
        names_unknown(checker, tree->name, "fact", "", known, family->fact_count);
        return false;
    }
    const char *wrong = wrong_form(fact, tree);
    if (wrong) {
        struct stave_problem *problem =
            problem_add(checker->problems, STAVE_ERROR, "wrong-form", tree->span,
                        "'%s' does not say a value of fact '%s'", check_quote(checker, tree->span),
                        fact->name);
        check_second(checker, problem, fact->span, "declared here");
        problem_help(problem, checker->problems, "%s", wrong);
        return false;
    }
    struct fact_set set = {0};
    bool good = true;
    if (tree->sort == TREE_WITHIN_SPANS) {
        good = effect_spans(checker, fact, tree, &set);
    } else if (fact->yes_or_no) {
        set.values = tree->sort == TREE_SAID_YES ? 1 : 2;
    } else {
        good = effect_values(checker, fact, tree, &set);
    }
    if (good) {
        narrow(checker, fact, &model->sets[fact->index], &set);
        const struct fact_set *left = &model->sets[fact->index];
        if (!left->all && !left->values && !left->span_count) {
            check_error(checker, "no-value", tree->span,
                        "no value of the fact is left by what stands before it");
            return false;
        }
    }
    return good;
}

/* ---- models -------------------------------------------------------------------------------- */

static void read_where(struct checker *checker, const struct family *family, struct model *model)
{
    const struct tree_effect *tree = model->tree->where, *last = tree;
    model->where = "";
    model->sets = ARENA_ARRAY(checker->arena, struct fact_set, family->fact_count);
    for (uint32_t i = 0; i < family->fact_count; i++) {
        model->sets[i].all = true;
    }
    for (; tree; tree = tree->next) {
        last = tree;
        if (!read_effect(checker, family, tree, model)) {
            model->broken = true;
        }
    }
    if (last) {
        model->where = span_text(checker->arena, span_join(model->tree->where->span, last->span));
    }
}

static void read_model(struct checker *checker, const struct family *family,
                       const struct tree_model *tree, struct model *model)
{
    const char **own = ARENA_NEW(checker->arena, const char *);
    *own = tree->name.text;
    model->tree = tree;
    model->name = tree->name.text;
    model->title = tree->title.text ? tree->title.text : "";
    model->span = tree->name.span;
    model->served = own;
    model->served_count = 1;
    if (tree->served) {
        model->served =
            words_list(checker, tree->served, 1024, "model", "models", &model->served_count);
    }
    tails_check(checker, tree->tails, TAILS_CITED, "a model");
    const char *source = tails_string(tree->tails, TREE_PER);
    model->source = source ? source : "";
    read_where(checker, family, model);
}

static void read_models(struct checker *checker, struct family *family)
{
    const struct tree_model *tree = checker->book->trees[0]->models;
    family->models = ARENA_ARRAY(checker->arena, struct model, FAMILY_MODELS);
    for (; tree; tree = tree->next) {
        const struct model *before = family_find_model(family, tree->name.text);
        if (before) {
            check_second(checker,
                         problem_add(checker->problems, STAVE_ERROR, "duplicate-name",
                                     tree->name.span, "model '%s' is declared twice",
                                     tree->name.text),
                         before->span, "declared here");
        } else if (family->model_count == FAMILY_MODELS) {
            problem_add(checker->problems, STAVE_ERROR, "too-many", tree->name.span,
                        "more than %d models", FAMILY_MODELS);
            return;
        } else {
            struct model *model = &family->models[family->model_count];
            model->index = family->model_count++;
            read_model(checker, family, tree, model);
        }
    }
}

static void unknown_model(struct checker *checker, const struct family *family,
                          struct tree_word word)
{
    const char *known[FAMILY_MODELS];
    for (uint32_t i = 0; i < family->model_count; i++) {
        known[i] = family->models[i].name;
    }
    names_unknown(checker, word, "model", "", known, family->model_count);
}

/* The trees that a model has, those of the model that it is like first. */
static void make_trees(struct checker *checker, struct family *family, struct model *model)
{
    const struct book *book = checker->book;
    struct tree_word like = model->tree->like;
    if (model->done) {
        return;
    }
    model->under_way = true;
    struct tree **from = book->trees;
    if (like.text) {
        struct model *other = (struct model *)family_find_model(family, like.text);
        if (!other) {
            unknown_model(checker, family, like);
            model->broken = true;
        } else if (other->under_way) {
            problem_help(problem_add(checker->problems, STAVE_ERROR, "circular-like", like.span,
                                     other == model ? "model '%s' is like itself"
                                                    : "circular 'like': '%s' leads here",
                                     like.text),
                         checker->problems, "one model of a family is like no other");
            model->broken = true;
        } else {
            make_trees(checker, family, other);
            model->like = other;
            model->broken = model->broken || other->broken;
            from = other->trees;
        }
    }
    model->trees = ARENA_ARRAY(checker->arena, struct tree *, book->tree_count);
    memcpy(model->trees, from, book->tree_count * sizeof *from);
    if (!model->broken) {
        change_trees(checker, model);
    }
    model->under_way = false;
    model->done = true;
}

/* ---- what must not be --------------------------------------------------------------------------- */

static const char *common_served(const struct model *a, const struct model *b)
{
    for (uint32_t i = 0; i < a->served_count; i++) {
        if (model_serves(b, a->served[i])) {
            return a->served[i];
        }
    }
    return NULL;
}

static void check_overlap(struct checker *checker, const struct family *family,
                          const struct model *first, const struct model *second)
{
    const char *served = common_served(first, second);
    for (uint32_t i = 0; served && i < family->fact_count; i++) {
        if (!fact_sets_meet(&family->facts[i], &first->sets[i], &second->sets[i])) {
            return;
        }
    }
    if (!served || first->broken || second->broken) {
        return;
    }
    struct stave_problem *problem =
        problem_add(checker->problems, STAVE_ERROR, "overlap", second->span,
                    "one propeller '%s' can be of both model '%s' and model '%s'", served,
                    first->name, second->name);
    check_second(checker, problem, first->span, "the other is declared here");
    problem_help(problem, checker->problems,
                 "part them by what stands after 'where', so that each propeller is of one");
}

/* Behind the models, what is not said of one would be of all: too easy a slip. */
static void check_order_of_text(struct checker *checker, const struct tree *tree)
{
    const struct tree_model *first = tree->models;
    const char *noun = "";
    struct span at = first ? change_statement_after(tree, first->span.from, &noun) : (struct span){0};
    if (!at.source) {
        return;
    }
    struct stave_problem *problem =
        problem_add(checker->problems, STAVE_ERROR, "after-model", at,
                    "this '%s' stands behind a model, and is not said to be of it", noun);
    check_second(checker, problem, first->name.span, "the first model is declared here");
    problem_help(problem, checker->problems,
                 "write 'add %s …' where it is of the model above it alone; what is of all models "
                 "stands before the first",
                 noun);
}

/* The same of a text that is used behind the models, whatever it holds. */
static void check_uses(struct checker *checker, const struct tree *tree)
{
    const struct tree_model *first = tree->models;
    for (const struct tree_use *use = tree->uses; first && use; use = use->next) {
        if (use->span.from < first->span.from) {
            continue;
        }
        struct stave_problem *problem =
            problem_add(checker->problems, STAVE_ERROR, "after-model", use->span,
                        "this 'use' stands behind a model, but what it takes in is of all models");
        check_second(checker, problem, first->name.span, "the first model is declared here");
        problem_help(problem, checker->problems,
                     "use the text before the first model; what is of one model alone stands below its "
                     "line, with 'add' or 'replace'");
    }
}

static void check_places(struct checker *checker)
{
    const struct book *book = checker->book;
    const struct tree_head *head = book->trees[0]->head;
    check_order_of_text(checker, book->trees[0]);
    check_uses(checker, book->trees[0]);
    for (uint32_t i = 1; i < book->tree_count; i++) {
        if (book->trees[i]->models) {
            problem_help(check_error(checker, "model-in-used-text", book->trees[i]->models->span,
                                     "'model' in a text that another uses"),
                         checker->problems, "the models of a family stand in the book itself");
        }
    }
    if (head && head->models && book->trees[0]->models) {
        check_second(checker,
                     problem_add(checker->problems, STAVE_ERROR, "said-twice",
                                 book->trees[0]->models->name.span,
                                 "a model, in a book that says 'for model'"),
                     head->models->word.span, "said here");
    }
}

/* ---- the whole ------------------------------------------------------------------------------------- */

static void check_model(const struct checker *common, struct model *model, struct book *book)
{
    struct checker checker = *common;
    struct problems *problems = ARENA_NEW(common->arena, struct problems);
    problems_begin(problems, common->arena);
    *book = *common->book;
    book->trees = model->trees;
    book->model = model;
    book->problems = *problems;
    checker.book = book;
    checker.problems = &book->problems;
    checker.names = (struct names){0};
    for (size_t i = 0; i < common->names.count; i++) {
        const struct name *name = &common->names.items[i];
        names_add(&checker, (struct tree_word){name->text, name->span}, name->sort, name->index);
    }
    model->book = book;
    book_check_trees(&checker);
}

/* What is wrong in each model, once; what is not wrong in all of them says in which. */
static void gather_problems(struct checker *checker, const struct family *family)
{
    const struct problems **lists =
        ARENA_ARRAY(checker->arena, const struct problems *, family->model_count);
    const char **names = ARENA_ARRAY(checker->arena, const char *, family->model_count);
    for (uint32_t i = 0; i < family->model_count; i++) {
        lists[i] = &family->models[i].book->problems;
        names[i] = family->models[i].name;
    }
    problems_join(checker->problems, lists, names, family->model_count);
}

bool family_check(struct checker *checker)
{
    struct arena *arena = checker->arena;
    struct book *book = checker->book;
    check_places(checker);
    struct family *family = ARENA_NEW(arena, struct family);
    read_facts(checker, family);
    if (!book->trees[0]->models) {
        return false;
    }
    book->family = family;
    read_models(checker, family);
    for (uint32_t i = 0; i < family->model_count; i++) {
        make_trees(checker, family, &family->models[i]);
        for (uint32_t j = 0; j < i; j++) {
            check_overlap(checker, family, &family->models[j], &family->models[i]);
        }
    }
    for (uint32_t i = 0; i < family->model_count; i++) {
        check_model(checker, &family->models[i], ARENA_NEW(arena, struct book));
    }
    gather_problems(checker, family);
    return true;
}

void family_check_served(struct checker *checker, const struct book *book,
                         const struct tree_words *served)
{
    if (served && !book->family) {
        problem_help(check_error(checker, "no-model", served->word.span,
                                 "'for' in a book without models"),
                     checker->problems, "take it out: the example is of the one book");
        return;
    }
    for (; served; served = served->next) {
        if (!family_find_model(book->family, served->word.text)) {
            unknown_model(checker, book->family, served->word);
        }
    }
}

struct tree **family_trees(struct checker *checker, const char *name)
{
    struct family family = {0};
    read_facts(checker, &family);
    read_models(checker, &family);
    struct model *model = (struct model *)family_find_model(&family, name);
    make_trees(checker, &family, model);
    return model->trees;
}
