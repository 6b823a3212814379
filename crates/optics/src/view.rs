use quantity::{Horizontal, angular_separation_deg};

use crate::camera::{Camera, Pointing};
use crate::radial_law::RadialLaw;

/// A [`Camera`] with its axes and the edge of its image worked out once: about three times as fast for many pixels.
#[derive(Debug, Clone, Copy)]
pub struct View {
    law: RadialLaw,
    centre_px: [f64; 2],
    right: [f64; 3],
    up: [f64; 3],
    forward: [f64; 3],
}

impl View {
    pub(crate) fn new(camera: &Camera) -> Self {
        let Pointing { azimuth_deg, altitude_deg, roll_deg } = camera.pointing;
        let (sin_az, cos_az) = azimuth_deg.to_radians().sin_cos();
        let (sin_alt, cos_alt) = altitude_deg.to_radians().sin_cos();
        let (sin_roll, cos_roll) = roll_deg.to_radians().sin_cos();
        let level = [cos_az, -sin_az, 0.0];
        let upward = [-sin_alt * sin_az, -sin_alt * cos_az, cos_alt];
        Self {
            law: RadialLaw::new(camera.projection, camera.focal_mm / camera.pixel_mm, camera.k1, camera.k2),
            centre_px: camera.centre_px,
            right: std::array::from_fn(|i| cos_roll * level[i] + sin_roll * upward[i]),
            up: std::array::from_fn(|i| cos_roll * upward[i] - sin_roll * level[i]),
            forward: [cos_alt * sin_az, cos_alt * cos_az, sin_alt],
        }
    }

    /// As [`Camera::pixel_of`].
    pub fn pixel_of(&self, direction: Horizontal) -> Option<[f64; 2]> {
        self.pixel_of_vector(direction.east_north_up())
    }

    /// As [`Camera::pixel_of`], for a unit vector east, north, up.
    pub fn pixel_of_vector(&self, east_north_up: [f64; 3]) -> Option<[f64; 2]> {
        let (x, y, cos) =
            (dot(self.right, east_north_up), dot(self.up, east_north_up), dot(self.forward, east_north_up));
        let sin = (x * x + y * y).sqrt();
        if sin <= 0.0 && cos < 0.0 {
            // straight behind: a fisheye has it all around its edge, so no one pixel
            return None;
        }
        let radius_px = self.law.radius_px(sin, cos)?;
        let scale = if sin > 0.0 { radius_px / sin } else { 0.0 };
        let pixel = [self.centre_px[0] + scale * x, self.centre_px[1] - scale * y];
        pixel.iter().all(|p| p.is_finite()).then_some(pixel)
    }

    /// As [`Camera::direction_of`].
    pub fn direction_of(&self, pixel: [f64; 2]) -> Option<Horizontal> {
        let (radius_px, across) = self.polar(pixel);
        self.direction_at(self.law.angle_rad(radius_px)?, across)
    }

    /// Direction of a pixel, or of the edge of the lens's image on the same side of the centre.
    pub(crate) fn nearest_direction(&self, pixel: [f64; 2]) -> Option<Horizontal> {
        self.direction_of(pixel).or_else(|| self.direction_at(self.law.edge_angle_rad()?, self.polar(pixel).1))
    }

    /// Angle between the axis and a pixel, degrees; beyond the image that of its edge.
    pub(crate) fn angle_from_centre_deg(&self, pixel: [f64; 2]) -> f64 {
        let direction = self.nearest_direction(pixel);
        direction.map_or(0.0, |d| angular_separation_deg(self.forward, d.east_north_up()))
    }

    /// Distance from the centre in pixels and the unit vector in the image plane, right and up.
    fn polar(&self, [x, y]: [f64; 2]) -> (f64, [f64; 2]) {
        let (dx, dy) = (x - self.centre_px[0], self.centre_px[1] - y);
        let radius = dx.hypot(dy);
        (radius, if radius > 0.0 { [dx / radius, dy / radius] } else { [1.0, 0.0] })
    }

    fn direction_at(&self, angle_rad: f64, [right, up]: [f64; 2]) -> Option<Horizontal> {
        let (sin, cos) = angle_rad.sin_cos();
        let vector: [f64; 3] =
            std::array::from_fn(|i| sin * (right * self.right[i] + up * self.up[i]) + cos * self.forward[i]);
        vector.iter().all(|v| v.is_finite()).then(|| Horizontal::from_east_north_up(vector))
    }
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
