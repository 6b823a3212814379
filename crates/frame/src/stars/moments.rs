use serde::{Deserialize, Serialize};

/// FWHM of a Gaussian over its standard deviation: `2 sqrt(2 ln 2)`.
pub(crate) const FWHM_PER_SIGMA: f64 = 2.354_820_045;

/// Second moments of a patch of light about its centre, px²: the covariance of where its photons fall.
///
/// Measured with a Gaussian window that is made to fit (see [`crate::Star`]); for a Gaussian star they are the true ones.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Moments {
    /// Variance along a row.
    pub xx: f64,
    /// Variance along a column.
    pub yy: f64,
    /// Covariance; positive when the long axis runs from the top left to the bottom right.
    pub xy: f64,
}

impl Moments {
    /// Those of a round patch.
    pub fn round(variance_px2: f64) -> Self {
        Self { xx: variance_px2, yy: variance_px2, xy: 0.0 }
    }

    /// Those of an ellipse with the given variances along its long and short axis.
    pub fn ellipse(long_px2: f64, short_px2: f64, angle_deg: f64) -> Self {
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        Self {
            xx: long_px2 * cos * cos + short_px2 * sin * sin,
            yy: long_px2 * sin * sin + short_px2 * cos * cos,
            xy: (long_px2 - short_px2) * sin * cos,
        }
    }

    /// Variance along the long axis and across it, px², the long one first.
    pub fn axes_px2(&self) -> [f64; 2] {
        let mean = 0.5 * (self.xx + self.yy);
        let half = (0.5 * (self.xx - self.yy)).hypot(self.xy);
        [mean + half, mean - half]
    }

    /// Angle of the long axis from +x towards +y (down), degrees, -90 to 90.
    pub fn angle_deg(&self) -> f64 {
        0.5 * (2.0 * self.xy).atan2(self.xx - self.yy).to_degrees()
    }

    /// `1 - b/a`: 0 for a round star.
    pub fn elongation(&self) -> f64 {
        let [long, short] = self.axes_px2();
        if long > 0.0 { 1.0 - (short.max(0.0) / long).sqrt() } else { 0.0 }
    }

    /// Full width at half maximum of the round Gaussian of the same area, px.
    pub fn fwhm_px(&self) -> f64 {
        FWHM_PER_SIGMA * self.determinant().max(0.0).powf(0.25)
    }

    /// Length of the vector `(xx - yy, 2 xy)`: difference of the two variances, px².
    pub fn spread_px2(&self) -> f64 {
        let [long, short] = self.axes_px2();
        long - short
    }

    pub(crate) fn determinant(&self) -> f64 {
        self.xx * self.yy - self.xy * self.xy
    }

    /// The inverse matrix; `None` unless the moments are those of a real patch.
    pub(crate) fn inverse(&self) -> Option<Self> {
        let det = self.determinant();
        (det > 0.0 && self.xx > 0.0 && det.is_finite()).then(|| Self {
            xx: self.yy / det,
            yy: self.xx / det,
            xy: -self.xy / det,
        })
    }

    pub(crate) fn scaled(&self, factor: f64) -> Self {
        Self { xx: self.xx * factor, yy: self.yy * factor, xy: self.xy * factor }
    }

    pub(crate) fn plus(&self, other: &Self) -> Self {
        Self { xx: self.xx + other.xx, yy: self.yy + other.yy, xy: self.xy + other.xy }
    }

    pub(crate) fn minus(&self, other: &Self) -> Self {
        self.plus(&other.scaled(-1.0))
    }

    /// `d' M d`.
    pub(crate) fn form(&self, dx: f64, dy: f64) -> f64 {
        self.xx * dx * dx + 2.0 * self.xy * dx * dy + self.yy * dy * dy
    }

    /// The vector `radius` standard deviations away in direction `angle_rad` of the space where the patch is round.
    pub(crate) fn offset(&self, radius: f64, angle_rad: f64) -> [f64; 2] {
        let [long, short] = self.axes_px2();
        let (sin_a, cos_a) = self.angle_deg().to_radians().sin_cos();
        let (v, u) = angle_rad.sin_cos();
        let (u, v) = (radius * u * long.max(0.0).sqrt(), radius * v * short.max(0.0).sqrt());
        [u * cos_a - v * sin_a, u * sin_a + v * cos_a]
    }
}
