//! The text tables of ACE: one minute a line, a status column, negative nines for nothing.

use jiff::civil::Date;
use quantity::Timestamp;

use super::columns::MISSING_BELOW;
use super::measurements::{Found, Measurements};
use super::sample::{FieldSample, PlasmaSample, Sample, check_density, check_field, check_speed};
use crate::FeedError;
use crate::body::not_weather;
use crate::collect::{number, utc};
use crate::row::{Fault, Place, quote};
use crate::sniff::is_row;

/// The spacecraft of these tables.
const SPACECRAFT: &str = "ACE";
/// Status of a good line; 1 to 8 are bad, 9 is no data.
const NOMINAL: i32 = 0;
/// By how much a component may exceed the field's strength: each is rounded to one decimal.
const ROUNDING_NT: f64 = 0.1 + 1e-9;
/// Columns before the values: year, month, day, time, Julian day, second of the day, status.
const BEFORE_VALUES: usize = 7;

/// `YR MO DA HHMM day second S Bx By Bz Bt Lat Long`, nT, GSM.
pub(super) fn field(text: &str, source_name: &str) -> Result<Measurements<FieldSample>, FeedError> {
    table(text, source_name, "a table of the ACE magnetometer", 6, |at, values| {
        let [_, Some(by_nt), Some(bz_nt), Some(bt_nt), ..] = values else { return Ok(Found::Missing(at)) };
        check_field(*bt_nt, *by_nt, *bz_nt, ROUNDING_NT)?;
        let spacecraft = Some(SPACECRAFT.to_owned());
        Ok(Found::Sample(FieldSample { at, spacecraft, bt_nt: *bt_nt, by_nt: *by_nt, bz_nt: *bz_nt }))
    })
}

/// `YR MO DA HHMM day second S density speed temperature`.
pub(super) fn plasma(text: &str, source_name: &str) -> Result<Measurements<PlasmaSample>, FeedError> {
    table(text, source_name, "a table of the ACE plasma instrument", 3, |at, values| {
        let [density_cm3, Some(speed_km_s), ..] = values else { return Ok(Found::Missing(at)) };
        check_speed(*speed_km_s)?;
        density_cm3.map(check_density).transpose()?;
        let spacecraft = Some(SPACECRAFT.to_owned());
        Ok(Found::Sample(PlasmaSample { at, spacecraft, speed_km_s: *speed_km_s, density_cm3: *density_cm3 }))
    })
}

fn table<S: Sample>(
    text: &str,
    source_name: &str,
    expected: &'static str,
    values: usize,
    of_row: impl Fn(Timestamp, &[Option<f64>]) -> Result<Found<S>, Fault>,
) -> Result<Measurements<S>, FeedError> {
    let lines = text.lines().enumerate().filter(|(_, line)| is_row(line) && !line.starts_with(':'));
    let mut rows = lines.map(|(index, line)| (index, line.split_whitespace().collect::<Vec<_>>())).peekable();
    match rows.peek() {
        Some((_, columns)) if columns.len() == BEFORE_VALUES + values => {}
        Some((_, columns)) => {
            return Err(not_weather(
                source_name,
                expected,
                format!("it begins with \"{}\"", quote(&columns.join(" "))),
            ));
        }
        None => return Err(not_weather(source_name, expected, "it has no line with values")),
    }
    let rows = rows.map(|(index, columns)| (Place::Line(index + 1), row(&columns, values, &of_row)));
    Measurements::gather(source_name, rows)
}

fn row<S>(
    columns: &[&str],
    values: usize,
    of_row: impl Fn(Timestamp, &[Option<f64>]) -> Result<Found<S>, Fault>,
) -> Result<Found<S>, Fault> {
    let [year, month, day, hhmm, _day, _second, status, numbers @ ..] = columns else {
        return Err(Fault::new("row", format!("{} columns", columns.len())));
    };
    if numbers.len() != values {
        return Err(Fault::new(
            "row",
            format!("{} columns where the table has {}", columns.len(), BEFORE_VALUES + values),
        ));
    }
    let at = instant(year, month, day, hhmm)?;
    match number::<i32>("S", status)? {
        NOMINAL => {}
        9 => return Ok(Found::Missing(at)),
        _bad => return Ok(Found::Doubtful),
    }
    let numbers = numbers.iter().map(|text| {
        number::<f64>("value", text).map(|value| (value.is_finite() && value > MISSING_BELOW).then_some(value))
    });
    of_row(at, &numbers.collect::<Result<Vec<_>, _>>()?)
}

fn instant(year: &str, month: &str, day: &str, hhmm: &str) -> Result<Timestamp, Fault> {
    let date = Date::new(number("YR", year)?, number("MO", month)?, number("DA", day)?)
        .map_err(|_invalid| Fault::new("date", format!("{year} {month} {day} is not in the calendar")))?;
    let hhmm: i16 = number("HHMM", hhmm)?;
    let part = |value: i16| i8::try_from(value).map_err(|_large| Fault::new("HHMM", format!("{hhmm} is no time")));
    let time = jiff::civil::Time::new(part(hhmm.div_euclid(100))?, part(hhmm.rem_euclid(100))?, 0, 0)
        .map_err(|_invalid| Fault::new("HHMM", format!("{hhmm:04} is no time")))?;
    utc(date.to_datetime(time))
}
