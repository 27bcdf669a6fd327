/* Running the worked examples of a book. */
#include "prove/prove.h"

#include <string.h>

#include "base/text.h"
#include "read/read.h"

struct bench {
    struct arena *arena;
    const struct ready_book *ready;
    struct problems *problems; /* of lines; empty once prove_check has passed */
    struct stave_example_result *results;
    size_t count, capacity, failed, unconfirmed;
};

/* ---- checking ------------------------------------------------------------------- */

/* Resolves a line for its problems alone: where there are none, what it took is given back. */
static void check_line(struct arena *arena, const struct book *book,
                       const struct tree_finding *line, const struct tree_reading *with,
                       struct problems *problems)
{
    struct arena_mark mark = arena_mark(arena);
    size_t before = problems->error_count + problems->warning_count;
    finding_resolve(arena, book, line, with, NULL, "", problems);
    if (problems->error_count + problems->warning_count == before) {
        arena_release(arena, mark);
    }
}

static void check_findings(struct arena *arena, const struct book *book,
                           const struct tree_example *example, struct problems *problems)
{
    size_t before = problems->error_count;
    for (const struct tree_finding *finding = example->findings; finding; finding = finding->next) {
        check_line(arena, book, finding, NULL, problems);
    }
    if (problems->error_count > before) {
        return; /* the same line again with `with` would only repeat it */
    }
    for (const struct tree_gives *gives = example->gives; gives; gives = gives->next) {
        if (gives->finding && gives->with) {
            check_line(arena, book, gives->finding, gives->with, problems);
        }
    }
}

void prove_check(struct arena *arena, const struct book *book, struct tree_example *const *examples,
                 size_t count, struct problems *problems)
{
    for (size_t i = 0; i < count; i++) {
        check_findings(arena, book, examples[i], problems);
    }
}

/* ---- running ---------------------------------------------------------------------- */

/* All the worlds of a case: the possible outcomes and the deadlines. */
struct found {
    uint64_t possible;
    struct deadline_list deadlines;
    struct judged worst;
};

/* Each pair of worlds gives the worse of its two outcomes. An empty set stands for nothing yet. */
static uint64_t worst_of_pairs(uint64_t a, uint64_t b)
{
    if (!a || !b) {
        return a | b;
    }
    int best_a = __builtin_ctzll(a);
    int best_b = __builtin_ctzll(b);
    return (a | b) & ~UINT64_C(0) << (best_a > best_b ? best_a : best_b);
}

/* The findings of an example down to a line, `times` and all; the last line with its `with`. */
struct population {
    struct finding **items;
    uint32_t count;
    size_t capacity;
};

static void add_line(struct bench *bench, struct population *population,
                     const struct tree_finding *line, const struct tree_reading *with)
{
    struct arena *arena = bench->arena;
    for (uint32_t i = 0; i < line->times; i++) {
        const char *id = text_format(arena, "F%u", (unsigned)population->count + 1);
        struct finding *finding =
            finding_resolve(arena, bench->ready->book, line, with, NULL, id, bench->problems);
        if (!finding) {
            return;
        }
        *ARENA_PUSH(arena, population->items, population->count, population->capacity) = finding;
    }
}

static void add_finding(struct bench *bench, struct found *found, const struct company *company,
                        uint32_t index)
{
    struct arena *arena = bench->arena;
    struct judged judged = judged_make(arena, bench->ready, company, index);
    if (!found->worst.judgement || judged.judgement->worst > found->worst.judgement->worst) {
        found->worst = judged;
    }
    found->possible = worst_of_pairs(found->possible, judged.judgement->possible);
    deadlines_add(arena, &found->deadlines, &judged, NULL);
}

static struct found run_case(struct bench *bench, const struct tree_example *example,
                             const struct tree_gives *gives)
{
    struct found found = {0};
    struct population population = {0};
    const struct tree_finding *last = gives->propeller ? gives->last : gives->finding;
    const struct tree_finding *line = example->findings;
    while (line && line != last) {
        add_line(bench, &population, line, NULL);
        line = line->next;
    }
    if (line) {
        add_line(bench, &population, line, gives->propeller ? NULL : gives->with);
    }
    if (population.count == 0) {
        return found;
    }
    const struct company *company =
        company_make(bench->arena, bench->ready->plan, population.items, population.count);
    for (uint32_t i = gives->propeller ? 0 : population.count - 1; i < population.count; i++) {
        add_finding(bench, &found, company, i);
    }
    return found;
}

/* ---- telling ------------------------------------------------------------------------ */

static const char *deadline_text(struct arena *arena, bool again, const char *within)
{
    return text_format(arena, " %swithin %s", again ? "again " : "", within);
}

static const char *claimed_deadline(struct arena *arena, const struct tree_tail *tail)
{
    bool rounded;
    return deadline_text(
        arena, tail->sort == TREE_AGAIN_WITHIN,
        quantity_text(arena, tail->quantity.value, tail->quantity.unit, NUMBER_DOWN, &rounded));
}

static bool is_deadline(const struct tree_tail *tail)
{
    return tail->sort == TREE_WITHIN || tail->sort == TREE_AGAIN_WITHIN;
}

/* The found deadline of the sort that a claim speaks of, or -1. */
static int find_deadline(const struct found *found, const struct tree_tail *tail)
{
    for (size_t i = 0; i < found->deadlines.count; i++) {
        if (found->deadlines.items[i].look_again == (tail->sort == TREE_AGAIN_WITHIN) &&
            dimension_equal(found->deadlines.dimensions[i], tail->quantity.unit->dimension)) {
            return (int)i;
        }
    }
    return -1;
}

static bool deadline_agrees(const struct found *found, const struct tree_tail *tail)
{
    int which = find_deadline(found, tail);
    return which >= 0 && number_equal(found->deadlines.values[which], tail->quantity.value);
}

static const char *outcomes_text(struct arena *arena, const struct book *book, uint64_t set)
{
    struct text text;
    text_begin(&text, arena);
    for (uint32_t i = 0; i < book->scale_count; i++) {
        if (set >> i & 1) {
            text_add(&text, text.size ? " or " : "");
            text_add(&text, book->scale[i].name);
        }
    }
    return text_done(&text);
}

static const char *expected_text(struct arena *arena, const struct book *book, uint64_t claimed,
                                 const struct tree_gives *gives)
{
    struct text text;
    text_begin(&text, arena);
    text_add(&text, outcomes_text(arena, book, claimed));
    for (const struct tree_tail *tail = gives->tails; tail; tail = tail->next) {
        text_add(&text, is_deadline(tail) ? claimed_deadline(arena, tail) : "");
    }
    return text_done(&text);
}

static const char *found_text(struct arena *arena, const struct book *book,
                              const struct found *found, const struct tree_gives *gives)
{
    struct text text;
    text_begin(&text, arena);
    text_add(&text, outcomes_text(arena, book, found->possible));
    for (const struct tree_tail *tail = gives->tails; tail; tail = tail->next) {
        int which = is_deadline(tail) ? find_deadline(found, tail) : -1;
        if (which >= 0) {
            const struct stave_deadline *deadline = &found->deadlines.items[which];
            text_add(&text, deadline_text(arena, deadline->look_again, deadline->within));
        } else if (is_deadline(tail)) {
            text_add(&text, " without such a deadline");
        }
    }
    return text_done(&text);
}

static const char *case_text(struct arena *arena, const struct tree_gives *gives)
{
    if (gives->propeller) {
        return "all findings of the example";
    }
    const char *line = span_text(arena, gives->finding->span);
    if (!gives->with) {
        return line;
    }
    const struct tree_reading *last = gives->with;
    while (last->next) {
        last = last->next;
    }
    return text_format(arena, "%s, with %s", line,
                       span_text(arena, span_join(gives->with->span, last->span)));
}

static const char *comparison_text(struct arena *arena, const struct stave_comparison *shown)
{
    if (!shown->name[0]) {
        return shown->condition;
    }
    return text_format(arena, "%s %s, %s %s%s%s%s%s%s", shown->name, shown->reading,
                       shown->relation, shown->limit, shown->where[0] ? " at " : "", shown->where,
                       shown->company[0] ? " (" : "", shown->company, shown->company[0] ? ")" : "");
}

static const char *why_text(struct arena *arena, const struct ready_book *ready,
                            const struct found *found)
{
    if (!found->worst.judgement) {
        return "nothing was judged";
    }
    size_t count;
    const struct stave_reason *reasons = reasons_make(arena, ready, &found->worst, &count);
    if (found->worst.judgement->witness_uncovered || !count) {
        return text_format(arena, "part of it lies in no zone with a limit for '%s'",
                           found->worst.finding->kind->name);
    }
    const struct stave_reason *reason = &reasons[0];
    struct text text;
    text_begin(&text, arena);
    text_addf(&text, "%s, line %u", reason->limit, (unsigned)reason->line);
    if (reason->line_text[0]) {
        text_add(&text, ": ");
        text_add(&text, reason->line_text);
    } else {
        text_add(&text, ": no line holds");
    }
    for (size_t i = 0; i < reason->kept_from_count; i++) {
        text_add(&text, i ? "; " : "; kept from the better lines by: ");
        text_add(&text, comparison_text(arena, &reason->kept_from[i]));
    }
    return text_done(&text);
}

static uint64_t claimed_set(const struct book *book, const struct tree_gives *gives)
{
    uint64_t claimed = 0;
    for (const struct tree_words *word = gives->outcomes; word; word = word->next) {
        int32_t outcome = book_find_outcome(book, word->word.text);
        claimed |= outcome >= 0 ? UINT64_C(1) << outcome : 0;
    }
    return claimed;
}

static const char *cited(const struct tree_example *example)
{
    for (const struct tree_tail *tail = example->tails; tail; tail = tail->next) {
        if (tail->sort == TREE_PER) {
            return tail->string.text;
        }
    }
    return "";
}

static void run_gives(struct bench *bench, const struct tree_example *example,
                      const struct tree_gives *gives)
{
    struct arena *arena = bench->arena;
    const struct book *book = bench->ready->book;
    struct found found = run_case(bench, example, gives);
    uint64_t claimed = claimed_set(book, gives);
    bool passed = found.possible == claimed;
    for (const struct tree_tail *tail = gives->tails; tail; tail = tail->next) {
        passed = passed && (!is_deadline(tail) || deadline_agrees(&found, tail));
    }
    *ARENA_PUSH(arena, bench->results, bench->count, bench->capacity) =
        (struct stave_example_result){
            .title = example->title.text,
            .source = cited(example),
            .text_name = gives->span.source->name,
            .line = span_line(arena, gives->span),
            .case_text = case_text(arena, gives),
            .expected = expected_text(arena, book, claimed, gives),
            .found = found_text(arena, book, &found, gives),
            .why = !passed                ? why_text(arena, bench->ready, &found)
                   : example->unconfirmed ? "nobody has confirmed it: hold it against the source, "
                                            "then take 'unconfirmed' out"
                                          : "",
            .unconfirmed = example->unconfirmed,
            .passed = passed && !example->unconfirmed,
        };
    bench->failed += !passed || example->unconfirmed;
}

static void run_examples(struct bench *bench, struct tree_example *const *examples, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        bench->unconfirmed += examples[i]->unconfirmed;
        for (const struct tree_gives *gives = examples[i]->gives; gives; gives = gives->next) {
            run_gives(bench, examples[i], gives);
        }
    }
}

void prove_examples(struct arena *arena, const struct ready_book *ready,
                    struct tree_example *const *more, size_t more_count, struct stave_proof *proof)
{
    struct problems problems;
    problems_begin(&problems, arena);
    struct bench bench = {.arena = arena, .ready = ready, .problems = &problems};
    run_examples(&bench, ready->book->examples, ready->book->example_count);
    run_examples(&bench, more, more_count);
    *proof = (struct stave_proof){.results = bench.results,
                                  .result_count = bench.count,
                                  .failed = bench.failed,
                                  .unconfirmed = bench.unconfirmed};
}

void prove_some(struct arena *arena, const struct ready_book *ready,
                struct tree_example *const *examples, size_t count, struct stave_proof *proof)
{
    struct problems problems;
    problems_begin(&problems, arena);
    struct bench bench = {.arena = arena, .ready = ready, .problems = &problems};
    run_examples(&bench, examples, count);
    *proof = (struct stave_proof){
        .results = bench.results, .result_count = bench.count, .failed = bench.failed};
}

/* ---- texts of examples ----------------------------------------------------------------- */

struct tree_example *prove_read(struct arena *arena, const struct book *book,
                                const struct stave_text *text, struct problems *problems)
{
    struct source *source = source_open(arena, text, SOURCE_BOOK_LIMIT, problems);
    if (!source) {
        return NULL;
    }
    const struct tree *tree = read_book(arena, source, problems);
    bool others = tree->head || tree->uses || tree->scale || tree->parts || tree->searches ||
                  tree->zones || tree->measures || tree->observes || tree->kinds || tree->curves ||
                  tree->reckons || tree->limits || tree->checks;
    struct span start = {.source = source, .from = 0, .to = 0};
    if (others) {
        problem_help(problem_add(problems, STAVE_ERROR, "not-examples", start,
                                 "'%s' holds more than examples", source->name),
                     problems, "a text beside a book may hold 'example' blocks only");
    } else if (!tree->examples) {
        problem_add(problems, STAVE_ERROR, "no-examples", start, "'%s' holds no example",
                    source->name);
    }
    book_check_examples(book, tree->examples, problems);
    return tree->examples;
}
