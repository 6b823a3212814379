//! The weather of a night: cloud by layer, wind, temperature and dew point, hour by hour, with who says so.

use quantity::{Fraction, GeoPosition, Horizontal, Timestamp};
use serde::{Deserialize, Serialize};

use crate::JobError;

/// Mean Earth radius, km (IUGG).
const EARTH_RADIUS_KM: f64 = 6371.0;
/// Height above ground at which a line of sight is taken to meet each layer, km: low cloud lies below 2 km, middle
/// cloud between 2 and 5 km, high cloud above 5 km (limits as MET Norway's forecasts define them).
const LAYER_KM: [f64; 3] = [1.2, 3.5, 8.0];
/// Share of high cloud that hides an aurora; the rest is veil through which it shines dimmed. The project's
/// judgement from the optical depths of cirrus, 0.03 to 3 (Sassen & Cho 1992).
const HIGH_CLOUD_OPAQUE: f64 = 0.6;
/// Lowest altitude at which a crossing with a layer is looked for, degrees.
const LOWEST_SIGHTLINE_DEG: f64 = 1.0;

/// Cloud cover, all of it and by layer; each is `None` where nobody said, and a layer that was not seen is not
/// a layer that is not there.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CloudCover {
    /// Share of the sky covered by any cloud.
    pub total: Option<Fraction>,
    /// Below 2 km above ground.
    pub low: Option<Fraction>,
    /// 2 to 5 km.
    pub medium: Option<Fraction>,
    /// Above 5 km.
    pub high: Option<Fraction>,
}

impl CloudCover {
    /// Whether nobody said anything.
    pub fn is_unknown(&self) -> bool {
        self.total.is_none() && self.layers().iter().all(Option::is_none)
    }

    /// Low, medium, high.
    pub fn layers(&self) -> [Option<Fraction>; 3] {
        [self.low, self.medium, self.high]
    }

    /// One number for words: the total, else the layers as if they overlapped at random.
    pub fn overall(&self) -> Option<Fraction> {
        self.total.or_else(|| {
            let known: Vec<f64> = self.layers().iter().flatten().map(|cover| cover.value()).collect();
            (!known.is_empty()).then(|| Fraction::clamped(1.0 - known.iter().map(|cover| 1.0 - cover).product::<f64>()))
        })
    }
}

/// The weather of one stretch of time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct WeatherHour {
    /// Start, UTC.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub from: Timestamp,
    /// End, UTC.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub to: Timestamp,
    /// Cloud.
    #[serde(default)]
    pub cloud: CloudCover,
    /// Share of the surroundings in fog.
    #[serde(default)]
    pub fog: Option<Fraction>,
    /// Air temperature at 2 m, °C.
    #[serde(default)]
    pub temperature_c: Option<f64>,
    /// Dew point at 2 m, °C.
    #[serde(default)]
    pub dew_point_c: Option<f64>,
    /// Mean wind at 10 m, m/s.
    #[serde(default)]
    pub wind_m_s: Option<f64>,
    /// Where the wind comes from, degrees from true north.
    #[serde(default)]
    pub wind_from_deg: Option<f64>,
    /// Gusts, m/s.
    #[serde(default)]
    pub gust_m_s: Option<f64>,
}

impl WeatherHour {
    /// A stretch of which nothing is known yet.
    pub fn unknown(from: Timestamp, to: Timestamp) -> Self {
        Self {
            from,
            to,
            cloud: CloudCover::default(),
            fog: None,
            temperature_c: None,
            dew_point_c: None,
            wind_m_s: None,
            wind_from_deg: None,
            gust_m_s: None,
        }
    }
}

/// The same forecast at another place, so that cloud can be judged where a line of sight crosses it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct WeatherAround {
    /// The place.
    pub position: GeoPosition,
    /// Its hours.
    pub hours: Vec<WeatherHour>,
}

/// The weather at a site against time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Weather {
    /// Who says so, with the attribution its licence asks for.
    pub source: String,
    /// When it was observed or issued, where known.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub issued_at: Option<Timestamp>,
    /// The hours, in order of time, not overlapping; gaps are allowed and said.
    pub hours: Vec<WeatherHour>,
    /// The same at places around, in any order; empty where only the site is forecast.
    #[serde(default)]
    pub around: Vec<WeatherAround>,
}

impl Weather {
    /// One cover for a stretch of time, as the person asking supposes.
    pub fn given_cloud(cover: Fraction, from: Timestamp, to: Timestamp) -> Self {
        let hour = WeatherHour {
            cloud: CloudCover { total: Some(cover), ..CloudCover::default() },
            ..WeatherHour::unknown(from, to)
        };
        Self { source: "given by hand".to_owned(), issued_at: None, hours: vec![hour], around: Vec::new() }
    }

    /// Nobody said anything about the weather.
    pub fn unknown() -> Self {
        Self { source: "nothing given".to_owned(), issued_at: None, hours: Vec::new(), around: Vec::new() }
    }

    /// The hour that holds an instant.
    pub fn at(&self, instant: Timestamp) -> Option<&WeatherHour> {
        hour_at(&self.hours, instant)
    }

    /// Chance that no cloud stands between a site and the aurora in a direction; `None` where no layer is known.
    ///
    /// Each layer is judged where the line of sight crosses its height, at the nearest place a forecast was given
    /// for; layers are taken as overlapping at random. A layer nobody spoke of counts as open, which the report's
    /// words say.
    pub fn clear_sightline(&self, site: GeoPosition, direction: Horizontal, instant: Timestamp) -> Option<Fraction> {
        let overhead = self.at(instant)?.cloud;
        if overhead.layers().iter().all(Option::is_none) {
            return overhead.total.map(|cover| sky::clear_sightline_chance(cover, direction.altitude_deg));
        }
        let mut clear = 1.0;
        for (layer, height_km) in LAYER_KM.into_iter().enumerate() {
            let hour = self.nearest(crossing(site, direction, height_km), instant)?;
            let fog = if layer == 0 { hour.fog } else { None };
            let cover =
                [hour.cloud.layers()[layer], fog].into_iter().flatten().map(Fraction::value).fold(0.0, f64::max);
            let opaque = if layer == 2 { cover * HIGH_CLOUD_OPAQUE } else { cover };
            clear *= sky::clear_sightline_chance(Fraction::clamped(opaque), direction.altitude_deg).value();
        }
        Some(Fraction::clamped(clear))
    }

    /// The forecast nearest to a place: the site's own, or one of those around.
    fn nearest(&self, place: Crossing, instant: Timestamp) -> Option<&WeatherHour> {
        let own = self.at(instant)?;
        let mut best = (place.from_site_km, own);
        for around in &self.around {
            let away_km = place.position.ground_km(around.position);
            if let Some(hour) = hour_at(&around.hours, instant).filter(|_| away_km < best.0) {
                best = (away_km, hour);
            }
        }
        Some(best.1)
    }

    /// Checks values and order.
    ///
    /// # Errors
    ///
    /// Hours that end before they start, overlap or go backwards; a wind, temperature or bearing no weather has.
    pub fn check(&self) -> Result<(), JobError> {
        check_hours("weather.hours", &self.hours)?;
        for (index, around) in self.around.iter().enumerate() {
            check_hours(&format!("weather.around[{index}].hours"), &around.hours)?;
        }
        Ok(())
    }
}

fn hour_at(hours: &[WeatherHour], instant: Timestamp) -> Option<&WeatherHour> {
    // hours are checked to be in order
    let after = hours.partition_point(|hour| hour.from <= instant);
    hours[..after].last().filter(|hour| instant < hour.to)
}

fn check_hours(field: &str, hours: &[WeatherHour]) -> Result<(), JobError> {
    for (index, hour) in hours.iter().enumerate() {
        let field = format!("{field}[{index}]");
        if hour.to <= hour.from {
            return Err(JobError::bad(field, "it ends before it starts", "give `to` later than `from`"));
        }
        if index > 0 && hours[index - 1].to > hour.from {
            return Err(JobError::bad(field, "it overlaps the one before", "give hours in order of time"));
        }
        let ranges = [
            ("temperature_c", hour.temperature_c, -95.0, 60.0, "°C"),
            ("dew_point_c", hour.dew_point_c, -100.0, 40.0, "°C"),
            ("wind_m_s", hour.wind_m_s, 0.0, 120.0, "m/s"),
            ("gust_m_s", hour.gust_m_s, 0.0, 150.0, "m/s"),
            ("wind_from_deg", hour.wind_from_deg, -360.0, 720.0, "degrees"),
        ];
        for (name, value, low, high, unit) in ranges {
            if let Some(value) = value {
                JobError::check(&format!("{field}.{name}"), value, low, high, unit)?;
            }
        }
    }
    Ok(())
}

/// Where a line of sight crosses a height.
#[derive(Clone, Copy)]
struct Crossing {
    position: GeoPosition,
    from_site_km: f64,
}

/// On a sphere: good to the width of a cloud.
fn crossing(site: GeoPosition, direction: Horizontal, height_km: f64) -> Crossing {
    let elevation = direction.altitude_deg.max(LOWEST_SIGHTLINE_DEG).to_radians();
    let radius = EARTH_RADIUS_KM;
    // the triangle of Earth's centre, observer and crossing (science of sightlines: g = 90° - e - asin(...))
    let central = std::f64::consts::FRAC_PI_2 - elevation - (radius * elevation.cos() / (radius + height_km)).asin();
    let azimuth = direction.azimuth_deg.to_radians();
    let latitude = site.latitude_deg().to_radians();
    let sine = latitude.sin() * central.cos() + latitude.cos() * central.sin() * azimuth.cos();
    let longitude = site.longitude_deg().to_radians()
        + (azimuth.sin() * central.sin() * latitude.cos()).atan2(central.cos() - latitude.sin() * sine);
    let latitude_deg = sine.clamp(-1.0, 1.0).asin().to_degrees();
    let longitude_deg = quantity::wrap_degrees_180(longitude.to_degrees());
    Crossing {
        // a place on the sphere is always one; the site stands in for a pole that rounding has passed
        position: GeoPosition::new(latitude_deg, longitude_deg, 0.0).unwrap_or(site),
        from_site_km: radius * central,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn share(value: f64) -> Option<Fraction> {
        Fraction::new(value).ok()
    }

    fn hour(cloud: CloudCover) -> WeatherHour {
        WeatherHour {
            cloud,
            ..WeatherHour::unknown("2026-03-14T20:00:00Z".parse().unwrap(), "2026-03-14T21:00:00Z".parse().unwrap())
        }
    }

    fn bay() -> GeoPosition {
        GeoPosition::new(69.0, 15.0, 0.0).unwrap()
    }

    fn at() -> Timestamp {
        "2026-03-14T20:30:00Z".parse().unwrap()
    }

    #[test]
    fn a_line_of_sight_meets_high_cloud_far_away_and_low_cloud_near() {
        // flat Earth: h / tan e; the curve shortens it a little
        let low = crossing(bay(), Horizontal::new(10.0, 0.0), 1.2);
        let high = crossing(bay(), Horizontal::new(10.0, 0.0), 8.0);
        assert!((low.from_site_km - 6.8).abs() < 0.1, "{}", low.from_site_km);
        assert!((high.from_site_km - 44.6).abs() < 0.6, "{}", high.from_site_km);
        assert!(high.position.latitude_deg() > 69.39 && (high.position.longitude_deg() - 15.0).abs() < 1e-9);
    }

    #[test]
    fn cloud_counts_where_the_line_of_sight_crosses_it() {
        let clear = CloudCover { low: share(0.0), medium: share(0.0), high: share(0.0), total: share(0.0) };
        let veiled = CloudCover { high: share(1.0), total: share(1.0), ..clear };
        let weather = Weather {
            source: "test".into(),
            issued_at: None,
            hours: vec![hour(clear)],
            around: vec![WeatherAround {
                position: GeoPosition::new(69.4, 15.0, 0.0).unwrap(),
                hours: vec![hour(veiled)],
            }],
        };
        let chance = |azimuth| weather.clear_sightline(bay(), Horizontal::new(10.0, azimuth), at()).unwrap().value();
        assert!(chance(0.0) < 0.2, "north under the veil: {}", chance(0.0));
        assert!((chance(180.0) - 1.0).abs() < 1e-12, "south is open: {}", chance(180.0));
        let overhead = weather.clear_sightline(bay(), Horizontal::new(89.0, 0.0), at()).unwrap().value();
        assert!((overhead - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_total_alone_is_taken_as_before() {
        let weather = Weather::given_cloud(
            Fraction::new(0.3).unwrap(),
            hour(CloudCover::default()).from,
            hour(CloudCover::default()).to,
        );
        let chance = weather.clear_sightline(bay(), Horizontal::new(10.0, 0.0), at()).unwrap().value();
        // cover 0.3 at 10 degrees leaves 0.42 (the project's own form, docs/outlook.md)
        assert!((chance - 0.425).abs() < 0.005, "{chance}");
        assert_eq!(weather.clear_sightline(bay(), Horizontal::new(10.0, 0.0), hour(CloudCover::default()).to), None);
    }

    #[test]
    fn hours_are_found_and_gaps_stay_gaps() {
        let mut weather = Weather::unknown();
        assert!(weather.at(at()).is_none());
        weather.hours = vec![hour(CloudCover::default())];
        assert!(weather.at(at()).is_some());
        assert!(weather.at("2026-03-14T19:59:59Z".parse().unwrap()).is_none());
        weather.hours.push(hour(CloudCover::default()));
        assert!(weather.check().unwrap_err().to_string().contains("weather.hours[1]"));
    }
}
