/*
 * A blank inspection record for a book: the frame filled in as far as the book says it, and all
 * else open. A key without a value is refused until someone fills it in; a check left `not seen`
 * and a search not listed leave the inspection incomplete. So a blank that is forgotten never
 * passes.
 */
#include <string.h>

#include "show/show.h"

/* A text as YAML has it: plain where that reads the same, else in quotes. */
static void add_value(struct page *page, const char *text)
{
    bool plain = text[0] && strchr("[]{},&*!|>'\"%@`#-?: ~", text[0]) == NULL &&
                 strstr(text, ": ") == NULL && strstr(text, " #") == NULL &&
                 text[strlen(text) - 1] != ':' && text[strlen(text) - 1] != ' ' &&
                 strcmp(text, "null") != 0;
    const char *quote = plain ? "" : strchr(text, '"') ? "'" : "\"";
    page_raw(page, quote);
    page_escaped(page, text);
    page_raw(page, quote);
}

static void add_key(struct page *page, const char *key)
{
    page_raw(page, key);
    page_raw(page, ":\n");
}

/* Is anything due in cycles? ("20 cycles", "1 cycle") */
static bool counts_cycles(const stave_outline *outline)
{
    for (size_t l = 0; l < outline->ladder_count; l++) {
        const struct stave_ladder *ladder = &outline->ladders[l];
        for (size_t i = 0; i < ladder->line_count; i++) {
            for (size_t d = 0; d < ladder->lines[i].deadline_count; d++) {
                if (strstr(ladder->lines[i].deadlines[d].within, " cycle")) {
                    return true;
                }
            }
        }
    }
    return false;
}

static void write_frame(struct page *page, const stave_outline *outline)
{
    const struct stave_book_facts *book = outline->book;
    page_raw(
        page,
        "# A blank inspection record. Fill in what has no value after its colon, and whatever\n"
        "# says 'not seen' or 'none'. What is left open never counts as good.\n");
    add_key(page, "propeller");
    if (book->model_count < 2) {
        page_raw(page, "model: ");
        add_value(page, book->model_count ? book->models[0] : book->id);
        page_raw(page, "\n");
    } else {
        page_raw(page, "# one of:");
        for (size_t i = 0; i < book->model_count; i++) {
            page_raw(page, i ? ", " : " ");
            page_escaped(page, book->models[i]);
        }
        page_raw(page, "\n");
        add_key(page, "model");
    }
    page_raw(page, "book: ");
    struct page name;
    page_begin(&name, 0, false);
    page_raw(&name, book->id);
    page_raw(&name, " ");
    page_raw(&name, book->edition);
    page->failed |= name.failed;
    add_value(page, name.done.text ? name.done.text : "");
    page_end(&name);
    page_raw(page, "\n");
    add_key(page, "aircraft");
    add_key(page, "inspector");
    page_raw(page, "# as 2026-11-25\n");
    add_key(page, "date");
    page_raw(page, "# in service, as 812.4 h\n");
    add_key(page, "hours");
    if (counts_cycles(outline)) {
        page_raw(page, "# in service, as 1200 cycles\n");
        add_key(page, "cycles");
    }
    page_raw(page, outline->fact_count ? "facts:\n" : "");
    for (size_t i = 0; i < outline->fact_count; i++) {
        page_raw(page, "  # ");
        page_escaped(page, outline->facts[i].form);
        page_raw(page, outline->facts[i].help[0] ? "; " : "");
        page_escaped(page, outline->facts[i].help);
        page_raw(page, "\n  ");
        page_escaped(page, outline->facts[i].name);
        page_raw(page, ": not recorded\n");
    }
}

static void write_counts(struct page *page, const stave_outline *outline)
{
    bool fitted = false;
    for (size_t i = 0; i < outline->part_count; i++) {
        const struct stave_part *part = &outline->parts[i];
        if (part->counted && !part->one_on_each[0]) {
            page_raw(page, "# how many\n");
            page_escaped(page, part->name);
            page_raw(page, "s:\n");
        }
        fitted |= part->where_fitted;
    }
    if (!fitted) {
        return;
    }
    page_raw(page, "# all, none, or which: [boot 1 .. 3]\nfitted:\n");
    for (size_t i = 0; i < outline->part_count; i++) {
        if (outline->parts[i].where_fitted) {
            page_raw(page, "  ");
            page_escaped(page, outline->parts[i].name);
            page_raw(page, ": not seen\n");
        }
    }
}

static void write_searched(struct page *page, const stave_outline *outline)
{
    for (size_t i = 0; i < outline->part_count; i++) {
        const struct stave_part *part = &outline->parts[i];
        if (part->search) {
            page_raw(page, "# ");
            page_escaped(page, part->name);
            page_raw(page, part->counted ? " 1 .. N: " : ": ");
            page_escaped(page, part->search);
            page_raw(page, "\n");
        }
    }
    page_raw(page, "searched: none\n");
}

static void write_hint(struct page *page, const stave_outline *outline,
                       const struct stave_kind *kind)
{
    page_raw(page, "  #");
    for (size_t r = 0; r < kind->record_count; r++) {
        const struct stave_quality *quality = &outline->qualities[kind->records[r].quality];
        page_raw(page, r ? ", " : " ");
        page_escaped(page, quality->name);
        page_raw(page, quality->measured ? " in " : ": ");
        page_escaped(page, quality->measured ? quality->from.unit : "");
        for (size_t v = 0; v < quality->value_count; v++) {
            page_raw(page, v ? " / " : "");
            page_escaped(page, quality->values[v]);
        }
    }
    const struct stave_part *part = &outline->parts[kind->parts[0]];
    page_raw(page, part->counted ? "; a list in brackets, one for each\n" : "\n");
}

static void write_checks(struct page *page, const stave_outline *outline)
{
    bool any = false;
    for (size_t k = 0; k < outline->kind_count; k++) {
        const struct stave_kind *kind = &outline->kinds[k];
        if (!kind->check) {
            continue;
        }
        page_raw(page, any ? "" : "checks:\n");
        any = true;
        write_hint(page, outline, kind);
        page_raw(page, "  ");
        page_escaped(page, kind->name);
        if (kind->part_count == 1) {
            page_raw(page, ": not seen\n");
            continue;
        }
        page_raw(page, ":\n");
        for (size_t p = 0; p < kind->part_count; p++) {
            page_raw(page, "    ");
            page_escaped(page, outline->parts[kind->parts[p]].name);
            page_raw(page, ": not seen\n");
        }
    }
}

/* A line to copy for each kind on each part, as a comment. */
static void write_pattern(struct page *page, const stave_outline *outline,
                          const struct stave_kind *kind, const struct stave_part *part)
{
    page_raw(page, "#  - ");
    page_escaped(page, part->name);
    page_raw(page, part->counted ? " 1 " : " ");
    page_escaped(page, kind->name);
    bool placed = part->axis_count + part->side_count + part->place_count > 0;
    page_raw(page, placed ? " at" : "");
    for (size_t a = 0; a < part->axis_count; a++) {
        page_raw(page, " ");
        page_escaped(page, part->axes[a].name);
        page_raw(page, " ? ");
        page_escaped(page, part->axes[a].from.unit);
    }
    page_raw(page, part->side_count ? " SIDE" : part->place_count ? " PLACE" : "");
    for (size_t r = 0; r < kind->record_count; r++) {
        const struct stave_quality *quality = &outline->qualities[kind->records[r].quality];
        page_raw(page, ", ");
        page_escaped(page, quality->name);
        page_raw(page, quality->measured ? " ? " : " ?");
        page_escaped(page, quality->measured ? quality->from.unit : "");
    }
    page_raw(page, "\n");
}

static void write_findings(struct page *page, const stave_outline *outline)
{
    page_raw(page,
             "# none, or below 'findings:' one line for each, after the pattern of its kind:\n");
    for (size_t k = 0; k < outline->kind_count; k++) {
        const struct stave_kind *kind = &outline->kinds[k];
        for (size_t p = 0; !kind->check && p < kind->part_count; p++) {
            write_pattern(page, outline, kind, &outline->parts[kind->parts[p]]);
        }
    }
    page_raw(page, "findings:\n# how many: 0 findings, 1 finding, 2 findings\nend:\n");
}

void show_blank_record(struct page *page, const stave_outline *outline)
{
    write_frame(page, outline);
    write_counts(page, outline);
    write_searched(page, outline);
    write_checks(page, outline);
    write_findings(page, outline);
}
