/* Exact elimination (Fourier and Motzkin, with strict rows), and branching on steps. */
#include <string.h>

#include "judge/eliminate.h"

struct row {
    struct number *factors; /* by column */
    struct number constant; /* sum + constant (< or <=) 0 */
    bool strict;
};

struct rows {
    struct row *items;
    uint32_t count;
};

/* One elimination: the unknowns that are tied together, as columns. */
struct elimination {
    struct constraints *constraints;
    struct arena *arena;
    struct unknown *unknowns; /* a copy of all, narrowed by branching */
    uint32_t *columns;        /* column -> unknown */
    uint32_t column_count;
    struct rows *bounding; /* by column: the rows that bound it, from its elimination */
    uint32_t *order;       /* columns in the order of elimination */
};

/* ---- narrowing -------------------------------------------------------------------------- */

/*
 * Bounds that an inequality puts on each of its unknowns, given the bounds of the
 * others. Exact elimination does not need this; it only makes most systems trivial.
 */
static bool narrow_one(struct arena *arena, struct unknown *unknowns, const struct inequality *kept)
{
    for (uint32_t i = 0; i < kept->term_count; i++) {
        struct number rest = kept->constant;
        bool open = kept->strict;
        for (uint32_t j = 0; j < kept->term_count; j++) {
            if (j == i) {
                continue;
            }
            const struct unknown *other = &unknowns[kept->terms[j].unknown];
            bool rises = number_sign(kept->terms[j].coefficient) > 0;
            rest = number_add(arena, rest,
                              number_multiply(arena, kept->terms[j].coefficient,
                                              rises ? other->low : other->high));
            open |= rises ? other->low_open : other->high_open;
        }
        struct unknown *unknown = &unknowns[kept->terms[i].unknown];
        unknown_bound(arena, unknown, kept->terms[i].coefficient, rest, open);
        if (!unknown_possible(arena, unknown)) {
            return false;
        }
    }
    return true;
}

static bool narrow(struct constraints *constraints, struct unknown *unknowns)
{
    for (int pass = 0; pass < 2; pass++) {
        for (uint32_t i = 0; i < constraints->kept_count; i++) {
            if (!narrow_one(constraints->arena, unknowns, &constraints->kept[i])) {
                return false;
            }
        }
    }
    return true;
}

/*
 * After narrowing: at most one inequality is left that the bounds do not satisfy, and that
 * one has a corner of the box that does.
 */
static bool nearly_decided(struct constraints *constraints, struct unknown *unknowns)
{
    struct constraints seen = *constraints;
    uint32_t open = 0;
    seen.unknowns = unknowns;
    for (uint32_t i = 0; i < constraints->kept_count && open < 2; i++) {
        enum truth truth = constraints_truth(&seen, &constraints->kept[i]);
        open += truth == TRUTH_EITHER ? 1 : truth == TRUTH_NO ? 2 : 0;
    }
    return open < 2;
}

/* ---- rows ------------------------------------------------------------------------------- */

static struct row row_new(const struct elimination *e)
{
    struct row row = {.factors = ARENA_ARRAY(e->arena, struct number, e->column_count),
                      .constant = NUMBER_ZERO};
    for (uint32_t c = 0; c < e->column_count; c++) {
        row.factors[c] = NUMBER_ZERO;
    }
    return row;
}

static void add_end(const struct elimination *e, struct rows *rows, uint32_t column, bool high)
{
    const struct unknown *unknown = &e->unknowns[e->columns[column]];
    struct row row = row_new(e);
    row.factors[column] = NUMBER_INT(high ? 1 : -1);
    row.constant = high ? number_negate(e->arena, unknown->high) : unknown->low;
    row.strict = high ? unknown->high_open : unknown->low_open;
    rows->items[rows->count++] = row;
}

/* Drops a row that the bounds satisfy (they are rows themselves), finds one that they exclude. */
static enum truth row_truth(const struct elimination *e, const struct row *row)
{
    struct unknown_term *terms = ARENA_ARRAY(e->arena, struct unknown_term, e->column_count);
    struct inequality asked = {.terms = terms, .constant = row->constant, .strict = row->strict};
    for (uint32_t c = 0; c < e->column_count; c++) {
        if (number_sign(row->factors[c]) != 0) {
            terms[asked.term_count++] = (struct unknown_term){e->columns[c], row->factors[c]};
        }
    }
    struct constraints seen = *e->constraints;
    seen.unknowns = e->unknowns;
    return constraints_truth(&seen, &asked);
}

/* The row without `column` that a row bounding it above and one bounding it below give. */
static struct row row_join(const struct elimination *e, const struct row *above,
                           const struct row *below, uint32_t column)
{
    struct number a = above->factors[column];
    struct number b = number_negate(e->arena, below->factors[column]);
    struct row row = row_new(e);
    for (uint32_t c = 0; c < e->column_count; c++) {
        if (c != column) {
            row.factors[c] = number_add(e->arena, number_divide(e->arena, above->factors[c], a),
                                        number_divide(e->arena, below->factors[c], b));
        }
    }
    row.constant = number_add(e->arena, number_divide(e->arena, above->constant, a),
                              number_divide(e->arena, below->constant, b));
    row.strict = above->strict || below->strict;
    return row;
}

static bool row_too_big(const struct elimination *e, const struct row *row)
{
    size_t most = number_bits(row->constant);
    for (uint32_t c = 0; c < e->column_count; c++) {
        size_t bits = number_bits(row->factors[c]);
        most = bits > most ? bits : most;
    }
    return most > CONSTRAINTS_BITS;
}

/* ---- eliminating ------------------------------------------------------------------------- */

/* The column to eliminate next: free ones before stepped ones, then the fewest new rows. */
static uint32_t next_column(const struct elimination *e, const struct rows *rows, const bool *done)
{
    uint32_t best = UINT32_MAX;
    uint64_t best_cost = UINT64_MAX;
    for (uint32_t c = 0; c < e->column_count; c++) {
        if (done[c]) {
            continue;
        }
        uint64_t above = 0, below = 0;
        for (uint32_t r = 0; r < rows->count; r++) {
            int sign = number_sign(rows->items[r].factors[c]);
            above += sign > 0;
            below += sign < 0;
        }
        uint64_t cost = above * below + (e->unknowns[e->columns[c]].stepped ? 1u << 30 : 0);
        if (cost < best_cost) {
            best_cost = cost;
            best = c;
        }
    }
    return best;
}

/* Takes one column out of the rows; those that bounded it go to e->bounding. */
static enum solvable eliminate_column(struct elimination *e, struct rows *rows, uint32_t column)
{
    struct rows *bounding = &e->bounding[column];
    size_t above_count = 0, below_count = 0;
    for (uint32_t r = 0; r < rows->count; r++) {
        int sign = number_sign(rows->items[r].factors[column]);
        above_count += sign > 0;
        below_count += sign < 0;
    }
    size_t room = rows->count + above_count * below_count;
    if (room > CONSTRAINTS_ROWS) {
        room = rows->count > CONSTRAINTS_ROWS ? rows->count : CONSTRAINTS_ROWS;
    }
    struct rows left = {.items = ARENA_ARRAY(e->arena, struct row, room)};
    bounding->items = ARENA_ARRAY(e->arena, struct row, above_count + below_count);
    for (uint32_t r = 0; r < rows->count; r++) {
        bool bounds = number_sign(rows->items[r].factors[column]) != 0;
        struct rows *to = bounds ? bounding : &left;
        to->items[to->count++] = rows->items[r];
    }
    for (uint32_t i = 0; i < bounding->count; i++) {
        for (uint32_t j = 0; j < bounding->count; j++) {
            const struct row *above = &bounding->items[i], *below = &bounding->items[j];
            if (number_sign(above->factors[column]) < 0 ||
                number_sign(below->factors[column]) > 0) {
                continue;
            }
            struct row row = row_join(e, above, below, column);
            enum truth truth = row_truth(e, &row);
            if (truth == TRUTH_NO) {
                return SOLVABLE_NO;
            }
            if (truth == TRUTH_YES) {
                continue;
            }
            if (left.count == room || row_too_big(e, &row) ||
                !constraints_spend(e->constraints, 1)) {
                return SOLVABLE_UNKNOWN;
            }
            left.items[left.count++] = row;
        }
    }
    *rows = left;
    return SOLVABLE_YES;
}

/* The columns that the kept inequalities tie together, and all rows. */
static struct rows elimination_begin(struct elimination *e)
{
    const struct constraints *constraints = e->constraints;
    uint32_t *column_of = ARENA_ARRAY(e->arena, uint32_t, constraints->unknown_count);
    e->columns = ARENA_ARRAY(e->arena, uint32_t, constraints->unknown_count);
    for (uint32_t i = 0; i < constraints->kept_count; i++) {
        const struct inequality *kept = &constraints->kept[i];
        for (uint32_t t = 0; t < kept->term_count; t++) {
            uint32_t unknown = kept->terms[t].unknown;
            if (column_of[unknown] == 0) {
                e->columns[e->column_count++] = unknown;
                column_of[unknown] = e->column_count;
            }
        }
    }
    e->bounding = ARENA_ARRAY(e->arena, struct rows, e->column_count);
    e->order = ARENA_ARRAY(e->arena, uint32_t, e->column_count);
    size_t room = 2u * (size_t)e->column_count + constraints->kept_count;
    struct rows rows = {.items = ARENA_ARRAY(e->arena, struct row, room)};
    for (uint32_t c = 0; c < e->column_count; c++) {
        add_end(e, &rows, c, true);
        add_end(e, &rows, c, false);
    }
    for (uint32_t i = 0; i < constraints->kept_count; i++) {
        const struct inequality *kept = &constraints->kept[i];
        struct row row = row_new(e);
        row.constant = kept->constant;
        row.strict = kept->strict;
        for (uint32_t t = 0; t < kept->term_count; t++) {
            row.factors[column_of[kept->terms[t].unknown] - 1] = kept->terms[t].coefficient;
        }
        if (row_truth(e, &row) != TRUTH_YES) {
            rows.items[rows.count++] = row;
        }
    }
    return rows;
}

/* ---- picking values ------------------------------------------------------------------------ */

/* The stretch that is left for a column once those eliminated after it have values. */
static struct unknown column_stretch(const struct elimination *e, uint32_t column,
                                     const struct number *values)
{
    struct unknown stretch = e->unknowns[e->columns[column]];
    stretch.stepped = false;
    for (uint32_t r = 0; r < e->bounding[column].count; r++) {
        const struct row *row = &e->bounding[column].items[r];
        struct number rest = row->constant;
        for (uint32_t c = 0; c < e->column_count; c++) {
            if (c != column && number_sign(row->factors[c]) != 0) {
                rest = number_add(e->arena, rest,
                                  number_multiply(e->arena, row->factors[c], values[c]));
            }
        }
        unknown_bound(e->arena, &stretch, row->factors[column], rest, row->strict);
    }
    return stretch;
}

/* Moves open or uneven ends inward to multiples of the step. */
static void stretch_to_steps(struct arena *arena, struct unknown *stretch)
{
    struct number low = number_round_to(arena, stretch->low, stretch->step, NUMBER_UP);
    if (stretch->low_open && number_equal(low, stretch->low)) {
        low = number_add(arena, low, stretch->step);
    }
    struct number high = number_round_to(arena, stretch->high, stretch->step, NUMBER_DOWN);
    if (stretch->high_open && number_equal(high, stretch->high)) {
        high = number_subtract(arena, high, stretch->step);
    }
    stretch->low = low;
    stretch->high = high;
    stretch->low_open = stretch->high_open = false;
}

/*
 * Gives each column a value, the last eliminated first. Where a stepped one has no multiple
 * in its stretch, returns false with its unknown and the multiple below that stretch.
 */
static bool pick_values(const struct elimination *e, struct number *sample, uint32_t *stuck,
                        struct number *below)
{
    struct number *values = ARENA_ARRAY(e->arena, struct number, e->column_count);
    for (uint32_t k = e->column_count; k-- > 0;) {
        uint32_t column = e->order[k];
        const struct unknown *unknown = &e->unknowns[e->columns[column]];
        struct unknown stretch = column_stretch(e, column, values);
        if (unknown->stepped) {
            struct number low = stretch.low;
            stretch_to_steps(e->arena, &stretch);
            if (!unknown_possible(e->arena, &stretch)) {
                *stuck = e->columns[column];
                *below = number_round_to(e->arena, low, unknown->step, NUMBER_DOWN);
                return false;
            }
        }
        values[column] = unknown_pick(e->arena, &stretch);
    }
    if (sample) {
        for (uint32_t u = 0; u < e->constraints->unknown_count; u++) {
            sample[u] = unknown_pick(e->arena, &e->unknowns[u]);
        }
        for (uint32_t c = 0; c < e->column_count; c++) {
            sample[e->columns[c]] = values[c];
        }
    }
    return true;
}

/* ---- solving ------------------------------------------------------------------------------- */

static enum solvable solve(struct constraints *constraints, const struct unknown *known,
                           struct number *sample, uint32_t depth);

/* No solution has the stuck unknown strictly between two multiples: tries below, then above. */
static enum solvable branch(struct constraints *constraints, struct unknown *unknowns,
                            uint32_t stuck, struct number below, struct number *sample,
                            uint32_t depth)
{
    struct unknown whole = unknowns[stuck];
    enum solvable answer = SOLVABLE_NO;
    for (int high = 0; high < 2 && answer != SOLVABLE_YES; high++) {
        unknowns[stuck] = whole;
        if (high) {
            unknowns[stuck].low = number_add(constraints->arena, below, whole.step);
        } else {
            unknowns[stuck].high = below;
        }
        if (!unknown_possible(constraints->arena, &unknowns[stuck])) {
            continue;
        }
        enum solvable one = solve(constraints, unknowns, sample, depth + 1);
        if (one != SOLVABLE_NO) {
            answer = one;
        }
    }
    return answer;
}

static enum solvable solve(struct constraints *constraints, const struct unknown *known,
                           struct number *sample, uint32_t depth)
{
    struct arena *arena = constraints->arena;
    struct elimination e = {.constraints = constraints, .arena = arena};
    if (depth > CONSTRAINTS_BRANCHES || !constraints_spend(constraints, 1)) {
        return SOLVABLE_UNKNOWN;
    }
    e.unknowns = ARENA_ARRAY(arena, struct unknown, constraints->unknown_count);
    memcpy(e.unknowns, known, constraints->unknown_count * sizeof *known);
    if (!constraints_spend(constraints, constraints->kept_count)) {
        return SOLVABLE_UNKNOWN;
    }
    if (!narrow(constraints, e.unknowns)) {
        return SOLVABLE_NO;
    }
    if (!sample && nearly_decided(constraints, e.unknowns)) {
        return SOLVABLE_YES;
    }
    struct rows rows = elimination_begin(&e);
    bool *done = ARENA_ARRAY(arena, bool, e.column_count);
    for (uint32_t k = 0; k < e.column_count; k++) {
        uint32_t column = next_column(&e, &rows, done);
        done[column] = true;
        e.order[k] = column;
        enum solvable step = eliminate_column(&e, &rows, column);
        if (step != SOLVABLE_YES) {
            return step;
        }
    }
    uint32_t stuck;
    struct number below;
    if (pick_values(&e, sample, &stuck, &below)) {
        return SOLVABLE_YES;
    }
    return branch(constraints, e.unknowns, stuck, below, sample, depth);
}

enum solvable constraints_solve(struct constraints *constraints, struct number *sample)
{
    struct arena *arena = constraints->arena;
    for (uint32_t u = 0; u < constraints->unknown_count; u++) {
        if (!unknown_possible(arena, &constraints->unknowns[u])) {
            return SOLVABLE_NO;
        }
    }
    if (constraints->kept_count == 0) {
        for (uint32_t u = 0; sample && u < constraints->unknown_count; u++) {
            sample[u] = unknown_pick(arena, &constraints->unknowns[u]);
        }
        return constraints->too_many ? SOLVABLE_UNKNOWN : SOLVABLE_YES;
    }
    if (constraints->kept_count == 1 && !sample && !constraints->too_many) {
        /* One inequality over a box is decided by the box's corners. */
        enum truth truth = constraints_truth(constraints, &constraints->kept[0]);
        return truth == TRUTH_NO ? SOLVABLE_NO : SOLVABLE_YES;
    }
    struct arena_mark memory = arena_mark(arena);
    enum solvable answer = solve(constraints, constraints->unknowns, sample, 0);
    if (!sample) {
        arena_release(arena, memory);
    }
    return answer == SOLVABLE_YES && constraints->too_many ? SOLVABLE_UNKNOWN : answer;
}

/* ---- how far one unknown can go ------------------------------------------------------------ */

struct unknown constraints_hull(struct constraints *constraints, uint32_t unknown)
{
    struct arena *arena = constraints->arena;
    struct elimination e = {.constraints = constraints, .arena = arena};
    struct unknown hull = constraints->unknowns[unknown];
    e.unknowns = ARENA_ARRAY(arena, struct unknown, constraints->unknown_count);
    memcpy(e.unknowns, constraints->unknowns,
           constraints->unknown_count * sizeof *constraints->unknowns);
    if (!narrow(constraints, e.unknowns)) {
        return hull;
    }
    hull = e.unknowns[unknown];
    struct rows rows = elimination_begin(&e);
    bool *done = ARENA_ARRAY(arena, bool, e.column_count);
    uint32_t kept = UINT32_MAX;
    for (uint32_t c = 0; c < e.column_count; c++) {
        if (e.columns[c] == unknown) {
            kept = c;
            done[c] = true;
        }
    }
    if (kept == UINT32_MAX) {
        return hull;
    }
    for (uint32_t k = 0; k + 1 < e.column_count; k++) {
        uint32_t column = next_column(&e, &rows, done);
        done[column] = true;
        if (eliminate_column(&e, &rows, column) != SOLVABLE_YES) {
            return hull;
        }
    }
    for (uint32_t r = 0; r < rows.count; r++) {
        const struct row *row = &rows.items[r];
        if (number_sign(row->factors[kept]) != 0) {
            unknown_bound(arena, &hull, row->factors[kept], row->constant, row->strict);
        }
    }
    return hull;
}
