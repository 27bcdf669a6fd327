/* Names that are unknown, or that stand where another sort is wanted. */
static const struct fault faults_of_names[] = {
    {"unknown kind",
     "limit nikc on blade\n"
     "    otherwise scrap\n",
     "+1:7+4 unknown-name: unknown kind 'nikc'\n"
     "  did you mean 'nick'?\n"},
    {"unknown zone",
     "limit nick on tpi\n"
     "    otherwise scrap\n",
     "+1:15+3 unknown-name: unknown zone or part 'tpi'\n"
     "  did you mean 'tip'?\n"},
    {"unknown outcome",
     "limit nick on blade\n"
     "    fien depth up to slope, any length\n"
     "    otherwise scrap\n",
     "+2:5+4 unknown-name: unknown outcome 'fien'\n"
     "  did you mean 'fine'?\n"},
    {"unknown outcome after otherwise",
     "limit nick on blade\n"
     "    otherwise scrp\n",
     "+2:15+4 unknown-name: unknown outcome 'scrp'\n"
     "  did you mean 'scrap'?\n"},
    {"another word for otherwise",
     "limit nick on blade\n"
     "    fine depth up to slope, any length\n"
     "    else scrap\n",
     "+3:5+4 unknown-name: unknown outcome 'else'\n"
     "  a line for all else begins with 'otherwise'\n"},
    {"unknown name in a condition",
     "limit nick on blade\n"
     "    fine dept up to 0.1 in, any length\n"
     "    otherwise scrap\n",
     "+2:10+4 unknown-name: unknown measure, observation or reckoned name 'dept'\n"
     "  did you mean 'depth'?\n"},
    {"unknown name in an expression",
     "limit nick on blade\n"
     "    fine depth up to slop, any length\n"
     "    otherwise scrap\n",
     "+2:22+4 unknown-name: unknown measure, curve or reckoned name 'slop'\n"
     "  did you mean 'slope'?\n"},
    {"unknown part of a kind", "kind burn on blad records depth\n",
     "+1:14+4 unknown-name: unknown part 'blad'\n"
     "  did you mean 'blade'?\n"},
    {"unknown measure of a kind",
     "kind burn on blade records dpeth\n"
     "limit burn on blade no published limit\n",
     "+1:28+5 unknown-name: unknown measure or observation 'dpeth'\n"
     "  did you mean 'depth'?\n"},
    {"unknown part of a zone", "zone root on blad station 10 in .. 20 in\n",
     "+1:14+4 unknown-name: unknown part 'blad'\n"
     "  did you mean 'blade'?\n"},
    {"unknown axis of a zone", "zone root on blade statoin 10 in .. 20 in\n",
     "+1:20+7 unknown-name: unknown axis 'statoin' of part 'blade'\n"
     "  did you mean 'station'?\n"},
    {"unknown side of a zone", "zone root on blade fase\n",
     "+1:20+4 unknown-name: unknown side 'fase' of part 'blade'\n"
     "  did you mean 'face'?\n"},
    {"unknown place of a zone", "zone root on hub rym\n",
     "+1:18+3 unknown-name: unknown place 'rym' of part 'hub'\n"
     "  did you mean 'rim'?\n"},
    {"unknown zone after outside", "zone root on blade outside tup\n",
     "+1:28+3 unknown-name: unknown zone 'tup'\n"
     "  did you mean 'tip'?\n"},
    {"zone without outside", "zone root on blade tip\n",
     "+1:20+3 wrong-name: 'tip' is a zone, not a side of part 'blade'\n"
     "  to leave a zone out, write 'outside tip'\n"},
    {"unknown part of a search", "search blde \"look\"\n",
     "+1:8+4 unknown-name: unknown part 'blde'\n"
     "  did you mean 'blade'?\n"},
    {"unknown part of a check",
     "check twist on propeller-blade records holes\n"
     "    otherwise scrap\n",
     "+1:16+15 unknown-name: unknown part 'propeller-blade'\n"
     "  write 'blade' or 'hub'\n"},
    {"unknown axis of a curve",
     "curve few along span\n"
     "    1 in 2 in\n"
     "    2 in 3 in\n",
     "+1:17+4 unknown-name: unknown axis 'span'\n"
     "  write 'chord' or 'station'\n"},
    {"unknown value",
     "limit crack on hub\n"
     "    fine lie is spanwize, any length\n"
     "    otherwise scrap\n",
     "+2:17+8 unknown-name: unknown value 'spanwize' of 'lie'\n"
     "  did you mean 'spanwise'?\n"},
    {"unknown level",
     "limit leak on hub\n"
     "    fine grease up to traice, settles\n"
     "    otherwise scrap\n",
     "+2:23+6 unknown-name: unknown value 'traice' of 'grease'\n"
     "  did you mean 'trace'?\n"},
    {"unknown released name",
     "limit nick on blade\n"
     "    fine depth up to slope, any lenght\n"
     "    otherwise scrap\n",
     "+2:33+6 unknown-name: unknown measure or observation 'lenght'\n"
     "  did you mean 'length'?\n"},
    {"unknown reckoned operand", "reckon sum as length + widht\n",
     "+1:24+5 unknown-name: unknown measure, curve or reckoned name 'widht'\n"
     "  did you mean 'width'?\n"},
    {"unknown axis of a meeting",
     "part cuff\n"
     "    axis span 0 in .. 1 in\n"
     "    side upper, lower meet at spna 0 in\n",
     "+3:31+4 unknown-name: unknown axis 'spna' of part 'cuff'\n"
     "  did you mean 'span'?\n"},
    {"unknown part that each is on", "part boot, one on each blde\n",
     "+1:24+4 unknown-name: unknown part 'blde'\n"
     "  did you mean 'blade'?\n"},
    {"unknown outcome of an example",
     "example \"e\"\n"
     "    blade 1 nick at station 36 in face, depth 0 in, length 0 in\n"
     "    gives fien\n",
     "+3:11+4 unknown-name: unknown outcome 'fien'\n"
     "  did you mean 'fine'?\n"},
    {"name with no near one",
     "limit nick on blade\n"
     "    fine zzz up to 0.1 in, any length\n"
     "    otherwise scrap\n",
     "+2:10+3 unknown-name: unknown measure, observation or reckoned name 'zzz'\n"},
    {"a few known names are listed",
     "limit leak on hub\n"
     "    fine grease up to zzzzzz, settles\n"
     "    otherwise scrap\n",
     "+2:23+6 unknown-name: unknown value 'zzzzzz' of 'grease'\n"
     "  write 'clean', 'trace' or 'thrown'\n"},
    {"zone where a kind stands",
     "limit tip on blade\n"
     "    otherwise scrap\n",
     "+1:7+3 wrong-name: 'tip' is a zone, not a kind\n"
     "  17:6+3 declared here\n"},
    {"measure where a zone stands",
     "limit nick on depth\n"
     "    otherwise scrap\n",
     "+1:15+5 wrong-name: 'depth' is a measure, not a zone or part\n"
     "  19:9+5 declared here\n"},
    {"kind where an outcome stands",
     "limit nick on blade\n"
     "    crack any length, any depth\n"
     "    otherwise scrap\n",
     "+2:5+5 wrong-name: 'crack' is a kind, not an outcome\n"
     "  30:6+5 declared here\n"},
    {"zone in an expression",
     "limit nick on blade\n"
     "    fine depth up to tip, any length\n"
     "    otherwise scrap\n",
     "+2:22+3 wrong-name: 'tip' is a zone, not a measure, curve or reckoned name\n"
     "  17:6+3 declared here\n"},
    {"observation in an expression",
     "limit nick on blade\n"
     "    fine depth up to lie, any length\n"
     "    otherwise scrap\n",
     "+2:22+3 wrong-name: 'lie' is an observation, not a measure, curve or reckoned name\n"
     "  26:9+3 declared here\n"},
    {"part after outside", "zone root on blade outside hub\n",
     "+1:28+3 wrong-name: 'hub' is a part, not a zone\n"
     "  15:6+3 declared here\n"},
};
