//! Where a camera points and how it is held: one type for every verb that frames.

use serde::{Deserialize, Serialize};

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
pub struct FramePointing {
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

impl FramePointing {
    /// A level landscape picture, degrees.
    pub fn level(azimuth_deg: f64, altitude_deg: f64) -> Self {
        Self { azimuth_deg, altitude_deg, roll_deg: 0.0, orientation: Orientation::Landscape }
    }
}
