/*
 * Units and dimensions. A value is held in the base unit of its dimension; a
 * unit knows its exact factor to the base (NIST SP 811, appendix B).
 *
 * Base units: mm, deg, kg, N, h (time in service), day (calendar), cycle.
 * Counts and ratios have no base but stay apart: 0.1 is not 10 %.
 */
#ifndef STAVE_BASE_UNIT_H
#define STAVE_BASE_UNIT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include "base/number.h"

/* Exponents of the base units, and for a pure number whether it is a ratio (%). */
struct dimension {
    int8_t length, angle, mass, force, hours, days, cycles;
    int8_t ratio; /* 1 for a ratio, 0 else; a ratio times anything but a ratio loses it */
};

static inline bool dimension_equal(struct dimension a, struct dimension b)
{
    _Static_assert(sizeof a == 8, "no bytes but the exponents");
    return memcmp(&a, &b, sizeof a) == 0;
}

bool dimension_is_plain(struct dimension a); /* a count or a ratio */
struct dimension dimension_product(struct dimension a, struct dimension b);
/* "a length", "an area", "a count", "a ratio", "a time in service", "a torque", or
 * "length^3 x force x hours" spelled out for the rest. */
const char *dimension_name(struct arena *arena, struct dimension dimension);

struct unit {
    const char *name;          /* as shown: "in", "N·m", "%" ; "" for a count */
    struct dimension dimension;
    struct number factor;      /* base units in one of this */
};

/*
 * The unit spelled by `bytes`, or NULL. Spellings: in ft thou mm cm m um µm;
 * in2 ft2 mm2 cm2 m2 and thou2 um2 µm2, also with ^2 or ²; deg arcmin; lb oz g kg;
 * lbf N; lbf.in lbf·in lbf-in lbf.ft lbf·ft lbf-ft N.m N·m N-m; h min; day days; cycle cycles; %.
 * (µ is read as U+00B5 and as U+03BC.)
 * The table is constant data: units compare by pointer only within one spelling
 * group (all spellings of one unit give the same pointer).
 */
const struct unit *unit_find(const char *bytes, size_t size);
/* The unit of a count: name "", factor 1. */
const struct unit *unit_none(void);
/* The n-th unit of the table, NULL past its end. */
const struct unit *unit_at(size_t index);
/* The n-th accepted spelling (of all units), NULL past the end: for suggestions and tests. */
const char *unit_spelling_at(size_t index, const struct unit **unit);

/* A figure as someone wrote it: its value in base units, and the unit that was used. */
struct quantity {
    struct number value;
    const struct unit *unit;
};

/* "0.0275 in", "12 %", "3": exact where six decimals suffice; else rounded in the given
 * direction to the fewest decimals that leave five significant digits, *rounded telling
 * where that is not exact. "1 day" but "30 days", and cycles so too. */
const char *quantity_text(struct arena *arena, struct number value, const struct unit *unit,
                          enum number_round how, bool *rounded);

#endif
