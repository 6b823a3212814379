use quantity::Timestamp;
use serde::Serialize;

use crate::body::{not_weather, text};
use crate::collect::number;
use crate::row::{Fault, Place};
use crate::sniff::is_row;
use crate::solar_wind::{Measurements, Sample};
use crate::{FeedError, json, table};

const EXPECTED: &str = "a table of hemispheric power";
/// Largest power believed, GW. The published relation gives 345 GW at Kp 9.
const LARGEST_GW: f64 = 2000.0;
/// Longest lead believed, seconds: a wind of 277 km/s was given 94 minutes.
const LONGEST_LEAD_S: i64 = 4 * 3600;

/// Power that auroral electrons bring, by the agency's model, for about an hour ahead.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PowerSample {
    /// When the solar wind behind it was measured; the older layout has only the time it holds for.
    pub observed_at: Option<Timestamp>,
    /// When it holds.
    pub valid_at: Timestamp,
    /// Power of the northern hemisphere, GW.
    pub north_gw: Option<f64>,
    /// Power of the southern hemisphere, GW.
    pub south_gw: Option<f64>,
}

impl PowerSample {
    /// Mean of the hemispheres that have a value, GW. The two differ by a few percent, not by season.
    pub fn power_gw(&self) -> Option<f64> {
        match (self.north_gw, self.south_gw) {
            (Some(north), Some(south)) => Some(f64::midpoint(north, south)),
            (north, south) => north.or(south),
        }
    }
}

impl Sample for PowerSample {
    fn at(&self) -> Timestamp {
        self.observed_at.unwrap_or(self.valid_at)
    }
    fn spacecraft(&self) -> Option<&str> {
        None
    }
}

/// The powers of a day, in order of the time of observation.
pub type HemisphericPower = Measurements<PowerSample>;

/// Reads `2026-09-11_12:20    2026-09-11_13:21      36      38`: observation, time it holds for, north and south in GW.
///
/// The lead is what the two times say, about an hour; "30-minute forecast" is a name. Lines with one time hold for that
/// time. `n/a` is no value. The table is that of the current day and short after midnight.
///
/// # Errors
///
/// No such table, or not one good value.
pub fn parse_hemispheric_power(bytes: &[u8], source_name: &str) -> Result<HemisphericPower, FeedError> {
    let text = text(bytes, source_name, EXPECTED)?;
    if text.trim_start().starts_with(['[', '{']) {
        json::check(&text, source_name)?;
        return Err(not_weather(source_name, EXPECTED, "it is JSON"));
    }
    let lines = text.lines().enumerate().filter(|(_, line)| is_row(line) && !line.starts_with(':'));
    Measurements::of_values(source_name, lines.map(|(index, line)| (Place::Line(index + 1), row(line))))
}

/// `Err` inside where the line has a time and no value.
fn row(line: &str) -> Result<Result<PowerSample, Timestamp>, Fault> {
    let mut times = Vec::new();
    let mut powers = Vec::new();
    let mut words = line.split_whitespace().peekable();
    while let Some(word) = words.next() {
        match word.split_once('_') {
            Some((date, time)) => times.push(instant(date, time)?),
            // date and time apart
            None if is_date(word) => times.push(instant(word, words.next().unwrap_or_default())?),
            None => powers.push(power(word)?),
        }
    }
    let (observed_at, valid_at) = match times.as_slice() {
        [observed, valid] => (Some(*observed), *valid),
        [valid] => (None, *valid),
        other => return Err(Fault::new("row", format!("{} times where the table has 2", other.len()))),
    };
    let [north_gw, south_gw] = powers.as_slice() else {
        return Err(Fault::new("row", format!("{} values where the table has 2", powers.len())));
    };
    let lead_s = observed_at.map_or(0, |observed| valid_at.duration_since(observed).as_secs());
    if !(0..=LONGEST_LEAD_S).contains(&lead_s) {
        return Err(Fault::new("Forecast", format!("it is {lead_s} s after the observation")));
    }
    if north_gw.is_none() && south_gw.is_none() {
        return Ok(Err(observed_at.unwrap_or(valid_at)));
    }
    Ok(Ok(PowerSample { observed_at, valid_at, north_gw: *north_gw, south_gw: *south_gw }))
}

fn is_date(word: &str) -> bool {
    word.len() == 10 && word.bytes().filter(|byte| *byte == b'-').count() == 2
}

fn instant(date: &str, time: &str) -> Result<Timestamp, Fault> {
    table::instant("time", &format!("{date}T{}", time.trim_end_matches('Z')))
}

fn power(word: &str) -> Result<Option<f64>, Fault> {
    if word.trim_matches(['(', ')']).eq_ignore_ascii_case("n/a") {
        return Ok(None);
    }
    let power_gw: f64 = number("GigaWatts", word)?;
    match power_gw {
        _none if power_gw.is_nan() || power_gw < 0.0 => Ok(None),
        _good if power_gw <= LARGEST_GW => Ok(Some(power_gw)),
        _large => Err(Fault::new("GigaWatts", format!("{power_gw} is more than {LARGEST_GW}"))),
    }
}
