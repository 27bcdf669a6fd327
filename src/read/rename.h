/*
 * Words of one book said as another book says them, in trees that are judged by the other.
 *
 * What is renamed is copied; the rest is shared with the tree that was given. Spans stay those of the text
 * that was read, so that problems show what its author wrote.
 */
#ifndef STAVE_READ_RENAME_H
#define STAVE_READ_RENAME_H

#include "read/tree.h"

struct renames {
    const struct stave_renamed *items;
    size_t count;
    bool back; /* from the second's words to the first's */
};

/* What the other book calls it: itself, where nothing is said. Never NULL for a text. */
const char *rename_text(const struct renames *renames, const char *text);
/* Lists, and all that is in them. */
struct tree_reading *rename_readings(struct arena *arena, const struct renames *renames,
                                     const struct tree_reading *readings);
/* One finding line, alone. */
struct tree_finding *rename_finding(struct arena *arena, const struct renames *renames,
                                    const struct tree_finding *finding);
/* One example, alone: its findings and its `gives` lines, which speak of the copies. */
struct tree_example *rename_example(struct arena *arena, const struct renames *renames,
                                    const struct tree_example *example);

#endif
