//! What `stand` is asked.

use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use crate::{Activity, FramePointing, JobError, Kit, Site, Weather};

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
    pub pointing: Option<FramePointing>,
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

impl FramePointing {
    fn check(self) -> Result<(), JobError> {
        JobError::check("pointing.azimuth_deg", self.azimuth_deg, -360.0, 720.0, "degrees")?;
        JobError::check("pointing.altitude_deg", self.altitude_deg, -90.0, 90.0, "degrees")?;
        JobError::check("pointing.roll_deg", self.roll_deg, -180.0, 180.0, "degrees")?;
        Ok(())
    }
}
