/* Readings: from what was typed to the set of values that it leaves possible. */
#include <string.h>

#include "base/text.h"
#include "finding/resolve.h"

/* A reading that was not taken may be anything in the range that the book declares. */
static struct reading reading_missing(const struct recorded *recorded)
{
    struct reading reading = {.given = GIVEN_NOT};
    if (recorded->measure) {
        reading.low = reading.middle = recorded->measure->from;
        reading.high = recorded->measure->to;
        reading.unit = recorded->measure->unit;
    } else {
        reading.low = reading.high = reading.middle = NUMBER_ZERO;
        reading.unit = unit_none();
        reading.values = observation_values(recorded->observation);
    }
    return reading;
}

void readings_begin(struct resolving *resolving)
{
    struct finding *finding = resolving->finding;
    const struct kind *kind = finding->kind;
    finding->readings = ARENA_ARRAY(resolving->arena, struct reading, kind->record_count);
    for (uint32_t i = 0; i < kind->record_count; i++) {
        finding->readings[i] = reading_missing(&kind->records[i]);
    }
}

/* ---- measures ------------------------------------------------------------------- */

static struct asked asked_of_measure(const struct measure *measure)
{
    return (struct asked){
        .name = measure->name,
        .dimension = measure->dimension,
        .unit = measure->unit,
        .from = measure->from,
        .to = measure->to,
    };
}

static bool ends_not_doubted(struct resolving *resolving, const struct measure *measure,
                             const struct tree_range *range)
{
    if (!range->to.middle || (!range->from.doubt && !range->to.doubt)) {
        return true;
    }
    problem_help(problem_add(resolving->problems, STAVE_ERROR, "doubted-range", range->span,
                             "the range of '%s' has a doubt at an end", measure->name),
                 resolving->problems, "write the widest range that it can be");
    return false;
}

static void measure_set(struct resolving *resolving, const struct measure *measure,
                        const struct tree_reading *typed, struct reading *reading)
{
    const struct tree_range *range = typed->range;
    struct asked asked = asked_of_measure(measure);
    struct figures figures;
    if (!ends_not_doubted(resolving, measure, range) ||
        !figures_read(resolving, &asked, range, &figures)) {
        return;
    }
    reading->given = range->to.middle    ? GIVEN_RANGE
                     : range->from.doubt ? GIVEN_DOUBT
                                         : GIVEN_EXACT;
    reading->low = figures.from_low;
    reading->high = figures.to_high;
    reading->middle = range->to.middle ? figures.from_low : figures.from;
    reading->unit = figures.unit;
    reading->values = 0;
    reading->span = typed->span;
}

static void measure_wants_figure(struct resolving *resolving, const struct measure *measure,
                                 const struct tree_reading *typed)
{
    bool rounded;
    struct arena *arena = resolving->arena;
    struct stave_problem *problem = problem_add(resolving->problems, STAVE_ERROR, "no-figure",
                                                typed->span, "'%s' has no figure", measure->name);
    problem_help(problem, resolving->problems, "it is %s from %s to %s; or write '%s not measured'",
                 dimension_name(arena, measure->dimension),
                 quantity_text(arena, measure->from, measure->unit, NUMBER_UP, &rounded),
                 quantity_text(arena, measure->to, measure->unit, NUMBER_DOWN, &rounded),
                 measure->name);
}

static void measure_add(struct resolving *resolving, const struct measure *measure,
                        const struct tree_reading *typed, struct reading *reading)
{
    bool figure =
        typed->sort == TREE_READ_RANGE || (typed->sort == TREE_READ_BARE && !typed->values);
    if (figure) {
        measure_set(resolving, measure, typed, reading);
    } else {
        measure_wants_figure(resolving, measure, typed);
    }
}

/* ---- observations ----------------------------------------------------------------- */

static void values_help(struct resolving *resolving, struct stave_problem *problem,
                        const struct observation *observation)
{
    problem_help(problem, resolving->problems, "'%s' is one of: %s; or write '%s not seen'",
                 observation->name,
                 name_list(resolving->arena, observation->values, observation->value_count),
                 observation->name);
}

/* The bit of a value, or 0 with an error. */
static uint64_t value_bit(struct resolving *resolving, const struct observation *observation,
                          const char *value, struct span at)
{
    uint32_t index = name_find(observation->values, observation->value_count, value);
    if (index != NAME_NONE) {
        return UINT64_C(1) << index;
    }
    struct stave_problem *problem =
        problem_add(resolving->problems, STAVE_ERROR, "unknown-name", at,
                    "unknown value '%s' of '%s'", value, observation->name);
    const char *near =
        text_nearest(resolving->arena, value, observation->values, observation->value_count);
    if (near) {
        problem_help(problem, resolving->problems, "did you mean '%s'?", near);
    } else {
        values_help(resolving, problem, observation);
    }
    return 0;
}

static uint64_t value_set(struct resolving *resolving, const struct observation *observation,
                          const struct tree_words *words)
{
    uint64_t set = 0;
    for (const struct tree_words *word = words; word; word = word->next) {
        uint64_t bit = value_bit(resolving, observation, word->word.text, word->word.span);
        if (bit & set) {
            problem_help(problem_add(resolving->problems, STAVE_ERROR, "given-twice",
                                     word->word.span, "'%s' is named twice", word->word.text),
                         resolving->problems, "name each value that it may have once");
        }
        set |= bit;
    }
    return set;
}

static void observation_wants_value(struct resolving *resolving,
                                    const struct observation *observation, struct span at)
{
    struct stave_problem *problem =
        problem_add(resolving->problems, STAVE_ERROR, "no-value", at,
                    "'%s' has no value that it can have", observation->name);
    values_help(resolving, problem, observation);
}

static void observation_add(struct resolving *resolving, const struct observation *observation,
                            const struct tree_reading *typed, struct reading *reading)
{
    uint64_t set = 0;
    bool yes_or_no = observation->sort == TREE_YES_OR_NO;
    if (yes_or_no && (typed->sort == TREE_READ_YES || typed->sort == TREE_READ_NO)) {
        set = value_bit(resolving, observation, typed->sort == TREE_READ_YES ? "yes" : "no",
                        typed->span);
    } else if (typed->values) {
        set = value_set(resolving, observation, typed->values);
    } else {
        observation_wants_value(resolving, observation, typed->span);
    }
    if (set) {
        *reading = (struct reading){
            .given = (set & (set - 1)) ? GIVEN_RANGE : GIVEN_EXACT,
            .low = NUMBER_ZERO,
            .high = NUMBER_ZERO,
            .middle = NUMBER_ZERO,
            .unit = unit_none(),
            .values = set,
            .span = typed->span,
        };
    }
}

/* ---- by name ------------------------------------------------------------------------- */

static void reading_set(struct resolving *resolving, uint32_t index,
                        const struct tree_reading *typed)
{
    const struct recorded *recorded = &resolving->finding->kind->records[index];
    struct reading *reading = &resolving->finding->readings[index];
    if (!said_once(resolving, &resolving->reading_said[index], typed->span, recorded->name)) {
        return;
    }
    if (typed->sort == TREE_READ_MISSING) {
        *reading = reading_missing(recorded);
    } else if (recorded->measure) {
        measure_add(resolving, recorded->measure, typed, reading);
    } else {
        observation_add(resolving, recorded->observation, typed, reading);
    }
}

/* ---- what was read before -------------------------------------------------------------- */

static void new_and_before(struct resolving *resolving, struct span at)
{
    problem_help(problem_add(resolving->problems, STAVE_ERROR, "new-and-before", at,
                             "it is said to be new, and what it was before too"),
                 resolving->problems, "leave out 'new', or what was read before");
}

static void new_set(struct resolving *resolving, const struct tree_reading *typed)
{
    struct finding *finding = resolving->finding;
    if (!said_once(resolving, &resolving->new_said, typed->span, "new")) {
        return;
    }
    if (finding->seen == SEEN_BEFORE) {
        new_and_before(resolving, typed->span);
    }
    finding->seen = SEEN_NEW;
}

/* The readings of an earlier time, all missing at first. */
static struct reading *before_begin(struct resolving *resolving)
{
    const struct kind *kind = resolving->finding->kind;
    struct reading *readings = ARENA_ARRAY(resolving->arena, struct reading, kind->record_count);
    for (uint32_t i = 0; i < kind->record_count; i++) {
        readings[i] = reading_missing(&kind->records[i]);
    }
    return readings;
}

static void before_set(struct resolving *resolving, uint32_t index,
                       const struct tree_reading *typed)
{
    struct finding *finding = resolving->finding;
    const struct recorded *recorded = &finding->kind->records[index];
    bool first = typed->sort == TREE_READ_FIRST;
    struct reading **readings = first ? &finding->first : &finding->earlier;
    struct span *said = first ? resolving->first_said : resolving->earlier_said;
    const char *name =
        text_format(resolving->arena, "%s %s", first ? "first" : "was", recorded->name);
    if (!said_once(resolving, &said[index], typed->span, name)) {
        return;
    }
    if (!recorded->measure) {
        problem_help(problem_add(resolving->problems, STAVE_ERROR, "wrong-form", typed->span,
                                 "'%s' is no measure, so it does not grow", recorded->name),
                     resolving->problems, "write what it is now, and leave out what it was");
        return;
    }
    if (finding->seen == SEEN_NEW) {
        new_and_before(resolving, typed->span);
    }
    finding->seen = SEEN_BEFORE;
    if (!*readings) {
        *readings = before_begin(resolving);
    }
    measure_set(resolving, recorded->measure, typed, &(*readings)[index]);
}

/* ---- what got better ---------------------------------------------------------------- */

bool reading_got_better(struct arena *arena, const struct measure *measure,
                        const struct reading *before, const struct reading *now)
{
    struct number better = measure->smaller_is_worse
                               ? number_subtract(arena, now->low, before->high)
                               : number_subtract(arena, before->low, now->high);
    return number_compare(arena, better, measure_fineness(measure)) > 0;
}

const char *reading_phrase(struct arena *arena, const struct reading *reading)
{
    bool rounded;
    const char *high = quantity_text(arena, reading->high, reading->unit, NUMBER_UP, &rounded);
    if (number_equal(reading->low, reading->high)) {
        return high;
    }
    const char *low = quantity_text(arena, reading->low, reading->unit, NUMBER_DOWN, &rounded);
    return text_format(arena, "%.*s .. %s", (int)strcspn(low, " "), low, high);
}

static void warn_where_better(struct resolving *resolving, const struct measure *measure,
                              const char *before_name, const struct reading *before,
                              const char *name, const struct reading *now)
{
    struct arena *arena = resolving->arena;
    if (before->given == GIVEN_NOT || now->given == GIVEN_NOT ||
        !reading_got_better(arena, measure, before, now)) {
        return;
    }
    struct stave_problem *problem = problem_add(
        resolving->problems, STAVE_WARNING, "got-better", now->span,
        "'%s%s' is %s, and '%s %s' %s: it does not get better by itself", name, measure->name,
        reading_phrase(arena, now), before_name, measure->name, reading_phrase(arena, before));
    problem_second(problem, resolving->problems, before->span, "what was read before");
    problem_help(problem, resolving->problems,
                 "read it again; where it was repaired, leave out what was read before");
}

void readings_finish(struct resolving *resolving)
{
    const struct finding *finding = resolving->finding;
    for (uint32_t r = 0; r < finding->kind->record_count; r++) {
        const struct measure *measure = finding->kind->records[r].measure;
        const struct reading *first = finding->first ? &finding->first[r] : NULL;
        const struct reading *was = finding->earlier ? &finding->earlier[r] : NULL;
        if (measure && was) {
            warn_where_better(resolving, measure, "was", was, "", &finding->readings[r]);
        }
        if (measure && first && was && was->given != GIVEN_NOT) {
            warn_where_better(resolving, measure, "first", first, "was ", was);
        } else if (measure && first) {
            warn_where_better(resolving, measure, "first", first, "", &finding->readings[r]);
        }
    }
}

static bool is_place_name(const struct part *part, const char *name)
{
    return axis_find(part, name) != NAME_NONE ||
           name_find(part->sides, part->side_count, name) != NAME_NONE ||
           name_find(part->places, part->place_count, name) != NAME_NONE;
}

static void not_recorded(struct resolving *resolving, const struct tree_reading *typed)
{
    const struct kind *kind = resolving->finding->kind;
    const char *name = typed->name.text;
    struct stave_problem *problem =
        problem_add(resolving->problems, STAVE_ERROR, "not-recorded", typed->name.span,
                    "'%s' does not record '%s'", kind->name, name);
    if (is_place_name(resolving->finding->part, name)) {
        problem_help(problem, resolving->problems,
                     "it says where: write it after 'at', before the first comma");
    } else {
        name_help(resolving, problem, name, record_names(resolving->arena, kind),
                  kind->record_count, "it records");
    }
}

void reading_add(struct resolving *resolving, const struct tree_reading *reading)
{
    const struct kind *kind = resolving->finding->kind;
    if (reading->sort == TREE_READ_NEW) {
        new_set(resolving, reading);
        return;
    }
    if (!reading->name.text) {
        problem_help(
            problem_add(resolving->problems, STAVE_ERROR, "no-name", reading->span,
                        "a reading without a name"),
            resolving->problems, "'%s' records: %s", kind->name,
            name_list(resolving->arena, record_names(resolving->arena, kind), kind->record_count));
        return;
    }
    uint32_t index = record_find(kind, reading->name.text);
    bool before = reading->sort == TREE_READ_WAS || reading->sort == TREE_READ_FIRST;
    if (index != NAME_NONE && before) {
        before_set(resolving, index, reading);
    } else if (index != NAME_NONE) {
        reading_set(resolving, index, reading);
    } else if (before || !resolving->in_with || !place_add_reading(resolving, reading)) {
        not_recorded(resolving, reading);
    }
}

/* ---- answers --------------------------------------------------------------------------- */

static struct tree_words *one_word(struct arena *arena, struct tree_word word)
{
    struct tree_words *words = ARENA_NEW(arena, struct tree_words);
    words->word = word;
    return words;
}

/*
 * A lone word may be the name of a yes-or-no observation or a value of the only thing that
 * is recorded: names and values share one namespace per book, so it is never both. The
 * grammar cannot tell them apart.
 */
static bool answer_by_word(struct resolving *resolving, const struct tree_reading *typed)
{
    const struct kind *kind = resolving->finding->kind;
    struct tree_word word = typed->name;
    if (!word.text && typed->values && !typed->values->next) {
        word = typed->values->word;
    }
    if (!word.text || typed->sort == TREE_READ_RANGE || typed->sort == TREE_READ_VALUES ||
        typed->sort == TREE_READ_MISSING || typed->sort == TREE_READ_WAS ||
        typed->sort == TREE_READ_FIRST || typed->sort == TREE_READ_NEW) {
        return false;
    }
    uint32_t index = record_find(kind, word.text);
    struct tree_reading named = *typed;
    named.name = word;
    if (index != NAME_NONE) {
        named.sort = typed->sort == TREE_READ_NO ? TREE_READ_NO : TREE_READ_YES;
        named.values = NULL;
    } else if (kind->record_count == 1 && kind->records[0].observation &&
               typed->sort != TREE_READ_NO) {
        index = 0;
        named.sort = TREE_READ_VALUES;
        named.values = typed->values ? typed->values : one_word(resolving->arena, word);
    } else {
        return false;
    }
    reading_set(resolving, index, &named);
    return true;
}

void reading_add_answer(struct resolving *resolving, const struct tree_reading *reading)
{
    const struct kind *kind = resolving->finding->kind;
    if (answer_by_word(resolving, reading)) {
        return;
    }
    if (!reading->name.text && kind->record_count == 1 && reading->sort != TREE_READ_NEW) {
        reading_set(resolving, 0, reading);
    } else {
        reading_add(resolving, reading);
    }
}
