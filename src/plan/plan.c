/*
 * book -> plan: a docket for each kind on each part.
 */
#include "plan/build.h"

#define SCRATCH_ROOM ((size_t)48 << 10)

static bool limit_applies(const struct limit *limit, const struct kind *kind,
                          const struct part *part)
{
    if (limit->zone->part != part)
        return false;
    for (uint32_t i = 0; i < limit->kind_count; i++)
        if (limit->kinds[i] == kind)
            return true;
    return false;
}

struct variable plan_measure_variable(const struct measure *measure)
{
    return (struct variable){
        .sort = VARIABLE_RECORD,
        .measure = measure,
        .stepping = measure->stepping,
        .step = measure->step,
        .round_down = measure->stepping == TREE_READ_UP_TO && measure->smaller_is_worse};
}

static void variables_begin(struct build *build)
{
    const struct kind *kind = build->docket->kind;
    for (uint32_t i = 0; i < kind->record_count; i++) {
        const struct measure *measure = kind->records[i].measure;
        struct variable *variable =
            ARENA_PUSH(build->arena, build->docket->variables, build->docket->variable_count,
                       build->variable_capacity);
        *variable = (struct variable){.sort = VARIABLE_RECORD, .step = NUMBER_ZERO};
        if (measure)
            *variable = plan_measure_variable(measure);
    }
}

static uint32_t record_of(const struct build *build, const struct observation *observation)
{
    const struct kind *kind = build->docket->kind;
    for (uint32_t i = 0; i < kind->record_count; i++)
        if (kind->records[i].observation == observation)
            return i;
    arena_escape(build->arena, STAVE_MISUSE); /* book_check refuses it */
}

static void step_begin(struct build *build, struct step *step, const struct condition *condition)
{
    step->source = condition;
    switch (condition->sort) {
    case CONDITION_COMPARE:
        step->sort = STEP_ATOMS;
        *ARENA_PUSH(build->scratch, build->lattices, build->lattice_count, build->lattice_capacity) =
            atoms_prepare(build, step);
        return;
    case CONDITION_AMONG:
        step->sort = STEP_VALUES;
        step->record = record_of(build, condition->observation);
        step->values = condition->values;
        return;
    case CONDITION_RELEASE:
        step->sort = STEP_ALWAYS;
        return;
    }
}

/* The lines as an earlier limit of the docket has them: a ladder over several zones is one. */
static struct plan_rung *known_rungs(const struct docket *docket, const struct limit *source)
{
    for (uint32_t i = 0; i + 1 < docket->limit_count; i++)
        if (docket->limits[i].source->rungs == source->rungs &&
            docket->limits[i].rung_count == source->rung_count)
            return docket->limits[i].rungs;
    return NULL;
}

static void limit_begin(struct build *build, struct plan_limit *limit, const struct limit *source)
{
    limit->source = source;
    limit->rung_count = source->rung_count;
    limit->rungs = known_rungs(build->docket, source);
    if (limit->rungs || !source->rung_count)
        return;
    limit->rungs = ARENA_ARRAY(build->arena, struct plan_rung, source->rung_count);
    for (uint32_t i = 0; i < source->rung_count; i++) {
        const struct rung *rung = &source->rungs[i];
        struct plan_rung *planned = &limit->rungs[i];
        planned->source = rung;
        planned->outcome = rung->outcome;
        planned->step_count = rung->condition_count;
        planned->steps = ARENA_ARRAY(build->arena, struct step, rung->condition_count);
        for (uint32_t j = 0; j < rung->condition_count; j++)
            step_begin(build, &planned->steps[j], &rung->conditions[j]);
    }
}

static void limits_begin(struct build *build)
{
    const struct book *book = build->book;
    struct docket *docket = build->docket;
    uint32_t count = 0;
    for (uint32_t i = 0; i < book->limit_count; i++)
        count += limit_applies(&book->limits[i], docket->kind, docket->part);
    docket->limits = ARENA_ARRAY(build->arena, struct plan_limit, count);
    for (uint32_t i = 0; i < book->limit_count; i++)
        if (limit_applies(&book->limits[i], docket->kind, docket->part))
            limit_begin(build, &docket->limits[docket->limit_count++], &book->limits[i]);
}

static bool ladder_rises(const struct plan_limit *limit, uint32_t no_published_limit)
{
    uint32_t before = 0;
    bool always = false;
    for (uint32_t r = 0; r < limit->rung_count && !always; r++) {
        const struct plan_rung *rung = &limit->rungs[r];
        if (rung->outcome < before)
            return false;
        before = rung->outcome;
        always = true;
        for (uint32_t s = 0; s < rung->step_count; s++)
            always &= rung->steps[s].sort == STEP_ALWAYS;
    }
    return always || no_published_limit >= before;
}

static void memberships(struct build *build)
{
    struct docket *docket = build->docket;
    size_t words = cells_words(docket);
    uint64_t **known = ARENA_ARRAY(build->scratch, uint64_t *, build->book->zone_count);
    docket->covered = ARENA_ARRAY(build->arena, uint64_t, words);
    for (uint32_t i = 0; i < docket->limit_count; i++) {
        struct plan_limit *limit = &docket->limits[i];
        limit->cells = cells_of_zone(build, limit->source->zone, known);
        for (size_t word = 0; word < words; word++)
            docket->covered[word] |= limit->cells[word];
    }
}

struct docket *plan_docket_make(struct arena *arena, struct arena *scratch, const struct book *book,
                                const struct kind *kind, const struct part *part)
{
    struct arena_mark mark = arena_mark(scratch);
    struct build build = {.arena = arena, .scratch = scratch, .book = book};
    struct docket *docket = ARENA_NEW(arena, struct docket);
    docket->book = book;
    docket->kind = kind;
    docket->part = part;
    build.docket = docket;
    variables_begin(&build);
    limits_begin(&build);
    docket->rises = true;
    for (uint32_t i = 0; i < docket->limit_count; i++)
        docket->rises &= ladder_rises(&docket->limits[i], book->no_published_limit);
    cells_begin(&build);
    for (uint32_t i = 0; i < build.lattice_count; i++) {
        const struct step_lattice *waiting = &build.lattices[i];
        waiting->step->atoms = atoms_finish(&build, waiting->lattice, waiting->strict);
    }
    memberships(&build);
    if (scratch != arena)
        arena_release(scratch, mark);
    return docket;
}

/* The part of a zone, cut by it alone. */
static struct docket *zone_docket(const struct plan *plan, const struct zone *zone)
{
    struct arena *arena = plan->arena;
    struct build build = {.arena = arena, .scratch = plan->scratch, .book = plan->book};
    struct docket *docket = ARENA_NEW(arena, struct docket);
    struct limit *limit = ARENA_NEW(arena, struct limit);
    limit->zone = zone;
    docket->book = plan->book;
    docket->part = zone->part;
    docket->limits = ARENA_NEW(arena, struct plan_limit);
    docket->limits[0].source = limit;
    docket->limit_count = 1;
    build.docket = docket;
    cells_begin(&build);
    memberships(&build);
    return docket;
}

static void zones_begin(struct plan *plan)
{
    const struct book *book = plan->book;
    plan->zones = ARENA_ARRAY(plan->arena, struct docket *, book->zone_count);
    for (uint32_t i = 0; i < book->aggregate_count; i++) {
        const struct zone *zone = book->aggregates[i]->zone;
        if (zone && !zone->is_part && !plan->zones[zone->index])
            plan->zones[zone->index] = zone_docket(plan, zone);
    }
}

struct plan *plan_begin(struct arena *arena, const struct book *book)
{
    struct plan *plan = ARENA_NEW(arena, struct plan);
    plan->book = book;
    plan->arena = arena;
    plan->dockets =
        ARENA_ARRAY(arena, struct docket *, (size_t)book->kind_count * book->part_count);
    plan->scratch = arena_beside(arena);
    arena_reserve(plan->scratch, SCRATCH_ROOM); /* one block, which stays, for most dockets */
    zones_begin(plan);
    return plan;
}

void plan_complete(struct plan *plan)
{
    const struct book *book = plan->book;
    for (uint32_t i = 0; i < book->kind_count; i++)
        for (uint32_t j = 0; j < book->kinds[i].part_count; j++)
            plan_docket(plan, &book->kinds[i], book->kinds[i].parts[j]);
    arena_end(plan->scratch);
    plan->arena = plan->scratch = NULL;
}

struct plan *plan_compile(const struct book *book)
{
    struct plan *plan = plan_begin(book->arena, book);
    plan_complete(plan);
    return plan;
}

const struct docket *plan_docket(const struct plan *plan, const struct kind *kind,
                                 const struct part *part)
{
    struct docket **docket =
        &plan->dockets[(size_t)kind->index * plan->book->part_count + part->index];
    if (!*docket && plan->arena && kind_part_position(kind, part) >= 0)
        *docket = plan_docket_make(plan->arena, plan->scratch, plan->book, kind, part);
    return *docket;
}
