/* CSV as RFC 4180 has it: rows and cells found in place, 64 bytes at a time. */
#include <string.h>

#ifdef __SSE2__
#include <emmintrin.h>
#endif

#include "sweep/inside.h"

/* ---- 64 bytes at a time -------------------------------------------------------------------- */

#define WINDOW 64

#ifdef __SSE2__

static inline uint64_t structural16(const char *bytes)
{
    __m128i all = _mm_loadu_si128((const __m128i *)(const void *)bytes);
    __m128i line = _mm_cmpeq_epi8(all, _mm_set1_epi8('\n'));
    __m128i comma = _mm_cmpeq_epi8(all, _mm_set1_epi8(','));
    __m128i quote = _mm_cmpeq_epi8(all, _mm_set1_epi8('"'));
    return (uint64_t)(uint32_t)_mm_movemask_epi8(_mm_or_si128(comma, _mm_or_si128(line, quote)));
}

/* Bits: where the 64 bytes hold a comma, a quote or a line end. */
static inline uint64_t structural64(const char *bytes)
{
    return structural16(bytes) | structural16(bytes + 16) << 16 | structural16(bytes + 32) << 32 |
           structural16(bytes + 48) << 48;
}

#else

static inline uint64_t structural64(const char *bytes)
{
    uint64_t mask = 0;
    for (unsigned i = 0; i < WINDOW; i++) {
        mask |= (uint64_t)(bytes[i] == ',' || bytes[i] == '"' || bytes[i] == '\n') << i;
    }
    return mask;
}

#endif

static inline uint64_t window_mask(struct csv *csv, const char *window)
{
    if (csv->end - window >= WINDOW) {
        return structural64(window);
    }
    char tail[WINDOW];
    memset(tail, ' ', sizeof tail);
    memcpy(tail, window, (size_t)(csv->end - window));
    return structural64(tail);
}

void csv_begin(struct csv *csv, const char *bytes, size_t size)
{
    *csv = (struct csv){.at = bytes, .end = bytes + size, .moved = true};
}

static void go_to(struct csv *csv, const char *at)
{
    csv->at = csv->window = at;
    csv->mask = at < csv->end ? window_mask(csv, at) : 0;
    csv->moved = false;
}

/* The next comma, quote or line end, or the end. */
static inline const char *next_structural(struct csv *csv)
{
    while (!csv->mask) {
        if (csv->end - csv->window <= WINDOW) {
            csv->window = csv->end;
            return csv->end;
        }
        csv->window += WINDOW;
        csv->mask = window_mask(csv, csv->window);
    }
    const char *found = csv->window + __builtin_ctzll(csv->mask);
    csv->mask &= csv->mask - 1;
    return found;
}

/* ---- rows ----------------------------------------------------------------------------------- */

static const char quote_within[] = "a quote within a field that does not begin with one";
static const char quote_behind[] = "something behind the closing quote of a field";
/* Of all faults of a row that goes over line ends: what is behind its first line may be in another block. */
static const char quote_open[] = "a quote that is not closed, or not where a field ends";
static const char row_too_long[] = "the row is longer than 64 KiB";

/* The closing quote of a field; NULL where there is none up to the row's limit. */
static const char *closing_quote(const char *from, const char *end, const char *row_limit,
                                 bool *doubled)
{
    const char *stop = end < row_limit ? end : row_limit;
    *doubled = false;
    const char *at = from;
    while (at < stop && (at = memchr(at, '"', (size_t)(stop - at))) != NULL) {
        if (at + 1 == end || at[1] != '"') {
            return at;
        }
        *doubled = true;
        at += 2;
    }
    return NULL;
}

/* What is wrong spoils the first line alone. False where that line's end is not there yet. */
static bool pass_line(struct csv *csv, struct csv_row *row, const char *from, bool last)
{
    const char *line_end = memchr(from, '\n', (size_t)(csv->end - from));
    if (!line_end && !last) {
        return false;
    }
    row->lines = line_end ? 1 : 0;
    go_to(csv, line_end ? line_end + 1 : csv->end);
    return true;
}

static void put_cell(struct csv_row *row, const char *from, const char *to)
{
    if (row->count < row->most) {
        row->cells[row->count] = (struct cell){from, (uint32_t)(to - from)};
    }
    row->count++;
}

/* The cell without the CR of its line end. */
static const char *without_return(const char *from, const char *to)
{
    return to > from && to[-1] == '\r' ? to - 1 : to;
}

enum taken { TAKEN_CELL, TAKEN_ROW, TAKEN_FAULT, TAKEN_TOO_LITTLE };

/* A cell in quotes, from its opening quote on. */
static enum taken take_quoted(struct csv *csv, struct csv_row *row, const char *start, bool last)
{
    bool doubled;
    const char *open = csv->at;
    size_t left = (size_t)(csv->end - start);
    const char *limit = left > SWEEP_ROW_LIMIT ? start + SWEEP_ROW_LIMIT : csv->end;
    const char *close = closing_quote(open + 1, csv->end, limit, &doubled);
    if (!close) {
        if (left <= SWEEP_ROW_LIMIT && !last) {
            return TAKEN_TOO_LITTLE;
        }
        row->fault = quote_open;
        return TAKEN_FAULT;
    }
    const char *after = close + 1;
    if (after == csv->end && !last) {
        return TAKEN_TOO_LITTLE;
    }
    if (after + 1 == csv->end && *after == '\r' && !last) {
        return TAKEN_TOO_LITTLE;
    }
    for (const char *c = open; (c = memchr(c, '\n', (size_t)(close - c))) != NULL; c++) {
        row->lines++;
        row->goes_on = true;
    }
    if (doubled) {
        row->quoted |= UINT64_C(1) << (row->count < 63 ? row->count : 63);
    }
    put_cell(row, open + 1, close);
    bool returns = after + 1 < csv->end && after[0] == '\r' && after[1] == '\n';
    after += returns;
    if (after == csv->end) {
        go_to(csv, after);
        return TAKEN_ROW;
    }
    if (*after != ',' && *after != '\n') {
        row->fault = quote_behind;
        return TAKEN_FAULT;
    }
    row->lines += *after == '\n';
    go_to(csv, after + 1);
    return *after == ',' ? TAKEN_CELL : TAKEN_ROW;
}

static enum taken take_cell(struct csv *csv, struct csv_row *row, const char *start, bool last)
{
    const char *from = csv->at;
    const char *stop = next_structural(csv);
    if (stop < csv->end && *stop == '"') {
        if (stop == from) {
            return take_quoted(csv, row, start, last);
        }
        row->fault = quote_within;
        return TAKEN_FAULT;
    }
    if (stop == csv->end) {
        if (!last && stop - start <= (ptrdiff_t)SWEEP_ROW_LIMIT) {
            return TAKEN_TOO_LITTLE;
        }
        put_cell(row, from, without_return(from, stop));
        csv->at = stop;
        return TAKEN_ROW;
    }
    csv->at = stop + 1;
    if (*stop == ',') {
        put_cell(row, from, stop);
        return TAKEN_CELL;
    }
    put_cell(row, from, without_return(from, stop));
    row->lines++;
    return TAKEN_ROW;
}

static bool check_row(struct csv *csv, struct csv_row *row, const char *start, bool last)
{
    row->blank = row->count == 1 && row->cells[0].size == 0 && row->cells[0].bytes == start;
    if (csv->at - start > (ptrdiff_t)SWEEP_ROW_LIMIT) {
        row->fault = row_too_long;
    } else if (row->count > row->most) {
        row->fault = "more fields than the header has";
    } else if (row->exact && row->count < row->most && !row->blank) {
        row->fault = "fewer fields than the header has";
    }
    return !row->fault || pass_line(csv, row, start, last);
}

bool csv_next(struct csv *csv, struct csv_row *row, bool last)
{
    const char *start = csv->at;
    if (csv->moved) {
        go_to(csv, start);
    }
    const struct csv before = *csv;
    row->count = row->lines = 0;
    row->goes_on = false;
    row->quoted = 0;
    row->fault = NULL;
    enum taken taken;
    do {
        taken = take_cell(csv, row, start, last);
        /* A comma as the last byte of all has an empty cell behind it. */
        if (taken == TAKEN_CELL && csv->at == csv->end) {
            taken = last ? TAKEN_ROW : TAKEN_TOO_LITTLE;
            put_cell(row, csv->end, csv->end);
        }
    } while (taken == TAKEN_CELL);
    bool good = taken == TAKEN_FAULT ? pass_line(csv, row, start, last)
                                     : taken == TAKEN_ROW && check_row(csv, row, start, last);
    if (row->fault && row->goes_on) {
        row->fault = quote_open;
    }
    if (!good) {
        *csv = before;
    }
    return good;
}

/* ---- doubled quotes ---------------------------------------------------------------------------- */

static struct cell undouble(struct arena *arena, struct cell cell)
{
    char *bytes = arena_take(arena, cell.size);
    uint32_t size = 0;
    for (uint32_t i = 0; i < cell.size; i++) {
        bytes[size++] = cell.bytes[i];
        i += cell.bytes[i] == '"';
    }
    return (struct cell){bytes, size};
}

void csv_undouble(struct arena *arena, struct csv_row *row)
{
    for (uint32_t i = 0; i < row->count && row->quoted; i++) {
        const struct cell *cell = &row->cells[i];
        bool quoted = row->quoted >> (i < 63 ? i : 63) & 1;
        /* Without a quote around it, a cell holds none at all. */
        if (quoted && memchr(cell->bytes, '"', cell->size)) {
            row->cells[i] = undouble(arena, *cell);
        }
    }
}

/* ---- all of a block ---------------------------------------------------------------------------- */

static void survey_bytes(const char *bytes, size_t size, struct survey *survey)
{
    for (size_t i = 0; i < size; i++) {
        survey->quotes |= bytes[i] == '"';
        survey->lines += bytes[i] == '\n';
    }
}

#ifdef __SSE2__

/* Of up to 4096 bytes, in pieces of 64: line ends are counted by byte, up to 255 each. */
static inline uint64_t survey_pieces(const char *bytes, size_t size, __m128i *quotes)
{
    const __m128i quote = _mm_set1_epi8('"'), line_end = _mm_set1_epi8('\n');
    __m128i counts = _mm_setzero_si128(), any = *quotes;
    for (size_t i = 0; i < size; i += 64) {
        const __m128i *at = (const __m128i *)(const void *)(bytes + i);
        __m128i a = _mm_loadu_si128(at), b = _mm_loadu_si128(at + 1);
        __m128i c = _mm_loadu_si128(at + 2), d = _mm_loadu_si128(at + 3);
        __m128i lines = _mm_add_epi8(_mm_cmpeq_epi8(a, line_end), _mm_cmpeq_epi8(b, line_end));
        lines = _mm_add_epi8(lines, _mm_cmpeq_epi8(c, line_end));
        lines = _mm_add_epi8(lines, _mm_cmpeq_epi8(d, line_end));
        counts = _mm_sub_epi8(counts, lines);
        any = _mm_or_si128(any, _mm_or_si128(_mm_cmpeq_epi8(a, quote), _mm_cmpeq_epi8(b, quote)));
        any = _mm_or_si128(any, _mm_or_si128(_mm_cmpeq_epi8(c, quote), _mm_cmpeq_epi8(d, quote)));
    }
    *quotes = any;
    uint64_t sums[2];
    counts = _mm_sad_epu8(counts, _mm_setzero_si128());
    memcpy(sums, &counts, sizeof sums);
    return sums[0] + sums[1];
}

#endif

struct survey csv_survey(const char *bytes, size_t size)
{
    struct survey survey = {0};
    size_t i = 0;
#ifdef __SSE2__
    __m128i quotes = _mm_setzero_si128();
    while (size - i >= 64) { /* 63 * 4 line ends still fit a byte */
        size_t piece = size - i < 63 * 64 ? (size - i) / 64 * 64 : 63 * 64;
        survey.lines += survey_pieces(bytes + i, piece, &quotes);
        i += piece;
    }
    survey.quotes = _mm_movemask_epi8(quotes) != 0;
#endif
    survey_bytes(bytes + i, size - i, &survey);
    for (i = size; i > 0 && survey.lines; i--) {
        if (bytes[i - 1] == '\n') {
            survey.last_line_end = bytes + i - 1;
            break;
        }
    }
    return survey;
}
