use jiff::SignedDuration;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use job::{ActivityKind, KpInterval};
use quantity::Timestamp;

use crate::row::{Fault, quote};
use crate::{FeedError, KpFormat, KpSeries, KpThird, Place, RowError};

/// Length of a Kp interval.
const INTERVAL: SignedDuration = SignedDuration::from_hours(3);
/// Intervals start at whole multiples of this from midnight UTC.
pub(crate) const INTERVAL_SECONDS: i64 = 3 * 3600;
/// First year of Kp.
const FIRST_YEAR: i16 = 1932;
/// Bad rows kept for the report; a table with more is hardly a table.
const MOST_REJECTED_KEPT: usize = 1000;

/// One value of a row: absent, or Kp.
pub(crate) type Cell = Option<KpThird>;

/// Gathers good and bad rows while a table is read.
pub(crate) struct Collector<'a> {
    source_name: &'a str,
    format: KpFormat,
    rows: usize,
    intervals: Vec<(Place, KpInterval)>,
    missing: Vec<Timestamp>,
    rejected: Vec<RowError>,
    rejected_beyond: usize,
}

impl<'a> Collector<'a> {
    pub(crate) fn new(source_name: &'a str, format: KpFormat) -> Self {
        Self {
            source_name,
            format,
            rows: 0,
            intervals: Vec::new(),
            missing: Vec::new(),
            rejected: Vec::new(),
            rejected_beyond: 0,
        }
    }

    /// Takes what one row gave.
    pub(crate) fn row(&mut self, place: Place, row: Result<Vec<Reading>, Fault>) {
        self.rows += 1;
        match row {
            Ok(readings) => readings.iter().for_each(|reading| self.reading(place, reading)),
            Err(fault) => self.reject(fault.at(place)),
        }
    }

    fn reading(&mut self, place: Place, reading: &Reading) {
        let Reading { from, to, kp, kind } = *reading;
        match kp {
            Some(kp) => self.intervals.push((place, KpInterval { from, to, kp, kind })),
            None => self.missing.push(from),
        }
    }

    fn reject(&mut self, error: RowError) {
        if self.rejected.len() < MOST_REJECTED_KEPT {
            self.rejected.push(error);
        } else {
            self.rejected_beyond += 1;
        }
    }

    /// The series, in order of time; the first of two rows for one interval is kept, the second reported.
    pub(crate) fn finish(mut self) -> Result<KpSeries, FeedError> {
        let mut gathered = std::mem::take(&mut self.intervals);
        gathered.sort_by_key(|(_, interval)| interval.from);
        let mut intervals: Vec<KpInterval> = Vec::with_capacity(gathered.len());
        for (place, interval) in gathered {
            if intervals.last().is_some_and(|last| last.from == interval.from) {
                let problem = format!("a second value for the interval from {}", interval.from);
                self.reject(RowError { place, field: "time", problem });
            } else {
                intervals.push(interval);
            }
        }
        let Self { source_name, format, rows, missing, rejected, rejected_beyond, .. } = self;
        let source_name = source_name.to_owned();
        if intervals.is_empty() {
            return Err(match rejected.into_iter().next() {
                Some(first) => FeedError::NoGoodRow { source_name, rows, first },
                None => FeedError::NoValues { source_name },
            });
        }
        Ok(KpSeries { source_name, format, intervals, missing, rejected, rejected_beyond })
    }
}

/// What a row says of one interval.
pub(crate) struct Reading {
    from: Timestamp,
    to: Timestamp,
    kp: Option<f64>,
    kind: ActivityKind,
}

impl Reading {
    /// Kp of the interval that starts at `from`.
    pub(crate) fn new(from: Timestamp, kp: Option<f64>, kind: ActivityKind) -> Result<Self, Fault> {
        if from.as_nanosecond().rem_euclid(i128::from(INTERVAL_SECONDS) * 1_000_000_000) != 0 {
            return Err(Fault::new("time", format!("{from} is not the start of a 3-hour interval")));
        }
        check_year(Offset::UTC.to_datetime(from).year())?;
        let to =
            from.checked_add(INTERVAL).map_err(|_beyond| Fault::new("time", format!("{from} is too far ahead")))?;
        Ok(Self { from, to, kp, kind })
    }

    /// The interval, where there is a value.
    pub(crate) fn interval(&self) -> Option<KpInterval> {
        self.kp.map(|kp| KpInterval { from: self.from, to: self.to, kp, kind: self.kind })
    }
}

/// The eight intervals of a day.
pub(crate) fn day(date: Date, cells: &[Cell; 8], kind: ActivityKind) -> Result<Vec<Reading>, Fault> {
    let midnight = utc(date.to_datetime(jiff::civil::Time::midnight()))?;
    let mut readings = Vec::with_capacity(cells.len());
    let mut from = midnight;
    for cell in cells {
        let reading = Reading::new(from, cell.map(KpThird::kp), kind)?;
        from = reading.to;
        readings.push(reading);
    }
    Ok(readings)
}

/// A civil time read as UTC.
pub(crate) fn utc(time: DateTime) -> Result<Timestamp, Fault> {
    Offset::UTC.to_timestamp(time).map_err(|_range| Fault::new("time", format!("{time} is out of range")))
}

/// A date from its parts, not before the first day of Kp.
pub(crate) fn date(year: i16, month: i8, day: i8) -> Result<Date, Fault> {
    check_year(year)?;
    Date::new(year, month, day)
        .map_err(|_invalid| Fault::new("date", format!("{year}-{month:02}-{day:02} is not in the calendar")))
}

/// A date whose year has two digits: Kp starts in 1932, so 32 to 99 are 19xx and 00 to 31 are 20xx.
pub(crate) fn short_date(year: u8, month: u8, day: u8) -> Result<Date, Fault> {
    let century = if i16::from(year) < FIRST_YEAR % 100 { 2000 } else { 1900 };
    let part = |value: u8| i8::try_from(value).map_err(|_large| Fault::new("date", format!("{value} is no date")));
    date(century + i16::from(year), part(month)?, part(day)?)
}

fn check_year(year: i16) -> Result<(), Fault> {
    if year < FIRST_YEAR {
        return Err(Fault::new("date", format!("{year} is before {FIRST_YEAR}, when Kp begins")));
    }
    Ok(())
}

/// A field of a text row as a number.
pub(crate) fn number<T: std::str::FromStr>(field: &'static str, text: &str) -> Result<T, Fault> {
    text.trim().parse().map_err(|_bad| Fault::new(field, format!("\"{}\" is not a number it can be", quote(text))))
}

/// A printed Kp, where -1 says that there is none.
pub(crate) fn cell(field: &'static str, kp: f64) -> Result<Cell, Fault> {
    const NONE: f64 = -1.0;
    if (kp - NONE).abs() < f64::EPSILON {
        return Ok(None);
    }
    KpThird::from_decimal(kp)
        .map(Some)
        .ok_or_else(|| Fault::new(field, format!("{kp} is not a Kp: 0 to 9 in thirds, or -1 for none")))
}
