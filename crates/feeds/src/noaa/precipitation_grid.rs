//! The grid of the agency's short-term model: a second opinion on where, never a brightness.

use jiff::SignedDuration;
use quantity::{GeoPosition, Timestamp};
use serde::Serialize;
use serde_json::Value;

use crate::body::{bad_key, object};
use crate::{FeedError, json, table};

const EXPECTED: &str = "a grid of the short-term precipitation model";
/// Whole degrees of longitude, 0 to 359 east.
const LONS: usize = 360;
/// Whole degrees of latitude, -90 to 90.
const LATS: usize = 181;
/// Most cells of 65 160 that may be absent.
const MOST_ABSENT: usize = LONS * LATS / 100;
/// Values as published, commonly read as percent.
const VALUES: std::ops::RangeInclusive<f64> = 0.0..=100.0;
/// Latitudes up to here hold an artefact, a band of values up to 5 along the equator, in every captured grid: dropped.
const EQUATOR_BAND_DEG: usize = 5;
/// The row at 89 degrees south is 0 in every captured grid while its neighbours are not.
const BROKEN_LAT: usize = 1;
/// Longest lead believed: a wind of 277 km/s was given 94 minutes.
const LONGEST_LEAD: SignedDuration = SignedDuration::from_hours(4);

/// A value of the model over the whole Earth, one degree apart.
///
/// What the value means is documented only as "Aurora"; it is commonly read as percent. It says where the model has
/// aurora and how sure it is, and it is no flux and no brightness: nothing here is computed from it.
#[derive(Debug, Clone, PartialEq)]
pub struct PrecipitationGrid {
    /// When the solar wind behind it was measured.
    pub observed_at: Timestamp,
    /// When it holds.
    pub valid_at: Timestamp,
    /// By longitude, then latitude from the south; NaN where there is no value.
    values: Vec<f32>,
}

/// A hemisphere of the Earth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Hemisphere {
    /// North of the equator.
    North,
    /// South of it.
    South,
}

/// The largest value along a line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GridPeak {
    /// Where it is, degrees.
    pub latitude_deg: f64,
    /// Where it is, degrees, -180 to 180.
    pub longitude_deg: f64,
    /// The value, 0 to 100.
    pub value: f64,
}

/// Reads the grid: `Observation Time`, `Forecast Time` and `coordinates`, a list of longitude, latitude and value.
///
/// Two artefacts of the published grids are cleaned: the band along the equator is dropped, and the row at 89 degrees
/// south, where it is empty, is put between its neighbours.
///
/// # Errors
///
/// No such grid, no times, or more than one cell in a hundred absent.
pub fn parse_precipitation_grid(bytes: &[u8], source_name: &str) -> Result<PrecipitationGrid, FeedError> {
    let grid = object(bytes, source_name, EXPECTED)?;
    let time = |key: &str| {
        let text = grid.get(key).and_then(Value::as_str).ok_or_else(|| bad_key(source_name, key, "absent"))?;
        table::instant("time", text).map_err(|_fault| bad_key(source_name, key, "not a time"))
    };
    let (observed_at, valid_at) = (time("Observation Time")?, time("Forecast Time")?);
    let lead = valid_at.duration_since(observed_at);
    if lead.is_negative() || lead > LONGEST_LEAD {
        return Err(bad_key(source_name, "Forecast Time", "not within four hours after the observation"));
    }
    let cells = grid.get("coordinates").and_then(Value::as_array);
    let cells = cells.ok_or_else(|| bad_key(source_name, "coordinates", "absent"))?;
    let mut values = vec![f32::NAN; LONS * LATS];
    for cell in cells {
        if let Some((index, value)) = cell_of(cell)
            && let Some(slot) = values.get_mut(index)
        {
            *slot = value;
        }
    }
    if values.iter().filter(|value| value.is_nan()).count() > MOST_ABSENT {
        return Err(bad_key(source_name, "coordinates", "not a whole grid of 360 by 181 degrees"));
    }
    clean(&mut values);
    Ok(PrecipitationGrid { observed_at, valid_at, values })
}

/// Where a triple belongs, and its value; its own coordinates count, not its place in the list.
fn cell_of(cell: &Value) -> Option<(usize, f32)> {
    let [lon, lat, value] = cell.as_array()?.as_slice() else { return None };
    let number = |value: &Value| json::number(Some(value)).ok().flatten();
    let (lon, lat, value) = (number(lon)?, number(lat)?, number(value)?);
    let is_whole = |degrees: f64| degrees.fract().abs() < f64::EPSILON;
    let on_grid = is_whole(lon) && is_whole(lat) && (-180.0..=360.0).contains(&lon) && (-90.0..=90.0).contains(&lat);
    if !on_grid || !VALUES.contains(&value) {
        return None;
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole numbers, checked to be on the grid"
    )]
    let (lon, lat, value) = (lon.rem_euclid(360.0) as usize % LONS, (lat + 90.0) as usize, value as f32);
    Some((lon * LATS + lat, value))
}

fn clean(values: &mut [f32]) {
    let columns = || 0..LONS;
    let is_empty = |values: &[f32], lat: usize| columns().all(|lon| values[lon * LATS + lat].abs() < f32::EPSILON);
    let broken = is_empty(values, BROKEN_LAT) && !is_empty(values, BROKEN_LAT - 1) && !is_empty(values, BROKEN_LAT + 1);
    for column in values.chunks_exact_mut(LATS) {
        if broken {
            column[BROKEN_LAT] = f32::midpoint(column[BROKEN_LAT - 1], column[BROKEN_LAT + 1]);
        }
        column[LATS / 2 - EQUATOR_BAND_DEG..=LATS / 2 + EQUATOR_BAND_DEG].fill(f32::NAN);
    }
}

impl PrecipitationGrid {
    /// How far ahead it looks: about an hour, more with a slow wind, whatever the product's name says.
    pub fn lead(&self) -> SignedDuration {
        self.valid_at.duration_since(self.observed_at)
    }

    /// The value at a place, 0 to 100, linearly between the four cells around it; `None` where one of them is absent,
    /// and within five degrees of the equator.
    pub fn at(&self, place: GeoPosition) -> Option<f64> {
        let (south, north_share) = cell_and_share(place.latitude_deg() + 90.0, LATS - 1);
        let (west, east_share) = cell_and_share(place.longitude_deg().rem_euclid(360.0), LONS);
        let (west, east) = (west % LONS, (west + 1) % LONS);
        let column = |lon: usize| {
            let (below, above) = (self.cell(lon, south)?, self.cell(lon, south + 1)?);
            Some(below * (1.0 - north_share) + above * north_share)
        };
        Some(column(west)? * (1.0 - east_share) + column(east)? * east_share)
    }

    /// The largest value on a meridian of one hemisphere; of equal ones the one nearest to the equator. `None` where
    /// the meridian has no value at all.
    pub fn peak_on_meridian(&self, longitude_deg: f64, hemisphere: Hemisphere) -> Option<GridPeak> {
        let degrees = 1 + EQUATOR_BAND_DEG..=LATS / 2;
        let places = degrees.filter_map(|degrees| {
            let latitude_deg = match hemisphere {
                Hemisphere::North => degrees as f64,
                Hemisphere::South => -(degrees as f64),
            };
            GeoPosition::new(latitude_deg, quantity::wrap_degrees_180(longitude_deg), 0.0).ok()
        });
        self.peak_along(places)
    }

    /// The largest value at any of some places, such as those of a magnetic meridian; of equal ones the first.
    pub fn peak_along(&self, places: impl IntoIterator<Item = GeoPosition>) -> Option<GridPeak> {
        let mut peak: Option<GridPeak> = None;
        for place in places {
            let Some(value) = self.at(place) else { continue };
            if peak.is_none_or(|peak| value > peak.value) {
                let (latitude_deg, longitude_deg) = (place.latitude_deg(), place.longitude_deg());
                peak = Some(GridPeak { latitude_deg, longitude_deg, value });
            }
        }
        peak
    }

    fn cell(&self, lon: usize, lat: usize) -> Option<f64> {
        self.values.get(lon * LATS + lat).map(|value| f64::from(*value)).filter(|value| !value.is_nan())
    }
}

/// The cell below a coordinate and the share of the way to the next; the last cell is reached by a share of one.
fn cell_and_share(degrees: f64, cells: usize) -> (usize, f64) {
    let degrees = if degrees.is_finite() { degrees.clamp(0.0, cells as f64) } else { 0.0 };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 360")]
    let below = (degrees as usize).min(cells.saturating_sub(1));
    (below, degrees - below as f64)
}
