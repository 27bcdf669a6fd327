#include "base/problem.h"

#include <nettle/sha2.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"

#define TAB_COLUMNS 8
#define EXCERPT_COLUMNS 100        /* a longer line is cut */
#define EXCERPT_BEFORE 60          /* columns kept before the place in a cut line */
#define MESSAGE_BYTES 1000         /* a longer message is cut: it may quote a text of megabytes */
#define USUAL_LINE 32              /* bytes: room for so many lines is taken at first */
#define STRETCH 4096               /* bytes: no walk to find a column is much longer */
#define MARKS_KEPT 8               /* zero-width characters shown after one another */
#define REPLACEMENT "\xEF\xBF\xBD" /* U+FFFD, shown for what cannot be shown */
#define ORDER_LAST UINT32_MAX

/* ---- what may be shown and what may stand in a text ------------------------- */

static bool is_control(uint32_t point)
{
    return point < 0x20 || (point >= 0x7F && point <= 0x9F);
}

/* Characters that make a line look other than it reads: line and paragraph
 * separators, and marks that turn the direction of writing. */
static bool is_deceptive(uint32_t point)
{
    return (point >= 0x2028 && point <= 0x202E) || (point >= 0x2066 && point <= 0x2069);
}

/* One character as it is shown: its bytes and its columns; `length` bytes of the text. */
struct shown {
    const char *bytes;
    size_t size, length;
    unsigned columns;
};

/* The character at `at`; `size` (> 0) bytes remain. A tab is left to the caller. */
static struct shown show_character(const char *at, size_t size)
{
    uint32_t point = 0;
    size_t length = text_utf8_length(at, size, &point);
    if (length == 0) {
        return (struct shown){REPLACEMENT, 3, 1, 1};
    }
    if (is_control(point) || is_deceptive(point)) {
        return (struct shown){REPLACEMENT, 3, length, 1};
    }
    return (struct shown){at, length, length, text_columns(point)};
}

/* A copy in which every character can be shown on one line. */
static const char *copy_shown(struct arena *arena, const char *bytes, size_t size)
{
    struct text text;
    text_begin(&text, arena);
    for (size_t at = 0; at < size;) {
        struct shown shown = show_character(bytes + at, size - at);
        text_add_bytes(&text, shown.bytes, shown.size);
        at += shown.length;
    }
    return text_done(&text);
}

static const char *format_message(struct arena *arena, const char *format, va_list arguments)
    __attribute__((format(printf, 2, 0)));
static const char *format_message(struct arena *arena, const char *format, va_list arguments)
{
    char buffer[MESSAGE_BYTES + 1];
    int size = vsnprintf(buffer, sizeof buffer, format, arguments);
    if (size < 0) { /* only for a result over INT_MAX */
        arena_escape(arena, STAVE_TOO_BIG);
    }
    if ((size_t)size < sizeof buffer) {
        return copy_shown(arena, buffer, (size_t)size);
    }
    size_t kept = sizeof buffer - 1;
    while (kept > 0 && ((unsigned char)buffer[kept - 1] & 0xC0u) == 0x80u) {
        kept--;
    }
    if (kept > 0 && (unsigned char)buffer[kept - 1] >= 0xC0u) {
        kept--;
    }
    return text_format(arena, "%s...", copy_shown(arena, buffer, kept));
}

/* ---- places --------------------------------------------------------------------- */

/* The index in line_starts of the line that holds offset `at`. */
static size_t line_index(const struct source *source, uint32_t at)
{
    size_t low = 0, high = source->line_count;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (source->line_starts[middle] <= at) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

/* The offset of a line's end: where its CR LF or LF stands, or the text's end. */
static size_t line_end(const struct source *source, size_t line)
{
    size_t start = source->line_starts[line];
    if (line + 1 == source->line_count) {
        return source->size;
    }
    size_t end = source->line_starts[line + 1] - 1;
    return end > start && source->bytes[end - 1] == '\r' ? end - 1 : end;
}

/* Columns from 0 of offset `to`, in a walk that stands at offset `from` in column `column`. */
static size_t walk_columns(const struct source *source, size_t from, size_t to, size_t column)
{
    for (size_t at = from; at < to;) {
        unsigned char byte = (unsigned char)source->bytes[at];
        if (byte >= 0x20 && byte < 0x7F) {
            column++, at++;
        } else if (byte == '\t') {
            column = (column / TAB_COLUMNS + 1) * TAB_COLUMNS, at++;
        } else {
            struct shown shown = show_character(source->bytes + at, source->size - at);
            column += shown.columns, at += shown.length;
        }
    }
    return column;
}

/* A place in a line from which columns can be counted on. */
struct checkpoint {
    uint32_t at, column; /* offset of a character; its column from 0 */
};

/* The last place to count from that is not after `at`, not before the line, and (looking back
 * a few stretches at most) not past `column`. */
static struct checkpoint count_from(const struct source *source, size_t line, size_t at,
                                    size_t column)
{
    struct checkpoint from = {source->line_starts[line], 0};
    if (source->checkpoints == NULL) {
        return from;
    }
    size_t index = at / STRETCH, least = index > 2 ? index - 2 : 0;
    while (index > least && source->checkpoints[index].at > from.at &&
           (source->checkpoints[index].at > at || source->checkpoints[index].column > column)) {
        index--;
    }
    struct checkpoint found = source->checkpoints[index];
    return found.at > from.at && found.at <= at ? found : from;
}

/* A part of a line, in columns from 0. */
struct window {
    size_t first, last; /* the last is outside */
};

/* Adds what a window shows, counting from `from`, and returns where it stopped. A wide
 * character cut at a side is blanks. */
static size_t add_window(struct text *text, const struct source *source, struct checkpoint from,
                         size_t end, struct window window)
{
    size_t column = from.column, at = from.at, stop = at + 4 * STRETCH;
    unsigned marks = 0;
    for (size_t i = window.first; i < column && i < window.last; i++) {
        text_add_char(text, ' ');
    }
    while (at < end && at < stop && column <= window.last) {
        struct shown shown = {" ", 1, 1, 1};
        size_t next = (column / TAB_COLUMNS + 1) * TAB_COLUMNS;
        bool whole = false;
        if (source->bytes[at] != '\t') {
            shown = show_character(source->bytes + at, end - at);
            next = column + shown.columns;
            marks = shown.columns == 0 ? marks + 1 : 0;
            whole = column >= window.first && next <= window.last && marks <= MARKS_KEPT &&
                    (shown.columns > 0 || column > window.first);
        }
        if (whole) {
            text_add_bytes(text, shown.bytes, shown.size);
        }
        for (size_t i = column; i < next && !whole; i++) {
            if (i >= window.first && i < window.last) {
                text_add_char(text, ' ');
            }
        }
        if (next > window.last) {
            break;
        }
        column = next;
        at += shown.length;
    }
    return at;
}

/* Whether a line has more columns than an excerpt; a line of very many bytes counts as if. */
static bool is_long(const struct source *source, size_t start, size_t end)
{
    return end - start > STRETCH || walk_columns(source, start, end, 0) > EXCERPT_COLUMNS;
}

/* Sets excerpt and excerpt_column for offset `at` in `column` (from 0) of a line. */
static void set_excerpt(struct stave_place *place, struct arena *arena, const struct source *source,
                        size_t line, size_t at, size_t column)
{
    size_t start = source->line_starts[line], end = line_end(source, line);
    struct text text;
    text_begin(&text, arena);
    struct window window = {0, EXCERPT_COLUMNS};
    if (is_long(source, start, end)) {
        if (column >= EXCERPT_COLUMNS - 20) {
            window.first = column - EXCERPT_BEFORE;
            text_add(&text, "...");
        }
        window.last = window.first + EXCERPT_COLUMNS - 6;
    }
    size_t before = text.size;
    struct checkpoint from = count_from(source, line, at, window.first);
    if (add_window(&text, source, from, end, window) < end) {
        text_add(&text, "...");
    }
    place->excerpt = text_done(&text);
    place->excerpt_column = (uint32_t)(column - window.first + before + 1);
}

struct stave_place span_place(struct arena *arena, struct span span)
{
    struct stave_place place = {
        .text_name = "", .line = 1, .column = 1, .width = 1, .excerpt = "", .excerpt_column = 1};
    const struct source *source = span.source;
    if (source == NULL) {
        return place;
    }
    place.text_name = source->name;
    size_t line = line_index(source, span.from);
    size_t end = line_end(source, line);
    size_t at = span.from < end ? span.from : end;
    size_t to = span.to < end ? span.to : end;
    to = to > at + STRETCH ? at + STRETCH : to;
    struct checkpoint from = count_from(source, line, at, SIZE_MAX);
    size_t column = walk_columns(source, from.at, at, from.column);
    size_t width = to > at ? walk_columns(source, at, to, column) - column : 0;
    place.line = source->first_line + (uint32_t)line;
    place.column = (uint32_t)column + 1;
    set_excerpt(&place, arena, source, line, at, column);
    size_t most = EXCERPT_COLUMNS + 1 - place.excerpt_column;
    width = width < most ? width : most;
    place.width = width > 0 ? (uint32_t)width : 1;
    return place;
}

uint32_t span_line(struct arena *arena, struct span span)
{
    (void)arena;
    if (span.source == NULL) {
        return 0;
    }
    return span.source->first_line + (uint32_t)line_index(span.source, span.from);
}

struct span span_join(struct span a, struct span b)
{
    if (a.source == NULL) {
        return b;
    }
    if (b.source != a.source) {
        return a;
    }
    return (struct span){a.source, a.from, b.to > a.from ? b.to : a.from};
}

/* ---- the list ------------------------------------------------------------------------ */

struct problem_key {
    uint32_t text, from; /* which text, in the order of opening; where in it */
};

void problems_begin(struct problems *problems, struct arena *arena)
{
    *problems = (struct problems){.arena = arena};
}

/* The last kept problem of a severity: its slot tells that there are more. */
static void say_more(struct problems *problems, enum stave_severity severity)
{
    size_t i = problems->count;
    while (problems->items[i - 1].severity != severity) {
        i--;
    }
    bool error = severity == STAVE_ERROR;
    struct stave_problem *last = &problems->items[i - 1];
    last->code = error ? "more-errors" : "more-warnings";
    last->message = text_format(problems->arena, "more %s than the %d listed here",
                                error ? "errors" : "warnings", PROBLEM_CAP - 1);
    last->second_message = NULL;
    last->second = span_place(problems->arena, (struct span){0});
    last->help = "mend these first, then look again";
    problems->keys[i - 1].text = ORDER_LAST;
}

/* A slot for one problem more, sorted by `key`; NULL: past the cap. */
static struct stave_problem *take_slot(struct problems *problems, enum stave_severity severity,
                                       struct problem_key key)
{
    struct arena *arena = problems->arena;
    size_t *seen = severity == STAVE_ERROR ? &problems->error_count : &problems->warning_count;
    *seen += 1;
    if (*seen > PROBLEM_CAP) {
        if (*seen == PROBLEM_CAP + 1) {
            say_more(problems, severity);
        }
        return NULL;
    }
    if (problems->count == problems->capacity) {
        size_t capacity = problems->capacity != 0 ? 2 * problems->capacity : 8;
        problems->items = arena_grow_array(arena, problems->items, problems->count, capacity,
                                           sizeof *problems->items);
        problems->keys = arena_grow_array(arena, problems->keys, problems->count, capacity,
                                          sizeof *problems->keys);
        problems->capacity = capacity;
    }
    problems->keys[problems->count] = key;
    return &problems->items[problems->count++];
}

struct stave_problem *problem_add(struct problems *problems, enum stave_severity severity,
                                  const char *code, struct span at, const char *format, ...)
{
    struct arena *arena = problems->arena;
    struct problem_key key = {at.source != NULL ? at.source->order : 0, at.from};
    struct stave_problem *problem = take_slot(problems, severity, key);
    if (problem == NULL) {
        if (problems->unkept == NULL) {
            problems->unkept = ARENA_NEW(arena, struct stave_problem);
        }
        return problems->unkept;
    }
    va_list arguments;
    va_start(arguments, format);
    const char *message = format_message(arena, format, arguments);
    va_end(arguments);
    *problem = (struct stave_problem){
        .severity = severity,
        .code = code,
        .message = message,
        .at = span_place(arena, at),
        .second = span_place(arena, (struct span){0}),
    };
    return problem;
}

void problem_second(struct stave_problem *problem, struct problems *problems, struct span at,
                    const char *format, ...)
{
    if (problem == problems->unkept) {
        return;
    }
    va_list arguments;
    va_start(arguments, format);
    problem->second_message = format_message(problems->arena, format, arguments);
    va_end(arguments);
    problem->second = span_place(problems->arena, at);
}

void problem_help(struct stave_problem *problem, struct problems *problems, const char *format, ...)
{
    if (problem == problems->unkept) {
        return;
    }
    va_list arguments;
    va_start(arguments, format);
    problem->help = format_message(problems->arena, format, arguments);
    va_end(arguments);
}

static bool key_after(struct problem_key a, struct problem_key b)
{
    return a.text != b.text ? a.text > b.text : a.from > b.from;
}

/* By insertion: stable, and the caps keep the list below 2 * PROBLEM_CAP + 1. */
void problems_sort(struct problems *problems)
{
    for (size_t i = 1; i < problems->count; i++) {
        struct stave_problem problem = problems->items[i];
        struct problem_key key = problems->keys[i];
        size_t j = i;
        for (; j > 0 && key_after(problems->keys[j - 1], key); j--) {
            problems->items[j] = problems->items[j - 1];
            problems->keys[j] = problems->keys[j - 1];
        }
        problems->items[j] = problem;
        problems->keys[j] = key;
    }
}

static bool same_problem(const struct problems *a, size_t i, const struct problems *b, size_t j)
{
    const struct stave_problem *one = &a->items[i], *other = &b->items[j];
    return a->keys[i].text == b->keys[j].text && a->keys[i].from == b->keys[j].from &&
           one->severity == other->severity && strcmp(one->code, other->code) == 0 &&
           strcmp(one->message, other->message) == 0;
}

static bool list_has(const struct problems *list, const struct problems *other, size_t which)
{
    for (size_t i = 0; i < list->count; i++) {
        if (same_problem(list, i, other, which)) {
            return true;
        }
    }
    return false;
}

void problems_join(struct problems *into, const struct problems *const *lists,
                   const char *const *names, size_t count)
{
    for (size_t l = 0; l < count; l++) {
        for (size_t i = 0; i < lists[l]->count; i++) {
            size_t having = 0, before = 0;
            for (size_t other = 0; other < count; other++) {
                bool has = list_has(lists[other], lists[l], i);
                having += has;
                before += has && other < l;
            }
            if (before > 0) {
                continue;
            }
            struct stave_problem *kept =
                take_slot(into, lists[l]->items[i].severity, lists[l]->keys[i]);
            if (kept == NULL) {
                continue;
            }
            *kept = lists[l]->items[i];
            if (having < count) {
                kept->message =
                    text_format(into->arena, "%s (in model '%s')", kept->message, names[l]);
            }
        }
    }
}

/* ---- opening a text ------------------------------------------------------------------- */

static const char *digest_text(struct arena *arena, const char *bytes, size_t size)
{
    static const char digits[] = "0123456789abcdef";
    uint8_t digest[SHA256_DIGEST_SIZE];
    struct sha256_ctx context;
    sha256_init(&context);
    sha256_update(&context, size, (const uint8_t *)bytes);
    sha256_digest(&context, sizeof digest, digest);
    char *text = arena_take(arena, 2 * sizeof digest + 1);
    for (size_t i = 0; i < sizeof digest; i++) {
        text[2 * i] = digits[digest[i] >> 4];
        text[2 * i + 1] = digits[digest[i] & 15];
    }
    return text;
}

static void find_lines(struct arena *arena, struct source *source)
{
    const char *bytes = source->bytes, *end = bytes + source->size, *line = bytes;
    size_t count = 1, capacity = source->size / USUAL_LINE + 2, longest = 0;
    uint32_t *starts = ARENA_ARRAY(arena, uint32_t, capacity);
    for (const char *at; (at = memchr(line, '\n', (size_t)(end - line))) != NULL; line = at + 1) {
        longest = (size_t)(at - line) > longest ? (size_t)(at - line) : longest;
        *ARENA_PUSH(arena, starts, count, capacity) = (uint32_t)(at + 1 - bytes);
    }
    source->line_starts = starts;
    source->line_count = count;
    source->longest_line = (size_t)(end - line) > longest ? (size_t)(end - line) : longest;
}

/* A text with a very long line gets a place to count columns from in every stretch. */
static void find_checkpoints(struct arena *arena, struct source *source)
{
    if (source->longest_line <= STRETCH) {
        return;
    }
    size_t count = 0;
    struct checkpoint *found = ARENA_ARRAY(arena, struct checkpoint, source->size / STRETCH + 1);
    size_t column = 0;
    for (size_t at = 0; at < source->size;) {
        if (at >= count * STRETCH) {
            found[count++] = (struct checkpoint){(uint32_t)at, (uint32_t)column};
        }
        size_t length = 1;
        if ((unsigned char)source->bytes[at] >= 0x80) {
            length = show_character(source->bytes + at, source->size - at).length;
        }
        column = source->bytes[at] == '\n' ? 0 : walk_columns(source, at, at + length, column);
        at += length;
    }
    if (count * STRETCH <= source->size) { /* the text's end, where a new stretch begins */
        found[count] = (struct checkpoint){(uint32_t)source->size, (uint32_t)column};
    }
    source->checkpoints = found;
}

/* Reports what is wrong with the character at `at`, if anything. */
static bool check_character(struct source *source, size_t at, size_t length, uint32_t point,
                            struct problems *problems)
{
    struct span span = {source, (uint32_t)at, (uint32_t)(at + (length != 0 ? length : 1))};
    struct stave_problem *problem;
    if (length == 0) {
        problem = problem_add(problems, STAVE_ERROR, "not-utf8", span,
                              "the text is not UTF-8: byte 0x%02X here",
                              (unsigned)(unsigned char)source->bytes[at]);
        problem_help(problem, problems, "save the text as UTF-8");
        return false;
    }
    if (point == '\r') {
        if (source->bytes[at + 1] == '\n') {
            return true;
        }
        problem = problem_add(problems, STAVE_ERROR, "control-character", span,
                              "a carriage return stands alone");
        problem_help(problem, problems, "end lines with LF or CR LF");
        return false;
    }
    if (is_control(point) && point != '\t' && point != '\n') {
        problem = problem_add(problems, STAVE_ERROR, "control-character", span,
                              "control character U+%04X in the text", (unsigned)point);
        problem_help(problem, problems, "remove it");
        return false;
    }
    if (is_deceptive(point)) {
        problem =
            problem_add(problems, STAVE_ERROR, "control-character", span,
                        "character U+%04X makes a line look other than it reads", (unsigned)point);
        problem_help(problem, problems, "remove it");
        return false;
    }
    return true;
}

enum { AT_ONCE = 32 };

/* Whether so many bytes are printing ASCII or line feeds. The compiler looks at all at once. */
static bool are_plain(const char *bytes)
{
    unsigned char odd = 0;
    for (size_t i = 0; i < AT_ONCE; i++) {
        unsigned char byte = (unsigned char)bytes[i], past_blank = (unsigned char)(byte - ' ');
        odd |= (unsigned char)((past_blank > '~' - ' ') & (byte != '\n'));
    }
    return !odd;
}

/* Checks every character; of several faults in one line only the first is reported. */
static bool check_characters(struct source *source, struct problems *problems)
{
    bool good = true;
    for (size_t at = 0, one_by_one = 0; at < source->size;) {
        if (at >= one_by_one && source->size - at >= AT_ONCE) {
            if (are_plain(source->bytes + at)) {
                at += AT_ONCE;
                continue;
            }
            one_by_one = at + AT_ONCE;
        }
        unsigned char byte = (unsigned char)source->bytes[at];
        uint32_t point = byte;
        size_t length = 1;
        if (byte >= 0x80) {
            length = text_utf8_length(source->bytes + at, source->size - at, &point);
        }
        if ((byte >= 0x20 && byte < 0x7F) || check_character(source, at, length, point, problems)) {
            at += length;
            continue;
        }
        good = false;
        const char *next = memchr(source->bytes + at, '\n', source->size - at);
        at = next != NULL ? (size_t)(next - source->bytes) : source->size;
    }
    return good;
}

struct source *source_open(struct arena *arena, const struct stave_text *text, size_t limit,
                           struct problems *problems)
{
    struct source *source = ARENA_NEW(arena, struct source);
    const char *name = text->name != NULL ? text->name : "";
    source->given_name = arena_copy_text(arena, name, strlen(name));
    source->name = copy_shown(arena, name, strlen(name));
    source->first_line = 1;
    source->order = ++problems->text_count;
    source->bytes = "";
    find_lines(arena, source);
    if (text->size > limit || text->size >= UINT32_MAX) {
        problem_add(problems, STAVE_ERROR, "text-too-big", (struct span){source, 0, 0},
                    "the text has %zu bytes, more than the %zu that are read", text->size, limit);
        return NULL;
    }
    const char *bytes = text->size != 0 ? text->bytes : "";
    size_t size = text->size;
    source->sha256 = digest_text(arena, bytes, size);
    if (size >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) {
        bytes += 3;
        size -= 3;
    }
    char *copy = arena_take(arena, size + SOURCE_BEHIND);
    memcpy(copy, bytes, size);
    source->bytes = copy;
    source->size = size;
    find_lines(arena, source);
    find_checkpoints(arena, source);
    const char *nul = memchr(source->bytes, '\0', size);
    if (nul != NULL) {
        uint32_t at = (uint32_t)(nul - source->bytes);
        problem_add(problems, STAVE_ERROR, "nul-byte", (struct span){source, at, at + 1},
                    "a NUL byte: this is not a text");
        return NULL;
    }
    return check_characters(source, problems) ? source : NULL;
}

/* ---- the text of a span ---------------------------------------------------------------- */

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

static size_t to_line_end(const char *bytes, size_t at, size_t end)
{
    while (at < end && bytes[at] != '\n') {
        at++;
    }
    return at;
}

/* The end of what begins at `at` and is kept as it stands: a string, a remark, or one byte. */
static size_t piece_end(const char *bytes, size_t at, size_t end)
{
    if (bytes[at] == ';') {
        size_t stop = to_line_end(bytes, at, end);
        return stop > at + 1 && bytes[stop - 1] == '\r' ? stop - 1 : stop;
    }
    if (bytes[at] != '"') {
        return at + 1;
    }
    for (at++; at < end && bytes[at] != '\n' && bytes[at] != '"'; at++) {
        if (bytes[at] == '\\' && at + 1 < end && bytes[at + 1] != '\n') {
            at++;
        }
    }
    return at < end && bytes[at] == '"' ? at + 1 : at;
}

const char *span_text(struct arena *arena, struct span span)
{
    if (span.source == NULL || span.from >= span.to) {
        return "";
    }
    const char *bytes = span.source->bytes;
    char *text = arena_take(arena, (size_t)(span.to - span.from) + 1);
    size_t size = 0; /* blanks folded, it is never longer than the span */
    bool blank = false;
    for (size_t at = span.from; at < span.to;) {
        if (is_blank(bytes[at])) {
            blank = true;
            at++;
        } else if (bytes[at] == '#') {
            blank = true;
            at = to_line_end(bytes, at, span.to);
        } else {
            size_t end = piece_end(bytes, at, span.to);
            if (blank && size != 0) {
                text[size++] = ' ';
            }
            blank = false;
            while (at < end) {
                text[size++] = bytes[at++];
            }
        }
    }
    return text;
}
