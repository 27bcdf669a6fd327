/* The book's head and its scale. */
#include "book/check.h"
#include "book/family.h"

#include <string.h>

/* The start of the book's own text, for what should be there and is not. */
static struct span text_start(const struct checker *checker)
{
    return (struct span){.source = checker->book->sources[0], .from = 0, .to = 0};
}

static void missing(struct checker *checker, struct span at, const char *message, const char *help)
{
    if (checker->unread)
        return;
    problem_help(check_error(checker, "missing", at, message), checker->problems, "%s", help);
}

static void head_read(struct checker *checker, const struct tree_head *head)
{
    struct book *book = checker->book;
    struct span at = head->id.text != NULL ? head->id.span : head->span;

    book->id = head->id.text != NULL ? head->id.text : "";
    book->title = head->title.text != NULL ? head->title.text : "";
    book->edition = head->edition.text != NULL ? head->edition.text : "";
    book->dated = head->dated.text != NULL ? head->dated.text : "";
    book->as_read = head->as_read;
    book->models = words_list(checker, head->models, 1024, "model", "models", &book->model_count);
    book->cautions = words_strings(checker, head->cautions, &book->caution_count);
    if (head->id.text == NULL)
        missing(checker, at, "book has no name", "write 'book NAME', as in 'book BM-3'");
    if (book->edition[0] == '\0')
        missing(checker, at, "book has no edition",
                "write 'edition \"…\"' below it: a record names the edition that it was judged by");
    if (book->model != NULL) {
        book->models = book->model->served;
        book->model_count = book->model->served_count;
    }
    if (book->model_count == 0)
        missing(checker, at, "book names no model", "write 'for model …' below it");
}

void head_check(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_head *head = book->trees[0]->head;
    uint32_t i;

    book->id = book->title = book->edition = book->dated = "";
    if (head != NULL)
        head_read(checker, head);
    else
        missing(checker, text_start(checker), "no 'book' head in this text",
                "write 'book NAME', 'edition \"…\"' and 'for model …' at its top");
    if (book->trees[0]->second_head != NULL) {
        struct stave_problem *problem =
            check_error(checker, "duplicate-head", book->trees[0]->second_head->span,
                        "second 'book' head in this text");

        if (head != NULL)
            check_second(checker, problem, head->span, "first here");
    }
    for (i = 1; i < book->tree_count; i++)
        if (book->trees[i]->head != NULL)
            problem_help(check_error(checker, "head-in-used-text", book->trees[i]->head->span,
                                     "'book' head in a text that another uses"),
                         checker->problems, "a common file has no head: only the book itself does");
}

/* ---- the scale ----------------------------------------------------------------------- */

static void find_scale(struct checker *checker)
{
    const struct book *book = checker->book;
    uint32_t i;

    for (i = 0; i < book->tree_count; i++) {
        const struct tree_scale *scales[2] = {book->trees[i]->scale, book->trees[i]->second_scale};
        unsigned each;

        for (each = 0; each < 2; each++) {
            if (scales[each] == NULL)
                continue;
            if (checker->scale == NULL) {
                checker->scale = scales[each];
                continue;
            }
            check_second(checker,
                         check_error(checker, "duplicate-scale", scales[each]->span,
                                     "second scale: a book has one"),
                         checker->scale->span, "first here");
        }
    }
}

static void add_outcome(struct checker *checker, const struct tree_outcome *tree)
{
    struct book *book = checker->book;

    if (book->scale_count == BOOK_OUTCOMES - 2) {
        problem_add(checker->problems, STAVE_ERROR, "too-many", tree->name.span,
                    "more than %d outcomes", BOOK_OUTCOMES - 2);
        return;
    }
    if (book->scale_count > BOOK_OUTCOMES - 2)
        return;
    if (strcmp(tree->name.text, "incomplete") == 0)
        problem_help(check_error(checker, "duplicate-name", tree->name.span,
                                 "outcome 'incomplete' is the language's own"),
                     checker->problems, "give it another name");
    names_add(checker, tree->name, SORT_OUTCOME, book->scale_count);
    book->scale[book->scale_count++] = (struct outcome){
        .name = tree->name.text,
        .meaning = tree->meaning.text != NULL ? tree->meaning.text : "",
        .flight = !tree->grounds,
        .tails = tree->tails,
        .span = tree->name.span,
    };
}

void scale_declare(struct checker *checker)
{
    struct book *book = checker->book;
    const struct tree_outcome *tree;

    find_scale(checker);
    book->scale = ARENA_ARRAY(checker->arena, struct outcome, BOOK_OUTCOMES);
    if (checker->scale != NULL)
        for (tree = checker->scale->outcomes; tree != NULL; tree = tree->next)
            if (tree->name.text != NULL)
                add_outcome(checker, tree);
    book->no_published_limit = book->scale_count++;
    book->incomplete = book->scale_count++;
    book->scale[book->no_published_limit] =
        (struct outcome){.name = "no published limit", .meaning = ""};
    book->scale[book->incomplete] = (struct outcome){.name = "incomplete", .meaning = ""};
}

static void check_no_flight(struct checker *checker)
{
    const struct tree_scale *scale = checker->scale;
    const struct book *book = checker->book;
    uint32_t flying = 0, i;

    for (i = 0; i < book->no_published_limit; i++)
        flying += book->scale[i].flight;
    if (scale->no_flight_count == 0) {
        missing(checker, scale->span, "scale has no 'no flight' line",
                "write 'no flight' on a line of its own: every outcome below it grounds");
        return;
    }
    if (scale->no_flight_count > 1)
        check_second(checker,
                     check_error(checker, "no-flight", scale->second_no_flight,
                                 "second 'no flight' in the scale: it has exactly one"),
                     scale->no_flight, "first here");
    if (flying == 0)
        missing(checker, scale->no_flight, "no outcome above 'no flight'",
                "name at least one outcome that lets the propeller fly");
    if (flying == book->no_published_limit)
        missing(checker, scale->no_flight, "no outcome below 'no flight'",
                "name at least one outcome that grounds the propeller");
}

void scale_resolve(struct checker *checker)
{
    const struct tree_outcome *tree;

    if (checker->scale == NULL) {
        const struct tree_head *head = checker->book->trees[0]->head;

        missing(checker, head != NULL ? head->span : text_start(checker), "book has no scale",
                "write 'scale' and the outcomes below it, best first, with one 'no flight' line");
        return;
    }
    check_no_flight(checker);
    for (tree = checker->scale->outcomes; tree != NULL; tree = tree->next)
        tails_check(checker, tree->tails, TAILS_ALL, "an outcome");
}
