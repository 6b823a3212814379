use quantity::{InputNote, InputState, Timestamp};
use serde::{Deserialize, Serialize};

use crate::JobError;

/// Minutes after which the short-term grid no longer speaks of the sky as it is: it holds for an hour.
const STALE_MINUTES: f64 = 60.0;

/// What an agency's short-term precipitation grid says along the meridian of a site: a second opinion, in the grid's own
/// number, which is no brightness and drives nothing here.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct PrecipitationOpinion {
    /// Who publishes it.
    pub source: String,
    /// When the solar wind behind it was measured.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub observed_at: Timestamp,
    /// When it holds.
    #[cfg_attr(feature = "typescript", ts(type = "string"))]
    pub valid_at: Timestamp,
    /// The number over the site, 0 to 100; none where the grid has none.
    pub overhead: Option<f64>,
    /// The greatest number on the site's meridian, 0 to 100.
    pub peak: f64,
    /// Geographic latitude of that greatest number, degrees.
    pub peak_latitude_deg: f64,
}

impl PrecipitationOpinion {
    /// Checks the values.
    ///
    /// # Errors
    ///
    /// A number outside 0 to 100, or a latitude that is none.
    pub(crate) fn check(&self) -> Result<(), JobError> {
        JobError::check("precipitation.peak", self.peak, 0.0, 100.0, "of 100")?;
        JobError::check("precipitation.overhead", self.overhead.unwrap_or(0.0), 0.0, 100.0, "of 100")?;
        JobError::check("precipitation.peak_latitude_deg", self.peak_latitude_deg, -90.0, 90.0, "degrees").map(|_| ())
    }

    /// What it says among the inputs.
    pub(crate) fn note(&self, asked_at: Timestamp) -> InputNote {
        let age_minutes = (asked_at.as_second() - self.observed_at.as_second()) as f64 / 60.0;
        let overhead = self.overhead.map_or_else(String::new, |value| format!(", {value:.0} over the site"));
        let lead_minutes = (self.valid_at.as_second() - self.observed_at.as_second()) / 60;
        InputNote {
            name: "Short-term grid, second opinion".to_owned(),
            source: format!(
                "{}: at most {:.0} of 100 on this meridian, at latitude {:.0}{overhead}, {lead_minutes} min ahead; the grid's own number, not a brightness",
                self.source, self.peak, self.peak_latitude_deg
            ),
            observed_at: Some(self.observed_at),
            age_minutes: Some(age_minutes),
            state: if age_minutes > STALE_MINUTES { InputState::Stale } else { InputState::Fresh },
        }
    }
}
