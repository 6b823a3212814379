//! A drawn sky: a fisheye that sees all of it, and light put where the truth is known. Nothing here was observed.

use quantity::{GeoPosition, Horizontal, Timestamp};
use sequence::{LightGrid, SkyView};

/// An equidistant fisheye looking up, north up and east left, `size` pixels across the horizon.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fisheye {
    pub(crate) size: usize,
}

impl SkyView for Fisheye {
    fn pixel_of(&self, direction: Horizontal) -> Option<[f64; 2]> {
        let middle = (self.size as f64 - 1.0) / 2.0;
        let radius = (90.0 - direction.altitude_deg) / 90.0 * middle;
        let (sin, cos) = direction.azimuth_deg.to_radians().sin_cos();
        (direction.altitude_deg >= 0.0).then_some([middle - radius * sin, middle - radius * cos])
    }

    fn direction_of(&self, [x, y]: [f64; 2]) -> Option<Horizontal> {
        let middle = (self.size as f64 - 1.0) / 2.0;
        let (east, north) = (middle - x, middle - y);
        let altitude = 90.0 - east.hypot(north) / middle * 90.0;
        (altitude >= 0.0).then(|| Horizontal::new(altitude, east.atan2(north).to_degrees()))
    }
}

impl Fisheye {
    /// A picture with the light that a function gives for each direction.
    pub(crate) fn picture(self, light: impl Fn(Horizontal) -> f64) -> Vec<f32> {
        let pixels = (0..self.size * self.size).map(|index| [(index % self.size) as f64, (index / self.size) as f64]);
        #[expect(clippy::cast_possible_truncation, reason = "a drawing")]
        pixels.map(|pixel| self.direction_of(pixel).map_or(f32::NAN, |direction| light(direction) as f32)).collect()
    }

    pub(crate) fn grid(self, values: &[f32]) -> LightGrid<'_> {
        LightGrid::new(self.size, self.size, 1.0, values).unwrap()
    }
}

/// An invented place in the auroral zone.
pub(crate) fn skerrow_bay() -> GeoPosition {
    GeoPosition::new(69.2, 15.1, 4.0).unwrap()
}

pub(crate) fn evening() -> Timestamp {
    "2026-11-14T20:00:00Z".parse().unwrap()
}

pub(crate) fn after(seconds: f64) -> Timestamp {
    #[expect(clippy::cast_possible_truncation, reason = "hours")]
    let nanoseconds = (seconds * 1e9).round() as i64;
    evening().checked_add(jiff::SignedDuration::from_nanos(nanoseconds)).unwrap()
}

/// A bell of height 1.
pub(crate) fn bell(offset: f64, width: f64) -> f64 {
    (-(offset / width).powi(2)).exp()
}
