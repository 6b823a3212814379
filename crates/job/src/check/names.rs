//! Time and place by the name of a research frame: `20211030_060500_..._gill_...`, `...-20241229_203300`.
//!
//! Only where a name holds both a station's short name and a date with a time, both are believed: such cameras write UTC, and
//! telephones, whose names hold dates too, write the local time.

use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use quantity::{GeoPosition, Timestamp};

/// What a name says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Named {
    pub(super) utc: Timestamp,
    pub(super) position: GeoPosition,
}

/// Stations of all-sky cameras: short name, latitude north, longitude east, degrees. Gillam and Rabbit Lake as their files say;
/// the others from memory, to about a tenth of a degree, which shifts a direction by as much.
const STATIONS: [(&str, f64, f64); 31] = [
    ("abk", 68.35, 18.82),
    ("atha", 54.71, -113.30),
    ("chbg", 49.81, -74.42),
    ("ekat", 64.72, -110.67),
    ("fsim", 61.76, -121.24),
    ("fsmi", 60.02, -111.93),
    ("fykn", 66.56, -145.21),
    ("gako", 62.41, -145.16),
    ("gbay", 53.32, -60.46),
    ("gill", 56.354, -94.656),
    ("inuv", 68.41, -133.77),
    ("kapu", 49.39, -82.32),
    ("kev", 69.76, 27.01),
    ("kian", 66.97, -160.43),
    ("kuuj", 58.16, -68.53),
    ("luck", 51.15, -107.26),
    ("lyr", 78.148, 16.043),
    ("mcgr", 62.95, -155.60),
    ("muo", 68.02, 23.53),
    ("nrsq", 61.16, -45.44),
    ("pgeo", 53.82, -122.83),
    ("pina", 50.16, -96.07),
    ("pkr", 65.126, -147.479),
    ("rabb", 58.17, -103.66),
    ("rank", 62.82, -92.11),
    ("sod", 67.42, 26.39),
    ("snkq", 56.54, -79.23),
    ("talo", 69.54, -93.56),
    ("tpas", 53.99, -100.94),
    ("whit", 61.01, -135.22),
    ("yknf", 62.52, -114.31),
];
/// Years of such files.
const YEARS: std::ops::RangeInclusive<i16> = 1995..=2099;

/// What the name of a file says of its time and place.
pub(super) fn of(name: &str) -> Option<Named> {
    let words: Vec<&str> = name.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let station = words.iter().find_map(|word| STATIONS.iter().find(|(short, ..)| word.eq_ignore_ascii_case(short)))?;
    let when = (0..words.len()).find_map(|first| time(&words[first..]))?;
    Some(Named {
        utc: TimeZone::UTC.to_timestamp(when).ok()?,
        position: GeoPosition::new(station.1, station.2, 0.0).ok()?,
    })
}

/// A date and a time that the words begin with: 20241229 203300, 20130205 0500, 2020 12 11 20 09 36.
fn time(words: &[&str]) -> Option<DateTime> {
    let digits = |word: &str| word.bytes().all(|byte| byte.is_ascii_digit());
    let is = |index: usize, length: usize| words.get(index).is_some_and(|word| word.len() == length && digits(word));
    let parted = is(0, 4) && (1..6).all(|index| is(index, 2));
    let joined = is(0, 8) && (is(1, 4) || is(1, 6));
    if !parted && !joined {
        return None;
    }
    let all: String = words.iter().take(if parted { 6 } else { 2 }).copied().collect();
    let part = |from: usize, length: usize| all.get(from..from + length)?.parse::<i8>().ok();
    let year = all.get(..4)?.parse::<i16>().ok().filter(|year| YEARS.contains(year))?;
    let second = if all.len() > 12 { part(12, 2)? } else { 0 };
    DateTime::new(year, part(4, 2)?, part(6, 2)?, part(8, 2)?, part(10, 2)?, second, 0).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_research_frames_say_time_and_place() {
        for (name, utc) in [
            ("20211030_060500_149606_gill_rgb-04_320ms_burst.png", "2021-10-30T06:05:00Z"),
            ("20130205_0501_rabb_rainbow-08_full.pgm.gz", "2013-02-05T05:01:00Z"),
            ("LYR-Sony-20241229_203300.jpg", "2024-12-29T20:33:00Z"),
            ("lyr_2020-12-11_20-09-36.png", "2020-12-11T20:09:36Z"),
        ] {
            assert_eq!(of(name).map(|named| named.utc), utc.parse().ok(), "{name}");
        }
    }

    #[test]
    fn other_names_say_nothing() {
        for name in [
            "IMG_20241229_203300.jpg",
            "PXL_20241229_203300123.jpg",
            "gill.jpg",
            "gill_20241329_203300.jpg",
            "LYR-Sony-111220_200933.jpg",
            "lyr_99999999_9999",
            "",
            "é-20241229_203300-gi\u{301}ll",
        ] {
            assert_eq!(of(name), None, "{name}");
        }
    }
}
