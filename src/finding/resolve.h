/*
 * Shared by the files of this folder: one line on its way to a struct finding.
 *
 * A line is resolved in two layers. The line itself comes first; then the readings after
 * `with` replace what has the same name. Within one layer everything may be said once.
 */
#ifndef STAVE_FINDING_RESOLVE_H
#define STAVE_FINDING_RESOLVE_H

#include "finding/finding.h"

struct resolving {
    struct arena *arena;
    const struct book *book;
    struct problems *problems;
    struct finding *finding;
    bool in_with; /* the layer: readings after `with` */
    /* Where each thing was said in this layer; source NULL: not yet. */
    struct span *reading_said; /* by record of the kind */
    struct span *extent_said;  /* by axis of the part */
    struct span *earlier_said, *first_said; /* the same, of what was read before */
    struct span new_said;
    struct span side_said, place_said;
    bool *single; /* by axis: one number was written, not a range */
};

/* ---- names ------------------------------------------------------------------- */

#define NAME_NONE UINT32_MAX

/* Where a name stands among others, what a kind records, a part's axes; or NAME_NONE. */
uint32_t name_find(const char *const *names, uint32_t count, const char *wanted);
uint32_t record_find(const struct kind *kind, const char *wanted);
uint32_t axis_find(const struct part *part, const char *wanted);
/* "a, b, c" */
const char *name_list(struct arena *arena, const char *const *names, uint32_t count);
/* Says "did you mean 'near'?" where a name is near, else "what: a, b, c". */
void name_help(struct resolving *resolving, struct stave_problem *problem, const char *wanted,
               const char *const *names, uint32_t count, const char *what);
/* The names of what the kind records; of the part's axes. */
const char **record_names(struct arena *arena, const struct kind *kind);
const char **axis_names(struct arena *arena, const struct part *part);

/* Notes that a thing was said; false, with an error, when it had been in this layer. */
bool said_once(struct resolving *resolving, struct span *said, struct span at, const char *name);

/* ---- figures ------------------------------------------------------------------- */

/* What an amount or range has to be: a dimension within [from, to]. */
struct asked {
    const char *name; /* "depth" */
    struct dimension dimension;
    const struct unit *unit; /* the book's own, for advice */
    struct number from, to;
};

/* A range in base units: the ends' middles and what their doubts make of them,
 * clipped to what is asked. */
struct figures {
    struct number from, from_low, from_high;
    struct number to, to_low, to_high; /* as from, when one number was written */
    const struct unit *unit;           /* of the first figure */
};

/* False with errors: no unit, another dimension, a minus sign, out of range, reversed. */
bool figures_read(struct resolving *resolving, const struct asked *asked,
                  const struct tree_range *range, struct figures *figures);

/* ---- readings and places ----------------------------------------------------------- */

void readings_begin(struct resolving *resolving); /* nothing given yet */
void reading_add(struct resolving *resolving, const struct tree_reading *reading);
/* An answer's first reading, without a name, belongs to the only thing that a check records. */
void reading_add_answer(struct resolving *resolving, const struct tree_reading *reading);

/* Warns of what is better than the line itself says that it was. */
void readings_finish(struct resolving *resolving);

void extents_begin(struct resolving *resolving);
void place_add(struct resolving *resolving, const struct tree_place *place);
/* A reading after `with` that names an axis, a side or a place: true when it did. */
bool place_add_reading(struct resolving *resolving, const struct tree_reading *reading);
/* Once all is known: what measures along an axis do to its extents. */
void extents_finish(struct resolving *resolving);

#endif
