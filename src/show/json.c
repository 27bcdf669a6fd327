/* Verdict and problems as JSON. docs/verdict.schema.json is the contract: every member is always
 * there, names are those of stave.h, and figures are strings, so that none is ever rounded. */
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

#include "show/characters.h"
#include "show/show.h"

/* ---- building ----------------------------------------------------------------- */

/* Any text as a JSON string; a byte that is not UTF-8 becomes U+FFFD. NULL becomes null.
 * As everywhere here, NULL is given when there is no memory, and the caller's _new
 * functions then fail in turn. */
static json_t *string_value(const char *text)
{
    static const char replacement[] = "\xEF\xBF\xBD";
    if (!text) {
        return json_null();
    }
    char *clean = malloc(strlen(text) * (sizeof replacement - 1) + 1);
    if (!clean) {
        return NULL;
    }
    size_t size = 0;
    while (*text) {
        struct character character = character_read(text);
        const char *from = character.malformed ? replacement : text;
        size_t length = character.malformed ? sizeof replacement - 1 : character.length;
        memcpy(clean + size, from, length);
        size += length;
        text += character.length;
    }
    json_t *value = json_stringn(clean, size);
    free(clean);
    return value;
}

/* An object under construction. Once a member could not be made, all of it is given up. */
struct object {
    json_t *json;
    bool failed;
};

static struct object object_begin(void)
{
    json_t *json = json_object();
    return (struct object){json, json == NULL};
}

static void add(struct object *object, const char *name, json_t *value)
{
    if (object->failed) {
        json_decref(value);
    } else if (json_object_set_new(object->json, name, value) != 0) {
        object->failed = true;
    }
}

static void add_string(struct object *object, const char *name, const char *text)
{
    add(object, name, string_value(text));
}

static void add_count(struct object *object, const char *name, size_t count)
{
    add(object, name, json_integer((json_int_t)count));
}

static void add_bool(struct object *object, const char *name, bool value)
{
    add(object, name, json_boolean(value));
}

static json_t *object_done(struct object *object)
{
    if (object->failed) {
        json_decref(object->json);
        return NULL;
    }
    return object->json;
}

/* Appends; gives up the array when that cannot be done. */
static json_t *append(json_t *array, json_t *value)
{
    if (!array) {
        json_decref(value);
        return NULL;
    }
    if (json_array_append_new(array, value) != 0) {
        json_decref(array);
        return NULL;
    }
    return array;
}

static json_t *strings(const char *const *texts, size_t count)
{
    json_t *array = json_array();
    for (size_t i = 0; i < count; i++) {
        array = append(array, string_value(texts[i]));
    }
    return array;
}

/* An array of `count` things, each made by `make` from one of `items`. */
#define ARRAY_OF(array, make, items, count)                                                        \
    json_t *array = json_array();                                                                  \
    for (size_t at = 0; at < (count); at++) {                                                      \
        array = append(array, make(&(items)[at]));                                                 \
    }

/* ---- problems -------------------------------------------------------------------- */

static json_t *place_value(const struct stave_place *at)
{
    if (!at->text_name) {
        return json_null();
    }
    struct object object = object_begin();
    add_string(&object, "text_name", at->text_name);
    add_count(&object, "line", at->line);
    add_count(&object, "column", at->column);
    add_count(&object, "width", at->width);
    add_string(&object, "excerpt", at->excerpt ? at->excerpt : "");
    add_count(&object, "excerpt_column", at->excerpt_column);
    return object_done(&object);
}

static json_t *problem_value(const struct stave_problem *problem)
{
    struct object object = object_begin();
    add_string(&object, "severity", problem->severity == STAVE_ERROR ? "error" : "warning");
    add_string(&object, "code", problem->code);
    add_string(&object, "message", problem->message);
    add(&object, "at", place_value(&problem->at));
    add_string(&object, "second_message", problem->second_message);
    add(&object, "second", problem->second_message ? place_value(&problem->second) : json_null());
    add_string(&object, "help", problem->help);
    return object_done(&object);
}

/* ---- book ------------------------------------------------------------------------- */

static json_t *digest_value(const struct stave_digest *digest)
{
    struct object object = object_begin();
    add_string(&object, "name", digest->name);
    add_string(&object, "sha256", digest->sha256);
    return object_done(&object);
}

static json_t *outcome_value(const struct stave_outcome *outcome)
{
    struct object object = object_begin();
    add_string(&object, "name", outcome->name);
    add_string(&object, "meaning", outcome->meaning);
    add_bool(&object, "flight", outcome->flight);
    return object_done(&object);
}

static json_t *book_value(const struct stave_book_facts *book)
{
    ARRAY_OF(scale, outcome_value, book->scale, book->scale_count)
    ARRAY_OF(texts, digest_value, book->texts, book->text_count)
    struct object object = object_begin();
    add_string(&object, "id", book->id);
    add_string(&object, "title", book->title);
    add_string(&object, "edition", book->edition);
    add_string(&object, "dated", book->dated);
    add(&object, "models", strings(book->models, book->model_count));
    add(&object, "scale", scale);
    add(&object, "cautions", strings(book->cautions, book->caution_count));
    add(&object, "texts", texts);
    add_count(&object, "limit_count", book->limit_count);
    add_count(&object, "example_count", book->example_count);
    add_count(&object, "figure_count", book->figure_count);
    return object_done(&object);
}

/* ---- items ------------------------------------------------------------------------- */

static json_t *comparison_value(const struct stave_comparison *comparison)
{
    struct object object = object_begin();
    add_string(&object, "condition", comparison->condition);
    add_bool(&object, "holds", comparison->holds);
    add_string(&object, "name", comparison->name);
    add_string(&object, "reading", comparison->reading);
    add_string(&object, "relation", comparison->relation);
    add_string(&object, "limit", comparison->limit);
    add_bool(&object, "reading_rounded", comparison->reading_rounded);
    add_bool(&object, "limit_rounded", comparison->limit_rounded);
    add_string(&object, "reading_exact", comparison->reading_exact);
    add_string(&object, "limit_exact", comparison->limit_exact);
    add_string(&object, "where", comparison->where);
    add_string(&object, "company", comparison->company);
    return object_done(&object);
}

static json_t *reason_value(const struct stave_outcome *scale, const struct stave_reason *reason)
{
    ARRAY_OF(kept_from, comparison_value, reason->kept_from, reason->kept_from_count)
    ARRAY_OF(held, comparison_value, reason->held, reason->held_count)
    struct object object = object_begin();
    add_string(&object, "zone", reason->zone);
    add_string(&object, "limit", reason->limit);
    add_string(&object, "text_name", reason->text_name);
    add_count(&object, "line", reason->line);
    add_string(&object, "outcome", scale[reason->outcome].name);
    add_string(&object, "line_text", reason->line_text);
    add_string(&object, "source", reason->source);
    add_string(&object, "action", reason->action);
    add_string(&object, "note", reason->note);
    add_bool(&object, "governs", reason->governs);
    add(&object, "kept_from", kept_from);
    add(&object, "held", held);
    return object_done(&object);
}

static json_t *need_value(const struct stave_need *need)
{
    struct object object = object_begin();
    add_string(&object, "name", need->name);
    add_string(&object, "how", need->how);
    add_bool(&object, "settles", need->settles);
    return object_done(&object);
}

static json_t *deadline_value(const struct stave_deadline *deadline)
{
    struct object object = object_begin();
    add_bool(&object, "look_again", deadline->look_again);
    add_string(&object, "within", deadline->within);
    add_string(&object, "due", deadline->due);
    add_string(&object, "source", deadline->source);
    return object_done(&object);
}

static json_t *outcomes(const struct stave_outcome *scale, const uint32_t *which, size_t count)
{
    json_t *array = json_array();
    for (size_t i = 0; i < count; i++) {
        array = append(array, string_value(scale[which[i]].name));
    }
    return array;
}

static json_t *figure_value(const struct stave_figure *figure)
{
    struct object object = object_begin();
    add_string(&object, "exact", figure->exact);
    add_string(&object, "decimal", figure->decimal);
    add_string(&object, "unit", figure->unit);
    add_bool(&object, "rounded", figure->rounded);
    return object_done(&object);
}

static json_t *reading_value(const struct stave_reading *reading)
{
    struct object object = object_begin();
    add_string(&object, "name", reading->name);
    add_string(&object, "shown", reading->shown);
    add_bool(&object, "given", reading->given);
    add(&object, "low", reading->measured ? figure_value(&reading->low) : json_null());
    add(&object, "high", reading->measured ? figure_value(&reading->high) : json_null());
    return object_done(&object);
}

static json_t *extent_value(const struct stave_extent *extent)
{
    struct object object = object_begin();
    add_string(&object, "axis", extent->axis);
    add_string(&object, "shown", extent->shown);
    add_bool(&object, "given", extent->given);
    add_bool(&object, "point", extent->point);
    add(&object, "start_low", figure_value(&extent->start_low));
    add(&object, "start_high", figure_value(&extent->start_high));
    add(&object, "end_low", figure_value(&extent->end_low));
    add(&object, "end_high", figure_value(&extent->end_high));
    return object_done(&object);
}

static json_t *side_value(const struct stave_on_side *side)
{
    struct object object = object_begin();
    add_string(&object, "side", side->side);
    add_bool(&object, "certain", side->certain);
    add_bool(&object, "at_meeting", side->at_meeting);
    return object_done(&object);
}

/* What was recorded and where, as it was judged. */
static void add_recorded(struct object *object, const struct stave_item *item)
{
    ARRAY_OF(readings, reading_value, item->readings, item->reading_count)
    ARRAY_OF(extents, extent_value, item->extents, item->extent_count)
    ARRAY_OF(sides, side_value, item->sides, item->side_count)
    add(object, "readings", readings);
    add(object, "extents", extents);
    add(object, "sides", sides);
    add(object, "places", strings(item->places, item->place_count));
}

static void add_judgement(struct object *object, const struct stave_outcome *scale,
                          const struct stave_item *item)
{
    json_t *reasons = json_array();
    for (size_t i = 0; i < item->reason_count; i++) {
        reasons = append(reasons, reason_value(scale, &item->reasons[i]));
    }
    ARRAY_OF(needs, need_value, item->needs, item->need_count)
    ARRAY_OF(deadlines, deadline_value, item->deadlines, item->deadline_count)
    add_string(object, "outcome", scale[item->outcome].name);
    add(object, "possible", outcomes(scale, item->possible, item->possible_count));
    add_string(object, "guarded_outcome",
               item->guarded_outcome < 0 ? NULL : scale[item->guarded_outcome].name);
    add_string(object, "why_incomplete", item->why_incomplete);
    add(object, "zones", strings(item->zones, item->zone_count));
    add_string(object, "uncovered", item->uncovered);
    add(object, "reasons", reasons);
    add(object, "needs", needs);
    add(object, "deadlines", deadlines);
}

static json_t *item_value(const struct stave_outcome *scale, const struct stave_item *item)
{
    static const char *const sorts[] = {"finding", "check", "search"};
    struct object object = object_begin();
    add_string(&object, "item", sorts[item->item]);
    add_string(&object, "id", item->id);
    add_string(&object, "part", item->part);
    add_count(&object, "part_index", item->part_index);
    add_string(&object, "kind", item->kind);
    add_string(&object, "text", item->text);
    add_string(&object, "remark", item->remark);
    add_count(&object, "record_line", item->record_line);
    add_recorded(&object, item);
    add_judgement(&object, scale, item);
    return object_done(&object);
}

static json_t *part_value(const struct stave_outcome *scale, const struct stave_part_verdict *part)
{
    struct object object = object_begin();
    add_string(&object, "part", part->part);
    add_string(&object, "outcome", scale[part->outcome].name);
    add_string(&object, "best", scale[part->best].name);
    return object_done(&object);
}

/* ---- verdict -------------------------------------------------------------------------- */

static void add_items(struct object *object, const stave_verdict *verdict)
{
    const struct stave_outcome *scale = verdict->book->scale;
    json_t *items = json_array();
    for (size_t i = 0; i < verdict->item_count; i++) {
        items = append(items, item_value(scale, &verdict->items[i]));
    }
    json_t *parts = json_array();
    for (size_t i = 0; i < verdict->part_count; i++) {
        parts = append(parts, part_value(scale, &verdict->parts[i]));
    }
    add(object, "items", items);
    add(object, "parts", parts);
}

static json_t *verdict_value(const stave_verdict *verdict)
{
    static const char *const flights[] = {"yes", "no", "not known yet"};
    ARRAY_OF(needs, need_value, verdict->needs, verdict->need_count)
    ARRAY_OF(deadlines, deadline_value, verdict->deadlines, verdict->deadline_count)
    ARRAY_OF(texts, digest_value, verdict->texts, verdict->text_count)
    struct object object = object_begin();
    add_string(&object, "flight", flights[verdict->flight]);
    add_string(&object, "outcome", verdict->book->scale[verdict->outcome].name);
    add_string(&object, "best", verdict->book->scale[verdict->best].name);
    add_bool(&object, "single", verdict->single);
    add_string(&object, "propeller", verdict->propeller);
    add_string(&object, "model", verdict->model);
    add_string(&object, "aircraft", verdict->aircraft);
    add_string(&object, "inspector", verdict->inspector);
    add_string(&object, "date", verdict->date);
    add_string(&object, "hours", verdict->hours);
    add_items(&object, verdict);
    add(&object, "needs", needs);
    add(&object, "deadlines", deadlines);
    add(&object, "actions", strings(verdict->actions, verdict->action_count));
    add(&object, "cautions", strings(verdict->cautions, verdict->caution_count));
    add(&object, "book", book_value(verdict->book));
    add(&object, "texts", texts);
    return object_done(&object);
}

static void send(struct page *page, json_t *problems, json_t *verdict)
{
    struct object object = object_begin();
    add_count(&object, "format", SHOW_JSON_FORMAT);
    add_string(&object, "stave", stave_version());
    if (verdict) {
        add(&object, "verdict", verdict);
    }
    add(&object, "problems", problems);
    json_t *document = object_done(&object);
    char *text = document ? json_dumps(document, JSON_INDENT(2) | JSON_ENSURE_ASCII) : NULL;
    json_decref(document);
    if (!text) {
        page->failed = true;
        return;
    }
    page_raw(page, text);
    page_raw(page, "\n");
    free(text);
}

void show_verdict_json(struct page *page, const stave_verdict *verdict,
                       const struct stave_problem *const lists[2], const size_t counts[2])
{
    json_t *problems = json_array();
    for (int list = 0; list < 2; list++) {
        for (size_t i = 0; i < counts[list]; i++) {
            problems = append(problems, problem_value(&lists[list][i]));
        }
    }
    json_t *value = verdict_value(verdict);
    if (!value) {
        json_decref(problems);
        page->failed = true;
        return;
    }
    send(page, problems, value);
}

void show_problems_json(struct page *page, const struct stave_problem *problems, size_t count)
{
    ARRAY_OF(array, problem_value, problems, count)
    send(page, array, NULL);
}
