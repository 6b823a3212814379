use quantity::GeoPosition;
use rusqlite::{OptionalExtension, params};

use super::rows::{submission, unknown_word};
use super::{NewSubmission, Submission, SubmissionState, WHAT};
use crate::sites::not_found;
use crate::text::instant;
use crate::{Journal, JournalError, LinkId, SubmissionId};

impl Journal {
    /// Takes a submission in.
    ///
    /// # Errors
    ///
    /// No such link; the journal is locked or full.
    pub fn take_submission(&self, new: &NewSubmission) -> Result<SubmissionId, JournalError> {
        let sql = "INSERT INTO submission (content_hash, file_name, media_type, bytes, received_at, door, link_id, state, \
                   time_text, claimed_at, place_text, latitude_deg, longitude_deg, credit_name, contact, caption, \
                   withdrawal_hash) \
                   VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, 'received', ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)";
        let row = params![
            new.content_hash,
            new.file_name,
            new.media_type,
            i64::try_from(new.bytes).unwrap_or(i64::MAX),
            instant(new.received_at),
            new.door.word(),
            new.link,
            new.claim.time_text,
            new.claim.at.map(instant),
            new.claim.place_text,
            new.claim.position.map(GeoPosition::latitude_deg),
            new.claim.position.map(GeoPosition::longitude_deg),
            new.credit_name,
            new.contact,
            new.caption,
            new.withdrawal_hash
        ];
        self.connection.prepare_cached(sql)?.execute(row)?;
        Ok(SubmissionId::new(self.connection.last_insert_rowid()))
    }

    /// A submission with all that hangs on it.
    ///
    /// # Errors
    ///
    /// No such submission; the journal cannot be read.
    pub fn submission(&self, id: SubmissionId) -> Result<Submission, JournalError> {
        let mut statement = self.connection.prepare_cached("SELECT * FROM submission WHERE id = ?1")?;
        let found = statement.query_row([id], submission).optional()?;
        let mut found = found.ok_or_else(|| not_found(WHAT, id.to_string()))?;
        found.consent = self.consent(id)?;
        found.exports = self.exports_of(id)?;
        found.same_content = self.same_content(&found.content_hash)?;
        found.same_content.retain(|other| *other != id);
        Ok(found)
    }

    /// Submissions with these bytes, the first one first.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn same_content(&self, content_hash: &str) -> Result<Vec<SubmissionId>, JournalError> {
        let mut statement =
            self.connection.prepare_cached("SELECT id FROM submission WHERE content_hash = ?1 ORDER BY id")?;
        let rows = statement.query_map([content_hash], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// One that the same sender sent before: the same bytes by the same link under the same name, not withdrawn.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn sent_before(
        &self,
        content_hash: &str,
        link: LinkId,
        credit_name: &str,
    ) -> Result<Option<SubmissionId>, JournalError> {
        let sql = "SELECT id FROM submission WHERE content_hash = ?1 AND link_id = ?2 AND credit_name = ?3 \
                   AND state <> 'withdrawn' LIMIT 1";
        let mut statement = self.connection.prepare_cached(sql)?;
        Ok(statement.query_row(params![content_hash, link, credit_name], |row| row.get(0)).optional()?)
    }

    /// The next ones to be measured, the oldest first: number, hash and name.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn unmeasured_submissions(&self, most: u32) -> Result<Vec<(SubmissionId, String, String)>, JournalError> {
        let sql = "SELECT id, content_hash, file_name FROM submission WHERE measured_at IS NULL \
                   AND state <> 'withdrawn' ORDER BY id LIMIT ?1";
        let mut statement = self.connection.prepare_cached(sql)?;
        let rows = statement.query_map([most], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The submission that a sender can take back by a word with this hash.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn submission_by_withdrawal(&self, withdrawal_hash: &str) -> Result<Option<SubmissionId>, JournalError> {
        let mut statement = self.connection.prepare_cached("SELECT id FROM submission WHERE withdrawal_hash = ?1")?;
        Ok(statement.query_row([withdrawal_hash], |row| row.get(0)).optional()?)
    }

    /// How many are in each state.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn submission_counts(&self) -> Result<Vec<(SubmissionState, u32)>, JournalError> {
        let mut statement = self.connection.prepare("SELECT state, count(*) FROM submission GROUP BY state")?;
        let rows = statement.query_map([], |row| {
            let word: String = row.get(0)?;
            Ok((SubmissionState::from_word(&word).ok_or_else(|| unknown_word(&word))?, row.get(1)?))
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}
