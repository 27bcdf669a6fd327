#include "cli/progress.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "show/page.h"

#define FIRST_AFTER_MS 1000
#define AGAIN_AFTER_MS 100
#define COLUMNS 72

static volatile sig_atomic_t asked_to_stop;

static void ask_to_stop(int signal_number)
{
    (void)signal_number;
    asked_to_stop = 1;
}

void progress_begin(struct progress *progress, const char *what)
{
    *progress = (struct progress){.what = what, .terminal = isatty(STDERR_FILENO) != 0};
    clock_gettime(CLOCK_MONOTONIC, &progress->begun);
    progress->last = progress->begun;
    /* Once: whoever asks twice does not want to wait for an answer. */
    struct sigaction stop = {.sa_handler = ask_to_stop, .sa_flags = (int)SA_RESETHAND};
    struct sigaction before;
    if (sigaction(SIGINT, NULL, &before) == 0 && before.sa_handler != SIG_IGN) {
        sigaction(SIGINT, &stop, NULL);
    }
}

static long milliseconds_since(const struct timespec *then, const struct timespec *now)
{
    return (long)(now->tv_sec - then->tv_sec) * 1000 + (now->tv_nsec - then->tv_nsec) / 1000000;
}

static void send(const char *text)
{
    /* Nothing depends on it: a terminal that does not take it shows nothing. */
    ssize_t sent = write(STDERR_FILENO, text, strlen(text));
    (void)sent;
}

static void show(struct progress *progress, size_t done, size_t all, const char *next)
{
    /* A name out of a file never goes to a terminal as it is. */
    struct page page;
    char head[96];
    page_begin(&page, 0, false);
    snprintf(head, sizeof head, "\r\33[K%zu of %zu %s: ", done, all, progress->what);
    page_escaped(&page, next);
    if (!page.failed && page.done.text && strlen(page.done.text) > COLUMNS) {
        page.done.text[COLUMNS] = '\0';
    }
    send(head);
    send(!page.failed && page.done.text ? page.done.text : "");
    page_end(&page);
    progress->shown = true;
}

bool progress_tell(void *user, size_t done, size_t all, const char *next)
{
    struct progress *progress = user;
    struct timespec now;
    if (progress->terminal && clock_gettime(CLOCK_MONOTONIC, &now) == 0 &&
        milliseconds_since(&progress->begun, &now) >= FIRST_AFTER_MS &&
        milliseconds_since(&progress->last, &now) >= AGAIN_AFTER_MS) {
        progress->last = now;
        show(progress, done, all, next ? next : "");
    }
    return !asked_to_stop;
}

void progress_end(struct progress *progress)
{
    struct sigaction usual = {.sa_handler = SIG_DFL};
    struct sigaction before;
    if (progress->shown) {
        send("\r\33[K");
    }
    if (sigaction(SIGINT, NULL, &before) == 0 && before.sa_handler == ask_to_stop) {
        sigaction(SIGINT, &usual, NULL);
    }
}
