//! Places on and above the WGS-84 ellipsoid: Cartesian coordinates, directions, distances.

use quantity::{GeoPosition, Horizontal, wrap_degrees_360};

use crate::constants::{
    WGS84_ECCENTRICITY_SQ, WGS84_EQUATORIAL_RADIUS_KM, WGS84_FLATTENING, WGS84_POLAR_RADIUS_KM,
    WGS84_SECOND_ECCENTRICITY_SQ,
};
use crate::vector::{Ecef, dot, east_north_up, minus, norm};

/// Mean radius of the Earth, km, for the spherical fallback near antipodes (IUGG mean radius R1).
const MEAN_RADIUS_KM: f64 = 6371.0088;
/// Rounds of Bowring's formula; two give 1e-12 rad from 10 km below ground to 1e6 km up.
const BOWRING_ROUNDS: usize = 3;
/// Rounds allowed to Vincenty's iteration before the pair is taken as antipodal.
const VINCENTY_ROUNDS: usize = 50;

/// Earth-centred, Earth-fixed coordinates of a geodetic position, km: x to 0 N 0 E, y to 0 N 90 E, z to the pole.
///
/// Latitude and longitude in degrees, height above the ellipsoid in km.
pub fn ecef_from_geodetic_km(latitude_deg: f64, longitude_deg: f64, height_km: f64) -> [f64; 3] {
    let (sin_lat, cos_lat) = latitude_deg.to_radians().sin_cos();
    let (sin_lon, cos_lon) = longitude_deg.to_radians().sin_cos();
    let normal_km = WGS84_EQUATORIAL_RADIUS_KM / (1.0 - WGS84_ECCENTRICITY_SQ * sin_lat * sin_lat).sqrt();
    let axis_km = (normal_km + height_km) * cos_lat;
    [axis_km * cos_lon, axis_km * sin_lon, (normal_km * (1.0 - WGS84_ECCENTRICITY_SQ) + height_km) * sin_lat]
}

/// Geodetic latitude (deg), longitude (deg, -180..180) and height (km) of Earth-fixed coordinates in km.
///
/// # Source
///
/// B. R. Bowring, Survey Review 28, 202, 1985 (iterated; exact to rounding above the Earth's core).
pub fn geodetic_from_ecef_km(ecef_km: [f64; 3]) -> (f64, f64, f64) {
    let Normal { sin_lat, cos_lat, height_km, .. } = Normal::at(ecef_km);
    (sin_lat.atan2(cos_lat).to_degrees(), ecef_km[1].atan2(ecef_km[0]).to_degrees(), height_km)
}

/// The ellipsoid's normal through a point.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Normal {
    sin_lat: f64,
    cos_lat: f64,
    /// Unit vector of geodetic up.
    pub(crate) up: Ecef,
    /// Height above the ellipsoid, km.
    pub(crate) height_km: f64,
}

impl Normal {
    /// Without a trigonometric function, since field-line tracing asks for it at every step.
    pub(crate) fn at(ecef_km: Ecef) -> Self {
        let [x, y, z] = ecef_km;
        let axis_km = (x * x + y * y).sqrt();
        // Start from the reduced latitude of a point on the ellipsoid below.
        let (mut sin_reduced, mut cos_reduced) =
            normalized(z * WGS84_EQUATORIAL_RADIUS_KM, axis_km * WGS84_POLAR_RADIUS_KM);
        let (mut sin_lat, mut cos_lat) = (0.0, 1.0);
        for _ in 0..BOWRING_ROUNDS {
            (sin_lat, cos_lat) = normalized(
                z + WGS84_SECOND_ECCENTRICITY_SQ * WGS84_POLAR_RADIUS_KM * sin_reduced.powi(3),
                axis_km - WGS84_ECCENTRICITY_SQ * WGS84_EQUATORIAL_RADIUS_KM * cos_reduced.powi(3),
            );
            (sin_reduced, cos_reduced) = normalized((1.0 - WGS84_FLATTENING) * sin_lat, cos_lat);
        }
        let height_km = axis_km * cos_lat + z * sin_lat
            - WGS84_EQUATORIAL_RADIUS_KM * (1.0 - WGS84_ECCENTRICITY_SQ * sin_lat * sin_lat).sqrt();
        let (cos_lon, sin_lon) = if axis_km > 0.0 { (x / axis_km, y / axis_km) } else { (1.0, 0.0) };
        Self { sin_lat, cos_lat, up: [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat], height_km }
    }
}

/// Sine and cosine of the angle whose tangent is `opposite / adjacent`.
fn normalized(opposite: f64, adjacent: f64) -> (f64, f64) {
    let length = (opposite * opposite + adjacent * adjacent).sqrt();
    if length > 0.0 { (opposite / length, adjacent / length) } else { (0.0, 1.0) }
}

/// Direction (geometric, no refraction) and straight-line distance in km from an observer to a point.
///
/// The point is given by geodetic latitude and longitude in degrees and height above the ellipsoid in km. Toward the
/// observer's own place the direction is meaningless and comes out as the horizon in the north.
pub fn look_at(observer: GeoPosition, latitude_deg: f64, longitude_deg: f64, height_km: f64) -> (Horizontal, f64) {
    let to_point_km = minus(ecef_from_geodetic_km(latitude_deg, longitude_deg, height_km), observer_ecef_km(observer));
    let axes = east_north_up(observer.latitude_deg(), observer.longitude_deg());
    (Horizontal::from_east_north_up(axes.map(|axis| dot(axis, to_point_km))), norm(to_point_km))
}

/// Earth-fixed coordinates of an observer, km.
pub(crate) fn observer_ecef_km(observer: GeoPosition) -> Ecef {
    ecef_from_geodetic_km(observer.latitude_deg(), observer.longitude_deg(), observer.height_m() / 1000.0)
}

/// Shortest distance along the WGS-84 ellipsoid between two places, km; heights do not matter.
///
/// Good to a metre. Within about half a degree of the antipode, where the iteration does not settle, the sphere of radius
/// 6371.0088 km is used (error up to 0.6 %).
///
/// # Source
///
/// T. Vincenty, Survey Review 23, 88, 1975, inverse formula.
pub fn ground_distance_km(from: GeoPosition, to: GeoPosition) -> f64 {
    geodesic(from, to).distance_km
}

/// Direction in which the shortest path along the ellipsoid leaves `from` for `to`: degrees from north through east, 0..360.
///
/// Between a place and itself it is 0. Near the antipode it is that of the sphere, see [`ground_distance_km`].
pub fn bearing_deg(from: GeoPosition, to: GeoPosition) -> f64 {
    geodesic(from, to).bearing_deg
}

struct Geodesic {
    distance_km: f64,
    bearing_deg: f64,
}

/// A pair of places on the auxiliary sphere of reduced latitudes.
struct AuxiliaryPair {
    sin_u1: f64,
    cos_u1: f64,
    sin_u2: f64,
    cos_u2: f64,
}

impl AuxiliaryPair {
    /// Components of the arc toward the second place: east, north, and along the first radius.
    fn arc(&self, longitude_rad: f64) -> (f64, f64, f64) {
        let (sin_l, cos_l) = longitude_rad.sin_cos();
        (
            self.cos_u2 * sin_l,
            self.cos_u1 * self.sin_u2 - self.sin_u1 * self.cos_u2 * cos_l,
            self.sin_u1 * self.sin_u2 + self.cos_u1 * self.cos_u2 * cos_l,
        )
    }
}

fn geodesic(from: GeoPosition, to: GeoPosition) -> Geodesic {
    let reduced = |latitude_deg: f64| {
        let (sin_lat, cos_lat) = latitude_deg.to_radians().sin_cos();
        normalized((1.0 - WGS84_FLATTENING) * sin_lat, cos_lat)
    };
    let ((sin_u1, cos_u1), (sin_u2, cos_u2)) = (reduced(from.latitude_deg()), reduced(to.latitude_deg()));
    let pair = AuxiliaryPair { sin_u1, cos_u1, sin_u2, cos_u2 };
    let difference_rad = quantity::wrap_degrees_180(to.longitude_deg() - from.longitude_deg()).to_radians();
    vincenty(&pair, difference_rad).unwrap_or_else(|| on_sphere(from, to, difference_rad))
}

/// Vincenty's inverse iteration; `None` if it does not settle (nearly antipodal places).
fn vincenty(pair: &AuxiliaryPair, difference_rad: f64) -> Option<Geodesic> {
    let mut longitude_rad = difference_rad;
    for _ in 0..VINCENTY_ROUNDS {
        let (east, north, along) = pair.arc(longitude_rad);
        let sin_sigma = east.hypot(north);
        if sin_sigma < 1e-15 && along > 0.0 {
            return Some(Geodesic { distance_km: 0.0, bearing_deg: 0.0 });
        }
        let sigma = sin_sigma.atan2(along);
        let sin_alpha = pair.cos_u1 * pair.cos_u2 * longitude_rad.sin() / sin_sigma;
        let cos2_alpha = 1.0 - sin_alpha * sin_alpha;
        // On the equator both are zero and the term drops out.
        let cos_2m = if cos2_alpha > 1e-15 { along - 2.0 * pair.sin_u1 * pair.sin_u2 / cos2_alpha } else { 0.0 };
        let f = WGS84_FLATTENING;
        let c = f / 16.0 * cos2_alpha * (4.0 + f * (4.0 - 3.0 * cos2_alpha));
        let turn = sigma + c * sin_sigma * (cos_2m + c * along * (2.0 * cos_2m * cos_2m - 1.0));
        let next_rad = difference_rad + (1.0 - c) * f * sin_alpha * turn;
        if next_rad.abs() > std::f64::consts::PI {
            return None;
        }
        if (next_rad - longitude_rad).abs() < 1e-12 {
            let bearing_deg = wrap_degrees_360(east.atan2(north).to_degrees());
            return Some(Geodesic { distance_km: vincenty_length_km(sigma, cos2_alpha, cos_2m), bearing_deg });
        }
        longitude_rad = next_rad;
    }
    None
}

fn vincenty_length_km(sigma: f64, cos2_alpha: f64, cos_2m: f64) -> f64 {
    let u2 = cos2_alpha * WGS84_SECOND_ECCENTRICITY_SQ;
    let a = 1.0 + u2 / 16384.0 * (4096.0 + u2 * (-768.0 + u2 * (320.0 - 175.0 * u2)));
    let b = u2 / 1024.0 * (256.0 + u2 * (-128.0 + u2 * (74.0 - 47.0 * u2)));
    let (sin_s, cos_s) = sigma.sin_cos();
    let first = cos_s * (2.0 * cos_2m * cos_2m - 1.0);
    let second = b / 6.0 * cos_2m * (4.0 * sin_s * sin_s - 3.0) * (4.0 * cos_2m * cos_2m - 3.0);
    let correction = b * sin_s * (cos_2m + b / 4.0 * (first - second));
    WGS84_POLAR_RADIUS_KM * a * (sigma - correction)
}

fn on_sphere(from: GeoPosition, to: GeoPosition, difference_rad: f64) -> Geodesic {
    let (sin_u1, cos_u1) = from.latitude_deg().to_radians().sin_cos();
    let (sin_u2, cos_u2) = to.latitude_deg().to_radians().sin_cos();
    let (east, north, along) = AuxiliaryPair { sin_u1, cos_u1, sin_u2, cos_u2 }.arc(difference_rad);
    Geodesic {
        distance_km: MEAN_RADIUS_KM * east.hypot(north).atan2(along),
        bearing_deg: wrap_degrees_360(east.atan2(north).to_degrees()),
    }
}
