/* Running the worked examples of a book. */
#include "prove/prove.h"

#include "book/family.h"

#include <string.h>

#include "base/text.h"
#include "prove/case.h"
#include "read/read.h"

struct bench {
    struct arena *arena;
    const struct ready_book *ready;
    struct problems *problems; /* of lines; empty once prove_check has passed */
    struct stave_example_result *results;
    size_t count, capacity, failed, unconfirmed;
};

/* ---- checking ------------------------------------------------------------------- */

/* Resolves the lines of an example for their problems alone: where there are none, what it took is
 * given back. */
static void check_findings(struct arena *arena, const struct book *book,
                           const struct tree_example *example, struct problems *problems)
{
    struct arena_mark mark = arena_mark(arena);
    size_t before = problems->error_count + problems->warning_count;
    for (const struct tree_finding *finding = example->findings; finding; finding = finding->next) {
        finding_check(arena, book, finding, example->gives, problems);
    }
    if (problems->error_count + problems->warning_count == before) {
        arena_release(arena, mark);
    }
}

void prove_check(struct arena *arena, const struct book *book, struct tree_example *const *examples,
                 size_t count, struct problems *problems)
{
    for (size_t i = 0; i < count; i++) {
        if (book_takes_example(book, examples[i])) {
            check_findings(arena, book, examples[i], problems);
        }
    }
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
        quantity_text(arena, tail->quantity->value, tail->quantity->unit, NUMBER_DOWN, &rounded));
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
        text_add(&text, case_deadline(tail) ? claimed_deadline(arena, tail) : "");
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
        int which = case_deadline(tail) ? case_find_deadline(found, tail) : -1;
        if (which >= 0) {
            const struct stave_deadline *deadline = &found->deadlines.items[which];
            text_add(&text, deadline_text(arena, deadline->look_again, deadline->within));
        } else if (case_deadline(tail)) {
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
    struct example_case one;
    case_make(arena, bench->ready->book, bench->problems, example, gives, &one);
    struct found found = case_run(arena, bench->ready, &one, NULL);
    uint64_t claimed = one.claimed;
    bool passed = case_agrees(&one, &found);
    *ARENA_PUSH(arena, bench->results, bench->count, bench->capacity) =
        (struct stave_example_result){
            .model = book->model ? book->model->name : "",
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
        if (!book_takes_example(bench->ready->book, examples[i])) {
            continue;
        }
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
