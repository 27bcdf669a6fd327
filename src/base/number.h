/*
 * Exact rationals. Every figure in Stave is one of these; nothing that decides
 * is ever a binary floating-point number.
 *
 * A number is a small value that is passed by copy. Where numerator and
 * denominator fit 64 bits it holds them itself (the fast path: products in 128
 * bits); else it points to limbs in the arena that was given to the operation.
 * A number is always in lowest terms with a positive denominator, so equal
 * numbers have equal parts. Numbers are never changed once made.
 *
 * Big parts are worked on with GMP's mpn layer, which takes its memory from us
 * and keeps no state. A number whose parts would pass NUMBER_LIMBS limbs
 * escapes with STAVE_TOO_BIG: reading a book and a record bounds every size so
 * that this cannot happen while judging.
 */
#ifndef STAVE_BASE_NUMBER_H
#define STAVE_BASE_NUMBER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"

#define NUMBER_LIMBS 512      /* 64-bit limbs in a numerator or denominator */
#define NUMBER_DIGITS 18      /* digits that a person may type in one figure */
#define NUMBER_PARTS 128      /* the finest binary fraction: 1/128 */

struct number_big;

/* den > 0: the value is num/den. den == 0: the value is *big. Zero is 0/1. */
struct number {
    int64_t den;
    union {
        int64_t num;
        const struct number_big *big;
    };
};

#define NUMBER_ZERO ((struct number){.den = 1, .num = 0})
#define NUMBER_INT(n) ((struct number){.den = 1, .num = (n)})

struct number number_make(struct arena *arena, int64_t numerator, int64_t denominator);

enum number_error {
    NUMBER_GOOD,
    NUMBER_NOT_ONE,      /* not of the forms below */
    NUMBER_TOO_LONG,     /* more than NUMBER_DIGITS digits */
    NUMBER_BAD_PARTS,    /* a fraction's denominator is not 2, 4, 8, 16, 32, 64 or 128 */
    NUMBER_BAD_FRACTION  /* a fraction that is not below 1 ("17/16"), or a zero numerator */
};

/*
 * Reads an unsigned figure, the whole of `bytes`: "12", "0.030", "1/16",
 * "1 1/16" (blanks between). No sign, no exponent, no comma, no lone ".5" or "5.";
 * leading zeros as in "010" are NUMBER_NOT_ONE, "0" and "0.5" are fine.
 */
enum number_error number_read(struct arena *arena, const char *bytes, size_t size,
                              struct number *out);

struct number number_add(struct arena *arena, struct number a, struct number b);
struct number number_subtract(struct arena *arena, struct number a, struct number b);
struct number number_multiply(struct arena *arena, struct number a, struct number b);
struct number number_divide(struct arena *arena, struct number a, struct number b); /* b != 0 */
struct number number_negate(struct arena *arena, struct number a);
int number_sign(struct number a);                     /* -1, 0, 1 */
/* -1, 0, 1. Takes scratch for big operands only, and gives it back. */
static inline int number_compare(struct arena *arena, struct number a, struct number b);
static inline bool number_equal(struct number a, struct number b); /* needs no arithmetic: lowest terms */
struct number number_least(struct arena *arena, struct number a, struct number b);
struct number number_greatest(struct arena *arena, struct number a, struct number b);
bool number_is_integer(struct number a);
/* Bits of numerator plus bits of denominator: the size that the book's bounds speak of. */
size_t number_bits(struct number a);

enum number_round { NUMBER_DOWN, NUMBER_UP, NUMBER_EVEN }; /* toward -inf, +inf; nearest, ties to even */

/* The multiple of `step` (> 0) that `a` rounds to, once. */
struct number number_round_to(struct arena *arena, struct number a, struct number step,
                              enum number_round how);
/* The whole number that `a` rounds to. */
struct number number_round_whole(struct arena *arena, struct number a, enum number_round how);

/*
 * Decimal text. Exact where at most `places` decimals are enough (trailing zeros
 * are not written, "-0" never); else rounded to `places` decimals in the given
 * direction and *rounded set true.
 */
const char *number_decimal(struct arena *arena, struct number a, unsigned places,
                           enum number_round how, bool *rounded);
/* "27", "-11/400": the exact value. */
const char *number_fraction(struct arena *arena, struct number a);

/* A copy whose limbs live in another arena. */
struct number number_copy(struct arena *to, struct number a);

/* ---- what is asked most, without a call -------------------------------------- */

/* One of them is big. */
int number_compare_big(struct arena *arena, struct number a, struct number b);
bool number_equal_big(struct number a, struct number b); /* both are */

static inline int number_compare(struct arena *arena, struct number a, struct number b)
{
    if (a.den > 0 && a.den == b.den) {
        return (a.num > b.num) - (a.num < b.num);
    }
    if (a.den > 0 && b.den > 0) {
        __extension__ typedef __int128 product;
        product left = (product)a.num * b.den, right = (product)b.num * a.den;
        return (left > right) - (left < right);
    }
    return number_compare_big(arena, a, b);
}

static inline bool number_equal(struct number a, struct number b)
{
    if (a.den > 0 || b.den > 0) {
        return a.den == b.den && a.num == b.num; /* one big, one small: the den differ */
    }
    return number_equal_big(a, b);
}

#endif
