//! What pictures look like, and which are alike.

use job::{Fingerprint, Likeness};
use rusqlite::{OptionalExtension, Row, params};
use serde::Serialize;

use super::WHAT;
use crate::sites::not_found;
use crate::text::{from_json, to_json};
use crate::{Journal, JournalError, OutingId, PrintId, SubmissionId};

/// Whose picture it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PrintOf {
    /// A submission's.
    Submission(SubmissionId),
    /// An own frame's.
    Frame {
        /// SHA-256 of its bytes, hexadecimal.
        content_hash: String,
        /// What its file is called.
        name: String,
        /// The outing that it is of.
        outing: Option<OutingId>,
    },
}

/// A picture that another one looks like.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AlikePicture {
    /// Whose.
    pub of: PrintOf,
    /// How, as the picture asked for would tell it of this one.
    pub likeness: Likeness,
}

impl Journal {
    /// Keeps what a picture looks like, in the place of what was kept of it before.
    ///
    /// # Errors
    ///
    /// No such submission, or one that was erased; no such outing; the journal is locked or full.
    pub fn record_print(&self, of: &PrintOf, print: &Fingerprint) -> Result<PrintId, JournalError> {
        let bytes = print.to_bytes();
        let id = match of {
            PrintOf::Submission(id) => self.connection.query_row(
                "INSERT INTO picture_print (submission_id, print) \
                 SELECT id, ?2 FROM submission WHERE id = ?1 AND erased_at IS NULL \
                 ON CONFLICT (submission_id) DO UPDATE SET print = excluded.print RETURNING id",
                params![id, bytes],
                |row| row.get(0),
            ),
            PrintOf::Frame { content_hash, name, outing } => self.connection.query_row(
                "INSERT INTO picture_print (frame_hash, frame_name, outing_id, print) VALUES (?1, ?2, ?3, ?4) \
                 ON CONFLICT (frame_hash) DO UPDATE SET frame_name = excluded.frame_name, \
                 outing_id = excluded.outing_id, print = excluded.print RETURNING id",
                params![content_hash, name, outing, bytes],
                |row| row.get(0),
            ),
        };
        let absent = || match of {
            PrintOf::Submission(id) => not_found(WHAT, id.to_string()),
            PrintOf::Frame { name, .. } => not_found("frame", name.clone()),
        };
        id.optional()?.ok_or_else(absent)
    }

    /// Prints kept after this one, the oldest first; those of another version are left out.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn prints_after(&self, after: PrintId, most: u32) -> Result<Vec<(PrintId, Option<Fingerprint>)>, JournalError> {
        let sql = "SELECT id, print FROM picture_print WHERE id > ?1 ORDER BY id LIMIT ?2";
        let mut statement = self.connection.prepare_cached(sql)?;
        let rows = statement.query_map(params![after, most], |row| {
            Ok((row.get(0)?, Fingerprint::from_bytes(&row.get::<_, Vec<u8>>(1)?)))
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// What a submission looks like; `None` where that is not known (yet), or kept in another version.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn submission_print(&self, id: SubmissionId) -> Result<Option<Fingerprint>, JournalError> {
        let sql = "SELECT print FROM picture_print WHERE submission_id = ?1";
        let bytes: Option<Vec<u8>> =
            self.connection.prepare_cached(sql)?.query_row([id], |row| row.get(0)).optional()?;
        Ok(bytes.and_then(|bytes| Fingerprint::from_bytes(&bytes)))
    }

    /// Pictures whose looks are known.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn print_count(&self) -> Result<usize, JournalError> {
        let count: i64 =
            self.connection.prepare_cached("SELECT count(*) FROM picture_print")?.query_row([], |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or_default())
    }

    /// Whether the looks of an own frame are known already.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn has_frame_print(&self, content_hash: &str) -> Result<bool, JournalError> {
        let sql = "SELECT 1 FROM picture_print WHERE frame_hash = ?1";
        Ok(self.connection.prepare_cached(sql)?.query_row([content_hash], |_row| Ok(())).optional()?.is_some())
    }

    /// Keeps that two pictures are alike; nothing where the other one is forgotten by now.
    ///
    /// * `likeness`: as `first` would tell it of `second`.
    ///
    /// # Errors
    ///
    /// The journal is locked or full.
    pub fn record_likeness(&self, first: PrintId, second: PrintId, likeness: &Likeness) -> Result<(), JournalError> {
        let json = to_json(WHAT, &first.to_string(), likeness)?;
        // one row a pair, whichever was measured last
        let sql = "DELETE FROM picture_likeness WHERE first_id = ?2 AND second_id = ?1";
        self.connection.prepare_cached(sql)?.execute(params![first, second])?;
        let sql = "INSERT INTO picture_likeness (first_id, second_id, is_copy, likeness_json) \
                   SELECT one.id, other.id, ?3, ?4 FROM picture_print AS one, picture_print AS other \
                   WHERE one.id = ?1 AND other.id = ?2 \
                   ON CONFLICT DO UPDATE SET is_copy = excluded.is_copy, likeness_json = excluded.likeness_json";
        self.connection.prepare_cached(sql)?.execute(params![first, second, likeness.kind.is_copy(), json])?;
        Ok(())
    }

    /// Pictures that a submission looks like, copies first; withdrawn ones among them, erased ones not.
    ///
    /// # Errors
    ///
    /// The journal cannot be read, or holds a likeness of a newer version.
    pub fn alike(&self, id: SubmissionId) -> Result<Vec<AlikePicture>, JournalError> {
        let sql = "WITH own AS (SELECT id FROM picture_print WHERE submission_id = ?1), \
                   pair AS (SELECT second_id AS other_id, is_copy, likeness_json, 0 AS turned FROM picture_likeness \
                            WHERE first_id = (SELECT id FROM own) \
                            UNION ALL SELECT first_id, is_copy, likeness_json, 1 FROM picture_likeness \
                            WHERE second_id = (SELECT id FROM own)) \
                   SELECT other.*, pair.likeness_json, pair.turned FROM pair \
                   JOIN picture_print AS other ON other.id = pair.other_id ORDER BY pair.is_copy DESC, other.id";
        let mut statement = self.connection.prepare_cached(sql)?;
        let rows = statement.query_map([id], |row| {
            Ok((print_of(row)?, row.get::<_, String>("likeness_json")?, row.get::<_, bool>("turned")?))
        })?;
        rows.map(|row| {
            let (of, json, is_turned) = row?;
            let likeness: Likeness = from_json(WHAT, &id.to_string(), &json)?;
            Ok(AlikePicture { of, likeness: if is_turned { likeness.exchanged() } else { likeness } })
        })
        .collect()
    }

    /// Forgets what a submission looks like, and all likeness with it.
    pub(super) fn forget_print(&self, id: SubmissionId) -> Result<(), JournalError> {
        self.connection.execute("DELETE FROM picture_print WHERE submission_id = ?1", [id])?;
        Ok(())
    }
}

fn print_of(row: &Row<'_>) -> rusqlite::Result<PrintOf> {
    Ok(match row.get::<_, Option<SubmissionId>>("submission_id")? {
        Some(id) => PrintOf::Submission(id),
        None => PrintOf::Frame {
            content_hash: row.get("frame_hash")?,
            name: row.get("frame_name")?,
            outing: row.get("outing_id")?,
        },
    })
}
