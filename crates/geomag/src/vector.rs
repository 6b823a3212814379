//! The few vector operations of three-space that the crate needs.

/// A vector in the Earth-centred, Earth-fixed frame: x to 0 N 0 E, y to 0 N 90 E, z to the north pole.
pub(crate) type Ecef = [f64; 3];

pub(crate) fn dot(a: Ecef, b: Ecef) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(crate) fn norm(a: Ecef) -> f64 {
    dot(a, a).sqrt()
}

/// `a + k b`.
pub(crate) fn along(a: Ecef, k: f64, b: Ecef) -> Ecef {
    [a[0] + k * b[0], a[1] + k * b[1], a[2] + k * b[2]]
}

pub(crate) fn minus(a: Ecef, b: Ecef) -> Ecef {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub(crate) fn scaled(a: Ecef, k: f64) -> Ecef {
    [a[0] * k, a[1] * k, a[2] * k]
}

/// Unit vectors east, north and up of the geodetic horizon at a latitude and longitude.
pub(crate) fn east_north_up(latitude_deg: f64, longitude_deg: f64) -> [Ecef; 3] {
    let (sin_lat, cos_lat) = latitude_deg.to_radians().sin_cos();
    let (sin_lon, cos_lon) = longitude_deg.to_radians().sin_cos();
    [
        [-sin_lon, cos_lon, 0.0],
        [-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat],
        [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat],
    ]
}

/// Unit vector to a geocentric latitude and longitude.
pub(crate) fn unit_to(latitude_deg: f64, longitude_deg: f64) -> Ecef {
    let (sin_lat, cos_lat) = latitude_deg.to_radians().sin_cos();
    let (sin_lon, cos_lon) = longitude_deg.to_radians().sin_cos();
    [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat]
}
