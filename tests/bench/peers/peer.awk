# The same answers as peer.c, for mawk. Figures are whole numbers of millionths.
# Usage: mawk -f TABLES.awk -f peer.awk FILE

# The fields of a line with quotes in it, into F; how many.
function quoted_fields(line, count, at, to, piece) {
    count = 0
    while (1) {
        count++
        if (substr(line, 1, 1) == "\"") {
            piece = ""
            line = substr(line, 2)
            while ((at = index(line, "\"")) && substr(line, at + 1, 1) == "\"") {
                piece = piece substr(line, 1, at)
                line = substr(line, at + 2)
            }
            if (!at) return 0
            F[count] = piece substr(line, 1, at - 1)
            line = substr(line, at + 1)
        } else {
            at = index(line, ",")
            if (!at) at = length(line) + 1
            F[count] = substr(line, 1, at - 1)
            line = substr(line, at)
        }
        if (line == "") return count
        line = substr(line, 2)
    }
}

function figure(text) {
    if (text in known) return known[text]
    if (text !~ /^[0-9]+(\.[0-9]+)?$/ || length(text) > 13) return known[text] = -1
    return known[text] = int(text * 1000000 + 0.5)
}

function show(value, text) {
    if (value in shown_figure) return shown_figure[value]
    text = sprintf("%.6f", value / 1000000)
    sub(/\.?0+$/, "", text)
    return shown_figure[value] = text
}

# A limit of a / d millionths, rounded down to five digits that count.
function show_rounded(most, places, text) {
    places = 6
    while (most >= 100000) {
        places--
        most = int(most / 10)
    }
    while (most < 10000) {
        places++
        a *= 10
        most = int(a / d)
    }
    exact = places > 6 && most * d == a
    text = sprintf("%." places "f", most / 10 ^ places)
    sub(/0+$/, "", text)
    return text
}

function halves(value, whole) {
    whole = int(value / 1000000)
    return 2 * whole + (value > whole * 1000000)
}

# The zones of a half of station, a half of chord and a side, worked out when first asked for.
function zones_at(s, c, side, count, list, i, zones) {
    if ((s, c, side) in blade_zones) return blade_zones[s, c, side]
    zones = ""
    count = split(station_zones[s], list, " ")
    for (i = 1; i <= count; i++) {
        if ((c, list[i]) in chord_zones && ((side, list[i]) in side_zones || c == 0 || c == 200)) {
            zones = zones list[i] " "
        }
    }
    return blade_zones[s, c, side] = zones
}

function zones_of(side, place) {
    side = F[6]
    place = F[7]
    if (F[4] ~ /^blade [1-6]$/) {
        station = figure(F[8])
        chord = figure(F[9])
        if (station < 6000000 || station > 52000000 || chord < 0 || chord > 100000000 || place != "")
            return ""
        return zones_at(halves(station), halves(chord), side)
    }
    if (F[8] != "" || F[9] != "" || side != "") return ""
    if (F[4] == "spinner") return place_zones["spinner", place]
    if (F[4] ~ /^boot [1-6]$/) return place_zones["boot", place]
    return ""
}

function read_finding(kind, count, names, i, text, value, given) {
    if (!(kind in records)) return 0
    count = split(records[kind], names, " ")
    given = 0
    for (i = 10; i <= 18; i++) given += F[i] != ""
    if (given != count) return 0
    for (i = 1; i <= count; i++) {
        text = F[column[names[i]]]
        if (names[i] in greatest) {
            value = figure(text)
            if (value < 0 || value > greatest[names[i]]) return 0
            typed[names[i]] = value
            taken[names[i]] = rounded[names[i]] ? int((value + 9999) / 10000) * 10000 : value
        } else {
            if (!((names[i], text) in observed)) return 0
            taken[names[i]] = text
        }
    }
    if (kind == "fraying") {
        typed["patch"] = taken["patch"] = taken["length"] / 1000 * (taken["width"] / 1000)
    }
    return 1
}

# Sets a and d: the limit of a curve is a / d.
function limit_of(test, inch) {
    inch = int(station / 1000000) - 14
    if (inch > 37) inch = 37
    d = piece_d[curve[test], inch]
    a = p[test] * (piece_a[curve[test], inch] + piece_b[curve[test], inch] * station) + r[test] * d
    d *= q[test]
}

function holds(test) {
    if (sort[test] == "figure") return taken[name[test]] <= limit[test]
    if (sort[test] == "seen") return (test, taken[name[test]]) in value
    limit_of(test)
    return taken[name[test]] * d <= a && (sort[test] == "curve" || taken[name[test]] <= limit[test])
}

# The rung that decides; `told` is the comparison that is told.
function climb(ladder, rung, test) {
    told = 0
    for (rung = first_rung[ladder]; ; rung++) {
        for (test = first_test[rung]; test <= last_test[rung]; test++) {
            if (!holds(test)) break
        }
        if (test > last_test[rung]) {
            if (rung == first_rung[ladder] && first_test[rung] <= last_test[rung]) {
                told = first_test[rung]
            }
            return rung
        }
        told = test
    }
}

function comparison(test, of, reading, most) {
    if (!test) return ",,"
    of = name[test]
    if (sort[test] == "seen") return of "," taken[of] "," shown[test]
    reading = show(taken[of]) unit[test]
    if (typed[of] != taken[of]) {
        reading = "\"" show(typed[of]) unit[test] ", taken as " reading "\""
    }
    if (sort[test] == "figure") return of "," reading "," shown[test]
    limit_of(test)
    if (sort[test] == "lesser" && a > limit[test] * d) a = limit[test] * d
    most = int(a / d)
    if (most * d == a) return of "," reading "," show(most) unit[test]
    return of "," reading "," show_rounded(most) unit[test] (exact ? "" : " (rounded)")
}

function judge(zones, count, list, i, ladder, rung, worst, worst_rung, worst_told) {
    if (!read_finding(F[5]) || (zones = zones_of()) == "") return "not judged,,,,,,,,,not plain"
    count = split(zones, list, " ")
    worst = 0
    for (i = 1; i <= count; i++) {
        if (!((F[5], list[i]) in ladder_of)) continue
        ladder = ladder_of[F[5], list[i]]
        rung = climb(ladder)
        if (!worst || outcome[rung] > outcome[worst_rung] ||
            (outcome[rung] == outcome[worst_rung] && ladder < worst)) {
            worst = ladder
            worst_rung = rung
            worst_told = told
        }
    }
    if (!worst) return "no published limit,no,,,,,,,,"
    return begin[worst_rung] comparison(worst_told) "," source[worst] ","
}

BEGIN {
    FS = ","
    OFMT = CONVFMT = "%.17g"
    count = split("depth length width area dull lie reaches raised through", names, " ")
    for (i = 1; i <= count; i++) column[names[i]] = 9 + i
    print "line,id,outcome,flight,best,zone,rule,name,reading,limit,source,reason"
}
NR == 1 { next }
{
    first = NR
    sub(/\r$/, "")
    if (index($0, "\"")) {
        line = $0
        while (gsub(/"/, "\"", line) % 2 && (getline more) > 0) line = line "\n" more
        fields = quoted_fields(line)
    } else {
        fields = NF
        for (i = 1; i <= 19; i++) F[i] = $i
    }
    print first "," F[1] "," (fields == 19 ? judge() : "not judged,,,,,,,,,not plain")
}
