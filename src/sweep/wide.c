/* The outcomes of a row that is not exact: bounds, and the two worlds that may reach them. */
#include "sweep/wide.h"

#define MOST_WORK (JUDGE_BUDGET / 4) /* what judge() may take: it is not to reach its bound */

/* ---- tests ----------------------------------------------------------------------------------------- */

enum holds { HOLDS_NOWHERE, HOLDS_MAYBE, HOLDS_EVERYWHERE };

static __int128 term_of(int64_t factor, struct fraction value, __int128 others)
{
    return (__int128)factor * value.over * others;
}

/* linear->c * value + next_c * next + linear->a * place + linear->b, which is to be below zero. */
struct sum {
    const struct fast_linear *linear;
    int64_t next_c;
    const struct between *value, *next;
    bool strict;
};

/* Does it hold at a place for all values between, for none, or for some? */
static enum holds sum_holds(const struct sum *sum, struct fraction place)
{
    int64_t c = sum->linear->c;
    __int128 rest = (__int128)sum->linear->a * place.over +
                    (__int128)(sum->linear->b - sum->strict) * place.under;
    __int128 sums[2];
    for (int greatest = 0; greatest < 2; greatest++) {
        struct fraction x = (c > 0) == greatest ? sum->value->high : sum->value->low;
        struct fraction y = (sum->next_c > 0) == greatest ? sum->next->high : sum->next->low;
        sums[greatest] = term_of(c, x, (__int128)y.under * place.under) +
                         term_of(sum->next_c, y, (__int128)x.under * place.under) +
                         rest * x.under * y.under;
    }
    if (sum->strict ? sums[1] < 0 : sums[1] <= 0) {
        return HOLDS_EVERYWHERE;
    }
    return (sum->strict ? sums[0] < 0 : sums[0] <= 0) ? HOLDS_MAYBE : HOLDS_NOWHERE;
}

/* Over all values between, and all places within reach: where these do not agree, it is not known here. */
static enum holds linear_holds(struct wide *wide, const struct values *values,
                               const struct fast_test *test)
{
    static const struct between none = {{0, 1}, {0, 1}};
    bool two = test->sort == FAST_TWO;
    const struct between *value = &values->of[test->slots & 15];
    const struct between *other = two ? &values->of[test->slots >> 4] : &none;
    if (test->map && wide->free[test->axis]) {
        wide->unsure = true;
        return HOLDS_MAYBE;
    }
    const struct fast_linear *linear = two ? fast_piece_at(wide->fast, test, wide->points)
                                           : fast_linear_at(wide->fast, test, wide->points);
    const struct sum sum = {linear, two ? linear[1].c : 0, value, other, test->strict};
    const struct where *where = &wide->places[test->axis];
    enum holds holds = sum_holds(&sum, where_worst(where, linear->a));
    bool open = linear->a != 0 && (where->sort == WHERE_DOUBT || where->sort == WHERE_WIDENED);
    if (open) {
        struct fraction best =
            where->sort == WHERE_DOUBT ? where_worst(where, -linear->a) : where->at;
        wide->unsure |= sum_holds(&sum, best) != holds;
    }
    /* There judge() has more to do than to hold a value against a bound. */
    wide->unsure |= holds == HOLDS_MAYBE && between_open(value) && (open || between_open(other));
    return holds;
}

static enum holds test_holds(struct wide *wide, const struct values *values,
                             const struct fast_test *test)
{
    if (test->sort == FAST_VALUES) {
        bool among = (wide->readings[test->slots].values & ~(uint64_t)test->own.b) == 0;
        return among ? HOLDS_EVERYWHERE : HOLDS_NOWHERE;
    }
    if (test->sort != FAST_SOME) {
        enum holds holds = linear_holds(wide, values, test);
        wide->tests++;
        wide->maybes += holds == HOLDS_MAYBE;
        return holds;
    }
    enum holds most = HOLDS_NOWHERE;
    for (uint32_t i = 1; i <= (uint32_t)test->own.b; i++) {
        enum holds holds = test_holds(wide, values, test + i);
        most = holds > most ? holds : most;
    }
    return most;
}

/* *failed: of a line that holds nowhere, its first condition that does not. */
static enum holds rung_holds(struct wide *wide, const struct values *values,
                             const struct fast_rung *rung, uint32_t *failed)
{
    const struct fast_test *test = wide->fast->tests + rung->first_test;
    const struct fast_test *end = test + rung->test_count;
    enum holds least = HOLDS_EVERYWHERE;
    for (; test < end; test++) {
        enum holds holds = test_holds(wide, values, test);
        if (holds == HOLDS_NOWHERE) {
            *failed = test->step;
            return HOLDS_NOWHERE;
        }
        least = holds < least ? holds : least;
        test += test->sort == FAST_SOME ? test->own.b : 0;
    }
    return least;
}

static struct come climb_one(struct wide *wide, const struct values *values,
                             const struct fast_limit *limit)
{
    struct come come = {.best = UINT32_MAX, .limit = limit};
    const struct fast_rung *rung = &wide->fast->rungs[limit->first_rung];
    uint32_t failed = 0;
    for (;; rung++) {
        uint32_t before = failed;
        enum holds holds = rung_holds(wide, values, rung, &failed);
        if (holds == HOLDS_NOWHERE) {
            continue; /* the end has nothing to hold */
        }
        come.best = rung->outcome < come.best ? rung->outcome : come.best;
        if (!come.rung || rung->outcome > come.worst) {
            come.worst = rung->outcome;
            come.rung = rung;
            come.failed = before;
        }
        if (holds == HOLDS_EVERYWHERE) {
            return come;
        }
    }
}

/* The worst governs; of several, the first. */
static struct come climb(struct wide *wide, const struct values *values, const uint16_t *members)
{
    struct come all = {0};
    for (uint32_t i = 1; i <= members[0]; i++) {
        struct come one = climb_one(wide, values, &wide->fast->limits[members[i]]);
        uint32_t best = i == 1 || one.best > all.best ? one.best : all.best;
        if (i == 1 || one.worst > all.worst) {
            all = one;
        }
        all.best = best;
    }
    return all;
}

/* ---- judging ----------------------------------------------------------------------------------------- */

/* Can judge() ask all of it within its bound? */
static bool is_small(const struct wide *wide)
{
    const struct fast_docket *docket = wide->docket;
    uint64_t work = docket->by_place ? docket->place_cells : 1;
    for (uint32_t a = 0; a < docket->axis_count; a++) {
        uint64_t cells = wide->free[a] ? wide->source->docket->axes[a].cell_count : 1;
        work *= wide->source->docket->rises && wide->free[a] ? 3 * cells : cells * (cells + 1) / 2;
        if (work > MOST_WORK) {
            return false;
        }
    }
    return wide->maybes < 16 && (work * (wide->tests + 64) << wide->maybes) < MOST_WORK;
}

bool wide_judge(struct wide *wide, struct come *result)
{
    uint32_t worst = 0, best = UINT32_MAX;
    *result = (struct come){.best = UINT32_MAX};
    for (uint32_t i = 0; i < wide->list_count; i++) {
        struct come all = climb(wide, &wide->all, wide->lists[i]), worse = all, better = all;
        if (!wide->exact) {
            worse = climb(wide, &wide->worse, wide->lists[i]);
            better = climb(wide, &wide->better, wide->lists[i]);
        }
        worst = all.worst > worst ? all.worst : worst;
        best = all.best < best ? all.best : best;
        uint32_t known = better.best < result->best ? better.best : result->best;
        if (!result->limit || worse.worst > result->worst) {
            *result = worse;
        }
        result->best = known;
    }
    return !wide->unsure && result->worst == worst && result->best == best && is_small(wide);
}

/* ---- a row ------------------------------------------------------------------------------------------------ */

bool fast_wide(struct sweeper *sweeper, uint32_t book, const struct row *row,
               struct outcome_of_row *result)
{
    const struct sweep *sweep = sweeper->sweep;
    const struct fast *fast = sweep->fast[book];
    if (!fast || row->fault || row->count != sweep->column_count ||
        sweep->books[book]->book->as_read || !row_is_text(row)) {
        return false;
    }
    uint32_t kind, part;
    if (!fast_names_of(fast, row->cells, &kind, &part)) {
        return false;
    }
    const struct fast_source *source =
        &fast->made_from[(size_t)kind * fast->book->part_count + part];
    if (!source->table || row_given(row) & ~source->table->allowed) {
        return false;
    }
    struct wide wide = {.arena = sweeper->scratch,
                        .fast = fast,
                        .docket = source->table,
                        .source = source,
                        .row = row,
                        .columns = sweep->columns};
    struct come come;
    return wide_take(&wide) && wide_judge(&wide, &come) && wide_show(&wide, &come, result);
}
