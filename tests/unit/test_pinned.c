/*
 * Which slips of a copyist the examples notice, against the slow and sure way: the book's text with the
 * slip in it, read and proved as anyone would. Every slip of every book in rules/.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "fail_alloc.h"
#include "stave.h"

static const char *const books[] = {
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
#define BOOKS (sizeof books / sizeof *books)

/* What the books of rules/ do not have: figures in several places at once, fractions, units across. */
static const char odd_name[] = "odd";
static const char odd_text[] =
    "stave 1\n"
    "book O \"odd\"\n"
    "    edition \"A\"\n"
    "    for model M\n"
    "scale\n"
    "    fine   \"fly\"\n"
    "    watch  \"fly\"  again within 50 h\n"
    "  no flight\n"
    "    mend   \"repair\"\n"
    "    scrap  \"throw away\"\n"
    "part blade, 2 .. 6\n"
    "    axis station 10 in .. 50 in read to 0.25 in\n"
    "    axis chord 0 % .. 100 %\n"
    "    side face, back meet at chord 0 %\n"
    "zone tip on blade station 30 .. 50 in\n"
    "zone rest on blade station 10 .. below 30 in\n"
    "measure depth 0 in .. 1 in read to 0.001 in\n"
    "measure length 0 in .. 40 in read up to 0.01 in\n"
    "measure wall 0 mm .. 40 mm read nearest 0.1 mm smaller is worse\n"
    "observe grease levels clean, trace, thrown\n"
    "kind nick on blade records depth, length along station\n"
    "kind leak on blade records grease\n"
    "kind rust on blade records wall, length\n"
    "reckon sum as depth + length / 2\n"
    "reckon most as the greater of sum and 1 1/16 in\n"
    "curve slope along station\n"
    "    10 in  0.01 in\n"
    "    50 in  1/16 in\n"
    "limit nick on tip per \"T \\\"1\\\"\"\n"
    "    fine   depth up to slope, length grown by up to 1/8 in, length up to 3 in,\n"
    "           total length of nick with depth over 1/64 in on a blade up to 4 in\n"
    "    watch  depth below 2 * slope, length up to 3 in, no more than 2 of nick with depth at least 10 thou within any 1 ft along station  within 5 h\n"
    "    mend   sum up to 2 in, most up to 3 in\n"
    "    otherwise no published limit\n"
    "limit nick on rest\n"
    "    watch  depth over 0.1 in and below 0.2 in, any length, largest length of nick on a blade up to 5 in\n"
    "    watch  depth up to the lesser of slope and 0.05 in, any length,\n"
    "           apart from nick by 2 * larger length + 1 in where length together at least 2 in\n"
    "    otherwise scrap\n"
    "limit leak on blade\n"
    "    fine   grease up to clean\n"
    "    watch  grease below thrown  within 3 days\n"
    "    otherwise mend\n"
    "limit rust on blade\n"
    "    fine   wall at least 3 mm, length up to 1/2 ft\n"
    "    watch  wall over 1.5 mm, any length\n"
    "    otherwise scrap\n"
    "example \"a\"\n"
    "    blade 1 nick at station 40 in chord 5 %, depth 0.02 in, length 1 in, was length 0.9 in\n"
    "    gives fine\n"
    "    gives watch  with depth 0.06 in within 5 h\n"
    "    gives mend   with depth 0.2 in\n"
    "    blade 1 nick at station 20 in chord 5 %, depth 0.02 in, length 1 in\n"
    "    gives watch\n"
    "    gives watch  with depth 0.15 in\n"
    "    gives scrap  with depth 0.3 in\n"
    "    blade 1 leak at station 20 in chord 3 %, grease trace\n"
    "    gives watch within 3 days\n"
    "    blade 1 rust at station 20 in chord 3 %, wall 3 mm, length 6 in\n"
    "    gives fine\n"
    "    gives watch  with wall 2.9 mm\n"
    "    gives scrap  with wall 1.5 mm\n";

/* ---- texts ------------------------------------------------------------------------- */

/* Texts by name; the first one of a name is given. */
struct shelf {
    struct stave_text texts[8];
    size_t count;
};

static char *read_file(const char *path, size_t *size)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    fseek(file, 0, SEEK_END);
    *size = (size_t)ftell(file);
    rewind(file);
    char *bytes = malloc(*size + 1);
    assert_non_null(bytes);
    assert_int_equal(fread(bytes, 1, *size, file), *size);
    bytes[*size] = '\0';
    fclose(file);
    return bytes;
}

static const struct stave_text *on_shelf(const struct shelf *shelf, const char *name)
{
    for (size_t i = 0; i < shelf->count; i++) {
        if (strcmp(shelf->texts[i].name, name) == 0) {
            return &shelf->texts[i];
        }
    }
    return NULL;
}

static bool find_text(void *user, const char *from, const char *name, struct stave_text *found,
                      const char **why)
{
    struct shelf *shelf = user;
    (void)from;
    (void)why;
    const struct stave_text *text = on_shelf(shelf, name);
    if (!text) {
        char path[200];
        snprintf(path, sizeof path, "rules/%s", name);
        struct stave_text *more = &shelf->texts[shelf->count++];
        more->name = "common.stave";
        assert_string_equal(name, more->name);
        more->bytes = read_file(path, &more->size);
        text = more;
    }
    *found = *text;
    return true;
}

static void shelf_begin(struct shelf *shelf, const char *path)
{
    *shelf = (struct shelf){.count = 1};
    shelf->texts[0].name = path;
    if (path == odd_name) {
        char *bytes = malloc(sizeof odd_text);
        assert_non_null(bytes);
        memcpy(bytes, odd_text, sizeof odd_text);
        shelf->texts[0].bytes = bytes;
        shelf->texts[0].size = sizeof odd_text - 1;
        return;
    }
    shelf->texts[0].bytes = read_file(path, &shelf->texts[0].size);
}

static void shelf_end(struct shelf *shelf)
{
    for (size_t i = 0; i < shelf->count; i++) {
        free((char *)shelf->texts[i].bytes);
    }
}

static stave_book *read_book_of(struct shelf *shelf, const struct stave_allocator *allocator)
{
    const struct stave_host host = {.allocator = allocator, .find_text = find_text, .user = shelf};
    stave_book *book = NULL;
    enum stave_status status = stave_book_read(&host, &shelf->texts[0], &book);
    if (status == STAVE_OK) {
        return book;
    }
    stave_book_free(book);
    return NULL;
}

static stave_proof *prove(const stave_book *book, const char *beside)
{
    stave_proof *proof = NULL;
    const struct stave_text text = {
        .name = "beside", .bytes = beside, .size = beside ? strlen(beside) : 0};
    assert_int_equal(stave_prove(NULL, book, &text, beside ? 1 : 0, &proof), STAVE_OK);
    return proof;
}

static stave_pinning *pin(const stave_book *book)
{
    stave_pinning *pinning = NULL;
    assert_int_equal(stave_pinning_make(NULL, book, NULL, 0, NULL, &pinning), STAVE_OK);
    return pinning;
}

/* ---- the slow and sure way ---------------------------------------------------------------- */

static char *with_slip(const struct stave_text *text, const struct stave_slip *slip, size_t *size)
{
    size_t now = strlen(slip->now);
    *size = text->size - slip->length + now;
    char *bytes = malloc(*size + 1);
    assert_non_null(bytes);
    memcpy(bytes, text->bytes, slip->offset);
    memcpy(bytes + slip->offset, slip->now, now);
    memcpy(bytes + slip->offset + now, text->bytes + slip->offset + slip->length,
           text->size - slip->offset - slip->length);
    bytes[*size] = '\0';
    return bytes;
}

/* The claim of a witness: what it gets, proved as an example beside the book. */
static bool gives(const stave_book *book, const char *witness, const char *found)
{
    char text[4000];
    snprintf(text, sizeof text, "stave 1\nexample \"witness\"\n%s\ngives %s\n", witness, found);
    stave_proof *proof = prove(book, text);
    bool passed = proof->results[proof->result_count - 1].passed;
    stave_proof_free(proof);
    return passed;
}

static enum stave_slip_answer answer_of(const stave_book *changed, const stave_proof *before,
                                        const struct stave_slip *slip)
{
    if (!changed) {
        return STAVE_SLIP_BREAKS;
    }
    stave_proof *after = prove(changed, NULL);
    assert_int_equal(after->result_count, before->result_count);
    enum stave_slip_answer answer =
        slip->answer == STAVE_SLIP_INERT ? STAVE_SLIP_INERT : STAVE_SLIP_MISSED;
    for (size_t i = 0; i < after->result_count; i++) {
        if (before->results[i].passed && !after->results[i].passed) {
            answer = STAVE_SLIP_NOTICED;
        }
    }
    stave_proof_free(after);
    return answer;
}

static size_t count_slips;

static void check_book(const char *path)
{
    struct shelf shelf;
    shelf_begin(&shelf, path);
    stave_book *book = read_book_of(&shelf, NULL);
    assert_non_null(book);
    stave_proof *before = prove(book, NULL);
    stave_pinning *pinning = pin(book);
    for (size_t i = 0; i < pinning->slip_count; i++) {
        const struct stave_slip *slip = &pinning->slips[i];
        struct stave_text *text =
            (struct stave_text *)(uintptr_t)on_shelf(&shelf, slip->at.text_name);
        struct stave_text kept = *text;
        text->bytes = with_slip(&kept, slip, &text->size);
        stave_book *changed = read_book_of(&shelf, NULL);
        enum stave_slip_answer answer = answer_of(changed, before, slip);
        if (answer != slip->answer) {
            /* A slip that an example notices may break the book too: either is caught. */
            if (!(answer == STAVE_SLIP_BREAKS && slip->answer == STAVE_SLIP_NOTICED)) {
                fail_msg("%s:%u: '%s' -> '%s': %d, by its text %d", slip->at.text_name,
                         (unsigned)slip->at.line, slip->was, slip->now, (int)slip->answer,
                         (int)answer);
            }
        }
        if (slip->witness[0]) {
            assert_true(gives(book, slip->witness, slip->found[0]));
            assert_true(gives(changed, slip->witness, slip->found[1]));
            assert_string_not_equal(slip->found[0], slip->found[1]);
        }
        stave_book_free(changed);
        free((char *)text->bytes);
        *text = kept;
        count_slips++;
    }
    stave_pinning_free(pinning);
    stave_proof_free(before);
    stave_book_free(book);
    shelf_end(&shelf);
}

static void test_every_slip_as_by_its_text(void **state)
{
    (void)state;
    for (size_t i = 0; i < BOOKS; i++) {
        check_book(books[i]);
    }
    check_book(odd_name);
    print_message("%zu slips\n", count_slips);
    assert_true(count_slips > 700);
}

/* ---- suggestions ------------------------------------------------------------------------------ */

static bool begins(const char *line, const char *word)
{
    return strncmp(line, word, strlen(word)) == 0;
}

/* A text without its examples: an example goes on to the next line that is not indented. */
static char *without_examples(const char *bytes)
{
    char *kept = calloc(1, strlen(bytes) + 1);
    assert_non_null(kept);
    bool inside = false;
    size_t size = 0;
    while (*bytes) {
        size_t line = strcspn(bytes, "\n");
        line += bytes[line] == '\n';
        inside = begins(bytes, "example ") || (inside && (*bytes == ' ' || *bytes == '\n'));
        if (!inside) {
            memcpy(kept + size, bytes, line);
            size += line;
        }
        bytes += line;
    }
    return kept;
}

/* Signed: the mark taken out of each. */
static char *confirmed(const char *suggested)
{
    char *text = calloc(1, strlen(suggested) + 1);
    assert_non_null(text);
    static const char mark[] = "  unconfirmed";
    const char *next;
    while ((next = strstr(suggested, mark)) != NULL) {
        strncat(text, suggested, (size_t)(next - suggested));
        suggested = next + strlen(mark);
    }
    strcat(text, suggested);
    return text;
}

static char *joined(const char *a, const char *b)
{
    char *text = calloc(1, strlen(a) + strlen(b) + 2);
    assert_non_null(text);
    strcat(strcat(strcat(text, a), "\n"), b);
    return text;
}

/* The book with another text in place of its own. */
static stave_book *read_as(struct shelf *shelf, char *bytes)
{
    struct stave_text kept = shelf->texts[0];
    shelf->texts[0].bytes = bytes;
    shelf->texts[0].size = strlen(bytes);
    stave_book *book = read_book_of(shelf, NULL);
    shelf->texts[0] = kept;
    return book;
}

static void suggest_for(const char *path)
{
    struct shelf shelf;
    shelf_begin(&shelf, path);
    char *bare = without_examples(shelf.texts[0].bytes);
    stave_book *book = read_as(&shelf, bare);
    assert_non_null(book);
    stave_pinning *before = pin(book);
    assert_int_equal(before->suggested_examples > 0, before->missed > before->unsuggested);

    char *marked = joined(bare, before->suggested);
    stave_book *unread = read_as(&shelf, marked);
    assert_non_null(unread);
    stave_proof *proof = prove(unread, NULL);
    assert_int_equal(proof->unconfirmed, before->suggested_examples);
    assert_int_equal(proof->failed, proof->result_count);
    stave_pinning *none = pin(unread); /* what nobody has read holds nothing */
    assert_int_equal(none->caught, before->caught);

    char *plain = confirmed(before->suggested);
    char *signed_text = joined(bare, plain);
    stave_book *whole = read_as(&shelf, signed_text);
    assert_non_null(whole);
    stave_proof *good = prove(whole, NULL);
    assert_int_equal(good->failed + good->unconfirmed, 0);
    stave_pinning *after = pin(whole);
    print_message("%s: %zu of %zu slips caught by %zu suggested examples (%zu lines), %zu inert, "
                  "%zu without\n",
                  path, after->caught, after->slip_count, before->suggested_examples,
                  good->result_count, after->inert, before->unsuggested);
    assert_true(after->missed <= before->unsuggested);
    assert_int_equal(after->inert, before->inert);
    for (size_t i = 0; i < after->slip_count; i++) {
        if (after->slips[i].answer == STAVE_SLIP_MISSED) {
            assert_true(before->slips[i].reason[0]); /* said why */
        }
    }

    stave_pinning_free(before);
    stave_pinning_free(none);
    stave_pinning_free(after);
    stave_proof_free(proof);
    stave_proof_free(good);
    stave_book_free(book);
    stave_book_free(unread);
    stave_book_free(whole);
    free(bare);
    free(marked);
    free(plain);
    free(signed_text);
    shelf_end(&shelf);
}

static void test_suggested_examples_hold_what_was_missed(void **state)
{
    (void)state;
    for (size_t i = 0; i < BOOKS; i++) {
        suggest_for(books[i]);
    }
    suggest_for(odd_name);
}

/* ---- memory --------------------------------------------------------------------------------------- */

static void test_every_allocation_refused(void **state)
{
    (void)state;
    struct shelf shelf;
    shelf_begin(&shelf, "rules/published/t4-skin-corrosion.stave");
    stave_book *book = read_book_of(&shelf, NULL);
    struct fail_alloc memory = {0};
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    const struct stave_host host = {.allocator = &allocator};
    size_t refused = 0;
    for (size_t at = 1;; at++) {
        stave_pinning *pinning = NULL;
        fail_alloc_arm(&memory, at, false);
        enum stave_status status = stave_pinning_make(&host, book, NULL, 0, NULL, &pinning);
        bool last = memory.refused == 0;
        fail_alloc_disarm(&memory);
        assert_int_equal(status, last ? STAVE_OK : STAVE_NO_MEMORY);
        stave_pinning_free(pinning);
        assert_int_equal(memory.live_blocks, 0);
        if (last) {
            break;
        }
        refused++;
    }
    print_message("%zu allocations refused\n", refused);
    assert_true(refused > 3);
    stave_book_free(book);
    shelf_end(&shelf);
}

static bool stop_at_once(void *user, size_t done, size_t all, const char *next)
{
    (void)user;
    (void)all;
    (void)next;
    return done < 5;
}

static void test_a_stop_leaves_the_rest_missed(void **state)
{
    (void)state;
    struct shelf shelf;
    shelf_begin(&shelf, "rules/published/t1-abrasion-strip.stave");
    stave_book *book = read_book_of(&shelf, NULL);
    const struct stave_proving how = {.progress = stop_at_once};
    stave_pinning *pinning = NULL;
    assert_int_equal(stave_pinning_make(NULL, book, NULL, 0, &how, &pinning), STAVE_OK);
    assert_true(pinning->stopped);
    assert_int_equal(pinning->caught + pinning->inert, 5);
    assert_int_equal(pinning->missed, pinning->slip_count - 5);
    stave_pinning_free(pinning);
    stave_book_free(book);
    shelf_end(&shelf);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_slip_as_by_its_text),
        cmocka_unit_test(test_suggested_examples_hold_what_was_missed),
        cmocka_unit_test(test_every_allocation_refused),
        cmocka_unit_test(test_a_stop_leaves_the_rest_missed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
