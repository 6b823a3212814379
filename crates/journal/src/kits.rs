use job::Kit;
use rusqlite::{OptionalExtension, params};

use crate::sites::{found, name_refused, not_found};
use crate::text::{from_json, to_json};
use crate::{Journal, JournalError, KitId};

const WHAT: &str = "kit";

/// A kit with its number.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredKit {
    /// Its number.
    pub id: KitId,
    /// The kit.
    pub kit: Kit,
}

impl Journal {
    /// Stores a kit.
    ///
    /// # Errors
    ///
    /// The name is taken or empty; the journal is locked or full.
    pub fn add_kit(&self, kit: &Kit) -> Result<KitId, JournalError> {
        let row = params![kit.name, to_json(WHAT, &kit.name, kit)?];
        self.connection
            .query_row("INSERT INTO kit (name, json) VALUES (?1, ?2) RETURNING id", row, |row| row.get(0))
            .map_err(|error| name_refused(error, WHAT, &kit.name))
    }

    /// Puts a changed kit in the place of a stored one; its outings stay.
    ///
    /// # Errors
    ///
    /// No such kit; the new name is taken or empty; the journal is locked or full.
    pub fn replace_kit(&self, id: KitId, kit: &Kit) -> Result<(), JournalError> {
        let row = params![kit.name, to_json(WHAT, &kit.name, kit)?, id];
        let changed = self
            .connection
            .execute("UPDATE kit SET name = ?1, json = ?2 WHERE id = ?3", row)
            .map_err(|error| name_refused(error, WHAT, &kit.name))?;
        found(changed, WHAT, id.to_string())
    }

    /// All kits, by name.
    ///
    /// # Errors
    ///
    /// The journal cannot be read, or holds a kit this version cannot read.
    pub fn kits(&self) -> Result<Vec<StoredKit>, JournalError> {
        let mut statement = self.connection.prepare("SELECT id, json FROM kit ORDER BY name, id")?;
        let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get::<_, String>(1)?)))?;
        rows.map(|row| row.map_err(JournalError::from).and_then(stored)).collect()
    }

    /// One kit.
    ///
    /// # Errors
    ///
    /// There is none of that number.
    pub fn kit(&self, id: KitId) -> Result<StoredKit, JournalError> {
        let row = self
            .connection
            .query_row("SELECT id, json FROM kit WHERE id = ?1", [id], |row| Ok((row.get(0)?, row.get(1)?)))
            .optional()?;
        row.map_or_else(|| Err(not_found(WHAT, id.to_string())), stored)
    }

    /// The kit of that name, spelt exactly so.
    ///
    /// # Errors
    ///
    /// There is none of that name.
    pub fn kit_named(&self, name: &str) -> Result<StoredKit, JournalError> {
        let row = self
            .connection
            .query_row("SELECT id, json FROM kit WHERE name = ?1", [name], |row| Ok((row.get(0)?, row.get(1)?)))
            .optional()?;
        row.map_or_else(|| Err(not_found(WHAT, name)), stored)
    }

    /// Removes a kit.
    ///
    /// # Errors
    ///
    /// No such kit, or outings hang on it.
    pub fn remove_kit(&self, id: KitId) -> Result<(), JournalError> {
        let removed = self.connection.execute("DELETE FROM kit WHERE id = ?1", [id]);
        let removed = removed.map_err(|error| self.in_use(error, WHAT, "kit_id", id.get()))?;
        found(removed, WHAT, id.to_string())
    }
}

fn stored((id, json): (KitId, String)) -> Result<StoredKit, JournalError> {
    Ok(StoredKit { id, kit: from_json(WHAT, &id.to_string(), &json)? })
}
