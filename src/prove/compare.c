/* Two books held against each other, kind by kind. */
#include <string.h>

#include "base/text.h"
#include "prove/alike.h"
#include "prove/differ.h"
#include "prove/unlike.h"

struct comparing {
    struct proving proving; /* of the first book */
    const struct ready_book *books[2];
    struct pair_names names;
    struct stave_contrast *contrasts;
    size_t contrast_count, contrast_capacity, more;
    size_t counts[STAVE_OTHERWISE + 1]; /* regions by direction, with those that are not shown */
    bool all_proved, any_shown;
};

/* ---- contrasts -------------------------------------------------------------------------------- */

/* The shortest deadline of one sort over all lines that decide on a side; NULL: there is none. */
static const struct deadline *shortest_of(struct arena *arena, const struct pair *pair,
                                          const struct piece *piece, uint32_t side,
                                          const struct deadline *sort)
{
    const struct deadline *shortest = NULL;
    for (uint32_t l = 0; l < pair->docket->limit_count; l++) {
        const struct limit *limit = pair->docket->limits[l].source;
        uint32_t decided = pair->limits[side] >> l & 1 ? piece->decided[side][l] : 0;
        if (!limit || !decided || decided > limit->rung_count) {
            continue;
        }
        const struct rung *rung = &limit->rungs[decided - 1];
        for (uint32_t d = 0; d < rung->deadline_count; d++) {
            const struct deadline *deadline = &rung->deadlines[d];
            if (deadline->look_again == sort->look_again &&
                dimension_equal(deadline->unit->dimension, sort->unit->dimension) &&
                (!shortest || number_compare(arena, deadline->value, shortest->value) < 0)) {
                shortest = deadline;
            }
        }
    }
    return shortest;
}

/* Has the second no deadline of some sort that the first has, or a later one? */
static bool second_is_later(struct arena *arena, const struct pair *pair, const struct piece *piece)
{
    for (uint32_t l = 0; l < pair->docket->limit_count; l++) {
        const struct limit *limit = pair->docket->limits[l].source;
        uint32_t decided = pair->limits[0] >> l & 1 ? piece->decided[0][l] : 0;
        if (!limit || !decided || decided > limit->rung_count) {
            continue;
        }
        const struct rung *rung = &limit->rungs[decided - 1];
        for (uint32_t d = 0; d < rung->deadline_count; d++) {
            const struct deadline *first = shortest_of(arena, pair, piece, 0, &rung->deadlines[d]);
            const struct deadline *second = shortest_of(arena, pair, piece, 1, &rung->deadlines[d]);
            if (!second || number_compare(arena, second->value, first->value) > 0) {
                return true;
            }
        }
    }
    return false;
}

static bool flies(const struct comparing *comparing, const struct pair *pair, uint32_t side,
                  uint32_t rank)
{
    uint32_t own = pair->outcomes[side][rank];
    return own != UINT32_MAX && comparing->books[side]->book->scale[own].flight;
}

/* Flight weighs more than the outcome's rank; where both fly with the same one, deadlines tell. */
static enum stave_direction direction_of(const struct comparing *comparing, const struct pair *pair,
                                         const struct piece *piece)
{
    uint32_t first = piece->outcomes[0], second = piece->outcomes[1];
    bool flight[2] = {flies(comparing, pair, 0, first), flies(comparing, pair, 1, second)};
    if (flight[0] != flight[1]) {
        return flight[1] ? STAVE_LOOSER : STAVE_STRICTER;
    }
    if (first != second) {
        return first < second ? STAVE_STRICTER : STAVE_LOOSER;
    }
    if (!flight[0]) {
        return STAVE_OTHERWISE;
    }
    return second_is_later(comparing->proving.scratch, pair, piece) ? STAVE_LOOSER : STAVE_STRICTER;
}

static void add_contrast(struct comparing *comparing, const struct pair *pair,
                         const struct box *box, const struct stave_region *region)
{
    struct stave_contrast *contrast =
        ARENA_PUSH(comparing->proving.arena, comparing->contrasts, comparing->contrast_count,
                   comparing->contrast_capacity);
    const struct piece *piece = box->piece;
    *contrast =
        (struct stave_contrast){.direction = direction_of(comparing, pair, piece),
                                .flight_changes = flies(comparing, pair, 0, piece->outcomes[0]) !=
                                                  flies(comparing, pair, 1, piece->outcomes[1]),
                                .region = *region};
}

#define COMPARE_REGIONS 60u /* of one kind on one part in one direction that are shown */

static void contrast_docket(struct comparing *comparing, const struct pair *pair,
                            const struct search *search, struct stave_claim *claim)
{
    struct proving *proving = &comparing->proving;
    struct boxes boxes = {.arena = proving->scratch};
    struct region_list list = {0};
    struct region_call call = {.pair = pair, .declared = "", .accept = differ_accept};
    size_t before = comparing->contrast_count;
    uint32_t found[STAVE_OTHERWISE + 1] = {0};
    search_boxes(search, &boxes);
    for (uint32_t b = 0; b < boxes.count; b++) {
        struct boxes one = {.arena = proving->scratch, .items = &boxes.items[b], .count = 1};
        enum stave_direction direction = direction_of(comparing, pair, boxes.items[b].piece);
        comparing->counts[direction]++;
        if (++found[direction] > COMPARE_REGIONS) {
            comparing->more++;
            continue;
        }
        list = (struct region_list){0};
        regions_add(proving, &list, &one, &call);
        if (list.shown) {
            comparing->any_shown = true;
            add_contrast(comparing, pair, &boxes.items[b], &list.items[0]);
        } else {
            comparing->more++;
        }
    }
    comparing->more += search->more;
    comparing->more += search->doubtful || search->tour.unsure ? 1 : 0; /* of what sort, nobody knows */
    bool shown = comparing->contrast_count > before;
    claim->answer = shown ? STAVE_REFUTED : STAVE_NOT_PROVED;
    claim->reason = shown ? "answered differently"
                          : COMPARE_NOT_SHOWN;
    claim->region_count = 0;
}

static void compare_docket(struct comparing *comparing, const struct kind *kind,
                           const struct part *part, const struct kind *other,
                           const struct part *there)
{
    struct proving *proving = &comparing->proving;
    const struct docket *const sides[2] = {plan_docket(comparing->books[0]->plan, kind, part),
                                           plan_docket(comparing->books[1]->plan, other, there)};
    struct stave_claim *claim =
        proving_claim(proving, STAVE_CLAIM_SAME,
                      text_format(proving->arena, "%s on %s", kind->name, part->name), kind->span);
    if (proving_stop(proving, claim->subject)) {
        comparing->all_proved = false;
        return;
    }
    claim->rule = "every way through the ladders of both followed";
    claim->reason = "";
    if (comparing->names.count == 0 && docket_alike(proving->scratch, sides[0], sides[1])) {
        claim->answer = STAVE_PROVED;
        claim->rule = "the same lines, word for word";
        return;
    }
    const char *why = "";
    struct pair *pair =
        pair_make(proving->scratch, comparing->books, sides, &comparing->names, &why);
    if (!pair) {
        claim->reason = why;
        comparing->all_proved = false;
        return;
    }
    enum found_world found;
    uint32_t work = proving_effort(proving);
    const struct search *search = differ_search(proving->scratch, pair, &work, &found);
    if (found == WORLD_NONE) {
        claim->answer = STAVE_PROVED;
        return;
    }
    comparing->all_proved = false;
    if (found == WORLD_SOME) {
        contrast_docket(comparing, pair, search, claim);
    } else {
        claim->reason = "too much work, or a product of readings that could not be decided";
    }
}

static void compare_kinds(struct comparing *comparing)
{
    const struct book *first = comparing->books[0]->book, *second = comparing->books[1]->book;
    struct proving *proving = &comparing->proving;
    for (uint32_t k = 0; k < first->kind_count; k++) {
        const struct kind *kind = &first->kinds[k];
        const struct kind *other = book_find_kind(second, pair_name(&comparing->names, kind->name));
        for (uint32_t p = 0; p < kind->part_count && other; p++) {
            const struct part *there =
                book_find_part(second, pair_name(&comparing->names, kind->parts[p]->name));
            if (there && kind_part_position(other, there) >= 0) {
                struct arena_mark mark = proving_mark(proving);
                compare_docket(comparing, kind, kind->parts[p], other, there);
                proving_release(proving, mark);
            }
        }
    }
}

/* ---- the whole ------------------------------------------------------------------------------------ */

/* Stricter first, then looser, then otherwise; each in the order found, the largest of a kind first. */
static void order_contrasts(struct comparing *comparing, struct stave_compared *compared)
{
    struct stave_contrast *ordered =
        ARENA_ARRAY(comparing->proving.arena, struct stave_contrast, comparing->contrast_count);
    size_t count = 0;
    for (int direction = STAVE_STRICTER; direction <= STAVE_OTHERWISE; direction++) {
        for (size_t i = 0; i < comparing->contrast_count; i++) {
            if ((int)comparing->contrasts[i].direction == direction) {
                ordered[count++] = comparing->contrasts[i];
            }
        }
    }
    compared->stricter = comparing->counts[STAVE_STRICTER];
    compared->looser = comparing->counts[STAVE_LOOSER];
    compared->otherwise = comparing->counts[STAVE_OTHERWISE];
    compared->contrasts = ordered;
    compared->contrast_count = count;
    compared->more_contrasts = comparing->more;
}

void compare_make(struct arena *arena, struct arena *scratch, const struct ready_book *first,
                  const struct ready_book *second, const struct stave_renamed *renamed,
                  size_t renamed_count, const struct stave_proving *how,
                  struct stave_compared *compared)
{
    struct comparing comparing = {
        .proving = {.arena = arena, .scratch = scratch, .ready = first, .how = how},
        .books = {first, second},
        .names = {.renamed = renamed, .count = renamed_count},
        .all_proved = true};
    for (uint32_t k = 0; k < first->book->kind_count; k++) {
        comparing.proving.all += first->book->kinds[k].part_count;
    }
    compare_kinds(&comparing);
    order_contrasts(&comparing, compared);
    unlike_list(arena, first->book, second->book, &comparing.names, compared);
    compared->claims = comparing.proving.claims;
    compared->claim_count = comparing.proving.count;
    compared->stopped = comparing.proving.stopped;
    compared->reason = "";
    if (comparing.any_shown || compared->unlike_count) {
        compared->answer = STAVE_REFUTED;
    } else if (comparing.all_proved) {
        compared->answer = STAVE_PROVED;
    } else {
        compared->answer = STAVE_NOT_PROVED;
        for (size_t i = 0; i < compared->claim_count; i++) {
            if (compared->claims[i].answer == STAVE_NOT_PROVED) {
                compared->reason = compared->claims[i].reason;
            }
        }
    }
}
