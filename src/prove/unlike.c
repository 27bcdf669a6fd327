/* What two books declare differently. */
#include "prove/unlike.h"

#include <string.h>

#include "base/text.h"
#include "book/alike.h"
#include "book/family.h"

struct lister {
    struct arena *arena;
    const struct book *books[2];
    const struct pair_names *names;
    struct stave_unlike *items;
    size_t count, capacity;
};

static const struct span nowhere = {0};

static struct stave_place place_of(struct arena *arena, struct span span)
{
    struct stave_place place = span_place(arena, span);
    place.line = span.source ? place.line : 0;
    return place;
}

static void add(struct lister *lister, const char *what, const char *first, const char *second,
                struct span at_first, struct span at_second, bool loosens)
{
    *ARENA_PUSH(lister->arena, lister->items, lister->count, lister->capacity) =
        (struct stave_unlike){
            .what = what,
            .first = first,
            .second = second,
            .at = {place_of(lister->arena, at_first), place_of(lister->arena, at_second)},
            .loosens = loosens,
        };
}

/* ---- names --------------------------------------------------------------------------------------- */

/* How many names both have: one of the second's that two of the first's are mapped to counts once. */
static uint32_t common_names(const struct pair_names *renamed, const char *const *first,
                             uint32_t first_count, const char *const *second, uint32_t second_count)
{
    uint32_t common = 0;
    for (uint32_t j = 0; j < second_count; j++) {
        uint32_t i = 0;
        while (i < first_count && strcmp(pair_name(renamed, first[i]), second[j]) != 0) {
            i++;
        }
        common += i < first_count;
    }
    return common;
}

/* What the first calls something of the second: the first of its names that becomes it, or NULL. */
static bool is_called(const struct lister *lister, const char *first, const char *second)
{
    return strcmp(pair_name(lister->names, first), second) == 0;
}

static bool called_in_second(const void *lister, const char *first, const char *second)
{
    return is_called(lister, first, second);
}

/* ---- words ------------------------------------------------------------------------------------------ */

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
    if (measure->stepping != TREE_STEP_NONE) {
        step = text_format(arena, ", read %s %s",
                           measure->stepping == TREE_READ_UP_TO     ? "up to"
                           : measure->stepping == TREE_READ_NEAREST ? "nearest"
                                                                    : "to",
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

/* ---- the book as a whole -------------------------------------------------------------------------- */

static void list_scales(struct lister *lister)
{
    const struct book *first = lister->books[0], *second = lister->books[1];
    const char *words[2] = {scale_words(lister->arena, first, lister->names),
                            scale_words(lister->arena, second, NULL)};
    if (strcmp(words[0], words[1]) != 0) {
        add(lister, "scale", words[0], words[1], first->scale[0].span, second->scale[0].span,
            false);
    }
}

/* Guarded counts all that a doubt may be; as read counts its middle alone. */
static void list_judging(struct lister *lister)
{
    const struct book *first = lister->books[0], *second = lister->books[1];
    if (first->as_read != second->as_read) {
        add(lister, "way to judge", first->as_read ? "as read" : "guarded",
            second->as_read ? "as read" : "guarded", nowhere, nowhere, second->as_read);
    }
}

/* ---- which propellers ---------------------------------------------------------------------------- */

/*
 * A book, or a model of one, takes propellers by the name of a model that their record gives and by facts: a set of
 * names and a set of each fact's values, all of them where it says nothing of the fact. No mapping speaks of either.
 * Models of one family take none in common, so what another model takes is looked for among all others.
 */

/* The names that a book is for: one that says none is for its own. */
struct names {
    const char *const *list;
    uint32_t count;
};

static struct names names_of(const struct book *book)
{
    return book->model_count ? (struct names){book->models, book->model_count}
                             : (struct names){&book->id, 1};
}

static uint32_t names_in_both(const struct book *a, const struct book *b)
{
    struct names of_a = names_of(a), of_b = names_of(b);
    return common_names(NULL, of_a.list, of_a.count, of_b.list, of_b.count);
}

/* What a book says of a fact; NULL: nothing. */
static const struct fact *fact_of(const struct book *book, const char *name)
{
    return book->model ? family_find_fact(book->family, name) : NULL;
}

static const struct fact_set *set_of(const struct book *book, const struct fact *fact)
{
    static const struct fact_set any = {.all = true};
    return fact ? &book->model->sets[fact->index] : &any;
}

static bool same_values(const struct fact *a, const struct fact *b)
{
    return a->is_range == b->is_range && a->from == b->from && a->to == b->to &&
           names_alike(a->values, a->value_count, b->values, b->value_count, called_alike, NULL);
}

/*
 * Does one take a propeller that another does not, by facts that both declare alike? Without `where` it also
 * takes one whose record says nothing of facts.
 */
static bool takes_further(const struct book *book, const struct book *than)
{
    bool further = than->model && than->model->where[0] && !(book->model && book->model->where[0]);
    for (uint32_t i = 0; than->model && i < than->family->fact_count; i++) {
        const struct fact *fact = &than->family->facts[i], *same = fact_of(book, fact->name);
        further = further || ((!same || same_values(fact, same)) &&
                              !fact_set_within(fact, set_of(book, same), set_of(than, fact)));
    }
    return further;
}

/* Do both take a propeller? Where their words for a fact are not the same, they do as far as that one goes. */
static bool take_alike(const struct book *a, const struct book *b)
{
    bool alike = names_in_both(a, b) > 0;
    for (uint32_t i = 0; alike && a->model && i < a->family->fact_count; i++) {
        const struct fact *fact = &a->family->facts[i], *same = fact_of(b, fact->name);
        bool told =
            same && fact->is_range == same->is_range && (fact->is_range || same_values(fact, same));
        alike = !told || fact_sets_meet(fact, set_of(a, fact), set_of(b, same));
    }
    return alike;
}

static struct span model_span(const struct book *book)
{
    return book->model ? book->model->span : nowhere;
}

static void list_names(struct lister *lister)
{
    const struct book *first = lister->books[0], *second = lister->books[1];
    struct names of_first = names_of(first), of_second = names_of(second);
    uint32_t both = names_in_both(first, second);
    bool said = first->model_count || second->model_count; /* else two documents of other names */
    if (said && (both < of_first.count || both < of_second.count)) {
        add(lister, "models", names_words(lister->arena, of_first.list, of_first.count, NULL),
            names_words(lister->arena, of_second.list, of_second.count, NULL), model_span(first),
            model_span(second), both < of_second.count);
    }
}

static const char *fact_words(struct arena *arena, const struct fact *fact)
{
    return fact->is_range
               ? text_format(arena, "%lld .. %lld", (long long)fact->from, (long long)fact->to)
               : names_words(arena, fact->values, fact->value_count, NULL);
}

/* With other values, one that is not recorded may be what the model is for and was not. */
static void list_facts(struct lister *lister)
{
    const struct book *first = lister->books[0], *second = lister->books[1];
    for (uint32_t i = 0; first->model && i < first->family->fact_count; i++) {
        const struct fact *fact = &first->family->facts[i], *other = fact_of(second, fact->name);
        if (other && !same_values(fact, other)) {
            add(lister, text_format(lister->arena, "fact %s", fact->name),
                fact_words(lister->arena, fact), fact_words(lister->arena, other), fact->span,
                other->span, true);
        }
    }
}

static const char *where_words(struct arena *arena, const struct book *book)
{
    return !book->model            ? "every propeller of the book"
           : book->model->where[0] ? text_format(arena, "where %s", book->model->where)
                                   : "any";
}

static void list_taken(struct lister *lister)
{
    const struct book *first = lister->books[0], *second = lister->books[1];
    bool further = takes_further(second, first);
    if (further || takes_further(first, second)) {
        add(lister, "propellers of the model", where_words(lister->arena, first),
            where_words(lister->arena, second), model_span(first), model_span(second), further);
    }
}

static const char *model_words(struct arena *arena, const struct book *book)
{
    return text_format(arena, "%s %s", book->model ? "by model" : "by",
                       book->model ? book->model->name : book->id);
}

/* The propellers that are of one of the two, and of another model of the other's family: other limits judge them. */
static void list_moved(struct lister *lister, int side)
{
    struct arena *arena = lister->arena;
    const struct book *stays = lister->books[side], *other = lister->books[1 - side];
    for (uint32_t i = 0; other->model && i < other->family->model_count; i++) {
        const struct model *model = &other->family->models[i];
        if (model == other->model || !take_alike(stays, model->book)) {
            continue;
        }
        const struct book *books[2] = {side ? model->book : stays, side ? stays : model->book};
        add(lister, "propellers of another model now", model_words(arena, books[0]),
            model_words(arena, books[1]), model_span(books[0]), model_span(books[1]), true);
    }
}

/* ---- measures and observations --------------------------------------------------------------------- */

static bool rounds(const struct measure *measure)
{
    return measure->stepping == TREE_READ_UP_TO || measure->stepping == TREE_READ_NEAREST;
}

static bool same_rounding(const struct measure *a, const struct measure *b)
{
    if (!rounds(a) || !rounds(b)) {
        return rounds(a) == rounds(b);
    }
    return a->stepping == b->stepping && a->smaller_is_worse == b->smaller_is_worse &&
           number_equal(a->step, b->step);
}

/* Can a reading come to a better value than before? Not where it was as read and is now rounded to worse. */
static bool rounds_better(const struct measure *a, const struct measure *b)
{
    return !same_rounding(a, b) && !(!rounds(a) && b->stepping == TREE_READ_UP_TO &&
                                     a->smaller_is_worse == b->smaller_is_worse);
}

static void list_measure(struct lister *lister, const struct measure *a, const struct measure *b)
{
    struct arena *arena = lister->arena;
    bool in_range = number_equal(a->from, b->from) && number_equal(a->to, b->to);
    /* What got better by more than a step needs a word of repair. */
    bool as_fine = number_equal(measure_fineness(a), measure_fineness(b));
    if (in_range && same_rounding(a, b) && as_fine && a->smaller_is_worse == b->smaller_is_worse) {
        return;
    }
    /* Wider takes in what was refused; narrower leaves less that a reading which was not taken may be; where the
     * worse is the other way, so is what got better without a word of repair. */
    add(lister, text_format(arena, "measure %s", a->name), measure_words(arena, a, a->unit),
        measure_words(arena, b, a->unit), a->span, b->span,
        !in_range || rounds_better(a, b) || !as_fine || a->smaller_is_worse != b->smaller_is_worse);
}

static void list_measures(struct lister *lister)
{
    const struct book *first = lister->books[0], *second = lister->books[1];
    for (uint32_t i = 0; i < first->measure_count; i++) {
        for (uint32_t j = 0; j < second->measure_count; j++) {
            const struct measure *a = &first->measures[i], *b = &second->measures[j];
            if (is_called(lister, a->name, b->name) &&
                dimension_equal(a->dimension, b->dimension)) {
                list_measure(lister, a, b);
            }
        }
    }
}

static const char *observation_words(struct arena *arena, const struct observation *observation,
                                     const struct pair_names *renamed)
{
    return text_format(arena, "%s%s", observation->sort == TREE_LEVELS ? "levels " : "",
                       names_words(arena, observation->values, observation->value_count, renamed));
}

static void list_observation(struct lister *lister, const struct observation *a,
                             const struct observation *b)
{
    struct arena *arena = lister->arena;
    uint32_t common =
        common_names(lister->names, a->values, a->value_count, b->values, b->value_count);
    bool alike = common == a->value_count && common == b->value_count;
    bool levels[2] = {a->sort == TREE_LEVELS, b->sort == TREE_LEVELS};
    /* Of levels the order tells which is worse. */
    bool in_order =
        !levels[0] || !levels[1] ||
        names_alike(a->values, a->value_count, b->values, b->value_count, called_in_second, lister);
    if (alike && in_order && levels[0] == levels[1]) {
        return;
    }
    /* More values take in what was refused; fewer leave less that one which was not seen may be. Without
     * levels, one that got better needs no word of repair. */
    add(lister, text_format(arena, "observation %s", a->name),
        observation_words(arena, a, lister->names), observation_words(arena, b, NULL), a->span,
        b->span, !alike || levels[0]);
}

static void list_observations(struct lister *lister)
{
    const struct book *first = lister->books[0], *second = lister->books[1];
    for (uint32_t i = 0; i < first->observation_count; i++) {
        for (uint32_t j = 0; j < second->observation_count; j++) {
            const struct observation *a = &first->observations[i], *b = &second->observations[j];
            if (is_called(lister, a->name, b->name)) {
                list_observation(lister, a, b);
            }
        }
    }
}

/* ---- parts --------------------------------------------------------------------------------------------- */

static void meeting_words(struct text *text, struct arena *arena, const struct part *part,
                          const struct pair_names *renamed)
{
    bool rounded;
    for (uint32_t m = 0; m < part->meeting_count; m++) {
        const struct axis *axis = &part->axes[part->meetings[m].axis];
        text_addf(text, "%s %s %s", m ? "," : " meeting at", pair_name(renamed, axis->name),
                  quantity_text(arena, part->meetings[m].at, axis->unit, NUMBER_DOWN, &rounded));
    }
}

static const char *part_words(struct arena *arena, const struct part *part,
                              const struct pair_names *renamed)
{
    struct text text;
    text_begin(&text, arena);
    if (part->count == PART_COUNTED) {
        text_addf(&text, "%u .. %u of it", part->least, part->most);
    } else if (part->count == PART_ON_EACH) {
        text_addf(&text, "one on each %s", pair_name(renamed, part->each_of->name));
    } else {
        text_add(&text, "one");
    }
    text_add(&text, part->where_fitted ? ", where fitted" : "");
    text_add(&text, part->search ? ", searched" : "");
    for (uint32_t a = 0; a < part->axis_count; a++) {
        const struct axis *axis = &part->axes[a];
        bool rounded;
        text_addf(&text, ", %s %s", pair_name(renamed, axis->name),
                  range_words(arena, axis->from, axis->to, axis->unit));
        if (axis->has_step) {
            text_addf(&text, " read to %s",
                      quantity_text(arena, axis->step, axis->unit, NUMBER_DOWN, &rounded));
        }
    }
    text_addf(&text, "%s%s", part->side_count ? ", " : "",
              names_words(arena, part->sides, part->side_count, renamed));
    meeting_words(&text, arena, part, renamed);
    text_addf(&text, "%s%s", part->place_count ? ", " : "",
              names_words(arena, part->places, part->place_count, renamed));
    return text_done(&text);
}

/* What is the same, or only narrower: what is left out by a part's axes, sides and places. */
struct likeness {
    bool same, loosens;
};

static void compare_axes(struct lister *lister, const struct part *a, const struct part *b,
                         struct likeness *likeness)
{
    likeness->same = likeness->same && a->axis_count == b->axis_count;
    for (uint32_t i = 0; i < a->axis_count; i++) {
        for (uint32_t j = 0; j < b->axis_count; j++) {
            const struct axis *x = &a->axes[i], *y = &b->axes[j];
            if (!is_called(lister, x->name, y->name)) {
                continue;
            }
            /* Longer takes in what was refused; shorter leaves fewer places for damage whose place was not
             * written; a coarser step lets readings differ by more. */
            struct number steps[2] = {axis_fineness(x), axis_fineness(y)};
            bool in_range = number_equal(x->from, y->from) && number_equal(x->to, y->to);
            likeness->same = likeness->same && in_range && number_equal(steps[0], steps[1]);
            likeness->loosens = likeness->loosens || !in_range ||
                                number_compare(lister->arena, steps[1], steps[0]) > 0;
        }
    }
}

/* How many edges at which a's sides meet are such edges of b. */
static uint32_t common_meetings(const struct lister *lister, const struct part *a,
                                const struct part *b)
{
    uint32_t common = 0;
    for (uint32_t i = 0; i < a->meeting_count; i++) {
        for (uint32_t j = 0; j < b->meeting_count; j++) {
            common += is_called(lister, a->axes[a->meetings[i].axis].name,
                                b->axes[b->meetings[j].axis].name) &&
                      number_equal(a->meetings[i].at, b->meetings[j].at);
        }
    }
    return common;
}

/* Does what an expression comes to depend on an inspection before? */
static bool asks_before(const struct expression *expression)
{
    if (!expression) {
        return false;
    }
    expression = expression_see_through(expression);
    return expression->sort == EXPRESSION_GROWTH || expression->sort == EXPRESSION_SEEN ||
           asks_before(expression->left) || asks_before(expression->right);
}

static bool part_asks_before(const struct book *book, const struct part *part)
{
    bool asks = false;
    for (uint32_t l = 0; l < book->limit_count; l++) {
        const struct limit *limit = &book->limits[l];
        for (uint32_t r = 0; limit->zone->part == part && r < limit->rung_count; r++) {
            for (uint32_t c = 0; c < limit->rungs[r].condition_count; c++) {
                const struct condition *condition = &limit->rungs[r].conditions[c];
                asks |= asks_before(condition->left) || asks_before(condition->right);
            }
        }
    }
    return asks;
}

/* Less is searched; or what is searched makes damage that no earlier record has new, which has not grown. */
static bool search_loosens(const struct lister *lister, const struct part *a, const struct part *b)
{
    return a->search ? !b->search : b->search && part_asks_before(lister->books[1], b);
}

static struct likeness part_likeness(struct lister *lister, const struct part *a,
                                     const struct part *b)
{
    bool on_each = a->count == PART_ON_EACH && b->count == PART_ON_EACH;
    bool other_each = on_each && !is_called(lister, a->each_of->name, b->each_of->name);
    uint32_t sides =
        common_names(lister->names, a->sides, a->side_count, b->sides, b->side_count);
    uint32_t places =
        common_names(lister->names, a->places, a->place_count, b->places, b->place_count);
    uint32_t meetings = common_meetings(lister, a, b);
    bool counted = a->count == PART_COUNTED && b->count == PART_COUNTED;
    struct likeness likeness = {
        .same = sides == a->side_count && sides == b->side_count && places == a->place_count &&
                places == b->place_count && meetings == a->meeting_count &&
                meetings == b->meeting_count && a->count == b->count &&
                (!counted || (a->least == b->least && a->most == b->most)) &&
                a->where_fitted == b->where_fitted && !a->search == !b->search && !other_each,
        .loosens = sides < b->side_count || places < b->place_count || places < a->place_count ||
                   meetings < a->meeting_count || search_loosens(lister, a, b) || other_each ||
                   (!a->where_fitted && b->where_fitted) || a->count != b->count ||
                   (counted && (b->most > a->most || b->least < a->least)),
    };
    compare_axes(lister, a, b, &likeness);
    return likeness;
}

static void list_parts(struct lister *lister)
{
    struct arena *arena = lister->arena;
    const struct book *first = lister->books[0], *second = lister->books[1];
    for (uint32_t i = 0; i < first->part_count; i++) {
        const struct part *a = &first->parts[i];
        const struct part *b = book_find_part(second, pair_name(lister->names, a->name));
        struct likeness likeness = b ? part_likeness(lister, a, b) : (struct likeness){false, true};
        if (!likeness.same) {
            add(lister, text_format(arena, "part %s", a->name), part_words(arena, a, lister->names),
                b ? part_words(arena, b, NULL) : "", a->span, b ? b->span : nowhere,
                likeness.loosens);
        }
    }
    for (uint32_t j = 0; j < second->part_count; j++) {
        bool known = false;
        for (uint32_t i = 0; i < first->part_count; i++) {
            known = known || is_called(lister, first->parts[i].name, second->parts[j].name);
        }
        if (!known) {
            const struct part *part = &second->parts[j];
            add(lister, text_format(arena, "part %s", part->name), "",
                part_words(arena, part, NULL), nowhere, part->span, false);
        }
    }
}

/* ---- kinds and checks ---------------------------------------------------------------------------------- */

/* The axis along which a record is measured on the kind's parts: they share its name. */
static const char *along_of(const struct kind *kind, const struct recorded *record)
{
    for (uint32_t p = 0; record->has_along && p < kind->part_count; p++) {
        if (record->along[p] >= 0) {
            return kind->parts[p]->axes[record->along[p]].name;
        }
    }
    return "";
}

static const char *kind_words(struct arena *arena, const struct kind *kind,
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
        const char *along = along_of(kind, &kind->records[r]);
        text_add(&text, r ? ", " : " records ");
        text_add(&text, pair_name(renamed, kind->records[r].name));
        text_addf(&text, "%s%s", along[0] ? " along " : "", pair_name(renamed, along));
    }
    if (kind->each_side) {
        text_addf(&text, ", each side where %s", pair_name(renamed, kind->each_side->name));
    }
    return text_done(&text);
}

static const struct recorded *record_called(const struct lister *lister, const struct kind *kind,
                                            const char *first)
{
    for (uint32_t r = 0; r < kind->record_count; r++) {
        if (is_called(lister, first, kind->records[r].name)) {
            return &kind->records[r];
        }
    }
    return NULL;
}

/*
 * What is recorded: a measure that the second does not ask for is free in it, so that its answer counts the worst;
 * but damage that has no length along an axis any more is one place.
 */
static void compare_records(struct lister *lister, const struct kind *a, const struct kind *b,
                            struct likeness *likeness)
{
    likeness->same = likeness->same && a->record_count == b->record_count;
    for (uint32_t r = 0; r < a->record_count; r++) {
        const char *along = along_of(a, &a->records[r]);
        const struct recorded *other = record_called(lister, b, a->records[r].name);
        bool as_long = other && is_called(lister, along, along_of(b, other));
        likeness->same = likeness->same && as_long;
        likeness->loosens = likeness->loosens || (along[0] && !as_long);
    }
}

static struct likeness kind_likeness(struct lister *lister, const struct kind *a,
                                     const struct kind *b)
{
    uint32_t common = 0;
    for (uint32_t i = 0; i < a->part_count; i++) {
        for (uint32_t j = 0; j < b->part_count; j++) {
            common += is_called(lister, a->parts[i]->name, b->parts[j]->name);
        }
    }
    bool each = a->each_side && b->each_side
                    ? is_called(lister, a->each_side->name, b->each_side->name)
                    : a->each_side == b->each_side;
    struct likeness likeness = {
        .same = common == a->part_count && common == b->part_count && each,
        .loosens = common < a->part_count || common < b->part_count || !each,
    };
    compare_records(lister, a, b, &likeness);
    return likeness;
}

static const char *kind_title(struct arena *arena, const struct kind *kind)
{
    return text_format(arena, "%s %s", kind->is_check ? "check" : "kind", kind->name);
}

static void list_kinds(struct lister *lister)
{
    struct arena *arena = lister->arena;
    const struct book *first = lister->books[0], *second = lister->books[1];
    for (uint32_t i = 0; i < first->kind_count; i++) {
        const struct kind *a = &first->kinds[i];
        const struct kind *b = book_find_kind(second, pair_name(lister->names, a->name));
        struct likeness likeness = b ? kind_likeness(lister, a, b) : (struct likeness){false, true};
        if (b && a->is_check != b->is_check) {
            likeness = (struct likeness){false, true};
        }
        if (!likeness.same) {
            add(lister, kind_title(arena, a), kind_words(arena, a, lister->names),
                b ? kind_words(arena, b, NULL) : "", a->span, b ? b->span : nowhere,
                likeness.loosens);
        }
    }
    for (uint32_t j = 0; j < second->kind_count; j++) {
        const struct kind *kind = &second->kinds[j];
        bool known = false;
        for (uint32_t i = 0; i < first->kind_count; i++) {
            known = known || is_called(lister, first->kinds[i].name, kind->name);
        }
        if (!known) {
            /* A check that is new only asks for more. */
            add(lister, kind_title(arena, kind), "", kind_words(arena, kind, NULL), nowhere,
                kind->span, !kind->is_check);
        }
    }
}

void unlike_list(struct arena *arena, const struct book *first, const struct book *second,
                 const struct pair_names *names, struct stave_compared *compared)
{
    struct lister lister = {.arena = arena, .books = {first, second}, .names = names};
    list_scales(&lister);
    list_judging(&lister);
    list_names(&lister);
    list_facts(&lister);
    list_taken(&lister);
    list_moved(&lister, 0);
    list_moved(&lister, 1);
    list_parts(&lister);
    list_measures(&lister);
    list_observations(&lister);
    list_kinds(&lister);
    compared->unlike = lister.items;
    compared->unlike_count = lister.count;
}
