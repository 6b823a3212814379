use job::ActivityKind;

use crate::KpThird;
use crate::collect::{Cell, Reading, day, number, short_date};
use crate::kp_third::signed_thirds;
use crate::row::{Fault, quote};

/// Fields every row has: date, eight Kp, their sum; marks of quiet and disturbed days, Ap and Cp follow.
const FIELDS: usize = 10;

const KP_NAMES: [&str; 8] = ["Kp1", "Kp2", "Kp3", "Kp4", "Kp5", "Kp6", "Kp7", "Kp8"];

/// Whether a line belongs to the lines below a month: its mean, its quiet and its disturbed days.
pub(super) fn is_footer(line: &str) -> bool {
    let mut fields = line.split_whitespace();
    let month = fields.next().is_some_and(|month| month.len() == 4 && month.bytes().all(|b| b.is_ascii_digit()));
    month && matches!(fields.next(), Some("Mean" | "Q" | "D"))
}

/// Reads one day. The row is believed where its sum fits the eight Kp.
pub(super) fn row(line: &str, kind: ActivityKind) -> Result<Vec<Reading>, Fault> {
    let fields: Vec<&str> = line.split_whitespace().collect();
    if fields.len() < FIELDS {
        return Err(Fault::new("row", format!("{} fields where the table has at least {FIELDS}", fields.len())));
    }
    let date = short_date(part(fields[0], 0)?, part(fields[0], 2)?, part(fields[0], 4)?)?;
    let mut cells: [Cell; 8] = [None; 8];
    for (index, slot) in cells.iter_mut().enumerate() {
        let text = fields[1 + index];
        let kp = KpThird::from_sign(text).ok_or_else(|| {
            Fault::new(KP_NAMES[index], format!("\"{}\" is not a Kp such as 2+, 3o or 4-", quote(text)))
        })?;
        *slot = Some(kp);
    }
    check_sum(&cells, fields[9])?;
    day(date, &cells, kind)
}

/// Two digits of a date of six.
fn part(date: &str, at: usize) -> Result<u8, Fault> {
    if date.len() != 6 {
        return Err(Fault::new("date", format!("\"{}\" is not a date of six digits", quote(date))));
    }
    number("date", date.get(at..at + 2).unwrap_or_default())
}

fn check_sum(cells: &[Cell; 8], printed: &str) -> Result<(), Fault> {
    let thirds: u16 = cells.iter().flatten().map(|kp| u16::from(kp.thirds())).sum();
    let sum = printed
        .char_indices()
        .next_back()
        .and_then(|(at, sign)| signed_thirds(printed.get(..at)?.parse().ok()?, sign))
        .ok_or_else(|| Fault::new("sum", format!("\"{}\" is not a sum such as 24o", quote(printed))))?;
    if sum == thirds {
        return Ok(());
    }
    Err(Fault::new("sum", format!("{} is not the sum of the eight Kp", quote(printed))))
}
