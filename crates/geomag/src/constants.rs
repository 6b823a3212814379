//! Constants of the Earth's figure and of the field model, as published.

/// Equatorial radius of the WGS-84 ellipsoid, km (NIMA TR8350.2, 2000).
pub(crate) const WGS84_EQUATORIAL_RADIUS_KM: f64 = 6378.137;
/// Flattening of the WGS-84 ellipsoid (NIMA TR8350.2, 2000).
pub(crate) const WGS84_FLATTENING: f64 = 1.0 / 298.257_223_563;
/// Polar radius of the WGS-84 ellipsoid, km.
pub(crate) const WGS84_POLAR_RADIUS_KM: f64 = WGS84_EQUATORIAL_RADIUS_KM * (1.0 - WGS84_FLATTENING);
/// Square of the first eccentricity.
pub(crate) const WGS84_ECCENTRICITY_SQ: f64 = WGS84_FLATTENING * (2.0 - WGS84_FLATTENING);
/// Square of the second eccentricity.
pub(crate) const WGS84_SECOND_ECCENTRICITY_SQ: f64 = WGS84_ECCENTRICITY_SQ / (1.0 - WGS84_ECCENTRICITY_SQ);

/// Reference radius of the IGRF coefficients, km (Alken et al. 2021, Earth Planets Space 73, 49).
pub(crate) const IGRF_RADIUS_KM: f64 = 6371.2;

/// Mean radius in the definitions of quasi-dipole and apex latitude, km (Laundal & Richmond 2017).
pub(crate) const APEX_RADIUS_KM: f64 = 6371.009;
/// Reference height of modified apex latitude, km (the usual choice; Richmond 1995 leaves it free).
pub(crate) const APEX_REFERENCE_HEIGHT_KM: f64 = 110.0;
