//! What is known of the pictures beforehand: `tests/data/real_frames.csv`, and directions by other programs in
//! `lens_solutions.csv` of the crate `frame`.

use quantity::{GeoPosition, Timestamp};
use serde::Deserialize;

/// A picture as it is described and labelled by eye.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct Known {
    /// Folder and name.
    pub(super) file: String,
    /// What it is.
    pub(super) what: String,
    latitude_deg: Option<f64>,
    longitude_deg: Option<f64>,
    utc: Option<Timestamp>,
    /// Scene by eye; empty where nobody looked.
    pub(super) scene: String,
    /// Aurora by eye: yes, no, `cannot_tell` or empty.
    pub(super) aurora: String,
    /// How certain that word is, per cent.
    pub(super) certainty: Option<f64>,
    /// Share of the sky under cloud, by eye.
    pub(super) cloud: Option<f64>,
    /// Moon in the frame, by eye.
    pub(super) moon: String,
    /// Share of the picture that is no sky, by eye.
    pub(super) foreground: Option<f64>,
}

impl Known {
    /// Where its station is.
    pub(super) fn position(&self) -> Option<GeoPosition> {
        GeoPosition::new(self.latitude_deg?, self.longitude_deg?, 0.0).ok()
    }

    /// When it was taken.
    pub(super) fn at(&self) -> Option<Timestamp> {
        self.utc
    }
}

/// A direction found with other programs.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct Solved {
    file: String,
    /// yes, no, `no_stars` or uncertain.
    #[serde(rename = "solved")]
    pub(super) elsewhere: String,
    /// Middle of the picture, J2000, degrees.
    pub(super) ra_deg: Option<f64>,
    pub(super) dec_deg: Option<f64>,
    /// Width of the field, degrees.
    pub(super) width_deg: Option<f64>,
}

fn rows<T: for<'a> Deserialize<'a>>(text: &str) -> Vec<T> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

/// All pictures that are described.
pub(super) fn all() -> Vec<Known> {
    rows(include_str!("../../data/real_frames.csv"))
}

/// Directions by other programs, by file.
pub(super) fn solved(file: &str) -> Option<Solved> {
    rows::<Solved>(include_str!("../../../../frame/tests/data/lens_solutions.csv"))
        .into_iter()
        .find(|row| row.file == file)
}
