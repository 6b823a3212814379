use crate::projection::Projection;
use crate::radial::Distortion;

/// A lens along its radius: angle off the axis to distance from the centre of the image, and back.
///
/// Projection, focal length and distortion `r (1 + k1 r² + k2 r⁴)` with `r` in focal lengths, as in [`crate::Camera`],
/// without a place on the sensor and a pointing.
///
/// ```
/// use optics::{Projection, RadialLaw};
///
/// let law = RadialLaw::new(Projection::Equidistant, 400.0, -0.02, 0.0);
/// let radius_px = law.radius_px(1f64.sin(), 1f64.cos()).unwrap();
/// assert!((radius_px - 392.0).abs() < 1e-9);
/// assert!((law.angle_rad(radius_px).unwrap() - 1.0).abs() < 1e-9);
/// ```
#[derive(Debug, Clone, Copy)]
pub struct RadialLaw {
    projection: Projection,
    focal_px: f64,
    distortion: Distortion,
}

impl RadialLaw {
    /// Of a focal length in pixels and the two coefficients of distortion.
    pub fn new(projection: Projection, focal_px: f64, k1: f64, k2: f64) -> Self {
        Self { projection, focal_px, distortion: Distortion::new(k1, k2) }
    }

    /// Distance from the centre in pixels, from sine and cosine of the angle off axis; `None` where there is no image.
    pub fn radius_px(&self, sin: f64, cos: f64) -> Option<f64> {
        Some(self.focal_px * self.distortion.apply(self.projection.radius(sin, cos)?)?)
    }

    /// Angle off axis in radians of a distance from the centre in pixels; `None` beyond the edge of the image.
    pub fn angle_rad(&self, radius_px: f64) -> Option<f64> {
        self.projection.angle_rad(self.distortion.remove(radius_px / self.focal_px)?)
    }

    /// Angle off axis of the edge of the image, radians.
    pub fn edge_angle_rad(&self) -> Option<f64> {
        self.projection.angle_rad(self.distortion.usable(self.projection.largest_radius()))
    }
}
