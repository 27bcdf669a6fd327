/* What a book may not ask of damage in numbers and of growth: one fault each, and its code. */
#include "plan_session.h"

static const char head[] = "stave 1\n"
                           "book B-1 \"test\"\n"
                           "edition \"A\"\n"
                           "for model M-1\n"
                           "scale\n"
                           "    good \"continue\"\n"
                           "  no flight\n"
                           "    shop \"send it\"\n"
                           "part blade, 2 .. 4\n"
                           "    axis station 0 in .. 50 in\n"
                           "    axis chord 0 % .. 100 %\n"
                           "    side camber, thrust\n"
                           "part cuff, 2 .. 4\n"
                           "    axis across 0 in .. 5 in\n"
                           "    axis along-it 0 in .. 5 in\n"
                           "zone tip on blade station 40 in .. 50 in\n"
                           "zone rim on cuff across 4 in .. 5 in\n"
                           "measure length 0 in .. 40 in\n"
                           "measure width 0 in .. 10 in\n"
                           "measure rock 0 deg .. 10 deg\n"
                           "observe holed yes or no\n"
                           "observe lie one of spanwise, slanted\n"
                           "reckon rest as length - width\n"
                           "curve deep along station\n"
                           "    0 in 1 in\n"
                           "    50 in 2 in\n"
                           "kind gouge on blade records length, width, holed\n"
                           "kind scuff on blade\n"
                           "kind wear on cuff records length\n"
                           "limit scuff on blade no published limit\n";

/* A condition of a gouge on a blade; code NULL: it is good. */
static const struct {
    const char *condition, *code;
} conditions[] = {
    {"no more than 3 of gouge, scuff on a blade", NULL},
    {"no more than 3 of any kind on the propeller", NULL},
    {"no more than 3 of gouge with length over 1 in and below 2 in and holed on tip", NULL},
    {"no more than 3 of gouge within any 3 ft along station", NULL},
    {"total length of gouge on a side below 3 in + 0.5 * width", NULL},
    {"largest width of gouge on blade up to 2 in", NULL},
    {"apart from gouge by 3 * larger length where length together over 1 in", NULL},
    {"apart from gouge along chord by 10 %", NULL},
    {"not facing gouge or scuff", NULL},
    {"length grown by up to 0.1 in, width grown since first seen by below 1 in", NULL},
    {"first seen", NULL},
    {"no more than 2.5 of gouge on a blade", "no-count"},
    {"no more than 3 in of gouge on a blade", "syntax"},
    {"no more than 3 of gouje on a blade", "unknown-name"},
    {"no more than 3 of gouge, gouge on a blade", "duplicate-name"},
    {"no more than 3 of gouge", "syntax"},
    {"no more than 3 of gouge on every blade", "scope"},
    {"no more than 3 of gouge on a cuff", "scope"},
    {"no more than 3 of gouge on rim", "scope"},
    {"no more than 3 of gouge on nowhere", "unknown-name"},
    {"no more than 3 of gouge within any 3 deg along station", "dimension"},
    {"no more than 3 of gouge within any 3 in along across", "unknown-name"},
    {"no more than 3 of scuff with length over 1 in on a blade", "not-recorded"},
    {"no more than 3 of any kind with length over 1 in on a blade", "not-recorded"},
    {"no more than 3 of gouge with length over 1 deg on a blade", "dimension"},
    {"no more than 3 of gouge with length over width on a blade", "wrong-form"},
    {"no more than 3 of gouge with length over deep on a blade", "wrong-form"},
    {"no more than 3 of gouge with lie is spanwise on a blade", "not-recorded"},
    {"no more than 3 of gouge with length on a blade", "wrong-form"},
    {"no more than 3 of gouge with length over 5 in and length below 3 in on a blade", "wrong-form"},
    {"no more than 3 of gouge with length over 5 in and length up to 5 in on a blade", "wrong-form"},
    {"no more than 3 of gouge with length up to 127 mm and length over 5 in on a blade", "wrong-form"},
    {"no more than 3 of gouge with length at least 5 in and length up to 5 in on a blade", NULL},
    {"no more than 3 of gouge with length over 3 in and length below 5 in on a blade", NULL},
    {"total length of gouge on a blade up to 3 deg", "dimension"},
    {"total length of gouge on a blade at least 3 in", "wrong-form"},
    {"total rest of gouge on a blade up to 3 in", "wrong-form"},
    {"total deep of gouge on a blade up to 3 in", "wrong-form"},
    {"total rock of gouge on a blade up to 3 deg", "not-recorded"},
    {"total length of scuff on a blade up to 3 in", "not-recorded"},
    {"apart from gouge by 3 deg", "dimension"},
    {"apart from gouge by 3 * length", "wrong-form"},
    {"apart from gouge by 3 * larger deep", "wrong-form"},
    {"apart from gouge by 3 * larger rock", "dimension"},
    {"apart from scuff by 3 * larger length", "not-recorded"},
    {"apart from gouge along across by 3 in", "unknown-name"},
    {"apart from gouge by 3 in where length together over 1 deg", "dimension"},
    {"apart from gouge by 0 in", "wrong-form"},
    {"apart from gouge by 0 * larger length", "wrong-form"},
    {"apart from gouge by the lesser of 1 in and (0 * larger length)", "wrong-form"},
    {"apart from gouge by 1 in - 2 in", "wrong-form"},
    {"no more than 3 of wear on the propeller", NULL},
    {"no more than 3 of wear on a blade", "not-on-part"},
    {"no more than 3 of gouge, wear on tip", "not-on-part"},
    {"no more than 3 of wear within any 3 in along station", "not-on-part"},
    {"total length of wear on a blade up to 3 in", "not-on-part"},
    {"apart from wear by 3 in", "not-on-part"},
    {"not facing gouge or wear", "not-on-part"},
    {"length up to larger width", "wrong-form"},
    {"length grown by up to 1 deg", "dimension"},
    {"rock grown by up to 1 deg", "not-recorded"},
    {"holed grown by up to 1 in", "wrong-name"},
};

static void check(const char *text, const char *code)
{
    struct session session;
    session_begin(&session);
    if (setjmp(session.escape.to)) {
        fail_msg("escaped with status %d", (int)session.escape.status);
    }
    bool good = session_read(&session, text);
    if (good != !code || (code && strcmp(session_error(&session)->code, code) != 0)) {
        fail_msg("%s: %s instead of %s", strrchr(text, '@') ? text : strstr(text, "limit gouge"),
                 good ? "no error" : session_error(&session)->code, code ? code : "none");
    }
    arena_end(&session.arena);
}

static void test_conditions(void **state)
{
    static char text[8192];
    (void)state;
    for (size_t i = 0; i < sizeof conditions / sizeof conditions[0]; i++) {
        snprintf(text, sizeof text,
                 "%slimit wear on cuff no published limit\n"
                 "limit gouge on blade\n    good at any size, %s\n    otherwise shop\n",
                 head, conditions[i].condition);
        check(text, conditions[i].code);
    }
    printf("%zu conditions\n", sizeof conditions / sizeof conditions[0]);
}

static size_t out_of_range_warnings(const char *text)
{
    struct session session;
    static size_t warnings; /* outlives the longjmp */
    session_begin(&session);
    if (setjmp(session.escape.to)) {
        fail_msg("escaped with status %d", (int)session.escape.status);
    }
    assert_true(session_read(&session, text));
    warnings = 0;
    for (size_t p = 0; p < session.book->problems.count; p++) {
        warnings += strcmp(session.book->problems.items[p].code, "beyond-range") == 0;
    }
    arena_end(&session.arena);
    return warnings;
}

/* A slip in a filter's figure would count nobody, or all: a figure out of range is warned of. */
static void test_filter_range(void **state)
{
    static const struct {
        const char *filter;
        bool warned;
    } filters[] = {
        {"length over 40.1 in", true},    {"length up to 40.1 in", true},
        {"length over 1 m", false},       {"length over 1.1 m", true},
        {"length over 40 in", false},     {"width below 1 in", false},
        {"width at least 10.5 in", true},
    };
    static char text[8192];
    (void)state;
    for (size_t i = 0; i < sizeof filters / sizeof filters[0]; i++) {
        snprintf(text, sizeof text,
                 "%slimit wear on cuff no published limit\nlimit gouge on blade\n"
                 "    good at any size, no more than 3 of gouge with %s on a blade\n"
                 "    otherwise shop\n",
                 head, filters[i].filter);
        assert_int_equal(out_of_range_warnings(text), filters[i].warned);
    }
}

/* Nothing passes by silence, in company too. */
static void test_silence(void **state)
{
    static char text[8192];
    static const char *const silent[] = {
        "no more than 1 of gouge on a blade, any width, any holed",
        "total length of gouge on a blade up to 1 in, any width, any holed",
        "length grown by up to 0 in, any width, any holed",
        "first seen, any width, any holed",
    };
    (void)state;
    for (size_t i = 0; i < sizeof silent / sizeof silent[0]; i++) {
        snprintf(text, sizeof text,
                 "%slimit wear on cuff no published limit\n"
                 "limit gouge on blade\n    good %s\n    otherwise shop\n",
                 head, silent[i]);
        check(text, "silent");
    }
}

/* A part with two length axes, a check, and damage that goes through. */
static void test_places(void **state)
{
    static const struct {
        const char *lines, *code;
    } books[] = {
        {"limit wear on cuff\n    good any length, apart from wear along across by 1 in\n"
         "    otherwise shop\n",
         NULL},
        {"limit wear on cuff\n    good any length, apart from wear by 1 in\n    otherwise shop\n",
         "no-axis"},
        {"limit wear on cuff\n    good any length, not facing wear\n    otherwise shop\n", "scope"},
        {"limit wear on cuff\n    good any length, no more than 1 of wear on a side\n"
         "    otherwise shop\n",
         "scope"},
        {"check twist on blade records rock\n    good rock up to 1 deg,"
         " no more than 2 of gouge on a blade\n    otherwise shop\n",
         NULL},
        {"check twist on blade records rock\n    good rock up to 1 deg,"
         " no more than 2 of gouge within any 1 in along station\n    otherwise shop\n",
         "no-place"},
        {"check twist on blade records rock\n    good rock up to 1 deg, apart from gouge by 1 in\n"
         "    otherwise shop\n",
         "no-place"},
        {"kind hole on blade records holed\n    each side where holed\n"
         "limit hole on blade no published limit\n",
         NULL},
        {"kind hole on blade records holed\n    each side where holed\n"
         "zone one-face on blade camber\nlimit hole on one-face no published limit\n",
         "some-sides"},
        {"kind hole on blade records holed\n    each side where holed\n"
         "zone one-face on blade camber\nzone elsewhere on blade outside one-face\n"
         "limit hole on elsewhere no published limit\n",
         "some-sides"},
        {"kind hole on blade records length\n    each side where holed\n"
         "limit hole on blade no published limit\n",
         "each-side"},
        {"kind hole on blade records lie\n    each side where lie\n"
         "limit hole on blade no published limit\n",
         "each-side"},
        {"kind hole on cuff records holed\n    each side where holed\n"
         "limit hole on cuff no published limit\n",
         "each-side"},
    };
    static char text[8192];
    (void)state;
    for (size_t i = 0; i < sizeof books / sizeof books[0]; i++) {
        snprintf(text, sizeof text, "%slimit gouge on blade no published limit\n%s", head,
                 books[i].lines);
        check(text, books[i].code);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_conditions),
        cmocka_unit_test(test_filter_range),
        cmocka_unit_test(test_silence),
        cmocka_unit_test(test_places),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
