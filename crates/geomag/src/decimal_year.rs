//! Instants as decimal years.

use jiff::civil::date;
use jiff::tz::Offset;
use quantity::Timestamp;

/// Seconds from 1970 to a 1 January, UTC.
fn new_year_s(year: i16) -> f64 {
    // The first year of all begins before the first timestamp; any number serves, as no model reaches there.
    let start = Offset::UTC.to_timestamp(date(year, 1, 1).at(0, 0, 0, 0)).unwrap_or(Timestamp::MIN);
    start.as_second() as f64
}

/// Year and elapsed share of it, UTC.
pub(crate) fn decimal_year(instant: Timestamp) -> f64 {
    let seconds = instant.as_millisecond() as f64 / 1000.0;
    let year = Offset::UTC.to_datetime(instant).year();
    let start_s = new_year_s(year);
    let length_s = if date(year, 1, 1).in_leap_year() { 366.0 * 86400.0 } else { 365.0 * 86400.0 };
    f64::from(year) + (seconds - start_s) / length_s
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_a_leap_year_is_its_second_of_july() {
        let noon: Timestamp = "2028-07-02T00:00:00Z".parse().unwrap();
        assert!((decimal_year(noon) - 2028.5).abs() < 1e-9);
    }

    #[test]
    fn the_extremes_of_time_give_a_number() {
        assert!(decimal_year(Timestamp::MAX) > 9999.0);
        assert!(decimal_year(Timestamp::MIN) < -9990.0);
    }
}
