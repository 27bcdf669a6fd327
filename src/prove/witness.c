/* A world written as a finding line, and judged again from its text. */
#include "prove/witness.h"

#include <string.h>

#include "base/text.h"
#include "prove/prove.h"

struct writing {
    struct arena *arena;
    const struct piece *piece;
    const struct sample *sample;
    const struct pair_names *names; /* NULL: the first side's words */
    uint32_t side;
    bool before;
    const struct crowd *crowd; /* one of the others is written; else NULL */
    struct text text;
    bool good;   /* every figure so far could be written */
    bool turned; /* there was no room to shift one of a crowd further on */
};

static const char *said(const struct writing *writing, const char *name)
{
    return pair_name(writing->names, name);
}

static void add_figure(struct writing *writing, struct number value, const struct unit *unit)
{
    bool rounded;
    text_add(&writing->text, quantity_text(writing->arena, value, unit, NUMBER_DOWN, &rounded));
    writing->good &= !rounded && number_sign(value) >= 0;
}

/* The value of a coordinate in the world that is written. */
static struct number value_of(const struct writing *writing, uint32_t v)
{
    const struct piece *piece = writing->piece;
    bool second = writing->before && piece->apart && piece->apart->variables[v];
    return writing->sample->values[v + (second ? piece->ground->unknown_count : 0)];
}

/* A reading that rounds to the value: the value itself, but never out of the range. */
static struct number reading_of(struct writing *writing, uint32_t v, uint32_t record)
{
    struct arena *arena = writing->arena;
    const struct pair *pair = writing->piece->pair;
    struct number value = value_of(writing, v);
    if (writing->crowd && writing->crowd->valued && writing->crowd->record == record &&
        v == record) {
        value = writing->crowd->value;
    }
    struct number read =
        number_least(arena, pair->to[record], number_greatest(arena, pair->from[record], value));
    const struct variable *variable = &pair->docket->variables[v];
    writing->good &= number_equal(region_round(arena, variable, read), value);
    return read;
}

/* ---- where ------------------------------------------------------------------------------ */

/* The greatest reading that is measured along an axis; false where none is. */
static bool reading_along(struct writing *writing, uint32_t axis, struct number *most)
{
    const struct docket *docket = writing->piece->pair->docket;
    const struct kind *kind = docket->kind;
    int32_t position = kind_part_position(kind, docket->part);
    bool any = false;
    *most = NUMBER_ZERO;
    for (uint32_t r = 0; r < kind->record_count; r++) {
        const struct recorded *recorded = &kind->records[r];
        if (recorded->measure && recorded->has_along && position >= 0 &&
            recorded->along[position] == (int32_t)axis) {
            *most = number_greatest(writing->arena, *most, reading_of(writing, r, r));
            any = true;
        }
    }
    return any;
}

/* Both ends of damage that is `most` long and reaches the place; moved into the part. */
static void lay_out(struct writing *writing, uint32_t axis, enum lying lying, struct number most,
                    struct number *lo, struct number *hi)
{
    struct arena *arena = writing->arena;
    const struct plan_axis *cut = &writing->piece->pair->docket->axes[axis];
    struct number from = cut->breakpoints[0];
    struct number to = cut->breakpoints[cut->breakpoint_count - 1];
    struct number before = lying == LIE_ONWARD ? NUMBER_ZERO
                           : lying == LIE_BACK ? most
                                               : number_divide(arena, most, NUMBER_INT(2));
    *lo = number_subtract(arena, *lo, before);
    *lo = number_greatest(arena, from, number_least(arena, *lo, number_subtract(arena, to, most)));
    *hi = number_least(arena, to, number_add(arena, *lo, most));
}

/* Others lie further on, or where the part ends before, as far back. */
static void shift_ends(struct writing *writing, uint32_t axis, struct number *lo, struct number *hi)
{
    struct arena *arena = writing->arena;
    const struct plan_axis *cut = &writing->piece->pair->docket->axes[axis];
    struct number to = cut->breakpoints[cut->breakpoint_count - 1];
    struct number shift = writing->crowd->shift;
    writing->turned = number_compare(arena, number_add(arena, *hi, shift), to) > 0;
    if (writing->turned) {
        if (writing->crowd->spread) {
            return;
        }
        shift = number_negate(arena, shift);
    }
    *lo = number_add(arena, *lo, shift);
    *hi = number_add(arena, *hi, shift);
    writing->good &= number_compare(arena, cut->breakpoints[0], *lo) <= 0;
}

static void add_axis(struct writing *writing, uint32_t axis, enum lying lying)
{
    const struct axis *named = &writing->piece->pair->docket->part->axes[axis];
    struct number lo = writing->sample->lo[axis], hi = writing->sample->hi[axis], most;
    bool along = reading_along(writing, axis, &most);
    bool laid = along && number_sign(most) > 0 && lying != LIE_ONE_PLACE;
    if (laid && number_equal(lo, hi)) {
        if (lying == LIE_AS_IS) {
            writing->good = false; /* no text says a point that is long */
        } else {
            lay_out(writing, axis, lying, most, &lo, &hi);
        }
    }
    if (writing->crowd && writing->crowd->shifted && writing->crowd->axis == axis) {
        shift_ends(writing, axis, &lo, &hi);
    }
    text_addf(&writing->text, " %s ", said(writing, named->name));
    add_figure(writing, lo, named->unit);
    if (!number_equal(lo, hi) || (laid && lying != LIE_AS_IS)) {
        text_add(&writing->text, " .. ");
        add_figure(writing, hi, named->unit);
    }
}

static void add_where(struct writing *writing, enum lying lying)
{
    const struct docket *docket = writing->piece->pair->docket;
    const struct part *part = docket->part;
    if (docket->kind->is_check ||
        (part->axis_count == 0 && part->side_count == 0 && part->place_count == 0)) {
        return;
    }
    text_add(&writing->text, " at");
    for (uint32_t a = 0; a < part->axis_count; a++) {
        add_axis(writing, a, lying);
    }
    if (part->side_count) {
        text_addf(&writing->text, " %s", said(writing, part->sides[writing->sample->side]));
    }
    if (part->place_count) {
        text_addf(&writing->text, " %s", said(writing, part->places[writing->sample->place]));
    }
}

/* ---- readings ------------------------------------------------------------------------------- */

static void add_observation(struct writing *writing, uint32_t record)
{
    const struct piece *piece = writing->piece;
    const struct kind *kind = piece->pair->docket->kind;
    const struct observation *observation = kind->records[record].observation;
    bool second = writing->before && piece->apart && piece->apart->records[record];
    uint64_t set = writing->sample->observed[record + (second ? kind->record_count : 0)];
    const char *value = observation->values[__builtin_ctzll(set)];
    text_addf(&writing->text, "%s %s", said(writing, observation->name),
              observation->sort == TREE_YES_OR_NO ? value : said(writing, value));
}

static void add_readings(struct writing *writing)
{
    const struct pair *pair = writing->piece->pair;
    const struct kind *kind = pair->docket->kind;
    for (uint32_t r = 0; r < kind->record_count; r++) {
        if (!(pair->recorded[r] >> writing->side & 1)) {
            continue;
        }
        text_add(&writing->text, ", ");
        if (kind->records[r].observation) {
            add_observation(writing, r);
        } else {
            text_addf(&writing->text, "%s ", said(writing, kind->records[r].measure->name));
            add_figure(writing, reading_of(writing, r, r), kind->records[r].measure->unit);
        }
    }
}

/* What was read before; where it is new, nothing. */
static void add_before(struct writing *writing)
{
    const struct docket *docket = writing->piece->pair->docket;
    bool fresh = false;
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        fresh |=
            docket->variables[v].sort == VARIABLE_SEEN && number_sign(value_of(writing, v)) == 0;
    }
    for (uint32_t v = 0; v < docket->variable_count; v++) {
        const struct variable *variable = &docket->variables[v];
        if (variable->sort != VARIABLE_EARLIER && variable->sort != VARIABLE_FIRST) {
            continue;
        }
        if (fresh) {
            writing->good &=
                number_equal(value_of(writing, v), value_of(writing, variable->record));
            continue;
        }
        text_addf(&writing->text, ", %s %s ", variable->sort == VARIABLE_EARLIER ? "was" : "first",
                  said(writing, variable->measure->name));
        add_figure(writing, reading_of(writing, v, variable->record), variable->measure->unit);
    }
    text_add(&writing->text, fresh ? ", new" : "");
}

static const char *write_line(struct writing *writing, enum lying lying)
{
    const struct docket *docket = writing->piece->pair->docket;
    text_begin(&writing->text, writing->arena);
    text_add(&writing->text, said(writing, docket->part->name));
    text_add(&writing->text, docket->part->count == PART_ONE ? " " : " 1 ");
    text_add(&writing->text, said(writing, docket->kind->name));
    add_where(writing, lying);
    add_readings(writing);
    add_before(writing);
    return text_done(&writing->text);
}

/* The others one by one, on both sides of the finding. */
static const char *write_spread(struct writing *writing, enum lying lying,
                                const struct crowd *crowd, const char *own)
{
    struct arena *arena = writing->arena;
    struct crowd each = *crowd;
    const char *lines = own;
    uint32_t further = 0, before = 0;
    for (uint32_t i = 0; i < crowd->others && writing->good; i++) {
        each.shift = number_multiply(arena, crowd->shift, NUMBER_INT((int64_t)further + 1));
        writing->crowd = &each;
        writing->before = true;
        const char *other = write_line(writing, lying);
        if (writing->turned) { /* the part ends there: back from the finding */
            each.shift = number_multiply(arena, crowd->shift, NUMBER_INT(-(int64_t)before - 1));
            other = write_line(writing, lying);
            before++;
        } else {
            further++;
        }
        lines = text_format(arena, "%s\n%s", other, lines);
    }
    return writing->good ? lines : NULL;
}

const char *sample_text(struct arena *arena, const struct piece *piece, const struct sample *sample,
                        uint32_t side, bool before, enum lying lying, const struct crowd *crowd)
{
    const struct pair *pair = piece->pair;
    struct writing writing = {.arena = arena,
                              .piece = piece,
                              .sample = sample,
                              .names = side ? pair->names : NULL,
                              .side = side,
                              .before = before,
                              .good = true};
    const char *own = write_line(&writing, lying), *other = "";
    if (crowd->others > 0 && crowd->spread) {
        return write_spread(&writing, lying, crowd, own);
    }
    if (crowd->others > 0) {
        writing.crowd = crowd;
        writing.before = true;
        other = write_line(&writing, lying);
    }
    if (!writing.good) {
        return NULL;
    }
    return crowd->others == 0 ? own
           : crowd->others == 1
               ? text_format(arena, "%s\n%s", other, own)
               : text_format(arena, "%u times %s\n%s", (unsigned)crowd->others, other, own);
}

/* ---- judged again ----------------------------------------------------------------------------- */

static const char *found_text(struct arena *arena, const struct book *book,
                              const struct replayed *replayed)
{
    struct text text;
    text_begin(&text, arena);
    for (uint32_t i = 0; i < book->scale_count; i++) {
        if (replayed->possible >> i & 1) {
            text_add(&text, text.size ? " or " : "");
            text_add(&text, book->scale[i].name);
        }
    }
    for (size_t i = 0; i < replayed->deadlines.count; i++) {
        const struct stave_deadline *deadline = &replayed->deadlines.items[i];
        text_addf(&text, " %swithin %s", deadline->look_again ? "again " : "", deadline->within);
    }
    return text_done(&text);
}

/* The findings of an example, `times` and all. */
static bool findings_of(struct arena *arena, const struct ready_book *ready,
                        const struct tree_example *example, struct problems *problems,
                        struct finding ***findings, uint32_t *count)
{
    size_t capacity = 0;
    for (const struct tree_finding *line = example->findings; line; line = line->next) {
        for (uint32_t i = 0; i < line->times; i++) {
            const char *id = text_format(arena, "F%u", (unsigned)*count + 1);
            struct finding *finding =
                finding_resolve(arena, ready->book, line, NULL, NULL, id, problems);
            if (!finding) {
                return false;
            }
            *ARENA_PUSH(arena, *findings, *count, capacity) = finding;
        }
    }
    return *count > 0;
}

struct replayed replay(struct arena *arena, const struct ready_book *ready, const char *lines)
{
    struct replayed replayed = {.good = false, .found = ""};
    struct problems problems;
    struct text text;
    problems_begin(&problems, arena);
    text_begin(&text, arena);
    text_addf(&text, "stave 1\nexample \"witness\"\n");
    text_add(&text, lines);
    text_addf(&text, "\n    gives %s\n", ready->book->scale[0].name);
    const char *bytes = text_done(&text);
    struct stave_text given = {.name = "witness", .bytes = bytes, .size = strlen(bytes)};
    const struct tree_example *example = prove_read(arena, ready->book, &given, &problems);
    struct finding **findings = NULL;
    uint32_t count = 0;
    if (problems.error_count || !example ||
        !findings_of(arena, ready, example, &problems, &findings, &count) || problems.error_count) {
        return replayed;
    }
    const struct company *company = company_make(arena, ready->plan, findings, count);
    replayed.judged = judged_make(arena, ready, company, count - 1, JUDGE_ALL);
    replayed.possible = replayed.judged.judgement->possible;
    deadlines_add(arena, &replayed.deadlines, &replayed.judged, NULL);
    replayed.good = !replayed.judged.judgement->budget_hit;
    replayed.found = found_text(arena, ready->book, &replayed);
    return replayed;
}

static bool list_within(const struct deadline_list *a, const struct deadline_list *b)
{
    for (size_t i = 0; i < a->count; i++) {
        bool there = false;
        for (size_t j = 0; j < b->count; j++) {
            there |= a->items[i].look_again == b->items[j].look_again &&
                     dimension_equal(a->dimensions[i], b->dimensions[j]) &&
                     number_equal(a->values[i], b->values[j]);
        }
        if (!there) {
            return false;
        }
    }
    return true;
}

bool replayed_alike(const struct replayed *a, const struct replayed *b)
{
    return list_within(&a->deadlines, &b->deadlines) && list_within(&b->deadlines, &a->deadlines);
}
