/*
 * Inside of src/read: what the scanner, the parser and their helpers share.
 *
 * bytes -> grammar/stave.l -> grammar_lex (lines.c) -> grammar/stave.y -> build.c -> tree
 *
 * The scanner gives raw tokens and reports what is wrong within one token.
 * grammar_lex makes lines of them: it drops empty lines, carries a line on after a
 * comma, and puts a mark before each line that belongs to a block (TOKEN_IN_LIMIT and so
 * on). So the grammar is one line long everywhere, and an error never costs more
 * than its own line. The parser's actions hang finished lines into the tree.
 */
#ifndef STAVE_READ_READER_H
#define STAVE_READ_READER_H

#include "read/parse.h"
#include "read/read.h"

struct lexeme;

/* Names that scan.h asks for. */
#define YYSTYPE GRAMMAR_STYPE
#define YYLTYPE GRAMMAR_LTYPE

enum { LINE_NAMES = 16 };

/* Tokens that are ahead of the parser: such as were put back, and plain ones of one line. */
enum { AHEAD_BACK = 2, AHEAD_PLAIN = 16 };

/* One token on its way to the parser. */
struct token {
    int kind; /* TOKEN_... */
    struct site site;
    GRAMMAR_STYPE value;
};

/* The line that is being read. */
struct line {
    unsigned token_count; /* delivered to the parser so far, the mark not counted */
    int first, second;    /* kinds of its first two tokens */
    struct span first_span;
    bool joined;
    unsigned joined_at; /* the count when the line was carried on after a comma */
    bool faulty;   /* an error was reported in it: a syntax error adds nothing */
    bool odd;      /* an odd character was reported in it: one is enough */
    bool given_up; /* the parser goes on with the next line */
    bool mute;     /* say nothing more about its tokens */
    bool too_deep;
    unsigned depth; /* open parentheses */
    unsigned steps; /* of the expression that is being read */
    unsigned name_count;
    bool names_end;
    /* line_clear sets all above to zero; these hold what `depth` and `name_count` say */
    struct span open[READ_NESTING];
    struct span names[LINE_NAMES]; /* right after the first word: what the line would declare */
};

/* Where the next node of each list goes. */
struct ends {
    struct tree_use **uses;
    struct tree_part **parts;
    struct tree_search **searches;
    struct tree_zone **zones;
    struct tree_measure **measures;
    struct tree_observe **observes;
    struct tree_kind **kinds;
    struct tree_curve **curves;
    struct tree_reckon **reckons;
    struct tree_limit **limits;
    struct tree_check **checks;
    struct tree_example **examples;
    struct tree_fact **facts;
    struct tree_model **family;
    struct tree_words **lost;
    /* within the block that is open */
    struct tree_words **models, **cautions, **looks, **sides, **places;
    struct tree_outcome **outcomes;
    struct tree_axis **axes;
    struct tree_meeting **meetings;
    struct tree_point **points;
    struct tree_rung **rungs;
    struct tree_finding **findings;
    struct tree_gives **gives;
    struct tree_change **changes;
    /* within the zone line that is being read */
    struct tree_zone_range **zone_ranges;
    struct tree_words **zone_names, **zone_outside;
};

struct reader {
    struct arena *arena;
    struct source *source;
    struct problems *problems;
    void *scanner;
    char *scanned;      /* the scanner's copy of what is read */
    uint32_t from, to;  /* what is read: byte offsets in the source */
    uint32_t position;  /* where the next token is looked for, likewise */
    int entry;         /* TOKEN_START_BOOK, ..._FINDING, ..._ANSWER or ..._RANGE */
    bool started;      /* the start token was given */
    bool first_line_seen;
    uint32_t version_at;   /* where the text's first word stands */
    struct lexeme *lexicon; /* plain.c's */
    unsigned lexicon_shift;
    const struct unit *percent;
    struct token ahead[AHEAD_BACK + AHEAD_PLAIN];
    unsigned ahead_next, ahead_end;
    int previous, before; /* kinds of the last two tokens, 0 before the start of a line */
    struct line line;
    int block;              /* TOKEN_IN_... of the block that is open, or 0 */
    struct span block_span; /* its first word */
    bool block_lost;        /* the line before began with a word that cannot begin a line here */
    bool skipping;          /* the block's own word was misspelt: its lines mean nothing */
    bool example_faulty;    /* a line of the open example could not be read */

    struct tree *tree;
    struct ends end;
    /* Nodes of the open block; NULL where its first line could not be read. */
    struct tree_head *head;
    struct tree_scale *scale;
    struct tree_part *part;
    struct tree_kind *kind;
    struct tree_curve *curve;
    struct tree_limit *limit;
    struct tree_check *check;
    struct tree_example *example;
    struct tree_zone *zone;
    struct tree_finding *last_finding;
    struct tree_model *model;   /* whose differences may follow */
    bool model_lost;            /* its line could not be read */
    struct tree_change *change; /* the difference that is being read, into a tree of its own */
    struct ends outer;          /* of the text's own tree in the meantime */

    /* what the other entries give */
    struct tree_finding *finding;
    struct tree_reading *answer;
    struct tree_range *range;
};

static inline struct span site_span(const struct reader *reader, struct site site)
{
    return (struct span){reader->source, site.from, site.to};
}

/* ---- bytes, as the scanner has them ------------------------------------------ */

static inline bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static inline bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static inline bool is_letter(char c)
{
    return (c | 0x20) >= 'a' && (c | 0x20) <= 'z';
}

/* ---- read.c ---------------------------------------------------------------- */

/* Makes an empty reader ready for the text at `where`. */
void reader_open(struct reader *reader, struct arena *arena, struct span where,
                 struct problems *problems, int entry);

/* ---- words.c -------------------------------------------------------------- */

/* The token of a reserved word that is no unit, or 0. */
int word_token(const char *bytes, size_t size);
/* The spelling that someone meant who wrote this for a unit ("mil": "thou"), or NULL. */
const char *word_meant_unit(struct arena *arena, const char *bytes, size_t size);
/* The same from a list of known other spellings alone. */
const char *word_known_unit(const char *bytes, size_t size);
/* The word that begins a statement and is near to this name, or NULL. */
const char *word_near_statement(struct arena *arena, const char *name);
bool word_begins_statement(int token);
/* What lines of the block a line with this first word stands under ("'part'"), or NULL. */
const char *word_owner(int token);

/* ---- plain.c: tokens that need no scanner ------------------------------------------ */

/* Makes an empty lexicon for a text of `size` bytes. */
void lexicon_begin(struct reader *reader, size_t size);
/* The token of the word at `span`: a reserved word's, a unit's or a name's, with its value. The text of
 * a name is the reader's, one for all places where it stands. */
int lexicon_token(struct reader *reader, struct span span, GRAMMAR_STYPE *value);

/* Puts the next tokens into `ahead`, where nothing is left, as long as they are plain and of one line:
 * each with the kind, value and site that scan_token would give. None of them reports anything, so
 * they may be taken before their turn. False when there is none; none is plain in a line that is mute. */
bool plain_gather(struct reader *reader);

/* ---- grammar/stave.l ---------------------------------------------------------------- */

/* The next token of any sort. */
int scan_token(struct reader *reader, struct site *site, GRAMMAR_STYPE *value);

/* ---- figure.c: what is wrong within a token ---------------------------------- */

/* The bytes of a token. They go on after it. */
const char *token_bytes(struct span span);
/* A copy of a token for a message, cut to 40 bytes. */
const char *token_shown(struct reader *reader, struct span span);

/* Reports a fault of one token. Never NULL. */
struct stave_problem *token_fault(struct reader *reader, const char *code, struct span span,
                                  const char *format, ...) __attribute__((format(printf, 4, 5)));

/* A figure of good form: TOKEN_NUMBER, or TOKEN_GRAMMAR_error when it has no value. */
int figure_plain(struct reader *reader, struct span span, struct number *figure);
/* A figure with a word that touches it. *keep: how many bytes of it are the figure, where
 * the word is a unit; else all of it was dealt with. */
int figure_with_word(struct reader *reader, struct span span, uint32_t *keep,
                     struct number *figure);
/* Figures of bad form. Each reports and gives the figure that was meant, where that is plain. */
int figure_comma(struct reader *reader, struct span span, struct number *figure);
int figure_point(struct reader *reader, struct span span, struct number *figure);
int figure_hyphen(struct reader *reader, struct span span, struct number *figure);
int figure_clock(struct reader *reader, struct span span);
int figure_mark(struct reader *reader, struct span span, struct number *figure);
/* A sign that touches a figure; *keep is 1 where it is a plus or minus of an expression. */
int figure_sign(struct reader *reader, struct span span, uint32_t *keep,
                struct number *figure);
int figure_date(struct reader *reader, struct span span);

/* ---- odd.c: characters and words that are not of the language ------------------- */

/* Each reports, and gives the token that was meant or TOKEN_GRAMMAR_error. */
int odd_character(struct reader *reader, struct span span);
int odd_sign(struct reader *reader, struct span span);
int odd_blanks(struct reader *reader, struct span span); /* "+" or "-": reports missing blanks */
int odd_name(struct reader *reader, struct span span);
int odd_unit(struct reader *reader, struct span span);
int odd_comment(struct reader *reader, struct span span);
int odd_open_string(struct reader *reader, struct span span);
int odd_single_quotes(struct reader *reader, struct span span);

/* ---- lines.c ---------------------------------------------------------------------- */

int grammar_lex(GRAMMAR_STYPE *value, struct site *site, struct reader *reader);
/* A line could not be read: notes the names that it would have declared. */
void line_lost(struct reader *reader);

/* ---- expect.c ----------------------------------------------------------------------- */

enum { EXPECT_MOST = 128 };

/* Reports a syntax error at the last token, which is at `span`. `names` holds the spoken names of
 * what could stand there; it is changed. */
void expect_report(struct reader *reader, struct span span, const char **names, size_t count);
/* The parser's stack is full: an expression is nested too deeply. */
void expect_overflow(struct reader *reader, struct span span);

/* ---- build.c, statement.c and family.c: from the parser to the tree --------------------------------- */

/* Adds a node to the end of a list, which is NULL while it is empty. */
#define LIST_ADD(list, node)                                                                       \
    do {                                                                                           \
        if (list) {                                                                                \
            (list)->last->next = (node);                                                           \
        } else {                                                                                   \
            (list) = (node);                                                                       \
        }                                                                                          \
        (list)->last = (node);                                                                     \
    } while (0)

/* A figure, one for all places where the text has it in the same digits. */
struct figure {
    struct number number;
    const struct unit *unit; /* the last that it had, or NULL */
    struct number value;     /* with that unit, in base units */
};

/* A stand for the count of a part. */
struct build_count {
    struct tree_quantity *least, *most; /* both or none */
    struct tree_word *each_of;
};

struct build_step {
    enum tree_step stepping;
    struct tree_quantity *step;
};

struct build_values {
    enum tree_observe_sort sort;
    struct tree_words *values;
};

struct tree_word *build_word(struct reader *reader, struct span span);
/* The text, which the reader holds already, stands at `span`. */
static inline struct tree_word *build_fixed_word(struct reader *reader, struct span span,
                                                 const char *text)
{
    struct tree_word *word = ARENA_NEW(reader->arena, struct tree_word);
    word->text = text;
    word->span = span;
    return word;
}
struct tree_word *build_string(struct reader *reader, struct span span);
struct tree_word *build_remark(struct reader *reader, struct span span);
struct tree_words *build_words(struct reader *reader, struct tree_words *list,
                               struct tree_word *word);
struct figure *build_figure(struct reader *reader, struct number number);
struct tree_quantity *build_quantity(struct reader *reader, struct span span,
                                     struct figure *figure, const struct unit *unit);
/* Gives the unit of `to` to `from` where that has none. */
void build_share_unit(struct reader *reader, struct tree_quantity *from,
                      const struct tree_quantity *to);

struct tree_expression *build_leaf(struct reader *reader, struct span span,
                                   struct tree_quantity *quantity,
                                   const struct tree_word *name);
struct tree_expression *build_pair(struct reader *reader, struct span span,
                                   enum tree_expression_sort sort, struct tree_expression *left,
                                   struct tree_expression *right);
/* "10 % of thickness"; what is no ratio is reported. */
struct tree_expression *build_share(struct reader *reader, struct span span,
                                    struct tree_quantity *share,
                                    struct tree_expression *whole);
struct tree_bound *build_bound(struct reader *reader, struct tree_bound *list, struct span span,
                               enum tree_relation relation, struct tree_expression *limit);
struct tree_condition *build_condition(struct reader *reader, struct span span,
                                       enum tree_condition_sort sort, const struct tree_word *name);
/* kinds NULL: any kind. */
struct tree_company *build_company(struct reader *reader, struct tree_words *kinds);
struct tree_company *build_scope(struct tree_company *company, enum tree_scope scope,
                                 const struct tree_word *article, const struct tree_word *place);
void build_apart(struct tree_condition *condition, struct tree_company *company, struct span span,
                 const struct tree_word *axis, struct tree_expression *distance);
struct tree_tail *build_tail(struct reader *reader, struct span span, enum tree_tail_sort sort,
                             const struct tree_word *string, struct tree_quantity *quantity);

/* An amount is a range of its own, which build_range makes whole; `to` NULL: it is the whole. */
struct tree_range *build_amount(struct reader *reader, struct tree_quantity *middle,
                                struct tree_quantity *doubt);
struct tree_range *build_range(struct reader *reader, struct span span, struct tree_range *range,
                               const struct tree_range *to);
struct tree_reading *build_reading(struct reader *reader, struct span span,
                                   enum tree_reading_sort sort, const struct tree_word *name);
struct tree_place *build_place(struct reader *reader, struct span span,
                               const struct tree_word *name, struct tree_range *range);
struct tree_finding *build_finding(struct reader *reader, struct span span,
                                   const struct tree_word *part, const struct tree_word *instance,
                                   const struct tree_word *kind, struct tree_place *places,
                                   struct tree_reading *readings);
struct tree_record *build_record(struct reader *reader, struct tree_record *list,
                                 const struct tree_word *name, const struct tree_word *along);
struct tree_meeting *build_meeting(struct reader *reader, struct tree_meeting *list,
                                   const struct tree_word *axis, const struct tree_quantity *at);

/* Makes an empty tree and sets the ends of its lists. */
void build_begin(struct reader *reader);
/* A block's first word was read: what was open is closed. */
void build_close_block(struct reader *reader);

void build_version(struct reader *reader, struct span span, struct span figure);
void build_head(struct reader *reader, struct span span, const struct tree_word *id,
                const struct tree_word *title);
void build_edition(struct reader *reader, struct span span, const struct tree_word *edition,
                   const struct tree_word *dated);
void build_models(struct reader *reader, struct tree_words *models);
void build_judge(struct reader *reader, struct span span, bool as_read);
void build_caution(struct reader *reader, struct tree_word *string);
void build_look(struct reader *reader, struct tree_word *string);
void build_each_side(struct reader *reader, const struct tree_word *name);
void build_use(struct reader *reader, struct span span, const struct tree_word *name);
void build_scale(struct reader *reader, struct span span);
void build_no_flight(struct reader *reader, struct span span);
void build_outcome(struct reader *reader, struct span span, const struct tree_word *name,
                   const struct tree_word *meaning, struct tree_tail *tails);
void build_part(struct reader *reader, struct span span, const struct tree_word *name,
                struct build_count *count, bool where_fitted, const struct tree_word *help);
void build_axis(struct reader *reader, struct span span, const struct tree_word *name,
                struct tree_quantity *from, struct tree_quantity *to,
                const struct tree_quantity *step, const struct tree_word *help);
void build_sides(struct reader *reader, struct tree_words *sides, struct tree_meeting *meetings);
void build_places(struct reader *reader, struct tree_words *places);
void build_search(struct reader *reader, struct span span, const struct tree_word *part,
                  const struct tree_word *how);
void build_zone(struct reader *reader, const struct tree_word *name, const struct tree_word *part);
void build_zone_range(struct reader *reader, struct span span, const struct tree_word *axis,
                      bool from_open, struct tree_quantity *from, bool to_open,
                      struct tree_quantity *to);
void build_zone_name(struct reader *reader, struct tree_word *name);
void build_zone_outside(struct reader *reader, struct tree_words *names);
void build_zone_end(struct reader *reader, struct span span);
void build_measure(struct reader *reader, struct span span, const struct tree_word *name,
                   struct tree_quantity *from, struct tree_quantity *to,
                   const struct build_step *step, bool smaller_is_worse,
                   const struct tree_word *help);
void build_observe(struct reader *reader, struct span span, const struct tree_word *name,
                   const struct build_values *values, const struct tree_word *help);
void build_kind(struct reader *reader, struct span span, struct tree_words *names,
                struct tree_words *parts, struct tree_record *records);
void build_curve(struct reader *reader, struct span span, const struct tree_word *name,
                 const struct tree_word *axis, struct tree_tail *tails);
void build_point(struct reader *reader, struct span span, const struct tree_quantity *at,
                 const struct tree_quantity *value);
void build_reckon(struct reader *reader, struct span span, const struct tree_word *name,
                  struct tree_expression *value);
void build_limit(struct reader *reader, struct span span, struct tree_words *kinds,
                 struct tree_words *zones, bool declared_gap, struct tree_tail *tails);
void build_check(struct reader *reader, struct span span, const struct tree_word *name,
                 struct tree_words *parts, struct tree_record *records, struct tree_tail *tails);
/* outcome NULL: `otherwise no published limit`. */
void build_rung(struct reader *reader, struct span span, bool otherwise,
                const struct tree_word *outcome, struct tree_condition *conditions,
                struct tree_tail *tails);
void build_example(struct reader *reader, struct span span, const struct tree_word *title,
                   struct tree_words *served, bool unconfirmed, struct tree_tail *tails);
/* times NULL: once. */
void build_example_finding(struct reader *reader, struct tree_finding *finding,
                           const struct tree_quantity *times);
void build_gives(struct reader *reader, struct span span, bool propeller,
                 struct tree_words *outcomes, struct tree_reading *with, struct tree_tail *tails);

void build_fact_range(struct reader *reader, struct span span, const struct tree_word *name,
                      const struct tree_quantity *from, const struct tree_quantity *to,
                      const struct tree_word *help);
/* values NULL: yes or no. */
void build_fact_values(struct reader *reader, struct span span, const struct tree_word *name,
                       struct tree_words *values, const struct tree_word *help);
void build_model(struct reader *reader, struct span span, const struct tree_word *name,
                 const struct tree_word *title, const struct tree_word *like,
                 struct tree_words *served, struct tree_effect *where, struct tree_tail *tails);
struct tree_effect *build_effect(struct reader *reader, struct span span,
                                 enum tree_effect_sort sort, const struct tree_word *name);
struct tree_spans *build_span(struct reader *reader, struct span span,
                              const struct tree_quantity *from, const struct tree_quantity *to);
struct tree_spans *build_one_sided(struct reader *reader, struct span span,
                                   enum tree_relation relation, const struct tree_quantity *limit);
/* What follows goes into a tree of its own, until the next statement (build_end_change). */
void build_change(struct reader *reader, struct span span, enum tree_change_sort sort);
void build_end_change(struct reader *reader);
/* A statement that holds no more than its name. */
void build_dropped(struct reader *reader, struct span span, enum tree_shared shared,
                   const struct tree_word *name);
void build_dropped_kind(struct reader *reader, struct span span, struct tree_words *names);
void build_dropped_limit(struct reader *reader, struct span span, struct tree_words *kinds,
                         struct tree_words *zones);
/* Where the next statement of each list goes. */
void build_set_ends(struct ends *end, struct tree *tree);

#endif
