/*
 * Damaged records: whatever happens to the text of a record, an unfit propeller never turns
 * fit by it, unless what is then written is a legal other reading.
 *
 * A legal other reading is this and no more: the record is read without a fault; it has the
 * same findings, answers and searches, as many of each; and of all that it says exactly one
 * thing differs - one reading of one finding or answer, one axis, side or place, one part's
 * number, what is searched or fitted of one part - which was said before and is still
 * said. Nothing that was said is unsaid. Who, when, ids and remarks decide nothing and may differ.
 */
#include "invented_book.h"

/* Made by the invented book: everything is searched, answered and within limits. */
static const char fit_record[] =
    "# a comment, with 'quotes' and: signs\n"
    "propeller: P-0417\n"
    "model: BM-3\n"
    "book: BM-3 C\n"
    "aircraft: invented 7\n"
    "inspector: demonstration\n"
    "date: 2026-11-25\n"
    "hours: 812.4 h\n"
    "blades: 3\n"
    "fitted:\n"
    "  boot: all\n"
    "  deflector: none\n"
    "searched: [blade 1 .. 3, spinner, boot 1 .. 3]\n"
    "checks:\n"
    "  twist: [0.3 deg, 0.2 deg, 0.5 deg]\n"
    "  leak: [nothing, trace-at-shank, nothing]\n"
    "  play:\n"
    "    - rock 0.3 deg, settles\n"
    "    - rock 0.1 deg, settles\n"
    "    # between two answers\n"
    "    - \"rock 0.2 deg, settles\"\n"
    "  firmness:\n"
    "    spinner: not moving\n"
    "    boot: [no, no, no]\n"
    "findings:\n"
    "  - blade 1 gouge at station 36 in thrust, depth 17 thou, length 3/4 in\n"
    "  - F-113: blade 2 crack at camber, length 0.5 in, lie spanwise; a; b\n"
    "  - blade 3 pitting at chord 5 %, share 6 1/2 %, pits 3; old\n"
    "  - part: blade 3\n"
    "    kind: nick\n"
    "    station: 41 in\n"
    "    depth: 0.015 +/- 0.002 in\n"
    "    length: 1.2 in\n"
    "    remark: rock strike, was F-112\n"
    "remarks: none\n"
    "end: 4 findings\n";

/* One change each makes it unfit, or not known to be fit. */
static const char *const unfit_changes[][2] = {
    {"depth 17 thou", "depth 27 thou"},
    {"length 3/4 in", "length 3 in"},
    {", depth 17 thou", ", depth not measured"},
    {"depth: 0.015 +/-", "depth: 0.019 +/-"},
    {"    length: 1.2 in\n", ""},
    {"lie spanwise", "lie chordwise"},
    {"pits 3", "pits 6"},
    {"share 6 1/2 %", "share 16 1/2 %"},
    {"0.2 deg, 0.5 deg", "0.2 deg, 0.6 deg"},
    {"trace-at-shank", "along-the-blade"},
    {"- rock 0.1 deg, settles", "- rock 0.1 deg, not settles"},
    {"- rock 0.1 deg, settles", "- not measured"},
    {"spinner: not moving", "spinner: moving"},
    {"boot: [no, no", "boot: [no, yes"},
    {"boot 1 .. 3]", "boot 1 .. 2]"},
    {"blade 1 .. 3, spinner", "blade 1 .. 3"},
};
enum { UNFIT = sizeof unfit_changes / sizeof *unfit_changes };

static struct bench bench;
static stave_book *book;

static int begin(void **state)
{
    (void)state;
    bench_begin(&bench, invented_book);
    struct stave_text text = {"book", invented_book, sizeof invented_book - 1};
    assert_int_equal(stave_book_read(NULL, &text, &book), STAVE_OK);
    return 0;
}

static int end(void **state)
{
    (void)state;
    stave_book_free(book);
    bench_end(&bench);
    return 0;
}

/* ---- what becomes of a text ------------------------------------------------------------- */

enum became { REFUSED, UNKNOWN, NOT_FIT, FIT };

static enum became became(const char *bytes, size_t size)
{
    struct stave_text text = {"record", bytes, size};
    stave_record *record;
    enum stave_status status = stave_record_read(NULL, book, &text, &record);
    enum became result = REFUSED;
    if (status == STAVE_OK) {
        stave_verdict *verdict;
        assert_int_equal(stave_assess(NULL, record, &verdict), STAVE_OK);
        result = verdict->flight == STAVE_FLIGHT_YES  ? FIT
                 : verdict->flight == STAVE_FLIGHT_NO ? NOT_FIT
                                                      : UNKNOWN;
        stave_verdict_free(verdict);
    } else {
        size_t count;
        assert_int_equal(status, STAVE_PROBLEMS);
        const struct stave_problem *problems = stave_record_problems(record, &count);
        assert_true(count > 0 && problems[0].message[0] && problems[0].at.line > 0);
    }
    stave_record_free(record);
    return result;
}

/* ---- all that a record says ---------------------------------------------------------------- */

/* One thing that a record says, as words; `said` false when it is not given. */
struct thing {
    const char *name, *what;
    bool said;
};

struct things {
    struct thing *items;
    size_t count, capacity;
};

static void add_thing(struct things *things, const char *name, const char *what, bool said)
{
    *ARENA_PUSH(&bench.arena, things->items, things->count, things->capacity) =
        (struct thing){name, what, said};
}

static const char *exact(struct number value)
{
    return number_fraction(&bench.arena, value);
}

static void add_finding(struct things *things, const struct finding *finding, const char *name)
{
    struct arena *arena = &bench.arena;
    const struct part *part = finding->part;
    add_thing(things, text_format(arena, "%s part", name),
              finding_part_name(arena, part, finding->instance), true);
    add_thing(things, text_format(arena, "%s kind", name), finding->kind->name, true);
    for (uint32_t i = 0; i < part->axis_count; i++) {
        const struct extent *extent = &finding->extents[i];
        if (finding->kind->is_check) {
            continue;
        }
        /* as it was typed: what a length along the axis makes of it follows from that length */
        add_thing(
            things, text_format(arena, "%s %s", name, part->axes[i].name),
            text_format(arena, "%s %s", exact(extent->read_lo_high), exact(extent->read_hi_low)),
            extent->given != GIVEN_NOT);
    }
    add_thing(things, text_format(arena, "%s side", name),
              text_format(arena, "%u", (unsigned)finding->sides), finding->side_given);
    add_thing(things, text_format(arena, "%s place", name),
              text_format(arena, "%u", (unsigned)finding->places), finding->place_given);
    for (uint32_t i = 0; i < finding->kind->record_count; i++) {
        const struct reading *reading = &finding->readings[i];
        add_thing(things, text_format(arena, "%s %s", name, finding->kind->records[i].name),
                  text_format(arena, "%d %s %s %s %u", (int)reading->given, exact(reading->low),
                              exact(reading->high), exact(reading->middle),
                              (unsigned)reading->values),
                  reading->given != GIVEN_NOT);
    }
}

static struct things things_of(const struct record *record)
{
    struct arena *arena = &bench.arena;
    struct things things = {0};
    for (uint32_t i = 0; i < record->book->part_count; i++) {
        const char *name = record->book->parts[i].name;
        add_thing(&things, text_format(arena, "%s fitted", name),
                  text_format(arena, "%u of %u", (unsigned)record->fitted[i], record->instances[i]),
                  record->fitted_known[i]);
        uint64_t searched = 0;
        for (uint32_t a = 0; a < record->answer_count; a++) {
            const struct answer *answer = &record->answers[a];
            if (!answer->check && answer->part->index == i && answer->given) {
                searched |= UINT64_C(1) << (answer->instance ? answer->instance - 1 : 0);
            }
        }
        add_thing(&things, text_format(arena, "%s searched", name),
                  text_format(arena, "%u", (unsigned)searched), true);
    }
    for (uint32_t i = 0; i < record->answer_count; i++) {
        const struct answer *answer = &record->answers[i];
        const char *name =
            text_format(arena, "%s %s", answer->check ? answer->check->name : "search",
                        finding_part_name(arena, answer->part, answer->instance));
        if (answer->finding) {
            add_finding(&things, answer->finding, name);
        } else if (answer->check) {
            add_thing(&things, name, "", false);
        }
    }
    for (uint32_t i = 0; i < record->finding_count; i++) {
        add_finding(&things, record->findings[i], text_format(arena, "finding %u", i));
    }
    return things;
}

/* Whether `changed` is a legal other reading of what `before` says. */
static bool other_reading(const struct things *before, const char *bytes, size_t size)
{
    struct stave_text text = {"record", bytes, size};
    const struct record *record = record_read(&bench.arena, bench.book, &text);
    assert_int_equal(record->problems.error_count, 0);
    struct things after = things_of(record);
    size_t differing = 0;
    if (after.count != before->count) {
        return false;
    }
    for (size_t i = 0; i < after.count; i++) {
        const struct thing *a = &before->items[i], *b = &after.items[i];
        bool same = a->said == b->said && strcmp(a->what, b->what) == 0;
        if (strcmp(a->name, b->name) != 0 || (!same && !(a->said && b->said))) {
            return false;
        }
        differing += !same;
    }
    return differing == 1;
}

/* ---- damage ---------------------------------------------------------------------------------- */

struct tally {
    size_t cases, by[4], legal;
};

static void print_tally(const char *what, const struct tally *tally)
{
    printf(
        "%s: %zu cases; %zu refused, %zu not known, %zu not fit, %zu fit by a legal other reading\n",
        what, tally->cases, tally->by[REFUSED], tally->by[UNKNOWN], tally->by[NOT_FIT],
        tally->legal);
}

/* `legal_may`: the damage is small enough to be another reading. */
static void try_damage(const struct things *before, const char *bytes, size_t size, bool legal_may,
                       struct tally *tally)
{
    enum became result = became(bytes, size);
    tally->cases++;
    tally->by[result]++;
    if (result != FIT) {
        return;
    }
    struct arena_mark mark = arena_mark(&bench.arena);
    bool legal = legal_may && other_reading(before, bytes, size);
    arena_release(&bench.arena, mark);
    if (!legal) {
        fail_msg("an unfit propeller became fit by this text:\n%.*s", (int)size, bytes);
    }
    tally->legal++;
}

/* The unfit record `which`, and all that it says. */
static const char *unfit_record(size_t which, struct things *things)
{
    const char *text =
        with_change(&bench, fit_record, unfit_changes[which][0], unfit_changes[which][1]);
    const struct record *record = bench_record(&bench, text);
    assert_string_equal(problems_told(&bench.arena, &record->problems), "");
    *things = things_of(record);
    return text;
}

static uint32_t random_below(uint32_t *seed, uint32_t below)
{
    *seed = *seed * 1664525u + 1013904223u;
    return (uint32_t)((uint64_t)(*seed >> 4) * below >> 28);
}

enum { LONGEST = 4096 };

/* Copies `text` with the byte at `at` replaced (0), left out (1), or one put before it (2). */
static size_t change_byte(char *out, const char *text, size_t size, size_t at, unsigned how,
                          char byte)
{
    assert_true(size + 2 < LONGEST && at < size);
    memcpy(out, text, at);
    size_t made = at;
    if (how != 1) {
        out[made++] = byte;
    }
    size_t rest = how == 2 ? at : at + 1;
    memcpy(out + made, text + rest, size - rest);
    return made + size - rest;
}

/* ---- tests ------------------------------------------------------------------------------------- */

static void test_records_are_as_meant(void **state)
{
    (void)state;
    assert_int_equal(became(fit_record, sizeof fit_record - 1), FIT);
    for (size_t i = 0; i < UNFIT; i++) {
        struct things things;
        const char *text = unfit_record(i, &things);
        enum became result = became(text, strlen(text));
        assert_true(result == NOT_FIT || result == UNKNOWN);
    }
}

/* Cut at any byte but its last line end, a record is refused; fit ones too. */
static void test_cut_at_every_byte(void **state)
{
    (void)state;
    size_t cases = 0;
    for (size_t i = 0; i <= UNFIT; i++) {
        struct things things;
        const char *text = i < UNFIT ? unfit_record(i, &things) : fit_record;
        size_t size = strlen(text);
        enum became whole = became(text, size);
        for (size_t cut = 0; cut + 1 < size; cut++, cases++) {
            if (became(text, cut) != REFUSED) {
                fail_msg("record %zu cut at byte %zu was read", i, cut);
            }
        }
        assert_int_equal(became(text, size - 1), whole);
    }
    printf("%zu cuts\n", cases);
}

/* And when bytes are lost at its beginning. */
static void test_lost_beginning(void **state)
{
    (void)state;
    struct tally tally = {0};
    for (size_t i = 0; i < UNFIT; i++) {
        struct things things;
        const char *text = unfit_record(i, &things);
        for (size_t cut = 1; text[cut]; cut++) {
            try_damage(&things, text + cut, strlen(text + cut), false, &tally);
        }
    }
    print_tally("lost beginnings", &tally);
}

static void test_random_bytes(void **state)
{
    (void)state;
    enum { CASES = 10000 };
    uint32_t seed = 417;
    struct tally tally = {0};
    struct things things[UNFIT];
    const char *texts[UNFIT];
    for (size_t i = 0; i < UNFIT; i++) {
        texts[i] = unfit_record(i, &things[i]);
    }
    for (uint32_t i = 0; i < CASES; i++) {
        char out[LONGEST];
        size_t which = i % UNFIT, size = strlen(texts[which]);
        /* any byte at all in one case of four, else one that can be typed */
        uint32_t any = random_below(&seed, 256), typed = 32 + random_below(&seed, 95);
        char byte = (char)(random_below(&seed, 4) == 0 ? any : typed);
        size_t at = random_below(&seed, (uint32_t)size);
        size_t made = change_byte(out, texts[which], size, at, random_below(&seed, 3), byte);
        try_damage(&things[which], out, made, true, &tally);
    }
    print_tally("random bytes", &tally);
    assert_int_equal(tally.cases, CASES);
    assert_true(tally.by[REFUSED] > CASES / 2 && tally.by[NOT_FIT] > CASES / 20);
    assert_true(tally.legal > 0);
}

/* In two records every byte left out, and every byte made or preceded by signs that mean
 * something: those that can hide what follows, part it, or turn one figure into another. */
static void test_every_byte(void **state)
{
    (void)state;
    static const char signs[] = " #:-,;'\n1";
    struct tally tally = {0};
    for (size_t i = 0; i < UNFIT; i += UNFIT / 2) {
        struct things things;
        const char *text = unfit_record(i, &things);
        size_t size = strlen(text);
        for (size_t at = 0; at < size; at++) {
            char out[LONGEST];
            size_t made = change_byte(out, text, size, at, 1, ' ');
            try_damage(&things, out, made, true, &tally);
            for (size_t s = 0; s + 1 < sizeof signs; s++) {
                made = change_byte(out, text, size, at, 0, signs[s]);
                try_damage(&things, out, made, true, &tally);
                made = change_byte(out, text, size, at, 2, signs[s]);
                try_damage(&things, out, made, true, &tally);
            }
        }
    }
    print_tally("every byte", &tally);
    assert_true(tally.legal > 0);
}

/* Whole lines lost, doubled, commented out, joined with the next or moved: never fit. */
static void test_lines(void **state)
{
    (void)state;
    struct tally tally = {0};
    for (size_t i = 0; i < UNFIT; i++) {
        struct things things;
        const char *text = unfit_record(i, &things);
        for (const char *line = text; *line;) {
            const char *next = strchr(line, '\n') + 1;
            const char *after = *next ? strchr(next, '\n') + 1 : next;
            int head = (int)(line - text), here = (int)(next - line), then = (int)(after - next);
            char out[LONGEST];
            for (unsigned how = 0; how < 5; how++) {
                int made;
                if (how == 0) { /* lost */
                    made = snprintf(out, sizeof out, "%.*s%s", head, text, next);
                } else if (how == 1) { /* doubled */
                    made = snprintf(out, sizeof out, "%.*s%.*s%s", head, text, here, line, line);
                } else if (how == 2) { /* commented out */
                    made = snprintf(out, sizeof out, "%.*s#%s", head, text, line);
                } else if (how == 3) { /* joined with the next */
                    made =
                        snprintf(out, sizeof out, "%.*s%.*s %s", head, text, here - 1, line, next);
                } else { /* moved behind the next */
                    made = snprintf(out, sizeof out, "%.*s%.*s%.*s%s", head, text, then, next, here,
                                    line, after);
                }
                assert_true(made > 0 && made < (int)sizeof out);
                try_damage(&things, out, (size_t)made, false, &tally);
            }
            line = next;
        }
    }
    print_tally("lines", &tally);
    assert_int_equal(tally.legal, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_records_are_as_meant, begin, end),
        cmocka_unit_test_setup_teardown(test_cut_at_every_byte, begin, end),
        cmocka_unit_test_setup_teardown(test_lost_beginning, begin, end),
        cmocka_unit_test_setup_teardown(test_random_bytes, begin, end),
        cmocka_unit_test_setup_teardown(test_every_byte, begin, end),
        cmocka_unit_test_setup_teardown(test_lines, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
