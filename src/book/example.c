/* Examples: the outcomes and deadlines that they give. Their findings are resolved by src/finding. */
#include "book/check.h"

int32_t book_find_outcome(const struct book *book, const char *name)
{
    uint32_t i;

    for (i = 0; i < book->scale_count; i++)
        if (text_same(book->scale[i].name, name))
            return (int32_t)i;
    return -1;
}

static void check_outcomes(struct checker *checker, const struct book *book,
                           const struct tree_words *words)
{
    uint64_t seen = 0;

    for (; words != NULL; words = words->next) {
        int32_t outcome;

        if (words->word.text == NULL)
            continue;
        outcome = book_find_outcome(book, words->word.text);
        if (outcome < 0 && book->no_published_limit == 0)
            continue; /* there is no scale: that is said once */
        if (outcome < 0) {
            const char *known[BOOK_OUTCOMES];
            uint32_t i;

            for (i = 0; i < book->scale_count; i++)
                known[i] = book->scale[i].name;
            names_unknown(checker, words->word, "outcome", "", known, book->scale_count);
            continue;
        }
        if ((uint32_t)outcome == book->incomplete)
            problem_help(problem_add(checker->problems, STAVE_ERROR, "example", words->word.span,
                                     "no finding gives 'incomplete'"),
                         checker->problems, "it is said of inspections alone");
        if (seen & UINT64_C(1) << outcome)
            problem_add(checker->problems, STAVE_ERROR, "duplicate-name", words->word.span,
                        "outcome '%s' is named twice", words->word.text);
        seen |= UINT64_C(1) << outcome;
    }
}

static void check_gives(struct checker *checker, const struct book *book,
                        const struct tree_gives *gives)
{
    check_outcomes(checker, book, gives->outcomes);
    tails_check(checker, gives->tails, TAILS_DEADLINES | TAILS_CITED, "a 'gives' line");
    if (!gives->propeller && gives->finding == NULL && !checker->unread)
        problem_help(problem_add(checker->problems, STAVE_ERROR, "example", gives->span,
                                 "no finding line before this 'gives'"),
                     checker->problems, "write what was found above it");
    if (gives->propeller && gives->with != NULL)
        problem_help(problem_add(checker->problems, STAVE_ERROR, "example", gives->with->span,
                                 "'gives propeller' takes no 'with'"),
                     checker->problems, "write the readings in the finding lines above it");
}

void examples_check(struct checker *checker, const struct book *book,
                    const struct tree_example *examples)
{
    for (; examples != NULL; examples = examples->next) {
        const struct tree_gives *gives;

        family_check_served(checker, book, examples->served);
        tails_check(checker, examples->tails, TAILS_CITED, "the head of an example");
        if (examples->gives == NULL && !checker->unread)
            problem_help(
                problem_add(checker->problems, STAVE_ERROR, "example",
                            examples->title.text != NULL ? examples->title.span : examples->span,
                            "example has no 'gives' line"),
                checker->problems, "write 'gives' and the outcome below its finding");
        for (gives = examples->gives; gives != NULL; gives = gives->next)
            check_gives(checker, book, gives);
    }
}

void book_check_examples(const struct book *book, const struct tree_example *examples,
                         struct problems *problems)
{
    struct checker checker = {.arena = problems->arena, .problems = problems};

    examples_check(&checker, book, examples);
}
