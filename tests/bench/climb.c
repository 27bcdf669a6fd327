/*
 * Judging alone, in memory, as `stave sweep` does it: rows that are split, their names found, their figures
 * read and their places looked up; what is timed is from there to the line that governs and the
 * comparison that tells. The same as `peer --judge` times. Usage: climb BOOK ROWS.csv
 */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "base/arena.h"
#include "book/book.h"
#include "sweep/fast.h"

#define ROUNDS 9
#define MOST_ROWS 16384

static int64_t now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (int64_t)time.tv_sec * 1000000000 + time.tv_nsec;
}

static _Noreturn void stop(const char *what)
{
    fprintf(stderr, "climb: %s\n", what);
    exit(1);
}

static struct stave_text read_text(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (!file || fseek(file, 0, SEEK_END)) {
        stop(path);
    }
    size_t size = (size_t)ftell(file);
    char *bytes = malloc(size + 1);
    rewind(file);
    if (!bytes || fread(bytes, 1, size, file) != size) {
        stop(path);
    }
    fclose(file);
    return (struct stave_text){path, bytes, size};
}

/* Takes the easy rows; their stops are copied, as a stretch has them only for itself. */
static uint32_t take_rows(const struct fast *fast, const char *from, const char *end,
                          struct fast_row *rows)
{
    struct stretch *stretch = calloc(1, sizeof *stretch);
    uint32_t count = 0;
    if (!stretch) {
        stop("out of memory");
    }
    stretch_begin(stretch);
    for (const char *at = from; at < end && count < MOST_ROWS;) {
        struct fast_row *row = &rows[count];
        enum stretch_row found;
        stretch_look(stretch, from, at, end);
        while (count < MOST_ROWS && (found = stretch_row(stretch, fast->column_count, &row->cells,
                                                         row->stops)) == STRETCH_EASY) {
            memmove(row->stops, row->cells.stops, (fast->column_count + 1) * sizeof *row->stops);
            row->cells.stops = row->stops;
            fast_take(fast, row, 1);
            count += row->judged;
            row = &rows[count];
        }
        const char *next = stretch_at(stretch);
        const char *line_end = memchr(next, '\n', (size_t)(end - next));
        at = next > at ? next : line_end ? line_end + 1 : end;
    }
    free(stretch);
    return count;
}

int main(int argc, char **argv)
{
    struct arena arena;
    struct escape escape;
    struct problems problems;
    size_t heading;
    if (argc != 3) {
        stop("usage: climb BOOK ROWS.csv");
    }
    const struct stave_text book_text = read_text(argv[1]), rows_text = read_text(argv[2]);
    struct fast_row *rows = calloc(MOST_ROWS, sizeof *rows);
    arena_begin(&arena, NULL, &escape);
    if (!rows || setjmp(escape.to)) {
        stop("out of memory");
    }
    struct book *book = book_check(&arena, &book_text, NULL, NULL);
    if (book->problems.error_count) {
        stop("the book has faults");
    }
    const struct ready_book ready = {.book = book, .plan = plan_compile(book)};
    problems_begin(&problems, &arena);
    const struct stave_text start = {rows_text.name, rows_text.bytes,
                                     rows_text.size < 65536 ? rows_text.size : 65536};
    const struct stave_sweep_options options = {0};
    const struct sweep *sweep =
        sweep_make(&arena, &ready, NULL, &options, &start, &problems, &heading);
    const struct fast *fast = sweep ? sweep->fast[0] : NULL;
    if (!fast) {
        stop("no table");
    }
    uint32_t count =
        take_rows(fast, rows_text.bytes + heading, rows_text.bytes + rows_text.size, rows);
    int64_t best = INT64_MAX;
    uint64_t sum = 0;
    for (int round = 0; round < ROUNDS; round++) {
        int64_t start_time = now();
        fast_climb(fast, rows, count);
        int64_t time = now() - start_time;
        best = time < best ? time : best;
        sum += rows[round].outcome;
    }
    printf("%.1f ns a finding (%u findings, best of %d; sum %llu)\n", (double)best / (double)count,
           count, ROUNDS, (unsigned long long)sum);
    arena_end(&arena);
    free(rows);
    return 0;
}
