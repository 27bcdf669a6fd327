/* One docket, as a pair with itself, and pairs of fewer ladders. */
#include "prove/pair.h"

#include <string.h>

#include "prove/recut.h"

const char *pair_name(const struct pair_names *names, const char *first)
{
    for (size_t i = 0; names && i < names->count; i++) {
        if (strcmp(names->renamed[i].first, first) == 0) {
            return names->renamed[i].second;
        }
    }
    return first;
}

/* ---- deadlines ------------------------------------------------------------------------------- */

static const struct deadline *shortest_alike(struct arena *arena, const struct rung *rung,
                                             const struct deadline *wanted)
{
    const struct deadline *found = NULL;
    for (uint32_t d = 0; d < rung->deadline_count; d++) {
        const struct deadline *deadline = &rung->deadlines[d];
        if (deadline->look_again == wanted->look_again &&
            dimension_equal(deadline->unit->dimension, wanted->unit->dimension) &&
            (!found || number_compare(arena, deadline->value, found->value) < 0)) {
            found = deadline;
        }
    }
    return found;
}

static bool deadlines_within(struct arena *arena, const struct rung *a, const struct rung *b)
{
    for (uint32_t d = 0; d < a->deadline_count; d++) {
        const struct deadline *here = shortest_alike(arena, a, &a->deadlines[d]);
        const struct deadline *there = shortest_alike(arena, b, &a->deadlines[d]);
        if (!there || !number_equal(here->value, there->value)) {
            return false;
        }
    }
    return true;
}

static bool same_class(struct arena *arena, const struct pair *pair, const struct rung *a,
                       const struct rung *b)
{
    return deadlines_within(arena, a, b) && deadlines_within(arena, b, a) &&
           (!pair->by_action || strcmp(a->action, b->action) == 0);
}

static uint8_t class_of(struct arena *arena, const struct pair *pair, const struct rung *rung,
                        const struct rung **known, uint32_t *count)
{
    if (rung->deadline_count == 0 && !(pair->by_action && rung->action[0])) {
        return 0;
    }
    for (uint32_t i = 0; i < *count; i++) {
        if (same_class(arena, pair, known[i], rung)) {
            return (uint8_t)(i + 1);
        }
    }
    if (*count + 2 >= PAIR_CLASSES) {
        return PAIR_CLASSES - 1;
    }
    known[(*count)++] = rung;
    return (uint8_t)*count;
}

void pair_classes(struct arena *arena, struct pair *pair)
{
    const struct docket *docket = pair->docket;
    const struct rung *known[PAIR_CLASSES];
    uint32_t count = 0;
    pair->classes = ARENA_ARRAY(arena, uint8_t *, docket->limit_count);
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        const struct plan_limit *limit = &docket->limits[l];
        pair->classes[l] = ARENA_ARRAY(arena, uint8_t, (size_t)limit->rung_count + 1);
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            pair->classes[l][r] = class_of(arena, pair, limit->rungs[r].source, known, &count);
        }
    }
}

/* ---- one docket ---------------------------------------------------------------------------------- */

static uint64_t *not_covered(struct arena *arena, const struct docket *docket)
{
    uint64_t *bits = ARENA_ARRAY(arena, uint64_t, recut_words(docket));
    uint64_t any = 0;
    for (size_t at = 0; at < (size_t)docket->side_count * docket->cell_count; at++) {
        /* Between named places there is nothing to cover. */
        bool between = docket->by_place && at % docket->cell_count % 2 == 1;
        if (!between && !(docket->covered[at / 64] >> (at % 64) & 1)) {
            bits[at / 64] |= UINT64_C(1) << (at % 64);
            any = 1;
        }
    }
    return any ? bits : NULL;
}

static void take_findings(struct arena *arena, struct pair *pair)
{
    const struct kind *kind = pair->docket->kind;
    pair->from = ARENA_ARRAY(arena, struct number, kind->record_count);
    pair->to = ARENA_ARRAY(arena, struct number, kind->record_count);
    pair->values = ARENA_ARRAY(arena, uint64_t, kind->record_count);
    pair->recorded = ARENA_ARRAY(arena, uint8_t, kind->record_count);
    for (uint32_t r = 0; r < kind->record_count; r++) {
        const struct recorded *recorded = &kind->records[r];
        pair->recorded[r] = 3;
        pair->from[r] = recorded->measure ? recorded->measure->from : NUMBER_ZERO;
        pair->to[r] = recorded->measure ? recorded->measure->to : NUMBER_ZERO;
        pair->values[r] =
            recorded->observation ? UINT64_MAX >> (64 - recorded->observation->value_count) : 0;
    }
    uint32_t places = pair->docket->part->place_count;
    pair->places = places ? UINT64_MAX >> (64 - places) : 0;
}

struct pair *pair_alone(struct arena *arena, const struct ready_book *ready,
                        const struct docket *docket)
{
    struct pair *pair = ARENA_NEW(arena, struct pair);
    struct docket *whole = ARENA_NEW(arena, struct docket);
    uint64_t *bare = not_covered(arena, docket);
    uint32_t count = docket->limit_count + (bare ? 1 : 0);
    if (count > 64) {
        return NULL;
    }
    *whole = *docket;
    whole->limits = ARENA_ARRAY(arena, struct plan_limit, count);
    for (int side = 0; side < 2; side++) {
        pair->books[side] = ready;
        pair->sides[side] = docket;
        pair->limits[side] = count == 0 ? 0 : UINT64_MAX >> (64 - count);
        pair->origin[side] = ARENA_ARRAY(arena, const struct plan_limit *, count);
        pair->outcomes[side] = ARENA_ARRAY(arena, uint32_t, ready->book->scale_count);
        for (uint32_t i = 0; i < ready->book->scale_count; i++) {
            pair->outcomes[side][i] = i;
        }
    }
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        whole->limits[l] = docket->limits[l];
        pair->origin[0][l] = pair->origin[1][l] = &docket->limits[l];
    }
    if (bare) {
        whole->limits[docket->limit_count].cells = bare;
    }
    whole->limit_count = count;
    pair->docket = whole;
    take_findings(arena, pair);
    pair_classes(arena, pair);
    return pair;
}

/* ---- fewer ladders --------------------------------------------------------------------------------- */

static void narrow_axes(struct arena *arena, const struct docket *from, struct docket *to,
                        uint64_t limits)
{
    to->axes = ARENA_ARRAY(arena, struct plan_axis, from->axis_count);
    to->cell_count = 1;
    for (uint32_t a = 0; a < from->axis_count; a++) {
        const struct plan_axis *old = &from->axes[a];
        struct plan_axis *axis = &to->axes[a];
        *axis = *old;
        if (!from->by_place) {
            bool *needed = recut_needed(arena, from, a, limits, NULL);
            axis->breakpoints = ARENA_ARRAY(arena, struct number, old->breakpoint_count);
            axis->breakpoint_count = 0;
            for (uint32_t b = 0; b < old->breakpoint_count; b++) {
                if (needed[b]) {
                    axis->breakpoints[axis->breakpoint_count++] = old->breakpoints[b];
                }
            }
            axis->cell_count = 2 * axis->breakpoint_count - 1;
            axis->meeting = NULL;
        }
        to->cell_count *= axis->cell_count;
    }
}

struct pair *pair_narrow(struct arena *arena, const struct pair *pair, uint64_t limits)
{
    struct pair *made = ARENA_NEW(arena, struct pair);
    struct docket *docket = ARENA_NEW(arena, struct docket);
    uint32_t count = (uint32_t)__builtin_popcountll(limits), at = 0;
    *made = *pair;
    *docket = *pair->docket;
    narrow_axes(arena, pair->docket, docket, limits);
    struct recut recut = {.arena = arena, .from = pair->docket, .to = docket};
    for (uint32_t i = 0; i < BOOK_AXES; i++) {
        recut.axis_of[i] = i;
    }
    for (uint32_t i = 0; i < BOOK_SIDES; i++) {
        recut.side_of[i] = i;
    }
    recut_begin(&recut);
    docket->limits = ARENA_ARRAY(arena, struct plan_limit, count);
    docket->limit_count = count;
    /* What none of these ladders covers is no concern of theirs: it stands as a limit of its own. */
    docket->covered = ARENA_ARRAY(arena, uint64_t, recut_words(docket));
    memset(docket->covered, 0xff, recut_words(docket) * sizeof *docket->covered);
    for (int side = 0; side < 2; side++) {
        made->limits[side] = 0;
        made->origin[side] = ARENA_ARRAY(arena, const struct plan_limit *, count);
    }
    for (uint64_t set = limits; set; set &= set - 1, at++) {
        uint32_t l = (uint32_t)__builtin_ctzll(set);
        docket->limits[at] = recut_limit(&recut, &pair->docket->limits[l]);
        for (int side = 0; side < 2; side++) {
            made->origin[side][at] = pair->origin[side][l];
            made->limits[side] |= (pair->limits[side] >> l & 1) << at;
        }
    }
    made->docket = docket;
    pair_classes(arena, made);
    return made;
}
