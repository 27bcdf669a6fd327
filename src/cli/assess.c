/* stave assess BOOK INSPECTION [--since=EARLIER ...] */
#include "cli/run.h"

enum exit_status command_assess(struct run *run)
{
    run->host.for_one_answer = true;
    enum exit_status status = run_read_book(run, run->options->arguments[0]);
    if (status == EXIT_YES) {
        status = run_read_record(run, run->options->arguments[1]);
    }
    if (status == EXIT_YES) {
        status = run_read_earlier(run);
    }
    return status == EXIT_YES ? run_verdict(run) : status;
}
