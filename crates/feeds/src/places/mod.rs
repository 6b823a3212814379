//! Places a person has kept elsewhere: waypoints, placemarks and point features, each read into [`FoundPlace`].
//!
//! | shape | what is read | coordinates |
//! |---|---|---|
//! | GPX 1.0 and 1.1 | waypoints (`wpt`) | attributes `lat`, `lon`; `ele` in metres |
//! | KML 2.x | placemarks with one point | longitude, latitude; the height only where `altitudeMode` is `absolute` |
//! | GeoJSON (RFC 7946) | features with a point | longitude, latitude, height in metres |
//!
//! A feature whose properties carry the fields of [`job::Site`] (`time_zone`, `sky_quality`, `horizon`, `water`,
//! `foreground`, `snow_cover`, `notes`, `drive_minutes`) comes back as that site. A place that cannot be used is left out
//! and reported in [`FoundPlaces::rejected`]; what was used but wants a look is in [`FoundPlaces::remarks`].
//!
//! **What it does not do:** it opens no file and no archive (a KMZ is refused), follows no link of a KML file, reads no
//! tracks and routes, and never swaps coordinates: a pair that looks swapped is said and used as it stands.
//!
//! ```
//! let text = r#"<gpx version="1.1"><wpt lat="69.15" lon="15.65"><ele>3</ele><name>Skerrow Bay</name></wpt></gpx>"#;
//! let found = feeds::places::parse_places(text.as_bytes(), "bay.gpx")?;
//! assert_eq!(found.places[0].name(), "Skerrow Bay");
//! assert_eq!(found.places[0].elevation_m, Some(3.0));
//! # Ok::<(), feeds::FeedError>(())
//! ```

mod body;
mod collector;
mod duplicates;
mod found;
mod geojson;
mod gpx;
mod kml;
mod own;
mod words;
mod writing;
mod xml;

pub use body::{LARGEST_PLACES_BYTES, MOST_PLACES, parse_places};
pub use duplicates::{Duplicate, NEAR_M, Sameness, duplicates};
pub use found::{FoundPlace, FoundPlaces, PlaceFormat};
pub use words::{LONGEST_NAME, clean_name};
pub use writing::to_geojson;
