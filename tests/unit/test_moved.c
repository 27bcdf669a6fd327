/*
 * Propellers that an edition gives to another model of a family: whatever stave_compare says is held against every
 * propeller judged by both editions. Each model has one outcome for all damage, so that only which model takes a
 * propeller can make a difference.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "random_text.h"
#include "stave.h"

enum { SERIALS = 5, NAMES = 3, MODELS = 3 };

static const char *const outcomes[MODELS] = {"shop", "poor", "fine"};
static const char *const names[NAMES] = {"P1", "P2", "P3"};

static uint32_t seed = 20261126;
static uint32_t drawn, others[2], by; /* two draws come out otherwise, by so much; 0: none does */

static uint32_t random_below(uint32_t limit)
{
    seed = seed * 1664525u + 1013904223u;
    bool other = drawn == others[0] || drawn == others[1];
    drawn++;
    return ((seed >> 8) + (other ? by : 0)) % limit;
}

/* ---- editions -------------------------------------------------------------------------------- */

struct edition {
    stave_book *book;
    char letter;
    bool family;
    uint32_t serials;        /* 0: it knows no such fact */
    char models[MODELS][16]; /* the models, or one without a name */
    uint32_t model_count;
    uint32_t seed; /* with which it was drawn */
};

static uint32_t some_names(void)
{
    return 1 + random_below((1u << NAMES) - 1);
}

/* Of no name it is for its own, which no propeller has. */
static void add_names(struct lines *text, const char *joint, uint32_t some)
{
    for (uint32_t i = 0; i < NAMES; i++) {
        if (some >> i & 1) {
            add(text, "%s%s", joint, names[i]);
            joint = ", ";
        }
    }
}

static void add_where(struct lines *text, const struct edition *edition)
{
    uint32_t from = 1 + random_below(edition->serials ? edition->serials : 1);
    uint32_t to = edition->serials ? from + random_below(edition->serials + 1 - from) : 0;
    bool mod = random_below(3) == 0;
    const char *joint = " where ";
    if (edition->serials && random_below(4)) {
        add(text, "%sserial %u .. %u", joint, (unsigned)from, (unsigned)to);
        joint = ", ";
    }
    if (mod) {
        add(text, "%s%s", joint, random_below(2) ? "modified" : "not modified");
    }
    add(text, "\n");
}

/* Gives a name to the model after the one that has it; NAMES: none. */
static void pass_on(uint32_t *served, uint32_t count, uint32_t name)
{
    uint32_t last = served[count - 1];
    for (uint32_t m = count; name < NAMES && m-- > 0;) {
        uint32_t had = (m ? served[m - 1] : last) >> name & 1;
        served[m] = (served[m] & ~(1u << name)) | had << name;
    }
}

/* An edition whose models take no propeller in common: others are refused, and made anew. Often it is almost `like`. */
static void write_edition(struct edition *edition, char letter, bool family,
                          const struct edition *like)
{
    static struct lines text;
    enum stave_status status;
    do {
        uint32_t own = random_below(1u << 24), change = random_below(1u << 16);
        uint32_t kept = seed;
        uint32_t served[MODELS] = {0}, passed = NAMES;
        drawn = by = 0;
        if (like && change % 4) {
            own = like->seed;
            passed = change % (2 * NAMES);
            by = passed < NAMES ? 0 : change / 4 % 8;
            others[0] = change / 32 % 16;
            others[1] = change / 512 % 16;
        }
        seed = own;
        *edition =
            (struct edition){.letter = letter, .family = family, .model_count = 1, .seed = own};
        text.size = 0;
        add(&text, "stave 1\nbook B\n    edition \"%c\"", letter);
        if (!family) {
            add_names(&text, "\n    for model ", some_names());
        }
        add(&text,
            "\nscale\n    fine\n    poor\n  no flight\n    shop\npart hub\n"
            "kind nick on hub\nlimit nick on hub\n    %s at any size\n",
            outcomes[random_below(MODELS)]);
        if (family) {
            edition->serials = random_below(8) == 0 ? 0 : random_below(4) ? SERIALS : SERIALS - 2;
            edition->model_count = 2 + random_below(MODELS - 1);
            if (edition->serials) {
                add(&text, "fact serial 1 .. %u\n", (unsigned)edition->serials);
            }
            add(&text, "fact modified yes or no\n");
            for (uint32_t m = 0; m < edition->model_count; m++) {
                served[m] = some_names();
            }
            pass_on(served, edition->model_count, passed);
        }
        for (uint32_t m = 0; family && m < edition->model_count; m++) {
            snprintf(edition->models[m], sizeof edition->models[m], "V%u", (unsigned)m);
            add(&text, "model V%u ", (unsigned)m);
            add_names(&text, "for ", served[m]);
            add_where(&text, edition);
            add(&text, "    replace limit nick on hub\n        %s at any size\n", outcomes[m]);
        }
        const struct stave_text given = {"book.stave", text.text, text.size};
        status = stave_book_read(NULL, &given, &edition->book);
        if (status != STAVE_OK) {
            stave_book_free(edition->book);
        }
        seed = kept;
        by = 0;
    } while (status != STAVE_OK);
}

static const stave_book *book_of(const struct edition *edition, uint32_t model)
{
    return edition->family ? stave_book_of(edition->book, edition->models[model]) : edition->book;
}

/* ---- propellers ---------------------------------------------------------------------------- */

/* What an inspector wrote of a propeller. */
struct propeller {
    const char *name;
    uint32_t from, to; /* serials; 0: not recorded */
    int modified;      /* -1: not recorded */
    bool no_facts;     /* the record says nothing of facts */
};

struct answer {
    bool judged;
    enum stave_flight flight;
    uint32_t outcome;
    uint32_t models; /* bit n: it may be of the n-th */
};

static struct answer judge(const struct edition *edition, const struct propeller *propeller)
{
    static struct lines text;
    struct answer answer = {false, STAVE_FLIGHT_UNKNOWN, 0, 0};
    text.size = 0;
    add(&text,
        "propeller: P\nmodel: %s\nbook: B %c\naircraft: a\ninspector: i\ndate: 2026-11-25\n"
        "hours: 1 h\n",
        propeller->name, edition->letter);
    bool said = false;
    if (edition->family && !propeller->no_facts) {
        add(&text, "facts:\n");
        /* a serial that the edition does not know of cannot be written */
        if (propeller->from && propeller->to <= edition->serials) {
            add(&text, "  serial: %u .. %u\n", (unsigned)propeller->from, (unsigned)propeller->to);
            said = true;
        }
        if (propeller->modified >= 0) {
            add(&text, "  modified: %s\n", propeller->modified ? "yes" : "no");
            said = true;
        }
        if (!said) {
            text.size--;
            add(&text, " none\n");
        }
    }
    add(&text, "searched: none\nfindings:\n  - hub nick\nend: 1 finding\n");
    const struct stave_text given = {"record.yaml", text.text, text.size};
    stave_record *record = NULL;
    stave_verdict *verdict = NULL;
    if (stave_record_read(NULL, edition->book, &given, &record) == STAVE_OK) {
        assert_int_equal(stave_assess(NULL, record, &verdict), STAVE_OK);
        answer = (struct answer){true, verdict->flight, verdict->outcome, 0};
        for (uint32_t m = 0; m < edition->model_count; m++) {
            char quoted[24];
            snprintf(quoted, sizeof quoted, "'%s'", edition->models[m]);
            bool may =
                !edition->family ||
                (verdict->model_open[0] ? strstr(verdict->model_open, quoted) != NULL
                                        : strcmp(verdict->book->model, edition->models[m]) == 0);
            answer.models |= (uint32_t)may << m;
        }
    }
    stave_verdict_free(verdict);
    stave_record_free(record);
    return answer;
}

/* ---- a comparison held against them ------------------------------------------------------------ */

enum { PROPELLERS = NAMES * (3 * (1 + SERIALS * (SERIALS + 1) / 2) + 1) };

struct judged {
    struct propeller propeller;
    struct answer answers[2];
};

static size_t judge_all(const struct edition *first, const struct edition *second,
                        struct judged *judged)
{
    size_t count = 0;
    for (uint32_t n = 0; n < NAMES; n++) {
        for (int modified = -1; modified < 2; modified++) {
            for (uint32_t from = 0; from <= SERIALS; from++) {
                for (uint32_t to = from; to <= (from ? SERIALS : 0); to++) {
                    judged[count++].propeller =
                        (struct propeller){names[n], from, to, modified, false};
                }
            }
        }
        judged[count++].propeller = (struct propeller){names[n], 0, 0, -1, true};
    }
    assert_true(count <= PROPELLERS);
    for (size_t i = 0; i < count; i++) {
        judged[i].answers[0] = judge(first, &judged[i].propeller);
        judged[i].answers[1] = judge(second, &judged[i].propeller);
    }
    return count;
}

static bool is_better(const struct answer *first, const struct answer *second)
{
    return second->judged && second->flight == STAVE_FLIGHT_YES &&
           (!first->judged || first->flight != STAVE_FLIGHT_YES ||
            second->outcome < first->outcome);
}

/* Is there a propeller of one model in the first and of another in the second, as is told? */
static bool moves(const struct edition *first, const struct edition *second,
                  const struct judged *judged, size_t count, const struct stave_unlike *unlike)
{
    for (size_t i = 0; i < count; i++) {
        for (uint32_t m = 0; m < MODELS * MODELS; m++) {
            char from[40], to[40];
            uint32_t a = m / MODELS, b = m % MODELS;
            if (judged[i].answers[0].models >> a & judged[i].answers[1].models >> b & 1) {
                snprintf(from, sizeof from, "by %s%s", first->family ? "model " : "B",
                         first->models[a]);
                snprintf(to, sizeof to, "by %s%s", second->family ? "model " : "B",
                         second->models[b]);
                if (strcmp(from, unlike->first) == 0 && strcmp(to, unlike->second) == 0) {
                    return true;
                }
            }
        }
    }
    return false;
}

struct tally {
    size_t same, stricter, looser, better, moved;
};

static void hold(const struct edition *first, uint32_t one, const struct edition *second,
                 uint32_t other, const struct judged *judged, size_t count, struct tally *tally)
{
    stave_compared *compared = NULL;
    assert_int_equal(
        stave_compare(NULL, book_of(first, one), book_of(second, other), NULL, 0, NULL, &compared),
        STAVE_OK);
    bool loosens = compared->looser > 0, better = false;
    bool facts_alike = !first->serials || !second->serials || first->serials == second->serials;
    for (size_t i = 0; i < compared->unlike_count; i++) {
        loosens = loosens || compared->unlike[i].loosens;
        if (strcmp(compared->unlike[i].what, "propellers of another model now") == 0) {
            tally->moved++;
            assert_true(!facts_alike || moves(first, second, judged, count, &compared->unlike[i]));
        }
    }
    for (size_t i = 0; i < count; i++) {
        const struct answer *answers = judged[i].answers;
        if ((answers[0].models >> one & 1) || (answers[1].models >> other & 1)) {
            better = better || is_better(&answers[0], &answers[1]);
            /* the same: also for what is of no model; where it is open, other models may ground it or not */
            assert_true(compared->answer != STAVE_PROVED ||
                        (answers[0].judged == answers[1].judged &&
                         answers[0].outcome == answers[1].outcome));
        }
    }
    assert_true(loosens || !better);
    tally->better += better;
    tally->looser += loosens;
    tally->same += compared->answer == STAVE_PROVED;
    tally->stricter += !loosens && compared->answer != STAVE_PROVED;
    stave_compared_free(compared);
}

static void test_moved(void **state)
{
    (void)state;
    struct tally tally = {0};
    for (int round = 0; round < 500; round++) {
        static struct judged judged[PROPELLERS];
        struct edition first, second;
        uint32_t plain = random_below(6);
        write_edition(&first, 'A', plain != 0, NULL);
        write_edition(&second, 'B', plain != 1, &first);
        size_t count = judge_all(&first, &second, judged);
        for (uint32_t m = 0; m < MODELS; m++) {
            uint32_t one = first.family ? m : 0, other = second.family ? m : 0;
            if (one < first.model_count && other < second.model_count) {
                hold(&first, one, &second, other, judged, count, &tally);
            }
        }
        stave_book_free(first.book);
        stave_book_free(second.book);
    }
    print_message(
        "same %zu, nowhere looser %zu, looser %zu (to some propeller's good %zu), moves %zu\n",
        tally.same, tally.stricter, tally.looser, tally.better, tally.moved);
    assert_true(tally.same > 200 && tally.stricter > 25 && tally.better > 200 && tally.moved > 200);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_moved),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
