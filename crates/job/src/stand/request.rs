//! What `stand` is asked.

use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use crate::{Activity, JobError, Kit, Site, Weather};

/// Which way the camera is held.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum Orientation {
    /// Long side level.
    #[default]
    Landscape,
    /// Long side upright.
    Portrait,
}

impl Orientation {
    /// The other one.
    #[must_use]
    pub fn turned(self) -> Self {
        match self {
            Self::Landscape => Self::Portrait,
            Self::Portrait => Self::Landscape,
        }
    }

    /// "landscape", "portrait".
    pub fn label(self) -> &'static str {
        match self {
            Self::Landscape => "landscape",
            Self::Portrait => "portrait",
        }
    }
}

/// Where the camera points and how it is held.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct StandPointing {
    /// Azimuth of the middle of the picture, from true north through east, degrees.
    pub azimuth_deg: f64,
    /// Altitude of the middle of the picture, degrees.
    pub altitude_deg: f64,
    /// Tilt of the picture, degrees; positive raises the right-hand side of the camera. 0 is level.
    #[serde(default)]
    pub roll_deg: f64,
    /// How the camera is held.
    #[serde(default)]
    pub orientation: Orientation,
}

/// What `stand` is asked: one site, one instant, one kit, one pointing (or none: then the suggestion is used).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct StandRequest {
    /// The site, with its water and foreground.
    pub site: Site,
    /// The instant.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub at: Timestamp,
    /// The kit.
    pub kit: Kit,
    /// Where the camera points; none asks for the suggestion.
    #[serde(default)]
    pub pointing: Option<StandPointing>,
    /// What drives the aurora; an instant outside its intervals leaves the light unknown.
    pub activity: Activity,
    /// Cloud, wind, temperature, dew point.
    pub weather: Weather,
    /// Solar radio flux at 10.7 cm, solar flux units.
    #[serde(default = "default_f107")]
    pub f107: f64,
    /// Distance the lens is focused at, m; none is infinity.
    #[serde(default)]
    pub focus_m: Option<f64>,
}

/// A middling sun.
fn default_f107() -> f64 {
    120.0
}

impl StandRequest {
    /// Checks everything the types cannot; solar flux and instant are checked by the models that use them.
    pub(super) fn check(&self) -> Result<(), JobError> {
        self.site.check()?;
        self.kit.check()?;
        self.activity.check()?;
        self.weather.check()?;
        if let Some(pointing) = self.pointing {
            pointing.check()?;
        }
        if let Some(focus_m) = self.focus_m {
            // nothing focuses inside its own focal length; twice that is life size already
            let nearest_m = 2.0e-3 * self.kit.lens.focal_mm;
            JobError::check("focus_m", focus_m, nearest_m, 1e6, "m")?;
        }
        Ok(())
    }
}

impl StandPointing {
    fn check(self) -> Result<(), JobError> {
        JobError::check("pointing.azimuth_deg", self.azimuth_deg, -360.0, 720.0, "degrees")?;
        JobError::check("pointing.altitude_deg", self.altitude_deg, -90.0, 90.0, "degrees")?;
        JobError::check("pointing.roll_deg", self.roll_deg, -180.0, 180.0, "degrees")?;
        Ok(())
    }
}
