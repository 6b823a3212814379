//! Which part of the frames is shown, and where on the clip.

use serde::{Deserialize, Serialize};

use super::{ClipRequest, ClipSize};
use crate::JobError;

/// Sides over which frames of another size still show the same cut: rounding of sides.
const SAME_SHAPE: f64 = 0.005;
/// Width over height of a picture for television, ITU-R BT.709-6, item 1.
const WIDE: [usize; 2] = [16, 9];
/// Longest side that players and encoders take, px (H.264 level 6.2; also within AV1 level 6.3).
const LONGEST_PX: usize = 8192;

/// Which part of the frames is shown, and where on the clip; both as shown, not as stored.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClipGeometry {
    /// Width and height of the frames, px.
    pub frame_px: [usize; 2],
    /// Left, top, width and height of the part shown, px of the frames.
    pub part_px: [f64; 4],
    /// Left, top, width and height of it on the clip, px of the clip; the rest is black.
    pub placed_px: [usize; 4],
    /// Width and height of the clip, px; even, as half-sized colour needs.
    pub clip_px: [usize; 2],
}

impl ClipGeometry {
    /// Clip pixels for one of the frame.
    pub fn scale(&self) -> f64 {
        self.placed_px[2] as f64 / self.part_px[2]
    }

    /// The same cut on a frame of another size; `None` where its sides are in another proportion.
    pub fn on(&self, frame_px: [usize; 2]) -> Option<Self> {
        let ratio = |[width, height]: [usize; 2]| width as f64 / height as f64;
        let factor = frame_px[0] as f64 / self.frame_px[0] as f64;
        let alike = (ratio(frame_px) / ratio(self.frame_px) - 1.0).abs() <= SAME_SHAPE;
        alike.then(|| {
            let [left, top, width, height] = self.part_px.map(|px| px * factor);
            let [most_width, most_height] = frame_px.map(|px| px as f64);
            let part_px = [left, top, width.min(most_width - left), height.min(most_height - top)];
            Self { frame_px, part_px, ..*self }
        })
    }
}

fn even(px: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "sides of pictures; saturates")]
    let half = (px / 2.0).round() as usize;
    2 * half.max(1)
}

impl ClipRequest {
    /// What is cut out of frames of a size.
    ///
    /// The middle is cut out in the shape of the clip, or the whole frame is put on black. At the frames' own size the
    /// shape stays theirs, less an odd row or column, unless the clip is to be upright.
    ///
    /// # Errors
    ///
    /// Frames too small to show, or larger than players take.
    pub fn geometry(&self, frame_px: [usize; 2]) -> Result<ClipGeometry, JobError> {
        let [width, height] = frame_px.map(|px| px as f64);
        if frame_px.iter().any(|px| *px < 16) {
            let message = format!("frames of {width} x {height} px are too small to show");
            return Err(JobError::bad("frames", message, "give frames of 16 px a side at least"));
        }
        let shape = if self.portrait { [WIDE[1], WIDE[0]] } else { WIDE };
        let lines = match self.size {
            ClipSize::Lines1080 => Some(1080),
            ClipSize::Lines2160 => Some(2160),
            ClipSize::Source => None,
        };
        let clip_px = match lines {
            Some(lines) => shape.map(|side| lines / WIDE[1] * side),
            None if self.portrait && !self.whole_frame => {
                let unit = (width / shape[0] as f64).min(height / shape[1] as f64);
                shape.map(|side| even((side as f64 * unit - 1.0).max(2.0)))
            }
            None => frame_px.map(|side| side / 2 * 2),
        };
        if let Some(px) = clip_px.into_iter().find(|px| *px > LONGEST_PX) {
            let message = format!("a clip with a side of {px} px plays nowhere");
            return Err(JobError::bad("size", message, "give --size 2160 or 1080"));
        }
        let [across, down] = clip_px.map(|px| px as f64);
        if self.whole_frame && lines.is_some() {
            let scale = (across / width).min(down / height);
            let size = [even(width * scale).min(clip_px[0]), even(height * scale).min(clip_px[1])];
            let corner = [(clip_px[0] - size[0]) / 2, (clip_px[1] - size[1]) / 2];
            let placed_px = [corner[0], corner[1], size[0], size[1]];
            return Ok(ClipGeometry { frame_px, part_px: [0.0, 0.0, width, height], placed_px, clip_px });
        }
        // at the frames' own size nothing is scaled
        let scale = if lines.is_some() { (across / width).max(down / height) } else { 1.0 };
        let part = [across / scale, down / scale];
        let corner = [(width - part[0]) / 2.0, (height - part[1]) / 2.0];
        let corner = if lines.is_some() { corner } else { corner.map(f64::floor) };
        let part_px = [corner[0].max(0.0), corner[1].max(0.0), part[0].min(width), part[1].min(height)];
        Ok(ClipGeometry { frame_px, part_px, placed_px: [0, 0, clip_px[0], clip_px[1]], clip_px })
    }
}
