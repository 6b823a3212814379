//! The planetary K index of NOAA: estimates of the last week, and the forecast, in the old shape (rows under a header
//! row, numbers as text) and in the new one (objects).
//!
//! These are estimates; GFZ is the authority. Times without zone are UTC. The 1-minute estimate is refused: it starts
//! again near 0 every three hours and is no Kp.

use job::ActivityKind;
use serde_json::Value;

use crate::collect::{Collector, Reading};
use crate::row::{Fault, quote};
use crate::table::{Row, Table};
use crate::{FeedError, KpFormat, KpSeries, KpThird, json};

/// Reads either shape, telling them apart by their first element.
pub(crate) fn parse_json(text: &str, source_name: &str) -> Result<KpSeries, FeedError> {
    let value = json::parse(text, source_name)?;
    let Some(table) = Table::of(&value) else {
        return Err(FeedError::NoValues { source_name: source_name.to_owned() });
    };
    let format = format_of(&table, source_name, text)?;
    let mut collector = Collector::new(source_name, format);
    for (place, row) in table.rows() {
        collector.row(place, reading(row, format).map(|reading| vec![reading]));
    }
    collector.finish()
}

/// The file with `Kp` holds estimates, the one with `kp` and `observed` the forecast.
fn format_of(table: &Table<'_>, source_name: &str, text: &str) -> Result<KpFormat, FeedError> {
    let has = |name: &str| table.has(name);
    let source_name = source_name.to_owned();
    if has("estimated_kp") {
        return Err(FeedError::WrongIndex { source_name, found: "the 1-minute estimate of K".to_owned() });
    }
    match (has("time_tag"), has("Kp"), has("kp") && has("observed")) {
        (true, true, _) => Ok(KpFormat::NoaaObserved),
        (true, false, true) => Ok(KpFormat::NoaaForecast),
        (true, false, false) => {
            let found = format!("the fields {}", quote(&table.names.join(", ")));
            Err(FeedError::WrongIndex { source_name, found })
        }
        (false, ..) => Err(FeedError::Unrecognised { source_name, begins: quote(text.trim_start()) }),
    }
}

/// What a row says of one interval.
fn reading(row: Row<'_>, format: KpFormat) -> Result<Reading, Fault> {
    let field = if format == KpFormat::NoaaForecast { "kp" } else { "Kp" };
    let from = row.time("time_tag")?;
    row.get(field).ok_or_else(|| Fault::new(field, "it is absent"))?;
    let kp = row.number(field)?.map(|kp| in_range(field, kp)).transpose()?;
    let kind = if format == KpFormat::NoaaForecast { kind(row.get("observed"))? } else { ActivityKind::Preliminary };
    Reading::new(from, kp, kind)
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
