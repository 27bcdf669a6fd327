/* The entries of the reader: one for each sort of text that the language is written in. */
#include <string.h>

#include "base/text.h"
#include "read/reader.h"
#include "read/scan.h"

void reader_open(struct reader *reader, struct arena *arena, struct span where,
                 struct problems *problems, int entry)
{
    reader->arena = arena;
    reader->source = where.source;
    reader->problems = problems;
    reader->from = reader->position = where.from;
    reader->to = where.to;
    reader->entry = entry;
    build_begin(reader);
    /* All that this takes is the arena's; scan_init_extra fails only where there is no memory,
     * and then it does not come back. */
    if (scan_lex_init_extra(reader, &reader->scanner) != 0) {
        arena_escape(arena, STAVE_NO_MEMORY);
    }
    /* The scanner writes into what it scans, and wants two zeros behind it. */
    size_t size = where.to - where.from;
    reader->scanned = arena_take(arena, size + 2);
    memcpy(reader->scanned, token_bytes(where), size);
    if (!scan__scan_buffer(reader->scanned, size + 2, reader->scanner)) {
        arena_escape(arena, STAVE_NO_MEMORY);
    }
    lexicon_begin(reader, size);
}

/* Reads `where` and fills the reader. False when something was reported. */
static bool run(struct reader *reader, struct arena *arena, struct span where,
                struct problems *problems, int entry)
{
    size_t errors = problems->error_count;
    reader_open(reader, arena, where, problems, entry);
    int failed = grammar_parse(reader);
    return failed == 0 && problems->error_count == errors;
}

/* Reports every line that is longer than a reader would look at. */
static bool lines_are_short(struct span where, struct problems *problems)
{
    if (where.source->longest_line <= READ_LINE) {
        return true;
    }
    bool all = true;
    const char *bytes = where.source->bytes;
    for (uint32_t from = where.from; from < where.to;) {
        const char *end = memchr(bytes + from, '\n', where.to - from);
        uint32_t to = end ? (uint32_t)(end - bytes) : where.to;
        if (to - from > READ_LINE) {
            struct span line = {where.source, from, from + 1};
            struct stave_problem *problem =
                problem_add(problems, STAVE_ERROR, "line-too-long", line,
                            "a line of more than %d bytes", READ_LINE);
            problem_help(problem, problems, "break it after a comma, or shorten it");
            all = false;
        }
        from = to + 1;
    }
    return all;
}

static struct span whole_text(struct source *source)
{
    return (struct span){source, 0, (uint32_t)source->size};
}

struct tree *read_book(struct arena *arena, struct source *source, struct problems *problems)
{
    struct reader *reader = ARENA_NEW(arena, struct reader);
    struct span where = whole_text(source);
    if (!lines_are_short(where, problems)) {
        struct tree *tree = ARENA_NEW(arena, struct tree);
        tree->source = source;
        return tree;
    }
    run(reader, arena, where, problems, TOKEN_START_BOOK);
    return reader->tree;
}

struct tree_finding *read_finding(struct arena *arena, struct span where, struct problems *problems)
{
    struct reader *reader = ARENA_NEW(arena, struct reader);
    bool good = lines_are_short(where, problems) &&
                run(reader, arena, where, problems, TOKEN_START_FINDING);
    return good ? reader->finding : NULL;
}

struct tree_reading *read_answer(struct arena *arena, struct span where, struct problems *problems)
{
    struct reader *reader = ARENA_NEW(arena, struct reader);
    bool good =
        lines_are_short(where, problems) && run(reader, arena, where, problems, TOKEN_START_ANSWER);
    return good ? reader->answer : NULL;
}

struct tree_range *read_range(struct arena *arena, struct span where, struct problems *problems)
{
    struct reader *reader = ARENA_NEW(arena, struct reader);
    bool good =
        lines_are_short(where, problems) && run(reader, arena, where, problems, TOKEN_START_RANGE);
    return good ? reader->range : NULL;
}
