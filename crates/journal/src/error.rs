use std::path::PathBuf;

use rusqlite::ErrorCode;
use thiserror::Error;

/// A journal that cannot do what it was asked.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum JournalError {
    /// Another program writes to it.
    #[error("the journal is in use: another program is writing to it")]
    Locked,
    /// No room for more.
    #[error("the journal cannot grow: the disk or its size limit is full")]
    Full,
    /// The file is something else.
    #[error("{} is not a Quietarc journal", path.display())]
    NotAJournal {
        /// The file.
        path: PathBuf,
    },
    /// Written by a newer version of the program.
    #[error("{} was written by a newer version: it has format {found}, this version knows {known}", path.display())]
    TooNew {
        /// The file.
        path: PathBuf,
        /// Its format.
        found: i64,
        /// The newest format known here.
        known: i64,
    },
    /// The file's inside is broken.
    #[error("the journal is damaged: {problem}")]
    Damaged {
        /// What the database found.
        problem: String,
    },
    /// The file cannot be opened or made.
    #[error("cannot open the journal {}: {problem}", path.display())]
    CannotOpen {
        /// The file.
        path: PathBuf,
        /// What the system says.
        problem: String,
    },
    /// The file can be read but not written.
    #[error("the journal can be read but not written")]
    ReadOnly,
    /// No such row.
    #[error("there is no {what} {key:?}")]
    NotFound {
        /// "site", "kit", "outing".
        what: &'static str,
        /// The name or number asked for.
        key: String,
    },
    /// The name is taken.
    #[error("there is already a {what} named {name:?}")]
    DuplicateName {
        /// "site" or "kit".
        what: &'static str,
        /// The name.
        name: String,
    },
    /// A name without a letter in it.
    #[error("a {what} needs a name")]
    EmptyName {
        /// "site" or "kit".
        what: &'static str,
    },
    /// Outings hang on it.
    #[error("{what} {key} is used by {outings} outings")]
    InUse {
        /// "site" or "kit".
        what: &'static str,
        /// Its number.
        key: String,
        /// How many.
        outings: u32,
    },
    /// Somebody else changed it since it was read.
    #[error("{what} {key} was changed by {by:?} meanwhile: you saw version {seen}, it has {current}")]
    Changed {
        /// "submission".
        what: &'static str,
        /// Its number.
        key: String,
        /// The version that the writer had seen.
        seen: i64,
        /// The one that stands.
        current: i64,
        /// Who changed it last.
        by: String,
    },
    /// Somebody else changed the order for air since it was read.
    #[error("the rundown was changed by somebody else meanwhile")]
    RundownChanged,
    /// A submission may not be used so.
    #[error("submission {key} may not leave: {reason}")]
    NotPermitted {
        /// Its number.
        key: String,
        /// Why.
        reason: String,
        /// What to do about it.
        remedy: &'static str,
    },
    /// A record that this version cannot read back, or that could not be read back once stored.
    #[error("the {what} {key} cannot be read: {source}")]
    Unreadable {
        /// "site", "kit", "prediction".
        what: &'static str,
        /// Its number or name.
        key: String,
        /// Why.
        source: serde_json::Error,
    },
    /// Anything else the database says.
    #[error("the journal's database failed: {source}")]
    Database {
        /// What it says.
        source: rusqlite::Error,
    },
}

impl JournalError {
    /// What to do about it, for the terminal and the page alike.
    pub fn hint(&self) -> String {
        match self {
            Self::Locked => "close the other Quietarc, or wait until it has finished, and try again".to_owned(),
            Self::Full => "free some space on that disk and try again; what was stored before is safe".to_owned(),
            Self::NotAJournal { .. } => "give the path of a journal, or of a file that does not exist yet".to_owned(),
            Self::TooNew { .. } => "use the newer version of Quietarc, or give another journal".to_owned(),
            Self::Damaged { .. } => "keep the file, and go on with the last copy of it or with a new journal".to_owned(),
            Self::CannotOpen { .. } => "check that the folder exists, may be written and has room on its disk, or give another path".to_owned(),
            Self::ReadOnly => "allow writing to the file and its folder, or give a path you may write to".to_owned(),
            Self::NotFound { what, .. } => format!("list every {what} to see their names and numbers"),
            Self::DuplicateName { what, .. } => format!("choose another name, or change the {what} that has it"),
            Self::EmptyName { what } => format!("give the {what} a name people call it by"),
            Self::InUse { what, .. } => format!("remove those outings first, or keep the {what}"),
            Self::RundownChanged | Self::Changed { .. } => "look at what stands there now, and write yours again".to_owned(),
            Self::NotPermitted { remedy, .. } => (*remedy).to_owned(),
            Self::Unreadable { .. } => {
                "it may come from another version of Quietarc, or hold a number that is not finite; ask again and store anew"
                    .to_owned()
            }
            Self::Database { .. } => "try again; if it stays so, copy the journal and report the message".to_owned(),
        }
    }
}

impl From<rusqlite::Error> for JournalError {
    fn from(source: rusqlite::Error) -> Self {
        match source.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Locked,
            Some(ErrorCode::DiskFull) => Self::Full,
            Some(ErrorCode::ReadOnly) => Self::ReadOnly,
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => Self::Damaged { problem: source.to_string() },
            Some(_) | None => Self::Database { source },
        }
    }
}

/// Whether a statement failed on a rule of this extended kind.
pub(crate) fn broke(error: &rusqlite::Error, extended_code: i32) -> bool {
    error.sqlite_error().is_some_and(|inner| inner.extended_code == extended_code)
}
