//! Units of the brightness of a patch of sky in the V band: magnitudes, luminance, nanolamberts, rayleighs per ångström.
//!
//! **One convention.** The working unit is the nanolambert, tied to magnitudes by Garstang's relation (as in
//! Krisciunas & Schaefer 1991) and to luminance by the definition of the lambert. At 22 mag arcsec⁻² this gives
//! 54.0 nL = 1.719e-4 cd m⁻². The common rule `L = 10.8e4 · 10^(-0.4 m)` gives 0.4 % less, Crumey's (2014)
//! `m = 12.58 - 2.5 log10 L` 0.8 % less (and 0.3 to 0.4 % less than the common rule). None is more right than the others: turning a V
//! magnitude into candelas depends on the spectrum of the light at the per cent level.
//!
//! **What it does not do:** camera channels (see the optics crate) and colour terms.

use std::f64::consts::PI;

/// Luminance of one nanolambert, cd m⁻²: 1 lambert = 10⁴/π cd m⁻².
pub const NANOLAMBERT_CD_M2: f64 = 1.0e-5 / PI;
/// Magnitude given for no light at all, so that no result is infinite: 10¹⁰ times fainter than any night.
pub const NO_LIGHT_MAG: f64 = 50.0;

/// Garstang 1989, Publ. Astron. Soc. Pac. 101, 306: `B = 34.08 exp(20.7233 - 0.92104 V)`, nL.
const GARSTANG_NL: f64 = 34.08;
/// Constant term of the exponent in the same relation.
const GARSTANG_OFFSET: f64 = 20.7233;
/// Slope of the exponent in the same relation, per magnitude (0.4 ln 10, rounded as published).
const GARSTANG_SLOPE: f64 = 0.92104;
/// Flux of V = 0 at 5510 Å, erg cm⁻² s⁻¹ Å⁻¹ (Bessell et al. 1998, Astron. Astrophys. 333, 231).
const V_ZERO_ERG_CM2_S_A: f64 = 3.631e-9;
/// Effective wavelength of the V band, cm.
const V_WAVELENGTH_CM: f64 = 5510.0e-8;
/// Effective wavelength of the V band, nm.
pub const V_WAVELENGTH_NM: f64 = 551.0;
/// Planck's constant times the speed of light, erg cm (exact SI values).
const PLANCK_LIGHT_ERG_CM: f64 = 1.986_445_857e-16;
/// Square arcseconds in a steradian.
const ARCSEC2_PER_SR: f64 = 4.254_517e10;
/// Photons cm⁻² s⁻¹ sr⁻¹ in one rayleigh: 10⁶/4π.
const PHOTONS_PER_RAYLEIGH: f64 = 1.0e6 / (4.0 * PI);

/// Surface brightness of a V magnitude per square arcsecond, nanolamberts. NaN counts as no light.
pub fn nanolamberts_from_mag(mag_arcsec2: f64) -> f64 {
    if mag_arcsec2.is_nan() {
        return 0.0;
    }
    GARSTANG_NL * (GARSTANG_OFFSET - GARSTANG_SLOPE * mag_arcsec2.clamp(-NO_LIGHT_MAG, NO_LIGHT_MAG)).exp()
}

/// V magnitude per square arcsecond of a brightness in nanolamberts; [`NO_LIGHT_MAG`] for none, for NaN and for less than nothing.
pub fn mag_from_nanolamberts(nanolamberts: f64) -> f64 {
    if nanolamberts > 0.0 {
        ((GARSTANG_OFFSET - (nanolamberts / GARSTANG_NL).ln()) / GARSTANG_SLOPE).clamp(-NO_LIGHT_MAG, NO_LIGHT_MAG)
    } else {
        NO_LIGHT_MAG
    }
}

/// Luminance of a V magnitude per square arcsecond, cd m⁻² (Garstang's relation; see the module for the 0.4 to 1 % between conventions).
pub fn luminance_cd_m2_from_mag(mag_arcsec2: f64) -> f64 {
    nanolamberts_from_mag(mag_arcsec2) * NANOLAMBERT_CD_M2
}

/// V magnitude per square arcsecond of a luminance in cd m⁻²; inverse of [`luminance_cd_m2_from_mag`].
pub fn mag_from_luminance_cd_m2(luminance_cd_m2: f64) -> f64 {
    mag_from_nanolamberts(luminance_cd_m2 / NANOLAMBERT_CD_M2)
}

/// Brightness per ångström at 5510 Å of a V magnitude per square arcsecond, R Å⁻¹.
///
/// Holds for a spectrum that is flat in energy near 551 nm; a sky with strong lines (airglow, lamps) differs by some 10 %.
pub fn rayleighs_per_angstrom_from_mag(mag_arcsec2: f64) -> f64 {
    if mag_arcsec2.is_nan() {
        return 0.0;
    }
    zero_mag_rayleighs_per_angstrom() * 10f64.powf(-0.4 * mag_arcsec2.clamp(-NO_LIGHT_MAG, NO_LIGHT_MAG))
}

/// V magnitude per square arcsecond of a brightness in R Å⁻¹ at 5510 Å; inverse of [`rayleighs_per_angstrom_from_mag`].
pub fn mag_from_rayleighs_per_angstrom(rayleighs_per_angstrom: f64) -> f64 {
    if rayleighs_per_angstrom > 0.0 {
        (-2.5 * (rayleighs_per_angstrom / zero_mag_rayleighs_per_angstrom()).log10()).clamp(-NO_LIGHT_MAG, NO_LIGHT_MAG)
    } else {
        NO_LIGHT_MAG
    }
}

fn zero_mag_rayleighs_per_angstrom() -> f64 {
    let photon_energy_erg = PLANCK_LIGHT_ERG_CM / V_WAVELENGTH_CM;
    V_ZERO_ERG_CM2_S_A * ARCSEC2_PER_SR / photon_energy_erg / PHOTONS_PER_RAYLEIGH
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of two logarithms and two exponentials.
    const ROUND_TRIP_MAG: f64 = 1e-9;

    #[test]
    fn every_conversion_has_its_inverse() {
        for mag in [-5.0, 3.6, 12.0, 18.0, 21.587, 22.0, 25.0] {
            assert!((mag_from_nanolamberts(nanolamberts_from_mag(mag)) - mag).abs() < ROUND_TRIP_MAG);
            assert!((mag_from_luminance_cd_m2(luminance_cd_m2_from_mag(mag)) - mag).abs() < ROUND_TRIP_MAG);
            assert!(
                (mag_from_rayleighs_per_angstrom(rayleighs_per_angstrom_from_mag(mag)) - mag).abs() < ROUND_TRIP_MAG
            );
        }
    }

    #[test]
    fn nothing_and_nonsense_are_dark_and_finite() {
        for brightness in [0.0, -1.0, f64::NAN] {
            assert_eq!(mag_from_nanolamberts(brightness).to_bits(), NO_LIGHT_MAG.to_bits());
            assert_eq!(mag_from_rayleighs_per_angstrom(brightness).to_bits(), NO_LIGHT_MAG.to_bits());
        }
        for mag in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(nanolamberts_from_mag(mag).is_finite());
            assert!(rayleighs_per_angstrom_from_mag(mag).is_finite());
        }
    }

    #[test]
    fn the_conventions_differ_by_less_than_one_per_cent() {
        for mag in [18.0, 20.0, 22.0] {
            let ours = luminance_cd_m2_from_mag(mag);
            let common = 10.8e4 * 10f64.powf(-0.4 * mag);
            let crumey = 10f64.powf((12.58 - mag) / 2.5);
            assert!((ours / common - 1.0).abs() < 0.005, "common rule {common} against {ours}");
            assert!((ours / crumey - 1.0).abs() < 0.010, "Crumey {crumey} against {ours}");
        }
    }
}
