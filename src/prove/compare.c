/* Two books held against each other, kind by kind. */
#include <string.h>

#include "base/text.h"
#include "prove/alike.h"
#include "prove/differ.h"

struct comparing {
    struct proving proving; /* of the first book */
    const struct ready_book *books[2];
    struct pair_names names;
    struct stave_unlike *unlike;
    size_t unlike_count, unlike_capacity;
    struct stave_contrast *contrasts;
    size_t contrast_count, contrast_capacity, more;
    size_t counts[STAVE_OTHERWISE + 1]; /* regions by direction, with those that are not shown */
    bool all_proved, any_shown;
};

/* ---- what is declared differently --------------------------------------------------------- */

static void add_unlike(struct comparing *comparing, const char *what, const char *first,
                       const char *second, struct span at_first, struct span at_second,
                       bool loosens)
{
    struct arena *arena = comparing->proving.arena;
    if (strcmp(first, second) == 0) {
        return;
    }
    struct stave_unlike *unlike =
        ARENA_PUSH(arena, comparing->unlike, comparing->unlike_count, comparing->unlike_capacity);
    *unlike =
        (struct stave_unlike){.what = what, .first = first, .second = second, .loosens = loosens};
    unlike->at[0] = span_place(arena, at_first);
    unlike->at[1] = span_place(arena, at_second);
    unlike->at[0].line = at_first.source ? unlike->at[0].line : 0;
    unlike->at[1].line = at_second.source ? unlike->at[1].line : 0;
}

static const char *range_words(struct arena *arena, struct number from, struct number to,
                               const struct unit *unit)
{
    bool rounded;
    return text_format(arena, "%s .. %s", quantity_text(arena, from, unit, NUMBER_DOWN, &rounded),
                       quantity_text(arena, to, unit, NUMBER_UP, &rounded));
}

static const char *measure_words(struct arena *arena, const struct measure *measure,
                                 const struct unit *unit)
{
    bool rounded;
    const char *step = "";
    bool rounds = measure->stepping == TREE_READ_UP_TO || measure->stepping == TREE_READ_NEAREST;
    if (rounds) {
        step = text_format(arena, ", read %s %s",
                           measure->stepping == TREE_READ_UP_TO ? "up to" : "nearest",
                           quantity_text(arena, measure->step, unit, NUMBER_DOWN, &rounded));
    }
    return text_format(arena, "%s%s%s", range_words(arena, measure->from, measure->to, unit), step,
                       measure->smaller_is_worse ? ", smaller is worse" : "");
}

static const char *names_words(struct arena *arena, const char *const *names, uint32_t count,
                               const struct pair_names *renamed)
{
    struct text text;
    text_begin(&text, arena);
    for (uint32_t i = 0; i < count; i++) {
        text_add(&text, i ? ", " : "");
        text_add(&text, pair_name(renamed, names[i]));
    }
    return text_done(&text);
}

static const char *scale_words(struct arena *arena, const struct book *book,
                               const struct pair_names *renamed)
{
    struct text text;
    bool grounded = false;
    text_begin(&text, arena);
    for (uint32_t i = 0; i + 2 < book->scale_count; i++) {
        text_add(&text, i ? ", " : "");
        if (!book->scale[i].flight && !grounded) {
            text_add(&text, "no flight: ");
            grounded = true;
        }
        text_add(&text, pair_name(renamed, book->scale[i].name));
    }
    return text_done(&text);
}

static void unlike_scales(struct comparing *comparing)
{
    struct arena *arena = comparing->proving.arena;
    const struct book *first = comparing->books[0]->book, *second = comparing->books[1]->book;
    add_unlike(comparing, "scale", scale_words(arena, first, &comparing->names),
               scale_words(arena, second, NULL), first->scale[0].span, second->scale[0].span,
               false);
}

static void unlike_measures(struct comparing *comparing)
{
    struct arena *arena = comparing->proving.arena;
    const struct book *first = comparing->books[0]->book, *second = comparing->books[1]->book;
    for (uint32_t i = 0; i < first->measure_count; i++) {
        const struct measure *a = &first->measures[i];
        for (uint32_t j = 0; j < second->measure_count; j++) {
            const struct measure *b = &second->measures[j];
            if (strcmp(pair_name(&comparing->names, a->name), b->name) == 0 &&
                dimension_equal(a->dimension, b->dimension)) {
                bool wider = number_compare(arena, b->from, a->from) < 0 ||
                             number_compare(arena, b->to, a->to) > 0;
                add_unlike(comparing, text_format(arena, "measure %s", a->name),
                           measure_words(arena, a, a->unit), measure_words(arena, b, a->unit),
                           a->span, b->span, wider);
            }
        }
    }
}

static void unlike_observations(struct comparing *comparing)
{
    struct arena *arena = comparing->proving.arena;
    const struct book *first = comparing->books[0]->book, *second = comparing->books[1]->book;
    for (uint32_t i = 0; i < first->observation_count; i++) {
        const struct observation *a = &first->observations[i];
        for (uint32_t j = 0; j < second->observation_count; j++) {
            const struct observation *b = &second->observations[j];
            if (strcmp(pair_name(&comparing->names, a->name), b->name) == 0) {
                add_unlike(comparing, text_format(arena, "observation %s", a->name),
                           names_words(arena, a->values, a->value_count,
                                       a->sort == TREE_YES_OR_NO ? NULL : &comparing->names),
                           names_words(arena, b->values, b->value_count, NULL), a->span, b->span,
                           b->value_count > a->value_count);
            }
        }
    }
}

static const char *part_words(struct arena *arena, const struct part *part, const struct part *like,
                              const struct pair_names *renamed)
{
    struct text text;
    text_begin(&text, arena);
    for (uint32_t a = 0; a < part->axis_count; a++) {
        const struct unit *unit = a < like->axis_count && dimension_equal(like->axes[a].dimension,
                                                                          part->axes[a].dimension)
                                      ? like->axes[a].unit
                                      : part->axes[a].unit;
        text_addf(&text, "%s%s %s", text.size ? ", " : "", pair_name(renamed, part->axes[a].name),
                  range_words(arena, part->axes[a].from, part->axes[a].to, unit));
    }
    if (part->side_count) {
        text_add(&text, text.size ? ", " : "");
        text_add(&text, names_words(arena, part->sides, part->side_count, renamed));
    }
    if (part->place_count) {
        text_add(&text, names_words(arena, part->places, part->place_count, renamed));
    }
    return text.size ? text_done(&text) : "there";
}

static void unlike_parts(struct comparing *comparing)
{
    struct arena *arena = comparing->proving.arena;
    const struct book *first = comparing->books[0]->book, *second = comparing->books[1]->book;
    const struct span nowhere = {0};
    for (uint32_t i = 0; i < first->part_count; i++) {
        const struct part *a = &first->parts[i];
        const struct part *b = book_find_part(second, pair_name(&comparing->names, a->name));
        add_unlike(comparing, text_format(arena, "part %s", a->name),
                   part_words(arena, a, a, &comparing->names),
                   b ? part_words(arena, b, a, NULL) : "", a->span, b ? b->span : nowhere, !b);
    }
}

static const char *records_words(struct arena *arena, const struct kind *kind,
                                 const struct pair_names *renamed)
{
    struct text text;
    text_begin(&text, arena);
    text_add(&text, "on ");
    for (uint32_t p = 0; p < kind->part_count; p++) {
        text_add(&text, p ? ", " : "");
        text_add(&text, pair_name(renamed, kind->parts[p]->name));
    }
    for (uint32_t r = 0; r < kind->record_count; r++) {
        text_add(&text, r ? ", " : " records ");
        text_add(&text, pair_name(renamed, kind->records[r].name));
    }
    return text_done(&text);
}

/* Names of the second book that no name of the first becomes. */
static void added_kinds(struct comparing *comparing)
{
    struct arena *arena = comparing->proving.arena;
    const struct book *first = comparing->books[0]->book, *second = comparing->books[1]->book;
    const struct span nowhere = {0};
    for (uint32_t j = 0; j < second->kind_count; j++) {
        bool known = false;
        for (uint32_t i = 0; i < first->kind_count; i++) {
            known |= strcmp(pair_name(&comparing->names, first->kinds[i].name),
                            second->kinds[j].name) == 0;
        }
        if (!known) {
            const struct kind *kind = &second->kinds[j];
            add_unlike(comparing,
                       text_format(arena, "%s %s", kind->is_check ? "check" : "kind", kind->name),
                       "", records_words(arena, kind, NULL), nowhere, kind->span, true);
        }
    }
    for (uint32_t j = 0; j < second->part_count; j++) {
        bool known = false;
        for (uint32_t i = 0; i < first->part_count; i++) {
            known |= strcmp(pair_name(&comparing->names, first->parts[i].name),
                            second->parts[j].name) == 0;
        }
        if (!known) {
            add_unlike(comparing, text_format(arena, "part %s", second->parts[j].name), "",
                       part_words(arena, &second->parts[j], &second->parts[j], NULL), nowhere,
                       second->parts[j].span, false);
        }
    }
}

static void unlike_kinds(struct comparing *comparing)
{
    struct arena *arena = comparing->proving.arena;
    const struct book *first = comparing->books[0]->book, *second = comparing->books[1]->book;
    const struct span nowhere = {0};
    for (uint32_t i = 0; i < first->kind_count; i++) {
        const struct kind *a = &first->kinds[i];
        const struct kind *b = book_find_kind(second, pair_name(&comparing->names, a->name));
        add_unlike(comparing, text_format(arena, "%s %s", a->is_check ? "check" : "kind", a->name),
                   records_words(arena, a, &comparing->names),
                   b ? records_words(arena, b, NULL) : "", a->span, b ? b->span : nowhere, !b);
    }
    added_kinds(comparing);
}

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
        if (!decided || decided > limit->rung_count) {
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
        if (!decided || decided > limit->rung_count) {
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
    bool shown = comparing->contrast_count > before;
    claim->answer = shown ? STAVE_REFUTED : STAVE_NOT_PROVED;
    claim->reason = shown ? "answered differently"
                          : "a difference was found, and no finding line that shows it";
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
    unlike_scales(&comparing);
    unlike_parts(&comparing);
    unlike_measures(&comparing);
    unlike_observations(&comparing);
    unlike_kinds(&comparing);
    compare_kinds(&comparing);
    order_contrasts(&comparing, compared);
    compared->unlike = comparing.unlike;
    compared->unlike_count = comparing.unlike_count;
    compared->claims = comparing.proving.claims;
    compared->claim_count = comparing.proving.count;
    compared->stopped = comparing.proving.stopped;
    compared->reason = "";
    if (comparing.any_shown || comparing.unlike_count) {
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
