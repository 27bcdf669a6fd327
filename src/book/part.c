/* Parts: how many there are, their axes, sides and places, and how each is searched. */
#include "book/check.h"

#include <string.h>

/* ---- declaring ------------------------------------------------------------------- */

static void declare_axes(struct checker *checker, struct part *part, const struct tree_part *tree)
{
    const struct tree_axis *axis;

    part->axes = ARENA_ARRAY(checker->arena, struct axis, BOOK_AXES);
    for (axis = tree->axes; axis != NULL; axis = axis->next) {
        if (axis->name.text == NULL)
            continue;
        if (part->axis_count == BOOK_AXES) {
            problem_add(checker->problems, STAVE_ERROR, "too-many", axis->name.span,
                        "more than %d axes on part '%s'", BOOK_AXES, part->name);
            return;
        }
        names_add(checker, axis->name, SORT_AXIS, part->index);
        part->axes[part->axis_count++] = (struct axis){
            .name = axis->name.text,
            .help = axis->help.text != NULL ? axis->help.text : "",
            .unit = unit_none(),
            .dimension = unit_none()->dimension,
            .span = axis->name.span,
        };
    }
}

static void declare_part(struct checker *checker, const struct tree_part *tree)
{
    struct book *book = checker->book;
    struct part *part;

    if (tree->name.text == NULL)
        return;
    if (book->part_count == BOOK_PARTS) {
        problem_add(checker->problems, STAVE_ERROR, "too-many", tree->name.span,
                    "more than %d parts", BOOK_PARTS);
        checker->unread = checker->text_missing = true;
        return;
    }
    part = &book->parts[book->part_count];
    *part = (struct part){
        .name = tree->name.text,
        .help = tree->help.text != NULL ? tree->help.text : "",
        .index = book->part_count++,
        .where_fitted = tree->where_fitted,
        .span = tree->name.span,
    };
    names_add(checker, tree->name, SORT_PART, part->index);
    declare_axes(checker, part, tree);
    part->sides = words_list(checker, tree->sides, BOOK_SIDES, "side", "sides", &part->side_count);
    part->places = words_list(checker, tree->places, 64, "place", "places", &part->place_count);
}

void parts_declare(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_part *tree;
    size_t count = 0;
    uint32_t i;

    for (i = 0; i < book->tree_count; i++)
        for (tree = book->trees[i]->parts; tree != NULL && count < BOOK_PARTS; tree = tree->next)
            count++;
    book->parts = ARENA_ARRAY(checker->arena, struct part, count);
    for (i = 0; i < book->tree_count; i++)
        for (tree = book->trees[i]->parts; tree != NULL; tree = tree->next)
            if (book->part_count < BOOK_PARTS || !checker->unread)
                declare_part(checker, tree);
}

/* ---- resolving -------------------------------------------------------------------- */

static void resolve_axes(struct checker *checker, struct part *part, const struct tree_part *tree)
{
    const struct tree_axis *from;
    uint32_t i = 0;

    for (from = tree->axes; from != NULL && i < part->axis_count; from = from->next) {
        struct axis *axis;
        struct figure_range range;
        const char *owner;

        if (from->name.text == NULL)
            continue;
        axis = &part->axes[i++];
        owner = text_format(checker->arena, "axis '%s'", axis->name);
        if (!figure_range_read(checker, &from->from, &from->to, owner, &range)) {
            names_mark_broken(checker, axis->name, SORT_AXIS);
            continue;
        }
        axis->from = range.from;
        axis->to = range.to;
        axis->unit = range.unit;
        axis->dimension = range.dimension;
        axis->has_step = from->has_step;
        if (from->has_step) {
            figure_step_read(checker, &from->step, range.dimension, range.unit, owner);
            axis->step = from->step.value;
        }
    }
}

static bool whole_between(const struct tree_quantity *quantity, int64_t least, int64_t most)
{
    struct number value = quantity->value;

    return quantity->unit == NULL && value.den == 1 && value.num >= least && value.num <= most;
}

static void resolve_counted(struct checker *checker, struct part *part,
                            const struct tree_part *tree)
{
    const struct tree_quantity *ends[2] = {&tree->least, &tree->most};
    struct span span = span_join(tree->least.span, tree->most.span);
    unsigned i;

    part->count = PART_COUNTED;
    part->least = part->most = 1;
    for (i = 0; i < 2; i++) {
        if (whole_between(ends[i], 1, BOOK_INSTANCES))
            continue;
        problem_help(problem_add(checker->problems, STAVE_ERROR, "range", ends[i]->span,
                                 "'%s' is no number of parts", check_quote(checker, ends[i]->span)),
                     checker->problems, "write a whole number from 1 to %d", BOOK_INSTANCES);
        return;
    }
    part->least = (uint32_t)tree->least.value.num;
    part->most = (uint32_t)tree->most.value.num;
    if (part->least > part->most)
        problem_help(problem_add(checker->problems, STAVE_ERROR, "range", span,
                                 "range '%s' is reversed", check_quote(checker, span)),
                     checker->problems, "write the smaller figure first");
}

/* What "one on each blade" names must itself be counted. */
static void resolve_each(struct checker *checker, struct part *part, const struct tree_part *tree)
{
    struct tree_word word = tree->each_of;
    const struct name *name = names_get(checker, word, SORT_BIT(SORT_PART), "part");
    struct book *book = checker->book;
    uint32_t i;

    part->count = PART_ON_EACH;
    if (name == NULL) {
        names_mark_broken(checker, part->name, SORT_PART);
        return;
    }
    part->each_of = &book->parts[name->index];
    for (i = 0; i < book->tree_count; i++) {
        const struct tree_part *other;

        for (other = book->trees[i]->parts; other != NULL; other = other->next)
            if (other->has_count && other->name.span.source == name->span.source &&
                other->name.span.from == name->span.from)
                return;
    }
    check_second(checker,
                 problem_add(checker->problems, STAVE_ERROR, "each", word.span,
                             "part '%s' has no number, so nothing can be on each", word.text),
                 name->span, "declared here");
    names_mark_broken(checker, part->name, SORT_PART);
}

static void resolve_meetings(struct checker *checker, struct part *part,
                             const struct tree_part *tree)
{
    const struct tree_meeting *from;
    const char *axes[BOOK_AXES];
    size_t capacity = 0;
    uint32_t i;

    for (i = 0; i < part->axis_count; i++)
        axes[i] = part->axes[i].name;
    for (from = tree->meetings; from != NULL; from = from->next) {
        int32_t position;
        const struct axis *axis;

        if (from->axis.text == NULL)
            continue;
        position = list_find(axes, part->axis_count, from->axis.text);
        if (position < 0) {
            names_unknown(checker, from->axis, "axis",
                          text_format(checker->arena, " of part '%s'", part->name), axes,
                          part->axis_count);
            continue;
        }
        axis = &part->axes[position];
        if (names_find(checker, axis->name, SORT_BIT(SORT_AXIS))->broken ||
            !figure_fits(checker, &from->at, axis->dimension, axis->unit,
                         text_format(checker->arena, "axis '%s'", axis->name)))
            continue;
        if (number_compare(checker->arena, from->at.value, axis->from) < 0 ||
            number_compare(checker->arena, from->at.value, axis->to) > 0) {
            check_second(checker,
                         problem_add(checker->problems, STAVE_ERROR, "outside-part", from->at.span,
                                     "'%s' is outside axis '%s'",
                                     check_quote(checker, from->at.span), axis->name),
                         axis->span, "declared here");
            continue;
        }
        for (i = 0; i < part->meeting_count; i++)
            if (part->meetings[i].axis == (uint32_t)position &&
                number_equal(part->meetings[i].at, from->at.value))
                break;
        if (i < part->meeting_count || part->meeting_count == 64) {
            problem_add(checker->problems, STAVE_ERROR,
                        i < part->meeting_count ? "duplicate-name" : "too-many", from->at.span,
                        i < part->meeting_count ? "sides meet at '%s' twice"
                                                : "too many meetings of sides at '%s'",
                        check_quote(checker, from->at.span));
            continue;
        }
        *ARENA_PUSH(checker->arena, part->meetings, part->meeting_count, capacity) =
            (struct meeting){.axis = (uint32_t)position, .at = from->at.value};
    }
}

static struct tree_word word_at(const struct tree_words *words, const char *text)
{
    while (strcmp(words->word.text, text) != 0)
        words = words->next;
    return words->word;
}

/* A side or place where a finding line could also mean something else of the same name. */
static void check_confusable(struct checker *checker, const char *const *list, uint32_t count,
                             const struct tree_words *words, const char *noun)
{
    uint32_t i;

    for (i = 0; i < count; i++) {
        const struct name *other =
            names_find(checker, list[i],
                       SORT_BIT(SORT_AXIS) | SORT_BIT(SORT_MEASURE) | SORT_BIT(SORT_OBSERVATION));
        struct stave_problem *problem;

        if (other == NULL)
            continue;
        problem = problem_add(checker->problems, STAVE_ERROR, "duplicate-name",
                              word_at(words, list[i]).span, "'%s' is already %s", list[i],
                              names_sort_text(other->sort));
        check_second(checker, problem, other->span, "declared here");
        problem_help(problem, checker->problems, "give the %s another name", noun);
    }
}

static void check_sides_and_places(struct checker *checker, const struct part *part,
                                   const struct tree_part *tree)
{
    uint32_t i;

    check_confusable(checker, part->sides, part->side_count, tree->sides, "side");
    check_confusable(checker, part->places, part->place_count, tree->places, "place");
    for (i = 0; i < part->place_count; i++)
        if (list_find(part->sides, part->side_count, part->places[i]) >= 0)
            check_second(checker,
                         problem_add(checker->problems, STAVE_ERROR, "duplicate-name",
                                     word_at(tree->places, part->places[i]).span,
                                     "place '%s' is a side of the same part", part->places[i]),
                         word_at(tree->sides, part->places[i]).span, "declared here");
    if (part->place_count > 0 && part->axis_count > 0)
        check_second(checker,
                     problem_add(checker->problems, STAVE_ERROR, "part",
                                 word_at(tree->places, part->places[0]).span,
                                 "part '%s' has both axes and places: it takes one or the other",
                                 part->name),
                     part->axes[0].span, "its axis is here");
    if (tree->meetings != NULL && part->side_count == 0)
        problem_add(checker->problems, STAVE_ERROR, "part", tree->meetings->axis.span,
                    "part '%s' has no sides that could meet", part->name);
}

static void resolve_part(struct checker *checker, struct part *part, const struct tree_part *tree)
{
    if (tree->has_count)
        resolve_counted(checker, part, tree);
    else if (tree->each_of.text != NULL)
        resolve_each(checker, part, tree);
    resolve_axes(checker, part, tree);
    check_sides_and_places(checker, part, tree);
    if (part->side_count > 0)
        resolve_meetings(checker, part, tree);
}

/* Axes of one name must be of one dimension: a finding or a curve could not tell them apart. */
static void check_shared_axes(struct checker *checker)
{
    const struct book *book = checker->book;
    uint32_t i, j;

    for (i = 0; i < book->part_count; i++)
        for (j = 0; j < book->parts[i].axis_count; j++) {
            const struct axis *axis = &book->parts[i].axes[j], *other = NULL;
            const struct name *first = names_find(checker, axis->name, SORT_BIT(SORT_AXIS));
            const struct part *part = &book->parts[first->index];
            uint32_t k;

            for (k = 0; k < part->axis_count; k++)
                if (strcmp(part->axes[k].name, axis->name) == 0)
                    other = &part->axes[k];
            if (first->broken || other == NULL ||
                dimension_equal(axis->dimension, other->dimension))
                continue;
            check_second(checker,
                         problem_add(checker->problems, STAVE_ERROR, "dimension", axis->span,
                                     "axis '%s' is %s here and %s on part '%s'", axis->name,
                                     dimension_name(checker->arena, axis->dimension),
                                     dimension_name(checker->arena, other->dimension), part->name),
                         other->span, "declared here");
        }
}

static void resolve_search(struct checker *checker, const struct tree_search *search)
{
    const struct name *name = names_get(checker, search->part, SORT_BIT(SORT_PART), "part");
    struct part *part;

    if (name == NULL)
        return;
    part = &checker->book->parts[name->index];
    if (part->search != NULL) {
        check_second(checker,
                     problem_add(checker->problems, STAVE_ERROR, "duplicate-name",
                                 search->part.span, "search of '%s' is declared twice", part->name),
                     part->search_span, "declared here");
        return;
    }
    part->search = search->how.text != NULL ? search->how.text : "";
    part->search_span = search->part.span;
}

void parts_resolve(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_part *tree;
    const struct tree_search *search;
    uint32_t i, next = 0;

    for (i = 0; i < book->tree_count; i++)
        for (tree = book->trees[i]->parts; tree != NULL && next < book->part_count;
             tree = tree->next)
            if (tree->name.text != NULL)
                resolve_part(checker, &book->parts[next++], tree);
    check_shared_axes(checker);
    for (i = 0; i < book->tree_count; i++)
        for (search = book->trees[i]->searches; search != NULL; search = search->next)
            resolve_search(checker, search);
}
