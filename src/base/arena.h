/*
 * Memory of one handle: taken in blocks from the host, given back all at once.
 *
 * Nothing in the library checks for NULL: when the host has no more memory,
 * the arena jumps to the escape that the public call set up, which frees the
 * arenas of that call and returns STAVE_NO_MEMORY. The rule that makes this
 * safe: between an escape's setjmp and its end, hold nothing but arena memory
 * (libyaml's parser, the one exception, is known to its escape).
 *
 * An arena and all that is in it belong to one thread.
 */
#ifndef STAVE_BASE_ARENA_H
#define STAVE_BASE_ARENA_H

#include <setjmp.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "stave.h"

/* Where to go when a call cannot go on. */
struct escape {
    jmp_buf to;
    volatile enum stave_status status; /* STAVE_NO_MEMORY or STAVE_TOO_BIG */
};

/*
 * Under AddressSanitizer what is not taken is poisoned, and a poisoned gap
 * stands after each object, so that a use past an object's end or after
 * arena_release is caught as it would be with malloc.
 */
#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define ARENA_POISONS 1
#endif
#endif
#if defined(__SANITIZE_ADDRESS__)
#define ARENA_POISONS 1
#endif

struct arena_block;

struct arena {
    struct stave_allocator allocator; /* never with a NULL function */
    struct escape *escape;
    struct arena_block *blocks;
    unsigned char *next, *end;
    struct arena *beside;      /* the newest made by arena_beside that has not ended */
    struct arena *parent, *next_beside; /* of one that was made so */
};

/* A place in an arena to go back to; what was taken since is then reusable. */
struct arena_mark {
    struct arena_block *block;
    unsigned char *next;
};

/* Makes an empty arena; takes no memory yet. A NULL allocator means malloc. */
void arena_begin(struct arena *arena, const struct stave_allocator *allocator,
                 struct escape *escape);
/* An empty arena for what can be given up sooner, with the same allocator and escape. It ends with
 * its parent at the latest; end it before the parent goes back to a mark from before it was made. */
struct arena *arena_beside(struct arena *arena);
/* Frees all, arenas beside it too. The arena may be begun anew. */
void arena_end(struct arena *arena);

/* `size` bytes set to zero, aligned for any object. Never NULL; size 0 gives a valid pointer. */
void *arena_take(struct arena *arena, size_t size);
/* The same for count objects; a product that overflows escapes with STAVE_NO_MEMORY. */
void *arena_take_array(struct arena *arena, size_t count, size_t size);
/* An array made larger: where it stands, if it is the newest object and there is room; else as a
 * copy (the old one stays until arena_end). */
void *arena_grow_array(struct arena *arena, void *old, size_t old_count, size_t new_count,
                       size_t size);
/* Makes the newest object of `old_size` bytes larger or smaller where it stands, what is added set to
 * zero. False, and nothing is done, when it is not the newest or there is no room. */
bool arena_resize(struct arena *arena, void *object, size_t old_size, size_t new_size);
/* A zero-terminated copy of `size` bytes. */
char *arena_copy_text(struct arena *arena, const char *bytes, size_t size);

/* Makes sure that objects of `size` bytes in all, with what lies between them, need no further block. */
void arena_reserve(struct arena *arena, size_t size);

struct arena_mark arena_mark(const struct arena *arena);
/* Goes back to a mark: everything taken since is given up (blocks are kept for reuse or freed). */
void arena_release(struct arena *arena, struct arena_mark mark);

/* Leaves the public call with a status. */
_Noreturn void arena_escape(struct arena *arena, enum stave_status status);

#define ARENA_ALIGNMENT _Alignof(max_align_t)
/* What a size takes, so that what follows is aligned. */
#define ARENA_ROUND(size) (((size) + ARENA_ALIGNMENT - 1) / ARENA_ALIGNMENT * ARENA_ALIGNMENT)

enum { ARENA_PIECE = 64 };

/* arena_take for a size that the compiler knows: where it is small and the block has room, it takes no
 * call. Zeros are written by pieces for which the compiler has plain stores: the instruction that it takes
 * for more needs as long to begin as all of them. */
static inline void *arena_take_known(struct arena *arena, size_t size)
{
#ifndef ARENA_POISONS
    size_t room = ARENA_ROUND(size);
    unsigned char *taken = arena->next;
    if (room != 0 && room <= 3 * ARENA_PIECE && (size_t)(arena->end - taken) >= room) {
        arena->next = taken + room;
        memset(taken, 0, room < ARENA_PIECE ? room : ARENA_PIECE);
        if (room > ARENA_PIECE) {
            size_t more = room - ARENA_PIECE;
            memset(taken + ARENA_PIECE, 0, more < ARENA_PIECE ? more : ARENA_PIECE);
        }
        if (room > 2 * ARENA_PIECE) {
            memset(taken + 2 * ARENA_PIECE, 0, room - 2 * ARENA_PIECE);
        }
        return taken;
    }
#endif
    return arena_take(arena, size);
}

#define ARENA_NEW(arena, type) ((type *)arena_take_known((arena), sizeof(type)))
#define ARENA_ARRAY(arena, type, count) \
    ((type *)arena_take_array((arena), (count), sizeof(type)))

/*
 * Appends to a growing array kept as pointer + count + capacity. `items`, `count`
 * and `capacity` are lvalues (capacity a size_t).
 */
#define ARENA_PUSH(arena, items, count, capacity)                                           \
    ((count) == (capacity)                                                                  \
         ? (void)((items) = arena_grow_array((arena), (items), (count),                     \
                                             (capacity) ? 2 * (size_t)(capacity) : 2,       \
                                             sizeof *(items)),                              \
                  (capacity) = (capacity) ? 2 * (size_t)(capacity) : 2)                     \
         : (void)0,                                                                         \
     &(items)[(count)++])

#endif
