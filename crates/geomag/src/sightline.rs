//! The straight line along which an observer looks, in three dimensions.

use quantity::{GeoPosition, Horizontal};
use serde::Serialize;

use crate::constants::{WGS84_EQUATORIAL_RADIUS_KM, WGS84_FLATTENING};
use crate::geodesy::{Normal, geodetic_from_ecef_km, observer_ecef_km};
use crate::vector::{Ecef, along, dot, east_north_up, norm, scaled};

/// Newton steps allowed; the height along a line is convex, so five are the usual number.
const NEWTON_STEPS: usize = 30;
/// When a height counts as reached, km.
const HEIGHT_REACHED_KM: f64 = 1e-8;
/// Share of the radius by which a line may seem to cut the ground through rounding (0.06 mm).
const GRAZING_SHARE: f64 = 1e-11;

/// A straight line of sight from an observer. No refraction: pass the airless direction.
#[derive(Debug, Clone, Copy)]
pub struct Sightline {
    origin_km: Ecef,
    direction: Ecef,
    observer_height_km: f64,
}

/// A point on a line of sight.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SkyPoint {
    /// WGS-84 geodetic latitude, degrees.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive, -180..180.
    pub longitude_deg: f64,
    /// Height above the ellipsoid, km.
    pub height_km: f64,
    /// Straight distance from the observer, km.
    pub slant_km: f64,
    /// Angle between the line of sight and the local vertical at the point, degrees; the thin-layer (van Rhijn) factor
    /// is 1 over its cosine.
    pub zenith_angle_deg: f64,
}

impl Sightline {
    /// The line from an observer toward a geometric direction.
    pub fn new(observer: GeoPosition, direction: Horizontal) -> Self {
        let [east, north, up] = east_north_up(observer.latitude_deg(), observer.longitude_deg());
        let [e, n, u] = direction.east_north_up();
        let vector = along(along(scaled(east, e), n, north), u, up);
        Self {
            origin_km: observer_ecef_km(observer),
            direction: scaled(vector, 1.0 / norm(vector)),
            observer_height_km: observer.height_m() / 1000.0,
        }
    }

    /// The first point where the line reaches a geodetic height; `None` if the ground is in the way, if the line never
    /// comes down to a height below the observer, or if a number is not finite.
    pub fn at_height_km(&self, height_km: f64) -> Option<SkyPoint> {
        if height_km >= self.observer_height_km {
            if self.meets_the_ground() {
                return None;
            }
            self.rising_to(height_km)
        } else {
            self.sinking_to(height_km)
        }
    }

    /// The point at a straight distance from the observer, km; it may lie under the ground.
    pub fn at_slant_km(&self, slant_km: f64) -> SkyPoint {
        let point_km = along(self.origin_km, slant_km, self.direction);
        let (latitude_deg, longitude_deg, height_km) = geodetic_from_ecef_km(point_km);
        let up = Normal::at(point_km).up;
        let zenith_angle_deg = quantity::angular_separation_deg(self.direction, up);
        SkyPoint { latitude_deg, longitude_deg, height_km, slant_km, zenith_angle_deg }
    }

    /// Does the line, in front of the observer, pass below both the ellipsoid and the observer?
    ///
    /// Stretching z turns the ellipsoid into a sphere, where the closest approach is exact.
    fn meets_the_ground(&self) -> bool {
        let stretch = |v: Ecef| [v[0], v[1], v[2] / (1.0 - WGS84_FLATTENING)];
        let (origin, direction) = (stretch(self.origin_km), stretch(self.direction));
        let nearest = -dot(origin, direction) / dot(direction, direction);
        let closest_km = norm(along(origin, nearest, direction));
        let floor_km = WGS84_EQUATORIAL_RADIUS_KM.min(norm(origin));
        nearest > 0.0 && closest_km < floor_km * (1.0 - GRAZING_SHARE)
    }

    /// Newton from beyond the crossing: the height is convex along the line, so the steps come down to it one-sidedly.
    fn rising_to(&self, height_km: f64) -> Option<SkyPoint> {
        let radius_km = norm(self.origin_km);
        let sin_alt = dot(self.direction, self.origin_km) / radius_km;
        let rise_km = height_km - self.observer_height_km;
        let discriminant = (radius_km * sin_alt).powi(2) + rise_km * (2.0 * radius_km + rise_km);
        // Longer than the true distance, since the Earth's figure bends the height by less than 1 %.
        let start_km = (discriminant.sqrt() - radius_km * sin_alt) * 1.02;
        self.newton(height_km, start_km)
    }

    fn sinking_to(&self, height_km: f64) -> Option<SkyPoint> {
        let slope = dot(self.direction, Normal::at(self.origin_km).up);
        if slope >= 0.0 { None } else { self.newton(height_km, 0.0) }
    }

    fn newton(&self, height_km: f64, start_km: f64) -> Option<SkyPoint> {
        let mut slant_km = start_km;
        for _ in 0..NEWTON_STEPS {
            let normal = Normal::at(along(self.origin_km, slant_km, self.direction));
            let excess_km = normal.height_km - height_km;
            if excess_km.abs() < HEIGHT_REACHED_KM {
                return Some(self.at_slant_km(slant_km.max(0.0)));
            }
            let step_km = excess_km / dot(normal.up, self.direction);
            slant_km -= step_km;
            if !slant_km.is_finite() || (step_km.abs() < HEIGHT_REACHED_KM && slant_km > 0.0) {
                break;
            }
        }
        let point = self.at_slant_km(slant_km);
        ((point.height_km - height_km).abs() < 1e-4 && slant_km >= 0.0).then_some(point)
    }
}
