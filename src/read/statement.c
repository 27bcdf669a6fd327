/* From the parser's actions to the tree: whole lines, hung into the block that is open. */
#include <string.h>

#include "read/reader.h"

/* Puts a node at the end of a list and moves the end on. */
#define PUT(end, node)                                                                             \
    do {                                                                                           \
        *(end) = (node);                                                                           \
        (end) = &(node)->next;                                                                     \
    } while (0)

/* The same for a list of words, which may be empty. */
static void put_words(struct tree_words ***end, struct tree_words *words)
{
    **end = words;
    while (**end) {
        *end = &(**end)->next;
    }
}

static void put_word(struct reader *reader, struct tree_words ***end, const struct tree_word *word)
{
    struct tree_words *node = ARENA_NEW(reader->arena, struct tree_words);
    node->word = *word;
    put_words(end, node);
}

static struct tree_word word_or_none(const struct tree_word *word)
{
    return word ? *word : (struct tree_word){0};
}

/* The same thing said twice where it may be said once. */
static void fault_twice(struct reader *reader, struct span span, struct span first,
                        const char *what)
{
    struct stave_problem *problem =
        token_fault(reader, "said-twice", span, "%s a second time", what);
    problem_second(problem, reader->problems, first, "first said here");
    problem_help(problem, reader->problems, "delete one of the two");
}

/* ---- beginning and blocks ------------------------------------------------------------ */

void build_begin(struct reader *reader)
{
    struct tree *tree = ARENA_NEW(reader->arena, struct tree);
    tree->source = reader->source;
    reader->tree = tree;
    build_set_ends(&reader->end, tree);
}

void build_set_ends(struct ends *end, struct tree *tree)
{
    *end = (struct ends){
        .uses = &tree->uses,
        .parts = &tree->parts,
        .searches = &tree->searches,
        .zones = &tree->zones,
        .measures = &tree->measures,
        .observes = &tree->observes,
        .kinds = &tree->kinds,
        .curves = &tree->curves,
        .reckons = &tree->reckons,
        .limits = &tree->limits,
        .checks = &tree->checks,
        .examples = &tree->examples,
        .facts = &tree->facts,
        .family = &tree->models,
        .lost = &tree->lost,
    };
}

void build_close_block(struct reader *reader)
{
    reader->head = NULL;
    reader->scale = NULL;
    reader->part = NULL;
    reader->kind = NULL;
    reader->curve = NULL;
    reader->limit = NULL;
    reader->check = NULL;
    reader->example = NULL;
    reader->last_finding = NULL;
    reader->example_faulty = false;
    build_end_change(reader);
}

void build_version(struct reader *reader, struct span span, struct span figure)
{
    if (reader->line.first_span.from != reader->version_at) {
        struct stave_problem *problem =
            token_fault(reader, "version", span, "the version is not the first line");
        problem_help(problem, reader->problems,
                     "'stave 1' stands once, before everything but comments");
        return;
    }
    if (figure.to - figure.from != 1 || token_bytes(figure)[0] != '1') {
        struct stave_problem *problem =
            token_fault(reader, "version", figure, "unknown version '%s' of the language",
                        token_shown(reader, figure));
        problem_help(problem, reader->problems, "this program reads version 1");
    }
}

/* ---- the head and the scale ------------------------------------------------------------ */

void build_head(struct reader *reader, struct span span, const struct tree_word *id,
                const struct tree_word *title)
{
    struct tree_head *head = ARENA_NEW(reader->arena, struct tree_head);
    head->id = *id;
    head->title = word_or_none(title);
    head->span = span;
    if (!reader->tree->head) {
        reader->tree->head = head;
    } else if (!reader->tree->second_head) {
        reader->tree->second_head = head;
    }
    reader->head = head;
    reader->end.models = &head->models;
    reader->end.cautions = &head->cautions;
}

void build_edition(struct reader *reader, struct span span, const struct tree_word *edition,
                   const struct tree_word *dated)
{
    struct tree_head *head = reader->head;
    if (!head) {
        return;
    }
    if (head->edition.text) {
        fault_twice(reader, span, head->edition.span, "the edition");
        return;
    }
    head->edition = *edition;
    head->dated = word_or_none(dated);
}

void build_models(struct reader *reader, struct tree_words *models)
{
    if (reader->head) {
        put_words(&reader->end.models, models);
    }
}

void build_judge(struct reader *reader, struct span span, bool as_read)
{
    struct tree_head *head = reader->head;
    if (!head) {
        return;
    }
    if (head->judge.source) {
        fault_twice(reader, span, head->judge, "how to judge");
        return;
    }
    head->judge = span;
    head->as_read = as_read;
}

/* Of the head, of a kind or of a check: the end was set by the block. */
void build_caution(struct reader *reader, struct tree_word *string)
{
    if (reader->head || reader->kind || reader->check) {
        put_word(reader, &reader->end.cautions, string);
    }
}

void build_look(struct reader *reader, struct tree_word *string)
{
    if (reader->kind || reader->check) {
        put_word(reader, &reader->end.looks, string);
    }
}

void build_each_side(struct reader *reader, const struct tree_word *name)
{
    if (!reader->kind) {
        return;
    }
    if (reader->kind->each_side.text) {
        struct stave_problem *problem =
            token_fault(reader, "duplicate-name", name->span, "'each side' is said twice");
        problem_second(problem, reader->problems, reader->kind->each_side.span, "first here");
        return;
    }
    reader->kind->each_side = *name;
}

void build_use(struct reader *reader, struct span span, const struct tree_word *name)
{
    struct tree_use *use = ARENA_NEW(reader->arena, struct tree_use);
    use->name = *name;
    use->span = span;
    PUT(reader->end.uses, use);
}

void build_scale(struct reader *reader, struct span span)
{
    struct tree_scale *scale = ARENA_NEW(reader->arena, struct tree_scale);
    scale->span = span;
    if (!reader->tree->scale) {
        reader->tree->scale = scale;
    } else if (!reader->tree->second_scale) {
        reader->tree->second_scale = scale;
    }
    reader->scale = scale;
    reader->end.outcomes = &scale->outcomes;
}

void build_no_flight(struct reader *reader, struct span span)
{
    struct tree_scale *scale = reader->scale;
    if (!scale) {
        return;
    }
    scale->no_flight_count++;
    if (scale->no_flight_count == 1) {
        scale->no_flight = span;
    } else if (scale->no_flight_count == 2) {
        scale->second_no_flight = span;
    }
}

void build_outcome(struct reader *reader, struct span span, const struct tree_word *name,
                   const struct tree_word *meaning, struct tree_tail *tails)
{
    if (!reader->scale) {
        return;
    }
    struct tree_outcome *outcome = ARENA_NEW(reader->arena, struct tree_outcome);
    outcome->name = *name;
    outcome->meaning = word_or_none(meaning);
    outcome->tails = tails;
    outcome->grounds = reader->scale->no_flight_count > 0;
    outcome->span = span;
    PUT(reader->end.outcomes, outcome);
}

/* ---- parts and zones ---------------------------------------------------------------------- */

void build_part(struct reader *reader, struct span span, const struct tree_word *name,
                struct build_count *count, bool where_fitted, const struct tree_word *help)
{
    struct tree_part *part = ARENA_NEW(reader->arena, struct tree_part);
    part->name = *name;
    part->help = word_or_none(help);
    part->where_fitted = where_fitted;
    part->span = span;
    if (count && count->least) {
        part->has_count = true;
        part->least = *count->least;
        part->most = *count->most;
    }
    if (count && count->each_of) {
        part->each_of = *count->each_of;
    }
    PUT(reader->end.parts, part);
    reader->part = part;
    reader->end.axes = &part->axes;
    reader->end.sides = &part->sides;
    reader->end.meetings = &part->meetings;
    reader->end.places = &part->places;
}

void build_axis(struct reader *reader, struct span span, const struct tree_word *name,
                struct tree_quantity *from, struct tree_quantity *to,
                const struct tree_quantity *step, const struct tree_word *help)
{
    if (!reader->part) {
        return;
    }
    struct tree_axis *axis = ARENA_NEW(reader->arena, struct tree_axis);
    build_share_unit(reader, from, to);
    axis->name = *name;
    axis->help = word_or_none(help);
    axis->from = *from;
    axis->to = *to;
    if (step) {
        axis->step = *step;
        axis->has_step = true;
    }
    axis->span = span;
    PUT(reader->end.axes, axis);
}

void build_sides(struct reader *reader, struct tree_words *sides, struct tree_meeting *meetings)
{
    if (!reader->part) {
        return;
    }
    put_words(&reader->end.sides, sides);
    *reader->end.meetings = meetings;
    while (*reader->end.meetings) {
        reader->end.meetings = &(*reader->end.meetings)->next;
    }
}

void build_places(struct reader *reader, struct tree_words *places)
{
    if (reader->part) {
        put_words(&reader->end.places, places);
    }
}

void build_search(struct reader *reader, struct span span, const struct tree_word *part,
                  const struct tree_word *how)
{
    struct tree_search *search = ARENA_NEW(reader->arena, struct tree_search);
    search->part = *part;
    search->how = *how;
    search->span = span;
    PUT(reader->end.searches, search);
}

void build_zone(struct reader *reader, const struct tree_word *name, const struct tree_word *part)
{
    struct tree_zone *zone = ARENA_NEW(reader->arena, struct tree_zone);
    zone->name = *name;
    zone->part = *part;
    reader->zone = zone;
    reader->end.zone_ranges = &zone->ranges;
    reader->end.zone_names = &zone->names;
    reader->end.zone_outside = &zone->outside;
}

void build_zone_range(struct reader *reader, struct span span, const struct tree_word *axis,
                      bool from_open, struct tree_quantity *from, bool to_open,
                      struct tree_quantity *to)
{
    struct tree_zone_range *range = ARENA_NEW(reader->arena, struct tree_zone_range);
    build_share_unit(reader, from, to);
    range->axis = *axis;
    range->from = *from;
    range->to = *to;
    range->from_open = from_open;
    range->to_open = to_open;
    range->span = span;
    PUT(reader->end.zone_ranges, range);
}

void build_zone_name(struct reader *reader, struct tree_word *name)
{
    put_word(reader, &reader->end.zone_names, name);
}

void build_zone_outside(struct reader *reader, struct tree_words *names)
{
    put_words(&reader->end.zone_outside, names);
}

/* Only a zone whose line was read to its end stands in the tree. */
void build_zone_end(struct reader *reader, struct span span)
{
    reader->zone->span = span;
    PUT(reader->end.zones, reader->zone);
}

/* ---- what is recorded ------------------------------------------------------------------------ */

void build_measure(struct reader *reader, struct span span, const struct tree_word *name,
                   struct tree_quantity *from, struct tree_quantity *to,
                   const struct build_step *step, bool smaller_is_worse,
                   const struct tree_word *help)
{
    struct tree_measure *measure = ARENA_NEW(reader->arena, struct tree_measure);
    build_share_unit(reader, from, to);
    measure->name = *name;
    measure->help = word_or_none(help);
    measure->from = *from;
    measure->to = *to;
    if (step) {
        measure->stepping = step->stepping;
        measure->step = *step->step;
    }
    measure->smaller_is_worse = smaller_is_worse;
    measure->span = span;
    PUT(reader->end.measures, measure);
}

void build_observe(struct reader *reader, struct span span, const struct tree_word *name,
                   const struct build_values *values, const struct tree_word *help)
{
    struct tree_observe *observe = ARENA_NEW(reader->arena, struct tree_observe);
    observe->name = *name;
    observe->help = word_or_none(help);
    observe->sort = values->sort;
    observe->values = values->values;
    observe->span = span;
    PUT(reader->end.observes, observe);
}

void build_kind(struct reader *reader, struct span span, struct tree_words *names,
                struct tree_words *parts, struct tree_record *records)
{
    struct tree_kind *kind = ARENA_NEW(reader->arena, struct tree_kind);
    kind->names = names;
    kind->parts = parts;
    kind->records = records;
    kind->span = span;
    PUT(reader->end.kinds, kind);
    reader->kind = kind;
    reader->end.looks = &kind->looks;
    reader->end.cautions = &kind->cautions;
}

void build_curve(struct reader *reader, struct span span, const struct tree_word *name,
                 const struct tree_word *axis, struct tree_tail *tails)
{
    struct tree_curve *curve = ARENA_NEW(reader->arena, struct tree_curve);
    curve->name = *name;
    curve->axis = *axis;
    curve->tails = tails;
    curve->span = span;
    PUT(reader->end.curves, curve);
    reader->curve = curve;
    reader->end.points = &curve->points;
}

void build_point(struct reader *reader, struct span span, const struct tree_quantity *at,
                 const struct tree_quantity *value)
{
    if (!reader->curve) {
        return;
    }
    struct tree_point *point = ARENA_NEW(reader->arena, struct tree_point);
    point->at = *at;
    point->value = *value;
    point->span = span;
    PUT(reader->end.points, point);
}

void build_reckon(struct reader *reader, struct span span, const struct tree_word *name,
                  struct tree_expression *value)
{
    struct tree_reckon *reckon = ARENA_NEW(reader->arena, struct tree_reckon);
    reckon->name = *name;
    reckon->value = value;
    reckon->span = span;
    PUT(reader->end.reckons, reckon);
}

/* ---- ladders ---------------------------------------------------------------------------- */

void build_limit(struct reader *reader, struct span span, struct tree_words *kinds,
                 struct tree_words *zones, bool declared_gap, struct tree_tail *tails)
{
    struct tree_limit *limit = ARENA_NEW(reader->arena, struct tree_limit);
    limit->kinds = kinds;
    limit->zones = zones;
    limit->declared_gap = declared_gap;
    limit->tails = tails;
    limit->head = limit->span = span;
    PUT(reader->end.limits, limit);
    reader->limit = limit;
    reader->end.rungs = &limit->rungs;
}

void build_check(struct reader *reader, struct span span, const struct tree_word *name,
                 struct tree_words *parts, struct tree_record *records, struct tree_tail *tails)
{
    struct tree_check *check = ARENA_NEW(reader->arena, struct tree_check);
    check->name = *name;
    check->parts = parts;
    check->records = records;
    check->tails = tails;
    check->head = check->span = span;
    PUT(reader->end.checks, check);
    reader->check = check;
    reader->end.rungs = &check->rungs;
    reader->end.looks = &check->looks;
    reader->end.cautions = &check->cautions;
}

void build_rung(struct reader *reader, struct span span, bool otherwise,
                const struct tree_word *outcome, struct tree_condition *conditions,
                struct tree_tail *tails)
{
    struct span *whole = reader->limit   ? &reader->limit->span
                         : reader->check ? &reader->check->span
                                         : NULL;
    if (!whole) {
        return;
    }
    struct tree_rung *rung = ARENA_NEW(reader->arena, struct tree_rung);
    rung->otherwise = otherwise;
    rung->no_published_limit = !outcome;
    rung->outcome = word_or_none(outcome);
    rung->conditions = conditions;
    rung->tails = tails;
    rung->span = span;
    whole->to = span.to;
    PUT(reader->end.rungs, rung);
}

/* ---- examples ---------------------------------------------------------------------------- */

void build_example(struct reader *reader, struct span span, const struct tree_word *title,
                   struct tree_words *served, bool unconfirmed, struct tree_tail *tails)
{
    struct tree_example *example = ARENA_NEW(reader->arena, struct tree_example);
    example->title = *title;
    example->served = served;
    example->unconfirmed = unconfirmed;
    example->tails = tails;
    example->span = span;
    PUT(reader->end.examples, example);
    reader->example = example;
    reader->end.findings = &example->findings;
    reader->end.gives = &example->gives;
}

/* How many findings a line stands for: a whole number from 1 to READ_TIMES, else 1 and a fault. */
static uint32_t read_times(struct reader *reader, const struct tree_quantity *times)
{
    struct arena *arena = reader->arena;
    if (number_is_integer(times->figure) && number_sign(times->figure) > 0 &&
        number_compare(arena, times->figure, NUMBER_INT(READ_TIMES)) <= 0) {
        return (uint32_t)times->figure.num;
    }
    struct stave_problem *problem =
        token_fault(reader, "bad-figure", times->span, "'%s' is no number of findings",
                    token_shown(reader, times->span));
    problem_help(problem, reader->problems, "write a whole number from 1 to %d", READ_TIMES);
    return 1;
}

void build_example_finding(struct reader *reader, struct tree_finding *finding,
                           const struct tree_quantity *times)
{
    if (!reader->example) {
        return;
    }
    finding->times = times ? read_times(reader, times) : 1;
    PUT(reader->end.findings, finding);
    reader->last_finding = finding;
}

void build_gives(struct reader *reader, struct span span, bool propeller,
                 struct tree_words *outcomes, struct tree_reading *with, struct tree_tail *tails)
{
    if (!reader->example) {
        return;
    }
    if (!propeller && !reader->last_finding) {
        if (!reader->example_faulty) {
            struct stave_problem *problem =
                token_fault(reader, "no-finding", span, "no finding before this 'gives'");
            problem_help(problem, reader->problems,
                         "write the finding on a line of its own before it");
        }
        return;
    }
    struct tree_gives *gives = ARENA_NEW(reader->arena, struct tree_gives);
    gives->propeller = propeller;
    gives->outcomes = outcomes;
    gives->with = with;
    gives->tails = tails;
    gives->finding = propeller ? NULL : reader->last_finding;
    gives->last = propeller ? reader->last_finding : NULL;
    gives->span = span;
    PUT(reader->end.gives, gives);
}
