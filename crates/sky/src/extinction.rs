//! Light lost in clear air, by wavelength and height of the site.
//!
//! **What it does not do:** cloud (see [`crate::CloudLayer`]), and water vapour, which matters only beyond 690 nm.

use serde::{Deserialize, Serialize};

use crate::airmass::{above_horizon_deg, pickering_2002};
use crate::photometry::V_WAVELENGTH_NM;

/// Wavelength of the component values, nm.
const REFERENCE_NM: f64 = 550.0;
/// Molecular scattering at 550 nm at sea level, magnitudes per airmass (Green 1992 after Hayes & Latham 1975).
const RAYLEIGH_MAG: f64 = 0.1451;
/// Scale height of the molecules, m (same source).
const RAYLEIGH_SCALE_M: f64 = 7996.0;
/// Power of the wavelength for molecules.
const RAYLEIGH_POWER: f64 = -4.0;
/// Aerosol at 550 nm at sea level in clear country air, magnitudes per airmass (same source).
const AEROSOL_MAG: f64 = 0.120;
/// Scale height of the aerosol, m (same source).
const AEROSOL_SCALE_M: f64 = 1500.0;
/// Power of the wavelength for aerosol (same source).
const AEROSOL_POWER: f64 = -1.3;
/// Ozone at 550 nm, magnitudes per airmass (same source).
const OZONE_MAG: f64 = 0.016;
/// Chappuis band of ozone relative to 550 nm, every 50 nm from 400 nm. The rounded shape of laboratory cross
/// sections; an error of 0.3 here is 0.005 mag.
const OZONE_SHAPE: [f64; 9] = [0.0, 0.05, 0.35, 1.0, 1.5, 0.75, 0.3, 0.15, 0.0];
/// First wavelength of [`OZONE_SHAPE`], nm.
const OZONE_FIRST_NM: f64 = 400.0;
/// Step of [`OZONE_SHAPE`], nm.
const OZONE_STEP_NM: f64 = 50.0;
/// Shortest wavelength with meaning, nm: below it the air is opaque.
const SHORTEST_NM: f64 = 300.0;
/// Longest wavelength with meaning, nm.
const LONGEST_NM: f64 = 1100.0;
/// Highest site, m.
const HIGHEST_M: f64 = 20_000.0;
/// Largest aerosol coefficient accepted, mag: dense smoke; more is fog and belongs to cloud.
const THICKEST_AEROSOL_MAG: f64 = 10.0;
/// One standard deviation of the clear-air coefficient from night to night, mag per airmass. Our judgement from the
/// spread 0.20 to 0.25 of clear sea-level sites, hazy nights left out.
pub const CLEAR_AIR_SIGMA_MAG: f64 = 0.05;
/// Default of [`Extinction::glow_loss`]. Our judgement: the middle of 0.5..1.
pub const GLOW_LOSS_DEFAULT: f64 = 0.75;

/// Extinction of clear air over one site: the parts at 550 nm in magnitudes per airmass.
///
/// # Source
///
/// Green, Int. Comet Quarterly 14, 55 (1992), after Hayes & Latham, Astrophys. J. 197, 593 (1975).
///
/// # Example
///
/// ```
/// use sky::Extinction;
///
/// let shore = Extinction::clear(0.0);
/// assert!((shore.coefficient_mag(557.7) - 0.27).abs() < 0.005);
/// assert!(shore.transmission(557.7, 10.0) < 0.26);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Extinction {
    /// Molecules, mag per airmass at 550 nm.
    pub rayleigh_mag: f64,
    /// Haze, dust, smoke, mag per airmass at 550 nm.
    pub aerosol_mag: f64,
    /// Ozone, mag per airmass at 550 nm.
    pub ozone_mag: f64,
    /// Share of the extinction that a glow filling the sky really loses, 0.5..=1.
    ///
    /// Extinction is mostly scattering. A star loses all the light scattered out of its beam; a glow that fills the sky
    /// gets part of it back from its own neighbourhood. 1 for a point or a narrow arc, 0.5 for a glow from
    /// horizon to horizon; the default 0.75 is our judgement. Values outside are brought inside.
    pub glow_loss: f64,
}

impl Extinction {
    /// Clear country air over a site `height_m` above the sea.
    pub fn clear(height_m: f64) -> Self {
        let height_m = if height_m.is_nan() { 0.0 } else { height_m.clamp(-500.0, HIGHEST_M) };
        Self {
            rayleigh_mag: RAYLEIGH_MAG * (-height_m / RAYLEIGH_SCALE_M).exp(),
            aerosol_mag: AEROSOL_MAG * (-height_m / AEROSOL_SCALE_M).exp(),
            ozone_mag: OZONE_MAG,
            glow_loss: GLOW_LOSS_DEFAULT,
        }
    }

    /// Air over a site `height_m` above the sea whose measured V coefficient is `v_mag`: the aerosol makes up the difference.
    ///
    /// A coefficient below that of pure air at that height thins the whole air in proportion: the measurement wins. NaN
    /// gives [`Extinction::clear`]; a negative coefficient counts as 0.
    pub fn from_v_coefficient(v_mag: f64, height_m: f64) -> Self {
        let clear = Self::clear(height_m);
        if v_mag.is_nan() {
            return clear;
        }
        let pure = Self { aerosol_mag: 0.0, ..clear };
        let excess_mag = v_mag - pure.v_mag();
        if excess_mag < 0.0 {
            let thinner = v_mag.max(0.0) / pure.v_mag();
            return Self { rayleigh_mag: pure.rayleigh_mag * thinner, ozone_mag: pure.ozone_mag * thinner, ..pure };
        }
        let at_reference_mag = excess_mag / (V_WAVELENGTH_NM / REFERENCE_NM).powf(AEROSOL_POWER);
        Self { aerosol_mag: at_reference_mag.min(THICKEST_AEROSOL_MAG), ..pure }
    }

    /// Magnitudes per airmass at a wavelength in nm (300..1100; brought inside).
    pub fn coefficient_mag(&self, wavelength_nm: f64) -> f64 {
        let nm = if wavelength_nm.is_nan() { REFERENCE_NM } else { wavelength_nm.clamp(SHORTEST_NM, LONGEST_NM) };
        let ratio = nm / REFERENCE_NM;
        not_negative(self.rayleigh_mag) * ratio.powf(RAYLEIGH_POWER)
            + not_negative(self.aerosol_mag) * ratio.powf(AEROSOL_POWER)
            + not_negative(self.ozone_mag) * ozone_shape(nm)
    }

    /// Height of the site, m, as the molecular part tells it: 0 at sea level, at most 20 000.
    pub fn height_m(&self) -> f64 {
        let share = not_negative(self.rayleigh_mag) / RAYLEIGH_MAG;
        (-RAYLEIGH_SCALE_M * share.ln()).clamp(-500.0, HIGHEST_M)
    }

    /// Magnitudes per airmass in the V band.
    pub fn v_mag(&self) -> f64 {
        self.coefficient_mag(V_WAVELENGTH_NM)
    }

    /// Share of a point's light that arrives from an altitude, 0..=1 (airmass of Pickering 2002).
    pub fn transmission(&self, wavelength_nm: f64, altitude_deg: f64) -> f64 {
        self.transmission_with(1.0, wavelength_nm, altitude_deg)
    }

    /// Share of a wide glow's light that arrives from an altitude, 0..=1: as [`Extinction::transmission`] with the
    /// coefficient times [`Extinction::glow_loss`].
    pub fn glow_transmission(&self, wavelength_nm: f64, altitude_deg: f64) -> f64 {
        let loss = if self.glow_loss.is_nan() { GLOW_LOSS_DEFAULT } else { self.glow_loss.clamp(0.5, 1.0) };
        self.transmission_with(loss, wavelength_nm, altitude_deg)
    }

    fn transmission_with(&self, share: f64, wavelength_nm: f64, altitude_deg: f64) -> f64 {
        let airmass = pickering_2002(above_horizon_deg(altitude_deg));
        10f64.powf(-0.4 * share * self.coefficient_mag(wavelength_nm) * airmass)
    }
}

fn not_negative(mag: f64) -> f64 {
    if mag.is_nan() { 0.0 } else { mag.clamp(0.0, THICKEST_AEROSOL_MAG) }
}

fn ozone_shape(wavelength_nm: f64) -> f64 {
    let steps = ((wavelength_nm - OZONE_FIRST_NM) / OZONE_STEP_NM).clamp(0.0, (OZONE_SHAPE.len() - 1) as f64);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0..=8 on the line above")]
    let index = (steps as usize).min(OZONE_SHAPE.len() - 2);
    let share = steps - index as f64;
    OZONE_SHAPE[index] * (1.0 - share) + OZONE_SHAPE[index + 1] * share
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_measured_coefficient_is_given_back() {
        for (v_mag, height_m) in [(0.172, 4200.0), (0.25, 0.0), (0.45, 300.0), (0.08, 0.0), (0.0, 0.0)] {
            let air = Extinction::from_v_coefficient(v_mag, height_m);
            assert!((air.v_mag() - v_mag).abs() < 1e-12, "{v_mag} at {height_m} m gives {}", air.v_mag());
        }
    }

    #[test]
    fn a_glow_loses_less_than_a_star() {
        let air = Extinction::clear(100.0);
        for altitude_deg in [0.0, 5.0, 20.0, 90.0] {
            assert!(air.glow_transmission(557.7, altitude_deg) > air.transmission(557.7, altitude_deg));
        }
    }

    #[test]
    fn air_thins_with_height_and_blue_loses_more() {
        assert!(Extinction::clear(2000.0).v_mag() < Extinction::clear(0.0).v_mag());
        let air = Extinction::clear(0.0);
        assert!(air.coefficient_mag(427.8) > air.coefficient_mag(557.7));
        assert!(air.coefficient_mag(557.7) > air.coefficient_mag(630.0));
    }
}
