/* Items: findings, checks and searches, each with its outcome and its why. */
#include "verdict/item.h"

#include "base/text.h"

struct judged judged_make(struct arena *arena, const struct ready_book *ready,
                          const struct company *company, uint32_t index,
                          enum judge_telling telling)
{
    const struct finding *finding = company_finding(company, index);
    struct judged judged = {
        .finding = finding,
        .company = company,
        .index = index,
        .work = arena,
        .docket = plan_docket(ready->plan, finding->kind, finding->part),
        .guarded = -1,
    };
    judged.judgement = judge(arena, judged.docket, finding, ready->book->as_read, telling, 0);
    if (ready->book->as_read) {
        judged.guarded =
            (int32_t)judge(arena, judged.docket, finding, false, JUDGE_ENDS, 0)->worst;
    }
    return judged;
}

uint32_t judged_best(const struct judged *judged)
{
    return (uint32_t)__builtin_ctzll(judged->judgement->possible);
}

void item_set_possible(struct arena *arena, uint64_t set, struct stave_item *shown)
{
    uint32_t *possible = ARENA_ARRAY(arena, uint32_t, (size_t)__builtin_popcountll(set));
    for (uint32_t i = 0; i < 64; i++) {
        if (set >> i & 1) {
            possible[shown->possible_count++] = i;
        }
    }
    shown->possible = possible;
}

static void set_zones(struct arena *arena, const struct judged *judged, struct stave_item *shown)
{
    const struct docket *docket = judged->docket;
    const char **zones = ARENA_ARRAY(arena, const char *, docket->limit_count);
    size_t count = 0;
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        const char *zone = docket->limits[l].source->zone->name;
        bool known = false;
        for (size_t i = 0; i < count; i++) {
            known |= zones[i] == zone;
        }
        if (!known && judged->judgement->limits_met >> l & 1) {
            zones[count++] = zone;
        }
    }
    shown->zones = zones;
    shown->zone_count = count;
}

struct item item_judge(struct arena *arena, struct arena *work, const struct ready_book *ready,
                       const struct record *record, const struct company *company,
                       uint32_t index)
{
    const struct finding *finding = company_finding(company, index);
    struct item item = {
        .judged = judged_make(work, ready, company, index, JUDGE_ALL),
        .part = finding->part,
        .instance = finding->instance,
    };
    const struct judgement *judgement = item.judged.judgement;
    const struct kind *kind = finding->kind;
    item.best = judged_best(&item.judged);
    deadlines_add(arena, &item.deadlines, &item.judged, record);
    item.shown = (struct stave_item){
        .item = kind->is_check ? STAVE_CHECK : STAVE_FINDING,
        .id = finding->id,
        .part = finding_part_name(arena, finding->part, finding->instance),
        .kind = kind->name,
        .text = finding->text,
        .remark = finding->remark,
        .record_line = finding->span.source ? span_line(arena, finding->span) : 0,
        .outcome = judgement->worst,
        .guarded_outcome = item.judged.guarded,
        .why_incomplete = "",
        .why_overdue = "",
        .by_model = "",
        .seen = (enum stave_seen)finding->seen,
        .uncovered = "",
        .deadlines = item.deadlines.items,
        .deadline_count = item.deadlines.count,
        .outline_part = finding->part->index,
        .outline_kind = kind->index,
        .instance = finding->instance,
    };
    item_set_recorded(arena, finding, &item.shown);
    item.shown.growths = growths_make(arena, &item.judged, ready->book->as_read,
                                      &item.shown.growth_count);
    item_set_possible(arena, judgement->possible, &item.shown);
    set_zones(arena, &item.judged, &item.shown);
    if (judgement->uncovered) {
        item.shown.uncovered =
            text_format(arena, "%s lies in no zone with a limit for '%s'",
                        item.shown.zone_count ? "part of it may lie outside the zones: that part"
                                              : "it",
                        kind->name);
    }
    item.shown.reasons = reasons_make(arena, ready, &item.judged, &item.shown.reason_count);
    item.shown.needs = needs_make(arena, &item.judged, judgement, NULL, &item.shown.need_count);
    item.judged.judgement = NULL;
    return item;
}

struct item item_from_answer(struct arena *arena, const struct ready_book *ready,
                             const struct answer *answer)
{
    struct item item = {.part = answer->part, .instance = answer->instance};
    uint32_t *possible = ARENA_NEW(arena, uint32_t);
    *possible = answer->given ? 0 : ready->book->incomplete;
    item.shown = (struct stave_item){
        .item = answer->check ? STAVE_CHECK : STAVE_SEARCH,
        .id = "",
        .part = finding_part_name(arena, answer->part, answer->instance),
        .kind = answer->check ? answer->check->name : "search",
        .text = "",
        .remark = "",
        .record_line = answer->span.source ? span_line(arena, answer->span) : 0,
        .outcome = *possible,
        .possible = possible,
        .possible_count = 1,
        .guarded_outcome = -1,
        .why_incomplete = answer->given ? "" : answer->why_missing,
        .why_overdue = "",
        .by_model = "",
        .uncovered = "",
        .outline_part = answer->part->index,
        .outline_kind = answer->check ? answer->check->index : 0,
        .instance = answer->instance,
    };
    return item;
}

struct item item_open_model(struct arena *arena, const struct ready_book *ready,
                            const struct record *record)
{
    struct item item = {0};
    uint32_t *possible = ARENA_NEW(arena, uint32_t);
    *possible = ready->book->incomplete;
    item.shown = (struct stave_item){
        .item = STAVE_MODEL,
        .id = "",
        .part = "model",
        .kind = "effectivity",
        .text = "",
        .remark = "",
        .outcome = *possible,
        .possible = possible,
        .possible_count = 1,
        .guarded_outcome = -1,
        .why_incomplete = record->open_why,
        .why_overdue = "",
        .by_model = "",
        .uncovered = "",
        .outline_part = UINT32_MAX,
    };
    return item;
}
