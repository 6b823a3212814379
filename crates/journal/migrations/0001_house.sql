-- The house: places, gear, nights, and what was predicted for them.
--
-- Full records are JSON as the program's types write them; columns beside it are what one would search by, with
-- units in their names. Times are text, UTC, RFC 3339 with nine decimals, so that they sort as text.
-- A landed migration is never edited; a change is a new file.

-- "QArc": tells this file from other programs' databases.
PRAGMA application_id = 1363243619;

CREATE TABLE site (
    id            INTEGER PRIMARY KEY,
    name          TEXT NOT NULL UNIQUE CHECK (length(trim(name)) > 0),
    latitude_deg  REAL NOT NULL CHECK (latitude_deg BETWEEN -90 AND 90),
    longitude_deg REAL NOT NULL CHECK (longitude_deg BETWEEN -180 AND 180),
    json          TEXT NOT NULL CHECK (json_valid(json))
) STRICT;

CREATE TABLE kit (
    id   INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE CHECK (length(trim(name)) > 0),
    json TEXT NOT NULL CHECK (json_valid(json))
) STRICT;

CREATE TABLE outing (
    id         INTEGER PRIMARY KEY,
    site_id    INTEGER NOT NULL REFERENCES site (id) ON DELETE RESTRICT,
    kit_id     INTEGER NOT NULL REFERENCES kit (id) ON DELETE RESTRICT,
    night      TEXT NOT NULL,    -- date of the noon that opens the night
    title      TEXT NOT NULL,
    created_at TEXT NOT NULL,
    invented   INTEGER NOT NULL CHECK (invented IN (0, 1))    -- 1: made for a demonstration, nobody was there
) STRICT;

CREATE INDEX outing_by_night ON outing (night);
CREATE INDEX outing_by_site ON outing (site_id);
CREATE INDEX outing_by_kit ON outing (kit_id);

CREATE TABLE prediction (
    id               INTEGER PRIMARY KEY,
    outing_id        INTEGER NOT NULL REFERENCES outing (id) ON DELETE CASCADE,
    asked_at         TEXT NOT NULL,
    model_version    TEXT NOT NULL,
    recommendation   TEXT NOT NULL,
    best_at          TEXT,
    eye_sees         REAL CHECK (eye_sees BETWEEN 0 AND 1),
    eye_sees_colour  REAL CHECK (eye_sees_colour BETWEEN 0 AND 1),
    camera_records   REAL CHECK (camera_records BETWEEN 0 AND 1),
    kp               REAL,
    brightest_arc_kr REAL,
    request_json     TEXT NOT NULL CHECK (json_valid(request_json)),
    report_json      TEXT NOT NULL CHECK (json_valid(report_json))
) STRICT;

CREATE INDEX prediction_by_outing ON prediction (outing_id, asked_at);
