/* All claims of a book, and what their parts share. */
#include "prove/claims.h"

#include <string.h>

#include "base/text.h"
#include "prove/proving.h"

bool proving_stop(struct proving *proving, const char *next)
{
    const struct stave_proving *how = proving->how;
    if (!proving->stopped && how && how->progress) {
        proving->stopped = !how->progress(how->user, proving->done, proving->all, next);
    }
    proving->done++;
    return proving->stopped;
}

uint32_t proving_effort(const struct proving *proving)
{
    return proving->how && proving->how->effort ? proving->how->effort : PROVING_EFFORT;
}

const struct pair *proving_pair(struct proving *proving, const struct docket *docket)
{
    struct pair **pair =
        &proving->pairs[(size_t)docket->kind->index * proving->ready->book->part_count +
                        docket->part->index];
    if (!*pair) {
        *pair = pair_alone(proving->arena, proving->ready, docket);
    }
    return *pair;
}

struct arena_mark proving_mark(struct proving *proving)
{
    return arena_mark(proving->scratch);
}

void proving_release(struct proving *proving, struct arena_mark mark)
{
    if (proving->scratch != proving->arena) {
        arena_release(proving->scratch, mark);
    }
}

struct stave_claim *proving_claim(struct proving *proving, enum stave_property property,
                                  const char *subject, struct span at)
{
    struct stave_claim *claim =
        ARENA_PUSH(proving->arena, proving->claims, proving->count, proving->capacity);
    *claim = (struct stave_claim){.property = property,
                                  .subject = subject,
                                  .at = span_place(proving->arena, at),
                                  .answer = STAVE_NOT_PROVED,
                                  .rule = "",
                                  .reason = "stopped",
                                  .exception = ""};
    if (!at.source) {
        claim->at.line = 0;
    }
    return claim;
}

void proving_excuse(struct proving *proving, struct stave_claim *claim, const char *exception)
{
    if (exception) {
        claim->exception = exception;
        *ARENA_PUSH(proving->arena, proving->used, proving->used_count, proving->used_capacity) =
            exception;
    }
}

void proving_keep(struct proving *proving, const struct obligation *obligation)
{
    struct obligations *kept = proving->kept;
    if (kept) {
        *ARENA_PUSH(proving->arena, kept->items, kept->count, kept->capacity) = *obligation;
    }
}

bool ladder_has_product(const struct ground *ground, const struct ladder *ladder)
{
    for (uint32_t v = ground->docket->kind->record_count; v < ground->docket->variable_count; v++) {
        if (ladder->uses[v] && ground->docket->variables[v].sort == VARIABLE_PRODUCT &&
            ground->forms[v].term_count == 1 && ground->forms[v].terms[0].variable == v) {
            return true;
        }
    }
    return false;
}

/* ---- regions --------------------------------------------------------------------------- */

static const char *head_of(struct proving *proving, const struct region_call *call)
{
    const struct docket *docket = call->pair->docket;
    const char *where = call->limit ? call->limit->zone->name : docket->part->name;
    return text_format(proving->arena, "%s on %s", docket->kind->name, where);
}

static const char *words_of(struct proving *proving, const struct region_call *call,
                            const struct box *box)
{
    const struct zone *zone = call->limit ? call->limit->zone : NULL;
    const char *words = box_text(proving->arena, box, call->pair, zone);
    bool by_place = call->pair->docket->by_place;
    (void)by_place;
    return words[0] ? text_format(proving->arena, ", %s", words) : "";
}

/* One text, or two: judged again, and taken where it shows what was looked for. */
static bool show_text(struct arena *arena, const struct region_call *call,
                      const struct piece *piece, const struct sample *sample, enum lying lying,
                      const struct crowd *crowd, struct stave_region *region)
{
    bool two = call->after || call->pair->books[0] != call->pair->books[1];
    const char *text = sample_text(arena, piece, sample, 0, call->after, lying, crowd);
    const char *second_text = call->after
                                  ? sample_text(arena, piece, sample, 0, false, lying, crowd)
                              : two ? sample_text(arena, piece, sample, 1, false, lying, crowd)
                                    : text;
    if (!text || !second_text) {
        return false;
    }
    struct replayed first = replay(arena, call->pair->books[0], text);
    struct replayed second = two ? replay(arena, call->pair->books[1], second_text) : first;
    if (!first.good || !second.good || !call->accept(call->user, piece, &first, &second)) {
        return false;
    }
    region->witness = text;
    region->witness_after = call->after ? second_text : "";
    region->outcomes[0] = first.judged.judgement->worst;
    region->outcomes[1] = second.judged.judgement->worst;
    region->found[0] = first.found;
    region->found[1] = second.found;
    return true;
}

static bool show_sample(struct arena *arena, const struct region_call *call,
                        const struct piece *piece, const struct sample *sample,
                        struct stave_region *region)
{
    struct crowd crowds[CROWDS];
    uint32_t count = sample_crowds(arena, piece, sample, crowds);
    for (uint32_t c = 0; c < count; c++) {
        for (int lying = 0; lying < LYINGS; lying++) {
            if (show_text(arena, call, piece, sample, (enum lying)lying, &crowds[c], region)) {
                return true;
            }
        }
    }
    return false;
}

bool region_show(struct arena *arena, const struct region_call *call, const struct box *box,
                 struct stave_region *region)
{
    const struct piece *piece = box->piece;
    bool distance = piece_asks_distance(piece);
    for (int way = 0; way < 4; way++) {
        struct sample sample;
        bool close = way >= 2;
        if ((close && !distance) ||
            !piece_sample(arena, piece, way % 2 ? NULL : box->axes, close, &sample)) {
            continue;
        }
        if (show_sample(arena, call, piece, &sample, region)) {
            return true;
        }
    }
    return false;
}

static void add_deciding(struct proving *proving, const struct region_call *call,
                         const struct piece *piece, struct stave_region *region)
{
    struct arena *arena = proving->arena;
    const struct docket *docket = piece->ground->docket;
    struct stave_deciding *lines =
        ARENA_ARRAY(arena, struct stave_deciding, 2 * (size_t)docket->limit_count);
    bool two = call->after || call->pair->books[0] != call->pair->books[1];
    for (uint32_t side = 0; side < (two ? 2u : 1u); side++) {
        const struct book *book = call->pair->books[side]->book;
        for (uint32_t l = 0; l < docket->limit_count; l++) {
            const struct plan_limit *origin = piece->pair->origin[side][l];
            if (!piece->decided[side][l] || !origin) {
                continue;
            }
            uint32_t rung = piece->decided[side][l] - 1;
            bool none = rung == origin->rung_count;
            const struct rung *source = none ? NULL : origin->rungs[rung].source;
            struct span at = none ? origin->source->head : source->span;
            lines[region->line_count++] = (struct stave_deciding){
                .limit = limit_phrase(arena, origin->source),
                .text = none ? "" : rung_text(arena, book, source),
                .text_name = at.source->name,
                .line = span_line(arena, at),
                .outcome = none ? book->no_published_limit : source->outcome,
                .side = side};
        }
    }
    region->lines = lines;
}

/* The same words, of another kind: one region for both. */
static bool join_kinds(struct proving *proving, struct region_list *list,
                       const struct region_call *call, const char *words, bool whole)
{
    const char *zone = call->limit ? call->limit->zone->name : call->pair->docket->part->name;
    const char *kind = call->pair->docket->kind->name;
    const char *tail = text_format(proving->arena, " on %s%s", zone, words);
    for (uint32_t i = 0; i < list->count; i++) {
        struct stave_region *region = &list->items[i];
        size_t head = strlen(region->kinds);
        if (region->whole == whole && strcmp(region->described + head, tail) == 0 &&
            strcmp(region->declared, call->declared) == 0) {
            region->kinds = text_format(proving->arena, "%s, %s", region->kinds, kind);
            region->described = text_format(proving->arena, "%s%s", region->kinds, tail);
            return true;
        }
    }
    return false;
}

void regions_add(struct proving *proving, struct region_list *list, const struct boxes *boxes,
                 const struct region_call *call)
{
    for (uint32_t b = 0; b < boxes->count; b++) {
        const struct box *box = &boxes->items[b];
        const char *words = words_of(proving, call, box);
        if (join_kinds(proving, list, call, words, box->whole)) {
            continue;
        }
        if (list->count >= PROVING_REGIONS) {
            list->more++;
            continue;
        }
        struct stave_region region = {
            .kinds = call->pair->docket->kind->name,
            .part = call->pair->docket->part->name,
            .described = text_format(proving->arena, "%s%s", head_of(proving, call), words),
            .whole = box->whole,
            .witness = "",
            .witness_after = "",
            .found = {"", ""},
            .declared = call->declared};
        list->shown |= region_show(proving->arena, call, box, &region);
        add_deciding(proving, call, box->piece, &region);
        *ARENA_PUSH(proving->arena, list->items, list->count, list->capacity) = region;
    }
}

/* ---- the whole ------------------------------------------------------------------------------ */

static void count_answers(struct stave_claims *claims)
{
    for (size_t i = 0; i < claims->claim_count; i++) {
        const struct stave_claim *claim = &claims->claims[i];
        switch (claim->answer) {
        case STAVE_PROVED:
            claims->proved++;
            break;
        case STAVE_REFUTED:
            if (claim->exception[0]) {
                claims->excused++;
            } else {
                claims->refuted++;
            }
            break;
        case STAVE_NOT_PROVED:
            claims->not_proved++;
            break;
        case STAVE_NOTED:
            claims->noted++;
            break;
        }
    }
}

void claims_make(struct arena *arena, struct arena *scratch, const struct ready_book *ready,
                 const struct stave_proving *how, struct obligations *kept,
                 struct stave_claims *claims)
{
    const struct book *book = ready->book;
    struct proving proving = {
        .arena = arena, .scratch = scratch, .ready = ready, .how = how, .kept = kept};
    proving.pairs = ARENA_ARRAY(arena, struct pair *, (size_t)book->kind_count * book->part_count);
    for (uint32_t k = 0; k < book->kind_count; k++) {
        proving.all += 3 * (size_t)book->kinds[k].part_count;
    }
    proving.all += book->limit_count;
    prove_coverage(&proving);
    prove_ladders(&proving);
    prove_order(&proving);
    prove_overlaps(&proving);
    prove_exceptions(&proving);
    claims->claims = proving.claims;
    claims->claim_count = proving.count;
    claims->stopped = proving.stopped;
    count_answers(claims);
}
