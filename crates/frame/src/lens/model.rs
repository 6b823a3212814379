use optics::{Projection, RadialLaw};
use serde::{Deserialize, Serialize};

use super::vector::{Vector, unit};

/// Share by which lenses bend at most, of the distance from the centre: wide ones reach 0.1 (from memory).
const MOST_BENDING: f64 = 0.15;

/// Corners further out than this many focal lengths are outside a fisheye's image circle.
pub(crate) const OUTERMOST: f64 = 1.5;

/// A lens on a picture as stored: pixel to direction in the camera's own axes, and back.
///
/// Camera axes: x to the right of the picture, y down, z along the optical axis. Pixels: x to the right, y down, the
/// centre of the first pixel is (0, 0). A mirrored picture shows the sky as in a mirror; its x axis is turned round.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LensModel {
    /// How angles become distances.
    pub projection: Projection,
    /// Focal length, pixels.
    pub focal_px: f64,
    /// Where the optical axis meets the picture, pixels; may lie outside a picture that was cut.
    pub centre_px: [f64; 2],
    /// Radial distortion `r (1 + k1 r² + k2 r⁴)`, `r` in focal lengths.
    pub k1: f64,
    /// Second coefficient of the distortion.
    pub k2: f64,
    /// Whether the picture shows the sky as in a mirror.
    pub mirrored: bool,
    /// Width of a pixel over its height; distances from the centre are counted in heights.
    #[serde(default = "square")]
    pub pixel_aspect: f64,
}

fn square() -> f64 {
    1.0
}

impl LensModel {
    pub(crate) fn plain(projection: Projection, focal_px: f64, centre_px: [f64; 2], mirrored: bool) -> Self {
        Self { projection, focal_px, centre_px, k1: 0.0, k2: 0.0, mirrored, pixel_aspect: square() }
    }

    /// Whether its numbers are numbers of a lens.
    pub(crate) fn is_sane(&self) -> bool {
        let [cx, cy] = self.centre_px;
        [self.focal_px, cx, cy, self.k1, self.k2].iter().all(|number| number.is_finite())
            && self.focal_px > 0.0
            && self.pixel_aspect > 0.0
            && self.pixel_aspect.is_finite()
    }

    /// Unit vector in the camera's axes of a pixel; `None` beyond the edge of the lens's image.
    pub fn direction_of(&self, pixel: [f64; 2]) -> Option<[f64; 3]> {
        self.ready().direction_of(pixel)
    }

    /// Pixel of a direction in the camera's axes (any length); `None` where the lens makes no image.
    pub fn pixel_of(&self, direction: [f64; 3]) -> Option<[f64; 2]> {
        self.ready().pixel_of(unit(direction)?)
    }

    /// Whether such a lens may be: between centre and corners (of a fisheye, as far as it draws) it bends by no more than [`MOST_BENDING`] against its ideal law,
    /// and a rectilinear one makes an image in every corner.
    pub(crate) fn is_likely(&self, [width, height]: [f64; 2]) -> bool {
        /// Places looked at from the centre to each corner: enough for a curve with one turn.
        const STEPS: u8 = 8;
        let corners = [[0.0, 0.0], [width - 1.0, 0.0], [0.0, height - 1.0], [width - 1.0, height - 1.0]];
        let (ready, plain) = (self.ready(), Self { k1: 0.0, k2: 0.0, ..*self }.ready());
        let [cx, cy] = self.centre_px;
        let likely_at = |[x, y]: [f64; 2]| match ready.direction_of([x, y]) {
            // where the ideal law has this direction, as a share of the distance from the centre
            Some(direction) => plain
                .pixel_of(direction)
                .is_some_and(|[px, py]| (x - px).hypot(y - py) <= MOST_BENDING * (x - cx).hypot(y - cy)),
            None => self.projection != Projection::Rectilinear,
        };
        corners.into_iter().all(|[x, y]| {
            let reach = match self.projection {
                Projection::Rectilinear => 1.0,
                _ => (OUTERMOST * self.focal_px / (x - cx).hypot(y - cy).max(1.0)).min(1.0),
            };
            (1..=STEPS)
                .map(|step| reach * f64::from(step) / f64::from(STEPS))
                .all(|share| likely_at([cx + share * (x - cx), cy + share * (y - cy)]))
        })
    }

    /// With what many pixels share worked out once.
    pub(crate) fn ready(&self) -> Ready {
        let law = RadialLaw::new(self.projection, self.focal_px, self.k1, self.k2);
        let across = if self.mirrored { -self.pixel_aspect } else { self.pixel_aspect };
        Ready { law, centre_px: self.centre_px, across }
    }
}

/// A [`LensModel`] for many pixels.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ready {
    law: RadialLaw,
    centre_px: [f64; 2],
    /// Pixel heights a column to the right, in a mirror to the left.
    across: f64,
}

impl Ready {
    pub(crate) fn direction_of(&self, [x, y]: [f64; 2]) -> Option<Vector> {
        let (dx, dy) = (self.across * (x - self.centre_px[0]), y - self.centre_px[1]);
        // pixels of a picture are neither so many nor so few that their squares leave a double's range
        let radius = (dx * dx + dy * dy).sqrt();
        let (sin, cos) = self.law.angle_rad(radius)?.sin_cos();
        let share = if radius > 0.0 { sin / radius } else { 0.0 };
        Some([share * dx, share * dy, cos])
    }

    pub(crate) fn edge_angle_rad(&self) -> Option<f64> {
        self.law.edge_angle_rad()
    }

    /// Of a unit vector.
    pub(crate) fn pixel_of(&self, [x, y, z]: Vector) -> Option<[f64; 2]> {
        let sin = (x * x + y * y).sqrt();
        if sin <= 0.0 && z < 0.0 {
            return None;
        }
        let radius = self.law.radius_px(sin, z)?;
        let scale = if sin > 0.0 { radius / sin } else { 0.0 };
        let pixel = [self.centre_px[0] + scale * x / self.across, self.centre_px[1] + scale * y];
        pixel.iter().all(|p| p.is_finite()).then_some(pixel)
    }
}
