/* From the parser's actions to the tree: words, figures, expressions, tails and findings. */
#include <string.h>

#include "base/text.h"
#include "read/reader.h"

/* ---- words and strings ------------------------------------------------------------ */

struct tree_word *build_word(struct reader *reader, struct span span)
{
    return build_fixed_word(reader, span,
                            arena_copy_text(reader->arena, token_bytes(span), span.to - span.from));
}

/* A string may lack its closing quote: that was reported. */
struct tree_word *build_string(struct reader *reader, struct span span)
{
    const char *bytes = token_bytes(span);
    size_t size = span.to - span.from;
    if (size > 1 && bytes[size - 1] == bytes[0] && !memchr(bytes, '\\', size)) { /* most */
        return build_fixed_word(reader, span, arena_copy_text(reader->arena, bytes + 1, size - 2));
    }
    char *text = arena_take(reader->arena, size + 1);
    size_t filled = 0;
    for (size_t i = 1; i < size && (bytes[i] != bytes[0] || i + 1 < size); i++) {
        if (bytes[i] == '\\' && i + 1 < size) {
            i++;
            if (bytes[i] != '"' && bytes[i] != '\\') {
                struct span escape = {span.source, span.from + (uint32_t)i - 1,
                                      span.from + (uint32_t)i + 1};
                struct stave_problem *problem = token_fault(
                    reader, "bad-escape", escape, "a backslash with nothing to stand for");
                problem_help(problem, reader->problems,
                             "write \\\" for a quote and \\\\ for a backslash");
            }
        }
        text[filled++] = bytes[i];
    }
    return build_fixed_word(reader, span, text);
}

struct tree_word *build_remark(struct reader *reader, struct span span)
{
    const char *bytes = span.source->bytes;
    uint32_t from = span.from + 1, to = span.to;
    while (from < to && is_blank(bytes[from])) {
        from++;
    }
    while (to > from && is_blank(bytes[to - 1])) {
        to--;
    }
    return build_word(reader, (struct span){span.source, from, to});
}

struct tree_words *build_words(struct reader *reader, struct tree_words *list,
                               struct tree_word *word)
{
    struct tree_words *node = ARENA_NEW(reader->arena, struct tree_words);
    node->word = *word;
    LIST_ADD(list, node);
    return list;
}

/* ---- figures ------------------------------------------------------------------------- */

struct figure *build_figure(struct reader *reader, struct number number)
{
    struct figure *figure = ARENA_NEW(reader->arena, struct figure);
    figure->number = figure->value = number;
    return figure;
}

static struct number in_base_units(struct reader *reader, struct number figure,
                                   const struct unit *unit)
{
    return unit ? number_multiply(reader->arena, figure, unit->factor) : figure;
}

struct tree_quantity *build_quantity(struct reader *reader, struct span span,
                                     struct figure *figure, const struct unit *unit)
{
    struct tree_quantity *quantity = ARENA_NEW(reader->arena, struct tree_quantity);
    if (figure->unit != unit) {
        figure->unit = unit;
        figure->value = in_base_units(reader, figure->number, unit);
    }
    quantity->figure = figure->number;
    quantity->value = figure->value;
    quantity->unit = unit;
    quantity->span = span;
    return quantity;
}

void build_share_unit(struct reader *reader, struct tree_quantity *from,
                      const struct tree_quantity *to)
{
    if (!from->unit && to->unit) {
        from->unit = to->unit;
        from->value = in_base_units(reader, from->figure, to->unit);
    }
}

/* ---- expressions and conditions ---------------------------------------------------------- */

struct tree_expression *build_leaf(struct reader *reader, struct span span,
                                   struct tree_quantity *quantity,
                                   const struct tree_word *name)
{
    struct tree_expression *leaf = ARENA_NEW(reader->arena, struct tree_expression);
    leaf->span = span;
    if (quantity) {
        leaf->sort = TREE_QUANTITY;
        leaf->quantity = quantity;
    } else {
        leaf->sort = TREE_NAME;
        leaf->name = *name;
    }
    return leaf;
}

struct tree_expression *build_pair(struct reader *reader, struct span span,
                                   enum tree_expression_sort sort, struct tree_expression *left,
                                   struct tree_expression *right)
{
    struct tree_expression *pair = ARENA_NEW(reader->arena, struct tree_expression);
    pair->sort = sort;
    pair->span = span;
    pair->left = left;
    pair->right = right;
    return pair;
}

/* A % left out would make 10 times of a tenth, and a unit a product of two figures. */
struct tree_expression *build_share(struct reader *reader, struct span span,
                                    struct tree_quantity *share,
                                    struct tree_expression *whole)
{
    if (!share->unit || share->unit->dimension.ratio != 1) {
        struct stave_problem *problem =
            token_fault(reader, "not-a-ratio", share->span, "'%s' before 'of' is no ratio",
                        token_shown(reader, share->span));
        problem_help(problem, reader->problems,
                     "write '10 %% of …' for a tenth; what is multiplied is written with '*'");
    }
    return build_pair(reader, span, TREE_MULTIPLY, build_leaf(reader, share->span, share, NULL),
                      whole);
}

struct tree_bound *build_bound(struct reader *reader, struct tree_bound *list, struct span span,
                               enum tree_relation relation, struct tree_expression *limit)
{
    struct tree_bound *bound = ARENA_NEW(reader->arena, struct tree_bound);
    bound->relation = relation;
    bound->limit = limit;
    bound->span = span;
    LIST_ADD(list, bound);
    return list;
}

struct tree_condition *build_condition(struct reader *reader, struct span span,
                                       enum tree_condition_sort sort, const struct tree_word *name)
{
    struct tree_condition *condition = ARENA_NEW(reader->arena, struct tree_condition);
    condition->sort = sort;
    condition->span = span;
    if (name) {
        condition->name = *name;
    }
    return condition;
}

struct tree_company *build_company(struct reader *reader, struct tree_words *kinds)
{
    struct tree_company *company = ARENA_NEW(reader->arena, struct tree_company);
    company->any_kind = !kinds;
    company->kinds = kinds;
    return company;
}

struct tree_company *build_scope(struct tree_company *company, enum tree_scope scope,
                                 const struct tree_word *article, const struct tree_word *place)
{
    company->scope = scope;
    if (article) {
        company->article = *article;
    }
    if (place) {
        company->place = *place;
    }
    return company;
}

void build_apart(struct tree_condition *condition, struct tree_company *company, struct span span,
                 const struct tree_word *axis, struct tree_expression *distance)
{
    condition->company = company;
    condition->distance = distance;
    company->span = span;
    if (axis) {
        company->axis = *axis;
    }
}

struct tree_tail *build_tail(struct reader *reader, struct span span, enum tree_tail_sort sort,
                             const struct tree_word *string, struct tree_quantity *quantity)
{
    struct tree_tail *tail = ARENA_NEW(reader->arena, struct tree_tail);
    tail->sort = sort;
    tail->span = span;
    if (string) {
        tail->string = *string;
    }
    tail->quantity = quantity;
    return tail;
}

/* ---- findings ------------------------------------------------------------------------------ */

struct tree_range *build_amount(struct reader *reader, struct tree_quantity *middle,
                                struct tree_quantity *doubt)
{
    struct tree_range *range = ARENA_NEW(reader->arena, struct tree_range);
    range->from = (struct tree_amount){middle, doubt};
    if (doubt) {
        build_share_unit(reader, middle, doubt);
    }
    return range;
}

struct tree_range *build_range(struct reader *reader, struct span span, struct tree_range *range,
                               const struct tree_range *to)
{
    range->span = span;
    if (to) {
        range->to = to->from;
        if (range->from.doubt) {
            build_share_unit(reader, range->from.doubt, range->to.middle);
            build_share_unit(reader, range->from.middle, range->from.doubt);
        } else {
            build_share_unit(reader, range->from.middle, range->to.middle);
        }
    }
    return range;
}

struct tree_reading *build_reading(struct reader *reader, struct span span,
                                   enum tree_reading_sort sort, const struct tree_word *name)
{
    struct tree_reading *reading = ARENA_NEW(reader->arena, struct tree_reading);
    reading->sort = sort;
    reading->span = span;
    if (name) {
        reading->name = *name;
    }
    return reading;
}

struct tree_place *build_place(struct reader *reader, struct span span,
                               const struct tree_word *name, struct tree_range *range)
{
    struct tree_place *place = ARENA_NEW(reader->arena, struct tree_place);
    place->name = *name;
    place->span = span;
    place->range = range;
    return place;
}

struct tree_finding *build_finding(struct reader *reader, struct span span,
                                   const struct tree_word *part, const struct tree_word *instance,
                                   const struct tree_word *kind, struct tree_place *places,
                                   struct tree_reading *readings)
{
    struct tree_finding *finding = ARENA_NEW(reader->arena, struct tree_finding);
    finding->part = *part;
    finding->kind = *kind;
    finding->places = places;
    finding->readings = readings;
    finding->times = 1;
    finding->span = span;
    if (instance) {
        finding->instance = *instance;
        if (instance->text[strspn(instance->text, "0123456789")] != '\0') {
            struct stave_problem *problem =
                token_fault(reader, "bad-figure", instance->span,
                            "'%s' is not the number of a part", instance->text);
            problem_help(problem, reader->problems, "parts are numbered 1, 2, 3 and so on");
        }
    }
    return finding;
}

struct tree_record *build_record(struct reader *reader, struct tree_record *list,
                                 const struct tree_word *name, const struct tree_word *along)
{
    struct tree_record *record = ARENA_NEW(reader->arena, struct tree_record);
    record->name = *name;
    if (along) {
        record->along = *along;
    }
    LIST_ADD(list, record);
    return list;
}

struct tree_meeting *build_meeting(struct reader *reader, struct tree_meeting *list,
                                   const struct tree_word *axis, const struct tree_quantity *at)
{
    struct tree_meeting *meeting = ARENA_NEW(reader->arena, struct tree_meeting);
    meeting->axis = *axis;
    meeting->at = *at;
    LIST_ADD(list, meeting);
    return list;
}
