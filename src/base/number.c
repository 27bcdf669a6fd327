#include "base/number.h"

#include <gmp.h>
#include <string.h>

#include "base/text.h"

/*
 * Sizes. The fast path multiplies magnitudes of at most 2^63, so a product is
 * at most 2^126 and a sum of two at most 2^127: both fit 128 bits.
 *
 * Big operands have at most NUMBER_LIMBS limbs a part, so products have at most
 * 2 * NUMBER_LIMBS and sums one more. GMP takes temporary memory for operands
 * of that size on the stack (it would go to malloc, and abort without memory,
 * only well above); the number test holds it to that.
 */
_Static_assert(GMP_NUMB_BITS == 64, "limbs of 64 bits without nails");

__extension__ typedef unsigned __int128 wide;

/* A big number's limbs: numerator then denominator, most significant limbs not zero. */
struct number_big {
    mp_size_t num_size, den_size;
    bool negative;
    mp_limb_t limbs[];
};

/* ---- the fast path ---------------------------------------------------------- */

static bool is_small(struct number a)
{
    return a.den > 0;
}

static uint64_t magnitude(int64_t value)
{
    return value < 0 ? 0 - (uint64_t)value : (uint64_t)value;
}

/* Both greater than 1. */
static uint64_t find_common_divisor(uint64_t a, uint64_t b)
{
    /* Without branches but the loop's own: which of the two is larger is anyone's guess. */
    int twos = __builtin_ctzll(a | b);
    a >>= __builtin_ctzll(a);
    b >>= __builtin_ctzll(b);
    while (a != b) {
        uint64_t less = a < b ? a : b, gap = a < b ? b - a : a - b;
        a = less;
        b = gap >> __builtin_ctzll(gap);
    }
    return a << twos;
}

/* Both greater than 0. */
static inline uint64_t common_divisor(uint64_t a, uint64_t b)
{
    return a == 1 || b == 1 ? 1 : find_common_divisor(a, b);
}

/* To divide takes long, and most have nothing in common. */
static inline uint64_t divided(uint64_t value, uint64_t divisor)
{
    return divisor == 1 ? value : value / divisor;
}

static bool fits_small(bool negative, wide num, wide den)
{
    return den <= INT64_MAX && num <= (wide)INT64_MAX + negative;
}

static struct number small_number(bool negative, uint64_t num, uint64_t den)
{
    int64_t value = (int64_t)(num & INT64_MAX);
    if (negative) {
        value = num > INT64_MAX ? INT64_MIN : -value;
    }
    return (struct number){.den = (int64_t)den, .num = value};
}

static struct number big_number(struct arena *arena, bool negative, const mp_limb_t *num,
                                mp_size_t num_size, const mp_limb_t *den, mp_size_t den_size)
{
    size_t num_bytes = (size_t)num_size * sizeof(mp_limb_t);
    size_t den_bytes = (size_t)den_size * sizeof(mp_limb_t);
    struct number_big *big = arena_take(arena, sizeof *big + num_bytes + den_bytes);
    big->num_size = num_size;
    big->den_size = den_size;
    big->negative = negative;
    memcpy(big->limbs, num, num_bytes);
    memcpy(big->limbs + num_size, den, den_bytes);
    return (struct number){.den = 0, .big = big};
}

static mp_size_t split_wide(mp_limb_t limbs[2], wide value)
{
    limbs[0] = (mp_limb_t)value;
    limbs[1] = (mp_limb_t)(value >> 64);
    return limbs[1] != 0 ? 2 : limbs[0] != 0;
}

/* From parts in lowest terms. */
static struct number wide_number(struct arena *arena, bool negative, wide num, wide den)
{
    if (fits_small(negative, num, den)) {
        return small_number(negative, (uint64_t)num, (uint64_t)den);
    }
    mp_limb_t num_limbs[2], den_limbs[2];
    mp_size_t num_size = split_wide(num_limbs, num), den_size = split_wide(den_limbs, den);
    return big_number(arena, negative, num_limbs, num_size, den_limbs, den_size);
}

/* Knuth, volume 2, 4.5.1: only what the two denominators share can be reduced. */
static struct number add_small(struct arena *arena, struct number a, struct number b, bool subtract)
{
    int64_t whole;
    if (b.num == 0) {
        return a;
    }
    if (a.den == 1 && b.den == 1 &&
        !(subtract ? __builtin_sub_overflow(a.num, b.num, &whole)
                   : __builtin_add_overflow(a.num, b.num, &whole))) {
        return (struct number){.den = 1, .num = whole};
    }
    uint64_t a_den = (uint64_t)a.den, b_den = (uint64_t)b.den;
    uint64_t shared = a_den == b_den ? a_den : common_divisor(a_den, b_den);
    wide left = (wide)magnitude(a.num) * divided(b_den, shared);
    wide right = (wide)magnitude(b.num) * divided(a_den, shared);
    bool negative = a.num < 0, other_negative = (b.num < 0) != subtract;
    wide sum;
    if (negative == other_negative) {
        sum = left + right;
    } else if (left >= right) {
        sum = left - right;
    } else {
        sum = right - left;
        negative = other_negative;
    }
    if (sum == 0) {
        return NUMBER_ZERO;
    }
    if (shared != 1) {
        bool is_short = sum >> 64 == 0; /* then it takes no division of 128 bits */
        uint64_t rest = is_short ? (uint64_t)sum % shared : (uint64_t)(sum % shared);
        uint64_t again = rest != 0 ? common_divisor(rest, shared) : shared;
        if (again != 1) {
            sum = is_short ? (uint64_t)sum / again : sum / again;
            b_den /= again;
        }
    }
    return wide_number(arena, negative, sum, (wide)divided(a_den, shared) * b_den);
}

/* The product of an/ad and bn/bd, each in lowest terms, no part over 2^63. */
static struct number multiply_small(struct arena *arena, bool negative, uint64_t an, uint64_t ad,
                                    uint64_t bn, uint64_t bd)
{
    if (an == 0 || bn == 0) {
        return NUMBER_ZERO;
    }
    uint64_t first = common_divisor(an, bd), second = common_divisor(bn, ad);
    return wide_number(arena, negative, (wide)divided(an, first) * divided(bn, second),
                       (wide)divided(ad, second) * divided(bd, first));
}

/* ---- big numbers ---------------------------------------------------------------- */

/* A number's parts as limbs; a zero numerator has size 0. */
struct parts {
    const mp_limb_t *num, *den;
    mp_size_t num_size, den_size;
    bool negative;
};

/* `room` serves a small number's limbs. */
static struct parts parts_of(struct number a, mp_limb_t room[2])
{
    if (!is_small(a)) {
        const struct number_big *big = a.big;
        return (struct parts){big->limbs, big->limbs + big->num_size, big->num_size, big->den_size,
                              big->negative};
    }
    room[0] = magnitude(a.num);
    room[1] = (mp_limb_t)a.den;
    return (struct parts){room, room + 1, a.num != 0, 1, a.num < 0};
}

static mp_limb_t *take_limbs(struct arena *arena, mp_size_t count)
{
    return ARENA_ARRAY(arena, mp_limb_t, (size_t)count);
}

static mp_size_t trim(const mp_limb_t *limbs, mp_size_t size)
{
    while (size > 0 && limbs[size - 1] == 0) {
        size--;
    }
    return size;
}

static int compare_limbs(const mp_limb_t *a, mp_size_t a_size, const mp_limb_t *b, mp_size_t b_size)
{
    if (a_size != b_size) {
        return a_size < b_size ? -1 : 1;
    }
    int order = a_size != 0 ? mpn_cmp(a, b, a_size) : 0;
    return order < 0 ? -1 : order > 0;
}

/* Returns the product's size; `product` has room for both sizes together and overlaps neither. */
static mp_size_t multiply_limbs(mp_limb_t *product, const mp_limb_t *a, mp_size_t a_size,
                                const mp_limb_t *b, mp_size_t b_size)
{
    if (a_size == 0 || b_size == 0) {
        return 0;
    }
    if (a_size >= b_size) {
        mpn_mul(product, a, a_size, b, b_size);
    } else {
        mpn_mul(product, b, b_size, a, a_size);
    }
    return trim(product, a_size + b_size);
}

/* Divides by 2^bits in place; what is shifted out is lost. Returns the new size. */
static mp_size_t shift_right(mp_limb_t *limbs, mp_size_t size, mp_bitcnt_t bits)
{
    mp_size_t whole = (mp_size_t)(bits / 64);
    unsigned part = (unsigned)(bits % 64);
    if (part != 0) {
        mpn_rshift(limbs, limbs + whole, size - whole, part);
    } else if (whole != 0) {
        memmove(limbs, limbs + whole, (size_t)(size - whole) * sizeof *limbs);
    }
    return trim(limbs, size - whole);
}

/* Divides in place by a divisor that leaves no rest. Returns the new size. */
static mp_size_t divide_exactly(struct arena *arena, mp_limb_t *limbs, mp_size_t size,
                                const mp_limb_t *divisor, mp_size_t divisor_size)
{
    mp_size_t quotient_size = size - divisor_size + 1;
    mp_limb_t *quotient = take_limbs(arena, quotient_size);
    mp_limb_t *rest = take_limbs(arena, divisor_size);
    mpn_tdiv_qr(quotient, rest, 0, limbs, size, divisor, divisor_size);
    memcpy(limbs, quotient, (size_t)quotient_size * sizeof *limbs);
    return trim(limbs, quotient_size);
}

/* Brings num/den, both greater than 0, to lowest terms in place. */
static void reduce(struct arena *arena, mp_limb_t *num, mp_size_t *num_size, mp_limb_t *den,
                   mp_size_t *den_size)
{
    mp_bitcnt_t num_twos = mpn_scan1(num, 0), den_twos = mpn_scan1(den, 0);
    mp_bitcnt_t twos = num_twos < den_twos ? num_twos : den_twos;
    *num_size = shift_right(num, *num_size, twos);
    *den_size = shift_right(den, *den_size, twos);

    /* mpn_gcd destroys its operands, and wants the longer first and not both even. */
    mp_limb_t *a = take_limbs(arena, *num_size), *b = take_limbs(arena, *den_size);
    memcpy(a, num, (size_t)*num_size * sizeof *a);
    memcpy(b, den, (size_t)*den_size * sizeof *b);
    mp_size_t a_size = shift_right(a, *num_size, num_twos - twos);
    mp_size_t b_size = shift_right(b, *den_size, den_twos - twos);
    mp_size_t least = a_size < b_size ? a_size : b_size;
    mp_limb_t *divisor = take_limbs(arena, least);
    mp_size_t divisor_size = a_size >= b_size ? mpn_gcd(divisor, a, a_size, b, b_size)
                                              : mpn_gcd(divisor, b, b_size, a, a_size);
    if (divisor_size != 1 || divisor[0] != 1) {
        *num_size = divide_exactly(arena, num, *num_size, divisor, divisor_size);
        *den_size = divide_exactly(arena, den, *den_size, divisor, divisor_size);
    }
}

/*
 * The number of parts that lie in scratch taken since `mark`, which is given
 * back. The parts pass through the stack, as the arena zeroes what it gives.
 */
static struct number finish(struct arena *arena, struct arena_mark mark, bool negative,
                            mp_limb_t *num, mp_size_t num_size, mp_limb_t *den, mp_size_t den_size)
{
    if (num_size == 0) {
        arena_release(arena, mark);
        return NUMBER_ZERO;
    }
    reduce(arena, num, &num_size, den, &den_size);
    if (num_size == 1 && den_size == 1 && fits_small(negative, num[0], den[0])) {
        struct number small = small_number(negative, num[0], den[0]);
        arena_release(arena, mark);
        return small;
    }
    if (num_size > NUMBER_LIMBS || den_size > NUMBER_LIMBS) {
        arena_escape(arena, STAVE_TOO_BIG);
    }
    mp_limb_t kept[2 * NUMBER_LIMBS];
    memcpy(kept, num, (size_t)num_size * sizeof *kept);
    memcpy(kept + num_size, den, (size_t)den_size * sizeof *kept);
    arena_release(arena, mark);
    return big_number(arena, negative, kept, num_size, kept + num_size, den_size);
}

static struct number add_big(struct arena *arena, struct number first, struct number second,
                             bool subtract)
{
    mp_limb_t a_room[2], b_room[2];
    struct parts a = parts_of(first, a_room), b = parts_of(second, b_room);
    struct arena_mark mark = arena_mark(arena);
    mp_size_t left_room = a.num_size + b.den_size, right_room = b.num_size + a.den_size;
    mp_size_t room = (left_room > right_room ? left_room : right_room) + 1;
    mp_limb_t *left = take_limbs(arena, room), *right = take_limbs(arena, room);
    mp_limb_t *den = take_limbs(arena, a.den_size + b.den_size);
    mp_size_t left_size = multiply_limbs(left, a.num, a.num_size, b.den, b.den_size);
    mp_size_t right_size = multiply_limbs(right, b.num, b.num_size, a.den, a.den_size);
    mp_size_t den_size = multiply_limbs(den, a.den, a.den_size, b.den, b.den_size);
    bool negative = a.negative, other_negative = b.negative != subtract;
    /* Both are zero above their sizes up to `room`, so they can be worked on whole. */
    if (negative == other_negative) {
        mpn_add_n(left, left, right, room);
    } else if (compare_limbs(left, left_size, right, right_size) >= 0) {
        mpn_sub_n(left, left, right, room);
    } else {
        mpn_sub_n(left, right, left, room);
        negative = other_negative;
    }
    return finish(arena, mark, negative, left, trim(left, room), den, den_size);
}

static struct number multiply_parts(struct arena *arena, struct parts a, struct parts b)
{
    struct arena_mark mark = arena_mark(arena);
    mp_limb_t *num = take_limbs(arena, a.num_size + b.num_size);
    mp_limb_t *den = take_limbs(arena, a.den_size + b.den_size);
    mp_size_t num_size = multiply_limbs(num, a.num, a.num_size, b.num, b.num_size);
    mp_size_t den_size = multiply_limbs(den, a.den, a.den_size, b.den, b.den_size);
    return finish(arena, mark, a.negative != b.negative, num, num_size, den, den_size);
}

static int compare_big(struct arena *arena, struct number first, struct number second)
{
    mp_limb_t a_room[2], b_room[2];
    struct parts a = parts_of(first, a_room), b = parts_of(second, b_room);
    struct arena_mark mark = arena_mark(arena);
    mp_limb_t *left = take_limbs(arena, a.num_size + b.den_size);
    mp_limb_t *right = take_limbs(arena, b.num_size + a.den_size);
    mp_size_t left_size = multiply_limbs(left, a.num, a.num_size, b.den, b.den_size);
    mp_size_t right_size = multiply_limbs(right, b.num, b.num_size, a.den, a.den_size);
    int order = compare_limbs(left, left_size, right, right_size);
    arena_release(arena, mark);
    return a.negative ? -order : order;
}

/* Whether a magnitude's quotient, with this rest, goes one further from zero. */
static bool rounds_away(struct arena *arena, struct parts a, const mp_limb_t *quotient,
                        const mp_limb_t *rest, mp_size_t rest_size, enum number_round how)
{
    if (rest_size == 0) {
        return false;
    }
    if (how != NUMBER_EVEN) {
        return a.negative == (how == NUMBER_DOWN);
    }
    mp_limb_t *twice = take_limbs(arena, rest_size + 1);
    twice[rest_size] = mpn_lshift(twice, rest, rest_size, 1);
    int order = compare_limbs(twice, trim(twice, rest_size + 1), a.den, a.den_size);
    return order > 0 || (order == 0 && (quotient[0] & 1) != 0);
}

static struct number round_big(struct arena *arena, struct number number, enum number_round how)
{
    mp_limb_t room[2];
    struct parts a = parts_of(number, room);
    struct arena_mark mark = arena_mark(arena);
    mp_size_t quotient_size = a.num_size >= a.den_size ? a.num_size - a.den_size + 1 : 0;
    mp_limb_t *quotient = take_limbs(arena, quotient_size + 1);
    const mp_limb_t *rest = a.num;
    mp_size_t rest_size = a.num_size;
    if (quotient_size != 0) {
        mp_limb_t *left = take_limbs(arena, a.den_size);
        mpn_tdiv_qr(quotient, left, 0, a.num, a.num_size, a.den, a.den_size);
        rest = left;
        rest_size = trim(left, a.den_size);
    }
    if (rounds_away(arena, a, quotient, rest, rest_size, how)) {
        mpn_add_1(quotient, quotient, quotient_size + 1, 1);
    }
    mp_limb_t *one = take_limbs(arena, 1);
    one[0] = 1;
    return finish(arena, mark, a.negative, quotient, trim(quotient, quotient_size + 1), one, 1);
}

/* ---- operations -------------------------------------------------------------------- */

/*
 * Division by zero is a fault of the caller. It leaves the public call, which
 * then gives no answer at all: the cautious outcome.
 */
static _Noreturn void refuse_zero(struct arena *arena)
{
    arena_escape(arena, STAVE_TOO_BIG);
}

struct number number_make(struct arena *arena, int64_t numerator, int64_t denominator)
{
    if (denominator == 0) {
        refuse_zero(arena);
    }
    if (numerator == 0) {
        return NUMBER_ZERO;
    }
    uint64_t num = magnitude(numerator), den = magnitude(denominator);
    uint64_t shared = common_divisor(num, den);
    return wide_number(arena, (numerator < 0) != (denominator < 0), num / shared, den / shared);
}

struct number number_add(struct arena *arena, struct number a, struct number b)
{
    return is_small(a) && is_small(b) ? add_small(arena, a, b, false) : add_big(arena, a, b, false);
}

struct number number_subtract(struct arena *arena, struct number a, struct number b)
{
    return is_small(a) && is_small(b) ? add_small(arena, a, b, true) : add_big(arena, a, b, true);
}

struct number number_multiply(struct arena *arena, struct number a, struct number b)
{
    if (is_small(a) && is_small(b)) {
        if (b.den == 1 && (b.num == 1 || b.num == -1) && a.num != INT64_MIN) {
            a.num *= b.num;
            return a;
        }
        return multiply_small(arena, (a.num < 0) != (b.num < 0), magnitude(a.num), (uint64_t)a.den,
                              magnitude(b.num), (uint64_t)b.den);
    }
    mp_limb_t a_room[2], b_room[2];
    return multiply_parts(arena, parts_of(a, a_room), parts_of(b, b_room));
}

struct number number_divide(struct arena *arena, struct number a, struct number b)
{
    if (number_sign(b) == 0) {
        refuse_zero(arena);
    }
    if (is_small(a) && is_small(b)) {
        return multiply_small(arena, (a.num < 0) != (b.num < 0), magnitude(a.num), (uint64_t)a.den,
                              (uint64_t)b.den, magnitude(b.num));
    }
    mp_limb_t a_room[2], b_room[2];
    struct parts divisor = parts_of(b, b_room);
    struct parts turned = {divisor.den, divisor.num, divisor.den_size, divisor.num_size,
                           divisor.negative};
    return multiply_parts(arena, parts_of(a, a_room), turned);
}

struct number number_negate(struct arena *arena, struct number a)
{
    return number_subtract(arena, NUMBER_ZERO, a);
}

int number_sign(struct number a)
{
    if (!is_small(a)) {
        return a.big->negative ? -1 : 1;
    }
    return a.num < 0 ? -1 : a.num > 0;
}

int number_compare_big(struct arena *arena, struct number a, struct number b)
{
    int a_sign = number_sign(a), b_sign = number_sign(b);
    if (a_sign != b_sign) {
        return a_sign < b_sign ? -1 : 1;
    }
    return compare_big(arena, a, b);
}

bool number_equal_big(struct number a, struct number b)
{
    return a.big->negative == b.big->negative && a.big->num_size == b.big->num_size &&
           a.big->den_size == b.big->den_size &&
           mpn_cmp(a.big->limbs, b.big->limbs, a.big->num_size + a.big->den_size) == 0;
}

struct number number_least(struct arena *arena, struct number a, struct number b)
{
    return number_compare(arena, a, b) <= 0 ? a : b;
}

struct number number_greatest(struct arena *arena, struct number a, struct number b)
{
    return number_compare(arena, a, b) >= 0 ? a : b;
}

bool number_is_integer(struct number a)
{
    mp_limb_t room[2];
    struct parts parts = parts_of(a, room);
    return parts.den_size == 1 && parts.den[0] == 1;
}

size_t number_bits(struct number a)
{
    mp_limb_t room[2];
    struct parts parts = parts_of(a, room);
    size_t num_bits = parts.num_size != 0 ? mpn_sizeinbase(parts.num, parts.num_size, 2) : 0;
    return num_bits + mpn_sizeinbase(parts.den, parts.den_size, 2);
}

struct number number_round_whole(struct arena *arena, struct number a, enum number_round how)
{
    if (!is_small(a)) {
        return round_big(arena, a, how);
    }
    if (a.den == 1) {
        return a;
    }
    /* The denominator is 2 or more, so one more or less than the quotient fits. */
    int64_t below = a.num / a.den, rest = a.num % a.den;
    if (rest < 0) {
        below -= 1;
        rest += a.den;
    }
    int64_t to_above = a.den - rest;
    bool up = how == NUMBER_UP ||
              (how == NUMBER_EVEN && (rest > to_above || (rest == to_above && below % 2 != 0)));
    return NUMBER_INT(below + up);
}

struct number number_round_to(struct arena *arena, struct number a, struct number step,
                              enum number_round how)
{
    struct number steps = number_round_whole(arena, number_divide(arena, a, step), how);
    return number_multiply(arena, steps, step);
}

struct number number_copy(struct arena *to, struct number a)
{
    if (is_small(a)) {
        return a;
    }
    const struct number_big *big = a.big;
    return big_number(to, big->negative, big->limbs, big->num_size, big->limbs + big->num_size,
                      big->den_size);
}

/* ---- as a fraction ---------------------------------------------------------------------- */

/* The largest power of ten in a limb. A limb has at most 20 digits. */
#define CHUNK UINT64_C(10000000000000000000)
#define CHUNK_DIGITS 19

/* (Not mpn_get_str: it takes memory of its own from 26 limbs on.) */
static void add_limbs(struct text *text, struct arena *arena, const mp_limb_t *limbs,
                      mp_size_t size)
{
    if (size == 0) {
        text_add_char(text, '0');
        return;
    }
    mp_limb_t one;
    char short_room[20];
    mp_limb_t *left = size == 1 ? &one : take_limbs(arena, size);
    memcpy(left, limbs, (size_t)size * sizeof *left);
    size_t room = (size_t)size * sizeof short_room, first = room;
    char *digits = size == 1 ? short_room : arena_take(arena, room);
    while (size > 0) {
        mp_limb_t chunk = mpn_divrem_1(left, 0, left, size, CHUNK);
        size = trim(left, size);
        for (int i = 0; i < CHUNK_DIGITS && (size > 0 || chunk != 0); i++) {
            digits[--first] = (char)('0' + chunk % 10);
            chunk /= 10;
        }
    }
    text_add_bytes(text, digits + first, room - first);
}

const char *number_fraction(struct arena *arena, struct number a)
{
    mp_limb_t room[2];
    struct parts parts = parts_of(a, room);
    struct text text;
    text_begin(&text, arena);
    if (parts.negative) {
        text_add_char(&text, '-');
    }
    add_limbs(&text, arena, parts.num, parts.num_size);
    if (!number_is_integer(a)) {
        text_add_char(&text, '/');
        add_limbs(&text, arena, parts.den, parts.den_size);
    }
    return text_done(&text);
}
