use quantity::{Horizontal, angular_separation_deg};
use serde::{Deserialize, Serialize};

use crate::error::{OpticsError, positive, within};
use crate::radial::Distortion;

/// How a lens maps the angle off axis to the distance from the centre of the image.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Projection {
    /// `f tan θ`: straight lines stay straight; less than 180° of view.
    Rectilinear,
    /// `2 f tan(θ/2)`: fisheye that keeps shapes.
    Stereographic,
    /// `f θ`: fisheye with even scale along the radius.
    Equidistant,
    /// `2 f sin(θ/2)`: fisheye that keeps areas; most fisheyes for photography.
    Equisolid,
    /// `f sin θ`: fisheye with a crowded edge; at most 180° of view.
    Orthographic,
}

/// Cosine below which a rectilinear image is taken to have no place: 89.9994° off axis, 100 000 focal lengths out.
const LEAST_RECTILINEAR_COS: f64 = 1e-5;

impl Projection {
    /// All five.
    pub const ALL: [Self; 5] =
        [Self::Rectilinear, Self::Stereographic, Self::Equidistant, Self::Equisolid, Self::Orthographic];

    /// Undistorted radius in focal lengths from sine and cosine of the angle off axis; `None` where there is no image.
    fn radius(self, sin: f64, cos: f64) -> Option<f64> {
        match self {
            Self::Rectilinear => (cos > LEAST_RECTILINEAR_COS).then(|| sin / cos),
            Self::Stereographic => (cos > LEAST_RECTILINEAR_COS - 1.0).then(|| 2.0 * sin / (1.0 + cos)),
            Self::Equidistant => Some(sin.atan2(cos)),
            Self::Equisolid => {
                Some(if cos > 0.0 { sin * (2.0 / (1.0 + cos)).sqrt() } else { (2.0 - 2.0 * cos).sqrt() })
            }
            Self::Orthographic => (cos >= 0.0).then_some(sin),
        }
    }

    /// Angle off axis in radians of an undistorted radius in focal lengths; `None` beyond the edge of the image.
    fn angle_rad(self, radius: f64) -> Option<f64> {
        match self {
            Self::Rectilinear => Some(radius.atan()),
            Self::Stereographic => Some(2.0 * (0.5 * radius).atan()),
            Self::Equidistant => (radius <= std::f64::consts::PI).then_some(radius),
            Self::Equisolid => (radius <= 2.0).then(|| 2.0 * (0.5 * radius).asin()),
            Self::Orthographic => (radius <= 1.0).then(|| radius.asin()),
        }
    }

    /// Largest undistorted radius of the image, focal lengths.
    fn largest_radius(self) -> f64 {
        match self {
            Self::Rectilinear => 1.0 / LEAST_RECTILINEAR_COS,
            Self::Stereographic => 2.0 * (2.0 / LEAST_RECTILINEAR_COS).sqrt(),
            Self::Equidistant => std::f64::consts::PI,
            Self::Equisolid => 2.0,
            Self::Orthographic => 1.0,
        }
    }

    /// Light per pixel off the axis relative to the axis for an even sky, without vignetting by the lens's rims.
    ///
    /// Rectilinear: the fourth power of the cosine, three from the pixel's solid angle and one from the foreshortened
    /// pupil. Fisheyes: the pixel's solid angle alone, since their pupil turns toward the light; 1 for equisolid.
    /// 0 where there is no image.
    pub fn natural_falloff(self, angle_deg: f64) -> f64 {
        let angle = angle_deg.abs().to_radians();
        let (sin, cos) = angle.sin_cos();
        match self {
            Self::Rectilinear => cos.max(0.0).powi(4),
            Self::Stereographic => (0.5 * (1.0 + cos)).powi(2),
            Self::Equidistant => {
                if angle < 1e-6 {
                    1.0
                } else {
                    (sin / angle).max(0.0)
                }
            }
            Self::Equisolid => 1.0,
            Self::Orthographic => {
                if cos > 0.0 {
                    cos.recip()
                } else {
                    0.0
                }
            }
        }
    }
}

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

/// A [`Camera`] with its axes and the edge of its image worked out once: about three times as fast for many pixels.
#[derive(Debug, Clone, Copy)]
pub struct View {
    projection: Projection,
    focal_px: f64,
    centre_px: [f64; 2],
    distortion: Distortion,
    right: [f64; 3],
    up: [f64; 3],
    forward: [f64; 3],
}

impl View {
    fn new(camera: &Camera) -> Self {
        let Pointing { azimuth_deg, altitude_deg, roll_deg } = camera.pointing;
        let (sin_az, cos_az) = azimuth_deg.to_radians().sin_cos();
        let (sin_alt, cos_alt) = altitude_deg.to_radians().sin_cos();
        let (sin_roll, cos_roll) = roll_deg.to_radians().sin_cos();
        let level = [cos_az, -sin_az, 0.0];
        let upward = [-sin_alt * sin_az, -sin_alt * cos_az, cos_alt];
        Self {
            projection: camera.projection,
            focal_px: camera.focal_mm / camera.pixel_mm,
            centre_px: camera.centre_px,
            distortion: Distortion::new(camera.k1, camera.k2),
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
        let radius = self.distortion.apply(self.projection.radius(sin, cos)?)?;
        let scale = if sin > 0.0 { self.focal_px * radius / sin } else { 0.0 };
        let pixel = [self.centre_px[0] + scale * x, self.centre_px[1] - scale * y];
        pixel.iter().all(|p| p.is_finite()).then_some(pixel)
    }

    /// As [`Camera::direction_of`].
    pub fn direction_of(&self, pixel: [f64; 2]) -> Option<Horizontal> {
        let (radius_px, across) = self.from_centre(pixel);
        let undistorted = self.distortion.remove(radius_px / self.focal_px)?;
        self.direction_at(self.projection.angle_rad(undistorted)?, across)
    }

    /// Direction of a pixel, or of the edge of the lens's image on the same side of the centre.
    fn nearest_direction(&self, pixel: [f64; 2]) -> Option<Horizontal> {
        self.direction_of(pixel).or_else(|| self.direction_at(self.edge_angle_rad()?, self.from_centre(pixel).1))
    }

    /// Angle between the axis and a pixel, degrees; beyond the image that of its edge.
    fn angle_from_centre_deg(&self, pixel: [f64; 2]) -> f64 {
        let direction = self.nearest_direction(pixel);
        direction.map_or(0.0, |d| angular_separation_deg(self.forward, d.east_north_up()))
    }

    fn edge_angle_rad(&self) -> Option<f64> {
        self.projection.angle_rad(self.distortion.usable(self.projection.largest_radius()))
    }

    /// Distance from the centre in pixels and the unit vector in the image plane, right and up.
    fn from_centre(&self, [x, y]: [f64; 2]) -> (f64, [f64; 2]) {
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
