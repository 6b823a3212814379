//! Where the rays of an aurora overhead meet.

use quantity::Horizontal;

use crate::field::FieldVector;

/// The magnetic zenith: the direction in which one looks up along the field.
///
/// Rays are parallel to the field, so by perspective they converge here; a corona forms around it. Altitude is the absolute
/// inclination, azimuth the declination plus 180 degrees in the northern magnetic hemisphere and the declination in the
/// southern. Take the field at the height of the light rather than on the ground (it differs by less than a degree at 110 km).
///
/// # Example
///
/// ```
/// use geomag::{FieldModel, magnetic_zenith};
///
/// let field = FieldModel::at_decimal_year(2025.0)?.field(69.65, 18.96, 0.0);
/// let zenith = magnetic_zenith(&field);
/// assert!((zenith.altitude_deg - 78.42).abs() < 0.01 && (zenith.azimuth_deg - 190.8).abs() < 0.1);
/// # Ok::<(), geomag::GeomagError>(())
/// ```
pub fn magnetic_zenith(field: &FieldVector) -> Horizontal {
    // Up along the line is against B where B points down.
    let sign = if field.down_nt > 0.0 { -1.0 } else { 1.0 };
    Horizontal::from_east_north_up([sign * field.east_nt, sign * field.north_nt, -sign * field.down_nt])
}
