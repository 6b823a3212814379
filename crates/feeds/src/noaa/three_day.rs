use jiff::civil::Date;
use job::{ActivityKind, KpInterval};
use quantity::Timestamp;
use serde::Serialize;

use super::text_dates::{issued, month, nearest};
use crate::body::{bad_key, not_weather, text};
use crate::collect::{Reading, number, utc};
use crate::row::{Fault, Place, RowError, quote};
use crate::{FeedError, KpThird, json};

const EXPECTED: &str = "a 3-day forecast in words and numbers";

/// The Kp of a 3-day forecast.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ThreeDayForecast {
    /// File or address it was read from.
    pub source_name: String,
    /// When it was issued, where it says so.
    pub issued_at: Option<Timestamp>,
    /// Kp, 3 hours each, in order of time, none twice.
    pub intervals: Vec<KpInterval>,
    /// Lines left out because they cannot be true.
    pub rejected: Vec<RowError>,
}

/// Reads the Kp table of the 3-day forecast, or of the 3-day geomagnetic forecast.
///
/// Columns of days, lines of three hours; cells with decimals or whole, with or without a storm level behind them. The
/// days are printed without a year: it is that of the issue, or the one nearest to it.
///
/// # Errors
///
/// No such text, no date to go by, or not one good line.
pub fn parse_three_day(bytes: &[u8], source_name: &str) -> Result<ThreeDayForecast, FeedError> {
    let text = text(bytes, source_name, EXPECTED)?;
    if text.trim_start().starts_with(['[', '{']) {
        // says where it breaks off, if it does
        json::check(&text, source_name)?;
        return Err(not_weather(source_name, EXPECTED, "it is JSON"));
    }
    let issued_at = issued(&text);
    let reference = match issued_at {
        Some(issued_at) => jiff::tz::Offset::UTC.to_datetime(issued_at).date(),
        None => title_date(&text).ok_or_else(|| bad_key(source_name, ":Issued:", "absent, and no year is printed"))?,
    };
    let mut forecast = ThreeDayForecast {
        source_name: source_name.to_owned(),
        issued_at,
        intervals: Vec::new(),
        rejected: Vec::new(),
    };
    let mut days: Vec<Option<Date>> = Vec::new();
    let mut lines = 0;
    for (index, line) in text.lines().enumerate() {
        if let Some(named) = day_names(line) {
            days = named.into_iter().map(|(month, day)| nearest(month, day, reference)).collect();
        } else if let Some((start_hour, cells)) = hours(line) {
            lines += 1;
            match row(start_hour, cells, &days) {
                Ok(intervals) => forecast.intervals.extend(intervals),
                Err(fault) => forecast.rejected.push(fault.at(Place::Line(index + 1))),
            }
        }
    }
    forecast.intervals.sort_by_key(|interval| interval.from);
    forecast.intervals.dedup_by_key(|interval| interval.from);
    match (forecast.intervals.is_empty(), forecast.rejected.first()) {
        (false, _) => Ok(forecast),
        (true, Some(first)) => {
            Err(FeedError::NoGoodRow { source_name: source_name.to_owned(), rows: lines, first: first.clone() })
        }
        (true, None) => Err(not_weather(source_name, EXPECTED, "it has no table of Kp by three hours")),
    }
}

/// The last day of a title such as `NOAA Kp index breakdown Dec 31-Jan 02 2027`, whose year is printed.
fn title_date(text: &str) -> Option<Date> {
    let title =
        text.lines().find(|line| line.contains("Kp index") && line.split_whitespace().last().is_some_and(is_year))?;
    let words: Vec<&str> =
        title.split(|c: char| c.is_whitespace() || c == '-').filter(|word| !word.is_empty()).collect();
    let [.., first, second, year] = words.as_slice() else { return None };
    // `Jan 02 2027` or `02 Jan 2027`
    let (month_name, day) = if month(first).is_some() { (first, second) } else { (second, first) };
    super::text_dates::date(year, month_name, day)
}

fn is_year(word: &str) -> bool {
    word.len() == 4 && word.bytes().all(|byte| byte.is_ascii_digit())
}

/// The days of a line that names nothing but days: `Jan 11       Jan 12       Jan 13`.
fn day_names(line: &str) -> Option<Vec<(i8, i8)>> {
    let words: Vec<&str> = line.split_whitespace().collect();
    let pairs = words.chunks(2).map(|pair| match pair {
        [month_name, day] => Some((month(month_name)?, day.parse::<i8>().ok()?)),
        _odd => None,
    });
    let days = pairs.collect::<Option<Vec<_>>>()?;
    (!days.is_empty()).then_some(days)
}

/// The start of the three hours a line is for, and its cells: `21-00UT       2.67 (G1)  1.33`.
fn hours(line: &str) -> Option<(i8, &str)> {
    let (label, cells) = line.trim_start().split_once(char::is_whitespace)?;
    let (from, to) = label.strip_suffix("UTC").or_else(|| label.strip_suffix("UT"))?.split_once('-')?;
    let (from, to): (i8, i8) = (from.parse().ok()?, to.parse().ok()?);
    ((0..24).contains(&from) && (from + 3) % 24 == to % 24).then_some((from, cells))
}

fn row(start_hour: i8, cells: &str, days: &[Option<Date>]) -> Result<Vec<KpInterval>, Fault> {
    let cells = without_brackets(cells);
    let cells: Vec<&str> = cells.split_whitespace().collect();
    if cells.len() != days.len() {
        return Err(Fault::new("row", format!("{} values for {} days", cells.len(), days.len())));
    }
    // tables have decimals, older ones whole numbers; a line of both has been cut or damaged
    let are_alike = |pair: &[&str]| matches!(pair, [a, b] if a.contains('.') == b.contains('.'));
    if !cells.windows(2).all(are_alike) {
        return Err(Fault::new("row", "some values have decimals and some have not"));
    }
    let mut intervals = Vec::with_capacity(cells.len());
    for (cell, day) in cells.into_iter().zip(days) {
        let day = day.ok_or_else(|| Fault::new("date", "the day is far from the date of issue"))?;
        let kp = third(cell)?;
        let reading = Reading::new(utc(day.at(start_hour, 0, 0, 0))?, Some(kp), ActivityKind::Forecast)?;
        intervals.extend(reading.interval());
    }
    Ok(intervals)
}

/// Kp as it is forecast: in thirds, with two decimals or none.
fn third(cell: &str) -> Result<f64, Fault> {
    let has_decimals = cell.contains('.');
    if has_decimals && cell.len() != "2.67".len() {
        return Err(Fault::new("Kp", format!("\"{}\" does not have two decimals", quote(cell))));
    }
    let kp: f64 = number("Kp", cell)?;
    KpThird::from_decimal(kp).map(KpThird::kp).ok_or_else(|| Fault::new("Kp", format!("{kp} is no third of 0 to 9")))
}

/// The cells without what stands in brackets: the storm level.
fn without_brackets(text: &str) -> String {
    let mut depth = 0_u32;
    text.chars()
        .filter(|c| {
            match c {
                '(' => depth += 1,
                ')' => {
                    depth = depth.saturating_sub(1);
                    return false;
                }
                _other => {}
            }
            depth == 0
        })
        .collect()
}
