//! Times as the clock of the site shows them.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use job::Site;
use quantity::Timestamp;

const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
/// All offsets from UTC in use are whole quarters of an hour.
const QUARTER_S: i64 = 900;
/// Ticks looked for at most: four days of quarters.
const MOST_QUARTERS: i64 = 4 * 96;

/// The clock of a site; UTC where its zone is not known, and it says so.
#[derive(Debug, Clone)]
pub(crate) struct LocalClock {
    zone: TimeZone,
}

/// A full hour on the local clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct HourTick {
    /// The instant.
    pub(crate) at: Timestamp,
    /// Hour of the day there and then, 0 to 23.
    pub(crate) hour: i8,
}

impl LocalClock {
    pub(crate) fn of(site: &Site) -> Self {
        Self { zone: site.zone().unwrap_or(TimeZone::UTC) }
    }

    /// "22:40".
    pub(crate) fn time(&self, at: Timestamp) -> String {
        let local = self.zone.to_datetime(at);
        format!("{:02}:{:02}", local.hour(), local.minute())
    }

    /// "14 Mar".
    pub(crate) fn day(&self, at: Timestamp) -> String {
        let date = self.zone.to_datetime(at).date();
        format!("{} {}", date.day(), month(date))
    }

    /// What the clock is called then: "CET".
    pub(crate) fn zone_name(&self, at: Timestamp) -> String {
        self.zone.to_offset_info(at).abbreviation().to_owned()
    }

    /// Every full local hour from `from` to `to`, both included.
    pub(crate) fn full_hours(&self, from: Timestamp, to: Timestamp) -> Vec<HourTick> {
        let first = from.as_second().div_euclid(QUARTER_S);
        let last = to.as_second().div_euclid(QUARTER_S).min(first + MOST_QUARTERS);
        (first..=last)
            .filter_map(|quarter| Timestamp::from_second(quarter * QUARTER_S).ok())
            .filter(|at| *at >= from && *at <= to)
            .filter_map(|at| {
                let local = self.zone.to_datetime(at);
                (local.minute() == 0 && local.second() == 0).then_some(HourTick { at, hour: local.hour() })
            })
            .collect()
    }

    /// The instant between two others at which the clock is put forward or back, with the change in minutes.
    pub(crate) fn clock_change(&self, from: Timestamp, to: Timestamp) -> Option<(Timestamp, i32)> {
        let before = self.zone.to_offset(from).seconds();
        let change = self.zone.following(from).next()?;
        let at = change.timestamp();
        let change_min = (change.offset().seconds() - before) / 60;
        (at < to && change_min != 0).then_some((at, change_min))
    }
}

/// "night of 14-15 Mar 2026".
pub(crate) fn night_name(opening: Date) -> String {
    let Ok(closing) = opening.tomorrow() else { return format!("night of {opening}") };
    if closing.month() == opening.month() {
        format!("night of {}-{} {} {}", opening.day(), closing.day(), month(closing), closing.year())
    } else {
        format!(
            "night of {} {} to {} {} {}",
            opening.day(),
            month(opening),
            closing.day(),
            month(closing),
            closing.year()
        )
    }
}

fn month(date: Date) -> &'static str {
    usize::try_from(date.month()).ok().and_then(|number| MONTHS.get(number - 1)).copied().unwrap_or("")
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::GeoPosition;

    fn clock(zone: &str) -> LocalClock {
        LocalClock::of(&Site { time_zone: zone.to_owned(), ..Site::bare("", GeoPosition::new(0.0, 0.0, 0.0).unwrap()) })
    }

    fn hours(zone: &str, from: &str, to: &str) -> Vec<i8> {
        clock(zone).full_hours(from.parse().unwrap(), to.parse().unwrap()).iter().map(|tick| tick.hour).collect()
    }

    #[test]
    fn the_hour_that_comes_twice_is_shown_twice() {
        // clocks go back at 01:00 UTC on 25 October 2026
        assert_eq!(hours("Europe/Oslo", "2026-10-24T22:30:00Z", "2026-10-25T03:00:00Z"), [1, 2, 2, 3, 4]);
        let change = clock("Europe/Oslo")
            .clock_change("2026-10-24T12:00:00Z".parse().unwrap(), "2026-10-25T12:00:00Z".parse().unwrap());
        assert_eq!(change, Some(("2026-10-25T01:00:00Z".parse().unwrap(), -60)));
    }

    #[test]
    fn the_hour_that_is_left_out_is_left_out() {
        assert_eq!(hours("Europe/Oslo", "2026-03-28T23:30:00Z", "2026-03-29T03:00:00Z"), [1, 3, 4, 5]);
    }

    #[test]
    fn zones_of_half_and_quarter_hours_have_ticks() {
        assert_eq!(hours("Asia/Kathmandu", "2026-03-28T18:00:00Z", "2026-03-28T20:15:00Z"), [0, 1, 2]);
        assert_eq!(hours("Australia/Adelaide", "2026-06-28T12:00:00Z", "2026-06-28T14:00:00Z"), [22, 23]);
    }

    #[test]
    fn an_unknown_zone_falls_back_to_utc() {
        assert_eq!(clock("Mars/Olympus").zone_name(Timestamp::UNIX_EPOCH), "UTC");
    }

    #[test]
    fn a_night_is_named_by_both_its_days() {
        assert_eq!(night_name(jiff::civil::date(2026, 3, 14)), "night of 14-15 Mar 2026");
        assert_eq!(night_name(jiff::civil::date(2026, 12, 31)), "night of 31 Dec to 1 Jan 2027");
    }
}
