//! Rows of the tables as values.

use quantity::GeoPosition;
use rusqlite::Row;
use rusqlite::types::Type;

use super::{Claim, ConsentedUse, Door, Editable, Submission, SubmissionOutcome, SubmissionRow, SubmissionState};
use crate::text::{column, optional_column};

/// A submission without what hangs on it.
pub(super) fn submission(row: &Row<'_>) -> rusqlite::Result<Submission> {
    Ok(Submission {
        id: row.get("id")?,
        content_hash: row.get("content_hash")?,
        file_name: row.get("file_name")?,
        media_type: row.get("media_type")?,
        bytes: u64::try_from(row.get::<_, i64>("bytes")?).unwrap_or_default(),
        received_at: column(row, "received_at")?,
        door: word(row, "door", Door::from_word)?,
        link: row.get("link_id")?,
        state: word(row, "state", SubmissionState::from_word)?,
        editable: editable(row)?,
        problem: row.get("problem")?,
        size_px: size(row)?,
        measures: json(row, "measures_json")?,
        measured_at: optional_column(row, "measured_at")?,
        evidence: json(row, "evidence_json")?,
        outcome: outcome(row)?,
        form: row.get("form")?,
        consent: None,
        withdrawn_at: optional_column(row, "withdrawn_at")?,
        withdrawn_words: row.get("withdrawn_words")?,
        erased_at: optional_column(row, "erased_at")?,
        rundown_place: row.get("rundown_place")?,
        version: row.get("version")?,
        exports: Vec::new(),
        same_content: Vec::new(),
    })
}

/// A line of the list; the row must hold the permission's columns, empty where there is none.
pub(super) fn line(row: &Row<'_>) -> rusqlite::Result<SubmissionRow> {
    let on_air: Option<bool> = row.get("on_air")?;
    let uses = match on_air {
        Some(on_air) => Some(ConsentedUse { on_air, online: row.get("online")?, archive: row.get("archive")? }),
        None => None,
    };
    Ok(SubmissionRow {
        id: row.get("id")?,
        content_hash: row.get("content_hash")?,
        file_name: row.get("file_name")?,
        received_at: column(row, "received_at")?,
        state: word(row, "state", SubmissionState::from_word)?,
        claimed_at: optional_column(row, "claimed_at")?,
        time_text: row.get("time_text")?,
        place_text: row.get("place_text")?,
        credit_name: row.get("credit_name")?,
        problem: row.get("problem")?,
        outcome: outcome(row)?,
        form: row.get("form")?,
        uses,
        rundown_place: row.get("rundown_place")?,
        is_repeated: row.get("is_repeated")?,
        has_copy: row.get("has_copy")?,
        version: row.get("version")?,
    })
}

pub(super) fn editable(row: &Row<'_>) -> rusqlite::Result<Editable> {
    let claim = Claim {
        time_text: row.get("time_text")?,
        at: optional_column(row, "claimed_at")?,
        place_text: row.get("place_text")?,
        position: position(row)?,
    };
    Ok(Editable {
        claim,
        credit_name: row.get("credit_name")?,
        contact: row.get("contact")?,
        caption: row.get("caption")?,
        notes: row.get("notes")?,
    })
}

pub(super) fn position(row: &Row<'_>) -> rusqlite::Result<Option<GeoPosition>> {
    let (latitude, longitude): (Option<f64>, Option<f64>) = (row.get("latitude_deg")?, row.get("longitude_deg")?);
    // the table's own rules keep both in range
    Ok(latitude.zip(longitude).and_then(|(latitude, longitude)| GeoPosition::new(latitude, longitude, 0.0).ok()))
}

fn size(row: &Row<'_>) -> rusqlite::Result<Option<[u32; 2]>> {
    let (width, height): (Option<u32>, Option<u32>) = (row.get("width_px")?, row.get("height_px")?);
    Ok(width.zip(height).map(|(width, height)| [width, height]))
}

pub(super) fn outcome(row: &Row<'_>) -> rusqlite::Result<Option<SubmissionOutcome>> {
    let text: Option<String> = row.get("outcome")?;
    text.map(|text| SubmissionOutcome::from_word(&text).ok_or_else(|| unknown_word(&text))).transpose()
}

fn json(row: &Row<'_>, name: &str) -> rusqlite::Result<Option<serde_json::Value>> {
    let text: Option<String> = row.get(name)?;
    text.map(|text| {
        serde_json::from_str(&text)
            .map_err(|error| rusqlite::Error::FromSqlConversionFailure(0, Type::Text, Box::new(error)))
    })
    .transpose()
}

pub(super) fn word<T>(row: &Row<'_>, name: &str, from: impl Fn(&str) -> Option<T>) -> rusqlite::Result<T> {
    let text: String = row.get(name)?;
    from(&text).ok_or_else(|| unknown_word(&text))
}

/// A word that this version does not know.
pub(super) fn unknown_word(text: &str) -> rusqlite::Error {
    let problem = std::io::Error::other(format!("{text:?} is no word of this version"));
    rusqlite::Error::FromSqlConversionFailure(0, Type::Text, Box::new(problem))
}
