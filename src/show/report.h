/* Parts of a report that stand in several places. */
#ifndef STAVE_SHOW_REPORT_H
#define STAVE_SHOW_REPORT_H

#include "show/page.h"
#include "stave.h"

/* One finding, check or search with its outcome and why. */
void report_item(struct page *page, const stave_verdict *verdict, const struct stave_item *item);
/* Where it is and what was recorded, as it was judged: each figure with its exact value. */
void report_as_read(struct page *page, const struct stave_item *item);

#endif
