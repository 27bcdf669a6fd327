/* Conditions, and what a line may not pass over. */
static const struct fault faults_of_lines[] = {
    {"curve on the left",
     "limit nick on blade\n"
     "    fine slope up to 1 in, any depth, any length\n"
     "    otherwise scrap\n",
     "+2:10+5 wrong-form: 'slope' is a curve, and a line compares what is recorded\n"
     "  put the measure on the left and the curve on the right\n"},
    {"only curves compared",
     "reckon allowed as slope + 0.01 in\n"
     "limit nick on blade\n"
     "    fine allowed up to 1 in, any depth, any length\n"
     "    otherwise scrap\n",
     "+3:10+18 nothing-compared: 'allowed up to 1 in' compares nothing that is recorded\n"
     "  put a measure on the left\n"},
    {"level compared by size, but it has no order",
     "limit crack on hub\n"
     "    fine lie up to slanted, any length\n"
     "    otherwise scrap\n",
     "+2:10+17 wrong-form: 'lie up to slanted' cannot be asked: 'lie' has values "
     "without an order\n"
     "  write 'lie is …'\n"},
    {"yes-or-no compared with is",
     "limit leak on hub\n"
     "    fine settles up to clean, grease up to trace\n"
     "    otherwise scrap\n",
     "+2:10+19 wrong-form: 'settles up to clean' cannot be asked: 'settles' is yes or no\n"
     "  write 'settles' or 'not settles'\n"},
    {"one-of alone",
     "limit crack on hub\n"
     "    fine lie, any length\n"
     "    otherwise scrap\n",
     "+2:10+3 wrong-form: 'lie' alone says nothing: it has values without an order\n"
     "  write 'lie is …'\n"},
    {"levels alone",
     "limit leak on hub\n"
     "    fine grease, settles\n"
     "    otherwise scrap\n",
     "+2:10+6 wrong-form: 'grease' alone says nothing: it has levels\n"
     "  write 'grease up to …' or 'grease is …'\n"},
    {"measure alone",
     "limit nick on blade\n"
     "    fine depth, any length\n"
     "    otherwise scrap\n",
     "+2:10+5 wrong-form: 'depth' alone says nothing: it is a measure\n"
     "  write 'depth up to …', or 'below', 'at least', 'over'\n"},
    {"measure with is",
     "limit nick on blade\n"
     "    fine depth is trace, any length\n"
     "    otherwise scrap\n",
     "+2:10+14 wrong-form: 'depth is trace' cannot be asked: 'depth' is a measure\n"
     "  write 'depth up to …', or 'below', 'at least', 'over'\n"},
    {"figure for a level",
     "limit leak on hub\n"
     "    fine grease up to 3, settles\n"
     "    otherwise scrap\n",
     "+2:23+1 wrong-form: '3' is no level of 'grease'\n"
     "  write 'clean', 'trace' or 'thrown'\n"},
    {"below the best level",
     "limit leak on hub\n"
     "    fine grease below clean, settles\n"
     "    otherwise scrap\n",
     "+2:10+18 range: 'grease below clean' can never hold: no value of 'grease' is left\n"},
    {"over the worst level",
     "limit leak on hub\n"
     "    mend grease over thrown, settles\n"
     "    otherwise scrap\n",
     "+2:10+18 range: 'grease over thrown' can never hold: no value of 'grease' is left\n"},
    {"levels that nothing meets",
     "limit leak on hub\n"
     "    fine grease over trace and up to clean, settles\n"
     "    otherwise scrap\n",
     "+2:10+33 range: 'grease over trace and up to clean' can never hold: no value "
     "of 'grease' is left\n"},
    {"is not every value",
     "limit crack on hub\n"
     "    mend lie is not spanwise or slanted or chordwise\n"
     "    otherwise scrap\n",
     "+2:10+43 range: 'lie is not spanwise or slanted or chordwise' can never hold: "
     "no value of 'lie' is left\n"},
    {"is not above no flight",
     "limit crack on hub\n"
     "    fine lie is not chordwise, any length\n"
     "    otherwise scrap\n",
     "+2:10+20 is-not-flight: 'is not' can only ground, and this line lets fly\n"
     "  name what is fine: 'lie is …' with 'spanwise' or 'slanted'\n"},
    {"choice of two curves and measures",
     "limit pit on blade\n"
     "    fine depth up to the greater of slope and (width + taper), any width, any length\n"
     "    otherwise scrap\n",
     "+2:22+40 place-mix: 'the greater of slope and (width + taper)' chooses between "
     "figures that both change with the place\n"
     "  write a line for each, with one curve and no choice in it\n"},
    {"choice in a reckoned name",
     "reckon allowed as the greater of slope and (width + taper)\n"
     "limit pit on blade\n"
     "    fine depth up to allowed, any width, any length\n"
     "    otherwise scrap\n",
     "+3:22+7 place-mix: 'allowed' chooses between figures that both change with the place\n"
     "  write a line for each, with one curve and no choice in it\n"},
    {"choice of a curve added to a curve",
     "limit pit on blade\n"
     "    fine depth up to slope + the greater of width and taper, any width, any length\n"
     "    otherwise scrap\n",
     "+2:22+38 place-mix: 'slope + the greater of width and taper' chooses between "
     "figures that both change with the place\n"
     "  write a line for each, with one curve and no choice in it\n"},
    {"choice on the reading side",
     "reckon either as the lesser of (depth - slope) and (width - taper)\n"
     "limit pit on blade\n"
     "    mend either up to 0 in\n"
     "    otherwise scrap\n",
     "+3:10+6 place-mix: 'either' chooses between figures that both change with the place\n"
     "  write a line for each, with one curve and no choice in it\n"},
    {"silent on a measure",
     "limit nick on blade\n"
     "    fine depth up to slope\n"
     "    otherwise scrap\n",
     "+2:5+4 silent: line 'fine' neither bounds nor releases 'length'\n"
     "  29:41+6 recorded here\n"
     "  add 'length up to …' or 'any length'\n"},
    {"silent on every measure",
     "limit nick on tip\n"
     "    fine depth at least 0.1 in\n"
     "    otherwise scrap\n",
     "+2:5+4 silent: line 'fine' neither bounds nor releases 'depth'\n"
     "  29:34+5 recorded here\n"
     "  add 'depth up to …' or 'any depth'\n"
     "+2:5+4 silent: line 'fine' neither bounds nor releases 'length'\n"
     "  29:41+6 recorded here\n"
     "  add 'length up to …' or 'any length'\n"},
    {"silent where smaller is worse",
     "limit rust on blade\n"
     "    fine wall up to 0.5 in, loss up to 10 %\n"
     "    otherwise scrap\n",
     "+2:5+4 silent: line 'fine' neither bounds nor releases 'wall'\n"
     "  33:28+4 recorded here\n"
     "  add 'wall at least …' or 'any wall'\n"},
    {"silent on an observation",
     "limit crack on hub\n"
     "    fine length up to 1 in\n"
     "    otherwise scrap\n",
     "+2:5+4 silent: line 'fine' neither bounds nor releases 'lie'\n"
     "  30:42+3 recorded here\n"
     "  add 'lie is …' or 'any lie'\n"},
    {"silent on levels",
     "limit leak on hub\n"
     "    fine settles\n"
     "    otherwise scrap\n",
     "+2:5+4 silent: line 'fine' neither bounds nor releases 'grease'\n"
     "  31:26+6 recorded here\n"
     "  add 'grease up to …' or 'any grease'\n"},
    {"silent on levels by a lower bound",
     "limit leak on hub\n"
     "    fine grease at least trace, settles\n"
     "    otherwise scrap\n",
     "+2:5+4 silent: line 'fine' neither bounds nor releases 'grease'\n"
     "  31:26+6 recorded here\n"
     "  add 'grease up to …' or 'any grease'\n"},
    {"silent on a yes-or-no",
     "limit leak on hub\n"
     "    fine grease up to trace\n"
     "    otherwise scrap\n",
     "+2:5+4 silent: line 'fine' neither bounds nor releases 'settles'\n"
     "  31:34+7 recorded here\n"
     "  add 'settles', 'not settles' or 'any settles'\n"},
    {"bounded only by the lesser",
     "reckon shortest as the lesser of length and width\n"
     "limit pit on blade\n"
     "    fine any depth, shortest up to 1 in\n"
     "    otherwise scrap\n",
     "+3:5+4 silent: line 'fine' neither bounds nor releases 'width'\n"
     "  32:34+5 recorded here\n"
     "  add 'width up to …' or 'any width'\n"
     "+3:5+4 silent: line 'fine' neither bounds nor releases 'length'\n"
     "  32:41+6 recorded here\n"
     "  add 'length up to …' or 'any length'\n"},
    {"bounded only by a difference",
     "reckon extra as length - width\n"
     "limit pit on blade\n"
     "    fine any depth, extra up to 1 in, any width\n"
     "    otherwise scrap\n",
     "+3:5+4 silent: line 'fine' neither bounds nor releases 'length'\n"
     "  32:41+6 recorded here\n"
     "  add 'length up to …' or 'any length'\n"},
    {"bounded only by itself",
     "limit nick on blade\n"
     "    fine depth up to depth, any length\n"
     "    otherwise scrap\n",
     "+2:5+4 silent: line 'fine' neither bounds nor releases 'depth'\n"
     "  29:34+5 recorded here\n"
     "  add 'depth up to …' or 'any depth'\n"},
    {"bounded by nothing times it",
     "reckon none as length * 0\n"
     "limit nick on blade\n"
     "    fine any depth, none up to 1 in\n"
     "    otherwise scrap\n",
     "+3:5+4 silent: line 'fine' neither bounds nor releases 'length'\n"
     "  29:41+6 recorded here\n"
     "  add 'length up to …' or 'any length'\n"},
    {"silent on what one kind records",
     "kind scar on blade records width\n"
     "limit nick, scar on tip\n"
     "    fine any depth, any length\n"
     "    otherwise scrap\n",
     "+3:5+4 silent: line 'fine' neither bounds nor releases 'width'\n"
     "  +1:28+5 recorded here\n"
     "  add 'width up to …' or 'any width'\n"
     "+4:5+15 unreached: line is never reached\n"
     "  +3:5+26 this line takes all that is left\n"},
};
