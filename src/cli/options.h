/* The command line, read whole before anything is opened. */
#ifndef STAVE_CLI_OPTIONS_H
#define STAVE_CLI_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>

#include "show/page.h"

enum command {
    COMMAND_NONE,
    COMMAND_ASSESS,
    COMMAND_ASK,
    COMMAND_PROVE,
    COMMAND_DRAW,
    COMMAND_SHEET,
    COMMAND_PRINT,
    COMMAND_COMPARE,
    COMMAND_SWEEP
};
enum colour_choice { COLOUR_AUTO, COLOUR_ALWAYS, COLOUR_NEVER };

#define OPTIONS_MAPS 64 /* names that one comparison may map */
#define OPTIONS_SINCE 250 /* earlier records of one inspection */

struct options {
    enum command command;
    bool help, version;
    bool json, html, quiet, tap, junit, sarif;
    bool examples, claims; /* of a proof; none of them: all */
    bool obligations;
    bool pinned, suggest;
    unsigned pinned_least; /* per cent; 0: none asked for */
    enum colour_choice colour;
    bool replace, record, markdown;
    const char *with, *into; /* NULL: not given */
    const char *model;       /* of a family; NULL: not given */
    const char *against;     /* NULL: not given */
    const char *summary;     /* NULL: not given */
    unsigned threads;        /* 0: not given */
    const char **ignored;    /* columns that are left out */
    size_t ignored_count;
    const char *maps[OPTIONS_MAPS]; /* "old=new" */
    size_t map_count;
    const char *since[OPTIONS_SINCE];
    size_t since_count;
    const char *const *arguments; /* after the command, without the options */
    size_t argument_count;
};

/* The name of a command, and the number of its arguments. */
const char *command_name(enum command command);

/*
 * Reads the command line; the arguments stay in `argv`, which is put in order for that.
 * Returns false after writing what is wrong on `complaint`; `options` then holds what was
 * understood. `ignored` has room for as many as argv.
 */
bool options_read(int argc, char **argv, const char **ignored, struct options *options,
                  struct page *complaint);

#endif
