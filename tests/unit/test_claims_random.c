/*
 * Claims on random small books, held against trying everything: every exact world on a lattice
 * through judge_world. All figures of these books are whole, rounded readings are whole, curves
 * rise or fall by one or stay level, so that half steps of the place reach every way that a ladder can be
 * walked.
 *
 *   - what the lattice finds (a gap, a line that decides, a condition that matters, a disorder, a difference
 *     of two books) is claimed, every time;
 *   - what is claimed and proved the lattice does not contradict; what is refuted comes with a witness, which
 *     was judged again from its text.
 */
#include <stdlib.h>
#include <string.h>

#include "plan_session.h"
#include "prove/claims.h"
#include "prove/pair.h"
#include "prove/prove.h"
#include "random_text.h"
#include "verdict/verdict.h"

enum { BOOKS = 300, PAIRS = 500 };
enum { DEPTH = 3, LENGTH = 2, PLACES = 5 }; /* greatest depth and length; places 0, 1/2, ... 2 on the axis 0 .. 4 */

static uint64_t state;

static uint32_t below(uint32_t count)
{
    return draw_below(&state, count);
}

/* ---- a random book, as text ---------------------------------------------------------------- */

static const char *const RELATIONS[] = {"up to", "below", "at least", "over"};

static void add_condition(struct lines *lines, bool curves)
{
    switch (below(curves ? 7 : 5)) {
    case 0:
    case 1:
        add(lines, "depth %s %u in", RELATIONS[below(8) % 4], (unsigned)below(DEPTH + 1));
        return;
    case 2:
        add(lines, "length %s %u in", RELATIONS[below(4)], (unsigned)below(LENGTH + 1));
        return;
    case 3:
        add(lines, below(2) ? "torn" : "not torn");
        return;
    case 4:
        if (below(2))
            add(lines, "wet up to %s", below(2) ? "dry" : "damp");
        else
            add(lines, "depth up to %u in - length", (unsigned)below(DEPTH + LENGTH));
        return;
    default:
        add(lines, "depth %s hill", RELATIONS[below(3) ? below(2) : below(4)]);
        return;
    }
}

/* Outcomes only go down; some ladders leave a gap. */
static void add_ladder(struct lines *lines, const char *zones, bool curves)
{
    static const char *const OUTCOMES[] = {"mend", "shop", "scrap"};
    add(lines, "limit dent on %s\n", zones);
    uint32_t outcome = below(2);
    for (uint32_t r = 1 + below(3); r > 0; r--) {
        add(lines, "    %s ", OUTCOMES[outcome]);
        for (uint32_t c = 1 + below(2); c > 0; c--) {
            add_condition(lines, curves);
            add(lines, c > 1 ? ", " : "");
        }
        if (below(5) == 0)
            add(lines, " within %u h", (unsigned)(1 + below(2)));
        add(lines, "\n");
        if (below(2) && outcome < 2)
            outcome++;
    }
    if (below(2))
        add(lines, "    otherwise scrap\n");
}

static void add_book(struct lines *lines)
{
    lines->size = 0;
    add(lines, "stave 1\nbook B-1 \"test\"\nedition \"A\"\nfor model M-1\n"
               "scale\n    good \"continue\"\n  no flight\n    mend \"mend it\"\n"
               "    shop \"send it\"\n    scrap \"replace it\"\n"
               "part blade\n    axis station 0 in .. 4 in\n    side camber, thrust\n");
    add(lines, "measure depth 0 in .. %d in read up to 1 in\n", DEPTH);
    add(lines, "measure length 0 in .. %d in read up to 1 in\n", LENGTH);
    add(lines, "observe torn yes or no\nobserve wet levels dry, damp\n");
    add(lines, "kind dent on blade records depth, length, torn, wet\n");
    uint32_t edge = 1 + below(3);
    add(lines, "zone inner on blade station 0 in .. %s%u in%s\n", below(4) ? "" : "below ",
        (unsigned)edge, below(6) ? "" : " camber");
    add(lines, "zone outer on blade station %s%u in .. 4 in\n", below(4) ? "" : "over ",
        (unsigned)(below(4) || edge == 1 ? edge : edge - 1));
    uint32_t height = below(3);
    add(lines, "curve hill along station\n");
    for (uint32_t at = 0; at <= 4; at += 2) {
        add(lines, "    %u in %u in\n", (unsigned)at, (unsigned)height);
        height = below(3) == 0 ? height : below(2) && height >= 2 ? height - 2 : height + 2;
    }
    if (below(4) == 0) {
        add_ladder(lines, "inner, outer", true);
    } else {
        add_ladder(lines, "inner", true);
        if (below(8))
            add_ladder(lines, "outer", below(2));
    }
    add(lines, "example \"any\"\n    blade dent, depth 0 in\n    gives good\n");
}

/* ---- the lattice ------------------------------------------------------------------------------- */

struct tried {
    struct arena *arena;
    const struct docket *docket;
    struct world world;
    int depth, length, torn, wet, lo, hi, side; /* lo and hi in halves */
};

static void set_world(struct tried *tried)
{
    struct world *world = &tried->world;
    world->readings[0] = NUMBER_INT(tried->depth);
    world->readings[1] = NUMBER_INT(tried->length);
    for (int i = 0; i < 2; i++)
        world->readings[i] = number_multiply(tried->arena, world->readings[i],
                                             unit_find("in", 2)->factor);
    world->values[2] = 1u << tried->torn;
    world->values[3] = 1u << tried->wet;
    struct number half = number_divide(tried->arena, unit_find("in", 2)->factor, NUMBER_INT(2));
    world->lo[0] = number_multiply(tried->arena, half, NUMBER_INT(tried->lo));
    world->hi[0] = number_multiply(tried->arena, half, NUMBER_INT(tried->hi));
    world->side = (uint32_t)tried->side;
}

static void tried_begin(struct tried *tried, struct arena *arena, const struct docket *docket)
{
    memset(tried, 0, sizeof *tried);
    tried->arena = arena;
    tried->docket = docket;
    tried->world.readings = ARENA_ARRAY(arena, struct number, docket->variable_count + 4);
    tried->world.values = ARENA_ARRAY(arena, uint64_t, 4);
    tried->world.lo = ARENA_ARRAY(arena, struct number, 1);
    tried->world.hi = ARENA_ARRAY(arena, struct number, 1);
}

static bool tried_next(struct tried *tried)
{
    if (++tried->depth <= DEPTH)
        return true;
    tried->depth = 0;
    if (++tried->length <= LENGTH)
        return true;
    tried->length = 0;
    if (++tried->torn < 2)
        return true;
    tried->torn = 0;
    if (++tried->wet < 2)
        return true;
    tried->wet = 0;
    if (++tried->hi <= 8)
        return true;
    tried->hi = ++tried->lo;
    if (tried->lo <= 8)
        return true;
    tried->lo = tried->hi = 0;
    return ++tried->side < 2;
}

static uint32_t judge_tried(const struct tried *tried, struct ladder_result **ladders,
                            uint32_t *count, bool *uncovered)
{
    return judge_world(tried->arena, tried->docket, &tried->world, ladders, count, uncovered);
}

/* ---- what the lattice finds of one book ----------------------------------------------------------- */

struct lattice {
    bool uncovered;
    bool gap[8], line[8][8]; /* by limit of the docket */
    bool worse_depth, worse_length, worse_wet;
};

static uint32_t outcome_beside(struct tried *tried, int depth, int length, int wet)
{
    struct tried other = *tried;
    struct ladder_result *ladders;
    uint32_t count;
    bool uncovered;
    other.depth += depth;
    other.length += length;
    other.wet += wet;
    set_world(&other);
    uint32_t outcome = judge_tried(&other, &ladders, &count, &uncovered);
    return outcome;
}

static void look_at_all(struct arena *arena, const struct docket *docket, struct lattice *seen)
{
    struct tried tried;
    memset(seen, 0, sizeof *seen);
    tried_begin(&tried, arena, docket);
    do {
        struct arena_mark mark = arena_mark(arena);
        struct ladder_result *ladders;
        uint32_t count;
        bool uncovered;
        set_world(&tried);
        uint32_t outcome = judge_tried(&tried, &ladders, &count, &uncovered);
        seen->uncovered |= uncovered;
        for (uint32_t i = 0; i < count; i++) {
            uint32_t l = (uint32_t)(ladders[i].limit - docket->limits);
            if (ladders[i].rung == ladders[i].limit->rung_count)
                seen->gap[l] = true;
            else
                seen->line[l][ladders[i].rung] = true;
        }
        if (tried.depth < DEPTH)
            seen->worse_depth |= outcome_beside(&tried, 1, 0, 0) < outcome;
        if (tried.length < LENGTH)
            seen->worse_length |= outcome_beside(&tried, 0, 1, 0) < outcome;
        if (tried.wet < 1)
            seen->worse_wet |= outcome_beside(&tried, 0, 0, 1) < outcome;
        arena_release(arena, mark);
    } while (tried_next(&tried));
}

/* Does the ladder answer any world otherwise without the condition? */
static bool matters(struct arena *arena, const struct docket *docket, uint32_t limit, uint32_t rung,
                    uint32_t step)
{
    struct docket other = *docket;
    other.limits = ARENA_ARRAY(arena, struct plan_limit, docket->limit_count);
    memcpy(other.limits, docket->limits, docket->limit_count * sizeof *other.limits);
    struct plan_limit *changed = &other.limits[limit];
    changed->rungs = ARENA_ARRAY(arena, struct plan_rung, changed->rung_count);
    memcpy(changed->rungs, docket->limits[limit].rungs,
           changed->rung_count * sizeof *changed->rungs);
    struct plan_rung *shorter = &changed->rungs[rung];
    shorter->steps = ARENA_ARRAY(arena, struct step, shorter->step_count);
    shorter->step_count = 0;
    for (uint32_t s = 0; s < docket->limits[limit].rungs[rung].step_count; s++)
        if (s != step)
            shorter->steps[shorter->step_count++] = docket->limits[limit].rungs[rung].steps[s];
    struct tried tried;
    tried_begin(&tried, arena, docket);
    bool found = false;
    do {
        struct arena_mark mark = arena_mark(arena);
        struct ladder_result *a, *b;
        uint32_t a_count, b_count;
        bool uncovered;
        set_world(&tried);
        tried.docket = docket;
        judge_tried(&tried, &a, &a_count, &uncovered);
        tried.docket = &other;
        judge_tried(&tried, &b, &b_count, &uncovered);
        for (uint32_t i = 0; i < a_count; i++) {
            if (a[i].limit != &docket->limits[limit] || a[i].rung == b[i].rung)
                continue;
            const struct rung *of_a =
                a[i].rung < a[i].limit->rung_count ? a[i].limit->rungs[a[i].rung].source : NULL;
            const struct rung *of_b =
                b[i].rung < b[i].limit->rung_count ? b[i].limit->rungs[b[i].rung].source : NULL;
            bool due_a = of_a && of_a->deadline_count, due_b = of_b && of_b->deadline_count;
            found |= a[i].outcome != b[i].outcome || due_a != due_b ||
                     (due_a && !number_equal(of_a->deadlines[0].value, of_b->deadlines[0].value));
        }
        arena_release(arena, mark);
    } while (!found && tried_next(&tried));
    return found;
}

/* ---- one book held against the lattice ----------------------------------------------------------- */

struct tally {
    unsigned books, worlds_with, gaps, dead, idle, disorders, unsure, differ, same;
};

static const struct obligation *obligation_of(const struct obligations *kept, enum asked asked,
                                              uint32_t limit, uint32_t rung, uint32_t step)
{
    for (uint32_t i = 0; i < kept->count; i++) {
        const struct obligation *one = &kept->items[i];
        if (one->asked == asked && (asked == ASK_UNCOVERED || one->limit == limit) &&
            one->rung == rung && one->step == step)
            return one;
    }
    return NULL;
}

static void agree(const struct obligation *one, bool seen, const char *text, struct tally *tally)
{
    if (!one)
        print_message("%s\n", text);
    assert_non_null(one);
    if (one->found == WORLD_UNSURE)
        tally->unsure++;
    else if ((one->found == WORLD_SOME) != seen)
        print_message("%s\nasked %d limit %u rung %u step %u: found %d, lattice %d\n", text,
                      (int)one->asked, (unsigned)one->limit, (unsigned)one->rung,
                      (unsigned)one->step, (int)one->found, (int)seen);
    assert_true(one->found == WORLD_UNSURE || (one->found == WORLD_SOME) == seen);
}

static void check_order(const struct stave_claims *claims, const char *name, bool seen,
                        const char *text, struct tally *tally)
{
    for (size_t i = 0; i < claims->claim_count; i++) {
        const struct stave_claim *claim = &claims->claims[i];
        if (claim->property != STAVE_CLAIM_ORDERLY || strncmp(claim->subject, name, strlen(name)))
            continue;
        if (claim->answer == STAVE_NOT_PROVED)
            tally->unsure++;
        else if ((claim->answer == STAVE_REFUTED) != seen)
            print_message("%s\n%s: %d, lattice %d\n", text, claim->subject, (int)claim->answer, seen);
        assert_true(claim->answer == STAVE_NOT_PROVED ||
                    (claim->answer == STAVE_REFUTED) == seen);
        tally->disorders += seen;
    }
}

static bool ready_from(struct arena *arena, const char *bytes, struct ready_book *ready)
{
    struct stave_text text = {.name = "book", .bytes = bytes, .size = strlen(bytes)};
    struct book *book = book_check(arena, &text, NULL, NULL);
    if (book->problems.error_count)
        return false;
    *ready = (struct ready_book){
        .book = book, .plan = plan_compile(book), .facts = facts_make(arena, book)};
    return true;
}

static void check_book(struct arena *arena, const char *text, const struct ready_book *ready,
                       struct tally *tally)
{
    const struct docket *docket = ready->plan->dockets[0];
    struct obligations kept = {0};
    struct stave_claims claims = {0};
    struct lattice seen;
    claims_make(arena, arena, ready, NULL, &kept, &claims);
    look_at_all(arena, docket, &seen);
    agree(obligation_of(&kept, ASK_UNCOVERED, 0, 0, 0), seen.uncovered, text, tally);
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        const struct plan_limit *limit = &docket->limits[l];
        agree(obligation_of(&kept, ASK_GAP, l, limit->rung_count, 0), seen.gap[l], text, tally);
        tally->gaps += seen.gap[l];
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            agree(obligation_of(&kept, ASK_LINE, l, r, 0), seen.line[l][r], text, tally);
            tally->dead += !seen.line[l][r];
            for (uint32_t s = 0; s < limit->rungs[r].step_count; s++) {
                bool needed = matters(arena, docket, l, r, s);
                tally->idle += !needed;
                agree(obligation_of(&kept, ASK_CONDITION, l, r, s), needed, text, tally);
            }
        }
    }
    check_order(&claims, "depth of", seen.worse_depth, text, tally);
    check_order(&claims, "length of", seen.worse_length, text, tally);
    check_order(&claims, "wet of", seen.worse_wet, text, tally);
}

static void test_claims_hold_on_the_lattice(void **unused)
{
    (void)unused;
    struct tally tally = {0};
    state = 1;
    for (uint32_t i = 0; i < BOOKS; i++) {
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
    print_message("%u books: %u gaps, %u dead lines, %u idle conditions, %u disorders, %u unsure\n",
                  tally.books, tally.gaps, tally.dead, tally.idle, tally.disorders, tally.unsure);
    assert_true(tally.books > BOOKS / 2);
    assert_true(tally.gaps > 50 && tally.dead > 50 && tally.idle > 50 && tally.disorders > 50);
    assert_true(tally.unsure * 50 < tally.books);
}

/* ---- seeded defects ------------------------------------------------------------------------------------ */

static const char *line_start(const char *text, uint32_t index)
{
    while (index > 0 && *text)
        index -= *text++ == '\n';
    return text;
}

static uint32_t line_count(const char *text)
{
    uint32_t count = 0;
    for (; *text; text++)
        count += *text == '\n';
    return count;
}

/* Replaces one word by another, at the n-th place where it stands after `from`. */
static bool replace(char *text, const char *from, const char *word, const char *with, uint32_t n)
{
    char *at = strstr(text, from);
    for (at = at ? strstr(at, word) : NULL; at && n > 0; n--)
        at = strstr(at + 1, word);
    if (!at)
        return false;
    size_t rest = strlen(at + strlen(word)) + 1;
    memmove(at + strlen(with), at + strlen(word), rest);
    memcpy(at, with, strlen(with));
    return true;
}

enum { FLIP, FIGURE, POINT, EDGE, SWAP, DEFECTS };

static bool seed_defect(char *text, uint32_t defect)
{
    static const char *const FLIPS[][2] = {{"up to", "below"}, {"below", "up to"},
                                           {"over", "at least"}, {"at least", "over"}};
    char digit[4] = {0}, other[4] = {0};
    switch (defect) {
    case FLIP: { /* a comparison flipped */
        uint32_t flip = below(4);
        return replace(text, "limit dent", FLIPS[flip][0], FLIPS[flip][1], below(3));
    }
    case FIGURE: /* a figure shifted by one */
        snprintf(digit, sizeof digit, " %u ", (unsigned)below(4));
        snprintf(other, sizeof other, " %u ", (unsigned)below(4));
        return replace(text, "limit dent", digit, other, below(2));
    case POINT: /* a point of the curve, or the edge of a zone */
        snprintf(digit, sizeof digit, " %u ", (unsigned)below(4));
        snprintf(other, sizeof other, " %u ", (unsigned)below(4));
        return replace(text, below(2) ? "zone" : "curve", digit, other, below(4));
    case EDGE: /* an end of a zone left out */
        return replace(text, "zone outer", "station ", "station over ", 0);
    default: { /* two lines swapped */
        uint32_t i = below(line_count(text) - 1);
        const char *a = line_start(text, i), *b = line_start(text, i + 1), *c = line_start(text, i + 2);
        char swapped[6000];
        if (strncmp(a, "    ", 4) || strncmp(b, "    ", 4) || a < strstr(text, "limit dent"))
            return false;
        memcpy(swapped, b, (size_t)(c - b));
        memcpy(swapped + (c - b), a, (size_t)(b - a));
        memcpy(text + (a - text), swapped, (size_t)(c - a));
        return true;
    }
    }
}

/* Do the two books answer any world of the lattice differently? */
static bool lattice_differs(struct arena *arena, const struct docket *const dockets[2])
{
    struct tried tried;
    bool found = false;
    tried_begin(&tried, arena, dockets[0]);
    do {
        struct arena_mark mark = arena_mark(arena);
        uint32_t outcomes[2];
        struct number due[2] = {NUMBER_ZERO, NUMBER_ZERO};
        set_world(&tried);
        for (int side = 0; side < 2; side++) {
            struct ladder_result *ladders;
            uint32_t count;
            bool uncovered;
            tried.docket = dockets[side];
            outcomes[side] = judge_tried(&tried, &ladders, &count, &uncovered);
            for (uint32_t i = 0; i < count; i++) {
                const struct rung *rung = ladders[i].rung < ladders[i].limit->rung_count
                                              ? ladders[i].limit->rungs[ladders[i].rung].source
                                              : NULL;
                for (uint32_t d = 0; rung && d < rung->deadline_count; d++)
                    if (number_sign(due[side]) == 0 ||
                        number_compare(arena, rung->deadlines[d].value, due[side]) < 0)
                        due[side] = rung->deadlines[d].value;
            }
        }
        found |= outcomes[0] != outcomes[1] || !number_equal(due[0], due[1]);
        arena_release(arena, mark);
    } while (!found && tried_next(&tried));
    return found;
}

static void test_seeded_defects_are_found(void **unused)
{
    (void)unused;
    unsigned differ = 0, same = 0, unsure = 0, beyond = 0;
    state = 2;
    for (uint32_t i = 0; i < PAIRS; i++) {
        struct session session;
        struct lines lines, other;
        struct ready_book first, second;
        session_begin(&session);
        add_book(&lines);
        other = lines;
        uint32_t defect = below(DEFECTS);
        if (ready_from(&session.arena, lines.text, &first) && seed_defect(other.text, defect) &&
            ready_from(&session.arena, other.text, &second)) {
            const struct docket *const dockets[2] = {first.plan->dockets[0],
                                                     second.plan->dockets[0]};
            struct difference difference = {0};
            const char *why;
            uint32_t work = 4000000;
            bool seen = lattice_differs(&session.arena, dockets);
            enum differ found = books_differ(&session.arena, &first, &second, NULL, &work,
                                             &difference, &why);
            /* A point that was moved makes slopes that the lattice may step over. */
            bool agree = found == DIFFER_UNSURE || (found == DIFFER_YES) == seen ||
                         (defect == POINT && found == DIFFER_YES);
            if (!agree)
                fprintf(stderr, "%s\n%s\nfound %d (%s), lattice %d\n", lines.text, other.text,
                        (int)found, why, (int)seen);
            assert_true(agree);
            beyond += found == DIFFER_YES && !seen;
            differ += found == DIFFER_YES;
            same += found == DIFFER_NO;
            unsure += found == DIFFER_UNSURE;
        }
        arena_end(&session.arena);
    }
    print_message("%u changes that matter (%u of them between the lattice's worlds) and %u that do not, "
                  "%u unsure\n",
                  differ, beyond, same, unsure);
    assert_true(differ > PAIRS / 5 && same > PAIRS / 20);
    assert_true(unsure * 100 < differ);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_claims_hold_on_the_lattice),
        cmocka_unit_test(test_seeded_defects_are_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
