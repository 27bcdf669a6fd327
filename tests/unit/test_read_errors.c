/* Errors in full: lines that the grammar does not know, and texts that are no texts. */
#include "read_errors.h"

static void test_the_version(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK, "", "1:1+1 version: the text is empty -- write 'stave 1' on the first line\n"},
        {BOOK, "# only a comment\n",
         "2:1+1 version: the text is empty -- write 'stave 1' on the first line\n"},
        {BOOK, "measure a 0 .. 1\n",
         "1:1+7 version: the text does not begin with the version of the language -- write "
         "'stave 1' on the first line\n"},
        {BOOK, "stave 2\n",
         "1:7+1 version: unknown version '2' of the language -- this program reads version "
         "1\n"},
        {BOOK, "stave 1.0\n",
         "1:7+3 version: unknown version '1.0' of the language -- this program reads version "
         "1\n"},
        {BOOK,
         "stave 1\n"
         "stave 1\n",
         "2:1+7 version: the version is not the first line -- 'stave 1' stands once, before "
         "everything but comments\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_lines_that_do_not_begin_well(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK,
         "stave 1\n"
         "measur depth 0 in .. 1 in\n"
         "  anything at all\n"
         "  more of it\n",
         "2:1+6 syntax: found 'measur', expected a statement -- did you mean 'measure'?\n"},
        {BOOK,
         "stave 1\n"
         "limt gouge on skin\n"
         "  shop depth up to 3 in\n"
         "kind gouge\n",
         "2:1+4 syntax: found 'limt', expected a statement -- did you mean 'limit'?\n"
         "4:11+1 syntax: found the end of the line, expected 'on' or ','\n"},
        {BOOK,
         "stave 1\n"
         "gouge\n",
         "2:1+5 syntax: found 'gouge', expected a statement\n"},
        {BOOK,
         "stave 1\n"
         "use \"a\"\n"
         "  axis station 3 in .. 4 in\n",
         "3:3+4 syntax: found 'axis', expected a statement -- 'axis' stands in lines under "
         "'part'\n"},
        {BOOK,
         "stave 1\n"
         "kind gouge on blade\n"
         "  axis station 3 in .. 4 in\n"
         "  side a\n"
         "  place b\n",
         "3:3+4 syntax: found 'axis', expected 'look', 'caution' or 'each side where' (2:1 the block opens "
         "here) -- 'axis' stands in lines under 'part'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  axis a 0 .. 1\n",
         "3:3+4 syntax: found 'axis', expected an outcome or 'otherwise' (2:1 the block "
         "opens here) -- 'axis' stands in lines under 'part'\n"},
        {BOOK,
         "stave 1\n"
         "curve a along b\n"
         "  x\n",
         "3:3+1 syntax: found 'x', expected a point, such as 14 in 0.010 in (2:1 the block "
         "opens here)\n"},
        {BOOK,
         "stave 1\n"
         "scale\n"
         "  3\n",
         "3:3+1 syntax: found '3', expected an outcome or 'no flight' (2:1 the block opens "
         "here)\n"},
        {BOOK,
         "stave 1\n"
         "Measure a 0 .. 1\n",
         "2:1+7 syntax: found 'Measure', expected a statement -- did you mean 'measure'?\n"},
        {BOOK,
         "stave 1\n"
         ")\n",
         "2:1+1 syntax: found ')', expected a statement\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_words(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK,
         "stave 1\n"
         "measure limit 0 in .. 1 in\n",
         "2:9+5 syntax: found 'limit', expected a name -- 'limit' is a word of the language "
         "and cannot be a name\n"},
        {BOOK,
         "stave 1\n"
         "measure in 0 in .. 1 in\n",
         "2:9+2 syntax: found 'in', expected a name -- 'in' is a unit and cannot be a name\n"},
        {BOOK,
         "stave 1\n"
         "measure drop 0 in .. 1 in\n",
         "2:9+4 syntax: found 'drop', expected a name -- 'drop' is a word of the language "
         "and cannot be a name\n"},
        {BOOK,
         "stave 1\n"
         "measure gouge_depth 0 in .. 1 in\n",
         "2:9+11 bad-name: 'gouge_depth' cannot be a name -- write 'gouge-depth'\n"},
        {BOOK,
         "stave 1\n"
         "measure -x 0 .. 1\n",
         "2:9+1 blanks: no blanks around '-' -- write ' - '\n"},
        {BOOK,
         "stave 1\n"
         "measure 2nd 0 .. 1\n",
         "2:9+1 syntax: found '2', expected a name\n"},
        {BOOK,
         "stave 1\n"
         "measure t\xC3\xA9st 0 .. 1\n",
         "2:9+4 bad-name: 't\xC3\xA9st' cannot be a name -- a name has the letters a to "
         "z and A to Z, digits, and hyphens between them\n"},
        {BOOK,
         "stave 1\n"
         "measure \xD0\xB0"
         "bc 0 .. 1\n",
         "2:9+3 bad-name: '\xD0\xB0"
         "bc' cannot be a name -- a name has the letters a to "
         "z and A to Z, digits, and hyphens between them\n"},
        {BOOK,
         "stave 1\n"
         "measure nan 0 .. 1\n",
         "2:9+3 bad-figure: 'nan' is not a figure -- write a figure, or leave out a reading "
         "that was not taken\n"},
        {BOOK,
         "stave 1\n"
         "kind gouge, on blade\n",
         "2:13+2 syntax: found 'on', expected a name -- 'on' is a word of the language "
         "and cannot be a name\n"},
        {BOOK,
         "stave 1\n"
         "scale\n"
         "  look \"look again\"\n",
         "3:3+4 syntax: found 'look', expected an outcome or 'no flight' (2:1 the block opens here) "
         "-- 'look' stands in lines under 'kind' or 'check', and cannot name an outcome\n"},
        {BOOK,
         "stave 1\n"
         "zone tip on blade, station 30 in .. 40 in\n"
         "zone tip on blade side camber\n",
         "2:18+1 syntax: found ',', expected a name, 'outside' or the end of the line -- ranges and "
         "names of sides or places follow one another without a comma\n"
         "3:19+4 syntax: found 'side', expected a name, 'outside' or the end of the line -- after the "
         "part stand ranges, and the names of sides or places alone\n"},
        {BOOK,
         "stave 1\n"
         "limit leak on hub\n"
         "  fine leak is no\n"
         "  fine depth at most 1 in\n"
         "  fine depth less than 1 in\n",
         "3:16+2 syntax: found 'no', expected a reading -- of what is yes or no, the name alone says "
         "yes, and 'not' before the name says no\n"
         "4:17+4 syntax: found 'most', expected 'least' -- write 'up to'\n"
         "5:14+4 syntax: found 'less', expected 'up to', 'below', 'at least', 'over', 'is', 'grown', "
         "an ending such as 'per', ',' or the end of the line -- write 'below'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge nick on skin\n",
         "2:13+4 syntax: found 'nick', expected 'on' or ','\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  Shop depth Up to 3 in\n",
         "3:14+2 syntax: found 'Up', expected 'up to', 'below', 'at least', 'over', 'is', 'grown', "
         "an ending such as 'per', ',' or the end of the line -- write 'up': words of the "
         "language are in small letters\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_ladders(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth\n"
         "     length up to 3 in\n",
         "4:13+2 syntax: found 'up', expected a condition -- a line goes on in the next "
         "only after a comma\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to (a + (b - 3 in), any length\n",
         "3:35+1 syntax: found ',', expected a sign of reckoning or ')' (3:20 this parenthesis "
         "is not closed)\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to ((3 in)\n",
         "3:27+1 syntax: found the end of the line, expected a sign of reckoning or ')' "
         "(3:20 this parenthesis is not closed)\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to 3 in)\n",
         "3:24+1 syntax: found ')', expected a sign of reckoning, 'of', 'and', an ending "
         "such as 'per', ',' or the end of the line\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up too 3 in\n",
         "3:17+3 syntax: found 'too', expected 'to'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to 3 in,\n",
         "3:25+1 syntax: found the end of the line, expected a condition -- a line that "
         "ends with a comma must go on in the next\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to 3 in,\n"
         "kind a on b\n",
         "3:25+1 syntax: found the end of the line, expected a condition -- a line that "
         "ends with a comma must go on in the next\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to 3 in,\n"
         "  watch depth up to 4 in\n",
         "4:9+5 syntax: found 'depth', expected 'up to', 'below', 'at least', 'over', 'is', 'grown', "
         "an ending such as 'per', ',' or the end of the line -- the line before ends with "
         "a comma, so this one goes on with it\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop\n",
         "3:7+1 syntax: found the end of the line, expected a condition\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop any\n",
         "3:11+1 syntax: found the end of the line, expected a name\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  otherwise shop, any depth\n",
         "3:17+1 syntax: found ',', expected an ending such as 'per' or the end of the "
         "line\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  otherwise shop ; a remark\n",
         "3:18+10 syntax: found a remark, expected an ending such as 'per' or the end of "
         "the line -- a remark stands after a finding only; a comment begins with '#'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  per \"x\"\n",
         "3:3+3 syntax: found 'per', expected an outcome or 'otherwise' (2:1 the block "
         "opens here) -- a line goes on in the next only after a comma\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to a / b\n",
         "3:24+1 syntax: found 'b', expected a figure\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to the lesser of a, b\n",
         "3:35+1 syntax: found ',', expected 'and' or 'together'\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to 3 in per x\n",
         "3:29+1 syntax: found 'x', expected a string in double quotes\n"},
        {BOOK,
         "stave 1\n"
         "limit gouge on skin\n"
         "  shop depth up to 3 in within x\n",
         "3:32+1 syntax: found 'x', expected a figure\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_a_second_time(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK,
         "stave 1\n"
         "book a\n"
         "  edition \"C\"\n"
         "  edition \"D\"\n"
         "  judge guarded\n"
         "  judge as read\n",
         "4:3+11 said-twice: the edition a second time (3:11 first said here) -- delete "
         "one of the two\n"
         "6:3+13 said-twice: how to judge a second time (5:3 first said here) -- delete "
         "one of the two\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_examples(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK,
         "stave 1\n"
         "example \"x\"\n"
         "  gives shop\n",
         "3:3+10 no-finding: no finding before this 'gives' -- write the finding on a line "
         "of its own before it\n"},
        {BOOK,
         "stave 1\n"
         "example \"x\"\n"
         "  blade 1/2 gouge\n",
         "3:9+3 bad-figure: '1/2' is not the number of a part -- parts are numbered 1, "
         "2, 3 and so on\n"},
        {BOOK,
         "stave 1\n"
         "example \"x\"\n"
         "  blade 1 gouge depth 3 in\n",
         "3:17+5 syntax: found 'depth', expected 'at', ',', a remark or the end of the "
         "line -- a comma stands before each reading, 'at' before the place\n"},
        {BOOK,
         "stave 1\n"
         "example \"x\"\n"
         "  blade one gouge\n"
         "  gives shop\n",
         "3:9+3 syntax: found 'one', expected a figure or a name -- 'one' is a word of "
         "the language and cannot be a name\n"},
        {BOOK,
         "stave 1\n"
         "example \"x\"\n"
         "  blade 1 gouge at station 3 - 4 in\n",
         "3:30+1 syntax: found '-', expected a unit, a name, '..', '+/-', ',', a remark "
         "or the end of the line -- write '..' between the two ends of a range\n"},
        {BOOK,
         "stave 1\n"
         "example \"x\"\n"
         "  blade 1 gouge at 36 in\n",
         "3:20+2 syntax: found '36', expected a name\n"},
        {BOOK,
         "stave 1\n"
         "example \"x\"\n"
         "  blade 1 gouge\n"
         "  gives\n",
         "4:8+1 syntax: found the end of the line, expected a name, 'no' or 'propeller'\n"},
        {BOOK,
         "stave 1\n"
         "example \"x\"\n"
         "  blade 1 gouge\n"
         "  gives shop and watch\n",
         "4:14+3 syntax: found 'and', expected 'with', 'or', an ending such as 'per' or "
         "the end of the line\n"},
        {BOOK,
         "stave 1\n"
         "example \"x\"\n"
         "  blade 1 gouge, depth: 3 in\n",
         "3:23+1 odd-character: ':' means nothing here -- no colon stands between a word "
         "and what belongs to it\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_several_at_once(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {BOOK,
         "stave 1\n"
         "measure a 0,5 in .. 1e-2 in\n"
         "measur b\n"
         "  c\n"
         "kind d e\n"
         "  look 'x'\n"
         "zone \xE2\x88\x92\n",
         "2:11+3 bad-figure: a comma in the figure '0,5' -- write 0.5\n"
         "2:21+4 bad-figure: an exponent in the figure '1e-2' -- write the figure out in "
         "full\n"
         "3:1+6 syntax: found 'measur', expected a statement -- did you mean 'measure'?\n"
         "5:8+1 syntax: found 'e', expected 'on' or ','\n"
         "6:8+3 odd-character: a string in single quotes -- write '\"' before and after "
         "it\n"
         "7:6+1 odd-character: a minus sign of another sort (U+2212) -- write '-'\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_findings(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {FINDING, "", "1:1+1 syntax: found the end, expected a name\n"},
        {FINDING, "blade", "1:6+1 syntax: found the end, expected a figure or a name\n"},
        {FINDING, "blade 1 gouge at station 36 in # x",
         "1:32+3 comment: a comment cannot stand here -- it could hide a reading: write "
         "';' before a remark, which is kept\n"},
        {FINDING, "blade 1 gouge at station 36 in,",
         "1:32+1 syntax: found the end, expected a reading\n"},
        {FINDING,
         "blade 1 gouge\n"
         ", depth 3 in",
         "1:14+1 syntax: found the end of the line, expected 'at', ',', a remark or the "
         "end -- it stands on one line\n"},
        {FINDING, "blade 1 gouge, depth nan",
         "1:22+3 bad-figure: 'nan' is not a figure -- write a figure, or leave out a reading "
         "that was not taken\n"},
        {FINDING, "blade 1 gouge, depth not given",
         "1:26+5 syntax: found 'given', expected 'seen' or 'measured'\n"},
        {FINDING, "blade 1 gouge, depth -3 in",
         "1:22+2 negative-figure: the figure '-3' is negative -- no figure is below 0: "
         "write it without the minus sign if that is what was meant\n"},
        {FINDING, "blade 1 gouge, depth 3 in to 4 in",
         "1:27+2 syntax: found 'to', expected '..', '+/-', ',', a remark or the end\n"},
        {FINDING, "blade 1 gouge, (depth 3 in)", "1:16+1 syntax: found '(', expected a reading\n"},
        {FINDING, "blade 1 gouge at station 36 inches thrust",
         "1:29+6 unknown-unit: unknown unit 'inches' -- did you mean 'in'?\n"},
        {FINDING, "blade 1 mils at station 3 in, depth 3 mils",
         "1:39+4 unknown-unit: unknown unit 'mils' -- did you mean 'thou'?\n"},
        {FINDING, "blade 1 gouge, depth 3 in .. -4 in",
         "1:30+2 negative-figure: the figure '-4' is negative -- no figure is below 0: "
         "write it without the minus sign if that is what was meant\n"},
        {FINDING, "blade 1 gouge, depth 3 in +/- -1 in",
         "1:31+2 negative-figure: the figure '-1' is negative -- no figure is below 0: "
         "write it without the minus sign if that is what was meant\n"},
        {FINDING, "blade 1 gouge, depth 3 \xC2\xB1 1 \xC2\xB1 1 in",
         "1:28+1 syntax: found '\xC2\xB1', expected a unit, '..', ',', a remark or the "
         "end\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_answers(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {ANSWER, "3 deg; x",
         "1:6+3 syntax: found a remark, expected '..', '+/-', ',' or the end -- a remark "
         "stands after a finding only; a comment begins with '#'\n"},
        {ANSWER, "", "1:1+1 syntax: found the end, expected an answer\n"},
        {ANSWER, "not", "1:4+1 syntax: found the end, expected a name, 'seen' or 'measured'\n"},
        {ANSWER, "1:30",
         "1:1+4 bad-figure: '1:30' is not a figure -- write a time in one unit, such as "
         "90 min or 1.5 h\n"},
        {ANSWER, "yes no", "1:5+2 syntax: found 'no', expected ',' or the end\n"},
        {ANSWER, "010", "1:1+3 bad-figure: the figure '010' begins with a zero -- write 10\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

static void test_ranges(void **state)
{
    (void)state;
    static const struct bad_text texts[] = {
        {RANGE, "36 in thrust", "1:7+6 syntax: found 'thrust', expected '..', '+/-' or the end\n"},
        {RANGE, "depth 36 in", "1:1+5 syntax: found 'depth', expected a figure\n"},
        {RANGE, "3 in .. ", "1:9+1 syntax: found the end, expected a figure\n"},
        {RANGE, "-3 in",
         "1:1+2 negative-figure: the figure '-3' is negative -- no figure is below 0: write "
         "it without the minus sign if that is what was meant\n"},
    };
    check_all(texts, sizeof texts / sizeof texts[0]);
}

/* ---- texts that are no texts, and limits -------------------------------------------------- */

static void check(const char *bytes, size_t size, const char *problems)
{
    struct reading_bench bench;
    assert_string_equal(problems_of(&bench, BOOK, bytes, size), problems);
    arena_end(&bench.arena);
}

static void test_bytes_that_are_no_text(void **state)
{
    (void)state;
    check("stave 1\nuse \"\xC3(\"\n", 15,
          "2:6+1 not-utf8: the text is not UTF-8: byte 0xC3 here -- save the text as UTF-8\n");
    check("stave 1\n\0\n", 10, "2:1+1 nul-byte: a NUL byte: this is not a text\n");
    check("\xEF\xBB\xBFstave 1\r\nuse 3\r\n", 19,
          "2:5+1 syntax: found '3', expected a string in double quotes\n");
}

static char *repeated(const char *head, const char *piece, size_t count, const char *tail)
{
    size_t size = strlen(piece) * count;
    char *text = malloc(strlen(head) + size + strlen(tail) + 1);
    assert_non_null(text);
    strcpy(text, head);
    char *at = text + strlen(head);
    for (size_t i = 0; i < count; i++) {
        memcpy(at, piece, strlen(piece));
        at += strlen(piece);
    }
    strcpy(at, tail);
    return text;
}

static void check_repeated(const char *head, const char *piece, size_t count, const char *tail,
                           const char *problems)
{
    char *text = repeated(head, piece, count, tail);
    check(text, strlen(text), problems);
    free(text);
}

static void test_nesting(void **state)
{
    (void)state;
    char tail[200] = "a";
    memset(tail + 1, ')', READ_NESTING);
    check_repeated("stave 1\nreckon b as ", "(", READ_NESTING, tail, "");
    const char *deep = "2:77+1 nesting: more than 64 parentheses within one another "
                       "(2:13 the outermost opens here) -- name a part of the expression with "
                       "'reckon'\n";
    check_repeated("stave 1\nreckon b as ", "(", READ_NESTING + 1, "a)\nmeasure c 0 .. 1\n", deep);
    check_repeated("stave 1\nreckon b as ", "(", 5000, "\n", deep);
    check_repeated("stave 1\nreckon b as ", "(", 100000, "\n",
                   "2:1+1 line-too-long: a line of more than 10000 bytes -- break it after a "
                   "comma, or shorten it\n");
    /* The deepest that there can be: every kind of operand is open at each level. */
    check_repeated("stave 1\nreckon b as ", "a + the lesser of a and (", READ_NESTING, tail, "");
    tail[50] = '\0';
    check_repeated("stave 1\nreckon b as ", "a + a * 2 % of the lesser of a and (", 49, tail, "");
    check_repeated("stave 1\nreckon b as a", " + a", READ_STEPS, "\n", "");
    check_repeated("stave 1\nreckon b as a", " + a", READ_STEPS + 1, "\nuse \"a\"\n",
                   "2:815+1 nesting: an expression of more than 200 steps -- name a part of the "
                   "expression with 'reckon'\n");
}

static void test_long_lines_and_names(void **state)
{
    (void)state;
    const char *line = "2:1+1 line-too-long: a line of more than 10000 bytes -- break it after a "
                       "comma, or shorten it\n";
    check_repeated("stave 1\nmeasure ", "a", 1 << 20, " 0 .. 1\n", line);
    check_repeated("stave 1\n#", "a", 1 << 20, "\n", line);
    check_repeated("stave 1\nuse \"", "a", 1 << 20, "", line);
    check_repeated("stave 1\n# ", "a", 9998, "\n", "");
    check_repeated("stave 1\nmeasure ", "a", READ_NAME, " 0 .. 1\n", "");
    check_repeated("stave 1\nmeasure ", "a", READ_NAME + 1, " 0 .. 1\n",
                   "2:9+65 bad-name: a name of more than 64 characters\n");
    check_repeated("stave 1\nmeasure a 0 .. ", "9", 5000, "\n",
                   "2:16+85 figure-too-long: the figure "
                   "'9999999999999999999999999999999999999999...' has more than 18 digits -- "
                   "write it with at most 18 digits\n");
}

static void test_large_texts(void **state)
{
    (void)state;
    /* One logical line of 100 000 names; a long text of short lines; many blocks. */
    check_repeated("stave 1\nkind b", ",\n a", 100000, " on c\n", "");
    check_repeated("stave 1\n", "# nothing here\n\n", 200000, "", "");
    check_repeated("stave 1\n", "limit a on b\n  c d up to 1 in\n", 50000, "", "");
    char *text = repeated("stave 1\n", "# nothing\n", (8u << 20) / 10 + 1, "");
    struct reading_bench bench;
    const char *found = problems_of(&bench, BOOK, text, strlen(text));
    assert_null(bench.source);
    assert_non_null(strstr(found, "too-big"));
    arena_end(&bench.arena);
    free(text);
}

/* Of a text that is wrong in every line a hundred errors are said, and it ends soon. */
static void test_errors_without_end(void **state)
{
    (void)state;
    char *text = repeated("stave 1\n", "measure in 0,5 (\n", 100000, "");
    struct reading_bench bench;
    problems_of(&bench, BOOK, text, strlen(text));
    assert_true(bench.problems.error_count >= 100000);
    assert_true(bench.problems.count <= PROBLEM_CAP + 1);
    arena_end(&bench.arena);
    free(text);
}

/* What an error costs is its own line: all others stand in the tree, and the names that the
 * lost lines would have declared are known as lost. */
static void test_the_rest_is_read(void **state)
{
    (void)state;
    const char *text = "stave 1\n"
                       "measure a 0 in . 1 in\n"
                       "measure b 0 in .. 1 in\n"
                       "kind c, d with b\n"
                       "  look \"x\"\n"
                       "kind e on f\n"
                       "  look x\n"
                       "  look \"y\"\n"
                       "scale\n"
                       "  good x\n"
                       "  fine\n"
                       "limit e on f\n"
                       "  good b up to up\n"
                       "  fine b up to 1 in\n";
    struct reading_bench bench;
    bench_begin(&bench, text, strlen(text));
    struct tree *tree = read_book(&bench.arena, bench.source, &bench.problems);
    assert_int_equal(bench.problems.error_count, 5);
    assert_string_equal(tree->measures->name.text, "b");
    assert_null(tree->measures->next);
    assert_string_equal(tree->kinds->names->word.text, "e");
    assert_null(tree->kinds->next);
    assert_string_equal(tree->kinds->looks->word.text, "y");
    assert_null(tree->kinds->looks->next);
    assert_string_equal(tree->scale->outcomes->name.text, "fine");
    assert_string_equal(tree->limits->rungs->outcome.text, "fine");
    assert_null(tree->limits->rungs->next);
    const char *const lost[] = {"a", "c", "d", "good"};
    const struct tree_words *word = tree->lost;
    for (size_t i = 0; i < 4; i++, word = word->next) {
        assert_non_null(word);
        assert_string_equal(word->word.text, lost[i]);
    }
    assert_null(word);
    arena_end(&bench.arena);
}

static void test_places_inside_a_larger_text(void **state)
{
    (void)state;
    const char *text = "hours: 3 h\ndepth: \"0,5 in\"\nremarks: x\n";
    struct reading_bench bench;
    bench_begin(&bench, text, strlen(text));
    struct span where = {bench.source, 19, 25};
    assert_null(read_range(&bench.arena, where, &bench.problems));
    where.to = 22;
    assert_null(read_finding(&bench.arena, where, &bench.problems));
    assert_string_equal(bench_problems(&bench),
                        "2:9+3 bad-figure: a comma in the figure '0,5' -- write 0.5\n"
                        "2:9+3 bad-figure: a comma in the figure '0,5' -- write 0.5\n");
    arena_end(&bench.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_version),
        cmocka_unit_test(test_lines_that_do_not_begin_well),
        cmocka_unit_test(test_words),
        cmocka_unit_test(test_ladders),
        cmocka_unit_test(test_a_second_time),
        cmocka_unit_test(test_examples),
        cmocka_unit_test(test_several_at_once),
        cmocka_unit_test(test_findings),
        cmocka_unit_test(test_answers),
        cmocka_unit_test(test_ranges),
        cmocka_unit_test(test_bytes_that_are_no_text),
        cmocka_unit_test(test_nesting),
        cmocka_unit_test(test_long_lines_and_names),
        cmocka_unit_test(test_large_texts),
        cmocka_unit_test(test_errors_without_end),
        cmocka_unit_test(test_the_rest_is_read),
        cmocka_unit_test(test_places_inside_a_larger_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
