use quantity::GeoPosition;

use super::grid::{Grid, grid};
use super::product::{GribParameter, GribProduct, GribTime, product};
use super::sections::{RawField, walk};
use super::unpack::values;
use crate::FeedError;

/// Largest file read, bytes; files with all levels are fetched in parts (see `parse_grib_index`).
const LARGEST_BYTES: usize = 1024 * 1024 * 1024;
/// Weights smaller than this do not make a missing neighbour matter.
const NO_WEIGHT: f64 = 1e-12;

/// A file of fields; it borrows the bytes and unpacks a field only when asked for.
#[derive(Debug)]
pub struct GribFile<'a> {
    source_name: String,
    fields: Vec<GribField<'a>>,
    rejected: Vec<FeedError>,
}

/// One field, not yet unpacked.
#[derive(Debug)]
pub struct GribField<'a> {
    raw: RawField<'a>,
    grid: Grid,
    /// What it is.
    pub product: GribProduct,
}

/// The values of a field on their grid.
#[derive(Debug, Clone, PartialEq)]
pub struct GribGrid {
    grid: Grid,
    values: Vec<f64>,
}

impl<'a> GribFile<'a> {
    /// Lists the fields of a file.
    ///
    /// # Errors
    ///
    /// Empty, too large, edition 1, or not one field that can be read; the message is that of the first. Where other
    /// fields are good, bad ones are in [`GribFile::rejected`].
    pub fn open(bytes: &'a [u8], source_name: &str) -> Result<Self, FeedError> {
        let source_name = source_name.to_owned();
        if bytes.is_empty() {
            return Err(FeedError::Empty { source_name });
        }
        if bytes.len() > LARGEST_BYTES {
            return Err(FeedError::TooLarge { source_name, bytes: bytes.len(), limit: LARGEST_BYTES });
        }
        let skeleton = walk(bytes, &source_name);
        let mut file = Self { source_name, fields: Vec::new(), rejected: skeleton.rejected };
        for raw in skeleton.fields {
            match field(raw) {
                Ok(field) => file.fields.push(field),
                Err(problem) => file.rejected.push(file.bad(Some(raw.message), problem)),
            }
        }
        if file.fields.is_empty() {
            let none = || file.bad(None, format!("it is no GRIB file; it begins with {}", beginning(bytes)));
            return Err(file.rejected.first().cloned().unwrap_or_else(none));
        }
        Ok(file)
    }

    /// The fields in order.
    pub fn fields(&self) -> &[GribField<'a>] {
        &self.fields
    }

    /// Messages and fields that could not be read.
    pub fn rejected(&self) -> &[FeedError] {
        &self.rejected
    }

    /// File name or address, as given.
    pub fn source_name(&self) -> &str {
        &self.source_name
    }

    /// The first field of a quantity on a kind of level (code table 4.5); instantaneous before averages.
    ///
    /// # Errors
    ///
    /// No such field.
    pub fn find(&self, parameter: GribParameter, surface_kind: u8) -> Result<&GribField<'a>, FeedError> {
        let matching =
            |field: &&GribField<'a>| field.product.parameter == parameter && field.product.surface.kind == surface_kind;
        let instant = |field: &&GribField<'a>| matches!(field.product.time, GribTime::Instant(_));
        let mut found = self.fields.iter().filter(matching);
        let first = found.clone().find(instant).or_else(|| found.next());
        first.ok_or_else(|| FeedError::NoWeather {
            source_name: self.source_name.clone(),
            what: format!(
                "field {}/{}/{} on a level of kind {surface_kind}",
                parameter.discipline, parameter.category, parameter.number
            ),
        })
    }

    /// Unpacks the values of a field.
    ///
    /// # Errors
    ///
    /// A packing that is not read, or data that break off or contradict themselves.
    pub fn values(&self, field: &GribField<'_>) -> Result<GribGrid, FeedError> {
        let grid = field.grid;
        match values(&field.raw, grid.columns * grid.rows) {
            Ok(values) => Ok(GribGrid { grid, values }),
            Err(problem) => Err(self.bad(Some(field.raw.message), problem)),
        }
    }

    fn bad(&self, message: Option<usize>, problem: String) -> FeedError {
        FeedError::BadGrib { source_name: self.source_name.clone(), message, problem }
    }
}

fn field(raw: RawField<'_>) -> Result<GribField<'_>, String> {
    Ok(GribField { product: product(&raw)?, grid: grid(raw.grid)?, raw })
}

fn beginning(bytes: &[u8]) -> String {
    bytes.iter().take(8).map(|byte| format!("{byte:02x}")).collect::<Vec<_>>().join(" ")
}

impl GribField<'_> {
    /// Number of its message in the file, from 1.
    pub fn message(&self) -> usize {
        self.raw.message
    }

    /// Columns and rows of its grid.
    pub fn size(&self) -> (usize, usize) {
        (self.grid.columns, self.grid.rows)
    }

    /// Whether two fields lie on one grid, as wind components must.
    pub(super) fn same_grid(&self, other: &Self) -> bool {
        self.grid == other.grid
    }

    pub(super) fn contains(&self, position: GeoPosition) -> bool {
        self.grid.neighbours(position).is_some()
    }
}

impl GribGrid {
    /// All values in the order of storage, in the unit of the field; NaN where there is none.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// Columns and rows.
    pub fn size(&self) -> (usize, usize) {
        (self.grid.columns, self.grid.rows)
    }

    /// The value at a place, linear between the four points around it; `None` outside the grid and where one of
    /// them has no value.
    pub fn at(&self, position: GeoPosition) -> Option<f64> {
        let neighbours = self.grid.neighbours(position)?;
        let mut sum = 0.0;
        for (index, weight) in neighbours.into_iter().filter(|(_, weight)| *weight > NO_WEIGHT) {
            let value = *self.values.get(index)?;
            if !value.is_finite() {
                return None;
            }
            sum += weight * value;
        }
        Some(sum)
    }

    /// Wind at a place towards true east and north from its two components, m/s.
    ///
    /// On projected grids the components follow the grid and are turned here.
    pub fn wind_at(east: &Self, north: &Self, position: GeoPosition) -> Option<[f64; 2]> {
        if east.grid != north.grid {
            return None;
        }
        let along = [east.at(position)?, north.at(position)?];
        Some(east.grid.to_true_north(along, position.longitude_deg()))
    }
}
