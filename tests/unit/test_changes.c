/* What changed between two books as they are written; words renamed; records read anew. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "stave.h"

/* A small book with what each test puts into it. */
static stave_book *book_of(const char *edition, const char *zone, const char *curve,
                           const char *ladder)
{
    char text[4000];
    int size = snprintf(text, sizeof text,
                        "stave 1\n"
                        "book BX-1\n"
                        "    edition \"%s\"\n"
                        "    for model BX-1\n"
                        "scale\n"
                        "    good \"fly\"\n"
                        "    watch \"fly, look again\" again within 50 h\n"
                        "  no flight\n"
                        "    bad \"repair\"\n"
                        "part blade, 2 .. 4\n"
                        "    axis station 0 in .. 40 in\n"
                        "search blade \"all of it\"\n"
                        "%s\n"
                        "measure depth 0 in .. 1 in read to 0.001 in\n"
                        "kind gouge on blade records depth\n"
                        "curve deep along station\n"
                        "%s\n"
                        "%s\n"
                        "example \"at the root\"\n"
                        "    blade 1 gouge at station 0 in\n"
                        "    gives good with depth 0.010 in\n",
                        edition, zone, curve, ladder);
    assert_in_range(size, 1, sizeof text - 1);
    struct stave_text given = {edition, text, (size_t)size};
    stave_book *book = NULL;
    enum stave_status status = stave_book_read(NULL, &given, &book);
    if (status != STAVE_OK) {
        size_t count;
        const struct stave_problem *problems = stave_book_problems(book, &count);
        fail_msg("%s: %s", edition, count ? problems[0].message : stave_status_text(status));
    }
    return book;
}

#define ZONE "zone all on blade station 0 in .. 40 in"
#define CURVE "    0 in 0.010 in\n    40 in 0.050 in"
#define LADDER                                                                                      \
    "limit gouge on all\n    good depth up to deep\n    watch depth up to 0.060 in\n    otherwise " \
    "bad"

static stave_changes *changes_of(const stave_book *first, const stave_book *second,
                                 const struct stave_renamed *renamed, size_t count)
{
    stave_changes *changes = NULL;
    assert_int_equal(stave_changes_make(NULL, first, second, renamed, count, &changes), STAVE_OK);
    return changes;
}

/* "0.010 in" and "10 thou", order within a list, blanks and comments: the same. */
static void form_is_no_change(void **state)
{
    (void)state;
    stave_book *first = book_of("A", ZONE, CURVE, LADDER);
    stave_book *second = book_of("B", "zone   all on blade   station 0 .. 40 in   # the whole",
                                 "    0 in 10 thou\n\n    40 in 1.27 mm",
                                 "limit gouge on all\n   good    depth up to deep   # the figure\n"
                                 "   watch   depth up to 0.06 in\n   otherwise bad");
    stave_changes *changes = changes_of(first, second, NULL, 0);
    assert_int_equal(changes->amendment_count, 0);
    assert_int_equal(changes->reversal_count, 0);
    assert_int_equal(changes->asked, 2);
    stave_changes_free(changes);
    stave_book_free(first);
    stave_book_free(second);
}

static void figures_and_lines(void **state)
{
    (void)state;
    stave_book *first = book_of("A", ZONE, CURVE, LADDER);
    stave_book *second =
        book_of("B", ZONE, "    0 in 0.009 in\n    20 in 0.02 in\n    40 in 0.050 in",
                "limit gouge on all\n    good depth up to deep\n"
                "    otherwise bad");
    stave_changes *changes = changes_of(first, second, NULL, 0);
    assert_int_equal(changes->amendment_count, 3);
    const struct stave_amendment *point = &changes->amendments[0];
    assert_int_equal(point->change, STAVE_CHANGED);
    assert_true(point->figures_only);
    assert_string_equal(point->sort, "curve");
    assert_string_equal(point->lines[0], "0 in 0.010 in");
    assert_string_equal(point->lines[1], "0 in 0.009 in");
    assert_int_equal(point->line[0], 17);
    assert_int_equal(point->line[1], 17);
    assert_int_equal(changes->amendments[1].change, STAVE_ADDED);
    assert_int_equal(changes->amendments[1].line[0], 0);
    assert_int_equal(changes->amendments[1].line[1], 18);
    assert_int_equal(changes->amendments[2].change, STAVE_REMOVED);
    assert_string_equal(changes->amendments[2].lines[0], "watch depth up to 0.060 in");
    /* One example that stands in both comes out otherwise, and is told once. */
    assert_int_equal(changes->reversal_count, 1);
    assert_int_equal(changes->reversals[0].owner, 0);
    assert_string_equal(changes->reversals[0].own, "good");
    assert_string_equal(changes->reversals[0].other, "bad");
    stave_changes_free(changes);
    stave_book_free(first);
    stave_book_free(second);
}

static void names(void **state)
{
    (void)state;
    stave_book *first = book_of("A", ZONE, CURVE, LADDER);
    stave_book *second =
        book_of("B", "zone whole on blade station 0 in .. 40 in", CURVE,
                "limit gouge on whole\n    good depth up to deep\n    watch depth up to 0.060 in\n"
                "    otherwise bad");
    stave_changes *changes = changes_of(first, second, NULL, 0);
    assert_int_equal(changes->amendment_count, 4); /* zone and limit, gone and new */
    assert_int_equal(changes->amendments[0].change, STAVE_REMOVED);
    assert_string_equal(changes->amendments[0].alike, "whole");
    assert_string_equal(changes->amendments[1].alike, ""); /* a limit has no one name */
    stave_changes_free(changes);
    const struct stave_renamed renamed = {"all", "whole"};
    changes = changes_of(first, second, &renamed, 1);
    assert_int_equal(changes->amendment_count, 2);
    assert_int_equal(changes->amendments[0].change, STAVE_RENAMED);
    assert_string_equal(changes->amendments[0].names[1], "whole");
    stave_changes_free(changes);
    stave_book_free(first);
    stave_book_free(second);
}

/* ---- records --------------------------------------------------------------------------------- */

static const char record_text[] = "propeller: P-1\nmodel: BX-1\nbook: BX-1 A\naircraft: none\n"
                                  "inspector: nobody\ndate: 2026-11-25\nhours: 10 h\nblades: 2\n"
                                  "searched: [blade 1, blade 2]\nfindings:\n"
                                  "  - blade 1 gouge at station 0 in, depth 0.010 in\n"
                                  "end: 1 findings\n";

static const char *code_of(const stave_record *record)
{
    size_t count;
    const struct stave_problem *problems = stave_record_problems(record, &count);
    return count ? problems[0].code : "";
}

/* A record of an edition is read by another only where that one is handed over with it. */
static void records_anew(void **state)
{
    (void)state;
    stave_book *first = book_of("A", ZONE, CURVE, LADDER);
    stave_book *second = book_of("B", ZONE, "    0 in 0.009 in\n    40 in 0.050 in", LADDER);
    const struct stave_text text = {"r.yaml", record_text, sizeof record_text - 1};
    stave_record *record = NULL;
    assert_int_equal(stave_record_read(NULL, second, &text, &record), STAVE_PROBLEMS);
    assert_string_equal(code_of(record), "other-edition");
    stave_record_free(record);
    /* Not by naming a book that did not make it either. */
    assert_int_equal(stave_record_read_anew(NULL, second, second, NULL, 0, &text, &record),
                     STAVE_PROBLEMS);
    assert_string_equal(code_of(record), "other-edition");
    stave_record_free(record);
    assert_int_equal(stave_record_read_anew(NULL, second, first, NULL, 0, &text, &record),
                     STAVE_OK);
    stave_verdict *verdict = NULL;
    assert_int_equal(stave_assess(NULL, record, &verdict), STAVE_OK);
    assert_string_equal(verdict->book->scale[verdict->outcome].name, "watch");
    bool said = false;
    for (size_t i = 0; i < verdict->caution_count; i++) {
        said = said || strstr(verdict->cautions[i], "made by BX-1 A and is judged anew by BX-1 B");
    }
    assert_true(said);
    stave_verdict_free(verdict);
    stave_record_free(record);
    stave_book_free(first);
    stave_book_free(second);
}

static void misuse(void **state)
{
    (void)state;
    stave_book *book = book_of("A", ZONE, CURVE, LADDER);
    stave_changes *changes = NULL;
    stave_record *record = NULL;
    const struct stave_text text = {"r.yaml", record_text, sizeof record_text - 1};
    assert_int_equal(stave_changes_make(NULL, NULL, book, NULL, 0, &changes), STAVE_MISUSE);
    assert_int_equal(stave_changes_make(NULL, book, book, NULL, 1, &changes), STAVE_MISUSE);
    assert_int_equal(stave_record_read_anew(NULL, book, NULL, NULL, 0, &text, &record),
                     STAVE_MISUSE);
    stave_changes_free(NULL);
    stave_book_free(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(form_is_no_change),
        cmocka_unit_test(figures_and_lines),
        cmocka_unit_test(names),
        cmocka_unit_test(records_anew),
        cmocka_unit_test(misuse),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
