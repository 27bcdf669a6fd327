/*
 * The frame of a record: what is accepted, and each refusal with its place, its message and
 * what to do. A wrong frame must never lose a reading in silence.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "fail_alloc.h"
#include "record/frame.h"

/* A text read in an arena of its own. */
struct reading {
    struct arena arena;
    struct escape escape;
    struct problems problems;
    struct source *source;
    struct frame_node *root;
};

static void frame_of(struct reading *reading, const char *text, size_t size)
{
    static struct fail_alloc memory;
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    *reading = (struct reading){0};
    arena_begin(&reading->arena, &allocator, &reading->escape);
    problems_begin(&reading->problems, &reading->arena);
    struct stave_text given = {"r", text, size};
    reading->source = source_open(&reading->arena, &given, SOURCE_RECORD_LIMIT, &reading->problems);
    if (reading->source) {
        reading->root = frame_read(&reading->arena, reading->source, &reading->problems);
    }
    assert_ptr_equal(reading->arena.escape, &reading->escape);
}

/* "line:column+width code: message; help" for each problem, one on a line. */
static const char *told(struct reading *reading)
{
    struct text text;
    text_begin(&text, &reading->arena);
    problems_sort(&reading->problems);
    for (size_t i = 0; i < reading->problems.count; i++) {
        const struct stave_problem *problem = &reading->problems.items[i];
        text_add(&text, i ? "\n" : "");
        text_addf(&text, "%u:%u+%u ", problem->at.line, problem->at.column, problem->at.width);
        text_add(&text, problem->code);
        text_add(&text, ": ");
        text_add(&text, problem->message);
        if (problem->second_message) {
            text_addf(&text, " (%u:%u ", problem->second.line, problem->second.column);
            text_add(&text, problem->second_message);
            text_add(&text, ")");
        }
        text_add(&text, "; ");
        text_add(&text, problem->help ? problem->help : "-");
    }
    return text_done(&text);
}

/* ---- what is accepted -------------------------------------------------------------- */

/* The whole tree as one line: texts in quotes, lists in brackets, maps in braces. */
static void show(struct text *text, const struct frame_node *node)
{
    static const char *const open[] = {"'", "[", "{"}, *const close[] = {"'", "]", "}"};
    if (node->key) {
        text_add(text, node->key);
        text_add(text, ": ");
    }
    text_add(text, open[node->sort]);
    text_add(text, node->sort == FRAME_TEXT ? node->text : "");
    for (const struct frame_node *child = node->children; child; child = child->next) {
        show(text, child);
        text_add(text, child->next ? ", " : "");
    }
    text_add(text, close[node->sort]);
}

static const struct {
    const char *text, *shown;
} accepted[] = {
    {"a: b\n", "{a: 'b'}"},
    {"a: b", "{a: 'b'}"},
    {"\xEF\xBB\xBF"
     "a: b\r\nc: d\r\n",
     "{a: 'b', c: 'd'}"},
    {"a: b c  d \nb: 'it''s # so'\nc: \"x: y\"\n", "{a: 'b c  d', b: 'it's # so', c: 'x: y'}"},
    {"# one\na: b\n  # two\n\n#\nc: d\n# end", "{a: 'b', c: 'd'}"},
    {"a: [b, c .. d, 'e, f']\n", "{a: ['b', 'c .. d', 'e, f']}"},
    {"a: [b,\n    # note\n    c]\n", "{a: ['b', 'c']}"},
    {"a: []\n", "{a: []}"},
    {"a:\n- b\n- c: d\n  e: f\n", "{a: ['b', {c: 'd', e: 'f'}]}"},
    {"a:\n  - F-1: b\n", "{a: [{F-1: 'b'}]}"},
    {"a: b#c\n", "{a: 'b#c'}"},
    {"a: \"\\u00e9\\x41\"\n", "{a: '\xC3\xA9"
                              "A'}"},
    /* Text stays text: nothing becomes a truth value, a number or a time. */
    {"a: no\nb: on\nc: 1:30\nd: 010\ne: 1_000\nf: .inf\ng: 2026-11-25\nh: 0x10\n",
     "{a: 'no', b: 'on', c: '1:30', d: '010', e: '1_000', f: '.inf', g: '2026-11-25', h: '0x10'}"},
    {"no: a\n1: b\n", "{no: 'a', 1: 'b'}"},
    {"a: 'null'\nb: \"~\"\n", "{a: 'null', b: '~'}"},
};

static void test_accepted(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof accepted / sizeof *accepted; i++) {
        struct reading reading;
        frame_of(&reading, accepted[i].text, strlen(accepted[i].text));
        assert_string_equal(told(&reading), "");
        struct text text;
        text_begin(&text, &reading.arena);
        show(&text, reading.root);
        assert_string_equal(text_done(&text), accepted[i].shown);
        arena_end(&reading.arena);
    }
}

/* A text that is `exact` stands in the source byte for byte, wherever it is. */
static void check_places(const struct frame_node *node, size_t *exact, size_t *other)
{
    if (node->sort == FRAME_TEXT && node->exact) {
        assert_int_equal(node->span.to - node->span.from, strlen(node->text));
        assert_memory_equal(node->span.source->bytes + node->span.from, node->text,
                            strlen(node->text));
        ++*exact;
    } else if (node->sort == FRAME_TEXT) {
        ++*other;
    }
    for (const struct frame_node *child = node->children; child; child = child->next) {
        assert_true(!child->key || strncmp(child->key_span.source->bytes + child->key_span.from,
                                           child->key, strlen(child->key)) == 0);
        check_places(child, exact, other);
    }
}

static void test_places_are_bytes(void **state)
{
    (void)state;
    static const char text[] = "\xEF\xBB\xBF# \xE6\x97\xA5\r\n"
                               "caf\xC3\xA9: \xE6\x97\xA5 \xF0\x9F\x9B\xA9 x\r\n"
                               "b: [\xC3\xA9, \"\xE6\x97\xA5\", '\xC3\xA9 ''', \"\\x41\"]\r\n"
                               "c:\r\n- \xC3\xA9\xC3\xA9: y\r\n  z: \xC2\xB5m\r\n";
    struct reading reading;
    frame_of(&reading, text, sizeof text - 1);
    assert_string_equal(told(&reading), "");
    size_t exact = 0, other = 0;
    check_places(reading.root, &exact, &other);
    assert_int_equal(exact, 5);
    assert_int_equal(other, 2);
    arena_end(&reading.arena);
}

/* ---- what is refused ------------------------------------------------------------------ */

static const struct {
    const char *text, *told;
} refused[] = {
    {"", "1:1+1 empty-record: the record is empty; it was never written, or lost: look for a copy"},
    {"# only\n",
     "1:1+1 empty-record: the record is empty; it was never written, or lost: look for a copy"},
    {"hello\n",
     "1:1+5 frame: this is not a record; a record is a map of keys: 'propeller: ...' and so on, one on a line"},
    {"- a\n- b\n",
     "1:1+1 frame: this is not a record; a record is a map of keys: 'propeller: ...' and so on, one on a line"},
    {"a: b\nc: d\na: e\n",
     "3:1+1 doubled-key: key 'a' stands twice (1:1 it stands here first); keep the one that is right"},
    {"x:\n  a: b\n  a: b\n",
     "3:3+1 doubled-key: key 'a' stands twice (2:3 it stands here first); keep the one that is right"},
    {"a: !!str b\n",
     "1:4+7 tag: a tag, which a record does not have; remove the word that begins with '!', or quote the text"},
    {"a: !x [b]\n",
     "1:4+4 tag: a tag, which a record does not have; remove the word that begins with '!', or quote the text"},
    {"a: ! b\n",
     "1:4+3 tag: a tag, which a record does not have; remove the word that begins with '!', or quote the text"},
    {"a: !x!y b\n",
     "1:4+1 frame: a tag, which a record does not have; remove the word that begins with '!'"},
    {"a: &x b\n",
     "1:4+4 anchor: an anchor, which a record does not have; remove the word that begins with '&', or quote the text"},
    {"a: &x [b]\n",
     "1:4+4 anchor: an anchor, which a record does not have; remove the word that begins with '&', or quote the text"},
    {"a: &x\n  b: c\n",
     "1:4+2 anchor: an anchor, which a record does not have; remove the word that begins with '&', or quote the text"},
    {"a: b\nc: *x\n",
     "2:4+2 alias: an alias, which a record does not have; write the value itself; quote a text that begins with '*'"},
    {"a: b\n<<: *a\n",
     "2:5+2 alias: an alias, which a record does not have; write the value itself; quote a text that begins with '*'"},
    {"%YAML 1.1\n---\na: b\n",
     "1:1+9 directive: a directive, which a record does not have; remove the line that begins with '%'"},
    {"%TAG ! tag:x\n---\na: b\n",
     "1:1+12 directive: a directive, which a record does not have; remove the line that begins with '%'"},
    {"---\na: b\n",
     "1:1+3 document-mark: a mark between documents; a record is one document: remove '---'"},
    {"a: b\n---\nc: d\n",
     "2:1+3 document-mark: a second document; a record is one document: write one file for each inspection"},
    {"a: b\n...\n",
     "2:1+3 document-mark: a mark at the end of a document; a record is one document: remove '...'"},
    {"a: b\n...\nc: d\n",
     "2:1+3 document-mark: a mark at the end of a document; a record is one document: remove '...'\n3:1+1 frame: something stands after the record; a record is one map of keys"},
    {"a: b # c\n",
     "1:6+3 comment-after-value: a comment after a value; a comment stands on a line of its own; a text that holds ' #' stands in double quotes"},
    {"a: b\t# c\n",
     "1:9+3 comment-after-value: a comment after a value; a comment stands on a line of its own; a text that holds ' #' stands in double quotes"},
    {"a: # c\n  - b\n",
     "1:4+3 comment-after-value: a comment after a value; a comment stands on a line of its own; a text that holds ' #' stands in double quotes"},
    {"a: \"b\"# c\n",
     "1:7+3 comment-after-value: a comment after a value; a comment stands on a line of its own; a text that holds ' #' stands in double quotes"},
    {"a: [b, # c\n  d]\n",
     "1:8+3 comment-after-value: a comment after a value; a comment stands on a line of its own; a text that holds ' #' stands in double quotes"},
    {"a: [b] # c\n",
     "1:8+3 comment-after-value: a comment after a value; a comment stands on a line of its own; a text that holds ' #' stands in double quotes"},
    {"a:\n  - # c\n  - b\n",
     "2:4+1 empty-value: an empty value; write the value; 'not seen' or 'not measured' for a reading, 'none' where the record's rules say so\n2:5+3 comment-after-value: a comment after a value; a comment stands on a line of its own; a text that holds ' #' stands in double quotes"},
    {"a: depth 2 in #, length 3 in\n",
     "1:15+14 comment-after-value: a comment after a value; a comment stands on a line of its own; a text that holds ' #' stands in double quotes"},
    {"a: b\n  c\n",
     "1:4+1 several-lines: a text that goes on over the next line; write the text on one line; a key or an item begins a line of its own"},
    {"a: |\n  b\n",
     "1:4+1 several-lines: a text over several lines; write the text on the line of its key"},
    {"a: >-\n  b\n",
     "1:4+1 several-lines: a text over several lines; write the text on the line of its key"},
    {"a: \"b\n  c\"\n",
     "1:4+2 several-lines: a text that goes on over the next line; write the closing quote on the same line"},
    {"a: 'b\n  c'\n",
     "1:4+2 several-lines: a text that goes on over the next line; write the closing quote on the same line"},
    {"a: [b\n  c]\n",
     "1:5+1 several-lines: a text that goes on over the next line; write the text on one line; a key or an item begins a line of its own"},
    {"a:\n  - b\n    c\n",
     "2:5+1 several-lines: a text that goes on over the next line; write the text on one line; a key or an item begins a line of its own"},
    {"a:\n  b\n",
     "2:3+1 several-lines: a value below the line of its key; write the value on the line of its key"},
    {"a:\n  'b'\n",
     "2:4+1 several-lines: a value below the line of its key; write the value on the line of its key"},
    {"a:\nb: c\n",
     "1:3+1 empty-value: an empty value; write the value; 'not seen' or 'not measured' for a reading, 'none' where the record's rules say so"},
    {"a:\n  -\n  - b\n",
     "2:4+1 empty-value: an empty value; write the value; 'not seen' or 'not measured' for a reading, 'none' where the record's rules say so"},
    {"a: \"\"\n",
     "1:4+2 empty-value: an empty value; write the value; 'not seen' or 'not measured' for a reading, 'none' where the record's rules say so"},
    {"a: ''\n",
     "1:4+2 empty-value: an empty value; write the value; 'not seen' or 'not measured' for a reading, 'none' where the record's rules say so"},
    {"a: null\n",
     "1:4+4 empty-value: a word that stands for no value; write the value; quote it if this is the text itself"},
    {"a: Null\n",
     "1:4+4 empty-value: a word that stands for no value; write the value; quote it if this is the text itself"},
    {"a: NULL\n",
     "1:4+4 empty-value: a word that stands for no value; write the value; quote it if this is the text itself"},
    {"a: ~\n",
     "1:4+1 empty-value: a word that stands for no value; write the value; quote it if this is the text itself"},
    {"a: [b, ]\n",
     "1:6+1 empty-value: no item after the last comma; write the item that is missing, or remove the comma"},
    {"a: [b,\n# c, d\n]\n",
     "1:6+1 empty-value: no item after the last comma; write the item that is missing, or remove the comma"},
    {"a: [b,, c]\n",
     "1:7+1 frame: a value is missing here; write it, or remove the comma or colon before this place"},
    {"a: [, b]\n",
     "1:5+1 frame: a value is missing here; write it, or remove the comma or colon before this place"},
    {"a: {b: c}\n",
     "1:4+1 braces: a map in braces, or a colon in a list's item; write one key on each line; quote a text that holds a brace or a colon"},
    {"a:\n  - {b: c}\n",
     "2:5+1 braces: a map in braces, or a colon in a list's item; write one key on each line; quote a text that holds a brace or a colon"},
    {"a: [b: c]\n",
     "1:5+1 braces: a map in braces, or a colon in a list's item; write one key on each line; quote a text that holds a brace or a colon"},
    {"{a: b}\n",
     "1:1+1 braces: a map in braces, or a colon in a list's item; write one key on each line; quote a text that holds a brace or a colon"},
    {"{\"a\": \"b\"}\n",
     "1:1+1 braces: a map in braces, or a colon in a list's item; write one key on each line; quote a text that holds a brace or a colon"},
    {"? a\n: b\n",
     "1:1+1 frame: a sign that a record does not have; a line is 'key: value', or '- ' and a list's item"},
    {"? [a]\n: b\n",
     "1:3+1 key: a key that is not a word; a key is one of the words that a record knows, then ':'"},
    {"[a]: b\n",
     "1:1+1 key: a key that is not a word; a key is one of the words that a record knows, then ':'"},
    {"\"a\\x41\": b\n",
     "1:2+5 key: a key that is not written as it reads; write the key without escapes"},
    {": b\n",
     "1:1+1 frame: this line does not fit where it stands; the keys of one map stand exactly below each other"},
    {"a:\n  b:\n    c:\n      d:\n        e: f\n",
     "5:9+1 too-deep: lists and maps nested too deep; a record has at most four within each other"},
    {"a: b: c\n",
     "1:5+1 frame: this ':' does not belong here; a value that holds a colon and a blank is written in double quotes"},
    {"a:\n  - x: b; see: c\n",
     "2:14+1 frame: this ':' does not belong here; a value that holds a colon and a blank is written in double quotes"},
    {"a: b\nhello\n",
     "2:1+1 frame: a line without a key and a colon; a line is 'key: value', or '- ' and a list's item"},
    {"a: b\n c: d\n",
     "1:4+1 several-lines: a text that goes on over the next line; write the text on one line; a key or an item begins a line of its own\n2:3+1 frame: this ':' does not belong here; a value that holds a colon and a blank is written in double quotes"},
    {"a:\n   b: c\n  d: e\n",
     "3:3+1 frame: this line does not fit where it stands; the keys of one map stand exactly below each other"},
    {"a:\n  - b\n - c\n",
     "3:2+1 frame: this line does not fit where it stands; the keys of one map stand exactly below each other"},
    {"a: b\n\tc: d\n", "2:1+8 frame: a tab where blanks belong; indent with blanks"},
    {"a: \"b\nc: d\n",
     "1:4+1 frame: a quote that is not closed; write the closing quote on the same line"},
    {"a: b's\nc: 'd\n",
     "2:4+1 frame: a quote that is not closed; write the closing quote on the same line"},
    {"a: [b, c",
     "1:4+1 frame: a list that is not closed; write ']' after its last item and ',' between two"},
    {"a: [b, c\nd: e\n",
     "1:4+1 frame: a list that is not closed; write ']' after its last item and ',' between two\n1:8+1 several-lines: a text that goes on over the next line; write the text on one line; a key or an item begins a line of its own"},
    {"a: b]\nc: ]d\n",
     "2:4+1 frame: a value is missing here; write it, or remove the comma or colon before this place"},
    {"a: @b\n",
     "1:4+1 frame: this character cannot begin a value; write the value in double quotes; indent with blanks, not with tabs"},
    {"a: `b\n",
     "1:4+1 frame: this character cannot begin a value; write the value in double quotes; indent with blanks, not with tabs"},
    {"a: %b\n",
     "1:4+1 frame: this character cannot begin a value; write the value in double quotes; indent with blanks, not with tabs"},
    {"a: - b\n",
     "1:4+1 frame: this '-' does not belong here; the items of a list stand on lines of their own below its key"},
    {"a: \"\\q\"\n", "1:5+1 frame: an unknown escape in a quoted text; write the character itself"},
    {"a: \"\\ud800\"\n", "1:7+1 frame: an escape of no character; write the character itself"},
    {"a: \"\\0\"\n",
     "1:4+4 control-character: an escape makes a character that no line can hold; write a text of one line"},
    {"a: \"b\\nc\"\n",
     "1:4+6 control-character: an escape makes a character that no line can hold; write a text of one line"},
    {"a: \"\\u0007\"\n",
     "1:4+8 control-character: an escape makes a character that no line can hold; write a text of one line"},
    {"a: \"\\u202e\"\n",
     "1:4+8 control-character: an escape makes a character that no line can hold; write a text of one line"},
    {"a: b\n\xEF\xBB\xBF"
     "c: d\n",
     "2:1+1 control-character: a character that cannot be seen; remove it, or write the line anew"},
    {"a: \xEF\xBF\xBF\n",
     "1:4+1 control-character: a character that cannot be seen; remove it, or write the line anew"},
    {"a: [\xC3\xA9, \"\xE6\x97\xA5\xE6\x9C\xAC\", x] # y\n",
     "1:19+3 comment-after-value: a comment after a value; a comment stands on a line of its own; a text that holds ' #' stands in double quotes"},
    {"a: b\n- c\n",
     "2:1+1 frame: this line does not fit where it stands; the keys of one map stand exactly below each other"},
};

static void test_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        struct reading reading;
        frame_of(&reading, refused[i].text, strlen(refused[i].text));
        assert_null(reading.root);
        assert_string_equal(told(&reading), refused[i].told);
        arena_end(&reading.arena);
    }
}

/* ---- sizes ------------------------------------------------------------------------------ */

/* Repeats `unit` until the text has about `size` bytes. Freed by the caller. */
static char *repeated(const char *begin, const char *unit, const char *end, size_t count)
{
    size_t size = strlen(begin) + strlen(end) + count * strlen(unit) + 1;
    char *text = malloc(size), *at = text;
    assert_non_null(text);
    at += sprintf(at, "%s", begin);
    for (size_t i = 0; i < count; i++) {
        memcpy(at, unit, strlen(unit));
        at += strlen(unit);
    }
    memcpy(at, end, strlen(end) + 1);
    return text;
}

static void check_large(const char *begin, const char *unit, const char *end, size_t count,
                        const char *code)
{
    char *text = repeated(begin, unit, end, count);
    struct reading reading;
    frame_of(&reading, text, strlen(text));
    if (code) {
        assert_null(reading.root);
        assert_true(reading.problems.count > 0);
        assert_string_equal(reading.problems.items[0].code, code);
    } else {
        assert_string_equal(told(&reading), "");
        assert_non_null(reading.root);
    }
    arena_end(&reading.arena);
    free(text);
}

static void test_sizes(void **state)
{
    (void)state;
    check_large("a: [", "b, ", "c]\n", 90000, NULL);
    check_large("a: [", "b, ", "c]\n", 100000, "too-many");
    check_large("a:\n", "  - b\n", "", 99000, NULL);
    check_large("a: \"", "x", "\"\n", 1000000, NULL);
    check_large("a: ", "[", "\n", 100000, "too-deep");
    check_large("a: ", "[\n", "\n", 100000, "too-deep");
    check_large("a: ", "{", "\n", 100000, "braces");
    check_large("a:\n", "- ", "b\n", 100000, "too-deep");
    check_large("a: b\n", "a: b\n", "", 600, "doubled-key");
    check_large("", "# note\n", "a: b\n", 100000, NULL);
    check_large("a: b", "\n", "", 1000000, NULL);
    check_large("a: b", " ", "\n", 1000000, NULL);
    check_large("a", "a", ": b\n", 1000000, "frame");
    check_large("a: b\n", "\xC3\xA9", ": b\n", 400, NULL);
}

static void test_many_keys(void **state)
{
    (void)state;
    for (size_t count = FRAME_KEYS; count <= FRAME_KEYS + 1; count++) {
        struct reading reading;
        char text[16 * (FRAME_KEYS + 1)] = "";
        for (size_t i = 0, at = 0; i < count; i++) {
            at += (size_t)sprintf(text + at, "k%zu: v\n", i);
        }
        frame_of(&reading, text, strlen(text));
        assert_string_equal(told(&reading),
                            count == FRAME_KEYS
                                ? ""
                                : "501:1+4 too-many: too many keys in one map; a map holds at "
                                  "most 500 keys");
        arena_end(&reading.arena);
    }
}

/* ---- when memory ends --------------------------------------------------------------------- */

/* True when the allocation was refused and the call came to its escape. What libyaml holds
 * then is seen by the leak check of the address sanitizer. */
static bool escapes_at(size_t at, const char *text)
{
    struct fail_alloc memory = {0};
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    struct escape escape = {.status = STAVE_OK};
    struct arena arena;
    struct problems problems;
    arena_begin(&arena, &allocator, &escape);
    problems_begin(&problems, &arena);
    fail_alloc_arm(&memory, at, false);
    volatile bool ended = false;
    if (setjmp(escape.to)) {
        ended = true;
    } else {
        struct stave_text given = {"r", text, strlen(text)};
        struct source *source = source_open(&arena, &given, SOURCE_RECORD_LIMIT, &problems);
        assert_non_null(source);
        assert_non_null(frame_read(&arena, source, &problems));
    }
    fail_alloc_disarm(&memory);
    assert_int_equal(escape.status, ended ? STAVE_NO_MEMORY : STAVE_OK);
    assert_ptr_equal(arena.escape, &escape);
    arena_end(&arena);
    assert_int_equal(memory.live_blocks, 0);
    return ended;
}

/* Each allocation of the arena is refused in turn. */
static void test_no_memory(void **state)
{
    (void)state;
    char *text = repeated("a:\n", "  - [b, \"c\", d]\n", "e: f\n", 3000);
    size_t refusals = 0;
    while (escapes_at(refusals + 1, text)) {
        refusals++;
    }
    free(text);
    printf("%zu refusals\n", refusals);
    assert_true(refusals > 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_accepted),  cmocka_unit_test(test_places_are_bytes),
        cmocka_unit_test(test_refused),   cmocka_unit_test(test_sizes),
        cmocka_unit_test(test_many_keys), cmocka_unit_test(test_no_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
