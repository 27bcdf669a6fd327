"""An invented book as large as a real one, and what it means, for the bench and its test.

The book is data: LADDERS of Rungs of conditions. From it come its text, the tables of the peers
(fleet_tables.py) and `judge`, which is written from the meaning alone, in exact fractions.
"""
from fractions import Fraction

BANDS = (("inboard", 14, 26), ("mid", 26, 40), ("tip", 40, 52))
FLIGHT = ("serviceable", "attend", "watch")
GROUND = ("rework", "shop", "scrap")
OUTCOMES = FLIGHT + GROUND + ("no published limit",)

MEASURES = {  # name: (greatest, unit, step, rounded up to the step)
    "depth": (2, "in", Fraction(1, 1000), False),
    "length": (60, "in", Fraction(1, 100), True),
    "width": (20, "in", Fraction(1, 100), True),
    "area": (400, "in2", Fraction(1, 100), True),
    "dull": (400, "in2", Fraction(1, 100), True),
}
OBSERVATIONS = {
    "lie": ("spanwise", "slanted", "chordwise"),
    "reaches": ("yes", "no"),
    "raised": ("yes", "no"),
    "through": ("yes", "no"),
}
YES_OR_NO = ("reaches", "raised", "through")
SIDES = ("camber", "thrust")
PLACES = {"spinner": ("dome", "attachment", "bulkhead"), "boot": ("inner", "outer", "edge")}
KINDS = {  # name: (parts, what it records)
    "gouge": (("blade",), ("depth", "length")),
    "nick": (("blade",), ("depth", "length")),
    "scratch": (("blade",), ("depth", "length")),
    "dent": (("blade", "spinner"), ("depth", "length")),
    "erosion": (("blade",), ("area", "depth")),
    "fraying": (("blade",), ("length", "width")),
    "crack": (("blade", "spinner"), ("length", "lie")),
    "debond": (("blade", "boot"), ("dull", "reaches")),
    "delamination": (("blade",), ("dull", "raised")),
    "burn": (("blade", "boot"), ("area", "through")),
    "cut": (("boot",), ("length", "through")),
    "wear": (("boot",), ("area",)),
}

# ---- zones: name, part, station, chord, sides; or name, part, places ------------------------

BLADE_ZONES = [("shank", (6, 14), (0, 100), SIDES)]
for _band, _from, _to in BANDS:
    BLADE_ZONES.append(("cap-" + _band, (_from, _to), (0, 10), SIDES))
    BLADE_ZONES.append(("camber-" + _band, (_from, _to), (10, 92), ("camber",)))
    BLADE_ZONES.append(("thrust-" + _band, (_from, _to), (10, 92), ("thrust",)))
    BLADE_ZONES.append(("edge-" + _band, (_from, _to), (92, 100), SIDES))
BLADE_ZONES.append(("strap", (45, 48), (0, 100), SIDES))
BLADE_ZONES.append(("airfoil", (14, 52), (0, 100), SIDES))
PLACE_ZONES = [
    ("shell", "spinner", ("dome",)),
    ("attachments", "spinner", ("attachment", "bulkhead")),
    ("boot-inner", "boot", ("inner",)),
    ("boot-outer", "boot", ("outer",)),
    ("boot-edge", "boot", ("edge",)),
]
ZONES = [zone[0] for zone in BLADE_ZONES] + [zone[0] for zone in PLACE_ZONES]

# ---- curves ------------------------------------------------------------------------------


def _points(text):
    return [tuple(map(Fraction, point.split(":"))) for point in text.split()]


CURVES = {name: (unit, _points(points)) for name, unit, points in (
    ("gouge-cap", "in", "14:0.020 30:0.050 52:0.080"),
    ("gouge-camber", "in", "14:0.010 20:0.020 52:0.035"),
    ("gouge-thrust", "in", "14:0.012 22:0.024 40:0.030 52:0.040"),
    ("gouge-edge", "in", "14:0.030 40:0.050 52:0.025"),
    ("nick-cap", "in", "14:0.030 26:0.045 52:0.060"),
    ("nick-camber", "in", "14:0.040 40:0.060 52:0.030"),
    ("nick-thrust", "in", "14:0.045 36:0.065 52:0.035"),
    ("nick-edge", "in", "14:0.060 34:0.090 46:0.090 52:0.050"),
    ("scratch-cap", "in", "14:0.008 52:0.020"),
    ("scratch-camber", "in", "14:0.005 24:0.010 44:0.012 52:0.008"),
    ("scratch-thrust", "in", "14:0.006 28:0.012 52:0.010"),
    ("scratch-edge", "in", "14:0.010 30:0.018 52:0.012"),
    ("dent-cap", "in", "14:0.020 30:0.050 52:0.100"),
    ("dent-camber", "in", "14:0.015 26:0.030 52:0.045"),
    ("dent-thrust", "in", "14:0.015 32:0.035 52:0.050"),
    ("dent-edge", "in", "14:0.020 38:0.040 52:0.030"),
    ("bare-cap", "in2", "14:1 30:4 52:6"),
    ("bare-camber", "in2", "14:2 52:10"),
    ("bare-thrust", "in2", "14:3 34:9 52:12"),
    ("debond-cap", "in2", "14:1.0 34:4.0 46:4.0 52:1.0"),
    ("bubble-camber", "in2", "14:0.5 26:2.0 40:2.0 52:0.75"),
    ("bubble-thrust", "in2", "14:0.75 24:2.5 42:2.5 52:1.0"),
    ("fray-length", "in", "14:1 40:3 52:1.5"),
    ("crack-length", "in", "14:0.5 26:1.25 52:0.75"),
)}
PATCH = ("length", "width")  # reckon patch as length * width

# ---- conditions and ladders ----------------------------------------------------------------


class Bound:
    """`measure` up to (or below) factor * curve + more, the lesser of a curve and a figure,
    or a figure; `measure` may be the reckoned name patch."""

    def __init__(self, measure, more=0, curve=None, factor=1, lesser=None, below=False):
        self.measure, self.curve, self.below = measure, curve, below
        self.more, self.factor = Fraction(more), Fraction(factor)
        self.lesser = None if lesser is None else Fraction(lesser)
        self.unit = "in2" if measure == "patch" else MEASURES[measure][1]

    def text(self):
        relation = "below" if self.below else "up to"
        limit = f"{decimal(self.more)} {self.unit}"
        if self.curve:
            limit = self.curve
            if self.lesser is not None:
                limit = f"the lesser of {self.curve} and {decimal(self.lesser)} {self.unit}"
            elif self.factor != 1:
                limit = f"{decimal(self.factor)} * {self.curve}"
            if self.more:
                limit += f" + {decimal(self.more)} {self.unit}"
        return f"{self.measure} {relation} {limit}"

    def limit(self, station):
        if not self.curve:
            return self.more
        value = self.factor * curve_value(self.curve, station) + self.more
        return value if self.lesser is None else min(value, self.lesser)


class Among:
    def __init__(self, observation, *values):
        self.observation, self.values = observation, values

    def text(self):
        if self.observation in YES_OR_NO:
            return ("" if self.values == ("yes",) else "not ") + self.observation
        return f"{self.observation} is {' or '.join(self.values)}"


class Any:
    def __init__(self, name):
        self.name = name

    def text(self):
        return "any " + self.name


class Rung:
    def __init__(self, outcome, *conditions, tail=""):
        self.outcome, self.conditions, self.tail = outcome, conditions, tail
        self.line = 0


class Ladder:
    def __init__(self, kinds, zones, source, *rungs):
        self.kinds, self.zones, self.source, self.rungs = kinds.split(), zones.split(), source, rungs
        self.line = 0


def depth_ladders(kind, table, lengths):
    """A kind with a depth that may be deeper the farther out, and a length: ten ladders."""
    short, middle, long_ = lengths
    ladders = []

    def add(zones, curve, share, more, deep):
        ladders.append(Ladder(
            kind, zones, f"Table {table}, line {len(ladders) + 1}",
            Rung("serviceable", Bound("depth", curve=curve, factor=share), Bound("length", short)),
            Rung("attend", Bound("depth", more, curve, share), Bound("length", short)),
            Rung("watch", Bound("depth", more, curve, share), Bound("length", middle)),
            Rung("rework", Bound("depth", deep), Bound("length", long_),
                 tail='do "fill and re-finish"'),
            Rung("shop")))
    add("cap-inboard cap-mid", kind + "-cap", 1, "0.005", "0.150")
    add("cap-tip", kind + "-cap", "0.9", "0.004", "0.120")
    for face in SIDES:
        for band, share, deep in (("inboard", 1, "0.160"), ("mid", "0.95", "0.140"),
                                  ("tip", "0.8", "0.110")):
            add(f"{face}-{band}", f"{kind}-{face}", share, "0.0035", deep)
    ladders.append(Ladder(
        kind, "edge-inboard edge-mid edge-tip", f"Table {table}, line 9",
        Rung("serviceable", Bound("depth", curve=kind + "-edge", lesser="0.040"),
             Bound("length", short)),
        Rung("watch", Bound("depth", curve=kind + "-edge"), Bound("length", middle)),
        Rung("rework", Bound("depth", curve=kind + "-edge", factor=2), Any("length"),
             tail='do "blend to a smooth radius"'),
        Rung("shop")))
    ladders.append(Ladder(
        kind, "shank", f"Table {table}, line 10",
        Rung("serviceable", Bound("depth", "0.005"), Bound("length", "0.5")),
        Rung("watch", Bound("depth", "0.010", below=True), Bound("length", "0.5")),
        Rung("shop")))
    return ladders


def fraying_ladders():
    def patch(lesser, greater, outcomes=("attend", "rework")):
        first, second = outcomes
        return (Rung(first, Bound("patch", lesser), Bound("length", curve="fray-length"),
                     Bound("width", 1), tail='do "trim loose fibres and seal"'),
                Rung(second, Bound("patch", greater), Bound("length", 4), Bound("width", 2)),
                Rung("shop"))
    return [
        Ladder("fraying", "cap-inboard cap-mid cap-tip", "Table 5, line 1", Rung("shop")),
        Ladder("fraying", "camber-inboard camber-mid", "Table 5, line 2", *patch("0.5", 3)),
        Ladder("fraying", "camber-tip", "Table 5, line 3", *patch("0.3", 2)),
        Ladder("fraying", "thrust-inboard thrust-mid", "Table 5, line 4", *patch("0.6", "3.5")),
        Ladder("fraying", "thrust-tip", "Table 5, line 5", *patch("0.4", "2.5")),
        Ladder("fraying", "edge-inboard edge-mid edge-tip", "Table 5, line 6",
               *patch("0.25", "1.5")),
        Ladder("fraying", "shank", "Table 5, line 7", Rung("shop")),
    ]


def erosion_ladders():
    ladders = []

    def add(zones, curve, shallow, deep):
        ladders.append(Ladder(
            "erosion", zones, f"Table 6, line {len(ladders) + 1}",
            Rung("serviceable", Bound("area", curve=curve, factor="0.5"), Bound("depth", shallow)),
            Rung("attend", Bound("area", curve=curve), Bound("depth", shallow),
                 tail='do "seal with the approved paint"'),
            Rung("watch", Bound("area", curve=curve), Bound("depth", deep)),
            Rung("rework", Bound("area", curve=curve, factor=3), Bound("depth", "0.030", below=True)),
            Rung("shop")))
    add("cap-inboard cap-mid cap-tip", "bare-cap", "0.003", "0.008")
    for band in ("inboard", "mid", "tip"):
        add("camber-" + band, "bare-camber", "0.004", "0.010")
        add("thrust-" + band, "bare-thrust", "0.005", "0.012")
    add("edge-inboard edge-mid edge-tip", "bare-cap", "0.002", "0.006")
    ladders.append(Ladder("erosion", "shank", "Table 6, line 9", Rung("shop")))
    return ladders


def crack_ladders():
    spanwise = Among("lie", "spanwise")
    ladders = [
        Ladder("crack", "cap-inboard cap-mid", "Table 7, line 1",
               Rung("attend", Among("lie", "slanted", "chordwise"), Bound("length", "0.25")),
               Rung("rework", Bound("length", 1), Any("lie")),
               Rung("shop")),
        Ladder("crack", "cap-tip", "Table 7, line 2",
               Rung("attend", Among("lie", "slanted", "chordwise"), Bound("length", "0.2")),
               Rung("shop")),
    ]
    for number, zones in enumerate(("camber-inboard camber-mid", "camber-tip",
                                    "thrust-inboard thrust-mid", "thrust-tip")):
        ladders.append(Ladder(
            "crack", zones, f"Table 7, line {number + 3}",
            Rung("watch", spanwise, Bound("length", curve="crack-length"),
                 tail='note "in the paint or filler only; mark the ends"'),
            Rung("rework", spanwise, Bound("length", 3 - Fraction(number, 4))),
            Rung("rework", Among("lie", "slanted"), Bound("length", "0.5")),
            Rung("shop")))
    ladders += [
        Ladder("crack", "edge-inboard edge-mid edge-tip", "Table 7, line 7",
               Rung("rework", Among("lie", "chordwise"), Bound("length", "0.75")), Rung("shop")),
        Ladder("crack", "shank", "Table 7, line 8", Rung("scrap")),
        Ladder("crack", "shell", "Spinner, item 1",
               Rung("attend", Bound("length", "0.5"), Any("lie"), tail='do "stop-drill both ends"'),
               Rung("rework")),
        Ladder("crack", "attachments", "Spinner, item 2", Rung("scrap")),
    ]
    return ladders


def bond_ladders():
    sound = Among("reaches", "no")
    flat = Among("raised", "no")
    ladders = []
    for number, (band, small) in enumerate((("inboard", "0.5"), ("mid", "0.5"), ("tip", "0.4"))):
        ladders.append(Ladder(
            "debond", "cap-" + band, f"Table 8, line {number + 1}",
            Rung("serviceable", Bound("dull", small), sound),
            Rung("watch", Bound("dull", curve="debond-cap"), sound),
            Rung("rework", Bound("dull", curve="debond-cap", factor="1.25"), sound),
            Rung("shop", tail='do "do not fly with a lifting edge cap"')))
    ladders += [
        Ladder("debond", "camber-inboard camber-mid camber-tip thrust-inboard thrust-mid thrust-tip",
               "Table 8, line 4", Rung("rework", Bound("dull", 1), sound), Rung("shop")),
        Ladder("debond", "edge-inboard edge-mid edge-tip", "Table 8, line 5",
               Rung("attend", Bound("dull", "0.2"), sound), Rung("shop")),
        Ladder("debond", "shank", "Table 8, line 6", Rung("no published limit")),
        Ladder("debond", "boot-inner boot-outer", "De-ice, item 1",
               Rung("serviceable", Bound("dull", 1), sound),
               Rung("attend", Bound("dull", 4), sound), Rung("rework")),
        Ladder("debond", "boot-edge", "De-ice, item 2",
               Rung("serviceable", Bound("dull", "0.5"), sound),
               Rung("attend", Bound("dull", 2), sound), Rung("rework")),
    ]
    number = 0
    for face in SIDES:
        for band, share in (("inboard", "0.5"), ("mid", "0.5"), ("tip", "0.4")):
            number += 1
            curve = "bubble-" + face
            ladders.append(Ladder(
                "delamination", f"{face}-{band}", f"Table 9, line {number}",
                Rung("watch", Bound("dull", curve=curve, factor=share), Any("raised")),
                Rung("watch", Bound("dull", curve=curve), flat),
                Rung("rework", Bound("dull", 1, curve), Any("raised")),
                Rung("shop")))
    ladders += [
        Ladder("delamination", "edge-inboard edge-mid edge-tip", "Table 9, line 7",
               Rung("watch", Bound("dull", "0.75"), Any("raised")),
               Rung("rework", Bound("dull", 2), Any("raised")), Rung("shop")),
        Ladder("delamination", "cap-inboard cap-mid cap-tip shank", "Table 9, line 8", Rung("shop")),
    ]
    return ladders


def other_ladders():
    whole = Among("through", "no")
    ladders = [
        Ladder("burn", "camber-tip thrust-tip edge-tip", "Table 10, line 1",
               Rung("rework", Bound("area", "0.25"), whole, tail='do "tap the whole blade"'),
               Rung("shop")),
        Ladder("burn", "camber-mid thrust-mid edge-mid", "Table 10, line 2",
               Rung("rework", Bound("area", "0.1"), whole), Rung("shop")),
        Ladder("burn", "camber-inboard thrust-inboard edge-inboard", "Table 10, line 3",
               Rung("shop")),
        Ladder("burn", "cap-inboard cap-mid cap-tip shank", "Table 10, line 4", Rung("shop")),
        Ladder("gouge nick scratch dent", "strap", "Table 11, line 1",
               Rung("serviceable", Bound("depth", "0.015"), Bound("length", 1)),
               Rung("watch", Bound("depth", "0.030"), Bound("length", 2)),
               Rung("rework", Bound("depth", "0.090"), Any("length")),
               Rung("shop")),
        Ladder("erosion", "airfoil", "Table 11, line 2",
               Rung("serviceable", Bound("area", 20), Bound("depth", "0.020")),
               Rung("rework", Bound("area", 60), Any("depth")), Rung("shop")),
        Ladder("dent", "shell", "Spinner, item 3",
               Rung("serviceable", Bound("depth", "0.0625"), Bound("length", 2)),
               Rung("attend", Bound("depth", "0.125"), Bound("length", 4)),
               Rung("rework")),
        Ladder("dent", "attachments", "Spinner, item 4", Rung("rework")),
    ]
    for item, zone, small, cut in ((3, "inner", "0.1", "0.25"), (4, "outer", "0.1", "0.3"),
                                   (5, "edge", "0.05", "0.2")):
        ladders += [
            Ladder("burn", "boot-" + zone, f"De-ice, item {item}",
                   Rung("watch", Bound("area", small), whole), Rung("rework")),
            Ladder("cut", "boot-" + zone, f"De-ice, item {item + 3}",
                   Rung("serviceable", Bound("length", cut), whole),
                   Rung("watch", Bound("length", 1), whole), Rung("rework")),
            Ladder("wear", "boot-" + zone, f"De-ice, item {item + 6}",
                   Rung("serviceable", Bound("area", 3)), Rung("attend", Bound("area", 8)),
                   Rung("watch", Bound("area", 12, below=True)), Rung("rework")),
        ]
    return ladders


LADDERS = (depth_ladders("gouge", 1, (2, 4, 6)) + depth_ladders("nick", 2, (1, "1.5", 3)) +
           depth_ladders("scratch", 3, (4, 8, 12)) + depth_ladders("dent", 4, ("1.5", 2, 3)) +
           fraying_ladders() + erosion_ladders() + crack_ladders() + bond_ladders() +
           other_ladders())

# ---- what it means ---------------------------------------------------------------------------


def decimal(value, places=6, up=False):
    """The value with at most so many places, rounded down or up, no zero that is not needed."""
    scaled = Fraction(value) * 10 ** places
    whole = -(-scaled.numerator // scaled.denominator) if up else scaled.numerator // scaled.denominator
    sign, whole = ("-", -whole) if whole < 0 else ("", whole)
    text = f"{whole // 10 ** places}.{whole % 10 ** places:0{places}d}" if places else f"{whole}."
    return sign + text.rstrip("0").rstrip(".")


def shown_limit(limit, unit):
    """With at most six places; a limit that has more is rounded down to five digits that count."""
    if (limit * 10 ** 6).denominator == 1:
        return f"{decimal(limit)} {unit}"
    places = 0
    while limit * 10 ** places < 10000:
        places += 1
    exact = (limit * 10 ** places).denominator == 1
    return f"{decimal(limit, places)} {unit}{'' if exact else ' (rounded)'}"


def curve_value(name, station):
    points = CURVES[name][1]
    for (at, value), (next_at, next_value) in zip(points, points[1:]):
        if at <= station <= next_at:
            return value + (next_value - value) * (station - at) / (next_at - at)
    raise ValueError(f"{name} has no value at station {station}")


def zones_touched(finding):
    if finding["part"] != "blade":
        return [name for name, part, places in PLACE_ZONES
                if part == finding["part"] and finding["place"] in places]
    on_both = finding["chord"] in (0, 100)
    return [name for name, (low, high), (fore, aft), sides in BLADE_ZONES
            if low <= finding["station"] <= high and fore <= finding["chord"] <= aft
            and (on_both or finding["side"] in sides)]


def value_of(finding, measure):
    """As the limits see it: rounded up to the measure's step where the book says so."""
    if measure == "patch":
        return value_of(finding, PATCH[0]) * value_of(finding, PATCH[1])
    _, _, step, rounded = MEASURES[measure]
    steps = finding[measure] / step
    return -(-steps.numerator // steps.denominator) * step if rounded else finding[measure]


def compare(finding, condition):
    """Whether it holds, and the comparison: name, reading, limit."""
    if isinstance(condition, Any):
        return True, ("", "", "")
    if isinstance(condition, Among):
        seen = finding[condition.observation]
        order = [value for value in OBSERVATIONS[condition.observation] if value in condition.values]
        return seen in condition.values, (condition.observation, seen, " or ".join(order))
    value, limit = value_of(finding, condition.measure), condition.limit(finding.get("station"))
    shown = f"{decimal(value, up=True)} {condition.unit}"
    if condition.measure != "patch" and finding[condition.measure] != value:
        shown = f"{decimal(finding[condition.measure], up=True)} {condition.unit}, taken as {shown}"
    holds = value < limit if condition.below else value <= limit
    return holds, (condition.measure, shown, shown_limit(limit, condition.unit))


def climb(finding, ladder):
    """The rung that decides and the comparison that is told: the first that fails of the rung
    before it; where the first rung decides, its first one."""
    told = ("", "", "")
    for number, rung in enumerate(ladder.rungs):
        results = [compare(finding, condition) for condition in rung.conditions]
        failed = [comparison for holds, comparison in results if not holds]
        if not failed:
            return rung, told if number else (results[0][1] if results else told)
        told = failed[0]
    raise ValueError("a ladder without an end")


BY_KIND = {kind: [ladder for ladder in LADDERS if kind in ladder.kinds] for kind in KINDS}


def judge(finding):
    """(outcome, zone, line, name, reading, limit, source) of an exact finding: a dictionary with
    part, kind, the place, readings as fractions and what was observed. The worst ladder governs,
    the first in the book among equals."""
    touched = zones_touched(finding)
    governing = None
    for ladder in BY_KIND[finding["kind"]]:
        for zone in ladder.zones:
            if zone not in touched:
                continue
            rung, told = climb(finding, ladder)
            worse = OUTCOMES.index(rung.outcome)
            if governing is None or worse > governing[0]:
                governing = (worse, (rung.outcome, zone, rung.line or ladder.line, *told,
                                     ladder.source))
    return governing[1] if governing else ("no published limit", "", 0, "", "", "", "")


# ---- the text ------------------------------------------------------------------------------------


def head_lines():
    lines = ['stave 1', 'book FL-1 "invented composite blade, spinner and boots: all limits"',
             '    edition "A" dated 2026-03-01', '    for model FL-1',
             '    caution "Every figure in this book is invented."', '',
             'scale',
             '    serviceable  "continue in service"',
             '    attend       "attend to it at the next maintenance"  within 100 h',
             '    watch        "continue in service and look again"    again within 50 h',
             '  no flight',
             '    rework       "repair before further flight"',
             '    shop         "send to a propeller repair station"',
             '    scrap        "not repairable"', '',
             'part blade, 2 .. 6',
             '    axis station  6 in .. 52 in   read to 0.25 in  "from the hub centreline"',
             '    axis chord    0 % .. 100 %    read to 1 %      "from the leading edge"',
             '    side camber, thrust  meet at chord 0 %, chord 100 %',
             'part boot, one on each blade where fitted',
             '    place ' + ', '.join(PLACES["boot"]),
             'part spinner',
             '    place ' + ', '.join(PLACES["spinner"]),
             'search blade "both sides and both edges, hub to tip"', '']
    for name, station, chord, sides in BLADE_ZONES:
        line = f"zone {name} on blade station {station[0]} in .. {station[1]} in"
        line += "" if chord == (0, 100) else f" chord {chord[0]} % .. {chord[1]} %"
        lines.append(line + ("" if sides == SIDES else " " + sides[0]))
    for name, part, places in PLACE_ZONES:
        lines.append(f"zone {name} on {part} {' '.join(places)}")
    lines.append("")
    for name, (greatest, unit, step, up) in MEASURES.items():
        lines.append(f"measure {name} 0 {unit} .. {greatest} {unit} "
                     f"read {'up ' if up else ''}to {decimal(step)} {unit}")
    lines.append("reckon patch as " + " * ".join(PATCH))
    for name, values in OBSERVATIONS.items():
        lines.append(f"observe {name} " + ("yes or no" if name in YES_OR_NO
                                           else "one of " + ", ".join(values)))
    for name, (parts, records) in KINDS.items():
        lines.append(f"kind {name} on {', '.join(parts)} records {', '.join(records)}")
    for name, (unit, points) in CURVES.items():
        lines += ["", f"curve {name} along station"]
        lines += [f"    {decimal(at)} in  {decimal(value)} {unit}" for at, value in points]
    return lines + [""]


def example_lines():
    """One example a ladder and kind: a small finding and worse ones, with what `judge` makes of
    them."""
    lines = []
    for ladder in LADDERS:
        finding, place = example_finding(ladder)
        kind = finding["kind"]
        lines += ["", f'example "{kind} on {ladder.zones[0]}"  per "{ladder.source}"',
                  f"    {place} {kind}{finding.pop('where')}"]
        for share in (0, Fraction(1, 2), 1, 2, 5):
            withs = []
            for record in KINDS[kind][1]:
                if record in MEASURES:
                    least = Fraction("0.02") if MEASURES[record][3] else Fraction("0.016")
                    finding[record] = least * (1 + 20 * share)
                    withs.append(f"{record} {decimal(finding[record])} {MEASURES[record][1]}")
                else:
                    finding[record] = OBSERVATIONS[record][-1 if share < 2 else 0]
                    withs.append(f"{record} {finding[record]}")
            lines.append(f"    gives {judge(finding)[0]}  with {', '.join(withs)}")
    return lines


def example_finding(ladder):
    zone = ladder.zones[0]
    finding = {"kind": ladder.kinds[0]}
    for name, station, chord, sides in BLADE_ZONES:
        if name == zone:
            finding.update(part="blade", station=Fraction(sum(station), 2),
                           chord=Fraction(sum(chord), 2), side=sides[0])
            finding["where"] = (f" at station {decimal(finding['station'])} in chord "
                                f"{decimal(finding['chord'])} % {sides[0]}")
            return finding, "blade 1"
    for name, part, places in PLACE_ZONES:
        if name == zone:
            finding.update(part=part, place=places[0], where=f" at {places[0]}")
            return finding, part if part == "spinner" else part + " 1"
    raise ValueError(zone)


def book_text():
    """The text of the book. Sets the line of each ladder and rung."""
    lines = head_lines()
    for ladder in LADDERS:
        lines.append(f"limit {', '.join(ladder.kinds)} on {', '.join(ladder.zones)}  "
                     f'per "{ladder.source}"')
        ladder.line = len(lines)
        for rung in ladder.rungs:
            conditions = ", ".join(condition.text() for condition in rung.conditions)
            lines.append(f"    {rung.outcome if conditions else 'otherwise ' + rung.outcome}"
                         f"  {conditions}  {rung.tail}".rstrip())
            rung.line = len(lines)
        lines.append("")
    return "\n".join(lines + example_lines()) + "\n"


def counts():
    rungs = [rung for ladder in LADDERS for rung in ladder.rungs]
    return {"limits": len(LADDERS), "ladders": sum(len(ladder.zones) for ladder in LADDERS),
            "conditions": sum(len(rung.conditions) for rung in rungs),
            "lines": len(rungs), "curves": len(CURVES), "zones": len(ZONES), "kinds": len(KINDS)}
