-- What pictures look like, in some kilobytes each, and which of them are alike: of submissions, and of own frames.

CREATE TABLE picture_print (
    id            INTEGER PRIMARY KEY AUTOINCREMENT,    -- never given twice: who has read so far reads on from there
    submission_id INTEGER UNIQUE REFERENCES submission (id),
    frame_hash    TEXT UNIQUE CHECK (length(frame_hash) = 64),    -- SHA-256 of an own frame, hexadecimal
    frame_name    TEXT,
    outing_id     INTEGER REFERENCES outing (id) ON DELETE SET NULL,    -- that the frame is of
    print         BLOB NOT NULL,
    CHECK ((submission_id IS NULL) <> (frame_hash IS NULL)),
    CHECK ((frame_hash IS NULL) = (frame_name IS NULL))
) STRICT;

-- Pairs that are alike: how, as the first would tell it of the second.
CREATE TABLE picture_likeness (
    first_id      INTEGER NOT NULL REFERENCES picture_print (id) ON DELETE CASCADE,
    second_id     INTEGER NOT NULL REFERENCES picture_print (id) ON DELETE CASCADE,
    is_copy       INTEGER NOT NULL CHECK (is_copy IN (0, 1)),
    likeness_json TEXT NOT NULL CHECK (json_valid(likeness_json)),
    PRIMARY KEY (first_id, second_id),
    CHECK (first_id <> second_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX picture_likeness_of_second ON picture_likeness (second_id);

-- What the aurora in a submission looks like ("rays"), to ask for on a board; empty where none was found.
ALTER TABLE submission ADD COLUMN form TEXT;
CREATE INDEX submission_by_claimed_at ON submission (claimed_at);
