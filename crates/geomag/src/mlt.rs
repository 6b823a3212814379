//! Magnetic local time.

use jiff::Timestamp;
use quantity::wrap_degrees_180;

use crate::field::FieldModel;
use crate::vector::unit_to;

/// 2000-01-01T12:00:00Z in seconds since 1970.
const J2000_S: f64 = 946_728_000.0;
const SECONDS_PER_DAY: f64 = 86_400.0;

/// The point where the Sun stands in the zenith.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SubsolarPoint {
    /// Geocentric latitude, degrees: the Sun's declination.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive, -180..180.
    pub longitude_deg: f64,
}

/// The subsolar point, good to 0.01 degrees from 1950 to 2050 (0.02 in longitude, as UTC stands for UT1).
///
/// # Source
///
/// Low-precision formulas for the Sun, *The Astronomical Almanac*, section C, and mean sidereal time (Meeus,
/// *Astronomical Algorithms*, 2nd edition, eq. 12.4 without the terms in T^2).
pub fn subsolar_point(instant: Timestamp) -> SubsolarPoint {
    let days = (instant.as_millisecond() as f64 / 1000.0 - J2000_S) / SECONDS_PER_DAY;
    let mean_longitude_deg = 280.460 + 0.985_647_4 * days;
    let anomaly = (357.528 + 0.985_600_3 * days).to_radians();
    let longitude = (mean_longitude_deg + 1.915 * anomaly.sin() + 0.020 * (2.0 * anomaly).sin()).to_radians();
    let obliquity = (23.439 - 4e-7 * days).to_radians();
    let right_ascension_deg = (obliquity.cos() * longitude.sin()).atan2(longitude.cos()).to_degrees();
    let sidereal_deg = 280.460_618_37 + 360.985_647_366_29 * days;
    SubsolarPoint {
        latitude_deg: (obliquity.sin() * longitude.sin()).asin().to_degrees(),
        longitude_deg: wrap_degrees_180(right_ascension_deg - sidereal_deg),
    }
}

/// Magnetic local time at one instant: the Sun's place is worked out once, then every longitude costs a subtraction.
///
/// # Source
///
/// Laundal & Richmond 2017, *Space Sci. Rev.* 206, 27, eq. 93: apex longitude of the place against the centred-dipole
/// longitude of the subsolar point. Other definitions (corrected geomagnetic) differ by up to 0.4 h.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MagneticClock {
    subsolar_dipole_longitude_deg: f64,
}

impl MagneticClock {
    /// The clock of an instant. `field` may be of another date in the same year: the dipole axis drifts by 0.1 degrees a year.
    pub fn new(field: &FieldModel, instant: Timestamp) -> Self {
        let sun = subsolar_point(instant);
        let toward = unit_to(sun.latitude_deg, sun.longitude_deg);
        Self { subsolar_dipole_longitude_deg: field.dipole_longitude_deg(toward) }
    }

    /// Centred-dipole longitude of the subsolar point, degrees.
    pub fn subsolar_dipole_longitude_deg(&self) -> f64 {
        self.subsolar_dipole_longitude_deg
    }

    /// Magnetic local time of a quasi-dipole (= apex) longitude, hours 0..24.
    pub fn mlt_h(&self, qd_lon_deg: f64) -> f64 {
        let hours = ((qd_lon_deg - self.subsolar_dipole_longitude_deg) / 15.0 + 12.0).rem_euclid(24.0);
        // rem_euclid of a tiny negative number rounds to 24 itself
        if hours >= 24.0 { 0.0 } else { hours }
    }

    /// Quasi-dipole longitude that has a magnetic local time now, degrees -180..180.
    pub fn qd_longitude_deg(&self, mlt_h: f64) -> f64 {
        wrap_degrees_180((mlt_h - 12.0) * 15.0 + self.subsolar_dipole_longitude_deg)
    }
}

/// Magnetic local time of a quasi-dipole longitude at an instant, hours 0..24; see [`MagneticClock`] for many at once.
pub fn magnetic_local_time_h(qd_lon_deg: f64, instant: Timestamp, field: &FieldModel) -> f64 {
    MagneticClock::new(field, instant).mlt_h(qd_lon_deg)
}
