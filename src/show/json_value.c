/* What the JSON forms share. */
#include "show/json_value.h"

#include <stdlib.h>
#include <string.h>

#include "show/characters.h"

/* ---- building ----------------------------------------------------------------- */

/* Any text as a JSON string; a byte that is not UTF-8 becomes U+FFFD. NULL becomes null.
 * As everywhere here, NULL is given when there is no memory, and the caller's _new
 * functions then fail in turn. */
json_t *text_value(const char *text)
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

struct members members_begin(void)
{
    json_t *json = json_object();
    return (struct members){json, json == NULL};
}

void members_add(struct members *object, const char *name, json_t *value)
{
    if (object->failed) {
        json_decref(value);
    } else if (json_object_set_new(object->json, name, value) != 0) {
        object->failed = true;
    }
}

void members_text(struct members *object, const char *name, const char *text)
{
    members_add(object, name, text_value(text));
}

void members_count(struct members *object, const char *name, size_t count)
{
    members_add(object, name, json_integer((json_int_t)count));
}

void members_bool(struct members *object, const char *name, bool value)
{
    members_add(object, name, json_boolean(value));
}

json_t *members_done(struct members *object)
{
    if (object->failed) {
        json_decref(object->json);
        return NULL;
    }
    return object->json;
}

/* Appends; gives up the array when that cannot be done. */
json_t *array_append(json_t *array, json_t *value)
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

json_t *text_values(const char *const *texts, size_t count)
{
    json_t *array = json_array();
    for (size_t i = 0; i < count; i++) {
        array = array_append(array, text_value(texts[i]));
    }
    return array;
}

/* ---- problems -------------------------------------------------------------------- */

json_t *place_value(const struct stave_place *at)
{
    if (!at->text_name) {
        return json_null();
    }
    struct members object = members_begin();
    members_text(&object, "text_name", at->text_name);
    members_count(&object, "line", at->line);
    members_count(&object, "column", at->column);
    members_count(&object, "width", at->width);
    members_text(&object, "excerpt", at->excerpt ? at->excerpt : "");
    members_count(&object, "excerpt_column", at->excerpt_column);
    return members_done(&object);
}

json_t *problem_value(const struct stave_problem *problem)
{
    struct members object = members_begin();
    members_text(&object, "severity", problem->severity == STAVE_ERROR ? "error" : "warning");
    members_text(&object, "code", problem->code);
    members_text(&object, "message", problem->message);
    members_add(&object, "at", place_value(&problem->at));
    members_text(&object, "second_message", problem->second_message);
    members_add(&object, "second",
                problem->second_message ? place_value(&problem->second) : json_null());
    members_text(&object, "help", problem->help);
    return members_done(&object);
}

/* ---- book ------------------------------------------------------------------------- */

json_t *digest_value(const struct stave_digest *digest)
{
    struct members object = members_begin();
    members_text(&object, "name", digest->name);
    members_text(&object, "sha256", digest->sha256);
    return members_done(&object);
}

static json_t *outcome_value(const struct stave_outcome *outcome)
{
    struct members object = members_begin();
    members_text(&object, "name", outcome->name);
    members_text(&object, "meaning", outcome->meaning);
    members_bool(&object, "flight", outcome->flight);
    return members_done(&object);
}

json_t *book_value(const struct stave_book_facts *book)
{
    ARRAY_OF(scale, outcome_value, book->scale, book->scale_count)
    ARRAY_OF(texts, digest_value, book->texts, book->text_count)
    struct members object = members_begin();
    members_text(&object, "id", book->id);
    members_text(&object, "model", book->model);
    members_text(&object, "title", book->title);
    members_text(&object, "edition", book->edition);
    members_text(&object, "dated", book->dated);
    members_add(&object, "models", text_values(book->models, book->model_count));
    members_add(&object, "scale", scale);
    members_add(&object, "cautions", text_values(book->cautions, book->caution_count));
    members_add(&object, "texts", texts);
    members_count(&object, "limit_count", book->limit_count);
    members_count(&object, "example_count", book->example_count);
    members_count(&object, "figure_count", book->figure_count);
    return members_done(&object);
}

/* ---- sending ----------------------------------------------------------------------- */

void document_send(struct page *page, json_t *document)
{
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
