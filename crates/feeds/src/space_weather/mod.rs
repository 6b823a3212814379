//! What the stored bodies of all space weather feeds say of the activity, as one series with its sources, and what the
//! others say beside it.

mod contribution;
mod layers;
mod notes;
mod radio_flux;
mod reading;
mod wind;

use job::{Activity, UpstreamWind};
use quantity::Timestamp;

use self::layers::Layers;
pub use self::radio_flux::{RadioFlux, radio_flux};
use crate::FeedId;

/// The activity of a span of time: what drives the aurora, what other sources say, and what a person should know.
#[derive(Debug, Clone, PartialEq)]
pub struct SpaceWeather {
    /// The best of every source for each stretch of time, in order of time, without overlap. Gaps stay open and are
    /// said in `notes`. Its source names everyone who contributed.
    pub main: Activity,
    /// What each source says by itself, where it says something else or more than `main`.
    pub others: Vec<Activity>,
    /// The solar wind upstream as last measured, where that is not too old to count from.
    pub upstream: Option<UpstreamWind>,
    /// The sun's radio flux of the middle of the span, where the long outlook is at hand.
    pub radio_flux: Option<RadioFlux>,
    /// Bodies that cannot be read, are too old to drive anything, or leave a gap, and a change of the
    /// spacecraft in charge; one plain sentence each.
    pub notes: Vec<String>,
}

/// Turns the stored bodies of feeds into the activity of `from..to`, as known at `now`.
///
/// What counts for a stretch of time, the first that has it:
///
/// 1. intervals that are over: Kp of GFZ, then the estimates of NOAA, then what the minute estimates came to;
/// 2. the coming hour: the solar wind measured upstream, which has not yet arrived;
/// 3. the interval that still runs: the minute estimate, then the running values of GFZ and NOAA;
/// 4. what is ahead: the forecast of NOAA as a table, then its 3-day text, then the 27-day outlook.
///
/// Hemispheric power is a second opinion and never drives. What is over stays true however old a body is; for the rest a
/// body counts as long as it is not stale by [`Freshness`](crate::Freshness), and a stale one is reported in the notes.
///
/// * `bodies`: the last good body of each feed, as it came. Feeds that say nothing of the activity are passed over.
/// * `now`: the instant of asking; nothing dated later than that counts as measured.
///
/// A body that cannot be read becomes a note. Whole intervals are given: the first may begin before `from`, the last may
/// end after `to`. An empty `main` says that nobody knows.
///
/// ```
/// use feeds::FeedId;
///
/// let estimates = br#"[{"time_tag":"2026-07-31T00:00:00","Kp":1.33,"a_running":5,"station_count":8}]"#;
/// let at = |text: &str| text.parse::<quantity::Timestamp>();
/// let weather = feeds::space_weather(
///     &[(FeedId::NoaaKp3h, estimates), (FeedId::GfzKp, b"<html>")],
///     at("2026-07-31T04:00:00Z")?,
///     at("2026-07-31T00:00:00Z")?,
///     at("2026-07-31T03:00:00Z")?,
/// );
/// assert_eq!(weather.main.intervals.len(), 1);
/// assert!(weather.notes[0].starts_with("gfz_kp cannot be read"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn space_weather(bodies: &[(FeedId, &[u8])], now: Timestamp, from: Timestamp, to: Timestamp) -> SpaceWeather {
    let mut notes = Vec::new();
    let (contributions, upstream) = reading::contributions(bodies, now, &mut notes);
    let mut layers = Layers::new(from, to);
    for (index, intervals) in contribution::in_order_of_trust(&contributions, now) {
        layers.lay(index, &intervals);
    }
    notes.extend(notes::by_age(&contributions, now, to));
    notes.extend(notes::gaps(&layers));
    let others = contribution::others(&contributions, &layers, now);
    let radio_flux = radio_flux(bodies, now, middle(from, to));
    let main = contribution::main(&contributions, &layers, now);
    SpaceWeather { main, others, upstream, radio_flux, notes }
}

fn middle(from: Timestamp, to: Timestamp) -> Timestamp {
    Timestamp::from_second(i64::midpoint(from.as_second(), to.as_second())).unwrap_or(from)
}
