//! The centred dipole: the first degree of the field.

use serde::Serialize;

use crate::coefficients::Coefficients;
use crate::vector::{Ecef, dot, unit_to};

/// The dipole at the Earth's centre that degree one of the field describes.
///
/// # Source
///
/// Definitions as in Laundal & Richmond 2017, *Space Sci. Rev.* 206, 27, section 3.1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CentredDipole {
    /// Field at the dipole equator at the reference radius of 6371.2 km, nT.
    pub b0_nt: f64,
    /// Geocentric latitude of the geomagnetic (dipole) pole in the north, degrees.
    pub pole_latitude_deg: f64,
    /// Longitude of that pole, degrees, -180..180.
    pub pole_longitude_deg: f64,
}

impl CentredDipole {
    pub(crate) fn of(coefficients: &Coefficients) -> Self {
        let (g10, g11, h11) = (coefficients.g[1][0], coefficients.g[1][1], coefficients.h[1][1]);
        Self {
            b0_nt: (g10 * g10 + g11 * g11 + h11 * h11).sqrt(),
            pole_latitude_deg: (-g10).atan2(g11.hypot(h11)).to_degrees(),
            pole_longitude_deg: (-h11).atan2(-g11).to_degrees(),
        }
    }

    /// Unit vector to the northern pole.
    pub(crate) fn axis(&self) -> Ecef {
        unit_to(self.pole_latitude_deg, self.pole_longitude_deg)
    }

    /// Longitude about the dipole axis, degrees; zero on the meridian through the pole and the geographic south pole.
    pub(crate) fn longitude_of_deg(&self, ecef: Ecef) -> f64 {
        let (sin_lat, cos_lat) = self.pole_latitude_deg.to_radians().sin_cos();
        let (sin_lon, cos_lon) = self.pole_longitude_deg.to_radians().sin_cos();
        let south_of_pole = [sin_lat * cos_lon, sin_lat * sin_lon, -cos_lat];
        let east_of_pole = [-sin_lon, cos_lon, 0.0];
        dot(ecef, east_of_pole).atan2(dot(ecef, south_of_pole)).to_degrees()
    }
}
