//! The Moon as seen from one place.

use quantity::{Fraction, Horizontal, wrap_degrees_360};
use serde::{Deserialize, Serialize};

use crate::frame::{horizontal, length};

/// Radius of the Moon, km.
const MOON_RADIUS_KM: f64 = 1737.4;

/// The Moon at one instant from one place.
///
/// Position: centre of the disc, airless (no refraction), topocentric: from the place itself, not from the Earth's
/// centre, which differs by up to a degree. Within 0.001° and 50 km of the JPL ephemeris DE440 when UT1 is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct MoonPlace {
    /// Airless altitude and azimuth of the centre.
    pub horizontal: Horizontal,
    /// Distance from the observer, km.
    pub distance_km: f64,
    /// Distance from the centre of the Earth, km.
    pub geocentric_distance_km: f64,
    /// Half of the angle across the disc, degrees.
    pub semidiameter_deg: f64,
    /// Angle Sun - Moon - observer, degrees: 0 at full, 180 at new.
    pub phase_angle_deg: f64,
    /// Share of the disc that is lit, seen from the place.
    pub lit_fraction: Fraction,
    /// Ecliptic longitude of the Moon minus that of the Sun, degrees 0..360: new 0, first quarter 90, full 180.
    pub elongation_deg: f64,
}

impl MoonPlace {
    pub(crate) fn from_vectors(
        moon_km: [f64; 3],
        sun_km: [f64; 3],
        geocentric_distance_km: f64,
        elongation_deg: f64,
    ) -> Self {
        let distance_km = length(moon_km);
        let to_sun = [sun_km[0] - moon_km[0], sun_km[1] - moon_km[1], sun_km[2] - moon_km[2]];
        let phase_angle_deg = phase_angle_deg(to_sun, moon_km);
        Self {
            horizontal: horizontal(moon_km),
            distance_km,
            geocentric_distance_km,
            semidiameter_deg: moon_semidiameter_deg(distance_km),
            phase_angle_deg,
            lit_fraction: Fraction::clamped(f64::midpoint(1.0, phase_angle_deg.to_radians().cos())),
            elongation_deg: wrap_degrees_360(elongation_deg),
        }
    }

    /// Whether the lit part is growing (new to full).
    pub fn is_waxing(&self) -> bool {
        self.elongation_deg < 180.0
    }
}

/// Angle at the Moon between the Sun and the observer, degrees: exact at full and new moon as the arc cosine is not.
fn phase_angle_deg(to_sun_km: [f64; 3], from_observer_km: [f64; 3]) -> f64 {
    let (a, b) = (to_sun_km, from_observer_km);
    let cross = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    let dot = a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    length(cross).atan2(-dot).to_degrees()
}

/// Half of the angle across the Moon at a distance, degrees.
pub(crate) fn moon_semidiameter_deg(distance_km: f64) -> f64 {
    (MOON_RADIUS_KM / distance_km).asin().to_degrees()
}
