/*
 * Families of models: faults, differences held against books written out by hand, and the choice of
 * a model held against every propeller that there could be.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "random_text.h"
#include "stave.h"

static uint32_t seed = 20261125;

static uint32_t random_below(uint32_t limit)
{
    seed = seed * 1664525u + 1013904223u;
    return (seed >> 8) % limit;
}

static stave_book *read_text(const char *text, enum stave_status *status)
{
    const struct stave_text given = {"book.stave", text, strlen(text)};
    stave_book *book = NULL;
    *status = stave_book_read(NULL, &given, &book);
    assert_non_null(book);
    return book;
}

/* ---- faults ------------------------------------------------------------------------------ */

/* 20 lines without a problem, but for an example and for models. */
static const char base[] = "stave 1\n"
                           "book B\n"
                           "    edition \"A\"\n"
                           "scale\n"
                           "    fine\n"
                           "  no flight\n"
                           "    shop\n"
                           "part hub\n"
                           "    axis station 0 in .. 10 in\n"
                           "zone tip on hub station 5 in .. 10 in\n"
                           "zone root on hub station 0 in .. 5 in\n"
                           "measure depth 0 in .. 1 in\n"
                           "kind nick, dent on hub records depth\n"
                           "limit nick, dent on tip\n"
                           "    otherwise shop\n"
                           "limit nick, dent on root\n"
                           "    otherwise shop\n"
                           "fact serial 1 .. 999\n"
                           "fact screen one of plain, wrapped\n"
                           "fact mended yes or no\n";

static const struct fault {
    const char *added, *problem;
} faults[] = {
    {"model M\n    replace limit nick on tip\n        otherwise shop\n",
     "22:13 nothing-there: there is no 'limit nick on tip' to replace in model 'M' | 14:1 this one has "
     "some of these names | a statement is replaced or dropped whole: name all that its first line "
     "names"},
    {"model M\n    drop limit dent, nick on tip, root\n",
     "22:10 nothing-there: there is no 'limit dent, nick on tip, root' to drop in model 'M' | 14:1 this "
     "one has some of these names | a statement is replaced or dropped whole: name all that its first "
     "line names"},
    {"model M\n    drop zone tpi\n",
     "22:15 nothing-there: there is no 'zone tpi' to drop in model 'M' | did you mean 'tip'?"},
    {"model M\n    replace curve slope along station\n        0 in 1 in\n        10 in 2 in\n",
     "22:19 nothing-there: there is no 'curve slope' to replace in model 'M' | write 'add curve …' where "
     "it is new in this model"},
    {"model M\n    add zone tip on hub\n",
     "22:14 already-there: there is a 'zone tip' already in model 'M' | 10:6 here | write 'replace zone …' "
     "where it is to take its place"},
    {"model M\n    add limit dent, nick on root\n        otherwise shop\n",
     "22:9 already-there: there is a 'limit dent, nick on root' already in model 'M' | 16:1 here | write "
     "'replace limit …' where it is to take its place"},
    {"limit nick, dent on root\n    otherwise shop\nmodel M\n    drop limit nick, dent on root\n",
     "24:10 more-than-one: 2 statements begin with 'limit nick, dent on root': which of them is not said "
     "| 16:1 the first of them | make one limit of them in the book"},
    {"model M\n    drop limit nick, dent on tip\n    drop limit nick, dent on tip\n",
     "23:10 said-twice: a second difference in 'limit nick, dent on tip' | 22:10 the first is here | make "
     "one of the two"},
    {"model M\nmodel L like M\n    drop check twist\n",
     "23:16 nothing-there: there is no 'check twist' to drop in model 'L'"},
    {"model M\nmodel L like K\n", "22:14 unknown-name: unknown model 'K' | write 'M' or 'L'"},
    {"model M like L\nmodel L like M\n",
     "22:14 circular-like: circular 'like': 'M' leads here | one model of a family is like no other"},
    {"model M like M\n",
     "21:14 circular-like: model 'M' is like itself | one model of a family is like no other"},
    {"model M\nmodel M\n", "22:7 duplicate-name: model 'M' is declared twice | 21:7 declared here"},
    {"fact serial yes or no\nmodel M\n",
     "21:6 duplicate-name: fact 'serial' is declared twice | 18:6 declared here"},
    {"model M where serial 1 .. 500\nmodel L for M where serial 500 .. 600, screen is plain\n",
     "22:7 overlap: one propeller 'M' can be of both model 'M' and model 'L' | 21:7 the other is declared "
     "here | part them by what stands after 'where', so that each propeller is of one"},
    {"model M where serial 1 .. 1000\n",
     "21:27 outside-range: '1000' is outside the range of fact 'serial' | 18:6 declared here | it is from 1 "
     "to 999"},
    {"model M where serial 9 .. 3\n",
     "21:22 reversed-range: the range runs backwards | write the smaller number first"},
    {"model M where serial over 999\n",
     "21:22 reversed-range: no number is in this range | write the smaller number first"},
    {"model M where serial 3 in\n",
     "21:24 syntax: found 'in', expected '..', 'or', an ending such as 'per', ',' or the end of the line"},
    {"model M where serial 1 1/2\n",
     "21:22 not-a-count: '1 1/2' is not a whole number | a fact is a whole number without a unit"},
    {"model M where serial is plain\n",
     "21:15 wrong-form: 'serial is plain' does not say a value of fact 'serial' | 18:6 declared here | write "
     "its numbers, as in '100 .. 499'"},
    {"model M where screen\n",
     "21:15 wrong-form: 'screen' does not say a value of fact 'screen' | 19:6 declared here | write 'is' and "
     "its values"},
    {"model M where mended is plain\n",
     "21:15 wrong-form: 'mended is plain' does not say a value of fact 'mended' | 20:6 declared here | it is "
     "yes or no: write its name alone, or after 'not'"},
    {"model M where screen is wraped\n",
     "21:25 unknown-name: unknown value 'wraped' of fact 'screen' | did you mean 'wrapped'?"},
    {"model M where screen is plain, screen is not plain\n",
     "21:32 no-value: no value of the fact is left by what stands before it"},
    {"model M where seriall 3\n",
     "21:15 unknown-name: unknown fact 'seriall' | did you mean 'serial'?"},
    {"model M\nzone rim on hub\n",
     "22:6 after-model: this 'zone' stands behind a model, and is not said to be of it | 21:7 the first model "
     "is declared here | write 'add zone …' where it is of the model above it alone; what is of all models "
     "stands before the first"},
    {"add zone rim on hub\n",
     "21:1 no-model: 'add' outside a model | write what is different in a model right below its 'model' "
     "line"},
    {"model M\nmodel L\n    replace limit nick, dent on tip\n        fine depth up to 0.1 mm2\n"
     "        otherwise shop\n",
     "24:26 dimension: '0.1 mm2' is an area, but 'depth' is a length (in model 'L') | 12:9 declared here"},
    {"model M\n    drop zone tip\n",
     "14:21 unknown-name: unknown zone or part 'tip' | write 'hub' or 'root'"},
    {"model M\nexample \"e\" for L\n    hub nick\n    gives shop\n",
     "22:17 unknown-name: unknown model 'L' | write 'M'"},
    {"model M\nmodel L\n    drop kind nick, dent\n    drop limit nick, dent on tip\n"
     "    drop limit nick, dent on root\n    add kind burn on hub\n    add limit burn on hub\n"
     "        otherwise shop\nexample \"e\"\n    hub nick\n    gives shop\n",
     "30:9 unknown-name: unknown kind 'nick' (in model 'L') | kinds of this book: burn"},
};

static void tell(struct lines *told, const struct stave_problem *problem)
{
    add(told, "%u:%u %s: %s", (unsigned)problem->at.line, (unsigned)problem->at.column, problem->code,
        problem->message);
    if (problem->second_message) {
        add(told, " | %u:%u %s", (unsigned)problem->second.line, (unsigned)problem->second.column,
            problem->second_message);
    }
    if (problem->help) {
        add(told, " | %s", problem->help);
    }
}

static void test_faults(void **state)
{
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        static struct lines text, told;
        enum stave_status status;
        size_t count;
        text.size = told.size = 0;
        told.text[0] = '\0';
        add(&text, "%s%s", base, faults[i].added);
        stave_book *book = read_text(text.text, &status);
        const struct stave_problem *problems = stave_book_problems(book, &count);
        for (size_t p = 0; p < count; p++) {
            if (problems[p].severity == STAVE_ERROR) {
                add(&told, "%s", told.size ? "\n" : "");
                tell(&told, &problems[p]);
            }
        }
        if (strcmp(told.text, faults[i].problem) != 0) {
            print_error("%s---\n%s\n!=\n%s\n", faults[i].added, told.text, faults[i].problem);
        }
        wrong += strcmp(told.text, faults[i].problem) != 0;
        assert_int_equal(status, STAVE_PROBLEMS);
        stave_book_free(book);
    }
    assert_int_equal(wrong, 0);
}

/* ---- differences against a book written out ------------------------------------------------- */

enum { KINDS = 4, ZONES = 3, STATEMENTS = KINDS * ZONES + 1 };

/* A book as a list of limits in the order of their text, one for a kind on a zone or none. */
struct limits {
    struct { int kind, zone, bound; } items[4 * STATEMENTS];
    int count;
};

static void write_head(struct lines *text, bool models)
{
    add(text, "stave 1\nbook B\n    edition \"A\"\n%s", models ? "" : "    for model M\n");
    add(text, "scale\n    fine\n    watch\n  no flight\n    shop\npart hub\n"
              "    axis station 0 in .. 9 in\n"
              "measure depth 0 in .. 1 in\nkind k0, k1, k2, k3 on hub records depth\n");
    for (int zone = 0; zone < ZONES; zone++) {
        add(text, "zone z%d on hub station %d in .. %d in\n", zone, 3 * zone, 3 * zone + 3);
    }
}

static void write_limit(struct lines *text, const char *before, int kind, int zone, int bound)
{
    add(text, "%slimit k%d on z%d\n    fine depth up to 0.%02d in\n    watch depth up to 0.%02d in\n"
              "    otherwise shop\n",
        before, kind, zone, bound, bound + 5);
}

static int find_limit(const struct limits *limits, int kind, int zone)
{
    for (int i = 0; i < limits->count; i++) {
        if (limits->items[i].kind == kind && limits->items[i].zone == zone) {
            return i;
        }
    }
    return -1;
}

/* A random difference in what was not yet touched, done to the list too. */
static void write_change(struct lines *text, struct limits *limits, bool touched[KINDS][ZONES])
{
    int kind = (int)random_below(KINDS), zone = (int)random_below(ZONES);
    int at = find_limit(limits, kind, zone), bound = 10 + (int)random_below(60);
    if (touched[kind][zone]) {
        return;
    }
    touched[kind][zone] = true;
    if (at < 0) {
        write_limit(text, "add ", kind, zone, bound);
        limits->items[limits->count].kind = kind;
        limits->items[limits->count].zone = zone;
        limits->items[limits->count++].bound = bound;
    } else if (random_below(2)) {
        write_limit(text, "replace ", kind, zone, bound);
        limits->items[at].bound = bound;
    } else {
        add(text, "drop limit k%d on z%d\n", kind, zone);
        limits->count--;
        memmove(&limits->items[at], &limits->items[at + 1],
                sizeof limits->items[0] * (size_t)(limits->count - at));
    }
}

static stave_verdict *judge(const stave_book *book, const char *line, stave_record **record)
{
    const struct stave_text text = {"line", line, strlen(line)};
    stave_verdict *verdict = NULL;
    assert_int_equal(stave_record_read_line(NULL, book, &text, record), STAVE_OK);
    assert_int_equal(stave_assess(NULL, *record, &verdict), STAVE_OK);
    return verdict;
}

static void compare_verdicts(const stave_verdict *one, const stave_verdict *other)
{
    assert_int_equal(one->outcome, other->outcome);
    assert_int_equal(one->best, other->best);
    assert_int_equal(one->flight, other->flight);
    const struct stave_item *a = &one->items[0], *b = &other->items[0];
    assert_int_equal(a->possible_count, b->possible_count);
    assert_int_equal(a->reason_count, b->reason_count);
    assert_string_equal(a->uncovered, b->uncovered);
    for (size_t i = 0; i < a->reason_count; i++) {
        assert_string_equal(a->reasons[i].limit, b->reasons[i].limit);
        assert_string_equal(a->reasons[i].zone, b->reasons[i].zone);
        assert_string_equal(a->reasons[i].line_text, b->reasons[i].line_text);
        assert_int_equal(a->reasons[i].governs, b->reasons[i].governs);
    }
    assert_int_equal(a->need_count, b->need_count);
    for (size_t i = 0; i < a->need_count; i++) {
        assert_string_equal(a->needs[i].name, b->needs[i].name);
        assert_int_equal(a->needs[i].settles, b->needs[i].settles);
    }
}

static size_t compare_books(const stave_book *one, const stave_book *other)
{
    size_t cases = 0;
    for (int i = 0; i < 12; i++) {
        char line[128];
        int station = (int)random_below(10), depth = (int)random_below(80);
        snprintf(line, sizeof line, "hub k%d at station %d .. %d in, depth 0.%02d .. 0.%02d in",
                 (int)random_below(KINDS), station, station + (int)random_below((uint32_t)(10 - station)),
                 depth, depth + (int)random_below(12));
        stave_record *records[2];
        stave_verdict *a = judge(one, line, &records[0]), *b = judge(other, line, &records[1]);
        compare_verdicts(a, b);
        stave_verdict_free(a);
        stave_verdict_free(b);
        stave_record_free(records[0]);
        stave_record_free(records[1]);
        cases++;
    }
    return cases;
}

static void test_differences(void **state)
{
    (void)state;
    size_t cases = 0;
    for (int round = 0; round < 600; round++) {
        static struct lines text, plain;
        struct limits limits = {0}, mine[3];
        enum stave_status status;
        text.size = 0;
        write_head(&text, true);
        for (int i = 0; i < STATEMENTS; i++) {
            int kind = (int)random_below(KINDS), zone = (int)random_below(ZONES);
            if (find_limit(&limits, kind, zone) < 0) {
                int bound = 10 + (int)random_below(60);
                write_limit(&text, "", kind, zone, bound);
                limits.items[limits.count].kind = kind;
                limits.items[limits.count].zone = zone;
                limits.items[limits.count++].bound = bound;
            }
        }
        for (int model = 0; model < 3; model++) {
            bool touched[KINDS][ZONES] = {{false}};
            int like = (int)random_below((uint32_t)model + 1) - 1;
            mine[model] = like < 0 ? limits : mine[like];
            add(&text, like < 0 ? "model M%d\n" : "model M%d like M%d\n", model, like);
            for (int i = (int)random_below(7); i > 0; i--) {
                write_change(&text, &mine[model], touched);
            }
        }
        stave_book *family = read_text(text.text, &status);
        assert_int_equal(status, STAVE_OK);
        assert_int_equal(stave_book_model_count(family), 3);
        for (int model = 0; model < 3; model++) {
            char name[16];
            snprintf(name, sizeof name, "M%d", model);
            plain.size = 0;
            write_head(&plain, false);
            for (int i = 0; i < mine[model].count; i++) {
                write_limit(&plain, "", mine[model].items[i].kind, mine[model].items[i].zone,
                            mine[model].items[i].bound);
            }
            stave_book *written = read_text(plain.text, &status);
            assert_int_equal(status, STAVE_OK);
            assert_string_equal(stave_book_facts(stave_book_of(family, name))->model, name);
            cases += compare_books(stave_book_of(family, name), written);
            stave_book_free(written);
        }
        stave_book_free(family);
    }
    print_message("%zu findings by models and by books written out\n", cases);
    assert_true(cases >= 10000);
}

/* ---- which model applies -------------------------------------------------------------------- */

enum { SERIALS = 9, SCREENS = 3, MODELS = 3 };

struct reach {
    uint32_t serials, screens; /* bit n: the value n is in it */
};

static const char *const screens[SCREENS] = {"plain", "wrapped", "none"};

static struct reach write_model(struct lines *text, int model)
{
    struct reach reach = {0, 1 + random_below((1u << SCREENS) - 1)};
    uint32_t from = random_below(SERIALS), to = from + random_below(SERIALS - from);
    add(text, "model V%d for M where serial %u .. %u", model, (unsigned)from + 1, (unsigned)to + 1);
    for (uint32_t i = from; i <= to; i++) {
        reach.serials |= 1u << i;
    }
    if (random_below(3) == 0) {
        uint32_t one = random_below(SERIALS);
        add(text, " or %u", (unsigned)one + 1);
        reach.serials |= 1u << one;
    }
    if (random_below(3) == 0) {
        uint32_t least = random_below(SERIALS);
        uint32_t rest = reach.serials & ~((1u << least) - 1);
        if (rest) {
            add(text, ", serial at least %u", (unsigned)least + 1);
            reach.serials = rest;
        }
    }
    const char *joint = ", screen is ";
    for (uint32_t i = 0; i < SCREENS; i++) {
        if (reach.screens >> i & 1) {
            add(text, "%s%s", joint, screens[i]);
            joint = " or ";
        }
    }
    add(text, "\n");
    return reach;
}

/* What a record says of both facts, as text and as sets. */
static struct reach write_facts(struct lines *text)
{
    struct reach said = {(1u << SERIALS) - 1, (1u << SCREENS) - 1};
    uint32_t how = random_below(4);
    if (how > 0) {
        uint32_t from = random_below(SERIALS);
        uint32_t to = how == 1 ? from + random_below(SERIALS - from) : from;
        said.serials = 0;
        for (uint32_t i = from; i <= to; i++) {
            said.serials |= 1u << i;
        }
        add(text, how == 1 ? "  serial: %u .. %u\n" : "  serial: %u\n", (unsigned)from + 1,
            (unsigned)to + 1);
    } else {
        add(text, "  serial: not recorded\n");
    }
    if (random_below(4)) {
        const char *joint = "  screen: ";
        said.screens = random_below(3) ? 1u << random_below(SCREENS)
                                       : 1 + random_below((1u << SCREENS) - 1);
        for (uint32_t i = 0; i < SCREENS; i++) {
            if (said.screens >> i & 1) {
                add(text, "%s%s", joint, screens[i]);
                joint = " or ";
            }
        }
        add(text, "\n");
    }
    return said;
}

/* The models that some propeller so recorded is of (bit n), and whether one is of none. */
static uint32_t enumerate(const struct reach *models, struct reach said, bool *none)
{
    uint32_t found = 0;
    *none = false;
    for (uint32_t serial = 0; serial < SERIALS; serial++) {
        for (uint32_t screen = 0; screen < SCREENS; screen++) {
            uint32_t here = 0;
            if (!(said.serials >> serial & 1) || !(said.screens >> screen & 1)) {
                continue;
            }
            for (uint32_t m = 0; m < MODELS; m++) {
                here |= (models[m].serials >> serial & models[m].screens >> screen & 1) << m;
            }
            found |= here;
            *none |= here == 0;
        }
    }
    return found;
}

static bool overlap(const struct reach *models)
{
    for (int i = 0; i < MODELS; i++) {
        for (int j = 0; j < i; j++) {
            if (models[i].serials & models[j].serials && models[i].screens & models[j].screens) {
                return true;
            }
        }
    }
    return false;
}

/* Read anew, by whichever model's book, it is judged by the model that its facts choose. */
static void try_anew(const stave_book *book, const struct stave_text *text,
                     const stave_record *record)
{
    for (int m = 0; m < MODELS; m++) {
        char name[3] = {'V', (char)('0' + m), '\0'};
        stave_record *anew = NULL;
        assert_int_equal(stave_record_read_anew(NULL, stave_book_of(book, name),
                                                stave_book_of(book, "V0"), NULL, 0, text, &anew),
                         STAVE_OK);
        assert_ptr_equal(stave_record_book(anew), stave_record_book(record));
        stave_record_free(anew);
    }
}

static void try_record(const stave_book *book, const struct reach *models, size_t seen[3])
{
    static struct lines text;
    bool none;
    text.size = 0;
    add(&text, "propeller: P\nmodel: M\nbook: B A\naircraft: a\ninspector: i\ndate: 2026-11-25\n"
               "hours: 1 h\nfacts:\n");
    struct reach said = write_facts(&text);
    add(&text, "searched: none\nfindings:\n  - hub nick\nend: 1 finding\n");
    uint32_t found = enumerate(models, said, &none);
    const struct stave_text given = {"record.yaml", text.text, text.size};
    stave_record *record = NULL;
    enum stave_status status = stave_record_read(NULL, book, &given, &record);
    if (!found) {
        assert_int_equal(status, STAVE_PROBLEMS);
        assert_null(stave_record_book(record));
        seen[0]++;
        stave_record_free(record);
        return;
    }
    assert_int_equal(status, STAVE_OK);
    try_anew(book, &given, record);
    stave_verdict *verdict = NULL;
    assert_int_equal(stave_assess(NULL, record, &verdict), STAVE_OK);
    bool open = none || (found & (found - 1));
    assert_int_equal(verdict->model_open[0] != '\0', open);
    int by = verdict->book->model[1] - '0';
    assert_true(found >> by & 1);
    /* each model allows more than the one before it: V0 grounds, V1 and V2 fly */
    bool ground = (found & 1) != 0;
    assert_int_equal(by == 0, ground);
    assert_int_equal(verdict->flight, !open    ? ground ? STAVE_FLIGHT_NO : STAVE_FLIGHT_YES
                                      : ground && found == 1 ? STAVE_FLIGHT_NO
                                                             : STAVE_FLIGHT_UNKNOWN);
    seen[open ? 1 : 2]++;
    stave_verdict_free(verdict);
    stave_record_free(record);
}

static void test_choice(void **state)
{
    (void)state;
    size_t seen[3] = {0}, overlaps = 0;
    for (int round = 0; round < 1500; round++) {
        static struct lines text;
        struct reach models[MODELS];
        enum stave_status status;
        text.size = 0;
        add(&text, "stave 1\nbook B\n    edition \"A\"\nscale\n    fine\n  no flight\n    shop\n"
                   "part hub\nkind nick on hub\nlimit nick on hub\n    fine at any size\n"
                   "fact serial 1 .. 9\nfact screen one of plain, wrapped, none\n");
        for (int m = 0; m < MODELS; m++) {
            models[m] = write_model(&text, m);
            add(&text, m ? "" : "replace limit nick on hub\n    otherwise shop\n");
        }
        stave_book *book = read_text(text.text, &status);
        assert_int_equal(status, overlap(models) ? STAVE_PROBLEMS : STAVE_OK);
        for (int i = 0; status == STAVE_OK && i < 40; i++) {
            try_record(book, models, seen);
        }
        overlaps += status != STAVE_OK;
        stave_book_free(book);
    }
    print_message("records of no model %zu, open %zu, of one %zu; books that overlap %zu\n", seen[0],
                  seen[1], seen[2], overlaps);
    assert_true(seen[0] > 500 && seen[1] > 500 && seen[2] > 500 && overlaps > 500);
    assert_true(seen[0] + seen[1] + seen[2] >= 10000);
}

/* ---- an open model against each of those that may apply ----------------------------------------- */

enum { OPEN_KINDS = 3, OPEN_MODELS = 3, OPEN_FINDINGS = 4 };

static const char *const sorts[] = {"h", "days", "cycles"};

static void write_deadlines(struct lines *text)
{
    for (size_t i = 0; i < sizeof sorts / sizeof *sorts; i++) {
        if (random_below(4) == 0) {
            add(text, " within %u %s", (unsigned)(1 + random_below(30)), sorts[i]);
        }
        if (random_below(4) == 0) {
            add(text, " again within %u %s", (unsigned)(1 + random_below(30)), sorts[i]);
        }
    }
}

static void write_open_limit(struct lines *text, const char *before, int kind)
{
    int bound = 10 + (int)random_below(60);
    add(text, "%slimit k%d on blade\n", before, kind);
    if (random_below(3)) {
        add(text, "    fine depth up to 0.%02d in", bound);
        write_deadlines(text);
        add(text, "\n");
    }
    add(text, "    watch depth up to 0.%02d in", bound + (int)random_below(30));
    write_deadlines(text);
    add(text, "\n    otherwise %s\n", random_below(3) ? "shop" : "scrap");
}

static void write_open_model(struct lines *text, int model)
{
    add(text, "model V%d for M where screen is %s\n", model, screens[model]);
    for (int kind = 0; kind < OPEN_KINDS; kind++) {
        if (random_below(2)) {
            write_open_limit(text, "replace ", kind);
        }
        if (random_below(3) == 0) {
            add(text, "replace kind k%d on blade records depth\n    caution \"k%d of V%d\"\n", kind,
                kind, model);
        }
    }
    if (random_below(3) == 0) {
        add(text, "drop check shield\n");
    }
    if (random_below(3) == 0) {
        add(text, "drop search blade\n");
    }
}

/* Of the same findings and answers, with the models that may apply as `screens` (bits). */
static stave_verdict *assess_screens(const stave_book *book, const char *rest, uint32_t said,
                                     stave_record **record)
{
    static struct lines text;
    text.size = 0;
    add(&text, "propeller: P\nmodel: M\nbook: B A\naircraft: a\ninspector: i\ndate: 2026-11-25\n"
               "hours: 1 h\nblades: 2\nfacts:\n  screen: ");
    const char *joint = "";
    for (int i = 0; i < SCREENS; i++) {
        if (said >> i & 1) {
            add(&text, "%s%s", joint, screens[i]);
            joint = " or ";
        }
    }
    add(&text, "\n%s", rest);
    const struct stave_text given = {"record.yaml", text.text, text.size};
    stave_verdict *verdict = NULL;
    enum stave_status status = stave_record_read(NULL, book, &given, record);
    if (status != STAVE_OK) {
        stave_record_free(*record);
        return NULL;
    }
    assert_int_equal(stave_assess(NULL, *record, &verdict), STAVE_OK);
    return verdict;
}

/* The searches and checks; then, apart, the findings. */
static void write_open_answers(struct lines *text)
{
    add(text, "searched: %s\nchecks:", random_below(2) ? "[blade 1, blade 2]" : "[blade 1]");
    if (random_below(3)) {
        add(text, "\n  shield: [%s, %s]\n", random_below(2) ? "yes" : "no",
            random_below(2) ? "yes" : "no");
    } else {
        add(text, " none\n");
    }
}

static void write_open_findings(struct lines *text)
{
    add(text, "findings:\n");
    for (int i = 0; i < OPEN_FINDINGS; i++) {
        unsigned depth = random_below(90), more = random_below(10);
        add(text, "  - blade %u k%u", (unsigned)random_below(2) + 1,
            (unsigned)random_below(OPEN_KINDS));
        add(text, random_below(5) ? ", depth 0.%02u .. 0.%02u in\n" : "\n", depth, depth + more);
    }
    add(text, "end: %d findings\n", OPEN_FINDINGS);
}

static uint64_t possible_of(const struct stave_item *item)
{
    uint64_t set = 0;
    for (size_t i = 0; i < item->possible_count; i++) {
        set |= (uint64_t)1 << item->possible[i];
    }
    return set;
}

/* Each deadline of the list has one in the other that is no later. */
static void hold_deadlines(const struct stave_deadline *list, size_t count,
                           const struct stave_deadline *joined, size_t joined_count)
{
    for (size_t i = 0; i < count; i++) {
        bool found = false;
        const char *unit = strchr(list[i].within, ' ');
        for (size_t k = 0; k < joined_count; k++) {
            const char *other = strchr(joined[k].within, ' ');
            found |= list[i].look_again == joined[k].look_again && unit[1] == other[1] &&
                     strtol(joined[k].within, NULL, 10) <= strtol(list[i].within, NULL, 10);
        }
        assert_true(found);
    }
}

static const struct stave_item *find_item(const stave_verdict *verdict,
                                          const struct stave_item *like)
{
    for (size_t i = 0; i < verdict->item_count; i++) {
        const struct stave_item *item = &verdict->items[i];
        if (item->item == like->item && strcmp(item->id, like->id) == 0 &&
            strcmp(item->part, like->part) == 0 && strcmp(item->kind, like->kind) == 0) {
            return item;
        }
    }
    return NULL;
}

/* Nothing of it is better than one model alone says. */
static void hold_no_better(const stave_verdict *open, const stave_verdict *alone)
{
    for (size_t i = 0; i < alone->item_count; i++) {
        const struct stave_item *one = &alone->items[i], *all = find_item(open, one);
        assert_non_null(all);
        assert_true(all->outcome >= one->outcome);
        if (one->item == STAVE_FINDING) {
            assert_int_equal(possible_of(one) & ~possible_of(all), 0);
        }
        hold_deadlines(one->deadlines, one->deadline_count, all->deadlines, all->deadline_count);
    }
    hold_deadlines(alone->deadlines, alone->deadline_count, open->deadlines, open->deadline_count);
    for (size_t i = 0; i < alone->caution_count; i++) {
        bool found = false;
        for (size_t k = 0; k < open->caution_count; k++) {
            found |= strcmp(alone->cautions[i], open->cautions[k]) == 0;
        }
        assert_true(found);
    }
    for (size_t i = 0; i < alone->need_count; i++) {
        bool found = false;
        for (size_t k = 0; k < open->need_count; k++) {
            found |= strcmp(alone->needs[i].how, open->needs[k].how) == 0;
        }
        assert_true(found);
    }
    assert_true(open->best <= alone->best);
}

/* What it is said to come to comes of the model that is named; and of no finding more is possible
 * than by one of the models. */
static void hold_named(const stave_verdict *open, stave_verdict *const alone[OPEN_MODELS])
{
    for (size_t i = 0; i < open->item_count; i++) {
        const struct stave_item *all = &open->items[i];
        const char *name = all->by_model[0] ? all->by_model : open->book->model;
        uint64_t possible = 0;
        for (int m = 0; m < OPEN_MODELS && all->item != STAVE_MODEL; m++) {
            const struct stave_item *one = alone[m] ? find_item(alone[m], all) : NULL;
            possible |= one ? possible_of(one) : 0;
            if (alone[m] && strcmp(alone[m]->book->model, name) == 0) {
                assert_non_null(one);
                assert_int_equal(one->outcome, all->outcome);
                assert_string_equal(one->why_incomplete, all->why_incomplete);
                assert_int_equal(one->reason_count, all->reason_count);
                assert_true(!one->reason_count || one->reasons[0].line == all->reasons[0].line);
            }
        }
        if (all->item == STAVE_FINDING) {
            assert_int_equal(possible_of(all), possible);
        }
    }
}

/* By one model, which may not ask for the check: then its answer is left out. */
static stave_verdict *assess_alone(const stave_book *book, const char *answers,
                                   const char *findings, int model, stave_record **record)
{
    static struct lines rest;
    rest.size = 0;
    add(&rest, "%s%s", answers, findings);
    stave_verdict *verdict = assess_screens(book, rest.text, 1u << model, record);
    if (!verdict) {
        rest.size = 0;
        add(&rest, "%.*s%s", (int)(strstr(answers, "checks:") - answers), answers, findings);
        verdict = assess_screens(book, rest.text, 1u << model, record);
    }
    assert_non_null(verdict);
    return verdict;
}

/* How many items name another model than the verdict's; -1: the record is refused. */
static int try_open(const stave_book *book, const char *answers, const char *findings)
{
    static struct lines rest;
    rest.size = 0;
    add(&rest, "%s%s", answers, findings);
    stave_record *records[OPEN_MODELS + 1] = {NULL};
    stave_verdict *alone[OPEN_MODELS] = {NULL};
    uint32_t said = (uint32_t[]){3, 5, 6, 7}[random_below(4)];
    stave_verdict *open = assess_screens(book, rest.text, said, &records[OPEN_MODELS]);
    int others = open ? 0 : -1;
    bool ground = true;
    uint32_t best = UINT32_MAX;
    for (int m = 0; open && m < OPEN_MODELS; m++) {
        if (said >> m & 1) {
            alone[m] = assess_alone(book, answers, findings, m, &records[m]);
            hold_no_better(open, alone[m]);
            ground &= alone[m]->flight == STAVE_FLIGHT_NO;
            best = alone[m]->best < best ? alone[m]->best : best;
        }
    }
    if (open) {
        hold_named(open, alone);
        assert_int_equal(open->best, best);
        assert_int_equal(open->flight, ground ? STAVE_FLIGHT_NO : STAVE_FLIGHT_UNKNOWN);
        for (size_t i = 0; i < open->item_count; i++) {
            others += open->items[i].by_model[0] != '\0';
        }
        stave_verdict_free(open);
        stave_record_free(records[OPEN_MODELS]);
    }
    for (int m = 0; m < OPEN_MODELS; m++) {
        if (alone[m]) {
            stave_verdict_free(alone[m]);
            stave_record_free(records[m]);
        }
    }
    return others;
}

static void test_open(void **state)
{
    (void)state;
    size_t judged = 0, refused = 0, others = 0;
    for (int round = 0; round < 150; round++) {
        static struct lines text, answers, findings;
        enum stave_status status;
        text.size = 0;
        add(&text, "stave 1\nbook B\n    edition \"A\"\nscale\n    fine\n    watch\n  no flight\n"
                   "    shop\n    scrap\npart blade, 2\n    axis station 0 in .. 10 in\n"
                   "search blade \"all of it\"\nmeasure depth 0 in .. 1 in\n"
                   "observe worn yes or no\ncheck shield on blade records worn\n"
                   "    fine not worn\n    otherwise shop\n");
        for (int kind = 0; kind < OPEN_KINDS; kind++) {
            add(&text, "kind k%d on blade records depth\n", kind);
            write_open_limit(&text, "", kind);
        }
        add(&text, "fact screen one of plain, wrapped, none\n");
        for (int m = 0; m < OPEN_MODELS; m++) {
            write_open_model(&text, m);
        }
        stave_book *book = read_text(text.text, &status);
        assert_int_equal(status, STAVE_OK);
        for (int i = 0; i < 12; i++) {
            answers.size = findings.size = 0;
            write_open_answers(&answers);
            write_open_findings(&findings);
            int more = try_open(book, answers.text, findings.text);
            judged += more >= 0;
            refused += more < 0;
            others += more > 0 ? (size_t)more : 0;
        }
        stave_book_free(book);
    }
    print_message("open records %zu (refused %zu), items by another model than the verdict's %zu\n",
                  judged, refused, others);
    assert_true(judged >= 1500 && refused < judged / 10 && others >= 500);
}

/* ---- the calls -------------------------------------------------------------------------------- */

static void test_calls(void **state)
{
    (void)state;
    static struct lines text;
    enum stave_status status;
    text.size = 0;
    add(&text, "%smodel M \"the first\" for M, M-L where serial 1 .. 9\nmodel L like M per \"SB 1\"\n",
        base);
    stave_book *book = read_text(text.text, &status);
    assert_int_equal(status, STAVE_OK);
    assert_int_equal(stave_book_model_count(book), 2);
    const struct stave_model *first = stave_book_model(book, 0), *second = stave_book_model(book, 1);
    assert_string_equal(first->title, "the first");
    assert_string_equal(first->where, "serial 1 .. 9");
    assert_int_equal(first->model_count, 2);
    assert_string_equal(second->like, "M");
    assert_string_equal(second->source, "SB 1");
    assert_null(stave_book_model(book, 2));
    assert_null(stave_book_of(book, "M-L"));
    assert_int_equal(stave_book_facts(book)->model_count, 3);
    stave_outline *outline = NULL;
    assert_int_equal(stave_outline_make(NULL, book, &outline), STAVE_MISUSE);
    assert_int_equal(stave_outline_make(NULL, stave_book_of(book, "L"), &outline), STAVE_OK);
    assert_string_equal(outline->book->model, "L");
    stave_outline_free(outline);
    const struct stave_text line = {"line", "hub nick", 8};
    stave_record *record = NULL;
    assert_int_equal(stave_record_read_line(NULL, book, &line, &record), STAVE_MISUSE);
    stave_book_free(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_faults),
        cmocka_unit_test(test_differences),
        cmocka_unit_test(test_choice),
        cmocka_unit_test(test_open),
        cmocka_unit_test(test_calls),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
