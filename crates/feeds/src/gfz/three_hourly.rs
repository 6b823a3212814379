use jiff::SignedDuration;

use super::kind_by_flag;
use crate::collect::{Cell, Reading, cell, date, number, utc};
use crate::kp_third::check_ap;
use crate::row::Fault;
use crate::sniff::is_row;
use crate::{FeedError, KpThird};

/// Fields of a row: date 3, start hour, mid hour, day counts 2, Kp, ap, D.
const FIELDS: usize = 10;
/// Hours from the start of a Kp interval to its middle.
const HALF_INTERVAL_H: f64 = 1.5;
/// Day counts are printed with five decimals; half of the last one, doubled.
const DAY_COUNT_TOLERANCE: f64 = 1e-5;
/// Hours are printed with one or two decimals.
const HOUR_TOLERANCE_H: f64 = 0.006;

/// Refuses the tables of Hp30 and Hp60, whose rows look alike but are shorter in time.
pub(super) fn check_index(text: &str, source_name: &str) -> Result<(), FeedError> {
    let half_h = text.lines().filter(|line| is_row(line)).find_map(|line| {
        let mut hours = line.split_whitespace().skip(3);
        let start_h: f64 = hours.next()?.parse().ok()?;
        let mid_h: f64 = hours.next()?.parse().ok()?;
        Some(mid_h - start_h)
    });
    let found = match half_h {
        Some(half_h) if (half_h - 0.25).abs() < HOUR_TOLERANCE_H => "the half-hourly index Hp30",
        Some(half_h) if (half_h - 0.5).abs() < HOUR_TOLERANCE_H => "the hourly index Hp60",
        Some(_) | None => return Ok(()),
    };
    Err(FeedError::WrongIndex { source_name: source_name.to_owned(), found: found.to_owned() })
}

/// Reads one interval.
pub(super) fn row(line: &str) -> Result<Vec<Reading>, Fault> {
    let fields: Vec<&str> = line.split_whitespace().collect();
    if fields.len() != FIELDS {
        return Err(Fault::new("row", format!("{} fields where the table has {FIELDS}", fields.len())));
    }
    let date = date(number("YYY", fields[0])?, number("MM", fields[1])?, number("DD", fields[2])?)?;
    let start_h = start_hour(number("hh.h", fields[3])?, number("hh._m", fields[4])?)?;
    let midnight = utc(date.to_datetime(jiff::civil::Time::midnight()))?;
    let from = midnight
        .checked_add(SignedDuration::from_hours(start_h))
        .map_err(|_beyond| Fault::new("hh.h", "it is out of range"))?;
    check_day_count(date, start_h, number("days", fields[5])?)?;
    let kp: Cell = cell("Kp", number("Kp", fields[7])?)?;
    if let Some(kp) = kp {
        check_ap("ap", kp, number("ap", fields[8])?)?;
    }
    let kind = kind_by_flag(number("D", fields[9])?)?;
    Ok(vec![Reading::new(from, kp.map(KpThird::kp), kind)?])
}

/// The start hour as a whole number, 0 to 21.
fn start_hour(start_h: f64, mid_h: f64) -> Result<i64, Fault> {
    let wrong_middle = (mid_h - start_h - HALF_INTERVAL_H).abs() >= HOUR_TOLERANCE_H;
    (0..24)
        .step_by(3)
        .find(|hour| !wrong_middle && (f64::from(*hour) - start_h).abs() < HOUR_TOLERANCE_H)
        .map(i64::from)
        .ok_or_else(|| Fault::new("hh.h", format!("{start_h} with middle {mid_h} is no 3-hour interval")))
}

fn check_day_count(date: jiff::civil::Date, start_h: i64, days: f64) -> Result<(), Fault> {
    let whole = date.duration_since(jiff::civil::date(1932, 1, 1)).as_hours();
    let counted = (whole + start_h) as f64 / 24.0;
    if (counted - days).abs() < DAY_COUNT_TOLERANCE {
        return Ok(());
    }
    Err(Fault::new("days", format!("{days} does not belong to {date} {start_h:02}:00, which is day {counted}")))
}
