//! What a file says of its station.

use job::MagneticQuality;
use quantity::GeoPosition;

/// Longest piece of header kept, characters.
const LONGEST: usize = 120;

/// Facts of a station and its record.
#[derive(Debug, Clone)]
pub(super) struct Header {
    pub(super) station_code: String,
    pub(super) station_name: Option<String>,
    pub(super) place: Option<GeoPosition>,
    pub(super) source: Option<String>,
    pub(super) quality: MagneticQuality,
}

/// A word of a header, without control characters and not too long; none where it is empty.
pub(super) fn word(text: &str) -> Option<String> {
    let kept: String = text.trim().chars().filter(|c| !c.is_control()).take(LONGEST).collect();
    (!kept.is_empty()).then_some(kept)
}

/// How far a record is worked over, from the publisher's words.
pub(super) fn quality(words: &str) -> MagneticQuality {
    let words = words.to_ascii_lowercase();
    if words.contains("quasi") {
        MagneticQuality::QuasiDefinitive
    } else if words.contains("definitive") {
        MagneticQuality::Definitive
    } else if words.contains("adjusted") || words.contains("provisional") {
        MagneticQuality::Adjusted
    } else if words.contains("variation") || words.contains("reported") {
        MagneticQuality::Variation
    } else {
        MagneticQuality::Unknown
    }
}

/// A place where the numbers make one; an elevation that is none counts as 0.
pub(super) fn place(
    latitude_deg: Option<f64>,
    longitude_deg: Option<f64>,
    elevation_m: Option<f64>,
) -> Option<GeoPosition> {
    let (latitude, longitude) = (latitude_deg?, longitude_deg?);
    GeoPosition::new(latitude, longitude, elevation_m.unwrap_or(0.0))
        .or_else(|_elevation| GeoPosition::new(latitude, longitude, 0.0))
        .ok()
}
