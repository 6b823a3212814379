//! Weather of any kind read here, told by its content.

use job::Weather;
use quantity::{GeoPosition, Timestamp};

use super::{
    GribFile, grib_weather, parse_aviation_reports, parse_locationforecast, parse_nws_gridpoints, places_around,
};
use crate::{FeedError, json};

const GRIB: &[u8] = b"GRIB";

/// The weather at a site out of stored answers or files, each a name for messages and its bytes.
///
/// Several GRIB files are read as one forecast (a file an hour is usual); of anything else give one: a
/// Locationforecast, a grid forecast of the US National Weather Service, or METAR and TAF as JSON or text. `now`
/// settles the month and year that reports of airfields leave out.
///
/// # Errors
///
/// As the parser of the kind found; several files that are not all GRIB.
pub fn weather_at(files: &[(&str, &[u8])], site: GeoPosition, now: Timestamp) -> Result<Weather, FeedError> {
    if files.iter().any(|(_, bytes)| bytes.starts_with(GRIB)) {
        let fields = files.iter().map(|(name, bytes)| GribFile::open(bytes, name)).collect::<Result<Vec<_>, _>>()?;
        return grib_weather(&fields.iter().collect::<Vec<_>>(), site, &places_around(site));
    }
    match files {
        [] => Err(FeedError::Empty { source_name: "weather".to_owned() }),
        [(name, bytes)] => one(bytes, name, site, now),
        [_, (name, _), ..] => Err(FeedError::NotWeather {
            source_name: (*name).to_owned(),
            expected: "GRIB, of which alone several files make one forecast",
            found: "it is something else".to_owned(),
        }),
    }
}

fn one(bytes: &[u8], name: &str, site: GeoPosition, now: Timestamp) -> Result<Weather, FeedError> {
    let text = String::from_utf8_lossy(bytes);
    let object = json::parse(&text, name).ok();
    let properties = object.as_ref().and_then(|value| value.get("properties"));
    match properties {
        Some(properties) if properties.get("timeseries").is_some() => parse_locationforecast(bytes, name),
        Some(_) => parse_nws_gridpoints(bytes, name),
        None => parse_aviation_reports(bytes, name, now)?.weather_at(site, name),
    }
}
