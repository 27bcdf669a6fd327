/* Random small books and findings for test_judge.c, built without a text. */
#ifndef STAVE_TESTS_JUDGE_RANDOM_H
#define STAVE_TESTS_JUDGE_RANDOM_H

#include "finding/finding.h"

/*
 * Everything is counted in grains. All that a book says lies on whole or half units; the
 * oracle's worlds lie on eighths, its places on sixteenths or finer.
 */
#define GRAINS 64      /* in one unit */
#define WORLD_GRAINS 8 /* one eighth */
#define CASE_AXES 2
#define CASE_MEASURES 3
#define CASE_RECORDS 4
#define CASE_WORLDS 800 /* most worlds of a case on the oracle's lattice */

struct random {
    uint64_t state;
};
uint32_t random_below(struct random *random, uint32_t count); /* 0 .. count - 1 */
bool random_chance(struct random *random, uint32_t percent);

struct random_book {
    struct book *book;
    struct part *part;
    struct kind *kind;
    uint32_t longest; /* unknown things in its longest condition: 2 or 3 */
    bool across;      /* some condition adds curves along both axes */
};

struct random_book random_book(struct arena *arena, struct random *random);

struct number in_units(struct arena *arena, int64_t grains);

/*
 * A finding and the values of each coordinate on the oracle's lattice, in grains. Of a rounded
 * measure the half units are enough: some of them round to each value that can come about.
 */
struct random_case {
    struct finding *finding;
    bool as_read;
    uint32_t floor;
    int64_t low[CASE_RECORDS], high[CASE_RECORDS], grain[CASE_RECORDS]; /* readings, from, to, by */
    struct ends {
        int64_t lo_low, lo_high, hi_low, hi_high;
        bool point;
    } ends[CASE_AXES];
};

struct random_case random_case(struct arena *arena, struct random *random,
                               const struct random_book *book);

#endif
