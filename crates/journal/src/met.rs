//! What was said for each outing beside what was met there.

use job::{ScoredOuting, SeenOutcome};
use quantity::{Basis, Estimate, Fraction, Timestamp};
use rusqlite::{OptionalExtension, Row, params};
use serde::Serialize;

use crate::error::broke;
use crate::sites::not_found;
use crate::text::{column, from_json, instant, optional_column, to_json};
use crate::{Journal, JournalError, OutingId};

const WHAT: &str = "word on an outing";

/// What was met on an outing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Met {
    /// When it was said.
    pub said_at: Timestamp,
    /// What the eye met; none where nobody said.
    pub eye: Option<SeenOutcome>,
    /// What the camera met; none where nobody said.
    pub camera: Option<SeenOutcome>,
    /// Green light of the brightest aurora, kR, more than 0.
    pub kr: Option<Estimate>,
    /// Where that brightness is from: a frame's name, or that a person said so.
    pub kr_source: Option<String>,
}

impl Journal {
    /// Keeps what was met on an outing, in the place of what was said of it before.
    ///
    /// # Errors
    ///
    /// No such outing; a brightness that is not a positive number; the journal is locked or full.
    pub fn record_met(&self, outing: OutingId, met: &Met) -> Result<(), JournalError> {
        let sql = "INSERT OR REPLACE INTO met (outing_id, said_at, eye, camera, kr, kr_low, kr_high, kr_basis, kr_source) \
                   VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)";
        let basis = met.kr.map(|kr| to_json(WHAT, &outing.to_string(), &kr.basis)).transpose()?;
        let row = params![
            outing,
            instant(met.said_at),
            met.eye.map(outcome_text),
            met.camera.map(outcome_text),
            met.kr.map(|kr| kr.value),
            met.kr.map(|kr| kr.low),
            met.kr.map(|kr| kr.high),
            basis,
            met.kr_source
        ];
        self.connection.execute(sql, row).map(|_rows| ()).map_err(|error| {
            if broke(&error, rusqlite::ffi::SQLITE_CONSTRAINT_FOREIGNKEY) {
                not_found("outing", outing.to_string())
            } else {
                error.into()
            }
        })
    }

    /// What was met on an outing; none where nobody has said.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn met(&self, outing: OutingId) -> Result<Option<Met>, JournalError> {
        let row =
            self.connection.query_row("SELECT * FROM met WHERE outing_id = ?1", [outing], met_of_row).optional()?;
        let Some((met, basis)) = row else { return Ok(None) };
        let basis: Option<Basis> = basis.map(|json| from_json(WHAT, &outing.to_string(), &json)).transpose()?;
        Ok(Some(Met { kr: met.kr.zip(basis).map(|(kr, basis)| Estimate { basis, ..kr }), ..met }))
    }

    /// Every outing with a prediction, beside what was met: the last prediction made before the moment it speaks of,
    /// or the last of all where there was none before.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn scored_outings(&self) -> Result<Vec<ScoredOuting>, JournalError> {
        let sql = "SELECT outing.night, outing.invented, site.name AS site_name, prediction.asked_at, \
                          predicted_window.best_at, predicted_window.eye_sees, predicted_window.camera_records, \
                          predicted_window.cloud_counted, predicted_window.arc_kr, met.* \
                   FROM outing \
                   JOIN site ON site.id = outing.site_id \
                   LEFT JOIN met ON met.outing_id = outing.id \
                   JOIN prediction ON prediction.id = \
                        (SELECT id FROM prediction WHERE outing_id = outing.id \
                         ORDER BY (best_at IS NULL OR asked_at <= best_at) DESC, asked_at DESC, id DESC LIMIT 1) \
                   LEFT JOIN predicted_window ON predicted_window.prediction_id = prediction.id \
                        AND predicted_window.is_own_site = 1 AND predicted_window.place = 0 \
                   ORDER BY outing.night, outing.id";
        let mut statement = self.connection.prepare(sql)?;
        let rows = statement.query_map([], scored)?;
        rows.map(|row| {
            let (outing, basis) = row?;
            let basis: Option<Basis> = basis.map(|json| from_json(WHAT, &outing.site_name, &json)).transpose()?;
            let met_kr = outing.met_kr.zip(basis).map(|(kr, basis)| Estimate { basis, ..kr });
            Ok(ScoredOuting { met_kr, ..outing })
        })
        .collect()
    }
}

/// A row, and how its brightness is known as JSON.
fn scored(row: &Row<'_>) -> rusqlite::Result<(ScoredOuting, Option<String>)> {
    let chance = |name: &str| row.get::<_, Option<f64>>(name).map(|chance| chance.map(Fraction::clamped));
    let ends: [Option<f64>; 3] = [row.get("kr")?, row.get("kr_low")?, row.get("kr_high")?];
    let met_kr = match ends {
        [Some(value), Some(low), Some(high)] => Some(Estimate { value, low, high, basis: Basis::Assumed }),
        _incomplete => None,
    };
    let outing = ScoredOuting {
        site_name: row.get("site_name")?,
        night: column(row, "night")?,
        asked_at: column(row, "asked_at")?,
        best_at: optional_column(row, "best_at")?,
        eye_chance: chance("eye_sees")?,
        camera_chance: chance("camera_records")?,
        cloud_counted: row.get::<_, Option<bool>>("cloud_counted")?.unwrap_or(false),
        predicted_kr: row.get("arc_kr")?,
        eye: optional_column::<StoredOutcome>(row, "eye")?.map(|outcome| outcome.0),
        camera: optional_column::<StoredOutcome>(row, "camera")?.map(|outcome| outcome.0),
        met_kr,
        invented: row.get("invented")?,
    };
    Ok((outing, row.get("kr_basis")?))
}

/// A row, and how its brightness is known as JSON.
fn met_of_row(row: &Row<'_>) -> rusqlite::Result<(Met, Option<String>)> {
    let kr: Option<f64> = row.get("kr")?;
    let [low, high]: [Option<f64>; 2] = [row.get("kr_low")?, row.get("kr_high")?];
    let met = Met {
        said_at: column(row, "said_at")?,
        eye: optional_column::<StoredOutcome>(row, "eye")?.map(|outcome| outcome.0),
        camera: optional_column::<StoredOutcome>(row, "camera")?.map(|outcome| outcome.0),
        // the basis stands in a column of its own, and is put in by the caller
        kr: kr.zip(low).zip(high).map(|((value, low), high)| Estimate { value, low, high, basis: Basis::Assumed }),
        kr_source: row.get("kr_source")?,
    };
    Ok((met, row.get("kr_basis")?))
}

fn outcome_text(outcome: SeenOutcome) -> &'static str {
    match outcome {
        SeenOutcome::Yes => "yes",
        SeenOutcome::No => "no",
        SeenOutcome::Cloud => "cloud",
    }
}

/// An outcome read from its column.
struct StoredOutcome(SeenOutcome);

impl std::str::FromStr for StoredOutcome {
    type Err = UnknownOutcome;
    fn from_str(word: &str) -> Result<Self, UnknownOutcome> {
        let all = [SeenOutcome::Yes, SeenOutcome::No, SeenOutcome::Cloud];
        let known = all.into_iter().find(|outcome| outcome_text(*outcome) == word);
        known.map(Self).ok_or_else(|| UnknownOutcome(word.to_owned()))
    }
}

#[derive(Debug, thiserror::Error)]
#[error("{0:?} is not what an eye or a camera meets")]
struct UnknownOutcome(String);
