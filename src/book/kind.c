/* Kinds of damage and checks: where they can be, and what is recorded of them. */
#include "book/check.h"

#include <string.h>

int32_t kind_part_position(const struct kind *kind, const struct part *part)
{
    uint32_t i;

    for (i = 0; i < kind->part_count; i++)
        if (kind->parts[i] == part)
            return (int32_t)i;
    return -1;
}

int32_t kind_measure_position(const struct kind *kind, const struct measure *measure)
{
    uint32_t i;

    for (i = 0; i < kind->record_count; i++)
        if (kind->records[i].measure == measure)
            return (int32_t)i;
    return -1;
}

const struct recorded *kind_find_record(const struct kind *kind, const struct measure *measure,
                                        const struct observation *observation)
{
    uint32_t i;

    for (i = 0; i < kind->record_count; i++)
        if (measure != NULL ? kind->records[i].measure == measure
                            : kind->records[i].observation == observation)
            return &kind->records[i];
    return NULL;
}

/* ---- declaring ----------------------------------------------------------------------- */

static void declare(struct checker *checker, struct tree_word name, bool is_check)
{
    struct book *book = checker->book;

    if (name.text == NULL || book->kind_count > BOOK_KINDS)
        return;
    if (book->kind_count == BOOK_KINDS) {
        problem_add(checker->problems, STAVE_ERROR, "too-many", name.span,
                    "more than %d kinds and checks", BOOK_KINDS);
        checker->unread = checker->text_missing = true;
        return;
    }
    names_add(checker, name, is_check ? SORT_CHECK : SORT_KIND, book->kind_count);
    book->kinds[book->kind_count] = (struct kind){
        .name = name.text, .index = book->kind_count, .is_check = is_check, .span = name.span};
    book->kind_count++;
}

void kinds_declare(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_kind *kind;
    const struct tree_check *check;
    const struct tree_words *word;
    size_t count = 0;
    uint32_t i;

    for (i = 0; i < book->tree_count; i++) {
        for (kind = book->trees[i]->kinds; kind != NULL; kind = kind->next)
            count += words_count(kind->names);
        for (check = book->trees[i]->checks; check != NULL; check = check->next)
            count++;
    }
    book->kinds = ARENA_ARRAY(checker->arena, struct kind, count < BOOK_KINDS ? count : BOOK_KINDS);
    for (i = 0; i < book->tree_count; i++)
        for (kind = book->trees[i]->kinds; kind != NULL; kind = kind->next)
            for (word = kind->names; word != NULL; word = word->next)
                declare(checker, word->word, false);
    book->check_start = book->kind_count;
    for (i = 0; i < book->tree_count; i++)
        for (check = book->trees[i]->checks; check != NULL; check = check->next)
            declare(checker, check->name, true);
}

/* ---- resolving --------------------------------------------------------------------------- */

static bool resolve_parts(struct checker *checker, struct kind *kind,
                          const struct tree_words *words)
{
    uint32_t named, i;
    const char **names =
        words_list(checker, words, BOOK_KIND_PARTS, "part", "parts of one kind", &named);
    bool good = true;

    kind->parts = ARENA_ARRAY(checker->arena, const struct part *, named);
    for (i = 0; i < named; words = words->next) {
        const struct name *found;

        if (words->word.text == NULL || strcmp(words->word.text, names[i]) != 0)
            continue;
        i++;
        found = names_get(checker, words->word, SORT_BIT(SORT_PART), "part");
        if (found == NULL) {
            good = false;
            continue;
        }
        good = good && !found->broken;
        kind->parts[kind->part_count++] = &checker->book->parts[found->index];
    }
    return good;
}

/* "length along station": the measure must be as the axis is, on each part that has it. */
static bool resolve_along(struct checker *checker, const struct kind *kind, struct recorded *record,
                          struct tree_word along)
{
    const struct name *name;
    const struct axis *axis = NULL;
    uint32_t i, j;

    if (kind->is_check) {
        problem_add(checker->problems, STAVE_ERROR, "along", along.span,
                    "check '%s' has no place, so nothing runs along '%s'", kind->name, along.text);
        return false;
    }
    name = names_get(checker, along, SORT_BIT(SORT_AXIS), "axis");
    if (name == NULL || name->broken)
        return false;
    for (i = 0; i < kind->part_count; i++)
        for (j = 0; j < kind->parts[i]->axis_count; j++)
            if (strcmp(kind->parts[i]->axes[j].name, along.text) == 0) {
                record->along[i] = (int32_t)j;
                axis = &kind->parts[i]->axes[j];
            }
    record->has_along = axis != NULL;
    if (axis == NULL) {
        check_second(checker,
                     problem_add(checker->problems, STAVE_ERROR, "along", along.span,
                                 "no part of '%s' has an axis '%s'", kind->name, along.text),
                     name->span, "declared here");
        return false;
    }
    if (record->measure != NULL && dimension_equal(record->measure->dimension, axis->dimension))
        return true;
    problem_add(checker->problems, STAVE_ERROR, record->measure ? "dimension" : "along",
                record->span,
                record->measure ? "'%s' is not what runs along '%s': one is %s, the other %s"
                                : "observation '%s' cannot run along '%s'",
                record->name, along.text,
                record->measure ? dimension_name(checker->arena, record->measure->dimension) : "",
                dimension_name(checker->arena, axis->dimension));
    return false;
}

/* Two measures along one axis would leave open which of them says how far the damage goes. */
static bool along_once(struct checker *checker, const struct kind *kind,
                       const struct recorded *record, struct tree_word along)
{
    uint32_t i, j;

    for (i = 0; i + 1 < kind->record_count; i++)
        for (j = 0; j < kind->part_count; j++)
            if (record->along[j] >= 0 && kind->records[i].along[j] == record->along[j]) {
                check_second(checker,
                             problem_add(checker->problems, STAVE_ERROR, "along", along.span,
                                         "two measures run along '%s'", along.text),
                             kind->records[i].span, "the first is here");
                return false;
            }
    return true;
}

static bool resolve_record(struct checker *checker, struct kind *kind,
                           const struct tree_record *tree)
{
    struct book *book = checker->book;
    const struct name *found =
        names_get(checker, tree->name, SORT_BIT(SORT_MEASURE) | SORT_BIT(SORT_OBSERVATION),
                  "measure or observation");
    struct recorded *record;
    uint32_t i;

    if (found == NULL || found->broken)
        return false;
    for (i = 0; i < kind->record_count; i++)
        if (strcmp(kind->records[i].name, found->text) == 0) {
            check_second(checker,
                         problem_add(checker->problems, STAVE_ERROR, "duplicate-name",
                                     tree->name.span, "'%s' is recorded twice", found->text),
                         kind->records[i].span, "first here");
            return false;
        }
    if (kind->record_count == BOOK_RECORDS) {
        problem_add(checker->problems, STAVE_ERROR, "too-many", tree->name.span,
                    "'%s' records more than %d things", kind->name, BOOK_RECORDS);
        return false;
    }
    record = &kind->records[kind->record_count++];
    *record = (struct recorded){.name = found->text, .span = tree->name.span};
    for (i = 0; i < BOOK_KIND_PARTS; i++)
        record->along[i] = -1;
    if (found->sort == SORT_MEASURE)
        record->measure = &book->measures[found->index];
    else
        record->observation = &book->observations[found->index];
    if (tree->along.text == NULL)
        return true;
    return resolve_along(checker, kind, record, tree->along) &&
           along_once(checker, kind, record, tree->along);
}

/* `each side where holed`: a yes-or-no observation that the kind records, on parts with sides. */
static bool resolve_each_side(struct checker *checker, struct kind *kind, struct tree_word word)
{
    const struct name *name;
    uint32_t i;

    if (word.text == NULL)
        return true;
    name = names_get(checker, word, SORT_BIT(SORT_OBSERVATION), "observation");
    if (name == NULL || name->broken)
        return false;
    kind->each_side = &checker->book->observations[name->index];
    if (kind->each_side->sort != TREE_YES_OR_NO ||
        kind_find_record(kind, NULL, kind->each_side) == NULL) {
        problem_help(problem_add(checker->problems, STAVE_ERROR, "each-side", word.span,
                                 "'%s' is no yes-or-no observation that '%s' records", word.text,
                                 kind->name),
                     checker->problems,
                     "write 'observe %s yes or no', and '%s' after 'records'", word.text,
                     word.text);
        return false;
    }
    for (i = 0; i < kind->part_count; i++)
        if (kind->parts[i]->side_count > 1)
            return true;
    problem_add(checker->problems, STAVE_ERROR, "each-side", word.span,
                "no part that '%s' is on has sides", kind->name);
    return false;
}

static bool resolve_kind(struct checker *checker, struct kind *kind, const struct tree_words *parts,
                         const struct tree_record *records, const struct tree_words *looks,
                         const struct tree_words *cautions)
{
    bool good = resolve_parts(checker, kind, parts);
    const struct tree_record *each;
    size_t count = 0;

    for (each = records; each != NULL && count < BOOK_RECORDS; each = each->next)
        count++;
    kind->records = ARENA_ARRAY(checker->arena, struct recorded, count);
    for (; records != NULL; records = records->next)
        if (records->name.text != NULL)
            good = resolve_record(checker, kind, records) && good;
    kind->looks = words_strings(checker, looks, &kind->look_count);
    kind->cautions = words_strings(checker, cautions, &kind->caution_count);
    return good;
}

/* `kind gouge, nick ...`: the first is resolved, the others share its arrays. */
static uint32_t resolve_group(struct checker *checker, const struct tree_kind *tree, uint32_t next)
{
    struct book *book = checker->book;
    const struct tree_words *word;
    const struct kind *first = NULL;
    bool good = true;

    for (word = tree->names; word != NULL && next < book->check_start; word = word->next) {
        struct kind *kind;

        if (word->word.text == NULL)
            continue;
        kind = &book->kinds[next++];
        if (first == NULL) {
            first = kind;
            good = resolve_kind(checker, kind, tree->parts, tree->records, tree->looks,
                                tree->cautions);
            good = good && resolve_each_side(checker, kind, tree->each_side);
        } else {
            struct kind own = *kind;

            *kind = *first;
            kind->name = own.name;
            kind->index = own.index;
            kind->span = own.span;
        }
        if (!good)
            names_mark_broken(checker, kind->name, SORT_KIND);
    }
    return next;
}

void kinds_resolve(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_kind *kind;
    const struct tree_check *check;
    uint32_t i, next = 0;

    for (i = 0; i < book->tree_count; i++)
        for (kind = book->trees[i]->kinds; kind != NULL; kind = kind->next)
            next = resolve_group(checker, kind, next);
    next = book->check_start;
    for (i = 0; i < book->tree_count; i++)
        for (check = book->trees[i]->checks; check != NULL && next < book->kind_count;
             check = check->next) {
            struct kind *made;

            if (check->name.text == NULL)
                continue;
            made = &book->kinds[next++];
            if (!resolve_kind(checker, made, check->parts, check->records, check->looks,
                              check->cautions))
                names_mark_broken(checker, made->name, SORT_CHECK);
            if (check->records == NULL && !checker->unread)
                problem_help(problem_add(checker->problems, STAVE_ERROR, "too-few", made->span,
                                         "check '%s' records nothing, so it has no answer",
                                         made->name),
                             checker->problems, "write 'records' and what to answer");
        }
}
