/*
 * Rows in bulk held against one question at a time: each row that is judged says byte for byte what
 * stave_assess says of the same finding line. Each row is also given in two forms: with figures in
 * the column's unit, which the fast table judges, and with units in the cells, which take the
 * general road. Figures are drawn at the limits of the books and one step to either side.
 *
 * Then what is no good row: every cut of a table, random bytes, blocks of any size.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "fail_alloc.h"

/* 102 000 rows; a build that looks for memory errors is ten times slower, and takes some of them. */
#ifdef __SANITIZE_ADDRESS__
enum { RANDOM_BOOKS = 24, ROWS_OF_BOOK = 300, REAL_ROWS = 800, NOISE = 2000, ODD_TABLES = 20 };
#else
enum { RANDOM_BOOKS = 24, ROWS_OF_BOOK = 3500, REAL_ROWS = 6000, NOISE = 20000, ODD_TABLES = 60 };
#endif

/* A question takes long, so only one row in so many is also asked as one; all are in two forms. For all of
 * them set TEST_SWEEP_EVERY=1. */
static size_t every = 5;

static uint64_t state = 7;

static uint32_t chance(uint32_t below)
{
    state = state * UINT64_C(6364136223846793005) + 1442695040888963407;
    return (uint32_t)((state >> 33) % below);
}

/* ---- texts ------------------------------------------------------------------------------- */

struct text {
    char *bytes;
    size_t size, capacity;
};

static void addf(struct text *text, const char *format, ...)
{
    char piece[2048];
    va_list arguments;
    va_start(arguments, format);
    int size = vsnprintf(piece, sizeof piece, format, arguments);
    va_end(arguments);
    assert_true(size >= 0 && (size_t)size < sizeof piece);
    if (text->size + (size_t)size + 1 > text->capacity) {
        text->capacity = 2 * text->capacity + (size_t)size + 4096;
        text->bytes = realloc(text->bytes, text->capacity);
        assert_non_null(text->bytes);
    }
    memcpy(text->bytes + text->size, piece, (size_t)size + 1);
    text->size += (size_t)size;
}

static void add_millionths(struct text *text, int64_t value)
{
    char digits[32];
    int size = snprintf(digits, sizeof digits, "%lld.%06lld", (long long)(value / 1000000),
                        (long long)(value % 1000000));
    while (size > 0 && digits[size - 1] == '0' && chance(8)) {
        size--;
    }
    size -= size > 0 && digits[size - 1] == '.';
    addf(text, "%.*s", size, digits);
}

/* ---- books ---------------------------------------------------------------------------------- */

/* A figure for a limit on a measure of 0 .. 4, in thousandths. */
static void add_limit(struct text *book, const char *unit)
{
    addf(book, "%u.%03u %s", chance(4), 1 + chance(999), unit);
}

static void add_condition(struct text *book, unsigned what)
{
    static const char *const relations[] = {"up to", "below"};
    const char *relation = relations[chance(2)];
    static const char *const curves[] = {"curve-a", "curve-b", "curve-c"};
    const char *curve = curves[chance(3)];
    switch (what) {
    case 0:
        addf(book, "depth %s %s", relation, curve);
        break;
    case 1:
        addf(book, "depth %s %u.%u * %s + ", relation, chance(2), 1 + chance(9), curve);
        add_limit(book, "in");
        break;
    case 2:
    case 3:
        addf(book, "depth %s the %s of %s and ", relation, what == 2 ? "lesser" : "greater", curve);
        if (what == 2 && chance(2)) {
            addf(book, "across");
        } else {
            add_limit(book, "in");
        }
        break;
    case 4:
        addf(book, "depth up to 10 %% of length");
        break;
    case 5:
        addf(book, "depth %s ", relation);
        add_limit(book, "in");
        break;
    case 6:
        addf(book, "depth up to 2.5 in, patch %s ", relation);
        add_limit(book, "in2");
        break;
    default:
        addf(book, "depth over 0.0001 in and %s ", relation);
        add_limit(book, "in");
        break;
    }
}

static void add_ladder(struct text *book, const char *head)
{
    static const char *const outcomes[] = {"good", "watch", "fix", "shop"};
    static const char *const rests[] = {
        "any length, width up to 300 mm", "length up to 1.5 in, any width",
        "length up to cut-length, width below 2.125 mm", "length below 3 in, width up to 1 in"};
    static const char *const seen[] = {
        "any rock, any tone, any lie, any grease, any open",
        "any rock, any tone, lie is lengthwise or slanted, any grease, any open",
        "any rock, any tone, any lie, grease up to trace, any open",
        "any rock, any tone, any lie, any grease, not open",
        "rock at least 0.5 deg, any tone, any lie, any grease, any open",
        "any rock, tone over 40 %, any lie, any grease, any open",
    };
    addf(book, "limit %s per \"Table %u, line \\\"%u\\\"\"\n", head, chance(9), chance(9));
    unsigned outcome = 0;
    for (unsigned line = 0; line < 4 && outcome < 4; line++, outcome += chance(2)) {
        addf(book, "    %s ", outcomes[outcome]);
        add_condition(book, chance(8));
        /* Above `no flight` every thing that is recorded is bounded or released. */
        addf(book, ", %s, %s%s\n", rests[chance(4)], seen[chance(6)],
             chance(4) ? "" : " per \"a, \\\"b\\\"\"");
    }
    if (chance(3)) {
        addf(book, "    otherwise shop\n");
    }
}

static void random_book(struct text *book)
{
    static const char *const roundings[] = {"read to 0.001 in", "read up to 0.01 in",
                                            "read nearest 0.004 in", "read up to 0.1 mm", ""};
    book->size = 0;
    addf(book,
         "stave 1\nbook S-1 \"test\"\nedition \"A\"\nfor model M-1\n%s"
         "scale\n    good \"a\"\n    watch \"b\"\n  no flight\n    fix \"c\"\n    shop \"d\"\n",
         chance(2) ? "judge as read\n" : "");
    addf(book, "part blade, 2 .. 6\n    axis station 6 in .. 52 in\n    axis chord 0 %% .. 100 %%\n"
               "    side camber, thrust meet at chord 0 %%, chord 100 %%\n"
               "part spinner\n    place dome, attachment\npart hub\n");
    addf(book, "zone root on blade station 6 in .. %s%u in\n", chance(2) ? "below " : "",
         14 + chance(4));
    addf(book, "zone mid on blade station 14 in .. 30 in chord %u %% .. 90 %% camber\n",
         chance(2) ? 5 + chance(9) : 0);
    addf(book, "zone tip on blade station 28.25 in .. 52 in\n"
               "zone rest on blade station 14 in .. 52 in outside mid\n"
               "zone top on spinner dome\nzone back on spinner attachment\n");
    addf(book, "measure depth 0 in .. 4 in %s\n", roundings[chance(5)]);
    addf(book, "measure length 0 in .. 40 in %s\n", roundings[chance(5)]);
    addf(book, "measure width 0 mm .. 400 mm %s\n", roundings[chance(5)]);
    addf(book, "measure rock 0 deg .. 10 deg %s smaller is worse\n",
         chance(2) ? "read up to 0.1 deg" : "");
    addf(book, "measure tone 10 %% .. 100 %% smaller is worse\n"
               "reckon patch as length * width\n"
               "observe lie one of lengthwise, slanted, across-the-blade\n"
               "observe grease levels nothing, trace, along-it\nobserve open yes or no\n");
    addf(book,
         "kind gouge, nick on blade, spinner, hub "
         "records depth, length%s, width, rock, tone, lie, grease, open\n",
         chance(3) ? "" : " along station");
    static const char *const names[] = {"curve-a", "curve-b", "curve-c"};
    for (unsigned c = 0; c < 3; c++) {
        addf(book, "curve %s along station\n    6 in 0.0%u in\n    %u in 0.%03u in\n", names[c],
             1 + chance(99), 15 + chance(6), chance(1000));
        addf(book, "    %u in 1.%u in\n    52 in 0.%u in\n", 25 + chance(20), chance(100),
             chance(1000));
    }
    addf(book, "curve across along chord\n    0 %% 0.%u in\n    %u %% 1.%u in\n    100 %% 0.%u in\n",
         chance(1000), 20 + chance(60), chance(100), chance(1000));
    addf(book, "curve cut-length along station\n    6 in 1 in\n    52 in %u.5 in\n", 1 + chance(9));
    add_ladder(book, "gouge, nick on root");
    add_ladder(book, "gouge on mid");
    add_ladder(book, "gouge, nick on rest");
    add_ladder(book, "gouge on tip");
    addf(book,
         "limit gouge, nick on top\n    good depth up to 0.25 in, length up to 1 in / 3, "
         "width up to 25.4 mm, any rock, any tone, any lie, any grease, any open\n"
         "    otherwise shop\n"
         "limit gouge, nick on back\n    good depth up to 0.5 in, length up to 2 in, "
         "width up to 12.7 mm, any rock, any tone, any lie, any grease, any open\n"
         "    fix depth up to 2 in, any length, any width, any rock, any tone, any lie, "
         "any grease, any open\n    otherwise shop\n"
         "limit gouge, nick on hub\n    good depth below 0.5 in, any length, any width, any rock, "
         "any tone, any lie, any grease, not open\n    otherwise no published limit\n");
}

static stave_book *read_book(const char *name, const char *bytes, size_t size)
{
    const struct stave_text text = {name, bytes, size};
    stave_book *book = NULL;
    /* Every other book as one question would read it: no answer may be another for that. */
    const struct stave_host host = {.for_one_answer = size % 2 == 1};
    enum stave_status status = stave_book_read(&host, &text, &book);
    if (status != STAVE_OK) {
        size_t count;
        const struct stave_problem *problems = stave_book_problems(book, &count);
        while (problems->severity != STAVE_ERROR) {
            problems++;
        }
        fail_msg("%s:%u:%u: %s (%s)", name, problems[0].at.line, problems[0].at.column,
                 problems[0].message, problems[0].at.excerpt);
    }
    return book;
}

/* ---- findings --------------------------------------------------------------------------------- */

/* One finding in three forms. */
struct forms {
    struct text plain, units, lines; /* CSV with units in the header; in the cells; finding lines */
    size_t *starts;                  /* of each line in `lines` */
    size_t count;
};

/* Figures at which something changes, in millionths of the unit in which the book has them. */
struct marks {
    int64_t at[4096];
    size_t count;
};

/* Points of curves, so that a figure stands at its limit at the very place. */
static struct {
    struct marks places, figures;
} points;
static size_t point; /* of the finding at hand, from 1; 0: none */

static void mark(struct marks *marks, const struct stave_figure *figure)
{
    if (figure->rounded || figure->decimal[0] == '-' || marks->count == 4096) {
        return;
    }
    int64_t value = 0;
    int places = -1;
    for (const char *c = figure->decimal; *c; c++) {
        if (*c == '.') {
            places = 0;
        } else {
            value = value * 10 + (*c - '0');
            places += places >= 0;
        }
    }
    for (places = places < 0 ? 0 : places; places < 6; places++) {
        value *= 10;
    }
    marks->at[marks->count++] = value;
}

static void mark_point(const struct stave_point *at)
{
    if (!at->at.rounded && !at->value.rounded && at->value.decimal[0] != '-' && at->at.decimal[0] &&
        points.places.count < 4096) {
        mark(&points.places, &at->at);
        mark(&points.figures, &at->value);
    }
}

static void mark_bands(struct marks *figures, struct marks *places, const stave_outline *outline)
{
    for (size_t c = 0; c < outline->chart_count; c++) {
        const struct stave_chart *chart = &outline->charts[c];
        for (size_t s = 0; s < chart->stretch_count; s++) {
            const struct stave_stretch *stretch = &chart->stretches[s];
            mark(places, &stretch->range.from);
            mark(places, &stretch->range.to);
            for (size_t b = 0; b < stretch->band_count; b++) {
                const struct stave_band *band = &stretch->bands[b];
                for (size_t p = 0; p < band->low_count; p++) {
                    mark(figures, &band->low[p].value);
                }
                for (size_t p = 0; p < band->high_count; p++) {
                    mark(figures, &band->high[p].value);
                    mark(places, &band->high[p].at);
                    mark_point(&band->high[p]);
                }
            }
        }
    }
}

/* A figure between two others: at a mark, a step beside one, or anywhere. */
static int64_t draw(const struct marks *marks, bool places, const struct stave_figure *from,
                    const struct stave_figure *to)
{
    static const int64_t steps[] = {0, 0, 0, 1, -1, 100, -100, 1000, -1000, 10000, -10000, 250000};
    struct marks ends = {.count = 0};
    mark(&ends, from);
    mark(&ends, to);
    int64_t low = ends.count > 0 ? ends.at[0] : 0, high = ends.count > 1 ? ends.at[1] : low;
    int64_t value = point ? (places ? &points.places : &points.figures)->at[point - 1]
                    : marks->count && chance(4)
                        ? marks->at[chance((uint32_t)marks->count)]
                        : low + (int64_t)chance(1000001) * ((high - low) / 1000000);
    if (point && places) {
        return value < low ? low : value > high ? high : value;
    }
    if (chance(3) == 0) {
        value = value / 1000 * 1000;
    }
    value += steps[chance(12)];
    return value < low ? low : value > high ? high : value;
}

/* A figure in another unit of its sort; false where there is none here. */
static bool in_another_unit(int64_t value, const char *unit, struct text *text)
{
    static const struct {
        const char *unit, *other;
        int64_t over, under;
    } pairs[] = {{"in", "thou", 1000, 1},  {"in", "mm", 254, 10},      {"in", "cm", 254, 100},
                 {"mm", "in", 10, 254},    {"mm", "um", 1000, 1},      {"in2", "mm2", 64516, 100},
                 {"mm2", "in2", 100, 64516}, {"deg", "arcmin", 60, 1}};
    size_t count = sizeof pairs / sizeof pairs[0], first = chance((uint32_t)count);
    for (size_t i = 0; i < count; i++) {
        size_t at = (first + i) % count;
        if (strcmp(pairs[at].unit, unit) == 0) {
            add_millionths(text, value * pairs[at].over / pairs[at].under);
            addf(text, " %s", pairs[at].other);
            return true;
        }
    }
    return false;
}

/* A figure as it may stand in a cell, exact or not, and the same with its unit. */
static void add_figure(int64_t value, const struct stave_figure *to, struct text *plain,
                       struct text *with_unit)
{
    static const int64_t widths[] = {0, 1, 1000, 2000, 10000, 250000, 4000000};
    const char *unit = to->unit;
    struct text cell = {0};
    struct marks end = {.count = 0};
    mark(&end, to);
    int64_t high = value + widths[chance(7)];
    bool named = chance(4) == 0; /* in the cell, though the column has it */
    switch (chance(12)) {
    case 0:
        addf(&cell, "%s", "");
        if (in_another_unit(value, unit, &cell)) {
            addf(plain, "%s", cell.bytes);
            addf(with_unit, "%s", cell.bytes);
            free(cell.bytes);
            return;
        }
        add_millionths(&cell, value);
        break;
    case 1:
        add_millionths(&cell, value);
        addf(&cell, " +/- ");
        add_millionths(&cell, widths[chance(7)]);
        break;
    case 2:
        add_millionths(&cell, value);
        addf(&cell, " .. ");
        add_millionths(&cell, end.count && high > end.at[0] ? end.at[0] : high);
        break;
    default:
        add_millionths(&cell, value);
        named = false;
        break;
    }
    addf(plain, "%s%s%s", cell.bytes, named ? " " : "", named ? unit : "");
    addf(with_unit, "%s %s", cell.bytes, unit);
    free(cell.bytes);
}

static void one_finding(struct forms *forms, const stave_outline *outline,
                        const struct marks *figures, const struct marks *places, size_t number)
{
    const struct stave_kind *kind;
    point = points.places.count && chance(2) ? 1 + chance((uint32_t)points.places.count) : 0;
    do {
        kind = &outline->kinds[chance((uint32_t)outline->kind_count)];
    } while (kind->check);
    uint32_t which = kind->parts[chance((uint32_t)kind->part_count)];
    const struct stave_part *part = &outline->parts[which];
    struct text *plain = &forms->plain, *units = &forms->units, *line = &forms->lines;
    char name[256];
    snprintf(name, sizeof name, "%s", part->name);
    const struct stave_part *counted = part;
    for (size_t p = 0; p < outline->part_count && part->one_on_each[0]; p++) {
        counted =
            strcmp(outline->parts[p].name, part->one_on_each) == 0 ? &outline->parts[p] : counted;
    }
    if (counted->counted) {
        snprintf(name, sizeof name, "%s %u", part->name, 1 + chance(counted->most));
    }
    addf(plain, "F%zu,P-1,%zu,%s,%s", number, number, name, kind->name);
    addf(units, "F%zu,P-1,%zu,%s,%s", number, number, name, kind->name);
    forms->starts[forms->count++] = line->size;
    addf(line, "%s %s", name, kind->name);
    const char *at = " at ";
    for (size_t p = 0; p < outline->part_count; p++) {
        for (size_t a = 0; a < outline->parts[p].axis_count; a++) {
            const struct stave_axis *axis = &outline->parts[p].axes[a];
            bool here = p == which && chance(a ? 6 : 20); /* without the first much is to be asked */
            addf(plain, ",");
            addf(units, ",");
            if (here) {
                size_t from = units->size;
                add_figure(draw(places, true, &axis->from, &axis->to), &axis->to, plain, units);
                addf(line, "%s%s %s", at, axis->name, units->bytes + from);
                at = " ";
            }
        }
    }
    const char *side =
        part->side_count && chance(20) ? part->sides[chance((uint32_t)part->side_count)] : "";
    const char *place =
        part->place_count && chance(6) ? part->places[chance((uint32_t)part->place_count)] : "";
    addf(plain, ",%s,%s", side, place);
    addf(units, ",%s,%s", side, place);
    if (side[0] || place[0]) {
        addf(line, "%s%s%s", at, side, place);
    }
    for (size_t q = 0; q < outline->quality_count; q++) {
        const struct stave_quality *quality = &outline->qualities[q];
        bool recorded = false;
        for (size_t r = 0; r < kind->record_count; r++) {
            recorded |= kind->records[r].quality == q;
        }
        addf(plain, ",");
        addf(units, ",");
        if (!recorded || !chance(25)) {
            continue;
        }
        if (quality->measured) {
            size_t from = units->size;
            add_figure(draw(figures, false, &quality->from, &quality->to), &quality->to, plain,
                       units);
            addf(line, ", %s %s", quality->name, units->bytes + from);
        } else {
            const char *value = quality->values[chance((uint32_t)quality->value_count)];
            addf(plain, "%s", value);
            addf(units, "%s", value);
            addf(line, ", %s %s", quality->name, value);
        }
    }
    addf(plain, "\n");
    addf(units, "\n");
    addf(line, "\n");
}

static void headers(struct forms *forms, const stave_outline *outline)
{
    addf(&forms->plain, "id,propeller,inspection,part,kind");
    addf(&forms->units, "id,propeller,inspection,part,kind");
    for (size_t p = 0; p < outline->part_count; p++) {
        for (size_t a = 0; a < outline->parts[p].axis_count; a++) {
            const struct stave_axis *axis = &outline->parts[p].axes[a];
            addf(&forms->plain, ",%s [%s]", axis->name, axis->from.unit);
            addf(&forms->units, ",%s", axis->name);
        }
    }
    addf(&forms->plain, ",side,place");
    addf(&forms->units, ",side,place");
    for (size_t q = 0; q < outline->quality_count; q++) {
        const struct stave_quality *quality = &outline->qualities[q];
        bool unit = quality->measured && quality->from.unit[0];
        addf(&forms->plain, ",%s%s%s", quality->name, unit ? " " : "",
             unit ? quality->from.unit : "");
        addf(&forms->units, ",%s", quality->name);
    }
    addf(&forms->plain, "\n");
    addf(&forms->units, "\n");
}

/* ---- sweeping ---------------------------------------------------------------------------------- */

/* Sweeps a whole text with one sweeper, cut into blocks of `most` bytes where that is not 0; gives the
 * answers, and the counts. */
static void sweep(const stave_book *book, const struct stave_sweep_options *options,
                  const char *bytes, size_t size, size_t most, struct text *answers,
                  struct stave_sweep_counts *counts)
{
    const struct stave_text start = {"rows", bytes, size};
    stave_sweep *made = NULL;
    stave_sweeper *sweeper = NULL;
    stave_cutter *cutter = NULL;
    uint64_t lines;
    answers->size = 0;
    addf(answers, "%s", "");
    if (stave_sweep_make(NULL, book, options, &start, &made) != STAVE_OK) {
        size_t count;
        assert_non_null(stave_sweep_problems(made, &count));
        assert_true(count > 0);
        stave_sweep_free(made);
        *counts = (struct stave_sweep_counts){0};
        return;
    }
    size_t at = stave_sweep_header(made, &lines);
    uint64_t line = lines + 1;
    assert_int_equal(stave_sweeper_make(NULL, made, &sweeper), STAVE_OK);
    assert_int_equal(stave_cutter_make(NULL, made, &cutter), STAVE_OK);
    while (at < size) {
        struct stave_cut cut = {0};
        size_t there = most;
        for (; cut.size == 0; there *= 2) {
            bool last = most == 0 || size - at <= there;
            assert_int_equal(stave_cut(cutter, bytes + at, last ? size - at : there, last, &cut),
                             STAVE_OK);
            if (last && cut.size == 0) {
                break;
            }
        }
        if (cut.size == 0) {
            break;
        }
        const struct stave_block block = {.bytes = bytes + at,
                                          .size = cut.size,
                                          .first_line = line,
                                          .again = cut.again,
                                          .too_large = cut.too_large};
        const char *given;
        size_t given_size;
        assert_int_equal(stave_sweeper_answer(sweeper, &block, &given, &given_size), STAVE_OK);
        for (size_t i = 0; i < given_size; i += 1000) {
            size_t piece = given_size - i < 1000 ? given_size - i : 1000;
            addf(answers, "%.*s", (int)piece, given + i);
        }
        at += cut.size;
        line += cut.lines;
        if (cut.pass_line) {
            const char *end = memchr(bytes + at, '\n', size - at);
            at = end ? (size_t)(end + 1 - bytes) : size;
        }
    }
    static uint64_t by_outcome[64]; /* what outlives the sweeper */
    *counts = *stave_sweeper_counts(sweeper);
    assert_true(counts->outcome_count <= 64);
    memcpy(by_outcome, counts->by_outcome, counts->outcome_count * sizeof *by_outcome);
    counts->by_outcome = by_outcome;
    counts->by_kind = counts->by_zone = NULL;
    assert_int_equal(counts->judged + counts->not_judged, counts->rows);
    stave_cutter_free(cutter);
    stave_sweeper_free(sweeper);
    stave_sweep_free(made);
}

static void csv_field(struct text *text, const char *field)
{
    bool quotes = strpbrk(field, ",\"\n") != NULL;
    addf(text, quotes ? "\"" : "");
    for (const char *c = field; *c; c++) {
        addf(text, *c == '"' ? "\"\"" : "%c", *c);
    }
    addf(text, quotes ? "\"" : "");
}

static const char *marked(const char *figure, bool rounded, char *room)
{
    snprintf(room, 400, "%s%s", figure, rounded ? " (rounded)" : "");
    return room;
}

/* What the answer to a finding line has to be, from stave_assess. */
static void expect_answer(const stave_book *book, const char *line, size_t size, size_t number,
                          struct text *expected)
{
    const struct stave_text text = {"line", line, size};
    const struct stave_book_facts *facts = stave_book_facts(book);
    stave_record *record = NULL;
    stave_verdict *verdict = NULL;
    char reading[400], limit[400];
    assert_int_equal(stave_record_read_line(NULL, book, &text, &record), STAVE_OK);
    assert_int_equal(stave_assess(NULL, record, &verdict), STAVE_OK);
    const struct stave_item *item = &verdict->items[0];
    const struct stave_outcome *outcome = &facts->scale[item->outcome];
    addf(expected, "%zu,F%zu,%s,%s,%s,", number + 1, number, outcome->name,
         outcome->flight ? "yes" : "no",
         item->possible_count > 1 ? facts->scale[item->possible[0]].name : "");
    const struct stave_reason *reason =
        item->reason_count && item->reasons[0].governs ? &item->reasons[0] : NULL;
    const struct stave_comparison *shown = NULL;
    if (reason) {
        shown = reason->kept_from_count ? &reason->kept_from[0] : NULL;
        for (size_t h = 0; !shown && h < reason->held_count; h++) {
            shown = reason->held[h].name[0] ? &reason->held[h] : NULL;
        }
        addf(expected, "%s,%s:%u,", reason->zone, reason->text_name, reason->line);
    } else {
        addf(expected, ",,");
    }
    csv_field(expected, shown ? shown->name : "");
    addf(expected, ",");
    csv_field(expected, shown ? marked(shown->reading, shown->reading_rounded, reading) : "");
    addf(expected, ",");
    csv_field(expected, shown ? marked(shown->limit, shown->limit_rounded, limit) : "");
    addf(expected, ",");
    csv_field(expected, reason ? reason->source : "");
    addf(expected, ",");
    if (!reason) {
        addf(expected, "%s lies in no zone with a limit for it",
             item->reason_count ? "part of it" : "it");
    } else if (item->guarded_outcome >= 0 && (uint32_t)item->guarded_outcome != item->outcome) {
        addf(expected, "as read; guarded: %s", facts->scale[item->guarded_outcome].name);
    }
    addf(expected, "\n");
    stave_verdict_free(verdict);
    stave_record_free(record);
}

/* The first line in which two texts differ. */
static void same_lines(const char *what, const struct text *a, const struct text *b)
{
    const char *x = a->bytes ? a->bytes : "", *y = b->bytes ? b->bytes : "";
    while (*x || *y) {
        size_t size = strcspn(x, "\n"), other = strcspn(y, "\n");
        if (size != other || memcmp(x, y, size) != 0) {
            fail_msg("%s\n  %.*s\n  %.*s", what, (int)size, x, (int)other, y);
        }
        x += size + (x[size] != '\0');
        y += other + (y[other] != '\0');
    }
}

static size_t compare_book(const char *name, const stave_book *book, size_t rows)
{
    stave_outline *outline = NULL;
    const struct stave_sweep_options options = {0};
    struct forms forms = {.starts = calloc(rows + 1, sizeof(size_t))};
    struct marks *figures = calloc(2, sizeof *figures), *places = figures + 1;
    struct text fast = {0}, general = {0}, expected = {0};
    struct stave_sweep_counts counts;
    assert_int_equal(stave_outline_make(NULL, book, &outline), STAVE_OK);
    points.places.count = points.figures.count = 0;
    mark_bands(figures, places, outline);
    headers(&forms, outline);
    for (size_t i = 1; i <= rows; i++) {
        one_finding(&forms, outline, figures, places, i);
    }
    sweep(book, &options, forms.plain.bytes, forms.plain.size, 0, &fast, &counts);
    assert_int_equal(counts.rows, rows);
    size_t judged = counts.judged;
    sweep(book, &options, forms.units.bytes, forms.units.size, 0, &general, &counts);
    assert_int_equal(counts.rows, rows);
    same_lines(name, &fast, &general);
    addf(&expected, "%s", "");
    forms.starts[rows] = forms.lines.size;
    const char *answer = fast.bytes;
    for (size_t i = 0; i < rows; i++) {
        const char *end = strchr(answer, '\n') + 1;
        const char *line = forms.lines.bytes + forms.starts[i];
        size_t size = forms.starts[i + 1] - forms.starts[i] - 1;
        bool asked = i % every == 0;
        if (asked && (!strstr(answer, ",not judged,") || strstr(answer, ",not judged,") > end)) {
            expected.size = 0;
            expect_answer(book, line, size, i + 1, &expected);
            if (expected.size != (size_t)(end - answer) ||
                memcmp(expected.bytes, answer, expected.size) != 0) {
                fail_msg("%s: %.*s\n  %.*s  %s", name, (int)size, line, (int)(end - answer), answer,
                         expected.bytes);
            }
        }
        answer = end;
    }
    stave_outline_free(outline);
    free(forms.plain.bytes);
    free(forms.units.bytes);
    free(forms.lines.bytes);
    free(forms.starts);
    free(figures);
    free(fast.bytes);
    free(general.bytes);
    free(expected.bytes);
    return judged;
}

static void rows_and_questions_agree_on_random_books(void **unused)
{
    (void)unused;
    struct text text = {0};
    size_t judged = 0;
    for (unsigned i = 0; i < RANDOM_BOOKS; i++) {
        random_book(&text);
        stave_book *book = read_book("random.stave", text.bytes, text.size);
        judged += compare_book("random.stave", book, ROWS_OF_BOOK);
        stave_book_free(book);
    }
    free(text.bytes);
    print_message("%d random books, %d rows: %zu judged, each as by a question\n", RANDOM_BOOKS,
                  RANDOM_BOOKS * ROWS_OF_BOOK, judged);
}

static bool find_beside(void *user, const char *from, const char *name, struct stave_text *found,
                        const char **why)
{
    (void)user;
    (void)from;
    (void)why;
    static char bytes[1 << 16];
    char path[300];
    snprintf(path, sizeof path, "rules/%s", name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    *found = (struct stave_text){name, bytes, fread(bytes, 1, sizeof bytes, file)};
    fclose(file);
    return true;
}

static void rows_and_questions_agree_on_real_books(void **unused)
{
    (void)unused;
    static const char *const paths[] = {"rules/field-composite.stave",
                                        "rules/field-aluminium.stave", "tests/books/field.stave"};
    static char bytes[1 << 17];
    size_t judged = 0;
    for (unsigned i = 0; i < 3; i++) {
        FILE *file = fopen(paths[i], "rb");
        assert_non_null(file);
        const struct stave_text text = {paths[i], bytes, fread(bytes, 1, sizeof bytes, file)};
        fclose(file);
        const struct stave_host host = {.find_text = find_beside};
        stave_book *book = NULL;
        assert_int_equal(stave_book_read(&host, &text, &book), STAVE_OK);
        judged += compare_book(paths[i], book, REAL_ROWS);
        stave_book_free(book);
    }
    print_message("3 books, %d rows: %zu judged, each as by a question\n", 3 * REAL_ROWS, judged);
}

/* Rows by the table, where it can, and the same with a blank before the kind, which takes the general road. */
static void same_by_both_roads(const stave_book *book, const char *header,
                               const char *const (*rows)[3], size_t count)
{
    const struct stave_sweep_options options = {0};
    struct stave_sweep_counts counts;
    struct text table[2] = {{0}, {0}}, answers[2] = {{0}, {0}}, expected = {0}, outcomes = {0};
    addf(&expected, "%s", "");
    for (int road = 0; road < 2; road++) {
        addf(&table[road], "%s\n", header);
        for (size_t i = 0; i < count; i++) {
            addf(&table[road], "F%zu,blade 1,%s%s\n", i, road ? " " : "", rows[i][0]);
        }
        sweep(book, &options, table[road].bytes, table[road].size, 0, &answers[road], &counts);
    }
    same_lines("by both roads", &answers[0], &answers[1]);
    const char *line = answers[0].bytes;
    for (size_t i = 0; i < count; i++, line = strchr(line, '\n') + 1) {
        const char *outcome = strchr(strchr(line, ',') + 1, ',') + 1;
        const char *best = strchr(strchr(outcome, ',') + 1, ',') + 1;
        addf(&outcomes, "%.*s %.*s\n", (int)strcspn(outcome, ","), outcome,
             (int)strcspn(best, ","), best);
        addf(&expected, "%s %s\n", rows[i][1], rows[i][2]);
    }
    assert_string_equal(outcomes.bytes, expected.bytes);
    for (int road = 0; road < 2; road++) {
        free(table[road].bytes);
        free(answers[road].bytes);
    }
    free(expected.bytes);
    free(outcomes.bytes);
}

/* A zone that ends where a column's unit has no whole millionth: 500 mm are 19.68503937... in. */
static void a_zone_ends_between_two_millionths(void **unused)
{
    (void)unused;
    static const char text[] =
        "stave 1\nbook S-5 \"test\"\nedition \"A\"\nfor model M-1\n"
        "scale\n    good \"a\"\n  no flight\n    shop \"d\"\n"
        "part blade, 2 .. 6\n    axis station 6 in .. 52 in\n"
        "zone root on blade station 6 in .. 500 mm\n"
        "zone tip on blade station over 500 mm .. 52 in\n"
        "measure depth 0 in .. 4 in\nkind gouge on blade records depth\n"
        "limit gouge on root\n    good depth up to 0.5 in\n    otherwise shop\n"
        "limit gouge on tip\n    good depth up to 0.1 in\n    otherwise shop\n";
    static const char *const rows[][3] = {
        {"gouge,19.685038,0.3", "good", ""},      {"gouge,19.685039,0.3", "good", ""},
        {"gouge,19.68504,0.3", "shop", ""},       {"gouge,500 mm,0.3", "good", ""},
        {"gouge,500.00000001 mm,0.3", "shop", ""}, {"gouge,499.99999999 mm,0.3", "good", ""},
        {"gouge,500.00001 mm,0.3", "shop", ""},   {"gouge,499.99999 mm,0.3", "good", ""},
        {"gouge,19.685039 in,0.3", "good", ""},   {"gouge,19.68503937 in,0.3", "good", ""},
        {"gouge,19.6850394 in,0.3", "shop", ""}};
    stave_book *book = read_book("between.stave", text, sizeof text - 1);
    same_by_both_roads(book, "id,part,kind,station in,depth in", rows, sizeof rows / sizeof rows[0]);
    stave_book_free(book);
}

/* A curve that rises by a tenth: places within reach may lie on both sides of where it is met. */
static void places_within_reach_may_cross_a_curve(void **unused)
{
    (void)unused;
    static const char text[] =
        "stave 1\nbook S-7 \"test\"\nedition \"A\"\nfor model M-1\n"
        "scale\n    good \"a\"\n  no flight\n    shop \"d\"\n"
        "part blade, 2 .. 6\n    axis station 6 in .. 52 in\n"
        "measure depth 0 in .. 9 in\nmeasure length 0 in .. 9 in\n"
        "kind gouge on blade records depth\n"
        "kind nick on blade records depth, length along station\n"
        "curve rising along station\n    6 in 0.6 in\n    52 in 5.2 in\n"
        "curve falling along station\n    6 in 5.2 in\n    52 in 0.6 in\n"
        "zone low on blade station 6 in .. 30 in\nzone high on blade station over 30 in .. 52 in\n"
        "limit gouge on low\n    good depth up to rising\n    otherwise shop\n"
        "limit gouge on high\n    good depth up to falling\n    otherwise shop\n"
        "limit nick on low\n    good depth up to rising, any length\n    otherwise shop\n"
        "limit nick on high\n    good depth up to falling, any length\n    otherwise shop\n";
    static const char *const rows[][3] = {
        {"gouge,20 +/- 1,2,", "shop", "good"},      {"gouge,20 +/- 1,1.9,", "good", ""},
        {"gouge,20 +/- 1,1.900001,", "shop", "good"}, {"gouge,20 +/- 1,2.1,", "shop", "good"},
        {"gouge,20 +/- 1,2.100001,", "shop", ""},   {"gouge,19 .. 21,1.9,", "good", ""},
        {"gouge,19 .. 21,1.900001,", "shop", ""},   {"gouge,40 +/- 1,1.8,", "shop", "good"},
        {"gouge,40 +/- 1,1.7,", "good", ""},        {"gouge,40 +/- 1,1.900001,", "shop", ""},
        {"gouge,39 .. 41,1.7,", "good", ""},        {"gouge,39 .. 41,1.700001,", "shop", ""},
        {"nick,20,2,1", "shop", "good"},            {"nick,20,1.9,1", "good", ""},
        {"nick,20,2.000001,1", "shop", ""},         {"nick,20,2,0", "good", ""},
        {"nick,40,1.8,1", "shop", "good"},          {"nick,40,1.7,1", "good", ""},
        {"nick,40,1.800001,1", "shop", ""},         {"nick,20,1.9,0.5 +/- 0.5", "good", ""},
        {"nick,20,1.95,0.4 .. 1", "shop", "good"},  {"nick,29.5,2.9,1", "shop", "good"},
        {"nick,20 mm,1,1", "not judged", ""},       {"nick,508 mm,1.9,1 in", "good", ""}};
    stave_book *book = read_book("curve.stave", text, sizeof text - 1);
    same_by_both_roads(book, "id,part,kind,station in,depth in,length in", rows,
                       sizeof rows / sizeof rows[0]);
    stave_book_free(book);
}

/* Of a length times a share: whether the unit stands in the header or in the cells. */
static void a_product_is_shown_as_its_factor_was_read(void **unused)
{
    (void)unused;
    static const char text[] =
        "stave 1\nbook S-6 \"test\"\nedition \"A\"\nfor model M-1\n"
        "scale\n    good \"a\"\n  no flight\n    shop \"d\"\npart hub\n"
        "measure depth 0 in .. 4 in\nmeasure share 0 % .. 100 %\nreckon lost as depth * share\n"
        "kind gouge on hub records depth, share\n"
        "limit gouge on hub\n    good lost up to 0.1 in, any depth, any share\n    otherwise shop\n";
    static const char by_header[] = "id,part,kind,depth mm,share %\n"
                                    "1,hub,gouge,20,50\n2,hub,gouge,2,50\n3,hub,gouge,2 .. 3,50\n";
    static const char by_cell[] = "id,part,kind,depth,share\n1,hub,gouge,20 mm,50 %\n"
                                  "2,hub,gouge,2 mm,50 %\n3,hub,gouge,2 .. 3 mm,50 %\n";
    stave_book *book = read_book("product.stave", text, sizeof text - 1);
    const struct stave_sweep_options options = {0};
    struct stave_sweep_counts counts;
    struct text header = {0}, cell = {0};
    sweep(book, &options, by_header, sizeof by_header - 1, 0, &header, &counts);
    assert_int_equal(counts.judged, 3);
    sweep(book, &options, by_cell, sizeof by_cell - 1, 0, &cell, &counts);
    assert_string_equal(header.bytes, cell.bytes);
    assert_non_null(strstr(header.bytes, "lost,10 mm,2.54 mm,"));
    free(header.bytes);
    free(cell.bytes);
    stave_book_free(book);
}

/* ---- what is no good row ------------------------------------------------------------------------ */

static const char small_book[] =
    "stave 1\nbook S-2 \"test\"\nedition \"A\"\nfor model M-1\n"
    "scale\n    good \"a\"\n  no flight\n    shop \"d\"\n"
    "part blade, 2 .. 6\n    axis station 6 in .. 52 in\n"
    "measure depth 0 in .. 4 in\nkind gouge on blade records depth\n"
    "limit gouge on blade\n    good depth up to 0.5 in\n    otherwise shop\n";
static const char counting_book[] =
    "stave 1\nbook S-3 \"test\"\nedition \"A\"\nfor model M-1\n"
    "scale\n    good \"a\"\n  no flight\n    shop \"d\"\n"
    "part blade, 2 .. 6\n    axis station 6 in .. 52 in\n"
    "measure depth 0 in .. 4 in\nkind gouge on blade records depth\n"
    "limit gouge on blade\n    good depth up to 0.5 in, no more than 2 of gouge on a blade\n"
    "    otherwise shop\n";
static const char small_rows[] = "id,propeller,inspection,part,kind,station in,depth in,remark\r\n"
                                 "F1,P1,1,blade 1,gouge,10,0.1,\r\n"
                                 "F2,P1,1,blade 1,gouge,10.5,0.5,\"a, \"\"b\"\"\"\r\n"
                                 "F3,P1,2,blade 1,gouge,11,0.51,\"two\nlines\"\r\n"
                                 "F4,P2,1,blade 2,gouge,12,nan,\r\n"
                                 "\r\n"
                                 "F5,P2,1,blade 2,gouge,13,\"0.2\",\xC3\xA4\r\n"
                                 "F6,P2,1,blade 2,gouge,14,0.2,x\r\n";

/* Rows of an answer: line ends outside quotes. */
static size_t count_rows(const struct text *text)
{
    size_t rows = 0;
    bool quoted = false;
    for (size_t i = 0; i < text->size; i++) {
        quoted ^= text->bytes[i] == '"';
        rows += text->bytes[i] == '\n' && !quoted;
    }
    assert_false(quoted);
    return rows;
}

/* The answers do not depend on where blocks end, and there is one for each row that was counted. */
static void check_rows(const stave_book *book, const char *bytes, size_t size)
{
    static struct text whole, pieces;
    const struct stave_sweep_options options = {0};
    struct stave_sweep_counts counts;
    sweep(book, &options, bytes, size, 0, &whole, &counts);
    assert_int_equal(count_rows(&whole), counts.rows);
    sweep(book, &options, bytes, size, 1 + chance(90), &pieces, &counts);
    same_lines("blocks", &whole, &pieces);
    assert_int_equal(whole.size, pieces.size);
    assert_memory_equal(whole.bytes ? whole.bytes : "", pieces.bytes ? pieces.bytes : "",
                        whole.size);
}

static void every_cut_is_answered(void **unused)
{
    (void)unused;
    const char *const books[] = {small_book, counting_book};
    for (unsigned b = 0; b < 2; b++) {
        stave_book *book = read_book("small.stave", books[b], strlen(books[b]));
        for (size_t size = 0; size <= sizeof small_rows - 1; size++) {
            char *copy = malloc(size + 1); /* so that reading past its end shows */
            memcpy(copy, small_rows, size);
            check_rows(book, copy, size);
            free(copy);
        }
        stave_book_free(book);
    }
}

static void no_noise_loses_a_row(void **unused)
{
    (void)unused;
    static const char odd[] = "\",\n\r\0\xFF\xC3 .0123456789ab#;{}+-e";
    const char *const books[] = {small_book, counting_book};
    for (unsigned b = 0; b < 2; b++) {
        stave_book *book = read_book("small.stave", books[b], strlen(books[b]));
        for (unsigned n = 0; n < NOISE / 2; n++) {
            size_t size = sizeof small_rows - 1;
            char *copy = malloc(size);
            memcpy(copy, small_rows, size);
            size_t header = (size_t)(strchr(small_rows, '\n') + 1 - small_rows);
            for (unsigned changes = 1 + chance(6); changes > 0; changes--) {
                copy[header + chance((uint32_t)(size - header))] = odd[chance(sizeof odd - 1)];
            }
            check_rows(book, copy, size);
            free(copy);
        }
        stave_book_free(book);
    }
    print_message("%d tables with noise, each in blocks of two sizes\n", NOISE);
}

/* A row with a fault of its own never takes another with it. */
/* ---- rows together and alone -------------------------------------------------------------------- */

static const char odd_book[] =
    "stave 1\nbook S-4 \"test\"\nedition \"A\"\nfor model M-1\n"
    "scale\n    good \"a\"\n    watch \"b\"\n  no flight\n    shop \"d\"\n"
    "part blade, 2 .. 12\n    side camber, thrust\n    axis station 6 in .. 52 in\n    axis chord 0 % .. 100 %\n"
    "part spinner\n    place dome, attachment, attachment-fittings, attachmen\n"
    "zone inner on blade station 6 in .. below 20 in\nzone outer on blade station 20 in .. 52 in\n"
    "zone nose on blade chord 0 % .. 10 %\nzone shell on spinner dome\n"
    "zone fittings on spinner attachment attachment-fittings\n"
    "measure depth 0 in .. 4 in read up to 0.01 in\nmeasure length 0 in .. 9 in read nearest 0.03 in\n"
    "measure area 0 in2 .. 90 in2\n"
    "observe lie one of span, spanwise, spanwise-long, spanwise-longer, chord\nobserve loose yes or no\n"
    "kind gouge on blade records depth, length\nkind cracking on blade, spinner records length, lie\n"
    "kind crackings on blade records area, loose\nkind tear on spinner records depth, length, loose\n"
    "curve deep along station\n    6 in  0.05 in\n    13.5 in 0.12 in\n    20 in 0.09 in\n    52 in 0.02 in\n"
    "reckon patch as depth * length\n"
    "limit gouge on inner\n    good depth up to deep, length below 3 in\n"
    "    watch patch up to 0.3 in2, depth below 1 in, any length\n    otherwise shop\n"
    "limit gouge on outer\n    good depth below 1.5 * deep, length up to 10 * depth\n    otherwise shop\n"
    "limit gouge on nose\n    watch depth up to the lesser of deep and 0.06 in, any length\n    otherwise shop\n"
    "limit cracking on inner\n    good length up to 0.5 in, lie is span or spanwise-long\n"
    "    watch any length, lie is spanwise\n    otherwise shop\n"
    "limit cracking on outer\n    otherwise shop\n"
    "limit cracking on shell\n    good length below 1 in, any lie\n    otherwise shop\n"
    "limit crackings on blade\n    good area up to 12.5 in2, not loose\n    otherwise shop\n"
    "limit tear on fittings per \"T 1, \"\n    good depth up to 0.2 in, length up to 2 in, any loose\n"
    "    otherwise shop\n";

static const char *one_of(const char *const *texts, size_t count)
{
    return texts[chance((uint32_t)count)];
}
#define ONE_OF(...)                                                                                \
    one_of((const char *const[]){__VA_ARGS__},                                                     \
           sizeof((const char *const[]){__VA_ARGS__}) / sizeof(const char *))

static void add_odd_figure(struct text *row, unsigned most)
{
    if (chance(20) == 0) {
        addf(row, "%s",
             ONE_OF("0", "00", "0.", ".5", "5.", "1e1", "1/2", "007", "00.5", "0.5.", "-1", "+1",
                    "nan", " 1", "1 ", "0.0000001", "0.000001", "0.00001", "123456.7", "1234567.8",
                    "12345678", "123456789", "0.123456", "0.1234567", "9.999999", "10.00001",
                    "1..2", ".", "..", "/", "0/5", "1:2", "0x1", "1,5", "\xC3\xA4", "0.5 in",
                    "12.5 mm", "about 1", "at least 0.1", "0.1 .. 0.2", "\xEF\xBC\x91", "1;2", "52",
                    "6", "20", "100", "20.000000", "13.5", "0.030", "0.0150", "0.045"));
        return;
    }
    unsigned places = chance(7);
    addf(row, "%u", chance(most));
    if (places) {
        addf(row, ".");
    }
    while (places--) {
        addf(row, "%u", chance(3) ? chance(10) : 0);
    }
}

static void add_odd_text(struct text *row)
{
    if (chance(4)) {
        return;
    }
    addf(row, "%s",
         ONE_OF("", "", "", "x", "found on walk-round", "\"a, b\"", "\"\"", "\"a \"\"b\"\", c\"",
                "\"two\nlines\"", "\xC3\xA4\xC3\xB6", "\"\xC3\xA4, b\"", "\xFF", "\"a\xFF\"",
                "\"\xFF, \xFF\"", "a\tb", "a\rb", "a\x01", "a\"b", "\"a\"b", "\"\"\"\"",
                "\"\"\"\"\"\"", "\"a\"\"\"", "\"\"\"a\"", "\xE2\x82",
                "0123456789012345678901234567890123456789012345678901234567890123456789"));
}

/* A row as it might come, good or bad, of any length. */
static void add_odd_row(struct text *row, unsigned number, const char *line_end)
{
    if (chance(20) == 0) {
        add_odd_text(row);
    } else if (chance(20) == 0) {
        addf(row, "\"F,%u\"", number);
    } else {
        addf(row, "F%u", number);
    }
    /* What a kind on a part asks for, side to loose, as letters; now and then something else. */
    static const struct {
        const char *kind, *asks;
    } kinds[] = {{"gouge", "s-xydl---"},
                 {"cracking", "s-xy-l-L-"},
                 {"crackings", "s-xy--a-o"},
                 {"cracking", "-p---l-L-"},
                 {"tear", "-p--dl--o"}};
    unsigned kind = chance(5);
    bool blade = kind < 3;
    addf(row, ",");
    if (chance(10) == 0) {
        addf(row, "%s",
             ONE_OF("blade 13", "blade 02", "blade 0", "blade", "spinner 1", "blade  1",
                    "\"blade 3\"", "hub"));
    } else if (blade) {
        addf(row, "blade %u", 1 + chance(12));
    } else {
        addf(row, "spinner");
    }
    addf(row, ",%s",
         chance(12) ? kinds[kind].kind
                    : ONE_OF("crack", "cracking-", "gougex", "\"gouge\"", "Gouge", "crackin"));
    for (unsigned i = 0; i < 9; i++) {
        static const unsigned most[] = {0, 0, 56, 104, 3, 4, 20, 0, 0};
        bool asked = kinds[kind].asks[i] != '-';
        addf(row, ",");
        if (asked ? chance(150) == 0 : chance(60) != 0) {
            continue;
        }
        switch (i) {
        case 0:
            addf(row, "%s", ONE_OF("camber", "thrust", "camber", "thrust", "thrusts", "cambe"));
            break;
        case 1:
            addf(row, "%s",
                 ONE_OF("dome", "attachment", "attachment-fittings", "attachmen", "attach"));
            break;
        case 7:
            addf(row, "%s",
                 ONE_OF("span", "spanwise", "spanwise-long", "spanwise-longer", "chord", "spanw",
                        "spanwise-lo"));
            break;
        case 8:
            addf(row, "%s", ONE_OF("yes", "no", "yes", "no", "YES", "y"));
            break;
        default:
            add_odd_figure(row, most[i]);
            break;
        }
    }
    addf(row, ",");
    add_odd_text(row);
    if (chance(40) == 0) {
        addf(row, ",");
    }
    addf(row, "%s", line_end);
}

/*
 * In a block of many rows most are taken together from a stretch; in one of its own each is taken by itself.
 * The answers have to be the same, whatever a row holds.
 */
static void rows_together_and_alone_are_the_same(void **unused)
{
    (void)unused;
    static const char heading[] =
        "id,part,kind,side,place,station in,chord %,depth in,length in,area in2,"
        "lie,loose,remark";
    const struct stave_sweep_options options = {0};
    stave_book *book = read_book("odd \"book\", 1.stave", odd_book, strlen(odd_book));
    struct text rows = {0}, together = {0}, alone = {0};
    struct stave_sweep_counts counts;
    uint64_t judged = 0, all = 0;
    for (unsigned table = 0; table < ODD_TABLES; table++) {
        const char *line_end = table % 3 == 1 ? "\r\n" : "\n";
        rows.size = 0;
        addf(&rows, "%s%s", heading, line_end);
        for (unsigned i = 0; i < 400; i++) {
            add_odd_row(&rows, i, table % 3 == 2 && chance(2) ? "\r\n" : line_end);
        }
        rows.size -= chance(4) == 0; /* the last line without its end */
        sweep(book, &options, rows.bytes, rows.size, 0, &together, &counts);
        judged += counts.judged;
        all += counts.rows;
        uint64_t judged_together = counts.judged;
        sweep(book, &options, rows.bytes, rows.size, 1, &alone, &counts);
        same_lines("together, alone", &together, &alone);
        assert_int_equal(judged_together, counts.judged);
    }
    print_message("%llu odd rows, %llu of them judged\n", (unsigned long long)all,
                  (unsigned long long)judged);
    assert_true(judged > all / 20);
    free(rows.bytes);
    free(together.bytes);
    free(alone.bytes);
    stave_book_free(book);
}

static void a_bad_row_costs_itself_alone(void **unused)
{
    (void)unused;
    static const char *const bad[] = {"x",
                                      "\"",
                                      "\"\"\"",
                                      "F,P1,1,blade 1,gouge,10",
                                      ",,,,,,,,,",
                                      "F,P1,1,blade 1,gouge,10,-0.01,",
                                      "F,P1,1,blade 1,gouge,10,1e-2,",
                                      "F,P1,1,blade 1,gouge,10,\"0,1\",",
                                      "F,P1,1,blade 1,gouge,2026-01-02,0.1,",
                                      "F,P1,1,blade 1,gouge,10,0.1,\"",
                                      "\"F\"1,,,,,,,",
                                      "F,P1,1,blade 7,gouge,10,0.1,",
                                      "F,P1,1,blade 1,gouge,60,0.1,",
                                      "F,P1,1,blade 1,gouge,10,4.1,",
                                      "F,P1,1,blade 1,gouge,10,0.1 kg,",
                                      "F,P1,1,blade 1,gouge,10,\xFF,",
                                      "F,P1,1,blade 1,GOUGE,10,0.1,",
                                      "F,P1,1,blade 01,gouge,10,0.1,",
                                      "F,P1,1,blade 1,gouge,010,0.1,",
                                      "F,P1,1,blade 1,gouge,10,.1,",
                                      "F,P1,1,blade 1,gouge,10,1.,",
                                      "F,P1,1,blade 1,gouge,10,0.1.1,",
                                      "F,P1,1,blade 1,gouge,10,+0.1,",
                                      "F,P1,1,blade 1,gouge,10,0x1,",
                                      "F,P1,1,blade 1,gouge,10,0.1;,"};
    stave_book *book = read_book("small.stave", small_book, strlen(small_book));
    const struct stave_sweep_options options = {0};
    struct text rows = {0}, answers = {0};
    size_t count = sizeof bad / sizeof *bad;
    addf(&rows, "id,propeller,inspection,part,kind,station in,depth in,remark\n");
    for (size_t i = 0; i < count; i++) {
        addf(&rows, "%s\nG%zu,P1,1,blade 1,gouge,10,0.1,\n", bad[i], i);
    }
    struct stave_sweep_counts counts;
    sweep(book, &options, rows.bytes, rows.size, 0, &answers, &counts);
    assert_int_equal(counts.not_judged, count);
    assert_int_equal(counts.judged, count);
    for (size_t i = 0; i < count; i++) {
        char good[64], refused[64];
        snprintf(good, sizeof good, "\n%zu,G%zu,good,yes,", 2 * i + 3, i);
        snprintf(refused, sizeof refused, "%zu,", 2 * i + 2);
        assert_non_null(strstr(answers.bytes, good));
        assert_non_null(strstr(answers.bytes, refused));
    }
    free(rows.bytes);
    free(answers.bytes);
    stave_book_free(book);
    print_message("%zu bad rows\n", count);
}

/* In blocks of `most` bytes, 0: in one. */
static void sweep_counting(const stave_book *book, const char *rows, size_t most,
                           struct text *answers, struct stave_sweep_counts *counts)
{
    static struct text all;
    const struct stave_sweep_options options = {0};
    all.size = 0;
    addf(&all, "id,propeller,inspection,part,kind,station in,depth in\n");
    for (size_t at = 0, size = strlen(rows); at < size; at += 1024) { /* a piece is short */
        addf(&all, "%.1024s", rows + at);
    }
    sweep(book, &options, all.bytes, all.size, most, answers, counts);
}

static void groups_are_counted_whole_or_not_at_all(void **unused)
{
    (void)unused;
    stave_book *book = read_book("small.stave", counting_book, strlen(counting_book));
    struct text answers = {0};
    struct stave_sweep_counts counts;
    sweep_counting(book,
                   "A,P1,1,blade 1,gouge,10,0.1\nB,P1,1,blade 1,gouge,11,0.1\n"
                   "C,P1,2,blade 1,gouge,12,0.1\n",
                   0, &answers, &counts);
    assert_int_equal(counts.by_outcome[0], 3);
    sweep_counting(book,
                   "A,P1,1,blade 1,gouge,10,0.1\nB,P1,1,blade 1,gouge,11,0.1\n"
                   "C,P1,1,blade 1,gouge,12,0.1\nD,P1,1,blade 2,gouge,12,0.1\n",
                   0, &answers, &counts);
    assert_int_equal(counts.by_outcome[0], 1);
    assert_int_equal(counts.by_outcome[1], 3);
    /* One that comes back, one that is spoilt, and one that may be of either neighbour. */
    sweep_counting(book,
                   "A,P1,1,blade 1,gouge,10,0.1\nB,P1,2,blade 1,gouge,11,0.1\n"
                   "C,P1,1,blade 1,gouge,12,0.1\nD,P1,3,blade 1,gouge,12,0.1\n",
                   0, &answers, &counts);
    assert_int_equal(counts.judged, 3);
    assert_non_null(strstr(answers.bytes, "4,C,not judged"));
    sweep_counting(book,
                   "A,P1,1,blade 1,gouge,10,0.1\nB,P1,1,blade 1,gouge,11,nan\n"
                   "C,P1,2,blade 1,gouge,12,0.1\n",
                   0, &answers, &counts);
    assert_int_equal(counts.judged, 1);
    sweep_counting(book,
                   "A,P1,1,blade 1,gouge,10,0.1\nx\nC,P1,2,blade 1,gouge,12,0.1\n"
                   "D,P1,3,blade 1,gouge,12,0.1\n",
                   0, &answers, &counts);
    assert_int_equal(counts.judged, 1);
    assert_non_null(strstr(answers.bytes, "5,D,good"));
    free(answers.bytes);
    stave_book_free(book);
}

/* Where a block has to end behind a row of which the group is not known, that row spoils the group behind
 * it all the same: once where bad rows fill the block, once where too many groups end in one. */
static void a_bad_row_before_a_cut_spoils_what_follows(void **unused)
{
    (void)unused;
    stave_book *book = read_book("small.stave", counting_book, strlen(counting_book));
    struct text rows = {0}, answers = {0};
    struct stave_sweep_counts counts;
    addf(&rows, "A,P1,1,blade 1,gouge,10,0.1\n");
    while (rows.size + 100 < STAVE_BLOCK_LEAST) {
        addf(&rows, "%090d\n", 0);
    }
    addf(&rows, "%0*d\nB,P2,1,blade 1,gouge,10,0.1\n", (int)(STAVE_BLOCK_LEAST - rows.size - 6), 0);
    sweep_counting(book, rows.bytes, STAVE_BLOCK_LEAST, &answers, &counts);
    assert_null(strstr(answers.bytes, ",B,good"));
    rows.size = 0;
    for (int i = 0; i < 4096; i++) {
        addf(&rows, "A,P%d,1,blade 1,gouge,10,0.1\nx\n", i);
    }
    for (int i = 0; rows.size < STAVE_BLOCK_LEAST; i++) {
        addf(&rows, "B,%01500d,1,blade %d,gouge,10,0.1\n", 7, i % 6 + 1);
    }
    sweep_counting(book, rows.bytes, STAVE_BLOCK_LEAST, &answers, &counts);
    assert_null(strstr(answers.bytes, ",B,good"));
    assert_null(strstr(answers.bytes, ",B,shop"));
    free(rows.bytes);
    free(answers.bytes);
    stave_book_free(book);
}

static void json_in_says_the_same(void **unused)
{
    (void)unused;
    stave_book *book = read_book("small.stave", small_book, strlen(small_book));
    struct text rows = {0}, lines = {0}, from_csv = {0}, from_json = {0};
    struct stave_sweep_options options = {.json_out = true};
    struct stave_sweep_counts counts;
    addf(&rows, "id,part,kind,station in,depth in\n");
    for (unsigned i = 2; i < 500; i++) {
        unsigned station = chance(50), depth = chance(700);
        addf(&rows, "F%u,blade %u,gouge,%u,0.%03u\n", i, 1 + i % 6, station, depth);
        addf(&lines,
             "%s{\"id\": \"F%u\", \"part\": \"blade %u\", \"kind\": \"gouge\", "
             "\"station in\": %u, \"depth in\": 0.%03u}\n",
             i == 2 ? "\n" : "", i, 1 + i % 6, station, depth);
    }
    sweep(book, &options, rows.bytes, rows.size, 0, &from_csv, &counts);
    assert_true(counts.judged > 400 && counts.not_judged > 10);
    options.json_in = true;
    sweep(book, &options, lines.bytes, lines.size, 0, &from_json, &counts);
    same_lines("JSON in", &from_csv, &from_json);
    free(rows.bytes);
    free(lines.bytes);
    free(from_csv.bytes);
    free(from_json.bytes);
    stave_book_free(book);
}

static void a_row_without_end_is_one_answer(void **unused)
{
    (void)unused;
    stave_book *book = read_book("small.stave", small_book, strlen(small_book));
    struct text rows = {0}, answers = {0};
    const struct stave_sweep_options options = {0};
    struct stave_sweep_counts counts;
    addf(&rows, "id,part,kind,station in,depth in\nA,blade 1,gouge,10,0.1\nB,blade 1,gouge,10,0.1");
    for (unsigned i = 0; i < 1000; i++) {
        addf(&rows, "%0*d", 1000, 0);
    }
    addf(&rows, "\nC,blade 1,gouge,10,0.1\n");
    sweep(book, &options, rows.bytes, rows.size, STAVE_BLOCK_LEAST, &answers, &counts);
    assert_int_equal(counts.rows, 3);
    assert_int_equal(counts.judged, 2);
    assert_non_null(strstr(answers.bytes, "3,,not judged"));
    assert_non_null(strstr(answers.bytes, "\n4,C,good"));
    free(rows.bytes);
    free(answers.bytes);
    stave_book_free(book);
}

/* Each allocation refused in turn: a status, nothing lost, and no half answer. */
static void no_memory_is_a_status(void **unused)
{
    (void)unused;
    stave_book *book = read_book("small.stave", counting_book, strlen(counting_book));
    struct fail_alloc memory = {0};
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    const struct stave_host host = {.allocator = &allocator};
    const struct stave_sweep_options options = {0};
    const struct stave_text start = {"rows", small_rows, sizeof small_rows - 1};
    size_t refused = 0;
    for (size_t at = 1;; at++) {
        stave_sweep *made = NULL;
        stave_sweeper *sweeper = NULL;
        stave_cutter *cutter = NULL;
        const char *answers;
        size_t size;
        uint64_t lines;
        struct stave_cut cut;
        fail_alloc_arm(&memory, at, true);
        enum stave_status status = stave_sweep_make(&host, book, &options, &start, &made);
        status = status ? status : stave_sweeper_make(&host, made, &sweeper);
        status = status ? status : stave_cutter_make(&host, made, &cutter);
        size_t header = made ? stave_sweep_header(made, &lines) : 0;
        status = status ? status
                        : stave_cut(cutter, small_rows + header, sizeof small_rows - 1 - header,
                                    true, &cut);
        struct stave_block block = {
            .bytes = small_rows + header, .size = sizeof small_rows - 1 - header, .first_line = 2};
        status = status ? status : stave_sweeper_answer(sweeper, &block, &answers, &size);
        bool done = !memory.refused;
        assert_int_equal(status, done ? STAVE_OK : STAVE_NO_MEMORY);
        fail_alloc_disarm(&memory);
        stave_cutter_free(cutter);
        stave_sweeper_free(sweeper);
        stave_sweep_free(made);
        assert_int_equal(memory.live_blocks, 0);
        if (done) {
            break;
        }
        refused++;
    }
    assert_true(refused > 5);
    stave_book_free(book);
    print_message("%zu refusals of memory\n", refused);
}

int main(void)
{
    const char *wanted = getenv("TEST_SWEEP_EVERY");
    every = wanted && atoi(wanted) > 0 ? (size_t)atoi(wanted) : every;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_and_questions_agree_on_random_books),
        cmocka_unit_test(rows_and_questions_agree_on_real_books),
        cmocka_unit_test(a_zone_ends_between_two_millionths),
        cmocka_unit_test(places_within_reach_may_cross_a_curve),
        cmocka_unit_test(a_product_is_shown_as_its_factor_was_read),
        cmocka_unit_test(every_cut_is_answered),
        cmocka_unit_test(no_noise_loses_a_row),
        cmocka_unit_test(rows_together_and_alone_are_the_same),
        cmocka_unit_test(a_bad_row_costs_itself_alone),
        cmocka_unit_test(groups_are_counted_whole_or_not_at_all),
        cmocka_unit_test(a_bad_row_before_a_cut_spoils_what_follows),
        cmocka_unit_test(json_in_says_the_same),
        cmocka_unit_test(a_row_without_end_is_one_answer),
        cmocka_unit_test(no_memory_is_a_status),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
