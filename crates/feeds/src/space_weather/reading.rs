//! From bodies to what each source says.

use job::{ActivityKind, KpInterval};
use quantity::Timestamp;

use super::contribution::Contribution;
use crate::agencies::GFZ_KP_ATTRIBUTION;
use crate::{FeedError, FeedId, FeedState, parse_kp};

/// Reads every body that says something of the activity; what cannot be read becomes a note.
pub(super) fn contributions(bodies: &[(FeedId, &[u8])], now: Timestamp, notes: &mut Vec<String>) -> Vec<Contribution> {
    let mut contributions = Vec::new();
    for (feed, body) in bodies {
        match contribution(*feed, body, now) {
            Ok(Some(entry)) => contributions.push(entry),
            Ok(None) => {}
            Err(error) => notes.push(format!("{feed} cannot be read and is not used: {error}")),
        }
    }
    contributions
}

fn contribution(feed: FeedId, body: &[u8], now: Timestamp) -> Result<Option<Contribution>, FeedError> {
    let entry = match feed {
        FeedId::GfzKp => kp_table(feed, body, GFZ_KP_ATTRIBUTION, now)?,
        FeedId::NoaaKp3h => kp_table(feed, body, "estimated planetary K index", now)?,
        FeedId::NoaaKpForecast => kp_table(feed, body, "Kp forecast", now)?,
        FeedId::NoaaRtswMag
        | FeedId::NoaaRtswWind
        | FeedId::NoaaPropagated
        | FeedId::NoaaKp1m
        | FeedId::NoaaOvation
        | FeedId::NoaaHemiPower
        | FeedId::Noaa3Day
        | FeedId::Noaa27Day
        | FeedId::MetnoLocationforecast
        | FeedId::NwsPoints
        | FeedId::NwsGridpoints
        | FeedId::Metar
        | FeedId::Taf => return Ok(None),
    };
    Ok(Some(entry))
}

fn kp_table(feed: FeedId, body: &[u8], label: &str, now: Timestamp) -> Result<Contribution, FeedError> {
    let series = parse_kp(body, feed.as_str())?;
    let observed = series.intervals.iter().filter(|interval| interval.kind != ActivityKind::Forecast);
    // a forecast without a single observation is as new as its first interval
    let newest = observed.map(|interval| interval.to).max().or_else(|| series.span().map(|(from, _)| from));
    Ok(entry(feed, label.to_owned(), newest.unwrap_or(now), series.intervals, now))
}

fn entry(feed: FeedId, label: String, as_of: Timestamp, intervals: Vec<KpInterval>, now: Timestamp) -> Contribution {
    let state: FeedState = feed.source().freshness.state(as_of, now);
    Contribution { feed, label, as_of, state, intervals }
}
