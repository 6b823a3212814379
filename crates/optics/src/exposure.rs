use quantity::EmissionLine;

use crate::luminance::line_luminance_per_kr;
use crate::sensor::Exposure;

/// Focal-plane exposure at mid-grey times the exposure index, lx s (ISO 12232, recommended exposure index).
const MID_GREY_LX_S: f64 = 10.0;
/// Focal-plane exposure at saturation times the saturation speed, lx s (ISO 12232).
const SATURATION_LX_S: f64 = 78.0;
/// Focal-plane illuminance per scene luminance times N² (ISO 12232: transmission, falloff and angle of a usual lens).
const LENS_FACTOR: f64 = 0.65;

/// Scene luminance that these settings place at mid-grey, cd m⁻²: `10 N² / 0.65 S t`.
///
/// By the standard's lamp and lens, not by this camera: [`crate::Shot`] is the physical way. Infinite for a zero time.
pub fn mid_grey_luminance_cd_m2(exposure: Exposure) -> f64 {
    metered_luminance_cd_m2(MID_GREY_LX_S, exposure)
}

/// Scene luminance at which these settings clip, cd m⁻²: 7.8 times mid-grey.
pub fn saturation_luminance_cd_m2(exposure: Exposure) -> f64 {
    metered_luminance_cd_m2(SATURATION_LX_S, exposure)
}

/// 557.7 nm brightness that these settings place at mid-grey, kR.
///
/// By luminance alone; a green pixel answers to the line about 0.84 times as much as to daylight of equal luminance.
pub fn mid_grey_kr(exposure: Exposure) -> f64 {
    mid_grey_luminance_cd_m2(exposure) / line_luminance_per_kr(EmissionLine::Green5577).photopic_cd_m2
}

/// 557.7 nm brightness at which these settings clip, kR; see [`mid_grey_kr`].
pub fn saturation_kr(exposure: Exposure) -> f64 {
    saturation_luminance_cd_m2(exposure) / line_luminance_per_kr(EmissionLine::Green5577).photopic_cd_m2
}

/// Exposure value `log2(N² / t)` of the settings, whatever the ISO.
pub fn exposure_value(exposure: Exposure) -> f64 {
    (exposure.f_number * exposure.f_number / exposure.seconds).log2()
}

fn metered_luminance_cd_m2(focal_plane_lx_s: f64, exposure: Exposure) -> f64 {
    focal_plane_lx_s * exposure.f_number * exposure.f_number / (LENS_FACTOR * exposure.iso * exposure.seconds)
}
