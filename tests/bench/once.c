/*
 * How long one run of `stave assess --quiet` takes, the middle of five. Usage:
 * once PROGRAM BOOK RECORD LABEL
 */
#include <spawn.h>
#include <stdint.h>
#include <stdio.h>
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
    if (argc != 5) {
        fprintf(stderr, "usage: once PROGRAM BOOK RECORD LABEL\n");
        return 2;
    }
    char *const assess[] = {argv[1], "assess", "--quiet", argv[2], argv[3], NULL};
    int64_t times[RUNS];
    for (int i = 0; i < RUNS; i++) {
        pid_t child;
        int status;
        int64_t start = now();
        if (posix_spawn(&child, assess[0], NULL, NULL, assess, environ) != 0 ||
            waitpid(child, &status, 0) != child || !WIFEXITED(status) || WEXITSTATUS(status) > 2) {
            fprintf(stderr, "once: %s did not run\n", assess[0]);
            return 1;
        }
        int64_t time = now() - start;
        int at = i;
        for (; at > 0 && times[at - 1] > time; at--) {
            times[at] = times[at - 1];
        }
        times[at] = time;
    }
    printf("%-40s %ld ms (median of %d)\n", argv[4], (long)(times[RUNS / 2] / 1000000), RUNS);
    return 0;
}
