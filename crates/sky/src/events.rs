//! One night at one place: sunset, twilights, sunrise, moonrise and moonset.

use jiff::Timestamp;
use jiff::civil::Date;
use quantity::GeoPosition;
use serde::{Deserialize, Serialize};

use crate::crossing::{Curve, Direction};
use crate::error::SkyError;
use crate::frame::{Ground, Turning, length};
use crate::moon::moon_semidiameter_deg;
use crate::series::{Arguments, moon_ecliptic, sun_ecliptic};
use crate::time::{Clocks, DAY_S, FIRST_YEAR, LAST_YEAR, timestamp_to_second, unix_s};

/// Airless altitude of the Sun's centre at sunset and sunrise, degrees: 34' of refraction and 16' of disc.
pub const SUNSET_ALTITUDE_DEG: f64 = -0.8333;
/// End of civil twilight, degrees.
pub const CIVIL_ALTITUDE_DEG: f64 = -6.0;
/// End of nautical twilight, degrees.
pub const NAUTICAL_ALTITUDE_DEG: f64 = -12.0;
/// End of astronomical twilight, degrees.
pub const ASTRONOMICAL_ALTITUDE_DEG: f64 = -18.0;
/// Refraction at the horizon, degrees, by convention.
const HORIZON_REFRACTION_DEG: f64 = 34.0 / 60.0;

/// What the Sun does between two noons.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SunState {
    /// It rises or sets.
    Normal,
    /// It never sets.
    PolarDay,
    /// It never rises.
    PolarNight,
}

/// What the Moon does between two noons.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MoonState {
    /// It rises or sets.
    Normal,
    /// It is up the whole time.
    UpAll,
    /// It stays below the horizon.
    DownAll,
}

/// How dark the sky gets, or is, by the Sun alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Darkness {
    /// The Sun is up.
    SunUp,
    /// Sun between the horizon and -6°: too bright for any aurora but the strongest.
    Bright,
    /// Sun between -6° and -12°.
    Civil,
    /// Sun between -12° and -18°.
    Nautical,
    /// Sun below -18°: as dark as it gets.
    Astro,
}

impl Darkness {
    /// The class for an airless altitude of the Sun's centre.
    pub fn from_sun_altitude_deg(altitude_deg: f64) -> Self {
        match altitude_deg {
            a if a > SUNSET_ALTITUDE_DEG => Self::SunUp,
            a if a > CIVIL_ALTITUDE_DEG => Self::Bright,
            a if a > NAUTICAL_ALTITUDE_DEG => Self::Civil,
            a if a > ASTRONOMICAL_ALTITUDE_DEG => Self::Nautical,
            _ => Self::Astro,
        }
    }
}

/// An extreme of the Sun's altitude.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Extreme {
    /// When.
    pub at: Timestamp,
    /// Airless altitude of the centre, degrees.
    pub altitude_deg: f64,
}

/// One night at one place, from noon to noon by the Sun.
///
/// Each time is the first crossing of its kind in the window, rounded to a second, or `None` when there is none. Against
/// JPL DE440 the times agree to 1 s where UT1 is known, and to a few seconds where Sun or Moon graze a level.
/// Times hold for a sea horizon and mean refraction: real air at the horizon shifts them by a minute, hills by more.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Night {
    /// Civil date of the noon at which the window begins.
    pub date: Date,
    /// Local mean solar noon, rounded to a minute.
    pub window_start: Timestamp,
    /// 24 h later.
    pub window_end: Timestamp,
    /// Sun's centre goes down through -0.8333°.
    pub sunset: Option<Timestamp>,
    /// Down through -6°.
    pub civil_dusk: Option<Timestamp>,
    /// Down through -12°.
    pub nautical_dusk: Option<Timestamp>,
    /// Down through -18°.
    pub astronomical_dusk: Option<Timestamp>,
    /// Up through -18°.
    pub astronomical_dawn: Option<Timestamp>,
    /// Up through -12°.
    pub nautical_dawn: Option<Timestamp>,
    /// Up through -6°.
    pub civil_dawn: Option<Timestamp>,
    /// Up through -0.8333°.
    pub sunrise: Option<Timestamp>,
    /// Moon's upper edge comes up: its centre at -(34' + semidiameter).
    pub moonrise: Option<Timestamp>,
    /// Moon's upper edge goes down.
    pub moonset: Option<Timestamp>,
    /// What the Sun does.
    pub sun_state: SunState,
    /// What the Moon does.
    pub moon_state: MoonState,
    /// Class of the darkest moment.
    pub darkest: Darkness,
    /// The Sun at its lowest.
    pub sun_lowest: Extreme,
    /// The Sun at its highest.
    pub sun_highest: Extreme,
}

/// The night that begins at local noon of `date`.
///
/// The window runs for 24 h from local mean solar noon (12:00 minus longitude/15 h, UTC), rounded to a minute, so that
/// `date` is the date on which the evening falls by the Sun, whatever the time zone.
///
/// # Errors
///
/// [`SkyError::DateOutOfRange`] unless the night lies within 1950 to 2099.
///
/// # Example
///
/// ```
/// use quantity::GeoPosition;
///
/// let abisko = GeoPosition::new(68.35, 18.83, 385.0)?;
/// let night = sky::night("2026-12-15".parse()?, abisko)?;
/// assert_eq!(night.sun_state, sky::SunState::PolarNight);
/// assert_eq!(night.darkest, sky::Darkness::Astro);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn night(date: Date, place: GeoPosition) -> Result<Night, SkyError> {
    let start_s = window_start_s(date, place)?;
    let end_s = start_s + DAY_S;
    let ground = Ground::new(place);
    let sun_height = |t: f64| sun_altitude_deg(t, ground);
    let sun = Curve::sample(start_s, end_s, sun_height);
    let moon_height = |t: f64| moon_clearance_deg(t, ground);
    let moon = Curve::sample(start_s, end_s, moon_height);
    let dusk = |level| sun.first(level, Direction::Down, sun_height).map(timestamp_to_second);
    let dawn = |level| sun.first(level, Direction::Up, sun_height).map(timestamp_to_second);
    let (sun_lowest, sun_highest) = (extreme(sun.lowest()), extreme(sun.highest()));
    Ok(Night {
        date,
        window_start: timestamp_to_second(start_s),
        window_end: timestamp_to_second(end_s),
        sunset: dusk(SUNSET_ALTITUDE_DEG),
        civil_dusk: dusk(CIVIL_ALTITUDE_DEG),
        nautical_dusk: dusk(NAUTICAL_ALTITUDE_DEG),
        astronomical_dusk: dusk(ASTRONOMICAL_ALTITUDE_DEG),
        astronomical_dawn: dawn(ASTRONOMICAL_ALTITUDE_DEG),
        nautical_dawn: dawn(NAUTICAL_ALTITUDE_DEG),
        civil_dawn: dawn(CIVIL_ALTITUDE_DEG),
        sunrise: dawn(SUNSET_ALTITUDE_DEG),
        moonrise: moon.first(0.0, Direction::Up, moon_height).map(timestamp_to_second),
        moonset: moon.first(0.0, Direction::Down, moon_height).map(timestamp_to_second),
        sun_state: sun_state(sun_lowest, sun_highest),
        moon_state: moon_state(moon.lowest().1, moon.highest().1),
        darkest: Darkness::from_sun_altitude_deg(sun_lowest.altitude_deg),
        sun_lowest,
        sun_highest,
    })
}

fn window_start_s(date: Date, place: GeoPosition) -> Result<f64, SkyError> {
    let error = SkyError::DateOutOfRange { date, first_year: FIRST_YEAR, last_year: LAST_YEAR };
    let inside = date > Date::constant(FIRST_YEAR, 1, 1) && date < Date::constant(LAST_YEAR, 12, 31);
    let midnight = date.at(0, 0, 0, 0).to_zoned_datetime(jiff::tz::TimeZone::UTC);
    match midnight {
        Ok(midnight) if inside => {
            let noon_min = (12.0 - place.longitude_deg() / 15.0) * 60.0;
            Ok(unix_s(midnight.timestamp()) + noon_min.round() * 60.0)
        }
        _ => Err(error),
    }
}

fn sun_altitude_deg(unix_s: f64, ground: Ground) -> f64 {
    let clocks = Clocks::from_unix_s(unix_s);
    let arguments = Arguments::at(&clocks);
    let turning = Turning::at(&clocks, &arguments);
    let sun_km = turning.equatorial_km(&sun_ecliptic(&arguments));
    altitude_deg(turning.horizon(ground).east_north_up_km(sun_km))
}

/// How far the Moon's upper edge stands above the refracted horizon, degrees.
fn moon_clearance_deg(unix_s: f64, ground: Ground) -> f64 {
    let clocks = Clocks::from_unix_s(unix_s);
    let arguments = Arguments::at(&clocks);
    let turning = Turning::at(&clocks, &arguments);
    let moon_km = turning.equatorial_km(&moon_ecliptic(&arguments));
    let seen_km = turning.horizon(ground).east_north_up_km(moon_km);
    altitude_deg(seen_km) + HORIZON_REFRACTION_DEG + moon_semidiameter_deg(length(seen_km))
}

fn altitude_deg([east, north, up]: [f64; 3]) -> f64 {
    up.atan2((east * east + north * north).sqrt()).to_degrees()
}

fn extreme((unix_s, altitude_deg): (f64, f64)) -> Extreme {
    Extreme { at: timestamp_to_second(unix_s), altitude_deg }
}

fn sun_state(lowest: Extreme, highest: Extreme) -> SunState {
    if lowest.altitude_deg > SUNSET_ALTITUDE_DEG {
        SunState::PolarDay
    } else if highest.altitude_deg < SUNSET_ALTITUDE_DEG {
        SunState::PolarNight
    } else {
        SunState::Normal
    }
}

fn moon_state(lowest_deg: f64, highest_deg: f64) -> MoonState {
    if lowest_deg > 0.0 {
        MoonState::UpAll
    } else if highest_deg < 0.0 {
        MoonState::DownAll
    } else {
        MoonState::Normal
    }
}
