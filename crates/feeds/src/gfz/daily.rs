use jiff::civil::Date;

use super::kind_by_flag;
use crate::collect::{Cell, Reading, cell, date, day, number};
use crate::kp_third::check_ap;
use crate::row::Fault;

/// Fields of a row: date 3, day counts 2, Bartels rotation 2, Kp 8, ap 8, Ap, SN, F10.7 twice, D.
const FIELDS: usize = 28;
/// First of the eight Kp.
const KP: usize = 7;
/// First of the eight ap.
const AP: usize = 15;
/// The flag that says whether the values are definitive.
const FLAG: usize = 27;
/// Day 0 of the table's own day count.
const DAY_ZERO: Date = jiff::civil::date(1932, 1, 1);

const KP_NAMES: [&str; 8] = ["Kp1", "Kp2", "Kp3", "Kp4", "Kp5", "Kp6", "Kp7", "Kp8"];
const AP_NAMES: [&str; 8] = ["ap1", "ap2", "ap3", "ap4", "ap5", "ap6", "ap7", "ap8"];

/// Reads one day of the table since 1932 or of its nowcast.
///
/// The row is believed where its day count fits its date and every ap its Kp; a flipped digit breaks one of them.
pub(super) fn row(line: &str) -> Result<Vec<Reading>, Fault> {
    let fields: Vec<&str> = line.split_whitespace().collect();
    if fields.len() != FIELDS {
        return Err(Fault::new("row", format!("{} fields where the table has {FIELDS}", fields.len())));
    }
    let date = date(number("YYY", fields[0])?, number("MM", fields[1])?, number("DD", fields[2])?)?;
    check_day_count(date, number("days", fields[3])?)?;
    let mut cells: [Cell; 8] = [None; 8];
    for (index, slot) in cells.iter_mut().enumerate() {
        *slot = cell(KP_NAMES[index], number(KP_NAMES[index], fields[KP + index])?)?;
        let ap = number(AP_NAMES[index], fields[AP + index])?;
        check_pair(AP_NAMES[index], *slot, ap)?;
    }
    day(date, &cells, kind_by_flag(number("D", fields[FLAG])?)?)
}

fn check_day_count(date: Date, days: i64) -> Result<(), Fault> {
    let counted = date.duration_since(DAY_ZERO).as_hours() / 24;
    if counted == days {
        return Ok(());
    }
    Err(Fault::new("days", format!("{days} does not belong to {date}, which is day {counted}")))
}

/// A missing Kp goes with a missing ap, a Kp with its own.
fn check_pair(field: &'static str, kp: Cell, ap: i32) -> Result<(), Fault> {
    match kp {
        Some(kp) => check_ap(field, kp, ap),
        None if ap == -1 => Ok(()),
        None => Err(Fault::new(field, format!("ap {ap} stands where Kp is missing"))),
    }
}
