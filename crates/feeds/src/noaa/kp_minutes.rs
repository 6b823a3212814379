use jiff::SignedDuration;
use job::{ActivityKind, KpInterval};
use quantity::Timestamp;
use serde::Serialize;

use crate::body::{bad_key, not_weather, text};
use crate::collect::INTERVAL_SECONDS;
use crate::row::{Fault, quote};
use crate::solar_wind::{Measurements, Sample};
use crate::table::Table;
use crate::{FeedError, KpThird, json};

const EXPECTED: &str = "a table of the 1-minute planetary K";
/// How long the estimate needs to climb back after it has started again at the head of an interval, seconds. In a
/// captured file it took 20 to 45 minutes.
const CLIMB_S: i64 = 60 * 60;
/// The last value of an interval counts for the whole where it lies so near its end, seconds.
const NEAR_END_S: i64 = 15 * 60;

/// One minute's estimate of the interval that then ran.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KpMinute {
    /// The minute.
    pub at: Timestamp,
    /// The estimate, 0 to 9, in thirds.
    pub kp: f64,
}

impl Sample for KpMinute {
    fn at(&self) -> Timestamp {
        self.at
    }
    fn spacecraft(&self) -> Option<&str> {
        None
    }
}

/// The minute estimates of some hours.
///
/// The estimate starts again near 0 at the head of every 3-hour interval and needs up to three quarters of an hour to
/// climb back: its last value is no "Kp now". [`KpMinutes::running`] says what is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KpMinutes(Measurements<KpMinute>);

/// The estimate of the interval that runs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RunningKp {
    /// Start of the interval.
    pub from: Timestamp,
    /// Its end.
    pub to: Timestamp,
    /// The newest minute.
    pub as_of: Timestamp,
    /// The estimate: the newest minute's value, but in the first hour not below a blend with the interval before.
    pub kp: f64,
    /// What the newest minute says by itself.
    pub last_kp: f64,
    /// What the interval before came to.
    pub previous_kp: Option<f64>,
}

/// Reads the list of objects (or rows under a header) with `time_tag` and `estimated_kp`.
///
/// # Errors
///
/// No such table, or not one good value.
pub fn parse_kp_minutes(bytes: &[u8], source_name: &str) -> Result<KpMinutes, FeedError> {
    let text = text(bytes, source_name, EXPECTED)?;
    if !text.trim_start().starts_with(['[', '{']) {
        return Err(not_weather(source_name, EXPECTED, format!("it begins with \"{}\"", quote(text.trim_start()))));
    }
    let value = json::parse(&text, source_name)?;
    let Some(table) = Table::of(&value) else {
        return Err(not_weather(source_name, EXPECTED, "it is an empty list or no list"));
    };
    if !table.has("time_tag") {
        let found = format!("its columns are {}", quote(&table.names.join(", ")));
        return Err(not_weather(source_name, EXPECTED, found));
    }
    if !table.has("estimated_kp") {
        return Err(bad_key(source_name, "estimated_kp", "absent"));
    }
    let rows = table.rows().map(|(place, row)| {
        let minute = row.time("time_tag").and_then(|at| Ok((at, row.number("estimated_kp")?)));
        let found = minute.and_then(|(at, kp)| kp.map(in_range).transpose().map(|kp| (at, kp)));
        (place, found.map(|(at, kp)| kp.map_or(Err(at), |kp| Ok(KpMinute { at, kp }))))
    });
    Measurements::of_values(source_name, rows).map(KpMinutes)
}

fn in_range(kp: f64) -> Result<f64, Fault> {
    if !(0.0..=9.0).contains(&kp) {
        return Err(Fault::new("estimated_kp", format!("{kp} is outside 0 to 9")));
    }
    Ok(KpThird::from_decimal(kp).map_or(kp, KpThird::kp))
}

impl KpMinutes {
    /// The minutes, in order of time, and what was left out.
    pub fn minutes(&self) -> &Measurements<KpMinute> {
        &self.0
    }

    /// The interval of the newest minute.
    ///
    /// In the first hour of an interval the estimate still climbs: the previous interval's value counts beside it, with
    /// a weight that falls from one to nothing, and never pulls it down. `None` in that hour where the previous
    /// interval is not known.
    pub fn running(&self) -> Option<RunningKp> {
        let newest = self.0.newest()?;
        let start_s = interval_start_s(newest.at);
        let previous = self.last_of(start_s - INTERVAL_SECONDS).map(|minute| minute.kp);
        let share = ((newest.at.as_second() - start_s) as f64 / CLIMB_S as f64).min(1.0);
        let kp = match previous {
            Some(previous) => newest.kp.max((1.0 - share) * previous + share * newest.kp),
            None if share < 1.0 => return None,
            None => newest.kp,
        };
        let [from, to] = bounds(start_s)?;
        Some(RunningKp { from, to, as_of: newest.at, kp, last_kp: newest.kp, previous_kp: previous })
    }

    /// What the intervals came to that are seen to their end, and the running one with its estimate.
    pub fn intervals(&self) -> Vec<KpInterval> {
        let mut starts_s: Vec<i64> = self.0.samples.iter().map(|minute| interval_start_s(minute.at)).collect();
        starts_s.dedup();
        let running = self.running();
        let is_running = |start_s: i64| self.0.newest().is_some_and(|newest| interval_start_s(newest.at) == start_s);
        let over = starts_s.into_iter().filter(|start_s| !is_running(*start_s)).filter_map(|start_s| {
            let [from, to] = bounds(start_s)?;
            Some(KpInterval { from, to, kp: self.last_of(start_s)?.kp, kind: ActivityKind::Preliminary })
        });
        let running =
            running.map(|RunningKp { from, to, kp, .. }| KpInterval { from, to, kp, kind: ActivityKind::Nowcast });
        over.chain(running).collect()
    }

    /// The last minute of an interval, where it lies near its end.
    fn last_of(&self, start_s: i64) -> Option<&KpMinute> {
        let end_s = start_s + INTERVAL_SECONDS;
        let before_end = self.0.samples.partition_point(|minute| minute.at.as_second() < end_s);
        let last = self.0.samples.get(before_end.checked_sub(1)?)?;
        (last.at.as_second() >= end_s - NEAR_END_S).then_some(last)
    }
}

fn interval_start_s(at: Timestamp) -> i64 {
    at.as_second().div_euclid(INTERVAL_SECONDS) * INTERVAL_SECONDS
}

fn bounds(start_s: i64) -> Option<[Timestamp; 2]> {
    let from = Timestamp::from_second(start_s).ok()?;
    Some([from, from.checked_add(SignedDuration::from_secs(INTERVAL_SECONDS)).ok()?])
}
