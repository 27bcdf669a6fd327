/*
 * Figures, symbols and comparisons as SMT-LIB 2. Inside src/question only.
 *
 * A comparison has to be true at every place of extent and zone. It is brought to an
 * and/or tree of linear forms; on one piece of the zone, between two neighbouring points of the
 * curves that it names, each form is straight along each axis and so greatest at one end of what
 * the extent has of that stretch: "the lesser of hi and the stretch's end" where it rises, "the greater of lo
 * and its beginning" where it falls. So no quantifier is left.
 */
#ifndef STAVE_QUESTION_FORMULA_H
#define STAVE_QUESTION_FORMULA_H

#include "base/text.h"
#include "question/pieces.h"

/* "5.0", "(/ 127.0 5.0)", "(- 3.0)": of the sort Real. */
void formula_number(struct text *text, struct number value);
/* "|station lo|" */
void formula_symbol(struct text *text, const char *name, const char *more);

/* How the compared values of one kind on one part are called. */
struct formula_names {
    struct arena *arena;
    const struct book *book;
    const struct part *part;
    /* The term of the sort Real for a measure, an aggregate, what was read before, or `seen`. */
    const char *(*term)(const void *user, const struct expression *expression);
    const void *user;
};

/* Does the extent meet the piece? A term of the sort Bool over |side| and the ends of the extent. */
void formula_meets(struct text *text, const struct part *part, const struct piece *piece);
/* Does it meet any of them? */
void formula_meets_any(struct text *text, const struct part *part, const struct pieces *pieces);
/* Does the comparison hold at every place of extent and zone? */
void formula_compare(struct text *text, const struct formula_names *names,
                     const struct condition *condition, const struct pieces *zone);

#endif
