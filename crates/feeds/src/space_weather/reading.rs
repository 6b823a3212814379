//! From bodies to what each source says.

use job::{ActivityKind, KpInterval, PowerAt, UpstreamWind, WindAtEarth, power_intervals, solar_wind_intervals};
use quantity::Timestamp;

use super::contribution::Contribution;
use crate::agencies::GFZ_KP_ATTRIBUTION;
use crate::noaa::{parse_hemispheric_power, parse_kp_minutes, parse_long_range, parse_three_day};
use crate::solar_wind::{SolarWind, parse_field, parse_plasma, parse_propagated};
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
        Err(error) => notes.push(format!("{feed} cannot be read and is not used: {error}")),
    };
    for (feed, body) in bodies {
        take(*feed, table(*feed, body, now));
    }
    let body_of = |feed: FeedId| bodies.iter().find(|(id, _)| *id == feed).map(|(_, body)| *body);
    let mut winds = Vec::new();
    match (body_of(FeedId::NoaaRtswMag), body_of(FeedId::NoaaRtswWind)) {
        (Some(field), Some(plasma)) => winds.push((FeedId::NoaaRtswMag, joined(field, plasma))),
        (Some(field), None) => {
            let field = parse_field(field, FeedId::NoaaRtswMag.as_str());
            notes.push(alone(FeedId::NoaaRtswMag, field.err(), FeedId::NoaaRtswWind));
        }
        (None, Some(plasma)) => {
            let plasma = parse_plasma(plasma, FeedId::NoaaRtswWind.as_str());
            notes.push(alone(FeedId::NoaaRtswWind, plasma.err(), FeedId::NoaaRtswMag));
        }
        (None, None) => {}
    }
    if let Some(body) = body_of(FeedId::NoaaPropagated) {
        let wind = parse_propagated(body, FeedId::NoaaPropagated.as_str()).map(SolarWind::from);
        winds.push((FeedId::NoaaPropagated, wind.map_err(|error| unreadable(FeedId::NoaaPropagated, &error))));
    }
    let mut upstream = None;
    for (feed, wind) in winds {
        match wind.and_then(|wind| on_its_way(feed, &wind, now)) {
            Ok((entry, measured)) => {
                contributions.push(entry);
                upstream = upstream.or(measured);
            }
            Err(note) => notes.push(note),
        }
    }
    (contributions, upstream)
}

fn unreadable(feed: FeedId, error: &FeedError) -> String {
    format!("{feed} cannot be read and is not used: {error}")
}

/// One half of the wind, good or bad, without the other.
fn alone(feed: FeedId, error: Option<FeedError>, absent: FeedId) -> String {
    error.map_or_else(
        || format!("The solar wind is not used: {absent} is not at hand, and {feed} says nothing alone."),
        |error| unreadable(feed, &error),
    )
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
        // read together below
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

fn entry(
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

fn joined(field: &[u8], plasma: &[u8]) -> Result<SolarWind, String> {
    let (mag, wind) = (FeedId::NoaaRtswMag, FeedId::NoaaRtswWind);
    let field = parse_field(field, mag.as_str()).map_err(|error| unreadable(mag, &error))?;
    let plasma = parse_plasma(plasma, wind.as_str()).map_err(|error| unreadable(wind, &error))?;
    Ok(SolarWind::join(&field, &plasma))
}

/// What a measured wind says of the coming hour; samples dated after now are not believed.
fn on_its_way(feed: FeedId, wind: &SolarWind, now: Timestamp) -> Result<(Contribution, Option<UpstreamWind>), String> {
    let freshness = feed.source().freshness;
    let is_dated_ahead = |at: Timestamp| freshness.state(at, now) == FeedState::AheadOfClock;
    let believed = wind.samples.iter().filter(|sample| !is_dated_ahead(sample.at));
    let newest = believed.clone().map(|sample| sample.at).max();
    let samples: Vec<WindAtEarth> = believed
        .map(|sample| WindAtEarth {
            arrives_at: sample.arrives_at,
            by_nt: sample.by_nt,
            bz_nt: sample.bz_nt,
            speed_km_s: sample.speed_km_s,
            density_cm3: sample.density_cm3,
        })
        .collect();
    let spacecraft = wind.spacecraft();
    let label = match (feed, spacecraft.is_empty()) {
        (FeedId::NoaaPropagated, _) => "solar wind moved to Earth".to_owned(),
        (_, true) => "solar wind at L1".to_owned(),
        (_, false) => format!("solar wind at L1 ({})", spacecraft.join(", ")),
    };
    let Some(newest) = newest.or_else(|| wind.newest().map(|sample| sample.at)) else {
        return Err(format!("The {label} is not used: field and plasma have no minutes in common."));
    };
    let entry = |intervals| entry(feed, &label, Some(newest), intervals, now);
    match solar_wind_intervals(&samples, now) {
        Ok(intervals) => {
            let entry = entry(intervals);
            let upstream = entry.is_current().then(|| UpstreamWind::of(&samples, &label, newest)).flatten();
            Ok((entry, upstream))
        }
        // too old or dated ahead: the note about its age says so
        Err(_) if !entry(Vec::new()).is_current() => Ok((entry(Vec::new()), None)),
        Err(problem) => Err(format!("The {label} is not used: {problem}.")),
    }
}
