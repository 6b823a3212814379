//! Which airfield speaks for a site, and what it says: its forecast, and first what was seen there.

use job::{Weather, WeatherHour};
use quantity::{GeoPosition, Timestamp};

use super::metar::Metar;
use super::reports::AviationReports;
use super::taf::{Taf, TafState};
use crate::FeedError;

/// An airfield further away than this says little of a site's cloud, km (judgement: a third of the width of a
/// mesoscale cloud field).
const SPEAKS_FOR_KM: f64 = 50.0;

impl AviationReports {
    /// The weather at a site as the nearest airfield sees and forecasts it: its newest observation while that holds,
    /// then its newest forecast.
    ///
    /// Where the answer names no places (plain text), its reports must be of one airfield, which is then taken at the
    /// word of whoever gave it.
    ///
    /// # Errors
    ///
    /// No airfield within 50 km, several without places, or neither an observation nor a forecast that can be used.
    pub fn weather_at(&self, site: GeoPosition, source_name: &str) -> Result<Weather, FeedError> {
        let (station, away_km) = self.nearest(site, source_name)?;
        let metar = self.metars.iter().filter(|metar| metar.station == station && !metar.nil);
        let metar = metar.max_by_key(|metar| metar.observed_at);
        let usable = |taf: &&Taf| taf.station == station && taf.state == TafState::Forecast;
        let taf = self.tafs.iter().filter(usable).max_by_key(|taf| taf.issued_at);
        let mut weather = match (metar, taf.map(Taf::to_weather).transpose()?) {
            (Some(metar), Some(forecast)) => join(metar, forecast),
            (Some(metar), None) => metar.to_weather(),
            (None, Some(forecast)) => forecast,
            (None, None) => return Err(nothing(source_name, format!("report of {station} that can be used"))),
        };
        if let Some(km) = away_km {
            weather.source = format!("{}, {km:.0} km away", weather.source);
        }
        Ok(weather)
    }

    /// The airfield nearest to a site and how far it is, km; the distance is unknown where no places came.
    fn nearest(&self, site: GeoPosition, source_name: &str) -> Result<(&str, Option<f64>), FeedError> {
        let by_distance = self.places.iter().map(|(station, place)| (station.as_str(), site.ground_km(*place)));
        if let Some((station, km)) = by_distance.min_by(|a, b| a.1.total_cmp(&b.1)) {
            return if km <= SPEAKS_FOR_KM {
                Ok((station, Some(km)))
            } else {
                Err(nothing(
                    source_name,
                    format!("airfield within {SPEAKS_FOR_KM} km; the nearest, {station}, is {km:.0} km away"),
                ))
            };
        }
        let mut stations = self.metars.iter().map(|m| &m.station).chain(self.tafs.iter().map(|t| &t.station));
        match stations.next() {
            Some(first) if stations.all(|other| other == first) => Ok((first, None)),
            Some(_) => Err(nothing(
                source_name,
                "one airfield alone: it has several, and does not say where they are".to_owned(),
            )),
            None => Err(nothing(source_name, "report".to_owned())),
        }
    }
}

fn nothing(source_name: &str, what: String) -> FeedError {
    FeedError::NoWeather { source_name: source_name.to_owned(), what }
}

/// What was seen, while it holds; then what is forecast.
fn join(metar: &Metar, forecast: Weather) -> Weather {
    let seen = metar.hour();
    let later = forecast.hours.into_iter().filter_map(|hour| from_on(hour, seen.to));
    Weather {
        source: format!("{}, then {}", metar.to_weather().source, forecast.source),
        issued_at: Some(metar.observed_at),
        hours: std::iter::once(seen).chain(later).collect(),
        around: Vec::new(),
    }
}

/// The part of an hour that begins at an instant or later.
fn from_on(hour: WeatherHour, instant: Timestamp) -> Option<WeatherHour> {
    (hour.to > instant).then(|| WeatherHour { from: hour.from.max(instant), ..hour })
}
