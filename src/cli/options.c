#include "cli/options.h"

#include <string.h>

/* ---- what there is ------------------------------------------------------------- */

#define IN(command) (1u << (command))

enum option_id {
    OPTION_HELP,
    OPTION_VERSION,
    OPTION_JSON,
    OPTION_HTML,
    OPTION_QUIET,
    OPTION_TAP,
    OPTION_JUNIT,
    OPTION_SARIF,
    OPTION_EXAMPLES,
    OPTION_CLAIMS,
    OPTION_OBLIGATIONS,
    OPTION_PINNED,
    OPTION_SUGGEST,
    OPTION_COLOUR,
    OPTION_WITH,
    OPTION_INTO,
    OPTION_SINCE,
    OPTION_REPLACE,
    OPTION_RECORD,
    OPTION_MARKDOWN,
    OPTION_FOR,
    OPTION_AGAINST,
    OPTION_SUMMARY,
    OPTION_IGNORE,
    OPTION_THREADS,
    OPTION_MAP
};

struct option {
    const char *name;
    enum option_id id;
    unsigned commands; /* that take it */
};

static const struct option all_options[] = {
    {"--help", OPTION_HELP,
     IN(COMMAND_NONE) | IN(COMMAND_ASSESS) | IN(COMMAND_ASK) | IN(COMMAND_PROVE) |
         IN(COMMAND_DRAW) | IN(COMMAND_SHEET) | IN(COMMAND_PRINT) | IN(COMMAND_COMPARE) |
         IN(COMMAND_SWEEP)},
    {"--version", OPTION_VERSION, IN(COMMAND_NONE)},
    {"--json", OPTION_JSON,
     IN(COMMAND_ASSESS) | IN(COMMAND_ASK) | IN(COMMAND_PROVE) | IN(COMMAND_COMPARE) |
         IN(COMMAND_SWEEP)},
    {"--html", OPTION_HTML, IN(COMMAND_ASSESS)},
    {"--quiet", OPTION_QUIET,
     IN(COMMAND_ASSESS) | IN(COMMAND_ASK) | IN(COMMAND_PROVE) | IN(COMMAND_COMPARE) |
         IN(COMMAND_SWEEP)},
    {"--tap", OPTION_TAP, IN(COMMAND_PROVE)},
    {"--junit", OPTION_JUNIT, IN(COMMAND_PROVE)},
    {"--sarif", OPTION_SARIF, IN(COMMAND_PROVE)},
    {"--examples", OPTION_EXAMPLES, IN(COMMAND_PROVE)},
    {"--claims", OPTION_CLAIMS, IN(COMMAND_PROVE)},
    {"--obligations", OPTION_OBLIGATIONS, IN(COMMAND_PROVE) | IN(COMMAND_COMPARE)},
    {"--pinned", OPTION_PINNED, IN(COMMAND_PROVE)},
    {"--suggest", OPTION_SUGGEST, IN(COMMAND_PROVE)},
    {"--colour", OPTION_COLOUR,
     IN(COMMAND_ASSESS) | IN(COMMAND_ASK) | IN(COMMAND_PROVE) | IN(COMMAND_DRAW) |
         IN(COMMAND_SHEET) | IN(COMMAND_PRINT) | IN(COMMAND_COMPARE) | IN(COMMAND_SWEEP)},
    {"--with", OPTION_WITH, IN(COMMAND_DRAW)},
    {"--into", OPTION_INTO, IN(COMMAND_DRAW)},
    {"--since", OPTION_SINCE, IN(COMMAND_ASSESS)},
    {"--replace", OPTION_REPLACE, IN(COMMAND_DRAW)},
    {"--record", OPTION_RECORD, IN(COMMAND_SHEET)},
    {"--markdown", OPTION_MARKDOWN, IN(COMMAND_PRINT)},
    {"--for", OPTION_FOR,
     IN(COMMAND_ASK) | IN(COMMAND_PROVE) | IN(COMMAND_DRAW) | IN(COMMAND_SHEET) |
         IN(COMMAND_PRINT) | IN(COMMAND_SWEEP) | IN(COMMAND_COMPARE)},
    {"--against", OPTION_AGAINST, IN(COMMAND_SWEEP)},
    {"--summary", OPTION_SUMMARY, IN(COMMAND_SWEEP)},
    {"--ignore", OPTION_IGNORE, IN(COMMAND_SWEEP)},
    {"--threads", OPTION_THREADS, IN(COMMAND_SWEEP)},
    {"--map", OPTION_MAP, IN(COMMAND_COMPARE)},
};
#define OPTION_COUNT (sizeof all_options / sizeof *all_options)

struct command_shape {
    const char *name;
    const char *usage;
    size_t least, most;
};

static const struct command_shape shapes[] = {
    [COMMAND_NONE] = {"", "stave COMMAND ...", 0, 0},
    [COMMAND_ASSESS] = {"assess", "stave assess BOOK INSPECTION [--since=EARLIER ...]", 2, 2},
    [COMMAND_ASK] = {"ask", "stave ask BOOK \"FINDING LINE\"", 2, 2},
    [COMMAND_PROVE] = {"prove", "stave prove BOOK [EXAMPLES...]", 1, (size_t)-1},
    [COMMAND_DRAW] = {"draw", "stave draw BOOK [PICTURE] [--with=INSPECTION] [--into=FOLDER]", 1,
                      2},
    [COMMAND_SHEET] = {"sheet", "stave sheet BOOK", 1, 1},
    [COMMAND_PRINT] = {"print", "stave print BOOK", 1, 1},
    [COMMAND_SWEEP] = {"sweep", "stave sweep BOOK FILE...", 2, (size_t)-1},
    [COMMAND_COMPARE] = {"compare", "stave compare FIRST SECOND [RECORDS...] [--map=OLD=NEW]", 2,
                         (size_t)-1},
};
#define COMMAND_COUNT (sizeof shapes / sizeof *shapes)

const char *command_name(enum command command)
{
    return shapes[command].name;
}

/* ---- "did you mean" ---------------------------------------------------------------- */

#define WORD_LIMIT 16

static size_t least_of(size_t a, size_t b, size_t c)
{
    size_t least = a < b ? a : b;
    return least < c ? least : c;
}

/* Letters to change, add or drop to make one word of the other. */
static size_t distance(const char *a, size_t a_size, const char *b)
{
    size_t b_size = strlen(b);
    if (a_size > WORD_LIMIT || b_size > WORD_LIMIT) {
        return WORD_LIMIT;
    }
    size_t row[WORD_LIMIT + 1];
    for (size_t j = 0; j <= b_size; j++) {
        row[j] = j;
    }
    for (size_t i = 1; i <= a_size; i++) {
        size_t corner = row[0];
        row[0] = i;
        for (size_t j = 1; j <= b_size; j++) {
            size_t above = row[j];
            row[j] = least_of(above + 1, row[j - 1] + 1, corner + (a[i - 1] != b[j - 1]));
            corner = above;
        }
    }
    return row[b_size];
}

static void suggest(struct page *page, const char *near, const char *help)
{
    if (near) {
        page_line(page, 2, 4, "help: did you mean '%s'? ('stave %s%s--help' lists all)", near, help,
                  help[0] ? " " : "");
    } else {
        page_line(page, 2, 4, "help: 'stave %s%s--help' lists all", help, help[0] ? " " : "");
    }
}

static void complain_option(struct page *page, const char *typed, enum command command)
{
    size_t size = strcspn(typed, "=");
    const char *near = NULL;
    size_t best = 3;
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        size_t far = distance(typed, size, all_options[i].name);
        if (all_options[i].commands & IN(command) && far < best) {
            best = far;
            near = all_options[i].name;
        }
    }
    page_line(page, 0, 2, "stave: unknown option '%s'", typed);
    suggest(page, near, command_name(command));
}

static void complain_command(struct page *page, const char *typed)
{
    const char *near = NULL;
    size_t best = 3;
    for (size_t i = 1; i < COMMAND_COUNT; i++) {
        size_t far = distance(typed, strlen(typed), shapes[i].name);
        if (far < best) {
            best = far;
            near = shapes[i].name;
        }
    }
    page_line(page, 0, 2, "stave: unknown command '%s'", typed);
    suggest(page, near, "");
}

/* ---- reading ------------------------------------------------------------------------- */

static bool read_colour(const char *value, struct options *options, struct page *complaint)
{
    static const char *const choices[] = {"auto", "always", "never"};
    for (int i = 0; value && i < 3; i++) {
        if (strcmp(value, choices[i]) == 0) {
            options->colour = (enum colour_choice)i;
            return true;
        }
    }
    if (value) {
        page_line(complaint, 0, 2, "stave: unknown value '%s' for '--colour'", value);
    } else {
        page_line(complaint, 0, 2, "stave: '--colour' has no value");
    }
    page_line(complaint, 2, 4, "help: write --colour=auto, --colour=always or --colour=never");
    return false;
}

static bool read_value(const struct option *option, const char *value, struct options *options,
                       struct page *complaint)
{
    const char **kept = option->id == OPTION_WITH  ? &options->with
                        : option->id == OPTION_FOR ? &options->model
                                                   : &options->into;
    if (!value || !value[0]) {
        page_line(complaint, 0, 2, "stave: '%s' has no value", option->name);
        page_line(complaint, 2, 4, "help: write %s=%s", option->name,
                  option->id == OPTION_WITH  ? "INSPECTION"
                  : option->id == OPTION_FOR ? "MODEL"
                                             : "FOLDER");
        return false;
    }
    if (*kept) {
        page_line(complaint, 0, 2, "stave: '%s' is given twice", option->name);
        return false;
    }
    *kept = value;
    return true;
}

/* Options of a sweep that take a value. */
static bool read_sweep_value(const struct option *option, const char *value,
                             struct options *options, struct page *complaint)
{
    if (!value || !value[0]) {
        page_line(complaint, 0, 2, "stave: '%s' needs a value: %s=%s", option->name, option->name,
                  option->id == OPTION_AGAINST   ? "NEWBOOK"
                  : option->id == OPTION_IGNORE  ? "COLUMN"
                  : option->id == OPTION_SUMMARY ? "FILE"
                                                 : "N");
        return false;
    }
    if (option->id == OPTION_IGNORE) {
        options->ignored[options->ignored_count++] = value;
        return true;
    }
    if (option->id == OPTION_AGAINST) {
        options->against = value;
        return true;
    }
    if (option->id == OPTION_SUMMARY) {
        options->summary = value;
        return true;
    }
    size_t digits = strspn(value, "0123456789");
    options->threads = digits == 1   ? (unsigned)(value[0] - '0')
                       : digits == 2 ? (unsigned)(value[0] - '0') * 10 + (unsigned)(value[1] - '0')
                                     : 0;
    if (value[digits] || options->threads < 1 || options->threads > 64) {
        page_line(complaint, 0, 2, "stave: '%s' is no number of threads from 1 to 64", value);
        return false;
    }
    return true;
}

static bool read_map(const char *value, struct options *options, struct page *complaint)
{
    if (!value || !value[0]) {
        page_line(complaint, 0, 2, "stave: '--map' has no value");
        page_line(complaint, 2, 4, "help: write --map=OLD=NEW");
        return false;
    }
    if (options->map_count == OPTIONS_MAPS) {
        page_line(complaint, 0, 2, "stave: '--map' is given more than %u times",
                  (unsigned)OPTIONS_MAPS);
        return false;
    }
    options->maps[options->map_count++] = value;
    return true;
}

/* "100%", and no more than that; without a value nothing is demanded. */
static bool read_pinned(const char *value, struct options *options, struct page *complaint)
{
    options->pinned = true;
    if (!value) {
        return true;
    }
    size_t digits = strspn(value, "0123456789");
    unsigned least = 0;
    for (size_t i = 0; i < digits && i < 4; i++) {
        least = 10 * least + (unsigned)(value[i] - '0');
    }
    if (digits < 1 || digits > 3 || least > 100 || strcmp(value + digits, "%") != 0) {
        page_line(complaint, 0, 2, "stave: '%s' is no share from 0%% to 100%%", value);
        page_line(complaint, 2, 4, "help: write --pinned=100%%");
        return false;
    }
    options->pinned_least = least;
    return true;
}

static const struct option *find_option(const char *typed, enum command command)
{
    size_t size = strcspn(typed, "=");
    for (size_t i = 0; i < OPTION_COUNT; i++) {
        if (strlen(all_options[i].name) == size && strncmp(typed, all_options[i].name, size) == 0 &&
            all_options[i].commands & IN(command)) {
            return &all_options[i];
        }
    }
    return NULL;
}

static bool read_since(const char *value, struct options *options, struct page *complaint)
{
    if (!value || !value[0]) {
        page_line(complaint, 0, 2, "stave: '--since' has no value");
        page_line(complaint, 2, 4, "help: write --since EARLIER, an inspection before this one");
        return false;
    }
    if (options->since_count == OPTIONS_SINCE) {
        page_line(complaint, 0, 2, "stave: more than %d earlier inspections", OPTIONS_SINCE);
        return false;
    }
    options->since[options->since_count++] = value;
    return true;
}

/* `next` is the argument that follows, or NULL; *taken says that it was the option's value. */
static bool read_option(const char *typed, const char *next, bool *taken, struct options *options,
                        struct page *complaint)
{
    *taken = false;
    const struct option *option = find_option(typed, options->command);
    if (!option) {
        complain_option(complaint, typed, options->command);
        return false;
    }
    const char *value = strchr(typed, '=');
    if (option->id == OPTION_COLOUR) {
        return read_colour(value ? value + 1 : NULL, options, complaint);
    }
    if (option->id == OPTION_WITH || option->id == OPTION_INTO || option->id == OPTION_FOR) {
        return read_value(option, value ? value + 1 : NULL, options, complaint);
    }
    if (option->id == OPTION_AGAINST || option->id == OPTION_SUMMARY ||
        option->id == OPTION_IGNORE || option->id == OPTION_THREADS) {
        return read_sweep_value(option, value ? value + 1 : NULL, options, complaint);
    }
    if (option->id == OPTION_MAP) {
        return read_map(value ? value + 1 : NULL, options, complaint);
    }
    if (option->id == OPTION_SINCE) {
        *taken = !value && next != NULL;
        return read_since(value ? value + 1 : next, options, complaint);
    }
    if (option->id == OPTION_PINNED) {
        return read_pinned(value ? value + 1 : NULL, options, complaint);
    }
    if (value) {
        page_line(complaint, 0, 2, "stave: '%s' takes no value: '%s'", option->name, typed);
        return false;
    }
    switch (option->id) {
    case OPTION_HELP:
        options->help = true;
        break;
    case OPTION_VERSION:
        options->version = true;
        break;
    case OPTION_JSON:
        options->json = true;
        break;
    case OPTION_HTML:
        options->html = true;
        break;
    case OPTION_QUIET:
        options->quiet = true;
        break;
    case OPTION_TAP:
        options->tap = true;
        break;
    case OPTION_JUNIT:
        options->junit = true;
        break;
    case OPTION_SARIF:
        options->sarif = true;
        break;
    case OPTION_EXAMPLES:
        options->examples = true;
        break;
    case OPTION_CLAIMS:
        options->claims = true;
        break;
    case OPTION_OBLIGATIONS:
        options->obligations = true;
        break;
    case OPTION_SUGGEST:
        options->suggest = true;
        break;
    case OPTION_REPLACE:
        options->replace = true;
        break;
    case OPTION_RECORD:
        options->record = true;
        break;
    case OPTION_MARKDOWN:
        options->markdown = true;
        break;
    case OPTION_COLOUR:
    case OPTION_PINNED:
    case OPTION_WITH:
    case OPTION_INTO:
    case OPTION_FOR:
    case OPTION_AGAINST:
    case OPTION_SUMMARY:
    case OPTION_IGNORE:
    case OPTION_THREADS:
    case OPTION_MAP:
    case OPTION_SINCE:
        break;
    }
    return true;
}

static bool read_command(const char *typed, struct options *options, struct page *complaint)
{
    for (size_t i = 1; i < COMMAND_COUNT; i++) {
        if (strcmp(typed, shapes[i].name) == 0) {
            options->command = (enum command)i;
            return true;
        }
    }
    complain_command(complaint, typed);
    return false;
}

static bool check_together(const struct options *options, struct page *complaint)
{
    static const char *const names[] = {"--json", "--html",  "--quiet",
                                        "--tap",  "--junit", "--sarif", "--obligations",
                                        "--suggest"};
    const bool given[] = {options->json, options->html, options->quiet, options->tap,
                          options->junit, options->sarif, options->obligations,
                          options->suggest};
    int first = -1;
    for (int i = 0; i < (int)(sizeof given / sizeof *given); i++) {
        if (given[i] && first >= 0 && options->command != COMMAND_SWEEP) {
            page_line(complaint, 0, 2, "stave: '%s' and '%s' cannot go together: choose one form",
                      names[first], names[i]);
            return false;
        }
        first = given[i] ? i : first;
    }
    const char *idle = options->examples    ? "--examples"
                       : options->claims    ? "--claims"
                       : options->map_count ? "--map"
                                            : NULL;
    if (options->obligations && idle) {
        page_line(complaint, 0, 2, "stave: '--obligations' and '%s' cannot go together", idle);
        return false;
    }
    return true;
}

static bool check_arguments(const struct options *options, struct page *complaint)
{
    const struct command_shape *shape = &shapes[options->command];
    size_t from_input = 0;
    for (size_t i = 0; i < options->argument_count; i++) {
        from_input += strcmp(options->arguments[i], "-") == 0;
    }
    from_input += options->with && strcmp(options->with, "-") == 0;
    size_t most = options->obligations ? shape->least : shape->most; /* of books alone */
    from_input += options->against && strcmp(options->against, "-") == 0;
    for (size_t i = 0; i < options->since_count; i++) {
        from_input += strcmp(options->since[i], "-") == 0;
    }
    if (options->argument_count < shape->least) {
        page_line(complaint, 0, 2, "stave: too few arguments for '%s'", shape->name);
    } else if (options->argument_count > most) {
        page_line(complaint, 0, 2, "stave: too many arguments for '%s': '%s'", shape->name,
                  options->arguments[most]);
    } else if (from_input > 1) {
        page_line(complaint, 0, 2, "stave: '-' given twice: standard input is one text only");
    } else {
        return true;
    }
    page_line(complaint, 2, 4, "help: write %s%s", shape->usage,
              options->command == COMMAND_ASK ? ", the finding line in quotes" : "");
    return false;
}

bool options_read(int argc, char **argv, const char **ignored, struct options *options,
                  struct page *complaint)
{
    *options = (struct options){.command = COMMAND_NONE, .ignored = ignored};
    bool literal = false;
    int kept = 0;
    for (int i = 1; i < argc; i++) {
        const char *typed = argv[i];
        bool is_option = !literal && typed[0] == '-' && typed[1];
        if (is_option && strcmp(typed, "--") == 0) {
            literal = true;
        } else if (is_option) {
            bool taken;
            if (!read_option(typed, i + 1 < argc ? argv[i + 1] : NULL, &taken, options,
                             complaint)) {
                return false;
            }
            i += taken;
        } else if (options->command == COMMAND_NONE) {
            if (!read_command(typed, options, complaint)) {
                return false;
            }
        } else {
            argv[kept++] = argv[i];
        }
    }
    options->arguments = (const char *const *)argv;
    options->argument_count = (size_t)kept;
    if (options->help || options->version) {
        return true;
    }
    if (options->command == COMMAND_NONE) {
        page_line(complaint, 0, 2, "stave: no command given");
        suggest(complaint, NULL, "");
        return false;
    }
    return check_together(options, complaint) && check_arguments(options, complaint);
}
