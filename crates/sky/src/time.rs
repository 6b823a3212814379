//! From the civil clock to the clocks of astronomy: UTC, TT (smooth time of the ephemerides), UT1 (turning of the Earth).

use jiff::Timestamp;

use crate::dut1::dut1_s;
use crate::error::SkyError;

/// First year for which the series of this crate were fitted and tested.
pub const FIRST_YEAR: i16 = 1950;
/// Last year, inclusive.
pub const LAST_YEAR: i16 = 2099;

/// 1950-01-01T00:00:00Z in seconds of the Unix count.
const FIRST_UNIX_S: i64 = -631_152_000;
/// 2100-01-01T00:00:00Z in seconds of the Unix count.
const END_UNIX_S: i64 = 4_102_444_800;
/// 2000-01-01T12:00:00Z in seconds of the Unix count.
const J2000_UNIX_S: f64 = 946_728_000.0;
/// Julian date of the epoch J2000.0.
pub const J2000_JD: f64 = 2_451_545.0;
/// Seconds in a day.
pub const DAY_S: f64 = 86_400.0;
/// Days in a Julian century.
pub(crate) const CENTURY_DAYS: f64 = 36_525.0;
/// TT - TAI, s (IAU 1991).
const TT_MINUS_TAI_S: f64 = 32.184;

/// Start of each value of TAI - UTC since 1972, (Unix seconds, seconds). Source: IERS Bulletin C 70 and before.
const LEAP_SECONDS: [(i64, f64); 28] = [
    (63_072_000, 10.0),
    (78_796_800, 11.0),
    (94_694_400, 12.0),
    (126_230_400, 13.0),
    (157_766_400, 14.0),
    (189_302_400, 15.0),
    (220_924_800, 16.0),
    (252_460_800, 17.0),
    (283_996_800, 18.0),
    (315_532_800, 19.0),
    (362_793_600, 20.0),
    (394_329_600, 21.0),
    (425_865_600, 22.0),
    (489_024_000, 23.0),
    (567_993_600, 24.0),
    (631_152_000, 25.0),
    (662_688_000, 26.0),
    (709_948_800, 27.0),
    (741_484_800, 28.0),
    (773_020_800, 29.0),
    (820_454_400, 30.0),
    (867_715_200, 31.0),
    (915_148_800, 32.0),
    (1_136_073_600, 33.0),
    (1_230_768_000, 34.0),
    (1_341_100_800, 35.0),
    (1_435_708_800, 36.0),
    (1_483_228_800, 37.0),
];

/// TT - UT before the leap seconds, (year, s): the civil clock then followed UT within 0.1 s.
/// Source: Stephenson, Morrison & Hohenkerk 2016, Proc. R. Soc. A 472, 20160404, rounded to 0.1 s.
const DELTA_T_BEFORE_1972: [(f64, f64); 6] =
    [(1950.0, 29.1), (1955.0, 31.1), (1960.0, 33.1), (1965.0, 35.7), (1970.0, 40.2), (1972.0, 42.2)];

/// One instant on the three clocks that astronomy needs.
///
/// Accuracy: TT - UTC is exact from 1972 to the last announced leap second, and keeps its last value after that; UT1
/// follows the published values to 0.05 s from 1972 to 2027 and is a guess with an error of up to 0.9 s (13" of sky)
/// after that, as nobody can foretell the turning of the Earth.
///
/// ```
/// let clocks = sky::Clocks::at("2026-01-01T00:00:00Z".parse()?)?;
/// assert!((clocks.tt_minus_utc_s - 69.184).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Clocks {
    /// UTC days since 2000-01-01T12:00:00 UTC, days of 86 400 s (as the Unix count).
    pub utc_days: f64,
    /// TT days since J2000.0.
    pub tt_days: f64,
    /// UT1 days since 2000-01-01T12:00:00 UT1.
    pub ut1_days: f64,
    /// TT - UTC, s.
    pub tt_minus_utc_s: f64,
    /// UT1 - UTC, s.
    pub dut1_s: f64,
}

impl Clocks {
    /// The clocks at an instant.
    ///
    /// # Errors
    ///
    /// [`SkyError::InstantOutOfRange`] before 1950 or after 2099.
    pub fn at(at: Timestamp) -> Result<Self, SkyError> {
        let second = at.as_second();
        if !(FIRST_UNIX_S..END_UNIX_S).contains(&second) {
            return Err(SkyError::InstantOutOfRange { at, first_year: FIRST_YEAR, last_year: LAST_YEAR });
        }
        Ok(Self::from_unix_s(second as f64 + f64::from(at.subsec_nanosecond()) * 1e-9))
    }

    /// As [`Clocks::at`], from a count of Unix seconds that the caller has checked.
    pub(crate) fn from_unix_s(unix_s: f64) -> Self {
        let tt_minus_utc_s = tt_minus_utc_s(unix_s);
        let dut1_s = dut1_s(unix_s);
        let utc_s = unix_s - J2000_UNIX_S;
        Self {
            utc_days: utc_s / DAY_S,
            tt_days: (utc_s + tt_minus_utc_s) / DAY_S,
            ut1_days: (utc_s + dut1_s) / DAY_S,
            tt_minus_utc_s,
            dut1_s,
        }
    }

    /// Julian centuries of TT since J2000.0.
    pub fn tt_centuries(self) -> f64 {
        self.tt_days / CENTURY_DAYS
    }

    /// The TT Julian date in two parts, as the IAU routines want it.
    pub fn tt_julian_date(self) -> (f64, f64) {
        (J2000_JD, self.tt_days)
    }

    /// The UT1 Julian date in two parts.
    pub fn ut1_julian_date(self) -> (f64, f64) {
        (J2000_JD, self.ut1_days)
    }
}

/// The Unix count of an instant in seconds, with fractions.
pub(crate) fn unix_s(at: Timestamp) -> f64 {
    at.as_second() as f64 + f64::from(at.subsec_nanosecond()) * 1e-9
}

/// The instant of a Unix count, rounded to whole seconds.
pub(crate) fn timestamp_to_second(unix_s: f64) -> Timestamp {
    #[expect(clippy::cast_possible_truncation, reason = "a count within 1950..2099, or saturated into an error")]
    let second = unix_s.round() as i64;
    Timestamp::from_second(second).unwrap_or(Timestamp::UNIX_EPOCH)
}

/// TAI - UTC in whole seconds; its first value before 1972.
pub(crate) fn tai_minus_utc_s(unix_s: f64) -> f64 {
    leap_seconds(unix_s).unwrap_or(LEAP_SECONDS[0].1)
}

fn leap_seconds(unix_s: f64) -> Option<f64> {
    #[expect(clippy::cast_possible_truncation, reason = "whole seconds are wanted")]
    let second = unix_s.floor() as i64;
    LEAP_SECONDS.iter().rev().find(|(start, _)| second >= *start).map(|(_, tai_minus_utc_s)| *tai_minus_utc_s)
}

fn tt_minus_utc_s(unix_s: f64) -> f64 {
    leap_seconds(unix_s).map_or_else(
        || delta_t_before_1972_s(1970.0 + unix_s / (365.25 * DAY_S)),
        |tai_minus_utc_s| TT_MINUS_TAI_S + tai_minus_utc_s,
    )
}

fn delta_t_before_1972_s(year: f64) -> f64 {
    DELTA_T_BEFORE_1972.windows(2).find(|pair| year < pair[1].0).map_or(DELTA_T_BEFORE_1972[5].1, |pair| {
        let share = (year - pair[0].0) / (pair[1].0 - pair[0].0);
        pair[0].1 + share * (pair[1].1 - pair[0].1)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of days counted from 2000, s.
    const CLOCK_TOLERANCE_S: f64 = 1e-5;
    /// The table before 1972 is rounded to 0.1 s and has straight lines between its years; UTC then strayed 0.1 s from UT.
    const OLD_DELTA_T_TOLERANCE_S: f64 = 0.7;

    fn ours_s(year: i32, month: i32) -> f64 {
        let at: Timestamp = format!("{year:04}-{month:02}-01T00:00:00Z").parse().unwrap();
        Clocks::at(at).unwrap().tt_minus_utc_s
    }

    #[test]
    fn leap_seconds_are_those_of_the_iau_routines() {
        for year in 1972..2028 {
            for month in 1..=12 {
                let theirs_s = sofars::ts::dat(year, month, 1, 0.0).unwrap() + TT_MINUS_TAI_S;
                assert!((ours_s(year, month) - theirs_s).abs() < CLOCK_TOLERANCE_S, "{year}-{month}");
            }
        }
    }

    #[test]
    fn clocks_before_the_leap_seconds_follow_the_old_steered_utc() {
        for year in 1961..1972 {
            let theirs_s = sofars::ts::dat(year, 1, 1, 0.0).unwrap() + TT_MINUS_TAI_S;
            assert!((ours_s(year, 1) - theirs_s).abs() < OLD_DELTA_T_TOLERANCE_S, "{year}: {}", ours_s(year, 1));
        }
    }

    #[test]
    fn terrestrial_time_is_that_of_the_iau_routines() {
        let at: Timestamp = "2026-03-20T14:45:30.25Z".parse().unwrap();
        let (utc1, utc2) = sofars::ts::dtf2d("UTC", 2026, 3, 20, 14, 45, 30.25).unwrap();
        let (tai1, tai2) = sofars::ts::utctai(utc1, utc2).unwrap();
        let (tt1, tt2) = sofars::ts::taitt(tai1, tai2).unwrap();
        let theirs_days = (tt1 - J2000_JD) + tt2;
        assert!((Clocks::at(at).unwrap().tt_days - theirs_days).abs() * DAY_S < CLOCK_TOLERANCE_S);
    }
}
