/* Curves: points along an axis, straight between them. */
#include "book/check.h"

void curves_declare(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_curve *tree;
    size_t count = 0;
    uint32_t i;

    for (i = 0; i < book->tree_count; i++)
        for (tree = book->trees[i]->curves; tree != NULL; tree = tree->next)
            count += tree->name.text != NULL;
    book->curves = ARENA_ARRAY(checker->arena, struct curve, count);
    checker->curve_facts = ARENA_ARRAY(checker->arena, struct expression_facts, count);
    for (i = 0; i < book->tree_count; i++)
        for (tree = book->trees[i]->curves; tree != NULL; tree = tree->next) {
            if (tree->name.text == NULL)
                continue;
            book->curves[book->curve_count] = (struct curve){
                .name = tree->name.text,
                .index = book->curve_count,
                .axis = tree->axis.text != NULL ? tree->axis.text : "",
                .at_unit = unit_none(),
                .unit = unit_none(),
                .tails = tree->tails,
                .span = tree->name.span,
            };
            names_add(checker, tree->name, SORT_CURVE, book->curve_count++);
        }
}

static const struct axis *find_axis(struct checker *checker, struct tree_word word)
{
    const struct name *name = names_get(checker, word, SORT_BIT(SORT_AXIS), "axis");
    const struct part *part;
    const char *names[BOOK_AXES];
    uint32_t i;

    if (name == NULL || name->broken)
        return NULL;
    part = &checker->book->parts[name->index];
    for (i = 0; i < part->axis_count; i++)
        names[i] = part->axes[i].name;
    return &part->axes[list_find(names, part->axis_count, word.text)];
}

/* Stations rise from point to point. */
static bool in_order(struct checker *checker, const struct tree_point *before,
                     const struct tree_point *point, const char *axis)
{
    int order;
    struct stave_problem *problem;

    if (before == NULL)
        return true;
    order = number_compare(checker->arena, before->at.value, point->at.value);
    if (order < 0)
        return true;
    problem = problem_add(checker->problems, STAVE_ERROR, "curve-order", point->at.span,
                          order == 0 ? "%s '%s' stands twice in a curve"
                                     : "%s '%s' is out of order in a curve",
                          axis, check_quote(checker, point->at.span));
    check_second(checker, problem, before->at.span, "the point before it");
    problem_help(problem, checker->problems, "write the points in rising order, each once");
    return false;
}

static bool resolve_points(struct checker *checker, struct curve *curve,
                           const struct tree_curve *tree, const struct axis *axis)
{
    const struct tree_point *point, *before = NULL;
    const char *along = text_format(checker->arena, "axis '%s'", axis->name);
    const char *owner = text_format(checker->arena, "curve '%s'", curve->name);
    bool good = true;

    for (point = tree->points; point != NULL; before = point, point = point->next) {
        bool fits;

        if (curve->point_count == 0) {
            const struct unit *unit = NULL;
            const struct tree_point *other;

            for (other = point; other != NULL && unit == NULL; other = other->next)
                unit = other->value.unit;
            curve->unit = unit != NULL ? unit : unit_none();
            curve->dimension = curve->unit->dimension;
            curve->at_unit = point->at.unit != NULL ? point->at.unit : unit_none();
            curve->at_dimension = axis->dimension;
        }
        fits = figure_fits(checker, &point->at, axis->dimension, axis->unit, along);
        fits = fits && in_order(checker, before, point, axis->name);
        fits = figure_fits(checker, &point->value, curve->dimension, curve->unit, owner) && fits;
        fits = figure_bounded(checker, &point->at) && fits;
        fits = figure_bounded(checker, &point->value) && fits;
        good = good && fits;
        curve->points[curve->point_count++] = (struct curve_point){
            .at = point->at.value, .value = point->value.value, .span = point->span};
    }
    return good;
}

static bool resolve_curve(struct checker *checker, struct curve *curve,
                          const struct tree_curve *tree)
{
    const struct axis *axis = find_axis(checker, tree->axis);
    const struct tree_point *point;
    size_t count = 0;

    tails_check(checker, tree->tails, TAILS_CITED, "a curve");
    for (point = tree->points; point != NULL; point = point->next)
        count++;
    if (count < 2 && !checker->unread)
        problem_help(
            problem_add(checker->problems, STAVE_ERROR, "too-few", curve->span,
                        count == 0 ? "curve '%s' has no points" : "curve '%s' has only one point",
                        curve->name),
            checker->problems, "write at least two, one a line: 14 in  0.010 in");
    curve->points = ARENA_ARRAY(checker->arena, struct curve_point, count);
    if (axis == NULL)
        return false;
    return resolve_points(checker, curve, tree, axis) && count >= 2;
}

void curves_resolve(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_curve *tree;
    uint32_t i, next = 0;

    for (i = 0; i < book->tree_count; i++)
        for (tree = book->trees[i]->curves; tree != NULL; tree = tree->next) {
            struct curve *curve;

            if (tree->name.text == NULL)
                continue;
            curve = &book->curves[next++];
            if (!resolve_curve(checker, curve, tree))
                names_mark_broken(checker, curve->name, SORT_CURVE);
        }
}
