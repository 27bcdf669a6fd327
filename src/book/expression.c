/*
 * Expressions: names, dimensions, what may be multiplied with what, and how big a
 * figure can get. The tree leans left without bound ("a + b + c ..."), so the left spine is
 * walked in a loop; what nests on the right is counted and capped.
 */
#include "book/check.h"

/* Filled in where it is wanted, from all zero. */
struct built {
    const struct expression *expression; /* NULL: it has errors */
    struct expression_facts facts;
};

static void build(struct checker *checker, const struct tree_expression *tree, unsigned nesting,
                  struct built *built);

bool expression_bits_fit(struct checker *checker, uint32_t numerator, uint32_t denominator,
                         struct span at)
{
    struct stave_problem *problem;

    if (numerator + denominator <= BOOK_FIGURE_BITS)
        return true;
    problem = problem_add(checker->problems, STAVE_ERROR, "too-big", at,
                          "'%s' can come to figures that are too long", check_quote(checker, at));
    problem_help(problem, checker->problems,
                 "use fewer terms, or figures and curve points with fewer digits");
    return false;
}

bool expression_choices_fit(struct checker *checker, uint64_t choices, struct span at)
{
    if (choices <= BOOK_CHOICES)
        return true;
    problem_help(problem_add(checker->problems, STAVE_ERROR, "too-many", at,
                             "'%s' can fall in more than %d ways", check_quote(checker, at),
                             BOOK_CHOICES),
                 checker->problems, "use fewer of 'the lesser of' and 'the greater of'");
    return false;
}

/* ---- operands ------------------------------------------------------------------- */

static void figure(struct checker *checker, const struct tree_quantity *quantity,
                   struct built *built)
{
    struct expression *made = ARENA_NEW(checker->arena, struct expression);

    made->sort = EXPRESSION_FIGURE;
    made->value = quantity->value;
    made->unit = quantity->unit != NULL ? quantity->unit : unit_none();
    made->dimension = made->unit->dimension;
    made->span = quantity->span;
    built->expression = made;
    built->facts.numerator_bits = figure_numerator_bits(made->value);
    built->facts.denominator_bits = figure_denominator_bits(made->value);
    built->facts.size = built->facts.choices = 1;
}

static uint32_t larger(uint32_t a, uint32_t b)
{
    return a > b ? a : b;
}

/* What a curve can come to between two of its points: y0 + (y1 - y0) (x - x0) / (x1 - x0). */
static void curve_bits(struct checker *checker, const struct curve *curve,
                       struct expression_facts *facts)
{
    struct expression_facts *known = &checker->curve_facts[curve->index];
    uint32_t xn = 0, xd = 0, yn = 0, yd = 0, rise, part, i;

    if (known->size > 0) {
        *facts = *known;
        return;
    }
    for (i = 0; i < curve->point_count; i++) {
        xn = larger(xn, figure_numerator_bits(curve->points[i].at));
        xd = larger(xd, figure_denominator_bits(curve->points[i].at));
        yn = larger(yn, figure_numerator_bits(curve->points[i].value));
        yd = larger(yd, figure_denominator_bits(curve->points[i].value));
    }
    part = CHECK_READING_BITS + 1 + larger(xn, xd) + 2 * larger(xd, xn) + 1;
    rise = part + yn + yd + 1 + yd;
    facts->numerator_bits = rise + larger(yn, yd) + 1;
    facts->denominator_bits = rise + yd;
    *known = *facts;
}

static void resolve_reckon(struct checker *checker, uint32_t index);

static void reckoned(struct checker *checker, const struct name *name, struct expression *made,
                     struct built *built)
{
    const struct reckon *reckon = &checker->book->reckons[name->index];
    struct reckon_state *state = &checker->reckons[name->index];

    if (state->state == STATE_UNDER_WAY) {
        check_second(checker,
                     problem_add(checker->problems, STAVE_ERROR, "circular-reckon", made->span,
                                 "'%s' is reckoned from itself", reckon->name),
                     reckon->span, "declared here");
        return;
    }
    if (state->state == STATE_WAITING)
        resolve_reckon(checker, name->index);
    if (reckon->value == NULL)
        return;
    made->sort = EXPRESSION_RECKONED;
    made->reckon = reckon;
    made->dimension = reckon->value->dimension;
    built->expression = made;
    built->facts = state->facts;
}

static void operand(struct checker *checker, struct tree_word word, struct built *built)
{
    struct expression *made = ARENA_NEW(checker->arena, struct expression);
    const struct name *name = names_get(
        checker, word, SORT_BIT(SORT_MEASURE) | SORT_BIT(SORT_CURVE) | SORT_BIT(SORT_RECKON),
        "measure, curve or reckoned name");

    if (name == NULL || name->broken)
        return;
    made->span = word.span;
    if (name->sort == SORT_RECKON) {
        reckoned(checker, name, made, built);
        return;
    }
    built->expression = made;
    built->facts.size = built->facts.choices = 1;
    if (name->sort == SORT_MEASURE) {
        made->sort = EXPRESSION_MEASURE;
        made->measure = &checker->book->measures[name->index];
        made->dimension = made->measure->dimension;
        built->facts.numerator_bits = built->facts.denominator_bits = CHECK_READING_BITS;
        built->facts.degree = 1;
    } else {
        made->sort = EXPRESSION_CURVE;
        made->curve = &checker->book->curves[name->index];
        made->dimension = made->curve->dimension;
        built->facts.has_curve = true;
        curve_bits(checker, made->curve, &built->facts);
    }
}

/* ---- two together ----------------------------------------------------------------- */

static const char *dimension_of(struct checker *checker, const struct expression *expression)
{
    return dimension_name(checker->arena, expression->dimension);
}

static bool lacks_unit(const struct expression *expression)
{
    return expression->sort == EXPRESSION_FIGURE && expression->unit == unit_none();
}

/* A unit that the expression is written in, for a suggestion; NULL when none is plain to see. */
static const struct unit *own_unit(const struct expression *expression)
{
    for (;;) {
        switch (expression->sort) {
        case EXPRESSION_FIGURE:
            return expression->unit;
        case EXPRESSION_MEASURE:
            return expression->measure->unit;
        case EXPRESSION_CURVE:
            return expression->curve->unit;
        case EXPRESSION_RECKONED:
            expression = expression->reckon->value;
            break;
        case EXPRESSION_MULTIPLY:
            return NULL;
        case EXPRESSION_GROWTH:
            return expression->grown->unit;
        case EXPRESSION_SEEN:
            return unit_none();
        case EXPRESSION_AGGREGATE:
            if (expression->aggregate->value == NULL)
                return unit_none();
            expression = expression->aggregate->value;
            break;
        default:
            expression = expression->left;
            break;
        }
    }
}

static struct span declared(const struct expression *expression)
{
    switch (expression->sort) {
    case EXPRESSION_MEASURE:
        return expression->measure->span;
    case EXPRESSION_CURVE:
        return expression->curve->span;
    case EXPRESSION_RECKONED:
        return expression->reckon->span;
    default:
        return (struct span){0};
    }
}

void expression_mismatch(struct checker *checker, const struct expression *left,
                         const struct expression *right)
{
    const struct expression *bare = lacks_unit(right) ? right : lacks_unit(left) ? left : NULL;
    const struct expression *other = bare == right ? left : right;
    struct stave_problem *problem;

    if (bare == NULL) {
        problem = problem_add(checker->problems, STAVE_ERROR, "dimension", right->span,
                              "'%s' is %s, but '%s' is %s", check_quote(checker, right->span),
                              dimension_of(checker, right), check_quote(checker, left->span),
                              dimension_of(checker, left));
        check_second(checker, problem, declared(left), "declared here");
        if (right->sort == EXPRESSION_FIGURE && right->dimension.ratio)
            problem_help(problem, checker->problems, "a ratio scales something: '%s of …'",
                         check_quote(checker, right->span));
        return;
    }
    problem = problem_add(checker->problems, STAVE_ERROR, "unit-missing", bare->span,
                          "figure '%s' has no unit: '%s' is %s", check_quote(checker, bare->span),
                          check_quote(checker, other->span), dimension_of(checker, other));
    if (own_unit(other) != NULL && own_unit(other)->name[0] != '\0')
        problem_help(problem, checker->problems, "write its unit, as in '%s %s'",
                     check_quote(checker, bare->span), own_unit(other)->name);
}

static bool is_constant(const struct built *built)
{
    return built->facts.degree == 0 && !built->facts.has_curve;
}

/* A ratio takes the other's dimension; else exponents add up, within reason. */
static bool product_dimension(struct checker *checker, struct dimension a, struct dimension b,
                              struct span at, struct dimension *product)
{
    struct dimension *all[2] = {&a, &b};
    unsigned i;

    if (a.ratio || b.ratio) {
        *product = a.ratio ? b : a;
        return true;
    }
    for (i = 0; i < 2; i++) {
        const int8_t parts[7] = {all[i]->length, all[i]->angle, all[i]->mass,  all[i]->force,
                                 all[i]->hours,  all[i]->days,  all[i]->cycles};
        unsigned j;

        for (j = 0; j < 7; j++)
            if (parts[j] > 8) {
                problem_add(checker->problems, STAVE_ERROR, "product", at,
                            "'%s' multiplies too many figures with units",
                            check_quote(checker, at));
                return false;
            }
    }
    *product = dimension_product(a, b);
    return true;
}

static bool multiply(struct checker *checker, const struct built *left, const struct built *right,
                     struct expression *made)
{
    const char *wrong = NULL;

    if (!is_constant(left) && !is_constant(right)) {
        if (left->facts.has_curve && right->facts.has_curve)
            wrong = "a curve times a curve";
        else if (left->facts.has_curve || right->facts.has_curve)
            wrong = "a curve times a measure";
        else if (left->facts.degree + right->facts.degree > 2)
            wrong = "more than two measures multiplied";
    }
    if (wrong != NULL) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "product", made->span,
                                 "'%s' is %s", check_quote(checker, made->span), wrong),
                     checker->problems,
                     "multiply a figure with anything, or two measures with each other");
        return false;
    }
    return product_dimension(checker, left->expression->dimension, right->expression->dimension,
                             made->span, &made->dimension);
}

static bool divide(struct checker *checker, const struct built *left, const struct built *right,
                   struct expression *made)
{
    const struct expression *by = right->expression;

    made->dimension = left->expression->dimension;
    if (by->sort != EXPRESSION_FIGURE || by->unit != unit_none()) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "division", by->span,
                                 "'%s' is no plain number to divide by",
                                 check_quote(checker, by->span)),
                     checker->problems, "divide by a number without a unit, as in '/ 2'");
        return false;
    }
    if (number_sign(by->value) != 0)
        return true;
    problem_add(checker->problems, STAVE_ERROR, "division", by->span, "division by zero");
    return false;
}

static enum expression_sort sort_of(enum tree_expression_sort sort)
{
    switch (sort) {
    case TREE_SUBTRACT:
        return EXPRESSION_SUBTRACT;
    case TREE_MULTIPLY:
        return EXPRESSION_MULTIPLY;
    case TREE_DIVIDE:
        return EXPRESSION_DIVIDE;
    case TREE_LESSER:
        return EXPRESSION_LESSER;
    case TREE_GREATER:
        return EXPRESSION_GREATER;
    default:
        return EXPRESSION_ADD;
    }
}

static void join_facts(const struct expression *made, const struct expression_facts *a,
                       const struct expression_facts *b, struct expression_facts *facts)
{
    switch (made->sort) {
    case EXPRESSION_MULTIPLY:
        facts->numerator_bits = a->numerator_bits + b->numerator_bits;
        facts->denominator_bits = a->denominator_bits + b->denominator_bits;
        facts->degree = a->degree + b->degree;
        break;
    case EXPRESSION_DIVIDE:
        facts->numerator_bits = a->numerator_bits + b->denominator_bits;
        facts->denominator_bits = a->denominator_bits + b->numerator_bits;
        facts->degree = a->degree;
        break;
    case EXPRESSION_LESSER:
    case EXPRESSION_GREATER:
        facts->numerator_bits = larger(a->numerator_bits, b->numerator_bits);
        facts->denominator_bits = larger(a->denominator_bits, b->denominator_bits);
        facts->degree = larger(a->degree, b->degree);
        break;
    default:
        facts->numerator_bits = larger(a->numerator_bits + b->denominator_bits,
                                       b->numerator_bits + a->denominator_bits) +
                                1;
        facts->denominator_bits = a->denominator_bits + b->denominator_bits;
        facts->degree = larger(a->degree, b->degree);
        break;
    }
    facts->has_curve = a->has_curve || b->has_curve;
    facts->size = a->size + b->size;
    if (made->sort == EXPRESSION_LESSER || made->sort == EXPRESSION_GREATER)
        facts->choices = a->choices + b->choices;
    else
        facts->choices = a->choices * b->choices; /* each is at most BOOK_CHOICES */
    facts->reckon_depth = larger(a->reckon_depth, b->reckon_depth);
}

static bool size_fits(struct checker *checker, uint32_t size, struct span at)
{
    if (size <= BOOK_TERMS)
        return true;
    problem_help(problem_add(checker->problems, STAVE_ERROR, "too-many", at,
                             "more than %d operands in one expression", BOOK_TERMS),
                 checker->problems, "reckoned names count with all that they stand for");
    return false;
}

/* `built` is the left of the two, and becomes the whole. */
static void join(struct checker *checker, const struct tree_expression *tree,
                 const struct built *right, struct built *built)
{
    const struct built left = *built;
    struct expression *made = ARENA_NEW(checker->arena, struct expression);
    bool good = true;

    made->sort = sort_of(tree->sort);
    made->left = left.expression;
    made->right = right->expression;
    made->span = tree->span;
    if (made->sort == EXPRESSION_MULTIPLY) {
        good = multiply(checker, &left, right, made);
    } else if (made->sort == EXPRESSION_DIVIDE) {
        good = divide(checker, &left, right, made);
    } else {
        made->dimension = made->left->dimension;
        good = dimension_equal(made->left->dimension, made->right->dimension);
        if (!good)
            expression_mismatch(checker, made->left, made->right);
    }
    join_facts(made, &left.facts, &right->facts, &built->facts);
    built->expression = made;
    if (!good || !size_fits(checker, built->facts.size, tree->span) ||
        !expression_choices_fit(checker, built->facts.choices, tree->span) ||
        !expression_bits_fit(checker, built->facts.numerator_bits, built->facts.denominator_bits,
                             tree->span))
        *built = (struct built){0};
}

/* ---- the whole ------------------------------------------------------------------------ */

static bool is_leaf(const struct tree_expression *tree)
{
    return tree->sort == TREE_QUANTITY || tree->sort == TREE_NAME || tree->sort == TREE_LARGER ||
           tree->sort == TREE_TOGETHER;
}

/* "larger length", "length together": of two damages. */
static void pair_leaf(struct checker *checker, const struct tree_expression *tree,
                      struct built *built)
{
    struct expression *made = ARENA_NEW(checker->arena, struct expression);

    if (!checker->in_pair) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "wrong-form", tree->span,
                                 "'%s' speaks of two damages, and there is one",
                                 check_quote(checker, tree->span)),
                     checker->problems, "it stands after 'apart from … by' only");
        return;
    }
    operand(checker, tree->name, built);
    if (built->expression == NULL)
        return;
    if (built->facts.has_curve || built->facts.degree == 0) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "wrong-form", tree->name.span,
                                 "'%s' is nothing that is recorded of a damage", tree->name.text),
                     checker->problems, "name a measure, or what is reckoned from measures alone");
        *built = (struct built){0};
        return;
    }
    *made = (struct expression){.sort = tree->sort == TREE_LARGER ? EXPRESSION_LARGER
                                                                  : EXPRESSION_TOGETHER,
                                .dimension = built->expression->dimension,
                                .left = built->expression,
                                .span = tree->span};
    built->expression = made;
    built->facts.numerator_bits += built->facts.denominator_bits + 1;
    built->facts.denominator_bits *= 2;
}

static void build_leaf(struct checker *checker, const struct tree_expression *tree,
                       struct built *built)
{
    if (tree->sort == TREE_QUANTITY) {
        figure(checker, tree->quantity, built);
        return;
    }
    if (tree->name.text == NULL)
        return;
    if (tree->sort != TREE_NAME) {
        pair_leaf(checker, tree, built);
        return;
    }
    operand(checker, tree->name, built);
    if (checker->in_pair && built->facts.degree > 0) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "wrong-form", tree->span,
                                 "'%s' of which of the two damages?", tree->name.text),
                     checker->problems, "write 'larger %s' or '%s together'", tree->name.text,
                     tree->name.text);
        *built = (struct built){0};
    }
}

/* Steps down to the leftmost operand; stops counting just over what is allowed. */
static unsigned spine_depth(const struct tree_expression *tree)
{
    unsigned depth = 0;

    for (; !is_leaf(tree) && depth <= BOOK_TERMS; tree = tree->left)
        depth++;
    return depth;
}

static void build(struct checker *checker, const struct tree_expression *tree, unsigned nesting,
                  struct built *built)
{
    const struct tree_expression **spine;
    unsigned depth;

    if (nesting > CHECK_NESTING) {
        problem_add(checker->problems, STAVE_ERROR, "too-many", tree->span,
                    "expression is nested more than %d deep", CHECK_NESTING);
        return;
    }
    if (is_leaf(tree)) { /* most are */
        build_leaf(checker, tree, built);
        return;
    }
    depth = spine_depth(tree);
    if (!size_fits(checker, depth, tree->span))
        return;
    spine = ARENA_ARRAY(checker->arena, const struct tree_expression *, depth);
    for (depth = 0; !is_leaf(tree); tree = tree->left)
        spine[depth++] = tree;
    build_leaf(checker, tree, built);
    while (depth > 0) {
        const struct tree_expression *up = spine[--depth];
        struct built right = {0};

        build(checker, up->right, nesting + 1, &right);
        if (built->expression == NULL || right.expression == NULL)
            *built = (struct built){0};
        else
            join(checker, up, &right, built);
    }
}

const struct expression *expression_check(struct checker *checker,
                                          const struct tree_expression *tree,
                                          struct expression_facts *facts)
{
    struct built built = {0};

    if (tree != NULL)
        build(checker, tree, 0, &built);
    *facts = built.facts;
    return built.expression;
}

const struct expression *expression_check_name(struct checker *checker, struct tree_word word,
                                               struct expression_facts *facts)
{
    struct built built = {0};

    operand(checker, word, &built);
    *facts = built.facts;
    return built.expression;
}

/* ---- reckoned names ----------------------------------------------------------------------- */

void reckons_declare(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_reckon *tree;
    size_t count = 0;
    uint32_t i;

    for (i = 0; i < book->tree_count; i++)
        for (tree = book->trees[i]->reckons; tree != NULL; tree = tree->next)
            count += tree->name.text != NULL;
    book->reckons = ARENA_ARRAY(checker->arena, struct reckon, count);
    checker->reckons = ARENA_ARRAY(checker->arena, struct reckon_state, count);
    for (i = 0; i < book->tree_count; i++)
        for (tree = book->trees[i]->reckons; tree != NULL; tree = tree->next) {
            if (tree->name.text == NULL)
                continue;
            book->reckons[book->reckon_count] = (struct reckon){
                .name = tree->name.text, .index = book->reckon_count, .span = tree->name.span};
            checker->reckons[book->reckon_count].tree = tree;
            names_add(checker, tree->name, SORT_RECKON, book->reckon_count++);
        }
}

static bool reckon_too_deep(struct checker *checker, const struct reckon *reckon, uint32_t depth)
{
    if (depth <= CHECK_RECKON_DEPTH)
        return false;
    problem_add(checker->problems, STAVE_ERROR, "too-many", reckon->span,
                "'%s' is in a chain of reckoned names more than %d deep", reckon->name,
                CHECK_RECKON_DEPTH);
    return true;
}

static void resolve_reckon(struct checker *checker, uint32_t index)
{
    struct reckon *reckon = &checker->book->reckons[index];
    struct reckon_state *state = &checker->reckons[index];
    struct built built = {0};

    state->state = STATE_UNDER_WAY;
    checker->reckon_depth++;
    if (state->tree->value != NULL && !reckon_too_deep(checker, reckon, checker->reckon_depth))
        build(checker, state->tree->value, 0, &built);
    checker->reckon_depth--;
    state->state = STATE_DONE;
    if (built.expression == NULL)
        return;
    built.facts.reckon_depth++;
    if (reckon_too_deep(checker, reckon, built.facts.reckon_depth))
        return;
    reckon->value = built.expression;
    state->facts = built.facts;
}

void reckons_resolve(struct checker *checker)
{
    uint32_t i;

    for (i = 0; i < checker->book->reckon_count; i++)
        if (checker->reckons[i].state == STATE_WAITING)
            resolve_reckon(checker, i);
}
