/* Answers of the fast table: the general road's, byte for byte, from pieces made before. */
#include <string.h>

#include "sweep/fast.h"

#define ANY_ROOM                                                                                   \
    (FAST_VALUE + 3 * UINT8_MAX + 256) /* for a reading, or a limit that is none of text */
#define ROUNDED " (rounded)"

/* ---- figures ---------------------------------------------------------------------------------- */

static const char pairs[200] =
    "00010203040506070809101112131415161718192021222324252627282930313233343536373839404142434445"
    "46474849505152535455565758596061626364656667686970717273747576777879808182838485868788899091"
    "9293949596979899";

static char *put_digits(char *to, uint64_t number)
{
    char digits[20];
    unsigned at = sizeof digits;
    while (number >= 100) {
        at -= 2;
        memcpy(digits + at, pairs + 2 * (number % 100), 2);
        number /= 100;
    }
    at -= 2;
    memcpy(digits + at, pairs + 2 * number, 2);
    at += number < 10;
    for (unsigned i = at; i < sizeof digits; i++) {
        *to++ = digits[i];
    }
    return to;
}

/* Millionths, without needless zeros at the end. */
static char *put_millionths(char *to, uint64_t number)
{
    uint64_t whole = number / FAST_MILLION;
    uint32_t part = (uint32_t)(number % FAST_MILLION);
    if (whole < 10) {
        *to++ = (char)('0' + whole);
    } else {
        to = put_digits(to, whole);
    }
    if (part) {
        *to++ = '.';
        memcpy(to, pairs + 2 * (part / 10000), 2);
        memcpy(to + 2, pairs + 2 * (part / 100 % 100), 2);
        memcpy(to + 4, pairs + 2 * (part % 100), 2);
        to += 6;
        while (to[-1] == '0') {
            to--;
        }
    }
    return to;
}

/* number / 10^places, the same way. */
static char *put_decimal(char *to, uint64_t number, unsigned places)
{
    static const uint64_t powers[] = {
        1,        10,        100,        1000,        10000,        100000,       1000000,
        10000000, 100000000, 1000000000, 10000000000, 100000000000, 1000000000000};
    if (places == 6) {
        return put_millionths(to, number);
    }
    uint64_t whole = number / powers[places], part = number % powers[places];
    to = put_digits(to, whole);
    if (part) {
        *to++ = '.';
        for (unsigned i = places; i-- > 0 && part;) {
            *to++ = (char)('0' + part / powers[i]);
            part %= powers[i];
        }
    }
    return to;
}

#define MOST_PLACES 12

/*
 * over / under millionths as quantity_text has them: exact where six decimals are enough, else rounded
 * to five digits. NULL where that does not fit.
 */
static char *put_figure(char *to, uint64_t over, uint64_t under, bool up, bool *rounded)
{
    uint64_t whole = over / under, rest = over % under;
    *rounded = false;
    if (!rest) {
        return put_decimal(to, whole, 6);
    }
    /* The fewest places at which the figure has five digits before its point. */
    unsigned places = 6;
    if (whole >= 10000) {
        while (places > 0 && whole >= 100000) {
            whole /= 10;
            places--;
            if (under >= UINT64_C(1) << 58) {
                return NULL;
            }
            under *= 10;
        }
    } else {
        while (over / under < 10000) {
            if (over >= UINT64_C(1) << 60 || places == MOST_PLACES) {
                return NULL;
            }
            over *= 10;
            places++;
        }
    }
    whole = over / under;
    *rounded = over % under != 0;
    return put_decimal(to, whole + (up && *rounded), places);
}

static char *put_bytes(char *to, const char *bytes, size_t size)
{
    memcpy(to, bytes, size);
    return to + size;
}

/* By FAST_SPARE bytes at a time: there is room to read and to write a few too many. */
static inline char *put_text(char *to, const char *text, size_t size)
{
    memcpy(to, text, FAST_SPARE);
    for (size_t at = FAST_SPARE; at < size; at += FAST_SPARE) {
        memcpy(to + at, text + at, FAST_SPARE);
    }
    return to + size;
}

static inline char *put_suffix(char *to, const struct fast *fast, const struct fast_step *shown,
                               bool rounded)
{
    to = put_text(to, fast->texts + shown->text + shown->before_size, shown->suffix_size);
    return rounded ? put_bytes(to, ROUNDED, sizeof ROUNDED - 1) : to;
}

/* ---- what a comparison shows ----------------------------------------------------------------------- */

#define EACH_BYTE UINT64_C(0x0101010101010101)

/* A decimal as put_millionths writes it, from how it was typed. */
static inline char *put_typed(char *to, const struct cells *cells, int16_t column, int64_t typed)
{
    struct cell cell = cells_at(cells, (uint32_t)column);
    if (!FAST_LITTLE_ENDIAN || !cells->stops || cell.size > 8) {
        return put_millionths(to, (uint64_t)typed);
    }
    uint64_t word;
    memcpy(&word, cell.bytes, 8); /* an easy row has so much behind it */
    memcpy(to, &word, 8);
    word = (word ^ EACH_BYTE * '0') << (64 - 8 * cell.size);
    if (!(word & EACH_BYTE * 0x10)) { /* no point */
        return to + cell.size;
    }
    /* Behind the point, zeros are needless; with all of them, the point as well. */
    uint32_t zeros = word >> 56 ? 0 : (uint32_t)__builtin_clzll(word) / 8;
    to += cell.size - zeros;
    return to[-1] == '.' ? to - 1 : to;
}

/* The reading, in words; it has a comma where it was rounded. NULL: it needs the general road. */
static inline char *put_reading(char *to, const struct fast *fast, const struct fast_step *shown,
                                const struct fast_row *row)
{
    bool rounded;
    uint64_t value = (uint64_t)row->values[shown->slot];
    uint32_t record = row->docket->records[shown->slot];
    if (shown->show == FAST_SHOW_VALUES) {
        const struct fast_values *values = &fast->observations[record - FAST_SEEN];
        const char *name = values->names[__builtin_ctzll(value)];
        size_t size = strlen(name);
        return size <= FAST_VALUE ? put_bytes(to, name, size) : NULL;
    }
    if (shown->product) {
        const struct fast_shown *product = &fast->shown[shown - fast->steps];
        to = put_figure(to, value * (uint64_t)product->over, (uint64_t)product->under, shown->upper,
                        &rounded);
        return to ? put_suffix(to, fast, shown, rounded) : NULL;
    }
    int64_t typed = row->typed[shown->slot];
    to = put_typed(to, &row->cells, fast->measures[record].column, typed);
    to = put_suffix(to, fast, shown, false);
    if ((uint64_t)typed != value) {
        to = put_bytes(to, ", taken as ", 11);
        to = put_suffix(put_decimal(to, value, 6), fast, shown, false);
    }
    return to;
}

/* The bound that a leaf puts on its value: millionths are over / under, under > 0. */
static void leaf_bound(const struct fast *fast, const struct fast_test *test,
                       const struct fast_row *row, int64_t *over, int64_t *under)
{
    const struct fast_linear *linear = fast_linear_at(fast, test, row->points);
    *over = -(linear->a * row->places[test->axis] + linear->b - test->strict);
    *under = linear->c;
    if (*under < 0) {
        *over = -*over;
        *under = -*under;
    }
}

static char *put_limit(char *to, const struct fast *fast, const struct fast_step *shown,
                       const struct fast_row *row)
{
    int64_t over, under, next_over, next_under;
    const struct fast_test *leaves = &fast->tests[shown->leaves];
    leaf_bound(fast, leaves, row, &over, &under);
    bool least = shown->upper != shown->any;
    for (uint32_t i = 1; i < shown->test_count; i++) {
        leaf_bound(fast, &leaves[i], row, &next_over, &next_under);
        __int128 a = (__int128)over * next_under, b = (__int128)next_over * under;
        if (least ? b < a : b > a) {
            over = next_over;
            under = next_under;
        }
    }
    bool rounded;
    to = over < 0 ? NULL : put_figure(to, (uint64_t)over, (uint64_t)under, !shown->upper, &rounded);
    return to ? put_suffix(to, fast, shown, rounded) : NULL;
}

/* ---- CSV ---------------------------------------------------------------------------------------------- */

static bool is_simple(struct cell cell)
{
    for (uint32_t i = 0; i < cell.size; i++) {
        char c = cell.bytes[i];
        if (c == ',' || c == '"' || c == '\n' || c == '\r') {
            return false;
        }
    }
    return true;
}

/* Line numbers follow each other: mostly the last digit alone is another. */
static inline char *put_line(char *to, struct line_text *text, uint64_t line)
{
    uint32_t last = 8 * (text->size - 1); /* bits before the last digit */
    if (FAST_LITTLE_ENDIAN && text->size && line == text->line + 1 &&
        (text->word >> last & 0xFF) != '9') {
        text->word += UINT64_C(1) << last;
        text->line = line;
        memcpy(to, &text->word, 8);
        return to + text->size;
    }
    size_t size = (size_t)(put_digits(to, line) - to);
    text->line = line;
    text->size = size <= 8 ? (uint32_t)size : 0;
    memcpy(&text->word, to, 8);
    return to + size;
}

/* NULL: it needs the general road. */
static inline char *put_answer(char *to, struct line_text *line, const struct fast *fast,
                               struct cell id, const struct fast_row *row)
{
    const struct fast_limit *limit = row->limit;
    const struct fast_rung *rung = row->rung;
    const struct fast_step *shown = row->shown;
    const struct fast_text *outcome = &fast->outcomes[row->outcome];
    const char *texts = fast->texts;
    to = put_line(to, line, row->line);
    *to++ = ',';
    to = row->cells.stops && id.size ? put_text(to, id.bytes, id.size)
                                     : put_bytes(to, id.bytes, id.size);
    to = put_text(to, texts + outcome->at, outcome->size);
    to = put_text(to, texts + limit->text, limit->zone_size);
    memcpy(to, rung->number, sizeof rung->number);
    to += rung->number_size;
    if (!shown) {
        to = put_bytes(to, ",,,", 3);
    } else {
        to = put_text(to, texts + shown->text, shown->before_size);
        bool quoted = shown->show == FAST_SHOW_FIGURE && !shown->product &&
                      row->typed[shown->slot] != row->values[shown->slot];
        *to = '"';
        to = put_reading(to + quoted, fast, shown, row);
        if (!to) {
            return NULL;
        }
        *to = '"';
        to += quoted;
        *to++ = ',';
        uint32_t fixed = shown->text + shown->before_size + shown->suffix_size;
        to = shown->limit_size ? put_text(to, texts + fixed, shown->limit_size)
                               : put_limit(to, fast, shown, row);
        if (!to) {
            return NULL;
        }
    }
    if (rung->source) {
        return put_text(to, texts + fast->sources[rung->source].at,
                        fast->sources[rung->source].size);
    }
    return put_text(to, texts + limit->text + limit->zone_size, limit->source_size);
}

/* ---- any form ------------------------------------------------------------------------------------------- */

static bool write_any(struct sweeper *sweeper, const struct fast *fast, struct cell id,
                      const struct fast_row *row)
{
    const struct sweep *sweep = sweeper->sweep;
    struct cell own[STRETCH_COLUMNS]; /* only the id's is looked at */
    const struct row plain = {
        .columns = sweep->columns, .cells = own, .count = sweep->column_count, .line = row->line};
    if (sweep->id >= 0) {
        own[sweep->id] = id;
    }
    char reading[ANY_ROOM], limit[ANY_ROOM], *to;
    struct outcome_of_row outcome = {.judged = true, .outcome = row->outcome, .best = row->outcome};
    if (!row->limit) {
        outcome.reason = "it " ROW_UNCOVERED;
    } else {
        const struct fast_line *line = &fast->lines[row->rung - fast->rungs];
        outcome.zone_name = fast->book->zones[row->limit->zone].name;
        outcome.rule = line->rule;
        outcome.source = line->source;
    }
    if (row->shown) {
        const struct fast_shown *shown = &fast->shown[row->shown - fast->steps];
        to = put_reading(reading, fast, row->shown, row);
        if (!to) {
            return false;
        }
        *to = '\0';
        outcome.name = shown->name;
        outcome.reading = reading;
        outcome.limit = shown->limit;
        if (!outcome.limit) {
            to = put_limit(limit, fast, row->shown, row);
            if (!to) {
                return false;
            }
            *to = '\0';
            outcome.limit = limit;
        }
    }
    answer_write(sweeper, &plain, &outcome, NULL);
    return true;
}

static void count_row(struct sweeper *sweeper, const struct fast *fast, const struct fast_row *row)
{
    const struct fast_limit *limit = row->limit;
    if (limit) {
        sweeper->by_line[limit->first_count +
                         (uint32_t)(row->rung - &fast->rungs[limit->first_rung])]++;
        return;
    }
    const struct outcome_of_row uncovered = {.judged = true,
                                             .outcome = row->outcome,
                                             .best = row->outcome,
                                             .kind = row->docket->kind,
                                             .zone = (uint32_t)sweeper->counts.zone_count - 1};
    answer_count(sweeper, &uncovered);
}

uint32_t fast_write(struct sweeper *sweeper, const struct fast *fast, const struct fast_row *rows,
                    uint32_t from, uint32_t count)
{
    const struct sweep *sweep = sweeper->sweep;
    struct answers *answers = &sweeper->answers;
    bool pieces = !sweep->json_out && !sweep->name_files;
    char *to = answers_room(answers, (count - from) * fast->room);
    for (uint32_t i = from; i < count; i++) {
        const struct fast_row *row = &rows[i];
        struct cell id = {"", 0};
        if (sweep->id >= 0) {
            id = cells_at(&row->cells, (uint32_t)sweep->id);
        }
        if (!row->judged || id.size > FAST_ID ||
            (row->shown && row->shown->show == FAST_SHOW_SLOWLY) ||
            (row->cells.quotes && id.size && id.bytes[0] == '"')) {
            return i;
        }
        if (pieces && row->limit && (row->cells.stops || is_simple(id))) {
            char *end = put_answer(to, &sweeper->line_text, fast, id, row);
            if (!end) {
                return i;
            }
            answers->size += (size_t)(end - to);
            to = end;
        } else if (write_any(sweeper, fast, id, row)) {
            to = answers_room(answers, (count - i) * fast->room);
        } else {
            return i;
        }
        count_row(sweeper, fast, row);
    }
    return count;
}

void fast_count(struct sweeper *sweeper, const struct fast *fast)
{
    size_t outcomes = sweeper->counts.outcome_count;
    for (uint32_t l = 0; l < fast->limit_count; l++) {
        const struct fast_limit *limit = &fast->limits[l];
        uint32_t *counts = sweeper->by_line + limit->first_count;
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            uint32_t outcome = fast->rungs[limit->first_rung + r].outcome, count = counts[r];
            counts[r] = 0;
            sweeper->counts.rows += count;
            sweeper->counts.judged += count;
            sweeper->by_outcome[outcome] += count;
            sweeper->by_kind[limit->kind * outcomes + outcome] += count;
            sweeper->by_zone[limit->zone * outcomes + outcome] += count;
        }
    }
}
