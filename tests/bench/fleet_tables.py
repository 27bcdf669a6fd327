"""The invented book of fleet_book.py as tables, in the languages of the peers. All figures are whole
numbers of millionths (of an inch, of a square inch, of a per cent)."""
from fractions import Fraction
from math import gcd

import fleet_book as book

BOOK_NAME = "fleet.stave"
ANSWER_COLUMNS = ("line", "id", "outcome", "flight", "best", "zone", "rule", "name", "reading", "limit",
                  "source", "reason")
MILLION = 1000000
READINGS = ("depth", "length", "width", "area", "dull", "patch")
FIRST_INCH, LAST_INCH = 14, 52  # of the curves
SCRIPTS_HOLD = 2 ** 53  # whole numbers that a script's only kind of number holds exactly


def millionths(value):
    scaled = Fraction(value) * MILLION
    assert scaled.denominator == 1, value
    return scaled.numerator


def pieces(curve):
    """For each whole inch the (a, b, d) with which d * value = a + b * station there."""
    points = book.CURVES[curve][1]
    made = []
    for inch in range(FIRST_INCH, LAST_INCH):
        (at, value), (to, next_value) = next(
            pair for pair in zip(points, points[1:]) if pair[0][0] <= inch < pair[1][0])
        slope = (next_value - value) / (to - at)
        d = slope.denominator
        start = value - slope * at
        d = d * start.denominator // gcd(d, start.denominator)
        # the lesser factor is enough: what is left of a millionth goes into a
        while d % 10 == 0 and (start * d / 10 * MILLION).denominator == 1 and \
                (slope * d / 10).denominator == 1:
            d //= 10
        made.append((millionths(start * d), (slope * d).numerator // (slope * d).denominator, d))
        assert (slope * d).denominator == 1
    return made


class Test:
    """One comparison: reading <= limit (of figures), q * d * reading <= p * (a + b * station) + r * d
    (of curves), or what was seen among values. The lesser of a curve and a figure is a curve's
    with a `cap`."""

    def __init__(self, condition):
        self.curve = self.cap = self.reading = self.observation = None
        self.p, self.q, self.r, self.limit, self.values = 1, 1, 0, 0, ()
        if isinstance(condition, book.Among):
            self.observation = condition.observation
            self.values = [value for value in book.OBSERVATIONS[self.observation]
                           if value in condition.values]
            self.shown = " or ".join(self.values)
            self.name = self.observation
            return
        self.reading = self.name = condition.measure
        self.unit = condition.unit
        if condition.curve:
            self.curve = list(book.CURVES).index(condition.curve)
            self.p, self.q = condition.factor.numerator, condition.factor.denominator
            self.r = millionths(condition.more * self.q)
            self.shown = ""
            if condition.lesser is not None:
                self.cap = millionths(condition.lesser)
            greatest = millionths(book.MEASURES[self.reading][0])
            assert all(self.q * d * greatest < SCRIPTS_HOLD for _, _, d in pieces(condition.curve))
        else:
            self.limit = millionths(condition.more) - condition.below
            self.shown = f"{book.decimal(condition.more)} {self.unit}"


def tests_of(rung):
    return [Test(condition) for condition in rung.conditions if not isinstance(condition, book.Any)]


def instances():
    """Each ladder in each of its zones, in the order of the book."""
    return [(ladder, zone) for ladder in book.LADDERS for zone in ladder.zones]


def station_zones():
    """Which blade zones hold a station: for 6 in, between 6 and 7 in, 7 in, ... 52 in."""
    return [[zone[1][0] <= Fraction(at, 2) <= zone[1][1] for zone in book.BLADE_ZONES]
            for at in range(12, 105)]


def chord_zones():
    return [[zone[2][0] <= Fraction(at, 2) <= zone[2][1] for zone in book.BLADE_ZONES]
            for at in range(201)]


def side_zones():
    return [[side in zone[3] for zone in book.BLADE_ZONES] for side in book.SIDES]


def place_zones(part):
    """Bits of all zones, for each place of the part."""
    first = len(book.BLADE_ZONES)
    return [sum(1 << first + i for i, zone in enumerate(book.PLACE_ZONES)
                if zone[1] == part and place in zone[2]) for place in book.PLACES[part]]


def bits(flags):
    return sum(1 << i for i, flag in enumerate(flags) if flag)


def quoted(field):
    return '"' + field.replace('"', '""') + '"' if "," in field or '"' in field else field


# ---- C ------------------------------------------------------------------------------------------


def c_array(head, items):
    return head + " = {\n" + "".join(f"    {item},\n" for item in items) + "};\n"


def c_text(text):
    """A text with its size before it."""
    return f'{{{len(text)}, "' + text.replace("\\", "\\\\").replace('"', '\\"') + '"}'


def c_tables():
    tests, rungs, ladders = [], [], []
    for ladder in book.LADDERS:
        ladders.append((len(rungs), c_text(quoted(ladder.source))))
        for rung in ladder.rungs:
            first = len(tests)
            for test in tests_of(rung):
                sort = ("SEEN" if test.observation else "FIGURE" if test.curve is None else
                        "CURVE" if test.cap is None else "LESSER")
                of = test.observation or test.reading
                values = bits(value in test.values
                              for value in book.OBSERVATIONS.get(test.observation, ()))
                unit = "" if test.observation else test.unit
                tests.append(f"{{{sort}, {of.upper()}, {test.curve or 0}, {values}, {test.p}, {test.q}, "
                             f"{test.r}, {test.cap or test.limit}, {c_text(test.name + ',')}, "
                             f"{c_text(' ' + unit)}, {c_text(test.shown)}}}")
            rungs.append(f"{{{first}, {len(tests) - first}, {book.OUTCOMES.index(rung.outcome)}}}")
    known = instances()
    begins = []
    answer = []
    starts = [start for start, _ in ladders]
    for ladder, zone in known:
        number = book.LADDERS.index(ladder)
        begins.append(f"{{{starts[number]}, {len(answer)}, {ladders[number][1]}}}")
        for rung in ladder.rungs:
            flight = "yes" if rung.outcome in book.FLIGHT else "no"
            answer.append("{" + c_text(f"{rung.outcome},{flight},,{zone},{BOOK_NAME}:{rung.line},") + "}")
    by_zone = []
    for kind in book.KINDS:
        row = [next((i + 1 for i, (ladder, where) in enumerate(known)
                     if where == zone and kind in ladder.kinds), 0) for zone in book.ZONES]
        by_zone.append("{" + ", ".join(map(str, row)) + "}")
    recorded = [" | ".join(f"1 << {record.upper()}" for record in records)
                for _, records in book.KINDS.values()]
    greatest = [str(millionths(book.MEASURES[name][0])) for name in READINGS[:-1]]
    steps = [str(millionths(book.MEASURES[name][2]) if book.MEASURES[name][3] else 1)
             for name in READINGS[:-1]]
    curves = ["{" + ", ".join(f"{{{a}, {b}, {d}}}" for a, b, d in pieces(curve)) + "}"
              for curve in book.CURVES]
    head = ["/* Made by tests/bench/fleet: the invented book as tables. */",
            "enum { " + ", ".join(map(str.upper, book.KINDS)) + ", KIND_COUNT };",
            "enum { " + ", ".join(name.upper() for name in
                                  READINGS[:-1] + tuple(book.OBSERVATIONS) + ("patch",)) + " };",
            f"#define FIRST_INCH {FIRST_INCH}", f"#define INCHES {LAST_INCH - FIRST_INCH}",
            '#define NO_LIMIT "no published limit,no,,,,,,,,"']
    return "\n".join(head) + "\n" + "".join((
        c_array("static const struct piece curves[][INCHES]", curves),
        c_array("static const struct test tests[]", tests),
        c_array("static const struct rung rungs[]", rungs),
        c_array("static const struct ladder ladders[]", begins),
        c_array("static const struct begin begins[]", answer),
        c_array(f"static const uint8_t ladder_of[KIND_COUNT][{len(book.ZONES)}]", by_zone),
        c_array("static const uint32_t recorded[KIND_COUNT]", recorded),
        c_array("static const int64_t greatest[]", greatest),
        c_array("static const int64_t step[]", steps),
        c_array("static const uint32_t station_zones[]", map(bits, station_zones())),
        c_array("static const uint32_t chord_zones[]", map(bits, chord_zones())),
        c_array("static const uint32_t side_zones[]", map(bits, side_zones())),
        c_array("static const uint32_t spinner_zones[]", place_zones("spinner")),
        c_array("static const uint32_t boot_zones[]", place_zones("boot"))))


TABLES = {"c": c_tables}
