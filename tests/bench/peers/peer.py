"""The same answers as peer.c, in Python. Figures are whole numbers of millionths.
Usage: peer.py FOLDER-OF-TABLES FILE"""
import csv
import re
import sys

sys.path.insert(0, sys.argv[1])
from fleet_peer_tables import (  # noqa: E402
    chord_zones, curves, greatest, ladder_of, ladders, observed, place_zones, records, rounded,
    side_zones, station_zones)

MILLION = 1000000
FIRST_INCH, LAST_INCH = 14, 51
MEASURES = ("depth", "length", "width", "area", "dull")
COLUMN = {name: 9 + number for number, name in
          enumerate(MEASURES + ("lie", "reaches", "raised", "through"))}
FIELDS = 19
plain_figure = re.compile(r"(\d{1,6})(?:\.(\d{1,6}))?", re.ASCII).fullmatch
blade = re.compile("blade [1-6]").fullmatch
boot = re.compile("boot [1-6]").fullmatch
known, shown = {}, {}
blade_zones = {}


def figure(text):
    value = known.get(text)
    if value is None:
        match = plain_figure(text)
        if not match:
            raise ValueError(text)
        value = known[text] = int(match[1]) * MILLION + int((match[2] or "").ljust(6, "0"))
    return value


def show(value):
    text = shown.get(value)
    if text is None:
        text = f"{value // MILLION}.{value % MILLION:06d}".rstrip("0").rstrip(".")
        shown[value] = text
    return text


def show_rounded(most, share, limit):
    """A limit of most / share millionths, rounded down to five digits that count."""
    places = 6
    while limit >= 100000:
        places, limit = places - 1, limit // 10
    while limit < 10000:
        places, most = places + 1, most * 10
        limit = most // share
    exact = places > 6 and limit * share == most
    text = f"{limit // 10 ** places}.{limit % 10 ** places:0{places}d}".rstrip("0")
    return text, "" if exact else " (rounded)"


def zones_of(fields):
    part, side, place = fields[3], fields[5], fields[6]
    if blade(part):
        station, chord = figure(fields[7]), figure(fields[8])
        if not 6 * MILLION <= station <= 52 * MILLION or chord > 100 * MILLION or place:
            raise ValueError(part)
        key = (2 * (station // MILLION) + (station % MILLION > 0),
               2 * (chord // MILLION) + (chord % MILLION > 0), side)
        zones = blade_zones.get(key)
        if zones is None:
            on, by_chord = side_zones[side], chord_zones[key[1]]
            zones = blade_zones[key] = [zone for zone in station_zones[key[0]] if zone in by_chord
                                        and (zone in on or key[1] in (0, 200))]
        return zones, station
    if fields[7] or fields[8] or side:
        raise ValueError(part)
    return place_zones["boot" if boot(part) else part][place], 0


def limit_of(test, station):
    """The limit of a curve as a fraction: what times the reading is compared with what."""
    a, b, d = curves[test["curve"]][min(station // MILLION, LAST_INCH) - FIRST_INCH]
    return d * test["q"], test["p"] * (a + b * station) + test["r"] * d


def holds(test, taken, station):
    sort, value = test["sort"], taken[test["name"]]
    if sort == "figure":
        return value <= test["limit"]
    if sort == "seen":
        return value in test["values"]
    share, most = limit_of(test, station)
    return value * share <= most and (sort == "curve" or value <= test["limit"])


def climb(ladder, taken, station):
    """The rung that decides and the comparison that is told."""
    told = None
    for rung in ladder["rungs"]:
        for test in rung["tests"]:
            if not holds(test, taken, station):
                told = test
                break
        else:
            return rung, told or (rung["tests"][0] if rung["tests"] else None)


def comparison(test, typed, taken, station):
    if not test:
        return ",,"
    name, unit, sort = test["name"], test["unit"], test["sort"]
    if sort == "seen":
        return f"{name},{taken[name]},{test['shown']}"
    reading = show(taken[name]) + unit
    if typed.get(name, taken[name]) != taken[name]:
        reading = f'"{show(typed[name])}{unit}, taken as {reading}"'
    if sort == "figure":
        return f"{name},{reading},{test['shown']}"
    share, most = limit_of(test, station)
    if sort == "lesser":
        most = min(most, test["limit"] * share)
    limit, rest = divmod(most, share)
    if not rest:
        return f"{name},{reading},{show(limit)}{unit}"
    text, mark = show_rounded(most, share, limit)
    return f"{name},{reading},{text}{unit}{mark}"


def judge(fields):
    kind = fields[4]
    typed, taken = {}, {}
    wanted = records[kind]
    if sum(map(bool, fields[9:18])) != len(wanted):
        raise ValueError(kind)
    for name in wanted:
        text = fields[COLUMN[name]]
        if name in observed:
            if text not in observed[name]:
                raise ValueError(text)
            taken[name] = text
        else:
            value = typed[name] = figure(text)
            if value > greatest[name]:
                raise ValueError(text)
            taken[name] = (value + 9999) // 10000 * 10000 if rounded[name] else value
    if kind == "fraying":
        taken["patch"] = taken["length"] * taken["width"] // MILLION
    zones, station = zones_of(fields)
    by_zone = ladder_of[kind]
    worst = None
    for zone in zones:
        number = by_zone.get(zone)
        if number is not None:
            rung, told = climb(ladders[number], taken, station)
            key = (-rung["outcome"], number)
            if worst is None or key < worst[0]:
                worst = key, rung, told
    if worst is None:
        return "no published limit,no,,,,,,,,"
    (_, number), rung, told = worst
    return f"{rung['begin']}{comparison(told, typed, taken, station)},{ladders[number]['source']},"


def main():
    write = sys.stdout.write
    write("line,id,outcome,flight,best,zone,rule,name,reading,limit,source,reason\n")
    with open(sys.argv[2], newline="", encoding="utf-8") as file:
        reader = csv.reader(file)
        next(reader)
        line = reader.line_num + 1
        for fields in reader:
            try:
                if len(fields) != FIELDS:
                    raise ValueError(len(fields))
                answer = judge(fields)
            except (ValueError, KeyError):
                answer = "not judged,,,,,,,,,not plain"
            write(f"{line},{fields[0]},{answer}\n")
            line = reader.line_num + 1


main()
