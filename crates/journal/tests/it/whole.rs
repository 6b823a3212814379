//! All or nothing.

use std::panic::AssertUnwindSafe;

use journal::{Journal, JournalError};

use crate::samples::{furnish, kit, report, site};

#[test]
fn a_transaction_stores_everything() {
    let mut journal = Journal::in_memory().unwrap();
    let outing = journal
        .transaction(|journal| {
            let outing = furnish(journal);
            journal.record_prediction(outing, &report("2024-05-10T12:00:00Z"))?;
            Ok::<_, JournalError>(outing)
        })
        .unwrap();
    assert!(journal.latest_prediction(outing).unwrap().is_some());
}

#[test]
fn a_transaction_that_fails_stores_nothing() {
    let mut journal = Journal::in_memory().unwrap();
    let outcome = journal.transaction(|journal| {
        journal.add_site(&site("Bay"))?;
        journal.add_kit(&kit("Wide"))?;
        journal.add_site(&site("Bay"))
    });
    assert!(matches!(outcome, Err(JournalError::DuplicateName { .. })));
    assert!(journal.sites().unwrap().is_empty() && journal.kits().unwrap().is_empty());
    journal.add_site(&site("Bay")).unwrap();
}

#[test]
fn a_transaction_that_panics_stores_nothing_and_the_journal_goes_on() {
    let mut journal = Journal::in_memory().unwrap();
    let hook = std::panic::take_hook();
    std::panic::set_hook(Box::new(|_| {}));
    let outcome = std::panic::catch_unwind(AssertUnwindSafe(|| {
        journal.transaction(|journal| -> Result<(), JournalError> {
            furnish(journal);
            panic!("half-way");
        })
    }));
    std::panic::set_hook(hook);
    assert!(outcome.is_err());
    assert!(journal.outings().unwrap().is_empty());
    furnish(&journal);
}

#[test]
fn a_program_killed_half_way_leaves_the_old_content() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.qarc");
    let mut journal = Journal::open(&path).unwrap();
    let outing = furnish(&journal);
    // what a kill leaves behind: the file and its write-ahead log as they stand in the middle of a transaction
    let copy = folder.path().join("copy.qarc");
    let stopped = journal.transaction(|journal| {
        journal.remove_everything()?;
        for number in 0..200 {
            journal.add_site(&site(&format!("half {number}")))?;
        }
        for suffix in ["", "-wal"] {
            let from = format!("{}{suffix}", path.display());
            std::fs::copy(from, format!("{}{suffix}", copy.display())).unwrap();
        }
        Err::<(), _>(JournalError::Full)
    });
    assert!(stopped.is_err());
    for left in [&path, &copy] {
        let journal = Journal::open(left).unwrap();
        journal.check().unwrap();
        assert_eq!(journal.sites().unwrap().len(), 1);
        assert_eq!(journal.outing(outing).unwrap().site, site("Test bay"));
    }
}

#[test]
fn replacing_everything_in_one_transaction_swaps_the_content() {
    let mut journal = Journal::in_memory().unwrap();
    let outing = furnish(&journal);
    journal.record_prediction(outing, &report("2024-05-10T12:00:00Z")).unwrap();
    journal
        .transaction(|journal| {
            journal.remove_everything()?;
            journal.add_site(&site("New bay"))
        })
        .unwrap();
    let names: Vec<String> = journal.sites().unwrap().into_iter().map(|stored| stored.site.name).collect();
    assert_eq!(names, ["New bay"]);
    assert!(journal.outings().unwrap().is_empty());
}

#[test]
fn a_journal_can_be_sent_to_another_thread() {
    let journal = Journal::in_memory().unwrap();
    let sites = std::thread::spawn(move || journal.sites().unwrap().len()).join().unwrap();
    assert_eq!(sites, 0);
}
