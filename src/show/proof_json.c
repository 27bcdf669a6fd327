/* A proof as JSON. docs/proof.schema.json is the contract; what json.c says of verdicts goes here
 * too. */
#include "show/json_value.h"
#include "show/show.h"

/* ---- examples -------------------------------------------------------------------------- */

static json_t *result_value(const struct stave_example_result *result)
{
    struct members object = members_begin();
    members_text(&object, "model", result->model);
    members_text(&object, "title", result->title);
    members_text(&object, "source", result->source);
    members_text(&object, "text_name", result->text_name);
    members_count(&object, "line", result->line);
    members_text(&object, "case_text", result->case_text);
    members_text(&object, "expected", result->expected);
    members_text(&object, "found", result->found);
    members_text(&object, "why", result->why);
    members_bool(&object, "unconfirmed", result->unconfirmed);
    members_bool(&object, "passed", result->passed);
    return members_done(&object);
}

static json_t *examples_value(const stave_proof *proof)
{
    ARRAY_OF(results, result_value, proof->results, proof->result_count)
    struct members object = members_begin();
    members_count(&object, "failed", proof->failed);
    members_add(&object, "results", results);
    return members_done(&object);
}

/* ---- claims ------------------------------------------------------------------------------ */

static json_t *deciding_value(const struct stave_deciding *line)
{
    struct members object = members_begin();
    members_text(&object, "limit", line->limit);
    members_text(&object, "text", line->text);
    members_text(&object, "text_name", line->text_name);
    members_count(&object, "line", line->line);
    members_count(&object, "side", line->side);
    return members_done(&object);
}

json_t *claim_region_value(const struct stave_region *region)
{
    ARRAY_OF(lines, deciding_value, region->lines, region->line_count)
    struct members object = members_begin();
    members_text(&object, "kinds", region->kinds);
    members_text(&object, "part", region->part);
    members_text(&object, "described", region->described);
    members_bool(&object, "whole", region->whole);
    members_text(&object, "witness", region->witness);
    members_text(&object, "witness_after", region->witness_after ? region->witness_after : "");
    members_add(&object, "found", text_values(region->found, 2));
    members_text(&object, "declared", region->declared);
    members_add(&object, "lines", lines);
    return members_done(&object);
}

json_t *claim_value(const struct stave_claim *claim)
{
    ARRAY_OF(regions, claim_region_value, claim->regions, claim->region_count)
    struct members object = members_begin();
    members_text(&object, "property", show_property_name(claim->property));
    members_text(&object, "subject", claim->subject);
    members_add(&object, "at", claim->at.line > 0 ? place_value(&claim->at) : json_null());
    members_text(&object, "answer", show_answer_text(claim));
    members_text(&object, "rule", claim->rule);
    members_text(&object, "reason", claim->reason);
    members_text(&object, "exception", claim->exception);
    members_add(&object, "regions", regions);
    members_count(&object, "more_regions", claim->more_regions);
    return members_done(&object);
}

static json_t *claims_value(const stave_claims *claims)
{
    ARRAY_OF(array, claim_value, claims->claims, claims->claim_count)
    struct members object = members_begin();
    members_count(&object, "proved", claims->proved);
    members_count(&object, "refuted", claims->refuted);
    members_count(&object, "excused", claims->excused);
    members_count(&object, "not_proved", claims->not_proved);
    members_count(&object, "noted", claims->noted);
    members_bool(&object, "stopped", claims->stopped);
    members_add(&object, "claims", array);
    return members_done(&object);
}

/* ---- what is pinned ----------------------------------------------------------------------- */

static json_t *figure_held_value(const struct stave_held_figure *figure)
{
    struct members object = members_begin();
    members_add(&object, "at", place_value(&figure->at));
    members_text(&object, "text", figure->text);
    members_text(&object, "hold", show_hold(figure));
    return members_done(&object);
}

static json_t *slip_value(const struct stave_slip *slip)
{
    struct members object = members_begin();
    members_text(&object, "sort", show_slip_sort(slip));
    members_add(&object, "at", place_value(&slip->at));
    members_count(&object, "offset", slip->offset);
    members_count(&object, "length", slip->length);
    members_text(&object, "was", slip->was);
    members_text(&object, "now", slip->now);
    members_text(&object, "answer", show_slip_answer(slip));
    members_add(&object, "figure", slip->figure < 0 ? json_null() : json_integer(slip->figure));
    members_text(&object, "noticed_in", slip->noticed_in);
    members_count(&object, "noticed_line", slip->noticed_line);
    members_text(&object, "witness", slip->witness);
    members_add(&object, "found", text_values(slip->found, 2));
    members_text(&object, "reason", slip->reason);
    return members_done(&object);
}

static json_t *pinning_value(const struct show_proved *proved)
{
    const stave_pinning *pinning = proved->pinning;
    ARRAY_OF(figures, figure_held_value, pinning->figures, pinning->figure_count)
    ARRAY_OF(slips, slip_value, pinning->slips, pinning->slip_count)
    struct members object = members_begin();
    members_count(&object, "least_percent", proved->pinned_least);
    members_bool(&object, "enough", show_figures_held(proved) && show_slips_caught(proved));
    members_count(&object, "pinned", pinning->pinned);
    members_count(&object, "idle", pinning->idle);
    members_count(&object, "loose", pinning->loose);
    members_count(&object, "caught", pinning->caught);
    members_count(&object, "inert", pinning->inert);
    members_count(&object, "missed", pinning->missed);
    members_bool(&object, "stopped", pinning->stopped);
    members_add(&object, "figures", figures);
    members_add(&object, "slips", slips);
    return members_done(&object);
}

/* ---- the whole ----------------------------------------------------------------------------- */

void show_proof_json(struct page *page, const struct show_proved *proved)
{
    json_t *problems = json_array();
    for (int list = 0; list < 2; list++) {
        for (size_t i = 0; i < proved->problem_counts[list]; i++) {
            problems = array_append(problems, problem_value(&proved->problems[list][i]));
        }
    }
    struct members proof = members_begin();
    members_add(&proof, "book", book_value(proved->book));
    members_add(&proof, "examples",
                proved->examples ? examples_value(proved->examples) : json_null());
    members_add(&proof, "claims", proved->claims ? claims_value(proved->claims) : json_null());
    members_add(&proof, "pinning", proved->pinning ? pinning_value(proved) : json_null());
    struct members object = members_begin();
    members_count(&object, "format", SHOW_JSON_FORMAT);
    members_text(&object, "stave", stave_version());
    members_add(&object, "proof", members_done(&proof));
    members_add(&object, "problems", problems);
    document_send(page, members_done(&object));
}
