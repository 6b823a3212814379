//! What was said kept beside what was met.

use job::SeenOutcome;
use journal::{Journal, Met, OutingId};
use quantity::{Basis, Estimate, Fraction};
use rusqlite::Connection;

use crate::samples::{furnish, furnished, instant, report};

fn met() -> Met {
    Met {
        said_at: instant("2024-05-11T08:00:00Z"),
        eye: Some(SeenOutcome::Yes),
        camera: None,
        kr: Some(Estimate { value: 30.0, low: 20.0, high: 45.0, basis: Basis::Measured }),
        kr_source: Some("a.jpg".to_owned()),
    }
}

#[test]
fn what_was_said_stands_beside_what_was_met() {
    let (journal, outing) = furnished();
    journal.record_prediction(outing, &report("2024-05-10T18:00:00Z")).unwrap();
    // asked for after the moment it speaks of: the one before stands
    journal.record_prediction(outing, &report("2024-05-11T06:00:00Z")).unwrap();
    assert_eq!(journal.scored_outings().unwrap()[0].eye, None);
    journal.record_met(outing, &met()).unwrap();
    let kept = journal.scored_outings().unwrap();
    assert_eq!(kept.len(), 1);
    let kept = &kept[0];
    assert_eq!(kept.asked_at, instant("2024-05-10T18:00:00Z"));
    assert_eq!(kept.best_at, Some(instant("2024-05-10T22:10:00Z")));
    assert_eq!((kept.eye_chance, kept.camera_chance), (Fraction::new(0.7).ok(), Fraction::new(0.99).ok()));
    assert_eq!((kept.eye, kept.camera, kept.met_kr), (Some(SeenOutcome::Yes), None, met().kr));
    assert!((kept.predicted_kr.unwrap() - 86.67).abs() < 1e-9 && !kept.cloud_counted && kept.invented);
    // a later word stands in its place
    journal.record_met(outing, &Met { eye: Some(SeenOutcome::Cloud), kr: None, kr_source: None, ..met() }).unwrap();
    let kept = journal.scored_outings().unwrap();
    assert_eq!((kept[0].eye, kept[0].met_kr), (Some(SeenOutcome::Cloud), None));
    journal.remove_outing(outing).unwrap();
    assert!(journal.scored_outings().unwrap().is_empty());
}

#[test]
fn what_was_met_comes_back_as_it_was_said() {
    let (journal, outing) = furnished();
    assert_eq!(journal.met(outing).unwrap(), None);
    for said in [met(), Met { kr: None, kr_source: None, camera: Some(SeenOutcome::No), ..met() }] {
        journal.record_met(outing, &said).unwrap();
        assert_eq!(journal.met(outing).unwrap(), Some(said));
    }
}

#[test]
fn nothing_is_met_on_an_outing_that_is_not_there() {
    let (journal, _) = furnished();
    assert!(journal.record_met(OutingId::new(99), &met()).unwrap_err().to_string().contains("outing"));
    assert!(journal.record_prediction(OutingId::new(99), &report("2024-05-10T18:00:00Z")).is_err());
    // the refused one left nothing open
    let mut journal = journal;
    journal.transaction(|_| Ok::<_, journal::JournalError>(())).unwrap();
}

#[test]
fn predictions_of_a_journal_from_before_scores_are_scored_too() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.qarc");
    let journal = Journal::open(&path).unwrap();
    let outing = furnish(&journal);
    journal.record_prediction(outing, &report("2024-05-10T18:00:00Z")).unwrap();
    let wanted = journal.scored_outings().unwrap();
    drop(journal);
    let database = Connection::open(&path).unwrap();
    let windows = "SELECT group_concat(site_name || place || is_own_site || from_at || to_at || arc_low_kr || arc_high_kr) \
                   FROM predicted_window";
    let inputs = "SELECT group_concat(place || name || source || age_minutes) FROM prediction_input";
    let all = |database: &Connection| {
        [windows, inputs].map(|sql| database.query_row(sql, [], |row| row.get::<_, String>(0)).unwrap())
    };
    let before = all(&database);
    // back to the form of the version before
    database
        .execute_batch("DROP TABLE met; DROP TABLE predicted_window; DROP TABLE prediction_input; DROP TABLE reading")
        .unwrap();
    database.execute_batch(crate::samples::DROP_SUBMISSIONS).unwrap();
    database.pragma_update(None, "user_version", 4).unwrap();
    drop(database);
    let journal = Journal::open(&path).unwrap();
    journal.check().unwrap();
    assert_eq!(journal.scored_outings().unwrap(), wanted);
    journal.record_met(outing, &met()).unwrap();
    let after = all(&Connection::open(&path).unwrap());
    assert_eq!(after[1], before[1]);
    assert!(after[0].starts_with("Test bay012024-05-10T22:00:00"), "{after:?}");
    assert!(before[0].starts_with("Test bay012024-05-10T22:00:00"), "{before:?}");
}
