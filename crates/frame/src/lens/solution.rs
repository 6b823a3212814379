use quantity::Horizontal;
use serde::{Deserialize, Serialize};

use super::ground::Ground;
use super::model::LensModel;
use super::vector::{Rotation, Vector, angle_rad, cross, dot, transpose, turn, unit};
use crate::StarTurn;

/// A catalogue star and where it is in the picture.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LensPair {
    /// Hipparcos number.
    pub hip: u32,
    /// Where it was found, pixels.
    pub found_px: [f64; 2],
    /// Where the lens puts it, pixels.
    pub fitted_px: [f64; 2],
}

/// Lens and direction of a picture, from its stars.
#[derive(Debug, Clone, PartialEq)]
pub struct LensSolution {
    /// The lens.
    pub model: LensModel,
    /// Rows are the camera's axes (right, down, forward; see [`LensModel`]) in J2000 (ICRS). Where time and place are known,
    /// it turns directions as seen, lifted by the air; [`LensSolution::sky_of`] takes that off.
    pub attitude: [[f64; 3]; 3],
    /// Right ascension of the middle of the picture as stored, J2000, degrees, 0 to 360.
    pub ra_deg: f64,
    /// Declination of the middle, degrees.
    pub dec_deg: f64,
    /// Position angle of the picture's up in the middle, east of north, degrees, -180 to 180.
    pub roll_deg: f64,
    /// Whether the picture shows the sky as in a mirror.
    pub mirrored: bool,
    /// Angles across the picture, degrees: from the middle of the left edge to that of the right, and from top to bottom,
    /// each as the sum of its angles from the optical axis; where the lens's image ends first, to there. 180 at most.
    pub field_deg: [f64; 2],
    /// Deviations of those angles by the scatter of the pairs, degrees.
    pub field_sigma_deg: [f64; 2],
    /// Root mean square distance of the pairs, px.
    pub residual_px: f64,
    /// Number of pairs.
    pub matched: usize,
    /// Decimal logarithm of the chance that so many stars fit by accident.
    pub log10_chance: f64,
    /// Stars of the catalogue found in the picture.
    pub pairs: Vec<LensPair>,
    /// Altitude of the middle as seen, degrees, where time and place are known and fit the stars.
    pub alt_deg: Option<f64>,
    /// Azimuth of the middle, degrees.
    pub az_deg: Option<f64>,
    /// Whether a time and place were given that would put the stars of the picture below the horizon.
    pub contradicts_time: bool,
    pub(crate) ground: Option<Ground>,
}

impl LensSolution {
    /// J2000 right ascension and declination of a pixel, degrees, without the air's lift where time and place are known;
    /// `None` beyond the edge of the lens's image.
    pub fn sky_of(&self, pixel: [f64; 2]) -> Option<[f64; 2]> {
        let seen = turn(&transpose(&self.attitude), self.model.direction_of(pixel)?);
        Some(ra_dec_deg(self.ground.map_or(seen, |ground| ground.without_air(seen))))
    }

    /// How the sky turns over this picture while its camera stands still, for telling a trail from a shake.
    pub fn sky_turn(&self, exposure_s: f64) -> StarTurn {
        StarTurn { model: self.model, attitude: self.attitude, exposure_s }
    }

    /// Pixel of a J2000 direction; `None` where the lens makes no image. It may lie outside the picture.
    pub fn pixel_of_sky(&self, ra_deg: f64, dec_deg: f64) -> Option<[f64; 2]> {
        let v = super::sky_index::direction(ra_deg, dec_deg);
        self.model.pixel_of(turn(&self.attitude, self.ground.map_or(v, |ground| ground.with_air(v))))
    }

    /// Altitude and azimuth of a pixel as seen; `None` beyond the image, or where time and place are not known.
    pub fn horizontal_of(&self, pixel: [f64; 2]) -> Option<Horizontal> {
        Some(self.ground?.horizontal_of(turn(&transpose(&self.attitude), self.model.direction_of(pixel)?)))
    }

    /// Pixel of a direction as seen from the ground; `None` where the lens makes no image, or time and place are not known.
    pub fn pixel_of_horizontal(&self, direction: Horizontal) -> Option<[f64; 2]> {
        self.model.pixel_of(turn(&self.attitude, self.ground?.icrs_of(direction)))
    }
}

pub(crate) fn ra_dec_deg([x, y, z]: Vector) -> [f64; 2] {
    [y.atan2(x).to_degrees().rem_euclid(360.0), z.atan2(x.hypot(y)).to_degrees()]
}

/// Right ascension, declination and position angle of up at the middle of a picture.
pub(crate) fn middle_deg(
    model: &LensModel,
    attitude: &Rotation,
    ground: Option<&Ground>,
    middle: [f64; 2],
) -> Option<[f64; 3]> {
    /// Step up the picture, small against any curvature of the lens, px.
    const STEP_PX: f64 = 0.5;
    let to_sky = transpose(attitude);
    let ready = model.ready();
    let sky = |pixel: [f64; 2]| {
        let seen = turn(&to_sky, ready.direction_of(pixel)?);
        Some(ground.map_or(seen, |ground| ground.without_air(seen)))
    };
    let at = sky(middle)?;
    let above = sky([middle[0], middle[1] - STEP_PX])?;
    let [ra_deg, dec_deg] = ra_dec_deg(at);
    let east = unit(cross([0.0, 0.0, 1.0], at)).unwrap_or([0.0, 1.0, 0.0]);
    let north = cross(at, east);
    Some([ra_deg, dec_deg, dot(above, east).atan2(dot(above, north)).to_degrees()])
}

/// Angles across a picture of so many columns and rows, each at most half the sky's.
pub(crate) fn field_deg(model: &LensModel, [width, height]: [f64; 2]) -> [f64; 2] {
    let ready = model.ready();
    let axis = [0.0, 0.0, 1.0];
    let edge = |pixel: [f64; 2]| {
        ready.direction_of(pixel).map(|v| angle_rad(v, axis)).or(ready.edge_angle_rad()).map_or(90.0, f64::to_degrees)
    };
    let [cx, cy] = model.centre_px;
    let between = |low: [f64; 2], high: [f64; 2], inside: bool| {
        let (a, b) = (edge(low), edge(high));
        if inside { (a + b).min(180.0) } else { (a - b).abs() }
    };
    [
        between([-0.5, cy], [width - 0.5, cy], cx > -0.5 && cx < width - 0.5),
        between([cx, -0.5], [cx, height - 0.5], cy > -0.5 && cy < height - 0.5),
    ]
}
