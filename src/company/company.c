/* Every question of every docket, asked of all findings at once. */
#include "company/company.h"

#include "company/inquiry.h"

struct company {
    struct arena *arena;
    const struct plan *plan;
    struct finding *const *findings;
    uint32_t count;
    struct finding *copies;
    struct company_inquiry {
        const struct aggregate *aggregate;
        const struct part *part;
        struct inquiry *guarded, *read; /* read NULL where the book does not judge as read */
    } * inquiries;
    uint32_t inquiry_count;
    size_t inquiry_capacity;
};

/* ---- one inquiry --------------------------------------------------------------------------- */

static bool on_propeller(const struct aggregate *aggregate)
{
    return aggregate->scope == TREE_ON_PROPELLER;
}

static bool is_pair(const struct aggregate *aggregate)
{
    return aggregate->sort == AGGREGATE_APART || aggregate->sort == AGGREGATE_FACING;
}

uint32_t inquiry_group(const struct inquiry *inquiry, const struct finding *finding)
{
    return on_propeller(inquiry->aggregate) ? 0 : finding->instance;
}

bool inquiry_asks(const struct inquiry *inquiry, const struct finding *finding)
{
    if (finding->part != inquiry->part) {
        return false;
    }
    const struct docket *docket = plan_docket(inquiry->plan, finding->kind, finding->part);
    for (uint32_t v = 0; docket && v < docket->variable_count; v++) {
        if (docket->variables[v].aggregate == inquiry->aggregate) {
            return true;
        }
    }
    return false;
}

static void add_member(struct inquiry *inquiry, uint32_t index)
{
    const struct finding *finding = inquiry->findings[index];
    const struct aggregate *aggregate = inquiry->aggregate;
    if (!aggregate_names(aggregate, finding->kind) ||
        (!on_propeller(aggregate) && finding->part != inquiry->part)) {
        return;
    }
    enum answer passes = member_passes(inquiry, finding);
    if (passes == ANSWER_NO) {
        return;
    }
    struct member *member = &inquiry->members[inquiry->member_count++];
    *member = (struct member){
        .finding = index,
        .group = inquiry_group(inquiry, finding),
        .certain = passes == ANSWER_YES,
        .value = {NUMBER_INT(1), NUMBER_INT(1)},
    };
    if (aggregate->value) {
        member->value = member_value(inquiry, finding, aggregate->value);
    }
    if (aggregate->scope == TREE_ON_A_SIDE) {
        member_sides(inquiry, finding, &member->sides_sure, &member->sides);
    }
}

static void group_members(struct inquiry *inquiry)
{
    struct arena *arena = inquiry->arena;
    for (uint32_t i = 0; i < inquiry->finding_count; i++) {
        uint32_t group = inquiry_group(inquiry, inquiry->findings[i]);
        inquiry->group_count = group >= inquiry->group_count ? group + 1 : inquiry->group_count;
    }
    inquiry->group_start = ARENA_ARRAY(arena, uint32_t, (size_t)inquiry->group_count + 2);
    inquiry->order = ARENA_ARRAY(arena, uint32_t, inquiry->member_count);
    for (uint32_t i = 0; i < inquiry->member_count; i++) {
        inquiry->group_start[inquiry->members[i].group + 2]++;
    }
    for (uint32_t g = 0; g + 1 < inquiry->group_count + 2; g++) {
        inquiry->group_start[g + 1] += inquiry->group_start[g];
    }
    for (uint32_t i = 0; i < inquiry->member_count; i++) {
        inquiry->order[inquiry->group_start[inquiry->members[i].group + 1]++] = i;
    }
}

/* ---- counts and totals without a window -------------------------------------------------- */

static void range_add(const struct inquiry *inquiry, struct range *range,
                      const struct member *member, bool certain)
{
    struct arena *arena = inquiry->arena;
    if (inquiry->aggregate->sort == AGGREGATE_LARGEST) {
        range->high = number_greatest(arena, range->high, member->value.high);
        range->low = certain ? number_greatest(arena, range->low, member->value.low) : range->low;
        return;
    }
    range->high = number_add(arena, range->high, member->value.high);
    range->low = certain ? number_add(arena, range->low, member->value.low) : range->low;
}

static const struct range nothing = {{.den = 1, .num = 0}, {.den = 1, .num = 0}};

static struct range *group_ranges(const struct inquiry *inquiry)
{
    struct range *ranges = ARENA_ARRAY(inquiry->arena, struct range, inquiry->group_count);
    for (uint32_t group = 0; group < inquiry->group_count; group++) {
        ranges[group] = nothing;
    }
    for (uint32_t i = 0; i < inquiry->member_count; i++) {
        range_add(inquiry, &ranges[inquiry->members[i].group], &inquiry->members[i],
                  inquiry->members[i].certain);
    }
    return ranges;
}

static void answer_groups(struct inquiry *inquiry)
{
    const struct range *ranges = group_ranges(inquiry);
    for (uint32_t i = 0; i < inquiry->finding_count; i++) {
        if (inquiry_asks(inquiry, inquiry->findings[i])) {
            inquiry->ranges[i] = ranges[inquiry_group(inquiry, inquiry->findings[i])];
        }
    }
}

/* The range on each side, of all groups: side runs fastest. */
static struct range *side_ranges(const struct inquiry *inquiry, uint32_t sides)
{
    struct range *ranges =
        ARENA_ARRAY(inquiry->arena, struct range, (size_t)inquiry->group_count * sides);
    for (size_t i = 0; i < (size_t)inquiry->group_count * sides; i++) {
        ranges[i] = nothing;
    }
    for (uint32_t i = 0; i < inquiry->member_count; i++) {
        const struct member *member = &inquiry->members[i];
        for (uint32_t side = 0; side < sides; side++) {
            if (member->sides >> side & 1) {
                range_add(inquiry, &ranges[(size_t)member->group * sides + side], member,
                          member->certain && member->sides_sure >> side & 1);
            }
        }
    }
    return ranges;
}

/* On several sides for sure, the worst counts; on one of several, it may be any of them. */
static struct range worst_side(const struct inquiry *inquiry, const struct range *by_side,
                               uint64_t sure, uint64_t some)
{
    struct range worst = nothing;
    bool begun = false;
    for (uint64_t left = some; left; left &= left - 1) {
        const struct range *one = &by_side[__builtin_ctzll(left)];
        worst.high = number_greatest(inquiry->arena, worst.high, one->high);
    }
    for (uint64_t left = sure ? sure : some; left; left &= left - 1) {
        struct number low = by_side[__builtin_ctzll(left)].low;
        worst.low = !begun ? low
                    : sure ? number_greatest(inquiry->arena, worst.low, low)
                           : number_least(inquiry->arena, worst.low, low);
        begun = true;
    }
    return worst;
}

static void answer_sides(struct inquiry *inquiry)
{
    uint32_t sides = inquiry->part->side_count;
    const struct range *ranges = side_ranges(inquiry, sides);
    for (uint32_t i = 0; i < inquiry->finding_count; i++) {
        const struct finding *finding = inquiry->findings[i];
        if (!inquiry_asks(inquiry, finding)) {
            continue;
        }
        uint64_t sure, some;
        member_sides(inquiry, finding, &sure, &some);
        inquiry->ranges[i] = worst_side(
            inquiry, &ranges[(size_t)inquiry_group(inquiry, finding) * sides], sure, some);
    }
}

static struct inquiry *inquiry_make(const struct company *company,
                                    const struct aggregate *aggregate, const struct part *part,
                                    bool as_read)
{
    struct inquiry *inquiry = ARENA_NEW(company->arena, struct inquiry);
    *inquiry = (struct inquiry){
        .arena = company->arena,
        .plan = company->plan,
        .findings = company->findings,
        .finding_count = company->count,
        .aggregate = aggregate,
        .part = part,
        .as_read = as_read,
        .members = ARENA_ARRAY(company->arena, struct member, company->count),
        .ranges = ARENA_ARRAY(company->arena, struct range, company->count),
        .worst_at = ARENA_ARRAY(company->arena, struct number, company->count),
        .other = ARENA_ARRAY(company->arena, uint32_t, company->count),
    };
    for (uint32_t i = 0; i < company->count; i++) {
        inquiry->ranges[i] = nothing;
        inquiry->worst_at[i] = NUMBER_ZERO;
        inquiry->other[i] = NO_OTHER;
        add_member(inquiry, i);
    }
    group_members(inquiry);
    if (is_pair(aggregate)) {
        near_answer(inquiry);
    } else if (aggregate->scope == TREE_WITHIN_ANY) {
        window_answer(inquiry);
    } else if (aggregate->scope == TREE_ON_A_SIDE) {
        answer_sides(inquiry);
    } else {
        answer_groups(inquiry);
    }
    return inquiry;
}

/* ---- all of them ------------------------------------------------------------------------------ */

static const struct company_inquiry *
find_term(const struct company *company, const struct aggregate *aggregate, const struct part *part)
{
    for (uint32_t i = 0; i < company->inquiry_count; i++) {
        if (company->inquiries[i].aggregate == aggregate && company->inquiries[i].part == part) {
            return &company->inquiries[i];
        }
    }
    return NULL;
}

static const struct company_inquiry *ask(struct company *company, const struct aggregate *aggregate,
                                         const struct part *part)
{
    const struct company_inquiry *known = find_term(company, aggregate, part);
    if (known) {
        return known;
    }
    struct company_inquiry made = {.aggregate = aggregate, .part = part};
    made.guarded = inquiry_make(company, aggregate, part, false);
    if (company->plan->book->as_read) {
        made.read = inquiry_make(company, aggregate, part, true);
    }
    struct company_inquiry *kept = ARENA_PUSH(company->arena, company->inquiries,
                                              company->inquiry_count, company->inquiry_capacity);
    *kept = made;
    return kept;
}

static void fill(struct company *company, uint32_t index)
{
    struct finding *finding = &company->copies[index];
    const struct docket *docket = plan_docket(company->plan, finding->kind, finding->part);
    struct company_range *guarded = NULL, *read = NULL;
    for (uint32_t v = 0; docket && v < docket->variable_count; v++) {
        if (docket->variables[v].sort != VARIABLE_COMPANY) {
            continue;
        }
        const struct company_inquiry *inquiry =
            ask(company, docket->variables[v].aggregate, finding->part);
        if (!guarded) {
            guarded = ARENA_ARRAY(company->arena, struct company_range, docket->variable_count);
            finding->company = guarded;
        }
        guarded[v] = (struct company_range){inquiry->guarded->ranges[index].low,
                                            inquiry->guarded->ranges[index].high};
        if (inquiry->read && !read) {
            read = ARENA_ARRAY(company->arena, struct company_range, docket->variable_count);
            finding->company_read = read;
        }
        if (inquiry->read) {
            read[v] = (struct company_range){inquiry->read->ranges[index].low,
                                             inquiry->read->ranges[index].high};
        }
    }
}

struct company *company_make(struct arena *arena, const struct plan *plan,
                             struct finding *const *findings, uint32_t count)
{
    struct company *company = ARENA_NEW(arena, struct company);
    company->arena = arena;
    company->plan = plan;
    company->findings = findings;
    company->count = count;
    company->copies = ARENA_ARRAY(arena, struct finding, count);
    for (uint32_t i = 0; i < count; i++) {
        company->copies[i] = *findings[i];
    }
    for (uint32_t i = 0; i < count; i++) {
        fill(company, i);
    }
    return company;
}

const struct finding *company_finding(const struct company *company, uint32_t index)
{
    return &company->copies[index];
}

/* ---- who it is ------------------------------------------------------------------------------------ */

static const struct inquiry *inquiry_of(const struct company *company, uint32_t index,
                                        uint32_t variable)
{
    const struct finding *finding = company->findings[index];
    const struct docket *docket = plan_docket(company->plan, finding->kind, finding->part);
    const struct company_inquiry *known =
        find_term(company, docket->variables[variable].aggregate, finding->part);
    return company->plan->book->as_read ? known->read : known->guarded;
}

/* Members that may have made the range so high, itself among them, at most `most`. */
static uint32_t who(const struct inquiry *inquiry, uint32_t finding, uint32_t *members,
                    uint32_t most, bool *more)
{
    const struct finding *self = inquiry->findings[finding];
    uint64_t sure, sides = 0;
    if (inquiry->aggregate->scope == TREE_WITHIN_ANY) {
        return window_members(inquiry, finding, members, most, more);
    }
    if (inquiry->aggregate->scope == TREE_ON_A_SIDE) {
        member_sides(inquiry, self, &sure, &sides);
    }
    uint32_t group = inquiry_group(inquiry, self), count = 0;
    uint32_t from = inquiry->group_start[group], to = inquiry->group_start[group + 1];
    *more = false;
    for (uint32_t i = from; i < to && !*more; i++) {
        uint32_t member = inquiry->order[i];
        if (i - from == COMPANY_SCAN) {
            *more = true;
        } else if (!sides || sides & inquiry->members[member].sides) {
            *more = count == most;
            if (!*more) {
                members[count++] = member;
            }
        }
    }
    return count;
}

#define WHO_MOST 64

uint32_t company_others(const struct company *company, uint32_t finding, uint32_t variable,
                        const struct finding **others, uint32_t most, bool *more)
{
    const struct inquiry *inquiry = inquiry_of(company, finding, variable);
    uint32_t members[WHO_MOST], count = 0;
    *more = false;
    if (is_pair(inquiry->aggregate)) {
        if (inquiry->other[finding] != NO_OTHER) {
            others[count++] = company->findings[inquiry->other[finding]];
        }
        return count;
    }
    uint32_t found = who(inquiry, finding, members, most < WHO_MOST ? most + 1 : WHO_MOST, more);
    for (uint32_t i = 0; i < found; i++) {
        uint32_t other = inquiry->members[members[i]].finding;
        if (other != finding && count < most) {
            others[count++] = company->findings[other];
        } else {
            *more |= other != finding;
        }
    }
    return count;
}

/* ---- what is not known ------------------------------------------------------------------------------ */

struct asking {
    const struct inquiry *inquiry;
    struct company_open *open;
    uint32_t count, most;
};

static void add_open(struct asking *asking, const struct finding *finding,
                     enum company_open_sort sort, uint32_t index)
{
    for (uint32_t i = 0; i < asking->count; i++) {
        const struct company_open *known = &asking->open[i];
        if (known->finding == finding && known->sort == sort && known->index == index) {
            return;
        }
    }
    if (asking->count < asking->most) {
        asking->open[asking->count++] = (struct company_open){finding, sort, index};
    }
}

static void add_measures(struct asking *asking, const struct finding *finding,
                         const struct expression *expression)
{
    if (!expression) {
        return;
    }
    if (expression->sort == EXPRESSION_RECKONED) {
        add_measures(asking, finding, expression->reckon->value);
    }
    for (uint32_t r = 0; expression->sort == EXPRESSION_MEASURE && r < finding->kind->record_count;
         r++) {
        const struct reading *reading = &finding->readings[r];
        bool exact = number_equal(reading->low, reading->high) ||
                     (asking->inquiry->as_read && reading->given == GIVEN_DOUBT);
        if (finding->kind->records[r].measure == expression->measure && !exact) {
            add_open(asking, finding, OPEN_RECORD, r);
        }
    }
    add_measures(asking, finding, expression->left);
    add_measures(asking, finding, expression->right);
}

static void add_observation(struct asking *asking, const struct finding *finding,
                            const struct observation *observation)
{
    for (uint32_t r = 0; observation && r < finding->kind->record_count; r++) {
        uint64_t values = finding->readings[r].values;
        if (finding->kind->records[r].observation == observation && values & (values - 1)) {
            add_open(asking, finding, OPEN_RECORD, r);
        }
    }
}

static void add_axis(struct asking *asking, const struct finding *finding, uint32_t axis)
{
    struct reach reach =
        member_reach(asking->inquiry->arena, finding, axis, asking->inquiry->as_read);
    if (!number_equal(reach.lo_low, reach.lo_high) || !number_equal(reach.hi_low, reach.hi_high)) {
        add_open(asking, finding, OPEN_AXIS, axis);
    }
}

static void add_unknown(struct asking *asking, const struct finding *finding)
{
    const struct aggregate *aggregate = asking->inquiry->aggregate;
    bool zone = aggregate->zone && !aggregate->zone->is_part;
    bool sides = zone || aggregate->scope == TREE_ON_A_SIDE || aggregate->sort == AGGREGATE_FACING;
    for (uint32_t i = 0; i < aggregate->filter_count; i++) {
        add_measures(asking, finding, aggregate->filters[i].left);
        add_observation(asking, finding, aggregate->filters[i].observation);
    }
    add_measures(asking, finding, aggregate->value);
    add_measures(asking, finding, aggregate->distance);
    add_measures(asking, finding, aggregate->pair);
    add_measures(asking, finding, aggregate->pair_limit);
    for (uint32_t axis = 0; axis < finding->part->axis_count; axis++) {
        if (zone || aggregate->sort == AGGREGATE_FACING ||
            (aggregate->axis && axis == member_axis(finding, aggregate->axis))) {
            add_axis(asking, finding, axis);
        }
    }
    if (sides && finding->sides & (finding->sides - 1)) {
        add_open(asking, finding, OPEN_SIDE, 0);
    }
    if (sides) {
        add_observation(asking, finding, finding->kind->each_side);
    }
    if (sides && finding->places & (finding->places - 1)) {
        add_open(asking, finding, OPEN_PLACE, 0);
    }
}

uint32_t company_unknown(const struct company *company, uint32_t finding, uint32_t variable,
                         struct company_open *open, uint32_t most)
{
    const struct inquiry *inquiry = inquiry_of(company, finding, variable);
    struct asking asking = {.inquiry = inquiry, .open = open, .most = most};
    uint32_t members[WHO_MOST];
    bool more;
    if (is_pair(inquiry->aggregate) || inquiry->aggregate->scope == TREE_WITHIN_ANY ||
        inquiry->aggregate->scope == TREE_ON_A_SIDE) {
        add_unknown(&asking, inquiry->findings[finding]);
    }
    if (is_pair(inquiry->aggregate)) {
        if (inquiry->other[finding] != NO_OTHER) {
            add_unknown(&asking, inquiry->findings[inquiry->other[finding]]);
        }
        return asking.count;
    }
    uint32_t count = who(inquiry, finding, members, WHO_MOST, &more);
    for (uint32_t i = 0; i < count && asking.count < most; i++) {
        add_unknown(&asking, inquiry->findings[inquiry->members[members[i]].finding]);
    }
    return asking.count;
}
