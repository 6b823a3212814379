//! What a file says about how it was taken.

mod doubt;
mod exif_reader;
mod fits;
mod netpbm;
mod position;
mod satellite_clock;
mod second_reader;
mod settings;
mod tags;
mod time;
mod words;

pub use doubt::{Doubt, Subject};
use jiff::Timestamp;
use quantity::GeoPosition;
use serde::{Deserialize, Serialize};
pub use time::TakenAt;

use crate::{FileKind, Frame, Limits, Orientation, sniff};

/// What a file says about how it was taken; everything may be missing, and often is.
///
/// A value that cannot be right is kept out and told in [`Metadata::doubts`].
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Metadata {
    /// When the exposure began, by the camera's clock.
    pub taken: Option<TakenAt>,
    /// When the satellite receiver last knew the time: a second opinion on the camera's clock, and on a phone often
    /// minutes older than the picture.
    pub gps_time: Option<Timestamp>,
    /// Shutter time, s.
    pub exposure_s: Option<f64>,
    /// ISO setting.
    pub iso: Option<f64>,
    /// F-number.
    pub f_number: Option<f64>,
    /// Focal length, mm.
    pub focal_mm: Option<f64>,
    /// Focal length that gives the same field on 36 mm by 24 mm, mm, as the camera says.
    pub focal_35mm_equivalent_mm: Option<f64>,
    /// Pixels per millimetre of the sensor, along rows and columns, as the camera says; of the size in `said_size`.
    pub focal_plane_px_per_mm: Option<[f64; 2]>,
    /// Width and height that the settings belong to; the file may have been made smaller since.
    pub said_size: Option<[u32; 2]>,
    /// Enlargement by cutting out the middle ("digital zoom"), 1 for none.
    pub digital_zoom: Option<f64>,
    /// Pixel pitch on the sensor, µm (FITS; of binned pixels where they are binned).
    pub pixel_um: Option<f64>,
    /// Width of a stored pixel over its height on the sensor, where the file says so (research frames); 1 is square.
    pub pixel_aspect: Option<f64>,
    /// The camera's gain setting, in its own unit (FITS).
    pub gain_setting: Option<f64>,
    /// Temperature of the sensor, °C (FITS).
    pub sensor_celsius: Option<f64>,
    /// Filter in the beam, in the observer's words (FITS).
    pub filter: Option<String>,
    /// Maker of the body.
    pub make: Option<String>,
    /// The body.
    pub model: Option<String>,
    /// The body's serial number.
    pub serial: Option<String>,
    /// The lens.
    pub lens: Option<String>,
    /// The program that wrote the file last.
    pub software: Option<String>,
    /// Where.
    pub position: Option<GeoPosition>,
    /// How the picture is meant to be shown.
    pub orientation: Option<Orientation>,
    /// Whether the camera marks its colours as Adobe RGB (whose transfer curve is a power of 2.2).
    pub is_adobe_rgb: bool,
    /// What was found and not believed.
    pub doubts: Vec<Doubt>,
}

impl Metadata {
    /// Maker and body in one, without saying the maker twice.
    pub fn camera(&self) -> Option<String> {
        match (&self.make, &self.model) {
            (Some(make), Some(model)) => {
                let first = make.split_whitespace().next().unwrap_or_default();
                let is_said = model.to_ascii_lowercase().starts_with(&first.to_ascii_lowercase());
                Some(if is_said { model.clone() } else { format!("{make} {model}") })
            }
            (make, model) => model.clone().or_else(|| make.clone()),
        }
    }

    /// Camera clock minus satellite time, s, where both are known and the clock says its distance from UTC.
    pub fn clock_minus_gps_s(&self) -> Option<f64> {
        let clock = self.taken.as_ref()?.utc()?;
        Some(clock.duration_since(self.gps_time?).as_secs_f64())
    }

    /// How far the camera's clock is ahead of UTC, s, as satellite time lets one guess where the camera does not say:
    /// the quarter of an hour that the two times differ by. `None` where they differ by no such offset.
    pub fn utc_offset_by_gps_s(&self) -> Option<i32> {
        satellite_clock::offset_by_gps(&self.taken.as_ref()?.utc_with(0)?.duration_since(self.gps_time?))
    }

    /// Takes note of something not believed.
    pub(crate) fn doubt(&mut self, subject: Subject, found: impl std::fmt::Display, reason: &str) {
        self.doubts.push(Doubt::new(subject, &found.to_string(), reason));
    }
}

/// Reads what a file says about how it was taken. Never fails: a file without a word gives empty metadata.
///
/// The container is told by content; the raw kinds CR3, RAF and RW2 are read although their pixels are not.
pub fn read_metadata(bytes: &[u8]) -> Metadata {
    if let Ok(Some(inside)) = crate::decode::unpacked(bytes, &Limits::default()) {
        return read_plain(&inside);
    }
    read_plain(bytes)
}

fn read_plain(bytes: &[u8]) -> Metadata {
    // what is refused as a picture (CR3, RAF) may have metadata all the same
    match sniff(bytes) {
        Ok(FileKind::Fits) => fits::read(bytes),
        Ok(FileKind::Netpbm) => netpbm::read(bytes),
        Ok(FileKind::Bmp | FileKind::Gif) => Metadata::default(),
        _ => exif(bytes),
    }
}

fn exif(bytes: &[u8]) -> Metadata {
    let tags = exif_reader::read(bytes).filter(tags::Tags::says_something);
    let tags = tags.or_else(|| second_reader::read(bytes)).unwrap_or_default();
    let mut metadata = Metadata::default();
    settings::read(&tags, &mut metadata);
    time::read(&tags, &mut metadata);
    position::read(&tags, &mut metadata);
    metadata
}

/// When each picture of a stack in one file began, by its comments; `bytes` begin with the picture's head.
pub(crate) fn netpbm_start(bytes: &[u8]) -> Option<Timestamp> {
    netpbm::read(bytes).taken?.utc()
}

/// Puts metadata to an opened frame, and what follows from them for its pixels.
pub(crate) fn attach(frame: &mut Frame, bytes: &[u8]) {
    let metadata = read_metadata(bytes);
    // a HEIC is turned by its container, and its EXIF number tells the same turn a second time
    if let Some(orientation) = metadata.orientation.filter(|_| frame.kind != FileKind::Heic) {
        frame.orientation = orientation;
    }
    if metadata.is_adobe_rgb {
        frame.believe_adobe_rgb();
    }
    frame.metadata = metadata;
}
