//! The International Geomagnetic Reference Field, 14th generation.

use quantity::{Timestamp, wrap_degrees_180};
use serde::Serialize;

use crate::coefficients::Coefficients;
use crate::decimal_year::decimal_year;
use crate::dipole::CentredDipole;
use crate::error::GeomagError;
use crate::geodesy::ecef_from_geodetic_km;
use crate::harmonics::Harmonics;
use crate::vector::{Ecef, dot, east_north_up};

/// The main field at one instant.
///
/// IGRF-14, degree 13, 1975 to 2030, linear in decimal year between epochs. It is the field of the core: crustal anomalies
/// (tens to hundreds of nT, locally thousands) and the currents of a magnetic storm are not in it.
///
/// # Source
///
/// Form: Alken et al. 2021, *Earth Planets Space* 73, 49. Coefficients: IAGA Division V, doi 10.5281/zenodo.14012302.
///
/// # Example
///
/// ```
/// use geomag::FieldModel;
///
/// let field = FieldModel::at_decimal_year(2025.0)?.field(69.65, 18.96, 0.0);
/// assert!((field.total_nt() - 53818.7).abs() < 1.0);
/// # Ok::<(), geomag::GeomagError>(())
/// ```
#[derive(Debug, Clone)]
pub struct FieldModel {
    harmonics: Harmonics,
    dipole: CentredDipole,
    decimal_year: f64,
}

impl FieldModel {
    /// The field at an instant.
    ///
    /// # Errors
    ///
    /// [`GeomagError::OutsideSpan`] before 1975 or after 2030.0.
    pub fn at(instant: Timestamp) -> Result<Self, GeomagError> {
        Self::at_decimal_year(decimal_year(instant))
    }

    /// The field at a decimal year.
    ///
    /// # Errors
    ///
    /// [`GeomagError::OutsideSpan`] before 1975 or after 2030.0; [`GeomagError::NotFinite`].
    pub fn at_decimal_year(decimal_year: f64) -> Result<Self, GeomagError> {
        let coefficients = Coefficients::at(decimal_year)?;
        Ok(Self { harmonics: Harmonics::new(&coefficients), dipole: CentredDipole::of(&coefficients), decimal_year })
    }

    /// The date of this field, decimal year.
    pub fn decimal_year(&self) -> f64 {
        self.decimal_year
    }

    /// Field at a geodetic place: degrees, and km above the WGS-84 ellipsoid.
    ///
    /// Meant for heights from the ground to space; at the poles north and east are those of the meridian given. A number
    /// that is not finite gives components that are not.
    pub fn field(&self, latitude_deg: f64, longitude_deg: f64, height_km: f64) -> FieldVector {
        let vector_nt = self.field_ecef_nt(ecef_from_geodetic_km(latitude_deg, longitude_deg, height_km));
        let [east, north, up] = east_north_up(latitude_deg, longitude_deg);
        FieldVector { north_nt: dot(vector_nt, north), east_nt: dot(vector_nt, east), down_nt: -dot(vector_nt, up) }
    }

    /// Field vector in nT along Earth-fixed axes, at Earth-fixed coordinates in km.
    pub fn field_ecef_nt(&self, ecef_km: [f64; 3]) -> [f64; 3] {
        self.harmonics.field_nt(ecef_km)
    }

    /// The centred dipole that degree one describes.
    pub fn dipole(&self) -> CentredDipole {
        self.dipole
    }

    /// Longitude in centred-dipole coordinates of a point in Earth-fixed coordinates (km, or any length), -180..180 degrees.
    pub fn dipole_longitude_deg(&self, ecef_km: [f64; 3]) -> f64 {
        wrap_degrees_180(self.dipole.longitude_of_deg(ecef_km))
    }

    pub(crate) fn field_for_tracing_nt(&self, ecef_km: Ecef) -> Ecef {
        self.harmonics.field_for_tracing_nt(ecef_km)
    }
}

/// A magnetic field in the geodetic frame of a place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FieldVector {
    /// Toward geodetic north, nT.
    pub north_nt: f64,
    /// Toward east, nT.
    pub east_nt: f64,
    /// Downward along the ellipsoid's normal, nT.
    pub down_nt: f64,
}

impl FieldVector {
    /// Angle of the horizontal part from true north, east positive, -180..180 degrees.
    pub fn declination_deg(&self) -> f64 {
        self.east_nt.atan2(self.north_nt).to_degrees()
    }

    /// Angle below the horizon, -90..90 degrees; positive over the northern magnetic hemisphere.
    pub fn inclination_deg(&self) -> f64 {
        self.down_nt.atan2(self.horizontal_nt()).to_degrees()
    }

    /// Strength of the horizontal part, nT.
    pub fn horizontal_nt(&self) -> f64 {
        self.north_nt.hypot(self.east_nt)
    }

    /// Strength, nT.
    pub fn total_nt(&self) -> f64 {
        self.horizontal_nt().hypot(self.down_nt)
    }
}
