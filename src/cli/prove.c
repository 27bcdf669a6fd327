/* stave prove BOOK [EXAMPLES...] */
#include <stdlib.h>

#include "cli/progress.h"
#include "cli/run.h"

static void show(struct run *run, const struct show_proved *proved)
{
    const struct options *options = run->options;
    if (options->json) {
        show_proof_json(&run->out, proved);
    } else if (options->sarif) {
        show_proof_sarif(&run->out, proved);
    } else {
        for (int list = 0; list < 2; list++) {
            show_problems(&run->err, proved->problems[list], proved->problem_counts[list]);
        }
        if (options->tap) {
            show_proof_tap(&run->out, proved);
        } else if (options->junit) {
            show_proof_junit(&run->out, proved);
        } else if (!options->quiet) {
            show_proof(&run->out, proved);
        }
    }
}

static enum exit_status answer_of(const struct show_proved *proved)
{
    const stave_proof *examples = proved->examples;
    const stave_claims *claims = proved->claims;
    if ((examples && (examples->failed + examples->unconfirmed > 0 || examples->result_count == 0)) ||
        (claims && claims->refuted > 0) ||
        (proved->pinning && !(show_figures_held(proved) && show_slips_caught(proved)))) {
        return EXIT_NO;
    }
    if ((claims && claims->stopped) || (proved->pinning && proved->pinning->stopped)) {
        return EXIT_STOPPED;
    }
    return claims && claims->not_proved > 0 ? EXIT_UNKNOWN : EXIT_YES;
}

/* The claims over all findings, which may take long. */
static enum stave_status prove_claims(struct run *run, stave_claims **claims)
{
    struct progress progress;
    progress_begin(&progress, "claims");
    const struct stave_proving how = {.progress = progress_tell, .user = &progress};
    enum stave_status status = stave_claims_make(&run->host, run->book, &how, claims);
    progress_end(&progress);
    return status;
}

static enum stave_status pin(struct run *run, const struct stave_text *beside, size_t count,
                             stave_pinning **pinning)
{
    struct progress progress;
    progress_begin(&progress, "slips");
    const struct stave_proving how = {.progress = progress_tell, .user = &progress};
    enum stave_status status =
        stave_pinning_make(&run->host, run->book, beside, count, &how, pinning);
    progress_end(&progress);
    return status;
}

/* Examples alone, so that they can be put behind a book as they are; how many, on standard error. */
static enum exit_status suggest(struct run *run, const struct stave_text *beside, size_t count)
{
    stave_pinning *pinning;
    enum stave_status status = pin(run, beside, count, &pinning);
    if (status != STAVE_OK) {
        return run_refused(run, status, "the slips");
    }
    show_suggested(&run->out, &run->err, pinning);
    enum exit_status answer = pinning->stopped ? EXIT_STOPPED : EXIT_YES;
    stave_pinning_free(pinning);
    return answer;
}

static enum exit_status show_all(struct run *run, const stave_proof *examples,
                                 const struct stave_text *beside, size_t count)
{
    const struct options *options = run->options;
    bool both = !options->examples && !options->claims && !options->pinned;
    stave_claims *claims = NULL;
    stave_pinning *pinning = NULL;
    if (options->pinned) {
        enum stave_status status = pin(run, beside, count, &pinning);
        if (status != STAVE_OK) {
            return run_refused(run, status, "the slips");
        }
    }
    if (both || options->claims) {
        enum stave_status status = prove_claims(run, &claims);
        if (status != STAVE_OK) {
            stave_pinning_free(pinning);
            return run_refused(run, status, "the claims");
        }
    }
    struct show_proved proved = {.book = stave_book_facts(run->book),
                                 .examples = options->claims && !options->examples &&
                                                     !options->pinned
                                                 ? NULL
                                                 : examples,
                                 .claims = claims,
                                 .pinning = pinning,
                                 .pinned_least = options->pinned_least,
                                 .find_text = files_given,
                                 .user = &run->files};
    proved.problems[0] = stave_book_problems(run->book, &proved.problem_counts[0]);
    proved.problem_counts[0] = run->warned ? 0 : proved.problem_counts[0];
    proved.problems[1] = examples->problems;
    proved.problem_counts[1] = examples->problem_count;
    show(run, &proved);
    enum exit_status answer = answer_of(&proved);
    stave_claims_free(claims);
    stave_pinning_free(pinning);
    return answer;
}

static enum exit_status prove(struct run *run, const struct stave_text *beside, size_t count)
{
    stave_proof *proof;
    enum stave_status status = stave_prove(&run->host, run->book, beside, count, &proof);
    if (status != STAVE_OK && status != STAVE_PROBLEMS) {
        return run_refused(run, status, "the examples");
    }
    enum exit_status answer = status == STAVE_PROBLEMS
                                  ? run_problems(run, proof->problems, proof->problem_count)
                              : run->options->suggest ? suggest(run, beside, count)
                                                      : show_all(run, proof, beside, count);
    stave_proof_free(proof);
    return answer;
}

/* The worse of two answers, or what ended the work. */
static enum exit_status worse_of(enum exit_status before, enum exit_status now)
{
    return before == EXIT_YES || (before == EXIT_UNKNOWN && now == EXIT_NO) ? now : before;
}

static bool goes_on(enum exit_status status)
{
    return status == EXIT_YES || status == EXIT_NO || status == EXIT_UNKNOWN;
}

/* Every model of a family in turn; the warnings of the book once. */
static enum exit_status prove_models(struct run *run, const struct stave_text *beside, size_t count)
{
    const stave_book *whole = run->book;
    size_t models = stave_book_model_count(whole);
    enum exit_status status = models ? EXIT_YES : prove(run, beside, count);
    for (size_t i = 0; i < models && goes_on(status); i++) {
        run->book = stave_book_of(whole, stave_book_model(whole, i)->name);
        enum exit_status now = prove(run, beside, count);
        status = goes_on(now) ? worse_of(status, now) : now;
        run->warned = true;
    }
    return status;
}

enum exit_status command_prove(struct run *run)
{
    const struct options *options = run->options;
    size_t count = options->argument_count - 1;
    enum exit_status status = run_read_book(run, options->arguments[0]);
    if (status != EXIT_YES) {
        return status;
    }
    bool one = options->json || options->tap || options->junit || options->sarif ||
               options->suggest || options->obligations;
    if (one && stave_book_model_count(run->book) > 1) {
        return run_choose_model(run, "this form of the answer");
    }
    if (options->obligations) {
        return run_obligations(run, run->book, NULL);
    }
    struct stave_text *beside = calloc(count + 1, sizeof *beside);
    if (!beside) {
        return run_refused(run, STAVE_NO_MEMORY, "");
    }
    for (size_t i = 0; i < count && status == EXIT_YES; i++) {
        status = run_open(run, options->arguments[i + 1], &beside[i]);
    }
    if (status == EXIT_YES) {
        status = prove_models(run, beside, count);
    }
    free(beside);
    return status;
}
