//! Changes by hand and by the worker, each put down with who made it.

use quantity::{GeoPosition, Timestamp};
use rusqlite::{OptionalExtension, params};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::consent::withdrawn_error;
use super::rows::editable;
use super::{Claim, ExportMade, SubmissionOutcome, SubmissionState, WHAT};
use crate::sites::not_found;
use crate::text::{column, instant};
use crate::{Journal, JournalError, SubmissionId};

/// What may be written by hand.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Editable {
    /// What its sender says.
    pub claim: Claim,
    /// Whom to name.
    pub credit_name: String,
    /// How to reach the sender.
    pub contact: String,
    /// What it shows.
    pub caption: String,
    /// The desk's own notes.
    pub notes: String,
}

/// What a worker found.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct MeasuredSubmission {
    /// Why it could not be opened.
    pub problem: Option<String>,
    /// Columns and rows as shown.
    pub size_px: Option<[u32; 2]>,
    /// What was measured.
    pub measures: Option<Value>,
    /// The checks against the claim.
    pub evidence: Option<Value>,
    /// The worst of them.
    pub outcome: Option<SubmissionOutcome>,
    /// What its aurora looks like.
    pub form: Option<String>,
}

/// One entry of the record of changes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Change {
    /// The version that it made, or left.
    pub version: i64,
    /// When.
    pub changed_at: Timestamp,
    /// Who.
    pub changed_by: String,
    /// "fields", "state", "consent", "measured", "export", "rundown", "withdrawn", "erased".
    pub what: String,
    /// What was there and what came in its place.
    pub change: Value,
}

impl Journal {
    /// Writes the fields that a person may change, if nobody else has changed the submission since version `seen`.
    ///
    /// Another time or place of the claim makes the checks void: it waits for the worker again.
    ///
    /// # Errors
    ///
    /// [`JournalError::Changed`] where somebody has; no such submission, a withdrawn one; the journal is locked or full.
    pub fn edit_submission(
        &mut self,
        id: SubmissionId,
        seen: i64,
        to: &Editable,
        at: Timestamp,
        by: &str,
    ) -> Result<i64, JournalError> {
        self.transaction(|journal| {
            journal.not_withdrawn(id)?;
            journal.not_changed(id, seen)?;
            let from = journal.connection.query_row("SELECT * FROM submission WHERE id = ?1", [id], editable)?;
            let claim = &to.claim;
            let sql = "UPDATE submission SET time_text = ?2, claimed_at = ?3, place_text = ?4, latitude_deg = ?5, \
                       longitude_deg = ?6, credit_name = ?7, contact = ?8, caption = ?9, notes = ?10 WHERE id = ?1";
            let row = params![
                id,
                claim.time_text,
                claim.at.map(instant),
                claim.place_text,
                claim.position.map(GeoPosition::latitude_deg),
                claim.position.map(GeoPosition::longitude_deg),
                to.credit_name,
                to.contact,
                to.caption,
                to.notes
            ];
            journal.connection.execute(sql, row)?;
            if claim.at != from.claim.at || claim.position != from.claim.position {
                let sql = "UPDATE submission SET measured_at = NULL, evidence_json = NULL, outcome = NULL, \
                           state = CASE WHEN state IN ('measured', 'checked') THEN 'received' ELSE state END WHERE id = ?1";
                journal.connection.execute(sql, [id])?;
            }
            journal.note_change(id, at, by, "fields", &json!({ "from": from, "to": to }))
        })
    }

    /// Puts a submission aside, finds it fit, or takes either back; withdrawal goes by [`Journal::withdraw_submission`].
    ///
    /// # Errors
    ///
    /// As [`Journal::edit_submission`].
    pub fn set_submission_state(
        &mut self,
        id: SubmissionId,
        seen: i64,
        state: SubmissionState,
        at: Timestamp,
        by: &str,
    ) -> Result<i64, JournalError> {
        self.transaction(|journal| {
            journal.not_withdrawn(id)?;
            journal.not_changed(id, seen)?;
            if state == SubmissionState::Withdrawn {
                return Err(withdrawn_error(id));
            }
            let from: String =
                journal.connection.query_row("SELECT state FROM submission WHERE id = ?1", [id], |row| row.get(0))?;
            journal.connection.execute("UPDATE submission SET state = ?2 WHERE id = ?1", params![id, state.word()])?;
            journal.note_change(id, at, by, "state", &json!({ "from": from, "to": state }))
        })
    }

    /// Stores what a worker found; false where the claim is another one by now, and nothing was stored.
    ///
    /// The version stays: a person who writes meanwhile is not disturbed.
    ///
    /// # Errors
    ///
    /// The journal is locked or full.
    pub fn record_submission_measures(
        &mut self,
        id: SubmissionId,
        claim: &Claim,
        found: &MeasuredSubmission,
        at: Timestamp,
    ) -> Result<bool, JournalError> {
        self.transaction(|journal| {
            let to = if found.evidence.is_some() { SubmissionState::Checked } else { SubmissionState::Measured };
            let sql = "UPDATE submission SET problem = ?2, width_px = ?3, height_px = ?4, measures_json = ?5, \
                       evidence_json = ?6, outcome = ?7, measured_at = ?8, form = ?13, \
                       state = CASE state WHEN 'received' THEN ?9 ELSE state END \
                       WHERE id = ?1 AND claimed_at IS ?10 AND latitude_deg IS ?11 AND longitude_deg IS ?12 \
                       AND state <> 'withdrawn'";
            let row = params![
                id,
                found.problem,
                found.size_px.map(|size| size[0]),
                found.size_px.map(|size| size[1]),
                found.measures.as_ref().map(Value::to_string),
                found.evidence.as_ref().map(Value::to_string),
                found.outcome.map(SubmissionOutcome::word),
                instant(at),
                to.word(),
                claim.at.map(instant),
                claim.position.map(GeoPosition::latitude_deg),
                claim.position.map(GeoPosition::longitude_deg),
                found.form
            ];
            let changed = journal.connection.execute(sql, row)? == 1;
            if changed {
                let told = json!({ "outcome": found.outcome, "problem": found.problem });
                journal.note(id, at, "worker", "measured", &told)?;
            }
            Ok(changed)
        })
    }

    /// Takes a submission back for its sender: it leaves no more, and the copies that left before are told.
    ///
    /// * `erase`: also forget name, contact and words, those of permissions too; the caller removes the picture itself.
    ///
    /// # Errors
    ///
    /// No such submission; the journal is locked or full.
    pub fn withdraw_submission(
        &mut self,
        id: SubmissionId,
        words: &str,
        erase: bool,
        at: Timestamp,
        by: &str,
    ) -> Result<Vec<ExportMade>, JournalError> {
        self.transaction(|journal| {
            let sql = "UPDATE submission SET state = 'withdrawn', rundown_place = NULL, \
                       withdrawn_at = coalesce(withdrawn_at, ?2), withdrawn_words = coalesce(withdrawn_words, ?3) \
                       WHERE id = ?1";
            let rows = journal.connection.execute(sql, params![id, instant(at), words])?;
            crate::sites::found(rows, WHAT, id.to_string())?;
            journal.note_change(id, at, by, "withdrawn", &json!({ "words": words }))?;
            let exports = journal.exports_of(id)?;
            if erase {
                journal.erase(id, at, by)?;
            }
            Ok(exports)
        })
    }

    /// Forgets what is personal. That it was here, which uses were permitted, and where copies went stays on record: the
    /// name is in their file names, and without those nobody could have them removed.
    fn erase(&self, id: SubmissionId, at: Timestamp, by: &str) -> Result<(), JournalError> {
        let sql = "UPDATE submission SET erased_at = ?2, file_name = '', time_text = '', claimed_at = NULL, place_text = '', \
                   latitude_deg = NULL, longitude_deg = NULL, credit_name = '', contact = '', caption = '', notes = '', \
                   measures_json = NULL, evidence_json = NULL, form = NULL WHERE id = ?1";
        self.connection.execute(sql, params![id, instant(at)])?;
        self.forget_print(id)?;
        let sql = "UPDATE submission_change SET change_json = '{}' \
                   WHERE submission_id = ?1 AND what IN ('fields', 'consent')";
        self.connection.execute(sql, [id])?;
        self.connection.execute("UPDATE submission_consent SET words = '(erased)' WHERE submission_id = ?1", [id])?;
        self.connection.execute("UPDATE submission_export SET credit = '' WHERE submission_id = ?1", [id])?;
        self.note_change(id, at, by, "erased", &json!({})).map(|_version| ())
    }

    /// The record of changes, the oldest first.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn submission_changes(&self, id: SubmissionId) -> Result<Vec<Change>, JournalError> {
        let sql = "SELECT * FROM submission_change WHERE submission_id = ?1 ORDER BY id";
        let mut statement = self.connection.prepare_cached(sql)?;
        let rows = statement.query_map([id], |row| {
            Ok(Change {
                version: row.get("version")?,
                changed_at: column(row, "changed_at")?,
                changed_by: row.get("changed_by")?,
                what: row.get("what")?,
                change: serde_json::from_str(&row.get::<_, String>("change_json")?).unwrap_or_default(),
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// An error where somebody has changed it since version `seen`.
    pub(super) fn not_changed(&self, id: SubmissionId, seen: i64) -> Result<(), JournalError> {
        let current: i64 =
            self.connection.query_row("SELECT version FROM submission WHERE id = ?1", [id], |row| row.get(0))?;
        if current == seen {
            return Ok(());
        }
        let sql = "SELECT changed_by FROM submission_change WHERE submission_id = ?1 AND version = ?2 \
                   AND what <> 'measured' ORDER BY id DESC LIMIT 1";
        let by: Option<String> = self.connection.query_row(sql, params![id, current], |row| row.get(0)).optional()?;
        let by = by.unwrap_or_default();
        Err(JournalError::Changed { what: WHAT, key: id.to_string(), seen, current, by })
    }

    /// Counts a change and puts it down; gives the new version.
    pub(super) fn note_change(
        &self,
        id: SubmissionId,
        at: Timestamp,
        by: &str,
        what: &str,
        change: &Value,
    ) -> Result<i64, JournalError> {
        let sql = "UPDATE submission SET version = version + 1 WHERE id = ?1 RETURNING version";
        let version: Option<i64> = self.connection.query_row(sql, [id], |row| row.get(0)).optional()?;
        let version = version.ok_or_else(|| not_found(WHAT, id.to_string()))?;
        self.note(id, at, by, what, change)?;
        Ok(version)
    }

    /// Puts a change down that needs no writer's attention.
    pub(super) fn note(
        &self,
        id: SubmissionId,
        at: Timestamp,
        by: &str,
        what: &str,
        change: &Value,
    ) -> Result<(), JournalError> {
        let sql = "INSERT INTO submission_change (submission_id, version, changed_at, changed_by, what, change_json) \
                   SELECT ?1, version, ?2, ?3, ?4, ?5 FROM submission WHERE id = ?1";
        let row = params![id, instant(at), by, what, change.to_string()];
        self.connection.prepare_cached(sql)?.execute(row)?;
        Ok(())
    }
}
