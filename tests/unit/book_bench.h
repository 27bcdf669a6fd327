/*
 * What the tests of src/book share: two good books, reading one, and telling its problems.
 */
#ifndef TESTS_BOOK_BENCH_H
#define TESTS_BOOK_BENCH_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "book/book.h"

/* What most faults are planted in: 45 lines without a problem. */
static const char common[] = "stave 1\n"
                             "book B \"a book\"\n"
                             "    edition \"A\"\n"
                             "    for model M\n"
                             "scale\n"
                             "    fine   \"fly\"\n"
                             "    watch  \"fly\"  again within 50 h\n"
                             "  no flight\n"
                             "    mend   \"repair\"\n"
                             "    scrap  \"throw away\"\n"
                             "part blade, 2 .. 6\n"
                             "    axis station 10 in .. 50 in read to 0.25 in\n"
                             "    axis chord 0 % .. 100 %\n"
                             "    side face, back meet at chord 0 %\n"
                             "part hub\n"
                             "    place bore, rim\n"
                             "zone tip on blade station 30 in .. 50 in\n"
                             "zone edge on blade chord 0 % .. 10 %\n"
                             "measure depth 0 in .. 1 in read to 0.001 in\n"
                             "measure length 0 in .. 40 in read up to 0.01 in\n"
                             "measure width 0 in .. 40 in\n"
                             "measure wall 0 in .. 1 in smaller is worse\n"
                             "measure area 0 in2 .. 90 in2\n"
                             "measure holes 0 .. 20\n"
                             "measure loss 0 % .. 100 %\n"
                             "observe lie one of spanwise, slanted, chordwise\n"
                             "observe grease levels clean, trace, thrown\n"
                             "observe settles yes or no\n"
                             "kind nick, dent on blade records depth, length along station\n"
                             "kind crack on blade, hub records length, lie\n"
                             "kind leak on hub records grease, settles\n"
                             "kind pit on blade records depth, width, length\n"
                             "kind rust on blade records wall, loss\n"
                             "curve slope along station\n"
                             "    10 in  0.01 in\n"
                             "    50 in  0.05 in\n"
                             "curve short along station\n"
                             "    20 in  0.01 in\n"
                             "    40 in  0.05 in\n"
                             "curve taper along chord\n"
                             "    0 %    0.01 in\n"
                             "    100 %  0.02 in\n"
                             "reckon longest as the greater of length and width\n"
                             "limit nick, dent, crack, pit, rust on blade no published limit\n"
                             "limit crack, leak on hub no published limit\n";
#define COMMON_LINES 45

/* Everything that a book can say, resolved in test_book.c. */

static const char rich[] =
    "stave 1\n"
    "book BM-3 \"composite blade\"\n"
    "    edition \"C\" dated 2026-03-01\n"
    "    for model BM-3, BM-4\n"
    "    judge as read\n"
    "    caution \"one\"\n"
    "    caution \"two\"\n"
    "scale\n"
    "    serviceable  \"continue\"\n"
    "    watch        \"continue\"  again within 50 h do \"mark it\"\n"
    "  no flight\n"
    "    shop         \"send away\"\n"
    "part blade, 2 .. 6\n"
    "    axis station 6 in .. 52 in read to 0.25 in \"from the hub\"\n"
    "    axis chord 0 % .. 100 %\n"
    "    side camber, thrust meet at chord 0 %, chord 100 %\n"
    "part boot, one on each blade where fitted\n"
    "part spinner\n"
    "    place dome, attachment\n"
    "search blade \"tap along the edge\"\n"
    "zone mid on blade station 14 in .. below 34 in\n"
    "zone cap on blade chord 0 % .. 10 % camber\n"
    "zone skin on blade station over 14 in .. 52 in outside cap, mid\n"
    "zone dome on spinner dome\n"
    "measure depth 0 in .. 1 in read nearest 0.001 in \"deepest point\"\n"
    "measure length 0 mm .. 1000 mm read up to 1 mm\n"
    "measure wall 0.1 in .. 1 in read to 0.01 in smaller is worse\n"
    "observe lie one of spanwise, slanted, chordwise\n"
    "observe grease levels nothing, trace, thrown\n"
    "observe settles yes or no\n"
    "kind gouge, nick on blade records depth, length along station\n"
    "    look \"material gone\"\n"
    "kind crack on spinner, blade records length along station, lie\n"
    "    caution \"gloves\"\n"
    "curve allowed along station per \"figure 1\"\n"
    "    6 in   0.010 in\n"
    "    20 in  0.5 mm\n"
    "    52 in  0.035 in\n"
    "reckon double as 2 * length - 10 % of 1 in\n"
    "limit gouge, nick on skin, cap per \"table 1\" note \"clean it first\"\n"
    "    serviceable  depth up to allowed + 0.005 in, double below 50 mm\n"
    "    watch        depth over 0.1 in and up to 0.2 in, any length per \"line 2\" within 3 days\n"
    "    otherwise shop do \"box it\" within 10 min\n"
    "limit crack on dome, blade\n"
    "    watch lie is spanwise or slanted, length up to 1 in\n"
    "    shop lie is not slanted\n"
    "    otherwise no published limit\n"
    "limit crack on mid no published limit\n"
    "check seep on blade, spinner records grease, settles per \"5-2\"\n"
    "    look \"at the shank\"\n"
    "    serviceable grease up to trace, not settles\n"
    "    watch grease below trace, settles\n"
    "    shop grease at least trace\n"
    "    shop grease over nothing\n"
    "    otherwise shop\n"
    "example \"one\"\n"
    "    blade 1 nick at station 36 in camber, depth 0 in, length 0 in\n"
    "    gives serviceable\n";

/* ---- reading and telling ------------------------------------------------------------ */

struct bench {
    struct arena arena;
    struct escape escape;
    struct book *book;
};

/* A host with a few texts of its own. */
struct shelf {
    const struct stave_text *texts;
    size_t count, asked;
};

static inline bool find_on_shelf(void *user, const char *from, const char *name,
                                 struct stave_text *found, const char **why)
{
    struct shelf *shelf = user;
    size_t i;

    assert_non_null(from);
    shelf->asked++;
    for (i = 0; i < shelf->count; i++)
        if (strcmp(shelf->texts[i].name, name) == 0) {
            *found = shelf->texts[i];
            return true;
        }
    *why = "not on the shelf";
    return false;
}

static inline struct book *read_sized(struct bench *bench, const char *text, size_t size,
                                      struct shelf *shelf)
{
    struct stave_text given = {"book", text, size};

    *bench = (struct bench){0};
    arena_begin(&bench->arena, NULL, &bench->escape);
    if (setjmp(bench->escape.to)) {
        fail_msg("escaped with status %d", (int)bench->escape.status);
        return NULL;
    }
    bench->book = book_check(&bench->arena, &given, shelf ? find_on_shelf : NULL, shelf);
    return bench->book;
}

static inline struct book *read_text(struct bench *bench, const char *text)
{
    return read_sized(bench, text, strlen(text), NULL);
}

static inline void done(struct bench *bench)
{
    arena_end(&bench->arena);
}

static inline void tell_place(struct text *text, const struct stave_place *place, uint32_t base)
{
    bool after = place->line > base;

    if (strcmp(place->text_name, "book") != 0) {
        text_add(text, place->text_name);
        text_add(text, ":");
    }
    text_addf(text, "%s%u:%u+%u ", after && base > 0 ? "+" : "",
              (unsigned)(after ? place->line - base : place->line), (unsigned)place->column,
              (unsigned)place->width);
}

/*
 * All problems: "+1:7+4 unknown-name: unknown kind 'nikc'", that is line (with "+": after
 * the common book), column, columns underlined, code and message; then the second label with its
 * place, and the help, each on a line of its own two columns in.
 */
static const char *told(struct bench *bench, uint32_t base)
{
    struct text text;
    size_t i;

    text_begin(&text, &bench->arena);
    for (i = 0; i < bench->book->problems.count; i++) {
        const struct stave_problem *problem = &bench->book->problems.items[i];

        tell_place(&text, &problem->at, base);
        text_add(&text, problem->severity == STAVE_WARNING ? "warning " : "");
        text_add(&text, problem->code);
        text_add(&text, ": ");
        text_add(&text, problem->message);
        text_add(&text, "\n");
        if (problem->second_message != NULL) {
            text_add(&text, "  ");
            tell_place(&text, &problem->second, base);
            text_add(&text, problem->second_message);
            text_add(&text, "\n");
        }
        if (problem->help != NULL) {
            text_add(&text, "  ");
            text_add(&text, problem->help);
            text_add(&text, "\n");
        }
    }
    return text_done(&text);
}

#endif
