/* What is declared, named or said twice. */
static const struct fault faults_of_repeats[] = {
    {"part twice",
     "part hub\n"
     "    place nose\n",
     "+1:6+3 duplicate-name: part 'hub' is declared twice\n"
     "  15:6+3 declared here\n"},
    {"axis twice in a part",
     "part cuff\n"
     "    axis span 0 in .. 1 in\n"
     "    axis span 0 in .. 2 in\n",
     "+3:10+4 duplicate-name: axis 'span' is declared twice\n"
     "  +2:10+4 declared here\n"},
    {"axes of one name and two dimensions",
     "part cuff\n"
     "    axis chord 0 in .. 1 in\n",
     "+2:10+5 dimension: axis 'chord' is a length here and a ratio on part 'blade'\n"
     "  13:10+5 declared here\n"},
    {"measure named like an axis", "measure chord 0 in .. 1 in\n",
     "+1:9+5 duplicate-name: 'chord' is already an axis\n"
     "  13:10+5 declared here\n"
     "  give the measure another name\n"},
    {"zone named like a part", "zone hub on blade station 10 in .. 20 in\n",
     "+1:6+3 duplicate-name: 'hub' is already a part\n"
     "  15:6+3 declared here\n"
     "  give the zone another name\n"},
    {"kind twice",
     "kind nick on hub\n"
     "limit nick on hub no published limit\n",
     "+1:6+4 duplicate-name: kind 'nick' is declared twice\n"
     "  29:6+4 declared here\n"},
    {"kind twice in one line",
     "kind burn, burn on hub\n"
     "limit burn on hub no published limit\n",
     "+1:12+4 duplicate-name: kind 'burn' is declared twice\n"
     "  +1:6+4 declared here\n"},
    {"check named like a kind",
     "check crack on blade records holes\n"
     "    otherwise scrap\n",
     "+1:7+5 duplicate-name: 'crack' is already a kind\n"
     "  30:6+5 declared here\n"
     "  give the check another name\n"},
    {"outcome named like a measure", "measure scrap 0 in .. 1 in\n",
     "+1:9+5 duplicate-name: 'scrap' is already an outcome\n"
     "  10:5+5 declared here\n"
     "  give the measure another name\n"},
    {"side named like a measure",
     "part cuff\n"
     "    axis span 0 in .. 1 in\n"
     "    side depth, other\n",
     "+3:10+5 duplicate-name: 'depth' is already a measure\n"
     "  19:9+5 declared here\n"
     "  give the side another name\n"},
    {"side twice",
     "part cuff\n"
     "    axis span 0 in .. 1 in\n"
     "    side upper, upper\n",
     "+3:17+5 duplicate-name: side 'upper' is named twice\n"
     "  +3:10+5 first here\n"},
    {"place that is a side",
     "part cuff\n"
     "    side upper, lower\n"
     "    place upper, left\n",
     "+3:11+5 duplicate-name: place 'upper' is a side of the same part\n"
     "  +2:10+5 declared here\n"},
    {"place twice",
     "part cuff\n"
     "    place nose, nose\n",
     "+2:17+4 duplicate-name: place 'nose' is named twice\n"
     "  +2:11+4 first here\n"},
    {"value named like a curve", "observe trend one of slope, flat\n",
     "+1:22+5 duplicate-name: 'slope' is already a curve\n"
     "  34:7+5 declared here\n"
     "  give this value of 'trend' another name\n"},
    {"value twice", "observe trend one of rising, flat, rising\n",
     "+1:36+6 duplicate-name: value 'rising' is named twice\n"
     "  +1:22+6 first here\n"},
    {"record twice",
     "kind burn on hub records depth, depth\n"
     "limit burn on hub no published limit\n",
     "+1:33+5 duplicate-name: 'depth' is recorded twice\n"
     "  +1:26+5 first here\n"},
    {"part of a kind twice",
     "kind burn on hub, hub\n"
     "limit burn on hub no published limit\n",
     "+1:19+3 duplicate-name: part 'hub' is named twice\n"
     "  +1:14+3 first here\n"},
    {"kind twice in a limit",
     "limit nick, nick on blade\n"
     "    otherwise scrap\n",
     "+1:13+4 duplicate-name: kind 'nick' is named twice\n"
     "  +1:7+4 first here\n"},
    {"zone twice in a limit",
     "limit nick on tip, tip\n"
     "    otherwise scrap\n",
     "+1:20+3 duplicate-name: zone 'tip' is named twice\n"
     "  +1:15+3 first here\n"},
    {"axis twice in a zone", "zone root on blade station 10 in .. 20 in station 30 in .. 40 in\n",
     "+1:43+7 duplicate-name: axis 'station' is named twice in zone 'root'\n"
     "  +1:20+7 first here\n"},
    {"side twice in a zone", "zone root on blade face face\n",
     "+1:25+4 duplicate-name: side 'face' is named twice in zone 'root'\n"},
    {"zone twice after outside", "zone root on blade outside tip, tip\n",
     "+1:33+3 duplicate-name: zone 'tip' is named twice\n"
     "  +1:28+3 first here\n"},
    {"search twice",
     "search hub \"look\"\n"
     "search hub \"look again\"\n",
     "+2:8+3 duplicate-name: search of 'hub' is declared twice\n"
     "  +1:8+3 declared here\n"},
    {"value twice in a condition",
     "limit crack on hub\n"
     "    fine lie is spanwise or spanwise, any length\n"
     "    otherwise scrap\n",
     "+2:29+8 duplicate-name: value 'spanwise' is named twice\n"},
    {"outcome twice in an example",
     "example \"e\"\n"
     "    blade 1 nick at station 36 in face, depth 0 in, length 0 in\n"
     "    gives fine or fine\n",
     "+3:19+4 duplicate-name: outcome 'fine' is named twice\n"},
    {"meeting twice",
     "part cuff\n"
     "    axis span 0 in .. 1 in\n"
     "    side upper, lower meet at span 0 in, span 0 mm\n",
     "+3:47+4 duplicate-name: sides meet at '0 mm' twice\n"},
    {"release twice",
     "limit nick on blade\n"
     "    fine depth up to slope, any length, any length\n"
     "    otherwise scrap\n",
     "+2:41+10 duplicate-name: 'any length' is said twice\n"},
    {"released and bounded",
     "limit nick on blade\n"
     "    fine depth up to slope, any length, length up to 2 in\n"
     "    otherwise scrap\n",
     "+2:29+10 released-and-bounded: 'any length' releases what the same line bounds\n"},
    {"do twice",
     "limit nick on blade\n"
     "    otherwise scrap do \"this\" do \"that\"\n",
     "+2:31+9 duplicate-tail: 'do' is said twice\n"
     "  +2:21+9 first here\n"},
    {"two deadlines of one sort",
     "limit nick on blade\n"
     "    otherwise scrap within 10 h within 90 min\n",
     "+2:33+13 duplicate-tail: 'within' is said twice\n"
     "  +2:21+11 first here\n"},
};
