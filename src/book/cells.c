/*
 * How finely the zones and curves of one kind cut one part. What would be too fine is refused
 * here, with a place; the count is an upper bound of what the plan will make.
 */
#include "book/check.h"

#define CELLS_OF_ALL (UINT64_C(1) << 30) /* of all kinds, parts and limits: 128 MiB as bits */

#define ZONE_ROADS 1024 /* from a zone down through all that it leaves out */

struct docket_count {
    uint32_t places[BOOK_AXES]; /* breakpoints of each axis, with repeats */
    uint32_t limits;
};

/* Both ends on each axis, and those of what is left out, at every depth and by every road.
 * The roads are counted: to ask whether a place is in the zone goes down all of them. */
static void count_zone(const struct zone *zone, uint32_t *places, uint32_t *roads)
{
    uint32_t axis, i;

    ++*roads;
    for (axis = 0; axis < zone->part->axis_count; axis++)
        places[axis] += 2;
    for (i = 0; i < zone->outside_count && *roads <= ZONE_ROADS; i++)
        count_zone(zone->outside[i], places, roads);
}

static bool zone_fits(struct checker *checker, const struct limit *limit, uint32_t roads)
{
    if (roads <= ZONE_ROADS)
        return true;
    problem_help(problem_add(checker->problems, STAVE_ERROR, "too-many", limit->zone->span,
                             "zone '%s' leaves out too many zones that leave out zones",
                             limit->zone->name),
                 checker->problems, "write it with fewer of them");
    return false;
}

static void count_curve(const struct curve *curve, const struct part *part, uint32_t *places)
{
    uint32_t axis;

    /* each point, and as many again where two curves may cross */
    for (axis = 0; axis < part->axis_count; axis++)
        if (text_same(part->axes[axis].name, curve->axis) && places[axis] <= BOOK_CELLS)
            places[axis] += 2 * curve->point_count;
}

static void count_curves(struct checker *checker, const struct limit *limit, uint32_t *places)
{
    const struct condition *condition;
    struct walk walk;
    uint32_t i, j, k;

    for (i = 0; i < limit->rung_count; i++)
        for (j = 0; j < limit->rungs[i].condition_count; j++) {
            condition = &limit->rungs[i].conditions[j];
            if (condition->sort != CONDITION_COMPARE)
                continue;
            walk.measure_count = walk.curve_count = 0;
            walk_add(&walk, condition->left);
            walk_add(&walk, condition->right);
            for (k = 0; k < walk.curve_count; k++) {
                /* marks go on from the ladders' numbers: each limit counts a curve once */
                uint32_t *mark = &checker->curve_marks[walk.curves[k]->index];

                if (*mark == UINT32_MAX - limit->index)
                    continue;
                *mark = UINT32_MAX - limit->index;
                count_curve(walk.curves[k], limit->zone->part, places);
            }
        }
}

static bool count_limit(struct checker *checker, const struct limit *limit,
                        struct docket_count (*counts)[BOOK_KIND_PARTS])
{
    uint32_t places[BOOK_AXES] = {0}, roads = 0, i, axis;

    count_zone(limit->zone, places, &roads);
    if (!zone_fits(checker, limit, roads))
        return false;
    count_curves(checker, limit, places);
    for (i = 0; i < limit->kind_count; i++) {
        const struct kind *kind = limit->kinds[i];
        struct docket_count *count =
            &counts[kind->index][kind_part_position(kind, limit->zone->part)];

        count->limits++;
        for (axis = 0; axis < BOOK_AXES; axis++)
            count->places[axis] += count->places[axis] <= BOOK_CELLS ? places[axis] : 0;
    }
    return true;
}

static uint64_t cells_of(const struct docket_count *count, const struct part *part)
{
    uint64_t cells = part->side_count > 0 ? part->side_count : 1;
    uint32_t axis;

    for (axis = 0; axis < part->axis_count && cells <= BOOK_CELLS; axis++)
        cells *= 2 * (uint64_t)(count->places[axis] + 2 + part->meeting_count);
    return cells;
}

void cells_check(struct checker *checker)
{
    const struct book *book = checker->book;
    struct docket_count(*counts)[BOOK_KIND_PARTS];
    uint64_t all = 0;
    uint32_t i, j;

    if (checker->problems->error_count > 0)
        return; /* what is broken cannot be counted, and is not used */
    counts = arena_take_array(checker->arena, book->kind_count, sizeof *counts);
    for (i = 0; i < book->limit_count; i++)
        if (!count_limit(checker, &book->limits[i], counts))
            return;
    for (i = 0; i < book->kind_count; i++)
        for (j = 0; j < book->kinds[i].part_count; j++) {
            const struct kind *kind = &book->kinds[i];
            uint64_t cells = cells_of(&counts[i][j], kind->parts[j]);

            all += cells * (counts[i][j].limits + 1);
            if (cells <= BOOK_CELLS && all <= CELLS_OF_ALL)
                continue;
            problem_help(problem_add(checker->problems, STAVE_ERROR, "too-many", kind->span,
                                     "zones and curves cut part '%s' too finely for '%s'",
                                     kind->parts[j]->name, kind->name),
                         checker->problems, "use fewer zones, or fewer points in its curves");
            return;
        }
}
