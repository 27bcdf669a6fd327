/* What the files that draw a map share. */
#ifndef STAVE_SHOW_MAPPING_H
#define STAVE_SHOW_MAPPING_H

#include "show/picture.h"

#define WIDTH 360.0
#define TALL 430.0   /* of a panel */
#define TICKS 34.0   /* for the figures of an axis */
#define BRACKET 14.0 /* for one column of zones */
#define MOST_PANELS 64
#define MOST_BRACKETS 48

struct panel {
    double left, right;
    bool mirrored;            /* its second axis runs to the left, its ids stand on the left */
    const char *side, *place; /* NULL: the part has none */
};

struct mapping {
    struct page *page;
    const struct picture *picture;
    const struct stave_part *part;
    uint32_t part_index;
    const char *name;
    struct panel panels[MOST_PANELS];
    size_t panel_count;
    double top, bottom, brackets, strip, right, width, height;
    struct ink_scale up;           /* the first axis */
    double across_from, across_to; /* the second axis */
    size_t left_out;               /* marks without room */
    size_t zones_left_out;         /* zones without room, counted while all is laid out */
};

struct box {
    double x0, x1, y0, y1; /* x0 <= x1, y0 <= y1 */
};

/* Zones that run across: each a bracket beside the panels, in the first column that is free. */
struct bracket {
    const struct stave_zone *zone;
    double y0, y1;
    unsigned column;
};

/* Where a value of the second axis lies on a panel. */
double mapping_across(const struct mapping *map, const struct panel *panel, double value);
/* The box between two values of each axis. */
struct box mapping_box(const struct mapping *map, const struct panel *panel, const double up[2],
                       const double over[2]);
/* Makes a stretch at least so long, about its middle. */
void mapping_widen(double *low, double *high, double least);

/* Lays the brackets into columns and gives their number; counts what has no room. */
size_t mapping_lay_brackets(struct mapping *map, struct bracket *brackets, unsigned *columns);
void mapping_draw_brackets(const struct mapping *map, const struct bracket *brackets, size_t count);
/* Draws the zones that are boxes, or only gives the rows that their names take. */
unsigned mapping_box_zones(struct mapping *map, bool draw);

#endif
