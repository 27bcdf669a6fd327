/* Examples suggested for what no example holds. */
#include "prove/suggest.h"

#include <string.h>

#include "base/text.h"
#include "book/family.h"
#include "prove/prove.h"

/* ---- reading one ------------------------------------------------------------------------ */

const struct tree_example *suggestion_read(struct arena *arena, const struct book *book,
                                           const char *lines, const char *gives)
{
    struct problems problems;
    problems_begin(&problems, arena);
    const char *bytes =
        text_format(arena, "stave 1\nexample \"suggested\"\n%s\ngives %s\n", lines, gives);
    const struct stave_text text = {.name = "suggested", .bytes = bytes, .size = strlen(bytes)};
    const struct tree_example *example = prove_read(arena, book, &text, &problems);
    return problems.error_count ? NULL : example;
}

/* The text of a run: outcomes, and deadlines when asked for. */
static const char *answer_text(struct arena *arena, const struct book *book,
                               const struct found *found, bool deadlines)
{
    struct text text;
    text_begin(&text, arena);
    for (uint32_t i = 0; i < book->scale_count; i++) {
        if (found->possible >> i & 1) {
            text_addf(&text, "%s%s", text.size ? " or " : "", book->scale[i].name);
        }
    }
    for (size_t i = 0; deadlines && i < found->deadlines.count; i++) {
        const struct stave_deadline *deadline = &found->deadlines.items[i];
        text_addf(&text, " %swithin %s", deadline->look_again ? "again " : "", deadline->within);
    }
    return text_done(&text);
}

struct found suggestion_run(struct suggestions *suggestions, const struct ready_book *ready,
                            const struct tree_example *example, struct example_case *one)
{
    struct problems problems;
    problems_begin(&problems, suggestions->scratch);
    case_make(suggestions->scratch, ready->book, &problems, example, example->gives, one);
    return case_run(suggestions->scratch, ready, one, NULL);
}

/* ---- who notices ---------------------------------------------------------------------------- */

static void set_witness(struct suggestions *suggestions, const struct suggestion *suggestion,
                        const struct found *after, const struct book *changed,
                        struct stave_slip *made)
{
    bool deadlines = strstr(suggestion->gives, "within ");
    made->answer = STAVE_SLIP_MISSED;
    made->witness = suggestion->text;
    made->found[0] = suggestion->gives;
    made->found[1] = answer_text(suggestions->arena, changed, after, deadlines);
}

bool suggestions_notice(struct suggestions *suggestions, const struct ready_book *changed,
                        const uint64_t *kinds, struct stave_slip *made)
{
    for (uint32_t i = suggestions->count; i-- > 0;) {
        const struct suggestion *suggestion = &suggestions->items[i];
        struct arena_mark mark = arena_mark(suggestions->scratch);
        struct example_case one;
        struct found after = suggestion_run(suggestions, changed, suggestion->example, &one);
        uint32_t kind = one.count ? one.findings[one.count - 1]->kind->index : 0;
        bool noticed = one.count && kinds[kind / 64] >> kind % 64 & 1 && !case_agrees(&one, &after);
        if (noticed) {
            set_witness(suggestions, suggestion, &after, changed->book, made);
        }
        arena_release(suggestions->scratch, mark);
        if (noticed) {
            return true;
        }
    }
    return false;
}

/* ---- adding one ------------------------------------------------------------------------------- */

static void name_owner(const struct suggestions *suggestions, const struct slip *slip,
                       struct suggestion *suggestion)
{
    const struct book *book = suggestions->ready->book;
    struct arena *arena = suggestions->arena;
    suggestion->source = "";
    switch (slip->owner) {
    case OWNER_LADDER: {
        const struct limit *limit = &book->limits[suggestions->ladders[slip->index].first];
        suggestion->about = limit_phrase(arena, limit);
        suggestion->source = limit->source;
        break;
    }
    case OWNER_CURVE:
        suggestion->about = text_format(arena, "curve %s", book->curves[slip->index].name);
        for (const struct tree_tail *tail = book->curves[slip->index].tails; tail;
             tail = tail->next) {
            suggestion->source = tail->sort == TREE_PER ? tail->string.text : suggestion->source;
        }
        break;
    case OWNER_RECKON:
        suggestion->about = book->reckons[slip->index].name;
        break;
    case OWNER_ZONE:
        suggestion->about = text_format(arena, "zone %s", book->zones[slip->index].name);
        break;
    case OWNER_OUTCOME:
        suggestion->about = text_format(arena, "deadline of %s", book->scale[slip->index].name);
        break;
    }
}

bool suggestions_add(struct suggestions *suggestions, const struct ready_book *changed,
                     const struct slip *slip, const char *lines, struct stave_slip *made)
{
    struct arena *arena = suggestions->arena;
    const struct book *book = suggestions->ready->book;
    const struct tree_example *example =
        suggestion_read(suggestions->scratch, book, lines, book->scale[0].name);
    if (!example) {
        return false;
    }
    struct example_case one;
    struct suggestion suggestion = {.text = arena_copy_text(arena, lines, strlen(lines))};
    struct found now = suggestion_run(suggestions, suggestions->ready, example, &one);
    struct found after = suggestion_run(suggestions, changed, example, &one);
    suggestion.gives = answer_text(arena, book, &now, now.possible == after.possible);
    suggestion.example = suggestion_read(arena, book, suggestion.text, suggestion.gives);
    if (!suggestion.example) {
        return false;
    }
    name_owner(suggestions, slip, &suggestion);
    after = suggestion_run(suggestions, changed, suggestion.example, &one);
    set_witness(suggestions, &suggestion, &after, changed->book, made);
    if (case_agrees(&one, &after)) {
        return false;
    }
    *ARENA_PUSH(arena, suggestions->items, suggestions->count, suggestions->capacity) = suggestion;
    return true;
}

/* ---- writing them ------------------------------------------------------------------------------- */

/* The last line of a suggestion, which is meant, and what stands before it. */
static const struct tree_finding *last_line(const struct suggestion *suggestion)
{
    const struct tree_finding *line = suggestion->example->findings;
    while (line->next) {
        line = line->next;
    }
    return line;
}

static bool same_text(struct arena *arena, struct span a, struct span b)
{
    return strcmp(span_text(arena, a), span_text(arena, b)) == 0;
}

static bool alike_before(struct arena *arena, const struct suggestion *a,
                         const struct suggestion *b)
{
    const struct tree_finding *one = a->example->findings, *other = b->example->findings;
    for (; one->next && other->next; one = one->next, other = other->next) {
        if (one->times != other->times || !same_text(arena, one->span, other->span)) {
            return false;
        }
    }
    return !one->next && !other->next && one->times == 1 && other->times == 1;
}

/* What `with` has to say to make the second out of the first; false where it cannot. */
static bool write_with(struct arena *arena, const struct suggestion *first,
                       const struct suggestion *second, struct text *with)
{
    const struct tree_finding *a = last_line(first), *b = last_line(second);
    const struct tree_place *place = a->places, *other = b->places;
    const struct tree_reading *reading = a->readings, *next = b->readings;
    if (!alike_before(arena, first, second) || strcmp(a->part.text, b->part.text) != 0 ||
        strcmp(a->kind.text, b->kind.text) != 0) {
        return false;
    }
    for (; place && other; place = place->next, other = other->next) {
        if (!place->range != !other->range ||
            strcmp(place->name.text, other->name.text) != 0) {
            return false;
        }
        if (!same_text(arena, place->span, other->span)) {
            text_addf(with, "%s%s", with->size ? ", " : "", span_text(arena, other->span));
        }
    }
    for (; reading && next; reading = reading->next, next = next->next) {
        bool same = same_text(arena, reading->span, next->span);
        bool plain = next->sort != TREE_READ_NEW && next->sort != TREE_READ_WAS &&
                     next->sort != TREE_READ_FIRST && reading->name.text && next->name.text &&
                     strcmp(reading->name.text, next->name.text) == 0;
        if (!same && !plain) {
            return false;
        }
        if (!same) {
            text_addf(with, "%s%s", with->size ? ", " : "", span_text(arena, next->span));
        }
    }
    return !place && !other && !reading && !next;
}

static void write_lines(struct text *text, const char *lines)
{
    text_add(text, "    ");
    for (; *lines; lines++) {
        text_add_char(text, *lines);
        if (*lines == '\n') {
            text_add(text, "    ");
        }
    }
    text_add(text, "\n");
}

/* A string of the language: its quotes and backslashes behind a backslash. */
static void write_string(struct text *text, const char *string)
{
    text_add(text, "\"");
    for (; *string; string++) {
        if (*string == '"' || *string == '\\') {
            text_add(text, "\\");
        }
        text_add_char(text, *string);
    }
    text_add(text, "\"");
}

static void write_example(struct suggestions *suggestions, struct text *text, uint32_t at)
{
    struct arena *arena = suggestions->arena;
    const struct suggestion *first = &suggestions->items[at];
    text_add(text, text->size ? "\nexample " : "example ");
    write_string(text, text_format(arena, "%s: at the limit, and a step beyond", first->about));
    if (suggestions->ready->book->model) { /* another model may answer otherwise */
        text_addf(text, "  for %s", suggestions->ready->book->model->name);
    }
    text_add(text, "  unconfirmed");
    if (first->source[0]) {
        text_add(text, "  per ");
        write_string(text, first->source);
    }
    text_add(text, "\n");
    write_lines(text, first->text);
    text_addf(text, "    gives %s\n", first->gives);
    for (uint32_t i = at + 1; i < suggestions->count; i++) {
        struct suggestion *other = &suggestions->items[i];
        struct text with;
        text_begin(&with, arena);
        if (other->told || strcmp(other->about, first->about) != 0 ||
            !write_with(arena, first, other, &with)) {
            continue;
        }
        const char *deadline = strstr(other->gives, " within ");
        const char *again = strstr(other->gives, " again within ");
        deadline = again && again < deadline ? again : deadline;
        size_t outcomes = deadline ? (size_t)(deadline - other->gives) : strlen(other->gives);
        text_add(text, "    gives ");
        text_add_bytes(text, other->gives, outcomes);
        if (with.size) {
            text_addf(text, "  with %s", text_done(&with));
        }
        text_addf(text, "%s%s\n", deadline ? " " : "", deadline ? deadline : "");
        other->told = true;
    }
}

const char *suggestions_text(struct suggestions *suggestions, size_t *examples)
{
    struct text text;
    text_begin(&text, suggestions->arena);
    *examples = 0;
    for (uint32_t i = 0; i < suggestions->count; i++) {
        if (!suggestions->items[i].told) {
            suggestions->items[i].told = true;
            write_example(suggestions, &text, i);
            ++*examples;
        }
    }
    return text_done(&text);
}
