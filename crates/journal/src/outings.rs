use jiff::civil::Date;
use job::{Kit, Site};
use quantity::Timestamp;
use rusqlite::{OptionalExtension, Row, params};
use serde::Serialize;

use crate::error::broke;
use crate::predictions::summary_of_row;
use crate::sites::{found, not_found};
use crate::text::{column, instant};
use crate::{Journal, JournalError, KitId, OutingId, PredictionSummary, SiteId};

const WHAT: &str = "outing";

/// An outing to be stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewOuting {
    /// Where.
    pub site: SiteId,
    /// With what.
    pub kit: KitId,
    /// Date of the noon that opens the night.
    pub night: Date,
    /// What its owner calls it; may be empty.
    pub title: String,
    /// When it was put down.
    pub created_at: Timestamp,
    /// Made for a demonstration: nobody was there.
    pub invented: bool,
}

/// One outing with what hangs on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outing {
    /// Its number.
    pub id: OutingId,
    /// The site's number.
    pub site_id: SiteId,
    /// The site as it is stored now; the site as it was asked about is in each prediction's request.
    pub site: Site,
    /// The kit's number.
    pub kit_id: KitId,
    /// The kit as it is stored now.
    pub kit: Kit,
    /// Date of the noon that opens the night.
    pub night: Date,
    /// What its owner calls it.
    pub title: String,
    /// When it was put down.
    pub created_at: Timestamp,
    /// Made for a demonstration.
    pub invented: bool,
}

/// One line of the list of outings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OutingSummary {
    /// Its number.
    pub id: OutingId,
    /// Date of the noon that opens the night.
    pub night: Date,
    /// What its owner calls it.
    pub title: String,
    /// Name of the site.
    pub site_name: String,
    /// Name of the kit.
    pub kit_name: String,
    /// When it was put down.
    pub created_at: Timestamp,
    /// Made for a demonstration.
    pub invented: bool,
    /// How many predictions were recorded for it.
    pub predictions: u32,
    /// Key numbers of the last one.
    pub latest: Option<PredictionSummary>,
}

impl Journal {
    /// Stores an outing.
    ///
    /// # Errors
    ///
    /// No such site or kit; the journal is locked or full.
    pub fn add_outing(&self, outing: &NewOuting) -> Result<OutingId, JournalError> {
        let sql = "INSERT INTO outing (site_id, kit_id, night, title, created_at, invented) \
                   VALUES (?1, ?2, ?3, ?4, ?5, ?6) RETURNING id";
        let row = params![
            outing.site,
            outing.kit,
            outing.night.to_string(),
            outing.title,
            instant(outing.created_at),
            outing.invented
        ];
        self.connection.query_row(sql, row, |row| row.get(0)).map_err(|error| self.reference_refused(error, outing))
    }

    /// All outings with the key numbers of their last prediction, the latest night first.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn outings(&self) -> Result<Vec<OutingSummary>, JournalError> {
        let sql = "SELECT outing.id AS outing_number, outing.night, outing.title, outing.created_at, outing.invented, \
                          site.name AS site_name, kit.name AS kit_name, \
                          (SELECT count(*) FROM prediction WHERE outing_id = outing.id) AS predictions, prediction.* \
                   FROM outing \
                   JOIN site ON site.id = outing.site_id \
                   JOIN kit ON kit.id = outing.kit_id \
                   LEFT JOIN prediction ON prediction.id = \
                        (SELECT id FROM prediction WHERE outing_id = outing.id ORDER BY asked_at DESC, id DESC LIMIT 1) \
                   ORDER BY outing.night DESC, outing.id DESC";
        let mut statement = self.connection.prepare(sql)?;
        let rows = statement.query_map([], summary)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// One outing with its site and kit.
    ///
    /// # Errors
    ///
    /// There is none of that number.
    pub fn outing(&self, id: OutingId) -> Result<Outing, JournalError> {
        let row = self
            .connection
            .query_row("SELECT * FROM outing WHERE id = ?1", [id], |row| {
                Ok((new_outing(row)?, row.get::<_, OutingId>("id")?))
            })
            .optional()?;
        let (outing, id) = row.ok_or_else(|| not_found(WHAT, id.to_string()))?;
        let NewOuting { site, kit, night, title, created_at, invented } = outing;
        let site = self.site(site)?;
        let kit = self.kit(kit)?;
        Ok(Outing {
            id,
            site_id: site.id,
            site: site.site,
            kit_id: kit.id,
            kit: kit.kit,
            night,
            title,
            created_at,
            invented,
        })
    }

    /// Removes an outing and its predictions.
    ///
    /// # Errors
    ///
    /// No such outing.
    pub fn remove_outing(&self, id: OutingId) -> Result<(), JournalError> {
        let removed = self.connection.execute("DELETE FROM outing WHERE id = ?1", [id])?;
        found(removed, WHAT, id.to_string())
    }

    /// Says which of the two references of an outing leads nowhere.
    fn reference_refused(&self, error: rusqlite::Error, outing: &NewOuting) -> JournalError {
        if !broke(&error, rusqlite::ffi::SQLITE_CONSTRAINT_FOREIGNKEY) {
            return error.into();
        }
        let site = self.site(outing.site).err();
        site.or_else(|| self.kit(outing.kit).err()).unwrap_or_else(|| error.into())
    }
}

fn new_outing(row: &Row<'_>) -> rusqlite::Result<NewOuting> {
    Ok(NewOuting {
        site: row.get("site_id")?,
        kit: row.get("kit_id")?,
        night: column(row, "night")?,
        title: row.get("title")?,
        created_at: column(row, "created_at")?,
        invented: row.get("invented")?,
    })
}

fn summary(row: &Row<'_>) -> rusqlite::Result<OutingSummary> {
    let predictions: u32 = row.get("predictions")?;
    Ok(OutingSummary {
        id: row.get("outing_number")?,
        night: column(row, "night")?,
        title: row.get("title")?,
        site_name: row.get("site_name")?,
        kit_name: row.get("kit_name")?,
        created_at: column(row, "created_at")?,
        invented: row.get("invented")?,
        predictions,
        latest: if predictions > 0 { Some(summary_of_row(row)?) } else { None },
    })
}
