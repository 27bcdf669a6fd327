/* Of each ladder as it is written: no gap, no dead line, no condition that never matters. */
#include <string.h>

#include "base/text.h"
#include "prove/own.h"
#include "prove/search.h"

/* One limit of a statement in one docket. */
struct place_of_ladder {
    const struct docket *docket;
    uint32_t index; /* in the docket */
    const struct limit *limit;
};

/* A ladder as the book writes it: for several kinds, on several zones. */
struct statement {
    struct proving *proving;
    const struct limit *head; /* the first of them */
    uint32_t rung_count;
    struct place_of_ladder *places;
    uint32_t place_count;
    size_t place_capacity;
    enum found_world gap;
    struct region_list gaps;
    enum found_world *lines;           /* by rung */
    enum found_world **conditions;     /* by rung and condition */
    bool *own_lines, **own_conditions; /* company alone kept a world from being found */
    bool *released; /* by rung * BOOK_CONDITIONS + condition: always true, nothing to prove */
    uint32_t claim; /* index of its first claim */
};

static uint64_t bit(uint32_t index)
{
    return UINT64_C(1) << (index < 64 ? index : 63);
}

static void keep(struct statement *statement, enum asked asked, uint32_t place, uint32_t rung,
                 uint32_t step, enum found_world found, const char *structure)
{
    const struct place_of_ladder *at = &statement->places[place];
    struct obligation obligation = {.asked = asked,
                                    .docket = at->docket,
                                    .limit = at->index,
                                    .rung = rung,
                                    .step = step,
                                    .found = found,
                                    .structure = structure,
                                    .claim = statement->claim};
    proving_keep(statement->proving, &obligation);
}

/* ---- gaps and lines -------------------------------------------------------------------------- */

struct gap_user {
    const struct plan_limit *origin;
    uint32_t rung;
};

/* Judged again, the ladder itself comes to no line (or to the declared one). */
static bool is_gap(void *user, const struct piece *piece, const struct replayed *first,
                   const struct replayed *second)
{
    const struct gap_user *gap = user;
    const struct docket *docket = first->judged.docket;
    const struct judgement *judgement = first->judged.judgement;
    uint32_t l = (uint32_t)(gap->origin - docket->limits);
    (void)piece;
    (void)second;
    return judgement->worst == docket->book->no_published_limit &&
           judgement->rungs[l] >> gap->rung & 1;
}

static bool line_is_declared_gap(const struct statement *statement, uint32_t rung)
{
    return rung < statement->rung_count && statement->head->rungs[rung].outcome ==
                                               statement->proving->ready->book->no_published_limit;
}

static void show_gaps(struct statement *statement, const struct search *search, uint32_t rung,
                      const struct place_of_ladder *place)
{
    struct boxes boxes = {.arena = statement->proving->scratch};
    struct gap_user user = {search->pair->origin[0][0], rung};
    const char *declared = "";
    search_boxes(search, &boxes);
    if (place->limit->declared_gap) {
        declared = "no published limit";
    } else if (rung < statement->rung_count) {
        declared = "otherwise no published limit";
    }
    struct region_call call = {.pair = search->pair,
                               .limit = place->limit,
                               .declared = declared,
                               .accept = is_gap,
                               .user = &user};
    regions_add(statement->proving, &statement->gaps, &boxes, &call);
    statement->gaps.more += search->more;
}

/* Every gap of one place, by one tour; wider damage only where damage of no size shows none. */
static void look_for_gaps(struct statement *statement, uint32_t p, uint32_t rung)
{
    struct proving *proving = statement->proving;
    const struct place_of_ladder *place = &statement->places[p];
    const struct pair *whole = proving_pair(proving, place->docket);
    enum found_world found = whole ? WORLD_NONE : WORLD_UNSURE;
    const char *structure = NULL;
    for (int wide = 0; whole && wide < 2 && found == WORLD_NONE; wide++) {
        struct search search;
        search_begin(&search, proving->scratch,
                     pair_narrow(proving->scratch, whole, bit(place->index)), !wide);
        if (!(search.ground->ladders[0].rung_set & bit(rung))) {
            structure = "its last line asks nothing";
            break;
        }
        search_go(&search, TOUR_RUNG, bit(rung), 1, 1, NULL, proving_effort(proving));
        found = search_found(&search);
        if (found == WORLD_SOME) {
            show_gaps(statement, &search, rung, place);
        } else if (rung < statement->rung_count) {
            break; /* a declared gap is shown, not proved */
        }
    }
    if (rung == statement->rung_count && !place->limit->declared_gap) {
        statement->gap = search_either(statement->gap, found);
        keep(statement, ASK_GAP, p, rung, 0, found, structure);
    }
}

/* What a search is for. */
struct aim {
    enum tour_aim aim;
    uint64_t wanted, first, second;
};

static enum found_world look_once(struct statement *statement, struct search *search,
                                  const struct aim *aim)
{
    search_go(search, aim->aim, aim->wanted, aim->first, aim->second, NULL,
              proving_effort(statement->proving));
    return search_found(search);
}

/* What is found with company free, and in *own with what the finding adds to it, case by case. Sets *by_own
 * where that alone keeps it from being found. */
static enum found_world look_both(struct statement *statement, struct search *search,
                                  const struct own_cases *cases, const struct aim *aim,
                                  enum found_world *own, bool *by_own)
{
    enum found_world found = *own = look_once(statement, search, aim);
    if (found != WORLD_SOME || !own_adds_any(cases)) {
        return found;
    }
    *own = WORLD_NONE;
    for (uint32_t i = 0; i < cases->count && *own != WORLD_SOME; i++) {
        search->ties = cases->items[i].ties;
        search->tie_count = cases->items[i].tie_count;
        search->left = cases->items[i].values;
        *own = search_either(*own, look_once(statement, search, aim));
    }
    search->ties = NULL;
    search->tie_count = 0;
    search->left = NULL;
    *by_own |= *own == WORLD_NONE;
    return found;
}

/* Which lines decide at one place; those known to do so elsewhere are not asked for. */
static void look_for_lines(struct statement *statement, uint32_t p, bool wide)
{
    struct proving *proving = statement->proving;
    const struct place_of_ladder *place = &statement->places[p];
    const struct pair *whole = proving_pair(proving, place->docket);
    struct search search;
    struct own_cases cases = {.items = NULL};
    if (whole) {
        search_begin(&search, proving->scratch,
                     pair_narrow(proving->scratch, whole, bit(place->index)), !wide);
        search.first = true;
        cases = own_adds(proving->scratch, search.pair->docket, place->limit);
    }
    for (uint32_t r = 0; r < statement->rung_count; r++) {
        if (statement->lines[r] == WORLD_SOME && !proving->kept) {
            continue;
        }
        enum found_world own = WORLD_UNSURE, found = WORLD_UNSURE;
        if (whole) {
            const struct aim aim = {TOUR_RUNG, bit(r), 1, 1};
            found = look_both(statement, &search, &cases, &aim, &own, &statement->own_lines[r]);
        }
        statement->lines[r] =
            wide && own == WORLD_NONE ? statement->lines[r] : search_either(statement->lines[r], own);
        if (proving->kept && (wide || found != WORLD_NONE)) {
            keep(statement, ASK_LINE, p, r, 0, found, NULL);
        }
    }
}

/* ---- conditions --------------------------------------------------------------------------------- */

/* The ladder without one condition. */
static struct plan_limit without(struct arena *arena, const struct plan_limit *limit, uint32_t rung,
                                 uint32_t step)
{
    struct plan_limit made = *limit;
    made.rungs = ARENA_ARRAY(arena, struct plan_rung, limit->rung_count);
    memcpy(made.rungs, limit->rungs, limit->rung_count * sizeof *made.rungs);
    struct plan_rung *changed = &made.rungs[rung];
    changed->steps = ARENA_ARRAY(arena, struct step, changed->step_count);
    changed->step_count = 0;
    for (uint32_t s = 0; s < limit->rungs[rung].step_count; s++) {
        if (s != step) {
            changed->steps[changed->step_count++] = limit->rungs[rung].steps[s];
        }
    }
    return made;
}

/* One ladder, and it again without the condition: limits 0 and 1 of a pair. */
static struct pair *pair_without(struct arena *arena, const struct pair *single, uint32_t rung,
                                 uint32_t step)
{
    struct pair *pair = ARENA_NEW(arena, struct pair);
    struct docket *docket = ARENA_NEW(arena, struct docket);
    *pair = *single;
    *docket = *single->docket;
    docket->limits = ARENA_ARRAY(arena, struct plan_limit, 2);
    docket->limit_count = 2;
    docket->limits[0] = single->docket->limits[0];
    docket->limits[1] = without(arena, &single->docket->limits[0], rung, step);
    for (int side = 0; side < 2; side++) {
        pair->origin[side] = ARENA_ARRAY(arena, const struct plan_limit *, 2);
        pair->origin[side][0] = pair->origin[side][1] = single->origin[0][0];
        pair->limits[side] = 3;
    }
    pair->docket = docket;
    pair->by_action = true;
    pair_classes(arena, pair);
    return pair;
}

/* What is found with company free, and in *own with what the finding adds to it. */
static enum found_world look_without(struct statement *statement, const struct pair *single,
                                     const struct limit *limit, uint32_t rung, uint32_t step,
                                     bool wide, enum found_world *own)
{
    struct proving *proving = statement->proving;
    struct arena_mark mark = proving_mark(proving);
    struct search search;
    search_begin(&search, proving->scratch, pair_without(proving->scratch, single, rung, step),
                 !wide);
    search.first = true;
    const struct own_cases cases = own_adds(proving->scratch, search.pair->docket, limit);
    const struct aim aim = {TOUR_DIFFER, 0, 1, 2};
    enum found_world found = look_both(statement, &search, &cases, &aim, own,
                                       &statement->own_conditions[rung][step]);
    proving_release(proving, mark);
    return found;
}

static void look_for_conditions(struct statement *statement, uint32_t p, bool wide)
{
    struct proving *proving = statement->proving;
    const struct place_of_ladder *place = &statement->places[p];
    const struct pair *whole = proving_pair(proving, place->docket);
    const struct pair *single =
        whole ? pair_narrow(proving->scratch, whole, bit(place->index)) : NULL;
    for (uint32_t r = 0; r < statement->rung_count; r++) {
        const struct rung *rung = &statement->head->rungs[r];
        for (uint32_t s = 0; s < rung->condition_count; s++) {
            enum found_world *known = &statement->conditions[r][s];
            if (rung->conditions[s].sort == CONDITION_RELEASE ||
                (*known == WORLD_SOME && !proving->kept)) {
                continue;
            }
            enum found_world own = WORLD_UNSURE, found = WORLD_UNSURE;
            if (single) {
                found = look_without(statement, single, place->limit, r, s, wide, &own);
            }
            *known = wide && own == WORLD_NONE ? *known : search_either(*known, own);
            if (proving->kept && (wide || found != WORLD_NONE)) {
                keep(statement, ASK_CONDITION, p, r, s, found, NULL);
            }
        }
    }
}

/* ---- claims ------------------------------------------------------------------------------------ */

static const char *statement_phrase(struct proving *proving, const struct statement *statement)
{
    struct text text;
    text_begin(&text, proving->arena);
    text_add(&text, limit_phrase(proving->arena, statement->head));
    const struct book *book = proving->ready->book;
    for (uint32_t i = statement->head->index + 1;
         i < book->limit_count && book->limits[i].head.source == statement->head->head.source &&
         book->limits[i].head.from == statement->head->head.from;
         i++) {
        text_addf(&text, ", %s", book->limits[i].zone->name);
    }
    return text_done(&text);
}

static bool any_undeclared(const struct region_list *list)
{
    for (uint32_t i = 0; i < list->count; i++) {
        if (!list->items[i].declared[0] && list->items[i].witness[0]) {
            return true;
        }
    }
    return false;
}

static void claim_total(struct statement *statement, const char *subject)
{
    struct proving *proving = statement->proving;
    struct stave_claim *claim =
        proving_claim(proving, STAVE_CLAIM_TOTAL, subject, statement->head->head);
    if (proving->stopped) {
        return;
    }
    claim->regions = statement->gaps.items;
    claim->region_count = statement->gaps.count;
    claim->more_regions = statement->gaps.more;
    claim->reason = "";
    claim->rule = "every way through its lines followed";
    if (statement->gap == WORLD_NONE) {
        claim->answer = STAVE_PROVED;
    } else if (statement->gap == WORLD_SOME && any_undeclared(&statement->gaps)) {
        claim->answer = STAVE_REFUTED;
        claim->reason = "damage for which no line holds, and no gap is declared";
        proving_excuse(proving, claim, statement->head->exception);
    } else if (statement->gap == WORLD_SOME) {
        claim->reason = "a gap was found, and no finding line that shows it exactly";
    } else {
        claim->reason = "too much work, or a product of readings that could not be decided";
    }
}

static const char *line_exception(const struct statement *statement, uint32_t rung)
{
    const char *own = statement->head->rungs[rung].exception;
    return own ? own : statement->head->exception;
}

static void claim_line(struct statement *statement, uint32_t r)
{
    struct proving *proving = statement->proving;
    const struct rung *rung = &statement->head->rungs[r];
    struct stave_claim *claim =
        proving_claim(proving, STAVE_CLAIM_LINE,
                      rung_text(proving->arena, proving->ready->book, rung), rung->span);
    if (proving->stopped) {
        return;
    }
    claim->rule = "every way through its lines followed";
    claim->reason = "";
    if (statement->lines[r] == WORLD_SOME) {
        claim->answer = STAVE_PROVED;
        claim->rule = "a world in which it decides";
    } else if (statement->lines[r] == WORLD_NONE) {
        claim->answer = STAVE_REFUTED;
        claim->reason =
            statement->own_lines[r]
                ? "it never decides: the damage itself is counted, so its company is never so small"
                : "it never decides: all that it would take is taken by lines above it, or cannot be recorded";
        proving_excuse(proving, claim, line_exception(statement, r));
    } else {
        claim->reason = "too much work, or a product of readings that could not be decided";
    }
}

/* "over a and below b" is two conditions in one stretch of text: which of them is it? `own`: by company alone. */
static const char *never_matters(struct arena *arena, const struct rung *rung,
                                 const struct condition *condition, bool own)
{
    const char *counted = own ? "as the damage itself is counted, " : "";
    for (uint32_t i = 0; i < rung->condition_count; i++) {
        const struct condition *other = &rung->conditions[i];
        if (other != condition && condition->sort == CONDITION_COMPARE &&
            other->span.source == condition->span.source && other->span.from == condition->span.from) {
            return text_format(
                arena, "'%s %s' in it never matters: %swithout that every finding gets the same answer",
                relation_text(condition->relation), span_text(arena, condition->right->span), counted);
        }
    }
    return text_format(arena, "it never matters: %swithout it every finding gets the same answer",
                       counted);
}

static void claim_condition(struct statement *statement, uint32_t r, uint32_t s)
{
    struct proving *proving = statement->proving;
    const struct condition *condition = &statement->head->rungs[r].conditions[s];
    struct stave_claim *claim =
        proving_claim(proving, STAVE_CLAIM_CONDITION, span_text(proving->arena, condition->span),
                      condition->span);
    if (proving->stopped) {
        return;
    }
    claim->rule = "the ladder held against itself without it";
    claim->reason = "";
    if (statement->conditions[r][s] == WORLD_SOME) {
        claim->answer = STAVE_PROVED;
    } else if (statement->conditions[r][s] == WORLD_NONE) {
        claim->answer = STAVE_REFUTED;
        claim->reason = never_matters(proving->arena, &statement->head->rungs[r], condition,
                                      statement->own_conditions[r][s]);
        proving_excuse(proving, claim, line_exception(statement, r));
    } else {
        claim->reason = "too much work, or a product of readings that could not be decided";
    }
}

/* ---- statements -------------------------------------------------------------------------------- */

static void add_place(struct statement *statement, const struct limit *limit,
                      const struct kind *kind)
{
    struct proving *proving = statement->proving;
    const struct docket *docket = plan_docket(proving->ready->plan, kind, limit->zone->part);
    for (uint32_t l = 0; docket && l < docket->limit_count; l++) {
        if (docket->limits[l].source == limit) {
            *ARENA_PUSH(proving->arena, statement->places, statement->place_count,
                        statement->place_capacity) = (struct place_of_ladder){docket, l, limit};
        }
    }
}

static bool some_line_open(const struct statement *statement)
{
    for (uint32_t r = 0; r < statement->rung_count; r++) {
        if (statement->lines[r] != WORLD_SOME) {
            return true;
        }
    }
    return false;
}

static bool some_condition_open(const struct statement *statement)
{
    for (uint32_t r = 0; r < statement->rung_count; r++) {
        for (uint32_t s = 0; s < statement->head->rungs[r].condition_count; s++) {
            if (statement->head->rungs[r].conditions[s].sort != CONDITION_RELEASE &&
                statement->conditions[r][s] != WORLD_SOME) {
                return true;
            }
        }
    }
    return false;
}

static void look_everywhere(struct statement *statement)
{
    struct proving *proving = statement->proving;
    for (uint32_t p = 0; p < statement->place_count; p++) {
        for (uint32_t r = 0; r <= statement->rung_count; r++) {
            if (r == statement->rung_count || line_is_declared_gap(statement, r)) {
                struct arena_mark mark = proving_mark(proving);
                look_for_gaps(statement, p, r);
                proving_release(proving, mark);
            }
        }
    }
    for (int wide = 0; wide < 2; wide++) {
        for (uint32_t p = 0; p < statement->place_count; p++) {
            struct arena_mark mark = proving_mark(proving);
            if (some_line_open(statement) || proving->kept) {
                look_for_lines(statement, p, wide);
            }
            if (some_condition_open(statement) || proving->kept) {
                look_for_conditions(statement, p, wide);
            }
            proving_release(proving, mark);
        }
    }
}

static uint32_t prove_statement(struct proving *proving, uint32_t first)
{
    const struct book *book = proving->ready->book;
    const struct limit *head = &book->limits[first];
    struct statement statement = {.proving = proving,
                                  .head = head,
                                  .rung_count = head->rung_count,
                                  .gap = WORLD_NONE,
                                  .claim = proving->count};
    uint32_t next = first;
    for (; next < book->limit_count && book->limits[next].head.source == head->head.source &&
           book->limits[next].head.from == head->head.from;
         next++) {
        for (uint32_t k = 0; k < book->limits[next].kind_count; k++) {
            add_place(&statement, &book->limits[next], book->limits[next].kinds[k]);
        }
    }
    statement.lines = ARENA_ARRAY(proving->arena, enum found_world, head->rung_count);
    statement.conditions = ARENA_ARRAY(proving->arena, enum found_world *, head->rung_count);
    statement.own_lines = ARENA_ARRAY(proving->arena, bool, head->rung_count);
    statement.own_conditions = ARENA_ARRAY(proving->arena, bool *, head->rung_count);
    for (uint32_t r = 0; r < head->rung_count; r++) {
        statement.conditions[r] =
            ARENA_ARRAY(proving->arena, enum found_world, head->rungs[r].condition_count);
        statement.own_conditions[r] =
            ARENA_ARRAY(proving->arena, bool, head->rungs[r].condition_count);
    }
    const char *subject = statement_phrase(proving, &statement);
    if (!proving_stop(proving, subject)) {
        look_everywhere(&statement);
    }
    claim_total(&statement, subject);
    for (uint32_t r = 0; r < head->rung_count; r++) {
        claim_line(&statement, r);
        for (uint32_t s = 0; s < head->rungs[r].condition_count; s++) {
            if (head->rungs[r].conditions[s].sort != CONDITION_RELEASE &&
                (proving->stopped || statement.lines[r] != WORLD_NONE)) {
                claim_condition(&statement, r, s);
            }
        }
    }
    return next;
}

void prove_ladders(struct proving *proving)
{
    uint32_t count = proving->ready->book->limit_count;
    for (uint32_t i = 0; i < count;) {
        i = prove_statement(proving, i);
    }
}

/* ---- every place ----------------------------------------------------------------------------------- */

static bool is_uncovered(void *user, const struct piece *piece, const struct replayed *first,
                         const struct replayed *second)
{
    (void)user;
    (void)piece;
    (void)second;
    return first->judged.judgement->witness_uncovered || first->judged.judgement->uncovered;
}

static void prove_covered(struct proving *proving, const struct docket *docket)
{
    const struct pair *whole = proving_pair(proving, docket);
    struct stave_claim *claim =
        proving_claim(proving, STAVE_CLAIM_TOTAL,
                      text_format(proving->arena, "%s on %s: every place has a limit",
                                  docket->kind->name, docket->part->name),
                      docket->kind->span);
    struct obligation obligation = {
        .asked = ASK_UNCOVERED, .docket = docket, .limit = UINT32_MAX, .claim = proving->count - 1};
    if (proving_stop(proving, claim->subject)) {
        return;
    }
    claim->rule = "the zones laid over the part, cell by cell";
    claim->reason = "";
    if (!whole) {
        claim->reason = PROVING_TOO_MANY;
        return;
    }
    if (whole->docket->limit_count == docket->limit_count) {
        claim->answer = STAVE_PROVED;
        obligation.found = WORLD_NONE;
        proving_keep(proving, &obligation);
        return;
    }
    struct region_list list = {0};
    struct boxes boxes = {.arena = proving->scratch};
    struct search search;
    search_begin(&search, proving->scratch,
                 pair_narrow(proving->scratch, whole, bit(docket->limit_count)), true);
    search_go(&search, TOUR_RUNG, 1, 1, 1, NULL, proving_effort(proving));
    search_boxes(&search, &boxes);
    struct region_call call = {
        .pair = search.pair, .declared = "", .accept = is_uncovered, .user = NULL};
    regions_add(proving, &list, &boxes, &call);
    claim->regions = list.items;
    claim->region_count = list.count;
    claim->more_regions = list.more + search.more;
    claim->answer = list.shown ? STAVE_REFUTED : STAVE_NOT_PROVED;
    claim->reason = list.shown ? "places in no zone with a limit for it"
                               : "an uncovered place was found, and no finding line that shows it";
    obligation.found = WORLD_SOME;
    proving_keep(proving, &obligation);
}

void prove_coverage(struct proving *proving)
{
    const struct book *book = proving->ready->book;
    for (uint32_t k = 0; k < book->kind_count; k++) {
        for (uint32_t p = 0; p < book->kinds[k].part_count; p++) {
            const struct docket *docket =
                plan_docket(proving->ready->plan, &book->kinds[k], book->kinds[k].parts[p]);
            struct arena_mark mark = proving_mark(proving);
            prove_covered(proving, docket);
            proving_release(proving, mark);
        }
    }
}
