//! What frames said of an outing.

use job::ReadReport;
use quantity::Timestamp;
use rusqlite::{OptionalExtension, Row, params};
use serde::Serialize;

use crate::error::broke;
use crate::sites::not_found;
use crate::text::{column, from_json, instant, optional_column, to_json};
use crate::{Journal, JournalError, OutingId, ReadingId};

const WHAT: &str = "reading";
/// The version of the methods that is written beside every reading: all crates of the program share one.
const MODEL_VERSION: &str = env!("CARGO_PKG_VERSION");

/// One line of the list of readings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ReadingSummary {
    /// Its number.
    pub id: ReadingId,
    /// The outing it is kept with.
    pub outing: OutingId,
    /// The folder or files that were read, as they were given.
    pub name: String,
    /// When it was worked out.
    pub read_at: Timestamp,
    /// Version of the program that read.
    pub model_version: String,
    /// Middle of the first exposure; none where no frame could be read.
    pub first_at: Option<Timestamp>,
    /// Middle of the last exposure.
    pub last_at: Option<Timestamp>,
    /// Frames read.
    pub frames: u32,
    /// Frames left out.
    pub skipped: u32,
}

impl Journal {
    /// Keeps what frames said of an outing, in the place of what the same folder or files said before.
    ///
    /// # Errors
    ///
    /// No such outing; the report holds a number that is not finite; the journal is locked or full.
    pub fn record_reading(
        &self,
        outing: OutingId,
        read_at: Timestamp,
        report: &ReadReport,
    ) -> Result<ReadingId, JournalError> {
        let sql = "INSERT INTO reading (outing_id, name, read_at, model_version, first_at, last_at, frames, skipped, report_json) \
                   VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) \
                   ON CONFLICT (outing_id, name) DO UPDATE SET read_at = excluded.read_at, \
                   model_version = excluded.model_version, first_at = excluded.first_at, last_at = excluded.last_at, \
                   frames = excluded.frames, skipped = excluded.skipped, report_json = excluded.report_json RETURNING id";
        let row = params![
            outing,
            report.request.name,
            instant(read_at),
            MODEL_VERSION,
            report.frames.first.map(instant),
            report.frames.last.map(instant),
            report.frames.read,
            report.frames.skipped,
            to_json(WHAT, &format!("for outing {outing}"), report)?
        ];
        self.connection.query_row(sql, row, |row| row.get(0)).map_err(|error| {
            if broke(&error, rusqlite::ffi::SQLITE_CONSTRAINT_FOREIGNKEY) {
                not_found("outing", outing.to_string())
            } else {
                error.into()
            }
        })
    }

    /// The readings of one outing, or of all, the last one first.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn readings(&self, outing: Option<OutingId>) -> Result<Vec<ReadingSummary>, JournalError> {
        let sql = "SELECT id, outing_id, name, read_at, model_version, first_at, last_at, frames, skipped FROM reading \
                   WHERE ?1 IS NULL OR outing_id = ?1 ORDER BY read_at DESC, id DESC";
        let mut statement = self.connection.prepare(sql)?;
        let rows = statement.query_map([outing], summary)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// One reading, whole.
    ///
    /// # Errors
    ///
    /// There is none of that number, or this version cannot read it.
    pub fn reading(&self, id: ReadingId) -> Result<ReadReport, JournalError> {
        let json: Option<String> = self
            .connection
            .query_row("SELECT report_json FROM reading WHERE id = ?1", [id], |row| row.get(0))
            .optional()?;
        from_json(WHAT, &id.to_string(), &json.ok_or_else(|| not_found(WHAT, id.to_string()))?)
    }
}

fn summary(row: &Row<'_>) -> rusqlite::Result<ReadingSummary> {
    Ok(ReadingSummary {
        id: row.get("id")?,
        outing: row.get("outing_id")?,
        name: row.get("name")?,
        read_at: column(row, "read_at")?,
        model_version: row.get("model_version")?,
        first_at: optional_column(row, "first_at")?,
        last_at: optional_column(row, "last_at")?,
        frames: row.get("frames")?,
        skipped: row.get("skipped")?,
    })
}
