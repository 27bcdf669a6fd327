/* Which model of a family a record is of: by its model's name, and by the facts that it records. */
#include <string.h>

#include "base/text.h"
#include "record/intake.h"

/* ---- facts ---------------------------------------------------------------------------- */

static bool is_not_recorded(const char *text)
{
    return value_is_missing(text) || strcmp(text, "not recorded") == 0;
}

static void wrong_fact(struct intake *intake, const struct frame_node *node,
                       const struct fact *fact)
{
    struct stave_problem *problem =
        problem_add(intake->problems, STAVE_ERROR, "not-a-fact", node->span,
                    "'%s' does not say what '%s' is", node->text, fact->name);
    if (fact->is_range) {
        problem_help(problem, intake->problems,
                     "write a whole number from %lld to %lld, or 'not recorded'",
                     (long long)fact->from, (long long)fact->to);
    } else {
        value_suggest(intake, problem, node->text, fact->values, fact->value_count,
                      "write 'not recorded', or one of");
    }
}

/* "612", "490 .. 510" */
static bool numbers_read(const struct tree_word *words, uint32_t count, const struct fact *fact,
                         struct fact_span *span)
{
    uint32_t from, to;
    if ((count != 1 && count != 3) || !value_whole(words[0].text, &from)) {
        return false;
    }
    to = from;
    if (count == 3 && (strcmp(words[1].text, "..") != 0 || !value_whole(words[2].text, &to))) {
        return false;
    }
    *span = (struct fact_span){from, to};
    return from <= to && span->from >= fact->from && span->to <= fact->to;
}

/* "wrapped", "plain or wrapped" */
static bool values_read(const struct tree_word *words, uint32_t count, const struct fact *fact,
                        uint64_t *values)
{
    for (uint32_t i = 0; i < count; i++) {
        if (i % 2 == 1) {
            if (strcmp(words[i].text, "or") != 0) {
                return false;
            }
            continue;
        }
        uint32_t value = 0;
        while (value < fact->value_count && strcmp(fact->values[value], words[i].text) != 0) {
            value++;
        }
        if (value == fact->value_count) {
            return false;
        }
        *values |= UINT64_C(1) << value;
    }
    return count % 2 == 1;
}

static void fact_read(struct intake *intake, const struct frame_node *node,
                      const struct fact *fact, struct fact_set *set)
{
    uint32_t count;
    if (!value_readable(intake, node) || is_not_recorded(node->text)) {
        return;
    }
    struct tree_word *words = value_words(intake, node, &count);
    set->all = false;
    set->spans = ARENA_NEW(intake->arena, struct fact_span);
    set->span_count = 1;
    if (!(fact->is_range ? numbers_read(words, count, fact, set->spans)
                         : values_read(words, count, fact, &set->values))) {
        wrong_fact(intake, node, fact);
        set->all = true;
    }
}

/* What the record says of each fact; all of its values where it says nothing. */
static struct fact_set *facts_read(struct intake *intake)
{
    const struct family *family = intake->book->family;
    const struct frame_node *map = frame_find(intake->root, "facts");
    struct fact_set *sets = ARENA_ARRAY(intake->arena, struct fact_set, family->fact_count);
    struct record *record = intake->record;
    struct text said;
    text_begin(&said, intake->arena);
    for (uint32_t i = 0; i < family->fact_count; i++) {
        sets[i].all = true;
    }
    record->family = family;
    record->facts = sets;
    record->at.facts = ARENA_ARRAY(intake->arena, struct span, family->fact_count);
    bool nothing = !map || (map->sort == FRAME_TEXT && (strcmp(map->text, "none") == 0 ||
                                                        is_not_recorded(map->text)));
    if (!nothing && map->sort != FRAME_MAP) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "wrong-form", map->key_span,
                                 "'facts' is not a map of facts"),
                     intake->problems, "write one line below it for each fact, or none");
        return sets;
    }
    for (const struct frame_node *node = nothing ? NULL : map->children; node; node = node->next) {
        const struct fact *fact = family_find_fact(family, node->key);
        if (fact) {
            fact_read(intake, node, fact, &sets[fact->index]);
            record->at.facts[fact->index] = node->span;
            text_addf(&said, "%s%s %s", said.size ? ", " : "", node->key,
                      node->sort == FRAME_TEXT ? node->text : "");
            continue;
        }
        const char *names[FAMILY_FACTS];
        for (uint32_t i = 0; i < family->fact_count; i++) {
            names[i] = family->facts[i].name;
        }
        struct stave_problem *problem =
            problem_add(intake->problems, STAVE_ERROR, "unknown-key", node->key_span,
                        "unknown fact '%s'", node->key);
        value_suggest(intake, problem, node->key, names, family->fact_count,
                      "facts of this book");
    }
    record->facts_text = said.size ? text_done(&said) : NULL;
    return sets;
}

/* ---- models ----------------------------------------------------------------------------- */

static bool may_apply(const struct family *family, const struct model *model,
                      const struct fact_set *sets)
{
    for (uint32_t i = 0; i < family->fact_count; i++) {
        if (!fact_sets_meet(&family->facts[i], &sets[i], &model->sets[i])) {
            return false;
        }
    }
    return true;
}

static bool surely_applies(const struct family *family, const struct model *model,
                           const struct fact_set *sets)
{
    for (uint32_t i = 0; i < family->fact_count; i++) {
        if (!fact_set_within(&family->facts[i], &sets[i], &model->sets[i])) {
            return false;
        }
    }
    return true;
}

static void unknown_model(struct intake *intake, const struct frame_node *node)
{
    const struct family *family = intake->book->family;
    const char **names = NULL;
    size_t count = 0, capacity = 0;
    for (uint32_t i = 0; i < family->model_count; i++) {
        for (uint32_t j = 0; j < family->models[i].served_count; j++) {
            *ARENA_PUSH(intake->arena, names, count, capacity) = family->models[i].served[j];
        }
    }
    struct stave_problem *problem =
        problem_add(intake->problems, STAVE_ERROR, "other-model", node->span,
                    "the book is not for model '%s'", node->text);
    value_suggest(intake, problem, node->text, names, (uint32_t)count, "it is for");
}

/* "'BM-3' is for serial 100 .. 499; 'BM-3A' for serial 500 .. 999" */
static void none_covers(struct intake *intake, const struct frame_node *node)
{
    const struct family *family = intake->book->family;
    const struct frame_node *facts = frame_find(intake->root, "facts");
    struct text text;
    text_begin(&text, intake->arena);
    for (uint32_t i = 0; i < family->model_count; i++) {
        const struct model *model = &family->models[i];
        if (model_serves(model, node->text)) {
            text_addf(&text, "%s'%s' is for %s", text.size ? "; " : "", model->name, model->where);
        }
    }
    problem_help(problem_add(intake->problems, STAVE_ERROR, "no-model-covers",
                             facts ? facts->span : node->span,
                             "no model of the book covers this propeller: not fit to fly by it"),
                 intake->problems, "%s", text_done(&text));
}

/* The facts that leave it open, in words; and the first of them that is not recorded at all. */
static void say_open(struct intake *intake, const struct model *const *models, uint32_t count,
                     const struct fact_set *sets)
{
    const struct family *family = intake->book->family;
    struct record *record = intake->record;
    struct text text;
    text_begin(&text, intake->arena);
    for (uint32_t i = 0; i < count; i++) {
        text_addf(&text, "%s'%s'", i == 0 ? "" : i + 1 < count ? ", " : " or ", models[i]->name);
    }
    text_add(&text, count > 1 ? " may apply" : " applies, or no model of the book");
    const char *joint = ": ";
    record->model_open = true;
    record->open_fact = "";
    for (uint32_t f = 0; f < family->fact_count; f++) {
        bool matters = false;
        for (uint32_t i = 0; i < count; i++) {
            matters |= !fact_set_within(&family->facts[f], &sets[f], &models[i]->sets[f]);
        }
        if (matters) {
            text_addf(&text, "%sfact '%s' is %s", joint, family->facts[f].name,
                      sets[f].all ? "not recorded" : "in doubt");
            joint = ", ";
            record->open_fact = record->open_fact[0] ? record->open_fact : family->facts[f].name;
        }
    }
    record->open_why = text_done(&text);
}

/* Does what is for a name ask for a fact? Then the record has to have the key. */
static bool asks_facts(const struct family *family, const char *name)
{
    for (uint32_t i = 0; i < family->model_count; i++) {
        if (model_serves(&family->models[i], name) && family->models[i].where[0]) {
            return true;
        }
    }
    return false;
}

static void key_missing(struct intake *intake, const char *name)
{
    struct span at = {intake->root->span.source, intake->root->span.to, intake->root->span.to};
    problem_help(problem_add(intake->problems, STAVE_ERROR, "missing-key", at,
                             "the record has no '%s'", name),
                 intake->problems, "%s",
                 strcmp(name, "facts") == 0
                     ? "write 'facts:' and below it a line for each fact, or 'facts: none'"
                     : "write 'model: ...' on a line of its own: the book has several");
}

uint32_t choice_read(struct intake *intake, const struct model **models)
{
    const struct family *family = intake->book->family;
    const struct frame_node *node = frame_find(intake->root, "model");
    if (!node) {
        key_missing(intake, "model");
        return 0;
    }
    if (!value_text(intake, node)) {
        return 0;
    }
    size_t errors = intake->problems->error_count;
    struct fact_set *sets = facts_read(intake);
    bool served = false, sure = false;
    uint32_t count = 0;
    for (uint32_t i = 0; i < family->model_count; i++) {
        const struct model *model = &family->models[i];
        bool serves = model_serves(model, node->text);
        served |= serves;
        if (serves && may_apply(family, model, sets)) {
            models[count++] = model;
            sure |= surely_applies(family, model, sets);
        }
    }
    if (!served) {
        unknown_model(intake, node);
    } else if (asks_facts(family, node->text) && !frame_find(intake->root, "facts")) {
        key_missing(intake, "facts");
    } else if (count == 0) {
        none_covers(intake, node);
    } else if (count > 1 || !sure) {
        say_open(intake, models, count, sets);
    }
    return intake->problems->error_count > errors ? 0 : count;
}
