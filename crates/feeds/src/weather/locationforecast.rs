//! Locationforecast 2.0 of MET Norway: one place, by the hour for two to three days, then by six hours.

use jiff::SignedDuration;
use job::{Weather, WeatherHour};
use quantity::Timestamp;
use serde_json::{Map, Value};

use super::body::{bad_key, child, object};
use super::timeline::{Item, impossible_words};
use crate::{FeedError, json};

/// The credit the licence asks for.
const CREDIT: &str = "MET Norway (CC BY 4.0)";
const EXPECTED: &str = "a Locationforecast answer";
/// Most steps read; an answer has about 90.
const MOST_STEPS: usize = 1000;
/// How long a step holds at most when it does not say so itself: the longest step published.
const LONGEST_STEP: SignedDuration = SignedDuration::from_hours(6);
/// How long the last step holds, of which only the instant is given.
const LAST_STEP: SignedDuration = SignedDuration::from_hours(1);
/// Periods a step may name, shortest first.
const PERIODS: [(&str, i64); 3] = [("next_1_hours", 1), ("next_6_hours", 6), ("next_12_hours", 12)];
/// Key, unit it must have, and what divides it.
const KEYS: [(&str, &str, Item, f64); 10] = [
    ("cloud_area_fraction", "%", Item::CloudTotal, 100.0),
    ("cloud_area_fraction_low", "%", Item::CloudLow, 100.0),
    ("cloud_area_fraction_medium", "%", Item::CloudMedium, 100.0),
    ("cloud_area_fraction_high", "%", Item::CloudHigh, 100.0),
    ("fog_area_fraction", "%", Item::Fog, 100.0),
    ("air_temperature", "celsius", Item::TemperatureC, 1.0),
    ("dew_point_temperature", "celsius", Item::DewPointC, 1.0),
    ("wind_speed", "m/s", Item::WindMS, 1.0),
    ("wind_from_direction", "degrees", Item::WindFromDeg, 1.0),
    ("wind_speed_of_gust", "m/s", Item::GustMS, 1.0),
];

/// Reads an answer of Locationforecast, `complete` or `compact`.
///
/// Cloud layers are those of the service: below 2 km, 2 to 5 km, above 5 km over ground. A step holds until the next,
/// but not longer than the period it names (`next_1_hours`, `next_6_hours`), so that a missing step stays a gap; the
/// last, of which only the instant is given, holds one hour. Every value may be absent and is then `None`. Values no
/// atmosphere has are left out and counted in [`Weather::source`]. Percentiles and probabilities, which only the
/// Nordic area has, are not used.
///
/// # Errors
///
/// No such answer, JSON that breaks off, a unit other than documented, or no step with a value.
///
/// # Example
///
/// ```
/// let answer = br#"{"properties":{"meta":{"updated_at":"2026-11-14T14:33:05Z","units":{"cloud_area_fraction_low":"%"}},
///     "timeseries":[{"time":"2026-11-14T15:00:00Z","data":{"instant":{"details":{"cloud_area_fraction_low":40.6}}}}]}}"#;
/// let weather = feeds::weather::parse_locationforecast(answer, "forecast.json")?;
/// assert_eq!(weather.hours[0].cloud.low.map(|low| low.value()), Some(0.406));
/// assert_eq!(weather.hours[0].cloud.high, None);
/// # Ok::<(), feeds::FeedError>(())
/// ```
pub fn parse_locationforecast(bytes: &[u8], source_name: &str) -> Result<Weather, FeedError> {
    let answer = object(bytes, source_name, EXPECTED)?;
    let properties = child(&answer, "properties").ok_or_else(|| bad_key(source_name, "properties", "absent"))?;
    let meta = child(properties, "meta");
    let units = meta.and_then(|meta| child(meta, "units"));
    check_units(units, source_name)?;
    let steps = match properties.get("timeseries") {
        Some(Value::Array(steps)) => steps,
        Some(_) => return Err(bad_key(source_name, "timeseries", "not a list")),
        None => return Err(bad_key(source_name, "timeseries", "absent")),
    };
    let mut steps: Vec<Step> = steps.iter().take(MOST_STEPS).filter_map(Step::of).collect();
    steps.sort_by_key(|step| step.time);
    steps.dedup_by_key(|step| step.time);
    let (hours, impossible) = hours(&steps);
    if hours.is_empty() {
        let what = "step with a time and a value".to_owned();
        return Err(FeedError::NoWeather { source_name: source_name.to_owned(), what });
    }
    let issued_at = meta.and_then(|meta| meta.get("updated_at")).and_then(Value::as_str);
    Ok(Weather {
        source: format!("{CREDIT}, Locationforecast{}", impossible_words(impossible)),
        issued_at: issued_at.and_then(|text| text.parse().ok()),
        hours,
        around: Vec::new(),
    })
}

/// A unit that changed would be read wrongly in silence.
fn check_units(units: Option<&Map<String, Value>>, source_name: &str) -> Result<(), FeedError> {
    for (key, unit, ..) in KEYS {
        let given = units.and_then(|units| units.get(key)).and_then(Value::as_str);
        if given.is_some_and(|given| given != unit) {
            return Err(bad_key(source_name, key, "not in the unit it is documented in"));
        }
    }
    Ok(())
}

/// One entry of the time series.
struct Step<'a> {
    time: Timestamp,
    details: &'a Map<String, Value>,
    named: Option<SignedDuration>,
}

impl<'a> Step<'a> {
    fn of(entry: &'a Value) -> Option<Self> {
        let entry = entry.as_object()?;
        let time = entry.get("time")?.as_str()?.parse().ok()?;
        let data = child(entry, "data")?;
        let details = child(child(data, "instant")?, "details")?;
        let named = PERIODS.iter().find(|(key, _)| data.contains_key(*key));
        Some(Self { time, details, named: named.map(|(_, hours)| SignedDuration::from_hours(*hours)) })
    }

    fn end(&self, next: Option<Timestamp>) -> Option<Timestamp> {
        let length = match next {
            Some(next) => self.named.unwrap_or(LONGEST_STEP).min(next.duration_since(self.time)),
            None => self.named.unwrap_or(LAST_STEP),
        };
        self.time.checked_add(length).ok()
    }
}

fn hours(steps: &[Step<'_>]) -> (Vec<WeatherHour>, usize) {
    let mut hours = Vec::new();
    let mut impossible = 0;
    for (index, step) in steps.iter().enumerate() {
        let Some(to) = step.end(steps.get(index + 1).map(|next| next.time)) else { continue };
        let mut hour = WeatherHour::unknown(step.time, to);
        let mut known = false;
        for (key, _, item, divisor) in KEYS {
            match json::number(step.details.get(key)) {
                Ok(None) => {}
                Ok(Some(value)) if item.set(&mut hour, value / divisor) => known = true,
                Ok(Some(_)) | Err(_) => impossible += 1,
            }
        }
        if known {
            hours.push(hour);
        }
    }
    (hours, impossible)
}
