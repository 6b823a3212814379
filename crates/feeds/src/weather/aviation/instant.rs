//! Day, hour and minute without month or year.

use jiff::SignedDuration;
use jiff::civil::Date;
use jiff::tz::Offset;
use quantity::Timestamp;

/// A report may be this far ahead of the reference and still be meant: clocks differ, and a reference may be the start
/// of the day. A report of almost a month ago could not be told from it.
const MOST_AHEAD: SignedDuration = SignedDuration::from_hours(24);
/// Months before the reference to look at: two short months may follow each other without a day 31.
const MONTHS_BACK: i32 = 3;

/// A day of the month with a time; hour 24 is the end of the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct DayTime {
    pub(super) day: u8,
    pub(super) hour: u8,
    pub(super) minute: u8,
}

impl DayTime {
    /// Six digits `ddhhmm`.
    pub(super) fn ddhhmm(text: &str) -> Option<Self> {
        (text.len() == 6).then_some(())?;
        Self::new(digits(text.get(..2)?)?, digits(text.get(2..4)?)?, digits(text.get(4..)?)?)
    }

    /// Four digits `ddhh`.
    pub(super) fn ddhh(text: &str) -> Option<Self> {
        (text.len() == 4).then_some(())?;
        Self::new(digits(text.get(..2)?)?, digits(text.get(2..)?)?, 0)
    }

    fn new(day: u8, hour: u8, minute: u8) -> Option<Self> {
        let whole = hour < 24 || (hour == 24 && minute == 0);
        ((1..=31).contains(&day) && whole && minute < 60).then_some(Self { day, hour, minute })
    }

    /// The latest such instant that is past, or little ahead.
    pub(super) fn before(self, reference: Timestamp) -> Option<Timestamp> {
        let latest = reference.checked_add(MOST_AHEAD).ok()?;
        self.candidates(reference).filter(|instant| *instant <= latest).max()
    }

    /// The nearest such instant, past or future.
    pub(super) fn near(self, reference: Timestamp) -> Option<Timestamp> {
        self.candidates(reference).min_by_key(|instant| instant.duration_since(reference).abs())
    }

    /// One in each month around the reference that has the day.
    fn candidates(self, reference: Timestamp) -> impl Iterator<Item = Timestamp> {
        let date = Offset::UTC.to_datetime(reference).date();
        let month = i32::from(date.year()) * 12 + i32::from(date.month()) - 1;
        (month - MONTHS_BACK..=month + 1).filter_map(move |month| self.in_month(month))
    }

    fn in_month(self, months: i32) -> Option<Timestamp> {
        let year = i16::try_from(months.div_euclid(12)).ok()?;
        let month = i8::try_from(months.rem_euclid(12) + 1).ok()?;
        let date = Date::new(year, month, i8::try_from(self.day).ok()?).ok()?;
        let midnight = Offset::UTC.to_timestamp(date.at(0, 0, 0, 0)).ok()?;
        let minutes = i64::from(self.hour) * 60 + i64::from(self.minute);
        midnight.checked_add(SignedDuration::from_mins(minutes)).ok()
    }
}

/// A number of ASCII digits and nothing else.
pub(super) fn digits<T: std::str::FromStr>(text: &str) -> Option<T> {
    (!text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())).then(|| text.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn past(text: &str, reference: &str) -> String {
        let reference = reference.parse().unwrap();
        DayTime::ddhhmm(text).unwrap().before(reference).unwrap().to_string()
    }

    #[test]
    fn a_report_lies_in_the_past_across_month_and_year() {
        assert_eq!(past("152120", "2026-11-15T22:00:00Z"), "2026-11-15T21:20:00Z");
        assert_eq!(past("312355", "2027-01-01T00:10:00Z"), "2026-12-31T23:55:00Z");
        assert_eq!(past("310600", "2026-03-02T00:00:00Z"), "2026-01-31T06:00:00Z");
        assert_eq!(past("290600", "2028-03-01T00:00:00Z"), "2028-02-29T06:00:00Z");
        assert_eq!(past("290600", "2027-03-01T00:00:00Z"), "2027-01-29T06:00:00Z");
        assert_eq!(past("010005", "2026-11-30T23:58:00Z"), "2026-12-01T00:05:00Z");
        assert_eq!(past("152400", "2026-11-16T02:00:00Z"), "2026-11-16T00:00:00Z");
        assert_eq!(past("180000", "2026-11-16T02:00:00Z"), "2026-10-18T00:00:00Z");
    }

    #[test]
    fn times_no_clock_shows_are_no_times() {
        for bad in ["322100", "002100", "152500", "152401", "152160", "15210", "1521000", "15210Z", "+52100"] {
            assert_eq!(DayTime::ddhhmm(bad), None, "{bad}");
        }
        assert_eq!(DayTime::ddhh("3124").unwrap().hour, 24);
    }
}
