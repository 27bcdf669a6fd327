/* stave sheet BOOK and stave print BOOK: pages of a book alone. */
#include "cli/run.h"

static enum exit_status lay_open(struct run *run, stave_outline **outline)
{
    enum exit_status status = run_read_model(run, run->options->arguments[0]);
    if (status != EXIT_YES) {
        return status;
    }
    enum stave_status made = stave_outline_make(&run->host, run->book, outline);
    return made == STAVE_OK ? EXIT_YES : run_refused(run, made, "the book");
}

enum exit_status command_sheet(struct run *run)
{
    stave_outline *outline = NULL;
    enum exit_status status = lay_open(run, &outline);
    if (status == EXIT_YES && run->options->record) {
        show_blank_record(&run->out, outline);
    } else if (status == EXIT_YES) {
        show_sheet(&run->out, outline);
    }
    stave_outline_free(outline);
    return status;
}

enum exit_status command_print(struct run *run)
{
    stave_outline *outline = NULL;
    enum exit_status status = lay_open(run, &outline);
    if (status == EXIT_YES) {
        show_document(&run->out, outline, run->options->markdown);
    }
    stave_outline_free(outline);
    return status;
}
