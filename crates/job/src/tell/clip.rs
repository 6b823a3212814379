//! A moving picture of a sequence: what is cut out of the frames, and what its caption owns up to.

mod geometry;
pub(super) mod picture;
mod shrink;
pub(super) mod turn;
pub(super) mod words;

use serde::{Deserialize, Serialize};

pub use geometry::ClipGeometry;
pub use picture::ClipPicture;

use crate::{JobError, SkippedFrame};

/// Fewest and most pictures a second: players take no other.
const FRAMES_PER_S: [f64; 2] = [1.0, 120.0];
/// Letters of a credit or place: it must be read within the clip.
const MOST_LETTERS: usize = 200;

/// How the clip is packed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum ClipCodec {
    /// H.264 (ITU-T H.264): plays everywhere.
    #[default]
    H264,
    /// AV1 (AOMedia): half the size, for newer players.
    Av1,
}

/// How large the clip is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum ClipSize {
    /// 1920 by 1080.
    #[default]
    Lines1080,
    /// 3840 by 2160.
    Lines2160,
    /// As large as the frames.
    Source,
}

/// What a clip is asked to be.
#[expect(clippy::struct_excessive_bools, reason = "each is a choice of its own")]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ClipRequest {
    /// How it is packed.
    pub codec: ClipCodec,
    /// Frames shown in a second.
    pub frames_per_s: f64,
    /// How large it is.
    pub size: ClipSize,
    /// Upright, 9 wide to 16 high, instead of 16 to 9.
    pub portrait: bool,
    /// The whole frame with black bars, instead of its middle.
    pub whole_frame: bool,
    /// The time of each frame in a corner.
    pub clock: bool,
    /// Exposure changes evened out.
    pub even_exposure: bool,
    /// Whom to name.
    pub credit: Option<String>,
    /// Where it was taken, in the owner's words and as coarse as the owner wishes.
    pub place: Option<String>,
}

impl ClipRequest {
    /// Checks what the types cannot.
    ///
    /// # Errors
    ///
    /// A rate out of range; a credit or place too long to be read.
    pub fn check(&self) -> Result<(), JobError> {
        let [low, high] = FRAMES_PER_S;
        JobError::check("frames_per_s", self.frames_per_s, low, high, "frames a second")?;
        for (field, text) in [("credit", &self.credit), ("place", &self.place)] {
            let letters = text.as_ref().map_or(0, |text| text.chars().count());
            if letters > MOST_LETTERS {
                let hint = format!("give {MOST_LETTERS} letters at most");
                return Err(JobError::bad(field, format!("it has {letters} letters"), hint));
            }
        }
        Ok(())
    }
}

/// Where the colours of the frames come from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ClipColours {
    /// The finished pictures of the camera or of somebody's editing.
    Finished {
        /// Whether one of them is in Adobe RGB; its primaries are shown as if they were sRGB's.
        is_adobe_rgb: bool,
    },
    /// Numbers in proportion to light: these two levels are shown as black and as white, the same in every frame.
    Linear {
        /// Shown as black, in the file's share of full scale or own unit.
        black: f32,
        /// Shown as white.
        white: f32,
        /// Divided by the camera's answer to white.
        balanced: bool,
    },
}

/// How exposure changes were evened out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClipEvenness {
    /// Whether every frame named its settings.
    pub by_settings: bool,
    /// Changes of settings.
    pub steps: u32,
    /// Smallest and largest factor on the linear light of a channel.
    pub factors: [f64; 2],
}

/// What is known of a clip that is made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClipFacts {
    /// Frames that were to be shown.
    pub asked: u32,
    /// Frames shown.
    pub shown: u32,
    /// Frames left out, each with why.
    pub left_out: Vec<SkippedFrame>,
    /// What was cut and scaled.
    pub geometry: ClipGeometry,
    /// Where the colours come from.
    pub colours: ClipColours,
    /// Whether finished pictures inside raw files were taken.
    pub inside_raw: bool,
    /// Whether the frames are in the order of their times; by their names otherwise.
    pub by_time: bool,
    /// Frames shown that say when they were taken.
    pub timed: u32,
    /// Begin of the first exposure and of the last, as its clock says, in words.
    pub first: Option<String>,
    /// The last.
    pub last: Option<String>,
    /// From the first to the last, s.
    pub span_s: Option<f64>,
    /// How exposure changes were evened out; `None` where they were not.
    pub evenness: Option<ClipEvenness>,
    /// The encoder with its settings, in words.
    pub encoder: String,
}

/// What a clip is, and what was done to it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClipReport {
    /// What was asked.
    pub request: ClipRequest,
    /// What is known of it.
    pub facts: ClipFacts,
    /// How long it runs, s.
    pub runs_s: f64,
    /// Every edit, in words.
    pub edits: Vec<String>,
    /// What is to stand beside it: credit, place, times, edits.
    pub caption: String,
}

/// What stands beside a clip.
///
/// # Errors
///
/// As [`ClipRequest::check`].
pub fn clip_report(request: &ClipRequest, facts: ClipFacts) -> Result<ClipReport, JobError> {
    request.check()?;
    let edits = words::edits(request, &facts);
    let caption = words::caption(request, &facts, &edits);
    let runs_s = f64::from(facts.shown) / request.frames_per_s;
    Ok(ClipReport { request: request.clone(), facts, runs_s, edits, caption })
}
