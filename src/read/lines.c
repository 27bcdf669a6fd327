/*
 * Raw tokens to lines: what stands between the scanner and the parser.
 *
 * In a book, empty lines are dropped, a line that ends in a comma goes on in the next, each line of
 * a block gets its mark, and the text's last line gets an end. What is counted here (parentheses,
 * steps of an expression) bounds the parser's stack and the depth of the tree.
 */
#include <string.h>

#include "base/text.h"
#include "read/reader.h"

/* ---- taking tokens, with some read ahead -------------------------------------- */

/* Tokens are filled in where they are wanted: one that is handed on by value as soon as its parts are
 * written is read before they have arrived, and that waits. */
static inline int raw_token(struct reader *reader, GRAMMAR_STYPE *value, struct site *site)
{
    if (reader->ahead_next == reader->ahead_end && !plain_gather(reader)) {
        return scan_token(reader, site, value);
    }
    const struct token *token = &reader->ahead[reader->ahead_next++];
    *value = token->value;
    *site = token->site;
    return token->kind;
}

static void take_token(struct reader *reader, struct token *token)
{
    token->kind = raw_token(reader, &token->value, &token->site);
}

/* At most AHEAD_BACK tokens in a row, of those that were taken last. */
static void put_back(struct reader *reader, const struct token *token)
{
    reader->ahead[--reader->ahead_next] = *token;
}

/* ---- lines and blocks ------------------------------------------------------------- */

/* The arrays, by far the most of it, hold what their counts say. */
static void line_clear(struct line *line)
{
    memset(line, 0, offsetof(struct line, open));
}

static void end_line(struct reader *reader)
{
    if (!reader->line.faulty) {
        reader->block_lost = false;
    }
    line_clear(&reader->line);
    reader->previous = reader->before = 0;
}

/* The mark for lines of the block that a statement opens, or 0. */
static int block_of(int token)
{
    switch (token) {
    case TOKEN_BOOK:
        return TOKEN_IN_BOOK;
    case TOKEN_SCALE:
        return TOKEN_IN_SCALE;
    case TOKEN_PART:
        return TOKEN_IN_PART;
    case TOKEN_KIND:
        return TOKEN_IN_KIND;
    case TOKEN_CURVE:
        return TOKEN_IN_CURVE;
    case TOKEN_LIMIT:
        return TOKEN_IN_LIMIT;
    case TOKEN_CHECK:
        return TOKEN_IN_CHECK;
    case TOKEN_EXAMPLE:
        return TOKEN_IN_EXAMPLE;
    default:
        return 0;
    }
}

/* The statement whose block a line opens: of `replace` and `add`, the one that follows. */
static int opens(struct reader *reader, int token)
{
    if (token == TOKEN_REPLACE || token == TOKEN_ADD) {
        struct token next;
        take_token(reader, &next);
        put_back(reader, &next);
        return next.kind;
    }
    return token;
}

/* Drops lines until one that begins a statement. */
static void skip_lines(struct reader *reader, struct token *token)
{
    while (token->kind != TOKEN_END && !word_begins_statement(token->kind)) {
        while (token->kind != TOKEN_END && token->kind != TOKEN_LINE_END) {
            take_token(reader, token);
        }
        if (token->kind == TOKEN_LINE_END) {
            line_clear(&reader->line);
            take_token(reader, token);
        }
    }
}

static void check_version_first(struct reader *reader, const struct token *token)
{
    if (reader->first_line_seen) {
        return;
    }
    reader->first_line_seen = true;
    reader->version_at = token->site.from;
    if (token->kind != TOKEN_STAVE) {
        struct stave_problem *problem = problem_add(
            reader->problems, STAVE_ERROR, "version", site_span(reader, token->site),
            token->kind == TOKEN_END ? "the text is empty"
                                     : "the text does not begin with the version of the language");
        problem_help(problem, reader->problems, "write 'stave 1' on the first line");
    }
}

/* The first token of a line of a book: stays, or is put back behind the mark of its block. */
static void begin_line(struct reader *reader, struct token *token)
{
    if (reader->skipping) {
        skip_lines(reader, token);
    }
    check_version_first(reader, token);
    if (token->kind == TOKEN_END) {
        return;
    }
    if (word_begins_statement(token->kind)) {
        reader->skipping = false;
        reader->block_lost = false;
        reader->block = block_of(opens(reader, token->kind));
        reader->block_span = site_span(reader, token->site);
        build_close_block(reader);
        if (token->kind != TOKEN_REPLACE && token->kind != TOKEN_ADD && token->kind != TOKEN_DROP) {
            reader->model = NULL;
            reader->model_lost = token->kind == TOKEN_MODEL; /* unless the line can be read */
        }
        return;
    }
    if (reader->block == 0) {
        return;
    }
    put_back(reader, token);
    token->kind = reader->block;
    token->site.to = token->site.from;
}

/* A line end after a comma: the line goes on, unless a statement or the end of the text follows. */
static void join_line(struct reader *reader, struct token *end)
{
    struct token next;
    do {
        take_token(reader, &next);
    } while (next.kind == TOKEN_LINE_END);
    if (next.kind == TOKEN_END || word_begins_statement(next.kind)) {
        put_back(reader, &next);
        return;
    }
    reader->line.joined = true;
    reader->line.joined_at = reader->line.token_count;
    *end = next;
}

/* The next token of a book, lines made whole. */
static void book_token(struct reader *reader, struct token *token)
{
    bool starts = reader->previous == 0;
    bool marked = starts && reader->line.first != 0;
    take_token(reader, token);
    if (marked) {
        return;
    }
    while (starts && token->kind == TOKEN_LINE_END) {
        end_line(reader); /* only comments, or odd characters that stood for blanks */
        take_token(reader, token);
    }
    if (starts) {
        begin_line(reader, token);
    } else if (token->kind == TOKEN_LINE_END && reader->previous == TOKEN_COMMA) {
        join_line(reader, token);
    } else if (token->kind == TOKEN_END) {
        put_back(reader, token);
        token->kind = TOKEN_LINE_END;
    }
}

/* ---- what is judged token by token ------------------------------------------------------ */

static int nest_fault(struct reader *reader, struct span span)
{
    struct stave_problem *problem = token_fault(
        reader, "nesting", span, "more than %d parentheses within one another", READ_NESTING);
    problem_second(problem, reader->problems, reader->line.open[0], "the outermost opens here");
    problem_help(problem, reader->problems, "name a part of the expression with 'reckon'");
    reader->line.too_deep = true;
    return TOKEN_GRAMMAR_error;
}

static int step_fault(struct reader *reader, struct span span)
{
    struct stave_problem *problem =
        token_fault(reader, "nesting", span, "an expression of more than %d steps", READ_STEPS);
    problem_help(problem, reader->problems, "name a part of the expression with 'reckon'");
    reader->line.too_deep = true;
    return TOKEN_GRAMMAR_error;
}

/* What a token does to the depth of an expression: most do nothing. */
enum { NO_MATTER, OPENS, CLOSES, STEP, BEGINS };

static const unsigned char depth_of[] = {
    [TOKEN_OPEN] = OPENS,
    [TOKEN_CLOSE] = CLOSES,
    [TOKEN_PLUS] = STEP,
    [TOKEN_MINUS] = STEP,
    [TOKEN_TIMES] = STEP,
    [TOKEN_OVER_SIGN] = STEP,
    [TOKEN_OF] = STEP,
    [TOKEN_COMMA] = BEGINS,
    [TOKEN_UP] = BEGINS,
    [TOKEN_BELOW] = BEGINS,
    [TOKEN_AT] = BEGINS,
    [TOKEN_OVER] = BEGINS,
    [TOKEN_LINE_END] = NO_MATTER, /* of all tokens the last */
};

/* Counts what makes an expression deep. */
static int count_depth(struct reader *reader, int kind, struct span span)
{
    struct line *line = &reader->line;
    switch (depth_of[kind]) {
    case OPENS:
        if (line->depth == READ_NESTING) {
            return nest_fault(reader, span);
        }
        line->open[line->depth++] = span;
        break;
    case CLOSES:
        line->depth -= line->depth > 0;
        break;
    case STEP:
        if (line->steps++ == READ_STEPS) {
            return step_fault(reader, span);
        }
        break;
    default:
        if (line->depth == 0) {
            line->steps = 0; /* another expression begins */
        }
        break;
    }
    return kind;
}

static bool is_no_figure(const char *bytes, size_t size)
{
    static const char *const words[] = {"nan", "inf", "infinity"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        size_t same = 0;
        while (same < size && (bytes[same] | 0x20) == words[i][same]) {
            same++;
        }
        if (same == size && words[i][same] == '\0') {
            return true;
        }
    }
    return false;
}

/* A name that stands right after a figure and was to be a unit. */
static bool is_meant_as_unit(struct reader *reader, struct span span)
{
    if (reader->previous != TOKEN_NUMBER) {
        return false;
    }
    char before = span.from > 0 ? token_bytes(span)[-1] : ' ';
    bool touches = is_digit(before);
    bool instance = reader->line.token_count == 2 && reader->line.first == TOKEN_NAME;
    return touches ||
           (!instance && word_known_unit(token_bytes(span), span.to - span.from) != NULL);
}

static int unit_fault(struct reader *reader, GRAMMAR_STYPE *value, struct span span)
{
    const char *meant = word_meant_unit(reader->arena, token_bytes(span), span.to - span.from);
    struct stave_problem *problem =
        token_fault(reader, "unknown-unit", span, "unknown unit '%s'", token_shown(reader, span));
    if (!meant) {
        return TOKEN_GRAMMAR_error;
    }
    problem_help(problem, reader->problems, "did you mean '%s'?", meant);
    value->TOKEN_UNIT = unit_find(meant, strlen(meant));
    return value->TOKEN_UNIT ? TOKEN_UNIT : TOKEN_GRAMMAR_error;
}

/* Whether judge_name might find fault with a name: with most it cannot. */
static bool is_doubtful(const struct reader *reader, struct span span)
{
    char first = (char)(span.source->bytes[span.from] | 0x20);
    return first == 'n' || first == 'i' || reader->previous == TOKEN_NUMBER ||
           span.to - span.from > READ_NAME;
}

static __attribute__((noinline)) int judge_name(struct reader *reader, GRAMMAR_STYPE *value,
                                                struct span span)
{
    size_t size = span.to - span.from;
    if (is_no_figure(token_bytes(span), size)) {
        struct stave_problem *problem = token_fault(
            reader, "bad-figure", span, "'%s' is not a figure", token_shown(reader, span));
        problem_help(problem, reader->problems,
                     "write a figure, or leave out a reading that was not taken");
        return TOKEN_GRAMMAR_error;
    }
    if (is_meant_as_unit(reader, span)) {
        return unit_fault(reader, value, span);
    }
    if (size > READ_NAME) {
        token_fault(reader, "bad-name", span, "a name of more than %d characters", READ_NAME);
    }
    return TOKEN_NAME;
}

/* Keeps the names after the first word: should the line be lost, they were declared. */
static void keep_name(struct line *line, int kind, struct span span)
{
    if (kind == TOKEN_NAME && line->name_count < LINE_NAMES) {
        line->names[line->name_count++] = span;
    } else if (kind != TOKEN_COMMA && line->token_count > 0 &&
               !(line->token_count == 1 &&
                 (line->first == TOKEN_REPLACE || line->first == TOKEN_ADD))) {
        line->names_end = true;
    }
}

static bool is_mark(int kind)
{
    return kind >= TOKEN_START_BOOK && kind <= TOKEN_IN_EXAMPLE;
}

static void count_token(struct reader *reader, int kind, struct span span)
{
    struct line *line = &reader->line;
    if (is_mark(kind)) {
        line->first = kind; /* until the line's own first token comes */
        return;
    }
    if (!line->names_end) {
        keep_name(line, kind, span);
    }
    if (line->token_count == 0) {
        line->first = kind;
        line->first_span = span;
    } else if (line->token_count == 1) {
        line->second = kind;
    }
    line->token_count++;
    reader->before = reader->previous;
    reader->previous = kind;
}

/* ---- the parser's source ------------------------------------------------------------------- */

/* Begins a line of the open block with its mark, as most lines begin: with a plain token that begins no
 * statement, which stays where it is. */
static bool begin_plain_line(struct reader *reader, struct site *site)
{
    if (reader->block == 0 || reader->skipping ||
        (reader->ahead_next == reader->ahead_end && !plain_gather(reader))) {
        return false;
    }
    const struct token *token = &reader->ahead[reader->ahead_next];
    if (token->kind == TOKEN_LINE_END || token->kind == TOKEN_END ||
        word_begins_statement(token->kind)) {
        return false;
    }
    *site = (struct site){token->site.from, token->site.from};
    return true;
}

/* The next token where lines, blocks, and what was read ahead have a say. */
static int next_token(struct reader *reader, GRAMMAR_STYPE *value, struct site *site)
{
    struct token token;
    if (reader->previous == TOKEN_LINE_END && reader->entry == TOKEN_START_BOOK) {
        end_line(reader);
        if (begin_plain_line(reader, site)) {
            return reader->block;
        }
    }
    do {
        if (reader->entry == TOKEN_START_BOOK) {
            book_token(reader, &token);
        } else {
            take_token(reader, &token);
        }
    } while (reader->line.too_deep && token.kind != TOKEN_LINE_END && token.kind != TOKEN_END);
    *value = token.value;
    *site = token.site;
    return token.kind;
}

/* Most tokens stand within a line: they go through as they come. */
static int any_token(struct reader *reader, GRAMMAR_STYPE *value, struct site *site)
{
    bool begins = reader->previous == 0 && reader->line.first == 0; /* without its mark */
    if (begins || reader->previous == TOKEN_LINE_END || reader->line.too_deep) {
        return next_token(reader, value, site);
    }
    int kind = raw_token(reader, value, site);
    if ((kind == TOKEN_LINE_END && reader->previous == TOKEN_COMMA) || kind == TOKEN_END) {
        put_back(reader, &(struct token){.kind = kind, .site = *site});
        return next_token(reader, value, site);
    }
    return kind;
}

int grammar_lex(GRAMMAR_STYPE *value, struct site *site, struct reader *reader)
{
    if (!reader->started) {
        reader->started = true;
        *site = (struct site){reader->position, reader->position};
        return reader->entry;
    }
    int kind = any_token(reader, value, site);
    struct span span = site_span(reader, *site);
    if (kind == TOKEN_NAME) {
        if (is_doubtful(reader, span) && !reader->line.given_up) {
            kind = judge_name(reader, value, span);
        }
    } else if (depth_of[kind] != NO_MATTER) {
        kind = count_depth(reader, kind, span);
    }
    count_token(reader, kind, span);
    return kind;
}

/* The first words whose lines declare names. */
static bool declares(int first)
{
    return first == TOKEN_PART || first == TOKEN_ZONE || first == TOKEN_MEASURE ||
           first == TOKEN_OBSERVE || first == TOKEN_KIND || first == TOKEN_CURVE ||
           first == TOKEN_RECKON || first == TOKEN_CHECK || first == TOKEN_AXIS ||
           first == TOKEN_SIDE || first == TOKEN_PLACE || first == TOKEN_FACT;
}

void line_lost(struct reader *reader)
{
    struct line *line = &reader->line;
    bool outcome = reader->block == TOKEN_IN_SCALE && line->first == TOKEN_NAME;
    bool change = line->first == TOKEN_REPLACE || line->first == TOKEN_ADD;
    unsigned count = declares(change ? line->second : line->first) ? line->name_count
                     : outcome && line->name_count                 ? 1
                                                                   : 0;
    if (reader->block == TOKEN_IN_EXAMPLE) {
        reader->example_faulty = true;
    }
    for (unsigned i = 0; i < count; i++) {
        struct tree_words *lost = ARENA_NEW(reader->arena, struct tree_words);
        lost->word = *build_word(reader, line->names[i]);
        *reader->end.lost = lost;
        reader->end.lost = &lost->next;
    }
}
