/*
 * The general road: a row becomes the tree of a finding line, and everything from there on is
 * what one question takes. No cell is ever read as part of a line, so none can say more than
 * its column.
 */
#include <string.h>

#include "base/text.h"
#include "read/read.h"
#include "sweep/fast.h"

/* A row on its way to a finding. */
struct reading_row {
    struct arena *arena;
    const struct row *row;
    struct problems problems;
    struct source *source; /* holds every cell that is looked at, each in a line of its own */
    uint32_t *offsets;     /* by cell: where it begins there */
    struct tree_finding line;
    struct tree_place **next_place;
    struct tree_reading **next_reading;
    const char *reason;
};

struct cell row_cell(const struct row *row, int32_t column)
{
    return column < 0 ? (struct cell){"", 0} : row->cells[column];
}

static bool is_looked_at(const struct column *column)
{
    return column->sort >= COLUMN_PART && column->sort != COLUMN_REMARK;
}

static bool refuse(struct reading_row *reading, const char *reason)
{
    reading->reason = reading->reason ? reading->reason : reason;
    return false;
}

/* ---- cells as a text --------------------------------------------------------------------------- */

/* Characters that would end a cell, or hide a part of it, if it were a line of a book. */
static const char *odd_character(struct arena *arena, const struct cell *cell, const char *title)
{
    for (uint32_t i = 0; i < cell->size; i++) {
        unsigned char c = (unsigned char)cell->bytes[i];
        if (c < ' ' || c == 127) {
            return text_format(arena, "%s: a control character", title);
        }
        if (c == '#' || c == ';' || c == '"') {
            return text_format(arena, "%s: '%c' has no place in it", title, c);
        }
    }
    return NULL;
}

static bool is_text(struct arena *arena, const struct cell *cell, const char *title,
                    const char **reason)
{
    if (memchr(cell->bytes, '\0', cell->size)) {
        *reason = text_format(arena, "%s: a NUL byte", title);
        return false;
    }
    if (text_first_bad_utf8(cell->bytes, cell->size) != cell->size) {
        *reason = text_format(arena, "%s: a byte that is not UTF-8", title);
        return false;
    }
    return true;
}

static bool check_cell(struct reading_row *reading, const struct column *column,
                       const struct cell *cell)
{
    const char *reason = NULL;
    if (!is_text(reading->arena, cell, column->title, &reason)) {
        return refuse(reading, reason);
    }
    if (!is_looked_at(column)) {
        return true;
    }
    if (cell->size > SWEEP_CELL_LIMIT) {
        return refuse(reading, text_format(reading->arena, "%s: longer than %u bytes",
                                           column->title, SWEEP_CELL_LIMIT));
    }
    reason = odd_character(reading->arena, cell, column->title);
    return !reason || refuse(reading, reason);
}

static bool open_cells(struct reading_row *reading)
{
    const struct row *row = reading->row;
    struct text text;
    text_begin(&text, reading->arena);
    text_add(&text, "row\n"); /* so that no cell begins the text */
    reading->offsets = ARENA_ARRAY(reading->arena, uint32_t, row->count);
    for (uint32_t i = 0; i < row->count; i++) {
        if (!check_cell(reading, &row->columns[i], &row->cells[i])) {
            return false;
        }
        if (is_looked_at(&row->columns[i])) {
            reading->offsets[i] = (uint32_t)text.size;
            text_add_bytes(&text, row->cells[i].bytes, row->cells[i].size);
            text_add_char(&text, '\n');
        }
    }
    const struct stave_text opened = {"row", text_done(&text), text.size};
    reading->source = source_open(reading->arena, &opened, SOURCE_RECORD_LIMIT, &reading->problems);
    return reading->source != NULL;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

struct cell cell_trim(struct cell cell)
{
    while (cell.size > 0 && is_blank(cell.bytes[0])) {
        cell.bytes++;
        cell.size--;
    }
    while (cell.size > 0 && is_blank(cell.bytes[cell.size - 1])) {
        cell.size--;
    }
    return cell;
}

/* What a cell holds, as a stretch of the source. */
static struct span cell_span(const struct reading_row *reading, uint32_t index)
{
    const char *bytes = reading->source->bytes + reading->offsets[index];
    struct cell held = cell_trim((struct cell){bytes, reading->row->cells[index].size});
    uint32_t from = reading->offsets[index] + (uint32_t)(held.bytes - bytes);
    return (struct span){reading->source, from, from + held.size};
}

static struct tree_word word_of(const struct reading_row *reading, struct span span)
{
    return (struct tree_word){
        arena_copy_text(reading->arena, span.source->bytes + span.from, span.to - span.from), span};
}

static bool span_is(struct span span, const char *words)
{
    return strlen(words) == span.to - span.from &&
           memcmp(span.source->bytes + span.from, words, span.to - span.from) == 0;
}

/* ---- figures -------------------------------------------------------------------------------------- */

static void give_unit(struct arena *arena, struct tree_quantity *quantity, const struct unit *unit)
{
    quantity->unit = unit;
    quantity->value = number_multiply(arena, quantity->figure, unit->factor);
}

static bool has_unit(const struct tree_quantity *quantity)
{
    return quantity->unit && quantity->unit != unit_none();
}

/* The unit of the column, where the cell names none at all. */
static void give_units(struct arena *arena, struct tree_range *range, const struct unit *unit)
{
    struct tree_amount *amounts[] = {&range->from, &range->to};
    size_t count = range->to.middle ? 2 : 1;
    for (size_t i = 0; i < count; i++) {
        if (has_unit(amounts[i]->middle) || (amounts[i]->doubt && has_unit(amounts[i]->doubt))) {
            return;
        }
    }
    for (size_t i = 0; i < count; i++) {
        give_unit(arena, amounts[i]->middle, unit);
        if (amounts[i]->doubt) {
            give_unit(arena, amounts[i]->doubt, unit);
        }
    }
}

/* NULL: the row is refused. */
static struct tree_range *cell_range(struct reading_row *reading, uint32_t index, struct span span)
{
    const struct column *column = &reading->row->columns[index];
    struct tree_range *range = read_range(reading->arena, span, &reading->problems);
    if (!range) {
        refuse(reading, text_format(reading->arena, "%s: ", column->title));
        return NULL;
    }
    if (column->unit) {
        give_units(reading->arena, range, column->unit);
    }
    return range;
}

/* ---- cells, one by one ------------------------------------------------------------------------------ */

static struct tree_reading *add_reading(struct reading_row *reading, enum tree_reading_sort sort,
                                        uint32_t index, struct span span)
{
    struct tree_reading *added = ARENA_NEW(reading->arena, struct tree_reading);
    *added = (struct tree_reading){
        .sort = sort,
        .span = span,
        .name = {reading->row->columns[index].name, span},
    };
    *reading->next_reading = added;
    reading->next_reading = &added->next;
    return added;
}

static struct tree_place *add_place(struct reading_row *reading, struct tree_word name,
                                    struct span span)
{
    struct tree_place *added = ARENA_NEW(reading->arena, struct tree_place);
    *added = (struct tree_place){.name = name, .span = span};
    *reading->next_place = added;
    reading->next_place = &added->next;
    return added;
}

static bool take_measure(struct reading_row *reading, uint32_t index, struct span span)
{
    enum column_sort sort = reading->row->columns[index].sort;
    if (sort == COLUMN_MEASURE && span_is(span, "not measured")) {
        add_reading(reading, TREE_READ_MISSING, index, span);
        return true;
    }
    struct tree_range *range = cell_range(reading, index, span);
    if (!range) {
        return false;
    }
    enum tree_reading_sort how = sort == COLUMN_WAS     ? TREE_READ_WAS
                                 : sort == COLUMN_FIRST ? TREE_READ_FIRST
                                                        : TREE_READ_RANGE;
    add_reading(reading, how, index, span)->range = range;
    return true;
}

static bool take_axis(struct reading_row *reading, uint32_t index, struct span span)
{
    struct tree_range *range = cell_range(reading, index, span);
    if (!range) {
        return false;
    }
    struct tree_place *place =
        add_place(reading, (struct tree_word){reading->row->columns[index].name, span}, span);
    place->range = range;
    return true;
}

/* "spanwise or slanted": the words between. */
static struct tree_words *words_of(struct reading_row *reading, struct span span)
{
    struct tree_words *first = NULL, **next = &first;
    const char *bytes = span.source->bytes;
    struct span word = {span.source, span.from, span.from};
    while (word.from < span.to) {
        const char *rest = bytes + word.from;
        size_t left = span.to - word.from;
        size_t size = 0;
        while (size < left && !(left - size > 4 && memcmp(rest + size, " or ", 4) == 0)) {
            size++;
        }
        word.to = word.from + (uint32_t)size;
        *next = ARENA_NEW(reading->arena, struct tree_words);
        (*next)->word = word_of(reading, word);
        next = &(*next)->next;
        word.from = size < left ? word.to + 4 : span.to;
    }
    return first;
}

static bool take_observation(struct reading_row *reading, uint32_t index, struct span span)
{
    if (span_is(span, "not seen")) {
        add_reading(reading, TREE_READ_MISSING, index, span);
    } else {
        add_reading(reading, TREE_READ_VALUES, index, span)->values = words_of(reading, span);
    }
    return true;
}

static bool take_new(struct reading_row *reading, uint32_t index, struct span span)
{
    if (span_is(span, "yes")) {
        add_reading(reading, TREE_READ_NEW, index, span);
        return true;
    }
    return span_is(span, "no") ||
           refuse(reading, text_format(reading->arena, "%s: neither 'yes' nor 'no'",
                                       reading->row->columns[index].title));
}

/* "blade 3": the number is what stands behind the last blank, where it begins with a digit. */
static bool take_part(struct reading_row *reading, struct span span)
{
    const char *bytes = span.source->bytes;
    uint32_t blank = span.to;
    while (blank > span.from && !is_blank(bytes[blank - 1])) {
        blank--;
    }
    struct span name = span;
    if (blank > span.from && bytes[blank] >= '0' && bytes[blank] <= '9') {
        struct span number = {span.source, blank, span.to};
        if (reading->line.instance.text) {
            return refuse(reading, "the number of the part is there twice");
        }
        reading->line.instance = word_of(reading, number);
        for (name.to = blank; name.to > name.from && is_blank(bytes[name.to - 1]);) {
            name.to--;
        }
    }
    reading->line.part = word_of(reading, name);
    return true;
}

static bool take_cell(struct reading_row *reading, uint32_t index)
{
    struct span span = cell_span(reading, index);
    if (span.from == span.to) {
        return true; /* not given */
    }
    switch (reading->row->columns[index].sort) {
    case COLUMN_PART:
        return take_part(reading, span);
    case COLUMN_NUMBER:
        if (reading->line.instance.text) {
            return refuse(reading, "the number of the part is there twice");
        }
        reading->line.instance = word_of(reading, span);
        return true;
    case COLUMN_KIND:
        reading->line.kind = word_of(reading, span);
        return true;
    case COLUMN_SIDE:
    case COLUMN_PLACE:
        add_place(reading, word_of(reading, span), span);
        return true;
    case COLUMN_AXIS:
        return take_axis(reading, index, span);
    case COLUMN_MEASURE:
    case COLUMN_WAS:
    case COLUMN_FIRST:
        return take_measure(reading, index, span);
    case COLUMN_OBSERVATION:
        return take_observation(reading, index, span);
    case COLUMN_NEW:
        return take_new(reading, index, span);
    default:
        return true;
    }
}

/* ---- names that a column must not have ------------------------------------------------------------------- */

static bool is_among(const char *const *names, uint32_t count, const char *name)
{
    for (uint32_t i = 0; i < count; i++) {
        if (strcmp(names[i], name) == 0) {
            return true;
        }
    }
    return false;
}

/* A side is no named place, and the other way round. */
static bool check_places(struct reading_row *reading, const struct finding *finding)
{
    for (uint32_t i = 0; i < reading->row->count; i++) {
        enum column_sort sort = reading->row->columns[i].sort;
        if ((sort != COLUMN_SIDE && sort != COLUMN_PLACE)) {
            continue;
        }
        struct span span = cell_span(reading, i);
        const struct part *part = finding->part;
        const char *name = word_of(reading, span).text;
        bool known = sort == COLUMN_SIDE
                         ? is_among((const char *const *)part->sides, part->side_count, name)
                         : is_among((const char *const *)part->places, part->place_count, name);
        if (name[0] && !known) {
            return refuse(reading, text_format(reading->arena, "'%s' is no %s of '%s'", name,
                                               sort == COLUMN_SIDE ? "side" : "place", part->name));
        }
    }
    return true;
}

/* ---- the whole row ------------------------------------------------------------------------------------------ */

/* The first problem in words, behind what the reason says already. */
static const char *first_problem(const struct reading_row *reading)
{
    const char *before = reading->reason ? reading->reason : "";
    if (!reading->problems.error_count) {
        return before;
    }
    const struct stave_problem *problem = reading->problems.items;
    return problem->help
               ? text_format(reading->arena, "%s%s; %s", before, problem->message, problem->help)
               : text_format(reading->arena, "%s%s", before, problem->message);
}

static bool take_cells(struct reading_row *reading)
{
    const struct row *row = reading->row;
    for (uint32_t i = 0; i < row->count; i++) {
        if (is_looked_at(&row->columns[i]) && !take_cell(reading, i)) {
            return false;
        }
    }
    if (!reading->line.part.text) {
        return refuse(reading, "no part is given");
    }
    return reading->line.kind.text || refuse(reading, "no kind is given");
}

struct finding *row_finding(struct sweeper *sweeper, uint32_t book, const struct row *row,
                            const char **reason)
{
    struct reading_row reading = {.arena = sweeper->scratch, .row = row};
    const struct book *asked = sweeper->sweep->books[book]->book;
    struct finding *finding = NULL;
    problems_begin(&reading.problems, reading.arena);
    reading.next_place = &reading.line.places;
    reading.next_reading = &reading.line.readings;
    reading.line.times = 1;
    if (row->fault) {
        refuse(&reading, row->fault);
    } else if (open_cells(&reading) && take_cells(&reading)) {
        struct cell id = row_cell(row, sweeper->sweep->id);
        reading.line.span = (struct span){reading.source, 0, (uint32_t)reading.source->size};
        finding =
            finding_resolve(reading.arena, asked, &reading.line, NULL, NULL,
                            arena_copy_text(reading.arena, id.bytes, id.size), &reading.problems);
        if (finding && !check_places(&reading, finding)) {
            finding = NULL;
        }
    }
    if (!finding) {
        *reason = first_problem(&reading);
    }
    return finding;
}

/* ---- judging ------------------------------------------------------------------------------------------------- */

const char *figure_marked(struct arena *arena, const char *figure, bool rounded)
{
    return rounded ? text_format(arena, "%s (rounded)", figure) : figure;
}

/* The comparison that is shown: what kept it from the next better line, else the first that holds. */
static void show_comparison(struct arena *arena, const struct stave_reason *reason,
                            struct outcome_of_row *result)
{
    const struct stave_comparison *shown = reason->kept_from_count ? &reason->kept_from[0] : NULL;
    for (size_t i = 0; !shown && i < reason->held_count; i++) {
        shown = reason->held[i].name[0] ? &reason->held[i] : NULL;
    }
    if (shown) {
        result->name = shown->name;
        result->reading = figure_marked(arena, shown->reading, shown->reading_rounded);
        result->limit = figure_marked(arena, shown->limit, shown->limit_rounded);
    }
}

struct outcome_of_row row_judge(struct sweeper *sweeper, uint32_t book,
                                const struct company *company, uint32_t index)
{
    struct arena *arena = sweeper->scratch;
    const struct ready_book *ready = sweeper->sweep->books[book];
    struct judged judged = judged_make(arena, ready, company, index, JUDGE_ENDS);
    const struct judgement *judgement = judged.judgement;
    struct outcome_of_row result = {
        .judged = true,
        .outcome = judgement->worst,
        .best = judged_best(&judged),
        .kind = judged.finding->kind->index,
        .zone = ready->book->zone_count,
    };
    if (judgement->witness_uncovered) {
        result.reason = judgement->ladder_count ? "part of it " ROW_UNCOVERED : "it " ROW_UNCOVERED;
    } else if (judgement->ladder_count) {
        const struct stave_reason reason = reason_brief(arena, ready, &judged);
        result.zone = judgement->ladders[0].limit->source->zone->index;
        result.zone_name = reason.zone;
        result.rule = text_format(arena, "%s:%u", reason.text_name, reason.line);
        result.source = reason.source;
        show_comparison(arena, &reason, &result);
    }
    if (judged.guarded >= 0 && (uint32_t)judged.guarded != judgement->worst) {
        result.reason =
            text_format(arena, "as read; guarded: %s", ready->book->scale[judged.guarded].name);
    }
    return result;
}

struct outcome_of_row row_ask(struct sweeper *sweeper, uint32_t book, const struct row *row)
{
    struct outcome_of_row result = {0};
    if (fast_wide(sweeper, book, row, &result)) {
        return result;
    }
    result = (struct outcome_of_row){0};
    struct finding *finding = row_finding(sweeper, book, row, &result.reason);
    if (!finding) {
        return result;
    }
    const struct ready_book *ready = sweeper->sweep->books[book];
    return row_judge(sweeper, book, company_make(sweeper->scratch, ready->plan, &finding, 1), 0);
}
