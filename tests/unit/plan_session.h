/*
 * For tests of the plan: a book from a text, compiled. One arena holds all; arena_end frees it.
 */
#ifndef STAVE_TESTS_PLAN_SESSION_H
#define STAVE_TESTS_PLAN_SESSION_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/text.h"
#include "judge/judge.h"
#include "judge/region.h"
#include "plan/plan.h"

struct session {
    struct arena arena;
    struct escape escape;
    struct book *book;
    struct plan *plan;
};

static inline void session_begin(struct session *session)
{
    memset(session, 0, sizeof *session);
    arena_begin(&session->arena, NULL, &session->escape);
}

/* The first error, past any warnings. */
static inline const struct stave_problem *session_error(const struct session *session)
{
    const struct stave_problem *problem = session->book->problems.items;
    while (problem->severity != STAVE_ERROR) {
        problem++;
    }
    return problem;
}

/* False when the text has errors. */
static inline bool session_read(struct session *session, const char *bytes)
{
    struct stave_text text = {"test.stave", bytes, strlen(bytes)};
    session->book = book_check(&session->arena, &text, NULL, NULL);
    return session->book->problems.error_count == 0;
}

static inline const struct docket *docket_of(const struct session *session, const char *kind,
                                             const char *part)
{
    const struct docket *docket = plan_docket(session->plan, book_find_kind(session->book, kind),
                                              book_find_part(session->book, part));
    assert_non_null(docket);
    return docket;
}

#endif
