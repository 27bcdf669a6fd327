/*
 * How long one run of a command takes, the middle of five, and the most memory that one of them
 * held. What it writes on standard output is thrown away. Usage: once LABEL PROGRAM [ARGUMENT...]
 */
#include <fcntl.h>
#include <spawn.h>
#include <stdint.h>
#include <stdio.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#define RUNS 5

extern char **environ;

static int64_t now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (int64_t)time.tv_sec * 1000000000 + time.tv_nsec;
}

int main(int argc, char **argv)
{
    if (argc < 3) {
        fprintf(stderr, "usage: once LABEL PROGRAM [ARGUMENT...]\n");
        return 2;
    }
    char *const *command = argv + 2;
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
    int64_t times[RUNS];
    for (int i = 0; i < RUNS; i++) {
        pid_t child;
        int status;
        int64_t start = now();
        if (posix_spawn(&child, command[0], &actions, NULL, command, environ) != 0 ||
            waitpid(child, &status, 0) != child || !WIFEXITED(status) || WEXITSTATUS(status) > 2) {
            fprintf(stderr, "once: %s did not run\n", command[0]);
            return 1;
        }
        int64_t time = now() - start;
        int at = i;
        for (; at > 0 && times[at - 1] > time; at--) {
            times[at] = times[at - 1];
        }
        times[at] = time;
    }
    posix_spawn_file_actions_destroy(&actions);
    struct rusage usage = {0};
    getrusage(RUSAGE_CHILDREN, &usage);
    printf("%-40s %ld ms (median of %d), %ld MB\n", argv[1], (long)(times[RUNS / 2] / 1000000),
           RUNS, usage.ru_maxrss / 1024);
    return 0;
}
