#include "cli/run.h"

static const char main_help[] =
    "Stave judges damage to an aircraft propeller against published limits.\n"
    "\n"
    "  stave assess BOOK INSPECTION      one inspection: may it fly, and why\n"
    "  stave ask BOOK \"FINDING LINE\"     one quick question, one answer\n"
    "  stave prove BOOK [EXAMPLES...]    a book against its worked examples\n"
    "\n"
    "  stave COMMAND --help              more about a command\n"
    "  stave --help, stave --version\n"
    "\n"
    "A book is a file of limits (.stave), an inspection is a record in YAML. '-'\n"
    "in place of one of them is standard input.\n"
    "\n"
    "Exit status of assess and ask:\n"
    "  0  fit to fly\n"
    "  1  not fit to fly\n"
    "  2  not known yet, or the inspection is incomplete\n"
    "Exit status of prove:\n"
    "  0  every example passes\n"
    "  1  an example fails, or there is none\n"
    "Exit status of all:\n"
    "  3  an error in a text, in a file or in the command line\n"
    "  4  an error of the program's own: no memory, or the answer cannot be written\n"
    "\n"
    "The answer is an aid. Approved data and local rules govern, and a licensed\n"
    "person decides.\n";

static const char assess_help[] =
    "stave assess BOOK INSPECTION [--json | --html | --quiet] [--colour=WHEN]\n"
    "\n"
    "Judges one inspection against a book: each finding, check and search, then\n"
    "each part and the propeller, with the figures, the lines that decide, and what\n"
    "to do by when.\n"
    "\n"
    "  --json           the verdict for programs, as verdict.schema.json has it;\n"
    "                   errors in a text or file too are then JSON, on standard\n"
    "                   output\n"
    "  --html           a report as one HTML page, with maps of the parts, to print\n"
    "                   and sign: stave assess BOOK INSPECTION --html > report.html\n"
    "  --quiet          no verdict, only the exit status\n"
    "  --colour=WHEN    auto (on a terminal, unless NO_COLOR is set), always, never\n"
    "\n"
    "'-' in place of BOOK or of INSPECTION is standard input.\n"
    "\n"
    "Exit status:\n"
    "  0  fit to fly\n"
    "  1  not fit to fly\n"
    "  2  not known yet, or the inspection is incomplete\n"
    "  3  an error in a text, in a file or in the command line\n"
    "  4  an error of the program's own: no memory, or the answer cannot be written\n";

static const char ask_help[] =
    "stave ask BOOK \"FINDING LINE\" [--json | --quiet] [--colour=WHEN]\n"
    "\n"
    "Judges one finding by itself, written as an inspection has it:\n"
    "\n"
    "  stave ask bm3.stave \"blade 1 gouge at station 36 in, depth 27 thou\"\n"
    "\n"
    "The answer says nothing of the rest of the propeller.\n"
    "\n"
    "  --json           the verdict for programs, as verdict.schema.json has it;\n"
    "                   errors in a text or file too are then JSON, on standard\n"
    "                   output\n"
    "  --quiet          no verdict, only the exit status\n"
    "  --colour=WHEN    auto (on a terminal, unless NO_COLOR is set), always, never\n"
    "\n"
    "'-' in place of BOOK or of the finding line is standard input.\n"
    "\n"
    "Exit status:\n"
    "  0  fit to fly, by this finding alone\n"
    "  1  not fit to fly\n"
    "  2  not known yet\n"
    "  3  an error in a text, in a file or in the command line\n"
    "  4  an error of the program's own: no memory, or the answer cannot be written\n";

static const char prove_help[] =
    "stave prove BOOK [EXAMPLES...] [--tap | --junit | --quiet] [--colour=WHEN]\n"
    "\n"
    "Runs every worked example of a book, and of the files of examples named after\n"
    "it. Shows each that fails, with the outcome expected, the outcome found and\n"
    "why, and then the count.\n"
    "\n"
    "  --tap            the results as TAP 14\n"
    "  --junit          the results as JUnit XML\n"
    "  --quiet          no results, only the exit status\n"
    "  --colour=WHEN    auto (on a terminal, unless NO_COLOR is set), always, never\n"
    "\n"
    "'-' in place of one of the files is standard input.\n"
    "\n"
    "Exit status:\n"
    "  0  every example passes\n"
    "  1  an example fails, or there is none\n"
    "  3  an error in a text, in a file or in the command line\n"
    "  4  an error of the program's own: no memory, or the answer cannot be written\n";

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
