use serde::{Deserialize, Serialize};

/// Lowest background the formulas are used at, cd m⁻²: a blindfold's worth of light.
pub const BACKGROUND_FLOOR_CD_M2: f64 = 1e-5;
/// Upper end of the scotopic formula, cd m⁻².
const SCOTOPIC_BELOW_CD_M2: f64 = 0.07;
/// Where the exponent begins to grow with the background, cd m⁻²: there 0.8861 + 0.4 log B reaches 0.6.
const EXPONENT_GROWS_FROM_CD_M2: f64 = 0.193;
/// Where the exponent's second piece begins, cd m⁻².
const EXPONENT_SECOND_PIECE_FROM_CD_M2: f64 = 3.40;
/// Largest patch, steradians: the whole sphere.
const SPHERE_SR: f64 = 4.0 * std::f64::consts::PI;
/// Square degrees in a steradian.
const DEG2_PER_SR: f64 = 3282.806350011744;
/// Smallest patch, square degrees: about a square arcsecond, where any patch is a point.
const SMALLEST_PATCH_DEG2: f64 = 1e-7;

/// Which of the published fits to use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ContrastRange {
    /// Rods: backgrounds below 0.07 cd m⁻², that is all night skies.
    Scotopic,
    /// Cones: backgrounds above about 0.2 cd m⁻².
    Photopic,
    /// One formula for all backgrounds, a few per cent off the other two.
    Full,
}

/// Contrast (excess over background) at which half of the looks find an even, sharp-edged patch, in the laboratory.
///
/// The patch was lit by lamps of 2850 K: for other spectra compare in rod units, see [`crate::visible_threshold`].
/// Multiply by a field factor (2 for a typical observer, 1.4 to 2.4).
///
/// * `background_cd_m2`: photopic luminance; below 1e-5 (or not a number) it counts as 1e-5.
/// * `patch_deg2`: solid angle of the patch, brought into 1e-7..=41 253.
///
/// # Source
///
/// A. Crumey, Mon. Not. R. Astron. Soc. 442, 2600 (2014), eq. 41 and its constants, fitted to Blackwell (1946) and
/// Taylor (1960).
pub fn contrast_threshold(range: ContrastRange, background_cd_m2: f64, patch_deg2: f64) -> f64 {
    let b = background_cd_m2.max(BACKGROUND_FLOOR_CD_M2);
    let area_sr = (patch_deg2.max(SMALLEST_PATCH_DEG2) / DEG2_PER_SR).min(SPHERE_SR);
    let x = b.sqrt().sqrt().recip();
    let (ricco_sr, c_inf) = match range {
        ContrastRange::Scotopic => ((6.505e-4 * x - 8.461e-4).powi(2), 7.633e-3 * x - 7.174e-3),
        ContrastRange::Photopic => ((1.772e-4 * x + 7.167e-5).powi(2), 2.720e-3),
        ContrastRange::Full => full_range(x),
    };
    // The scotopic fit turns negative above 1.28 cd m⁻²; it is not meant there, but must stay a number.
    combine(ricco_sr / area_sr, c_inf.max(f64::MIN_POSITIVE), range, b)
}

fn full_range(x: f64) -> (f64, f64) {
    let x2 = x * x;
    let r = (5.949e-8 * x2 - 2.389e-7 * x + 2.459e-7).sqrt() + 4.120e-4 * x - 4.225e-4;
    let c_inf = (9.606e-6 * x2 - 4.112e-5 * x + 5.019e-5).sqrt() + 4.837e-3 * x - 4.884e-3;
    (r * r, c_inf)
}

/// `(point^q + c_inf^q)^(1/q)`, written so that the night's own exponent 0.6 costs one power and one cube root.
fn combine(point: f64, c_inf: f64, range: ContrastRange, b: f64) -> f64 {
    let rods = range == ContrastRange::Scotopic || b < EXPONENT_GROWS_FROM_CD_M2;
    if rods {
        let sum = 1.0 + (point / c_inf).powf(0.6);
        let root = sum.cbrt();
        c_inf * sum * root * root
    } else {
        let q = exponent(b);
        c_inf * (1.0 + (point / c_inf).powf(q)).powf(q.recip())
    }
}

fn exponent(b: f64) -> f64 {
    if b >= EXPONENT_SECOND_PIECE_FROM_CD_M2 { 1.146 - 0.0885 * b.log10() } else { 0.8861 + 0.4 * b.log10() }
}

/// The contrast threshold with the fit that belongs to the background: scotopic for night skies, full-range above,
/// joined smoothly between 0.05 and 0.07 cd m⁻².
pub(crate) fn joined_contrast(background_cd_m2: f64, patch_deg2: f64) -> f64 {
    const JOIN_FROM_CD_M2: f64 = 0.05;
    if background_cd_m2 >= SCOTOPIC_BELOW_CD_M2 {
        return contrast_threshold(ContrastRange::Full, background_cd_m2, patch_deg2);
    }
    let rods = contrast_threshold(ContrastRange::Scotopic, background_cd_m2, patch_deg2);
    if background_cd_m2 <= JOIN_FROM_CD_M2 || background_cd_m2.is_nan() {
        return rods;
    }
    let share = (background_cd_m2 - JOIN_FROM_CD_M2) / (SCOTOPIC_BELOW_CD_M2 - JOIN_FROM_CD_M2);
    rods + share * (contrast_threshold(ContrastRange::Full, background_cd_m2, patch_deg2) - rods)
}

/// Magnitude of the faintest star seen on a background, by the scotopic fit (skies darker than about 15.5 mag arcsec⁻²).
///
/// # Source
///
/// Crumey (2014), as [`contrast_threshold`]; the paper states 6.93 for a field factor of 1 at 21.83 mag arcsec⁻².
pub fn faintest_star_mag(background_cd_m2: f64, field_factor: f64) -> f64 {
    let b = background_cd_m2.max(BACKGROUND_FLOOR_CD_M2);
    let flux = 6.505e-4 * b.sqrt().sqrt() - 8.461e-4 * b.sqrt();
    -13.99 - 2.5 * (field_factor.max(f64::MIN_POSITIVE) * flux * flux).log10()
}

/// Photopic luminance of a sky of so many magnitudes per square arcsecond, cd m⁻² (Crumey 2014: m = 12.58 - 2.5 log L).
pub fn sky_luminance_cd_m2(mag_arcsec2: f64) -> f64 {
    10f64.powf((12.58 - mag_arcsec2) / 2.5)
}
