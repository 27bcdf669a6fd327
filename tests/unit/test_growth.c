/*
 * Growth held against trying everything: every reading, now, before and when first seen, goes
 * through its range in quarters of a step, each by itself, and the ladder is walked in plain C.
 * Quarters suffice: all ends are whole, all bounds whole, and no chain of strict bounds is longer than three.
 */
#include <stdlib.h>

#include "plan_session.h"

enum { CASES = 100000 };
enum { GOOD, WATCH, SHOP };

static const char book_text[] =
    "stave 1\n"
    "book B-1 \"test\"\n"
    "edition \"A\"\n"
    "for model M-1\n"
    "scale\n"
    "    good \"continue\"\n"
    "    watch \"continue\"\n"
    "  no flight\n"
    "    shop \"send it\"\n"
    "part blade, 2\n"
    "measure length 0 mm .. 6 mm read up to 1 mm\n"
    "measure left 0 mm .. 6 mm smaller is worse\n"
    "kind wear on blade records length, left\n"
    "limit wear on blade\n"
    "    good length up to 4 mm, length grown by up to 1 mm, left at least 1 mm,\n"
    "         left grown by below 1 mm, left grown since first seen by up to 2 mm\n"
    "    watch first seen, length up to 5 mm, any left\n"
    "    otherwise shop\n";

static uint64_t chance_state;

static int chance(int below)
{
    chance_state = chance_state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (int)((chance_state >> 33) % (unsigned)below);
}

/* In quarters; whole ends. */
struct range {
    int low, high;
    bool given;
};

static struct range draw(bool given)
{
    int low = chance(7), high = chance(3) ? low : low + chance(2);
    if (!given)
        return (struct range){0, 24, false};
    return (struct range){4 * low, 4 * (high > 6 ? 6 : high), true};
}

struct spec {
    struct range length, left, was_length, was_left, first_left;
    enum seen seen;
};

static struct spec spec_draw(void)
{
    struct spec spec = {.length = draw(true), .left = draw(true)};
    spec.seen = (enum seen)chance(3);
    spec.was_length = draw(spec.seen == SEEN_BEFORE && chance(3));
    spec.was_left = draw(spec.seen == SEEN_BEFORE && chance(3));
    spec.first_left = draw(spec.seen == SEEN_BEFORE && chance(3));
    return spec;
}

static struct reading reading_of(struct arena *arena, struct range range)
{
    return (struct reading){.given = !range.given              ? GIVEN_NOT
                                     : range.low == range.high ? GIVEN_EXACT
                                                               : GIVEN_RANGE,
                            .low = number_make(arena, range.low, 4),
                            .high = number_make(arena, range.high, 4),
                            .middle = number_make(arena, range.low, 4)};
}

static struct finding *finding_of(struct session *session, const struct spec *spec)
{
    struct arena *arena = &session->arena;
    struct finding *finding = ARENA_NEW(arena, struct finding);
    finding->part = book_find_part(session->book, "blade");
    finding->kind = book_find_kind(session->book, "wear");
    finding->instance = 1;
    finding->id = "";
    finding->seen = spec->seen;
    finding->readings = ARENA_ARRAY(arena, struct reading, 2);
    finding->readings[0] = reading_of(arena, spec->length);
    finding->readings[1] = reading_of(arena, spec->left);
    if (spec->was_length.given || spec->was_left.given) {
        finding->earlier = ARENA_ARRAY(arena, struct reading, 2);
        finding->earlier[0] = reading_of(arena, spec->was_length);
        finding->earlier[1] = reading_of(arena, spec->was_left);
    }
    if (spec->first_left.given) {
        finding->first = ARENA_ARRAY(arena, struct reading, 2);
        finding->first[0] = reading_of(arena, (struct range){0, 24, false});
        finding->first[1] = reading_of(arena, spec->first_left);
    }
    return finding;
}

static int up(int quarters)
{
    return (quarters + 3) / 4 * 4;
}

/* What of the length alone can come, and of what is left alone: the two are independent. */
static unsigned outcomes(const struct spec *spec)
{
    bool left_good = false, left_bad = false;
    unsigned set = 0;
    for (int left = spec->left.low; left <= spec->left.high; left++)
        for (int was = spec->was_left.low; was <= spec->was_left.high; was++)
            for (int first = spec->first_left.low; first <= spec->first_left.high; first++) {
                bool fresh = spec->seen == SEEN_NEW;
                bool good = left >= 4 && (fresh || (was - left < 4 && first - left <= 8));
                left_good |= good;
                left_bad |= !good;
            }
    for (int length = spec->length.low; length <= spec->length.high; length++)
        for (int was = spec->was_length.low; was <= spec->was_length.high; was++)
            for (int seen = 0; seen < 2; seen++) {
                bool fresh = spec->seen == SEEN_NEW;
                bool good = up(length) <= 16 && (fresh || up(length) - up(was) <= 4);
                int below = seen == 0 && up(length) <= 20 ? WATCH : SHOP;
                if (spec->seen != SEEN_UNKNOWN && (spec->seen == SEEN_BEFORE) != (seen == 1))
                    continue;
                if (good && left_good)
                    set |= 1u << GOOD;
                if (!good || left_bad)
                    set |= 1u << below;
            }
    return set;
}

static void test_against_all_worlds(void **state)
{
    struct session session;
    static long doubtful, by_outcome[3]; /* past the longjmp */
    (void)state;
    session_begin(&session);
    if (setjmp(session.escape.to)) {
        fail_msg("escaped with status %d", (int)session.escape.status);
    }
    if (!session_read(&session, book_text)) {
        fail_msg("%s", session_error(&session)->message);
    }
    session.plan = plan_compile(session.book);
    for (int seed = 0; seed < CASES; seed++) {
        struct arena_mark mark = arena_mark(&session.arena);
        chance_state = (uint64_t)seed * 7919 + 5;
        struct spec spec = spec_draw();
        const struct judgement *judgement =
            judge(&session.arena, docket_of(&session, "wear", "blade"), finding_of(&session, &spec),
                  false, JUDGE_ALL, 0);
        unsigned expected = outcomes(&spec);
        if (judgement->possible != expected)
            fail_msg("case %d: outcomes %#llx, by going through all worlds %#x", seed,
                     (unsigned long long)judgement->possible, expected);
        /* The world that is shown has the worst of them. */
        if (judgement->ladder_count != 1 || judgement->ladders[0].outcome != judgement->worst)
            fail_msg("case %d: the world shown is not the worst", seed);
        doubtful += (expected & (expected - 1)) != 0;
        for (int outcome = 0; outcome < 3; outcome++)
            by_outcome[outcome] += expected == 1u << outcome;
        arena_release(&session.arena, mark);
    }
    printf("%d findings: %ld in doubt, settled %ld good, %ld watch, %ld shop\n", CASES, doubtful,
           by_outcome[GOOD], by_outcome[WATCH], by_outcome[SHOP]);
    assert_true(doubtful > 1000 && by_outcome[GOOD] > 1000 && by_outcome[WATCH] > 1000 &&
                by_outcome[SHOP] > 1000);
    arena_end(&session.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_against_all_worlds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
