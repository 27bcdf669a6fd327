/* stave ask BOOK "FINDING LINE" */
#include <string.h>

#include "cli/run.h"

enum exit_status command_ask(struct run *run)
{
    const char *line = run->options->arguments[1];
    struct stave_text text = {.name = "finding line", .bytes = line, .size = strlen(line)};
    run->host.for_one_answer = true;
    enum exit_status status = run_read_model(run, run->options->arguments[0]);
    if (status == EXIT_YES && strcmp(line, "-") == 0) {
        status = run_open(run, line, &text);
    }
    if (status != EXIT_YES) {
        return status;
    }
    enum stave_status read = stave_record_read_line(&run->host, run->book, &text, &run->record);
    if (read == STAVE_PROBLEMS) {
        size_t count;
        const struct stave_problem *problems = stave_record_problems(run->record, &count);
        return run_problems(run, problems, count);
    }
    return read == STAVE_OK ? run_verdict(run) : run_refused(run, read, text.name);
}
