/*
 * Claims on random small books that ask about damage in company, held against trying inspections: a damage among
 * up to three others, with every reading that it can have, through company_make and judge. A reading that gets worse
 * does so in that damage alone, and what others there are stays as it is.
 *
 *   - an order that is proved: no inspection tried contradicts it;
 *   - a line that never decides, a condition that never matters: no inspection tried shows otherwise;
 *   - an order that is refuted: its two texts differ in one line, and judged again the worse is better.
 */
#include <stdlib.h>
#include <string.h>

#include "company/company.h"
#include "plan_session.h"
#include "prove/claims.h"
#include "prove/prove.h"
#include "prove/witness.h"
#include "random_text.h"
#include "verdict/verdict.h"

enum { BOOKS = 150, CROWDS_TRIED = 40, OTHERS = 3 };
enum { DEPTHS = 4, LEFTS = 3, WETS = 3, OWN = DEPTHS * LEFTS * WETS };
enum { KINDS = 2, PLACES = 5, SIDES = 2, BLADES = 2, WHERE = PLACES * SIDES * BLADES };

static uint64_t state;

static uint32_t below(uint32_t count)
{
    return draw_below(&state, count);
}

/* ---- a random book, as text ---------------------------------------------------------------- */

static const char *one_of(const char *const *words, uint32_t count)
{
    return words[below(count)];
}

static const char *relation(void)
{
    static const char *const RELATIONS[] = {"up to", "below", "at least", "over"};
    return one_of(RELATIONS, 4);
}

static void add_filter(struct lines *lines)
{
    static const char *const LEVELS[] = {"is damp", "is not damp", "up to damp", "is soaked",
                                         "is dry", "is not dry"};
    switch (below(4)) {
    case 0:
        add(lines, "wet %s", one_of(LEVELS, 6));
        return;
    case 1:
        add(lines, "left %s %u in", relation(), (unsigned)below(LEFTS));
        return;
    case 2:
        add(lines, "%s %s %u in", below(2) ? "spare" : "both", relation(), (unsigned)below(4));
        return;
    default:
        add(lines, "depth %s %u in", relation(), (unsigned)below(DEPTHS));
        return;
    }
}

/* Kinds, filters and scope. */
static void add_members(struct lines *lines)
{
    static const char *const SCOPES[] = {"on a blade", "on a blade", "on inner", "on outer",
                                         "on a side", "on the propeller",
                                         "within any 1 in along s", "within any 2 in along s"};
    static const char *const WHO[] = {"dent", "dent", "dent, pit", "any kind", "pit"};
    add(lines, "of %s", one_of(WHO, 5));
    uint32_t filters = below(5);
    for (uint32_t i = 0; i < 3 - (filters > 3 ? 3 : filters) && i < 2; i++) {
        add(lines, i ? " and " : " with ");
        add_filter(lines);
    }
    add(lines, " %s", one_of(SCOPES, 8));
}

static void add_condition(struct lines *lines)
{
    static const char *const VALUES[] = {"depth", "depth", "left", "both", "area"};
    static const char *const LEVELS[] = {"up to dry", "up to damp", "is damp", "is not dry"};
    const char *value = one_of(VALUES, 5);
    const char *unit = strcmp(value, "area") == 0 ? "in2" : "in";
    switch (below(9)) {
    case 0:
        add(lines, "depth %s %u in", relation(), (unsigned)below(DEPTHS));
        return;
    case 1:
        add(lines, "left %s %u in", relation(), (unsigned)below(LEFTS));
        return;
    case 2:
        add(lines, "wet %s", one_of(LEVELS, 4));
        return;
    case 3:
    case 4:
        add(lines, "no more than %u ", (unsigned)below(3));
        break;
    case 5:
    case 6:
        add(lines, "total %s ", value);
        break;
    case 7:
        add(lines, "largest %s ", value);
        break;
    default:
        add(lines, "apart from dent%s by %s", below(2) ? ", pit" : "",
            below(3) == 0 ? "1 in" : below(2) ? "larger depth" : "larger spare");
        if (below(2))
            add(lines, " where %s together %s %u in", below(2) ? "depth" : "left", relation(),
                (unsigned)below(4));
        return;
    }
    const char *end = lines->text + lines->size;
    bool count = end[-2] >= '0' && end[-2] <= '9';
    add_members(lines);
    if (!count)
        add(lines, " %s %u %s", below(2) ? "up to" : "below", (unsigned)below(5), unit);
}

static void add_ladder(struct lines *lines, const char *kinds, const char *zones)
{
    static const char *const OUTCOMES[] = {"mend", "shop", "scrap"};
    add(lines, "limit %s on %s\n", kinds, zones);
    uint32_t outcome = below(2);
    for (uint32_t r = 1 + below(3); r > 0; r--) {
        add(lines, "    %s ", OUTCOMES[outcome]);
        for (uint32_t c = 1 + below(3); c > 0; c--) {
            add_condition(lines);
            add(lines, c > 1 ? ", " : "\n");
        }
        if (below(2) && outcome < 2)
            outcome++;
    }
    add(lines, "    otherwise scrap\n");
}

static void add_book(struct lines *lines)
{
    lines->size = 0;
    add(lines, "stave 1\nbook B-1 \"test\"\nedition \"A\"\nfor model M-1\n"
               "scale\n    good \"continue\"\n  no flight\n    mend \"mend it\"\n"
               "    shop \"send it\"\n    scrap \"replace it\"\n"
               "part blade, %d\n    axis s 0 in .. 4 in\n    side camber, thrust\n",
        BLADES);
    add(lines, "measure depth 0 in .. %d in%s\n", DEPTHS - 1, below(2) ? " read to 1 in" : "");
    add(lines, "measure left 0 in .. %d in%s smaller is worse\n", LEFTS - 1,
        below(2) ? " read to 1 in" : "");
    add(lines, "observe wet levels dry, damp, soaked\n"
               "reckon both as depth + left\nreckon spare as 3 in - depth\n"
               "reckon area as depth * left\n"
               "kind dent, pit on blade records depth, left, wet\n"
               "zone inner on blade s 0 in .. 2 in\nzone outer on blade s 2 in .. 4 in\n");
    switch (below(3)) {
    case 0:
        add_ladder(lines, "dent", "blade");
        break;
    case 1:
        add_ladder(lines, "dent", "inner, outer");
        break;
    default:
        add_ladder(lines, "dent", "inner");
        add_ladder(lines, "dent", "outer");
    }
    add(lines, "limit pit on blade no published limit\n");
}

/* ---- inspections ----------------------------------------------------------------------------- */

struct trying {
    struct arena *arena;
    const struct ready_book *ready;
    const struct docket *docket; /* of the dent */
    const char *text;
    struct finding *all[KINDS][WHERE][OWN];
    bool lines[200];             /* those that decided, by line of the text */
};

/* Depth gets worse first, then what is left, then wet. */
static uint32_t own_index(uint32_t depth, uint32_t gone, uint32_t wet)
{
    return depth + DEPTHS * (gone + LEFTS * wet);
}

static struct finding *finding_of(struct trying *trying, uint32_t kind, uint32_t where,
                                  uint32_t own)
{
    static const char *const WETNESS[] = {"dry", "damp", "soaked"};
    static const char *const PLACE[] = {"0.5 in", "1 in", "2 in", "2.5 in", "4 in"};
    struct finding **made = &trying->all[kind][where][own];
    if (!*made) {
        char line[300];
        struct problems problems;
        snprintf(line, sizeof line,
                 "stave 1\nexample \"x\"\n    blade %u %s at s %s %s, depth %u in, left %u in, wet %s\n"
                 "    gives scrap\n",
                 (unsigned)(1 + where / (PLACES * SIDES)), kind ? "pit" : "dent",
                 PLACE[where % PLACES], where / PLACES % SIDES ? "thrust" : "camber",
                 (unsigned)(own % DEPTHS), (unsigned)(LEFTS - 1 - own / DEPTHS % LEFTS),
                 WETNESS[own / DEPTHS / LEFTS]);
        struct text text;
        text_begin(&text, trying->arena);
        text_add(&text, line);
        const char *bytes = text_done(&text);
        struct stave_text given = {.name = "x", .bytes = bytes, .size = strlen(bytes)};
        problems_begin(&problems, trying->arena);
        const struct tree_example *example =
            prove_read(trying->arena, trying->ready->book, &given, &problems);
        *made = finding_resolve(trying->arena, trying->ready->book, example->findings, NULL, NULL,
                                "F1", &problems);
        assert_non_null(*made);
    }
    return *made;
}

/* A finding among others, as the company sees it; the last is meant. */
struct gathering {
    struct finding *findings[OTHERS + 1];
    uint32_t others;
};

static void draw_others(struct trying *trying, struct gathering *inspection, uint32_t where)
{
    inspection->others = below(OTHERS + 1);
    for (uint32_t i = 0; i < inspection->others; i++) {
        if (i && below(3) == 0) {
            inspection->findings[i] = inspection->findings[i - 1];
            continue;
        }
        uint32_t at = below(2) ? where : below(WHERE);
        inspection->findings[i] = finding_of(trying, below(3) == 0, at, below(OWN));
    }
}

static const struct finding *in_company(struct trying *trying, const struct gathering *inspection)
{
    const struct company *company = company_make(trying->arena, trying->ready->plan,
                                                 inspection->findings, inspection->others + 1);
    return company_finding(company, inspection->others);
}

static uint32_t line_of(const struct trying *trying, struct span span)
{
    return span_line(trying->arena, span);
}

static uint32_t outcome_of(struct trying *trying, const struct gathering *inspection)
{
    const struct finding *finding = in_company(trying, inspection);
    const struct judgement *judgement =
        judge(trying->arena, trying->docket, finding, false, JUDGE_NO_NEEDS, 0);
    assert_false(judgement->budget_hit);
    assert_true((judgement->possible & (judgement->possible - 1)) == 0);
    for (uint32_t l = 0; l < trying->docket->limit_count; l++) {
        const struct plan_limit *limit = &trying->docket->limits[l];
        for (uint32_t r = 0; r < limit->rung_count; r++)
            if (judgement->rungs[l] >> r & 1)
                trying->lines[line_of(trying, limit->rungs[r].source->span)] = true;
    }
    return judgement->worst;
}

/* The docket without one condition of one line, in all its limits that have it. */
static struct docket *docket_without(struct trying *trying, const struct condition *condition)
{
    struct arena *arena = trying->arena;
    struct docket *other = ARENA_NEW(arena, struct docket);
    *other = *trying->docket;
    other->limits = ARENA_ARRAY(arena, struct plan_limit, other->limit_count);
    for (uint32_t l = 0; l < other->limit_count; l++) {
        struct plan_limit *limit = &other->limits[l];
        *limit = trying->docket->limits[l];
        const struct plan_rung *rungs = limit->rungs;
        limit->rungs = ARENA_ARRAY(arena, struct plan_rung, limit->rung_count);
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            limit->rungs[r] = rungs[r];
            limit->rungs[r].steps = ARENA_ARRAY(arena, struct step, rungs[r].step_count);
            limit->rungs[r].step_count = 0;
            for (uint32_t s = 0; s < rungs[r].step_count; s++)
                if (rungs[r].steps[s].source != condition)
                    limit->rungs[r].steps[limit->rungs[r].step_count++] = rungs[r].steps[s];
        }
    }
    return other;
}

static bool ladder_differs(const struct docket *docket, const struct docket *other,
                           const struct judgement *a, const struct judgement *b)
{
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        for (uint32_t r = 0; r < docket->limits[l].rung_count; r++)
            for (uint32_t q = 0; q < other->limits[l].rung_count; q++)
                if ((a->rungs[l] >> r & 1) && (b->rungs[l] >> q & 1) &&
                    docket->limits[l].rungs[r].outcome != other->limits[l].rungs[q].outcome)
                    return true;
    }
    return false;
}

/* ---- claims held against them ------------------------------------------------------------------- */

struct idle {
    const struct stave_claim *claim;
    const struct docket *without;
};

struct sighting {
    bool worse[3]; /* depth, left, wet: a better outcome was seen */
    struct idle idle[100];
    uint32_t idle_count;
};

static void add_idle(struct trying *trying, struct sighting *seen, const struct stave_claim *claim)
{
    for (uint32_t l = 0; l < trying->docket->limit_count; l++) {
        const struct plan_limit *limit = &trying->docket->limits[l];
        for (uint32_t r = 0; r < limit->rung_count; r++)
            for (uint32_t s = 0; s < limit->rungs[r].step_count; s++) {
                const struct condition *condition = limit->rungs[r].steps[s].source;
                if (line_of(trying, condition->span) == claim->at.line &&
                    strcmp(span_text(trying->arena, condition->span), claim->subject) == 0) {
                    seen->idle[seen->idle_count++] =
                        (struct idle){claim, docket_without(trying, condition)};
                    assert_true(seen->idle_count < 100);
                    return;
                }
            }
    }
}

static void show_inspection(const struct trying *trying, const char *what)
{
    print_message("%s\n%s\n", trying->text, what);
}

static void try_idle(struct trying *trying, const struct sighting *seen,
                     const struct gathering *inspection)
{
    const struct finding *finding = in_company(trying, inspection);
    const struct judgement *whole =
        judge(trying->arena, trying->docket, finding, false, JUDGE_NO_NEEDS, 0);
    for (uint32_t i = 0; i < seen->idle_count; i++) {
        const struct docket *without = seen->idle[i].without;
        const struct judgement *less =
            judge(trying->arena, without, finding, false, JUDGE_NO_NEEDS, 0);
        if (ladder_differs(trying->docket, without, whole, less)) {
            show_inspection(trying, seen->idle[i].claim->subject);
            fail_msg("it matters, and is said not to");
        }
    }
}

static void try_crowd(struct trying *trying, struct sighting *seen)
{
    uint32_t where = below(WHERE), outcomes[OWN];
    struct gathering inspection;
    draw_others(trying, &inspection, where);
    struct finding **last = &inspection.findings[inspection.others];
    for (uint32_t own = 0; own < OWN; own++)
        *last = finding_of(trying, 0, where, own); /* kept past the mark */
    struct arena_mark mark = arena_mark(trying->arena);
    for (uint32_t own = 0; own < OWN; own++) {
        *last = trying->all[0][where][own];
        outcomes[own] = outcome_of(trying, &inspection);
        if (seen->idle_count)
            try_idle(trying, seen, &inspection);
        arena_release(trying->arena, mark);
    }
    for (uint32_t own = 0; own < OWN; own++) {
        uint32_t depth = own % DEPTHS, gone = own / DEPTHS % LEFTS, wet = own / DEPTHS / LEFTS;
        seen->worse[0] |=
            depth + 1 < DEPTHS && outcomes[own_index(depth + 1, gone, wet)] < outcomes[own];
        seen->worse[1] |=
            gone + 1 < LEFTS && outcomes[own_index(depth, gone + 1, wet)] < outcomes[own];
        seen->worse[2] |=
            wet + 1 < WETS && outcomes[own_index(depth, gone, wet + 1)] < outcomes[own];
    }
}

struct tally {
    unsigned books, proved, refuted, not_proved, shown_too, dead, idle, alive, unseen;
};

/* All lines but the last are the same; judged again, the second is better. */
static void check_shown(struct trying *trying, const struct stave_claim *claim)
{
    for (size_t i = 0; i < claim->region_count; i++) {
        const struct stave_region *region = &claim->regions[i];
        if (!region->witness[0])
            continue;
        const char *first = strrchr(region->witness, '\n');
        const char *second = strrchr(region->witness_after, '\n');
        size_t others = first ? (size_t)(first - region->witness) : 0;
        size_t after = second ? (size_t)(second - region->witness_after) : 0;
        assert_true(others == after &&
                    strncmp(region->witness, region->witness_after, others) == 0);
        struct replayed a = replay(trying->arena, trying->ready, region->witness);
        struct replayed b = replay(trying->arena, trying->ready, region->witness_after);
        assert_true(a.good && b.good);
        assert_true(b.judged.judgement->worst < a.judged.judgement->worst);
    }
}

static void check_order(struct trying *trying, const struct sighting *seen,
                        const struct stave_claim *claim, struct tally *tally)
{
    static const char *const NAMES[] = {"depth of dent", "left of dent", "wet of dent"};
    for (int i = 0; i < 3; i++) {
        if (strncmp(claim->subject, NAMES[i], strlen(NAMES[i])) != 0)
            continue;
        tally->proved += claim->answer == STAVE_PROVED;
        tally->refuted += claim->answer == STAVE_REFUTED;
        tally->not_proved += claim->answer == STAVE_NOT_PROVED;
        tally->shown_too += claim->answer == STAVE_NOT_PROVED && seen->worse[i];
        if (getenv("TEST_CLAIMS_SHOW") && claim->answer == STAVE_NOT_PROVED)
            print_message("%s\n%s: %s, seen %d\n", trying->text, claim->subject, claim->reason,
                          seen->worse[i]);
        if (claim->answer == STAVE_PROVED && seen->worse[i]) {
            show_inspection(trying, claim->subject);
            fail_msg("a better outcome was seen, and none is said to be");
        }
        if (claim->answer == STAVE_REFUTED)
            check_shown(trying, claim);
    }
}

static void check_line(struct trying *trying, const struct stave_claim *claim, struct tally *tally)
{
    bool decided = trying->lines[claim->at.line];
    tally->dead += claim->answer == STAVE_REFUTED;
    tally->alive += claim->answer == STAVE_PROVED;
    tally->unseen += claim->answer == STAVE_PROVED && !decided;
    if (getenv("TEST_CLAIMS_SHOW") && claim->answer == STAVE_PROVED && !decided)
        print_message("%s\nline %u never seen: %s\n", trying->text, (unsigned)claim->at.line,
                      claim->subject);
    if (claim->answer == STAVE_REFUTED && decided) {
        show_inspection(trying, claim->subject);
        fail_msg("it decides, and is said not to");
    }
}

static void check_book(struct arena *arena, const char *text, const struct ready_book *ready,
                       struct tally *tally)
{
    struct trying *trying = ARENA_NEW(arena, struct trying);
    struct sighting *seen = ARENA_NEW(arena, struct sighting);
    struct stave_claims claims = {0};
    trying->arena = arena;
    trying->ready = ready;
    trying->text = text;
    trying->docket = plan_docket(ready->plan, book_find_kind(ready->book, "dent"),
                                 book_find_part(ready->book, "blade"));
    claims_make(arena, arena, ready, NULL, NULL, &claims);
    for (size_t i = 0; i < claims.claim_count; i++) {
        const struct stave_claim *claim = &claims.claims[i];
        if (claim->property == STAVE_CLAIM_CONDITION && claim->answer == STAVE_REFUTED)
            add_idle(trying, seen, claim);
    }
    tally->idle += seen->idle_count;
    for (uint32_t i = 0; i < CROWDS_TRIED; i++)
        try_crowd(trying, seen);
    for (size_t i = 0; i < claims.claim_count; i++) {
        const struct stave_claim *claim = &claims.claims[i];
        if (claim->property == STAVE_CLAIM_ORDERLY)
            check_order(trying, seen, claim, tally);
        else if (claim->property == STAVE_CLAIM_LINE)
            check_line(trying, claim, tally);
    }
}

static bool ready_from(struct arena *arena, const char *bytes, struct ready_book *ready)
{
    struct stave_text text = {.name = "book", .bytes = bytes, .size = strlen(bytes)};
    struct book *book = book_check(arena, &text, NULL, NULL);
    if (book->problems.error_count) {
        if (getenv("TEST_CLAIMS_ERRORS"))
            print_message("%s\n%s\n", bytes, book->problems.items[0].message);
        return false;
    }
    *ready = (struct ready_book){
        .book = book, .plan = plan_compile(book), .facts = facts_make(arena, book)};
    return true;
}

static void test_claims_hold_in_company(void **unused)
{
    (void)unused;
    const char *more = getenv("TEST_CLAIMS_BOOKS"), *seed = getenv("TEST_CLAIMS_SEED");
    uint32_t books = more ? (uint32_t)strtoul(more, NULL, 10) : BOOKS;
    struct tally tally = {0};
    state = seed ? strtoul(seed, NULL, 10) : 1;
    for (uint32_t i = 0; i < books; i++) {
        struct session session;
        struct lines lines;
        struct ready_book ready;
        session_begin(&session);
        add_book(&lines);
        if (ready_from(&session.arena, lines.text, &ready)) {
            tally.books++;
            check_book(&session.arena, lines.text, &ready, &tally);
        }
        arena_end(&session.arena);
    }
    print_message("%u books: order %u proved, %u refuted, %u not proved (of %u of which it was seen), "
                  "%u dead lines, %u idle conditions, %u alive (%u never seen)\n",
                  tally.books, tally.proved, tally.refuted, tally.not_proved, tally.shown_too,
                  tally.dead, tally.idle, tally.alive, tally.unseen);
    assert_true(tally.books > books / 2);
    assert_true(tally.proved > books / 4 && tally.refuted > books / 4);
    assert_true(tally.dead > books / 20 && tally.idle > books / 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_claims_hold_in_company),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
