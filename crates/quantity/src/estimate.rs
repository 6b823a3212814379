use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// Where a number comes from, in falling order of trust.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum Basis {
    /// Measured by an instrument and reported as such.
    Measured,
    /// Computed from a published model or formula.
    Model,
    /// A judgement or a default; nobody measured it.
    Assumed,
}

/// A number with its likely range: `low..=high` holds about 68 % (one standard deviation each way).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct Estimate {
    /// Best value; its unit is in the name of the field that holds the estimate.
    pub value: f64,
    /// Lower end of the 68 % range.
    pub low: f64,
    /// Upper end of the 68 % range.
    pub high: f64,
    /// Where it comes from.
    pub basis: Basis,
}

impl Estimate {
    /// `value` with the same error each way.
    pub fn symmetric(value: f64, sigma: f64, basis: Basis) -> Self {
        Self { value, low: value - sigma, high: value + sigma, basis }
    }

    /// `value` with an error of `sigma_dex` in its decimal logarithm; `value` must be 0 or more.
    pub fn logarithmic(value: f64, sigma_dex: f64, basis: Basis) -> Self {
        let factor = 10f64.powf(sigma_dex);
        Self { value, low: value / factor, high: value * factor, basis }
    }

    /// The same in a unit `factor` times smaller (0.2 of the sky is 20 %); `factor` must be 0 or more.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self { value: factor * self.value, low: factor * self.low, high: factor * self.high, ..self }
    }
}

/// How fresh an input was when it was used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum InputState {
    /// Current when used.
    Fresh,
    /// Older than its source promises, used all the same.
    Stale,
    /// Given by the person asking.
    Given,
    /// Nothing was given; a default was used.
    Assumed,
    /// A record of the past, used as such.
    Record,
}

/// One input of a report: what it was, who says so, and how old it was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct InputNote {
    /// What it is, in words ("Kp", "cloud cover").
    pub name: String,
    /// Who says so, with licence and attribution where one is due.
    pub source: String,
    /// When it was observed or issued; `None` where that is not known.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub observed_at: Option<Timestamp>,
    /// Age in minutes at the time of asking; negative if it was issued for a later time. `None` without a time.
    pub age_minutes: Option<f64>,
    /// How fresh.
    pub state: InputState,
}
