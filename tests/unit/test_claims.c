/*
 * Claims on books whose every gap, dead line, idle condition and disorder is known, in words; the
 * declared gaps of transcribed books; exceptions; a host that stops; and two books held
 * against each other.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "stave.h"

/* ---- texts --------------------------------------------------------------------------------- */

#define TEXT_ROOM ((size_t)1 << 18)

static char file_bytes[2][TEXT_ROOM];
static size_t file_count;

static struct stave_text file_text(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        fail_msg("cannot open %s (run the tests from the top folder)", path);
    }
    char *bytes = file_bytes[file_count++ % 2];
    size_t size = fread(bytes, 1, TEXT_ROOM, file);
    fclose(file);
    return (struct stave_text){path, bytes, size};
}

static bool find_text(void *user, const char *from, const char *name, struct stave_text *found,
                      const char **why)
{
    static char path[100];
    (void)user;
    (void)from;
    (void)why;
    snprintf(path, sizeof path, "rules/%s", name);
    *found = file_text(path);
    return true;
}

static const struct stave_host host = {.find_text = find_text};

static stave_book *book_from(struct stave_text text)
{
    stave_book *book = NULL;
    if (stave_book_read(&host, &text, &book) != STAVE_OK) {
        size_t count;
        const struct stave_problem *problems = stave_book_problems(book, &count);
        fail_msg("%s:%u: %s", text.name, (unsigned)problems[0].at.line, problems[0].message);
    }
    return book;
}

#define HEAD                                                                                       \
    "stave 1\nbook B-1 \"test\"\nedition \"A\"\nfor model M-1\n"                                   \
    "scale\n    good \"go\"\n    watch \"go\" again within 50 h\n  no flight\n"                    \
    "    mend \"mend\"\n    shop \"send\"\n"                                                       \
    "part blade, 2 .. 4\n    axis station 0 in .. 50 in read to 0.25 in\n"                         \
    "    side camber, thrust\n"                                                                    \
    "zone inner on blade station 0 in .. 20 in\nzone outer on blade station 20 in .. 50 in\n"      \
    "measure depth 0 in .. 1 in read to 0.001 in\n"                                                \
    "measure left 0 mm .. 40 mm read up to 0.5 mm smaller is worse\n"                              \
    "observe wet levels dry, damp, soaked\n"                                                       \
    "kind dent on blade records depth, left, wet\n"
#define EXAMPLE "example \"any\"\n    blade 1 dent, depth 0 in\n    gives mend or shop\n"

static stave_book *book_of(const char *limits)
{
    static char bytes[2][8000];
    static int which;
    which = 1 - which;
    snprintf(bytes[which], sizeof bytes[which], "%s%s%s", HEAD, limits, EXAMPLE);
    return book_from((struct stave_text){"book", bytes[which], strlen(bytes[which])});
}

static stave_claims *claims_of(const stave_book *book)
{
    stave_claims *claims = NULL;
    assert_int_equal(stave_claims_make(&host, book, NULL, &claims), STAVE_OK);
    return claims;
}

/* The claim of a property whose subject begins so. */
static const struct stave_claim *find_claim(const stave_claims *claims,
                                            enum stave_property property, const char *subject)
{
    for (size_t i = 0; i < claims->claim_count; i++) {
        if (claims->claims[i].property == property &&
            strncmp(claims->claims[i].subject, subject, strlen(subject)) == 0) {
            return &claims->claims[i];
        }
    }
    fail_msg("no claim on '%s'", subject);
    return NULL;
}

static const struct stave_region *find_region(const struct stave_claim *claim,
                                              const char *described)
{
    for (size_t r = 0; r < claim->region_count; r++) {
        if (strcmp(claim->regions[r].described, described) == 0) {
            return &claim->regions[r];
        }
    }
    for (size_t r = 0; r < claim->region_count; r++) {
        print_message("  %s\n", claim->regions[r].described);
    }
    fail_msg("no region '%s'", described);
    return NULL;
}

/* ---- claims ------------------------------------------------------------------------------------ */

static void test_gaps_in_words(void **unused)
{
    (void)unused;
    stave_book *book = book_of("limit dent on inner\n"
                               "    watch depth below 0.030 in, any left, any wet\n"
                               "    shop depth over 0.030 in\n"
                               "zone far on blade station over 20 in .. below 45 in camber\n"
                               "limit dent on far\n    otherwise shop\n");
    stave_claims *claims = claims_of(book);
    const struct stave_claim *claim = find_claim(claims, STAVE_CLAIM_TOTAL, "dent on inner");
    assert_int_equal(claim->answer, STAVE_REFUTED);
    assert_int_equal(claim->region_count, 1);
    const struct stave_region *region = find_region(claim, "dent on inner, depth exactly 0.03 in");
    assert_true(region->whole);
    assert_string_equal(region->witness,
                        "blade 1 dent at station 10 in camber, depth 0.03 in, left 40 mm, wet dry");
    assert_string_equal(region->found[0], "no published limit");
    assert_string_equal(region->lines[0].text, "");
    claim = find_claim(claims, STAVE_CLAIM_TOTAL, "dent on blade: every place");
    assert_int_equal(claim->answer, STAVE_REFUTED);
    find_region(claim, "dent on blade, station over 20 in and below 45 in, thrust");
    find_region(claim, "dent on blade, station at least 45 in");
    assert_int_equal(claim->region_count, 2);
    stave_claims_free(claims);
    stave_book_free(book);
}

static void test_dead_lines_and_idle_conditions(void **unused)
{
    (void)unused;
    stave_book *book = book_of("limit dent on inner, outer\n"
                               "    good depth up to 0.1 in, left at least 0 mm, any wet\n"
                               "    watch depth up to 0.05 in, any left, wet up to damp\n"
                               "    mend depth up to 0.5 in, left at least 10 mm\n"
                               "    mend depth up to 0.5 in\n"
                               "    otherwise shop\n");
    stave_claims *claims = claims_of(book);
    assert_int_equal(find_claim(claims, STAVE_CLAIM_LINE, "watch")->answer, STAVE_REFUTED);
    assert_int_equal(find_claim(claims, STAVE_CLAIM_LINE, "good")->answer, STAVE_PROVED);
    assert_int_equal(find_claim(claims, STAVE_CLAIM_CONDITION, "depth up to 0.1")->answer,
                     STAVE_PROVED);
    assert_int_equal(find_claim(claims, STAVE_CLAIM_CONDITION, "left at least 0 mm")->answer,
                     STAVE_REFUTED); /* its range excludes all else */
    assert_int_equal(find_claim(claims, STAVE_CLAIM_CONDITION, "left at least 10 mm")->answer,
                     STAVE_REFUTED); /* the next line gives the same */
    assert_int_equal(claims->refuted, 3);
    stave_claims_free(claims);
    stave_book_free(book);
}

static void test_order_in_each_worse_direction(void **unused)
{
    (void)unused;
    stave_book *book = book_of("limit dent on inner\n"
                               "    mend depth at least 0.2 in\n    otherwise shop\n"
                               "limit dent on outer\n"
                               "    mend left up to 5 mm, wet is damp\n    otherwise shop\n");
    stave_claims *claims = claims_of(book);
    const struct stave_claim *claim = find_claim(claims, STAVE_CLAIM_ORDERLY, "depth of dent");
    assert_int_equal(claim->answer, STAVE_REFUTED);
    assert_string_equal(claim->regions[0].witness,
                        "blade 1 dent at station 10 in camber, depth 0 in, left 40 mm, wet dry");
    assert_string_equal(claim->regions[0].witness_after,
                        "blade 1 dent at station 10 in camber, depth 0.2 in, left 40 mm, wet dry");
    assert_string_equal(claim->regions[0].found[0], "shop");
    assert_string_equal(claim->regions[0].found[1], "mend");
    assert_int_equal(find_claim(claims, STAVE_CLAIM_ORDERLY, "left of dent")->answer,
                     STAVE_REFUTED);
    assert_int_equal(find_claim(claims, STAVE_CLAIM_ORDERLY, "wet of dent")->answer, STAVE_REFUTED);
    assert_int_equal(find_claim(claims, STAVE_CLAIM_ORDERLY, "extent of dent")->answer,
                     STAVE_PROVED);
    stave_claims_free(claims);
    /* The same where another limit is always worse: nothing gets better. */
    stave_book_free(book);
    book = book_of("limit dent on inner\n    mend depth at least 0.2 in\n    otherwise shop\n"
                   "limit dent on blade\n    otherwise shop\n");
    claims = claims_of(book);
    assert_int_equal(find_claim(claims, STAVE_CLAIM_ORDERLY, "depth of dent")->answer,
                     STAVE_PROVED);
    assert_int_equal(find_claim(claims, STAVE_CLAIM_OVERLAP, "dent on inner and on blade")->answer,
                     STAVE_NOTED);
    stave_claims_free(claims);
    stave_book_free(book);
}

static void test_a_gap_that_only_wide_damage_falls_into(void **unused)
{
    (void)unused;
    stave_book *book = book_of("curve rise along station\n    0 in 0.1 in\n    50 in 0.5 in\n"
                               "limit dent on blade\n"
                               "    mend depth up to rise\n    shop depth over rise\n");
    stave_claims *claims = claims_of(book);
    const struct stave_claim *claim = find_claim(claims, STAVE_CLAIM_TOTAL, "dent on blade");
    for (size_t i = 0; i < claims->claim_count; i++) {
        if (claims->claims[i].property == STAVE_CLAIM_TOTAL && claims->claims[i].region_count) {
            claim = &claims->claims[i];
        }
    }
    assert_int_equal(claim->answer, STAVE_REFUTED);
    assert_int_equal(claim->region_count, 1);
    assert_false(claim->regions[0].whole);
    assert_string_equal(claim->regions[0].found[0], "no published limit");
    assert_non_null(strstr(claim->regions[0].witness, " .. "));
    stave_claims_free(claims);
    stave_book_free(book);
}

static void test_exceptions(void **unused)
{
    (void)unused;
    stave_book *book =
        book_of("limit dent on inner exception \"the source skips 0.03 in\"\n"
                "    mend depth below 0.030 in\n    shop depth over 0.030 in\n"
                "limit dent on outer\n"
                "    mend depth up to 0.1 in  exception \"nothing is wrong with it\"\n"
                "    mend depth up to 0.05 in exception \"kept as it is printed\"\n"
                "    shop depth over 0.1 in\n");
    stave_claims *claims = claims_of(book);
    const struct stave_claim *claim = find_claim(claims, STAVE_CLAIM_TOTAL, "dent on inner");
    assert_int_equal(claim->answer, STAVE_REFUTED);
    assert_string_equal(claim->exception, "the source skips 0.03 in");
    claim = find_claim(claims, STAVE_CLAIM_LINE, "mend depth up to 0.05 in");
    assert_int_equal(claim->answer, STAVE_REFUTED);
    assert_string_equal(claim->exception, "kept as it is printed");
    assert_int_equal(find_claim(claims, STAVE_CLAIM_EXCEPTION, "dent on inner")->answer,
                     STAVE_PROVED);
    assert_int_equal(find_claim(claims, STAVE_CLAIM_EXCEPTION, "mend depth up to 0.05")->answer,
                     STAVE_PROVED);
    assert_int_equal(find_claim(claims, STAVE_CLAIM_EXCEPTION, "mend depth up to 0.1 in")->answer,
                     STAVE_REFUTED);
    stave_claims_free(claims);
    stave_book_free(book);
}

/* A disorder is excused only where each of its regions is. */
static void test_half_an_excuse_is_none(void **unused)
{
    (void)unused;
    static const char *const LIMITS[4] = {
        "limit dent on inner\n    mend depth at least 0.2 in exception \"meant\"\n    otherwise shop\n"
        "limit dent on outer\n    mend depth at least 0.3 in\n    otherwise shop\n",
        "limit dent on inner\n    mend depth at least 0.2 in exception \"meant\"\n    otherwise shop\n"
        "limit dent on outer\n    mend depth at least 0.3 in exception \"too\"\n    otherwise shop\n",
        /* The other by company that gets less. */
        "limit dent on inner\n    mend depth at least 0.2 in exception \"meant\"\n    otherwise shop\n"
        "limit dent on outer\n    mend any depth, no more than 1 of dent with depth up to 0.1 in on a blade\n"
        "    otherwise shop\n",
        "limit dent on inner\n    mend depth at least 0.2 in exception \"meant\"\n    otherwise shop\n"
        "limit dent on outer exception \"too\"\n"
        "    mend any depth, no more than 1 of dent with depth up to 0.1 in on a blade\n    otherwise shop\n"};
    for (int which = 0; which < 4; which++) {
        int both = which % 2;
        stave_book *book = book_of(LIMITS[which]);
        stave_claims *claims = claims_of(book);
        const struct stave_claim *claim = find_claim(claims, STAVE_CLAIM_ORDERLY, "depth of dent");
        assert_int_equal(claim->answer, STAVE_REFUTED);
        assert_int_equal(claim->exception[0] != '\0', both);
        assert_int_equal(claims->refuted, both ? 0 : 1);
        stave_claims_free(claims);
        stave_book_free(book);
    }
}

/* ---- the damage's own company ---------------------------------------------------------------------- */

/* A claim on a book whose limits, with what else they need, are these. */
struct own_row {
    const char *limits;
    enum stave_property property;
    const char *subject;
    enum stave_answer answer;
};

#define OTHERWISE "    otherwise shop\n"
#define DENT "limit dent on blade\n    mend "

static const struct own_row OWN_ROWS[] = {
    /* Worse damage leaves the filter that it was counted by. */
    {DENT "depth up to 0.5 in, no more than 1 of dent with depth up to 0.1 in on a blade\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_REFUTED},
    {DENT "depth up to 0.5 in, no more than 0 of dent with depth below 0.1 in on the propeller\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_REFUTED},
    {DENT "depth up to 0.5 in, total depth of dent with depth up to 0.1 in on a blade up to 0.3 in\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_REFUTED},
    {DENT "depth up to 0.5 in, largest depth of dent with depth up to 0.2 in on a blade up to 0.1 in\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_REFUTED},
    {DENT "depth up to 0.5 in, no more than 0 of dent with wet is damp on a blade\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "wet of dent", STAVE_REFUTED},
    {DENT "depth up to 0.5 in, no more than 1 of dent with depth up to 0.1 in on a blade, "
          "total depth of dent with depth up to 0.1 in on a blade up to 0.15 in\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_REFUTED},
    /* It leaves by one, no more: the one that it is. */
    {DENT "depth up to 0.5 in, no more than 0 of dent with depth up to 0.1 in on a blade, "
          "no more than 1 of dent on a blade\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_REFUTED},
    /* Smaller is worse, and what is added up grows smaller. */
    {DENT "left at least 2 mm, largest left of dent on a blade up to 20 mm\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "left of dent", STAVE_REFUTED},
    {DENT "left at least 2 mm, total left of dent on a blade up to 30 mm\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "left of dent", STAVE_REFUTED},
    {DENT "left at least 2 mm, no more than 1 of dent with left at least 10 mm on a side\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "left of dent", STAVE_REFUTED},
    /* A pair is no longer asked about: found, and no two lines that show it. */
    {DENT "depth up to 0.5 in, apart from dent by 1 in where depth together up to 0.2 in\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_NOT_PROVED},
    /* It never leaves, or only where the line no longer holds, or is of another kind. */
    {DENT "depth up to 0.5 in, no more than 1 of dent with depth over 0.1 in on a blade\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_PROVED},
    {DENT "depth up to 0.1 in, no more than 1 of dent with depth up to 0.1 in on a blade\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_PROVED},
    {DENT "depth up to 0.5 in, total depth of dent on a blade up to 0.6 in\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_PROVED},
    {DENT "left at least 2 mm, no more than 1 of dent with left below 10 mm on a side\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "left of dent", STAVE_PROVED},
    {DENT "depth up to 0.5 in, apart from dent by 3 in where depth together over 0.2 in\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_PROVED},
    {"kind pit on blade records depth\nlimit pit on blade no published limit\n" DENT
     "depth up to 0.5 in, no more than 1 of pit with depth up to 0.1 in on a blade\n" OTHERWISE,
     STAVE_CLAIM_ORDERLY, "depth of dent", STAVE_PROVED},
    /* What it adds itself can be too much for a line. */
    {DENT "any depth, no more than 0 of dent on a blade\n" OTHERWISE, STAVE_CLAIM_LINE,
     "mend any depth, no more", STAVE_REFUTED},
    {DENT "any depth, no more than 1 of dent on a blade\n" OTHERWISE, STAVE_CLAIM_LINE,
     "mend any depth, no more", STAVE_PROVED},
    {DENT "any depth, no more than 0 of dent with depth over 0.1 in on a blade\n" OTHERWISE,
     STAVE_CLAIM_LINE, "mend any depth, no more", STAVE_PROVED},
    {DENT "depth over 0.1 in, no more than 0 of dent with depth over 0.1 in on a blade\n" OTHERWISE,
     STAVE_CLAIM_LINE, "mend depth over", STAVE_REFUTED},
    {DENT "depth over 0.1 in, total depth of dent on a blade below 0.1 in\n" OTHERWISE,
     STAVE_CLAIM_LINE, "mend depth over", STAVE_REFUTED},
    {DENT "depth over 0.1 in, no more than 0 of dent with wet is damp on a blade\n" OTHERWISE,
     STAVE_CLAIM_LINE, "mend depth over", STAVE_PROVED},
    {"limit dent on inner, outer\n    mend any depth, no more than 0 of dent on inner\n" OTHERWISE,
     STAVE_CLAIM_LINE, "mend any depth", STAVE_PROVED},
    {"limit dent on inner\n    mend any depth, no more than 0 of dent on inner\n" OTHERWISE,
     STAVE_CLAIM_LINE, "mend any depth", STAVE_REFUTED},
    /* A condition that what it adds itself, or a count beside it, makes idle. */
    {DENT "depth up to 0.1 in, total depth of dent on a blade up to 0.1 in\n" OTHERWISE,
     STAVE_CLAIM_CONDITION, "depth up to 0.1 in", STAVE_REFUTED},
    {DENT "any depth, no more than 2 of dent on the propeller, no more than 3 of dent on a blade\n" OTHERWISE,
     STAVE_CLAIM_CONDITION, "no more than 3 of dent on a blade", STAVE_REFUTED},
    {DENT "any depth, no more than 3 of dent on the propeller, no more than 2 of dent on a blade\n" OTHERWISE,
     STAVE_CLAIM_CONDITION, "no more than 2 of dent on a blade", STAVE_PROVED},
    {DENT "any depth, no more than 2 of dent on a blade, no more than 3 of dent on the propeller\n" OTHERWISE,
     STAVE_CLAIM_CONDITION, "no more than 3 of dent on the propeller", STAVE_PROVED},
    {DENT "any depth, no more than 2 of dent with depth over 0.1 in on a blade, no more than 3 of dent on a blade\n" OTHERWISE,
     STAVE_CLAIM_CONDITION, "no more than 3 of dent on a blade", STAVE_PROVED},
    {"kind pit on blade records depth\nlimit pit on blade no published limit\n" DENT
     "any depth, no more than 2 of dent on a blade, no more than 3 of dent, pit on a blade\n" OTHERWISE,
     STAVE_CLAIM_CONDITION, "no more than 3 of dent, pit on a blade", STAVE_PROVED},
    {DENT "any depth, no more than 2 of dent within any 5 in along station, "
          "no more than 3 of dent within any 2 in along station\n" OTHERWISE,
     STAVE_CLAIM_CONDITION, "no more than 3 of dent within any 2 in", STAVE_REFUTED},
    {DENT "any depth, no more than 2 of dent within any 2 in along station, "
          "no more than 3 of dent within any 5 in along station\n" OTHERWISE,
     STAVE_CLAIM_CONDITION, "no more than 3 of dent within any 5 in", STAVE_PROVED},
};

/* Two findings among the same others, of which the second gets the better outcome. */
static void check_shown(const struct stave_claim *claim)
{
    const struct stave_region *region = &claim->regions[0];
    const char *first = strrchr(region->witness, '\n'), *after = strrchr(region->witness_after, '\n');
    size_t others = first ? (size_t)(first - region->witness) : 0;
    assert_true(region->witness[0] != '\0');
    assert_int_equal(others, after ? (size_t)(after - region->witness_after) : 0);
    assert_memory_equal(region->witness, region->witness_after, others);
    assert_string_not_equal(region->witness, region->witness_after);
    assert_true(region->outcomes[1] < region->outcomes[0]);
}

static void test_a_damage_is_in_its_own_company(void **unused)
{
    (void)unused;
    for (size_t i = 0; i < sizeof OWN_ROWS / sizeof *OWN_ROWS; i++) {
        const struct own_row *row = &OWN_ROWS[i];
        stave_book *book = book_of(row->limits);
        stave_claims *claims = claims_of(book);
        const struct stave_claim *claim = find_claim(claims, row->property, row->subject);
        if (claim->answer != row->answer) {
            fail_msg("%s: %s: answer %d, %s", row->limits, row->subject, (int)claim->answer,
                     claim->reason);
        }
        if (row->property == STAVE_CLAIM_ORDERLY && row->answer == STAVE_REFUTED) {
            assert_true(claim->region_count > 0);
            check_shown(claim);
        }
        if (row->answer == STAVE_NOT_PROVED) {
            assert_true(claim->reason[0] != '\0');
        }
        stave_claims_free(claims);
        stave_book_free(book);
    }
}

/* ---- transcribed books ----------------------------------------------------------------------------- */

static const struct stave_claim *declared(const stave_claims *claims, const char *subject)
{
    const struct stave_claim *found = NULL;
    for (size_t i = 0; i < claims->claim_count; i++) {
        const struct stave_claim *claim = &claims->claims[i];
        if (claim->property == STAVE_CLAIM_TOTAL && strcmp(claim->subject, subject) == 0) {
            found = claim;
        }
    }
    assert_non_null(found);
    assert_int_equal(found->answer, STAVE_PROVED);
    for (size_t r = 0; r < found->region_count; r++) {
        assert_string_equal(found->regions[r].declared, "otherwise no published limit");
        assert_string_equal(found->regions[r].found[0], "no published limit");
    }
    return found;
}

static void test_published_gaps(void **unused)
{
    (void)unused;
    /* Army TM 1-1520-238-23-2, para 2.103.4 a (seen): exactly 20 %, exactly 50 % and several
     * mixed cases fall in no class. */
    stave_book *book = book_from(file_text("rules/published/t4-skin-corrosion.stave"));
    stave_claims *claims = claims_of(book);
    const struct stave_claim *claim = declared(claims, "corrosion on panel");
    assert_int_equal(claim->region_count, 5);
    find_region(claim, "corrosion on panel, thinned exactly 20 %");
    find_region(claim, "corrosion on panel, thinned exactly 50 %");
    find_region(claim, "corrosion on panel, thinned below 20 %, spread over 25 %");
    find_region(claim, "corrosion on panel, thinned over 20 % and below 50 %, spread over 25 %");
    find_region(claim, "corrosion on panel, thinned over 50 %, spread up to 50 %");
    stave_claims_free(claims);
    stave_book_free(book);
    /* Same, para 2.103.5 a (seen): exactly 10 % is in no class. */
    book = book_from(file_text("rules/published/t5-structural-corrosion.stave"));
    claims = claims_of(book);
    claim = declared(claims, "corrosion on section");
    find_region(claim, "corrosion on section, thinned exactly 10 %");
    find_region(claim, "corrosion on section, thinned over 10 %, spread exactly 50 %");
    stave_claims_free(claims);
    stave_book_free(book);
    /* Army TM 55-2840-251-23, para 2-4-1 (seen): over 0.100 in without underside erosion, and up
     * to it with: the text does not say. */
    book = book_from(file_text("rules/published/t3-compressor-blade.stave"));
    claims = claims_of(book);
    claim = declared(claims, "erosion on outer");
    assert_int_equal(claim->region_count, 2);
    find_region(claim, "erosion on outer, loss over 0.1 in, underside no");
    find_region(claim, "erosion on outer, loss up to 0.1 in, underside yes");
    stave_claims_free(claims);
    stave_book_free(book);
}

static void test_our_books_are_clean(void **unused)
{
    (void)unused;
    static const char *const PATHS[] = {
        "rules/field-composite.stave",
        "rules/field-aluminium.stave",
        "rules/published/t1-abrasion-strip.stave",
        "rules/published/t2-rotor-blade.stave",
        "rules/published/t3-compressor-blade.stave",
        "rules/published/t4-skin-corrosion.stave",
        "rules/published/t5-structural-corrosion.stave",
        "rules/published/t6-composite-classes.stave",
        "rules/published/t7-fasteners.stave",
        "rules/published/t8-spacing.stave",
    };
    for (size_t i = 0; i < sizeof PATHS / sizeof *PATHS; i++) {
        stave_book *book = book_from(file_text(PATHS[i]));
        stave_claims *claims = claims_of(book);
        if (claims->refuted || claims->not_proved) {
            fail_msg("%s: %zu refuted, %zu not proved", PATHS[i], claims->refuted,
                     claims->not_proved);
        }
        assert_true(claims->proved > 10);
        stave_claims_free(claims);
        stave_book_free(book);
    }
}

/* ---- the host ------------------------------------------------------------------------------------------ */

struct asked {
    size_t calls, stop_at, last;
};

static bool count_and_stop(void *user, size_t done, size_t all, const char *next)
{
    struct asked *asked = user;
    assert_true(done <= all && next[0]);
    assert_true(asked->calls == 0 || done > asked->last);
    asked->last = done;
    return ++asked->calls != asked->stop_at;
}

static void test_the_host_can_stop(void **unused)
{
    (void)unused;
    stave_book *book = book_from(file_text("rules/field-composite.stave"));
    struct asked asked = {0};
    struct stave_proving how = {.progress = count_and_stop, .user = &asked};
    stave_claims *claims = NULL;
    assert_int_equal(stave_claims_make(&host, book, &how, &claims), STAVE_OK);
    assert_false(claims->stopped);
    size_t calls = asked.calls, all = claims->claim_count;
    stave_claims_free(claims);
    asked = (struct asked){.stop_at = calls / 2};
    assert_int_equal(stave_claims_make(&host, book, &how, &claims), STAVE_OK);
    assert_true(claims->stopped);
    assert_int_equal(asked.calls, calls / 2);
    assert_true(claims->proved > 10 && claims->not_proved > 10 && claims->claim_count + 1 >= all);
    for (size_t i = 0; i < claims->claim_count; i++) {
        assert_true(claims->claims[i].answer != STAVE_NOT_PROVED ||
                    strcmp(claims->claims[i].reason, "stopped") == 0);
    }
    stave_claims_free(claims);
    stave_book_free(book);
}

static void test_too_much_work_is_not_proved(void **unused)
{
    (void)unused;
    stave_book *book = book_from(file_text("rules/field-composite.stave"));
    struct stave_proving how = {.effort = 3};
    stave_claims *claims = NULL;
    assert_int_equal(stave_claims_make(&host, book, &how, &claims), STAVE_OK);
    assert_int_equal(claims->refuted, 0); /* never a guess */
    assert_true(claims->not_proved > 10);
    stave_claims_free(claims);
    stave_book_free(book);
}

/* ---- two books ------------------------------------------------------------------------------------------- */

static stave_compared *compare(const stave_book *first, const stave_book *second,
                               const struct stave_renamed *renamed, size_t count)
{
    stave_compared *compared = NULL;
    assert_int_equal(stave_compare(&host, first, second, renamed, count, NULL, &compared),
                     STAVE_OK);
    return compared;
}

static void test_a_book_is_the_same_as_itself(void **unused)
{
    (void)unused;
    stave_book *book = book_from(file_text("rules/field-composite.stave"));
    /* With a name to map the ladders are walked, not only held against each other. */
    static const struct stave_renamed renamed[] = {{"nobody-calls-it-this", "nor-this"}};
    for (size_t count = 0; count < 2; count++) {
        stave_compared *compared = compare(book, book, renamed, count);
        assert_int_equal(compared->answer, STAVE_PROVED);
        assert_int_equal(compared->unlike_count + compared->contrast_count, 0);
        stave_compared_free(compared);
    }
    stave_book_free(book);
}

#define LADDER(figure)                                                                             \
    "limit dent on blade\n    good depth up to " figure ", any left, any wet\n    otherwise shop\n"

static void test_stricter_and_looser(void **unused)
{
    (void)unused;
    stave_book *first = book_of(LADDER("0.1 in"));
    stave_book *second = book_of(LADDER("0.12 in"));
    for (int turned = 0; turned < 2; turned++) {
        stave_compared *compared =
            turned ? compare(second, first, NULL, 0) : compare(first, second, NULL, 0);
        assert_int_equal(compared->answer, STAVE_REFUTED);
        assert_int_equal(compared->contrast_count, 1);
        const struct stave_contrast *contrast = &compared->contrasts[0];
        assert_int_equal(contrast->direction, turned ? STAVE_STRICTER : STAVE_LOOSER);
        assert_true(contrast->flight_changes && contrast->region.whole);
        assert_string_equal(contrast->region.described,
                            "dent on blade, depth over 0.1 in and up to 0.12 in");
        assert_string_equal(contrast->region.found[turned], "shop");
        assert_string_equal(contrast->region.found[1 - turned], "good");
        stave_compared_free(compared);
    }
    stave_book_free(first);
    stave_book_free(second);
}

/* Readings rounded in two ways are held against each other reading by reading. */
static void test_rounding_is_compared(void **unused)
{
    (void)unused;
    static char bytes[2][4000];
    stave_book *books[2];
    for (int i = 0; i < 2; i++) {
        snprintf(bytes[i], sizeof bytes[i],
                 "stave 1\nbook B-1 \"test\"\nedition \"A\"\nfor model M-1\n"
                 "scale\n    good \"go\"\n  no flight\n    shop \"send\"\npart hub\n"
                 "measure long 0 in .. 10 in read up to %s\nkind crack on hub records long\n"
                 "limit crack on hub\n    good long up to 2 in\n    otherwise shop\n"
                 "example \"any\"\n    hub crack, long 0 in\n    gives good\n",
                 i ? "0.3 in" : "0.5 in");
        books[i] = book_from((struct stave_text){"book", bytes[i], strlen(bytes[i])});
    }
    /* Up to 2 in by halves: all up to 2 in. By 0.3 in: 1.8 in rounds to itself, and all above to 2.1 in. */
    stave_compared *compared = compare(books[0], books[1], NULL, 0);
    assert_int_equal(compared->answer, STAVE_REFUTED);
    assert_int_equal(compared->unlike_count, 1);
    assert_string_equal(compared->unlike[0].what, "measure long");
    assert_int_equal(compared->stricter, 1);
    assert_int_equal(compared->looser, 0);
    stave_compared_free(compared);
    for (int i = 0; i < 2; i++) {
        stave_book_free(books[i]);
    }
}

static void test_renamed(void **unused)
{
    (void)unused;
    static char bytes[2][4000];
    stave_book *books[2];
    for (int i = 0; i < 2; i++) {
        snprintf(bytes[i], sizeof bytes[i],
                 "stave 1\nbook B-1 \"test\"\nedition \"A\"\nfor model M-1\n"
                 "scale\n    good \"go\"\n  no flight\n    %s \"send\"\n"
                 "part %s\n    axis %s 0 in .. 10 in\n    side %s\n"
                 "measure %s 0 in .. 10 in\nobserve %s one of %s\n"
                 "kind %s on %s records %s, %s\n"
                 "curve most along %s\n    0 in 1 in\n    10 in 3 in\n"
                 "limit %s on %s\n    good %s up to most, %s is %s\n    otherwise %s\n"
                 "example \"any\"\n    %s %s at %s 1 in, %s 0 in\n    gives good or %s\n",
                 i ? "depot" : "shop", i ? "arm" : "hub", i ? "run" : "way",
                 i ? "back, front" : "front-side, back-side", i ? "span" : "long",
                 i ? "run-of-it" : "lie", i ? "cross, straight" : "along-it, across",
                 i ? "split" : "crack", i ? "arm" : "hub", i ? "span" : "long",
                 i ? "run-of-it" : "lie", i ? "run" : "way", i ? "split" : "crack",
                 i ? "arm" : "hub", i ? "span" : "long", i ? "run-of-it" : "lie",
                 i ? "straight" : "along-it", i ? "depot" : "shop", i ? "arm" : "hub",
                 i ? "split" : "crack", i ? "run" : "way", i ? "span" : "long",
                 i ? "depot" : "shop");
        books[i] = book_from((struct stave_text){"book", bytes[i], strlen(bytes[i])});
    }
    static const struct stave_renamed renamed[] = {
        {"shop", "depot"},     {"hub", "arm"},    {"way", "run"},       {"front-side", "front"},
        {"back-side", "back"}, {"long", "span"},  {"lie", "run-of-it"}, {"along-it", "straight"},
        {"across", "cross"},   {"crack", "split"}};
    stave_compared *compared = compare(books[0], books[1], renamed, 10);
    assert_int_equal(compared->contrast_count, 0);
    assert_int_equal(compared->claim_count, 1);
    assert_int_equal(compared->claims[0].answer, STAVE_PROVED);
    stave_compared_free(compared);
    /* One value mapped to the wrong one: where they differ, each book gets its own words. */
    compared = compare(books[0], books[1], renamed, 7);
    assert_int_not_equal(compared->answer, STAVE_PROVED);
    stave_compared_free(compared);
    for (int i = 0; i < 2; i++) {
        stave_book_free(books[i]);
    }
}

static void test_misuse(void **unused)
{
    (void)unused;
    stave_claims *claims = NULL;
    stave_compared *compared = NULL;
    assert_int_equal(stave_claims_make(&host, NULL, NULL, &claims), STAVE_MISUSE);
    assert_int_equal(stave_compare(&host, NULL, NULL, NULL, 0, NULL, &compared), STAVE_MISUSE);
    stave_claims_free(NULL);
    stave_compared_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_gaps_in_words),
        cmocka_unit_test(test_dead_lines_and_idle_conditions),
        cmocka_unit_test(test_order_in_each_worse_direction),
        cmocka_unit_test(test_a_gap_that_only_wide_damage_falls_into),
        cmocka_unit_test(test_exceptions),
        cmocka_unit_test(test_half_an_excuse_is_none),
        cmocka_unit_test(test_a_damage_is_in_its_own_company),
        cmocka_unit_test(test_published_gaps),
        cmocka_unit_test(test_our_books_are_clean),
        cmocka_unit_test(test_the_host_can_stop),
        cmocka_unit_test(test_too_much_work_is_not_proved),
        cmocka_unit_test(test_a_book_is_the_same_as_itself),
        cmocka_unit_test(test_stricter_and_looser),
        cmocka_unit_test(test_rounding_is_compared),
        cmocka_unit_test(test_renamed),
        cmocka_unit_test(test_misuse),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
