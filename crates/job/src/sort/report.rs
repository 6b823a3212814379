use quantity::{Estimate, Timestamp};
use serde::{Deserialize, Serialize};

use super::request::PersonVerdict;
use crate::CheckedScene;

/// A night's frames: which to keep, and why each dud is a dud.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SortReport {
    /// The night in one sentence.
    pub summary: String,
    /// How many frames; a raw file and the JPEG beside it are one.
    pub frames_total: u32,
    /// How many to keep.
    pub keepers: u32,
    /// How many duds.
    pub duds: u32,
    /// Good frames that are not among the keepers.
    pub spare: u32,
    /// Frames of which nothing can be said.
    pub undecided: u32,
    /// Duds by reason, the most frequent first. A frame with two reasons counts in both.
    pub reasons: Vec<ReasonCount>,
    /// Indices into `frames` of the keepers, the best first.
    pub best: Vec<u32>,
    /// The frames in the order of time; those without one at the end, by name.
    pub frames: Vec<SortedFrame>,
    /// What belongs together.
    pub sequences: Vec<FrameSequence>,
    /// The cameras with their clocks.
    pub cameras: Vec<SortedCamera>,
    /// What was assumed, left out or odd.
    pub notes: Vec<String>,
}

/// How many frames have a fault.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ReasonCount {
    /// The fault.
    pub kind: DudKind,
    /// In how many frames.
    pub frames: u32,
}

/// What is to become of a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum FrameVerdict {
    /// One of the best, unlike the others.
    Keep,
    /// Good, but another is better or shows the same.
    Spare,
    /// Spoilt, with a reason.
    Dud,
    /// Nothing about it can be said.
    Undecided,
}

/// Why a frame is a dud.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum DudKind {
    /// The file cannot be read.
    Unreadable,
    /// The file breaks off.
    CutShort,
    /// The same picture as another file, byte for byte.
    Copy,
    /// Nothing but dark.
    Dark,
    /// Far darker than the frames around it.
    Underexposed,
    /// The sky is burnt out.
    BurntOut,
    /// Out of focus.
    Soft,
    /// The sky turned too far during the exposure.
    Trailed,
    /// The camera moved.
    Shaken,
    /// Cloud over the stars.
    Cloud,
    /// The stars of the frames around are not there: cloud, dew, a hand.
    StarsLost,
    /// A light went through the frame.
    LampSwept,
    /// The moon's glare.
    MoonFlare,
    /// No aurora in a night that has some.
    NoAurora,
    /// By day.
    Daylight,
    /// Drawn, rendered or of a screen.
    NotAPhotograph,
}

/// A fault of a frame with its measure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct DudReason {
    /// What kind of fault.
    pub kind: DudKind,
    /// What was measured, in the unit that the words name; `None` where nothing is a number.
    pub value: Option<f64>,
    /// From where on that is a fault in this night with this lens.
    pub threshold: Option<f64>,
    /// In words, with the numbers: "stars 3.1 px wide against this night's best 1.7".
    pub words: String,
}

/// A frame with its place among the others.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SortedFrame {
    /// Path of the measured file below the folder.
    pub name: String,
    /// Other files of the same exposure.
    pub companions: Vec<String>,
    /// Hash of its content.
    pub content_hash: String,
    /// Size of the file.
    #[cfg_attr(feature = "typescript", ts(type = "number"))]
    pub bytes: u64,
    /// When it was taken, with the clock's correction: UTC.
    #[cfg_attr(feature = "typescript", ts(type = "string | null"))]
    pub utc: Option<Timestamp>,
    /// What the camera's clock showed.
    pub local: Option<String>,
    /// What it would have shown, had it been right.
    pub local_corrected: Option<String>,
    /// Index of its camera in the report.
    pub camera: Option<u32>,
    /// Index of its sequence in the report.
    pub sequence: u32,
    /// What is to become of it.
    pub verdict: FrameVerdict,
    /// Whether a person said so.
    pub person: Option<PersonVerdict>,
    /// XMP rating: -1 rejected, 1 to 5; `None` where nothing can be said.
    pub rating: Option<i8>,
    /// Why it is a dud, the plainest first.
    pub reasons: Vec<DudReason>,
    /// Why it is kept, or what it stands behind, in a few words.
    pub why: String,
    /// Index of the keeper that shows nearly the same.
    pub like: Option<u32>,
    /// How good it is among this night's, 0..1; `None` for duds and the undecided.
    pub score: Option<f64>,
    /// The numbers it rests on.
    pub measures: SortedMeasures,
}

/// The numbers of a frame in one row, for tables.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SortedMeasures {
    /// What the picture shows.
    pub scene: Option<CheckedScene>,
    /// Shutter time, s.
    pub exposure_s: Option<f64>,
    /// ISO.
    pub iso: Option<f64>,
    /// F-number.
    pub f_number: Option<f64>,
    /// Focal length, mm.
    pub focal_mm: Option<f64>,
    /// Stars found.
    pub stars: Option<u32>,
    /// Median diameter of the circle with half of a star's light, px.
    pub hfd_px: Option<f64>,
    /// `1 - b/a` of the typical star.
    pub elongation: Option<f64>,
    /// Length of the trails, px.
    pub trail_px: Option<f64>,
    /// Level of the sky from mid-grey, stops.
    pub sky_stops: Option<f64>,
    /// Share of pixels that are full in the sky, of the channel with most, 0..1.
    pub clipped_share: Option<f64>,
    /// Share of the sky under cloud, 0..1.
    pub cloud_fraction: Option<f64>,
    /// What cloud was told by.
    #[cfg_attr(feature = "typescript", ts(type = "\"catalogue_stars\" | \"star_density\" | \"colour\" | null"))]
    pub cloud_method: Option<frame::CloudMethod>,
    /// Chance that there is aurora in it, 0..1.
    pub aurora_probability: Option<f64>,
    /// Its brightest part, kR.
    pub aurora_brightest_kr: Option<f64>,
    /// Share of the sky that it covers, 0..1.
    pub aurora_extent: Option<f64>,
    /// Right ascension of the middle, degrees.
    pub ra_deg: Option<f64>,
    /// Declination of the middle, degrees.
    pub dec_deg: Option<f64>,
    /// Share of the frame that a passing light made brighter, 0..1.
    pub lamp_share: Option<f64>,
    /// Share of the frame within the moon's glare, 0..1.
    pub glare_share: Option<f64>,
}

/// How frames belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum SequenceKind {
    /// Ten or more at an even interval.
    TimeLapse,
    /// One upon the other.
    Burst,
    /// Side by side, overlapping.
    Panorama,
    /// One pointing, the focus ring turned.
    FocusSeries,
    /// None of these.
    Loose,
}

/// Frames that belong together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FrameSequence {
    /// How.
    pub kind: SequenceKind,
    /// Index of the camera.
    pub camera: Option<u32>,
    /// Indices into the report's frames, in order.
    pub frames: Vec<u32>,
    /// Median time from one start to the next, s.
    pub interval_s: Option<f64>,
    /// In words: "time-lapse of 412 frames every 6 s, 21:40 to 22:21".
    pub words: String,
}

/// A camera of the night and its clock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SortedCamera {
    /// Maker and body, as its files say.
    pub name: String,
    /// Frames.
    pub frames: u32,
    /// Added to its clock, s.
    pub correction_s: f64,
    /// Who says so.
    pub correction_by: ClockSource,
    /// What the stars say the clock must be corrected by, s, where they do.
    pub by_stars_s: Option<Estimate>,
    /// In words, where there is anything to say.
    pub words: Option<String>,
    /// Width of the sharpest stars of this night with this camera, px.
    pub best_hfd_px: Option<f64>,
}

/// Who says how a clock is off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum ClockSource {
    /// Nobody: it is believed.
    Camera,
    /// The person asking.
    Given,
    /// The stars over a level camera.
    Stars,
}
