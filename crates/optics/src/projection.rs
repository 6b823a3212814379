use serde::{Deserialize, Serialize};

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
    pub(crate) fn radius(self, sin: f64, cos: f64) -> Option<f64> {
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
    pub(crate) fn angle_rad(self, radius: f64) -> Option<f64> {
        match self {
            Self::Rectilinear => Some(radius.atan()),
            Self::Stereographic => Some(2.0 * (0.5 * radius).atan()),
            Self::Equidistant => (radius <= std::f64::consts::PI).then_some(radius),
            Self::Equisolid => (radius <= 2.0).then(|| 2.0 * (0.5 * radius).asin()),
            Self::Orthographic => (radius <= 1.0).then(|| radius.asin()),
        }
    }

    /// Largest undistorted radius of the image, focal lengths.
    pub(crate) fn largest_radius(self) -> f64 {
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
    /// pupil. Fisheyes: the pixel's solid angle alone, since their pupil turns toward the light; 1 for equisolid, and
    /// above 1 for orthographic, whose edge crowds the sky together. 0 where there is no image.
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
