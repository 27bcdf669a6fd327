/* A block of rows, one after another or a group at a time. */
#include <string.h>

#include "base/text.h"
#include "sweep/fast.h"
#include "sweep/stretch.h"

static const char came_before[] = "its inspection came before, and its rows do not stand together: "
                                  "sort all rows by propeller and inspection, as one file";
static const char too_many[] = "its inspection has more rows than can be counted together";
static const char spoiled[] = "another row of its inspection, or one that may be of it, could not "
                              "be read, so damage cannot be counted";
static const char no_group[] = "no propeller or no inspection is given, and the book counts damage";

/* ---- one row -------------------------------------------------------------------------------- */

typedef void (*guarded_call)(struct sweeper *sweeper, void *given);

/* Calls what may pass a limit of the library: false where it did. Out of memory goes on outward. */
static bool guard(struct sweeper *sweeper, guarded_call call, void *given)
{
    struct escape escape = {.status = STAVE_OK};
    struct arena *scratch = sweeper->scratch;
    struct escape *const outer = scratch->escape;
    scratch->escape = &escape;
    if (setjmp(escape.to)) {
        scratch->escape = outer;
        if (escape.status == STAVE_NO_MEMORY) {
            arena_escape(scratch, STAVE_NO_MEMORY);
        }
        return false;
    }
    call(sweeper, given);
    scratch->escape = outer;
    return true;
}

static const struct outcome_of_row passed_limit = {
    .reason = "a limit of the library was passed: it is too much for one finding"};

struct asking_row {
    const struct row *row;
    uint32_t book;
    struct outcome_of_row result;
};

static void ask_row(struct sweeper *sweeper, void *given)
{
    struct asking_row *asking = given;
    asking->result = row_ask(sweeper, asking->book, asking->row);
}

static struct outcome_of_row ask_guarded(struct sweeper *sweeper, uint32_t book,
                                         const struct row *row)
{
    struct asking_row asking = {.row = row, .book = book};
    return guard(sweeper, ask_row, &asking) ? asking.result : passed_limit;
}

/* By its name, and by whether it is fit to fly. */
static bool same_outcome(const struct sweep *sweep, const struct outcome_of_row *a,
                         const struct outcome_of_row *b)
{
    if (a->judged != b->judged || !a->judged) {
        return a->judged == b->judged;
    }
    const struct outcome *now = &sweep->books[0]->book->scale[a->outcome];
    const struct outcome *then = &sweep->books[1]->book->scale[b->outcome];
    return strcmp(now->name, then->name) == 0 && now->flight == then->flight;
}

/* Counts and writes what a row came to; against another book, what changes and what is not judged. */
static void give(struct sweeper *sweeper, const struct row *row,
                 const struct outcome_of_row *result, const struct outcome_of_row *other)
{
    struct outcome_of_row counted = *result;
    counted.judged &= !other || other->judged;
    answer_count(sweeper, &counted);
    if (!other) {
        answer_write(sweeper, row, result, NULL);
        return;
    }
    bool changed = !same_outcome(sweeper->sweep, result, other);
    sweeper->counts.changed += changed && counted.judged;
    if (changed || !counted.judged) {
        answer_write(sweeper, row, result, other);
    }
}

static void answer_row(struct sweeper *sweeper, const struct row *row)
{
    struct outcome_of_row other, result = ask_guarded(sweeper, 0, row);
    bool against = sweeper->sweep->book_count > 1;
    if (against) {
        other = ask_guarded(sweeper, 1, row);
    }
    give(sweeper, row, &result, against ? &other : NULL);
}

static void answer_not_judged(struct sweeper *sweeper, const struct row *row, const char *reason)
{
    const struct outcome_of_row result = {.reason = row->fault ? row->fault : reason};
    give(sweeper, row, &result, sweeper->sweep->book_count > 1 ? &result : NULL);
}

uint64_t row_given(const struct row *row)
{
    uint64_t given = 0;
    for (uint32_t i = 0; i < row->count && i < 64; i++) {
        given |= (uint64_t)(row->cells[i].size != 0) << i;
    }
    return given;
}

bool row_is_text(const struct row *row)
{
    for (uint32_t i = 0; i < row->count; i++) {
        struct cell cell = row->cells[i];
        if (memchr(cell.bytes, '\0', cell.size) ||
            text_first_bad_utf8(cell.bytes, cell.size) != cell.size) {
            return false;
        }
    }
    return true;
}

/* Answers by the fast table, where it can. */
static bool answer_fast(struct sweeper *sweeper, const struct row *row)
{
    const struct fast *fast = sweeper->sweep->fast[0];
    struct fast_row judging;
    if (!fast || row->fault || sweeper->sweep->book_count > 1 ||
        row->count != sweeper->sweep->column_count || !row_is_text(row)) {
        return false;
    }
    judging.cells = (struct cells){.own = row->cells};
    judging.line = row->line;
    fast_judge(fast, row_given(row), &judging);
    return fast_write(sweeper, fast, &judging, 0, 1) == 1;
}

/* ---- groups ----------------------------------------------------------------------------------- */

/* Rows of one inspection, and those between them that may be of it. */
struct group {
    struct row rows[SWEEP_GROUP_ROWS];
    struct finding *findings[SWEEP_GROUP_ROWS]; /* NULL: could not be read */
    const char *reasons[SWEEP_GROUP_ROWS];
    uint32_t count;
    const struct row *first_keyed;
    bool spoils_next; /* its last row may be of the next inspection */
    bool spoiled_before;
    bool too_many;
    struct outcome_of_row *results[SWEEP_BOOKS]; /* in the scratch arena */
};

static bool same_cell(struct cell a, struct cell b)
{
    return a.size == b.size && memcmp(a.bytes, b.bytes, a.size) == 0;
}

static bool is_keyed(const struct sweep *sweep, const struct row *row)
{
    return !row->fault && cell_trim(row_cell(row, sweep->propeller)).size &&
           cell_trim(row_cell(row, sweep->inspection)).size;
}

static bool same_group(const struct sweep *sweep, const struct row *a, const struct row *b)
{
    return same_cell(cell_trim(row_cell(a, sweep->propeller)),
                     cell_trim(row_cell(b, sweep->propeller))) &&
           same_cell(cell_trim(row_cell(a, sweep->inspection)),
                     cell_trim(row_cell(b, sweep->inspection)));
}

static bool docket_asks(const struct docket *docket)
{
    for (uint32_t v = 0; docket && v < docket->variable_count; v++) {
        if (docket->variables[v].sort == VARIABLE_COMPANY) {
            return true;
        }
    }
    return false;
}

static bool asks_company(const struct ready_book *ready, const struct finding *finding)
{
    return docket_asks(plan_docket(ready->plan, finding->kind, finding->part));
}

/* Is it plain, without resolving it, that no book asks for the company of a row? */
static bool asks_none(const struct sweep *sweep, const struct row *row)
{
    for (uint32_t b = 0; b < sweep->book_count; b++) {
        const struct ready_book *ready = sweep->books[b];
        uint32_t kind, part;
        if (!sweep->fast[b] || row->count < sweep->column_count ||
            !fast_names_of(sweep->fast[b], row->cells, &kind, &part) ||
            docket_asks(ready->plan->dockets[(size_t)kind * ready->book->part_count + part])) {
            return false;
        }
    }
    return true;
}

struct judging_group {
    uint32_t book;
    bool whole; /* every row of it could be read */
};

/* Judges the rows that could be read, those with company only where all could. */
static void judge_group(struct sweeper *sweeper, void *given)
{
    const struct judging_group *judging = given;
    struct group *group = sweeper->group;
    const struct ready_book *ready = sweeper->sweep->books[judging->book];
    struct outcome_of_row *results = group->results[judging->book];
    struct finding **members = ARENA_ARRAY(sweeper->scratch, struct finding *, group->count);
    uint32_t count = 0;
    for (uint32_t i = 0; i < group->count; i++) {
        if (group->findings[i]) {
            members[count++] = group->findings[i];
        }
    }
    const struct company *company = company_make(sweeper->scratch, ready->plan, members, count);
    count = 0;
    for (uint32_t i = 0; i < group->count; i++) {
        if (!group->findings[i]) {
            results[i] = (struct outcome_of_row){.reason = group->reasons[i]};
            continue;
        }
        if (!judging->whole && asks_company(ready, group->findings[i])) {
            results[i] = (struct outcome_of_row){.reason = spoiled};
        } else if (!fast_wide(sweeper, judging->book, &group->rows[i], &results[i])) {
            results[i] = row_judge(sweeper, judging->book, company, count);
        }
        count++;
    }
}

static void read_group(struct sweeper *sweeper, void *given)
{
    struct judging_group *judging = given;
    struct group *group = sweeper->group;
    judging->whole = !group->spoiled_before;
    for (uint32_t i = 0; i < group->count; i++) {
        const struct row *row = &group->rows[i];
        group->findings[i] = NULL;
        if (row->fault || !is_keyed(sweeper->sweep, row)) {
            group->reasons[i] = row->fault ? row->fault : no_group;
        } else {
            group->findings[i] = row_finding(sweeper, judging->book, row, &group->reasons[i]);
        }
        judging->whole &= group->findings[i] != NULL;
    }
}

static void judge_for_book(struct sweeper *sweeper, uint32_t book)
{
    struct group *group = sweeper->group;
    struct judging_group judging = {.book = book};
    group->results[book] = ARENA_ARRAY(sweeper->scratch, struct outcome_of_row, group->count);
    if (!guard(sweeper, read_group, &judging) || !guard(sweeper, judge_group, &judging)) {
        for (uint32_t i = 0; i < group->count; i++) {
            group->results[book][i] = passed_limit;
        }
    }
}

static void give_results(struct sweeper *sweeper)
{
    const struct group *group = sweeper->group;
    for (uint32_t i = 0; i < group->count; i++) {
        give(sweeper, &group->rows[i], &group->results[0][i],
             sweeper->sweep->book_count > 1 ? &group->results[1][i] : NULL);
    }
}

/* Do the tables judge all rows? Then all can be read, and none meets a limit that asks for the others. */
static void judge_by_tables(struct sweeper *sweeper, void *given)
{
    struct group *group = sweeper->group;
    bool *all = given;
    *all = true;
    for (uint32_t b = 0; b < sweeper->sweep->book_count; b++) {
        group->results[b] = ARENA_ARRAY(sweeper->scratch, struct outcome_of_row, group->count);
        for (uint32_t i = 0; i < group->count && *all; i++) {
            *all = fast_wide(sweeper, b, &group->rows[i], &group->results[b][i]);
        }
    }
}

/* Where no row of it asks for the others, each is answered as if it stood alone. */
static bool answer_apart(struct sweeper *sweeper)
{
    const struct group *group = sweeper->group;
    const struct sweep *sweep = sweeper->sweep;
    bool asks = false, whole = !group->spoiled_before, all;
    for (uint32_t i = 0; i < group->count; i++) {
        bool keyed = !group->rows[i].fault && is_keyed(sweep, &group->rows[i]);
        whole &= keyed;
        asks |= keyed && !asks_none(sweep, &group->rows[i]);
    }
    if (asks) { /* for its kind somewhere; but maybe not where they are */
        if (!whole || !guard(sweeper, judge_by_tables, &all) || !all) {
            return false;
        }
        give_results(sweeper);
        return true;
    }
    struct arena_mark mark = arena_mark(sweeper->scratch);
    for (uint32_t i = 0; i < group->count; i++) {
        const struct row *row = &group->rows[i];
        if (row->fault || !is_keyed(sweep, row)) {
            answer_not_judged(sweeper, row, no_group);
        } else if (!answer_fast(sweeper, row)) {
            answer_row(sweeper, row);
            arena_release(sweeper->scratch, mark);
        }
    }
    return true;
}

static void answer_together(struct sweeper *sweeper, const char *refusal)
{
    const struct group *group = sweeper->group;
    const struct sweep *sweep = sweeper->sweep;
    for (uint32_t b = 0; !refusal && b < sweep->book_count; b++) {
        judge_for_book(sweeper, b);
    }
    for (uint32_t i = 0; refusal && i < group->count; i++) {
        answer_not_judged(sweeper, &group->rows[i], refusal);
    }
    if (!refusal) {
        give_results(sweeper);
    }
}

static void group_end(struct sweeper *sweeper, const char *refusal)
{
    struct group *group = sweeper->group;
    const struct sweep *sweep = sweeper->sweep;
    refusal = group->too_many ? too_many : refusal;
    if (refusal || !answer_apart(sweeper)) {
        answer_together(sweeper, refusal);
    }
    bool last_keyed = group->count && is_keyed(sweep, &group->rows[group->count - 1]);
    group->spoiled_before = group->count && !last_keyed;
    group->count = 0;
    group->first_keyed = NULL;
    group->too_many = false;
}

static void group_add(struct sweeper *sweeper, const struct row *row)
{
    struct group *group = sweeper->group;
    if (group->count == SWEEP_GROUP_ROWS) {
        /* What is there is answered now, and the rest of the group as it comes. */
        const struct row first = *group->first_keyed;
        group_end(sweeper, too_many);
        group->rows[0] = first;
        group->too_many = true;
    }
    struct row *kept = &group->rows[group->count++];
    *kept = *row;
    kept->cells = ARENA_ARRAY(sweeper->scratch, struct cell, row->count + 1);
    memcpy(kept->cells, row->cells, row->count * sizeof *row->cells);
    if (sweeper->sweep->json_in) {
        struct column *columns = ARENA_ARRAY(sweeper->scratch, struct column, row->count + 1);
        memcpy(columns, row->columns, row->count * sizeof *row->columns);
        kept->columns = columns;
    }
    if (!group->first_keyed && is_keyed(sweeper->sweep, kept)) {
        group->first_keyed = kept;
    }
}

/* ---- rows ---------------------------------------------------------------------------------------- */

void block_take(struct answering *answering, const struct row *row)
{
    struct sweeper *sweeper = answering->sweeper;
    struct group *group = sweeper->group;
    if (!group) {
        if (answer_fast(sweeper, row)) {
            return;
        }
        answer_row(sweeper, row);
        arena_release(sweeper->scratch, answering->mark);
        return;
    }
    if (group->first_keyed && is_keyed(sweeper->sweep, row) &&
        !same_group(sweeper->sweep, group->first_keyed, row)) {
        struct row kept = *row; /* its cells are in the block or in memory of its own */
        group_end(sweeper, answering->refusal);
        group_add(sweeper, &kept);
    } else {
        group_add(sweeper, row);
    }
}

/* ---- CSV -------------------------------------------------------------------------------------------- */

/* Takes any next row; gives how many lines it has. */
static uint32_t take_any(struct answering *answering, struct csv *csv, uint64_t line)
{
    struct sweeper *sweeper = answering->sweeper;
    const struct sweep *sweep = sweeper->sweep;
    struct csv_row found = {.cells = sweeper->cells, .most = sweep->column_count, .exact = true};
    csv_next(csv, &found, true);
    if (!found.blank || found.fault) {
        struct row row = {.columns = sweep->columns,
                          .cells = found.cells,
                          .count = sweep->column_count,
                          .line = line,
                          .fault = found.fault};
        if (found.quoted && !found.fault) {
            csv_undouble(sweeper->scratch, &found);
        }
        block_take(answering, &row);
    }
    return found.lines;
}

/* Easy rows that wait for their answers. */
struct waiting {
    uint32_t count;
    struct fast_row rows[FAST_ROWS];
};

/* What the fast table did not answer. */
static void answer_otherwise(struct answering *answering, const struct fast_row *row)
{
    struct sweeper *sweeper = answering->sweeper;
    const struct sweep *sweep = sweeper->sweep;
    if (row->cells.quotes) {
        const char *from = row->cells.start + row->cells.stops[0];
        struct csv csv;
        csv_begin(&csv, from, (size_t)(answering->block->bytes + answering->block->size - from));
        take_any(answering, &csv, row->line);
        return;
    }
    for (uint32_t c = 0; c < sweep->column_count; c++) {
        sweeper->cells[c] = cells_at(&row->cells, c);
    }
    answer_row(sweeper, &(struct row){.columns = sweep->columns,
                                      .cells = sweeper->cells,
                                      .count = sweep->column_count,
                                      .line = row->line});
    arena_release(sweeper->scratch, answering->mark);
}

static void answer_waiting(struct answering *answering)
{
    struct sweeper *sweeper = answering->sweeper;
    const struct sweep *sweep = sweeper->sweep;
    struct waiting *waiting = sweeper->waiting;
    fast_take(sweep->fast[0], waiting->rows, waiting->count);
    fast_climb(sweep->fast[0], waiting->rows, waiting->count);
    for (uint32_t i = 0; i < waiting->count; i++) {
        i = fast_write(sweeper, sweep->fast[0], waiting->rows, i, waiting->count);
        if (i < waiting->count) {
            answer_otherwise(answering, &waiting->rows[i]);
        }
    }
    waiting->count = 0;
}

/* The rows of a stretch; gives where to go on. */
static const char *take_stretch(struct answering *answering, const char *at, const char *end,
                                uint64_t *line)
{
    struct sweeper *sweeper = answering->sweeper;
    struct stretch *stretch = sweeper->stretch;
    struct waiting *waiting = sweeper->waiting;
    enum stretch_row found;
    waiting->count = 0;
    stretch_look(stretch, answering->block->bytes, at, end);
    do {
        struct fast_row *row = &waiting->rows[waiting->count];
        found = stretch_row(stretch, sweeper->sweep->column_count, &row->cells, row->stops);
        if (found == STRETCH_EASY) {
            row->line = (*line)++;
            waiting->count++;
        }
        if (found != STRETCH_EASY || waiting->count == FAST_ROWS) {
            answer_waiting(answering);
        }
        if (found == STRETCH_HARD || (found == STRETCH_OVER && stretch_at(stretch) == at)) {
            struct csv csv;
            const char *hard = stretch_at(stretch);
            csv_begin(&csv, hard, (size_t)(end - hard));
            *line += take_any(answering, &csv, *line);
            if (!stretch_go_on(stretch, csv.at)) {
                return csv.at;
            }
        }
    } while (found != STRETCH_OVER);
    return stretch_at(stretch);
}

static void take_csv(struct answering *answering)
{
    struct sweeper *sweeper = answering->sweeper;
    const struct stave_block *block = answering->block;
    const char *at = block->bytes, *end = at + block->size;
    uint64_t line = block->first_line;
    struct csv csv;
    csv_begin(&csv, at, block->size);
    while (!sweeper->stretch && csv.at < end) {
        line += take_any(answering, &csv, line);
    }
    while (sweeper->stretch && at < end) {
        at = take_stretch(answering, at, end, &line);
    }
}

void sweeper_answer(struct sweeper *sweeper, const struct stave_block *block, const char **answers,
                    size_t *size)
{
    struct answering answering = {
        .sweeper = sweeper,
        .block = block,
        .refusal = block->again       ? came_before
                   : block->too_large ? too_many
                                      : NULL,
        .mark = arena_mark(sweeper->scratch),
    };
    sweeper->answers.size = 0;
    sweeper->file = block->file;
    if (sweeper->sweep->json_in) {
        block_take_objects(&answering);
    } else {
        take_csv(&answering);
    }
    if (sweeper->group) {
        group_end(sweeper, answering.refusal);
        sweeper->group->spoiled_before = false;
        arena_release(sweeper->scratch, answering.mark);
    }
    if (sweeper->by_line) {
        fast_count(sweeper, sweeper->sweep->fast[0]);
    }
    *answers = sweeper->answers.bytes ? sweeper->answers.bytes : "";
    *size = sweeper->answers.size;
}

/* ---- making one ------------------------------------------------------------------------------------- */

struct sweeper *sweeper_make(struct arena *kept, struct arena *row, const struct sweep *sweep)
{
    struct sweeper *sweeper = ARENA_NEW(kept, struct sweeper);
    const struct book *book = sweep->books[0]->book;
    struct stave_sweep_counts *counts = &sweeper->counts;
    const char **kinds = ARENA_ARRAY(kept, const char *, book->kind_count);
    const char **zones = ARENA_ARRAY(kept, const char *, book->zone_count + 1);
    *sweeper = (struct sweeper){.kept = kept, .scratch = row, .sweep = sweep};
    sweeper->answers.arena = kept;
    for (uint32_t i = 0; i < book->kind_count; i++) {
        kinds[i] = book->kinds[i].name;
    }
    for (uint32_t i = 0; i < book->zone_count; i++) {
        zones[i] = book->zones[i].name;
    }
    zones[book->zone_count] = "";
    *counts = (struct stave_sweep_counts){.outcome_count = book->scale_count,
                                          .kind_count = book->kind_count,
                                          .zone_count = (size_t)book->zone_count + 1,
                                          .kind_names = kinds,
                                          .zone_names = zones};
    counts->cautions = verdict_cautions(&counts->caution_count);
    counts->by_outcome = sweeper->by_outcome = ARENA_ARRAY(kept, uint64_t, counts->outcome_count);
    counts->by_kind = sweeper->by_kind =
        ARENA_ARRAY(kept, uint64_t, counts->kind_count * counts->outcome_count);
    counts->by_zone = sweeper->by_zone =
        ARENA_ARRAY(kept, uint64_t, counts->zone_count * counts->outcome_count);
    sweeper->cells = ARENA_ARRAY(kept, struct cell, 2 * SWEEP_COLUMNS);
    sweeper->own_columns = ARENA_ARRAY(kept, struct column, 2 * SWEEP_COLUMNS);
    memcpy(sweeper->own_columns, sweep->columns, sweep->column_count * sizeof *sweep->columns);
    if (sweep->fast[0]) {
        sweeper->by_line = ARENA_ARRAY(kept, uint32_t, sweep->fast[0]->count_count);
    }
    if (sweep->grouped) {
        sweeper->group = ARENA_NEW(kept, struct group);
    } else if (sweep->fast[0] && sweep->book_count == 1 && !sweep->json_in) {
        sweeper->stretch = ARENA_NEW(kept, struct stretch);
        stretch_begin(sweeper->stretch);
        sweeper->waiting = ARENA_NEW(kept, struct waiting);
    }
    return sweeper;
}

const struct stave_sweep_counts *sweeper_counts(const struct sweeper *sweeper)
{
    return &sweeper->counts;
}
