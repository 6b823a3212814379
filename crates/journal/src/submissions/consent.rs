use quantity::Timestamp;
use rusqlite::{OptionalExtension, Row, params};
use serde::{Deserialize, Serialize};

use super::words;
use crate::text::{column, instant};
use crate::{Journal, JournalError, SubmissionId};

words!(
    /// One use that a sender may permit.
    OneUse {
        /// In a broadcast.
        OnAir => "on_air",
        /// On the station's pages.
        Online => "online",
        /// Kept for later programmes.
        Archive => "archive",
    }
);

impl OneUse {
    /// In a sentence: "use on air".
    pub fn spoken(self) -> &'static str {
        match self {
            Self::OnAir => "on air",
            Self::Online => "online",
            Self::Archive => "in the archive",
        }
    }
}

/// What a picture may be used for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct ConsentedUse {
    /// In a broadcast.
    pub on_air: bool,
    /// On the station's pages.
    pub online: bool,
    /// Kept for later programmes.
    pub archive: bool,
}

impl ConsentedUse {
    /// Whether it holds a use.
    pub fn permits(self, one: OneUse) -> bool {
        match one {
            OneUse::OnAir => self.on_air,
            OneUse::Online => self.online,
            OneUse::Archive => self.archive,
        }
    }

    /// With a use more.
    #[must_use]
    pub fn with(mut self, one: OneUse) -> Self {
        match one {
            OneUse::OnAir => self.on_air = true,
            OneUse::Online => self.online = true,
            OneUse::Archive => self.archive = true,
        }
        self
    }

    /// The uses in it.
    pub fn list(self) -> Vec<OneUse> {
        OneUse::ALL.iter().copied().filter(|one| self.permits(*one)).collect()
    }
}

/// A permission as it was recorded.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Consent {
    /// What is permitted; nothing at all is a refusal on record.
    pub uses: ConsentedUse,
    /// When it was recorded.
    pub recorded_at: Timestamp,
    /// By whom.
    pub recorded_by: String,
    /// What the sender said or ticked.
    pub words: String,
}

impl Journal {
    /// Records a permission in the place of the one before, which stays on record, if nobody else has changed the
    /// submission since version `seen`: a "yes" never comes over a refusal that its writer has not read.
    ///
    /// # Errors
    ///
    /// [`JournalError::Changed`] where somebody has; no such submission, a withdrawn one, no words; the journal is locked
    /// or full.
    pub fn record_consent(&mut self, id: SubmissionId, seen: i64, consent: &Consent) -> Result<i64, JournalError> {
        if consent.words.trim().is_empty() {
            return Err(JournalError::NotPermitted {
                key: id.to_string(),
                reason: "a permission needs the words in which it was given".to_owned(),
                remedy: "write down what the sender said or ticked",
            });
        }
        self.transaction(|journal| {
            journal.not_withdrawn(id)?;
            journal.not_changed(id, seen)?;
            let sql = "INSERT INTO submission_consent (submission_id, recorded_at, recorded_by, words, on_air, online, archive) \
                       VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)";
            let ConsentedUse { on_air, online, archive } = consent.uses;
            let row = params![id, instant(consent.recorded_at), consent.recorded_by, consent.words, on_air, online, archive];
            journal.connection.execute(sql, row)?;
            journal.note_change(id, consent.recorded_at, &consent.recorded_by, "consent", &serde_json::json!(consent))
        })
    }

    /// The permission that stands.
    pub(super) fn consent(&self, id: SubmissionId) -> Result<Option<Consent>, JournalError> {
        let sql = "SELECT * FROM submission_consent WHERE submission_id = ?1 ORDER BY id DESC LIMIT 1";
        Ok(self.connection.prepare_cached(sql)?.query_row([id], stored).optional()?)
    }

    /// An error where its sender has taken it back.
    pub(super) fn not_withdrawn(&self, id: SubmissionId) -> Result<(), JournalError> {
        let sql = "SELECT withdrawn_at FROM submission WHERE id = ?1";
        let withdrawn: Option<Option<String>> = self.connection.query_row(sql, [id], |row| row.get(0)).optional()?;
        match withdrawn {
            None => Err(crate::sites::not_found(super::WHAT, id.to_string())),
            Some(None) => Ok(()),
            Some(Some(_at)) => Err(withdrawn_error(id)),
        }
    }
}

pub(super) fn withdrawn_error(id: SubmissionId) -> JournalError {
    JournalError::NotPermitted {
        key: id.to_string(),
        reason: "its sender has withdrawn it".to_owned(),
        remedy: "ask the sender to send it again if it may be used after all",
    }
}

fn stored(row: &Row<'_>) -> rusqlite::Result<Consent> {
    Ok(Consent {
        uses: ConsentedUse { on_air: row.get("on_air")?, online: row.get("online")?, archive: row.get("archive")? },
        recorded_at: column(row, "recorded_at")?,
        recorded_by: row.get("recorded_by")?,
        words: row.get("words")?,
    })
}
