/* The program: reads its command line and hands over to the command. */
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <unistd.h>

#include "cli/run.h"

/* A closed standard stream would give its number to the next file that is opened, and an
 * answer could land there. A stream that only reads refuses it. */
static void guard_streams(void)
{
    for (int descriptor = 0; descriptor <= 2; descriptor++) {
        if (fcntl(descriptor, F_GETFD) < 0) {
            (void)open("/dev/null", O_RDONLY);
        }
    }
}

/* A closed pipe or a file size limit shall be an error of write(), not the end. */
static void ignore_signals(void)
{
    struct sigaction ignore = {.sa_handler = SIG_IGN};
    sigaction(SIGPIPE, &ignore, NULL);
#ifdef SIGXFSZ
    sigaction(SIGXFSZ, &ignore, NULL);
#endif
}

static enum exit_status perform(struct run *run)
{
    const struct options *options = run->options;
    if (options->help) {
        show_help(&run->out, options->command);
        return EXIT_YES;
    }
    if (options->version) {
        page_line(&run->out, 0, 0, "stave %s", stave_version());
        return EXIT_YES;
    }
    switch (options->command) {
    case COMMAND_ASSESS:
        return command_assess(run);
    case COMMAND_ASK:
        return command_ask(run);
    case COMMAND_PROVE:
        return command_prove(run);
    case COMMAND_DRAW:
        return command_draw(run);
    case COMMAND_SHEET:
        return command_sheet(run);
    case COMMAND_PRINT:
        return command_print(run);
    case COMMAND_SWEEP:
        return command_sweep(run);
    case COMMAND_COMPARE:
        return command_compare(run);
    case COMMAND_NONE:
        break;
    }
    return EXIT_PROGRAM;
}

int main(int argc, char **argv)
{
    struct options options;
    struct run run;
    struct page complaint;
    guard_streams();
    ignore_signals();
    page_begin(&complaint, 0, false);
    const char **ignored = calloc((size_t)argc + 1, sizeof *ignored);
    if (!ignored) {
        static const char told[] = "stave: out of memory\n";
        (void)!write(STDERR_FILENO, told, sizeof told - 1);
        return EXIT_PROGRAM;
    }
    bool understood = options_read(argc, argv, ignored, &options, &complaint);
    run_begin(&run, &options);
    page_raw(&run.err, complaint.done.text ? complaint.done.text : "");
    run.err.failed |= complaint.failed;
    page_end(&complaint);
    int status = (int)run_end(&run, understood ? perform(&run) : EXIT_INPUT);
    free(ignored);
    return status;
}
