/* A book as a list of entries. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "prove/changes.h"

struct collector {
    struct arena *arena;
    const struct renames *renames;
    struct entries entries;
};

/* ---- lines as marks -------------------------------------------------------------------- */

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || (unsigned char)c >= 0x80;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* A line under the reader's eye; what is read of a figure waits for its unit. */
struct cursor {
    struct arena *arena;
    const char *at, *end;
};

static void skip_blanks(struct cursor *cursor)
{
    while (cursor->at < cursor->end) {
        if (*cursor->at == '#') {
            const char *stop = memchr(cursor->at, '\n', (size_t)(cursor->end - cursor->at));
            cursor->at = stop ? stop : cursor->end;
        } else if (is_blank(*cursor->at)) {
            cursor->at++;
        } else {
            return;
        }
    }
}

/* "12", "0.030", "1/16", "1 1/16". */
static const char *figure_end(const struct cursor *cursor)
{
    const char *at = cursor->at, *end = cursor->end;
    while (at < end &&
           (is_digit(*at) || *at == '/' || (*at == '.' && at + 1 < end && is_digit(at[1])))) {
        at++;
    }
    const char *more = at;
    while (more < end && *more == ' ') {
        more++;
    }
    const char *digits = more;
    while (more < end && is_digit(*more)) {
        more++;
    }
    if (more > digits && digits > at && more < end && *more == '/' &&
        !memchr(cursor->at, '/', (size_t)(at - cursor->at))) {
        for (more++; more < end && is_digit(*more);) {
            more++;
        }
        return more;
    }
    return at;
}

static const struct unit *read_unit(struct cursor *cursor)
{
    struct cursor ahead = *cursor;
    skip_blanks(&ahead);
    const char *stop = ahead.at;
    while (stop < ahead.end && !is_blank(*stop) && *stop != ',' && *stop != ')' && *stop != '#') {
        stop++;
    }
    const struct unit *unit = unit_find(ahead.at, (size_t)(stop - ahead.at));
    if (unit) {
        cursor->at = stop;
    }
    return unit;
}

/* The unit that stands once, at the end of "6 .. 52 in" or "2 +/- 1 in". */
static const struct unit *unit_ahead(const struct cursor *cursor)
{
    struct cursor ahead = *cursor;
    skip_blanks(&ahead);
    size_t left = (size_t)(ahead.end - ahead.at);
    size_t sign = left > 2 && strncmp(ahead.at, "..", 2) == 0    ? 2
                  : left > 3 && strncmp(ahead.at, "+/-", 3) == 0 ? 3
                                                                 : 0;
    if (!sign) {
        return NULL;
    }
    ahead.at += sign;
    skip_blanks(&ahead);
    if (ahead.at == ahead.end || !is_digit(*ahead.at)) {
        return NULL;
    }
    ahead.at = figure_end(&ahead);
    const struct unit *unit = read_unit(&ahead);
    return unit ? unit : unit_ahead(&ahead);
}

static struct mark read_figure(struct cursor *cursor)
{
    const char *start = cursor->at;
    cursor->at = figure_end(cursor);
    size_t size = (size_t)(cursor->at - start);
    struct number number;
    if (number_read(cursor->arena, start, size, &number) != NUMBER_GOOD) {
        return (struct mark){arena_copy_text(cursor->arena, start, size), false};
    }
    const struct unit *unit = read_unit(cursor);
    unit = unit ? unit : unit_ahead(cursor);
    if (unit) {
        number = number_multiply(cursor->arena, number, unit->factor);
    }
    return (struct mark){
        text_format(cursor->arena, "%s %s", number_fraction(cursor->arena, number),
                    unit ? dimension_name(cursor->arena, unit->dimension) : "a figure"),
        true};
}

static struct mark read_mark(struct cursor *cursor, const struct renames *renames)
{
    const char *start = cursor->at;
    if (is_digit(*start)) {
        return read_figure(cursor);
    }
    if (*start == '"') {
        for (cursor->at++; cursor->at < cursor->end && *cursor->at != '"'; cursor->at++) {
            cursor->at += *cursor->at == '\\' && cursor->at + 1 < cursor->end;
        }
        cursor->at += cursor->at < cursor->end;
    } else if (is_letter(*start)) {
        while (cursor->at < cursor->end &&
               (is_letter(*cursor->at) || is_digit(*cursor->at) || *cursor->at == '-')) {
            cursor->at++;
        }
        const char *word = arena_copy_text(cursor->arena, start, (size_t)(cursor->at - start));
        return (struct mark){rename_text(renames, word), false};
    } else {
        cursor->at++;
    }
    return (struct mark){arena_copy_text(cursor->arena, start, (size_t)(cursor->at - start)),
                         false};
}

static void read_marks(struct collector *collector, struct span span, struct entry_line *line)
{
    if (!span.source) {
        return;
    }
    struct cursor cursor = {collector->arena, span.source->bytes + span.from,
                            span.source->bytes + span.to};
    size_t capacity = 0;
    for (skip_blanks(&cursor); cursor.at < cursor.end; skip_blanks(&cursor)) {
        struct mark mark = read_mark(&cursor, collector->renames);
        *ARENA_PUSH(collector->arena, line->marks, line->count, capacity) = mark;
    }
}

bool lines_same(const struct entry_line *a, const struct entry_line *b)
{
    for (uint32_t i = 0; a->count == b->count && i < a->count; i++) {
        if (strcmp(a->marks[i].text, b->marks[i].text) != 0) {
            return false;
        }
    }
    return a->count == b->count;
}

/* What follows the value of a figure: its dimension. */
static const char *dimension_of(const struct mark *mark)
{
    return strchr(mark->text, ' ');
}

bool lines_alike(const struct entry_line *a, const struct entry_line *b)
{
    if (a->count != b->count) {
        return false;
    }
    for (uint32_t i = 0; i < a->count; i++) {
        const struct mark *x = &a->marks[i], *y = &b->marks[i];
        bool figures = x->figure && y->figure;
        if (strcmp(figures ? dimension_of(x) : x->text, figures ? dimension_of(y) : y->text) != 0) {
            return false;
        }
    }
    return true;
}

/* ---- entries ------------------------------------------------------------------------------ */

static struct entry *add_entry(struct collector *collector, const char *sort, const char *name,
                               const char *key)
{
    struct entries *entries = &collector->entries;
    struct entry *entry =
        ARENA_PUSH(collector->arena, entries->items, entries->count, entries->capacity);
    *entry = (struct entry){.sort = sort, .name = name, .key = key};
    return entry;
}

/* A line that says `said`, which is shown as the whole of `span`. */
static void add_part(struct collector *collector, struct entry *entry, struct span span,
                     struct span said, const char *anchor)
{
    struct entry_line *line =
        ARENA_PUSH(collector->arena, entry->lines, entry->count, entry->capacity);
    *line = (struct entry_line){.span = span, .anchor = rename_text(collector->renames, anchor)};
    read_marks(collector, said, line);
}

static void add_line(struct collector *collector, struct entry *entry, struct span span,
                     const char *anchor)
{
    add_part(collector, entry, span, span, anchor);
}

/* An entry of one line under one name, which is no part of what it says. */
static struct entry *add_named(struct collector *collector, const char *sort,
                               const struct tree_word *name, struct span span)
{
    struct entry *entry =
        add_entry(collector, sort, name->text, rename_text(collector->renames, name->text));
    struct span said = {span.source, name->span.to, span.to};
    add_part(collector, entry, span, said, "");
    return entry;
}

static void add_words(struct collector *collector, struct entry *entry,
                      const struct tree_words *words, const char *anchor)
{
    for (; words; words = words->next) {
        add_line(collector, entry, words->word.span, anchor);
    }
}

/* ---- names of ladders --------------------------------------------------------------------- */

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* "gouge, nick", sorted where `key`: an order says nothing. */
static const char *words_text(struct collector *collector, const struct tree_words *words, bool key)
{
    const char **names = NULL;
    size_t count = 0, capacity = 0;
    for (; words; words = words->next) {
        *ARENA_PUSH(collector->arena, names, count, capacity) =
            key ? rename_text(collector->renames, words->word.text) : words->word.text;
    }
    if (key && count > 1) {
        qsort(names, count, sizeof *names, by_text);
    }
    struct text text;
    text_begin(&text, collector->arena);
    for (size_t i = 0; i < count; i++) {
        text_add(&text, i ? ", " : "");
        text_add(&text, names[i]);
    }
    return text_done(&text);
}

static const char *ladder_text(struct collector *collector, const char *kinds,
                               const struct tree_words *zones, bool key)
{
    return text_format(collector->arena, "%s on %s", kinds, words_text(collector, zones, key));
}

/* ---- the sorts ------------------------------------------------------------------------------- */

static void collect_head(struct collector *collector, const struct tree *tree)
{
    const struct tree_head *head = tree->head;
    if (!head) {
        return;
    }
    if (head->judge.source) {
        add_line(collector, add_entry(collector, "way to judge", "", ""), head->judge, "");
    }
    for (const struct tree_words *caution = head->cautions; caution; caution = caution->next) {
        add_line(collector, add_entry(collector, "caution", "", caution->word.text),
                 caution->word.span, "");
    }
}

/* Which propellers it is for. Of a family, the lines of all models: who is of one decides who is of the others. No
 * mapping speaks of any of these. */
static void collect_models(struct collector *collector, const struct tree *tree)
{
    const struct renames *renames = collector->renames;
    const struct tree_words *names = tree->head ? tree->head->models : NULL;
    collector->renames = NULL;
    for (; names; names = names->next) {
        add_named(collector, "for model", &names->word, names->word.span);
    }
    for (const struct tree_fact *fact = tree->facts; fact; fact = fact->next) {
        add_named(collector, "fact", &fact->name, fact->span);
    }
    for (const struct tree_model *model = tree->models; model; model = model->next) {
        add_named(collector, "model", &model->name, model->span);
    }
    collector->renames = renames;
}

static void collect_scale(struct collector *collector, const struct tree *tree)
{
    if (!tree->scale) {
        return;
    }
    struct entry *order = add_entry(collector, "scale", "", "");
    add_line(collector, order, tree->scale->span, "");
    for (const struct tree_outcome *outcome = tree->scale->outcomes; outcome;
         outcome = outcome->next) {
        add_line(collector, order, outcome->span, outcome->name.text);
    }
    if (tree->scale->no_flight.source) {
        add_line(collector, order, tree->scale->no_flight, "no flight");
    }
}

static void collect_parts(struct collector *collector, const struct tree *tree)
{
    for (const struct tree_part *part = tree->parts; part; part = part->next) {
        struct entry *entry = add_named(collector, "part", &part->name, part->span);
        for (const struct tree_axis *axis = part->axes; axis; axis = axis->next) {
            add_line(collector, entry, axis->span, axis->name.text);
        }
        add_words(collector, entry, part->sides, "side");
        for (const struct tree_meeting *meeting = part->meetings; meeting;
             meeting = meeting->next) {
            add_line(collector, entry, span_join(meeting->axis.span, meeting->at.span), "meet");
        }
        add_words(collector, entry, part->places, "place");
    }
    for (const struct tree_search *search = tree->searches; search; search = search->next) {
        add_named(collector, "search", &search->part, search->span);
    }
}

static void collect_names(struct collector *collector, const struct tree *tree)
{
    for (const struct tree_zone *zone = tree->zones; zone; zone = zone->next) {
        add_named(collector, "zone", &zone->name, zone->span);
    }
    for (const struct tree_measure *measure = tree->measures; measure; measure = measure->next) {
        add_named(collector, "measure", &measure->name, measure->span);
    }
    for (const struct tree_observe *observe = tree->observes; observe; observe = observe->next) {
        add_named(collector, "observation", &observe->name, observe->span);
    }
    for (const struct tree_reckon *reckon = tree->reckons; reckon; reckon = reckon->next) {
        add_named(collector, "reckoned name", &reckon->name, reckon->span);
    }
}

static void collect_kinds(struct collector *collector, const struct tree *tree)
{
    for (const struct tree_kind *kind = tree->kinds; kind; kind = kind->next) {
        for (const struct tree_words *name = kind->names; name; name = name->next) {
            struct entry *entry = add_entry(collector, "kind", name->word.text,
                                            rename_text(collector->renames, name->word.text));
            struct span said = {kind->span.source,
                                kind->parts ? kind->parts->word.span.from : kind->span.to,
                                kind->span.to};
            add_part(collector, entry, kind->span, said, "");
            add_words(collector, entry, kind->looks, "look");
            add_words(collector, entry, kind->cautions, "caution");
            if (kind->each_side.text) {
                add_line(collector, entry, kind->each_side.span, "each side");
            }
        }
    }
}

static void collect_curves(struct collector *collector, const struct tree *tree)
{
    for (const struct tree_curve *curve = tree->curves; curve; curve = curve->next) {
        struct entry *entry = add_named(collector, "curve", &curve->name, curve->span);
        for (const struct tree_point *point = curve->points; point; point = point->next) {
            add_line(collector, entry, point->span,
                     number_fraction(collector->arena, point->at.value));
        }
    }
}

static void add_rungs(struct collector *collector, struct entry *entry,
                      const struct tree_rung *rungs)
{
    for (const struct tree_rung *rung = rungs; rung; rung = rung->next) {
        const char *outcome = rung->outcome.text ? rung->outcome.text : "no published limit";
        add_line(collector, entry, rung->span, outcome);
    }
}

/* What a head says behind its names. */
static struct span behind(struct span head, const struct tree_words *names)
{
    while (names && names->next) {
        names = names->next;
    }
    return (struct span){head.source, names ? names->word.span.to : head.to, head.to};
}

static void collect_ladders(struct collector *collector, const struct tree *tree)
{
    for (const struct tree_limit *limit = tree->limits; limit; limit = limit->next) {
        struct entry *entry = add_entry(
            collector, "limit",
            ladder_text(collector, words_text(collector, limit->kinds, false), limit->zones, false),
            ladder_text(collector, words_text(collector, limit->kinds, true), limit->zones, true));
        add_part(collector, entry, limit->head, behind(limit->head, limit->zones), "");
        add_rungs(collector, entry, limit->rungs);
    }
    for (const struct tree_check *check = tree->checks; check; check = check->next) {
        struct entry *entry = add_named(collector, "check", &check->name, check->head);
        add_words(collector, entry, check->looks, "look");
        add_words(collector, entry, check->cautions, "caution");
        add_rungs(collector, entry, check->rungs);
    }
}

struct entries entries_of(struct arena *arena, const struct book *book,
                          const struct renames *renames)
{
    static void (*const sorts[])(struct collector *, const struct tree *) = {
        collect_head,  collect_models, collect_scale,  collect_parts,
        collect_names, collect_kinds,  collect_curves, collect_ladders};
    struct collector collector = {.arena = arena, .renames = renames};
    for (size_t i = 0; i < sizeof sorts / sizeof *sorts; i++) {
        for (uint32_t t = 0; t < book->tree_count; t++) {
            sorts[i](&collector, book->trees[t]);
        }
    }
    return collector.entries;
}
