//! Twilight and daylight.
//!
//! The zenith follows Patat et al. 2006 from 5° to 15° of depression of the Sun, without their night sky. After 15° our
//! exponential takes over with equal value and slope and ends at 18°. Before 5° the slope of a second fit takes over, and from
//! sunset up our own approach to a bright day. The shape over the sky is ours.

use std::f64::consts::LN_10;

use quantity::{Horizontal, wrap_degrees_180};

use crate::airmass::above_horizon_deg;
use crate::extinction::Extinction;
use crate::photometry::nanolamberts_from_mag;

/// Scatter of the zenith polynomial between 5° and 15°, mag (Patat et al. 2006, Table 1).
pub const TWILIGHT_SIGMA_MAG: f64 = 0.18;
/// Error of our extensions before 5° and after 15°, and of the shape away from the zenith, mag. Our judgement.
const EXTENSION_SIGMA_MAG: f64 = 0.5;
/// Natural logarithm of one magnitude.
const LN_MAG: f64 = 0.4 * LN_10;
/// Depressions between which the polynomial holds, degrees.
const PATAT_RANGE_DEG: (f64, f64) = (5.0, 15.0);
/// Its coefficients in powers of depression minus 5°, V band.
const PATAT: [f64; 3] = [11.84, 1.518, -0.057];
/// Night sky inside the polynomial, V mag arcsec⁻²: mean of Paranal (Patat 2003, Astron. Astrophys. 400, 1183).
const PATAT_NIGHT_MAG: f64 = 21.6;
/// Height of Paranal, m.
const PATAT_HEIGHT_M: f64 = 2635.0;
/// Gain of twilight at a low site over Paranal (same paper: about 30 %).
const LOW_SITE_GAIN: f64 = 0.3;
/// Depression with no twilight left, degrees.
const NIGHT_DEG: f64 = 18.0;
/// Depression up to which the second form is used; from here to daylight our own approach, degrees.
const DAY_JOIN_DEG: f64 = -0.9;
/// Depressions over which the slope of the second form gives way to the polynomial's, degrees.
const SLOPE_BLEND_DEG: f64 = 1.0;
/// Zenith of a clear day, V mag arcsec⁻²: about 4000 cd m⁻². Ours, ±1 mag.
const DAY_MAG: f64 = 3.6;
/// Greatest gain toward the Sun on the horizon, mag.
const TOWARD_SUN_MAG: f64 = 2.5;
/// Share of it that remains by day.
const TOWARD_SUN_BY_DAY: f64 = 0.4;
/// Fall of the gain with elevation, degrees.
const TOWARD_SUN_FALL_DEG: f64 = 30.0;

/// Zenith brightness of a twilit sky *with* Paranal's night sky in it, V mag arcsec⁻²; sigma 0.18.
///
/// `11.84 + 1.518 x - 0.057 x²`, x = depression - 5°. Valid from 5° to 15°; brought inside, because beyond 18.3° the
/// parabola turns over.
///
/// # Source
///
/// Patat, Ugolnikov & Postylyakov, Astron. Astrophys. 455, 385 (2006), Table 1.
pub fn patat_zenith_mag(depression_deg: f64) -> f64 {
    let d = if depression_deg.is_nan() { PATAT_RANGE_DEG.1 } else { depression_deg };
    let x = d.clamp(PATAT_RANGE_DEG.0, PATAT_RANGE_DEG.1) - PATAT_RANGE_DEG.0;
    PATAT[0] + x * (PATAT[1] + x * PATAT[2])
}

/// Magnitudes by which the zenith of twilight is above the dark sky; the second, coarser form.
///
/// `((2.0635175 y + 1.246602) y - 9.4084495) y + 6.132725`, y = (depression - 9°)/9°. Valid from -0.9° to 18°, where
/// it is 0; brought inside. About 1 mag brighter than Patat's between 6° and 12°: only its slope is used here.
///
/// # Source
///
/// Thorstensen's fit, in his public almanac code.
pub fn thorstensen_above_dark_mag(depression_deg: f64) -> f64 {
    let d = if depression_deg.is_nan() { NIGHT_DEG } else { depression_deg };
    if d >= NIGHT_DEG {
        // the cubic itself still gives 0.03 there
        return 0.0;
    }
    let y = (d.max(DAY_JOIN_DEG) - 9.0) / 9.0;
    ((2.0635175 * y + 1.246602) * y - 9.4084495) * y + 6.132725
}

fn thorstensen_slope_mag_per_deg(depression_deg: f64) -> f64 {
    let y = (depression_deg - 9.0) / 9.0;
    ((3.0 * 2.0635175 * y + 2.0 * 1.246602) * y - 9.4084495) / 9.0
}

/// Zenith brightness of twilight or daylight alone, *without* the night sky, nL, for a high site (2635 m).
///
/// Falls all the way with the depression of the Sun in degrees (negative for a Sun above the horizon); 0 from 18° on.
pub fn zenith_twilight_nl(depression_deg: f64) -> f64 {
    let d = if depression_deg.is_nan() { NIGHT_DEG } else { depression_deg.clamp(-90.0, 90.0) };
    if d >= NIGHT_DEG {
        return 0.0;
    }
    let night_nl = nanolamberts_from_mag(PATAT_NIGHT_MAG);
    if d > PATAT_RANGE_DEG.1 {
        return last_light_nl(d, night_nl);
    }
    nanolamberts_from_mag(bright_zenith_mag(d)) - night_nl
}

/// From 15° to 18°: equal value and slope at 15°, nothing at 18°.
fn last_light_nl(depression_deg: f64, night_nl: f64) -> f64 {
    let (first, last) = PATAT_RANGE_DEG;
    let total_nl = nanolamberts_from_mag(patat_zenith_mag(last));
    let slope_mag_per_deg = PATAT[1] + 2.0 * PATAT[2] * (last - first);
    let start_nl = total_nl - night_nl;
    let decay_per_deg = LN_MAG * slope_mag_per_deg * total_nl / start_nl;
    let fade = 1.0 - smooth_step((depression_deg - last) / (NIGHT_DEG - last));
    start_nl * (-(depression_deg - last) * decay_per_deg).exp() * fade
}

/// Zenith up to 15°, V mag arcsec⁻², the night sky of Paranal included.
fn bright_zenith_mag(depression_deg: f64) -> f64 {
    if depression_deg >= PATAT_RANGE_DEG.0 {
        return patat_zenith_mag(depression_deg);
    }
    if depression_deg >= DAY_JOIN_DEG {
        return dusk_zenith_mag(depression_deg);
    }
    // the approach to daylight has the slope of the second form where it begins
    let start_mag = dusk_zenith_mag(DAY_JOIN_DEG);
    let excess_slope = PATAT[1] + thorstensen_slope_mag_per_deg(PATAT_RANGE_DEG.0);
    let blend_slope = excess_slope * ((DAY_JOIN_DEG - PATAT_RANGE_DEG.0) / SLOPE_BLEND_DEG).exp();
    let slope_mag_per_deg = blend_slope - thorstensen_slope_mag_per_deg(DAY_JOIN_DEG);
    let range_mag = start_mag - DAY_MAG;
    DAY_MAG + range_mag * (-(DAY_JOIN_DEG - depression_deg) * slope_mag_per_deg / range_mag).exp()
}

/// From -0.9° to 5°: the second form's rise above its own value at 5°, starting with the polynomial's slope.
fn dusk_zenith_mag(depression_deg: f64) -> f64 {
    let join_deg = PATAT_RANGE_DEG.0;
    let rise_mag = thorstensen_above_dark_mag(depression_deg) - thorstensen_above_dark_mag(join_deg);
    let excess_slope = PATAT[1] + thorstensen_slope_mag_per_deg(join_deg);
    let blend_mag = excess_slope * SLOPE_BLEND_DEG * (1.0 - ((depression_deg - join_deg) / SLOPE_BLEND_DEG).exp());
    PATAT[0] - rise_mag - blend_mag
}

/// Gain over the zenith in a direction, mag: up to 2.5 on the horizon above the Sun between 8° and 12° of depression, none
/// from 16° on, none at the zenith and opposite the Sun.
///
/// Our shape: `2.5 s(D) cos e exp(-e/30°) ((1 + cos Δaz)/2)²` with `s` rising smoothly from 0.4 by day to 1 at
/// 8° and falling to 0 between 12° and 16°.
pub fn toward_sun_mag(depression_deg: f64, altitude_deg: f64, azimuth_from_sun_deg: f64) -> f64 {
    let d = if depression_deg.is_nan() { 90.0 } else { depression_deg };
    let deepening = TOWARD_SUN_BY_DAY + (1.0 - TOWARD_SUN_BY_DAY) * smooth_step((d + 6.0) / 14.0);
    let strength = deepening * (1.0 - smooth_step((d - 12.0) / 4.0));
    let elevation_deg = above_horizon_deg(altitude_deg);
    let low = elevation_deg.to_radians().cos() * (-elevation_deg / TOWARD_SUN_FALL_DEG).exp();
    let azimuth_deg = if azimuth_from_sun_deg.is_finite() { azimuth_from_sun_deg } else { 180.0 };
    let facing = 0.5 * (1.0 + azimuth_deg.to_radians().cos());
    TOWARD_SUN_MAG * strength * low * facing * facing
}

/// 0 before 0, 1 after 1, level at both ends.
fn smooth_step(share: f64) -> f64 {
    let t = share.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct Twilight {
    depression_deg: f64,
    sun_azimuth_deg: f64,
    zenith_nl: f64,
}

impl Twilight {
    pub(super) fn new(sun: Horizontal, extinction: &Extinction) -> Self {
        let depression_deg = if sun.altitude_deg.is_nan() { 90.0 } else { -sun.altitude_deg };
        let sun_azimuth_deg = if sun.azimuth_deg.is_finite() { sun.azimuth_deg } else { 0.0 };
        let low = (1.0 - extinction.height_m() / PATAT_HEIGHT_M).clamp(0.0, 1.0);
        let zenith_nl = zenith_twilight_nl(depression_deg) * (1.0 + LOW_SITE_GAIN * low);
        Self { depression_deg, sun_azimuth_deg, zenith_nl }
    }

    /// Brightness in a direction, nL, and its relative error.
    pub(super) fn at(&self, direction: Horizontal) -> (f64, f64) {
        let from_sun_deg = wrap_degrees_180(direction.azimuth_deg - self.sun_azimuth_deg);
        let gain_mag = toward_sun_mag(self.depression_deg, direction.altitude_deg, from_sun_deg);
        (self.zenith_nl * 10f64.powf(0.4 * gain_mag), self.relative_sigma(direction.altitude_deg))
    }

    fn relative_sigma(&self, altitude_deg: f64) -> f64 {
        let (first, last) = PATAT_RANGE_DEG;
        let at_zenith =
            if (first..=last).contains(&self.depression_deg) { TWILIGHT_SIGMA_MAG } else { EXTENSION_SIGMA_MAG };
        let shape = EXTENSION_SIGMA_MAG * altitude_deg.to_radians().cos();
        LN_MAG * at_zenith.hypot(shape)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The pieces meet in value: the step allowed over 2e-6 deg, relative. A slope of 1.5 mag/deg gives 3e-6.
    const JOIN_STEP: f64 = 1e-5;
    /// The pieces meet in slope, mag per degree over 0.002 deg.
    const JOIN_SLOPE_MAG_PER_DEG: f64 = 0.01;

    #[test]
    fn the_pieces_join_in_value_and_slope() {
        for join_deg in [DAY_JOIN_DEG, 5.0, 15.0] {
            let (before, after) = (zenith_twilight_nl(join_deg - 1e-6), zenith_twilight_nl(join_deg + 1e-6));
            assert!((before / after - 1.0).abs() < JOIN_STEP, "step at {join_deg}: {before} {after}");
            let slope = |d: f64| (zenith_twilight_nl(d) / zenith_twilight_nl(d + 0.001)).ln() / LN_MAG / 0.001;
            let step = slope(join_deg - 0.002) - slope(join_deg + 0.001);
            assert!(step.abs() < JOIN_SLOPE_MAG_PER_DEG, "slope changes by {step} mag/deg at {join_deg}");
        }
    }

    #[test]
    fn sunset_and_noon_have_the_luminance_everybody_knows() {
        let cd_m2 = |d: f64| zenith_twilight_nl(d) * crate::photometry::NANOLAMBERT_CD_M2;
        assert!((50.0..400.0).contains(&cd_m2(0.0)), "at sunset {}", cd_m2(0.0));
        assert!((2000.0..6000.0).contains(&cd_m2(-40.0)), "by day {}", cd_m2(-40.0));
    }

    #[test]
    fn the_sun_side_is_brighter_and_the_zenith_has_no_side() {
        assert!((toward_sun_mag(10.0, 0.0, 0.0) - 2.5).abs() < 1e-9);
        assert!(toward_sun_mag(10.0, 20.0, 0.0) > toward_sun_mag(10.0, 20.0, 90.0));
        assert!(toward_sun_mag(10.0, 90.0, 0.0).abs() < 1e-12);
        assert!(toward_sun_mag(16.0, 0.0, 0.0).abs() < 1e-12);
    }
}
