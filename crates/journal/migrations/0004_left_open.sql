-- A person may also look at a frame and leave it open: that is a verdict of theirs too.

CREATE TABLE frame_verdict_wider (
    content_hash TEXT PRIMARY KEY CHECK (length(content_hash) = 64),    -- SHA-256, hexadecimal
    verdict      TEXT NOT NULL CHECK (verdict IN ('keep', 'dud', 'undecided')),
    said_at      TEXT NOT NULL
) STRICT;

INSERT INTO frame_verdict_wider SELECT content_hash, verdict, said_at FROM frame_verdict;

DROP TABLE frame_verdict;

ALTER TABLE frame_verdict_wider RENAME TO frame_verdict;
