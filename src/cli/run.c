#include "cli/run.h"

#include <errno.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "cli/memory.h"

/* ---- pages and terminals ---------------------------------------------------------- */

static bool wants_colour(const struct options *options, int descriptor)
{
    const char *no_colour = getenv("NO_COLOR");
    const char *terminal = getenv("TERM");
    if (options->colour != COLOUR_AUTO) {
        return options->colour == COLOUR_ALWAYS;
    }
    return isatty(descriptor) && !(no_colour && no_colour[0]) && terminal && terminal[0] &&
           strcmp(terminal, "dumb") != 0;
}

/* Columns of a terminal; 0 for what is none, so that a file is the same everywhere. */
static unsigned width_of(int descriptor)
{
    struct winsize size;
    if (!isatty(descriptor) || ioctl(descriptor, TIOCGWINSZ, &size) != 0) {
        return 0;
    }
    return size.ws_col;
}

void run_begin(struct run *run, const struct options *options)
{
    *run = (struct run){.options = options};
    run->host = (struct stave_host){
        .allocator = memory_begin(), .find_text = files_find, .user = &run->files};
    run->files.memory = run->host.allocator;
    page_begin(&run->out, width_of(STDOUT_FILENO), wants_colour(options, STDOUT_FILENO));
    page_begin(&run->err, width_of(STDERR_FILENO), wants_colour(options, STDERR_FILENO));
}

/* ---- sending ------------------------------------------------------------------------ */

/* Sends all bytes. Returns false with errno set. */
static bool send_all(int descriptor, const struct bytes *bytes)
{
    for (size_t sent = 0; sent < bytes->size;) {
        ssize_t wrote = write(descriptor, bytes->text + sent, bytes->size - sent);
        if (wrote > 0) {
            sent += (size_t)wrote;
        } else if (wrote < 0 && errno == EAGAIN) {
            struct pollfd wait = {.fd = descriptor, .events = POLLOUT};
            poll(&wait, 1, -1);
        } else if (wrote < 0 && errno != EINTR) {
            return false;
        }
    }
    return true;
}

static void say(const char *message, const char *reason)
{
    char line[256];
    int size = snprintf(line, sizeof line, "stave: %s%s\n", message, reason);
    struct bytes bytes = {.text = line, .size = size > 0 ? (size_t)size : 0};
    (void)send_all(STDERR_FILENO, &bytes); /* nobody is left to be told; the status tells */
}

/* An answer is sent only when it is whole, and counts only when it has arrived. */
static bool send_answer(const struct page *page)
{
    if (page->failed) {
        say("out of memory; no answer was given", "");
        return false;
    }
    if (page->done.size == 0) {
        return true;
    }
    /* Some file systems tell of a full disk only at the close. */
    if (!send_all(STDOUT_FILENO, &page->done) || close(STDOUT_FILENO) != 0) {
        say("cannot write the answer: ", strerror(errno));
        return false;
    }
    return true;
}

enum exit_status run_end(struct run *run, enum exit_status status)
{
    if (run->err.failed) {
        say("out of memory", "");
        status = EXIT_PROGRAM;
    }
    (void)send_all(STDERR_FILENO, &run->err.done);
    if (!send_answer(&run->out)) {
        status = EXIT_PROGRAM;
    }
    stave_history_free(run->history);
    for (size_t i = 0; i < run->earlier_count; i++) {
        stave_record_free(run->earlier[i]);
    }
    stave_record_free(run->record);
    for (size_t i = 0; i < run->owned_count; i++) {
        stave_book_free(run->owned[i]);
    }
    files_close(&run->files);
    page_end(&run->out);
    page_end(&run->err);
    return status;
}

/* ---- problems ------------------------------------------------------------------------- */

enum exit_status run_problems(struct run *run, const struct stave_problem *problems, size_t count)
{
    if (run->options->json) {
        show_problems_json(&run->out, problems, count);
        return EXIT_INPUT;
    }
    if (run->options->sarif) {
        const struct show_proved failed = {.problems = {problems},
                                           .problem_counts = {count},
                                           .find_text = files_given,
                                           .user = &run->files};
        show_proof_sarif(&run->out, &failed);
        return EXIT_INPUT;
    }
    if (run->options->tap) {
        show_problems_tap(&run->out, problems, count);
    } else if (run->options->junit) {
        show_problems_junit(&run->out, problems, count);
    }
    show_problems(&run->err, problems, count);
    show_problem_count(&run->err, problems, count);
    return EXIT_INPUT;
}

/* A problem with a text as a whole. */
static enum exit_status text_problem(struct run *run, const char *code, const char *text_name,
                                     const char *message)
{
    struct stave_problem problem = {
        .severity = STAVE_ERROR,
        .code = code,
        .message = message,
        .at = {.text_name = text_name},
    };
    return run_problems(run, &problem, 1);
}

enum exit_status run_refused(struct run *run, enum stave_status status, const char *text_name)
{
    if (status == STAVE_TOO_BIG) {
        return text_problem(run, "too-big", text_name, stave_status_text(status));
    }
    page_line(&run->err, 0, 2, "stave: %s", stave_status_text(status));
    return EXIT_PROGRAM;
}

enum exit_status run_unreadable(struct run *run, const char *path)
{
    char message[512];
    snprintf(message, sizeof message, "cannot read it: %s", run->files.reason);
    const char *name = strcmp(path, "-") == 0 ? FILES_INPUT : path;
    return text_problem(run, "cannot-read", name, message);
}

enum exit_status run_open(struct run *run, const char *path, struct stave_text *text)
{
    enum files_result result = files_open(&run->files, path, text);
    if (result == FILES_NO_MEMORY) {
        return run_refused(run, STAVE_NO_MEMORY, path);
    }
    if (result == FILES_OK) {
        return EXIT_YES;
    }
    return run_unreadable(run, path);
}

/* ---- reading and judging ----------------------------------------------------------------- */

/* "BM-3, BM-3A", as far as there is room */
static void list_models(const struct run *run, char *list, size_t size)
{
    size_t used = 0;
    list[0] = '\0';
    for (size_t i = 0; i < stave_book_model_count(run->book); i++) {
        const char *name = stave_book_model(run->book, i)->name;
        if (used + strlen(name) + 6 > size) {
            strcpy(list + used, ", ...");
            return;
        }
        used += (size_t)snprintf(list + used, size - used, "%s%s", i ? ", " : "", name);
    }
}

enum exit_status run_choose_model(struct run *run, const char *what)
{
    char list[512];
    list_models(run, list, sizeof list);
    page_line(&run->err, 0, 2, "stave: the book is of several models, and %s is of one", what);
    page_line(&run->err, 2, 4, "help: say --for=MODEL, one of: %s", list);
    return EXIT_INPUT;
}

/* The book of the model that was asked for, where one was. */
static enum exit_status take_model(struct run *run)
{
    const char *model = run->options->model;
    if (!model) {
        return EXIT_YES;
    }
    char list[512];
    list_models(run, list, sizeof list);
    const stave_book *of = stave_book_of(run->book, model);
    if (of) {
        run->book = of;
        return EXIT_YES;
    }
    if (list[0]) {
        page_line(&run->err, 0, 2, "stave: the book has no model '%s'", model);
        page_line(&run->err, 2, 4, "help: it has: %s", list);
    } else {
        page_line(&run->err, 0, 2, "stave: the book has no models to choose from: '--for=%s'",
                  model);
        page_line(&run->err, 2, 4, "help: leave out '--for'");
    }
    return EXIT_INPUT;
}

/* Whatever models it has. */
static enum exit_status read_whole(struct run *run, const char *path)
{
    struct stave_text text;
    enum exit_status opened = run_open(run, path, &text);
    if (opened != EXIT_YES) {
        return opened;
    }
    stave_book *book = NULL;
    enum stave_status status = stave_book_read(&run->host, &text, &book);
    run->book = book;
    if (book) {
        run->owned[run->owned_count++] = book;
    }
    if (status == STAVE_PROBLEMS) {
        size_t count;
        const struct stave_problem *problems = stave_book_problems(run->book, &count);
        return run_problems(run, problems, count);
    }
    return status == STAVE_OK ? EXIT_YES : run_refused(run, status, text.name);
}

enum exit_status run_read_book(struct run *run, const char *path)
{
    enum exit_status status = read_whole(run, path);
    return status == EXIT_YES ? take_model(run) : status;
}

static enum exit_status take_one_model(struct run *run)
{
    enum exit_status status = take_model(run);
    return status == EXIT_YES && stave_book_model_count(run->book) > 1
               ? run_choose_model(run, "this command")
               : status;
}

enum exit_status run_read_model(struct run *run, const char *path)
{
    enum exit_status status = read_whole(run, path);
    return status == EXIT_YES ? take_one_model(run) : status;
}

enum exit_status run_read_two(struct run *run, const char *const paths[2],
                              const stave_book *books[2])
{
    enum exit_status status = EXIT_YES;
    for (int side = 0; side < 2 && status == EXIT_YES; side++) {
        status = read_whole(run, paths[side]);
        books[side] = run->book;
    }
    bool any = status == EXIT_YES &&
               (stave_book_model_count(books[0]) || stave_book_model_count(books[1]));
    for (int side = 0; side < 2 && status == EXIT_YES; side++) {
        run->book = books[side];
        if (stave_book_model_count(run->book) || !any) {
            status = take_one_model(run);
        }
        books[side] = run->book;
    }
    return status;
}

static enum exit_status read_record(struct run *run, const char *path, stave_record **record)
{
    struct stave_text text;
    enum exit_status opened = run_open(run, path, &text);
    if (opened != EXIT_YES) {
        return opened;
    }
    enum stave_status status = stave_record_read(&run->host, run->book, &text, record);
    if (status == STAVE_PROBLEMS) {
        size_t count;
        const struct stave_problem *problems = stave_record_problems(*record, &count);
        return run_problems(run, problems, count);
    }
    return status == STAVE_OK ? EXIT_YES : run_refused(run, status, text.name);
}

enum exit_status run_read_record(struct run *run, const char *path)
{
    return read_record(run, path, &run->record);
}

enum exit_status run_read_earlier(struct run *run)
{
    const struct options *options = run->options;
    for (size_t i = 0; i < options->since_count; i++) {
        enum exit_status read = read_record(run, options->since[i], &run->earlier[i]);
        run->earlier_count++;
        if (read != EXIT_YES) {
            return read;
        }
    }
    if (!options->since_count) {
        return EXIT_YES;
    }
    enum stave_status status =
        stave_history_make(&run->host, run->record, (const stave_record *const *)run->earlier,
                           run->earlier_count, &run->history);
    if (status == STAVE_PROBLEMS) {
        size_t count;
        const struct stave_problem *problems = stave_history_problems(run->history, &count);
        return run_problems(run, problems, count);
    }
    return status == STAVE_OK ? EXIT_YES : run_refused(run, status, "the earlier records");
}

/* Warnings of the record in full; those of the book are for its author, so one line. */
static void show_warnings(struct run *run, const struct stave_problem *const lists[3],
                          const size_t counts[3])
{
    if (counts[0] > 0) {
        page_line(&run->err, 0, 2, "stave: the book has %zu warning%s; 'stave prove' shows %s",
                  counts[0], counts[0] == 1 ? "" : "s", counts[0] == 1 ? "it" : "them");
    }
    show_problems(&run->err, lists[1], counts[1]);
    show_problems(&run->err, lists[2], counts[2]);
}

static enum exit_status flight_status(enum stave_flight flight)
{
    return flight == STAVE_FLIGHT_YES  ? EXIT_YES
           : flight == STAVE_FLIGHT_NO ? EXIT_NO
                                       : EXIT_UNKNOWN;
}

const stave_book *run_judged_by(const struct run *run, const stave_verdict *verdict)
{
    const stave_book *of = stave_book_of(run->owned[0], verdict->book->model);
    return of ? of : stave_record_book(run->record);
}

static enum stave_status show_page(struct run *run, const stave_verdict *verdict)
{
    stave_outline *outline;
    enum stave_status status =
        stave_outline_make(&run->host, run_judged_by(run, verdict), &outline);
    if (status == STAVE_OK) {
        show_report(&run->out, outline, verdict);
        stave_outline_free(outline);
    }
    return status;
}

enum exit_status run_verdict(struct run *run)
{
    stave_verdict *verdict;
    enum stave_status status = run->history ? stave_assess_since(&run->host, run->history, &verdict)
                                            : stave_assess(&run->host, run->record, &verdict);
    if (status != STAVE_OK) {
        return run_refused(run, status, "the inspection");
    }
    size_t counts[3];
    const struct stave_problem *const lists[3] = {
        stave_book_problems(run->book, &counts[0]),
        stave_record_problems(run->record, &counts[1]),
        stave_history_problems(run->history, &counts[2]),
    };
    if (run->options->json) {
        show_verdict_json(&run->out, verdict, lists, counts);
    } else {
        show_warnings(run, lists, counts);
        if (run->options->html) {
            status = show_page(run, verdict);
        } else if (!run->options->quiet) {
            show_verdict(&run->out, verdict);
        }
    }
    enum exit_status answer =
        status == STAVE_OK ? flight_status(verdict->flight) : run_refused(run, status, "the book");
    stave_verdict_free(verdict);
    return answer;
}

enum exit_status run_obligations(struct run *run, const stave_book *book, const stave_book *second)
{
    stave_obligations *obligations;
    enum stave_status status = stave_obligations_make(&run->host, book, second, NULL, &obligations);
    if (status != STAVE_OK) {
        return run_refused(run, status, "the obligations");
    }
    page_raw_bytes(&run->out, obligations->text, obligations->size);
    stave_obligations_free(obligations);
    return EXIT_YES;
}
