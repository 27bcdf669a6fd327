#include "base/arena.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#ifdef ARENA_POISONS
#include <sanitizer/asan_interface.h>
#define GAP ((size_t)16)
#define POISON(from, size) ASAN_POISON_MEMORY_REGION((from), (size))
#define UNPOISON(from, size) ASAN_UNPOISON_MEMORY_REGION((from), (size))
#else
#define GAP ((size_t)0)
#define POISON(from, size) ((void)(from), (void)(size))
#define UNPOISON(from, size) ((void)(from), (void)(size))
#endif

/* Blocks double from the least to the most; a larger object gets a block to measure. */
#define LEAST_BLOCK ((size_t)4096)
#define MOST_BLOCK ((size_t)1 << 18)

/* So large that rounding up, the gap and the block's head cannot overflow. */
#define LARGEST_OBJECT (SIZE_MAX / 4)

struct arena_block {
    struct arena_block *older;
    struct arena_block *spare; /* an unused block kept by arena_release, or NULL */
    size_t size;               /* of all, this head included */
};

#define HEAD ARENA_ROUND(sizeof(struct arena_block))

static void *resize_by_malloc(void *user, void *block, size_t old_size, size_t new_size)
{
    (void)user;
    (void)old_size;
    if (new_size == 0) {
        free(block);
        return NULL;
    }
    return realloc(block, new_size);
}

static unsigned char *block_start(struct arena_block *block)
{
    return (unsigned char *)block + HEAD;
}

static unsigned char *block_end(struct arena_block *block)
{
    return (unsigned char *)block + block->size;
}

static void block_free(struct arena *arena, struct arena_block *block)
{
    UNPOISON(block, block->size);
    arena->allocator.resize(arena->allocator.user, block, block->size, 0);
}

/* Makes `block` the one that objects are taken from, from `next` on. */
static void block_use(struct arena *arena, struct arena_block *block, unsigned char *next)
{
    arena->blocks = block;
    arena->next = next;
    arena->end = block_end(block);
    POISON(next, (size_t)(arena->end - next));
}

static size_t next_block_size(const struct arena *arena)
{
    if (arena->blocks == NULL) {
        return LEAST_BLOCK;
    }
    return arena->blocks->size < MOST_BLOCK / 2 ? arena->blocks->size * 2 : MOST_BLOCK;
}

/* Goes on to a block with room for `room` bytes: the spare one, or one from the host. */
static void add_block(struct arena *arena, size_t room)
{
    struct arena_block *newest = arena->blocks;
    if (newest != NULL && newest->spare != NULL) {
        struct arena_block *spare = newest->spare;
        newest->spare = NULL;
        if (spare->size - HEAD >= room) {
            block_use(arena, spare, block_start(spare));
            return;
        }
        block_free(arena, spare);
    }
    size_t size = next_block_size(arena);
    if (size < HEAD + room) {
        size = HEAD + room;
    }
    struct arena_block *block = arena->allocator.resize(arena->allocator.user, NULL, 0, size);
    if (block == NULL) {
        arena_escape(arena, STAVE_NO_MEMORY);
    }
    *block = (struct arena_block){.older = newest, .size = size};
    block_use(arena, block, block_start(block));
}

void arena_begin(struct arena *arena, const struct stave_allocator *allocator,
                 struct escape *escape)
{
    *arena = (struct arena){.escape = escape};
    if (allocator != NULL && allocator->resize != NULL) {
        arena->allocator = *allocator;
    } else {
        arena->allocator.resize = resize_by_malloc;
    }
}

struct arena *arena_beside(struct arena *arena)
{
    struct arena *made = ARENA_NEW(arena, struct arena);
    *made = (struct arena){
        .allocator = arena->allocator,
        .escape = arena->escape,
        .parent = arena,
        .next_beside = arena->beside,
    };
    arena->beside = made;
    return made;
}

void arena_end(struct arena *arena)
{
    while (arena->beside) {
        arena_end(arena->beside);
    }
    if (arena->parent) {
        struct arena **link = &arena->parent->beside;
        while (*link != arena) {
            link = &(*link)->next_beside;
        }
        *link = arena->next_beside;
        arena->parent = NULL;
    }
    struct arena_block *block = arena->blocks;
    if (block != NULL && block->spare != NULL) {
        block_free(arena, block->spare);
    }
    while (block != NULL) {
        struct arena_block *older = block->older;
        block_free(arena, block);
        block = older;
    }
    arena->blocks = NULL;
    arena->next = arena->end = NULL;
}

/* What an object takes, with the gap after it. */
static size_t room_of(size_t size)
{
    return ARENA_ROUND(size + (size == 0)) + GAP;
}

void arena_reserve(struct arena *arena, size_t size)
{
    if (size > LARGEST_OBJECT) {
        arena_escape(arena, STAVE_NO_MEMORY);
    }
    if ((size_t)(arena->end - arena->next) < size) {
        add_block(arena, size);
    }
}

/* An object whose bytes may be anything. */
static void *take_unset(struct arena *arena, size_t size)
{
    if (size > LARGEST_OBJECT) {
        arena_escape(arena, STAVE_NO_MEMORY);
    }
    size_t room = room_of(size);
    if ((size_t)(arena->end - arena->next) < room) {
        add_block(arena, room);
    }
    unsigned char *taken = arena->next;
    arena->next += room;
    UNPOISON(taken, size);
    return taken;
}

void *arena_take(struct arena *arena, size_t size)
{
    unsigned char *taken = take_unset(arena, size);
#ifndef ARENA_POISONS
    size_t room = ARENA_ROUND(size);
    if (room <= 8 * ARENA_ALIGNMENT) { /* most objects: a call takes longer than their few words */
        for (size_t at = 0; at < room; at += ARENA_ALIGNMENT) {
            memset(taken + at, 0, ARENA_ALIGNMENT);
        }
        return taken;
    }
#endif
    memset(taken, 0, size);
    return taken;
}

static size_t size_of_array(struct arena *arena, size_t count, size_t size)
{
    size_t bytes;
    if (__builtin_mul_overflow(count, size, &bytes) || bytes > LARGEST_OBJECT) {
        arena_escape(arena, STAVE_NO_MEMORY);
    }
    return bytes;
}

void *arena_take_array(struct arena *arena, size_t count, size_t size)
{
    return arena_take(arena, size_of_array(arena, count, size));
}

void *arena_grow_array(struct arena *arena, void *old, size_t old_count, size_t new_count,
                       size_t size)
{
    size_t bytes = size_of_array(arena, new_count, size);
    if (old_count != 0 && arena_resize(arena, old, old_count * size, bytes)) {
        return old;
    }
    size_t kept = (old_count < new_count ? old_count : new_count) * size;
    unsigned char *grown = take_unset(arena, bytes);
    if (kept != 0) {
        memcpy(grown, old, kept);
    }
    memset(grown + kept, 0, bytes - kept);
    return grown;
}

bool arena_resize(struct arena *arena, void *object, size_t old_size, size_t new_size)
{
    unsigned char *start = object;
    if (new_size > LARGEST_OBJECT || start + room_of(old_size) != arena->next ||
        room_of(new_size) > (size_t)(arena->end - start)) {
        return false;
    }
    arena->next = start + room_of(new_size);
    POISON(start, (size_t)(arena->end - start));
    UNPOISON(start, new_size);
    if (new_size > old_size) {
        memset(start + old_size, 0, new_size - old_size);
    }
    return true;
}

char *arena_copy_text(struct arena *arena, const char *bytes, size_t size)
{
    if (size > LARGEST_OBJECT - 1) {
        arena_escape(arena, STAVE_NO_MEMORY);
    }
    char *copy = take_unset(arena, size + 1);
    if (size != 0) {
        memcpy(copy, bytes, size);
    }
    copy[size] = '\0';
    return copy;
}

struct arena_mark arena_mark(const struct arena *arena)
{
    return (struct arena_mark){.block = arena->blocks, .next = arena->next};
}

/*
 * Of the blocks newer than the mark's the oldest is kept as its spare, so that
 * a loop of mark, take and release at a block's end does not ask the host each
 * time round; the others go back to the host. A mark of an empty arena keeps
 * the first block, emptied. Only the newest block ever has a spare.
 */
void arena_release(struct arena *arena, struct arena_mark mark)
{
    struct arena_block *block = arena->blocks;
    if (block == mark.block) {
        if (block != NULL) {
            block_use(arena, block, mark.next);
        }
        return;
    }
    if (block->spare != NULL) {
        block_free(arena, block->spare);
        block->spare = NULL;
    }
    while (block->older != mark.block) {
        struct arena_block *older = block->older;
        block_free(arena, block);
        block = older;
    }
    if (mark.block == NULL) {
        block_use(arena, block, block_start(block));
        return;
    }
    POISON(block_start(block), block->size - HEAD);
    mark.block->spare = block;
    block_use(arena, mark.block, mark.next);
}

_Noreturn void arena_escape(struct arena *arena, enum stave_status status)
{
    arena->escape->status = status;
    longjmp(arena->escape->to, 1);
}
