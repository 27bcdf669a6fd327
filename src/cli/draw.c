/* stave draw BOOK [PICTURE] [--with=INSPECTION] [--into=FOLDER] */
#include <string.h>

#include "cli/run.h"

/* What is drawn: every picture of the book, with an inspection where there is one. */
struct drawing {
    struct run *run;
    stave_outline *outline;
    stave_verdict *verdict;
};

/* The name of a picture as a text of its own; the page is to be ended. */
static const char *name_of(struct page *page, const struct drawing *drawing, size_t which)
{
    page_begin(page, 0, false);
    show_picture_name(page, drawing->outline, drawing->verdict, which);
    return page->done.text ? page->done.text : "";
}

static enum exit_status list(const struct drawing *drawing)
{
    struct page *out = &drawing->run->out;
    size_t count = show_picture_count(drawing->outline, drawing->verdict);
    for (size_t i = 0; i < count; i++) {
        show_picture_name(out, drawing->outline, drawing->verdict, i);
        page_raw(out, "\t");
        show_picture_title(out, drawing->outline, drawing->verdict, i);
        page_raw(out, "\n");
    }
    page_line(&drawing->run->err, 0, 2,
              "stave: %zu picture%s; name one to have it, or write all with --into=FOLDER", count,
              count == 1 ? "" : "s");
    return EXIT_YES;
}

static enum exit_status draw_one(const struct drawing *drawing, const char *wanted)
{
    size_t count = show_picture_count(drawing->outline, drawing->verdict);
    for (size_t i = 0; i < count; i++) {
        struct page name;
        bool found = strcmp(name_of(&name, drawing, i), wanted) == 0;
        page_end(&name);
        if (found) {
            show_picture(&drawing->run->out, drawing->outline, drawing->verdict, i);
            return EXIT_YES;
        }
    }
    page_line(&drawing->run->err, 0, 2, "stave: there is no picture '%s'", wanted);
    page_line(&drawing->run->err, 2, 4, "help: 'stave draw BOOK' lists them%s",
              drawing->verdict ? ", with the same --with" : "");
    return EXIT_INPUT;
}

static bool in_the_way(const struct drawing *drawing, size_t count)
{
    const struct options *options = drawing->run->options;
    for (size_t i = 0; i < count && !options->replace; i++) {
        struct page name;
        name_of(&name, drawing, i);
        page_raw(&name, ".svg");
        bool there = !name.failed && files_exists(options->into, name.done.text);
        if (there) {
            page_line(&drawing->run->err, 0, 2,
                      "stave: '%s/%s' is there already; nothing was written", options->into,
                      name.done.text);
            page_line(&drawing->run->err, 2, 4, "help: choose another folder, or say --replace");
        }
        page_end(&name);
        if (there) {
            return true;
        }
    }
    return false;
}

static enum exit_status write_one(const struct drawing *drawing, size_t which)
{
    struct run *run = drawing->run;
    struct page name, picture;
    name_of(&name, drawing, which);
    page_raw(&name, ".svg");
    page_begin(&picture, 0, false);
    show_picture(&picture, drawing->outline, drawing->verdict, which);
    enum files_result result = FILES_NO_MEMORY;
    if (!name.failed && !picture.failed) {
        result = files_write(&run->files, run->options->into, name.done.text, picture.done.text,
                             picture.done.size, run->options->replace);
    }
    enum exit_status status = EXIT_YES;
    if (result == FILES_NO_MEMORY) {
        status = run_refused(run, STAVE_NO_MEMORY, "");
    } else if (result != FILES_OK) {
        page_line(&run->err, 0, 2, "stave: cannot write '%s/%s': %s", run->options->into,
                  name.done.text, run->files.reason);
        status = EXIT_PROGRAM;
    } else {
        page_escaped(&run->out, run->options->into);
        page_raw(&run->out, "/");
        page_raw(&run->out, name.done.text);
        page_raw(&run->out, "\n");
    }
    page_end(&name);
    page_end(&picture);
    return status;
}

static enum exit_status draw_all(const struct drawing *drawing)
{
    size_t count = show_picture_count(drawing->outline, drawing->verdict);
    if (in_the_way(drawing, count)) {
        return EXIT_INPUT;
    }
    enum exit_status status = EXIT_YES;
    for (size_t i = 0; i < count && status == EXIT_YES; i++) {
        status = write_one(drawing, i);
    }
    return status;
}

/* An inspection is drawn over the limits that it is judged by: another model that was asked for is an error. */
static enum exit_status check_model(struct run *run, const char *own)
{
    const char *asked = run->options->model;
    if (!asked || strcmp(asked, own) == 0) {
        return EXIT_YES;
    }
    page_line(&run->err, 0, 2, "stave: '--for=%s': the inspection is judged by %s%s%s", asked,
              own[0] ? "model '" : "a book without models", own, own[0] ? "'" : "");
    page_line(&run->err, 2, 4, "help: leave out '--for', or '--with'");
    return EXIT_INPUT;
}

static enum exit_status draw(struct drawing *drawing)
{
    struct run *run = drawing->run;
    const struct options *options = run->options;
    const stave_book *book = run->book;
    enum stave_status status = STAVE_OK;
    if (options->with) {
        status = stave_assess(&run->host, run->record, &drawing->verdict);
    }
    if (status == STAVE_OK && options->with) {
        enum exit_status checked = check_model(run, drawing->verdict->book->model);
        if (checked != EXIT_YES) {
            return checked;
        }
        book = run_judged_by(run, drawing->verdict);
    }
    if (status == STAVE_OK) {
        status = stave_outline_make(&run->host, book, &drawing->outline);
    }
    if (status != STAVE_OK) {
        return run_refused(run, status, options->with ? options->with : "the book");
    }
    return options->into                  ? draw_all(drawing)
           : options->argument_count == 2 ? draw_one(drawing, options->arguments[1])
                                          : list(drawing);
}

enum exit_status command_draw(struct run *run)
{
    const struct options *options = run->options;
    if (options->into && options->argument_count == 2) {
        page_line(&run->err, 0, 2,
                  "stave: one picture goes to standard output, and --into takes all");
        page_line(&run->err, 2, 4, "help: leave out '%s' or '--into'", options->arguments[1]);
        return EXIT_INPUT;
    }
    enum exit_status status = options->with ? run_read_book(run, options->arguments[0])
                                            : run_read_model(run, options->arguments[0]);
    if (status == EXIT_YES && options->with) {
        status = run_read_record(run, options->with);
    }
    if (status != EXIT_YES) {
        return status;
    }
    struct drawing drawing = {.run = run};
    status = draw(&drawing);
    stave_verdict_free(drawing.verdict);
    stave_outline_free(drawing.outline);
    return status;
}
