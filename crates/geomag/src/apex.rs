//! Magnetic coordinates of a point, from the highest point of its field line.

use quantity::wrap_degrees_180;
use serde::Serialize;

use crate::constants::{APEX_RADIUS_KM, APEX_REFERENCE_HEIGHT_KM};
use crate::error::{GeomagError, checked};
use crate::field::FieldModel;
use crate::geodesy::ecef_from_geodetic_km;
use crate::line::{Apex, find_apex};

/// Lowest height accepted, km: below any shore.
pub(crate) const LOWEST_KM: f64 = -10.0;
/// Greatest height accepted, km: the main field is far from the whole field there, but coordinates are still defined.
pub(crate) const HIGHEST_KM: f64 = 100_000.0;

/// Where a point lies in the magnetic field: negative latitudes are magnetic south.
///
/// With R = 6371.009 km, point height h and apex height h_A above the ellipsoid:
/// quasi-dipole latitude cos^2 = (R + h)/(R + h_A); modified apex latitude cos^2 = (R + 110 km)/(R + h_A); model latitude
/// cos^2 = R/(R + h_A). The last two label the whole field line; the first depends on the height of the point.
///
/// # Source
///
/// Richmond 1995, *J. Geomagn. Geoelectr.* 47, 191; Laundal & Richmond 2017, *Space Sci. Rev.* 206, 27.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MagneticCoordinates {
    /// Quasi-dipole latitude, degrees.
    pub qd_lat_deg: f64,
    /// Quasi-dipole longitude, degrees, -180..180: centred-dipole longitude of the apex.
    pub qd_lon_deg: f64,
    /// Modified apex latitude for a reference height of 110 km, degrees; none where the line stays below 110 km.
    pub apex_lat_deg: Option<f64>,
    /// Apex longitude, degrees: the same as the quasi-dipole longitude.
    pub apex_lon_deg: f64,
    /// Height of the apex above the ellipsoid, km. Capped near the magnetic poles, where lines do not close.
    pub apex_height_km: f64,
    /// Apex latitude for a reference height of 0, degrees: beyond 50 degrees usually within 0.05 of corrected geomagnetic
    /// latitude (AACGM-v2) for a point at 110 km, 0.15 over the Atlantic, so the one to feed to models of the oval.
    pub model_lat_deg: f64,
}

impl MagneticCoordinates {
    /// From the unit vector of quasi-dipole latitude and longitude (its length does not matter) at a height.
    pub(crate) fn from_qd_vector([x, y, z]: [f64; 3], height_km: f64) -> Self {
        let horizontal = x.hypot(y);
        let length_sq = x * x + y * y + z * z;
        // (R + h_A) = (R + h) / cos^2(qd)
        let cos2 = (horizontal * horizontal / length_sq).max(SMALLEST_COS2);
        let apex_km = (APEX_RADIUS_KM + height_km) / cos2;
        let qd_lon_deg = y.atan2(x).to_degrees();
        let labelled = |reference_km: f64| signed_latitude_deg((APEX_RADIUS_KM + reference_km) / apex_km, z);
        Self {
            qd_lat_deg: z.atan2(horizontal).to_degrees(),
            qd_lon_deg,
            apex_lat_deg: labelled(APEX_REFERENCE_HEIGHT_KM),
            apex_lon_deg: qd_lon_deg,
            apex_height_km: apex_km - APEX_RADIUS_KM,
            model_lat_deg: labelled(0.0).unwrap_or(0.0),
        }
    }

    /// Unit vector of quasi-dipole latitude and longitude: smooth through poles, date line and dip equator.
    pub(crate) fn qd_vector(&self) -> [f64; 3] {
        crate::vector::unit_to(self.qd_lat_deg, self.qd_lon_deg)
    }
}

/// Least cos^2 of a latitude that is told from 90 degrees: an apex at 6e15 km.
const SMALLEST_COS2: f64 = 1e-12;

/// Latitude with the given squared cosine and the sign of `side`; none if no latitude has it.
fn signed_latitude_deg(cos2: f64, side: f64) -> Option<f64> {
    let sin2 = 1.0 - cos2;
    (sin2 >= 0.0).then(|| sin2.sqrt().atan2(cos2.sqrt()).to_degrees().copysign(side))
}

/// Magnetic coordinates of a point by following its field line up to its highest point.
///
/// Latitude and longitude in degrees, height above the ellipsoid in km (-10 to 100 000). Good to 0.001 degrees for the field
/// of the model. On the dip equator, where a line does not rise, the point is its own apex and its quasi-dipole latitude 0.
///
/// # Errors
///
/// A number that is not finite or out of range; a line whose apex is not found.
///
/// # Example
///
/// ```
/// use geomag::FieldModel;
///
/// let here = geomag::trace(&FieldModel::at_decimal_year(2025.0)?, 69.65, 18.96, 110.0)?;
/// assert!((here.qd_lat_deg - 67.02).abs() < 0.02);
/// # Ok::<(), geomag::GeomagError>(())
/// ```
pub fn trace(
    field: &FieldModel,
    latitude_deg: f64,
    longitude_deg: f64,
    height_km: f64,
) -> Result<MagneticCoordinates, GeomagError> {
    check_point(latitude_deg, longitude_deg, height_km)?;
    let start_km = ecef_from_geodetic_km(latitude_deg, longitude_deg, height_km);
    let Apex { ecef_km, height_km: apex_height_km, northern } =
        find_apex(field, start_km).map_err(|steps| GeomagError::NoApex { latitude_deg, longitude_deg, steps })?;
    let cos2 = ((APEX_RADIUS_KM + height_km) / (APEX_RADIUS_KM + apex_height_km)).clamp(SMALLEST_COS2, 1.0);
    let longitude = wrap_degrees_180(field.dipole_longitude_deg(ecef_km)).to_radians();
    let (cos, sin) = (cos2.sqrt(), (1.0 - cos2).sqrt());
    let side = if northern { sin } else { -sin };
    Ok(MagneticCoordinates::from_qd_vector([cos * longitude.cos(), cos * longitude.sin(), side], height_km))
}

/// Refuses what is no place.
pub(crate) fn check_point(latitude_deg: f64, longitude_deg: f64, height_km: f64) -> Result<(), GeomagError> {
    checked("latitude in degrees", latitude_deg, -90.0, 90.0)?;
    checked("longitude in degrees", longitude_deg, -360.0, 360.0)?;
    checked("height in km", height_km, LOWEST_KM, HIGHEST_KM)?;
    Ok(())
}
