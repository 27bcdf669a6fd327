/*
 * src/book: texts that use texts, the sizes that are allowed, hostile books, and memory.
 */
#include "book_bench.h"
#include "fail_alloc.h"

/* ---- texts that use texts ------------------------------------------------------------------- */

#define TEXT(name, bytes)                                                                          \
    {                                                                                              \
        name, bytes, sizeof bytes - 1                                                              \
    }

static void check_uses(const char *text, const struct stave_text *texts, size_t count,
                       const char *expected, size_t sources)
{
    struct shelf shelf = {texts, count, 0};
    struct bench bench;
    const struct book *book = read_sized(&bench, text, strlen(text), &shelf);

    assert_string_equal(told(&bench, 0), expected);
    assert_int_equal(book->source_count, sources);
    done(&bench);
}

#define MAIN_HEAD "stave 1\nbook B\n    edition \"A\"\n    for model M\n"

static void test_used_texts_are_joined(void **state)
{
    static const struct stave_text texts[] = {
        TEXT("scale", "stave 1\nuse \"parts\"\nscale\n    fine\n  no flight\n    scrap\n"),
        TEXT("parts", "stave 1\npart hub\nkind crack on hub\nexample \"e\"\n    hub crack\n"
                      "    gives scrap\n"),
    };

    (void)state;
    check_uses(MAIN_HEAD "use \"scale\"\nuse \"parts\"\nlimit crack on hub\n    otherwise scrap\n",
               texts, 2, "", 3);
}

/* By its name, and by its bytes under another name. */
static void test_text_by_two_roads_is_read_once(void **state)
{
    static const struct stave_text texts[] = {
        TEXT("scale", "stave 1\nscale\n    fine\n  no flight\n    scrap\n"),
        TEXT("left", "stave 1\nuse \"scale\"\nuse \"./scale\"\npart hub\n"),
        TEXT("./scale", "stave 1\nscale\n    fine\n  no flight\n    scrap\n"),
    };

    (void)state;
    check_uses(MAIN_HEAD "use \"scale\"\nuse \"left\"\nuse \"left\"\n", texts, 3, "", 3);
}

static void test_missing_text(void **state)
{
    static const struct stave_text texts[] = {
        TEXT("left", "stave 1\nuse \"gone\"\n"),
    };

    (void)state;
    /* with a text missing, no name is called unknown and nothing is called missing */
    check_uses(MAIN_HEAD "use \"left\"\nlimit crack on hub\n    otherwise scrap\n", texts, 1,
               "left:2:5+6 missing-text: cannot read 'gone'\n"
               "  not on the shelf\n",
               2);
    check_uses(MAIN_HEAD "use \"left\"\n", NULL, 0,
               "5:5+6 missing-text: cannot read 'left'\n"
               "  not on the shelf\n",
               1);
}

static void test_circular_use(void **state)
{
    static const struct stave_text texts[] = {
        TEXT("left", "stave 1\nuse \"right\"\nscale\n    fine\n  no flight\n    scrap\n"),
        TEXT("right", "stave 1\n# back again\nuse \"left\"\n"),
        TEXT("self", "stave 1\nuse \"self\"\nscale\n    fine\n  no flight\n    scrap\n"),
    };

    (void)state;
    check_uses(MAIN_HEAD "use \"left\"\n", texts, 3,
               "right:3:5+6 circular-use: circular use: 'left' leads here by its own 'use' lines\n"
               "  take this line out\n",
               3);
    check_uses(MAIN_HEAD "use \"self\"\n", texts, 3,
               "self:2:5+6 circular-use: text 'self' uses itself\n"
               "  take this line out\n",
               2);
}

static void test_faults_in_used_texts(void **state)
{
    static const struct stave_text texts[] = {
        TEXT("scale", "stave 1\nbook C\n    edition \"A\"\n    for model M\n"
                      "scale\n    fine\n  no flight\n    scrap\npart hub\n"),
        TEXT("bad", "stave 1\npart hub\nscale\n    good\n  no flight\n    bad-one\n"),
        TEXT("latin", "stave 1\n# caf\xe9\n"),
    };

    (void)state;
    check_uses(MAIN_HEAD "use \"scale\"\nuse \"bad\"\n", texts, 3,
               "scale:2:1+6 head-in-used-text: 'book' head in a text that another uses\n"
               "  a common file has no head: only the book itself does\n"
               "bad:2:6+3 duplicate-name: part 'hub' is declared twice\n"
               "  scale:9:6+3 declared here\n"
               "bad:3:1+5 duplicate-scale: second scale: a book has one\n"
               "  scale:5:1+5 first here\n",
               3);
    {
        struct shelf shelf = {texts, 3, 0};
        struct bench bench;
        const struct book *book = read_sized(&bench, MAIN_HEAD "use \"latin\"\n",
                                             strlen(MAIN_HEAD "use \"latin\"\n"), &shelf);

        assert_int_equal(book->problems.count, 1);
        assert_string_equal(book->problems.items[0].at.text_name, "latin");
        assert_int_equal(book->problems.items[0].at.line, 2);
        done(&bench);
    }
}

/* Each text uses the next: a host that never ends. */
static bool find_endless(void *user, const char *from, const char *name, struct stave_text *found,
                         const char **why)
{
    char(*texts)[64] = user;
    unsigned long number = strtoul(name, NULL, 10);

    (void)from;
    (void)why;
    snprintf(texts[number], sizeof texts[number], "stave 1\nuse \"%lu\"\n", number + 1);
    *found = (struct stave_text){name, texts[number], strlen(texts[number])};
    return true;
}

static void test_endless_use(void **state)
{
    static const char text[] = MAIN_HEAD "use \"0\"\n";
    static char texts[64][64];
    struct stave_text given = TEXT("book", text);
    struct bench bench = {0};

    (void)state;
    arena_begin(&bench.arena, NULL, &bench.escape);
    if (setjmp(bench.escape.to))
        fail();
    bench.book = book_check(&bench.arena, &given, find_endless, texts);
    assert_string_equal(told(&bench, 0),
                        "30:2:5+4 too-many: too many texts: a book rests on at most 256, "
                        "32 deep\n");
    done(&bench);
}

/* ---- sizes ------------------------------------------------------------------------------------ */

/* The common book and `what` with %u numbered from 0, `times` times, then `after`. */
static void check_size(const char *before, const char *what, unsigned times, const char *after,
                       const char *expected)
{
    struct arena arena;
    struct escape escape;
    struct text text;
    struct bench bench;
    unsigned i;

    arena_begin(&arena, NULL, &escape);
    if (setjmp(escape.to))
        fail();
    text_begin(&text, &arena);
    text_add(&text, common);
    text_add(&text, before);
    for (i = 0; i < times; i++) {
        const char *part, *from = what;

        for (; (part = strchr(from, '@')) != NULL; from = part + 1) {
            text_add_bytes(&text, from, (size_t)(part - from));
            text_addf(&text, "%u", i);
        }
        text_add(&text, from);
    }
    text_add(&text, after);
    read_text(&bench, text_done(&text));
    assert_string_equal(told(&bench, COMMON_LINES), expected);
    done(&bench);
    arena_end(&arena);
}

static void test_sizes(void **state)
{
    (void)state;
    check_size("observe trend one of v", "@, w", 63, "\n", "");
    check_size("observe trend one of v", "@, w", 64, "\n",
               "+1:332+1 too-many: more than 64 values\n");
    check_size("", "limit nick on tip\n    otherwise scrap\n", 63, "", "");
    check_size("", "limit nick on tip\n    otherwise scrap\n", 64, "",
               "+127:1+17 too-many: more than 64 limits for 'nick' on part 'blade'\n");
    check_size("limit nick on tip\n", "    mend depth up to 0.@ in\n", 64, "",
               "+1:1+17 warning no-otherwise: ladder without 'otherwise' says nothing of nick "
               "with depth over 0.7 in; and depth over 0.8 in; and depth over 0.9 in; and so on\n"
               "  that is 'no published limit' now: write a last line 'otherwise …'\n");
    check_size("limit nick on tip\n", "    mend depth up to 0.@ in\n", 64, "    otherwise scrap\n",
               "+66:5+15 too-many: more than 64 lines in one ladder\n");
    check_size("limit nick on tip\n    mend any length", ", depth up to 0.@ in", 63,
               "\n    otherwise scrap\n", "");
    check_size("limit nick on tip\n    mend any length", ", depth up to 0.@ in", 64,
               "\n    otherwise scrap\n",
               "+2:1335+19 too-many: more than 64 conditions in one line\n");
    check_size("part cuff\n", "    axis a@ 0 in .. 1 in\n", 5, "",
               "+6:10+2 too-many: more than 4 axes on part 'cuff'\n");
    check_size("part cuff\n    side s", "@, s", 8, "x\n", "+2:42+2 too-many: more than 8 sides\n");
}

static size_t error_count(const char *text, size_t size)
{
    struct bench bench;
    size_t count;

    read_sized(&bench, text, size, NULL);
    count = bench.book->problems.error_count;
    done(&bench);
    return count;
}

/* Choices multiply, zones leave out zones by many roads, points of curves cut a part. */
static void test_what_multiplies(void **state)
{
    (void)state;
    check_size("reckon all as (the greater of length and width)",
               " + (the lesser of length and width)", 7, "\n", "");
    check_size("reckon all as (the greater of length and width)",
               " + (the lesser of length and width)", 8, "\n",
               "+1:15+86 too-many: '(the greater of length and width) + (the lesser of length and "
               "width) + ( ...' can fall in more than 256 ways\n"
               "  use fewer of 'the lesser of' and 'the greater of'\n");
    check_size("zone a0 on hub\nzone b0 on hub\n",
               "zone a1@ on hub outside a0, b0\nzone b1@ on hub outside a0, b0\n", 1,
               "limit crack on a10\n    otherwise scrap\n", "");
}

/* Two zones a step, each outside both of the step before: the roads double. */
static void test_roads_of_zones(void **state)
{
    struct arena arena;
    struct escape escape;
    struct text text;
    unsigned i;

    (void)state;
    arena_begin(&arena, NULL, &escape);
    if (setjmp(escape.to))
        fail();
    text_begin(&text, &arena);
    text_add(&text, common);
    text_add(&text, "zone a0 on hub\nzone b0 on hub\n");
    for (i = 1; i < 14; i++)
        text_addf(&text, "zone a%u on hub outside a%u, b%u\nzone b%u on hub outside a%u, b%u\n", i,
                  i - 1, i - 1, i, i - 1, i - 1);
    text_add(&text, "limit crack on a8\n    otherwise scrap\n");
    assert_int_equal(error_count(text_done(&text), text.size), 0);
    text_add(&text, "limit crack on a13\n    otherwise scrap\n");
    assert_int_equal(error_count(text_done(&text), text.size), 1);
    arena_end(&arena);
}

/* Two curves of a thousand points across each other would make millions of cells. */
static void test_cells_of_curves(void **state)
{
    static const char *const axes[2] = {"station", "chord"}, *const units[2] = {"in", "%"};
    struct arena arena;
    struct escape escape;
    struct text text;
    unsigned i, j;

    (void)state;
    arena_begin(&arena, NULL, &escape);
    if (setjmp(escape.to))
        fail();
    text_begin(&text, &arena);
    text_add(&text, common);
    for (j = 0; j < 2; j++) {
        text_addf(&text, "curve fine%u along %s\n", j, axes[j]);
        for (i = 0; i <= 1000; i++)
            text_addf(&text, "    %u.%02u %s 0.01 in\n", i / 10, i % 10 * 10, units[j]);
    }
    assert_int_equal(error_count(text_done(&text), text.size), 0);
    text_add(&text, "limit nick on tip\n    fine depth up to fine0, any length\n"
                    "    otherwise scrap\n");
    assert_int_equal(error_count(text_done(&text), text.size), 0);
    text_add(&text, "limit nick on tip\n    fine depth up to fine1, any length\n"
                    "    otherwise scrap\n");
    assert_int_equal(error_count(text_done(&text), text.size), 1);
    arena_end(&arena);
}

/* ---- hostile books -------------------------------------------------------------------------- */

/* Chains that would double at every step, or go deep, are refused and not followed. */
static void test_reckoned_names_do_not_explode(void **state)
{
    struct arena arena;
    struct escape escape;
    struct text text;
    unsigned i;

    (void)state;
    arena_begin(&arena, NULL, &escape);
    if (setjmp(escape.to))
        fail();
    text_begin(&text, &arena);
    text_add(&text, common);
    text_add(&text, "reckon r0 as the greater of length and width\n");
    for (i = 1; i < 60; i++)
        text_addf(&text, "reckon r%u as the greater of r%u and r%u\n", i, i - 1, i - 1);
    assert_int_equal(error_count(text_done(&text), text.size), 1);
    text_begin(&text, &arena);
    text_add(&text, common);
    for (i = 0; i < 20000; i++)
        text_addf(&text, "reckon r%u as r%u\n", i, i + 1);
    text_add(&text, "reckon r20000 as length\n");
    assert_true(error_count(text_done(&text), text.size) > 0);
    arena_end(&arena);
}

static void test_many_zones_and_kinds(void **state)
{
    struct arena arena;
    struct escape escape;
    struct text text;
    unsigned i;

    (void)state;
    arena_begin(&arena, NULL, &escape);
    if (setjmp(escape.to))
        fail();
    text_begin(&text, &arena);
    text_add(&text, common);
    text_add(&text, "zone z0 on blade\n");
    for (i = 1; i < 30000; i++)
        text_addf(&text, "zone z%u on blade outside z%u\n", i, i - 1);
    assert_int_equal(error_count(text_done(&text), text.size), 1);
    text_begin(&text, &arena);
    text_add(&text, common);
    for (i = 0; i < 30000; i++)
        text_addf(&text,
                  "kind k%u on blade records depth\nlimit k%u on blade\n"
                  "    fien depth up to slope\n",
                  i, i);
    assert_true(error_count(text_done(&text), text.size) > 0);
    arena_end(&arena);
}

/* The rich book cut at every byte: problems or none, but never a crash. */
static void test_cut_anywhere(void **state)
{
    size_t size, good = 0;

    (void)state;
    for (size = 0; size < sizeof rich; size++)
        good += error_count(rich, size) == 0;
    print_message("cut at %zu bytes, %zu of them whole books\n", sizeof rich, good);
    assert_true(good > 0 && good < sizeof rich / 4);
}

/* What must be true of any book that has no error, asked by a road of its own. */
static void check_ladder(const struct book *book, const struct limit *limit)
{
    uint32_t i, j;

    for (i = 0; i < limit->rung_count; i++) {
        const struct rung *rung = &limit->rungs[i];

        assert_true(rung->outcome <= book->no_published_limit);
        assert_true(i == 0 || rung->outcome >= limit->rungs[i - 1].outcome);
        assert_true(!rung->otherwise || !book->scale[rung->outcome].flight);
        assert_true(!rung->otherwise || i + 1 == limit->rung_count);
        for (j = 0; j < rung->condition_count; j++) {
            const struct condition *condition = &rung->conditions[j];

            if (condition->sort == CONDITION_COMPARE)
                assert_true(
                    dimension_equal(condition->left->dimension, condition->right->dimension));
            if (condition->sort == CONDITION_AMONG)
                assert_true(condition->values != 0);
            if (condition->sort == CONDITION_AMONG && condition->negative &&
                book->scale[rung->outcome].flight)
                assert_int_equal(condition->observation->sort, TREE_YES_OR_NO);
        }
    }
    for (i = 0; i < limit->kind_count; i++)
        assert_true(kind_part_position(limit->kinds[i], limit->zone->part) >= 0);
}

/* Each recorded thing is named, or released, by some condition of a line that lets fly. */
static bool is_named(const struct rung *rung, const struct recorded *record)
{
    uint32_t i;

    for (i = 0; i < rung->condition_count; i++) {
        const struct condition *condition = &rung->conditions[i];
        bool any = condition->sort == CONDITION_RELEASE && condition->left == NULL;

        if (record->observation != NULL && condition->observation == record->observation)
            return true;
        if (any && condition->observation == NULL)
            return true;
        if (record->measure != NULL && condition->left != NULL &&
            (condition->left->measure == record->measure ||
             condition->left->sort == EXPRESSION_RECKONED))
            return true;
    }
    return false;
}

static void check_good_book(const struct book *book)
{
    uint32_t i, j, k, m;

    for (i = 0; i < book->limit_count; i++) {
        const struct limit *limit = &book->limits[i];

        check_ladder(book, limit);
        for (j = 0; j < limit->rung_count; j++)
            for (k = 0; k < limit->kind_count; k++)
                for (m = 0; m < limit->kinds[k]->record_count; m++)
                    assert_true(!book->scale[limit->rungs[j].outcome].flight ||
                                is_named(&limit->rungs[j], &limit->kinds[k]->records[m]));
    }
    for (i = 0; i < book->curve_count; i++)
        for (j = 1; j < book->curves[i].point_count; j++)
            assert_true(number_compare(book->arena, book->curves[i].points[j - 1].at,
                                       book->curves[i].points[j].at) < 0);
    for (i = 0; i < book->measure_count; i++)
        assert_true(number_compare(book->arena, book->measures[i].from, book->measures[i].to) < 0);
    assert_true(book->no_published_limit >= 2);
    assert_true(book->scale[0].flight && !book->scale[book->no_published_limit - 1].flight);
}

static uint32_t next_random(uint32_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    return *state;
}

/* One to three bytes changed, dropped or doubled: the rest still holds together. */
static void test_changed_anywhere(void **state)
{
    static const char likely[] = "0123456789.,-+*/()# \n\"abdeilnorst%";
    char text[sizeof rich + 8];
    uint32_t random = 20260301, tries, good = 0;

    (void)state;
    for (tries = 0; tries < 4000; tries++) {
        size_t size = sizeof rich - 1;
        uint32_t changes = 1 + next_random(&random) % 3;
        struct bench bench;

        memcpy(text, rich, sizeof rich);
        while (changes-- > 0) {
            size_t at = next_random(&random) % size;

            switch (next_random(&random) % 3) {
            case 0:
                text[at] = likely[next_random(&random) % (sizeof likely - 1)];
                break;
            case 1:
                memmove(text + at, text + at + 1, size - at);
                size--;
                break;
            default:
                memmove(text + at + 1, text + at, size - at + 1);
                size++;
                break;
            }
        }
        read_sized(&bench, text, size, NULL);
        if (bench.book->problems.error_count == 0) {
            check_good_book(bench.book);
            good++;
        }
        done(&bench);
    }
    print_message("%u changed books, %u of them good\n", (unsigned)tries, (unsigned)good);
    assert_true(good > 100 && good < tries / 2);
}

/* ---- memory ---------------------------------------------------------------------------------- */

static void test_memory_ends(void **state)
{
    static struct fail_alloc memory;
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    struct stave_text given = {"book", rich, sizeof rich - 1};
    volatile size_t fail_at; /* kept over the longjmp */
    volatile bool finished = false;

    (void)state;
    for (fail_at = 1; !finished; fail_at++) {
        struct arena arena;
        struct escape escape;

        fail_alloc_arm(&memory, fail_at, false);
        arena_begin(&arena, &allocator, &escape);
        if (setjmp(escape.to) == 0) {
            struct book *book = book_check(&arena, &given, NULL, NULL);

            assert_int_equal(book->problems.count, 0);
            finished = memory.refused == 0;
        } else {
            assert_int_equal(escape.status, STAVE_NO_MEMORY);
        }
        arena_end(&arena);
        fail_alloc_disarm(&memory);
        assert_int_equal(memory.live_blocks, 0);
    }
    print_message("memory refused at each of %zu calls\n", fail_at - 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_used_texts_are_joined),
        cmocka_unit_test(test_text_by_two_roads_is_read_once),
        cmocka_unit_test(test_missing_text),
        cmocka_unit_test(test_circular_use),
        cmocka_unit_test(test_faults_in_used_texts),
        cmocka_unit_test(test_endless_use),
        cmocka_unit_test(test_sizes),
        cmocka_unit_test(test_what_multiplies),
        cmocka_unit_test(test_roads_of_zones),
        cmocka_unit_test(test_cells_of_curves),
        cmocka_unit_test(test_reckoned_names_do_not_explode),
        cmocka_unit_test(test_many_zones_and_kinds),
        cmocka_unit_test(test_cut_anywhere),
        cmocka_unit_test(test_changed_anywhere),
        cmocka_unit_test(test_memory_ends),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
