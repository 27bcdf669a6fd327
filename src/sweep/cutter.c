/* Where blocks of whole rows, or of whole groups of rows, end. */
#include <string.h>

#include "sweep/inside.h"

#define PENDING 4096

struct cutter {
    struct arena *arena;
    const struct sweep *sweep;
    struct cell *cells;
    uint64_t *seen;                 /* hashes of the groups passed; 0: free */
    uint32_t seen_count, seen_room; /* the room is a power of two */
    bool lost; /* a row of which the group is not known stands before the next block */
};

#define FIRST_ROOM 4096u
#define MOST_ROOM (2 * SWEEP_GROUPS)

struct cutter *cutter_make(struct arena *arena, const struct sweep *sweep)
{
    struct cutter *cutter = ARENA_NEW(arena, struct cutter);
    *cutter = (struct cutter){.arena = arena, .sweep = sweep};
    cutter->cells = ARENA_ARRAY(arena, struct cell, 2 * SWEEP_COLUMNS);
    if (sweep->grouped) {
        cutter->seen_room = FIRST_ROOM;
        cutter->seen = ARENA_ARRAY(arena, uint64_t, cutter->seen_room);
    }
    return cutter;
}

void cutter_next(struct cutter *cutter, const struct sweep *sweep)
{
    cutter->sweep = sweep;
}

/* ---- groups that were passed ---------------------------------------------------------------- */

static uint64_t hash_cell(uint64_t hash, struct cell cell)
{
    for (uint32_t i = 0; i < cell.size; i++) {
        hash = (hash ^ (unsigned char)cell.bytes[i]) * UINT64_C(0x100000001b3);
        hash ^= hash >> 29;
    }
    return (hash ^ cell.size) * UINT64_C(0x9e3779b97f4a7c15);
}

static uint64_t *seen_slot(const struct cutter *cutter, uint64_t key)
{
    uint64_t at = (key ^ key >> 32) & (cutter->seen_room - 1);
    while (cutter->seen[at] && cutter->seen[at] != key) {
        at = (at + 1) & (cutter->seen_room - 1);
    }
    return &cutter->seen[at];
}

/* Was it passed before? Where no more can be remembered, any may have been. */
static bool was_seen(const struct cutter *cutter, uint64_t key)
{
    return cutter->seen_count >= SWEEP_GROUPS || *seen_slot(cutter, key) == key;
}

/* Half of the room stays free. It grows in few steps, as what it leaves behind is not given back. */
static void seen_grow(struct cutter *cutter)
{
    const uint64_t *old = cutter->seen;
    uint32_t room = cutter->seen_room;
    if (2 * (cutter->seen_count + 1) <= room || room == MOST_ROOM) {
        return;
    }
    uint32_t more = room > MOST_ROOM / 8 ? MOST_ROOM : 8 * room;
    cutter->seen = ARENA_ARRAY(cutter->arena, uint64_t, more);
    cutter->seen_room = more;
    for (uint32_t i = 0; i < room; i++) {
        if (old[i]) {
            *seen_slot(cutter, old[i]) = old[i];
        }
    }
}

static void remember(struct cutter *cutter, uint64_t key)
{
    seen_grow(cutter);
    if (key && cutter->seen_count < SWEEP_GROUPS) {
        uint64_t *slot = seen_slot(cutter, key);
        cutter->seen_count += *slot != key;
        *slot = key;
    }
}

/* ---- rows, one by one -------------------------------------------------------------------------- */

/* A walk over the rows of what there is. */
struct walk_rows {
    struct csv csv; /* of JSON Lines only `at` and `end` are used */
    struct csv_row found;
    bool last;
    uint64_t key; /* of the group; 0: not known */
};

static uint64_t key_of(const struct sweep *sweep, const struct cell *cells)
{
    if (sweep->propeller < 0 || sweep->inspection < 0) {
        return 0;
    }
    struct cell propeller = cell_trim(cells[sweep->propeller]);
    struct cell inspection = cell_trim(cells[sweep->inspection]);
    if (!propeller.size || !inspection.size) {
        return 0;
    }
    uint64_t key = hash_cell(hash_cell(UINT64_C(0xcbf29ce484222325), propeller), inspection);
    return key ? key : 1;
}

static uint64_t json_key(struct cutter *cutter, const char *bytes, size_t size)
{
    const struct sweep *sweep = cutter->sweep;
    struct arena_mark mark = arena_mark(cutter->arena);
    uint32_t count;
    const char *fault;
    const struct member *members =
        size > SWEEP_ROW_LIMIT ? NULL : object_read(cutter->arena, bytes, size, &count, &fault);
    uint64_t key = 0;
    for (uint32_t i = 0; i < sweep->column_count; i++) {
        cutter->cells[i] = (struct cell){"", 0};
    }
    for (uint32_t m = 0; members && m < count; m++) {
        for (uint32_t c = 0; c < sweep->column_count; c++) {
            if (strlen(sweep->columns[c].title) == members[m].key.size &&
                memcmp(sweep->columns[c].title, members[m].key.bytes, members[m].key.size) == 0) {
                cutter->cells[c] = members[m].value;
            }
        }
    }
    key = members ? key_of(sweep, cutter->cells) : 0;
    arena_release(cutter->arena, mark);
    return key;
}

/* The next row. False: it is not all there. */
static bool next_row(struct cutter *cutter, struct walk_rows *walk)
{
    struct csv *csv = &walk->csv;
    if (!cutter->sweep->json_in) {
        bool there = csv_next(csv, &walk->found, walk->last);
        walk->key = 0;
        if (there && !walk->found.fault && !walk->found.blank && cutter->sweep->grouped) {
            walk->key = key_of(cutter->sweep, walk->found.cells);
        }
        return there;
    }
    const char *line_end = memchr(csv->at, '\n', (size_t)(csv->end - csv->at));
    if (!line_end && !walk->last) {
        return false;
    }
    const char *stop = line_end ? line_end : csv->end;
    walk->found.blank = stop == csv->at;
    walk->key = json_key(cutter, csv->at, (size_t)(stop - csv->at));
    csv->at = line_end ? line_end + 1 : csv->end;
    return true;
}

static void walk_begin(const struct cutter *cutter, struct walk_rows *walk, const char *bytes,
                       size_t size, bool last)
{
    *walk = (struct walk_rows){
        .found = {.cells = cutter->cells, .most = cutter->sweep->column_count, .exact = true},
        .last = last,
    };
    csv_begin(&walk->csv, bytes, size);
}

/* ---- without groups ------------------------------------------------------------------------------ */

/* Is a quoted cell closed on its line, whatever stands behind? Gives where it is closed. */
static const char *closed_on_line(const char *open, const char *end, const char **line_end)
{
    if (!*line_end || *line_end < open) {
        *line_end = memchr(open, '\n', (size_t)(end - open));
    }
    const char *stop = *line_end ? *line_end : end, *at = open + 1;
    while (at < stop && (at = memchr(at, '"', (size_t)(stop - at))) != NULL) {
        if (at + 1 == stop || at[1] != '"') {
            return at;
        }
        at += 2;
    }
    return NULL;
}

/*
 * The end of the last whole row. A row that has no quote, or whose quotes are all closed on its line, is
 * that line, good or bad; only where a quoted cell goes on in the next line are rows read one by one.
 */
static size_t last_row_end(struct cutter *cutter, const char *bytes, size_t size,
                           const char *last_line_end)
{
    const char *at = bytes, *end = bytes + size, *line_end = NULL;
    const char *quote;
    while (at < end && (quote = memchr(at, '"', (size_t)(end - at))) != NULL) {
        bool opens = quote == bytes || quote[-1] == ',' || quote[-1] == '\n';
        const char *close = opens ? closed_on_line(quote, end, &line_end) : quote;
        if (close) {
            at = close + 1;
            continue;
        }
        const char *row = quote;
        while (row > bytes && row[-1] != '\n') {
            row--;
        }
        struct walk_rows walk;
        walk_begin(cutter, &walk, row, (size_t)(end - row), false);
        if (!next_row(cutter, &walk)) {
            return (size_t)(row - bytes);
        }
        at = walk.csv.at;
        line_end = NULL;
    }
    return last_line_end ? (size_t)(last_line_end + 1 - bytes) : 0;
}

static void cut_rows(struct cutter *cutter, const char *bytes, size_t size, bool last,
                     struct stave_cut *cut)
{
    struct survey survey = csv_survey(bytes, size);
    cut->size = size;
    cut->lines = survey.lines;
    if (last) {
        return;
    }
    cut->size = survey.last_line_end ? (size_t)(survey.last_line_end + 1 - bytes) : 0;
    if (survey.quotes && !cutter->sweep->json_in) {
        cut->size = last_row_end(cutter, bytes, size, survey.last_line_end);
        cut->lines -= csv_survey(bytes + cut->size, size - cut->size).lines;
    }
}

/* ---- with groups ------------------------------------------------------------------------------------ */

struct grouping {
    struct cutter *cutter;
    uint64_t pending[PENDING]; /* keys of groups that ended since the last place to cut */
    uint32_t pending_count;
    uint64_t key;   /* of the group at hand; 0: none yet */
    uint32_t rows;  /* of it */
    bool key_known; /* of the row before */
    size_t place;   /* to cut */
    bool unsure;    /* the row before it may be of the group behind it */
};

static void place_to_cut(struct grouping *grouping, size_t place)
{
    for (uint32_t i = 0; i < grouping->pending_count; i++) {
        remember(grouping->cutter, grouping->pending[i]);
    }
    grouping->pending_count = 0;
    grouping->place = place;
    grouping->unsure = !grouping->key_known;
}

/* A row of another group begins at `at`. True: the block ends before it. */
static bool next_group(struct grouping *grouping, const struct walk_rows *walk, size_t at,
                       const struct stave_cut *cut)
{
    grouping->pending[grouping->pending_count++] = grouping->key;
    /* A row of which the group is not known may be of the one before or behind: all stay in one block. */
    if (grouping->key_known || grouping->pending_count == PENDING) {
        place_to_cut(grouping, at);
        if (cut->again || was_seen(grouping->cutter, walk->key)) {
            return true;
        }
    }
    grouping->rows = 0;
    grouping->key = walk->key;
    return false;
}

static void cut_groups(struct cutter *cutter, const char *bytes, size_t size, bool last,
                       struct stave_cut *cut)
{
    struct grouping grouping = {.cutter = cutter};
    struct walk_rows walk;
    bool ended = false;
    size_t row = 0;
    walk_begin(cutter, &walk, bytes, size, last);
    while (row < size && !ended) {
        if (!next_row(cutter, &walk)) {
            break;
        }
        if (walk.key && !grouping.key) {
            grouping.key = walk.key;
            cut->again = was_seen(cutter, walk.key);
        } else if (walk.key && walk.key != grouping.key) {
            ended = next_group(&grouping, &walk, row, cut);
        }
        if (!ended && ++grouping.rows > SWEEP_GROUP_ROWS && !grouping.place) {
            cut->too_large = ended = true;
            grouping.pending[grouping.pending_count++] = grouping.key;
            place_to_cut(&grouping, row);
        }
        grouping.key_known = walk.found.blank ? grouping.key_known : walk.key != 0;
        row = ended ? row : (size_t)(walk.csv.at - bytes);
    }
    if (last && row >= size && !ended) {
        if (grouping.key) { /* it may come back in another input */
            grouping.pending[grouping.pending_count++] = grouping.key;
        }
        place_to_cut(&grouping, size);
    } else if (!grouping.place && row > 0 && size >= STAVE_BLOCK_LEAST) {
        cut->too_large = true;
        grouping.pending[grouping.pending_count++] = grouping.key;
        place_to_cut(&grouping, row);
    }
    cut->size = grouping.place;
    cut->lines = csv_survey(bytes, cut->size).lines;
    if (cut->size) { /* a row that was left behind may have been of any in the block before */
        cut->too_large |= cutter->lost;
        cutter->lost = grouping.unsure;
    }
}

void cutter_cut(struct cutter *cutter, const char *bytes, size_t size, bool last,
                struct stave_cut *cut)
{
    *cut = (struct stave_cut){0};
    if (cutter->sweep->grouped) {
        cut_groups(cutter, bytes, size, last, cut);
    } else {
        cut_rows(cutter, bytes, size, last, cut);
    }
    if (!cut->size && !last && size >= STAVE_BLOCK_LEAST) {
        /* No row ends in so much: the row is answered, and the host passes what is left of it. */
        cut->size = SWEEP_ROW_LIMIT + 1;
        cut->lines = 1;
        cut->pass_line = cutter->lost = true;
    }
}
