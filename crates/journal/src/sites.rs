use job::Site;
use rusqlite::{OptionalExtension, params};

use crate::error::broke;
use crate::text::{from_json, to_json};
use crate::{Journal, JournalError, SiteId};

const WHAT: &str = "site";

/// A site with its number.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredSite {
    /// Its number.
    pub id: SiteId,
    /// The site.
    pub site: Site,
}

impl Journal {
    /// Stores a site.
    ///
    /// # Errors
    ///
    /// The name is taken or empty; the journal is locked or full.
    pub fn add_site(&self, site: &Site) -> Result<SiteId, JournalError> {
        let sql = "INSERT INTO site (name, latitude_deg, longitude_deg, json) VALUES (?1, ?2, ?3, ?4) RETURNING id";
        let position = site.position;
        let row =
            params![site.name, position.latitude_deg(), position.longitude_deg(), to_json(WHAT, &site.name, site)?];
        self.connection.query_row(sql, row, |row| row.get(0)).map_err(|error| name_refused(error, WHAT, &site.name))
    }

    /// Puts a changed site in the place of a stored one; its outings stay.
    ///
    /// # Errors
    ///
    /// No such site; the new name is taken or empty; the journal is locked or full.
    pub fn replace_site(&self, id: SiteId, site: &Site) -> Result<(), JournalError> {
        let sql = "UPDATE site SET name = ?1, latitude_deg = ?2, longitude_deg = ?3, json = ?4 WHERE id = ?5";
        let position = site.position;
        let row =
            params![site.name, position.latitude_deg(), position.longitude_deg(), to_json(WHAT, &site.name, site)?, id];
        let changed = self.connection.execute(sql, row).map_err(|error| name_refused(error, WHAT, &site.name))?;
        found(changed, WHAT, id.to_string())
    }

    /// All sites, by name.
    ///
    /// # Errors
    ///
    /// The journal cannot be read, or holds a site this version cannot read.
    pub fn sites(&self) -> Result<Vec<StoredSite>, JournalError> {
        let mut statement = self.connection.prepare("SELECT id, json FROM site ORDER BY name, id")?;
        let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get::<_, String>(1)?)))?;
        rows.map(|row| row.map_err(JournalError::from).and_then(stored)).collect()
    }

    /// One site.
    ///
    /// # Errors
    ///
    /// There is none of that number.
    pub fn site(&self, id: SiteId) -> Result<StoredSite, JournalError> {
        let row = self
            .connection
            .query_row("SELECT id, json FROM site WHERE id = ?1", [id], |row| Ok((row.get(0)?, row.get(1)?)))
            .optional()?;
        row.map_or_else(|| Err(not_found(WHAT, id.to_string())), stored)
    }

    /// The site of that name, spelt exactly so.
    ///
    /// # Errors
    ///
    /// There is none of that name.
    pub fn site_named(&self, name: &str) -> Result<StoredSite, JournalError> {
        let row = self
            .connection
            .query_row("SELECT id, json FROM site WHERE name = ?1", [name], |row| Ok((row.get(0)?, row.get(1)?)))
            .optional()?;
        row.map_or_else(|| Err(not_found(WHAT, name)), stored)
    }

    /// Removes a site.
    ///
    /// # Errors
    ///
    /// No such site, or outings hang on it.
    pub fn remove_site(&self, id: SiteId) -> Result<(), JournalError> {
        let removed = self.connection.execute("DELETE FROM site WHERE id = ?1", [id]);
        let removed = removed.map_err(|error| self.in_use(error, WHAT, "site_id", id.get()))?;
        found(removed, WHAT, id.to_string())
    }

    /// Tells a refused removal from other failures.
    pub(crate) fn in_use(
        &self,
        error: rusqlite::Error,
        what: &'static str,
        column: &'static str,
        id: i64,
    ) -> JournalError {
        if !broke(&error, rusqlite::ffi::SQLITE_CONSTRAINT_FOREIGNKEY)
            && !broke(&error, rusqlite::ffi::SQLITE_CONSTRAINT_TRIGGER)
        {
            return error.into();
        }
        let sql = format!("SELECT count(*) FROM outing WHERE {column} = ?1");
        match self.connection.query_row(&sql, [id], |row| row.get(0)) {
            Ok(outings) => JournalError::InUse { what, key: id.to_string(), outings },
            Err(source) => source.into(),
        }
    }
}

fn stored((id, json): (SiteId, String)) -> Result<StoredSite, JournalError> {
    Ok(StoredSite { id, site: from_json(WHAT, &id.to_string(), &json)? })
}

pub(crate) fn not_found(what: &'static str, key: impl Into<String>) -> JournalError {
    JournalError::NotFound { what, key: key.into() }
}

/// An error where a statement on one row touched none.
pub(crate) fn found(rows: usize, what: &'static str, key: String) -> Result<(), JournalError> {
    if rows == 0 { Err(not_found(what, key)) } else { Ok(()) }
}

/// Tells the two rules of a name from other failures.
pub(crate) fn name_refused(error: rusqlite::Error, what: &'static str, name: &str) -> JournalError {
    if broke(&error, rusqlite::ffi::SQLITE_CONSTRAINT_UNIQUE) {
        JournalError::DuplicateName { what, name: name.to_owned() }
    } else if broke(&error, rusqlite::ffi::SQLITE_CONSTRAINT_CHECK) && name.trim().is_empty() {
        JournalError::EmptyName { what }
    } else {
        error.into()
    }
}
