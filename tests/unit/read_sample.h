/* A book that uses every rule of the grammar, and how the reader's tests look at problems.
 * All figures and names in it are invented. */
#ifndef TESTS_READ_SAMPLE_H
#define TESTS_READ_SAMPLE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "read/read.h"

static const char sample_book[] =
    "stave 1   # the version\n"
    "book BM-3 \"composite blade, field limits\"\n"
    "    edition \"C\" dated 2026-03-01\n"
    "    for model BM-3, BM-3A\n"
    "    judge as read\n"
    "    caution \"first\"\n"
    "    caution \"second\"\n"
    "use \"common.stave\"\n"
    "scale\n"
    "    serviceable  \"continue in service\"\n"
    "    watch        \"continue\"  again within 50 h  within 1 1/2 days\n"
    "  no flight\n"
    "    shop\n"
    "part blade, 2 .. 6 \"each\"\n"
    "    axis station   6 .. 52 in    read to 0.25 in  \"from the hub\"\n"
    "    axis chord     0 % .. 100%\n"
    "    side camber, thrust meet at chord 0 %, chord 100 %\n"
    "part boot, one on each blade where fitted\n"
    "part spinner\n"
    "    place dome, attachment\n"
    "search blade  \"both sides\"\n"
    "zone mid   on blade  station 14 in .. below 34 in\n"
    "zone cap   on blade  station over 16 in .. 52 in  chord 0 .. 10 % camber\n"
    "zone skin  on blade  outside cap, mid\n"
    "measure depth   0 in .. 1 in      read to 0.001 in     \"deepest\"\n"
    "measure length  0 .. 46 in        read up to 0.01 in\n"
    "measure dull    0 in2 .. 90 in^2  read nearest 0.01 in\xC2\xB2 smaller is worse  \"area\"\n"
    "measure turns   0 .. 10\n"
    "observe lie     one of spanwise, slanted\n"
    "observe grease  levels nothing, trace, thrown \"ordered\"\n"
    "observe settles yes or no\n"
    "kind gouge, nick on blade, spinner records depth, length along station\n"
    "    look \"gone\"\n"
    "    caution \"gloves\"\n"
    "curve deep along station per \"fig 2\"\n"
    "    14 in   0.010 in\n"
    "    52in   0.035in\n"
    "reckon area as length * (depth + 1/16 in) / 2 - 10 % of the lesser of depth and length\n"
    "limit gouge, nick on skin, mid   per \"Table 2\"\n"
    "    serviceable  depth up to deep, length below 2 in\n"
    "    watch        depth over 20 % of deep and below 50 thou,\n"
    "                 # a comment, then an empty line\n"
    "\n"
    "                 lie is spanwise or slanted, lie is not slanted, settles, not settles,\n"
    "                 any length, at any size do \"look\" note \"hm\"\n"
    "    otherwise    shop\n"
    "limit crack on root no published limit  note \"silent\"\n"
    "check twist on blade  records rock   per \"5-2\"\n"
    "    look \"hold it\"\n"
    "    caution \"slowly\"\n"
    "    serviceable  rock at least 0.5 deg\n"
    "    otherwise    no published limit\n"
    "example \"on the curve\"  per \"2-1\"\n"
    "    blade 1 gouge at station 36 in chord 40 % camber, length 0 in ; a # remark \n"
    "    gives serviceable  with depth 0.0275 in\n"
    "    gives watch or no published limit with lie not seen, settles no again within 50 h\n"
    "    spinner nick at station 30 .. 32 in, depth 27 +/- 2 thou .. 3 \xC2\xB1 1 mm, "
    "lie spanwise or slanted, not settles, settles, dull not measured\n"
    "    gives propeller shop\n";

/* Reading with an arena that ends with the test. */
struct reading_bench {
    struct escape escape;
    struct arena arena;
    struct problems problems;
    struct source *source;
    size_t size;
};

static inline void bench_begin(struct reading_bench *bench, const char *bytes, size_t size)
{
    struct stave_text text = {"a.stave", bytes, size};
    arena_begin(&bench->arena, NULL, &bench->escape);
    problems_begin(&bench->problems, &bench->arena);
    bench->size = size;
    bench->source = source_open(&bench->arena, &text, SOURCE_BOOK_LIMIT, &bench->problems);
}

static inline struct span bench_span(const struct reading_bench *bench)
{
    return (struct span){bench->source, 0, (uint32_t)bench->source->size};
}

/* Every problem in a line of its own:
 * "3:9+5 syntax: message (1:2 second message) -- help" */
static inline const char *bench_problems(struct reading_bench *bench)
{
    struct text text;
    text_begin(&text, &bench->arena);
    problems_sort(&bench->problems);
    for (size_t i = 0; i < bench->problems.count; i++) {
        const struct stave_problem *problem = &bench->problems.items[i];
        text_addf(&text, "%u:%u+%u %s: ", problem->at.line, problem->at.column, problem->at.width,
                  problem->code);
        text_add(&text, problem->message);
        if (problem->second_message) {
            text_addf(&text, " (%u:%u ", problem->second.line, problem->second.column);
            text_add(&text, problem->second_message);
            text_add(&text, ")");
        }
        if (problem->help) {
            text_add(&text, " -- ");
            text_add(&text, problem->help);
        }
        text_add(&text, "\n");
    }
    return text_done(&text);
}

#endif
