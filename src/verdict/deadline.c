/* Deadlines: the shortest of each sort, and when they fall due. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "verdict/verdict.h"

/* Days since 1970-01-01 of a date in the Gregorian calendar, and back. */
static int64_t days_from_date(int64_t year, int64_t month, int64_t day)
{
    year -= month <= 2;
    int64_t era = (year >= 0 ? year : year - 399) / 400;
    int64_t year_of_era = year - era * 400;
    int64_t day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    int64_t day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return era * 146097 + day_of_era - 719468;
}

static const char *date_from_days(struct arena *arena, int64_t days)
{
    days += 719468;
    int64_t era = (days >= 0 ? days : days - 146096) / 146097;
    int64_t day_of_era = days - era * 146097;
    int64_t year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    int64_t day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    int64_t month_part = (5 * day_of_year + 2) / 153;
    int64_t day = day_of_year - (153 * month_part + 2) / 5 + 1;
    int64_t month = month_part + (month_part < 10 ? 3 : -9);
    int64_t year = year_of_era + era * 400 + (month <= 2);
    return text_format(arena, "%04d-%02d-%02d", (int)year, (int)month, (int)day);
}

/* A date is checked when the record is read; here it is YYYY-MM-DD. */
static int64_t date_days(const char *date)
{
    return days_from_date(strtol(date, NULL, 10), strtol(date + 5, NULL, 10),
                          strtol(date + 8, NULL, 10));
}

static const char *due_date(struct arena *arena, const char *date, struct number days)
{
    int64_t start = date_days(date);
    struct number whole = number_round_whole(arena, days, NUMBER_DOWN);
    if (whole.den != 1 || whole.num > 1000000) {
        return NULL;
    }
    return date_from_days(arena, start + whole.num);
}

static const char *due_count(struct arena *arena, struct number start, struct number value,
                             const char *unit)
{
    bool rounded;
    struct number due = number_add(arena, start, value);
    return text_format(arena, "%s %s", number_decimal(arena, due, 2, NUMBER_DOWN, &rounded), unit);
}

static const char *due_text(struct arena *arena, const struct deadline *deadline,
                            const struct record *record)
{
    if (!record || record->single) {
        return NULL;
    }
    struct dimension dimension = deadline->unit->dimension;
    if (dimension.hours == 1) {
        return record->has_hours ? due_count(arena, record->hours, deadline->value, "h") : NULL;
    }
    if (dimension.days == 1) {
        return record->date && strlen(record->date) == 10
                   ? due_date(arena, record->date, deadline->value)
                   : NULL;
    }
    return record->has_cycles ? due_count(arena, record->cycles, deadline->value, "cycles") : NULL;
}

bool deadline_left(struct arena *arena, struct number value, struct dimension dimension,
                   const struct record *start, const struct record *now, struct number *left)
{
    struct number passed;
    if (dimension.hours == 1) {
        if (!start->has_hours || !now->has_hours) {
            return false;
        }
        passed = number_subtract(arena, now->hours, start->hours);
    } else if (dimension.days == 1) {
        if (!start->date || !now->date) {
            return false;
        }
        value = number_round_whole(arena, value, NUMBER_DOWN);
        passed = NUMBER_INT(date_days(now->date) - date_days(start->date));
    } else {
        if (!start->has_cycles || !now->has_cycles) {
            return false;
        }
        passed = number_subtract(arena, now->cycles, start->cycles);
    }
    *left = number_subtract(arena, value, passed);
    return true;
}

const char *deadline_amount(struct arena *arena, struct number value, struct dimension dimension,
                            enum number_round how)
{
    const char *unit = dimension.hours == 1 ? "h" : dimension.days == 1 ? "day" : "cycle";
    bool rounded;
    return quantity_text(arena, value, unit_find(unit, strlen(unit)), how, &rounded);
}

void deadlines_add_one(struct arena *arena, struct deadline_list *list,
                       const struct stave_deadline *deadline, struct number value,
                       struct dimension dimension)
{
    for (size_t i = 0; i < list->count; i++) {
        if (list->items[i].look_again == deadline->look_again &&
            dimension_equal(list->dimensions[i], dimension)) {
            if (number_compare(arena, value, list->values[i]) < 0) {
                list->items[i] = *deadline;
                list->values[i] = value;
            }
            return;
        }
    }
    size_t count = list->count;
    size_t capacity = list->capacity;
    *ARENA_PUSH(arena, list->items, count, capacity) = *deadline;
    if (capacity != list->capacity) {
        list->values = arena_grow_array(arena, list->values, list->count, capacity,
                                        sizeof *list->values);
        list->dimensions = arena_grow_array(arena, list->dimensions, list->count, capacity,
                                            sizeof *list->dimensions);
        list->capacity = capacity;
    }
    list->values[list->count] = value;
    list->dimensions[list->count] = dimension;
    list->count = count;
}

void deadlines_add(struct arena *arena, struct deadline_list *list, const struct judged *judged,
                   const struct record *record)
{
    const struct docket *docket = judged->docket;
    for (uint32_t l = 0; l < docket->limit_count; l++) {
        const struct plan_limit *limit = &docket->limits[l];
        for (uint32_t r = 0; r < limit->rung_count; r++) {
            if (!(judged->judgement->rungs[l] >> r & 1)) {
                continue;
            }
            const struct rung *rung = limit->rungs[r].source;
            for (uint32_t d = 0; d < rung->deadline_count; d++) {
                const struct deadline *deadline = &rung->deadlines[d];
                bool rounded;
                struct stave_deadline shown = {
                    .look_again = deadline->look_again,
                    .within = quantity_text(arena, deadline->value, deadline->unit, NUMBER_DOWN,
                                            &rounded),
                    .due = due_text(arena, deadline, record),
                    .source = rung->source[0] ? rung->source : limit->source->source,
                };
                deadlines_add_one(arena, list, &shown, deadline->value, deadline->unit->dimension);
            }
        }
    }
}

void deadlines_join(struct arena *arena, struct deadline_list *list,
                    const struct deadline_list *other)
{
    for (size_t i = 0; i < other->count; i++) {
        deadlines_add_one(arena, list, &other->items[i], other->values[i], other->dimensions[i]);
    }
}
