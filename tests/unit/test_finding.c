/*
 * Findings: the sets of values and of extents that a line leaves possible, what `with` adds, and
 * the lengths that two typed ends allow. Faults of single lines are in test_record.c.
 */
#include "invented_book.h"
#include "read/read.h"

static struct bench bench;

static int begin(void **state)
{
    (void)state;
    bench_begin(&bench, invented_book);
    return 0;
}

static int end(void **state)
{
    (void)state;
    bench_end(&bench);
    return 0;
}

/* ---- resolving and showing ------------------------------------------------------------ */

static struct tree_finding *tree_of(const char *bytes, struct problems *problems)
{
    struct stave_text text = {"line", bytes, strlen(bytes)};
    struct source *source = source_open(&bench.arena, &text, SOURCE_RECORD_LIMIT, problems);
    struct span all = {source, 0, (uint32_t)source->size};
    struct tree_finding *tree = read_finding(&bench.arena, all, problems);
    assert_non_null(tree);
    return tree;
}

/* `with`: readings as they stand after `with`, or NULL. */
static struct finding *resolve(const char *line, const char *with, struct problems *problems)
{
    problems_begin(problems, &bench.arena);
    struct tree_finding *tree = tree_of(line, problems);
    struct tree_finding *more =
        with ? tree_of(text_format(&bench.arena, "x y, %s", with), problems) : NULL;
    return finding_resolve(&bench.arena, bench.book, tree, more ? more->readings : NULL, NULL, "F1",
                           problems);
}

static const char *told_of(const char *line, const char *with)
{
    struct problems problems;
    struct finding *finding = resolve(line, with, &problems);
    assert_int_equal(finding == NULL, problems.error_count > 0);
    return problems_told(&bench.arena, &problems);
}

static struct finding *good(const char *line, const char *with)
{
    struct problems problems;
    struct finding *finding = resolve(line, with, &problems);
    assert_string_equal(problems_told(&bench.arena, &problems), "");
    return finding;
}

/* In inches, for lengths (held in millimetres). */
static const char *inches(struct number value)
{
    return number_fraction(&bench.arena,
                           number_divide(&bench.arena, value, number_make(&bench.arena, 127, 5)));
}

static const char *const given_names[] = {"not", "exact", "doubt", "range"};

/* "exact 1/2..1/2 of 1/2 in", or the bits of an observation's values. */
static const char *reading_shown(const struct finding *finding, uint32_t index)
{
    const struct reading *reading = &finding->readings[index];
    assert_int_equal(reading->span.source == NULL, reading->given == GIVEN_NOT);
    if (finding->kind->records[index].observation) {
        return text_format(&bench.arena, "%s %u", given_names[reading->given],
                           (unsigned)reading->values);
    }
    return text_format(&bench.arena, "%s %s..%s of %s %s", given_names[reading->given],
                       inches(reading->low), inches(reading->high), inches(reading->middle),
                       reading->unit->name);
}

/* "point exact lo 36..36 hi 36..36 read 36..36 36..36 in" */
static const char *extent_shown(const struct finding *finding, uint32_t axis)
{
    const struct extent *extent = &finding->extents[axis];
    struct text text;
    text_begin(&text, &bench.arena);
    text_add(&text, extent->point ? "point " : "");
    text_add(&text, given_names[extent->given]);
    const struct number ends[] = {extent->lo_low,      extent->lo_high,     extent->hi_low,
                                  extent->hi_high,     extent->read_lo_low, extent->read_lo_high,
                                  extent->read_hi_low, extent->read_hi_high};
    static const char *const before[] = {" lo ", "..", " hi ", "..", " read ", "..", " ", ".."};
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        text_add(&text, before[i]);
        text_add(&text, inches(ends[i]));
    }
    text_add(&text, " ");
    text_add(&text, extent->unit->name);
    return text_done(&text);
}

/* ---- readings ---------------------------------------------------------------------------- */

static const struct {
    const char *line;
    uint32_t reading;
    const char *shown;
} readings[] = {
    {"blade 1 gouge, depth 27 thou", 0, "exact 27/1000..27/1000 of 27/1000 thou"},
    {"blade 1 gouge, depth 0.6858 mm", 0, "exact 27/1000..27/1000 of 27/1000 mm"},
    {"blade 1 gouge, depth 1/16 in", 0, "exact 1/16..1/16 of 1/16 in"},
    {"blade 1 gouge, length 1 1/16 in", 1, "exact 17/16..17/16 of 17/16 in"},
    {"blade 1 gouge, depth 0.018 +/- 0.002 in", 0, "doubt 2/125..1/50 of 9/500 in"},
    {"blade 1 gouge, depth 18 thou +/- 0.002 in", 0, "doubt 2/125..1/50 of 9/500 thou"},
    {"blade 1 gouge, depth 0.018 +/- 0 in", 0, "doubt 9/500..9/500 of 9/500 in"},
    /* the doubt is cut off at the ends of the measure: 0 in to 1 in */
    {"blade 1 gouge, depth 0.001 +/- 0.002 in", 0, "doubt 0..3/1000 of 1/1000 in"},
    {"blade 1 gouge, depth 0.9 +/- 0.2 in", 0, "doubt 7/10..1 of 9/10 in"},
    {"blade 1 gouge, depth 0.02 .. 0.03 in", 0, "range 1/50..3/100 of 1/50 in"},
    {"blade 1 gouge, depth 0 in", 0, "exact 0..0 of 0 in"},
    {"blade 1 gouge, depth 1 in", 0, "exact 1..1 of 1 in"},
    /* not given: the whole range */
    {"blade 1 gouge", 0, "not 0..1 of 0 in"},
    {"blade 1 gouge, depth not measured", 0, "not 0..1 of 0 in"},
    {"blade 1 gouge, depth not seen", 1, "not 0..46 of 0 in"},
    /* observations: bits of spanwise, slanted, chordwise; of yes, no */
    {"blade 1 crack, lie spanwise", 1, "exact 1"},
    {"blade 1 crack, lie chordwise or spanwise", 1, "range 5"},
    {"blade 1 crack, lie not seen", 1, "not 7"},
    {"blade 1 crack", 1, "not 7"},
    {"boot 1 tear, settles", 1, "exact 1"},
    {"boot 1 tear, settles yes", 1, "exact 1"},
    {"boot 1 tear, not settles", 1, "exact 2"},
    {"boot 1 tear, settles no", 1, "exact 2"},
    {"boot 1 tear, settles not seen", 1, "not 3"},
    {"boot 1 tear", 1, "not 3"},
};

static void test_readings(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof readings / sizeof *readings; i++) {
        const struct finding *finding = good(readings[i].line, NULL);
        assert_string_equal(reading_shown(finding, readings[i].reading), readings[i].shown);
    }
}

static void test_counts_and_ratios(void **state)
{
    (void)state;
    const struct finding *finding = good("blade 1 pitting, share 12 1/2 %, pits 7", NULL);
    assert_true(number_equal(finding->readings[1].low, NUMBER_INT(7)));
    assert_ptr_equal(finding->readings[1].unit, unit_none());
    struct number share = finding->readings[0].low;
    struct number whole = finding->kind->records[0].measure->to; /* 100 % */
    assert_true(
        number_equal(number_divide(&bench.arena, share, whole), number_make(&bench.arena, 1, 8)));
}

/* ---- where ------------------------------------------------------------------------------------ */

static const struct {
    const char *line;
    uint32_t axis;
    const char *shown;
} extents[] = {
    /* pitting has no length: a point, its doubt cut off at the part's ends (6 in to 52 in) */
    {"blade 1 pitting at station 36 in", 0,
     "point exact lo 36..36 hi 36..36 read 36..36 36..36 in"},
    {"blade 1 pitting at station 36 +/- 1/2 in", 0,
     "point doubt lo 71/2..73/2 hi 71/2..73/2 read 36..36 36..36 in"},
    {"blade 1 pitting at station 51.5 +/- 1 in", 0,
     "point doubt lo 101/2..52 hi 101/2..52 read 103/2..103/2 103/2..103/2 in"},
    {"blade 1 pitting at station 6 +/- 1 in", 0, "point doubt lo 6..7 hi 6..7 read 6..6 6..6 in"},
    {"blade 1 pitting at station 30 .. 32 in", 0,
     "range lo 30..30 hi 32..32 read 30..30 32..32 in"},
    {"blade 1 pitting at station 30 .. 30 in", 0,
     "range lo 30..30 hi 30..30 read 30..30 30..30 in"},
    {"blade 1 pitting at station 30 +/- 1 in .. 32 in", 0,
     "range lo 29..31 hi 32..32 read 30..30 32..32 in"},
    {"blade 1 pitting at station 30 +/- 2 .. 31 +/- 2 in", 0,
     "range lo 28..32 hi 29..33 read 30..30 31..31 in"},
    {"blade 1 pitting at station 762 mm .. 32 in", 0,
     "range lo 30..30 hi 32..32 read 30..30 32..32 mm"},
    {"blade 1 pitting", 0, "not lo 6..52 hi 6..52 read 6..52 6..52 in"},
    {"blade 1 pitting at chord 2 %", 0, "not lo 6..52 hi 6..52 read 6..52 6..52 in"},
    /* gouge records length along station: one number may be any place along it */
    {"blade 1 gouge at station 36 in, length 2 in", 0,
     "exact lo 34..36 hi 36..38 read 34..36 36..38 in"},
    {"blade 1 gouge at station 36 in, length 0 in", 0,
     "exact lo 36..36 hi 36..36 read 36..36 36..36 in"},
    {"blade 1 gouge at station 36 +/- 1 in, length 2 in", 0,
     "doubt lo 33..37 hi 35..39 read 34..36 36..38 in"},
    {"blade 1 gouge at station 36 in, length 2 +/- 0.5 in", 0,
     "exact lo 67/2..36 hi 36..77/2 read 34..36 36..38 in"},
    {"blade 1 gouge at station 36 in, length 1 .. 3 in", 0,
     "exact lo 33..36 hi 36..39 read 33..36 36..39 in"},
    {"blade 1 gouge at station 7 in, length 2 in", 0, "exact lo 6..7 hi 7..9 read 6..7 7..9 in"},
    {"blade 1 gouge at station 51 in, length 2 in", 0,
     "exact lo 49..51 hi 51..52 read 49..51 51..52 in"},
    {"blade 1 gouge at station 36 in", 0, "exact lo 6..36 hi 36..52 read 6..36 36..52 in"},
    {"blade 1 gouge at station 30 .. 32 in, length 2 in", 0,
     "range lo 30..30 hi 32..32 read 30..30 32..32 in"},
    {"blade 1 gouge, length 2 in", 0, "not lo 6..52 hi 6..52 read 6..52 6..52 in"},
    {"boot 1 tear at reach 5 in, stretch 2 in", 0, "exact lo 3..5 hi 5..7 read 3..5 5..7 in"},
};

static void test_extents(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof extents / sizeof *extents; i++) {
        const struct finding *finding = good(extents[i].line, NULL);
        assert_string_equal(extent_shown(finding, extents[i].axis), extents[i].shown);
    }
}

static void test_sides_and_places(void **state)
{
    (void)state;
    const struct finding *finding = good("blade 1 gouge at thrust station 36 in", NULL);
    assert_int_equal(finding->sides, 2);
    assert_true(finding->side_given);
    assert_int_equal(finding->places, 0);
    finding = good("blade 1 gouge", NULL);
    assert_int_equal(finding->sides, 3); /* either, when none is said */
    assert_false(finding->side_given);
    finding = good("spinner crack at attachment", NULL);
    assert_int_equal(finding->places, 2);
    assert_true(finding->place_given);
    assert_int_equal(finding->sides, 0);
    finding = good("spinner crack", NULL);
    assert_int_equal(finding->places, 3);
    assert_false(finding->place_given);
}

/* ---- parts --------------------------------------------------------------------------------------- */

static void test_parts(void **state)
{
    (void)state;
    const struct finding *finding = good("blade 6 gouge; the remark: a # b", NULL);
    assert_int_equal(finding->instance, 6);
    assert_string_equal(finding_part_name(&bench.arena, finding->part, 6), "blade 6");
    assert_string_equal(finding->text, "blade 6 gouge");
    assert_string_equal(finding->remark, "the remark: a # b");
    assert_string_equal(finding->id, "F1");
    finding = good("spinner crack", NULL);
    assert_int_equal(finding->instance, 0);
    assert_string_equal(finding_part_name(&bench.arena, finding->part, 0), "spinner");
    assert_int_equal(good("spinner 1 crack", NULL)->instance, 1);
    assert_string_equal(finding_part_name(&bench.arena, finding->part, 1), "spinner");
    assert_int_equal(good("boot 6 tear", NULL)->instance, 6);
    assert_string_equal(told_of("boot 7 tear", NULL),
                        "1:6+1 no-such-instance: there is no 'boot 7'; in this book they are "
                        "counted from 1 to 6");
}

/* Where a record says how many there are. */
static void test_counts(void **state)
{
    (void)state;
    const uint32_t instances[] = {4, 0, 1, 1};
    const struct finding_counts counts = {instances};
    const char *const lines[][2] = {
        {"blade 4 gouge", ""},
        {"blade 5 gouge",
         "1:7+1 no-such-instance: there is no 'blade 5'; this propeller has blade 1 "
         "to 4"},
        {"boot 1 tear", "1:1+4 not-fitted: 'boot' is not fitted on this propeller; mend what the "
                        "record says under 'fitted', or the part"},
        {"deflector dent", ""},
    };
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        struct problems problems;
        problems_begin(&problems, &bench.arena);
        struct tree_finding *tree = tree_of(lines[i][0], &problems);
        struct finding *finding =
            finding_resolve(&bench.arena, bench.book, tree, NULL, &counts, "F1", &problems);
        assert_string_equal(problems_told(&bench.arena, &problems), lines[i][1]);
        assert_int_equal(finding != NULL, lines[i][1][0] == '\0');
    }
}

/* ---- with ----------------------------------------------------------------------------------------- */

static void test_with(void **state)
{
    (void)state;
    const char *line = "blade 1 gouge at station 36 in camber, depth 10 thou, length 1 in";
    const struct finding *finding = good(line, "depth 0.02 in");
    assert_string_equal(reading_shown(finding, 0), "exact 1/50..1/50 of 1/50 in");
    assert_string_equal(reading_shown(finding, 1), "exact 1..1 of 1 in");
    finding = good(line, "depth not measured, length 2 in");
    assert_string_equal(reading_shown(finding, 0), "not 0..1 of 0 in");
    assert_string_equal(extent_shown(finding, 0),
                        "exact lo 34..36 hi 36..38 read 34..36 36..38 in");
    finding = good(line, "station 20 .. 21 in");
    assert_string_equal(extent_shown(finding, 0),
                        "range lo 20..20 hi 21..21 read 20..20 21..21 in");
    finding = good("blade 1 gouge at station 20 .. 21 in, length 1 in", "station 30 in");
    assert_string_equal(extent_shown(finding, 0),
                        "exact lo 29..30 hi 30..31 read 29..30 30..31 in");
    finding = good(line, "station not measured");
    assert_string_equal(extent_shown(finding, 0), "not lo 6..52 hi 6..52 read 6..52 6..52 in");
    finding = good(line, "thrust");
    assert_int_equal(finding->sides, 2);
    assert_int_equal(good("spinner crack at dome", "attachment, lie spanwise")->places, 2);
    assert_string_equal(finding->text, line);
}

static void test_with_faults(void **state)
{
    (void)state;
    const char *line = "blade 1 gouge at station 36 in camber, depth 10 thou, length 1 in";
    const char *const faults[][2] = {
        {"depth 1 thou, depth 2 thou",
         "1:20+12 given-twice: 'depth' is given twice (1:6 given here first); keep the one that was "
         "read; two readings are not added or averaged"},
        {"width 1 in",
         "1:6+5 not-recorded: 'gouge' does not record 'width'; it records: depth, length"},
        {"thrusst",
         "1:6+7 not-recorded: 'gouge' does not record 'thrusst'; it records: depth, length"},
        {"camber, thrust",
         "1:14+6 given-twice: 'side' is given twice (1:6 given here first); keep the "
         "one that was read; two readings are not added or averaged"},
        {"station 60 in", "1:14+5 outside-range: station 60 in is outside its range; in this book "
                          "'station' runs from 6 in to 52 in"},
        {"station 20 .. 23 in",
         "1:6+19 length-differs: along 'station' it is at least 3 in long, but 'length' is at most 1 in "
         "(1:55 the reading of 'length'); read again: it may be longer by 0.26 in, one step of each "
         "reading"},
        {"depth",
         "1:6+5 no-figure: 'depth' has no figure; it is a length from 0 in to 1 in; or write "
         "'depth not measured'"},
    };
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        assert_string_equal(told_of(line, faults[i][0]), faults[i][1]);
    }
}

/* ---- a length and two ends -------------------------------------------------------------------------- */

/* A decimal with three places from thousandths. */
static const char *thousandths(uint32_t value)
{
    return text_format(&bench.arena, "%u.%03u", value / 1000, value % 1000);
}

static uint32_t random_below(uint32_t *seed, uint32_t below)
{
    *seed = *seed * 1664525u + 1013904223u;
    return (uint32_t)((uint64_t)(*seed >> 4) * below >> 28);
}

static uint32_t least(uint32_t a, uint32_t b)
{
    return a < b ? a : b;
}

/*
 * Against whole numbers of thousandths of an inch: the ends may lie from_low .. from_high and
 * to_low .. to_high, the length low .. high. They agree unless the longest stretch is under the
 * least length, or the shortest over the greatest by more than the steps: 0.25 in of the
 * station and 0.01 in of the length.
 */
static void test_lengths_agree(void **state)
{
    (void)state;
    enum { CASES = 20000, FIRST = 6000, LAST = 52000, MOST = 46000 };
    uint32_t seed = 20261125, refusals = 0, edges = 0;
    for (uint32_t i = 0; i < CASES; i++) {
        struct arena_mark mark = arena_mark(&bench.arena);
        uint32_t from = FIRST + random_below(&seed, 40000), stretch = random_below(&seed, 5000);
        uint32_t to = least(from + stretch, LAST), doubt = random_below(&seed, 3) * 100;
        uint32_t offset = random_below(&seed, 4), length = to - from;
        uint32_t blur = random_below(&seed, 3) * 50;
        /* near the edges of the rule more often than not */
        if (offset == 0) {
            length += blur + 2 * doubt + random_below(&seed, 3);
        } else if (offset == 1) {
            uint32_t less = 260 + blur + 2 * doubt + 1 - random_below(&seed, 3);
            length -= least(less, length);
        } else {
            length = random_below(&seed, 5000);
        }
        length = least(length, MOST);
        uint32_t from_low = from - least(doubt, from - FIRST), from_high = from + doubt;
        uint32_t to_low = to - doubt, to_high = least(to + doubt, LAST);
        uint32_t low = length - least(blur, length), high = least(length + blur, MOST);
        bool short_of = to_high - from_low < low;
        bool beyond = to_low > from_high && to_low - from_high > high + 260;
        edges += to_high - from_low == low || to_low - from_high == high + 260;
        const char *line = text_format(
            &bench.arena, "blade 1 gouge at station %s +/- %s .. %s +/- %s in, length %s +/- %s in",
            thousandths(from), thousandths(doubt), thousandths(to), thousandths(doubt),
            thousandths(length), thousandths(blur));
        struct problems problems;
        struct finding *finding = resolve(line, NULL, &problems);
        assert_int_equal(finding == NULL, short_of || beyond);
        if (!finding) {
            assert_int_equal(problems.count, 1);
            assert_string_equal(problems.items[0].code, "length-differs");
            refusals++;
        }
        arena_release(&bench.arena, mark);
    }
    printf("%d cases, %u refused, %u at an edge of the rule\n", CASES, refusals, edges);
    assert_true(refusals > CASES / 10 && refusals < CASES - CASES / 10 && edges > CASES / 100);
}

static void test_lengths_at_the_edge(void **state)
{
    (void)state;
    good("blade 1 gouge at station 30 .. 32 in, length 2 in", NULL);
    good("blade 1 gouge at station 762 .. 812.8 mm, length 2 in", NULL);
    good("blade 1 gouge at station 30 .. 32.26 in, length 2 in", NULL);
    good("blade 1 gouge at station 30 .. 31 in, length not measured", NULL);
    good("blade 1 gouge at station 30 .. 31 in", NULL);
    assert_string_equal(
        told_of("blade 1 gouge at station 30 .. 32.2601 in, length 2 in", NULL),
        "1:18+24 length-differs: along 'station' it is at least 2.2601 in long, but 'length' is at most "
        "2 in (1:44 the reading of 'length'); read again: it may be longer by 0.26 in, one step of each "
        "reading");
    assert_string_equal(
        told_of("blade 1 gouge at station 30 .. 31.9999 in, length 2 in", NULL),
        "1:18+24 length-differs: along 'station' it is at most 1.9999 in long, but 'length' is at "
        "least 2 in (1:44 the reading of 'length'); read both ends and 'length' again");
    /* reach has no step, and nor has stretch */
    good("boot 1 tear at reach 1 .. 3 in, stretch 2 in", NULL);
    assert_string_equal(
        told_of("boot 1 tear at reach 1 .. 3.001 in, stretch 2 in", NULL),
        "1:16+19 length-differs: along 'reach' it is at least 2.001 in long, but 'stretch' is at most 2 "
        "in (1:37 the reading of 'stretch'); read both ends and 'stretch' again");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_readings, begin, end),
        cmocka_unit_test_setup_teardown(test_counts_and_ratios, begin, end),
        cmocka_unit_test_setup_teardown(test_extents, begin, end),
        cmocka_unit_test_setup_teardown(test_sides_and_places, begin, end),
        cmocka_unit_test_setup_teardown(test_parts, begin, end),
        cmocka_unit_test_setup_teardown(test_counts, begin, end),
        cmocka_unit_test_setup_teardown(test_with, begin, end),
        cmocka_unit_test_setup_teardown(test_with_faults, begin, end),
        cmocka_unit_test_setup_teardown(test_lengths_agree, begin, end),
        cmocka_unit_test_setup_teardown(test_lengths_at_the_edge, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
