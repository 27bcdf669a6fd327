/* Tours that collect. */
#include "prove/search.h"

#include <string.h>

/* ---- does a world of the piece stand? ------------------------------------------------------- */

static uint32_t worst_of(const struct stood *stood, uint64_t limits, const struct docket *docket)
{
    uint32_t worst = 0;
    for (uint32_t i = 0; i < stood->count; i++) {
        uint32_t l = (uint32_t)(stood->ladders[i].limit - docket->limits);
        if (limits >> l & 1 && stood->ladders[i].outcome > worst) {
            worst = stood->ladders[i].outcome;
        }
    }
    return worst;
}

static bool decided_so(const struct stood *stood, const struct piece *piece, uint32_t side,
                       uint64_t limits)
{
    const struct docket *docket = piece->ground->docket;
    for (uint32_t i = 0; i < stood->count; i++) {
        uint32_t l = (uint32_t)(stood->ladders[i].limit - docket->limits);
        if (limits >> l & 1 && piece->decided[side][l] != stood->ladders[i].rung + 1) {
            return false;
        }
    }
    return true;
}

/* Products of readings in doubt were free on the way: here they are what they are. */
static bool stands(const struct search *search, const struct piece *piece)
{
    struct arena_mark mark = arena_mark(search->scratch);
    struct sample sample;
    bool good = piece_sample(search->scratch, piece, NULL, false, &sample);
    const struct tour *tour = &search->tour;
    if (good) {
        struct stood second = sample_stand(search->scratch, piece, &sample, false);
        if (tour->aim == TOUR_BETTER) {
            struct stood first = sample_stand(search->scratch, piece, &sample, true);
            const struct docket *docket = piece->ground->docket;
            good = worst_of(&second, tour->sides[1], docket) <
                   worst_of(&first, tour->sides[0], docket);
        } else {
            good = decided_so(&second, piece, 0, tour->sides[0]) &&
                   (tour->aim == TOUR_RUNG || decided_so(&second, piece, 1, tour->sides[1]));
        }
    }
    arena_release(search->scratch, mark);
    return good;
}

/* ---- collecting --------------------------------------------------------------------------------- */

static bool collect(void *user, const struct stretch *stretch)
{
    struct search *search = user;
    if (search->count == REGION_BOXES) {
        search->more++;
        return search->more > REGION_BOXES;
    }
    struct piece *piece = piece_keep(search->scratch, stretch, search->point);
    if (search->products && !stands(search, piece)) {
        search->doubtful = true;
        return false;
    }
    if (!piece->sure) {
        search->doubtful = true;
        return false;
    }
    *ARENA_PUSH(search->scratch, search->pieces, search->count, search->capacity) = piece;
    return search->first;
}

void search_begin(struct search *search, struct arena *scratch, const struct pair *pair, bool point)
{
    memset(search, 0, sizeof *search);
    search->pair = pair;
    search->point = point;
    search->scratch = scratch;
    search->finding = tour_finding(scratch, pair, point);
    search->ground = ground_make_whole(scratch, pair->docket, search->finding);
}

void search_go(struct search *search, enum tour_aim aim, uint64_t wanted, uint64_t first,
               uint64_t second, struct apart *apart, uint32_t effort)
{
    search->work = effort;
    search->count = search->more = 0;
    search->capacity = 0;
    search->pieces = NULL;
    search->doubtful = search->products = false;
    for (uint64_t set = first | second; set; set &= set - 1) {
        search->products |=
            ladder_has_product(search->ground, &search->ground->ladders[__builtin_ctzll(set)]);
    }
    tour_begin(&search->tour, search->pair, search->ground, &search->work);
    search->tour.aim = aim;
    search->tour.wanted = wanted;
    search->tour.sides[0] = first;
    search->tour.sides[1] = second;
    search->tour.apart = apart;
    if (search->tie_count) {
        search->tour.ties = search->ties; /* a docket with itself has no ties of its own */
        search->tour.tie_count = search->tie_count;
    }
    if (search->levels) {
        uint32_t records = search->ground->docket->kind->record_count;
        search->tour.walk.observations[search->record] &= ~UINT64_C(0) << search->level << 1;
        search->tour.walk.observations[search->record + records] = UINT64_C(1) << search->level;
    }
    uint32_t observed = search->left ? 2 * search->ground->docket->kind->record_count : 0;
    for (uint32_t r = 0; r < observed; r++) {
        uint64_t *values = &search->tour.walk.observations[r];
        if (*values && !(*values &= search->left[r])) {
            return; /* no such finding */
        }
    }
    search->tour.visit = collect;
    search->tour.user = search;
    tour_go(&search->tour);
}

enum found_world search_found(const struct search *search)
{
    if (search->count > 0) {
        return WORLD_SOME;
    }
    return search->tour.unsure || search->doubtful ? WORLD_UNSURE : WORLD_NONE;
}

enum found_world search_either(enum found_world a, enum found_world b)
{
    if (a == WORLD_SOME || b == WORLD_SOME) {
        return WORLD_SOME;
    }
    return a == WORLD_UNSURE || b == WORLD_UNSURE ? WORLD_UNSURE : WORLD_NONE;
}

/* Where outcomes differ these alone count; else pieces with the same lines deciding go together. */
static bool same_lines(const struct piece *a, const struct piece *b, bool by_lines)
{
    uint32_t limits = a->ground->docket->limit_count;
    if (a->outcomes[0] != b->outcomes[0] || a->outcomes[1] != b->outcomes[1]) {
        return false;
    }
    by_lines |= a->outcomes[0] == a->outcomes[1];
    for (uint32_t side = 0; by_lines && side < 2; side++) {
        if (memcmp(a->decided[side], b->decided[side], limits * sizeof(uint32_t)) != 0) {
            return false;
        }
    }
    return true;
}

void search_boxes(const struct search *search, struct boxes *boxes)
{
    const struct piece **known = ARENA_ARRAY(search->scratch, const struct piece *, search->count);
    uint32_t groups = 0;
    for (uint32_t i = 0; i < search->count; i++) {
        uint32_t group = 0;
        while (group < groups && !same_lines(known[group], search->pieces[i], search->by_lines)) {
            group++;
        }
        if (group == groups) {
            known[groups++] = search->pieces[i];
        }
        boxes_add(boxes, search->pieces[i], group);
    }
    boxes_join(boxes, search->pair);
    boxes_sort(boxes, search->pair);
}
