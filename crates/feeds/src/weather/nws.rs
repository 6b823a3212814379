//! The raw grid forecast of the US National Weather Service, and the way from coordinates to a grid point.

use jiff::SignedDuration;
use job::Weather;
use quantity::Timestamp;
use serde_json::{Map, Value};

use super::body::{bad_key, child, object};
use super::timeline::{Item, Timeline, impossible_words};
use crate::{FeedError, json};

/// Public domain; it must not sound like an endorsement.
const CREDIT: &str = "US National Weather Service, grid forecast (public domain)";
const EXPECTED: &str = "a grid forecast of the US National Weather Service";
const EXPECTED_POINT: &str = "a grid point of the US National Weather Service";
/// The only host a grid point may lead to.
const HOST: &str = "https://api.weather.gov/";
/// Most entries read of one series; a week has about 160.
const MOST_ENTRIES: usize = 2000;
/// Longest stretch one value is believed for.
const LONGEST: SignedDuration = SignedDuration::from_hours(24 * 14);
const KEYS: [(&str, Item); 6] = [
    ("skyCover", Item::CloudTotal),
    ("temperature", Item::TemperatureC),
    ("dewpoint", Item::DewPointC),
    ("windSpeed", Item::WindMS),
    ("windDirection", Item::WindFromDeg),
    ("windGust", Item::GustMS),
];
/// Share of the surroundings in fog by the word for its coverage. The service gives no numbers for fog; the steps are
/// the project's judgement.
const FOG_SHARES: [(&str, f64); 5] =
    [("slight_chance", 0.1), ("isolated", 0.15), ("patchy", 0.25), ("chance", 0.3), ("areas", 0.5)];

/// Where to ask for the forecast of a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NwsGridPoint {
    /// Address of the raw grid forecast, the only one that has cloud.
    pub forecast_grid_data: String,
    /// Forecast office, such as `AFG`.
    pub grid_id: Option<String>,
    /// IANA time zone of the place.
    pub time_zone: Option<String>,
}

/// Reads the answer of `/points`: the address at which the grid forecast lies.
///
/// # Errors
///
/// A problem of the service (a place outside its area), no such answer, or an address on another host.
pub fn parse_nws_points(bytes: &[u8], source_name: &str) -> Result<NwsGridPoint, FeedError> {
    let answer = object(bytes, source_name, EXPECTED_POINT)?;
    let properties = child(&answer, "properties").ok_or_else(|| bad_key(source_name, "properties", "absent"))?;
    let text = |key: &str| properties.get(key).and_then(Value::as_str).map(str::to_owned);
    let address = text("forecastGridData").ok_or_else(|| bad_key(source_name, "forecastGridData", "absent"))?;
    if !address.starts_with(HOST) || address.chars().any(|c| c.is_whitespace() || c.is_control()) {
        return Err(bad_key(source_name, "forecastGridData", "not an address of api.weather.gov"));
    }
    Ok(NwsGridPoint { forecast_grid_data: address, grid_id: text("gridId"), time_zone: text("timeZone") })
}

/// Reads the answer of `/gridpoints`: run-length coded series, cut into common hours.
///
/// The service has no cloud layers: `skyCover` is the total, the layers stay `None`. Units are taken from each series
/// (`uom`). A null or an empty series is unknown, not clear. Fog comes in words and is a rough share. Stretches that
/// are over already are kept; whoever asks for an hour finds its own. Values no atmosphere has are left out and
/// counted in [`Weather::source`].
///
/// # Errors
///
/// A problem of the service by its name, no such answer, a unit not known here, or no value at all.
pub fn parse_nws_gridpoints(bytes: &[u8], source_name: &str) -> Result<Weather, FeedError> {
    let answer = object(bytes, source_name, EXPECTED)?;
    let properties = child(&answer, "properties").ok_or_else(|| bad_key(source_name, "properties", "absent"))?;
    if !KEYS.iter().any(|(key, _)| properties.contains_key(*key)) {
        return Err(bad_key(source_name, "skyCover", "absent, like every other series"));
    }
    let mut timeline = Timeline::default();
    for (key, item) in KEYS {
        let Some(series) = child(properties, key) else { continue };
        let entries = entries(series);
        if entries.is_empty() {
            continue;
        }
        let unit = Unit::of(series.get("uom").and_then(Value::as_str), item)
            .ok_or_else(|| bad_key(source_name, key, "in a unit not known here"))?;
        for entry in entries {
            let Some((from, to)) = entry.get("validTime").and_then(Value::as_str).and_then(valid_time) else {
                timeline.impossible += 1;
                continue;
            };
            match json::number(entry.get("value")) {
                Ok(Some(value)) => timeline.add(item, from, to, unit.convert(value)),
                Ok(None) => {}
                Err(_) => timeline.impossible += 1,
            }
        }
    }
    add_fog(child(properties, "weather"), &mut timeline);
    let impossible = timeline.impossible;
    let hours = by_the_hour(timeline);
    if hours.is_empty() {
        let what = "value for any hour".to_owned();
        return Err(FeedError::NoWeather { source_name: source_name.to_owned(), what });
    }
    let issued_at = properties.get("updateTime").and_then(Value::as_str).and_then(|text| text.parse().ok());
    Ok(Weather { source: format!("{CREDIT}{}", impossible_words(impossible)), issued_at, hours, around: Vec::new() })
}

fn entries(series: &Map<String, Value>) -> &[Value] {
    let entries = series.get("values").and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default();
    &entries[..entries.len().min(MOST_ENTRIES)]
}

/// How a number of a series becomes one of ours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Unit {
    Percent,
    Celsius,
    Fahrenheit,
    Kelvin,
    KilometresPerHour,
    MetresPerSecond,
    Knots,
    Degrees,
}

impl Unit {
    fn of(uom: Option<&str>, item: Item) -> Option<Self> {
        let name = uom?.rsplit(':').next()?;
        let unit = match name {
            "percent" => Self::Percent,
            "degC" => Self::Celsius,
            "degF" => Self::Fahrenheit,
            "K" => Self::Kelvin,
            "km_h-1" => Self::KilometresPerHour,
            "m_s-1" => Self::MetresPerSecond,
            "kt" => Self::Knots,
            "degree_(angle)" => Self::Degrees,
            _other => return None,
        };
        let fits = match item {
            Item::TemperatureC | Item::DewPointC => matches!(unit, Self::Celsius | Self::Fahrenheit | Self::Kelvin),
            Item::WindMS | Item::GustMS => {
                matches!(unit, Self::KilometresPerHour | Self::MetresPerSecond | Self::Knots)
            }
            Item::WindFromDeg => unit == Self::Degrees,
            Item::CloudTotal | Item::CloudLow | Item::CloudMedium | Item::CloudHigh | Item::Fog => {
                unit == Self::Percent
            }
        };
        fits.then_some(unit)
    }

    fn convert(self, value: f64) -> f64 {
        match self {
            Self::Percent => value / 100.0,
            Self::Celsius | Self::MetresPerSecond | Self::Degrees => value,
            Self::Fahrenheit => (value - 32.0) / 1.8,
            Self::Kelvin => value - 273.15,
            Self::KilometresPerHour => value / 3.6,
            Self::Knots => value * 1852.0 / 3600.0,
        }
    }
}

/// `2026-11-15T12:00:00+00:00/P1DT6H` as start and end.
fn valid_time(text: &str) -> Option<(Timestamp, Timestamp)> {
    let (start, duration) = text.split_once('/')?;
    let from: Timestamp = start.parse().ok()?;
    let to = from.checked_add(iso_duration(duration)?).ok()?;
    Some((from, to))
}

/// An ISO 8601 duration of weeks, days, hours, minutes and seconds; a day has 24 hours.
fn iso_duration(text: &str) -> Option<SignedDuration> {
    let mut rest = text.strip_prefix('P').filter(|rest| !rest.is_empty())?;
    let mut seconds: i64 = 0;
    let mut in_time = false;
    while !rest.is_empty() {
        if let Some(time) = rest.strip_prefix('T') {
            rest = time;
            in_time = true;
            continue;
        }
        let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
        let number: i64 = rest.get(..digits)?.parse().ok()?;
        let unit_s = match (in_time, rest.as_bytes().get(digits)?) {
            (false, b'W') => 7 * 86_400,
            (false, b'D') => 86_400,
            (true, b'H') => 3600,
            (true, b'M') => 60,
            (true, b'S') => 1,
            _other => return None,
        };
        seconds = seconds.checked_add(number.checked_mul(unit_s)?)?;
        rest = rest.get(digits + 1..)?;
    }
    let duration = SignedDuration::from_secs(seconds);
    (duration > SignedDuration::ZERO && duration <= LONGEST).then_some(duration)
}

/// Fog by its words: `weather.values[].value[]` with coverage and weather.
fn add_fog(weather: Option<&Map<String, Value>>, timeline: &mut Timeline) {
    for entry in weather.map(entries).unwrap_or_default() {
        let Some((from, to)) = entry.get("validTime").and_then(Value::as_str).and_then(valid_time) else { continue };
        let Some(phenomena) = entry.get("value").and_then(Value::as_array) else { continue };
        let share = phenomena
            .iter()
            .filter_map(fog_share)
            .fold(None, |most: Option<f64>, share| Some(most.map_or(share, |most| most.max(share))));
        // weather was forecast for these hours: no fog among it means none
        timeline.add(Item::Fog, from, to, share.unwrap_or(0.0));
    }
}

fn fog_share(phenomenon: &Value) -> Option<f64> {
    let name = phenomenon.get("weather")?.as_str()?;
    if !matches!(name, "fog" | "freezing_fog" | "ice_fog") {
        return None;
    }
    let coverage = phenomenon.get("coverage").and_then(Value::as_str).unwrap_or_default();
    Some(FOG_SHARES.iter().find(|(word, _)| *word == coverage).map_or(1.0, |(_, share)| *share))
}

/// The stretches cut into single hours, as the forecast is made.
fn by_the_hour(timeline: Timeline) -> Vec<job::WeatherHour> {
    /// A week and a half by the hour.
    const MOST: usize = 400;
    let mut hours = Vec::new();
    for stretch in timeline.hours() {
        let mut from = stretch.from;
        while from < stretch.to && hours.len() < MOST {
            let to = from.checked_add(SignedDuration::from_hours(1)).map_or(stretch.to, |to| to.min(stretch.to));
            hours.push(job::WeatherHour { from, to, ..stretch });
            from = to;
        }
    }
    hours
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn durations_are_read_with_days_of_24_hours() {
        let hours = |text| iso_duration(text).map(|duration| duration.as_secs() / 3600);
        assert_eq!(hours("PT1H"), Some(1));
        assert_eq!(hours("P1DT6H"), Some(30));
        assert_eq!(hours("P2DT3H"), Some(51));
        assert_eq!(hours("P2D"), Some(48));
        assert_eq!(hours("P1W"), Some(168));
        for bad in ["", "P", "PT", "1H", "PT-1H", "P1H", "PT1D", "PT1.5H", "P99999999999999999999D", "PT0H", "P1Y"] {
            assert_eq!(hours(bad), None, "{bad}");
        }
    }

    #[test]
    fn a_unit_that_does_not_fit_its_quantity_is_not_taken() {
        assert_eq!(Unit::of(Some("wmoUnit:percent"), Item::CloudTotal), Some(Unit::Percent));
        assert_eq!(Unit::of(Some("nwsUnit:s"), Item::WindMS), None);
        assert_eq!(Unit::of(Some("wmoUnit:percent"), Item::TemperatureC), None);
        assert_eq!(Unit::of(None, Item::TemperatureC), None);
    }
}
