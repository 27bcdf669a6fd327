/* stave assess BOOK INSPECTION */
#include "cli/run.h"

enum exit_status command_assess(struct run *run)
{
    struct stave_text text;
    enum exit_status status = run_read_book(run, run->options->arguments[0]);
    if (status != EXIT_YES) {
        return status;
    }
    status = run_open(run, run->options->arguments[1], &text);
    if (status != EXIT_YES) {
        return status;
    }
    enum stave_status read = stave_record_read(&run->host, run->book, &text, &run->record);
    if (read == STAVE_PROBLEMS) {
        size_t count;
        const struct stave_problem *problems = stave_record_problems(run->record, &count);
        return run_problems(run, problems, count);
    }
    return read == STAVE_OK ? run_verdict(run) : run_refused(run, read, text.name);
}
