use optics::{Camera, SIDEREAL_ARCSEC_S, View};
use quantity::Horizontal;

use crate::LensModel;

/// The sky turning over a camera that stands still.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkyTurn {
    /// Lens, sensor and pointing.
    pub camera: Camera,
    /// Latitude of the place, degrees, north above 0: height of the celestial pole.
    pub latitude_deg: f64,
    /// Shutter time, s.
    pub exposure_s: f64,
}

impl SkyTurn {
    /// Movement of the star at a pixel during the exposure, px; `None` where the lens makes no image.
    pub fn movement_px(&self, pixel: [f64; 2]) -> Option<[f64; 2]> {
        movement(&self.camera.view(), self.latitude_deg, self.exposure_s, pixel)
    }

    /// What that movement adds to a star's `(xx - yy, 2 xy)`, px²; 0 where the lens makes no image.
    pub(crate) fn vectors(&self) -> impl Fn([f64; 2]) -> [f64; 2] {
        let (view, latitude_deg, exposure_s) = (self.camera.view(), self.latitude_deg, self.exposure_s);
        move |pixel| {
            let [dx, dy] = movement(&view, latitude_deg, exposure_s, pixel).unwrap_or([0.0; 2]);
            [(dx * dx - dy * dy) / 12.0, 2.0 * dx * dy / 12.0]
        }
    }
}

/// The sky turning over a camera that stands still, by the lens and the direction that its stars show: neither time nor place
/// need be known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StarTurn {
    /// The lens.
    pub model: LensModel,
    /// Rows are the camera's axes (right, down, forward) in equatorial axes, the third of which is the celestial pole.
    pub attitude: [[f64; 3]; 3],
    /// Shutter time, s.
    pub exposure_s: f64,
}

impl StarTurn {
    /// Movement of the star at a pixel during the exposure, px; `None` where the lens makes no image.
    pub fn movement_px(&self, pixel: [f64; 2]) -> Option<[f64; 2]> {
        let seen = self.model.direction_of(pixel)?;
        let sky: [f64; 3] = std::array::from_fn(|i| (0..3).map(|axis| self.attitude[axis][i] * seen[axis]).sum());
        // the camera turns eastward with the ground, so the star goes as much to the west
        let (sin, cos) = (-(self.exposure_s * SIDEREAL_ARCSEC_S / 3600.0).to_radians()).sin_cos();
        let later = [cos * sky[0] - sin * sky[1], sin * sky[0] + cos * sky[1], sky[2]];
        let in_camera = self.attitude.map(|row| row.iter().zip(later).map(|(a, b)| a * b).sum());
        let [x, y] = self.model.pixel_of(in_camera)?;
        Some([x - pixel[0], y - pixel[1]])
    }

    /// What that movement adds to a star's `(xx - yy, 2 xy)`, px².
    pub(crate) fn vector(&self, pixel: [f64; 2]) -> [f64; 2] {
        let [dx, dy] = self.movement_px(pixel).unwrap_or([0.0; 2]);
        [(dx * dx - dy * dy) / 12.0, 2.0 * dx * dy / 12.0]
    }
}

fn movement(view: &View, latitude_deg: f64, exposure_s: f64, pixel: [f64; 2]) -> Option<[f64; 2]> {
    let start = view.direction_of(pixel)?;
    let [x, y] = view.pixel_of(turned(start, latitude_deg, exposure_s))?;
    Some([x - pixel[0], y - pixel[1]])
}

/// A direction after the sky has turned for some seconds: about the north celestial pole, from east to west.
fn turned(direction: Horizontal, latitude_deg: f64, seconds: f64) -> Horizontal {
    let angle = (seconds * SIDEREAL_ARCSEC_S / 3600.0).to_radians();
    let v = direction.east_north_up();
    let (sin_l, cos_l) = latitude_deg.to_radians().sin_cos();
    let pole = [0.0, cos_l, sin_l];
    // Rodrigues' rotation by -angle about the pole: in the east stars rise, in the south they go west
    let (sin, cos) = (-angle).sin_cos();
    let cross = [pole[1] * v[2] - pole[2] * v[1], pole[2] * v[0] - pole[0] * v[2], pole[0] * v[1] - pole[1] * v[0]];
    let along: f64 = pole.iter().zip(v).map(|(p, v)| p * v).sum();
    let part = |i: usize| v[i] * cos + cross[i] * sin + pole[i] * along * (1.0 - cos);
    Horizontal::from_east_north_up([part(0), part(1), part(2)])
}
