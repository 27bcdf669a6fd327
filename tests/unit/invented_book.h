/*
 * For tests of findings and records: an invented book, a record made by it, and an arena to
 * read them in.
 */
#ifndef TESTS_INVENTED_BOOK_H
#define TESTS_INVENTED_BOOK_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "fail_alloc.h"
#include "record/record.h"

static const char invented_book[] =
    "stave 1\n"
    "book BM-3 \"invented blade for tests\"\n"
    "    edition \"C\" dated 2026-03-01\n"
    "    for model BM-3, BM-3L\n"
    "\n"
    "scale\n"
    "    serviceable  \"continue in service\"\n"
    "    watch        \"continue in service\"  again within 50 h\n"
    "  no flight\n"
    "    shop         \"send to a repair station\"\n"
    "\n"
    "part blade, 2 .. 6\n"
    "    axis station  6 in .. 52 in  read to 0.25 in\n"
    "    axis chord    0 % .. 100 %   read to 1 %\n"
    "    side camber, thrust\n"
    "part boot, one on each blade where fitted\n"
    "    axis reach  0 in .. 20 in\n"
    "part spinner\n"
    "    place dome, attachment\n"
    "part deflector where fitted\n"
    "search blade      \"hub to tip\"\n"
    "search spinner    \"all of it\"\n"
    "search boot       \"edges\"\n"
    "search deflector  \"all of it\"\n"
    "\n"
    "measure depth   0 in .. 1 in      read to 0.001 in\n"
    "measure length  0 in .. 46 in     read up to 0.01 in\n"
    "measure stretch 0 in .. 20 in\n"
    "measure share   0 % .. 100 %\n"
    "measure pits    0 .. 99\n"
    "measure rock    0 deg .. 10 deg   read up to 0.1 deg\n"
    "observe lie      one of spanwise, slanted, chordwise\n"
    "observe grease   levels nothing, trace-at-shank, along-the-blade\n"
    "observe settles  yes or no\n"
    "observe moving   yes or no\n"
    "\n"
    "kind gouge, nick on blade  records depth, length along station\n"
    "kind crack on blade, spinner  records length, lie\n"
    "kind pitting on blade  records share, pits\n"
    "kind tear on boot  records stretch along reach, settles\n"
    "kind dent on deflector, spinner records depth\n"
    "\n"
    "limit gouge, nick on blade\n"
    "    serviceable  depth up to 0.02 in, length up to 2 in\n"
    "    otherwise    shop\n"
    "limit crack on blade, spinner\n"
    "    serviceable  length up to 1 in, lie is spanwise\n"
    "    otherwise    shop\n"
    "limit pitting on blade\n"
    "    serviceable  share up to 10 %, pits up to 5\n"
    "    otherwise    shop\n"
    "limit tear on boot\n"
    "    serviceable  stretch up to 1 in, settles\n"
    "    otherwise    shop\n"
    "limit dent on deflector, spinner\n"
    "    serviceable  depth up to 0.02 in\n"
    "    otherwise    shop\n"
    "\n"
    "check twist on blade  records rock\n"
    "    serviceable  rock up to 0.5 deg\n"
    "    otherwise    shop\n"
    "check leak on blade  records grease\n"
    "    serviceable  grease up to trace-at-shank\n"
    "    otherwise    shop\n"
    "check play on blade  records rock, settles\n"
    "    serviceable  rock up to 0.5 deg, settles\n"
    "    otherwise    shop\n"
    "check firmness on spinner, deflector, boot  records moving\n"
    "    serviceable  not moving\n"
    "    otherwise    shop\n";

static const char invented_record[] =
    "propeller: P-0417\n"
    "model: BM-3\n"
    "book: BM-3 C\n"
    "aircraft: invented 7\n"
    "inspector: demonstration\n"
    "date: 2026-11-25\n"
    "hours: 812.4 h\n"
    "blades: 4\n"
    "fitted:\n"
    "  boot: all\n"
    "  deflector: none\n"
    "searched: [blade 1 .. 4, spinner, boot 1 .. 3]\n"
    "checks:\n"
    "  twist: [0.3 deg, 0.2 deg, 0.6 deg, rock 0.2 deg]\n"
    "  leak: [nothing, trace-at-shank or along-the-blade, grease nothing, not seen]\n"
    "  play:\n"
    "    - rock 0.3 deg, settles\n"
    "    - settles, rock 0.3 deg\n"
    "    - not settles, rock 0.1 .. 0.3 deg\n"
    "    - rock not measured, settles not seen\n"
    "  firmness:\n"
    "    spinner: not moving\n"
    "    boot: [no, moving, yes, moving no]\n"
    "findings:\n"
    "  - blade 1 gouge at station 36 in thrust, depth 27 thou, length 3/4 in\n"
    "  - F-113: blade 2 crack at station 30 .. 32 in camber, length 2 in, lie not seen\n"
    "  - part: blade 4\n"
    "    kind: nick\n"
    "    station: 41 in\n"
    "    chord: 2 %\n"
    "    depth: 0.018 +/- 0.002 in\n"
    "    remark: rock strike, was F-112\n"
    "end: 3 findings\n";

/* One arena with the book in it; a mark goes back to the book alone. */
struct bench {
    struct fail_alloc memory;
    struct escape escape;
    struct arena arena;
    const struct book *book;
};

static inline const char *problems_told(struct arena *arena, const struct problems *problems)
{
    struct text text;
    text_begin(&text, arena);
    for (size_t i = 0; i < problems->count; i++) {
        const struct stave_problem *problem = &problems->items[i];
        text_add(&text, i ? "\n" : "");
        text_addf(&text, "%u:%u+%u ", problem->at.line, problem->at.column, problem->at.width);
        text_add(&text, problem->code);
        text_add(&text, ": ");
        text_add(&text, problem->message);
        if (problem->second_message) {
            text_addf(&text, " (%u:%u ", problem->second.line, problem->second.column);
            text_add(&text, problem->second_message);
            text_add(&text, ")");
        }
        text_add(&text, "; ");
        text_add(&text, problem->help ? problem->help : "-");
    }
    return text_done(&text);
}

static inline void bench_begin(struct bench *bench, const char *book)
{
    *bench = (struct bench){0};
    struct stave_allocator allocator = fail_alloc_allocator(&bench->memory);
    arena_begin(&bench->arena, &allocator, &bench->escape);
    struct stave_text text = {"book", book, strlen(book)};
    struct book *made = book_check(&bench->arena, &text, NULL, NULL);
    bench->book = made;
    assert_string_equal(problems_told(&bench->arena, &made->problems), "");
}

static inline void bench_end(struct bench *bench)
{
    arena_end(&bench->arena);
    assert_int_equal(bench->memory.live_blocks, 0);
}

/* A copy of `text` with the first `from` made `to`. Taken from the bench. */
static inline const char *with_change(struct bench *bench, const char *text, const char *from,
                                      const char *to)
{
    const char *at = strstr(text, from);
    assert_non_null(at);
    struct text changed;
    text_begin(&changed, &bench->arena);
    text_add_bytes(&changed, text, (size_t)(at - text));
    text_add(&changed, to);
    text_add(&changed, at + strlen(from));
    return text_done(&changed);
}

static inline struct record *bench_record(struct bench *bench, const char *bytes)
{
    struct stave_text text = {"record", bytes, strlen(bytes)};
    return record_read(&bench->arena, bench->book, &text);
}

static inline struct record *bench_line(struct bench *bench, const char *bytes)
{
    struct stave_text text = {"line", bytes, strlen(bytes)};
    return record_read_line(&bench->arena, bench->book, &text);
}

#endif
