/* Answers of the fast table: the general road's, byte for byte, from pieces made before. */
#include <string.h>

#include "sweep/fast.h"

#define FIGURE_ROOM 64
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
    static const uint64_t powers[] = {1, 10, 100, 1000, 10000, 100000, 1000000, 10000000,
                                      100000000, 1000000000, 10000000000, 100000000000,
                                      1000000000000};
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

static inline char *put_text(char *to, struct fast_text text)
{
    memcpy(to, text.bytes, FAST_SPARE); /* most are no longer, and there is room */
    if (text.size > FAST_SPARE) {
        memcpy(to + FAST_SPARE, text.bytes + FAST_SPARE, text.size - FAST_SPARE);
    }
    return to + text.size;
}

static char *put_suffix(char *to, struct fast_text suffix, bool rounded)
{
    to = put_text(to, suffix);
    return rounded ? put_bytes(to, ROUNDED, sizeof ROUNDED - 1) : to;
}

/* ---- what a comparison shows ----------------------------------------------------------------------- */

/* The reading, in words; it has a comma where it was rounded. NULL: it needs the general road. */
static char *put_reading(char *to, const struct fast_step *shown, const struct fast_result *result)
{
    bool rounded;
    uint64_t value = (uint64_t)result->values[shown->slot];
    if (shown->show == FAST_SHOW_VALUES) {
        const struct observation *observation = result->docket->records[shown->slot].observation;
        const char *name = observation->values[__builtin_ctzll(value)];
        return put_bytes(to, name, strlen(name));
    }
    if (shown->product) {
        to = put_figure(to, value * (uint64_t)shown->over, (uint64_t)shown->under, shown->upper,
                        &rounded);
        return to ? put_suffix(to, shown->suffix, rounded) : NULL;
    }
    uint64_t typed = (uint64_t)result->typed[shown->slot];
    to = put_suffix(put_decimal(to, typed, 6), shown->suffix, false);
    if (typed != value) {
        to = put_bytes(to, ", taken as ", 11);
        to = put_suffix(put_decimal(to, value, 6), shown->suffix, false);
    }
    return to;
}

/* The bound that a leaf puts on its value: millionths are over / under, under > 0. */
static void leaf_bound(const struct fast_test *test, const struct fast_linear *linear,
                       const struct fast_result *result, int64_t *over, int64_t *under)
{
    int64_t place = 0;
    if (test->placed) {
        linear += result->cells[test->axis] / 2;
        place = result->places[test->axis];
    }
    *over = -(linear->a * place + linear->b);
    *under = linear->c[0];
    if (*under < 0) {
        *over = -*over;
        *under = -*under;
    }
}

static char *put_limit(char *to, const struct fast *fast, const struct fast_step *shown,
                       const struct fast_result *result)
{
    if (shown->limit) {
        return put_bytes(to, shown->limit, strlen(shown->limit));
    }
    int64_t over, under, next_over, next_under;
    const struct fast_test *leaves = &fast->tests[shown->leaves];
    const struct fast_linear *const *numbers = &fast->shown[shown->leaves];
    leaf_bound(leaves, numbers[0], result, &over, &under);
    bool least = shown->upper != shown->any;
    for (uint32_t i = 1; i < shown->test_count; i++) {
        leaf_bound(&leaves[i], numbers[i], result, &next_over, &next_under);
        __int128 a = (__int128)over * next_under, b = (__int128)next_over * under;
        if (least ? b < a : b > a) {
            over = next_over;
            under = next_under;
        }
    }
    bool rounded;
    to = over < 0 ? NULL
                  : put_figure(to, (uint64_t)over, (uint64_t)under, !shown->upper, &rounded);
    return to ? put_suffix(to, shown->suffix, rounded) : NULL;
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

static bool write_csv(struct answers *answers, const struct fast *fast, const struct row *row,
                      struct cell id, const struct fast_result *result)
{
    const struct fast_line *line = result->line;
    const struct fast_step *shown = result->shown;
    size_t room = 4 * FIGURE_ROOM + 1024 + id.size + line->head.size + line->tail.size;
    if (shown) {
        room += shown->before.size + shown->limit_text.size;
    }
    char *begin = answers_room(answers, room), *to = put_digits(begin, row->line);
    *to++ = ',';
    to = put_bytes(to, id.bytes, id.size);
    to = put_text(to, line->head);
    if (!shown) {
        to = put_bytes(to, ",,,", 3);
    } else {
        to = put_text(to, shown->before);
        bool quoted = shown->show == FAST_SHOW_FIGURE && !shown->product &&
                      result->typed[shown->slot] != result->values[shown->slot];
        *to = '"';
        to = put_reading(to + quoted, shown, result);
        if (!to) {
            return false;
        }
        *to = '"';
        to += quoted;
        *to++ = ',';
        to = shown->limit ? put_text(to, shown->limit_text) : put_limit(to, fast, shown, result);
        if (!to) {
            return false;
        }
    }
    to = put_text(to, line->tail);
    answers->size += (size_t)(to - begin);
    return true;
}

/* ---- any form ------------------------------------------------------------------------------------------- */

static bool write_any(struct sweeper *sweeper, const struct fast *fast, const struct row *row,
                      const struct fast_result *result)
{
    char reading[4 * FIGURE_ROOM + 256], limit[4 * FIGURE_ROOM + 1024], *to;
    struct outcome_of_row outcome = {
        .judged = true, .outcome = result->outcome, .best = result->outcome,
        .zone_name = "", .rule = "", .name = "", .reading = "", .limit = "", .source = "",
        .reason = ""};
    if (!result->limit) {
        outcome.reason = "it lies in no zone with a limit for it";
    } else {
        outcome.zone_name = result->limit->zone_name;
        outcome.rule = result->line->rule;
        outcome.source = result->line->source;
    }
    if (result->shown) {
        to = put_reading(reading, result->shown, result);
        if (!to) {
            return false;
        }
        *to = '\0';
        outcome.name = result->shown->name;
        outcome.reading = reading;
        outcome.limit = result->shown->limit;
        if (!outcome.limit) {
            to = put_limit(limit, fast, result->shown, result);
            if (!to) {
                return false;
            }
            *to = '\0';
            outcome.limit = limit;
        }
    }
    answer_write(sweeper, row, &outcome, NULL);
    return true;
}

bool fast_write(struct sweeper *sweeper, const struct fast *fast, const struct row *row,
                const struct fast_result *result)
{
    const struct sweep *sweep = sweeper->sweep;
    struct cell id = row_cell(row, sweep->id);
    if (result->shown && result->shown->show == FAST_SHOW_SLOWLY) {
        return false;
    }
    bool in_pieces = !sweep->json_out && !sweep->name_files && result->limit && is_simple(id);
    if (in_pieces ? !write_csv(&sweeper->answers, fast, row, id, result)
                  : !write_any(sweeper, fast, row, result)) {
        return false;
    }
    struct stave_sweep_counts *counts = &sweeper->counts;
    size_t outcomes = counts->outcome_count;
    uint32_t zone = result->limit ? result->limit->zone : (uint32_t)counts->zone_count - 1;
    counts->rows++;
    counts->judged++;
    sweeper->by_outcome[result->outcome]++;
    sweeper->by_kind[result->docket->kind->index * outcomes + result->outcome]++;
    sweeper->by_zone[zone * outcomes + result->outcome]++;
    return true;
}
