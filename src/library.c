/*
 * The public calls: each sets up an escape, takes the memory of one handle,
 * runs the stages, and gives the handle or frees everything.
 */
#include <stdlib.h>
#include <string.h>

#include "chart/chart.h"
#include "prove/prove.h"
#include "verdict/verdict.h"

struct stave_book {
    struct arena arena;
    struct book *book;
    struct ready_book ready; /* only without errors */
    bool usable;
};

struct stave_record {
    struct arena arena;
    const stave_book *book;
    struct record *record;
    bool usable;
};

struct verdict_handle {
    struct stave_verdict verdict; /* first: the public pointer is the handle */
    struct arena arena;
};

struct outline_handle {
    struct stave_outline outline;
    struct arena arena;
};

struct proof_handle {
    struct stave_proof proof;
    struct arena arena;
};

const char *stave_version(void)
{
    return "1.0.0";
}

const char *stave_status_text(enum stave_status status)
{
    switch (status) {
    case STAVE_OK:
        return "done";
    case STAVE_PROBLEMS:
        return "the text has errors";
    case STAVE_NO_MEMORY:
        return "out of memory";
    case STAVE_TOO_BIG:
        return "a limit of the library was passed";
    case STAVE_MISUSE:
        return "the library was called wrongly";
    }
    return "unknown status";
}

/* ---- handles --------------------------------------------------------------------- */

static void *resize_by_malloc(void *user, void *block, size_t old_size, size_t new_size)
{
    (void)user;
    (void)old_size;
    if (!new_size) {
        free(block);
        return NULL;
    }
    return realloc(block, new_size);
}

static struct stave_allocator allocator_of(const struct stave_host *host)
{
    if (host && host->allocator && host->allocator->resize) {
        return *host->allocator;
    }
    return (struct stave_allocator){.resize = resize_by_malloc};
}

static void *handle_new(const struct stave_allocator *allocator, size_t size)
{
    void *handle = allocator->resize(allocator->user, NULL, 0, size);
    if (handle) {
        memset(handle, 0, size);
    }
    return handle;
}

/* Frees a handle of `size` bytes whose memory is in `arena`, a member of it. */
static void handle_free(void *handle, struct arena *arena, size_t size)
{
    struct stave_allocator allocator = arena->allocator;
    arena_end(arena);
    allocator.resize(allocator.user, handle, size, 0);
}

/* ---- books ------------------------------------------------------------------------- */

static void book_fill(stave_book *made, const struct stave_host *host,
                      const struct stave_text *text)
{
    struct arena *arena = &made->arena;
    made->book = book_check(arena, text, host ? host->find_text : NULL, host ? host->user : NULL);
    struct book *book = made->book;
    /* Line tables are made now: nothing in a book may change once it is shared. */
    for (uint32_t i = 0; i < book->source_count; i++) {
        span_line(arena, (struct span){.source = book->sources[i]});
    }
    if (!book->problems.error_count) {
        prove_check(arena, book, book->examples, book->example_count, &book->problems);
        problems_sort(&book->problems);
    }
    if (!book->problems.error_count) {
        made->ready = (struct ready_book){
            .book = book, .plan = plan_compile(book), .facts = facts_make(arena, book)};
        made->usable = true;
    }
}

enum stave_status stave_book_read(const struct stave_host *host, const struct stave_text *text,
                                  stave_book **book)
{
    if (!text || !book || (!text->bytes && text->size)) {
        return STAVE_MISUSE;
    }
    *book = NULL;
    struct stave_allocator allocator = allocator_of(host);
    stave_book *const made = handle_new(&allocator, sizeof *made);
    if (!made) {
        return STAVE_NO_MEMORY;
    }
    struct escape escape = {.status = STAVE_OK};
    arena_begin(&made->arena, &allocator, &escape);
    if (setjmp(escape.to)) {
        handle_free(made, &made->arena, sizeof *made);
        return escape.status;
    }
    book_fill(made, host, text);
    made->arena.escape = NULL;
    *book = made;
    return made->usable ? STAVE_OK : STAVE_PROBLEMS;
}

void stave_book_free(stave_book *book)
{
    if (book) {
        handle_free(book, &book->arena, sizeof *book);
    }
}

const struct stave_problem *stave_book_problems(const stave_book *book, size_t *count)
{
    *count = book ? book->book->problems.count : 0;
    return book ? book->book->problems.items : NULL;
}

const struct stave_book_facts *stave_book_facts(const stave_book *book)
{
    return book && book->usable ? book->ready.facts : NULL;
}

/* ---- records ------------------------------------------------------------------------ */

typedef struct record *(*record_reader)(struct arena *, const struct book *,
                                        const struct stave_text *);

static enum stave_status read_record(const struct stave_host *host, const stave_book *book,
                                     const struct stave_text *text, record_reader reader,
                                     stave_record **record)
{
    if (!book || !book->usable || !text || !record || (!text->bytes && text->size)) {
        return STAVE_MISUSE;
    }
    *record = NULL;
    struct stave_allocator allocator = allocator_of(host);
    stave_record *const made = handle_new(&allocator, sizeof *made);
    if (!made) {
        return STAVE_NO_MEMORY;
    }
    struct escape escape = {.status = STAVE_OK};
    arena_begin(&made->arena, &allocator, &escape);
    if (setjmp(escape.to)) {
        handle_free(made, &made->arena, sizeof *made);
        return escape.status;
    }
    made->book = book;
    made->record = reader(&made->arena, book->book, text);
    made->usable = !made->record->problems.error_count;
    made->arena.escape = NULL;
    *record = made;
    return made->usable ? STAVE_OK : STAVE_PROBLEMS;
}

enum stave_status stave_record_read(const struct stave_host *host, const stave_book *book,
                                    const struct stave_text *text, stave_record **record)
{
    return read_record(host, book, text, record_read, record);
}

enum stave_status stave_record_read_line(const struct stave_host *host, const stave_book *book,
                                         const struct stave_text *line, stave_record **record)
{
    return read_record(host, book, line, record_read_line, record);
}

void stave_record_free(stave_record *record)
{
    if (record) {
        handle_free(record, &record->arena, sizeof *record);
    }
}

const struct stave_problem *stave_record_problems(const stave_record *record, size_t *count)
{
    *count = record ? record->record->problems.count : 0;
    return record ? record->record->problems.items : NULL;
}

/* ---- verdicts ------------------------------------------------------------------------- */

enum stave_status stave_assess(const struct stave_host *host, const stave_record *record,
                               stave_verdict **verdict)
{
    if (!record || !record->usable || !verdict) {
        return STAVE_MISUSE;
    }
    *verdict = NULL;
    struct stave_allocator allocator = allocator_of(host);
    struct verdict_handle *const made = handle_new(&allocator, sizeof *made);
    if (!made) {
        return STAVE_NO_MEMORY;
    }
    struct escape escape = {.status = STAVE_OK};
    arena_begin(&made->arena, &allocator, &escape);
    if (setjmp(escape.to)) {
        handle_free(made, &made->arena, sizeof *made);
        return escape.status;
    }
    verdict_make(&made->arena, &record->book->ready, record->record, &made->verdict);
    made->arena.escape = NULL;
    *verdict = &made->verdict;
    return STAVE_OK;
}

void stave_verdict_free(stave_verdict *verdict)
{
    if (verdict) {
        struct verdict_handle *handle = (struct verdict_handle *)verdict;
        handle_free(handle, &handle->arena, sizeof *handle);
    }
}

/* ---- outlines ------------------------------------------------------------------------- */

enum stave_status stave_outline_make(const struct stave_host *host, const stave_book *book,
                                     stave_outline **outline)
{
    if (!book || !book->usable || !outline) {
        return STAVE_MISUSE;
    }
    *outline = NULL;
    struct stave_allocator allocator = allocator_of(host);
    struct outline_handle *const made = handle_new(&allocator, sizeof *made);
    if (!made) {
        return STAVE_NO_MEMORY;
    }
    struct escape escape = {.status = STAVE_OK};
    arena_begin(&made->arena, &allocator, &escape);
    if (setjmp(escape.to)) {
        handle_free(made, &made->arena, sizeof *made);
        return escape.status;
    }
    outline_make(&made->arena, &book->ready, &made->outline);
    made->arena.escape = NULL;
    *outline = &made->outline;
    return STAVE_OK;
}

void stave_outline_free(stave_outline *outline)
{
    if (outline) {
        struct outline_handle *handle = (struct outline_handle *)outline;
        handle_free(handle, &handle->arena, sizeof *handle);
    }
}

/* ---- proofs --------------------------------------------------------------------------- */

/* False when a text beside the book has errors. */
static bool proof_fill(struct proof_handle *made, const stave_book *book,
                       const struct stave_text *beside, size_t beside_count)
{
    struct arena *arena = &made->arena;
    struct problems problems;
    problems_begin(&problems, arena);
    struct tree_example **more = NULL;
    size_t count = 0, capacity = 0;
    for (size_t i = 0; i < beside_count; i++) {
        for (struct tree_example *example = prove_read(arena, book->book, &beside[i], &problems); example;
             example = example->next) {
            *ARENA_PUSH(arena, more, count, capacity) = example;
        }
    }
    prove_check(arena, book->book, more, count, &problems);
    problems_sort(&problems);
    if (!problems.error_count) {
        prove_examples(arena, &book->ready, more, count, &made->proof);
    }
    made->proof.problems = problems.items;
    made->proof.problem_count = problems.count;
    return !problems.error_count;
}

enum stave_status stave_prove(const struct stave_host *host, const stave_book *book,
                              const struct stave_text *beside, size_t beside_count,
                              stave_proof **proof)
{
    if (!book || !book->usable || !proof || (!beside && beside_count)) {
        return STAVE_MISUSE;
    }
    *proof = NULL;
    struct stave_allocator allocator = allocator_of(host);
    struct proof_handle *const made = handle_new(&allocator, sizeof *made);
    if (!made) {
        return STAVE_NO_MEMORY;
    }
    struct escape escape = {.status = STAVE_OK};
    arena_begin(&made->arena, &allocator, &escape);
    if (setjmp(escape.to)) {
        handle_free(made, &made->arena, sizeof *made);
        return escape.status;
    }
    bool good = proof_fill(made, book, beside, beside_count);
    made->arena.escape = NULL;
    *proof = &made->proof;
    return good ? STAVE_OK : STAVE_PROBLEMS;
}

void stave_proof_free(stave_proof *proof)
{
    if (proof) {
        struct proof_handle *handle = (struct proof_handle *)proof;
        handle_free(handle, &handle->arena, sizeof *handle);
    }
}
