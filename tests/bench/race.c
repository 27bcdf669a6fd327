/*
 * Runs several commands in turns, so that all of them see the same machine, and prints for each the best
 * time, what that is against the first, and the most memory that it had. What they write is thrown
 * away.
 *
 * Usage: race ROUNDS < LIST    one command a line, parted by tabs: label, rows, program, arguments.
 *                              Rows: what one run judges; 0 where only the time of a run is asked.
 */
#define _DEFAULT_SOURCE
#include <fcntl.h>
#include <spawn.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define MOST_RUNNERS 16
#define MOST_ARGUMENTS 16

extern char **environ;

struct runner {
    char *label;
    double rows;
    char *command[MOST_ARGUMENTS + 1];
    int64_t best;  /* nanoseconds */
    int64_t times; /* of all rounds, added up */
    long memory;   /* KiB */
};

static int64_t now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (int64_t)time.tv_sec * 1000000000 + time.tv_nsec;
}

static void run(struct runner *runner, const posix_spawn_file_actions_t *actions)
{
    pid_t child;
    int status;
    struct rusage used;
    int64_t start = now();
    if (posix_spawnp(&child, runner->command[0], actions, NULL, runner->command, environ) != 0 ||
        wait4(child, &status, 0, &used) != child || !WIFEXITED(status) || WEXITSTATUS(status) > 2) {
        fprintf(stderr, "race: %s did not run\n", runner->label);
        exit(1);
    }
    int64_t time = now() - start;
    runner->times += time;
    runner->best = !runner->best || time < runner->best ? time : runner->best;
    runner->memory = used.ru_maxrss > runner->memory ? used.ru_maxrss : runner->memory;
}

static int read_list(struct runner *runners)
{
    static char line[4096];
    int count = 0;
    while (count < MOST_RUNNERS && fgets(line, sizeof line, stdin)) {
        char *rest = strdup(line);
        rest[strcspn(rest, "\n")] = '\0';
        runners[count].label = strsep(&rest, "\t");
        char *rows = strsep(&rest, "\t");
        for (int i = 0; rest && i < MOST_ARGUMENTS; i++) {
            runners[count].command[i] = strsep(&rest, "\t");
        }
        if (!runners[count].command[0]) {
            fprintf(stderr, "race: no command in '%s'\n", line);
            exit(2);
        }
        runners[count++].rows = strtod(rows, NULL);
    }
    return count;
}

/* Of runs of different sizes the times of one row are compared. */
static double share(const struct runner *runner, int64_t time)
{
    return (double)time / (runner->rows > 0 ? runner->rows : 1);
}

static void show(const struct runner *runner, const struct runner *first, int rounds)
{
    printf("%-32s ", runner->label);
    if (runner->rows > 0) {
        printf("%9.0f rows %8.3f s %11.0f rows/s", runner->rows, (double)runner->best / 1e9,
               runner->rows / ((double)runner->best / 1e9));
    } else {
        printf("%8.0f us (mean %.0f)", (double)runner->best / 1e3,
               (double)runner->times / rounds / 1e3);
    }
    printf("  %7.2f times  %6.1f MiB\n", share(runner, runner->best) / share(first, first->best),
           (double)runner->memory / 1024);
}

int main(int argc, char **argv)
{
    static struct runner runners[MOST_RUNNERS];
    if (argc != 2) {
        fprintf(stderr, "usage: race ROUNDS < LIST\n");
        return 2;
    }
    int rounds = atoi(argv[1]), count = read_list(runners);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    for (int round = 0; round < rounds; round++) {
        for (int i = 0; i < count; i++) {
            run(&runners[i], &actions);
        }
    }
    posix_spawn_file_actions_destroy(&actions);
    for (int i = 0; i < count; i++) {
        show(&runners[i], &runners[0], rounds);
    }
    return 0;
}
