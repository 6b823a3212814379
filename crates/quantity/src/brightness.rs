use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

use crate::error::{QuantityError, checked};

/// Photons s⁻¹ m⁻² sr⁻¹ in one rayleigh: 10¹⁰ / 4π.
///
/// Hunten, Roach & Chamberlain, J. Atmos. Terr. Phys. 8, 345 (1956).
pub const PHOTONS_PER_RAYLEIGH_M2_S_SR: f64 = 1.0e10 / (4.0 * PI);

/// Surface brightness along a line of sight, in rayleighs: the currency of the whole program.
///
/// Zero or more, finite. What band or line it counts is said by the name of the field that holds it.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS), ts(as = "f64"))]
pub struct Rayleighs(f64);

impl Rayleighs {
    /// No light at all.
    pub const DARK: Self = Self(0.0);

    /// A brightness in rayleighs.
    ///
    /// # Errors
    ///
    /// Negative, infinite or not a number.
    pub fn new(rayleighs: f64) -> Result<Self, QuantityError> {
        checked("brightness in rayleighs", rayleighs, 0.0, f64::MAX).map(Self)
    }

    /// A brightness in kilorayleighs.
    ///
    /// # Errors
    ///
    /// As [`Rayleighs::new`].
    pub fn from_kilorayleighs(kilorayleighs: f64) -> Result<Self, QuantityError> {
        Self::new(kilorayleighs * 1000.0)
    }

    /// The value in rayleighs.
    pub fn rayleighs(self) -> f64 {
        self.0
    }

    /// The value in kilorayleighs.
    pub fn kilorayleighs(self) -> f64 {
        self.0 / 1000.0
    }

    /// Photon radiance, photons s⁻¹ m⁻² sr⁻¹.
    pub fn photon_radiance_m2_s_sr(self) -> f64 {
        self.0 * PHOTONS_PER_RAYLEIGH_M2_S_SR
    }
}

impl TryFrom<f64> for Rayleighs {
    type Error = QuantityError;
    fn try_from(value: f64) -> Result<Self, QuantityError> {
        Self::new(value)
    }
}

impl From<Rayleighs> for f64 {
    fn from(value: Rayleighs) -> Self {
        value.0
    }
}

/// The three auroral emissions the program follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum EmissionLine {
    /// N2+ first negative (0,1) band head at 427.8 nm, violet-blue.
    Blue4278,
    /// Atomic oxygen 557.7 nm, green.
    Green5577,
    /// Atomic oxygen 630.0 nm, red.
    Red6300,
}

impl EmissionLine {
    /// All three, by wavelength; the order of every per-line array in the program.
    pub const ALL: [Self; 3] = [Self::Blue4278, Self::Green5577, Self::Red6300];

    /// Wavelength in air, nm.
    pub fn wavelength_nm(self) -> f64 {
        match self {
            Self::Blue4278 => 427.8,
            Self::Green5577 => 557.7,
            Self::Red6300 => 630.0,
        }
    }
}

/// Brightness of the three lines along one line of sight, in kilorayleighs.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct LineBrightness {
    /// 427.8 nm, kR.
    pub blue_4278_kr: f64,
    /// 557.7 nm, kR.
    pub green_5577_kr: f64,
    /// 630.0 nm, kR.
    pub red_6300_kr: f64,
}

impl LineBrightness {
    /// The value of one line, kR.
    pub fn get_kr(&self, line: EmissionLine) -> f64 {
        match line {
            EmissionLine::Blue4278 => self.blue_4278_kr,
            EmissionLine::Green5577 => self.green_5577_kr,
            EmissionLine::Red6300 => self.red_6300_kr,
        }
    }

    /// All three multiplied by `factor`.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self {
            blue_4278_kr: self.blue_4278_kr * factor,
            green_5577_kr: self.green_5577_kr * factor,
            red_6300_kr: self.red_6300_kr * factor,
        }
    }

    /// All three, each multiplied by a factor of its own, in the order of [`EmissionLine::ALL`].
    #[must_use]
    pub fn scaled_by_line(&self, factors: [f64; 3]) -> Self {
        Self {
            blue_4278_kr: self.blue_4278_kr * factors[0],
            green_5577_kr: self.green_5577_kr * factors[1],
            red_6300_kr: self.red_6300_kr * factors[2],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_rayleigh_is_the_published_photon_radiance() {
        // 7.9577e8 photons s-1 m-2 sr-1: the definition evaluated to five digits.
        let one = Rayleighs::new(1.0).unwrap();
        assert!((one.photon_radiance_m2_s_sr() / 7.9577e8 - 1.0).abs() < 1e-5);
    }

    #[test]
    fn a_negative_or_endless_brightness_is_refused() {
        assert!(Rayleighs::new(-1.0).is_err());
        assert!(Rayleighs::new(f64::NAN).is_err());
        assert!(serde_json::from_str::<Rayleighs>("-3").is_err());
    }
}
