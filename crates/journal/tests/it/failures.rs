//! Files that are something else, broken, shut, full or in use; rows that are not there.

use std::path::Path;
use std::time::Duration;

use journal::{Journal, JournalError, JournalOptions, KitId, OutingId, SiteId};
use rusqlite::Connection;

use crate::samples::{furnish, furnished, kit, new_outing, report, site};

const IMPATIENT: JournalOptions = JournalOptions { busy_timeout: Duration::from_millis(20), max_pages: None };

fn refused(path: &Path) -> JournalError {
    let error = Journal::open_with(path, IMPATIENT).unwrap_err();
    assert!(!error.to_string().contains('\n') && !error.hint().is_empty());
    error
}

#[test]
fn what_is_not_there_is_named() {
    let (journal, _outing) = furnished();
    let error = journal.site_named("Atlantis").unwrap_err();
    assert_eq!(error.to_string(), "there is no site \"Atlantis\"");
    assert!(matches!(journal.site(SiteId::new(99)), Err(JournalError::NotFound { what: "site", .. })));
    assert!(matches!(journal.kit_named("x"), Err(JournalError::NotFound { what: "kit", .. })));
    assert!(matches!(journal.remove_site(SiteId::new(99)), Err(JournalError::NotFound { .. })));
    assert!(matches!(journal.replace_kit(KitId::new(99), &kit("x")), Err(JournalError::NotFound { .. })));
    let gone = OutingId::new(-1);
    assert!(matches!(journal.outing(gone), Err(JournalError::NotFound { what: "outing", .. })));
    assert!(matches!(journal.latest_prediction(gone), Err(JournalError::NotFound { what: "outing", .. })));
    assert!(matches!(journal.predictions(gone), Err(JournalError::NotFound { .. })));
    assert!(matches!(journal.remove_outing(gone), Err(JournalError::NotFound { .. })));
    let refused = journal.record_prediction(gone, &report("2024-05-10T12:00:00Z"));
    assert!(matches!(refused, Err(JournalError::NotFound { what: "outing", .. })));
}

#[test]
fn an_outing_needs_a_site_and_a_kit_that_exist() {
    let (journal, outing) = furnished();
    let stored = journal.outing(outing).unwrap();
    let no_site = journal.add_outing(&new_outing(SiteId::new(99), stored.kit_id));
    assert!(matches!(no_site, Err(JournalError::NotFound { what: "site", .. })));
    let no_kit = journal.add_outing(&new_outing(stored.site_id, KitId::new(99)));
    assert!(matches!(no_kit, Err(JournalError::NotFound { what: "kit", .. })));
    assert_eq!(journal.outings().unwrap().len(), 1);
}

#[test]
fn a_site_or_kit_in_use_stays() {
    let (journal, outing) = furnished();
    let stored = journal.outing(outing).unwrap();
    let error = journal.remove_site(stored.site_id).unwrap_err();
    assert!(matches!(error, JournalError::InUse { what: "site", outings: 1, .. }), "{error:?}");
    let error = journal.remove_kit(stored.kit_id).unwrap_err();
    assert!(matches!(error, JournalError::InUse { what: "kit", outings: 1, .. }), "{error:?}");
    assert_eq!(journal.outing(outing).unwrap(), stored);
}

#[test]
fn a_report_with_a_number_that_is_not_finite_is_not_stored() {
    let (journal, outing) = furnished();
    let mut report = report("2024-05-10T12:00:00Z");
    report.model_lat_deg = f64::NAN;
    let error = journal.record_prediction(outing, &report).unwrap_err();
    assert!(matches!(error, JournalError::Unreadable { what: "prediction", .. }), "{error:?}");
    assert_eq!(journal.latest_prediction(outing).unwrap(), None);
}

#[test]
fn a_journal_another_program_writes_to_is_locked_and_unlocks() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.qarc");
    let journal = Journal::open_with(&path, IMPATIENT).unwrap();
    furnish(&journal);
    let other = Connection::open(&path).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let error = journal.add_site(&site("Second")).unwrap_err();
    assert!(matches!(error, JournalError::Locked), "{error:?}");
    assert_eq!(journal.sites().unwrap().len(), 1, "reading goes on");
    other.execute_batch("ROLLBACK").unwrap();
    journal.add_site(&site("Second")).unwrap();
}

#[test]
fn a_new_journal_that_another_program_holds_is_locked() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.qarc");
    let other = Connection::open(&path).unwrap();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    assert!(matches!(refused(&path), JournalError::Locked));
}

#[test]
fn a_full_disk_is_said_and_loses_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.qarc");
    let journal = Journal::open_with(&path, JournalOptions { max_pages: Some(64), ..IMPATIENT }).unwrap();
    let outing = furnish(&journal);
    let error = (0..100)
        .find_map(|_| journal.record_prediction(outing, &report("2024-05-10T12:00:00Z")).err())
        .expect("100 reports do not fit into 64 pages");
    assert!(matches!(error, JournalError::Full), "{error:?}");
    let stored = journal.predictions(outing).unwrap().len();
    assert!(stored > 0);
    drop(journal);
    let journal = Journal::open(&path).unwrap();
    journal.check().unwrap();
    assert_eq!(journal.predictions(outing).unwrap().len(), stored);
    journal.record_prediction(outing, &report("2024-05-10T12:00:00Z")).unwrap();
}

#[test]
fn a_file_of_something_else_is_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("holiday.jpg");
    for content in [b"\xff\xd8\xff\xe0 a picture".repeat(100), b"short".to_vec(), vec![0; 5000]] {
        std::fs::write(&path, &content).unwrap();
        let error = refused(&path);
        assert!(matches!(error, JournalError::NotAJournal { .. }), "{error:?}");
        assert_eq!(std::fs::read(&path).unwrap(), content);
    }
}

#[test]
fn another_programs_database_is_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("photos.db");
    Connection::open(&path).unwrap().execute_batch("CREATE TABLE photo (id INTEGER)").unwrap();
    let before = std::fs::read(&path).unwrap();
    assert!(matches!(refused(&path), JournalError::NotAJournal { .. }));
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn an_empty_file_becomes_a_journal() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.qarc");
    std::fs::write(&path, b"").unwrap();
    furnish(&Journal::open(&path).unwrap());
    assert_eq!(Journal::open(&path).unwrap().sites().unwrap().len(), 1);
}

#[test]
fn a_newer_journal_is_not_touched() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.qarc");
    drop(Journal::open(&path).unwrap());
    Connection::open(&path).unwrap().pragma_update(None, "user_version", 42).unwrap();
    let error = refused(&path);
    assert!(matches!(error, JournalError::TooNew { found: 42, known: 9, .. }), "{error:?}");
    assert!(error.to_string().contains("night.qarc"));
}

#[test]
fn a_path_that_cannot_be_a_file_is_named() {
    let folder = tempfile::tempdir().unwrap();
    assert!(matches!(refused(folder.path()), JournalError::CannotOpen { .. }));
    let error = refused(&folder.path().join("no/such/folder/night.qarc"));
    assert!(matches!(error, JournalError::CannotOpen { .. }), "{error:?}");
    assert!(error.to_string().contains("no/such/folder"));
}

#[test]
fn a_journal_with_broken_pages_gives_an_error_and_no_wrong_rows() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.qarc");
    let journal = Journal::open(&path).unwrap();
    let outing = furnish(&journal);
    journal.record_prediction(outing, &report("2024-05-10T12:00:00Z")).unwrap();
    drop(journal);
    let whole = std::fs::read(&path).unwrap();
    let mut found = 0;
    for page in 0..whole.len() / 4096 {
        let mut broken = whole.clone();
        // the first page keeps its header, so that it still looks like a database
        let from = if page == 0 { 100 } else { page * 4096 };
        broken[from..(page + 1) * 4096].fill(0x5a);
        std::fs::write(&path, &broken).unwrap();
        let outcome = Journal::open_with(&path, IMPATIENT).and_then(|journal| {
            journal.check()?;
            journal.outings()?;
            journal.latest_prediction(outing)
        });
        let error = outcome.expect_err("a page of rubbish is noticed");
        assert!(!error.hint().is_empty());
        found += usize::from(matches!(error, JournalError::Damaged { .. }));
    }
    assert_eq!(found, whole.len() / 4096, "all of them called damage");
}

#[test]
fn a_journal_cut_anywhere_gives_an_error_or_all_it_held() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.qarc");
    let journal = Journal::open(&path).unwrap();
    furnish(&journal);
    let held = journal.outings().unwrap();
    drop(journal);
    let whole = std::fs::read(&path).unwrap();
    let mut refused = 0;
    for length in (1..whole.len()).step_by(2047) {
        std::fs::write(&path, &whole[..length]).unwrap();
        let outcome = Journal::open_with(&path, IMPATIENT).and_then(|journal| {
            journal.check()?;
            journal.outings()
        });
        // a cut inside the unused part of the last page loses nothing
        match outcome {
            Ok(outings) => assert_eq!(outings, held, "cut at {length}"),
            Err(error) => refused += usize::from(!error.hint().is_empty()),
        }
    }
    assert!(refused > whole.len() / 4096);
}

#[cfg(unix)]
#[test]
#[expect(clippy::print_stderr, reason = "a test that was left out must say so")]
fn a_folder_or_file_that_may_not_be_written_is_said() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let shut = folder.path().join("shut");
    std::fs::create_dir(&shut).unwrap();
    std::fs::set_permissions(&shut, std::fs::Permissions::from_mode(0o555)).unwrap();
    if std::fs::write(shut.join("probe"), b"").is_ok() {
        eprintln!("left out: this account may write everywhere");
        return;
    }
    assert!(matches!(refused(&shut.join("night.qarc")), JournalError::CannotOpen { .. }));
    let path = folder.path().join("night.qarc");
    drop(Journal::open(&path).unwrap());
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o444)).unwrap();
    let outcome = Journal::open_with(&path, IMPATIENT).and_then(|journal| journal.add_site(&site("x")));
    assert!(matches!(outcome, Err(JournalError::ReadOnly)), "{outcome:?}");
}
