-- The same answers as peer.c, in SQLite: the book in tables, the rows imported, read, compared, and
-- judged by a query each. Figures are
-- whole numbers of millionths. Usage: sqlite3 -bail :memory: with TABLES.sql, an import of the rows
-- into the table `row`, then this.
.mode list
.separator ,
.headers off
SELECT 'line,id,outcome,flight,best,zone,rule,name,reading,limit,source,reason';

CREATE TABLE finding (number INTEGER PRIMARY KEY, id, kind, side, place, part, station, chord, depth,
    typed_length, typed_width, typed_area, typed_dull, lie, reaches, raised, through,
    length, width, area, dull);
WITH figures AS (
    SELECT rowid AS number, id, kind, side, place,
           CASE WHEN part LIKE 'blade %' THEN 'blade' WHEN part LIKE 'boot %' THEN 'boot' ELSE part END
               AS part,
           CAST(round("station in" * 1000000) AS INTEGER) AS station,
           CAST(round("chord %" * 1000000) AS INTEGER) AS chord,
           CAST(round("depth in" * 1000000) AS INTEGER) AS depth,
           CAST(round("length in" * 1000000) AS INTEGER) AS typed_length,
           CAST(round("width in" * 1000000) AS INTEGER) AS typed_width,
           CAST(round("area in2" * 1000000) AS INTEGER) AS typed_area,
           CAST(round("dull in2" * 1000000) AS INTEGER) AS typed_dull,
           lie, reaches, raised, through
    FROM row
)
INSERT INTO finding SELECT *, (typed_length + 9999) / 10000 * 10000 AS length,
    (typed_width + 9999) / 10000 * 10000 AS width,
    (typed_area + 9999) / 10000 * 10000 AS area, (typed_dull + 9999) / 10000 * 10000 AS dull
FROM figures;

CREATE TABLE failing AS WITH touched AS (
    SELECT number, zone FROM finding CROSS JOIN blade_zone
    ON part = 'blade' AND blade_zone.side = CASE WHEN chord IN (0, 100000000) THEN 'both' ELSE finding.side END
       AND station BETWEEN from_station AND to_station AND chord BETWEEN from_chord AND to_chord
    UNION ALL
    SELECT number, zone FROM finding CROSS JOIN place_zone
    ON place_zone.part = finding.part AND place_zone.place = finding.place
), compared AS (
    -- Each comparison that could decide, with its reading and its limit.
    SELECT f.number, ladder.id AS ladder, rung.id AS rung, rung.step, rung.outcome, test.id AS test,
           test.name, test.unit, test.shown, test.curve,
           CASE test.name WHEN 'depth' THEN depth WHEN 'length' THEN length WHEN 'width' THEN width
                WHEN 'area' THEN area WHEN 'dull' THEN dull
                WHEN 'patch' THEN length / 1000 * (width / 1000) END AS reading,
           CASE test.name WHEN 'length' THEN typed_length WHEN 'width' THEN typed_width
                WHEN 'area' THEN typed_area WHEN 'dull' THEN typed_dull END AS typed,
           CASE test.name WHEN 'lie' THEN lie WHEN 'reaches' THEN reaches WHEN 'raised' THEN raised
                WHEN 'through' THEN through END AS seen,
           test.most, q * d AS share, p * (a + b * f.station) + r * d AS most_shared
    FROM touched
    CROSS JOIN finding f ON f.number = touched.number
    CROSS JOIN ladder ON ladder.kind = f.kind AND ladder.zone = touched.zone
    CROSS JOIN rung ON rung.ladder = ladder.id
    LEFT JOIN test ON test.rung = rung.id
    LEFT JOIN piece ON piece.curve = test.curve AND piece.inch = min(f.station / 1000000, 51)
)
SELECT *, min(most_shared / share, ifnull(most, most_shared / share)) AS bound,
       test IS NOT NULL AND
       CASE WHEN seen IS NOT NULL
            THEN NOT EXISTS (SELECT 1 FROM allowed WHERE allowed.test = compared.test AND value = seen)
            WHEN curve IS NULL THEN reading > most
            ELSE reading * share > most_shared OR reading > ifnull(most, reading) END AS fails
FROM compared;
CREATE INDEX failing_test ON failing (number, ladder, test);

WITH climbed AS (
    -- For each rung whether it decides, and the comparison that would be told.
    SELECT number, ladder, rung, step, outcome, max(fails) AS fails,
           min(CASE WHEN fails THEN test END) AS first_failing, min(test) AS first_test
    FROM failing GROUP BY number, ladder, rung
), decided AS (
    SELECT number, ladder, rung, outcome,
           CASE WHEN step THEN before ELSE first_test END AS told
    FROM (SELECT *, lag(first_failing) OVER steps AS before,
                 sum(NOT fails) OVER (PARTITION BY number, ladder ORDER BY step
                                      ROWS UNBOUNDED PRECEDING) AS so_far
          FROM climbed WINDOW steps AS (PARTITION BY number, ladder ORDER BY step))
    WHERE NOT fails AND so_far = 1
), governing AS MATERIALIZED (
    SELECT * FROM (SELECT *, row_number() OVER (PARTITION BY number ORDER BY outcome DESC, ladder) AS place
                   FROM decided) WHERE place = 1
)
SELECT printf('%d,%s,%s%s,%s,', f.number + 1, f.id, rung.begins,
    CASE
    WHEN c.test IS NULL THEN ',,'
    WHEN c.seen IS NOT NULL THEN c.name || ',' || c.seen || ',' || c.shown
    ELSE c.name || ',' ||
        CASE WHEN c.typed <> c.reading
        THEN '"' || rtrim(rtrim(printf('%d.%06d', c.typed / 1000000, c.typed % 1000000), '0'), '.') ||
             c.unit || ', taken as ' ||
             rtrim(rtrim(printf('%d.%06d', c.reading / 1000000, c.reading % 1000000), '0'), '.') ||
             c.unit || '"'
        ELSE rtrim(rtrim(printf('%d.%06d', c.reading / 1000000, c.reading % 1000000), '0'), '.') || c.unit
        END || ',' ||
        CASE WHEN c.curve IS NULL THEN c.shown
        WHEN c.most = c.bound OR c.bound * c.share = c.most_shared
        THEN rtrim(rtrim(printf('%d.%06d', c.bound / 1000000, c.bound % 1000000), '0'), '.') || c.unit
        -- rounded down to five digits that count
        WHEN c.bound >= 10000000 THEN rtrim(printf('%d.%03d', c.bound / 1000000, c.bound / 1000 % 1000), '0')
             || c.unit || ' (rounded)'
        WHEN c.bound >= 1000000 THEN rtrim(printf('%d.%04d', c.bound / 1000000, c.bound / 100 % 10000), '0')
             || c.unit || ' (rounded)'
        WHEN c.bound >= 100000 THEN rtrim(printf('0.%05d', c.bound / 10), '0') || c.unit || ' (rounded)'
        WHEN c.bound >= 10000 THEN rtrim(printf('0.%06d', c.bound), '0') || c.unit || ' (rounded)'
        WHEN c.bound >= 1000 THEN rtrim(printf('0.%07d', c.most_shared * 10 / c.share), '0')
             || c.unit || iif(c.most_shared * 10 % c.share, ' (rounded)', '')
        ELSE rtrim(printf('0.%08d', c.most_shared * 100 / c.share), '0')
             || c.unit || iif(c.most_shared * 100 % c.share, ' (rounded)', '')
        END
    END,
    (SELECT source FROM ladder WHERE ladder.id = governing.ladder LIMIT 1))
FROM governing -- of every finding: the book leaves no place without a limit
CROSS JOIN finding f ON f.number = governing.number
LEFT JOIN rung ON rung.id = governing.rung
LEFT JOIN failing c
ON c.number = f.number AND c.ladder = governing.ladder AND c.test = governing.told
ORDER BY f.number;
