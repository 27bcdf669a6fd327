/* What a comparison comes to. */
#include <string.h>

#include "show/comparing.h"

enum show_sameness show_sameness(const stave_compared *answers)
{
    bool looser = answers->looser > 0;
    for (size_t i = 0; i < answers->unlike_count; i++) {
        looser = looser || answers->unlike[i].loosens;
    }
    if (looser) {
        return SHOW_LOOSER;
    }
    size_t known = answers->stricter + answers->looser + answers->otherwise;
    bool proved = answers->answer != STAVE_NOT_PROVED && !answers->stopped &&
                  answers->contrast_count + answers->more_contrasts <= known;
    for (size_t i = 0; i < answers->claim_count; i++) {
        proved = proved && answers->claims[i].answer != STAVE_NOT_PROVED;
    }
    if (!proved) {
        return SHOW_NOT_PROVED;
    }
    return answers->answer == STAVE_PROVED ? SHOW_SAME
           : answers->stricter > 0         ? SHOW_STRICTER
                                           : SHOW_OTHERWISE;
}

const char *show_sameness_text(enum show_sameness sameness)
{
    static const char *const texts[] = {
        [SHOW_SAME] = "the same everywhere",
        [SHOW_OTHERWISE] = "different somewhere, nowhere looser",
        [SHOW_STRICTER] = "stricter somewhere, nowhere looser",
        [SHOW_NOT_PROVED] = "not proved",
        [SHOW_LOOSER] = "looser somewhere",
    };
    return texts[sameness];
}

/* ---- verdicts ------------------------------------------------------------------------------ */

static const char *renamed_text(const struct stave_renamed *renamed, size_t count, const char *text)
{
    for (size_t i = 0; i < count; i++) {
        if (strcmp(renamed[i].first, text) == 0) {
            return renamed[i].second;
        }
    }
    return text;
}

static bool outcome_differs(const struct stave_renamed *renamed, size_t count,
                            const stave_verdict *const verdicts[2], uint32_t first, uint32_t second)
{
    return strcmp(renamed_text(renamed, count, verdicts[0]->book->scale[first].name),
                  verdicts[1]->book->scale[second].name) != 0;
}

static bool deadlines_differ(const struct stave_deadline *first, size_t first_count,
                             const struct stave_deadline *second, size_t second_count)
{
    for (size_t i = 0; first_count == second_count && i < first_count; i++) {
        bool found = false;
        for (size_t k = 0; k < second_count; k++) {
            found = found || (first[i].look_again == second[k].look_again &&
                              strcmp(first[i].within, second[k].within) == 0);
        }
        if (!found) {
            return true;
        }
    }
    return first_count != second_count;
}

static bool items_differ(const struct stave_renamed *renamed, size_t renamed_count,
                         const stave_verdict *const verdicts[2], const struct stave_item *first,
                         const struct stave_item *second)
{
    if (outcome_differs(renamed, renamed_count, verdicts, first->outcome, second->outcome) ||
        first->possible_count != second->possible_count ||
        deadlines_differ(first->deadlines, first->deadline_count, second->deadlines,
                         second->deadline_count)) {
        return true;
    }
    for (size_t i = 0; i < first->possible_count; i++) {
        if (outcome_differs(renamed, renamed_count, verdicts, first->possible[i],
                            second->possible[i])) {
            return true;
        }
    }
    return false;
}

/* "blade 1", of which the number stays. */
static bool same_part(const struct stave_renamed *renamed, size_t count,
                      const struct stave_item *first, const struct stave_item *second)
{
    size_t sizes[2] = {strcspn(first->part, " "), strcspn(second->part, " ")};
    if (strcmp(first->part + sizes[0], second->part + sizes[1]) != 0) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (strlen(renamed[i].first) == sizes[0] &&
            strncmp(renamed[i].first, first->part, sizes[0]) == 0) {
            return strlen(renamed[i].second) == sizes[1] &&
                   strncmp(renamed[i].second, second->part, sizes[1]) == 0;
        }
    }
    return sizes[0] == sizes[1] && strncmp(first->part, second->part, sizes[0]) == 0;
}

/* What the other verdict says of the same finding, check or search, or NULL. */
static const struct stave_item *partner_of(const struct stave_renamed *renamed, size_t count,
                                           const stave_verdict *const verdicts[2], size_t item)
{
    const struct stave_item *first = &verdicts[0]->items[item];
    const struct stave_item *second = item < verdicts[1]->item_count ? &verdicts[1]->items[item] : NULL;
    if (first->item == STAVE_FINDING) {
        return second && second->item == STAVE_FINDING ? second : NULL;
    }
    for (size_t i = 0; i < verdicts[1]->item_count; i++) {
        const struct stave_item *other = &verdicts[1]->items[i];
        if (other->item == first->item && other->instance == first->instance &&
            strcmp(renamed_text(renamed, count, first->kind), other->kind) == 0 &&
            same_part(renamed, count, first, other)) {
            return other;
        }
    }
    return NULL;
}

const struct stave_item *show_item_other(const struct stave_renamed *renamed, size_t renamed_count,
                                         const stave_verdict *const verdicts[2], size_t item)
{
    const struct stave_item *first = &verdicts[0]->items[item];
    const struct stave_item *second = partner_of(renamed, renamed_count, verdicts, item);
    return second && items_differ(renamed, renamed_count, verdicts, first, second) ? second : NULL;
}

static size_t findings_of(const stave_verdict *verdict)
{
    size_t count = 0;
    while (count < verdict->item_count && verdict->items[count].item == STAVE_FINDING) {
        count++;
    }
    return count;
}

/* A book without models has no other one. */
static bool models_differ(const stave_verdict *first, const stave_verdict *second)
{
    const char *one = first->book->model, *other = second->book->model;
    return one[0] && other[0] && strcmp(one, other) != 0;
}

bool show_past_open(const struct show_past *past)
{
    bool open = false;
    for (int side = 0; side < 2; side++) {
        open = open || (past->verdicts[side] && past->verdicts[side]->model_open[0]);
    }
    return open;
}

bool show_past_differs(const struct stave_renamed *renamed, size_t renamed_count,
                       const stave_verdict *first, const stave_verdict *second)
{
    const stave_verdict *const verdicts[2] = {first, second};
    if (first->flight != second->flight || models_differ(first, second) ||
        findings_of(first) != findings_of(second) ||
        outcome_differs(renamed, renamed_count, verdicts, first->outcome, second->outcome) ||
        outcome_differs(renamed, renamed_count, verdicts, first->best, second->best) ||
        deadlines_differ(first->deadlines, first->deadline_count, second->deadlines,
                         second->deadline_count)) {
        return true;
    }
    for (size_t i = 0; i < first->item_count; i++) {
        if (show_item_other(renamed, renamed_count, verdicts, i)) {
            return true;
        }
    }
    return false;
}
