use jiff::Timestamp;

use super::tags::{Tags, names};
use super::time::{OFFSETS_S, TakenAt, parse, unset};
use super::{Metadata, Subject};

/// Camera clocks are set by hand to a minute or two; more than this and one of the two times is wrong or old.
const CLOCK_TOLERANCE_S: f64 = 120.0;

/// Tells where camera clock and satellite time cannot both be right.
pub(super) fn compare(metadata: &mut Metadata) {
    if let Some(gps_time) = metadata.gps_time
        && let Some(taken) = metadata.taken.as_ref().filter(|taken| taken.utc_offset_s.is_none())
        && let Some(difference) = taken.utc_with(0).map(|clock| clock.duration_since(gps_time))
        && !is_offset(difference.as_secs_f64())
    {
        let found = format!("{:.1} h from satellite time", difference.as_secs_f64() / 3_600.0);
        metadata.doubt(Subject::Time, found, "no time zone is so far from UTC: one of the two times is wrong or old");
    }
    if let Some(difference_s) = metadata.clock_minus_gps_s().filter(|difference| difference.abs() > CLOCK_TOLERANCE_S) {
        let found = format!("{difference_s:.0} s from satellite time");
        metadata.doubt(Subject::Time, found, "the camera's clock and the satellite receiver do not agree");
    }
}

fn is_offset(seconds: f64) -> bool {
    let [low, high] = OFFSETS_S.map(f64::from);
    (low - CLOCK_TOLERANCE_S..=high + CLOCK_TOLERANCE_S).contains(&seconds)
}

/// Offsets in use are whole quarters of an hour.
const QUARTER_S: f64 = 900.0;

/// The offset that explains a difference of camera clock and satellite time.
pub(super) fn offset_by_gps(difference: &jiff::SignedDuration) -> Option<i32> {
    let seconds = difference.as_secs_f64();
    let offset = (seconds / QUARTER_S).round() * QUARTER_S;
    ((seconds - offset).abs() <= CLOCK_TOLERANCE_S && is_offset(offset)).then(|| whole(offset))
}

#[expect(clippy::cast_possible_truncation, reason = "within a day, in seconds")]
fn whole(seconds: f64) -> i32 {
    seconds as i32
}

/// Satellite time is UTC by definition.
pub(super) fn gps_time(tags: &Tags, metadata: &mut Metadata) -> Option<Timestamp> {
    let date = tags.text(names::GPS_DATE)?;
    let clock = tags.numbers(names::GPS_TIME)?;
    let [hour, minute, second] = *clock.first_chunk::<3>()?;
    let found = format!("{date} {hour:.0}:{minute:.0}:{second:.0}");
    let is_clock = (0.0..24.0).contains(&hour) && (0.0..60.0).contains(&minute) && (0.0..61.0).contains(&second);
    let day = parse(&format!("{date} 00:00:00")).filter(|_| is_clock);
    let Some((day, _)) = day else {
        metadata.doubt(Subject::GpsTime, found, "it is no date and time");
        return None;
    };
    if let Some(reason) = unset(day) {
        metadata.doubt(Subject::GpsTime, found, reason);
        return None;
    }
    let seconds = hour * 3_600.0 + minute * 60.0 + second;
    let midnight = TakenAt { local: day, utc_offset_s: Some(0) }.utc()?;
    midnight.checked_add(jiff::SignedDuration::try_from_secs_f64(seconds).ok()?).ok()
}
