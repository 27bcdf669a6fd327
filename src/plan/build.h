/*
 * Inside the plan: what its files share while one docket is made. Nothing outside src/plan
 * includes this. What a docket keeps is in its arena; the lattices and all else on the way are in
 * scratch, and so may be the limbs of their numbers: what is kept of these is copied.
 *
 * A docket is made in this order: its conditions become lattices of linear forms, with
 * each curve still a line of its own points (place_function.c, atoms.c); then the breakpoints of all
 * axes are known (cells.c); then the lines are read off at the breakpoints, and
 * the zones cut into cells (plan.c, cells.c).
 */
#ifndef STAVE_PLAN_BUILD_H
#define STAVE_PLAN_BUILD_H

#include "plan/place_line.h"
#include "plan/plan.h"

/* What would pass one of these leaves with STAVE_TOO_BIG. */
#define PLAN_LEAVES 4096u     /* atoms of one condition */
#define PLAN_NODES 16384u     /* figures, names and signs of one side, reckoned names written out */
#define PLAN_CELLS (1u << 20) /* cells of a docket, over all sides */

/* Terms (by rising variable, none zero), a line for each axis or NULL, and a constant. */
struct linear {
    struct term *terms;
    uint32_t term_count;
    const struct place_line *lines[BOOK_AXES];
    struct number constant;
};

enum lattice_sort { LATTICE_LINEAR, LATTICE_LEAST, LATTICE_GREATEST };

/* An expression as the least or greatest of linear forms, nested. */
struct lattice {
    enum lattice_sort sort;
    struct linear linear;
    struct lattice **branches;
    uint32_t branch_count;
};

/* A docket under construction. */
struct build {
    struct arena *arena, *scratch;
    const struct book *book;
    struct docket *docket;
    size_t variable_capacity;
    struct step_lattice *lattices; /* of its comparisons, in the order of the limits */
    uint32_t lattice_count;
    size_t lattice_capacity;
    struct read_line *read_lines; /* the newest, in a ring */
    uint32_t read_line_count;     /* of all */
};

/* A line read off at the breakpoints of its axis (kept). Many conditions have the same one. */
struct read_line {
    const struct place_line *line;
    struct place_function function;
};

/* A comparison that waits for the breakpoints: g < 0 or g <= 0. */
struct step_lattice {
    struct step *step;
    struct lattice *lattice;
    bool strict;
};

/* Brings a comparison to g (< or <=) 0. Adds the products that it uses to docket.variables. */
struct step_lattice atoms_prepare(struct build *build, struct step *step);
/* The atom tree of a comparison; docket.axes have their breakpoints. */
struct atom_tree *atoms_finish(struct build *build, const struct lattice *lattice, bool strict);

/* Sets docket.axes, side_count and cell_count, from the zones and the lattices. */
void cells_begin(struct build *build);
/* The membership of a zone, as plan_limit.cells. `known` by zone index, for what is worked out. */
uint64_t *cells_of_zone(struct build *build, const struct zone *zone, uint64_t **known);
size_t cells_words(const struct docket *docket); /* 64-bit words of one membership */

#endif
