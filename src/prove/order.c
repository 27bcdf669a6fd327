/* What is worse never gets a better outcome; limits that overlap; exceptions that are not needed. */
#include <string.h>

#include "base/text.h"
#include "prove/goes.h"
#include "prove/own.h"
#include "prove/search.h"

static uint64_t bit(uint32_t index)
{
    return UINT64_C(1) << (index < 64 ? index : 63);
}

/* ---- by structure ----------------------------------------------------------------------- */

/* How a variable of the docket goes with a coordinate. */
static enum goes variable_goes(const struct docket *docket, uint32_t variable, uint32_t coordinate)
{
    if (variable == coordinate) {
        return GOES_UP;
    }
    const struct variable *asked = &docket->variables[variable];
    if (asked->sort != VARIABLE_PRODUCT || coordinate >= docket->kind->record_count) {
        return GOES_NOT;
    }
    const struct measure *measure = docket->kind->records[coordinate].measure;
    enum goes left = goes_with(asked->factors[0], measure);
    enum goes right = goes_with(asked->factors[1], measure);
    if (left == GOES_NOT && right == GOES_NOT) {
        return GOES_NOT;
    }
    return expression_never_negative(asked->factors[0]) && expression_never_negative(asked->factors[1])
               ? left | right
               : GOES_ANY;
}

static enum goes tree_goes(const struct docket *docket, const struct atom_tree *tree,
                           uint32_t coordinate, bool *product)
{
    enum goes goes = GOES_NOT;
    for (uint32_t i = 0; tree->sort != ATOM_LEAF && i < tree->branch_count; i++) {
        goes |= tree_goes(docket, tree->branches[i], coordinate, product);
    }
    for (uint32_t t = 0; tree->sort == ATOM_LEAF && t < tree->atom.term_count; t++) {
        const struct term *term = &tree->atom.terms[t];
        enum goes own = variable_goes(docket, term->variable, coordinate);
        goes |= number_sign(term->coefficient) > 0 ? own : goes_turned(own);
        *product |= own != GOES_NOT && term->variable != coordinate;
    }
    return goes;
}

/* How all that a ladder compares goes with a coordinate. */
static enum goes ladder_goes(const struct docket *docket, const struct plan_limit *limit,
                             uint32_t coordinate, bool *product)
{
    enum goes goes = GOES_NOT;
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        for (uint32_t s = 0; s < limit->rungs[r].step_count; s++) {
            const struct step *step = &limit->rungs[r].steps[s];
            if (step->sort == STEP_ATOMS) {
                goes |= tree_goes(docket, step->atoms, coordinate, product);
            }
        }
    }
    return goes;
}

/* Is it asked for all levels up to one, wherever it is asked for? */
static bool levels_orderly(const struct plan_limit *limit, uint32_t record)
{
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        for (uint32_t s = 0; s < limit->rungs[r].step_count; s++) {
            const struct step *step = &limit->rungs[r].steps[s];
            if (step->sort == STEP_VALUES && step->record == record &&
                (step->values & (step->values + 1)) != 0) {
                return false;
            }
        }
    }
    return true;
}

/* Do a ladder's conditions only ever fail more as the coordinate gets worse? */
static bool ladder_orderly(const struct docket *docket, const struct plan_limit *limit,
                           uint32_t coordinate, bool observed, bool *product)
{
    if (observed) {
        return levels_orderly(limit, coordinate);
    }
    const struct measure *measure = docket->variables[coordinate].measure;
    bool down = measure && measure->smaller_is_worse;
    return !(ladder_goes(docket, limit, coordinate, product) & (down ? GOES_UP : GOES_DOWN));
}

/* ---- two worlds ------------------------------------------------------------------------------ */

struct asking {
    struct proving *proving;
    const struct docket *docket;
    const struct pair *whole;
    uint32_t effort; /* elementary decisions for one search */
    uint32_t coordinate;
    bool observed;
    uint32_t level;             /* observed: the better of two levels next to each other */
    const struct own_case *own; /* company that falls with it; NULL: company stays as it is */
    uint64_t disorderly;        /* the ladders that are out of order: their exceptions excuse */
};

/* Before and after: the coordinate stands twice, and the second is no better than the first. */
static void set_apart(const struct asking *asking, struct search *search, struct apart *apart,
                      struct inequality *order, struct unknown_term *terms)
{
    const struct docket *docket = search->pair->docket;
    struct arena *arena = search->scratch;
    memset(apart, 0, sizeof *apart);
    apart->variables = ARENA_ARRAY(arena, bool, docket->variable_count);
    apart->records = ARENA_ARRAY(arena, bool, docket->kind->record_count);
    if (asking->observed) {
        apart->records[asking->coordinate] = true;
        return;
    }
    apart->variables[asking->coordinate] = true;
    const struct measure *measure = docket->variables[asking->coordinate].measure;
    bool down = measure && measure->smaller_is_worse;
    uint32_t after = asking->coordinate, before = after + search->ground->unknown_count;
    terms[0] = (struct unknown_term){down ? after : before, NUMBER_INT(1)};
    terms[1] = (struct unknown_term){down ? before : after, NUMBER_INT(-1)};
    *order = (struct inequality){.terms = terms, .term_count = 2, .constant = NUMBER_ZERO};
}

/* Company that falls as the finding gets worse stands twice as well. */
static void set_own(const struct asking *asking, struct search *search, struct apart *apart,
                    const struct inequality *order)
{
    const struct own_case *own = asking->own;
    uint32_t count = own->tie_count + (order ? 1 : 0);
    struct inequality *ties = ARENA_ARRAY(search->scratch, struct inequality, count);
    for (uint32_t t = 0; t < own->tie_count; t++) {
        ties[t] = own->ties[t];
    }
    if (order) {
        ties[own->tie_count] = *order;
    }
    for (uint32_t v = 0; v < search->pair->docket->variable_count; v++) {
        apart->variables[v] |= own->falls[v];
    }
    search->ties = ties;
    search->tie_count = count;
    search->left = own->values;
}

static void search_worse(const struct asking *asking, struct search *search, uint64_t limits,
                         struct apart *apart)
{
    struct inequality *order = ARENA_NEW(search->scratch, struct inequality);
    struct unknown_term *terms = ARENA_ARRAY(search->scratch, struct unknown_term, 2);
    set_apart(asking, search, apart, order, terms);
    search->ties = asking->observed ? NULL : order;
    search->tie_count = asking->observed ? 0 : 1;
    if (asking->own) {
        set_own(asking, search, apart, search->ties);
    }
    if (asking->observed) {
        search->levels = true;
        search->record = asking->coordinate;
        search->level = asking->level;
    }
    search_go(search, TOUR_BETTER, 0, limits, limits, apart, asking->effort);
}

static bool is_disorder(void *user, const struct piece *piece, const struct replayed *first,
                        const struct replayed *second)
{
    (void)user;
    (void)piece;
    uint64_t before = first->possible, after = second->possible;
    return !(before & (before - 1)) && !(after & (after - 1)) &&
           second->judged.judgement->worst < first->judged.judgement->worst;
}

/* Is there a disorder of one ladder (limits: its bit), or of the worst of all? */
static enum found_world look(const struct asking *asking, uint64_t limits, bool point,
                             struct region_list *list)
{
    struct proving *proving = asking->proving;
    enum found_world found = WORLD_NONE;
    uint32_t levels = 1;
    struct asking each = *asking;
    if (asking->observed) {
        levels = asking->docket->kind->records[asking->coordinate].observation->value_count - 1;
    }
    const struct pair *pair =
        list ? asking->whole : pair_narrow(proving->scratch, asking->whole, limits);
    uint64_t all = list ? limits : 1;
    for (each.level = 0; each.level < levels; each.level++) {
        struct search search;
        struct apart apart;
        search_begin(&search, proving->scratch, pair, point);
        search.first = !list;
        search.by_lines = true; /* each line may have an exception of its own */
        search_worse(&each, &search, all, &apart);
        enum found_world one = search_found(&search);
        if (one == WORLD_SOME) {
            found = WORLD_SOME;
        } else if (one == WORLD_UNSURE && found == WORLD_NONE) {
            found = WORLD_UNSURE;
        }
        if (one == WORLD_SOME && list) {
            struct boxes boxes = {.arena = proving->scratch};
            struct region_call call = {
                .pair = pair, .declared = "", .after = true, .accept = is_disorder};
            search_boxes(&search, &boxes);
            regions_add(proving, list, &boxes, &call);
            list->more += search.more;
        }
    }
    return found;
}

/* ---- claims -------------------------------------------------------------------------------------- */

/* The exception of a line of a ladder that is out of order, or else of that ladder; NULL: none. */
static const char *exception_at(const struct asking *asking, const struct stave_deciding *line)
{
    const struct proving *proving = asking->proving;
    for (uint32_t l = 0; l < asking->docket->limit_count; l++) {
        const struct limit *limit = asking->docket->limits[l].source;
        if (!(asking->disorderly & bit(l)) ||
            strcmp(limit->head.source->name, line->text_name) != 0) {
            continue;
        }
        if (!line->text[0] && span_line(proving->arena, limit->head) == line->line) {
            return limit->exception;
        }
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            const struct rung *rung = &limit->rungs[r];
            if (span_line(proving->arena, rung->span) == line->line) {
                return rung->exception ? rung->exception : limit->exception;
            }
        }
    }
    return NULL;
}

/* The exception of a line that decides one of the two; NULL: none. */
static const char *region_exception(const struct asking *asking, const struct stave_region *region)
{
    const char *found = NULL;
    for (size_t d = 0; d < region->line_count && !found; d++) {
        found = exception_at(asking, &region->lines[d]);
    }
    return found;
}

/* Excuses a disorder where each of its regions has a line with an exception. */
static void excuse_order(const struct asking *asking, struct stave_claim *claim,
                         const struct region_list *list)
{
    bool all = list->more == 0;
    for (uint32_t i = 0; i < list->count; i++) {
        const char *found = region_exception(asking, &list->items[i]);
        proving_excuse(asking->proving, claim, found);
        all &= found != NULL;
    }
    if (!all) {
        claim->exception = "";
    }
}

/* Is a region among those shown that nothing excuses? */
static bool shows_unexcused(const struct asking *asking, const struct region_list *list)
{
    for (uint32_t i = 0; i < list->count; i++) {
        if (list->items[i].witness[0] && !region_exception(asking, &list->items[i])) {
            return true;
        }
    }
    return false;
}

static const char *coordinate_name(struct arena *arena, const struct docket *docket,
                                   uint32_t coordinate)
{
    return coordinate < docket->kind->record_count
               ? docket->kind->records[coordinate].name
               : company_name(arena, docket->variables[coordinate].aggregate);
}

static void keep(struct proving *proving, const struct asking *asking, uint32_t limit,
                 enum found_world found, const char *structure)
{
    struct obligation obligation = {.asked = ASK_ORDER,
                                    .docket = asking->docket,
                                    .limit = limit,
                                    .variable = asking->coordinate,
                                    .observed = asking->observed,
                                    .found = found,
                                    .structure = structure,
                                    .claim = proving->count - 1};
    proving_keep(proving, &obligation);
}

/* The ladders that are not orderly by their form: each by itself, as the worst of orderly ones is orderly. */
static uint64_t suspects(const struct asking *asking, bool *product, bool *products, bool *unsure)
{
    uint64_t set = 0;
    struct proving *proving = asking->proving;
    for (uint32_t l = 0; l < asking->docket->limit_count; l++) {
        bool own = false;
        if (ladder_orderly(asking->docket, &asking->docket->limits[l], asking->coordinate,
                           asking->observed, &own)) {
            *products |= own;
            keep(proving, asking, l, WORLD_NONE, "every condition fails more, never less");
            continue;
        }
        if (own) {
            *product = true;
            keep(proving, asking, l, WORLD_UNSURE, NULL);
            continue;
        }
        struct arena_mark mark = proving_mark(proving);
        enum found_world found = look(asking, bit(l), true, NULL);
        if (found == WORLD_NONE) {
            found = look(asking, bit(l), false, NULL);
        }
        proving_release(proving, mark);
        keep(proving, asking, l, found, NULL);
        set |= found == WORLD_SOME ? bit(l) : 0;
        *unsure |= found == WORLD_UNSURE;
    }
    return set;
}

/* By variable: is it asked for by some of the ladders? */
static const bool *asked_by(const struct asking *asking, uint64_t limits)
{
    const struct docket *docket = asking->docket;
    bool *asked = ARENA_ARRAY(asking->proving->scratch, bool, docket->variable_count);
    bool product = false; /* does not matter here */
    for (uint32_t v = docket->kind->record_count; v < docket->variable_count; v++) {
        for (uint32_t l = 0; l < docket->limit_count; l++) {
            asked[v] |= (limits & bit(l)) && ladder_goes(docket, &docket->limits[l], v, &product);
        }
    }
    return asked;
}

/* Every case of falling company: one ladder, or with `list` the worst of all. */
static enum found_world look_own(const struct asking *asking, uint64_t limits,
                                 struct region_list *list)
{
    struct proving *proving = asking->proving;
    enum found_world found = WORLD_NONE, one;
    struct own_cases cases = own_falls(proving->scratch, asking->docket, asked_by(asking, limits),
                                       asking->coordinate, asking->observed);
    bool open = cases.too_many;
    for (int wide = 0; wide < 2 && found != WORLD_SOME; wide++) {
        for (uint32_t i = 0; i < cases.count && (list || found != WORLD_SOME); i++) {
            if (list && (list->more || shows_unexcused(asking, list))) {
                return found; /* the rest would change nothing */
            }
            struct asking each = *asking;
            each.own = &cases.items[i];
            each.effort = asking->effort / cases.count;
            struct arena_mark mark = proving_mark(proving);
            one = look(&each, limits, !wide, list);
            found = search_either(found, one);
            open |= one == WORLD_UNSURE;
            proving_release(proving, mark);
        }
    }
    if (list && found == WORLD_SOME) {
        list->more += open; /* there may be one that nothing excuses */
    }
    return found == WORLD_NONE && open ? WORLD_UNSURE : found;
}

/* "total t of peel on a blade": all that may fall as it gets worse; NULL: none. */
static const char *falling(const struct asking *asking)
{
    const char *all = NULL;
    struct arena *arena = asking->proving->arena;
    bool read = asking->coordinate < asking->docket->kind->record_count;
    for (uint32_t v = 0; read && v < asking->docket->variable_count; v++) {
        if (own_may_fall(asking->docket, v, asking->coordinate, asking->observed)) {
            const char *one = company_name(arena, asking->docket->variables[v].aggregate);
            all = text_format(arena, "%s%s'%s'", all ? all : "", all ? ", " : "", one);
        }
    }
    return all;
}

static bool has_exception(const struct docket *docket)
{
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        const struct limit *limit = docket->limits[l].source;
        bool any = limit->exception != NULL;
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            any = any || limit->rungs[r].exception;
        }
        if (any) {
            return true;
        }
    }
    return false;
}

/* Adds the ladders that falling company puts out of order: all of them where it matters which, else the first. */
static enum found_world own_suspects(const struct asking *asking, uint64_t *set)
{
    enum found_world found = WORLD_NONE;
    bool all = has_exception(asking->docket);
    for (uint32_t l = 0; l < asking->docket->limit_count && (all || found != WORLD_SOME); l++) {
        enum found_world one = look_own(asking, bit(l), NULL);
        found = search_either(found, one);
        *set |= one == WORLD_SOME ? bit(l) : 0;
    }
    return found;
}

/*
 * What holds with company as it is must hold with the company that the finding changes itself. Company is held from
 * above alone (by the grammar), so where worse damage raises it nothing is better for that; what it lowers is
 * looked for here.
 */
static void prove_own(struct asking *asking, struct stave_claim *claim, const char *name)
{
    struct proving *proving = asking->proving;
    const char *less = falling(asking);
    bool each_orderly = !asking->disorderly;
    struct region_list list = {0};
    if (!less) {
        return;
    }
    enum found_world found = WORLD_SOME;
    if (each_orderly || has_exception(asking->docket)) {
        found = own_suspects(asking, &asking->disorderly);
    }
    if (!each_orderly || found == WORLD_SOME) {
        found = look_own(asking, asking->whole->limits[0], &list);
    }
    claim->rule = "two worlds that differ in it alone and in what it takes from its company";
    if (found == WORLD_NONE) {
        return;
    }
    claim->answer = STAVE_NOT_PROVED;
    claim->regions = list.items;
    claim->region_count = list.count;
    claim->more_regions = list.more;
    if (list.shown) {
        claim->answer = STAVE_REFUTED;
        claim->reason = text_format(
            proving->arena, "worse %s gets a better outcome, as %s may get less", name, less);
        excuse_order(asking, claim, &list);
    } else if (found == WORLD_SOME) {
        claim->reason = text_format(
            proving->arena,
            "a better outcome was found, as %s may get less, and no two finding lines that show it",
            less);
    } else {
        claim->reason = text_format(proving->arena,
                                    "too much work, as %s may get less with worse %s", less, name);
    }
}

/* A disorder that is excused: is every one excused that falling company brings about? */
static void excuse_both(struct asking *asking, struct stave_claim *claim, struct region_list *list)
{
    enum found_world own = WORLD_NONE;
    if (falling(asking)) {
        if (has_exception(asking->docket)) {
            own_suspects(asking, &asking->disorderly);
        }
        own = look_own(asking, asking->whole->limits[0], list);
    }
    claim->regions = list->items;
    claim->region_count = list->count;
    claim->more_regions = list->more;
    excuse_order(asking, claim, list);
    if (own == WORLD_UNSURE && claim->exception[0]) {
        claim->answer = STAVE_NOT_PROVED;
        claim->exception = "";
        claim->reason = "what is known of it is excused; too much work to tell whether that is all";
    }
}

static void prove_coordinate(struct proving *proving, struct asking *asking)
{
    const struct docket *docket = asking->docket;
    const char *name = coordinate_name(proving->arena, docket, asking->coordinate);
    struct stave_claim *claim = proving_claim(
        proving, STAVE_CLAIM_ORDERLY,
        text_format(proving->arena, "%s of %s on %s", name, docket->kind->name, docket->part->name),
        docket->kind->span);
    bool product = false, products = false, unsure = false;
    if (proving->stopped) {
        return;
    }
    claim->reason = "";
    if (!asking->whole) {
        claim->reason = PROVING_TOO_MANY;
        return;
    }
    uint64_t bad = asking->disorderly = suspects(asking, &product, &products, &unsure);
    product |= bad && products; /* it would move with the reading, in the other ladders too */
    if (product || unsure) {
        claim->reason = product ? "a product of readings of which one lessens it" : "too much work";
        return;
    }
    if (!bad) {
        claim->answer = STAVE_PROVED;
        claim->rule =
            "in each ladder, every condition fails more as it gets worse, or no two worlds tell otherwise";
        prove_own(asking, claim, name);
        return;
    }
    struct region_list list = {0};
    uint64_t all = asking->whole->limits[0];
    enum found_world found = look(asking, all, true, &list);
    if (found == WORLD_NONE) {
        found = look(asking, all, false, &list);
    }
    claim->regions = list.items;
    claim->region_count = list.count;
    claim->more_regions = list.more;
    claim->rule = "two worlds that differ in it alone";
    keep(proving, asking, UINT32_MAX, found, NULL);
    if (found == WORLD_NONE) {
        claim->answer = STAVE_PROVED; /* another limit is always worse there */
        prove_own(asking, claim, name);
    } else if (found == WORLD_SOME && list.shown) {
        claim->answer = STAVE_REFUTED;
        claim->reason = text_format(proving->arena, "worse %s gets a better outcome", name);
        excuse_both(asking, claim, &list);
    } else {
        claim->reason = found == WORLD_SOME
                            ? "a better outcome was found, and no two finding lines that show it"
                            : "too much work";
    }
}

static void prove_size(struct proving *proving, const struct docket *docket)
{
    struct stave_claim *claim = proving_claim(
        proving, STAVE_CLAIM_ORDERLY,
        text_format(proving->arena, "extent of %s on %s", docket->kind->name, docket->part->name),
        docket->kind->span);
    claim->answer = STAVE_PROVED;
    claim->reason = "";
    claim->rule =
        "a condition is asked at every place, lines only go down, and more zones only add ladders";
}

static void prove_docket(struct proving *proving, const struct docket *docket)
{
    struct asking asking = {.proving = proving,
                            .docket = docket,
                            .whole = proving_pair(proving, docket),
                            .effort = proving_effort(proving)};
    if (docket->axis_count && !docket->by_place && !docket->kind->is_check) {
        prove_size(proving, docket);
    }
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        bool record = v < docket->kind->record_count;
        const struct observation *observation =
            record ? docket->kind->records[v].observation : NULL;
        asking.coordinate = v;
        asking.observed = observation != NULL;
        bool ordered = observation ? observation->sort == TREE_LEVELS
                                   : record || docket->variables[v].sort == VARIABLE_COMPANY;
        if (!ordered) {
            continue;
        }
        struct arena_mark mark = proving_mark(proving);
        prove_coordinate(proving, &asking);
        proving_release(proving, mark);
    }
}

void prove_order(struct proving *proving)
{
    const struct book *book = proving->ready->book;
    for (uint32_t k = 0; k < book->kind_count; k++) {
        for (uint32_t p = 0; p < book->kinds[k].part_count; p++) {
            const struct docket *docket =
                plan_docket(proving->ready->plan, &book->kinds[k], book->kinds[k].parts[p]);
            proving_stop(proving, book->kinds[k].name);
            prove_docket(proving, docket);
        }
    }
}

/* ---- overlaps ------------------------------------------------------------------------------------ */

/* Do two memberships share more than an edge: a cell that is open on every axis, or a place? */
static bool overlap(const struct docket *docket, const uint64_t *a, const uint64_t *b)
{
    for (size_t at = 0; at < (size_t)docket->side_count * docket->cell_count; at++) {
        if (!(a[at / 64] & b[at / 64] & bit((uint32_t)(at % 64)))) {
            continue;
        }
        size_t rest = at % docket->cell_count;
        bool inside = true;
        for (uint32_t axis = docket->axis_count; axis-- > 0 && inside;) {
            uint32_t count = docket->axes[axis].cell_count;
            inside = rest % count % 2 == 1 || docket->by_place || count == 1;
            rest /= count;
        }
        if (inside) {
            return true;
        }
    }
    return false;
}

static void note_overlap(struct proving *proving, const struct docket *docket,
                         const struct limit *a, const struct limit *b)
{
    struct arena *arena = proving->arena;
    const char *subject =
        text_format(arena, "%s on %s and on %s", docket->kind->name, a->zone->name, b->zone->name);
    struct stave_claim *claim = proving_claim(proving, STAVE_CLAIM_OVERLAP, subject, b->head);
    claim->answer = STAVE_NOTED;
    claim->rule = "the zones laid over the part, cell by cell";
    claim->reason =
        "both limits judge the damage where they overlap, and the worse outcome governs";
    proving_excuse(proving, claim, b->exception ? b->exception : a->exception);
}

void prove_overlaps(struct proving *proving)
{
    const struct book *book = proving->ready->book;
    for (uint32_t k = 0; k < book->kind_count; k++) {
        for (uint32_t p = 0; p < book->kinds[k].part_count; p++) {
            const struct docket *docket =
                plan_docket(proving->ready->plan, &book->kinds[k], book->kinds[k].parts[p]);
            if (proving_stop(proving, "overlaps")) {
                return;
            }
            for (uint32_t i = 0; i < docket->limit_count; i++) {
                for (uint32_t j = i + 1; j < docket->limit_count; j++) {
                    const struct plan_limit *a = &docket->limits[i], *b = &docket->limits[j];
                    if (overlap(docket, a->cells, b->cells)) {
                        note_overlap(proving, docket, a->source, b->source);
                    }
                }
            }
        }
    }
}

/* ---- exceptions ------------------------------------------------------------------------------------ */

static void check_exception(struct proving *proving, const char *exception, struct span at,
                            const char *subject)
{
    bool used = false;
    for (uint32_t i = 0; i < proving->used_count; i++) {
        used |= proving->used[i] == exception;
    }
    struct stave_claim *claim = proving_claim(proving, STAVE_CLAIM_EXCEPTION, subject, at);
    claim->exception = "";
    claim->rule = "all other claims";
    if (proving->stopped) {
        return;
    }
    claim->answer = used ? STAVE_PROVED : STAVE_REFUTED;
    claim->reason = used ? "" : "there is nothing any more that it excuses";
}

void prove_exceptions(struct proving *proving)
{
    const struct book *book = proving->ready->book;
    for (uint32_t i = 0; i < book->limit_count; i++) {
        const struct limit *limit = &book->limits[i];
        bool again = i > 0 && book->limits[i - 1].head.source == limit->head.source &&
                     book->limits[i - 1].head.from == limit->head.from;
        if (again) {
            continue;
        }
        if (limit->exception) {
            check_exception(proving, limit->exception, limit->head,
                            limit_phrase(proving->arena, limit));
        }
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            const struct rung *rung = &limit->rungs[r];
            if (rung->exception) {
                check_exception(proving, rung->exception, rung->span,
                                rung_text(proving->arena, book, rung));
            }
        }
    }
}
