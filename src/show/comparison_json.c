/* Two books held against each other, as JSON. docs/comparison.schema.json is the contract; what
 * json.c says of verdicts goes here too. */
#include "show/comparing.h"
#include "show/json_value.h"

static json_t *place_or_null(const struct stave_place *at)
{
    return at->line > 0 ? place_value(at) : json_null();
}

static json_t *unlike_value(const struct stave_unlike *unlike)
{
    struct members object = members_begin();
    members_text(&object, "what", unlike->what);
    members_text(&object, "first", unlike->first);
    members_text(&object, "second", unlike->second);
    members_add(&object, "first_at", place_or_null(&unlike->at[0]));
    members_add(&object, "second_at", place_or_null(&unlike->at[1]));
    members_bool(&object, "loosens", unlike->loosens);
    return members_done(&object);
}

static json_t *contrast_value(const struct stave_contrast *contrast)
{
    static const char *const directions[] = {"stricter", "looser", "otherwise"};
    struct members object = members_begin();
    members_text(&object, "direction", directions[contrast->direction]);
    members_bool(&object, "flight_changes", contrast->flight_changes);
    members_add(&object, "region", claim_region_value(&contrast->region));
    return members_done(&object);
}

static json_t *amendment_value(const struct stave_amendment *amendment)
{
    static const char *const changes[] = {"added", "removed", "changed", "renamed"};
    struct members object = members_begin();
    members_text(&object, "change", changes[amendment->change]);
    members_text(&object, "sort", amendment->sort);
    members_add(&object, "names", text_values(amendment->names, 2));
    members_add(&object, "lines", text_values(amendment->lines, 2));
    members_add(&object, "text_names", text_values(amendment->text_names, 2));
    json_t *numbers = json_array();
    for (int side = 0; side < 2; side++) {
        numbers = array_append(numbers, json_integer(amendment->line[side]));
    }
    members_add(&object, "line_numbers", numbers);
    members_bool(&object, "figures_only", amendment->figures_only);
    members_text(&object, "alike", amendment->alike);
    return members_done(&object);
}

static json_t *reversal_value(const struct stave_reversal *reversal)
{
    struct members object = members_begin();
    members_text(&object, "owner", reversal->owner == 0 ? "first" : "second");
    members_text(&object, "title", reversal->title);
    members_text(&object, "source", reversal->source);
    members_text(&object, "text_name", reversal->text_name);
    members_count(&object, "line", reversal->line);
    members_text(&object, "case_text", reversal->case_text);
    members_text(&object, "expected", reversal->expected);
    members_text(&object, "own", reversal->own);
    members_text(&object, "other", reversal->other);
    members_text(&object, "why", reversal->why);
    return members_done(&object);
}

/* How a past inspection comes out by one book. */
static json_t *answer_value(const stave_verdict *verdict)
{
    static const char *const flights[] = {"yes", "no", "not known yet"};
    if (!verdict) {
        return json_null();
    }
    struct members object = members_begin();
    members_text(&object, "outcome", verdict->book->scale[verdict->outcome].name);
    members_text(&object, "best", verdict->book->scale[verdict->best].name);
    members_text(&object, "flight", flights[verdict->flight]);
    return members_done(&object);
}

static json_t *past_value(const struct show_compared *compared, const struct show_past *past)
{
    struct members object = members_begin();
    members_text(&object, "name", past->name);
    members_text(&object, "owner", past->owner == 0 ? "first" : "second");
    members_add(&object, "first", answer_value(past->verdicts[0]));
    members_add(&object, "second", answer_value(past->verdicts[1]));
    members_text(&object, "why_not", past->why_not ? past->why_not : "");
    const char *models[2] = {"", ""}, *open[2] = {"", ""};
    for (int side = 0; side < 2; side++) {
        models[side] = past->verdicts[side] ? past->verdicts[side]->book->model : "";
        open[side] = past->verdicts[side] ? past->verdicts[side]->model_open : "";
    }
    members_add(&object, "models", text_values(models, 2));
    members_add(&object, "model_open", text_values(open, 2));
    json_t *findings = json_array(), *checks = json_array();
    for (size_t i = 0; !past->why_not && i < past->verdicts[0]->item_count; i++) {
        const struct stave_item *item = &past->verdicts[0]->items[i];
        if (!show_item_other(compared->renamed, compared->renamed_count, past->verdicts, i)) {
            continue;
        }
        if (item->item == STAVE_FINDING) {
            findings = array_append(findings, text_value(item->id));
        } else if (item->item == STAVE_CHECK) {
            struct members check = members_begin();
            members_text(&check, "check", item->kind);
            members_text(&check, "part", item->part);
            checks = array_append(checks, members_done(&check));
        }
    }
    members_add(&object, "findings", findings);
    members_add(&object, "checks", checks);
    return members_done(&object);
}

static json_t *changes_value(const stave_changes *changes)
{
    ARRAY_OF(amendments, amendment_value, changes->amendments, changes->amendment_count)
    ARRAY_OF(reversals, reversal_value, changes->reversals, changes->reversal_count)
    struct members object = members_begin();
    members_add(&object, "amendments", amendments);
    members_count(&object, "examples_judged", changes->asked);
    members_add(&object, "reversals", reversals);
    return members_done(&object);
}

static json_t *renamed_value(const struct stave_renamed *renamed)
{
    struct members object = members_begin();
    members_text(&object, "first", renamed->first);
    members_text(&object, "second", renamed->second);
    return members_done(&object);
}

static json_t *records_value(const struct show_compared *compared)
{
    static const char *const names[] = {[SHOW_PAST_OTHERWISE] = "changed",
                                        [SHOW_PAST_OPEN] = "open",
                                        [SHOW_PAST_OF_OTHER] = "other_models"};
    struct members object = members_begin();
    members_count(&object, "judged", compared->past_judged);
    members_count(&object, "left_out", compared->past_left_out);
    for (unsigned sort = SHOW_PAST_OTHERWISE; sort <= SHOW_PAST_OF_OTHER; sort++) {
        json_t *past = json_array();
        for (size_t i = 0; i < compared->past_count; i++) {
            if (compared->past[i].sort == sort) {
                past = array_append(past, past_value(compared, &compared->past[i]));
            }
        }
        members_add(&object, names[sort], past);
    }
    return members_done(&object);
}

static json_t *comparison_value(const struct show_compared *compared)
{
    static const char *const answers[] = {
        [SHOW_SAME] = "same",         [SHOW_OTHERWISE] = "otherwise",
        [SHOW_STRICTER] = "stricter", [SHOW_NOT_PROVED] = "not proved",
        [SHOW_LOOSER] = "looser",
    };
    const stave_compared *found = compared->answers;
    ARRAY_OF(unlike, unlike_value, found->unlike, found->unlike_count)
    ARRAY_OF(contrasts, contrast_value, found->contrasts, found->contrast_count)
    ARRAY_OF(claims, claim_value, found->claims, found->claim_count)
    ARRAY_OF(renamed, renamed_value, compared->renamed, compared->renamed_count)
    struct members object = members_begin();
    members_text(&object, "answer", answers[show_sameness(found)]);
    members_text(&object, "reason", found->reason);
    members_bool(&object, "stopped", found->stopped);
    members_add(&object, "first", book_value(compared->books[0]));
    members_add(&object, "second", book_value(compared->books[1]));
    members_add(&object, "renamed", renamed);
    members_add(&object, "unlike", unlike);
    members_count(&object, "stricter", found->stricter);
    members_count(&object, "looser", found->looser);
    members_count(&object, "otherwise", found->otherwise);
    members_add(&object, "contrasts", contrasts);
    members_count(&object, "more_contrasts", found->more_contrasts);
    members_add(&object, "claims", claims);
    members_add(&object, "changes", changes_value(compared->changes));
    members_add(&object, "records", records_value(compared));
    return members_done(&object);
}

void show_comparison_json(struct page *page, const struct show_compared *compared)
{
    json_t *problems = json_array();
    for (int list = 0; list < 2; list++) {
        for (size_t i = 0; i < compared->problem_counts[list]; i++) {
            problems = array_append(problems, problem_value(&compared->problems[list][i]));
        }
    }
    struct members object = members_begin();
    members_count(&object, "format", SHOW_JSON_FORMAT);
    members_text(&object, "stave", stave_version());
    members_add(&object, "comparison", comparison_value(compared));
    members_add(&object, "problems", problems);
    document_send(page, members_done(&object));
}
