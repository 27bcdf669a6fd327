/* JSON Lines: one flat object, strictly as RFC 8259 has it; numbers stay as they are written. */
#include <string.h>

#include "sweep/inside.h"

struct json {
    struct arena *arena;
    const char *at, *end;
    const char *fault;
};

static void skip_blanks(struct json *json)
{
    while (json->at < json->end && (*json->at == ' ' || *json->at == '\t' || *json->at == '\r')) {
        json->at++;
    }
}

static bool refuse(struct json *json, const char *fault)
{
    json->fault = json->fault ? json->fault : fault;
    return false;
}

static bool take(struct json *json, char wanted, const char *fault)
{
    skip_blanks(json);
    if (json->at == json->end || *json->at != wanted) {
        return refuse(json, fault);
    }
    json->at++;
    return true;
}

/* ---- strings --------------------------------------------------------------------------------- */

static bool read_hex(struct json *json, uint32_t *unit)
{
    *unit = 0;
    if (json->end - json->at < 4) {
        return refuse(json, "an escape that is cut off");
    }
    for (int i = 0; i < 4; i++) {
        char c = *json->at++;
        uint32_t digit = c >= '0' && c <= '9'   ? (uint32_t)(c - '0')
                         : c >= 'a' && c <= 'f' ? (uint32_t)(c - 'a') + 10
                         : c >= 'A' && c <= 'F' ? (uint32_t)(c - 'A') + 10
                                                : 16;
        if (digit == 16) {
            return refuse(json, "an escape without four hexadecimal digits");
        }
        *unit = *unit * 16 + digit;
    }
    return true;
}

static char *put_point(char *to, uint32_t point)
{
    if (point < 0x80) {
        *to++ = (char)point;
    } else if (point < 0x800) {
        *to++ = (char)(0xC0 | point >> 6);
        *to++ = (char)(0x80 | (point & 63));
    } else if (point < 0x10000) {
        *to++ = (char)(0xE0 | point >> 12);
        *to++ = (char)(0x80 | (point >> 6 & 63));
        *to++ = (char)(0x80 | (point & 63));
    } else {
        *to++ = (char)(0xF0 | point >> 18);
        *to++ = (char)(0x80 | (point >> 12 & 63));
        *to++ = (char)(0x80 | (point >> 6 & 63));
        *to++ = (char)(0x80 | (point & 63));
    }
    return to;
}

/* After "\u": one character, of two halves where it takes two. */
static bool read_point(struct json *json, char **to)
{
    uint32_t point, low;
    if (!read_hex(json, &point)) {
        return false;
    }
    if (point >= 0xDC00 && point <= 0xDFFF) {
        return refuse(json, "half of a character in an escape");
    }
    if (point >= 0xD800 && point <= 0xDBFF) {
        if (json->end - json->at < 2 || json->at[0] != '\\' || json->at[1] != 'u') {
            return refuse(json, "half of a character in an escape");
        }
        json->at += 2;
        if (!read_hex(json, &low)) {
            return false;
        }
        if (low < 0xDC00 || low > 0xDFFF) {
            return refuse(json, "half of a character in an escape");
        }
        point = 0x10000 + ((point - 0xD800) << 10) + (low - 0xDC00);
    }
    *to = put_point(*to, point);
    return true;
}

static bool read_escape(struct json *json, char **to)
{
    static const char letters[] = "\"\\/bfnrt", meant[] = "\"\\/\b\f\n\r\t";
    if (json->at == json->end) {
        return refuse(json, "a string that is never closed");
    }
    char letter = *json->at++;
    if (letter == 'u') {
        return read_point(json, to);
    }
    const char *known = letter ? strchr(letters, letter) : NULL;
    if (!known) {
        return refuse(json, "an unknown escape");
    }
    *(*to)++ = meant[known - letters];
    return true;
}

static bool read_string(struct json *json, struct cell *cell)
{
    const char *from = ++json->at;
    const char *c = from;
    while (c < json->end && *c != '"' && *c != '\\' && (unsigned char)*c >= ' ') {
        c++;
    }
    if (c < json->end && *c == '"') { /* as it stands */
        *cell = (struct cell){from, (uint32_t)(c - from)};
        json->at = c + 1;
        return true;
    }
    char *bytes = arena_take(json->arena, (size_t)(json->end - from) + 1), *to = bytes;
    while (json->at < json->end && *json->at != '"') {
        char here = *json->at++;
        if ((unsigned char)here < ' ') {
            return refuse(json, "a control character in a string");
        }
        if (here != '\\') {
            *to++ = here;
        } else if (!read_escape(json, &to)) {
            return false;
        }
    }
    if (json->at == json->end) {
        return refuse(json, "a string that is never closed");
    }
    json->at++;
    *cell = (struct cell){bytes, (uint32_t)(to - bytes)};
    return true;
}

/* ---- values ------------------------------------------------------------------------------------ */

static const char *digits(const char *at, const char *end)
{
    while (at < end && *at >= '0' && *at <= '9') {
        at++;
    }
    return at;
}

/* A number by RFC 8259, handed on as it is written: whether it is a figure is for its reader. */
static bool read_number(struct json *json, struct cell *cell)
{
    const char *from = json->at, *end = json->end;
    const char *at = from + (*from == '-');
    const char *whole = digits(at, end);
    if (whole == at || (*at == '0' && whole > at + 1)) {
        return refuse(json, "a value that is neither a string nor a number nor null");
    }
    at = whole;
    if (at < end && *at == '.') {
        const char *part = digits(at + 1, end);
        if (part == at + 1) {
            return refuse(json, "a number without digits behind its point");
        }
        at = part;
    }
    if (at < end && (*at == 'e' || *at == 'E')) {
        at += 1 + (at + 1 < end && (at[1] == '+' || at[1] == '-'));
        const char *power = digits(at, end);
        if (power == at) {
            return refuse(json, "a number without digits in its power of ten");
        }
        at = power;
    }
    *cell = (struct cell){from, (uint32_t)(at - from)};
    json->at = at;
    return true;
}

static bool read_word(struct json *json, const char *word)
{
    size_t size = strlen(word);
    if ((size_t)(json->end - json->at) < size || memcmp(json->at, word, size) != 0) {
        return false;
    }
    json->at += size;
    return true;
}

static bool read_value(struct json *json, struct cell *cell)
{
    *cell = (struct cell){"", 0};
    skip_blanks(json);
    if (json->at == json->end) {
        return refuse(json, "an object that is cut off");
    }
    if (*json->at == '"') {
        /* An empty string is not given, as an empty field is. */
        return read_string(json, cell);
    }
    if (read_word(json, "null")) {
        return true;
    }
    if (read_word(json, "true")) {
        *cell = (struct cell){"yes", 3};
        return true;
    }
    if (read_word(json, "false")) {
        *cell = (struct cell){"no", 2};
        return true;
    }
    return read_number(json, cell);
}

/* ---- objects ------------------------------------------------------------------------------------ */

static bool same_key(const struct cell *a, const struct cell *b)
{
    return a->size == b->size && memcmp(a->bytes, b->bytes, a->size) == 0;
}

static bool read_member(struct json *json, struct member *members, uint32_t count)
{
    struct member *member = &members[count];
    skip_blanks(json);
    if (json->at == json->end || *json->at != '"') {
        return refuse(json, "no name of a member where one should be");
    }
    if (!read_string(json, &member->key) ||
        !take(json, ':', "no ':' behind the name of a member") ||
        !read_value(json, &member->value)) {
        return false;
    }
    for (uint32_t i = 0; i < count; i++) {
        if (same_key(&members[i].key, &member->key)) {
            return refuse(json, "a member that is there twice");
        }
    }
    return true;
}

static bool read_object(struct json *json, struct member *members, uint32_t *count)
{
    if (!take(json, '{', "the line is no JSON object")) {
        return false;
    }
    skip_blanks(json);
    bool more = json->at == json->end || *json->at != '}';
    json->at += !more;
    while (more) {
        if (*count == SWEEP_COLUMNS / 2) {
            return refuse(json, "more members than a row may have");
        }
        if (!read_member(json, members, *count)) {
            return false;
        }
        ++*count;
        skip_blanks(json);
        more = json->at < json->end && *json->at == ',';
        json->at += more;
        if (!more && !take(json, '}', "no ',' or '}' behind a member")) {
            return false;
        }
    }
    skip_blanks(json);
    return json->at == json->end || refuse(json, "something behind the object");
}

const struct member *object_read(struct arena *arena, const char *bytes, size_t size,
                                 uint32_t *count, const char **fault)
{
    struct json json = {.arena = arena, .at = bytes, .end = bytes + size};
    struct member *members = ARENA_ARRAY(arena, struct member, SWEEP_COLUMNS / 2);
    *count = 0;
    bool good = read_object(&json, members, count);
    *fault = json.fault;
    return good ? members : NULL;
}
