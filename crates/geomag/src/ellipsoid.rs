//! WGS-84: places as latitude, longitude and height, and as Earth-fixed vectors.

/// Equatorial radius, km (WGS-84).
pub(crate) const EQUATORIAL_KM: f64 = 6378.137;
/// Flattening (WGS-84).
const FLATTENING: f64 = 1.0 / 298.257_223_563;
/// Polar radius, km.
const POLAR_KM: f64 = EQUATORIAL_KM * (1.0 - FLATTENING);
/// First eccentricity squared.
const ECCENTRICITY2: f64 = FLATTENING * (2.0 - FLATTENING);
/// Second eccentricity squared.
const SECOND_ECCENTRICITY2: f64 = ECCENTRICITY2 / (1.0 - ECCENTRICITY2);

/// Unit vectors at a place, along the Earth-fixed axes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LocalAxes {
    pub(crate) north: [f64; 3],
    pub(crate) east: [f64; 3],
    pub(crate) up: [f64; 3],
}

/// North, east and up at a geodetic latitude and longitude.
pub(crate) fn local_axes(latitude_deg: f64, longitude_deg: f64) -> LocalAxes {
    let (sin_lat, cos_lat) = latitude_deg.to_radians().sin_cos();
    let (sin_lon, cos_lon) = longitude_deg.to_radians().sin_cos();
    LocalAxes {
        north: [-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat],
        east: [-sin_lon, cos_lon, 0.0],
        up: [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat],
    }
}

/// Earth-fixed vector of a geodetic place, km.
pub(crate) fn ecef_km(latitude_deg: f64, longitude_deg: f64, height_km: f64) -> [f64; 3] {
    let (sin_lat, cos_lat) = latitude_deg.to_radians().sin_cos();
    let (sin_lon, cos_lon) = longitude_deg.to_radians().sin_cos();
    let normal_km = EQUATORIAL_KM / (1.0 - ECCENTRICITY2 * sin_lat * sin_lat).sqrt();
    let rho = (normal_km + height_km) * cos_lat;
    [rho * cos_lon, rho * sin_lon, (normal_km * (1.0 - ECCENTRICITY2) + height_km) * sin_lat]
}

/// Geodetic latitude, longitude (degrees) and height (km) of an Earth-fixed vector.
///
/// Bowring's method, iterated twice: below a millimetre from the ground to the magnetopause.
pub(crate) fn geodetic([x, y, z]: [f64; 3]) -> (f64, f64, f64) {
    let rho = x.hypot(y);
    let mut reduced = (z * EQUATORIAL_KM).atan2(rho * POLAR_KM);
    let mut latitude = 0.0;
    for _pass in 0..2 {
        let (sin, cos) = reduced.sin_cos();
        latitude = (z + SECOND_ECCENTRICITY2 * POLAR_KM * sin.powi(3))
            .atan2(rho - ECCENTRICITY2 * EQUATORIAL_KM * cos.powi(3));
        reduced = ((1.0 - FLATTENING) * latitude.tan()).atan();
    }
    let (sin_lat, cos_lat) = latitude.sin_cos();
    let normal_km = EQUATORIAL_KM / (1.0 - ECCENTRICITY2 * sin_lat * sin_lat).sqrt();
    // the form that is exact at the equator and at the poles alike
    let height_km = rho * cos_lat + z * sin_lat - EQUATORIAL_KM * EQUATORIAL_KM / normal_km;
    (latitude.to_degrees(), y.atan2(x).to_degrees(), height_km)
}
