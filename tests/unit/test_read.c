/* Text to tree: every statement of the grammar, and findings, answers and ranges. */
#include "read_sample.h"

static struct reading_bench bench;

static int end(void **state)
{
    (void)state;
    arena_end(&bench.arena);
    return 0;
}

static struct tree *read_whole(const char *text)
{
    bench_begin(&bench, text, strlen(text));
    assert_non_null(bench.source);
    struct tree *tree = read_book(&bench.arena, bench.source, &bench.problems);
    assert_string_equal(bench_problems(&bench), "");
    return tree;
}

/* ---- how nodes are checked ---------------------------------------------------------- */

static void is_word(struct tree_word word, const char *text)
{
    if (!text) {
        assert_null(word.text);
        return;
    }
    assert_non_null(word.text);
    assert_string_equal(word.text, text);
    assert_ptr_equal(word.span.source, bench.source);
}

/* The words of a list with a blank between. */
static const char *joined(const struct tree_words *words)
{
    struct text text;
    text_begin(&text, &bench.arena);
    for (; words; words = words->next) {
        text_addf(&text, "%s%s", words->word.text, words->next ? " " : "");
    }
    return text_done(&text);
}

/* value: the exact value in base units, as a fraction. */
static void is_quantity(struct tree_quantity quantity, const char *figure, const char *unit,
                        const char *value)
{
    assert_string_equal(number_fraction(&bench.arena, quantity.figure), figure);
    assert_string_equal(number_fraction(&bench.arena, quantity.value), value);
    if (unit) {
        assert_non_null(quantity.unit);
        assert_ptr_equal(quantity.unit, unit_find(unit, strlen(unit)));
    } else {
        assert_null(quantity.unit);
    }
}

static void spans(struct span span, const char *text)
{
    assert_int_equal(span.to - span.from, strlen(text));
    assert_memory_equal(bench.source->bytes + span.from, text, strlen(text));
}

/* An expression in prefix form. */
static void show(struct text *text, const struct tree_expression *expression)
{
    static const char *const signs[] = {
        [TREE_ADD] = "+",    [TREE_SUBTRACT] = "-", [TREE_MULTIPLY] = "*",
        [TREE_DIVIDE] = "/", [TREE_LESSER] = "min", [TREE_GREATER] = "max",
    };
    if (expression->sort == TREE_NAME) {
        text_add(text, expression->name.text);
    } else if (expression->sort == TREE_QUANTITY) {
        text_add(text, number_fraction(&bench.arena, expression->quantity->figure));
        text_add(text, expression->quantity->unit ? expression->quantity->unit->name : "");
    } else {
        text_addf(text, "(%s ", signs[expression->sort]);
        show(text, expression->left);
        text_add(text, " ");
        show(text, expression->right);
        text_add(text, ")");
    }
}

static const char *shown(const struct tree_expression *expression)
{
    struct text text;
    text_begin(&text, &bench.arena);
    show(&text, expression);
    return text_done(&text);
}

/* ---- statements ------------------------------------------------------------------------ */

static void test_head(void **state)
{
    (void)state;
    struct tree *tree = read_whole(sample_book);
    struct tree_head *head = tree->head;
    assert_ptr_equal(tree->source, bench.source);
    assert_null(tree->second_head);
    assert_null(tree->lost);
    is_word(head->id, "BM-3");
    is_word(head->title, "composite blade, field limits");
    spans(head->title.span, "\"composite blade, field limits\"");
    is_word(head->edition, "C");
    is_word(head->dated, "2026-03-01");
    assert_string_equal(joined(head->models), "BM-3 BM-3A");
    assert_true(head->as_read);
    spans(head->judge, "judge as read");
    assert_string_equal(joined(head->cautions), "first second");
    spans(head->span, "book BM-3 \"composite blade, field limits\"");
    is_word(tree->uses->name, "common.stave");
    assert_null(tree->uses->next);
}

static void test_scale(void **state)
{
    (void)state;
    struct tree_scale *scale = read_whole(sample_book)->scale;
    struct tree_outcome *outcome = scale->outcomes;
    is_word(outcome->name, "serviceable");
    is_word(outcome->meaning, "continue in service");
    assert_null(outcome->tails);
    assert_false(outcome->grounds);
    outcome = outcome->next;
    is_word(outcome->name, "watch");
    assert_int_equal(outcome->tails->sort, TREE_AGAIN_WITHIN);
    is_quantity(*outcome->tails->quantity, "50", "h", "50");
    assert_int_equal(outcome->tails->next->sort, TREE_WITHIN);
    is_quantity(*outcome->tails->next->quantity, "3/2", "days", "3/2");
    spans(outcome->tails->next->span, "within 1 1/2 days");
    assert_null(outcome->tails->next->next);
    outcome = outcome->next;
    is_word(outcome->name, "shop");
    is_word(outcome->meaning, NULL);
    assert_true(outcome->grounds);
    assert_null(outcome->next);
    assert_int_equal(scale->no_flight_count, 1);
    spans(scale->no_flight, "no flight");
}

static void test_parts(void **state)
{
    (void)state;
    struct tree *tree = read_whole(sample_book);
    struct tree_part *part = tree->parts;
    is_word(part->name, "blade");
    is_word(part->help, "each");
    assert_true(part->has_count);
    is_quantity(part->least, "2", NULL, "2");
    is_quantity(part->most, "6", NULL, "6");
    assert_false(part->where_fitted);
    struct tree_axis *axis = part->axes;
    is_word(axis->name, "station");
    is_quantity(axis->from, "6", "in", "762/5"); /* 6 in = 152.4 mm; the unit stands at the end */
    is_quantity(axis->to, "52", "in", "6604/5");
    assert_true(axis->has_step);
    is_quantity(axis->step, "1/4", "in", "127/20");
    is_word(axis->help, "from the hub");
    axis = axis->next;
    is_word(axis->name, "chord");
    assert_false(axis->has_step);
    is_quantity(axis->to, "100", "%", "1");
    assert_string_equal(joined(part->sides), "camber thrust");
    is_word(part->meetings->axis, "chord");
    is_quantity(part->meetings->next->at, "100", "%", "1");
    assert_null(part->meetings->next->next);
    part = part->next;
    is_word(part->name, "boot");
    is_word(part->each_of, "blade");
    assert_true(part->where_fitted);
    assert_false(part->has_count);
    part = part->next;
    is_word(part->name, "spinner");
    assert_string_equal(joined(part->places), "dome attachment");
    assert_null(part->next);
    is_word(tree->searches->part, "blade");
    is_word(tree->searches->how, "both sides");
}

static void test_zones(void **state)
{
    (void)state;
    struct tree_zone *zone = read_whole(sample_book)->zones;
    is_word(zone->name, "mid");
    is_word(zone->part, "blade");
    assert_false(zone->ranges->from_open);
    assert_true(zone->ranges->to_open);
    is_quantity(zone->ranges->to, "34", "in", "4318/5");
    spans(zone->ranges->span, "station 14 in .. below 34 in");
    zone = zone->next;
    assert_true(zone->ranges->from_open);
    assert_false(zone->ranges->to_open);
    is_word(zone->ranges->next->axis, "chord");
    is_quantity(zone->ranges->next->from, "0", "%", "0");
    assert_string_equal(joined(zone->names), "camber");
    assert_null(zone->outside);
    zone = zone->next;
    assert_string_equal(joined(zone->outside), "cap mid");
    assert_null(zone->ranges);
    assert_null(zone->names);
    spans(zone->span, "zone skin  on blade  outside cap, mid");
    assert_null(zone->next);
}

static void test_measures_and_observations(void **state)
{
    (void)state;
    struct tree *tree = read_whole(sample_book);
    struct tree_measure *measure = tree->measures;
    is_word(measure->name, "depth");
    assert_int_equal(measure->stepping, TREE_READ_TO);
    is_quantity(measure->step, "1/1000", "in", "127/5000");
    is_word(measure->help, "deepest");
    measure = measure->next;
    assert_int_equal(measure->stepping, TREE_READ_UP_TO);
    is_quantity(measure->from, "0", "in", "0");
    assert_false(measure->smaller_is_worse);
    measure = measure->next;
    assert_int_equal(measure->stepping, TREE_READ_NEAREST);
    assert_true(measure->smaller_is_worse);
    is_quantity(measure->to, "90", "in2", "290322/5"); /* 90 * 25.4^2 mm2 */
    is_word(measure->help, "area");
    measure = measure->next;
    assert_int_equal(measure->stepping, TREE_STEP_NONE);
    is_quantity(measure->to, "10", NULL, "10");
    assert_null(measure->next);
    struct tree_observe *observe = tree->observes;
    assert_int_equal(observe->sort, TREE_ONE_OF);
    assert_string_equal(joined(observe->values), "spanwise slanted");
    observe = observe->next;
    assert_int_equal(observe->sort, TREE_LEVELS);
    assert_string_equal(joined(observe->values), "nothing trace thrown");
    is_word(observe->help, "ordered");
    observe = observe->next;
    assert_int_equal(observe->sort, TREE_YES_OR_NO);
    assert_null(observe->values);
    assert_null(observe->next);
}

static void test_kinds_and_curves(void **state)
{
    (void)state;
    struct tree *tree = read_whole(sample_book);
    struct tree_kind *kind = tree->kinds;
    assert_string_equal(joined(kind->names), "gouge nick");
    assert_string_equal(joined(kind->parts), "blade spinner");
    is_word(kind->records->name, "depth");
    is_word(kind->records->along, NULL);
    is_word(kind->records->next->name, "length");
    is_word(kind->records->next->along, "station");
    assert_null(kind->records->next->next);
    assert_string_equal(joined(kind->looks), "gone");
    assert_string_equal(joined(kind->cautions), "gloves");
    struct tree_curve *curve = tree->curves;
    is_word(curve->name, "deep");
    is_word(curve->axis, "station");
    assert_int_equal(curve->tails->sort, TREE_PER);
    is_word(curve->tails->string, "fig 2");
    is_quantity(curve->points->at, "14", "in", "1778/5");
    is_quantity(curve->points->value, "1/100", "in", "127/500");
    is_quantity(curve->points->next->value, "7/200", "in", "889/1000");
    spans(curve->points->next->span, "52in   0.035in");
    assert_null(curve->points->next->next);
    assert_string_equal(shown(tree->reckons->value),
                        "(- (/ (* length (+ depth 1/16in)) 2) (* 10% (min depth length)))");
}

static void test_limits(void **state)
{
    (void)state;
    struct tree_limit *limit = read_whole(sample_book)->limits;
    assert_string_equal(joined(limit->kinds), "gouge nick");
    assert_string_equal(joined(limit->zones), "skin mid");
    assert_false(limit->declared_gap);
    spans(limit->head, "limit gouge, nick on skin, mid   per \"Table 2\"");
    assert_memory_equal(bench.source->bytes + limit->span.to - 4, "shop", 4);
    struct tree_rung *rung = limit->rungs;
    is_word(rung->outcome, "serviceable");
    struct tree_condition *condition = rung->conditions;
    assert_int_equal(condition->sort, TREE_COMPARE);
    is_word(condition->name, "depth");
    assert_int_equal(condition->bounds->relation, TREE_UP_TO);
    assert_string_equal(shown(condition->bounds->limit), "deep");
    spans(condition->span, "depth up to deep");
    assert_int_equal(condition->next->bounds->relation, TREE_BELOW);
    assert_null(condition->next->next);
    rung = rung->next;
    condition = rung->conditions;
    assert_int_equal(condition->bounds->relation, TREE_OVER);
    assert_string_equal(shown(condition->bounds->limit), "(* 20% deep)");
    assert_int_equal(condition->bounds->next->relation, TREE_BELOW);
    spans(condition->bounds->next->span, "below 50 thou");
    assert_null(condition->bounds->next->next);
    condition = condition->next;
    assert_int_equal(condition->sort, TREE_IS);
    assert_string_equal(joined(condition->values), "spanwise slanted");
    condition = condition->next;
    assert_int_equal(condition->sort, TREE_IS_NOT);
    assert_string_equal(joined(condition->values), "slanted");
    condition = condition->next;
    assert_int_equal(condition->sort, TREE_YES);
    is_word(condition->name, "settles");
    condition = condition->next;
    assert_int_equal(condition->sort, TREE_NO);
    condition = condition->next;
    assert_int_equal(condition->sort, TREE_ANY);
    is_word(condition->name, "length");
    condition = condition->next;
    assert_int_equal(condition->sort, TREE_ANY_SIZE);
    assert_null(condition->next);
    assert_int_equal(rung->tails->sort, TREE_DO);
    is_word(rung->tails->next->string, "hm");
    rung = rung->next;
    assert_true(rung->otherwise);
    assert_false(rung->no_published_limit);
    is_word(rung->outcome, "shop");
    assert_null(rung->conditions);
    assert_null(rung->next);
    limit = limit->next;
    assert_true(limit->declared_gap);
    assert_null(limit->rungs);
    assert_int_equal(limit->tails->sort, TREE_NOTE);
    assert_null(limit->next);
}

static void test_checks(void **state)
{
    (void)state;
    struct tree_check *check = read_whole(sample_book)->checks;
    is_word(check->name, "twist");
    assert_string_equal(joined(check->parts), "blade");
    is_word(check->records->name, "rock");
    assert_string_equal(joined(check->looks), "hold it");
    assert_string_equal(joined(check->cautions), "slowly");
    assert_int_equal(check->rungs->conditions->bounds->relation, TREE_AT_LEAST);
    assert_true(check->rungs->next->otherwise);
    assert_true(check->rungs->next->no_published_limit);
    is_word(check->rungs->next->outcome, NULL);
    assert_null(check->next);
}

static void test_examples(void **state)
{
    (void)state;
    struct tree_example *example = read_whole(sample_book)->examples;
    is_word(example->title, "on the curve");
    is_word(example->tails->string, "2-1");
    struct tree_finding *first = example->findings, *second = first->next;
    assert_null(second->next);
    is_word(first->part, "blade");
    is_word(first->instance, "1");
    is_word(first->kind, "gouge");
    is_word(first->remark, "a # remark");
    spans(first->span, "blade 1 gouge at station 36 in chord 40 % camber, length 0 in");
    is_quantity(*first->places->range->from.middle, "36", "in", "4572/5");
    is_word(first->places->next->name, "chord");
    is_word(first->places->next->next->name, "camber");
    assert_null(first->places->next->next->range);
    struct tree_gives *gives = example->gives;
    assert_ptr_equal(gives->finding, first);
    assert_string_equal(joined(gives->outcomes), "serviceable");
    is_quantity(*gives->with->range->from.middle, "11/400", "in", "1397/2000");
    gives = gives->next;
    assert_ptr_equal(gives->finding, first);
    assert_string_equal(joined(gives->outcomes), "watch no published limit");
    assert_int_equal(gives->with->sort, TREE_READ_MISSING);
    assert_int_equal(gives->with->next->sort, TREE_READ_NO);
    assert_int_equal(gives->tails->sort, TREE_AGAIN_WITHIN);
    gives = gives->next;
    assert_true(gives->propeller);
    assert_null(gives->finding);
    assert_ptr_equal(gives->last, second);
    assert_null(gives->next);
    is_word(second->instance, NULL);
    is_word(second->remark, NULL);
}

static void test_readings_of_a_finding(void **state)
{
    (void)state;
    struct tree_finding *finding = read_whole(sample_book)->examples->findings->next;
    struct tree_reading *reading = finding->readings;
    assert_non_null(finding->places->range->to.middle);
    is_quantity(*finding->places->range->from.middle, "30", "in", "762");
    assert_int_equal(reading->sort, TREE_READ_RANGE);
    is_word(reading->name, "depth");
    assert_non_null(reading->range->from.doubt);
    is_quantity(*reading->range->from.middle, "27", "thou", "3429/5000");
    is_quantity(*reading->range->from.doubt, "2", "thou", "127/2500");
    is_quantity(*reading->range->to.middle, "3", "mm", "3");
    is_quantity(*reading->range->to.doubt, "1", "mm", "1");
    reading = reading->next;
    assert_int_equal(reading->sort, TREE_READ_VALUES);
    assert_string_equal(joined(reading->values), "spanwise slanted");
    reading = reading->next;
    assert_int_equal(reading->sort, TREE_READ_NO);
    reading = reading->next;
    assert_int_equal(reading->sort, TREE_READ_YES);
    reading = reading->next;
    assert_int_equal(reading->sort, TREE_READ_MISSING);
    is_word(reading->name, "dull");
    assert_null(reading->next);
}

static void test_line_ends_and_mark(void **state)
{
    (void)state;
    struct tree *tree = read_whole("\xEF\xBB\xBFstave 1\r\n\r\nmeasure a 0 .. 1 in\r\n"
                                   "limit k on z\r\n  shop a up to 1 in,\r\n   any b\r\n"
                                   "measure b 0 .. 1");
    is_word(tree->measures->next->name, "b");
    assert_non_null(tree->limits->rungs->conditions->next);
}

/* ---- the other entries ------------------------------------------------------------------- */

static struct span open_line(const char *text)
{
    bench_begin(&bench, text, strlen(text));
    assert_non_null(bench.source);
    return bench_span(&bench);
}

static void test_a_finding_inside_a_text(void **state)
{
    (void)state;
    struct span where = open_line("  - \"blade 2 nick, depth 1 mm ; was F-1\"\n# more");
    where.from = 5;
    where.to = 39;
    struct tree_finding *finding = read_finding(&bench.arena, where, &bench.problems);
    assert_string_equal(bench_problems(&bench), "");
    is_word(finding->kind, "nick");
    is_word(finding->remark, "was F-1");
    spans(finding->span, "blade 2 nick, depth 1 mm");
    assert_int_equal(finding->span.from, 5);
}

static struct tree_reading *answer(const char *text)
{
    return read_answer(&bench.arena, open_line(text), &bench.problems);
}

static void test_answers(void **state)
{
    (void)state;
    struct tree_reading *reading = answer("0.3 deg");
    assert_int_equal(reading->sort, TREE_READ_BARE);
    is_word(reading->name, NULL);
    is_quantity(*reading->range->from.middle, "3/10", "deg", "3/10");
    assert_null(reading->values);
    arena_end(&bench.arena);
    reading = answer("nothing or trace");
    assert_int_equal(reading->sort, TREE_READ_BARE);
    assert_string_equal(joined(reading->values), "nothing trace");
    arena_end(&bench.arena);
    reading = answer("yes");
    assert_int_equal(reading->sort, TREE_READ_BARE);
    assert_string_equal(joined(reading->values), "yes");
    arena_end(&bench.arena);
    reading = answer("not seen");
    assert_int_equal(reading->sort, TREE_READ_MISSING);
    is_word(reading->name, NULL);
    arena_end(&bench.arena);
    reading = answer("not moving");
    assert_int_equal(reading->sort, TREE_READ_NO);
    is_word(reading->name, "moving");
    arena_end(&bench.arena);
    reading = answer("rock 3 .. 4 deg, settles");
    assert_int_equal(reading->sort, TREE_READ_RANGE);
    is_word(reading->name, "rock");
    assert_int_equal(reading->next->sort, TREE_READ_YES);
    assert_null(reading->next->next);
}

static void test_ranges(void **state)
{
    (void)state;
    struct span where = open_line("30 +/- 1 .. 32 in");
    const struct tree_range *range = read_range(&bench.arena, where, &bench.problems);
    assert_non_null(range);
    is_quantity(*range->from.middle, "30", "in", "762");
    is_quantity(*range->from.doubt, "1", "in", "127/5");
    is_quantity(*range->to.middle, "32", "in", "4064/5");
    assert_null(range->to.doubt);
    arena_end(&bench.arena);
    where = open_line("3 in .. 4"); /* a unit is carried to what stands before it alone */
    range = read_range(&bench.arena, where, &bench.problems);
    assert_non_null(range);
    is_quantity(*range->from.middle, "3", "in", "381/5");
    is_quantity(*range->to.middle, "4", NULL, "4");
}

static void test_reserved_words(void **state)
{
    (void)state;
    bench_begin(&bench, "", 0);
    assert_true(read_is_reserved("add"));
    assert_true(read_is_reserved("zone"));
    assert_true(read_is_reserved("within"));
    assert_true(read_is_reserved("in"));
    assert_true(read_is_reserved("lbf-in"));
    assert_false(read_is_reserved("withi"));
    assert_false(read_is_reserved("withins"));
    assert_false(read_is_reserved("Zone"));
    assert_false(read_is_reserved("gouge"));
    assert_false(read_is_reserved(""));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_teardown(test_head, end),
        cmocka_unit_test_teardown(test_scale, end),
        cmocka_unit_test_teardown(test_parts, end),
        cmocka_unit_test_teardown(test_zones, end),
        cmocka_unit_test_teardown(test_measures_and_observations, end),
        cmocka_unit_test_teardown(test_kinds_and_curves, end),
        cmocka_unit_test_teardown(test_limits, end),
        cmocka_unit_test_teardown(test_checks, end),
        cmocka_unit_test_teardown(test_examples, end),
        cmocka_unit_test_teardown(test_readings_of_a_finding, end),
        cmocka_unit_test_teardown(test_line_ends_and_mark, end),
        cmocka_unit_test_teardown(test_a_finding_inside_a_text, end),
        cmocka_unit_test_teardown(test_answers, end),
        cmocka_unit_test_teardown(test_ranges, end),
        cmocka_unit_test_teardown(test_reserved_words, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
