use job::Site;
use quantity::GeoPosition;

use super::duplicates::duplicates;
use super::found::{FoundPlace, FoundPlaces, PlaceFormat};
use super::words::{clean_description, clean_name};
use crate::row::Fault;
use crate::{FeedError, Place, RowError};

/// Reasons kept for the report, of places left out and of remarks each; a file with more is hardly one of places.
const MOST_REASONS_KEPT: usize = 1000;
/// Decimals of a coordinate in a name made up of it: 0.0001 degree, about 10 m.
const NAME_DECIMALS: usize = 4;
/// Places nearer to the equator than this are no places to wait for the aurora, degrees. Only used to suspect a swapped
/// pair: the oval of the greatest storms on record was seen overhead down to about 40 (from memory).
const NEAREST_TO_EQUATOR_DEG: f64 = 40.0;
/// Where the longitude as written, taken as a latitude, would be one where people do wait for the aurora, degrees.
const LIKELY_LATITUDES_DEG: std::ops::RangeInclusive<f64> = 45.0..=82.0;

/// One place as the file has it.
pub(super) struct Raw {
    pub(super) name: String,
    pub(super) latitude_deg: f64,
    pub(super) longitude_deg: f64,
    pub(super) elevation_m: Option<f64>,
    pub(super) description: String,
}

/// Gathers good and bad places while a file is read.
pub(super) struct Collector {
    source_name: String,
    format: PlaceFormat,
    places: Vec<FoundPlace>,
    rejected: Vec<RowError>,
    rejected_beyond: usize,
    remarks: Vec<RowError>,
}

impl Collector {
    pub(super) fn new(source_name: &str, format: PlaceFormat) -> Self {
        Self {
            source_name: source_name.to_owned(),
            format,
            places: Vec::new(),
            rejected: Vec::new(),
            rejected_beyond: 0,
            remarks: Vec::new(),
        }
    }

    /// Takes a place, `tell` adding what else the file says of it.
    pub(super) fn take(
        &mut self,
        at: Place,
        raw: Result<Raw, Fault>,
        tell: impl FnOnce(&mut FoundPlace, &mut Vec<Fault>),
    ) {
        match self.place(at, raw, tell) {
            Ok(place) => self.places.push(place),
            Err(fault) => self.reject(fault.at(at)),
        }
    }

    fn place(
        &mut self,
        at: Place,
        raw: Result<Raw, Fault>,
        tell: impl FnOnce(&mut FoundPlace, &mut Vec<Fault>),
    ) -> Result<FoundPlace, Fault> {
        let raw = raw?;
        let position = position(&raw)?;
        let elevation_m = raw.elevation_m.filter(|&height| with_height(position, height).is_some());
        if let Some(height) = raw.elevation_m.filter(|_| elevation_m.is_none()) {
            self.remark(at, Fault::new("elevation", format!("{height} m is no height on Earth; taken as not known")));
        }
        let position = elevation_m.and_then(|height| with_height(position, height)).unwrap_or(position);
        if looks_swapped(position) {
            let (lat, lon) = (position.latitude_deg(), position.longitude_deg());
            self.remark(
                at,
                Fault::new(
                    "coordinates",
                    format!("latitude {lat}, longitude {lon} look swapped; used as they stand, nothing was guessed"),
                ),
            );
        }
        let mut name = clean_name(&raw.name);
        if name.is_empty() {
            name = coordinate_name(position);
            self.remark(at, Fault::new("name", format!("it has none and is called \"{name}\"")));
        }
        let mut place = FoundPlace {
            at,
            site: Site::bare(name, position),
            elevation_m,
            description: clean_description(&raw.description),
            names_zone: false,
        };
        let mut doubts = Vec::new();
        tell(&mut place, &mut doubts);
        for doubt in doubts {
            self.remark(at, doubt);
        }
        place.site.check().map_err(|error| Fault::new("properties", error.to_string()))?;
        Ok(place)
    }

    pub(super) fn remark(&mut self, at: Place, fault: Fault) {
        if self.remarks.len() < MOST_REASONS_KEPT {
            self.remarks.push(fault.at(at));
        }
    }

    fn reject(&mut self, error: RowError) {
        if self.rejected.len() < MOST_REASONS_KEPT {
            self.rejected.push(error);
        } else {
            self.rejected_beyond += 1;
        }
    }

    /// All places; an error where the file holds none, not even a bad one. `instead` says what it holds.
    pub(super) fn finish(self, instead: &str) -> Result<FoundPlaces, FeedError> {
        let Self { source_name, format, places, rejected, rejected_beyond, remarks } = self;
        if places.is_empty() && rejected.is_empty() {
            return Err(FeedError::NoPlaces { source_name, found: instead.to_owned() });
        }
        let sites: Vec<&Site> = places.iter().map(|place| &place.site).collect();
        let duplicates = duplicates(&sites);
        Ok(FoundPlaces { source_name, format, places, rejected, rejected_beyond, remarks, duplicates })
    }
}

fn position(raw: &Raw) -> Result<GeoPosition, Fault> {
    let Raw { latitude_deg, longitude_deg, .. } = *raw;
    GeoPosition::new(latitude_deg, longitude_deg, 0.0).map_err(|error| {
        let could_be_swapped = latitude_deg.abs() > 90.0 && latitude_deg.abs() <= 180.0 && longitude_deg.abs() <= 90.0;
        let suspicion = if could_be_swapped { "; if that is the longitude, the two are swapped" } else { "" };
        Fault::new("coordinates", format!("{error}{suspicion}"))
    })
}

fn with_height(position: GeoPosition, height_m: f64) -> Option<GeoPosition> {
    GeoPosition::new(position.latitude_deg(), position.longitude_deg(), height_m).ok()
}

fn looks_swapped(position: GeoPosition) -> bool {
    position.latitude_deg().abs() < NEAREST_TO_EQUATOR_DEG
        && LIKELY_LATITUDES_DEG.contains(&position.longitude_deg().abs())
}

fn coordinate_name(position: GeoPosition) -> String {
    let (lat, lon) = (position.latitude_deg(), position.longitude_deg());
    let (ns, ew) = (if lat < 0.0 { "S" } else { "N" }, if lon < 0.0 { "W" } else { "E" });
    format!("{:.NAME_DECIMALS$} {ns} {:.NAME_DECIMALS$} {ew}", lat.abs(), lon.abs())
}
