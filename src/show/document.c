/*
 * The limits as a document: the whole book as tables, and in HTML as charts, in the order of the
 * book, each line with what it cites and where it stands, to be held against the source.
 */
#include <stdio.h>
#include <string.h>

#include "show/form.h"
#include "show/show.h"

struct printing {
    struct form form;
    const stave_outline *outline;
    unsigned number; /* of pictures */
};

#define COUNT(array) (sizeof(array) / sizeof *(array))

static void add_list(const struct form *form, const char *const *names, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        form_text(form, i ? ", " : "");
        form_text(form, names[i]);
    }
}

static void add_figure(const struct form *form, const struct stave_figure *figure)
{
    form_text(form, figure->decimal);
    form_text(form, figure->unit[0] ? " " : "");
    form_text(form, figure->unit);
    if (figure->rounded) { /* else it could be held to be the limit, which may be stricter */
        form_text(form, " (rounded from ");
        form_text(form, figure->exact);
        form_text(form, ")");
    }
}

/* "14 in .. 52 in", an end that is left out by its word. */
static void add_range(const struct form *form, const struct stave_range *range)
{
    form_text(form, range->from_open ? "over " : "");
    add_figure(form, &range->from);
    form_text(form, range->to_open ? " .. below " : " .. ");
    add_figure(form, &range->to);
}

static void add_place(const struct form *form, const char *text_name, uint32_t line)
{
    char number[32];
    const char *slash = strrchr(text_name, '/'); /* the whole name stands with its digest */
    form_text(form, slash ? slash + 1 : text_name);
    snprintf(number, sizeof number, ":%u", (unsigned)line);
    form_text(form, line > 0 ? number : "");
}

/* ---- the head ---------------------------------------------------------------------------- */

static void write_head(const struct printing *printing)
{
    const struct form *form = &printing->form;
    const struct stave_book_facts *book = printing->outline->book;
    struct page heading;
    page_begin(&heading, 0, false);
    page_raw(&heading, "Damage limits ");
    page_raw(&heading, book->id);
    page_raw(&heading, book->model[0] ? ", model " : "");
    page_raw(&heading, book->model);
    page_raw(&heading, ", edition ");
    page_raw(&heading, book->edition);
    form_heading(form, 1, "book", heading.done.text ? heading.done.text : "");
    form->page->failed |= heading.failed;
    page_end(&heading);
    if (book->title[0]) {
        form_paragraph(form, book->title);
    }
    form_begin(form);
    form_text(form, "For: ");
    add_list(form, book->models, book->model_count);
    form_text(form, book->where[0] ? " where " : "");
    form_text(form, book->where);
    form_text(form, book->model_count ? "." : "the book names no models.");
    form_text(form, book->dated[0] ? " Edition dated " : "");
    form_text(form, book->dated);
    form_text(form, book->dated[0] ? "." : "");
    form_text(form, book->as_read ? " Judged as read: of a reading in doubt, its middle alone counts." : "");
    form_end(form);
    for (size_t i = 0; i < printing->outline->library_caution_count; i++) {
        form_begin(form);
        form_strong(form, printing->outline->library_cautions[i]);
        form_end(form);
    }
    for (size_t i = 0; i < book->caution_count; i++) {
        form_begin(form);
        form_strong(form, book->cautions[i]);
        form_end(form);
    }
}

static void write_scale(const struct printing *printing)
{
    static const char *const heads[] = {"Outcome, best first", "Means"};
    const struct form *form = &printing->form;
    const struct stave_book_facts *book = printing->outline->book;
    form_heading(form, 2, "outcomes", "Outcomes");
    form_table(form, heads, COUNT(heads));
    for (uint32_t i = 0; i < book->scale_count; i++) {
        form_row(form);
        form_cell(form);
        form_outcome(form, book, i);
        form_cell_end(form);
        form_cell_text(form, book->scale[i].meaning);
        form_row_end(form);
    }
    form_table_end(form);
}

/* ---- parts, zones, what is recorded --------------------------------------------------------- */

static void write_part(const struct printing *printing, const struct stave_part *part)
{
    const struct form *form = &printing->form;
    char count[80] = "one";
    if (part->one_on_each[0]) {
        snprintf(count, sizeof count, "one on each %.50s", part->one_on_each);
    } else if (part->counted && part->least == part->most) {
        snprintf(count, sizeof count, "%u", (unsigned)part->least);
    } else if (part->counted) {
        snprintf(count, sizeof count, "%u to %u", (unsigned)part->least, (unsigned)part->most);
    }
    form_row(form);
    form_cell_text(form, part->name);
    form_cell(form);
    form_text(form, count);
    form_text(form, part->where_fitted ? ", where fitted" : "");
    form_cell_end(form);
    form_cell(form);
    for (size_t a = 0; a < part->axis_count; a++) {
        const struct stave_axis *axis = &part->axes[a];
        struct stave_range range = {.from = axis->from, .to = axis->to};
        form_text(form, a ? "; " : "");
        form_text(form, axis->name);
        form_text(form, " ");
        add_range(form, &range);
        form_text(form, axis->help[0] ? ", " : "");
        form_text(form, axis->help);
        form_text(form, axis->step[0] ? ", " : "");
        form_text(form, axis->step);
    }
    add_list(form, part->places, part->place_count);
    form_cell_end(form);
    form_cell(form);
    add_list(form, part->sides, part->side_count);
    for (size_t i = 0; i < part->meeting_count; i++) {
        form_text(form, i ? ", " : "; meet at ");
        form_text(form, part->meetings[i].axis);
        form_text(form, " ");
        add_figure(form, &part->meetings[i].at);
    }
    form_cell_end(form);
    form_cell_text(form, part->search ? part->search : "no search is asked");
    form_row_end(form);
}

static void write_parts(struct printing *printing)
{
    static const char *const heads[] = {"Part", "How many", "Axes or places", "Sides", "Search"};
    const struct form *form = &printing->form;
    form_heading(form, 2, "parts", "Parts");
    form_table(form, heads, COUNT(heads));
    for (size_t i = 0; i < printing->outline->part_count; i++) {
        write_part(printing, &printing->outline->parts[i]);
    }
    form_table_end(form);
    for (size_t i = 0; i < printing->outline->part_count && !form->markdown; i++) {
        if (printing->outline->parts[i].axis_count == 0) {
            continue;
        }
        struct picture picture = {.outline = printing->outline, .number = &printing->number};
        page_raw(form->page, "<figure>\n");
        picture_map(form->page, &picture, (uint32_t)i, printing->outline->parts[i].name);
        page_raw(form->page, "</figure>\n");
    }
}

static void write_zones(const struct printing *printing)
{
    static const char *const heads[] = {"Zone", "On", "From and to", "Outside of", "Stands at"};
    const struct form *form = &printing->form;
    const stave_outline *outline = printing->outline;
    form_heading(form, 2, "zones", "Zones");
    form_table(form, heads, COUNT(heads));
    for (size_t i = 0; i < outline->zone_count; i++) {
        const struct stave_zone *zone = &outline->zones[i];
        const struct stave_part *part = &outline->parts[zone->part];
        if (zone->whole_part) {
            continue;
        }
        form_row(form);
        form_cell_text(form, zone->name);
        form_cell_text(form, part->name);
        form_cell(form);
        bool any = false;
        for (size_t a = 0; a < part->axis_count; a++) {
            if (!zone->ranges[a].whole) {
                form_text(form, any ? "; " : "");
                form_text(form, part->axes[a].name);
                form_text(form, " ");
                add_range(form, &zone->ranges[a]);
                any = true;
            }
        }
        form_text(form, any && zone->side_count ? "; " : "");
        add_list(form, zone->sides, zone->side_count);
        form_text(form, (any || zone->side_count) && zone->place_count ? "; " : "");
        add_list(form, zone->places, zone->place_count);
        form_cell_end(form);
        form_cell(form);
        add_list(form, zone->outside, zone->outside_count);
        form_cell_end(form);
        form_cell(form);
        add_place(form, zone->text_name, zone->line);
        form_cell_end(form);
        form_row_end(form);
    }
    form_table_end(form);
}

static void write_qualities(const struct printing *printing)
{
    static const char *const heads[] = {"Recorded", "How", "From and to, or values"};
    const struct form *form = &printing->form;
    form_heading(form, 2, "recorded", "What is measured and observed");
    form_table(form, heads, COUNT(heads));
    for (size_t i = 0; i < printing->outline->quality_count; i++) {
        const struct stave_quality *quality = &printing->outline->qualities[i];
        form_row(form);
        form_cell_text(form, quality->name);
        form_cell_text(form, quality->how);
        form_cell(form);
        if (quality->measured) {
            struct stave_range range = {.from = quality->from, .to = quality->to};
            add_range(form, &range);
            form_text(form, quality->smaller_is_worse ? "; smaller is worse" : "");
        } else {
            form_text(form, quality->levels ? "best first: " : "");
            add_list(form, quality->values, quality->value_count);
        }
        form_cell_end(form);
        form_row_end(form);
    }
    form_table_end(form);
}

static void write_kinds(const struct printing *printing)
{
    static const char *const heads[] = {"Kind or check", "On", "Records", "Look", "Caution"};
    const struct form *form = &printing->form;
    const stave_outline *outline = printing->outline;
    form_heading(form, 2, "kinds", "Kinds of damage and checks");
    form_table(form, heads, COUNT(heads));
    for (size_t k = 0; k < outline->kind_count; k++) {
        const struct stave_kind *kind = &outline->kinds[k];
        form_row(form);
        form_cell(form);
        form_text(form, kind->name);
        form_text(form, kind->check ? " (check)" : "");
        form_cell_end(form);
        form_cell(form);
        for (size_t p = 0; p < kind->part_count; p++) {
            form_text(form, p ? ", " : "");
            form_text(form, outline->parts[kind->parts[p]].name);
        }
        form_cell_end(form);
        form_cell(form);
        for (size_t r = 0; r < kind->record_count; r++) {
            form_text(form, r ? ", " : "");
            form_text(form, outline->qualities[kind->records[r].quality].name);
            form_text(form, kind->records[r].along[0] ? " along " : "");
            form_text(form, kind->records[r].along);
        }
        form_cell_end(form);
        form_cell(form);
        add_list(form, kind->looks, kind->look_count);
        form_cell_end(form);
        form_cell(form);
        add_list(form, kind->cautions, kind->caution_count);
        form_cell_end(form);
        form_row_end(form);
    }
    form_table_end(form);
}

/* ---- curves ------------------------------------------------------------------------------------ */

static void write_curve(const struct printing *printing, const struct stave_curve *curve)
{
    const struct form *form = &printing->form;
    const char *const heads[] = {curve->axis, curve->name};
    form_heading(form, 3, curve->name, curve->name);
    form_begin(form);
    form_text(form, "Straight between these points");
    form_text(form, curve->source[0] ? ", per " : "");
    form_text(form, curve->source);
    form_text(form, ". Stands at ");
    add_place(form, curve->text_name, curve->line);
    form_text(form, ".");
    form_end(form);
    form_table(form, heads, COUNT(heads));
    for (size_t i = 0; i < curve->point_count; i++) {
        form_row(form);
        form_cell(form);
        add_figure(form, &curve->points[i].at);
        form_cell_end(form);
        form_cell(form);
        add_figure(form, &curve->points[i].value);
        form_cell_end(form);
        form_row_end(form);
    }
    form_table_end(form);
}

static void write_curves(const struct printing *printing)
{
    const struct form *form = &printing->form;
    const stave_outline *outline = printing->outline;
    if (outline->curve_count + outline->reckoned_count == 0) {
        return;
    }
    form_heading(form, 2, "curves", "Curves and derived values");
    for (size_t i = 0; i < outline->curve_count; i++) {
        write_curve(printing, &outline->curves[i]);
    }
    for (size_t i = 0; i < outline->reckoned_count; i++) {
        form_begin(form);
        form_strong(form, outline->reckoned[i].name);
        form_text(form, " is ");
        form_text(form, outline->reckoned[i].value);
        form_text(form, ".");
        form_end(form);
    }
}

/* ---- limits -------------------------------------------------------------------------------------- */

static void write_line(const struct printing *printing, const struct stave_line *line,
                       size_t number)
{
    const struct form *form = &printing->form;
    form_row(form);
    form_cell(form);
    form_number(form, number);
    form_cell_end(form);
    form_cell(form);
    form_outcome(form, printing->outline->book, line->outcome);
    form_cell_end(form);
    form_cell(form);
    add_list(form, line->conditions, line->condition_count);
    form_text(form, line->condition_count ? "" : "otherwise");
    form_cell_end(form);
    form_cell(form);
    for (size_t i = 0; i < line->deadline_count; i++) {
        form_text(form, i ? "; " : "");
        form_text(form, line->deadlines[i].look_again ? "look again within " : "act within ");
        form_text(form, line->deadlines[i].within);
    }
    form_cell_end(form);
    form_cell(form);
    form_text(form, line->action);
    form_text(form, line->action[0] && line->note[0] ? ". Note: " : line->note[0] ? "Note: " : "");
    form_text(form, line->note);
    form_cell_end(form);
    form_cell_text(form, line->source);
    form_cell(form);
    add_place(form, line->text_name, line->line);
    form_cell_end(form);
    form_row_end(form);
}

static void write_charts(struct printing *printing, uint32_t ladder)
{
    const struct form *form = &printing->form;
    const stave_outline *outline = printing->outline;
    for (uint32_t i = 0; i < outline->chart_count; i++) {
        if (outline->charts[i].ladder != ladder) {
            continue;
        }
        if (form->markdown) {
            page_raw(form->page, "Picture: `");
            show_picture_name(form->page, outline, NULL, i);
            page_raw(form->page, ".svg` of `stave draw`\n\n");
            continue;
        }
        struct picture picture = {.outline = outline, .number = &printing->number};
        page_raw(form->page, "<figure class=\"wide\" tabindex=\"0\">\n");
        picture_chart(form->page, &picture, i);
        page_raw(form->page, "</figure>\n");
    }
}

static void write_ladder(struct printing *printing, uint32_t which)
{
    static const char *const heads[] = {"",   "Outcome", "When",     "By when",
                                        "Do", "Source",  "Stands at"};
    const struct form *form = &printing->form;
    const struct stave_ladder *ladder = &printing->outline->ladders[which];
    char name[32];
    snprintf(name, sizeof name, "limit-%u", (unsigned)which + 1);
    form_heading(form, 3, name, ladder->head);
    form_begin(form);
    form_text(form, ladder->source[0] ? "Per " : "");
    form_text(form, ladder->source);
    form_text(form, ladder->source[0] ? ". Stands at " : "Stands at ");
    add_place(form, ladder->text_name, ladder->line);
    form_text(form, ". ");
    form_text(form, ladder->note);
    form_end(form);
    if (ladder->declared_gap) {
        form_begin(form);
        form_strong(form, "The source gives no published limit.");
        form_end(form);
        return;
    }
    form_table(form, heads, COUNT(heads));
    for (size_t i = 0; i < ladder->line_count; i++) {
        write_line(printing, &ladder->lines[i], i + 1);
    }
    form_table_end(form);
    write_charts(printing, which);
}

static void write_ladders(struct printing *printing)
{
    const struct form *form = &printing->form;
    form_heading(form, 2, "limits", "Limits and checks");
    form_paragraph(form, "The lines of a limit are tried from the top: the first whose conditions "
                         "all hold decides. Where none does, there is no published limit.");
    for (uint32_t i = 0; i < printing->outline->ladder_count; i++) {
        write_ladder(printing, i);
    }
}

static void write_texts(const struct printing *printing)
{
    static const char *const heads[] = {"Text", "SHA-256"};
    const struct form *form = &printing->form;
    const struct stave_book_facts *book = printing->outline->book;
    form_heading(form, 2, "rests-on", "What this rests on");
    form_table(form, heads, COUNT(heads));
    for (size_t i = 0; i < book->text_count; i++) {
        form_row(form);
        form_cell_text(form, book->texts[i].name);
        form_cell_text(form, book->texts[i].sha256);
        form_row_end(form);
    }
    form_table_end(form);
    form_begin(form);
    form_text(form, "Made by stave ");
    form_text(form, stave_version());
    form_text(form, ".");
    form_end(form);
}

void show_document(struct page *page, const stave_outline *outline, bool markdown)
{
    struct printing printing = {.form = {.page = page, .markdown = markdown}, .outline = outline};
    if (!markdown) {
        html_begin(page, "Damage limits");
        page_raw(page, "<main class=\"document\">\n");
    }
    write_head(&printing);
    write_scale(&printing);
    write_parts(&printing);
    write_zones(&printing);
    write_qualities(&printing);
    write_kinds(&printing);
    write_curves(&printing);
    write_ladders(&printing);
    write_texts(&printing);
    if (!markdown) {
        page_raw(page, "</main>\n");
        html_end(page);
    }
}
