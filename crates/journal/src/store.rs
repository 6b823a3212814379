use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, ErrorCode, OpenFlags, Transaction, TransactionBehavior};
use rusqlite_migration::{M, Migrations};

use crate::JournalError;

/// The steps from an empty file to today's tables, in order; each lands once and is never edited.
const MIGRATIONS: &[M<'static>] = &[
    M::up(include_str!("../migrations/0001_house.sql")),
    M::up(include_str!("../migrations/0002_feeds.sql")),
    M::up(include_str!("../migrations/0003_frames.sql")),
    M::up(include_str!("../migrations/0004_left_open.sql")),
    M::up(include_str!("../migrations/0005_met.sql")),
    M::up(include_str!("../migrations/0006_submissions.sql")),
    M::up(include_str!("../migrations/0007_readings.sql")),
    M::up(include_str!("../migrations/0008_prints.sql")),
    M::up(include_str!("../migrations/0009_measured_again.sql")),
];
/// "QArc" in ASCII: SQLite's mark of whose file it is. Set by the first migration.
const APPLICATION_ID: i64 = 0x5141_7263;

/// How a journal is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JournalOptions {
    /// How long to wait for another program that writes.
    pub busy_timeout: Duration,
    /// Largest size in pages of 4096 bytes; `None` leaves it to the disk.
    pub max_pages: Option<u32>,
}

impl Default for JournalOptions {
    fn default() -> Self {
        Self { busy_timeout: Duration::from_secs(5), max_pages: None }
    }
}

/// The record of sites, kits, outings and predictions.
///
/// One connection: it can be sent to another thread, but shared only behind a lock.
#[derive(Debug)]
pub struct Journal {
    pub(crate) connection: Connection,
}

impl Journal {
    /// Opens a journal, making it where there is none and bringing an older one up to date.
    ///
    /// # Errors
    ///
    /// The path cannot be opened or written; the file is not a journal, damaged, or of a newer version; another
    /// program holds it.
    pub fn open(path: &Path) -> Result<Self, JournalError> {
        Self::open_with(path, JournalOptions::default())
    }

    /// As [`Journal::open`], with a waiting time and a size limit of one's own.
    ///
    /// # Errors
    ///
    /// As [`Journal::open`].
    pub fn open_with(path: &Path, options: JournalOptions) -> Result<Self, JournalError> {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX
            | OpenFlags::SQLITE_OPEN_EXRESCODE;
        check_header(path)?;
        let opened = Connection::open_with_flags(path, flags).map_err(|error| opening_failed(path, error))?;
        Self::set_up(opened, path, options)
    }

    /// An empty journal that lives as long as the value.
    ///
    /// # Errors
    ///
    /// No memory.
    pub fn in_memory() -> Result<Self, JournalError> {
        Self::set_up(Connection::open_in_memory()?, &PathBuf::from(":memory:"), JournalOptions::default())
    }

    fn set_up(mut connection: Connection, path: &Path, options: JournalOptions) -> Result<Self, JournalError> {
        connection.busy_timeout(options.busy_timeout)?;
        check_identity(&connection, path).map_err(|error| looking_failed(path, error))?;
        if let Some(pages) = options.max_pages {
            connection.pragma_update(None, "max_page_count", pages)?;
        }
        // Readers go on while one writes; FULL keeps every committed row through a power cut.
        connection.pragma_update(None, "journal_mode", "wal")?;
        connection.pragma_update(None, "synchronous", "full")?;
        connection.pragma_update(None, "foreign_keys", true)?;
        Migrations::from_slice(MIGRATIONS).to_latest(&mut connection).map_err(migration_failed)?;
        Ok(Self { connection })
    }

    /// Does several things as one: all of them are stored, or none.
    ///
    /// Nothing is stored where `work` returns an error, panics, or the program ends before it is done.
    ///
    /// # Errors
    ///
    /// What `work` returns; or the journal is locked or full.
    pub fn transaction<T, E>(&mut self, work: impl FnOnce(&Self) -> Result<T, E>) -> Result<T, E>
    where
        E: From<JournalError>,
    {
        let whole =
            Transaction::new_unchecked(&self.connection, TransactionBehavior::Immediate).map_err(JournalError::from)?;
        let result = work(self)?;
        whole.commit().map_err(JournalError::from)?;
        Ok(result)
    }

    /// Empties every table. Inside [`Journal::transaction`], followed by what shall stand there instead, it replaces
    /// the whole content at once.
    ///
    /// # Errors
    ///
    /// The journal is locked or cannot be written.
    pub fn remove_everything(&self) -> Result<(), JournalError> {
        // in the order in which rows hang on one another; every statement alone is harmless if the next one fails
        for table in [
            "picture_likeness",
            "picture_print",
            "submission_change",
            "submission_export",
            "submission_consent",
            "submission",
            "submission_link",
            "frame_rating",
            "frame_verdict",
            "frame_file",
            "frame_measure",
            "feed_body",
            "prediction",
            "reading",
            "outing",
            "kit",
            "site",
        ] {
            self.connection.execute(&format!("DELETE FROM {table}"), [])?;
        }
        Ok(())
    }

    /// Reads the whole file for damage and broken references.
    ///
    /// # Errors
    ///
    /// [`JournalError::Damaged`] with the first thing found.
    pub fn check(&self) -> Result<(), JournalError> {
        let found: String = self.connection.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
        if found != "ok" {
            return Err(JournalError::Damaged { problem: found });
        }
        let mut broken = self.connection.prepare("PRAGMA foreign_key_check")?;
        if broken.exists([])? {
            return Err(JournalError::Damaged { problem: "a row refers to another that is gone".to_owned() });
        }
        Ok(())
    }
}

/// Refuses other programs' databases and newer formats before anything is written.
fn check_identity(connection: &Connection, path: &Path) -> Result<(), JournalError> {
    let number = |sql: &str| connection.query_row(sql, [], |row| row.get::<_, i64>(0));
    let application_id = number("PRAGMA application_id")?;
    let found = number("PRAGMA user_version")?;
    let objects = number("SELECT count(*) FROM sqlite_schema")?;
    let fresh = application_id == 0 && found == 0 && objects == 0;
    if !fresh && application_id != APPLICATION_ID {
        return Err(JournalError::NotAJournal { path: path.to_owned() });
    }
    let known = i64::try_from(MIGRATIONS.len()).unwrap_or(i64::MAX);
    if found > known {
        return Err(JournalError::TooNew { path: path.to_owned(), found, known });
    }
    Ok(())
}

/// Refuses files that are no database before SQLite sees them: one of a single byte it would take for a new one.
///
/// What cannot be read here is left to the opening itself, which says why.
fn check_header(path: &Path) -> Result<(), JournalError> {
    use std::io::Read;
    const HEADER: &[u8; 16] = b"SQLite format 3\0";
    let has_content = std::fs::metadata(path).is_ok_and(|about| about.is_file() && about.len() > 0);
    let Ok(file) = std::fs::File::open(path) else { return Ok(()) };
    let mut head = Vec::with_capacity(HEADER.len());
    let read = file.take(HEADER.len() as u64).read_to_end(&mut head);
    if has_content && read.is_ok() && head != HEADER {
        return Err(JournalError::NotAJournal { path: path.to_owned() });
    }
    Ok(())
}

/// Failures of the first look into a file are failures to open it.
fn looking_failed(path: &Path, error: JournalError) -> JournalError {
    match error {
        JournalError::Database { source } => opening_failed(path, source),
        other => other,
    }
}

fn opening_failed(path: &Path, error: rusqlite::Error) -> JournalError {
    match error.sqlite_error_code() {
        Some(ErrorCode::CannotOpen | ErrorCode::PermissionDenied | ErrorCode::SystemIoFailure) => {
            JournalError::CannotOpen { path: path.to_owned(), problem: error.to_string() }
        }
        Some(_) | None => error.into(),
    }
}

fn migration_failed(error: rusqlite_migration::Error) -> JournalError {
    match error {
        rusqlite_migration::Error::RusqliteError { err, .. } => err.into(),
        other => JournalError::Damaged { problem: other.to_string() },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_migrations_are_sound() {
        Migrations::from_slice(MIGRATIONS).validate().unwrap();
    }

    #[test]
    fn the_migrations_set_the_mark_and_the_version() {
        let journal = Journal::in_memory().unwrap();
        let number = |sql: &str| journal.connection.query_row(sql, [], |row| row.get::<_, i64>(0)).unwrap();
        assert_eq!(number("PRAGMA application_id"), APPLICATION_ID);
        assert_eq!(number("PRAGMA user_version"), i64::try_from(MIGRATIONS.len()).unwrap());
        assert_eq!(number("PRAGMA foreign_keys"), 1);
    }
}
