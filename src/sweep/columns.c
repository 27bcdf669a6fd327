/* What the titles of a table stand for, and the sweep that is made from them. */
#include <string.h>

#include "base/text.h"
#include "sweep/fast.h"

/* ---- titles ------------------------------------------------------------------------------ */

static const struct {
    const char *title;
    enum column_sort sort;
} fixed[] = {
    {"id", COLUMN_ID},         {"propeller", COLUMN_PROPELLER}, {"inspection", COLUMN_INSPECTION},
    {"part", COLUMN_PART},     {"number", COLUMN_NUMBER},       {"kind", COLUMN_KIND},
    {"side", COLUMN_SIDE},     {"place", COLUMN_PLACE},         {"new", COLUMN_NEW},
    {"remark", COLUMN_REMARK},
};
#define FIXED_COUNT (sizeof fixed / sizeof *fixed)

#define TITLE_WORDS 4

/* The words of a title: "was depth [in]", "was_depth_in" and "was depth in" are the same. Gives their
 * count, more than TITLE_WORDS being too many. */
static uint32_t title_words(struct arena *arena, const char *title, size_t size, const char **words)
{
    char *copy = arena_copy_text(arena, title, size);
    uint32_t count = 0;
    bool within = false;
    if (size > 1 && copy[size - 1] == ']' && memchr(copy, '[', size)) {
        copy[size - 1] = '\0';
        *strchr(copy, '[') = ' ';
    }
    for (char *c = copy; *c; c++) {
        if (*c == ' ' || *c == '_') {
            *c = '\0';
            within = false;
            continue;
        }
        if (!within && count++ < TITLE_WORDS) {
            words[count - 1] = c;
        }
        within = true;
    }
    return count;
}

/* What a book has under a name. */
struct named {
    const struct axis *axis;
    const struct measure *measure;
    const struct observation *observation;
};

static struct named find_name(const struct book *book, const char *name)
{
    struct named named = {0};
    for (uint32_t p = 0; p < book->part_count; p++) {
        for (uint32_t a = 0; a < book->parts[p].axis_count; a++) {
            if (strcmp(book->parts[p].axes[a].name, name) == 0) {
                named.axis = &book->parts[p].axes[a];
            }
        }
    }
    for (uint32_t i = 0; i < book->measure_count; i++) {
        if (strcmp(book->measures[i].name, name) == 0) {
            named.measure = &book->measures[i];
        }
    }
    for (uint32_t i = 0; i < book->observation_count; i++) {
        if (strcmp(book->observations[i].name, name) == 0) {
            named.observation = &book->observations[i];
        }
    }
    return named;
}

static bool is_named(const struct named *named)
{
    return named->axis || named->measure || named->observation;
}

static const char *unknown_title(struct arena *arena, const struct sweep *sweep, const char *title,
                                 const char *name)
{
    const struct book *book = sweep->books[0]->book;
    uint32_t count = 0;
    size_t room = FIXED_COUNT + book->measure_count + book->observation_count;
    for (uint32_t p = 0; p < book->part_count; p++) {
        room += book->parts[p].axis_count;
    }
    const char **names = ARENA_ARRAY(arena, const char *, room);
    for (uint32_t i = 0; i < FIXED_COUNT; i++) {
        names[count++] = fixed[i].title;
    }
    for (uint32_t p = 0; p < book->part_count; p++) {
        for (uint32_t a = 0; a < book->parts[p].axis_count; a++) {
            names[count++] = book->parts[p].axes[a].name;
        }
    }
    for (uint32_t i = 0; i < book->measure_count; i++) {
        names[count++] = book->measures[i].name;
    }
    for (uint32_t i = 0; i < book->observation_count; i++) {
        names[count++] = book->observations[i].name;
    }
    const char *near = text_nearest(arena, name, names, count);
    return near ? text_format(arena, "unknown column '%s': did you mean '%s'?", title, near)
                : text_format(arena,
                              "unknown column '%s': the book has no axis, measure or "
                              "observation of that name",
                              title);
}

/* The unit of a column, of an axis or a measure. NULL, or what is wrong. */
static const char *title_unit(struct arena *arena, const char *title, const char *unit,
                              const struct named *named, struct column *column)
{
    struct dimension dimension = named->axis ? named->axis->dimension : named->measure->dimension;
    const struct unit *none = unit_none();
    if (!unit) {
        column->unit = dimension_equal(none->dimension, dimension) ? none : NULL;
        return NULL;
    }
    column->unit = unit_find(unit, strlen(unit));
    if (!column->unit) {
        return text_format(arena, "unknown unit '%s' in column '%s'", unit, title);
    }
    return dimension_equal(column->unit->dimension, dimension)
               ? NULL
               : text_format(arena, "column '%s': '%s' is %s, but %s is %s", title, column->name,
                             dimension_name(arena, dimension), unit,
                             dimension_name(arena, column->unit->dimension));
}

/* Sets the sort of a column that is named after something in one of the books. */
static const char *title_named(struct arena *arena, const struct sweep *sweep,
                               const char *const *words, uint32_t count, struct column *column)
{
    enum column_sort before = strcmp(words[0], "was") == 0     ? COLUMN_WAS
                              : strcmp(words[0], "first") == 0 ? COLUMN_FIRST
                                                               : COLUMN_IGNORED;
    struct named named = {0};
    bool earlier = before != COLUMN_IGNORED && count > 1;
    const char *name = column->name = words[earlier];
    const char *unit = count > 1u + earlier ? words[1 + earlier] : NULL;
    for (uint32_t b = 0; b < sweep->book_count && !is_named(&named); b++) {
        named = find_name(sweep->books[b]->book, name);
    }
    if (!is_named(&named) || count > 2u + earlier) {
        return unknown_title(arena, sweep, column->title, name);
    }
    if (earlier && !named.measure) {
        return text_format(arena, "column '%s': '%s' is no measure, so it does not grow",
                           column->title, name);
    }
    if (named.observation) {
        column->sort = COLUMN_OBSERVATION;
        return unit ? unknown_title(arena, sweep, column->title, name) : NULL;
    }
    column->sort = earlier ? before : named.axis ? COLUMN_AXIS : COLUMN_MEASURE;
    return title_unit(arena, column->title, unit, &named, column);
}

const char *column_resolve(struct arena *arena, const struct sweep *sweep, const char *title,
                           size_t size, struct column *column)
{
    *column = (struct column){.title = arena_copy_text(arena, title, size)};
    for (size_t i = 0; i < sweep->ignored_count; i++) {
        if (strlen(sweep->ignored[i]) == size && memcmp(sweep->ignored[i], title, size) == 0) {
            return NULL;
        }
    }
    const char *words[TITLE_WORDS];
    uint32_t count = title_words(arena, title, size, words);
    if (count == 0) {
        return "a column without a name";
    }
    if (count > TITLE_WORDS) {
        return unknown_title(arena, sweep, column->title, words[0]);
    }
    struct named named = find_name(sweep->books[0]->book, words[0]);
    for (size_t i = 0; count == 1 && i < FIXED_COUNT; i++) {
        if (strcmp(fixed[i].title, words[0]) == 0) {
            column->sort = fixed[i].sort;
            return is_named(&named)
                       ? text_format(arena,
                                     "column '%s' may mean what every table has under that "
                                     "name, or what the book has",
                                     column->title)
                       : NULL;
        }
    }
    return title_named(arena, sweep, words, count, column);
}

/* ---- headers -------------------------------------------------------------------------------- */

bool column_same(const struct column *a, const struct column *b)
{
    return a->sort == b->sort && a->sort != COLUMN_IGNORED && a->sort != COLUMN_REMARK &&
           (!a->name || strcmp(a->name, b->name) == 0);
}

/* Adds a column. False with a problem, but for JSON Lines, where each row answers for itself. */
static bool add_column(struct arena *arena, struct sweep *sweep, struct span at, struct cell title,
                       struct problems *problems)
{
    struct column *column = &sweep->columns[sweep->column_count];
    const char *wrong = column_resolve(arena, sweep, title.bytes, title.size, column);
    for (uint32_t i = 0; !wrong && i < sweep->column_count; i++) {
        if (column_same(column, &sweep->columns[i])) {
            wrong = text_format(arena, "column '%s' says the same as column '%s'", column->title,
                                sweep->columns[i].title);
        }
    }
    if (!wrong) {
        sweep->column_count++;
        return true;
    }
    if (!sweep->json_in) {
        struct stave_problem *problem =
            problem_add(problems, STAVE_ERROR, "wrong-column", at, "%s", wrong);
        problem_help(problem, problems,
                     "mend the header, or leave the column out with "
                     "--ignore='%s'",
                     column->title);
    }
    return false;
}

static bool has_column(const struct sweep *sweep, enum column_sort sort)
{
    for (uint32_t i = 0; i < sweep->column_count; i++) {
        if (sweep->columns[i].sort == sort) {
            return true;
        }
    }
    return false;
}

static int32_t index_of(const struct sweep *sweep, enum column_sort sort)
{
    for (uint32_t i = 0; i < sweep->column_count; i++) {
        if (sweep->columns[i].sort == sort) {
            return (int32_t)i;
        }
    }
    return -1;
}

static void needs_column(const struct sweep *sweep, enum column_sort sort, const char *title,
                         const char *why, struct span at, struct problems *problems)
{
    if (!has_column(sweep, sort)) {
        problem_help(
            problem_add(problems, STAVE_ERROR, "missing-column", at, "no column '%s'", title),
            problems, "%s", why);
    }
}

static void check_columns(const struct sweep *sweep, struct span at, struct problems *problems)
{
    if (sweep->json_in) {
        return; /* each row answers for itself */
    }
    needs_column(sweep, COLUMN_PART, "part", "each finding is on a part of the book: 'blade 3'", at,
                 problems);
    needs_column(sweep, COLUMN_KIND, "kind", "each finding is of a kind of damage of the book", at,
                 problems);
    if (sweep->grouped) {
        const char *why = "the book counts damage, so it has to be known which rows are of one "
                          "inspection of one propeller";
        needs_column(sweep, COLUMN_PROPELLER, "propeller", why, at, problems);
        needs_column(sweep, COLUMN_INSPECTION, "inspection", why, at, problems);
    }
}

static struct span span_of(struct source *source, const struct cell *cell, const char *bytes)
{
    size_t from = (size_t)(cell->bytes - bytes);
    if (from > source->size) {
        return (struct span){source, 0, 0}; /* a title in which quotes were undoubled */
    }
    return (struct span){source, (uint32_t)from, (uint32_t)(from + cell->size)};
}

static void read_csv_header(struct arena *arena, struct sweep *sweep, struct source *source,
                            const struct csv_row *row, struct problems *problems)
{
    for (uint32_t i = 0; i < row->count; i++) {
        struct cell cell = row->cells[i];
        add_column(arena, sweep, span_of(source, &cell, source->bytes), cell, problems);
    }
    uint32_t end = (uint32_t)source->size;
    check_columns(sweep, (struct span){source, 0, end < 1 ? end : 1}, problems);
}

/* The header of CSV: its length, or 0 with a problem. */
static size_t csv_header(struct arena *arena, struct sweep *sweep, const struct stave_text *start,
                         struct problems *problems)
{
    const char *bytes = start->size ? start->bytes : "";
    size_t size = start->size, mark = size >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    struct csv_row row = {.cells = ARENA_ARRAY(arena, struct cell, SWEEP_COLUMNS),
                          .most = SWEEP_COLUMNS};
    struct csv csv;
    csv_begin(&csv, bytes + mark, size - mark);
    struct stave_text text = *start;
    if (size > mark) {
        csv_next(&csv, &row, true);
        text.size = (size_t)(csv.at - bytes);
    }
    struct source *source = source_open(arena, &text, SOURCE_RECORD_LIMIT, problems);
    if (!source) {
        return 0;
    }
    if (source->size == 0 || row.fault) {
        struct span at = {source, 0, source->size ? 1 : 0};
        problem_help(problem_add(problems, STAVE_ERROR, "no-header", at, "no header: %s",
                                 row.fault ? row.fault : "there is no row"),
                     problems, "the first row names the columns: id,part,kind,station in,depth in");
        return 0;
    }
    for (uint32_t i = 0; i < row.count; i++) { /* to where the source has them */
        row.cells[i].bytes = source->bytes + (row.cells[i].bytes - (bytes + mark));
    }
    csv_undouble(arena, &row);
    read_csv_header(arena, sweep, source, &row, problems);
    return text.size;
}

/* The columns of JSON Lines: what the first row has and the book knows. */
static void first_object(struct arena *arena, struct sweep *sweep, const struct stave_text *start,
                         struct problems *problems)
{
    const char *bytes = start->size ? start->bytes : "";
    size_t blank = 0, left = start->size;
    while (blank < left && strchr(" \t\r\n", bytes[blank]) && bytes[blank]) {
        blank++;
    }
    bytes += blank;
    left -= blank;
    const char *end = left ? memchr(bytes, '\n', left) : NULL;
    const char *fault = NULL;
    uint32_t count = 0;
    const struct member *members = NULL;
    end = end ? end : bytes + left; /* a last row may lack its line end */
    if (end > bytes) {
        members = object_read(arena, bytes, (size_t)(end - bytes), &count, &fault);
    }
    for (uint32_t i = 0; members && i < count && i < SWEEP_COLUMNS / 2; i++) {
        add_column(arena, sweep, (struct span){0}, members[i].key, problems);
    }
}

const char *sweep_answer_heading(const struct sweep *sweep)
{
    if (sweep->json_out) {
        return "";
    }
    if (sweep->book_count > 1) {
        return sweep->name_files
                   ? "file,line,id,outcome,flight,zone,rule,name,reading,limit,source,reason,"
                     "new_outcome,new_flight,new_zone,new_rule,new_name,new_reading,new_limit,"
                     "new_source,new_reason\n"
                   : "line,id,outcome,flight,zone,rule,name,reading,limit,source,reason,"
                     "new_outcome,new_flight,new_zone,new_rule,new_name,new_reading,new_limit,"
                     "new_source,new_reason\n";
    }
    return sweep->name_files
               ? "file,line,id,outcome,flight,best,zone,rule,name,reading,limit,source,reason\n"
               : "line,id,outcome,flight,best,zone,rule,name,reading,limit,source,reason\n";
}

bool sweep_is_grouped(const struct sweep *sweep)
{
    return sweep->grouped;
}

static const char *const *copy_names(struct arena *arena, const char *const *names, size_t count)
{
    const char **copies = ARENA_ARRAY(arena, const char *, count);
    for (size_t i = 0; i < count; i++) {
        copies[i] = arena_copy_text(arena, names[i], strlen(names[i]));
    }
    return copies;
}

struct sweep *sweep_make(struct arena *arena, const struct ready_book *book,
                         const struct ready_book *against,
                         const struct stave_sweep_options *options, const struct stave_text *start,
                         struct problems *problems, size_t *heading)
{
    struct sweep *sweep = ARENA_NEW(arena, struct sweep);
    *sweep = (struct sweep){
        .books = {book, against},
        .book_count = against ? 2 : 1,
        .json_in = options->json_in,
        .json_out = options->json_out,
        .name_files = options->name_files,
        .columns = ARENA_ARRAY(arena, struct column, SWEEP_COLUMNS + 1),
        .ignored = copy_names(arena, options->ignored, options->ignored_count),
        .ignored_count = options->ignored_count,
    };
    for (uint32_t b = 0; b < sweep->book_count; b++) {
        sweep->grouped |= sweep->books[b]->book->aggregate_count > 0;
    }
    struct stave_text first = *start;
    first.size = first.size < SWEEP_ROW_LIMIT ? first.size : SWEEP_ROW_LIMIT;
    *heading = 0;
    if (sweep->json_in) {
        first_object(arena, sweep, &first, problems);
    } else {
        *heading = csv_header(arena, sweep, &first, problems);
    }
    sweep->id = index_of(sweep, COLUMN_ID);
    sweep->propeller = index_of(sweep, COLUMN_PROPELLER);
    sweep->inspection = index_of(sweep, COLUMN_INSPECTION);
    if (problems->error_count) {
        return NULL;
    }
    for (uint32_t b = 0; b < sweep->book_count; b++) {
        sweep->fast[b] = fast_make(arena, sweep, b);
    }
    return sweep;
}
