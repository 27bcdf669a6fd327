/* What was proved over all findings, for a person: what fails in full, then the count by property. */
#include <string.h>

#include "show/characters.h"
#include "show/show.h"

#define PROPERTIES (STAVE_CLAIM_SAME + 1)
#define RULES 12 /* that are told apart for one property; others count as "otherwise" */

/* ---- finding lines ------------------------------------------------------------------ */

static unsigned columns_of(const char *from, const char *to)
{
    unsigned columns = 0;
    while (from < to) {
        struct character character = character_read(from);
        columns += character_columns(character.point);
        from += character.length;
    }
    return columns;
}

static void send_indented(struct page *page, const char *from, const char *to, unsigned indent)
{
    char spelling[CHARACTER_SPELLING];
    while (indent-- > 0) {
        page_raw(page, " ");
    }
    while (from < to) {
        struct character character = character_read(from);
        character_spell(from, character, spelling);
        page_raw(page, spelling);
        from += character.length;
    }
    page_raw(page, "\n");
}

/* One finding line, broken after commas alone, as a book may have it, so that it can be pasted. */
static void show_finding_line(struct page *page, const char *from, const char *end, unsigned indent)
{
    unsigned hang = indent;
    while (from < end) {
        const char *cut = end;
        if (columns_of(from, end) + hang > page->width) {
            for (const char *comma = from; (comma = memchr(comma, ',', (size_t)(end - comma)));) {
                comma++;
                if (cut != end && columns_of(from, comma) + hang > page->width) {
                    break;
                }
                cut = comma;
            }
        }
        send_indented(page, from, cut, hang);
        from = cut;
        while (from < end && *from == ' ') {
            from++;
        }
        hang = indent + 4;
    }
}

static void show_finding_lines(struct page *page, const char *label, const char *text)
{
    page_line(page, 4, 4, "%s", label);
    while (*text) {
        const char *end = text + strcspn(text, "\n");
        show_finding_line(page, text, end, 8);
        text = *end ? end + 1 : end;
    }
}

/* ---- regions -------------------------------------------------------------------------- */

static void show_found(struct page *page, const struct stave_region *region,
                       enum stave_property property, const char *const sides[2])
{
    if (property == STAVE_CLAIM_ORDERLY) {
        page_write(page, "%s, and then %s", region->found[0], region->found[1]);
        page_row(page, 4, "gives");
    } else if (sides) {
        page_write(page, "%s", region->found[0]);
        page_row(page, 4, sides[0]);
        page_write(page, "%s", region->found[1]);
        page_row(page, 4, sides[1]);
    } else {
        page_write(page, "%s", region->found[0]);
        page_row(page, 4, "gives");
    }
}

static void show_lines(struct page *page, const struct stave_region *region,
                       const char *const sides[2])
{
    for (size_t i = 0; i < region->line_count; i++) {
        const struct stave_deciding *line = &region->lines[i];
        page_write(page, "%s%s", sides ? sides[line->side] : "", sides ? ": " : "");
        page_write(page, "%s, %s:%u: ", line->limit, line->text_name, line->line);
        page_write(page, "%s", line->text[0] ? line->text : "no line holds");
        page_row(page, 4, i == 0 ? "by" : "");
    }
}

void show_region(struct page *page, const struct stave_region *region, enum stave_property property,
                 const char *const sides[2])
{
    page_write(page, "%s%s", region->whole ? "" : "somewhere in ", region->described);
    page_row(page, 4, "where");
    if (region->declared[0]) {
        page_write(page, "%s", region->declared);
        page_row(page, 4, "declared");
    }
    if (region->witness[0]) {
        show_finding_lines(page, "for example", region->witness);
        if (region->witness_after && region->witness_after[0]) {
            show_finding_lines(page, "and made worse", region->witness_after);
        }
        show_found(page, region, property, sides);
    }
    show_lines(page, region, sides);
}

/* ---- claims ------------------------------------------------------------------------------ */

static void show_claim(struct page *page, const struct stave_claim *claim)
{
    if (claim->at.line > 0) {
        page_write(page, "%s:%u: ", claim->at.text_name, claim->at.line);
    }
    bool bad = claim->answer == STAVE_REFUTED && !claim->exception[0];
    page_write(page, "%c%s:" MARK_PLAIN " %s: %s", bad ? MARK_BAD[0] : MARK_DOUBT[0],
               show_answer_text(claim), show_property_text(claim->property), claim->subject);
    page_flow(page, 0, 2);
    if (claim->reason[0]) {
        page_write(page, "%s", claim->reason);
        page_row(page, 4, "why");
    }
    if (claim->exception[0]) {
        page_write(page, "%s", claim->exception);
        page_row(page, 4, "exception");
        return; /* its regions are accepted */
    }
    for (size_t i = 0; i < claim->region_count; i++) {
        show_region(page, &claim->regions[i], claim->property, NULL);
    }
    if (claim->more_regions > 0) {
        page_write(page, "%zu more region%s", claim->more_regions,
                   claim->more_regions == 1 ? "" : "s");
        page_row(page, 4, "and");
    }
}

struct rule_count {
    const char *rule;
    size_t count;
};

/* The claims of one property: how many, and by which rules they were proved. */
struct tally {
    size_t all, proved, refuted, excused, not_proved, noted, unreached, gaps;
    struct rule_count rules[RULES];
    size_t rule_count, by_others;
};

static void tally_rule(struct tally *tally, const char *rule)
{
    for (size_t i = 0; i < tally->rule_count; i++) {
        if (strcmp(tally->rules[i].rule, rule) == 0) {
            tally->rules[i].count++;
            return;
        }
    }
    if (tally->rule_count < RULES) {
        tally->rules[tally->rule_count++] = (struct rule_count){rule, 1};
    } else {
        tally->by_others++;
    }
}

static struct tally tally_of(const stave_claims *claims, enum stave_property property)
{
    struct tally tally = {0};
    for (size_t i = 0; i < claims->claim_count; i++) {
        const struct stave_claim *claim = &claims->claims[i];
        if (claim->property != property) {
            continue;
        }
        tally.all++;
        if (claim->answer == STAVE_PROVED) {
            tally.proved++;
            tally.gaps += claim->region_count;
            tally_rule(&tally, claim->rule);
        } else if (claim->answer == STAVE_NOTED) {
            tally.noted++;
        } else if (claim->answer == STAVE_REFUTED) {
            *(claim->exception[0] ? &tally.excused : &tally.refuted) += 1;
        } else {
            *(show_claim_unreached(claim) ? &tally.unreached : &tally.not_proved) += 1;
        }
    }
    return tally;
}

static void show_number(struct page *page, size_t number, const char *what)
{
    if (number > 0) {
        page_write(page, ", %zu %s", number, what);
    }
}

static void show_tally(struct page *page, enum stave_property property, const struct tally *tally)
{
    page_write(page, "%s: %zu of %zu", show_property_text(property), tally->proved, tally->all);
    show_number(page, tally->refuted, "refuted");
    show_number(page, tally->excused, "refuted as declared");
    show_number(page, tally->not_proved, "not proved");
    show_number(page, tally->noted, "noted");
    show_number(page, tally->unreached, "not reached");
    show_number(page, tally->gaps, tally->gaps == 1 ? "declared gap" : "declared gaps");
    page_flow(page, 4, 8);
    for (size_t i = 0; i < tally->rule_count; i++) {
        page_line(page, 8, 12, "%zu by rule: %s", tally->rules[i].count, tally->rules[i].rule);
    }
    if (tally->by_others > 0) {
        page_line(page, 8, 12, "%zu by other rules", tally->by_others);
    }
}

void show_claims(struct page *page, const struct stave_book_facts *book, const stave_claims *claims)
{
    size_t unreached = 0;
    for (size_t i = 0; i < claims->claim_count; i++) {
        const struct stave_claim *claim = &claims->claims[i];
        unreached += show_claim_unreached(claim);
        if (!show_claim_unreached(claim) && claim->answer != STAVE_PROVED) {
            show_claim(page, claim);
        }
    }
    page_write(page, "%s %s%s%s: %zu claim%s over every finding: %zu proved", book->id,
               book->edition, book->model[0] ? ", model " : "", book->model,
               claims->claim_count, claims->claim_count == 1 ? "" : "s", claims->proved);
    if (claims->refuted > 0) {
        page_write(page, ", " MARK_BAD "%zu refuted" MARK_PLAIN, claims->refuted);
    }
    show_number(page, claims->excused, "refuted as declared");
    if (claims->not_proved > unreached) {
        page_write(page, ", " MARK_BAD "%zu not proved" MARK_PLAIN, claims->not_proved - unreached);
    }
    show_number(page, claims->noted, "noted");
    show_number(page, unreached, "not reached");
    page_flow(page, 0, 2);
    for (int property = 0; property < PROPERTIES; property++) {
        struct tally tally = tally_of(claims, (enum stave_property)property);
        if (tally.all > 0) {
            show_tally(page, (enum stave_property)property, &tally);
        }
    }
    if (claims->claim_count > 0) {
        page_line(page, 4, 8,
                  "over: every reading that its measure can have, as it is rounded; every "
                  "observation; every place, extent and side; other damage and earlier readings "
                  "whatever they are");
    }
    if (claims->stopped) {
        page_line(page, 0, 2, MARK_BAD "stopped:" MARK_PLAIN " what was not reached is not proved");
    }
}
