-- What was said for each stretch of a night, and what was met on the outing.

CREATE TABLE predicted_window (
    prediction_id    INTEGER NOT NULL REFERENCES prediction (id) ON DELETE CASCADE,
    site_name        TEXT NOT NULL,       -- the outing's own site, or one it was compared with
    is_own_site      INTEGER NOT NULL CHECK (is_own_site IN (0, 1)),
    place            INTEGER NOT NULL,    -- 0: the best window of that site
    from_at          TEXT,                -- empty where the night had no window: then the best moment alone
    to_at            TEXT,
    best_at          TEXT NOT NULL,
    eye_sees         REAL CHECK (eye_sees BETWEEN 0 AND 1),
    camera_records   REAL CHECK (camera_records BETWEEN 0 AND 1),
    cloud_counted    INTEGER NOT NULL CHECK (cloud_counted IN (0, 1)),    -- 1: cloud is in both chances
    arc_kr           REAL,
    arc_low_kr       REAL,
    arc_high_kr      REAL,
    PRIMARY KEY (prediction_id, site_name, place)
) STRICT;

-- How old each input was when the question was asked.
CREATE TABLE prediction_input (
    prediction_id INTEGER NOT NULL REFERENCES prediction (id) ON DELETE CASCADE,
    place         INTEGER NOT NULL,
    name          TEXT NOT NULL,
    source        TEXT NOT NULL,
    age_minutes   REAL,
    PRIMARY KEY (prediction_id, place)
) STRICT;

-- Predictions from before: the same numbers out of their reports.
INSERT INTO predicted_window
SELECT prediction.id, site.name, 1, 0,
       json_extract(report_json, '$.windows[0].from'), json_extract(report_json, '$.windows[0].to'),
       prediction.best_at, eye_sees, camera_records,
       coalesce((SELECT json_extract(step.value, '$.clear_sightline') IS NOT NULL
                 FROM json_each(report_json, '$.steps') AS step
                 WHERE julianday(json_extract(step.value, '$.at')) = julianday(prediction.best_at) LIMIT 1), 0),
       brightest_arc_kr,
       (SELECT json_extract(step.value, '$.brightest.brightest_arc_kr.low')
        FROM json_each(report_json, '$.steps') AS step
        WHERE julianday(json_extract(step.value, '$.at')) = julianday(prediction.best_at) LIMIT 1),
       (SELECT json_extract(step.value, '$.brightest.brightest_arc_kr.high')
        FROM json_each(report_json, '$.steps') AS step
        WHERE julianday(json_extract(step.value, '$.at')) = julianday(prediction.best_at) LIMIT 1)
FROM prediction
JOIN outing ON outing.id = prediction.outing_id
JOIN site ON site.id = outing.site_id
WHERE prediction.best_at IS NOT NULL;

INSERT INTO prediction_input
SELECT prediction.id, input.key, json_extract(input.value, '$.name'), json_extract(input.value, '$.source'),
       json_extract(input.value, '$.age_minutes')
FROM prediction, json_each(report_json, '$.inputs') AS input;

-- What was met: one word an outing, the last one standing.
CREATE TABLE met (
    outing_id   INTEGER PRIMARY KEY REFERENCES outing (id) ON DELETE CASCADE,
    said_at     TEXT NOT NULL,
    eye         TEXT CHECK (eye IN ('yes', 'no', 'cloud')),
    camera      TEXT CHECK (camera IN ('yes', 'no', 'cloud')),
    kr          REAL CHECK (kr > 0),
    kr_low      REAL,
    kr_high     REAL,
    kr_basis    TEXT,
    kr_source   TEXT    -- which frame, or that a person said so
) STRICT;
