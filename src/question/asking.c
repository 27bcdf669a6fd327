/* The frame around each question. */
#include "question/asking.h"

static void name_outcomes(struct asking *asking, const struct book *book)
{
    text_addf(&asking->text, "; Outcomes of %s, best first:", book->id);
    for (uint32_t i = 0; i + 1 < book->scale_count; i++) {
        text_addf(&asking->text, "%s %u %s", i ? "," : "", i, book->scale[i].name);
    }
    text_add(&asking->text, ".\n");
}

void asking_head(struct asking *asking, const struct book *book, const struct book *second)
{
    text_begin(&asking->text, asking->arena);
    struct text *text = &asking->text;
    text_addf(text, "; Proof obligations of %s %s", book->id, book->edition);
    if (second) {
        text_addf(text, " held against %s %s", second->id, second->edition);
    }
    text_add(
        text,
        ".\n"
        "; Each question stands between push and pop, its name before it: is there a finding\n"
        "; for which this is so? 'sat': there is one. The answer that is stated is Stave's own.\n"
        "; Figures are in mm, mm2, deg, kg, N, h, days, cycles; a reading that the book rounds\n"
        "; is the number of its steps.\n");
    name_outcomes(asking, book);
    if (second) {
        name_outcomes(asking, second);
    }
    text_add(text, "(set-option :produce-models true)\n"
                   "(set-logic ALL)\n"
                   "(define-fun least ((a Real) (b Real)) Real (ite (< a b) a b))\n"
                   "(define-fun greatest ((a Real) (b Real)) Real (ite (< a b) b a))\n");
}

void asking_begin(struct asking *asking)
{
    static const char *const statuses[] = {
        [ANSWER_NOT_KNOWN] = "unknown", [ANSWER_NONE] = "unsat", [ANSWER_SOME] = "sat"};
    asking->stated =
        asking->answered ? asking->answered(asking->user, &asking->question) : ANSWER_NOT_KNOWN;
    asking->count++;
    text_addf(&asking->text, "\n(push 1)\n(echo \"%s\")\n(set-info :status %s)\n",
              asking->question.name, statuses[asking->stated]);
}

void asking_end(struct asking *asking)
{
    const struct subject *subject = asking->subject;
    text_add(&asking->text, "(check-sat)\n");
    if (asking->stated == ANSWER_SOME && subject->coordinate_count > 0) {
        text_add(&asking->text, "(get-value (");
        for (uint32_t i = 0; i < subject->coordinate_count; i++) {
            text_add(&asking->text, i ? " " : "");
            formula_symbol(&asking->text, subject->coordinates[i].name, "");
        }
        if (asking->question.sort == QUESTION_ORDER) {
            text_add(&asking->text, " ");
            formula_symbol(&asking->text, subject->coordinates[asking->coordinate].name, "'");
        }
        text_add(&asking->text, "))\n");
    }
    text_add(&asking->text, "(pop 1)\n");
}

void asking_foot(struct asking *asking, const struct companies *companies)
{
    for (uint32_t i = 0; i < companies->count; i++) {
        text_addf(&asking->text, "; |company %u| is: ", i);
        for (const char *c = companies->items[i]->text; *c; c++) {
            text_add_char(&asking->text, *c == '\n' ? ' ' : *c);
        }
        text_add(&asking->text, "\n");
    }
    text_addf(&asking->text, "; %u questions\n", asking->count);
    text_add(&asking->text, "(exit)\n");
}
