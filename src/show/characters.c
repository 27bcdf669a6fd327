#include "show/characters.h"

#include <stdio.h>
#include <string.h>

struct stretch {
    uint32_t from, to;
};

static bool is_within(const struct stretch *stretches, size_t count, uint32_t point)
{
    for (size_t i = 0; i < count; i++) {
        if (point >= stretches[i].from && point <= stretches[i].to) {
            return true;
        }
    }
    return false;
}

static struct character malformed(unsigned char byte)
{
    return (struct character){.point = byte, .length = 1, .malformed = true};
}

struct character character_read(const char *text)
{
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    unsigned char first = (unsigned char)text[0];
    if (first < 0x80) {
        return (struct character){.point = first, .length = 1};
    }
    unsigned length = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : first >= 0xC0 ? 2 : 0;
    if (length == 0 || first > 0xF4) {
        return malformed(first);
    }
    uint32_t point = first & (0xFFu >> (length + 1));
    for (unsigned i = 1; i < length; i++) {
        unsigned char next = (unsigned char)text[i];
        if ((next & 0xC0) != 0x80) {
            return malformed(first); /* also at the zero that ends the text */
        }
        point = point << 6 | (next & 0x3Fu);
    }
    if (point < least[length] || point > 0x10FFFF || (point >= 0xD800 && point <= 0xDFFF)) {
        return malformed(first);
    }
    return (struct character){.point = point, .length = length};
}

bool character_is_hidden(uint32_t point)
{
    static const struct stretch hidden[] = {
        {0x00, 0x1F},     {0x7F, 0x9F},        {0xAD, 0xAD},       {0x34F, 0x34F},
        {0x61C, 0x61C},   {0x115F, 0x1160},    {0x17B4, 0x17B5},   {0x180B, 0x180F},
        {0x200B, 0x200F}, {0x2028, 0x202E},    {0x2060, 0x206F},   {0x3164, 0x3164},
        {0xFE00, 0xFE0F}, {0xFEFF, 0xFEFF},    {0xFFA0, 0xFFA0},   {0xFFF0, 0xFFFB},
        {0xFFFE, 0xFFFF}, {0x1BCA0, 0x1BCA3},  {0x1D173, 0x1D17A}, {0xE0000, 0xE0FFF},
        {0xE000, 0xF8FF}, {0xF0000, 0x10FFFF},
    };
    bool printed = point >= ' ' && point <= '~'; /* nearly all are */
    return !printed && is_within(hidden, sizeof hidden / sizeof *hidden, point);
}

unsigned character_columns(uint32_t point)
{
    static const struct stretch combining[] = {
        {0x300, 0x36F},   {0x483, 0x489},   {0x591, 0x5BD},   {0x610, 0x61A},   {0x64B, 0x65F},
        {0x6D6, 0x6DC},   {0x6DF, 0x6E4},   {0x6E7, 0x6E8},   {0x6EA, 0x6ED},   {0x900, 0x902},
        {0x93C, 0x93C},   {0x941, 0x948},   {0x94D, 0x94D},   {0xE31, 0xE31},   {0xE34, 0xE3A},
        {0xE47, 0xE4E},   {0x1AB0, 0x1AFF}, {0x1DC0, 0x1DFF}, {0x20D0, 0x20FF}, {0x302A, 0x302D},
        {0x3099, 0x309A}, {0xFE20, 0xFE2F},
    };
    static const struct stretch wide[] = {
        {0x1100, 0x115E},   {0x231A, 0x231B},   {0x23E9, 0x23EC},   {0x2614, 0x2615},
        {0x2648, 0x2653},   {0x26A1, 0x26A1},   {0x2705, 0x2705},   {0x274C, 0x274C},
        {0x2E80, 0x303E},   {0x3041, 0x33FF},   {0x3400, 0x4DBF},   {0x4E00, 0x9FFF},
        {0xA000, 0xA4CF},   {0xA960, 0xA97F},   {0xAC00, 0xD7A3},   {0xF900, 0xFAFF},
        {0xFE10, 0xFE19},   {0xFE30, 0xFE6F},   {0xFF00, 0xFF60},   {0xFFE0, 0xFFE6},
        {0x1F300, 0x1F64F}, {0x1F680, 0x1F6FF}, {0x1F900, 0x1FAFF}, {0x20000, 0x3FFFD},
    };
    if (point < 0x300) {
        return 1;
    }
    if (is_within(combining, sizeof combining / sizeof *combining, point)) {
        return 0;
    }
    return is_within(wide, sizeof wide / sizeof *wide, point) ? 2 : 1;
}

unsigned character_spell(const char *text, struct character character,
                         char spelling[CHARACTER_SPELLING])
{
    if (character.malformed || character_is_hidden(character.point)) {
        const char *form = character.malformed ? "<0x%02X>" : "<U+%04X>";
        return (unsigned)snprintf(spelling, CHARACTER_SPELLING, form, character.point);
    }
    memcpy(spelling, text, character.length);
    spelling[character.length] = '\0';
    return character_columns(character.point);
}
