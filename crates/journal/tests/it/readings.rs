//! What frames said, kept with an outing.

use job::{ReadReport, ReadRequest, Reading, SequenceLens};
use journal::{Journal, OutingId, ReadingId};
use rusqlite::Connection;

use crate::samples::{furnish, furnished, instant};

/// A report of no frame, with a lens left out for a reason that is awkward to store.
fn report(name: &str, why: &str) -> ReadReport {
    let request = ReadRequest { name: name.to_owned(), height_km: 100.0 + 1.0 / 3.0, ..ReadRequest::default() };
    let mut reading = Reading::new(request, SequenceLens::unknown(why)).unwrap();
    reading.skip("a \"b\"'.jpg", "broken");
    reading.finish(&job::ReadRecords::default())
}

#[test]
fn a_reading_stays_with_its_outing_and_a_second_one_of_the_same_frames_takes_its_place() {
    let (journal, outing) = furnished();
    assert!(journal.readings(None).unwrap().is_empty());
    let first = journal.record_reading(outing, instant("2024-05-11T08:00:00Z"), &report("night", "few stars")).unwrap();
    assert_eq!(journal.reading(first).unwrap(), report("night", "few stars"));
    let again = journal.record_reading(outing, instant("2024-05-11T09:00:00Z"), &report("night", "no place")).unwrap();
    let other = journal.record_reading(outing, instant("2024-05-11T08:30:00Z"), &report("clip.mp4", "video")).unwrap();
    assert_eq!(first, again);
    assert_eq!(journal.reading(again).unwrap(), report("night", "no place"));
    let kept = journal.readings(Some(outing)).unwrap();
    assert_eq!(kept.iter().map(|kept| kept.id).collect::<Vec<_>>(), [again, other], "the last one read first");
    assert_eq!((kept[0].name.as_str(), kept[0].frames, kept[0].skipped, kept[0].first_at), ("night", 0, 1, None));
    assert!(journal.readings(Some(OutingId::new(99))).unwrap().is_empty());
    journal.remove_outing(outing).unwrap();
    assert!(journal.readings(None).unwrap().is_empty());
    assert!(journal.reading(again).unwrap_err().to_string().contains("reading"));
}

#[test]
fn nothing_is_kept_for_an_outing_that_is_not_there() {
    let (journal, _) = furnished();
    let refused = journal.record_reading(OutingId::new(99), instant("2024-05-11T08:00:00Z"), &report("night", ""));
    assert!(refused.unwrap_err().to_string().contains("outing"));
    assert!(journal.reading(ReadingId::new(1)).is_err());
}

#[test]
fn a_journal_from_before_readings_gains_the_table() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.qarc");
    let old = Connection::open(&path).unwrap();
    for migration in [
        include_str!("../../migrations/0001_house.sql"),
        include_str!("../../migrations/0002_feeds.sql"),
        include_str!("../../migrations/0003_frames.sql"),
        include_str!("../../migrations/0004_left_open.sql"),
        include_str!("../../migrations/0005_met.sql"),
    ] {
        old.execute_batch(migration).unwrap();
    }
    old.pragma_update(None, "user_version", 5).unwrap();
    drop(old);
    let journal = Journal::open(&path).unwrap();
    journal.check().unwrap();
    let outing = furnish(&journal);
    journal.record_reading(outing, instant("2024-05-11T08:00:00Z"), &report("night", "few stars")).unwrap();
    assert_eq!(journal.readings(Some(outing)).unwrap().len(), 1);
}
