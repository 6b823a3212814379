//! The time of a body's newest valid sample, feed by feed: what freshness goes by.

use job::ActivityKind;
use quantity::Timestamp;

use crate::weather::{parse_locationforecast, parse_nws_gridpoints};
use crate::{FeedError, FeedId, parse_kp};

/// The time of the newest valid sample of a feed's body, by its own clock; `None` where no parser for this feed is
/// at hand, which is shown as "not checked" and never as fresh.
///
/// For 3-hour Kp it is the end of the newest interval that was observed, which may lie up to 3 hours ahead where the
/// running interval is published; forecast intervals do not count.
///
/// This is the one place that joins a feed to its parser: a new parser is entered in the match and nowhere else. A
/// body that gives an error here is kept aside and never replaces the last good one.
///
/// # Errors
///
/// The body is not what the feed should hold.
pub fn newest_sample(feed: FeedId, body: &[u8]) -> Result<Option<Timestamp>, FeedError> {
    match feed {
        FeedId::NoaaKp3h | FeedId::NoaaKpForecast | FeedId::GfzKp => newest_kp(feed, body),
        FeedId::NoaaRtswMag
        | FeedId::NoaaRtswWind
        | FeedId::NoaaPropagated
        | FeedId::NoaaKp1m
        | FeedId::NoaaOvation
        | FeedId::NoaaHemiPower
        | FeedId::Noaa3Day
        | FeedId::Noaa27Day
        // which cell a place belongs to has no time of its own
        | FeedId::NwsPoints
        | FeedId::Metar
        | FeedId::Taf => Ok(None),
        FeedId::MetnoLocationforecast => Ok(parse_locationforecast(body, feed.as_str())?.issued_at),
        FeedId::NwsGridpoints => Ok(parse_nws_gridpoints(body, feed.as_str())?.issued_at),
    }
}

fn newest_kp(feed: FeedId, body: &[u8]) -> Result<Option<Timestamp>, FeedError> {
    let series = parse_kp(body, feed.as_str())?;
    let observed = series.intervals.iter().filter(|interval| interval.kind != ActivityKind::Forecast);
    Ok(observed.map(|interval| interval.to).max())
}
