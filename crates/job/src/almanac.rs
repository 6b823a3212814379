use jiff::civil::Date;
use quantity::{GeoPosition, Horizontal, Timestamp};
use serde::{Deserialize, Serialize};

use crate::JobError;

/// What the almanac is asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct AlmanacRequest {
    /// The instant.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub at: Timestamp,
    /// The place.
    pub position: GeoPosition,
}

/// Where a body stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct BodyPosition {
    /// Altitude of the centre without air, degrees.
    pub altitude_deg: f64,
    /// Altitude as seen through standard air, degrees.
    pub apparent_altitude_deg: f64,
    /// Azimuth from true north through east, degrees.
    pub azimuth_deg: f64,
    /// Distance from the observer, km.
    pub distance_km: f64,
}

/// A named star or planet in the sky.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct NamedPosition {
    /// Its name.
    pub name: String,
    /// V magnitude (planets: estimate).
    pub magnitude: f64,
    /// Altitude as seen, degrees.
    pub apparent_altitude_deg: f64,
    /// Azimuth, degrees.
    pub azimuth_deg: f64,
}

/// Whether the sun rises and sets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum SunState {
    /// It sets or rises in the window.
    Normal,
    /// It never sets: polar day.
    PolarDay,
    /// It never rises: polar night.
    PolarNight,
}

/// Whether the moon rises and sets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum MoonState {
    /// It rises or sets in the window.
    Normal,
    /// Up all the while.
    UpThroughout,
    /// Down all the while.
    DownThroughout,
}

/// How dark it is, by the sun's altitude.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum DarknessClass {
    /// Sun up.
    Day,
    /// Sun 0.83 to 6 degrees down.
    Civil,
    /// 6 to 12.
    Nautical,
    /// 12 to 18.
    Astronomical,
    /// More than 18.
    Dark,
}

impl DarknessClass {
    /// The class for an airless altitude of the sun's centre, degrees.
    pub fn from_sun_altitude_deg(sun_altitude_deg: f64) -> Self {
        match sun_altitude_deg {
            a if a > -0.8333 => Self::Day,
            a if a > -6.0 => Self::Civil,
            a if a > -12.0 => Self::Nautical,
            a if a > -18.0 => Self::Astronomical,
            _ => Self::Dark,
        }
    }
}

/// The times of one night: from local mean solar noon of its date to the next noon.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct NightTimes {
    /// Date of the noon that opens the night.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub date: Date,
    /// The opening noon, UTC.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub from: Timestamp,
    /// The closing noon, UTC.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub to: Timestamp,
    /// Sun's upper limb goes down.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub sunset: Option<Timestamp>,
    /// Sun 6 degrees down.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub civil_dusk: Option<Timestamp>,
    /// 12 degrees down.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub nautical_dusk: Option<Timestamp>,
    /// 18 degrees down.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub astronomical_dusk: Option<Timestamp>,
    /// 18 degrees down, rising.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub astronomical_dawn: Option<Timestamp>,
    /// 12 degrees down, rising.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub nautical_dawn: Option<Timestamp>,
    /// 6 degrees down, rising.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub civil_dawn: Option<Timestamp>,
    /// Sun's upper limb comes up.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub sunrise: Option<Timestamp>,
    /// Moon's upper limb comes up.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub moonrise: Option<Timestamp>,
    /// Moon's upper limb goes down.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub moonset: Option<Timestamp>,
    /// Whether the sun rises and sets.
    pub sun_state: SunState,
    /// Whether the moon rises and sets.
    pub moon_state: MoonState,
    /// The darkest it gets.
    pub darkest: DarknessClass,
}

/// What the almanac answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct AlmanacReport {
    /// The request it answers.
    pub request: AlmanacRequest,
    /// How dark it is at that instant.
    pub darkness: DarknessClass,
    /// The sun.
    pub sun: BodyPosition,
    /// The moon.
    pub moon: BodyPosition,
    /// Angle sun-moon-observer, degrees: 0 full, 180 new.
    pub moon_phase_angle_deg: f64,
    /// Share of the disc that is lit.
    pub moon_lit_fraction: f64,
    /// Whether it grows.
    pub moon_waxing: bool,
    /// The phase in words.
    pub moon_phase: String,
    /// Times of the night this instant belongs to.
    pub night: NightTimes,
    /// Planets above the horizon, brightest first.
    pub planets: Vec<NamedPosition>,
    /// Named stars brighter than magnitude 2 above the horizon, brightest first.
    pub stars: Vec<NamedPosition>,
    /// Polar day, polar night, no darkness: said plainly, one sentence each.
    pub remarks: Vec<String>,
}

/// Magnitude down to which named stars are listed.
const LISTED_STAR_MAGNITUDE: f64 = 2.0;
/// Kilometres in an astronomical unit (IAU 2012 B2).
const AU_KM: f64 = 149_597_870.7;

/// Sun, moon, planets and stars at an instant, and the times of the night it belongs to.
///
/// # Errors
///
/// An instant outside the years the series hold for.
#[expect(clippy::needless_pass_by_value, reason = "every verb takes its request")]
pub fn almanac(request: AlmanacRequest) -> Result<AlmanacReport, JobError> {
    let AlmanacRequest { at, position } = request;
    let bodies = sky::sun_moon(at, position).map_err(|error| JobError::bad("at", error.to_string(), error.hint()))?;
    let night = night_times(night_of(at, position), position)?;
    let sun_altitude_deg = bodies.sun.horizontal.altitude_deg;
    let heavens =
        sky::ObserverSky::new(at, position).map_err(|error| JobError::bad("at", error.to_string(), error.hint()))?;
    Ok(AlmanacReport {
        darkness: DarknessClass::from_sun_altitude_deg(sun_altitude_deg),
        sun: body(bodies.sun.horizontal, bodies.sun.distance_au * AU_KM),
        moon: body(bodies.moon.horizontal, bodies.moon.distance_km),
        moon_phase_angle_deg: bodies.moon.phase_angle_deg,
        moon_lit_fraction: bodies.moon.lit_fraction.value(),
        moon_waxing: bodies.moon.is_waxing(),
        moon_phase: phase_in_words(bodies.moon.lit_fraction.value(), bodies.moon.is_waxing()).to_owned(),
        remarks: remarks(&night),
        planets: planets_up(&heavens),
        stars: stars_up(&heavens),
        night,
        request: AlmanacRequest { at, position },
    })
}

/// Date of the night an instant belongs to: that of the last local mean solar noon.
pub(crate) fn night_of(at: Timestamp, position: GeoPosition) -> Date {
    const DAY_S: f64 = 86_400.0;
    let solar_s = at.as_second() as f64 + position.longitude_deg() * 240.0;
    let day = ((solar_s - DAY_S / 2.0) / DAY_S).floor();
    #[expect(clippy::cast_possible_truncation, reason = "a jiff timestamp is within 10 000 years")]
    let noon_s = (day * DAY_S + DAY_S / 2.0) as i64;
    Timestamp::from_second(noon_s).unwrap_or(at).to_zoned_datetime(jiff::tz::TimeZone::UTC).date()
}

/// Times of one night.
///
/// # Errors
///
/// A date outside the years the series hold for.
pub fn night_times(date: Date, position: GeoPosition) -> Result<NightTimes, JobError> {
    let night = sky::night(date, position).map_err(|error| JobError::bad("night", error.to_string(), error.hint()))?;
    Ok(NightTimes {
        date,
        from: night.window_start,
        to: night.window_end,
        sunset: night.sunset,
        civil_dusk: night.civil_dusk,
        nautical_dusk: night.nautical_dusk,
        astronomical_dusk: night.astronomical_dusk,
        astronomical_dawn: night.astronomical_dawn,
        nautical_dawn: night.nautical_dawn,
        civil_dawn: night.civil_dawn,
        sunrise: night.sunrise,
        moonrise: night.moonrise,
        moonset: night.moonset,
        sun_state: match night.sun_state {
            sky::SunState::Normal => SunState::Normal,
            sky::SunState::PolarDay => SunState::PolarDay,
            sky::SunState::PolarNight => SunState::PolarNight,
        },
        moon_state: match night.moon_state {
            sky::MoonState::Normal => MoonState::Normal,
            sky::MoonState::UpAll => MoonState::UpThroughout,
            sky::MoonState::DownAll => MoonState::DownThroughout,
        },
        darkest: DarknessClass::from_sun_altitude_deg(night.sun_lowest.altitude_deg),
    })
}

fn body(airless: Horizontal, distance_km: f64) -> BodyPosition {
    BodyPosition {
        altitude_deg: airless.altitude_deg,
        apparent_altitude_deg: sky::Air::default().apparent_altitude_deg(airless.altitude_deg),
        azimuth_deg: airless.azimuth_deg,
        distance_km,
    }
}

fn phase_in_words(lit: f64, waxing: bool) -> &'static str {
    match (lit, waxing) {
        (l, _) if l < 0.02 => "new moon",
        (l, _) if l > 0.98 => "full moon",
        (l, true) if l < 0.45 => "waxing crescent",
        (l, false) if l < 0.45 => "waning crescent",
        (l, true) if l <= 0.55 => "first quarter",
        (l, false) if l <= 0.55 => "last quarter",
        (_, true) => "waxing gibbous",
        (_, false) => "waning gibbous",
    }
}

/// Polar day and night and the missing of darkness, one sentence each.
fn remarks(night: &NightTimes) -> Vec<String> {
    let mut remarks = Vec::new();
    match night.sun_state {
        SunState::PolarDay => remarks.push("Polar day: the sun does not set.".to_owned()),
        SunState::PolarNight => remarks.push("Polar night: the sun does not rise.".to_owned()),
        SunState::Normal => {}
    }
    match night.darkest {
        DarknessClass::Day | DarknessClass::Civil => {
            remarks.push("It does not get dark: civil twilight or brighter all night.".to_owned());
        }
        DarknessClass::Nautical => remarks.push("It gets no darker than nautical twilight.".to_owned()),
        DarknessClass::Astronomical => remarks.push("It gets no darker than astronomical twilight.".to_owned()),
        DarknessClass::Dark => {}
    }
    match night.moon_state {
        MoonState::UpThroughout => remarks.push("The moon does not set.".to_owned()),
        MoonState::DownThroughout => remarks.push("The moon does not rise.".to_owned()),
        MoonState::Normal => {}
    }
    remarks
}

fn planets_up(heavens: &sky::ObserverSky) -> Vec<NamedPosition> {
    let mut up: Vec<NamedPosition> = sky::Planet::ALL
        .into_iter()
        .map(|planet| {
            let place = heavens.planet(planet);
            named(planet.name(), place.v_mag, place.horizontal)
        })
        .filter(|planet| planet.apparent_altitude_deg > 0.0)
        .collect();
    up.sort_by(|a, b| a.magnitude.total_cmp(&b.magnitude));
    up
}

fn stars_up(heavens: &sky::ObserverSky) -> Vec<NamedPosition> {
    heavens
        .bright_stars_up(LISTED_STAR_MAGNITUDE)
        .into_iter()
        .filter_map(|place| place.star.name().map(|name| named(name, place.star.v_mag, place.horizontal)))
        .collect()
}

fn named(name: &str, magnitude: f64, airless: Horizontal) -> NamedPosition {
    NamedPosition {
        name: name.to_owned(),
        magnitude,
        apparent_altitude_deg: sky::Air::default().apparent_altitude_deg(airless.altitude_deg),
        azimuth_deg: airless.azimuth_deg,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_instant_after_midnight_belongs_to_the_night_before() {
        let place = GeoPosition::new(69.0, 15.0, 0.0).unwrap();
        assert_eq!(night_of("2026-03-15T02:00:00Z".parse().unwrap(), place).to_string(), "2026-03-14");
        assert_eq!(night_of("2026-03-15T12:00:00Z".parse().unwrap(), place).to_string(), "2026-03-15");
        let dunedin = GeoPosition::new(-45.9, 170.5, 0.0).unwrap();
        // 10 UT is 21:22 local mean time of the same date.
        assert_eq!(night_of("2026-03-15T10:00:00Z".parse().unwrap(), dunedin).to_string(), "2026-03-15");
    }
}
