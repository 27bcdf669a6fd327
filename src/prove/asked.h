/* The proof obligations of a book as SMT-LIB 2, each with the answer that the proof has for it. */
#ifndef STAVE_PROVE_ASKED_H
#define STAVE_PROVE_ASKED_H

#include "prove/claims.h"

/* Proves the book, so as to state the answers. The text is in `arena`; claims_make says what the others are. */
const char *asked_text(struct arena *arena, struct arena *scratch, const struct ready_book *ready,
                       const struct stave_proving *how, size_t *size);

/* Whether two books answer differently, kind by kind. */
const char *asked_of_two(struct arena *arena, struct arena *scratch, const struct ready_book *first,
                         const struct ready_book *second, const struct stave_proving *how,
                         size_t *size);

#endif
