use thiserror::Error;

/// A value that cannot be what it claims to be.
///
/// Each variant names the thing, the value and the bound; [`QuantityError::hint`] names the remedy.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum QuantityError {
    /// A number lies outside the range in which its quantity has a meaning.
    #[error("{quantity} {value} is outside {low} to {high}")]
    OutOfRange {
        /// The quantity with its unit, as a person says it ("latitude in degrees").
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
}

impl QuantityError {
    /// What to do about it, for the terminal and the page alike.
    pub fn hint(&self) -> String {
        match self {
            Self::OutOfRange { quantity, low, high, .. } => {
                format!("give {quantity} between {low} and {high}")
            }
            Self::NotFinite { quantity } => format!("give {quantity} as a plain decimal number"),
        }
    }
}

/// Checks that `value` is finite and inside `low..=high`.
pub(crate) fn checked(quantity: &'static str, value: f64, low: f64, high: f64) -> Result<f64, QuantityError> {
    if !value.is_finite() {
        return Err(QuantityError::NotFinite { quantity });
    }
    if value < low || value > high {
        return Err(QuantityError::OutOfRange { quantity, value, low, high });
    }
    Ok(value)
}
