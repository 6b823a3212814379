-- Submissions: what viewers send to a desk, under which permission, and where copies of it went.
--
-- Pictures themselves are never stored here: they lie beside the journal, named by their hash.

CREATE TABLE submission_link (
    id            INTEGER PRIMARY KEY,
    token_hash    TEXT NOT NULL UNIQUE CHECK (length(token_hash) = 64),    -- SHA-256 of the token; the token itself is kept nowhere
    label         TEXT NOT NULL,
    time_zone     TEXT NOT NULL,       -- IANA: of times that senders write
    created_at    TEXT NOT NULL,
    expires_at    TEXT NOT NULL,
    revoked_at    TEXT,
    most_pictures INTEGER NOT NULL CHECK (most_pictures > 0)
) STRICT;

CREATE TABLE submission (
    id                  INTEGER PRIMARY KEY,
    content_hash        TEXT NOT NULL CHECK (length(content_hash) = 64),    -- SHA-256, hexadecimal
    file_name           TEXT NOT NULL,       -- made fit to be shown; never used as a path
    media_type          TEXT NOT NULL,
    bytes               INTEGER NOT NULL CHECK (bytes >= 0),
    received_at         TEXT NOT NULL,
    door                TEXT NOT NULL CHECK (door IN ('folder', 'desk', 'link')),
    link_id             INTEGER REFERENCES submission_link (id),
    state               TEXT NOT NULL CHECK (state IN ('received', 'measured', 'checked', 'held', 'cleared', 'used', 'withdrawn')),
    time_text           TEXT NOT NULL DEFAULT '',    -- in the sender's words
    claimed_at          TEXT,                        -- the same as an instant
    place_text          TEXT NOT NULL DEFAULT '',
    latitude_deg        REAL CHECK (latitude_deg BETWEEN -90 AND 90),
    longitude_deg       REAL CHECK (longitude_deg BETWEEN -180 AND 180),
    credit_name         TEXT NOT NULL DEFAULT '',
    contact             TEXT NOT NULL DEFAULT '',
    caption             TEXT NOT NULL DEFAULT '',
    notes               TEXT NOT NULL DEFAULT '',    -- of the desk
    problem             TEXT,                        -- why it could not be opened
    width_px            INTEGER,
    height_px           INTEGER,
    measures_json       TEXT CHECK (json_valid(measures_json)),
    measured_at         TEXT,
    evidence_json       TEXT CHECK (json_valid(evidence_json)),
    outcome             TEXT CHECK (outcome IN ('consistent', 'inconsistent', 'cannot_tell')),
    withdrawal_hash     TEXT UNIQUE,                 -- SHA-256 of the word by which its sender takes it back; kept nowhere itself
    withdrawn_at        TEXT,
    withdrawn_words     TEXT,
    erased_at           TEXT,
    rundown_place       INTEGER,
    version             INTEGER NOT NULL DEFAULT 1    -- counts changes: a second writer must have seen the first one's
) STRICT;
CREATE INDEX submission_by_hash ON submission (content_hash);
CREATE INDEX submission_by_state ON submission (state, id);
CREATE INDEX submission_unmeasured ON submission (id) WHERE measured_at IS NULL;

-- Every recording of a permission; the last one stands.
CREATE TABLE submission_consent (
    id            INTEGER PRIMARY KEY,
    submission_id INTEGER NOT NULL REFERENCES submission (id),
    recorded_at   TEXT NOT NULL,
    recorded_by   TEXT NOT NULL,
    words         TEXT NOT NULL CHECK (words <> ''),    -- what the sender said or ticked
    on_air        INTEGER NOT NULL CHECK (on_air IN (0, 1)),
    online        INTEGER NOT NULL CHECK (online IN (0, 1)),
    archive       INTEGER NOT NULL CHECK (archive IN (0, 1))
) STRICT;
CREATE INDEX submission_consent_of ON submission_consent (submission_id, id);

-- Copies that left.
CREATE TABLE submission_export (
    id            INTEGER PRIMARY KEY,
    submission_id INTEGER NOT NULL REFERENCES submission (id),
    exported_at   TEXT NOT NULL,
    exported_by   TEXT NOT NULL,
    permitted_use TEXT NOT NULL CHECK (permitted_use IN ('on_air', 'online', 'archive')),
    destination   TEXT NOT NULL,
    credit        TEXT NOT NULL
) STRICT;
CREATE INDEX submission_export_of ON submission_export (submission_id, id);

-- Who changed what, and when; rows are only added.
CREATE TABLE submission_change (
    id            INTEGER PRIMARY KEY,
    submission_id INTEGER NOT NULL REFERENCES submission (id),
    version       INTEGER NOT NULL,
    changed_at    TEXT NOT NULL,
    changed_by    TEXT NOT NULL,
    what          TEXT NOT NULL,
    change_json   TEXT NOT NULL CHECK (json_valid(change_json))
) STRICT;
CREATE INDEX submission_change_of ON submission_change (submission_id, id);
