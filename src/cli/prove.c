/* stave prove BOOK [EXAMPLES...] */
#include <stdlib.h>

#include "cli/run.h"

static void show(struct run *run, const stave_proof *proof)
{
    const struct stave_book_facts *facts = stave_book_facts(run->book);
    if (run->options->tap) {
        show_proof_tap(&run->out, facts, proof);
    } else if (run->options->junit) {
        show_proof_junit(&run->out, facts, proof);
    } else if (!run->options->quiet) {
        show_proof(&run->out, facts, proof);
    }
}

static enum exit_status prove(struct run *run, const struct stave_text *beside, size_t count)
{
    stave_proof *proof;
    enum stave_status status = stave_prove(&run->host, run->book, beside, count, &proof);
    if (status != STAVE_OK && status != STAVE_PROBLEMS) {
        return run_refused(run, status, "the examples");
    }
    enum exit_status answer = EXIT_INPUT;
    if (status == STAVE_PROBLEMS) {
        run_problems(run, proof->problems, proof->problem_count);
    } else {
        size_t warning_count;
        const struct stave_problem *warnings = stave_book_problems(run->book, &warning_count);
        show_problems(&run->err, warnings, warning_count);
        show_problems(&run->err, proof->problems, proof->problem_count);
        show(run, proof);
        answer = proof->failed == 0 && proof->result_count > 0 ? EXIT_YES : EXIT_NO;
    }
    stave_proof_free(proof);
    return answer;
}

enum exit_status command_prove(struct run *run)
{
    const struct options *options = run->options;
    size_t count = options->argument_count - 1;
    enum exit_status status = run_read_book(run, options->arguments[0]);
    if (status != EXIT_YES) {
        return status;
    }
    struct stave_text *beside = calloc(count + 1, sizeof *beside);
    if (!beside) {
        return run_refused(run, STAVE_NO_MEMORY, "");
    }
    for (size_t i = 0; i < count && status == EXIT_YES; i++) {
        status = run_open(run, options->arguments[i + 1], &beside[i]);
    }
    if (status == EXIT_YES) {
        status = prove(run, beside, count);
    }
    free(beside);
    return status;
}
