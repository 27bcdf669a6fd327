/* The questions of one book. */
#include "question/question.h"

#include <string.h>

#include "question/asking.h"

/* ---- what each asks ---------------------------------------------------------------------- */

static void assert_call(struct asking *asking, const char *function)
{
    text_add(&asking->text, "(assert ");
    subject_call(asking->subject, &asking->text, function, -1, "");
    text_add(&asking->text, ")\n");
}

static void assert_number(struct asking *asking, const char *function, uint32_t number)
{
    text_add(&asking->text, "(assert (= ");
    subject_call(asking->subject, &asking->text, function, -1, "");
    text_addf(&asking->text, " %u))\n", number);
}

static const char *of_limit(const struct asking *asking, const char *what)
{
    return subject_limit_function(asking->subject, asking->question.limit, what);
}

static const struct deadline *shortest_alike(struct arena *arena, const struct rung *rung,
                                             const struct deadline *like)
{
    const struct deadline *shortest = NULL;
    for (uint32_t i = 0; rung && i < rung->deadline_count; i++) {
        const struct deadline *deadline = &rung->deadlines[i];
        if (deadline->look_again == like->look_again &&
            dimension_equal(deadline->unit->dimension, like->unit->dimension) &&
            (!shortest || number_compare(arena, deadline->value, shortest->value) < 0)) {
            shortest = deadline;
        }
    }
    return shortest;
}

/* Has the second every deadline of the first, in effect? */
static bool has_deadlines(struct arena *arena, const struct rung *first, const struct rung *second)
{
    for (uint32_t i = 0; first && i < first->deadline_count; i++) {
        const struct deadline *own = shortest_alike(arena, first, &first->deadlines[i]);
        const struct deadline *other = shortest_alike(arena, second, &first->deadlines[i]);
        if (!other || !number_equal(own->value, other->value)) {
            return false;
        }
    }
    return true;
}

/* Two lines that answer the same; NULL stands for none that holds. */
static bool same_answer(struct arena *arena, const struct book *book, const struct rung *a,
                        const struct rung *b)
{
    uint32_t x = a ? a->outcome : book->no_published_limit;
    uint32_t y = b ? b->outcome : book->no_published_limit;
    return x == y && strcmp(a ? a->action : "", b ? b->action : "") == 0 &&
           has_deadlines(arena, a, b) && has_deadlines(arena, b, a);
}

static void ask_condition(struct asking *asking)
{
    const struct question *question = &asking->question;
    const struct limit *limit = question->limit;
    struct text *text = &asking->text;
    assert_call(asking, of_limit(asking, "met"));
    text_add(text, "(assert (= ");
    subject_ladder_without(asking->subject, text, limit, (int32_t)question->rung,
                           question->condition, true);
    text_addf(text, " %u))\n(assert (or false", question->rung);
    for (uint32_t r = question->rung + 1; r <= limit->rung_count; r++) {
        const struct rung *other = r < limit->rung_count ? &limit->rungs[r] : NULL;
        if (!same_answer(asking->arena, asking->subject->book, &limit->rungs[question->rung],
                         other)) {
            text_add(text, " (= ");
            subject_call(asking->subject, text, of_limit(asking, "line"), -1, "");
            text_addf(text, " %u)", r);
        }
    }
    text_add(text, "))\n");
}

/* One coordinate stands once more, worse. */
static void ask_order(struct asking *asking)
{
    const struct subject *subject = asking->subject;
    const struct coordinate *coordinate = &subject->coordinates[asking->coordinate];
    struct text *text = &asking->text;
    bool down = coordinate->measure && coordinate->measure->smaller_is_worse;
    const char *function = asking->question.limit ? of_limit(asking, "outcome") : "outcome";
    subject_declare_one(coordinate, text, "'");
    text_add(text, "(assert ");
    subject_call(subject, text, "world", (int32_t)asking->coordinate, "");
    text_add(text, down ? ")\n(assert (< " : ")\n(assert (> ");
    formula_symbol(text, coordinate->name, "'");
    text_add(text, " ");
    formula_symbol(text, coordinate->name, "");
    text_add(text, "))\n");
    if (asking->question.limit) {
        assert_call(asking, of_limit(asking, "met"));
    }
    text_add(text, "(assert (< ");
    subject_call(subject, text, function, (int32_t)asking->coordinate, "");
    text_add(text, " ");
    subject_call(subject, text, function, -1, "");
    text_add(text, "))\n");
}

static void ask_extent(struct asking *asking)
{
    const struct subject *subject = asking->subject;
    struct text *text = &asking->text;
    for (uint32_t i = 0; i < subject->coordinate_count; i++) {
        const struct coordinate *coordinate = &subject->coordinates[i];
        bool end = coordinate->sort == COORDINATE_LO || coordinate->sort == COORDINATE_HI;
        subject_declare_one(coordinate, text, "'");
        text_add(text, !end                                ? "(assert (= "
                       : coordinate->sort == COORDINATE_LO ? "(assert (<= "
                                                           : "(assert (>= ");
        formula_symbol(text, coordinate->name, "'");
        text_add(text, " ");
        formula_symbol(text, coordinate->name, "");
        text_add(text, "))\n");
    }
    text_add(text, "(assert ");
    subject_call(subject, text, "world", -1, "'");
    text_add(text, ")\n(assert (< ");
    subject_call(subject, text, "outcome", -1, "'");
    text_add(text, " ");
    subject_call(subject, text, "outcome", -1, "");
    text_add(text, "))\n");
}

static void ask(struct asking *asking)
{
    asking_begin(asking);
    subject_declare(asking->subject, &asking->text);
    assert_call(asking, "world");
    switch (asking->question.sort) {
    case QUESTION_UNCOVERED:
        assert_call(asking, "uncovered");
        break;
    case QUESTION_GAP:
        assert_call(asking, of_limit(asking, "met"));
        assert_number(asking, of_limit(asking, "line"), asking->question.limit->rung_count);
        break;
    case QUESTION_LINE:
        assert_call(asking, of_limit(asking, "met"));
        assert_number(asking, of_limit(asking, "line"), asking->question.rung);
        break;
    case QUESTION_CONDITION:
        ask_condition(asking);
        break;
    case QUESTION_ORDER:
        ask_order(asking);
        break;
    case QUESTION_EXTENT:
        ask_extent(asking);
        break;
    case QUESTION_SAME:
        break; /* of two books */
    }
    asking_end(asking);
}

/* ---- which there are ------------------------------------------------------------------------ */

static struct question plain(const struct asking *asking, enum question_sort sort,
                             const struct limit *limit)
{
    return (struct question){
        .sort = sort, .kind = asking->subject->kind, .part = asking->subject->part, .limit = limit};
}

static const char *limit_name(const struct asking *asking, const struct limit *limit)
{
    return text_format(asking->arena, "limit %u on %s", limit->index, limit->zone->name);
}

static void ask_named(struct asking *asking, struct question question, const char *name)
{
    question.name = text_format(asking->arena, "%s%s", asking->subject->prefix, name);
    asking->question = question;
    ask(asking);
}

static void ask_ladder(struct asking *asking, const struct limit *limit)
{
    struct arena *arena = asking->arena;
    const char *name = limit_name(asking, limit);
    if (!limit->declared_gap) {
        ask_named(asking, plain(asking, QUESTION_GAP, limit), text_format(arena, "%s: gap", name));
    }
    for (uint32_t r = 0; r < limit->rung_count; r++) {
        struct question question = plain(asking, QUESTION_LINE, limit);
        question.rung = r;
        ask_named(asking, question, text_format(arena, "%s: line %u decides", name, r + 1));
        for (uint32_t c = 0; c < limit->rungs[r].condition_count; c++) {
            if (limit->rungs[r].conditions[c].sort == CONDITION_RELEASE) {
                continue;
            }
            question.sort = QUESTION_CONDITION;
            question.condition = c;
            ask_named(asking, question,
                      text_format(arena, "%s: line %u condition %u matters", name, r + 1, c + 1));
        }
    }
}

static bool has_order(const struct coordinate *coordinate)
{
    return coordinate->sort == COORDINATE_MEASURE || coordinate->sort == COORDINATE_COMPANY ||
           (coordinate->sort == COORDINATE_OBSERVATION &&
            coordinate->observation->sort == TREE_LEVELS);
}

static void ask_orders(struct asking *asking)
{
    const struct subject *subject = asking->subject;
    for (uint32_t i = 0; i < subject->coordinate_count; i++) {
        const struct coordinate *coordinate = &subject->coordinates[i];
        if (!has_order(coordinate)) {
            continue;
        }
        asking->coordinate = i;
        struct question question = plain(asking, QUESTION_ORDER, NULL);
        question.measure = coordinate->measure;
        question.observation = coordinate->observation;
        question.aggregate = coordinate->aggregate;
        for (uint32_t l = 0; l < subject->limit_count; l++) {
            question.limit = subject->limits[l];
            ask_named(asking, question,
                      text_format(asking->arena, "%s: worse %s, better outcome",
                                  limit_name(asking, question.limit), coordinate->name));
        }
        question.limit = NULL;
        ask_named(asking, question,
                  text_format(asking->arena, "worse %s, better outcome", coordinate->name));
    }
    if (subject->placed && subject->part->axis_count > 0) {
        ask_named(asking, plain(asking, QUESTION_EXTENT, NULL), "wider, better outcome");
    }
}

static void ask_all(struct asking *asking)
{
    const struct subject *subject = asking->subject;
    text_addf(&asking->text, "\n; ---- %s on %s ----\n", subject->kind->name, subject->part->name);
    subject_write(subject, &asking->text);
    ask_named(asking, plain(asking, QUESTION_UNCOVERED, NULL), "uncovered");
    for (uint32_t i = 0; i < subject->limit_count; i++) {
        ask_ladder(asking, subject->limits[i]);
    }
    ask_orders(asking);
}

const char *question_text(struct arena *arena, const struct book *book, question_answered answered,
                          void *user, size_t *size)
{
    struct asking asking = {.arena = arena, .answered = answered, .user = user};
    struct companies companies = {.count = 0};
    asking_head(&asking, book, NULL);
    for (uint32_t k = 0; k < book->kind_count; k++) {
        for (uint32_t p = 0; p < book->kinds[k].part_count; p++) {
            asking.subject =
                subject_make(arena, book, &book->kinds[k], book->kinds[k].parts[p], &companies, "");
            ask_all(&asking);
        }
    }
    asking_foot(&asking, &companies);
    *size = asking.text.size;
    return text_done(&asking.text);
}
