//! Where the points of a field lie, and in which order they are stored.

use quantity::GeoPosition;

use super::projection::{Cone, Figure};
use super::sections::{i32_at, u16_at, u32_at};

/// Most points of one field, so that its values stay below 64 MB. A global grid of 0.1 degrees has 6.5 million.
pub(super) const MOST_POINTS: usize = 8_000_000;
/// Positions nearer than this to a grid point, in spacings, are at it: positions are given to 1e-6 degree, and the
/// finest grids have spacings of 0.01.
const AT_A_POINT: f64 = 2e-4;
/// What counts as all around the world, in spacings.
const CLOSED: f64 = 1e-3;
const MISSING: u32 = u32::MAX;

/// A grid of rows and columns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Grid {
    pub(super) columns: usize,
    pub(super) rows: usize,
    shape: Shape,
    /// Wind components follow the grid, not the meridians.
    pub(super) wind_follows_it: bool,
    order: Order,
}

/// How positions become columns and rows.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Shape {
    /// Degrees of the first point and from column to column, row to row.
    LatLon { first: [f64; 2], step: [f64; 2], closed: bool },
    /// Metres on the plane likewise.
    Plane { cone: Cone, first: [f64; 2], step: [f64; 2] },
}

/// The flags of scanning (code table 3.4).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Order {
    columns_first: bool,
    alternating: bool,
}

/// Four points around a position with their weights.
pub(super) type Neighbours = [(usize, f64); 4];

/// Reads section 3.
pub(super) fn grid(section: &[u8]) -> Result<Grid, String> {
    const BREAKS: &str = "its grid section breaks off";
    let template = u16_at(section, 12).ok_or(BREAKS)?;
    let points = u32_at(section, 6).ok_or(BREAKS)? as usize;
    if section.get(10) != Some(&0) {
        return Err("its rows have different lengths (a reduced grid), which is not read".to_owned());
    }
    let (columns, rows) = (u32_at(section, 30).ok_or(BREAKS)?, u32_at(section, 34).ok_or(BREAKS)?);
    let product = (columns as usize).checked_mul(rows as usize);
    if columns == 0 || rows == 0 || columns == MISSING || rows == MISSING || product != Some(points) {
        return Err(format!("its grid has {columns} columns and {rows} rows, but {points} points"));
    }
    if points > MOST_POINTS {
        return Err(format!("its grid has {points} points, more than the {MOST_POINTS} read at most"));
    }
    let size = [columns as usize, rows as usize];
    let grid = match template {
        0 => lat_lon(section, size),
        20 => plane(section, size, Projected::Polar),
        30 => plane(section, size, Projected::Lambert),
        other => {
            return Err(format!("its grid is of kind 3.{other}; regular, Lambert and polar stereographic are read"));
        }
    };
    grid.ok_or(BREAKS)?
}

fn order(flags: u8) -> Result<Order, String> {
    if flags & 0x0f != 0 {
        return Err("its rows are shifted against each other, which is not read".to_owned());
    }
    Ok(Order { columns_first: flags & 0x20 != 0, alternating: flags & 0x10 != 0 })
}

/// Signs of the steps from point to point.
fn signs(flags: u8) -> [f64; 2] {
    [if flags & 0x80 == 0 { 1.0 } else { -1.0 }, if flags & 0x40 == 0 { -1.0 } else { 1.0 }]
}

fn lat_lon(section: &[u8], [columns, rows]: [usize; 2]) -> Option<Result<Grid, String>> {
    let (basic, parts) = (u32_at(section, 38)?, u32_at(section, 42)?);
    let unit_deg =
        if basic == 0 || basic == MISSING || parts == 0 { 1e-6 } else { f64::from(basic) / f64::from(parts) };
    let angle = |at: usize| Some(f64::from(i32_at(section, at)?) * unit_deg);
    let (first, last) = ([angle(50)?, angle(46)?], [angle(59)?, angle(55)?]);
    let (components, scanning) = (*section.get(54)?, *section.get(71)?);
    let signs = signs(scanning);
    // corners are exact where the printed spacing of, say, a third of a degree is not
    let mut width = ((last[0] - first[0]) * signs[0]).rem_euclid(360.0);
    if columns > 1 && width <= 0.0 {
        width = 360.0;
    }
    let height = (last[1] - first[1]) * signs[1];
    if (rows > 1 && height <= 0.0) || [first[1], last[1]].iter().any(|latitude| latitude.abs() > 90.0 + 1e-6) {
        return Some(Err("the corners of its grid contradict its order".to_owned()));
    }
    let step = [width / (columns.max(2) - 1) as f64 * signs[0], height / (rows.max(2) - 1) as f64 * signs[1]];
    let closed = columns > 1 && (step[0].abs() * columns as f64 - 360.0).abs() < CLOSED * step[0].abs();
    Some(order(scanning).map(|order| Grid {
        columns,
        rows,
        shape: Shape::LatLon { first, step, closed },
        wind_follows_it: components & 0x08 != 0,
        order,
    }))
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Projected {
    Polar,
    Lambert,
}

fn plane(section: &[u8], [columns, rows]: [usize; 2], kind: Projected) -> Option<Result<Grid, String>> {
    const MICRO: f64 = 1e-6;
    let angle = |at: usize| Some(f64::from(i32_at(section, at)?) * MICRO);
    let (latitude, longitude, components) = (angle(38)?, angle(42)?, *section.get(46)?);
    let (true_at, orientation) = (angle(47)?, angle(51)?);
    let spacing = [f64::from(u32_at(section, 55)?) * 1e-3, f64::from(u32_at(section, 59)?) * 1e-3];
    let (centre, scanning) = (*section.get(63)?, *section.get(64)?);
    let Some(figure) = figure(section) else {
        return Some(Err("the figure of the Earth it uses is not known".to_owned()));
    };
    let cone = match kind {
        Projected::Polar => Cone::polar(figure, true_at, orientation, centre & 0x80 != 0),
        Projected::Lambert => Cone::lambert(figure, [angle(65)?, angle(69)?], orientation),
    };
    let usable = spacing.iter().all(|spacing| *spacing > 0.0) && latitude.abs() < 90.0 && centre & 0x40 == 0;
    let Some(cone) = cone.filter(|_| usable) else {
        return Some(Err("its projection makes no plane".to_owned()));
    };
    let signs = signs(scanning);
    Some(order(scanning).map(|order| Grid {
        columns,
        rows,
        shape: Shape::Plane {
            cone,
            first: cone.forward(latitude, longitude),
            step: [spacing[0] * signs[0], spacing[1] * signs[1]],
        },
        wind_follows_it: components & 0x08 != 0,
        order,
    }))
}

/// Code table 3.2.
fn figure(section: &[u8]) -> Option<Figure> {
    let scaled = |at: usize| {
        let (scale, value) = (*section.get(at)?, u32_at(section, at + 1)?);
        Some(f64::from(value) * 10_f64.powi(-i32::from(scale))).filter(|metres| (6.0e6..6.6e6).contains(metres))
    };
    let sphere = |radius_m| Some(Figure { semi_major_m: radius_m, eccentricity: 0.0 });
    let ellipsoid =
        |a: f64, b: f64| (b <= a).then(|| Figure { semi_major_m: a, eccentricity: (1.0 - (b / a).powi(2)).sqrt() });
    match section.get(14)? {
        0 => sphere(6_367_470.0),
        1 => sphere(scaled(15)?),
        2 => ellipsoid(6_378_160.0, 6_356_775.0),
        3 => ellipsoid(scaled(20)? * 1000.0, scaled(25)? * 1000.0),
        4 => ellipsoid(6_378_137.0, 6_356_752.314),
        5 => ellipsoid(6_378_137.0, 6_356_752.314_245),
        6 => sphere(6_371_229.0),
        7 => ellipsoid(scaled(20)?, scaled(25)?),
        8 => sphere(6_371_200.0),
        _other => None,
    }
}

impl Grid {
    /// Column and row of a position, with fractions, counted from the first point as stored.
    fn column_row(&self, latitude_deg: f64, longitude_deg: f64) -> [f64; 2] {
        match self.shape {
            Shape::LatLon { first, step, .. } => {
                let row = if self.rows > 1 { (latitude_deg - first[1]) / step[1] } else { 0.0 };
                let east = (longitude_deg - first[0]) * step[0].signum();
                let column = east.rem_euclid(360.0) / step[0].abs();
                // just west of the first column is before it, not at the far side of the world
                let before = column - 360.0 / step[0].abs();
                [if before > -AT_A_POINT { before } else { column }, row]
            }
            Shape::Plane { cone, first, step } => {
                let [x, y] = cone.forward(latitude_deg, longitude_deg);
                [(x - first[0]) / step[0], (y - first[1]) / step[1]]
            }
        }
    }

    /// The four points around a position; `None` outside the grid.
    pub(super) fn neighbours(&self, position: GeoPosition) -> Option<Neighbours> {
        let [column, row] = self.column_row(position.latitude_deg(), position.longitude_deg());
        let closed = matches!(self.shape, Shape::LatLon { closed: true, .. });
        let (left, right, across) = bracket(column, self.columns, closed)?;
        let (below, above, up) = bracket(row, self.rows, false)?;
        Some([
            (self.index(left, below), (1.0 - across) * (1.0 - up)),
            (self.index(right, below), across * (1.0 - up)),
            (self.index(left, above), (1.0 - across) * up),
            (self.index(right, above), across * up),
        ])
    }

    /// Where a column and row stand in the data.
    pub(super) fn index(&self, column: usize, row: usize) -> usize {
        let turned = |index: usize, along: usize, count: usize| {
            if self.order.alternating && along % 2 == 1 { count - 1 - index } else { index }
        };
        if self.order.columns_first {
            column * self.rows + turned(row, column, self.rows)
        } else {
            row * self.columns + turned(column, row, self.columns)
        }
    }

    /// Turns wind components along the grid into components to east and north.
    pub(super) fn to_true_north(self, [u, v]: [f64; 2], longitude_deg: f64) -> [f64; 2] {
        match self.shape {
            Shape::Plane { cone, .. } if self.wind_follows_it => {
                let (sine, cosine) = cone.angle_deg(longitude_deg).to_radians().sin_cos();
                [u * cosine + v * sine, v * cosine - u * sine]
            }
            Shape::Plane { .. } | Shape::LatLon { .. } => [u, v],
        }
    }
}

/// The two indices around a place on an axis, and how far between them; `None` outside.
fn bracket(place: f64, count: usize, closed: bool) -> Option<(usize, usize, f64)> {
    let nearest = place.round();
    let place = if (place - nearest).abs() < AT_A_POINT { nearest } else { place };
    let last = if closed { count as f64 } else { count as f64 - 1.0 };
    if !(0.0..=last).contains(&place) {
        return None;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to count, checked above")]
    let low = place.floor() as usize;
    let fraction = place - low as f64;
    let (low, high) = if closed { (low % count, (low + 1) % count) } else { (low, (low + 1).min(count - 1)) };
    Some((low, high, fraction))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn regular(columns_first: bool, alternating: bool) -> Grid {
        Grid {
            columns: 3,
            rows: 2,
            shape: Shape::LatLon { first: [350.0, 70.0], step: [10.0, -5.0], closed: false },
            wind_follows_it: false,
            order: Order { columns_first, alternating },
        }
    }

    #[test]
    fn every_order_of_storage_finds_the_same_point() {
        let indices = |grid: Grid| -> Vec<usize> {
            (0..2).flat_map(|row| (0..3).map(move |column| grid.index(column, row))).collect()
        };
        assert_eq!(indices(regular(false, false)), [0, 1, 2, 3, 4, 5]);
        assert_eq!(indices(regular(false, true)), [0, 1, 2, 5, 4, 3]);
        assert_eq!(indices(regular(true, false)), [0, 2, 4, 1, 3, 5]);
        assert_eq!(indices(regular(true, true)), [0, 3, 4, 1, 2, 5]);
    }

    #[test]
    fn a_grid_across_greenwich_ends_at_its_edges() {
        let grid = regular(false, false);
        let at = |latitude, longitude| grid.neighbours(GeoPosition::new(latitude, longitude, 0.0).unwrap());
        let middle = at(67.5, -5.0).unwrap();
        assert!(middle.iter().all(|(_, weight)| (weight - 0.25).abs() < 1e-12), "{middle:?}");
        assert_eq!(at(70.0, 10.0).unwrap()[0].0, 2);
        for outside in [(70.1, 0.0), (64.9, 0.0), (67.0, 10.1), (67.0, -10.1), (67.0, 170.0), (-90.0, 0.0)] {
            assert_eq!(at(outside.0, outside.1), None, "{outside:?}");
        }
        assert!(at(67.0, -10.000_001).is_some(), "within the printed digits of the first column");
    }

    #[test]
    fn a_grid_around_the_world_has_no_seam() {
        let grid = Grid {
            columns: 144,
            rows: 73,
            shape: Shape::LatLon { first: [0.0, 90.0], step: [2.5, -2.5], closed: true },
            ..regular(false, false)
        };
        let seam = grid.neighbours(GeoPosition::new(70.0, -1.25, 0.0).unwrap()).unwrap();
        assert_eq!((seam[0].0 % 144, seam[1].0 % 144), (143, 0));
        assert!((seam[0].1 - 0.5).abs() < 1e-9);
        assert!(grid.neighbours(GeoPosition::new(-90.0, 179.0, 0.0).unwrap()).is_some());
    }
}
