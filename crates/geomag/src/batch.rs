//! Magnetic coordinates of many points at once.

use std::collections::BTreeMap;

use quantity::{Timestamp, wrap_degrees_180};

use crate::apex::{MagneticCoordinates, check_point, trace};
use crate::decimal_year::decimal_year;
use crate::error::GeomagError;
use crate::field::{FieldModel, FieldVector};
use crate::grid::{ApexGrid, GridBounds};
use crate::mlt::MagneticClock;

/// Error allowed to a point of a batch against tracing it alone, degrees of arc.
const TOLERANCE_DEG: f64 = 0.005;
/// The part of it for the grids of a batch with dates; the rest is for the blending in time.
const DATED_GRID_TOLERANCE_DEG: f64 = 0.004;
/// Side of the cells into which points are sorted, degrees.
const CELL_DEG: f64 = 10.0;
/// Points in a cell from which a grid is cheaper: it costs some 150 to 300 traces, twice that with dates.
const DENSE: usize = 500;
/// Least extent of a grid, degrees: points all on one meridian still get an area.
const MARGIN_DEG: f64 = 1e-6;

/// A place and a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DatedPoint {
    /// When.
    pub instant: Timestamp,
    /// Geodetic latitude, degrees.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive.
    pub longitude_deg: f64,
    /// Height above the ellipsoid, km.
    pub height_km: f64,
}

type Outcome = Result<MagneticCoordinates, GeomagError>;
/// Year (0 if all have one field), row and column of a cell of the globe.
type Cell = (i32, i32, i32);

/// Magnetic coordinates of many points (latitude deg, longitude deg, height km) in one field, in their order.
///
/// Where many points lie close together a grid is built and read; elsewhere each line is traced. Either way a result is within
/// 0.005 degrees of arc of [`trace`]. A point that cannot be served has its own error and does not hold up the others.
pub fn coordinates_of(field: &FieldModel, points: &[(f64, f64, f64)]) -> Vec<Outcome> {
    let mut outcomes: Vec<Option<Outcome>> = vec![None; points.len()];
    for members in cells(points.iter().map(|&point| (0, point))).values() {
        let bounds = bounds_of(members.iter().map(|&i| points[i]));
        let grid = if members.len() < DENSE { None } else { ApexGrid::build(field, bounds, TOLERANCE_DEG).ok() };
        for &i in members {
            let (lat, lon, height_km) = points[i];
            let quick = grid.as_ref().and_then(|grid| grid.at(lat, lon, height_km));
            outcomes[i] = Some(quick.map_or_else(|| trace(field, lat, lon, height_km), Ok));
        }
    }
    let refused = |(lat, lon, height_km)| trace(field, lat, lon, height_km);
    outcomes.into_iter().zip(points).map(|(done, &point)| done.unwrap_or_else(|| refused(point))).collect()
}

/// Magnetic coordinates of many points, each in the field of its own date, in their order.
///
/// Sparse points are traced in the field of their instant. Dense ones are read from two grids, for the beginning and the end
/// of their calendar year, and blended linearly in time: within a year the field itself is linear, and the coordinates
/// bend away from a straight line by less than 0.001 degrees (tested over three years in one region of Lapland). Together within 0.005 degrees of arc of [`trace`].
pub fn coordinates_of_dated(points: &[DatedPoint]) -> Vec<Outcome> {
    let place = |point: &DatedPoint| (point.latitude_deg, point.longitude_deg, point.height_km);
    let years: Vec<f64> = points.iter().map(|point| decimal_year(point.instant)).collect();
    let mut outcomes: Vec<Option<Outcome>> = vec![None; points.len()];
    #[expect(clippy::cast_possible_truncation, reason = "a year")]
    let keyed = years.iter().zip(points).map(|(year, point)| (year.floor() as i32, place(point)));
    for (&(year, ..), members) in &cells(keyed) {
        let bounds = bounds_of(members.iter().map(|&i| place(&points[i])));
        let pair = if members.len() < 2 * DENSE { None } else { GridPair::build(year, bounds).ok() };
        for &i in members {
            let quick = pair.as_ref().and_then(|pair| pair.at(place(&points[i]), years[i]));
            outcomes[i] = quick.map(Ok);
        }
    }
    let alone = |i: usize| {
        let (lat, lon, height_km) = place(&points[i]);
        trace(&FieldModel::at_decimal_year(years[i])?, lat, lon, height_km)
    };
    outcomes.into_iter().enumerate().map(|(i, done)| done.unwrap_or_else(|| alone(i))).collect()
}

/// All that the crate says about one place and time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DatedAnswer {
    /// The main field.
    pub field: FieldVector,
    /// Magnetic coordinates.
    pub coordinates: MagneticCoordinates,
    /// Magnetic local time, hours 0..24.
    pub mlt_h: f64,
}

/// Field, magnetic coordinates and magnetic local time of many points, each at its own time, in their order.
///
/// Coordinates as by [`coordinates_of_dated`]; field and clock are exact for each instant.
pub fn answers_of_dated(points: &[DatedPoint]) -> Vec<Result<DatedAnswer, GeomagError>> {
    coordinates_of_dated(points).into_iter().zip(points).map(|(outcome, point)| answer(outcome?, point)).collect()
}

fn answer(coordinates: MagneticCoordinates, point: &DatedPoint) -> Result<DatedAnswer, GeomagError> {
    let model = FieldModel::at(point.instant)?;
    Ok(DatedAnswer {
        field: model.field(point.latitude_deg, point.longitude_deg, point.height_km),
        coordinates,
        mlt_h: MagneticClock::new(&model, point.instant).mlt_h(coordinates.qd_lon_deg),
    })
}

/// Grids of one region at both ends of a year.
struct GridPair {
    year: f64,
    begin: ApexGrid,
    end: ApexGrid,
}

impl GridPair {
    fn build(year: i32, bounds: GridBounds) -> Result<Self, GeomagError> {
        let at = |year| ApexGrid::build(&FieldModel::at_decimal_year(year)?, bounds, DATED_GRID_TOLERANCE_DEG);
        let year = f64::from(year);
        Ok(Self { year, begin: at(year)?, end: at(year + 1.0)? })
    }

    fn at(&self, (lat, lon, height_km): (f64, f64, f64), decimal_year: f64) -> Option<MagneticCoordinates> {
        let share = decimal_year - self.year;
        let (begin, end) = (self.begin.vector_at(lat, lon, height_km)?, self.end.vector_at(lat, lon, height_km)?);
        let blended = std::array::from_fn(|i| begin[i] * (1.0 - share) + end[i] * share);
        Some(MagneticCoordinates::from_qd_vector(blended, height_km))
    }
}

/// Sorts the points that are places into cells.
fn cells(points: impl Iterator<Item = (i32, (f64, f64, f64))>) -> BTreeMap<Cell, Vec<usize>> {
    let mut cells: BTreeMap<Cell, Vec<usize>> = BTreeMap::new();
    for (i, (year, (lat, lon, height_km))) in points.enumerate() {
        if check_point(lat, lon, height_km).is_ok() {
            #[expect(clippy::cast_possible_truncation, reason = "checked to be a place, so within 36 cells")]
            let index = |degrees: f64| (degrees / CELL_DEG).floor() as i32;
            cells.entry((year, index(lat), index(wrap_degrees_180(lon)))).or_default().push(i);
        }
    }
    cells
}

fn bounds_of(points: impl Iterator<Item = (f64, f64, f64)>) -> GridBounds {
    let mut low = [f64::INFINITY; 3];
    let mut high = [f64::NEG_INFINITY; 3];
    for (lat, lon, height_km) in points {
        for (axis, value) in [lat, wrap_degrees_180(lon), height_km].into_iter().enumerate() {
            low[axis] = low[axis].min(value);
            high[axis] = high[axis].max(value);
        }
    }
    GridBounds {
        south_deg: (low[0] - MARGIN_DEG).max(-90.0),
        north_deg: (high[0] + MARGIN_DEG).min(90.0),
        west_deg: low[1] - MARGIN_DEG,
        east_deg: high[1] + MARGIN_DEG,
        low_km: low[2],
        high_km: high[2],
    }
}
