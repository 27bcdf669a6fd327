/* What the files that draw a chart share. */
#ifndef STAVE_SHOW_CHARTING_H
#define STAVE_SHOW_CHARTING_H

#include "show/picture.h"

/* The bands lie between LEFT and RIGHT; beside them stand the other unit and the outcomes. */
#define WIDTH 640.0
#define LEFT 58.0
#define RIGHT 470.0
#define TOP 82.0
#define TALL 210.0

struct charting {
    struct page *page;
    const struct picture *picture;
    const struct stave_chart *chart;
    const struct stave_ladder *ladder;
    const struct stave_part *part;
    const struct stave_book_facts *book;
    struct ink_scale across, up;
    bool by_columns; /* no axis: each zone is a column */
    size_t left_out;
};

/* The findings of the limit, and their ids above the bands (chart_marks.c). */
void charting_findings(struct charting *at);

#endif
