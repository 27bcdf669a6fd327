/* Zones: boxes on a part, less other zones. The first zones are the whole parts. */
#include "book/check.h"

#include <string.h>

static uint64_t low_bits(uint32_t count)
{
    return count >= 64 ? UINT64_MAX : (UINT64_C(1) << count) - 1;
}

static void make_whole(struct checker *checker, struct zone *zone, const struct part *part)
{
    uint32_t i;

    zone->part = part;
    zone->ranges = ARENA_ARRAY(checker->arena, struct zone_range, part->axis_count);
    for (i = 0; i < part->axis_count; i++)
        zone->ranges[i] = (struct zone_range){.from = part->axes[i].from, .to = part->axes[i].to};
    zone->sides = low_bits(part->side_count);
    zone->places = low_bits(part->place_count);
}

/* Zones of parts are no names of their own: a limit finds them by the part. */
void zones_declare(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_zone *tree;
    size_t count = book->part_count;
    uint32_t i;

    for (i = 0; i < book->tree_count; i++)
        for (tree = book->trees[i]->zones; tree != NULL; tree = tree->next)
            count += tree->name.text != NULL;
    book->zones = ARENA_ARRAY(checker->arena, struct zone, count);
    for (i = 0; i < book->part_count; i++) {
        book->zones[i] = (struct zone){
            .name = book->parts[i].name, .index = i, .is_part = true, .span = book->parts[i].span};
        book->zone_count++;
    }
    for (i = 0; i < book->tree_count; i++)
        for (tree = book->trees[i]->zones; tree != NULL; tree = tree->next) {
            if (tree->name.text == NULL)
                continue;
            names_add(checker, tree->name, SORT_ZONE, book->zone_count);
            book->zones[book->zone_count] = (struct zone){
                .name = tree->name.text, .index = book->zone_count, .span = tree->name.span};
            book->zone_count++;
        }
}

/* ---- ranges -------------------------------------------------------------------------- */

static int32_t axis_position(const struct part *part, const char *name)
{
    uint32_t i;

    for (i = 0; i < part->axis_count; i++)
        if (strcmp(part->axes[i].name, name) == 0)
            return (int32_t)i;
    return -1;
}

static bool axis_broken(const struct checker *checker, const char *name)
{
    const struct name *found = names_find(checker, name, SORT_BIT(SORT_AXIS));

    return found == NULL || found->broken;
}

static const char *figure_in(struct checker *checker, struct number value, const struct unit *unit)
{
    bool rounded;

    return quantity_text(checker->arena, value, unit, NUMBER_EVEN, &rounded);
}

static bool range_in_order(struct checker *checker, const struct tree_zone_range *tree)
{
    struct span span = span_join(tree->from.span, tree->to.span);
    int order = number_compare(checker->arena, tree->from.value, tree->to.value);
    bool empty = order == 0 && (tree->from_open || tree->to_open);

    if (order < 0 || (order == 0 && !empty))
        return true;
    problem_help(problem_add(checker->problems, STAVE_ERROR, "range", span, "range '%s' is %s",
                             check_quote(checker, tree->span), empty ? "empty" : "reversed"),
                 checker->problems,
                 empty ? "an open end leaves nothing of it: write a wider range"
                       : "write the smaller figure first");
    return false;
}

static bool range_inside(struct checker *checker, const struct tree_zone_range *tree,
                         const struct axis *axis, const struct part *part)
{
    const struct tree_quantity *wrong = NULL;
    struct stave_problem *problem;

    if (number_compare(checker->arena, tree->from.value, axis->from) < 0)
        wrong = &tree->from;
    else if (number_compare(checker->arena, tree->to.value, axis->to) > 0)
        wrong = &tree->to;
    if (wrong == NULL)
        return true;
    problem = problem_add(checker->problems, STAVE_ERROR, "outside-part", wrong->span,
                          "'%s' is outside part '%s': its %s runs from %s to %s",
                          check_quote(checker, wrong->span), part->name, axis->name,
                          figure_in(checker, axis->from, axis->unit),
                          figure_in(checker, axis->to, axis->unit));
    check_second(checker, problem, axis->span, "declared here");
    return false;
}

static bool resolve_range(struct checker *checker, struct zone *zone,
                          const struct tree_zone_range *tree, struct span *seen)
{
    const struct part *part = zone->part;
    const char *known[BOOK_AXES];
    int32_t position;
    const struct axis *axis;
    const char *owner;
    uint32_t i;
    bool good;

    if (tree->axis.text == NULL)
        return false;
    position = axis_position(part, tree->axis.text);
    if (position < 0) {
        for (i = 0; i < part->axis_count; i++)
            known[i] = part->axes[i].name;
        names_unknown(checker, tree->axis, "axis",
                      text_format(checker->arena, " of part '%s'", part->name), known,
                      part->axis_count);
        return false;
    }
    if (seen[position].source != NULL) {
        check_second(checker,
                     problem_add(checker->problems, STAVE_ERROR, "duplicate-name", tree->axis.span,
                                 "axis '%s' is named twice in zone '%s'", tree->axis.text,
                                 zone->name),
                     seen[position], "first here");
        return false;
    }
    seen[position] = tree->axis.span;
    axis = &part->axes[position];
    if (axis_broken(checker, axis->name))
        return false;
    owner = text_format(checker->arena, "axis '%s'", axis->name);
    good = figure_fits(checker, &tree->from, axis->dimension, axis->unit, owner);
    good = figure_fits(checker, &tree->to, axis->dimension, axis->unit, owner) && good;
    if (!good || !range_in_order(checker, tree) || !range_inside(checker, tree, axis, part))
        return false;
    zone->ranges[position] = (struct zone_range){.from = tree->from.value,
                                                 .to = tree->to.value,
                                                 .from_open = tree->from_open,
                                                 .to_open = tree->to_open};
    return true;
}

/* ---- sides, places and what is left out --------------------------------------------------- */

static void report_no_side(struct checker *checker, struct tree_word word, const struct part *part)
{
    uint32_t count = part->side_count + part->place_count, i;
    const char **known = ARENA_ARRAY(checker->arena, const char *, count);
    const struct name *other = names_find(checker, word.text, SORT_BIT(SORT_ZONE));
    const char *noun =
        part->place_count > 0 ? (part->side_count > 0 ? "side or place" : "place") : "side";

    if (other != NULL) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "wrong-name", word.span,
                                 "'%s' is a zone, not a %s of part '%s'", word.text, noun,
                                 part->name),
                     checker->problems, "to leave a zone out, write 'outside %s'", word.text);
        return;
    }
    for (i = 0; i < count; i++)
        known[i] = i < part->side_count ? part->sides[i] : part->places[i - part->side_count];
    names_unknown(checker, word, noun, text_format(checker->arena, " of part '%s'", part->name),
                  known, count);
}

static bool resolve_names(struct checker *checker, struct zone *zone,
                          const struct tree_words *words)
{
    const struct part *part = zone->part;
    uint64_t sides = 0, places = 0;
    bool good = true;

    for (; words != NULL; words = words->next) {
        int32_t side, place;
        uint64_t bit, *set;

        if (words->word.text == NULL)
            continue;
        side = list_find(part->sides, part->side_count, words->word.text);
        place = list_find(part->places, part->place_count, words->word.text);
        if (side < 0 && place < 0) {
            report_no_side(checker, words->word, part);
            good = false;
            continue;
        }
        set = side >= 0 ? &sides : &places;
        bit = UINT64_C(1) << (side >= 0 ? side : place);
        if (*set & bit) {
            problem_add(checker->problems, STAVE_ERROR, "duplicate-name", words->word.span,
                        "%s '%s' is named twice in zone '%s'", side >= 0 ? "side" : "place",
                        words->word.text, zone->name);
            good = false;
        }
        *set |= bit;
    }
    if (sides != 0)
        zone->sides = sides;
    if (places != 0)
        zone->places = places;
    return good;
}

static bool resolve_outside(struct checker *checker, struct zone *zone,
                            const struct tree_words *words)
{
    uint32_t named, i;
    const char **names =
        words_list(checker, words, BOOK_ZONE_NAMES, "zone", "zones after 'outside'", &named);
    bool good = true;

    zone->outside = ARENA_ARRAY(checker->arena, const struct zone *, named);
    for (i = 0; i < named; words = words->next) {
        const struct name *found;

        if (words->word.text == NULL || strcmp(words->word.text, names[i]) != 0)
            continue;
        i++;
        found = names_get(checker, words->word, SORT_BIT(SORT_ZONE), "zone");
        good = good && found != NULL && !found->broken;
        if (found != NULL)
            zone->outside[zone->outside_count++] = &checker->book->zones[found->index];
    }
    return good;
}

static void resolve_zone(struct checker *checker, struct zone *zone, const struct tree_zone *tree)
{
    const struct name *name = names_get(checker, tree->part, SORT_BIT(SORT_PART), "part");
    const struct tree_zone_range *range;
    struct span seen[BOOK_AXES] = {{0}};
    bool good = true;

    if (name == NULL) {
        names_mark_broken(checker, zone->name, SORT_ZONE);
        return;
    }
    make_whole(checker, zone, &checker->book->parts[name->index]);
    for (range = tree->ranges; range != NULL; range = range->next)
        good = resolve_range(checker, zone, range, seen) && good;
    good = resolve_names(checker, zone, tree->names) && good;
    good = resolve_outside(checker, zone, tree->outside) && good;
    if (!good)
        names_mark_broken(checker, zone->name, SORT_ZONE);
}

/* ---- zones outside zones -------------------------------------------------------------- */

/* height 0: not seen yet; UINT8_MAX: being looked at; else 1 + the longest chain below. */
struct chains {
    uint8_t *heights;
    bool stopped; /* one is reported; the rest of its chain would only repeat it */
};

static struct span outside_span(const struct tree_zone *tree, const char *name)
{
    const struct tree_words *word;

    for (word = tree->outside; word != NULL; word = word->next)
        if (word->word.text != NULL && strcmp(word->word.text, name) == 0)
            return word->word.span;
    return tree->name.span;
}

static void measure_chain(struct checker *checker, struct chains *chains,
                          const struct tree_zone *const *trees, const struct zone *zone)
{
    uint32_t i, height = 0;

    chains->heights[zone->index] = UINT8_MAX;
    for (i = 0; i < zone->outside_count && !chains->stopped; i++) {
        const struct zone *other = zone->outside[i];
        const struct tree_zone *tree = trees[zone->index];
        struct span at = outside_span(tree, other->name);

        if (other->part != zone->part) {
            if (other->part != NULL)
                check_second(checker,
                             problem_add(checker->problems, STAVE_ERROR, "outside-part", at,
                                         "zone '%s' is on part '%s', not on '%s'", other->name,
                                         other->part->name, zone->part->name),
                             other->span, "declared here");
            continue;
        }
        if (chains->heights[other->index] == UINT8_MAX) {
            check_second(checker,
                         problem_add(checker->problems, STAVE_ERROR, "circular-zone", at,
                                     other == zone ? "zone '%s' is outside itself"
                                                   : "zone '%s' leads back to itself by 'outside'",
                                     other->name),
                         other->span, "declared here");
            chains->stopped = true;
            break;
        }
        if (chains->heights[other->index] == 0)
            measure_chain(checker, chains, trees, other);
        if (chains->heights[other->index] > height)
            height = chains->heights[other->index];
    }
    if (height >= CHECK_OUTSIDE_DEPTH && !chains->stopped) {
        problem_add(checker->problems, STAVE_ERROR, "too-many", zone->span,
                    "zone '%s' is outside a zone outside a zone, more than %d deep", zone->name,
                    CHECK_OUTSIDE_DEPTH);
        chains->stopped = true;
    }
    chains->heights[zone->index] = (uint8_t)(height + 1);
}

static void check_chains(struct checker *checker, const struct tree_zone *const *trees)
{
    const struct book *book = checker->book;
    struct chains chains = {0};
    uint32_t i;

    chains.heights = ARENA_ARRAY(checker->arena, uint8_t, book->zone_count);
    for (i = book->part_count; i < book->zone_count && !chains.stopped; i++)
        if (chains.heights[i] == 0 && book->zones[i].part != NULL)
            measure_chain(checker, &chains, trees, &book->zones[i]);
}

void zones_resolve(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_zone **trees =
        ARENA_ARRAY(checker->arena, const struct tree_zone *, book->zone_count);
    const struct tree_zone *tree;
    uint32_t i, next = book->part_count;

    for (i = 0; i < book->part_count; i++)
        make_whole(checker, &book->zones[i], &book->parts[i]);
    for (i = 0; i < book->tree_count; i++)
        for (tree = book->trees[i]->zones; tree != NULL; tree = tree->next)
            if (tree->name.text != NULL) {
                trees[next] = tree;
                resolve_zone(checker, &book->zones[next++], tree);
            }
    check_chains(checker, trees);
}
