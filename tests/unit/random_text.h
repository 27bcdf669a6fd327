/* For tests that make random texts: a text that grows, and a generator of their own. */
#ifndef STAVE_TESTS_RANDOM_TEXT_H
#define STAVE_TESTS_RANDOM_TEXT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

struct lines {
    char text[16384];
    size_t size;
};

static inline void add(struct lines *lines, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static inline void add(struct lines *lines, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    int more = vsnprintf(lines->text + lines->size, sizeof lines->text - lines->size, format,
                         arguments);
    va_end(arguments);
    assert_true(more >= 0 && (size_t)more < sizeof lines->text - lines->size);
    lines->size += (size_t)more;
}

/* Below `count`, the same for the same state. */
static inline uint32_t draw_below(uint64_t *state, uint32_t count)
{
    *state = *state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (uint32_t)((*state >> 33) % count);
}

#endif
