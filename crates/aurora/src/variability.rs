//! What one sees against the smooth mean oval: bright thin arcs, dark gaps, nights that differ.
//!
//! The mean oval is an average over years of thin bright forms and wide dark sky. What a person meets is a draw from a
//! distribution. Both distributions below are log-normal and the project's judgement, to be replaced by its own scores:
//!
//! * **brightest arc**: brightness of the brightest form within about half an hour, over the mean oval there: median
//!   [`ARC_FACTOR_MEDIAN`] overhead and less where the line of sight crosses many forms ([`arc_factor_median`]), spread
//!   [`ARC_SIGMA_DEX`];
//! * **typical sky**: brightness of a direction picked at random, over the mean oval there: the same spread, and a median
//!   that keeps the mean ([`typical_factor_median`]), so about half: most of the sky is darker than the mean.
//!
//! On top of either stands the mean oval's own error: where its border is ([`crate::BORDER_SIGMA_DEG`]), how much light a
//! flux makes ([`crate::EFFICIENCY_RELATIVE_SIGMA`]), and the activity.

use std::f64::consts::LN_10;

/// Median of brightest arc over mean oval, overhead.
pub const ARC_FACTOR_MEDIAN: f64 = 4.0;

/// Height at which a line of sight meets most of the light, and the Earth's mean radius, km.
const LAYER_KM: f64 = 110.0;
const EARTH_RADIUS_KM: f64 = 6371.0;

/// Median of brightest arc over mean oval at an altitude above the horizon, degrees.
///
/// Overhead a thin form fills the line of sight; low down the line runs through hundreds of kilometres of forms and gaps,
/// and what it gathers comes near the mean. The excess over 1 falls as the path through the layer grows: by 4.6 times
/// at 7 degrees. The project's judgement; without it a watcher at magnetic latitude 53 would be promised aurora in two
/// nights of three.
pub fn arc_factor_median(altitude_deg: f64) -> f64 {
    let ratio = EARTH_RADIUS_KM / (EARTH_RADIUS_KM + LAYER_KM) * altitude_deg.max(0.0).to_radians().cos();
    1.0 + (ARC_FACTOR_MEDIAN - 1.0) * (1.0 - ratio * ratio).sqrt()
}

/// Spread of both distributions, standard deviation of the decimal logarithm.
pub const ARC_SIGMA_DEX: f64 = 0.5;

/// Median of typical sky over mean oval: the log-normal of spread [`ARC_SIGMA_DEX`] whose mean is 1.
pub fn typical_factor_median() -> f64 {
    (-0.5 * (ARC_SIGMA_DEX * LN_10).powi(2)).exp()
}

/// Chance that a log-normal quantity exceeds a threshold.
///
/// * `median_over_threshold`: median divided by the threshold; 0 or less gives 0.
/// * `sigma_dex`: spread, standard deviation of the decimal logarithm, above 0.
pub fn chance_above(median_over_threshold: f64, sigma_dex: f64) -> f64 {
    if median_over_threshold.is_nan() || median_over_threshold <= 0.0 {
        return 0.0;
    }
    normal_cumulative(median_over_threshold.log10() / sigma_dex)
}

/// Cumulative standard normal distribution.
///
/// # Source
///
/// Abramowitz & Stegun 1964, formula 26.2.17, absolute error below 7.5e-8.
pub fn normal_cumulative(z: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.2316419 * z.abs());
    let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let tail =
        density * t * (0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
    if z >= 0.0 { 1.0 - tail } else { tail }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_normal_distribution_has_its_tabulated_values() {
        // Abramowitz & Stegun, table 26.1.
        for (z, p) in [(0.0, 0.5), (1.0, 0.841344746), (-1.0, 0.158655254), (1.96, 0.975002105), (3.0, 0.998650102)] {
            assert!((normal_cumulative(z) - p).abs() < 1e-7, "{z}");
        }
    }

    #[test]
    fn the_typical_sky_keeps_the_mean() {
        // Mean of a log-normal = median exp(s^2/2); numeric integration over +-6 sigma in 1200 steps.
        let s = ARC_SIGMA_DEX * LN_10;
        let mean: f64 = (0..1200)
            .map(|i| -6.0 + (f64::from(i) + 0.5) * 0.01)
            .map(|z| {
                typical_factor_median() * (s * z).exp() * (-0.5 * z * z).exp() * 0.01
                    / (2.0 * std::f64::consts::PI).sqrt()
            })
            .sum();
        assert!((mean - 1.0).abs() < 1e-3);
    }

    #[test]
    fn no_light_no_chance() {
        assert!(chance_above(0.0, 0.5).abs() < f64::EPSILON);
        assert!(chance_above(f64::NAN, 0.5).abs() < f64::EPSILON);
        assert!((chance_above(1.0, 0.5) - 0.5).abs() < 1e-7);
    }
}
