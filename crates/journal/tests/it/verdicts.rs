//! What a person says about frames.

use std::collections::HashMap;

use job::PersonVerdict;
use journal::Journal;
use quantity::Timestamp;
use rusqlite::Connection;

const KEPT: &str = "00000000000000000000000000000000000000000000000000000000000000aa";
const OPEN: &str = "00000000000000000000000000000000000000000000000000000000000000bb";

fn at() -> Timestamp {
    "2026-03-15T08:00:00Z".parse().unwrap()
}

#[test]
fn a_verdict_stands_until_it_is_changed_or_taken_back() {
    let journal = Journal::in_memory().unwrap();
    for verdict in [PersonVerdict::Keep, PersonVerdict::Dud, PersonVerdict::Undecided] {
        journal.record_frame_verdict(KEPT, Some(verdict), at()).unwrap();
        assert_eq!(journal.frame_verdicts().unwrap(), HashMap::from([(KEPT.to_owned(), verdict)]));
    }
    journal.record_frame_verdict(KEPT, None, at()).unwrap();
    assert!(journal.frame_verdicts().unwrap().is_empty());
    assert!(journal.record_frame_verdict("unread a.jpg", Some(PersonVerdict::Keep), at()).is_err(), "no content");
}

#[test]
fn verdicts_of_a_journal_that_knew_no_frame_left_open_are_kept() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.qarc");
    let old = Connection::open(&path).unwrap();
    for migration in [
        include_str!("../../migrations/0001_house.sql"),
        include_str!("../../migrations/0002_feeds.sql"),
        include_str!("../../migrations/0003_frames.sql"),
    ] {
        old.execute_batch(migration).unwrap();
    }
    old.pragma_update(None, "user_version", 3).unwrap();
    let row = "INSERT INTO frame_verdict VALUES (?1, 'keep', '2026-03-15T08:00:00Z')";
    old.execute(row, [KEPT]).unwrap();
    drop(old);
    let journal = Journal::open(&path).unwrap();
    journal.check().unwrap();
    journal.record_frame_verdict(OPEN, Some(PersonVerdict::Undecided), at()).unwrap();
    let wanted = [(KEPT, PersonVerdict::Keep), (OPEN, PersonVerdict::Undecided)];
    let wanted = wanted.map(|(hash, verdict)| (hash.to_owned(), verdict));
    assert_eq!(journal.frame_verdicts().unwrap(), HashMap::from(wanted));
}
