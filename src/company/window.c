/*
 * The worst window that each finding can touch. In a group every member is an interval of
 * the places x where the window may begin; how much lies over x changes upward only where an
 * interval begins.
 */
#include "company/inquiry.h"

/* ---- sorting ------------------------------------------------------------------------- */

void order_numbers(struct arena *arena, const struct number *numbers, uint32_t *order,
                   uint32_t count)
{
    struct arena_mark mark = arena_mark(arena);
    uint32_t *from = order, *to = ARENA_ARRAY(arena, uint32_t, count);
    for (uint64_t width = 1; width < count; width *= 2) {
        for (uint64_t start = 0; start < count; start += 2 * width) {
            uint64_t middle = start + width < count ? start + width : count;
            uint64_t end = middle + width < count ? middle + width : count;
            uint64_t i = start, j = middle;
            for (uint64_t k = start; k < end; k++) {
                bool left = j == end || (i < middle && number_compare(arena, numbers[from[i]],
                                                                      numbers[from[j]]) <= 0);
                to[k] = left ? from[i++] : from[j++];
            }
        }
        uint32_t *swapped = from;
        from = to;
        to = swapped;
    }
    for (uint32_t i = 0; from != order && i < count; i++) {
        order[i] = from[i];
    }
    arena_release(arena, mark);
}

/* ---- one sweep ------------------------------------------------------------------------ */

/* Intervals with weights, and queries: the most that lies over one x of each. */
struct sweep {
    struct arena *arena;
    uint32_t count;
    struct number *from, *to, *weight;
    /* Made by sweep_begin: */
    uint32_t *starts, *ends;  /* by rising from, rising to */
    struct number *start_sum; /* weights of the first i starts */
    struct number *end_sum;
    uint32_t levels;
    uint32_t **best;     /* level l, i: of the starts i .. i + 2^l - 1 the one over which
                                      most lies */
    struct number *over; /* by start: what lies over it */
};

/* How many of `order` have a number below (or, with `equal`, at) x. */
static uint32_t count_below(const struct sweep *sweep, const struct number *numbers,
                            const uint32_t *order, struct number x, bool equal)
{
    uint32_t low = 0, high = sweep->count;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        int compared = number_compare(sweep->arena, numbers[order[middle]], x);
        if (compared < 0 || (equal && compared == 0)) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

static struct number lies_over(const struct sweep *sweep, struct number x)
{
    uint32_t begun = count_below(sweep, sweep->from, sweep->starts, x, true);
    uint32_t ended = count_below(sweep, sweep->to, sweep->ends, x, false);
    return number_subtract(sweep->arena, sweep->start_sum[begun], sweep->end_sum[ended]);
}

static struct number *sums_of(const struct sweep *sweep, const uint32_t *order)
{
    struct number *sums = ARENA_ARRAY(sweep->arena, struct number, (size_t)sweep->count + 1);
    sums[0] = NUMBER_ZERO;
    for (uint32_t i = 0; i < sweep->count; i++) {
        sums[i + 1] = number_add(sweep->arena, sums[i], sweep->weight[order[i]]);
    }
    return sums;
}

static uint32_t heavier(const struct sweep *sweep, uint32_t a, uint32_t b)
{
    return number_compare(sweep->arena, sweep->over[a], sweep->over[b]) >= 0 ? a : b;
}

static void sweep_begin(struct sweep *sweep)
{
    struct arena *arena = sweep->arena;
    uint32_t count = sweep->count;
    sweep->starts = ARENA_ARRAY(arena, uint32_t, count);
    sweep->ends = ARENA_ARRAY(arena, uint32_t, count);
    for (uint32_t i = 0; i < count; i++) {
        sweep->starts[i] = sweep->ends[i] = i;
    }
    order_numbers(arena, sweep->from, sweep->starts, count);
    order_numbers(arena, sweep->to, sweep->ends, count);
    sweep->start_sum = sums_of(sweep, sweep->starts);
    sweep->end_sum = sums_of(sweep, sweep->ends);
    sweep->over = ARENA_ARRAY(arena, struct number, count);
    sweep->best = ARENA_ARRAY(arena, uint32_t *, 32);
    sweep->best[0] = ARENA_ARRAY(arena, uint32_t, count);
    for (uint32_t i = 0; i < count; i++) {
        sweep->over[i] = lies_over(sweep, sweep->from[sweep->starts[i]]);
        sweep->best[0][i] = i;
    }
    for (sweep->levels = 1; (uint64_t)1 << sweep->levels <= count; sweep->levels++) {
        uint32_t half = 1u << (sweep->levels - 1), length = count - 2 * half + 1;
        const uint32_t *below = sweep->best[sweep->levels - 1];
        uint32_t *level = sweep->best[sweep->levels] = ARENA_ARRAY(arena, uint32_t, length);
        for (uint32_t i = 0; i < length; i++) {
            level[i] = heavier(sweep, below[i], below[i + half]);
        }
    }
}

/* The most over one x from `from` to `to`, and where that is. */
static struct number sweep_most(const struct sweep *sweep, struct number from, struct number to,
                                struct number *at)
{
    struct number most = lies_over(sweep, from);
    uint32_t first = count_below(sweep, sweep->from, sweep->starts, from, true);
    uint32_t last = count_below(sweep, sweep->from, sweep->starts, to, true);
    *at = from;
    if (first < last) {
        uint32_t level = 31 - (uint32_t)__builtin_clz(last - first);
        uint32_t best =
            heavier(sweep, sweep->best[level][first], sweep->best[level][last - (1u << level)]);
        if (number_compare(sweep->arena, sweep->over[best], most) > 0) {
            most = sweep->over[best];
            *at = sweep->from[sweep->starts[best]];
        }
    }
    return most;
}

/* ---- the largest ------------------------------------------------------------------------ */

/* A query for the largest weight of what shares some x with [from, to]. */
struct largest {
    struct sweep *sweep;
    struct number *highest; /* a tree of the greatest weight among ends from a rank on */
    uint32_t *which;
    uint32_t *end_rank; /* by interval */
};

static void largest_add(struct largest *largest, uint32_t interval)
{
    const struct sweep *sweep = largest->sweep;
    /* ranks from the far end, so that "from a rank on" is a prefix */
    for (uint32_t i = sweep->count - largest->end_rank[interval]; i <= sweep->count; i += i & -i) {
        if (largest->which[i] == NO_OTHER ||
            number_compare(sweep->arena, sweep->weight[interval], largest->highest[i]) > 0) {
            largest->highest[i] = sweep->weight[interval];
            largest->which[i] = interval;
        }
    }
}

static uint32_t largest_from(const struct largest *largest, uint32_t rank)
{
    const struct sweep *sweep = largest->sweep;
    uint32_t best = NO_OTHER;
    for (uint32_t i = sweep->count - rank; i > 0; i -= i & -i) {
        uint32_t one = largest->which[i];
        if (one != NO_OTHER && (best == NO_OTHER || number_compare(sweep->arena, sweep->weight[one],
                                                                   sweep->weight[best]) > 0)) {
            best = one;
        }
    }
    return best;
}

/* For every query, sorted by where it ends, the interval of the largest weight, or NO_OTHER. */
static uint32_t *largest_answer(struct sweep *sweep, const struct number *from,
                                const struct number *to, uint32_t count)
{
    struct arena *arena = sweep->arena;
    struct largest largest = {.sweep = sweep};
    uint32_t *found = ARENA_ARRAY(arena, uint32_t, count);
    uint32_t *order = ARENA_ARRAY(arena, uint32_t, count);
    largest.highest = ARENA_ARRAY(arena, struct number, (size_t)sweep->count + 1);
    largest.which = ARENA_ARRAY(arena, uint32_t, (size_t)sweep->count + 1);
    largest.end_rank = ARENA_ARRAY(arena, uint32_t, sweep->count);
    for (uint32_t i = 0; i <= sweep->count; i++) {
        largest.which[i] = NO_OTHER;
    }
    for (uint32_t i = 0; i < sweep->count; i++) {
        largest.end_rank[sweep->ends[i]] = i;
    }
    for (uint32_t i = 0; i < count; i++) {
        order[i] = i;
    }
    order_numbers(arena, to, order, count);
    uint32_t added = 0;
    for (uint32_t i = 0; i < count; i++) {
        uint32_t query = order[i];
        uint32_t begun = count_below(sweep, sweep->from, sweep->starts, to[query], true);
        for (; added < begun; added++) {
            largest_add(&largest, sweep->starts[added]);
        }
        found[query] =
            largest_from(&largest, count_below(sweep, sweep->to, sweep->ends, from[query], false));
    }
    return found;
}

/* ---- all of a group ----------------------------------------------------------------------- */

/* Where a window may begin that touches the finding: in some world, and in all. */
static void window_starts(const struct inquiry *inquiry, const struct finding *finding,
                          struct range *some, struct range *all)
{
    uint32_t axis = member_axis(finding, inquiry->aggregate->axis);
    struct reach reach = member_reach(inquiry->arena, finding, axis, inquiry->as_read);
    struct number length = inquiry->aggregate->window;
    *some = (struct range){number_subtract(inquiry->arena, reach.lo_low, length), reach.hi_high};
    *all = (struct range){number_subtract(inquiry->arena, reach.lo_high, length), reach.hi_low};
}

struct askers {
    uint32_t *findings;
    uint32_t count;
    struct range *some, *all;
};

static struct askers askers_of(struct inquiry *inquiry, uint32_t group)
{
    struct askers askers = {0};
    askers.findings = ARENA_ARRAY(inquiry->arena, uint32_t, inquiry->finding_count);
    for (uint32_t i = 0; i < inquiry->finding_count; i++) {
        if (inquiry_asks(inquiry, inquiry->findings[i]) &&
            inquiry_group(inquiry, inquiry->findings[i]) == group) {
            askers.findings[askers.count++] = i;
        }
    }
    askers.some = ARENA_ARRAY(inquiry->arena, struct range, askers.count);
    askers.all = ARENA_ARRAY(inquiry->arena, struct range, askers.count);
    for (uint32_t i = 0; i < askers.count; i++) {
        window_starts(inquiry, inquiry->findings[askers.findings[i]], &askers.some[i],
                      &askers.all[i]);
    }
    return askers;
}

static bool is_range(const struct inquiry *inquiry, const struct range *range)
{
    return number_compare(inquiry->arena, range->low, range->high) <= 0;
}

/* The intervals of a group: of what may be there, or of what is sure to be. */
static struct sweep sweep_of(struct inquiry *inquiry, uint32_t group, bool sure)
{
    uint32_t from = inquiry->group_start[group], to = inquiry->group_start[group + 1];
    struct sweep sweep = {.arena = inquiry->arena};
    sweep.from = ARENA_ARRAY(inquiry->arena, struct number, to - from);
    sweep.to = ARENA_ARRAY(inquiry->arena, struct number, to - from);
    sweep.weight = ARENA_ARRAY(inquiry->arena, struct number, to - from);
    for (uint32_t i = from; i < to; i++) {
        const struct member *member = &inquiry->members[inquiry->order[i]];
        struct range some, all;
        window_starts(inquiry, inquiry->findings[member->finding], &some, &all);
        if (sure && (!member->certain || !is_range(inquiry, &all))) {
            continue;
        }
        sweep.from[sweep.count] = sure ? all.low : some.low;
        sweep.to[sweep.count] = sure ? all.high : some.high;
        sweep.weight[sweep.count++] = sure ? member->value.low : member->value.high;
    }
    sweep_begin(&sweep);
    return sweep;
}

static void answer_sums(struct inquiry *inquiry, const struct askers *askers,
                        const struct sweep *some, const struct sweep *sure)
{
    for (uint32_t i = 0; i < askers->count; i++) {
        uint32_t finding = askers->findings[i];
        struct range *range = &inquiry->ranges[finding];
        struct number at;
        range->high = sweep_most(some, askers->some[i].low, askers->some[i].high,
                                 &inquiry->worst_at[finding]);
        if (is_range(inquiry, &askers->all[i])) {
            struct number least = sweep_most(sure, askers->all[i].low, askers->all[i].high, &at);
            range->low = number_greatest(inquiry->arena, range->low, least);
        }
    }
}

static void answer_largest(struct inquiry *inquiry, const struct askers *askers, struct sweep *some,
                           struct sweep *sure)
{
    struct arena *arena = inquiry->arena;
    struct number *from = ARENA_ARRAY(arena, struct number, askers->count);
    struct number *to = ARENA_ARRAY(arena, struct number, askers->count);
    for (int pass = 0; pass < 2; pass++) {
        struct sweep *sweep = pass ? sure : some;
        const struct range *asked = pass ? askers->all : askers->some;
        for (uint32_t i = 0; i < askers->count; i++) {
            from[i] = asked[i].low;
            to[i] = asked[i].high;
        }
        uint32_t *found = largest_answer(sweep, from, to, askers->count);
        for (uint32_t i = 0; i < askers->count; i++) {
            struct range *range = &inquiry->ranges[askers->findings[i]];
            if (found[i] == NO_OTHER || (pass && !is_range(inquiry, &asked[i]))) {
                continue;
            }
            struct number value = sweep->weight[found[i]];
            if (pass) {
                range->low = number_greatest(arena, range->low, value);
            } else {
                range->high = value;
                inquiry->worst_at[askers->findings[i]] =
                    number_greatest(arena, from[i], sweep->from[found[i]]);
            }
        }
    }
}

/* What is sure of the finding itself is in every window that touches it. */
static void begin_with_own(struct inquiry *inquiry)
{
    for (uint32_t i = 0; i < inquiry->member_count; i++) {
        const struct member *member = &inquiry->members[i];
        if (member->certain) {
            inquiry->ranges[member->finding].low = member->value.low;
        }
    }
}

static void keep_order(struct inquiry *inquiry, uint32_t group, const struct sweep *some,
                       struct arena *keep)
{
    uint32_t first = inquiry->group_start[group];
    for (uint32_t i = 0; i < some->count; i++) {
        uint32_t which = some->starts[i];
        inquiry->by_start[first + i] = inquiry->order[first + which];
        inquiry->starts[first + i] = number_copy(keep, some->from[which]);
        inquiry->ends[first + i] = number_copy(keep, some->to[which]);
    }
}

uint32_t window_members(const struct inquiry *inquiry, uint32_t finding, uint32_t *members,
                        uint32_t most, bool *more)
{
    struct arena *arena = inquiry->arena;
    uint32_t group = inquiry_group(inquiry, inquiry->findings[finding]);
    uint32_t first = inquiry->group_start[group], low = first,
             high = inquiry->group_start[group + 1];
    struct number at = inquiry->worst_at[finding];
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (number_compare(arena, inquiry->starts[middle], at) <= 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    uint32_t count = 0, scanned = 0;
    *more = false;
    while (low > first && !*more) {
        low--;
        if (number_compare(arena, inquiry->ends[low], at) >= 0) {
            *more = count == most;
            if (!*more) {
                members[count++] = inquiry->by_start[low];
            }
        }
        *more |= ++scanned == COMPANY_SCAN && low > first;
    }
    for (uint32_t i = 1; i < count; i++) { /* few: by hand */
        uint32_t moved = members[i], to = i;
        for (; to > 0 && members[to - 1] > moved; to--) {
            members[to] = members[to - 1];
        }
        members[to] = moved;
    }
    return count;
}

static void keep_numbers(struct inquiry *inquiry, struct arena *keep)
{
    for (uint32_t i = 0; i < inquiry->finding_count; i++) {
        inquiry->ranges[i].low = number_copy(keep, inquiry->ranges[i].low);
        inquiry->ranges[i].high = number_copy(keep, inquiry->ranges[i].high);
        inquiry->worst_at[i] = number_copy(keep, inquiry->worst_at[i]);
    }
}

void window_answer(struct inquiry *inquiry)
{
    inquiry->by_start = ARENA_ARRAY(inquiry->arena, uint32_t, inquiry->member_count);
    inquiry->starts = ARENA_ARRAY(inquiry->arena, struct number, inquiry->member_count);
    inquiry->ends = ARENA_ARRAY(inquiry->arena, struct number, inquiry->member_count);
    /* The sweeps are scratch; what is kept of them is a number each. */
    struct arena *keep = inquiry->arena;
    inquiry->arena = arena_beside(keep);
    begin_with_own(inquiry);
    for (uint32_t group = 0; group < inquiry->group_count; group++) {
        struct askers askers = askers_of(inquiry, group);
        if (askers.count == 0) {
            continue;
        }
        struct sweep some = sweep_of(inquiry, group, false);
        keep_order(inquiry, group, &some, keep);
        struct sweep sure = sweep_of(inquiry, group, true);
        if (inquiry->aggregate->sort == AGGREGATE_LARGEST) {
            answer_largest(inquiry, &askers, &some, &sure);
        } else {
            answer_sums(inquiry, &askers, &some, &sure);
        }
    }
    keep_numbers(inquiry, keep);
    arena_end(inquiry->arena);
    inquiry->arena = keep;
}
