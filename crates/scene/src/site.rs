//! The observer's axes, the plane around the site, and the field followed by height.

use geomag::{FieldModel, ecef_from_geodetic_km, geodetic_from_ecef_km};
use quantity::GeoPosition;

use crate::field_lines::{HEIGHTS_KM, LEVELS};
use crate::vector::{V3, along, dot, norm, scaled, subtracted};

/// Radius of the sphere on which the plane is wound, km.
pub(crate) const EARTH_RADIUS_KM: f64 = 6371.0;
/// Longest step along a line, km.
const STEP_KM: f64 = 40.0;

/// Position of the site and its axes.
pub(crate) struct Site {
    place: GeoPosition,
    ecef_km: V3,
    east_north_up: [V3; 3],
}

impl Site {
    pub(crate) fn new(place: GeoPosition) -> Self {
        let (lat, lon) = (place.latitude_deg(), place.longitude_deg());
        let ((sin_lat, cos_lat), (sin_lon, cos_lon)) = (lat.to_radians().sin_cos(), lon.to_radians().sin_cos());
        Self {
            place,
            ecef_km: ecef_from_geodetic_km(lat, lon, place.height_m() / 1000.0),
            east_north_up: [
                [-sin_lon, cos_lon, 0.0],
                [-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat],
                [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat],
            ],
        }
    }

    pub(crate) fn seen(&self, ecef_km: V3) -> V3 {
        let from_site = subtracted(ecef_km, self.ecef_km);
        self.east_north_up.map(|axis| dot(axis, from_site))
    }

    /// The inverse of [`Site::seen`].
    #[cfg(test)]
    pub(crate) fn ecef_of(&self, from_site: V3) -> V3 {
        let [east, north, up] = self.east_north_up;
        along(along(along(self.ecef_km, from_site[0], east), from_site[1], north), from_site[2], up)
    }

    /// On the sphere: latitude and longitude of a point of the plane.
    pub(crate) fn place_at(&self, [x_km, y_km]: [f64; 2]) -> (f64, f64) {
        let arc = x_km.hypot(y_km) / EARTH_RADIUS_KM;
        let azimuth = x_km.atan2(y_km);
        let (sin_lat, cos_lat) = self.place.latitude_deg().to_radians().sin_cos();
        let sin_there = sin_lat * arc.cos() + cos_lat * arc.sin() * azimuth.cos();
        let east = (azimuth.sin() * arc.sin() * cos_lat).atan2(arc.cos() - sin_lat * sin_there);
        let longitude = quantity::wrap_degrees_180(self.place.longitude_deg() + east.to_degrees());
        (sin_there.clamp(-1.0, 1.0).asin().to_degrees(), longitude)
    }

    /// The inverse of [`Site::place_at`].
    pub(crate) fn plane_km(&self, latitude_deg: f64, longitude_deg: f64) -> [f64; 2] {
        let (sin_here, cos_here) = self.place.latitude_deg().to_radians().sin_cos();
        let (sin_lat, cos_lat) = latitude_deg.to_radians().sin_cos();
        let (sin_lon, cos_lon) = (longitude_deg - self.place.longitude_deg()).to_radians().sin_cos();
        let (east, north) = (cos_lat * sin_lon, cos_here * sin_lat - sin_here * cos_lat * cos_lon);
        let up = sin_here * sin_lat + cos_here * cos_lat * cos_lon;
        let across = east.hypot(north);
        let scale = if across > 0.0 { EARTH_RADIUS_KM * across.atan2(up) / across } else { 0.0 };
        [scale * east, scale * north]
    }
}

/// Follows the field from the foot to each height.
pub(crate) fn places_by_height(field: &FieldModel, foot_km: V3) -> [V3; LEVELS] {
    let mut places = [foot_km; LEVELS];
    places[0] = followed(field, foot_km, HEIGHTS_KM[0]);
    for level in 2..LEVELS {
        places[level] = followed(field, places[level - 1], HEIGHTS_KM[level]);
    }
    places
}

/// Along the field to a geodetic height, by the midpoint rule; a line that does not rise stays where it is.
fn followed(field: &FieldModel, start_km: V3, height_km: f64) -> V3 {
    let mut at = start_km;
    for _ in 0..20 {
        let (latitude, longitude, height) = geodetic_from_ecef_km(at);
        let rise_km = height_km - height;
        if rise_km.abs() < 1e-3 {
            break;
        }
        let (up, slope) = upward(field, at, latitude, longitude);
        if slope < 0.05 {
            break;
        }
        let step_km = (rise_km / slope).clamp(-STEP_KM, STEP_KM);
        let halfway = along(at, 0.5 * step_km, up);
        let (latitude, longitude, _) = geodetic_from_ecef_km(halfway);
        at = along(at, step_km, upward(field, halfway, latitude, longitude).0);
    }
    at
}

/// Unit vector up along the field, and its vertical part.
fn upward(field: &FieldModel, at: V3, latitude_deg: f64, longitude_deg: f64) -> (V3, f64) {
    let vector = field.field_ecef_nt(at);
    let ((sin_lat, cos_lat), (sin_lon, cos_lon)) =
        (latitude_deg.to_radians().sin_cos(), longitude_deg.to_radians().sin_cos());
    let vertical = dot(vector, [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat]);
    let unit = scaled(vector, vertical.signum() / norm(vector).max(1e-9));
    (unit, vertical.abs() / norm(vector).max(1e-9))
}
