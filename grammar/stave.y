/*
 * The parser of Stave. docs/grammar.md is the grammar for readers; this is the
 * same language, one line at a time.
 *
 * The tokens START_... come first in the stream and choose what is parsed. The
 * tokens IN_... stand before each line of a block and say which block it is in; both are put in by
 * grammar_lex (src/read/lines.c), which also joins a line that ends in a comma to the next.
 * So every line is parsed from the same bottom state, and after an error the parser
 * goes on with the next line, in the right block.
 *
 * Actions only build the tree (src/read/build.c). There is an escape by longjmp
 * while this runs, so the parser must never hold memory of its own: its stacks
 * are of fixed size and YYMALLOC gives nothing. All lists are left-recursive, and
 * grammar_lex caps parentheses, so the stacks suffice for every text.
 */
%require "3.8"
%define api.pure full
%define api.prefix {grammar_}
%define api.token.prefix {TOKEN_}
%define api.location.type {struct site}
%define api.value.type union
%define api.header.include {"read/parse.h"}
%define parse.error custom
/* So an error is seen before anything is reduced that the next token forbids, and what was expected is
 * exact, without a trial run at each token. */
%define lr.type canonical-lr
%define lr.default-reduction consistent
%locations
%expect 0
%param {struct reader *reader}

%code requires {
#include "read/tree.h"

/* Where a symbol stands in the reader's source. It is copied for each step, and at once. */
struct site {
    uint32_t from, to; /* byte offsets */
};

struct reader;
struct figure;
struct build_count;
struct build_step;
struct build_values;
}

%code {
#include "read/reader.h"

#define YYINITDEPTH 2000
#define YYMAXDEPTH 2000
#define YYMALLOC(size) ((void)(size), (void *)0)
#define YYFREE(block) ((void)(block))

#define SPAN(site) site_span(reader, (site))

/* The site of a rule is that of its symbols; of an empty one, the point after what came before. */
#define YYLLOC_DEFAULT(current, symbols, count)                                     \
    do {                                                                            \
        if (count) {                                                                \
            (current) = YYRHSLOC(symbols, 1);                                       \
            (current).to = YYRHSLOC(symbols, count).to;                             \
        } else {                                                                    \
            (current) = YYRHSLOC(symbols, 0);                                       \
            (current).from = (current).to;                                          \
        }                                                                           \
    } while (0)

static void grammar_error(const struct site *site, struct reader *reader, const char *message);
}

%initial-action { @$ = (struct site){0, 0}; }

/* Put in by grammar_lex. */
%token START_BOOK "a book" START_FINDING "a finding" START_ANSWER "an answer" START_RANGE "a range"
%token IN_BOOK "a line of the book's head" IN_SCALE "a line of the scale" IN_PART "a line of a part"
%token IN_KIND "a line of a kind" IN_CURVE "a point of a curve" IN_LIMIT "a line of a limit"
%token IN_CHECK "a line of a check" IN_EXAMPLE "a line of an example"

/* In the order in which a message names what was expected. */
%token <struct figure *> NUMBER "a figure"
%token <const struct unit *> UNIT "a unit"
%token <struct tree_word *> NAME "a name"
%token STRING "a string in double quotes" DATE "a date such as 2026-03-01"
%token DOTS "'..'" PLUS_MINUS "'+/-'" PLUS "'+'" MINUS "'-'" TIMES "'*'" OVER_SIGN "'/'"
%token OPEN "'('" CLOSE "')'"

%token STAVE "'stave'" BOOK "'book'" USE "'use'" SCALE "'scale'" PART "'part'" SEARCH "'search'"
%token ZONE "'zone'" MEASURE "'measure'" OBSERVE "'observe'" KIND "'kind'" CURVE "'curve'"
%token RECKON "'reckon'" LIMIT "'limit'" CHECK "'check'" FACT "'fact'" MODEL "'model'"
%token REPLACE "'replace'" ADD "'add'" DROP "'drop'" EXAMPLE "'example'"

%token EDITION "'edition'" DATED "'dated'" FOR "'for'" LIKE "'like'" JUDGE "'judge'"
%token GUARDED "'guarded'" AS "'as'" READ "'read'" CAUTION "'caution'" FLIGHT "'flight'"
%token ONE "'one'" ON "'on'" EACH "'each'" WHERE "'where'" FITTED "'fitted'"
%token AXIS "'axis'" SIDE "'side'" MEET "'meet'" PLACE "'place'" TO "'to'"
%token OUTSIDE "'outside'" NEAREST "'nearest'" SMALLER "'smaller'" WORSE "'worse'"
%token LEVELS "'levels'" YES "'yes'" NO "'no'" RECORDS "'records'" ALONG "'along'" LOOK "'look'"
%token PUBLISHED "'published'" OTHERWISE "'otherwise'"
%token UP "'up'" BELOW "'below'" AT "'at'" LEAST "'least'" OVER "'over'" IS "'is'" NOT "'not'"
%token ANY "'any'" SIZE "'size'" OF "'of'" THE "'the'" LESSER "'lesser'" GREATER "'greater'"
%token UNCONFIRMED "'unconfirmed'" GIVES "'gives'" PROPELLER "'propeller'" WITH "'with'" SEEN "'seen'" MEASURED "'measured'"
%token OR "'or'" AND "'and'"
%token MORE "'more'" THAN "'than'" TOTAL "'total'" LARGEST "'largest'" APART "'apart'" FROM "'from'"
%token BY "'by'" LARGER "'larger'" TOGETHER "'together'" FACING "'facing'" GROWN "'grown'"
%token SINCE "'since'" FIRST "'first'" WAS "'was'" NEW "'new'" MANY "'times'"
%token DO "'do'" AGAIN "'again'" WITHIN "'within'" PER "'per'" NOTE "'note'" EXCEPTION "'exception'"
%token RESERVED "a reserved word"
%token COMMA "','" REMARK "a remark" LINE_END "the end of the line"
%token END 0 "the end"

%left PLUS MINUS
%left TIMES OVER_SIGN

%type <struct tree_word *> string remark instance dated each_of
%type <struct tree_words *> names or_names outcomes
%type <struct tree_word *> no_limit like
%type <struct tree_words *> served fact_values
%type <struct tree_effect *> where effects effect
%type <struct tree_spans *> spans span
%type <struct tree_quantity *> quantity whole read_to
%type <struct tree_tail *> tail tails
%type <struct build_count *> count
%type <struct build_step *> stepping
%type <struct build_values *> values
%type <bool> where_fitted smaller_is_worse below over gap unconfirmed
%type <struct tree_meeting *> meetings meet
%type <struct tree_record *> record_list records
%type <struct tree_expression *> expression operand lesser primary
%type <enum tree_relation> relation
%type <struct tree_bound *> bounds
%type <struct tree_condition *> conditions condition company_condition
%type <struct tree_condition *> filter filters
%type <struct tree_company *> kinds company scoped facing
%type <bool> since_first
%type <struct tree_word *> along
%type <struct tree_range *> amount range
%type <struct tree_place *> place places at
%type <struct tree_reading *> full_reading short_reading bare_reading
%type <struct tree_reading *> readings answers after
%type <struct tree_finding *> finding

%%

input
    : START_BOOK lines
    | START_FINDING finding remark
        {
            if ($3) {
                $2->remark = *$3;
            }
            reader->finding = $2;
        }
    | START_ANSWER answers              { reader->answer = $2; }
    | START_RANGE range                 { reader->range = $2; }
    ;

lines
    : %empty
    | lines statement LINE_END
    | lines error LINE_END              { yyerrok; line_lost(reader); }
    ;

statement
    : STAVE NUMBER                      { build_version(reader, SPAN(@$), SPAN(@2)); }

    | BOOK NAME string                  { build_head(reader, SPAN(@$), $2, $3); }
    | IN_BOOK EDITION STRING dated
                { build_edition(reader, SPAN(@$), build_string(reader, SPAN(@3)), $4); }
    | IN_BOOK FOR MODEL names           { build_models(reader, $4); }
    | IN_BOOK JUDGE GUARDED             { build_judge(reader, SPAN(@$), false); }
    | IN_BOOK JUDGE AS READ             { build_judge(reader, SPAN(@$), true); }
    | IN_BOOK CAUTION STRING            { build_caution(reader, build_string(reader, SPAN(@3))); }

    | USE STRING
                { build_use(reader, SPAN(@$), build_string(reader, SPAN(@2))); }

    | SCALE                             { build_scale(reader, SPAN(@$)); }
    | IN_SCALE NO FLIGHT                { build_no_flight(reader, SPAN(@$)); }
    | IN_SCALE NAME string tails        { build_outcome(reader, SPAN(@$), $2, $3, $4); }

    | IN_PART AXIS NAME quantity DOTS quantity read_to string
                                        { build_axis(reader, SPAN(@$), $3, $4, $6, $7, $8); }
    | IN_PART SIDE names meet           { build_sides(reader, $3, $4); }
    | IN_PART PLACE names               { build_places(reader, $3); }

    | IN_KIND LOOK STRING               { build_look(reader, build_string(reader, SPAN(@3))); }
    | IN_KIND CAUTION STRING            { build_caution(reader, build_string(reader, SPAN(@3))); }
    | IN_KIND EACH SIDE WHERE NAME      { build_each_side(reader, $5); }

    | IN_CURVE quantity quantity        { build_point(reader, SPAN(@$), $2, $3); }

    | IN_LIMIT rung
    | IN_CHECK LOOK STRING              { build_look(reader, build_string(reader, SPAN(@3))); }
    | IN_CHECK CAUTION STRING           { build_caution(reader, build_string(reader, SPAN(@3))); }
    | IN_CHECK rung

    | shared
    | change shared
    | drop dropped

    | FACT NAME whole DOTS whole string { build_fact_range(reader, SPAN(@$), $2, $3, $5, $6); }
    | FACT NAME fact_values string      { build_fact_values(reader, SPAN(@$), $2, $3, $4); }
    | MODEL NAME string like served where tails
                                        { build_model(reader, SPAN(@$), $2, $3, $4, $5, $6, $7); }

    | EXAMPLE STRING served unconfirmed tails
                { build_example(reader, SPAN(@$), build_string(reader, SPAN(@2)), $3,
                                $4, $5); }
    | IN_EXAMPLE finding remark
        {
            if ($3) {
                $2->remark = *$3;
            }
            build_example_finding(reader, $2, NULL);
        }
    | IN_EXAMPLE whole MANY finding remark
        {
            if ($5) {
                $4->remark = *$5;
            }
            build_example_finding(reader, $4, $2);
        }
    | IN_EXAMPLE GIVES outcomes tails   { build_gives(reader, SPAN(@$), false, $3, NULL, $4); }
    | IN_EXAMPLE GIVES outcomes WITH readings tails
                                        { build_gives(reader, SPAN(@$), false, $3, $5, $6); }
    | IN_EXAMPLE GIVES PROPELLER outcomes tails
                                        { build_gives(reader, SPAN(@$), true, $4, NULL, $5); }
    | IN_EXAMPLE GIVES PROPELLER outcomes WITH readings tails
                                        { build_gives(reader, SPAN(@$), true, $4, $6, $7); }
    ;

shared
    : PART NAME count where_fitted string
                                        { build_part(reader, SPAN(@$), $2, $3, $4, $5); }
    | SEARCH NAME STRING
                { build_search(reader, SPAN(@$), $2, build_string(reader, SPAN(@3))); }
    | zone_start zone_items             { build_zone_end(reader, SPAN(@$)); }
    | MEASURE NAME quantity DOTS quantity stepping smaller_is_worse string
                                        { build_measure(reader, SPAN(@$), $2, $3, $5, $6, $7, $8); }
    | OBSERVE NAME values string        { build_observe(reader, SPAN(@$), $2, $3, $4); }
    | KIND names ON names records       { build_kind(reader, SPAN(@$), $2, $4, $5); }
    | CURVE NAME ALONG NAME tails       { build_curve(reader, SPAN(@$), $2, $4, $5); }
    | RECKON NAME AS expression         { build_reckon(reader, SPAN(@$), $2, $4); }
    | LIMIT names ON names gap tails    { build_limit(reader, SPAN(@$), $2, $4, $5, $6); }
    | CHECK NAME ON names records tails { build_check(reader, SPAN(@$), $2, $4, $5, $6); }
    ;

/* ---- a family of models ------------------------------------------------------------ */

change
    : REPLACE                           { build_change(reader, SPAN(@$), TREE_REPLACE); }
    | ADD                               { build_change(reader, SPAN(@$), TREE_ADD_TO); }
    ;

drop
    : DROP                              { build_change(reader, SPAN(@$), TREE_DROP); }
    ;

dropped
    : PART NAME                         { build_dropped(reader, SPAN(@$), TREE_PARTS, $2); }
    | SEARCH NAME                       { build_dropped(reader, SPAN(@$), TREE_SEARCHES, $2); }
    | ZONE NAME                         { build_dropped(reader, SPAN(@$), TREE_ZONES, $2); }
    | MEASURE NAME                      { build_dropped(reader, SPAN(@$), TREE_MEASURES, $2); }
    | OBSERVE NAME                      { build_dropped(reader, SPAN(@$), TREE_OBSERVES, $2); }
    | CURVE NAME                        { build_dropped(reader, SPAN(@$), TREE_CURVES, $2); }
    | RECKON NAME                       { build_dropped(reader, SPAN(@$), TREE_RECKONS, $2); }
    | CHECK NAME                        { build_dropped(reader, SPAN(@$), TREE_CHECKS, $2); }
    | KIND names                        { build_dropped_kind(reader, SPAN(@$), $2); }
    | LIMIT names ON names              { build_dropped_limit(reader, SPAN(@$), $2, $4); }
    ;

fact_values
    : ONE OF names                      { $$ = $3; }
    | YES OR NO                         { $$ = NULL; }
    ;

like
    : %empty                            { $$ = NULL; }
    | LIKE NAME                         { $$ = $2; }
    ;

served
    : %empty                            { $$ = NULL; }
    | FOR names                         { $$ = $2; }
    ;

where
    : %empty                            { $$ = NULL; }
    | WHERE effects                     { $$ = $2; }
    ;

effects
    : effect                            { $$ = NULL; LIST_ADD($$, $1); }
    | effects COMMA effect              { $$ = $1; LIST_ADD($$, $3); }
    ;

effect
    : NAME spans
                { $$ = build_effect(reader, SPAN(@$), TREE_WITHIN_SPANS, $1);
                  $$->spans = $2; }
    | NAME relation whole
                { $$ = build_effect(reader, SPAN(@$), TREE_WITHIN_SPANS, $1);
                  $$->spans = build_one_sided(reader, SPAN(@2), $2, $3); }
    | NAME IS or_names                  { $$ = build_effect(reader, SPAN(@$), TREE_AMONG, $1);
                                          $$->values = $3; }
    | NAME IS NOT or_names              { $$ = build_effect(reader, SPAN(@$), TREE_NOT_AMONG, $1);
                                          $$->values = $4; }
    | NAME                              { $$ = build_effect(reader, SPAN(@$), TREE_SAID_YES, $1); }
    | NOT NAME                          { $$ = build_effect(reader, SPAN(@$), TREE_SAID_NO, $2); }
    ;

spans
    : span                              { $$ = NULL; LIST_ADD($$, $1); }
    | spans OR span                     { $$ = $1; LIST_ADD($$, $3); }
    ;

span
    : whole                             { $$ = build_span(reader, SPAN(@$), $1, $1); }
    | whole DOTS whole                  { $$ = build_span(reader, SPAN(@$), $1, $3); }
    ;

/* ---- words, figures, tails ------------------------------------------------------- */

names
    : NAME                              { $$ = build_words(reader, NULL, $1); }
    | names COMMA NAME                  { $$ = build_words(reader, $1, $3); }
    ;

or_names
    : NAME                              { $$ = build_words(reader, NULL, $1); }
    | or_names OR NAME                  { $$ = build_words(reader, $1, $3); }
    ;

string
    : %empty                            { $$ = NULL; }
    | STRING                            { $$ = build_string(reader, SPAN(@1)); }
    ;

remark
    : %empty                            { $$ = NULL; }
    | REMARK                            { $$ = build_remark(reader, SPAN(@1)); }
    ;

quantity
    : NUMBER                            { $$ = build_quantity(reader, SPAN(@$), $1, NULL); }
    | NUMBER UNIT                       { $$ = build_quantity(reader, SPAN(@$), $1, $2); }
    ;

tail
    : DO STRING                         { $$ = build_tail(reader, SPAN(@$), TREE_DO,
                                                          build_string(reader, SPAN(@2)), NULL); }
    | AGAIN WITHIN quantity
                { $$ = build_tail(reader, SPAN(@$), TREE_AGAIN_WITHIN, NULL, $3); }
    | WITHIN quantity
                { $$ = build_tail(reader, SPAN(@$), TREE_WITHIN, NULL, $2); }
    | PER STRING                        { $$ = build_tail(reader, SPAN(@$), TREE_PER,
                                                          build_string(reader, SPAN(@2)), NULL); }
    | NOTE STRING                       { $$ = build_tail(reader, SPAN(@$), TREE_NOTE,
                                                          build_string(reader, SPAN(@2)), NULL); }
    | EXCEPTION STRING                  { $$ = build_tail(reader, SPAN(@$), TREE_EXCEPTION,
                                                          build_string(reader, SPAN(@2)), NULL); }
    ;

tails
    : %empty                            { $$ = NULL; }
    | tails tail                        { $$ = $1; LIST_ADD($$, $2); }
    ;

/* ---- the head, parts and zones ----------------------------------------------------- */

dated
    : %empty                            { $$ = NULL; }
    | DATED DATE                        { $$ = build_word(reader, SPAN(@2)); }
    ;

count
    : %empty                            { $$ = NULL; }
    | COMMA whole
        {
            $$ = ARENA_NEW(reader->arena, struct build_count);
            $$->least = $$->most = $2;
        }
    | COMMA whole DOTS whole
        {
            $$ = ARENA_NEW(reader->arena, struct build_count);
            $$->least = $2;
            $$->most = $4;
        }
    | COMMA ONE ON EACH each_of
        {
            $$ = ARENA_NEW(reader->arena, struct build_count);
            $$->each_of = $5;
        }
    ;

whole
    : NUMBER                            { $$ = build_quantity(reader, SPAN(@$), $1, NULL); }
    ;

each_of
    : NAME
    ;

where_fitted
    : %empty                            { $$ = false; }
    | WHERE FITTED                      { $$ = true; }
    ;

read_to
    : %empty                            { $$ = NULL; }
    | READ TO quantity                  { $$ = $3; }
    ;

meet
    : %empty                            { $$ = NULL; }
    | MEET AT meetings                  { $$ = $3; }
    ;

meetings
    : NAME quantity                     { $$ = build_meeting(reader, NULL, $1, $2); }
    | meetings COMMA NAME quantity      { $$ = build_meeting(reader, $1, $3, $4); }
    ;

zone_start
    : ZONE NAME ON NAME                 { build_zone(reader, $2, $4); }
    ;

zone_items
    : %empty
    | zone_items zone_item
    ;

zone_item
    : NAME over quantity DOTS below quantity
                                        { build_zone_range(reader, SPAN(@$), $1, $2, $3, $5, $6); }
    | NAME                              { build_zone_name(reader, $1); }
    | OUTSIDE names                     { build_zone_outside(reader, $2); }
    ;

over
    : %empty                            { $$ = false; }
    | OVER                              { $$ = true; }
    ;

below
    : %empty                            { $$ = false; }
    | BELOW                             { $$ = true; }
    ;

/* ---- what is recorded ---------------------------------------------------------------- */

stepping
    : %empty                            { $$ = NULL; }
    | READ TO quantity
        {
            $$ = ARENA_NEW(reader->arena, struct build_step);
            *$$ = (struct build_step){TREE_READ_TO, $3};
        }
    | READ UP TO quantity
        {
            $$ = ARENA_NEW(reader->arena, struct build_step);
            *$$ = (struct build_step){TREE_READ_UP_TO, $4};
        }
    | READ NEAREST quantity
        {
            $$ = ARENA_NEW(reader->arena, struct build_step);
            *$$ = (struct build_step){TREE_READ_NEAREST, $3};
        }
    ;

smaller_is_worse
    : %empty                            { $$ = false; }
    | SMALLER IS WORSE                  { $$ = true; }
    ;

values
    : ONE OF names
        {
            $$ = ARENA_NEW(reader->arena, struct build_values);
            *$$ = (struct build_values){TREE_ONE_OF, $3};
        }
    | LEVELS names
        {
            $$ = ARENA_NEW(reader->arena, struct build_values);
            *$$ = (struct build_values){TREE_LEVELS, $2};
        }
    | YES OR NO
        {
            $$ = ARENA_NEW(reader->arena, struct build_values);
            *$$ = (struct build_values){TREE_YES_OR_NO, NULL};
        }
    ;

records
    : %empty                            { $$ = NULL; }
    | RECORDS record_list               { $$ = $2; }
    ;

record_list
    : NAME                              { $$ = build_record(reader, NULL, $1, NULL); }
    | NAME ALONG NAME                   { $$ = build_record(reader, NULL, $1, $3); }
    | record_list COMMA NAME            { $$ = build_record(reader, $1, $3, NULL); }
    | record_list COMMA NAME ALONG NAME { $$ = build_record(reader, $1, $3, $5); }
    ;

/* ---- ladders --------------------------------------------------------------------------- */

gap
    : %empty                            { $$ = false; }
    | NO PUBLISHED LIMIT                { $$ = true; }
    ;

rung
    : NAME conditions tails             { build_rung(reader, SPAN(@$), false, $1, $2, $3); }
    | OTHERWISE NAME tails              { build_rung(reader, SPAN(@$), true, $2, NULL, $3); }
    | OTHERWISE NO PUBLISHED LIMIT tails
                                        { build_rung(reader, SPAN(@$), true, NULL, NULL, $5); }
    ;

conditions
    : condition                         { $$ = NULL; LIST_ADD($$, $1); }
    | conditions COMMA condition        { $$ = $1; LIST_ADD($$, $3); }
    ;

condition
    : NAME bounds                       { $$ = build_condition(reader, SPAN(@$), TREE_COMPARE, $1);
                                          $$->bounds = $2; }
    | NAME IS or_names                  { $$ = build_condition(reader, SPAN(@$), TREE_IS, $1);
                                          $$->values = $3; }
    | NAME IS NOT or_names              { $$ = build_condition(reader, SPAN(@$), TREE_IS_NOT, $1);
                                          $$->values = $4; }
    | NAME                              { $$ = build_condition(reader, SPAN(@$), TREE_YES, $1); }
    | NOT NAME                          { $$ = build_condition(reader, SPAN(@$), TREE_NO, $2); }
    | ANY NAME                          { $$ = build_condition(reader, SPAN(@$), TREE_ANY, $2); }
    | AT ANY SIZE
                { $$ = build_condition(reader, SPAN(@$), TREE_ANY_SIZE, NULL); }
    | NAME GROWN since_first BY bounds
                                        { $$ = build_condition(reader, SPAN(@$), TREE_GROWN, $1);
                                          $$->since_first = $3;
                                          $$->bounds = $5; }
    | FIRST SEEN
                { $$ = build_condition(reader, SPAN(@$), TREE_FIRST_SEEN, NULL); }
    | company_condition
    ;

since_first
    : %empty                            { $$ = false; }
    | SINCE FIRST SEEN                  { $$ = true; }
    ;

company_condition
    : NO MORE THAN whole OF scoped      { $$ = build_condition(reader, SPAN(@$), TREE_COUNT, NULL);
                                          $$->most = $4;
                                          $$->company = $6;
                                          $6->span = SPAN(@6); }
    | TOTAL NAME OF scoped bounds       { $$ = build_condition(reader, SPAN(@$), TREE_TOTAL, $2);
                                          $$->company = $4;
                                          $4->span = span_join(SPAN(@2), SPAN(@4));
                                          $$->bounds = $5; }
    | LARGEST NAME OF scoped bounds     { $$ = build_condition(reader, SPAN(@$), TREE_LARGEST, $2);
                                          $$->company = $4;
                                          $4->span = span_join(SPAN(@2), SPAN(@4));
                                          $$->bounds = $5; }
    | APART FROM company along BY expression
                                        { $$ = build_condition(reader, SPAN(@$), TREE_APART, NULL);
                                          build_apart($$, $3, SPAN(@$), $4, $6); }
    | APART FROM company along BY expression WHERE expression bounds
                                        { $$ = build_condition(reader, SPAN(@$), TREE_APART, NULL);
                                          build_apart($$, $3, SPAN(@$), $4, $6);
                                          $$->pair = $8;
                                          $$->bounds = $9; }
    | NOT FACING facing                 { $$ = build_condition(reader, SPAN(@$), TREE_FACING, NULL);
                                          $$->company = $3;
                                          $3->span = SPAN(@$); }
    ;

along
    : %empty                            { $$ = NULL; }
    | ALONG NAME                        { $$ = $2; }
    ;

facing
    : ANY KIND                          { $$ = build_company(reader, NULL); }
    | or_names                          { $$ = build_company(reader, $1); }
    ;

kinds
    : ANY KIND                          { $$ = build_company(reader, NULL); }
    | names                             { $$ = build_company(reader, $1); }
    ;

company
    : kinds
    | kinds WITH filters                { $$ = $1; $$->filters = $3; }
    ;

scoped
    : company ON NAME                   { $$ = build_scope($1, TREE_ON_NAME, NULL, $3); }
    | company ON NAME NAME              { $$ = build_scope($1, TREE_ON_A, $3, $4); }
    | company ON NAME SIDE              { $$ = build_scope($1, TREE_ON_A_SIDE, $3, NULL); }
    | company ON THE PROPELLER          { $$ = build_scope($1, TREE_ON_PROPELLER, NULL, NULL); }
    | company WITHIN ANY quantity ALONG NAME
                                        { $$ = build_scope($1, TREE_WITHIN_ANY, NULL, NULL);
                                          $$->window = *$4;
                                          $$->axis = *$6; }
    ;

/* A bound after `and` belongs to the name before it: "depth over 0.01 in and below 0.02 in". */
filters
    : filter                            { $$ = NULL; LIST_ADD($$, $1); }
    | filters AND filter                { $$ = $1; LIST_ADD($$, $3); }
    | filters AND relation expression
                { struct tree_condition *more =
                      build_condition(reader, span_join(SPAN(@3), SPAN(@4)),
                                      TREE_COMPARE, &$1->last->name);
                  more->bounds = build_bound(reader, NULL,
                                             span_join(SPAN(@3), SPAN(@4)), $3, $4);
                  $$ = $1;
                  LIST_ADD($$, more); }
    ;

filter
    : NAME relation expression          { $$ = build_condition(reader, SPAN(@$), TREE_COMPARE, $1);
                                          $$->bounds =
                                              build_bound(reader, NULL,
                                                          span_join(SPAN(@2), SPAN(@3)), $2, $3); }
    | NAME IS or_names                  { $$ = build_condition(reader, SPAN(@$), TREE_IS, $1);
                                          $$->values = $3; }
    | NAME IS NOT or_names              { $$ = build_condition(reader, SPAN(@$), TREE_IS_NOT, $1);
                                          $$->values = $4; }
    | NAME                              { $$ = build_condition(reader, SPAN(@$), TREE_YES, $1); }
    | NOT NAME                          { $$ = build_condition(reader, SPAN(@$), TREE_NO, $2); }
    ;

bounds
    : UP TO expression
                { $$ = build_bound(reader, NULL, SPAN(@$), TREE_UP_TO, $3); }
    | BELOW expression
                { $$ = build_bound(reader, NULL, SPAN(@$), TREE_BELOW, $2); }
    | AT LEAST expression
                { $$ = build_bound(reader, NULL, SPAN(@$), TREE_AT_LEAST, $3); }
    | OVER expression                   { $$ = build_bound(reader, NULL, SPAN(@$), TREE_OVER, $2); }
    | bounds AND relation expression
                { $$ = build_bound(reader, $1, span_join(SPAN(@3), SPAN(@4)), $3, $4); }
    ;

relation
    : UP TO                             { $$ = TREE_UP_TO; }
    | BELOW                             { $$ = TREE_BELOW; }
    | AT LEAST                          { $$ = TREE_AT_LEAST; }
    | OVER                              { $$ = TREE_OVER; }
    ;

/* Begins with what a `primary` is, word for word: most expressions are no more, and take a step less. */
expression
    : quantity                          { $$ = build_leaf(reader, SPAN(@$), $1, NULL); }
    | NAME                              { $$ = build_leaf(reader, SPAN(@$), NULL, $1); }
    | LARGER NAME                       { $$ = build_leaf(reader, SPAN(@$), NULL, $2);
                                          $$->sort = TREE_LARGER; }
    | NAME TOGETHER                     { $$ = build_leaf(reader, SPAN(@$), NULL, $1);
                                          $$->sort = TREE_TOGETHER; }
    | OPEN expression CLOSE             { $$ = $2; $$->span = SPAN(@$); }
    | lesser
    | quantity OF operand               { $$ = build_share(reader, SPAN(@$), $1, $3); }
    | expression PLUS expression        { $$ = build_pair(reader, SPAN(@$), TREE_ADD, $1, $3); }
    | expression MINUS expression
                { $$ = build_pair(reader, SPAN(@$), TREE_SUBTRACT, $1, $3); }
    | expression TIMES expression
                { $$ = build_pair(reader, SPAN(@$), TREE_MULTIPLY, $1, $3); }
    | expression OVER_SIGN NUMBER
                { $$ = build_pair(reader, SPAN(@$), TREE_DIVIDE, $1,
                                  build_leaf(reader, SPAN(@3),
                                             build_quantity(reader, SPAN(@3), $3, NULL), NULL)); }
    ;

operand
    : primary
    | lesser
    ;

lesser
    : THE LESSER OF primary AND primary { $$ = build_pair(reader, SPAN(@$), TREE_LESSER, $4, $6); }
    | THE GREATER OF primary AND primary
                                        { $$ = build_pair(reader, SPAN(@$), TREE_GREATER, $4, $6); }
    ;

primary
    : quantity                          { $$ = build_leaf(reader, SPAN(@$), $1, NULL); }
    | NAME                              { $$ = build_leaf(reader, SPAN(@$), NULL, $1); }
    | LARGER NAME                       { $$ = build_leaf(reader, SPAN(@$), NULL, $2);
                                          $$->sort = TREE_LARGER; }
    | NAME TOGETHER                     { $$ = build_leaf(reader, SPAN(@$), NULL, $1);
                                          $$->sort = TREE_TOGETHER; }
    | OPEN expression CLOSE             { $$ = $2; $$->span = SPAN(@$); }
    ;

/* ---- findings, answers and examples --------------------------------------------------------- */

finding
    : NAME instance NAME at after
                { $$ = build_finding(reader, SPAN(@$), $1, $2, $3, $4, $5); }
    ;

instance
    : %empty                            { $$ = NULL; }
    | NUMBER                            { $$ = build_word(reader, SPAN(@1)); }
    ;

at
    : %empty                            { $$ = NULL; }
    | AT places                         { $$ = $2; }
    ;

places
    : place                             { $$ = NULL; LIST_ADD($$, $1); }
    | places place                      { $$ = $1; LIST_ADD($$, $2); }
    ;

place
    : NAME range                        { $$ = build_place(reader, SPAN(@$), $1, $2); }
    | NAME                              { $$ = build_place(reader, SPAN(@$), $1, NULL); }
    ;

range
    : quantity
                { $$ = build_range(reader, SPAN(@$), build_amount(reader, $1, NULL),
                                   NULL); }
    | quantity PLUS_MINUS quantity
                { $$ = build_range(reader, SPAN(@$), build_amount(reader, $1, $3),
                                   NULL); }
    | amount DOTS amount                { $$ = build_range(reader, SPAN(@$), $1, $3); }
    ;

amount
    : quantity                          { $$ = build_amount(reader, $1, NULL); }
    | quantity PLUS_MINUS quantity      { $$ = build_amount(reader, $1, $3); }
    ;

after
    : %empty                            { $$ = NULL; }
    | COMMA readings                    { $$ = $2; }
    ;

readings
    : full_reading                      { $$ = NULL; LIST_ADD($$, $1); }
    | short_reading                     { $$ = NULL; LIST_ADD($$, $1); }
    | readings COMMA full_reading       { $$ = $1; LIST_ADD($$, $3); }
    | readings COMMA short_reading      { $$ = $1; LIST_ADD($$, $3); }
    ;

/* What no answer begins with: there a name alone is a value. */
short_reading
    : NAME                              { $$ = build_reading(reader, SPAN(@$), TREE_READ_YES, $1); }
    | WAS NAME range                    { $$ = build_reading(reader, SPAN(@$), TREE_READ_WAS, $2);
                                          $$->range = $3; }
    | FIRST NAME range                  { $$ = build_reading(reader, SPAN(@$), TREE_READ_FIRST, $2);
                                          $$->range = $3; }
    | NEW
                { $$ = build_reading(reader, SPAN(@$), TREE_READ_NEW, NULL); }
    ;

full_reading
    : NAME range                        { $$ = build_reading(reader, SPAN(@$), TREE_READ_RANGE, $1);
                                          $$->range = $2; }
    | NAME or_names
                { $$ = build_reading(reader, SPAN(@$), TREE_READ_VALUES, $1);
                  $$->values = $2; }
    | NAME YES                          { $$ = build_reading(reader, SPAN(@$), TREE_READ_YES, $1); }
    | NAME NO                           { $$ = build_reading(reader, SPAN(@$), TREE_READ_NO, $1); }
    | NOT NAME                          { $$ = build_reading(reader, SPAN(@$), TREE_READ_NO, $2); }
    | NAME NOT SEEN
                { $$ = build_reading(reader, SPAN(@$), TREE_READ_MISSING, $1); }
    | NAME NOT MEASURED
                { $$ = build_reading(reader, SPAN(@$), TREE_READ_MISSING, $1); }
    ;

answers
    : full_reading                      { $$ = NULL; LIST_ADD($$, $1); }
    | bare_reading                      { $$ = NULL; LIST_ADD($$, $1); }
    | answers COMMA full_reading        { $$ = $1; LIST_ADD($$, $3); }
    | answers COMMA short_reading       { $$ = $1; LIST_ADD($$, $3); }
    ;

bare_reading
    : range
                { $$ = build_reading(reader, SPAN(@$), TREE_READ_BARE, NULL);
                  $$->range = $1; }
    | or_names
                { $$ = build_reading(reader, SPAN(@$), TREE_READ_BARE, NULL);
                  $$->values = $1; }
    | YES
                { $$ = build_reading(reader, SPAN(@$), TREE_READ_BARE, NULL);
                  $$->values = build_words(reader, NULL,
                                           build_word(reader, SPAN(@1))); }
    | NO
                { $$ = build_reading(reader, SPAN(@$), TREE_READ_BARE, NULL);
                  $$->values = build_words(reader, NULL,
                                           build_word(reader, SPAN(@1))); }
    | NOT SEEN
                { $$ = build_reading(reader, SPAN(@$), TREE_READ_MISSING, NULL); }
    | NOT MEASURED
                { $$ = build_reading(reader, SPAN(@$), TREE_READ_MISSING, NULL); }
    ;

outcomes
    : NAME                              { $$ = build_words(reader, NULL, $1); }
    | no_limit                          { $$ = build_words(reader, NULL, $1); }
    | outcomes OR NAME                  { $$ = build_words(reader, $1, $3); }
    | outcomes OR no_limit              { $$ = build_words(reader, $1, $3); }
    ;

no_limit
    : NO PUBLISHED LIMIT
                { $$ = build_fixed_word(reader, SPAN(@$), "no published limit"); }
    ;

unconfirmed
    : %empty                            { $$ = false; }
    | UNCONFIRMED                       { $$ = true; }
    ;

%%

static int yyreport_syntax_error(const yypcontext_t *context, struct reader *reader)
{
    yysymbol_kind_t kinds[EXPECT_MOST];
    const char *names[EXPECT_MOST];
    int count = yypcontext_expected_tokens(context, kinds, EXPECT_MOST);
    for (int i = 0; i < count; i++) {
        names[i] = yysymbol_name(kinds[i]);
    }
    expect_report(reader, SPAN(*yypcontext_location(context)), names,
                  count < 0 ? 0 : (size_t)count);
    return 0;
}

/* Called for a full stack alone: syntax errors go through the function above. */
static void grammar_error(const struct site *site, struct reader *reader, const char *message)
{
    (void)message;
    expect_overflow(reader, SPAN(*site));
}
