/*
 * How far a long proof has come, and an end to it before it is done.
 *
 * On a terminal (standard error) a proof that takes more than a second shows where it is, on one
 * line that is taken away again. Ctrl-C asks the library to stop: what was proved so far is shown. A
 * second one ends the program at once.
 */
#ifndef STAVE_CLI_PROGRESS_H
#define STAVE_CLI_PROGRESS_H

#include <stdbool.h>
#include <stddef.h>
#include <time.h>

#include "stave.h"

struct progress {
    const char *what; /* "claims" */
    bool terminal, shown;
    struct timespec begun, last;
};

/* From here on Ctrl-C asks for a stop: of this proof, and of what the run would prove after it. */
void progress_begin(struct progress *progress, const char *what);
/* A stave_progress; `user` is a struct progress. */
bool progress_tell(void *user, size_t done, size_t all, const char *next);
/* Takes the line away; Ctrl-C is what it was before. */
void progress_end(struct progress *progress);

#endif
