/* The frame around each question, and around the whole text. Inside src/question only. */
#ifndef STAVE_QUESTION_ASKING_H
#define STAVE_QUESTION_ASKING_H

#include "question/question.h"
#include "question/subject.h"

struct asking {
    struct arena *arena;
    struct text text;
    question_answered answered;
    void *user;
    const struct subject *subject;
    struct question question;
    uint32_t coordinate;         /* of the subject; ORDER */
    enum question_answer stated;
    uint32_t count;
};

/* What the text is, and the functions that all of it uses. `second` may be NULL. */
void asking_head(struct asking *asking, const struct book *book, const struct book *second);
/* The question's name and the answer that is stated; its own names begin here. */
void asking_begin(struct asking *asking);
/* Asks, and for the world where the stated answer is that there is one. */
void asking_end(struct asking *asking);
void asking_foot(struct asking *asking, const struct companies *companies);

#endif
