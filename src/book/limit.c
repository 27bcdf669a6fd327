/* Limits and checks: ladders of lines, each on one zone. */
#include "book/check.h"

/* ---- the head of a limit ------------------------------------------------------------ */

static struct span first_named(const struct tree_words *words, const char *text)
{
    while (words->word.text == NULL || !text_same(words->word.text, text))
        words = words->next;
    return words->word.span;
}

static void find_kinds(struct checker *checker, struct ladder *ladder,
                       const struct tree_words *words)
{
    const struct tree_words *all = words;

    ladder->kinds = ARENA_ARRAY(checker->arena, const struct kind *, words_count(words));
    for (; words != NULL; words = words->next) {
        const struct name *name = names_get(checker, words->word, SORT_BIT(SORT_KIND), "kind");

        if (name == NULL) {
            ladder->broken = true;
            continue;
        }
        if (checker->kind_marks[name->index] == ladder->number) {
            check_second(checker,
                         problem_add(checker->problems, STAVE_ERROR, "duplicate-name",
                                     words->word.span, "kind '%s' is named twice", name->text),
                         first_named(all, name->text), "first here");
            continue;
        }
        checker->kind_marks[name->index] = ladder->number;
        ladder->broken = ladder->broken || name->broken;
        ladder->kinds[ladder->kind_count++] = &checker->book->kinds[name->index];
    }
}

/* Each kind can be on the zone's part. */
static void check_reach(struct checker *checker, struct ladder *ladder, const struct zone *zone,
                        struct span at)
{
    const struct part **before = NULL;
    uint32_t i;

    for (i = 0; i < ladder->kind_count; i++) {
        const struct kind *kind = ladder->kinds[i];
        const char *parts[BOOK_KIND_PARTS];
        struct stave_problem *problem;
        uint32_t j;

        if (kind->parts == before)
            continue;
        before = kind->parts;
        if (ladder->broken || kind_part_position(kind, zone->part) >= 0)
            continue;
        problem = problem_add(checker->problems, STAVE_ERROR, "not-on-part", at,
                              "kind '%s' is not on part '%s'", kind->name, zone->part->name);
        check_second(checker, problem, kind->span, "declared here");
        for (j = 0; j < kind->part_count; j++)
            parts[j] = kind->parts[j]->name;
        problem_help(problem, checker->problems, "it is on %s",
                     list_text(checker->arena, parts, kind->part_count, "and"));
        ladder->quiet = true;
    }
}

/* A zone, or one that it leaves out, that is on some sides of its part only. */
static bool on_some_sides(const struct zone *zone)
{
    for (uint32_t side = 0; side < zone->part->side_count; side++)
        if (!(zone->sides >> side & 1))
            return true;
    for (uint32_t i = 0; i < zone->outside_count; i++)
        if (on_some_sides(zone->outside[i]))
            return true;
    return false;
}

/*
 * Damage that goes through meets the limits of every side, but a finding is judged on the side
 * that was recorded: so limits of such a kind must be alike on all sides, or one could be missed.
 */
static void check_sides(struct checker *checker, struct ladder *ladder, const struct zone *zone,
                        struct span at)
{
    for (uint32_t i = 0; i < ladder->kind_count; i++) {
        const struct kind *kind = ladder->kinds[i];
        if (ladder->broken || kind->each_side == NULL || !on_some_sides(zone))
            continue;
        struct stave_problem *problem = problem_add(
            checker->problems, STAVE_ERROR, "some-sides", at,
            "kind '%s' can be on each side, and zone '%s' is on some sides only", kind->name,
            zone->name);
        check_second(checker, problem, kind->span, "declared here");
        problem_help(problem, checker->problems, "put the limit on a zone of all sides");
        return;
    }
}

static void find_zones(struct checker *checker, struct ladder *ladder,
                       const struct tree_words *words)
{
    uint32_t named, i;
    const char **names =
        words_list(checker, words, BOOK_ZONE_NAMES, "zone", "zones in one limit", &named);

    ladder->zones = ARENA_ARRAY(checker->arena, const struct zone *, named);
    for (i = 0; i < named; words = words->next) {
        const struct name *name;
        const struct zone *zone;

        if (words->word.text == NULL || !text_same(words->word.text, names[i]))
            continue;
        i++;
        name = names_get(checker, words->word, SORT_BIT(SORT_ZONE) | SORT_BIT(SORT_PART),
                         "zone or part");
        if (name == NULL || name->broken) {
            ladder->broken = true;
            continue;
        }
        /* the first zones are the parts themselves, at the parts' own indices */
        zone = &checker->book->zones[name->index];
        if (zone->part == NULL)
            continue;
        check_reach(checker, ladder, zone, words->word.span);
        check_sides(checker, ladder, zone, words->word.span);
        ladder->zones[ladder->zone_count++] = zone;
    }
}

/* ---- lines --------------------------------------------------------------------------- */

static void add_deadlines(struct checker *checker, struct rung *rung, const struct tree_tail *tails)
{
    size_t capacity = rung->deadline_count;

    for (; tails != NULL; tails = tails->next) {
        if ((tails->sort != TREE_AGAIN_WITHIN && tails->sort != TREE_WITHIN) ||
            tails->quantity->unit == NULL)
            continue;
        *ARENA_PUSH(checker->arena, rung->deadlines, rung->deadline_count, capacity) =
            (struct deadline){.look_again = tails->sort == TREE_AGAIN_WITHIN,
                              .value = tails->quantity->value,
                              .unit = tails->quantity->unit,
                              .span = tails->span};
    }
}

static const char *first_said(const char *a, const char *b, const char *c)
{
    return a != NULL ? a : b != NULL ? b : c != NULL ? c : "";
}

static void add_tails(struct checker *checker, struct rung *rung, const struct tree_rung *tree,
                      const struct tree_tail *head)
{
    const struct tree_tail *own = tree->tails;
    const struct tree_tail *outcome = checker->book->scale[rung->outcome].tails;

    tails_check(checker, own, TAILS_ALL | TAILS_MEANT, "a line");
    rung->exception = tails_string(own, TREE_EXCEPTION);
    add_deadlines(checker, rung, own);
    add_deadlines(checker, rung, outcome);
    rung->action = first_said(tails_string(own, TREE_DO), tails_string(outcome, TREE_DO), NULL);
    rung->note = first_said(tails_string(own, TREE_NOTE), tails_string(outcome, TREE_NOTE), NULL);
    rung->source = first_said(tails_string(own, TREE_PER), tails_string(head, TREE_PER),
                              tails_string(outcome, TREE_PER));
}

/* "any length, length up to 2 in": which of the two is meant? */
static void check_releases(struct checker *checker, struct ladder *ladder, const struct rung *rung)
{
    uint32_t i, j;

    for (i = 0; i < rung->condition_count; i++) {
        const struct condition *release = &rung->conditions[i];

        if (release->sort != CONDITION_RELEASE)
            continue;
        for (j = 0; j < rung->condition_count; j++) {
            const struct condition *other = &rung->conditions[j];
            bool same = other->observation == release->observation &&
                        (other->left == NULL) == (release->left == NULL) &&
                        (other->left == NULL || other->left->measure == release->left->measure);
            bool all = release->left == NULL && release->observation == NULL;

            if (i == j || !same || (other->sort == CONDITION_RELEASE && j < i) ||
                (all && other->sort != CONDITION_RELEASE))
                continue;
            if (other->sort != CONDITION_RELEASE)
                problem_add(checker->problems, STAVE_ERROR, "released-and-bounded", release->span,
                            "'%s' releases what the same line bounds",
                            check_quote(checker, release->span));
            else
                problem_add(checker->problems, STAVE_ERROR, "duplicate-name", other->span,
                            "'%s' is said twice", check_quote(checker, other->span));
            ladder->quiet = true;
            break;
        }
    }
}

static bool add_conditions(struct checker *checker, struct ladder *ladder, struct rung *rung,
                           const struct tree_rung *tree, bool flight)
{
    struct condition_list list = {0};
    const struct tree_condition *condition;
    bool good = true;

    for (condition = tree->conditions; condition != NULL; condition = condition->next) {
        if (list.count >= BOOK_CONDITIONS) {
            problem_add(checker->problems, STAVE_ERROR, "too-many", condition->span,
                        "more than %d conditions in one line", BOOK_CONDITIONS);
            good = false;
            break;
        }
        good = condition_check(checker, ladder, condition, flight, &list) && good;
    }
    rung->conditions = list.items;
    rung->condition_count = list.count;
    return good;
}

static void check_grounds(struct checker *checker, const struct tree_rung *tree,
                          const struct outcome *outcome)
{
    struct stave_problem *problem;

    if (!outcome->flight)
        return;
    problem = problem_add(checker->problems, STAVE_ERROR, "otherwise-flight", tree->outcome.span,
                          "'otherwise' can only ground, and '%s' lets fly", outcome->name);
    check_second(checker, problem, outcome->span, "it stands above 'no flight' here");
    problem_help(problem, checker->problems,
                 "bound what is fine in a line of its own, and write an outcome below "
                 "'no flight' or 'no published limit' here");
}

/* The span of what names a line's outcome. */
static struct span outcome_span(const struct tree_rung *tree)
{
    return tree->outcome.text != NULL ? tree->outcome.span : tree->span;
}

static void check_order(struct checker *checker, struct ladder *ladder,
                        const struct tree_rung *tree, const struct tree_rung *before,
                        uint32_t outcome)
{
    const struct rung *last;
    struct stave_problem *problem;

    if (before == NULL)
        return;
    last = &ladder->rungs[ladder->rung_count - 1];
    if (ladder->reported_unreached)
        return;
    if (last->otherwise || (rung_takes_all(last) && !ladder->last_broken)) {
        ladder->reported_unreached = true;
        problem = problem_add(checker->problems, STAVE_ERROR, "unreached", tree->span,
                              "line is never reached");
        check_second(checker, problem, before->span, "this line takes all that is left");
        return;
    }
    if (outcome >= last->outcome)
        return;
    problem =
        problem_add(checker->problems, STAVE_ERROR, "climbs", outcome_span(tree),
                    "outcome '%s' climbs back up the scale", checker->book->scale[outcome].name);
    check_second(checker, problem, outcome_span(before), "the line before it is worse");
    problem_help(problem, checker->problems, "write the lines from the best outcome to the worst");
}

/* One line; false when its outcome is unknown. */
static bool add_rung(struct checker *checker, struct ladder *ladder, const struct tree_rung *tree,
                     const struct tree_tail *head, const struct tree_rung *before)
{
    const struct book *book = checker->book;
    uint32_t outcome = book->no_published_limit;
    const struct name *name;
    struct rung *rung;
    bool good;

    if (!tree->no_published_limit) {
        if (book->no_published_limit == 0)
            return false; /* there is no scale: that is said once */
        name = names_get(checker, tree->outcome, SORT_BIT(SORT_OUTCOME), "outcome");
        if (name == NULL)
            return false;
        outcome = name->index;
    }
    check_order(checker, ladder, tree, before, outcome);
    if (tree->otherwise)
        check_grounds(checker, tree, &book->scale[outcome]);
    rung = &ladder->rungs[ladder->rung_count++];
    rung->outcome = outcome;
    rung->otherwise = tree->otherwise;
    rung->span = tree->span;
    add_tails(checker, rung, tree, head);
    good = add_conditions(checker, ladder, rung, tree, book->scale[outcome].flight);
    ladder->last_broken = !good;
    if (!good) {
        ladder->quiet = true;
        return true;
    }
    check_releases(checker, ladder, rung);
    if (book->scale[outcome].flight && !tree->otherwise && !ladder->broken && !checker->unread)
        silence_check(checker, ladder, rung, tree->outcome);
    return true;
}

static void add_rungs(struct checker *checker, struct ladder *ladder, const struct tree_rung *tree,
                      const struct tree_tail *head)
{
    const struct tree_rung *before = NULL, *each;
    size_t count = 0;

    for (each = tree; each != NULL && count < BOOK_RUNGS; each = each->next)
        count++;
    ladder->rungs = ARENA_ARRAY(checker->arena, struct rung, count);
    for (; tree != NULL; tree = tree->next) {
        if (ladder->rung_count == BOOK_RUNGS) {
            problem_add(checker->problems, STAVE_ERROR, "too-many", tree->span,
                        "more than %d lines in one ladder", BOOK_RUNGS);
            ladder->quiet = true;
            return;
        }
        if (add_rung(checker, ladder, tree, head, before))
            before = tree;
        else
            ladder->quiet = true;
    }
}

/* ---- whole ladders -------------------------------------------------------------------- */

/* One limit for each zone, all with the same lines. */
static void add_limits(struct checker *checker, const struct ladder *ladder, bool declared_gap,
                       const struct tree_tail *tails)
{
    struct book *book = checker->book;
    uint32_t i;

    for (i = 0; i < ladder->zone_count; i++) {
        struct limit *limit = &book->limits[book->limit_count];

        *limit = (struct limit){
            .index = book->limit_count++,
            .kinds = ladder->kinds,
            .kind_count = ladder->kind_count,
            .zone = ladder->zones[i],
            .declared_gap = declared_gap,
            .rungs = ladder->rungs,
            .rung_count = ladder->rung_count,
            .source = first_said(tails_string(tails, TREE_PER), NULL, NULL),
            .note = first_said(tails_string(tails, TREE_NOTE), NULL, NULL),
            .exception = tails_string(tails, TREE_EXCEPTION),
            .head = ladder->head,
        };
    }
}

/* How many limits there are for each kind on each part; a broken ladder counts everywhere. */
static void count_limits(struct checker *checker, const struct ladder *ladder)
{
    uint32_t i, j;

    for (i = 0; i < ladder->kind_count; i++) {
        const struct kind *kind = ladder->kinds[i];
        uint16_t *counts = checker->docket_limits[kind->index];

        for (j = 0; ladder->broken && j < BOOK_KIND_PARTS; j++)
            counts[j] = counts[j] > 0 ? counts[j] : 1;
        for (j = 0; j < ladder->zone_count; j++) {
            int32_t position = kind_part_position(kind, ladder->zones[j]->part);

            if (position < 0 || counts[position] > BOOK_DOCKET_LIMITS)
                continue;
            if (++counts[position] > BOOK_DOCKET_LIMITS)
                problem_add(checker->problems, STAVE_ERROR, "too-many", ladder->head,
                            "more than %d limits for '%s' on part '%s'", BOOK_DOCKET_LIMITS,
                            kind->name, ladder->zones[j]->part->name);
        }
    }
}

static void check_limit(struct checker *checker, const struct tree_limit *tree, uint32_t number)
{
    struct ladder ladder = {.number = number, .head = tree->head};

    find_kinds(checker, &ladder, tree->kinds);
    find_zones(checker, &ladder, tree->zones);
    tails_check(checker, tree->tails, TAILS_CITED | TAILS_MEANT, "the head of a limit");
    if (tree->declared_gap && tree->rungs != NULL)
        check_second(checker,
                     problem_add(checker->problems, STAVE_ERROR, "gap-with-lines",
                                 tree->rungs->span, "line in a limit that is declared a gap"),
                     tree->head, "declared here");
    else if (!tree->declared_gap && tree->rungs == NULL && !checker->unread)
        problem_help(problem_add(checker->problems, STAVE_ERROR, "too-few", tree->head,
                                 "limit has no lines"),
                     checker->problems,
                     "write its lines, or 'no published limit' at the end of its head");
    add_rungs(checker, &ladder, tree->rungs, tree->tails);
    curves_cover(checker, &ladder);
    fall_through_check(checker, &ladder);
    count_limits(checker, &ladder);
    add_limits(checker, &ladder, tree->declared_gap, tree->tails);
}

static void check_check(struct checker *checker, const struct tree_check *tree,
                        const struct kind *kind, uint32_t number)
{
    struct ladder ladder = {.number = number, .head = tree->head};
    uint32_t i;

    ladder.kinds = ARENA_ARRAY(checker->arena, const struct kind *, 1);
    ladder.kinds[ladder.kind_count++] = kind;
    ladder.broken = names_find(checker, kind->name, SORT_BIT(SORT_CHECK))->broken;
    ladder.zones = ARENA_ARRAY(checker->arena, const struct zone *, kind->part_count);
    for (i = 0; i < kind->part_count; i++)
        ladder.zones[ladder.zone_count++] = &checker->book->zones[kind->parts[i]->index];
    tails_check(checker, tree->tails, TAILS_CITED | TAILS_MEANT, "the head of a check");
    if (tree->rungs == NULL && !checker->unread)
        problem_help(problem_add(checker->problems, STAVE_ERROR, "too-few", tree->head,
                                 "check has no lines"),
                     checker->problems, "write its lines, the last one 'otherwise …'");
    add_rungs(checker, &ladder, tree->rungs, tree->tails);
    curves_cover(checker, &ladder);
    fall_through_check(checker, &ladder);
    add_limits(checker, &ladder, false, tree->tails);
}

/* ---- kinds without a limit ----------------------------------------------------------------- */

static void check_unlimited(struct checker *checker)
{
    const struct book *book = checker->book;
    uint32_t i, j;

    if (checker->unread)
        return;
    for (i = 0; i < book->check_start; i++) {
        const struct kind *kind = &book->kinds[i];
        bool broken = names_find(checker, kind->name, SORT_BIT(SORT_KIND))->broken;

        for (j = 0; j < kind->part_count; j++) {
            if (broken || checker->docket_limits[i][j] > 0)
                continue;
            problem_help(problem_add(checker->problems, STAVE_WARNING, "no-limit", kind->span,
                                     "kind '%s' has no limit on part '%s': there it is always "
                                     "'no published limit'",
                                     kind->name, kind->parts[j]->name),
                         checker->problems,
                         "where that is meant, write 'limit %s on %s no published limit'",
                         kind->name, kind->parts[j]->name);
        }
    }
}

static size_t count_all(const struct book *book)
{
    size_t count = 0;
    uint32_t i;

    for (i = 0; i < book->tree_count; i++) {
        const struct tree_limit *limit;

        for (limit = book->trees[i]->limits; limit != NULL; limit = limit->next) {
            size_t zones = words_count(limit->zones);

            count += zones < BOOK_ZONE_NAMES ? zones : BOOK_ZONE_NAMES;
        }
    }
    return count + (size_t)(book->kind_count - book->check_start) * BOOK_KIND_PARTS;
}

void limits_resolve(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_limit *limit;
    const struct tree_check *check;
    uint32_t i, number = 0, next = book->check_start;

    book->limits = ARENA_ARRAY(checker->arena, struct limit, count_all(book));
    checker->docket_limits =
        arena_take_array(checker->arena, book->kind_count, sizeof *checker->docket_limits);
    checker->kind_marks = ARENA_ARRAY(checker->arena, uint32_t, book->kind_count);
    checker->curve_marks = ARENA_ARRAY(checker->arena, uint32_t, book->curve_count);
    for (i = 0; i < book->tree_count; i++)
        for (limit = book->trees[i]->limits; limit != NULL; limit = limit->next)
            check_limit(checker, limit, ++number);
    for (i = 0; i < book->tree_count; i++)
        for (check = book->trees[i]->checks; check != NULL && next < book->kind_count;
             check = check->next)
            if (check->name.text != NULL)
                check_check(checker, check, &book->kinds[next++], ++number);
    check_unlimited(checker);
    cells_check(checker);
}
