/*
 * JSON put together: values out of texts, objects member by member, and the pieces that every JSON
 * form has. Where there is no memory a value is NULL, and what it should have gone into
 * becomes NULL in turn; document_send then marks the page as failed.
 */
#ifndef STAVE_SHOW_JSON_VALUE_H
#define STAVE_SHOW_JSON_VALUE_H

#include <jansson.h>

#include "show/page.h"
#include "stave.h"

/* Any text as a JSON string; a byte that is not UTF-8 becomes U+FFFD. NULL becomes null. */
json_t *text_value(const char *text);
json_t *text_values(const char *const *texts, size_t count);

/* An object under construction. Once a member could not be made, all of it is given up. */
struct members {
    json_t *json;
    bool failed;
};
struct members members_begin(void);
/* Each takes over the value. */
void members_add(struct members *object, const char *name, json_t *value);
void members_text(struct members *object, const char *name, const char *text);
void members_count(struct members *object, const char *name, size_t count);
void members_bool(struct members *object, const char *name, bool value);
json_t *members_done(struct members *object);

/* Appends; gives up the array when that cannot be done. */
json_t *array_append(json_t *array, json_t *value);

/* An array of `count` things, each made by `make` from one of `items`. */
#define ARRAY_OF(array, make, items, count)                                                        \
    json_t *array = json_array();                                                                  \
    for (size_t at = 0; at < (count); at++) {                                                      \
        array = array_append(array, make(&(items)[at]));                                           \
    }

json_t *place_value(const struct stave_place *at); /* null: no place */
json_t *problem_value(const struct stave_problem *problem);
json_t *digest_value(const struct stave_digest *digest);
json_t *book_value(const struct stave_book_facts *book);
json_t *claim_region_value(const struct stave_region *region);
json_t *claim_value(const struct stave_claim *claim);

/* Writes a whole document and gives it up; NULL: out of memory. */
void document_send(struct page *page, json_t *document);

#endif
