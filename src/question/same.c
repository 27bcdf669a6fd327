/* Two books held against each other: is there a finding that they answer differently? */
#include <string.h>

#include "question/asking.h"

/* A sort of deadline: whether one looks again or acts, and in which kind of time. */
struct times {
    const struct deadline **items;
    uint32_t count;
    size_t capacity;
    struct number never; /* longer than all of them: stands for none */
};

struct two {
    struct asking asking; /* its subject is the first book's */
    const struct book *books[2];
    struct subject *subjects[2];
    struct times times;
};

/* ---- names ------------------------------------------------------------------------------------ */

static bool same_names(const char *const *first, uint32_t first_count, const char *const *second,
                       uint32_t second_count)
{
    bool same = first_count == second_count;
    for (uint32_t i = 0; same && i < first_count; i++) {
        same = strcmp(first[i], second[i]) == 0;
    }
    return same;
}

/* Why two subjects cannot be asked about with one set of coordinates, or NULL. */
static const char *cannot(const struct two *two)
{
    const struct book *first = two->books[0], *second = two->books[1];
    const struct part *a = two->subjects[0]->part, *b = two->subjects[1]->part;
    bool scales = first->scale_count == second->scale_count;
    for (uint32_t i = 0; scales && i < first->scale_count; i++) {
        scales = strcmp(first->scale[i].name, second->scale[i].name) == 0;
    }
    if (!scales) {
        return "their scales are not named alike";
    }
    if (!same_names(a->sides, a->side_count, b->sides, b->side_count) ||
        !same_names(a->places, a->place_count, b->places, b->place_count)) {
        return "the sides or places of the part are not named alike";
    }
    bool axes = a->axis_count == b->axis_count;
    for (uint32_t i = 0; axes && i < a->axis_count; i++) {
        axes = strcmp(a->axes[i].name, b->axes[i].name) == 0;
    }
    if (!axes) {
        return "the axes of the part are not named alike";
    }
    for (uint32_t i = 0; i < two->subjects[0]->kind->record_count; i++) {
        const struct observation *one = two->subjects[0]->kind->records[i].observation;
        for (uint32_t j = 0; one && j < two->subjects[1]->kind->record_count; j++) {
            const struct observation *other = two->subjects[1]->kind->records[j].observation;
            if (other && strcmp(one->name, other->name) == 0 &&
                !same_names(one->values, one->value_count, other->values, other->value_count)) {
                return "the values of an observation are not named alike";
            }
        }
    }
    return NULL;
}

/* ---- coordinates --------------------------------------------------------------------------------- */

static const struct coordinate *find(const struct subject *subject, const char *name)
{
    for (uint32_t i = 0; i < subject->coordinate_count; i++) {
        if (strcmp(subject->coordinates[i].name, name) == 0) {
            return &subject->coordinates[i];
        }
    }
    return NULL;
}

/* Does one symbol serve both books? Not where they round a reading differently. */
static bool serves_both(const struct coordinate *a, const struct coordinate *b)
{
    const struct measure *x = a->measure, *y = b->measure;
    return !x || !y || (!a->whole && !b->whole) ||
           (a->whole && b->whole && x->stepping == y->stepping && number_equal(x->step, y->step) &&
            x->smaller_is_worse == y->smaller_is_worse);
}

/* "depth", or where the second book rounds it in its own way "depth 2". */
static const char *name_in_second(const struct two *two, const struct coordinate *coordinate)
{
    const struct coordinate *first = find(two->subjects[0], coordinate->name);
    return first && !serves_both(first, coordinate)
               ? text_format(two->asking.arena, "%s 2", coordinate->name)
               : coordinate->name;
}

/* The reading that a compared value comes of: |depth read|. */
static void write_rounding(struct text *text, const struct coordinate *coordinate, const char *name)
{
    const struct measure *measure = coordinate->measure;
    struct text read, value;
    text_begin(&read, text->arena);
    text_begin(&value, text->arena);
    formula_symbol(&read, coordinate->name, " read");
    if (!coordinate->whole) {
        text_add(text, "(assert (= ");
        text_add(text, text_done(&read));
        text_add(text, " ");
        formula_symbol(text, name, "");
        text_add(text, "))\n");
        return;
    }
    text_add(&value, "(* ");
    formula_number(&value, measure->step);
    text_add(&value, " (to_real ");
    formula_symbol(&value, name, "");
    text_add(&value, "))");
    const char *from = text_done(&read), *to = text_done(&value);
    bool nearest = measure->stepping == TREE_READ_NEAREST;
    struct number most = measure->step;
    if (nearest) {
        most = number_divide(text->arena, measure->step, NUMBER_INT(2));
    }
    struct text step;
    text_begin(&step, text->arena);
    formula_number(&step, most);
    const char *by = text_done(&step);
    if (nearest) {
        text_addf(text, "(assert (<= (- %s) (- %s ", by, from);
        text_add(text, to);
        text_addf(text, ") %s))\n(assert (=> (or (= (- %s ", by, from);
        text_add(text, to);
        text_addf(text, ") %s) (= (- ", by);
        text_add(text, to);
        text_addf(text, " %s) %s)) (= (mod ", from, by);
        formula_symbol(text, name, "");
        text_add(text, " 2) 0)))\n");
        return;
    }
    bool down = measure->smaller_is_worse;
    text_addf(text, "(assert (<= 0.0 (- %s ", down ? from : to);
    text_add(text, down ? to : from);
    text_addf(text, ")))\n(assert (< (- %s ", down ? from : to);
    text_add(text, down ? to : from);
    text_addf(text, ") %s))\n", by);
}

/* ---- deadlines ------------------------------------------------------------------------------------ */

static bool alike(const struct deadline *a, const struct deadline *b)
{
    return a->look_again == b->look_again &&
           dimension_equal(a->unit->dimension, b->unit->dimension);
}

static void gather_times(struct two *two, const struct subject *subject)
{
    struct times *times = &two->times;
    struct arena *arena = two->asking.arena;
    for (uint32_t l = 0; l < subject->limit_count; l++) {
        for (uint32_t r = 0; r < subject->limits[l]->rung_count; r++) {
            const struct rung *rung = &subject->limits[l]->rungs[r];
            for (uint32_t d = 0; d < rung->deadline_count; d++) {
                const struct deadline *deadline = &rung->deadlines[d];
                uint32_t known = 0;
                while (known < times->count && !alike(times->items[known], deadline)) {
                    known++;
                }
                if (known == times->count) {
                    *ARENA_PUSH(arena, times->items, times->count, times->capacity) = deadline;
                }
                struct number longer = number_add(arena, deadline->value, NUMBER_INT(1));
                times->never = number_greatest(arena, times->never, longer);
            }
        }
    }
}

/* The time of one line, or never. */
static struct number time_of(const struct two *two, const struct rung *rung, uint32_t sort)
{
    struct number time = two->times.never;
    for (uint32_t d = 0; d < rung->deadline_count; d++) {
        if (alike(&rung->deadlines[d], two->times.items[sort])) {
            time = number_least(two->asking.arena, time, rung->deadlines[d].value);
        }
    }
    return time;
}

/* |P time 0|: the shortest of one sort over the lines that decide in all limits met. */
static void define_time(struct two *two, const struct subject *subject, uint32_t sort)
{
    struct text *text = &two->asking.text;
    subject_define(subject, text, text_format(text->arena, "time %u", sort), "Real");
    for (uint32_t l = 0; l < subject->limit_count; l++) {
        const struct limit *limit = subject->limits[l];
        text_add(text, "\n  (least (ite (not ");
        subject_call(subject, text, subject_limit_function(subject, limit, "met"), -1, "");
        text_add(text, ") ");
        formula_number(text, two->times.never);
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            text_add(text, " (ite (= ");
            subject_call(subject, text, subject_limit_function(subject, limit, "line"), -1, "");
            text_addf(text, " %u) ", r);
            formula_number(text, time_of(two, &limit->rungs[r], sort));
        }
        text_add(text, " ");
        formula_number(text, two->times.never);
        for (uint32_t r = 0; r <= limit->rung_count; r++) {
            text_add(text, ")");
        }
    }
    text_add(text, " ");
    formula_number(text, two->times.never);
    for (uint32_t l = 0; l < subject->limit_count; l++) {
        text_add(text, ")");
    }
    text_add(text, ")\n");
}

/* ---- the question ------------------------------------------------------------------------------------ */

static void call_in(struct two *two, int side, const char *function)
{
    const struct subject *subject = two->subjects[side];
    struct text *text = &two->asking.text;
    text_add(text, subject->coordinate_count ? "(" : "");
    formula_symbol(text, subject->prefix, function);
    for (uint32_t i = 0; i < subject->coordinate_count; i++) {
        const struct coordinate *coordinate = &subject->coordinates[i];
        text_add(text, " ");
        formula_symbol(text, side ? name_in_second(two, coordinate) : coordinate->name, "");
    }
    text_add(text, subject->coordinate_count ? ")" : "");
}

static void declare(struct two *two)
{
    struct text *text = &two->asking.text;
    subject_declare(two->subjects[0], text);
    for (uint32_t i = 0; i < two->subjects[1]->coordinate_count; i++) {
        const struct coordinate *second = &two->subjects[1]->coordinates[i];
        const struct coordinate *first = find(two->subjects[0], second->name);
        if (first && serves_both(first, second)) {
            continue;
        }
        subject_declare_one(second, text, first ? " 2" : "");
        if (first) {
            text_add(text, "(declare-const ");
            formula_symbol(text, second->name, " read");
            text_add(text, " Real)\n");
            write_rounding(text, first, first->name);
            write_rounding(text, second, name_in_second(two, second));
        }
    }
    for (int side = 0; side < 2; side++) {
        text_add(text, "(assert ");
        call_in(two, side, "world");
        text_add(text, ")\n");
    }
}

static void assert_differ(struct two *two, const char *function)
{
    text_add(&two->asking.text, "\n  (not (= ");
    call_in(two, 0, function);
    text_add(&two->asking.text, " ");
    call_in(two, 1, function);
    text_add(&two->asking.text, "))");
}

static void ask_same(struct two *two)
{
    struct asking *asking = &two->asking;
    struct text *text = &asking->text;
    for (int side = 0; side < 2; side++) {
        subject_write(two->subjects[side], text);
        for (uint32_t sort = 0; sort < two->times.count; sort++) {
            define_time(two, two->subjects[side], sort);
        }
    }
    asking->question = (struct question){
        .sort = QUESTION_SAME, .kind = asking->subject->kind, .part = asking->subject->part};
    asking->question.name = text_format(asking->arena, "%s on %s: answered differently",
                                        asking->question.kind->name, asking->question.part->name);
    asking_begin(asking);
    declare(two);
    text_add(text, "(assert (or false");
    assert_differ(two, "outcome");
    for (uint32_t i = 0; i + 1 < two->books[0]->scale_count; i++) {
        if (two->books[0]->scale[i].flight != two->books[1]->scale[i].flight) {
            text_add(text, "\n  (= ");
            call_in(two, 0, "outcome");
            text_addf(text, " %u)", i);
        }
    }
    for (uint32_t sort = 0; sort < two->times.count; sort++) {
        assert_differ(two, text_format(asking->arena, "time %u", sort));
    }
    text_add(text, "))\n");
    asking_end(asking);
}

static void hold_against(struct two *two, const struct kind *kind, const struct part *part,
                         struct companies *companies)
{
    struct asking *asking = &two->asking;
    const struct kind *other = book_find_kind(two->books[1], kind->name);
    const struct part *there = book_find_part(two->books[1], part->name);
    const char *why = "it is in one book alone";
    text_addf(&asking->text, "\n; ---- %s on %s ----\n", kind->name, part->name);
    if (other && there && kind_part_position(other, there) >= 0) {
        two->subjects[0] =
            subject_make(asking->arena, two->books[0], kind, part, companies, "first: ");
        two->subjects[1] =
            subject_make(asking->arena, two->books[1], other, there, companies, "second: ");
        asking->subject = two->subjects[0];
        two->times = (struct times){.never = NUMBER_ZERO};
        gather_times(two, two->subjects[0]);
        gather_times(two, two->subjects[1]);
        why = cannot(two);
    }
    if (why) {
        text_addf(&asking->text, "; not asked: %s\n", why);
    } else {
        ask_same(two);
    }
}

const char *question_text_of_two(struct arena *arena, const struct book *first,
                                 const struct book *second, question_answered answered, void *user,
                                 size_t *size)
{
    struct two two = {.asking = {.arena = arena, .answered = answered, .user = user},
                      .books = {first, second}};
    struct companies companies = {.count = 0};
    asking_head(&two.asking, first, second);
    for (uint32_t k = 0; k < first->kind_count; k++) {
        for (uint32_t p = 0; p < first->kinds[k].part_count; p++) {
            hold_against(&two, &first->kinds[k], first->kinds[k].parts[p], &companies);
        }
    }
    asking_foot(&two.asking, &companies);
    *size = two.asking.text.size;
    return text_done(&two.asking.text);
}
