/*
 * Shared by the files of this folder: one record on its way in.
 *
 * The order: the frame, the keys, who and when, how many parts and which are fitted, searches,
 * checks, findings, the end. A fault in one does not stop the rest, but what depends on
 * it is then not faulted again.
 */
#ifndef STAVE_RECORD_INTAKE_H
#define STAVE_RECORD_INTAKE_H

#include "book/family.h"
#include "record/frame.h"
#include "record/record.h"

#define RECORD_FINDINGS 25000u /* findings in one record */
#define RECORD_ID 32u         /* bytes of a finding's id */

struct intake {
    struct arena *arena;
    struct arena *work; /* of one finding line on its way; what is kept is copied */
    const struct book *book;
    struct problems *problems;
    struct record *record;
    const struct renames *renames; /* NULL: a record made by the book itself */
    const struct model *const *models; /* all that the record may be of, where these are several */
    uint32_t model_count;
    const struct frame_node *root;
    struct tree_finding *lines;
    uint32_t *positions;    /* by part: how many there would be, were all fitted */
    bool *counted;          /* by part: that number was read without error */
    bool *resolved;         /* by part: positions, fitted and the rest are known */
    uint64_t *searched;     /* by part: bit n-1 for each instance; bit 0 for a part that is one */
    struct span *search_at; /* by part: where it was last listed */
    size_t answer_capacity;
    uint32_t *ids;          /* findings by a hash of their id, each its index + 1; 0: free */
    uint32_t id_places;     /* a power of two, at least twice the findings */
};

/* ---- values (record/value.c) ------------------------------------------------------ */

/* A node's text, or NULL with an error when it is a list or a map. */
const char *value_text(struct intake *intake, const struct frame_node *node);
/* The same for text that Stave's reader takes from the source: no escapes, no '#' before ';'. */
bool value_readable(struct intake *intake, const struct frame_node *node);
/* "not seen", "not measured", with any blanks between. */
bool value_is_missing(const char *text);
/* A text cut at its blanks and around "..", each word with its place. */
struct tree_word *value_words(struct intake *intake, const struct frame_node *node,
                              uint32_t *count);
/* A whole number as people write it ("4", not "04"), at most 9 digits. */
bool value_whole(const char *text, uint32_t *number);
/* Says "did you mean 'near'?" or "what: a, b, c". */
void value_suggest(struct intake *intake, struct stave_problem *problem, const char *wanted,
                   const char *const *names, uint32_t count, const char *what);

/* ---- parts (record/parts.c) ------------------------------------------------------------ */

/* "blades" */
const char *parts_count_key(struct intake *intake, const struct part *part);
bool parts_single(const struct part *part);
void parts_read(struct intake *intake); /* the counts, and what is fitted */
void searched_read(struct intake *intake);
/* The instances of a part that answers are asked for: bit n-1. */
uint64_t parts_asked(const struct intake *intake, const struct part *part);

/* The part and number at the head of `count` words, "blade 2" or "spinner", that is there; the
 * number is 0 for a part that is one. *used counts its words. False with an error. */
bool parts_one(struct intake *intake, const struct tree_word *words, uint32_t count,
               const struct part **part, uint32_t *instance, uint32_t *used);

/* ---- models of a family (record/choice.c) ------------------------------------------------ */

/* The models that a record may be of, by what it says; 0 with errors. Sets what the record says of facts and,
 * where it is not certain, of the models. */
uint32_t choice_read(struct intake *intake, const struct model **models);

/* ---- answers and findings ------------------------------------------------------------------ */

void answers_read(struct intake *intake); /* checks, then what was searched */
void findings_read(struct intake *intake);
void repaired_read(struct intake *intake);
bool id_good(const char *text);
/* A map of a finding's names as the line that says the same. NULL with errors. */
struct tree_finding *finding_map_read(struct intake *intake, const struct frame_node *map,
                                      const char **text);

#endif
