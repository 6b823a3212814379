-- What frames said of an outing: one report for each folder, file or video that was read, the last one standing.

CREATE TABLE reading (
    id            INTEGER PRIMARY KEY,
    outing_id     INTEGER NOT NULL REFERENCES outing (id) ON DELETE CASCADE,
    name          TEXT NOT NULL,    -- the folder or files, as they were given
    read_at       TEXT NOT NULL,    -- when this was worked out
    model_version TEXT NOT NULL,
    first_at      TEXT,             -- middle of the first exposure; empty where no frame could be read
    last_at       TEXT,
    frames        INTEGER NOT NULL CHECK (frames >= 0),
    skipped       INTEGER NOT NULL CHECK (skipped >= 0),
    report_json   TEXT NOT NULL CHECK (json_valid(report_json)),
    UNIQUE (outing_id, name)
) STRICT;
