use quantity::Estimate;
use serde::{Deserialize, Serialize};

use crate::expose::SeenAurora;

/// What a person saw of a frame's sky.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct TellEyeReport {
    /// What the file is called.
    pub file: String,
    /// What the eye saw and what the camera shows, in one sentence.
    pub verdict: String,
    /// What must stand under the picture: that it is a simulation, and for whom.
    pub caption: String,
    /// Why there is no eye view; `None` where there is one.
    pub why_not: Option<String>,
    /// How long without white light, and which field factor.
    pub minutes_since_white_light: f64,
    /// See [`crate::TellEyeRequest::field_factor`].
    pub field_factor: f64,
    /// The aurora's brightest hundredth above the air, kR of 557.7 nm.
    pub brightest_kr: Option<Estimate>,
    /// Its median, likewise.
    pub median_kr: Option<Estimate>,
    /// The class of the brightest on the International Brightness scale ("I-II").
    pub ibc: Option<String>,
    /// How the brightest looks to this person.
    pub seen: Option<SeenAurora>,
    /// How it would look at the lower and the upper end of its range.
    pub seen_between: Option<[SeenAurora; 2]>,
    /// The sky's own light, V magnitudes for each square arcsecond.
    pub sky_mag_arcsec2: Option<Estimate>,
    /// Faintest wide glow of 557.7 nm without edges that this person sees on this sky, kR at the ground. The range is that from
    /// trained to hurried observers.
    pub faintest_kr: Option<Estimate>,
    /// 557.7 nm from which the first hint of green comes, kR at the ground: a model.
    pub colour_from_kr: Option<Estimate>,
    /// Where sight and colour begin for each line of an aurora by itself, the violet, the green and the red.
    pub line_limits: Vec<EyeLineLimit>,
    /// What of the aurora vanished, stayed grey, had colour.
    pub shares: Option<EyeShares>,
    /// The ninths of the picture with aurora, row by row from the top left as shown.
    pub regions: Vec<EyeRegionSeen>,
    /// How the numbers were come by, each in one sentence.
    pub basis: Vec<String>,
    /// What was assumed or left out.
    pub notes: Vec<String>,
}

/// Where sight and colour begin for one line of an aurora by itself, on this sky and for this person. Models: estimates.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct EyeLineLimit {
    /// The line's colour in a camera ("red").
    pub colour: String,
    /// Its wavelength, nm.
    pub wavelength_nm: f64,
    /// Faintest wide glow of it without edges that is seen, kR at the ground; the range is that from trained to hurried
    /// observers.
    pub seen_from_kr: Estimate,
    /// Whether rods see it first, which know no colour; cones otherwise.
    pub by_rods: bool,
    /// The first hint of its colour, kR at the ground.
    pub colour_from_kr: Estimate,
}

/// Shares of the aurora's area in the picture by how it looks; they add up to 1. A model's numbers: estimates.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct EyeShares {
    /// Share of the picture that holds aurora, 0..1.
    pub aurora: f64,
    /// Not seen, 0..1.
    pub vanished: f64,
    /// Grey.
    pub grey: f64,
    /// With a hint of colour.
    pub hint_of_colour: f64,
    /// In plain colour.
    pub plain_colour: f64,
}

/// A ninth of the picture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct EyeRegionSeen {
    /// Where ("upper left").
    pub place: String,
    /// 557.7 nm of its brightest patch at the ground, kR.
    pub brightest_kr: Estimate,
    /// How that patch looks.
    pub seen: SeenAurora,
}

/// The two views, the way up the frame is shown, 8 bits of sRGB, row by row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EyePictures {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// What the camera shows.
    pub camera_rgb: Vec<u8>,
    /// What the eye saw; `None` where it cannot be told.
    pub eye_rgb: Option<Vec<u8>>,
}

/// A report with its pictures.
#[derive(Debug, Clone, PartialEq)]
pub struct ToldEye {
    /// The numbers and words.
    pub report: TellEyeReport,
    /// The pictures; `None` for a file that cannot be read.
    pub pictures: Option<EyePictures>,
}
