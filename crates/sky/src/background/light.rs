use serde::{Deserialize, Serialize};

use super::moonlight::MOON_SIGMA;
use super::natural::NATURAL_SIGMA;
use crate::photometry::{NANOLAMBERT_CD_M2, mag_from_nanolamberts, rayleighs_per_angstrom_from_mag};

/// Scotopic over photopic luminance of airglow and starlight. Estimate, ±0.3: between a 4700 K body (2.07) with
/// the green line added (which pulls down) and bluer starlight.
pub const NATURAL_SP_RATIO: f64 = 2.0;
/// The same for moonlit sky: 4100 K light (1.9) made bluer by scattering. Estimate, ±0.2.
pub const MOON_SP_RATIO: f64 = 2.2;
/// The same for twilight, a 6200 K body or bluer (2.4). Estimate, ±0.3.
pub const TWILIGHT_SP_RATIO: f64 = 2.4;
/// The same for town glow: sodium lamps 0.6, white lamps 1.2 to 1.6, mixed. Estimate, ±0.3.
pub const TOWN_SP_RATIO: f64 = 0.9;
/// Magnitudes for a small relative change: 2.5 / ln 10.
const MAG_PER_RELATIVE: f64 = 1.085_736;

/// Brightness of the sky in one direction without aurora, V band, part by part, nanolamberts.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct BackgroundLight {
    /// Airglow and starlight, nL.
    pub natural_nl: f64,
    /// Scattered moonlight, nL.
    pub moon_nl: f64,
    /// Twilight or daylight, nL, above the night sky.
    pub twilight_nl: f64,
    /// Town glow, nL.
    pub town_nl: f64,
    /// Relative error of the twilight.
    pub(super) twilight_sigma: f64,
    /// Relative error of the town glow.
    pub(super) town_sigma: f64,
}

impl BackgroundLight {
    /// All parts together, nL.
    pub fn total_nl(&self) -> f64 {
        self.natural_nl + self.moon_nl + self.twilight_nl + self.town_nl
    }

    /// All parts together, cd m⁻².
    pub fn total_cd_m2(&self) -> f64 {
        self.total_nl() * NANOLAMBERT_CD_M2
    }

    /// All parts together, V mag arcsec⁻².
    pub fn mag_arcsec2(&self) -> f64 {
        mag_from_nanolamberts(self.total_nl())
    }

    /// All parts together, R Å⁻¹ at 5510 Å: what a camera's channel is fed with.
    pub fn rayleigh_per_angstrom(&self) -> f64 {
        rayleighs_per_angstrom_from_mag(self.mag_arcsec2())
    }

    /// Scotopic luminance, cd m⁻²: each part with its own ratio to the photopic one.
    pub fn scotopic_cd_m2(&self) -> f64 {
        NANOLAMBERT_CD_M2
            * (self.natural_nl * NATURAL_SP_RATIO
                + self.moon_nl * MOON_SP_RATIO
                + self.twilight_nl * TWILIGHT_SP_RATIO
                + self.town_nl * TOWN_SP_RATIO)
    }

    /// One standard deviation of [`BackgroundLight::mag_arcsec2`]: the errors of the parts, taken as independent.
    pub fn sigma_mag(&self) -> f64 {
        let total = self.total_nl();
        if total <= 0.0 {
            return 0.0;
        }
        let parts = [
            self.natural_nl * NATURAL_SIGMA,
            self.moon_nl * MOON_SIGMA,
            self.twilight_nl * self.twilight_sigma,
            self.town_nl * self.town_sigma,
        ];
        MAG_PER_RELATIVE * parts.iter().fold(0.0, |length: f64, part| length.hypot(*part)) / total
    }
}
