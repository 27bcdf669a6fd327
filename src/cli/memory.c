#define _DEFAULT_SOURCE /* MAP_ANONYMOUS, madvise */

#include "cli/memory.h"

#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

#define LARGE_PAGE ((size_t)2 << 20)
#define REGION (2 * LARGE_PAGE)
#define ALIGNMENT _Alignof(max_align_t)

struct region {
    unsigned char *start; /* NULL: there is none */
    _Atomic size_t taken; /* may pass REGION: then nothing more is taken */
};

static bool is_in(const struct region *region, const void *block)
{
    const unsigned char *at = block;
    return region->start != NULL && at >= region->start && at < region->start + REGION;
}

static size_t room_of(size_t size)
{
    return (size + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
}

static void *take(struct region *region, size_t size)
{
    size_t room = room_of(size);
    if (room >= size && room <= REGION && atomic_load(&region->taken) <= REGION - room) {
        size_t at = atomic_fetch_add(&region->taken, room);
        if (at <= REGION - room) {
            return region->start + at;
        }
    }
    return malloc(size);
}

static void *resize(void *user, void *block, size_t old_size, size_t new_size)
{
    struct region *region = user;
    if (block == NULL) {
        return take(region, new_size);
    }
    if (!is_in(region, block)) {
        if (new_size != 0) {
            return realloc(block, new_size);
        }
        free(block);
        return NULL;
    }
    if (new_size == 0) {
        /* The newest block can be had again. */
        size_t at = (size_t)((unsigned char *)block - region->start), end = at + room_of(old_size);
        atomic_compare_exchange_strong(&region->taken, &end, at);
        return NULL;
    }
    void *moved = take(region, new_size);
    if (moved != NULL) {
        memcpy(moved, block, old_size < new_size ? old_size : new_size);
    }
    return moved;
}

const struct stave_allocator *memory_begin(void)
{
    static struct region region = {.taken = REGION};
    static const struct stave_allocator allocator = {resize, &region};
    /* One large page more, so that the region can begin where a large page does. */
    unsigned char *mapped = mmap(NULL, REGION + LARGE_PAGE, PROT_READ | PROT_WRITE,
                                 MAP_PRIVATE | MAP_ANONYMOUS | MAP_NORESERVE, -1, 0);
    if (mapped == MAP_FAILED) {
        return &allocator;
    }
    size_t past = (size_t)mapped % LARGE_PAGE;
    region.start = past ? mapped + (LARGE_PAGE - past) : mapped;
    region.taken = 0;
#ifdef MADV_HUGEPAGE
    (void)madvise(region.start, REGION, MADV_HUGEPAGE); /* if not, in small pages */
#endif
    return &allocator;
}
