/*
 * What the library does in memory: books read and checked, findings judged.
 * Usage: memory BOOK LINE...  (LINE: a finding line)
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "stave.h"

#define TEXT_ROOM ((size_t)8 << 20)
#define SECOND 1000000000

static int64_t now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (int64_t)time.tv_sec * SECOND + time.tv_nsec;
}

static _Noreturn void stop(const char *what, const struct stave_problem *problem)
{
    fprintf(stderr, "memory: %s: %s\n", what, problem ? problem->message : "");
    exit(1);
}

static struct stave_text read_text(const char *path)
{
    char *bytes = malloc(TEXT_ROOM);
    FILE *file = fopen(path, "rb");
    if (!bytes || !file) {
        stop(path, NULL);
    }
    struct stave_text text = {path, bytes, fread(bytes, 1, TEXT_ROOM, file)};
    fclose(file);
    return text;
}

/* What the book uses, from its own folder; read once and kept. */
static bool find_text(void *user, const char *from, const char *name, struct stave_text *found,
                      const char **why)
{
    static struct stave_text kept[8];
    static size_t count;
    (void)from;
    (void)why;
    for (size_t i = 0; i < count; i++) {
        if (strcmp(kept[i].name, name) == 0) {
            *found = kept[i];
            return true;
        }
    }
    const char *book = user, *slash = strrchr(book, '/');
    char path[512];
    snprintf(path, sizeof path, "%.*s%s", slash ? (int)(slash - book) + 1 : 0, book, name);
    *found = read_text(path);
    char *copy = malloc(strlen(name) + 1);
    if (count == 8 || !copy) {
        stop(name, NULL);
    }
    found->name = strcpy(copy, name);
    kept[count++] = *found;
    return true;
}

static stave_book *read_book(const struct stave_host *host, const struct stave_text *text)
{
    stave_book *book = NULL;
    if (stave_book_read(host, text, &book) != STAVE_OK) {
        size_t count = 0;
        const struct stave_problem *problems = book ? stave_book_problems(book, &count) : NULL;
        stop(text->name, count ? problems : NULL);
    }
    return book;
}

static void bench_reading(const struct stave_host *host, const struct stave_text *text)
{
    long books = 0;
    size_t lines = 0, size = 0;
    stave_book *book = read_book(host, text);
    for (size_t i = 0; i < text->size; i++) {
        lines += text->bytes[i] == '\n';
    }
    size = text->size;
    stave_book_free(book);
    int64_t start = now(), time;
    do {
        stave_book_free(read_book(host, text));
        books++;
        time = now() - start;
    } while (time < SECOND);
    printf("a book read and checked         %ld us (%zu lines, %zu bytes; %ld lines a second)\n",
           (long)(time / 1000 / books), lines, size,
           (long)((int64_t)lines * books * 1000 / (time / 1000000)));
}

static void bench_line(const struct stave_host *host, const stave_book *book, const char *line)
{
    struct stave_text text = {"line", line, strlen(line)};
    stave_record *record = NULL;
    if (stave_record_read_line(host, book, &text, &record) != STAVE_OK) {
        size_t count = 0;
        const struct stave_problem *problems =
            record ? stave_record_problems(record, &count) : NULL;
        stop(line, count ? problems : NULL);
    }
    long judged = 0;
    int64_t start = now(), time;
    do {
        stave_verdict *verdict = NULL;
        if (stave_assess(host, record, &verdict) != STAVE_OK) {
            stop(line, NULL);
        }
        stave_verdict_free(verdict);
        judged++;
        time = now() - start;
    } while (time < SECOND);
    printf("a finding judged, with reasons  %ld us (%s)\n", (long)(time / 1000 / judged), line);
    stave_record_free(record);
}

int main(int argc, char **argv)
{
    if (argc < 2) {
        fprintf(stderr, "usage: memory BOOK LINE...\n");
        return 2;
    }
    struct stave_text text = read_text(argv[1]);
    struct stave_host host = {.find_text = find_text, .user = argv[1]};
    bench_reading(&host, &text);
    stave_book *book = read_book(&host, &text);
    for (int i = 2; i < argc; i++) {
        bench_line(&host, book, argv[i]);
    }
    stave_book_free(book);
    free((char *)text.bytes);
    return 0;
}
