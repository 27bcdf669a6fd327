/* A `gives` line judged. */
#include "prove/case.h"

#include "base/text.h"

/* ---- what is claimed ------------------------------------------------------------- */

bool case_deadline(const struct tree_tail *tail)
{
    return tail->sort == TREE_WITHIN || tail->sort == TREE_AGAIN_WITHIN;
}

int case_find_deadline(const struct found *found, const struct tree_tail *tail)
{
    for (size_t i = 0; i < found->deadlines.count; i++) {
        if (found->deadlines.items[i].look_again == (tail->sort == TREE_AGAIN_WITHIN) &&
            dimension_equal(found->deadlines.dimensions[i], tail->quantity->unit->dimension)) {
            return (int)i;
        }
    }
    return -1;
}

static bool deadline_agrees(const struct found *found, const struct tree_tail *tail)
{
    int which = case_find_deadline(found, tail);
    return which >= 0 && number_equal(found->deadlines.values[which], tail->quantity->value);
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

/* ---- findings ------------------------------------------------------------------- */

/* The findings of an example down to a line, `times` and all; the last line with its `with`. */
struct population {
    struct finding **items;
    uint32_t count;
    size_t capacity;
};

static void add_line(struct arena *arena, const struct book *book, struct problems *problems,
                     struct population *population, const struct tree_finding *line,
                     const struct tree_reading *with)
{
    for (uint32_t i = 0; i < line->times; i++) {
        const char *id = text_format(arena, "F%u", (unsigned)population->count + 1);
        struct finding *finding = finding_resolve(arena, book, line, with, NULL, id, problems);
        if (!finding) {
            return;
        }
        *ARENA_PUSH(arena, population->items, population->count, population->capacity) = finding;
    }
}

void case_make(struct arena *arena, const struct book *book, struct problems *problems,
               const struct tree_example *example, const struct tree_gives *gives,
               struct example_case *made)
{
    struct population population = {0};
    const struct tree_finding *last = gives->propeller ? gives->last : gives->finding;
    const struct tree_finding *line = example->findings;
    while (line && line != last) {
        add_line(arena, book, problems, &population, line, NULL);
        line = line->next;
    }
    if (line) {
        add_line(arena, book, problems, &population, line, gives->propeller ? NULL : gives->with);
    }
    *made = (struct example_case){.example = example,
                                  .gives = gives,
                                  .findings = population.items,
                                  .count = population.count,
                                  .claimed = claimed_set(book, gives)};
    if (!gives->propeller && population.count > 0) {
        made->first = population.count - 1;
    }
    for (const struct tree_tail *tail = gives->tails; tail; tail = tail->next) {
        made->asks_deadline |= case_deadline(tail);
    }
}

struct found case_run(struct arena *arena, const struct ready_book *ready,
                      const struct example_case *one, struct judged *judged)
{
    struct found found = {0};
    if (one->count == 0) {
        return found;
    }
    const struct company *company = company_make(arena, ready->plan, one->findings, one->count);
    for (uint32_t i = one->first; i < one->count; i++) {
        struct judged this = judged_make(arena, ready, company, i, JUDGE_ALL);
        if (!found.worst.judgement || this.judgement->worst > found.worst.judgement->worst) {
            found.worst = this;
        }
        found.possible = worst_of_pairs(found.possible, this.judgement->possible);
        deadlines_add(arena, &found.deadlines, &this, NULL);
        if (judged) {
            judged[i - one->first] = this;
        }
    }
    return found;
}

bool case_agrees(const struct example_case *one, const struct found *found)
{
    bool agrees = found->possible == one->claimed;
    for (const struct tree_tail *tail = one->gives->tails; tail; tail = tail->next) {
        agrees = agrees && (!case_deadline(tail) || deadline_agrees(found, tail));
    }
    return agrees;
}
