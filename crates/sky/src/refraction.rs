//! How the air lifts what is seen near the horizon.

use quantity::Horizontal;
use serde::{Deserialize, Serialize};

/// Lowest airless altitude at which the formula is used as it stands, degrees. Below it the value there is kept.
const LOWEST_TRUE_ALTITUDE_DEG: f64 = -2.0;
/// Absolute zero, °C, as rounded in the formula.
const KELVIN_OFFSET: f64 = 273.0;

/// The air at the observer, as far as it bends light.
///
/// Pressure is what a barometer reads at the place, not reduced to sea level. Default: 1010 hPa and 10 °C, for which
/// the formulas were made.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Air {
    /// Station pressure, hPa.
    pub pressure_hpa: f64,
    /// Temperature, °C.
    pub temperature_c: f64,
}

impl Default for Air {
    fn default() -> Self {
        Self { pressure_hpa: 1010.0, temperature_c: 10.0 }
    }
}

impl Air {
    /// No air at all: airless and apparent altitude are the same.
    pub const NONE: Self = Self { pressure_hpa: 0.0, temperature_c: 10.0 };

    /// Refraction in degrees for an airless ("true") altitude.
    ///
    /// Sæmundsson 1986, *Sky & Telescope* 72, 70. Visual light. Against a numerical ray through a standard atmosphere:
    /// 0.003° above 5°, 0.02° between 0 and 1°. Below -2° nothing is seen but the value at -2° is kept, so that the
    /// apparent altitude is a steady function of the airless one. Physically impossible air counts as none.
    pub fn refraction_deg(self, airless_altitude_deg: f64) -> f64 {
        let h = airless_altitude_deg.clamp(LOWEST_TRUE_ALTITUDE_DEG, 90.0);
        let lift_arcmin = 1.02 / (h + 10.3 / (h + 5.11)).to_radians().tan() * self.density();
        (lift_arcmin / 60.0).max(0.0)
    }

    /// Apparent altitude in degrees of an airless one.
    pub fn apparent_altitude_deg(self, airless_altitude_deg: f64) -> f64 {
        airless_altitude_deg + self.refraction_deg(airless_altitude_deg)
    }

    /// Airless altitude in degrees of an apparent one: the exact inverse of [`Air::apparent_altitude_deg`].
    ///
    /// Starts from Bennett 1982, *Journal of Navigation* 35, 255, and mends it by Newton's method, so that a round trip
    /// returns where it began.
    pub fn airless_altitude_deg(self, apparent_altitude_deg: f64) -> f64 {
        let mut airless_deg = apparent_altitude_deg - self.bennett_refraction_deg(apparent_altitude_deg);
        for _ in 0..INVERSE_STEPS {
            let miss = self.apparent_altitude_deg(airless_deg) - apparent_altitude_deg;
            let ahead = self.apparent_altitude_deg(airless_deg + SLOPE_STEP_DEG);
            let slope = (ahead - self.apparent_altitude_deg(airless_deg)) / SLOPE_STEP_DEG;
            airless_deg -= miss / slope.max(SMALLEST_SLOPE);
        }
        airless_deg
    }

    /// Refraction in degrees for an apparent altitude by Bennett's formula alone.
    ///
    /// Within 0.07' of the Nautical Almanac's table at 1010 hPa and 10 °C, by its author.
    pub fn bennett_refraction_deg(self, apparent_altitude_deg: f64) -> f64 {
        let h = apparent_altitude_deg.clamp(LOWEST_TRUE_ALTITUDE_DEG, 90.0);
        let lift_arcmin = 1.0 / (h + 7.31 / (h + 4.4)).to_radians().tan() * self.density();
        (lift_arcmin / 60.0).max(0.0)
    }

    /// A direction as the eye and the camera see it.
    pub fn apparent(self, airless: Horizontal) -> Horizontal {
        Horizontal::new(self.apparent_altitude_deg(airless.altitude_deg), airless.azimuth_deg)
    }

    /// The direction without air of one that was seen.
    pub fn airless(self, apparent: Horizontal) -> Horizontal {
        Horizontal::new(self.airless_altitude_deg(apparent.altitude_deg), apparent.azimuth_deg)
    }

    /// Density relative to 1010 hPa and 10 °C.
    fn density(self) -> f64 {
        let kelvin = KELVIN_OFFSET + self.temperature_c;
        let density = self.pressure_hpa / 1010.0 * 283.0 / kelvin;
        if density.is_finite() && kelvin > 0.0 { density.clamp(0.0, DENSEST) } else { 0.0 }
    }
}

/// Newton steps of the inverse: three reach rounding error at the horizon.
const INVERSE_STEPS: usize = 6;
/// Step of the numerical slope, degrees.
const SLOPE_STEP_DEG: f64 = 1e-4;
/// Below the horizon in very dense air the slope of the formula falls; this keeps Newton's step finite.
const SMALLEST_SLOPE: f64 = 0.2;
/// Denser than any air at the ground (-90 °C, 1085 hPa gives 1.66): beyond it the input is a mistake.
const DENSEST: f64 = 2.0;
