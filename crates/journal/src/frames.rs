use std::collections::{HashMap, HashSet};

use job::{FrameMeasures, PersonVerdict};
use quantity::Timestamp;
use rusqlite::{OptionalExtension, params};

use crate::text::{from_json, instant, to_json};
use crate::{Journal, JournalError};

const WHAT: &str = "measured frame";

/// A file whose content is known, as it was when that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FrameFile {
    /// Its path, as the system's bytes.
    pub path: Vec<u8>,
    /// Its size.
    pub bytes: u64,
    /// When it was changed last, ns since 1970.
    pub modified_ns: i64,
    /// Its number on its disk; 0 where the system has none.
    pub inode: u64,
    /// SHA-256 of its content, hexadecimal.
    pub content_hash: String,
}

/// Ratings by this program that may stand in a sidecar file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OwnRating {
    /// The one written last.
    pub rating: i8,
    /// The one before, until the last is known to be written: it stands there still if the program was stopped before.
    pub before: Option<i8>,
}

impl Journal {
    /// Stores what was measured on a content, in the place of what was there.
    ///
    /// * `asked`: version of the measuring and what it was told.
    ///
    /// # Errors
    ///
    /// The report holds a number that is not finite; the journal is locked or full.
    pub fn record_frame_measures(
        &self,
        content_hash: &str,
        asked: &str,
        measures: &FrameMeasures,
    ) -> Result<(), JournalError> {
        let sql = "INSERT INTO frame_measure (content_hash, asked, json) VALUES (?1, ?2, ?3) \
                   ON CONFLICT (asked, content_hash) DO UPDATE SET json = excluded.json";
        let json = to_json(WHAT, content_hash, measures)?;
        self.connection.prepare_cached(sql)?.execute(params![content_hash, asked, json])?;
        Ok(())
    }

    /// What was measured on a content; `None` where nothing was, or not with this question.
    ///
    /// # Errors
    ///
    /// A record that this version cannot read: measure anew.
    pub fn frame_measures(&self, content_hash: &str, asked: &str) -> Result<Option<FrameMeasures>, JournalError> {
        let sql = "SELECT json FROM frame_measure WHERE asked = ?1 AND content_hash = ?2";
        let mut statement = self.connection.prepare_cached(sql)?;
        let json: Option<String> = statement.query_row(params![asked, content_hash], |row| row.get(0)).optional()?;
        json.map(|json| from_json(WHAT, content_hash, &json)).transpose()
    }

    /// Hashes of all contents measured with this question.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn measured_contents(&self, asked: &str) -> Result<HashSet<String>, JournalError> {
        let mut statement = self.connection.prepare("SELECT content_hash FROM frame_measure WHERE asked = ?1")?;
        let rows = statement.query_map([asked], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Stores which content a file holds.
    ///
    /// # Errors
    ///
    /// The journal is locked or full.
    pub fn record_frame_file(&self, file: &FrameFile) -> Result<(), JournalError> {
        let sql = "INSERT INTO frame_file (path, bytes, modified_ns, inode, content_hash) VALUES (?1, ?2, ?3, ?4, ?5) \
                   ON CONFLICT (path) DO UPDATE SET bytes = excluded.bytes, modified_ns = excluded.modified_ns, \
                   inode = excluded.inode, content_hash = excluded.content_hash";
        let bytes = i64::try_from(file.bytes).unwrap_or(i64::MAX);
        let row = params![file.path, bytes, file.modified_ns, file.inode.cast_signed(), file.content_hash];
        self.connection.prepare_cached(sql)?.execute(row)?;
        Ok(())
    }

    /// The files known whose path begins with these bytes, by path.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn frame_files(&self, path_start: &[u8]) -> Result<HashMap<Vec<u8>, FrameFile>, JournalError> {
        let sql = "SELECT path, bytes, modified_ns, inode, content_hash FROM frame_file \
                   WHERE path >= ?1 AND substr(path, 1, ?2) = ?1";
        let mut statement = self.connection.prepare(sql)?;
        let length = i64::try_from(path_start.len()).unwrap_or(i64::MAX);
        let rows = statement.query_map(params![path_start, length], |row| {
            let (bytes, inode): (i64, i64) = (row.get(1)?, row.get(3)?);
            Ok(FrameFile {
                path: row.get(0)?,
                bytes: u64::try_from(bytes).unwrap_or_default(),
                modified_ns: row.get(2)?,
                inode: inode.cast_unsigned(),
                content_hash: row.get(4)?,
            })
        })?;
        rows.map(|file| file.map(|file| (file.path.clone(), file)).map_err(JournalError::from)).collect()
    }

    /// Stores what a person says about a content; `None` takes it back.
    ///
    /// # Errors
    ///
    /// The journal is locked or full.
    pub fn record_frame_verdict(
        &self,
        content_hash: &str,
        verdict: Option<PersonVerdict>,
        said_at: Timestamp,
    ) -> Result<(), JournalError> {
        let Some(verdict) = verdict else {
            self.connection.execute("DELETE FROM frame_verdict WHERE content_hash = ?1", [content_hash])?;
            return Ok(());
        };
        let sql = "INSERT INTO frame_verdict (content_hash, verdict, said_at) VALUES (?1, ?2, ?3) \
                   ON CONFLICT (content_hash) DO UPDATE SET verdict = excluded.verdict, said_at = excluded.said_at";
        self.connection.execute(sql, params![content_hash, verdict_text(verdict), instant(said_at)])?;
        Ok(())
    }

    /// What a person said, by content.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn frame_verdicts(&self) -> Result<HashMap<String, PersonVerdict>, JournalError> {
        let mut statement = self.connection.prepare("SELECT content_hash, verdict FROM frame_verdict")?;
        let rows = statement.query_map([], |row| {
            let text: String = row.get(1)?;
            let verdict = match text.as_str() {
                "keep" => PersonVerdict::Keep,
                "dud" => PersonVerdict::Dud,
                _ => PersonVerdict::Undecided,
            };
            Ok((row.get(0)?, verdict))
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Puts down the rating that is about to be written into a sidecar file.
    ///
    /// * `sidecar`: its path, as the system's bytes.
    ///
    /// # Errors
    ///
    /// The journal is locked or full.
    pub fn record_own_rating(&self, sidecar: &[u8], rating: i8) -> Result<(), JournalError> {
        let sql = "INSERT INTO frame_rating (sidecar, rating) VALUES (?1, ?2) \
                   ON CONFLICT (sidecar) DO UPDATE SET before = frame_rating.rating, rating = excluded.rating \
                   WHERE frame_rating.rating <> excluded.rating";
        self.connection.prepare_cached(sql)?.execute(params![sidecar, rating])?;
        Ok(())
    }

    /// Puts down that the last rating stands in the sidecar file: what stood there before it is no longer this program's.
    ///
    /// Without this a person who goes back to the earlier number would be taken for the program.
    ///
    /// * `sidecar`: its path, as the system's bytes.
    ///
    /// # Errors
    ///
    /// The journal is locked or full.
    pub fn settle_own_rating(&self, sidecar: &[u8]) -> Result<(), JournalError> {
        let sql = "UPDATE frame_rating SET before = NULL WHERE sidecar = ?1 AND before IS NOT NULL";
        self.connection.prepare_cached(sql)?.execute([sidecar])?;
        Ok(())
    }

    /// Forgets what was put down for a sidecar file that a person rated before it was written: whatever stands there is theirs.
    ///
    /// * `sidecar`: its path, as the system's bytes.
    ///
    /// # Errors
    ///
    /// The journal is locked or full.
    pub fn forget_own_rating(&self, sidecar: &[u8]) -> Result<(), JournalError> {
        self.connection.prepare_cached("DELETE FROM frame_rating WHERE sidecar = ?1")?.execute([sidecar])?;
        Ok(())
    }

    /// The ratings that this program wrote into a sidecar file; `None` where it wrote none.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn own_rating(&self, sidecar: &[u8]) -> Result<Option<OwnRating>, JournalError> {
        let mut statement =
            self.connection.prepare_cached("SELECT rating, before FROM frame_rating WHERE sidecar = ?1")?;
        let row = statement.query_row([sidecar], |row| Ok(OwnRating { rating: row.get(0)?, before: row.get(1)? }));
        Ok(row.optional()?)
    }
}

fn verdict_text(verdict: PersonVerdict) -> &'static str {
    match verdict {
        PersonVerdict::Keep => "keep",
        PersonVerdict::Dud => "dud",
        PersonVerdict::Undecided => "undecided",
    }
}
