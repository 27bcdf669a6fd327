/*
 * Inspections one after the other, by the public calls: deadlines at their exact end and one step to
 * either side of it, who is paired with whom, the order of the records, growth over random chains
 * held against plain integers, and memory that ends.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "fail_alloc.h"

enum { CHAINS = 5000, TEXT = 2000, MOST = 5 };

static const char book_text[] =
    "stave 1\n"
    "book B-1 \"test\"\n"
    "edition \"A\"\n"
    "for model B-1\n"
    "scale\n"
    "    good \"continue\"\n"
    "    watch \"continue\" again within 50 h\n"
    "    soon \"continue\" within 10 h\n"
    "    month \"continue\" within 30 days\n"
    "    turns \"continue\" within 20 cycles\n"
    "  no flight\n"
    "    shop \"send it\"\n"
    "part blade, 2\n"
    "    axis station 0 in .. 50 in read to 0.25 in\n"
    "search blade \"all of it\"\n"
    "measure length 0 in .. 9 in read to 0.01 in\n"
    "measure wall 0 in .. 9 in smaller is worse\n"
    "kind nick on blade records length\n"
    "kind wear on blade records length, wall\n"
    "limit nick on blade\n"
    "    good length up to 1 in\n"
    "    watch length up to 2 in\n"
    "    soon length up to 3 in\n"
    "    month length up to 4 in\n"
    "    turns length up to 5 in\n"
    "    otherwise shop\n"
    "limit wear on blade\n"
    "    good length grown by up to 1 in, any length, any wall\n"
    "    otherwise shop\n"
    "example \"one\"\n"
    "    blade 1 nick at station 3 in, length 1 in\n"
    "    gives good\n";

/* ---- a chain of records ---------------------------------------------------------------- */

struct given {
    const char *date, *hours, *more; /* lines that may follow */
    const char *searched;
    const char *findings[4];
};

struct chain {
    stave_book *book;
    stave_record *records[MOST];
    size_t count;
    stave_history *history;
    stave_verdict *verdict;
    char texts[MOST][TEXT];
};

static stave_book *book_open(void)
{
    struct stave_text text = {"book", book_text, sizeof book_text - 1};
    stave_book *book = NULL;
    assert_int_equal(stave_book_read(NULL, &text, &book), STAVE_OK);
    return book;
}

static void write_record(char *text, const struct given *given)
{
    int count = 0;
    int size = snprintf(text, TEXT,
                        "propeller: P-1\nmodel: B-1\nbook: B-1 A\naircraft: none\ninspector: nobody\n"
                        "date: %s\nhours: %s h\n%sblades: 2\nsearched: %s\nfindings:%s\n",
                        given->date, given->hours, given->more ? given->more : "",
                        given->searched ? given->searched : "[blade 1, blade 2]",
                        given->findings[0] ? "" : " none");
    for (; count < 4 && given->findings[count]; count++) {
        size += snprintf(text + size, TEXT - (size_t)size, "  - %s\n", given->findings[count]);
    }
    size += snprintf(text + size, TEXT - (size_t)size, "end: %d findings\n", count);
    assert_true(size < TEXT);
}

static void chain_add(struct chain *chain, const struct given *given)
{
    char *text = chain->texts[chain->count];
    write_record(text, given);
    struct stave_text record = {"record", text, strlen(text)};
    enum stave_status status =
        stave_record_read(NULL, chain->book, &record, &chain->records[chain->count]);
    if (status != STAVE_OK) {
        size_t count;
        fail_msg("%s\n%s", text,
                 stave_record_problems(chain->records[chain->count], &count)[0].message);
    }
    chain->count++;
}

/* The last of `given` is the one that is judged. */
static enum stave_status chain_make(struct chain *chain, const struct given *given, size_t count)
{
    *chain = (struct chain){.book = book_open()};
    for (size_t i = 0; i < count; i++) {
        chain_add(chain, &given[i]);
    }
    enum stave_status status =
        stave_history_make(NULL, chain->records[count - 1],
                           (const stave_record *const *)chain->records, count - 1, &chain->history);
    if (status == STAVE_OK) {
        assert_int_equal(stave_assess_since(NULL, chain->history, &chain->verdict), STAVE_OK);
    }
    return status;
}

static void chain_end(struct chain *chain)
{
    stave_verdict_free(chain->verdict);
    stave_history_free(chain->history);
    for (size_t i = 0; i < chain->count; i++) {
        stave_record_free(chain->records[i]);
    }
    stave_book_free(chain->book);
}

static const struct stave_problem *first_problem(const struct chain *chain, size_t *count)
{
    return stave_history_problems(chain->history, count);
}

/* ---- deadlines -------------------------------------------------------------------------- */

static void test_deadlines(void **state)
{
    static const struct {
        const char *length, *date, *hours, *more;
        enum stave_due due;
        const char *left;
        enum stave_flight flight;
    } cases[] = {
        /* to look again within 50 h of 812.4 h */
        {"2 in", "2026-10-21", "862.3", NULL, STAVE_DUE_MET, "0.1 h", STAVE_FLIGHT_YES},
        {"2 in", "2026-10-21", "862.4", NULL, STAVE_DUE_MET, "0 h", STAVE_FLIGHT_YES},
        {"2 in", "2026-10-21", "862.5", NULL, STAVE_DUE_LATE, "0.1 h", STAVE_FLIGHT_YES},
        /* to act within 10 h of 812.4 h: nothing left is too late to fly */
        {"3 in", "2026-10-21", "822.3", NULL, STAVE_DUE_RUNNING, "0.1 h", STAVE_FLIGHT_YES},
        {"3 in", "2026-10-21", "822.4", NULL, STAVE_DUE_OVERDUE, "0 h", STAVE_FLIGHT_NO},
        {"3 in", "2026-10-21", "822.5", NULL, STAVE_DUE_OVERDUE, "0.1 h", STAVE_FLIGHT_NO},
        {"3 in", "2026-10-21", "823", "repaired: [N]\n", STAVE_DUE_LATE, "0.6 h", STAVE_FLIGHT_YES},
        {"3 in", "2026-10-21", "822", "repaired: [N]\n", STAVE_DUE_MET, "0.4 h", STAVE_FLIGHT_YES},
        /* within 30 days of 2026-10-20: the last day is left whole */
        {"4 in", "2026-11-18", "813", NULL, STAVE_DUE_RUNNING, "1 day", STAVE_FLIGHT_YES},
        {"4 in", "2026-11-19", "813", NULL, STAVE_DUE_RUNNING, "0 days", STAVE_FLIGHT_YES},
        {"4 in", "2026-11-20", "813", NULL, STAVE_DUE_OVERDUE, "1 day", STAVE_FLIGHT_NO},
        /* within 20 cycles of 1000 */
        {"5 in", "2026-10-21", "813", "cycles: 1019 cycles\n", STAVE_DUE_RUNNING, "1 cycle",
         STAVE_FLIGHT_YES},
        {"5 in", "2026-10-21", "813", "cycles: 1020 cycles\n", STAVE_DUE_OVERDUE, "0 cycles",
         STAVE_FLIGHT_NO},
        {"5 in", "2026-10-21", "813", "cycles: 1021 cycles\n", STAVE_DUE_OVERDUE, "1 cycle",
         STAVE_FLIGHT_NO},
        {"5 in", "2026-10-21", "813", NULL, STAVE_DUE_UNKNOWN, NULL, STAVE_FLIGHT_UNKNOWN},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char line[100];
        struct chain chain;
        snprintf(line, sizeof line, "N: blade 1 nick at station 3 in, length %s", cases[i].length);
        struct given given[] = {
            {"2026-10-20", "812.4", "cycles: 1000 cycles\n", NULL, {line}},
            {cases[i].date, cases[i].hours, cases[i].more, NULL, {line}},
        };
        assert_int_equal(chain_make(&chain, given, 2), STAVE_OK);
        assert_int_equal(chain.verdict->carried_count, 1);
        const struct stave_deadline *deadline = &chain.verdict->carried[0].deadline;
        assert_int_equal(deadline->state, cases[i].due);
        if (cases[i].left) {
            assert_string_equal(deadline->left, cases[i].left);
        } else {
            assert_null(deadline->left);
        }
        assert_int_equal(chain.verdict->flight, cases[i].flight);
        chain_end(&chain);
    }
    printf("%zu deadlines\n", sizeof cases / sizeof *cases);
}

/* A new deadline puts none off, and a better reading ends none; a repair in between does. */
static void test_carried(void **state)
{
    (void)state;
    static const char three[] = "N: blade 1 nick at station 3 in, length 3 in";
    static const char small[] = "N: blade 1 nick at station 3 in, length 0.5 in";
    struct chain chain;
    struct given twice[] = {{"2026-10-20", "800", NULL, NULL, {three}},
                            {"2026-10-21", "806", NULL, NULL, {three}},
                            {"2026-10-22", "811", NULL, NULL, {three}}};
    assert_int_equal(chain_make(&chain, twice, 3), STAVE_OK);
    assert_int_equal(chain.verdict->flight, STAVE_FLIGHT_NO);
    assert_string_equal(chain.verdict->deadlines[0].due, "810 h");
    assert_string_equal(chain.verdict->deadlines[0].set, "2026-10-20 at 800 h");
    chain_end(&chain);

    struct given better[] = {twice[0], twice[1], {"2026-10-22", "811", NULL, NULL, {small}}};
    assert_int_equal(chain_make(&chain, better, 3), STAVE_OK);
    assert_int_equal(chain.verdict->flight, STAVE_FLIGHT_NO);
    chain_end(&chain);

    struct given repaired[] = {twice[0], {"2026-10-21", "806", "repaired: [N]\n", NULL, {NULL}},
                               {"2026-10-22", "811", NULL, NULL, {NULL}}};
    assert_int_equal(chain_make(&chain, repaired, 3), STAVE_OK);
    assert_int_equal(chain.verdict->flight, STAVE_FLIGHT_YES);
    assert_int_equal(chain.verdict->carried_count, 0);
    chain_end(&chain);

    /* Repaired, but still there as large: its time begins with that inspection. */
    struct given still[] = {twice[0], {"2026-10-21", "806", "repaired: [N]\n", NULL, {three}},
                            {"2026-10-22", "811", NULL, NULL, {three}}};
    assert_int_equal(chain_make(&chain, still, 3), STAVE_OK);
    assert_int_equal(chain.verdict->flight, STAVE_FLIGHT_YES);
    assert_string_equal(chain.verdict->deadlines[0].due, "816 h");
    chain_end(&chain);
}

/* ---- who is who --------------------------------------------------------------------------- */

static void test_gone(void **state)
{
    (void)state;
    struct chain chain;
    struct given given[] = {
        {"2026-10-20", "800", NULL, NULL, {"N: blade 1 nick at station 3 in, length 0.5 in"}},
        {"2026-10-21", "801", NULL, NULL, {NULL}},
        {"2026-10-22", "802", NULL, NULL, {NULL}}};
    assert_int_equal(chain_make(&chain, given, 3), STAVE_OK);
    assert_int_equal(chain.verdict->flight, STAVE_FLIGHT_UNKNOWN);
    const struct stave_item *last = &chain.verdict->items[chain.verdict->item_count - 1];
    assert_int_equal(last->item, STAVE_EARLIER);
    assert_string_equal(last->id, "N");
    assert_string_equal(last->why_incomplete, "not found again, and not said to be repaired");
    chain_end(&chain);
    given[2].more = "repaired: [N; dressed out]\n";
    assert_int_equal(chain_make(&chain, given, 3), STAVE_OK);
    assert_int_equal(chain.verdict->flight, STAVE_FLIGHT_YES);
    assert_int_equal(chain.verdict->repaired_count, 1);
    assert_string_equal(chain.verdict->repaired[0].remark, "dressed out");
    assert_string_equal(chain.verdict->repaired[0].kind, "nick");
    chain_end(&chain);
}

static void test_seen(void **state)
{
    static const struct {
        const char *searched, *before, *now;
        enum stave_seen seen;
        const char *first; /* of length; NULL: not known */
    } cases[] = {
        {"[blade 1, blade 2]", NULL, "N: blade 1 nick, length 1 in", STAVE_SEEN_NEW, NULL},
        {"[blade 2]", NULL, "N: blade 1 nick, length 1 in", STAVE_SEEN_UNKNOWN, NULL},
        {"[blade 2]", NULL, "N: blade 1 nick, length 1 in, new", STAVE_SEEN_NEW, NULL},
        {"none", "N: blade 1 nick, length 1 in", "N: blade 1 nick, length 1 in", STAVE_SEEN_BEFORE,
         "0 .. 1 in"},
        {"none", "N: blade 1 nick, length 1 in, new", "N: blade 1 nick, length 1 in",
         STAVE_SEEN_BEFORE, "1 in"},
        {"none", "N: blade 1 nick, length 1 in, first length 0.4 in",
         "N: blade 1 nick, length 1 in", STAVE_SEEN_BEFORE, "0.4 in"},
        {"none", "N: blade 1 nick, length 1 in", "N: blade 1 nick, length 1 in, first length 0.2 in",
         STAVE_SEEN_BEFORE, "0.2 in"},
        {"none", "blade 1 nick, length 1 in, new", "F1: blade 1 nick, length 1 in",
         STAVE_SEEN_BEFORE, "1 in"},
        {"none", "N: blade 1 nick, length not measured", "N: blade 1 nick, length 1 in",
         STAVE_SEEN_BEFORE, NULL},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct chain chain;
        struct given given[] = {
            {"2026-10-20", "800", NULL, cases[i].searched, {cases[i].before}},
            {"2026-10-21", "801", NULL, NULL, {cases[i].now}},
        };
        assert_int_equal(chain_make(&chain, given, 2), STAVE_OK);
        const struct stave_item *item = &chain.verdict->items[0];
        assert_int_equal(item->seen, cases[i].seen);
        const char *first = item->growth_count ? item->growths[0].first : NULL;
        assert_true(!first == !cases[i].first);
        if (first) {
            assert_string_equal(first, cases[i].first);
        }
        chain_end(&chain);
    }
}

static void test_refused(void **state)
{
    static const struct {
        const char *before, *now, *code;
    } cases[] = {
        {"N: blade 1 nick, length 1 in", "N: blade 2 nick, length 1 in", "other-damage"},
        {"N: blade 1 nick, length 1 in", "N: blade 1 wear, length 1 in", "other-damage"},
        {"blade 1 nick, length 1 in", "blade 1 nick, length 1 in", "no-id"},
        {"N: blade 1 nick at station 3 in, length 1 in",
         "N: blade 1 nick at station 3.51 in, length 1 in", "moved"},
        {"N: blade 1 nick, length 1 in", "N: blade 1 nick, length 1 in, new", "contradicts"},
        {"N: blade 1 nick, length 1 in", "N: blade 1 nick, length 1 in, was length 0.9 in",
         "contradicts"},
        {"N: blade 1 nick, length 1 in", "N: blade 1 nick, length 1 in, first length 1.01 in",
         "contradicts"},
        {"N: blade 1 nick, length 1 in, new", "N: blade 1 nick, length 1 in, first length 0.9 in",
         "contradicts"},
        {"M: blade 1 nick, length 1 in",
         "N: blade 1 nick, length 1 in, was length 0.9 in", "contradicts"},
        /* each one step nearer is taken */
        {"N: blade 1 nick at station 3 in, length 1 in",
         "N: blade 1 nick at station 3.5 in, length 1 in", NULL},
        {"N: blade 1 nick, length 1 in", "N: blade 1 nick, length 1 in, was length 1 in", NULL},
        {"N: blade 1 nick, length 1 in", "N: blade 1 nick, length 1 in, first length 1 in", NULL},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct chain chain;
        size_t count;
        struct given given[] = {{"2026-10-20", "800", NULL, NULL, {cases[i].before}},
                                {"2026-10-21", "801", NULL, NULL, {cases[i].now}}};
        enum stave_status status = chain_make(&chain, given, 2);
        assert_int_equal(status, cases[i].code ? STAVE_PROBLEMS : STAVE_OK);
        const struct stave_problem *problem = first_problem(&chain, &count);
        assert_int_equal(count, cases[i].code ? 1 : 0);
        if (cases[i].code) {
            assert_string_equal(problem->code, cases[i].code);
            assert_non_null(problem->second_message);
            stave_verdict *none;
            assert_int_equal(stave_assess_since(NULL, chain.history, &none), STAVE_MISUSE);
        }
        chain_end(&chain);
    }
}

/* A record between two that says less does not part them. */
static void test_nothing_said_between(void **state)
{
    static const struct {
        const char *first, *between, *last, *code, *outcome;
    } cases[] = {
        {"length 6 in", "length not measured", "length 0.5 in", "got-better", "shop"},
        {"length 6 in", "length 0.5 .. 9 in", "length 0.5 in", "got-better", "shop"},
        {"length 6 in", "length 0.5 in", "length 0.5 in", NULL, "good"},
        {"length 0.5 in", "length not measured", "length 0.5 in", NULL, "good"},
        {"length 0.5 in", "length 0.4 .. 0.6 in", "length 0.5 in", NULL, "good"},
        {"at station 3 in, length 1 in", "length 1 in", "at station 4 in, length 1 in", "moved",
         NULL},
        {"at station 3 in, length 1 in", "at station 1 .. 9 in, length 1 in",
         "at station 3.5 in, length 1 in", NULL, "good"},
        {"at station 3 in, length 1 in", "at station 4 +/- 2 in, length 1 in",
         "at station 5 in, length 1 in", "moved", NULL},
        {"at station 3 in, length 1 in", "at station 3.5 in, length 1 in",
         "at station 4 in, length 1 in", NULL, "good"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const char *const told[] = {cases[i].first, cases[i].between, cases[i].last};
        char lines[3][100];
        struct given given[3];
        for (size_t n = 0; n < 3; n++) {
            static const char *const hours[] = {"800", "801", "802"};
            snprintf(lines[n], sizeof lines[n], "N: blade 1 nick%s%s",
                     strncmp(told[n], "at", 2) == 0 ? " " : ", ", told[n]);
            given[n] = (struct given){"2026-10-20", hours[n], NULL, NULL, {lines[n]}};
        }
        struct chain chain;
        size_t count;
        bool refused = cases[i].code && !cases[i].outcome;
        assert_int_equal(chain_make(&chain, given, 3), refused ? STAVE_PROBLEMS : STAVE_OK);
        const struct stave_problem *problem = first_problem(&chain, &count);
        assert_int_equal(count, cases[i].code ? 1 : 0);
        if (cases[i].code) {
            assert_string_equal(problem->code, cases[i].code);
        }
        if (!refused) {
            const struct stave_item *item = &chain.verdict->items[0];
            assert_string_equal(chain.verdict->book->scale[item->outcome].name,
                                cases[i].outcome);
        }
        chain_end(&chain);
    }
}

/* ---- random chains ------------------------------------------------------------------------- */

static uint64_t chance_state;

static int chance(int below)
{
    chance_state = chance_state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (int)((chance_state >> 33) % (unsigned)below);
}

/* In hundredths. */
struct span {
    int low, high;
    bool given;
};

static struct span draw(int around)
{
    int low = around + chance(40), high = chance(2) ? low : low + chance(20);
    return (struct span){low, high, chance(8) > 0};
}

static int say_span(char *text, const char *name, struct span span)
{
    return span.given ? sprintf(text, ", %s %d.%02d .. %d.%02d in", name, span.low / 100,
                                span.low % 100, span.high / 100, span.high % 100)
                      : sprintf(text, ", %s not measured", name);
}

static bool is_hundredths(const struct stave_figure *figure, int wanted)
{
    char text[40];
    long over = 100, value = wanted;
    for (long by = 2; by <= 5; by += 3) {
        while (over % by == 0 && value % by == 0) {
            over /= by;
            value /= by;
        }
    }
    if (over == 1) {
        snprintf(text, sizeof text, "%ld", value);
    } else {
        snprintf(text, sizeof text, "%ld/%ld", value, over);
    }
    return strcmp(figure->exact, text) == 0;
}

/* What is read now, where it got better beyond doubt by more than a step of 0.01 in; the wall has
 * no step. */
static struct span held(struct span before, struct span now, bool smaller_is_worse)
{
    bool better = smaller_is_worse ? now.low > before.high : now.high + 1 < before.low;
    if (!before.given || !now.given || !better) {
        return now;
    }
    return (struct span){now.low < before.low ? now.low : before.low,
                         now.high > before.high ? now.high : before.high, true};
}

/* What the reading after `now` is held against: `now`, unless it is missing or its better end is
 * better than that of the one before. `taken` is `now` as it counts, which got better beyond doubt
 * where the two differ. */
static struct span firmer(struct span firm, struct span now, struct span taken,
                          bool smaller_is_worse)
{
    if (!now.given) {
        return firm;
    }
    bool better = taken.low != now.low || taken.high != now.high;
    bool open = smaller_is_worse ? now.high > firm.high : now.low + 1 < firm.low;
    return firm.given && open && !better ? firm : taken;
}

static void hold_growth(const struct stave_item *item, const char *name, struct span first,
                        struct span before, struct span now, bool smaller_is_worse)
{
    const struct stave_growth *growth = NULL;
    for (size_t i = 0; i < item->growth_count; i++) {
        if (strcmp(item->growths[i].name, name) == 0) {
            growth = &item->growths[i];
        }
    }
    if (!before.given && !first.given) {
        assert_null(growth);
        return;
    }
    assert_non_null(growth);
    struct span none = {0, 900, false};
    now = now.given ? now : none;
    const struct span spans[] = {before, first};
    const struct stave_figure *const figures[] = {&growth->grown_low, &growth->grown_high,
                                                  &growth->first_low, &growth->first_high};
    for (int i = 0; i < 2; i++) {
        const struct span *was = &spans[i];
        if (!was->given) {
            assert_string_equal(figures[2 * i]->exact, "");
            continue;
        }
        assert_true(is_hundredths(figures[2 * i],
                                  smaller_is_worse ? was->low - now.high : now.low - was->high));
        assert_true(is_hundredths(figures[2 * i + 1],
                                  smaller_is_worse ? was->high - now.low : now.high - was->low));
    }
}

static void test_random_chains(void **state)
{
    long better = 0;
    (void)state;
    for (int n = 0; n < CHAINS; n++) {
        chance_state = (uint64_t)n;
        struct given given[MOST];
        char lines[MOST][200], hours[MOST][20];
        struct span length = {0}, wall = {0}, first_length = {0}, first_wall = {0};
        struct span last_length = {0}, last_wall = {0}, firm_length = {0}, firm_wall = {0};
        size_t count = 2 + (size_t)chance(3), now = count - 1;
        for (size_t i = 0; i < count; i++) {
            struct span l = draw(60 * (int)i * (chance(4) > 0)), w = draw(400 - 60 * (int)i);
            int size = sprintf(lines[i], "W: blade 1 wear at station 3 in");
            size += say_span(lines[i] + size, "length", l);
            say_span(lines[i] + size, "wall", w);
            if (i == 0) {
                strcat(lines[i], ", new");
            }
            last_length = length;
            last_wall = wall;
            length = held(firm_length, l, false);
            wall = held(firm_wall, w, true);
            firm_length = firmer(firm_length, l, length, false);
            firm_wall = firmer(firm_wall, w, wall, true);
            better += length.low != l.low || length.high != l.high;
            first_length = i ? first_length : l;
            first_wall = i ? first_wall : w;
            snprintf(hours[i], sizeof hours[i], "%zu", 800 + i);
            given[i] = (struct given){"2026-10-20", hours[i], NULL, NULL, {lines[i]}};
        }
        /* The earlier ones in any order. */
        size_t a = (size_t)chance((int)now), b = (size_t)chance((int)now);
        struct given swapped = given[a];
        given[a] = given[b];
        given[b] = swapped;
        struct chain chain;
        assert_int_equal(chain_make(&chain, given, count), STAVE_OK);
        const struct stave_item *item = &chain.verdict->items[0];
        assert_int_equal(item->seen, STAVE_SEEN_BEFORE);
        hold_growth(item, "length", first_length, last_length, length, false);
        hold_growth(item, "wall", first_wall, last_wall, wall, true);
        assert_int_equal(chain.verdict->before_count, now);
        assert_string_equal(chain.verdict->before[0].hours, "800 h");
        chain_end(&chain);
    }
    printf("%d chains, %ld readings better beyond doubt\n", CHAINS, better);
    assert_true(better > CHAINS / 20);
}

/* ---- memory, and wrong calls ------------------------------------------------------------------ */

static void test_no_memory(void **state)
{
    (void)state;
    struct chain chain;
    struct given given[] = {
        {"2026-10-20", "800", NULL, NULL,
         {"N: blade 1 nick at station 3 in, length 3 in", "M: blade 2 nick, length 1 in"}},
        {"2026-10-21", "811", NULL, NULL, {"N: blade 1 nick at station 3 in, length 2.5 in"}}};
    assert_int_equal(chain_make(&chain, given, 2), STAVE_OK);
    struct fail_alloc memory = {0};
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    struct stave_host host = {.allocator = &allocator};
    size_t refused = 0;
    for (size_t at = 1;; at++) {
        stave_history *history = NULL;
        stave_verdict *verdict = NULL;
        fail_alloc_arm(&memory, at, at % 2 != 0);
        enum stave_status status =
            stave_history_make(&host, chain.records[1],
                               (const stave_record *const *)chain.records, 1, &history);
        if (status == STAVE_OK) {
            status = stave_assess_since(&host, history, &verdict);
        }
        bool any = memory.refused > 0;
        fail_alloc_disarm(&memory);
        assert_int_equal(status, any ? STAVE_NO_MEMORY : STAVE_OK);
        if (verdict) {
            assert_int_equal(verdict->flight, STAVE_FLIGHT_NO);
        }
        stave_verdict_free(verdict);
        stave_history_free(history);
        assert_int_equal(memory.live_blocks, 0);
        if (!any) {
            break;
        }
        refused++;
    }
    assert_true(refused > 5);
    printf("%zu refusals\n", refused);
    chain_end(&chain);
}

static void test_misuse(void **state)
{
    (void)state;
    struct chain chain, other;
    stave_history *history = NULL;
    stave_verdict *verdict = NULL;
    struct given given[] = {{"2026-10-20", "800", NULL, NULL, {NULL}}};
    assert_int_equal(chain_make(&chain, given, 1), STAVE_OK); /* alone is a history too */
    assert_int_equal(chain.verdict->flight, STAVE_FLIGHT_YES);
    assert_int_equal(chain_make(&other, given, 1), STAVE_OK);
    const stave_record *const foreign[] = {other.records[0]}; /* of a book that is not the same handle */
    const stave_record *const none[] = {NULL};
    assert_int_equal(stave_history_make(NULL, chain.records[0], foreign, 1, &history), STAVE_MISUSE);
    assert_int_equal(stave_history_make(NULL, chain.records[0], none, 1, &history), STAVE_MISUSE);
    assert_int_equal(stave_history_make(NULL, NULL, NULL, 0, &history), STAVE_MISUSE);
    assert_int_equal(stave_assess_since(NULL, NULL, &verdict), STAVE_MISUSE);
    stave_history_free(NULL);
    chain_end(&chain);
    chain_end(&other);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_deadlines),     cmocka_unit_test(test_carried),
        cmocka_unit_test(test_gone),          cmocka_unit_test(test_seen),
        cmocka_unit_test(test_refused),       cmocka_unit_test(test_nothing_said_between),
        cmocka_unit_test(test_random_chains),
        cmocka_unit_test(test_no_memory),     cmocka_unit_test(test_misuse),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
