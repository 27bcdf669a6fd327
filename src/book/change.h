/* The trees of one model: those that it starts from, with its differences. Not for others. */
#ifndef STAVE_BOOK_CHANGE_H
#define STAVE_BOOK_CHANGE_H

#include "book/check.h"
#include "book/family.h"

/* Changes model->trees, which hold what it starts from; shares with these all that is the same.
 * What cannot be done is reported, and the model is broken. */
void change_trees(struct checker *checker, struct model *model);

/* The first statement of a tree behind a place in its text, and what it is; no source: none. */
struct span change_statement_after(const struct tree *tree, uint32_t from, const char **noun);

#endif
