/*
 * Memory ends at every point where it can: each allocation of reading the demo book and
 * its record, of judging and of proving is refused in turn, once alone and once with all that follow,
 * libyaml's own among them. Each time the call says STAVE_NO_MEMORY, gives no handle and
 * leaks nothing, and the same call then works and answers as it would have.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#define FAIL_ALLOC_WRAP
#include "fail_alloc.h"

#include "stave.h"

#define BOOK "rules/field-composite.stave"
#define RECORD "rules/demo/looks-harmless.yaml"
#define FAMILY "tests/cases/assess-family-open-items/book.stave"
#define OPEN_RECORD "tests/cases/assess-family-open-items/record.yaml"
#define TEXT_ROOM ((size_t)1 << 20)
#define TEXTS 6

static struct fail_alloc memory;

/* ---- texts ------------------------------------------------------------------------ */

static struct {
    char path[64];
    char bytes[TEXT_ROOM];
    size_t size;
} texts[TEXTS];
static size_t text_count;

/* Reads each file once: the library's own allocations must be the only ones that count. */
static struct stave_text read_text(const char *path)
{
    for (size_t i = 0; i < text_count; i++) {
        if (!strcmp(texts[i].path, path)) {
            return (struct stave_text){texts[i].path, texts[i].bytes, texts[i].size};
        }
    }
    assert_true(text_count < TEXTS);
    assert_true(strlen(path) < sizeof texts[0].path);
    strcpy(texts[text_count].path, path);
    FILE *file = fopen(path, "rb");
    if (!file) {
        fail_msg("cannot open %s (run the tests from the top folder)", path);
    }
    texts[text_count].size = fread(texts[text_count].bytes, 1, TEXT_ROOM, file);
    assert_true(texts[text_count].size < TEXT_ROOM);
    fclose(file);
    text_count++;
    return read_text(path);
}

/* Another edition of a book: one point of its figure is lower. */
static struct stave_text nudge(struct stave_text text)
{
    static char bytes[TEXT_ROOM];
    memcpy(bytes, text.bytes, text.size);
    bytes[text.size] = '\0';
    char *point = strstr(bytes, "20 in   0.020 in");
    assert_non_null(point);
    memcpy(point, "20 in   0.018 in", strlen("20 in   0.018 in"));
    return (struct stave_text){"second.stave", bytes, text.size};
}

static bool find_text(void *user, const char *from, const char *name, struct stave_text *found,
                      const char **why)
{
    (void)user;
    (void)from;
    (void)why;
    char path[64];
    snprintf(path, sizeof path, "rules/%s", name);
    *found = read_text(path);
    return true;
}

/* ---- answers, as one number to compare ---------------------------------------------- */

static uint64_t mix(uint64_t print, const char *text)
{
    for (; *text; text++) {
        print = (print ^ (unsigned char)*text) * UINT64_C(1099511628211);
    }
    return print * 31;
}

static uint64_t problems_print(const struct stave_problem *problems, size_t count)
{
    uint64_t print = count;
    for (size_t i = 0; i < count; i++) {
        print = mix(mix(print, problems[i].message), problems[i].at.excerpt) + problems[i].at.line;
    }
    return print;
}

static uint64_t verdict_print(const stave_verdict *verdict)
{
    uint64_t print = verdict->outcome + 97 * verdict->best;
    for (size_t i = 0; i < verdict->item_count; i++) {
        const struct stave_item *item = &verdict->items[i];
        print = mix(mix(print, item->part), item->text) + item->outcome;
        for (size_t j = 0; j < item->reason_count; j++) {
            print = mix(mix(print, item->reasons[j].limit), item->reasons[j].line_text);
        }
    }
    for (size_t i = 0; i < verdict->caution_count; i++) {
        print = mix(print, verdict->cautions[i]);
    }
    return print;
}

static uint64_t proof_print(const stave_proof *proof)
{
    uint64_t print = problems_print(proof->problems, proof->problem_count) + proof->failed;
    for (size_t i = 0; i < proof->result_count; i++) {
        print = mix(mix(print, proof->results[i].expected), proof->results[i].found);
    }
    return print;
}

/* ---- the calls, each in the same dress ------------------------------------------------- */

/* What a call works on, and what it gave: a fingerprint of the answer and how to free it. */
struct call {
    const char *name;
    enum stave_status good; /* the status when there is memory */
    enum stave_status (*make)(const struct call *call, const struct stave_host *host,
                              void **handle);
    uint64_t (*print)(const void *handle);
    void (*drop)(void *handle);
    struct stave_text text;
    const stave_book *book;
    const stave_record *record;
};

static enum stave_status make_book(const struct call *call, const struct stave_host *host,
                                   void **handle)
{
    stave_book *book = NULL;
    enum stave_status status = stave_book_read(host, &call->text, &book);
    *handle = book;
    return status;
}

static uint64_t print_book(const void *handle)
{
    size_t count;
    const struct stave_problem *problems = stave_book_problems(handle, &count);
    uint64_t print = problems_print(problems, count);
    const struct stave_book_facts *facts = stave_book_facts(handle);
    return facts ? mix(mix(print, facts->id), facts->texts[0].sha256) + facts->figure_count : print;
}

static void drop_book(void *handle)
{
    stave_book_free(handle);
}

static enum stave_status make_record(const struct call *call, const struct stave_host *host,
                                     void **handle)
{
    stave_record *record = NULL;
    enum stave_status status = stave_record_read(host, call->book, &call->text, &record);
    *handle = record;
    return status;
}

static enum stave_status make_line(const struct call *call, const struct stave_host *host,
                                   void **handle)
{
    stave_record *record = NULL;
    enum stave_status status = stave_record_read_line(host, call->book, &call->text, &record);
    *handle = record;
    return status;
}

static uint64_t print_record(const void *handle)
{
    size_t count;
    const struct stave_problem *problems = stave_record_problems(handle, &count);
    return problems_print(problems, count);
}

static void drop_record(void *handle)
{
    stave_record_free(handle);
}

static enum stave_status make_verdict(const struct call *call, const struct stave_host *host,
                                      void **handle)
{
    stave_verdict *verdict = NULL;
    enum stave_status status = stave_assess(host, call->record, &verdict);
    *handle = verdict;
    return status;
}

static uint64_t print_verdict(const void *handle)
{
    return verdict_print(handle);
}

static void drop_verdict(void *handle)
{
    stave_verdict_free(handle);
}

static enum stave_status make_outline(const struct call *call, const struct stave_host *host,
                                      void **handle)
{
    stave_outline *outline = NULL;
    enum stave_status status = stave_outline_make(host, call->book, &outline);
    *handle = outline;
    return status;
}

static uint64_t print_outline(const void *handle)
{
    const stave_outline *outline = handle;
    uint64_t print = outline->zone_count + 31 * outline->chart_count;
    for (size_t i = 0; i < outline->ladder_count; i++) {
        print = mix(mix(print, outline->ladders[i].head), outline->ladders[i].source);
    }
    for (size_t i = 0; i < outline->chart_count; i++) {
        const struct stave_band *band = &outline->charts[i].stretches[0].bands[0];
        print = mix(mix(print, outline->charts[i].name), band->asks) + band->high_count;
    }
    return print;
}

static void drop_outline(void *handle)
{
    stave_outline_free(handle);
}

static enum stave_status make_obligations(const struct call *call, const struct stave_host *host,
                                          void **handle)
{
    stave_obligations *obligations = NULL;
    enum stave_status status = stave_obligations_make(host, call->book, NULL, NULL, &obligations);
    *handle = obligations;
    return status;
}

static enum stave_status make_obligations_of_two(const struct call *call,
                                                 const struct stave_host *host, void **handle)
{
    stave_obligations *obligations = NULL;
    enum stave_status status =
        stave_obligations_make(host, call->book, call->book, NULL, &obligations);
    *handle = obligations;
    return status;
}

static uint64_t print_obligations(const void *handle)
{
    const stave_obligations *obligations = handle;
    return mix(obligations->size, obligations->text);
}

static void drop_obligations(void *handle)
{
    stave_obligations_free(handle);
}

/* Another edition, of which the figure differs. */
static stave_book *second_book;

static enum stave_status make_changes(const struct call *call, const struct stave_host *host,
                                      void **handle)
{
    stave_changes *changes = NULL;
    enum stave_status status =
        stave_changes_make(host, call->book, second_book, NULL, 0, &changes);
    *handle = changes;
    return status;
}

static uint64_t print_changes(const void *handle)
{
    const stave_changes *changes = handle;
    uint64_t print = changes->amendment_count + 31 * changes->reversal_count;
    for (size_t i = 0; i < changes->amendment_count; i++) {
        print = mix(mix(print, changes->amendments[i].lines[0]), changes->amendments[i].lines[1]);
    }
    for (size_t i = 0; i < changes->reversal_count; i++) {
        print = mix(mix(print, changes->reversals[i].other), changes->reversals[i].why);
    }
    return print;
}

static void drop_changes(void *handle)
{
    stave_changes_free(handle);
}

/* A record of the second book, judged anew by the first. */
static enum stave_status make_anew(const struct call *call, const struct stave_host *host,
                                   void **handle)
{
    static const struct stave_renamed renamed = {"blade", "blade"};
    stave_record *record = NULL;
    enum stave_status status = stave_record_read_anew(host, second_book, call->book, &renamed, 1,
                                                      &call->text, &record);
    *handle = record;
    return status;
}

static enum stave_status make_proof(const struct call *call, const struct stave_host *host,
                                    void **handle)
{
    stave_proof *proof = NULL;
    size_t beside = call->text.bytes ? 1 : 0;
    enum stave_status status = stave_prove(host, call->book, &call->text, beside, &proof);
    *handle = proof;
    return status;
}

static uint64_t print_proof(const void *handle)
{
    return proof_print(handle);
}

static void drop_proof(void *handle)
{
    stave_proof_free(handle);
}

static enum stave_status make_claims(const struct call *call, const struct stave_host *host,
                                     void **handle)
{
    stave_claims *claims = NULL;
    enum stave_status status = stave_claims_make(host, call->book, NULL, &claims);
    *handle = claims;
    return status;
}

static uint64_t print_claims(const void *handle)
{
    const stave_claims *claims = handle;
    uint64_t print = claims->claim_count;
    for (size_t i = 0; i < claims->claim_count; i++) {
        print = mix(print, claims->claims[i].subject) + (uint64_t)claims->claims[i].answer;
        for (size_t r = 0; r < claims->claims[i].region_count; r++) {
            print = mix(print, claims->claims[i].regions[r].described);
            print = mix(print, claims->claims[i].regions[r].witness);
        }
    }
    return print;
}

static void drop_claims(void *handle)
{
    stave_claims_free(handle);
}

/* The book held against itself, where one outcome is to be another: much is not the same. */
static enum stave_status make_compared(const struct call *call, const struct stave_host *host,
                                       void **handle)
{
    static const struct stave_renamed renamed[] = {{"watch", "look-again"}};
    stave_compared *compared = NULL;
    enum stave_status status =
        stave_compare(host, call->book, call->book, renamed, 1, NULL, &compared);
    *handle = compared;
    return status;
}

static uint64_t print_compared(const void *handle)
{
    const stave_compared *compared = handle;
    uint64_t print = compared->contrast_count;
    for (size_t i = 0; i < compared->claim_count; i++) {
        print = mix(print, compared->claims[i].subject) + (uint64_t)compared->claims[i].answer;
    }
    for (size_t i = 0; i < compared->contrast_count; i++) {
        print = mix(print, compared->contrasts[i].region.described);
    }
    return print;
}

static void drop_compared(void *handle)
{
    stave_compared_free(handle);
}

/* ---- the test ---------------------------------------------------------------------------- */

/* The call with memory: it must do, and its fingerprint is given. */
static uint64_t answer_of(const struct call *call, const struct stave_host *host)
{
    size_t before = memory.live_blocks;
    void *handle = NULL;
    fail_alloc_disarm(&memory);
    enum stave_status status = call->make(call, host, &handle);
    if (status != call->good || !handle) {
        fail_msg("%s: %s", call->name, stave_status_text(status));
    }
    uint64_t print = call->print(handle);
    call->drop(handle);
    assert_int_equal(memory.live_blocks, before);
    return print;
}

/* Refuses each allocation of the call in turn. Gives how many there are. */
static size_t refuse_each(const struct call *call, const struct stave_host *host, bool from_then_on)
{
    uint64_t answer = answer_of(call, host);
    for (size_t n = 1;; n++) {
        size_t before_blocks = memory.live_blocks, before_bytes = memory.live_bytes;
        void *handle = NULL;
        fail_alloc_arm(&memory, n, from_then_on);
        enum stave_status status = call->make(call, host, &handle);
        size_t refused = memory.refused;
        fail_alloc_disarm(&memory);
        if (!refused) {
            assert_int_equal(status, call->good);
            call->drop(handle);
            assert_true(n > 1);
            return n - 1;
        }
        if (status != STAVE_NO_MEMORY || handle || memory.live_blocks != before_blocks ||
            memory.live_bytes != before_bytes) {
            fail_msg("%s, allocation %zu refused: status '%s', %s handle, %zu blocks before and "
                     "%zu after",
                     call->name, n, stave_status_text(status), handle ? "a" : "no", before_blocks,
                     memory.live_blocks);
        }
        /* The next call is as good as the first; so are the objects made before. */
        if (answer_of(call, host) != answer) {
            fail_msg("%s: another answer after allocation %zu was refused", call->name, n);
        }
    }
}

static void refuse_all(const struct call *call, const struct stave_host *host)
{
    size_t once = refuse_each(call, host, false);
    size_t on = refuse_each(call, host, true);
    printf("%s: %zu allocations refused alone, %zu with all that follow\n", call->name, once, on);
}

static const char bad_book[] = "stave 1\nbook X-1 \"bad\"\nedition \"A\"\nkind gouge on blade\n"
                               "limit gouge on nowhere\n    fine depth up to 1 in\n";
static const char bad_record[] = "propeller: X\nbook: what\nfindings:\n  - blade 1 gouje\n";
static const char examples[] = "stave 1\nexample \"none\"\n    blade 1 gouje\n    gives what\n";

#define TEXT(name, array) ((struct stave_text){(name), (array), sizeof(array) - 1})

/* Texts and a host of which all memory is counted, from scene_begin on to scene_end. */
struct scene {
    struct stave_text book_text, record_text;
    struct stave_allocator allocator;
    struct stave_host host;
};

static void scene_begin(struct scene *scene, const char *book, const char *record)
{
    memory = (struct fail_alloc){0};
    scene->book_text = read_text(book);
    scene->record_text = read_text(record);
    scene->allocator = fail_alloc_allocator(&memory);
    scene->host = (struct stave_host){.allocator = &scene->allocator, .find_text = find_text};
    fail_alloc_wrapped = &memory;
}

static void scene_read(const struct scene *scene, stave_book **book, stave_record **record)
{
    assert_int_equal(stave_book_read(&scene->host, &scene->book_text, book), STAVE_OK);
    assert_int_equal(stave_record_read(&scene->host, *book, &scene->record_text, record), STAVE_OK);
}

static void scene_end(stave_book *book, stave_record *record)
{
    stave_record_free(record);
    stave_book_free(book);
    fail_alloc_wrapped = NULL;
    assert_int_equal(memory.live_blocks, 0);
    assert_int_equal(memory.live_bytes, 0);
}

static void every_allocation(void **state)
{
    (void)state;
    struct scene scene;
    scene_begin(&scene, BOOK, RECORD);
    const struct stave_text book_text = scene.book_text, record_text = scene.record_text;
    const struct stave_host host = scene.host;
    stave_book *book = NULL;
    stave_record *record = NULL;

    struct call call = {"the book", STAVE_OK,  make_book, print_book,
                        drop_book,  book_text, NULL,      NULL};
    refuse_all(&call, &host);
    call.name = "a book with errors";
    call.good = STAVE_PROBLEMS;
    call.text = TEXT("bad.stave", bad_book);
    refuse_all(&call, &host);

    assert_int_equal(stave_book_read(&host, &book_text, &book), STAVE_OK);
    call = (struct call){"the record", STAVE_OK,    make_record, print_record,
                         drop_record,  record_text, book,        NULL};
    refuse_all(&call, &host);
    call.name = "a record with errors";
    call.good = STAVE_PROBLEMS;
    call.text = TEXT("bad.yaml", bad_record);
    refuse_all(&call, &host);
    call.name = "a line with errors";
    call.make = make_line;
    refuse_all(&call, &host);

    assert_int_equal(stave_record_read(&host, book, &record_text, &record), STAVE_OK);
    call = (struct call){"the verdict", STAVE_OK,    make_verdict, print_verdict,
                         drop_verdict,  record_text, book,         record};
    refuse_all(&call, &host);
    call = (struct call){"the outline", STAVE_OK, make_outline, print_outline,
                         drop_outline,  {0},      book,         NULL};
    refuse_all(&call, &host);
    call = (struct call){"the obligations", STAVE_OK, make_obligations, print_obligations,
                         drop_obligations,  {0},      book,             NULL};
    refuse_all(&call, &host);
    call.name = "the obligations of two books";
    call.make = make_obligations_of_two;
    refuse_all(&call, &host);
    call = (struct call){"the claims", STAVE_OK, make_claims, print_claims,
                         drop_claims,  {0},      book,        NULL};
    refuse_all(&call, &host);
    call = (struct call){"two books", STAVE_OK, make_compared, print_compared,
                         drop_compared, {0},    book,          NULL};
    refuse_all(&call, &host);
    struct stave_text second_text = nudge(book_text);
    assert_int_equal(stave_book_read(&host, &second_text, &second_book), STAVE_OK);
    call = (struct call){"the changes", STAVE_OK, make_changes, print_changes,
                         drop_changes,  {0},      book,         NULL};
    refuse_all(&call, &host);
    call = (struct call){"the record anew", STAVE_OK,    make_anew, print_record,
                         drop_record,       record_text, book,      NULL};
    refuse_all(&call, &host);
    stave_book_free(second_book);
    call =
        (struct call){"the proof", STAVE_OK, make_proof, print_proof, drop_proof, {0}, book, NULL};
    refuse_all(&call, &host);
    call.name = "a proof with errors beside";
    call.good = STAVE_PROBLEMS;
    call.text = TEXT("beside.stave", examples);
    refuse_all(&call, &host);
    scene_end(book, record);
}

/* A book that is read for one answer gives the same answers, and as safely. */
static void for_one_answer(void **state)
{
    (void)state;
    struct scene scene;
    stave_book *books[2] = {NULL};
    stave_record *records[2] = {NULL};
    scene_begin(&scene, BOOK, RECORD);
    for (int i = 0; i < 2; i++) {
        scene.host.for_one_answer = i == 1;
        scene_read(&scene, &books[i], &records[i]);
    }
    struct call calls[] = {
        {"a verdict alone", STAVE_OK, make_verdict, print_verdict, drop_verdict, {0}, NULL, NULL},
        {"its outline", STAVE_OK, make_outline, print_outline, drop_outline, {0}, NULL, NULL},
        {"its obligations", STAVE_OK, make_obligations, print_obligations, drop_obligations, {0},
         NULL, NULL},
        {"its claims", STAVE_OK, make_claims, print_claims, drop_claims, {0}, NULL, NULL},
        {"it beside itself", STAVE_OK, make_compared, print_compared, drop_compared, {0}, NULL,
         NULL},
        {"its proof", STAVE_OK, make_proof, print_proof, drop_proof, {0}, NULL, NULL},
    };
    for (size_t i = 0; i < sizeof calls / sizeof calls[0]; i++) {
        uint64_t prints[2];
        for (int which = 0; which < 2; which++) {
            calls[i].book = books[which];
            calls[i].record = records[which];
            prints[which] = answer_of(&calls[i], &scene.host);
        }
        if (prints[0] != prints[1]) {
            fail_msg("%s is another", calls[i].name);
        }
        if (i < 2) {
            refuse_all(&calls[i], &scene.host);
        }
    }
    stave_record_free(records[1]);
    stave_book_free(books[1]);
    scene_end(books[0], records[0]);
}

/* Of a family, where it is open which model applies: the record is judged by each. */
static void open_model(void **state)
{
    (void)state;
    struct scene scene;
    stave_book *book = NULL;
    stave_record *record = NULL;
    scene_begin(&scene, FAMILY, OPEN_RECORD);
    scene_read(&scene, &book, &record);
    struct call call = {"a verdict by several models", STAVE_OK, make_verdict, print_verdict,
                        drop_verdict, {0}, book, record};
    refuse_all(&call, &scene.host);
    scene_end(book, record);
}

/* A host that gives no allocator gets malloc's memory, and all of it goes back. */
static void by_malloc(void **state)
{
    (void)state;
    struct scene scene;
    stave_book *book = NULL;
    stave_record *record = NULL;
    stave_verdict *verdict = NULL;
    scene_begin(&scene, BOOK, RECORD);
    scene.host.allocator = NULL;
    scene_read(&scene, &book, &record);
    assert_int_equal(stave_assess(&scene.host, record, &verdict), STAVE_OK);
    assert_true(memory.live_blocks > 0);
    stave_verdict_free(verdict);
    scene_end(book, record);
}

static void free_takes_null(void **state)
{
    (void)state;
    stave_book_free(NULL);
    stave_record_free(NULL);
    stave_verdict_free(NULL);
    stave_proof_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_allocation),
        cmocka_unit_test(for_one_answer),
        cmocka_unit_test(open_model),
        cmocka_unit_test(by_malloc),
        cmocka_unit_test(free_takes_null),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
