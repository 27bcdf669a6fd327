/*
 * An inspection record: YAML for the frame, Stave's own reader for every scalar.
 *
 * libyaml gives events with marks; the reader holds them against a fixed shape and refuses
 * all that the shape does not know: unknown or doubled keys, tags, anchors, aliases, merges, directives,
 * several documents, a scalar over several lines, a comment on the line of a value. A record
 * ends with `end: N findings`, the count of its findings, so that a record that lost
 * its tail or a line in the middle is not taken for a whole one.
 */
#ifndef STAVE_RECORD_RECORD_H
#define STAVE_RECORD_RECORD_H

#include "book/family.h"
#include "finding/finding.h"
#include "read/rename.h"

/* A search or a check that the book asks for, for one instance. */
struct answer {
    const struct kind *check; /* NULL for a search */
    const struct part *part;
    uint32_t instance; /* from 1; 0 for a part that is one */
    bool given;
    struct finding *finding; /* a check that was answered; else NULL */
    const char *why_missing; /* "not answered", "not searched", "not said whether fitted" */
    struct span span;
};

/* What a record says to be mended, or gone with a part that was replaced. */
struct repaired {
    const char *id;          /* of a finding; NULL for a check */
    const struct kind *check;
    const struct part *part; /* of the check */
    uint32_t instance;       /* from 1; 0 for a part that is one */
    const char *text, *remark;
    struct span span;
};

/* Where a record says what another record may contradict. */
struct record_places {
    struct span propeller, model, date, hours, cycles;
    struct span *counts; /* by part index */
    struct span *facts;  /* of a family, by fact index */
};

struct record {
    struct arena *arena;
    struct problems problems;
    const struct book *book;
    /* Of a family, where what is recorded leaves more models than one (record/choice.c): */
    struct record **others;     /* the same inspection by each other model that may apply */
    uint32_t other_count;
    bool model_open;            /* others, or some propellers so recorded are of no model */
    const char *open_fact;      /* a fact that would tell; "" where there is none such */
    const char *open_why;       /* "'BM-3' or 'BM-3A' may apply: fact 'serial' is not recorded" */
    const char *facts_text;     /* "serial 612, screen wrapped", or NULL */
    struct fact_set *facts;     /* what it says of each, by fact index; NULL where no family */
    const struct family *family; /* whose facts these are */
    const struct book *made_by; /* another book, by which it was made; else NULL */
    struct source *source;
    bool single; /* one line; then only `findings` is set, with one entry */
    const char *propeller, *model, *aircraft, *inspector, *date, *hours_text, *remarks;
    struct number hours;
    bool has_hours;
    bool has_cycles;
    struct number cycles;
    uint32_t *instances; /* by part index: how many there are; 0: none fitted */
    uint64_t *fitted;    /* by part index: which instances, bit n-1 */
    bool *fitted_known;  /* by part index */
    struct finding **findings;
    uint32_t finding_count;
    struct answer *answers;
    uint32_t answer_count; /* checks in book order, then searches */
    struct repaired *repaired;
    uint32_t repaired_count;
    struct record_places at;
};

struct record *record_read(struct arena *arena, const struct book *book,
                           const struct stave_text *text);
/* The same for a record made by another book, whose words are said in those of `book` first. Of a family,
 * the models are those that its facts select, whichever model's book is given. */
struct record *record_read_anew(struct arena *arena, const struct book *book,
                                const struct book *made_by, const struct renames *renames,
                                const struct stave_text *text);
struct record *record_read_line(struct arena *arena, const struct book *book,
                                const struct stave_text *text);

#endif
