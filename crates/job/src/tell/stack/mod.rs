//! Frames of one place laid over one another: the sky by its stars with the ground kept, or the brightest of every pixel.

mod picture;
mod reference;
mod warp;
mod words;

use serde::{Deserialize, Serialize};

pub use picture::StackedPicture;
pub use reference::{AlignedFrame, StackReference};

use super::{ClipColours, ClipGeometry};
use crate::{JobError, SkippedFrame};

/// Least and greatest distance, in deviations, from which a value is an outlier: below it noise itself is cut.
const SIGMAS: [f64; 2] = [2.0, 20.0];
/// Shortest and longest side of a stack, px: smaller shows no star, larger is taken by no JPEG.
const LONGEST_PX: [f64; 2] = [256.0, 16_384.0];

/// What is made of the frames.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum StackKind {
    /// The sky laid star on star and averaged without outliers; the ground of one frame.
    #[default]
    Mean,
    /// The sky laid star on star, of every pixel the brightest frame: meteors and satellites together; the ground of one frame.
    BrightestSky,
    /// The frames as they are, of every pixel the brightest: stars draw their trails.
    Trails,
}

impl StackKind {
    /// Whether the sky is laid star on star.
    pub fn is_aligned(self) -> bool {
        match self {
            Self::Mean | Self::BrightestSky => true,
            Self::Trails => false,
        }
    }
}

/// What a stack is asked to be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct StackRequest {
    /// What is made of the frames.
    pub kind: StackKind,
    /// Deviations from a pixel's mean from which a value is left out of it, 2 to 20.
    pub clip_sigmas: f64,
    /// Longest side, px, 256 to 16 384; the frames' own where it is `None`, and never larger than that.
    pub longest_px: Option<u32>,
    /// Whom to name.
    pub credit: Option<String>,
    /// Where it was taken, in the owner's words and as coarse as the owner wishes.
    pub place: Option<String>,
}

impl Default for StackRequest {
    fn default() -> Self {
        // 3 deviations: one value of noise in 370 is lost, and satellites stand far above; common practice, no source
        Self { kind: StackKind::default(), clip_sigmas: 3.0, longest_px: None, credit: None, place: None }
    }
}

impl StackRequest {
    /// Checks what the types cannot.
    ///
    /// # Errors
    ///
    /// A number out of its range.
    pub fn check(&self) -> Result<(), JobError> {
        JobError::check("clip_sigmas", self.clip_sigmas, SIGMAS[0], SIGMAS[1], "deviations")?;
        if let Some(longest) = self.longest_px {
            JobError::check("longest_px", f64::from(longest), LONGEST_PX[0], LONGEST_PX[1], "px")?;
        }
        Ok(())
    }

    /// The whole frame at the size asked for.
    pub fn geometry(&self, frame_px: [usize; 2]) -> ClipGeometry {
        let [width, height] = frame_px.map(|px| px as f64);
        let most = self.longest_px.map_or(LONGEST_PX[1], f64::from);
        let scale = (most / width.max(height)).min(1.0);
        let clip_px = frame_px.map(|px| super::clip::picture::whole((px as f64 * scale).round()).max(1));
        ClipGeometry {
            frame_px,
            part_px: [0.0, 0.0, width, height],
            placed_px: [0, 0, clip_px[0], clip_px[1]],
            clip_px,
        }
    }
}

/// What is known of a stack that is made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StackFacts {
    /// Frames that were to be taken.
    pub asked: u32,
    /// Frames taken.
    pub taken: u32,
    /// Frames left out, each with why.
    pub left_out: Vec<SkippedFrame>,
    /// Width and height of the frames as shown, px.
    pub frame_px: [usize; 2],
    /// Width and height of the stack, px.
    pub stack_px: [usize; 2],
    /// Where the colours come from.
    pub colours: ClipColours,
    /// Whether finished pictures inside raw files were taken.
    pub inside_raw: bool,
    /// The frame that the others are laid on, and whose ground is kept.
    pub reference: String,
    /// Median over the frames of how far stars lie from each other, px of the frames; `None` where nothing was laid on stars.
    pub residual_px: Option<f64>,
    /// Share of the picture that is ground and kept from one frame, 0 to 1; `None` where no ground was told from the sky.
    pub ground_share: Option<f64>,
    /// Share of the values of the sky that were left out as outliers, 0 to 1.
    pub clipped_share: Option<f64>,
    /// Begin of the first exposure and of the last, as its clock says, in words.
    pub first: Option<String>,
    /// The last.
    pub last: Option<String>,
    /// From the first to the last, s.
    pub span_s: Option<f64>,
}

/// What a stack is, and what was done to it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StackReport {
    /// What was asked.
    pub request: StackRequest,
    /// What is known of it.
    pub facts: StackFacts,
    /// Every edit, in words.
    pub edits: Vec<String>,
    /// What is to stand beside it: place, times, credit, edits.
    pub caption: String,
}

/// What stands beside a stack.
///
/// # Errors
///
/// As [`StackRequest::check`].
pub fn stack_report(request: &StackRequest, facts: StackFacts) -> Result<StackReport, JobError> {
    request.check()?;
    let edits = words::edits(request, &facts);
    let times = [facts.first.as_deref(), facts.last.as_deref()];
    let caption = super::clip::words::caption_of(request.place.as_deref(), request.credit.as_deref(), times, &edits);
    Ok(StackReport { request: request.clone(), facts, edits, caption })
}
