//! Lines of sight over the ground: where they run and at which distances they are looked along.

use quantity::GeoPosition;

use super::curvature::{EARTH_RADIUS_M, Sighting};

/// How far terrain is looked for, m. At 60 km a mountain of 1000 m stands 0.7 degrees high and one of 250 m is below the
/// horizon; farther ones matter less than the doubt about refraction and cost many more tiles.
pub const REACH_M: f64 = 60_000.0;
/// How near terrain is looked for, m: within three posts of 1 second of arc the heights' errors of a few metres would
/// look like degrees.
pub const NEAREST_M: f64 = 100.0;
/// Steps along a ray, m: half the distance of posts of 1 second of arc, so that no ridge of one post is stepped over.
const STEP_M: f64 = 15.0;
/// Far out the steps grow with the distance: what is smaller than 2 minutes of arc does not matter.
const STEP_SHARE: f64 = 0.0005;
/// Latitude up to which azimuths are told apart: at the pole itself there is none to count from; this is 10 cm off.
const NEAREST_POLE_DEG: f64 = 89.999_999;
/// One distance from the eye.
#[derive(Debug, Clone, Copy)]
pub(super) struct Step {
    pub(super) distance_m: f64,
    sine: f64,
    cosine: f64,
    pub(super) sighting: Sighting,
}

/// The distances at which a line is looked at.
pub(super) fn steps() -> Vec<Step> {
    let mut steps = Vec::new();
    let mut distance_m = NEAREST_M;
    while distance_m <= REACH_M {
        let (sine, cosine) = (distance_m / EARTH_RADIUS_M).sin_cos();
        steps.push(Step { distance_m, sine, cosine, sighting: Sighting::at(distance_m) });
        distance_m += STEP_M.max(distance_m * STEP_SHARE);
    }
    steps
}

/// A great circle from a place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    sine_lat: f64,
    cosine_lat: f64,
    longitude_deg: f64,
    sine_az: f64,
    cosine_az: f64,
}

impl Line {
    pub(super) fn new(from: GeoPosition, azimuth_deg: f64) -> Self {
        let latitude_deg = from.latitude_deg().clamp(-NEAREST_POLE_DEG, NEAREST_POLE_DEG);
        let (sine_lat, cosine_lat) = latitude_deg.to_radians().sin_cos();
        let (sine_az, cosine_az) = azimuth_deg.to_radians().sin_cos();
        Self { sine_lat, cosine_lat, longitude_deg: from.longitude_deg(), sine_az, cosine_az }
    }

    /// Latitude and longitude at a step, degrees. On the sphere: 60 km come out up to 0.3 km off, far less than the rays part.
    pub(super) fn at(&self, step: &Step) -> (f64, f64) {
        let sine = self.sine_lat * step.cosine + self.cosine_lat * step.sine * self.cosine_az;
        let east = self.sine_az * step.sine * self.cosine_lat;
        let turn = east.atan2(step.cosine - self.sine_lat * sine);
        (sine.clamp(-1.0, 1.0).asin().to_degrees(), self.longitude_deg + turn.to_degrees())
    }
}
