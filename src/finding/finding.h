/*
 * Findings: what was recorded, resolved against a book and made into sets of worlds.
 *
 * A finding line (from a record, an example or the command line) becomes a struct
 * finding: for each thing its kind records a set of values that it may have, and for each axis
 * the set of extents that it may have. Everything that cannot be is an error with a caret:
 * unknown names, a value outside its range, a place outside the part, an empty or reversed range,
 * a missing unit, a reading given twice, a side that the part does not have.
 * All values are in base units.
 */
#ifndef STAVE_FINDING_FINDING_H
#define STAVE_FINDING_FINDING_H

#include "book/book.h"

enum given { GIVEN_NOT, GIVEN_EXACT, GIVEN_DOUBT, GIVEN_RANGE };

struct reading {
    enum given given;
    /* A measure: the closed set [low, high], before rounding; `middle` is the
     * `a` of "a +/- d" (else equals low). Not given: the measure's whole range. */
    struct number low, high, middle;
    const struct unit *unit; /* to show figures in; the measure's own when not given */
    uint64_t values;         /* an observation: the possible values */
    struct span span;        /* source NULL when not given */
};

/*
 * The extents [lo, hi] that a finding may have on one axis:
 *   { [lo, hi] : lo in [lo_low, lo_high], hi in [hi_low, hi_high], lo <= hi }
 * and with `point`, only those with lo == hi (then both pairs are equal).
 *   "at 36 in"            a point, exact
 *   "at 36 +/- 1 in"      a point, doubted
 *   "at 30 .. 32 in"      exact ends
 *   "at 30 +/- 1 .. 32 in"
 *   not given             point false, both pairs the whole axis
 *   one number p (+/- d) where the kind records measure m along this axis, greatest reading M:
 *                         lo in [p-d-M, p+d], hi in [p-d, p+d+M], clipped to the axis
 */
struct extent {
    enum given given;
    bool point;
    struct number lo_low, lo_high, hi_low, hi_high;
    /* The same set when each "+/-" is its middle alone, for books that judge as read; with
     * `along`, M is then the middle of the measure's own "+/-". Without any "+/-" the same four. */
    struct number read_lo_low, read_lo_high, read_hi_low, read_hi_high;
    const struct unit *unit;
    struct span span;
};

/* Was it there at the inspection before? */
enum seen { SEEN_UNKNOWN, SEEN_NEW, SEEN_BEFORE };

/* The values that a variable of a docket may have, as the company of a finding gives it. */
struct company_range {
    struct number low, high;
};

struct finding {
    const char *id; /* "F1" */
    bool id_typed;  /* false: it has its id by its place in the record */
    const struct part *part;
    uint32_t instance;        /* from 1; 0 when the part is one and no number was written */
    const struct kind *kind;  /* a kind or a check */
    struct reading *readings; /* kind->record_count */
    struct extent *extents;   /* part->axis_count */
    uint64_t sides;           /* sides that it may be on (exactly one in each world); 0: no sides */
    bool side_given;
    uint64_t places; /* named places that it may be at (one in each world); 0: none */
    bool place_given;
    /* What was read before, by record; NULL: nothing. A reading that is GIVEN_NOT, and all
     * where the pointer is NULL, may have been anything in the measure's range; but with SEEN_NEW
     * there was nothing before, and nothing has grown. Set by `was`, `first` and `new` in the line,
     * or by whoever pairs records. */
    struct reading *earlier, *first;
    enum seen seen;
    /* By variable of its docket: what src/company found; those of other variables are unused. NULL
     * where nobody looked: then judge() takes anything as possible. `company_read` is for books that
     * judge as read. */
    const struct company_range *company, *company_read;
    const char *text, *remark;
    struct span span;
};

/* What a record says of numbers: how many of each counted part; NULL in examples, where
 * any number up to the part's most is fine. */
struct finding_counts {
    const uint32_t *instances; /* by part index; 0: not fitted or unknown */
};

/*
 * Resolves a line. `with` (may be NULL) adds readings or places and replaces those of the line
 * with the same name. NULL when there are errors.
 */
struct finding *finding_resolve(struct arena *arena, const struct book *book,
                                const struct tree_finding *line, const struct tree_reading *with,
                                const struct finding_counts *counts, const char *id,
                                struct problems *problems);
/* Resolves a line as in an example, alone and with what each `gives` about it adds, for its problems
 * alone. */
void finding_check(struct arena *arena, const struct book *book, const struct tree_finding *line,
                   const struct tree_gives *gives, struct problems *problems);

/* Is a reading better than one before it beyond doubt, by more than one step of its measure? */
bool reading_got_better(struct arena *arena, const struct measure *measure,
                        const struct reading *before, const struct reading *now);
/* "0.7 in", "0.3 .. 0.4 in": of a measure. */
const char *reading_phrase(struct arena *arena, const struct reading *reading);

/* A copy of a resolved finding that holds nothing of the arena that it was resolved in; text and
 * remark are copied, its id is not. */
struct finding *finding_keep(struct arena *arena, const struct finding *finding);

/* One answer to a check for one instance, from readings alone. NULL on errors. */
struct finding *finding_answer(struct arena *arena, const struct book *book,
                               const struct kind *check, const struct part *part, uint32_t instance,
                               const struct tree_reading *readings, struct span where,
                               struct problems *problems);

/* "blade 1", "spinner". */
const char *finding_part_name(struct arena *arena, const struct part *part, uint32_t instance);

#endif
