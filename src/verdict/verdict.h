/*
 * judgements -> verdict: every item of a record judged, then each part and the
 * propeller, put into the words and figures that people and programs read.
 *
 * The verdict and all its strings are in the given arena. Nothing here decides
 * an outcome: it asks judge() and keeps the worst.
 */
#ifndef STAVE_VERDICT_VERDICT_H
#define STAVE_VERDICT_VERDICT_H

#include "company/company.h"
#include "history/history.h"
#include "judge/judge.h"
#include "record/record.h"

/* A book ready for use: checked, compiled, and its facts for the public. */
struct ready_book {
    const struct book *book;
    const struct plan *plan;
    const struct stave_book_facts *facts;
};

/* What one finding or answered check came to. */
struct judged {
    const struct finding *finding;  /* with its company */
    const struct company *company;
    uint32_t index;               /* in the company */
    const struct docket *docket;
    struct arena *work;           /* that it was judged in, for scratch */
    struct judgement *judgement;  /* as the book says to judge */
    int32_t guarded;              /* outcome by guarded judging where the book judges as read; else -1 */
};

/* Judges one finding of a company by the book's rule. */
struct judged judged_make(struct arena *arena, const struct ready_book *ready,
                          const struct company *company, uint32_t index,
                          enum judge_telling telling);
/* The best outcome that is possible. */
uint32_t judged_best(const struct judged *judged);

/* "spanwise or slanted": the values of a set. */
const char *values_text(struct arena *arena, const struct observation *observation,
                        uint64_t values);
/* The first measure in an expression, in whose reading's unit its figures are shown where they are of its sort;
 * or NULL. */
const struct measure *expression_first_measure(const struct expression *expression);
/* A reading as it was recorded, with the value that was compared behind it, in `unit`, where rounding made
 * another figure of it (verdict/reason.c). */
const char *recorded_text(struct arena *arena, const struct reading *reading,
                          struct number compared, const struct unit *unit, enum number_round worse,
                          bool *rounded);
/* The reasons of a judged finding, governing first (verdict/reason.c). */
const struct stave_reason *reasons_make(struct arena *arena, const struct ready_book *ready,
                                        const struct judged *judged, size_t *count);

/* The governing reason alone (there has to be one), with the nearest comparison that kept it from a better line;
 * or where there is none with those that held. */
struct stave_reason reason_brief(struct arena *arena, const struct ready_book *ready,
                                 const struct judged *judged);

/* "with F2 and F5: 3 on blade 1, 2 allowed": what a comparison with company rests on; "" for
 * any other (verdict/company.c). */
const char *company_text(struct arena *arena, const struct judged *judged,
                         const struct condition_result *result);

/* What to call a question about company: "gouge on a blade", "total length of gouge on a blade". */
const char *company_name(struct arena *arena, const struct aggregate *aggregate);

/* What to ask for, in order; `prefix` ("F2: ") begins each `how` where it is not NULL. */
const struct stave_need *needs_make(struct arena *arena, const struct judged *judged,
                                    const struct judgement *judgement, const char *prefix,
                                    size_t *count);

/* What is recorded and how: "longest dimension; read up to the next 0.01 in" (verdict/need.c). */
const char *measure_how(struct arena *arena, const struct measure *measure);
const char *measure_step(struct arena *arena, const struct measure *measure);
const char *observation_how(struct arena *arena, const struct observation *observation);

/* A limit's head as a phrase, and a line as the book writes it without its tails
 * (verdict/reason.c). */
const char *limit_phrase(struct arena *arena, const struct limit *limit);
const char *rung_text(struct arena *arena, const struct book *book, const struct rung *rung);

/* A value in base units as a figure in `unit` (verdict/figure.c). */
struct stave_figure figure_make(struct arena *arena, struct number value, const struct unit *unit,
                                enum number_round how);

/* The cautions that every verdict carries. */
const char *const *verdict_cautions(size_t *count);

/* A growing list of deadlines that keeps the shortest of each sort. */
struct deadline_list {
    struct stave_deadline *items;
    struct number *values;
    struct dimension *dimensions;
    size_t count, capacity;
};
/* Adds the deadlines of every rung that may decide. record may be NULL: then nothing is due. */
void deadlines_add(struct arena *arena, struct deadline_list *list, const struct judged *judged,
                   const struct record *record);
/* Adds the deadlines of another list. */
void deadlines_join(struct arena *arena, struct deadline_list *list,
                    const struct deadline_list *other);

/* One deadline with its value from now on, kept where it is the shortest of its sort. */
void deadlines_add_one(struct arena *arena, struct deadline_list *list,
                       const struct stave_deadline *deadline, struct number value,
                       struct dimension dimension);
/* What is left at `now` of `value` that began at `start`; below zero: overdue. False when one of the
 * records lacks what it is counted in. */
bool deadline_left(struct arena *arena, struct number value, struct dimension dimension,
                   const struct record *start, const struct record *now, struct number *left);
/* "3 h", "1 day". */
const char *deadline_amount(struct arena *arena, struct number value, struct dimension dimension,
                            enum number_round how);

/* How much each measure grew (verdict/growth.c). */
const struct stave_growth *growths_make(struct arena *arena, const struct judged *judged,
                                        bool as_read, size_t *count);

/* Fills the facts of a checked book. */
const struct stave_book_facts *facts_make(struct arena *arena, const struct book *book);

/* The whole verdict of a record without errors. */
void verdict_make(struct arena *arena, const struct ready_book *ready, const struct record *record,
                  struct stave_verdict *verdict);
/* The same for the last record of a history without errors. */
void verdict_make_since(struct arena *arena, const struct ready_book *ready,
                        const struct history *history, struct stave_verdict *verdict);
/*
 * The same where more models of a family than one may apply: `ready` is the record's book, then
 * those of its others. Of every item the worst by any of them, the deadlines, needs and cautions of
 * all, and the propeller is incomplete until the model is known.
 */
void verdict_make_open(struct arena *arena, const struct ready_book *const *ready,
                       const struct record *record, struct stave_verdict *verdict);

#endif
