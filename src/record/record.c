/* A record from its text: the keys, who and when, and then what the other files read. */
#include "record/record.h"

#include <string.h>

#include "base/text.h"
#include "read/read.h"
#include "record/intake.h"

/* ---- keys ---------------------------------------------------------------------- */

enum asked_when { ALWAYS, NEVER, FOR_FITTED, FOR_CHECKS };

static const struct known_key {
    const char *name;
    enum asked_when asked;
} known_keys[] = {
    {"propeller", ALWAYS},  {"model", ALWAYS},    {"book", ALWAYS},       {"aircraft", ALWAYS},
    {"inspector", ALWAYS},  {"date", ALWAYS},     {"hours", ALWAYS},      {"cycles", NEVER},
    {"fitted", FOR_FITTED}, {"searched", ALWAYS}, {"checks", FOR_CHECKS}, {"findings", ALWAYS},
    {"repaired", NEVER},    {"remarks", NEVER},   {"end", ALWAYS},
};
enum { KNOWN_KEYS = sizeof known_keys / sizeof *known_keys };

static bool is_asked(const struct book *book, enum asked_when when)
{
    if (when == FOR_FITTED) {
        for (uint32_t i = 0; i < book->part_count; i++) {
            if (book->parts[i].where_fitted) {
                return true;
            }
        }
        return false;
    }
    return when == ALWAYS || (when == FOR_CHECKS && book->check_start < book->kind_count);
}

/* All keys that a record of this book may have. */
static const char **all_keys(struct intake *intake, uint32_t *count)
{
    const struct book *book = intake->book;
    const char **names =
        ARENA_ARRAY(intake->arena, const char *, (size_t)KNOWN_KEYS + book->part_count + 1);
    *count = 0;
    for (uint32_t i = 0; i < KNOWN_KEYS; i++) {
        names[(*count)++] = known_keys[i].name;
    }
    for (uint32_t i = 0; i < book->part_count; i++) {
        if (book->parts[i].count == PART_COUNTED) {
            names[(*count)++] = parts_count_key(intake, &book->parts[i]);
        }
    }
    if (book->family && book->family->fact_count) {
        names[(*count)++] = "facts";
    }
    return names;
}

static void unknown_keys(struct intake *intake)
{
    uint32_t count;
    const char **names = all_keys(intake, &count);
    for (const struct frame_node *node = intake->root->children; node; node = node->next) {
        bool known = false;
        for (uint32_t i = 0; i < count; i++) {
            known = known || strcmp(names[i], node->key) == 0;
        }
        if (!known) {
            struct stave_problem *problem =
                problem_add(intake->problems, STAVE_ERROR, "unknown-key", node->key_span,
                            "unknown key '%s'", node->key);
            value_suggest(intake, problem, node->key, names, count, "a record has");
        }
    }
}

static void key_missing(struct intake *intake, const char *name)
{
    const struct frame_node *end = frame_find(intake->root, "end");
    if (!frame_find(intake->root, name)) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "missing-key", end->key_span,
                                 "the record has no '%s'", name),
                     intake->problems, "write '%s: ...' on a line of its own above this one", name);
    }
}

static void missing_keys(struct intake *intake)
{
    const struct book *book = intake->book;
    for (uint32_t i = 0; i < KNOWN_KEYS; i++) {
        if (is_asked(book, known_keys[i].asked)) {
            key_missing(intake, known_keys[i].name);
        }
    }
    for (uint32_t i = 0; i < book->part_count; i++) {
        if (book->parts[i].count == PART_COUNTED) {
            key_missing(intake, parts_count_key(intake, &book->parts[i]));
        }
    }
}

/* The last key is `end`: what comes after a record's last line, or never came, is a fault. */
static void keys_check(struct intake *intake)
{
    const struct frame_node *end = frame_find(intake->root, "end");
    unknown_keys(intake);
    if (!end) {
        struct span at = {intake->root->span.source, intake->root->span.to, intake->root->span.to};
        problem_help(problem_add(intake->problems, STAVE_ERROR, "cut-off", at,
                                 "the record has no end: it may have been cut off"),
                     intake->problems, "a whole record ends with 'end: N findings'");
        return;
    }
    missing_keys(intake);
    if (end->next) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "end", end->next->key_span,
                                 "'%s' stands after the end of the record", end->next->key),
                     intake->problems, "move it above 'end'");
    }
}

/* ---- who, when and which book ------------------------------------------------------ */

/* The text of a key, or NULL when it is missing or not a text. */
static const char *head_text(struct intake *intake, const char *key)
{
    const struct frame_node *node = frame_find(intake->root, key);
    return node ? value_text(intake, node) : NULL;
}

/* A record for another book is judged no further: its words would only be unknown here. */
static bool book_agrees(struct intake *intake)
{
    const struct book *book = intake->record->made_by ? intake->record->made_by : intake->book;
    const char *said = head_text(intake, "book");
    const char *wanted = text_format(intake->arena, "%s %s", book->id, book->edition);
    if (!said || strcmp(said, wanted) == 0) {
        return true;
    }
    size_t size = strlen(book->id);
    bool same_book = strncmp(said, book->id, size) == 0 && (said[size] == ' ' || !said[size]);
    const struct frame_node *node = frame_find(intake->root, "book");
    problem_help(problem_add(intake->problems, STAVE_ERROR,
                             same_book ? "other-edition" : "other-book", node->span,
                             "the record is for another %s: '%s', not '%s'",
                             same_book ? "edition" : "book", said, wanted),
                 intake->problems, "use the book that the inspection was made by, or inspect anew");
    return false;
}

static void model_agrees(struct intake *intake)
{
    const struct book *book = intake->book;
    const char *said = intake->record->model = head_text(intake, "model");
    const char *own[] = {book->id};
    const char *const *models = book->model_count ? (const char *const *)book->models : own;
    uint32_t count = book->model_count ? book->model_count : 1;
    for (uint32_t i = 0; said && i < count; i++) {
        if (strcmp(said, models[i]) == 0) {
            return;
        }
    }
    if (said) {
        struct stave_problem *problem = problem_add(intake->problems, STAVE_ERROR, "other-model",
                                                    frame_find(intake->root, "model")->span,
                                                    "the book is not for model '%s'", said);
        value_suggest(intake, problem, said, models, count, "it is for");
    }
}

static uint32_t days_in_month(uint32_t year, uint32_t month)
{
    static const unsigned char days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap ? 1u : 0u);
}

/* A day of the calendar, written 2026-11-25. */
static bool is_date(const char *text)
{
    static const char form[] = "dddd-dd-dd";
    if (strlen(text) != sizeof form - 1) {
        return false;
    }
    uint32_t number[3] = {0, 0, 0};
    for (size_t i = 0, n = 0; i < sizeof form - 1; i++) {
        bool digit = text[i] >= '0' && text[i] <= '9';
        if (digit != (form[i] == 'd') || (!digit && text[i] != '-')) {
            return false;
        }
        if (digit) {
            number[n] = number[n] * 10 + (uint32_t)(text[i] - '0');
        } else {
            n++;
        }
    }
    return number[0] >= 1900 && number[1] >= 1 && number[1] <= 12 && number[2] >= 1 &&
           number[2] <= days_in_month(number[0], number[1]);
}

static void date_read(struct intake *intake)
{
    const char *said = intake->record->date = head_text(intake, "date");
    if (said && !is_date(said)) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "not-a-date",
                                 frame_find(intake->root, "date")->span,
                                 "'%s' is not a day of the calendar", said),
                     intake->problems, "write year, month and day as in 2026-11-25");
    }
}

/* One exact figure with a unit of the same dimension as `example`'s. False with errors. */
static bool exact_figure(struct intake *intake, const struct frame_node *node, const char *unit,
                         struct number *value)
{
    const struct tree_range *range =
        value_readable(intake, node) ? read_range(intake->arena, node->span, intake->problems)
                                     : NULL;
    if (!range) {
        return false;
    }
    const struct tree_quantity *typed = range->from.middle;
    const char *fault = NULL;
    if (range->to.middle || range->from.doubt) {
        fault = "is not one exact figure";
    } else if (!typed->unit || typed->unit == unit_none()) {
        fault = "has no unit";
    } else if (!dimension_equal(typed->unit->dimension, unit_find(unit, strlen(unit))->dimension)) {
        fault = "has a unit of something else";
    }
    if (fault) {
        problem_help(problem_add(intake->problems, STAVE_ERROR, "not-a-figure", node->span,
                                 "'%s' %s", node->key, fault),
                     intake->problems, "write one figure and its unit, such as '812.4 %s'", unit);
    }
    *value = typed->value;
    return !fault;
}

static struct span value_span(struct intake *intake, const char *key)
{
    const struct frame_node *node = frame_find(intake->root, key);
    return node ? node->span : (struct span){0};
}

static void head_read(struct intake *intake)
{
    struct record *record = intake->record;
    record->propeller = head_text(intake, "propeller");
    record->at.propeller = value_span(intake, "propeller");
    record->at.model = value_span(intake, "model");
    record->at.date = value_span(intake, "date");
    record->at.hours = value_span(intake, "hours");
    record->at.cycles = value_span(intake, "cycles");
    for (uint32_t i = 0; i < intake->book->part_count; i++) {
        if (intake->book->parts[i].count == PART_COUNTED) {
            record->at.counts[i] =
                value_span(intake, parts_count_key(intake, &intake->book->parts[i]));
        }
    }
    record->aircraft = head_text(intake, "aircraft");
    record->inspector = head_text(intake, "inspector");
    record->remarks = head_text(intake, "remarks");
    model_agrees(intake);
    date_read(intake);
    const struct frame_node *hours = frame_find(intake->root, "hours");
    const struct frame_node *cycles = frame_find(intake->root, "cycles");
    if (hours && exact_figure(intake, hours, "h", &record->hours)) {
        record->has_hours = true;
        record->hours_text = hours->text;
    }
    if (cycles && exact_figure(intake, cycles, "cycles", &record->cycles)) {
        record->has_cycles = true;
    }
}

/* ---- the whole ------------------------------------------------------------------------- */

static struct record *record_new(struct arena *arena, const struct book *book)
{
    struct record *record = ARENA_NEW(arena, struct record);
    record->arena = arena;
    record->book = book;
    record->hours = record->cycles = NUMBER_ZERO;
    problems_begin(&record->problems, arena);
    return record;
}

/* "blades" for "blades" or for "airfoils". */
static const char *rename_key(struct intake *intake, const char *key)
{
    const char *renamed = rename_text(intake->renames, key);
    size_t size = strlen(key);
    if (renamed == key && size > 1 && key[size - 1] == 's') {
        const char *one = arena_copy_text(intake->arena, key, size - 1);
        renamed = rename_text(intake->renames, one);
        return renamed == one ? key : text_format(intake->arena, "%ss", renamed);
    }
    return renamed;
}

/* Says the names of parts and checks as the book says them; findings are renamed line by line, and
 * facts are of the propeller, which no mapping speaks of. */
static void rename_keys(struct intake *intake, struct frame_node *map)
{
    for (struct frame_node *node = map->children; node; node = node->next) {
        if (node->key && strcmp(node->key, "findings") != 0 && strcmp(node->key, "facts") != 0) {
            node->key = rename_key(intake, node->key);
            if (node->sort == FRAME_MAP) {
                rename_keys(intake, node);
            }
        }
    }
}

static void record_fill(struct record *record, struct frame_node *root,
                        const struct renames *renames, const struct model *const *models,
                        uint32_t model_count)
{
    struct arena *arena = record->arena;
    uint32_t parts = record->book->part_count;
    struct intake intake = {
        .arena = arena,
        .book = record->book,
        .problems = &record->problems,
        .record = record,
        .renames = renames,
        .models = models,
        .model_count = model_count,
        .root = root,
        .positions = ARENA_ARRAY(arena, uint32_t, parts),
        .counted = ARENA_ARRAY(arena, bool, parts),
        .resolved = ARENA_ARRAY(arena, bool, parts),
        .searched = ARENA_ARRAY(arena, uint64_t, parts),
        .search_at = ARENA_ARRAY(arena, struct span, parts),
    };
    record->instances = ARENA_ARRAY(arena, uint32_t, parts);
    record->fitted = ARENA_ARRAY(arena, uint64_t, parts);
    record->fitted_known = ARENA_ARRAY(arena, bool, parts);
    record->at.counts = ARENA_ARRAY(arena, struct span, parts);
    if (book_agrees(&intake)) {
        keys_check(&intake);
        head_read(&intake);
        parts_read(&intake);
        searched_read(&intake);
        answers_read(&intake);
        findings_read(&intake);
        repaired_read(&intake);
    }
}

/* A record of a family: read by each model that it may be of, by what it says of the facts. */
static void family_fill(struct record *record, struct frame_node *root,
                        const struct renames *renames)
{
    struct arena *arena = record->arena;
    const struct model *models[FAMILY_MODELS];
    struct intake intake = {.arena = arena,
                            .book = record->book,
                            .problems = &record->problems,
                            .record = record,
                            .root = root};
    uint32_t count = book_agrees(&intake) ? choice_read(&intake, models) : 0;
    if (!count) {
        return;
    }
    const struct problems **lists = ARENA_ARRAY(arena, const struct problems *, count);
    const char **names = ARENA_ARRAY(arena, const char *, count);
    record->others = ARENA_ARRAY(arena, struct record *, count);
    for (uint32_t i = 0; i < count; i++) {
        struct record *each = record_new(arena, models[i]->book);
        each->source = record->source;
        each->made_by = record->made_by;
        record_fill(each, root, renames, models, count > 1 ? count : 0);
        each->facts_text = record->facts_text;
        each->family = record->family;
        each->facts = record->facts;
        each->at.facts = record->at.facts;
        lists[i] = &each->problems;
        names[i] = models[i]->name;
        record->others[i] = each;
    }
    struct record all = *record->others[0];
    problems_join(&record->problems, lists, names, count);
    all.problems = record->problems;
    all.others = record->others + 1;
    all.other_count = count - 1;
    all.model_open = record->model_open;
    all.open_fact = record->open_fact;
    all.open_why = record->open_why;
    *record = all;
}

struct record *record_read_anew(struct arena *arena, const struct book *book,
                                const struct book *made_by, const struct renames *renames,
                                const struct stave_text *text)
{
    struct record *record = record_new(arena, book);
    record->made_by = made_by;
    record->source = source_open(arena, text, SOURCE_RECORD_LIMIT, &record->problems);
    struct frame_node *root =
        record->source ? frame_read(arena, record->source, &record->problems) : NULL;
    if (root && renames) {
        struct intake intake = {.arena = arena, .renames = renames};
        rename_keys(&intake, root);
    }
    if (root && book->family) {
        family_fill(record, root, renames);
    } else if (root) {
        record_fill(record, root, renames, NULL, 0);
    }
    problems_sort(&record->problems);
    return record;
}

struct record *record_read(struct arena *arena, const struct book *book,
                           const struct stave_text *text)
{
    return record_read_anew(arena, book, NULL, NULL, text);
}

/* ---- one line ------------------------------------------------------------------------------ */

/* The line without its line end; false with an error when it is more than one. */
static bool line_span(struct record *record, struct span *line)
{
    struct source *source = record->source;
    uint32_t end = (uint32_t)source->size;
    while (end > 0 && strchr("\r\n", source->bytes[end - 1])) {
        end--;
    }
    *line = (struct span){source, 0, end};
    const char *more = memchr(source->bytes, '\n', end);
    const char *remark = memchr(source->bytes, ';', end);
    const char *hash =
        memchr(source->bytes, '#', remark ? (size_t)(remark - source->bytes) : (size_t)end);
    if (more || hash) {
        uint32_t at = (uint32_t)((more ? more : hash) - source->bytes);
        problem_help(problem_add(&record->problems, STAVE_ERROR,
                                 more ? "several-lines" : "comment-after-value",
                                 (struct span){source, at, at + 1},
                                 more ? "more than one line" : "'#' within a value"),
                     &record->problems, "%s",
                     more ? "give one finding at a time; write several into a record"
                          : "a finding line has no comment; a remark comes after ';'");
        return false;
    }
    return true;
}

struct record *record_read_line(struct arena *arena, const struct book *book,
                                const struct stave_text *text)
{
    struct record *record = record_new(arena, book);
    struct span line;
    record->single = true;
    record->source = source_open(arena, text, SOURCE_RECORD_LIMIT, &record->problems);
    struct tree_finding *tree = NULL;
    if (record->source && line_span(record, &line)) {
        tree = read_finding(arena, line, &record->problems);
    }
    if (tree) {
        record->findings = ARENA_ARRAY(arena, struct finding *, 1);
        record->findings[0] =
            finding_resolve(arena, book, tree, NULL, NULL, "F1", &record->problems);
        record->finding_count = record->findings[0] ? 1 : 0;
    }
    problems_sort(&record->problems);
    return record;
}
