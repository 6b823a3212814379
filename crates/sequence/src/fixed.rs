//! Directions where no stars tell them: a lens and a pointing that somebody gives.

use frame::LensModel;
use quantity::Horizontal;

use crate::view::SkyView;

/// A lens that looks where it is said to. Its errors are those of whoever said so: they are not in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FixedView {
    model: LensModel,
    /// The camera's axes (right, down, forward) in east, north, up.
    axes: [[f64; 3]; 3],
}

impl FixedView {
    /// A lens that looks straight up.
    ///
    /// * `top_azimuth_deg`: the azimuth that the top of the picture shows, from true north through east.
    pub fn upward(model: LensModel, top_azimuth_deg: f64) -> Self {
        let (sin, cos) = top_azimuth_deg.to_radians().sin_cos();
        // lying on one's back with the top toward north, the right is west and down is south
        Self { model, axes: [[-cos, sin, 0.0], [-sin, -cos, 0.0], [0.0, 0.0, 1.0]] }
    }

    /// A level camera that looks in a direction.
    ///
    /// * `direction`: of the optical axis.
    pub fn pointed(model: LensModel, direction: Horizontal) -> Self {
        let forward = direction.east_north_up();
        let (sin, cos) = direction.azimuth_deg.to_radians().sin_cos();
        let right = [cos, -sin, 0.0];
        let [f, r] = [forward, right];
        let down = [f[1] * r[2] - f[2] * r[1], f[2] * r[0] - f[0] * r[2], f[0] * r[1] - f[1] * r[0]];
        Self { model, axes: [right, down, forward] }
    }
}

impl SkyView for FixedView {
    fn pixel_of(&self, direction: Horizontal) -> Option<[f64; 2]> {
        let v = direction.east_north_up();
        self.model.pixel_of(self.axes.map(|axis| axis[0] * v[0] + axis[1] * v[1] + axis[2] * v[2]))
    }

    fn direction_of(&self, pixel: [f64; 2]) -> Option<Horizontal> {
        let [x, y, z] = self.model.direction_of(pixel)?;
        let [right, down, forward] = self.axes;
        let part = |i: usize| x * right[i] + y * down[i] + z * forward[i];
        Some(Horizontal::from_east_north_up([part(0), part(1), part(2)]))
    }
}
