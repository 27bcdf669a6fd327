/*
 * The reader under random changes of a good text, and without memory. Seeded and repeatable.
 *
 * Whatever the bytes: it comes back, every node of the tree can be walked and lies within
 * the text, nothing is given without being whole, and the same text gives the same again.
 */
#include "fail_alloc.h"
#include "read/reader.h"
#include "read_sample.h"

enum { BOOK_CASES = 20000, LINE_CASES = 20000 };

static uint64_t seed = UINT64_C(0x57a4e);

static uint32_t pick(uint32_t below)
{
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return (uint32_t)((seed >> 16) % below);
}

/* ---- walking a tree ------------------------------------------------------------------ */

static size_t walked; /* a sum over all that was read, so that reads are not left out */

static void walk_span(struct span span)
{
    if (span.source) {
        assert_true(span.from <= span.to);
        assert_true(span.to <= span.source->size);
        walked += span.to;
    }
}

static void walk_word(struct tree_word word)
{
    walk_span(word.span);
    walked += word.text ? strlen(word.text) : 0;
}

static void walk_words(const struct tree_words *words)
{
    for (; words; words = words->next) {
        assert_non_null(words->word.text);
        walk_word(words->word);
    }
}

static void walk_quantity(struct tree_quantity quantity)
{
    walk_span(quantity.span);
    walked += number_bits(quantity.figure) + number_bits(quantity.value);
    assert_true(number_sign(quantity.value) >= 0);
}

static void walk_tails(const struct tree_tail *tail)
{
    for (; tail; tail = tail->next) {
        bool timed = tail->sort == TREE_AGAIN_WITHIN || tail->sort == TREE_WITHIN;
        assert_true(timed == (tail->string.text == NULL));
        walk_word(tail->string);
        walk_span(tail->span);
        if (timed) {
            walk_quantity(*tail->quantity);
        }
    }
}

static void walk_expression(const struct tree_expression *expression, unsigned depth)
{
    assert_true(depth < READ_NESTING + READ_STEPS + 8);
    walk_span(expression->span);
    if (expression->sort == TREE_NAME) {
        assert_non_null(expression->name.text);
    } else if (expression->sort == TREE_QUANTITY) {
        walk_quantity(*expression->quantity);
    } else {
        walk_expression(expression->left, depth + 1);
        walk_expression(expression->right, depth + 1);
    }
}

static void walk_rungs(const struct tree_rung *rung)
{
    for (; rung; rung = rung->next) {
        walk_word(rung->outcome);
        walk_tails(rung->tails);
        assert_true(rung->otherwise == (rung->conditions == NULL));
        for (const struct tree_condition *c = rung->conditions; c; c = c->next) {
            walk_span(c->span);
            walk_words(c->values);
            assert_true((c->sort == TREE_COMPARE) == (c->bounds != NULL));
            assert_true((c->sort == TREE_ANY_SIZE) == (c->name.text == NULL));
            for (const struct tree_bound *bound = c->bounds; bound; bound = bound->next) {
                walk_expression(bound->limit, 0);
            }
        }
    }
}

static void walk_range(struct tree_range range)
{
    walk_span(range.span);
    walk_quantity(*range.from.middle);
    if (range.from.doubt) {
        walk_quantity(*range.from.doubt);
    }
    if (range.to.middle) {
        walk_quantity(*range.to.middle);
    }
}

static void walk_readings(const struct tree_reading *reading, bool answer)
{
    for (; reading; reading = reading->next) {
        bool range = reading->sort == TREE_READ_RANGE ||
                     (reading->sort == TREE_READ_BARE && !reading->values);
        assert_true(answer || reading->name.text);
        walk_word(reading->name);
        walk_words(reading->values);
        if (range) {
            walk_range(*reading->range);
        }
    }
}

static void walk_finding(const struct tree_finding *finding)
{
    assert_non_null(finding->part.text);
    assert_non_null(finding->kind.text);
    walk_word(finding->instance);
    walk_word(finding->remark);
    walk_span(finding->span);
    walk_readings(finding->readings, false);
    for (const struct tree_place *place = finding->places; place; place = place->next) {
        walk_word(place->name);
        if (place->range) {
            walk_range(*place->range);
        }
    }
}

static void walk_parts(const struct tree *tree)
{
    for (const struct tree_part *part = tree->parts; part; part = part->next) {
        walk_word(part->name);
        walk_words(part->sides);
        walk_words(part->places);
        if (part->has_count) {
            walk_quantity(part->least);
            walk_quantity(part->most);
        }
        for (const struct tree_axis *axis = part->axes; axis; axis = axis->next) {
            walk_word(axis->name);
            walk_quantity(axis->from);
            walk_quantity(axis->to);
        }
        for (const struct tree_meeting *m = part->meetings; m; m = m->next) {
            walk_quantity(m->at);
        }
    }
    for (const struct tree_zone *zone = tree->zones; zone; zone = zone->next) {
        walk_word(zone->name);
        walk_words(zone->names);
        walk_words(zone->outside);
        for (const struct tree_zone_range *range = zone->ranges; range; range = range->next) {
            walk_quantity(range->from);
            walk_quantity(range->to);
        }
    }
}

static void walk_records(const struct tree *tree)
{
    for (const struct tree_measure *measure = tree->measures; measure; measure = measure->next) {
        walk_word(measure->name);
        walk_quantity(measure->from);
        walk_quantity(measure->to);
        if (measure->stepping != TREE_STEP_NONE) {
            walk_quantity(measure->step);
        }
    }
    for (const struct tree_observe *o = tree->observes; o; o = o->next) {
        assert_true((o->sort == TREE_YES_OR_NO) == (o->values == NULL));
        walk_words(o->values);
    }
    for (const struct tree_kind *kind = tree->kinds; kind; kind = kind->next) {
        walk_words(kind->names);
        walk_words(kind->parts);
        walk_words(kind->looks);
        walk_words(kind->cautions);
        for (const struct tree_record *record = kind->records; record; record = record->next) {
            walk_word(record->along);
        }
    }
    for (const struct tree_curve *curve = tree->curves; curve; curve = curve->next) {
        walk_tails(curve->tails);
        for (const struct tree_point *point = curve->points; point; point = point->next) {
            walk_quantity(point->at);
            walk_quantity(point->value);
        }
    }
    for (const struct tree_reckon *reckon = tree->reckons; reckon; reckon = reckon->next) {
        walk_expression(reckon->value, 0);
    }
}

static void walk_ladders(const struct tree *tree)
{
    for (const struct tree_limit *limit = tree->limits; limit; limit = limit->next) {
        walk_words(limit->kinds);
        walk_words(limit->zones);
        walk_span(limit->head);
        walk_span(limit->span);
        walk_tails(limit->tails);
        walk_rungs(limit->rungs);
    }
    for (const struct tree_check *check = tree->checks; check; check = check->next) {
        walk_words(check->parts);
        walk_words(check->looks);
        walk_rungs(check->rungs);
    }
    for (const struct tree_example *e = tree->examples; e; e = e->next) {
        walk_word(e->title);
        for (const struct tree_finding *f = e->findings; f; f = f->next) {
            walk_finding(f);
        }
        for (const struct tree_gives *gives = e->gives; gives; gives = gives->next) {
            walk_words(gives->outcomes);
            walk_readings(gives->with, false);
            assert_true(gives->propeller || gives->finding);
        }
    }
}

static void walk(const struct tree *tree)
{
    assert_non_null(tree);
    if (tree->head) {
        walk_word(tree->head->title);
        walk_words(tree->head->models);
        walk_words(tree->head->cautions);
        walk_span(tree->head->judge);
    }
    if (tree->scale) {
        for (struct tree_outcome *o = tree->scale->outcomes; o; o = o->next) {
            walk_word(o->meaning);
            walk_tails(o->tails);
        }
    }
    walk_words(tree->lost);
    walk_parts(tree);
    walk_records(tree);
    walk_ladders(tree);
}

/* ---- changes ---------------------------------------------------------------------------- */

static const char *const scraps[] = {
    "(",
    ")",
    ",",
    "\n",
    "\r\n",
    "\"",
    "\\",
    "#",
    ";",
    "..",
    "+/-",
    "\xC2\xB1",
    "-",
    "- ",
    " + ",
    "*",
    "/",
    "%",
    "0,02",
    "1e-2",
    "0x10",
    "nan",
    ".5",
    "5.",
    "010",
    "1_000",
    "1:30",
    "-0.01",
    "1-1/16",
    "1 1/16",
    "17/3",
    "<=",
    "\xE2\x88\x92",
    "\xC2\xA0",
    "\xE2\x80\x9C",
    "in",
    "mil",
    "lbf\xC2\xB7in",
    "\xC2\xB5m",
    "limit ",
    "\nlimit ",
    "\nscale\n",
    "gives ",
    "otherwise ",
    "no published limit",
    "of ",
    "the lesser of ",
    "stave 1",
    "\nbook ",
    "999999999999999999",
    "9999999999999999999",
    "\t",
    "\xEF\xBB\xBF",
    "\xE2\x80\xAE",
    "\xF0\x9F\x99\x82",
    "\xC3\xA9",
    "\xFF",
    "\x01",
    "''",
    "'a'",
    ":",
    "[",
};

enum { SCRAP_COUNT = sizeof scraps / sizeof scraps[0], ROOM = 8192 };

static size_t put_in(char *bytes, size_t size, size_t at, size_t drop, const char *add,
                     size_t count)
{
    if (size - drop + count > ROOM) {
        return size;
    }
    memmove(bytes + at + count, bytes + at + drop, size - at - drop);
    memcpy(bytes + at, add, count);
    return size - drop + count;
}

/* One change: a byte, a scrap, a stretch left out, said twice or moved, or the end cut off. */
static size_t change(char *bytes, size_t size)
{
    size_t at = pick((uint32_t)size + 1), rest = size - at;
    size_t length = rest > 0 ? pick((uint32_t)(rest < 60 ? rest : 60)) : 0;
    char stretch[64];
    memcpy(stretch, bytes + at, length);
    switch (pick(7)) {
    case 0:
        if (rest > 0) {
            bytes[at] = (char)pick(pick(8) == 0 ? 256 : 128);
        }
        return size;
    case 1:
        return put_in(bytes, size, at, length, "", 0);
    case 2:
        return put_in(bytes, size, pick((uint32_t)size + 1), 0, stretch, length);
    case 3:
        return pick(8) == 0 ? at : size;
    default: {
        const char *scrap = scraps[pick(SCRAP_COUNT)];
        return put_in(bytes, size, at, pick(2) ? length : 0, scrap, strlen(scrap));
    }
    }
}

/* ---- the trials ---------------------------------------------------------------------------- */

static void test_random_books(void **state)
{
    (void)state;
    static char bytes[ROOM + 1];
    size_t good = 0, faulty = 0, refused = 0;
    for (unsigned i = 0; i < BOOK_CASES; i++) {
        size_t size = sizeof sample_book - 1;
        memcpy(bytes, sample_book, size);
        for (unsigned changes = 1 + pick(i % 4 == 0 ? 12 : 2); changes > 0; changes--) {
            size = change(bytes, size);
        }
        struct reading_bench bench;
        bench_begin(&bench, bytes, size);
        if (bench.source) {
            walk(read_book(&bench.arena, bench.source, &bench.problems));
            faulty += bench.problems.error_count > 0;
            good += bench.problems.error_count == 0;
        } else {
            refused++;
            assert_true(bench.problems.error_count > 0);
        }
        if (i % 8 == 0) { /* the same again */
            struct reading_bench again;
            bench_begin(&again, bytes, size);
            if (again.source) {
                walk(read_book(&again.arena, again.source, &again.problems));
            }
            assert_string_equal(bench_problems(&bench), bench_problems(&again));
            arena_end(&again.arena);
        }
        arena_end(&bench.arena);
    }
    print_message("%d books: %zu still good, %zu with errors, %zu refused whole (%zu)\n",
                  BOOK_CASES, good, faulty, refused, walked);
    assert_true(good > 100);
    assert_true(faulty > BOOK_CASES / 2);
}

static const char *const lines[] = {
    "blade 1 gouge at station 36 in thrust, depth 27 thou, length 3/4 in",
    "blade 2 crack at station 30 +/- 1 .. 32 in camber, length 2 in, lie not seen; was F-1",
    "spinner crack at dome, lie spanwise or slanted, not settles, rock 0.3 deg",
    "0.3 deg, settles",
    "nothing or trace",
};

static void test_random_lines(void **state)
{
    (void)state;
    static char bytes[ROOM + 1];
    size_t given = 0, faulty = 0;
    for (unsigned i = 0; i < LINE_CASES; i++) {
        const char *line = lines[pick(sizeof lines / sizeof lines[0])];
        size_t size = strlen(line);
        memcpy(bytes, line, size);
        for (unsigned changes = 1 + pick(3); changes > 0; changes--) {
            size = change(bytes, size);
        }
        struct reading_bench bench;
        bench_begin(&bench, bytes, size);
        if (bench.source) {
            struct span where = bench_span(&bench);
            struct tree_finding *finding = read_finding(&bench.arena, where, &bench.problems);
            assert_true((finding == NULL) == (bench.problems.error_count > 0));
            given += finding != NULL;
            faulty += finding == NULL;
            if (finding) {
                walk_finding(finding);
            }
            size_t errors = bench.problems.error_count;
            struct tree_reading *answer = read_answer(&bench.arena, where, &bench.problems);
            assert_true((answer == NULL) == (bench.problems.error_count > errors));
            walk_readings(answer, true);
        }
        arena_end(&bench.arena);
    }
    print_message("%d lines: %zu findings given, %zu refused\n", LINE_CASES, given, faulty);
    assert_true(given > 100);
    assert_true(faulty > LINE_CASES / 4);
}

/* ---- two roads to a token ----------------------------------------------------------------- */

static void same_value(struct arena *arena, int kind, const GRAMMAR_STYPE *a,
                       const GRAMMAR_STYPE *b)
{
    if (kind == TOKEN_NAME) {
        assert_string_equal(a->TOKEN_NAME->text, b->TOKEN_NAME->text);
        assert_memory_equal(&a->TOKEN_NAME->span, &b->TOKEN_NAME->span, sizeof(struct span));
    } else if (kind == TOKEN_UNIT) {
        assert_ptr_equal(a->TOKEN_UNIT, b->TOKEN_UNIT);
    } else if (kind == TOKEN_NUMBER) {
        assert_int_equal(number_compare(arena, a->TOKEN_NUMBER->number, b->TOKEN_NUMBER->number), 0);
    }
}

/* Takes the tokens at `where` by plain_gather, wherever that takes one, and all by the scanner. Counts
 * those of the first; gives the count of all. */
static size_t take_both_ways(struct reading_bench *bench, struct span where, size_t *plain)
{
    struct reader quick = {0}, slow = {0};
    size_t count = 0;
    reader_open(&quick, &bench->arena, where, &bench->problems, TOKEN_START_BOOK);
    reader_open(&slow, &bench->arena, where, &bench->problems, TOKEN_START_BOOK);
    for (int kind = TOKEN_LINE_END; kind != TOKEN_END; count++) {
        struct token token, same;
        size_t errors = bench->problems.error_count;
        bool taken = quick.ahead_next < quick.ahead_end || plain_gather(&quick);
        assert_int_equal(bench->problems.error_count, errors);
        if (taken) {
            token = quick.ahead[quick.ahead_next++];
            ++*plain;
        } else {
            token.kind = scan_token(&quick, &token.site, &token.value);
        }
        same.kind = scan_token(&slow, &same.site, &same.value);
        assert_int_equal(token.kind, same.kind);
        assert_memory_equal(&token.site, &same.site, sizeof same.site);
        same_value(&bench->arena, token.kind, &token.value, &same.value);
        kind = token.kind;
        if (kind == TOKEN_LINE_END) { /* the lines are lines.c's */
            quick.line.mute = slow.line.mute = false;
        }
    }
    return count;
}

static void test_plain_tokens_are_the_scanners(void **state)
{
    (void)state;
    static char bytes[ROOM + 1];
    size_t plain = 0, all = 0;
    for (unsigned i = 0; i < BOOK_CASES / 2; i++) {
        size_t size = sizeof sample_book - 1;
        memcpy(bytes, sample_book, size);
        for (unsigned changes = pick(60); changes > 0; changes--) {
            size = change(bytes, size);
        }
        struct reading_bench bench;
        bench_begin(&bench, bytes, size);
        if (bench.source) {
            struct span where = bench_span(&bench);
            if (i % 2 == 0) { /* a stretch that begins and ends anywhere */
                where.from = pick(where.to + 1);
                where.to = where.from + pick(where.to - where.from + 1);
            }
            all += take_both_ways(&bench, where, &plain);
        }
        arena_end(&bench.arena);
    }
    print_message("%zu tokens, of them %zu plain\n", all, plain);
    assert_true(plain > all / 2);
}

/* ---- without memory --------------------------------------------------------------------------- */

/* Reads the sample, and a text full of errors, with an allocator that ends. */
static bool read_with(struct fail_alloc *memory, const char *text)
{
    struct escape escape;
    struct arena arena;
    struct stave_allocator allocator = fail_alloc_allocator(memory);
    arena_begin(&arena, &allocator, &escape);
    escape.status = STAVE_OK;
    if (setjmp(escape.to) != 0) {
        assert_int_equal(escape.status, STAVE_NO_MEMORY);
        arena_end(&arena);
        return false;
    }
    struct problems problems;
    struct stave_text bytes = {"a.stave", text, strlen(text)};
    problems_begin(&problems, &arena);
    struct source *source = source_open(&arena, &bytes, SOURCE_BOOK_LIMIT, &problems);
    read_book(&arena, source, &problems);
    arena_end(&arena);
    return true;
}

static void test_memory_that_ends(void **state)
{
    (void)state;
    static char faulty[16384];
    for (size_t i = 0; i < 100; i++) {
        strcat(faulty, "measure in 0,5 mil .. 1e-2 in (( \"x\n");
    }
    const char *const texts[] = {sample_book, faulty};
    size_t failures = 0;
    for (size_t i = 0; i < 2; i++) {
        for (size_t n = 1;; n++) {
            struct fail_alloc memory = {0};
            fail_alloc_arm(&memory, n, true);
            bool done = read_with(&memory, texts[i]);
            assert_int_equal(memory.live_blocks, 0);
            if (done) {
                break;
            }
            failures++;
        }
    }
    print_message("%zu failed allocations\n", failures);
    assert_true(failures > 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_random_books),
        cmocka_unit_test(test_random_lines),
        cmocka_unit_test(test_plain_tokens_are_the_scanners),
        cmocka_unit_test(test_memory_that_ends),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
