/* Is there a finding that two books answer differently? The first one found will do. */
#include <string.h>

#include "base/text.h"
#include "prove/alike.h"
#include "prove/differ.h"
#include "prove/search.h"

/* ---- judged again, by both ---------------------------------------------------------------- */

static uint64_t as_ranks(const struct pair *pair, uint32_t side, uint64_t possible)
{
    uint64_t set = 0;
    for (uint32_t rank = 0; rank < 2 * BOOK_OUTCOMES; rank++) {
        uint32_t own = pair->outcomes[side][rank];
        if (own != UINT32_MAX && possible >> own & 1) {
            set |= UINT64_C(1) << rank;
        }
    }
    return set;
}

bool differ_accept(void *user, const struct piece *piece, const struct replayed *first,
                   const struct replayed *second)
{
    const struct pair *pair = piece->pair;
    uint64_t a = as_ranks(pair, 0, first->possible), b = as_ranks(pair, 1, second->possible);
    (void)user;
    /* The worst of each, and the best, must lie as the stretch says: stricter is not looser. */
    int worst = 63 - __builtin_clzll(b) - (63 - __builtin_clzll(a));
    int best = __builtin_ctzll(b) - __builtin_ctzll(a);
    bool stricter = piece->outcomes[0] < piece->outcomes[1];
    bool looser = piece->outcomes[0] > piece->outcomes[1];
    if ((stricter && (worst < 0 || best < 0)) || (looser && (worst > 0 || best > 0)) ||
        (!stricter && !looser && (worst || best))) {
        return false;
    }
    return a != b || (a & pair->flight_differs) || !replayed_alike(first, second);
}

/* ---- searching -------------------------------------------------------------------------------- */

static uint64_t own_limits(const struct pair *pair)
{
    return (pair->limits[0] | pair->limits[1]) & ~(pair->limits[0] & pair->limits[1]);
}

/* Do the ladders that are not in both differ, by themselves? Else nothing does. */
static enum found_world differ_alone(struct arena *arena, const struct pair *pair, uint32_t *work)
{
    uint64_t own = own_limits(pair);
    if (!own && !pair->flight_differs) {
        return WORLD_NONE;
    }
    if (pair->flight_differs) {
        return WORLD_SOME;
    }
    struct pair *narrow = pair_narrow(arena, pair, own);
    enum found_world found = WORLD_NONE;
    for (int wide = 0; wide < 2 && found == WORLD_NONE; wide++) {
        struct search search;
        search_begin(&search, arena, narrow, !wide);
        search.first = true;
        search_go(&search, TOUR_DIFFER, 0, narrow->limits[0], narrow->limits[1], NULL, *work);
        *work = search.work;
        found = search_found(&search);
    }
    return found;
}

struct search *differ_search(struct arena *arena, const struct pair *pair, uint32_t *work,
                             enum found_world *found)
{
    struct search *search = ARENA_NEW(arena, struct search);
    *found = differ_alone(arena, pair, work);
    for (int wide = 0; wide < 2 && *found != WORLD_NONE; wide++) {
        search_begin(search, arena, pair, !wide);
        search_go(search, TOUR_DIFFER, 0, pair->limits[0], pair->limits[1], NULL, *work);
        *work = search->work;
        enum found_world whole = search_found(search);
        if (whole != WORLD_NONE || wide) {
            *found = whole;
            return search;
        }
    }
    return search;
}

#define DIFFER_TRIES 24u /* stretches of which a witness is sought */

static bool show_piece(struct arena *arena, const struct pair *pair, const struct piece *piece,
                       struct difference *difference)
{
    const struct region_call call = {.pair = pair, .declared = "", .accept = differ_accept};
    struct boxes boxes = {.arena = arena};
    struct stave_region region = {0};
    boxes_add(&boxes, piece, 0);
    if (!boxes.count || !region_show(arena, &call, &boxes.items[0], &region)) {
        return false;
    }
    const char *words = box_text(arena, &boxes.items[0], pair, NULL);
    difference->dockets[0] = pair->sides[0];
    difference->dockets[1] = pair->sides[1];
    difference->text = region.witness;
    difference->outcomes[0] = region.outcomes[0];
    difference->outcomes[1] = region.outcomes[1];
    difference->found[0] = region.found[0];
    difference->found[1] = region.found[1];
    difference->described = text_format(arena, "%s on %s%s%s", pair->docket->kind->name,
                                        pair->docket->part->name, words[0] ? ", " : "", words);
    return true;
}

/* Where outcomes differ before where only deadlines do: an example can always say those. */
static enum differ show_first(struct arena *arena, const struct pair *pair,
                              const struct search *search, struct difference *difference,
                              const char **why)
{
    for (int deadlines = 0; deadlines < 2; deadlines++) {
        uint32_t all = 0;
        for (uint32_t i = 0; i < search->count; i++) {
            const struct piece *piece = search->pieces[i];
            all += (piece->outcomes[0] == piece->outcomes[1]) == (deadlines == 1);
        }
        uint32_t step = all / DIFFER_TRIES + 1, nth = 0;
        for (uint32_t i = 0; i < search->count; i++) {
            const struct piece *piece = search->pieces[i];
            if ((piece->outcomes[0] == piece->outcomes[1]) == (deadlines == 1) &&
                nth++ % step == 0 && show_piece(arena, pair, piece, difference)) {
                return DIFFER_YES;
            }
        }
    }
    *why = search->count ? "a difference was found, and no finding line that shows it"
                         : "too much work, or a product of readings that could not be decided";
    return DIFFER_UNSURE;
}

enum differ pair_differ(struct arena *arena, const struct ready_book *first,
                        const struct ready_book *second, const struct kind *kind,
                        const struct part *part, const struct pair_names *names, uint32_t *work,
                        struct difference *difference, const char **why)
{
    const struct kind *other = book_find_kind(second->book, pair_name(names, kind->name));
    const struct part *there = book_find_part(second->book, pair_name(names, part->name));
    *why = "";
    if (!other || !there || kind_part_position(other, there) < 0) {
        *why = "one of the books does not have this kind on this part";
        return DIFFER_UNSURE;
    }
    const struct ready_book *const books[2] = {first, second};
    const struct docket *const sides[2] = {plan_docket(first->plan, kind, part),
                                           plan_docket(second->plan, other, there)};
    struct arena_mark mark = arena_mark(arena);
    if ((!names || names->count == 0) && docket_alike(arena, sides[0], sides[1])) {
        return DIFFER_NO;
    }
    struct pair *pair = pair_make(arena, books, sides, names, why);
    if (!pair) {
        return DIFFER_UNSURE;
    }
    enum found_world found;
    const struct search *search = differ_search(arena, pair, work, &found);
    if (found == WORLD_NONE) {
        arena_release(arena, mark);
        return DIFFER_NO;
    }
    return show_first(arena, pair, search, difference, why);
}

enum differ books_differ(struct arena *arena, const struct ready_book *first,
                         const struct ready_book *second, const struct pair_names *names,
                         uint32_t *work, struct difference *difference, const char **why)
{
    enum differ answer = DIFFER_NO;
    *why = "";
    for (uint32_t k = 0; k < first->book->kind_count; k++) {
        const struct kind *kind = &first->book->kinds[k];
        for (uint32_t p = 0; p < kind->part_count; p++) {
            const char *own = "";
            enum differ one = pair_differ(arena, first, second, kind, kind->parts[p], names, work,
                                          difference, &own);
            if (one == DIFFER_YES) {
                return one;
            }
            if (one == DIFFER_UNSURE) {
                answer = one;
                *why = own;
            }
        }
    }
    return answer;
}
