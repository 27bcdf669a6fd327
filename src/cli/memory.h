/*
 * Where the library's memory comes from in the program: the first few MiB of a run from one
 * region that the system is asked to give in large pages, all else from malloc.
 *
 * A question is answered in a few milliseconds, of which a good part went into one page fault for
 * each 4 KiB. What is freed in the region is used again only where it was the newest taken; all
 * goes when the process does. Any thread may take and free.
 */
#ifndef STAVE_CLI_MEMORY_H
#define STAVE_CLI_MEMORY_H

#include "stave.h"

/* The allocator for the one run of this process: where the region cannot be had, all is from malloc. */
const struct stave_allocator *memory_begin(void);

#endif
