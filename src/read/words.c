/* The words that the language keeps for itself, and the units that people write otherwise. */
#include <string.h>

#include "base/text.h"
#include "read/reader.h"

struct word {
    const char *text;
    int token;
};

/* In the order of strcmp: word_token searches by halves. */
static const struct word words[] = {
    {"add", TOKEN_ADD},
    {"again", TOKEN_AGAIN},
    {"along", TOKEN_ALONG},
    {"and", TOKEN_AND},
    {"any", TOKEN_ANY},
    {"apart", TOKEN_APART},
    {"as", TOKEN_AS},
    {"at", TOKEN_AT},
    {"axis", TOKEN_AXIS},
    {"below", TOKEN_BELOW},
    {"book", TOKEN_BOOK},
    {"by", TOKEN_BY},
    {"caution", TOKEN_CAUTION},
    {"check", TOKEN_CHECK},
    {"curve", TOKEN_CURVE},
    {"dated", TOKEN_DATED},
    {"do", TOKEN_DO},
    {"drop", TOKEN_DROP},
    {"each", TOKEN_EACH},
    {"edition", TOKEN_EDITION},
    {"example", TOKEN_EXAMPLE},
    {"exception", TOKEN_EXCEPTION},
    {"facing", TOKEN_FACING},
    {"fact", TOKEN_FACT},
    {"first", TOKEN_FIRST},
    {"fitted", TOKEN_FITTED},
    {"flight", TOKEN_FLIGHT},
    {"for", TOKEN_FOR},
    {"from", TOKEN_FROM},
    {"gives", TOKEN_GIVES},
    {"greater", TOKEN_GREATER},
    {"grown", TOKEN_GROWN},
    {"guarded", TOKEN_GUARDED},
    {"is", TOKEN_IS},
    {"judge", TOKEN_JUDGE},
    {"kind", TOKEN_KIND},
    {"larger", TOKEN_LARGER},
    {"largest", TOKEN_LARGEST},
    {"least", TOKEN_LEAST},
    {"lesser", TOKEN_LESSER},
    {"levels", TOKEN_LEVELS},
    {"like", TOKEN_LIKE},
    {"limit", TOKEN_LIMIT},
    {"look", TOKEN_LOOK},
    {"measure", TOKEN_MEASURE},
    {"measured", TOKEN_MEASURED},
    {"meet", TOKEN_MEET},
    {"model", TOKEN_MODEL},
    {"more", TOKEN_MORE},
    {"nearest", TOKEN_NEAREST},
    {"new", TOKEN_NEW},
    {"no", TOKEN_NO},
    {"not", TOKEN_NOT},
    {"note", TOKEN_NOTE},
    {"observe", TOKEN_OBSERVE},
    {"of", TOKEN_OF},
    {"on", TOKEN_ON},
    {"one", TOKEN_ONE},
    {"or", TOKEN_OR},
    {"otherwise", TOKEN_OTHERWISE},
    {"outside", TOKEN_OUTSIDE},
    {"over", TOKEN_OVER},
    {"part", TOKEN_PART},
    {"per", TOKEN_PER},
    {"place", TOKEN_PLACE},
    {"propeller", TOKEN_PROPELLER},
    {"publish", TOKEN_RESERVED},
    {"published", TOKEN_PUBLISHED},
    {"read", TOKEN_READ},
    {"reckon", TOKEN_RECKON},
    {"records", TOKEN_RECORDS},
    {"replace", TOKEN_REPLACE},
    {"scale", TOKEN_SCALE},
    {"search", TOKEN_SEARCH},
    {"seen", TOKEN_SEEN},
    {"side", TOKEN_SIDE},
    {"since", TOKEN_SINCE},
    {"size", TOKEN_SIZE},
    {"smaller", TOKEN_SMALLER},
    {"stave", TOKEN_STAVE},
    {"than", TOKEN_THAN},
    {"the", TOKEN_THE},
    {"times", TOKEN_MANY},
    {"to", TOKEN_TO},
    {"together", TOKEN_TOGETHER},
    {"total", TOKEN_TOTAL},
    {"unconfirmed", TOKEN_UNCONFIRMED},
    {"up", TOKEN_UP},
    {"use", TOKEN_USE},
    {"was", TOKEN_WAS},
    {"where", TOKEN_WHERE},
    {"with", TOKEN_WITH},
    {"within", TOKEN_WITHIN},
    {"worse", TOKEN_WORSE},
    {"yes", TOKEN_YES},
    {"zone", TOKEN_ZONE},
};

enum { WORD_COUNT = sizeof words / sizeof words[0] };

/* Other spellings of units, and what is meant. NULL: there is no one unit for it. */
struct other_unit {
    const char *text, *meant;
};

static const struct other_unit other_units[] = {
    {"mil", "thou"},      {"mils", "thou"},      {"thousandth", "thou"}, {"thousandths", "thou"},
    {"thous", "thou"},    {"inch", "in"},        {"inches", "in"},       {"ins", "in"},
    {"foot", "ft"},       {"feet", "ft"},        {"millimetre", "mm"},   {"millimetres", "mm"},
    {"millimeter", "mm"}, {"millimeters", "mm"}, {"centimetre", "cm"},   {"centimetres", "cm"},
    {"centimeter", "cm"}, {"centimeters", "cm"}, {"metre", "m"},         {"metres", "m"},
    {"meter", "m"},       {"meters", "m"},       {"micron", "um"},       {"microns", "um"},
    {"sqin", "in2"},      {"sqmm", "mm2"},       {"sqcm", "cm2"},        {"sqft", "ft2"},
    {"degree", "deg"},    {"degrees", "deg"},    {"degs", "deg"},        {"arcmins", "arcmin"},
    {"pound", "lb"},      {"pounds", "lb"},      {"lbs", "lb"},          {"ounce", "oz"},
    {"ounces", "oz"},     {"gram", "g"},         {"grams", "g"},         {"gm", "g"},
    {"kilo", "kg"},       {"kilos", "kg"},       {"kgs", "kg"},          {"kilogram", "kg"},
    {"kilograms", "kg"},  {"newton", "N"},       {"newtons", "N"},       {"Nm", "N-m"},
    {"lbfin", "lbf-in"},  {"lb-in", "lbf-in"},   {"in-lb", "lbf-in"},    {"in-lbs", "lbf-in"},
    {"in-lbf", "lbf-in"}, {"inlb", "lbf-in"},    {"lbfft", "lbf-ft"},    {"lb-ft", "lbf-ft"},
    {"ft-lb", "lbf-ft"},  {"ft-lbs", "lbf-ft"},  {"ft-lbf", "lbf-ft"},   {"ftlb", "lbf-ft"},
    {"hr", "h"},          {"hrs", "h"},          {"hour", "h"},          {"hours", "h"},
    {"mins", "min"},      {"minute", "min"},     {"minutes", "min"},     {"cyc", "cycles"},
    {"percent", "%"},     {"pct", "%"},
};

/* By bytes, most of which differ at once: a call of strncmp takes longer. */
static int compare_word(const char *bytes, size_t size, const char *word)
{
    size_t at = 0;
    while (at < size && bytes[at] == word[at] && word[at] != '\0') {
        at++;
    }
    return at < size          ? (unsigned char)bytes[at] - (unsigned char)word[at]
           : word[at] == '\0' ? 0
                              : -1;
}

/* By the first letter, from a to z: the first word that begins with it or a later one. */
static const unsigned char first_words[] = {0,  9,  12, 15, 18, 22, 29, 33, 33, 34, 35, 36, 44, 49,
                                            54, 62, 68, 68, 72, 80, 86, 89, 89, 94, 94, 95, 96};
_Static_assert(sizeof first_words == 27, "one for each letter, and the end");

int word_token(const char *bytes, size_t size)
{
    if (size == 0 || bytes[0] < 'a' || bytes[0] > 'z') {
        return 0;
    }
    size_t low = first_words[bytes[0] - 'a'], high = first_words[bytes[0] - 'a' + 1];
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        int order = compare_word(bytes, size, words[middle].text);
        if (order == 0) {
            return words[middle].token;
        }
        if (order < 0) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    return 0;
}

bool read_is_reserved(const char *word)
{
    size_t size = strlen(word);
    return word_token(word, size) != 0 || unit_find(word, size) != NULL;
}

const char *word_known_unit(const char *bytes, size_t size)
{
    char lower[16];
    if (size >= sizeof lower) {
        return NULL;
    }
    for (size_t i = 0; i < size; i++) {
        char c = bytes[i];
        lower[i] = c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
    }
    for (size_t i = 0; i < sizeof other_units / sizeof other_units[0]; i++) {
        if (compare_word(bytes, size, other_units[i].text) == 0 ||
            compare_word(lower, size, other_units[i].text) == 0) {
            return other_units[i].meant;
        }
    }
    return NULL;
}

const char *word_meant_unit(struct arena *arena, const char *bytes, size_t size)
{
    const char *known = word_known_unit(bytes, size);
    if (known || size > 16) {
        return known;
    }
    const char *wanted = arena_copy_text(arena, bytes, size);
    for (size_t i = 0; i < size; i++) { /* "MM", "In" */
        char *c = (char *)wanted + i;
        *c = *c >= 'A' && *c <= 'Z' ? (char)(*c - 'A' + 'a') : *c;
    }
    if (unit_find(wanted, size)) {
        return wanted;
    }
    const char *names[128];
    size_t count = 0;
    const struct unit *unit;
    const char *spelling;
    while (count < 128 && (spelling = unit_spelling_at(count, &unit)) != NULL) {
        names[count++] = spelling;
    }
    return text_nearest(arena, wanted, names, count);
}

bool word_begins_statement(int token)
{
    return token >= TOKEN_STAVE && token <= TOKEN_EXAMPLE;
}

const char *word_near_statement(struct arena *arena, const char *name)
{
    const char *names[WORD_COUNT];
    size_t count = 0;
    size_t size = strlen(name);
    if (size > 16) {
        return NULL;
    }
    char *lower = arena_copy_text(arena, name, size);
    for (size_t i = 0; i < size; i++) {
        lower[i] = lower[i] >= 'A' && lower[i] <= 'Z' ? (char)(lower[i] - 'A' + 'a') : lower[i];
    }
    for (size_t i = 0; i < WORD_COUNT; i++) {
        if (word_begins_statement(words[i].token)) {
            names[count++] = words[i].text;
        }
    }
    return text_nearest(arena, lower, names, count);
}

const char *word_owner(int token)
{
    switch (token) {
    case TOKEN_EDITION:
    case TOKEN_FOR:
    case TOKEN_JUDGE:
        return "'book'";
    case TOKEN_AXIS:
    case TOKEN_SIDE:
    case TOKEN_PLACE:
        return "'part'";
    case TOKEN_LOOK:
        return "'kind' or 'check'";
    case TOKEN_CAUTION:
        return "'book', 'kind' or 'check'";
    case TOKEN_OTHERWISE:
        return "'limit' or 'check'";
    case TOKEN_GIVES:
        return "'example'";
    default:
        return NULL;
    }
}
