use quantity::GeoPosition;
use serde::{Deserialize, Serialize};

use super::assumed::AssumedView;
use crate::{JobError, Kit};

/// Usual peak of green light, km: means of 114 to 117 km over Lapland, lower edge 105 (Whiter et al., *Ann. Geophys.* 41, 1, 2023).
const USUAL_HEIGHT_KM: f64 = 110.0;
/// How far that is off from night to night, km (our choice, to take in the lower edge and the means).
const USUAL_HEIGHT_SIGMA_KM: f64 = 10.0;

/// A sequence to read; its frames come beside it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ReadRequest {
    /// The folder or file it is from.
    #[serde(default)]
    pub name: String,
    /// The folders and files it is made of, where they are known: by them its frames are found again.
    #[serde(default)]
    pub inputs: Vec<String>,
    /// How far the camera's clock was said to be ahead of UTC, s, for files that do not say.
    #[serde(default)]
    pub utc_offset_s: Option<i32>,
    /// Where the camera stood; `None` takes what the frames say.
    #[serde(default)]
    pub position: Option<GeoPosition>,
    /// Height at which the light is taken to be, km, 60 to 1000.
    #[serde(default = "usual_height_km")]
    pub height_km: f64,
    /// One standard deviation of that height, km.
    #[serde(default = "usual_height_sigma_km")]
    pub height_sigma_km: f64,
    /// Azimuth of the keogram's line, degrees from true north through east; `None` is the magnetic meridian, poleward.
    #[serde(default)]
    pub azimuth_deg: Option<f64>,
    /// Camera and lens; where its lens was found on another frame, stars are only asked where it points.
    #[serde(default)]
    pub kit: Option<Kit>,
    /// Kp of the time, 0 to 9: forms are then set against the oval.
    #[serde(default)]
    pub kp: Option<f64>,
    /// Where the camera looked, for frames whose stars do not tell it.
    #[serde(default)]
    pub assumed: Option<AssumedView>,
}

fn usual_height_km() -> f64 {
    USUAL_HEIGHT_KM
}

fn usual_height_sigma_km() -> f64 {
    USUAL_HEIGHT_SIGMA_KM
}

impl Default for ReadRequest {
    fn default() -> Self {
        Self {
            name: String::new(),
            inputs: Vec::new(),
            utc_offset_s: None,
            position: None,
            height_km: USUAL_HEIGHT_KM,
            height_sigma_km: USUAL_HEIGHT_SIGMA_KM,
            azimuth_deg: None,
            kit: None,
            kp: None,
            assumed: None,
        }
    }
}

impl ReadRequest {
    /// Checks everything the types cannot; ask it once, where the request comes in.
    ///
    /// # Errors
    ///
    /// A height, an azimuth or a lens out of range.
    pub fn check(&self) -> Result<(), JobError> {
        JobError::check("height_km", self.height_km, 60.0, 1000.0, "km")?;
        JobError::check("height_sigma_km", self.height_sigma_km, 0.0, 500.0, "km")?;
        if let Some(azimuth_deg) = self.azimuth_deg {
            JobError::check("azimuth_deg", azimuth_deg, -360.0, 360.0, "degrees")?;
        }
        if let Some(kp) = self.kp {
            JobError::check("kp", kp, 0.0, 9.0, "a Kp")?;
        }
        if let Some(assumed) = &self.assumed {
            assumed.check()?;
        }
        self.kit.as_ref().map_or(Ok(()), Kit::check)
    }
}
