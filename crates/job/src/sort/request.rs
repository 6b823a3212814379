use quantity::GeoPosition;
use serde::{Deserialize, Serialize};

use super::signature::FrameSignature;
use crate::{CheckReport, JobError};

/// A night's frames to cull; what was measured on each comes beside it as [`MeasuredFrame`]s.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct SortRequest {
    /// Corrections of the cameras' clocks that are known.
    #[serde(default)]
    pub clock: Vec<ClockCorrection>,
    /// Take a correction from the stars where they say one and none is given.
    #[serde(default)]
    pub clock_from_stars: bool,
    /// Where the frames were taken.
    #[serde(default)]
    pub position: Option<GeoPosition>,
    /// How far the cameras' clocks are ahead of UTC, s, for cameras that do not say.
    #[serde(default)]
    pub utc_offset_s: Option<i32>,
    /// Keepers wanted at most; `None` lets the night decide.
    #[serde(default)]
    pub keep: Option<u32>,
}

/// What a camera's clock must be corrected by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct ClockCorrection {
    /// Part of the camera's name; `None` for every camera.
    #[serde(default)]
    pub camera: Option<String>,
    /// To be added to what the camera says, s.
    pub seconds: f64,
}

/// Longest correction that somebody may give, s: a clock set to another year is set right in the files first.
const LONGEST_CORRECTION_S: f64 = 400.0 * 86_400.0;
/// Widest offset of a time zone, s.
const WIDEST_OFFSET_S: f64 = 26.0 * 3600.0;

impl SortRequest {
    /// Checks everything the types cannot; ask it once, where the request comes in.
    ///
    /// # Errors
    ///
    /// A correction, an offset or a number of keepers out of range.
    pub fn check(&self) -> Result<(), JobError> {
        for (index, correction) in self.clock.iter().enumerate() {
            let field = format!("clock[{index}].seconds");
            JobError::check(&field, correction.seconds, -LONGEST_CORRECTION_S, LONGEST_CORRECTION_S, "s")?;
        }
        if let Some(offset) = self.utc_offset_s {
            JobError::check("utc_offset_s", f64::from(offset), -WIDEST_OFFSET_S, WIDEST_OFFSET_S, "s")?;
        }
        if self.keep == Some(0) {
            return Err(JobError::bad("keep", "is 0", "ask for one keeper or more, or leave it out"));
        }
        Ok(())
    }
}

/// What a person says about a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum PersonVerdict {
    /// It is kept.
    Keep,
    /// It goes.
    Dud,
    /// It was looked at and left open, whatever the measures say.
    Undecided,
}

/// What is measured once on a frame and kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FrameMeasures {
    /// What it says.
    pub report: CheckReport,
    /// The picture in 16 by 16 cells; `None` where it could not be read.
    pub signature: Option<FrameSignature>,
}

/// One frame with what was measured on it.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredFrame {
    /// Path of the file that was measured, below the folder, with `/` between its parts.
    pub name: String,
    /// Other files of the same exposure (the raw beside a JPEG), likewise.
    pub companions: Vec<String>,
    /// Hash of the measured file's content, hexadecimal. Equal hashes are the same picture.
    pub content_hash: String,
    /// Size of the measured file.
    pub bytes: u64,
    /// What was measured on it.
    pub report: CheckReport,
    /// The picture in 16 by 16 cells; `None` where it could not be read.
    pub signature: Option<FrameSignature>,
    /// What a person said about it before.
    pub person: Option<PersonVerdict>,
}
