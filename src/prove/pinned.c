/* Making every change of a book in turn, and asking its examples. */
#include "prove/pinned.h"

#include <string.h>

#include "base/text.h"
#include "prove/differ.h"
#include "prove/prove.h"
#include "prove/suggest.h"

#define PINNED_EFFORT 400000u /* elementary decisions to tell one change apart */

/* ---- the cases ------------------------------------------------------------------------- */

/* An example that nobody has confirmed holds nothing, and neither does one that fails. */
static void add_case(struct pinning *pinning, const struct tree_example *example,
                     const struct tree_gives *gives)
{
    struct arena *arena = pinning->arena;
    struct pinned_case one;
    case_make(arena, pinning->copy.book, &pinning->problems, example, gives, &one.own);
    one.judged = ARENA_ARRAY(arena, struct judged, one.own.count);
    struct found found = case_run(arena, &pinning->copy, &one.own, one.judged);
    if (one.own.count > 0 && case_agrees(&one.own, &found)) {
        *ARENA_PUSH(arena, pinning->cases, pinning->count, pinning->capacity) = one;
    }
}

static void add_examples(struct pinning *pinning, struct tree_example *const *examples,
                         size_t count)
{
    for (size_t i = 0; i < count; i++) {
        for (const struct tree_gives *gives = examples[i]->gives;
             gives && !examples[i]->unconfirmed; gives = gives->next) {
            add_case(pinning, examples[i], gives);
        }
    }
}

/* ---- one change ---------------------------------------------------------------------------- */

/* Judges a case with the change made. `fast` is NULL where the whole book was made anew. */
static bool notices(struct pinning *pinning, const struct ready_book *changed, struct fast *fast,
                    const struct reach *reach, const struct pinned_case *one)
{
    struct arena *scratch = pinning->scratch;
    struct example_case own = one->own;
    if (fast) {
        fast_compile(fast, one, reach);
    }
    struct arena_mark mark = arena_mark(scratch);
    if (!fast) {
        case_make(scratch, changed->book, &pinning->problems, own.example, own.gives, &own);
    }
    struct found found = case_run(scratch, changed, &own, NULL);
    bool noticed = !case_agrees(&own, &found);
    arena_release(scratch, mark);
    return noticed;
}

/* The first case that notices, the one that noticed the change before being asked first; or -1. */
static int64_t find_notice(struct pinning *pinning, const struct ready_book *changed,
                           struct fast *fast, const struct reach *reach)
{
    for (uint32_t i = 0; i < pinning->count; i++) {
        uint32_t which = (pinning->last + i) % pinning->count;
        if (pinned_touches(reach, &pinning->cases[which]) &&
            notices(pinning, changed, fast, reach, &pinning->cases[which])) {
            pinning->last = which;
            return which;
        }
    }
    return -1;
}

/* The book with a change that only its text shows. NULL where it cannot be read. */
static struct book *read_changed(struct pinning *pinning, const struct slip *slip)
{
    struct arena *scratch = pinning->scratch;
    const struct book *copy = pinning->copy.book;
    struct book like = *copy;
    struct problems problems;
    struct stave_text text = {.name = slip->span.source->name};
    text.bytes = slip_text(scratch, slip, &text.size);
    problems_begin(&problems, scratch);
    struct source *source = source_open(scratch, &text, SOURCE_BOOK_LIMIT, &problems);
    if (!source) {
        return NULL;
    }
    like.sources = ARENA_ARRAY(scratch, struct source *, copy->source_count);
    for (uint32_t i = 0; i < copy->source_count; i++) {
        like.sources[i] = copy->sources[i] == slip->span.source ? source : copy->sources[i];
    }
    source->order = slip->span.source->order;
    return book_read_again(scratch, &like);
}

/* What an example cannot say is shown all the same. */
static void show_difference(struct pinning *pinning, const struct ready_book *changed,
                            const struct slip *slip, const struct difference *difference,
                            struct suggestions *suggestions, struct stave_slip *made)
{
    struct arena *arena = pinning->arena;
    made->answer = STAVE_SLIP_MISSED;
    made->reason = "";
    if (!suggestions_add(suggestions, changed, slip, difference->text, made)) {
        made->witness = text_format(arena, "%s", difference->text);
        made->found[0] = text_format(arena, "%s", difference->found[0]);
        made->found[1] = text_format(arena, "%s", difference->found[1]);
        made->reason = "an example cannot say that no other deadline is carried";
    }
}

/* A finding that differs little from one of an example, or of a suggestion. */
static bool tell_apart_nearby(struct pinning *pinning, const struct ready_book *changed,
                              const struct slip *slip, const struct reach *reach,
                              struct suggestions *suggestions, struct stave_slip *made)
{
    uint32_t count = 0;
    struct template_line *templates = ARENA_ARRAY(pinning->scratch, struct template_line,
                                                  (size_t)pinning->count + suggestions->count);
    for (uint32_t i = 0; i < pinning->count; i++) {
        const struct pinned_case *one = &pinning->cases[i];
        if (one->own.count == 1 && !one->own.gives->propeller && pinned_touches(reach, one)) {
            templates[count++] = (struct template_line){one->own.example, one->own.gives};
        }
    }
    for (uint32_t i = 0; i < pinning->count; i++) {
        const struct pinned_case *one = &pinning->cases[i];
        uint32_t kind = one->own.findings[one->own.count - 1]->kind->index;
        if (one->own.count == 1 && !one->own.gives->propeller && !pinned_touches(reach, one) &&
            reach->kinds[kind / 64] >> kind % 64 & 1) {
            templates[count++] = (struct template_line){one->own.example, one->own.gives};
        }
    }
    for (uint32_t i = suggestions->count; i-- > 0;) {
        const struct tree_example *example = suggestions->items[i].example;
        templates[count++] = (struct template_line){example, example->gives};
    }
    struct near near = {
        .suggestions = suggestions, .changed = changed, .slip = slip, .kinds = reach->kinds};
    made->reason = "";
    return near_find(&near, templates, count) &&
           suggestions_add(suggestions, changed, slip, near.text, made);
}

/* No example notices: is there a finding that would? */
static void tell_apart(struct pinning *pinning, const struct ready_book *changed,
                       const struct slip *slip, const struct reach *reach, uint32_t effort,
                       struct suggestions *suggestions, struct stave_slip *made)
{
    const struct ready_book *ready = pinning->ready;
    struct difference difference = {0};
    const char *why = "";
    uint32_t work = effort;
    made->answer = STAVE_SLIP_INERT;
    made->reason = "no finding gets another answer";
    for (uint32_t k = 0; k < ready->book->kind_count; k++) {
        const struct kind *kind = &ready->book->kinds[k];
        for (uint32_t p = 0; p < kind->part_count && reach->kinds[k / 64] >> k % 64 & 1; p++) {
            enum differ differ = pair_differ(pinning->scratch, ready, changed, kind, kind->parts[p],
                                             NULL, &work, &difference, &why);
            if (differ == DIFFER_YES) {
                show_difference(pinning, changed, slip, &difference, suggestions, made);
                return;
            }
            if (differ == DIFFER_UNSURE) {
                made->answer = STAVE_SLIP_MISSED;
                made->reason = text_format(pinning->arena, "%s", why);
            }
        }
    }
}

static void note(struct pinning *pinning, struct stave_slip *made, int64_t which)
{
    struct span span = pinning->cases[which].own.gives->span;
    made->answer = STAVE_SLIP_NOTICED;
    made->noticed_in = span.source->name;
    made->noticed_line = span_line(pinning->arena, span);
}

static bool try_fast(struct pinning *pinning, struct slip *slip, const struct reach *reach,
                     struct stave_slip *made)
{
    struct fast fast;
    bool can = fast_begin(&fast, pinning, slip);
    int64_t which = can ? find_notice(pinning, &pinning->copy, &fast, reach) : -1;
    fast_end(&fast);
    if (which >= 0) {
        note(pinning, made, which);
    }
    return can;
}

static void try_whole(struct pinning *pinning, struct slip *slip, const struct reach *reach,
                      bool asked, uint32_t effort, struct suggestions *suggestions,
                      struct stave_slip *made)
{
    struct arena *scratch = pinning->scratch;
    if (!slip->in_company) {
        slip_apply(slip);
    }
    struct book *book = slip->in_company ? read_changed(pinning, slip)
                                         : book_check_again(scratch, pinning->copy.book);
    if (!book || book->problems.error_count) {
        made->answer = STAVE_SLIP_BREAKS;
    } else {
        const struct ready_book changed = {
            .book = book, .plan = plan_compile(book), .facts = pinning->ready->facts};
        int64_t which = asked ? -1 : find_notice(pinning, &changed, NULL, reach);
        if (which >= 0) {
            note(pinning, made, which);
        } else if (!suggestions_notice(suggestions, &changed, reach->kinds, made) &&
                   !tell_apart_nearby(pinning, &changed, slip, reach, suggestions, made)) {
            tell_apart(pinning, &changed, slip, reach, effort, suggestions, made);
        }
    }
    if (!slip->in_company) {
        slip_apply(slip);
    }
}

static void try_slip(struct pinning *pinning, struct slip *slip, uint32_t effort,
                     struct suggestions *suggestions, struct stave_slip *made)
{
    struct arena_mark mark = arena_mark(pinning->scratch);
    struct reach reach = pinned_reach(pinning, slip);
    bool asked = try_fast(pinning, slip, &reach, made);
    if (made->answer != STAVE_SLIP_NOTICED) {
        try_whole(pinning, slip, &reach, asked, effort, suggestions, made);
    }
    arena_release(pinning->scratch, mark);
}

/* ---- all of them ------------------------------------------------------------------------------ */

static struct stave_slip slip_made(struct arena *arena, const struct slip *slip)
{
    return (struct stave_slip){
        .sort = slip->sort,
        .at = span_place(arena, slip->span),
        .offset = slip->span.from,
        .length = slip->span.to - slip->span.from,
        .was = span_text(arena, slip->span),
        .now = slip->now,
        .answer = STAVE_SLIP_MISSED,
        .figure = slip->figure == SLIP_NO_FIGURE ? -1 : (int32_t)slip->figure,
        .noticed_in = "",
        .witness = "",
        .found = {"", ""},
        .reason = "stopped",
    };
}

static void count_slips(struct stave_pinning *made, const struct stave_slip *slips,
                        struct stave_held_figure *figures)
{
    for (size_t i = 0; i < made->slip_count; i++) {
        const struct stave_slip *slip = &slips[i];
        enum stave_hold hold = slip->answer == STAVE_SLIP_MISSED  ? STAVE_LOOSE
                               : slip->answer == STAVE_SLIP_INERT ? STAVE_IDLE
                                                                  : STAVE_PINNED;
        made->caught += hold == STAVE_PINNED;
        made->inert += hold == STAVE_IDLE;
        made->missed += hold == STAVE_LOOSE;
        made->unsuggested += hold == STAVE_LOOSE && slip->reason[0];
        if (slip->figure >= 0 && figures[slip->figure].hold < hold) {
            figures[slip->figure].hold = hold;
        }
    }
    for (size_t i = 0; i < made->figure_count; i++) {
        made->pinned += figures[i].hold == STAVE_PINNED;
        made->idle += figures[i].hold == STAVE_IDLE;
        made->loose += figures[i].hold == STAVE_LOOSE;
    }
}

static void make_slips(struct pinning *pinning, const struct stave_proving *how,
                       struct stave_pinning *made)
{
    struct arena *arena = pinning->arena;
    struct slips *list = &pinning->slips;
    struct stave_slip *slips = ARENA_ARRAY(arena, struct stave_slip, list->count);
    struct stave_held_figure *figures =
        ARENA_ARRAY(arena, struct stave_held_figure, list->figure_count);
    struct suggestions suggestions = {.arena = arena,
                                      .scratch = pinning->scratch,
                                      .ready = pinning->ready,
                                      .ladders = list->ladders};
    uint32_t effort = how && how->effort ? how->effort : PINNED_EFFORT;
    for (uint32_t i = 0; i < list->figure_count; i++) {
        figures[i] = (struct stave_held_figure){.at = span_place(arena, list->figures[i].span),
                                                .text = span_text(arena, list->figures[i].span)};
    }
    for (uint32_t i = 0; i < list->count; i++) {
        slips[i] = slip_made(arena, &list->items[i]);
        made->stopped = made->stopped || (how && how->progress &&
                                          !how->progress(how->user, i, list->count, slips[i].was));
        if (!made->stopped) {
            slips[i].reason = "";
            try_slip(pinning, &list->items[i], effort, &suggestions, &slips[i]);
        }
    }
    made->slips = slips;
    made->slip_count = list->count;
    made->figures = figures;
    made->figure_count = list->figure_count;
    made->suggested = suggestions_text(&suggestions, &made->suggested_examples);
    count_slips(made, slips, figures);
}

void pinned_make(struct arena *arena, struct arena *scratch, const struct ready_book *ready,
                 struct tree_example *const *more, size_t more_count,
                 const struct stave_proving *how, struct stave_pinning *made)
{
    struct pinning pinning = {.arena = arena, .scratch = scratch, .ready = ready};
    struct book *book = book_read_again(arena, ready->book);
    *made = (struct stave_pinning){0};
    problems_begin(&pinning.problems, arena);
    pinning.plan = *plan_compile(book);
    pinning.copy = (struct ready_book){.book = book, .plan = &pinning.plan, .facts = ready->facts};
    add_examples(&pinning, book->examples, book->example_count);
    add_examples(&pinning, more, more_count);
    slips_list(arena, book, &pinning.slips);
    make_slips(&pinning, how, made);
}
