use jiff::SignedDuration;
use jiff::civil::Date;
use job::{ActivityKind, KpInterval};
use quantity::Timestamp;
use serde::Serialize;

use super::text_dates::{date, issued};
use crate::body::{not_weather, text};
use crate::collect::{number, utc};
use crate::kp_third::kp_of_mean_ap;
use crate::row::{Fault, Place, RowError};
use crate::sniff::is_row;
use crate::{FeedError, json};

const EXPECTED: &str = "a 27-day outlook";
/// Largest daily A index there is: the ap of Kp 9.
const LARGEST_A: f64 = 400.0;
/// Radio flux believed, solar flux units; from 63 in deep minima to some 1000 on days with a flare (from memory).
const FLUX_SFU: std::ops::RangeInclusive<f64> = 40.0..=2000.0;

/// The 27-day outlook.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LongRangeOutlook {
    /// File or address it was read from.
    pub source_name: String,
    /// When it was issued, where it says so.
    pub issued_at: Option<Timestamp>,
    /// The days, in order of time, none twice.
    pub days: Vec<OutlookDay>,
    /// Lines left out because they cannot be true.
    pub rejected: Vec<RowError>,
}

/// One day of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OutlookDay {
    /// The day, UTC.
    pub date: Date,
    /// Solar radio flux at 10.7 cm, solar flux units.
    pub f107_sfu: f64,
    /// Planetary A index: the mean of the day's eight ap.
    pub a_index: f64,
    /// Largest Kp of the day.
    pub largest_kp: f64,
}

/// Reads the table `2025 Jan 06     172          22          5`: date, flux, A index, largest Kp.
///
/// # Errors
///
/// No such text, or not one good line.
pub fn parse_long_range(bytes: &[u8], source_name: &str) -> Result<LongRangeOutlook, FeedError> {
    let text = text(bytes, source_name, EXPECTED)?;
    if text.trim_start().starts_with(['[', '{']) {
        json::check(&text, source_name)?;
        return Err(not_weather(source_name, EXPECTED, "it is JSON"));
    }
    let (mut days, mut rejected, mut rows) = (Vec::new(), Vec::new(), 0);
    for (index, line) in text.lines().enumerate().filter(|(_, line)| is_row(line) && !line.starts_with(':')) {
        rows += 1;
        match row(line) {
            Ok(day) => days.push(day),
            Err(fault) => rejected.push(fault.at(Place::Line(index + 1))),
        }
    }
    days.sort_by_key(|day: &OutlookDay| day.date);
    days.dedup_by_key(|day| day.date);
    let source_name = source_name.to_owned();
    match (days.is_empty(), rejected.first()) {
        (false, _) => Ok(LongRangeOutlook { source_name, issued_at: issued(&text), days, rejected }),
        (true, Some(first)) => Err(FeedError::NoGoodRow { source_name, rows, first: first.clone() }),
        (true, None) => Err(not_weather(&source_name, EXPECTED, "it has no line with values")),
    }
}

fn row(line: &str) -> Result<OutlookDay, Fault> {
    let words: Vec<&str> = line.split_whitespace().collect();
    let [year, month, day, flux, a_index, kp] = words.as_slice() else {
        return Err(Fault::new("row", format!("{} columns where the table has 6", words.len())));
    };
    let date = date(year, month, day).ok_or_else(|| Fault::new("date", "it is not in the calendar"))?;
    let within = |field: &'static str, text: &str, range: std::ops::RangeInclusive<f64>| {
        let value: f64 = number(field, text)?;
        let outside = || Fault::new(field, format!("{value} is outside {} to {}", range.start(), range.end()));
        if range.contains(&value) { Ok(value) } else { Err(outside()) }
    };
    Ok(OutlookDay {
        date,
        f107_sfu: within("flux", flux, FLUX_SFU)?,
        a_index: within("A index", a_index, 0.0..=LARGEST_A)?,
        largest_kp: within("Kp", kp, 0.0..=9.0)?,
    })
}

impl LongRangeOutlook {
    /// One interval a day, with the Kp that belongs to the day's A index.
    ///
    /// The A index and not the largest Kp: that is one of eight intervals, and nobody knows which.
    pub fn intervals(&self) -> Vec<KpInterval> {
        let day = SignedDuration::from_hours(24);
        let interval = |outlook: &OutlookDay| {
            let from = utc(outlook.date.at(0, 0, 0, 0)).ok()?;
            let kp = kp_of_mean_ap(outlook.a_index);
            Some(KpInterval { from, to: from.checked_add(day).ok()?, kp, kind: ActivityKind::LongRange })
        };
        self.days.iter().filter_map(interval).collect()
    }
}
