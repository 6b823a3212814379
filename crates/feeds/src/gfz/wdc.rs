use std::ops::Range;

use jiff::civil::Date;
use job::ActivityKind;

use crate::KpThird;
use crate::collect::{Cell, Reading, day, number, short_date};
use crate::kp_third::check_ap;
use crate::row::{Fault, quote};

/// Columns of a row, from 0: year, month, day of two characters each.
const DATE: [Range<usize>; 3] = [0..2, 2..4, 4..6];
/// Bartels rotation, then the day in it.
const ROTATION: Range<usize> = 6..10;
const ROTATION_DAY: Range<usize> = 10..12;
/// Eight Kp in tenths.
const KP: usize = 12;
/// Sum of the eight, in tenths.
const SUM: Range<usize> = 28..31;
/// Eight ap of three characters.
const AP: usize = 31;
/// First day of Bartels rotation 1.
const BARTELS_START: Date = jiff::civil::date(1832, 2, 8);
/// Length of a rotation, days.
const BARTELS_DAYS: i64 = 27;

const KP_NAMES: [&str; 8] = ["Kp1", "Kp2", "Kp3", "Kp4", "Kp5", "Kp6", "Kp7", "Kp8"];
const AP_NAMES: [&str; 8] = ["ap1", "ap2", "ap3", "ap4", "ap5", "ap6", "ap7", "ap8"];

/// Whether a line opens like a row: twelve columns of digits (blanks for leading zeros), then more.
pub(super) fn looks_like(line: &str) -> bool {
    let head = line.as_bytes().get(..KP);
    head.is_some_and(|head| {
        head.iter().all(|b| b.is_ascii_digit() || *b == b' ') && head[ROTATION].iter().all(u8::is_ascii_digit)
    })
}

/// Reads one day.
///
/// The row is believed where its Bartels rotation fits its date (which also settles the century), the sum fits the
/// eight Kp, and each ap fits its Kp.
pub(super) fn row(line: &str, kind: ActivityKind) -> Result<Vec<Reading>, Fault> {
    let [year, month, day_of_month] = DATE;
    let date = short_date(
        blank_padded("year", line, year)?,
        blank_padded("month", line, month)?,
        blank_padded("day", line, day_of_month)?,
    )?;
    check_rotation(date, blank_padded("rotation", line, ROTATION)?, blank_padded("rotation day", line, ROTATION_DAY)?)?;
    let mut cells: [Cell; 8] = [None; 8];
    for (index, slot) in cells.iter_mut().enumerate() {
        let kp = tenths(KP_NAMES[index], line, KP + 2 * index)?;
        let ap_at = AP + 3 * index;
        check_ap(AP_NAMES[index], kp, blank_padded(AP_NAMES[index], line, ap_at..ap_at + 3)?)?;
        *slot = Some(kp);
    }
    check_sum(&cells, blank_padded("sum", line, SUM)?)?;
    day(date, &cells, kind)
}

fn tenths(field: &'static str, line: &str, at: usize) -> Result<KpThird, Fault> {
    let printed: u8 = blank_padded(field, line, at..at + 2)?;
    KpThird::from_tenths(printed)
        .ok_or_else(|| Fault::new(field, format!("{printed} is not a Kp in tenths: 0 to 90, ending in 0, 3 or 7")))
}

fn check_rotation(date: Date, rotation: i64, rotation_day: i64) -> Result<(), Fault> {
    let days = date.duration_since(BARTELS_START).as_hours() / 24;
    let (expected, expected_day) = (days / BARTELS_DAYS + 1, days % BARTELS_DAYS + 1);
    if (expected, expected_day) == (rotation, rotation_day) {
        return Ok(());
    }
    Err(Fault::new(
        "rotation",
        format!("{rotation} day {rotation_day} does not belong to {date}, which is {expected} day {expected_day}"),
    ))
}

/// The sum is printed in tenths like the values: 243 is 24+, 247 is 25-.
fn check_sum(cells: &[Cell; 8], sum: u16) -> Result<(), Fault> {
    let thirds: u16 = cells.iter().flatten().map(|kp| u16::from(kp.thirds())).sum();
    let printed = thirds / 3 * 10 + [0, 3, 7][usize::from(thirds % 3)];
    if printed == sum {
        return Ok(());
    }
    Err(Fault::new("sum", format!("{sum} is not the sum of the eight Kp, {printed}")))
}

/// A number in fixed columns.
fn blank_padded<T: std::str::FromStr>(field: &'static str, line: &str, columns: Range<usize>) -> Result<T, Fault> {
    let text = line
        .get(columns.clone())
        .ok_or_else(|| Fault::new(field, format!("the line \"{}\" ends before column {}", quote(line), columns.end)))?;
    number(field, text)
}
