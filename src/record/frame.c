/* The frame of a record, from libyaml's events. */
#include "record/frame.h"

#include <string.h>
#include <yaml.h>

#include "base/text.h"

/* Lives in the arena, so that it outlasts a jump. */
struct frame_reader {
    struct arena *arena;
    struct source *source;
    struct problems *problems;
    struct escape inner;
    struct escape *outer;
    yaml_parser_t parser;
    yaml_event_t event;
    bool has_event;
    bool stopped; /* nothing further can be read */
    /* libyaml counts characters: where a character was last looked up, and its byte. */
    size_t at_character, at_byte;
    /* The texts as they stand with their quotes, in order: what lies between is signs. */
    struct span *texts;
    size_t text_count, text_capacity;
    uint32_t node_count;
};

/* ---- places ---------------------------------------------------------------------- */

static bool continues(char byte)
{
    return ((unsigned char)byte & 0xC0u) == 0x80u;
}

/* The byte at which a character stands. Events come nearly in order, so the walk is short. */
static uint32_t byte_at(struct frame_reader *reader, size_t character)
{
    const struct source *source = reader->source;
    while (reader->at_character < character && reader->at_byte < source->size) {
        do {
            reader->at_byte++;
        } while (reader->at_byte < source->size && continues(source->bytes[reader->at_byte]));
        reader->at_character++;
    }
    while (reader->at_character > character) {
        do {
            reader->at_byte--;
        } while (reader->at_byte > 0 && continues(source->bytes[reader->at_byte]));
        reader->at_character--;
    }
    return (uint32_t)reader->at_byte;
}

static struct span span_between(struct frame_reader *reader, yaml_mark_t from, yaml_mark_t to)
{
    uint32_t first = byte_at(reader, from.index);
    uint32_t last = byte_at(reader, to.index);
    return (struct span){reader->source, first, last > first ? last : first};
}

static struct span event_span(struct frame_reader *reader)
{
    return span_between(reader, reader->event.start_mark, reader->event.end_mark);
}

static struct span one_byte(const struct frame_reader *reader, size_t at)
{
    uint32_t size = (uint32_t)reader->source->size;
    uint32_t from = at < size ? (uint32_t)at : size;
    return (struct span){reader->source, from, from < size ? from + 1 : size};
}

/* ---- problems ------------------------------------------------------------------------ */

static void refuse(struct frame_reader *reader, const char *code, struct span at,
                   const char *message, const char *help)
{
    problem_help(problem_add(reader->problems, STAVE_ERROR, code, at, "%s", message),
                 reader->problems, "%s", help);
}

/*
 * What libyaml found, by the start of its message, and how we say it. `begin`: the fault shows where
 * the thing begins that is not ended, not where its end was missed.
 */
static const struct fault {
    const char *found;
    bool begin;
    const char *message, *help;
} faults[] = {
    {"mapping values", false, "this ':' does not belong here",
     "a value that holds a colon and a blank is written in double quotes"},
    {"found unexpected ':'", false, "this ':' does not belong here",
     "a value that holds a colon is written in double quotes"},
    {"did not find expected key", false, "this line does not fit where it stands",
     "the keys of one map stand exactly below each other"},
    {"did not find expected '-'", false, "this line does not fit where it stands",
     "the items of a list begin with '- ', exactly below each other"},
    {"did not find expected ','", true, "a list that is not closed",
     "write ']' after its last item and ',' between two"},
    {"could not find expected ':'", true, "a line without a key and a colon",
     "a line is 'key: value', or '- ' and a list's item"},
    {"found unexpected end", true, "a quote that is not closed",
     "write the closing quote on the same line"},
    {"found unexpected document", true, "a quote that is not closed",
     "write the closing quote on the same line"},
    {"found character that cannot", false, "this character cannot begin a value",
     "write the value in double quotes; indent with blanks, not with tabs"},
    {"found a tab character", false, "a tab where blanks belong", "indent with blanks"},
    {"did not find expected <document", false, "something stands after the record",
     "a record is one map of keys"},
    {"found unknown escape", false, "an unknown escape in a quoted text",
     "write the character itself"},
    {"found invalid Unicode", false, "an escape of no character", "write the character itself"},
    {"found undefined tag", false, "a tag, which a record does not have",
     "remove the word that begins with '!'"},
    {"did not find expected node", false, "a value is missing here",
     "write it, or remove the comma or colon before this place"},
    {"block sequence", false, "this '-' does not belong here",
     "the items of a list stand on lines of their own below its key"},
    {"block mapping", false, "this key does not belong here", "a line has one key"},
};

static void report_fault(struct frame_reader *reader)
{
    const yaml_parser_t *parser = &reader->parser;
    if (parser->error == YAML_MEMORY_ERROR) {
        arena_escape(reader->arena, STAVE_NO_MEMORY);
    }
    const char *found = parser->problem ? parser->problem : "";
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        if (strncmp(found, faults[i].found, strlen(faults[i].found)) == 0) {
            bool begin = faults[i].begin && parser->context;
            yaml_mark_t mark = begin ? parser->context_mark : parser->problem_mark;
            refuse(reader, "frame", one_byte(reader, byte_at(reader, mark.index)),
                   faults[i].message, faults[i].help);
            return;
        }
    }
    bool by_byte = parser->error == YAML_READER_ERROR;
    refuse(reader, "frame",
           one_byte(reader,
                    by_byte ? parser->problem_offset : byte_at(reader, parser->problem_mark.index)),
           "this cannot be read as a line of a record",
           "a line is 'key: value', or '- ' and a list's item");
}

/* ---- events ------------------------------------------------------------------------------ */

static void drop_event(struct frame_reader *reader)
{
    if (reader->has_event) {
        yaml_event_delete(&reader->event);
        reader->has_event = false;
    }
}

static bool next_event(struct frame_reader *reader)
{
    drop_event(reader);
    if (reader->stopped) {
        return false;
    }
    if (!yaml_parser_parse(&reader->parser, &reader->event)) {
        reader->stopped = true;
        report_fault(reader);
        return false;
    }
    reader->has_event = true;
    return true;
}

static void stop(struct frame_reader *reader, const char *code, struct span at, const char *message,
                 const char *help)
{
    refuse(reader, code, at, message, help);
    reader->stopped = true;
}

static void refuse_anchor_and_tag(struct frame_reader *reader, const yaml_char_t *anchor,
                                  const yaml_char_t *tag)
{
    if (anchor) {
        refuse(reader, "anchor", event_span(reader), "an anchor, which a record does not have",
               "remove the word that begins with '&', or quote the text");
    }
    if (tag) {
        refuse(reader, "tag", event_span(reader), "a tag, which a record does not have",
               "remove the word that begins with '!', or quote the text");
    }
}

/* ---- texts -------------------------------------------------------------------------------- */

static bool is_blank(char byte)
{
    return byte == ' ' || byte == '\t';
}

/* Whether a text stands on the line of its key, or of its list's '-'. */
static bool begins_its_line(const struct frame_reader *reader, uint32_t from)
{
    const char *bytes = reader->source->bytes;
    while (from > 0 && is_blank(bytes[from - 1])) {
        from--;
    }
    return from == 0 || bytes[from - 1] == '\n';
}

static bool means_nothing(const char *text)
{
    static const char *const words[] = {"~", "null", "Null", "NULL"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (strcmp(text, words[i]) == 0) {
            return true;
        }
    }
    return false;
}

/* An escape may have made a character that no line can hold. */
static bool fits_a_line(const char *text, size_t size)
{
    for (size_t at = 0; at < size;) {
        uint32_t point = 0;
        size_t length = text_utf8_length(text + at, size - at, &point);
        bool deceptive =
            (point >= 0x2028 && point <= 0x202E) || (point >= 0x2066 && point <= 0x2069);
        if (!length || (point < 0x20 && point != '\t') || (point >= 0x7F && point <= 0x9F) ||
            deceptive) {
            return false;
        }
        at += length;
    }
    return true;
}

static void check_style(struct frame_reader *reader, struct span whole, bool quoted)
{
    yaml_scalar_style_t style = reader->event.data.scalar.style;
    if (style == YAML_LITERAL_SCALAR_STYLE || style == YAML_FOLDED_SCALAR_STYLE) {
        refuse(reader, "several-lines", (struct span){whole.source, whole.from, whole.from + 1},
               "a text over several lines", "write the text on the line of its key");
    } else if (reader->event.start_mark.line != reader->event.end_mark.line) {
        refuse(reader, "several-lines", whole, "a text that goes on over the next line",
               quoted ? "write the closing quote on the same line"
                      : "write the text on one line; a key or an item begins a line of its own");
    }
}

static void check_text(struct frame_reader *reader, struct frame_node *node, struct span whole,
                       size_t size, bool quoted)
{
    if (!size) {
        refuse(reader, "empty-value", whole, "an empty value",
               "write the value; 'not seen' or 'not measured' for a reading, 'none' where the "
               "record's rules say so");
    } else if (!quoted && means_nothing(node->text)) {
        refuse(reader, "empty-value", whole, "a word that stands for no value",
               "write the value; quote it if this is the text itself");
    } else if (!fits_a_line(node->text, size)) {
        refuse(reader, "control-character", whole,
               "an escape makes a character that no line can hold", "write a text of one line");
    } else if (!quoted && !node->exact) {
        refuse(reader, "several-lines", whole, "a text that is not read as it stands",
               "write it on one line, in double quotes");
    }
}

static struct frame_node *new_node(struct frame_reader *reader, enum frame_sort sort)
{
    if (++reader->node_count > FRAME_NODES) {
        stop(reader, "too-many", event_span(reader), "too many entries in one record",
             "a record holds at most 100000 values");
    }
    struct frame_node *node = ARENA_NEW(reader->arena, struct frame_node);
    node->sort = sort;
    return node;
}

static struct frame_node *read_text(struct frame_reader *reader)
{
    struct frame_node *node = new_node(reader, FRAME_TEXT);
    const char *value = (const char *)reader->event.data.scalar.value;
    size_t size = reader->event.data.scalar.length;
    yaml_scalar_style_t style = reader->event.data.scalar.style;
    bool quoted =
        style == YAML_SINGLE_QUOTED_SCALAR_STYLE || style == YAML_DOUBLE_QUOTED_SCALAR_STYLE;
    struct span whole = event_span(reader);
    *ARENA_PUSH(reader->arena, reader->texts, reader->text_count, reader->text_capacity) = whole;
    node->span = whole;
    if (quoted && whole.to - whole.from >= 2) {
        node->span.from++;
        node->span.to--;
    }
    node->text = arena_copy_text(reader->arena, value, size);
    node->exact = size == node->span.to - node->span.from &&
                  memcmp(value, reader->source->bytes + node->span.from, size) == 0;
    size_t errors = reader->problems->error_count;
    refuse_anchor_and_tag(reader, reader->event.data.scalar.anchor, reader->event.data.scalar.tag);
    check_style(reader, whole, quoted);
    if (reader->problems->error_count == errors) {
        check_text(reader, node, whole, size, quoted);
    }
    return node;
}

/* ---- lists and maps --------------------------------------------------------------------------- */

static struct frame_node *read_node(struct frame_reader *reader, unsigned depth, bool in_flow);

/* Signs of an item that is not there: "[a, b, ]". */
static void check_list_end(struct frame_reader *reader, struct span end)
{
    const char *bytes = reader->source->bytes;
    uint32_t from = reader->text_count ? reader->texts[reader->text_count - 1].to : 0;
    for (uint32_t at = from; at < end.from; at++) {
        if (bytes[at] == '#') {
            while (at + 1 < end.from && bytes[at] != '\n') {
                at++;
            }
        } else if (bytes[at] == ',') {
            refuse(reader, "empty-value", one_byte(reader, at), "no item after the last comma",
                   "write the item that is missing, or remove the comma");
            return;
        }
    }
}

static struct frame_node *read_list(struct frame_reader *reader, unsigned depth)
{
    struct frame_node *list = new_node(reader, FRAME_LIST);
    struct frame_node **end = &list->children;
    list->flow = reader->event.data.sequence_start.style == YAML_FLOW_SEQUENCE_STYLE;
    list->span = event_span(reader);
    refuse_anchor_and_tag(reader, reader->event.data.sequence_start.anchor,
                          reader->event.data.sequence_start.tag);
    while (next_event(reader)) {
        if (reader->event.type == YAML_SEQUENCE_END_EVENT) {
            if (list->flow) {
                check_list_end(reader, event_span(reader));
                list->span = span_join(list->span, event_span(reader));
            }
            break;
        }
        struct frame_node *item = read_node(reader, depth, list->flow);
        if (!item) {
            break;
        }
        *end = item;
        end = &item->next;
        list->span = span_join(list->span, item->span);
        list->count++;
    }
    return list;
}

static void check_doubled(struct frame_reader *reader, const struct frame_node *map,
                          const struct frame_node *key)
{
    const struct frame_node *first = frame_find(map, key->text);
    if (first) {
        struct stave_problem *problem = problem_add(reader->problems, STAVE_ERROR, "doubled-key",
                                                    key->span, "key '%s' stands twice", key->text);
        problem_second(problem, reader->problems, first->key_span, "it stands here first");
        problem_help(problem, reader->problems, "keep the one that is right");
    }
}

/* The key is the current event. NULL when nothing further can be read. */
static struct frame_node *read_entry(struct frame_reader *reader, const struct frame_node *map,
                                     unsigned depth)
{
    if (reader->event.type != YAML_SCALAR_EVENT) {
        stop(reader, "key", event_span(reader), "a key that is not a word",
             "a key is one of the words that a record knows, then ':'");
        return NULL;
    }
    struct frame_node *key = read_text(reader);
    if (!key->exact) {
        refuse(reader, "key", key->span, "a key that is not written as it reads",
               "write the key without escapes");
    }
    check_doubled(reader, map, key);
    if (!next_event(reader)) {
        return NULL;
    }
    struct frame_node *value = read_node(reader, depth, false);
    if (value) {
        value->key = key->text;
        value->key_span = key->span;
    }
    return value;
}

static struct frame_node *read_map(struct frame_reader *reader, unsigned depth)
{
    struct frame_node *map = new_node(reader, FRAME_MAP);
    struct frame_node **end = &map->children;
    map->span = event_span(reader);
    refuse_anchor_and_tag(reader, reader->event.data.mapping_start.anchor,
                          reader->event.data.mapping_start.tag);
    if (reader->event.data.mapping_start.style == YAML_FLOW_MAPPING_STYLE) {
        stop(reader, "braces", event_span(reader), "a map in braces, or a colon in a list's item",
             "write one key on each line; quote a text that holds a brace or a colon");
        return NULL;
    }
    while (next_event(reader) && reader->event.type != YAML_MAPPING_END_EVENT) {
        struct frame_node *value = read_entry(reader, map, depth);
        if (!value) {
            break;
        }
        *end = value;
        end = &value->next;
        map->span = span_join(span_join(map->span, value->key_span), value->span);
        if (++map->count > FRAME_KEYS) {
            stop(reader, "too-many", value->key_span, "too many keys in one map",
                 "a map holds at most 500 keys");
        }
    }
    return map;
}

/* The current event's node. NULL when nothing further can be read. */
static struct frame_node *read_node(struct frame_reader *reader, unsigned depth, bool in_flow)
{
    if (reader->event.type == YAML_ALIAS_EVENT) {
        stop(reader, "alias", event_span(reader), "an alias, which a record does not have",
             "write the value itself; quote a text that begins with '*'");
        return NULL;
    }
    if (reader->event.type == YAML_SCALAR_EVENT) {
        struct frame_node *node = read_text(reader);
        uint32_t from = reader->texts[reader->text_count - 1].from; /* with its quote */
        if (!in_flow && begins_its_line(reader, from) && node->text[0]) {
            refuse(reader, "several-lines", node->span, "a value below the line of its key",
                   "write the value on the line of its key");
        }
        return reader->stopped ? NULL : node;
    }
    if (depth >= FRAME_DEPTH) {
        stop(reader, "too-deep", event_span(reader), "lists and maps nested too deep",
             "a record has at most four within each other");
        return NULL;
    }
    return reader->event.type == YAML_SEQUENCE_START_EVENT ? read_list(reader, depth + 1)
                                                           : read_map(reader, depth + 1);
}

/* ---- what lies between the texts ------------------------------------------------------------- */

/* A comment: its end. It may stand only on a line of its own. */
static uint32_t pass_comment(struct frame_reader *reader, uint32_t at)
{
    const char *bytes = reader->source->bytes;
    uint32_t end = at;
    while (end < reader->source->size && bytes[end] != '\n') {
        end++;
    }
    if (!begins_its_line(reader, at)) {
        refuse(reader, "comment-after-value", (struct span){reader->source, at, end},
               "a comment after a value",
               "a comment stands on a line of its own; a text that holds ' #' stands in double "
               "quotes");
    }
    return end;
}

/* Comments are judged always, other signs only when nothing else was wrong: then each has
 * been explained already. */
static void check_between(struct frame_reader *reader, uint32_t from, uint32_t to, bool signs)
{
    const char *bytes = reader->source->bytes;
    for (uint32_t at = from; at < to; at++) {
        if (bytes[at] == '#') {
            at = pass_comment(reader, at);
        } else if (signs && !strchr(" \t\r\n:-,[]", bytes[at])) {
            refuse(reader, "frame", one_byte(reader, at), "a sign that a record does not have",
                   "a line is 'key: value', or '- ' and a list's item");
            return;
        }
    }
}

static void check_signs(struct frame_reader *reader)
{
    bool clean = reader->problems->error_count == 0;
    uint32_t from = 0;
    for (size_t i = 0; i < reader->text_count; i++) {
        check_between(reader, from, reader->texts[i].from, clean);
        from = reader->texts[i].to;
    }
    if (clean) {
        check_between(reader, from, (uint32_t)reader->source->size, true);
    }
}

/* ---- the document ------------------------------------------------------------------------------ */

static void check_document_start(struct frame_reader *reader)
{
    const yaml_event_t *event = &reader->event;
    bool directive = event->data.document_start.version_directive ||
                     event->data.document_start.tag_directives.start !=
                         event->data.document_start.tag_directives.end;
    if (directive) {
        refuse(reader, "directive", event_span(reader), "a directive, which a record does not have",
               "remove the line that begins with '%'");
    } else if (!event->data.document_start.implicit) {
        refuse(reader, "document-mark", event_span(reader), "a mark between documents",
               "a record is one document: remove '---'");
    }
}

static void check_document_end(struct frame_reader *reader)
{
    if (!reader->event.data.document_end.implicit) {
        refuse(reader, "document-mark", event_span(reader), "a mark at the end of a document",
               "a record is one document: remove '...'");
    }
    if (next_event(reader) && reader->event.type != YAML_STREAM_END_EVENT) {
        stop(reader, "document-mark", event_span(reader), "a second document",
             "a record is one document: write one file for each inspection");
    }
}

static struct frame_node *read_document(struct frame_reader *reader)
{
    if (!next_event(reader) || !next_event(reader)) { /* the stream's start, the document's */
        return NULL;
    }
    if (reader->event.type != YAML_DOCUMENT_START_EVENT) {
        stop(reader, "empty-record", one_byte(reader, 0), "the record is empty",
             "it was never written, or lost: look for a copy");
        return NULL;
    }
    check_document_start(reader);
    if (!next_event(reader)) {
        return NULL;
    }
    if (reader->event.type != YAML_MAPPING_START_EVENT) {
        stop(reader, "frame", event_span(reader), "this is not a record",
             "a record is a map of keys: 'propeller: ...' and so on, one on a line");
        return NULL;
    }
    struct frame_node *root = read_node(reader, 0, false);
    if (next_event(reader)) {
        check_document_end(reader);
    }
    return root;
}

/* A byte-order mark within the text and the two points that are no characters: libyaml
 * passes over the first and would count its characters otherwise than we do. */
static bool check_characters(struct frame_reader *reader)
{
    const struct source *source = reader->source;
    for (size_t at = 0; at < source->size; at++) {
        if ((unsigned char)source->bytes[at] != 0xEFu) {
            continue;
        }
        uint32_t point = 0;
        size_t length = text_utf8_length(source->bytes + at, source->size - at, &point);
        if (point == 0xFEFFu || point >= 0xFFFEu) {
            stop(reader, "control-character",
                 (struct span){reader->source, (uint32_t)at, (uint32_t)(at + length)},
                 "a character that cannot be seen", "remove it, or write the line anew");
            return false;
        }
    }
    return true;
}

static void close_reader(struct frame_reader *reader)
{
    drop_event(reader);
    yaml_parser_delete(&reader->parser);
    reader->arena->escape = reader->outer;
}

struct frame_node *frame_read(struct arena *arena, struct source *source, struct problems *problems)
{
    struct frame_reader *const reader = ARENA_NEW(arena, struct frame_reader);
    reader->arena = arena;
    reader->source = source;
    reader->problems = problems;
    reader->outer = arena->escape;
    if (!check_characters(reader)) {
        return NULL;
    }
    if (!yaml_parser_initialize(&reader->parser)) {
        arena_escape(arena, STAVE_NO_MEMORY);
    }
    if (setjmp(reader->inner.to)) {
        close_reader(reader);
        arena_escape(arena, reader->inner.status);
    }
    arena->escape = &reader->inner;
    yaml_parser_set_encoding(&reader->parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&reader->parser, (const unsigned char *)source->bytes,
                                 source->size);
    struct frame_node *root = read_document(reader);
    check_signs(reader);
    close_reader(reader);
    return problems->error_count ? NULL : root;
}

struct frame_node *frame_find(const struct frame_node *map, const char *key)
{
    struct frame_node *node = map->children;
    while (node && strcmp(node->key, key) != 0) {
        node = node->next;
    }
    return node;
}
