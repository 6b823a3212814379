-- Feeds: of every address the last good body, how it was last asked, and the last bad body, kept aside.
--
-- A bad answer touches neither the body nor anything that belongs to it. Times are text as in 0001. The two bodies stand
-- last, so that a look at the other columns does not read them.

CREATE TABLE feed_body (
    id                   INTEGER PRIMARY KEY,
    feed                 TEXT NOT NULL CHECK (length(trim(feed)) > 0),
    url                  TEXT NOT NULL CHECK (length(trim(url)) > 0),
    standing             TEXT NOT NULL CHECK (standing IN ('good', 'failing', 'blocked', 'retired')),
    asked_at             TEXT,    -- last question over the network, whatever came of it
    http_status          INTEGER CHECK (http_status BETWEEN 100 AND 999),
    consecutive_failures INTEGER NOT NULL DEFAULT 0 CHECK (consecutive_failures >= 0),
    gone_answers         INTEGER NOT NULL DEFAULT 0 CHECK (gone_answers >= 0),
    next_allowed_at      TEXT,    -- not to be asked before
    last_error           TEXT,    -- empty after a good answer
    last_remedy          TEXT,
    notes_json           TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(notes_json)),
    origin               TEXT CHECK (origin IN ('network', 'folder')),
    etag                 TEXT,    -- exactly as it came
    last_modified        TEXT,    -- exactly as it came
    expires_at           TEXT,
    received_at          TEXT,    -- when the body came
    checked_at           TEXT,    -- when the publisher last confirmed it
    bad_body_at          TEXT,
    body                 BLOB,
    bad_body             BLOB,
    UNIQUE (feed, url),
    CHECK ((body IS NULL) = (received_at IS NULL) AND (body IS NULL) = (origin IS NULL)),
    CHECK ((bad_body IS NULL) = (bad_body_at IS NULL))
) STRICT;
