/*
 * One `gives` line of an example, ready to be judged again and again. Inside src/prove only.
 */
#ifndef STAVE_PROVE_CASE_H
#define STAVE_PROVE_CASE_H

#include "verdict/verdict.h"

struct example_case {
    const struct tree_example *example;
    const struct tree_gives *gives;
    struct finding **findings; /* of the example down to the line that is meant, `times` and all */
    uint32_t count;
    uint32_t first;     /* those from here on are judged */
    uint64_t claimed;   /* outcomes, a bit set over the scale */
    bool asks_deadline; /* it states one */
};

/* What a case came to, over all its worlds. */
struct found {
    uint64_t possible;
    struct deadline_list deadlines;
    struct judged worst;
};

/* Resolves the findings. What is wrong in them goes to the problems: prove_check has said it. */
void case_make(struct arena *arena, const struct book *book, struct problems *problems,
               const struct tree_example *example, const struct tree_gives *gives,
               struct example_case *made);
/* Judges it. `judged` may be NULL, else it takes what each finding from `first` on came to. */
struct found case_run(struct arena *arena, const struct ready_book *ready,
                      const struct example_case *one, struct judged *judged);
/* Is what was found what it claims? */
bool case_agrees(const struct example_case *one, const struct found *found);

bool case_deadline(const struct tree_tail *tail);
/* The found deadline of the sort that a claim speaks of, or -1. */
int case_find_deadline(const struct found *found, const struct tree_tail *tail);

#endif
