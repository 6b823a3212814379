//! From bodies to what each source says.

use job::{ActivityKind, KpInterval, PowerAt, UpstreamWind, power_intervals};
use quantity::Timestamp;

use super::contribution::Contribution;
use super::wind;
use crate::agencies::GFZ_KP_ATTRIBUTION;
use crate::noaa::{parse_hemispheric_power, parse_kp_minutes, parse_long_range, parse_three_day};
use crate::{FeedError, FeedId, FeedState, parse_kp};

/// Reads every body that says something of the activity; what cannot be read becomes a note.
///
/// Beside them the wind upstream as last measured, where it is not too old.
pub(super) fn contributions(
    bodies: &[(FeedId, &[u8])],
    now: Timestamp,
    notes: &mut Vec<String>,
) -> (Vec<Contribution>, Option<UpstreamWind>) {
    let mut contributions = Vec::new();
    let mut take = |feed: FeedId, read: Result<Option<Contribution>, FeedError>| match read {
        Ok(entry) => contributions.extend(entry),
        Err(error) => notes.push(unreadable(feed, &error)),
    };
    for (feed, body) in bodies {
        take(*feed, table(*feed, body, now));
    }
    let winds = wind::contributions(bodies, now);
    contributions.extend(winds.contributions);
    notes.extend(winds.notes);
    (contributions, winds.upstream)
}

/// The note for a body that cannot be read.
pub(super) fn unreadable(feed: FeedId, error: &FeedError) -> String {
    format!("{feed} cannot be read and is not used: {error}")
}

/// A feed that stands for itself.
fn table(feed: FeedId, body: &[u8], now: Timestamp) -> Result<Option<Contribution>, FeedError> {
    let name = feed.as_str();
    let entry = match feed {
        FeedId::GfzKp => kp_table(feed, body, GFZ_KP_ATTRIBUTION, now)?,
        FeedId::NoaaKp3h => kp_table(feed, body, "estimated planetary K index", now)?,
        FeedId::NoaaKpForecast => kp_table(feed, body, "Kp forecast", now)?,
        FeedId::NoaaKp1m => {
            let minutes = parse_kp_minutes(body, name)?;
            let as_of = minutes.minutes().newest().map(|minute| minute.at);
            entry(feed, "1-minute estimate of planetary K", as_of, minutes.intervals(), now)
        }
        FeedId::NoaaHemiPower => {
            let power = parse_hemispheric_power(body, name)?;
            let newest = power.newest().map(|sample| sample.observed_at.unwrap_or(sample.valid_at));
            let samples = power.samples.iter();
            let samples: Vec<PowerAt> = samples
                .filter_map(|sample| Some(PowerAt { at: sample.valid_at, power_gw: sample.power_gw()? }))
                .collect();
            entry(feed, "hemispheric power of the short-term model", newest, power_intervals(&samples), now)
        }
        FeedId::Noaa3Day => {
            let forecast = parse_three_day(body, name)?;
            let first = forecast.intervals.first().map(|interval| interval.from);
            entry(feed, "3-day forecast", forecast.issued_at.or(first), forecast.intervals, now)
        }
        FeedId::Noaa27Day => {
            let outlook = parse_long_range(body, name)?;
            let intervals = outlook.intervals();
            let first = intervals.first().map(|interval| interval.from);
            entry(feed, "27-day outlook", outlook.issued_at.or(first), intervals, now)
        }
        // read together
        FeedId::NoaaRtswMag | FeedId::NoaaRtswWind | FeedId::NoaaPropagated
        // where the model has aurora is no activity
        | FeedId::NoaaOvation
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
    Ok(entry(feed, label, newest, series.intervals, now))
}

/// What one source says, with its state by its own clock.
pub(super) fn entry(
    feed: FeedId,
    label: &str,
    as_of: Option<Timestamp>,
    intervals: Vec<KpInterval>,
    now: Timestamp,
) -> Contribution {
    let as_of = as_of.unwrap_or(now);
    let state: FeedState = feed.source().freshness.state(as_of, now);
    Contribution { feed, label: label.to_owned(), as_of, state, intervals }
}
