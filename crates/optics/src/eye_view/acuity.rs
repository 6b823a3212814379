//! How fine a detail an eye can resolve.

/// Finest grating an eye resolves at a luminance, cycles per degree.
///
/// 2 at a dark sky, 3 at 1e-3 cd m⁻², 30 by lamplight, 50 by day.
///
/// * `luminance_cd_m2`: that the eye is adapted to; below 1e-5 (or not a number) counts as 1e-5.
///
/// # Source
///
/// Fit of G. Ward Larson, H. Rushmeier & C. Piatko, IEEE Trans. Vis. Comput. Graph. 3, 291 (1997), eq. 12, to S. Shlaer,
/// J. Gen. Physiol. 21, 165 (1937); constants from memory.
///
/// ```
/// assert!((optics::acuity_cycles_per_deg(1e-3) - 3.0).abs() < 0.1);
/// ```
pub fn acuity_cycles_per_deg(luminance_cd_m2: f64) -> f64 {
    17.25 * (1.4 * luminance_cd_m2.max(1e-5).log10() + 0.35).atan() + 25.72
}

/// Share of the contrast of a grating that is left: a tenth at the finest one that is resolved, along a Gaussian.
///
/// A tenth because a black and white grating at the limit is just told from grey (judgement).
pub(super) fn contrast_left(cycles_per_deg: f64, finest_cycles_per_deg: f64) -> f64 {
    let ratio = cycles_per_deg / finest_cycles_per_deg;
    (-std::f64::consts::LN_10 * ratio * ratio).exp()
}
