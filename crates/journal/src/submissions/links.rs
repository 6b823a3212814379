use quantity::Timestamp;
use rusqlite::{OptionalExtension, Row, params};
use serde::Serialize;

use crate::text::{column, instant, optional_column};
use crate::{Journal, JournalError, LinkId};

const WHAT: &str = "link";

/// A link by which viewers send pictures, as it is made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewLink {
    /// SHA-256 of its token, hexadecimal; the token itself is kept nowhere.
    pub token_hash: String,
    /// What it is for.
    pub label: String,
    /// IANA zone of the times that senders write.
    pub time_zone: String,
    /// When it was made.
    pub created_at: Timestamp,
    /// Until when it holds.
    pub expires_at: Timestamp,
    /// Pictures that it takes at most.
    pub most_pictures: u32,
}

/// A link that is there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct MadeLink {
    /// Its number.
    pub id: LinkId,
    /// What it is for.
    pub label: String,
    /// IANA zone of the times that senders write.
    pub time_zone: String,
    /// When it was made.
    pub created_at: Timestamp,
    /// Until when it holds.
    pub expires_at: Timestamp,
    /// When it was taken back.
    pub revoked_at: Option<Timestamp>,
    /// Pictures that it takes at most.
    pub most_pictures: u32,
    /// Pictures that came by it.
    pub taken: u32,
}

impl MadeLink {
    /// Why nothing comes in by it any more; `None` while it is open.
    pub fn shut(&self, now: Timestamp) -> Option<&'static str> {
        if self.revoked_at.is_some() {
            Some("this link was taken back")
        } else if now >= self.expires_at {
            Some("this link has run out")
        } else if self.taken >= self.most_pictures {
            Some("this link has taken all the pictures it was made for")
        } else {
            None
        }
    }
}

const COLUMNS: &str =
    "SELECT *, (SELECT count(*) FROM submission WHERE link_id = submission_link.id) AS taken FROM submission_link";

impl Journal {
    /// Keeps a new link.
    ///
    /// # Errors
    ///
    /// The journal is locked or full.
    pub fn add_link(&self, new: &NewLink) -> Result<LinkId, JournalError> {
        let sql = "INSERT INTO submission_link (token_hash, label, time_zone, created_at, expires_at, most_pictures) \
                   VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
        let row = params![
            new.token_hash,
            new.label,
            new.time_zone,
            instant(new.created_at),
            instant(new.expires_at),
            new.most_pictures
        ];
        self.connection.execute(sql, row)?;
        Ok(LinkId::new(self.connection.last_insert_rowid()))
    }

    /// The links, the newest first.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn links(&self) -> Result<Vec<MadeLink>, JournalError> {
        let mut statement = self.connection.prepare(&format!("{COLUMNS} ORDER BY id DESC"))?;
        let rows = statement.query_map([], stored)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The link of a token, by the token's hash: what is looked up tells nothing of the token itself.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn link_of(&self, token_hash: &str) -> Result<Option<MadeLink>, JournalError> {
        let mut statement = self.connection.prepare_cached(&format!("{COLUMNS} WHERE token_hash = ?1"))?;
        Ok(statement.query_row([token_hash], stored).optional()?)
    }

    /// Takes a link back.
    ///
    /// # Errors
    ///
    /// No such link; the journal is locked or full.
    pub fn revoke_link(&self, id: LinkId, at: Timestamp) -> Result<(), JournalError> {
        let sql = "UPDATE submission_link SET revoked_at = coalesce(revoked_at, ?2) WHERE id = ?1";
        crate::sites::found(self.connection.execute(sql, params![id, instant(at)])?, WHAT, id.to_string())
    }
}

fn stored(row: &Row<'_>) -> rusqlite::Result<MadeLink> {
    Ok(MadeLink {
        id: row.get("id")?,
        label: row.get("label")?,
        time_zone: row.get("time_zone")?,
        created_at: column(row, "created_at")?,
        expires_at: column(row, "expires_at")?,
        revoked_at: optional_column(row, "revoked_at")?,
        most_pictures: row.get("most_pictures")?,
        taken: row.get("taken")?,
    })
}
