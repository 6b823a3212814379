use job::{OutlookReport, OutlookStep, Recommendation};
use quantity::Timestamp;
use rusqlite::{OptionalExtension, Row, params};
use serde::Serialize;

use crate::error::broke;
use crate::sites::not_found;
use crate::text::{column, from_json, instant, optional_column, to_json};
use crate::{Journal, JournalError, OutingId, PredictionId};

const WHAT: &str = "prediction";
/// The version of the models that is written beside every prediction: all crates of the program share one.
const MODEL_VERSION: &str = env!("CARGO_PKG_VERSION");

/// The key numbers of one prediction; those without a value had none in the report.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PredictionSummary {
    /// Its number.
    pub id: PredictionId,
    /// When the question was asked.
    pub asked_at: Timestamp,
    /// Version of the program that answered.
    pub model_version: String,
    /// The advice.
    pub recommendation: Recommendation,
    /// Best moment of the night.
    pub best_at: Option<Timestamp>,
    /// Chance at that moment that a dark-adapted eye sees it, 0..1.
    pub eye_sees: Option<f64>,
    /// Chance that the eye sees colour, 0..1.
    pub eye_sees_colour: Option<f64>,
    /// Chance that the kit records it, 0..1.
    pub camera_records: Option<f64>,
    /// Kp at that moment.
    pub kp: Option<f64>,
    /// Green light of the brightest arc to be expected at that moment, kR.
    pub brightest_arc_kr: Option<f64>,
}

impl Journal {
    /// Stores what was predicted for an outing, whole and with its key numbers.
    ///
    /// # Errors
    ///
    /// No such outing; the report holds a number that is not finite; the journal is locked or full.
    pub fn record_prediction(&self, outing: OutingId, report: &OutlookReport) -> Result<PredictionId, JournalError> {
        // a savepoint, unlike a transaction, may stand inside another one
        self.connection.execute_batch("SAVEPOINT prediction")?;
        let stored = self.insert_prediction(outing, report);
        let end = if stored.is_ok() { "RELEASE prediction" } else { "ROLLBACK TO prediction; RELEASE prediction" };
        self.connection.execute_batch(end)?;
        stored
    }

    fn insert_prediction(&self, outing: OutingId, report: &OutlookReport) -> Result<PredictionId, JournalError> {
        let sql = "INSERT INTO prediction (outing_id, asked_at, model_version, recommendation, best_at, eye_sees, \
                   eye_sees_colour, camera_records, kp, brightest_arc_kr, request_json, report_json) \
                   VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12) RETURNING id";
        let key = format!("for outing {outing}");
        let best = best_step(report);
        let row = params![
            outing,
            instant(report.request.asked_at),
            MODEL_VERSION,
            recommendation_text(report.verdict.recommendation),
            best.map(|step| instant(step.at)),
            report.chances.map(|chances| chances.eye_sees.value()),
            report.chances.map(|chances| chances.eye_sees_colour.value()),
            report.chances.map(|chances| chances.camera_records.value()),
            best.and_then(|step| step.kp).map(|kp| kp.value),
            best.and_then(|step| step.brightest.as_ref()).map(|patch| patch.brightest_arc_kr.value),
            to_json(WHAT, &key, &report.request)?,
            to_json(WHAT, &key, report)?
        ];
        let id = self.connection.query_row(sql, row, |row| row.get(0)).map_err(|error| {
            if broke(&error, rusqlite::ffi::SQLITE_CONSTRAINT_FOREIGNKEY) {
                not_found("outing", outing.to_string())
            } else {
                JournalError::from(error)
            }
        })?;
        self.record_windows(id, report)?;
        Ok(id)
    }

    /// The prediction asked for last, whole; none where there was none.
    ///
    /// # Errors
    ///
    /// No such outing, or a report this version cannot read.
    pub fn latest_prediction(&self, outing: OutingId) -> Result<Option<OutlookReport>, JournalError> {
        let sql = "SELECT id, report_json FROM prediction WHERE outing_id = ?1 ORDER BY asked_at DESC, id DESC LIMIT 1";
        let row = self
            .connection
            .query_row(sql, [outing], |row| Ok((row.get::<_, PredictionId>(0)?, row.get::<_, String>(1)?)))
            .optional()?;
        match row {
            Some((id, json)) => from_json(WHAT, &id.to_string(), &json).map(Some),
            None => self.outing_exists(outing).map(|()| None),
        }
    }

    /// Key numbers of every prediction of an outing, the latest first.
    ///
    /// # Errors
    ///
    /// No such outing.
    pub fn predictions(&self, outing: OutingId) -> Result<Vec<PredictionSummary>, JournalError> {
        self.outing_exists(outing)?;
        let sql = "SELECT * FROM prediction WHERE outing_id = ?1 ORDER BY asked_at DESC, id DESC";
        let mut statement = self.connection.prepare(sql)?;
        let rows = statement.query_map([outing], summary_of_row)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    fn outing_exists(&self, outing: OutingId) -> Result<(), JournalError> {
        let mut statement = self.connection.prepare("SELECT 1 FROM outing WHERE id = ?1")?;
        if statement.exists([outing])? { Ok(()) } else { Err(not_found("outing", outing.to_string())) }
    }
}

/// A row that holds the columns of `prediction`.
pub(crate) fn summary_of_row(row: &Row<'_>) -> rusqlite::Result<PredictionSummary> {
    Ok(PredictionSummary {
        id: row.get("id")?,
        asked_at: column(row, "asked_at")?,
        model_version: row.get("model_version")?,
        recommendation: column::<StoredRecommendation>(row, "recommendation")?.0,
        best_at: optional_column(row, "best_at")?,
        eye_sees: row.get("eye_sees")?,
        eye_sees_colour: row.get("eye_sees_colour")?,
        camera_records: row.get("camera_records")?,
        kp: row.get("kp")?,
        brightest_arc_kr: row.get("brightest_arc_kr")?,
    })
}

/// The step of the best moment: that of the best window, or else the one with the best chance for an eye.
pub(crate) fn best_step(report: &OutlookReport) -> Option<&OutlookStep> {
    let in_window = report.windows.first().and_then(|best| report.steps.iter().find(|step| step.at == best.best_at));
    in_window.or_else(|| {
        let with_chance = report.steps.iter().filter_map(|step| Some((step, step.chances?.eye_sees.value())));
        with_chance.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(step, _)| step)
    })
}

/// The word in the column; the same as in JSON.
fn recommendation_text(recommendation: Recommendation) -> &'static str {
    match recommendation {
        Recommendation::Go => "go",
        Recommendation::Perhaps => "perhaps",
        Recommendation::Stay => "stay",
        Recommendation::CannotTell => "cannot_tell",
    }
}

/// A recommendation read from its column.
struct StoredRecommendation(Recommendation);

impl std::str::FromStr for StoredRecommendation {
    type Err = UnknownWord;
    fn from_str(word: &str) -> Result<Self, UnknownWord> {
        let all = [Recommendation::Go, Recommendation::Perhaps, Recommendation::Stay, Recommendation::CannotTell];
        let known = all.into_iter().find(|recommendation| recommendation_text(*recommendation) == word);
        known.map(Self).ok_or_else(|| UnknownWord(word.to_owned()))
    }
}

#[derive(Debug, thiserror::Error)]
#[error("{0:?} is not a recommendation")]
struct UnknownWord(String);
