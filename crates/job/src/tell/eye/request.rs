use serde::{Deserialize, Serialize};

use crate::{CheckRequest, JobError};

/// A frame to be seen with an eye's limits; its bytes come beside it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct TellEyeRequest {
    /// The frame, as a check takes it.
    pub frame: CheckRequest,
    /// Minutes that the person had been without white light.
    #[serde(default = "half_an_hour")]
    pub minutes_since_white_light: f64,
    /// How much more contrast the person needs than one in the laboratory: 2 is typical, 1.4 trained, 2.4 hurried.
    #[serde(default = "typical")]
    pub field_factor: f64,
    /// Longest side of the pictures, px.
    #[serde(default = "screen")]
    pub longest_px: u32,
}

fn half_an_hour() -> f64 {
    30.0
}

fn typical() -> f64 {
    optics::TYPICAL_FIELD_FACTOR
}

fn screen() -> u32 {
    1200
}

impl Default for TellEyeRequest {
    fn default() -> Self {
        Self {
            frame: CheckRequest::default(),
            minutes_since_white_light: half_an_hour(),
            field_factor: typical(),
            longest_px: screen(),
        }
    }
}

impl TellEyeRequest {
    /// Checks everything the types cannot; ask it once, where the request comes in.
    ///
    /// # Errors
    ///
    /// A number out of range, or what [`CheckRequest::check`] refuses.
    pub fn check(&self) -> Result<(), JobError> {
        self.frame.check()?;
        JobError::check("minutes_since_white_light", self.minutes_since_white_light, 0.0, 1440.0, "minutes")?;
        JobError::check("field_factor", self.field_factor, 0.5, 10.0, "times the laboratory's contrast")?;
        JobError::check("longest_px", f64::from(self.longest_px), 64.0, 4096.0, "px")?;
        Ok(())
    }
}
