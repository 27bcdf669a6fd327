#include "cli/run.h"

static const char main_help[] =
    "Stave judges damage to an aircraft propeller against published limits.\n"
    "\n"
    "  stave assess BOOK INSPECTION      one inspection: may the propeller fly, and why\n"
    "  stave ask BOOK \"FINDING LINE\"     one quick question, one answer\n"
    "  stave prove BOOK [EXAMPLES...]    a book against its worked examples\n"
    "\n"
    "  stave COMMAND --help              more about a command\n"
    "  stave --help, stave --version\n"
    "\n"
    "A book is a file of limits (.stave), an inspection a record in YAML; '-' in place of\n"
    "one of them is standard input.\n"
    "\n"
    "Exit status of assess and ask: 0 fit to fly, 1 not fit, 2 not known yet or incomplete.\n"
    "Of prove: 0 every example passes, 1 one fails or there is none.\n"
    "Of all: 3 error in a text, a file or the command line, 4 error of the program's own\n"
    "(no memory, the answer cannot be written).\n"
    "\n"
    "The answer is an aid. Approved data and local rules govern, and a licensed person\n"
    "decides.\n";

static const char assess_help[] =
    "stave assess BOOK INSPECTION [--json | --quiet] [--colour=WHEN]\n"
    "\n"
    "Judges one inspection against a book: each finding, check and search, then each\n"
    "part and the propeller, with the figures, the deciding lines and what to do by when.\n"
    "\n"
    "  --json           the verdict for programs (docs/verdict.schema.json); problems too\n"
    "                   are then JSON on standard output\n"
    "  --quiet          no verdict, only the exit status\n"
    "  --colour=WHEN    auto (on a terminal, unless NO_COLOR is set), always or never\n"
    "\n"
    "'-' in place of BOOK or of INSPECTION is standard input.\n"
    "\n"
    "Exit status: 0 fit to fly, 1 not fit, 2 not known yet or incomplete, 3 error in the\n"
    "input or the command line, 4 error of the program's own.\n";

static const char ask_help[] =
    "stave ask BOOK \"FINDING LINE\" [--json | --quiet] [--colour=WHEN]\n"
    "\n"
    "Judges one finding by itself, written as an inspection or an example would have it:\n"
    "\n"
    "  stave ask bm3.stave \"blade 1 gouge at station 36 in thrust, depth 27 thou\"\n"
    "\n"
    "It says nothing of the rest of the propeller. '-' in place of BOOK or of the line is\n"
    "standard input.\n"
    "\n"
    "  --json           the verdict for programs (docs/verdict.schema.json); problems too\n"
    "                   are then JSON on standard output\n"
    "  --quiet          no verdict, only the exit status\n"
    "  --colour=WHEN    auto (on a terminal, unless NO_COLOR is set), always or never\n"
    "\n"
    "Exit status: 0 fit to fly by this finding alone, 1 not fit, 2 not known yet, 3 error in\n"
    "the input or the command line, 4 error of the program's own.\n";

static const char prove_help[] =
    "stave prove BOOK [EXAMPLES...] [--tap | --junit | --quiet] [--colour=WHEN]\n"
    "\n"
    "Runs every worked example of a book, and of the files of examples named after it.\n"
    "Shows each that fails with the outcome expected and the outcome found, then the count.\n"
    "\n"
    "  --tap            the results as TAP 14\n"
    "  --junit          the results as JUnit XML\n"
    "  --quiet          no results, only the exit status\n"
    "  --colour=WHEN    auto (on a terminal, unless NO_COLOR is set), always or never\n"
    "\n"
    "'-' in place of one of the files is standard input.\n"
    "\n"
    "Exit status: 0 every example passes, 1 one fails or there is none, 3 error in the\n"
    "input or the command line, 4 error of the program's own.\n";

void show_help(struct page *page, enum command command)
{
    static const char *const pages[] = {
        [COMMAND_NONE] = main_help,
        [COMMAND_ASSESS] = assess_help,
        [COMMAND_ASK] = ask_help,
        [COMMAND_PROVE] = prove_help,
    };
    page_raw(page, pages[command]);
}
