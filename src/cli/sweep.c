/* stave sweep BOOK FILE... */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli/flow.h"
#include "cli/run.h"

#define THREADS_MOST 8 /* where the command line does not say */

struct sweeping {
    struct run *run;
    const stave_book *against;
    struct progress progress;
    struct stave_sweep_counts counts; /* of all files */
    uint64_t *by_outcome, *by_kind, *by_zone;
    const char **names; /* of kinds, then of zones; the book has the words */
    char *carry;
    stave_cutter *cutter; /* of all files: an inspection may not go on in another */
    bool began;           /* the heading is written */
    int summary;          /* a descriptor; negative: none is asked for, or it is written */
    bool summary_new;
    enum exit_status status;
};

/* ---- counts ---------------------------------------------------------------------------- */

static void add_all(uint64_t *sums, const uint64_t *more, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        sums[i] += more[i];
    }
}

static bool counts_begin(struct sweeping *sweeping, const struct stave_sweep_counts *like)
{
    size_t outcomes = like->outcome_count;
    sweeping->by_outcome = calloc(outcomes, sizeof(uint64_t));
    sweeping->by_kind = calloc(like->kind_count * outcomes + 1, sizeof(uint64_t));
    sweeping->by_zone = calloc(like->zone_count * outcomes, sizeof(uint64_t));
    sweeping->names = calloc(like->kind_count + like->zone_count, sizeof *sweeping->names);
    if (!sweeping->names) {
        return false;
    }
    memcpy(sweeping->names, like->kind_names, like->kind_count * sizeof *sweeping->names);
    memcpy(sweeping->names + like->kind_count, like->zone_names,
           like->zone_count * sizeof *sweeping->names);
    sweeping->counts = (struct stave_sweep_counts){
        .outcome_count = outcomes,
        .kind_count = like->kind_count,
        .zone_count = like->zone_count,
        .kind_names = sweeping->names,
        .zone_names = sweeping->names + like->kind_count,
        .by_outcome = sweeping->by_outcome,
        .by_kind = sweeping->by_kind,
        .by_zone = sweeping->by_zone,
        .cautions = like->cautions,
        .caution_count = like->caution_count,
    };
    return sweeping->by_outcome && sweeping->by_kind && sweeping->by_zone;
}

static void add_counts(void *user, const struct stave_sweep_counts *more)
{
    struct sweeping *sweeping = user;
    struct stave_sweep_counts *sum = &sweeping->counts;
    if (!sweeping->by_outcome && !counts_begin(sweeping, more)) {
        sweeping->status = EXIT_PROGRAM;
        return;
    }
    sum->rows += more->rows;
    sum->judged += more->judged;
    sum->not_judged += more->not_judged;
    sum->undecided += more->undecided;
    sum->changed += more->changed;
    add_all(sweeping->by_outcome, more->by_outcome, sum->outcome_count);
    add_all(sweeping->by_kind, more->by_kind, sum->kind_count * sum->outcome_count);
    add_all(sweeping->by_zone, more->by_zone, sum->zone_count * sum->outcome_count);
}

/* ---- one file ---------------------------------------------------------------------------- */

static enum exit_status cannot(struct sweeping *sweeping, const char *what, const char *name,
                               int error)
{
    page_line(&sweeping->run->err, 0, 2, "stave: %s %s: %s", what, name, strerror(error));
    return EXIT_INPUT;
}

static bool begins_an_object(const char *bytes, size_t size)
{
    size_t at = 0;
    while (at < size &&
           (bytes[at] == ' ' || bytes[at] == '\t' || bytes[at] == '\n' || bytes[at] == '\r')) {
        at++;
    }
    return at < size && bytes[at] == '{';
}

static enum exit_status flow_status(struct sweeping *sweeping, const struct flow *flow,
                                    const char *name)
{
    enum flow_end end = flow->end;
    switch (end) {
    case FLOW_DONE:
    case FLOW_STOPPED:
        return EXIT_YES;
    case FLOW_READ_ERROR:
        return cannot(sweeping, "cannot read", name, flow->error);
    case FLOW_WRITE_ERROR:
        page_line(&sweeping->run->err, 0, 2, "stave: cannot write the answers: %s",
                  strerror(flow->error));
        return EXIT_PROGRAM;
    case FLOW_NO_MEMORY:
        break;
    }
    return run_refused(sweeping->run, STAVE_NO_MEMORY, name);
}

static bool write_heading(struct sweeping *sweeping, const stave_sweep *sweep)
{
    const char *heading = stave_sweep_heading(sweep);
    if (!sweeping->began && !flow_write(STDOUT_FILENO, heading, strlen(heading))) {
        page_line(&sweeping->run->err, 0, 2, "stave: cannot write the answers: %s",
                  strerror(errno));
        return false;
    }
    sweeping->began = true;
    return true;
}

static unsigned default_threads(void)
{
    long processors = sysconf(_SC_NPROCESSORS_ONLN);
    return processors < 1 ? 1 : processors > THREADS_MOST ? THREADS_MOST : (unsigned)processors;
}

static enum exit_status run_sweep(struct sweeping *sweeping, struct flow *flow, const char *name)
{
    const struct options *options = sweeping->run->options;
    uint64_t lines;
    size_t header = stave_sweep_header(flow->sweep, &lines);
    flow->threads = options->threads ? options->threads : default_threads();
    flow->file = options->argument_count > 2 ? name : NULL;
    flow->carry_size -= header;
    memmove(flow->carry, flow->carry + header, flow->carry_size);
    flow->line = lines + 1;
    if (!write_heading(sweeping, flow->sweep)) {
        return EXIT_PROGRAM;
    }
    enum stave_status status = sweeping->cutter
                                   ? stave_cutter_next(sweeping->cutter, flow->sweep)
                                   : stave_cutter_make(flow->host, flow->sweep, &sweeping->cutter);
    if (status != STAVE_OK) {
        return run_refused(sweeping->run, status, name);
    }
    flow->cutter = sweeping->cutter;
    flow_run(flow);
    return flow_status(sweeping, flow, name);
}

/* The sweep of a file whose beginning is in `carry`. */
static enum exit_status sweep_make(struct sweeping *sweeping, const struct flow *flow,
                                   const char *name, stave_sweep **sweep)
{
    struct run *run = sweeping->run;
    const struct options *options = run->options;
    const struct stave_sweep_options asked = {
        .json_in = begins_an_object(flow->carry, flow->carry_size),
        .json_out = options->json,
        .ignored = options->ignored,
        .ignored_count = options->ignored_count,
        .name_files = options->argument_count > 2,
        .against = sweeping->against,
    };
    const struct stave_text start = {name, flow->carry, flow->carry_size};
    enum stave_status status = stave_sweep_make(&run->host, run->book, &asked, &start, sweep);
    if (status == STAVE_PROBLEMS) {
        size_t count;
        const struct stave_problem *problems = stave_sweep_problems(*sweep, &count);
        return run_problems(run, problems, count);
    }
    return status == STAVE_OK ? EXIT_YES : run_refused(run, status, name);
}

/* Opens a file, reads how it begins, and hands it on: `whole` does all of it, else only the
 * header is checked. */
static enum exit_status sweep_file(struct sweeping *sweeping, const char *path, bool whole)
{
    bool from_input = strcmp(path, "-") == 0;
    const char *name = from_input ? FILES_INPUT : path;
    struct stat status;
    stave_sweep *sweep = NULL;
    struct flow flow = {
        .input = from_input ? STDIN_FILENO : open(path, O_RDONLY | O_NOCTTY | O_CLOEXEC),
        .output = STDOUT_FILENO,
        .host = &sweeping->run->host,
        .progress = &sweeping->progress,
        .carry = sweeping->carry,
        .count = add_counts,
        .user = sweeping,
    };
    if (flow.input < 0) {
        return cannot(sweeping, "cannot open", name, errno);
    }
    enum exit_status answer = EXIT_YES;
    if (!flow_fill(&flow)) {
        answer = flow_signal() ? EXIT_YES : cannot(sweeping, "cannot read", name, errno);
    } else {
        answer = sweep_make(sweeping, &flow, name, &sweep);
    }
    if (answer == EXIT_YES && !whole && fstat(flow.input, &status) == 0) {
        sweeping->progress.total_bytes += (uint64_t)status.st_size;
    } else if (answer == EXIT_YES && sweep) {
        flow.sweep = sweep;
        answer = run_sweep(sweeping, &flow, name);
    }
    stave_sweep_free(sweep);
    if (!from_input) {
        close(flow.input);
    }
    return answer;
}

/* ---- the summary --------------------------------------------------------------------------- */

/* It is made before anything is judged, so that a wrong name costs no long run. A file that is there stays
 * as it is: it may be what is read, or where the answers go. */
static enum exit_status open_summary(struct sweeping *sweeping)
{
    struct run *run = sweeping->run;
    const char *path = run->options->summary;
    struct stat there;
    if (!path) {
        return EXIT_YES;
    }
    bool is_there = stat(path, &there) == 0;
    if (is_there && S_ISREG(there.st_mode)) {
        page_line(&run->err, 0, 2, "stave: '%s' is there already, and stays as it is", path);
        page_line(&run->err, 2, 4, "help: name another file for the summary, or remove this one");
        return EXIT_INPUT;
    }
    sweeping->summary =
        open(path, O_WRONLY | (is_there ? 0 : O_CREAT | O_EXCL) | O_NOCTTY | O_CLOEXEC, 0666);
    sweeping->summary_new = sweeping->summary >= 0 && !is_there;
    return sweeping->summary < 0 ? cannot(sweeping, "cannot open", path, errno) : EXIT_YES;
}

static enum exit_status write_summary(struct sweeping *sweeping, bool stopped)
{
    struct run *run = sweeping->run;
    struct page page;
    page_begin(&page, 0, false);
    show_sweep_json(&page, stave_book_facts(run->book),
                    sweeping->against ? stave_book_facts(sweeping->against) : NULL,
                    &sweeping->counts, stopped);
    bool memory = !page.failed;
    bool good = memory && flow_write(sweeping->summary, page.done.text, page.done.size);
    int error = errno;
    if (close(sweeping->summary) != 0 && good) {
        good = false;
        error = errno;
    }
    sweeping->summary = -1;
    page_end(&page);
    if (!memory) {
        return run_refused(run, STAVE_NO_MEMORY, "");
    }
    if (!good) {
        page_line(&run->err, 0, 2, "stave: cannot write '%s': %s", run->options->summary,
                  strerror(error));
    }
    return good ? EXIT_YES : EXIT_PROGRAM;
}

/* ---- all files ------------------------------------------------------------------------------ */

/* What can be looked at twice is looked at before anything is judged. */
static bool is_regular(const char *path)
{
    struct stat status;
    return strcmp(path, "-") != 0 && stat(path, &status) == 0 && S_ISREG(status.st_mode);
}

static enum exit_status check_files(struct sweeping *sweeping)
{
    const struct options *options = sweeping->run->options;
    enum exit_status status = EXIT_YES;
    bool all_known = true;
    for (size_t i = 1; i < options->argument_count && status == EXIT_YES; i++) {
        struct stat file;
        const char *path = options->arguments[i];
        if (strcmp(path, "-") != 0 && stat(path, &file) != 0) {
            return cannot(sweeping, "cannot open", path, errno);
        }
        all_known &= is_regular(path);
        if (is_regular(path)) {
            status = sweep_file(sweeping, path, false);
        }
    }
    if (!all_known) {
        sweeping->progress.total_bytes = 0;
    }
    return status;
}

static enum exit_status sweep_files(struct sweeping *sweeping)
{
    struct run *run = sweeping->run;
    const struct options *options = run->options;
    enum exit_status status = check_files(sweeping);
    if (status == EXIT_YES) {
        status = open_summary(sweeping);
    }
    if (status != EXIT_YES) {
        return status;
    }
    for (size_t i = 1; i < options->argument_count && status == EXIT_YES && !flow_signal(); i++) {
        status = sweep_file(sweeping, options->arguments[i], true);
    }
    progress_clear(&sweeping->progress);
    /* Some file systems tell of a full disk only at the close. */
    if (status == EXIT_YES && close(STDOUT_FILENO) != 0) {
        page_line(&run->err, 0, 2, "stave: cannot write the answers: %s", strerror(errno));
        status = EXIT_PROGRAM;
    }
    if (status == EXIT_YES && sweeping->status != EXIT_YES) {
        return run_refused(run, STAVE_NO_MEMORY, "");
    }
    if (sweeping->by_outcome && !options->quiet) {
        show_sweep(&run->err, stave_book_facts(run->book),
                   sweeping->against ? stave_book_facts(sweeping->against) : NULL,
                   &sweeping->counts, flow_signal() != 0);
    }
    if (sweeping->by_outcome && sweeping->summary >= 0) {
        enum exit_status written = write_summary(sweeping, flow_signal() || status != EXIT_YES);
        status = status == EXIT_YES ? written : status;
    }
    if (status != EXIT_YES || flow_signal()) {
        return status != EXIT_YES ? status : EXIT_STOPPED;
    }
    return sweeping->counts.not_judged ? EXIT_UNKNOWN
           : sweeping->counts.changed  ? EXIT_NO
                                       : EXIT_YES;
}

static enum exit_status read_books(struct sweeping *sweeping)
{
    struct run *run = sweeping->run;
    const char *const paths[2] = {run->options->against, run->options->arguments[0]};
    if (!paths[0]) {
        return run_read_model(run, paths[1]);
    }
    const stave_book *books[2] = {NULL, NULL};
    enum exit_status status = run_read_two(run, paths, books);
    sweeping->against = books[0];
    return status;
}

enum exit_status command_sweep(struct run *run)
{
    struct sweeping sweeping = {.run = run, .status = EXIT_YES, .summary = -1};
    enum exit_status status = read_books(&sweeping);
    sweeping.progress.shown =
        isatty(STDERR_FILENO) && !isatty(STDOUT_FILENO) && !run->options->quiet;
    sweeping.carry = malloc(STAVE_BLOCK_LEAST);
    if (status == EXIT_YES && (!sweeping.carry || !flow_catch_signals())) {
        status = run_refused(run, STAVE_NO_MEMORY, "");
    } else if (status == EXIT_YES) {
        status = sweep_files(&sweeping);
    }
    if (sweeping.summary >= 0) {
        close(sweeping.summary);
        if (sweeping.summary_new) {
            unlink(run->options->summary); /* there is nothing to tell */
        }
    }
    stave_cutter_free(sweeping.cutter);
    free(sweeping.carry);
    free(sweeping.by_outcome);
    free(sweeping.by_kind);
    free(sweeping.by_zone);
    free(sweeping.names);
    return status;
}
