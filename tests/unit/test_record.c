/*
 * Inspection records: what a whole one gives, and every fault with its place, its message
 * and what to do. No fault may be passed over: a reading that is lost could make an unfit
 * propeller fit.
 */
#include "invented_book.h"

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

/* ---- a whole record ------------------------------------------------------------------- */

/* Each answer as "check part: text" or "check part: - why", one on a line. */
static const char *answers_of(const struct record *record)
{
    struct text text;
    text_begin(&text, &bench.arena);
    for (uint32_t i = 0; i < record->answer_count; i++) {
        const struct answer *answer = &record->answers[i];
        assert_int_equal(answer->given && answer->check, answer->finding != NULL);
        text_add(&text, answer->check ? answer->check->name : "search");
        text_add(&text, " ");
        text_add(&text, finding_part_name(&bench.arena, answer->part, answer->instance));
        text_add(&text, answer->finding ? ": " : answer->given ? ": done" : ": - ");
        text_add(&text, answer->finding ? answer->finding->text
                        : answer->given ? ""
                                        : answer->why_missing);
        text_add(&text, "\n");
    }
    return text_done(&text);
}

static const char *findings_of(const struct record *record)
{
    struct text text;
    text_begin(&text, &bench.arena);
    for (uint32_t i = 0; i < record->finding_count; i++) {
        const struct finding *finding = record->findings[i];
        text_add(&text, finding->id);
        text_add(&text, " ");
        text_add(&text, finding->text);
        text_add(&text, "; ");
        text_add(&text, finding->remark);
        text_add(&text, "\n");
    }
    return text_done(&text);
}

static struct record *accepted(const char *bytes)
{
    struct record *record = bench_record(&bench, bytes);
    assert_string_equal(problems_told(&bench.arena, &record->problems), "");
    return record;
}

static void test_whole_record(void **state)
{
    (void)state;
    const struct record *record = accepted(invented_record);
    assert_false(record->single);
    assert_string_equal(record->propeller, "P-0417");
    assert_string_equal(record->model, "BM-3");
    assert_string_equal(record->aircraft, "invented 7");
    assert_string_equal(record->inspector, "demonstration");
    assert_string_equal(record->date, "2026-11-25");
    assert_string_equal(record->hours_text, "812.4 h");
    assert_null(record->remarks);
    assert_true(record->has_hours);
    assert_true(number_equal(record->hours, number_make(&bench.arena, 4062, 5)));
    assert_false(record->has_cycles);
    const uint32_t instances[] = {4, 4, 1, 0};
    const uint64_t fitted[] = {15, 15, 1, 0};
    for (uint32_t i = 0; i < 4; i++) {
        assert_int_equal(record->instances[i], instances[i]);
        assert_int_equal(record->fitted[i], fitted[i]);
        assert_true(record->fitted_known[i]);
    }
    assert_string_equal(answers_of(record), "twist blade 1: 0.3 deg\n"
                                            "twist blade 2: 0.2 deg\n"
                                            "twist blade 3: 0.6 deg\n"
                                            "twist blade 4: rock 0.2 deg\n"
                                            "leak blade 1: nothing\n"
                                            "leak blade 2: trace-at-shank or along-the-blade\n"
                                            "leak blade 3: grease nothing\n"
                                            "leak blade 4: - not answered\n"
                                            "play blade 1: rock 0.3 deg, settles\n"
                                            "play blade 2: settles, rock 0.3 deg\n"
                                            "play blade 3: not settles, rock 0.1 .. 0.3 deg\n"
                                            "play blade 4: - not answered\n"
                                            "firmness spinner: not moving\n"
                                            "firmness boot 1: no\n"
                                            "firmness boot 2: moving\n"
                                            "firmness boot 3: yes\n"
                                            "firmness boot 4: moving no\n"
                                            "search blade 1: done\n"
                                            "search blade 2: done\n"
                                            "search blade 3: done\n"
                                            "search blade 4: done\n"
                                            "search boot 1: done\n"
                                            "search boot 2: done\n"
                                            "search boot 3: done\n"
                                            "search boot 4: - not searched\n"
                                            "search spinner: done\n");
    assert_string_equal(
        findings_of(record),
        "F1 blade 1 gouge at station 36 in thrust, depth 27 thou, length 3/4 in; \n"
        "F-113 blade 2 crack at station 30 .. 32 in camber, length 2 in, lie not seen; \n"
        "F3 blade 4 nick at station 41 in chord 2 %, depth 0.018 +/- 0.002 in; rock strike, was "
        "F-112\n");
    assert_int_equal(span_line(&bench.arena, record->findings[1]->span), 26);
    assert_int_equal(span_line(&bench.arena, record->findings[2]->span), 27);
}

static uint64_t answer_values(const struct record *record, uint32_t answer, uint32_t reading)
{
    return record->answers[answer].finding->readings[reading].values;
}

/* What the answers mean: bits of the observation's values, "yes" being bit 0. */
static void test_answers(void **state)
{
    (void)state;
    const struct record *record = accepted(invented_record);
    assert_int_equal(answer_values(record, 4, 0), 1);  /* nothing */
    assert_int_equal(answer_values(record, 5, 0), 6);  /* trace-at-shank or along-the-blade */
    assert_int_equal(answer_values(record, 8, 1), 1);  /* settles */
    assert_int_equal(answer_values(record, 9, 1), 1);  /* settles, first */
    assert_int_equal(answer_values(record, 10, 1), 2); /* not settles */
    assert_int_equal(answer_values(record, 12, 0), 2); /* not moving */
    assert_int_equal(answer_values(record, 13, 0), 2); /* no */
    assert_int_equal(answer_values(record, 14, 0), 1); /* moving */
    assert_int_equal(answer_values(record, 15, 0), 1); /* yes */
    assert_int_equal(answer_values(record, 16, 0), 2); /* moving no */
    const struct reading *rock = &record->answers[10].finding->readings[0];
    assert_int_equal(rock->given, GIVEN_RANGE);
    assert_true(number_equal(rock->low, number_make(&bench.arena, 1, 10)));
    assert_true(number_equal(rock->high, number_make(&bench.arena, 3, 10)));
}

/* ---- what is no error -------------------------------------------------------------------- */

static bool says(const char *text, const char *line)
{
    return strstr(text, line) != NULL;
}

static const char *answers_with(const char *from, const char *to)
{
    return answers_of(accepted(with_change(&bench, invented_record, from, to)));
}

/* What was left out makes the inspection incomplete, and never anything else. */
static void test_left_out(void **state)
{
    (void)state;
    const char *twist = "  twist: [0.3 deg, 0.2 deg, 0.6 deg, rock 0.2 deg]\n";
    assert_true(says(answers_with(twist, ""), "twist blade 1: - not answered\n"));
    assert_true(
        says(answers_with(twist, "#  twist: [0.3 deg]\n"), "twist blade 4: - not answered\n"));
    assert_true(
        says(answers_with(twist, "  twist: not measured\n"), "twist blade 4: - not answered\n"));
    assert_true(
        says(answers_with("[0.3 deg", "[not  measured"), "twist blade 1: - not answered\n"));
    assert_true(
        says(answers_with("[0.3 deg", "[rock not measured"), "twist blade 1: - not answered\n"));
    assert_true(
        says(answers_with("    spinner: not moving\n", ""), "firmness spinner: - not answered\n"));
    assert_true(says(answers_with("searched: [blade 1 .. 4, ", "searched: ["),
                     "search blade 3: - not searched\n"));
    assert_true(
        says(answers_with("searched: [blade 1 .. 4, spinner, boot 1 .. 3]", "searched: none"),
             "search spinner: - not searched\n"));
    assert_true(says(answers_with("deflector: none", "deflector: not seen"),
                     "firmness deflector: - not said whether fitted\n"));
    assert_true(says(answers_with("deflector: none", "deflector: not seen"),
                     "search deflector: - not said whether fitted\n"));
    assert_true(says(answers_with("deflector: none", "deflector: all"),
                     "firmness deflector: - not answered\n"));
}

static void test_other_forms(void **state)
{
    (void)state;
    const char *const changes[][2] = {
        {"model: BM-3", "model: BM-3L"},
        {"model: BM-3", "model: 'BM-3'"},
        {"propeller: P-0417", "propeller: \"P \\u00e9 # 1: x\""},
        {"propeller: P-0417", "propeller: no"},
        {"hours: 812.4 h", "hours: 48744 min"},
        {"hours: 812.4 h", "hours: 0 h\ncycles: 12 cycles\nremarks: wet, looked at twice"},
        {"2026-11-25", "2024-02-29"},
        {"end: 3 findings", "# a last word\nend: 3 findings\n# and another"},
        {"searched: [blade 1 .. 4, spinner", "searched: [blade 1..3, blade 4,\n  spinner"},
        {"    boot: [no, moving, yes, moving no]",
         "    boot:\n    - no\n    - moving\n    - yes\n    - no"},
        {"  - blade 1 gouge",
         "  - \"blade 1 gouge at camber, depth 3 thou; a # b: c\"\n  #  - blade 1 gouge"},
        {"  - blade 1 gouge at station 36 in thrust, depth 27 thou, length 3/4 in",
         "  - spinner 1 dent, depth not measured"},
        {"  - blade 1 gouge at station 36 in thrust, depth 27 thou, length 3/4 in",
         "  - part: spinner\n    kind: crack\n    place: dome\n    lie: spanwise or slanted\n    id: a/1.b_c-d"},
        {"    station: 41 in\n", "    station: not measured\n    side: not seen\n"},
    };
    for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
        accepted(with_change(&bench, invented_record, changes[i][0], changes[i][1]));
    }
}

static void test_no_findings(void **state)
{
    (void)state;
    const char *text = strstr(invented_record, "findings:\n");
    struct text changed;
    text_begin(&changed, &bench.arena);
    text_add_bytes(&changed, invented_record, (size_t)(text - invented_record));
    text_add(&changed, "findings: none\nend: 0 findings\n");
    assert_int_equal(accepted(text_done(&changed))->finding_count, 0);
}

/* ---- boots, each on a blade ------------------------------------------------------------------ */

static void test_partly_fitted(void **state)
{
    (void)state;
    const char *text =
        with_change(&bench, invented_record, "boot: all", "boot: [boot 1, boot 3..4]");
    text = with_change(&bench, text, "boot 1 .. 3]", "boot 3]");
    text = with_change(&bench, text, "[no, moving, yes, moving no]", "[no, moving, yes]");
    const struct record *record = accepted(text);
    assert_int_equal(record->instances[1], 4);
    assert_int_equal(record->fitted[1], 13);
    const char *answers = answers_of(record);
    assert_true(
        says(answers, "firmness boot 1: no\nfirmness boot 3: moving\nfirmness boot 4: yes\n"));
    assert_true(says(answers, "search boot 1: - not searched\nsearch boot 3: done\n"
                              "search boot 4: - not searched\n"));
    const char *gouge = "blade 1 gouge at station 36 in thrust, depth 27 thou, length 3/4 in";
    accepted(with_change(&bench, text, gouge, "boot 3 tear, stretch 1 in"));
    record = bench_record(&bench, with_change(&bench, text, gouge, "boot 2 tear, stretch 1 in"));
    assert_string_equal(problems_told(&bench.arena, &record->problems),
                        "25:5+4 not-fitted: 'boot 2' is not fitted; mend what stands under "
                        "'fitted', or the part");
}

/* ---- what is refused --------------------------------------------------------------------------- */

#define GOUGE "  - blade 1 gouge at station 36 in thrust, depth 27 thou, length 3/4 in"

/* The record with the first `from` made `to`, and all that is said of it. */
static const struct {
    const char *from, *to, *told;
} refused[] = {
    /* the keys and the end */
    {"remark: rock", "remarc: rock",
     "32:5+6 unknown-key: unknown key 'remarc' for 'nick' on 'blade'; did you mean 'remark'?"},
    {"hours:", "hour:",
     "7:1+4 unknown-key: unknown key 'hour'; did you mean 'hours'?\n33:1+3 missing-key: the record has no 'hours'; write 'hours: ...' on a line of its own above this one"},
    {"aircraft:", "xyzzy:",
     "4:1+5 unknown-key: unknown key 'xyzzy'; a record has: propeller, model, book, aircraft, inspector, date, hours, cycles, fitted, searched, checks, findings, repaired, remarks, end, blades\n33:1+3 missing-key: the record has no 'aircraft'; write 'aircraft: ...' on a line of its own above this one"},
    {"model: BM-3\n", "",
     "32:1+3 missing-key: the record has no 'model'; write 'model: ...' on a line of its own above this one"},
    {"blades: 4\n", "",
     "32:1+3 missing-key: the record has no 'blades'; write 'blades: ...' on a line of its own above this one"},
    {"fitted:\n  boot: all\n  deflector: none\n", "",
     "30:1+3 missing-key: the record has no 'fitted'; write 'fitted: ...' on a line of its own above this one"},
    {"end: 3 findings\n", "",
     "32:35+1 cut-off: the record has no end: it may have been cut off; a whole record ends with 'end: N findings'"},
    {"end: 3 findings\n", "end: 3 findings\nremarks: late\n",
     "34:1+7 end: 'remarks' stands after the end of the record; move it above 'end'"},
    {"end: 3 findings", "end: 2 findings",
     "33:6+10 end: the record has 3 findings, but its end says 2; look for a finding that was lost or added, then mend the count"},
    {"end: 3 findings", "end: 3",
     "33:6+1 end: '3' is not a count of findings; write 'end: 3 findings'"},
    {"end: 3 findings", "end: 03 findings",
     "33:6+11 end: '03 findings' is not a count of findings; write 'end: 3 findings'"},
    {"end: 3 findings", "end: three findings",
     "33:6+14 end: 'three findings' is not a count of findings; write 'end: 3 findings'"},
    {"end: 3 findings", "end: [3]",
     "33:1+3 wrong-form: 'end' is not one text; write one value here, on one line"},
    {"  - part: blade 4\n", "  #- part: blade 4\n",
     "26:5+5 missing-key: a finding without 'part'; write 'part: ...' on a line of its own\n33:6+10 end: the record has 2 findings, but its end says 3; look for a finding that was lost or added, then mend the count"},
    {"  - blade 1 gouge at station 36 in thrust, depth 27 thou, length 3/4 in\n", "",
     "32:6+10 end: the record has 2 findings, but its end says 3; look for a finding that was lost or added, then mend the count"},
    {GOUGE, "#  - blade 1 gouge at station 36 in thrust, depth 27 thou, length 3/4 in",
     "33:6+10 end: the record has 2 findings, but its end says 3; look for a finding that was lost or added, then mend the count"},
    {"propeller: P-0417", "propeller: [a, b]",
     "1:1+9 wrong-form: 'propeller' is not one text; write one value here, on one line"},
    {"propeller: P-0417", "propeller:\n  a: b",
     "1:1+9 wrong-form: 'propeller' is not one text; write one value here, on one line"},
    {"hours: 812.4 h", "hours: 812.4 h\ncycles: 1200",
     "8:9+4 not-a-figure: 'cycles' has no unit; write one figure and its unit, such as '812.4 cycles'"},
    /* who, when, which book */
    {"book: BM-3 C", "book: BM-3 B",
     "3:7+6 other-edition: the record is for another edition: 'BM-3 B', not 'BM-3 C'; use the book that the inspection was made by, or inspect anew"},
    {"book: BM-3 C", "book: BM-3",
     "3:7+4 other-edition: the record is for another edition: 'BM-3', not 'BM-3 C'; use the book that the inspection was made by, or inspect anew"},
    {"book: BM-3 C", "book: BM-30 C",
     "3:7+7 other-book: the record is for another book: 'BM-30 C', not 'BM-3 C'; use the book that the inspection was made by, or inspect anew"},
    {"book: BM-3 C", "book: QM C",
     "3:7+4 other-book: the record is for another book: 'QM C', not 'BM-3 C'; use the book that the inspection was made by, or inspect anew"},
    {"book: BM-3 C", "book: BM-3  C",
     "3:7+7 other-edition: the record is for another edition: 'BM-3  C', not 'BM-3 C'; use the book that the inspection was made by, or inspect anew"},
    {"book: BM-3 C", "book: bm-3 c",
     "3:7+6 other-book: the record is for another book: 'bm-3 c', not 'BM-3 C'; use the book that the inspection was made by, or inspect anew"},
    {"model: BM-3", "model: BM-3M",
     "2:8+5 other-model: the book is not for model 'BM-3M'; did you mean 'BM-3'?"},
    {"model: BM-3", "model: other",
     "2:8+5 other-model: the book is not for model 'other'; it is for: BM-3, BM-3L"},
    {"2026-11-25", "2026-02-29",
     "6:7+10 not-a-date: '2026-02-29' is not a day of the calendar; write year, month and day as in 2026-11-25"},
    {"2026-11-25", "2026-13-01",
     "6:7+10 not-a-date: '2026-13-01' is not a day of the calendar; write year, month and day as in 2026-11-25"},
    {"2026-11-25", "2026-11-31",
     "6:7+10 not-a-date: '2026-11-31' is not a day of the calendar; write year, month and day as in 2026-11-25"},
    {"2026-11-25", "2026-00-10",
     "6:7+10 not-a-date: '2026-00-10' is not a day of the calendar; write year, month and day as in 2026-11-25"},
    {"2026-11-25", "2026-01-00",
     "6:7+10 not-a-date: '2026-01-00' is not a day of the calendar; write year, month and day as in 2026-11-25"},
    {"2026-11-25", "1900-02-29",
     "6:7+10 not-a-date: '1900-02-29' is not a day of the calendar; write year, month and day as in 2026-11-25"},
    {"2026-11-25", "0026-11-25",
     "6:7+10 not-a-date: '0026-11-25' is not a day of the calendar; write year, month and day as in 2026-11-25"},
    {"2026-11-25", "25.11.2026",
     "6:7+10 not-a-date: '25.11.2026' is not a day of the calendar; write year, month and day as in 2026-11-25"},
    {"2026-11-25", "2026-11-25 10:00",
     "6:7+16 not-a-date: '2026-11-25 10:00' is not a day of the calendar; write year, month and day as in 2026-11-25"},
    {"812.4 h", "812.4",
     "7:8+5 not-a-figure: 'hours' has no unit; write one figure and its unit, such as '812.4 h'"},
    {"812.4 h", "812.4 in",
     "7:8+8 not-a-figure: 'hours' has a unit of something else; write one figure and its unit, such as '812.4 h'"},
    {"812.4 h", "-812.4 h",
     "7:8+6 negative-figure: the figure '-812.4' is negative; no figure is below 0: write it without the minus sign if that is what was meant"},
    {"812.4 h", "812.4 +/- 1 h",
     "7:8+13 not-a-figure: 'hours' is not one exact figure; write one figure and its unit, such as '812.4 h'"},
    {"812.4 h", "812 .. 813 h",
     "7:8+12 not-a-figure: 'hours' is not one exact figure; write one figure and its unit, such as '812.4 h'"},
    {"812.4 h", "812,4 h", "7:8+5 bad-figure: a comma in the figure '812,4'; write 812.4"},
    {"812.4 h", "1_000 h", "7:8+5 bad-figure: '_' in the figure '1_000'; write 1000"},
    {"812.4 h", "812:30",
     "7:8+6 bad-figure: '812:30' is not a figure; write a time in one unit, such as 90 min or 1.5 h"},
    {"812.4 h", "1e3 h",
     "7:8+3 bad-figure: an exponent in the figure '1e3'; write the figure out in full"},
    {"812.4 h", "0x10 h",
     "7:8+4 bad-figure: '0x10' is not a decimal figure; write it with the digits 0 to 9"},
    {"812.4 h", "010 h", "7:8+3 bad-figure: the figure '010' begins with a zero; write 10"},
    {"812.4 h", "nan",
     "7:8+3 bad-figure: 'nan' is not a figure; write a figure, or leave out a reading that was not taken"},
    {"812.4 h", "many", "7:8+4 syntax: found 'many', expected a figure; -"},
    {"812.4 h", ".5 h", "7:8+2 bad-figure: '.5' has no digit before its point; write 0.5"},
    {"812.4 h", "5. h", "7:8+2 bad-figure: '5.' has no digit after its point; write 5"},
    {"812.4 h", "12 cycles",
     "7:8+9 not-a-figure: 'hours' has a unit of something else; write one figure and its unit, such as '812.4 h'"},
    {"812.4 h", "3 days",
     "7:8+6 not-a-figure: 'hours' has a unit of something else; write one figure and its unit, such as '812.4 h'"},
    {"812.4 h", "1234567890123456789 h",
     "7:8+19 figure-too-long: the figure '1234567890123456789' has more than 18 digits; write it with at most 18 digits"},
    /* counts, what is fitted, what was searched */
    {"blades: 4", "blades: 7",
     "8:9+1 outside-range: blades 7 is outside its range; this book is for 2 to 6 of them"},
    {"blades: 4", "blades: 1",
     "8:9+1 outside-range: blades 1 is outside its range; this book is for 2 to 6 of them"},
    {"blades: 4", "blades: four",
     "8:9+4 not-a-count: 'four' is not a whole number; write how many there are, such as 2"},
    {"blades: 4", "blades: 04",
     "8:9+2 not-a-count: '04' is not a whole number; write how many there are, such as 2"},
    {"blades: 4", "blades: -4",
     "8:9+2 not-a-count: '-4' is not a whole number; write how many there are, such as 2"},
    {"blades: 4", "blades: 4 blades",
     "8:9+8 not-a-count: '4 blades' is not a whole number; write how many there are, such as 2"},
    {"blades: 4", "blades: 3",
     "12:12+12 no-such-instance: 'blade 1 .. 4' names what this propeller does not have; it has blade 1 to 3\n14:10+41 wrong-count: the list has 4 answers, but this propeller has 3 of 'blade'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes\n15:9+70 wrong-count: the list has 4 answers, but this propeller has 3 of 'blade'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes\n17:5+23 wrong-count: the list has 4 answers, but this propeller has 3 of 'blade'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes\n23:11+28 wrong-count: the list has 4 answers, but this propeller has 3 of 'boot'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes\n27:17+1 no-such-instance: there is no 'blade 4'; this propeller has blade 1 to 3"},
    {"blades: 4", "blades: 5",
     "14:10+41 wrong-count: the list has 4 answers, but this propeller has 5 of 'blade'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes\n15:9+70 wrong-count: the list has 4 answers, but this propeller has 5 of 'blade'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes\n17:5+23 wrong-count: the list has 4 answers, but this propeller has 5 of 'blade'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes\n23:11+28 wrong-count: the list has 4 answers, but this propeller has 5 of 'boot'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes"},
    {"blades: 4", "blades: 4.0",
     "8:9+3 not-a-count: '4.0' is not a whole number; write how many there are, such as 2"},
    {"boot: all", "boot: yes",
     "10:9+3 wrong-form: this does not say which are fitted; write all, none, not seen, or a list such as [boot 1]"},
    {"boot: all", "boot: [blade 1]",
     "10:10+7 other-part: 'blade 1' is not a 'boot'; list the ones that are fitted: 'boot 1', 'boot 1 .. 2'"},
    {"boot: all", "boot: [boot 5]",
     "10:10+6 no-such-instance: 'boot 5' names what this propeller does not have; it has boot 1 to 4"},
    {"boot: all", "boot: [boot 2 .. 1]",
     "10:10+11 reversed-range: 'boot 2 .. 1' runs backwards; write the smaller number first"},
    {"boot: all", "boot: [boot 1, boot 1]",
     "10:18+6 given-twice: 'boot 1' is listed twice; list each once"},
    {"boot: all",
     "boot: [1, 2]", "10:10+1 unknown-name: unknown part '1'; parts of this book: blade, boot, spinner, deflector\n10:13+1 unknown-name: unknown part '2'; parts of this book: blade, boot, spinner, deflector"},
    {"boot: all", "boot: none",
     "12:35+11 not-fitted: 'boot 1 .. 3' was searched, but is not fitted; mend what stands under 'fitted', or this\n23:5+4 not-fitted: 'firmness' is answered, but no 'boot' is fitted; mend what stands under 'fitted', or remove the answer"},
    {"boot: all", "boots: all",
     "9:1+6 missing-key: 'fitted' does not say whether 'boot' is; write all, none, not seen, or a list\n10:3+5 unknown-key: unknown part 'boots'; did you mean 'boot'?"},
    {"boot: all", "blade: all",
     "9:1+6 missing-key: 'fitted' does not say whether 'boot' is; write all, none, not seen, or a list\n10:3+5 unknown-key: 'blade' is always fitted; the book asks this of: boot, deflector"},
    {"boot: all", "boot: []",
     "10:9+2 wrong-form: this does not say which are fitted; write all, none, not seen, or a list such as [boot 1]"},
    {"boot: all", "boot: [boot 1]",
     "12:35+11 not-fitted: 'boot 1 .. 3' was searched, but is not fitted; mend what stands under 'fitted', or this\n23:11+28 wrong-count: the list has 4 answers, but this propeller has 1 of 'boot'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes"},
    {"  boot: all\n  deflector: none\n", "  boot: all\n",
     "9:1+6 missing-key: 'fitted' does not say whether 'deflector' is; write all, none, not seen, or a list"},
    {"fitted:\n  boot: all\n  deflector: none\n", "fitted: all\n",
     "9:1+6 wrong-form: 'fitted' is not a map of parts; write one line below it for each part: 'boot: all'"},
    {"deflector: none", "deflector: [deflector]",
     "11:14+11 wrong-form: this does not say which are fitted; write all, none, not seen"},
    {"deflector: none", "deflector: some",
     "11:14+4 wrong-form: this does not say which are fitted; write all, none, not seen"},
    {"boot: all", "boot: [boot 1 .. 3]\n  blade: none",
     "11:3+5 unknown-key: 'blade' is always fitted; the book asks this of: boot, deflector\n24:11+28 wrong-count: the list has 4 answers, but this propeller has 3 of 'boot'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes"},
    {"  boot: all", "  boot: [boot 1 .. 3]",
     "23:11+28 wrong-count: the list has 4 answers, but this propeller has 3 of 'boot'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes"},
    {"searched: [", "searched: [deflector, ",
     "12:12+9 not-fitted: 'deflector' was searched, but is not fitted; mend what stands under 'fitted', or this"},
    {"searched: [", "searched: [blade 2, ",
     "12:21+12 given-twice: 'blade 1 .. 4' is listed twice; list each part once, when it was searched"},
    {"searched: [", "searched: [hub, ",
     "12:12+3 unknown-name: unknown part 'hub'; parts of this book: blade, boot, spinner, deflector"},
    {"searched: [", "searched: [blade, ",
     "12:12+5 not-parts: 'blade' does not name parts; write a part and its number, 'blade 1' or 'blade 1 .. 4'; a part that is one without a number"},
    {"searched: [", "searched: [blade one, ",
     "12:12+9 not-parts: 'blade one' does not name parts; write a part and its number, 'blade 1' or 'blade 1 .. 4'; a part that is one without a number"},
    {"searched: [", "searched: [spinner 2, ",
     "12:12+9 not-parts: 'spinner 2' does not name parts; write a part and its number, 'blade 1' or 'blade 1 .. 4'; a part that is one without a number"},
    {"searched: [", "searched: [blade 5, ",
     "12:12+7 no-such-instance: 'blade 5' names what this propeller does not have; it has blade 1 to 4"},
    {"searched: [", "searched: [blade 0, ",
     "12:12+7 no-such-instance: 'blade 0' names what this propeller does not have; it has blade 1 to 4"},
    {"searched: [", "searched: [blade 1 ... 4, ",
     "12:12+13 not-parts: 'blade 1 ... 4' does not name parts; write a part and its number, 'blade 1' or 'blade 1 .. 4'; a part that is one without a number"},
    {"searched: [", "searched: [blade 1..2, ",
     "12:24+12 given-twice: 'blade 1 .. 4' is listed twice; list each part once, when it was searched"},
    {"searched: [blade 1 .. 4, spinner, boot 1 .. 3]", "searched: blade 1",
     "12:1+8 wrong-form: 'searched' is not a list of parts; write '[blade 1 .. 4, spinner]', or none"},
    {"searched: [blade 1 .. 4, spinner, boot 1 .. 3]", "searched: []",
     "12:1+8 wrong-form: 'searched' is not a list of parts; write '[blade 1 .. 4, spinner]', or none"},
    {"searched: [", "searched: [[blade 1], ",
     "12:12+9 wrong-form: this is not one text; write one value here, on one line"},
    {"blade 1 .. 4, spinner", "blade 1 .. 4#, spinner",
     "12:24+1 comment-after-value: '#' within a value; a comment stands on a line of its own; a remark comes after ';'"},
    /* answers */
    {"[0.3 deg, 0.2 deg, 0.6 deg", "[0,3 deg, 0.2 deg, 0.6 deg",
     "14:10+41 wrong-count: the list has 5 answers, but this propeller has 4 of 'blade'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes"},
    {"[0.3 deg, 0.2 deg, 0.6 deg, rock 0.2 deg]", "[0.3 deg]",
     "14:10+9 wrong-count: the list has 1 answer, but this propeller has 4 of 'blade'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes"},
    {"[0.3 deg, 0.2 deg, 0.6 deg", "[0,3 deg, 0.6 deg",
     "14:11+1 missing-unit: no unit after '0'; 'rock' is an angle: write the unit that was read, such as deg"},
    {"[0.3 deg, 0.2 deg, 0.6 deg", "[0.3 deg, 0.6 deg", "14:10+32 wrong-count: the list has 3 answers, but this propeller has 4 of 'blade'; write one for each that is fitted, in order; 'not measured' where none was taken; an answer that holds a comma stands in quotes"},
    {"[0.3 deg, 0.2 deg", "[0.3, 0.2 deg",
     "14:11+3 missing-unit: no unit after '0.3'; 'rock' is an angle: write the unit that was read, such as deg"},
    {"[0.3 deg", "[-0.3 deg",
     "14:11+4 negative-figure: the figure '-0.3' is negative; no figure is below 0: write it without the minus sign if that is what was meant"},
    {"[0.3 deg", "[nan",
     "14:11+3 bad-figure: 'nan' is not a figure; write a figure, or leave out a reading that was not taken"},
    {"[0.3 deg", "[inf",
     "14:11+3 bad-figure: 'inf' is not a figure; write a figure, or leave out a reading that was not taken"},
    {"[0.3 deg", "[.inf",
     "14:11+1 odd-character: '.' means nothing here; write '..' between the two ends of a range"},
    {"[0.3 deg", "[3e-1 deg",
     "14:11+4 bad-figure: an exponent in the figure '3e-1'; write the figure out in full"},
    {"[0.3 deg", "[0x3 deg",
     "14:11+3 bad-figure: '0x3' is not a decimal figure; write it with the digits 0 to 9"},
    {"[0.3 deg", "[1:30",
     "14:11+4 bad-figure: '1:30' is not a figure; write a time in one unit, such as 90 min or 1.5 h"},
    {"[0.3 deg", "[010 deg", "14:11+3 bad-figure: the figure '010' begins with a zero; write 10"},
    {"[0.3 deg", "[1_0 deg", "14:11+3 bad-figure: '_' in the figure '1_0'; write 10"},
    {"[0.3 deg", "[11 deg",
     "14:11+6 outside-range: rock 11 deg is outside its range; in this book 'rock' runs from 0 deg to 10 deg"},
    {"[0.3 deg", "[0.3 in",
     "14:11+6 wrong-dimension: 'rock' is an angle, but '0.3 in' is a length; write it in a unit such as deg"},
    {"[0.3 deg", "[nothing",
     "14:11+7 no-figure: 'rock' has no figure; it is an angle from 0 deg to 10 deg; or write 'rock not measured'"},
    {"[0.3 deg", "[yes",
     "14:11+3 no-figure: 'rock' has no figure; it is an angle from 0 deg to 10 deg; or write 'rock not measured'"},
    {"[0.3 deg", "[no",
     "14:11+2 no-figure: 'rock' has no figure; it is an angle from 0 deg to 10 deg; or write 'rock not measured'"},
    {"[0.3 deg", "[0.5 .. 0.3 deg",
     "14:11+14 reversed-range: the range '0.5 .. 0.3 deg' runs backwards; write the smaller end first"},
    {"[0.3 deg", "['0.3 deg, settles'",
     "14:21+7 not-recorded: 'twist' does not record 'settles'; it records: rock"},
    {"[0.3 deg", "['0.3 deg, rock 0.4 deg'",
     "14:21+12 given-twice: 'rock' is given twice (14:12 given here first); keep the one that was read; two readings are not added or averaged"},
    {"[0.3 deg", "[depth 0.3 in",
     "14:11+5 not-recorded: 'twist' does not record 'depth'; it records: rock"},
    {"[0.3 deg", "[0.3 deg#",
     "14:18+1 comment-after-value: '#' within a value; a comment stands on a line of its own; a remark comes after ';'"},
    {"twist: [0.3 deg, 0.2 deg, 0.6 deg, rock 0.2 deg]", "twist: 0.3 deg",
     "14:10+7 wrong-form: 'twist' is not a list of answers; write one for each blade that is fitted, in order, in brackets: 4 of them"},
    {"twist: [", "twits: [", "14:3+5 unknown-key: unknown check 'twits'; did you mean 'twist'?"},
    {"twist: [", "gouge: [",
     "14:3+5 unknown-key: 'gouge' is a kind of damage, not a check; checks of this book: twist, leak, play, firmness"},
    {"leak: [nothing", "leak: [nothink",
     "15:10+7 unknown-name: unknown value 'nothink' of 'grease'; did you mean 'nothing'?"},
    {"leak: [nothing", "leak: [on",
     "15:10+2 syntax: found 'on', expected an answer; 'on' is a word of the language and cannot be a name"},
    {"leak: [nothing", "leak: [0.3 deg",
     "15:10+7 no-value: 'grease' has no value that it can have; 'grease' is one of: nothing, trace-at-shank, along-the-blade; or write 'grease not seen'"},
    {"leak: [nothing", "leak: [nothing or nothing",
     "15:21+7 given-twice: 'nothing' is named twice; name each value that it may have once"},
    {"leak: [nothing", "leak: [not nothing",
     "15:14+7 not-recorded: 'leak' does not record 'nothing'; it records: grease"},
    {"spinner: not moving", "spinner: [not moving]",
     "22:5+7 wrong-form: 'spinner' is not one text; write one value here, on one line"},
    {"    spinner: not moving\n", "    deflector: moving\n",
     "22:5+9 not-fitted: 'firmness' is answered, but no 'deflector' is fitted; mend what stands under 'fitted', or remove the answer"},
    {"    spinner: not moving\n", "    hub: moving\n",
     "22:5+3 unknown-key: 'firmness' is not made on 'hub'; it is made on: spinner, deflector, boot"},
    {"  firmness:\n    spinner: not moving\n    boot: [no, moving, yes, moving no]\n",
     "  firmness: no\n",
     "21:3+8 wrong-form: 'firmness' is made on several parts; write one line below it for each of: spinner, deflector, boot"},
    {"- rock 0.3 deg, settles", "- 0.3 deg, settles",
     "17:7+7 no-name: a reading without a name; 'play' records: rock, settles"},
    {"- rock 0.3 deg, settles", "- rock 0.3 deg settles",
     "17:20+7 syntax: found 'settles', expected '..', '+/-', ',' or the end; -"},
    {"- rock 0.3 deg, settles", "- rock 0.3 deg, rock 0.4 deg",
     "17:21+12 given-twice: 'rock' is given twice (17:7 given here first); keep the one that was read; two readings are not added or averaged"},
    {"- rock 0.3 deg, settles", "- maybe",
     "17:7+5 no-name: a reading without a name; 'play' records: rock, settles"},
    /* findings */
    {GOUGE, "  - blad 1 gouge, depth 1 thou",
     "25:5+4 unknown-name: unknown part 'blad'; did you mean 'blade'?"},
    {GOUGE, "  - blade 1 gouje, depth 1 thou",
     "25:13+5 unknown-name: unknown kind 'gouje'; did you mean 'gouge'?"},
    {GOUGE, "  - blade 1 twist, rock 0.3 deg",
     "25:13+5 check-as-finding: 'twist' is a check, not a kind of damage; answer it under 'checks'"},
    {GOUGE, "  - boot 1 gouge, depth 1 thou",
     "25:12+5 not-on-part: the book knows no 'gouge' on 'boot'; it is on: blade"},
    {GOUGE, "  - blade gouge, depth 1 thou",
     "25:5+5 no-number: no number after 'blade'; write which one it is, such as 'blade 1'"},
    {GOUGE, "  - blade 5 gouge, depth 1 thou",
     "25:11+1 no-such-instance: there is no 'blade 5'; this propeller has blade 1 to 4"},
    {GOUGE, "  - blade 0 gouge, depth 1 thou",
     "25:11+1 no-such-instance: there is no 'blade 0'; this propeller has blade 1 to 4"},
    {GOUGE, "  - blade 01 gouge, depth 1 thou",
     "25:11+2 bad-figure: the figure '01' begins with a zero; write 1"},
    {GOUGE, "  - spinner 2 crack, length 1 in",
     "25:13+1 no-such-instance: there is no 'spinner 2'; there is one 'spinner': leave out its number"},
    {GOUGE, "  - deflector dent, depth 0.01 in",
     "25:5+9 not-fitted: 'deflector' is not fitted on this propeller; mend what the record says under 'fitted', or the part"},
    {GOUGE, "  - blade 1.5 gouge, depth 1 thou",
     "25:11+3 bad-figure: '1.5' is not the number of a part; parts are numbered 1, 2, 3 and so on"},
    {GOUGE, "  - blade 1 gouge at station 36, depth 1 thou",
     "25:30+2 missing-unit: no unit after '36'; 'station' is a length: write the unit that was read, such as in"},
    {GOUGE, "  - blade 1 gouge at station 60 in, depth 1 thou",
     "25:30+5 outside-range: station 60 in is outside its range; in this book 'station' runs from 6 in to 52 in"},
    {GOUGE, "  - blade 1 gouge at station 36 deg, depth 1 thou",
     "25:30+6 wrong-dimension: 'station' is a length, but '36 deg' is an angle; write it in a unit such as in"},
    {GOUGE, "  - blade 1 gouge at station 36 .. 34 in, depth 1 thou",
     "25:30+11 reversed-range: the range '36 .. 34 in' runs backwards; write the smaller end first"},
    {GOUGE, "  - blade 1 gouge at station -36 in, depth 1 thou",
     "25:30+3 negative-figure: the figure '-36' is negative; no figure is below 0: write it without the minus sign if that is what was meant"},
    {GOUGE, "  - blade 1 gouge at station 36 in station 37 in, depth 1 thou",
     "25:36+13 given-twice: 'station' is given twice (25:22 given here first); keep the one that was read; two readings are not added or averaged"},
    {GOUGE, "  - blade 1 gouge at stattion 36 in, depth 1 thou",
     "25:22+8 unknown-name: 'blade' has no axis 'stattion'; did you mean 'station'?"},
    {GOUGE, "  - blade 1 gouge at chord 2, depth 1 thou",
     "25:28+1 missing-unit: no unit after '2'; 'chord' is a ratio: write the unit that was read, such as %"},
    {GOUGE, "  - blade 1 gouge at camber thrust, depth 1 thou",
     "25:29+6 given-twice: 'side' is given twice (25:22 given here first); keep the one that was read; two readings are not added or averaged"},
    {GOUGE, "  - blade 1 gouge at thrusst, depth 1 thou",
     "25:22+7 unknown-name: unknown place 'thrusst' on 'blade'; did you mean 'thrust'?"},
    {GOUGE, "  - blade 1 gouge at dome, depth 1 thou",
     "25:22+4 unknown-name: unknown place 'dome' on 'blade'; places on it are said by: station, chord, camber, thrust"},
    {GOUGE, "  - blade 1 gouge at station, depth 1 thou",
     "25:22+7 no-figure: 'station' has no figure; write it with its unit, or leave it out when not known"},
    {GOUGE, "  - spinner crack at station 3 in, length 1 in",
     "25:22+7 unknown-name: 'spinner' has no axis 'station'; its places: dome, attachment"},
    {GOUGE, "  - spinner crack at dome attachment, length 1 in",
     "25:27+10 given-twice: 'place' is given twice (25:22 given here first); keep the one that was read; two readings are not added or averaged"},
    {GOUGE, "  - blade 1 gouge, depth 0.02",
     "25:26+4 missing-unit: no unit after '0.02'; 'depth' is a length: write the unit that was read, such as in"},
    {GOUGE, "  - blade 1 gouge, depth -0.02 in",
     "25:26+5 negative-figure: the figure '-0.02' is negative; no figure is below 0: write it without the minus sign if that is what was meant"},
    {GOUGE, "  - blade 1 gouge, depth 2 in",
     "25:26+4 outside-range: depth 2 in is outside its range; in this book 'depth' runs from 0 in to 1 in"},
    {GOUGE, "  - blade 1 gouge, depth 2 deg",
     "25:26+5 wrong-dimension: 'depth' is a length, but '2 deg' is an angle; write it in a unit such as in"},
    {GOUGE, "  - blade 1 gouge, depth 0.02 in, depth 0.03 in",
     "25:35+13 given-twice: 'depth' is given twice (25:20 given here first); keep the one that was read; two readings are not added or averaged"},
    {GOUGE, "  - blade 1 gouge, width 0.02 in",
     "25:20+5 not-recorded: 'gouge' does not record 'width'; it records: depth, length"},
    {GOUGE, "  - blade 1 gouge, dept 0.02 in",
     "25:20+4 not-recorded: 'gouge' does not record 'dept'; did you mean 'depth'?"},
    {GOUGE, "  - blade 1 gouge, station 36 in",
     "25:20+7 not-recorded: 'gouge' does not record 'station'; it says where: write it after 'at', before the first comma"},
    {GOUGE, "  - blade 1 gouge, thrust",
     "25:20+6 not-recorded: 'gouge' does not record 'thrust'; it says where: write it after 'at', before the first comma"},
    {GOUGE, "  - blade 1 gouge, depth",
     "25:20+5 no-figure: 'depth' has no figure; it is a length from 0 in to 1 in; or write 'depth not measured'"},
    {GOUGE, "  - blade 1 gouge, depth deep",
     "25:20+10 no-figure: 'depth' has no figure; it is a length from 0 in to 1 in; or write 'depth not measured'"},
    {GOUGE, "  - blade 1 gouge, not depth",
     "25:20+9 no-figure: 'depth' has no figure; it is a length from 0 in to 1 in; or write 'depth not measured'"},
    {GOUGE, "  - blade 1 gouge, depth 0.03 .. 0.02 in",
     "25:26+15 reversed-range: the range '0.03 .. 0.02 in' runs backwards; write the smaller end first"},
    {GOUGE, "  - blade 1 gouge, depth 0.01 +/- 0.01 .. 0.02 in",
     "25:26+24 doubted-range: the range of 'depth' has a doubt at an end; write the widest range that it can be"},
    {GOUGE, "  - blade 1 gouge, depth 0.01 +/- 2 deg",
     "25:26+4 wrong-dimension: 'depth' is a length, but '0.01' is an angle; write it in a unit such as in\n25:35+5 wrong-dimension: 'depth' is a length, but '2 deg' is an angle; write it in a unit such as in"},
    {GOUGE, "  - blade 1 gouge, depth 0,020 in",
     "25:26+5 bad-figure: a comma in the figure '0,020'; write 0.020"},
    {GOUGE, "  - blade 1 gouge, depth nan",
     "25:26+3 bad-figure: 'nan' is not a figure; write a figure, or leave out a reading that was not taken"},
    {GOUGE, "  - blade 1 gouge, depth inf in",
     "25:26+3 bad-figure: 'inf' is not a figure; write a figure, or leave out a reading that was not taken"},
    {GOUGE, "  - blade 1 gouge, depth 1e-2 in",
     "25:26+4 bad-figure: an exponent in the figure '1e-2'; write the figure out in full"},
    {GOUGE, "  - blade 1 gouge, depth 0x10 thou",
     "25:26+4 bad-figure: '0x10' is not a decimal figure; write it with the digits 0 to 9"},
    {GOUGE, "  - blade 1 gouge, depth 010 thou",
     "25:26+3 bad-figure: the figure '010' begins with a zero; write 10"},
    {GOUGE, "  - blade 1 gouge, depth 1_0 thou",
     "25:26+3 bad-figure: '_' in the figure '1_0'; write 10"},
    {GOUGE, "  - blade 1 gouge, depth 1:30",
     "25:26+4 bad-figure: '1:30' is not a figure; write a time in one unit, such as 90 min or 1.5 h"},
    {GOUGE, "  - blade 1 gouge, depth 1-1/16 in",
     "25:26+6 bad-figure: a hyphen in the figure '1-1/16'; write 1 1/16"},
    {GOUGE, "  - blade 1 gouge, depth 1/3 in",
     "25:26+3 bad-fraction: '1/3' is not in parts of an inch rule; the parts are 2, 4, 8, 16, 32, 64 or 128; write another one as a decimal"},
    {GOUGE, "  - blade 1 gouge, depth no",
     "25:20+8 no-figure: 'depth' has no figure; it is a length from 0 in to 1 in; or write 'depth not measured'"},
    {GOUGE, "  - blade 1 gouge, depth on in",
     "25:26+2 syntax: found 'on', expected an answer, ',', a remark or the end; 'on' is a word of the language and cannot be a name"},
    {GOUGE, "  - blade 1 gouge, depth .02 in",
     "25:26+3 bad-figure: '.02' has no digit before its point; write 0.02"},
    {GOUGE, "  - blade 1 gouge, depth 0.02 in length 1 in",
     "25:34+6 syntax: found 'length', expected '..', '+/-', ',', a remark or the end; -"},
    {GOUGE, "  - blade 1 gouge, depth 0.02 in,",
     "25:34+1 syntax: found the end, expected a reading; -"},
    {GOUGE, "  - blade 1 gouge, depth 0.02 inch",
     "25:31+4 unknown-unit: unknown unit 'inch'; did you mean 'in'?"},
    {GOUGE,
     "  - blade 1 gouge, depth \xE2\x88\x92"
     "0.02 in",
     "25:26+1 odd-character: a minus sign of another sort (U+2212); write '-'"},
    {GOUGE, "  - blade 1 crack, length 1 in, lie sideways",
     "25:37+8 unknown-name: unknown value 'sideways' of 'lie'; 'lie' is one of: spanwise, slanted, chordwise; or write 'lie not seen'"},
    {GOUGE, "  - blade 1 crack, lie 3 in",
     "25:20+8 no-value: 'lie' has no value that it can have; 'lie' is one of: spanwise, slanted, chordwise; or write 'lie not seen'"},
    {GOUGE, "  - blade 1 crack, lie",
     "25:20+3 no-value: 'lie' has no value that it can have; 'lie' is one of: spanwise, slanted, chordwise; or write 'lie not seen'"},
    {GOUGE, "  - blade 1 crack, lie spanwise or spanwise",
     "25:36+8 given-twice: 'spanwise' is named twice; name each value that it may have once"},
    {GOUGE, "  - blade 1 crack, not lie",
     "25:20+7 no-value: 'lie' has no value that it can have; 'lie' is one of: spanwise, slanted, chordwise; or write 'lie not seen'"},
    {GOUGE, "  - blade 1 crack, lie chordwize",
     "25:24+9 unknown-name: unknown value 'chordwize' of 'lie'; did you mean 'chordwise'?"},
    {GOUGE, "  - blade 1 pitting, pits 3 in",
     "25:27+4 wrong-dimension: 'pits' is a count, but '3 in' is a length; write a number without a unit"},
    {GOUGE, "  - blade 1 pitting, share 0.1",
     "25:28+3 missing-unit: no unit after '0.1'; 'share' is a ratio: write the unit that was read, such as %"},
    {GOUGE, "  - blade 1 pitting, pits 3 %",
     "25:27+3 wrong-dimension: 'pits' is a count, but '3 %' is a ratio; write a number without a unit"},
    {GOUGE, "  - blade 1 gouge, depth 27 thou# length 3/4 in",
     "25:33+15 comment-after-value: '#' within a value; a comment stands on a line of its own; a remark comes after ';'"},
    {GOUGE, "  - blade 1 gouge, depth 27 thou # length 3/4 in",
     "25:34+15 comment-after-value: a comment after a value; a comment stands on a line of its own; a text that holds ' #' stands in double quotes"},
    {GOUGE, "  - \"blade 1 gouge, depth 27 thou # length 3/4 in\"",
     "25:35+15 comment-after-value: '#' within a value; a comment stands on a line of its own; a remark comes after ';'"},
    {GOUGE,
     "  - \"blade 1 gouge\\x2c depth 27 thou\"", "25:6+31 escapes: an escape or a doubled quote in a text that is read as it stands; write it without backslashes and without inner quotes"},
    {GOUGE, "  - 'blade 1 gouge, depth 27 thou; the ''big'' one'",
     "25:6+45 escapes: an escape or a doubled quote in a text that is read as it stands; write it without backslashes and without inner quotes"},
    {GOUGE, "  - blade 1 gouge, depth 27 thou; note: big",
     "25:5+34 not-an-id: 'blade 1 gouge, depth 27 thou; note' is not the id of a finding; an id is up to 32 letters, digits and - . _ /; a finding line that holds a colon and a blank stands in double quotes"},
    {GOUGE, "  - blade 1 gouge at station 30 .. 31 in, length 2 in",
     "25:22+19 length-differs: along 'station' it is at most 1 in long, but 'length' is at least 2 in (25:43 the reading of 'length'); read both ends and 'length' again"},
    {GOUGE, "  - blade 1 gouge at station 30 .. 36 in, length 2 in",
     "25:22+19 length-differs: along 'station' it is at least 6 in long, but 'length' is at most 2 in (25:43 the reading of 'length'); read again: it may be longer by 0.26 in, one step of each reading"},
    {GOUGE, "  - blade 1 gouge at station 30 +/- 0.25 .. 31 +/- 0.25 in, length 2 in",
     "25:22+37 length-differs: along 'station' it is at most 1.5 in long, but 'length' is at least 2 in (25:61 the reading of 'length'); read both ends and 'length' again"},
    {GOUGE, "  - blade 1 gouge at station 762 .. 787.4 mm, length 2 in",
     "25:22+23 length-differs: along 'station' it is at most 25.4 mm long, but 'length' is at least 50.8 mm (25:47 the reading of 'length'); read both ends and 'length' again"},
    {GOUGE, "  - blade 1 gouge at station 30 .. 31 in, length 1.5 .. 2 in",
     "25:22+19 length-differs: along 'station' it is at most 1 in long, but 'length' is at least 1.5 in (25:43 the reading of 'length'); read both ends and 'length' again"},
    {GOUGE, "  - blade 1 gouge at station 30 .. 33 in, length 2 +/- 0.5 in",
     "25:22+19 length-differs: along 'station' it is at least 3 in long, but 'length' is at most 2.5 in (25:43 the reading of 'length'); read again: it may be longer by 0.26 in, one step of each reading"},
    {GOUGE, "  -  [a, b]",
     "25:6+6 wrong-form: a list where a finding belongs; write the finding as a line, or as a map of its names"},
    {GOUGE, "  - F 1: blade 1 gouge",
     "25:5+3 not-an-id: 'F 1' is not the id of a finding; an id is up to 32 letters, digits and - . _ /; a finding line that holds a colon and a blank stands in double quotes"},
    {GOUGE, "  - F2: blade 1 gouge\n  - blade 1 gouge",
     "26:5+13 doubled-id: id 'F2' is used twice (25:9 it stands for this one too); findings without an id are F1, F2 and so on, by their place\n34:6+10 end: the record has 4 findings, but its end says 3; look for a finding that was lost or added, then mend the count"},
    {"F-113:", "F3:",
     "27:5+13 doubled-id: id 'F3' is used twice (26:9 it stands for this one too); findings without an id are F1, F2 and so on, by their place"},
    {"F-113:", "-F:",
     "26:5+2 not-an-id: '-F' is not the id of a finding; an id is up to 32 letters, digits and - . _ /; a finding line that holds a colon and a blank stands in double quotes"},
    {GOUGE, "  - X1: [a]",
     "25:5+2 wrong-form: 'X1' is not one text; write one value here, on one line"},
    {"findings:\n", "findings: none\nremarks:\n",
     "25:1+7 wrong-form: 'remarks' is not one text; write one value here, on one line\n34:6+10 end: the record has 0 findings, but its end says 3; look for a finding that was lost or added, then mend the count"},
    {"    kind: nick\n", "",
     "27:5+4 missing-key: a finding without 'kind'; write 'kind: ...' on a line of its own"},
    {"    kind: nick\n", "    kind: nikc\n",
     "28:11+4 unknown-name: unknown kind 'nikc'; did you mean 'nick'?"},
    {"    kind: nick\n", "    kind: nick gouge\n",
     "28:11+10 wrong-form: 'nick gouge' is not one kind of damage; write one kind of damage"},
    {"part: blade 4", "part: blade 4 5",
     "27:11+9 wrong-form: 'blade 4 5' is not a part and its number; write a part and its number"},
    {"part: blade 4", "part: blade 9",
     "27:17+1 no-such-instance: there is no 'blade 9'; this propeller has blade 1 to 4"},
    {"part: blade 4", "part: bald 4",
     "27:11+4 unknown-name: unknown part 'bald'; parts of this book: blade, boot, spinner, deflector"},
    {"part: blade 4\n", "part: [blade 4]\n",
     "27:5+4 wrong-form: 'part' is not one text; write one value here, on one line"},
    {"station: 41 in", "station: 41",
     "29:14+2 missing-unit: no unit after '41'; 'station' is a length: write the unit that was read, such as in"},
    {"station: 41 in", "station: 60 in",
     "29:14+5 outside-range: station 60 in is outside its range; in this book 'station' runs from 6 in to 52 in"},
    {"station: 41 in", "stations: 41 in",
     "29:5+8 unknown-key: unknown key 'stations' for 'nick' on 'blade'; did you mean 'station'?"},
    {"station: 41 in", "station: 41 in, depth 0.1 in",
     "29:19+1 syntax: found ',', expected '..', '+/-' or the end; -"},
    {"station: 41 in", "station: [41 in]",
     "29:5+7 wrong-form: 'station' is not one text; write one value here, on one line"},
    {"station: 41 in", "side: left",
     "29:11+4 unknown-name: unknown side 'left' of 'blade'; it has: camber, thrust"},
    {"station: 41 in", "place: dome",
     "29:12+4 unknown-name: unknown place 'dome' of 'blade'; it has: none"},
    {"station: 41 in", "side: camber thrust",
     "29:11+13 wrong-form: 'camber thrust' is not one word; write one word"},
    {"depth: 0.018 +/- 0.002 in", "depth: deep",
     "31:12+4 syntax: found 'deep', expected a figure; -"},
    {"depth: 0.018 +/- 0.002 in", "depth: 0.018 in # was 0.02",
     "31:21+10 comment-after-value: a comment after a value; a comment stands on a line of its own; a text that holds ' #' stands in double quotes"},
    {"depth: 0.018 +/- 0.002 in", "width: 0.018 in",
     "31:5+5 unknown-key: unknown key 'width' for 'nick' on 'blade'; it can have: depth, length, station, chord, part, kind, id, remark, side, new"},
    {"depth: 0.018 +/- 0.002 in", "lie: spanwise",
     "31:5+3 unknown-key: unknown key 'lie' for 'nick' on 'blade'; it can have: depth, length, station, chord, part, kind, id, remark, side, new"},
    {"    remark: rock strike, was F-112", "    id: F1",
     "32:9+2 doubled-id: id 'F1' is used twice (25:5 it stands for this one too); findings without an id are F1, F2 and so on, by their place"},
    {"    remark: rock strike, was F-112", "    id: a b",
     "32:9+3 not-an-id: 'a b' is not the id of a finding; an id is up to 32 letters, digits and - . _ /"},
    {"    remark: rock strike, was F-112", "    remark: [a]",
     "32:5+6 wrong-form: 'remark' is not one text; write one value here, on one line"},
    {"  - part: blade 4\n    kind: nick\n    station: 41 in\n    chord: 2 %\n    depth: 0.018 +/- 0.002 in\n",
     "  - part: blade 4\n    kind: crack\n    lie: spanwise or\n",
     "29:19+2 wrong-form: 'or' does not belong here; write one value, or several with 'or' between"},
    {"  - part: blade 4\n    kind: nick\n    station: 41 in\n    chord: 2 %\n    depth: 0.018 +/- 0.002 in\n",
     "  - part: blade 4\n    kind: crack\n    lie: spanwise slanted\n",
     "29:19+7 wrong-form: 'slanted' does not belong here; write one value, or several with 'or' between"},
};

static void test_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        struct arena_mark mark = arena_mark(&bench.arena);
        const char *text = with_change(&bench, invented_record, refused[i].from, refused[i].to);
        const struct record *record = bench_record(&bench, text);
        assert_string_equal(problems_told(&bench.arena, &record->problems), refused[i].told);
        assert_true(record->problems.error_count > 0);
        arena_release(&bench.arena, mark);
    }
    printf("%zu refusals\n", sizeof refused / sizeof *refused);
}

/* ---- one line ---------------------------------------------------------------------------------- */

static const struct {
    const char *line, *told;
} lines[] = {
    {"blade 1 gouge at station 36 in, depth 27 thou; as asked", ""},
    {"blade 6 gouge, depth 27 thou\n", ""},
    {"blade 1 twist, rock 0.3 deg\r\n", ""},
    {"deflector dent", ""},
    {"spinner crack at dome; see #12", ""},
    {"", "1:1+1 syntax: found the end, expected a name; -"},
    {"\n", "1:1+1 syntax: found the end, expected a name; -"},
    {"# note\n",
     "1:1+1 comment-after-value: '#' within a value; a finding line has no comment; a remark comes after ';'"},
    {"blade 1 gouge\nblade 2 gouge\n",
     "1:14+1 several-lines: more than one line; give one finding at a time; write several into a record"},
    {"blade 1 gouge # note",
     "1:15+1 comment-after-value: '#' within a value; a finding line has no comment; a remark comes after ';'"},
    {"blade 1 gouge, depth 27 thou# , length 3 in",
     "1:29+1 comment-after-value: '#' within a value; a finding line has no comment; a remark comes after ';'"},
    {"blade 7 gouge",
     "1:7+1 no-such-instance: there is no 'blade 7'; in this book they are counted from 1 to 6"},
    {"blade 1 gouje", "1:9+5 unknown-name: unknown kind 'gouje'; did you mean 'gouge'?"},
    {"- blade 1 gouge", "1:1+1 syntax: found '-', expected a name; -"},
    {"blade 1 gouge, depth 27",
     "1:22+2 missing-unit: no unit after '27'; 'depth' is a length: write the unit that was read, such as in"},
    {"blade 1 gouge \x01",
     "1:15+1 control-character: control character U+0001 in the text; remove it"},
};

static void test_lines(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        const struct record *record = bench_line(&bench, lines[i].line);
        assert_string_equal(problems_told(&bench.arena, &record->problems), lines[i].told);
        assert_true(record->single);
        assert_int_equal(record->finding_count, lines[i].told[0] ? 0 : 1);
        assert_int_equal(record->answer_count, 0);
    }
    const struct record *record = bench_line(&bench, lines[0].line);
    assert_string_equal(findings_of(record),
                        "F1 blade 1 gouge at station 36 in, depth 27 thou; as asked\n");
}

/* ---- when memory ends ------------------------------------------------------------------------------ */

/* True when the allocation was refused and the call came to its escape. */
static bool escapes_at(size_t at)
{
    struct fail_alloc memory = {0};
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    struct escape escape = {.status = STAVE_OK};
    struct arena arena;
    arena_begin(&arena, &allocator, &escape);
    fail_alloc_arm(&memory, at, false);
    volatile bool ended = false;
    if (setjmp(escape.to)) {
        ended = true;
    } else {
        struct stave_text text = {"record", invented_record, sizeof invented_record - 1};
        assert_int_equal(record_read(&arena, bench.book, &text)->problems.count, 0);
    }
    fail_alloc_disarm(&memory);
    assert_int_equal(escape.status, ended ? STAVE_NO_MEMORY : STAVE_OK);
    assert_ptr_equal(arena.escape, &escape);
    arena_end(&arena);
    assert_int_equal(memory.live_blocks, 0);
    return ended;
}

static void test_no_memory(void **state)
{
    (void)state;
    size_t refusals = 0;
    while (escapes_at(refusals + 1)) {
        refusals++;
    }
    printf("%zu refusals\n", refusals);
    assert_true(refusals > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_whole_record, begin, end),
        cmocka_unit_test_setup_teardown(test_answers, begin, end),
        cmocka_unit_test_setup_teardown(test_left_out, begin, end),
        cmocka_unit_test_setup_teardown(test_other_forms, begin, end),
        cmocka_unit_test_setup_teardown(test_no_findings, begin, end),
        cmocka_unit_test_setup_teardown(test_partly_fitted, begin, end),
        cmocka_unit_test_setup_teardown(test_refused, begin, end),
        cmocka_unit_test_setup_teardown(test_lines, begin, end),
        cmocka_unit_test_setup_teardown(test_no_memory, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
