-- The same answers as peer.c, for Lua 5.4 and LuaJIT. Figures are whole numbers of millionths, which a
-- double holds exactly. Usage: lua peer.lua TABLES.lua FILE
local T = dofile(arg[1])
local find, sub, byte, format = string.find, string.sub, string.byte, string.format
local floor, concat = math.floor, table.concat
local curves, ladders, ladder_of, records = T.curves, T.ladders, T.ladder_of, T.records
local greatest, rounded, observed = T.greatest, T.rounded, T.observed
local MILLION = 1000000
local FIRST_INCH, LAST_INCH = 14, 51
local COLUMN = { depth = 10, length = 11, width = 12, area = 13, dull = 14,
                 lie = 15, reaches = 16, raised = 17, through = 18 }
local FIELDS = 19

-- The zones of a half of station, a half of chord and a side, worked out when first asked for.
local blade_zones = {}
local function zones_at(s, c, side)
    local key = (s * 256 + c) * 2 + (side == "camber" and 1 or 0)
    local list = blade_zones[key]
    if list then return list end
    local on, there = T.side_zones[side], {}
    if not on then return nil end
    for _, zone in ipairs(T.chord_zones[c]) do there[zone] = true end
    list = {}
    for _, zone in ipairs(T.station_zones[s]) do
        if there[zone] and (on[zone] or c == 0 or c == 200) then list[#list + 1] = zone end
    end
    blade_zones[key] = list
    return list
end

local function quoted_fields(line, fields)
    local at, count, size = 1, 0, #line
    while true do
        count = count + 1
        if byte(line, at) == 34 then
            local to = at + 1
            while true do
                to = find(line, '"', to, true)
                if not to then return 0 end
                if byte(line, to + 1) ~= 34 then break end
                to = to + 2
            end
            fields[count] = (sub(line, at + 1, to - 1):gsub('""', '"'))
            at = to + 1
        else
            local comma = find(line, ",", at, true) or size + 1
            fields[count] = sub(line, at, comma - 1)
            at = comma
        end
        if at > size then return count end
        at = at + 1
    end
end

local function split(line, fields)
    if find(line, '"', 1, true) then return quoted_fields(line, fields) end
    local at, count = 1, 0
    while true do
        local comma = find(line, ",", at, true)
        count = count + 1
        if not comma then
            fields[count] = sub(line, at)
            return count
        end
        fields[count] = sub(line, at, comma - 1)
        at = comma + 1
    end
end

-- The same figures come again and again: each is read once.
local known = {}
local function figure(text)
    local value = known[text]
    if value == nil then
        local _, _, whole, part = find(text, "^(%d+)%.?(%d*)$")
        value = false
        if whole and #whole <= 6 and #part <= 6 and not find(text, "%.$") then
            value = tonumber(whole) * MILLION + tonumber(sub(part .. "000000", 1, 6))
        end
        known[text] = value
    end
    return value
end

local shown_figure = {}
local function show(value)
    local text = shown_figure[value]
    if not text then
        local whole = floor(value / MILLION)
        text = format("%d.%06d", whole, value - whole * MILLION):gsub("0+$", ""):gsub("%.$", "")
        shown_figure[value] = text
    end
    return text
end

-- A limit of most / share millionths, rounded down to five digits that count.
local function show_rounded(most, share, limit)
    local places = 6
    while limit >= 100000 do
        places, limit = places - 1, floor(limit / 10)
    end
    while limit < 10000 do
        places, most = places + 1, most * 10
        limit = floor(most / share)
    end
    local unit = 10 ^ places
    local whole = floor(limit / unit)
    local text = format("%d.%0" .. format("%d", places) .. "d", whole, floor(limit - whole * unit))
    return (text:gsub("0+$", "")), places > 6 and limit * share == most
end

local function halves(value)
    local whole = floor(value / MILLION)
    return value == whole * MILLION and 2 * whole or 2 * whole + 1
end

local part_name = { spinner = "spinner" }
for number = 1, 6 do
    part_name["blade " .. number] = "blade"
    part_name["boot " .. number] = "boot"
end

local station
local function zones_of(fields)
    local part, side, place = part_name[fields[4]], fields[6], fields[7]
    if part == "blade" then
        station = figure(fields[8])
        local chord = figure(fields[9])
        if not station or station < 6 * MILLION or station > 52 * MILLION or not chord or
            chord > 100 * MILLION or place ~= "" then
            return nil
        end
        return zones_at(halves(station), halves(chord), side)
    end
    if fields[8] ~= "" or fields[9] ~= "" or side ~= "" then return nil end
    return part and T.place_zones[part][place]
end

local typed, taken, seen = {}, {}, {}
local function read_finding(fields, wanted)
    local given = #wanted
    for i = 10, 18 do
        if fields[i] ~= "" then given = given - 1 end
    end
    if given ~= 0 then return false end
    for i = 1, #wanted do
        local name = wanted[i]
        local text = fields[COLUMN[name]]
        if observed[name] then
            if not observed[name][text] then return false end
            seen[name] = text
        else
            local value = figure(text)
            if not value or value > greatest[name] then return false end
            typed[name] = value
            taken[name] = rounded[name] == 1 and floor((value + 9999) / 10000) * 10000 or value
        end
    end
    if wanted[2] == "width" then taken.patch = taken.length / 1000 * (taken.width / 1000) end
    return true
end

local function holds(test)
    local sort = test.sort
    if sort == "figure" then return taken[test.name] <= test.limit end
    if sort == "seen" then return test.values[seen[test.name]] end
    local inch = floor(station / MILLION)
    local piece = curves[test.curve][(inch < LAST_INCH and inch or LAST_INCH) - FIRST_INCH + 1]
    local value, d = taken[test.name], piece[3]
    return value * d * test.q <= test.p * (piece[1] + piece[2] * station) + test.r * d and
        (sort == "curve" or value <= test.limit)
end

-- The rung that decides and the comparison that is told.
local function climb(ladder)
    local told
    local rungs = ladder.rungs
    for r = 1, #rungs do
        local tests = rungs[r].tests
        local failed
        for t = 1, #tests do
            if not holds(tests[t]) then
                failed = tests[t]
                break
            end
        end
        if not failed then return rungs[r], r == 1 and tests[1] or told end
        told = failed
    end
end

-- Answers are gathered in pieces and joined when there are many: no text is made twice.
local out, size = { "line,id,outcome,flight,best,zone,rule,name,reading,limit,source,reason\n" }, 1

local function put(text)
    size = size + 1
    out[size] = text
end

local function put_comparison(test)
    if not test then return put(",,") end
    local name, unit = test.name, test.unit
    put(name)
    if test.sort == "seen" then
        put(",")
        put(seen[name])
        put(",")
        return put(test.shown)
    end
    local value = taken[name]
    local rounded_here = name ~= "patch" and typed[name] ~= value
    put(rounded_here and ',"' or ",")
    if rounded_here then
        put(show(typed[name]))
        put(unit)
        put(", taken as ")
    end
    put(show(value))
    put(unit)
    put(rounded_here and '",' or ",")
    if test.sort == "figure" then return put(test.shown) end
    local inch = floor(station / MILLION)
    local piece = curves[test.curve][(inch < LAST_INCH and inch or LAST_INCH) - FIRST_INCH + 1]
    local share = piece[3] * test.q
    local most = test.p * (piece[1] + piece[2] * station) + test.r * piece[3]
    if test.sort == "lesser" and most > test.limit * share then most = test.limit * share end
    local limit = floor(most / share)
    if limit * share == most then
        put(show(limit))
        return put(unit)
    end
    local text, exact = show_rounded(most, share, limit)
    put(text)
    put(unit)
    if not exact then put(" (rounded)") end
end

local function judge(fields)
    local kind = fields[5]
    local wanted = records[kind]
    local zones = wanted and read_finding(fields, wanted) and zones_of(fields)
    if not zones then return put("not judged,,,,,,,,,not plain\n") end
    local by_zone = ladder_of[kind]
    local worst, worst_rung, worst_told
    for i = 1, #zones do
        local number = by_zone[zones[i]]
        if number then
            local rung, told = climb(ladders[number])
            if not worst or rung.outcome > worst_rung.outcome or
                rung.outcome == worst_rung.outcome and number < worst then
                worst, worst_rung, worst_told = number, rung, told
            end
        end
    end
    if not worst then return put("no published limit,no,,,,,,,,\n") end
    put(worst_rung.begin)
    put_comparison(worst_told)
    put(",")
    put(ladders[worst].source)
    put(",\n")
end

local fields, number = {}, 0
io.stdout:setvbuf("full", 262144)
local file = assert(io.open(arg[2], "rb"))
local block, at = "", 1

-- The next line; from blocks that end with a line, as a call of C for each line stops the compiler.
local function next_line()
    if at > #block then
        local more, rest = file:read(65536, "*l")
        if not more then return nil end
        block, at = more .. (rest and rest .. "\n" or ""), 1
    end
    local to = find(block, "\n", at, true) or #block + 1
    local line = sub(block, at, to - 1)
    at = to + 1
    return line
end

local line = next_line()
while line do
    number = number + 1
    local first = number
    if byte(line, -1) == 13 then line = sub(line, 1, -2) end
    if find(line, '"', 1, true) then
        while select(2, line:gsub('"', "")) % 2 == 1 do -- a line end within quotes
            local more = next_line()
            if not more then break end
            line, number = line .. "\n" .. more, number + 1
        end
    end
    if first > 1 then
        local count = split(line, fields)
        put(first)
        put(",")
        put(fields[1])
        put(",")
        if count == FIELDS then judge(fields) else put("not judged,,,,,,,,,not plain\n") end
        if size > 4000 then
            io.write(concat(out, "", 1, size))
            size = 0
        end
    end
    line = next_line()
end
io.write(concat(out, "", 1, size))
