use quantity::{GeoPosition, Timestamp};
use serde::{Deserialize, Serialize};

use crate::{JobError, Kit};

/// A frame to look at; its bytes come beside it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct CheckRequest {
    /// What the file is called.
    pub name: String,
    /// Camera and lens, where they are known better than the file says.
    #[serde(default)]
    pub kit: Option<Kit>,
    /// Where it was taken; `None` leaves it to the file.
    #[serde(default)]
    pub position: Option<GeoPosition>,
    /// When it was taken; `None` leaves it to the file.
    #[serde(default)]
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub at: Option<Timestamp>,
    /// What time it is now: a clock that is far ahead of it is doubted or not believed; `None` believes every clock.
    #[serde(default)]
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub now: Option<Timestamp>,
    /// Half-flux diameter of the sharpest stars known of this lens on this camera, px.
    #[serde(default)]
    pub sharpest_hfd_px: Option<f64>,
}

/// Sharpest stars that somebody may claim, px: narrower ones are hot pixels, wider ones are no reference.
const SHARPEST_HFD_PX: (f64, f64) = (0.5, 100.0);

impl CheckRequest {
    /// Checks everything the types cannot; ask it once, where the request comes in.
    ///
    /// # Errors
    ///
    /// A kit that cannot be, a width out of range.
    pub fn check(&self) -> Result<(), JobError> {
        if let Some(kit) = &self.kit {
            kit.check()?;
        }
        if let Some(width) = self.sharpest_hfd_px {
            JobError::check("sharpest_hfd_px", width, SHARPEST_HFD_PX.0, SHARPEST_HFD_PX.1, "px")?;
        }
        Ok(())
    }
}
