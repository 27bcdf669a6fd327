#include "base/unit.h"

#include <string.h>

#include "base/text.h"

/* ---- dimensions ------------------------------------------------------------- */

bool dimension_is_plain(struct dimension a)
{
    a.ratio = 0;
    return dimension_equal(a, (struct dimension){0});
}

/* Stays at the end of its range, so that a long product never comes round to another dimension. */
static int8_t add_exponents(int8_t a, int8_t b)
{
    int sum = a + b;
    return (int8_t)(sum > INT8_MAX ? INT8_MAX : sum < INT8_MIN ? INT8_MIN : sum);
}

struct dimension dimension_product(struct dimension a, struct dimension b)
{
    return (struct dimension){
        .length = add_exponents(a.length, b.length),
        .angle = add_exponents(a.angle, b.angle),
        .mass = add_exponents(a.mass, b.mass),
        .force = add_exponents(a.force, b.force),
        .hours = add_exponents(a.hours, b.hours),
        .days = add_exponents(a.days, b.days),
        .cycles = add_exponents(a.cycles, b.cycles),
        .ratio = a.ratio != 0 && b.ratio != 0, /* 10 % of a ratio is a ratio */
    };
}

static const struct {
    struct dimension dimension;
    const char *name;
} named_dimensions[] = {
    {{.length = 1}, "a length"},
    {{.length = 2}, "an area"},
    {{.angle = 1}, "an angle"},
    {{.mass = 1}, "a mass"},
    {{.force = 1}, "a force"},
    {{.length = 1, .force = 1}, "a torque"},
    {{.hours = 1}, "a time in service"},
    {{.days = 1}, "a calendar time"},
    {{.cycles = 1}, "a number of cycles"},
    {{0}, "a count"},
    {{.ratio = 1}, "a ratio"},
};

static void add_power(struct text *text, const char *name, int exponent)
{
    if (exponent == 0) {
        return;
    }
    text_add(text, text->size != 0 ? " x " : "");
    text_add(text, name);
    if (exponent != 1) {
        text_addf(text, "^%d", exponent);
    }
}

const char *dimension_name(struct arena *arena, struct dimension dimension)
{
    for (size_t i = 0; i < sizeof named_dimensions / sizeof named_dimensions[0]; i++) {
        if (dimension_equal(dimension, named_dimensions[i].dimension)) {
            return named_dimensions[i].name;
        }
    }
    struct text text;
    text_begin(&text, arena);
    add_power(&text, "length", dimension.length);
    add_power(&text, "angle", dimension.angle);
    add_power(&text, "mass", dimension.mass);
    add_power(&text, "force", dimension.force);
    add_power(&text, "hours", dimension.hours);
    add_power(&text, "days", dimension.days);
    add_power(&text, "cycles", dimension.cycles);
    add_power(&text, "ratio", dimension.ratio);
    return text_done(&text);
}

/* ---- the table ------------------------------------------------------------------ */

/*
 * Exact by definition (NIST SP 811, appendix B): in = 25.4 mm, ft = 12 in, thou = in/1000,
 * lb = 0.45359237 kg, oz = lb/16, lbf = 4.4482216152605 N. Factors are in lowest terms.
 */
/* Tables are kept in rows. */
/* clang-format off */
#define FACTOR(numerator, denominator) {.den = (denominator), .num = (numerator)}
#define LENGTH {.length = 1}
#define AREA {.length = 2}
#define ANGLE {.angle = 1}
#define MASS {.mass = 1}
#define FORCE {.force = 1}
#define TORQUE {.length = 1, .force = 1}

enum unit_index {
    IN, FT, THOU, MM, CM, M, UM,
    IN2, FT2, THOU2, MM2, CM2, M2, UM2,
    DEG, ARCMIN,
    LB, OZ, G, KG,
    LBF, N,
    LBF_IN, LBF_FT, N_M,
    H, MIN, DAY, CYCLE, PERCENT,
    UNIT_COUNT
};

static const struct unit units[UNIT_COUNT] = {
    [IN] = {"in", LENGTH, FACTOR(127, 5)},
    [FT] = {"ft", LENGTH, FACTOR(1524, 5)},
    [THOU] = {"thou", LENGTH, FACTOR(127, 5000)},
    [MM] = {"mm", LENGTH, FACTOR(1, 1)},
    [CM] = {"cm", LENGTH, FACTOR(10, 1)},
    [M] = {"m", LENGTH, FACTOR(1000, 1)},
    [UM] = {"µm", LENGTH, FACTOR(1, 1000)},
    [IN2] = {"in2", AREA, FACTOR(16129, 25)},
    [FT2] = {"ft2", AREA, FACTOR(2322576, 25)},
    [THOU2] = {"thou2", AREA, FACTOR(16129, 25000000)},
    [MM2] = {"mm2", AREA, FACTOR(1, 1)},
    [CM2] = {"cm2", AREA, FACTOR(100, 1)},
    [M2] = {"m2", AREA, FACTOR(1000000, 1)},
    [UM2] = {"µm2", AREA, FACTOR(1, 1000000)},
    [DEG] = {"deg", ANGLE, FACTOR(1, 1)},
    [ARCMIN] = {"arcmin", ANGLE, FACTOR(1, 60)},
    [LB] = {"lb", MASS, FACTOR(45359237, 100000000)},
    [OZ] = {"oz", MASS, FACTOR(45359237, 1600000000)},
    [G] = {"g", MASS, FACTOR(1, 1000)},
    [KG] = {"kg", MASS, FACTOR(1, 1)},
    [LBF] = {"lbf", FORCE, FACTOR(8896443230521, 2000000000000)},
    [N] = {"N", FORCE, FACTOR(1, 1)},
    [LBF_IN] = {"lbf·in", TORQUE, FACTOR(1129848290276167, 10000000000000)},
    [LBF_FT] = {"lbf·ft", TORQUE, FACTOR(3389544870828501, 2500000000000)},
    [N_M] = {"N·m", TORQUE, FACTOR(1000, 1)},
    [H] = {"h", {.hours = 1}, FACTOR(1, 1)},
    [MIN] = {"min", {.hours = 1}, FACTOR(1, 60)},
    [DAY] = {"day", {.days = 1}, FACTOR(1, 1)},
    [CYCLE] = {"cycle", {.cycles = 1}, FACTOR(1, 1)},
    [PERCENT] = {"%", {.ratio = 1}, FACTOR(1, 100)},
};

static const struct unit count_unit = {"", {0}, FACTOR(1, 1)};

/* The micro sign µ has two code points, U+00B5 and U+03BC, that look the same. */
#define MICRO "\xC2\xB5"
#define MU "\xCE\xBC"
#define SQUARED "\xC2\xB2"
#define DOT "\xC2\xB7"

/* All bytes behind a spelling are zero, so that eight are compared at once. */
#define SPELLING_ROOM 8

static const struct {
    char text[SPELLING_ROOM];
    enum unit_index unit;
} spellings[] = {
    {"in", IN}, {"ft", FT}, {"thou", THOU}, {"mm", MM}, {"cm", CM}, {"m", M},
    {"um", UM}, {MICRO "m", UM}, {MU "m", UM},
    {"in2", IN2}, {"in^2", IN2}, {"in" SQUARED, IN2},
    {"ft2", FT2}, {"ft^2", FT2}, {"ft" SQUARED, FT2},
    {"thou2", THOU2}, {"thou^2", THOU2}, {"thou" SQUARED, THOU2},
    {"mm2", MM2}, {"mm^2", MM2}, {"mm" SQUARED, MM2},
    {"cm2", CM2}, {"cm^2", CM2}, {"cm" SQUARED, CM2},
    {"m2", M2}, {"m^2", M2}, {"m" SQUARED, M2},
    {"um2", UM2}, {"um^2", UM2}, {"um" SQUARED, UM2},
    {MICRO "m2", UM2}, {MICRO "m^2", UM2}, {MICRO "m" SQUARED, UM2},
    {MU "m2", UM2}, {MU "m^2", UM2}, {MU "m" SQUARED, UM2},
    {"deg", DEG}, {"arcmin", ARCMIN},
    {"lb", LB}, {"oz", OZ}, {"g", G}, {"kg", KG},
    {"lbf", LBF}, {"N", N},
    {"lbf.in", LBF_IN}, {"lbf" DOT "in", LBF_IN}, {"lbf-in", LBF_IN},
    {"lbf.ft", LBF_FT}, {"lbf" DOT "ft", LBF_FT}, {"lbf-ft", LBF_FT},
    {"N.m", N_M}, {"N" DOT "m", N_M}, {"N-m", N_M},
    {"h", H}, {"min", MIN}, {"day", DAY}, {"days", DAY}, {"cycle", CYCLE}, {"cycles", CYCLE},
    {"%", PERCENT},
};

/* clang-format on */

/* Of all spellings. */
#define FIRST_BYTES "iftmcudaolgkNh%\xC2\xCE"

#define SPELLING_COUNT (sizeof spellings / sizeof spellings[0])

const struct unit *unit_find(const char *bytes, size_t size)
{
    if (size == 0 || size >= SPELLING_ROOM) {
        return NULL;
    }
    /* Most words are none, and few letters begin one. */
    if (!memchr(FIRST_BYTES, bytes[0], sizeof FIRST_BYTES - 1)) {
        return NULL;
    }
    char wanted[SPELLING_ROOM] = {0};
    memcpy(wanted, bytes, size);
    for (size_t i = 0; i < SPELLING_COUNT; i++) {
        if (memcmp(spellings[i].text, wanted, SPELLING_ROOM) == 0) {
            return spellings[i].text[size - 1] != '\0' ? &units[spellings[i].unit] : NULL;
        }
    }
    return NULL;
}

const struct unit *unit_none(void)
{
    return &count_unit;
}

const struct unit *unit_at(size_t index)
{
    return index < UNIT_COUNT ? &units[index] : NULL;
}

const char *unit_spelling_at(size_t index, const struct unit **unit)
{
    if (index >= SPELLING_COUNT) {
        return NULL;
    }
    if (unit != NULL) {
        *unit = &units[spellings[index].unit];
    }
    return spellings[index].text;
}

/* ---- quantities as text ------------------------------------------------------------- */

#define SHOWN_PLACES 6
#define SIGNIFICANT_LEAST 10000 /* the least number of five digits */

/* The fewest decimals that leave five significant digits. `figure` is not zero. */
static unsigned choose_places(struct arena *arena, struct number figure)
{
    struct number size = number_sign(figure) < 0 ? number_negate(arena, figure) : figure;
    unsigned places = 0;
    while (number_compare(arena, size, NUMBER_INT(SIGNIFICANT_LEAST)) < 0) {
        size = number_multiply(arena, size, NUMBER_INT(10));
        places++;
    }
    return places;
}

static const char *figure_text(struct arena *arena, struct number figure, enum number_round how,
                               bool *rounded)
{
    const char *text = number_decimal(arena, figure, SHOWN_PLACES, how, rounded);
    return *rounded ? number_decimal(arena, figure, choose_places(arena, figure), how, rounded)
                    : text;
}

/* "day" and "cycle" are shown as "days" and "cycles" but after exactly 1. */
static bool takes_plural(const struct unit *unit, const char *figure)
{
    return (unit == &units[DAY] || unit == &units[CYCLE]) && strcmp(figure, "1") != 0;
}

const char *quantity_text(struct arena *arena, struct number value, const struct unit *unit,
                          enum number_round how, bool *rounded)
{
    struct number figure = number_divide(arena, value, unit->factor);
    const char *text = figure_text(arena, figure, how, rounded);
    if (unit->name[0] == '\0') {
        return text;
    }
    return text_format(arena, "%s %s%s", text, unit->name, takes_plural(unit, text) ? "s" : "");
}
