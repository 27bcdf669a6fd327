/* From the parser's actions to the tree: facts, models, and what is different in a model. */
#include "read/reader.h"

/* Puts a node at the end of a list and moves the end on. */
#define PUT(end, node)                                                                             \
    do {                                                                                           \
        *(end) = (node);                                                                           \
        (end) = &(node)->next;                                                                     \
    } while (0)

static struct tree_fact *put_fact(struct reader *reader, struct span span,
                                  const struct tree_word *name, const struct tree_word *help)
{
    struct tree_fact *fact = ARENA_NEW(reader->arena, struct tree_fact);
    fact->name = *name;
    fact->help = help ? *help : (struct tree_word){0};
    fact->span = span;
    PUT(reader->end.facts, fact);
    return fact;
}

void build_fact_range(struct reader *reader, struct span span, const struct tree_word *name,
                      const struct tree_quantity *from, const struct tree_quantity *to,
                      const struct tree_word *help)
{
    struct tree_fact *fact = put_fact(reader, span, name, help);
    fact->is_range = true;
    fact->from = *from;
    fact->to = *to;
}

void build_fact_values(struct reader *reader, struct span span, const struct tree_word *name,
                       struct tree_words *values, const struct tree_word *help)
{
    put_fact(reader, span, name, help)->values = values;
}

void build_model(struct reader *reader, struct span span, const struct tree_word *name,
                 const struct tree_word *title, const struct tree_word *like,
                 struct tree_words *served, struct tree_effect *where, struct tree_tail *tails)
{
    struct tree_model *model = ARENA_NEW(reader->arena, struct tree_model);
    model->name = *name;
    model->title = title ? *title : (struct tree_word){0};
    model->like = like ? *like : (struct tree_word){0};
    model->served = served;
    model->where = where;
    model->tails = tails;
    model->span = span;
    PUT(reader->end.family, model);
    reader->model = model;
    reader->model_lost = false;
    reader->end.changes = &model->changes;
}

struct tree_effect *build_effect(struct reader *reader, struct span span,
                                 enum tree_effect_sort sort, const struct tree_word *name)
{
    struct tree_effect *effect = ARENA_NEW(reader->arena, struct tree_effect);
    effect->sort = sort;
    effect->name = *name;
    effect->span = span;
    return effect;
}

struct tree_spans *build_span(struct reader *reader, struct span span,
                              const struct tree_quantity *from, const struct tree_quantity *to)
{
    struct tree_spans *made = ARENA_NEW(reader->arena, struct tree_spans);
    *made = (struct tree_spans){
        .has_from = true, .has_to = true, .from = *from, .to = *to, .span = span};
    return made;
}

struct tree_spans *build_one_sided(struct reader *reader, struct span span,
                                   enum tree_relation relation, const struct tree_quantity *limit)
{
    struct tree_spans *made = build_span(reader, span_join(span, limit->span), limit, limit);
    made->has_from = relation == TREE_AT_LEAST || relation == TREE_OVER;
    made->has_to = !made->has_from;
    made->from_open = relation == TREE_OVER;
    made->to_open = relation == TREE_BELOW;
    return made;
}

/* ---- differences ------------------------------------------------------------------------ */

void build_change(struct reader *reader, struct span span, enum tree_change_sort sort)
{
    struct tree_change *change = ARENA_NEW(reader->arena, struct tree_change);
    change->sort = sort;
    change->tree = ARENA_NEW(reader->arena, struct tree);
    change->tree->source = reader->source;
    change->span = span;
    if (reader->model) {
        PUT(reader->end.changes, change);
    } else if (!reader->model_lost) {
        struct stave_problem *problem =
            token_fault(reader, "no-model", span, "'%s' outside a model", token_shown(reader, span));
        problem_help(problem, reader->problems,
                     "write what is different in a model right below its 'model' line");
    }
    reader->change = change;
    reader->outer = reader->end;
    build_set_ends(&reader->end, change->tree);
    reader->end.lost = reader->outer.lost;
}

void build_end_change(struct reader *reader)
{
    if (reader->change) {
        reader->outer.lost = reader->end.lost;
        reader->end = reader->outer;
        reader->change = NULL;
    }
}

void build_dropped_kind(struct reader *reader, struct span span, struct tree_words *names)
{
    struct tree_kind *kind = ARENA_NEW(reader->arena, struct tree_kind);
    kind->names = names;
    kind->span = span;
    PUT(reader->end.kinds, kind);
}

void build_dropped_limit(struct reader *reader, struct span span, struct tree_words *kinds,
                         struct tree_words *zones)
{
    struct tree_limit *limit = ARENA_NEW(reader->arena, struct tree_limit);
    limit->kinds = kinds;
    limit->zones = zones;
    limit->head = limit->span = span;
    PUT(reader->end.limits, limit);
}

/* Alike in each sort: the member that holds the name is the only difference. */
#define PUT_NAMED(sort, list, member)                                                              \
    do {                                                                                           \
        struct sort *node = ARENA_NEW(reader->arena, struct sort);                                 \
        node->member = *name;                                                                      \
        node->span = span;                                                                         \
        PUT(reader->end.list, node);                                                               \
    } while (0)

void build_dropped(struct reader *reader, struct span span, enum tree_shared shared,
                   const struct tree_word *name)
{
    switch (shared) {
    case TREE_PARTS:
        PUT_NAMED(tree_part, parts, name);
        break;
    case TREE_SEARCHES:
        PUT_NAMED(tree_search, searches, part);
        break;
    case TREE_ZONES:
        PUT_NAMED(tree_zone, zones, name);
        break;
    case TREE_MEASURES:
        PUT_NAMED(tree_measure, measures, name);
        break;
    case TREE_OBSERVES:
        PUT_NAMED(tree_observe, observes, name);
        break;
    case TREE_CURVES:
        PUT_NAMED(tree_curve, curves, name);
        break;
    case TREE_RECKONS:
        PUT_NAMED(tree_reckon, reckons, name);
        break;
    case TREE_CHECKS:
        PUT_NAMED(tree_check, checks, name);
        break;
    case TREE_KINDS:
    case TREE_LIMITS:
    case TREE_SHARED_COUNT:
        break;
    }
}
