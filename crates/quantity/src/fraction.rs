use serde::{Deserialize, Serialize};

use crate::error::{QuantityError, checked};

/// A share of a whole or a probability, 0..=1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS), ts(as = "f64"))]
pub struct Fraction(f64);

impl Fraction {
    /// Nothing.
    pub const NONE: Self = Self(0.0);
    /// All of it.
    pub const ALL: Self = Self(1.0);

    /// A fraction.
    ///
    /// # Errors
    ///
    /// Outside 0..=1 or not a number.
    pub fn new(value: f64) -> Result<Self, QuantityError> {
        checked("fraction", value, 0.0, 1.0).map(Self)
    }

    /// The nearest fraction: for results of arithmetic that may stray past the ends by rounding. NaN becomes 0.
    pub fn clamped(value: f64) -> Self {
        Self(if value.is_nan() { 0.0 } else { value.clamp(0.0, 1.0) })
    }

    /// The plain number.
    pub fn value(self) -> f64 {
        self.0
    }

    /// "3 in 10": the form in which the program says a probability to a person.
    pub fn in_ten(self) -> u8 {
        // 0..=10 by construction
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "rounded value is 0..=10")]
        let tenths = (self.0 * 10.0).round() as u8;
        tenths
    }
}

impl TryFrom<f64> for Fraction {
    type Error = QuantityError;
    fn try_from(value: f64) -> Result<Self, QuantityError> {
        Self::new(value)
    }
}

impl From<Fraction> for f64 {
    fn from(value: Fraction) -> Self {
        value.0
    }
}
