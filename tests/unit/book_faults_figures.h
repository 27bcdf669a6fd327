/* Figures, dimensions and expressions. */
static const struct fault faults_of_figures[] = {
    {"reversed range of a measure", "measure hight 1 in .. 0 in\n",
     "+1:15+12 range: range '1 in .. 0 in' is reversed\n"
     "  write the smaller figure first\n"},
    {"empty range of a measure", "measure hight 1 in .. 1 in\n",
     "+1:15+12 range: range '1 in .. 1 in' is empty\n"
     "  write two different figures, the smaller one first\n"},
    {"range of two dimensions", "measure hight 0 in .. 1 in2\n",
     "+1:23+5 dimension: '1 in2' is an area, but measure 'hight' is a length\n"
     "  write a figure in 'in' or a unit like it\n"},
    {"range that is too big", "measure hight 0 m .. 9999999999 m\n",
     "+1:22+12 too-big: figure '9999999999 m' is too big\n"
     "  figures go up to 1000000000000 in mm, deg, kg, N, h, days or cycles\n"},
    {"reversed range of an axis",
     "part cuff\n"
     "    axis span 2 in .. 1 in\n",
     "+2:15+12 range: range '2 in .. 1 in' is reversed\n"
     "  write the smaller figure first\n"},
    {"step of another dimension", "measure hight 0 in .. 1 in read to 0.1 deg\n",
     "+1:36+7 dimension: '0.1 deg' is an angle, but measure 'hight' is a length\n"
     "  write a figure in 'in' or a unit like it\n"},
    {"step without a unit", "measure hight 0 in .. 1 in read up to 0.1\n",
     "+1:39+3 unit-missing: figure '0.1' has no unit: measure 'hight' is a length\n"
     "  write its unit, as in '0.1 in'\n"},
    {"step of zero", "measure hight 0 in .. 1 in read nearest 0 in\n",
     "+1:41+4 step: step '0 in' is zero\n"
     "  write the smallest difference that is read\n"},
    {"step of an axis of another dimension",
     "part cuff\n"
     "    axis span 0 in .. 1 in read to 1 %\n",
     "+2:36+3 dimension: '1 %' is a ratio, but axis 'span' is a length\n"
     "  write a figure in 'in' or a unit like it\n"},
    {"no part", "part cuff, 0 .. 2\n",
     "+1:12+1 range: '0' is no number of parts\n"
     "  write a whole number from 1 to 64\n"},
    {"half a part", "part cuff, 1.5\n",
     "+1:12+3 range: '1.5' is no number of parts\n"
     "  write a whole number from 1 to 64\n"},
    {"too many parts", "part cuff, 2 .. 65\n",
     "+1:17+2 range: '65' is no number of parts\n"
     "  write a whole number from 1 to 64\n"},
    {"reversed number of parts", "part cuff, 6 .. 2\n",
     "+1:12+6 range: range '6 .. 2' is reversed\n"
     "  write the smaller figure first\n"},
    {"each of an uncounted part", "part boot, one on each hub\n",
     "+1:24+3 each: part 'hub' has no number, so nothing can be on each\n"
     "  15:6+3 declared here\n"},
    {"figure without a unit",
     "limit nick on blade\n"
     "    fine depth up to 0.1, any length\n"
     "    otherwise scrap\n",
     "+2:22+3 unit-missing: figure '0.1' has no unit: 'depth' is a length\n"
     "  write its unit, as in '0.1 in'\n"},
    {"figure of another dimension",
     "limit nick on blade\n"
     "    fine depth up to 0.1 in2, any length\n"
     "    otherwise scrap\n",
     "+2:22+7 dimension: '0.1 in2' is an area, but 'depth' is a length\n"
     "  19:9+5 declared here\n"},
    {"ratio for a length",
     "limit nick on blade\n"
     "    fine depth up to 10 %, any length\n"
     "    otherwise scrap\n",
     "+2:22+4 dimension: '10 %' is a ratio, but 'depth' is a length\n"
     "  19:9+5 declared here\n"
     "  a ratio scales something: '10 % of …'\n"},
    {"ratio for a count",
     "kind burn on blade records holes\n"
     "limit burn on blade\n"
     "    fine holes up to 10 %\n"
     "    otherwise scrap\n",
     "+3:22+4 dimension: '10 %' is a ratio, but 'holes' is a count\n"
     "  24:9+5 declared here\n"
     "  a ratio scales something: '10 % of …'\n"},
    {"count for a ratio",
     "limit rust on blade\n"
     "    fine any wall, loss up to 10\n"
     "    otherwise scrap\n",
     "+2:31+2 unit-missing: figure '10' has no unit: 'loss' is a ratio\n"
     "  write its unit, as in '10 %'\n"},
    {"length for a count",
     "kind burn on blade records holes\n"
     "limit burn on blade\n"
     "    fine holes up to 10 in\n"
     "    otherwise scrap\n",
     "+3:22+5 dimension: '10 in' is a length, but 'holes' is a count\n"
     "  24:9+5 declared here\n"},
    {"a share without its %", "reckon tenth as 10 of length\n",
     "+1:17+2 not-a-ratio: '10' before 'of' is no ratio\n"
     "  write '10 % of …' for a tenth; what is multiplied is written with '*'\n"},
    {"a share that has a dimension", "reckon part-of as 0.1 in of length\n",
     "+1:19+6 not-a-ratio: '0.1 in' before 'of' is no ratio\n"
     "  write '10 % of …' for a tenth; what is multiplied is written with '*'\n"},
    {"sum of two dimensions", "reckon sum as length + area\n",
     "+1:24+4 dimension: 'area' is an area, but 'length' is a length\n"
     "  20:9+6 declared here\n"},
    {"sum with a bare figure", "reckon sum as 2 + length\n",
     "+1:15+1 unit-missing: figure '2' has no unit: 'length' is a length\n"
     "  write its unit, as in '2 in'\n"},
    {"lesser of two dimensions", "reckon least-of as the lesser of length and 5 %\n",
     "+1:45+3 dimension: '5 %' is a ratio, but 'length' is a length\n"
     "  20:9+6 declared here\n"
     "  a ratio scales something: '5 % of …'\n"},
    {"product of the wrong dimension",
     "reckon size-of as length * width\n"
     "limit pit on blade\n"
     "    fine any depth, size-of up to 2 in\n"
     "    otherwise scrap\n",
     "+3:35+4 dimension: '2 in' is a length, but 'size-of' is an area\n"
     "  +1:8+7 declared here\n"},
    {"curve times a measure", "reckon product as slope * depth\n",
     "+1:19+13 product: 'slope * depth' is a curve times a measure\n"
     "  multiply a figure with anything, or two measures with each other\n"},
    {"curve times a curve", "reckon product as slope * short\n",
     "+1:19+13 product: 'slope * short' is a curve times a curve\n"
     "  multiply a figure with anything, or two measures with each other\n"},
    {"three measures multiplied", "reckon volume as length * width * depth\n",
     "+1:18+22 product: 'length * width * depth' is more than two measures multiplied\n"
     "  multiply a figure with anything, or two measures with each other\n"},
    {"too many units multiplied",
     "reckon volume as 1 in2 * 1 in2 * 1 in2 * 1 in2 * 1 in2 * 1 in2\n",
     "+1:18+45 product: '1 in2 * 1 in2 * 1 in2 * 1 in2 * 1 in2 * 1 in2' multiplies "
     "too many figures with units\n"},
    {"division by zero", "reckon half as length / 0\n", "+1:25+1 division: division by zero\n"},
    {"figures that grow too long",
     "reckon long-sum as length + length + length + length + length + length + "
     "length + length + length + length + length + length + length + length + length "
     "+ length + length + length + length + length + length + length + length + length\n",
     "+1:20+81 too-big: 'length + length + length + length + length + length + "
     "length + length +  ...' can come to figures that are too long\n"
     "  use fewer terms, or figures and curve points with fewer digits\n"},
    {"figure beyond the range of its measure",
     "limit nick on blade\n"
     "    fine depth up to 2 in, any length\n"
     "    otherwise scrap\n",
     "+2:22+4 warning beyond-range: '2 in' is beyond the range of 'depth', so this "
     "always holds\n"
     "  19:9+5 declared here\n"
     "  its range is 0 in .. 1 in\n"},
    {"lower bound beyond the range",
     "limit rust on blade\n"
     "    fine wall at least 2 in, any loss\n"
     "    otherwise scrap\n",
     "+2:24+4 warning beyond-range: '2 in' is beyond the range of 'wall', so this "
     "always fails\n"
     "  22:9+4 declared here\n"
     "  its range is 0 in .. 1 in\n"},
    {"bounds that nothing meets",
     "limit rust on blade\n"
     "    fine any wall, loss over 50 % and below 20 %\n"
     "    otherwise scrap\n",
     "+2:20+29 range: nothing is both over 50 % and below 20 %\n"
     "  write the smaller figure as the lower bound\n"},
    {"bounds that meet but are open",
     "limit rust on blade\n"
     "    fine any wall, loss over 50 % and up to 50 %\n"
     "    otherwise scrap\n",
     "+2:20+29 range: nothing is both over 50 % and up to 50 %\n"
     "  write the smaller figure as the lower bound\n"},
    {"reckoned from itself",
     "reckon a as b + length\n"
     "reckon b as a + width\n",
     "+2:13+1 circular-reckon: 'a' is reckoned from itself\n"
     "  +1:8+1 declared here\n"},
};
