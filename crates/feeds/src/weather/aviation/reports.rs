//! Many reports at once: as plain text, or in the JSON that carries them.

use std::collections::BTreeMap;

use quantity::{GeoPosition, Timestamp};
use serde_json::{Map, Value};

use super::metar::{LONGEST_REPORT_BYTES, Metar, parse_metar};
use super::taf::{Taf, parse_taf};
use crate::row::{Place, RowError};
use crate::weather::body;
use crate::{FeedError, json};

const EXPECTED: &str = "a list of METAR or TAF";
/// Most reports read of one answer; the service sends 400 at most.
const MOST_REPORTS: usize = 2000;
/// Words with which a line goes on with the forecast before it.
const CONTINUATIONS: [&str; 4] = ["FM", "BECMG", "TEMPO", "PROB"];

/// The reports of one answer.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct AviationReports {
    /// Observations, in the order they came.
    pub metars: Vec<Metar>,
    /// Forecasts, in the order they came.
    pub tafs: Vec<Taf>,
    /// Where the airfields are, as far as the answer says so.
    pub places: BTreeMap<String, GeoPosition>,
    /// Reports that could not be read, with the reason.
    pub refused: Vec<RowError>,
}

/// Reads an answer with several reports: JSON of objects with `rawOb` or `rawTAF`, or text with one report a line
/// (a forecast may run over several).
///
/// The raw text is read, not the values beside it. `reference` as for [`parse_metar`]; where the JSON names the time
/// of observation or issue, that counts instead.
///
/// # Errors
///
/// No such answer, or not one report in it. A single bad report is no error: see [`AviationReports::refused`].
pub fn parse_aviation_reports(
    bytes: &[u8],
    source_name: &str,
    reference: Timestamp,
) -> Result<AviationReports, FeedError> {
    let text = body::text(bytes, source_name, EXPECTED)?;
    let mut reports = AviationReports::default();
    if text.trim_start().starts_with(['[', '{']) {
        let value = json::parse(&text, source_name)?;
        let Value::Array(rows) = value else {
            return Err(body::not_weather(source_name, EXPECTED, "it is a JSON object"));
        };
        for (index, row) in rows.iter().take(MOST_REPORTS).enumerate() {
            reports.row(row, Place::Entry(index + 1), reference);
        }
    } else {
        for (line, report) in lines(&text).into_iter().take(MOST_REPORTS) {
            reports.report(&report, Place::Line(line), reference);
        }
    }
    if reports.metars.is_empty() && reports.tafs.is_empty() {
        let what = match reports.refused.first() {
            Some(first) => format!("report that can be read; {first}"),
            None => "report; the service has none for these stations".to_owned(),
        };
        return Err(FeedError::NoWeather { source_name: source_name.to_owned(), what });
    }
    Ok(reports)
}

impl AviationReports {
    fn row(&mut self, row: &Value, place: Place, reference: Timestamp) {
        let Some(row) = row.as_object() else { return self.refuse(place, "it is no object".to_owned()) };
        let text = |key: &str| row.get(key).and_then(Value::as_str);
        let reference = named_time(row).unwrap_or(reference);
        if let (Some(station), Some(position)) = (text("icaoId"), named_place(row)) {
            self.places.insert(station.to_owned(), position);
        }
        match (text("rawOb"), text("rawTAF")) {
            (Some(raw), _) => self.metar(raw, place, reference),
            (None, Some(raw)) => self.taf(raw, place, reference),
            (None, None) => self.refuse(place, "`rawOb` and `rawTAF` are absent".to_owned()),
        }
    }

    /// A TAF says so, or has a period where a METAR has its wind.
    fn report(&mut self, text: &str, place: Place, reference: Timestamp) {
        let is_taf = text.starts_with("TAF ")
            || text.split_whitespace().take(4).any(|token| {
                token.len() == 9 && token.as_bytes()[4] == b'/' && token.bytes().filter(u8::is_ascii_digit).count() == 8
            });
        if is_taf { self.taf(text, place, reference) } else { self.metar(text, place, reference) }
    }

    fn metar(&mut self, text: &str, place: Place, reference: Timestamp) {
        match parse_metar(text, reference) {
            Ok(metar) => self.metars.push(metar),
            Err(error) => self.refuse(place, error.to_string()),
        }
    }

    fn taf(&mut self, text: &str, place: Place, reference: Timestamp) {
        match parse_taf(text, reference) {
            Ok(taf) => self.tafs.push(taf),
            Err(error) => self.refuse(place, error.to_string()),
        }
    }

    fn refuse(&mut self, place: Place, problem: String) {
        self.refused.push(RowError { place, field: "report", problem });
    }
}

/// `obsTime` in seconds since 1970, or `issueTime` as text.
fn named_time(row: &Map<String, Value>) -> Option<Timestamp> {
    let seconds = row.get("obsTime").and_then(Value::as_i64).and_then(|seconds| Timestamp::from_second(seconds).ok());
    seconds.or_else(|| row.get("issueTime").and_then(Value::as_str)?.parse().ok())
}

/// `lat`, `lon` and, where it is there, `elev`.
fn named_place(row: &Map<String, Value>) -> Option<GeoPosition> {
    let number = |key: &str| row.get(key).and_then(Value::as_f64);
    GeoPosition::new(number("lat")?, number("lon")?, number("elev").unwrap_or(0.0)).ok()
}

/// The reports of a text with the line each begins on; comments are left out, continued lines joined.
fn lines(text: &str) -> Vec<(usize, String)> {
    let mut reports: Vec<(usize, String)> = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let bare = line.trim();
        if bare.is_empty() || bare.starts_with('#') {
            continue;
        }
        let goes_on = line.starts_with([' ', '\t']) || CONTINUATIONS.iter().any(|word| bare.starts_with(word));
        match reports.last_mut() {
            Some((_, report)) if goes_on && report.len() + bare.len() < LONGEST_REPORT_BYTES => {
                report.push(' ');
                report.push_str(bare);
            }
            _first => reports.push((index + 1, bare.to_owned())),
        }
    }
    reports
}
