use quantity::{GeoPosition, Timestamp};
use serde::{Deserialize, Serialize};

use super::fingerprint::Fingerprint;
use super::own_word::OwnWord;
use crate::{Activity, JobError};

/// A picture that somebody sent, and what is known beside it; its bytes come separately.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DeskRequest {
    /// What the file is called.
    pub name: String,
    /// What the sender says of it.
    #[serde(default)]
    pub claim: DeskClaim,
    /// Kp around the claimed time, where it is known.
    #[serde(default)]
    pub activity: Option<Activity>,
    /// What own frames and kept outlooks said about the claimed time and place.
    #[serde(default)]
    pub own_word: OwnWord,
    /// Two places of the picture as shown that lie on the level horizon, px from the middle of its first pixel; the sky is
    /// on the side of the picture's top.
    #[serde(default)]
    pub horizon_px: Option<[[f64; 2]; 2]>,
    /// How far the camera, or the horizon given, may be from level, degrees (one deviation): 5 without a horizon and 1 with
    /// one where nothing is given.
    #[serde(default)]
    pub level_within_deg: Option<f64>,
    /// Other submissions and frames of earlier outings, to find copies of.
    #[serde(default)]
    pub others: Vec<KnownPicture>,
}

/// When and where a sender says that a picture was taken.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DeskClaim {
    /// When.
    #[serde(default)]
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub at: Option<Timestamp>,
    /// How exactly that is meant, minutes either way.
    #[serde(default = "half_an_hour")]
    pub within_minutes: f64,
    /// Where.
    #[serde(default)]
    pub position: Option<GeoPosition>,
    /// How exactly that is meant, km either way.
    #[serde(default = "a_parish")]
    pub within_km: f64,
}

impl Default for DeskClaim {
    fn default() -> Self {
        Self { at: None, within_minutes: half_an_hour(), position: None, within_km: a_parish() }
    }
}

fn half_an_hour() -> f64 {
    30.0
}

fn a_parish() -> f64 {
    25.0
}

/// A picture that is known already.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct KnownPicture {
    /// What it is called in the answer.
    pub id: String,
    /// What it looks like.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub fingerprint: Fingerprint,
}

impl DeskRequest {
    /// Checks everything the types cannot; ask it once, where the request comes in.
    ///
    /// # Errors
    ///
    /// A number out of range, an activity that cannot be.
    pub fn check(&self) -> Result<(), JobError> {
        JobError::check("claim.within_minutes", self.claim.within_minutes, 0.0, 1440.0, "minutes")?;
        JobError::check("claim.within_km", self.claim.within_km, 0.0, 2000.0, "km")?;
        if let Some(level) = self.level_within_deg {
            JobError::check("level_within_deg", level, 0.05, 45.0, "degrees")?;
        }
        for (index, place) in self.horizon_px.iter().flatten().flatten().enumerate() {
            JobError::check(&format!("horizon_px[{}][{}]", index / 2, index % 2), *place, -1e5, 1e5, "px")?;
        }
        self.activity.as_ref().map_or(Ok(()), Activity::check)
    }
}
