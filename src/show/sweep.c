/* What the rows of a sweep came to, for a person. */
#include <string.h>

#include "show/show.h"

static size_t width_of_number(uint64_t number)
{
    size_t width = 1;
    for (; number >= 10; number /= 10) {
        width++;
    }
    return width;
}

static void add_blanks(struct page *page, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        page_raw(page, " ");
    }
}

static void add_number(struct page *page, uint64_t number, size_t width)
{
    size_t own = width_of_number(number);
    char digits[24];
    add_blanks(page, own < width ? width - own : 0);
    for (size_t i = own; i-- > 0; number /= 10) {
        digits[i] = (char)('0' + number % 10);
    }
    page_raw_bytes(page, digits, own);
}

/* A table: a row for each name that has any, a column for each outcome that came up. */
static void add_table(struct page *page, const char *title, const struct stave_book_facts *facts,
                      const struct stave_sweep_counts *counts, const char *const *names,
                      size_t name_count, const uint64_t *cells)
{
    size_t wide = strlen(title);
    for (size_t n = 0; n < name_count; n++) {
        wide = strlen(names[n]) > wide ? strlen(names[n]) : wide;
    }
    page_raw(page, "\n");
    page_escaped(page, title);
    add_blanks(page, wide - strlen(title));
    for (size_t o = 0; o < counts->outcome_count; o++) {
        if (counts->by_outcome[o]) {
            page_raw(page, "  ");
            page_escaped(page, facts->scale[o].name);
        }
    }
    page_raw(page, "\n");
    for (size_t n = 0; n < name_count; n++) {
        const uint64_t *row = cells + n * counts->outcome_count;
        uint64_t sum = 0;
        for (size_t o = 0; o < counts->outcome_count; o++) {
            sum += row[o];
        }
        if (!sum) {
            continue;
        }
        const char *name = names[n][0] ? names[n] : "none";
        page_escaped(page, name);
        add_blanks(page, wide > strlen(name) ? wide - strlen(name) : 0);
        for (size_t o = 0; o < counts->outcome_count; o++) {
            if (counts->by_outcome[o]) {
                page_raw(page, "  ");
                add_number(page, row[o], strlen(facts->scale[o].name));
            }
        }
        page_raw(page, "\n");
    }
}

/* Outcomes, with those that ground marked. */
static void add_outcomes(struct page *page, const struct stave_book_facts *facts,
                         const struct stave_sweep_counts *counts)
{
    size_t wide = 0, digits = width_of_number(counts->rows);
    for (size_t o = 0; o < counts->outcome_count; o++) {
        size_t size = strlen(facts->scale[o].name);
        wide = counts->by_outcome[o] && size > wide ? size : wide;
    }
    for (size_t o = 0; o < counts->outcome_count; o++) {
        if (counts->by_outcome[o]) {
            page_raw(page, "  ");
            page_escaped(page, facts->scale[o].name);
            add_blanks(page, wide - strlen(facts->scale[o].name) + 2);
            add_number(page, counts->by_outcome[o], digits);
            page_raw(page, facts->scale[o].flight ? "\n" : "  no flight\n");
        }
    }
}

static void add_count(struct page *page, const char *before, uint64_t count, const char *after)
{
    page_raw(page, before);
    add_number(page, count, 0);
    page_raw(page, after);
}

static void add_cautions(struct page *page, const char *const *cautions, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        page_line(page, 0, 2, "%s", cautions[i]);
    }
}

void show_sweep(struct page *page, const struct stave_book_facts *facts,
                const struct stave_book_facts *against, const struct stave_sweep_counts *counts, bool stopped)
{
    page_raw(page, stopped ? "stave: stopped; what was answered until then:\n" : "");
    add_count(page, "stave: ", counts->rows, counts->rows == 1 ? " row" : " rows");
    add_count(page, ", ", counts->judged, " judged");
    add_count(page, ", ", counts->not_judged, " not judged");
    if (counts->undecided) {
        add_count(page, ", ", counts->undecided, " undecided (counted at the worst possible)");
    }
    page_raw(page, "\n");
    if (against) {
        add_count(page, "stave: ", counts->changed,
                  counts->changed == 1 ? " comes out otherwise by " : " come out otherwise by ");
        page_escaped(page, against->id);
        page_raw(page, " ");
        page_escaped(page, against->edition);
        page_raw(page, ", deadlines not compared\n");
    }
    if (counts->judged) {
        add_outcomes(page, facts, counts);
        add_table(page, "kind", facts, counts, counts->kind_names, counts->kind_count, counts->by_kind);
        add_table(page, "zone", facts, counts, counts->zone_names, counts->zone_count, counts->by_zone);
    }
    page_raw(page, "\n");
    add_cautions(page, counts->cautions, counts->caution_count);
    add_cautions(page, facts->cautions, facts->caution_count);
    for (size_t i = 0; against && i < against->caution_count; i++) {
        bool known = false;
        for (size_t k = 0; k < facts->caution_count; k++) {
            known = known || strcmp(facts->cautions[k], against->cautions[i]) == 0;
        }
        if (!known) {
            add_cautions(page, &against->cautions[i], 1);
        }
    }
}
