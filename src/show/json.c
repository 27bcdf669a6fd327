/* Verdict and problems as JSON. docs/verdict.schema.json is the contract: every member is always
 * there, names are those of stave.h, and figures are strings, so that none is ever rounded. */
#include "show/json_value.h"
#include "show/show.h"

/* ---- items ------------------------------------------------------------------------- */

static json_t *comparison_value(const struct stave_comparison *comparison)
{
    struct members object = members_begin();
    members_text(&object, "condition", comparison->condition);
    members_bool(&object, "holds", comparison->holds);
    members_text(&object, "name", comparison->name);
    members_text(&object, "reading", comparison->reading);
    members_text(&object, "relation", comparison->relation);
    members_text(&object, "limit", comparison->limit);
    members_bool(&object, "reading_rounded", comparison->reading_rounded);
    members_bool(&object, "limit_rounded", comparison->limit_rounded);
    members_text(&object, "reading_exact", comparison->reading_exact);
    members_text(&object, "limit_exact", comparison->limit_exact);
    members_text(&object, "where", comparison->where);
    members_text(&object, "company", comparison->company);
    return members_done(&object);
}

static json_t *reason_value(const struct stave_outcome *scale, const struct stave_reason *reason)
{
    ARRAY_OF(kept_from, comparison_value, reason->kept_from, reason->kept_from_count)
    ARRAY_OF(held, comparison_value, reason->held, reason->held_count)
    struct members object = members_begin();
    members_text(&object, "zone", reason->zone);
    members_text(&object, "limit", reason->limit);
    members_text(&object, "text_name", reason->text_name);
    members_count(&object, "line", reason->line);
    members_text(&object, "outcome", scale[reason->outcome].name);
    members_text(&object, "line_text", reason->line_text);
    members_text(&object, "source", reason->source);
    members_text(&object, "action", reason->action);
    members_text(&object, "note", reason->note);
    members_bool(&object, "governs", reason->governs);
    members_add(&object, "kept_from", kept_from);
    members_add(&object, "held", held);
    return members_done(&object);
}

static json_t *need_value(const struct stave_need *need)
{
    struct members object = members_begin();
    members_text(&object, "name", need->name);
    members_text(&object, "how", need->how);
    members_bool(&object, "settles", need->settles);
    return members_done(&object);
}

static json_t *deadline_value(const struct stave_deadline *deadline)
{
    static const char *const states[] = {"set", "running", "met", "late", "overdue", "unknown"};
    struct members object = members_begin();
    members_bool(&object, "look_again", deadline->look_again);
    members_text(&object, "within", deadline->within);
    members_text(&object, "due", deadline->due);
    members_text(&object, "source", deadline->source);
    members_text(&object, "state", states[deadline->state]);
    members_text(&object, "set", deadline->set);
    members_text(&object, "left", deadline->left);
    return members_done(&object);
}

static json_t *outcomes(const struct stave_outcome *scale, const uint32_t *which, size_t count)
{
    json_t *array = json_array();
    for (size_t i = 0; i < count; i++) {
        array = array_append(array, text_value(scale[which[i]].name));
    }
    return array;
}

static json_t *figure_value(const struct stave_figure *figure)
{
    struct members object = members_begin();
    members_text(&object, "exact", figure->exact);
    members_text(&object, "decimal", figure->decimal);
    members_text(&object, "unit", figure->unit);
    members_bool(&object, "rounded", figure->rounded);
    return members_done(&object);
}

static json_t *reading_value(const struct stave_reading *reading)
{
    struct members object = members_begin();
    members_text(&object, "name", reading->name);
    members_text(&object, "shown", reading->shown);
    members_bool(&object, "given", reading->given);
    members_add(&object, "low", reading->measured ? figure_value(&reading->low) : json_null());
    members_add(&object, "high", reading->measured ? figure_value(&reading->high) : json_null());
    return members_done(&object);
}

static json_t *extent_value(const struct stave_extent *extent)
{
    struct members object = members_begin();
    members_text(&object, "axis", extent->axis);
    members_text(&object, "shown", extent->shown);
    members_bool(&object, "given", extent->given);
    members_bool(&object, "point", extent->point);
    members_add(&object, "start_low", figure_value(&extent->start_low));
    members_add(&object, "start_high", figure_value(&extent->start_high));
    members_add(&object, "end_low", figure_value(&extent->end_low));
    members_add(&object, "end_high", figure_value(&extent->end_high));
    return members_done(&object);
}

static json_t *side_value(const struct stave_on_side *side)
{
    struct members object = members_begin();
    members_text(&object, "side", side->side);
    members_bool(&object, "certain", side->certain);
    members_bool(&object, "at_meeting", side->at_meeting);
    return members_done(&object);
}

/* What was recorded and where, as it was judged. */
static json_t *figure_or_null(const struct stave_figure *figure)
{
    return figure->exact[0] ? figure_value(figure) : json_null();
}

static json_t *growth_value(const struct stave_growth *growth)
{
    struct members object = members_begin();
    members_text(&object, "name", growth->name);
    members_text(&object, "before", growth->before);
    members_text(&object, "first", growth->first);
    members_text(&object, "grown", growth->grown);
    members_text(&object, "grown_since_first", growth->grown_since_first);
    members_add(&object, "grown_low", figure_or_null(&growth->grown_low));
    members_add(&object, "grown_high", figure_or_null(&growth->grown_high));
    members_add(&object, "first_low", figure_or_null(&growth->first_low));
    members_add(&object, "first_high", figure_or_null(&growth->first_high));
    return members_done(&object);
}

static void add_recorded(struct members *object, const struct stave_item *item)
{
    ARRAY_OF(readings, reading_value, item->readings, item->reading_count)
    ARRAY_OF(extents, extent_value, item->extents, item->extent_count)
    ARRAY_OF(sides, side_value, item->sides, item->side_count)
    members_add(object, "readings", readings);
    members_add(object, "extents", extents);
    members_add(object, "sides", sides);
    members_add(object, "places", text_values(item->places, item->place_count));
}

static void add_judgement(struct members *object, const struct stave_outcome *scale,
                          const struct stave_item *item)
{
    json_t *reasons = json_array();
    for (size_t i = 0; i < item->reason_count; i++) {
        reasons = array_append(reasons, reason_value(scale, &item->reasons[i]));
    }
    ARRAY_OF(needs, need_value, item->needs, item->need_count)
    ARRAY_OF(deadlines, deadline_value, item->deadlines, item->deadline_count)
    members_text(object, "outcome", scale[item->outcome].name);
    members_add(object, "possible", outcomes(scale, item->possible, item->possible_count));
    members_text(object, "guarded_outcome",
                 item->guarded_outcome < 0 ? NULL : scale[item->guarded_outcome].name);
    members_text(object, "why_incomplete", item->why_incomplete);
    members_text(object, "why_overdue", item->why_overdue);
    members_text(object, "by_model", item->by_model);
    members_add(object, "zones", text_values(item->zones, item->zone_count));
    members_text(object, "uncovered", item->uncovered);
    members_add(object, "reasons", reasons);
    members_add(object, "needs", needs);
    members_add(object, "deadlines", deadlines);
}

static json_t *item_value(const struct stave_outcome *scale, const struct stave_item *item)
{
    static const char *const sorts[] = {"finding", "check", "search", "earlier", "model"};
    static const char *const seen[] = {"unknown", "new", "before"};
    struct members object = members_begin();
    members_text(&object, "item", sorts[item->item]);
    members_text(&object, "id", item->id);
    members_text(&object, "part", item->part);
    members_count(&object, "part_index", item->part_index);
    members_text(&object, "kind", item->kind);
    members_text(&object, "text", item->text);
    members_text(&object, "remark", item->remark);
    members_count(&object, "record_line", item->record_line);
    add_recorded(&object, item);
    ARRAY_OF(growths, growth_value, item->growths, item->growth_count)
    members_text(&object, "seen", seen[item->seen]);
    members_add(&object, "growths", growths);
    add_judgement(&object, scale, item);
    return members_done(&object);
}

static json_t *part_value(const struct stave_outcome *scale, const struct stave_part_verdict *part)
{
    struct members object = members_begin();
    members_text(&object, "part", part->part);
    members_text(&object, "outcome", scale[part->outcome].name);
    members_text(&object, "best", scale[part->best].name);
    return members_done(&object);
}

/* ---- verdict -------------------------------------------------------------------------- */

static void add_items(struct members *object, const stave_verdict *verdict)
{
    const struct stave_outcome *scale = verdict->book->scale;
    json_t *items = json_array();
    for (size_t i = 0; i < verdict->item_count; i++) {
        items = array_append(items, item_value(scale, &verdict->items[i]));
    }
    json_t *parts = json_array();
    for (size_t i = 0; i < verdict->part_count; i++) {
        parts = array_append(parts, part_value(scale, &verdict->parts[i]));
    }
    members_add(object, "items", items);
    members_add(object, "parts", parts);
}

static json_t *before_value(const struct stave_before *before)
{
    struct members object = members_begin();
    members_text(&object, "text_name", before->text_name);
    members_text(&object, "date", before->date);
    members_text(&object, "hours", before->hours);
    return members_done(&object);
}

static json_t *repaired_value(const struct stave_repaired *repaired)
{
    struct members object = members_begin();
    members_text(&object, "text", repaired->text);
    members_text(&object, "part", repaired->part);
    members_text(&object, "kind", repaired->kind);
    members_text(&object, "remark", repaired->remark);
    return members_done(&object);
}

static json_t *carried_value(const struct stave_carried *carried)
{
    struct members object = members_begin();
    members_text(&object, "id", carried->id);
    members_text(&object, "part", carried->part);
    members_text(&object, "kind", carried->kind);
    members_add(&object, "deadline", deadline_value(&carried->deadline));
    return members_done(&object);
}

static void add_before(struct members *object, const stave_verdict *verdict)
{
    ARRAY_OF(before, before_value, verdict->before, verdict->before_count)
    ARRAY_OF(repaired, repaired_value, verdict->repaired, verdict->repaired_count)
    ARRAY_OF(carried, carried_value, verdict->carried, verdict->carried_count)
    members_add(object, "before", before);
    members_add(object, "repaired", repaired);
    members_add(object, "carried", carried);
}

static json_t *verdict_value(const stave_verdict *verdict)
{
    static const char *const flights[] = {"yes", "no", "not known yet"};
    ARRAY_OF(needs, need_value, verdict->needs, verdict->need_count)
    ARRAY_OF(deadlines, deadline_value, verdict->deadlines, verdict->deadline_count)
    ARRAY_OF(texts, digest_value, verdict->texts, verdict->text_count)
    struct members object = members_begin();
    members_text(&object, "flight", flights[verdict->flight]);
    members_text(&object, "outcome", verdict->book->scale[verdict->outcome].name);
    members_text(&object, "best", verdict->book->scale[verdict->best].name);
    members_bool(&object, "single", verdict->single);
    members_text(&object, "propeller", verdict->propeller);
    members_text(&object, "model", verdict->model);
    members_text(&object, "aircraft", verdict->aircraft);
    members_text(&object, "inspector", verdict->inspector);
    members_text(&object, "date", verdict->date);
    members_text(&object, "hours", verdict->hours);
    members_text(&object, "facts", verdict->facts);
    members_text(&object, "model_open", verdict->model_open);
    add_items(&object, verdict);
    members_add(&object, "needs", needs);
    members_add(&object, "deadlines", deadlines);
    add_before(&object, verdict);
    members_add(&object, "actions", text_values(verdict->actions, verdict->action_count));
    members_add(&object, "cautions", text_values(verdict->cautions, verdict->caution_count));
    members_add(&object, "book", book_value(verdict->book));
    members_add(&object, "texts", texts);
    return members_done(&object);
}

static void send(struct page *page, json_t *problems, json_t *verdict)
{
    struct members object = members_begin();
    members_count(&object, "format", SHOW_JSON_FORMAT);
    members_text(&object, "stave", stave_version());
    if (verdict) {
        members_add(&object, "verdict", verdict);
    }
    members_add(&object, "problems", problems);
    document_send(page, members_done(&object));
}

void show_verdict_json(struct page *page, const stave_verdict *verdict,
                       const struct stave_problem *const lists[3], const size_t counts[3])
{
    json_t *problems = json_array();
    for (int list = 0; list < 3; list++) {
        for (size_t i = 0; i < counts[list]; i++) {
            problems = array_append(problems, problem_value(&lists[list][i]));
        }
    }
    json_t *value = verdict_value(verdict);
    if (!value) {
        json_decref(problems);
        page->failed = true;
        return;
    }
    send(page, problems, value);
}

void show_problems_json(struct page *page, const struct stave_problem *problems, size_t count)
{
    ARRAY_OF(array, problem_value, problems, count)
    send(page, array, NULL);
}
