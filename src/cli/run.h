/* What the commands share: exit statuses, and getting an answer out whole. */
#ifndef STAVE_CLI_RUN_H
#define STAVE_CLI_RUN_H

#include "cli/files.h"
#include "cli/options.h"
#include "show/show.h"

/* Exit statuses, as help.c, the manual page and the README have them. */
enum exit_status {
    EXIT_YES = 0, /* fit to fly; all is proved; the same everywhere */
    EXIT_NO = 1,  /* not fit; an example fails, or there is none, or a claim is refuted; looser */
    EXIT_UNKNOWN = 2,  /* not known yet, or the inspection is incomplete; not proved */
    EXIT_INPUT = 3,    /* an error in a text, a file or the command line */
    EXIT_PROGRAM = 4,  /* out of memory, the answer cannot be written, a fault of our own */
    EXIT_STRICTER = 5, /* the second book is stricter somewhere and nowhere looser */
    EXIT_STOPPED = 6   /* stopped by Ctrl-C before the end; what is shown is not all */
};

/* One run of a command. */
struct run {
    const struct options *options;
    struct files files;
    struct stave_host host;
    stave_book *owned[2];     /* every book that was read */
    size_t owned_count;
    const stave_book *book;   /* the last of them; of a family, the model's that was asked for */
    bool warned;              /* the warnings of the book were shown */
    stave_record *record;
    stave_record *earlier[OPTIONS_SINCE];
    size_t earlier_count;
    stave_history *history; /* NULL: no earlier records were given */
    struct page out; /* to standard output */
    struct page err; /* to standard error */
};

void run_begin(struct run *run, const struct options *options);
/* Sends what stands on the pages and frees all. Gives `status`, or EXIT_PROGRAM where the
 * answer could not be made or sent. */
enum exit_status run_end(struct run *run, enum exit_status status);

/* Reads the book and leaves it in `run`. Any other answer than EXIT_YES ends the run, and
 * what is wrong is on the pages. */
enum exit_status run_read_book(struct run *run, const char *path);

/* The same for what wants the book of one model: of a family, the option --for has to say which. */
enum exit_status run_read_model(struct run *run, const char *path);

/* The same for two books; --for is about the one that has models, or about both. The second is left in
 * `run`. */
enum exit_status run_read_two(struct run *run, const char *const paths[2],
                              const stave_book *books[2]);

/* Says that a family has several models; gives EXIT_INPUT. */
enum exit_status run_choose_model(struct run *run, const char *what);

/* Reads a text for a command, "-" being standard input; fails as run_read_book does. */
enum exit_status run_open(struct run *run, const char *path, struct stave_text *text);

/* Says why run->files could not read something; gives EXIT_INPUT. */
enum exit_status run_unreadable(struct run *run, const char *path);

/* What a call of the library other than STAVE_OK and STAVE_PROBLEMS comes to. */
enum exit_status run_refused(struct run *run, enum stave_status status, const char *text_name);

/* Shows problems in the form that was asked for; gives EXIT_INPUT. */
enum exit_status run_problems(struct run *run, const struct stave_problem *problems, size_t count);

/* Reads an inspection against run->book and leaves it in `run`; fails as run_read_book does. */
enum exit_status run_read_record(struct run *run, const char *path);

/* Reads the earlier inspections that the options name, and leaves them and the history in `run`. */
enum exit_status run_read_earlier(struct run *run);

/* The book of the model that run->record was judged by: where that is open, the one that gives the worst. */
const stave_book *run_judged_by(const struct run *run, const stave_verdict *verdict);

/* Judges run->record and shows the verdict. */
enum exit_status run_verdict(struct run *run);

enum exit_status command_assess(struct run *run);
enum exit_status command_ask(struct run *run);
enum exit_status command_prove(struct run *run);
enum exit_status command_draw(struct run *run);
enum exit_status command_sheet(struct run *run);
enum exit_status command_print(struct run *run);
enum exit_status command_sweep(struct run *run);
enum exit_status command_compare(struct run *run);
void show_help(struct page *page, enum command command);
/* Writes the obligations of a book, or of two (else NULL), for a solver of the reader's own; says nothing
 * of whether they are good. */
enum exit_status run_obligations(struct run *run, const stave_book *book, const stave_book *second);

#endif
