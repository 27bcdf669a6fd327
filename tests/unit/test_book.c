/*
 * src/book: a rich book resolved right, and every fault with its whole message, place,
 * second label and help (the tables in book_faults_*.h).
 */
#include "book_bench.h"

struct fault {
    const char *name; /* what is wrong */
    const char *text; /* follows the common book, or is a whole text (begins with "stave") */
    const char *told; /* all problems, see told() */
};

#include "book_faults_figures.h"
#include "book_faults_ladders.h"
#include "book_faults_lines.h"
#include "book_faults_names.h"
#include "book_faults_places.h"
#include "book_faults_repeats.h"
#include "book_faults_texts.h"

static char *joined(const char *a, const char *b)
{
    size_t size = strlen(a) + strlen(b) + 1;
    char *both = malloc(size);

    assert_non_null(both);
    snprintf(both, size, "%s%s", a, b);
    return both;
}

/* ---- faults -------------------------------------------------------------------------------- */

static void check_fault(const struct fault *fault)
{
    bool whole = strncmp(fault->text, "stave", 5) == 0;
    char *text = joined(whole ? "" : common, fault->text);
    struct bench bench;
    const char *found;

    read_text(&bench, text);
    found = told(&bench, whole ? 0 : COMMON_LINES);
    if (strcmp(found, fault->told) != 0)
        fail_msg("%s:\n%s\ntells\n%sinstead of\n%s", fault->name, fault->text, found, fault->told);
    done(&bench);
    free(text);
}

#define CHECK_FAULTS(table)                                                                        \
    static void test_##table(void **state)                                                         \
    {                                                                                              \
        size_t i, count = sizeof table / sizeof *table;                                            \
                                                                                                   \
        (void)state;                                                                               \
        for (i = 0; i < count; i++)                                                                \
            check_fault(&table[i]);                                                                \
        print_message("%s: %zu small books\n", #table, count);                                     \
    }

CHECK_FAULTS(faults_of_names)
CHECK_FAULTS(faults_of_repeats)
CHECK_FAULTS(faults_of_figures)
CHECK_FAULTS(faults_of_places)
CHECK_FAULTS(faults_of_lines)
CHECK_FAULTS(faults_of_ladders)
CHECK_FAULTS(faults_of_texts)

static void test_common_book_is_good(void **state)
{
    struct bench bench;
    size_t i, lines = 0;

    (void)state;
    for (i = 0; common[i] != '\0'; i++)
        lines += common[i] == '\n';
    assert_int_equal(lines, COMMON_LINES);
    read_text(&bench, common);
    assert_string_equal(told(&bench, 0), "");
    done(&bench);
}

/* ---- a rich book ------------------------------------------------------------------------ */

/* numerator/denominator in base units */
static void equals(struct number value, int64_t numerator, int64_t denominator)
{
    assert_true(value.den != 0);
    assert_int_equal(value.num, numerator);
    assert_int_equal(value.den, denominator);
}

static void check_parts(const struct book *book)
{
    const struct part *blade = &book->parts[0], *boot = &book->parts[1];

    assert_int_equal(book->part_count, 3);
    assert_ptr_equal(book_find_part(book, "spinner"), &book->parts[2]);
    assert_null(book_find_part(book, "skin"));
    assert_int_equal(blade->count, PART_COUNTED);
    assert_int_equal(blade->least, 2);
    assert_int_equal(blade->most, 6);
    assert_int_equal(blade->axis_count, 2);
    equals(blade->axes[0].from, 762, 5); /* 6 in = 152.4 mm, 1 in = 25.4 mm exactly (S1) */
    assert_string_equal(blade->axes[0].help, "from the hub");
    assert_true(blade->axes[0].has_step);
    assert_false(blade->axes[1].has_step);
    equals(blade->axes[1].to, 1, 1);
    assert_string_equal(blade->axes[1].unit->name, "%");
    assert_int_equal(blade->side_count, 2);
    assert_string_equal(blade->sides[1], "thrust");
    assert_int_equal(blade->meeting_count, 2);
    assert_int_equal(blade->meetings[1].axis, 1);
    assert_string_equal(blade->search, "tap along the edge");
    assert_int_equal(boot->count, PART_ON_EACH);
    assert_ptr_equal(boot->each_of, blade);
    assert_true(boot->where_fitted);
    assert_null(boot->search);
    assert_int_equal(book->parts[2].count, PART_ONE);
    assert_int_equal(book->parts[2].place_count, 2);
}

static void check_zones(const struct book *book)
{
    const struct zone *mid = &book->zones[3], *cap = &book->zones[4], *skin = &book->zones[5];

    assert_int_equal(book->zone_count, 7);
    assert_true(book->zones[0].is_part && book->zones[2].is_part && !mid->is_part);
    assert_ptr_equal(book->zones[2].part, &book->parts[2]);
    assert_int_equal(book->zones[2].places, 3);
    assert_true(mid->ranges[0].to_open && !mid->ranges[0].from_open);
    equals(mid->ranges[0].from, 1778, 5);
    equals(mid->ranges[1].to, 1, 1); /* an axis that is not named is whole */
    assert_int_equal(mid->sides, 3);
    assert_int_equal(cap->sides, 1);
    assert_true(skin->ranges[0].from_open);
    assert_int_equal(skin->outside_count, 2);
    assert_ptr_equal(skin->outside[0], cap);
    assert_ptr_equal(skin->outside[1], mid);
    assert_int_equal(book->zones[6].places, 1);
}

static void check_kinds(const struct book *book)
{
    const struct kind *gouge = &book->kinds[0], *crack = &book->kinds[2];

    assert_int_equal(book->kind_count, 4);
    assert_int_equal(book->check_start, 3);
    assert_true(book->kinds[3].is_check && !crack->is_check);
    assert_string_equal(book->kinds[1].name, "nick");
    assert_int_equal(book->kinds[1].index, 1);
    assert_ptr_equal(book_find_kind(book, "seep"), &book->kinds[3]);
    assert_null(book_find_kind(book, "blade"));
    assert_int_equal(gouge->record_count, 2);
    assert_ptr_equal(gouge->records[0].measure, &book->measures[0]);
    assert_false(gouge->records[0].has_along);
    assert_true(gouge->records[1].has_along);
    assert_int_equal(gouge->records[1].along[0], 0);
    assert_string_equal(gouge->looks[0], "material gone");
    assert_string_equal(crack->cautions[0], "gloves");
    assert_int_equal(crack->records[0].along[0], -1); /* the spinner has no stations */
    assert_int_equal(crack->records[0].along[1], 0);
    assert_ptr_equal(crack->records[1].observation, &book->observations[0]);
    assert_int_equal(kind_part_position(crack, &book->parts[0]), 1);
    assert_int_equal(kind_part_position(crack, &book->parts[1]), -1);
    assert_string_equal(book->kinds[3].looks[0], "at the shank");
}

static void check_measures(const struct book *book)
{
    const struct measure *depth = &book->measures[0], *wall = &book->measures[2];
    const struct curve *curve = &book->curves[0];

    assert_int_equal(book->measure_count, 3);
    assert_int_equal(depth->stepping, TREE_READ_NEAREST);
    equals(depth->step, 127, 5000);
    assert_string_equal(depth->help, "deepest point");
    assert_int_equal(book->measures[1].stepping, TREE_READ_UP_TO);
    assert_string_equal(book->measures[1].unit->name, "mm");
    assert_true(wall->smaller_is_worse && !depth->smaller_is_worse);
    equals(wall->from, 127, 50);
    assert_int_equal(book->observation_count, 3);
    assert_int_equal(book->observations[0].value_count, 3);
    assert_string_equal(book->observations[2].values[0], "yes");
    assert_string_equal(book->observations[2].values[1], "no");
    assert_int_equal(curve->point_count, 3);
    assert_string_equal(curve->axis, "station");
    equals(curve->points[1].value, 1, 2);
    assert_string_equal(curve->unit->name, "in");
}

static void check_gouge_limit(const struct book *book)
{
    const struct limit *limit = &book->limits[0];
    const struct rung *fine = &limit->rungs[0], *watch = &limit->rungs[1];
    const struct condition *depth = &fine->conditions[0], *twice = &fine->conditions[1];

    assert_ptr_equal(limit->zone, &book->zones[5]);
    assert_ptr_equal(book->limits[1].zone, &book->zones[4]);
    assert_ptr_equal(book->limits[1].rungs, limit->rungs);
    assert_int_equal(limit->kind_count, 2);
    assert_string_equal(limit->source, "table 1");
    assert_string_equal(limit->note, "clean it first");
    assert_int_equal(limit->rung_count, 3);
    assert_int_equal(depth->sort, CONDITION_COMPARE);
    assert_int_equal(depth->relation, TREE_UP_TO);
    assert_int_equal(depth->left->sort, EXPRESSION_MEASURE);
    assert_int_equal(depth->right->sort, EXPRESSION_ADD);
    assert_ptr_equal(depth->right->left->curve, &book->curves[0]);
    equals(depth->right->right->value, 127, 1000);
    assert_int_equal(twice->relation, TREE_BELOW);
    assert_int_equal(twice->left->sort, EXPRESSION_RECKONED);
    assert_int_equal(twice->left->reckon->value->sort, EXPRESSION_SUBTRACT);
    assert_int_equal(twice->left->dimension.length, 1);
    assert_int_equal(twice->left->reckon->value->right->sort, EXPRESSION_MULTIPLY);
    assert_int_equal(watch->condition_count, 3); /* over, up to, any */
    assert_int_equal(watch->conditions[0].relation, TREE_OVER);
    assert_int_equal(watch->conditions[2].sort, CONDITION_RELEASE);
    assert_ptr_equal(watch->conditions[2].left->measure, &book->measures[1]);
}

static void check_tails(const struct book *book)
{
    const struct limit *limit = &book->limits[0];
    const struct rung *watch = &limit->rungs[1], *shop = &limit->rungs[2];

    assert_string_equal(limit->rungs[0].source, "table 1");
    assert_string_equal(watch->source, "line 2");
    assert_string_equal(watch->action, "mark it"); /* the outcome's own */
    assert_int_equal(watch->deadline_count, 2);
    assert_false(watch->deadlines[0].look_again);
    equals(watch->deadlines[0].value, 3, 1);
    assert_true(watch->deadlines[1].look_again);
    equals(watch->deadlines[1].value, 50, 1);
    assert_string_equal(shop->action, "box it");
    assert_true(shop->otherwise);
    assert_int_equal(shop->condition_count, 0);
    equals(shop->deadlines[0].value, 1, 6); /* 10 min in h */
    assert_string_equal(shop->note, "");
}

static void check_observed_limits(const struct book *book)
{
    const struct limit *dome = &book->limits[2], *gap = &book->limits[4];
    const struct limit *seep = &book->limits[5];

    assert_int_equal(book->limit_count, 7);
    assert_ptr_equal(dome->zone, &book->zones[6]);
    assert_ptr_equal(book->limits[3].zone, &book->zones[0]);
    assert_int_equal(dome->rungs[0].conditions[0].sort, CONDITION_AMONG);
    assert_int_equal(dome->rungs[0].conditions[0].values, 3);
    assert_int_equal(dome->rungs[1].conditions[0].values, 5);
    assert_true(dome->rungs[1].conditions[0].negative);
    assert_int_equal(dome->rungs[2].outcome, book->no_published_limit);
    assert_true(gap->declared_gap);
    assert_int_equal(gap->rung_count, 0);
    assert_ptr_equal(seep->kinds[0], &book->kinds[3]);
    assert_ptr_equal(seep->zone, &book->zones[0]);
    assert_ptr_equal(book->limits[6].zone, &book->zones[2]);
    assert_int_equal(seep->rungs[0].conditions[0].values, 3); /* up to trace */
    assert_int_equal(seep->rungs[0].conditions[1].values, 2); /* no */
    assert_true(seep->rungs[0].conditions[1].negative);
    assert_int_equal(seep->rungs[1].conditions[0].values, 1); /* below trace */
    assert_int_equal(seep->rungs[1].conditions[1].values, 1); /* yes */
    assert_int_equal(seep->rungs[2].conditions[0].values, 6); /* at least trace */
    assert_int_equal(seep->rungs[3].conditions[0].values, 6); /* over nothing */
}

static void test_rich_book(void **state)
{
    struct bench bench;
    const struct book *book = read_text(&bench, rich);

    (void)state;
    assert_string_equal(told(&bench, 0), "");
    assert_string_equal(book->id, "BM-3");
    assert_string_equal(book->title, "composite blade");
    assert_string_equal(book->edition, "C");
    assert_string_equal(book->dated, "2026-03-01");
    assert_int_equal(book->model_count, 2);
    assert_int_equal(book->caution_count, 2);
    assert_true(book->as_read);
    assert_int_equal(book->scale_count, 5);
    assert_true(book->scale[1].flight && !book->scale[2].flight);
    assert_false(book->scale[book->no_published_limit].flight);
    assert_false(book->scale[book->incomplete].flight);
    assert_int_equal(book_find_outcome(book, "shop"), 2);
    assert_int_equal(book_find_outcome(book, "no published limit"), 3);
    assert_int_equal(book_find_outcome(book, "incomplete"), 4);
    assert_int_equal(book_find_outcome(book, "blade"), -1);
    assert_int_equal(book->example_count, 1);
    assert_int_equal(book->source_count, 1);
    check_parts(book);
    check_zones(book);
    check_kinds(book);
    check_measures(book);
    check_gouge_limit(book);
    check_tails(book);
    check_observed_limits(book);
    done(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_common_book_is_good), cmocka_unit_test(test_faults_of_names),
        cmocka_unit_test(test_faults_of_repeats),   cmocka_unit_test(test_faults_of_figures),
        cmocka_unit_test(test_faults_of_places),    cmocka_unit_test(test_faults_of_lines),
        cmocka_unit_test(test_faults_of_ladders),   cmocka_unit_test(test_faults_of_texts),
        cmocka_unit_test(test_rich_book),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
