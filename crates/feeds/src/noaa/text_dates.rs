//! Dates as the text products print them.

use jiff::civil::{Date, DateTime, Time};
use quantity::Timestamp;

use crate::collect::utc;

const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
/// A date without a year lies within so many days of the date it goes with.
const MOST_DAYS_APART: i32 = 60;

/// The number of a month by the first three letters of its English name.
pub(super) fn month(word: &str) -> Option<i8> {
    let word = word.get(..3)?.to_ascii_lowercase();
    let index = MONTHS.iter().position(|name| **name == word)?;
    i8::try_from(index + 1).ok()
}

/// `2026 Feb 01` as three words.
pub(super) fn date(year: &str, month_name: &str, day: &str) -> Option<Date> {
    (year.len() == 4).then_some(())?;
    Date::new(year.parse().ok()?, month(month_name)?, day.parse().ok()?).ok()
}

/// The instant of the line `:Issued: 2026 Feb 01 1230 UTC`, or `:Issued: 1530 UT 01 Nov 2023`.
pub(super) fn issued(text: &str) -> Option<Timestamp> {
    let line = text.lines().map(str::trim).find_map(|line| line.strip_prefix(":Issued:"))?;
    let words: Vec<&str> = line.split_whitespace().collect();
    let (date, time) = match words.as_slice() {
        [year, month_name, day, time, ..] if month(month_name).is_some() => (date(year, month_name, day)?, *time),
        [time, _ut, day, month_name, year, ..] => (date(year, month_name, day)?, *time),
        _other => return None,
    };
    let digits = time.len() == 4 && time.bytes().all(|byte| byte.is_ascii_digit());
    let part = |range: std::ops::Range<usize>| time.get(range).and_then(|text| text.parse::<i8>().ok());
    let time = digits.then(|| Time::new(part(0..2)?, part(2..4)?, 0, 0).ok()).flatten()?;
    utc(DateTime::from_parts(date, time)).ok()
}

/// The date of that month and day that lies nearest to another, which may be in the year before or after.
pub(super) fn nearest(month: i8, day: i8, to: Date) -> Option<Date> {
    let years = [to.year().checked_sub(1)?, to.year(), to.year().checked_add(1)?];
    let days_apart = |date: &Date| to.until(*date).map_or(i32::MAX, |span| span.get_days().abs());
    years
        .into_iter()
        .filter_map(|year| Date::new(year, month, day).ok())
        .min_by_key(days_apart)
        .filter(|date| days_apart(date) <= MOST_DAYS_APART)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_orders_of_the_issue_line_are_read() {
        let read = |line: &str| issued(line).map(|at| at.to_string());
        assert_eq!(read(":Issued: 2026 Feb 01 1230 UTC").as_deref(), Some("2026-02-01T12:30:00Z"));
        assert_eq!(read("x\r\n:Issued: 1530 UT 01 Nov 2023\r\n").as_deref(), Some("2023-11-01T15:30:00Z"));
        for bad in
            ["", ":Issued:", ":Issued: 2026 Feb 30 1230 UTC", ":Issued: 2026 Feb 01 2530 UTC", ":Issued: é Feb é é"]
        {
            assert_eq!(read(bad), None, "{bad}");
        }
    }

    #[test]
    fn a_year_that_is_not_printed_is_the_nearest() {
        let issued = jiff::civil::date(2026, 12, 31);
        assert_eq!(nearest(1, 2, issued), Some(jiff::civil::date(2027, 1, 2)));
        assert_eq!(nearest(12, 30, issued), Some(jiff::civil::date(2026, 12, 30)));
        assert_eq!(nearest(12, 31, jiff::civil::date(2027, 1, 1)), Some(jiff::civil::date(2026, 12, 31)));
        assert_eq!(nearest(2, 29, jiff::civil::date(2027, 3, 1)), None, "no such day near");
        assert_eq!(nearest(6, 15, issued), None);
        assert_eq!(nearest(2, 29, jiff::civil::date(9999, 3, 1)), None);
    }
}
