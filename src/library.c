/*
 * The public calls: each sets up an escape, takes the memory of one handle,
 * runs the stages, and gives the handle or frees everything.
 */
#include <stddef.h>
#include <string.h>

#include "book/family.h"
#include "chart/chart.h"
#include "history/history.h"
#include "prove/asked.h"
#include "prove/changes.h"
#include "prove/claims.h"
#include "prove/pinned.h"
#include "prove/prove.h"
#include "sweep/sweep.h"
#include "verdict/verdict.h"

struct stave_book {
    struct arena arena;
    struct book *book;
    struct ready_book ready; /* only without errors */
    bool usable;             /* for all calls: without errors, and of one model */
    bool sound;              /* without errors */
    const struct problems *problems;
    struct stave_model *models; /* of a family */
    stave_book *books;          /* the books of its models, in the same order */
    size_t model_count;
    const stave_book *family; /* of the book of one model; else NULL */
};

struct stave_record {
    struct arena arena;
    const stave_book *book;
    struct record *record;
    bool usable;
};

struct stave_history {
    struct arena arena;
    const stave_book *book;
    struct history *history;
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

struct changes_handle {
    struct stave_changes changes;
    struct arena arena;
};

struct proof_handle {
    struct stave_proof proof;
    struct arena arena;
    bool beside_faulty; /* a text beside the book has errors */
};

/* Proving takes much memory and gives it back as it goes on: it has an arena more. */
struct claims_handle {
    struct stave_claims claims;
    struct arena arena, scratch;
};

struct obligations_handle {
    struct stave_obligations obligations;
    struct arena arena, scratch;
};

struct stave_sweep {
    struct arena arena;
    struct problems problems;
    struct sweep *sweep; /* NULL where there are problems */
    size_t header;
    uint64_t header_lines;
};

struct stave_cutter {
    struct arena arena;
    struct cutter *cutter;
};

struct stave_sweeper {
    struct arena arena, row; /* what it keeps, and the row at hand */
    struct sweeper *sweeper;
    bool spent; /* it ran out of memory */
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

/* Frees a handle of `size` bytes whose memory is in `arena`, a member of it. */
static void handle_free(void *handle, struct arena *arena, size_t size)
{
    struct stave_allocator allocator = arena->allocator;
    arena_end(arena);
    allocator.resize(allocator.user, handle, size, 0);
}

/* Fills a handle; `call` holds the arguments of the public call. It may escape. */
typedef void (*handle_fill)(void *handle, struct arena *arena, const void *call);

/*
 * The one place where a call of the library is entered and left: makes a zeroed handle of `size`
 * bytes with its arena at `arena_at`, and fills it; an escape frees all of it. Where scratch_at is not 0,
 * a second arena stands there for the time of the filling.
 */
static enum stave_status handle_make_with(const struct stave_host *host, size_t size,
                                          size_t arena_at, size_t scratch_at, handle_fill fill,
                                          const void *call, void **handle)
{
    struct escape escape = {.status = STAVE_OK};
    struct arena fresh;
    arena_begin(&fresh, host ? host->allocator : NULL, &escape);
    unsigned char *const made = fresh.allocator.resize(fresh.allocator.user, NULL, 0, size);
    if (!made) {
        return STAVE_NO_MEMORY;
    }
    memset(made, 0, size);
    struct arena *const arena = (struct arena *)(void *)(made + arena_at);
    struct arena *const scratch = scratch_at ? (struct arena *)(void *)(made + scratch_at) : NULL;
    *arena = fresh;
    if (scratch) {
        *scratch = fresh;
    }
    if (setjmp(escape.to)) {
        if (scratch) {
            arena_end(scratch);
        }
        handle_free(made, arena, size);
        return escape.status;
    }
    fill(made, arena, call);
    if (scratch) {
        arena_end(scratch);
    }
    arena->escape = NULL;
    *handle = made;
    return STAVE_OK;
}

static enum stave_status handle_make(const struct stave_host *host, size_t size, size_t arena_at,
                                     handle_fill fill, const void *call, void **handle)
{
    return handle_make_with(host, size, arena_at, 0, fill, call, handle);
}

/* ---- books ------------------------------------------------------------------------- */

struct book_call {
    const struct stave_host *host;
    const struct stave_text *text;
};

static struct ready_book make_ready(struct arena *arena, const struct book *book, bool for_one)
{
    return (struct ready_book){.book = book,
                               .plan = for_one ? NULL : plan_compile(book),
                               .facts = facts_make(arena, book)};
}

/* What a call judges by. For a book that was read for one answer, the plan is the call's own: complete where
 * several threads read it. */
static const struct ready_book *make_ready_in(struct arena *arena, const stave_book *book,
                                              bool complete)
{
    if (book->ready.plan) {
        return &book->ready;
    }
    struct ready_book *ready = ARENA_NEW(arena, struct ready_book);
    struct plan *plan = plan_begin(arena, book->ready.book);
    if (complete) {
        plan_complete(plan);
    }
    *ready = book->ready;
    ready->plan = plan;
    return ready;
}

static const struct ready_book *ready_in(struct arena *arena, const stave_book *book)
{
    return make_ready_in(arena, book, false);
}

/* The examples of each model; what is wrong in all of them is told once. */
static void check_examples(struct arena *arena, struct book *book)
{
    const struct family *family = book->family;
    if (!family) {
        prove_check(arena, book, book->examples, book->example_count, &book->problems);
        return;
    }
    const struct problems **lists = ARENA_ARRAY(arena, const struct problems *, family->model_count);
    const char **names = ARENA_ARRAY(arena, const char *, family->model_count);
    for (uint32_t i = 0; i < family->model_count; i++) {
        struct problems *problems = ARENA_NEW(arena, struct problems);
        const struct book *one = family->models[i].book;
        problems_begin(problems, arena);
        prove_check(arena, one, one->examples, one->example_count, problems);
        lists[i] = problems;
        names[i] = family->models[i].name;
    }
    problems_join(&book->problems, lists, names, family->model_count);
}

/* What a family says of itself: the facts of its first model, for all models. */
static const struct stave_book_facts *family_facts(struct arena *arena, const stave_book *made)
{
    struct stave_book_facts *facts = ARENA_NEW(arena, struct stave_book_facts);
    const char **models = NULL;
    size_t count = 0, capacity = 0;
    *facts = *made->books[0].ready.facts;
    for (size_t i = 0; i < made->model_count; i++) {
        for (size_t j = 0; j < made->models[i].model_count; j++) {
            const char *name = made->models[i].models[j];
            size_t known = 0;
            while (known < count && strcmp(models[known], name) != 0) {
                known++;
            }
            if (known == count) {
                *ARENA_PUSH(arena, models, count, capacity) = name;
            }
        }
    }
    facts->model = facts->where = "";
    facts->models = models;
    facts->model_count = count;
    return facts;
}

static void fill_family(struct arena *arena, stave_book *made, const struct family *family,
                        bool for_one)
{
    made->model_count = family->model_count;
    made->models = ARENA_ARRAY(arena, struct stave_model, family->model_count);
    made->books = ARENA_ARRAY(arena, stave_book, family->model_count);
    for (uint32_t i = 0; i < family->model_count; i++) {
        const struct model *model = &family->models[i];
        made->models[i] = (struct stave_model){
            .name = model->name,
            .title = model->title,
            .like = model->like ? model->like->name : "",
            .where = model->where,
            .source = model->source,
            .models = model->served,
            .model_count = model->served_count,
        };
        made->books[i] = (stave_book){
            .book = model->book,
            .ready = make_ready(arena, model->book, for_one),
            .usable = true,
            .sound = true,
            .problems = made->problems,
            .models = &made->models[i],
            .model_count = 1,
            .family = made,
        };
        made->books[i].books = &made->books[i];
    }
    made->ready = made->books[0].ready;
    made->usable = family->model_count == 1;
    if (!made->usable) {
        made->ready.facts = family_facts(arena, made);
    }
}

static void book_fill(void *handle, struct arena *arena, const void *call)
{
    const struct book_call *asked = call;
    const struct stave_host *host = asked->host;
    const bool for_one = host && host->for_one_answer;
    stave_book *made = handle;
    struct book *book =
        book_check(arena, asked->text, host ? host->find_text : NULL, host ? host->user : NULL);
    made->book = book;
    made->problems = &book->problems;
    if (!book->problems.error_count) {
        check_examples(arena, book);
        problems_sort(&book->problems);
    }
    made->sound = !book->problems.error_count;
    if (made->sound && book->family) {
        fill_family(arena, made, book->family, for_one);
    } else if (made->sound) {
        made->ready = make_ready(arena, book, for_one);
        made->usable = true;
    }
}

enum stave_status stave_book_read(const struct stave_host *host, const struct stave_text *text,
                                  stave_book **book)
{
    if (!text || !book || (!text->bytes && text->size)) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    const struct book_call call = {host, text};
    enum stave_status status =
        handle_make(host, sizeof **book, offsetof(stave_book, arena), book_fill, &call, &made);
    *book = made;
    return status == STAVE_OK && !(*book)->sound ? STAVE_PROBLEMS : status;
}

void stave_book_free(stave_book *book)
{
    if (book) {
        handle_free(book, &book->arena, sizeof *book);
    }
}

const struct stave_problem *stave_book_problems(const stave_book *book, size_t *count)
{
    *count = book ? book->problems->count : 0;
    return book ? book->problems->items : NULL;
}

const struct stave_book_facts *stave_book_facts(const stave_book *book)
{
    return book && book->sound ? book->ready.facts : NULL;
}

size_t stave_book_model_count(const stave_book *book)
{
    return book && book->sound ? book->model_count : 0;
}

const struct stave_model *stave_book_model(const stave_book *book, size_t which)
{
    return which < stave_book_model_count(book) ? &book->models[which] : NULL;
}

const stave_book *stave_book_of(const stave_book *book, const char *model)
{
    for (size_t i = 0; model && i < stave_book_model_count(book); i++) {
        if (strcmp(book->models[i].name, model) == 0) {
            return &book->books[i];
        }
    }
    return NULL;
}

/* ---- records ------------------------------------------------------------------------ */

typedef struct record *(*record_reader)(struct arena *, const struct book *,
                                        const struct stave_text *);

struct record_call {
    const stave_book *book;
    const struct stave_text *text;
    record_reader reader;
};

static void record_fill(void *handle, struct arena *arena, const void *call)
{
    const struct record_call *asked = call;
    stave_record *made = handle;
    made->book = asked->book;
    made->record = asked->reader(arena, asked->book->book, asked->text);
    made->usable = !made->record->problems.error_count;
}

static enum stave_status read_record(const struct stave_host *host, const stave_book *book,
                                     const struct stave_text *text, record_reader reader,
                                     stave_record **record)
{
    if (!book || !book->sound || !text || !record || (!text->bytes && text->size)) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    const struct record_call call = {book, text, reader};
    enum stave_status status = handle_make(host, sizeof **record, offsetof(stave_record, arena),
                                           record_fill, &call, &made);
    *record = made;
    return status == STAVE_OK && !(*record)->usable ? STAVE_PROBLEMS : status;
}

enum stave_status stave_record_read(const struct stave_host *host, const stave_book *book,
                                    const struct stave_text *text, stave_record **record)
{
    return read_record(host, book, text, record_read, record);
}

enum stave_status stave_record_read_line(const struct stave_host *host, const stave_book *book,
                                         const struct stave_text *line, stave_record **record)
{
    return book && !book->usable ? STAVE_MISUSE
                                 : read_record(host, book, line, record_read_line, record);
}

struct anew_call {
    const stave_book *book, *made_by;
    const struct stave_text *text;
    struct renames renames;
};

static void anew_fill(void *handle, struct arena *arena, const void *call)
{
    const struct anew_call *asked = call;
    stave_record *made = handle;
    made->book = asked->book;
    made->record = record_read_anew(arena, asked->book->book, asked->made_by->book,
                                    &asked->renames, asked->text);
    made->usable = !made->record->problems.error_count;
}

enum stave_status stave_record_read_anew(const struct stave_host *host, const stave_book *book,
                                         const stave_book *made_by,
                                         const struct stave_renamed *renamed, size_t renamed_count,
                                         const struct stave_text *text, stave_record **record)
{
    if (!book || !book->usable || !made_by || !made_by->usable || !text || !record ||
        (!text->bytes && text->size) || (!renamed && renamed_count)) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    const struct anew_call call = {book, made_by, text, {renamed, renamed_count, false}};
    enum stave_status status = handle_make(host, sizeof **record, offsetof(stave_record, arena),
                                           anew_fill, &call, &made);
    *record = made;
    return status == STAVE_OK && !(*record)->usable ? STAVE_PROBLEMS : status;
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

/* The handle that judges by a book: one of its models', or itself. */
static const stave_book *book_ready(const stave_book *book, const struct book *checked)
{
    book = book->family ? book->family : book;
    for (size_t i = 0; i < book->model_count; i++) {
        if (book->books[i].book == checked) {
            return &book->books[i];
        }
    }
    return book;
}

const stave_book *stave_record_book(const stave_record *record)
{
    return record && record->usable ? book_ready(record->book, record->record->book) : NULL;
}

static void verdict_fill(void *handle, struct arena *arena, const void *call)
{
    const stave_record *record = call;
    struct verdict_handle *made = handle;
    const struct ready_book **ready =
        ARENA_ARRAY(arena, const struct ready_book *, record->record->other_count + (size_t)1);
    for (uint32_t i = 0; i <= record->record->other_count; i++) {
        const struct record *one = i ? record->record->others[i - 1] : record->record;
        ready[i] = ready_in(arena, book_ready(record->book, one->book));
    }
    verdict_make_open(arena, ready, record->record, &made->verdict);
}

enum stave_status stave_assess(const struct stave_host *host, const stave_record *record,
                               stave_verdict **verdict)
{
    if (!record || !record->usable || !verdict) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    enum stave_status status =
        handle_make(host, sizeof(struct verdict_handle), offsetof(struct verdict_handle, arena),
                    verdict_fill, record, &made);
    *verdict = made;
    return status;
}

void stave_verdict_free(stave_verdict *verdict)
{
    if (verdict) {
        struct verdict_handle *handle = (struct verdict_handle *)verdict;
        handle_free(handle, &handle->arena, sizeof *handle);
    }
}

/* ---- histories ------------------------------------------------------------------------ */

struct history_call {
    const stave_record *record;
    const stave_record *const *earlier;
    size_t earlier_count;
};

static void history_fill(void *handle, struct arena *arena, const void *call)
{
    const struct history_call *asked = call;
    stave_history *made = handle;
    const struct record **earlier = ARENA_ARRAY(arena, const struct record *, asked->earlier_count);
    for (size_t i = 0; i < asked->earlier_count; i++) {
        earlier[i] = asked->earlier[i]->record;
    }
    made->book = book_ready(asked->record->book, asked->record->record->book);
    made->history =
        history_make(arena, asked->record->record, earlier, (uint32_t)asked->earlier_count);
    made->usable = !made->history->problems.error_count;
}

static bool record_whole(const stave_record *record, const stave_book *book)
{
    return record && record->usable && !record->record->single && record->book == book;
}

enum stave_status stave_history_make(const struct stave_host *host, const stave_record *record,
                                     const stave_record *const *earlier, size_t earlier_count,
                                     stave_history **history)
{
    if (!record || !history || !record_whole(record, record->book) ||
        (!earlier && earlier_count) || earlier_count > HISTORY_RECORDS) {
        return STAVE_MISUSE;
    }
    for (size_t i = 0; i < earlier_count; i++) {
        /* What was read anew by another edition than its own is no record beside those that were not. */
        if (!record_whole(earlier[i], record->book) ||
            (earlier[i]->record->made_by && !record->record->made_by)) {
            return STAVE_MISUSE;
        }
    }
    void *made = NULL;
    const struct history_call call = {record, earlier, earlier_count};
    enum stave_status status = handle_make(host, sizeof **history, offsetof(stave_history, arena),
                                           history_fill, &call, &made);
    *history = made;
    return status == STAVE_OK && !(*history)->usable ? STAVE_PROBLEMS : status;
}

void stave_history_free(stave_history *history)
{
    if (history) {
        handle_free(history, &history->arena, sizeof *history);
    }
}

const struct stave_problem *stave_history_problems(const stave_history *history, size_t *count)
{
    *count = history ? history->history->problems.count : 0;
    return history ? history->history->problems.items : NULL;
}

static void since_fill(void *handle, struct arena *arena, const void *call)
{
    const stave_history *history = call;
    struct verdict_handle *made = handle;
    verdict_make_since(arena, ready_in(arena, history->book), history->history, &made->verdict);
}

enum stave_status stave_assess_since(const struct stave_host *host, const stave_history *history,
                                     stave_verdict **verdict)
{
    if (!history || !history->usable || !verdict) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    enum stave_status status =
        handle_make(host, sizeof(struct verdict_handle), offsetof(struct verdict_handle, arena),
                    since_fill, history, &made);
    *verdict = made;
    return status;
}

/* ---- outlines ------------------------------------------------------------------------- */

static void outline_fill(void *handle, struct arena *arena, const void *call)
{
    const stave_book *book = call;
    struct outline_handle *made = handle;
    outline_make(arena, ready_in(arena, book), &made->outline);
}

enum stave_status stave_outline_make(const struct stave_host *host, const stave_book *book,
                                     stave_outline **outline)
{
    if (!book || !book->usable || !outline) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    enum stave_status status =
        handle_make(host, sizeof(struct outline_handle), offsetof(struct outline_handle, arena),
                    outline_fill, book, &made);
    *outline = made;
    return status;
}

void stave_outline_free(stave_outline *outline)
{
    if (outline) {
        struct outline_handle *handle = (struct outline_handle *)outline;
        handle_free(handle, &handle->arena, sizeof *handle);
    }
}

/* ---- proofs --------------------------------------------------------------------------- */

struct proof_call {
    const stave_book *book;
    const struct stave_text *beside;
    size_t beside_count;
};

/* The examples of the texts beside a book, checked; what is wrong with them goes to the problems. */
static struct tree_example **read_beside(struct arena *arena, const struct proof_call *asked,
                                         size_t *count, struct problems *problems)
{
    const stave_book *book = asked->book;
    struct tree_example **more = NULL;
    size_t capacity = 0;
    for (size_t i = 0; i < asked->beside_count; i++) {
        struct tree_example *example = prove_read(arena, book->book, &asked->beside[i], problems);
        for (; example; example = example->next) {
            *ARENA_PUSH(arena, more, *count, capacity) = example;
        }
    }
    if (book->usable) {
        prove_check(arena, book->book, more, *count, problems);
    }
    for (size_t i = 0; !book->usable && i < book->model_count && !problems->error_count; i++) {
        prove_check(arena, book->books[i].book, more, *count, problems);
    }
    problems_sort(problems);
    return more;
}

/* The results of one model after those of the models before it. */
static void add_proof(struct arena *arena, struct stave_proof *all, const struct stave_proof *proof)
{
    struct stave_example_result *results =
        ARENA_ARRAY(arena, struct stave_example_result, all->result_count + proof->result_count);
    for (size_t i = 0; i < all->result_count; i++) {
        results[i] = all->results[i];
    }
    for (size_t i = 0; i < proof->result_count; i++) {
        results[all->result_count + i] = proof->results[i];
    }
    all->results = results;
    all->result_count += proof->result_count;
    all->failed += proof->failed;
    all->unconfirmed += proof->unconfirmed;
}

static void proof_fill(void *handle, struct arena *arena, const void *call)
{
    const struct proof_call *asked = call;
    const stave_book *book = asked->book;
    struct proof_handle *made = handle;
    struct problems problems;
    problems_begin(&problems, arena);
    size_t count = 0;
    struct tree_example **more = read_beside(arena, asked, &count, &problems);
    const size_t model_count = book->usable ? 1 : book->model_count;
    for (size_t i = 0; !problems.error_count && i < model_count; i++) {
        struct stave_proof proof;
        prove_examples(arena, ready_in(arena, book->usable ? book : &book->books[i]), more, count,
                       &proof);
        add_proof(arena, &made->proof, &proof);
    }
    made->proof.problems = problems.items;
    made->proof.problem_count = problems.count;
    made->beside_faulty = problems.error_count > 0;
}

enum stave_status stave_prove(const struct stave_host *host, const stave_book *book,
                              const struct stave_text *beside, size_t beside_count,
                              stave_proof **proof)
{
    if (!book || !book->sound || !proof || (!beside && beside_count)) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    const struct proof_call call = {book, beside, beside_count};
    enum stave_status status =
        handle_make(host, sizeof(struct proof_handle), offsetof(struct proof_handle, arena),
                    proof_fill, &call, &made);
    *proof = made;
    return status == STAVE_OK && ((struct proof_handle *)made)->beside_faulty ? STAVE_PROBLEMS
                                                                              : status;
}

void stave_proof_free(stave_proof *proof)
{
    if (proof) {
        struct proof_handle *handle = (struct proof_handle *)proof;
        handle_free(handle, &handle->arena, sizeof *handle);
    }
}

/* ---- pinned ----------------------------------------------------------------------------- */

struct pinning_handle {
    struct stave_pinning pinning;
    struct arena arena, scratch;
    bool beside_faulty;
};

struct pinning_call {
    struct proof_call proof;
    const struct stave_proving *how;
};

static void pinning_fill(void *handle, struct arena *arena, const void *call)
{
    const struct pinning_call *asked = call;
    struct pinning_handle *made = handle;
    struct problems problems;
    size_t count = 0;
    problems_begin(&problems, arena);
    struct tree_example **more = read_beside(arena, &asked->proof, &count, &problems);
    made->beside_faulty = problems.error_count > 0;
    if (!made->beside_faulty) {
        pinned_make(arena, &made->scratch, ready_in(arena, asked->proof.book), more, count, asked->how,
                    &made->pinning);
    }
}

enum stave_status stave_pinning_make(const struct stave_host *host, const stave_book *book,
                                     const struct stave_text *beside, size_t beside_count,
                                     const struct stave_proving *how, stave_pinning **pinning)
{
    if (!book || !book->usable || !pinning || (!beside && beside_count)) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    const struct pinning_call call = {{book, beside, beside_count}, how};
    enum stave_status status = handle_make_with(
        host, sizeof(struct pinning_handle), offsetof(struct pinning_handle, arena),
        offsetof(struct pinning_handle, scratch), pinning_fill, &call, &made);
    if (status == STAVE_OK && ((struct pinning_handle *)made)->beside_faulty) {
        stave_pinning_free(made);
        made = NULL;
        status = STAVE_MISUSE;
    }
    *pinning = made;
    return status;
}

void stave_pinning_free(stave_pinning *pinning)
{
    if (pinning) {
        struct pinning_handle *handle = (struct pinning_handle *)pinning;
        handle_free(handle, &handle->arena, sizeof *handle);
    }
}

/* ---- claims ---------------------------------------------------------------------------- */

struct claims_call {
    const stave_book *book;
    const struct stave_proving *how;
};

static void claims_fill(void *handle, struct arena *arena, const void *call)
{
    const struct claims_call *asked = call;
    struct claims_handle *made = handle;
    claims_make(arena, &made->scratch, ready_in(arena, asked->book), asked->how, NULL, &made->claims);
}

enum stave_status stave_claims_make(const struct stave_host *host, const stave_book *book,
                                    const struct stave_proving *how, stave_claims **claims)
{
    if (!book || !book->usable || !claims) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    const struct claims_call call = {book, how};
    enum stave_status status = handle_make_with(
        host, sizeof(struct claims_handle), offsetof(struct claims_handle, arena),
        offsetof(struct claims_handle, scratch), claims_fill, &call, &made);
    *claims = made;
    return status;
}

void stave_claims_free(stave_claims *claims)
{
    if (claims) {
        struct claims_handle *handle = (struct claims_handle *)claims;
        handle_free(handle, &handle->arena, sizeof *handle);
    }
}

/* ---- changes --------------------------------------------------------------------------- */

struct changes_call {
    const stave_book *first, *second;
    struct renames renames;
};

static void changes_fill(void *handle, struct arena *arena, const void *call)
{
    const struct changes_call *asked = call;
    struct changes_handle *made = handle;
    changes_list(arena, asked->first->book, asked->second->book, &asked->renames, &made->changes);
    changes_judge(arena, ready_in(arena, asked->first), ready_in(arena, asked->second),
                  &asked->renames, &made->changes);
}

enum stave_status stave_changes_make(const struct stave_host *host, const stave_book *first,
                                     const stave_book *second, const struct stave_renamed *renamed,
                                     size_t renamed_count, stave_changes **changes)
{
    if (!first || !first->usable || !second || !second->usable || !changes ||
        (!renamed && renamed_count)) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    const struct changes_call call = {first, second, {renamed, renamed_count, false}};
    enum stave_status status =
        handle_make(host, sizeof(struct changes_handle), offsetof(struct changes_handle, arena),
                    changes_fill, &call, &made);
    *changes = made;
    return status;
}

void stave_changes_free(stave_changes *changes)
{
    if (changes) {
        struct changes_handle *handle = (struct changes_handle *)changes;
        handle_free(handle, &handle->arena, sizeof *handle);
    }
}

/* ---- two books ---------------------------------------------------------------------------- */

struct compared_handle {
    struct stave_compared compared;
    struct arena arena, scratch;
};

struct compare_call {
    const stave_book *first, *second;
    const struct stave_renamed *renamed;
    size_t renamed_count;
    const struct stave_proving *how;
};

static void compared_fill(void *handle, struct arena *arena, const void *call)
{
    const struct compare_call *asked = call;
    struct compared_handle *made = handle;
    compare_make(arena, &made->scratch, ready_in(arena, asked->first),
                 ready_in(arena, asked->second), asked->renamed, asked->renamed_count, asked->how, &made->compared);
}

enum stave_status stave_compare(const struct stave_host *host, const stave_book *first,
                                const stave_book *second, const struct stave_renamed *renamed,
                                size_t renamed_count, const struct stave_proving *how,
                                stave_compared **compared)
{
    if (!first || !first->usable || !second || !second->usable || !compared ||
        (!renamed && renamed_count)) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    const struct compare_call call = {first, second, renamed, renamed_count, how};
    enum stave_status status = handle_make_with(
        host, sizeof(struct compared_handle), offsetof(struct compared_handle, arena),
        offsetof(struct compared_handle, scratch), compared_fill, &call, &made);
    *compared = made;
    return status;
}

void stave_compared_free(stave_compared *compared)
{
    if (compared) {
        struct compared_handle *handle = (struct compared_handle *)compared;
        handle_free(handle, &handle->arena, sizeof *handle);
    }
}

/* ---- obligations -------------------------------------------------------------------------- */

struct obligations_call {
    const stave_book *book, *second;
    const struct stave_proving *how;
};

static void obligations_fill(void *handle, struct arena *arena, const void *call)
{
    const struct obligations_call *asked = call;
    struct obligations_handle *made = handle;
    struct stave_obligations *obligations = &made->obligations;
    const struct ready_book *ready = ready_in(arena, asked->book);
    obligations->text =
        asked->second ? asked_of_two(arena, &made->scratch, ready, ready_in(arena, asked->second),
                                     asked->how, &obligations->size)
                      : asked_text(arena, &made->scratch, ready, asked->how, &obligations->size);
}

enum stave_status stave_obligations_make(const struct stave_host *host, const stave_book *book,
                                         const stave_book *second, const struct stave_proving *how,
                                         stave_obligations **obligations)
{
    if (!book || !book->usable || (second && !second->usable) || !obligations) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    const struct obligations_call call = {book, second, how};
    enum stave_status status = handle_make_with(
        host, sizeof(struct obligations_handle), offsetof(struct obligations_handle, arena),
        offsetof(struct obligations_handle, scratch), obligations_fill, &call, &made);
    *obligations = made;
    return status;
}

void stave_obligations_free(stave_obligations *obligations)
{
    if (obligations) {
        struct obligations_handle *handle = (struct obligations_handle *)obligations;
        handle_free(handle, &handle->arena, sizeof *handle);
    }
}

/* ---- sweeps --------------------------------------------------------------------------- */

struct sweep_call {
    const stave_book *book;
    const struct stave_sweep_options *options;
    const struct stave_text *start;
};

static void sweep_fill(void *handle, struct arena *arena, const void *call)
{
    const struct sweep_call *asked = call;
    const stave_book *against = asked->options->against;
    stave_sweep *made = handle;
    problems_begin(&made->problems, arena);
    made->sweep = sweep_make(arena, make_ready_in(arena, asked->book, true),
                             against ? make_ready_in(arena, against, true) : NULL, asked->options,
                             asked->start, &made->problems, &made->header);
    for (size_t i = 0; i < made->header; i++) {
        made->header_lines += asked->start->bytes[i] == '\n';
    }
    problems_sort(&made->problems);
}

enum stave_status stave_sweep_make(const struct stave_host *host, const stave_book *book,
                                   const struct stave_sweep_options *options,
                                   const struct stave_text *start, stave_sweep **sweep)
{
    if (!book || !book->usable || !options || (options->against && !options->against->usable) ||
        (!options->ignored && options->ignored_count) || !start ||
        (!start->bytes && start->size) || !sweep) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    const struct sweep_call call = {book, options, start};
    enum stave_status status = handle_make(host, sizeof **sweep, offsetof(stave_sweep, arena),
                                           sweep_fill, &call, &made);
    *sweep = made;
    return status == STAVE_OK && !(*sweep)->sweep ? STAVE_PROBLEMS : status;
}

void stave_sweep_free(stave_sweep *sweep)
{
    if (sweep) {
        handle_free(sweep, &sweep->arena, sizeof *sweep);
    }
}

const struct stave_problem *stave_sweep_problems(const stave_sweep *sweep, size_t *count)
{
    *count = sweep ? sweep->problems.count : 0;
    return sweep ? sweep->problems.items : NULL;
}

size_t stave_sweep_header(const stave_sweep *sweep, uint64_t *lines)
{
    *lines = sweep ? sweep->header_lines : 0;
    return sweep ? sweep->header : 0;
}

const char *stave_sweep_heading(const stave_sweep *sweep)
{
    return sweep && sweep->sweep ? sweep_answer_heading(sweep->sweep) : "";
}

static void cutter_fill(void *handle, struct arena *arena, const void *call)
{
    stave_cutter *made = handle;
    made->cutter = cutter_make(arena, ((const stave_sweep *)call)->sweep);
}

enum stave_status stave_cutter_make(const struct stave_host *host, const stave_sweep *sweep,
                                    stave_cutter **cutter)
{
    if (!sweep || !sweep->sweep || !cutter) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    enum stave_status status = handle_make(host, sizeof **cutter, offsetof(stave_cutter, arena),
                                           cutter_fill, sweep, &made);
    *cutter = made;
    return status;
}

void stave_cutter_free(stave_cutter *cutter)
{
    if (cutter) {
        handle_free(cutter, &cutter->arena, sizeof *cutter);
    }
}

enum stave_status stave_cutter_next(stave_cutter *cutter, const stave_sweep *sweep)
{
    if (!cutter || !sweep || !sweep->sweep) {
        return STAVE_MISUSE;
    }
    cutter_next(cutter->cutter, sweep->sweep);
    return STAVE_OK;
}

enum stave_status stave_cut(stave_cutter *cutter, const char *bytes, size_t size, bool last,
                            struct stave_cut *cut)
{
    struct escape escape = {.status = STAVE_OK};
    *cut = (struct stave_cut){0};
    if (!cutter || (!bytes && size)) {
        return STAVE_MISUSE;
    }
    cutter->arena.escape = &escape;
    if (setjmp(escape.to) == 0) {
        cutter_cut(cutter->cutter, bytes ? bytes : "", size, last, cut);
    }
    cutter->arena.escape = NULL;
    return escape.status;
}

static void sweeper_fill(void *handle, struct arena *arena, const void *call)
{
    stave_sweeper *made = handle;
    arena_begin(&made->row, &arena->allocator, NULL); /* nothing is taken from it yet */
    made->sweeper = sweeper_make(arena, &made->row, ((const stave_sweep *)call)->sweep);
}

enum stave_status stave_sweeper_make(const struct stave_host *host, const stave_sweep *sweep,
                                     stave_sweeper **sweeper)
{
    if (!sweep || !sweep->sweep || !sweeper) {
        return STAVE_MISUSE;
    }
    void *made = NULL;
    enum stave_status status = handle_make(host, sizeof **sweeper, offsetof(stave_sweeper, arena),
                                           sweeper_fill, sweep, &made);
    *sweeper = made;
    return status;
}

void stave_sweeper_free(stave_sweeper *sweeper)
{
    if (sweeper) {
        arena_end(&sweeper->row);
        handle_free(sweeper, &sweeper->arena, sizeof *sweeper);
    }
}

enum stave_status stave_sweeper_answer(stave_sweeper *sweeper, const struct stave_block *block,
                                       const char **answers, size_t *size)
{
    struct escape escape = {.status = STAVE_OK};
    *answers = "";
    *size = 0;
    if (!sweeper || sweeper->spent || !block || (!block->bytes && block->size)) {
        return STAVE_MISUSE;
    }
    sweeper->arena.escape = sweeper->row.escape = &escape;
    if (setjmp(escape.to) == 0) {
        sweeper_answer(sweeper->sweeper, block, answers, size);
    } else {
        *answers = "";
        *size = 0;
        sweeper->spent = true;
    }
    sweeper->arena.escape = sweeper->row.escape = NULL;
    return escape.status;
}

const struct stave_sweep_counts *stave_sweeper_counts(const stave_sweeper *sweeper)
{
    return sweeper ? sweeper_counts(sweeper->sweeper) : NULL;
}
