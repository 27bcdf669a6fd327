/* Whether any other comes too near along an axis, or faces the finding: a tree of hulls, searched. */
#include "company/inquiry.h"

/* ---- what is asked of a pair -------------------------------------------------------------- */

/* A finding, or the hull of several, as the pair sees it. */
struct body {
    struct reach reach[BOOK_AXES]; /* APART: the one axis, at 0; FACING: all */
    uint64_t sides; /* FACING: as recorded; and on each side in all worlds, in some */
    bool each_sure, each_some;
    uint64_t places;
    struct range *values; /* by leaf */
};

/* What `larger` and `together` stand before, each once. */
struct leaves {
    const struct expression **items;
    uint32_t count;
    size_t capacity;
};

struct hull_tree {
    struct inquiry *inquiry;
    struct leaves leaves;
    uint32_t axis_count;
    uint32_t count;      /* members of the group, in the order of where they begin */
    uint32_t *members;   /* indices in inquiry->members */
    struct body *bodies; /* of nodes: node 1 the root, children 2i and 2i+1; leaves from `width` */
    uint32_t width;      /* a power of two */
};

static bool both_sides_of(const struct aggregate *aggregate)
{
    return aggregate->sort == AGGREGATE_FACING;
}

static void leaves_add(struct arena *arena, struct leaves *leaves,
                       const struct expression *expression)
{
    if (!expression) {
        return;
    }
    if (expression->sort == EXPRESSION_RECKONED) {
        leaves_add(arena, leaves, expression->reckon->value);
        return;
    }
    if (expression->sort != EXPRESSION_LARGER && expression->sort != EXPRESSION_TOGETHER) {
        leaves_add(arena, leaves, expression->left);
        leaves_add(arena, leaves, expression->right);
        return;
    }
    *ARENA_PUSH(arena, leaves->items, leaves->count, leaves->capacity) = expression->left;
}

static uint32_t leaf_of(const struct leaves *leaves, const struct expression *left)
{
    uint32_t leaf = 0;
    while (leaf < leaves->count && leaves->items[leaf] != left) {
        leaf++;
    }
    return leaf;
}

/* An expression over two damages. */
static struct range pair_value(const struct hull_tree *tree, const struct expression *expression,
                               const struct body *a, const struct body *b)
{
    struct arena *arena = tree->inquiry->arena;
    switch (expression->sort) {
    case EXPRESSION_FIGURE:
        return (struct range){expression->value, expression->value};
    case EXPRESSION_RECKONED:
        return pair_value(tree, expression->reckon->value, a, b);
    case EXPRESSION_LARGER:
    case EXPRESSION_TOGETHER: {
        uint32_t leaf = leaf_of(&tree->leaves, expression->left);
        return range_join(
            arena, expression->sort == EXPRESSION_LARGER ? EXPRESSION_GREATER : EXPRESSION_ADD,
            &a->values[leaf], &b->values[leaf]);
    }
    default:
        break;
    }
    struct range left = pair_value(tree, expression->left, a, b);
    struct range right = pair_value(tree, expression->right, a, b);
    return range_join(arena, expression->sort, &left, &right);
}

/* The gap between two, 0 where they overlap. */
static struct range gap_of(struct arena *arena, const struct reach *a, const struct reach *b)
{
    struct number least = number_greatest(arena, number_subtract(arena, a->lo_low, b->hi_high),
                                          number_subtract(arena, b->lo_low, a->hi_high));
    struct number most = number_greatest(arena, number_subtract(arena, a->lo_high, b->hi_low),
                                         number_subtract(arena, b->lo_high, a->hi_low));
    return (struct range){number_greatest(arena, least, NUMBER_ZERO),
                          number_greatest(arena, most, NUMBER_ZERO)};
}

static enum answer lesser(enum answer a, enum answer b)
{
    return a < b ? a : b;
}

static enum answer too_near(const struct hull_tree *tree, const struct body *a,
                            const struct body *b)
{
    const struct aggregate *aggregate = tree->inquiry->aggregate;
    struct arena *arena = tree->inquiry->arena;
    struct range distance = pair_value(tree, aggregate->distance, a, b);
    struct range gap = gap_of(arena, &a->reach[0], &b->reach[0]);
    enum answer answer = range_compare(arena, &gap, TREE_BELOW, &distance);
    if (aggregate->pair && answer != ANSWER_NO) {
        struct range left = pair_value(tree, aggregate->pair, a, b);
        struct range right = pair_value(tree, aggregate->pair_limit, a, b);
        answer = lesser(answer, range_compare(arena, &left, aggregate->pair_relation, &right));
    }
    return answer;
}

static bool is_one(uint64_t set)
{
    return set != 0 && (set & (set - 1)) == 0;
}

/* Some side of one is another than some side of the other. */
static enum answer on_other_sides(const struct body *a, const struct body *b)
{
    if (!a->sides || !b->sides) {
        return ANSWER_NO;
    }
    if (a->each_sure || b->each_sure || !(a->sides & b->sides)) {
        return ANSWER_YES;
    }
    return !a->each_some && !b->each_some && is_one(a->sides) && a->sides == b->sides
               ? ANSWER_NO
               : ANSWER_MAYBE;
}

static enum answer faces(const struct hull_tree *tree, const struct body *a, const struct body *b)
{
    struct arena *arena = tree->inquiry->arena;
    enum answer answer = on_other_sides(a, b);
    for (uint32_t axis = 0; axis < tree->axis_count && answer != ANSWER_NO; axis++) {
        struct range gap = gap_of(arena, &a->reach[axis], &b->reach[axis]);
        struct range none = {NUMBER_ZERO, NUMBER_ZERO};
        answer = lesser(answer, range_compare(arena, &gap, TREE_UP_TO, &none));
    }
    if (answer != ANSWER_NO && (a->places || b->places)) {
        enum answer place = !(a->places & b->places)                      ? ANSWER_NO
                            : is_one(a->places) && a->places == b->places ? ANSWER_YES
                                                                          : ANSWER_MAYBE;
        answer = lesser(answer, place);
    }
    return answer;
}

static enum answer asked(const struct hull_tree *tree, const struct body *a, const struct body *b)
{
    return both_sides_of(tree->inquiry->aggregate) ? faces(tree, a, b) : too_near(tree, a, b);
}

/* ---- the tree ---------------------------------------------------------------------------- */

static struct body body_of(const struct hull_tree *tree, const struct finding *finding)
{
    const struct inquiry *inquiry = tree->inquiry;
    struct body body = {.values = ARENA_ARRAY(inquiry->arena, struct range, tree->leaves.count)};
    for (uint32_t i = 0; i < tree->leaves.count; i++) {
        body.values[i] = member_value(inquiry, finding, tree->leaves.items[i]);
    }
    if (both_sides_of(inquiry->aggregate)) {
        for (uint32_t axis = 0; axis < tree->axis_count; axis++) {
            body.reach[axis] = member_reach(inquiry->arena, finding, axis, inquiry->as_read);
        }
        enum answer each = member_each_side(finding);
        body.sides = finding->sides;
        body.each_sure = each == ANSWER_YES;
        body.each_some = each != ANSWER_NO;
        body.places = finding->places;
    } else {
        body.reach[0] =
            member_reach(inquiry->arena, finding, member_axis(finding, inquiry->aggregate->axis),
                         inquiry->as_read);
    }
    return body;
}

/* What holds of all below holds of the hull, as far as what may be goes. */
static void hull_add(const struct hull_tree *tree, struct body *hull, const struct body *body)
{
    struct arena *arena = tree->inquiry->arena;
    for (uint32_t axis = 0; axis < tree->axis_count; axis++) {
        struct reach *to = &hull->reach[axis];
        const struct reach *from = &body->reach[axis];
        to->lo_low = number_least(arena, to->lo_low, from->lo_low);
        to->lo_high = number_greatest(arena, to->lo_high, from->lo_high);
        to->hi_low = number_least(arena, to->hi_low, from->hi_low);
        to->hi_high = number_greatest(arena, to->hi_high, from->hi_high);
    }
    for (uint32_t i = 0; i < tree->leaves.count; i++) {
        hull->values[i].low = number_least(arena, hull->values[i].low, body->values[i].low);
        hull->values[i].high = number_greatest(arena, hull->values[i].high, body->values[i].high);
    }
    hull->each_sure = false;
    hull->each_some |= body->each_some;
    hull->sides |= body->sides;
    hull->places |= body->places;
}

static struct body hull_copy(const struct hull_tree *tree, const struct body *body)
{
    struct body copy = *body;
    copy.values = ARENA_ARRAY(tree->inquiry->arena, struct range, tree->leaves.count);
    for (uint32_t i = 0; i < tree->leaves.count; i++) {
        copy.values[i] = body->values[i];
    }
    return copy;
}

/* Where a node's leaves begin, and how many of them are used. */
static bool node_used(const struct hull_tree *tree, uint32_t node)
{
    while (node < tree->width) {
        node *= 2;
    }
    return node - tree->width < tree->count;
}

static void tree_begin(struct hull_tree *tree, struct inquiry *inquiry, uint32_t group)
{
    struct arena *arena = inquiry->arena;
    uint32_t first = inquiry->group_start[group];
    tree->inquiry = inquiry;
    tree->count = inquiry->group_start[group + 1] - first;
    tree->axis_count = both_sides_of(inquiry->aggregate) ? inquiry->part->axis_count : 1;
    tree->members = ARENA_ARRAY(arena, uint32_t, tree->count);
    struct body *bodies = ARENA_ARRAY(arena, struct body, tree->count);
    struct number *begins = ARENA_ARRAY(arena, struct number, tree->count);
    uint32_t *order = ARENA_ARRAY(arena, uint32_t, tree->count);
    for (uint32_t i = 0; i < tree->count; i++) {
        const struct member *member = &inquiry->members[inquiry->order[first + i]];
        bodies[i] = body_of(tree, inquiry->findings[member->finding]);
        begins[i] = tree->axis_count ? bodies[i].reach[0].lo_low : NUMBER_ZERO;
        order[i] = i;
    }
    order_numbers(arena, begins, order, tree->count);
    for (tree->width = 1; tree->width < tree->count; tree->width *= 2) {
    }
    tree->bodies = ARENA_ARRAY(arena, struct body, 2 * (size_t)tree->width);
    for (uint32_t i = 0; i < tree->count; i++) {
        tree->members[i] = inquiry->order[first + order[i]];
        tree->bodies[tree->width + i] = bodies[order[i]];
    }
    for (uint32_t node = tree->width; node-- > 1;) {
        if (!node_used(tree, 2 * node)) {
            continue;
        }
        tree->bodies[node] = hull_copy(tree, &tree->bodies[2 * node]);
        if (node_used(tree, 2 * node + 1)) {
            hull_add(tree, &tree->bodies[node], &tree->bodies[2 * node + 1]);
        }
    }
}

/* ---- the search ---------------------------------------------------------------------------- */

struct search {
    struct hull_tree *tree;
    struct body self;
    uint32_t finding;
    uint32_t looks; /* left */
    enum answer answer;
    uint32_t other; /* NO_OTHER, or the finding that gave the answer */
};

static void look(struct search *search, uint32_t node)
{
    struct hull_tree *tree = search->tree;
    if (search->answer == ANSWER_YES || search->looks == 0 || !node_used(tree, node)) {
        return;
    }
    search->looks--;
    enum answer answer = asked(tree, &search->self, &tree->bodies[node]);
    if (answer == ANSWER_NO) {
        return;
    }
    if (node < tree->width) {
        look(search, 2 * node);
        look(search, 2 * node + 1);
        return;
    }
    const struct member *member = &tree->inquiry->members[tree->members[node - tree->width]];
    if (member->finding == search->finding) {
        return;
    }
    if (!member->certain) {
        answer = ANSWER_MAYBE;
    }
    if (answer > search->answer) {
        search->answer = answer;
        search->other = member->finding;
    }
}

static void answer_one(struct hull_tree *tree, uint32_t finding)
{
    struct inquiry *inquiry = tree->inquiry;
    struct search search = {
        .tree = tree,
        .self = body_of(tree, inquiry->findings[finding]),
        .finding = finding,
        .looks = COMPANY_LOOKS,
        .other = NO_OTHER,
    };
    if (tree->count > 0) {
        look(&search, 1);
    }
    if (search.looks == 0 && search.answer == ANSWER_NO) {
        search.answer = ANSWER_MAYBE;
    }
    inquiry->ranges[finding] = (struct range){NUMBER_INT(search.answer == ANSWER_YES),
                                              NUMBER_INT(search.answer != ANSWER_NO)};
    inquiry->other[finding] = search.other;
}

void near_answer(struct inquiry *inquiry)
{
    struct leaves leaves = {0};
    leaves_add(inquiry->arena, &leaves, inquiry->aggregate->distance);
    leaves_add(inquiry->arena, &leaves, inquiry->aggregate->pair);
    leaves_add(inquiry->arena, &leaves, inquiry->aggregate->pair_limit);
    for (uint32_t group = 0; group < inquiry->group_count; group++) {
        struct hull_tree tree = {.leaves = leaves};
        struct arena_mark mark = arena_mark(inquiry->arena); /* the answers are 0 and 1: no limbs */
        bool begun = false;
        for (uint32_t i = 0; i < inquiry->finding_count; i++) {
            if (!inquiry_asks(inquiry, inquiry->findings[i]) ||
                inquiry_group(inquiry, inquiry->findings[i]) != group) {
                continue;
            }
            if (!begun) {
                tree_begin(&tree, inquiry, group);
                begun = true;
            }
            answer_one(&tree, i);
        }
        arena_release(inquiry->arena, mark);
    }
}
