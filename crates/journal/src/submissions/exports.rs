//! Copies that leave, and their order in a programme.

use quantity::Timestamp;
use rusqlite::params;
use serde::Serialize;
use serde_json::json;

use super::rows::word;
use super::{OneUse, Submission};
use crate::text::{column, instant};
use crate::{Journal, JournalError, SubmissionId};

/// A copy that left.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExportMade {
    /// When.
    pub exported_at: Timestamp,
    /// By whom.
    pub exported_by: String,
    /// For which use.
    pub permitted_use: OneUse,
    /// Where to.
    pub destination: String,
    /// The name that went with it.
    pub credit: String,
}

impl Journal {
    /// A submission that may be used so.
    ///
    /// # Errors
    ///
    /// [`JournalError::NotPermitted`] where its sender has not permitted that, or has withdrawn it, or nobody is named;
    /// no such submission.
    pub fn permitted_submission(&self, id: SubmissionId, one: OneUse) -> Result<Submission, JournalError> {
        self.not_withdrawn(id)?;
        let found = self.submission(id)?;
        let refused = |reason: String, remedy| JournalError::NotPermitted { key: id.to_string(), reason, remedy };
        let consent = found.consent.as_ref();
        let consent = consent.ok_or_else(|| {
            refused(
                "no permission of its sender is recorded".to_owned(),
                "ask the sender, and record the answer with its words",
            )
        })?;
        if !consent.uses.permits(one) {
            return Err(refused(
                format!("its sender has not permitted to use it {}", one.spoken()),
                "ask the sender for this use too, and record the answer",
            ));
        }
        if found.editable.credit_name.trim().is_empty() {
            return Err(refused(
                "nobody is named for it".to_owned(),
                "record whom to credit, or that the sender wants no name",
            ));
        }
        Ok(found)
    }

    /// Puts a copy down before it leaves; it is checked again that it may.
    ///
    /// # Errors
    ///
    /// As [`Journal::permitted_submission`]; the journal is locked or full.
    pub fn record_submission_export(&self, id: SubmissionId, made: &ExportMade) -> Result<(), JournalError> {
        self.permitted_submission(id, made.permitted_use)?;
        let sql = "INSERT INTO submission_export (submission_id, exported_at, exported_by, permitted_use, destination, credit) \
                   VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
        let row = params![
            id,
            instant(made.exported_at),
            made.exported_by,
            made.permitted_use.word(),
            made.destination,
            made.credit
        ];
        self.connection.execute(sql, row)?;
        let told = json!({ "use": made.permitted_use, "destination": made.destination });
        self.note(id, made.exported_at, &made.exported_by, "export", &told)
    }

    pub(super) fn exports_of(&self, id: SubmissionId) -> Result<Vec<ExportMade>, JournalError> {
        let sql = "SELECT * FROM submission_export WHERE submission_id = ?1 ORDER BY id";
        let mut statement = self.connection.prepare_cached(sql)?;
        let rows = statement.query_map([id], |row| {
            Ok(ExportMade {
                exported_at: column(row, "exported_at")?,
                exported_by: row.get("exported_by")?,
                permitted_use: word(row, "permitted_use", OneUse::from_word)?,
                destination: row.get("destination")?,
                credit: row.get("credit")?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The order for air.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn rundown(&self) -> Result<Vec<SubmissionId>, JournalError> {
        let sql = "SELECT id FROM submission WHERE rundown_place IS NOT NULL ORDER BY rundown_place, id";
        let mut statement = self.connection.prepare_cached(sql)?;
        let rows = statement.query_map([], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Sets the order for air, if it is still the one that was seen.
    ///
    /// # Errors
    ///
    /// [`JournalError::RundownChanged`] where it is not; a submission that may not be shown on air; the journal is locked
    /// or full.
    pub fn set_rundown(
        &mut self,
        seen: &[SubmissionId],
        to: &[SubmissionId],
        at: Timestamp,
        by: &str,
    ) -> Result<(), JournalError> {
        self.transaction(|journal| {
            let current = journal.rundown()?;
            if current != seen {
                return Err(JournalError::RundownChanged);
            }
            for id in to.iter().filter(|id| !current.contains(id)) {
                journal.permitted_submission(*id, OneUse::OnAir)?;
            }
            journal
                .connection
                .execute("UPDATE submission SET rundown_place = NULL WHERE rundown_place IS NOT NULL", [])?;
            for (place, id) in (1u32..).zip(to) {
                let sql = "UPDATE submission SET rundown_place = ?2 WHERE id = ?1";
                journal.connection.prepare_cached(sql)?.execute(params![id, place])?;
            }
            let place = |list: &[SubmissionId], id: SubmissionId| list.iter().position(|one| *one == id);
            let all = to.iter().chain(current.iter().filter(|id| !to.contains(id)));
            for id in all.filter(|id| place(to, **id) != place(&current, **id)) {
                journal.note(*id, at, by, "rundown", &json!({ "place": place(to, *id).map(|place| place + 1) }))?;
            }
            Ok(())
        })
    }
}
