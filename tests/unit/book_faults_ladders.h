/* Ladders, tails, examples and warnings; and what looks odd but is fine. */
static const struct fault faults_of_ladders[] = {
    {"otherwise that flies",
     "limit nick on blade\n"
     "    otherwise watch\n",
     "+2:15+5 otherwise-flight: 'otherwise' can only ground, and 'watch' lets fly\n"
     "  7:5+5 it stands above 'no flight' here\n"
     "  bound what is fine in a line of its own, and write an outcome below 'no "
     "flight' or 'no published limit' here\n"},
    {"outcome that climbs",
     "limit nick on blade\n"
     "    mend depth up to 0.5 in\n"
     "    watch depth up to 0.7 in, any length\n"
     "    otherwise scrap\n",
     "+3:5+5 climbs: outcome 'watch' climbs back up the scale\n"
     "  +2:5+4 the line before it is worse\n"
     "  write the lines from the best outcome to the worst\n"},
    {"line after otherwise",
     "limit nick on blade\n"
     "    otherwise mend\n"
     "    scrap any depth\n",
     "+3:5+15 unreached: line is never reached\n"
     "  +2:5+14 this line takes all that is left\n"},
    {"line after one that takes all",
     "limit nick on blade\n"
     "    watch at any size\n"
     "    mend any depth\n"
     "    otherwise scrap\n",
     "+3:5+14 unreached: line is never reached\n"
     "  +2:5+17 this line takes all that is left\n"},
    {"limit without lines", "limit nick on blade\n",
     "+1:1+19 too-few: limit has no lines\n"
     "  write its lines, or 'no published limit' at the end of its head\n"},
    {"check without lines", "check twist on blade records holes\n",
     "+1:1+34 too-few: check has no lines\n"
     "  write its lines, the last one 'otherwise …'\n"},
    {"gap with lines",
     "limit nick on blade no published limit\n"
     "    otherwise scrap\n",
     "+2:5+15 gap-with-lines: line in a limit that is declared a gap\n"
     "  +1:1+38 declared here\n"},
    {"deadline that is a length",
     "limit nick on blade\n"
     "    otherwise scrap within 10 in\n",
     "+2:28+5 deadline: deadline '10 in' is a length\n"
     "  write a time in h or min (in service), in days or in cycles\n"},
    {"deadline without a unit",
     "limit nick on blade\n"
     "    otherwise scrap again within 10\n",
     "+2:34+2 deadline: deadline '10' has no unit\n"
     "  write a time in h or min (in service), in days or in cycles\n"},
    {"deadline of zero",
     "limit nick on blade\n"
     "    otherwise scrap within 0 h\n",
     "+2:28+3 deadline: deadline '0 h' is zero\n"
     "  write a time in h or min (in service), in days or in cycles\n"},
    {"action on the head of a limit",
     "limit nick on blade do \"this\"\n"
     "    otherwise scrap\n",
     "+1:21+9 tail: the head of a limit takes no 'do'\n"},
    {"action of an example",
     "example \"e\" do \"this\"\n"
     "    blade 1 nick at station 36 in face, depth 0 in, length 0 in\n"
     "    gives fine\n",
     "+1:13+9 tail: the head of an example takes no 'do'\n"},
    {"example that gives nothing",
     "example \"e\"\n"
     "    blade 1 nick at station 36 in face, depth 0 in, length 0 in\n",
     "+1:9+3 example: example has no 'gives' line\n"
     "  write 'gives' and the outcome below its finding\n"},
    {"example without a finding",
     "example \"e\"\n"
     "    gives fine\n",
     "+2:5+10 no-finding: no finding before this 'gives'\n"
     "  write the finding on a line of its own before it\n"},
    {"deadline of an example",
     "example \"e\"\n"
     "    blade 1 nick at station 36 in face, depth 0 in, length 0 in\n"
     "    gives fine within 3 in\n",
     "+3:23+4 deadline: deadline '3 in' is a length\n"
     "  write a time in h or min (in service), in days or in cycles\n"},
    {"meeting of another dimension",
     "part cuff\n"
     "    axis span 0 in .. 1 in\n"
     "    side upper, lower meet at span 5 %\n",
     "+3:36+3 dimension: '5 %' is a ratio, but axis 'span' is a length\n"
     "  write a figure in 'in' or a unit like it\n"},
    {"use of a name lost to an error of syntax",
     "measure hight 0 in .. in\n"
     "kind burn on blade records hight\n"
     "limit burn on blade\n"
     "    fine hight up to 1 in\n",
     "+1:23+2 syntax: found 'in', expected a figure\n"},
    {"sides and a measure of one name by a value", "observe trend one of lie, flat\n",
     "+1:22+3 duplicate-name: 'lie' is already an observation\n"
     "  26:9+3 declared here\n"
     "  give this value of 'trend' another name\n"},
    {"place named like an axis",
     "part cuff\n"
     "    place chord, nose\n",
     "+2:11+5 duplicate-name: 'chord' is already an axis\n"
     "  13:10+5 declared here\n"
     "  give the place another name\n"},
    {"divided by a figure with a unit", "reckon half as length / 2 in\n",
     "+1:27+2 syntax: found 'in', expected a sign of reckoning or the end of the line\n"},
    {"deadlines of two times are fine",
     "limit nick on blade\n"
     "    otherwise scrap within 10 h within 3 days again within 5 cycles again within 6 h\n",
     ""},
    {"climbs after the same outcome twice",
     "limit nick on blade\n"
     "    mend depth up to 0.5 in\n"
     "    mend length up to 0.7 in\n"
     "    fine any depth, length up to 1 in\n"
     "    otherwise scrap\n",
     "+4:5+4 climbs: outcome 'fine' climbs back up the scale\n"
     "  +3:5+4 the line before it is worse\n"
     "  write the lines from the best outcome to the worst\n"},
    {"kinds that may not be at a zone",
     "zone hole on hub bore\n"
     "limit crack, nick on hole\n"
     "    otherwise scrap\n",
     "+2:22+4 not-on-part: kind 'nick' is not on part 'hub'\n"
     "  29:6+4 declared here\n"
     "  it is on 'blade'\n"},
    {"released by a reckoned name",
     "limit nick on blade\n"
     "    fine any longest, any depth\n"
     "    otherwise scrap\n",
     "+2:14+7 wrong-name: 'longest' is a reckoned name, not a measure or observation\n"
     "  43:8+7 declared here\n"},
    {"an outcome of inspections alone",
     "example \"e\"\n"
     "    blade 1 nick at station 36 in face, depth 0 in, length 0 in\n"
     "    gives incomplete\n",
     "+3:11+10 example: no finding gives 'incomplete'\n"
     "  it is said of inspections alone\n"},
    {"propeller with readings",
     "example \"e\"\n"
     "    blade 1 nick at station 36 in face, depth 0 in, length 0 in\n"
     "    gives propeller fine with depth 0.1 in\n",
     "+3:31+12 example: 'gives propeller' takes no 'with'\n"
     "  write the readings in the finding lines above it\n"},
    {"otherwise no published limit is fine",
     "limit nick on blade\n"
     "    otherwise no published limit\n",
     ""},
    {"bounded by a sum is fine",
     "reckon sum as length + width\n"
     "limit pit on blade\n"
     "    fine depth up to slope, sum up to 2 in\n"
     "    otherwise scrap\n",
     ""},
    {"bounds that rest on each other bound nothing",
     "limit pit on blade\n"
     "    fine depth up to slope, length up to width, width up to 2 * length\n"
     "    otherwise scrap\n",
     "+2:5+4 silent: line 'fine' bounds 'width' only by what rests on it in turn\n"
     "  32:34+5 recorded here\n"
     "  bound 'width' by a figure, or write 'any width'\n"
     "+2:5+4 silent: line 'fine' bounds 'length' only by what rests on it in turn\n"
     "  32:41+6 recorded here\n"
     "  bound 'length' by a figure, or write 'any length'\n"},
    {"a bound may rest on what is held in another way, or released",
     "limit pit on blade\n"
     "    fine depth up to slope, length up to width, width up to 2 * length, width up to 1 in\n"
     "    watch depth up to slope, length up to width, any width\n"
     "    otherwise scrap\n",
     ""},
    {"a product whose other factor may be zero bounds nothing",
     "reckon size-of as length * width\n"
     "limit pit on blade\n"
     "    fine depth up to slope, size-of up to 2 in2\n"
     "    otherwise scrap\n",
     "+3:5+4 silent: line 'fine' neither bounds nor releases 'width'\n"
     "  32:34+5 recorded here\n"
     "  add 'width up to …' or 'any width'\n"
     "+3:5+4 silent: line 'fine' neither bounds nor releases 'length'\n"
     "  32:41+6 recorded here\n"
     "  add 'length up to …' or 'any length'\n"},
    {"a product whose other factor is over zero bounds",
     "reckon size-of as length * (width + 1 in)\n"
     "limit pit on blade\n"
     "    fine depth up to slope, size-of up to 2 in2, any width\n"
     "    otherwise scrap\n",
     ""},
    {"bounded by the greater is fine",
     "limit pit on blade\n"
     "    fine depth up to slope, longest up to 2 in\n"
     "    otherwise scrap\n",
     ""},
    {"a scaled ratio is fine",
     "reckon tenth as 10 % of length\n"
     "limit pit on blade\n"
     "    fine depth up to tenth, length up to 2 in, width up to 50 % * length\n"
     "    otherwise scrap\n",
     ""},
    {"at any size is fine",
     "limit crack on hub\n"
     "    fine at any size\n",
     ""},
    {"not is fine above no flight",
     "limit leak on hub\n"
     "    fine not settles, grease is clean or trace\n"
     "    otherwise scrap\n",
     ""},
    {"is not is fine below no flight",
     "limit crack on hub\n"
     "    mend lie is not chordwise\n"
     "    otherwise scrap\n",
     ""},
    {"a choice with one curve is fine",
     "limit pit on blade\n"
     "    fine depth up to the greater of slope and width, any width, any length\n"
     "    otherwise scrap\n",
     ""},
    {"a choice of curves on one axis is fine",
     "limit nick on tip\n"
     "    fine depth up to the greater of slope and (10 % of slope + 0.1 in), any length\n"
     "    otherwise scrap\n",
     ""},
    {"the lesser of two curves is fine",
     "limit nick on blade\n"
     "    fine depth up to the lesser of slope and taper, any length\n"
     "    otherwise scrap\n",
     ""},
    {"the same zone twice in two limits is fine",
     "limit nick on tip\n"
     "    otherwise scrap\n"
     "limit nick on tip\n"
     "    otherwise scrap\n",
     ""},
    {"a value named like a kind is fine", "observe cause one of nick, crack\n", ""},
    {"a zone named like its place is fine", "zone rim on hub rim\n", ""},
    {"a reading over the range by a limit that is",
     "limit nick on tip\n"
     "    fine depth up to 0.1 in, length up to 30 m\n"
     "    otherwise scrap\n",
     "+2:43+4 warning beyond-range: '30 m' is beyond the range of 'length', so this "
     "always holds\n"
     "  20:9+6 declared here\n"
     "  its range is 0 in .. 40 in\n"},
    {"no otherwise, one line",
     "limit nick on tip\n"
     "    fine depth up to slope, length below 2 in\n",
     "+1:1+17 warning no-otherwise: ladder without 'otherwise' says nothing of nick "
     "with depth over slope, or length at least 2 in\n"
     "  that is 'no published limit' now: write a last line 'otherwise …'\n"},
    {"no otherwise, stricter lines left out",
     "limit nick on tip\n"
     "    fine depth up to 0.1 in, length up to 1 in\n"
     "    watch depth up to 0.2 in, length up to 1 in\n",
     "+1:1+17 warning no-otherwise: ladder without 'otherwise' says nothing of nick "
     "with depth over 0.2 in, or length over 1 in\n"
     "  that is 'no published limit' now: write a last line 'otherwise …'\n"},
    {"no otherwise, lines that cross",
     "limit rust on tip\n"
     "    fine loss below 20 %, wall at least 0.1 in\n"
     "    mend loss over 20 % and below 50 %\n",
     "+1:1+17 warning no-otherwise: ladder without 'otherwise' says nothing of rust "
     "with loss at least 20 %, or wall below 0.1 in; and loss up to 20 %, or loss at "
     "least 50 %\n"
     "  that is 'no published limit' now: write a last line 'otherwise …'\n"},
    {"no otherwise, observations",
     "limit leak on hub\n"
     "    fine grease up to trace, settles\n",
     "+1:1+17 warning no-otherwise: ladder without 'otherwise' says nothing of leak "
     "with grease thrown, or not settles\n"
     "  that is 'no published limit' now: write a last line 'otherwise …'\n"},
    {"no otherwise, values",
     "limit crack, pit on tip\n"
     "    mend length over 2 in\n",
     "+1:1+23 warning no-otherwise: ladder without 'otherwise' says nothing of crack "
     "or pit with length up to 2 in\n"
     "  that is 'no published limit' now: write a last line 'otherwise …'\n"},
    {"no otherwise in a check",
     "check twist on blade records lie\n"
     "    fine lie is slanted\n",
     "+1:1+32 warning no-otherwise: ladder without 'otherwise' says nothing of check "
     "twist with lie spanwise or chordwise\n"
     "  that is 'no published limit' now: write a last line 'otherwise …'\n"},
    {"kind without a limit",
     "kind burn on blade, hub\n"
     "limit burn on tip\n"
     "    otherwise scrap\n",
     "+1:6+4 warning no-limit: kind 'burn' has no limit on part 'hub': there it is "
     "always 'no published limit'\n"
     "  where that is meant, write 'limit burn on hub no published limit'\n"},
    {"several at once, in the order of the text",
     "zone root on blad station 10 in .. 20 in\n"
     "limit nikc on tip\n"
     "    fine depth up to 1 deg\n"
     "    otherwise fine\n"
     "measure hight 1 in .. 0 in\n",
     "+1:14+4 unknown-name: unknown part 'blad'\n"
     "  did you mean 'blade'?\n"
     "+2:7+4 unknown-name: unknown kind 'nikc'\n"
     "  did you mean 'nick'?\n"
     "+3:22+5 dimension: '1 deg' is an angle, but 'depth' is a length\n"
     "  19:9+5 declared here\n"
     "+4:15+4 otherwise-flight: 'otherwise' can only ground, and 'fine' lets fly\n"
     "  6:5+4 it stands above 'no flight' here\n"
     "  bound what is fine in a line of its own, and write an outcome below 'no "
     "flight' or 'no published limit' here\n"
     "+5:15+12 range: range '1 in .. 0 in' is reversed\n"
     "  write the smaller figure first\n"},
    {"what rests on a fault stays quiet",
     "measure hight 1 in .. 0 in\n"
     "kind burn on blade records hight\n"
     "limit burn on blade\n"
     "    fine hight up to 3 deg\n"
     "    otherwise scrap\n",
     "+1:15+12 range: range '1 in .. 0 in' is reversed\n"
     "  write the smaller figure first\n"},
};
