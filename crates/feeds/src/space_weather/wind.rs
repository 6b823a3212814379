//! What the measured solar wind says of the coming hour.

use jiff::SignedDuration;
use job::{UpstreamWind, WindAtEarth, solar_wind_intervals};
use quantity::Timestamp;

use super::contribution::Contribution;
use super::notes::minute;
use super::reading::{entry, unreadable};
use crate::solar_wind::{SolarWind, parse_field, parse_plasma, parse_propagated};
use crate::{FeedError, FeedId, FeedState};

/// The time the activity is averaged over; a change of spacecraft within it may be a step of the instruments.
const AVERAGED: SignedDuration = SignedDuration::from_hours(3);

/// What the wind says, and what is to be said of it.
#[derive(Default)]
pub(super) struct Winds {
    pub(super) contributions: Vec<Contribution>,
    /// As last measured, where that is not too old.
    pub(super) upstream: Option<UpstreamWind>,
    pub(super) notes: Vec<String>,
}

/// The wind at L1 and the wind moved to Earth, as far as they are at hand.
pub(super) fn contributions(bodies: &[(FeedId, &[u8])], now: Timestamp) -> Winds {
    let body_of = |feed: FeedId| bodies.iter().find(|(id, _)| *id == feed).map(|(_, body)| *body);
    let (mag, wind, moved) = (FeedId::NoaaRtswMag, FeedId::NoaaRtswWind, FeedId::NoaaPropagated);
    let measured = match (body_of(mag), body_of(wind)) {
        (Some(field), Some(plasma)) => Some(joined(field, plasma)),
        (Some(field), None) => Some(Err(alone(mag, parse_field(field, mag.as_str()).err(), wind))),
        (None, Some(plasma)) => Some(Err(alone(wind, parse_plasma(plasma, wind.as_str()).err(), mag))),
        (None, None) => None,
    };
    let propagated = body_of(moved).map(|body| parse_propagated(body, moved.as_str()).map(SolarWind::from));
    let propagated = propagated.map(|wind| wind.map_err(|error| unreadable(moved, &error)));
    let mut winds = Winds::default();
    for (feed, wind) in [(mag, measured), (moved, propagated)] {
        let Some(wind) = wind else { continue };
        match wind.and_then(|wind| Ok((on_its_way(feed, &wind, now)?, wind))) {
            Ok(((entry, upstream), wind)) => {
                winds.notes.extend(switch_note(&wind).filter(|_| entry.is_current()));
                winds.contributions.push(entry);
                winds.upstream = winds.upstream.or(upstream);
            }
            Err(note) => winds.notes.push(note),
        }
    }
    winds
}

/// One half of the wind, good or bad, without the other.
fn alone(feed: FeedId, error: Option<FeedError>, absent: FeedId) -> String {
    error.map_or_else(
        || format!("The solar wind is not used: {absent} is not at hand, and {feed} says nothing alone."),
        |error| unreadable(feed, &error),
    )
}

fn joined(field: &[u8], plasma: &[u8]) -> Result<SolarWind, String> {
    let (mag, wind) = (FeedId::NoaaRtswMag, FeedId::NoaaRtswWind);
    let field = parse_field(field, mag.as_str()).map_err(|error| unreadable(mag, &error))?;
    let plasma = parse_plasma(plasma, wind.as_str()).map_err(|error| unreadable(wind, &error))?;
    Ok(SolarWind::join(&field, &plasma))
}

/// The newest change of spacecraft in the time that is averaged.
fn switch_note(wind: &SolarWind) -> Option<String> {
    let newest = wind.newest()?.at;
    let switch = wind.switches().pop().filter(|switch| newest.duration_since(switch.at) < AVERAGED)?;
    let name = |spacecraft: Option<String>| spacecraft.unwrap_or_else(|| "an unnamed spacecraft".to_owned());
    Some(format!(
        "The solar wind is measured by {} since {} UTC and was by {} before: a step there may be the instruments'.",
        name(switch.to),
        minute(switch.at),
        name(switch.from)
    ))
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
