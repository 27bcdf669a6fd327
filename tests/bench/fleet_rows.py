"""Rows of findings for the invented book of fleet_book.py, as a fleet's records hold them. Seeded: the
same rows each time."""
import random
from fractions import Fraction

from fleet_book import BANDS, KINDS, MEASURES, OBSERVATIONS, PLACES, SIDES, decimal

COLUMNS = ("id", "propeller", "inspection", "part", "kind", "side", "place", "station in", "chord %",
           "depth in", "length in", "width in", "area in2", "dull in2", "lie", "reaches", "raised",
           "through", "remark")
READ = ("station", "chord", "depth", "length", "width", "area", "dull")
SHARES = {("blade", "gouge"): 19, ("blade", "nick"): 22, ("blade", "scratch"): 10,
          ("blade", "dent"): 6, ("spinner", "dent"): 2, ("blade", "erosion"): 12,
          ("blade", "fraying"): 5, ("blade", "crack"): 3, ("spinner", "crack"): 1,
          ("blade", "debond"): 4, ("boot", "debond"): 2, ("blade", "delamination"): 4,
          ("blade", "burn"): 1, ("boot", "burn"): 1, ("boot", "cut"): 4, ("boot", "wear"): 4}
SORTS = [sort for sort, share in SHARES.items() for _ in range(share)]
REMARKS = ("", "", "", "", "", "", "", "", "", "", "", "", "rock strike", "gravel, taxiway",
           "found on walk-round", 'pilot says "a bang"', "old; watch it", "touched up", "runway debris",
           "see photo 3", "night check", "blended before")
TYPICAL = {"depth": 22, "length": 90, "width": 40, "area": 220, "dull": 90}  # steps, about
THOUSANDTHS = [f"0.{n:03d}" for n in range(1000)]
HUNDREDTHS = [f"{n // 100}.{n % 100:02d}" for n in range(6000)]
QUARTERS = [decimal(Fraction(n, 4)) for n in range(24, 209)]


def reading(chance, measure):
    """Mostly small, now and then far too big; read to the step, some finer."""
    steps = int(chance.expovariate(1) * TYPICAL[measure])
    if measure == "depth":
        return THOUSANDTHS[min(steps + 1, 999)]
    text = HUNDREDTHS[min(steps + 1, 1999)]
    return text + "5" if chance.random() < 0.03 else text


def plain_row(chance, number):
    """The cells of one finding in which every figure is exact and in its column's unit."""
    part, kind = SORTS[int(chance.random() * len(SORTS))]
    cells = dict.fromkeys(COLUMNS, "")
    cells["id"] = f"F{number}"
    cells["propeller"] = f"P-{number // 97 % 1900 + 100:04d}"
    cells["inspection"] = f"20{number // 40000 % 25:02d}-{number // 3300 % 12 + 1:02d}-{number // 9 % 28 + 1:02d}"
    cells["kind"] = kind
    cells["part"] = part if part == "spinner" else f"{part} {int(chance.random() * 4) + 1}"
    if part == "blade":
        cells["station in"] = QUARTERS[int(chance.random() ** 0.7 * len(QUARTERS))]
        cells["chord %"] = str(int(abs(chance.gauss(0, 30))) if chance.random() < 0.6
                               else int(chance.random() * 101))
        if int(cells["chord %"]) > 100:
            cells["chord %"] = "4"
        cells["side"] = SIDES[chance.random() < 0.6]
    else:
        places = PLACES[part]
        cells["place"] = places[int(chance.random() * len(places))]
    for record in KINDS[kind][1]:
        if record in MEASURES:
            cells[f"{record} {MEASURES[record][1]}"] = reading(chance, record)
        else:
            values = OBSERVATIONS[record]
            worst = chance.random() < 0.15
            cells[record] = values[0 if worst and len(values) == 2 else
                                   int(chance.random() * len(values)) if len(values) > 2 else 1]
    cells["remark"] = REMARKS[int(chance.random() * len(REMARKS))]
    return cells


def doubted(chance, cells):
    """One figure of the row written otherwise, or not at all."""
    columns = [name for name in COLUMNS if cells[name] and name.split()[0] in READ]
    column = columns[int(chance.random() * len(columns))]
    figure = Fraction(cells[column])
    sort = int(chance.random() * 5)
    if sort == 0 or column == "chord %":
        cells[column] = ""
    elif column.endswith("in2"):
        cells[column] = f"{decimal(figure)} .. {decimal(figure + Fraction(1, 5))}"
    elif sort == 1 and column != "station in":
        cells[column] = f"{decimal(figure * 1000)} thou"
    elif sort == 2:
        cells[column] = f"{decimal(figure * Fraction(254, 10))} mm"
    elif sort == 3 and column == "station in":
        low, high = max(Fraction(6), figure - 1), min(Fraction(52), figure + 1)
        cells[column] = f"{decimal(low)} .. {decimal(high)}"
    else:
        cells[column] = f"{decimal(figure)} +/- {'0.25' if column == 'station in' else '0.002'}"
    if chance.random() < 0.1:
        seen = [name for name in OBSERVATIONS if cells[name]]
        for name in seen:
            cells[name] = ""


def spoilt(chance, cells):
    """A row that must not be judged."""
    columns = [name for name in COLUMNS if cells[name] and name.split()[0] in MEASURES]
    column = columns[int(chance.random() * len(columns))]
    bad = ("nan", "-0.01", "1e-2", "0,020", "2026-03-01", "0.02 kg", "999999", "?", ".5", "0.0.1")
    sort = int(chance.random() * (len(bad) + 2))
    if sort < len(bad):
        cells[column] = bad[sort]
    elif sort == len(bad):
        cells["kind"] = "gouje"
    else:
        cells["part"] = "blade 9"


def written(cells):
    fields = [cells[name] for name in COLUMNS]
    for i, field in enumerate(fields):
        if "," in field or '"' in field or "\n" in field:
            fields[i] = '"' + field.replace('"', '""') + '"'
    return ",".join(fields)


def rows(count, mixed, seed=5):
    """The header and so many rows, each a line. `mixed`: 2 % with something not given, 6 % with other
    units, ranges or doubts, 0.1 % that cannot be judged, a few with line ends in a field."""
    chance = random.Random(seed)
    yield ",".join(COLUMNS)
    for number in range(1, count + 1):
        cells = plain_row(chance, number)
        if mixed:
            dice = chance.random()
            if dice < 0.001:
                spoilt(chance, cells)
            elif dice < 0.081:
                doubted(chance, cells)
            elif dice < 0.083:
                cells["remark"] = "see:\nline two"
        yield written(cells)
