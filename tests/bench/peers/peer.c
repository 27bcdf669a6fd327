/*
 * What a careful engineer would write in C for this one book: judges rows of plain findings from a
 * CSV file, in the order of columns that `fleet rows` writes, and writes one answer a row. The book
 * is in static tables; a figure is a whole number of millionths in 64 bits.
 *
 * A row is plain when every figure is a decimal in its column's unit and all that the kind
 * records is given. Any other row is answered with "not judged" and never lost.
 *
 * Usage: peer [FILE]            answers on standard output
 *        peer --judge FILE      only judges, from memory: nanoseconds a finding
 */
#define _GNU_SOURCE
#ifdef __SSE2__
#include <emmintrin.h>
#endif
#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { FIGURE, CURVE, LESSER, SEEN };

/* d * value = a + b * station, within one inch. */
struct piece {
    int64_t a, b, d;
};

/* A text and its size: copied whole, whatever its size. */
#define TEXT(room)                                                                                 \
    struct {                                                                                       \
        uint8_t size;                                                                              \
        char at[room];                                                                             \
    }

struct test {
    uint8_t sort, of, curve, values;
    int32_t p, q;
    int64_t r, limit;
    TEXT(15) name;
    TEXT(7) unit;
    TEXT(31) shown;
};

struct rung {
    uint16_t first, count, outcome;
};

struct ladder {
    uint16_t first, answer;
    TEXT(31) source;
};

struct begin {
    TEXT(63) text;
};

#include "fleet-tables.h"

#define MILLION 1000000
#define NOTHING (-1)
#define NOT_PLAIN (-2)
#define READINGS 5
#define FIELDS 19
#define BUFFER ((size_t)1 << 19)
#define LONGEST_ANSWER 512

struct field {
    const char *at;
    uint32_t size;
};

struct finding {
    uint32_t zones;
    uint8_t kind;
    uint8_t seen[4]; /* of each observation, the value's bit */
    int64_t station;
    int64_t typed[READINGS]; /* millionths */
    int64_t taken[READINGS]; /* rounded as the book says */
};

struct verdict {
    uint16_t outcome, ladder, rung;
    int16_t told; /* the comparison that is told, or -1 */
};

static char out[BUFFER + LONGEST_ANSWER];
static size_t out_size;

static void stop(const char *what)
{
    perror(what);
    exit(4);
}

static void flush(void)
{
    for (size_t done = 0; done < out_size;) {
        ssize_t wrote = write(STDOUT_FILENO, out + done, out_size - done);
        if (wrote < 0) {
            stop("write");
        }
        done += (size_t)wrote;
    }
    out_size = 0;
}

/* ---- reading ------------------------------------------------------------------------ */

/* A decimal without a sign as millionths; NOTHING when empty, NOT_PLAIN when it is anything else. */
static inline int64_t figure(struct field field)
{
    static const int32_t scale[] = {1000000, 100000, 10000, 1000, 100, 10, 1};
    const char *p = field.at, *end = p + field.size;
    if (p == end) {
        return NOTHING;
    }
    if (end - p > 13) {
        return NOT_PLAIN;
    }
    int64_t value = 0;
    const char *start = p;
    for (; p < end && (unsigned)(*p - '0') < 10; p++) {
        value = value * 10 + (*p - '0');
    }
    if (p == start || p - start > 6) {
        return NOT_PLAIN;
    }
    if (p == end) {
        return value * MILLION;
    }
    if (*p != '.') {
        return NOT_PLAIN;
    }
    start = ++p;
    for (; p < end && (unsigned)(*p - '0') < 10; p++) {
        value = value * 10 + (*p - '0');
    }
    if (p != end || p == start || p - start > 6) {
        return NOT_PLAIN;
    }
    return value * scale[p - start];
}

static inline bool is(struct field field, const char *text, size_t size)
{
    return field.size == size && memcmp(field.at, text, size) == 0;
}
#define IS(field, text) is(field, text, sizeof(text) - 1)

static inline int kind_of(struct field field)
{
    if (field.size < 3) {
        return -1;
    }
    switch (field.at[0]) {
    case 'b':
        return IS(field, "burn") ? BURN : -1;
    case 'c':
        return IS(field, "crack") ? CRACK : IS(field, "cut") ? CUT : -1;
    case 'd':
        return IS(field, "dent")           ? DENT
               : IS(field, "debond")       ? DEBOND
               : IS(field, "delamination") ? DELAMINATION
                                           : -1;
    case 'e':
        return IS(field, "erosion") ? EROSION : -1;
    case 'f':
        return IS(field, "fraying") ? FRAYING : -1;
    case 'g':
        return IS(field, "gouge") ? GOUGE : -1;
    case 'n':
        return IS(field, "nick") ? NICK : -1;
    case 's':
        return IS(field, "scratch") ? SCRATCH : -1;
    case 'w':
        return IS(field, "wear") ? WEAR : -1;
    default:
        return -1;
    }
}

static uint32_t lie_of(struct field field)
{
    return IS(field, "spanwise") ? 1 : IS(field, "slanted") ? 2 : IS(field, "chordwise") ? 4 : 0;
}

static inline uint32_t yes_or_no(struct field field)
{
    return IS(field, "yes") ? 1 : IS(field, "no") ? 2 : 0;
}

/* Which of 6, between 6 and 7, 7, ... it is. */
static inline uint32_t halves(int64_t value)
{
    uint32_t whole = (uint32_t)((uint64_t)value / MILLION);
    return 2 * whole + (value != (int64_t)whole * MILLION);
}

/* The zones that the place touches; 0 when the place is not plain. */
static inline uint32_t zones_of(const struct field *fields, struct finding *finding)
{
    struct field part = fields[3], side = fields[5], place = fields[6];
    finding->station = figure(fields[7]);
    int64_t chord = figure(fields[8]);
    if (part.size == 7 && memcmp(part.at, "blade ", 6) == 0) {
        if (part.at[6] < '1' || part.at[6] > '6' || finding->station < 6 * MILLION ||
            finding->station > 52 * MILLION || chord < 0 || chord > 100 * MILLION || place.size) {
            return 0;
        }
        uint32_t on = IS(side, "camber") ? side_zones[0] : IS(side, "thrust") ? side_zones[1] : 0;
        on |= on && (chord == 0 || chord == 100 * MILLION) ? side_zones[0] | side_zones[1] : 0;
        return on & station_zones[halves(finding->station) - 12] & chord_zones[halves(chord)];
    }
    if (finding->station != NOTHING || chord != NOTHING || side.size) {
        return 0;
    }
    if (IS(part, "spinner")) {
        return IS(place, "dome")         ? spinner_zones[0]
               : IS(place, "attachment") ? spinner_zones[1]
               : IS(place, "bulkhead")   ? spinner_zones[2]
                                         : 0;
    }
    if (part.size == 6 && memcmp(part.at, "boot ", 5) == 0 && part.at[5] >= '1' &&
        part.at[5] <= '6') {
        return IS(place, "inner")   ? boot_zones[0]
               : IS(place, "outer") ? boot_zones[1]
               : IS(place, "edge")  ? boot_zones[2]
                                    : 0;
    }
    return 0;
}

static inline bool finding_read(const struct field *fields, struct finding *finding)
{
    int kind = kind_of(fields[4]);
    if (kind < 0) {
        return false;
    }
    finding->kind = (uint8_t)kind;
    uint32_t given = 0;
    for (int i = 0; i < READINGS; i++) {
        if (!fields[9 + i].size) {
            continue;
        }
        int64_t value = figure(fields[9 + i]);
        if (value < 0 || value > greatest[i]) {
            return false;
        }
        finding->typed[i] = finding->taken[i] = value;
        if (step[i] != 1) {
            finding->taken[i] = (int64_t)(((uint64_t)value + 9999) / 10000 * 10000);
        }
        given |= 1u << i;
    }
    for (uint32_t i = 0; i < 4; i++) {
        if (fields[14 + i].size) {
            uint32_t value = i ? yes_or_no(fields[14 + i]) : lie_of(fields[14]);
            finding->seen[i] = (uint8_t)value;
            given |= value ? 1u << (READINGS + i) : 0;
        }
    }
    finding->zones = zones_of(fields, finding);
    return finding->zones && given == recorded[kind];
}

/* ---- judging -------------------------------------------------------------------------- */

static inline int64_t reading_of(const struct finding *finding, uint8_t of)
{
    return of == PATCH ? finding->taken[LENGTH] / 1000 * (finding->taken[WIDTH] / 1000)
                       : finding->taken[of];
}

static inline const struct piece *piece_at(const struct test *test, int64_t station)
{
    uint32_t inch = (uint32_t)((uint64_t)station / MILLION) - FIRST_INCH;
    return &curves[test->curve][inch < INCHES ? inch : INCHES - 1];
}

static inline bool holds(const struct test *test, const struct finding *finding)
{
    if (test->sort == FIGURE) {
        return reading_of(finding, test->of) <= test->limit;
    }
    if (test->sort == SEEN) {
        return finding->seen[test->of - LIE] & test->values;
    }
    const struct piece *piece = piece_at(test, finding->station);
    int64_t value = finding->taken[test->of];
    return value * piece->d * test->q <=
               test->p * (piece->a + piece->b * finding->station) + test->r * piece->d &&
           (test->sort == CURVE || value <= test->limit);
}

static inline void climb(uint32_t number, const struct finding *finding, struct verdict *worst)
{
    uint32_t first = ladders[number].first;
    int32_t told = -1;
    for (uint32_t r = first;; r++) {
        const struct rung *rung = &rungs[r];
        uint32_t t = rung->first, end = t + rung->count;
        while (t < end && holds(&tests[t], finding)) {
            t++;
        }
        if (t == end) {
            if (r == first && rung->count) {
                told = rung->first;
            }
            if (rung->outcome > worst->outcome ||
                (rung->outcome == worst->outcome && number < worst->ladder)) {
                *worst = (struct verdict){rung->outcome, (uint16_t)number, (uint16_t)(r - first),
                                          (int16_t)told};
            }
            return;
        }
        told = (int32_t)t;
    }
}

static inline bool judge(const struct finding *finding, struct verdict *worst)
{
    *worst = (struct verdict){0, UINT16_MAX, 0, -1};
    for (uint32_t zones = finding->zones; zones; zones &= zones - 1) {
        uint32_t ladder = ladder_of[finding->kind][__builtin_ctz(zones)];
        if (ladder) {
            climb(ladder - 1, finding, worst);
        }
    }
    return worst->ladder != UINT16_MAX;
}

/* ---- writing --------------------------------------------------------------------------- */

static inline char *put(char *to, const char *text, size_t size)
{
    memcpy(to, text, size);
    return to + size;
}

/* The whole room is copied, which is faster than as many bytes as there are. */
#define PUT(to, text) (memcpy((to), (text).at, sizeof(text).at), (to) + (text).size)

static const char pairs[] =
    "00010203040506070809101112131415161718192021222324252627282930313233343536"
    "37383940414243444546474849505152535455565758596061626364656667686970717273"
    "7475767778798081828384858687888990919293949596979899";

static inline char *put_whole(char *to, uint64_t value)
{
    char digits[20];
    int at = 20;
    for (; value >= 100; value /= 100) {
        memcpy(digits + (at -= 2), pairs + value % 100 * 2, 2);
    }
    if (value >= 10) {
        memcpy(digits + (at -= 2), pairs + value * 2, 2);
    } else {
        digits[--at] = (char)('0' + value);
    }
    return put(to, digits + at, (size_t)(20 - at));
}

static inline char *put_millionths(char *to, int64_t value)
{
    uint32_t whole = (uint32_t)((uint64_t)value / MILLION);
    uint32_t part = (uint32_t)((uint64_t)value - (uint64_t)whole * MILLION);
    if (whole < 10) {
        *to++ = (char)('0' + whole);
    } else {
        to = put_whole(to, whole);
    }
    if (part) {
        *to = '.';
        memcpy(to + 1, pairs + part / 10000 * 2, 2);
        memcpy(to + 3, pairs + part / 100 % 100 * 2, 2);
        memcpy(to + 5, pairs + part % 100 * 2, 2);
        to += 7;
        while (to[-1] == '0') {
            to--;
        }
    }
    return to;
}

static inline char *put_figure(char *to, int64_t value, const struct test *test)
{
    to = put_millionths(to, value);
    return PUT(to, test->unit);
}

static inline char *put_reading(char *to, const struct test *test, const struct finding *finding)
{
    int64_t value = reading_of(finding, test->of);
    if (test->of != PATCH && finding->typed[test->of] != value) {
        *to++ = '"';
        to = put_figure(to, finding->typed[test->of], test);
        to = put(to, ", taken as ", 11);
        to = put_figure(to, value, test);
        *to++ = '"';
        return to;
    }
    return put_figure(to, value, test);
}

/* A limit of most / share millionths, rounded down to five digits that count. */
static inline char *put_rounded(char *to, int64_t most, int64_t share, int64_t limit,
                                const struct test *test)
{
    bool exact = false;
    if (limit >= 10000) {
        int64_t step = 1;
        while (limit / step >= 100000) {
            step *= 10;
        }
        to = put_millionths(to, limit / step * step);
    } else { /* below 0.01: more than six places, the first two of them zeros */
        to = put(to, "0.0", 3);
        for (; most / share < 10000; most *= 10) {
            *to++ = '0';
        }
        exact = most % share == 0;
        to = put_whole(to, (uint64_t)(most / share));
        while (to[-1] == '0') {
            to--;
        }
    }
    to = PUT(to, test->unit);
    return exact ? to : put(to, " (rounded)", 10);
}

static inline char *put_told(char *to, const struct test *test, const struct finding *finding)
{
    to = PUT(to, test->name);
    if (test->sort == SEEN) {
        static const char *const yes_no[] = {"yes", "no"};
        static const char *const lie[] = {"spanwise", "slanted", "chordwise"};
        int value = __builtin_ctz(finding->seen[test->of - LIE]);
        const char *seen = test->of == LIE ? lie[value] : yes_no[value];
        to = put(to, seen, strlen(seen));
        *to++ = ',';
        return PUT(to, test->shown);
    }
    to = put_reading(to, test, finding);
    *to++ = ',';
    if (test->sort == FIGURE) {
        return PUT(to, test->shown);
    }
    const struct piece *piece = piece_at(test, finding->station);
    int64_t share = piece->d * test->q;
    int64_t most = test->p * (piece->a + piece->b * finding->station) + test->r * piece->d;
    if (test->sort == LESSER && most > test->limit * share) {
        return put_figure(to, test->limit, test);
    }
    int64_t limit = most / share;
    return limit * share == most ? put_figure(to, limit, test)
                                 : put_rounded(to, most, share, limit, test);
}

static inline char *put_id(char *to, struct field id, bool quotes)
{
    if (!quotes || (!memchr(id.at, ',', id.size) && !memchr(id.at, '"', id.size) &&
                    !memchr(id.at, '\n', id.size))) {
        return put(to, id.at, id.size);
    }
    *to++ = '"';
    for (uint32_t i = 0; i < id.size; i++) {
        if (id.at[i] == '"') {
            *to++ = '"';
        }
        *to++ = id.at[i];
    }
    *to++ = '"';
    return to;
}

/* `fields` is NULL for a row with too few or too many of them. */
static void answer(uint64_t line, const struct field *fields, bool quotes)
{
    char *to = put_whole(out + out_size, line);
    *to++ = ',';
    struct finding finding;
    struct verdict verdict;
    if (fields && fields[0].size <= 100) {
        to = put_id(to, fields[0], quotes);
        *to++ = ',';
    }
    if (!fields || fields[0].size > 100 || !finding_read(fields, &finding)) {
        to = put(to, "not judged,,,,,,,,,not plain\n", 29);
    } else if (!judge(&finding, &verdict)) {
        to = put(to, NO_LIMIT "\n", sizeof NO_LIMIT);
    } else {
        const struct ladder *ladder = &ladders[verdict.ladder];
        const struct begin *begin = &begins[ladder->answer + verdict.rung];
        to = PUT(to, begin->text);
        to = verdict.told < 0 ? put(to, ",,", 2) : put_told(to, &tests[verdict.told], &finding);
        *to++ = ',';
        to = PUT(to, ladder->source);
        to = put(to, ",\n", 2);
    }
    out_size = (size_t)(to - out);
    if (out_size >= BUFFER) {
        flush();
    }
}

/* ---- rows ------------------------------------------------------------------------------ */

struct row {
    struct field fields[FIELDS];
    uint32_t count, lines;
    bool quotes;
};

/* A field in quotes: taken out of them where it stands. NULL when the bytes end within it. */
static char *quoted_field(char *p, const char *end, struct row *row, struct field *field)
{
    char *to = ++p;
    field->at = to;
    row->quotes = true;
    for (;; p++) {
        if (p >= end) {
            return NULL;
        }
        if (*p == '"') {
            if (p + 1 == end || p[1] != '"') {
                break;
            }
            p++;
        }
        row->lines += *p == '\n';
        *to++ = *p;
    }
    field->size = (uint32_t)(to - field->at);
    return p + 1;
}

/* Splits one row byte by byte; what follows it, or NULL when the bytes end first. A '\n' stands at
 * `end`. */
static char *row_split_slowly(char *p, const char *end, struct row *row)
{
    struct field spare;
    row->count = 0;
    for (;;) {
        struct field *field = row->count < FIELDS ? &row->fields[row->count] : &spare;
        row->count++;
        if (*p == '"') {
            p = quoted_field(p, end, row, field);
            if (!p) {
                return NULL;
            }
        } else {
            field->at = p;
            while (*p != ',' && *p != '\n') {
                p++;
            }
            field->size = (uint32_t)(p - field->at);
        }
        if (*p == '\n') {
            if (p == end) {
                return NULL;
            }
            field->size -= field->size && field->at[field->size - 1] == '\r';
            return p + 1;
        }
        p++;
    }
}

/* Of the next 64 bytes: which are commas, which are line ends or quotes. */
static inline void find_signs(const char *p, uint64_t *commas, uint64_t *stops)
{
    *commas = *stops = 0;
#ifdef __SSE2__
    const __m128i comma = _mm_set1_epi8(','), line_end = _mm_set1_epi8('\n'),
                  quote = _mm_set1_epi8('"');
#define SIXTEEN(i)                                                                                 \
    do {                                                                                           \
        __m128i bytes = _mm_loadu_si128((const __m128i *)(const void *)(p + 16 * (i)));            \
        __m128i stop =                                                                             \
            _mm_or_si128(_mm_cmpeq_epi8(bytes, line_end), _mm_cmpeq_epi8(bytes, quote));           \
        *commas |= (uint64_t)(uint32_t)_mm_movemask_epi8(_mm_cmpeq_epi8(bytes, comma))             \
                   << 16 * (i);                                                                    \
        *stops |= (uint64_t)(uint32_t)_mm_movemask_epi8(stop) << 16 * (i);                         \
    } while (0)
    SIXTEEN(0);
    SIXTEEN(1);
    SIXTEEN(2);
    SIXTEEN(3);
#else
    for (int i = 0; i < 64; i++) {
        *commas |= (uint64_t)(p[i] == ',') << i;
        *stops |= (uint64_t)(p[i] == '\n' || p[i] == '"') << i;
    }
#endif
}

/* The same as row_split_slowly, 64 bytes at a time until a quote is met. */
static inline char *row_split(char *p, const char *end, struct row *row)
{
    char *start = p, *from = p;
    uint32_t count = 0;
    row->lines = 1;
    row->quotes = false;
    for (;; p += 64) {
        uint64_t commas, stops;
        find_signs(p, &commas, &stops);
        commas &= stops ? (stops & -stops) - 1 : UINT64_MAX;
        for (; commas && count < FIELDS; commas &= commas - 1) {
            char *comma = p + __builtin_ctzll(commas);
            row->fields[count++] = (struct field){from, (uint32_t)(comma - from)};
            from = comma + 1;
        }
        if (commas) {
            return row_split_slowly(start, end, row); /* too many fields */
        }
        if (stops) {
            char *at = p + __builtin_ctzll(stops);
            if (*at == '"') {
                return row_split_slowly(start, end, row);
            }
            uint32_t size = (uint32_t)(at - from);
            size -= size && at[-1] == '\r';
            if (count < FIELDS) {
                row->fields[count] = (struct field){from, size};
            }
            row->count = count + 1;
            return at == end ? NULL : at + 1;
        }
    }
}

/* Quotes are taken out in place, so a row that is split again must not have been touched. */
static bool whole_row(const char *p, const char *end)
{
    bool inside = false;
    for (; p < end; p++) {
        inside ^= *p == '"';
        if (*p == '\n' && !inside) {
            return true;
        }
    }
    return false;
}

static void run(int input)
{
    char *in = malloc(BUFFER + 64);
    size_t have = 0;
    uint64_t line = 1;
    bool ended = false;
    if (!in) {
        stop("malloc");
    }
    while (!ended) {
        ssize_t got = read(input, in + have, BUFFER - have);
        if (got < 0) {
            stop("read");
        }
        have += (size_t)got;
        ended = got == 0;
        if (ended && have && in[have - 1] != '\n') {
            in[have++] = '\n';
        }
        in[have] = '\n';
        char *p = in, *end = in + have;
        while (p < end) {
            if (end - p < 4096 && !whole_row(p, end)) {
                break;
            }
            struct row row;
            char *next = row_split(p, end, &row);
            if (!next) {
                break;
            }
            if (line > 1) {
                answer(line, row.count == FIELDS ? row.fields : NULL, row.quotes);
            }
            line += row.lines;
            p = next;
        }
        have = (size_t)(end - p);
        if (have > BUFFER / 2 && !ended) {
            fprintf(stderr, "peer: a row that is too long\n");
            exit(4);
        }
        memmove(in, p, have);
    }
    flush();
    free(in);
}

/* ---- judging alone ------------------------------------------------------------------------ */

static int64_t now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (int64_t)time.tv_sec * 1000000000 + time.tv_nsec;
}

static void judge_only(int input)
{
    enum { ROOM = 1 << 17 };
    struct finding *findings = malloc(ROOM * sizeof *findings);
    char *text = malloc((size_t)ROOM * 256 + 64);
    size_t size = 0, count = 0;
    ssize_t got;
    if (!findings || !text) {
        stop("malloc");
    }
    while (size < (size_t)ROOM * 256 - 1 &&
           (got = read(input, text + size, (size_t)ROOM * 256 - 1 - size)) > 0) {
        size += (size_t)got;
    }
    text[size] = '\n';
    struct row row;
    for (char *p = text; p && p < text + size && count < ROOM;) {
        p = row_split(p, text + size, &row);
        memset(&findings[count], 0, sizeof findings[count]);
        count += p && row.count == FIELDS && finding_read(row.fields, &findings[count]);
    }
    int64_t best = INT64_MAX;
    uint64_t sum = 0;
    for (int round = 0; round < 9; round++) {
        int64_t start = now();
        for (size_t i = 0; i < count; i++) {
            struct verdict verdict;
            judge(&findings[i], &verdict);
            sum += verdict.outcome + verdict.rung + (uint64_t)verdict.told;
        }
        int64_t time = now() - start;
        best = time < best ? time : best;
    }
    printf("%.1f ns a finding (%zu findings, best of 9; sum %llu)\n", (double)best / (double)count,
           count, (unsigned long long)sum);
    free(text);
    free(findings);
}

int main(int argc, char **argv)
{
    bool judge_alone = argc == 3 && strcmp(argv[1], "--judge") == 0;
    int input = argc > 1 ? open(argv[argc - 1], O_RDONLY) : STDIN_FILENO;
    if (input < 0) {
        stop(argv[argc - 1]);
    }
    if (judge_alone) {
        judge_only(input);
        return 0;
    }
    static const char head[] =
        "line,id,outcome,flight,best,zone,rule,name,reading,limit,source,reason\n";
    memcpy(out, head, sizeof head - 1);
    out_size = sizeof head - 1;
    run(input);
    return 0;
}
