/* Errors in full: figures, units, signs, strings and dates that cannot be read. */
#include "read_errors.h"

static void test_figures(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 0,020 in\n",
         "2:16+5 bad-figure: a comma in the figure '0,020' -- write 0.020\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1,000 in\n",
         "2:16+5 bad-figure: a comma in the figure '1,000' -- write 1.000 or 1000, as is "
         "meant\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1,000,000 in\n",
         "2:16+9 bad-figure: a comma in the figure '1,000,000' -- write a decimal with "
         "a point, thousands without a mark, and a blank after the comma of a list\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 0.5,1 in\n",
         "2:16+5 bad-figure: a comma in the figure '0.5,1' -- write a decimal with a point, "
         "thousands without a mark, and a blank after the comma of a list\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1-1/16 in\n",
         "2:16+6 bad-figure: a hyphen in the figure '1-1/16' -- write 1 1/16\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 3-4 in\n",
         "2:16+3 bad-figure: '3-4' is not a figure -- write '..' between the two ends of "
         "a range, and blanks around a minus\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 2026-3-1\n",
         "2:16+8 bad-figure: '2026-3-1' is not a figure -- write a date as 2026-03-01\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1e-2 in\n",
         "2:16+4 bad-figure: an exponent in the figure '1e-2' -- write the figure out in "
         "full\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1E5\n",
         "2:16+3 bad-figure: an exponent in the figure '1E5' -- write the figure out in "
         "full\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 0x10 in\n",
         "2:16+4 bad-figure: '0x10' is not a decimal figure -- write it with the digits "
         "0 to 9\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. nan\n",
         "2:16+3 bad-figure: 'nan' is not a figure -- write a figure, or leave out a reading "
         "that was not taken\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. inf\n",
         "2:16+3 bad-figure: 'inf' is not a figure -- write a figure, or leave out a reading "
         "that was not taken\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. -Inf\n",
         "2:16+1 blanks: no blanks around '-' -- write ' - '\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 010 in\n",
         "2:16+3 bad-figure: the figure '010' begins with a zero -- write 10\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 00\n",
         "2:16+2 bad-figure: the figure '00' begins with a zero -- write 0\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1_000\n",
         "2:16+5 bad-figure: '_' in the figure '1_000' -- write 1000\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1__0\n",
         "2:16+4 bad-figure: '_' in the figure '1__0' -- write 10\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1:30 h\n",
         "2:16+4 bad-figure: '1:30' is not a figure -- write a time in one unit, such as "
         "90 min or 1.5 h\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. .5 in\n",
         "2:16+2 bad-figure: '.5' has no digit before its point -- write 0.5\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 5. in\n",
         "2:16+2 bad-figure: '5.' has no digit after its point -- write 5\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1.2.3\n",
         "2:16+5 bad-figure: '1.2.3' has more than one point -- write a figure with one "
         "point, or '..' between the two ends of a range\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. -0.01 in\n",
         "2:16+5 negative-figure: the figure '-0.01' is negative -- no figure is below "
         "0: write it without the minus sign if that is what was meant\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. +3\n",
         "2:16+2 bad-figure: a sign before the figure '+3' -- write 3\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. - 3 in\n",
         "2:16+1 syntax: found '-', expected a figure -- no figure is below 0: write it "
         "without the minus sign if that is what was meant\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1234567890123456789 in\n",
         "2:16+19 figure-too-long: the figure '1234567890123456789' has more than 18 digits "
         "-- write it with at most 18 digits\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 0.1234567890123456789\n",
         "2:16+21 figure-too-long: the figure '0.1234567890123456789' has more than 18 "
         "digits -- write it with at most 18 digits\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1/3 in\n",
         "2:16+3 bad-fraction: '1/3' is not in parts of an inch rule -- the parts are 2, "
         "4, 8, 16, 32, 64 or 128; write another one as a decimal\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1/256 in\n",
         "2:16+5 bad-fraction: '1/256' is not in parts of an inch rule -- the parts are "
         "2, 4, 8, 16, 32, 64 or 128; write another one as a decimal\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 17/16 in\n",
         "2:16+5 bad-fraction: the fraction '17/16' is not between 0 and 1 -- write 1 1/16\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 16/16 in\n",
         "2:16+5 bad-fraction: the fraction '16/16' is not between 0 and 1 -- write 1\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 0/16 in\n",
         "2:16+4 bad-fraction: the fraction '0/16' is not between 0 and 1 -- write 0\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1 17/16 in\n",
         "2:16+7 bad-fraction: the fraction '1 17/16' is not between 0 and 1 -- write a "
         "fraction that is below 1\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1 000 in\n",
         "2:18+3 bad-figure: the figure '000' begins with a zero -- a figure has no blanks "
         "between its digits\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 12 345 in\n",
         "2:19+3 syntax: found '345', expected a unit, a string in double quotes, 'read', "
         "'smaller' or the end of the line\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 1/02 in\n",
         "2:16+4 bad-figure: the figure '1/02' begins with a zero -- write 1/2\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_units(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30 mil\n",
         "2:19+3 unknown-unit: unknown unit 'mil' -- did you mean 'thou'?\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30mil\n",
         "2:18+3 unknown-unit: unknown unit 'mil' -- did you mean 'thou'?\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30 inches\n",
         "2:19+6 unknown-unit: unknown unit 'inches' -- did you mean 'in'?\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30 xyz\n",
         "2:19+3 unknown-unit: unknown unit 'xyz'\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30xyz\n",
         "2:18+3 unknown-unit: unknown unit 'xyz'\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30 IN\n",
         "2:19+2 unknown-unit: unknown unit 'IN' -- did you mean 'in'?\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30 mm^4\n",
         "2:19+4 unknown-unit: unknown unit 'mm^4' -- did you mean 'mm^2'?\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30 lbf.mm\n",
         "2:19+6 unknown-unit: unknown unit 'lbf.mm' -- did you mean 'lbf.in'?\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30\"\n",
         "2:18+1 unknown-unit: a mark where a unit should stand -- write 'in'\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30'\n",
         "2:18+1 unknown-unit: a mark where a unit should stand -- write 'ft' or 'arcmin'\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30''\n",
         "2:18+2 unknown-unit: a mark where a unit should stand -- write 'in'\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30\xC2\xB0\n",
         "2:18+1 unknown-unit: a mark where a unit should stand -- write 'deg'\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30 \xC2\xB0\n",
         "2:19+1 odd-character: a degree sign (U+00B0) -- write 'deg'\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30\xE2\x80\xB3\n",
         "2:18+1 unknown-unit: a mark where a unit should stand -- write 'in'\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30 in.\n",
         "2:21+1 odd-character: '.' means nothing here -- write '..' between the two ends "
         "of a range\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30 Nm\n",
         "2:19+2 unknown-unit: unknown unit 'Nm' -- did you mean 'N-m'?\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 .. 30 sq in\n",
         "2:19+2 unknown-unit: unknown unit 'sq'\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_signs_and_characters(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth <= 3 in\n",
         "3:14+2 odd-character: '<=' is not a sign of the language -- write 'up to'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth \xE2\x89\xA4 3 in\n",
         "3:14+1 odd-character: a sign for 'at most' (U+2264) -- write 'up to'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth >= 3 in\n",
         "3:14+2 odd-character: '>=' is not a sign of the language -- write 'at least'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth < 3 in\n",
         "3:14+1 odd-character: '<' is not a sign of the language -- write 'below'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth != 3 in\n",
         "3:14+2 odd-character: '!=' is not a sign of the language -- write 'is not'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to a \xE2\x88\x92 3 in\n",
         "3:22+1 odd-character: a minus sign of another sort (U+2212) -- write '-'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to a \xE2\x80\x93 3 in\n",
         "3:22+1 odd-character: a dash (U+2013) -- write '-' for a minus, '..' between "
         "the two ends of a range\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to 3\xC2\xA0in\n",
         "3:21+1 odd-character: a no-break space (U+00A0) -- write a plain space\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth\xE2\x80\x8B up to 3 in\n",
         "3:13+1 odd-character: a character that cannot be seen (U+200B) -- delete it\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to a \xC3\x97 3\n",
         "3:22+1 odd-character: a times sign of another sort (U+00D7) -- write '*'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to \xC2\xBD in\n",
         "3:20+1 odd-character: a fraction in one character (U+00BD) -- write it as 1/2\n"},
        {BOOK,
         "stave 1\n"
         "use \xE2\x80\x9C"
         "common.stave\xE2\x80\x9D\n",
         "2:5+1 odd-character: a curly quote (U+201C) -- write '\"'\n"},
        {BOOK,
         "stave 1\n"
         "use 'common.stave'\n",
         "2:5+14 odd-character: a string in single quotes -- write '\"' before and after "
         "it\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 in \xE2\x80\xA6 3 in\n",
         "2:16+1 odd-character: an ellipsis in one character (U+2026) -- write '..'\n"},
        {BOOK,
         "stave 1\n"
         "measure a 0 in ... 3 in\n",
         "2:16+3 odd-character: '...' is not a sign of the language -- write '..'\n"},
        {BOOK,
         "stave 1\n"
         "measure: 0 .. 3\n",
         "2:8+1 odd-character: ':' means nothing here -- no colon stands between a word "
         "and what belongs to it\n"},
        {BOOK,
         "stave 1\n"
         "measure a [0 .. 3]\n",
         "2:11+1 odd-character: '[' means nothing here -- lists have commas and no brackets; "
         "expressions have '(' and ')'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to a -0.01 in\n",
         "3:22+1 blanks: no blanks around '-' -- write ' - '\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to a -b\n",
         "3:22+1 blanks: no blanks around '-' -- write ' - '\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to 3 in+b\n",
         "3:24+1 blanks: no blanks around '+' -- write ' + '\n"},
        {BOOK,
         "stave 1\n"
         "// a comment\n",
         "2:1+2 odd-character: '//' is not a sign of the language -- a comment begins with "
         "'#'\n"},
        {BOOK,
         "stave 1\n"
         "use \"a\" \xF0\x9F\x99\x82\n",
         "2:9+2 odd-character: '\xF0\x9F\x99\x82' (U+1F642) means nothing here -- outside "
         "strings and remarks a text has plain ASCII characters only\n"},
        {BOOK,
         "stave 1\n"
         "use \"a\xE2\x80\xAE"
         "b\"\n",
         "2:7+1 control-character: character U+202E makes a line look other than it reads "
         "-- remove it\n"},
        {BOOK,
         "stave 1\n"
         "# a\xE2\x81\xA6"
         "b\n",
         "2:4+1 control-character: character U+2066 makes a line look other than it reads "
         "-- remove it\n"},
        {BOOK,
         "stave 1\n"
         "use\xE2\x80\xAE \"a\"\n",
         "2:4+1 control-character: character U+202E makes a line look other than it reads "
         "-- remove it\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_strings(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK,
         "stave 1\n"
         "use \"common.stave\n",
         "2:18+1 open-string: the string is not closed on its line (2:5 the string starts "
         "here) -- write '\"' where it ends\n"},
        {BOOK,
         "stave 1\n"
         "use \"common.stave",
         "2:18+1 open-string: the string is not closed on its line (2:5 the string starts "
         "here) -- write '\"' where it ends\n"},
        {BOOK,
         "stave 1\n"
         "use \"a\\\n",
         "2:8+1 open-string: the string is not closed on its line (2:5 the string starts "
         "here) -- write '\"' where it ends\n"},
        {BOOK,
         "stave 1\n"
         "use \"a\\n\"\n",
         "2:7+2 bad-escape: a backslash with nothing to stand for -- write \\\" for a quote "
         "and \\\\ for a backslash\n"},
        {BOOK,
         "stave 1\n"
         "use \"\n"
         "\"\n",
         "2:6+1 open-string: the string is not closed on its line (2:5 the string starts "
         "here) -- write '\"' where it ends\n"
         "3:2+1 open-string: the string is not closed on its line (3:1 the string starts "
         "here) -- write '\"' where it ends\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_dates(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK,
         "stave 1\n"
         "book a\n"
         "  edition \"C\" dated 2026-02-29\n",
         "3:21+10 bad-date: there is no day '2026-02-29' -- write year, month and day as "
         "in 2026-03-01\n"},
        {BOOK,
         "stave 1\n"
         "book a\n"
         "  edition \"C\" dated 2026-3-1\n",
         "3:21+8 bad-figure: '2026-3-1' is not a figure -- write a date as 2026-03-01\n"},
        {BOOK,
         "stave 1\n"
         "book a\n"
         "  edition \"C\" dated 1/3/2026\n",
         "3:21+8 bad-figure: '1/3/2026' is not a figure -- write a date as 2026-03-01\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_figures),
        cmocka_unit_test(test_units),
        cmocka_unit_test(test_signs_and_characters),
        cmocka_unit_test(test_strings),
        cmocka_unit_test(test_dates),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
