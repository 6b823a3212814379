//! Magnetic coordinates around one site, quick enough for every step of every sightline.

use geomag::{FieldModel, MagneticCoordinates};
use quantity::{GeoPosition, wrap_degrees_180};

use crate::AuroraError;

/// Radius of the sphere on which distances around a site are reckoned, km.
///
/// Against the ellipsoid this costs at most 0.2 degrees of altitude for a layer at 110 km (geometry; checked in the
/// tests), far less than the two degrees to which any border is known.
pub(crate) const EARTH_RADIUS_KM: f64 = 6371.0;
/// Height at which lines of the field are labelled, km.
const FOOT_HEIGHT_KM: f64 = 110.0;
/// Spacing of the nodes, km of ground distance.
const SPACING_KM: f64 = 400.0;
/// Nodes along one side; they reach 2600 km each way, past the horizon of a layer at 500 km.
const SIDE: usize = 14;
/// Quantities at a node: unit vector of the field line's magnetic latitude and longitude, and the ground shift of the line per
/// kilometre of height (x east, y north).
const FIELDS: usize = 5;

/// A map of field lines on the plane of distance and azimuth around one site.
///
/// Coordinates of the plane: x km east, y km north of the site, at the azimuth and ground distance of the point. Each node
/// knows its field line at 110 km and how far the line leans; a point at another height is slid along its line to 110 km.
/// A straight line instead of the curved one costs 4 km at 250 km and 18 km at 410 km.
#[derive(Debug, Clone)]
pub(crate) struct LocalField {
    nodes: Vec<[f32; FIELDS]>,
}

impl LocalField {
    pub(crate) fn new(site: GeoPosition, field: &FieldModel) -> Result<Self, AuroraError> {
        let mut nodes = Vec::with_capacity(SIDE * SIDE);
        for row in 0..SIDE {
            for column in 0..SIDE {
                nodes.push(Self::node(site, field, node_km(column), node_km(row))?);
            }
        }
        Ok(Self { nodes })
    }

    fn node(site: GeoPosition, field: &FieldModel, x_km: f64, y_km: f64) -> Result<[f32; FIELDS], AuroraError> {
        let (latitude_deg, longitude_deg) = place_at(site, x_km, y_km);
        let line = geomag::trace(field, latitude_deg, longitude_deg, FOOT_HEIGHT_KM)
            .map_err(|source| AuroraError::NoFieldLine { latitude_deg, longitude_deg, source })?;
        let vector = field.field(latitude_deg, longitude_deg, FOOT_HEIGHT_KM);
        // Going up by 1 km along the line moves north by -N/D and east by -E/D.
        let down = if vector.down_nt.abs() < 1.0 { 1.0 } else { vector.down_nt };
        let scale = EARTH_RADIUS_KM / (EARTH_RADIUS_KM + FOOT_HEIGHT_KM);
        let (north_km, east_km) = (-vector.north_nt / down * scale, -vector.east_nt / down * scale);
        let (shift_x, shift_y) = plane_shift(site, (latitude_deg, longitude_deg), (x_km, y_km), (north_km, east_km));
        let [a, b, c] = unit_vector(&line);
        #[expect(clippy::cast_possible_truncation, reason = "a degree of latitude in seven digits")]
        let node = [a as f32, b as f32, c as f32, shift_x as f32, shift_y as f32];
        Ok(node)
    }

    /// Magnetic latitude and longitude (degrees) of the field line through a point.
    #[inline]
    pub(crate) fn at(&self, x_km: f32, y_km: f32, height_km: f32) -> (f32, f32) {
        #[expect(clippy::cast_possible_truncation, reason = "constant of this module")]
        let rise_km = height_km - FOOT_HEIGHT_KM as f32;
        let [shift_x, shift_y] = self.shift(x_km, y_km);
        let [a, b, c] = self.line(x_km - shift_x * rise_km, y_km - shift_y * rise_km);
        (c.atan2(a.hypot(b)).to_degrees(), b.atan2(a).to_degrees())
    }

    /// Lean of the line, between the four nearest nodes linearly: it changes by a tenth per node.
    #[inline]
    fn shift(&self, x_km: f32, y_km: f32) -> [f32; 2] {
        let (column, dx) = cell(x_km);
        let (row, dy) = cell(y_km);
        let corner = |c: usize, r: usize, i: usize| self.nodes[r * SIDE + c][i];
        [3, 4].map(|i| {
            let low = corner(column, row, i) * (1.0 - dx) + corner(column + 1, row, i) * dx;
            let high = corner(column, row + 1, i) * (1.0 - dx) + corner(column + 1, row + 1, i) * dx;
            low * (1.0 - dy) + high * dy
        })
    }

    /// Unit vector of the line, by cubic Lagrange polynomials through four by four nodes.
    #[inline]
    fn line(&self, x_km: f32, y_km: f32) -> [f32; 3] {
        let (column, dx) = cell(x_km);
        let (row, dy) = cell(y_km);
        let (wx, wy) = (lagrange(dx), lagrange(dy));
        let mut sum = [0.0f32; 3];
        for (r, wy) in wy.into_iter().enumerate() {
            let first = (row + r - 1) * SIDE + column - 1;
            for (node, wx) in self.nodes[first..first + 4].iter().zip(wx) {
                for (total, value) in sum.iter_mut().zip(node) {
                    *total += wx * wy * value;
                }
            }
        }
        sum
    }
}

/// Position of a node along one axis, km.
fn node_km(index: usize) -> f64 {
    (index as f64 - (SIDE - 1) as f64 / 2.0) * SPACING_KM
}

/// Index of the node below a coordinate (with one node to spare on each side) and the share of the way to the next.
#[inline]
fn cell(km: f32) -> (usize, f32) {
    #[expect(clippy::cast_possible_truncation, reason = "constants of this module")]
    let (spacing, middle) = (SPACING_KM as f32, ((SIDE - 1) as f32) / 2.0);
    let position = (km / spacing + middle).clamp(1.0, (SIDE - 3) as f32 + 0.999);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the table")]
    let index = position as usize;
    (index, position - index as f32)
}

/// Weights of nodes -1, 0, 1, 2 at `t` between nodes 0 and 1.
#[inline]
fn lagrange(t: f32) -> [f32; 4] {
    let (before, after, beyond) = (t + 1.0, t - 1.0, t - 2.0);
    [-t * after * beyond / 6.0, before * after * beyond / 2.0, -before * t * beyond / 2.0, before * t * after / 6.0]
}

fn unit_vector(line: &MagneticCoordinates) -> [f64; 3] {
    let (sin_lat, cos_lat) = line.model_lat_deg.to_radians().sin_cos();
    let (sin_lon, cos_lon) = line.apex_lon_deg.to_radians().sin_cos();
    [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat]
}

/// Latitude and longitude at a plane coordinate, degrees (great circle on the sphere).
pub(crate) fn place_at(site: GeoPosition, x_km: f64, y_km: f64) -> (f64, f64) {
    let arc = x_km.hypot(y_km) / EARTH_RADIUS_KM;
    let azimuth = x_km.atan2(y_km);
    let (sin_lat, cos_lat) = site.latitude_deg().to_radians().sin_cos();
    let sin_there = sin_lat * arc.cos() + cos_lat * arc.sin() * azimuth.cos();
    let east = (azimuth.sin() * arc.sin() * cos_lat).atan2(arc.cos() - sin_lat * sin_there);
    (sin_there.clamp(-1.0, 1.0).asin().to_degrees(), wrap_degrees_180(site.longitude_deg() + east.to_degrees()))
}

/// Turns a step north and east at a place into a step on the plane, by following it there.
fn plane_shift(site: GeoPosition, place: (f64, f64), plane_km: (f64, f64), step_km: (f64, f64)) -> (f64, f64) {
    let (lat, lon) = (place.0.to_radians(), place.1.to_radians());
    let (site_lat, site_lon) = (site.latitude_deg().to_radians(), site.longitude_deg().to_radians());
    // Unit vectors north and east at the place, the site's frame, all geocentric.
    let up = [lat.cos() * lon.cos(), lat.cos() * lon.sin(), lat.sin()];
    let north = [-lat.sin() * lon.cos(), -lat.sin() * lon.sin(), lat.cos()];
    let east = [-lon.sin(), lon.cos(), 0.0];
    let moved: [f64; 3] =
        std::array::from_fn(|i| up[i] + (north[i] * step_km.0 + east[i] * step_km.1) / EARTH_RADIUS_KM);
    let site_up = [site_lat.cos() * site_lon.cos(), site_lat.cos() * site_lon.sin(), site_lat.sin()];
    let site_north = [-site_lat.sin() * site_lon.cos(), -site_lat.sin() * site_lon.sin(), site_lat.cos()];
    let site_east = [-site_lon.sin(), site_lon.cos(), 0.0];
    let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let (e, n, u) = (dot(moved, site_east), dot(moved, site_north), dot(moved, site_up));
    let distance_km = EARTH_RADIUS_KM * e.hypot(n).atan2(u);
    let azimuth = e.atan2(n);
    (distance_km * azimuth.sin() - plane_km.0, distance_km * azimuth.cos() - plane_km.1)
}
