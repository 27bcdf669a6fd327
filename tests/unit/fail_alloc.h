/*
 * An allocator for tests of what happens when memory ends: it counts, fails the call that it
 * is told to, holds each stated size against the true one, and knows what is still out.
 *
 *     struct fail_alloc memory = {0};
 *     struct stave_allocator allocator = fail_alloc_allocator(&memory);
 *     fail_alloc_arm(&memory, 3, false);      // the third call from here on is refused
 *     ...
 *     fail_alloc_disarm(&memory);
 *     assert_int_equal(memory.live_blocks, 0);
 *
 * A program linked with -Wl,--wrap=malloc and so on (see the Makefile) can count and refuse
 * what a statically linked library takes from malloc in the same row: define FAIL_ALLOC_WRAP
 * before the include and point fail_alloc_wrapped at the counter.
 */
#ifndef TESTS_FAIL_ALLOC_H
#define TESTS_FAIL_ALLOC_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "stave.h"

struct fail_alloc {
    size_t calls;       /* that asked for memory, since it was armed */
    size_t fail_at;     /* which of them is refused, from 1; 0: none */
    bool from_then_on;  /* and all that follow */
    size_t refused;     /* since it was armed */
    size_t live_blocks; /* not yet given back */
    size_t live_bytes;  /* of those from the host's allocator, as asked for */
};

static inline void fail_alloc_arm(struct fail_alloc *memory, size_t fail_at, bool from_then_on)
{
    memory->calls = 0;
    memory->refused = 0;
    memory->fail_at = fail_at;
    memory->from_then_on = from_then_on;
}

static inline void fail_alloc_disarm(struct fail_alloc *memory)
{
    fail_alloc_arm(memory, 0, false);
}

/* Counts one call that asks for memory: true when it is to be refused. */
static inline bool fail_alloc_refuses(struct fail_alloc *memory)
{
    memory->calls++;
    bool refuse =
        memory->fail_at != 0 && (memory->calls == memory->fail_at ||
                                 (memory->from_then_on && memory->calls > memory->fail_at));
    memory->refused += refuse;
    return refuse;
}

#ifdef FAIL_ALLOC_WRAP
void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
void __real_free(void *block);
#define FAIL_ALLOC_MALLOC __real_malloc
#define FAIL_ALLOC_FREE __real_free
#else
#define FAIL_ALLOC_MALLOC malloc
#define FAIL_ALLOC_FREE free
#endif

/* Stands before each block; the union keeps what follows aligned for any object. */
union fail_alloc_head {
    struct {
        size_t size;
        uint64_t mark;
    } is;
    max_align_t align;
};

#define FAIL_ALLOC_MARK UINT64_C(0x57a4e57a4e57a4e5)

/* Ends the program with a word: what is wrong here is wrong in the library. */
static inline void fail_alloc_check(bool good, const char *what)
{
    if (!good) {
        fprintf(stderr, "fail_alloc: %s\n", what);
        abort();
    }
}

static inline void *fail_alloc_resize(void *user, void *block, size_t old_size, size_t new_size)
{
    struct fail_alloc *memory = user;
    union fail_alloc_head *old = block ? (union fail_alloc_head *)block - 1 : NULL;
    if (old) {
        fail_alloc_check(old->is.mark == FAIL_ALLOC_MARK, "a block that was never given");
        fail_alloc_check(old->is.size == old_size, "a block given back with another size");
    } else {
        fail_alloc_check(old_size == 0, "an old size without a block");
        fail_alloc_check(new_size != 0, "nothing asked for and nothing given back");
    }
    union fail_alloc_head *fresh = NULL;
    if (new_size != 0) {
        if (new_size > SIZE_MAX - sizeof *fresh || fail_alloc_refuses(memory)) {
            return NULL;
        }
        fresh = FAIL_ALLOC_MALLOC(sizeof *fresh + new_size);
        fail_alloc_check(fresh != NULL, "the machine has no memory");
        fresh->is.size = new_size;
        fresh->is.mark = FAIL_ALLOC_MARK;
        /* What was not written must not be read: make it loud. */
        memset(fresh + 1, 0xA5, new_size);
        memory->live_blocks++;
        memory->live_bytes += new_size;
    }
    if (old) {
        if (fresh) {
            memcpy(fresh + 1, block, old_size < new_size ? old_size : new_size);
        }
        memory->live_blocks--;
        memory->live_bytes -= old_size;
        memset(old, 0x5A, sizeof *old + old_size);
        FAIL_ALLOC_FREE(old);
    }
    return fresh ? fresh + 1 : NULL;
}

static inline struct stave_allocator fail_alloc_allocator(struct fail_alloc *memory)
{
    return (struct stave_allocator){.resize = fail_alloc_resize, .user = memory};
}

#ifdef FAIL_ALLOC_WRAP

/* Counts malloc and its kin while it is set. */
static struct fail_alloc *fail_alloc_wrapped;

void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);
char *__wrap_strdup(const char *text);
void __wrap_free(void *block);

static inline void *fail_alloc_count(void *block)
{
    if (fail_alloc_wrapped && block) {
        fail_alloc_wrapped->live_blocks++;
    }
    return block;
}

void *__wrap_malloc(size_t size)
{
    bool refuse = fail_alloc_wrapped && fail_alloc_refuses(fail_alloc_wrapped);
    return refuse ? NULL : fail_alloc_count(__real_malloc(size));
}

void *__wrap_calloc(size_t count, size_t size)
{
    bool refuse = fail_alloc_wrapped && fail_alloc_refuses(fail_alloc_wrapped);
    return refuse ? NULL : fail_alloc_count(__real_calloc(count, size));
}

void *__wrap_realloc(void *block, size_t size)
{
    if (fail_alloc_wrapped && fail_alloc_refuses(fail_alloc_wrapped)) {
        return NULL;
    }
    void *fresh = __real_realloc(block, size);
    return block ? fresh : fail_alloc_count(fresh);
}

char *__wrap_strdup(const char *text)
{
    size_t size = strlen(text) + 1;
    char *copy = __wrap_malloc(size);
    return copy ? memcpy(copy, text, size) : NULL;
}

void __wrap_free(void *block)
{
    if (fail_alloc_wrapped && block) {
        fail_alloc_wrapped->live_blocks--;
    }
    __real_free(block);
}

#endif

#endif
