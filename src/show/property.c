/* Claims in words, and by short names for programs. */
#include <string.h>

#include "show/show.h"

static const struct property {
    const char *name, *text;
} properties[] = {
    [STAVE_CLAIM_TOTAL] = {"total", "every finding meets a line"},
    [STAVE_CLAIM_LINE] = {"line-decides", "every line decides somewhere"},
    [STAVE_CLAIM_CONDITION] = {"condition-matters", "every condition matters"},
    [STAVE_CLAIM_ORDERLY] = {"orderly", "worse damage never fares better"},
    [STAVE_CLAIM_OVERLAP] = {"no-overlap", "limits for one kind share no more than an edge"},
    [STAVE_CLAIM_EXCEPTION] = {"exception-needed", "every declared exception is needed"},
    [STAVE_CLAIM_SAME] = {"same", "both books give the same answers"},
};

const char *show_property_name(enum stave_property property)
{
    return properties[property].name;
}

const char *show_property_text(enum stave_property property)
{
    return properties[property].text;
}

static bool is_excused(const struct stave_claim *claim)
{
    return claim->answer == STAVE_REFUTED && claim->exception[0];
}

const char *show_answer_text(const struct stave_claim *claim)
{
    static const char *const answers[] = {"proved", "refuted", "not proved", "noted"};
    return is_excused(claim) ? "excused" : answers[claim->answer];
}

bool show_claim_fails(const struct stave_claim *claim)
{
    return (claim->answer == STAVE_REFUTED && !is_excused(claim)) ||
           claim->answer == STAVE_NOT_PROVED;
}

bool show_claim_unreached(const struct stave_claim *claim)
{
    return claim->answer == STAVE_NOT_PROVED && strcmp(claim->reason, "stopped") == 0;
}
