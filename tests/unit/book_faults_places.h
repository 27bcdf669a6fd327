/* Parts, zones, kinds and curves. */
static const struct fault faults_of_places[] = {
    {"axes and places",
     "part cuff\n"
     "    axis span 0 in .. 1 in\n"
     "    place nose, tail\n",
     "+3:11+4 part: part 'cuff' has both axes and places: it takes one or the other\n"
     "  +2:10+4 its axis is here\n"},
    {"meeting outside its axis",
     "part cuff\n"
     "    axis span 0 in .. 1 in\n"
     "    side upper, lower meet at span 2 in\n",
     "+3:36+4 outside-part: '2 in' is outside axis 'span'\n"
     "  +2:10+4 declared here\n"},
    {"zone below its part", "zone root on blade station 5 in .. 20 in\n",
     "+1:28+4 outside-part: '5 in' is outside part 'blade': its station runs from 10 "
     "in to 50 in\n"
     "  12:10+7 declared here\n"},
    {"zone above its part", "zone root on blade station 20 in .. 60 in\n",
     "+1:37+5 outside-part: '60 in' is outside part 'blade': its station runs from "
     "10 in to 50 in\n"
     "  12:10+7 declared here\n"},
    {"reversed zone", "zone root on blade station 20 in .. 10 in\n",
     "+1:28+14 range: range 'station 20 in .. 10 in' is reversed\n"
     "  write the smaller figure first\n"},
    {"empty zone", "zone root on blade station over 20 in .. 20 in\n",
     "+1:33+14 range: range 'station over 20 in .. 20 in' is empty\n"
     "  an open end leaves nothing of it: write a wider range\n"},
    {"zone of another dimension", "zone root on blade station 10 % .. 20 %\n",
     "+1:28+4 dimension: '10 %' is a ratio, but axis 'station' is a length\n"
     "  write a figure in 'in' or a unit like it\n"
     "+1:36+4 dimension: '20 %' is a ratio, but axis 'station' is a length\n"
     "  write a figure in 'in' or a unit like it\n"},
    {"zone without a unit", "zone root on blade station 10 .. 20\n",
     "+1:28+2 unit-missing: figure '10' has no unit: axis 'station' is a length\n"
     "  write its unit, as in '10 in'\n"
     "+1:34+2 unit-missing: figure '20' has no unit: axis 'station' is a length\n"
     "  write its unit, as in '20 in'\n"},
    {"zone on a part without axes", "zone root on hub station 10 in .. 20 in\n",
     "+1:18+7 unknown-name: unknown axis 'station' of part 'hub'\n"},
    {"outside a zone of another part",
     "zone bore-zone on hub bore\n"
     "zone root on blade outside bore-zone\n",
     "+2:28+9 outside-part: zone 'bore-zone' is on part 'hub', not on 'blade'\n"
     "  +1:6+9 declared here\n"},
    {"outside itself", "zone root on blade outside root\n",
     "+1:28+4 circular-zone: zone 'root' is outside itself\n"
     "  +1:6+4 declared here\n"},
    {"outside in a circle",
     "zone fifth on blade outside second\n"
     "zone second on blade outside third\n"
     "zone third on blade outside fifth\n",
     "+3:29+5 circular-zone: zone 'fifth' leads back to itself by 'outside'\n"
     "  +1:6+5 declared here\n"},
    {"along an axis that the kind has not",
     "kind burn on hub records length along station\n"
     "limit burn on hub no published limit\n",
     "+1:39+7 along: no part of 'burn' has an axis 'station'\n"
     "  12:10+7 declared here\n"},
    {"along an axis of another dimension",
     "kind burn on blade records area along station\n"
     "limit burn on blade no published limit\n",
     "+1:28+4 dimension: 'area' is not what runs along 'station': one is an area, "
     "the other a length\n"},
    {"observation along an axis",
     "kind burn on blade records lie along station\n"
     "limit burn on blade no published limit\n",
     "+1:28+3 along: observation 'lie' cannot run along 'station'\n"},
    {"two measures along one axis",
     "kind burn on blade records length along station, width along station\n"
     "limit burn on blade no published limit\n",
     "+1:62+7 along: two measures run along 'station'\n"
     "  +1:28+6 the first is here\n"},
    {"along in a check",
     "check twist on blade records length along station\n"
     "    otherwise scrap\n",
     "+1:43+7 along: check 'twist' has no place, so nothing runs along 'station'\n"},
    {"check that records nothing",
     "check twist on blade\n"
     "    otherwise scrap\n",
     "+1:7+5 too-few: check 'twist' records nothing, so it has no answer\n"
     "  write 'records' and what to answer\n"},
    {"kind that is not on the part",
     "limit leak on blade\n"
     "    otherwise scrap\n",
     "+1:15+5 not-on-part: kind 'leak' is not on part 'blade'\n"
     "  31:6+4 declared here\n"
     "  it is on 'hub'\n"},
    {"not recorded",
     "limit nick on blade\n"
     "    fine width up to 1 in, any depth, any length\n"
     "    otherwise scrap\n",
     "+2:10+5 not-recorded: kind 'nick' does not record 'width'\n"
     "  29:6+4 declared here\n"
     "  it records 'depth' and 'length'\n"},
    {"not recorded, by a reckoned name",
     "limit nick on blade\n"
     "    fine longest up to 1 in, any depth, any length\n"
     "    otherwise scrap\n",
     "+2:10+7 not-recorded: kind 'nick' does not record 'width'\n"
     "  29:6+4 declared here\n"
     "  it records 'depth' and 'length'\n"},
    {"not recorded by one of the kinds",
     "limit nick, crack on tip\n"
     "    mend depth up to 1 in\n"
     "    otherwise scrap\n",
     "+2:10+5 not-recorded: kind 'crack' does not record 'depth'\n"
     "  30:6+5 declared here\n"
     "  it records 'length' and 'lie'\n"},
    {"observation not recorded",
     "limit nick on blade\n"
     "    fine lie is spanwise, any depth, any length\n"
     "    otherwise scrap\n",
     "+2:10+3 not-recorded: kind 'nick' does not record 'lie'\n"
     "  29:6+4 declared here\n"
     "  it records 'depth' and 'length'\n"},
    {"release not recorded",
     "limit nick on blade\n"
     "    fine depth up to slope, any length, any lie\n"
     "    otherwise scrap\n",
     "+2:45+3 not-recorded: kind 'nick' does not record 'lie'\n"
     "  29:6+4 declared here\n"
     "  it records 'depth' and 'length'\n"},
    {"measure of a check not recorded",
     "check twist on blade records holes\n"
     "    fine depth up to 1 in, any holes\n"
     "    otherwise scrap\n",
     "+2:10+5 not-recorded: check 'twist' does not record 'depth'\n"
     "  +1:7+5 declared here\n"
     "  it records 'holes'\n"},
    {"observation with one value", "observe trend one of rising\n",
     "+1:9+5 too-few: observation 'trend' has only one value\n"
     "  name at least two, or write 'yes or no'\n"},
    {"curve with one point",
     "curve few along station\n"
     "    10 in 0.1 in\n",
     "+1:7+3 too-few: curve 'few' has only one point\n"
     "  write at least two, one a line: 14 in  0.010 in\n"},
    {"curve without points", "curve few along station\n",
     "+1:7+3 too-few: curve 'few' has no points\n"
     "  write at least two, one a line: 14 in  0.010 in\n"},
    {"curve out of order",
     "curve few along station\n"
     "    10 in 0.1 in\n"
     "    30 in 0.1 in\n"
     "    20 in 0.1 in\n",
     "+4:5+5 curve-order: station '20 in' is out of order in a curve\n"
     "  +3:5+5 the point before it\n"
     "  write the points in rising order, each once\n"},
    {"curve with a station twice",
     "curve few along station\n"
     "    10 in 0.1 in\n"
     "    10 in 0.2 in\n",
     "+3:5+5 curve-order: station '10 in' stands twice in a curve\n"
     "  +2:5+5 the point before it\n"
     "  write the points in rising order, each once\n"},
    {"curve station of another dimension",
     "curve few along station\n"
     "    10 % 0.1 in\n"
     "    20 in 0.1 in\n",
     "+2:5+4 dimension: '10 %' is a ratio, but axis 'station' is a length\n"
     "  write a figure in 'in' or a unit like it\n"},
    {"curve values of two dimensions",
     "curve few along station\n"
     "    10 in 0.1 in\n"
     "    20 in 0.1 in2\n",
     "+3:11+7 dimension: '0.1 in2' is an area, but curve 'few' is a length\n"
     "  write a figure in 'in' or a unit like it\n"},
    {"curve value without a unit",
     "curve few along station\n"
     "    10 in 0.1\n"
     "    20 in 0.1 in\n",
     "+2:11+3 unit-missing: figure '0.1' has no unit: curve 'few' is a length\n"
     "  write its unit, as in '0.1 in'\n"},
    {"curve with an action",
     "curve few along station do \"this\"\n"
     "    10 in 0.1 in\n"
     "    20 in 0.1 in\n",
     "+1:25+9 tail: a curve takes no 'do'\n"},
    {"curve too short at both ends",
     "limit nick on blade\n"
     "    fine depth up to short, any length\n"
     "    otherwise scrap\n",
     "+2:22+5 curve-cover: curve 'short' does not cover part 'blade': it says "
     "nothing for station 10 in .. 20 in and 40 in .. 50 in\n"
     "  37:7+5 declared here\n"
     "  add the published points, or use the curve in a smaller zone\n"},
    {"curve too short at one end",
     "limit nick on tip\n"
     "    fine depth up to short, any length\n"
     "    otherwise scrap\n",
     "+2:22+5 curve-cover: curve 'short' does not cover zone 'tip': it says nothing "
     "for station 40 in .. 50 in\n"
     "  37:7+5 declared here\n"
     "  add the published points, or use the curve in a smaller zone\n"},
    {"curve nowhere near its zone",
     "zone root on blade station 10 in .. 15 in\n"
     "limit nick on root\n"
     "    fine depth up to short, any length\n"
     "    otherwise scrap\n",
     "+3:22+5 curve-cover: curve 'short' does not cover zone 'root': it says nothing "
     "for station 10 in .. 15 in\n"
     "  37:7+5 declared here\n"
     "  add the published points, or use the curve in a smaller zone\n"},
    {"curve on a part without its axis",
     "kind burn on hub records depth\n"
     "limit burn on hub\n"
     "    fine depth up to slope\n"
     "    otherwise scrap\n",
     "+3:22+5 curve-cover: curve 'slope' runs along 'station', and part 'hub' has no "
     "such axis\n"
     "  34:7+5 declared here\n"},
    {"curve in a check",
     "check twist on blade records depth\n"
     "    fine depth up to slope\n"
     "    otherwise scrap\n",
     "+2:22+5 curve-cover: a check has no place, so curve 'slope' has no value in it\n"
     "  34:7+5 declared here\n"},
    {"curve through a reckoned name",
     "reckon allowed as short + 0.01 in\n"
     "limit nick on tip\n"
     "    fine depth up to allowed, any length\n"
     "    otherwise scrap\n",
     "+3:22+7 curve-cover: curve 'short' does not cover zone 'tip': it says nothing "
     "for station 40 in .. 50 in\n"
     "  37:7+5 declared here\n"
     "  add the published points, or use the curve in a smaller zone\n"},
};
