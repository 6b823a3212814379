use thiserror::Error;

/// Why a camera, lens or exposure cannot be worked with.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum OpticsError {
    /// A number that must be above zero is not, or is not finite.
    #[error("{quantity} is {value}, and must be a number above 0")]
    NotPositive {
        /// The quantity with its unit, in words.
        quantity: &'static str,
        /// What was given.
        value: f64,
    },
    /// A number lies outside the range in which it has a meaning.
    #[error("{quantity} {value} is outside {low} to {high}")]
    OutOfRange {
        /// The quantity with its unit, in words.
        quantity: &'static str,
        /// What was given.
        value: f64,
        /// Smallest value allowed.
        low: f64,
        /// Largest value allowed.
        high: f64,
    },
}

impl OpticsError {
    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::NotPositive { quantity, .. } => format!("give {quantity} as printed on the lens or in the manual"),
            Self::OutOfRange { quantity, low, high, .. } => format!("give {quantity} between {low} and {high}"),
        }
    }
}

/// Checks that `value` is finite and above zero.
pub(crate) fn positive(quantity: &'static str, value: f64) -> Result<(), OpticsError> {
    if value.is_finite() && value > 0.0 { Ok(()) } else { Err(OpticsError::NotPositive { quantity, value }) }
}

/// Checks that `value` is inside `low..=high`; NaN is not.
pub(crate) fn within(quantity: &'static str, value: f64, low: f64, high: f64) -> Result<(), OpticsError> {
    if (low..=high).contains(&value) { Ok(()) } else { Err(OpticsError::OutOfRange { quantity, value, low, high }) }
}
