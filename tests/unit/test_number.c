/* Exact numbers, held against GMP's rationals and against published tables of rounding. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <gmp.h>

#include "base/number.h"
#include "fail_alloc.h"

static struct escape out;
static struct arena arena;

/* Every test has a fresh arena, and an escape that it did not set itself fails it. */
static int set_up(void **state)
{
    (void)state;
    arena_begin(&arena, NULL, &out);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    arena_end(&arena);
    return 0;
}

static struct number read_figure(const char *text)
{
    struct number number;
    assert_int_equal(number_read(&arena, text, strlen(text), &number), NUMBER_GOOD);
    return number;
}

/* ---- the oracle ---------------------------------------------------------------- */

static void set_oracle(mpq_t oracle, struct number number)
{
    if (number.den != 0) {
        mpz_set_si(mpq_numref(oracle), number.num); /* long has 64 bits where limbs have */
        mpz_set_si(mpq_denref(oracle), number.den);
    } else {
        assert_int_equal(mpq_set_str(oracle, number_fraction(&arena, number), 10), 0);
    }
}

/* The number equals the oracle part by part: lowest terms, a positive denominator; and
 * it is held small exactly where both parts fit. */
static void check_equal(struct number number, mpq_t wanted, const char *operation)
{
    mpq_t got;
    mpq_init(got);
    set_oracle(got, number);
    bool fits = mpz_fits_slong_p(mpq_numref(wanted)) && mpz_fits_slong_p(mpq_denref(wanted));
    if (mpz_cmp(mpq_numref(got), mpq_numref(wanted)) != 0 ||
        mpz_cmp(mpq_denref(got), mpq_denref(wanted)) != 0 || fits != (number.den != 0)) {
        gmp_printf("%s: got %Qd, wanted %Qd\n", operation, got, wanted);
        fail();
    }
    mpq_clear(got);
}

/* ---- random operands --------------------------------------------------------------- */

static uint64_t random_state = 20260301;

static uint64_t random_bits(void)
{
    random_state ^= random_state << 13; /* Marsaglia's xorshift64 */
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return random_state;
}

static uint64_t random_below(uint64_t limit)
{
    return (random_bits() >> 11) % limit;
}

static int64_t signed_bits(uint64_t bits)
{
    int64_t value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

static const int64_t edges[] = {
    INT64_MIN,
    INT64_MIN + 1,
    INT64_MAX,
    INT64_MAX - 1,
    INT64_MIN / 2,
    INT64_MAX / 2,
    INT32_MAX,
    INT32_MIN,
    UINT32_MAX,
    (int64_t)UINT32_MAX + 1,
    -1,
    1,
    2,
    3,
    10,
    127,
    5,
    1000000000000000000,
    999999999999999999,
    6074000999,
    4611686018427387904,
    0,
};

static int64_t random_part(void)
{
    switch (random_below(6)) {
    case 0:
        return edges[random_below(sizeof edges / sizeof edges[0])];
    case 1: { /* near a power of two */
        uint64_t power = UINT64_C(1) << random_below(64);
        return signed_bits(power + random_below(5) - 2);
    }
    case 2:
        return signed_bits(random_bits());
    case 3: {
        uint64_t shift = random_below(64);
        return signed_bits(random_bits()) >> shift;
    }
    default:
        return (int64_t)random_below(2001) - 1000;
    }
}

/* A figure as people write it, a fraction of any 64-bit parts, or one with big parts. */
static struct number random_number(void)
{
    static const int64_t tens[] = {1, 10, 100, 1000, 10000, 100000, 1000000};
    switch (random_below(8)) {
    case 0: {
        int64_t figure = (int64_t)random_below(100000);
        return number_make(&arena, figure, tens[random_below(7)]);
    }
    case 1:
        return number_multiply(&arena, number_make(&arena, (int64_t)random_below(1000), 128),
                               number_make(&arena, 127, 5));
    case 2: {
        struct number big = NUMBER_INT(1);
        for (uint64_t i = 1 + random_below(6); i > 0; i--) {
            int64_t num = random_part(), den = random_part();
            big = number_multiply(&arena, big, number_make(&arena, num, den != 0 ? den : 7));
        }
        return big;
    }
    case 3:
        return NUMBER_INT(random_part());
    default: {
        int64_t num = random_part(), den = random_part();
        return number_make(&arena, num, den != 0 ? den : 1);
    }
    }
}

/* ---- against the oracle ------------------------------------------------------------- */

static void round_oracle(mpq_t result, const mpq_t value, enum number_round how)
{
    mpz_t below, above;
    mpz_inits(below, above, NULL);
    mpz_fdiv_q(below, mpq_numref(value), mpq_denref(value));
    mpz_cdiv_q(above, mpq_numref(value), mpq_denref(value));
    bool up = how == NUMBER_UP;
    if (how == NUMBER_EVEN) {
        mpz_t twice, middle; /* value against the middle: 2 num against (below + above) den */
        mpz_inits(twice, middle, NULL);
        mpz_mul_2exp(twice, mpq_numref(value), 1);
        mpz_add(middle, below, above);
        mpz_mul(middle, middle, mpq_denref(value));
        int order = mpz_cmp(twice, middle);
        up = order > 0 || (order == 0 && mpz_odd_p(below));
        mpz_clears(twice, middle, NULL);
    }
    mpq_set_z(result, up ? above : below);
    mpz_clears(below, above, NULL);
}

static int sign_of(int value)
{
    return value < 0 ? -1 : value > 0;
}

/* number_decimal holds what the oracle's rounding holds, and writes it in the least digits. */
static void check_decimal(struct number a, mpq_t value, enum number_round how)
{
    unsigned places = (unsigned)random_below(8);
    bool rounded;
    const char *text = number_decimal(&arena, a, places, how, &rounded);
    mpq_t scale, wanted, got;
    mpq_inits(scale, wanted, got, NULL);
    mpz_ui_pow_ui(mpq_numref(scale), 10, places);
    mpq_mul(wanted, value, scale);
    bool exact = mpz_cmp_ui(mpq_denref(wanted), 1) == 0;
    round_oracle(wanted, wanted, how);
    mpq_div(wanted, wanted, scale);
    char *digits = malloc(strlen(text) + 1);
    assert_non_null(digits);
    const char *point = strchr(text, '.');
    size_t decimals = point != NULL ? strlen(point + 1) : 0;
    strcpy(digits, text);
    if (point != NULL) {
        memmove(digits + (point - text), point + 1, decimals + 1);
        assert_true(text[strlen(text) - 1] != '0');
    }
    assert_true(decimals <= places);
    assert_int_equal(mpz_set_str(mpq_numref(got), digits, 10), 0);
    mpz_ui_pow_ui(mpq_denref(got), 10, decimals);
    mpq_canonicalize(got);
    if (!mpq_equal(got, wanted) || rounded == exact || strcmp(text, "-0") == 0) {
        gmp_printf("%Qd to %u places: %s\n", value, places, text);
        fail();
    }
    free(digits);
    mpq_clears(scale, wanted, got, NULL);
}

struct oracle {
    mpq_t a, b, wanted;
};

static void check_rounding(struct number a, struct number b, struct oracle *oracle)
{
    enum number_round how = (enum number_round)random_below(3);
    round_oracle(oracle->wanted, oracle->a, how);
    check_equal(number_round_whole(&arena, a, how), oracle->wanted, "round to a whole");
    if (number_sign(b) > 0) {
        mpq_div(oracle->wanted, oracle->a, oracle->b);
        round_oracle(oracle->wanted, oracle->wanted, how);
        mpq_mul(oracle->wanted, oracle->wanted, oracle->b);
        check_equal(number_round_to(&arena, a, b, how), oracle->wanted, "round to a step");
    }
    if (random_below(8) == 0) {
        check_decimal(a, oracle->a, how);
    }
}

static void check_order(struct number a, struct number b, struct oracle *oracle)
{
    int order = sign_of(mpq_cmp(oracle->a, oracle->b));
    assert_int_equal(number_compare(&arena, a, b), order);
    assert_int_equal(number_equal(a, b), order == 0);
    assert_int_equal(number_sign(a), mpq_sgn(oracle->a));
    assert_int_equal(number_is_integer(a), mpz_cmp_ui(mpq_denref(oracle->a), 1) == 0);
    check_equal(number_least(&arena, a, b), order <= 0 ? oracle->a : oracle->b, "least");
    check_equal(number_greatest(&arena, a, b), order >= 0 ? oracle->a : oracle->b, "greatest");
    size_t bits = mpz_sizeinbase(mpq_denref(oracle->a), 2);
    bits += mpq_sgn(oracle->a) != 0 ? mpz_sizeinbase(mpq_numref(oracle->a), 2) : 0;
    assert_int_equal(number_bits(a), bits);
}

static void check_pair(struct number a, struct number b, uint64_t operation, struct oracle *oracle)
{
    set_oracle(oracle->a, a);
    set_oracle(oracle->b, b);
    switch (operation) {
    case 0:
        mpq_add(oracle->wanted, oracle->a, oracle->b);
        check_equal(number_add(&arena, a, b), oracle->wanted, "add");
        break;
    case 1:
        mpq_sub(oracle->wanted, oracle->a, oracle->b);
        check_equal(number_subtract(&arena, a, b), oracle->wanted, "subtract");
        mpq_neg(oracle->wanted, oracle->a);
        check_equal(number_negate(&arena, a), oracle->wanted, "negate");
        break;
    case 2:
        mpq_mul(oracle->wanted, oracle->a, oracle->b);
        check_equal(number_multiply(&arena, a, b), oracle->wanted, "multiply");
        break;
    case 3:
        if (mpq_sgn(oracle->b) != 0) {
            mpq_div(oracle->wanted, oracle->a, oracle->b);
            check_equal(number_divide(&arena, a, b), oracle->wanted, "divide");
        }
        break;
    case 4:
        check_order(a, b, oracle);
        break;
    default:
        check_rounding(a, b, oracle);
        break;
    }
}

/* Almost equal operands, where a comparison or a subtraction is most easily wrong. */
static struct number near_number(struct number a)
{
    struct number step = number_make(&arena, 1, INT64_MAX);
    return random_below(2) == 0 ? a : number_add(&arena, a, step);
}

static void test_against_gmp(void **state)
{
    (void)state;
    enum { CASES = 1000000 };
    struct oracle oracle;
    mpq_inits(oracle.a, oracle.b, oracle.wanted, NULL);
    size_t counts[6] = {0}, big = 0;
    struct arena_mark mark = arena_mark(&arena);
    for (size_t i = 0; i < CASES; i++) {
        uint64_t operation = random_below(6);
        struct number a = random_number();
        struct number b = random_below(20) == 0 ? near_number(a) : random_number();
        check_pair(a, b, operation, &oracle);
        counts[operation]++;
        big += a.den == 0 || b.den == 0;
        arena_release(&arena, mark);
    }
    mpq_clears(oracle.a, oracle.b, oracle.wanted, NULL);
    printf("%d cases: %zu add, %zu subtract, %zu multiply, %zu divide, %zu compare, %zu round; "
           "%zu with a big operand\n",
           CASES, counts[0], counts[1], counts[2], counts[3], counts[4], counts[5], big);
    assert_true(big > CASES / 10);
}

/* Every pair of edges as numerator and denominator, every operation: where 64 bits end. */
static void test_edges_against_gmp(void **state)
{
    (void)state;
    enum { EDGES = sizeof edges / sizeof edges[0] };
    struct oracle oracle;
    mpq_inits(oracle.a, oracle.b, oracle.wanted, NULL);
    struct arena_mark mark = arena_mark(&arena);
    size_t count = 0;
    for (size_t i = 0; i < EDGES * EDGES; i++) {
        for (size_t j = i % 7; j < EDGES * EDGES; j += 7) {
            if (edges[i % EDGES] == 0 || edges[j % EDGES] == 0) {
                continue;
            }
            struct number a = number_make(&arena, edges[i / EDGES], edges[i % EDGES]);
            struct number b = number_make(&arena, edges[j / EDGES], edges[j % EDGES]);
            check_pair(a, b, count++ % 6, &oracle);
            arena_release(&arena, mark);
        }
    }
    for (size_t i = 0; i < EDGES; i++) {
        for (size_t j = 0; j < EDGES; j++) {
            for (uint64_t operation = 0; operation < 6; operation++) {
                check_pair(NUMBER_INT(edges[i]), NUMBER_INT(edges[j]), operation, &oracle);
                count++;
            }
        }
    }
    mpq_clears(oracle.a, oracle.b, oracle.wanted, NULL);
    printf("%zu cases at the edges of 64 bits\n", count);
    assert_true(count > 20000);
}

/* ---- the largest numbers ------------------------------------------------------------- */

static size_t limbs_of(struct number a)
{
    return (number_bits(a) + 63) / 64;
}

/* A product of odd 64-bit parts whose numerator and denominator have `limbs` limbs each, or
 * one fewer where a leading limb came out short. */
static struct number huge_number(size_t limbs)
{
    struct number huge = NUMBER_INT(1);
    while (limbs_of(huge) < 2 * limbs) {
        int64_t num = INT64_MAX - (int64_t)random_below(1 << 20);
        int64_t den = INT64_MAX - (int64_t)random_below(1 << 20);
        huge = number_multiply(&arena, huge, number_make(&arena, num, den));
    }
    return huge;
}

static void test_huge_numbers_against_gmp(void **state)
{
    (void)state;
    struct oracle oracle;
    mpq_inits(oracle.a, oracle.b, oracle.wanted, NULL);
    struct arena_mark mark = arena_mark(&arena);
    size_t count = 0, largest = 0;
    for (size_t limbs = 2; limbs <= NUMBER_LIMBS / 2; limbs += limbs / 8 + 1) {
        struct number a = huge_number(limbs), b = huge_number(limbs);
        if (random_below(2) == 0) {
            a = number_negate(&arena, a);
        }
        for (uint64_t operation = 0; operation < 6; operation++) {
            check_pair(a, b, operation, &oracle);
            check_pair(a, NUMBER_INT(random_part()), operation, &oracle);
            check_pair(NUMBER_INT(random_part()), b, operation, &oracle);
            count += 3;
        }
        largest = limbs_of(a);
        arena_release(&arena, mark);
    }
    mpq_clears(oracle.a, oracle.b, oracle.wanted, NULL);
    printf("%zu cases, the largest operand of %zu limbs in both its parts\n", count, largest);
}

/* Squaring and adding end at NUMBER_LIMBS limbs a part, and there in an escape. */
static void test_too_big_escapes(void **state)
{
    (void)state;
    struct escape escape = {.status = STAVE_OK};
    struct arena_mark mark = arena_mark(&arena);
    arena.escape = &escape;
    static size_t bits; /* static: written between setjmp and longjmp */
    bits = 0;
    if (setjmp(escape.to) == 0) {
        struct number number = NUMBER_INT(3);
        for (int i = 0; i < 64; i++) {
            number = number_multiply(&arena, number, number);
            bits = number_bits(number);
        }
    }
    assert_int_equal(escape.status, STAVE_TOO_BIG);
    assert_true(bits > NUMBER_LIMBS * 64 / 2 && bits <= NUMBER_LIMBS * 64 + 1);
    arena_release(&arena, mark);
    escape.status = STAVE_OK;
    if (setjmp(escape.to) == 0) {
        struct number sum = NUMBER_ZERO;
        for (int64_t i = 0; i < 100000; i++) { /* denominators that share little */
            sum = number_add(&arena, sum, number_make(&arena, 1, INT64_MAX - i));
            bits = number_bits(sum);
        }
    }
    assert_int_equal(escape.status, STAVE_TOO_BIG);
    assert_true(bits > NUMBER_LIMBS * 64);
    arena.escape = &out;
}

static enum stave_status status_of_division(struct number a, struct number b)
{
    struct escape escape = {.status = STAVE_OK};
    arena.escape = &escape;
    if (setjmp(escape.to) == 0) {
        number_divide(&arena, a, b);
    }
    arena.escape = &out;
    return escape.status;
}

static void test_division_by_zero_gives_no_number(void **state)
{
    (void)state;
    assert_int_equal(status_of_division(NUMBER_INT(1), NUMBER_INT(2)), STAVE_OK);
    assert_int_equal(status_of_division(NUMBER_INT(1), NUMBER_ZERO), STAVE_TOO_BIG);
    assert_int_equal(status_of_division(huge_number(9), NUMBER_ZERO), STAVE_TOO_BIG);
}

static size_t gmp_allocations;

static void *count_allocation(size_t size)
{
    gmp_allocations++;
    return malloc(size);
}

static void *count_reallocation(void *block, size_t old_size, size_t size)
{
    (void)old_size;
    gmp_allocations++;
    return realloc(block, size);
}

static void free_allocation(void *block, size_t size)
{
    (void)size;
    free(block);
}

/* GMP would abort the host when its own allocation failed: up to the largest size that numbers
 * may have it must make none. */
static void test_gmp_takes_no_memory_of_its_own(void **state)
{
    (void)state;
    void *(*allocate)(size_t);
    void *(*reallocate)(void *, size_t, size_t);
    void (*release)(void *, size_t);
    mp_get_memory_functions(&allocate, &reallocate, &release);
    mp_set_memory_functions(count_allocation, count_reallocation, free_allocation);
    gmp_allocations = 0;
    struct arena_mark mark = arena_mark(&arena);
    static size_t count;
    count = 0;
    for (size_t limbs = 4; limbs <= NUMBER_LIMBS; limbs += 1 + limbs / 16) {
        struct number a = huge_number(limbs - 1), b = huge_number(limbs - 1);
        struct escape escape = {.status = STAVE_OK};
        arena.escape = &escape;
        for (volatile int operation = 0; operation < 7; operation++) {
            if (setjmp(escape.to) != 0) {
                continue; /* over the limit, after GMP's work was done */
            }
            switch (operation) {
            case 0:
                number_add(&arena, a, b);
                break;
            case 1:
                number_multiply(&arena, a, b);
                break;
            case 2:
                number_divide(&arena, a, b);
                break;
            case 3:
                number_compare(&arena, a, b);
                break;
            case 4:
                number_round_whole(&arena, a, NUMBER_EVEN);
                break;
            case 5:
                number_fraction(&arena, a);
                break;
            default:
                number_subtract(&arena, a, a);
                break;
            }
        }
        count += 7;
        arena.escape = &out;
        arena_release(&arena, mark);
    }
    mp_set_memory_functions(allocate, reallocate, release);
    assert_int_equal(gmp_allocations, 0);
    printf("%zu operations up to %d limbs without an allocation of GMP's\n", count, NUMBER_LIMBS);
}

/* ---- memory --------------------------------------------------------------------------- */

static void test_small_comparisons_take_no_memory(void **state)
{
    (void)state;
    struct fail_alloc memory = {0};
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    struct arena empty;
    arena_begin(&empty, &allocator, &out);
    struct number a = number_make(&empty, INT64_MAX, INT64_MAX - 1);
    struct number b = number_make(&empty, INT64_MIN, INT64_MAX);
    assert_int_equal(number_compare(&empty, a, b), 1);
    assert_int_equal(number_compare(&empty, b, a), -1);
    assert_int_equal(number_compare(&empty, a, a), 0);
    number_add(&empty, number_make(&empty, 1, 1000), number_make(&empty, 127, 5));
    assert_int_equal(memory.calls, 0);
    arena_end(&empty);
}

static void test_big_comparisons_give_back_their_memory(void **state)
{
    (void)state;
    struct number a = huge_number(100), b = huge_number(100);
    struct arena_mark before = arena_mark(&arena);
    for (int i = 0; i < 100; i++) {
        assert_int_equal(number_compare(&arena, a, b), -number_compare(&arena, b, a));
        struct arena_mark after = arena_mark(&arena);
        assert_ptr_equal(before.block, after.block);
        assert_ptr_equal(before.next, after.next);
    }
}

static void test_a_copy_outlives_its_arena(void **state)
{
    (void)state;
    struct arena other;
    arena_begin(&other, NULL, &out);
    struct number half = number_make(&other, 1, 2);
    struct number a = number_make(&other, INT64_MIN, 3);
    a = number_multiply(&other, a, a); /* 2^126 / 9 */
    struct number copy = number_copy(&arena, a), small = number_copy(&arena, half);
    assert_true(number_equal(a, copy));
    arena_end(&other);
    assert_string_equal(number_fraction(&arena, copy), "85070591730234615865843651857942052864/9");
    assert_string_equal(number_fraction(&arena, small), "1/2");
}

/* ---- reading ----------------------------------------------------------------------------- */

static void test_figures_that_are_read(void **state)
{
    (void)state;
    static const struct {
        const char *text, *fraction;
    } rows[] = {
        {"0", "0"},
        {"12", "12"},
        {"0.030", "3/100"},
        {"0.5", "1/2"},
        {"0.0", "0"},
        {"10.250", "41/4"},
        {"1/16", "1/16"},
        {"2/4", "1/2"},
        {"1 1/16", "17/16"},
        {"1 \t 1/16", "17/16"},
        {"0 1/2", "1/2"},
        {"127/128", "127/128"},
        {"999999999999999999", "999999999999999999"},
        {"0.00000000000000001", "1/100000000000000000"},
        {"1.00000000000000001", "100000000000000001/100000000000000000"},
        {"999999999999 127/128", "127999999999999/128"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_string_equal(number_fraction(&arena, read_figure(rows[i].text)), rows[i].fraction);
    }
}

static void test_figures_that_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        enum number_error error;
    } rows[] = {
        {"", NUMBER_NOT_ONE},
        {" 1", NUMBER_NOT_ONE},
        {"1 ", NUMBER_NOT_ONE},
        {"-1", NUMBER_NOT_ONE},
        {"+1", NUMBER_NOT_ONE},
        {".5", NUMBER_NOT_ONE},
        {"5.", NUMBER_NOT_ONE},
        {"010", NUMBER_NOT_ONE},
        {"00", NUMBER_NOT_ONE},
        {"00.5", NUMBER_NOT_ONE},
        {"0,020", NUMBER_NOT_ONE},
        {"1_000", NUMBER_NOT_ONE},
        {"1e3", NUMBER_NOT_ONE},
        {"0x10", NUMBER_NOT_ONE},
        {"1:30", NUMBER_NOT_ONE},
        {"1-1/16", NUMBER_NOT_ONE},
        {"1.5/16", NUMBER_NOT_ONE},
        {"1.5 1/16", NUMBER_NOT_ONE},
        {"1 1", NUMBER_NOT_ONE},
        {"1 /16", NUMBER_NOT_ONE},
        {"1/ 16", NUMBER_NOT_ONE},
        {"1/16/2", NUMBER_NOT_ONE},
        {"1 1 1/16", NUMBER_NOT_ONE},
        {"01/16", NUMBER_NOT_ONE},
        {"1/016", NUMBER_NOT_ONE},
        {"1/", NUMBER_NOT_ONE},
        {"/16", NUMBER_NOT_ONE},
        {"1..2", NUMBER_NOT_ONE},
        {"nan", NUMBER_NOT_ONE},
        {"\xD9\xA1", NUMBER_NOT_ONE}, /* an Arabic-Indic digit one */
        {"1000000000000000000", NUMBER_TOO_LONG},
        {"0.000000000000000001", NUMBER_TOO_LONG},
        {"9999999999999999999999999999999999999999", NUMBER_TOO_LONG},
        {"9999999999999 127/128", NUMBER_TOO_LONG},
        {"1/3", NUMBER_BAD_PARTS},
        {"1/1", NUMBER_BAD_PARTS},
        {"0/0", NUMBER_BAD_PARTS},
        {"1/0", NUMBER_BAD_PARTS},
        {"1/10", NUMBER_BAD_PARTS},
        {"1/256", NUMBER_BAD_PARTS},
        {"17/16", NUMBER_BAD_FRACTION},
        {"16/16", NUMBER_BAD_FRACTION},
        {"1 16/16", NUMBER_BAD_FRACTION},
        {"0/16", NUMBER_BAD_FRACTION},
        {"1 0/16", NUMBER_BAD_FRACTION},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct number number = NUMBER_INT(77);
        enum number_error error = number_read(&arena, rows[i].text, strlen(rows[i].text), &number);
        if (error != rows[i].error || !number_equal(number, NUMBER_ZERO)) {
            fail_msg("'%s' gave error %d and %s", rows[i].text, (int)error,
                     number_fraction(&arena, number));
        }
    }
    struct number number;
    assert_int_equal(number_read(&arena, "1\0002", 3, &number), NUMBER_NOT_ONE);
}

/* What was typed in decimals comes out as typed, but for trailing zeros. */
static void test_decimals_go_round(void **state)
{
    (void)state;
    enum { CASES = 20000 };
    struct arena_mark mark = arena_mark(&arena);
    for (int i = 0; i < CASES; i++) {
        unsigned places = 1 + (unsigned)random_below(9);
        uint64_t scale = 1;
        for (unsigned j = 0; j < places; j++) {
            scale *= 10;
        }
        uint64_t whole = random_below(100000000), decimals = random_below(scale);
        char text[40];
        int size = snprintf(text, sizeof text, "%llu.%0*llu", (unsigned long long)whole,
                            (int)places, (unsigned long long)decimals);
        struct number number = read_figure(text);
        while (text[size - 1] == '0') {
            text[--size] = '\0';
        }
        if (text[size - 1] == '.') {
            text[--size] = '\0';
        }
        bool rounded = true;
        assert_string_equal(number_decimal(&arena, number, 9, NUMBER_UP, &rounded), text);
        assert_false(rounded);
        arena_release(&arena, mark);
    }
    printf("%d decimal figures read and written\n", CASES);
}

static void test_decimals_are_rounded_and_say_so(void **state)
{
    (void)state;
    static const struct {
        int64_t num, den;
        unsigned places;
        enum number_round how;
        const char *text;
        bool rounded;
    } rows[] = {
        {1, 3, 3, NUMBER_DOWN, "0.333", true},     {1, 3, 3, NUMBER_UP, "0.334", true},
        {-1, 3, 3, NUMBER_DOWN, "-0.334", true},   {-1, 3, 3, NUMBER_UP, "-0.333", true},
        {-1, 3000, 2, NUMBER_UP, "0", true},       {-1, 3000, 2, NUMBER_DOWN, "-0.01", true},
        {1, 3000, 2, NUMBER_EVEN, "0", true},      {1999, 1000, 2, NUMBER_UP, "2", true},
        {1, 8, 3, NUMBER_DOWN, "0.125", false},    {1, 8, 2, NUMBER_EVEN, "0.12", true},
        {3, 8, 2, NUMBER_EVEN, "0.38", true},      {5, 2, 0, NUMBER_EVEN, "2", true},
        {1000, 1, 3, NUMBER_DOWN, "1000", false},  {0, 1, 6, NUMBER_DOWN, "0", false},
        {-5, 100, 6, NUMBER_DOWN, "-0.05", false}, {100, 1, 0, NUMBER_UP, "100", false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        bool rounded = !rows[i].rounded;
        struct number number = number_make(&arena, rows[i].num, rows[i].den);
        assert_string_equal(number_decimal(&arena, number, rows[i].places, rows[i].how, &rounded),
                            rows[i].text);
        assert_int_equal(rounded, rows[i].rounded);
    }
}

/* ---- published tables -------------------------------------------------------------------- */

/* ASTM E29, the rounding method (from memory, recomputed and consistent). */
static void test_rounding_method_of_e29(void **state)
{
    (void)state;
    static const struct {
        bool least; /* the limit is a minimum */
        const char *limit, *step, *observed, *rounded;
        bool conforms;
    } rows[] = {
        {true, "36000", "100", "35940", "35900", false},
        {true, "36000", "100", "35950", "36000", true},
        {true, "36000", "100", "35960", "36000", true},
        {true, "57", "1", "56.4", "56", false},
        {true, "57", "1", "56.5", "56", false},
        {true, "57", "1", "56.6", "57", true},
        {false, "40", "1", "40.4", "40", true},
        {false, "40", "1", "40.5", "40", true},
        {false, "40", "1", "40.6", "41", false},
        {false, "0.5", "0.1", "0.54", "0.5", true},
        {false, "0.5", "0.1", "0.55", "0.6", false},
        {false, "0.5", "0.1", "0.56", "0.6", false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct number rounded = number_round_to(&arena, read_figure(rows[i].observed),
                                                read_figure(rows[i].step), NUMBER_EVEN);
        assert_true(number_equal(rounded, read_figure(rows[i].rounded)));
        int order = number_compare(&arena, rounded, read_figure(rows[i].limit));
        assert_int_equal(rows[i].least ? order >= 0 : order <= 0, rows[i].conforms);
    }
}

/* ASTM E29-13, the absolute method (seen): any reading outside the limit, however little, fails. */
static void test_absolute_method_of_e29(void **state)
{
    (void)state;
    struct number limit = read_figure("40");
    assert_int_equal(number_compare(&arena, read_figure("40.0000000000000001"), limit), 1);
    assert_int_equal(number_compare(&arena, read_figure("40.4"), limit), 1);
    assert_int_equal(number_compare(&arena, read_figure("40"), limit), 0);
    assert_int_equal(number_compare(&arena, read_figure("39.9999999999999999"), limit), -1);
}

/* ISO 80000-1, annex B (from memory, recomputed and consistent): nearest, ties to even, once. */
static void test_rounding_of_iso_80000(void **state)
{
    (void)state;
    static const struct {
        const char *given, *step, *rounded;
    } rows[] = {
        {"12.223", "0.1", "12.2"}, {"12.251", "0.1", "12.3"}, {"12.275", "0.1", "12.3"},
        {"12.25", "0.1", "12.2"},  {"12.35", "0.1", "12.4"},  {"1225", "10", "1220"},
        {"1235", "10", "1240"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct number rounded = number_round_to(&arena, read_figure(rows[i].given),
                                                read_figure(rows[i].step), NUMBER_EVEN);
        assert_true(number_equal(rounded, read_figure(rows[i].rounded)));
    }
    /* Once only: 12.251 must not pass through 12.25 to 12.2 (the same source). */
    struct number twice =
        number_round_to(&arena, read_figure("12.251"), read_figure("0.01"), NUMBER_EVEN);
    twice = number_round_to(&arena, twice, read_figure("0.1"), NUMBER_EVEN);
    assert_true(number_equal(twice, read_figure("12.2"))); /* what rounding twice would give */
}

/* Every damage dimension is measured to the next higher tenth of an inch: Army
 * TM 1-1520-240-BD, chapter 2 (seen). */
static void test_rounding_up_to_a_tenth(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"0.41", "0.5"}, {"0.4", "0.4"}, {"0.4000001", "0.5"}, {"0", "0"}, {"1.99", "2"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct number rounded =
            number_round_to(&arena, read_figure(rows[i][0]), read_figure("0.1"), NUMBER_UP);
        assert_true(number_equal(rounded, read_figure(rows[i][1])));
    }
}

/* Abramowitz and Stegun, introduction, 4 (from memory, recomputed and consistent): linear
 * interpolation of x e^x E1(x) at 7.9527. */
static void test_interpolation_of_abramowitz_and_stegun(void **state)
{
    (void)state;
    struct number low = read_figure("7.9"), high = read_figure("8.0"), at = read_figure("7.9527");
    struct number from = read_figure("0.897174302"), to = read_figure("0.898237113");
    struct number part =
        number_divide(&arena, number_subtract(&arena, at, low), number_subtract(&arena, high, low));
    struct number rise = number_multiply(&arena, part, number_subtract(&arena, to, from));
    bool rounded;
    const char *value =
        number_decimal(&arena, number_add(&arena, from, rise), 9, NUMBER_EVEN, &rounded);
    assert_string_equal(value, "0.897734403");
    assert_true(rounded);
}

#define TEST(function) cmocka_unit_test_setup_teardown(function, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_against_gmp),
        TEST(test_edges_against_gmp),
        TEST(test_huge_numbers_against_gmp),
        TEST(test_too_big_escapes),
        TEST(test_division_by_zero_gives_no_number),
        TEST(test_gmp_takes_no_memory_of_its_own),
        TEST(test_small_comparisons_take_no_memory),
        TEST(test_big_comparisons_give_back_their_memory),
        TEST(test_a_copy_outlives_its_arena),
        TEST(test_figures_that_are_read),
        TEST(test_figures_that_are_refused),
        TEST(test_decimals_go_round),
        TEST(test_decimals_are_rounded_and_say_so),
        TEST(test_rounding_method_of_e29),
        TEST(test_absolute_method_of_e29),
        TEST(test_rounding_of_iso_80000),
        TEST(test_rounding_up_to_a_tenth),
        TEST(test_interpolation_of_abramowitz_and_stegun),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
