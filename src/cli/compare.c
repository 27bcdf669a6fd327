/* stave compare FIRST SECOND [RECORDS...] */
#include <stdlib.h>
#include <string.h>

#include "cli/progress.h"
#include "cli/run.h"
#include "show/comparing.h"

/* One comparison: two books, and what was found. */
struct comparison {
    struct run *run;
    const stave_book *books[2];
    struct stave_renamed renamed[OPTIONS_MAPS];
    char *names[OPTIONS_MAPS]; /* the first's, cut out of the option */
    size_t renamed_count;
    struct show_past *past;
    stave_record *(*records)[2]; /* on which each of `past` rests */
    size_t past_count, past_capacity, judged, changed, left_out;
};

/* ---- names that are mapped ----------------------------------------------------------------- */

static enum exit_status wrong_map(struct run *run, const char *map, const char *what)
{
    page_line(&run->err, 0, 2, "stave: '--map=%s': %s", map, what);
    page_line(&run->err, 2, 4,
              "help: write --map=OLD=NEW, a name of the first book and what the "
              "second calls it");
    return EXIT_INPUT;
}

static bool among(const char *const *names, size_t count, const char *wanted)
{
    for (size_t i = 0; i < count; i++) {
        if (strcmp(names[i], wanted) == 0) {
            return true;
        }
    }
    return false;
}

static bool part_has(const struct stave_part *part, const char *name)
{
    bool found = strcmp(part->name, name) == 0 || among(part->sides, part->side_count, name) ||
                 among(part->places, part->place_count, name);
    for (size_t i = 0; i < part->axis_count; i++) {
        found = found || strcmp(part->axes[i].name, name) == 0;
    }
    return found;
}

/* Is it the name of anything in the book? */
static bool outline_has(const stave_outline *outline, const char *name)
{
    bool found = false;
    for (size_t i = 0; i < outline->book->scale_count; i++) {
        found = found || strcmp(outline->book->scale[i].name, name) == 0;
    }
    for (size_t i = 0; i < outline->part_count; i++) {
        found = found || part_has(&outline->parts[i], name);
    }
    for (size_t i = 0; i < outline->zone_count; i++) {
        found = found || strcmp(outline->zones[i].name, name) == 0;
    }
    for (size_t i = 0; i < outline->quality_count; i++) {
        const struct stave_quality *quality = &outline->qualities[i];
        found = found || strcmp(quality->name, name) == 0 ||
                among(quality->values, quality->value_count, name);
    }
    for (size_t i = 0; i < outline->kind_count; i++) {
        found = found || strcmp(outline->kinds[i].name, name) == 0;
    }
    for (size_t i = 0; i < outline->curve_count; i++) {
        found = found || strcmp(outline->curves[i].name, name) == 0;
    }
    for (size_t i = 0; i < outline->reckoned_count; i++) {
        found = found || strcmp(outline->reckoned[i].name, name) == 0;
    }
    return found;
}

static enum exit_status cut_map(struct comparison *comparison, const char *map)
{
    struct run *run = comparison->run;
    const char *sign = strchr(map, '=');
    if (!sign || sign == map || !sign[1]) {
        return wrong_map(run, map, "not two names");
    }
    char *name = calloc(1, (size_t)(sign - map) + 1);
    if (!name) {
        return run_refused(run, STAVE_NO_MEMORY, "");
    }
    memcpy(name, map, (size_t)(sign - map));
    comparison->names[comparison->renamed_count] = name;
    for (size_t i = 0; i < comparison->renamed_count; i++) {
        if (strcmp(comparison->renamed[i].first, name) == 0 ||
            strcmp(comparison->renamed[i].second, sign + 1) == 0) {
            comparison->renamed[comparison->renamed_count++].first = name;
            return wrong_map(run, map, "one of its names is mapped already");
        }
    }
    comparison->renamed[comparison->renamed_count++] = (struct stave_renamed){name, sign + 1};
    return EXIT_YES;
}

static const char *name_in(const struct stave_renamed *renamed, int side)
{
    return side == 0 ? renamed->first : renamed->second;
}

/* Has the book of one side, too, what a mapped name is called on the other side, and is that not mapped? */
static bool is_in_the_way(const struct comparison *comparison, const stave_outline *outline,
                          int side, const char *other)
{
    for (size_t i = 0; i < comparison->renamed_count; i++) {
        if (strcmp(name_in(&comparison->renamed[i], side), other) == 0) {
            return false;
        }
    }
    return outline_has(outline, other);
}

/* A name that is mistyped would map nothing, in silence. */
static enum exit_status check_maps(struct comparison *comparison)
{
    struct run *run = comparison->run;
    enum exit_status answer = EXIT_YES;
    for (int side = 0; side < 2 && comparison->renamed_count > 0; side++) {
        stave_outline *outline;
        enum stave_status status =
            stave_outline_make(&run->host, comparison->books[side], &outline);
        if (status != STAVE_OK) {
            return run_refused(run, status, "the book");
        }
        for (size_t i = 0; i < comparison->renamed_count; i++) {
            const struct stave_renamed *renamed = &comparison->renamed[i];
            const char *name = name_in(renamed, side), *other = name_in(renamed, 1 - side);
            if (!outline_has(outline, name)) {
                page_line(&run->err, 0, 2, "stave: '--map=%s=%s': the %s book has no '%s'",
                          renamed->first, renamed->second, side == 0 ? "first" : "second", name);
                answer = EXIT_INPUT;
            } else if (is_in_the_way(comparison, outline, side, other)) {
                page_line(&run->err, 0, 2,
                          "stave: '--map=%s=%s': the %s book has '%s', too, and two names would "
                          "be one",
                          renamed->first, renamed->second, side == 0 ? "first" : "second", other);
                page_line(&run->err, 2, 4, "help: map that one as well");
                answer = EXIT_INPUT;
            }
        }
        stave_outline_free(outline);
    }
    return answer;
}

static enum exit_status read_maps(struct comparison *comparison)
{
    const struct options *options = comparison->run->options;
    enum exit_status status = EXIT_YES;
    for (size_t i = 0; i < options->map_count && status == EXIT_YES; i++) {
        status = cut_map(comparison, options->maps[i]);
    }
    return status == EXIT_YES ? check_maps(comparison) : status;
}

/* ---- past inspections -------------------------------------------------------------------------- */

static bool grow_past(struct comparison *comparison)
{
    size_t capacity = comparison->past_capacity ? 2 * comparison->past_capacity : 16;
    struct show_past *past = realloc(comparison->past, capacity * sizeof *past);
    comparison->past = past ? past : comparison->past;
    stave_record *(*records)[2] =
        past ? realloc(comparison->records, capacity * sizeof *records) : NULL;
    comparison->records = records ? records : comparison->records;
    comparison->past_capacity = records ? capacity : comparison->past_capacity;
    return records != NULL;
}

/* A record read by both books. `owner` is -1 when neither made it. */
struct read_twice {
    stave_record *records[2];
    enum stave_status statuses[2];
    int owner;
};

static void forget(struct show_past *past, struct read_twice *twice)
{
    for (int side = 0; side < 2; side++) {
        stave_verdict_free((stave_verdict *)past->verdicts[side]);
        stave_record_free(twice->records[side]);
    }
}

/* Takes over the verdicts and the records. */
static enum exit_status keep_past(struct comparison *comparison, struct show_past *past,
                                  struct read_twice *twice)
{
    if (comparison->past_count == comparison->past_capacity && !grow_past(comparison)) {
        forget(past, twice);
        return run_refused(comparison->run, STAVE_NO_MEMORY, "");
    }
    memcpy(comparison->records[comparison->past_count], twice->records, sizeof twice->records);
    comparison->past[comparison->past_count++] = *past;
    return EXIT_YES;
}

/* Was it refused only because another book made it? */
static bool is_of_another_book(const stave_record *record)
{
    size_t count;
    const struct stave_problem *problems = stave_record_problems(record, &count);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(problems[i].code, "other-edition") == 0 ||
            strcmp(problems[i].code, "other-book") == 0) {
            return true;
        }
    }
    return false;
}

static const char *first_error(const stave_record *record)
{
    size_t count;
    const struct stave_problem *problems = stave_record_problems(record, &count);
    for (size_t i = 0; i < count; i++) {
        if (problems[i].severity == STAVE_ERROR) {
            return problems[i].message;
        }
    }
    return "it has errors";
}

/* Reads it by the book that made it. Any other answer than EXIT_YES ends the run. */
static enum exit_status read_own(struct comparison *comparison, const struct stave_text *text,
                                 struct read_twice *twice)
{
    struct run *run = comparison->run;
    twice->owner = -1;
    for (int side = 0; side < 2 && twice->owner < 0; side++) {
        enum stave_status status =
            stave_record_read(&run->host, comparison->books[side], text, &twice->records[side]);
        if (status != STAVE_OK && status != STAVE_PROBLEMS) {
            return run_refused(run, status, text->name);
        }
        twice->statuses[side] = status;
        if (status == STAVE_OK || !is_of_another_book(twice->records[side])) {
            twice->owner = side;
        } else {
            stave_record_free(twice->records[side]);
            twice->records[side] = NULL;
        }
    }
    return EXIT_YES;
}

/* Reads what one book made by the other. */
static enum exit_status read_other(struct comparison *comparison, const struct stave_text *text,
                                   struct read_twice *twice)
{
    int other = 1 - twice->owner;
    struct stave_renamed back[OPTIONS_MAPS];
    for (size_t i = 0; i < comparison->renamed_count; i++) {
        const struct stave_renamed *renamed = &comparison->renamed[i];
        back[i] = other == 1 ? *renamed : (struct stave_renamed){renamed->second, renamed->first};
    }
    enum stave_status status = stave_record_read_anew(
        &comparison->run->host, comparison->books[other], comparison->books[twice->owner], back,
        comparison->renamed_count, text, &twice->records[other]);
    twice->statuses[other] = status;
    return status == STAVE_OK || status == STAVE_PROBLEMS
               ? EXIT_YES
               : run_refused(comparison->run, status, text->name);
}

/* Judges by both, or by the one that can. */
static enum exit_status judge_sides(struct run *run, struct show_past *past,
                                    struct read_twice *twice)
{
    for (int side = 0; side < 2; side++) {
        stave_verdict *verdict = NULL;
        if (twice->statuses[side] == STAVE_PROBLEMS) {
            past->why_not = first_error(twice->records[side]);
            continue;
        }
        enum stave_status status = stave_assess(&run->host, twice->records[side], &verdict);
        past->verdicts[side] = verdict;
        if (status != STAVE_OK) {
            return run_refused(run, status, past->name);
        }
    }
    return EXIT_YES;
}

/* Is it surely of the model that is compared, by one side? Of a book without models it is. */
static bool is_of_compared(const struct comparison *comparison, const stave_verdict *verdict,
                           int side)
{
    const char *model = stave_book_facts(comparison->books[side])->model;
    return verdict && !verdict->model_open[0] && strcmp(verdict->book->model, model) == 0;
}

static enum show_past_sort sort_past(const struct comparison *comparison,
                                     const struct show_past *past)
{
    if (!is_of_compared(comparison, past->verdicts[0], 0) &&
        !is_of_compared(comparison, past->verdicts[1], 1)) {
        return show_past_open(past) ? SHOW_PAST_OPEN : SHOW_PAST_OF_OTHER;
    }
    return past->why_not || show_past_differs(comparison->renamed, comparison->renamed_count,
                                              past->verdicts[0], past->verdicts[1])
               ? SHOW_PAST_OTHERWISE
               : SHOW_PAST_SAME;
}

/* Judges by both, and keeps what comes out otherwise, or is not counted. Takes over the records. */
static enum exit_status judge_twice(struct comparison *comparison, const char *name,
                                    struct read_twice *twice)
{
    struct show_past past = {.name = name, .owner = (unsigned)twice->owner};
    enum exit_status status = judge_sides(comparison->run, &past, twice);
    if (status == EXIT_YES) {
        past.sort = sort_past(comparison, &past);
        comparison->judged += past.sort == SHOW_PAST_SAME || past.sort == SHOW_PAST_OTHERWISE;
        comparison->changed += past.sort == SHOW_PAST_OTHERWISE;
        if (past.sort != SHOW_PAST_SAME) {
            return keep_past(comparison, &past, twice);
        }
    }
    forget(&past, twice);
    return status;
}

static void free_twice(struct read_twice *twice)
{
    stave_record_free(twice->records[0]);
    stave_record_free(twice->records[1]);
}

static enum exit_status judge_file(struct comparison *comparison, const char *path)
{
    struct run *run = comparison->run;
    struct stave_text text;
    struct read_twice twice = {{NULL, NULL}, {STAVE_OK, STAVE_OK}, -1};
    enum exit_status status = run_open(run, path, &text);
    if (status == EXIT_YES) {
        status = read_own(comparison, &text, &twice);
    }
    if (status == EXIT_YES && twice.owner < 0) {
        comparison->left_out++;
        return EXIT_YES;
    }
    if (status == EXIT_YES && twice.statuses[twice.owner] == STAVE_PROBLEMS) {
        size_t count;
        const struct stave_problem *problems =
            stave_record_problems(twice.records[twice.owner], &count);
        status = run_problems(run, problems, count);
    }
    if (status == EXIT_YES) {
        status = read_other(comparison, &text, &twice);
    }
    if (status != EXIT_YES) {
        free_twice(&twice);
        return status;
    }
    return judge_twice(comparison, text.name, &twice);
}

static enum exit_status judge_folder(struct comparison *comparison, const char *path)
{
    struct run *run = comparison->run;
    struct files_list list;
    enum files_result result = files_list(&run->files, path, ".yaml", &list);
    if (result == FILES_NO_MEMORY) {
        return run_refused(run, STAVE_NO_MEMORY, path);
    }
    if (result == FILES_UNREADABLE) {
        return run_unreadable(run, path);
    }
    enum exit_status status = EXIT_YES;
    for (size_t i = 0; i < list.count && status == EXIT_YES; i++) {
        status = judge_file(comparison, list.paths[i]);
    }
    files_list_free(&list);
    return status;
}

static enum exit_status judge_past(struct comparison *comparison)
{
    const struct options *options = comparison->run->options;
    enum exit_status status = EXIT_YES;
    for (size_t i = 2; i < options->argument_count && status == EXIT_YES; i++) {
        const char *path = options->arguments[i];
        status =
            files_is_folder(path) ? judge_folder(comparison, path) : judge_file(comparison, path);
    }
    return status;
}

/* ---- the comparison ------------------------------------------------------------------------------- */

static enum exit_status answer_of(const stave_compared *answers)
{
    static const enum exit_status statuses[] = {
        [SHOW_SAME] = EXIT_YES,
        [SHOW_OTHERWISE] = EXIT_STRICTER,
        [SHOW_STRICTER] = EXIT_STRICTER,
        [SHOW_NOT_PROVED] = EXIT_UNKNOWN,
        [SHOW_LOOSER] = EXIT_NO,
    };
    enum show_sameness sameness = show_sameness(answers);
    return answers->stopped && sameness != SHOW_LOOSER ? EXIT_STOPPED : statuses[sameness];
}

static enum exit_status show(struct comparison *comparison, const stave_compared *answers,
                             const stave_changes *changes)
{
    struct run *run = comparison->run;
    struct show_compared shown = {
        .answers = answers,
        .changes = changes,
        .renamed = comparison->renamed,
        .renamed_count = comparison->renamed_count,
        .past = comparison->past,
        .past_count = comparison->past_count,
        .past_judged = comparison->judged,
        .past_changed = comparison->changed,
        .past_left_out = comparison->left_out,
    };
    for (int side = 0; side < 2; side++) {
        shown.books[side] = stave_book_facts(comparison->books[side]);
        shown.problems[side] =
            stave_book_problems(comparison->books[side], &shown.problem_counts[side]);
    }
    if (run->options->json) {
        show_comparison_json(&run->out, &shown);
    } else {
        for (int side = 0; side < 2; side++) {
            show_problems(&run->err, shown.problems[side], shown.problem_counts[side]);
        }
        if (!run->options->quiet) {
            show_comparison(&run->out, &shown);
        }
    }
    return answer_of(answers);
}

static enum exit_status compare(struct comparison *comparison)
{
    struct run *run = comparison->run;
    stave_compared *answers = NULL;
    stave_changes *changes = NULL;
    struct progress progress;
    progress_begin(&progress, "kinds");
    const struct stave_proving how = {.progress = progress_tell, .user = &progress};
    enum stave_status status =
        stave_compare(&run->host, comparison->books[0], comparison->books[1], comparison->renamed,
                      comparison->renamed_count, &how, &answers);
    progress_end(&progress);
    if (status == STAVE_OK) {
        status = stave_changes_make(&run->host, comparison->books[0], comparison->books[1],
                                    comparison->renamed, comparison->renamed_count, &changes);
    }
    enum exit_status answer = status == STAVE_OK ? show(comparison, answers, changes)
                                                 : run_refused(run, status, "the comparison");
    stave_changes_free(changes);
    stave_compared_free(answers);
    return answer;
}

/* ---- the command ------------------------------------------------------------------------------------ */

static void comparison_end(struct comparison *comparison)
{
    for (size_t i = 0; i < comparison->past_count; i++) {
        for (int side = 0; side < 2; side++) {
            stave_verdict_free((stave_verdict *)comparison->past[i].verdicts[side]);
            stave_record_free(comparison->records[i][side]);
        }
    }
    for (size_t i = 0; i < comparison->renamed_count; i++) {
        free(comparison->names[i]);
    }
    free(comparison->past);
    free(comparison->records);
}

enum exit_status command_compare(struct run *run)
{
    struct comparison comparison = {.run = run};
    enum exit_status status = run_read_two(run, run->options->arguments, comparison.books);
    if (status == EXIT_YES && run->options->obligations) {
        status = run_obligations(run, comparison.books[0], comparison.books[1]);
        comparison_end(&comparison);
        return status;
    }
    if (status == EXIT_YES) {
        status = read_maps(&comparison);
    }
    if (status == EXIT_YES) {
        status = judge_past(&comparison);
    }
    if (status == EXIT_YES) {
        status = compare(&comparison);
    }
    comparison_end(&comparison);
    return status;
}
