/*
 * The structure of plans, by hand: cells, memberships, place functions, atom trees, forms; and single
 * worlds where open ends decide. (test_world.c has the many at random.)
 */
#include "plan_session.h"

static void session_compile(struct session *session, const char *bytes)
{
    session_begin(session);
    if (setjmp(session->escape.to)) {
        fail_msg("escaped with status %d", (int)session->escape.status);
    }
    if (!session_read(session, bytes)) {
        const struct stave_problem *problem = session_error(session);
        fail_msg("line %u: %s", problem->at.line, problem->message);
    }
    session->plan = plan_compile(session->book);
}

static void assert_number(struct number number, int64_t numerator, int64_t denominator)
{
    assert_int_equal(number.den, denominator);
    assert_int_equal(number.num, numerator);
}

/* A membership as a word of 0 and 1, over one side's cells. */
static const char *cells_text(const struct docket *docket, const uint64_t *cells, uint32_t side)
{
    static char text[256];
    assert_true(docket->cell_count < sizeof text);
    for (uint32_t cell = 0; cell < docket->cell_count; cell++) {
        size_t at = (size_t)side * docket->cell_count + cell;
        text[cell] = (cells[at / 64] >> (at % 64) & 1) ? '1' : '0';
    }
    text[docket->cell_count] = 0;
    return text;
}

#define HEAD                                                                                       \
    "stave 1\nbook T\n    edition \"1\"\n    for model T-1\n"                                      \
    "scale\n    good\n  no flight\n    poor\n    bad\n    worst\n"
#define BLADE HEAD "part blade\n    axis station 0 mm .. 20 mm\n"
#define MEASURES "measure depth 0 mm .. 9 mm\nmeasure length 0 mm .. 9 mm\n"

/* ---- cells ------------------------------------------------------------------------------- */

static void test_breakpoints(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, BLADE MEASURES
                    "zone mid on blade station 5 mm .. below 10 mm\n"
                    "zone cap on blade station over 8 mm .. 16 mm\n"
                    "zone rest on blade outside cap\n"
                    "curve fine along station\n    2 mm 1 mm\n    12 mm 3 mm\n"
                    "kind gouge on blade records depth\n"
                    "limit gouge on mid\n    poor depth up to fine\n    otherwise bad\n"
                    "limit gouge on rest\n    poor depth up to 1 mm\n    otherwise bad\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade");
    /* Ends 0 and 20, the edges 5, 10, 8 and 16 (also of what is only left out), the points 2, 12. */
    const int64_t expected[] = {0, 2, 5, 8, 10, 12, 16, 20};
    assert_int_equal(docket->axis_count, 1);
    assert_int_equal(docket->axes[0].breakpoint_count, 8);
    for (uint32_t i = 0; i < 8; i++) {
        assert_number(docket->axes[0].breakpoints[i], expected[i], 1);
    }
    assert_int_equal(docket->cell_count, 15);
    assert_int_equal(docket->limit_count, 2);
    /*                  0 2 5 8 10 12 16 20 */
    assert_string_equal(cells_text(docket, docket->limits[0].cells, 0), "000011110000000");
    /* The open end at 8 belongs to the rest, closed; so does the edge at 16. */
    assert_string_equal(cells_text(docket, docket->limits[1].cells, 0), "111111100000111");
    assert_string_equal(cells_text(docket, docket->covered, 0), "111111110000111");
    assert_int_equal(region_cell(&session.arena, docket, 0, NUMBER_INT(0)), 0);
    assert_int_equal(region_cell(&session.arena, docket, 0, NUMBER_INT(1)), 1);
    assert_int_equal(region_cell(&session.arena, docket, 0, NUMBER_INT(8)), 6);
    assert_int_equal(region_cell(&session.arena, docket, 0, NUMBER_INT(19)), 13);
    assert_int_equal(region_cell(&session.arena, docket, 0, NUMBER_INT(20)), 14);
    arena_end(&session.arena);
}

static void test_outside_two(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, BLADE MEASURES
                    "zone one-end on blade station 2 mm .. 6 mm\n"
                    "zone second on blade station 6 mm .. 9 mm\n"
                    "zone gap on blade station 12 mm .. below 14 mm\n"
                    "zone end on blade station over 14 mm .. 20 mm\n"
                    "zone rest on blade outside one-end, second, gap, end\n"
                    "zone back on blade outside rest\n"
                    "kind gouge on blade records depth\n"
                    "limit gouge on rest\n    poor depth up to 1 mm\n    otherwise bad\n"
                    "limit gouge on back\n    poor depth up to 1 mm\n    otherwise bad\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade");
    /* Cells:            0 2 6 9 12 14 20. Where two zones touch (6) nothing is left of the rest;
     * the one place between two open ends (14) is; the part's own end (20) is no edge. */
    assert_string_equal(cells_text(docket, docket->limits[0].cells, 0), "1110001110100");
    assert_string_equal(cells_text(docket, docket->limits[1].cells, 0), "0011111011111");
    arena_end(&session.arena);
}

/* A zone's own end where a zone ends that it is outside of: nothing of the zone is left near it. */
static void test_outside_same_end(void **state)
{
    (void)state;
    static const struct {
        const char *zone, *cells; /* by the breakpoints 0 2 5 8 20 */
    } cases[] = {
        {"station 2 mm .. 8 mm outside cap", "000011100"},
        {"station 2 mm .. 5 mm outside cap", "000000000"},
        {"station 2 mm .. 5 mm outside low, high", "000000000"},
        {"station 0 mm .. 5 mm outside cap", "111000000"},
        {"station 5 mm .. 8 mm outside cap", "000011100"},
        {"station 2 mm .. 8 mm outside cap, high", "000000000"},
        /* open ends of what is taken: the place itself is left, alone or not */
        {"station 2 mm .. 8 mm outside over-cap", "001011100"},
        {"station 2 mm .. 5 mm outside over-cap", "001000000"},
        {"station 2 mm .. 5 mm outside below-cap", "000010000"},
        {"station over 2 mm .. 5 mm outside over-cap", "000000000"},
        {"station 5 mm .. 8 mm outside below-cap", "000011100"},
        /* open ends of the zone: they stay so */
        {"station over 2 mm .. below 8 mm outside cap", "000011000"},
        {"station over 5 mm .. 8 mm outside cap", "000001100"},
        {"station 2 mm .. below 5 mm outside cap", "000000000"},
        {"station 2 mm .. below 5 mm outside below-cap", "000000000"},
        /* a single place has nothing near it */
        {"station 5 mm .. 5 mm outside cap", "000000000"},
        {"station 5 mm .. 5 mm outside below-cap", "000010000"},
        /* zones outside zones: 2 is not in the rest, so it takes nothing there */
        {"station 2 mm .. 8 mm outside rest", "001110000"},
        {"station 0 mm .. 2 mm outside rest", "111000000"},
        {"station 5 mm .. 20 mm outside rest", "000000111"},
        {"station 2 mm .. 5 mm outside nothing", "001110000"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char source[2048];
        snprintf(source, sizeof source,
                 BLADE MEASURES "zone cap on blade station 2 mm .. 5 mm\n"
                                "zone low on blade station 0 mm .. 2 mm\n"
                                "zone high on blade station 2 mm .. 8 mm\n"
                                "zone over-cap on blade station over 2 mm .. 5 mm\n"
                                "zone below-cap on blade station 2 mm .. below 5 mm\n"
                                "zone rest on blade station 2 mm .. 8 mm outside cap\n"
                                "zone nothing on blade station 2 mm .. 5 mm outside cap\n"
                                "zone other on blade outside cap, high\n"
                                "zone asked on blade %s\n"
                                "kind gouge on blade records depth\n"
                                "limit gouge on asked\n    otherwise bad\n"
                                "limit gouge on other\n    otherwise bad\n",
                 cases[i].zone);
        struct session session;
        session_compile(&session, source);
        const struct docket *docket = docket_of(&session, "gouge", "blade");
        const char *cells = cells_text(docket, docket->limits[0].cells, 0);
        if (strcmp(cells, cases[i].cells) != 0) {
            fail_msg("%s: %s, not %s", cases[i].zone, cells, cases[i].cells);
        }
        arena_end(&session.arena);
    }
}

/* Near is near in the product of the axes: at a corner, what is left along either of them keeps it. */
static void test_outside_same_corner(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, BLADE
                    "    axis chord 0 mm .. 10 mm\n" MEASURES
                    "zone cap on blade station 2 mm .. 5 mm chord 2 mm .. 5 mm\n"
                    "zone rest on blade station 2 mm .. 8 mm chord 2 mm .. 8 mm outside cap\n"
                    "zone strip on blade station 2 mm .. 8 mm chord 2 mm .. 5 mm outside cap\n"
                    "kind gouge on blade records depth\n"
                    "limit gouge on rest\n    otherwise bad\n"
                    "limit gouge on strip\n    otherwise bad\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade");
    /* a row for each cell of station 0 2 5 8 20, in it the cells of chord 0 2 5 8 10 */
    assert_string_equal(cells_text(docket, docket->limits[0].cells, 0), "000000000"
                                                                        "000000000"
                                                                        "000011100"
                                                                        "000011100"
                                                                        "001111100"
                                                                        "001111100"
                                                                        "001111100"
                                                                        "000000000"
                                                                        "000000000");
    assert_string_equal(cells_text(docket, docket->limits[1].cells, 0), "000000000"
                                                                        "000000000"
                                                                        "000000000"
                                                                        "000000000"
                                                                        "001110000"
                                                                        "001110000"
                                                                        "001110000"
                                                                        "000000000"
                                                                        "000000000");
    arena_end(&session.arena);
}

/* Where the sides meet, too, only what is left of the zone counts. */
static void test_outside_same_end_meeting(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session,
                    HEAD MEASURES "part blade\n    axis chord 0 mm .. 10 mm\n"
                                  "    side camber, thrust  meet at chord 5 mm\n"
                                  "zone cap on blade chord 5 mm .. 8 mm  thrust\n"
                                  "zone lower on blade chord 5 mm .. 10 mm  thrust  outside cap\n"
                                  "zone both on blade chord 5 mm .. 10 mm  outside cap\n"
                                  "kind gouge on blade records depth\n"
                                  "limit gouge on lower\n    otherwise bad\n"
                                  "limit gouge on both\n    otherwise bad\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade"); /* 0 5 8 10 */
    assert_string_equal(cells_text(docket, docket->limits[0].cells, 0), "0000000");
    assert_string_equal(cells_text(docket, docket->limits[0].cells, 1), "0000111");
    /* on camber all but the meeting is left, and so its edge, which is one place on both */
    assert_string_equal(cells_text(docket, docket->limits[1].cells, 0), "0011111");
    assert_string_equal(cells_text(docket, docket->limits[1].cells, 1), "0010111");
    arena_end(&session.arena);
}

static void test_meeting(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session,
                    HEAD MEASURES "part blade\n    axis chord 0 mm .. 10 mm\n"
                                  "    side camber, thrust  meet at chord 0 mm, chord 10 mm\n"
                                  "zone upper on blade camber\n"
                                  "zone nose on blade chord 0 mm .. 3 mm  thrust\n"
                                  "zone lower on blade thrust  outside nose\n"
                                  "kind gouge on blade records depth\n"
                                  "limit gouge on upper\n    otherwise bad\n"
                                  "limit gouge on nose\n    otherwise bad\n"
                                  "limit gouge on lower\n    otherwise bad\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade");
    assert_int_equal(docket->side_count, 2);
    assert_string_equal(cells_text(docket, docket->limits[0].cells, 0), "11111"); /* 0 3 10 */
    assert_string_equal(cells_text(docket, docket->limits[0].cells, 1), "10001");
    assert_string_equal(cells_text(docket, docket->limits[1].cells, 0), "10000");
    assert_string_equal(cells_text(docket, docket->limits[1].cells, 1), "11100");
    assert_string_equal(cells_text(docket, docket->limits[2].cells, 0), "00001");
    assert_string_equal(cells_text(docket, docket->limits[2].cells, 1), "00111");
    arena_end(&session.arena);
}

static void test_places(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, HEAD MEASURES
                    "part spinner\n    place dome, attachment, edge\n"
                    "part hub\n"
                    "zone bolts on spinner attachment\n"
                    "zone shell on spinner outside bolts\n"
                    "kind crack on spinner, hub records length\n"
                    "limit crack on bolts\n    otherwise worst\n"
                    "limit crack on shell\n    poor length up to 2 mm\n    otherwise bad\n"
                    "limit crack on hub\n    otherwise worst\n");
    const struct docket *docket = docket_of(&session, "crack", "spinner");
    assert_true(docket->by_place);
    assert_int_equal(docket->axes[0].cell_count, 5);
    assert_string_equal(cells_text(docket, docket->limits[0].cells, 0), "00100");
    assert_string_equal(cells_text(docket, docket->limits[1].cells, 0), "10001");
    const struct docket *hub = docket_of(&session, "crack", "hub");
    assert_int_equal(hub->axis_count, 0);
    assert_int_equal(hub->cell_count, 1);
    assert_string_equal(cells_text(hub, hub->covered, 0), "1");
    arena_end(&session.arena);
}

/* ---- place functions and atoms --------------------------------------------------------------- */

static const struct atom_tree *tree_of(const struct docket *docket, uint32_t rung, uint32_t step)
{
    assert_int_equal(docket->limits[0].rungs[rung].steps[step].sort, STEP_ATOMS);
    return docket->limits[0].rungs[rung].steps[step].atoms;
}

static void test_place_functions(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, BLADE MEASURES
                    "curve rise along station\n    0 mm 0 mm\n    20 mm 10 mm\n"
                    "curve fall along station\n    0 mm 8 mm\n    10 mm 3 mm\n    20 mm 2 mm\n"
                    "kind gouge on blade records depth, length\n"
                    "limit gouge on blade\n"
                    "    poor depth up to the lesser of rise and fall, any length\n"
                    "    bad depth below the greater of rise and (the lesser of fall and 7 mm)\n"
                    "    worst depth at least 50 % of rise + fall - 1 mm\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade");
    /* rise = x/2 and fall = 8 - x/2 meet at 8 (value 4); fall passes 7 at 2. */
    const int64_t places[] = {0, 2, 8, 10, 20};
    assert_int_equal(docket->axes[0].breakpoint_count, 5);
    for (uint32_t i = 0; i < 5; i++) {
        assert_number(docket->axes[0].breakpoints[i], places[i], 1);
    }
    const int64_t lesser[] = {0, 1, 4, 3, 2};
    const struct atom_tree *tree = tree_of(docket, 0, 0);
    assert_int_equal(tree->sort, ATOM_LEAF);
    assert_false(tree->atom.strict);
    assert_int_equal(tree->atom.term_count, 1);
    assert_int_equal(tree->atom.place_count, 1);
    assert_int_equal(tree->atom.places[0].point_count, 5);
    for (uint32_t i = 0; i < 5; i++) {
        assert_number(tree->atom.places[0].values[i], -lesser[i], 1);
    }
    const int64_t greater[] = {7, 7, 4, 5, 10};
    tree = tree_of(docket, 1, 0);
    assert_int_equal(tree->sort, ATOM_LEAF);
    assert_true(tree->atom.strict);
    for (uint32_t i = 0; i < 5; i++) {
        assert_number(tree->atom.places[0].values[i], -greater[i], 1);
    }
    /* depth >= x/4 + fall - 1 as x/4 + fall - 1 - depth <= 0; at 2: 1/2 + 7. */
    tree = tree_of(docket, 2, 0);
    assert_false(tree->atom.strict);
    assert_number(tree->atom.terms[0].coefficient, -1, 1);
    assert_number(tree->atom.constant, -1, 1);
    assert_number(tree->atom.places[0].values[1], 15, 2);
    arena_end(&session.arena);
}

static void test_short_curve(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, BLADE MEASURES
                    "zone mid on blade station 5 mm .. 9 mm\n"
                    "curve fine along station\n    4 mm 1 mm\n    12 mm 3 mm\n"
                    "curve wide along station\n    5 mm 1 mm\n    10 mm 3 mm\n"
                    "kind gouge on blade records depth\n"
                    "limit gouge on mid\n    poor depth up to fine + wide\n    otherwise bad\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade");
    /* Both reach from 5 to 10: the breakpoints 5, 9 and 10 of 0 5 9 10 20 (4 and 12 are in neither). */
    const struct place_function *function = &tree_of(docket, 0, 0)->atom.places[0];
    assert_int_equal(function->point_count, 3);
    assert_number(docket->axes[0].breakpoints[function->first], 5, 1);
    assert_number(function->values[0], -9, 4);
    assert_number(function->values[2], -11, 2);
    arena_end(&session.arena);
}

static void test_trees(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, BLADE MEASURES
                    "curve fine along station\n    0 mm 1 mm\n    20 mm 3 mm\n"
                    "reckon longest as the greater of depth and length\n"
                    "kind gouge on blade records depth, length\n"
                    "limit gouge on blade\n"
                    "    poor depth up to the lesser of fine and length, any length\n"
                    "    poor depth up to the greater of fine and length, any length\n"
                    "    bad longest up to 3 mm\n"
                    "    worst longest at least 3 mm\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade");
    assert_int_equal(tree_of(docket, 0, 0)->sort, ATOM_AND);
    assert_int_equal(tree_of(docket, 0, 0)->branch_count, 2);
    assert_int_equal(tree_of(docket, 1, 0)->sort, ATOM_OR);
    assert_int_equal(tree_of(docket, 2, 0)->sort, ATOM_AND);
    assert_int_equal(tree_of(docket, 3, 0)->sort, ATOM_OR);
    assert_int_equal(docket->limits[0].rungs[0].steps[1].sort, STEP_ALWAYS);
    arena_end(&session.arena);
}

static void test_products(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, BLADE MEASURES "reckon area as length * depth\n"
                                             "reckon twice as 2 * depth * length\n"
                                             "kind gouge on blade records depth, length\n"
                                             "limit gouge on blade\n"
                                             "    poor area up to 3 mm2\n"
                                             "    bad twice up to 9 mm2\n"
                                             "    otherwise worst\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade");
    /* Both ask about the same product, in whichever order and with whichever factor. */
    assert_int_equal(docket->variable_count, 3);
    assert_int_equal(tree_of(docket, 0, 0)->atom.terms[0].variable, 2);
    assert_int_equal(tree_of(docket, 1, 0)->atom.terms[0].variable, 2);
    assert_number(tree_of(docket, 1, 0)->atom.terms[0].coefficient, 2, 1);
    arena_end(&session.arena);
}

/* ---- forms ------------------------------------------------------------------------------- */

static void assert_form(const struct region_form *form, struct number lo, struct number hi,
                        struct number constant, bool strict)
{
    assert_true(number_equal(form->lo[0], lo));
    assert_true(number_equal(form->hi[0], hi));
    assert_true(number_equal(form->constant, constant));
    assert_int_equal(form->strict, strict);
}

static void test_forms(void **state)
{
    (void)state;
    struct session session;
    /* A curve that falls by 1/2 a millimetre to 12, then rises by 1, on a zone open at its end. */
    session_compile(&session, BLADE MEASURES
                    "zone mid on blade station 4 mm .. below 18 mm\n"
                    "curve dip along station\n    0 mm 8 mm\n    12 mm 2 mm\n    20 mm 10 mm\n"
                    "kind gouge on blade records depth\n"
                    "limit gouge on mid\n    poor depth below dip\n    otherwise bad\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade");
    const struct atom *atom = &tree_of(docket, 0, 0)->atom;
    const struct plan_limit *limit = &docket->limits[0];
    struct arena *arena = &session.arena;
    struct region_form forms[REGION_FORMS];
    struct number zero = NUMBER_ZERO, half = number_make(arena, 1, 2);

    /* Breakpoints 0 4 12 18 20. From within ]4, 12[ to within ]12, 18[: -dip is lo/2 - 8 at lo,
     * 10 - hi at hi, and -2 at 12, where the zone has it. */
    struct region_cells cells = {.lo = {3}, .hi = {5}};
    assert_int_equal(region_forms(arena, docket, limit, atom, &cells, forms), 3);
    assert_form(&forms[0], half, zero, NUMBER_INT(-8), true);
    assert_form(&forms[1], zero, zero, NUMBER_INT(-2), true);
    assert_form(&forms[2], zero, NUMBER_INT(-1), NUMBER_INT(10), true);

    /* From within ]12, 18[ out of the zone: at the open end -dip only comes near to -8. */
    cells = (struct region_cells){.lo = {5}, .hi = {7}};
    assert_int_equal(region_forms(arena, docket, limit, atom, &cells, forms), 2);
    assert_form(&forms[0], NUMBER_INT(-1), zero, NUMBER_INT(10), true);
    assert_form(&forms[1], zero, zero, NUMBER_INT(-8), false);

    /* Beyond the zone there is nothing to ask. */
    cells = (struct region_cells){.lo = {6}, .hi = {8}};
    assert_false(region_touches(docket, limit, &cells));
    assert_int_equal(region_forms(arena, docket, limit, atom, &cells, forms), 0);
    arena_end(&session.arena);
}

/* ---- sizes ------------------------------------------------------------------------------- */

/*
 * A plan has bounds of its own: what would pass them leaves the call, whatever the book's checks let
 * through. So these books are made too big only after they were checked.
 */
static void assert_too_big(struct session *session)
{
    if (setjmp(session->escape.to)) {
        assert_int_equal(session->escape.status, STAVE_TOO_BIG);
        arena_end(&session->arena);
        return;
    }
    plan_compile(session->book);
    fail_msg("it was compiled");
}

static const struct expression *joined(struct arena *arena, enum expression_sort sort,
                                       const struct expression *left,
                                       const struct expression *right)
{
    struct expression *expression = ARENA_NEW(arena, struct expression);
    expression->sort = sort;
    expression->left = left;
    expression->right = right;
    return expression;
}

static const struct expression *times(struct arena *arena, int64_t figure,
                                      const struct expression *right)
{
    struct expression *expression = ARENA_NEW(arena, struct expression);
    expression->sort = EXPRESSION_FIGURE;
    expression->value = NUMBER_INT(figure);
    return joined(arena, EXPRESSION_MULTIPLY, expression, right);
}

static void test_too_many_leaves(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, BLADE MEASURES "kind gouge on blade records depth, length\n"
                                             "limit gouge on blade\n"
                                             "    poor depth up to length\n    otherwise bad\n");
    struct condition *condition = &session.book->limits[0].rungs[0].conditions[0];
    const struct expression *depth = condition->left, *length = condition->right;
    const struct expression *sum = length;
    for (int i = 0; i < 13; i++) { /* an "or" of 2^13 sums, no two of them alike */
        const struct expression *choice = joined(&session.arena, EXPRESSION_GREATER, depth,
                                                 times(&session.arena, 2 << i, length));
        sum = joined(&session.arena, EXPRESSION_ADD, sum, choice);
    }
    condition->right = sum;
    assert_too_big(&session);
}

static void test_too_many_nodes(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, BLADE MEASURES "kind gouge on blade records depth, length\n"
                                             "limit gouge on blade\n"
                                             "    poor depth up to length\n    otherwise bad\n");
    struct condition *condition = &session.book->limits[0].rungs[0].conditions[0];
    for (int i = 0; i < 60; i++) { /* a sum of 2^60, in 60 nodes */
        condition->right =
            joined(&session.arena, EXPRESSION_ADD, condition->right, condition->right);
    }
    assert_too_big(&session);
}

/* Gives a curve so many points, a millimetre apart. */
static void refine(struct session *session, struct curve *curve, uint32_t count)
{
    curve->points = ARENA_ARRAY(&session->arena, struct curve_point, count);
    curve->point_count = count;
    for (uint32_t i = 0; i < count; i++) {
        curve->points[i].at = NUMBER_INT(i);
        curve->points[i].value = NUMBER_INT(1 + i % 2);
    }
}

#define SHEET                                                                                      \
    HEAD MEASURES "part blade\n    axis station 0 mm .. 100000 mm\n"                               \
                  "    axis chord 0 mm .. 100000 mm\n"                                             \
                  "curve long along station\n    0 mm 1 mm\n    100000 mm 1 mm\n"                  \
                  "curve broad along chord\n    0 mm 1 mm\n    100000 mm 1 mm\n"                   \
                  "kind gouge on blade records depth\n"                                            \
                  "limit gouge on blade\n    poor depth up to long + broad\n    otherwise bad\n"

static void test_too_many_cells(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, SHEET);
    refine(&session, &session.book->curves[0], 700); /* 1400 cells a side are too many, */
    refine(&session, &session.book->curves[1], 700);
    assert_too_big(&session);
    session_compile(&session, SHEET);
    refine(&session, &session.book->curves[0], 500); /* 1000 are not */
    refine(&session, &session.book->curves[1], 500);
    if (setjmp(session.escape.to)) {
        fail_msg("escaped with status %d", (int)session.escape.status);
    }
    plan_compile(session.book);
    arena_end(&session.arena);
}

static void test_too_many_points(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, SHEET);
    refine(&session, &session.book->curves[0], 70000);
    assert_too_big(&session);
}

/* ---- one world, by hand -------------------------------------------------------------------- */

/* What a gouge of one depth gives along lo .. hi. */
static uint32_t outcome_at(struct session *session, const struct docket *docket,
                           struct number depth, struct number lo, struct number hi)
{
    struct world world = {.readings = &depth, .lo = &lo, .hi = &hi};
    uint64_t none = 0;
    world.values = &none;
    struct ladder_result *ladders;
    uint32_t count;
    bool uncovered;
    return judge_world(&session->arena, docket, &world, &ladders, &count, &uncovered);
}

static void test_half_open(void **state)
{
    (void)state;
    struct session session;
    session_compile(&session, BLADE
                    "measure depth 0 mm .. 9 mm\n"
                    "zone mid on blade station 5 mm .. below 15 mm\n"
                    "curve fall along station\n    0 mm 8 mm\n    16 mm 0 mm\n    20 mm 0 mm\n"
                    "kind gouge on blade records depth\n"
                    "limit gouge on mid\n    poor depth below fall\n    bad depth up to fall\n"
                    "    otherwise worst\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade");
    struct arena *arena = &session.arena;
    uint32_t none = session.book->no_published_limit;
    /* fall(14) = 1, fall(15) = 1/2. Up to the open end the depth 1/2 stays below the curve ... */
    struct number half = number_make(arena, 1, 2);
    struct number before = number_make(arena, 29, 2);
    assert_int_equal(outcome_at(&session, docket, half, NUMBER_INT(5), before), 1);
    /* ... at 14 the depth 1 only reaches it; beyond, it passes it. */
    assert_int_equal(outcome_at(&session, docket, NUMBER_INT(1), NUMBER_INT(5), NUMBER_INT(14)), 2);
    assert_int_equal(outcome_at(&session, docket, NUMBER_INT(1), NUMBER_INT(5), before), 3);
    /* At 15 the zone has ended, and what reaches further lies in no zone. */
    assert_int_equal(outcome_at(&session, docket, half, NUMBER_INT(5), NUMBER_INT(15)), none);
    assert_int_equal(outcome_at(&session, docket, half, NUMBER_INT(15), NUMBER_INT(15)), none);

    struct number lo = NUMBER_INT(5), hi = NUMBER_INT(15);
    uint64_t no_value = 0;
    struct world world = {.readings = &half, .values = &no_value, .lo = &lo, .hi = &hi};
    const struct plan_limit *limit = &docket->limits[0];
    struct condition_result result =
        judge_condition(arena, docket, limit, &limit->rungs[0].steps[0], &world);
    assert_true(result.holds);
    assert_true(result.numeric);
    assert_true(result.has_place);
    assert_number(result.left, 1, 2);
    assert_number(result.right, 1, 2);
    assert_number(result.at, 15, 1);
    assert_string_equal(result.unit->name, "mm");
    arena_end(&session.arena);
}

static void test_flat_between_open_ends(void **state)
{
    (void)state;
    struct session session;
    /* Only the open stretch ]5, 15[ is in the zone, and the curve is level along it. */
    session_compile(&session,
                    BLADE "measure depth 0 mm .. 9 mm\n"
                          "zone mid on blade station over 5 mm .. below 15 mm\n"
                          "curve flat along station\n    0 mm 2 mm\n    20 mm 2 mm\n"
                          "kind gouge on blade records depth\n"
                          "limit gouge on mid\n    poor depth below flat\n    otherwise worst\n"
                          "limit gouge on blade\n    otherwise poor\n");
    const struct docket *docket = docket_of(&session, "gouge", "blade");
    assert_int_equal(outcome_at(&session, docket, NUMBER_INT(1), NUMBER_INT(0), NUMBER_INT(20)), 1);
    assert_int_equal(outcome_at(&session, docket, NUMBER_INT(2), NUMBER_INT(0), NUMBER_INT(20)), 3);
    assert_int_equal(outcome_at(&session, docket, NUMBER_INT(2), NUMBER_INT(0), NUMBER_INT(5)), 1);

    /* Of places that are all alike, one that is in the zone is shown: not its open edge. */
    struct number depth = NUMBER_INT(2), lo = NUMBER_INT(0), hi = NUMBER_INT(20);
    uint64_t no_value = 0;
    struct world world = {.readings = &depth, .values = &no_value, .lo = &lo, .hi = &hi};
    const struct plan_limit *limit = &docket->limits[0];
    struct condition_result result =
        judge_condition(&session.arena, docket, limit, &limit->rungs[0].steps[0], &world);
    assert_false(result.holds);
    assert_number(result.at, 10, 1);
    arena_end(&session.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_breakpoints),
        cmocka_unit_test(test_outside_two),
        cmocka_unit_test(test_outside_same_end),
        cmocka_unit_test(test_outside_same_corner),
        cmocka_unit_test(test_outside_same_end_meeting),
        cmocka_unit_test(test_meeting),
        cmocka_unit_test(test_places),
        cmocka_unit_test(test_place_functions),
        cmocka_unit_test(test_short_curve),
        cmocka_unit_test(test_trees),
        cmocka_unit_test(test_products),
        cmocka_unit_test(test_forms),
        cmocka_unit_test(test_too_many_leaves),
        cmocka_unit_test(test_too_many_nodes),
        cmocka_unit_test(test_too_many_cells),
        cmocka_unit_test(test_too_many_points),
        cmocka_unit_test(test_half_open),
        cmocka_unit_test(test_flat_between_open_ends),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
