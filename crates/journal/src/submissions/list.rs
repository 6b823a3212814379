//! The list as a board shows it: some lines at a time, and every one as a point on map and time.

use quantity::Timestamp;
use rusqlite::params;
use serde::Serialize;

use super::rows::{line, outcome, position, word};
use super::{SubmissionOutcome, SubmissionRow, SubmissionState};
use crate::text::optional_column;
use crate::{Journal, JournalError, SubmissionId};

/// Which lines.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ListQuestion {
    /// In this state; withdrawn ones are shown only when asked for.
    pub state: Option<SubmissionState>,
    /// With this outcome of the checks.
    pub outcome: Option<SubmissionOutcome>,
    /// With these letters in name, place, caption or credit; empty for all.
    pub text: String,
    /// Lines passed over.
    pub from: u32,
    /// Lines given at most.
    pub most: u32,
}

/// Some lines, and how many there are.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Listed {
    /// Lines that pass.
    pub total: u32,
    /// Those asked for, the newest first.
    pub rows: Vec<SubmissionRow>,
}

/// A submission as a point, with its place in whole tenths of a degree: enough for a map, too little to find a home.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Point {
    /// Its number.
    pub id: SubmissionId,
    /// How far it has come.
    pub state: SubmissionState,
    /// The worst of the checks.
    pub outcome: Option<SubmissionOutcome>,
    /// When it is said to be taken.
    pub claimed_at: Option<Timestamp>,
    /// Degrees, north positive, in tenths.
    pub latitude_deg: Option<f64>,
    /// Degrees, east positive, in tenths.
    pub longitude_deg: Option<f64>,
}

/// What a line needs of the table.
const LINE: &str = "id, content_hash, file_name, received_at, state, claimed_at, time_text, place_text, credit_name, problem, \
                    outcome, rundown_place, version";
/// What a line needs beside, of rows called `page`.
const AROUND: &str = "SELECT page.*, permission.on_air, permission.online, permission.archive, \
                      EXISTS (SELECT 1 FROM submission AS other \
                              WHERE other.content_hash = page.content_hash AND other.id <> page.id) AS is_repeated";
const PERMISSION: &str = "AS page LEFT JOIN submission_consent AS permission ON permission.id = \
                          (SELECT max(id) FROM submission_consent WHERE submission_id = page.id)";

const PASSES: &str = "FROM submission WHERE (?1 IS NULL AND state <> 'withdrawn' OR state = ?1) \
                      AND (?2 IS NULL OR outcome = ?2) \
                      AND (?3 = '' OR instr(lower(file_name || char(10) || place_text || char(10) || caption || char(10) || \
                      credit_name), ?3) > 0)";

impl Journal {
    /// The lines asked for, the newest first.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn submissions(&self, asked: &ListQuestion) -> Result<Listed, JournalError> {
        let (state, outcome) = (asked.state.map(SubmissionState::word), asked.outcome.map(SubmissionOutcome::word));
        let text = asked.text.trim().to_lowercase();
        let count = format!("SELECT count(*) {PASSES}");
        let total =
            self.connection.prepare_cached(&count)?.query_row(params![state, outcome, text], |row| row.get(0))?;
        let sql = format!(
            "{AROUND} FROM (SELECT {LINE} {PASSES} ORDER BY id DESC LIMIT ?4 OFFSET ?5) {PERMISSION} ORDER BY page.id DESC"
        );
        let mut statement = self.connection.prepare_cached(&sql)?;
        let rows = statement.query_map(params![state, outcome, text, asked.most, asked.from], line)?;
        Ok(Listed { total, rows: rows.collect::<Result<_, _>>()? })
    }

    /// The order for air, as lines.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn rundown_rows(&self) -> Result<Vec<SubmissionRow>, JournalError> {
        let sql = format!(
            "{AROUND} FROM (SELECT {LINE} FROM submission WHERE rundown_place IS NOT NULL) {PERMISSION} \
             ORDER BY page.rundown_place, page.id"
        );
        let mut statement = self.connection.prepare_cached(&sql)?;
        let rows = statement.query_map([], line)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Every submission that is not withdrawn as a point, the oldest first.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn submission_points(&self) -> Result<Vec<Point>, JournalError> {
        let sql = "SELECT id, state, outcome, claimed_at, latitude_deg, longitude_deg FROM submission \
                   WHERE state <> 'withdrawn' ORDER BY id";
        let mut statement = self.connection.prepare_cached(sql)?;
        let rows = statement.query_map([], |row| {
            let place = position(row)?;
            let coarse = |degrees: f64| (degrees * 10.0).round() / 10.0;
            Ok(Point {
                id: row.get("id")?,
                state: word(row, "state", SubmissionState::from_word)?,
                outcome: outcome(row)?,
                claimed_at: optional_column(row, "claimed_at")?,
                latitude_deg: place.map(|place| coarse(place.latitude_deg())),
                longitude_deg: place.map(|place| coarse(place.longitude_deg())),
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}
