/* How what a book reckons goes with a measure, by its form. Inside src/prove only. */
#ifndef STAVE_PROVE_GOES_H
#define STAVE_PROVE_GOES_H

#include "book/book.h"

/* How a value goes with a measure: not at all, up, down, or one cannot say. A set of bits. */
enum goes { GOES_NOT = 0, GOES_UP = 1, GOES_DOWN = 2, GOES_ANY = 3 };

enum goes goes_turned(enum goes goes);
/* `larger M` and `M together` go as M of the damage that asks. */
enum goes goes_with(const struct expression *expression, const struct measure *measure);

#endif
