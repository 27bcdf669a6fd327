#include "book/check.h"

#include <string.h>

/* ---- words for sorts ----------------------------------------------------------- */

const char *names_sort_text(enum name_sort sort)
{
    switch (sort) {
    case SORT_PART:
        return "a part";
    case SORT_AXIS:
        return "an axis";
    case SORT_ZONE:
        return "a zone";
    case SORT_MEASURE:
        return "a measure";
    case SORT_OBSERVATION:
        return "an observation";
    case SORT_KIND:
        return "a kind";
    case SORT_CHECK:
        return "a check";
    case SORT_CURVE:
        return "a curve";
    case SORT_RECKON:
        return "a reckoned name";
    case SORT_OUTCOME:
        return "an outcome";
    case SORT_LOST:
        break;
    }
    return "a name";
}

/* ---- problems --------------------------------------------------------------------- */

struct stave_problem *check_error(struct checker *checker, const char *code, struct span at,
                                  const char *message)
{
    return problem_add(checker->problems, STAVE_ERROR, code, at, "%s", message);
}

void check_second(struct checker *checker, struct stave_problem *problem, struct span at,
                  const char *label)
{
    if (at.source != NULL)
        problem_second(problem, checker->problems, at, "%s", label);
}

#define QUOTE_MOST 72 /* bytes; what is longer is cut, the caret shows the whole */

const char *check_quote(struct checker *checker, struct span span)
{
    const char *whole = span_text(checker->arena, span);
    size_t size = strlen(whole), kept = 0, next;

    if (size <= QUOTE_MOST)
        return whole;
    while (kept < QUOTE_MOST && (next = text_utf8_length(whole + kept, size - kept, NULL)) > 0)
        kept += next;
    return text_format(checker->arena, "%s ...", arena_copy_text(checker->arena, whole, kept));
}

/* ---- the table --------------------------------------------------------------------- */

void names_add(struct checker *checker, struct tree_word word, enum name_sort sort, uint32_t index)
{
    struct names *names = &checker->names;
    struct name *name;

    if (word.text == NULL)
        return;
    name = ARENA_PUSH(checker->arena, names->items, names->count, names->capacity);
    *name = (struct name){.text = word.text, .sort = sort, .index = index, .span = word.span};
}

static uint32_t source_order(const struct book *book, const struct source *source)
{
    uint32_t i = 0;

    while (i < book->source_count && book->sources[i] != source)
        i++;
    return i;
}

/* By text, then by where it stands. */
static int name_order(const struct book *book, const struct name *a, const struct name *b)
{
    int order = strcmp(a->text, b->text);

    if (order != 0)
        return order;
    if (a->span.source != b->span.source)
        return source_order(book, a->span.source) < source_order(book, b->span.source) ? -1 : 1;
    return a->span.from < b->span.from ? -1 : a->span.from > b->span.from;
}

static void merge(const struct book *book, const struct name *from, struct name *to, size_t start,
                  size_t middle, size_t end)
{
    size_t left = start, right = middle, i;

    for (i = start; i < end; i++) {
        bool take_left =
            left < middle && (right >= end || name_order(book, &from[left], &from[right]) <= 0);

        to[i] = take_left ? from[left++] : from[right++];
    }
}

/* A merge sort: the library's qsort may take memory that is not the host's. */
static void names_sort(struct checker *checker)
{
    size_t count = checker->names.count, width, start;
    struct name *from = checker->names.items;
    struct name *to = ARENA_ARRAY(checker->arena, struct name, count);

    for (width = 1; width < count; width *= 2) {
        struct name *swap = from;

        for (start = 0; start < count; start += 2 * width) {
            size_t middle = start + width < count ? start + width : count;
            size_t end = start + 2 * width < count ? start + 2 * width : count;

            merge(checker->book, from, to, start, middle, end);
        }
        from = to;
        to = swap;
    }
    checker->names.items = from;
}

static void report_duplicate(struct checker *checker, const struct name *first,
                             const struct name *again)
{
    struct stave_problem *problem;

    if (first->sort == again->sort) {
        const char *noun = names_sort_text(again->sort);

        problem = problem_add(checker->problems, STAVE_ERROR, "duplicate-name", again->span,
                              "%s '%s' is declared twice", strchr(noun, ' ') + 1, again->text);
    } else {
        problem = problem_add(checker->problems, STAVE_ERROR, "duplicate-name", again->span,
                              "'%s' is already %s", again->text, names_sort_text(first->sort));
        problem_help(problem, checker->problems, "give the %s another name",
                     strchr(names_sort_text(again->sort), ' ') + 1);
    }
    check_second(checker, problem, first->span, "declared here");
}

static size_t name_hash(const char *text)
{
    size_t hash = 0;

    for (; *text != '\0'; text++)
        hash = hash * 31 + (unsigned char)*text;
    return hash ^ hash >> 7;
}

/* Where in `places` the text stands, or a free place. */
static size_t place_of(const struct names *names, const char *text)
{
    size_t place = name_hash(text) & names->place_mask;

    while (names->places[place] != 0) {
        if (text_same(names->items[names->places[place] - 1].text, text))
            break;
        place = (place + 1) & names->place_mask;
    }
    return place;
}

/* At most half of the places are taken. */
static void make_places(struct checker *checker)
{
    struct names *names = &checker->names;
    size_t room = 2, i;

    while (room < 2 * names->count)
        room *= 2;
    names->places = ARENA_ARRAY(checker->arena, uint32_t, room);
    names->place_mask = room - 1;
    names->seen = ARENA_ARRAY(checker->arena, uint32_t, room);
    for (i = 0; i < names->count; i++) {
        size_t place = place_of(names, names->items[i].text);

        if (names->places[place] == 0)
            names->places[place] = (uint32_t)i + 1;
    }
}

void names_close(struct checker *checker)
{
    struct names *names = &checker->names;
    struct name *before;
    size_t i, first = 0;

    if (names->count > 0)
        names_sort(checker);
    make_places(checker);
    for (i = 1; i < names->count; i++) {
        struct name *name = &names->items[i];

        before = &names->items[first];
        if (!text_same(name->text, before->text)) {
            first = i;
            continue;
        }
        if (name->sort == SORT_LOST || before->sort == SORT_LOST)
            continue;
        /* axes of different parts may share a name; their dimensions are compared later */
        if (name->sort == SORT_AXIS && before->sort == SORT_AXIS &&
            name->index != names->items[i - 1].index)
            continue;
        report_duplicate(checker, before, name);
        before->broken = name->broken = true;
    }
}

/* Index of the first entry with this text, or the count of all. In one file all that speaks of a name
 * has its text at the same address: most lookups need not work out where it would stand. */
static inline size_t first_with(const struct names *names, const char *text)
{
    uint32_t *seen;

    if (names->count == 0)
        return 0;
    seen = &names->seen[(uintptr_t)text / ARENA_ALIGNMENT & names->place_mask];
    if (*seen == 0 || !text_same(names->items[*seen - 1].text, text)) {
        *seen = names->places[place_of(names, text)];
        if (*seen == 0)
            return names->count;
    }
    return *seen - 1;
}

const struct name *names_find(const struct checker *checker, const char *text, unsigned sorts)
{
    const struct names *names = &checker->names;
    size_t i, first;

    for (i = first = first_with(names, text); i < names->count; i++) {
        if (i != first && !text_same(names->items[i].text, text))
            break;
        if (sorts & SORT_BIT(names->items[i].sort))
            return &names->items[i];
    }
    return NULL;
}

void names_mark_broken(struct checker *checker, const char *text, enum name_sort sort)
{
    struct names *names = &checker->names;
    size_t i;

    for (i = first_with(names, text); i < names->count; i++) {
        if (strcmp(names->items[i].text, text) != 0)
            break;
        if (names->items[i].sort == sort)
            names->items[i].broken = true;
    }
}

/* It may well be declared where the text could not be read. */
static bool is_excused(const struct checker *checker, struct tree_word word)
{
    return checker->text_missing || names_find(checker, word.text, SORT_BIT(SORT_LOST)) != NULL;
}

/* ---- looking up ----------------------------------------------------------------------- */

void names_unknown(struct checker *checker, struct tree_word word, const char *wanted,
                   const char *owner, const char *const *known, size_t known_count)
{
    struct stave_problem *problem;
    const char *near;

    if (is_excused(checker, word))
        return;
    problem = problem_add(checker->problems, STAVE_ERROR, "unknown-name", word.span,
                          "unknown %s '%s'%s", wanted, word.text, owner);
    if (checker->problems->error_count > PROBLEM_CAP)
        return; /* it will not be shown: no search for a suggestion */
    near = text_nearest(checker->arena, word.text, known, known_count);
    if (strcmp(wanted, "outcome") == 0 && strcmp(word.text, "else") == 0)
        problem_help(problem, checker->problems, "a line for all else begins with 'otherwise'");
    else if (near != NULL)
        problem_help(problem, checker->problems, "did you mean '%s'?", near);
    else if (known_count > 0 && known_count <= 8)
        problem_help(problem, checker->problems, "write %s",
                     list_text(checker->arena, known, (uint32_t)known_count, "or"));
}

static void report_unknown(struct checker *checker, struct tree_word word, unsigned sorts,
                           const char *wanted)
{
    const struct names *names = &checker->names;
    const char **known;
    size_t i, count = 0;

    if (is_excused(checker, word))
        return;
    if (checker->problems->error_count >= PROBLEM_CAP) {
        names_unknown(checker, word, wanted, "", NULL, 0);
        return;
    }
    known = ARENA_ARRAY(checker->arena, const char *, names->count);
    for (i = 0; i < names->count; i++)
        if ((sorts & SORT_BIT(names->items[i].sort)) &&
            (count == 0 || strcmp(known[count - 1], names->items[i].text) != 0))
            known[count++] = names->items[i].text;
    names_unknown(checker, word, wanted, "", known, count);
}

const struct name *names_get(struct checker *checker, struct tree_word word, unsigned sorts,
                             const char *wanted)
{
    const struct name *name;
    struct stave_problem *problem;
    bool vowel;

    if (word.text == NULL)
        return NULL;
    name = names_find(checker, word.text, sorts);
    if (name != NULL)
        return name;
    if (is_excused(checker, word))
        return NULL;
    name = names_find(checker, word.text, ~0u);
    if (name == NULL) {
        report_unknown(checker, word, sorts, wanted);
        return NULL;
    }
    vowel = wanted[0] != '\0' && strchr("aeiou", wanted[0]) != NULL;
    problem = problem_add(checker->problems, STAVE_ERROR, "wrong-name", word.span,
                          "'%s' is %s, not %s %s", word.text, names_sort_text(name->sort),
                          vowel ? "an" : "a", wanted);
    check_second(checker, problem, name->span, "declared here");
    return NULL;
}

/* ---- lists of words -------------------------------------------------------------------- */

size_t words_count(const struct tree_words *words)
{
    size_t count = 0;

    for (; words != NULL; words = words->next)
        count++;
    return count;
}

int32_t list_find(const char *const *list, uint32_t count, const char *text)
{
    uint32_t i;

    for (i = 0; i < count; i++)
        if (strcmp(list[i], text) == 0)
            return (int32_t)i;
    return -1;
}

const char **words_list(struct checker *checker, const struct tree_words *words, uint32_t most,
                        const char *one, const char *many, uint32_t *count)
{
    size_t all = words_count(words);
    const char **list = ARENA_ARRAY(checker->arena, const char *, all < most ? all : most);
    struct span *spans = ARENA_ARRAY(checker->arena, struct span, all < most ? all : most);

    *count = 0;
    for (; words != NULL; words = words->next) {
        int32_t before;

        if (words->word.text == NULL)
            continue;
        before = list_find(list, *count, words->word.text);
        if (before >= 0) {
            struct stave_problem *problem =
                problem_add(checker->problems, STAVE_ERROR, "duplicate-name", words->word.span,
                            "%s '%s' is named twice", one, words->word.text);

            check_second(checker, problem, spans[before], "first here");
            continue;
        }
        if (*count == most) {
            problem_add(checker->problems, STAVE_ERROR, "too-many", words->word.span,
                        "more than %u %s", (unsigned)most, many);
            break;
        }
        spans[*count] = words->word.span;
        list[(*count)++] = words->word.text;
    }
    return list;
}

const char **words_strings(struct checker *checker, const struct tree_words *words, uint32_t *count)
{
    const char **list = ARENA_ARRAY(checker->arena, const char *, words_count(words));

    *count = 0;
    for (; words != NULL; words = words->next)
        if (words->word.text != NULL)
            list[(*count)++] = words->word.text;
    return list;
}

const char *list_text(struct arena *arena, const char *const *list, uint32_t count,
                      const char *last_joint)
{
    struct text text;
    uint32_t i;

    text_begin(&text, arena);
    for (i = 0; i < count; i++) {
        if (i > 0 && i + 1 == count) {
            text_add(&text, " ");
            text_add(&text, last_joint);
            text_add(&text, " ");
        } else if (i > 0) {
            text_add(&text, ", ");
        }
        text_add(&text, "'");
        text_add(&text, list[i]);
        text_add(&text, "'");
    }
    return text_done(&text);
}
