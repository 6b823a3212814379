//! Field and plasma as JSON: objects of several spacecraft, or the retired rows under a header row.

use quantity::Timestamp;
use serde_json::Value;

use super::ace_text;
use super::measurements::{Found, Measurements};
use super::sample::{FieldSample, PlasmaSample, ROUNDING_NT, Sample, check_density, check_field, check_speed};
use crate::body::{bad_key, not_weather, text};
use crate::row::{Fault, quote};
use crate::table::{Row, Table};
use crate::{FeedError, json};

/// What stands for "no value" in tables of numbers lies below this: -999.9, -9999.9, -99999.
pub(super) const MISSING_BELOW: f64 = -999.0;
/// The agency's flag for a good row.
const GOOD: f64 = 0.0;

const FIELD: &str = "a table of the solar wind's magnetic field";
const PLASMA: &str = "a table of the solar wind's speed and density";

/// Reads the magnetic field, in nT and GSM axes.
///
/// Of several spacecraft only the rows of the one in charge (`active`) count, and only those whose `overall_quality` is
/// not bad; order does not matter. The retired table names no spacecraft; every row counts. Times without a zone are
/// UTC.
///
/// # Errors
///
/// No such table, a column that every such table has is absent, or not one good value.
pub fn parse_field(bytes: &[u8], source_name: &str) -> Result<Measurements<FieldSample>, FeedError> {
    parse(bytes, source_name, FIELD, &["bt", "by_gsm", "bz_gsm"], ace_text::field, |row, at, spacecraft| {
        let [bx, by, bz] = ["bx_gsm", "by_gsm", "bz_gsm"].map(|name| value(row, name));
        let (Some(by_nt), Some(bz_nt)) = (by?, bz?) else { return Ok(Found::Missing(at)) };
        let bt_nt = match (value(row, "bt")?, bx?) {
            (Some(bt_nt), _) => bt_nt,
            (None, Some(bx_nt)) => bx_nt.hypot(by_nt).hypot(bz_nt),
            (None, None) => return Ok(Found::Missing(at)),
        };
        check_field(bt_nt, by_nt, bz_nt, ROUNDING_NT)?;
        Ok(Found::Sample(FieldSample { at, spacecraft, bt_nt, by_nt, bz_nt }))
    })
}

/// Reads speed and density of the protons.
///
/// As [`parse_field`]. A row with a density and no speed, which the instrument often has, counts as missing.
///
/// # Errors
///
/// No such table, a column that every such table has is absent, or not one good value.
pub fn parse_plasma(bytes: &[u8], source_name: &str) -> Result<Measurements<PlasmaSample>, FeedError> {
    parse(bytes, source_name, PLASMA, &[], ace_text::plasma, |row, at, spacecraft| {
        // the names of today and those of the retired table
        let either = |new: &'static str, old: &'static str| Ok(value(row, new)?.or(value(row, old)?));
        let (speed, density) = (either("proton_speed", "speed")?, either("proton_density", "density")?);
        let Some(speed_km_s) = speed else { return Ok(Found::Missing(at)) };
        check_speed(speed_km_s)?;
        density.map(check_density).transpose()?;
        Ok(Found::Sample(PlasmaSample { at, spacecraft, speed_km_s, density_cm3: density }))
    })
}

fn parse<S: Sample>(
    bytes: &[u8],
    source_name: &str,
    expected: &'static str,
    needed: &[&str],
    as_text: impl Fn(&str, &str) -> Result<Measurements<S>, FeedError>,
    of_row: impl Fn(Row<'_>, Timestamp, Option<String>) -> Result<Found<S>, Fault>,
) -> Result<Measurements<S>, FeedError> {
    let text = text(bytes, source_name, expected)?;
    if !text.trim_start().starts_with(['[', '{']) {
        return as_text(&text, source_name);
    }
    let value = json::parse(&text, source_name)?;
    let Some(table) = Table::of(&value) else {
        let found = if value.is_array() { "it is an empty list" } else { "it is a JSON object" };
        return Err(not_weather(source_name, expected, found));
    };
    check_columns(&table, source_name, expected, needed)?;
    let names_spacecraft = table.has("active");
    let rows = table.rows().map(|(place, row)| (place, found(row, names_spacecraft, &of_row)));
    Measurements::gather(source_name, rows)
}

/// A key that is gone is a change of format, and loud; a null is a gap, and quiet.
fn check_columns(
    table: &Table<'_>,
    source_name: &str,
    expected: &'static str,
    needed: &[&str],
) -> Result<(), FeedError> {
    let is_plasma = needed.is_empty();
    if !table.has("time_tag") || (is_plasma && !table.has("speed") && !table.has("proton_speed")) {
        let found = format!("its columns are {}", quote(&table.names.join(", ")));
        return Err(not_weather(source_name, expected, found));
    }
    if let Some(absent) = needed.iter().find(|name| !table.has(name)) {
        return Err(bad_key(source_name, absent, "absent"));
    }
    // without it the one in charge cannot be told from the others
    if !table.is_under_header() && !table.has("active") {
        return Err(bad_key(source_name, "active", "absent"));
    }
    Ok(())
}

fn found<S>(
    row: Row<'_>,
    names_spacecraft: bool,
    of_row: impl Fn(Row<'_>, Timestamp, Option<String>) -> Result<Found<S>, Fault>,
) -> Result<Found<S>, Fault> {
    if names_spacecraft && !is_active(row)? {
        return Ok(Found::Inactive);
    }
    let at = row.time("time_tag")?;
    if is_doubtful(row)? {
        return Ok(Found::Doubtful);
    }
    of_row(row, at, row.get("source").and_then(Value::as_str).map(quote))
}

fn is_active(row: Row<'_>) -> Result<bool, Fault> {
    match row.get("active") {
        Some(Value::Bool(active)) => Ok(*active),
        Some(Value::String(text)) if text == "true" || text == "1" => Ok(true),
        Some(Value::String(text)) if text == "false" || text == "0" => Ok(false),
        // not known to be in charge
        Some(Value::Null) => Ok(false),
        Some(Value::Number(number)) => Ok(number.as_i64() == Some(1)),
        _other => Err(Fault::new("active", "it is neither true nor false")),
    }
}

/// Whether the agency calls the row bad. A flag that is not reported (null, -9999) is no verdict.
fn is_doubtful(row: Row<'_>) -> Result<bool, Fault> {
    Ok(value(row, "overall_quality")?.is_some_and(|quality| (quality - GOOD).abs() > f64::EPSILON))
}

/// A number, or nothing where the table has its mark for nothing.
pub(super) fn value(row: Row<'_>, field: &'static str) -> Result<Option<f64>, Fault> {
    Ok(row.number(field)?.filter(|value| *value > MISSING_BELOW))
}
