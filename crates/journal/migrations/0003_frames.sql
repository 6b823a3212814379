-- Frames: what was measured on each, by content; which file holds which content; what a person said; ratings written.
--
-- Paths are bytes as the system gives them: a name need not be text. Pictures themselves are never stored.

CREATE TABLE frame_measure (
    id           INTEGER PRIMARY KEY,
    content_hash TEXT NOT NULL CHECK (length(content_hash) = 64),    -- SHA-256, hexadecimal
    asked        TEXT NOT NULL,    -- version of the measuring and what it was told: another question is measured anew
    json         TEXT NOT NULL CHECK (json_valid(json)),
    UNIQUE (asked, content_hash)
) STRICT;

CREATE TABLE frame_file (
    path         BLOB PRIMARY KEY,
    bytes        INTEGER NOT NULL CHECK (bytes >= 0),
    modified_ns  INTEGER NOT NULL,    -- since 1970
    inode        INTEGER NOT NULL,    -- 0 where the system has none
    content_hash TEXT NOT NULL CHECK (length(content_hash) = 64)
) STRICT;

CREATE TABLE frame_verdict (
    content_hash TEXT PRIMARY KEY CHECK (length(content_hash) = 64),
    verdict      TEXT NOT NULL CHECK (verdict IN ('keep', 'dud')),
    said_at      TEXT NOT NULL
) STRICT;

-- A rating is put down here before it is written beside the picture: one that stands there and is neither of the two is a
-- person's own.
CREATE TABLE frame_rating (
    sidecar BLOB PRIMARY KEY,    -- its path
    rating  INTEGER NOT NULL,
    before  INTEGER             -- what stood there by us
) STRICT;
