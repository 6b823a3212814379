use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::{Offset, TimeZone};
use serde::{Deserialize, Serialize};

use super::satellite_clock::{compare, gps_time};
use super::tags::{Tag, Tags, names};
use super::{Metadata, Subject};

/// No digital camera with a clock is older (from memory); clocks that were never set begin in 1970 or 1980.
const FIRST_YEAR: i16 = 1990;
/// Where other clocks begin that were never set: its first day is not believed.
const CLOCK_START_YEAR: i16 = 2000;
/// Offsets in use lie within -12 and +14 hours.
pub(super) const OFFSETS_S: [i32; 2] = [-12 * 3_600, 14 * 3_600];

/// A time by the camera's clock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TakenAt {
    /// What the clock showed.
    pub local: DateTime,
    /// How far the clock is ahead of UTC, s, where the file says so.
    pub utc_offset_s: Option<i32>,
}

impl TakenAt {
    /// The instant, where the clock's distance from UTC is known.
    pub fn utc(&self) -> Option<Timestamp> {
        self.utc_with(self.utc_offset_s?)
    }

    /// The instant, for somebody who knows how far the clock was ahead of UTC, s.
    pub fn utc_with(&self, utc_offset_s: i32) -> Option<Timestamp> {
        let zone = TimeZone::fixed(Offset::from_seconds(utc_offset_s).ok()?);
        zone.to_timestamp(self.local).ok()
    }
}

/// Camera time, and satellite time beside it.
pub(super) fn read(tags: &Tags, metadata: &mut Metadata) {
    metadata.gps_time = gps_time(tags, metadata);
    // the time of the exposure, or of digitizing it, or of the last change: only the first is sure to be the picture's
    let moments = [
        (names::ORIGINAL, names::OFFSET_ORIGINAL),
        (names::DIGITIZED, names::OFFSET_DIGITIZED),
        (names::CHANGED, names::OFFSET),
    ];
    for (moment, offset) in moments {
        let Some(mut taken) = moment_of(tags, moment, metadata) else { continue };
        taken.utc_offset_s = taken.utc_offset_s.or_else(|| offset_of(tags, offset, metadata));
        if moment == names::ORIGINAL {
            taken.local = with_subsecond(taken.local, tags.text(names::SUBSECOND_ORIGINAL));
        } else if moment == names::CHANGED {
            metadata.doubt(Subject::Time, taken.local, "only the time of the last change to the file is there");
        }
        metadata.taken = Some(taken);
        break;
    }
    compare(metadata);
}

fn moment_of(tags: &Tags, tag: Tag, metadata: &mut Metadata) -> Option<TakenAt> {
    let text = tags.text(tag)?;
    // blanks or zeros between the colons are the standard's own way to say "not known"
    if !text.chars().any(|c| c.is_ascii_digit() && c != '0') {
        return None;
    }
    let Some((local, utc_offset_s)) = parse(text) else {
        metadata.doubt(Subject::Time, text, "it is no date and time");
        return None;
    };
    if let Some(reason) = unset(local) {
        metadata.doubt(Subject::Time, text, reason);
        return None;
    }
    Some(TakenAt { local, utc_offset_s })
}

/// Why a date is that of a clock never set, if it is.
pub(super) fn unset(local: DateTime) -> Option<&'static str> {
    if local.year() < FIRST_YEAR {
        return Some("the clock was not set: no digital camera is so old");
    }
    let is_start = local.year() == CLOCK_START_YEAR && local.month() == 1 && local.day() == 1;
    is_start.then_some("the clock was not set: it begins on this day")
}

/// `YYYY:MM:DD HH:MM:SS`, with other marks between the parts, a fraction or an offset behind it as some writers do.
pub(super) fn parse(text: &str) -> Option<(DateTime, Option<i32>)> {
    let text = text.trim();
    let date = text.get(..10)?;
    let rest = text.get(10..)?.trim_start_matches(['T', 't', ' ']);
    let clock_end = rest.find(|c: char| !c.is_ascii_digit() && c != ':' && c != '.').unwrap_or(rest.len());
    let (clock, behind) = rest.split_at(clock_end);
    let [year, month, day] = parts(date, &[':', '-', '/', '.'])?;
    let (clock, fraction) = clock.split_once('.').unwrap_or((clock, ""));
    let [hour, minute, second] = parts(clock, &[':']).or_else(|| {
        let [hour, minute] = parts(clock, &[':'])?;
        Some([hour, minute, "0"])
    })?;
    let small = |text: &str| text.parse::<i8>().ok();
    let local = DateTime::new(
        year.parse().ok()?,
        small(month)?,
        small(day)?,
        small(hour)?,
        small(minute)?,
        // a leap second is shown as the second before it
        small(second)?.min(59),
        0,
    )
    .ok()?;
    let behind = behind.trim();
    let utc_offset_s = if behind.is_empty() { None } else { offset(behind) };
    Some((with_subsecond(local, Some(fraction)), utc_offset_s))
}

fn parts<'a, const N: usize>(text: &'a str, marks: &[char]) -> Option<[&'a str; N]> {
    text.split(marks).collect::<Vec<_>>().try_into().ok()
}

fn with_subsecond(local: DateTime, digits: Option<&str>) -> DateTime {
    let digits: String = digits.unwrap_or_default().trim().chars().take_while(char::is_ascii_digit).take(9).collect();
    if digits.is_empty() {
        return local;
    }
    let nanoseconds = format!("{digits:0<9}").parse::<i32>().unwrap_or(0);
    local.with().subsec_nanosecond(nanoseconds).build().unwrap_or(local)
}

fn offset_of(tags: &Tags, tag: Tag, metadata: &mut Metadata) -> Option<i32> {
    // cameras write the one they have; the other two mean the same clock
    let text = tags.text(tag).or_else(|| tags.text(names::OFFSET_ORIGINAL)).or_else(|| tags.text(names::OFFSET))?;
    if !text.chars().any(|c| c.is_ascii_digit()) && text != "Z" {
        return None;
    }
    let offset = offset(text);
    if offset.is_none() {
        metadata.doubt(Subject::TimeOffset, text, "it is no distance from UTC");
    }
    offset
}

/// `+HH:MM`, `-HHMM`, `+HH` or `Z`, s.
fn offset(text: &str) -> Option<i32> {
    let text = text.trim();
    if text.eq_ignore_ascii_case("z") || text.eq_ignore_ascii_case("utc") {
        return Some(0);
    }
    let sign = match text.chars().next()? {
        '+' => 1,
        '-' => -1,
        _ => return None,
    };
    let digits: String = text.chars().skip(1).filter(|c| *c != ':').collect();
    let plain = matches!(digits.len(), 2 | 4) && digits.chars().all(|c| c.is_ascii_digit());
    if !plain {
        return None;
    }
    let hours: i32 = digits.get(..2)?.parse().ok()?;
    let minutes: i32 = digits.get(2..).filter(|rest| !rest.is_empty()).map_or(Some(0), |rest| rest.parse().ok())?;
    let seconds = sign * (hours * 3_600 + minutes * 60);
    (minutes < 60 && (OFFSETS_S[0]..=OFFSETS_S[1]).contains(&seconds)).then_some(seconds)
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn times_are_read_in_the_shapes_in_use() {
        let noon = date(2024, 8, 20).at(1, 7, 18, 0);
        for text in ["2024:08:20 01:07:18", "2024-08-20T01:07:18", "2024/08/20 01:07:18", " 2024:08:20 01:07:18 "] {
            assert_eq!(parse(text), Some((noon, None)), "{text}");
        }
        assert_eq!(parse("2024:08:20 01:07:18+02:00"), Some((noon, Some(7_200))));
        assert_eq!(parse("2017-05-03T03:12:04.032518").unwrap().0.subsec_nanosecond(), 32_518_000);
        for bad in ["2024:13:20 01:07:18", "2024:08:20", "", "not a date at all..", "2024:08:20 25:00:00", "€€€€:€€"]
        {
            assert_eq!(parse(bad), None, "{bad}");
        }
    }

    #[test]
    fn offsets_are_read_and_nonsense_is_not() {
        assert_eq!(offset("+05:45"), Some(20_700));
        assert_eq!(offset("-0330"), Some(-12_600));
        assert_eq!(offset("Z"), Some(0));
        for bad in ["+25:00", "05:00", "+5", "+05:61", "", "+ab:cd"] {
            assert_eq!(offset(bad), None, "{bad}");
        }
    }

    #[test]
    fn clocks_that_were_never_set_are_told() {
        assert!(unset(date(1980, 1, 1).at(0, 3, 0, 0)).is_some());
        assert!(unset(date(2000, 1, 1).at(12, 0, 0, 0)).is_some());
        assert!(unset(date(2000, 1, 2).at(0, 0, 0, 0)).is_none());
        assert!(unset(date(2026, 1, 1).at(0, 0, 0, 0)).is_none());
    }
}
