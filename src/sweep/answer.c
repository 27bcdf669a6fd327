/* Answers: one line for each row, as CSV or as JSON Lines. */
#include <string.h>

#include "base/text.h"
#include "sweep/inside.h"

/* ---- bytes ---------------------------------------------------------------------------------- */

char *answers_room(struct answers *answers, size_t more)
{
    if (answers->capacity - answers->size < more) {
        size_t wanted = 2 * answers->capacity + more + 65536;
        answers->bytes = arena_grow_array(answers->arena, answers->bytes, answers->size, wanted, 1);
        answers->capacity = wanted;
    }
    return answers->bytes + answers->size;
}

static void put(struct answers *answers, const char *bytes, size_t size)
{
    memcpy(answers_room(answers, size), bytes, size);
    answers->size += size;
}

static void put_text(struct answers *answers, const char *text)
{
    put(answers, text, strlen(text));
}

static void put_number(struct answers *answers, uint64_t number)
{
    char digits[24];
    size_t at = sizeof digits;
    do {
        digits[--at] = (char)('0' + number % 10);
        number /= 10;
    } while (number);
    put(answers, digits + at, sizeof digits - at);
}

/* ---- CSV ------------------------------------------------------------------------------------- */

static void csv_field(struct answers *answers, const char *bytes, size_t size)
{
    bool quotes = false;
    for (size_t i = 0; i < size; i++) {
        char c = bytes[i];
        quotes |= c == ',' || c == '"' || c == '\n' || c == '\r';
    }
    if (!quotes) {
        put(answers, bytes, size);
        return;
    }
    char *to = answers_room(answers, 2 * size + 2), *from = to;
    *to++ = '"';
    for (size_t i = 0; i < size; i++) {
        *to++ = bytes[i];
        if (bytes[i] == '"') {
            *to++ = '"';
        }
    }
    *to++ = '"';
    answers->size += (size_t)(to - from);
}

/* ---- JSON ------------------------------------------------------------------------------------- */

static void json_string(struct answers *answers, const char *bytes, size_t size)
{
    static const char hex[] = "0123456789abcdef";
    char *to = answers_room(answers, 6 * size + 2), *from = to;
    *to++ = '"';
    for (size_t i = 0; i < size; i++) {
        unsigned char c = (unsigned char)bytes[i];
        if (c == '"' || c == '\\') {
            *to++ = '\\';
            *to++ = (char)c;
        } else if (c < ' ') {
            memcpy(to, "\\u00", 4);
            to[4] = hex[c >> 4];
            to[5] = hex[c & 15];
            to += 6;
        } else {
            *to++ = (char)c;
        }
    }
    *to++ = '"';
    answers->size += (size_t)(to - from);
}

/* ---- one answer ----------------------------------------------------------------------------------- */

/* Writes fields in either form. */
struct writing {
    struct answers *answers;
    bool json, begun;
    const char *prefix; /* of the names of members */
};

static void begin_field(struct writing *writing, const char *name)
{
    struct answers *answers = writing->answers;
    if (writing->begun) {
        put(answers, ",", 1);
    } else if (writing->json) {
        put(answers, "{", 1);
    }
    writing->begun = true;
    if (writing->json) {
        put(answers, "\"", 1);
        put_text(answers, writing->prefix);
        put_text(answers, name);
        put(answers, "\":", 2);
    }
}

static void field(struct writing *writing, const char *name, const char *bytes, size_t size)
{
    begin_field(writing, name);
    if (writing->json) {
        json_string(writing->answers, bytes, size);
    } else {
        csv_field(writing->answers, bytes, size);
    }
}

static void text_field(struct writing *writing, const char *name, const char *text)
{
    if (text && (text[0] || !writing->json)) {
        field(writing, name, text, strlen(text));
    } else if (!writing->json) {
        begin_field(writing, name);
    }
}

/* What one book says. */
static void book_fields(struct writing *writing, const struct book *book, bool with_best,
                        const struct outcome_of_row *result)
{
    bool judged = result->judged;
    const struct outcome *outcome = judged ? &book->scale[result->outcome] : NULL;
    text_field(writing, "outcome", outcome ? outcome->name : "not judged");
    text_field(writing, "flight", !outcome ? "" : outcome->flight ? "yes" : "no");
    if (with_best) {
        bool undecided = judged && result->best != result->outcome;
        text_field(writing, "best", undecided ? book->scale[result->best].name : "");
    }
    text_field(writing, "zone", result->zone_name);
    text_field(writing, "rule", result->rule);
    text_field(writing, "name", result->name);
    text_field(writing, "reading", result->reading);
    text_field(writing, "limit", result->limit);
    text_field(writing, "source", result->source);
    text_field(writing, "reason", result->reason);
}

/* A cell in JSON has to be UTF-8, whatever the row holds. */
static void id_field(struct writing *writing, const struct row *row, int32_t column)
{
    struct cell id = row->fault ? (struct cell){"", 0} : row_cell(row, column);
    size_t good = text_first_bad_utf8(id.bytes, id.size);
    if (good != id.size || memchr(id.bytes, '\0', id.size)) {
        id.size = 0;
    }
    if (id.size || !writing->json) {
        field(writing, "id", id.bytes, id.size);
    }
}

void answer_write(struct sweeper *sweeper, const struct row *row,
                  const struct outcome_of_row *result, const struct outcome_of_row *other)
{
    const struct sweep *sweep = sweeper->sweep;
    struct writing writing = {.answers = &sweeper->answers, .json = sweep->json_out, .prefix = ""};
    if (sweep->name_files) {
        text_field(&writing, "file", sweeper->file ? sweeper->file : "");
    }
    begin_field(&writing, "line");
    put_number(writing.answers, row->line);
    id_field(&writing, row, sweep->id);
    book_fields(&writing, sweep->books[0]->book, !other, result);
    if (other) {
        writing.prefix = "new_";
        book_fields(&writing, sweep->books[1]->book, false, other);
    }
    put(writing.answers, sweep->json_out ? "}\n" : "\n", sweep->json_out ? 2 : 1);
}

void answer_count(struct sweeper *sweeper, const struct outcome_of_row *result)
{
    struct stave_sweep_counts *counts = &sweeper->counts;
    counts->rows++;
    if (!result->judged) {
        counts->not_judged++;
        return;
    }
    counts->judged++;
    counts->undecided += result->best != result->outcome;
    sweeper->by_outcome[result->outcome]++;
    sweeper->by_kind[result->kind * counts->outcome_count + result->outcome]++;
    sweeper->by_zone[result->zone * counts->outcome_count + result->outcome]++;
}
