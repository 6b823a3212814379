//! The list as a board shows it: some lines at a time, and every one as a point on map and time.

use quantity::{GeoPosition, Timestamp};
use rusqlite::{Row, Statement, ToSql};
use serde::Serialize;

use super::rows::{line, outcome, position, word};
use super::{SubmissionOutcome, SubmissionRow, SubmissionState};
use crate::text::{instant, optional_column};
use crate::{Journal, JournalError, SubmissionId};

/// Which lines.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ListQuestion {
    /// In this state; withdrawn ones are shown only when asked for.
    pub state: Option<SubmissionState>,
    /// With this outcome of the checks.
    pub outcome: Option<SubmissionOutcome>,
    /// With these letters in name, place, caption or credit; empty for all.
    pub text: String,
    /// Whose aurora looks like this, in the words that are stored ("rays").
    pub form: Option<String>,
    /// Said to be taken from then on.
    pub claimed_from: Option<Timestamp>,
    /// Said to be taken before then.
    pub claimed_to: Option<Timestamp>,
    /// Said to be taken near a place.
    pub near: Option<Near>,
    /// Lines passed over.
    pub from: u32,
    /// Lines given at most.
    pub most: u32,
}

/// Around a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// The place.
    pub place: GeoPosition,
    /// How far around it, km; measured on the map about the place, good to some percent up to 1,000 km.
    pub within_km: f64,
}

/// A degree of latitude, km.
const KM_PER_DEGREE: f64 = 111.2;

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
                    outcome, form, rundown_place, version";
/// What a line needs beside, of rows called `page`.
const AROUND: &str = "SELECT page.*, permission.on_air, permission.online, permission.archive, \
                      EXISTS (SELECT 1 FROM submission AS other \
                              WHERE other.content_hash = page.content_hash AND other.id <> page.id) AS is_repeated, \
                      (EXISTS (SELECT 1 FROM picture_print AS own JOIN picture_likeness AS alike ON alike.first_id = own.id \
                               WHERE own.submission_id = page.id AND alike.is_copy) \
                       OR EXISTS (SELECT 1 FROM picture_print AS own JOIN picture_likeness AS alike ON alike.second_id = own.id \
                                  WHERE own.submission_id = page.id AND alike.is_copy)) AS has_copy";
const PERMISSION: &str = "AS page LEFT JOIN submission_consent AS permission ON permission.id = \
                          (SELECT max(id) FROM submission_consent WHERE submission_id = page.id)";

const PASSES: &str = "FROM submission WHERE (:state IS NULL AND state <> 'withdrawn' OR state = :state) \
                      AND (:outcome IS NULL OR outcome = :outcome) AND (:form IS NULL OR form = :form) \
                      AND (:from IS NULL OR claimed_at >= :from) AND (:to IS NULL OR claimed_at < :to) \
                      AND (:km IS NULL OR \
                           (latitude_deg - :latitude) * (latitude_deg - :latitude) + \
                           min(abs(longitude_deg - :longitude), 360 - abs(longitude_deg - :longitude)) * :squeeze * \
                           min(abs(longitude_deg - :longitude), 360 - abs(longitude_deg - :longitude)) * :squeeze \
                           <= :km * :km) \
                      AND (:text = '' OR instr(lower(file_name || char(10) || place_text || char(10) || caption || \
                      char(10) || credit_name), :text) > 0)";

/// Puts a question into a statement with [`PASSES`] in it.
fn ask(statement: &mut Statement<'_>, asked: &ListQuestion) -> rusqlite::Result<()> {
    let near = asked.near;
    let latitude = near.map(|near| near.place.latitude_deg());
    let values: [(&str, Box<dyn ToSql>); 10] = [
        (":state", Box::new(asked.state.map(SubmissionState::word))),
        (":outcome", Box::new(asked.outcome.map(SubmissionOutcome::word))),
        (":form", Box::new(asked.form.clone())),
        (":from", Box::new(asked.claimed_from.map(instant))),
        (":to", Box::new(asked.claimed_to.map(instant))),
        (":km", Box::new(near.map(|near| near.within_km / KM_PER_DEGREE))),
        (":latitude", Box::new(latitude)),
        (":longitude", Box::new(near.map(|near| near.place.longitude_deg()))),
        (":squeeze", Box::new(latitude.map(|latitude| latitude.to_radians().cos()))),
        (":text", Box::new(asked.text.trim().to_lowercase())),
    ];
    for (name, value) in values {
        if let Some(index) = statement.parameter_index(name)? {
            statement.raw_bind_parameter(index, value)?;
        }
    }
    Ok(())
}

impl Journal {
    /// The lines asked for, the newest first.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn submissions(&self, asked: &ListQuestion) -> Result<Listed, JournalError> {
        let count = format!("SELECT count(*) {PASSES}");
        let mut statement = self.connection.prepare_cached(&count)?;
        ask(&mut statement, asked)?;
        let total = statement.raw_query().next()?.map_or(Ok(0), |row| row.get(0))?;
        let sql = format!(
            "{AROUND} FROM (SELECT {LINE} {PASSES} ORDER BY id DESC LIMIT {} OFFSET {}) {PERMISSION} ORDER BY page.id DESC",
            asked.most, asked.from
        );
        let mut statement = self.connection.prepare(&sql)?;
        ask(&mut statement, asked)?;
        Ok(Listed { total, rows: statement.raw_query().mapped(line).collect::<Result<_, _>>()? })
    }

    /// The forms of aurora that were found, each with how many submissions show it, the commonest first.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn submission_forms(&self) -> Result<Vec<(String, u32)>, JournalError> {
        let sql = "SELECT form, count(*) FROM submission WHERE form IS NOT NULL AND state <> 'withdrawn' \
                   GROUP BY form ORDER BY count(*) DESC, form";
        let mut statement = self.connection.prepare_cached(sql)?;
        let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
        Ok(rows.collect::<Result<_, _>>()?)
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

    /// Every submission that passes, whatever the lines asked for, as a point, the oldest first.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn submission_points(&self, asked: &ListQuestion) -> Result<Vec<Point>, JournalError> {
        let sql = format!("SELECT id, state, outcome, claimed_at, latitude_deg, longitude_deg {PASSES} ORDER BY id");
        let mut statement = self.connection.prepare_cached(&sql)?;
        ask(&mut statement, asked)?;
        Ok(statement.raw_query().mapped(point).collect::<Result<_, _>>()?)
    }
}

fn point(row: &Row<'_>) -> rusqlite::Result<Point> {
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
}
