/*
 * Comparisons brought to a form that can be decided: left - right (or right - left) becomes a lattice
 * of linear forms, least and greatest pushed outward past sums and multiples; "g <= 0" is
 * then an AND over a greatest and an OR over a least. Where the lesser or greater of two forms
 * depends on one axis alone (two curves, a curve and a figure), it is one form again.
 */
#include <string.h>

#include "book/alike.h"
#include "plan/build.h"

/* ---- linear forms -------------------------------------------------------------- */

static struct linear linear_constant(struct number value)
{
    struct linear linear = {.constant = value};
    return linear;
}

static struct linear linear_variable(struct arena *arena, uint32_t variable,
                                     struct number coefficient)
{
    struct linear linear = {.term_count = 1, .constant = NUMBER_ZERO};
    linear.terms = ARENA_NEW(arena, struct term);
    linear.terms[0] = (struct term){.variable = variable, .coefficient = coefficient};
    return linear;
}

static bool linear_is_constant(const struct linear *linear)
{
    if (linear->term_count > 0)
        return false;
    for (uint32_t axis = 0; axis < BOOK_AXES; axis++)
        if (linear->lines[axis])
            return false;
    return true;
}

static struct linear linear_scale(struct arena *arena, const struct linear *linear,
                                  struct number factor)
{
    struct linear scaled = {.constant = number_multiply(arena, linear->constant, factor)};
    if (number_sign(factor) != 0) {
        scaled.terms = ARENA_ARRAY(arena, struct term, linear->term_count);
        scaled.term_count = linear->term_count;
    }
    for (uint32_t i = 0; i < scaled.term_count; i++) {
        scaled.terms[i].variable = linear->terms[i].variable;
        scaled.terms[i].coefficient = number_multiply(arena, linear->terms[i].coefficient, factor);
    }
    /* A line times zero stays, as a level one: what it does not reach it still does not. */
    for (uint32_t axis = 0; axis < BOOK_AXES; axis++)
        if (linear->lines[axis])
            scaled.lines[axis] = place_line_scale(arena, linear->lines[axis], factor, NUMBER_ZERO);
    return scaled;
}

static struct linear linear_add(struct arena *arena, const struct linear *a, const struct linear *b)
{
    struct linear sum = {.constant = number_add(arena, a->constant, b->constant)};
    sum.terms = ARENA_ARRAY(arena, struct term, a->term_count + b->term_count);
    uint32_t i = 0, j = 0;
    while (i < a->term_count || j < b->term_count) {
        bool from_a = j == b->term_count ||
                      (i < a->term_count && a->terms[i].variable <= b->terms[j].variable);
        bool from_b = i == a->term_count ||
                      (j < b->term_count && b->terms[j].variable <= a->terms[i].variable);
        struct term term = from_a ? a->terms[i] : b->terms[j];
        if (from_a && from_b)
            term.coefficient = number_add(arena, term.coefficient, b->terms[j].coefficient);
        i += from_a;
        j += from_b;
        if (number_sign(term.coefficient) != 0)
            sum.terms[sum.term_count++] = term;
    }
    for (uint32_t axis = 0; axis < BOOK_AXES; axis++)
        sum.lines[axis] = !a->lines[axis]   ? b->lines[axis]
                          : !b->lines[axis] ? a->lines[axis]
                                            : place_line_add(arena, a->lines[axis], b->lines[axis]);
    return sum;
}

static bool linear_terms_equal(const struct linear *a, const struct linear *b)
{
    if (a->term_count != b->term_count)
        return false;
    for (uint32_t i = 0; i < a->term_count; i++)
        if (a->terms[i].variable != b->terms[i].variable ||
            !number_equal(a->terms[i].coefficient, b->terms[i].coefficient))
            return false;
    return true;
}

/*
 * The lesser or greater of two forms as one form, where they have the same terms and differ
 * along one axis at most. False when they do not.
 */
static bool linear_pick(struct arena *arena, const struct linear *a, const struct linear *b,
                        bool greater, struct linear *picked)
{
    if (!linear_terms_equal(a, b))
        return false;
    uint32_t differing = BOOK_AXES;
    for (uint32_t axis = 0; axis < BOOK_AXES; axis++) {
        if (place_line_equal(a->lines[axis], b->lines[axis]))
            continue;
        if (differing != BOOK_AXES)
            return false;
        differing = axis;
    }
    *picked = *a;
    if (differing == BOOK_AXES) {
        int order = number_compare(arena, a->constant, b->constant);
        if (greater ? order < 0 : order > 0)
            picked->constant = b->constant;
        return true;
    }
    const struct place_line *of_a = a->lines[differing], *of_b = b->lines[differing];
    const struct place_line *with_a =
        of_a ? place_line_scale(arena, of_a, NUMBER_INT(1), a->constant)
             : place_line_level(arena, of_b, a->constant);
    const struct place_line *with_b =
        of_b ? place_line_scale(arena, of_b, NUMBER_INT(1), b->constant)
             : place_line_level(arena, of_a, b->constant);
    picked->lines[differing] = place_line_pick(arena, with_a, with_b, greater);
    picked->constant = NUMBER_ZERO;
    return true;
}

/* ---- lattices -------------------------------------------------------------------- */

static struct lattice *lattice_linear(struct arena *arena, struct linear linear)
{
    struct lattice *lattice = ARENA_NEW(arena, struct lattice);
    lattice->sort = LATTICE_LINEAR;
    lattice->linear = linear;
    return lattice;
}

static uint32_t lattice_leaves(const struct lattice *lattice)
{
    if (lattice->sort == LATTICE_LINEAR)
        return 1;
    uint32_t leaves = 0; /* at most PLAN_LEAVES, by lattice_bound */
    for (uint32_t i = 0; i < lattice->branch_count; i++)
        leaves += lattice_leaves(lattice->branches[i]);
    return leaves;
}

/* Refuses what would have too many leaves before it is made. */
static void lattice_bound(struct arena *arena, uint64_t leaves)
{
    if (leaves > PLAN_LEAVES)
        arena_escape(arena, STAVE_TOO_BIG);
}

/* Adds a branch, folding a linear one into another where they make one form. */
static void lattice_push(struct arena *arena, struct lattice *node, struct lattice *branch)
{
    for (uint32_t i = 0; branch->sort == LATTICE_LINEAR && i < node->branch_count; i++) {
        struct linear picked;
        if (node->branches[i]->sort != LATTICE_LINEAR ||
            !linear_pick(arena, &node->branches[i]->linear, &branch->linear,
                         node->sort == LATTICE_GREATEST, &picked))
            continue;
        node->branches[i] = lattice_linear(arena, picked);
        return;
    }
    node->branches[node->branch_count++] = branch;
}

/* Adds the branches of one that is of the same sort, else itself. */
static void lattice_join(struct arena *arena, struct lattice *node, struct lattice *branch)
{
    if (branch->sort != node->sort) {
        lattice_push(arena, node, branch);
        return;
    }
    for (uint32_t i = 0; i < branch->branch_count; i++)
        lattice_push(arena, node, branch->branches[i]);
}

static struct lattice *lattice_pick(struct arena *arena, enum lattice_sort sort, struct lattice *a,
                                    struct lattice *b)
{
    lattice_bound(arena, (uint64_t)lattice_leaves(a) + lattice_leaves(b));
    struct lattice *node = ARENA_NEW(arena, struct lattice);
    node->sort = sort;
    node->branches =
        ARENA_ARRAY(arena, struct lattice *, (size_t)a->branch_count + b->branch_count + 2);
    lattice_join(arena, node, a);
    lattice_join(arena, node, b);
    return node->branch_count == 1 ? node->branches[0] : node;
}

static struct lattice *lattice_scale(struct arena *arena, const struct lattice *lattice,
                                     struct number factor)
{
    if (lattice->sort == LATTICE_LINEAR)
        return lattice_linear(arena, linear_scale(arena, &lattice->linear, factor));
    struct lattice *scaled = ARENA_NEW(arena, struct lattice);
    scaled->sort = lattice->sort;
    if (number_sign(factor) < 0)
        scaled->sort = lattice->sort == LATTICE_LEAST ? LATTICE_GREATEST : LATTICE_LEAST;
    scaled->branches = ARENA_ARRAY(arena, struct lattice *, lattice->branch_count);
    for (uint32_t i = 0; i < lattice->branch_count; i++)
        lattice_push(arena, scaled, lattice_scale(arena, lattice->branches[i], factor));
    return scaled->branch_count == 1 ? scaled->branches[0] : scaled;
}

static struct lattice *lattice_sum(struct arena *arena, struct lattice *a, struct lattice *b)
{
    if (a->sort == LATTICE_LINEAR && b->sort == LATTICE_LINEAR)
        return lattice_linear(arena, linear_add(arena, &a->linear, &b->linear));
    if (a->sort == LATTICE_LINEAR) {
        struct lattice *swapped = a;
        a = b;
        b = swapped;
    }
    /* least(x, y) + b = least(x + b, y + b), and the same for the greatest. */
    uint64_t leaves = (uint64_t)lattice_leaves(a) * lattice_leaves(b);
    lattice_bound(arena, leaves);
    struct lattice *sum = ARENA_NEW(arena, struct lattice);
    sum->sort = a->sort;
    sum->branches = ARENA_ARRAY(arena, struct lattice *, (size_t)leaves);
    for (uint32_t i = 0; i < a->branch_count; i++)
        lattice_join(arena, sum, lattice_sum(arena, a->branches[i], b));
    return sum->branch_count == 1 ? sum->branches[0] : sum;
}

/* ---- products ---------------------------------------------------------------------- */

static bool same_factor(const struct expression *a, const struct expression *b)
{
    return expression_alike(a, b, called_alike, NULL);
}

/* The variable of a product; the same for the same two factors, in either order. */
static uint32_t product_variable(struct build *build, const struct expression *left,
                                 const struct expression *right)
{
    struct docket *docket = build->docket;
    for (uint32_t i = 0; i < docket->variable_count; i++) {
        const struct expression *const *factors = docket->variables[i].factors;
        if (factors[0] &&
            ((same_factor(factors[0], left) && same_factor(factors[1], right)) ||
             (same_factor(factors[0], right) && same_factor(factors[1], left))))
            return i;
    }
    struct variable *variable = ARENA_PUSH(build->arena, docket->variables, docket->variable_count,
                                           build->variable_capacity);
    *variable = (struct variable){.sort = VARIABLE_PRODUCT, .factors = {left, right}};
    return docket->variable_count - 1;
}

/* The measure that a form is a plain multiple of, as an expression; NULL when it is not. */
static const struct expression *single_measure(struct build *build, const struct lattice *lattice,
                                               struct number *coefficient)
{
    const struct linear *linear = &lattice->linear;
    if (lattice->sort != LATTICE_LINEAR || linear->term_count != 1 ||
        number_sign(linear->constant) != 0)
        return NULL;
    const struct variable *variable = &build->docket->variables[linear->terms[0].variable];
    const struct measure *measure = variable->measure;
    if (variable->sort != VARIABLE_RECORD || !measure)
        return NULL;
    struct expression *expression = ARENA_NEW(build->arena, struct expression);
    expression->sort = EXPRESSION_MEASURE;
    expression->measure = measure;
    expression->dimension = measure->dimension;
    *coefficient = linear->terms[0].coefficient;
    return expression;
}

/*
 * A product of two values that are both read. A multiple of a measure on either side gives up its
 * factor, so that "length * width" and "2 * length * width" are one coordinate.
 */
static struct lattice *lattice_product(struct build *build, const struct expression *left,
                                       const struct lattice *of_left,
                                       const struct expression *right,
                                       const struct lattice *of_right)
{
    struct arena *arena = build->scratch;
    struct number factor_left = NUMBER_INT(1), factor_right = NUMBER_INT(1);
    const struct expression *plain = single_measure(build, of_left, &factor_left);
    if (plain)
        left = plain;
    plain = single_measure(build, of_right, &factor_right);
    if (plain)
        right = plain;
    uint32_t variable = product_variable(build, left, right);
    struct number factor = number_multiply(arena, factor_left, factor_right);
    return lattice_linear(arena, linear_variable(arena, variable, factor));
}

/* ---- expressions --------------------------------------------------------------------- */

static struct lattice *lattice_of(struct build *build, const struct expression *expression);

static struct lattice *lattice_of_measure(struct build *build, const struct measure *measure)
{
    const struct kind *kind = build->docket->kind;
    for (uint32_t i = 0; i < kind->record_count; i++)
        if (kind->records[i].measure == measure)
            return lattice_linear(build->scratch,
                                  linear_variable(build->scratch, i, NUMBER_INT(1)));
    arena_escape(build->arena, STAVE_MISUSE); /* book_check refuses it */
}

/* ---- company and growth ---- */

int32_t plan_company_variable(const struct docket *docket, const struct aggregate *aggregate)
{
    for (uint32_t i = 0; i < docket->variable_count; i++)
        if (docket->variables[i].sort == VARIABLE_COMPANY &&
            (docket->variables[i].aggregate == aggregate ||
             aggregate_alike(docket->variables[i].aggregate, aggregate, called_alike, NULL)))
            return (int32_t)i;
    return -1;
}

static struct lattice *lattice_of_aggregate(struct build *build, const struct aggregate *aggregate)
{
    struct docket *docket = build->docket;
    int32_t known = plan_company_variable(docket, aggregate);
    if (known < 0) {
        known = (int32_t)docket->variable_count;
        *ARENA_PUSH(build->arena, docket->variables, docket->variable_count,
                    build->variable_capacity) =
            (struct variable){.sort = VARIABLE_COMPANY, .aggregate = aggregate};
    }
    return lattice_linear(build->scratch,
                          linear_variable(build->scratch, (uint32_t)known, NUMBER_INT(1)));
}

/* The variable for what was read before, of a record; for VARIABLE_SEEN the record is 0. */
static uint32_t earlier_variable(struct build *build, enum variable_sort sort, uint32_t record)
{
    struct docket *docket = build->docket;
    for (uint32_t i = 0; i < docket->variable_count; i++)
        if (docket->variables[i].sort == sort && docket->variables[i].record == record)
            return i;
    struct variable made = {.step = NUMBER_ZERO};
    if (sort != VARIABLE_SEEN)
        made = docket->variables[record];
    made.sort = sort;
    made.record = record;
    *ARENA_PUSH(build->arena, docket->variables, docket->variable_count,
                build->variable_capacity) = made;
    return docket->variable_count - 1;
}

static struct lattice *lattice_of_growth(struct build *build, const struct expression *expression)
{
    const struct kind *kind = build->docket->kind;
    uint32_t record = 0;
    while (record < kind->record_count && kind->records[record].measure != expression->grown)
        record++;
    if (record == kind->record_count)
        arena_escape(build->arena, STAVE_MISUSE); /* book_check refuses it */
    uint32_t before = earlier_variable(
        build, expression->since_first ? VARIABLE_FIRST : VARIABLE_EARLIER, record);
    int toward_worse = expression->grown->smaller_is_worse ? -1 : 1;
    struct linear now = linear_variable(build->scratch, record, NUMBER_INT(toward_worse));
    struct linear then = linear_variable(build->scratch, before, NUMBER_INT(-toward_worse));
    return lattice_linear(build->scratch, linear_add(build->scratch, &now, &then));
}

static struct lattice *lattice_of_curve(struct build *build, const struct curve *curve)
{
    const struct part *part = build->docket->part;
    struct linear linear = linear_constant(NUMBER_ZERO);
    for (uint32_t axis = 0; axis < part->axis_count; axis++) {
        const char *a = part->axes[axis].name, *b = curve->axis;
        while (*a && *a == *b)
            a++, b++;
        if (*a != *b)
            continue;
        linear.lines[axis] = place_line_from_curve(build->scratch, curve);
        return lattice_linear(build->scratch, linear);
    }
    arena_escape(build->arena, STAVE_MISUSE); /* book_check refuses it */
}

static struct lattice *lattice_of_multiply(struct build *build, const struct expression *expression)
{
    struct lattice *left = lattice_of(build, expression->left);
    struct lattice *right = lattice_of(build, expression->right);
    if (left->sort == LATTICE_LINEAR && linear_is_constant(&left->linear))
        return lattice_scale(build->scratch, right, left->linear.constant);
    if (right->sort == LATTICE_LINEAR && linear_is_constant(&right->linear))
        return lattice_scale(build->scratch, left, right->linear.constant);
    return lattice_product(build, expression->left, left, expression->right, right);
}

static struct lattice *lattice_of_divide(struct build *build, const struct expression *expression)
{
    struct lattice *left = lattice_of(build, expression->left);
    struct number divisor = expression_see_through(expression->right)->value; /* a figure, not zero */
    return lattice_scale(build->scratch, left,
                         number_divide(build->scratch, NUMBER_INT(1), divisor));
}

static struct lattice *lattice_of(struct build *build, const struct expression *expression)
{
    struct arena *arena = build->scratch;
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        return lattice_linear(arena, linear_constant(expression->value));
    case EXPRESSION_MEASURE:
        return lattice_of_measure(build, expression->measure);
    case EXPRESSION_CURVE:
        return lattice_of_curve(build, expression->curve);
    case EXPRESSION_RECKONED:
        return lattice_of(build, expression->reckon->value);
    case EXPRESSION_ADD:
        return lattice_sum(arena, lattice_of(build, expression->left),
                           lattice_of(build, expression->right));
    case EXPRESSION_SUBTRACT:
        return lattice_sum(
            arena, lattice_of(build, expression->left),
            lattice_scale(arena, lattice_of(build, expression->right), NUMBER_INT(-1)));
    case EXPRESSION_MULTIPLY:
        return lattice_of_multiply(build, expression);
    case EXPRESSION_DIVIDE:
        return lattice_of_divide(build, expression);
    case EXPRESSION_LESSER:
    case EXPRESSION_GREATER:
        return lattice_pick(
            arena, expression->sort == EXPRESSION_LESSER ? LATTICE_LEAST : LATTICE_GREATEST,
            lattice_of(build, expression->left), lattice_of(build, expression->right));
    case EXPRESSION_AGGREGATE:
        return lattice_of_aggregate(build, expression->aggregate);
    case EXPRESSION_GROWTH:
        return lattice_of_growth(build, expression);
    case EXPRESSION_SEEN:
        return lattice_linear(arena,
                              linear_variable(arena, earlier_variable(build, VARIABLE_SEEN, 0),
                                              NUMBER_INT(1)));
    case EXPRESSION_LARGER:
    case EXPRESSION_TOGETHER:
        break; /* within an aggregate only */
    }
    arena_escape(arena, STAVE_MISUSE);
}

/* What is left of `room` after the nodes of an expression, reckoned names written out: what is
 * reckoned from what is reckoned doubles with each name. */
static uint32_t room_after(const struct expression *expression, uint32_t room)
{
    for (; room > 0 && expression->sort == EXPRESSION_RECKONED; room--)
        expression = expression->reckon->value;
    if (room > 0)
        room--;
    if (room > 0 && expression->left)
        room = room_after(expression->left, room);
    if (room > 0 && expression->right)
        room = room_after(expression->right, room);
    return room;
}

struct step_lattice atoms_prepare(struct build *build, struct step *step)
{
    const struct condition *condition = step->source;
    if (room_after(condition->left, PLAN_NODES) == 0 ||
        room_after(condition->right, PLAN_NODES) == 0)
        arena_escape(build->arena, STAVE_TOO_BIG);
    bool upper = relation_is_upper(condition->relation);
    const struct expression *small = upper ? condition->left : condition->right;
    const struct expression *large = upper ? condition->right : condition->left;
    struct lattice *negated =
        lattice_scale(build->scratch, lattice_of(build, large), NUMBER_INT(-1));
    return (struct step_lattice){
        .step = step,
        .lattice = lattice_sum(build->scratch, lattice_of(build, small), negated),
        .strict = relation_is_strict(condition->relation)};
}

/* ---- atoms ------------------------------------------------------------------------------ */

enum { READ_LINES = 32 };

/* A line read off at the breakpoints of its axis that it reaches. */
static struct place_function line_read_off(struct build *build, uint32_t axis,
                                           const struct place_line *line)
{
    const struct plan_axis *cells = &build->docket->axes[axis];
    struct place_function function = {.axis = axis};
    function.values = ARENA_ARRAY(build->arena, struct number, cells->breakpoint_count);
    function.point_count =
        place_line_values(build->scratch, line, cells->breakpoints, cells->breakpoint_count,
                          &function.first, function.values);
    for (uint32_t i = 0; i < function.point_count; i++)
        function.values[i] = number_copy(build->arena, function.values[i]);
    return function;
}

static struct place_function place_function_of(struct build *build, uint32_t axis,
                                               const struct place_line *line)
{
    uint32_t kept = build->read_line_count < READ_LINES ? build->read_line_count : READ_LINES;
    for (uint32_t i = 0; i < kept; i++)
        if (build->read_lines[i].function.axis == axis &&
            place_line_equal(build->read_lines[i].line, line))
            return build->read_lines[i].function;
    if (!build->read_lines)
        build->read_lines = ARENA_ARRAY(build->scratch, struct read_line, READ_LINES);
    struct read_line *made = &build->read_lines[build->read_line_count++ % READ_LINES];
    *made = (struct read_line){.line = line, .function = line_read_off(build, axis, line)};
    return made->function;
}

static struct atom atom_of(struct build *build, const struct linear *linear, bool strict)
{
    struct atom atom = {.terms = ARENA_ARRAY(build->arena, struct term, linear->term_count),
                        .term_count = linear->term_count,
                        .constant = number_copy(build->arena, linear->constant),
                        .strict = strict};
    for (uint32_t i = 0; i < linear->term_count; i++) {
        atom.terms[i].variable = linear->terms[i].variable;
        atom.terms[i].coefficient = number_copy(build->arena, linear->terms[i].coefficient);
    }
    uint32_t lines = 0;
    for (uint32_t axis = 0; axis < BOOK_AXES; axis++)
        lines += linear->lines[axis] != NULL;
    atom.places = ARENA_ARRAY(build->arena, struct place_function, lines);
    for (uint32_t axis = 0; axis < BOOK_AXES; axis++)
        if (linear->lines[axis])
            atom.places[atom.place_count++] = place_function_of(build, axis, linear->lines[axis]);
    return atom;
}

struct atom_tree *atoms_finish(struct build *build, const struct lattice *lattice, bool strict)
{
    struct atom_tree *tree = ARENA_NEW(build->arena, struct atom_tree);
    if (lattice->sort == LATTICE_LINEAR) {
        tree->sort = ATOM_LEAF;
        tree->atom = atom_of(build, &lattice->linear, strict);
        return tree;
    }
    tree->sort = lattice->sort == LATTICE_GREATEST ? ATOM_AND : ATOM_OR;
    tree->branch_count = lattice->branch_count;
    tree->branches = ARENA_ARRAY(build->arena, struct atom_tree *, lattice->branch_count);
    for (uint32_t i = 0; i < lattice->branch_count; i++)
        tree->branches[i] = atoms_finish(build, lattice->branches[i], strict);
    return tree;
}
