//! The solar wind moved to Earth by the agency: the cheapest complete input.

use super::columns::value;
use super::join::SolarWind;
use super::measurements::{Found, Measurements};
use super::sample::{Arrival, ROUNDING_NT, SolarWindSample, check_density, check_field, check_speed};
use crate::body::{bad_key, not_weather, text};
use crate::row::{Fault, quote};
use crate::table::{Row, Table};
use crate::{FeedError, json};

const EXPECTED: &str = "a table of the solar wind moved to Earth";
/// Columns without which nothing can be computed.
const NEEDED: [&str; 7] = ["time_tag", "speed", "density", "by", "bz", "bt", "propagated_time_tag"];
/// Longest way from L1 believed, seconds: 1.5 million km at 150 km/s.
const LONGEST_WAY_S: i64 = 10_000;

/// Reads rows under a header row, numbers quoted or not; components in GSM.
///
/// Only complete rows count: the tail is often a time with nulls. The spacecraft is not named.
///
/// # Errors
///
/// No such table, a column absent, or not one complete row.
pub fn parse_propagated(bytes: &[u8], source_name: &str) -> Result<Measurements<SolarWindSample>, FeedError> {
    let text = text(bytes, source_name, EXPECTED)?;
    if !text.trim_start().starts_with(['[', '{']) {
        return Err(not_weather(source_name, EXPECTED, format!("it begins with \"{}\"", quote(text.trim_start()))));
    }
    let value = json::parse(&text, source_name)?;
    let Some(table) = Table::of(&value) else {
        return Err(not_weather(source_name, EXPECTED, "it is an empty list or no list"));
    };
    if !table.has("time_tag") {
        let found = format!("its columns are {}", quote(&table.names.join(", ")));
        return Err(not_weather(source_name, EXPECTED, found));
    }
    if let Some(absent) = NEEDED.iter().find(|name| !table.has(name)) {
        return Err(bad_key(source_name, absent, "absent"));
    }
    Measurements::gather(source_name, table.rows().map(|(place, row)| (place, sample(row))))
}

fn sample(row: Row<'_>) -> Result<Found<SolarWindSample>, Fault> {
    let at = row.time("time_tag")?;
    let [speed, density, by, bz, bt] = ["speed", "density", "by", "bz", "bt"].map(|name| value(row, name));
    let (Some(speed_km_s), Some(density_cm3), Some(by_nt), Some(bz_nt), Some(bt_nt)) =
        (speed?, density?, by?, bz?, bt?)
    else {
        return Ok(Found::Missing(at));
    };
    if row.get("propagated_time_tag").is_none_or(serde_json::Value::is_null) {
        return Ok(Found::Missing(at));
    }
    let arrives_at = row.time("propagated_time_tag")?;
    let way_s = arrives_at.duration_since(at).as_secs();
    if !(0..=LONGEST_WAY_S).contains(&way_s) {
        return Err(Fault::new("propagated_time_tag", format!("it is {way_s} s after the time of measurement")));
    }
    check_speed(speed_km_s)?;
    check_density(density_cm3)?;
    check_field(bt_nt, by_nt, bz_nt, ROUNDING_NT)?;
    Ok(Found::Sample(SolarWindSample {
        at,
        arrives_at,
        arrival: Arrival::Published,
        field_spacecraft: None,
        plasma_spacecraft: None,
        bt_nt,
        by_nt,
        bz_nt,
        speed_km_s,
        density_cm3: Some(density_cm3),
    }))
}

impl From<Measurements<SolarWindSample>> for SolarWind {
    fn from(measured: Measurements<SolarWindSample>) -> Self {
        Self { samples: measured.samples, without_plasma: 0 }
    }
}
