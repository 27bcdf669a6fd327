/*
 * Charts: the bands of each line are exactly what its conditions allow of one measure, at every bend
 * and nowhere more; what a chart cannot show is named.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "stave.h"

static const char frame[] = "stave 1\n"
                            "book C-1 \"charts\"\n"
                            "    edition \"A\"\n"
                            "    for model C-1\n"
                            "scale\n"
                            "    good \"fly\"\n"
                            "    watch \"fly\"\n"
                            "  no flight\n"
                            "    shop \"stay\"\n"
                            "part blade, 2\n"
                            "    axis station 0 in .. 50 in\n"
                            "    side camber, thrust\n"
                            "part cover\n"
                            "    place front, back\n"
                            "zone near on blade station 10 in .. 30 in\n"
                            "zone far on blade station over 30 in .. 50 in\n"
                            "measure depth 0 in .. 1 in\n"
                            "measure width 0 in .. 9 in\n"
                            "measure left 0 mm .. 30 mm smaller is worse\n"
                            "observe raised yes or no\n"
                            "reckon patch as depth * width\n"
                            "curve a along station\n"
                            "    0 in 0.1 in\n"
                            "    50 in 0.6 in\n"
                            "curve b along station\n"
                            "    0 in 0.5 in\n"
                            "    20 in 0.3 in\n"
                            "    50 in 0.3 in\n"
                            "kind gouge on blade records depth, width, left, raised\n"
                            "kind cut on cover records depth\n";

struct opened {
    stave_book *book;
    stave_outline *outline;
};

static struct opened open_book(const char *limits)
{
    static char bytes[8192];
    struct opened opened = {0};
    int size = snprintf(bytes, sizeof bytes, "%s%s", frame, limits);
    struct stave_text text = {"c.stave", bytes, (size_t)size};
    enum stave_status status = stave_book_read(NULL, &text, &opened.book);
    if (status != STAVE_OK) {
        size_t count;
        const struct stave_problem *problems = stave_book_problems(opened.book, &count);
        fail_msg("%u: %s", problems[0].at.line, problems[0].message);
    }
    assert_int_equal(stave_outline_make(NULL, opened.book, &opened.outline), STAVE_OK);
    return opened;
}

static void close_book(struct opened opened)
{
    stave_outline_free(opened.outline);
    stave_book_free(opened.book);
}

static const struct stave_chart *chart_of(struct opened opened, const char *name)
{
    for (size_t i = 0; i < opened.outline->chart_count; i++) {
        if (strcmp(opened.outline->charts[i].name, name) == 0) {
            return &opened.outline->charts[i];
        }
    }
    fail_msg("no chart of %s", name);
    return NULL;
}

/* "10:1/5 30:2/5": the points of an edge with their exact values. */
static void expect_points(const struct stave_point *points, size_t count, const char *wanted)
{
    char got[256] = "";
    for (size_t i = 0; i < count; i++) {
        size_t used = strlen(got);
        snprintf(got + used, sizeof got - used, "%s%s:%s", i ? " " : "", points[i].at.exact,
                 points[i].value.exact);
    }
    assert_string_equal(got, wanted);
}

#define LIMIT "limit gouge on near, far\n"
#define REST ", any width, any left, any raised\n"

static void a_curve_and_a_constant(void **state)
{
    (void)state;
    struct opened opened =
        open_book(LIMIT "    good depth up to a" REST "    watch depth below 0.7 in" REST
                        "    otherwise shop\n");
    assert_int_equal(opened.outline->ladder_count, 1);
    assert_int_equal(opened.outline->chart_count, 1);
    const struct stave_chart *chart = chart_of(opened, "depth");
    assert_int_equal(chart->axis, 0);
    assert_string_equal(chart->unit, "in");
    assert_string_equal(chart->other_unit, "mm");
    assert_string_equal(chart->other_size.exact, "5/127");
    assert_int_equal(chart->stretch_count, 2);
    const struct stave_stretch *in = &chart->stretches[0], *out = &chart->stretches[1];
    assert_int_equal(in->band_count, 3);
    expect_points(in->bands[0].high, in->bands[0].high_count, "10:1/5 30:2/5");
    expect_points(out->bands[0].high, out->bands[0].high_count, "30:2/5 50:3/5");
    assert_true(out->range.from_open);
    assert_false(in->bands[0].high_open);
    expect_points(in->bands[1].high, in->bands[1].high_count, "10:7/10 30:7/10");
    assert_true(in->bands[1].high_open);
    assert_int_equal(in->bands[2].high_count + in->bands[2].low_count, 0);
    assert_string_equal(in->bands[0].asks, "");
    close_book(opened);
}

/* The two curves cross at station 20: the lesser has a point there, worked out exactly. */
static void where_curves_cross(void **state)
{
    (void)state;
    struct opened opened =
        open_book(LIMIT "    good depth up to the lesser of a and b" REST
                        "    watch depth up to the greater of a and b" REST "    otherwise shop\n");
    const struct stave_stretch *in = &chart_of(opened, "depth")->stretches[0];
    expect_points(in->bands[0].high, in->bands[0].high_count, "10:1/5 20:3/10 30:3/10");
    expect_points(in->bands[1].high, in->bands[1].high_count, "10:2/5 20:3/10 30:2/5");
    close_book(opened);
}

/* Half the depth below a is depth up to 2a; two bounds on one measure are both drawn. */
static void factors_and_two_bounds(void **state)
{
    (void)state;
    struct opened opened =
        open_book(LIMIT "    good depth up to 2 * a, depth up to 0.5 in" REST
                        "    watch depth over 0.1 in and up to 0.9 in" REST "    otherwise shop\n");
    const struct stave_stretch *in = &chart_of(opened, "depth")->stretches[0];
    expect_points(in->bands[0].high, in->bands[0].high_count, "10:2/5 15:1/2 30:1/2");
    expect_points(in->bands[1].low, in->bands[1].low_count, "10:1/10 30:1/10");
    expect_points(in->bands[1].high, in->bands[1].high_count, "10:9/10 30:9/10");
    assert_true(in->bands[1].low_open);
    close_book(opened);
}

/* Other conditions are named and never widen a band; a product has a chart of its own. */
static void what_is_not_drawn_is_named(void **state)
{
    (void)state;
    struct opened opened = open_book(
        LIMIT "    good depth up to a, width up to 2 in, left at least 4 mm, not raised\n"
              "    watch patch up to 3 in2, depth up to 10 % of width, width up to 5 in, any left, "
              "any raised\n"
              "    otherwise shop\n");
    assert_int_equal(opened.outline->chart_count, 4);
    const struct stave_stretch *depth = &chart_of(opened, "depth")->stretches[0];
    assert_string_equal(depth->bands[0].asks, "width up to 2 in, left at least 4 mm, not raised");
    assert_int_equal(depth->bands[1].high_count, 0);
    assert_string_equal(depth->bands[1].asks,
                        "patch up to 3 in2, depth up to 10 % of width, width up to 5 in");
    const struct stave_chart *left = chart_of(opened, "left");
    assert_true(left->smaller_is_worse);
    assert_string_equal(left->unit, "mm");
    assert_string_equal(left->other_unit, "in");
    expect_points(left->stretches[0].bands[0].low, left->stretches[0].bands[0].low_count,
                  "10:4 30:4");
    assert_int_equal(left->stretches[0].bands[0].high_count, 0);
    const struct stave_chart *patch = chart_of(opened, "patch");
    assert_string_equal(patch->unit, "in2");
    assert_string_equal(patch->how, "depth * width");
    expect_points(patch->stretches[0].bands[1].high, patch->stretches[0].bands[1].high_count,
                  "10:3 30:3");
    close_book(opened);
}

/* What figures show: 1/3 cannot be written out, and an upper bound is rounded down. */
static void figures_are_rounded_to_the_stricter_side(void **state)
{
    (void)state;
    struct opened opened = open_book("limit cut on cover\n    good depth up to 1/64 in / 3\n"
                                     "    otherwise shop\n");
    const struct stave_chart *chart = chart_of(opened, "depth");
    assert_int_equal(chart->axis, -1);
    const struct stave_band *band = &chart->stretches[0].bands[0];
    assert_int_equal(band->high_count, 1);
    assert_string_equal(band->high[0].value.exact, "1/192");
    assert_string_equal(band->high[0].value.decimal, "0.005208");
    assert_true(band->high[0].value.rounded);
    close_book(opened);
}

static void the_outline_is_whole(void **state)
{
    (void)state;
    struct opened opened = open_book(LIMIT "    otherwise shop\n"
                                           "limit cut on cover no published limit per \"T 1\"\n");
    const stave_outline *outline = opened.outline;
    assert_int_equal(outline->part_count, 2);
    assert_int_equal(outline->quality_count, 4);
    assert_int_equal(outline->kind_count, 2);
    assert_int_equal(outline->ladder_count, 2);
    assert_int_equal(outline->chart_count, 0);
    assert_string_equal(outline->ladders[0].head, "gouge on near, far");
    assert_true(outline->ladders[1].declared_gap);
    assert_string_equal(outline->ladders[1].source, "T 1");
    assert_string_equal(outline->reckoned[0].value, "depth * width");
    assert_string_equal(outline->zones[outline->ladders[0].zones[1]].name, "far");
    assert_int_equal(outline->library_caution_count, 2);
    close_book(opened);
    assert_int_equal(stave_outline_make(NULL, NULL, NULL), STAVE_MISUSE);
    stave_outline_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_curve_and_a_constant),
        cmocka_unit_test(where_curves_cross),
        cmocka_unit_test(factors_and_two_bounds),
        cmocka_unit_test(what_is_not_drawn_is_named),
        cmocka_unit_test(figures_are_rounded_to_the_stricter_side),
        cmocka_unit_test(the_outline_is_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
