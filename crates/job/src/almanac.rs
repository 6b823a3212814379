use jiff::civil::Date;
use quantity::{GeoPosition, Timestamp};
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
