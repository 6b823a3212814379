use quantity::Horizontal;
use serde::{Deserialize, Serialize};

use crate::error::{OpticsError, positive, within};
use crate::projection::Projection;
use crate::view::View;

/// Where the optical axis points and how the camera is turned about it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pointing {
    /// Azimuth of the axis, north 0, east 90, degrees.
    pub azimuth_deg: f64,
    /// Altitude of the axis, degrees.
    pub altitude_deg: f64,
    /// Turn about the axis, degrees; positive raises the right-hand side of the camera.
    pub roll_deg: f64,
}

/// A lens on a sensor, pointed at the sky.
///
/// Pixels: x to the right, y down, the centre of the first pixel is (0, 0). Directions are as seen (with refraction).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Camera {
    /// How angles become distances.
    pub projection: Projection,
    /// Focal length, mm.
    pub focal_mm: f64,
    /// Pixel pitch, mm.
    pub pixel_mm: f64,
    /// Columns.
    pub width_px: u32,
    /// Rows.
    pub height_px: u32,
    /// Where the optical axis meets the sensor, pixels.
    pub centre_px: [f64; 2],
    /// Radial distortion, with the radius in focal lengths: `r (1 + k1 r² + k2 r⁴)`.
    pub k1: f64,
    /// Second coefficient of the distortion.
    pub k2: f64,
    /// Where it points.
    pub pointing: Pointing,
}

/// Angles across the frame through its principal point and from corner to corner, degrees.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FieldOfView {
    /// From the left to the right edge.
    pub horizontal_deg: f64,
    /// From the top to the bottom edge.
    pub vertical_deg: f64,
    /// From the top left to the bottom right corner.
    pub diagonal_deg: f64,
}

impl Camera {
    /// A camera without distortion whose axis meets the middle of a sensor of `[columns, rows]`.
    pub fn centred(
        projection: Projection,
        focal_mm: f64,
        pixel_um: f64,
        [width_px, height_px]: [u32; 2],
        pointing: Pointing,
    ) -> Self {
        let middle = |n: u32| 0.5 * (f64::from(n) - 1.0);
        let centre_px = [middle(width_px), middle(height_px)];
        Self {
            projection,
            focal_mm,
            pixel_mm: pixel_um * 1e-3,
            width_px,
            height_px,
            centre_px,
            k1: 0.0,
            k2: 0.0,
            pointing,
        }
    }

    /// Says whether the numbers can belong to a camera.
    ///
    /// # Errors
    ///
    /// Focal length, pixel or size not above 0; altitude outside -90..=90; anything not finite.
    pub fn check(&self) -> Result<(), OpticsError> {
        positive("focal length in mm", self.focal_mm)?;
        positive("pixel pitch in mm", self.pixel_mm)?;
        positive("frame width in pixels", f64::from(self.width_px))?;
        positive("frame height in pixels", f64::from(self.height_px))?;
        within("altitude of the axis in degrees", self.pointing.altitude_deg, -90.0, 90.0)?;
        within("azimuth of the axis in degrees", self.pointing.azimuth_deg, -360.0, 720.0)?;
        within("roll in degrees", self.pointing.roll_deg, -360.0, 360.0)?;
        within("distortion k1", self.k1, -10.0, 10.0)?;
        within("distortion k2", self.k2, -10.0, 10.0)
    }

    /// The camera with its axes worked out, for many directions.
    pub fn view(&self) -> View {
        View::new(self)
    }

    /// Pixel of a direction; `None` where the lens makes no image. It may lie outside the frame: see [`Camera::contains`].
    pub fn pixel_of(&self, direction: Horizontal) -> Option<[f64; 2]> {
        self.view().pixel_of(direction)
    }

    /// Direction of a pixel; `None` beyond the edge of the lens's image.
    pub fn direction_of(&self, pixel: [f64; 2]) -> Option<Horizontal> {
        self.view().direction_of(pixel)
    }

    /// Whether a pixel is on the sensor.
    pub fn contains(&self, [x, y]: [f64; 2]) -> bool {
        let inside = |value: f64, n: u32| value >= -0.5 && value < f64::from(n) - 0.5;
        inside(x, self.width_px) && inside(y, self.height_px)
    }

    /// Angles of view. Where the lens's image ends inside the frame, up to the image's edge.
    pub fn field_of_view_deg(&self) -> FieldOfView {
        let view = self.view();
        let [left, top] = [-0.5, -0.5];
        let [right, bottom] = [f64::from(self.width_px) - 0.5, f64::from(self.height_px) - 0.5];
        let [cx, cy] = self.centre_px;
        let across = |a, b| view.angle_from_centre_deg(a) + view.angle_from_centre_deg(b);
        FieldOfView {
            horizontal_deg: across([left, cy], [right, cy]),
            vertical_deg: across([cx, top], [cx, bottom]),
            diagonal_deg: across([left, top], [right, bottom]),
        }
    }

    /// About `n` directions along the border of the frame, clockwise from the top left corner, for drawing.
    ///
    /// Where the lens's image ends inside the frame, the image's edge instead. Empty for a camera that cannot be.
    pub fn frame_outline(&self, n: usize) -> Vec<Horizontal> {
        if self.check().is_err() {
            return Vec::new();
        }
        let view = self.view();
        let (w, h) = (f64::from(self.width_px), f64::from(self.height_px));
        let corners = [[-0.5, -0.5], [w - 0.5, -0.5], [w - 0.5, h - 0.5], [-0.5, h - 0.5]];
        let steps = n.div_ceil(4).max(1);
        (0..4 * steps)
            .filter_map(|i| {
                let ([x0, y0], [x1, y1]) = (corners[i / steps], corners[(i / steps + 1) % 4]);
                let share = (i % steps) as f64 / steps as f64;
                view.nearest_direction([x0 + share * (x1 - x0), y0 + share * (y1 - y0)])
            })
            .collect()
    }
}
