/* The rows of a block of JSON Lines. */
#include <string.h>

#include "base/text.h"
#include "sweep/inside.h"

/* The members of an object as cells, those that the sweep has no column for behind them. */
static const char *place_members(struct sweeper *sweeper, const struct member *members,
                                 uint32_t count, struct row *row)
{
    const struct sweep *sweep = sweeper->sweep;
    for (uint32_t i = 0; i < sweep->column_count; i++) {
        row->cells[i] = (struct cell){"", 0};
    }
    for (uint32_t m = 0; m < count; m++) {
        uint32_t c = 0;
        while (c < sweep->column_count &&
               !(strlen(sweep->columns[c].title) == members[m].key.size &&
                 memcmp(sweep->columns[c].title, members[m].key.bytes, members[m].key.size) == 0)) {
            c++;
        }
        if (c == sweep->column_count) {
            c = row->count++;
            const char *wrong = column_resolve(sweeper->scratch, sweep, members[m].key.bytes,
                                               members[m].key.size, &sweeper->own_columns[c]);
            if (wrong) {
                return wrong;
            }
        }
        row->cells[c] = members[m].value;
    }
    return NULL;
}

/* Two members of one row that say the same, such as "kind" and "kind_": neither may be lost. */
static bool says_twice(const struct sweeper *sweeper, const struct row *row)
{
    for (uint32_t c = sweeper->sweep->column_count; c < row->count; c++) {
        for (uint32_t i = 0; i < c; i++) {
            if (row->cells[i].size && row->cells[c].size &&
                column_same(&row->columns[i], &row->columns[c])) {
                return true;
            }
        }
    }
    return false;
}

/* Id, propeller and inspection that the first row did not have: they come first all the same. */
static bool has_late_key(const struct sweeper *sweeper, const struct row *row)
{
    for (uint32_t c = sweeper->sweep->column_count; c < row->count; c++) {
        enum column_sort sort = row->columns[c].sort;
        if (sort == COLUMN_ID || sort == COLUMN_PROPELLER || sort == COLUMN_INSPECTION) {
            return true;
        }
    }
    return false;
}

static void take_object(struct answering *answering, const char *bytes, size_t size, uint64_t line)
{
    struct sweeper *sweeper = answering->sweeper;
    struct row row = {.columns = sweeper->own_columns,
                      .cells = sweeper->cells,
                      .count = sweeper->sweep->column_count,
                      .line = line};
    uint32_t count;
    if (size > SWEEP_ROW_LIMIT) {
        row.fault = "the row is longer than 64 KiB";
    } else if (text_first_bad_utf8(bytes, size) != size) {
        row.fault = "a byte that is not UTF-8";
    } else {
        const struct member *members =
            object_read(sweeper->scratch, bytes, size, &count, &row.fault);
        row.fault = members ? place_members(sweeper, members, count, &row) : row.fault;
    }
    if (!row.fault && has_late_key(sweeper, &row)) {
        row.fault =
            "'id', 'propeller' or 'inspection' is no member of the first row: name it there, "
            "if need be as null";
    }
    if (!row.fault && says_twice(sweeper, &row)) {
        row.fault = "two members that say the same";
    }
    block_take(answering, &row);
}

void block_take_objects(struct answering *answering)
{
    const char *at = answering->block->bytes, *end = at + answering->block->size;
    for (uint64_t line = answering->block->first_line; at < end; line++) {
        const char *line_end = memchr(at, '\n', (size_t)(end - at));
        const char *stop = line_end ? line_end : end;
        const char *blank = at;
        while (blank < stop && (*blank == ' ' || *blank == '\t' || *blank == '\r')) {
            blank++;
        }
        if (blank < stop) {
            take_object(answering, at, (size_t)(stop - at), line);
        }
        at = line_end ? line_end + 1 : end;
    }
}
