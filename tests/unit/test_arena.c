/* Arenas: what they give, what a mark gives back, and what happens when memory ends. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/arena.h"
#include "fail_alloc.h"

static struct escape out;

static void test_takes_no_memory_before_it_must(void **state)
{
    (void)state;
    struct fail_alloc memory = {0};
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    struct arena arena;
    arena_begin(&arena, &allocator, &out);
    assert_int_equal(memory.live_blocks, 0);
    arena_release(&arena, arena_mark(&arena));
    arena_end(&arena);
    assert_int_equal(memory.calls, 0);
}

static void test_objects_are_zero_aligned_and_apart(void **state)
{
    (void)state;
    struct fail_alloc memory = {0};
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    struct arena arena;
    arena_begin(&arena, &allocator, &out);
    enum { COUNT = 2000 };
    static unsigned char *objects[COUNT];
    static size_t sizes[COUNT];
    uint32_t random = 1;
    for (size_t i = 0; i < COUNT; i++) {
        random = random * 1664525u + 1013904223u;
        sizes[i] = i % 100 == 0 ? random >> 14 : random >> 26; /* to 256 KiB, to 63 bytes */
        objects[i] = arena_take(&arena, sizes[i]);
        assert_non_null(objects[i]);
        assert_int_equal((uintptr_t)objects[i] % _Alignof(max_align_t), 0);
        for (size_t j = 0; j < sizes[i]; j++) {
            assert_int_equal(objects[i][j], 0);
        }
        memset(objects[i], (int)(i % 255) + 1, sizes[i]);
    }
    for (size_t i = 0; i < COUNT; i++) {
        for (size_t j = 0; j < sizes[i]; j++) {
            assert_int_equal(objects[i][j], i % 255 + 1);
        }
    }
    arena_end(&arena);
    assert_int_equal(memory.live_blocks, 0);
    assert_int_equal(memory.live_bytes, 0);
}

static void test_size_zero_gives_a_pointer_of_its_own(void **state)
{
    (void)state;
    struct arena arena;
    arena_begin(&arena, NULL, &out);
    char *a = arena_take(&arena, 0), *b = arena_take(&arena, 0);
    assert_non_null(a);
    assert_ptr_not_equal(a, b);
    assert_non_null(arena_take_array(&arena, 0, 8));
    assert_non_null(arena_take_array(&arena, 8, 0));
    assert_string_equal(arena_copy_text(&arena, NULL, 0), "");
    arena_end(&arena);
}

static void test_texts_and_arrays_are_copied(void **state)
{
    (void)state;
    struct arena arena;
    arena_begin(&arena, NULL, &out);
    char *text = arena_copy_text(&arena, "gouge and more", 5);
    assert_string_equal(text, "gouge");
    int *numbers = NULL;
    size_t count = 0, capacity = 0;
    for (int i = 0; i < 1000; i++) {
        *ARENA_PUSH(&arena, numbers, count, capacity) = i;
    }
    assert_int_equal(count, 1000);
    for (int i = 0; i < 1000; i++) {
        assert_int_equal(numbers[i], i);
    }
    int *grown = arena_grow_array(&arena, numbers, 10, 20, sizeof *grown);
    assert_int_equal(grown[9], 9);
    assert_int_equal(grown[10], 0);
    grown[0] = 7;
    assert_int_equal(numbers[0], 0);
    arena_end(&arena);
}

/* What was there before the mark stays; what is taken again is zero again. */
static void test_release_keeps_what_was_before(void **state)
{
    (void)state;
    struct fail_alloc memory = {0};
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    struct arena arena;
    arena_begin(&arena, &allocator, &out);
    char *kept = arena_copy_text(&arena, "kept", 4);
    for (size_t size = 1; size < 300000; size = size * 3 + 1) {
        struct arena_mark mark = arena_mark(&arena);
        unsigned char *given = arena_take(&arena, size);
        memset(given, 0xFF, size);
        struct arena_mark inner = arena_mark(&arena);
        memset(arena_take(&arena, size), 0xFF, size);
        memset(arena_take(&arena, 2 * size), 0xFF, 2 * size);
        arena_release(&arena, inner);
        assert_int_equal(given[size - 1], 0xFF);
        arena_release(&arena, mark);
        unsigned char *again = arena_take(&arena, size);
        for (size_t i = 0; i < size; i++) {
            assert_int_equal(again[i], 0);
        }
        arena_release(&arena, mark);
    }
    assert_string_equal(kept, "kept");
    arena_end(&arena);
    assert_int_equal(memory.live_blocks, 0);
}

/* However often round, a loop of mark, take and release asks the host a bounded number of
 * times and holds a bounded amount, wherever in a block it begins. */
static void test_a_loop_of_releases_asks_the_host_seldom(void **state)
{
    (void)state;
    for (size_t before = 0; before < 5000; before += 48) {
        struct fail_alloc memory = {0};
        struct stave_allocator allocator = fail_alloc_allocator(&memory);
        struct arena arena;
        arena_begin(&arena, &allocator, &out);
        if (before != 0) {
            arena_take(&arena, before);
        }
        for (int i = 0; i < 200; i++) {
            struct arena_mark mark = arena_mark(&arena);
            arena_take(&arena, 1000);
            arena_take(&arena, 1000);
            arena_release(&arena, mark);
        }
        assert_true(memory.calls <= 3);
        assert_true(memory.live_blocks <= 3);
        arena_end(&arena);
        assert_int_equal(memory.live_blocks, 0);
    }
}

static void test_release_to_an_empty_arena(void **state)
{
    (void)state;
    struct fail_alloc memory = {0};
    struct stave_allocator allocator = fail_alloc_allocator(&memory);
    struct arena arena;
    arena_begin(&arena, &allocator, &out);
    struct arena_mark empty = arena_mark(&arena);
    for (int i = 0; i < 10; i++) {
        for (int j = 0; j < 10; j++) {
            memset(arena_take(&arena, 3000), 1, 3000);
        }
        arena_release(&arena, empty);
        assert_int_equal(memory.live_blocks, 1);
    }
    arena_end(&arena);
    assert_int_equal(memory.live_blocks, 0);
    assert_string_equal(arena_copy_text(&arena, "anew", 4), "anew");
    arena_end(&arena);
    assert_int_equal(memory.live_blocks, 0);
}

/* Each allocation refused in turn: the escape is taken, the rest stays good, nothing leaks. */
static void test_memory_ends_at_every_point(void **state)
{
    (void)state;
    volatile size_t cases = 0;
    for (volatile size_t fail_at = 1;; fail_at++) {
        struct fail_alloc memory = {0};
        struct stave_allocator allocator = fail_alloc_allocator(&memory);
        struct escape escape = {.status = STAVE_OK};
        struct arena arena;
        arena_begin(&arena, &allocator, &escape);
        fail_alloc_arm(&memory, fail_at, false);
        if (setjmp(escape.to) == 0) {
            for (size_t size = 1; size < 100000; size = 2 * size + 1) {
                struct arena_mark mark = arena_mark(&arena);
                arena_take(&arena, size);
                arena_take(&arena, size);
                if (size % 3 == 0) {
                    arena_release(&arena, mark);
                }
            }
        }
        bool refused = memory.refused != 0;
        assert_int_equal(escape.status, refused ? STAVE_NO_MEMORY : STAVE_OK);
        arena_end(&arena);
        assert_int_equal(memory.live_blocks, 0);
        if (!refused) {
            break;
        }
        cases++;
    }
    assert_true(cases > 5);
    printf("%zu allocations refused in turn\n", (size_t)cases);
}

static enum stave_status status_of_array(size_t count, size_t size)
{
    struct escape escape = {.status = STAVE_OK};
    struct arena arena;
    arena_begin(&arena, NULL, &escape);
    if (setjmp(escape.to) == 0) {
        arena_take_array(&arena, count, size);
    }
    arena_end(&arena);
    return escape.status;
}

static void test_an_overflowing_size_escapes(void **state)
{
    (void)state;
    assert_int_equal(status_of_array(100, 8), STAVE_OK);
    assert_int_equal(status_of_array(SIZE_MAX, 1), STAVE_NO_MEMORY);
    assert_int_equal(status_of_array(SIZE_MAX / 8 + 2, 8), STAVE_NO_MEMORY); /* wraps to 8 */
    assert_int_equal(status_of_array((size_t)1 << 32, (size_t)1 << 32), STAVE_NO_MEMORY);
}

static void test_an_escape_carries_its_status(void **state)
{
    (void)state;
    struct escape escape = {.status = STAVE_OK};
    struct arena arena;
    arena_begin(&arena, NULL, &escape);
    if (setjmp(escape.to) == 0) {
        arena_escape(&arena, STAVE_TOO_BIG);
    }
    assert_int_equal(escape.status, STAVE_TOO_BIG);
    arena_end(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_takes_no_memory_before_it_must),
        cmocka_unit_test(test_objects_are_zero_aligned_and_apart),
        cmocka_unit_test(test_size_zero_gives_a_pointer_of_its_own),
        cmocka_unit_test(test_texts_and_arrays_are_copied),
        cmocka_unit_test(test_release_keeps_what_was_before),
        cmocka_unit_test(test_a_loop_of_releases_asks_the_host_seldom),
        cmocka_unit_test(test_release_to_an_empty_arena),
        cmocka_unit_test(test_memory_ends_at_every_point),
        cmocka_unit_test(test_an_overflowing_size_escapes),
        cmocka_unit_test(test_an_escape_carries_its_status),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
