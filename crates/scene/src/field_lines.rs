//! Field lines around the site, quick enough for every ray and every sightline.

use geomag::{FieldModel, ecef_from_geodetic_km, geodetic_from_ecef_km, trace};
use jiff::Timestamp;
use quantity::GeoPosition;

use crate::error::SceneError;
use crate::site::{EARTH_RADIUS_KM, Site, places_by_height};
use crate::vector::{V3, along, norm, scaled};

/// Height at which field lines are labelled, km.
pub(crate) const FOOT_KM: f64 = 110.0;
/// Heights at which each line's place is kept, km: between them it is straight to 0.1 km.
pub(crate) const HEIGHTS_KM: [f64; LEVELS] = [80.0, FOOT_KM, 150.0, 200.0, 270.0, 360.0, 500.0];
/// Number of these heights.
pub(crate) const LEVELS: usize = 7;
/// Spacing of the lattice, km.
const SPACING_KM: f64 = 300.0;
/// Lattice points along a side: 1650 km each way, beyond the horizon of all but the tops.
const SIDE: usize = 12;

/// Lattice point: one field line.
#[derive(Debug, Clone, Copy)]
struct Node {
    /// Unit vector of magnetic latitude and longitude.
    label: V3,
    /// Places by height, from the observer, east, north, up, km.
    line: [V3; LEVELS],
    /// Places by height on the lattice's plane less the foot's, km.
    lean: [[f64; 2]; LEVELS],
}

/// The field lines over a plane around one site.
///
/// The plane: x km east and y km north of the site, distance and azimuth as of the point's foot on the ground.
#[derive(Debug, Clone)]
pub(crate) struct FieldLines {
    nodes: Vec<Node>,
    /// Axes magnetic east, poleward and label of the site's own line.
    axes: [V3; 3],
}

impl FieldLines {
    pub(crate) fn new(place: GeoPosition, at: Timestamp) -> Result<Self, SceneError> {
        let field = FieldModel::at(at)?;
        let site = Site::new(place);
        let mut nodes = Vec::with_capacity(SIDE * SIDE);
        for row in 0..SIDE {
            for column in 0..SIDE {
                nodes.push(node(&site, &field, [node_km(column), node_km(row)])?);
            }
        }
        let mut lines = Self { nodes, axes: [[0.0; 3]; 3] };
        let label = lines.label([0.0, 0.0]);
        let east = [-label[1], label[0], 0.0];
        let east = scaled(east, 1.0 / norm(east).max(1e-9));
        let north = [
            label[1] * east[2] - label[2] * east[1],
            label[2] * east[0] - label[0] * east[2],
            label[0] * east[1] - label[1] * east[0],
        ];
        // poleward is away from the magnetic equator
        let poleward = if label[2] < 0.0 { scaled(north, -1.0) } else { north };
        lines.axes = [east, poleward, label];
        Ok(lines)
    }

    /// Magnetic latitude of the site's own field line, degrees.
    pub(crate) fn site_latitude_deg(&self) -> f64 {
        self.axes[2][2].clamp(-1.0, 1.0).asin().to_degrees()
    }

    /// Magnetic coordinates of the field line whose foot is at a point of the plane: km along the parallel east of the
    /// site's meridian and km along the meridian poleward of the site's parallel.
    pub(crate) fn magnetic_km(&self, plane_km: [f64; 2]) -> [f64; 2] {
        let [x, y, z] = self.label(plane_km);
        let [_, _, [x0, y0, z0]] = self.axes;
        let latitude = z.atan2(x.hypot(y));
        let latitude0 = z0.atan2(x0.hypot(y0));
        let east_rad = (y * x0 - x * y0).atan2(x * x0 + y * y0);
        let poleward_rad = (latitude - latitude0) * if z0 < 0.0 { -1.0 } else { 1.0 };
        [EARTH_RADIUS_KM * latitude0.cos() * east_rad, EARTH_RADIUS_KM * poleward_rad]
    }

    /// Point of the plane of the field line with magnetic coordinates, from a guess near it.
    pub(crate) fn plane_of(&self, magnetic_km: [f64; 2], guess_km: [f64; 2]) -> [f64; 2] {
        /// Newton steps; the map is nearly linear.
        const STEPS: usize = 4;
        /// Step of the numerical slopes, km.
        const SLOPE_KM: f64 = 20.0;
        let mut at = guess_km;
        for _ in 0..STEPS {
            let here = self.magnetic_km(at);
            let miss = [magnetic_km[0] - here[0], magnetic_km[1] - here[1]];
            if miss[0].abs() + miss[1].abs() < 1e-4 {
                break;
            }
            let right = self.magnetic_km([at[0] + SLOPE_KM, at[1]]);
            let above = self.magnetic_km([at[0], at[1] + SLOPE_KM]);
            let slope = |moved: [f64; 2]| [(moved[0] - here[0]) / SLOPE_KM, (moved[1] - here[1]) / SLOPE_KM];
            let ([a, c], [b, d]) = (slope(right), slope(above));
            let determinant = a * d - b * c;
            if determinant.abs() < 1e-3 {
                break;
            }
            at[0] += (d * miss[0] - b * miss[1]) / determinant;
            at[1] += (a * miss[1] - c * miss[0]) / determinant;
        }
        at
    }

    /// The line whose foot is at a point of the plane: places by height, from the observer, east, north, up, km.
    pub(crate) fn line(&self, plane_km: [f64; 2]) -> [V3; LEVELS] {
        self.mixed(plane_km, [[0.0; 3]; LEVELS], |sum, node, weight| {
            for (sum, place) in sum.iter_mut().zip(&node.line) {
                *sum = along(*sum, weight, *place);
            }
        })
    }

    /// Foot of the line that passes a point of the plane at a height.
    pub(crate) fn foot(&self, plane_km: [f64; 2], height_km: f64) -> [f64; 2] {
        let (level, share) = level_of(height_km);
        let lean = |at: [f64; 2]| {
            self.mixed(at, [0.0; 2], |sum, node, weight| {
                for (i, sum) in sum.iter_mut().enumerate() {
                    *sum += weight * (node.lean[level][i] * (1.0 - share) + node.lean[level + 1][i] * share);
                }
            })
        };
        let [dx, dy] = lean(plane_km);
        [plane_km[0] - dx, plane_km[1] - dy]
    }

    fn label(&self, plane_km: [f64; 2]) -> V3 {
        let vector = self.mixed(plane_km, [0.0; 3], |sum, node, weight| *sum = along(*sum, weight, node.label));
        scaled(vector, 1.0 / norm(vector).max(1e-9))
    }

    /// Cubic Lagrange polynomials through four by four nodes.
    fn mixed<T>(&self, [x, y]: [f64; 2], start: T, mut add: impl FnMut(&mut T, &Node, f64)) -> T {
        let ((column, dx), (row, dy)) = (cell(x), cell(y));
        let (wx, wy) = (lagrange(dx), lagrange(dy));
        let mut sum = start;
        for (r, wy) in wy.into_iter().enumerate() {
            let first = (row + r - 1) * SIDE + column - 1;
            for (node, wx) in self.nodes[first..first + 4].iter().zip(wx) {
                add(&mut sum, node, wx * wy);
            }
        }
        sum
    }
}

/// Index of the kept height below a height and the share of the way to the next; beyond the ends the way goes on straight.
pub(crate) fn level_of(height_km: f64) -> (usize, f64) {
    let level = HEIGHTS_KM.partition_point(|h| *h <= height_km).clamp(1, LEVELS - 1) - 1;
    (level, (height_km - HEIGHTS_KM[level]) / (HEIGHTS_KM[level + 1] - HEIGHTS_KM[level]))
}

/// Place on a line at a height.
pub(crate) fn at_height(line: &[V3; LEVELS], height_km: f64) -> V3 {
    let (level, share) = level_of(height_km);
    along(scaled(line[level], 1.0 - share), share, line[level + 1])
}

fn node(site: &Site, field: &FieldModel, plane_km: [f64; 2]) -> Result<Node, SceneError> {
    let (latitude_deg, longitude_deg) = site.place_at(plane_km);
    let label = trace(field, latitude_deg, longitude_deg, FOOT_KM)?;
    let (sin_lat, cos_lat) = label.model_lat_deg.to_radians().sin_cos();
    let (sin_lon, cos_lon) = label.apex_lon_deg.to_radians().sin_cos();
    let foot_km = ecef_from_geodetic_km(latitude_deg, longitude_deg, FOOT_KM);
    let places = places_by_height(field, foot_km);
    Ok(Node {
        label: [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat],
        line: places.map(|place| site.seen(place)),
        lean: places.map(|place| {
            let (lat, lon, _) = geodetic_from_ecef_km(place);
            let [x, y] = site.plane_km(lat, lon);
            [x - plane_km[0], y - plane_km[1]]
        }),
    })
}

fn node_km(index: usize) -> f64 {
    (index as f64 - (SIDE - 1) as f64 / 2.0) * SPACING_KM
}

/// Index of the node below a coordinate, with one node to spare on each side, and the share of the way to the next.
fn cell(km: f64) -> (usize, f64) {
    let position = (km / SPACING_KM + (SIDE - 1) as f64 / 2.0).clamp(1.0, (SIDE - 3) as f64 + 0.999_999);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the lattice")]
    let index = if position.is_nan() { 1 } else { position as usize };
    (index, position - index as f64)
}

/// Weights of nodes -1, 0, 1, 2 at `t` between nodes 0 and 1.
fn lagrange(t: f64) -> [f64; 4] {
    let (before, after, beyond) = (t + 1.0, t - 1.0, t - 2.0);
    [-t * after * beyond / 6.0, before * after * beyond / 2.0, -before * t * beyond / 2.0, before * t * after / 6.0]
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn lines() -> &'static FieldLines {
        static LINES: std::sync::OnceLock<FieldLines> = std::sync::OnceLock::new();
        LINES.get_or_init(|| {
            let place = GeoPosition::new(69.2, 15.1, 0.0).unwrap();
            FieldLines::new(place, "2026-11-10T20:30:00Z".parse().unwrap()).unwrap()
        })
    }

    #[test]
    fn the_sites_own_line_is_the_origin_and_has_the_latitude_of_its_trace() {
        let [east, poleward] = lines().magnetic_km([0.0, 0.0]);
        assert!(east.abs() < 1e-6 && poleward.abs() < 1e-6);
        let field = FieldModel::at("2026-11-10T20:30:00Z".parse().unwrap()).unwrap();
        let traced = trace(&field, 69.2, 15.1, FOOT_KM).unwrap().model_lat_deg;
        // four-point cubic over nodes 300 km apart
        assert!((lines().site_latitude_deg() - traced).abs() < 0.01);
    }

    proptest! {
        #[test]
        fn a_line_is_found_again_by_its_coordinates(x in -1100.0..1100.0f64, y in -1100.0..1100.0f64) {
            let magnetic = lines().magnetic_km([x, y]);
            let back = lines().plane_of(magnetic, [0.8 * x, 0.8 * y]);
            prop_assert!((back[0] - x).hypot(back[1] - y) < 0.01, "{:?} for {x}, {y}", back);
        }

        #[test]
        fn a_point_on_a_line_has_the_lines_foot(x in -900.0..900.0f64, y in -900.0..900.0f64, level in 0..LEVELS) {
            let place = lines().line([x, y])[level];
            let site = crate::site::Site::new(GeoPosition::new(69.2, 15.1, 0.0).unwrap());
            let (latitude, longitude, height) = geodetic_from_ecef_km(site.ecef_of(place));
            prop_assert!((height - HEIGHTS_KM[level]).abs() < 0.5, "{height}");
            let foot = lines().foot(site.plane_km(latitude, longitude), height);
            // the lean is taken at the point and not at the foot: a hundredth of the way along the line
            prop_assert!((foot[0] - x).hypot(foot[1] - y) < 0.5 + 0.02 * (height - FOOT_KM).abs());
        }
    }
}
