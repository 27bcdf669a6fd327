/*
 * Worked examples: each `gives` line of a book judged and held against what it claims.
 *
 * A case is a finding line with what `with` adds (or, for `gives propeller`, all
 * finding lines of the example). It passes when the possible outcomes are
 * exactly those that the line names, and the deadlines those that it states.
 */
#ifndef STAVE_PROVE_PROVE_H
#define STAVE_PROVE_PROVE_H

#include "verdict/verdict.h"

/* Reports the finding lines of examples that cannot be judged. Done when a book is read, so
 * that such an example is an error of the book. */
void prove_check(struct arena *arena, const struct book *book,
                 struct tree_example *const *examples, size_t count, struct problems *problems);

/* Runs the examples of the book and then those given; all must have passed prove_check. */
void prove_examples(struct arena *arena, const struct ready_book *ready,
                    struct tree_example *const *more, size_t more_count,
                    struct stave_proof *proof);

/* Runs the examples given, alone. */
void prove_some(struct arena *arena, const struct ready_book *ready,
                struct tree_example *const *examples, size_t count, struct stave_proof *proof);

/* Reads a text of examples that stands beside a book; anything else in it is an error. */
struct tree_example *prove_read(struct arena *arena, const struct book *book,
                                const struct stave_text *text, struct problems *problems);

#endif
