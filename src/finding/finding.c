/* A finding line against a book: the part, the kind, and then what was read and where. */
#include "finding/finding.h"

#include <string.h>

#include "base/text.h"
#include "finding/resolve.h"

/* ---- parts --------------------------------------------------------------------- */

/* The part whose count decides: the blade, for a boot on each blade. */
static const struct part *counting_part(const struct part *part)
{
    while (part->count == PART_ON_EACH && part->each_of) {
        part = part->each_of;
    }
    return part;
}

static bool is_single(const struct part *part)
{
    return counting_part(part)->count != PART_COUNTED;
}

const char *finding_part_name(struct arena *arena, const struct part *part, uint32_t instance)
{
    return is_single(part) || !instance ? part->name
                                        : text_format(arena, "%s %u", part->name, instance);
}

static const struct part *part_resolve(struct resolving *resolving, struct tree_word name)
{
    const struct book *book = resolving->book;
    const struct part *part = book_find_part(book, name.text);
    if (!part) {
        const char **names = ARENA_ARRAY(resolving->arena, const char *, book->part_count);
        for (uint32_t i = 0; i < book->part_count; i++) {
            names[i] = book->parts[i].name;
        }
        struct stave_problem *problem =
            problem_add(resolving->problems, STAVE_ERROR, "unknown-name", name.span,
                        "unknown part '%s'", name.text);
        name_help(resolving, problem, name.text, names, book->part_count, "parts of this book");
    }
    return part;
}

/* A whole number from 1 to 999, or 0. */
static uint32_t whole_number(const char *text)
{
    uint32_t value = 0;
    size_t size = strlen(text);
    if (size == 0 || size > 3 || text[0] == '0') {
        return 0;
    }
    for (size_t i = 0; i < size; i++) {
        if (text[i] < '0' || text[i] > '9') {
            return 0;
        }
        value = value * 10 + (uint32_t)(text[i] - '0');
    }
    return value;
}

static void no_such_instance(struct resolving *resolving, const struct part *part,
                             struct tree_word number, uint32_t most, bool counted)
{
    struct stave_problem *problem =
        problem_add(resolving->problems, STAVE_ERROR, "no-such-instance", number.span,
                    "there is no '%s %s'", part->name, number.text);
    if (is_single(part)) {
        problem_help(problem, resolving->problems, "there is one '%s': leave out its number",
                     part->name);
    } else if (counted) {
        problem_help(problem, resolving->problems, "this propeller has %s 1 to %u", part->name,
                     most);
    } else {
        problem_help(problem, resolving->problems, "in this book they are counted from 1 to %u",
                     most);
    }
}

/* True with the instance in *instance. */
static bool instance_resolve(struct resolving *resolving, const struct part *part,
                             const struct tree_finding *line, const struct finding_counts *counts,
                             uint32_t *instance)
{
    uint32_t most = is_single(part) ? 1 : counting_part(part)->most;
    if (counts) {
        most = counts->instances[part->index];
    }
    *instance = 0;
    if (!most) {
        problem_help(problem_add(resolving->problems, STAVE_ERROR, "not-fitted", line->part.span,
                                 "'%s' is not fitted on this propeller", part->name),
                     resolving->problems, "mend what the record says under 'fitted', or the part");
        return false;
    }
    if (!line->instance.text) {
        if (is_single(part)) {
            return true;
        }
        problem_help(problem_add(resolving->problems, STAVE_ERROR, "no-number", line->part.span,
                                 "no number after '%s'", part->name),
                     resolving->problems, "write which one it is, such as '%s 1'", part->name);
        return false;
    }
    *instance = whole_number(line->instance.text);
    if (!*instance || *instance > most) {
        no_such_instance(resolving, part, line->instance, most, counts != NULL);
        return false;
    }
    return true;
}

/* ---- kinds ---------------------------------------------------------------------------- */

static const struct kind *kind_resolve(struct resolving *resolving, struct tree_word name)
{
    const struct book *book = resolving->book;
    const struct kind *kind = book_find_kind(book, name.text);
    if (!kind) {
        const char **names = ARENA_ARRAY(resolving->arena, const char *, book->kind_count);
        for (uint32_t i = 0; i < book->kind_count; i++) {
            names[i] = book->kinds[i].name;
        }
        struct stave_problem *problem =
            problem_add(resolving->problems, STAVE_ERROR, "unknown-name", name.span,
                        "unknown kind '%s'", name.text);
        name_help(resolving, problem, name.text, names, book->kind_count, "kinds of this book");
    }
    return kind;
}

static bool kind_on_part(struct resolving *resolving, const struct kind *kind,
                         const struct part *part, struct tree_word name)
{
    if (kind_part_position(kind, part) >= 0) {
        return true;
    }
    const char **names = ARENA_ARRAY(resolving->arena, const char *, kind->part_count);
    for (uint32_t i = 0; i < kind->part_count; i++) {
        names[i] = kind->parts[i]->name;
    }
    problem_help(problem_add(resolving->problems, STAVE_ERROR, "not-on-part", name.span,
                             "the book knows no '%s' on '%s'", kind->name, part->name),
                 resolving->problems, "it is on: %s",
                 name_list(resolving->arena, names, kind->part_count));
    return false;
}

/* ---- the whole line ---------------------------------------------------------------------- */

static void layer_begin(struct resolving *resolving, bool in_with)
{
    const struct finding *finding = resolving->finding;
    struct arena *arena = resolving->arena;
    resolving->in_with = in_with;
    uint32_t records = finding->kind->record_count;
    struct span *said =
        ARENA_ARRAY(arena, struct span, 3 * (size_t)records + finding->part->axis_count);
    resolving->reading_said = said;
    resolving->earlier_said = said + records;
    resolving->first_said = said + 2 * (size_t)records;
    resolving->extent_said = said + 3 * (size_t)records;
    resolving->new_said = (struct span){0};
    resolving->side_said = resolving->place_said = (struct span){0};
}

static void finding_begin(struct resolving *resolving, const struct part *part,
                          const struct kind *kind, uint32_t instance, const char *id)
{
    struct finding *finding = ARENA_NEW(resolving->arena, struct finding);
    resolving->finding = finding;
    finding->id = id;
    finding->part = part;
    finding->kind = kind;
    finding->instance = instance;
    finding->text = finding->remark = "";
    resolving->single = ARENA_ARRAY(resolving->arena, bool, part->axis_count);
    readings_begin(resolving);
    extents_begin(resolving);
    layer_begin(resolving, false);
}

/* The line itself; false where there were problems. The finding has neither its text nor its remark. */
static bool line_begin(struct resolving *resolving, const struct tree_finding *line,
                       const struct finding_counts *counts, const char *id)
{
    size_t errors = resolving->problems->error_count;
    const struct part *part = part_resolve(resolving, line->part);
    const struct kind *kind = kind_resolve(resolving, line->kind);
    uint32_t instance = 0;
    bool known = part && instance_resolve(resolving, part, line, counts, &instance);
    if (!part || !kind || !kind_on_part(resolving, kind, part, line->kind) || !known) {
        return false;
    }
    finding_begin(resolving, part, kind, instance, id);
    for (const struct tree_place *place = line->places; place; place = place->next) {
        place_add(resolving, place);
    }
    for (const struct tree_reading *reading = line->readings; reading; reading = reading->next) {
        reading_add(resolving, reading);
    }
    return resolving->problems->error_count == errors;
}

/* What is added to the line, and what follows from all; NULL where there were problems. */
static struct finding *line_end(struct resolving *resolving, const struct tree_reading *with)
{
    size_t errors = resolving->problems->error_count;
    if (with) {
        layer_begin(resolving, true);
    }
    for (const struct tree_reading *reading = with; reading; reading = reading->next) {
        reading_add(resolving, reading);
    }
    if (resolving->problems->error_count != errors) {
        return NULL;
    }
    readings_finish(resolving);
    extents_finish(resolving);
    return resolving->problems->error_count == errors ? resolving->finding : NULL;
}

struct finding *finding_resolve(struct arena *arena, const struct book *book,
                                const struct tree_finding *line, const struct tree_reading *with,
                                const struct finding_counts *counts, const char *id,
                                struct problems *problems)
{
    struct resolving resolving = {.arena = arena, .book = book, .problems = problems};
    bool begun = line_begin(&resolving, line, counts, id);
    struct finding *finding = begun ? line_end(&resolving, with) : NULL;
    if (finding) {
        finding->text = span_text(arena, line->span);
        finding->remark = line->remark.text ? line->remark.text : "";
        finding->span = line->span;
    }
    return finding;
}

/* Room for one copy of a line at a time. */
struct line_room {
    struct finding finding;
    void *readings, *earlier, *first, *extents, *single; /* NULL: not taken yet */
};

static void *copy_into(struct arena *arena, void **room, const void *items, size_t size)
{
    if (!items || size == 0) {
        return NULL;
    }
    if (!*room) {
        *room = arena_take(arena, size);
    }
    return memcpy(*room, items, size);
}

/* A line that was begun, once more, to be ended apart. */
static struct resolving line_again(const struct resolving *begun, struct line_room *room)
{
    struct arena *arena = begun->arena;
    const struct finding *from = begun->finding;
    struct resolving again = *begun;
    size_t records = from->kind->record_count * sizeof *from->readings;
    size_t axes = from->part->axis_count;
    again.finding = &room->finding;
    room->finding = *from;
    room->finding.readings = copy_into(arena, &room->readings, from->readings, records);
    room->finding.earlier = copy_into(arena, &room->earlier, from->earlier, records);
    room->finding.first = copy_into(arena, &room->first, from->first, records);
    room->finding.extents =
        copy_into(arena, &room->extents, from->extents, axes * sizeof *from->extents);
    again.single = copy_into(arena, &room->single, begun->single, axes * sizeof *begun->single);
    return again;
}

void finding_check(struct arena *arena, const struct book *book, const struct tree_finding *line,
                   const struct tree_gives *gives, struct problems *problems)
{
    struct resolving begun = {.arena = arena, .book = book, .problems = problems};
    if (!line_begin(&begun, line, NULL, "")) {
        return;
    }
    struct line_room *room = ARENA_NEW(arena, struct line_room);
    struct resolving alone = line_again(&begun, room);
    if (!line_end(&alone, NULL)) {
        return; /* with more it would only say the same again */
    }
    for (; gives; gives = gives->next) {
        if (gives->finding == line && gives->with) {
            struct resolving more = line_again(&begun, room);
            line_end(&more, gives->with);
        }
    }
}

struct finding *finding_answer(struct arena *arena, const struct book *book,
                               const struct kind *check, const struct part *part, uint32_t instance,
                               const struct tree_reading *readings, struct span where,
                               struct problems *problems)
{
    struct resolving resolving = {.arena = arena, .book = book, .problems = problems};
    size_t errors = problems->error_count;
    finding_begin(&resolving, part, check, instance, "");
    for (const struct tree_reading *reading = readings; reading; reading = reading->next) {
        if (reading == readings) {
            reading_add_answer(&resolving, reading);
        } else {
            reading_add(&resolving, reading);
        }
    }
    if (problems->error_count == errors) {
        readings_finish(&resolving);
    }
    resolving.finding->text = span_text(arena, where);
    resolving.finding->span = where;
    return problems->error_count == errors ? resolving.finding : NULL;
}

/* ---- keeping ----------------------------------------------------------------------- */

static struct reading *readings_keep(struct arena *arena, const struct reading *readings,
                                     uint32_t count)
{
    if (!readings) {
        return NULL;
    }
    struct reading *kept = ARENA_ARRAY(arena, struct reading, count);
    for (uint32_t i = 0; i < count; i++) {
        kept[i] = readings[i];
        kept[i].low = number_copy(arena, readings[i].low);
        kept[i].high = number_copy(arena, readings[i].high);
        kept[i].middle = number_copy(arena, readings[i].middle);
    }
    return kept;
}

static struct extent *extents_keep(struct arena *arena, const struct extent *extents,
                                   uint32_t count)
{
    struct extent *kept = ARENA_ARRAY(arena, struct extent, count);
    for (uint32_t i = 0; i < count; i++) {
        kept[i] = extents[i];
        struct number *const numbers[] = {
            &kept[i].lo_low,      &kept[i].lo_high,      &kept[i].hi_low,
            &kept[i].hi_high,     &kept[i].read_lo_low,  &kept[i].read_lo_high,
            &kept[i].read_hi_low, &kept[i].read_hi_high,
        };
        for (size_t n = 0; n < sizeof numbers / sizeof *numbers; n++) {
            *numbers[n] = number_copy(arena, *numbers[n]);
        }
    }
    return kept;
}

struct finding *finding_keep(struct arena *arena, const struct finding *finding)
{
    struct finding *kept = ARENA_NEW(arena, struct finding);
    uint32_t records = finding->kind->record_count;
    *kept = *finding;
    kept->readings = readings_keep(arena, finding->readings, records);
    kept->earlier = readings_keep(arena, finding->earlier, records);
    kept->first = readings_keep(arena, finding->first, records);
    kept->extents = extents_keep(arena, finding->extents, finding->part->axis_count);
    kept->text = arena_copy_text(arena, finding->text, strlen(finding->text));
    kept->remark = arena_copy_text(arena, finding->remark, strlen(finding->remark));
    return kept;
}
