/*
 * How long a person waits: `stave assess` from exec to exit against a process that does nothing,
 * taken in turns so that both see the same machine. Usage: cold PROGRAM BOOK RECORD
 */
#include <fcntl.h>
#include <spawn.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define ROUNDS 200

extern char **environ;

static int64_t now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (int64_t)time.tv_sec * 1000000000 + time.tv_nsec;
}

/* Nanoseconds from the start of a program to its end, its output thrown away. */
static int64_t run(char *const *command)
{
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    pid_t child;
    int status;
    int64_t start = now();
    if (posix_spawn(&child, command[0], &actions, NULL, command, environ) != 0 ||
        waitpid(child, &status, 0) != child || !WIFEXITED(status) || WEXITSTATUS(status) > 2) {
        fprintf(stderr, "cold: %s did not run\n", command[0]);
        exit(1);
    }
    int64_t time = now() - start;
    posix_spawn_file_actions_destroy(&actions);
    return time;
}

static int compare(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

/* In whole microseconds. */
static long median(int64_t *times)
{
    qsort(times, ROUNDS, sizeof *times, compare);
    return (long)(times[ROUNDS / 2] / 1000);
}

int main(int argc, char **argv)
{
    if (argc == 2 && strcmp(argv[1], "nothing") == 0) {
        return 0;
    }
    if (argc != 4) {
        fprintf(stderr, "usage: cold PROGRAM BOOK RECORD\n");
        return 2;
    }
    char *const assess[] = {argv[1], "assess", argv[2], argv[3], NULL};
    char *const nothing[] = {"/proc/self/exe", "nothing", NULL};
    static int64_t assess_times[ROUNDS], nothing_times[ROUNDS];
    for (int i = 0; i < ROUNDS; i++) {
        assess_times[i] = run(assess);
        nothing_times[i] = run(nothing);
    }
    long with = median(assess_times), without = median(nothing_times);
    printf("assess, cold, exec to exit      %ld us (median of %d)\n", with, ROUNDS);
    printf("a process that does nothing     %ld us\n", without);
    printf("ratio                           %ld.%02ld\n", with / without,
           with * 100 / without % 100);
    return 0;
}
