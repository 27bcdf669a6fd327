/* What the rows of a sweep came to, as JSON (docs/summary.schema.json). */
#include "show/json_value.h"
#include "show/show.h"

static json_t *outcome_rows(const struct stave_outcome *outcome, uint64_t rows)
{
    struct members object = members_begin();
    members_text(&object, "name", outcome->name);
    members_bool(&object, "flight", outcome->flight);
    members_count(&object, "rows", rows);
    return members_done(&object);
}

/* Of one kind or zone, what came up; `rows` are by outcome. */
static json_t *tally_value(const char *name, const struct stave_book_facts *facts,
                           const uint64_t *rows, size_t outcome_count)
{
    json_t *outcomes = json_array();
    for (size_t o = 0; o < outcome_count; o++) {
        if (rows[o]) {
            struct members share = members_begin();
            members_text(&share, "name", facts->scale[o].name);
            members_count(&share, "rows", rows[o]);
            outcomes = array_append(outcomes, members_done(&share));
        }
    }
    struct members object = members_begin();
    members_text(&object, "name", name[0] ? name : NULL);
    members_add(&object, "outcomes", outcomes);
    return members_done(&object);
}

static json_t *tallies(const struct stave_book_facts *facts,
                       const struct stave_sweep_counts *counts, const char *const *names,
                       size_t name_count, const uint64_t *cells)
{
    json_t *array = json_array();
    for (size_t n = 0; n < name_count; n++) {
        const uint64_t *rows = cells + n * counts->outcome_count;
        uint64_t sum = 0;
        for (size_t o = 0; o < counts->outcome_count; o++) {
            sum += rows[o];
        }
        if (sum) {
            array = array_append(array, tally_value(names[n], facts, rows, counts->outcome_count));
        }
    }
    return array;
}

void show_sweep_json(struct page *page, const struct stave_book_facts *facts,
                     const struct stave_book_facts *against,
                     const struct stave_sweep_counts *counts, bool stopped)
{
    json_t *outcomes = json_array();
    for (size_t o = 0; o < counts->outcome_count; o++) {
        outcomes = array_append(outcomes, outcome_rows(&facts->scale[o], counts->by_outcome[o]));
    }
    struct members object = members_begin();
    members_count(&object, "format", 1);
    members_text(&object, "stave", stave_version());
    members_add(&object, "book", book_value(facts));
    members_add(&object, "against", against ? book_value(against) : json_null());
    members_add(&object, "cautions", text_values(counts->cautions, counts->caution_count));
    members_bool(&object, "stopped", stopped);
    members_count(&object, "rows", counts->rows);
    members_count(&object, "judged", counts->judged);
    members_count(&object, "not_judged", counts->not_judged);
    members_count(&object, "undecided", counts->undecided);
    members_count(&object, "changed", counts->changed);
    members_add(&object, "outcomes", outcomes);
    members_add(&object, "kinds",
                tallies(facts, counts, counts->kind_names, counts->kind_count, counts->by_kind));
    members_add(&object, "zones",
                tallies(facts, counts, counts->zone_names, counts->zone_count, counts->by_zone));
    document_send(page, members_done(&object));
}
