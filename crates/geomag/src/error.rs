use thiserror::Error;

/// Why a magnetic quantity could not be given.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum GeomagError {
    /// The field model does not cover the date.
    #[error("decimal year {decimal_year:.2} is outside the field model's span {first_year} to {last_year}")]
    OutsideSpan {
        /// What was asked for.
        decimal_year: f64,
        /// First year of the model.
        first_year: f64,
        /// Last year of the model.
        last_year: f64,
    },
    /// A number lies outside the range in which its quantity has a meaning here.
    #[error("{quantity} {value} is outside {low} to {high}")]
    OutOfRange {
        /// The quantity with its unit.
        quantity: &'static str,
        /// What was given.
        value: f64,
        /// Smallest value allowed.
        low: f64,
        /// Largest value allowed.
        high: f64,
    },
    /// Not a number, or infinite.
    #[error("{quantity} is not a finite number")]
    NotFinite {
        /// The quantity with its unit.
        quantity: &'static str,
    },
    /// The field line was followed for the greatest number of steps without reaching its highest point.
    #[error("the field line through {latitude_deg:.3}, {longitude_deg:.3} did not reach its apex in {steps} steps")]
    NoApex {
        /// Where it starts, degrees.
        latitude_deg: f64,
        /// Where it starts, degrees.
        longitude_deg: f64,
        /// Steps tried.
        steps: usize,
    },
    /// A grid cannot be made fine enough for the tolerance within its limit of nodes.
    #[error("a grid of {nodes} nodes errs by {reached_deg:.4} degrees, {tolerance_deg} wanted")]
    GridTooCoarse {
        /// Nodes of the finest grid allowed or tried.
        nodes: usize,
        /// Error of the last grid tried, degrees; infinite when none was.
        reached_deg: f64,
        /// What was wanted, degrees.
        tolerance_deg: f64,
    },
}

impl GeomagError {
    /// What to do about it, for the terminal and the page alike.
    pub fn hint(&self) -> String {
        match self {
            Self::OutsideSpan { first_year, last_year, .. } => {
                format!("use a date from {first_year} to {last_year}, or a newer release with a newer field model")
            }
            Self::OutOfRange { quantity, low, high, .. } => format!("give {quantity} between {low} and {high}"),
            Self::NotFinite { quantity } => format!("give {quantity} as a plain decimal number"),
            Self::NoApex { .. } => "move the point by a hundredth of a degree or raise it by a kilometre".to_owned(),
            Self::GridTooCoarse { .. } => "ask for a smaller region or a larger tolerance".to_owned(),
        }
    }
}

/// Checks that `value` is finite and inside `low..=high`.
pub(crate) fn checked(quantity: &'static str, value: f64, low: f64, high: f64) -> Result<f64, GeomagError> {
    if !value.is_finite() {
        return Err(GeomagError::NotFinite { quantity });
    }
    if value < low || value > high {
        return Err(GeomagError::OutOfRange { quantity, value, low, high });
    }
    Ok(value)
}
