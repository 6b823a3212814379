use job::Site;
use quantity::GeoPosition;
use serde::Serialize;

use super::Duplicate;
use crate::{Place, RowError};

/// Which shape a file of places has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PlaceFormat {
    /// GPX 1.0 or 1.1.
    Gpx,
    /// KML 2.x.
    Kml,
    /// GeoJSON, RFC 7946.
    GeoJson,
}

/// One place of a file.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundPlace {
    /// Where it stands in the file.
    pub at: Place,
    /// What the file tells of it; what it does not tell is as [`Site::bare`] has it. The height is 0 where it is not known.
    pub site: Site,
    /// Height above the sea, m; none where the file does not tell.
    pub elevation_m: Option<f64>,
    /// Its description, cleaned of control characters; line ends stay.
    pub description: String,
    /// Whether the file names its time zone.
    pub names_zone: bool,
}

impl FoundPlace {
    /// Its name, cleaned.
    pub fn name(&self) -> &str {
        &self.site.name
    }

    /// Where it is.
    pub fn position(&self) -> GeoPosition {
        self.site.position
    }

    /// The place as a site; `time_zone` where the file names none, the description as notes where it has no notes.
    pub fn to_site(&self, time_zone: &str) -> Site {
        let mut site = self.site.clone();
        if !self.names_zone {
            time_zone.clone_into(&mut site.time_zone);
        }
        if site.notes.is_empty() {
            site.notes.clone_from(&self.description);
        }
        site
    }
}

/// Everything in a file of places.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundPlaces {
    /// The file.
    pub source_name: String,
    /// Its shape.
    pub format: PlaceFormat,
    /// The good ones, in the order of the file.
    pub places: Vec<FoundPlace>,
    /// The ones left out, each with its reason.
    pub rejected: Vec<RowError>,
    /// How many more were left out than are listed.
    pub rejected_beyond: usize,
    /// What was used all the same and wants a look: a name made up, a pair that looks swapped, a height that is none.
    pub remarks: Vec<RowError>,
    /// Pairs of [`places`](Self::places) that are probably one.
    pub duplicates: Vec<Duplicate>,
}
