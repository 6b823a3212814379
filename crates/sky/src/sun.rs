//! The Sun as seen from one place.

use quantity::Horizontal;
use serde::{Deserialize, Serialize};

use crate::frame::{horizontal, length};
use crate::series::AU_KM;

/// Radius of the Sun, km (IAU 2015 nominal value).
const SUN_RADIUS_KM: f64 = 695_700.0;

/// The Sun at one instant from one place.
///
/// Position: centre of the disc, airless (no refraction), with light time, aberration, nutation and parallax. Within
/// 0.001° of the JPL ephemeris DE440 when UT1 is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct SunPlace {
    /// Airless altitude and azimuth of the centre.
    pub horizontal: Horizontal,
    /// Distance from the observer, au.
    pub distance_au: f64,
    /// Half of the angle across the disc, degrees.
    pub semidiameter_deg: f64,
}

impl SunPlace {
    pub(crate) fn from_vector(east_north_up_km: [f64; 3]) -> Self {
        let distance_km = length(east_north_up_km);
        Self {
            horizontal: horizontal(east_north_up_km),
            distance_au: distance_km / AU_KM,
            semidiameter_deg: (SUN_RADIUS_KM / distance_km).asin().to_degrees(),
        }
    }
}
