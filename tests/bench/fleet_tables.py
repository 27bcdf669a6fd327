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


# ---- scripts ------------------------------------------------------------------------------------


def sort_of(test):
    return ("seen" if test.observation else "figure" if test.curve is None else
            "curve" if test.cap is None else "lesser")


def begin_text(rung, zone):
    """What the answer of a rung begins with, behind the id."""
    flight = "yes" if rung.outcome in book.FLIGHT else "no"
    return f"{rung.outcome},{flight},,{zone},{BOOK_NAME}:{rung.line},"


def by_zone(kind):
    """For each zone in which the kind has a ladder: its number among `instances`, from 0."""
    return {zone: number for number, (ladder, zone) in enumerate(instances()) if kind in ladder.kinds}


def at_halves(flags, first):
    """Which zones hold 6, 6.5 (that is, between 6 and 7), 7 ...: for each half, their names."""
    names = [zone[0] for zone in book.BLADE_ZONES]
    return {first + number: [name for name, flag in zip(names, row) if flag]
            for number, row in enumerate(flags)}


class Script:
    """The tables in a language that has lists, dictionaries and texts."""

    def __init__(self, first, mapping, pair, name, prefix, suffix):
        self.first, self.mapping, self.pair, self.name = first, mapping, pair, name
        self.prefix, self.suffix = prefix, suffix

    def value(self, what):
        if isinstance(what, dict):
            items = (self.pair.format(self.value(key), self.value(item)) for key, item in what.items())
            return "{" + ", ".join(items) + "}"
        if isinstance(what, (list, tuple)):
            return self.mapping[0] + ", ".join(map(self.value, what)) + self.mapping[1]
        if isinstance(what, str):
            return '"' + what.replace("\\", "\\\\").replace('"', '\\"') + '"'
        return str(what)

    def test(self, test):
        return {"sort": sort_of(test), "name": test.name, "curve": (test.curve or 0) + self.first,
                "p": test.p, "q": test.q, "r": test.r, "limit": test.cap or test.limit,
                "values": {value: 1 for value in test.values},
                "unit": "" if test.observation else " " + test.unit, "shown": test.shown}

    def tables(self):
        ladders = [{"source": quoted(ladder.source),
                    "rungs": [{"outcome": book.OUTCOMES.index(rung.outcome),
                               "begin": begin_text(rung, zone),
                               "tests": [self.test(test) for test in tests_of(rung)]}
                              for rung in ladder.rungs]}
                   for ladder, zone in instances()]
        tables = {
            "curves": [[piece for piece in pieces(curve)] for curve in book.CURVES],
            "ladders": ladders,
            "ladder_of": {kind: {zone: number + self.first for zone, number in by_zone(kind).items()}
                          for kind in book.KINDS},
            "records": {kind: list(records) for kind, (_, records) in book.KINDS.items()},
            "greatest": {name: millionths(measure[0]) for name, measure in book.MEASURES.items()},
            "rounded": {name: int(measure[3]) for name, measure in book.MEASURES.items()},
            "observed": {name: {value: 1 for value in values}
                         for name, values in book.OBSERVATIONS.items()},
            "station_zones": at_halves(station_zones(), 12),
            "chord_zones": at_halves(chord_zones(), 0),
            "side_zones": {side: {zone[0]: 1 for zone in book.BLADE_ZONES if side in zone[3]}
                           for side in book.SIDES},
            "place_zones": {part: {place: [zone[0] for zone in book.PLACE_ZONES
                                           if zone[1] == part and place in zone[2]]
                                   for place in places} for part, places in book.PLACES.items()},
        }
        return self.prefix + "".join(f"{self.name}{name} = {self.value(table)}\n"
                                     for name, table in tables.items()) + self.suffix


LUA = Script(1, "{}", "[{}] = {}", "T.", "local T = {}\n", "return T\n")
PYTHON = Script(0, "[]", "{}: {}", "", "", "")


def awk_tables():
    """awk has only flat arrays; what belongs together has its place in the key."""
    lines = []

    def put(array, value, *key):
        key = ", ".join(f'"{part}"' if isinstance(part, str) else str(part) for part in key)
        value = LUA.value(value)
        lines.append(f"    {array}[{key}] = {value}")
    for number, curve in enumerate(book.CURVES, 1):
        for inch, (a, b, d) in enumerate(pieces(curve)):
            put("piece_a", a, number, inch)
            put("piece_b", b, number, inch)
            put("piece_d", d, number, inch)
    rungs = tests = 0
    for number, (ladder, zone) in enumerate(instances(), 1):
        put("source", quoted(ladder.source), number)
        put("first_rung", rungs + 1, number)
        for rung in ladder.rungs:
            rungs += 1
            put("outcome", book.OUTCOMES.index(rung.outcome), rungs)
            put("begin", begin_text(rung, zone), rungs)
            put("first_test", tests + 1, rungs)
            for test in tests_of(rung):
                tests += 1
                for name, value in LUA.test(test).items():
                    if name == "values":
                        for seen in value:
                            put("value", 1, tests, seen)
                    else:
                        put(name, value, tests)
            put("last_test", tests, rungs)
    zones = {name: number for number, name in enumerate(book.ZONES, 1)}
    for kind, (_, records) in book.KINDS.items():
        put("records", " ".join(records), kind)
        for zone, number in by_zone(kind).items():
            put("ladder_of", number + 1, kind, zones[zone])
    for name, measure in book.MEASURES.items():
        put("greatest", millionths(measure[0]), name)
        put("rounded", int(measure[3]), name)
    for name, values in book.OBSERVATIONS.items():
        for value in values:
            put("observed", 1, name, value)
    for at, names in at_halves(station_zones(), 12).items():
        put("station_zones", " ".join(str(zones[name]) for name in names), at)
    for at, names in at_halves(chord_zones(), 0).items():
        for name in names:
            put("chord_zones", 1, at, zones[name])
    for side in book.SIDES:
        for zone in book.BLADE_ZONES:
            if side in zone[3]:
                put("side_zones", 1, side, zones[zone[0]])
    for part, places in book.PLACES.items():
        for place in places:
            put("place_zones", " ".join(str(zones[zone[0]]) for zone in book.PLACE_ZONES
                                        if zone[1] == part and place in zone[2]), part, place)
    return "BEGIN {\n" + "\n".join(lines) + "\n}\n"


def sql_rows(table, columns, rows):
    def literal(value):
        if value is None:
            return "NULL"
        return "'" + value.replace("'", "''") + "'" if isinstance(value, str) else str(value)
    text = f"CREATE TABLE {table} ({', '.join(columns)});\n"
    if rows:
        text += f"INSERT INTO {table} VALUES\n" + ",\n".join(
            "(" + ", ".join(map(literal, row)) + ")" for row in rows) + ";\n"
    return text


def sql_tables():
    ladders, rungs, tests, values = [], [], [], []
    for number, (ladder, zone) in enumerate(instances(), 1):
        ladders += [(number, kind, zone, quoted(ladder.source)) for kind in ladder.kinds]
        for step, rung in enumerate(ladder.rungs):
            id_ = len(rungs) + 1
            rungs.append((id_, number, step, book.OUTCOMES.index(rung.outcome), begin_text(rung, zone)))
            for place, test in enumerate(tests_of(rung)):
                curve = None if test.curve is None else test.curve
                limit = test.cap if test.curve is not None else None if test.observation else test.limit
                tests.append((len(tests) + 1, id_, place, test.name, curve, test.p, test.q, test.r, limit,
                              "" if test.observation else " " + test.unit, test.shown))
                values += [(len(tests), value) for value in test.values]
    curves = [(number, FIRST_INCH + inch, a, b, d) for number, curve in enumerate(book.CURVES)
              for inch, (a, b, d) in enumerate(pieces(curve))]
    zones = [(zone[0], side, *(millionths(end) for end in zone[1] + zone[2]))
             for zone in book.BLADE_ZONES for side in zone[3] + ("both",)]
    places = [(zone[0], zone[1], place) for zone in book.PLACE_ZONES for place in zone[2]]
    return "".join((
        sql_rows("ladder", ("id INTEGER", "kind TEXT", "zone TEXT", "source TEXT"), ladders),
        sql_rows("rung", ("id INTEGER PRIMARY KEY", "ladder INTEGER", "step INTEGER", "outcome INTEGER",
                          "begins TEXT"), rungs),
        sql_rows("test", ("id INTEGER PRIMARY KEY", "rung INTEGER", "place INTEGER", "name TEXT",
                          "curve INTEGER", "p INTEGER", "q INTEGER", "r INTEGER", "most INTEGER",
                          "unit TEXT", "shown TEXT"), tests),
        sql_rows("allowed", ("test INTEGER", "value TEXT"), values),
        sql_rows("piece", ("curve INTEGER", "inch INTEGER", "a INTEGER", "b INTEGER", "d INTEGER"), curves),
        sql_rows("blade_zone", ("zone TEXT", "side TEXT", "from_station INTEGER", "to_station INTEGER",
                                "from_chord INTEGER", "to_chord INTEGER"), zones),
        sql_rows("place_zone", ("zone TEXT", "part TEXT", "place TEXT"), places),
        "CREATE INDEX ladder_kind ON ladder (kind, zone);\n"
        "CREATE INDEX ladder_id ON ladder (id);\n"
        "CREATE INDEX rung_ladder ON rung (ladder, step);\n"
        "CREATE INDEX test_rung ON test (rung, place);\n"
        "CREATE INDEX allowed_test ON allowed (test, value);\n"
        "CREATE INDEX piece_curve ON piece (curve, inch);\n"
        "CREATE INDEX blade_zone_side ON blade_zone (side, from_station);\n"
        "CREATE INDEX place_zone_place ON place_zone (part, place);\n"))


TABLES = {"c": c_tables, "lua": LUA.tables, "python": PYTHON.tables, "awk": awk_tables,
          "sql": sql_tables}
