/*
 * What a proof finds fault with, as SARIF 2.1.0 (OASIS Standard, 27 March 2020), so that it shows on the
 * lines of the book where changes are reviewed.
 *
 * Sections of the standard are named where they ask for something that does not explain itself.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "show/characters.h"
#include "show/json_value.h"
#include "show/show.h"

#define SCHEMA_URI                                                                                 \
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"
#define TAB_STOP 8

/* The run under construction. */
struct log {
    const struct show_proved *proved;
    json_t *rules, *results; /* NULL once there was no memory */
};

/* ---- places -------------------------------------------------------------------------- */

/* A file's name as a URI reference (3.4.3, RFC 3986): what a URI cannot hold is in percent. */
static json_t *uri_value(const char *name)
{
    static const char plain[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~/";
    static const char hexadecimal[] = "0123456789ABCDEF";
    const char *scheme = name[0] == '/' ? "file://" : "";
    while (name[0] == '.' && name[1] == '/') {
        name += 2;
    }
    char *uri = malloc(strlen(scheme) + 3 * strlen(name) + 1);
    if (!uri) {
        return NULL;
    }
    strcpy(uri, scheme);
    char *to = uri + strlen(scheme);
    for (const char *from = name; *from; from++) {
        unsigned char byte = (unsigned char)*from;
        if (strchr(plain, *from)) {
            *to++ = *from;
        } else {
            *to++ = '%';
            *to++ = hexadecimal[byte >> 4];
            *to++ = hexadecimal[byte & 15u];
        }
    }
    *to = '\0';
    json_t *value = json_string(uri);
    free(uri);
    return value;
}

static json_t *artifact_value(const char *name)
{
    struct members object = members_begin();
    members_add(&object, "uri", uri_value(name));
    if (name[0] != '/') {
        members_text(&object, "uriBaseId", "%SRCROOT%");
    }
    return members_done(&object);
}

/* The start of a line of a text and its size without the line's end; false when it is not there. */
static bool find_line(const struct show_proved *proved, const char *name, uint32_t number,
                      const char **line, size_t *size)
{
    struct stave_text text;
    if (!proved->find_text || !proved->find_text(proved->user, name, &text)) {
        return false;
    }
    const char *at = text.bytes, *end = text.bytes + text.size;
    for (uint32_t i = 1; i < number; i++) {
        const char *next = at < end ? memchr(at, '\n', (size_t)(end - at)) : NULL;
        if (!next) {
            return false;
        }
        at = next + 1;
    }
    const char *stop = at < end ? memchr(at, '\n', (size_t)(end - at)) : NULL;
    stop = stop ? stop : end;
    *line = at;
    *size = (size_t)(stop - at) - (stop > at && stop[-1] == '\r');
    return true;
}

/*
 * How many characters of a line begin before a column, which counts as stave_place does: a wide
 * character twice, a combining one not, a tab going on to its stop.
 */
static size_t characters_before(const char *line, size_t size, uint32_t column)
{
    size_t characters = 0;
    uint32_t at = 1;
    const char *end = line + size;
    while (line < end && at < column) {
        struct character character = character_read(line);
        at += *line == '\t' ? TAB_STOP - (at - 1) % TAB_STOP : character_columns(character.point);
        characters++;
        line += character.length;
    }
    return characters + (column > at ? column - at : 0);
}

/* A whole line, or with a column a stretch of it; endColumn is the one after the last (3.30.8). */
static json_t *region_of(const struct show_proved *proved, const struct stave_place *at)
{
    struct members object = members_begin();
    const char *line;
    size_t size;
    members_count(&object, "startLine", at->line);
    if (at->column > 0 && find_line(proved, at->text_name, at->line, &line, &size)) {
        uint32_t width = at->width > 0 ? at->width : 1;
        size_t start = characters_before(line, size, at->column);
        size_t end = characters_before(line, size, at->column + width);
        members_count(&object, "startColumn", start + 1);
        members_count(&object, "endColumn", (end > start ? end : start + 1) + 1);
    }
    return members_done(&object);
}

static json_t *physical_value(const struct show_proved *proved, const struct stave_place *at)
{
    struct members object = members_begin();
    members_add(&object, "artifactLocation", artifact_value(at->text_name));
    if (at->line > 0) {
        members_add(&object, "region", region_of(proved, at));
    }
    return members_done(&object);
}

static json_t *location_value(const struct show_proved *proved, const struct stave_place *at,
                              const char *message)
{
    struct members object = members_begin();
    members_add(&object, "physicalLocation", physical_value(proved, at));
    if (message) {
        struct members text = members_begin();
        members_text(&text, "text", message);
        members_add(&object, "message", members_done(&text));
    }
    return members_done(&object);
}

/* ---- rules ------------------------------------------------------------------------------ */

static json_t *message_value(const char *text)
{
    struct members object = members_begin();
    members_text(&object, "text", text);
    return members_done(&object);
}

/* The index of a rule, which is added when it is new. */
static size_t rule_index(struct log *log, const char *id, const char *text)
{
    size_t count = log->rules ? json_array_size(log->rules) : 0;
    for (size_t i = 0; i < count; i++) {
        const char *name = json_string_value(json_object_get(json_array_get(log->rules, i), "id"));
        if (name && strcmp(name, id) == 0) {
            return i;
        }
    }
    struct members object = members_begin();
    members_text(&object, "id", id);
    members_add(&object, "shortDescription", message_value(text));
    log->rules = array_append(log->rules, members_done(&object));
    return count;
}

/* ---- results ------------------------------------------------------------------------------- */

struct result {
    const char *rule, *rule_text;
    const char *level;            /* "error", "warning", "note" */
    json_t *message;              /* the text; taken over */
    const struct stave_place *at; /* text_name NULL: nowhere */
    json_t *related;              /* or NULL; taken over */
    const char *subject;          /* what stays the same when lines move, or NULL */
    const char *excuse;           /* why it is accepted, or NULL */
};

static bool nowhere(const struct stave_place *at)
{
    return !at->text_name || !at->text_name[0] || strcmp(at->text_name, "standard input") == 0;
}

static void add_result(struct log *log, const struct result *result)
{
    struct members object = members_begin();
    size_t rule = rule_index(log, result->rule, result->rule_text);
    members_text(&object, "ruleId", result->rule);
    members_count(&object, "ruleIndex", rule);
    members_text(&object, "level", result->level);
    struct members message = members_begin();
    members_add(&message, "text", result->message);
    members_add(&object, "message", members_done(&message));
    if (!nowhere(result->at)) {
        json_t *locations = json_array();
        locations = array_append(locations, location_value(log->proved, result->at, NULL));
        members_add(&object, "locations", locations);
    }
    if (result->related) {
        members_add(&object, "relatedLocations", result->related);
    }
    if (result->subject) {
        struct members prints = members_begin();
        members_text(&prints, "staveSubject/v1", result->subject);
        members_add(&object, "partialFingerprints", members_done(&prints));
    }
    if (result->excuse) {
        struct members excuse = members_begin();
        members_text(&excuse, "kind", "inSource");
        members_text(&excuse, "justification", result->excuse);
        json_t *suppressions = json_array();
        suppressions = array_append(suppressions, members_done(&excuse));
        members_add(&object, "suppressions", suppressions);
    }
    log->results = array_append(log->results, members_done(&object));
}

/* A message of several parts, those that are empty left out. */
static json_t *message_of(const char *const *parts, size_t count)
{
    struct page page;
    page_begin(&page, 0, false);
    for (size_t i = 0; i < count; i++) {
        page_raw(&page, parts[i]);
    }
    json_t *value = page.failed ? NULL : text_value(page.done.text ? page.done.text : "");
    page_end(&page);
    return value;
}
#define MESSAGE(...)                                                                               \
    message_of((const char *const[]){__VA_ARGS__},                                                 \
               sizeof((const char *const[]){__VA_ARGS__}) / sizeof(const char *))

static void add_problem(struct log *log, const struct stave_problem *problem)
{
    json_t *related = NULL;
    if (problem->second_message && !nowhere(&problem->second)) {
        related = array_append(
            json_array(), location_value(log->proved, &problem->second, problem->second_message));
    }
    bool help = problem->help != NULL;
    const struct result result = {
        .rule = problem->code,
        .rule_text =
            problem->severity == STAVE_ERROR ? "an error of the text" : "a warning about the text",
        .level = problem->severity == STAVE_ERROR ? "error" : "warning",
        .message = MESSAGE(problem->message, help ? "; " : "", help ? problem->help : ""),
        .at = &problem->at,
        .related = related,
    };
    add_result(log, &result);
}

static void add_example(struct log *log, const struct stave_example_result *example)
{
    const struct stave_place at = {.text_name = example->text_name, .line = example->line};
    const struct result result = {
        .rule = "example-fails",
        .rule_text = "a worked example comes out otherwise",
        .level = "error",
        .message = MESSAGE("expected ", example->expected, ", found ", example->found, ": ",
                           example->case_text, "; ", example->why),
        .at = &at,
        .subject = example->title,
    };
    add_result(log, &result);
}

static json_t *deciding_lines(const struct log *log, const struct stave_claim *claim)
{
    json_t *related = json_array();
    bool some = false;
    for (size_t i = 0; i < claim->region_count; i++) {
        const struct stave_region *region = &claim->regions[i];
        for (size_t k = 0; k < region->line_count; k++) {
            const struct stave_deciding *line = &region->lines[k];
            const struct stave_place at = {.text_name = line->text_name, .line = line->line};
            if (!nowhere(&at)) {
                related =
                    array_append(related, location_value(log->proved, &at,
                                                         line->text[0] ? line->text : line->limit));
                some = true;
            }
        }
    }
    if (!some) {
        json_decref(related);
        return NULL;
    }
    return related;
}

static json_t *claim_message(const struct stave_claim *claim)
{
    const struct stave_region *region = claim->region_count > 0 ? &claim->regions[0] : NULL;
    bool worse = region && region->witness_after && region->witness_after[0];
    bool shown = region && region->witness[0];
    return MESSAGE(show_answer_text(claim), ": ", show_property_text(claim->property), ": ",
                   claim->subject, claim->reason[0] ? "; " : "", claim->reason,
                   region ? "; where: " : "", region ? region->described : "",
                   shown ? "; for example: " : "", shown ? region->witness : "", shown ? ": " : "",
                   shown ? region->found[0] : "", worse ? "; and made worse: " : "",
                   worse ? region->witness_after : "", worse ? ": " : "",
                   worse ? region->found[1] : "");
}

static void add_claim(struct log *log, const struct stave_claim *claim)
{
    bool excused = claim->answer == STAVE_REFUTED && claim->exception[0];
    const struct stave_place whole = {
        .text_name = log->proved->book->text_count > 0 ? log->proved->book->texts[0].name : NULL};
    const struct result result = {
        .rule = show_property_name(claim->property),
        .rule_text = show_property_text(claim->property),
        .level = claim->answer == STAVE_NOTED        ? "note"
                 : claim->answer == STAVE_NOT_PROVED ? "warning"
                                                     : "error",
        .message = claim_message(claim),
        .at = claim->at.line > 0 ? &claim->at : &whole,
        .related = deciding_lines(log, claim),
        .subject = claim->subject,
        .excuse = excused ? claim->exception : NULL,
    };
    add_result(log, &result);
}

/* An error where so much was asked for that it stands in the way; else worth a look. */
static void add_slip(struct log *log, const struct stave_slip *slip)
{
    bool shown = slip->witness[0];
    const struct result result = {
        .rule = "slip-missed",
        .rule_text = "a slip in copying that no example would notice",
        .level = show_figures_held(log->proved) && show_slips_caught(log->proved) ? "note"
                                                                                    : "error",
        .message = MESSAGE("no example notices ", show_slip_sort(slip), ": '", slip->was, "' as '",
                           slip->now, "'", shown ? "; for example: " : "",
                           shown ? slip->witness : "", shown ? ": " : "",
                           shown ? slip->found[0] : "", shown ? ", then " : "",
                           shown ? slip->found[1] : "", slip->reason[0] ? "; " : "",
                           slip->reason),
        .at = &slip->at,
    };
    add_result(log, &result);
}

static void add_all(struct log *log)
{
    const struct show_proved *proved = log->proved;
    for (int list = 0; list < 2; list++) {
        for (size_t i = 0; i < proved->problem_counts[list]; i++) {
            add_problem(log, &proved->problems[list][i]);
        }
    }
    const stave_proof *examples = proved->examples;
    if (examples && examples->result_count == 0) {
        const struct stave_place at = {
            .text_name = proved->book->text_count > 0 ? proved->book->texts[0].name : NULL};
        const struct result result = {
            .rule = "no-examples",
            .rule_text = "a book has worked examples",
            .level = "error",
            .message = text_value("the book has no examples, so none of its figures is held"),
            .at = &at,
        };
        add_result(log, &result);
    }
    for (size_t i = 0; examples && i < examples->result_count; i++) {
        if (!examples->results[i].passed) {
            add_example(log, &examples->results[i]);
        }
    }
    const stave_pinning *pinning = proved->pinning;
    for (size_t i = 0; pinning && !pinning->stopped && i < pinning->slip_count; i++) {
        if (pinning->slips[i].answer == STAVE_SLIP_MISSED) {
            add_slip(log, &pinning->slips[i]);
        }
    }
    for (size_t i = 0; proved->claims && i < proved->claims->claim_count; i++) {
        /* What was not reached is told by executionSuccessful, not thousands of times. */
        if (proved->claims->claims[i].answer != STAVE_PROVED &&
            !show_claim_unreached(&proved->claims->claims[i])) {
            add_claim(log, &proved->claims->claims[i]);
        }
    }
}

/* ---- the whole log ------------------------------------------------------------------------- */

static json_t *text_artifact(const struct stave_digest *digest)
{
    struct members hashes = members_begin();
    members_text(&hashes, "sha-256", digest->sha256);
    struct members object = members_begin();
    members_add(&object, "location", artifact_value(digest->name));
    members_add(&object, "hashes", members_done(&hashes));
    return members_done(&object);
}

static json_t *tool_value(json_t *rules)
{
    struct members driver = members_begin();
    members_text(&driver, "name", "stave");
    members_text(&driver, "version", stave_version());
    members_text(&driver, "semanticVersion", stave_version());
    members_add(&driver, "rules", rules);
    struct members tool = members_begin();
    members_add(&tool, "driver", members_done(&driver));
    return members_done(&tool);
}

void show_proof_sarif(struct page *page, const struct show_proved *proved)
{
    struct log log = {.proved = proved, .rules = json_array(), .results = json_array()};
    add_all(&log);
    bool whole = proved->book != NULL && !(proved->claims && proved->claims->stopped) &&
                 !(proved->pinning && proved->pinning->stopped);
    struct members invocation = members_begin();
    members_bool(&invocation, "executionSuccessful", whole);
    struct members run = members_begin();
    members_add(&run, "tool", tool_value(log.rules));
    members_add(&run, "invocations", array_append(json_array(), members_done(&invocation)));
    /* Columns count characters, not bytes or halves of them (3.14.27). */
    members_text(&run, "columnKind", "unicodeCodePoints");
    if (proved->book) {
        json_t *artifacts = json_array();
        for (size_t i = 0; i < proved->book->text_count; i++) {
            if (strcmp(proved->book->texts[i].name, "standard input") != 0) {
                artifacts = array_append(artifacts, text_artifact(&proved->book->texts[i]));
            }
        }
        members_add(&run, "artifacts", artifacts);
    }
    members_add(&run, "results", log.results);
    struct members object = members_begin();
    members_text(&object, "$schema", SCHEMA_URI);
    members_text(&object, "version", "2.1.0");
    members_add(&object, "runs", array_append(json_array(), members_done(&run)));
    document_send(page, members_done(&object));
}
