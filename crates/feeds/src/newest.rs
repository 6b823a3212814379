//! The time of a body's newest valid sample, feed by feed: what freshness goes by.

use job::ActivityKind;
use quantity::Timestamp;

use crate::noaa::{
    parse_hemispheric_power, parse_kp_minutes, parse_long_range, parse_precipitation_grid, parse_three_day,
};
use crate::solar_wind::{Measurements, Sample, parse_field, parse_plasma, parse_propagated};
use crate::weather::{parse_aviation_reports, parse_locationforecast, parse_nws_gridpoints};
use crate::{FeedError, FeedId, parse_kp};

/// The time of the newest valid sample of a feed's body, by its own clock; `None` where the feed has no time of its
/// own, which is shown as "not checked" and never as fresh.
///
/// * 3-hour Kp: the end of the newest interval that was observed, which may lie up to 3 hours ahead where the running
///   interval is published; forecast intervals do not count.
/// * Solar wind, also where it is moved to Earth: the time of measurement, of the spacecraft in charge.
/// * Precipitation grid and hemispheric power: the time of observation.
/// * Forecasts in words: the time of issue, else the start of what they are for.
///
/// `now` is the reference for reports that print only day and hour (METAR, TAF); it does not judge any age.
///
/// This is the one place that joins a feed to its parser: a new parser is entered in the match and nowhere else. A
/// body that gives an error here is kept aside and never replaces the last good one.
///
/// # Errors
///
/// The body is not what the feed should hold.
pub fn newest_sample(feed: FeedId, body: &[u8], now: Timestamp) -> Result<Option<Timestamp>, FeedError> {
    let name = feed.as_str();
    match feed {
        FeedId::NoaaKp3h | FeedId::NoaaKpForecast | FeedId::GfzKp => newest_kp(feed, body),
        FeedId::NoaaRtswMag => Ok(newest(&parse_field(body, name)?)),
        FeedId::NoaaRtswWind => Ok(newest(&parse_plasma(body, name)?)),
        FeedId::NoaaPropagated => Ok(newest(&parse_propagated(body, name)?)),
        FeedId::NoaaKp1m => Ok(newest(parse_kp_minutes(body, name)?.minutes())),
        FeedId::NoaaOvation => Ok(Some(parse_precipitation_grid(body, name)?.observed_at)),
        FeedId::NoaaHemiPower => Ok(newest(&parse_hemispheric_power(body, name)?)),
        FeedId::Noaa3Day => {
            let forecast = parse_three_day(body, name)?;
            Ok(forecast.issued_at.or_else(|| forecast.intervals.first().map(|interval| interval.from)))
        }
        FeedId::Noaa27Day => {
            let outlook = parse_long_range(body, name)?;
            Ok(outlook.issued_at.or_else(|| outlook.intervals().first().map(|interval| interval.from)))
        }
        FeedId::MetnoLocationforecast => Ok(parse_locationforecast(body, name)?.issued_at),
        // which cell a place belongs to has no time of its own
        FeedId::NwsPoints => Ok(None),
        FeedId::NwsGridpoints => Ok(parse_nws_gridpoints(body, name)?.issued_at),
        FeedId::Metar => {
            let reports = parse_aviation_reports(body, name, now)?;
            Ok(reports.metars.iter().map(|metar| metar.observed_at).max())
        }
        FeedId::Taf => {
            let reports = parse_aviation_reports(body, name, now)?;
            Ok(reports.tafs.iter().filter_map(|taf| taf.issued_at).max())
        }
    }
}

fn newest<S: Sample>(measured: &Measurements<S>) -> Option<Timestamp> {
    measured.newest().map(Sample::at)
}

fn newest_kp(feed: FeedId, body: &[u8]) -> Result<Option<Timestamp>, FeedError> {
    let series = parse_kp(body, feed.as_str())?;
    let observed = series.intervals.iter().filter(|interval| interval.kind != ActivityKind::Forecast);
    Ok(observed.map(|interval| interval.to).max())
}
