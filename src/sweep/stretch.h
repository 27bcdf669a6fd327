/*
 * A stretch of a block of CSV: where its cells and its lines end, found for all of its rows at once.
 *
 * Positions count from 1 at the stretch's first byte, so that a cell goes from start + its left
 * neighbour's stop on, to before its own stop. 16 bits hold them, and eight are looked at together.
 *
 * A row is easy where it ends in the stretch and has just as many cells as there are columns, in one line
 * of UTF-8 without control characters but a CR before its line end. A cell in quotes keeps them. All
 * other rows are the caller's, by csv_next.
 */
#ifndef STAVE_SWEEP_STRETCH_H
#define STAVE_SWEEP_STRETCH_H

#ifdef __SSE2__
#include <emmintrin.h>
#endif

#include "sweep/inside.h"

#define STRETCH_BYTES 8192
#define STRETCH_ROOM (STRETCH_BYTES + 80)    /* the last few are written eight at a time */
#define STRETCH_COLUMNS 64                   /* at most: they are a set */
#define STRETCH_STOPS (STRETCH_COLUMNS + 16) /* of one row, eight at a time */
#define STRETCH_SPARE 32 /* bytes that may be read before and behind an easy row */

struct stretch {
    const char *start;
    uint32_t stop_count;           /* of commas and line ends; stops[0] is the stretch's begin */
    uint32_t stop, line, special;  /* the next of each; `stop`: the one before the row */
    uint32_t room_begin, room_end; /* an easy row begins and ends between them */
    uint16_t stops[STRETCH_ROOM];
    uint16_t lines[STRETCH_ROOM];    /* the line ends among them, and a 65535 */
    uint16_t specials[STRETCH_ROOM]; /* quotes, control characters, no ASCII, and a 65535 */
    uint8_t places[256][8];          /* where the bits of a byte stand */
};

/* Cells by their stops, or of their own. */
struct cells {
    const char *start;
    const uint16_t *stops; /* NULL: in `own` */
    const struct cell *own;
    bool quotes; /* some keep their quotes, and within them doubled quotes */
};

static inline struct cell cells_by_stops(const struct cells *cells, uint32_t index)
{
    uint32_t from = cells->stops[index];
    return (struct cell){cells->start + from, cells->stops[index + 1] - from - 1u};
}

static inline struct cell cells_at(const struct cells *cells, uint32_t index)
{
    return cells->stops ? cells_by_stops(cells, index) : cells->own[index];
}

void stretch_begin(struct stretch *stretch);
/* Looks at what stands from `from` on, of a block from `begin` to `end`. */
void stretch_look(struct stretch *stretch, const char *begin, const char *from, const char *end);

enum stretch_row { STRETCH_EASY, STRETCH_HARD, STRETCH_OVER };

/* Where the row at hand begins. */
static inline const char *stretch_at(const struct stretch *stretch)
{
    return stretch->start + stretch->stops[stretch->stop];
}

/* Takes the CR of its line end from the last cell. */
void stretch_drop_return(struct cells *cells, uint32_t count, uint16_t *own);
/* Where there is something special in it. */
enum stretch_row stretch_special_row(struct stretch *stretch, uint32_t count, struct cells *cells,
                                     uint16_t *own);

/* The row at hand, of `count` cells; goes behind it where it is easy. Over: it does not end here.
 * Its stops are the stretch's, or where these do not serve they are put into `own`. */
static inline enum stretch_row stretch_row(struct stretch *stretch, uint32_t count,
                                           struct cells *cells, uint16_t *own)
{
    uint32_t last = stretch->stop + count;
    if (stretch->lines[stretch->line] > stretch->specials[stretch->special]) {
        return stretch_special_row(stretch, count, cells, own);
    }
    if (last > stretch->stop_count) {
        return STRETCH_OVER;
    }
    uint32_t end = stretch->stops[last];
    if (end != stretch->lines[stretch->line] || end > stretch->room_end ||
        stretch->stops[stretch->stop] < stretch->room_begin) {
        return STRETCH_HARD;
    }
    *cells = (struct cells){.start = stretch->start, .stops = stretch->stops + stretch->stop};
    if (stretch->start[end - 2] == '\r') { /* it has a comma at least */
        stretch_drop_return(cells, count, own);
    }
    stretch->stop = last;
    stretch->line++;
    return STRETCH_EASY;
}

/* Goes on where csv_next ended. False: look anew from there. */
static inline bool stretch_go_on(struct stretch *stretch, const char *at)
{
    ptrdiff_t gone = at - stretch->start;
    if (gone >= STRETCH_BYTES) {
        return false;
    }
    while (stretch->stop < stretch->stop_count && stretch->stops[stretch->stop] < gone) {
        stretch->stop++;
    }
    while (stretch->lines[stretch->line] <= gone) {
        stretch->line++;
    }
    while (stretch->specials[stretch->special] <= gone) {
        stretch->special++;
    }
    return stretch->stops[stretch->stop] == gone;
}

/* The cells that hold something (be it an empty pair of quotes), as bits; `count` is not 0. */
static inline uint64_t cells_given(const uint16_t *stops, uint32_t count)
{
    uint64_t given = 0;
#ifdef __SSE2__
    for (uint32_t i = 0; i < count; i += 8) {
        __m128i from = _mm_loadu_si128((const __m128i *)(const void *)(stops + i));
        __m128i to = _mm_loadu_si128((const __m128i *)(const void *)(stops + i + 1));
        __m128i holds = _mm_cmpgt_epi16(_mm_sub_epi16(to, from), _mm_set1_epi16(1));
        uint32_t bits = (uint32_t)_mm_movemask_epi8(_mm_packs_epi16(holds, holds)) & 255;
        given |= (uint64_t)bits << i;
    }
    return given & (UINT64_MAX >> (64 - count));
#else
    for (uint32_t i = 0; i < count; i++) {
        given |= (uint64_t)(stops[i + 1] - stops[i] > 1) << i;
    }
    return given;
#endif
}

#endif
