//! Magnetic coordinates over a region, interpolated between traced nodes.

use crate::apex::{HIGHEST_KM, LOWEST_KM, MagneticCoordinates, trace};
use crate::error::{GeomagError, checked};
use crate::field::FieldModel;

/// First spacing tried, degrees of latitude and longitude.
const FIRST_SPACING_DEG: f64 = 4.0;
/// Tries at a finer spacing before giving up.
const MOST_ROUNDS: usize = 6;
/// Nodes along an axis, at least: a cubic needs four.
const FEWEST_NODES: usize = 4;
/// Spacing of heights, km, unless four nodes are closer anyway.
const HEIGHT_SPACING_KM: f64 = 200.0;
/// Most nodes of a grid; at about 40 microseconds a node this is 20 seconds of building.
const MOST_NODES: usize = 500_000;
/// The error between the centres of cells, where it is measured, is taken to be at most this much larger.
///
/// For a product of cubics the error peaks near the centre; the bound is tested at random points of five regions.
const BETWEEN_CENTRES: f64 = 1.5;

/// The region of a grid: from `west_deg` eastward to `east_deg`, so 170 to -170 crosses the date line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridBounds {
    /// Southern border, geodetic degrees.
    pub south_deg: f64,
    /// Northern border, geodetic degrees.
    pub north_deg: f64,
    /// Western border, degrees.
    pub west_deg: f64,
    /// Eastern border, degrees; -180 to 180 is the whole circle.
    pub east_deg: f64,
    /// Lowest height above the ellipsoid, km.
    pub low_km: f64,
    /// Highest height, km; equal to the lowest for a layer, which is faster.
    pub high_km: f64,
}

impl GridBounds {
    fn checked(self) -> Result<Self, GeomagError> {
        checked("southern border in degrees", self.south_deg, -90.0, 90.0)?;
        checked("northern border in degrees", self.north_deg, self.south_deg, 90.0)?;
        checked("western border in degrees", self.west_deg, -360.0, 360.0)?;
        checked("eastern border in degrees", self.east_deg, -360.0, 720.0)?;
        checked("lowest height in km", self.low_km, LOWEST_KM, HIGHEST_KM)?;
        checked("highest height in km", self.high_km, self.low_km, HIGHEST_KM)?;
        Ok(self)
    }

    fn width_deg(&self) -> f64 {
        let width = self.east_deg - self.west_deg;
        if width < 0.0 { width.rem_euclid(360.0) } else { width.min(360.0) }
    }
}

/// One axis of the grid: nodes from `start` at even steps.
#[derive(Debug, Clone, Copy)]
struct Axis {
    start: f64,
    step: f64,
    nodes: usize,
}

/// Rounding allowed beyond the first or last node, in steps.
const EDGE_SLACK: f64 = 1e-9;

impl Axis {
    fn new(start: f64, length: f64, spacing: f64) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a length of at most a million steps"
        )]
        let cells = ((length / spacing).ceil() as usize).max(FEWEST_NODES - 1);
        Self { start, step: length / cells as f64, nodes: cells + 1 }
    }

    /// A single node, for a region without extent along this axis.
    fn single(start: f64) -> Self {
        Self { start, step: 0.0, nodes: 1 }
    }

    fn between(start: f64, length: f64, spacing: f64) -> Self {
        if length > 0.0 { Self::new(start, length, spacing) } else { Self::single(start) }
    }

    fn node(&self, index: usize) -> f64 {
        self.start + self.step * index as f64
    }

    /// Centres of the cells, or the node itself if there is but one.
    fn centres(&self) -> impl Iterator<Item = f64> + '_ {
        (0..(self.nodes - 1).max(1))
            .map(|cell| self.start + self.step * (cell as f64 + if self.nodes > 1 { 0.5 } else { 0.0 }))
    }

    /// First node of the stencil and the weights of its (up to) four nodes; none outside.
    #[inline]
    fn stencil(&self, offset: f64) -> Option<(usize, [f64; 4])> {
        if self.nodes == 1 {
            return (offset.abs() < 1e-6).then_some((0, [1.0, 0.0, 0.0, 0.0]));
        }
        let position = offset / self.step;
        let last = (self.nodes - 1) as f64;
        if !(-EDGE_SLACK..=last + EDGE_SLACK).contains(&position) {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the nodes")]
        let first = (position as usize).saturating_sub(1).min(self.nodes - FEWEST_NODES);
        Some((first, lagrange(position - first as f64)))
    }

    /// Nodes a stencil covers.
    fn reach(&self) -> usize {
        self.nodes.min(FEWEST_NODES)
    }
}

/// Weights of the cubic through nodes at 0, 1, 2, 3 for a place `t` among them.
#[inline]
fn lagrange(t: f64) -> [f64; 4] {
    let (a, b, c) = (t - 1.0, t - 2.0, t - 3.0);
    [-a * b * c / 6.0, t * b * c / 2.0, -t * a * c / 2.0, t * a * b / 6.0]
}

/// A grid of magnetic coordinates in latitude, longitude and height with a known error.
///
/// At the nodes lines are traced; between them the unit vector of quasi-dipole latitude and longitude is interpolated by
/// cubics. That vector is smooth through the magnetic poles, the date line and the dip equator, where angles are not; every
/// other coordinate follows from it and the height. Spacing is made finer until the error, measured at the centre of
/// every cell against tracing, meets the tolerance.
///
/// # Example
///
/// ```
/// use geomag::{ApexGrid, FieldModel, GridBounds};
///
/// let field = FieldModel::at_decimal_year(2026.2)?;
/// let bounds =
///     GridBounds { south_deg: 66.0, north_deg: 74.0, west_deg: 14.0, east_deg: 24.0, low_km: 90.0, high_km: 300.0 };
/// let grid = ApexGrid::build(&field, bounds, 0.005)?;
/// let traced = geomag::trace(&field, 69.65, 18.96, 110.0)?;
/// let quick = grid.at(69.65, 18.96, 110.0).unwrap_or(traced);
/// assert!((quick.qd_lat_deg - traced.qd_lat_deg).abs() < grid.error_bound_deg());
/// # Ok::<(), geomag::GeomagError>(())
/// ```
#[derive(Debug, Clone)]
pub struct ApexGrid {
    latitude: Axis,
    longitude: Axis,
    height: Axis,
    /// Quasi-dipole unit vectors, longitude fastest, then latitude, then height.
    vectors: Vec<[f64; 3]>,
    error_bound_deg: f64,
}

impl ApexGrid {
    /// Traces a grid fine enough for `tolerance_deg` (degrees of arc).
    ///
    /// # Errors
    ///
    /// Borders that are no places, a line without apex, or [`GeomagError::GridTooCoarse`] if more than half a million nodes
    /// would be needed.
    pub fn build(field: &FieldModel, bounds: GridBounds, tolerance_deg: f64) -> Result<Self, GeomagError> {
        let bounds = bounds.checked()?;
        checked("tolerance in degrees", tolerance_deg, 1e-4, 90.0)?;
        let mut spacing_deg = FIRST_SPACING_DEG;
        let (mut nodes, mut reached_deg) = (0, f64::INFINITY);
        for _ in 0..MOST_ROUNDS {
            let Some(mut grid) = Self::laid_out(&bounds, spacing_deg) else { break };
            grid.fill(field)?;
            grid.error_bound_deg = BETWEEN_CENTRES * grid.largest_error_deg(field)?;
            if grid.error_bound_deg <= tolerance_deg {
                return Ok(grid);
            }
            (nodes, reached_deg) = (grid.vectors.len(), grid.error_bound_deg);
            // The error of a cubic goes with the fourth power of the spacing.
            spacing_deg *= (0.9 * (tolerance_deg / reached_deg).powf(0.25)).clamp(0.3, 0.9);
        }
        Err(GeomagError::GridTooCoarse { nodes, reached_deg, tolerance_deg })
    }

    /// Coordinates of a point, degrees and km; `None` outside the grid or for a number that is not finite.
    #[inline]
    pub fn at(&self, latitude_deg: f64, longitude_deg: f64, height_km: f64) -> Option<MagneticCoordinates> {
        Some(MagneticCoordinates::from_qd_vector(self.vector_at(latitude_deg, longitude_deg, height_km)?, height_km))
    }

    /// The largest error to expect of [`ApexGrid::at`] against tracing, degrees of arc (in longitude: times cos latitude).
    pub fn error_bound_deg(&self) -> f64 {
        self.error_bound_deg
    }

    /// Interpolated quasi-dipole vector, nearly of unit length.
    #[inline]
    pub(crate) fn vector_at(&self, latitude_deg: f64, longitude_deg: f64, height_km: f64) -> Option<[f64; 3]> {
        let (row, row_weights) = self.latitude.stencil(latitude_deg - self.latitude.start)?;
        let (column, column_weights) = self.longitude.stencil(self.eastward(longitude_deg))?;
        let (layer, layer_weights) = self.height.stencil(height_km - self.height.start)?;
        let mut vector = [0.0; 3];
        for (k, layer_weight) in layer_weights.iter().enumerate().take(self.height.reach()) {
            for (j, row_weight) in row_weights.iter().enumerate().take(self.latitude.reach()) {
                let weight = layer_weight * row_weight;
                let first = self.index(layer + k, row + j, column);
                for (node, column_weight) in
                    self.vectors[first..first + self.longitude.reach()].iter().zip(column_weights)
                {
                    for (sum, component) in vector.iter_mut().zip(node) {
                        *sum += weight * column_weight * component;
                    }
                }
            }
        }
        Some(vector)
    }

    /// Degrees east of the western border, 0..360; the border itself is not sent round the globe by rounding.
    #[inline]
    fn eastward(&self, longitude_deg: f64) -> f64 {
        let offset = (longitude_deg - self.longitude.start).rem_euclid(360.0);
        if 360.0 - offset < self.longitude.step * EDGE_SLACK { 0.0 } else { offset }
    }

    fn laid_out(bounds: &GridBounds, spacing_deg: f64) -> Option<Self> {
        let GridBounds { low_km, high_km, .. } = *bounds;
        let latitude = Axis::between(bounds.south_deg, bounds.north_deg - bounds.south_deg, spacing_deg);
        let longitude = Axis::between(bounds.west_deg, bounds.width_deg(), spacing_deg);
        // Finer in height as the error comes down, too.
        let height = Axis::between(low_km, high_km - low_km, HEIGHT_SPACING_KM * spacing_deg / FIRST_SPACING_DEG);
        let nodes = latitude.nodes.checked_mul(longitude.nodes)?.checked_mul(height.nodes)?;
        (nodes <= MOST_NODES).then(|| Self {
            latitude,
            longitude,
            height,
            vectors: Vec::with_capacity(nodes),
            error_bound_deg: f64::INFINITY,
        })
    }

    fn fill(&mut self, field: &FieldModel) -> Result<(), GeomagError> {
        for layer in 0..self.height.nodes {
            for row in 0..self.latitude.nodes {
                for column in 0..self.longitude.nodes {
                    let latitude_deg = self.latitude.node(row).clamp(-90.0, 90.0);
                    let longitude_deg = quantity::wrap_degrees_180(self.longitude.node(column));
                    let node = trace(field, latitude_deg, longitude_deg, self.height.node(layer))?;
                    self.vectors.push(node.qd_vector());
                }
            }
        }
        Ok(())
    }

    fn largest_error_deg(&self, field: &FieldModel) -> Result<f64, GeomagError> {
        let mut largest_deg = 0.0_f64;
        for height_km in self.height.centres() {
            for latitude_deg in self.latitude.centres() {
                for longitude_deg in self.longitude.centres() {
                    let longitude_deg = quantity::wrap_degrees_180(longitude_deg);
                    let traced = trace(field, latitude_deg, longitude_deg, height_km)?.qd_vector();
                    let error_deg = self
                        .vector_at(latitude_deg, longitude_deg, height_km)
                        .map_or(f64::INFINITY, |quick| quantity::angular_separation_deg(quick, traced));
                    largest_deg = largest_deg.max(error_deg);
                }
            }
        }
        Ok(largest_deg)
    }

    #[inline]
    fn index(&self, layer: usize, row: usize, column: usize) -> usize {
        (layer * self.latitude.nodes + row) * self.longitude.nodes + column
    }
}
