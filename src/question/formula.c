/* Comparisons as SMT-LIB 2: and/or trees of forms that are straight on one stretch of the part. */
#include "question/formula.h"

#include <string.h>

/* ---- words --------------------------------------------------------------------------- */

/* "-127/5" becomes "(- (/ 127.0 5.0))". */
void formula_number(struct text *text, struct number value)
{
    const char *digits = number_fraction(text->arena, value);
    bool negative = *digits == '-';
    digits += negative;
    const char *bar = strchr(digits, '/');
    text_add(text, negative ? "(- " : "");
    if (bar) {
        text_add(text, "(/ ");
        text_add_bytes(text, digits, (size_t)(bar - digits));
        text_add(text, ".0 ");
        text_add(text, bar + 1);
        text_add(text, ".0)");
    } else {
        text_add(text, digits);
        text_add(text, ".0");
    }
    text_add(text, negative ? ")" : "");
}

void formula_symbol(struct text *text, const char *name, const char *more)
{
    text_add(text, "|");
    text_add(text, name);
    text_add(text, more);
    text_add(text, "|");
}

/* ---- extents and pieces ---------------------------------------------------------------- */

static bool whole_axis(const struct axis *axis, const struct zone_range *range)
{
    return number_equal(axis->from, range->from) && number_equal(axis->to, range->to) &&
           !range->from_open && !range->to_open;
}

/* The extent has a place in the range. */
static void overlaps(struct text *text, const struct axis *axis, const struct zone_range *range)
{
    text_add(text, range->to_open ? " (< " : " (<= ");
    formula_symbol(text, axis->name, " lo");
    text_add(text, " ");
    formula_number(text, range->to);
    text_add(text, range->from_open ? ") (> " : ") (>= ");
    formula_symbol(text, axis->name, " hi");
    text_add(text, " ");
    formula_number(text, range->from);
    text_add(text, ")");
}

static void on_sides(struct text *text, const struct part *part, uint64_t sides)
{
    if (part->side_count == 0 || sides == pieces_all_sides(part)) {
        return;
    }
    text_add(text, " (or false");
    for (uint32_t side = 0; side < part->side_count; side++) {
        if (sides >> side & 1) {
            text_addf(text, " (= |side| %u)", side);
        }
    }
    text_add(text, ")");
}

void formula_meets(struct text *text, const struct part *part, const struct piece *piece)
{
    text_add(text, "(and true");
    on_sides(text, part, piece->sides);
    for (uint32_t axis = 0; axis < part->axis_count; axis++) {
        if (!whole_axis(&part->axes[axis], &piece->ranges[axis])) {
            overlaps(text, &part->axes[axis], &piece->ranges[axis]);
        }
    }
    text_add(text, ")");
}

void formula_meets_any(struct text *text, const struct part *part, const struct pieces *pieces)
{
    text_add(text, "(or false");
    for (uint32_t i = 0; i < pieces->count; i++) {
        text_add(text, "\n    ");
        formula_meets(text, part, &pieces->items[i]);
    }
    text_add(text, ")");
}

/* ---- values on one stretch ---------------------------------------------------------------- */

/* Where a comparison is looked at: a piece of the zone between neighbouring points of its curves. */
struct stretch {
    const struct formula_names *names;
    struct zone_range ranges[BOOK_AXES];
};

struct product {
    const char *term; /* of the sort Real */
    struct number coefficient;
};

/* The sum of products, slopes times the place on each axis, and a constant. */
struct form {
    struct product *products;
    uint32_t product_count;
    struct number slopes[BOOK_AXES];
    struct number constant;
};

enum value_sort { VALUE_FORM, VALUE_LEAST, VALUE_GREATEST };

struct value {
    enum value_sort sort;
    struct form form;
    struct value *left, *right;
};

static struct value *value_new(const struct stretch *stretch)
{
    struct value *value = ARENA_NEW(stretch->names->arena, struct value);
    value->form.constant = NUMBER_ZERO;
    for (uint32_t axis = 0; axis < BOOK_AXES; axis++) {
        value->form.slopes[axis] = NUMBER_ZERO;
    }
    return value;
}

static struct value *value_of_term(const struct stretch *stretch, const char *term)
{
    struct value *value = value_new(stretch);
    value->form.products = ARENA_NEW(stretch->names->arena, struct product);
    value->form.products[0] = (struct product){term, NUMBER_INT(1)};
    value->form.product_count = 1;
    return value;
}

static struct value *value_scale(const struct stretch *stretch, const struct value *value,
                                 struct number factor)
{
    struct arena *arena = stretch->names->arena;
    struct value *scaled = value_new(stretch);
    if (value->sort != VALUE_FORM) {
        bool turned = number_sign(factor) < 0;
        scaled->sort = (value->sort == VALUE_LEAST) != turned ? VALUE_LEAST : VALUE_GREATEST;
        scaled->left = value_scale(stretch, value->left, factor);
        scaled->right = value_scale(stretch, value->right, factor);
        return scaled;
    }
    const struct form *form = &value->form;
    scaled->form.products = ARENA_ARRAY(arena, struct product, form->product_count);
    scaled->form.product_count = form->product_count;
    for (uint32_t i = 0; i < form->product_count; i++) {
        scaled->form.products[i] = (struct product){
            form->products[i].term, number_multiply(arena, form->products[i].coefficient, factor)};
    }
    for (uint32_t axis = 0; axis < BOOK_AXES; axis++) {
        scaled->form.slopes[axis] = number_multiply(arena, form->slopes[axis], factor);
    }
    scaled->form.constant = number_multiply(arena, form->constant, factor);
    return scaled;
}

static struct value *value_add(const struct stretch *stretch, const struct value *a,
                               const struct value *b)
{
    struct arena *arena = stretch->names->arena;
    struct value *sum = value_new(stretch);
    if (a->sort == VALUE_FORM && b->sort != VALUE_FORM) {
        const struct value *swapped = a;
        a = b;
        b = swapped;
    }
    if (a->sort != VALUE_FORM) {
        sum->sort = a->sort;
        sum->left = value_add(stretch, a->left, b);
        sum->right = value_add(stretch, a->right, b);
        return sum;
    }
    const struct form *x = &a->form, *y = &b->form;
    sum->form.products = ARENA_ARRAY(arena, struct product, x->product_count + y->product_count);
    for (uint32_t i = 0; i < x->product_count; i++) {
        sum->form.products[sum->form.product_count++] = x->products[i];
    }
    for (uint32_t i = 0; i < y->product_count; i++) {
        sum->form.products[sum->form.product_count++] = y->products[i];
    }
    for (uint32_t axis = 0; axis < BOOK_AXES; axis++) {
        sum->form.slopes[axis] = number_add(arena, x->slopes[axis], y->slopes[axis]);
    }
    sum->form.constant = number_add(arena, x->constant, y->constant);
    return sum;
}

/* A figure or curves alone: its value in the middle of the stretch. */
static bool value_in_middle(const struct stretch *stretch, const struct value *value,
                            struct number *out)
{
    struct arena *arena = stretch->names->arena;
    if (value->sort != VALUE_FORM || value->form.product_count > 0) {
        return false;
    }
    *out = value->form.constant;
    for (uint32_t axis = 0; axis < stretch->names->part->axis_count; axis++) {
        const struct zone_range *range = &stretch->ranges[axis];
        struct number middle =
            number_divide(arena, number_add(arena, range->from, range->to), NUMBER_INT(2));
        *out = number_add(arena, *out, number_multiply(arena, value->form.slopes[axis], middle));
    }
    return true;
}

static bool depends_on_one_axis(const struct value *a, const struct value *b)
{
    uint32_t axes = 0;
    for (uint32_t axis = 0; axis < BOOK_AXES; axis++) {
        axes += number_sign(a->form.slopes[axis]) != 0 || number_sign(b->form.slopes[axis]) != 0;
    }
    return axes <= 1;
}

static struct value *value_pick(const struct stretch *stretch, enum value_sort sort,
                                struct value *left, struct value *right)
{
    struct number a, b;
    if (value_in_middle(stretch, left, &a) && value_in_middle(stretch, right, &b) &&
        depends_on_one_axis(left, right)) {
        /* They do not cross within the stretch. */
        int order = number_compare(stretch->names->arena, a, b);
        return (order <= 0) == (sort == VALUE_LEAST) ? left : right;
    }
    struct value *picked = value_new(stretch);
    picked->sort = sort;
    picked->left = left;
    picked->right = right;
    return picked;
}

static uint32_t axis_of_curve(const struct part *part, const struct curve *curve)
{
    uint32_t axis = 0;
    while (strcmp(part->axes[axis].name, curve->axis) != 0) {
        axis++; /* book_check has found it */
    }
    return axis;
}

/* A curve at one place of its reach. */
static struct number curve_at(struct arena *arena, const struct curve *curve, struct number at)
{
    uint32_t i = 1;
    while (i + 1 < curve->point_count && number_compare(arena, curve->points[i].at, at) < 0) {
        i++;
    }
    const struct curve_point *from = &curve->points[i - 1], *to = &curve->points[i];
    struct number part = number_divide(arena, number_subtract(arena, at, from->at),
                                       number_subtract(arena, to->at, from->at));
    struct number rise = number_subtract(arena, to->value, from->value);
    return number_add(arena, from->value, number_multiply(arena, rise, part));
}

static struct value *value_of_curve(const struct stretch *stretch, const struct curve *curve)
{
    struct arena *arena = stretch->names->arena;
    uint32_t axis = axis_of_curve(stretch->names->part, curve);
    struct number from = stretch->ranges[axis].from, to = stretch->ranges[axis].to;
    struct number low = curve_at(arena, curve, from), high = curve_at(arena, curve, to);
    struct value *value = value_new(stretch);
    value->form.constant = low;
    if (!number_equal(from, to)) {
        struct number slope = number_divide(arena, number_subtract(arena, high, low),
                                            number_subtract(arena, to, from));
        value->form.slopes[axis] = slope;
        value->form.constant = number_subtract(arena, low, number_multiply(arena, slope, from));
    }
    return value;
}

static void write_value(struct text *text, const struct value *value);

static void write_products(struct text *text, const struct form *form)
{
    text_add(text, "(+ 0.0");
    for (uint32_t i = 0; i < form->product_count; i++) {
        text_add(text, " (* ");
        formula_number(text, form->products[i].coefficient);
        text_add(text, " ");
        text_add(text, form->products[i].term);
        text_add(text, ")");
    }
    text_add(text, " ");
    formula_number(text, form->constant);
    text_add(text, ")");
}

static void write_value(struct text *text, const struct value *value)
{
    if (value->sort == VALUE_FORM) {
        write_products(text, &value->form);
        return;
    }
    text_add(text, value->sort == VALUE_LEAST ? "(least " : "(greatest ");
    write_value(text, value->left);
    text_add(text, " ");
    write_value(text, value->right);
    text_add(text, ")");
}

/* Of two values over measures alone, without a place. */
static struct value *value_multiply(const struct stretch *stretch, const struct value *a,
                                    const struct value *b)
{
    struct number factor;
    if (value_in_middle(stretch, a, &factor)) {
        return value_scale(stretch, b, factor);
    }
    if (value_in_middle(stretch, b, &factor)) {
        return value_scale(stretch, a, factor);
    }
    struct text text;
    text_begin(&text, stretch->names->arena);
    text_add(&text, "(* ");
    write_value(&text, a);
    text_add(&text, " ");
    write_value(&text, b);
    text_add(&text, ")");
    return value_of_term(stretch, text_done(&text));
}

static struct value *value_of(const struct stretch *stretch, const struct expression *expression)
{
    const struct formula_names *names = stretch->names;
    struct value *left = NULL, *right = NULL;
    if (expression->left && expression->right) {
        left = value_of(stretch, expression->left);
        right = value_of(stretch, expression->right);
    }
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        left = value_new(stretch);
        left->form.constant = expression->value;
        return left;
    case EXPRESSION_CURVE:
        return value_of_curve(stretch, expression->curve);
    case EXPRESSION_RECKONED:
        return value_of(stretch, expression->reckon->value);
    case EXPRESSION_ADD:
        return value_add(stretch, left, right);
    case EXPRESSION_SUBTRACT:
        return value_add(stretch, left, value_scale(stretch, right, NUMBER_INT(-1)));
    case EXPRESSION_MULTIPLY:
        return value_multiply(stretch, left, right);
    case EXPRESSION_DIVIDE:
        return value_scale(stretch, left,
                           number_divide(names->arena, NUMBER_INT(1), right->form.constant));
    case EXPRESSION_LESSER:
        return value_pick(stretch, VALUE_LEAST, left, right);
    case EXPRESSION_GREATER:
        return value_pick(stretch, VALUE_GREATEST, left, right);
    case EXPRESSION_MEASURE:
    case EXPRESSION_AGGREGATE:
    case EXPRESSION_GROWTH:
    case EXPRESSION_SEEN:
        break;
    case EXPRESSION_LARGER:
    case EXPRESSION_TOGETHER:
        arena_escape(names->arena, STAVE_MISUSE); /* within an aggregate only */
    }
    return value_of_term(stretch, names->term(names->user, expression));
}

/* ---- where a comparison is straight --------------------------------------------------------- */

struct points {
    struct number *at;
    uint32_t count;
    size_t capacity;
};

static void point_add(struct arena *arena, struct points *points, struct number at)
{
    uint32_t where = points->count;
    while (where > 0 && number_compare(arena, at, points->at[where - 1]) <= 0) {
        where--;
    }
    if (where < points->count && number_equal(points->at[where], at)) {
        return;
    }
    *ARENA_PUSH(arena, points->at, points->count, points->capacity) = at;
    for (uint32_t i = points->count - 1; i > where; i--) {
        points->at[i] = points->at[i - 1];
    }
    points->at[where] = at;
}

/* The curves of an expression, at most one axis; false where a measure or another axis is in it. */
static bool of_places_alone(const struct part *part, const struct expression *expression,
                            int32_t *axis)
{
    if (expression->sort == EXPRESSION_FIGURE) {
        return true;
    }
    if (expression->sort == EXPRESSION_RECKONED) {
        return of_places_alone(part, expression->reckon->value, axis);
    }
    if (expression->sort == EXPRESSION_CURVE) {
        int32_t along = (int32_t)axis_of_curve(part, expression->curve);
        bool first = *axis < 0 || *axis == along;
        *axis = along;
        return first;
    }
    return expression->left && expression->right && of_places_alone(part, expression->left, axis) &&
           of_places_alone(part, expression->right, axis);
}

/* What two expressions of places alone differ by at one end of a stretch. */
static struct number difference_at(const struct stretch *stretch, uint32_t axis,
                                   const struct expression *left, const struct expression *right,
                                   struct number at)
{
    struct arena *arena = stretch->names->arena;
    struct value *a = value_of(stretch, left), *b = value_of(stretch, right);
    struct number slope = number_subtract(arena, a->form.slopes[axis], b->form.slopes[axis]);
    struct number apart = number_subtract(arena, a->form.constant, b->form.constant);
    return number_add(arena, apart, number_multiply(arena, slope, at));
}

static void add_crossings(const struct formula_names *names, const struct zone_range *within,
                          struct points *points, const struct expression *choice, uint32_t axis)
{
    struct arena *arena = names->arena;
    struct points known = {.count = 0};
    for (uint32_t i = 0; i < points->count; i++) {
        point_add(arena, &known, points->at[i]);
    }
    for (uint32_t i = 1; i < known.count; i++) {
        struct stretch stretch = {.names = names};
        for (uint32_t other = 0; other < BOOK_AXES; other++) {
            stretch.ranges[other] = within[other];
        }
        struct number from = known.at[i - 1], to = known.at[i];
        stretch.ranges[axis] = (struct zone_range){.from = from, .to = to};
        struct number low = difference_at(&stretch, axis, choice->left, choice->right, from);
        struct number high = difference_at(&stretch, axis, choice->left, choice->right, to);
        if (number_sign(low) * number_sign(high) >= 0) {
            continue;
        }
        struct number part = number_divide(arena, low, number_subtract(arena, low, high));
        struct number step = number_multiply(arena, number_subtract(arena, to, from), part);
        point_add(arena, points, number_add(arena, from, step));
    }
}

/* Points of the curves along an axis, and where a choice between curves changes, inner ones first. */
static void points_of(const struct formula_names *names, const struct zone_range *within,
                      struct points *points, const struct expression *expression, uint32_t axis)
{
    if (expression->sort == EXPRESSION_RECKONED) {
        points_of(names, within, points, expression->reckon->value, axis);
        return;
    }
    if (expression->sort == EXPRESSION_CURVE &&
        axis_of_curve(names->part, expression->curve) == axis) {
        for (uint32_t i = 0; i < expression->curve->point_count; i++) {
            struct number at = expression->curve->points[i].at;
            if (number_compare(names->arena, within[axis].from, at) < 0 &&
                number_compare(names->arena, at, within[axis].to) < 0) {
                point_add(names->arena, points, at);
            }
        }
    }
    if (expression->left && expression->right) {
        points_of(names, within, points, expression->left, axis);
        points_of(names, within, points, expression->right, axis);
    }
    int32_t along = -1;
    if ((expression->sort == EXPRESSION_LESSER || expression->sort == EXPRESSION_GREATER) &&
        of_places_alone(names->part, expression, &along) && along == (int32_t)axis) {
        add_crossings(names, within, points, expression, axis);
    }
}

static bool along_axis(const struct part *part, const struct expression *expression, uint32_t axis)
{
    if (expression->sort == EXPRESSION_RECKONED) {
        return along_axis(part, expression->reckon->value, axis);
    }
    if (expression->sort == EXPRESSION_CURVE) {
        return axis_of_curve(part, expression->curve) == axis;
    }
    return expression->left && expression->right &&
           (along_axis(part, expression->left, axis) || along_axis(part, expression->right, axis));
}

/* ---- writing ------------------------------------------------------------------------------- */

/* "(least |station hi| 34.0)": the end of what the extent has of the stretch. */
static void write_end(struct text *text, const struct axis *axis, const struct zone_range *range,
                      bool upper)
{
    text_add(text, upper ? "(least " : "(greatest ");
    formula_symbol(text, axis->name, upper ? " hi" : " lo");
    text_add(text, " ");
    formula_number(text, upper ? range->to : range->from);
    text_add(text, ")");
}

/* The end that the extent reaches belongs to the zone; not written where it always does. */
static bool write_reached(struct text *text, const struct axis *axis,
                          const struct zone_range *range, bool upper)
{
    if (!(upper ? range->to_open : range->from_open)) {
        return false;
    }
    text_add(text, upper ? " (< " : " (> ");
    formula_symbol(text, axis->name, upper ? " hi" : " lo");
    text_add(text, " ");
    formula_number(text, upper ? range->to : range->from);
    text_add(text, ")");
    return true;
}

static void write_form(struct text *text, const struct stretch *stretch, const struct form *form,
                       bool strict)
{
    const struct part *part = stretch->names->part;
    struct text sum, reached;
    bool open = false;
    text_begin(&sum, text->arena);
    text_begin(&reached, text->arena);
    text_add(&sum, "(+ ");
    write_products(&sum, form);
    for (uint32_t axis = 0; axis < part->axis_count; axis++) {
        int sign = number_sign(form->slopes[axis]);
        if (sign == 0) {
            continue;
        }
        text_add(&sum, " (* ");
        formula_number(&sum, form->slopes[axis]);
        text_add(&sum, " ");
        write_end(&sum, &part->axes[axis], &stretch->ranges[axis], sign > 0);
        text_add(&sum, ")");
        open |= write_reached(&reached, &part->axes[axis], &stretch->ranges[axis], sign > 0);
    }
    text_add(&sum, " 0.0) 0.0");
    if (strict && open) {
        text_add(text, "(ite (and true");
        text_add(text, text_done(&reached));
        text_add(text, ") (< ");
        text_add(text, text_done(&sum));
        text_add(text, ") (<= ");
        text_add(text, text_done(&sum));
        text_add(text, "))");
        return;
    }
    text_add(text, strict ? "(< " : "(<= ");
    text_add(text, text_done(&sum));
    text_add(text, ")");
}

static void write_tree(struct text *text, const struct stretch *stretch, const struct value *value,
                       bool strict)
{
    if (value->sort == VALUE_FORM) {
        write_form(text, stretch, &value->form, strict);
        return;
    }
    text_add(text, value->sort == VALUE_GREATEST ? "(and " : "(or ");
    write_tree(text, stretch, value->left, strict);
    text_add(text, " ");
    write_tree(text, stretch, value->right, strict);
    text_add(text, ")");
}

static void compare_on(struct text *text, const struct stretch *stretch,
                       const struct condition *condition)
{
    bool upper = relation_is_upper(condition->relation);
    struct value *small = value_of(stretch, upper ? condition->left : condition->right);
    struct value *large = value_of(stretch, upper ? condition->right : condition->left);
    struct value *excess = value_add(stretch, small, value_scale(stretch, large, NUMBER_INT(-1)));
    write_tree(text, stretch, excess, relation_is_strict(condition->relation));
}

/* Goes through the stretches of a piece; those of the axes before `axis` are chosen. */
static void compare_stretches(struct text *text, struct stretch *stretch, const struct piece *piece,
                              const struct condition *condition, uint32_t axis)
{
    const struct formula_names *names = stretch->names;
    if (axis == names->part->axis_count) {
        struct piece part_of = {.sides = piece->sides};
        for (uint32_t i = 0; i < axis; i++) {
            part_of.ranges[i] = stretch->ranges[i];
        }
        text_add(text, "\n    (=> ");
        formula_meets(text, names->part, &part_of);
        text_add(text, " ");
        compare_on(text, stretch, condition);
        text_add(text, ")");
        return;
    }
    const struct zone_range *whole = &piece->ranges[axis];
    struct points points = {.count = 0};
    point_add(names->arena, &points, whole->from);
    point_add(names->arena, &points, whole->to);
    points_of(names, piece->ranges, &points, condition->left, axis);
    points_of(names, piece->ranges, &points, condition->right, axis);
    uint32_t last = points.count > 1 ? points.count - 2 : 0;
    for (uint32_t i = 0; i <= last; i++) {
        stretch->ranges[axis] = (struct zone_range){.from = points.at[i],
                                                    .to = points.at[points.count > 1 ? i + 1 : 0],
                                                    .from_open = i == 0 && whole->from_open,
                                                    .to_open = i == last && whole->to_open};
        compare_stretches(text, stretch, piece, condition, axis + 1);
    }
}

void formula_compare(struct text *text, const struct formula_names *names,
                     const struct condition *condition, const struct pieces *zone)
{
    struct stretch stretch = {.names = names};
    bool along = false;
    for (uint32_t axis = 0; axis < names->part->axis_count; axis++) {
        stretch.ranges[axis] = (struct zone_range){.from = names->part->axes[axis].from,
                                                   .to = names->part->axes[axis].to};
        along |= along_axis(names->part, condition->left, axis) ||
                 along_axis(names->part, condition->right, axis);
    }
    if (!along) {
        compare_on(text, &stretch, condition);
        return;
    }
    text_add(text, "(and true");
    for (uint32_t i = 0; i < zone->count; i++) {
        compare_stretches(text, &stretch, &zone->items[i], condition, 0);
    }
    text_add(text, ")");
}
