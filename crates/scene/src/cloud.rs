//! A layer of cloud with gaps.

use quantity::Fraction;
use serde::{Deserialize, Serialize};
use sky::{CloudLayer, cloud_transmission};

use crate::error::{SceneError, within};
use crate::texture::{fractal_over, smooth_step};

/// A layer of cloud.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CloudSpec {
    /// Which of the patterns.
    pub seed: u64,
    /// Height of the layer, km.
    pub height_km: f64,
    /// Share of the sky overhead that it covers.
    pub cover: Fraction,
    /// Optical depth overhead where it is thickest.
    pub optical_depth: f64,
    /// Size of its heaps, km.
    pub heap_km: f64,
    /// Wind that carries it, east and north, km/s.
    pub wind_km_s: [f64; 2],
}

/// Deviation of the pattern, from its own histogram.
const PATTERN_SIGMA: f64 = 0.27;
/// Range of the pattern over which an edge thickens.
const EDGE: f64 = 0.35;
/// Altitude below which the layer's far end is not followed, degrees.
const LOWEST_DEG: f64 = 1.0;

impl CloudSpec {
    pub(crate) fn check(&self) -> Result<(), SceneError> {
        within("height of the cloud in km", self.height_km, 0.1, 20.0)?;
        within("optical depth", self.optical_depth, 0.0, 100.0)?;
        within("size of the heaps in km", self.heap_km, 0.1, 100.0)?;
        self.wind_km_s.iter().try_for_each(|speed| within("wind in km/s", *speed, -0.2, 0.2))
    }

    /// Optical depth overhead of the cloud that a direction meets, at an age.
    pub(crate) fn depth(&self, [east, north, up]: [f64; 3], age_s: f64) -> f64 {
        let cover = self.cover.value();
        if cover <= 0.0 || up.is_nan() || up < 0.0 {
            return 0.0;
        }
        let up = up.max(LOWEST_DEG.to_radians().sin());
        // the layer bends down with the Earth: a flat one would be infinitely far on the horizon
        let far_km = self.height_km / (up * up + 2.0 * self.height_km / 6371.0).sqrt();
        let place = [east, north].map(|x| x * far_km);
        let at = |i: usize| (place[i] - self.wind_km_s[i] * age_s) / self.heap_km;
        let pattern = fractal_over(self.seed, at(0), at(1), 6, 0.58) / PATTERN_SIGMA;
        // logistic quantile: within 0.1 deviations of the normal one
        let threshold = if cover >= 1.0 { -9.0 } else { 0.588 * ((1.0 - cover) / cover).ln() };
        self.optical_depth * smooth_step(threshold - EDGE, threshold + 6.0 * EDGE, pattern)
    }
}

/// Share of a beam, and of a wide light, that comes through a depth (overhead) at an altitude.
pub(crate) fn through(depth: f64, altitude_deg: f64) -> (f64, f64) {
    if depth <= 0.0 {
        return (1.0, 1.0);
    }
    let beam = cloud_transmission(depth, altitude_deg.max(LOWEST_DEG));
    (beam, CloudLayer { cover: Fraction::ALL, optical_depth: depth }.diffuse_transmission())
}
