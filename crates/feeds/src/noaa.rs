//! The planetary K index of NOAA: estimates of the last week, and the forecast, in the old shape (rows under a header
//! row, numbers as text) and in the new one (objects).
//!
//! These are estimates; GFZ is the authority. Times without zone are UTC. The 1-minute estimate is refused: it starts
//! again near 0 every three hours and is no Kp.

use jiff::civil::DateTime;
use job::ActivityKind;
use quantity::Timestamp;
use serde_json::Value;

use crate::collect::{Collector, Reading, utc};
use crate::row::{Fault, quote};
use crate::{FeedError, KpFormat, KpSeries, KpThird, Place, json};

/// Reads either shape, telling them apart by their first element.
pub(crate) fn parse_json(text: &str, source_name: &str) -> Result<KpSeries, FeedError> {
    let value = json::parse(text, source_name)?;
    let rows = value.as_array().map(Vec::as_slice).unwrap_or_default();
    let Some(first) = rows.first() else {
        return Err(FeedError::NoValues { source_name: source_name.to_owned() });
    };
    let names: Vec<&str> = match first {
        Value::Object(object) => object.keys().map(String::as_str).collect(),
        Value::Array(header) => header.iter().filter_map(Value::as_str).collect(),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => Vec::new(),
    };
    let format = format_of(&names, source_name, text)?;
    let skip = usize::from(first.is_array());
    let mut collector = Collector::new(source_name, format);
    for (index, row) in rows.iter().enumerate().skip(skip) {
        let reading = Row { names: &names, value: row }.reading(format);
        collector.row(Place::Entry(index + 1), reading.map(|reading| vec![reading]));
    }
    collector.finish()
}

/// The file with `Kp` holds estimates, the one with `kp` and `observed` the forecast.
fn format_of(names: &[&str], source_name: &str, text: &str) -> Result<KpFormat, FeedError> {
    let has = |name: &str| names.contains(&name);
    let source_name = source_name.to_owned();
    if has("estimated_kp") {
        return Err(FeedError::WrongIndex { source_name, found: "the 1-minute estimate of K".to_owned() });
    }
    match (has("time_tag"), has("Kp"), has("kp") && has("observed")) {
        (true, true, _) => Ok(KpFormat::NoaaObserved),
        (true, false, true) => Ok(KpFormat::NoaaForecast),
        (true, false, false) => {
            let found = format!("the fields {}", quote(&names.join(", ")));
            Err(FeedError::WrongIndex { source_name, found })
        }
        (false, ..) => Err(FeedError::Unrecognised { source_name, begins: quote(text.trim_start()) }),
    }
}

/// One row of either shape.
struct Row<'a> {
    names: &'a [&'a str],
    value: &'a Value,
}

impl<'a> Row<'a> {
    fn get(&self, name: &str) -> Option<&'a Value> {
        match self.value {
            Value::Object(object) => object.get(name),
            Value::Array(cells) => cells.get(self.names.iter().position(|known| *known == name)?),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => None,
        }
    }

    fn reading(&self, format: KpFormat) -> Result<Reading, Fault> {
        let field = if format == KpFormat::NoaaForecast { "kp" } else { "Kp" };
        let from = time(self.get("time_tag"))?;
        let value = self.get(field).ok_or_else(|| Fault::new(field, "it is absent"))?;
        let kp = json::number(Some(value)).map_err(|problem| Fault::new(field, problem))?;
        let kp = kp.map(|kp| in_range(field, kp)).transpose()?;
        let kind =
            if format == KpFormat::NoaaForecast { kind(self.get("observed"))? } else { ActivityKind::Preliminary };
        Reading::new(from, kp, kind)
    }
}

/// Thirds printed as .33 and .67 become exact; a forecast that is no third stays as it is.
fn in_range(field: &'static str, kp: f64) -> Result<f64, Fault> {
    if !(0.0..=9.0).contains(&kp) {
        return Err(Fault::new(field, format!("{kp} is outside 0 to 9")));
    }
    Ok(KpThird::from_decimal(kp).map_or(kp, KpThird::kp))
}

/// An estimate for an interval that still runs is as uncertain as a forecast.
fn kind(observed: Option<&Value>) -> Result<ActivityKind, Fault> {
    match observed.and_then(Value::as_str) {
        Some("observed") => Ok(ActivityKind::Preliminary),
        Some("estimated" | "predicted") => Ok(ActivityKind::Forecast),
        Some(other) => {
            Err(Fault::new("observed", format!("\"{}\" is not one of observed, estimated, predicted", quote(other))))
        }
        None => Err(Fault::new("observed", "it is absent")),
    }
}

/// `2026-02-02 00:00:00.000` and `2026-07-31T00:00:00` are UTC; a zone is respected where there is one.
fn time(value: Option<&Value>) -> Result<Timestamp, Fault> {
    let text = value.and_then(Value::as_str).ok_or_else(|| Fault::new("time_tag", "it is not a text"))?;
    if let Ok(instant) = text.parse::<Timestamp>() {
        return Ok(instant);
    }
    let civil: DateTime =
        text.parse().map_err(|_bad| Fault::new("time_tag", format!("\"{}\" is not a time", quote(text))))?;
    utc(civil)
}
